#!/bin/sh
# Formatting and static analysis over the sources; ends with 1 when anything is found.
set -u
fail=0
flags="-std=c11 -D_GNU_SOURCE -Iinclude -Isrc $(pkg-config --cflags cairo plplot gsl jansson libpng nettle)"
sources=$(ls src/*/*.c)
clang-format --dry-run -Werror $sources src/*/*.h include/sweptline/*.h || fail=1
echo "clang-format: done"
cppcheck --quiet --std=c11 --enable=warning,performance,portability --error-exitcode=1 --inline-suppr \
    --suppress=missingIncludeSystem -D_GNU_SOURCE -Iinclude -Isrc src || fail=1
echo "cppcheck: done"
for file in $sources; do
    clang $flags -Wall -Wextra -Wshadow -Wconversion -Wno-sign-conversion -Werror -fsyntax-only "$file" || fail=1
    clang-tidy --quiet "$file" -- $flags 2>/dev/null || fail=1
done
echo "clang, clang-tidy: done"
for file in $sources; do
    gcc $flags -O2 -fanalyzer -Werror -c "$file" -o /dev/null || fail=1
done
echo "gcc -fanalyzer: done"
exit "$fail"
