#!/usr/bin/python3
"""Drives the page of serve in Chromium: serve_page.py PROGRAM MAPS SHOTS.

What the page shows is held against what the command check says of the same values; pictures of it at desktop and phone
size go to the folder SHOTS, to be looked at. Every wait ends."""
import base64
import json
import os
import pathlib
import shutil
import signal
import subprocess
import sys
import tempfile
import time

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

PROGRAM, MAPS, SHOTS = (os.path.abspath(a) for a in sys.argv[1:4])
passed = failed = 0
WAIT_S = 20


def holds(truth, words):
    global passed, failed
    passed += bool(truth)
    failed += not truth
    if not truth:
        print(f"serve_page.py: {words}")


def until(question, words):
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        try:
            if question():
                return True
        except Exception:  # an element that is being drawn anew
            pass
        time.sleep(0.03)
    holds(False, f"waited in vain: {words}")
    return False


def checked(folder, changes, build="estate-roots.ini"):
    """What the command line says of a build with changed values."""
    text = (folder / build).read_text()
    for key, value in changes.items():
        lines = [f"{key} = {value}" if line.startswith(key + " ") else line for line in text.split("\n")]
        text = "\n".join(lines)
    (folder / "by-hand.ini").write_text(text)
    run = subprocess.run([PROGRAM, "check", "by-hand.ini", "--json", "-"], cwd=folder, capture_output=True, timeout=30)
    return json.loads(run.stdout)


