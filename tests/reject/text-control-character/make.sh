printf '[build]\nname = a\033[31mb\n' >build.ini
