"""What the program does on a terminal of the test's own, as wide as is said. Usage: terminal.py PROGRAM CAMPAIGN
The bar is of standard error, comes after a second, and leaves nothing; tables are as wide as COLUMNS says, within reason."""
import os
import pty
import subprocess
import sys
import time

program, campaign = sys.argv[1:]
bad = 0


def must(so, what):
    global bad
    if not so:
        bad += 1
        print(what)


def on_terminal(args, out, err, **env):
    """Status, and what standard output and error said; True: a terminal."""
    ends = {}
    streams = {}
    for name, wanted in (("stdout", out), ("stderr", err)):
        ends[name], other = pty.openpty() if wanted else os.pipe()
        streams[name] = other
    p = subprocess.Popen([program, *args], stdin=subprocess.DEVNULL, env={**os.environ, **env}, **streams)
    for other in streams.values():
        os.close(other)
    said = {name: b"" for name in ends}
    for name, fd in sorted(ends.items()):  # errors first: little is said there before the end, and a pipe holds all of it
        while True:
            try:
                part = os.read(fd, 65536)
            except OSError:  # a terminal whose other end is closed
                part = b""
            if not part:
                break
            said[name] += part
        os.close(fd)
    return p.wait(), said["stdout"].decode(), said["stderr"].decode()


def widest(text):
    return max(len(line) for line in text.replace("\r", "").splitlines())


# tables: of 80 columns, wider where the terminal is, and never too narrow to be read
usual = on_terminal(["forecast", "--trials", "512", "-q", campaign], False, False)[1]
must(widest(usual) <= 80, "more than 80 columns without a terminal")
for columns in ("60", "100", "160"):
    status, text, _ = on_terminal(["forecast", "--trials", "512", "-q", campaign], True, False, COLUMNS=columns)
    must(status == 0 and widest(text) <= max(80, int(columns)), f"COLUMNS={columns}: {widest(text)} columns")
for columns in ("x", "-5", "0", "1", "100000", "80x", ""):
    text = on_terminal(["forecast", "--trials", "512", "-q", campaign], False, False, COLUMNS=columns)[1]
    must(text == usual, f"COLUMNS={columns} is taken for a width")
# a picture is no text
status, text, said = on_terminal(["chart", "finish", "--trials", "512", campaign], True, False)
must(status == 2 and text == "" and "a picture is not for a terminal" in said, f"a picture on a terminal: {status} {said}")
status, text, said = on_terminal(["chart", "finish", "--trials", "512", "--picture", "svg", "-q", campaign], True, False)
must(status == 0 and "<svg" in text, f"an SVG is text: {status} {said}")
# the bar: on a terminal alone, after a second, and nothing of it stays
begun = time.monotonic()
status, text, said = on_terminal(["forecast", "--trials", "300000", "--threads", "1", campaign], False, True)
took = time.monotonic() - begun
must(status == 0, f"forecast: {status} {said}")
must("[" in said and "%" in said if took > 2.5 else True, f"no bar in {took:.0f} s: {said[:200]!r}")
bars = [part for part in said.split("\r") if "[" in part and "%" in part]
shares = [int(part.split("]")[1].split("%")[0]) for part in bars]
must(all(0 <= s <= 100 for s in shares), f"shares: {shares}")
if bars:
    after = said[said.rindex(bars[-1]) + len(bars[-1]):]
    must(after.startswith("\r" + 79 * " " + "\r"), f"a bar is left on the terminal: {after[:120]!r}")
must("\r" not in text, "the bar is in the output")
for args in (["-q"], []):
    said = on_terminal(["forecast", "--trials", "512", *args, campaign], False, not args)[2]
    must(not args or "[" not in said, "a bar for --quiet")
sys.exit(bad > 0)
