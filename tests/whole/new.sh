#!/bin/sh
# Runs of the command new: new.sh PROGRAM. What it writes runs as it is, and nothing is written over.
set -u
. "$(dirname "$0")/holds.sh"
stage "$1"
cd "$work" || exit 1
ends_with() {
    want=$1
    shift
    "$program" "$@" >out 2>err
    [ $? = "$want" ]
}
holds "a build is written" ends_with 0 new build my.ini
holds "a unit is written" ends_with 0 new unit unit.ini
holds "a map is written" ends_with 0 new map map.csv
holds "what stands in them is told to be invented" grep -q invented err
holds "the three run as they are" ends_with 0 check my.ini
holds "and keep every limit" grep -q "Result: 0 of 6 limits exceeded, 0 close" out
holds "nothing lies outside the map" sh -c '! grep -q "Outside the map" out'
holds "the unit is sound" ends_with 0 inspect unit.ini
cp my.ini kept.ini
holds "one that is there is refused" ends_with 2 new build my.ini
holds "and left as it is" cmp my.ini kept.ini
ln -s nowhere link.ini
holds "so is a link that leads nowhere" ends_with 2 new build link.ini
holds "and nothing is made where it leads" test ! -e nowhere
holds "a kind that is none is refused" ends_with 2 new car car.ini
holds "without a file" test ! -e car.ini
holds "- is standard output" ends_with 0 new map -
holds "with the same text" cmp out map.csv
holds "a folder that is not there is told" ends_with 3 new unit none/unit.ini
holds "by its name" grep -q "none/unit.ini" err
holds "options that compute are refused" ends_with 2 new build other.ini --json x.json
# Completion: a shell that reads it offers what there is.
holds "completion for bash is printed" ends_with 0 completion bash
cat >ask.bash <<'EOS'
. ./out
COMP_WORDS=(sweptline $1)
COMP_CWORD=$2
_sweptline
printf '%s\n' "${COMPREPLY[@]}"
EOS
answers() {
    bash ask.bash "$1" "$2" | grep -qx -- "$3"
}
holds "a command is not completed" answers "co" 1 compare
holds "an option is not completed" answers "check --sens" 2 --sensitivity
holds "one of another command is offered" sh -c '! bash ask.bash "check --blo" 2 | grep -q blower'
holds "units are not completed" answers "check --units s" 3 si
holds "a file is not completed" answers "check my" 2 my.ini
holds "completion for zsh is printed" ends_with 0 completion zsh
holds "a shell that is none is refused" ends_with 2 completion fish
tell
