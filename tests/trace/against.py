"""Holds a traced table against the table its chart was drawn from: against.py TRACED TRUE FLOW_PER_CENT POINTS.
The true one is read between its pressure ratios by the cubic of model.md. Prints the errors; exit status 1 past a bound."""
import csv
import sys

import numpy as np
from steffen import Steffen


def rows(path):
    with open(path, encoding="utf-8") as f:
        return [[float(c) for c in r[:4]] for r in list(csv.reader(x for x in f if not x.startswith("#")))[1:]]


true = {}
for speed, ratio, flow, ea in rows(sys.argv[2]):
    true.setdefault(speed, []).append((ratio, flow, ea))
off_flow, off_ea = [], []
for speed, ratio, flow, ea in rows(sys.argv[1]):
    points = np.array(true[speed])
    off_flow.append(100 * (flow / Steffen(points[:, 0], points[:, 1])(ratio) - 1))
    off_ea.append(ea - Steffen(points[:, 0], points[:, 2])(ratio))
off_flow, off_ea = np.abs(off_flow), np.abs(off_ea)
print(f"{len(off_flow)} rows: flow {np.sqrt((off_flow**2).mean()):.2f} % rms, {off_flow.max():.2f} worst; efficiency "
      f"{np.sqrt((off_ea**2).mean()):.2f} points rms, {np.percentile(off_ea, 95):.2f} at 95 %, {off_ea.max():.2f} worst")
sys.exit(int(off_flow.max() > float(sys.argv[3]) or np.percentile(off_ea, 95) > float(sys.argv[4])))
