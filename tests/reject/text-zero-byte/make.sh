printf '[build]\nname = a\000b\n' >build.ini
