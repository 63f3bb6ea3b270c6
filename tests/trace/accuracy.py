#!/usr/bin/python3
"""Draws charts of known maps, traces them back with the program and prints how far the tables are off.

accuracy.py PROGRAM [--update FILE | --hold FILE] [--only CHART,...] [--keep FOLDER]: exit status 1 when a target is
missed. --update puts the table between its marks in FILE, a document. --hold draws a few of the charts only, and fails
too when their errors are not those of the table kept there, or a row of that is missing or past a target.

Charts: two drawn by gnuplot from an invented map in closed form, and the program's own chart of maps/roots-185. Each is
drawn at 72, 150 and 300 dots per inch, 8 by 5 inches, once as drawn and once turned by 1.5 degrees, with JPEG artefacts
(quality 60) and grain (standard deviation 4 of 255). Every row of every traced table counts.
"""
import csv
import functools
import io
import json
import math
import os
import re
import subprocess
import sys
import tempfile

import numpy as np
from PIL import Image

sys.dont_write_bytecode = True
PROGRAM = os.path.abspath(sys.argv[1])
ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
from steffen import Steffen


def option(name):
    return sys.argv[sys.argv.index(name) + 1] if name in sys.argv else None


UPDATE, HOLD, ONLY = option("--update"), option("--hold"), option("--only")
KEEP = option("--keep")
TURN_DEG = 1.5
# Flow in per cent and efficiency in points that no row may be off, at dots per inch.
TARGETS = {300: (0.7, 0.5), 150: (1.0, 0.8), 72: (1.5, 1.2)}
SIZES = [72, 150, 300]
# Drawn for --hold: each kind of chart, the worst of them among them.
FEW = {("plain", 72, True), ("one ink", 72, True), ("one ink", 150, False), ("own chart", 72, True),
       ("own chart", 150, False)}
# The kept table is held to so many rows, per cent and points: libraries round and draw a little differently.
NEAR = {"rows": 5, "flow": 0.05, "efficiency": 0.15}
BEGIN, END = "<!-- trace-accuracy: begin -->", "<!-- trace-accuracy: end -->"
HEAD = ["chart", "dpi", "worn", "rows", "left out", "flow rms, %", "flow worst, %", "efficiency rms, points",
        "efficiency worst, points", "islands left out, rms"]


class Invented:
    """A map in closed form, with leakage that grows with pressure and falls with speed."""
    displacement_l = 1.5
    speeds = [4000, 6000, 8000, 10000, 12000, 14000]
    levels = [58, 61, 64, 67, 70, 72, 74]
    others = []
    beyond = 0.06  # how far the islands reach past the outer lines, as a share
    low, high = 1.1, 2.2
    x_range, y_range = (0, 1400), (1.0, 2.4)

    @staticmethod
    def flow(speed, ratio):
        filling = 0.97 - 0.055 * np.sqrt(ratio - 1) * 8000 / speed - 0.03 * (speed / 14000) ** 2
        return Invented.displacement_l * 1e-3 * speed * 60 * filling

    @staticmethod
    def efficiency(speed, ratio):
        s = (speed - 8500) / 9000
        r = (ratio - 1.5) / 0.75
        return 76 - 22 * s * s - 16 * r * r - 5 * s * r + 3 * r * r * r


class InventedInside(Invented):
    """The same with islands that end at the outer speed lines, clear of the frame, which has their ink."""
    beyond = 0


class Own:
    """The demo table of the program's own chart, read between its points by the cubic of model.md as the chart is."""
    x_range, y_range = (0, 1600), (1.0, 2.4)
    speeds = [6500, 8000, 9500, 11000, 12500]  # the others run over bands too dark for their dashes
    levels = [66, 68, 70, 72, 74]
    others = [58, 60, 62, 64]  # not traced, but in the way of a seed
    displacement_l = 1.85
    low, high = 1.1, 2.2
    beyond = 0

    def __init__(self):
        with open(f"{ROOT}/maps/roots-185.csv", encoding="utf-8") as f:
            rows = [r for r in csv.reader(line for line in f if not line.startswith("#"))]
        self.table = {}
        self.across = {}
        for r in rows[1:]:
            self.table.setdefault(float(r[0]), []).append((float(r[1]), float(r[2]), float(r[3])))

        self.lines = [s for s in sorted(self.table) if self.table[s][-1][0] > 2.15]
        self.known = {(s, c): Steffen(*np.array([(p[0], p[c]) for p in self.table[s]]).T)
                      for s in self.table for c in (1, 2)}

    def read(self, speed, ratio, column):
        if float(speed) in self.table:
            return self.known[float(speed), column](ratio)
        if (ratio, column) not in self.across:
            self.across[ratio, column] = Steffen(self.lines, [float(self.known[s, column](ratio)) for s in self.lines])
        return float(self.across[ratio, column](speed))

    def flow(self, speed, ratio):
        return self.read(speed, ratio, 1)

    def efficiency(self, speed, ratio):
        return self.read(speed, ratio, 2)


