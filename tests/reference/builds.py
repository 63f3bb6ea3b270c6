"""Random valid builds for match.py: a build file, a unit file, a map table and perhaps a curve, in mixed units."""
import math
from decimal import Decimal
from types import SimpleNamespace

# inHg, mmHg and inH2O are the conventional ones as NIST SP 811 rounds them.
LB, FT, INCH = 0.45359237, 0.3048, 0.0254
UNITS = {
    "length": {"mm": 1e-3, "cm": 1e-2, "m": 1, "in": INCH, "ft": FT},
    "volume": {"L": 1e-3, "cc": 1e-6, "cm3": 1e-6, "in3": INCH**3, "cu in": INCH**3, "m3": 1, "ft3": FT**3},
    "volume a revolution": {"L/rev": 1e-3, "cc/rev": 1e-6, "cm3/rev": 1e-6, "in3/rev": INCH**3, "m3/rev": 1,
                            "ft3/rev": FT**3},
    "speed": {"rpm": 1},
    "difference": {"K": 1, "degC": 1, "degF": 5 / 9},
    "pressure": {"kPa": 1e3, "bar": 1e5, "mbar": 100, "psi": LB * 9.80665 / INCH**2, "inHg": 13595.1 * 9.80665 * INCH,
                 "mmHg": 13595.1 * 9.80665e-3, "inH2O": 9806.65 * INCH, "Pa": 1},
    "mass flow": {"kg/s": 1, "g/s": 1e-3, "kg/h": 1 / 3600, "kg/min": 1 / 60, "lb/min": LB / 60, "lb/h": LB / 3600},
    "volume flow": {"m3/s": 1, "m3/h": 1 / 3600, "L/s": 1e-3, "L/min": 1e-3 / 60, "ft3/min": FT**3 / 60,
                    "cfm": FT**3 / 60},
    "power": {"kW": 1e3, "hp": 550 * LB * 9.80665 * FT, "PS": 75 * 9.80665, "W": 1},
    "share": {"%": 0.01, "": 1},
    "number": {"": 1},
    "heat rate": {"W/K": 1, "kW/K": 1e3},
    "heat capacity": {"J/K": 1, "kJ/K": 1e3},
    "time": {"s": 1, "min": 60},
}


def plain(value, digits=6):
    return format(Decimal(f"{value:.{digits}g}"), "f")


def quantity(rng, value, kind):
    """A value as text in a random unit, now and then with a half-width, and the same in SI."""
    if kind == "temperature":
        unit = rng.choice(["degC", "degF", "K"])
        number = round({"degC": value - 273.15, "degF": value * 9 / 5 - 459.67, "K": value}[unit], 2)
        return f"{number} {unit}", {"degC": number + 273.15, "degF": (number + 459.67) * 5 / 9, "K": number}[unit]
    unit = rng.choice(list(UNITS[kind]))
    number = plain(value / UNITS[kind][unit])
    if rng.random() < 0.1 and value > 0 and kind != "number":
        first = unit if kind == "share" else rng.choice(["", unit])
        number += f" {first} +- {plain(float(number) / 100, 2)}"
    return f"{number} {unit}".strip(), float(number.split()[0]) * UNITS[kind][unit]


class Ini:
    """A build or unit file. put() draws a value, writes it in a random unit and returns in SI what it wrote."""

    def __init__(self, rng, folder):
        self.rng, self.folder, self.sections = rng, folder, {}

    def text(self, section, key, text):
        self.sections.setdefault(section, []).append(f"{key} = {text}\n")

    def put(self, section, key, low, high, kind, chance=1.0, default=None):
        if self.rng.random() > chance:
            return default
        text, si = quantity(self.rng, self.rng.uniform(low, high), kind)
        self.text(section, key, text)
        return si

    def loss(self, section, key, low, high, flow, densities, chance):
        """A pressure drop at a mass flow, or at a volume flow of air of 1.2 kg/m3 (14); dp_ref/m_ref^2."""
        if self.rng.random() > chance:
            return 0.0
        kind, density = self.rng.choice(densities)
        (drop, dp), (at, flow) = (quantity(self.rng, self.rng.uniform(low, high), "pressure"),
                                  quantity(self.rng, flow / density, kind))
        self.text(section, key, f"{drop} at {at}")
        return dp / (flow * density) ** 2

    def save(self, name):
        text = "".join(f"[{section}]\n" + "".join(lines) for section, lines in self.sections.items())
        (self.folder / name).write_text(text)


