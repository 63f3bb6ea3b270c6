#!/usr/bin/python3
"""Times the common jobs: run.py BUILD [--json FILE] [--update].

Prints a table and writes the figures as JSON (BUILD/bench.json unless told otherwise); --update writes
docs/performance.md from them. What is held against something else runs in turns with it, and the best of each counts,
in processor time, so that other work on the machine weighs little. Nothing here fails for being slow: a target that is
missed is marked.
"""
import json
import os
import platform
import subprocess
import sys
import tempfile

BUILD = os.path.abspath(sys.argv[1])
PROGRAM = f"{BUILD}/sweptline"
BENCH = f"{BUILD}/tests-bench"
HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
DEMO = "maps/estate-roots.ini"
JSON = sys.argv[sys.argv.index("--json") + 1] if "--json" in sys.argv else f"{BUILD}/bench.json"


def once(command):
    """Returns wall and processor time in ms, peak memory in MB and page faults of one run."""
    took = told([f"{BENCH}/launch"] + command)
    return took["wall_ms"], took["busy_ms"], took["peak_mb"], took["faults"]


def in_turns(commands, turns):
    """The best of each command over so many turns: {name: (wall ms, processor ms, MB, page faults)}."""
    seen = {name: [] for name in commands}
    for _ in range(turns):
        for name, command in commands.items():
            seen[name].append(once(command))
    return {name: tuple(min(column) for column in zip(*runs)) for name, runs in seen.items()}


def told(command):
    """The figures that a timed program prints."""
    out = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
    if out.returncode not in (0, 1) or not out.stdout:
        sys.exit(f"run.py: {' '.join(command)} ended with {out.returncode}: {out.stderr}")
    return {name: float(value) for name, value, _ in (line.split("\t") for line in out.stdout.splitlines())}


def gnuplot_script(folder):
    """A script that draws the demo's map, operating line and six curves from data laid out beforehand."""
    from plain import lay_out
    line = json.loads(subprocess.run([PROGRAM, "check", DEMO, "--json", "-"], capture_output=True).stdout)["line"]
    return lay_out(folder, "maps/roots-185.csv", line)


def measure():
    os.chdir(ROOT)
    sys.path.insert(0, HERE)
    figures = {}
    with tempfile.TemporaryDirectory() as folder:
        figures |= told([f"{BENCH}/points", DEMO])
        figures |= told([f"{BENCH}/points", "maps/estate-roots-water.ini", "water_"])
        figures |= told([f"{BENCH}/spread", "maps/estate-tolerances.ini"])
        figures |= told([f"{BENCH}/flat", DEMO, "20000"])
        record = f"{folder}/record"
        chart = [PROGRAM, "chart", DEMO, "--out", folder, "--format"]
        subprocess.run(chart + ["png"], check=True, capture_output=True,
                       env=os.environ | {"RECORD_TO": record, "LD_PRELOAD": f"{BENCH}/record.so"})
        floor = [f"{BENCH}/floor", record, f"{folder}/floor.png"]
        once(floor)
        same_picture(f"{folder}/floor.png", f"{folder}/estate-roots-chart.png")
        runs = in_turns({"chart_png": chart + ["png"], "chart_floor": floor,
                         "chart_gnuplot": ["gnuplot", gnuplot_script(folder)]}, 15)
        runs |= in_turns({"check": [PROGRAM, "check", DEMO], "nothing": [PROGRAM, "--version"]}, 40)
        runs |= in_turns({"chart_svg": chart + ["svg"], "chart_pdf": chart + ["pdf"]}, 8)
        pulley = [PROGRAM, "pulley", DEMO]
        runs |= in_turns({"pulley_9": pulley, "pulley_200": pulley + ["--blower", "70mm:109.8mm:0.2mm"],
                          "pulley_island": pulley + ["--island", "2500:5500"],
                          "compare": [PROGRAM, "compare", DEMO, "maps/estate-screw.ini"]}, 6)
        for name, (wall, busy, peak, faults) in runs.items():
            figures |= {f"{name}_wall_ms": wall, f"{name}_ms": busy, f"{name}_mb": peak, f"{name}_faults": faults}
        figures |= told(["/usr/bin/python3", f"{HERE}/trace.py", PROGRAM])
        for kind, path in scans(folder).items():
            figures |= told([f"{BENCH}/png", kind, path])
    return figures


def same_picture(a, b):
    from PIL import Image, ImageChops
    if ImageChops.difference(Image.open(a).convert("RGB"), Image.open(b).convert("RGB")).getbbox() is not None:
        sys.exit("run.py: the floor's picture is not the chart's: what is timed is not the same drawing")


