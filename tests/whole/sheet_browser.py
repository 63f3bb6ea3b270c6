"""Opens sheets in Chromium, without a network: sheet_browser.py FOLDER ONE.html TWO.html FULL.html OUTSIDE.html."""
import base64
import os
import re
import subprocess
import sys

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

folder, names = os.path.abspath(sys.argv[1]), sys.argv[2:]
faults = []


def hold(truth, words):
    if not truth:
        faults.append(words)


options = Options()
for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars",
             "--disable-background-networking", "--no-first-run", "--user-data-dir=" + os.path.join(folder, "profile")):
    options.add_argument(word)
options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
driver = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)


def view(width, height, dark=False, scripts=True):
    cdp = driver.execute_cdp_cmd
    cdp("Emulation.setDeviceMetricsOverride", {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False})
    scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
    cdp("Emulation.setEmulatedMedia", {"features": [scheme]})
    cdp("Emulation.setScriptExecutionDisabled", {"value": not scripts})


def load(name):
    """What the browser did before is its own."""
    driver.get("about:blank")
    driver.get_log("performance")
    driver.get("file://" + os.path.join(folder, name))
    for entry in driver.get_log("browser"):
        faults.append("%s: the browser says %s" % (name, entry["message"]))
    for entry in driver.get_log("performance"):
        hold('"url":"http' not in entry["message"], "%s: asks the network for something" % name)


# Of each text the contrast with the ground it stands on, as the browser paints it. Source: see sheet_page.py.
CONTRAST = """
function parts(c) { var m = c.match(/[0-9.]+/g).map(Number); return m.length > 3 ? m : m.concat([1]); }
function light(c) { var v = c.slice(0, 3).map(function (x) { x /= 255;
  return x <= 0.04045 ? x / 12.92 : Math.pow((x + 0.055) / 1.055, 2.4); });
  return 0.2126 * v[0] + 0.7152 * v[1] + 0.0722 * v[2]; }
var low = 99, where = '', seen = 0;
var walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walk.nextNode()) {
  var e = walk.currentNode.parentElement;
  if (!walk.currentNode.data.trim() || e.closest('svg,script,style,.skip,[hidden]')) { continue; }
  var ground = e;
  while (ground && parts(getComputedStyle(ground).backgroundColor)[3] === 0) { ground = ground.parentElement; }
  var a = light(parts(getComputedStyle(e).color)), b = light(parts(getComputedStyle(ground).backgroundColor));
  var ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  seen++;
  if (ratio < low) { low = ratio; where = walk.currentNode.data.trim().slice(0, 40); }
}
return [low, where, seen];
"""

OUTSIDE = """
var wide = document.documentElement.clientWidth, out = [];
document.querySelectorAll('body *').forEach(function (e) {
  var b = e.getBoundingClientRect();
  if (b.width > 0 && b.right > wide + 0.5 && !e.closest('.wide') && !e.closest('svg') && !e.classList.contains('skip')) {
    out.push(e.tagName + '.' + e.className);
  }
});
return out.slice(0, 5);
"""


def see_layout(name):
    view(1280, 900)
    load(name)
    for width, dark in ((360, False), (360, True), (1280, True), (1280, False)):
        view(width, 900, dark)
        across = driver.execute_script("return document.documentElement.scrollWidth")
        hold(across <= width, "%s: %d px across in a window of %d" % (name, across, width))
        hold(driver.execute_script(OUTSIDE) == [], "%s at %d: beyond the edge: %s" % (name, width, driver.execute_script(OUTSIDE)))
        low, where, seen = driver.execute_script(CONTRAST)
        hold(low >= 4.5 and seen > 200, "%s at %d%s: contrast %.2f at `%s`, %d texts" % (name, width, " dark" if dark else "", low, where, seen))
        shown = driver.execute_script("return [...document.querySelectorAll('.plot')].filter(e => e.offsetWidth > 0).map(e => e.className)")
        want = "plot narrow" if width == 360 else "plot broad"
        hold(shown != [] and set(shown) == {want}, "%s at %d: %s" % (name, width, shown))


