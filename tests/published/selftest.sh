#!/bin/sh
# Holds the runner against tables that are wrong: each has to be told and counted. selftest.sh RUNNER
set -u
runner=$1
folder=$(mktemp -d) || exit 3
trap 'rm -rf "$folder"' EXIT
passed=0
failed=0

# A sound table of one row. Alone it leaves 24 groups missing, so the runner closes on "1 passed, 24 failed".
cat >"$folder/good" <<'END'
block 1: temperature
document: ISO 2533, Standard Atmosphere,
  troposphere
edition: 1975
place: sea level
short: ISO 2533
obtained: memory, high
equation: 6
tolerance: digits
quantity: atmosphere_t_k(altitude_m)
0 -> 288.150
END

# expect NAME CLOSING WORDS: what the runner says of $folder/table.
expect() {
    "$runner" "$folder/table" >"$folder/out" 2>"$folder/err"
    status=$?
    if [ "$status" = 1 ] && [ "$(tail -n 1 "$folder/out")" = "$2" ] && grep -qF -- "$3" "$folder/out" "$folder/err"; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "$1: exit status $status, wanted 1, \`$2\` and \`$3\`; said"
        grep -v 'is missing$' "$folder/err"
        tail -n 1 "$folder/out"
    fi
}

# change NAME SED-SCRIPT CLOSING WORDS: the same of the sound table with one thing changed.
change() {
    sed "$2" "$folder/good" >"$folder/table"
    expect "$1" "$3" "$4"
}

change sound '' '1 passed, 24 failed' 'group 2 is missing'
change wrong-value 's/288.150/288.151/' '0 passed, 25 failed' 'want 288.151, got 288.15, off by -0.001, tolerance 0.0005'
change unknown-quantity 's/atmosphere_t_k/atmosphere_x/' '0 passed, 25 failed' 'table:1: unknown quantity atmosphere_x(altitude_m)'
change other-inputs 's/altitude_m/altitude_ft/' '0 passed, 25 failed' 'unknown quantity atmosphere_t_k(altitude_ft)'
change no-rows '/->/d' '0 passed, 25 failed' 'the block has no rows'
change no-arrow 's/->/=/' '0 passed, 25 failed' 'is neither a key nor a row'
change input-not-a-number 's/^0 /x /' '0 passed, 25 failed' '`x` is not a number'
change input-missing 's/^0 //' '0 passed, 25 failed' '0 inputs where atmosphere_t_k(altitude_m) takes 1'
change input-too-many 's/^0 /0, 1 /' '0 passed, 25 failed' '2 inputs where'
change want-nan 's/288.150/nan/' '0 passed, 25 failed' '`nan` after the arrow is not a number'
change want-with-words 's/288.150/288.150 K/' '0 passed, 25 failed' 'is not a number'
change no-document '/^document/d; /^  /d' '0 passed, 25 failed' 'the block has no document'
change no-obtained '/^obtained/d' '0 passed, 25 failed' 'the block has no obtained'
change obtained-somewhere 's/memory, high/somewhere/' '0 passed, 25 failed' 'obtained `somewhere` does not start with'
change memory-how-sure 's/memory, high/memory/' '0 passed, 25 failed' 'obtained `memory` does not start with'
change library-version 's/memory, high/library fluids/' '0 passed, 25 failed' 'obtained `library fluids` does not start with'
change tolerance-no-reason 's/: digits/: 0.1 %/' '0 passed, 25 failed' 'a tolerance other than digits without a reason'
change tolerance-words 's/: digits/: some/' '0 passed, 26 failed' 'is none of: digits'
change tolerance-zero 's/: digits/: 0 %/' '0 passed, 26 failed' 'is none of: digits'
change tolerance-infinite 's/: digits/: inf/' '0 passed, 26 failed' 'is none of: digits'
change tolerance-wide 's/: digits/: 20 %/' '0 passed, 26 failed' 'checks nothing'
change tolerance-wide-digits 's/288.150/3e2/' '0 passed, 25 failed' 'checks nothing'
change later-but-there 's/^quantity/later: soon\nquantity/' '0 passed, 25 failed' 'is there now; the block should be run'
change later 's/^quantity.*/later: soon\nquantity: belt_x(a)/' '0 passed, 24 failed' 'temperature: later: soon'
change key-unknown 's/^place/page/' '0 passed, 26 failed' 'unknown key `page`'
change key-twice 's/^place.*/&\nplace: here/' '0 passed, 25 failed' 'place is given twice'
change key-after-row '$s/$/\nlater: soon/' '0 passed, 25 failed' 'later stands after a row'
change signature 's/(altitude_m)//' '0 passed, 26 failed' 'is not of the form name(input, input)'
change group 's/block 1/block x/' '0 passed, 26 failed' 'a block starts with `block N: what is checked`'
change no-block '/^block/d' '0 passed, 36 failed' 'the file has no block'
change nothing d '0 passed, 26 failed' 'the file has no block'
change unread-unit 's/atmosphere.*/si(kind, words)/; s/^0 /pressure, 1 furlong /' '0 passed, 25 failed' 'got nan'
rm "$folder/table"
expect no-file '0 passed, 26 failed' 'table:0: No such file'

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
