#!/usr/bin/python3
"""Independent reference of the belt in docs/model.md, compared with the program over random layouts.

usage: belt.py PROGRAM [FIRST LAST]     layouts FIRST to LAST - 1 of an endless series, 0 to 79 when left out

Other ways to the same numbers: the four common tangents of two circles come from their centre of similitude, and the
one whose two ends turn the right way is kept; wraps are angles between radii; a belt of ribs alone is also the convex
hull of its circles, cut into fine polygons; tensions are the solution of a linear system. The power of the blower is
that of `check`.
"""
import json
import math
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy.spatial import ConvexHull

TOLERANCE, HULL_TOLERANCE = 1e-9, 2e-7
MAPS = Path(__file__).resolve().parents[2] / "maps"
DIFFERENTIAL, BACK_OFFSET = 0.002, 0.0015


def random_layout(rng):
    """Pulleys round a ring, clockwise or not, and idlers on the back between some of them."""
    n = rng.randint(2, 6)
    way = rng.choice((1, -1))
    ring = []
    for i in range(n):
        angle = way * 2 * math.pi * (i + rng.uniform(-0.2, 0.2)) / n
        r = rng.uniform(0.24, 0.36)
        ring.append((r * math.cos(angle), r * math.sin(angle)))
    names = ["crank"] + [f"p{i}" for i in range(1, n)]
    names[rng.randrange(1, n)] = "blower"
    pulleys = []
    for i, (x, y) in enumerate(ring):
        d = {"crank": 0.16, "blower": 0.092}.get(names[i], rng.uniform(0.05, 0.14))
        pulleys.append(dict(name=names[i], x=x, y=y, d=d, side="ribs"))
    path = []
    for i, pulley in enumerate(pulleys):
        path.append(pulley)
        if n > 2 and rng.random() < 0.4:
            nxt = pulleys[(i + 1) % n]
            length = math.hypot(nxt["x"] - pulley["x"], nxt["y"] - pulley["y"])
            d = rng.uniform(0.05, 0.08)
            off = way * ((pulley["d"] + nxt["d"]) / 4 + d / 2 - rng.uniform(0.004, 0.02))
            path.append(dict(name=f"b{i}", d=d, side="back",
                             x=(pulley["x"] + nxt["x"]) / 2 + (nxt["y"] - pulley["y"]) / length * off,
                             y=(pulley["y"] + nxt["y"]) / 2 - (nxt["x"] - pulley["x"]) / length * off))
    for pulley in path:
        if pulley["name"] not in ("crank", "blower") and rng.random() < 0.5:
            pulley["power"] = rng.uniform(0, 4000)
    return path, way, dict(automatic=rng.random() < 0.5, static=rng.uniform(100, 900), friction=rng.uniform(0.1, 0.4),
                           back_friction=rng.uniform(0.1, 0.5), mass=rng.uniform(0.05, 0.4))


def build_text(path, way, belt):
    head = (MAPS / "estate-roots.ini").read_text().replace("roots-185.ini", str(MAPS / "roots-185.ini"))
    mover = next(p for p in path if p["name"] not in ("crank",))
    text = head + "\n[belt]\npath = " + ", ".join(p["name"] for p in path) + "\n"
    text += "tension = " + ("automatic tensioner" if belt["automatic"] else "fixed centres") + "\n"
    text += "runs = " + ("counterclockwise" if way > 0 else "clockwise") + "\n"
    text += f"static_tension = {belt['static']!r} N\nfriction = {belt['friction']!r}\n"
    text += f"back_friction = {belt['back_friction']!r}\nmass = {belt['mass']!r} kg/m\n"
    for p in path:
        text += f"[pulley {p['name']}]\ncentre = {p['x']!r} m, {p['y']!r} m\n"
        if p["name"] not in ("crank", "blower"):
            text += f"diameter = {p['d']!r} m\n"
        text += f"side = {p['side']}\n"
        if "power" in p:
            text += f"power = {p['power']!r} W\n"
        if belt["automatic"] and p is mover:
            text += f"travel_to = {p['x'] + 1e-3!r} m, {p['y']!r} m\n"
    return text, mover["name"]