def site(b, ini):
    by_pressure = ini.rng.random() < 0.5
    b.pressure = ini.put("site", "pressure", 55e3, 110e3, "pressure", by_pressure)
    b.altitude = ini.put("site", "altitude", -400, 4000, "length", 0 if by_pressure else 0.9, 0.0)
    b.temperature = ini.put("site", "temperature", 238, 318, "temperature", 0.8)
    b.humidity = ini.put("site", "relative_humidity", 0, 1, "share", 0.8, 0.0)


def ve_curve(b, ini):
    """Volumetric efficiency in the build file or in a CSV file; some curves do not reach the ends of the line."""
    rng, count = ini.rng, ini.rng.randint(1, 9)
    speeds = spread(rng, b.start * rng.uniform(0.8, 1.3), b.stop * rng.uniform(0.8, 1.1), count)
    points = [quantity(rng, rng.uniform(0.65, 1.05), "share") for _ in speeds]
    if rng.random() < 0.3:
        points = [(plain(si * 100), float(plain(si * 100)) * 0.01) for _, si in points]
        rows = "".join(f"{n}, {text}\n" for n, (text, _) in zip(speeds, points))
        (ini.folder / "ve.csv").write_text("engine speed [rpm], volumetric efficiency [%]\n" + rows)
        ini.text("engine", "volumetric_efficiency", "ve.csv")
    else:
        texts = [f"{n}{rng.choice(['', ' rpm'])}: {text}" for n, (text, _) in zip(speeds, points)]
        ini.text("engine", "volumetric_efficiency", ",\n    ".join(texts))
    return speeds, [si for _, si in points]


def correction(ini, key, word, value):
    """A correction stated, left to its default, or switched off, which makes its value None."""
    choice = ini.rng.choice([word, None, "none"]) if value else None
    if choice:
        ini.text("engine", key, choice)
    return None if choice == "none" else value


def engine(b, ini):
    rng = ini.rng
    b.engine = ini.put("engine", "displacement", 0.5e-3, 8e-3, "volume")
    b.start, b.stop = float(rng.randint(800, 2500)), float(rng.randint(4000, 9000))
    b.step = (b.stop - b.start) / 8 if rng.random() < 0.3 else round((b.stop - b.start) / rng.uniform(3, 16), 1)
    for key, value in (("speed_from", b.start), ("speed_step", b.step), ("speed_limit", b.stop)):
        ini.text("engine", key, f"{value} rpm")
    b.over_rev = ini.put("engine", "over_rev", 0, 900, "speed", 0.7, 0.0)
    b.curve = ve_curve(b, ini)
    b.compression = ini.put("engine", "compression_ratio", 7, 14, "number", 0.7)
    b.compression = correction(ini, "ve_pressure_effect", "ideal cycle", b.compression)
    b.ve_ratio = ini.put("engine", "ve_exhaust_ratio", 0.6, 1.6, "number", 0.5 if b.compression else 0, 1.0)
    b.ve_temperature = ini.put("engine", "ve_temperature", 273, 323, "temperature", 0.7)
    b.ve_temperature_given = b.ve_temperature
    b.ve_temperature = correction(ini, "ve_temperature_effect", "sqrt", b.ve_temperature)


def power(b, ini):
    """What estimated power rests on; some known powers are out of reach."""
    rng = ini.rng
    b.fuel = rng.choice([None, "petrol", "ethanol", "methanol", "iso-octane"])
    if b.fuel:
        ini.text("engine", "fuel", b.fuel)
    b.mixture = ini.put("engine", "lambda", 0.65, 1.4, "number", 0.7, 0.85)
    b.known = b.friction = None
    if rng.random() < 0.5:
        (first, watts), (at, n) = (quantity(rng, b.engine * b.stop / 120 * rng.uniform(5e5, 14e5), "power"),
                                   quantity(rng, b.stop * rng.uniform(0.6, 1), "speed"))
        ini.text("engine", "known_power", f"{first} at {at}")
        b.known = watts, n
    b.indicated = None if b.known else ini.put("engine", "indicated_efficiency", 0.2, 0.5, "share", 0.5, 0.38)
    if rng.random() < 0.5:
        speeds = spread(rng, b.start, b.stop, rng.randint(1, 5))
        points = [quantity(rng, rng.uniform(0.6e5, 3e5), "pressure") for _ in speeds]
        ini.text("engine", "friction", ", ".join(f"{n}: {text}" for n, (text, _) in zip(speeds, points)))
        b.friction = speeds, [si for _, si in points]
    b.driveline = ini.put("engine", "driveline_loss", 0, 0.3, "share", 0.5)
    b.ve_factor = ini.put("engine", "volumetric_efficiency_factor", 0.9, 1.1, "number", 0.4, 1.0)


