#!/usr/bin/python3
"""Independent reference of the model in docs/model.md, compared with the program over random builds.

usage: match.py PROGRAM [FIRST LAST]     builds FIRST to LAST - 1 of an endless series, 0 to 49 when left out

Written from the documents, not from the program's source. The closed forms (12), (13) and (15) are not used: the
equations behind them are solved by bracketing to machine precision. Numbers in brackets are those of docs/model.md.
"""
import json
import math
import random
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path
from types import SimpleNamespace

from scipy.optimize import brentq

sys.dont_write_bytecode = True
from builds import random_build

SEED, BUILDS, TOLERANCE = 20020211, 50, 1e-8
FLOORS = {"margin": 1.0, "boost_pa": 100.0, "drive_power_w": 10.0, "drive_torque_n_m": 0.1,
          "cooler_heat_w": 10.0, "pumping_power_w": 10.0, "crank_drive_power_w": 10.0,
          "exceeded_from_speed_rpm": 2e6, "crank_power_w": 100.0, "wheel_power_w": 100.0, "crank_torque_n_m": 1.0}  # of differences near zero
RU, G_CYCLE, R_LOW, R_HIGH = 8.31446261815324, 1.4, 0.3, 8.0

# NASA/TP-2002-211556, 200 to 1000 K: molar mass, a1 to a7, b1. Mole fractions of dry air.
SPECIES = {
    "N2": (28.0134e-3, 2.210371497e4, -3.818461820e2, 6.082738360, -8.530914410e-3, 1.384646189e-5,
           -9.625793620e-9, 2.519705809e-12, 7.108460860e2),
    "O2": (31.9988e-3, -3.425563420e4, 4.847000970e2, 1.119010961, 4.293889240e-3, -6.836300520e-7,
           -2.023372700e-9, 1.039040018e-12, -3.391454870e3),
    "Ar": (39.948e-3, 0, 0, 2.5, 0, 0, 0, 0, -7.45375e2),
    "CO2": (44.0095e-3, 4.943650540e4, -6.264116010e2, 5.301725240, 2.503813816e-3, -2.127308728e-7,
            -7.689988780e-10, 2.849677801e-13, -4.528198460e4),
    "H2O": (18.01528e-3, -3.947960830e4, 5.755731020e2, 9.317826530e-1, 7.222712860e-3, -7.342557370e-6,
            4.955043490e-9, -1.336933246e-12, -3.303974310e4),
}
DRY = {"N2": 0.780840, "O2": 0.209476, "Ar": 0.009365, "CO2": 0.000319}

# Hyland and Wexler (2): C1 to C6 and the factor of ln T.
OVER_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
OVER_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0, 6.5459673)

# ---- The model -----------------------------------------------------------------------------------------------------

def root(function, low, high):
    """Root in a bracket, as near to machine precision as brentq goes."""
    return brentq(function, low, high, xtol=1e-300, rtol=4 * sys.float_info.epsilon, maxiter=500)


def saturation(t):
    """Saturation pressure over water or ice (2)."""
    *powers, c7 = OVER_WATER if t >= 273.15 else OVER_ICE
    return math.exp(sum(c * t**k for k, c in enumerate(powers, -1)) + c7 * math.log(t))


def antiderivative(t, k):
    """Of t^(k - 1)."""
    return t**k / k if k else math.log(t)


class Air:
    """Humid air of fixed composition (1), (3) to (5); cp is that of 200 or 1000 K outside."""

    def __init__(self, t0, p0, phi):
        x_w = phi * saturation(t0) / p0
        parts = {name: x * (1 - x_w) for name, x in DRY.items()} | {"H2O": x_w}
        mass, *self.a, self.b1 = [sum(x * SPECIES[name][i] for name, x in parts.items()) for i in range(9)]
        self.r, self.x_w = RU / mass, x_w
        self.t0, self.p0, self.rho0 = t0, p0, p0 / (self.r * t0)
        self.g = self.cp(t0) / (self.cp(t0) - self.r)

    def cp(self, t):
        t = min(max(t, 200.0), 1000.0)
        return self.r * sum(a * t**k for k, a in enumerate(self.a, -2))

    def h(self, t):
        e = min(max(t, 200.0), 1000.0)
        inside = sum(a * antiderivative(e, k + 1) for k, a in enumerate(self.a, -2)) + self.b1
        return self.r * inside + self.cp(e) * (t - e)

    def s0(self, t):
        e = min(max(t, 200.0), 1000.0)
        inside = sum(a * antiderivative(e, k) for k, a in enumerate(self.a, -2))
        return self.r * inside + self.cp(e) * math.log(t / e)


