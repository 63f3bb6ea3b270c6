#!/usr/bin/python3
"""The examples by hand: each one's own formulas, with its own constants and with the mean cp of real air.

usage: hand.py     prints every value three ways: as the formula gives it, with the source's own intermediate
                   roundings, and with real air; run.py holds the tolerances of the expect.txt files to these

Nothing here comes from the program or its documents. Real air is dry, R = 287.05 J/(kg K), with the cp polynomial of
M. J. Moran and H. N. Shapiro, Fundamentals of Engineering Thermodynamics, table A-21 (from memory, sure: between 300
and 500 K it gives the enthalpies of Keenan and Kaye's air tables within 0.03 %, at 250 K within 0.09 %). A mean cp
over a step is the polynomial's integral over it. CP_DOUBT is what this cp may be off.
"""
import math

CP_DOUBT = 0.001
R_AIR = 287.05


class Fixed:
    """Gas of constant cp, J/(kg K), and k."""

    def __init__(self, cp, k):
        self.cp, self.k, self.r = cp, k, cp * (k - 1) / k

    def isentropic(self, t1, ratio):
        return t1 * ratio ** ((self.k - 1) / self.k)

    def rise(self, t1, t2):
        return self.cp * (t2 - t1)

    def heated(self, t1, dh):
        return t1 + dh / self.cp


class Real:
    """Air by the polynomial, its cp off by a share."""

    A = (3.653, -1.337e-3, 3.294e-6, -1.913e-9, 0.2763e-12)

    def __init__(self, off=0.0):
        self.r, self.off = R_AIR, 1 + off

    def mean(self, t1, t2, power):
        """The integral of cp T^power between two temperatures over that of T^power."""
        def integral(i):
            return (t2 ** (i + 1) - t1 ** (i + 1)) / (i + 1) if i != -1 else math.log(t2 / t1)
        return self.off * self.r * sum(a * integral(i + power) for i, a in enumerate(self.A)) / integral(power)

    def isentropic(self, t1, ratio):
        t2 = t1 * ratio ** (2 / 7)
        for _ in range(60):
            t2 = t1 * ratio ** (self.r / (self.mean(t1, t2, -1) if t2 != t1 else 3.5 * self.r))
        return t2

    def rise(self, t1, t2):
        return self.mean(t1, t2, 0) * (t2 - t1) if t2 != t1 else 0.0

    def heated(self, t1, dh):
        t2 = t1 + dh / 1005
        for _ in range(60):
            t2 = t1 + dh / self.mean(t1, t2, 0) if t2 != t1 else t1
        return t2


def step(gas, t1, ratio, ea):
    """Discharge temperature and enthalpy rise."""
    dh = gas.rise(t1, gas.isentropic(t1, ratio)) / ea
    return gas.heated(t1, dh), dh


def matched(gas, t1, ea, swept_ratio):
    """Pressure ratio at which an uncooled engine takes what the blower gives: ratio = swept_ratio T2/T1."""
    ratio = swept_ratio
    for _ in range(200):
        ratio = swept_ratio * step(gas, t1, ratio, ea)[0] / t1
    return ratio


# ---- The examples: each takes a gas, and whether to round on the way as its source does ---------------------------

def altitude_engine(gas, rounding):
    """Rajput 16.1. The engine's swept volume is fixed, so its air grows by 1.6 T1/T2."""
    t1, ea, natural = 325.0, 0.70, 735 * 0.350 * 12.8 / 3600
    swept = 1.6 * t1 / step(Fixed(1005, 1.4), t1, 1.6, ea)[0]
    ratio = matched(gas, t1, ea, swept)
    t2, dh = step(gas, t1, ratio, ea)
    flow = natural * swept
    return {"T2": t2, "blower power": flow * dh / 0.90 / 1e3, "pressure ratio": ratio, "blower air flow": flow}


def roots_exercise(gas, rounding):
    """1 to 1.5 bar, 0.05 m3 a cycle, 120 a minute; 300 K is ours. The efficiency fed to the program is 0.85977."""
    ideal = 1e5 * 0.1 / gas.r / 300 * gas.rise(300, gas.isentropic(300, 1.5))
    return {"power": ideal / 0.85977 / 1e3, "efficiency": ideal / (0.5e5 * 0.1),
            "T2": step(gas, 300, 1.5, 0.85977)[0]}