def tangent(c1, r1, t1, c2, r2, t2):
    """The common tangent that leaves circle 1 turning t1 and reaches circle 2 turning t2, by centres of similitude."""
    found = []
    for sign in (1, -1):  # outer, inner
        if abs(r1 - sign * r2) < 1e-12:
            axis = (c2 - c1) / abs(c2 - c1)
            ends = [(c1 + 1j * s * r1 * axis, c2 + 1j * s * r2 * axis) for s in (1, -1)]
        else:
            centre = (c2 * r1 - sign * c1 * r2) / (r1 - sign * r2)
            ends = []
            for s in (1, -1):
                pair = []
                for c, r in ((c1, r1), (c2, r2)):
                    away = abs(c - centre)
                    along = math.sqrt(away * away - r * r)
                    pair.append(centre + (c - centre) / away * along / away * complex(along, s * r))
                ends.append(tuple(pair))
        for p, q in ends:
            u = (q - p) / abs(q - p)
            # A belt that turns left has the centre on its left.
            left = [((c - e) / u).imag for c, e in ((c1, p), (c2, q))]
            if left[0] * t1 > 0 and left[1] * t2 > 0:
                square = max(abs(((c1 - p) / u).real), abs(((c2 - q) / u).real))
                if square < 1e-9:
                    found.append((p, q))
    assert len(found) == 1, found
    return found[0]


def lay(path, way):
    n = len(path)
    centre = [complex(p["x"], p["y"]) for p in path]
    radius = [p["d"] / 2 + (DIFFERENTIAL if p["side"] == "ribs" else BACK_OFFSET) for p in path]
    turn = [way if p["side"] == "ribs" else -way for p in path]
    spans = [tangent(centre[k], radius[k], turn[k], centre[(k + 1) % n], radius[(k + 1) % n], turn[(k + 1) % n])
             for k in range(n)]
    wraps = []
    for k in range(n):
        on, off = spans[k - 1][1] - centre[k], spans[k][0] - centre[k]
        angle = math.atan2((off / on).imag, (off / on).real) * turn[k]
        wraps.append(angle if angle >= 0 else angle + 2 * math.pi)
    lengths = [abs(q - p) for p, q in spans]
    return radius, wraps, lengths


def hull_length(path):
    angles = np.linspace(0, 2 * np.pi, 8001)[:-1]
    points = np.vstack([np.column_stack((p["x"] + (p["d"] / 2 + DIFFERENTIAL) * np.cos(angles),
                                         p["y"] + (p["d"] / 2 + DIFFERENTIAL) * np.sin(angles))) for p in path])
    return ConvexHull(points).area  # of points in a plane it is the perimeter


def tensions(path, belt, mover, radius, wraps, lengths, pulls, speed):
    """n spans: the differences at all pulleys but the crank, and the one equation that the way of holding gives."""
    n = len(path)
    a, b = np.zeros((n, n)), np.zeros(n)
    row = 0
    for k, p in enumerate(path):
        if p["name"] != "crank":
            a[row, k] += 1
            a[row, k - 1] -= 1
            b[row] = pulls[k]
            row += 1
    centrifugal = belt["mass"] * speed * speed
    if belt["automatic"]:
        a[row, [p["name"] for p in path].index(mover)] = 1
        b[row] = belt["static"] + centrifugal
    else:
        total = sum(lengths) + sum(r * w for r, w in zip(radius, wraps))
        for k in range(n):
            a[row, k] += lengths[k] / total + radius[k] * wraps[k] / 2 / total
            a[row, k - 1] += radius[k] * wraps[k] / 2 / total
        b[row] = belt["static"]
    return np.linalg.solve(a, b), centrifugal


class Tally:
    def __init__(self):
        self.compared, self.failed, self.worst = 0, 0, 0.0

    def near(self, what, want, got, tolerance=TOLERANCE, floor=0.0):
        off = abs(want - got) / max(abs(want), floor, 1e-12)
        self.compared += 1
        self.worst = max(self.worst, off / tolerance)
        if not off <= tolerance:
            self.failed += 1
            print(f"{what}: want {want!r}, got {got!r}")


