#!/bin/sh
# Runs of compare: compare.sh PROGRAM. Exit status, text, CSV and JSON against check and pulley, pictures.
set -u
. "$(dirname "$0")/holds.sh"
stage "$1"
cd "$work" || exit 1
cp "$root"/maps/*.ini "$root"/maps/*.csv . || exit 1
sed 's/^blower_pulley = .*/blower_pulley = 60 mm/' estate-screw.ini >slow.ini
sed 's/^blower_pulley = .*/blower_pulley = 58 mm/; s/^speed_from = .*/speed_from = 900 rpm/' estate-roots.ini >fast.ini
sed 's/^displacement = 4.4 L/displacement = 4.6 L/; s/^effectiveness = .*/effectiveness = 60 %/' estate-roots.ini >large.ini
sed 's/^loss = 5 kPa .*/loss = 90 kPa at 0.03 kg\/s/; s/^displacement = 4.4 L/displacement = 4.6 L/' estate-roots.ini >shut.ini
not() {
    ! "$@"
}
# told FILE EXPRESSION: whether a Python expression over the JSON, j, holds.
told() {
    /usr/bin/python3 -c '
import json, sys
j = json.load(open(sys.argv[1]))
near = lambda a, b, t: abs(a - b) <= t * abs(b)
sys.exit(not eval(sys.argv[2]))' "$1" "$2"
}

# ---- exit statuses ----

ends 1 compare estate-roots.ini estate-screw.ini
ends 0 compare estate-roots.ini slow.ini
ends 0 compare estate-roots.ini estate-screw.ini --boost 60kPa
ends 1 compare estate-roots.ini shut.ini --manifold-flow 1200kg/h
holds "a build that cannot give it is not told" grep -q '^   NOT SOLVED: no blower pulley gives 1200.0 kg/h of air' out
holds "what stops it is not told" grep -q 'a smaller one has no operating point at 6400 rpm' out
ends 2 compare shut.ini shut.ini
ends 2 compare estate-roots.ini shut.ini
holds "as fitted, a build without an operating line is not named" grep -q '^sweptline: shut.ini: no operating point' err
ends 2 compare estate-roots.ini nowhere.ini
holds "a refused run prints something" test ! -s out
ends 3 compare estate-roots.ini slow.ini --json nowhere/x.json
"$program" compare - slow.ini <estate-roots.ini >out 2>err
got=$?
holds "a build on standard input ends with $got" test "$got" = 0

# ---- text ----

for units in si us; do
    for builds in "estate-roots.ini estate-screw.ini" "estate-roots.ini estate-screw.ini slow.ini" \
        "estate-roots.ini estate-screw.ini slow.ini fast.ini shut.ini --boost 30kPa"; do
        # The words are to be split.
        # shellcheck disable=SC2086
        "$program" compare $builds --units $units >out 2>err
        most=$(awk '{ n = length($0); if (n > most) most = n } END { print most + 0 }' out)
        holds "$builds in $units: $most columns wide, 100 fit" test "$most" -le 100
        holds "$builds in $units: trailing blanks" not grep -n ' $' out
        holds "$builds in $units: colour in a file" not grep -q "$(printf '\033')" out
    done
done
"$program" compare estate-roots.ini large.ini >out 2>err
holds "a key that differs is not told" grep -q '^- \[engine\] displacement: 4.40 L in A; 4.60 L in B$' out
holds "that more differs than the donor is not told" grep -q 'differ in 2 keys besides the donor unit' out
"$program" compare estate-roots.ini fast.ini --speeds 2000,6400rpm >out 2>err
holds "a value outside the map carries no star" grep -q '^discharge, degC .*[0-9]\*' out
holds "the star is not explained" grep -q '^\* rests on a point outside' out
holds "the summary does not tell the share outside the map" grep -q 'of the rev range of B lies outside its map' out

"$program" compare estate-roots.ini slow.ini --site "pass: 10 degC, 2300 m" >out 2>err
holds "a site given is not told" grep -q '^Site 10.0 degC, 76.6 kPa, .*by --site' out
ends 2 compare estate-roots.ini slow.ini --site warm

# ---- JSON and CSV ----

