awk 'BEGIN { print "[paint]"; for (i = 0; i < 2001; i++) print "k" i " = 1" }' >build.ini
