awk 'BEGIN { for (i = 0; i < 230; i++) print i }' >>unit.csv