def gnuplot(text):
    subprocess.run(["gnuplot"], input=text, text=True, check=True, capture_output=True)


@functools.lru_cache(maxsize=None)
def contours(chart):
    """Contour lines of a map as gnuplot finds them, a list of polylines a level."""
    with tempfile.TemporaryDirectory() as folder:
        return contours_in(folder, chart)


def contours_in(folder, chart):
    grid = f"{folder}/grid.txt"
    past = chart.beyond * (chart.speeds[-1] - chart.speeds[0])
    over = chart.beyond * (chart.high - chart.low)
    fine = 161 if isinstance(chart, Invented) else 81
    speeds = np.linspace(chart.speeds[0] - past, chart.speeds[-1] + past, fine)
    ratios = np.linspace(max(chart.low - over, 1.02), chart.high + over, fine)
    with open(grid, "w", encoding="utf-8") as f:
        for s in speeds:
            for r in ratios:
                f.write(f"{chart.flow(s, r):.8g} {r:.8g} {chart.efficiency(s, r):.8g}\n")
            f.write("\n")
    every = chart.levels + chart.others
    levels = ",".join(str(v) for v in every)
    out = f"{folder}/contours.txt"
    gnuplot(f"set contour base\nset cntrparam levels discrete {levels}\nunset surface\nset table '{out}'\n"
            f"splot '{grid}' using 1:2:3 with lines\nunset table\n")
    found = {v: [] for v in every}
    piece = []
    for line in open(out, encoding="utf-8").read().splitlines() + [""]:
        words = line.split()
        if len(words) >= 3 and not line.startswith("#"):
            piece.append(tuple(float(w) for w in words[:3]))
        elif piece:
            xy = np.array(piece)[:, :2] / [chart.x_range[1], 1.4]
            if np.hypot(*np.diff(xy, axis=0).T).sum() > 0.12:
                found[min(every, key=lambda v: abs(v - piece[0][2]))].append(np.array(piece)[:, :2])
            piece = []
    return found


