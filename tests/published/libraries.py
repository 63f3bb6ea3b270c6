#!/usr/bin/python3
"""Tables of values that general-purpose libraries compute: fluids, iapws, scipy and pint as Debian packages them.

libraries.py            computes every table anew and holds the committed ones against it
libraries.py --write    writes the tables into this folder
--if-there              with either: do nothing, and say so, where a package is missing

Prints a line for every difference and closes with "N passed, N failed"; exit status 1 when anything failed, 2 when a
package is missing. Nothing here reads the program's own source: formulas and constants come from the sources named.
"""
import math
import os
import subprocess
import sys
import textwrap

HERE = os.path.dirname(os.path.abspath(__file__))
PACKAGES = ["python3-fluids", "python3-iapws", "python3-scipy", "python3-pint"]
R_MOLAR = 8.31446261815324  # J/(mol K), SI 2019, exact

try:
    import fluids
    import pint
    from iapws._iapws import _Sublimation_Pressure
    from iapws.iapws97 import IAPWS97, _PSat_T
    from scipy.integrate import quad
    from scipy.optimize import brentq
except ImportError as missing:
    print(f"libraries.py: {missing}; install {' '.join(PACKAGES)}, and run it with /usr/bin/python3")
    sys.exit(0 if "--if-there" in sys.argv else 2)


def library(package):
    """The words of obtained: the package and its version."""
    shown = subprocess.run(["dpkg-query", "-W", "-f=${Version}", package], capture_output=True, text=True, check=False)
    return f"library {package} {shown.stdout.strip() or 'unknown'}"


def block(group, title, rows, **fields):
    """One block. rows: pairs of the inputs, a text, and the value, a text."""
    lines = [f"block {group}: {title}"]
    for key, value in fields.items():
        lines += textwrap.wrap(f"{key}: {value}", 118, subsequent_indent="  ", break_long_words=False,
                               break_on_hyphens=False)
    lines += [f"{inputs} -> {want}" for inputs, want in rows]
    return "\n".join(lines) + "\n"


# ---- standard atmosphere ----

ALTITUDES_M = [-1500, -1000, -500, 0, 250, 500, 750, 1000, 1250, 1500, 2000, 2500, 3000, 3500, 4000, 5000, 6000, 7500,
               9000, 10500]


def standard(altitude_m):
    """The library wants a geometric altitude; this is the one that has the given geopotential."""
    radius_m = 6356766.0
    return fluids.ATMOSPHERE_1976(radius_m * altitude_m / (radius_m - altitude_m))


def atmosphere():
    source = {"document": "U.S. Standard Atmosphere, which is ISO 2533 below 11 km", "edition": "1976",
              "place": "troposphere, by geopotential altitude", "short": "US Standard Atmosphere, fluids",
              "obtained": library("python3-fluids") + ", ATMOSPHERE_1976", "equation": "6"}
    states = [(str(h), standard(h)) for h in ALTITUDES_M]
    yield block(1, "temperature, 20 altitudes", [(h, f"{s.T:.3f}") for h, s in states], **source,
                tolerance="digits", quantity="atmosphere_t_k(altitude_m)")
    yield block(1, "pressure, 20 altitudes", [(h, f"{s.P:.2f}") for h, s in states], **source, tolerance="0.00013 %",
                because="the document's R is 8314.32/28.9644 = 287.05307 J/(kg K) where ISO 2533 has 287.05287, 7.1e-7 "
                "of the exponent, times ln(p0/p) of up to 1.43; the digits printed add 2e-7",
                quantity="atmosphere_p_pa(altitude_m)")
    yield block(1, "density, 20 altitudes", [(h, f"{s.rho:.6f}") for h, s in states], **source, tolerance="0.001 %",
                because="R of the air here is 8.314463/28.9651 = 287.0510 J/(kg K), of later molar masses, more carbon "
                "dioxide and the SI of 2019, where the document has 287.0531, which is 0.0007 %; the digits printed "
                "and the pressure add 0.0002 %",
                quantity="atmosphere_density_kg_m3(altitude_m)")


    exponent = 9.80665 / (287.05287 * 0.0065)
    rows = [(h, f"{101325 * (1 - 0.0065 * h / 288.15) ** exponent:.3f}") for h in ALTITUDES_M]
    yield block(1, "pressure by the standard's constants", rows, document="ISO 2533, Standard Atmosphere",
                edition="1975", place="table of constants: g 9.80665, R 287.05287, 288.15 K, 101325 Pa, -6.5 K/km",
                short="ISO 2533, constants", obtained="calculated from the constants, which are from memory, high",
                equation="6", tolerance="digits", quantity="atmosphere_p_pa(altitude_m)")


