#!/usr/bin/python3
"""Worked examples of textbooks and reports, posed as build files and run through the program.

usage: run.py [--rows] PROGRAM [EXAMPLE...]     --rows prints the rows that pass too

Every folder beside this file holds a build and an expect.txt:

    document: ...    number: ...    obtained: ...    adapted: ...    air: ...
    build FILE            the rows below are of this build; build.ini when left out
    at SPEED              and of this engine speed; the first row of the line when left out
    at most MEMBER        or of the row where MEMBER is largest
    let NAME = EXPR       a name for an expression, worked out anew at every row below
    QUANTITY | EXPR | WANT | DIGITS | ROUNDING | AIR | SOURCE

EXPR is a member of the row in the program's JSON, or arithmetic on several. WANT is a number, or a band as LOW..HIGH.
The tolerance is the sum of DIGITS (half of the last digit printed), ROUNDING (what the source's own rounding on the
way adds up to) and AIR (what the example's constant cp does against real air, and the doubt about real air's). The
last two are held to hand.py: to what it finds, and no more than a tenth above. A quantity that ends in ", real air" is
hand.py's own value with real air, and AIR the doubt about it. "MISS AMOUNT" in the place of DIGITS is a band known to
be missed by that amount, within a twentieth: it is told at every run and not counted as passed, and fails when it is
missed by more or less.
"""
import json
import math
import subprocess
import sys
from pathlib import Path

sys.dont_write_bytecode = True
import hand

HEADS = ("document", "number", "obtained", "adapted", "air")
SUFFIX = ", real air"
HERE = Path(__file__).resolve().parent


class Malformed(Exception):
    pass


def solve(program, folder, build):
    """The program's JSON of one build."""
    try:
        done = subprocess.run([program, "check", build, "--json", "-"], cwd=folder, capture_output=True, text=True)
    except OSError as fault:
        raise Malformed(f"{program}: {fault.strerror}") from fault
    if done.returncode not in (0, 1):
        raise Malformed(f"{build}: exit status {done.returncode}\n{done.stderr}")
    try:
        return json.loads(done.stdout)
    except ValueError as fault:
        raise Malformed(f"{build}: its JSON is not read: {fault}") from fault


def pick(found, words):
    """A row of the operating line by its speed or by where a member is largest."""
    line = found["line"]
    if words[:1] == ["most"]:
        return max(line, key=lambda row: row[words[1]])
    rows = [row for row in line if abs(row["engine_speed_rpm"] - float(words[0])) < 1e-6]
    if len(rows) != 1:
        raise Malformed(f"no row at {words[0]} rpm")
    return rows[0]


def value_of(expression, names):
    try:
        return float(eval(expression, {"__builtins__": {}}, names))
    except Exception as fault:
        raise Malformed(f"`{expression}`: {fault!r}") from fault


def held(written, computed, what):
    """A tolerance as written must cover what was computed by hand, by no more than a tenth."""
    if not computed * (1 - 1e-9) - 1e-12 <= written <= computed * 1.1 + 1e-12:
        raise Malformed(f"{what} is written {written:g}, by hand it is {computed:.3g}")


def against_hand(quantity, want, digits, rounding, air, table):
    """Holds a row's want and tolerance to the example worked by hand."""
    name = quantity.removesuffix(SUFFIX)
    if name not in table:
        if rounding or air or name != quantity:
            raise Malformed(f"{quantity}: hand.py has no such quantity")
        return
    exact, rounded, real, doubt = table[name]
    mine = real if name != quantity else rounded
    if abs(want - mine) > digits * (1 + 1e-9):
        raise Malformed(f"{quantity}: {want:.9g} is wanted, by hand it is {mine:.9g}")
    held(rounding, 0 if name != quantity else abs(rounded - exact), f"{quantity}: rounding")
    held(air, doubt if name != quantity else abs(real - exact) + doubt, f"{quantity}: air")


