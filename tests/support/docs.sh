#!/bin/sh
# Holds every "<!-- output of: COMMAND -->" block in README and docs against what the command prints now.
# docs.sh PROGRAM [--update]
set -u
program=$1
update=${2:-}
folder=$(mktemp -d) || exit 3
trap 'rm -rf "$folder"' EXIT
mkdir "$folder/bin" && ln -s "$program" "$folder/bin/sweptline"
PATH="$folder/bin:$PATH"
export PATH
passed=0
failed=0
for file in README.md docs/*.md maps/README.md; do
    [ -f "$file" ] || continue
    sed -n 's/^<!-- output of: \(.*\) -->$/\1/p' "$file" >"$folder/commands"
    [ -s "$folder/commands" ] || continue
    n=0
    while IFS= read -r command; do
        n=$((n + 1))
        sh -c "$command" >"$folder/out.$n" 2>&1 </dev/null
    done <"$folder/commands"
    awk -v folder="$folder" '
        { print }
        /^<!-- output of: / { n++; wanted = 1; next }
        wanted && /^```/ {
            while ((getline line < (folder "/out." n)) > 0) print line
            while ((getline line) > 0 && line !~ /^```/) { }
            print line
            wanted = 0
        }' "$file" >"$folder/new"
    if cmp -s "$file" "$folder/new"; then
        passed=$((passed + n))
    elif [ "$update" = --update ]; then
        cat "$folder/new" >"$file"
        echo "$file: brought up to date"
    else
        failed=$((failed + 1))
        echo "$file: an example is not what the program prints; make docs"
        diff "$file" "$folder/new" | head -20
    fi
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