"$program" compare estate-roots.ini estate-screw.ini --json two.json --csv two.csv >out 2>err
"$program" compare estate-roots.ini estate-screw.ini --units us --json us.json >out 2>err
holds "JSON differs in si and us" cmp -s two.json us.json
"$program" check estate-roots.ini --json roots.json >out 2>err
"$program" check estate-screw.ini --json screw.json >out 2>err
for pair in 0:roots 1:screw; do
    holds "line or limits of ${pair##*:} are not those of check" /usr/bin/python3 -c '
import json, sys
a = json.load(open("two.json"))["builds"][int(sys.argv[1])]
b = json.load(open(sys.argv[2] + ".json"))
sys.exit(not (a["line"] == b["line"] and a["limits"] == b["limits"] and a["drive_ratio"] == b["drive"]["ratio"]))' \
        "${pair%%:*}" "${pair##*:}"
done
holds "the values at 6400 rpm are not those of the line" told two.json \
    'all(near(j["speeds"][-1]["values"][i][k], j["builds"][i]["line"][-1][k], 1e-12) for i in (0, 1) for k in ("boost_pa", "discharge_temperature_k", "drive_power_w", "crank_power_w"))'
holds "the default engine speeds are others" told two.json \
    '[s["engine_speed_rpm"] for s in j["speeds"]] == [2000, 4000, 6000, 6400]'
holds "the differences are not unit and pulley alone" told two.json \
    '[(d["key"], d["compared"]) for d in j["differences"]] == [("unit", True), ("blower_pulley", True)]'
holds "CSV: a row has another number of cells than the head" awk -F, 'NR == 1 { n = NF } NF != n { exit 1 }' two.csv
holds "CSV: the difference is not B less A" awk -F, '
    NR > 1 && $4 != "" && $5 != "" { d = $5 - $4 - $6; n++; if (d > 1e-5 || d < -1e-5) exit 1 }
    END { if (n < 50) exit 1 }' two.csv
"$program" compare estate-roots.ini estate-screw.ini --boost 55kPa --at 4000rpm --speeds 4000 --json at.json >out 2>err
holds "both builds do not make the boost asked for" told at.json \
    'all(near(v["boost_pa"], 55e3, 1e-5) for v in j["speeds"][0]["values"]) and j["solved_for"] == "boost"'
size=$(/usr/bin/python3 -c 'import json; print(json.load(open("at.json"))["builds"][1]["blower_pulley_m"])')
"$program" pulley estate-screw.ini --boost 55kPa --at 4000rpm --json size.json >out 2>err
holds "pulley finds another size than $size" told size.json "near(j['solved'][0]['diameter_m'], $size, 1e-7)"
"$program" compare estate-roots.ini shut.ini --manifold-flow 1200kg/h --json shut.json >out 2>err
holds "a build not solved has values" told shut.json \
    'j["speeds"][0]["values"][1] is None and j["builds"][1]["line"] == [] and j["builds"][1]["failure"] is not None'

# ---- pictures ----

"$program" compare estate-roots.ini estate-screw.ini --format png,svg,pdf --out new >out 2>err
holds "not the three pictures asked for" test "$(find new -type f | wc -l)" -eq 3
holds "a picture is not named" grep -q '^wrote new/estate-roots-and-estate-screw-compare.svg$' err
ends 1 compare estate-roots.ini estate-screw.ini slow.ini fast.ini --format svg --out new
holds "no picture of four builds" test -s new/estate-roots-and-3-more-compare.svg
cp estate-screw.ini new/estate-roots-and-estate-screw-compare.svg
cp roots-185.ini roots-185.csv screw-120.ini screw-120.csv new
cp estate-roots.ini new
(cd new && "$program" compare estate-roots.ini estate-roots-and-estate-screw-compare.svg --format png --csv estate-roots.ini >out 2>err </dev/null)
holds "an output over an input is written" cmp -s new/estate-roots.ini estate-roots.ini
if command -v xmllint >/dev/null 2>&1; then
    holds "the SVG is not well-formed" xmllint --noout --nonet new/estate-roots-and-3-more-compare.svg
fi
if command -v pdftotext >/dev/null 2>&1; then
    pdftotext -layout new/estate-roots-and-estate-screw-compare.pdf words.txt
    for words in 'Donors compared as fitted' 'Invented Roots unit 185, 92.0 mm pulley' 'Pressure ratio' 'Crank power, kW' \
        'EXCEEDS 2 of 8'; do
        holds "the PDF lacks: $words" grep -qF "$words" words.txt
    done
fi

tell
