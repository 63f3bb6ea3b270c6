"""What a run leaves when something fails in the middle of it.

faults.py PROGRAM SHIM [--whole] [--only PART] [--command NAME] [--kind KIND] [--seed N]

Every call that writes, opens, syncs, links, renames or takes memory fails in turn (tests/fault/shim.c), in every command
that writes; the disk is full; the run is killed or told to stop; two runs write one name; a page is served. Each output
must then hold its earlier bytes or the new ones, whole; nothing else may be left; the exit status is 3 with a message
that names the path and the reason. Without --whole a sample of it in some twenty seconds.
"""
import argparse
import concurrent.futures
import errno
import http.client
import json
import os
import pathlib
import random
import shutil
import signal
import stat
import subprocess
import sys
import tempfile
import threading
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
INPUTS = ["estate-roots.ini", "estate-screw.ini", "estate-tolerances.ini", "estate-roots-water.ini",
          "estate-roots-belt.ini", "estate-roots-run.csv", "roots-185.ini", "screw-120.ini", "roots-185.csv",
          "screw-120.csv", "roots-185-traced.ini", "roots-185-scan.ini", "roots-185-scan.png"]
FUEL = "\n[fuel]\ninjectors = 8\ninjector_flow = 900 cc/min at 300 kPa\nrail_pressure = 300 kPa\n" \
       "rail_reference = manifold\n"
BOTH = ["--json", "run.json", "--csv", "run.csv"]
DRAWN = ["--format", "svg", "--out", "pictures", "--size", "800x500"]
# Commands that write, the exit status they end with untouched, and their outputs.
COMMANDS = {
    "check": (["check", "estate-roots.ini", *BOTH], ["run.json", "run.csv"]),
    "check, sensitivity": (["check", "estate-roots.ini", "--sensitivity", "--site", "hot day", "--json", "run.json"],
                           ["run.json"]),
    "check, to standard output": (["check", "estate-roots.ini", "--json", "-", "--csv", "run.csv"], ["run.csv"]),
    "chart": (["chart", "estate-roots.ini", "--format", "png,svg,pdf", "--out", "pictures", *BOTH],
              ["pictures/estate-roots-chart.png", "pictures/estate-roots-chart.svg", "pictures/estate-roots-chart.pdf",
               "run.json", "run.csv"]),
    "pulley": (["pulley", "estate-roots.ini", "--blower", "88mm,92mm,96mm", "--boost", "55kPa", *DRAWN, *BOTH],
               ["pictures/estate-roots-pulley.svg", "run.json", "run.csv"]),
    "spread": (["spread", "estate-tolerances.ini", "--samples", "128", "--threads", "1", *DRAWN, *BOTH],
               ["pictures/estate-tolerances-spread.svg", "run.json", "run.csv"]),
    "spread, two threads": (["spread", "estate-tolerances.ini", "--samples", "128", "--threads", "2", *BOTH],
                            ["run.json", "run.csv"]),
    "compare": (["compare", "estate-roots.ini", "estate-screw.ini", *DRAWN, *BOTH],
                ["pictures/estate-roots-and-estate-screw-compare.svg", "run.json", "run.csv"]),
    "site": (["site", "estate-roots.ini", "--site", "hot day", "--power", "250 kW", *DRAWN, *BOTH],
             ["pictures/estate-roots-sites.svg", "run.json", "run.csv"]),
    "throttle": (["throttle", "estate-roots.ini", *DRAWN, *BOTH],
                 ["pictures/estate-roots-throttle.svg", "run.json", "run.csv"]),
    "fuel": (["fuel", "fuel.ini", *DRAWN, *BOTH], ["pictures/fuel-fuel.svg", "run.json", "run.csv"]),
    "knock": (["knock", "estate-roots.ini", *DRAWN, *BOTH],
              ["pictures/estate-roots-knock.svg", "run.json", "run.csv"]),
    "soak": (["soak", "estate-roots-water.ini", *DRAWN, *BOTH],
             ["pictures/estate-roots-water-soak.svg", "run.json", "run.csv"]),
    "belt": (["belt", "estate-roots-belt.ini", *DRAWN, *BOTH],
             ["pictures/estate-roots-belt-belt.svg", "run.json", "run.csv"]),
    "log": (["log", "estate-roots.ini", "estate-roots-run.csv", *DRAWN, *BOTH],
            ["pictures/estate-roots-run-log.svg", "run.json", "run.csv"]),
    "inspect": (["inspect", "roots-185.ini", *DRAWN, *BOTH],
                ["pictures/roots-185-map.svg", "run.json", "run.csv"]),
    "trace": (["trace", "roots-185-traced.ini", *DRAWN, *BOTH],
              ["pictures/roots-185-traced-trace.svg", "run.json", "run.csv"]),
    "sheet": (["sheet", "estate-roots.ini", "--out", "page.html", *BOTH], ["page.html", "run.json", "run.csv"]),
    "sheet, two": (["sheet", "estate-roots.ini", "estate-screw.ini"], ["estate-roots-and-estate-screw-sheet.html"]),
    "new": (["new", "build", "mine.ini"], ["mine.ini"]),
    "completion": (["completion", "bash"], []),
    "man": (["man", "check"], []),
    "version": (["--version"], []),
}
# Kinds of calls and what they fail with.
FILE_KINDS = {"open": ["EACCES", "EMFILE"], "write": ["ENOSPC", "EIO"], "short": ["EIO"], "fsync": ["EIO"],
              "close": ["EIO"], "link": ["EPERM"], "rename": ["EACCES", "EIO"], "mkdir": ["ENOSPC"],
              "chmod": ["EPERM"], "stat": ["EIO", "ENOMEM"]}
