printf '\037\213\010\000\000' >unit.csv
