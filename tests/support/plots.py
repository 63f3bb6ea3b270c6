"""Draws the gallery anew beside the committed one and holds the two against each other in structure.
plots.py PROGRAM FOLDER [--update | --update-all]

Of two pictures alike byte for byte nothing more is asked. Else, since libraries and fonts differ a little from one
machine to the next:
- SVG: size, title, and how many elements of each kind there are and of each colour, width and dash, and every text
- PDF: pages, their size, the title and every word
- PNG: size, what its text chunks say, and the picture made grey and smaller by 8: not more than 1 cell in 2000 may be
  off by more than 40 of 255, and all together not by more than 1 of 255 on average
A picture that is missing on either side is a difference. --update writes those that differ, in every form, --update-all every one.
"""

import collections
import os
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as xml

from PIL import Image, ImageChops

CELL = 8
CELL_OFF = 40
CELLS_OFF_SHARE = 1 / 2000
MEAN_OFF = 1.0


def svg_structure(path):
    root = xml.parse(path).getroot()
    seen = collections.Counter()
    title = ""
    texts = collections.Counter()
    for element in root.iter():
        tag = element.tag.split("}")[-1]
        if tag == "title":
            title = element.text
        elif tag == "text":
            texts["".join(element.itertext())] += 1
        # Colours and pens; what is drawn with them may move a little.
        seen[(tag, element.get("style") or element.get("fill", ""))] += 1
    return [("size", root.get("width"), root.get("height")), ("title", title), ("elements", seen), ("texts", texts)]


def pdf_structure(path):
    def said(*command):
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout

    info = dict(line.split(":", 1) for line in said("pdfinfo", path).splitlines() if ":" in line)
    words = collections.Counter(said("pdftotext", path, "-").split())
    return [
        ("pages", info.get("Pages", "").strip()),
        ("size", info.get("Page size", "").strip()),
        ("title", info.get("Title", "").strip()),
        ("words", words),
    ]


def structures_differ(old, new):
    for (name, *was), (_, *now) in zip(old, new):
        if was == now:
            continue
        if isinstance(was[0], collections.Counter):
            gone = was[0] - now[0]
            come = now[0] - was[0]
            return "%s: gone %s; new %s" % (name, few(gone), few(come))
        return "%s: was %s, is %s" % (name, was, now)
    return None


def few(counter):
    shown = ["%d x `%s`" % (n, (" ".join(what) if isinstance(what, tuple) else what)[:90]) for what, n in counter.most_common(4)]
    return (", ".join(shown) or "nothing") + (" and more" if len(counter) > 4 else "")


def png_differ(old_path, new_path):
    with Image.open(old_path) as old, Image.open(new_path) as new:
        if old.size != new.size or old.mode != new.mode:
            return "was %s %s, is %s %s" % (old.size, old.mode, new.size, new.mode)
        if old.text != new.text:
            return "its texts were %s, are %s" % (old.text, new.text)
        off = ImageChops.difference(old.convert("L").reduce(CELL), new.convert("L").reduce(CELL))
    histogram = off.histogram()
    cells = sum(histogram)
    far = sum(histogram[CELL_OFF + 1 :])
    mean = sum(value * count for value, count in enumerate(histogram)) / cells
    if far > cells * CELLS_OFF_SHARE or mean > MEAN_OFF:
        return "%d of %d cells are off by more than %d, the mean by %.2f of 255, around %s" % (
            far,
            cells,
            CELL_OFF,
            mean,
            tuple(CELL * v for v in off.point(lambda v: 255 if v > CELL_OFF else 0).getbbox() or (0, 0)),
        )
    return None


def differ(old, new):
    """Returns what differs, or None."""
    if not os.path.exists(old):
        return "is not among the committed ones"
    if not os.path.exists(new):
        return "is no longer drawn"
    with open(old, "rb") as a, open(new, "rb") as b:
        if a.read() == b.read():
            return None
    if old.endswith(".png"):
        return png_differ(old, new)
    of = svg_structure if old.endswith(".svg") else pdf_structure
    return structures_differ(of(old), of(new))


def can_fail(program):
    """A pulley smaller by a millimetre must show in a picture of every kind."""
    with tempfile.TemporaryDirectory() as folder:
        for name in ("roots-185.ini", "roots-185.csv"):
            shutil.copy("maps/" + name, folder)
        with open("maps/estate-roots.ini", encoding="utf-8") as file:
            text = file.read()
        changed = re.sub(r"^blower_pulley = .*$", "blower_pulley = 91 mm", text, flags=re.M)
        with open(folder + "/estate-roots.ini", "w", encoding="utf-8") as file:
            file.write(changed)
        command = [program, "chart", folder + "/estate-roots.ini", "--out", folder, "--format", "png,svg,pdf"]
        subprocess.run(command, check=False, capture_output=True)
        names = ["estate-roots-chart." + ending for ending in ("png", "pdf", "svg")]
        return [name for name in names if differ("plots/" + name, folder + "/" + name) is None]


def main():
    program = os.path.abspath(sys.argv[1])
    fresh = sys.argv[2]
    update = sys.argv[3] if len(sys.argv) > 3 else ""
    shutil.rmtree(fresh, ignore_errors=True)
    drawn = subprocess.run(
        ["sh", "tests/support/demo.sh", program, "quiet"],
        env=dict(os.environ, PLOTS=fresh),
        stderr=subprocess.DEVNULL,
        check=False,
    )
    if drawn.returncode != 0:
        print("plots: the demo ends with", drawn.returncode)
        return 1
    names = sorted(set(os.listdir("plots")) | set(os.listdir(fresh)))
    failed = 0
    differs = {name: differ("plots/" + name, fresh + "/" + name) for name in names}
    # The SVG tells more of a thin line than pixels do; the other forms of a picture go with it.
    changed = {os.path.splitext(name)[0] for name in names if differs[name]}
    for name in names:
        old = "plots/" + name
        new = fresh + "/" + name
        wrong = differs[name]
        if update == "--update-all" or (update == "--update" and os.path.splitext(name)[0] in changed):
            if os.path.exists(new):
                shutil.copy(new, old)
                print("plots: wrote", old)
            else:
                os.remove(old)
                print("plots: removed", old)
        elif wrong:
            print("plots: %s: %s" % (name, wrong))
            failed += 1
    if not update:
        for name in can_fail(program):
            print("plots: a changed %s goes unnoticed" % name)
            failed += 1
        if failed:
            print("plots: look at the new ones in %s; `make plots UPDATE=1` puts those that differ into plots/" % fresh)
    print("%d passed, %d failed" % (len(names) + 3 - failed if not update else len(names), failed))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