# Of these every command that writes a file makes at least one; what stood there before is renamed over.
ALWAYS = ("open", "write", "fsync")
# Memory that GSL takes within a computation: a kind of its own, so that a sample meets it.
OF_GSL = ("trace", "log", "soak")
MEMORY = {"memory": {}, "memory of GSL": {"FAULT_OF": "libgsl.so"}}
OLD = b"what stood here before\n"
OLD_MODE = 0o640
ENVIRONMENT = {**os.environ, "LC_ALL": "C", "TERM": "dumb", "TZ": "UTC"}

passed = 0
failed = 0
lock = threading.Lock()


def holds(wrong, good):
    global passed, failed
    with lock:
        if good:
            passed += 1
        else:
            failed += 1
            if failed <= 40:
                print(f"faults.py: {wrong}", flush=True)
    return good


class Room:
    """A folder with the inputs; one for each thread."""

    def __init__(self, base):
        self.folder = pathlib.Path(tempfile.mkdtemp(dir=base))
        self.kept = {}
        for name in INPUTS:
            self.kept[name] = (ROOT / "maps" / name).read_bytes()
        self.kept["fuel.ini"] = self.kept["estate-roots.ini"] + FUEL.encode()
        for name, data in self.kept.items():
            (self.folder / name).write_bytes(data)

    def clean(self, outputs, earlier):
        """Only the inputs, and with earlier the outputs of an earlier run."""
        for entry in os.scandir(self.folder):
            if entry.is_dir(follow_symlinks=False):
                shutil.rmtree(entry.path)
            elif entry.name not in self.kept:
                os.unlink(entry.path)
        if earlier:
            for name in outputs:
                path = self.folder / name
                path.parent.mkdir(exist_ok=True)
                path.write_bytes(OLD)
                path.chmod(OLD_MODE)

    def state(self):
        """Every file that is no input, and folders that are empty."""
        found = {}
        for where, folders, files in os.walk(self.folder):
            for name in files:
                path = os.path.join(where, name)
                relative = os.path.relpath(path, self.folder)
                if relative not in self.kept and os.path.exists(path):
                    with open(path, "rb") as file:
                        found[relative] = file.read()
            if not folders and not files and where != str(self.folder):
                found[os.path.relpath(where, self.folder) + "/"] = None
        return found

    def inputs_intact(self):
        return all((self.folder / name).read_bytes() == data for name, data in self.kept.items())

    def run(self, words, environment=None, **options):
        return subprocess.run([PROGRAM, *words], cwd=self.folder, env={**ENVIRONMENT, **(environment or {})},
                              stdin=subprocess.DEVNULL, capture_output=True, timeout=120, **options)


rooms = threading.local()


def room():
    if not hasattr(rooms, "one"):
        rooms.one = Room(BASE)
    return rooms.one


class Untouched:
    """What a command does when nothing fails: exit status, bytes of its outputs, calls of each kind."""

    def __init__(self, name):
        self.words, self.outputs = COMMANDS[name]
        self.earlier = name != "new"
        place = room()
        place.clean(self.outputs, False)
        run = place.run(self.words)
        self.code, self.text, self.told = run.returncode, run.stdout, run.stderr
        self.new = place.state()
        holds(f"{name}: untouched it ends with {run.returncode}: {run.stderr[:200]}", run.returncode in (0, 1))
        holds(f"{name}: it leaves {sorted(self.new)}", sorted(self.new) == sorted(self.outputs))

    def calls(self, kind, earlier):
        place = room()
        place.clean(self.outputs, earlier)
        total = place.folder / "total"
        place.run(self.words, {"LD_PRELOAD": SHIM, "FAULT_KIND": kind.split()[0], "FAULT_AT": "1000000000",
                               "FAULT_TOTAL": str(total), **MEMORY.get(kind, {})})
        return int(total.read_text())


def each_whole(what, untouched, earlier, found, allowed=()):
    """Returns: the outputs that hold the new bytes."""
    done = []
    for name in untouched.outputs:
        before = OLD if earlier else None
        got = found.pop(name, None)
        if got == untouched.new[name]:
            done.append(name)
        else:
            holds(f"{what}: {name} is neither the earlier file nor the new one", got == before)
    for name in list(found):
        if name in allowed:
            found.pop(name)
    holds(f"{what}: left behind {sorted(found)}", not found)
    return done


def one_fault(name, untouched, kind, at, code, earlier, always=False):
    what = f"{name}: {kind} {at}{' and on' if always else ''} {code}{', earlier files' if earlier else ''}"
    place = room()
    place.clean(untouched.outputs, earlier)
    mark = place.folder / "mark"
    run = place.run(untouched.words, {"LD_PRELOAD": SHIM, "FAULT_KIND": kind.split()[0], "FAULT_AT": str(at),
                                      **MEMORY.get(kind, {}), "FAULT_ON": str(int(always)), "FAULT_MARK": str(mark),
                                      "FAULT_ERRNO": str(getattr(errno, code))})
    found = place.state()
    hit = found.pop("mark", 0) != 0
    judge(what, untouched, kind, code, earlier, place, run, found, hit)
    return hit


