#!/bin/sh
# Runs of site, and of --site on other commands: site.sh PROGRAM, from the top folder.
set -u
. "$(dirname "$0")/holds.sh"
stage "$1"
# json FILE EXPRESSION: whether a Python expression over the file's value d holds.
json() {
    /usr/bin/python3 -c '
import json, sys
d = json.load(open(sys.argv[1]))
sys.exit(0 if eval(sys.argv[2]) else "not so: " + sys.argv[2])' "$1" "$2"
}
cd "$work" || exit 1
cp "$maps"/*.ini "$maps"/*.csv .

# The ready sites: the cold day makes the demo build exceed its boost, and nothing else does.
ends 1 site estate-roots.ini --json sites.json --csv sites.csv
cp out sites.txt
holds "the text is wider than 100 columns" awk 'length($0) > 100 { exit 1 }' sites.txt
holds "the text has a blank at a line's end" awk '/ $/ { exit 1 }' sites.txt
for name in "own site" "hot day" "cold day" "mountain pass"; do
    holds "$name is not in the text" grep -q "^$name " sites.txt
done
holds "the verdicts differ" json sites.json \
    '[s["verdict"] for s in d["sites"]] == ["kept", "close", "exceeded", "kept"]'
holds "the table has other rows" test "$(wc -l <sites.csv)" = 5
holds "a row of the table has other columns" awk -F, 'NR == 1 { n = NF } NF != n { exit 1 }' sites.csv
holds "the CSV has another boost than the JSON" /usr/bin/python3 -c '
import csv, json
rows = list(csv.DictReader(open("sites.csv")))
sites = json.load(open("sites.json"))["sites"]
for a, b in zip(rows, sites):
    assert abs(float(a["peak boost [kPa]"]) * 1000 - b["boost_peak_pa"]) < 1e-3
    assert abs(float(a["crank power [kW]"]) * 1000 - b["crank_power_w"]) < 1e-3
    assert abs(float(a["wheel power [kW]"]) * 1000 - b["wheel_power_w"]) < 1e-3
    assert a["verdict"] == b["verdict"]'
holds "the differences are not those of the values" json sites.json \
    'all(abs(s["change"][k] - (s[k] - d["sites"][0][k])) < 1e-6 for s in d["sites"] for k in ("boost_peak_pa", "crank_power_w", "charge_temperature_k"))'
holds "the invented sites do not say so" grep -q 'invented for comparison' sites.txt
holds "the coolant is not told" grep -q 'coolant of the charge cooler stays at 45.0 degC' sites.txt

sed '/^driveline_loss/d' estate-roots.ini >bench.ini
ends 1 site bench.ini --csv bench.csv --json bench.json
holds "a wheel power stands where no driveline loss is given" json bench.json \
    'all(s["wheel_power_w"] is None and s["crank_power_w"] > 1e5 for s in d["sites"])'
holds "that is not told" grep -q 'No driveline_loss is given' out
holds "an empty cell is not empty" awk -F, 'NR > 1 && $15 != "" { exit 1 }' bench.csv

# A site is what check gives there, and a build whose own site it is.
ends 0 site estate-roots.ini --site "hut: 12 degC, 2300 m, 70 %" --json hut.json
ends 0 check estate-roots.ini --site "hut: 12 degC, 2300 m, 70 %" --json check.json
holds "check has another head" grep -q '^Site    12.0 degC, 76.6 kPa, 70 % relative humidity (hut, by --site)$' out
holds "check has no note of the site" grep -q 'Computed at the site `hut`' out
sed 's/^temperature = .*/temperature = 12 degC/; s/^altitude = .*/altitude = 2300 m/; s/^relative_humidity = .*/relative_humidity = 70 %/' \
    estate-roots.ini >hut.ini
ends 0 check hut.ini --json own.json
holds "a build on a site gives another line" /usr/bin/python3 -c '
import json
a, b, c = (json.load(open(n)) for n in ("check.json", "own.json", "hut.json"))
assert a["line"] == b["line"] and a["limits"] == b["limits"]
assert a["site"].pop("name") == "hut" and a["site"] == b["site"]
row = c["sites"][1]
assert row["boost_at_limit_pa"] == b["line"][-1]["boost_pa"]
assert row["charge_temperature_k"] == max(p["charge_temperature_k"] for p in b["line"])'
ends 0 pulley estate-roots.ini --site "hut: 12 degC, 2300 m, 70 %" --csv pulley.csv
holds "pulley does not tell its site" grep -q '(hut, by --site)' out
ends 0 pulley hut.ini --csv own.csv
holds "pulley on a site gives another table" cmp pulley.csv own.csv
ends 0 chart estate-roots.ini --site "hut: 12 degC, 2300 m, 70 %" --out pictures --format svg
holds "the chart does not name the site" grep -q 'hut, by --site' pictures/estate-roots-chart.svg

