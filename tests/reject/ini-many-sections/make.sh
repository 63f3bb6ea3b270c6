awk 'BEGIN { for (i = 0; i < 900000; i++) printf "[%x]\n", i }' >build.ini
