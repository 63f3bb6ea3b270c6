ln -s unit.ini link