# ---- water ----

WATER_C = [0.01, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 85, 99]
ICE_C = [-60, -50, -40, -30, -25, -20, -15, -10, -5, -1]
DENSITY_STATES = [(0, 0, 101325), (15, 0, 101325), (20, 0, 101325), (20, 50, 101325), (20, 100, 101325),
                  (25, 50, 101325), (15, 60, 95000), (25, 70, 90000), (27, 40, 85000), (10, 30, 70000)]


def cipm_density(t_c, rh, p_pa):
    """Density of moist air by CIPM-2007: a real gas, with the enhancement factor and its own vapour pressure."""
    t = t_c + 273.15
    vapour = math.exp(1.2378847e-5 * t * t - 1.9121316e-2 * t + 33.93711047 - 6.3431645e3 / t)
    enhancement = 1.00062 + 3.14e-8 * p_pa + 5.6e-7 * t_c * t_c
    x = rh / 100 * enhancement * vapour / p_pa
    z = 1 - p_pa / t * (1.58123e-6 - 2.9331e-8 * t_c + 1.1043e-10 * t_c**2 + (5.707e-6 - 2.051e-8 * t_c) * x
                        + (1.9898e-4 - 2.376e-6 * t_c) * x * x) + (p_pa / t) ** 2 * (1.83e-11 - 0.765e-8 * x * x)
    molar_mass = 28.96546e-3
    return p_pa * molar_mass / (z * 8.314472 * t) * (1 - x * (1 - 18.01528e-3 / molar_mass))


def water():
    yield block(2, "saturation over water, 15 steps",
                [(f"{t:g}", f"{_PSat_T(t + 273.15) * 1e6:.2f}") for t in WATER_C],
                document="IAPWS Industrial Formulation for water and steam (R7-97)", edition="1997, revised 2012",
                place="region 4, saturation", short="IAPWS-IF97, iapws",
                obtained=library("python3-iapws") + ", _PSat_T", equation="2", tolerance="0.025 %",
                because="another formulation of the same measurements; IAPWS states 0.025 % for its own",
                quantity="saturation_pa(t_c)")
    yield block(2, "saturation over ice, 10 steps",
                [(f"{t:g}", f"{_Sublimation_Pressure(t + 273.15) * 1e6:.4f}") for t in ICE_C],
                document="IAPWS, Pressure along the melting and sublimation curves of ordinary water (R14-08)",
                edition="2011", place="equation 6", short="IAPWS R14-08, iapws",
                obtained=library("python3-iapws") + ", _Sublimation_Pressure", equation="2", tolerance="0.1 %",
                because="another formulation: IAPWS states 0.1 % for its own",
                quantity="saturation_pa(t_c)")
    yield block(3, "density of moist air, real gas",
                [(f"{t}, {rh}, {p}", f"{cipm_density(t, rh, p):.5f}") for t, rh, p in DENSITY_STATES],
                document="A. Picard and others, Revised formula for the density of moist air (CIPM-2007), Metrologia "
                "45", edition="2008", place="equation 1 and appendix A", short="CIPM-2007",
                obtained="calculated from the formula and its constants, which are from memory, high", equation="1",
                tolerance="0.08 %",
                because="the formula is of a real gas: its compressibility is 0.9994 to 0.9998 here, 0.06 %, and its "
                "carbon dioxide and enhancement factor (0.4 % of the vapour's share) make up to 0.01 % more",
                quantity="humid_density_kg_m3(t_c, rh_percent, p_pa)")


