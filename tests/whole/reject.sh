#!/bin/sh
# Input that must be refused, and input that only looks odd: reject.sh PROGRAM [--update]
# Each folder of tests/reject is one refused run: its input files, the exact standard error in `error`,
# and where they differ from the default: `args` (the words after the program), `status` (2),
# `make.sh` (makes files that git should not hold). --update writes the `error` files anew.
set -u
LC_ALL=C
export LC_ALL
cases=$(cd "$(dirname "$0")/../reject" && pwd) || exit 1
least=60
update=no
program=
for word in "$@"; do
    case $word in
    --update) update=yes ;;
    *) program=$word ;;
    esac
done
if [ -z "$program" ]; then
    echo "usage: reject.sh PROGRAM [--update]" >&2
    exit 1
fi
case $program in
/*) ;;
*) program=$(pwd)/$program ;;
esac
if [ ! -x "$program" ]; then
    echo "reject.sh: $program is not a program" >&2
    exit 1
fi
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
trap 'exit 1' HUP INT TERM
passed=0
failed=0
found=0

# Names, links and contents of everything in a folder.
snapshot() {
    (cd "$1" && find . -exec ls -ld {} + | awk '{ print $1, $NF }' | sort && find . -type f -exec cksum {} + | sort)
}

# Runs the program in $work/room with the words of a command line. Standard input is empty.
run() {
    snapshot "$work/room" >"$work/before"
    (
        cd "$work/room" || exit 99
        set -f
        eval "set -- $1"
        # A run that does not end is stopped, so that the rest is still reported.
        exec timeout 120 "$program" "$@"
    ) </dev/null >"$work/out" 2>"$work/err"
    got=$?
    snapshot "$work/room" >"$work/after"
}

# Counts one run by what is in $work/why.
count() {
    if [ -s "$work/why" ]; then
        failed=$((failed + 1))
        echo "FAILED $1"
        sed 's/^/    /' "$work/why"
    else
        passed=$((passed + 1))
    fi
}

reject() {
    folder=$1
    name=$(basename "$folder")
    found=$((found + 1))
    : >"$work/why"
    rm -rf "$work/room"
    cp -R "$folder" "$work/room"
    if [ -f "$folder/make.sh" ]; then
        (cd "$work/room" && sh ./make.sh) >>"$work/why" 2>&1 || echo "make.sh did not end well" >>"$work/why"
    fi
    (cd "$work/room" && rm -f args error status make.sh)
    args="check build.ini"
    want=2
    [ ! -f "$folder/args" ] || read -r args <"$folder/args"
    [ ! -f "$folder/status" ] || read -r want <"$folder/status"
    run "$args"
    [ "$update" = no ] || cp "$work/err" "$folder/error"
    [ "$got" = "$want" ] || echo "exit status $got, wanted $want" >>"$work/why"
    [ -s "$folder/error" ] || echo "the file error is missing or empty" >>"$work/why"
    diff -u "$folder/error" "$work/err" >>"$work/why" 2>&1
    [ ! -s "$work/out" ] || { echo "standard output is not empty:" && cat "$work/out"; } >>"$work/why"
    diff "$work/before" "$work/after" >"$work/changed" || { echo "files were created or changed:" && cat "$work/changed"; } >>"$work/why"
    count "$name"
}

# ---- accepted: the plain files below, written in other ways, give the same report ---------------------------

plain() {
    rm -rf "$work/room"
    mkdir "$work/room"
    cat >"$work/room/build.ini" <<'END'
[build]
name = Invented build
[site]
temperature = 25 degC
pressure = 100 kPa
relative_humidity = 50 %
[engine]
displacement = 3.0 L
compression_ratio = 9.5
speed_from = 2000 rpm
speed_step = 1000 rpm
speed_limit = 6000 rpm
volumetric_efficiency = 2000: 80 %, 4000: 88 %, 6000: 82 %
[blower]
unit = unit.ini
[drive]
crank_pulley = 150 mm
blower_pulley = 75 mm
END
    cat >"$work/room/unit.ini" <<'END'
[unit]
name = Invented unit
kind = roots
displacement = 1.0 L/rev
continuous_speed = 14000 rpm
[map]
table = unit.csv
temperature = 25 degC
efficiency_from = temperature rise
END
    cat >"$work/room/unit.csv" <<'END'
blower speed [rpm],pressure ratio,flow [m3/h],adiabatic efficiency [%]
4000,1.2,205,62
4000,2.4,160,58
12000,1.2,660,60
12000,2.4,600,62
END
}

rewrite() { # awk-program FILE...
    by=$1
    shift
    for file in "$@"; do
        awk "$by" "$work/room/$file" >"$work/rewritten" && cp "$work/rewritten" "$work/room/$file" || return 1
    done
}

bom() {
    for file in build.ini unit.ini unit.csv; do
        { printf '\357\273\277' && cat "$work/room/$file"; } >"$work/rewritten" && cp "$work/rewritten" "$work/room/$file" || return 1
    done
}

crlf() {
    rewrite '{ printf "%s\r\n", $0 }' build.ini unit.ini unit.csv
}

crlf_and_bom() {
    crlf && bom
}

# accept NAME [what changes the plain files]
accept() {
    name=$1
    shift
    : >"$work/why"
    plain
    snapshot "$work/room" >"$work/unchanged"
    if [ $# -gt 0 ]; then
        "$@" 2>>"$work/why" || echo "the files could not be changed" >>"$work/why"
        ! snapshot "$work/room" | cmp -s - "$work/unchanged" || echo "the files were not changed" >>"$work/why"
    fi
    run "check build.ini"
    [ "$got" = 0 ] || echo "exit status $got, wanted 0" >>"$work/why"
    [ ! -s "$work/err" ] || cat "$work/err" >>"$work/why"
    [ -s "$work/out" ] || echo "standard output is empty" >>"$work/why"
    # A note names the line it is about, which may be another one here.
    sed 's/^\(- [a-z.]*\):[0-9]*:/\1:/' "$work/out" >"$work/report"
    [ $# -gt 0 ] || cp "$work/report" "$work/plain"
    diff "$work/plain" "$work/report" >>"$work/why" 2>&1
    diff "$work/before" "$work/after" >>"$work/why"
    count "accepted: $name"
}

for folder in "$cases"/*/; do
    [ ! -d "$folder" ] || reject "${folder%/}"
