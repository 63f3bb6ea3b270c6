#!/bin/sh
# Runs every target over its corpus and its past findings: replay.sh BIN TARGET...
set -u
bin=$1
shift
count=0
for target in "$@"; do
    where="tests/fuzz/corpus/$target"
    [ ! -d "tests/fuzz/found/$target" ] || where="$where tests/fuzz/found/$target"
    # shellcheck disable=SC2086
    if ! said=$(UBSAN_OPTIONS=print_stacktrace=1 "$bin/$target" $where 2>&1); then
        printf '%s\n' "$said" | tail -40
        echo "replay.sh: $target fails; FUZZ_TELL=1 $bin/$target $where tells the input"
        exit 1
    fi
    count=$((count + ${said%% *}))
done
echo "$count inputs replayed, $# targets"
