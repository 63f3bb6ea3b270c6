#!/bin/sh
# Line coverage of src: coverage.sh BUILD. Fails below 90 %.
set -u
build=$1
# A line of gcov is "count: number: text"; ##### was never run, - holds no code. Headers hold none of ours.
for data in $(find "$build/src" -name '*.gcda'); do
    gcov -t -o "$(dirname "$data")" "$data" 2>/dev/null | awk -F: '
        $2 + 0 == 0 && $3 == "Source" { file = $4; next }
        { gsub(/ /, "", $1) } $1 == "-" || $2 + 0 == 0 { next }
        { all[file]++; if ($1 !~ /^[#=]/) run[file]++ }
        END { for (file in all) printf "%s %d %d\n", file, run[file], all[file] }'
done | grep '^src/' | sort | awk '
    { printf "%6.1f %%  %5d of %5d  %s\n", 100 * $2 / $3, $2, $3, $1; run += $2; all += $3 }
    END { printf "%6.1f %%  %5d of %5d  src in all\n", 100 * run / all, run, all; exit run < 0.9 * all }'