def scans(folder):
    """The demo's scan at 4000 pixels of width in three kinds of PNG."""
    from PIL import Image
    image = Image.open("maps/roots-185-scan.png").convert("RGB").resize((4000, 2839), Image.BICUBIC)
    paths = {kind: f"{folder}/{kind}.png" for kind in ("rgb", "palette", "grey")}
    image.save(paths["rgb"])
    image.quantize(64).save(paths["palette"])
    image.convert("L").save(paths["grey"])
    return paths


def ratio(figures, over, under):
    return figures[over] / figures[under]


# What is kept: name, how it is got, target (None: none), whether the target is a least.
RATIOS = [
    ("chart as PNG over the floor", lambda f: ratio(f, "chart_png_ms", "chart_floor_ms"), 1.25, False),
    ("chart as PNG over gnuplot drawing the same data", lambda f: ratio(f, "chart_png_ms", "chart_gnuplot_ms"), None,
     False),
    ("one core over two cores, spread", lambda f: ratio(f, "spread_one_s", "spread_two_s"), 1.9, True),
    ("reading a PNG over bare libpng, colour", lambda f: ratio(f, "png_read_rgb_ms", "png_bare_rgb_ms"), 1.1, False),
    ("reading a PNG over bare libpng, palette",
     lambda f: ratio(f, "png_read_palette_ms", "png_bare_palette_ms"), 1.1, False),
    ("reading a PNG over bare libpng, grey", lambda f: ratio(f, "png_read_grey_ms", "png_bare_grey_ms"), 1.1, False),
    ("a point with a water circuit over one without", lambda f: ratio(f, "water_point_us", "point_us"), None, False),
    ("a point over one evaluation of it: evaluations", lambda f: f["evaluations"], None, False),
    ("map readings, share of a point", lambda f: f["evaluations"] * f["map_read_us"] / f["point_us"], None, False),
    ("isentropic temperatures, share of a point", lambda f: f["evaluations"] * f["isentropic_us"] / f["point_us"],
     None, False),
    ("temperatures of an enthalpy, share of a point", lambda f: f["evaluations"] * f["enthalpy_us"] / f["point_us"],
     None, False),
    ("check over the start of the program alone", lambda f: ratio(f, "check_ms", "nothing_ms"), None, False),
]
# Name, key, unit, target, digits after the point.
TIMES = [
    ("one operating point", "point_us", "us", 5, 2),
    ("one operating point with a water circuit", "water_point_us", "us", None, 2),
    ("one map reading", "map_read_us", "us", None, 3),
    ("one isentropic temperature", "isentropic_us", "us", None, 3),
    ("one temperature of an enthalpy", "enthalpy_us", "us", None, 3),
    ("a whole check in the library, 21 rows", "flat_check_us", "us", None, 0),
    ("`check`, start to end", "check_wall_ms", "ms", 10, 1),
    ("a page of memory on first touch, here", "page_fault_us", "us", None, 2),
    ("`chart` as PNG, 1600 x 1000", "chart_png_wall_ms", "ms", None, 0),
    ("the floor: the same drawing calls and libpng alone", "chart_floor_wall_ms", "ms", None, 0),
    ("gnuplot drawing the same data", "chart_gnuplot_wall_ms", "ms", None, 0),
    ("`chart` as SVG", "chart_svg_wall_ms", "ms", None, 0),
    ("`chart` as PDF", "chart_pdf_wall_ms", "ms", None, 0),
    ("`pulley`, 9 sizes", "pulley_9_wall_ms", "ms", None, 1),
    ("`pulley`, 200 sizes", "pulley_200_wall_ms", "ms", None, 1),
    ("`pulley --island`", "pulley_island_wall_ms", "ms", None, 1),
    ("`compare`", "compare_wall_ms", "ms", None, 1),
    ("`spread`, 10,240 builds of 60 rows, one core", "spread_one_s", "s", None, 2),
    ("`spread`, the same, two cores", "spread_two_s", "s", None, 2),
    ("reading a colour PNG of 11.4 Mpixel", "png_read_rgb_ms", "ms", None, 0),
    ("`trace`, ten curves off 12 Mpixel", "trace_s", "s", 2, 2),
]
MEMORY = [
    ("`check`", "check_mb", None), ("`chart` as PNG", "chart_png_mb", None), ("the floor", "chart_floor_mb", None),
    ("gnuplot", "chart_gnuplot_mb", None), ("`spread`", "spread_mb", None), ("`trace`, 12 Mpixel", "trace_mb", 300),
]


