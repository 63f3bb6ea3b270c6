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
want=$(printf '2000 rpm: boost 44.2 kPa\n4000 rpm: boost 42.9 kPa\n6000 rpm: boost 52.7 kPa')
# shellcheck disable=SC2046
${CC:-gcc} ${EXTRA_CFLAGS:-} -std=c11 -Wall -Wextra -Werror tests/support/library.c $(pkg-config --cflags --libs sweptline) \
    -o "$folder/shared" && [ "$(LD_LIBRARY_PATH=$folder/usr/lib "$folder/shared" maps/estate-roots.ini)" = "$want" ]
say $? "a program with the shared library does not print the boost"
${CC:-gcc} ${EXTRA_CFLAGS:-} -std=c11 tests/support/library.c $(pkg-config --cflags sweptline) "$folder/usr/lib/libsweptline.a" \
    $(pkg-config --libs cairo plplot gsl jansson libpng nettle) -lm -o "$folder/static" && [ "$("$folder/static" maps/estate-roots.ini)" = "$want" ]
say $? "a program with the static library does not print the boost"
"$folder/usr/bin/sweptline" check "$folder/usr/share/sweptline/estate-roots.ini" >/dev/null
say $? "the installed program does not check the installed demo"
echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
