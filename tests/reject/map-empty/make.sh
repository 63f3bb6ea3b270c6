: >unit.csv
