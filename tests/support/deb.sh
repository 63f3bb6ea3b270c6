#!/bin/sh
# What the Debian packages hold and want: deb.sh FOLDER.
set -u
folder=$1
work=$(mktemp -d) || exit 3
trap 'rm -rf "$work"' EXIT
cd "$folder" || exit 1
list=$work/list
. "$OLDPWD/tests/whole/holds.sh"
# The glob fills in the version.
for program in "$(pwd)"/sweptline-*/build/sweptline; do :; done
here=$(pwd)
cd "$work" || exit 1
package() {
    for deb in "$here/$1"_*.deb; do :; done
    dpkg-deb -c "$deb" | awk '{ print $6 }' | grep -v '/$' | sed 's/^\.//' >"$list"
}
has() {
    holds "$name has no $1" grep -q "^$1\$" "$list"
}
field() {
    dpkg-deb -f "$deb" "$1"
}
name=sweptline
package sweptline
has /usr/bin/sweptline
"$program" man pages >pages
while IFS= read -r page; do
    has "/usr/share/man/man1/$page.1.gz"
done <pages
for chapter in README first-build typing-a-map reading-the-map guide messages keys map log library json model accuracy; do
    has "/usr/share/doc/sweptline/manual/$chapter.md"
done
for file in estate-roots.ini roots-185.ini roots-185.csv estate-scan.ini roots-185-scan.png; do
    has "/usr/share/doc/sweptline/examples/$file"
done
has /usr/share/bash-completion/completions/sweptline
has /usr/share/zsh/vendor-completions/_sweptline
has /usr/share/doc/sweptline/copyright
holds "sweptline holds something of the library" test -z "$(grep -E '^/usr/(lib|include)/' "$list")"
holds "something lies where only the administrator puts it" test -z "$(grep -E '^/(usr/local|opt|home|tmp|build)/' "$list")"
for wanted in libc6 libcairo2 libgsl libjansson4 libnettle libplplot libpng16 plplot-driver-cairo fonts-dejavu-core; do
    holds "sweptline does not depend on $wanted" sh -c "dpkg-deb -f '$deb' Depends | grep -q '$wanted'"
done
version=$(field Version)
holds "the version is $version" test "sweptline $version" = "$("$program" --version)"
name=libsweptline0
package libsweptline0
has '/usr/lib/[^/]*/libsweptline.so.0'
holds "libsweptline0 depends on no plotting driver" sh -c "dpkg-deb -f '$deb' Depends | grep -q plplot-driver-cairo"
name=libsweptline-dev
package libsweptline-dev
has /usr/include/sweptline/sweptline.h
has '/usr/lib/[^/]*/libsweptline.a'
has '/usr/lib/[^/]*/libsweptline.so'
has '/usr/lib/[^/]*/pkgconfig/sweptline.pc'
holds "libsweptline-dev does not want its own library" sh -c "dpkg-deb -f '$deb' Depends | grep -q 'libsweptline0 (= $version)'"
dpkg-deb --fsys-tarfile "$deb" | tar -xO --wildcards '*/sweptline.pc' >pc
holds "sweptline.pc names another folder" grep -q '^libdir=${prefix}/lib/.*-linux-' pc
lintian --fail-on error,warning "$here"/*.changes >lintian.log 2>&1
code=$?
[ "$code" = 0 ] || cat lintian.log
holds "lintian ends with $code" test "$code" = 0
tell
