printf '[build]\nname = \300\257\n' >build.ini