class Example:
    def __init__(self, program, folder, rows):
        self.program, self.folder, self.rows = program, folder, rows
        self.heads, self.lets, self.found = {}, {}, {}
        self.table = hand.table(folder.name) if folder.name in hand.EXAMPLES else {}
        self.build, self.row = "build.ini", None
        self.passed = self.failed = self.missed = 0
        self.worst = 0.0

    def current(self):
        if self.build not in self.found:
            self.found[self.build] = solve(self.program, self.folder, self.build)
        found = self.found[self.build]
        return found, self.row or found["line"][0]

    def names(self, found, row):
        """What an expression may name: members of the row, of site and drive, and what was let."""
        names = {"pi": math.pi, "sqrt": math.sqrt} | row
        for group in ("site", "drive"):
            names |= {f"{group}_{key}": value for key, value in found[group].items()}
        for name, expression in self.lets.items():
            names[name] = value_of(expression, names)
        return names

    def say(self, word, quantity, want, got, tolerance, source):
        print(f"{word} {self.folder.name}: {quantity}: want {want}, got {got:.8g}, tolerance {tolerance}; {source}")

    def check(self, cells):
        quantity, expression, want, digits, rounding, air, source = cells
        found, row = self.current()
        if not row["on_map"] or row["volumetric_efficiency_held"]:
            raise Malformed(f"{quantity}: {row['engine_speed_rpm']:g} rpm is off the map or the efficiency curve")
        got = value_of(expression, self.names(found, row))
        if ".." in want:
            low, high = map(float, want.split(".."))
            miss = max(low - got, got - high, 0.0)
            known = float(digits.removeprefix("MISS ")) if digits.startswith("MISS") else 0.0
            ok = miss <= 0 if not known else abs(miss - known) <= 0.05 * known
            tolerance = f"the band, known to be missed by {known:g}" if known else "the band"
            if known and ok:
                self.missed += 1
                self.say("KNOWN MISS", quantity, want, got, tolerance, source)
                return
        else:
            amounts = [float(cell) for cell in (digits, rounding, air)]
            against_hand(quantity, float(want), *amounts, self.table)
            tolerance = sum(amounts)
            ok = tolerance > 0 and abs(got - float(want)) <= tolerance
            if tolerance > 0:
                self.worst = max(self.worst, abs(got - float(want)) / tolerance)
            tolerance = f"{tolerance:.3g}"
        self.passed, self.failed = self.passed + ok, self.failed + (not ok)
        if not ok or self.rows:
            self.say("ok" if ok else "FAIL", quantity, want, got, tolerance, source)

    def line(self, text):
        cells = [cell.strip() for cell in text.split("|")]
        words = text.split()
        if len(cells) == 7 and all(cells):
            self.check(cells)
        elif words[0] == "build":
            self.build, self.row = words[1], None
        elif words[0] == "at":
            self.row = pick(self.current()[0], words[1:])
        elif words[0] == "let" and words[2] == "=":
            self.lets[words[1]] = text.split("=", 1)[1].strip()
        else:
            raise Malformed(f"`{text}` is not understood")

    def read(self):
        head = None
        for number, text in enumerate((self.folder / "expect.txt").read_text().splitlines(), 1):
            if text[:1].isspace() and head and text.strip():
                continue
            head = text.split(":")[0] if text.split(":")[0] in HEADS else None
            if head:
                self.heads[head] = text.split(":", 1)[1].strip()
            elif text.strip() and not text.startswith("#"):
                try:
                    self.line(text)
                except Malformed as fault:
                    self.failed += 1
                    print(f"FAIL {self.folder.name}/expect.txt:{number}: {fault}")
        missing = [name for name in HEADS if not self.heads.get(name)]
        if missing or self.passed + self.failed + self.missed == 0:
            self.failed += 1
            print(f"FAIL {self.folder.name}: no rows, or nothing said of {', '.join(missing)}")


def main(argv):
    rows = "--rows" in argv
    argv = [word for word in argv if word != "--rows"]
    if len(argv) < 2:
        print(__doc__.split("\n\n")[1])
        return 2
    program = str(Path(argv[1]).resolve())
    folders = sorted(path.parent for path in HERE.glob("*/expect.txt"))
    folders = [folder for folder in folders if not argv[2:] or folder.name in argv[2:]]
    passed = failed = missed = 0
    for folder in folders:
        example = Example(program, folder, rows)
        example.read()
        passed, failed, missed = passed + example.passed, failed + example.failed, missed + example.missed
        print(f"{folder.name:20} {example.passed:3d} passed {example.failed:3d} failed  "
              f"worst {100 * example.worst:3.0f} % of its tolerance  {example.heads.get('document', '')[:60]}")
    unread = set(hand.EXAMPLES) - {folder.name for folder in folders}
    if not folders or (unread and not argv[2:]):
        failed += 1
        print(f"FAIL no folder for {', '.join(sorted(unread)) or 'any example'}")
    if missed:
        print(f"known to miss its band, neither passed nor failed: {missed}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv))