def draw_gnuplot(folder, chart, dpi, one_ink):
    """Returns the picture and the function from values to its pixels."""
    width, height = 8 * dpi, 5 * dpi
    lines = contours(chart)
    thick = dpi / 72
    ink = {"line": "#202020", "island": "#202020" if one_ink else "#1f5fae"}
    dash = f"dashtype ({12},{8})" if one_ink else ""
    script = [f"set terminal pngcairo size {width},{height} font 'DejaVu Sans,{9 * dpi / 72:.2f}' linewidth 1",
              f"set output '{folder}/chart.png'", "set lmargin at screen 0.1", "set rmargin at screen 0.96",
              "set bmargin at screen 0.14", "set tmargin at screen 0.95",
              f"set xrange [{chart.x_range[0]}:{chart.x_range[1]}]", f"set yrange [{chart.y_range[0]}:{chart.y_range[1]}]",
              f"set grid linecolor rgb '#d8d8d8' linewidth {0.7 * thick} dashtype 1", "unset key",
              f"set border linewidth {thick}", "set style textbox opaque noborder fillcolor rgb 'white' margins 0.4,0.4", "set xlabel 'flow, m3/h'", "set ylabel 'pressure ratio'"]
    plots = []
    for s in chart.speeds:
        with open(f"{folder}/line{s}.txt", "w", encoding="utf-8") as f:
            for r in np.linspace(chart.low, chart.high, 120):
                f.write(f"{chart.flow(s, r):.8g} {r:.8g}\n")
        plots.append(f"'{folder}/line{s}.txt' with lines linecolor rgb '{ink['line']}' linewidth {1.1 * thick} {dash}")
        script.append(f"set label '{s}' at {chart.flow(s, chart.high)},{chart.high + 0.04} center "
                      f"textcolor rgb '{ink['line']}'")
    for v, pieces in lines.items():
        for i, piece in enumerate(pieces):
            name = f"{folder}/island{v}-{i}.txt"
            np.savetxt(name, piece)
            plots.append(f"'{name}' with lines linecolor rgb '{ink['island']}' linewidth {1.1 * thick}")
        # The value stands on its line, in its colour.
        at = pieces[0][len(pieces[0]) * 3 // 5]
        # In one ink it breaks the line, as monochrome charts do.
        boxed = "boxed" if one_ink else ""
        script.append(f"set label '{v} %' at {at[0]},{at[1]} center front {boxed} textcolor rgb '{ink['island']}'")
    gnuplot("\n".join(script) + "\nplot " + ", ".join(plots) + "\n")
    image = Image.open(f"{folder}/chart.png").convert("RGB")

    def pixel(x, y):
        u = (x - chart.x_range[0]) / (chart.x_range[1] - chart.x_range[0])
        v = (y - chart.y_range[0]) / (chart.y_range[1] - chart.y_range[0])
        return (left + u * (right - left), bottom + v * (top - bottom))
    left, right, top, bottom = frame_of(image)
    return image, pixel, lines


def frame_of(image):
    """Centres of the outermost lines that are dark all along: the frame of the chart, to a fraction of a pixel."""
    grey = 255 - np.asarray(image.convert("L")).astype(float)

    def ends(across, least):
        strong = np.nonzero((across > 0.25 * 255).mean(axis=0) > least)[0]
        profile = across.sum(axis=0)
        out = []
        for at in (strong[0], strong[-1]):
            near = np.arange(max(at - 3, 0), min(at + 4, len(profile)))
            weight = np.clip(profile[near] - np.median(profile[near]) * 1.2, 0, None)
            out.append(float((near * weight).sum() / weight.sum()))
        return out
    # Margins above and below the chart are free of its frame; between left and right all of it is there.
    left, right = ends(grey, 0.6)
    top, bottom = ends(grey[:, round(left):round(right) + 1].T, 0.9)
    return left, right, top, bottom


def draw_own(folder, chart, dpi):
    subprocess.run([PROGRAM, "inspect", f"{ROOT}/maps/roots-185.ini", "--format", "png", "--out", folder, "--size",
                    f"{8 * dpi}x{5 * dpi}", "--dpi", str(dpi)], check=True, capture_output=True)
    image = Image.open(f"{folder}/roots-185-map.png").convert("RGB")
    left, right, top, bottom = frame_of(image)

    def pixel(x, y):
        u = (x - chart.x_range[0]) / (chart.x_range[1] - chart.x_range[0])
        v = (y - chart.y_range[0]) / (chart.y_range[1] - chart.y_range[0])
        return (left + u * (right - left), bottom + v * (top - bottom))
    return image, pixel, contours(chart)


def turned(image, dpi, seed):
    """Turned about the centre, with what a scanner and JPEG leave; and the function from old to new pixels."""
    big = image.rotate(TURN_DEG, resample=Image.BICUBIC, expand=True, fillcolor=(255, 255, 255))
    packed = io.BytesIO()
    big.save(packed, "JPEG", quality=60)
    values = np.asarray(Image.open(packed).convert("RGB")).astype(float)
    grain = np.random.default_rng(seed).normal(0, 4, values.shape)
    out = Image.fromarray(np.clip(values + grain, 0, 255).round().astype(np.uint8))
    a = math.radians(TURN_DEG)
    cx, cy = image.width / 2, image.height / 2

    def move(p):
        dx, dy = p[0] + 0.5 - cx, p[1] + 0.5 - cy
        return (math.cos(a) * dx + math.sin(a) * dy + out.width / 2 - 0.5,
                -math.sin(a) * dx + math.cos(a) * dy + out.height / 2 - 0.5)
    return out, move


def snap(image, points, at, reach):
    """The darkest pixel of a curve near a place on it, as a person would click."""
    grey = np.asarray(image.convert("L")).astype(int)
    points = np.array(points)
    fine = np.linspace(0, len(points) - 1, 40 * len(points))
    near = np.array([np.interp(fine, np.arange(len(points)), points[:, c]) for c in (0, 1)]).T
    near = near[np.hypot(*(near - at).T) <= reach]
    spots = {(round(x), round(y)) for x, y in near} | {(round(at[0]), round(at[1]))}
    best = min((grey[y, x] + 2 * math.hypot(x - at[0], y - at[1]), x, y) for x, y in spots)
    return best[1], best[2]


def trace(folder, chart, image, seeds, corners, more, between):
    image.save(f"{folder}/scan.png")
    text = ["[unit]", "name = Traced chart", "kind = roots", f"displacement = {chart.displacement_l} L/rev", "[map]",
            "temperature = 25 degC", "efficiency_from = temperature rise", "[scan]", "image = scan.png",
            "x_axis = flow [m3/h], linear", "y_axis = pressure ratio, linear",
            "corners = " + ",\n    ".join(f"({x:.3f}, {y:.3f}): {f} m3/h at {r}" for x, y, f, r in corners)]
    for name, kind, value, seed in seeds:
        text += [f"[trace {name}]", f"kind = {kind}", f"value = {value}", f"seed = ({seed[0]}, {seed[1]})"]
        text += [f"between = {between[name]}"] if name in between else more[kind]
    with open(f"{folder}/unit.ini", "w", encoding="utf-8") as f:
        f.write("\n".join(text) + "\n")
    done = subprocess.run([PROGRAM, "trace", f"{folder}/unit.ini", "--csv", f"{folder}/map.csv", "--json",
                           f"{folder}/map.json"] + (["--format", "png", "--out", folder] if KEEP else []),
                          capture_output=True, text=True)
    if done.returncode != 0:
        return None, done.stderr
    with open(f"{folder}/map.csv", encoding="utf-8") as f:
        rows = [[float(c) for c in r] for r in list(csv.reader(f))[1:]]
    with open(f"{folder}/map.json", encoding="utf-8") as f:
        return (rows, json.load(f)), ""


def away(points, others):
    """Of the points, the one farthest from its nearest other."""
    others = np.array(others)
    return max(points, key=lambda p: np.hypot(*(others - p).T).min())


def places(chart, image, move, pixel, lines, dpi, dashed, lined):
    """A seed for each curve, away from all others and from the labels, as a person would pick it."""
    drawn = {}
    for s in chart.speeds:
        drawn[f"n{s}"] = [move(pixel(float(chart.flow(s, r)), float(r))) for r in np.linspace(chart.low, chart.high, 60)]
    signs = []
    for v, pieces in lines.items():
        for i, piece in enumerate(pieces):
            drawn[f"e{v}-{i}"] = [move(pixel(*p)) for p in piece]
        if pieces:
            signs.append(move(pixel(*pieces[0][len(pieces[0]) * 3 // 5])))
    seeds = []
    for name, points in drawn.items():
        if name[0] == "e" and int(name[1:].split("-")[0]) in chart.others:
            continue
        others = [p for other, there in drawn.items() if other != name for p in there] + signs
        skip = max(3, len(points) // 8)  # clear of the ends
        at = away(points[skip:-skip], others)
        line = name[0] == "n"
        value = f"{name[1:]} rpm" if line else f"{name[1:].split('-')[0]} %"
        reach = 1 + dpi // 100 + (dpi // 30 if line and dashed else 0)
        seeds.append((name, "speed line" if line else "island", value,
                      snap(image, points, at, reach) if line or lined else (round(at[0]), round(at[1]))))
    return seeds


def beside(image, points, seed, dpi):
    """The colours on both sides of a curve near its seed, as a person picks them off the picture."""
    points = np.array(points)
    near = int(np.hypot(*(points - seed).T).argmin())
    way = points[min(near + 2, len(points) - 1)] - points[max(near - 2, 0)]
    way /= np.hypot(*way)
    pixels = np.asarray(image)
    picked = []
    for side in (-1, 1):
        x, y = np.round(np.array(seed) + side * (2 + dpi / 40) * np.array([way[1], -way[0]])).astype(int)
        picked.append("%02x%02x%02x" % tuple(np.median(pixels[y - 1:y + 2, x - 1:x + 2].reshape(-1, 3), axis=0)
                                             .astype(int)))
    return ", ".join(picked)


def run(name, chart, dpi, worn, one_ink):
    folder = tempfile.mkdtemp() if KEEP is None else f"{KEEP}/{name.replace(' ', '-')}-{dpi}{'-worn' if worn else ''}"
    os.makedirs(folder, exist_ok=True)
    if isinstance(chart, Own):
        image, pixel, lines = draw_own(folder, chart, dpi)
    else:
        image, pixel, lines = draw_gnuplot(folder, chart, dpi, one_ink)
    move = lambda p: p
    if worn:
        image, move = turned(image, dpi, dpi)
    corners = [(*move(pixel(x, y)), x, y) for x in chart.x_range for y in chart.y_range]
    own = isinstance(chart, Own)
    seeds = places(chart, image, move, pixel, lines, dpi, one_ink or own, not own)
    more = {"speed line": ["colour = 171a21"] if own else ["colour = 202020"],
            "island": ["colour = 202020" if one_ink else "colour = 1f5fae"]}
    between = {}
    if own:
        for curve, kind, value, seed in seeds:
            if kind == "island":
                # Of the longest piece, where both areas are widest.
                level = int(curve[1:].split("-")[0])
                piece = max(range(len(lines[level])), key=lambda i: len(lines[level][i]))
                at = next((s[3] for s in seeds if s[0] == f"e{level}-{piece}"), seed)
                between[curve] = beside(image, [move(pixel(*p)) for p in lines[level][piece]], at, dpi)
    while True:
        result, said = trace(folder, chart, image, seeds, corners, more, between)
        twice = re.search(r"\[trace (e\d+)-(\d+)\] runs along \[trace (e\d+)-", said)
        if not twice or twice[1] != twice[3]:
            break
        # gnuplot cuts a contour into pieces that the program follows as one.
        seeds = [s for s in seeds if s[0] != f"{twice[1]}-{twice[2]}"]
    if result is None:
        return None, said
    rows, report = result
    flow = np.array([100 * (r[2] / float(chart.flow(r[0], r[1])) - 1) for r in rows])
    ea = np.array([r[3] - float(chart.efficiency(r[0], r[1])) for r in rows])
    return (len(rows), report["fit"]["left_out"], flow, ea, report["fit"]["cross_validated_rms"]), ""


def line_of(name, dpi, worn, result):
    cells = [name, str(dpi), "yes" if worn else "no"]
    if result is None:
        cells += ["not traced"] + [""] * (len(HEAD) - 4)
    else:
        rows, left, flow, ea, cross = result
        cells += [str(rows), str(left)] + [f"{v:.2f}" for v in (
            np.sqrt((flow**2).mean()), np.abs(flow).max(), np.sqrt((ea**2).mean()), np.abs(ea).max(), 100 * cross)]
    return cells


def past(cells):
    """Whether a row of the table is past a target."""
    flow, ea = TARGETS[int(cells[1])]
    return cells[3] == "not traced" or float(cells[6]) > flow or float(cells[8]) > ea


def kept(path):
    """The rows of the table kept in a document, by chart, resolution and wear."""
    text = open(path, encoding="utf-8").read()
    rows = [[c.strip() for c in line.strip("| ").split("|")]
            for line in text[text.index(BEGIN):text.index(END)].splitlines() if line.startswith("|")]
    return {(r[0], int(r[1]), r[2] == "yes"): r for r in rows[2:]}


def apart(cells, kept_cells):
    """What in a row is not as kept."""
    if kept_cells is None or "not traced" in (cells[3], kept_cells[3]):
        return ["all"]
    near = [NEAR["rows"]] * 2 + [NEAR["flow"]] * 2 + [NEAR["efficiency"]] * 3
    return [HEAD[i] for i in range(3, len(HEAD)) if abs(float(cells[i]) - float(kept_cells[i])) > near[i - 3] + 1e-9]


def markdown(rows):
    return "".join("| " + " | ".join(cells) + " |\n" for cells in [HEAD, ["---"] * len(HEAD)] + rows)


def main():
    charts = {"plain": (Invented(), False), "one ink": (InventedInside(), True), "own chart": (Own(), True)}
    wanted = [(name, dpi, worn) for name in charts for dpi in SIZES for worn in (False, True)
              if (not ONLY or name in ONLY.split(",")) and (not HOLD or (name, dpi, worn) in FEW)]
    table, missed = [], 0
    for name, dpi, worn in wanted:
        result, said = run(name, *charts[name][:1], dpi, worn, charts[name][1])
        table.append(line_of(name, dpi, worn, result))
        print("| " + " | ".join(table[-1]) + " |", flush=True)
        if past(table[-1]):
            print(f"{name}, {dpi} dpi: a target is missed {said}")
            missed += 1
    if HOLD:
        there = kept(HOLD)
        for cells in table:
            off = apart(cells, there.get((cells[0], int(cells[1]), cells[2] == "yes")))
            if off:
                print(f"{HOLD}: {', '.join(cells[:3])} is not as kept in {', '.join(off)}; make trace-accuracy")
                missed += 1
        for key in [(n, d, w) for n in charts for d in SIZES for w in (False, True)]:
            if key not in there or past(there[key]):
                print(f"{HOLD}: the row of {key} is missing or past a target; make trace-accuracy")
                missed += 1
    if UPDATE and not missed and not ONLY:
        text = open(UPDATE, encoding="utf-8").read()
        head, rest = text.split(BEGIN + "\n", 1)
        with open(UPDATE, "w", encoding="utf-8") as f:
            f.write(head + BEGIN + "\n\n" + markdown(table) + "\n" + END + "\n" + rest.split(END + "\n", 1)[1])
    print(f"{len(table) - missed if missed < len(table) else 0} passed, {missed} failed")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