def throttle(ini, mass):
    """None, wide, tight or choked (c of (13) above 1.3 at the rev limit); the area times the coefficient."""
    c = ini.rng.choice([None, ini.rng.uniform(0.05, 0.3), ini.rng.uniform(0.3, 1.0), ini.rng.uniform(1.2, 2.0)])
    if not c:
        return 0.0
    count = ini.rng.choice([1, 2, 4])
    ini.text("intake", "throttle_count", count)
    cd = ini.put("intake", "throttle_coefficient", 0.6, 0.98, "number", 0.7, 0.85)
    bore = min(max(math.sqrt(4 * mass / (1.2 * c * 290 * cd * count * math.pi)), 6e-3), 0.4)
    return cd * count * math.pi * ini.put("intake", "throttle_bore", bore, bore, "length") ** 2 / 4


def losses(b, ini, mass):
    """Intake, exhaust and cooler; `mass` is about the flow at the rev limit."""
    gas, both = [("mass flow", 1.0)], [("mass flow", 1.0), ("volume flow", 1.2)]
    b.area = throttle(ini, mass)
    b.adapter = b.inlet_bore = None
    if ini.rng.random() < 0.3:
        b.adapter = ini.put("intake", "adapter_bore", 0.05, 0.1, "length")
        b.inlet_bore = ini.put("intake", "blower_inlet_bore", 0.1001, 0.2, "length")
    b.duct_k = 1.2 * ini.loss("intake", "loss", 300, 6e3, mass, both, 0.7)
    b.pickup = ini.put("intake", "heat_pickup", 0, 20, "difference", 0.6, 0.0)
    b.back_k = ini.loss("engine", "back_pressure", 2e3, 60e3, mass, gas, 0.7)
    b.coolant = b.effectiveness = b.cooler_k = 0.0
    if ini.rng.random() < 0.6:
        b.effectiveness = ini.put("cooler", "effectiveness", 0.1, 0.95, "share")
        b.coolant = ini.put("cooler", "coolant_temperature", 275, 345, "temperature")
        b.cooler_k = 1.2 * ini.loss("cooler", "loss", 500, 12e3, mass, both, 0.8)


def flow(rng, value):
    """A mass flow without a half-width, which the x of a curve may not have."""
    while True:
        text, si = quantity(rng, value, "mass flow")
        if "+-" not in text:
            return text, si


def flow_curve(b, ini, mass):
    """Effectiveness over air flow, each flow with its unit."""
    points = [(flow(ini.rng, mass * share), quantity(ini.rng, value, "share"))
              for share, value in ((0.3, 0.85), (0.7, 0.75), (1.1, ini.rng.uniform(0.5, 0.7)))]
    ini.text("cooler", "effectiveness_over_flow", ", ".join(f"{x[0]}: {y[0]}" for x, y in points))
    return [x[1] for x, _ in points], [y[1] for _, y in points]


def core(b, ini, mass):
    """One way in three to say how well the core cools."""
    b.effectiveness, b.curve_of_core, b.ua = 0.0, None, 0.0
    kind = ini.rng.choice(["effectiveness", "curve", "ua"])
    if kind == "effectiveness":
        b.effectiveness = ini.put("cooler", "effectiveness", 0.3, 0.9, "share")
    elif kind == "curve":
        b.curve_of_core = flow_curve(b, ini, mass)
    else:
        b.ua = ini.put("cooler", "ua", 300 * mass, 4000 * mass, "heat rate")
        b.passes = ini.rng.choice([None, 1, 2, 3])
        if b.passes:
            ini.text("cooler", "passes", b.passes)
        b.passes = b.passes or 1