class Steffen:
    """Monotone cubic of Steffen (1990), held at its ends; boundary slopes are those of the end intervals."""

    def __init__(self, x, y):
        self.x, self.y = x, y
        self.h = [b - a for a, b in zip(x, x[1:])]
        self.s = [(b - a) / h for a, b, h in zip(y, y[1:], self.h)]
        self.d = self.s[:1] + [self.slope(i) for i in range(1, len(x) - 1)] + self.s[-1:]

    def slope(self, i):
        before, after = self.s[i - 1], self.s[i]
        p = (before * self.h[i] + after * self.h[i - 1]) / (self.h[i - 1] + self.h[i])
        return (math.copysign(1, before) + math.copysign(1, after)) * min(abs(before), abs(after), abs(p) / 2)

    def __call__(self, x):
        if x <= self.x[0]:
            return self.y[0]
        if x >= self.x[-1]:
            return self.y[-1]
        i = max(k for k in range(len(self.h)) if self.x[k] <= x)
        h, s, d0, d1, u = self.h[i], self.s[i], self.d[i], self.d[i + 1], x - self.x[i]
        return (((d0 + d1 - 2 * s) / h**2 * u + (3 * s - 2 * d0 - d1) / h) * u + d0) * u + self.y[i]


class Map:
    """Speed lines {rpm: [(ratio, ev, ea), ...]}: along each line first, then across the lines."""

    def __init__(self, lines):
        self.speeds = sorted(lines)
        rows = [sorted(lines[n]) for n in self.speeds]
        self.ends = [(row[0][0], row[-1][0]) for row in rows]
        self.curves = [[Steffen([q[0] for q in row], [q[k] for q in row]) for row in rows] for k in (1, 2)]

    def read(self, speed, ratio):
        return [Steffen(self.speeds, [line(ratio) for line in lines])(speed) for lines in self.curves]

    def covers(self, speed, ratio):
        """Between two neighbouring lines that both cover the ratio."""
        held = [low <= ratio <= high for low, high in self.ends]
        return any(held[i] and held[i + 1] and self.speeds[i] <= speed <= self.speeds[i + 1]
                   for i in range(len(held) - 1))


def site_air(b):
    """Air of the site (6); a stated pressure without a temperature stands for the altitude that has it."""
    power = 9.80665 / (287.05287 * 0.0065)
    standard = lambda t: 101325 * (t / 288.15) ** power
    if b.pressure is None:
        b.pressure = standard(288.15 - 0.0065 * b.altitude)
    if b.temperature is None:
        b.temperature = root(lambda t: standard(t) - b.pressure, 200, 320)
    return Air(b.temperature, b.pressure, b.humidity)


def critical(g):
    return (2 / (g + 1)) ** (g / (g - 1))


def orifice(x, g):
    """The flow function f (11) with its limit."""
    x = max(x, critical(g))
    return x ** (1 / g) * math.sqrt(2 * g / (g - 1) * max(0.0, 1 - x ** ((g - 1) / g)))


def behind_step(b, air, t1, v1, p):
    """Blower inlet pressure behind the adapter's step (34), from the head it destroys in the smaller bore."""
    if not b.adapter:
        return p
    area, lost = math.pi / 4 * b.adapter**2, (1 - b.adapter**2 / b.inlet_bore**2) ** 2

    def left(p1):
        speed = p1 * v1 / (air.r * t1) / (p / (air.r * t1) * area)
        return p - p1 - lost * p / (air.r * t1) * speed**2 / 2

    return root(left, 1e-9 * p, p)


