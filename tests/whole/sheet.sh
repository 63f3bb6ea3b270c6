#!/bin/sh
# The page of sheet: its markup, what it says, what it refuses, and how a browser shows it. sheet.sh PROGRAM, from the
# top folder.
set -u
. "$(dirname "$0")/holds.sh"
stage "$1"
unset SOURCE_DATE_EPOCH
tests=$(pwd)/tests/whole
cd "$work" || exit 1
cp "$maps"/*.ini "$maps"/*.csv .

# One build: well-formed, reachable, in contrast, with the numbers of a check.
ends 0 sheet estate-roots.ini --out one.html --json sheet.json --csv sheet.csv
holds "something is on standard output" test ! -s out
holds "the page is not named" grep -qx 'wrote one.html' err
ends 0 check estate-roots.ini --json check.json --csv check.csv
holds "the CSV is not that of check" cmp sheet.csv check.csv
holds "the JSON is not that of check" /usr/bin/python3 -c '
import json
a, b = json.load(open("sheet.json")), json.load(open("check.json"))
assert a.pop("command") == "sheet" and b.pop("command") == "check" and a == b'
holds "xmllint finds the page not well-formed" xmllint --noout one.html
holds "the page" /usr/bin/python3 "$tests/sheet_page.py" one.html check.json
holds "the page is large" test "$(wc -c <one.html)" -lt 700000
for file in estate-roots.ini roots-185.ini roots-185.csv; do
    holds "the hash of $file is not in the page" grep -q "$(sha256sum <$file | cut -d' ' -f1)" one.html
done
holds "the caution is not in the page" grep -q 'no statement that anything is safe' one.html
holds "a key is not in the page" grep -q '<th scope="row">driveline_<wbr />loss</th><td class="typed">14 %</td>' one.html
holds "a default is not told" grep -q '<th scope="row">jackshaft_<wbr />ratio</th><td>filled in</td><td>1</td>' one.html
holds "a date is in the page" grep -q 'No date was asked for' one.html
ends 0 sheet estate-roots.ini --out -
holds "standard output is another page" cmp out one.html
ends 0 sheet estate-roots.ini
holds "another page under the name it takes by itself" cmp estate-roots-sheet.html one.html
ends 0 sheet estate-roots.ini --out dated.html --date 'Tuesday <b>'
holds "no date in the page" grep -q 'Date: Tuesday &lt;b&gt;\.' dated.html
SOURCE_DATE_EPOCH=951782400
export SOURCE_DATE_EPOCH
ends 0 sheet estate-roots.ini --out epoch.html
holds "another day than GNU date's" grep -q "Date: $(date -u -d @951782400 +%Y-%m-%d) (UTC, from SOURCE_DATE_EPOCH)" epoch.html
for bad in '' tomorrow -1 1e9 999999999999999; do
    SOURCE_DATE_EPOCH=$bad
    ends 2 sheet estate-roots.ini --out never.html
done
ends 0 sheet estate-roots.ini --out given.html --date given
holds "SOURCE_DATE_EPOCH stands over --date" grep -q 'Date: given\.' given.html
unset SOURCE_DATE_EPOCH
holds "a page was made of a bad date" test ! -e never.html
ends 0 sheet estate-roots.ini --out us.html --units us --site 'hut: 12 degC, 2300 m, 70 %'
holds "not in US units" grep -q '<br />psi</th>' us.html
holds "the site is not told" grep -q 'hut, by --site' us.html

# Two builds.
ends 1 sheet estate-roots.ini estate-screw.ini --out two.html --json two.json
ends 1 compare estate-roots.ini estate-screw.ini --json compare.json
holds "the JSON is not that of compare" cmp two.json compare.json
holds "the page of two" /usr/bin/python3 "$tests/sheet_page.py" two.html
ends 1 sheet estate-roots.ini estate-screw.ini
holds "another page of two by its own name" cmp two.html estate-roots-and-estate-screw-sheet.html
holds "no verdict of B" grep -q 'EXCEEDED</span></b><span class="say">2 of 8 limits exceeded' two.html

# Each with the pulley that gives the same boost: what is used is not what was typed.
ends 0 sheet estate-roots.ini estate-screw.ini --boost 60kPa --speeds 2000,5000 --out same.html
holds "the page at the same boost" /usr/bin/python3 "$tests/sheet_page.py" same.html
holds "the pulley that was solved is not told" grep -q '<span class="typed">53 mm</span>: 58.0 mm' same.html
ends 1 sheet estate-roots.ini estate-screw.ini --boost 640kPa --out far.html
holds "a build that cannot give it" /usr/bin/python3 "$tests/sheet_page.py" far.html
holds "it is not told why" grep -q 'NOT SOLVED</b>' far.html

# Outside the map, limits exceeded, and names that would be markup.
cat >hostile.py <<'END'
text = open("estate-roots.ini").read()
name = """<script>alert(1)</script> "q" 'r' & ]]> --> &lt; {{x}} ${y}"""
lines = []
for line in text.splitlines():
    if line.startswith("name"):
        line = "name = " + name
    elif line.startswith("note"):
        line = "note = </style></main><img src=x onerror=alert(2)>\u202eback\u00e4"
    elif line.startswith("blower_pulley"):
        line = "blower_pulley = 60 mm"
    elif line.startswith("unit ="):
        line = 'unit = "<b>unit & \'x\'.ini"'
    lines.append(line)
open("<i>b & \"c\".ini", "w").write("\n".join(lines) + "\n")
unit = open("roots-185.ini").read().replace("Invented Roots unit 185", "<u onclick='x'>unit</u>")
open("<b>unit & 'x'.ini", "w").write(unit)
END
/usr/bin/python3 hostile.py
ends 1 sheet '<i>b & "c".ini' --out hostile.html
holds "the hostile page" /usr/bin/python3 "$tests/sheet_page.py" hostile.html
holds "markup came through" sh -c '! grep -qE "<(script>alert|img|b>unit|i>b|u onclick)|</main><" hostile.html'
holds "the name does not stand for itself" grep -q \
    '<h1>&lt;script&gt;alert(1)&lt;/script&gt; &quot;q&quot; &#39;r&#39; &amp; \]\]&gt; --&gt; &amp;lt; {{x}} ${y}</h1>' hostile.html
holds "points outside the map are not told" grep -q '<li>Outside the map: ' hostile.html
holds "no star at a verdict from outside" grep -q 'EXCEEDED</span> \*</td>' hostile.html
ends 1 check '<i>b & "c".ini' --json hostile.json
holds "the hostile page's numbers" /usr/bin/python3 "$tests/sheet_page.py" hostile.html hostile.json

# Crank and blower pulley swapped: every limit is kept, and the box tells what is wrong all the same.
sed -e 's/^crank_pulley.*/crank_pulley = 92 mm/' -e 's/^blower_pulley.*/blower_pulley = 160 mm/' estate-roots.ini >swapped.ini
ends 0 sheet swapped.ini --out swapped.html
holds "the page without boost" /usr/bin/python3 "$tests/sheet_page.py" swapped.html
holds "the box does not tell of no boost" grep -q \
    'result close">.*KEPT</span>, NO BOOST</b>.*8 kept\. NO BOOST at 21 of 21 points: .* [0-9] of the limits rest on points outside the map\.</span>' \
    swapped.html
