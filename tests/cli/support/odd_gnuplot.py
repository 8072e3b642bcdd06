"""A gnuplot of the test's own that answers in every wrong way. Usage: odd_gnuplot.py PROGRAM CAMPAIGN
What is no whole picture is refused and nothing is written; what is one passes, in a PDF but for the moment at which it was drawn."""
import os
import re
import struct
import subprocess
import sys
import zlib

program, campaign = map(os.path.abspath, sys.argv[1:])
bad = 0


def must(so, what):
    global bad
    if not so:
        bad += 1
        print(what)


def draw(form, answer):
    """Status, message and what was written by a chart of this kind, with a gnuplot that answers so."""
    os.makedirs("bin", exist_ok=True)
    with open("answer", "wb") as f:
        f.write(answer)
    with open("bin/gnuplot", "w") as f:
        f.write(f"#!/bin/sh\ncat >/dev/null\ncat {os.getcwd()}/answer\n")
    os.chmod("bin/gnuplot", 0o755)
    out = f"chart.{form}"
    if os.path.exists(out):
        os.remove(out)
    p = subprocess.run([program, "chart", "finish", "--trials", "512", "-q", "--out", out, campaign], capture_output=True,
                       env={**os.environ, "PATH": os.path.abspath("bin") + ":" + os.environ["PATH"]}, check=False)
    return p.returncode, p.stderr.decode(), open(out, "rb").read() if os.path.exists(out) else None


def passes(form, answer, written=None):
    status, said, got = draw(form, answer)
    must(status == 0 and got == (answer if written is None else written), f"{form}: {answer[:60]!r}: status {status}: {said} {got and got[:80]!r}")


def refused(form, answer):
    status, said, got = draw(form, answer)
    must(status == 4 and got is None and "gnuplot gave no" in said, f"{form}: {answer[:60]!r}: status {status}: {said}")


def chunk(name, data=b""):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


# ISO/IEC 15948 (from memory): a signature, chunks, the last one named IEND
SIGNATURE = b"\x89PNG\r\n\x1a\n"
png = SIGNATURE + chunk(b"IHDR", bytes(13)) + chunk(b"IDAT", b"x" * 40) + chunk(b"IEND")
passes("png", png)
for wrong in (b"", png[:4], SIGNATURE, png[:-12], png[:-1], png + b"\n", b"GIF89a" + bytes(60), png[:8] + b"\xff\xff\xff\xff" + png[12:]):
    refused("png", wrong)
# ISO 32000-1 (from memory): %PDF- at the beginning, %%EOF at the end, /CreationDate (D:YYYYMMDDHHmmSS…)
body = b"%%PDF-1.5\n1 0 obj << /Creator (x) %s >> endobj\nxref\n%%%%EOF\n"
plain = body % b"/Producer (y)"
passes("pdf", plain)
dated = body % b"/CreationDate (D:20310304090510Z)"
passes("pdf", dated, dated.replace(b"20310304090510", b"19700101000000"))
for odd in (b"/CreationDate (D:2031-03-04 09:0)", b"/CreationDate (D:today, this day)"):
    passes("pdf", body % odd)
passes("pdf", b"%PDF-1.5 a file that ends within its date /CreationDate (D:2031%%EOF\n")
for wrong in (b"", b"%PDF-1.5\n%%EOF\n", plain[:-6], b"\n" + plain, plain.replace(b"%%EOF", b"%%END")):
    refused("pdf", wrong)
for wrong in (b"", b"<svg viewBox='0 0 9 9'>", b"</svg>", b"no picture at all", b"<svg viewBox='0 0 9 9'><path d=/></svg>"):
    status, said, got = draw("svg", wrong)
    must(status == 4 and got is None and "chart 'finish'" in said, f"svg: {wrong!r}: status {status}: {said}")

# a report, whose pictures are drawn several at once: none is taken for another, and the page is written without them
for answer in (b"", png, png + png, png * 7, b"<svg viewBox='0 0 9 9'></svg>", b"<svg viewBox='0 0 9 9'></svg>\n" * 3):
    with open("answer", "wb") as f:
        f.write(answer)
    p = subprocess.run([program, "report", "--trials", "512", "-q", "--out", "rep", campaign], capture_output=True,
                       env={**os.environ, "PATH": os.path.abspath("bin") + ":" + os.environ["PATH"]}, check=False)
    page = open("rep/report.html", encoding="utf-8").read() if os.path.exists("rep/report.html") else ""
    must(page.endswith("</html>\n") and p.returncode in (0, 4), f"report, {answer[:20]!r}: status {p.returncode}: {p.stderr.decode()}")
    pictures = os.listdir("rep/charts") if os.path.exists("rep/charts") else []
    none = "without charts" in p.stderr.decode() or "no pictures beside" in p.stderr.decode()
    must(none == (not pictures), f"report, {answer[:20]!r}: {p.stderr.decode()}, and there are {pictures}")
    must("without charts" not in p.stderr.decode() or not re.search('<svg[^>]*class="chart', page), f"report, {answer[:20]!r}: without charts, but the page has some")
    must(p.returncode == 4 or answer.startswith((b"\x89PNG", b"<svg")), f"report: no picture, and nobody is told: {answer[:20]!r}")
sys.exit(bad > 0)