# ---- heat capacity, enthalpy, entropy ----

# McBride, Zehe and Gordon (2002), 200 to 1000 K: the report's own fit of dry air as one gas, and water.
AIR = [1.009950160e4, -1.968275610e2, 5.009155110, -5.761013730e-3, 1.066859930e-5, -7.940297970e-9, 2.185231910e-12]
H2O = [-3.947960830e4, 5.755731020e2, 9.317826530e-1, 7.222712860e-3, -7.342557370e-6, 4.955043490e-9,
       -1.336933246e-12]
NASA = {"document": "B. J. McBride, M. J. Zehe, S. Gordon, NASA Glenn Coefficients for Calculating Thermodynamic "
        "Properties of Individual Species, NASA/TP-2002-211556", "edition": "2002"}
AIR_NOTE = ", integrated by quad; the coefficients are from memory, high"


# All water, as x_water of the functions below.
ALL = 1.0


def cp_over_r(t, x_water=0.0):
    dry = sum(a * t**n for n, a in enumerate(AIR, -2))
    wet = sum(a * t**n for n, a in enumerate(H2O, -2))
    return dry * (1 - x_water) + wet * x_water


def rise_of_h(t, ref, x_water=0.0):
    return R_MOLAR * quad(cp_over_r, ref, t, args=(x_water,), epsabs=0, epsrel=1e-12)[0]


def rise_of_s(t, ref, x_water=0.0):
    return R_MOLAR * quad(lambda u: cp_over_r(u, x_water) / u, ref, t, epsabs=0, epsrel=1e-12)[0]


def isentropic(t1, ratio, x_water=0.0):
    target = R_MOLAR * math.log(ratio)
    return brentq(lambda t: rise_of_s(t, t1, x_water) - target, 200, 1000, xtol=1e-11)


TEMPERATURES_K = [200, 225, 250, 275, 298.15, 325, 350, 400, 450, 500, 600, 700, 800, 900, 1000]
STEPS = [(255, 1.3), (273.15, 1.6), (288.15, 0.5), (288.15, 1.2), (288.15, 1.8), (298.15, 2.0), (298.15, 2.4),
         (310, 1.5), (320, 2.2), (330, 3.0), (350, 0.8), (400, 4.0)]
HUMID_STEPS = [(20, 50, 101325, 1.8), (30, 60, 101325, 2.0), (35, 90, 101325, 1.6), (40, 80, 99000, 2.2),
               (45, 100, 95000, 1.9), (10, 100, 84556, 2.4)]


