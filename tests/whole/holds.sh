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
# The last line of a script.
tell() {
    echo "$passed passed, $failed failed"
    [ "$failed" = 0 ]
}
