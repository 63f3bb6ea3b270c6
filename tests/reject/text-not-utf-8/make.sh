printf '[build]\nname = caf\351\n' >build.ini
