"""Outputs of every command on random valid builds.

outputs.py PROGRAM PROPERTY [--seed N] [--count N]

PROPERTY writes the builds. Each command ends with a status of its table, says why where it computes nothing, and leaves
nothing then; otherwise its JSON parses, no output has a word in place of a number, text, CSV and JSON tell the same, and
a second run writes the same bytes.
"""
import argparse
import concurrent.futures
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile
import threading

# By definition: pound, foot, inch and standard gravity; horsepower of 550 ft.lbf/s.
LB, FT, G = 0.45359237, 0.3048, 9.80665
PSI, HP = LB * G / (FT / 12) ** 2, 550 * FT * LB * G
# SI = (shown + offset) * factor, and what a JSON name of that kind ends in.
UNITS = {
    "rpm": (1, 0, "_rpm"), "kPa": (1e3, 0, "_pa"), "psi": (PSI, 0, "_pa"), "psia": (PSI, 0, "_pa"), "%": (0.01, 0, ""),
    "m3/h": (1 / 3600, 0, "_m3_s"), "ft3/min": (FT ** 3 / 60, 0, "_m3_s"), "kg/h": (1 / 3600, 0, "_kg_s"),
    "lb/min": (LB / 60, 0, "_kg_s"), "lb/h": (LB / 3600, 0, "_kg_s"), "degC": (1, 273.15, "_k"),
    "degF": (5 / 9, 459.67, "_k"), "K": (1, 0, "_k"), "kW": (1e3, 0, "_w"), "hp": (HP, 0, "_w"), "N.m": (1, 0, "_n_m"),
    "lbf.ft": (LB * G * FT, 0, "_n_m"), "mm": (1e-3, 0, "_m"), "in": (FT / 12, 0, "_m"), "deg": (1, 0, "_deg"),
    "s": (1, 0, "_s"), "Btu/min": (1055.05585262 / 60, 0, "_w"), "kg/m3": (1, 0, "_kg_m3"), "lb/ft3": (LB / FT ** 3, 0, "_kg_m3"),
}
CHANGE_UNITS = {**UNITS, "degF": (5 / 9, 0, "_k"), "degC": (1, 0, "_k")}
POWER = {"gross indicated power": "indicated_power_w", "blower drive at the crankshaft": "crank_drive_power_w",
         "estimated crank power": "crank_power_w", "estimated crank torque": "crank_torque_n_m",
         "estimated wheel power": "wheel_power_w", "fuel flow": "fuel_mass_flow_kg_s"}
LINE = {**POWER, "coolant inlet temperature": "coolant_in_temperature_k",
        "coolant outlet temperature": "coolant_out_temperature_k",
        "inlet volume flow in the map's air": "map_volume_flow_m3_s", "map side": None}
SPREAD = {"boost": "boost_pa", "air flow": "air_mass_flow_kg_s", "discharge": "discharge_temperature_k",
          "charge": "charge_temperature_k", "drive": "drive_power_w", "press. ratio": "pressure_ratio",
          "inlet": "inlet_volume_flow_m3_s", "blower": "blower_speed_without_slip_rpm", "crank": "crank_power_w",
          "wheel": "wheel_power_w", "blower with slip": "blower_speed_rpm"}
KNOCK = {f"{part}{' ' if part else ''}{name}": f"{key}.{part or 'middle'}"
         for part in ("", "least", "most")
         for name, key in (("integral ratio", "integral_ratio"), ("octane factor", "octane_factor"),
                           ("retard", "retard_deg"))}
