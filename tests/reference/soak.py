#!/usr/bin/python3
"""Independent reference of `soak`: the circuit's equation integrated by SciPy over random builds.

usage: soak.py PROGRAM [FIRST LAST]     builds FIRST to LAST - 1 of an endless series, 0 to 5 when left out

Written from docs/model.md. Operating points are those of match.py with the coolant held at the circuit's temperature;
the integration is SciPy's LSODA, another method than the program's. Numbers in brackets are those of docs/model.md.
"""
import json
import math
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

sys.dont_write_bytecode = True
import match as model
from builds import random_build

SEED, BUILDS = 55021, 6
TOLERANCE_K, TOLERANCE_SHARE, BALANCE, WATCH = 2e-6, 1e-6, 1e-6, 3600.0


class Circuit:
    """One mixed body of coolant and metal with its pump, core and front exchanger."""

    def __init__(self, b):
        self.b, self.air = b, model.site_air(b)
        b.ve, b.map = model.Steffen(*b.curve), model.Map(b.lines)
        b.core = model.Steffen(*b.curve_of_core) if b.curve_of_core else None
        b.ratio = (b.crank + 2 * b.line) / (b.pulley + 2 * b.line) * b.gear * b.jackshaft
        self.t_air = self.air.t0 if not b.loop or b.front_t is None else b.front_t
        self.start = b.start_t if b.start_t is not None else self.t_air if b.loop else b.coolant
        self.mass = model.liquid(b.glycol, self.start)[0] * b.volume
        self.near = None

    def capacity(self, t):
        return self.mass * model.liquid(self.b.glycol, t)[1] + self.b.metal

    def point(self, n, t):
        """The operating point with the coolant at t; found near the one before, else from the start."""
        def balance(r):
            s = model.state(self.b, self.air, n, r, t)
            return s.m - s.me

        if self.near:
            low, high = self.near - 0.01, self.near + 0.01
            if balance(low) > 0 > balance(high):
                self.near = brentq(balance, low, high, xtol=1e-13, rtol=1e-14)
                return model.state(self.b, self.air, n, self.near, t)
        grid = [0.3 * (8 / 0.3) ** (i / 100) for i in range(101)]
        signs = [balance(r) > 0 for r in grid]
        first = next(i for i in range(100) if signs[i] != signs[i + 1])
        self.near = brentq(balance, grid[first], grid[first + 1], xtol=1e-13, rtol=1e-14)
        return model.state(self.b, self.air, n, self.near, t)

    def speed(self, since):
        b = self.b
        return b.pull_from + (b.pull_to - b.pull_from) * min(max(since / b.pull_time, 0), 1)

    def pull_heats(self, since, t):
        s = self.point(self.speed(since), t)
        heat = s.m * (self.air.h(s.t2) - self.air.h(s.t3))
        return heat, s.front * (s.t_out - self.t_air), s

    def rest_heats(self, t):
        b, out = self.b, t
        for _ in range(60):
            out = t + b.rest_heat / model.flow_of(b, t, out)
        flow = model.flow_of(b, t, out)
        air_flow = b.rest_air if b.rest_air is not None else b.front_air if b.loop else 0
        return b.rest_heat, model.front(b, self.air, flow, air_flow, self.t_air) * (out - self.t_air) if b.loop else 0.0

    def follow(self, t, times, in_pull):
        """(W7) from times[0] to its last; the temperature at each."""
        def rate(time, y):
            heat, out = self.pull_heats(time - times[0], y[0])[:2] if in_pull else self.rest_heats(y[0])
            return [(heat - out) / self.capacity(y[0])]

        done = solve_ivp(rate, (times[0], times[-1]), [t], "LSODA", t_eval=times, rtol=1e-11, atol=1e-11,
                         max_step=(times[-1] - times[0]) / 100)
        return done.y[0]


def groups(series):
    """Rows of one pull or rest after another."""
    out = []
    for row in series:
        if not out or out[-1][-1]["pull"] != row["pull"]:
            out.append([])
        out[-1].append(row)
    return out