def compare(tally, seed, path, way, belt, mover, got, line):
    one = got["alternatives"][0]
    radius, wraps, lengths = lay(path, way)
    for k, p in enumerate(one["pulleys"]):
        tally.near(f"{seed} wrap of {p['name']}", wraps[k], p["wrap_rad"], floor=1)
        tally.near(f"{seed} span behind {p['name']}", lengths[k], p["span_to_next_m"])
    length = sum(lengths) + sum(r * w for r, w in zip(radius, wraps))
    tally.near(f"{seed} length", length, one["length_m"])
    tally.near(f"{seed} effective length", length - 2 * math.pi * DIFFERENTIAL, one["effective_length_m"])
    if all(p["side"] == "ribs" for p in path):
        tally.near(f"{seed} hull", hull_length(path), one["length_m"], HULL_TOLERANCE)
    margins = {m["pulley"]: m for m in one["margins"] if m["name"] == "slip"}
    least = {}
    names = [p["name"] for p in path]
    for row, point in zip(one["line"], line):
        speed = math.pi * (0.16 + 2 * DIFFERENTIAL) * point["engine_speed_rpm"] / 60
        # estate-roots.ini has a slip of 0.8 %: the blower's pulley runs slower than the belt.
        pulls = [point["drive_power_w"] / 0.992 / speed if p["name"] == "blower" else p.get("power", 0) / speed for p in path]
        pulls[names.index("crank")] = -sum(f for f, p in zip(pulls, path) if p["name"] != "crank")
        want, centrifugal = tensions(path, belt, mover, radius, wraps, lengths, pulls, speed)
        # A slack span leaves no tension known, and no pulley that carries anything.
        loose = min(want) - centrifugal <= 0
        for k in range(len(path)):
            if loose:
                tally.near(f"{seed} tension behind {names[k]} told of a slack belt", 1, float(row["span_tension_n"][k] is None))
            else:
                tally.near(f"{seed} tension behind {names[k]}", want[k], row["span_tension_n"][k], floor=100)
            friction = belt["friction"] / math.sin(math.radians(20)) if path[k]["side"] == "ribs" else belt["back_friction"]
            slack = 0 if loose else min(want[k], want[k - 1]) - centrifugal
            carried = max(slack, 0) * math.expm1(friction * wraps[k])
            tally.near(f"{seed} carried by {names[k]}", carried, row["pull_carried_n"][k], floor=100)
            margin = (carried - abs(pulls[k])) / carried if carried > 0 else 1 if pulls[k] == 0 else -math.inf
            least[names[k]] = min(least.get(names[k], math.inf), margin)
    for name, margin in margins.items():
        if margin["margin"] is None:
            tally.near(f"{seed} slack {name}", 1, float(math.isinf(least[name])))
        else:
            tally.near(f"{seed} margin of {name}", 100 * least[name], margin["margin"], floor=1)


def main():
    program = str(Path(sys.argv[1]).resolve())
    first, last = (int(sys.argv[2]), int(sys.argv[3])) if len(sys.argv) > 3 else (0, 80)
    tally, laid, backs = Tally(), 0, 0
    with tempfile.TemporaryDirectory() as folder:
        build = Path(folder) / "build.ini"
        line = None
        for seed in range(first, last):
            rng = random.Random(seed)
            path, way, belt = random_layout(rng)
            text, mover = build_text(path, way, belt)
            build.write_text(text)
            run = subprocess.run([program, "belt", str(build), "--json", "-"], capture_output=True, text=True)
            if run.returncode == 2:
                continue  # pulleys that overlap, or a belt that misses one
            if line is None:
                check = subprocess.run([program, "check", str(build), "--json", "-"], capture_output=True, text=True)
                line = json.loads(check.stdout)["line"]
            compare(tally, seed, path, way, belt, mover, json.loads(run.stdout), line)
            laid += 1
            backs += any(p["side"] == "back" for p in path)
    print(f"belt: {laid} of {last - first} layouts laid, {backs} with a pulley on the back; {tally.compared} values "
          f"compared, worst {tally.worst:.2g} of the tolerance")
    enough = laid >= (last - first) // 3 and backs >= (last - first) // 8
    if not enough:
        print("too few layouts could be laid")
    failed = tally.failed + (not enough)
    print(f"{tally.compared - tally.failed} passed, {failed} failed")
    return 1 if failed else 0


sys.exit(main())
