"""The demo's data laid out for a general plotting program, and the script that draws them: map, line and six curves."""
import csv

import numpy as np
from scipy.interpolate import PchipInterpolator

CURVES = [("boost_pa", 1e-3, "boost, kPa"), ("air_mass_flow_kg_s", 3600, "air, kg/h"),
          ("discharge_temperature_k", 1, "discharge, K"), ("charge_temperature_k", 1, "charge, K"),
          ("drive_power_w", 1e-3, "drive, kW"), ("blower_speed_rpm", 1, "blower, rpm")]


def lay_out(folder, table, line):
    """Writes the grid, the speed lines and the operating line. Returns: the script's path."""
    lines = {}
    with open(table, encoding="utf-8") as f:
        for row in list(csv.reader(r for r in f if not r.startswith("#")))[1:]:
            lines.setdefault(float(row[0]), []).append([float(v) for v in row[1:4]])
    with open(f"{folder}/grid.txt", "w", encoding="utf-8") as grid, open(f"{folder}/speeds.txt", "w",
                                                                         encoding="utf-8") as speeds:
        for rows in lines.values():
            ratio, flow, efficiency = np.array(rows).T
            fine = np.linspace(ratio[0], ratio[-1], 41)
            for r, q, e in zip(fine, PchipInterpolator(ratio, flow)(fine), PchipInterpolator(ratio, efficiency)(fine)):
                grid.write(f"{q:.6g} {r:.6g} {e:.6g}\n")
                speeds.write(f"{q:.6g} {r:.6g}\n")
            grid.write("\n")
            speeds.write("\n")
    with open(f"{folder}/line.txt", "w", encoding="utf-8") as f:
        for p in line:
            values = " ".join(f"{p[key] * scale:.6g}" for key, scale, _ in CURVES)
            f.write(f"{p['engine_speed_rpm']:.6g} {p['map_volume_flow_m3_s'] * 3600:.6g} {p['pressure_ratio']:.6g} "
                    f"{values}\n")
    script = f"""set terminal pngcairo size 1600,1000 font 'DejaVu Sans,11'
set output '{folder}/plain.png'
set contour base
set cntrparam levels discrete 55,60,62,64,66,68,70,71,72,73,74
unset surface
set table '{folder}/contours.txt'
splot '{folder}/grid.txt' using 1:2:3 with lines
unset table
unset contour
set surface
set multiplot
set size 0.63,0.94
set origin 0,0
set xlabel 'inlet volume flow, m3/h'
set ylabel 'pressure ratio'
set view map
set pm3d interpolate 2,2
set palette viridis
unset colorbox
set key off
set lmargin at screen 0.06
set rmargin at screen 0.60
set bmargin at screen 0.08
set tmargin at screen 0.94
set xrange [0:1700]
set yrange [1:2.4]
splot '{folder}/grid.txt' using 1:2:3 with pm3d
plot '{folder}/contours.txt' using 1:2 with lines lc rgb '#444444', '{folder}/speeds.txt' with lines dt 2 lc rgb 'grey', \\
  '{folder}/line.txt' using 2:3 with lines lw 4 lc rgb 'black', '{folder}/line.txt' using 2:3:1 with labels point pt 7 offset 1,1
set autoscale
set lmargin at screen 0.68
set rmargin at screen 0.97
unset xlabel
"""
    for i, (_, _, name) in enumerate(CURVES):
        top = 0.94 - i * 0.148
        script += (f"set tmargin at screen {top:.3f}\nset bmargin at screen {top - 0.12:.3f}\nset ylabel '{name}'\n"
                   f"plot '{folder}/line.txt' using 1:{4 + i} with lines lw 2\n")
    path = f"{folder}/plain.plt"
    with open(path, "w", encoding="utf-8") as f:
        f.write(script + "unset multiplot\n")
    return path
