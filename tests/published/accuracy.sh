#!/bin/sh
# Holds the table of published values in docs/accuracy.md, between its two markers, against what the runner prints now.
# accuracy.sh RUNNER [--update], from the top folder
set -u
runner=$1
update=${2:-}
file=docs/accuracy.md
folder=$(mktemp -d) || exit 3
trap 'rm -rf "$folder"' EXIT
"$runner" --markdown tests/published/*.txt >"$folder/table" 2>"$folder/said" || {
    cat "$folder/said"
    exit 1
}
if [ "$(grep -cx '<!-- published: begin -->' "$file")" != 1 ] || [ "$(grep -cx '<!-- published: end -->' "$file")" != 1 ]; then
    echo "$file: the markers <!-- published: begin --> and <!-- published: end --> have to stand there once each"
    exit 1
fi
awk -v table="$folder/table" '
    /^<!-- published: end -->$/ { print ""; inside = 0 }
    !inside { print }
    /^<!-- published: begin -->$/ {
        print ""
        while ((getline line < table) > 0) print line
        inside = 1
    }' "$file" >"$folder/new"
if cmp -s "$file" "$folder/new"; then
    echo "1 passed, 0 failed"
elif [ "$update" = --update ]; then
    cat "$folder/new" >"$file"
    echo "$file: brought up to date"
else
    echo "$file: the table of published values is not what the runner prints; make docs"
    diff "$file" "$folder/new" | head -20
    echo "0 passed, 1 failed"
    exit 1
fi
