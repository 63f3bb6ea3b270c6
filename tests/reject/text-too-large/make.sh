awk 'BEGIN { for (i = 0; i < 140000; i++) print "# a comment line that is sixty-four bytes long with its line end" }' >build.ini