def increase(gas, t1, p1, per_m3, book=None):
    """A three litre engine at 3500 rpm gets a blower of ratio 1.7: increase of brake power, kW. book holds T2, inlet
    and delivery pressure and flow as the source rounds them."""
    swept, ea, em, book_flow = 3e-3 * 3500 / 120, 0.75, 0.80, None
    if book:
        t2, p1, p2, book_flow = book
        ratio, dh, r = p2 / p1, 1005 * (t2 - t1), 287
    else:
        ratio = matched(gas, t1, ea, 1.7 * t1 / step(Fixed(1005, 1.4), t1, 1.7, ea)[0])
        (t2, dh), r = step(gas, t1, ratio, ea), gas.r
    flow = ratio * p1 * swept / (r * t2)
    drive = (book_flow or flow) * dh / em / 1e3
    free_m3_min = flow * r * t1 / p1 * 60
    more_kw = per_m3 * (free_m3_min - 0.8 * swept * 60) + (ratio - 1) * p1 * swept / 1e3
    return {"T2": t2, "air flow": flow, "drive power": drive, "net gain": em * more_kw - drive}


def four_stroke_300(gas, rounding):
    """The printed digits come out when T2s is rounded up to 350 K, which makes T2 366.66 K, and 1.013 bar is taken as
    1.0132 bar and the flow in the drive power as 0.1432 kg/s."""
    return increase(gas, 300.0, 1.013e5, 14.0, (366.66, 1.0132e5, 1.7 * 1.0132e5, 0.1432) if rounding else None)


def four_stroke_288(gas, rounding):
    """T2s rounded to 335 K, which makes T2 350.67 K, and the delivery pressure to 1.72 bar."""
    return increase(gas, 288.0, 1.0132e5, 12.9, (288 + 47 / 0.75, 1.0132e5, 1.72e5, None) if rounding else None)


def charge_mass(gas, rounding):
    """Young and Freedman: one cylinder of 575 cm3; 1.23 kg/m3 is given, where p/(R T) is 1.2211."""
    t1, p1, p2 = 288.15, 1.01e5, 1.45e5
    swept = p2 / p1 * t1 / step(Fixed(1004.5, 1.4), t1, p2 / p1, 1)[0]
    ratio = matched(gas, t1, 1, swept)
    density = 1.23 if rounding else p1 / (R_AIR * t1)
    return {"T2": step(gas, t1, ratio, 1)[0], "mass uncooled": density * swept * 0.575,
            "mass cooled": density * p2 / p1 * 0.575, "density ratio uncooled": swept,
            "density ratio cooled": p2 / p1}


def timed_valves(gas, rounding):
    """NACA 303: share of the power of a Roots blower that isentropic compression saves, from 20,000 ft; rounding:
    the site pressure with the US Standard Atmosphere's constants in the place of ISO 2533's."""
    t1, ratio = 248.526, 101325 / 46563.3
    r_site = 8314.32 / 28.9644 if rounding else 287.05287
    return {"site pressure": 101325 * (t1 / 288.15) ** (9.80665 / (r_site * 0.0065)),
            "saving": 100 * (1 - gas.rise(t1, gas.isentropic(t1, ratio)) / (gas.r * t1 * (ratio - 1)))}


def roots_handbook(gas, rounding):
    """Isentropic work over the work of a Roots blower from 288.15 K."""
    def of(ratio):
        return gas.rise(288.15, gas.isentropic(288.15, ratio)) / (gas.r * 288.15 * (ratio - 1))
    return {f"efficiency {ratio}": of(ratio) for ratio in (1.2, 1.5, 1.6, 2.0, 2.2)}


def isentropic_steps(gas, rounding):
    """From 288.15 K and from 300 K."""
    cold = {f"T2 {ratio}": gas.isentropic(288.15, ratio) for ratio in (1.2, 1.5, 1.6, 2.0)}
    warm = {f"T2 {ratio}": gas.isentropic(300, ratio) for ratio in (2.74646, 6.07061)}
    work = {f"work {ratio}": gas.rise(300, warm[f"T2 {ratio}"]) / 1e3 for ratio in (2.74646, 6.07061)}
    return {**cold, **warm, **work}


def car_supercharger(gas, rounding):
    """Borgnakke and Sonntag: 300 K, 100 to 150 kPa, 70 %; rounded on the way to 336.9 K and 37.1 kJ/kg."""
    if rounding:
        return {"work": 37.1 / 0.7, "T2": 300 + 53.0 / 1.004}
    t2, dh = step(gas, 300, 1.5, 0.7)
    return {"work": dh / 1e3, "T2": t2}