def check_group(c, rows, t, wrong, worst):
    """One pull or rest from the temperature at its start; returns that at its end."""
    times, in_pull = [row["time_s"] for row in rows], rows[0]["pull"] > 0
    wanted = c.follow(t, times, in_pull)
    for row, want in zip(rows, wanted):
        heat, out = c.pull_heats(row["time_s"] - times[0], want)[:2] if in_pull else c.rest_heats(want)
        pairs = [("coolant_temperature_k", want, TOLERANCE_K)]
        pairs += [(name, value, TOLERANCE_SHARE * max(abs(heat), abs(out), 100.0) * 10)
                  for name, value in (("heat_in_w", heat), ("heat_out_w", out))]
        if in_pull:
            s = c.point(c.speed(row["time_s"] - times[0]), want)
            pairs.append(("charge_temperature_k", s.t3, TOLERANCE_K))
        for name, value, allowed in pairs:
            off = abs(row[name] - value)
            worst[name] = max(worst.get(name, 0.0), off)
            if not off <= allowed:
                wrong.append(f"{name} at {row['time_s']} s: want {value!r} got {row[name]!r}")
    return wanted[-1]


def check_recovery(c, result, last, t, wrong):
    """Time after the last pull at which the coolant is back."""
    level = c.start + c.b.within
    if t <= level:
        want = 0.0
    else:
        def rate(_, y):
            heat, out = c.rest_heats(y[0])
            return [(heat - out) / c.capacity(y[0])]

        def back(_, y):
            return y[0] - level

        back.terminal = True
        done = solve_ivp(rate, (0, max(WATCH, c.b.rest_time)), [t], "LSODA", rtol=1e-10, atol=1e-10, events=back)
        want = done.t_events[0][0] if done.t_events[0].size else None
    got = result["recovery_time_s"]
    if (want is None) != (got is None) or (want is not None and abs(want - got) > 1e-3 + 1e-5 * want):
        wrong.append(f"recovery: want {want!r} got {got!r} after {last} s")


def check_energy(c, result, wrong):
    energy, series = result["energy"], result["series"]
    stored = quad(c.capacity, c.start, series[-1]["coolant_temperature_k"], epsabs=1e-9)[0]
    scale = max(abs(energy["heat_in_j"]), abs(energy["heat_out_j"]), 1e-9)
    left = abs(energy["heat_in_j"] - energy["heat_out_j"] - stored) / scale
    if not left <= BALANCE or not energy["balance_error"] <= BALANCE:
        wrong.append(f"energy: {left} left, {energy['balance_error']} told")
    pulls = result["pulls"]
    if len(pulls) != c.b.pulls:
        wrong.append(f"{len(pulls)} pulls")
    for number, pull in enumerate(pulls, 1):
        rows = [row["charge_temperature_k"] for row in series if row["pull"] == number]
        if pull["charge_peak_temperature_k"] != max(rows):
            wrong.append(f"pull {number}: peak {pull['charge_peak_temperature_k']}, rows {max(rows)}")


def compare(program, folder, b, worst):
    done = subprocess.run([program, "soak", str(folder / "build.ini"), "--json", "-"], capture_output=True, text=True,
                          check=False)
    if done.returncode == 2 and "no operating point" in done.stderr:
        return None
    if done.returncode > 1:
        return [done.stderr]
    result, wrong, c = json.loads(done.stdout), [], Circuit(b)
    t, parts = c.start, groups(result["series"])
    for rows in parts[:-1]:
        t = check_group(c, rows, t, wrong, worst)
        c.near = None
    check_recovery(c, result, parts[-1][0]["time_s"], t, wrong)
    check_group(c, parts[-1], t, wrong, worst)
    check_energy(c, result, wrong)
    return wrong


def main(program, first=0, last=BUILDS):
    worst, passed, failed, index, wanted = {}, 0, 0, int(first), int(last) - int(first)
    while passed + failed < wanted:
        folder = Path(tempfile.mkdtemp())
        b = random_build(random.Random(SEED + index), folder, circuit=True, soak=True)
        wrong = compare(program, folder, b, worst)
        passed += wrong == []
        failed += bool(wrong)
        for text in (wrong or [])[:6]:
            print(f"build {index} in {folder}: {text}")
        if not wrong:
            shutil.rmtree(folder)
        index += 1
    for name, off in sorted(worst.items()):
        print(f"worst {name:24} {off:9.2e}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
