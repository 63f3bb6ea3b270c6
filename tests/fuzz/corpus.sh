#!/bin/sh
# Merges what fuzzing has found into the committed corpus, the fewest and smallest inputs that reach as much:
# corpus.sh BUILD TARGET...
set -u
build=$1
shift
/usr/bin/python3 tests/fuzz/seeds.py "$build/seeds" || exit 1
for target in "$@"; do
    new="$build/merged/$target"
    rm -rf "$new"
    mkdir -p "$new" "$build/corpus/$target" "tests/fuzz/corpus/$target"
    # As in libfuzzer.sh: what AddressSanitizer keeps of freed memory would count against the limit.
    ASAN_OPTIONS=quarantine_size_mb=32 "$build/fuzz/$target" -merge=1 -use_counters=0 -timeout=5 -rss_limit_mb=512 "$new" "tests/fuzz/corpus/$target" "$build/seeds/$target" \
        "$build/corpus/$target" >"$build/merge-$target.log" 2>&1 || exit 1
    rm -f "tests/fuzz/corpus/$target"/*
    for file in "$new"/*; do
        mv "$file" "tests/fuzz/corpus/$target/$(sha1sum <"$file" | cut -c1-12)"
    done
    echo "$target: $(ls "tests/fuzz/corpus/$target" | wc -l) inputs, $(cat "tests/fuzz/corpus/$target"/* | wc -c) bytes"
done
