#!/bin/sh
# A host that has set a locale with a decimal comma: every command prints and writes the same bytes, and the unit tests
# pass. locale.sh PROGRAM [TEST...]
set -u
. "$(dirname "$0")/holds.sh"
program=$1
shift
here=$(cd "$(dirname "$0")/.." && pwd)
maps=$(cd "$here/../maps" && pwd) || exit 1
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
if ! localedef -i de_DE -f UTF-8 "$work/de_DE.UTF-8" 2>"$work/why"; then
    cat "$work/why"
    echo "locale: no locale with a decimal comma could be made"
    exit 1
fi
cd "$work" || exit 1
# A sanitizer wants to be the first that is loaded.
first=
case ${EXTRA_CFLAGS-} in
*address*) first="$(gcc -print-file-name=libasan.so) " ;;
esac
gcc -O1 -fPIC -shared "$here/support/comma.c" -o "$work/comma.so" || exit 1
comma() {
    env LOCPATH="$work" LC_ALL=de_DE.UTF-8 LD_PRELOAD="$first$work/comma.so" "$@"
}
for test in "$@"; do
    case $test in
    # These print and read numbers themselves, by the C library.
    */test_units | */test_scan_draw | */test_compare_draw) continue ;;
    # Long ones, whose commands run below.
    */test_spread | */test_log | */test_island | */test_compare | */test_soak) continue ;;
    esac
    holds "${test##*/} fails" comma env -C "$here/.." "$test"
done
mkdir "$work/plain" "$work/comma" || exit 1
cp "$maps"/*.ini "$maps"/*.csv "$maps"/*.png "$work/plain" && cp "$work/plain"/* "$work/comma" || exit 1
# run FOLDER ARGUMENTS...: the command in that folder, by `comma` when that is the folder's name.
run() {
    folder=$1
    shift
    (
        cd "$work/$folder" || exit 1
        if [ "$folder" = comma ]; then
            comma "$program" "$@" >>out 2>>err
        else
            "$program" "$@" >>out 2>>err
        fi
        echo "$?" >>out
    )
}
roots=estate-roots.ini
for folder in plain comma; do
    for units in si us; do
        drawn="--units $units --format svg --out drawn-$units"
        run $folder check $roots --units $units --sensitivity --csv check-$units.csv --json check-$units.json
        run $folder chart $roots $drawn
        run $folder chart estate-scan.ini --over-scan $drawn
        run $folder pulley $roots $drawn --boost '50 kPa' --csv pulley-$units.csv --json pulley-$units.json
        run $folder spread estate-tolerances.ini --samples 128 $drawn --csv spread-$units.csv --json spread-$units.json
        run $folder compare $roots estate-screw.ini $drawn --csv compare-$units.csv --json compare-$units.json
        run $folder site $roots $drawn --csv site-$units.csv --json site-$units.json
        run $folder soak estate-roots-water.ini $drawn --csv soak-$units.csv --json soak-$units.json
        run $folder belt estate-roots-belt.ini $drawn --csv belt-$units.csv --json belt-$units.json
        run $folder throttle $roots $drawn --csv throttle-$units.csv --json throttle-$units.json
        run $folder fuel estate-roots-water.ini $drawn --csv fuel-$units.csv --json fuel-$units.json
        run $folder knock $roots $drawn --csv knock-$units.csv --json knock-$units.json
        run $folder log $roots estate-roots-run.csv $drawn --csv log-$units.csv --json log-$units.json
        run $folder inspect roots-185.ini $drawn --csv inspect-$units.csv --json inspect-$units.json
    done
    run $folder trace roots-185-traced.ini --csv traced.csv --json traced.json --format svg --out drawn-si
    run $folder new build new.ini
    sed 's/^blower_pulley.*/blower_pulley = 92,0 mm/' "$work/$folder/$roots" >"$work/$folder/wrong.ini"
    run $folder check wrong.ini
done
holds "a decimal comma changes what is printed or written" diff -r "$work/plain" "$work/comma"
holds "hardly anything was run" test "$(grep -c "^[01]$" "$work/plain/out")" -ge 30
holds "hardly anything was drawn" test "$(ls "$work"/plain/drawn-* | wc -l)" -ge 20
tell
