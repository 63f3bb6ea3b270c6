#!/usr/bin/python3
"""Tells what share of each reader's lines the targets reach: coverage.py TARGET.json...  (llvm-cov export)"""
import json
import os
import sys


def main():
    best = {}
    for path in sys.argv[1:]:
        target = os.path.basename(path)[:-5]
        with open(path, encoding="utf-8") as file:
            files = json.load(file)["data"][0]["files"]
        reached = total = 0
        for entry in files:
            name = entry["filename"].split("/src/")[-1]
            lines = entry["summary"]["lines"]
            if "/src/" not in entry["filename"] or lines["covered"] == 0:
                continue
            reached += lines["covered"]
            total += lines["count"]
            share = (lines["covered"], lines["count"], target)
            best[name] = max(best.get(name, share), share)
        print("%-12s %5.1f %% of the lines of the files it touches, %d of %d" % (target, 100 * reached / total, reached, total))
    print()
    for name in sorted(best):
        covered, count, target = best[name]
        if name.startswith(("base/", "files/", "scan/")):
            print("%5.1f %%  %4d of %4d  %s (%s)" % (100 * covered / count, covered, count, name, target))


main()