# The list of the JSON that the CSV's rows are, and columns whose JSON name does not follow from their words. Those
# ending in ! are per cent in the JSON too.
COMMANDS = {
    "check": ([], "line", LINE),
    "throttle": ([], "throttle", {
        "loss of filter and ducts": "duct_loss_pa", "loss of throttle body": "throttle_loss_pa",
        "loss of adapter step": "step_loss_pa", "pressure ratio without throttle": "pressure_ratio_without",
        "air flow change": "air_mass_flow_change_kg_s", "estimated crank power change": "crank_power_change_w"}),
    "fuel": ([], "supply", {
        "fuel flow": "fuel_mass_flow_kg_s", "pressure across injector": "injector_pressure_pa",
        "injector flow held open": "injector_mass_flow_kg_s", "pump flow at rail pressure": "pump_mass_flow_kg_s",
        "rail pressure outside pump curve": "outside_pump_curve"}),
    "knock": ([], "knock", {
        "manifold pressure without blower": "aspirated_manifold_pressure_pa",
        "charge temperature without blower": "aspirated_charge_temperature_k", **KNOCK}),
    "soak": ([], "series", {}),
    "site": (["--site", "hot day; mountain pass"], "sites", {
        "site": "name", "peak boost": "boost_peak_pa", "peak boost at": "boost_peak_speed_rpm",
        "boost at rev limit": "boost_at_limit_pa", "air flow at rev limit": "air_mass_flow_kg_s",
        "crank power at": "crank_power_speed_rpm", "limit with least to spare": "worst_limit", "margin": "margin!"}),
    "pulley": (["--blower", "60mm:120mm:20mm"], "pulleys", {
        "blower pulley": "diameter_m", "blower speed at rev limit": "blower_speed_at_limit_rpm",
        "margin at rev limit": "margin_at_limit!", "blower speed in over-rev": "blower_speed_at_over_rev_rpm",
        "margin in over-rev": "margin_at_over_rev!", "peak boost": "boost_peak_pa",
        "peak boost at": "boost_peak_speed_rpm", "air flow": "air_mass_flow_kg_s",
        "limit with least to spare": "least_to_spare", "margin": "margin!", "points of line": "points"}),
    "spread": (["--samples", "128", "--threads", "1"], "line", {
        "off map": "share_off_map", "no operating point": "share_without_point"}),
    "belt": ([], None, {}),
    "compare": (["other.ini"], None, {}),
    "inspect": ([], None, {}),
}
# Commands whose text has the CSV's rows, or every so many of them.
IN_TEXT = {"check", "throttle", "fuel", "knock"}
NO_NUMBER = re.compile(r"(?<![A-Za-z0-9_`'-])[-+]?(nan|NaN|NAN|inf|INF|Inf|infinity|Infinity)(?![A-Za-z_-])")

passed = failed = compared = refused = 0
lock = threading.Lock()


def holds(wrong, good):
    global passed, failed
    with lock:
        passed += bool(good)
        failed += not good
        if not good and failed <= 20:
            print(f"outputs.py: {wrong}", flush=True)
    return good


def split_head(head):
    match = re.fullmatch(r"(.*?)(?: \[(.*)\])?", head)
    return match.group(1), match.group(2)


def accessor(command, name, unit, aliases):
    """What a column is in a row of the JSON: path, factor, offset."""
    factor, offset, ending = (CHANGE_UNITS if name.endswith(" change") else UNITS).get(unit, (1, 0, ""))
    quantile = re.fullmatch(r"(.*) (5|50|95) %", name)
    if command == "spread" and quantile:
        return f"{SPREAD[quantile.group(1)]}.p{int(quantile.group(2)):02d}", factor, offset
    if command == "pulley" and re.fullmatch(r"boost at [\d.]+ rpm", name):
        return f"boost@{name.split()[2]}", factor, offset
    path = aliases.get(name, name.replace(" ", "_") + ending)
    if path and path.endswith("!"):
        return path[:-1], 1, 0
    return path, factor, offset


def look_up(row, path):
    if "@" in path:
        speed = float(path.split("@")[1])
        return next((b["boost_pa"] for b in row["boost"] or [] if abs(b["engine_speed_rpm"] - speed) < 0.5), None)
    for part in path.split("."):
        if row is None:
            return None
        row = row[part]
    return row


def same(cell, value, factor, offset):
    if value is None:
        return cell in ("", "no operating point", "no limit")
    if isinstance(value, bool):
        return cell == ("yes" if value else "no")
    if isinstance(value, str):
        return cell == value
    try:
        si = (float(cell) + offset) * factor
    except ValueError:
        return False
    return abs(si - value) <= 1e-9 * (abs(value) + abs(offset * factor)) + 1e-12


def csv_is_json(what, command, lines, rows, aliases):
    global compared
    heads = lines[0].split(",")
    if not holds(f"{what}: {len(lines) - 1} rows in the CSV, {len(rows)} in the JSON", len(lines) - 1 == len(rows)):
        return
    for column, head in enumerate(heads):
        name, unit = split_head(head)
        path, factor, offset = accessor(command, name, unit, aliases)
        if path is None:
            continue
        for line, row in zip(lines[1:], rows):
            cell = line.split(",")[column]
            try:
                value = look_up(row, path)
            except KeyError:
                holds(f"{what}: column `{head}` has no {path} in the JSON", False)
                break
            compared += 1
            holds(f"{what}: `{head}` is {cell} in the CSV, {path} {value} in the JSON",
                  same(cell, value, factor, offset))