def judged(value, target, least):
    if target is None:
        return ""
    kept = value >= target if least else value <= target
    return f"{'at least' if least else 'at most'} {target:g}: {'kept' if kept else 'MISSED'}"


def rows(figures):
    """Title, rows of (what, figure as text, target as text), for the three tables."""
    ratios = [(name, f"{get(figures):.2f}", judged(get(figures), target, least)) for name, get, target, least in RATIOS]
    times = [(name, f"{figures[key]:.{digits}f} {unit}", judged(figures[key], target, False) if target else "")
             for name, key, unit, target, digits in TIMES]
    memory = [(name, f"{figures[key]:.0f} MB", judged(figures[key], target, False) if target else "")
              for name, key, target in MEMORY]
    return [("Ratios", ratios), ("Times", times), ("Peak memory", memory)]


def show(figures):
    for title, table in rows(figures):
        print(title)
        for what, figure, target in table:
            print(f"  {what.replace('`', ''):54}{figure:>12}  {target}")


INTRO = """# How fast it is

Written by `make bench-docs` from what `tests/bench` measured; not by hand. The ratios are what is kept: they compare two
things run in turns on one machine and say the same on another. Times are of that machine alone ({machine}, {cores} cores,
{compiler}). Nothing in `make check` depends on any of them.

How it is measured: in ratios, processes by the processor time they took, the best of several turns; in the table of times
by the clock, `trace` once; an operating point by 200,000 of them; `spread` by the clock. *The floor* is a program that plays the very drawing calls of the chart, recorded from it,
on the same surface and writes the PNG with the same settings; its picture is compared with the chart's and must be the
same, pixel by pixel. What a chart takes over the floor is reading the files, solving, laying the map out, finding contours
and room for labels, and loading the plotting library.
"""
BINDS = """
## What binds

- An operating point is {evaluations:.1f} evaluations of its balance; {map:.0%} of the time goes into reading the map,
  {isentropic:.0%} into isentropic temperatures of real air. A water circuit's balance is solved inside each of them.
- `check` is {start:.0%} the start of the program: loading its libraries. The one that serves the page of `serve` is
  loaded by that command alone: it brings encryption along, whose setting up took every command 2 to 3 ms. What a start
  takes hangs on the machine: {faults:.0f} pages are touched for the first time, {start_faults:.0f} of them before `check`
  begins, and each such touch takes {fault_us:.1f} us or more here, {fault_ms:.1f} ms in all (a tenth of a microsecond to
  half of one is usual outside virtual machines: common knowledge, no source).
- A PNG with a palette is read as indices and coloured here, which shows an index past the palette's end; libpng takes
  longer to turn them into colours and looks for none.
- A chart as PNG: about a third packing pixels, a fifth filling and stroking, a tenth fonts; the floor has all of these.
- `spread` runs its builds on as many threads as there are cores; what is left of two is the sorting of results at the
  end.
"""


def page(figures):
    compiler = subprocess.run(["gcc", "--version"], capture_output=True, text=True).stdout.splitlines()[0]
    model = next((line.split(":")[1].strip() for line in open("/proc/cpuinfo", encoding="utf-8")
                  if line.startswith("model name")), platform.machine())
    text = INTRO.format(machine=model, cores=os.cpu_count(), compiler=compiler)
    for title, table in rows(figures):
        text += f"\n## {title}\n\n| what | figure | target |\n| --- | ---: | --- |\n"
        text += "".join(f"| {what} | {figure} | {target} |\n" for what, figure, target in table)
    return text + BINDS.format(
        evaluations=figures["evaluations"], map=figures["evaluations"] * figures["map_read_us"] / figures["point_us"],
        isentropic=figures["evaluations"] * figures["isentropic_us"] / figures["point_us"],
        start=figures["nothing_ms"] / figures["check_ms"], faults=figures["check_faults"],
        start_faults=figures["nothing_faults"], fault_us=figures["page_fault_us"],
        fault_ms=figures["check_faults"] * figures["page_fault_us"] / 1e3)


def main():
    figures = measure()
    show(figures)
    with open(JSON, "w", encoding="utf-8") as f:
        json.dump({"program": "sweptline", "cores": os.cpu_count(), "figures": figures,
                   "ratios": {name: get(figures) for name, get, _, _ in RATIOS}}, f, indent=1)
        f.write("\n")
    print(f"figures in {JSON}")
    if "--update" in sys.argv:
        with open(f"{ROOT}/docs/performance.md", "w", encoding="utf-8") as f:
            f.write(page(figures))


main()