def see_print(name, pages_most):
    pdf = driver.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True, "printBackground": True})
    path = os.path.join(folder, name.replace(".html", ".pdf"))
    with open(path, "wb") as out:
        out.write(base64.b64decode(pdf["data"]))
    info = dict(l.split(":", 1) for l in subprocess.run(["pdfinfo", path], capture_output=True, text=True).stdout.splitlines())
    hold(2 <= int(info["Pages"]) <= pages_most, "%s: prints on %s pages" % (name, info["Pages"].strip()))
    hold("(A4)" in info["Page size"], "%s: prints on %s" % (name, info["Page size"]))
    words = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True).stdout
    for page in words.split("\f"):
        # The head is repeated on a second page, the caption is not.
        broken = re.search(r"^ *[0-9]+ highest", page, flags=re.M) and "Estimated power; " not in page
        hold(not broken, "%s: the short table of power breaks over two pages" % name)
    for needed in ("Verdicts", "Caution", "Colophon", "SHA-256", "Operating line"):
        hold(needed in words, "%s: no %s in print" % (name, needed))


def tip():
    e = driver.find_element(By.ID, "tip")
    return e.text if e.is_displayed() else None


def see_tip(name):
    points = driver.find_elements(By.CSS_SELECTOR, ".plot.broad circle[data-set='0']")
    hold(tip() is None, name + ": a tip stands there unasked")
    labels = [p.get_attribute("aria-label") for p in points]
    at = points[len(points) // 2]
    driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", at)
    ActionChains(driver).move_to_element(at).perform()
    hold((tip() or "").replace("\n", "; ") == labels[len(points) // 2], "%s: on hover: %r" % (name, tip()))
    box = driver.execute_script("var b = document.getElementById('tip').getBoundingClientRect(); return [b.left, b.top, b.right, b.bottom]")
    hold(box[0] >= 0 and box[1] >= 0 and box[2] <= 1280 and box[3] <= 900, "%s: the tip stands at %s" % (name, box))
    ActionChains(driver).send_keys(Keys.ESCAPE).perform()
    hold(tip() is None, name + ": Escape leaves the tip there")
    # Away from the line, where a page that scrolls under the pointer would bring it over a point again.
    ActionChains(driver).move_to_element(driver.find_element(By.TAG_NAME, "h1")).perform()
    # By keyboard: one stop of Tab, then along the line with the arrows.
    tabs = driver.execute_script("return document.querySelectorAll('.plot.broad circle[data-set=\"0\"][tabindex=\"0\"]').length")
    hold(tabs == 1, "%s: %d stops of Tab on one line" % (name, tabs))
    driver.execute_script("document.querySelector('.wide').focus()")
    for _ in range(6):
        ActionChains(driver).send_keys(Keys.TAB).perform()
        if driver.switch_to.active_element.tag_name == "circle":
            break
    hold(driver.switch_to.active_element.get_attribute("aria-label") == labels[0], name + ": Tab does not reach the line")
    hold((tip() or "").replace("\n", "; ") == labels[0], "%s: on focus: %r" % (name, tip()))
    for key, want in ((Keys.ARROW_RIGHT, 1), (Keys.ARROW_RIGHT, 2), (Keys.ARROW_LEFT, 1), (Keys.END, -1), (Keys.HOME, 0)):
        ActionChains(driver).send_keys(key).perform()
        hold((tip() or "").replace("\n", "; ") == labels[want], "%s: after a key: %r" % (name, tip()))
    ring = driver.execute_script("return getComputedStyle(document.activeElement).strokeWidth")
    hold(float(ring.replace("px", "")) >= 2, "%s: a point in focus is drawn %s wide" % (name, ring))


def see_bands():
    name = "the curves"
    band = driver.find_elements(By.CSS_SELECTOR, ".plot.broad rect[data-row='3']")[0]
    driver.execute_script("arguments[0].scrollIntoView({block: 'center'})", band)
    ActionChains(driver).move_to_element(band).perform()
    label = driver.find_element(By.CSS_SELECTOR, ".plot.broad circle[data-row='3']").get_attribute("aria-label")
    hold((tip() or "").replace("\n", "; ") == label, "%s: over the curves: %r" % (name, tip()))


def see_without_scripts(name):
    view(1280, 900)
    load(name)
    whole = driver.find_element(By.TAG_NAME, "main").text
    view(1280, 900, scripts=False)
    driver.get("file://" + os.path.join(folder, name))
    hold(driver.find_element(By.TAG_NAME, "main").text == whole, name + ": other words without scripts")
    view(1280, 900)


try:
    for name in names:
        see_layout(name)
        if name == names[-1]:
            continue  # the last one's names are what matters: no script of theirs has run, nothing stands out
        see_print(name, 5 if name == names[2] else 4)
        if name == names[0]:
            see_tip(name)
            see_bands()
    see_without_scripts(names[0])
finally:
    driver.quit()
for fault in faults:
    print(fault)
sys.exit(1 if faults else 0)
