#!/usr/bin/python3
"""Asks the server of serve what it must and must not answer: serve.py PROGRAM MAPS. Every wait ends."""
import concurrent.futures
import http.client
import json
import os
import pathlib
import resource
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time

import jsonschema

PROGRAM, MAPS = (os.path.abspath(a) for a in sys.argv[1:3])
DOCS = pathlib.Path(__file__).resolve().parent.parent.parent / "docs" / "schema"
passed = failed = 0


def holds(truth, words):
    global passed, failed
    passed += bool(truth)
    failed += not truth
    if not truth:
        print(f"serve.py: {words}")


class Server:
    def __init__(self, folder, *arguments, start=None):
        self.process = subprocess.Popen([PROGRAM, "serve", *arguments], cwd=folder, stdout=subprocess.PIPE,
                                        stderr=subprocess.PIPE, text=True, preexec_fn=start)
        self.url = self.process.stdout.readline().strip()
        self.port = int(self.url.split(":")[2].split("/")[0]) if self.url else 0
        self.base = "/" + self.url.split("/")[3] + "/" if self.url else ""

    def ask(self, name, body=None, method=None, headers=None, path=None, chunked=False):
        """Status, headers and body of one request."""
        for turn in range(3):
            connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=10)
            try:
                said = {"Content-Type": "application/json"} if body is not None else {}
                said.update(headers or {})
                data = body if body is None or isinstance(body, (bytes, str)) or chunked else json.dumps(body)
                connection.request(method or ("GET" if body is None else "POST"), path or self.base + name, data, said,
                                   encode_chunked=chunked)
                answer = connection.getresponse()
                if answer.status != 429:
                    return answer.status, dict(answer.getheaders()), answer.read()
                time.sleep(1)
            finally:
                connection.close()
        return answer.status, {}, b""

    def raw(self, data, wait_s=10):
        """What comes back for these very bytes."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=wait_s) as s:
            s.sendall(data)
            got = b""
            try:
                while chunk := s.recv(65536):
                    got += chunk
                    if b"\r\n\r\n" in got:
                        break
            except (TimeoutError, ConnectionError):
                pass
            return got

    def stop(self, number=signal.SIGINT):
        self.process.send_signal(number)
        try:
            out, err = self.process.communicate(timeout=10)
            return self.process.returncode, out, err
        except subprocess.TimeoutExpired:
            self.process.kill()
            return None, "", ""


def change(section, key, value):
    return {"section": section, "key": key, "value": value}


def error_of(body):
    return json.loads(body)["error"]


def who_may_ask(s):
    status, headers, body = s.ask("")
    holds(status == 200 and b"<!doctype html>" in body and headers["Content-Type"].startswith("text/html"), "the page")
    policy = headers.get("Content-Security-Policy", "")
    holds("default-src 'none'" in policy and "unsafe" not in policy, f"the policy is {policy}")
    wanted = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store", "Referrer-Policy": "no-referrer",
              "X-Frame-Options": "DENY"}
    holds(all(headers.get(k) == v for k, v in wanted.items()), f"headers are {headers}")
    for name in ("page.css", "page.js", "chart.js", "about"):
        holds(s.ask(name)[0] == 200, f"{name} is not served")
    token = s.base.strip("/")
    holds(len(token) == 32 and all(c in "0123456789abcdef" for c in token), "the token is not 128 bits")
    wrong = ("1" if token[0] == "0" else "0") + token[1:]
    for path in ("/", "/page.js", f"/{wrong}/", f"/{wrong}/about", f"/{token}", f"/{token[:-1]}/about", f"/{token.upper()}x/",
                 f"/{token}/../../etc/passwd", f"/{token}/%2e%2e/%2e%2e/etc/passwd", f"/{token}//etc/passwd",
                 f"/{token}/roots-185.ini", f"/{token}/about/", f"/{token}/about%00", "/" + "a" * 5000):
        status, _, body = s.ask("", path=path)
        holds(status in (404, 400) and b"root:" not in body, f"{path[:60]} gives {status}")
    pages = [s.ask("", path=path, headers={"Accept": "text/html,*/*;q=0.8"})
             for path in ("/", f"/{wrong}/", f"/{wrong}/about", f"/{token}/no", "/" + "a" * 300)]
    holds(all(p[0] == 404 and p[1]["Content-Type"].startswith("text/html") and b"of an earlier run, or mistyped" in p[2] for p in pages),
          "a browser with a wrong address gets no page that says so")
    holds(len({p[2] for p in pages}) == 1 and token.encode() not in pages[0][2], "the page of a wrong address tells more than one thing")
    good = f"127.0.0.1:{s.port}"
    for host, status in ((good, 200), (f"localhost:{s.port}", 200), (f"LOCALHOST:{s.port}", 200), ("127.0.0.1", 403),
                         ("evil.example", 403), (f"evil.example:{s.port}", 403), (f"127.0.0.1:{s.port + 1}", 403),
                         (f"127.0.0.1.evil.example:{s.port}", 403), ("", 403)):
        holds(s.ask("about", headers={"Host": host})[0] == status, f"Host {host!r} is not met with {status}")
    for origin, status in ((f"http://{good}", 200), (f"http://localhost:{s.port}", 200), ("null", 403),
                           ("https://" + good, 403), ("http://evil.example", 403), (f"http://{good}.evil.example", 403)):
        holds(s.ask("about", headers={"Origin": origin})[0] == status, f"Origin {origin} is not met with {status}")
        holds(s.ask("solve", {"build": 0}, headers={"Origin": origin})[0] == status, f"Origin {origin} at a question")
    line = f"GET {s.base}about HTTP/1.1\r\n".encode()
    host = f"Host: {good}\r\n".encode()
    holds(b" 200 " in s.raw(line + host + b"\r\n"), "a plain request")
    holds(b" 200 " not in s.raw(line + b"\r\n"), "no Host at all")
    holds(b" 200 " not in s.raw(line + host + b"Host: evil.example\r\n\r\n"), "two Hosts")
    holds(b" 200 " not in s.raw(b"GARBAGE\r\n\r\n"), "no request at all")


def methods_and_bodies(s):
    for name, method in (("", "POST"), ("about", "POST"), ("solve", "GET"), ("compare", "GET"), ("build-file", "GET"),
                         ("about", "HEAD"), ("about", "PUT"), ("about", "DELETE"), ("about", "OPTIONS"), ("about", "TRACE")):
        status, headers, _ = s.ask(name, method=method, body=b"{}" if method in ("POST", "PUT") else None)
        holds(status == 405 and headers.get("Allow") in ("GET", "POST"), f"{method} of {name!r} gives {status}")
    holds(s.ask("solve", {"build": 0}, headers={"Content-Type": "text/plain"})[0] == 415, "a form's kind of body")
    holds(s.ask("solve", b" " * (64 * 1024 + 1))[0] == 413, "a body too large")
    holds(s.ask("solve", b'{"build":0}' + b" " * (64 * 1024 - 11))[0] == 200, "a body just small enough")
    holds(s.ask("solve", iter([b" " * 40000, b" " * 40000]), chunked=True)[0] == 413, "a body in pieces, too large")
    holds(s.ask("solve", iter([b'{"build"', b":0}"]), chunked=True)[0] == 200, "a body in pieces")
    head = f"POST {s.base}solve HTTP/1.1\r\nHost: 127.0.0.1:{s.port}\r\nContent-Type: application/json\r\nContent-Length: "
    holds(b" 413 " in s.raw((head + "99999999999999\r\n\r\n").encode()), "a body that is said to be too large")
    for length in ("-1", "x"):
        holds(b" 200 " not in s.raw((head + length + "\r\n\r\n").encode()), f"a length of {length}")
    bad = ["", "{", "[]", "7", "null", '{"build":0', '{"build":0} x', '{"build":0,"build":0}', '{"build":"0"}', '{"build":-1}',
           '{"build":2}', '{"build":0.5}', '{"build":1e9}', '{}', '{"build":0,"what":1}', '{"build":0,"units":"x"}',
           '{"build":0,"changes":{}}', '{"build":0,"changes":[1]}', '{"build":0,"changes":[{"section":"drive"}]}',
           '{"build":0,"changes":[{"section":"drive","key":"slip","value":7}]}', '{"build":0,"changes":"' + "x" * 1000 + '"}',
           '{"build":0,"changes":' + "[" * 3000 + "]" * 3000 + "}", '{"build":0,"changes":[' + ",".join(["{}"] * 30) + "]}",
           '{"build":0,"units":"\\ud800"}', b'{"build":0,"units":"\xff"}', '{"build":0,"changes":[{"section":"a\\u0000b"}]}']
    for body in bad:
        status, _, told = s.ask("solve", body)
        holds(status == 400 and error_of(told), f"{body[:50]} gives {status}")
    twice = [change("drive", "blower_pulley", "84 mm")] * 2
    holds(s.ask("solve", {"build": 0, "changes": twice})[0] == 400, "a value changed twice")
    for body in ({"builds": [[]]}, {"builds": [[], [], []]}, {}, {"builds": [[], 7]}):
        holds(s.ask("compare", body)[0] == 400, f"compare {body}")


def no_file_through_it(s):
    for section, key in (("blower", "unit"), ("engine", "volumetric_efficiency"), ("map", "table"), ("scan", "image"),
                         ("build", "name"), ("engine", "friction"), ("cooler", "effectiveness_over_flow"), ("fuel", "pump_flow"),
                         ("../../etc", "passwd"), ("drive]\n[blower", "unit"), ("", "")):
        status, _, told = s.ask("solve", {"build": 0, "changes": [change(section, key, "/etc/passwd")]})
        holds(status == 422 and b"root:" not in told and "not among" in error_of(told), f"[{section}] {key} gives {status}")
    for value in ("84 mm\nunit = /etc/passwd", "84 mm\r\n[blower]\nunit = x", "84 mm ; x", "84 mm # x", '"84 mm"', "84\t mm",
                  "8" * 121, "/etc/passwd", "../roots-185.csv", "84", "84 kg", "5 mm", "", "nan mm", "inf mm", "84 mm 85 mm"):
        status, _, told = s.ask("solve", {"build": 0, "changes": [change("drive", "blower_pulley", value)]})
        answer = json.loads(told)
        holds(status == 422 and b"root:" not in told, f"the value {value[:20]!r} gives {status}")
        found = [(f["section"], f["key"]) for f in answer["findings"]]
        holds(found == [("drive", "blower_pulley")], f"the value {value[:20]!r} is found at {found}")
    status, _, told = s.ask("solve", {"build": 0, "changes": [change("drive", "blower_pulley", "600 mm")]})
    holds(status == 422 and "cannot supply the air" in error_of(told), "a pulley with which nothing balances")


def words_of_the_reader(s, folder):
    """The messages are those of the command line."""
    text = (folder / "estate-roots.ini").read_text().replace("blower_pulley = 92 mm", "blower_pulley = 84 kg")
    (folder / "bad.ini").write_text(text)
    run = subprocess.run([PROGRAM, "check", "bad.ini"], cwd=folder, capture_output=True, text=True, timeout=30)
    told = json.loads(s.ask("solve", {"build": 0, "changes": [change("drive", "blower_pulley", "84 kg")]})[2])
    holds(told["error"] in run.stderr, "the message is not the command line's")


def same_numbers(s, folder):
    """What is served and what is saved is what the command line computes, to the last digit."""
    schemas = [json.loads((DOCS / f"{name}.json").read_text()) for name in ("serve", "check")]
    sets = [(0, []), (0, [change("drive", "blower_pulley", "84 mm")]), (0, [change("drive", "crank_pulley", "6.5 in")]),
            (1, [change("engine", "volumetric_efficiency_factor", "1.05"), change("site", "temperature", "40 degC")]),
            (0, [change("site", "altitude", "1500 m"), change("cooler", "coolant_temperature", "140 degF"),
                 change("intake", "throttle_bore", "70 mm"), change("engine", "speed_limit", "6900 rpm"),
                 change("site", "relative_humidity", "90 %"), change("cooler", "effectiveness", "0.6")])]
    for build, changes in sets:
        status, headers, saved = s.ask("build-file", {"build": build, "changes": changes})
        name = ("estate-roots", "estate-screw")[build] + "-changed.ini"
        holds(status == 200 and headers.get("Content-Disposition") == f'attachment; filename="{name}"', f"saved as {headers}")
        (folder / name).write_bytes(saved)
        run = subprocess.run([PROGRAM, "check", name, "--json", "-"], cwd=folder, capture_output=True, timeout=30)
        served = s.ask("solve", {"build": build, "changes": changes})[2]
        jsonschema.validate(json.loads(served), schemas[0])
        jsonschema.validate(json.loads(served)["check"], schemas[1])
        cut = run.stdout.rstrip(b"\n")
        by_line, by_serve = json.loads(run.stdout), json.loads(served)["check"]
        holds(cut[:cut.index(b'"notes"')] in served, f"{changes}: the bytes of check are not among those served")
        holds({**by_line, "notes": 0} == {**by_serve, "notes": 0}, f"{changes}: served and saved differ")
        holds(len(by_line["notes"]) == len(by_serve["notes"]), f"{changes}: their notes differ")
        if changes:
            holds(all(f"; [{c['section']}] {c['key']} = {c['value']}, was " in saved.decode() for c in changes), "the head of the file")
        else:
            holds(saved == (folder / "estate-roots.ini").read_bytes(), "an unchanged build is not the file itself")
    rows = json.loads(s.ask("solve", {"build": 0, "units": "us", "changes": []})[2])["view"]
    boost = next(v for v in rows["verdicts"] if v["name"] == "boost")
    holds(boost["unit"] == "psi" and boost["value"] == "8.34", f"boost in US units: {boost}")


def half_widths(s, folder):
    """A +- of the file stays with a changed value, or the file and the answer say that it does not."""
    def ask(section, key, value):
        changes = [change(section, key, value)]
        view = json.loads(s.ask("solve", {"build": 0, "changes": changes})[2])["view"]["half_widths"]
        return view, s.ask("build-file", {"build": 0, "changes": changes})[2].decode()

    for value, line in (("84 mm", "84 mm +- 0.5 mm"), ("3.3 in", "3.3 in +- 0.5 mm")):
        view, saved = ask("drive", "blower_pulley", value)
        holds(view == [{"section": "drive", "key": "blower_pulley", "half_width": "+- 0.5 mm", "kept": True}], f"told: {view}")
        holds(f"\nblower_pulley = {line}\n" in saved and f"= {line}, was 92 mm +- 0.5 mm\n" in saved, f"saved with {value}: {saved[:300]}")
    view, saved = ask("drive", "blower_pulley", "84 mm +- 0.1 mm")
    holds(view == [] and "\nblower_pulley = 84 mm +- 0.1 mm\n" in saved, "a +- that is given anew")
    view, saved = ask("site", "temperature", "20 degC")
    holds(view[0]["kept"] and view[0]["half_width"] == "+- 9 degF" and "\ntemperature = 20 degC +- 9 degF\n" in saved, f"a temperature: {view}")
    view, saved = ask("intake", "throttle_bore", "20 mm")
    holds(not view[0]["kept"] and "\nthrottle_bore = 20 mm\n" in saved and "its +- does not go with this value and is left out" in saved,
          f"a half-width wider than the value: {view}")


def same_comparison(s, folder):
    changes = [[change("drive", "blower_pulley", "84 mm")], []]
    for build, name in ((0, "estate-roots"), (1, "estate-screw")):
        (folder / f"{name}-changed.ini").write_bytes(s.ask("build-file", {"build": build, "changes": changes[build]})[2])
    for more, boost in (([], None), (["--boost", "60 kPa"], "60 kPa")):
        run = subprocess.run([PROGRAM, "compare", "estate-roots-changed.ini", "estate-screw-changed.ini", "--json", "-", *more],
                             cwd=folder, capture_output=True, timeout=30)
        status, _, told = s.ask("compare", {"builds": changes, "boost": boost})
        line = json.loads(run.stdout.replace(b"-changed.ini", b".ini"))
        served = json.loads(told)["compare"]
        differ = [k for k in line if line[k] != served.get(k)]
        holds(status == 200 and not differ, f"compare {boost} differs in {differ}")
    holds(s.ask("compare", {"builds": changes, "boost": "60"})[0] == 422, "a boost without its unit")
    holds(s.ask("compare", {"builds": changes, "boost": "9999 kPa"})[0] == 422, "a boost out of range")


def rate(s):
    """A flood is met with 429, and the server answers again after it."""
    ask = f"GET {s.base}nothing HTTP/1.1\r\nHost: 127.0.0.1:{s.port}\r\n\r\n".encode()
    seen = b""
    end = time.monotonic() + 5
    while b" 429 " not in seen and time.monotonic() < end:
        seen = s.raw(ask, 1)
    holds(b" 429 " in seen and b"Retry-After: 1" in seen, "a flood is not turned away")
    time.sleep(1.1)
    holds(s.ask("about")[0] == 200, "no answer after a flood")


def slow_clients(s):
    """Clients that send nothing, or a byte now and then, are let go; then there is room again."""
    quiet = [socket.create_connection(("127.0.0.1", s.port), timeout=10) for _ in range(20)]
    drip = socket.create_connection(("127.0.0.1", s.port), timeout=10)
    start = time.monotonic()
    closed = None
    holds(s.ask("about")[0] == 200, "no room beside quiet clients")
    text = f"GET {s.base}about HTTP/1.1\r\nHost: 127.0.0.1:{s.port}\r\nX: ".encode()
    try:
        drip.sendall(text)
        drip.settimeout(0.25)
        while time.monotonic() - start < 12:
            drip.sendall(b"x")
            try:
                if drip.recv(1) == b"":
                    closed = time.monotonic() - start
                    break
            except TimeoutError:
                pass
    except ConnectionError:
        closed = time.monotonic() - start
    holds(closed is not None and closed < 9, f"a client that dribbles was let go after {closed}")
    for one in quiet:
        one.settimeout(5)
        try:
            holds(one.recv(1) == b"", "a quiet client is not let go")
        except (TimeoutError, ConnectionError) as fault:
            holds(isinstance(fault, ConnectionError), "a quiet client is not let go")
        one.close()
    drip.close()


def crowd(s):
    many = []
    for _ in range(200):
        try:
            many.append(socket.create_connection(("127.0.0.1", s.port), timeout=2))
        except OSError:
            break
    for one in many:
        one.close()
    time.sleep(0.5)
    holds(s.ask("about")[0] == 200, "no answer after a crowd")
    with concurrent.futures.ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda i: s.ask("solve", {"build": i % 2})[0], range(40)))
    holds(set(answers) == {200}, f"many at once: {set(answers)}")


def starting(folder, s):
    def run(*arguments):
        return subprocess.run([PROGRAM, "serve", *arguments], cwd=folder, capture_output=True, text=True, timeout=10)

    used = run("estate-roots.ini", "--port", str(s.port))
    holds(used.returncode == 3 and used.stdout == "" and "in use" in used.stderr, f"a port in use: {used}")
    for port in ("0", "65536", "x", "-1", "80 ", "", "1e3", "99999999999"):
        bad = run("estate-roots.ini", "--port", port)
        holds(bad.returncode == 2 and "1 to 65535" in bad.stderr, f"port {port!r}: {bad}")
    holds(run("roots-185.ini").returncode == 2 and run("no.ini").returncode == 2, "no build")
    holds(run("estate-roots.ini", "./estate-roots.ini").returncode == 2, "one build twice")
    with open("/dev/full", "w") as full:
        end = subprocess.run([PROGRAM, "serve", "estate-roots.ini"], cwd=folder, stdout=full, stderr=subprocess.PIPE, timeout=10)
    holds(end.returncode == 3 and end.stderr == b"sweptline: standard output: could not be written: No space left on device\n",
          f"an address that could not be told: {end}")
    reader, writer = os.pipe()
    os.close(reader)
    end = subprocess.run([PROGRAM, "serve", "estate-roots.ini"], cwd=folder, stdout=writer, stderr=subprocess.PIPE, timeout=10)
    os.close(writer)
    holds(end.returncode == 3 and end.stderr == b"", f"an address that nobody reads: {end}")
    for number in (signal.SIGINT, signal.SIGTERM):
        held = Server(folder, "estate-roots.ini", start=lambda: signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM}))
        holds(held.stop(number)[0] == 0, f"signal {number} that was blocked at the start does not end it")
    small = Server(folder, "estate-roots.ini", "estate-screw.ini",
                   start=lambda: resource.setrlimit(resource.RLIMIT_STACK, (256 * 1024, 256 * 1024)))
    holds(small.ask("compare", {"builds": [[], []]})[0] == 200, "a comparison with a stack of 256 kB")
    small.stop()
    bound = subprocess.run(["ss", "-ltnH", f"sport = :{s.port}"], capture_output=True, text=True) if shutil.which("ss") else None
    holds(bound is None or f"127.0.0.1:{s.port}" in bound.stdout and "0.0.0.0" not in bound.stdout.split(f":{s.port}")[0],
          "it listens on more than the loopback address")


def too_long(number, frame):
    raise TimeoutError("the whole of it took too long")


def main():
    signal.signal(signal.SIGALRM, too_long)
    signal.alarm(120)
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for file in ("estate-roots.ini", "estate-screw.ini", "roots-185.ini", "roots-185.csv", "screw-120.ini", "screw-120.csv"):
            shutil.copy(os.path.join(MAPS, file), folder)
        s = Server(folder, "estate-roots.ini", "estate-screw.ini")
        other = Server(folder, "estate-screw.ini", "--units", "us")
        holds(s.port and other.port and s.base != other.base, "two servers at once")
        with concurrent.futures.ThreadPoolExecutor(1) as pool:
            slow = pool.submit(slow_clients, other)
            try:
                who_may_ask(s)
                methods_and_bodies(s)
                no_file_through_it(s)
                words_of_the_reader(s, folder)
                same_numbers(s, folder)
                same_comparison(s, folder)
                starting(folder, s)
                rate(s)
                crowd(s)
                (folder / "roots-185.csv").unlink()
                holds(s.ask("solve", {"build": 0})[0] == 200, "a file is read again later")
                slow.result(timeout=30)
                holds(json.loads(other.ask("about")[2])["units"] == "us" and other.ask("compare", {"builds": [[]]})[0] == 400, "one build alone")
            finally:
                code, out, err = s.stop()
                holds(code == 0 and out == "" and "stopped" in err, f"Ctrl-C: {code} {err}")
                code, _, _ = other.stop(signal.SIGTERM)
                holds(code == 0, f"the other end: {code}")
        text = (folder / "estate-roots.ini").read_text().replace("blower_pulley = 92 mm", "blower_pulley = 92 mm +- 0.5 mm")
        text = text.replace("temperature = 25 degC\n", "temperature = 77 degF +- 9\n", 1)
        lines = ["throttle_bore = 76 mm +- 30 mm" if line.startswith("throttle_bore") else line for line in text.split("\n")]
        (folder / "wide.ini").write_text("\n".join(lines))
        shutil.copy(os.path.join(MAPS, "roots-185.csv"), folder)
        wide = Server(folder, "wide.ini")
        half_widths(wide, folder)
        wide.stop()
        again = Server(folder, "estate-screw.ini", "--port", str(s.port))
        holds(again.port == s.port and again.base != s.base, "the same port at once again, with another token")
        again.stop()
    print(f"{passed} passed, {failed} failed")
    return failed != 0


sys.exit(main())
