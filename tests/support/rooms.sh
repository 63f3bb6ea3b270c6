#!/bin/sh
# A module includes only what stands at its own floor or below (DEVELOPERS.md, "Rooms").
set -u
fail=0
floor_of_room() {
    case $1 in
    base) echo 1 ;; air) echo 2 ;; parts) echo 3 ;; match) echo 4 ;; study) echo 5 ;; files | scan) echo 6 ;; draw | report) echo 7 ;; cli) echo 8 ;; *) echo 0 ;;
    esac
}
# The room a public header belongs to.
room_of_header() {
    case $1 in
    err | buf | text | diag | ini | edit | csv | units | curve | version | progress) echo base ;;
    air | atmosphere | flow | correction) echo air ;;
    belt | map | engine | drive | blower | build | input | fuel | injection | cooler | coolant | exchanger) echo parts ;;
    match | check | field | power | supply) echo match ;;
    beltrun | sensitivity | pulley | throttle | fueling | knock | sites | sobol | spread | compare | log | soak) echo study ;;
    files) echo files ;;
    image | calibration | scan | track | trace) echo scan ;;
    report | sheet) echo report ;;
    draw) echo draw ;;
    *) echo unknown ;;
    esac
}
for file in src/*/*.c src/*/*.h; do
    room=$(basename "$(dirname "$file")")
    here=$(floor_of_room "$room")
    for header in $(sed -n 's/^#include "\(.*\)"$/\1/p' "$file"); do
        case $header in
        sweptline/*) other=$(room_of_header "$(basename "$header" .h)") ;;
        *) other=$(dirname "$header") ;;
        esac
        there=$(floor_of_room "$other")
        if [ "$there" = 0 ]; then
            echo "$file: $header belongs to no room; add it to tests/support/rooms.sh"
            fail=1
        elif [ "$there" -gt "$here" ]; then
            echo "$file: includes $header, which stands on a floor above"
            fail=1
        elif [ "$there" = 7 ] && [ "$here" = 7 ] && [ "$other" != "$room" ]; then
            echo "$file: includes $header; draw and report do not lean on each other"
            fail=1
        fi
    done
    if [ "$here" -le 5 ] && grep -nE '\b(printf|fprintf|fopen|open|getenv|exit|abort|puts|perror)\(' "$file" | grep -vE 'swl_buf_|//'; then
        echo "$file: prints, opens files, reads the environment or exits, which floors 1 to 5 do not"
        fail=1
    fi
    # Decimal points do not hang on what language the host program has set.
    case $file in
    src/base/*) ;;
    *)
        if grep -nE '\bsnprintf\([^;]*%[-+ #0]*(\*|[0-9]+)?(\.(\*|[0-9]+))?[eEfFgG]|\b(strtod|atof|sscanf)\(' "$file"; then
            echo "$file: prints or reads a number by the host's locale; see base/locale_c.h"
            fail=1
        fi
        if grep -nE '\bgsl_(linalg_LU_decomp|linalg_SV_decomp|linalg_bidiag_decomp|multifit_linear|multifit_nlinear_covar|odeiv2_driver_alloc_y_new)\(' "$file"; then
            echo "$file: calls what reads memory that it may not have got; see base/gsl_quiet.h"
            fail=1
        fi
        ;;
    esac
    if grep -q 'plplot.h' "$file" && [ "$room" != draw ]; then
        echo "$file: only src/draw knows the plotting library"
        fail=1
    fi
done
[ "$fail" = 0 ] && echo "rooms: every include stands at its own floor or below"
exit "$fail"
