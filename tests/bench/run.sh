#!/bin/sh
# Times the common job: run.sh BUILD.
set -u
build=$1
folder=$(mktemp -d) || exit 3
trap 'rm -rf "$folder"' EXIT
"$build/tests-bench/points" maps/estate-roots.ini
"$build/tests-bench/spread" maps/estate-tolerances.ini
clock() {
    name=$1
    count=$2
    shift 2
    start=$(date +%s%N)
    i=0
    while [ "$i" -lt "$count" ]; do
        "$@" >/dev/null 2>&1
        i=$((i + 1))
    done
    end=$(date +%s%N)
    awk -v name="$name" -v ns="$((end - start))" -v n="$count" 'BEGIN { printf "%-24s %8.2f ms\n", name, ns / n / 1e6 }'
}
clock "check" 50 "$build/sweptline" check maps/estate-roots.ini
for format in png svg pdf; do
    clock "chart $format" 10 "$build/sweptline" chart maps/estate-roots.ini --out "$folder" --format $format
done
clock "pulley, 9 sizes" 20 "$build/sweptline" pulley maps/estate-roots.ini
clock "pulley, 200 sizes" 5 "$build/sweptline" pulley maps/estate-roots.ini --blower 70mm:109.8mm:0.2mm
clock "pulley, island" 5 "$build/sweptline" pulley maps/estate-roots.ini --island 2500:5500
clock "pulley, picture" 5 "$build/sweptline" pulley maps/estate-roots.ini --out "$folder" --format png
clock "spread" 3 "$build/sweptline" spread maps/estate-tolerances.ini
/usr/bin/python3 tests/bench/trace.py "$build/sweptline"