class Page:
    def __init__(self, driver):
        self.driver = driver

    def all(self, css):
        return self.driver.find_elements(By.CSS_SELECTOR, css)

    def one(self, css):
        return self.driver.find_element(By.CSS_SELECTOR, css)

    def drawn(self):
        return int(self.one("#main").get_attribute("data-drawn") or 0)

    def verdicts(self):
        return self.driver.execute_script(
            "return [...document.querySelectorAll('#limits li')].map(l => [l.dataset.name, l.querySelector('.word')."
            "textContent.replace(' *', ''), l.querySelector('.figures b').textContent])")

    def type(self, control, text):
        field = self.one(f"#c-{control}")
        field.send_keys(Keys.CONTROL, "a")
        field.send_keys(text)
        field.send_keys(Keys.ENTER)
        return field

    def shot(self, name, width, height, whole=True):
        metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500}
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
        time.sleep(0.4)
        data = self.driver.execute_cdp_cmd("Page.captureScreenshot", {"format": "png", "captureBeyondViewport": whole})
        (pathlib.Path(SHOTS) / (name + ".png")).write_bytes(base64.b64decode(data["data"]))

    def fits(self, words):
        wide = self.driver.execute_script("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
        holds(wide <= 0, f"{words}: the page is {wide} px wider than the screen")

    def console(self):
        return [entry for entry in self.driver.get_log("browser") if entry["level"] in ("SEVERE", "WARNING")]


def said(result):
    """Verdict words of check's JSON as the page writes them."""
    return [(l["name"], l["verdict"].upper()) for l in result["limits"]]


def shows(page, result):
    return [(v[0], v[1]) for v in page.verdicts()] == said(result)


def value_close(page, result, name, scale, shift=0.0, slack=0.06):
    shown = {v[0]: float(v[2]) for v in page.verdicts()}
    true = {l["name"]: l["value"] for l in result["limits"]}
    return abs(shown[name] - (true[name] * scale + shift)) <= slack


def run(page, folder, url, downloads, again):
    driver = page.driver
    driver.get(url)
    if not until(lambda: page.drawn() >= 1, "the first picture"):
        return
    plain = checked(folder, {})
    holds(shows(page, plain), "the verdicts are not those of check")
    holds(value_close(page, plain, "boost", 1e-3), "the boost is not that of check")
    holds(len(page.all("#curves svg")) == 6 and len(page.all("#map svg")) == 1, "a map and six panels of curves")
    holds(page.one("#caution").text.startswith("These are estimates"), "the caution is missing")
    page.shot("desktop", 1280, 900)

    # A smaller pulley, typed.
    page.type("drive-blower_pulley", "84")
    small = checked(folder, {"blower_pulley": "84 mm"})
    until(lambda: shows(page, small), "verdicts of an 84 mm pulley")
    holds(value_close(page, small, "boost", 1e-3), "the boost of an 84 mm pulley is not that of check")
    holds("EXCEEDED" in page.one("#worst").text and "exceeded" in page.one("#tell").get_attribute("class"),
          "the summary does not say what is exceeded")
    holds(page.one("#c-drive-blower_pulley").find_element(By.XPATH, "..").get_attribute("class") == "control changed",
          "a changed control is not marked")
    until(lambda: "1 of 8 limits exceeded" in page.one("#live").get_attribute("textContent"), "what a screen reader is told")
    page.shot("desktop-changed", 1280, 900)
    # With its own unit, by the same reader.
    page.type("drive-blower_pulley", "3.5 in")
    inch = checked(folder, {"blower_pulley": "3.5 in"})
    until(lambda: shows(page, inch) and value_close(page, inch, "boost", 1e-3), "a pulley in inches")
    # By the slider with the keyboard alone.
    page.type("drive-blower_pulley", "90")
    slider = page.one("#c-drive-blower_pulley").find_element(By.XPATH, "../input[@type='range']")
    for _ in range(4):
        slider.send_keys(Keys.ARROW_LEFT)
    size = page.one("#c-drive-blower_pulley").get_attribute("value")
    holds(float(size) < 90, f"the slider did not move the size: {size}")
    slid = checked(folder, {"blower_pulley": f"{size} mm"})
    until(lambda: value_close(page, slid, "boost", 1e-3), "the slider's pulley")
    field = page.one("#c-site-temperature")
    field.send_keys(Keys.ARROW_UP)
    holds(float(field.get_attribute("value")) > 25, "the arrow key did not raise the temperature")
    warm = checked(folder, {"blower_pulley": f"{size} mm", "temperature": f"{field.get_attribute('value')} degC"})
    warm_c = field.get_attribute("value")
    until(lambda: shows(page, warm) and value_close(page, warm, "charge_temperature", 1, -273.15) and value_close(page, warm, "boost", 1e-3, slack=0.051),
          "the warmer day")
    time.sleep(0.5)
    told = page.console()
    holds(told == [], f"the console tells of errors: {told}")

    # A value that is not accepted: the reader's own words beside it, and the earlier picture marked as that.
    before = page.verdicts()
    field = page.type("drive-blower_pulley", "84 kg")
    until(lambda: "read the unit `kg`" in page.one("#c-drive-blower_pulley-told").text, "the reader's words")
    holds(page.one("#stale").is_displayed() and "earlier values" in page.one("#stale").text, "the picture is not marked as earlier")
    holds(page.verdicts() == before and "old" in page.one("#one").get_attribute("class"), "the earlier verdicts are gone")
    holds(field.get_attribute("aria-invalid") == "true", "the field is not marked as wrong")
    page.shot("desktop-refused", 1280, 900, whole=False)
    holds(page.driver.execute_script("return getComputedStyle(document.getElementById('tell')).opacity") == "1" and
          page.driver.execute_script("return getComputedStyle(document.getElementById('result'), '::before').content").startswith('"Of the earlier'),
          "the summary is seen through, or not marked as earlier")
    # Cleared, the field has again what was taken last; a refused value does not move the slider.
    page.type("drive-blower_pulley", Keys.DELETE)
    until(lambda: not page.one("#stale").is_displayed(), "the value that was taken last")
    holds(page.one("#c-drive-blower_pulley").get_attribute("value") == size, "a cleared field has another value than was taken last")
    page.type("drive-blower_pulley", "2000 mm")
    until(lambda: page.one("#stale").is_displayed(), "a pulley of 2 m")
    slider = page.one("#c-drive-blower_pulley").find_element(By.XPATH, "../input[@type='range']")
    holds(abs(float(slider.get_attribute("value")) - float(size)) < 0.1, "a refused value has moved the slider")
    page.type("site-temperature", "40 degC")
    field = page.one("#c-site-temperature")
    holds(page.driver.execute_script("return arguments[0].scrollWidth <= arguments[0].clientWidth", field), "40 degC is cut off in its field")
    page.type("site-temperature", warm_c)
    holds(all("422" in entry["message"] for entry in page.console()), "the console tells of more than the refusals")
    page.type("drive-blower_pulley", "84")
    until(lambda: not page.one("#stale").is_displayed(), "the mark goes")

    # What is saved gives the same numbers on the command line.
    page.one("#save").click()
    saved = downloads / "estate-roots-changed.ini"
    if until(saved.exists, "the saved build file"):
        shutil.copy(saved, folder / saved.name)
        run_ = subprocess.run([PROGRAM, "check", saved.name, "--json", "-"], cwd=folder, capture_output=True, timeout=30)
        kept = json.loads(run_.stdout)
        until(lambda: shows(page, kept) and value_close(page, kept, "discharge_temperature", 1, -273.15), "the saved build's verdicts")
        head = saved.read_text().split("\n")[:4]
        holds(any("blower_pulley = 84 mm, was 92 mm" in line for line in head), f"the head does not tell the change: {head}")

    # Loaded again, the changes are still there.
    drawn = page.one("#c-drive-blower_pulley")
    driver.refresh()
    until(lambda: page.drawn() >= 1 and page.one("#c-drive-blower_pulley") != drawn, "the page again")
    holds(page.one("#c-drive-blower_pulley").get_attribute("value") == "84", "the changes are gone with the page")
    until(lambda: "EXCEEDED" in page.one("#worst").text, "the verdicts again")

    # Another donor, and both.
    page.all("#donors label")[1].click()
    screw = checked(folder, {"temperature": f"{page.one('#c-site-temperature').get_attribute('value')} degC"}, "estate-screw.ini")
    until(lambda: page.one("#name").text.startswith("Estate car, 4.4 L V8, screw") and shows(page, screw), "the other donor")
    page.shot("desktop-screw", 1280, 900)
    page.all("#donors label")[2].click()
    until(lambda: page.one("#main").get_attribute("data-compared"), "the comparison")
    holds(len(page.all("#several-maps svg")) == 2, "two maps side by side")
    holds(len(page.all("#several-limits tbody tr")) >= 8, "limits of both")
    page.shot("desktop-compare", 1280, 900)
    count = page.one("#main").get_attribute("data-compared")
    page.one("#same-boost").send_keys("60 kPa")
    until(lambda: page.one("#several-values tbody tr").text.count("60.0") == 2, "both at the same boost")
    holds(int(page.one("#main").get_attribute("data-compared")) > int(count), "the comparison did not follow")
    # The control of the pulley steps back behind the solved one, which can be taken over.
    until(lambda: page.all("#solved-told"), "the solved pulley")
    solved = page.one("#solved-told").text
    holds("solved for 60 kPa" in solved and " mm" in solved, f"the solved pulley is told as {solved}")
    holds(not page.one("#c-drive-blower_pulley").is_enabled(), "the pulley's control is not held")
    holds(len(page.all("#several-curves .limit-name")) > 2 and "70" in " ".join(n.text for n in page.all("#several-curves .limit-name")),
          "limits without their number")
    page.shot("phone-compare", 360, 740)
    page.fits("the comparison on a phone")
    count = page.one("#main").get_attribute("data-compared")
    page.one("#take-over").click()
    until(lambda: page.one("#main").get_attribute("data-compared") != count and not page.all("#solved-told"), "the pulley taken over")
    holds(page.one("#same-boost").get_attribute("value") == "", "the wish stays when the pulleys are taken over")
    holds(page.one("#c-drive-blower_pulley").is_enabled() and page.one("#c-drive-blower_pulley").get_attribute("value") in solved,
          "the solved pulley is not in its control")
    until(lambda: page.one("#several-values tbody tr").text.count("60.0") == 2, "the same boost with the pulleys taken over")

    # US units, a phone, a dark screen.
    page.all("#donors label")[0].click()
    page.all("#units label")[1].click()
    until(lambda: "psi" in page.one("#limits").text, "US units")
    page.shot("phone-us", 360, 740)
    page.fits("a phone")
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": "dark"}]})
    page.all("#units label")[0].click()
    until(lambda: "kPa" in page.one("#limits").text, "SI units")
    page.shot("phone-dark", 360, 740, whole=False)
    page.shot("desktop-dark", 1280, 900)
    page.fits("a desktop")

    # Everything by keyboard: each control is reached by Tab, in the order of the page.
    driver.execute_script("document.activeElement.blur(); window.scrollTo(0, 0)")
    reached = set()
    for _ in range(60):
        ActionChains(driver).send_keys(Keys.TAB).perform()
        reached.add(driver.execute_script("return document.activeElement.id"))
    wanted = {e.get_attribute("id") for e in page.all("#controls input[type=text]")}
    holds(wanted <= reached, f"not reached by Tab: {wanted - reached}")
    unnamed = driver.execute_script(
        "return [...document.querySelectorAll('input')].filter(i => !i.labels.length && !i.getAttribute('aria-label')).length")
    holds(unnamed == 0, f"{unnamed} inputs have no name")
    # The program is started anew on its port: the page says so, and the old address gives words.
    again()
    page.type("drive-blower_pulley", "86")
    until(lambda: "of an earlier run" in page.one("#stale").text, "that the address is of an earlier run")
    driver.get(url)
    holds("of an earlier run, or mistyped" in page.one("body").text, "the page of an old address")
    page.console()
    noisy = [entry for entry in page.console() if "422" not in entry["message"]]
    holds(noisy == [], f"the console tells of errors: {noisy}")


def too_long(number, frame):
    raise TimeoutError("the whole of it took too long")


def main():
    signal.signal(signal.SIGALRM, too_long)
    signal.alarm(180)
    os.makedirs(SHOTS, exist_ok=True)
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name) / "builds"
        downloads = pathlib.Path(name) / "saved"
        folder.mkdir()
        downloads.mkdir()
        for file in ("estate-roots.ini", "estate-screw.ini", "roots-185.ini", "roots-185.csv", "screw-120.ini", "screw-120.csv"):
            shutil.copy(os.path.join(MAPS, file), folder)
        server = subprocess.Popen([PROGRAM, "serve", "estate-roots.ini", "estate-screw.ini"], cwd=folder,
                                  stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        options = Options()
        options.binary_location = "/usr/bin/chromium"
        for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--window-size=1280,900",
                     f"--user-data-dir={name}/profile"):
            options.add_argument(word)
        options.add_experimental_option("prefs", {"download.default_directory": str(downloads)})
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        driver = None
        try:
            url = server.stdout.readline().strip()
            driver = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)
            driver.set_page_load_timeout(WAIT_S)
            driver.set_script_timeout(WAIT_S)
            
            def again():
                nonlocal server
                server.send_signal(signal.SIGINT)
                server.wait(timeout=10)
                server = subprocess.Popen([PROGRAM, "serve", "estate-roots.ini", "--port", url.split(":")[2].split("/")[0]], cwd=folder,
                                          stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
                server.stdout.readline()

            run(Page(driver), folder, url, downloads, again)
            # Two builds of one name and one unit are told apart by their files.
            shutil.copy(folder / "estate-roots.ini", folder / "other.ini")
            twins = subprocess.Popen([PROGRAM, "serve", "estate-roots.ini", "other.ini"], cwd=folder, stdout=subprocess.PIPE,
                                     stderr=subprocess.DEVNULL, text=True)
            try:
                page = Page(driver)
                driver.get(twins.stdout.readline().strip())
                until(lambda: page.drawn() >= 1, "the twins")
                labels = [label.text for label in page.all("#donors label")]
                holds(labels[0].endswith("(estate-roots.ini)") and labels[1].endswith("(other.ini)"), f"labels of twins: {labels}")
                driver.execute_script("document.getElementById('all-builds').click()")
                page.type("site-temperature", "35")
                page.all("#donors label")[2].click()
                until(lambda: "35.0 degC" in page.one("#several-differ").text, "what differs")
                holds("[site] temperature" in page.one("#several-differ").text and "site 35.0 degC" in page.one("#letters").text,
                      "the sites of the twins")
                page.shot("desktop-twins", 1280, 900)
            finally:
                twins.send_signal(signal.SIGINT)
                twins.wait(timeout=10)
        finally:
            if driver is not None:
                driver.quit()
            server.send_signal(signal.SIGINT)
            try:
                holds(server.wait(timeout=10) == 0, "the server did not end with 0")
            except subprocess.TimeoutExpired:
                server.kill()
                holds(False, "the server did not end")
    print(f"{passed} passed, {failed} failed")
    return failed != 0


sys.exit(main())
