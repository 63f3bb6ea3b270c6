#!/bin/sh
# Installs the packages on a bare Debian in /tmp, checks the shipped example there and draws its chart:
# deb-root.sh FOLDER. Wants root, debootstrap and the archive that apt is set up for. Nothing of this machine is mounted
# there, and the folder goes away again.
set -u
folder=$(cd "$1" && pwd) || exit 1
if [ "$(id -u)" != 0 ]; then
    echo "deb-root.sh: run it as root" >&2
    exit 1
fi
bare=$(mktemp -d /tmp/sweptline-root.XXXXXX) || exit 3
trap 'rm -rf "$bare"' EXIT
trap 'exit 1' HUP INT TERM
. "$PWD/tests/whole/holds.sh"
held=$folder/held
suite=$(. /etc/os-release && echo "$VERSION_CODENAME")
archive=$(apt-get indextargets --format '$(SITE)' "Codename: $suite" "Component: main" | head -1)
chmod 755 "$bare"
if ! debootstrap --variant=minbase "$suite" "$bare" "$archive" >"$folder/debootstrap.log" 2>&1; then
    tail -5 "$folder/debootstrap.log"
    exit 1
fi
cp /etc/resolv.conf "$bare/etc/" 2>/dev/null
mkdir "$bare/debs" && cp "$folder"/*.deb "$bare/debs/"
cd "$folder" || exit 1
there() {
    chroot "$bare" env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin DEBIAN_FRONTEND=noninteractive HOME=/root "$@"
}
holds "the archive's lists cannot be had there" there apt-get update -qq
holds "the program's package does not install" there sh -c 'apt-get install -y -qq --no-install-recommends /debs/sweptline_*.deb'
holds "the library's package does not install" there sh -c 'apt-get install -y -qq --no-install-recommends /debs/libsweptline0_*.deb'
examples=/usr/share/doc/sweptline/examples
holds "the example is not checked" there sweptline check $examples/estate-roots.ini
there sweptline check $examples/estate-roots.ini >there.txt
"$folder"/sweptline-*/build/sweptline check "$OLDPWD/maps/estate-roots.ini" >here.txt
holds "the example gives something else there" cmp there.txt here.txt
holds "no chart is drawn" there sweptline chart $examples/estate-roots.ini --out /charts --format png,svg,pdf
for ending in png svg pdf; do
    cp "$bare/charts/estate-roots-chart.$ending" there."$ending"
done
# The same structure as the one drawn where everything is installed: fonts above all.
cat >structure.py <<'END'
import sys
sys.path.insert(0, sys.argv[1])
sys.dont_write_bytecode = True
import plots
wrong = [(e, plots.differ(sys.argv[2] + "/estate-roots-chart." + e, "there." + e)) for e in ("png", "svg", "pdf")]
print([w for w in wrong if w[1]])
sys.exit(any(w[1] for w in wrong))
END
holds "the chart drawn there is another" /usr/bin/python3 structure.py "$OLDPWD/tests/support" "$OLDPWD/plots"
holds "a scan is not drawn on" there sweptline chart $examples/estate-scan.ini --over-scan --out /charts
holds "a first build does not run" there sh -c \
    'mkdir /mine && cd /mine && sweptline new build build.ini && sweptline new unit unit.ini && sweptline new map map.csv && sweptline check build.ini'
holds "the packages do not go away again" there apt-get purge -y -qq sweptline libsweptline0
holds "something stays behind" test ! -e "$bare/usr/bin/sweptline" -a ! -e "$bare/usr/share/doc/sweptline"
tell
