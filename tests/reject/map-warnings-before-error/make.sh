awk 'BEGIN { print "blower speed [rpm],pressure ratio,flow [m3/h],adiabatic efficiency [%]"; for (i = 0; i < 201; i++) print 4000 + 50 * i ",1.2," 200 + 2.5 * i ",60" }' >unit.csv
