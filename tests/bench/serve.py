"""Times the page of serve: serve.py PROGRAM. From a question to its whole answer over one connection, each with another
blower pulley; and in Chromium from a moved slider to the whole page drawn anew."""
import http.client
import json
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service


def processor_ms(process):
    """What a process has had of a processor so far."""
    fields = open(f"/proc/{process}/stat", encoding="utf-8").read().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK") * 1e3


def told(name, times_ms, bytes_=None, used_ms=0.0):
    ordered = sorted(times_ms)
    size = f", {used_ms / len(ordered):.1f} ms of processor" + ("" if bytes_ is None else f", {bytes_ / 1024:.0f} KiB")
    print(f"{name:24s} {statistics.median(ordered):8.2f} ms, {ordered[int(0.95 * len(ordered))]:.2f} ms in 95 % of {len(ordered)}{size}")


def answers(process, port, base):
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=10)
    for what, body, count in (("solve", lambda v: {"build": 0, "changes": [v]}, 150), ("compare", lambda v: {"builds": [[v], []]}, 40)):
        times = []
        size = 0
        before_ms = processor_ms(process)
        for i in range(count):
            value = {"section": "drive", "key": "blower_pulley", "value": f"{80 + 0.1 * i:.1f} mm"}
            start = time.perf_counter()
            connection.request("POST", base + what, json.dumps(body(value)), {"Content-Type": "application/json"})
            answer = connection.getresponse()
            size = len(answer.read())
            times.append((time.perf_counter() - start) * 1e3)
            if answer.status != 200:
                sys.exit(f"{what} gives {answer.status}")
            time.sleep(0.012)
        told(f"serve, {what}", times, size, processor_ms(process) - before_ms)


# Until the next frame after the page has drawn what it was told.
REDRAW = """
const done = arguments[arguments.length - 1];
const slider = document.querySelector('#c-drive-blower_pulley').parentElement.querySelector('[type=range]');
const main = document.getElementById('main');
const times = [];
function one(n) {
  if (n === 0) { done(times); return; }
  const start = performance.now();
  const watch = new MutationObserver(() => {
    watch.disconnect();
    document.body.getBoundingClientRect();
    times.push(performance.now() - start);
    setTimeout(() => one(n - 1), 30);
  });
  watch.observe(main, { attributes: true, attributeFilter: ['data-drawn'] });
  slider.value = String(80 + 0.5 * (n % 40));
  slider.dispatchEvent(new Event('input'));
}
one(80);
"""


def page_s(driver):
    """What the page's thread has had of a processor: script, style, layout and the rest."""
    metrics = driver.execute_cdp_cmd("Performance.getMetrics", {})["metrics"]
    return next(m["value"] for m in metrics if m["name"] == "TaskDuration")


def redraws(url):
    with tempfile.TemporaryDirectory() as profile:
        options = Options()
        options.binary_location = "/usr/bin/chromium"
        for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--window-size=1280,900",
                     f"--user-data-dir={profile}"):
            options.add_argument(word)
        driver = webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)
        try:
            driver.set_script_timeout(60)
            driver.execute_cdp_cmd("Performance.enable", {"timeDomain": "threadTicks"})
            driver.get(url)
            time.sleep(2)
            before_s = page_s(driver)
            times = driver.execute_async_script(REDRAW)
            told("serve, page redrawn", times, None, (page_s(driver) - before_s) * 1e3)
        finally:
            driver.quit()


server = subprocess.Popen([os.path.abspath(sys.argv[1]), "serve", "maps/estate-roots.ini", "maps/estate-screw.ini"],
                          stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
try:
    url = server.stdout.readline().strip()
    answers(server.pid, int(url.split(":")[2].split("/")[0]), "/" + url.split("/")[3] + "/")
    redraws(url)
finally:
    server.send_signal(signal.SIGINT)
    server.wait(timeout=10)
