#!/bin/sh
# Lines of src that each target's corpus reaches: coverage.sh BUILD TARGET...
set -u
build=$1
shift
prefix=$(ls /usr/bin/llvm-cov-14 >/dev/null 2>&1 && echo -14)
binaries=
for target in "$@"; do
    where="tests/fuzz/corpus/$target"
    for more in "tests/fuzz/found/$target" "build/libfuzzer/corpus/$target"; do
        [ ! -d "$more" ] || [ -z "$(ls "$more")" ] || where="$where $more"
    done
    # shellcheck disable=SC2086
    LLVM_PROFILE_FILE="$build/$target.profraw" "$build/fuzz/$target" $where >/dev/null || exit 1
    "llvm-profdata$prefix" merge -sparse "$build/$target.profraw" -o "$build/$target.profdata" || exit 1
    "llvm-cov$prefix" export -summary-only -instr-profile="$build/$target.profdata" "$build/fuzz/$target" >"$build/$target.json" || exit 1
    binaries="$binaries $build/$target.json"
done
# shellcheck disable=SC2086
/usr/bin/python3 tests/fuzz/coverage.py $binaries
