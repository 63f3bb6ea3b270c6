#!/bin/sh
# The help and the man pages: man.sh PROGRAM PAGES. Every command has a whole text, every page is well made, help and
# page say the same word for word, and every example runs. Needs mandoc.
set -u
program=$1
pages=$(cd "$2" && pwd) || exit 1
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 1
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
. "$root/tests/whole/holds.sh"
mkdir "$work/bin" && ln -s "$program" "$work/bin/sweptline"
PATH=$work/bin:$PATH
export PATH
cd "$work" || exit 1

# The files that the examples name.
cp "$root"/maps/*.ini "$root"/maps/*.csv "$root"/maps/*.png .
cp estate-roots.ini build.ini && cp estate-roots.ini roots.ini && cp estate-screw.ini screw.ini
cp estate-roots-belt.ini belt.ini && cp estate-roots-water.ini water.ini && cp estate-tolerances.ini tolerances.ini
cp estate-scan.ini scan.ini && cp roots-185-scan.ini scan-unit.ini && cp roots-185-traced.ini traced.ini
cp estate-roots-run.csv run.csv && cp roots-185.ini unit.ini

# The words of a text without what only dresses it, one a line.
words() {
    tr -d '`' | tr -s ' \n\t' '\n\n\n' | grep .
}
shown() {
    mandoc -Tutf8 -O width=400 "$1" | sed "s/.$(printf '\b')//g; 1d; \$d"
}
options_of() {
    sed -n 's/^ *\(--[a-z-]*\).*/\1/p' | sort -u
}
# from_part TEXT: what stands from the first part on that help and page share, less what the page alone has.
from_part() {
    awk 'toupper($0) == "OPTIONS" { on = 1 } toupper($0) == "CAUTIONS" || toupper($0) == "SEE ALSO" { on = 0 } on' |
        sed 's/^\(Options\|Files\|Exit status\|Examples\|Commands\|Environment\|Outputs\)$/\U\1/'
}
runs() {
    # A page stays until it is ended; one that is watched takes its time to start.
    stay=1
    [ -z "${WATCHED:-}" ] || stay=20
    case $1 in "sweptline serve"*) set -- "timeout --preserve-status -s INT $stay $1" ;; esac
    (cd bench && sh -c "$1") >run.out 2>run.err </dev/null
    [ $? -le 1 ] || { cat run.err && false; }
}
same() {
    diff "$1" "$2"
}

sweptline man pages >list
holds "no pages" test -s list
sweptline --help | sed -n '/^Commands$/,/^$/s/^  \([a-z]*\) [A-Z].*/sweptline-\1/p' >commands
sed 1d list >listed
holds "the commands of --help are not those with pages" same commands listed
ls "$pages" | sed 's/\.1$//' | sort >made
sort list >wanted
holds "the pages made are not those listed" same made wanted

while IFS= read -r page; do
    command=${page#sweptline-}
    sweptline man "$page" >page.1
    holds "$page: what was made at the build is another" cmp -s page.1 "$pages/$page.1"
    holds "$page: mandoc warns" mandoc -Tlint -W style page.1
    shown page.1 >page.txt
    if [ "$page" = sweptline ]; then sweptline --help >help.txt; else sweptline "$command" --help >help.txt; fi
    holds "$page: a line of the help is longer than 98" awk 'length($0) > 98 { print; bad = 1 } END { exit bad }' help.txt
    options_of <help.txt >help.options
    options_of <page.txt >page.options
    holds "$page: its options are not those of the help" same help.options page.options
    from_part <help.txt | words >help.words
    from_part <page.txt | words >page.words
    holds "$page: there are no words to hold" test "$(wc -l <help.words)" -gt 50
    holds "$page: help and page do not say the same" same help.words page.words
    holds "$page: the text has no EXIT STATUS" grep -q '^EXIT STATUS' page.txt
    holds "$page: no text in src/cli/manual.c: it has no examples" grep -q '^EXAMPLES' page.txt
    awk 'on && /^  sweptline / { sub(/^  /, ""); print } /^Examples$/ { on = 1 } /^$/ && on { on = 0 }' help.txt >examples
    holds "$page: an example is wanted" test -s examples
    rm -rf bench && mkdir bench && cp ./*.ini ./*.csv ./*.png bench
    # What new writes must not be there before.
    [ "$page" = sweptline-new ] && rm bench/unit.ini
    while IFS= read -r example; do
        holds "$page: the example fails: $example" runs "$example"
    done <examples
done <list

# What is said below the usage is in the page as well.
while IFS= read -r page; do
    command=${page#sweptline-}
    [ "$page" = sweptline ] && continue
    sweptline "$command" --help | sed '1,2d;/^Options$/,$d' | words >help.words
    sweptline man "$command" >page.1
    shown page.1 | sed '1,/^DESCRIPTION$/d;/^OPTIONS$/,$d' | words >page.words
    holds "$page: help and page describe it differently" same help.words page.words
    sweptline help "$command" >by-word
    sweptline "$command" --help >by-option
    holds "$page: sweptline help $command says another thing" same by-word by-option
done <list
sweptline man nothing >out 2>err
code=$?
holds "a page that is not there ends with $code" test "$code" = 2
holds "a page that is not there is not told" grep -q 'read `nothing`' err
holds "a page that is not there prints something" test ! -s out
sweptline help chekc >out 2>err
code=$?
holds "help of no command ends with $code" test "$code" = 2
holds "help of no command is not told what is near" grep -q 'did you mean check' err
tell
