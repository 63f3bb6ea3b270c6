# What the runs of the whole program share; read by `.` from the top of a script, before it leaves its folder.
LC_ALL=C
export LC_ALL
passed=0
failed=0
# holds WRONG COMMAND...: says what is wrong unless the command ends with 0. What it prints goes to `held`.
holds() {
    wrong=$1
    shift
    if "$@" >held 2>&1; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "${0##*/}: $wrong"
        sed 's/^/    /' held | head -8
    fi
}
# stage PROGRAM: sets `program` to its whole name, `root` and `maps` to those folders, and `work` to an empty folder that
# is gone at the end.
stage() {
    program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
    root=$(cd "$(dirname "$0")/../.." && pwd) || exit 1
    maps=$root/maps
    work=$(mktemp -d) || exit 1
    trap 'rm -rf "$work"' EXIT
    trap 'exit 1' HUP INT TERM
    TERM=dumb
    export TERM
}
# ends WANT WORDS...: runs the program with them into out and err and holds its exit status.
ends() {
    want=$1
    shift
    "$program" "$@" >out 2>err </dev/null
    got=$?
    holds "exit status $got where $want is due: $*" sh -c '[ "$1" = "$2" ] || ! head -5 err' - "$got" "$want"
}
# The last line of a script.
tell() {
    echo "$passed passed, $failed failed"
    [ "$failed" = 0 ]
}
