: >unit.ini
