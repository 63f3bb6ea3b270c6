#!/usr/bin/python3
"""Makes the fuzzers' dictionary of keys, sections, choices, columns and units out of the sources' own tables.

usage: dictionary.py [--update]      without it the committed dictionary is held against the tables
"""
import os
import re
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
SOURCES = os.path.join(HERE, "..", "..", "src")
DICTIONARY = os.path.join(HERE, "sweptline.dict")

# What the readers know beside their tables: signs, numbers that go wrong easily, and the harness's own marks.
OTHERS = ["+-", " at ", "=", "; ", "# ", "\n    ", "\r\n", "\xef\xbb\xbf", "=== ", "=== unit.ini\n", "=== unit.csv\n",
          "=== chart.png\n", "picture 60 40\n", ": ", ", ", "\"", "1e308", "-1e308", "1e-320", "nan", "inf", "0x1p3", "-0", "1e",
          "00000000000000000001", "99999999999999999999", "0.1e-5", "linear", "logarithmic", "PK 8", "petrol", "water",
          "water-glycol 40 %", "flow [m3/h], linear", "flow [kg/s], logarithmic", "pressure ratio, linear", "[trace a]",
          "[pulley a]", "[alternative a]", "IHDR", "PLTE", "IDAT", "IEND", "tRNS", "gAMA", "pHYs", "sRGB", "acTL"]
# Tables of src/files and src/scan of whose rows every quoted word is wanted, and those of which the first ones are.
WORDS = re.compile(r"static const char \*const (\w*(?:words|sections|key_names)\w*)\[\w*\] = \{(.*?)\};", re.S)
KEYS = re.compile(r"static const swl_key \w+\[\] = \{(.*?)\n\};", re.S)
COLUMNS = re.compile(r"\[COLUMN_\w+\] = *\{\"([^\"]+)\", (?:\"([^\"]+)\"|)")
UNITS = re.compile(r"\{SWL_DIM_\w+, (?:true|false), \"([^\"]+)\"")
ROW = re.compile(r"^    \{\"([^\"]*)\", \"([^\"]+)\"", re.M)


def read(*path):
    with open(os.path.join(SOURCES, *path), encoding="utf-8") as file:
        return file.read()


def words():
    found = {"section": set(), "key": set(), "word": set(), "column": set(), "unit": set()}
    for room in ("files", "scan"):
        for name in sorted(os.listdir(os.path.join(SOURCES, room))):
            if not name.endswith(".c"):
                continue
            text = read(room, name)
            for table, body in WORDS.findall(text):
                quoted = re.findall(r"\"([^\"]+)\"", body)
                if table.endswith("sections"):
                    found["section"].update("[%s]" % w if w[-1] != " " else "[%s" % w for w in quoted)
                elif table == "key_names":
                    found["key"].update("%s = " % w for w in quoted)
                else:
                    found["word"].update(quoted)
            for body in KEYS.findall(text):
                found["key"].update("%s = " % key for _, key in ROW.findall(body))
            for first, other in COLUMNS.findall(text):
                found["column"].update(w for w in (first, other) if w)
    units = UNITS.findall(read("base", "units.c"))
    found["unit"].update(" " + unit for unit in units)
    found["unit"].update("[%s]" % unit for unit in units)
    return found


def escaped(word):
    return "".join(c if " " <= c <= "~" and c not in "\"\\" else "".join("\\x%02x" % b for b in c.encode("latin-1" if ord(c) < 256 and c in "\xef\xbb\xbf" else "utf-8")) for c in word)


def dictionary():
    found = words()
    counts = {kind: len(found[kind]) for kind in found}
    # A table that was moved or written another way must not drop out unseen.
    for kind, least in (("section", 12), ("key", 120), ("word", 12), ("column", 15), ("unit", 120)):
        if counts[kind] < least:
            sys.exit("dictionary.py: only %d of kind %s were found in the sources' tables" % (counts[kind], kind))
    lines = ["# Made by tests/fuzz/dictionary.py out of the readers' tables."]
    for kind in ("section", "key", "word", "column", "unit"):
        lines += ["\"%s\"" % escaped(w) for w in sorted(found[kind])]
    lines += ["\"%s\"" % escaped(w) for w in OTHERS]
    return "\n".join(dict.fromkeys(lines)) + "\n"


def main():
    text = dictionary()
    if sys.argv[1:] == ["--update"]:
        with open(DICTIONARY, "w", encoding="ascii") as file:
            file.write(text)
        return 0
    with open(DICTIONARY, encoding="ascii") as file:
        if file.read() != text:
            print("tests/fuzz/sweptline.dict is not what the readers' tables say; `make fuzz-dictionary` brings it up to date")
            return 1
    return 0


sys.exit(main())