def text_is_csv(what, lines, text):
    """Every number of a row of the text is one of that row of the CSV, rounded."""
    global compared
    rows = {}
    for line in lines[1:]:
        cells = [float(c) for c in line.split(",") if re.fullmatch(r"-?[\d.]+(e[-+]?\d+)?", c)]
        rows.setdefault(f"{cells[0]:.0f}", cells)
    found = 0
    for line in text.split("\nLimits")[0].split("\n\nLargest losses")[0].splitlines() + \
            text.partition("Estimated power")[2].split("\n\n")[0].splitlines():
        words = line.split()
        if not words or words[0] not in rows or len(words) < 4:
            continue
        found += 1
        for before, word in zip(words, words[1:]):
            if before == "over":
                continue  # where a search ends
            if not re.fullmatch(r"-?\d+(\.\d+)?", word):
                continue
            half = 0.5 * 10.0 ** -(len(word.partition(".")[2])) + 1e-7
            compared += 1
            holds(f"{what}: {word} of the text's row at {words[0]} is not in the CSV",
                  any(abs(float(word) - cell) <= half + 1e-9 * abs(cell) for cell in rows[words[0]]))
    holds(f"{what}: no row of the CSV is in the text", found > 0)


def strict(pairs):
    names = [name for name, _ in pairs]
    if len(names) != len(set(names)):
        raise ValueError("a name twice")
    return dict(pairs)


def no_constant(word):
    raise ValueError(word)


def run(folder, command, number):
    options, _, _ = COMMANDS[command]
    outputs = [folder / f"{command}-{number}.{ending}" for ending in ("json", "csv")]
    name = "unit.ini" if command == "inspect" else "build.ini"
    done = subprocess.run([PROGRAM, command, name, *options, "--json", outputs[0].name, "--csv", outputs[1].name],
                          cwd=folder, capture_output=True, env={**os.environ, "LC_ALL": "C"}, timeout=120)
    return done, [o.read_text() if o.exists() else None for o in outputs]


def one_command(folder, seed, command, twice):
    global refused
    what = f"seed {seed}: {command}"
    done, (as_json, as_csv) = run(folder, command, 1)
    text, told = done.stdout.decode(), done.stderr.decode()
    for kind, output in (("text", text), ("messages", told), ("CSV", as_csv or ""), ("JSON", as_json or "")):
        word = NO_NUMBER.search(output)
        holds(f"{what}: {kind} has {word and output[max(0, word.start() - 60):word.end() + 20]!r}", word is None)
    if done.returncode == 2:
        with lock:
            refused += 1
        # What is odd in the input may stand before it.
        reason = told.splitlines()[-1] if told else ""
        holds(f"{what}: refused without a reason", reason.startswith("sweptline") and len(reason) > 20)
        holds(f"{what}: refused and written", as_json is None and as_csv is None and text == "")
        return
    if not holds(f"{what}: ends with {done.returncode}: {told[:200]}",
                 done.returncode in (0, 1) and as_json is not None and as_csv is not None):
        return
    try:
        root = json.loads(as_json, parse_constant=no_constant, object_pairs_hook=strict)
    except ValueError as reason:
        holds(f"{what}: JSON does not parse: {reason}", False)
        return
    holds(f"{what}: notes that are no sentences", all(isinstance(n, str) and n for n in root["notes"]))
    lines = as_csv.splitlines()
    _, rows, aliases = COMMANDS[command]
    if rows is not None:
        csv_is_json(what, command, lines, root[rows], aliases)
    if command in IN_TEXT:
        text_is_csv(what, lines, text)
    if twice:
        again, (again_json, again_csv) = run(folder, command, 2)
        holds(f"{what}: a second run writes something else",
              (again.stdout, again_json, again_csv) == (done.stdout, as_json, as_csv))


def one_build(seed):
    folder = pathlib.Path(BASE) / str(seed)
    folder.mkdir()
    subprocess.run([PROPERTY, "--seed", str(seed), "--count", "1", "--write", str(folder)], check=True,
                   stdout=subprocess.DEVNULL)
    # The other build of a comparison is the same one with another pulley.
    build = (folder / "build.ini").read_text()
    (folder / "other.ini").write_text(re.sub(r"(?m)^blower_pulley = .*$", "blower_pulley = 95 mm", build))
    for command in COMMANDS:
        one_command(folder, seed, command, seed % 4 == 0)


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("property")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=16)
    given = parser.parse_args()
    PROGRAM, PROPERTY = os.path.abspath(given.program), os.path.abspath(given.property)
    with tempfile.TemporaryDirectory(prefix="outputs-") as BASE:
        with concurrent.futures.ThreadPoolExecutor(min(4, os.cpu_count() or 1)) as pool:
            list(pool.map(one_build, range(given.seed, given.seed + given.count)))
    print(f"outputs of {given.count} builds from seed {given.seed} through every command: {compared} values compared, "
          f"{refused} runs refused with a reason, {passed} passed, {failed} failed")
    sys.exit(failed > 0)