def behind_throttle(b, air, v1_by_rt, p_t):
    """Blower inlet pressure at which the throttle (10) passes what the blower draws, m = p1 V1/(R T1)."""
    passes = b.area * p_t / math.sqrt(air.r * air.t0)
    balance = lambda p1: p1 * v1_by_rt - passes * orifice(p1 / p_t, air.g)
    return root(balance, 1e-9 * p_t, p_t) if b.area else p_t


def inlet(b, air, v1_by_rt):
    """Pressures p_t and p1: duct loss (14) and throttle (10) together."""
    def loss(p_t):
        return b.duct_k * (behind_throttle(b, air, v1_by_rt, p_t) * v1_by_rt) ** 2 / air.rho0

    p_t = root(lambda p: p + loss(p) - air.p0, 1e-6 * air.p0, air.p0)
    return p_t, behind_throttle(b, air, v1_by_rt, p_t)


def compression(b, air, t1, ratio, ea):
    """Isentropic and real discharge temperature and shaft work of a kilogram (16) to (18).

    Below r = 1 the air drives the blower, and both efficiencies stand on the other side.
    """
    t2s = root(lambda t: air.s0(t) - air.s0(t1) - air.r * math.log(ratio), 10, 9000)
    ideal = air.h(t2s) - air.h(t1)
    ea, em = (ea, b.mechanical) if ratio >= 1 else (1 / ea, 1 / b.mechanical)
    rise, shaft = (ideal / ea, ideal / ea / em) if b.from_temperature else (em * ideal / ea, ideal / ea)
    return t2s, root(lambda t: air.h(t) - air.h(t1) - rise, 10, 20000), shaft


def ideal_cycle(b, y):
    """F in (23)."""
    return b.compression / (b.compression - 1) - (y + G_CYCLE - 1) / (G_CYCLE * (b.compression - 1))


def demand(b, air, s):
    """What the engine takes (21) to (23), and its volumetric efficiency after both terms."""
    if s.p3 <= 0:
        return 0.0, 0.0
    f_t = math.sqrt(s.t3 / b.ve_temperature) if b.ve_temperature else 1
    f_p = ideal_cycle(b, s.pe / s.p3) / ideal_cycle(b, b.ve_ratio) if b.compression else 1
    ve = max(b.ve_factor * b.ve(s.n) * f_t * f_p, 0.0)
    return ve * s.p3 * b.engine * s.n / (120 * air.r * s.t3), ve


def liquid(glycol, t):
    """Density and heat capacity of the coolant, as docs/model.md gives them."""
    low = -35.0 if glycol else 0.0
    x, u = glycol, min(max(t - 273.15, low), 120.0) / 100
    if glycol:
        return (1000.76 + 184.165 * x - 47.0682 * x**2 - (19.0421 + 29.4286 * x) * u - 24.3 * u**2,
                4093.35 - 1516.71 * x - 532.143 * x**2 + (123.1 + 529 * x) * u)
    return (999.953 + 4.22832 * u - 70.5595 * u**2 + 34.0726 * u**3 - 9.27269 * u**4,
            4216.69 - 244.693 * u + 502.128 * u**2 - 396.274 * u**3 + 137.922 * u**4)


def exchanger(ua, own, other, passes=1):
    """Temperature change of one side over the difference of the inlets (W2) to (W4)."""
    low, c = min(own, other), min(own, other) / max(own, other)
    n = ua / low / passes
    e = 1 - math.exp(n**0.22 / c * (math.exp(-c * n**0.78) - 1))
    if passes > 1 and e < 1:
        z = ((1 - e * c) / (1 - e)) ** passes
        e = (z - 1) / (z - c) if abs(1 - c) > 1e-9 else passes * e / (1 + (passes - 1) * e)
    return e * low / own


def flow_of(b, t_in, t_out):
    """Heat capacity flow of the coolant (W1)."""
    return b.pump * liquid(b.glycol, t_in)[0] * liquid(b.glycol, (t_in + t_out) / 2)[1]


def front(b, air, c_w, air_flow, t_air):
    """Heat that the front exchanger rejects for each kelvin (W5)."""
    c_a = air_flow * air.cp(t_air)
    return exchanger(b.front_ua, c_w, c_a) * c_w if b.front_ua else b.front_eff * min(c_w, c_a)