def gas():
    report = dict(NASA, place="Air, 200 to 1000 K", short="NASA TP-2002-211556, scipy",
                  obtained=library("python3-scipy") + AIR_NOTE)
    yield block(4, "heat capacity, fit of air", [(f"{t:g}", f"{R_MOLAR * cp_over_r(t):.5f}") for t in TEMPERATURES_K],
                **report, equation="3", tolerance="digits", quantity="dry_cp_j_mol_k(t_k)")
    yield block(4, "enthalpy, fit of air, by quadrature",
                [(f"{t:g}, 300", f"{rise_of_h(t, 300):.3f}") for t in TEMPERATURES_K],
                **report, equation="4", tolerance="digits", quantity="dry_dh_j_mol(t_k, ref_k)")
    yield block(4, "entropy, fit of air, by quadrature",
                [(f"{t:g}, 300", f"{rise_of_s(t, 300):.6f}") for t in TEMPERATURES_K],
                **report, equation="5", tolerance="digits", quantity="dry_ds0_j_mol_k(t_k, ref_k)")
    vapour = dict(report, place="H2O, 200 to 1000 K")
    yield block(4, "heat capacity, fit of vapour",
                [(f"{t:g}", f"{R_MOLAR * cp_over_r(t, ALL):.5f}") for t in TEMPERATURES_K],
                **vapour, equation="3", tolerance="digits", quantity="vapour_cp_j_mol_k(t_k)")
    yield block(4, "enthalpy, fit of vapour",
                [(f"{t:g}, 300", f"{rise_of_h(t, 300, ALL) / 1000:.6f}") for t in TEMPERATURES_K],
                **vapour, equation="4", tolerance="digits", quantity="vapour_dh_kj_mol(t_k, ref_k)")
    yield block(4, "entropy, fit of vapour",
                [(f"{t:g}, 300", f"{rise_of_s(t, 300, ALL):.6f}") for t in TEMPERATURES_K],
                **vapour, equation="5", tolerance="digits", quantity="vapour_ds0_j_mol_k(t_k, ref_k)")
    yield block(6, "isentropic step, fit of air", [(f"{t:g}, {r:g}", f"{isentropic(t, r):.5f}") for t, r in STEPS],
                **report, equation="16", tolerance="digits", quantity="isentropic_t2_k(t1_k, p_ratio)")
    rows = []
    for t_c, rh, p, ratio in HUMID_STEPS:
        x = rh / 100 * _PSat_T(t_c + 273.15) * 1e6 / p
        rows.append((f"{t_c}, {rh}, {p}, {ratio}", f"{isentropic(t_c + 273.15, ratio, x):.3f}"))
    yield block(6, "isentropic step of moist air", rows, **dict(NASA, place="Air and H2O, 200 to 1000 K",
                short="NASA, IAPWS-IF97, scipy", obtained=library("python3-scipy") + " and "
                + library("python3-iapws").replace("library ", "") + AIR_NOTE), equation="1, 16",
                tolerance="1 unit", because="half of it is rounding; the vapour pressures of IAPWS and of Hyland and "
                "Wexler differ by 0.025 % of a share of up to 0.1, which moves R/cp by 1.1e-6 and T2 by 0.0003 K",
                quantity="humid_isentropic_t2_k(t_c, rh_percent, p_pa, p_ratio)")
    yield from janaf()


# NIST-JANAF Thermochemical Tables, 4th edition (1998), from memory, high: cp in J/(mol K), H - H(298.15 K) in kJ/mol
# and S in J/(mol K), of N2, O2, Ar, CO2.
JANAF_CP = {200: (29.107, 29.126, 20.786, 32.359), 300: (29.125, 29.385, 20.786, 37.221),
            400: (29.249, 30.106, 20.786, 41.325), 500: (29.580, 31.091, 20.786, 44.627),
            600: (30.110, 32.090, 20.786, 47.321), 700: (30.754, 32.981, 20.786, 49.564),
            800: (31.433, 33.733, 20.786, 51.434), 900: (32.090, 34.355, 20.786, 52.999),
            1000: (32.697, 34.870, 20.786, 54.308)}
JANAF_H = {400: (2.971, 3.025, 2.117, 4.003), 500: (5.911, 6.084, 4.196, 8.305), 600: (8.894, 9.244, 6.274, 12.907),
           800: (15.046, 15.835, 10.431, 22.806), 1000: (21.463, 22.703, 14.589, 33.397)}
JANAF_S = {298.15: (191.609, 205.147, 154.845, 213.795), 400: (200.181, 213.871, 160.953, 225.314),
           500: (206.739, 220.693, 165.591, 234.901), 600: (212.176, 226.451, 169.381, 243.283),
           1000: (228.170, 243.578, 179.999, 269.299)}  # 800 K is left out: its remembered value was in doubt
SHARES = (0.780840, 0.209476, 0.009365, 0.000319)


def mixed(values):
    return sum(share * value for share, value in zip(SHARES, values))


