"""The line that tells how far a long command is: on a terminal after a second, wiped away, nothing elsewhere.
progress.py PROGRAM"""

import os
import pty
import re
import signal
import subprocess
import sys
import tempfile
import termios
import time

PROGRAM = os.path.abspath(sys.argv[1])
ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
SPREAD = [PROGRAM, "spread", ROOT + "/maps/estate-tolerances.ini", "--threads", "1", "--json", "-", "--samples"]
SHORT = SPREAD + ["128"]
failed = []
passed = 0
try:
    for end in pty.openpty():
        os.close(end)
except OSError as why:
    print(f"progress.py: no terminal can be made here ({why}); the line on it is not tested")
    sys.exit(0)


def holds(wrong, is_so):
    global passed
    if is_so:
        passed += 1
    else:
        failed.append(wrong)


def on_terminal(command, **environment):
    """Standard error on a terminal, standard output in a file. Returns both."""
    ours, theirs = pty.openpty()
    env = dict(os.environ, TERM="xterm")
    env.update(environment)
    with tempfile.TemporaryFile() as out:
        child = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=out, stderr=theirs, env=env)
        os.close(theirs)
        seen = b""
        while True:
            try:
                part = os.read(ours, 4096)
            except OSError:
                break
            if not part:
                break
            seen += part
        code = child.wait()
        os.close(ours)
        out.seek(0)
        return code, out.read(), seen.decode()


def left_on_screen(seen):
    """What a terminal shows at the end: a return goes to the start of the line, and what follows writes over it."""
    line = []
    at = 0
    for letter in seen:
        if letter == "\r":
            at = 0
        else:
            line[at : at + 1] = [letter]
            at += 1
    return "".join(line).rstrip(" ")


# As many samples as keep this machine busy for well over a second.
samples = 512
took = 0.0
while took < 1.4 and samples < 65536:
    samples *= 2
    LONG = SPREAD + [str(samples)]
    begun = time.monotonic()
    quiet = subprocess.run(LONG, stdin=subprocess.DEVNULL, capture_output=True, check=False)
    took = time.monotonic() - begun
code, out, seen = on_terminal(LONG)
holds("the long run ends with %d" % code, code == quiet.returncode == 0)
holds("progress changes what is computed or goes into the JSON", out == quiet.stdout and len(out) > 1000)
holds("something is said where standard error is no terminal", quiet.stderr == b"")
lines = [part for part in seen.split("\r") if part.strip()]
form = re.compile(r"solving builds: (\d+) of (\d+), (\d+) % *$")
told = [form.match(line) for line in lines]
holds("nothing is told on a terminal", len(told) > 0)
holds("a line is not of the form count, whole, share: %r" % lines[:3], all(told))
if told and all(told):
    counts = [int(m.group(1)) for m in told]
    holds("the count does not rise", counts == sorted(counts) and len(set(counts)) == len(counts))
    holds("a share is not that of its count", all(abs(100 * int(m.group(1)) / int(m.group(2)) - int(m.group(3))) <= 0.5001 for m in told))
    holds("it is told from the start, not after a second", counts[0] > 0)
holds("the line is left on the screen: %r" % left_on_screen(seen), left_on_screen(seen) == "")
holds("codes of a terminal are used", "\x1b" not in seen)
begun = time.monotonic()
code, out, seen = on_terminal(SHORT)
if time.monotonic() - begun < 1:
    holds("a short run tells its progress: %r" % seen, code == 0 and seen == "")
else:
    print("progress.py: this machine is too busy for a short run; that it says nothing is not tested")
code, out, seen = on_terminal(LONG, TERM="dumb")
holds("progress on a dumb terminal", code == 0 and seen == "")


def in_background():
    """The long run as a background job of a terminal that stops what such a job writes. Returns how it ended, as
    waitpid has it, and what came out."""
    pid, ours = pty.fork()
    if pid == 0:
        mode = termios.tcgetattr(0)
        mode[3] |= termios.TOSTOP
        termios.tcsetattr(0, termios.TCSANOW, mode)
        os.environ["TERM"] = "xterm"
        job = os.fork()
        if job == 0:
            os.setpgid(0, 0)
            os.dup2(os.open("/dev/null", os.O_WRONLY), 1)
            os.execv(LONG[0], LONG)
        try:
            os.setpgid(job, job)
        except OSError:
            pass  # it has done so itself
        _, status = os.waitpid(job, os.WUNTRACED)
        if os.WIFSTOPPED(status):
            os.kill(job, signal.SIGKILL)
        os._exit(os.WEXITSTATUS(status) if os.WIFEXITED(status) else 99)
    seen = b""
    try:
        while part := os.read(ours, 4096):
            seen += part
    except OSError:
        pass
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), seen


code, seen = in_background()
holds("a job in the background ends with %d, 99 being stopped" % code, code == 0)
holds("a job in the background writes over the prompt: %r" % seen, seen == b"")
for wrong in failed:
    print("progress.py:", wrong)
print("%d passed, %d failed" % (passed, len(failed)))
sys.exit(1 if failed else 0)
