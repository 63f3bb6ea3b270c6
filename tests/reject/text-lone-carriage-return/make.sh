printf '[build]\rname = a\r' >build.ini