def janaf():
    source = {"document": "M. W. Chase, NIST-JANAF Thermochemical Tables", "edition": "4th, 1998",
              "place": "N2, O2, Ar, CO2 (reference states and gases)", "short": "NIST-JANAF tables",
              "obtained": "calculated as the sum over the species, whose values are from memory, high"}
    other = ("another evaluation of the same spectra: the two reports' cp of O2 differ by 0.007 % at 298 K, their "
             "constants by 0.0006 %, and anharmonic terms make up to 0.05 % towards 1000 K")
    yield block(4, "heat capacity of dry air", [(t, f"{mixed(v):.3f}") for t, v in JANAF_CP.items()], **source,
                equation="3", tolerance="0.05 %", because=other, quantity="dry_cp_j_mol_k(t_k)")
    yield block(4, "enthalpy of dry air", [(f"{t}, 298.15", f"{1000 * mixed(v):.0f}") for t, v in JANAF_H.items()],
                **source, equation="4", tolerance="0.05 %", because=other, quantity="dry_dh_j_mol(t_k, ref_k)")
    reference = mixed(JANAF_S[298.15])
    yield block(4, "entropy of dry air", [(f"{t}, 298.15", f"{mixed(v) - reference:.3f}")
                                          for t, v in JANAF_S.items() if t != 298.15],
                **source, equation="5", tolerance="0.05 %", because=other, quantity="dry_ds0_j_mol_k(t_k, ref_k)")


# ---- compression at constant k ----

# k of air at the mean temperature of each step, to the three decimals that textbooks print.
MEAN_STEPS = [(270, 2.0, 1.400), (320, 1.8, 1.398), (365, 1.85, 1.395), (410, 1.9, 1.391), (450, 2.1, 1.387)]
EFFICIENT_STEPS = [(288.15, 1.5, 0.55), (288.15, 1.9, 0.62), (298.15, 2.0, 0.70), (310, 1.7, 0.75), (325, 2.4, 0.80)]


def warmer(t1, ratio, k, eta=1.0):
    return fluids.isentropic_T_rise_compression(t1, 1e5, ratio * 1e5, k, eta)


def work_kj_kg(t1, ratio, k, eta, cp_kj_kg_k):
    per_mole = fluids.isentropic_work_compression(T1=t1, k=k, P1=1e5, P2=ratio * 1e5, eta=eta)
    return per_mole / fluids.constants.R * cp_kj_kg_k * (k - 1) / k


def compression():
    source = {"document": "Isentropic compression of an ideal gas of constant k", "edition": "fluids, compressible",
              "place": "isentropic_T_rise_compression", "short": "constant k, fluids",
              "obtained": library("python3-fluids")}
    steps = [(t, r) for t in (288.15, 298.15, 310) for r in (1.2, 1.4, 1.6, 1.8, 2.0, 2.2)]
    yield block(6, "constant k, a gas of constant cp",
                [(f"{t:g}, {r:g}, 1.4", f"{warmer(t, r, 1.4):.5f}") for t, r in steps], **source, equation="16",
                tolerance="digits", quantity="isentropic_constant_t2_k(t1_k, p_ratio, gamma)")
    yield block(6, "constant k 1.4, air", [(f"{t:g}, {r:g}", f"{warmer(t, r, 1.4):.3f}") for t, r in steps], **source,
                equation="16", tolerance="0.15 %",
                because="air has no constant k: R/cp falls from 0.2857 at 288 K to 0.2838 at 388 K (cp 1.0045 and "
                "1.0115 kJ/(kg K)) where k 1.4 has 0.2857 throughout, and 2.2^0.0019 is 1.0015",
                quantity="isentropic_t2_k(t1_k, p_ratio)")
    yield block(6, "k of the mean temperature, air",
                [(f"{t:g}, {r:g}", f"{warmer(t, r, k):.3f}") for t, r, k in MEAN_STEPS], **source, equation="16",
                tolerance="0.03 %",
                because="k is printed to 0.0005 (1.400, 1.398, 1.395, 1.391 and 1.387 at 300, 350, 400, 450 and 500 "
                "K), which is 0.00026 of R/cp and 2.1^0.00026 = 1.0002; the mean temperatures are met to 2 K, and the "
                "curvature of cp over a step adds under 0.01 %",
                quantity="isentropic_t2_k(t1_k, p_ratio)")
    source["place"] = "isentropic_T_rise_compression, isentropic_work_compression"
    yield block(6, "discharge at an efficiency",
                [(f"{t:g}, {r:g}, {e:g}, 1, 1.005, 1.4", f"{warmer(t, r, 1.4, e):.4f}")
                 for t, r, e in EFFICIENT_STEPS],
                **source, equation="17", tolerance="digits",
                quantity="compress_constant_t2_k(t1_k, p_ratio, ea, em, cp_kj_kg_k, gamma)")
    yield block(6, "work at an efficiency",
                [(f"{t:g}, {r:g}, {e:g}, 1, 1.005, 1.4", f"{work_kj_kg(t, r, 1.4, e, 1.005):.5f}")
                 for t, r, e in EFFICIENT_STEPS], **source, equation="17", tolerance="digits",
                quantity="compress_constant_work_kj_kg(t1_k, p_ratio, ea, em, cp_kj_kg_k, gamma)")