def water(b, ini, mass):
    """A water circuit in place of a cooler with a coolant of known temperature."""
    rng = ini.rng
    kept = [line for line in ini.sections.get("cooler", []) if line.startswith("loss")]
    ini.sections["cooler"] = kept
    core(b, ini, mass)
    b.glycol = rng.choice([None, 0.0, round(rng.uniform(0.1, 0.6), 3)])
    if b.glycol is not None:
        ini.text("cooler", "coolant", f"water-glycol {b.glycol * 100:.1f} %" if b.glycol else "water")
    b.glycol = round((b.glycol or 0.0) * 100, 1) / 100
    b.pump = ini.put("cooler", "coolant_flow", mass * 3e-4, mass * 1.5e-3, "volume flow")
    b.front_eff = b.front_ua = 0.0
    b.loop = rng.random() < 0.8
    if not b.loop:
        b.coolant = ini.put("cooler", "coolant_temperature", 280, 330, "temperature")
        return
    if rng.random() < 0.5:
        b.front_eff = ini.put("cooler", "front_effectiveness", 0.2, 0.9, "share")
    else:
        b.front_ua = ini.put("cooler", "front_ua", 500 * mass, 6000 * mass, "heat rate")
    b.front_air = ini.put("cooler", "front_air_flow", mass, 8 * mass, "mass flow")
    b.front_t = ini.put("cooler", "front_air_temperature", 280, 320, "temperature", 0.6)


def cycle(b, ini, mass):
    """Pulls and rests, and what stores heat."""
    rng = ini.rng
    b.volume = ini.put("cooler", "coolant_volume", 2e-3, 10e-3, "volume")
    b.metal = ini.put("cooler", "metal_heat_capacity", 0, 12e3, "heat capacity", 0.7, 0.0)
    b.pulls = rng.randint(1, 3)
    ini.text("soak", "pulls", b.pulls)
    b.pull_time = ini.put("soak", "pull_time", 3, 15, "time")
    b.rest_time = ini.put("soak", "rest_time", 5, 60, "time")
    low, high = sorted(rng.uniform(b.start, b.stop) for _ in range(2))
    b.pull_from = ini.put("soak", "pull_from", low, low, "speed", 0.7, b.start)
    b.pull_to = ini.put("soak", "pull_to", high, high, "speed", 0.7, b.stop)
    b.start_t = ini.put("soak", "start_temperature", 285, 325, "temperature", 0.5)
    b.within = ini.put("soak", "recovered_within", 0.5, 8, "difference", 0.5, 2.0)
    b.rest_heat = ini.put("soak", "rest_heat", 0, 2e3, "power", 0.5, 0.0)
    b.rest_air = ini.put("soak", "rest_air_flow", 0.1 * mass, mass, "mass flow", 0.6 if b.loop else 0)


def drive(b, ini, unit, ratio):
    """Pulleys for about the wanted blower speed over engine speed."""
    b.jackshaft = ini.put("drive", "jackshaft_ratio", 0.6, 1.8, "number", 0.4, 1.0)
    b.gear = unit.put("unit", "gear_ratio", 0.8, 2.5, "number", 0.5, 1.0)
    b.crank = ini.put("drive", "crank_pulley", 0.12, 0.25, "length")
    pulley = min(max(b.crank * b.gear * b.jackshaft / ratio, 0.025), 0.9)
    b.pulley = ini.put("drive", "blower_pulley", pulley, pulley, "length")
    b.line = ini.put("drive", "line_differential", 0, 8e-3, "length", 0.3, 0.0)
    if not b.line and ini.rng.random() < 0.6:
        b.line = 2e-3
        ini.text("drive", "belt", f"PK {ini.rng.randint(4, 12)}")
    b.slip = ini.put("drive", "slip", 0, 0.05, "share", 0.6, 0.0)


def spread(rng, low, high, count):
    return [float(plain(low + (high - low) * (i + rng.uniform(0, 0.8)) / (count - 0.6), 5)) for i in range(count)]


def map_lines(rng, top):
    """Speed lines whose flow falls with the ratio and rises with the speed; some do not cover what is asked."""
    leak, peak, lines = rng.uniform(0.01, 0.05), rng.uniform(0.5, 0.85), {}
    for n in spread(rng, top * rng.uniform(0, 0.2), top * rng.uniform(0.9, 1.3), rng.randint(2, 10)):
        lines[n], least = [], 1.05
        for r in spread(rng, rng.uniform(0.7, 1), rng.uniform(1.6, 4), rng.randint(3, 12)):
            least = min(least, 1 - leak * math.sqrt(r - 0.6) / (n / top + 0.2) * rng.uniform(0.98, 1.02))
            lines[n].append((r, least, peak - 0.12 * abs(r - 1.5) + rng.uniform(-0.02, 0.02)))
    return lines


