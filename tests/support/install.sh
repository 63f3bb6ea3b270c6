#!/bin/sh
# Installs into an empty root, builds a program against what was installed through pkg-config, statically and
# shared, and runs it: install.sh BUILD.
set -u
build=$1
folder=$(mktemp -d) || exit 3
trap 'rm -rf "$folder"' EXIT
passed=0
failed=0
say() {
    if [ "$1" = 0 ]; then
        passed=$((passed + 1))
    else
        failed=$((failed + 1))
        echo "install: $2"
    fi
}
# Asked of make itself, so that the build's own flags (a sanitizer, say) are kept out of it.
make --no-print-directory BUILD="$build" PREFIX="$folder/usr" install >"$folder/log" 2>&1
say $? "make install failed: $(tail -1 "$folder/log")"
for file in bin/sweptline lib/libsweptline.a lib/libsweptline.so.0 include/sweptline/sweptline.h share/man/man1/sweptline.1 \
    share/man/man1/sweptline-check.1     share/bash-completion/completions/sweptline share/zsh/site-functions/_sweptline; do
    [ -f "$folder/usr/$file" ]
    say $? "$file is missing"
done
PKG_CONFIG_PATH=$folder/usr/lib/pkgconfig
export PKG_CONFIG_PATH
# Program, compile line and output are the document's own.
block() {
    awk -v fence="\`\`\`$1" '/^```/ { n = !n && $0 == fence; next } n' docs/library.md
}
want=$(grep -E '^[0-9]+ rpm: boost' docs/library.md)
[ "$(echo "$want" | wc -l)" = 3 ]
say $? "docs/library.md does not show three engine speeds"
block c >"$folder/boost.c"
line=$(block sh)
mkdir "$folder/bin"
printf '#!/bin/sh\nexec %s %s -Wall -Wextra -Werror "$@"\n' "${CC:-gcc}" "${EXTRA_CFLAGS:-}" >"$folder/bin/cc"
chmod 755 "$folder/bin/cc"
(cd "$folder" && PATH=$folder/bin:$PATH && export PATH && sh -c "$line") &&
    [ "$(LD_LIBRARY_PATH=$folder/usr/lib "$folder/boost" maps/estate-roots.ini)" = "$want" ]
say $? "what docs/library.md says to compile does not print what it shows"
LD_LIBRARY_PATH=$folder/usr/lib "$folder/boost" tests/support/install.sh >"$folder/out" 2>"$folder/err"
[ $? = 2 ] && [ -s "$folder/err" ] && ! [ -s "$folder/out" ]
say $? "the example of docs/library.md does not refuse what is no build"
# shellcheck disable=SC2046
${CC:-gcc} ${EXTRA_CFLAGS:-} -std=c11 "$folder/boost.c" $(pkg-config --cflags sweptline) "$folder/usr/lib/libsweptline.a" \
    $(pkg-config --libs cairo plplot gsl jansson libpng nettle) -lm -o "$folder/static" && [ "$("$folder/static" maps/estate-roots.ini)" = "$want" ]
say $? "a program with the static library does not print the boost"
for page in docs/*.md docs/schema/*.json; do
    cmp -s "$page" "$folder/usr/share/doc/sweptline/${page#docs/}"
    say $? "$page is not installed"
done
"$folder/usr/bin/sweptline" check "$folder/usr/share/sweptline/estate-roots.ini" >/dev/null
say $? "the installed program does not check the installed demo"
# A tree that was moved: folders by the place of the pkg-config file.
mv "$folder/usr" "$folder/moved"
[ "$(PKG_CONFIG_PATH=$folder/moved/lib/pkgconfig pkg-config --define-prefix --variable=libdir sweptline)" = "$folder/moved/lib" ] &&
    [ "$(PKG_CONFIG_PATH=$folder/moved/lib/pkgconfig pkg-config --define-prefix --variable=includedir sweptline)" = "$folder/moved/include" ]
say $? "pkg-config does not find a tree that was moved"
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