# ---- flow and units ----


def orifice(x, g):
    return x ** (1 / g) * math.sqrt(2 * g / (g - 1) * (1 - x ** ((g - 1) / g)))


def throttle(demand, g):
    """Solves f(x) = demand x with f held below the critical ratio."""
    critical = fluids.P_critical_flow(1.0, g)
    return brentq(lambda x: orifice(max(x, critical), g) - demand * x, 1e-6, 1, xtol=1e-14)


UNIT_WORDS = {"length, 1 in": "inch", "length, 1 ft": "foot", "volume, 1 in3": "inch**3", "volume, 1 ft3": "foot**3",
              "volume a turn, 1 ft3/rev": "foot**3", "pressure, 1 psi": "psi", "mass flow, 1 lb/min": "pound/minute",
              "mass flow, 1 lb/h": "pound/hour", "volume flow, 1 cfm": "foot**3/minute",
              "volume flow, 1 m3/h": "meter**3/hour", "power, 1 hp": "horsepower", "power, 1 PS": "metric_horsepower",
              "torque, 1 lbf.ft": "force_pound*foot", "force, 1 lbf": "force_pound"}


def flow():
    yield block(21, "critical pressure ratio",
                [(f"{g:g}", f"{fluids.P_critical_flow(1.0, g):.7f}") for g in (1.1, 1.2, 1.3, 1.33, 1.38, 1.4, 1.667)],
                document="Choked flow of an ideal gas", edition="fluids, compressible", place="P_critical_flow",
                short="critical flow, fluids", obtained=library("python3-fluids"), equation="11", tolerance="digits",
                quantity="critical_ratio(gamma)")
    yield block(21, "throttle that feeds a volume",
                [(f"{c:g}, {g:g}", f"{throttle(c, g):.8f}") for g in (1.4, 1.398)
                 for c in (0.05, 0.2, 0.4, 0.7, 1.0, 1.25, 1.35, 2.0)],
                document="J. B. Heywood, Internal Combustion Engine Fundamentals", edition="1988",
                place="appendix C, equations C.8 and C.9", short="Heywood app. C, scipy",
                obtained=library("python3-scipy") + ", brentq on f(x) = demand x, f from memory, high", equation="12",
                tolerance="digits", quantity="throttle_ratio(demand, gamma)")
    registry = pint.UnitRegistry()
    rows = [(words, f"{registry.Quantity(1, name).to_base_units().magnitude:.8e}")
            for words, name in UNIT_WORDS.items()]
    yield block(26, "units by definition", rows, document="Units by their definition", edition="pint",
                place="default registry", short="pint", obtained=library("python3-pint"), equation="none",
                tolerance="digits", quantity="si(kind, words)")


# ---- engine ----

VE_STATES = [(8, 1.0), (8, 0.5), (9.0, 0.6), (9.5, 0.8), (10, 0.45), (10, 1.2), (10.5, 0.7), (12, 1.5)]


def ideal_filling(ratio, exhaust_ratio, k=1.4):
    """Filling of the ideal four-stroke from the first law over the intake stroke.

    Clearance gas at the exhaust pressure stays; the charge flows in at its own temperature; the contents push the
    piston at the intake pressure: m u - m_r u_r = m_i h_i - p_i (V1 - Vc), with m T = p_i V1/R of the ideal gas.
    """
    p_in, t_in, r_gas = 1e5, 300.0, 287.0
    cv, cp = r_gas / (k - 1), r_gas * k / (k - 1)
    swept, clearance = 1.0, 1 / (ratio - 1)

    def excess(m_in):
        inner = cv * (p_in * (swept + clearance) - exhaust_ratio * p_in * clearance) / r_gas
        return inner + p_in * swept - m_in * cp * t_in

    return brentq(excess, 0, 10, xtol=1e-15) * r_gas * t_in / (p_in * swept)