def circuit(b, air, s, held=None):
    """Charge and coolant temperatures at the core: (19) or, with a water circuit, (W1) to (W6) by substitution.

    held keeps the coolant at the core's inlet at a temperature.
    """
    s.t_in, s.t_out, s.front = b.coolant if b.effectiveness else None, None, 0.0
    s.eff = b.effectiveness
    if not b.pump:
        s.t3 = s.t2 - b.effectiveness * (s.t2 - b.coolant)
        return
    t_air = air.t0 if not b.loop or b.front_t is None else b.front_t
    given = held if held is not None else None if b.loop else b.coolant
    t3, t_in = (s.t2 + t_air) / 2, t_air if given is None else given
    t_out, before = t_in, None
    for _ in range(200):
        if before is not None and max(abs(t3 - before[0]), abs(t_in - before[1]), abs(t_out - before[2])) < 1e-11:
            break
        before = t3, t_in, t_out
        drop = s.t2 - t3
        c_c = s.m * ((air.h(s.t2) - air.h(t3)) / drop if abs(drop) > 1e-3 else air.cp(s.t2))
        c_w = flow_of(b, t_in, t_out)
        if b.ua:
            s.eff = exchanger(b.ua, c_c, c_w, b.passes)
        elif b.curve_of_core:
            s.eff = b.core(s.m)
        s.front = front(b, air, c_w, b.front_air, t_air) if b.loop else 0.0
        heat = c_c * s.eff * (s.t2 - (t_in if given is None else given))
        if given is None:
            heat = (s.t2 - t_air) / (1 / (c_c * s.eff) + 1 / s.front - 1 / c_w)
            t_in = t_air + heat * (1 / s.front - 1 / c_w)
        t_out = t_in + heat / c_w
        t3 = s.t2 - s.eff * (s.t2 - t_in)
    s.t3, s.t_in, s.t_out = t3, t_in, t_out


def state(b, air, n, ratio, held=None):
    """Everything from station 0 to 3 at one engine speed and pressure ratio."""
    s = SimpleNamespace(n=n, r=ratio, nb=n * b.ratio * (1 - b.slip), t1=air.t0 + b.pickup)  # (7)
    s.nc = s.nb * math.sqrt(b.map_temperature / s.t1)                                       # (8)
    s.ev, s.ea = (f * value for f, value in zip((b.ev_factor, b.ea_factor), b.map.read(s.nc, ratio)))
    s.v1 = s.ev * b.blower * s.nb / 60                                                      # (9)
    x = behind_step(b, air, s.t1, s.v1, air.p0) / air.p0  # the same share at every pressure
    s.pt, s.pth = inlet(b, air, x * s.v1 / (air.r * s.t1))
    s.p1 = behind_step(b, air, s.t1, s.v1, s.pth)
    s.m, s.p2 = s.p1 * s.v1 / (air.r * s.t1), ratio * s.p1
    s.t2s, s.t2, s.work = compression(b, air, s.t1, ratio, s.ea)
    circuit(b, air, s, held)                                                                # (19)
    s.p3 = s.p2 - b.cooler_k * s.m**2 * air.r * s.t2 / s.p2
    s.pe = air.p0 + b.back_k * s.m**2                                                       # (20)
    s.me, s.ve = demand(b, air, s)
    return s


def match(b, air, n):
    """The lowest root of (24), or the reason why there is none; and how often the balance changes sign."""
    def balance(r):
        s = state(b, air, n, r)
        return s.m - s.me

    grid = [R_LOW * (R_HIGH / R_LOW) ** (i / 100) for i in range(100)] + [R_HIGH]
    surplus = [balance(r) > 0 for r in grid]
    changes = [(low, high) for low, high, a, c in zip(grid, grid[1:], surplus, surplus[1:]) if a != c]
    if not changes:
        return "cannot swallow" if surplus[0] else "cannot supply", 0
    s = state(b, air, n, root(balance, *changes[0]))
    inside = all(200 <= t <= 1000 for t in (s.t1, s.t2s, s.t2, s.t3))
    return s if inside else "a temperature lies outside", len(changes)


