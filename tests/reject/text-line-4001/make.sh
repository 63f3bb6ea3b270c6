awk 'BEGIN { print "[build]"; printf "note = "; for (i = 0; i < 3994; i++) printf "a"; print "" }' >build.ini