# Sets from a table, beside others.
printf 'name,temperature [degF],altitude [ft],relative humidity [%%]\nlake,86,,60\nridge,50,6000,\n' >days.csv
ends 0 site estate-roots.ini --site "days.csv; 30 degC" --json days.json --units us
holds "the table's sites are not there" json days.json \
    '[s["name"] for s in d["sites"]] == ["own site", "lake", "ridge", "site 3"] and abs(d["sites"][2]["altitude_m"] - 1828.8) < 1e-9'
holds "US units are not shown" grep -q 'psia' out

# A measured power.
ends 0 site estate-roots.ini --site "20 degC, 98 kPa, 40 %" --power "300 hp" --json power.json
holds "no correction is in the text" grep -q '^SAE J1349 (1990) .*inside' out
holds "the factors are not those of the formulas" json power.json \
    'abs(d["corrections"][0]["factor"] - (1.180 * 99000 / d["measured"]["dry_air_pressure_pa"] * (293 / 298) ** 0.5 - 0.18)) < 1e-12 and abs(d["corrections"][1]["factor"] - (99000 / d["measured"]["dry_air_pressure_pa"]) ** 1.2 * (293.15 / 298) ** 0.6) < 1e-12'
holds "a corrected power is not factor times power" json power.json \
    'all(abs(c["corrected_power_w"] - c["factor"] * d["measured"]["power_w"]) < 1e-6 and c["in_range"] and c["reason"] is None for c in d["corrections"])'
ends 1 site estate-roots.ini --power "300 hp" --json own-power.json
holds "a power without --site is not of the own site" json own-power.json 'd["measured"]["site"] == "own site"'
ends 0 site estate-roots.ini --site "40 degC, 70 kPa, 20 %" --power "250 kW" --json far.json
holds "what is outside the range is not told" json far.json \
    'not any(c["in_range"] for c in d["corrections"]) and "is above" in d["corrections"][0]["reason"] and d["corrections"][0]["factor"] > 1.4'
holds "what is outside the range is not in the text" grep -q 'OUTSIDE its range' out

# Pictures: none unless asked for, then under the name of the build.
holds "a picture was drawn without --format" test ! -e estate-roots-sites.png
ends 1 site estate-roots.ini --out pictures --format png,svg,pdf
for ending in png svg pdf; do
    holds "no picture estate-roots-sites.$ending" test -s pictures/estate-roots-sites.$ending
done
holds "a site is not named in the picture" grep -q '>mountain pass<' pictures/estate-roots-sites.svg
holds "the SVG is not well-formed" xmllint --noout pictures/estate-roots-sites.svg
ends 1 site estate-roots.ini --out pictures --format png --size 800x500
ends 2 site estate-roots.ini --out pictures --format png --size 320x320 --dpi 300
holds "a page without room is not told" grep -q 'leaves no room for its type' err
for file in estate-roots.ini roots-185.ini roots-185.csv; do
    holds "$file has changed" cmp "$file" "$maps/$file"
done
# An altitude is told in the units shown.
ends 0 site "$maps/estate-roots.ini" --units us --site 'mountain: 9000 ft'
holds "the altitude is not in feet" grep -q 'mountain at 9000 ft' out
ends 0 check "$maps/estate-roots.ini" --units us --site 'mountain: 9000 ft'
holds "the altitude of a check is not in feet" grep -q 'ISO 2533 at 9000 ft' out
# What changes the meaning of a site's figures stands under that site's name, as a check there says it.
sed 's/^coolant = .*/coolant = water/; /^front_air_temperature/d' estate-roots-water.ini >plain-water.ini
ends 1 site plain-water.ini --site 'winter: -15 degC; mild: 15 degC' --json plain.json
holds "held properties of the coolant are not told of their site" \
    grep -q 'At winter: The coolant reaches temperatures outside 0 to 120 degC' out
holds "held properties are not in the JSON" json plain.json \
    'sum(n.startswith("At winter: The coolant reaches") for n in d["notes"]) == 1 and not any("At mild" in n for n in d["notes"])'
holds "what the front exchanger's air follows is not told" json plain.json \
    'sum("at that site'"'"'s own temperature" in n for n in d["notes"]) == 1 and not any("the site'"'"'s 2" in n for n in d["notes"])'
awk '{ print } /^front_air_flow/ { print "front_air_temperature = 35 degC" }' plain-water.ini >front.ini
ends 1 site front.ini --site 'winter: -15 degC' --json front.json
holds "a front air temperature that stays is not told" json front.json \
    'sum("stays at the build'"'"'s front_air_temperature of 35.0 degC at every site" in n for n in d["notes"]) == 1'
tell