# C:H:O by atoms and lower heating value in J/kg of the fuels in docs/model.md.
FUELS = {"petrol": (1.85, 0, 44.0e6), "ethanol": (3, 0.5, 26.9e6), "methanol": (4, 1, 20.0e6),
         "iso-octane": (2.25, 0, 44.3e6)}


def dry_share(air):
    return 1 - air.x_w * SPECIES["H2O"][0] / (RU / air.r)


def friction_power(b, n):
    """P_f of (31)."""
    fmep = Steffen(*b.friction)(n) if b.friction else 1e5 * (0.97 + 0.15 * n / 1e3 + 0.05 * (n / 1e3) ** 2)
    return fmep * b.engine * n / 120


def fitted(b):
    """Indicated efficiency (33) and the air flow it rests on, which the exhaust's own pressure decides by a root."""
    watts, n = b.known
    air = Air(298.15, 1e5, 1e3 / saturation(298.15))
    s = SimpleNamespace(n=n, p3=1e5, t3=b.ve_temperature_given or 298.15)

    def left(m):
        s.pe = 1e5 + b.back_k * m**2
        return m - demand(b, air, s)[0]

    m = root(left, 0, 10)
    left(m)
    pumping = (s.p3 - s.pe) * b.engine * n / 120
    return (watts - pumping + friction_power(b, n)) / (dry_share(air) * m * b.heat), m


def power_basis(b):
    """What power rests on (28), (29), (33)."""
    y, z, lhv = FUELS[b.fuel or "petrol"]
    b.afr = (1 + y / 4 - z / 2) * (28.9651 / 0.209476) / (12.011 + 1.008 * y + 15.999 * z)
    b.heat = lhv / b.afr * min(1, 1 / b.mixture)
    eta, na = fitted(b) if b.known else (b.indicated, None)
    b.eta = eta if not b.known or 0.25 <= eta <= 0.55 else None
    return {"fuel": b.fuel or "petrol", "lambda": b.mixture, "stoichiometric_air_fuel_ratio": b.afr,
            "lower_heating_value_j_kg": lhv, "indicated_efficiency": b.eta, "fitted": bool(b.known),
            "naturally_aspirated_air_mass_flow_kg_s": na}


def power(b, air, s):
    """(29) to (32)."""
    dry, shaft = dry_share(air) * s.m, s.m * s.work
    drive = shaft * (1 - b.slip) if shaft < 0 else shaft / (1 - b.slip)
    pumping, rubbing = (s.p3 - s.pe) * b.engine * s.n / 120, friction_power(b, s.n)
    gross = dry * b.heat * b.eta if b.eta else None
    crank = gross + pumping - rubbing - drive if b.eta else None
    return {"indicated_power_w": gross, "pumping_power_w": pumping, "friction_power_w": rubbing,
            "crank_drive_power_w": drive, "crank_power_w": crank,
            "crank_torque_n_m": crank / (2 * math.pi * s.n / 60) if b.eta else None,
            "wheel_power_w": crank * (1 - b.driveline) if b.eta and b.driveline is not None else None,
            "fuel_mass_flow_kg_s": dry / (b.afr * b.mixture)}


def row(b, air, s):
    """The fields of one object of `line` in docs/json.md, with (25)."""
    return power(b, air, s) | {
        "engine_speed_rpm": s.n, "blower_speed_rpm": s.nb, "corrected_speed_rpm": s.nc, "pressure_ratio": s.r,
        "throttle_inlet_pressure_pa": s.pt, "throttle_outlet_pressure_pa": s.pth, "inlet_pressure_pa": s.p1, "discharge_pressure_pa": s.p2,
        "manifold_pressure_pa": s.p3, "exhaust_pressure_pa": s.pe, "boost_pa": s.p3 - air.p0,
        "air_mass_flow_kg_s": s.m, "inlet_volume_flow_m3_s": s.v1,
        "map_volume_flow_m3_s": s.ev * b.blower * s.nc / 60,
        "blower_volumetric_efficiency": s.ev, "blower_adiabatic_efficiency": s.ea,
        "engine_volumetric_efficiency": s.ve, "inlet_temperature_k": s.t1, "discharge_temperature_k": s.t2,
        "charge_temperature_k": s.t3, "drive_power_w": s.m * s.work,
        "drive_torque_n_m": s.m * s.work / (2 * math.pi * s.nb / b.gear / 60),
        "cooler_heat_w": s.m * (air.h(s.t2) - air.h(s.t3)), "coolant_in_temperature_k": s.t_in,
        "coolant_out_temperature_k": s.t_out, "cooler_effectiveness": s.eff,
        "on_map": b.map.covers(s.nc, s.r), "volumetric_efficiency_held": not b.ve.x[0] <= s.n <= b.ve.x[-1],
        "throttle_choked": bool(b.area) and s.pth / s.pt <= critical(air.g),
    }


