#!/bin/sh
# Runs with a picture of the chart: scan.sh PROGRAM. What inspect and chart print and draw, with a table and without.
set -u
. "$(dirname "$0")/holds.sh"
stage "$1"
cp "$root"/maps/*.ini "$root"/maps/*.csv "$root"/maps/*.png "$work" && cd "$work" || exit 1
differ() {
    ! cmp -s "$1" "$2"
}
sed '/^table/d' roots-185-scan.ini >picture.ini
sed 's/^unit = .*/unit = picture.ini/' estate-scan.ini >estate-picture.ini

# A table computes, whatever picture stands beside it.
"$program" check estate-roots.ini --csv plain.csv >out
"$program" check estate-scan.ini --csv scan.csv >out
holds "a picture beside the table changes the operating line" cmp plain.csv scan.csv
ends 0 chart estate-scan.ini --over-scan --csv drawn.csv --out drawn
holds "a chart over a picture prints another line" cmp plain.csv drawn.csv

# The picture alone.
ends 0 inspect picture.ini --json picture.json --format png --out alone
holds "inspect of a picture draws nothing" test -s alone/picture-map.png
ends 0 inspect picture.ini
holds "inspect does not say that there is no table" grep -q 'There is no table yet, only the picture' out
holds "inspect does not tell the residual" grep -q '5 points, off by 0.15 pixels (root mean square), the worst by 0.30' out
holds "inspect does not tell how the sheet lies" grep -q 'turned by 1.2. degrees clockwise' out
holds "the text is more than 100 columns wide" awk 'length($0) > 100 { exit 1 }' out
for command in check chart pulley spread; do
    ends 2 $command estate-picture.ini
    holds "$command of a picture does not lead to trace" grep -q 'sweptline trace' err
done
ends 0 inspect roots-185-scan.ini --json -
holds "inspect of a table with a picture leaves its lines out" grep -q '"blower_speed_rpm": 14000' out
holds "and its scan" grep -q '"residual_px": 0.15' out
ends 0 inspect roots-185.ini --json -
holds "a unit without a picture has one" grep -q '"scan": null' out

# The map that the calibration found, against the one that maps/scan.c draws by: 1000 pixels to 1600 m3/h, 660 to a
# pressure ratio of 1.4, about the middle of 1240 x 880 by 1.2 degrees.
holds "the calibration is not the one that the picture was drawn by" /usr/bin/python3 -c '
import json, math
scan = json.load(open("picture.json"))["scan"]
turn = math.radians(1.2)
for flow in range(0, 1601, 100):
    for ratio in [1 + 0.1 * k for k in range(15)]:
        x, y = 130 + flow / 1.6 - 620, 780 - 660 * (ratio - 1) / 1.4 - 440
        want = (x * math.cos(turn) - y * math.sin(turn) + 620, x * math.sin(turn) + y * math.cos(turn) + 440)
        got = [o + flow / 3600 * e + ratio * f for o, e, f in zip(scan["origin_px"], scan["along_x_px"], scan["along_y_px"])]
        assert math.dist(want, got) < 0.6, (flow, ratio, want, got)'

# A wrong point is named, and everything still done; where four leave that open, it is said.
sed 's/1137, 131/1137, 151/' picture.ini >wrong.ini
ends 0 inspect wrong.ini
tr '\n' ' ' <out | tr -s ' ' >flat
holds "a wrong point is not named" grep -q '`(1137, 151): 1600 at 2.4` does not go with the others: without it they fit to 0.' flat
sed '/^    (379/d' wrong.ini >four.ini
ends 0 inspect four.ini
tr '\n' ' ' <out | tr -s ' ' >flat
holds "four points of which one is wrong are taken as they are" grep -q 'which of them is wrong does not show' flat
sed 's/, (1123, 791).*/, (1123, 110): 1600 at 1.0, (1137, 770): 1600 at 2.4, (137, 770): 0 at 2.4/; s/(123, 770)/(123, 110)/; /^    (379/d' picture.ini >down.ini
ends 0 inspect down.ini
tr '\n' ' ' <out | tr -s ' ' >flat
holds "a ratio that rises down the picture is not told" grep -q 'rises down the picture' flat

# Upright and along the axes, by hand.
sed '/^corners/,$d' picture.ini >head.ini
{ cat head.ini; printf 'x_points = 130 px: 0 m3/h, 1130: 1600\ny_points = 780: 1.0, 120: 2.4\n'; } >upright.ini
ends 0 inspect upright.ini
holds "two points an axis are not told to leave nothing over" grep -q 'none to spare' out
{ cat head.ini; printf 'x_points = (123, 770): 0, (623, 780): 800, (1123, 791): 1600,\ny_points = (123, 770): 1, (137, 110): 2.4\n'; } >axes.ini
ends 0 inspect axes.ini --json axes.json
holds "points along the axes give another calibration than corners" /usr/bin/python3 -c '
import json
a, b = (json.load(open(name))["scan"] for name in ("axes.json", "picture.json"))
for flow, ratio in ((0, 1), (1600, 1), (1600, 2.4), (0, 2.4)):
    for k in (0, 1):
        p, q = (s["origin_px"][k] + flow / 3600 * s["along_x_px"][k] + ratio * s["along_y_px"][k] for s in (a, b))
        assert abs(p - q) < 1.5, (flow, ratio, p, q)'

