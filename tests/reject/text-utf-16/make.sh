printf '\377\376[\000b\000]\000' >build.ini
