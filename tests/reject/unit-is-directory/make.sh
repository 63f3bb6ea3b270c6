mkdir unit.ini
