"""Times tracing ten curves off a scan of 4000 by 3000 pixels: trace.py PROGRAM. The demo's picture, enlarged.

Prints name<TAB>value<TAB>unit."""
import os
import re
import resource
import subprocess
import sys
import tempfile
import time

from PIL import Image

folder = tempfile.mkdtemp()
scale = 4000 / 1240
image = Image.open("maps/roots-185-scan.png").convert("RGB").resize((4000, round(880 * scale)), Image.BICUBIC)
page = Image.new("RGB", (4000, 3000), image.getpixel((5, 5)))
page.paste(image, (0, 0))
page.save(f"{folder}/scan.png")


def move(m):
    return f"({(float(m[1]) + 0.5) * scale - 0.5:.2f}, {(float(m[2]) + 0.5) * scale - 0.5:.2f})"


text = re.sub(r"\(([\d.]+), ([\d.]+)\)", move, open("maps/roots-185-traced.ini", encoding="utf-8").read())
head, *sections = text.replace("roots-185-scan.png", "scan.png").split("[trace ")
wanted = ("5000]", "8000]", "11000]", "14000]", "55 l", "60 l", "65 l", "70]", "72]", "74]")
with open(f"{folder}/unit.ini", "w", encoding="utf-8") as f:
    f.write(head + "".join("[trace " + s for s in sections if s.startswith(wanted)))
start = time.time()
done = subprocess.run([os.path.abspath(sys.argv[1]), "trace", f"{folder}/unit.ini", "--csv", f"{folder}/map.csv"],
                      capture_output=True, text=True)
took = time.time() - start
used = resource.getrusage(resource.RUSAGE_CHILDREN)
if done.returncode != 0:
    sys.stderr.write(done.stderr)
print(f"trace_s\t{took:.4g}\ts\ntrace_busy_s\t{used.ru_utime + used.ru_stime:.4g}\ts\n"
      f"trace_mb\t{used.ru_maxrss / 1024:.4g}\tMB")
subprocess.run(["rm", "-rf", folder], check=True)
sys.exit(done.returncode)