# An axis in mass flow stands for the same places: 25 degC, 100 kPa, dry: 1.16846 kg/m3.
{ sed 's/^x_axis.*/x_axis = flow [kg\/h]/' head.ini; printf 'x_points = 130: 0, 1130: 1869.53\ny_points = 780: 1.0, 120: 2.4\n'; } >mass.ini
sed '/^\[map\]/a table = roots-185.csv' mass.ini >mass-table.ini
sed '/^\[map\]/a table = roots-185.csv' upright.ini >volume-table.ini
for axis in mass volume; do
    sed "s/^unit = .*/unit = $axis-table.ini/; s/^name = Estate.*/name = Same/" estate-scan.ini >$axis-build.ini
    sed -i 's/^name = Invented.*/name = Same/' $axis-table.ini
    ends 0 chart $axis-build.ini --over-scan --format svg --only map --out $axis
    # The operating line is the widest stroke.
    grep 'stroke-width:9;' $axis/$axis-build-map.svg | head -1 | sed 's/.* d="//; s/[ML"]//g' >$axis.line
done
holds "a mass flow axis puts the line elsewhere" /usr/bin/python3 -c '
a, b = ([float(v) for v in open(name + ".line").read().replace("/>", "").split()] for name in ("mass", "volume"))
assert len(a) == len(b) > 20 and max(abs(p - q) for p, q in zip(a, b)) < 0.05, (a[:4], b[:4])'

# A PDF page of A4 is drawn on 1600 units of width, a PNG of that size must look the same, line by line.
ends 0 chart estate-scan.ini --over-scan --format pdf --out pdf
ends 0 chart estate-scan.ini --over-scan --format png --size 1600x1131 --out pdf
pdftoppm -png -r 136.8350 pdf/estate-scan-chart.pdf pdf/page
holds "the PDF is not the PNG" /usr/bin/python3 -c '
import glob
from PIL import Image
def line(path):
    image = Image.open(path).convert("L")
    found = {}
    for x in range(280, 660, 5):
        column = [image.getpixel((x, y)) for y in range(450, 650)]
        # The thick line crosses a column in four to six black pixels, type in less or more.
        runs, start = [], None
        for y, v in enumerate(column + [255]):
            if v < 90 and start is None:
                start = y
            elif v >= 90 and start is not None:
                runs.append((start, y))
                start = None
        runs = [(a, b) for a, b in runs if 3 <= b - a <= 6]
        if len(runs) == 1:
            a, b = runs[0]
            near = [(y, 255 - column[y]) for y in range(a - 2, b + 2)]
            found[x] = sum(y * v for y, v in near) / sum(v for _, v in near)
    return found
a, b = line("pdf/estate-scan-chart.png"), line(glob.glob("pdf/page*.png")[0])
both = [x for x in a if x in b]
assert len(both) > 15, (a, b)
off = sorted(abs(a[x] - b[x]) for x in both)
assert off[len(off) * 3 // 4] < 0.35, off'
holds "the SVG is not well formed" sh -c "\"$program\" chart estate-scan.ini --over-scan --format svg --out svg >/dev/null 2>&1; xmllint --noout svg/estate-scan-chart.svg"
ends 0 chart estate-scan.ini --over-scan --dim 0 --out dim0
ends 0 chart estate-scan.ini --over-scan --dim 0.8 --out dim80
holds "--dim changes nothing" differ dim0/estate-scan-chart.png dim80/estate-scan-chart.png
ends 0 chart estate-scan.ini --over-scan --dim '80 %' --out dim
holds "0.8 and 80 % draw differently" cmp dim80/estate-scan-chart.png dim/estate-scan-chart.png

# Off the picture: a chart cut on the right.
sed 's/1123, 791): 1600/1123, 791): 800/; s/1137, 131): 1600/1137, 131): 800/; s/(379, 492): 400/(379, 492): 200/' roots-185-scan.ini >cut.ini
sed 's/^unit = .*/unit = cut.ini/' estate-scan.ini >cut-build.ini
ends 0 chart cut-build.ini --over-scan --format svg --out cut
holds "points off the picture are not told" grep -q 'lie outside the picture' cut/cut-build-chart.svg

# A picture over 64 MiB, one of which only the head is sound, and one that grew since it was calibrated.
head -c 200 roots-185-scan.png >short.png
sed 's/roots-185-scan.png/short.png/' roots-185-scan.ini >short.ini
sed 's/^unit = .*/unit = short.ini/' estate-scan.ini >short-build.ini
ends 0 check short-build.ini
ends 2 chart short-build.ini --over-scan
holds "a cut picture is not told" grep -q 'the file ends too early' err
truncate -s 70M roots-185-scan.png
ends 2 check estate-scan.ini
holds "a picture of 70 MiB is not refused" grep -q 'has more than the 67108864 bytes' err
tell
