#!/bin/sh
# The suite under valgrind: valgrind.sh BUILD. Every unit test, then every whole-program run with a program that stands in
# for the real one and starts it under valgrind. Ends with 1 when valgrind found anything; reports stay in BUILD/valgrind.
set -u
build=$(cd "$1" && pwd)
here=$(cd "$(dirname "$0")" && pwd)
logs=$build/valgrind
rm -rf "$logs" && mkdir -p "$logs/bin" || exit 1
watch="valgrind -q --leak-check=full --show-leak-kinds=definite,indirect,possible --errors-for-leak-kinds=definite,possible
    --suppressions=$here/valgrind.supp --log-file=$logs/%p.log"
fail=0
for source in tests/unit/*.c; do
    $watch --error-exitcode=99 "$build/tests/$(basename "$source" .c)" >"$logs/out" 2>&1
    # Tests of real time slices or of the machine's memory may fail when all is twenty times slower; what counts here is
    # what valgrind says.
    [ $? != 99 ] || echo "valgrind: $(basename "$source" .c)"
done
# The stand-in keeps the program's exit status, so that the checks of the runs still hold.
cat >"$logs/bin/sweptline" <<END
#!/bin/sh
exec $(echo $watch) "$build/sweptline" "\$@"
END
chmod +x "$logs/bin/sweptline"
for script in tests/whole/*.sh; do
    case $script in
    */holds.sh | */locale.sh) continue ;;
    esac
    # man.sh wants the pages too.
    WATCHED=1 sh "$script" "$logs/bin/sweptline" "$build/man" >"$logs/out" 2>&1 || {
        echo "valgrind: $script fails"
        tail -5 "$logs/out"
        fail=1
    }
done
find "$logs" -name '*.log' -size +0 | while read -r log; do
    echo "valgrind: $log"
    head -12 "$log"
done | head -100 >"$logs/found"
if [ -s "$logs/found" ]; then
    cat "$logs/found"
    fail=1
fi
echo "valgrind: $(find "$logs" -name '*.log' | wc -l) processes watched"
exit "$fail"
