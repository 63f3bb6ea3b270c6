#!/bin/sh
# Runs the demo: demo.sh PROGRAM [quiet]. Pictures go to plots/, or to the folder that PLOTS names. A build that exceeds a limit ends with 1, which is part of the show.
set -u
program=$1
quiet=${2:-}
plots=${PLOTS:-plots}
mkdir -p "$plots" || exit 3
run() {
    if [ -n "$quiet" ]; then
        "$@" >/dev/null
    else
        printf '\n$ %s\n' "$*" | sed "s|$program|sweptline|"
        "$@"
    fi
    code=$?
    [ -n "$quiet" ] || echo "(exit status $code)"
    if [ "$code" -gt 1 ]; then exit "$code"; fi
}
run "$program" chart maps/estate-roots.ini --out "$plots" --format png,svg,pdf
run "$program" chart maps/estate-screw.ini --out "$plots" --format png,svg,pdf
run "$program" site maps/estate-roots.ini --out "$plots" --format png,svg
run "$program" pulley maps/estate-roots.ini --blower 76mm:104mm:4mm --boost 60kPa --at 4000rpm --island 2500rpm:5500rpm --out "$plots" --format png,svg,pdf
run "$program" spread maps/estate-tolerances.ini --out "$plots" --format png,svg,pdf
run "$program" compare maps/estate-roots.ini maps/estate-screw.ini --boost 60kPa --out "$plots" --format png,pdf
run "$program" soak maps/estate-roots-water.ini --out "$plots" --format png,svg
run "$program" fuel maps/estate-roots-water.ini --out "$plots" --format png
run "$program" throttle maps/estate-roots.ini --out "$plots" --format png
run "$program" knock maps/estate-roots.ini --out "$plots" --format png
run "$program" belt maps/estate-roots-belt.ini --out "$plots" --format png,svg
run "$program" inspect maps/roots-185.ini --out "$plots" --format png,svg
run "$program" inspect maps/screw-120.ini --out "$plots" --format png,svg
run "$program" trace maps/roots-185-traced.ini --out "$plots" --format png
run "$program" inspect maps/roots-185-scan.ini --over-scan --out "$plots" --format png
run "$program" chart maps/estate-scan.ini --over-scan --out "$plots" --format png
run "$program" log maps/estate-roots.ini maps/estate-roots-run.csv --out "$plots" --format png
[ -n "$quiet" ] || printf '\nThe charts are in plots/. Change blower_pulley in maps/estate-roots.ini and run\n  build/sweptline check maps/estate-roots.ini\n'
