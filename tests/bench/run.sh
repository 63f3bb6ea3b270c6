#!/bin/sh
# Times the common job: run.sh BUILD.
set -u
build=$1
folder=$(mktemp -d) || exit 3
trap 'rm -rf "$folder"' EXIT
"$build/tests-bench/points" maps/estate-roots.ini
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