def limit(name, value, bound, unit, at, on_map):
    margin = 100 * (bound - value) / bound                                                  # (26)
    verdict = "exceeded" if margin < 0 else "close" if margin < 5 else "kept"
    return {"name": name, "verdict": verdict, "value": value, "limit": bound, "unit": unit, "margin": margin,
            "engine_speed_rpm": at, "on_map": on_map}


def speed_limits(b):
    """Blower speeds without slip at the rev limit and in an over-rev (27)."""
    over, both = b.stop + b.over_rev, b.continuous and b.over_rev and not b.short_time
    checks = [("continuous_speed", b.stop, b.continuous), ("over_rev_speed", over, both and b.continuous),
              ("short_time_speed", over, b.short_time)]
    for name, n, bound in (check for check in checks if check[2]):
        pulley = (b.crank + 2 * b.line) * b.gear * b.jackshaft * n / bound - 2 * b.line
        yield limit(name, n * b.ratio, bound, "rpm", n, True) | {
            "engine_speed_at_limit_rpm": bound / b.ratio, "smallest_blower_pulley_m": pulley if pulley > 0 else None}


def exceeded_from(b, air, rows, field, bound):
    """The engine speed at which the first row over a limit is reached from the row before it."""
    first = next(i for i, r in enumerate(rows) if r[field] > bound)
    if first == 0:
        return rows[0]["engine_speed_rpm"]
    over = lambda n: row(b, air, match(b, air, n)[0])[field] - bound
    return brentq(over, rows[first - 1]["engine_speed_rpm"], rows[first]["engine_speed_rpm"], xtol=1e-3)


def other_limits(b, air, rows):
    """Held against the worst row; where rows tie, any of them is right."""
    fields = {"boost": ("boost_pa", "Pa"), "pressure_ratio": ("pressure_ratio", "1"),
              "discharge_temperature": ("discharge_temperature_k", "K"),
              "charge_temperature": ("charge_temperature_k", "K"), "drive_power": ("drive_power_w", "W"),
              "manifold_pressure_sensor": ("manifold_pressure_pa", "Pa"),
              "mass_flow_sensor": ("air_mass_flow_kg_s", "kg/s")}
    for name, (field, unit) in fields.items():
        if name in b.limits:
            worst = max((r[field] for r in rows), default=0)
            ties = [r for r in rows if r[field] > worst - 1e-10 * abs(worst)]
            at, on_map = tuple(r["engine_speed_rpm"] for r in ties), tuple(r["on_map"] for r in ties)
            one = limit(name, worst, b.limits[name], unit, at, on_map)
            over = one["verdict"] == "exceeded"
            yield one | ({"exceeded_from_speed_rpm": exceeded_from(b, air, rows, field, b.limits[name])} if over else {})