def high_compressor(gas, rounding):
    """Cengel and Boles: 100 kPa, 12 C to 800 kPa, 0.2 kg/s, 80 %, by air tables."""
    t2, dh = step(gas, 285.15, 8, 0.8)
    return {"T2": t2, "power": 0.2 * dh / 1e3}


def charger(gas, rounding):
    """Stone: 0.95 to 2.0 bar, 288 K, 70 %; T2s rounded to 356 K."""
    return {"T2": 288 + (356 - 288) / 0.7 if rounding else step(gas, 288, 2.0 / 0.95, 0.7)[0]}


def orifice(ratio, k):
    """Heywood's orifice function f(p/p0); choked below the critical ratio."""
    ratio = max(ratio, (2 / (k + 1)) ** (k / (k - 1)))
    return ratio ** (1 / k) * math.sqrt(2 * k / (k - 1) * (1 - ratio ** ((k - 1) / k)))


def duct(gas, rounding):
    """Munson: A = 1e-4 m2, 101 kPa, 288 K, receiver at 80 and 40 kPa; density rounded to 1.23 kg/m3."""
    k, r = (gas.k, 286.9) if isinstance(gas, Fixed) else (1.4, R_AIR)
    scale = 1e-4 * math.sqrt(r * 288) * (1.23 if rounding else 101e3 / (r * 288)) * 1e3
    return {"flow 80 kPa": scale * orifice(80 / 101, k), "flow 40 kPa": scale * orifice(40 / 101, k)}


def throttle(gas, rounding):
    """A 90 mm bore of Cd 0.9 at 101325 Pa and 298.15 K."""
    k = 1.4 if isinstance(gas, Fixed) else gas.mean(297, 299, 0) / (gas.mean(297, 299, 0) - R_AIR)
    scale = 0.9 * math.pi / 4 * 0.09**2 * 101325 / math.sqrt(R_AIR * 298.15)
    return {f"flow {x}": scale * orifice(x, k) for x in (0.98, 0.95)}


def air_box(gas, rounding):
    """A 60 mm orifice of Cd 0.6 with 120 mmH2O across it, 100 kPa, 300 K, as for a liquid; real: with expansion."""
    dp, rho, area = 1000 * 9.80665 * 0.120, 1e5 / (R_AIR * 300), math.pi / 4 * 0.06**2
    if isinstance(gas, Fixed):
        return {"flow": 0.6 * area * math.sqrt(2 * rho * dp) * 1e3}
    return {"flow": 0.6 * area * 1e5 / math.sqrt(R_AIR * 300) * orifice(1 - dp / 1e5, 1.4) * 1e3}


def liquid_loop(gas, rounding):
    """Charge of 0.4 kg/s (402.4 W/K) from 400 K cooled at 80 % by a loop at 326.196 K; efficiency: what makes 400 K of
    303.15 K at ratio 2."""
    t3 = 400 - 0.80 * (400 - 326.196)
    ideal = gas.rise(303.15, gas.isentropic(303.15, 2))
    # The same with the loop solved: 1260 W/K of water to a front exchanger of 45 % in air of 303.15 K.
    out = 341.0
    for _ in range(50):
        charge = 0.4 * gas.rise(out, 400) / (400 - out)
        loop = (400 - 303.15) / (1 / (0.80 * charge) + 1 / (0.45 * 1260) - 1 / 1260)
        out = 400 - loop / charge
    inlet = 303.15 + loop * (1 / (0.45 * 1260) - 1 / 1260)
    return {"heat": 0.4 * gas.rise(t3, 400) / 1e3, "efficiency": ideal / gas.rise(303.15, 400),
            "loop heat": loop / 1e3, "loop charge": out, "loop inlet": inlet, "loop outlet": inlet + loop / 1260}


def density_gain(gas, rounding):
    """Stone: rho3/rho1 = r/(1 + (1 - eps)(r^((k-1)/k) - 1)/eta), r 2, eta 0.7, eps 0 and 0.7 at ambient."""
    base, found = Fixed(1004.5, 1.4), {}
    for eps in (0.0, 0.7):
        def after(g, ratio):
            t2 = step(g, 298.15, ratio, 0.7)[0]
            return t2 - eps * (t2 - 298.15)
        gain = 2 * 298.15 / after(base, 2)
        ratio = 2.0
        for _ in range(200):
            ratio = gain * after(gas, ratio) / 298.15
        found.update({f"density ratio {eps}": gain, f"pressure ratio {eps}": ratio, f"T3 {eps}": after(gas, ratio)})
    return found


