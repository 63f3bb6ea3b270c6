#!/bin/sh
# Line coverage of src: coverage.sh BUILD. Fails below 90 %.
set -u
build=$1
rm -rf "$build/gcov" && mkdir -p "$build/gcov" || exit 3
root=$(pwd)
for data in $(find "$build/src" -name '*.gcda'); do
    (cd "$build/gcov" && gcov -o "$root/$(dirname "$data")" "$root/$data" >/dev/null 2>&1)
done
# A line of a gcov file is "count: number: text"; ##### was never run, - holds no code.
for file in "$build"/gcov/*.c.gcov; do
    awk -F: -v name="$(sed -n '1s/.*Source://p' "$file")" '
        { gsub(/ /, "", $1) } $1 == "-" || $2 + 0 == 0 { next } { all++; if ($1 !~ /^[#=]/) run++ }
        END { if (all > 0) printf "%s %d %d\n", name, run, all }' "$file"
done | grep '^src/' | sort | awk '
    { printf "%6.1f %%  %5d of %5d  %s\n", 100 * $2 / $3, $2, $3, $1; run += $2; all += $3 }
    END { printf "%6.1f %%  %5d of %5d  src in all\n", 100 * run / all, run, all; exit run < 0.9 * all }'
