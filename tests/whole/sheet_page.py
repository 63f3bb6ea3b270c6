"""Holds a page's markup: sheet_page.py PAGE.html [CHECK.json]. Needs no browser."""
import json
import re
import sys
import xml.etree.ElementTree as ET

page = open(sys.argv[1], encoding="utf-8").read()
root = ET.fromstring(page.split("\n", 1)[1])  # behind the doctype; also: well-formed as XML
XHTML = "{http://www.w3.org/1999/xhtml}"
SVG = "{http://www.w3.org/2000/svg}"
faults = []


def hold(truth, words):
    if not truth:
        faults.append(words)


def text(element):
    return "".join(element.itertext())


hold(page.startswith("<!DOCTYPE html>\n"), "no doctype")
hold(root.get("lang") == "en", "no language")

# One file: nothing from elsewhere, and a policy that lets in nothing but what is here.
namespaces = {"http://www.w3.org/1999/xhtml", "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}
for address in re.findall(r"(?:https?:)?//[\w.-]+\.[\w/.-]+", page):
    hold(address in namespaces, "an address: " + address)
for element in root.iter():
    for name, value in element.attrib.items():
        bare = name.split("}")[-1]
        hold(bare not in ("src", "action", "srcset", "data", "poster"), "%s=%s" % (bare, value))
        hold(bare != "href" or value.startswith("#"), "href " + value)
        hold(bare != "style" and not bare.startswith("on"), "an attribute the policy refuses: " + bare)
hold("@import" not in page and "url(" not in page.replace("url(#", ""), "a style that loads something")
policy = [m.get("content") for m in root.iter(XHTML + "meta") if m.get("http-equiv") == "Content-Security-Policy"]
hold(len(policy) == 1 and policy[0].startswith("default-src 'none'; style-src 'sha256-"), "no policy")
hold(len(policy) == 1 and "unsafe" not in policy[0], "the policy lets in anything")

# Ids are unique, and what is named by id is there.
ids = [e.get("id") for e in root.iter() if e.get("id") is not None]
hold(len(ids) == len(set(ids)), "an id twice: %s" % sorted(i for i in set(ids) if ids.count(i) > 1)[:5])
named = re.findall(r'(?:href="#|url\(#)([^")]+)', page)
for name in re.findall(r'aria-(?:labelledby|describedby)="([^"]+)"', page):
    named += name.split()
for name in named:
    hold(name in ids, "no element of the id " + name)

# Headings go down a step at a time and there is one of the first level.
levels = [int(e.tag[-1]) for e in root.iter() if re.fullmatch(re.escape(XHTML) + "h[1-6]", e.tag)]
hold(levels.count(1) == 1 and levels[0] == 1, "headings: %s" % levels)
for before, after in zip(levels, levels[1:]):
    hold(after <= before + 1, "a heading of level %d after %d" % (after, before))
hold(len(list(root.iter(XHTML + "main"))) == 1, "no main part")
hold(any(a.get("class") == "skip" and a.get("href") == "#main" for a in root.iter(XHTML + "a")), "no skip link")

# Tables are told and their heads say what they head.
tables = list(root.iter(XHTML + "table"))
hold(len(tables) >= 5, "few tables")
for table in tables:
    caption = table.find(XHTML + "caption")
    hold(caption is not None and text(caption).strip() != "", "a table without caption")
    heads = list(table.iter(XHTML + "th"))
    hold(heads != [] and all(h.get("scope") in ("col", "row", "colgroup", "rowgroup") for h in heads), "a head without scope")
    widths = set()
    for row in table.iter(XHTML + "tr"):
        cells = [c for c in row if c.tag in (XHTML + "td", XHTML + "th")]
        widths.add(sum(int(c.get("colspan", "1")) for c in cells))
    hold(len(widths) == 1, "rows of %s cells in: %s" % (sorted(widths), text(caption)))

# Pictures are told in words; the points carry their numbers.
pictures = [s for s in root.iter(SVG + "svg") if s.get("role") == "img"]
hold(len(pictures) >= 4, "few pictures")
for picture in pictures:
    hold(text(picture.find(SVG + "title")) != "" and len(text(picture.find(SVG + "desc"))) > 100, "a picture without words")
points = list(root.iter(SVG + "circle"))
points = [p for p in points if p.get("data-row") is not None]
for point in points:
    hold(point.get("tabindex") == "0" and "; blower speed " in point.get("aria-label"), "a point without numbers")
    hold(text(point.find(SVG + "title")) == point.get("aria-label"), "a point's title says something else")

# Contrast. Source: W3C, Web Content Accessibility Guidelines 2.2 (2023), "relative luminance", "contrast ratio", and
# success criterion 1.4.3: 4.5 to 1 for text.
style = text(next(root.iter(XHTML + "style")))


def luminance(colour):
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(a, b):
    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


hold(abs(contrast("#000000", "#ffffff") - 21) < 1e-9, "contrast of black on white")
sets = [dict(re.findall(r"--([\w-]+):(#[0-9a-f]{6})", block)) for block in re.findall(r":root\{([^}]*)\}", style)]
hold(len(sets) == 3, "no three sets of colours: light, dark, print")
inks = set(re.findall(r"(?<![-\w])color:var\(--([\w-]+)\)", style))
grounds = set(re.findall(r"background:var\(--([\w-]+)\)", style)) - {"card"}
hold({"ink", "soft", "kept", "close", "over", "link"} <= inks and {"paper", "band"} <= grounds, "%s on %s" % (inks, grounds))
hold(re.findall(r"(?<![-\w])(?:color|background):(?!var|inherit)[^;}]*", style) == [], "a colour that is not one of the set")
least = 99
for number, colours in enumerate(sets):
    colours = {**sets[0], **colours}
    for ink in inks:
        for ground in grounds:
            ratio = contrast(colours[ink], colours[ground])
            least = min(least, ratio)
            hold(ratio >= 4.5, "set %d: %s on %s has a contrast of %.2f" % (number, ink, ground, ratio))
for label in root.iter(SVG + "text"):
    r, g, b = [int(v) for v in re.fullmatch(r"rgb\((\d+),(\d+),(\d+)\)", label.get("fill")).groups()]
    hold(contrast("#%02x%02x%02x" % (r, g, b), "#ffffff") >= 4.5, "a label in %s on white" % label.get("fill"))
for needed in (":focus-visible", "prefers-color-scheme:dark", "prefers-reduced-motion", "@page{size:A4", "break-inside:avoid"):
    hold(needed in style, "no %s in the style" % needed)

# A page whose tables hold a point outside the map does not say that there is none, and the other way round.
marked = any(text(cell).strip() == "outside" for table in tables for cell in table.iter(XHTML + "td"))
said_none = "No point of an operating line lies outside" in text(root)
hold(marked != said_none or not any(text(t.find(XHTML + "caption")).find("Operating line") >= 0 for t in tables),
     "points outside the map: marked %s, said to be none %s" % (marked, said_none))

# The numbers are those of a check.
if len(sys.argv) > 2:
    check = json.load(open(sys.argv[2]))
    by_caption = {text(t.find(XHTML + "caption")): t for t in tables}

    def rows_of(caption):
        table = next(t for c, t in by_caption.items() if c.startswith(caption))
        return [[text(c).strip() for c in row] for row in table.iter(XHTML + "tr") if row[0].get("scope") == "row"]

    line = rows_of("Operating line")
    hold(len(line) == len(check["line"]), "another number of points")
    for row, want in zip(line, check["line"]):
        shown = [want["engine_speed_rpm"], want["blower_speed_rpm"], want["pressure_ratio"], want["boost_pa"] / 1e3,
                 want["inlet_volume_flow_m3_s"] * 3600, want["air_mass_flow_kg_s"] * 3600]
        for cell, value in zip(row, shown):
            decimals = len(cell.split(".")[1]) if "." in cell else 0
            hold(abs(float(cell) - value) <= 0.5001 * 10**-decimals, "%s where the check has %r" % (cell, value))
        hold(row[-1] == ("in" if want["on_map"] else "outside"), "map: " + row[-1])
    limits = rows_of("Each limit")
    hold(len(limits) == len(check["limits"]), "another number of limits")
    for row, want in zip(limits, check["limits"]):
        hold(row[1].split()[0].lower() == want["verdict"], "%s: %s" % (row[0], row[1]))
        hold(row[1].endswith("*") != want["on_map"], "%s: star" % row[0])
        scale, shift = {"rpm": (1, 0), "Pa": (1e-3, 0), "K": (1, -273.15), "W": (1e-3, 0), "kg/s": (3600, 0)}[want["unit"]]
        for cell, value in ((row[2], want["value"]), (row[3], want["limit"])):
            decimals = len(cell.split(".")[1]) if "." in cell else 0
            hold(abs(float(cell) - value * scale - shift) <= 0.5001 * 10**-decimals, "%s: %s" % (row[0], cell))
        hold(abs(float(row[5]) - want["margin"]) < 0.0501, "%s: margin %s" % (row[0], row[5]))
        hold(float(row[6]) == round(want["engine_speed_rpm"]), "%s: at %s" % (row[0], row[6]))
    hold(len(points) == 2 * len(check["line"]), "points: %d" % len(points))

for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
