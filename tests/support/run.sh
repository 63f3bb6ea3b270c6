#!/bin/sh
# The whole-program tests: run.sh BUILD. The unit tests have run before.
set -u
build=$1
program=$(cd "$build" && pwd)/sweptline
fail=0
for unit in roots:roots-185 screw:screw-120; do
    if ! "$build/generate" "${unit%%:*}" | cmp -s - "maps/${unit##*:}.csv"; then
        echo "maps/${unit##*:}.csv is not what maps/generate.c computes; make maps"
        fail=1
    fi
done
if ! "$build/generate" run maps/estate-roots.ini | cmp -s - maps/estate-roots-run.csv; then
    echo "maps/estate-roots-run.csv is not what maps/generate.c computes; make maps"
    fail=1
fi
sh tests/whole/reject.sh "$program" || fail=1
sh tests/whole/program.sh "$program" || fail=1
sh tests/whole/site.sh "$program" || fail=1
sh tests/whole/spread.sh "$program" || fail=1
sh tests/whole/scan.sh "$program" || fail=1
sh tests/whole/compare.sh "$program" || fail=1
sh tests/whole/log.sh "$program" || fail=1
sh tests/whole/soak.sh "$program" || fail=1
sh tests/whole/belt.sh "$program" || fail=1
sh tests/whole/new.sh "$program" || fail=1
sh tests/whole/trace.sh "$program" || fail=1
sh tests/whole/man.sh "$program" "$build/man" || fail=1
/usr/bin/python3 tests/whole/progress.py "$program" || fail=1
/usr/bin/python3 tests/whole/messages.py || fail=1
sh tests/whole/locale.sh "$program" $(for t in tests/unit/*.c; do echo "$(dirname "$program")/tests/$(basename "$t" .c)"; done) || fail=1
sh tests/whole/sheet.sh "$program" || fail=1
/usr/bin/python3 tests/whole/serve.py "$program" maps || fail=1
/usr/bin/python3 tests/whole/serve_page.py "$program" maps "$build/serve" || fail=1
sh tests/support/docs.sh "$program" || fail=1
sh tests/support/schema.sh "$program" || fail=1
sh tests/support/install.sh "$build" || fail=1
/usr/bin/python3 tests/examples/run.py "$program" || fail=1
exit "$fail"