ends 0 check swapped.ini
holds "the result of check does not tell of no boost" grep -qx '        NO BOOST at 21 of 21 points\.' out

# A mistyped cell stands before what else is outside the map, with its word.
mkdir slip && cp estate-roots.ini roots-185.ini slip
awk -F, -v OFS=, 'NR == 37 { $4 -= 45 } { print }' roots-185.csv >slip/roots-185.csv
sed -i 's/^blower_pulley.*/blower_pulley = 60 mm/' slip/estate-roots.ini
ends 1 check slip/estate-roots.ini
holds "a warning does not come first with its word" sh -c \
    'grep -A1 "^Notes" out | grep -q "roots-185.csv:37: warning: " && grep -q "points off its" out'
sed -i 's/^continuous_speed.*/continuous_speed = 1400 rpm/' slip/roots-185.ini
ends 0 inspect slip/roots-185.ini
holds "a lost digit is not told" grep -q 'warning: continuous_speed: `1400 rpm` is less than half of' out

# One engine speed, no limit, no power, a water circuit, a thousand rows.
sed 's/^speed_from.*/speed_from = 6400 rpm/; /^\[limits\]/,$d; /^known_power/d; /^compression_ratio/d; /^ve_pressure_effect/d' \
    estate-roots.ini >bare.ini
ends 0 sheet bare.ini --out bare.html
holds "the bare page" xmllint --noout bare.html
ends 1 sheet estate-roots-water.ini --out water.html
holds "the page with water" /usr/bin/python3 "$tests/sheet_page.py" water.html
sed 's/^speed_step.*/speed_step = 5 rpm/' estate-roots.ini >fine.ini
ends 0 sheet fine.ini --out fine.html
holds "the fine page" xmllint --noout fine.html
holds "not every row is in the fine page" test "$(grep -c '<td>in</td></tr>' fine.html)" = 981
holds "standard input is no build" sh -c '"$1" sheet - --out in.html --json - <estate-roots.ini 2>err' - "$program"
holds "standard input is not named" grep -q '<dd>standard input</dd>' in.html

# What is refused leaves everything as it was.
ends 2 sheet estate-roots.ini --out estate-roots.ini
holds "not told that it is an input" grep -q 'is an input of this run' err
ends 2 sheet estate-roots.ini --out roots-185.csv
ends 2 sheet estate-roots.ini --out x.html --json x.html
ends 2 sheet estate-roots.ini --out - --json -
ends 2 sheet estate-roots.ini estate-roots.ini --out x.html
ends 3 sheet estate-roots.ini --out .
ends 3 sheet estate-roots.ini --out missing/x.html
holds "something was written" test ! -e x.html
for file in estate-roots.ini roots-185.ini roots-185.csv; do
    holds "$file has changed" cmp "$file" "$maps/$file"
done
ends 1 sheet estate-roots.ini estate-screw.ini --out again.html
holds "another page on a second run" cmp again.html two.html

# In a browser: layout, print, the tip, and no scripts.
# full.html is the longest there is: two builds with fuel, water circuit and pulls.
sed 's/roots-185.ini/screw-120.ini/; s/^blower_pulley = .*/blower_pulley = 70 mm/' estate-roots-water.ini >water.ini
ends 1 sheet estate-roots-water.ini water.ini --out full.html
holds "in a browser" timeout 100 /usr/bin/python3 "$tests/sheet_browser.py" . one.html two.html full.html hostile.html
tell
