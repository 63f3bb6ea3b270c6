#!/bin/sh
# Runs each target for some seconds with AFL++: afl.sh BUILD TIME TARGET...  All it finds is in BUILD/out/TARGET.
set -u
build=$1
time=$2
shift 2
fail=0
for target in "$@"; do
    seeds="tests/fuzz/corpus/$target"
    out="$build/out/$target"
    rm -rf "$out"
    mkdir -p "$out"
    if ! AFL_NO_UI=1 AFL_SKIP_CPUFREQ=1 AFL_I_DONT_CARE_ABOUT_MISSING_CRASHES=1 AFL_NO_AFFINITY=1 \
        ASAN_OPTIONS=abort_on_error=1:symbolize=0:detect_leaks=0 UBSAN_OPTIONS=abort_on_error=1:symbolize=0 \
        afl-fuzz -V "$time" -m none -t 5000+ -x tests/fuzz/sweptline.dict -i "$seeds" -o "$out" -- "$build/fuzz/$target" \
        >"$build/$target.log" 2>&1; then
        tail -5 "$build/$target.log"
        echo "afl.sh: $target did not run; $build/$target.log"
        fail=1
        continue
    fi
    awk -F' *: *' -v target="$target" '
        { has[$1] = $2 }
        END { printf "%-12s %9d runs, %s edges reached, %d crashes, %d hangs\n", target, has["execs_done"],
              has["edges_found"], has["saved_crashes"], has["saved_hangs"]
              exit has["saved_crashes"] + has["saved_hangs"] > 0 }' "$out/default/fuzzer_stats" || fail=1
done
exit "$fail"