def map_table(b, ini, lines):
    """Writes the table, columns and rows in any order; returns its lines, {rpm: [(ratio, ev, ea), ...]}."""
    rng, mark = ini.rng, ini.rng.choice([",", ";", ", "])
    unit = rng.choice([None, *UNITS["volume flow"]])
    names = {"blower speed [rpm]": 0, "pressure ratio": 1, "adiabatic efficiency [%]": 3,
             f"flow [{unit}]" if unit else "volumetric efficiency [%]": 2}
    columns, rows, read = rng.sample(list(names), 4), [], {}
    for n, r, ev, ea in ((n, *q) for n, line in lines.items() for q in line):
        whole = b.blower * n / 60 / UNITS["volume flow"][unit] if unit else 100
        cells = [plain(n), plain(r), plain(ev * whole, 7), plain(ea * 100, 4)]
        read.setdefault(n, []).append((r, float(cells[2]) / whole, float(cells[3]) * 0.01))
        rows.append(mark.join(cells[names[c]] for c in columns))
    rng.shuffle(rows)
    (ini.folder / "unit.csv").write_text("# random\n" + "\n".join([mark.join(columns), *rows]) + "\n")
    return read


def unit_file(b, ini, top):
    ini.text("unit", "name", "Random unit")
    ini.text("unit", "kind", ini.rng.choice(["roots", "screw"]))
    b.blower = ini.put("unit", "displacement", b.blower, b.blower, "volume a revolution")
    b.continuous = ini.put("unit", "continuous_speed", top * 0.9, top * 1.3, "speed", 0.8)
    above = b.continuous or top
    b.short_time = ini.put("unit", "short_time_speed", above * 1.001, above * 1.2, "speed", 0.6)
    b.mechanical = ini.put("unit", "mechanical_efficiency", 0.85, 0.999, "share", 0.7, 1.0)
    ini.text("map", "table", "unit.csv")
    b.map_temperature = ini.put("map", "temperature", 283, 313, "temperature")
    b.ev_factor = ini.put("map", "volumetric_efficiency_factor", 0.9, 1.1, "number", 0.4, 1.0)
    b.ea_factor = ini.put("map", "adiabatic_efficiency_factor", 0.9, 1.1, "number", 0.4, 1.0)
    b.from_temperature = ini.rng.random() < 0.5
    ini.text("map", "efficiency_from", "temperature rise" if b.from_temperature else "shaft power")
    b.lines = map_table(b, ini, map_lines(ini.rng, top))
    ini.save("unit.ini")


def limits_section(b, ini):
    ranges = {"boost": (20e3, 150e3, "pressure"), "pressure_ratio": (1.2, 3, "number"),
              "discharge_temperature": (350, 450, "temperature"),
              "charge_temperature": (320, 420, "temperature"), "drive_power": (5e3, 90e3, "power"),
              "manifold_pressure_sensor": (110e3, 300e3, "pressure"), "mass_flow_sensor": (0.1, 0.9, "mass flow")}
    drawn = {name: ini.put("limits", name, *of, 0.6) for name, of in ranges.items()}
    b.limits = {name: value for name, value in drawn.items() if value}


def random_build(rng, folder, circuit=False, soak=False):
    """Build, unit, map and perhaps a curve file; the ratio aimed at is a boost, or below 1, or out of reach."""
    b, ini, unit = SimpleNamespace(), Ini(rng, folder), Ini(rng, folder)
    ini.text("build", "units", rng.choice(["si", "us"]))
    ini.text("blower", "unit", "unit.ini")
    site(b, ini)
    engine(b, ini)
    aim = rng.uniform(*rng.choices([(1.1, 2.3), (0.7, 1.0), (20, 40), (0.1, 0.2)], [80, 15, 3, 2])[0])
    b.blower = b.engine * rng.uniform(0.2, 0.6) * max(1, aim / 3)
    power(b, ini)
    drive(b, ini, unit, aim * b.engine / 2 / b.blower)
    losses(b, ini, b.engine * b.stop / 120 * aim)
    unit_file(b, unit, b.stop * b.crank / b.pulley * b.gear * b.jackshaft)
    limits_section(b, ini)
    b.pump, b.loop, b.ua, b.curve_of_core = 0.0, False, 0.0, None
    mass = b.engine * b.stop / 120 * min(aim, 3) * 1.2
    if circuit:
        water(b, ini, mass)
    if soak:
        cycle(b, ini, mass)
    ini.save("build.ini")
    return b