def built_in(ratio, vi, k=1.4):
    """Work over p1 V1 of compression to the built-in volume ratio and then at constant volume."""
    return (vi ** (k - 1) - 1) / (k - 1) + ratio / vi - 1


def roots_or_vane(gas, rounding):
    """Eastop and McConkey: 0.03 m3 a revolution, 1.013 bar, ratio 1.5; the vane compresses half of it inside.
    T2 is ours: 90 % of the vane's work heats the air."""
    base, v1 = Fixed(1004.5, 1.4), 1.013e5 * 0.03
    def same(g):
        return g.rise(288, g.isentropic(288, 1.5)) / (g.r * 288)
    roots, vane = [v1 * built_in(1.5, vi) * same(gas) / same(base) for vi in (1, 1.25 ** (1 / 1.4))]
    return {"roots": roots / 1e3, "vane": vane / 1e3, "T2 of the vane": gas.heated(288, 0.9 * vane / v1 * gas.r * 288)}


def fixed_ports(gas, rounding):
    """A screw of built-in ratio 1.3; the efficiencies fed are the table's, of k = 1.4."""
    table = {1.2: 0.9372, 1.5: 0.9986, 1.8: 0.9679, 2.0: 0.9404, 2.2: 0.9127}
    if isinstance(gas, Fixed) and not rounding:
        return {f"work {ratio}": built_in(ratio, 1.3) for ratio in table}
    return {f"work {ratio}": gas.rise(288.15, gas.isentropic(288.15, ratio)) / (gas.r * 288.15) / ea
            for ratio, ea in table.items()}


def breathing(gas, rounding):
    """Heywood, eq. 6.2 and section 6.2: compression ratio 8, p3 twice and p_e once the site's, 320 K for 288.15 K."""
    def cycle(y):
        return 8 / 7 - (y + 0.4) / (1.4 * 7)
    efficiency = 0.90 * math.sqrt(320 / 288.15) * cycle(0.5) / cycle(1)
    flow = efficiency * 2e5 * 2e-3 * 4000 / (120 * R_AIR * 320)
    return {"volumetric efficiency": efficiency, "air flow": flow}


EXAMPLES = {
    "air-box": (air_box, Fixed(1004.5, 1.4)),
    "altitude-engine": (altitude_engine, Fixed(1005, 1.4)),
    "breathing": (breathing, Fixed(1004.5, 1.4)),
    "built-in-ratio": (fixed_ports, Fixed(1004.5, 1.4)),
    "car-supercharger": (car_supercharger, Fixed(1004, 1.4)),
    "charge-mass": (charge_mass, Fixed(1004.5, 1.4)),
    "charger": (charger, Fixed(1010, 1.4)),
    "density-gain": (density_gain, Fixed(1004.5, 1.4)),
    "duct": (duct, Fixed(1004.5, 1.4)),
    "four-stroke-288": (four_stroke_288, Fixed(1005, 1.4)),
    "four-stroke-300": (four_stroke_300, Fixed(1005, 1.4)),
    "high-compressor": (high_compressor, Real()),
    "isentropic-steps": (isentropic_steps, Fixed(1004.5, 1.4)),
    "liquid-loop": (liquid_loop, Fixed(1006, 1.4)),
    "roots-exercise": (roots_exercise, Fixed(1004.5, 1.4)),
    "roots-handbook": (roots_handbook, Fixed(1004.5, 1.4)),
    "roots-or-vane": (roots_or_vane, Fixed(1004.5, 1.4)),
    "throttle": (throttle, Fixed(1004.5, 1.4)),
    "timed-valves": (timed_valves, Fixed(1004.5, 1.4)),
}


def table(name):
    """{quantity: (by formula, as rounded in the source, with real air, doubt of the last)}"""
    function, gas = EXAMPLES[name]
    exact, rounded, real, off = [function(*of) for of in ((gas, False), (gas, True), (Real(), False),
                                                          (Real(CP_DOUBT), False))]
    return {key: (exact[key], rounded[key], real[key], abs(off[key] - real[key])) for key in exact}


if __name__ == "__main__":
    print(f"{'example':18} {'quantity':26} {'formula':>12} {'as rounded':>12} {'real air':>12} {'doubt':>9}")
    for example in EXAMPLES:
        for quantity, values in table(example).items():
            print(f"{example:18} {quantity:26} " + " ".join(f"{v:12.7g}" for v in values[:3]) + f" {values[3]:9.2g}")
