#!/bin/sh
# Runs of `trace`: trace.sh PROGRAM. The demo's picture traced back to the table it was drawn from, and that table used.
set -u
. "$(dirname "$0")/holds.sh"
stage "$1"
cp "$root"/maps/*.ini "$root"/maps/*.csv "$root"/maps/*.png "$work" && cd "$work" || exit 1

ends 0 trace roots-185-traced.ini --csv traced.csv --json traced.json --format png,svg,pdf --out pictures
for ending in png svg pdf; do
    holds "no $ending of the preview" test -s pictures/roots-185-traced-trace.$ending
done
holds "the text is more than 100 columns wide" awk 'length($0) > 100 { exit 1 }' out
holds "the traced table is off the one the chart was drawn from" \
    /usr/bin/python3 "$root/tests/trace/against.py" traced.csv roots-185.csv 0.3 0.6
ends 0 trace roots-185-traced.ini --csv - --json again.json
holds "--csv - is not alone on standard output" cmp -s out traced.csv
holds "two runs differ" cmp -s traced.json again.json
ends 0 trace roots-185-traced.ini --units us --json us.json --csv us.csv
holds "JSON differs in si and us" cmp -s traced.json us.json
holds "the table in us units does not say so" grep -q 'flow \[ft3/min\]' us.csv

# Every other command takes the table, in either unit.
sed 's/^\[map\]/&\ntable = traced.csv/; /^\[scan\]/,$d' roots-185-traced.ini >unit.ini
sed 's/^unit = .*/unit = unit.ini/' estate-roots.ini >build.ini
holds "inspect refuses the traced table" "$program" inspect unit.ini --json -
holds "check refuses the traced table" "$program" check build.ini --json traced-check.json
holds "check of the demo ends badly" "$program" check estate-roots.ini --json true-check.json
cp us.csv traced.csv
holds "check of the table in us units ends badly" "$program" check build.ini --json us-check.json
holds "results with the traced table are off" /usr/bin/python3 - <<'END'
import json
true, traced, us = (json.load(open(n)) for n in ("true-check.json", "traced-check.json", "us-check.json"))
for a, b, c in zip(true["line"], traced["line"], us["line"]):
    for key, most in (("air_mass_flow_kg_s", 3e-3), ("boost_pa", 6e-3), ("discharge_temperature_k", 3e-3)):
        if a["on_map"] and b["on_map"]:
            assert abs(b[key] / a[key] - 1) < most, (key, a["engine_speed_rpm"], a[key], b[key])
        assert abs(c[key] / b[key] - 1) < 1e-4, key
END

# A mass-flow axis of the same chart gives the same volume flow.
ends 0 trace roots-185-traced.ini --csv traced.csv
sed 's|^x_axis = .*|x_axis = flow [kg/h], linear|; s|: 1600 at|: 1869.474 at|g; s|: 400 at|: 467.3685 at|' roots-185-traced.ini >mass.ini
ends 0 trace mass.ini --csv mass.csv
holds "a mass-flow axis gives another table" sh -c '
    paste -d, traced.csv mass.csv | awk -F, "NR > 1 && (\$3 / \$7 > 1.003 || \$3 / \$7 < 0.997) { exit 1 }"'

# A curve given as a line in pixels, and a broken one told.
sed '/^\[trace 5000\]/,/^seed/s/^seed.*/line = (415, 210), (420, 330), (427, 480), (436, 610), (449, 729)/' roots-185-traced.ini >line.ini
ends 0 trace line.ini
holds "a line given in pixels is not told" grep -q '1 curves are lines given in pixels' out
tell
