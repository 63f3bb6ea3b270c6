awk 'BEGIN { for (i = 0; i < 64000; i++) print "# a comment line that is sixty-four bytes long with its line end"; for (i = 0; i < 900000; i++) print "[a]" }' >build.ini
