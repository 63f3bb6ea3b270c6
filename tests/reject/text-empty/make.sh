: >build.ini
