#!/usr/bin/python3
"""Gathers seeds for the fuzz targets out of the examples, the rejected inputs and the maps.

usage: seeds.py OUT       OUT/TARGET gets a file each; several files of one run are joined by lines "=== NAME"
"""
import os
import struct
import sys
import zlib

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
LARGEST = 40000


def read(path):
    with open(path, "rb") as file:
        return file.read()


def folders():
    """Every folder of inputs, and the maps' one."""
    yield os.path.join(ROOT, "maps")
    for kind in ("reject", "examples"):
        base = os.path.join(ROOT, "tests", kind)
        for name in sorted(os.listdir(base)):
            if os.path.isdir(os.path.join(base, name)):
                yield os.path.join(base, name)


def png(width, height, kind, depth, rows, extra=b""):
    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0)
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + extra + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b""))


def pictures():
    """A small picture of every colour type and depth, with what may stand beside the pixels."""
    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    palette = chunk(b"PLTE", bytes(range(48)))
    beside = {"plain": b"", "gama": chunk(b"gAMA", struct.pack(">I", 45455)), "srgb": chunk(b"sRGB", b"\0"),
              "phys": chunk(b"pHYs", struct.pack(">IIB", 2835, 2835, 1)), "text": chunk(b"tEXt", b"a\0b")}
    for kind, depths, channels in ((0, (1, 2, 4, 8, 16), 1), (2, (8, 16), 3), (3, (1, 2, 4, 8), 1), (4, (8, 16), 2), (6, (8, 16), 4)):
        for depth in depths:
            line = (9 * depth * channels + 7) // 8
            rows = b"".join(bytes([y % 5]) + bytes((x * 37 + y) % (2 if kind == 3 and depth == 1 else 13) for x in range(line)) for y in range(7))
            yield "%d-%d" % (kind, depth), png(9, 7, kind, depth, rows, palette if kind == 3 else b"")
            trns = {0: b"\0\1", 2: b"\0\1\0\2\0\3", 3: b"\0\x80\xff"}.get(kind)
            if trns:
                yield "%d-%d-trns" % (kind, depth), png(9, 7, kind, depth, rows, (palette if kind == 3 else b"") + chunk(b"tRNS", trns))
    rows = b"".join(b"\0" + bytes((x * 7 + y) % 251 for x in range(27)) for y in range(7))
    for name, extra in beside.items():
        yield name, png(9, 7, 2, 8, rows, extra)


def drawing():
    """A chart as runs of colours: two speed lines that lean, and rectangles as islands round them."""
    width, height = 180, 120
    cells = [[0] * width for _ in range(height)]
    for colour, left in ((2, 50), (3, 110)):
        for y in range(10, 110):
            for x in range(left + y // 8, left + y // 8 + 2):
                cells[y][x] = colour
    for colour, x0, x1, y0, y1 in ((1, 20, 160, 16, 104), (7, 35, 145, 30, 90)):
        for x in range(x0, x1 + 1):
            for y in (y0, y0 + 1, y1, y1 + 1):
                cells[y][x] = colour
        for y in range(y0, y1 + 2):
            for x in (x0, x0 + 1, x1, x1 + 1):
                cells[y][x] = colour
    flat = [colour for row in cells for colour in row]
    out = bytearray()
    at = 0
    while at < len(flat):
        run = 1
        while at + run < len(flat) and flat[at + run] == flat[at] and run < 32:
            run += 1
        out.append((run - 1) << 3 | flat[at])
        at += run
    return b"picture %d %d\n" % (width, height) + bytes(out)


TRACED = b"""[unit]
name = Invented
kind = roots
displacement = 1 L/rev
[map]
temperature = 25 degC
pressure = 100 kPa
efficiency_from = temperature rise
[scan]
image = chart.png
x_axis = flow [m3/h], linear
y_axis = pressure ratio, linear
x_points = 0: 0, 179: 800
y_points = 119: 1.0, 0: 2.4
[trace slow]
kind = speed line
value = 4000 rpm
seed = (58, 60)
[trace fast]
kind = speed line
value = 8000 rpm
seed = (118, 60)
[trace outer]
kind = island
value = 50 %
seed = (20, 60)
colour = 000000
gap = 20
[trace inner]
kind = island
value = 60 %
line = 35 30, 90 28, 145 30, 145 90, 35 90, 35 30
"""


def joined(first, others):
    return first + b"".join(b"\n=== %s\n%s" % (name.encode(), data) for name, data in others)


def seeds():
    chart = drawing()
    yield "trace", "drawn", TRACED + b"=== chart.png\n" + chart
    for name, data in pictures():
        yield "png", name, data
    for folder in folders():
        short = os.path.basename(folder)
        names = sorted(os.listdir(folder))
        texts = {n: read(os.path.join(folder, n)) for n in names
                 if n.endswith((".ini", ".csv")) and os.path.getsize(os.path.join(folder, n)) < LARGEST}
        images = {n: read(os.path.join(folder, n)) for n in names
                  if n.endswith(".png") and os.path.getsize(os.path.join(folder, n)) < LARGEST}
        for name, data in images.items():
            yield "png", short + "-" + name, data
        for name, data in texts.items():
            label = short + "-" + name
            others = [(n, d) for n, d in texts.items() if n != name and n.encode() in data]
            deeper = [(n, d) for n, d in texts.items()
                      if n != name and n not in dict(others) and any(n.encode() in o for _, o in others)]
            if name.endswith(".csv"):
                yield ("map" if b"blower speed" in data else "log"), label, data
            elif b"[engine]" in data:
                yield "build", label, joined(data, [o for o in others if not o[0].startswith("unit")])
                yield "check", label, joined(data, others + deeper)
            else:
                yield "unit", label, joined(data, others)
                if b"[scan]" in data:
                    own = [(n, d) for n, d in images.items() if n.encode() in data]
                    yield "trace", label, joined(data, own or [("chart.png", chart)])
                    yield "calibration", label, b"\n".join(
                        l for l in data.split(b"[scan]", 1)[1].split(b"\n[", 1)[0].split(b"\n") if not l.startswith(b"image")) + b"\n"


def main():
    out = sys.argv[1]
    for target, label, data in seeds():
        folder = os.path.join(out, target)
        os.makedirs(folder, exist_ok=True)
        with open(os.path.join(folder, label), "wb") as file:
            file.write(data)


main()
