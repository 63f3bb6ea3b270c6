printf '[build]\nname = a\357\277\277\357\277\276\n' >build.ini