def engine():
    yield block(28, "filling of the ideal cycle",
                [(f"{r:g}, {y:g}", f"{ideal_filling(r, y):.7f}") for r, y in VE_STATES],
                document="First law over the intake stroke of the ideal four-stroke (J. B. Heywood, Internal Combustion "
                "Engine Fundamentals, section 6.2.1)", edition="1988", place="equation 6.2 by its derivation",
                short="first law, intake stroke", obtained="calculated from the first law, solved by scipy's brentq",
                equation="23", tolerance="digits", quantity="ideal_ve(compression_ratio, p_exhaust_ratio)")


COOLANT_C = [0.01, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120]


def coolant():
    states = [(t, IAPWS97(T=t + 273.15, P=0.2)) for t in COOLANT_C]
    shared = {"document": "IAPWS Industrial Formulation for water and steam (R7-97)", "edition": "1997, revised 2012",
              "place": "region 1, at 0.2 MPa", "short": "IAPWS-IF97, iapws",
              "obtained": f"{library('python3-iapws')}, IAPWS97", "equation": "none"}
    yield block(20, "density of liquid water", [(f"0, {t:g}", f"{w.rho:.3f}") for t, w in states], **shared,
                tolerance="0.01 %", because="a quartic through the formulation",
                quantity="coolant_rho_kg_m3(glycol_percent, t_c)")
    yield block(20, "heat capacity of liquid water", [(f"0, {t:g}", f"{w.cp:.5f}") for t, w in states], **shared,
                tolerance="0.06 %", because="a quartic through the formulation",
                quantity="coolant_cp_kj_kg_k(glycol_percent, t_c)")


TABLES = {"library_atmosphere.txt": atmosphere, "library_water.txt": water, "library_gas.txt": gas,
          "library_compression.txt": compression, "library_flow.txt": flow,
          "library_engine.txt": engine, "library_coolant.txt": coolant}
HEAD = "# Written by libraries.py; change it there.\n\n"


def last_digit(number):
    mantissa, _, exponent = number.partition("e")
    return 10.0 ** (int(exponent or 0) - len(mantissa.partition(".")[2]))


def same(kept, fresh):
    """Whether a line still says the same: values to a unit in their last digit, versions not at all."""
    if " -> " not in kept:
        return kept == fresh or (kept.startswith("obtained: library") and fresh.startswith("obtained: library"))
    inputs, want = kept.split(" -> ")
    now_inputs, now_want = fresh.partition(" -> ")[::2]
    return inputs == now_inputs and abs(float(now_want) - float(want)) <= 1.001 * last_digit(want)


def held(name, text):
    """Compares a committed table with the text just made. Returns: how many lines agree and differ."""
    try:
        with open(os.path.join(HERE, name), encoding="utf-8") as file:
            kept = file.read().splitlines()
    except OSError as error:
        print(f"{name}: {error.strerror}")
        return 0, 1
    fresh = text.splitlines()
    wrong = abs(len(kept) - len(fresh))
    if wrong:
        print(f"{name}: {len(kept)} lines where {len(fresh)} are computed")
    right = 0
    for number, (a, b) in enumerate(zip(kept, fresh), 1):
        if same(a, b):
            right += " -> " in a
        else:
            wrong += 1
            print(f"{name}:{number}: has `{a}`, computed `{b}`")
    return right, wrong


def main():
    unknown = [word for word in sys.argv[1:] if word not in ("--write", "--if-there")]
    if unknown:
        print(f"libraries.py: unknown option {unknown[0]}")
        return 2
    passed = failed = 0
    for name, make in TABLES.items():
        text = HEAD + "\n".join(make())
        if "--write" in sys.argv:
            with open(os.path.join(HERE, name), "w", encoding="utf-8") as file:
                file.write(text)
        right, wrong = held(name, text)
        passed += right
        failed += wrong
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