def judge(what, untouched, kind, code, earlier, place, run, found, hit):
    """Holds that a run in which a call failed lost nothing and said so, or did without."""
    told = run.stderr.decode(errors="replace")
    done = each_whole(what, untouched, earlier, found)
    holds(f"{what}: an input has changed", place.inputs_intact())
    if run.returncode == untouched.code:
        # A call that the run can do without, or do otherwise.
        holds(f"{what}: it goes on, but its outputs differ",
              sorted(done) == sorted(untouched.outputs) and run.stdout == untouched.text)
        if earlier and hit:
            for output in untouched.outputs:
                mode = stat.S_IMODE(os.stat(place.folder / output).st_mode)
                holds(f"{what}: {output} has mode {mode:o}", mode == OLD_MODE)
        return
    # An input that may not be opened is a fault of the input.
    wanted = (2,) if kind == "open" and code == "EACCES" and " error: " in told else (3,)
    holds(f"{what}: ends with {run.returncode}: {told[:300]}", run.returncode in wanted)
    reason = "memory" if kind in MEMORY else os.strerror(getattr(errno, code))
    holds(f"{what}: the reason is not told: {told[:300]!r}", reason in told)
    names = [*untouched.outputs, *untouched.words, *INPUTS, "standard output", "pictures"]
    holds(f"{what}: no path is told: {told[:300]!r}",
          kind in MEMORY or any(os.path.basename(n) in told for n in names))
    for output in done:
        holds(f"{what}: {output} is refused and written", f"{output}: could not" not in told)


def put_back(path):
    """The earlier file again, as a file of its own: the run may hold the one that stands there open."""
    other = path.with_name(path.name + ".back")
    other.write_bytes(OLD)
    other.chmod(OLD_MODE)
    other.rename(path)


def each_call(name, kind):
    """Every call of a kind of memory fails in turn, in copies of one run: a copy does only what comes after the call.
    Returns: how many."""
    untouched = Untouched(name)
    place = room()
    place.clean(untouched.outputs, untouched.earlier)
    paths = [place.folder / output for output in untouched.outputs]
    streams = [pathlib.Path(tempfile.mkstemp(dir=BASE)[1]) for _ in range(2)]
    answer_from, answer_to = os.pipe()
    told_from, told_to = os.pipe()
    environment = {**ENVIRONMENT, "LD_PRELOAD": SHIM, "FAULT_KIND": kind.split()[0], "FAULT_ERRNO": str(errno.ENOMEM),
                   "FAULT_EACH": f"{answer_from},{told_to}", **MEMORY[kind]}
    count = 0
    with open(streams[0], "ab") as out, open(streams[1], "ab") as err:
        run = subprocess.Popen([PROGRAM, *untouched.words], cwd=place.folder, env=environment, stdin=subprocess.DEVNULL,
                               stdout=out, stderr=err, pass_fds=(answer_from, told_to))
    os.close(answer_from)
    os.close(told_to)
    with os.fdopen(told_from) as told, os.fdopen(answer_to, "wb", buffering=0) as answer:
        for line in told:
            words = line.split()
            if len(words) == 1:
                unwritten = [p for p in paths if not p.exists() or p.read_bytes() == OLD]
                sizes = [s.stat().st_size for s in streams]
                answer.write(b"g")
                continue
            count += 1
            ended = argparse.Namespace(returncode=int(words[1]), stdout=streams[0].read_bytes(),
                                       stderr=streams[1].read_bytes()[sizes[1]:])
            judge(f"{name}: {kind} {words[0]} ENOMEM in a copy", untouched, kind, "ENOMEM", untouched.earlier, place,
                  ended, place.state(), True)
            for stream, size in zip(streams, sizes):
                os.truncate(stream, size)
            for path in unwritten:
                if untouched.earlier:
                    put_back(path)
                elif path.exists():
                    path.unlink()
            answer.write(b"g")
    code = run.wait()
    holds(f"{name}: with copies that failed it ends with {code}", code == untouched.code)
    holds(f"{name}: with copies that failed its outputs differ",
          place.state() == untouched.new and streams[0].read_bytes() == untouched.text)
    return count


def spread_out(total, most, first, chance):
    """All of 1 to total, or the first ones and an even sample of the others, most in all."""
    if total <= most:
        return list(range(1, total + 1))
    chosen = set(range(1, min(first, most) + 1))
    left = most - len(chosen)
    step = (total - len(chosen)) / max(left, 1)
    offset = chance.random()
    for i in range(left):
        chosen.add(min(total, int(len(chosen.intersection(range(1, first + 1))) + 1 + (i + offset) * step)))
    return sorted(chosen)


