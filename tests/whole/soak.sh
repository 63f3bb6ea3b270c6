#!/bin/sh
# Runs of the command soak: soak.sh PROGRAM. Exit status, what it prints and writes, and that JSON, CSV and text agree.
set -u
. "$(dirname "$0")/holds.sh"
stage "$1"
cp "$maps"/*.ini "$maps"/*.csv "$work" || exit 1
cd "$work" || exit 1
build=estate-roots-water.ini

ends 0 soak "$build"
holds "the demo does not print its six pulls" test "$(grep -cE '^ +[1-6] .* (kept|close)$' out)" = 6
holds "a line is wider than 100 columns" awk 'length($0) > 100 { exit 1 }' out
holds "the caution is not shown once" test "$(grep -c 'These are estimates' out)" = 1
holds "a picture is there though none was asked for" test ! -e estate-roots-water-soak.png
holds "the charge in steady flow is not told" grep -q 'Held at 6400 rpm until the coolant settles' out
ends 0 soak "$build" --json all.json --csv all.csv --format png,svg,pdf --out charts
for ending in png svg pdf; do
    holds "no $ending was drawn" test -s "charts/estate-roots-water-soak.$ending"
done
holds "the CSV's rows are not those of the series" \
    test "$(($(wc -l <all.csv) - 1))" = "$(grep -c '"time_s"' all.json)"
holds "text and JSON differ in the time to recover" \
    awk '/"recovery_time_s"/ { gsub(/[",:]/, ""); got = sprintf("%.0f", $2) } /^recovered after/ { want = $3 }
         END { exit got != want }' out all.json
holds "text and JSON differ in the last peak" \
    awk '/"charge_peak_temperature_k"/ { gsub(/[",:]/, ""); got = sprintf("%.1f", $2 - 273.15) }
         /^ +6 / { want = $5 } END { exit got != want }' all.json out
ends 0 soak "$build" --json -
holds "standard output holds more than the JSON" sh -c 'head -c 1 out | grep -q "{" && ! grep -q "^Pulls" out'
ends 0 soak "$build" --units us
holds "US units are not shown" grep -q 'degF' out
sed 's/^charge_temperature.*/charge_temperature = 50 degC/' "$build" >hot.ini
ends 1 soak hot.ini
holds "no pull is told as exceeded" grep -qE '^ +6 .* EXCEEDED$' out
holds "standard input is not read" sh -c "'$program' soak - <hot.ini | grep -q EXCEEDED"
ends 2 soak estate-roots.ini --json new.json
holds "the missing section is not told" grep -q 'estate-roots.ini: section \[soak\].* is missing' err
holds "a refused run wrote a file" test ! -e new.json
[ ! -c /dev/full ] || ends 3 soak "$build" --csv /dev/full
holds "an input has changed" cmp "$build" "$maps/$build"
# Limits of check are the build's, whatever the pulls keep.
sed 's/^blower_pulley.*/blower_pulley = 78 mm/; /^charge_temperature/d' "$build" >fast.ini
ends 1 soak fast.ini --json fast.json
holds "rotor speed over its limit is not told" grep -q 'blower speed at the rev limit of 12800 rpm over 12000 rpm' out
holds "rotor speed over its limit is not in the JSON" grep -q '"continuous_speed"' fast.json
# Without a front exchanger the heat stays, and nothing recovers.
sed '/^front_/d; /^rest_air/d; s/^coolant_flow/coolant_temperature = 30 degC\n&/' "$build" >closed.ini
ends 1 soak closed.ini --json closed.json
holds "a closed circuit recovers" grep -q '"recovery_time_s": null' closed.json
holds "a closed circuit rejects heat" grep -qE '"heat_out_j": -?0.0' closed.json
holds "that nothing recovers is not told" grep -q 'did not come back' closed.json
# One that settles above never comes back, and says so.
sed 's/^rest_heat = .*/rest_heat = 5 kW/' "$build" >warm.ini
ends 0 soak warm.ini --json warm.json --format svg --out warm
holds "that it never recovers is not told" grep -q 'does not come back to 32.0 degC however long it rests' warm.json
holds "that it never recovers is not told in the table" grep -q 'and at rest it never comes down to that' out
holds "that it never recovers is not told on the chart" grep -q 'Does not recover however long it rests: the coolant settles at 48.9 degC, above' warm/warm-soak.svg
# At another site, whose air the front exchanger gets; water below its freezing point keeps nothing.
sed '/^front_air_temperature/d; s/^coolant = .*/coolant = water/' "$build" >plain.ini
ends 0 soak plain.ini --json own.json
holds "a coolant within its range is marked" grep -q '"coolant_in_range": true' own.json
ends 1 soak plain.ini --site 'winter: -15 degC' --json winter.json --format svg --out winter
holds "the site is not told" grep -q '^Site    -15.0 degC' out
holds "a verdict that rests on frozen water is not marked" grep -qE '^ +1 .* kept \+$' out
holds "the mark is not told" grep -q '^+ rests on a coolant outside the range' out
holds "what freezes is not told first" \
    sh -c 'sed -n "/^Notes/{n;p;}" out | grep -q "The coolant reaches temperatures outside 0 to 120 degC"'
holds "a verdict that rests on frozen water is not marked in the JSON" grep -q '"coolant_in_range": false' winter.json
holds "the picture does not name the site" grep -q 'site winter' winter/plain-soak.svg
holds "the picture does not tell the coolant" grep -q 'The coolant leaves the range' winter/plain-soak.svg
# An injector's flow on another fuel than it is rated with is told beside the one that was typed.
"$program" fuel "$build" >out 2>err
holds "a rating with its own fuel is told twice" sh -c '! grep -q "taken as rated" out'
sed 's/^fuel = .*/fuel = e85/' "$build" >e85.ini
"$program" fuel e85.ini >out 2>err
holds "the flow as typed is not told" sh -c 'tr "\n" " " <out | grep -q "cc/min is taken as rated with petrol of 745 kg/m3"'
tell