def solve(b):
    """The lists to compare, engine speeds without a point, and the number of rows with several roots."""
    air, b.ve, b.map = site_air(b), Steffen(*b.curve), Map(b.lines)
    b.core = Steffen(*b.curve_of_core) if b.curve_of_core else None
    basis = power_basis(b)
    b.ratio = (b.crank + 2 * b.line) / (b.pulley + 2 * b.line) * b.gear * b.jackshaft       # (7)
    steps = math.ceil((b.stop - b.start) / b.step - 1e-9)
    speeds = [b.start + i * b.step for i in range(steps)] + [b.stop]
    points = [(n, *match(b, air, n)) for n in speeds]
    rows = [row(b, air, s) for _, s, _ in points if not isinstance(s, str)]
    lost = [(n, why) for n, why, _ in points if isinstance(why, str)]
    lists = {"line": rows, "limits": [*speed_limits(b), *other_limits(b, air, rows)],
             "power": [basis],
             "site": [{"temperature_k": air.t0, "pressure_pa": air.p0, "relative_humidity": b.humidity}],
             "drive": [{"ratio": b.ratio, "crank_pulley_m": b.crank, "blower_pulley_m": b.pulley,
                        "blower_speed_at_limit_rpm": b.stop * b.ratio,
                        "blower_speed_at_over_rev_rpm": (b.stop + b.over_rev) * b.ratio}]}
    return lists, lost, sum(many > 1 for _, _, many in points)


# ---- Comparison ----------------------------------------------------------------------------------------------------

def deviation(field, want, got):
    """Relative deviation of numbers, the least of a tuple of choices; anything else must be equal."""
    if isinstance(want, tuple):
        return min(deviation(field, choice, got) for choice in want)
    if isinstance(want, (bool, str, type(None))) or isinstance(got, (bool, str, type(None))):
        return 0.0 if want == got else math.inf
    return abs(got - want) / max(abs(want), FLOORS.get(field, 1e-300))


def differences(kind, wanted, given):
    """(field, deviation, text) for every field of two lists of objects."""
    yield f"{kind} count", deviation("", len(wanted), len(given)), f"want {len(wanted)} got {len(given)}"
    for want, got in zip(wanted, given):
        for field in sorted(want.keys() | got.keys()):
            a, c = want.get(field, "absent"), got.get(field, "absent")
            text = f"at {want.get('name', want.get('engine_speed_rpm', kind))}: want {a!r} got {c!r}"
            yield f"{kind} {field}", deviation(field, a, c), text


def compare(program, folder, b, worst, tally):
    """One build; returns what is wrong with it, and keeps the worst deviations and what the builds covered."""
    lists, lost, several = solve(b)
    rows = lists["line"]
    command = [program, "check", str(folder / "build.ini"), "--json", "-"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    words = [lost[0][1], f"{len(lost)} of {len(lost) + len(rows)} engine speeds"] if lost else ["a point everywhere"]
    if lost or "no operating point" in done.stderr:
        tally["builds refused"] += 1
        told = done.returncode == 2 and lost and all(word in " ".join(done.stderr.split()) for word in words)
        return [] if told else [f"want {words}; got exit {done.returncode} {done.stderr}"]
    if done.returncode != any(one["verdict"] == "exceeded" for one in lists["limits"]):
        return [f"exit {done.returncode} {done.stderr}"]
    for what, number in (("rows", len(rows)), ("with a water circuit", len(rows) * bool(b.pump)), ("with several roots", several),
                         ("off the map", sum(not r["on_map"] for r in rows)),
                         ("choked", sum(r["throttle_choked"] for r in rows)),
                         ("below ratio 1", sum(r["pressure_ratio"] < 1 for r in rows))):
        tally[what] += number
    result, wrong = json.loads(done.stdout), []
    for kind, want in lists.items():
        given = result[kind] if isinstance(result[kind], list) else [result[kind]]
        for field, off, text in differences(kind, want, given):
            worst[field] = max(worst.get(field, 0.0), off)
            wrong += [f"{field} {text} ({off:.1e})"] if off > TOLERANCE else []
    return wrong


def main(program, first=0, last=BUILDS):
    worst, tally, failed = {}, Counter(), 0
    for index in range(int(first), int(last)):
        folder = Path(tempfile.mkdtemp())
        b = random_build(random.Random(SEED + index), folder, circuit=index % 4 == 3)
        wrong = compare(program, folder, b, worst, tally)
        failed += bool(wrong)
        for text in wrong[:6]:
            print(f"build {index} in {folder}: {text}")
        if not wrong:
            shutil.rmtree(folder)
    print("worst relative deviations")
    for field, off in sorted(worst.items()):
        print(f"{field:45} {off:9.2e}")
    print(", ".join(f"{number} {what}" for what, number in tally.items()))
    print(f"{int(last) - int(first) - failed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
