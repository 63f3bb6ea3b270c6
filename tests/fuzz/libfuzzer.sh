#!/bin/sh
# Runs each target for some seconds: libfuzzer.sh BUILD TIME TARGET...  New inputs stay in BUILD/corpus, findings in
# BUILD/found, and the next run goes on from them.
set -u
build=$1
time=$2
shift 2
fail=0
/usr/bin/python3 tests/fuzz/seeds.py "$build/seeds" || exit 1
for target in "$@"; do
    mkdir -p "$build/corpus/$target" "$build/found/$target"
    found="tests/fuzz/corpus/$target"
    [ ! -d "tests/fuzz/found/$target" ] || found="$found tests/fuzz/found/$target"
    # What AddressSanitizer keeps of freed memory would count against the limit.
    # shellcheck disable=SC2086
    if ASAN_OPTIONS=quarantine_size_mb=32 UBSAN_OPTIONS=print_stacktrace=1 /usr/bin/time -f 'cpu %U %S' "$build/fuzz/$target" -max_total_time="$time" \
        -timeout=5 -rss_limit_mb=512 -max_len=20000 -print_final_stats=1 -dict=tests/fuzz/sweptline.dict \
        -artifact_prefix="$build/found/$target/" "$build/corpus/$target" $found "$build/seeds/$target" \
        >"$build/$target.log" 2>&1; then
        awk -v target="$target" '
            { for (i = 1; i < NF; i++) if ($i == "cov:") cov = $(i + 1) }
            /number_of_executed_units/ { runs = $2 }
            /^cpu/ { cpu = $2 + $3 }
            END { printf "%-12s %9d runs in %4.0f s of processor time, %5d places reached\n", target, runs, cpu, cov }' \
            "$build/$target.log"
    else
        fail=1
        grep -E 'does not hold|runtime error|ERROR|SUMMARY|Test unit written' "$build/$target.log" | head -5
        echo "libfuzzer.sh: $target has a finding; $build/$target.log"
    fi
done
exit "$fail"