done

accept "plain files"
accept "byte order mark" bom
accept "CRLF line ends" crlf
accept "byte order mark and CRLF line ends" crlf_and_bom
accept "no line end at the end of the file" rewrite '{ printf "%s%s", (NR > 1 ? "\n" : ""), $0 }' build.ini unit.ini unit.csv
accept "comments" rewrite '{ print "# a comment"; print $0 "  ; another" }' build.ini unit.ini
accept "a curve over several lines" rewrite '/^volumetric/ { gsub(", ", ",\n    ") } { print }' build.ini
accept "semicolons in the table" rewrite '{ gsub(",", ";"); print }' unit.csv
accept "quotes in the table" rewrite '{ gsub(",", "\",\""); print "\"" $0 "\"" }' unit.csv
accept "capitals, underscores and blanks in the table" \
    rewrite 'NR == 1 { print "Blower_Speed [rpm],Pressure ratio,Flow [m3/h],Adiabatic Efficiency [%]"; next } { gsub(",", " , "); print }' unit.csv
accept "rows of the table in another order" \
    rewrite 'NR == 1 { print; next } { row[NR] = $0 } END { for (i = NR; i > 1; i--) print row[i] }' unit.csv
accept "file names in quotes" rewrite '/^unit|^table/ { sub("= ", "= \""); $0 = $0 "\"" } { print }' build.ini unit.ini
accept "no-break spaces before units" rewrite '/= [0-9.]* [a-zA-Z%]/ && !/,/ { sub(/ [a-zA-Z%]+$/, "\302\240&") } { print }' build.ini

if [ "$found" -lt "$least" ]; then
    echo "only $found cases in $cases; at least $least are wanted"
    failed=$((failed + 1))
fi
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