def fault_jobs(name):
    """Calls to fail in a command: all with --whole and a sample without."""
    untouched = Untouched(name)
    # Of its own: commands are looked at side by side, and a sample that is not that of the seed is not found again.
    chance = random.Random(f"{given.seed} {name}")
    fast = name in ("check", "new", "completion", "check, to standard output")
    jobs = []
    ways = (True, False) if untouched.earlier and (WHOLE or fast) else (untouched.earlier,)
    for earlier in ways:
        for kind, codes in FILE_KINDS.items():
            if given.kind not in (None, kind):
                continue
            if not WHOLE and not fast and kind in ("close", "link"):
                continue
            total = untouched.calls(kind, earlier)
            if untouched.outputs and (kind in ALWAYS or kind == "rename" and earlier):
                holds(f"{name}: no call of {kind} is made", total > 0)
            few = 1 if not fast else 100
            for code in codes if WHOLE else codes[:1]:
                for at in spread_out(total, total if WHOLE else few, 0, chance):
                    jobs.append((name, untouched, kind, at, code, earlier, False))
            if total > 0 and (WHOLE or fast):
                jobs.append((name, untouched, kind, 1, codes[-1], earlier, True))
        total = untouched.calls("memory", earlier)
        if earlier == ways[-1] and given.kind in (None, "memory"):
            # Every one of these fails in each_call.
            most = 100 if name == "check" else 6
            # The second thread takes memory once the files are read; after it no call is like that.
            early = range(3, 480, 8) if name == "spread, two threads" else ()
            for at in [*early, *spread_out(total, most, most // 3, chance)]:
                jobs.append((name, untouched, "memory", at, "ENOMEM", earlier, False))
            if name in OF_GSL:
                own = untouched.calls("memory of GSL", earlier)
                holds(f"{name}: GSL takes no memory", own > 0)
                for at in spread_out(own, 8, 0, chance):
                    jobs.append((name, untouched, "memory of GSL", at, "ENOMEM", earlier, False))
    if total == 0 and name not in ("completion", "man", "version"):
        holds(f"{name}: the shim counts nothing", False)
    return jobs


def over_input():
    """An output that is an input is refused, also where the system cannot tell whether it is."""
    place = room()
    words = ["check", "estate-roots.ini", "--json", "estate-roots.ini"]
    for at in range(1, 13):
        run = place.run(words, {"LD_PRELOAD": SHIM, "FAULT_KIND": "stat", "FAULT_AT": str(at),
                                "FAULT_ERRNO": str(errno.EIO)})
        holds(f"over its input, stat {at}: ends with {run.returncode}: {run.stderr!r}", run.returncode in (2, 3))
        holds(f"over its input, stat {at}: the input has changed", place.inputs_intact())


def in_turn(pool):
    names = [n for n in COMMANDS if n != "version"]
    over_input()
    if WHOLE and given.kind in (None, "memory"):
        # A copy of a process has one thread.
        kinds = [(n, k) for n in names if n != "spread, two threads" for k in MEMORY if k == "memory" or n in OF_GSL]
        print(f"faults: {sum(pool.map(lambda one: each_call(*one), kinds))} copies of a run with a call that fails")
    jobs = [job for jobs in pool.map(fault_jobs, names) for job in jobs]
    hits = list(pool.map(lambda job: one_fault(*job), jobs))
    holds("in turn: hardly a fault was met", sum(hits) > 0.9 * len(hits))
    print(f"faults: {len(jobs)} runs with a call that fails, {sum(hits)} of them met it")


# ---- killed and told to stop ----

def interrupted(name, number, delay_s, environment):
    place = room()
    untouched = whole_run(name)
    earlier = untouched.earlier and rng.random() < 0.7
    place.clean(untouched.outputs, earlier)
    process = subprocess.Popen([PROGRAM, *untouched.words], cwd=place.folder, env={**ENVIRONMENT, **environment},
                               stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    try:
        process.communicate(timeout=delay_s)
    except subprocess.TimeoutExpired:
        process.send_signal(number)
        process.communicate(timeout=60)
    found = place.state()
    what = f"{name}: signal {number} after {delay_s * 1000:.2f} ms"
    left = [n for n in found if n.startswith("sweptline-") or "/sweptline-" in n]
    if number == signal.SIGKILL and "link" not in environment.values():
        # Between the two names nothing can be done; the file is whole by then.
        holds(f"{what}: left behind in parts", all(found[n] in untouched.new.values() for n in left))
        for n in left:
            found.pop(n)
    if number == signal.SIGKILL:
        for n in [n for n in found if found[n] is None]:
            found.pop(n)  # the folder of the pictures, made and not yet filled
        allowed = left
    else:
        for n in [n for n in found if found[n] is None]:
            found.pop(n)
        allowed = ()
    each_whole(what, untouched, earlier, found, allowed)
    holds(f"{what}: ends with {process.returncode}", process.returncode in (untouched.code, -number))
    return process.returncode == -number, bool(left)


untouched_runs = {}
times_s = {}


def whole_run(name):
    with whole_lock:
        if name not in untouched_runs:
            begin = time.monotonic()
            untouched_runs[name] = Untouched(name)
            times_s[name] = time.monotonic() - begin
        return untouched_runs[name]


whole_lock = threading.Lock()


def stopped(pool):
    slow = {"LD_PRELOAD": SHIM, "FAULT_SLOW": "1500"}
    named = {**slow, "FAULT_KIND": "link", "FAULT_AT": "1", "FAULT_ON": "1", "FAULT_ERRNO": str(errno.EPERM)}
    jobs = []
    for number, times, environment in ((signal.SIGKILL, 200, slow), (signal.SIGKILL, 30, named),
                                       (signal.SIGINT, 60, slow), (signal.SIGTERM, 30, slow),
                                       (signal.SIGINT, 40, named)):
        for i in range(times):
            name = "check" if i % 10 or environment is named else "chart" if WHOLE else "inspect"
            whole_run(name)
            jobs.append((name, number, rng.random() * (times_s[name] + 0.06), environment))
    ends = list(pool.map(lambda job: interrupted(*job), jobs))
    killed = sum(e[0] for e in ends)
    holds("stopped: hardly a run was stopped", killed > len(ends) // 3)
    print(f"faults: {len(jobs)} runs stopped from outside, {killed} of them before their end; "
          f"a whole temporary left by {sum(e[1] for e in ends)}")
    untouched = whole_run("check")
    for kind in ("open", "write", "fsync", "link", "rename"):
        for earlier in (True, False):
            for at in range(1, untouched.calls(kind, earlier) + 1):
                killed_at(untouched, kind, at, earlier)


def killed_at(untouched, kind, at, earlier):
    place = room()
    place.clean(untouched.outputs, earlier)
    run = place.run(untouched.words, {"LD_PRELOAD": SHIM, "FAULT_KIND": kind, "FAULT_AT": str(at), "FAULT_ERRNO": "0"})
    found = place.state()
    what = f"check: killed before {kind} {at}"
    holds(f"{what}: ends with {run.returncode}", run.returncode == -signal.SIGKILL)
    left = [n for n in found if n.startswith("sweptline-")]
    holds(f"{what}: left behind {left}", len(left) == (1 if kind == "rename" else 0))
    holds(f"{what}: left behind in parts", all(found[n] in untouched.new.values() for n in left))
    each_whole(what, untouched, earlier, found, left)


# ---- standard output ----

def streams(_):
    place = room()
    full = os.open("/dev/full", os.O_WRONLY)
    for name, (words, outputs) in COMMANDS.items():
        if name == "sheet, two" or name in ("chart", "new", "trace", "knock", "log") and not WHOLE:
            continue  # that one has nothing for standard output
        place.clean(outputs, False)
        # What a sheet prints is the page itself.
        words = ["-" if w in ("mine.ini", "page.html") else w for w in words]
        run = subprocess.run([PROGRAM, *words], cwd=place.folder, env=ENVIRONMENT, stdin=subprocess.DEVNULL,
                             stdout=full, stderr=subprocess.PIPE, timeout=120)
        holds(f"{name} into a full device: ends with {run.returncode}", run.returncode == 3)
        holds(f"{name} into a full device: says {run.stderr!r}",
              b"standard output: could not be written: No space left on device\n" in run.stderr)
        place.clean(outputs, False)
        reader, writer = os.pipe()
        os.close(reader)
        run = subprocess.run([PROGRAM, *words], cwd=place.folder, env=ENVIRONMENT, stdin=subprocess.DEVNULL,
                             stdout=writer, stderr=subprocess.PIPE, timeout=120)
        os.close(writer)
        noise = [l for l in run.stderr.splitlines() if not l.startswith(b"wrote ")]
        holds(f"{name} to a reader that has gone: ends with {run.returncode}", run.returncode == 3)
        holds(f"{name} to a reader that has gone: says {noise}", not noise)
    os.close(full)


# ---- no room on the disk ----

def size_limit(_):
    """A file that may not grow: the way that works everywhere."""
    untouched = whole_run("check")
    for limit in (0, 1, 4096, 8192, 20000):
        for earlier in (True, False):
            place = room()
            place.clean(untouched.outputs, earlier)
            import resource
            run = place.run(untouched.words,
                            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit)))
            found = place.state()
            what = f"check: files of {limit} bytes at most"
            holds(f"{what}: ends with {run.returncode}", run.returncode == 3)
            holds(f"{what}: says {run.stderr!r}", b"run.json: could not be written: File too large" in run.stderr)
            each_whole(what, untouched, earlier, found)


def small_disk(_):
    """A small file system of its own, where that may be mounted: seen by this process's children alone."""
    folder = pathlib.Path(tempfile.mkdtemp(dir=BASE))
    this = [sys.executable, __file__, PROGRAM, SHIM, "--on-small-disk", str(folder)]
    mount = "mount -t tmpfs -o size=256k,nr_inodes=40 none \"$0\" && exec \"$@\""
    there = ["unshare", "-m", "sh", "-c", mount, str(folder)]
    try:
        subprocess.run([*there, "true"], capture_output=True, text=True, check=True)
    except (OSError, subprocess.CalledProcessError) as reason:
        print(f"faults: a small disk is left out, since none can be mounted here: {getattr(reason, 'stderr', reason)}")
        return
    run = subprocess.run([*there, *this], capture_output=True, text=True)
    sys.stdout.write(run.stdout)
    holds(f"the small disk: no result: {run.stderr[-300:]}", "small disk:" in run.stdout)
    holds("the small disk", run.returncode == 0)


def on_small_disk(folder):
    global BASE
    BASE = folder
    place = room()
    shutil.rmtree(place.folder)
    os.makedirs(place.folder)
    for name in ("estate-roots.ini", "roots-185.ini", "roots-185.csv"):
        (place.folder / name).write_bytes(place.kept[name])
    place.kept = {n: place.kept[n] for n in ("estate-roots.ini", "roots-185.ini", "roots-185.csv")}
    untouched = Untouched("check")
    for left in (0, 4096, 8192, 24576, 40960):
        for earlier in (True, False):
            place.clean(untouched.outputs, earlier)
            filler = place.folder / "filler"
            with open(filler, "wb", buffering=0) as file:
                try:
                    while True:
                        file.write(b"x" * 4096)
                except OSError:
                    pass
                file.truncate(max(0, file.tell() - left))
            run = place.run(untouched.words)
            what = f"check: {left} bytes left on the disk"
            found = place.state()
            found.pop("filler")
            holds(f"{what}: ends with {run.returncode}", run.returncode == 3)
            holds(f"{what}: says {run.stderr!r}", b"could not be written: No space left on device" in run.stderr)
            each_whole(what, untouched, earlier, found)
    # No file more, though there is room.
    place.clean(untouched.outputs, False)
    more = []
    try:
        while True:
            more.append(place.folder / f"more-{len(more)}")
            more[-1].touch()
    except OSError:
        more.pop()
    run = place.run(untouched.words)
    found = {n: d for n, d in place.state().items() if not n.startswith("more-")}
    holds(f"check: no file more: ends with {run.returncode}", run.returncode == 3)
    holds(f"check: no file more: says {run.stderr!r}",
          b"run.json: could not be created: No space left on device" in run.stderr)
    each_whole("check: no file more", untouched, False, found)
    print(f"small disk: {passed} passed, {failed} failed")
    return failed == 0


# ---- two at once ----

def together(pool):
    place = room()
    builds = {"estate-roots.ini": None, "estate-screw.ini": None}
    for name in builds:
        place.clean([], False)
        place.run(["check", name, "--json", "run.json"])
        builds[name] = (place.folder / "run.json").read_bytes()
    won = {name: 0 for name in builds}
    for i in range(100 if WHOLE else 30):
        place.clean(["run.json"], i % 2 == 0)
        slow = {**ENVIRONMENT, "LD_PRELOAD": SHIM, "FAULT_SLOW": str(rng.choice([0, 200, 1000]))}
        names = list(builds)
        rng.shuffle(names)
        both = [subprocess.Popen([PROGRAM, "check", name, "--json", "run.json"], cwd=place.folder, env=slow,
                                 stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
                for name in names]
        ends = [(process.communicate(timeout=60)[1], process.returncode) for process in both]
        found = place.state()
        got = found.pop("run.json", None)
        holds(f"two at once: end with {ends}", all(code in (0, 1) for _, code in ends))
        holds(f"two at once: left behind {sorted(found)}", not found)
        holds("two at once: neither result", got in builds.values())
        for name in builds:
            won[name] += builds[name] == got
    print(f"faults: two runs at once, won by {' and '.join(str(n) for n in won.values())} times")
    into_one_folder(place)


def into_one_folder(place):
    """A folder that is still to be made is made by one of two runs and taken by the other."""
    words, outputs = COMMANDS["inspect"]
    slow = {**ENVIRONMENT, "LD_PRELOAD": SHIM, "FAULT_SLOW": "20"}
    for i in range(100 if WHOLE else 30):
        place.clean([], False)
        both = [subprocess.Popen([PROGRAM, *words], cwd=place.folder, env=slow, stdin=subprocess.DEVNULL,
                                 stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) for _ in range(2)]
        ends = [(process.communicate(timeout=60)[1], process.returncode) for process in both]
        holds(f"two into one new folder: {ends}", all(code in (0, 1) for _, code in ends))
        holds("two into one new folder: outputs", sorted(place.state()) == sorted(outputs))


# ---- a page that is served ----

class Served:
    """A server under the shim; answers come with its own address left out."""

    ASKED = (("", None), ("about", None), ("solve", {"build": 0, "changes": [
        {"section": "drive", "key": "blower_pulley", "value": "84 mm"}]}), ("solve", {"build": 1, "units": "us"}),
             ("compare", {"builds": [[], []]}), ("build-file", {"build": 0, "changes": []}))

    def __init__(self, at, total=None):
        self.place = room()
        self.place.clean([], False)
        environment = {**ENVIRONMENT, "LD_PRELOAD": SHIM, "FAULT_KIND": "memory", "FAULT_AT": str(at),
                       "FAULT_ERRNO": str(errno.ENOMEM), **({"FAULT_TOTAL": total} if total else {})}
        self.process = subprocess.Popen([PROGRAM, "serve", "estate-roots.ini", "estate-screw.ini"], env=environment,
                                        cwd=self.place.folder, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                                        stderr=subprocess.PIPE)
        self.url = self.process.stdout.readline().decode().strip()

    def ask(self, name, body):
        _, _, host, token, _ = self.url.split("/")
        connection = http.client.HTTPConnection(host, timeout=20)
        try:
            connection.request("GET" if body is None else "POST", f"/{token}/{name}", body and json.dumps(body),
                               {} if body is None else {"Content-Type": "application/json"})
            answer = connection.getresponse()
            return answer.status, answer.read().replace(token.encode(), b"TOKEN").replace(host.encode(), b"HOST")
        except (OSError, http.client.HTTPException) as fault:
            return 0, str(fault).encode()
        finally:
            connection.close()

    def stop(self):
        self.process.send_signal(signal.SIGINT)
        _, told = self.process.communicate(timeout=30)
        return self.process.returncode, told


def one_serve(at, wanted):
    """The Nth call of memory of a server fails: it does not start and says so, or an answer is whole or 500; then all is
    as ever."""
    server = Served(at)
    what = f"serve: memory {at}"
    if not server.url:
        code, told = server.stop()
        holds(f"{what}: does not start, ends with {code}: {told!r}", code == 3 and b"memory" in told)
        return "no start"
    answers = [server.ask(*asked) for asked in Served.ASKED]
    bad = [i for i, answer in enumerate(answers) if answer != wanted[i]]
    holds(f"{what}: {len(bad)} answers are another", len(bad) <= 1)
    for i in bad:
        status, body = answers[i]
        # A connection that could not be set up is closed without an answer.
        holds(f"{what}: {Served.ASKED[i][0]!r} is answered with {status} {body[:200]!r}",
              status == 0 or status == 500 and b"out of memory" in body)
        holds(f"{what}: {Served.ASKED[i][0]!r} asked again differs", server.ask(*Served.ASKED[i]) == wanted[i])
    code, told = server.stop()
    holds(f"{what}: ends with {code}: {told!r}", code == 0)
    return "refused" if bad else "as ever"


def serve(pool):
    base = pathlib.Path(BASE)
    start = Served(1000000000, str(base / "start"))
    start.stop()
    whole = Served(1000000000, str(base / "whole"))
    wanted = [whole.ask(*asked) for asked in Served.ASKED]
    code, told = whole.stop()
    holds(f"serve: untouched it ends with {code}: {told!r}", code == 0)
    holds(f"serve: untouched it answers {[a[0] for a in wanted]}", all(a[0] == 200 for a in wanted))
    first, last = int((base / "start").read_text()), int((base / "whole").read_text())
    chance = random.Random(f"{given.seed} serve")
    at_start = spread_out(first, 200 if WHOLE else 8, 2, chance)
    asked = [first + n for n in spread_out(last - first, 2000 if WHOLE else 40, 4, chance)]
    ends = list(pool.map(lambda at: one_serve(at, wanted), [*at_start, *asked]))
    holds(f"serve: hardly an answer was refused: {ends.count('refused')} of {len(asked)}",
          ends.count("refused") > len(asked) // 2)
    print(f"faults: {len(ends)} servers with a call of memory that fails: {ends.count('no start')} did not start, "
          f"{ends.count('refused')} refused an answer, {ends.count('as ever')} did without")


# ---- names ----

def names(_):
    untouched = whole_run("check")
    new = untouched.new["run.json"]
    place = room()
    folder = place.folder
    words = ["check", "estate-roots.ini", "--json"]

    def fresh():
        place.clean([], False)

    fresh()
    (folder / "real.json").write_bytes(OLD)
    (folder / "link.json").symlink_to("real.json")
    run = place.run([*words, "link.json"])
    holds("a link is not written through", run.returncode == 0 and (folder / "real.json").read_bytes() == new)
    holds("a link is replaced", (folder / "link.json").is_symlink())
    fresh()
    (folder / "link.json").symlink_to("nowhere.json")
    run = place.run([*words, "link.json"])
    holds(f"a link to nothing: {run.returncode} {run.stderr!r}",
          run.returncode == 3 and run.stderr == b"sweptline: link.json: is a link that leads to no file\n")
    holds("a link to nothing is written through", sorted(place.state()) == [] and (folder / "link.json").is_symlink())
    fresh()
    (folder / "one.json").write_bytes(OLD)
    os.link(folder / "one.json", folder / "other.json")
    place.run([*words, "one.json"])
    holds("a hard link: the other name changes", (folder / "other.json").read_bytes() == OLD)
    holds("a hard link: the name given does not change", (folder / "one.json").read_bytes() == new)
    fresh()
    (folder / "folder.json").mkdir()
    run = place.run([*words, "folder.json"])
    holds(f"a folder: {run.stderr!r}", run.returncode == 3 and b"folder.json: is a folder" in run.stderr)
    fresh()
    long = "n" * 250 + ".json"
    for _ in range(2):
        run = place.run([*words, long])
        holds(f"a name of 255 characters: {run.stderr!r}", run.returncode == 0 and place.state() == {long: new})
    for mask, mode in ((0o022, 0o644), (0o077, 0o600), (0, 0o666)):
        fresh()
        place.run([*words, "new.json"], preexec_fn=lambda: os.umask(mask))
        got = stat.S_IMODE((folder / "new.json").stat().st_mode)
        holds(f"umask {mask:o}: mode {got:o}", got == mode)
        (folder / "new.json").chmod(0o604)
        place.run([*words, "new.json"], preexec_fn=lambda: os.umask(mask))
        got = stat.S_IMODE((folder / "new.json").stat().st_mode)
        holds(f"umask {mask:o}: an earlier file's mode becomes {got:o}", got == 0o604)
    devices(place, words, new)
    read_only(place, words)


def devices(place, words, new):
    folder = place.folder
    for device in ("/dev/null", "/dev/stdout", "/dev/stderr", "/dev/fd/1"):
        place.clean([], False)
        before = os.lstat(device)
        run = place.run([*words, device])
        after = os.lstat(device)
        holds(f"{device}: ends with {run.returncode}: {run.stderr[:200]!r}", run.returncode == 0)
        holds(f"{device}: is replaced", (before.st_ino, before.st_mode) == (after.st_ino, after.st_mode))
        if device in ("/dev/stdout", "/dev/fd/1"):
            holds(f"{device}: is not what - is", run.stdout == new)
        if device == "/dev/stderr":
            holds(f"{device}: has not the JSON", run.stderr == new)
    # Standard output and standard error that are files, one of them without a name any more.
    for device, gone in (("/dev/stdout", False), ("/dev/stdout", True), ("/dev/stderr", False)):
        place.clean([], False)
        with open(folder / "shell.txt", "w+b") as file:
            if gone:
                os.unlink(folder / "shell.txt")
            streams_of = {"stdout": file, "stderr": subprocess.DEVNULL} if device == "/dev/stdout" else \
                {"stdout": subprocess.DEVNULL, "stderr": file}
            run = subprocess.run([PROGRAM, *words, device], cwd=folder, env=ENVIRONMENT, stdin=subprocess.DEVNULL,
                                 **streams_of)
            file.seek(0)
            got = file.read()
        holds(f"{device} that is a file: ends with {run.returncode}", run.returncode == 0 and got == new)
        holds(f"{device} that is a file: leaves {sorted(place.state())}",
              sorted(place.state()) == ([] if gone else ["shell.txt"]))
    # By name what standard output is open on.
    place.clean([], False)
    with open(folder / "run.json", "wb") as file:
        run = subprocess.run([PROGRAM, *words, "run.json"], cwd=folder, env=ENVIRONMENT, stdin=subprocess.DEVNULL,
                             stdout=file, stderr=subprocess.DEVNULL)
    holds("JSON into the file of standard output", (folder / "run.json").read_bytes() == new)
    place.clean([], False)
    os.mkfifo(folder / "pipe")
    reader = subprocess.Popen(["cat", "pipe"], cwd=folder, stdout=subprocess.PIPE)
    run = place.run([*words, "pipe"])
    got = reader.communicate(timeout=20)[0]
    holds("a pipe by name has not the JSON", run.returncode == 0 and got == new)
    holds("a pipe by name is replaced", stat.S_ISFIFO(os.lstat(folder / "pipe").st_mode))
    os.unlink(folder / "pipe")


def read_only(place, words):
    """A folder where nothing may be made. The superuser may, so another takes his place."""
    folder = place.folder
    place.clean(["run.json"], True)
    (folder / "run.json").chmod(0o666)
    mode = stat.S_IMODE(folder.stat().st_mode)
    folder.chmod(0o555)
    parents = [folder.parent]
    for parent in parents:
        parent.chmod(0o755)
    become = (lambda: os.setuid(65534)) if os.geteuid() == 0 else None
    try:
        subprocess.run([PROGRAM, "--version"], preexec_fn=become, check=True, stdout=subprocess.DEVNULL)
        for name in ("run.json", "other.json"):
            run = place.run([*words, name], preexec_fn=become)
            holds(f"a read-only folder: {run.returncode} {run.stderr!r}",
                  run.returncode == 3 and f"{name}: could not be created: Permission denied".encode() in run.stderr)
        holds("a read-only folder: something changes", place.state() == {"run.json": OLD})
    except (subprocess.CalledProcessError, PermissionError) as reason:
        print(f"faults: a read-only folder is left out, since no other user may run the program here: {reason}")
    finally:
        folder.chmod(mode)


PARTS = {"turn": in_turn, "stopped": stopped, "streams": streams, "size": size_limit, "disk": small_disk,
         "together": together, "names": names, "serve": serve}

if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("program")
    parser.add_argument("shim")
    parser.add_argument("--whole", action="store_true")
    parser.add_argument("--only", choices=PARTS)
    parser.add_argument("--command", choices=COMMANDS)
    parser.add_argument("--kind", choices=[*FILE_KINDS, "memory"], help="of the calls that fail in turn")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--on-small-disk")
    given = parser.parse_args()
    PROGRAM, SHIM, WHOLE = os.path.abspath(given.program), os.path.abspath(given.shim), given.whole
    rng = random.Random(given.seed)
    if given.on_small_disk:
        sys.exit(0 if on_small_disk(given.on_small_disk) else 1)
    if given.command:
        COMMANDS = {given.command: COMMANDS[given.command]}
    if given.command or given.kind:
        PARTS = {"turn": in_turn}
    with tempfile.TemporaryDirectory(prefix="faults-") as BASE:
        workers = min(4, os.cpu_count() or 1)
        with concurrent.futures.ThreadPoolExecutor(workers) as pool:
            for part, function in PARTS.items():
                if given.only in (None, part):
                    begin = time.monotonic()
                    function(pool)
                    if os.environ.get("FAULTS_TIMES"):
                        print(f"    {part}: {time.monotonic() - begin:.1f} s")
    print(f"faults: {passed} passed, {failed} failed (seed {given.seed})")
    sys.exit(failed > 0 or passed == 0)
