# Read by `.` for the examples of docs/first-build.md: the three files that `sweptline new` writes, with the changes that
# the chapter makes to them, in a folder that goes away.
bench=$(mktemp -d) && trap 'rm -rf "$bench"' EXIT && cd "$bench" || exit 3
sweptline new build build.ini 2>/dev/null
sweptline new unit unit.ini 2>/dev/null
sweptline new map map.csv 2>/dev/null
# change FILE KEY VALUE
change() {
    sed -i "s|^$2 = [^;]*|$2 = $3 |" "$1"
}
# The chapter's engine, unit and drive.
own() {
    change build.ini name 'Workshop car, 2.5 L'
    change build.ini displacement '2.5 L'
    change build.ini cylinders 4
    change build.ini compression_ratio 9.0
    change build.ini speed_limit '6000 rpm'
    change build.ini known_power '118 kW at 5600 rpm'
    change build.ini throttle_bore '62 mm'
    change build.ini crank_pulley '145 mm'
    change build.ini blower_pulley '80 mm'
    change build.ini boost '55 kPa'
    change unit.ini name 'Scrapyard find'
}
