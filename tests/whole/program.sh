#!/bin/sh
# Runs of the whole program: program.sh PROGRAM, from anywhere. What a run prints, its exit status, the files it
# leaves and the files it must not touch. Needs poppler-utils and libxml2-utils; uses python3, script and setpriv
# where they are there.
set -u
LC_ALL=C
TERM=xterm
export LC_ALL TERM
unset NO_COLOR
if [ $# -ne 1 ] || [ ! -x "$1" ]; then
    echo "usage: program.sh PROGRAM" >&2
    exit 1
fi
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
here=$(cd "$(dirname "$0")" && pwd) || exit 1
root=$(cd "$here/../.." && pwd) || exit 1
maps=$root/maps
work=$(mktemp -d) || exit 1
trap 'chmod -R u+w "$work" 2>/dev/null; rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
out=$work/out
err=$work/err
passed=0
failed=0
pass() {
    passed=$((passed + 1))
}
fail() {
    failed=$((failed + 1))
    echo "program.sh: $*"
}
skip() {
    echo "program.sh: left out: $*"
}
# ends WANT COMMAND...: runs it with an empty standard input into $out and $err and holds its exit status.
ends() {
    want=$1
    shift
    "$@" >"$out" 2>"$err" </dev/null
    got=$?
    if [ "$got" = "$want" ]; then
        pass
    else
        fail "exit status $got where $want is due: $*"
        sed 's/^/    /' "$err" | head -5
    fi
}
# holds WRONG COMMAND...: says what is wrong unless the command ends with 0.
holds() {
    wrong=$1
    shift
    if "$@" >"$work/holds" 2>&1; then
        pass
    else
        fail "$wrong"
        sed 's/^/    /' "$work/holds" | head -8
    fi
}
not() {
    ! "$@"
}
# A folder of this name with the demo's files in it, so that a run can change them.
room() {
    mkdir "$work/$1" && cp "$maps"/*.ini "$maps"/*.csv "$work/$1" || exit 1
    cd "$work/$1" || exit 1
}
# verdict FILE NAME: the verdict of a limit in a JSON file.
verdict() {
    awk -v name="\"$2\"," '$1 == "\"name\":" { at = $2 == name } at && $1 == "\"verdict\":" { gsub(/[",]/, "", $2); print $2 }' "$1"
}
verdict_is() {
    found=$(verdict "$1" "$2")
    if [ "$found" = "$3" ]; then
        pass
    else
        fail "$1: $2 is $found, not $3"
    fi
}
valid_json() {
    if [ -x /usr/bin/python3 ]; then
        /usr/bin/python3 -c '
import json, sys
def no(word): raise ValueError(word)
json.loads(open(sys.argv[1], encoding="utf-8").read(), parse_constant=no)' "$1"
    else
        # Starts and ends as one object; test_json reads the same bytes with a parser.
        [ "$(head -c 1 "$1")" = '{' ] && [ "$(tail -n 1 "$1")" = '}' ]
    fi
}
widest() {
    awk '{ n = length($0); if (n > most) most = n } END { print most + 0 }' "$1"
}
# inputs_intact WORDS: the demo's files in this folder are what they were.
inputs_intact() {
    for file in estate-roots.ini estate-screw.ini roots-185.ini screw-120.ini roots-185.csv screw-120.csv; do
        cmp -s "$file" "$maps/$file" || {
            fail "$1: $file has changed"
            cp "$maps/$file" "$file"
            return
        }
    done
    pass
}
no_temporary() {
    left=$(find . -name '*.*.??????')
    if [ -z "$left" ]; then
        pass
    else
        fail "$1: $left"
    fi
}

# ---- exit statuses, and where words go ----

room statuses
ends 0 "$program" --help
holds "--help says nothing on standard output" test -s "$out"
ends 0 "$program" --version
holds "--version does not name the program" grep -q '^sweptline [0-9]' "$out"
ends 2 "$program"
holds "no arguments: something is on standard output" test ! -s "$out"
ends 2 "$program" chekc estate-roots.ini
holds "a wrong command is not told what is near" grep -q 'did you mean check' "$err"
for command in check chart inspect pulley; do
    ends 0 "$program" "$command" --help
    ends 2 "$program" "$command"
    ends 2 "$program" "$command" nowhere.ini --json new.json --csv new.csv
    holds "$command of no file: something is on standard output" test ! -s "$out"
    holds "$command of no file does not name it" grep -q nowhere.ini "$err"
done
holds "a refused run writes a file" test ! -e new.json -a ! -e new.csv
ends 0 "$program" check estate-roots.ini
cp "$out" roots.txt
holds "a check says something on standard error" test ! -s "$err"
ends 1 "$program" check estate-screw.ini
cp "$out" screw.txt
holds "a check with a limit exceeded says something on standard error" test ! -s "$err"
holds "estate-roots: not 0 of 8 limits are exceeded" grep -q '^Result: 0 of 8 limits exceeded' roots.txt
holds "estate-screw: not 2 of 8 limits are exceeded" grep -q '^Result: 2 of 8 limits exceeded' screw.txt
holds "estate-screw: not two rows say EXCEEDED" test "$(grep -c 'EXCEEDED$' screw.txt)" = 2
ends 1 "$program" check estate-screw.ini --json screw.json
for pair in continuous_speed:exceeded short_time_speed:close boost:exceeded discharge_temperature:close \
    charge_temperature:kept drive_power:kept manifold_pressure_sensor:kept mass_flow_sensor:kept; do
    verdict_is screw.json "${pair%%:*}" "${pair##*:}"
done
ends 1 "$program" chart estate-screw.ini --out pictures
ends 0 "$program" inspect screw-120.ini

# Options may follow the file whatever the environment asks of other programs.
export POSIXLY_CORRECT=1
ends 0 "$program" check estate-roots.ini --json posix.json --units us
ends 0 "$program" check --units us -- estate-roots.ini
ends 1 "$program" compare estate-roots.ini --units us -- estate-screw.ini
ends 2 "$program" compare estate-roots.ini --units us -- estate-screw.ini --json x.json
unset POSIXLY_CORRECT
holds "POSIXLY_CORRECT: no JSON from an option behind the file" test -s posix.json

# ---- the text ----

for units in si us; do
    for unit in roots screw; do
        "$program" check "estate-$unit.ini" --units $units >"$unit-$units.txt" 2>"$err"
        most=$(widest "$unit-$units.txt")
        holds "estate-$unit in $units is $most columns wide, 100 fit" test "$most" -le 100
        holds "estate-$unit in $units has trailing blanks" not grep -n ' $' "$unit-$units.txt"
        holds "estate-$unit in $units has colour in a file" not grep -q "$(printf '\033')" "$unit-$units.txt"
    done
    "$program" inspect roots-185.ini --units $units >"inspect-$units.txt" 2>"$err"
    most=$(widest "inspect-$units.txt")
    holds "inspect in $units is $most columns wide, 100 fit" test "$most" -le 100
done
holds "units us does not show psi and degF" grep -q 'psi.*degF' roots-us.txt
holds "units si does not show kPa and degC" grep -q 'kPa.*degC' roots-si.txt
sed 's/^units = si/units = us/' estate-roots.ini >us.ini
"$program" check us.ini >us.txt 2>"$err"
holds "units of the build file are not used" cmp -s us.txt roots-us.txt
# The longest name and note that a file may have.
name=$(printf '%0127d' 0 | tr 0 n)
note=$(printf '%0399d' 0 | sed 's/00000/word /g; s/0/n/g')
sed "s/^name = .*/name = $name/; s/^note = .*/note = $note/" estate-roots.ini >long.ini
ends 0 "$program" check long.ini
most=$(widest "$out")
holds "a long name and note make text of $most columns, 100 fit" test "$most" -le 100

# ---- colour: on a terminal only, and not with NO_COLOR ----

if command -v script >/dev/null 2>&1 && script -qec true "$work/typescript" >/dev/null 2>&1 </dev/null; then
    terminal() {
        script -qec "$1 '$program' check estate-screw.ini" "$work/typescript" </dev/null >"$out" 2>&1
    }
    coloured() {
        grep -q "$(printf '\033')\\[" "$out"
    }
    terminal env
    holds "no colour on a terminal" coloured
    holds "on a terminal the verdict does not stand in words" grep -q EXCEEDED "$out"
    terminal 'NO_COLOR=1'
    holds "colour in spite of NO_COLOR" not coloured
    terminal 'NO_COLOR='
    holds "no colour with an empty NO_COLOR" coloured
    terminal 'TERM=dumb'
    holds "colour on a dumb terminal" not coloured
else
    skip "colour on a terminal: script is missing"
fi

# ---- what a message quotes ----

room quotes
no_controls() {
    [ "$(tr -d '\n' <"$err" | tr -d '[:print:]' | wc -c)" = 0 ]
}
odd=$(printf 'no\nsuch\033[31m\377file')
for words in "check" "compare estate-roots.ini" "new" "man" "completion" "help" "nosuch" "check estate-roots.ini --units" "chart estate-roots.ini --only"; do
    # shellcheck disable=SC2086
    ends 2 "$program" $words "$odd"
    holds "$words: a control sign of a name comes out with the message" no_controls
done
sed 's/^displacement = .*/displacement = 0 L/' estate-roots.ini >"$odd"
ends 2 "$program" check "$odd"
holds "a control sign of a build's name comes out with the message" no_controls

# A name as long as a command line lets it be: the reason behind it is told all the same.
long=$(printf '%09000d' 0)
ends 2 "$program" man "$long"
holds "man of a long name does not tell what is accepted" grep -q 'is accepted$' "$err"
ends 2 "$program" check "$long"
holds "check of a long name does not end with the count" grep -q '1 error in the input; nothing was computed or written$' "$err"
ends 3 "$program" check estate-roots.ini --json "$long"
holds "a long name of an output takes the reason away" grep -q ': File name too long$' "$err"

# ---- JSON and CSV ----

room tables
for unit in roots screw; do
    for units in si us; do
        "$program" check "estate-$unit.ini" --units $units --csv run.csv --json run.json >run.txt 2>"$err"
        holds "estate-$unit in $units: text, CSV and JSON differ" awk -v units=$units -f "$here/agree.awk" run.csv run.json run.txt
        "$program" check "estate-$unit.ini" --units $units --json - >alone.json 2>"$err"
        holds "estate-$unit in $units: --json - is not alone on standard output" cmp -s alone.json run.json
        "$program" check "estate-$unit.ini" --units $units --csv - >alone.csv 2>"$err"
        holds "estate-$unit in $units: --csv - is not alone on standard output" cmp -s alone.csv run.csv
        holds "estate-$unit in $units: --csv - says something on standard error" test ! -s "$err"
        holds "estate-$unit in $units: JSON is not valid" valid_json run.json
        cp run.json "$unit-$units.json"
    done
    holds "estate-$unit: JSON differs in si and us" cmp -s "$unit-si.json" "$unit-us.json"
done
# The same with points outside the map, a limit without a unit and a throttle body too small.
sed 's/^blower_pulley = .*/blower_pulley = 60 mm/; s/^throttle_bore = .*/throttle_bore = 32 mm/; s/^speed_from = .*/speed_from = 1000 rpm/; s/^boost = .*/pressure_ratio = 1.8/' \
    estate-roots.ini >odd.ini
"$program" check odd.ini --csv run.csv --json run.json >run.txt 2>"$err"
holds "a build off its map: text, CSV and JSON differ" awk -v units=si -f "$here/agree.awk" run.csv run.json run.txt
"$program" check estate-roots-water.ini --csv water.csv --json water.json >water.txt 2>"$err"
holds "a water circuit: text, CSV and JSON differ" awk -v units=si -f "$here/agree.awk" water.csv water.json water.txt
holds "a water circuit's coolant is not told" grep -q '^coolant into the core ' water.txt
most=$(widest run.txt)
holds "text of a build off its map is $most columns wide, 100 fit" test "$most" -le 100
holds "a build off its map has every point on it" grep -q '"on_map": false' run.json
holds "a build with a tiny throttle body is not choked" grep -q '"throttle_choked": true' run.json
holds "JSON does not name the command" grep -q '"command": "check"' roots-si.json
ends 0 "$program" chart estate-roots.ini --out pictures --json - --format svg
cp "$out" chart.json
holds "chart --json - is not alone on standard output" valid_json chart.json
holds "chart does not name its picture on standard error" grep -q '^wrote pictures/estate-roots-chart.svg$' "$err"
holds "a chart's JSON differs from the check's in more than the command" sh -c \
    'sed "s/\"chart\"/\"check\"/" chart.json | cmp -s - roots-si.json'
ends 0 "$program" inspect roots-185.ini --json -
cp "$out" unit.json
holds "inspect --json - is not valid" valid_json unit.json
ends 2 "$program" check estate-roots.ini --json - --csv -
# --json and --csv into one file would leave one of them only.
rm -f both
ends 2 "$program" check estate-roots.ini --json both --csv both
holds "--json and --csv into one file: it is written" test ! -e both

# ---- charts ----

room charts
ends 0 "$program" chart estate-roots.ini --out new --format png,svg,pdf --size 1200x800
for ending in png svg pdf; do
    holds "chart does not name new/estate-roots-chart.$ending" grep -q "^wrote new/estate-roots-chart.$ending\$" "$err"
    holds "chart does not write new/estate-roots-chart.$ending" test -s "new/estate-roots-chart.$ending"
done
ends 0 "$program" chart estate-roots.ini --out new/ --format svg
holds "a folder with a slash behind it is told with two" grep -q '^wrote new/estate-roots-chart.svg$' "$err"
holds "chart leaves something else in its folder" test "$(find new -type f | wc -l)" -eq 3
ends 0 "$program" chart estate-roots.ini --out new --format svg,pdf --only map
ends 0 "$program" chart estate-roots.ini --out new --format svg,pdf --only curves
ends 0 "$program" inspect roots-185.ini --out new --format svg,pdf
ends 0 "$program" chart estate-roots.ini
holds "a chart does not go to this folder when none is named" test -s estate-roots-chart.png
cp estate-roots-chart.png first.png
ends 0 "$program" chart estate-roots.ini
holds "the same run gives another PNG" cmp -s estate-roots-chart.png first.png
if command -v xmllint >/dev/null 2>&1; then
    for file in new/*.svg; do
        holds "$file is not well-formed" xmllint --noout --nonet "$file"
        holds "$file is 1 MB or more" test "$(wc -c <"$file")" -lt 1000000
    done
else
    skip "SVG: xmllint is missing"
fi
if command -v pdftotext >/dev/null 2>&1; then
    # text_of PDF WORDS: whether the words can be copied out of the page.
    text_of() {
        pdftotext -layout "$1" - | grep -qF "$2"
    }
    for words in 'Estate car, 4.4 L V8, Roots unit (invented)' 'Inlet volume flow, m3/h' '6400 rpm' 'Boost, kPa' \
        'Engine speed, rpm' '8 of 8 limits kept'; do
        holds "the PDF lacks: $words" text_of new/estate-roots-chart.pdf "$words"
    done
    holds "the PDF of the map lacks its axis" text_of new/estate-roots-map.pdf 'Inlet volume flow, m3/h'
    holds "the PDF of the curves has the map's axis" not text_of new/estate-roots-curves.pdf 'Inlet volume flow'
    holds "the PDF of a unit lacks its name" text_of new/roots-185-map.pdf 'Invented Roots unit 185'
    ends 0 "$program" chart estate-roots.ini --out a4 --format pdf
    pdfinfo a4/estate-roots-chart.pdf >a4/info
    holds "a PDF is not A4 landscape when no size is given" grep -q '^Page size: *841.89 x 595.2[0-9]* pts' a4/info
    holds "a PDF has more than one page" grep -q '^Pages: *1$' a4/info
    holds "a PDF's title is not the build's" grep -q '^Title: *Estate car, 4.4 L V8, Roots unit (invented)$' a4/info
    pdfinfo new/estate-roots-chart.pdf >a4/info
    holds "a PDF of 1200x800 is not 900 by 600 points" grep -q '^Page size: *900 x 600 pts' a4/info
else
    skip "PDF: pdftotext is missing"
fi
holds "a PNG is not 1200 by 800" sh -c \
    'test "$(od -An -tu1 -j16 -N8 new/estate-roots-chart.png | tr -s " ")" = " 0 0 4 176 0 0 3 32"'
# A stem that looks like an ending, and none at all.
cp estate-roots.ini .hidden
cp estate-roots.ini two.dots.ini
cp estate-roots.ini plain
for pair in .hidden:.hidden-chart two.dots.ini:two.dots-chart plain:plain-chart; do
    ends 0 "$program" chart "${pair%%:*}" --out stems
    holds "chart of ${pair%%:*} is not stems/${pair##*:}.png" test -s "stems/${pair##*:}.png"
done
# A name that begins with a hyphen, after --.
cp estate-roots.ini ./-odd.ini
ends 0 "$program" check -- -odd.ini

# ---- files that must not be touched ----

room kept
printf 'old\n' >file
for option in "--json file/x.json" "--csv file/x.csv" "--json nowhere/x.json" "--json ." "--json /dev/full" "--csv /dev/full"; do
    # The words of the option are to be split.
    # shellcheck disable=SC2086
    ends 3 "$program" check estate-roots.ini $option
    holds "check $option: no reason is given" test -s "$err"
done
ends 3 "$program" chart estate-roots.ini --out file
ends 3 "$program" chart estate-roots.ini --out file/x
ends 3 "$program" chart estate-roots.ini --out nowhere/x
holds "a file in the way is touched" test "$(cat file)" = old
for words in "check estate-roots.ini" "check estate-roots.ini --json -" "check estate-roots.ini --csv -" \
    "inspect roots-185.ini" "chart estate-roots.ini --out file2" "--help" "--version" "check --help"; do
    # shellcheck disable=SC2086
    "$program" $words >/dev/full 2>"$err" </dev/null
    got=$?
    holds "$words into a full device ends with $got" test "$got" = 3
    holds "$words into a full device gives no reason" test -s "$err"
done
# valgrind opens again what is closed.
if [ -z "${WATCHED:-}" ]; then
    "$program" check estate-roots.ini >&- 2>"$err" </dev/null
    got=$?
    holds "check with standard output closed ends with $got" test "$got" = 3
fi
inputs_intact "a failed run"
no_temporary "a failed run leaves a temporary"

# Two outputs into one file, in a folder that is still to be made, by another spelling.
for other in ./fresh/estate-roots-chart.svg .//fresh//./estate-roots-chart.svg; do
    "$program" chart estate-roots.ini --format svg --out fresh --json "$other" >/dev/null 2>"$err"
    got=$?
    holds "a picture and a table into $other end with $got" test "$got" = 2
    holds "a picture and a table into $other are not told" grep -q "two outputs of this run would go there" "$err"
    holds "a picture and a table into $other leave a folder" test ! -e fresh
done

# A device that fills up halfway: the size limit makes the write fail after 4096 bytes.
printf 'old\n' >result.json
(
    trap '' XFSZ
    ulimit -f 8
    "$program" check estate-roots.ini --json result.json >/dev/null 2>"$work/full" </dev/null
)
got=$?
holds "a write that fails halfway ends with $got" test "$got" = 3
holds "a write that fails halfway does not leave the old file" test "$(cat result.json)" = old
no_temporary "a write that fails halfway leaves a temporary"
# The same with the signal at its default.
(
    ulimit -f 8
    "$program" check estate-roots.ini --json result.json >/dev/null 2>"$work/full" </dev/null
) 2>/dev/null
got=$?
holds "a write over the size limit ends with $got" test "$got" = 3
holds "a write over the size limit does not leave the old file" test "$(cat result.json)" = old
no_temporary "a write over the size limit leaves a temporary"
rm -f result.json.??????

# A folder that may not be written to. Root may, so it becomes nobody for this.
mkdir shut && printf 'old\n' >shut/result.json
cp "$program" ./copy
chmod 755 "$work" . copy
as_user=
if [ "$(id -u)" = 0 ]; then
    as_user='setpriv --reuid=65534 --regid=65534 --clear-groups'
    # shellcheck disable=SC2086
    $as_user ./copy --version >/dev/null 2>&1 || as_user=none
fi
if [ "$as_user" != none ]; then
    chmod 444 shut/result.json && chmod 555 shut
    # shellcheck disable=SC2086
    ends 3 $as_user ./copy check estate-roots.ini --json shut/result.json
    # shellcheck disable=SC2086
    ends 3 $as_user ./copy check estate-roots.ini --csv shut/new.csv
    # shellcheck disable=SC2086
    ends 3 $as_user ./copy chart estate-roots.ini --out shut
    # shellcheck disable=SC2086
    ends 3 $as_user ./copy chart estate-roots.ini --out shut/new
    holds "a folder that may not be written to has changed" test "$(ls shut):$(cat shut/result.json)" = result.json:old
    chmod 755 shut
else
    skip "a read-only folder: setpriv is missing"
fi

# A written file gets the umask's mode, one written over keeps its own.
(umask 027 && "$program" check estate-roots.ini --json mode.json >/dev/null 2>&1)
holds "a new file has another mode than the umask leaves" test "$(ls -l mode.json | cut -c1-10)" = -rw-r-----
chmod 600 mode.json
ends 0 "$program" check estate-roots.ini --json mode.json
holds "a file written over has another mode" test "$(ls -l mode.json | cut -c1-10)" = -rw-------
holds "a file written over is not whole" valid_json mode.json

# Never over an input, whatever name it goes by.
mkdir other
ln estate-roots.ini hard.ini
ln roots-185.ini other/estate-roots-chart.svg
ln -s roots-185.csv soft.csv
ln -s "$work/kept/estate-roots.ini" soft.ini
for target in estate-roots.ini ./estate-roots.ini roots-185.ini roots-185.csv hard.ini soft.csv soft.ini \
    "$work/kept/roots-185.csv" other/../roots-185.ini; do
    for option in --json --csv; do
        ends 2 "$program" check estate-roots.ini $option "$target"
        inputs_intact "check estate-roots.ini $option $target"
    done
done
holds "an output over an input is not named" grep -q 'is an input of this run' "$err"
ends 2 "$program" chart estate-roots.ini --out other --format svg
ends 2 "$program" inspect roots-185.ini --csv roots-185.csv
ends 2 "$program" inspect roots-185.ini --json soft.csv
ends 2 "$program" check soft.ini --json estate-roots.ini
inputs_intact "an output that is an input under another name"
"$program" check - --json estate-roots.ini <estate-roots.ini >"$out" 2>"$err"
got=$?
holds "the build file on standard input as an output ends with $got" test "$got" = 2
# Standard output is an output too, which the shell may have opened on an input.
for words in "check estate-roots.ini" "check estate-roots.ini --csv -" "chart estate-roots.ini --out new --format svg" \
    "compare estate-roots.ini estate-screw.ini" "pulley estate-roots.ini" "site estate-roots.ini" "inspect roots-185.ini" \
    "serve estate-roots.ini"; do
    for file in estate-roots.ini roots-185.ini roots-185.csv; do
        case "$words:$file" in inspect*:estate*) continue ;; esac
        # shellcheck disable=SC2086
        timeout 20 "$program" $words >>"$file" 2>"$err" </dev/null
        got=$?
        holds "$words with standard output on $file ends with $got" test "$got" = 2
        holds "$words with standard output on $file does not name it" grep -q "standard output goes to $file" "$err"
        inputs_intact "$words with standard output on $file"
    done
done
inputs_intact "the build file on standard input as an output"

# ---- a small stack ----

room small
cp "$maps/roots-185-scan.png" .
# small_stack WANT WORDS...: ends with a stack of 256 kB.
small_stack() {
    stack_want=$1
    shift
    (ulimit -s 256 && exec "$program" "$@") >"$out" 2>"$err" </dev/null
    got=$?
    holds "$1 with a stack of 256 kB ends with $got" test "$got" = "$stack_want"
}
small_stack 1 compare estate-roots.ini estate-screw.ini --format svg --out new
small_stack 1 sheet estate-roots.ini estate-screw.ini --out new/sheet.html
small_stack 0 chart estate-roots.ini --format svg --out new
small_stack 0 log estate-roots.ini estate-roots-run.csv --format svg --out new
small_stack 0 trace roots-185-traced.ini

# ---- the file on standard input, odd names, other folders ----

room "with blanks"
mv estate-roots.ini "my build.ini"
mv roots-185.ini "the unit.ini"
mv roots-185.csv "its map.csv"
sed 's/^unit = .*/unit = the unit.ini/' "my build.ini" >moved && mv moved "my build.ini"
sed 's/^table = .*/table = its map.csv/' "the unit.ini" >moved && mv moved "the unit.ini"
ends 0 "$program" check "my build.ini" --json "a result.json" --csv "a table.csv"
holds "other text from files with blanks in their names" cmp -s "$out" ../statuses/roots.txt
holds "no JSON in a file with a blank in its name" valid_json "a result.json"
ends 0 "$program" chart "my build.ini" --out "some pictures"
holds "no picture with a blank in its name" test -s "some pictures/my build-chart.png"
"$program" check - <"my build.ini" >"$out" 2>"$err"
got=$?
holds "a build on standard input ends with $got" test "$got" = 0
holds "a build on standard input gives other text" cmp -s "$out" ../statuses/roots.txt
"$program" check - --json - <"my build.ini" >stdin.json 2>"$err"
holds "a build on standard input gives other JSON" cmp -s stdin.json ../tables/roots-si.json
"$program" chart - --out piped <"my build.ini" >"$out" 2>"$err"
holds "a chart of standard input has another name" test -s piped/standard-input-chart.png
ends 2 "$program" check -
cd /
ends 0 "$program" check "$work/with blanks/my build.ini"
holds "other text from another folder" cmp -s "$out" "$work/statuses/roots.txt"
cd "$work/with blanks/some pictures" || exit 1
ends 0 "$program" check "../my build.ini"
holds "other text from the folder of the pictures" cmp -s "$out" "$work/statuses/roots.txt"

# ---- a change of pulley ----

room pulleys
# with_pulley FILE SIZE: a copy of the build with another blower pulley, checked into pulley.json.
with_pulley() {
    sed "s/^blower_pulley = .*/blower_pulley = $2/" "$1" >pulley.ini
    "$program" check pulley.ini --json pulley.json >pulley.txt 2>"$err"
    status=$?
}
with_pulley estate-roots.ini '92 mm'
verdict_is pulley.json continuous_speed kept
verdict_is pulley.json boost kept
with_pulley estate-roots.ini '74 mm'
holds "a 74 mm pulley ends with $status" test "$status" = 1
verdict_is pulley.json continuous_speed exceeded
verdict_is pulley.json boost exceeded
with_pulley estate-screw.ini '60 mm'
holds "a 60 mm pulley on the screw unit ends with $status" test "$status" = 0
# The smallest pulley that the text gives keeps the limit that decides it, and a little less does not; likewise in
# inches, and for each limit's own in the JSON.
for build in estate-roots.ini estate-screw.ini; do
    for units in si us; do
        "$program" check $build --units $units >given.txt 2>"$err"
        size=$(sed -n 's/^Smallest blower pulley by rotor speed alone: \([0-9.]* [a-z]*\),.*/\1/p' given.txt)
        holds "$build in $units: no smallest pulley is listed" test -n "$size"
        with_pulley $build "$size"
        for limit in continuous_speed short_time_speed; do
            found=$(verdict pulley.json $limit)
            holds "$build: $limit with the smallest pulley listed, $size, is $found" test "$found" != exceeded
        done
        less=$(echo "$size" | awk '{ print $1 - ($2 == "in" ? 0.002 : 0.1), $2 }')
        with_pulley $build "$less"
        found=$(verdict pulley.json continuous_speed),$(verdict pulley.json short_time_speed)
        holds "$build: with a smaller pulley, $less, both are kept" test "${found#*exceeded}" != "$found"
    done
    "$program" check $build --json given.json >/dev/null 2>"$err"
    for limit in continuous_speed short_time_speed; do
        size=$(awk -v name="\"$limit\"," '$1 == "\"name\":" { at = $2 == name } at && /smallest/ { sub(/,$/, "", $2); print $2 }' given.json)
        with_pulley $build "$size m"
        found=$(verdict pulley.json $limit)
        holds "$build: $limit with the smallest pulley of the JSON, $size m, is $found" test "$found" = close
    done
done

# ---- sizes of a pulley, side by side ----

room shelf
ends 0 "$program" pulley estate-roots.ini --json sizes.json --csv sizes.csv
cp "$out" sizes.txt
holds "pulley's JSON is not valid" valid_json sizes.json
holds "pulley says something on standard error" test ! -s "$err"
for units in si us; do
    for unit in roots screw; do
        "$program" pulley "estate-$unit.ini" --units $units --island 2500:5500 --boost 900kPa >"$unit-$units.txt" 2>"$err"
        most=$(widest "$unit-$units.txt")
        holds "pulley of estate-$unit in $units is $most columns wide, 100 fit" test "$most" -le 100
        holds "pulley of estate-$unit in $units has trailing blanks" not grep -n ' $' "$unit-$units.txt"
    done
done
# A row of the table is the check of that size: blower speed and its margin, boost and power at their highest.
sed 's/^blower_pulley = .*/blower_pulley = 84 mm/' estate-roots.ini >84.ini
"$program" check 84.ini --json 84.json >/dev/null 2>"$err"
"$program" pulley estate-roots.ini --blower 84mm --speeds 4000 --json row.json >/dev/null 2>"$err"
if [ -x /usr/bin/python3 ]; then
    holds "a row of pulley is not the check of its size" /usr/bin/python3 -c '
import json
check, row = json.load(open("84.json")), json.load(open("row.json"))["pulleys"][0]
limit = {l["name"]: l for l in check["limits"]}
def near(a, b): assert abs(a - b) <= 1e-9 * max(1, abs(b)), (a, b)
near(row["margin_at_limit"], limit["continuous_speed"]["margin"])
near(row["margin_at_over_rev"], limit["short_time_speed"]["margin"])
near(row["boost_peak_pa"], limit["boost"]["value"])
near(row["discharge_temperature_k"], limit["discharge_temperature"]["value"])
near(row["charge_temperature_k"], limit["charge_temperature"]["value"])
near(row["drive_power_w"], limit["drive_power"]["value"])
near(row["margin"], min(l["margin"] for l in check["limits"]))
near(row["boost"][0]["boost_pa"], [p for p in check["line"] if p["engine_speed_rpm"] == 4000][0]["boost_pa"])
near(row["crank_power_w"], max(p["crank_power_w"] for p in check["line"]))
near(row["wheel_power_w"], max(p["wheel_power_w"] for p in check["line"]))
assert len(row["boost"]) == 1'
fi
grep -v '^driveline_loss' estate-roots.ini >bare.ini
ends 0 "$program" pulley bare.ini
holds "wheel power without a driveline loss" not grep -q ' wheel$' "$out"
holds "no crank power without a driveline loss" grep -q ' crank$' "$out"
holds "no wheel power in spite of a driveline loss" grep -q ' wheel$' sizes.txt
# What stops a search is told, and where.
ends 0 "$program" pulley estate-roots.ini --boost 3000kPa
holds "a boost that no pulley gives is not told with the most there is" grep -q 'no size gives as much; the most is' "$out"
holds "it is not told that the engine cannot swallow the air" grep -q 'engine cannot' "$out"
ends 0 "$program" pulley estate-roots.ini --max-speed 500000rpm
holds "the range of sizes is not told as what stops a search" grep -q 'sizes searched, 9.2 mm to 920.0 mm' "$out"
sed 's/^blower_pulley = .*/blower_pulley = 50 mm/' estate-roots.ini >50.ini
ends 0 "$program" pulley 50.ini --island 2500:5500 --blower 92mm
tr -s '\n ' ' ' <"$out" >flat
holds "an island at the end of the search is not told" grep -q 'still improving at the end of the sizes searched, 25.0 mm to 100.0 mm' flat
ends 1 "$program" pulley estate-roots.ini --blower 70mm,74mm
ends 1 "$program" pulley estate-roots.ini --crank 900mm
holds "a size without an operating point is not told why" grep -q '900.0 mm: no operating point at 1500 rpm' "$out"
# Pictures.
ends 0 "$program" pulley estate-roots.ini --format png,svg,pdf --out new
for ending in png svg pdf; do
    holds "pulley does not name its $ending" grep -q "^wrote new/estate-roots-pulley.$ending\$" "$err"
    holds "pulley does not write its $ending" test -s "new/estate-roots-pulley.$ending"
done
holds "pulley with pictures prints other text" cmp -s "$out" sizes.txt
if command -v xmllint >/dev/null 2>&1; then
    holds "pulley's SVG is not well-formed" xmllint --noout --nonet new/estate-roots-pulley.svg
fi
if command -v pdftotext >/dev/null 2>&1; then
    for words in 'Boost, kPa' 'Least to spare of all limits, %' 'continuous limit 12000' 'drive ratio' '84.4'; do
        holds "pulley's PDF lacks: $words" text_of new/estate-roots-pulley.pdf "$words"
    done
fi
ends 0 "$program" pulley estate-roots.ini
holds "pulley draws without being asked to" test ! -e estate-roots-pulley.png
ends 3 "$program" pulley estate-roots.ini --format png --out /dev/null
cp estate-roots.ini first.ini
ln -f roots-185.csv new/first-pulley.svg
ends 2 "$program" pulley first.ini --format svg --out new
inputs_intact "a picture of pulley over the map"
no_temporary "pulley leaves a temporary"

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
