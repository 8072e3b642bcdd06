#!/usr/bin/env python3
"""Texts that would be something else if anything took them for it, and what must not become of them.

    payloads.py make GROUP FOLDER       a campaign in which every text is one of the GROUP-th ten payloads
    payloads.py words GROUP FOLDER      the payloads themselves, each in a file, with a point behind it
    payloads.py look KIND FILE … …      is what stands in a file text and nothing else? KIND: terminal csv json svg html pdf

Every payload holds the word OWNED or leaves a file of that name if it is run."""
import csv, html.parser, io, json, os, re, sys, unicodedata

ESC, BEL, CSI8 = "\x1b", "\x07", "\x9b"
PAYLOADS = [
    # HTML: text, attributes, script and style positions
    "<script>OWNED=1</script>", "</script><script>OWNED=1</script>", "<img src=x onerror=OWNED=1>", "<svg onload=OWNED=1>",
    "\"><svg/onload=OWNED=1>", "'><img src=x onerror=OWNED=1>", "\" onmouseover=\"OWNED=1", "' onfocus='OWNED=1' autofocus='",
    "` onclick=OWNED=1 `", "javascript:OWNED=1", "<a href=javascript:OWNED=1>OWNED</a>", "</title><script>OWNED=1</script>",
    "</style><script>OWNED=1</script>", "</textarea><script>OWNED=1</script>", "--><script>OWNED=1</script>", "<!--OWNED", "]]><script>OWNED=1</script>",
    "<![CDATA[OWNED]]>", "&lt;script&gt;OWNED=1&lt;/script&gt;", "&#60;script&#62;OWNED=1", "&OWNED;", "<iframe srcdoc='<script>parent.OWNED=1</script>'>",
    "<base href=//owned.invalid/>OWNED", "<meta http-equiv=refresh content=0;url=//owned.invalid>OWNED", "<link rel=stylesheet href=//owned.invalid>OWNED",
    "<math><mtext><img src=x onerror=OWNED=1>", "<details open ontoggle=OWNED=1>", "<style>*{color:red}</style>OWNED", "{{OWNED}}", "${OWNED=1}",
    "\\u003cscript\\u003eOWNED=1", "\\x3cscript>OWNED=1", "\";OWNED=1;//", "';OWNED=1;//", "\\\";OWNED=1;//", "</script ><svg/onload=OWNED=1>", "<SCRIPT>OWNED=1",
    "<scr<script>ipt>OWNED=1", "OWNED\u2028OWNED=1", "__proto__ OWNED", "constructor", "toString OWNED",
    # CSS strings
    "\";}body{display:none}/*OWNED", "\\A} OWNED", "OWNED\\", "url(//owned.invalid/OWNED)", "expression(OWNED=1)",
    # gnuplot: strings, commands, substitution, data blocks
    "`touch OWNED`", "$(touch OWNED)", "\" system('touch OWNED') \"", "'; system 'touch OWNED'; '", "@OWNED", "!touch OWNED", "\n!touch OWNED\n",
    "\nEOD\nsystem 'touch OWNED'\n", "\nEND_OF_ROWS\nsystem 'touch OWNED'\n", "END_OF_ROWS OWNED", "{/=80 OWNED}", "OWNED^2_3", "%s%n%p OWNED", "\\n OWNED", "#OWNED", "\\\" OWNED",
    "| touch OWNED", "> OWNED", "; touch OWNED;", "& touch OWNED &", "\t\tOWNED\t",
    # spreadsheets
    "=cmd|'/c touch OWNED'!A1", "+1+OWNED", "-1-OWNED", "@SUM(OWNED)", "\t=OWNED()", "\r=OWNED()", "\uff1dOWNED()", "\uff0bOWNED", "=HYPERLINK(\"//owned.invalid\",\"OWNED\")", "a;=OWNED", "\"=OWNED\"",
    # terminals
    ESC + "[31mOWNED" + ESC + "[0m", ESC + "]0;OWNED" + BEL, ESC + "]8;;//owned.invalid" + ESC + "\\OWNED", CSI8 + "2JOWNED", ESC + "c OWNED", "OWNED\b\b\b\b\bSAFE", "OWNED\rSAFE",
    ESC + "P1$qOWNED" + ESC + "\\", ESC + "[6n OWNED", "\x0eOWNED\x0f", "\x7fOWNED", "\x00OWNED",
    # directions and what is not seen
    "OWNED\u202eELPMIS", "\u2066OWNED\u2069", "OWN\u200bED", "OWN\u200dED", "OWN\u00adED", "\u200eOWNED\u200f", "\ufeffOWNED", "OWN\u2060ED", "\U000e0041OWNED", "OWNED\u0301\u0301\u0301\u0301",
    # names of files, roff, printf, nothing at all
    "../../OWNED", "/etc/OWNED", ".SH OWNED", "'\\\" OWNED", "con OWNED", "~OWNED", "*?[OWNED]", "O" * 300 + "WNED", "OWNED,\"q\",;\t|",
]
SIZE = 10
GROUPS = (len(PAYLOADS) + SIZE - 1) // SIZE


def group(g):
    return [PAYLOADS[(g * SIZE + i) % len(PAYLOADS)] for i in range(SIZE)]


def make(g, folder):
    p = [t.replace("\0", "") for t in group(g)]  # a NUL is refused, and with it the table it stands in
    os.makedirs(folder, exist_ok=True)

    def write(name, rows):
        with open(os.path.join(folder, name), "w", newline="", encoding="utf-8") as f:
            csv.writer(f).writerows(rows)

    few = 5
    ids = [f"{i}{p[i]}" if i % 2 else p[i] + str(i) for i in range(few)]
    lane = ["L" + re.sub(r"[+,;/&|\s]", "", p[5])[:40], "M" + re.sub(r"[+,;/&|\s]", "", p[6])[:40]]
    write("plan.csv", [["task", "title", "kind", "crew", "after", "planned"]] +
          [[ids[i], p[(i + 5) % SIZE], p[(i + 3) % SIZE], lane[i % 2], "", 12] for i in range(few)])
    write("runs.csv", [["run", "task", "crew", "performer", "minutes", "pool " + p[7]]] +
          [[f"{r} {p[8]}", ids[i], lane[i % 2], p[(9 + i % 2) % SIZE], 8 + (r * 3 + i * 5) % 7, p[r % SIZE]] for r in range(4) for i in range(few)])
    write("limits.csv", [["limit", "crew", "minutes", "confidence"], [p[4], "all", 60, 0.9]])


# ---- what is looked at ----

def hidden(c):
    """Moves, colours or hides. Categories from the Unicode Character Database that Python carries."""
    return unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp")


def look_terminal(text):
    for i, line in enumerate(text.split("\n")):
        bad = [c for c in line if hidden(c)]
        assert not bad, f"line {i + 1} holds {bad[0]!r}: {line!r}"


def look_csv(text):
    for row in csv.reader(io.StringIO(text, newline="")):
        for cell in row:
            if "OWNED" in cell.upper():
                assert cell[0] not in "=+-@\t\r\n\uff1d\uff0b\uff0d\uff20", f"a formula: {cell!r}"
            assert not [c for c in cell if hidden(c) and c not in "\n\t\r"], f"hidden in {cell!r}"


def look_json(text):
    json.loads(text)
    assert not [c for c in text if hidden(c) and c != "\n"], "hidden in the JSON"


class Page(html.parser.HTMLParser):
    """No element and no attribute that a payload brought along. Its word may stand in text and in values that are text."""
    TEXTS = {"title", "aria-label", "alt", "value", "placeholder", "content", "data-v", "data-name", "for", "id", "name", "aria-describedby"}

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.inside, self.scripts = [], 0

    def handle_starttag(self, tag, attributes):
        assert tag not in ("iframe", "base", "math", "object", "embed", "img", "marquee"), f"<{tag}>"
        self.scripts += tag == "script"
        self.inside.append(tag)
        for name, value in attributes:
            assert not name.startswith("on") and "owned" not in name.lower(), f"{name} on <{tag}>"
            if name in ("href", "src", "action", "srcdoc", "style", "xlink:href", "formaction"):
                assert "owned" not in (value or "").lower() and "javascript:" not in (value or "").lower(), f"{name}={value} on <{tag}>"

    def handle_decl(self, text):
        assert text.lower() in ("doctype html",), text

    def unknown_decl(self, text):
        raise AssertionError(text)

    def handle_comment(self, text):
        assert "OWNED" not in text, f"a comment: {text}"

    def handle_data(self, text):
        if self.inside and self.inside[-1] == "style":
            assert "body{display:none}" not in text.replace("\\", ""), "a rule of its own"

    def handle_endtag(self, tag):
        while self.inside and self.inside.pop() != tag:
            pass


def look_html(text):
    page = Page()
    page.feed(text)
    page.close()
    assert page.scripts <= 3, f"{page.scripts} scripts"
    for block in re.findall(r'<script[^>]*type="application/json"[^>]*>(.*?)</script>', text, re.S):
        json.loads(block)
    assert not [c for c in text if hidden(c) and c not in "\n\t" and ord(c) not in (0xAD, 0x200C, 0x200D)], "hidden in the page"


def look_svg(text):
    import xml.etree.ElementTree as tree
    for e in tree.fromstring(text).iter():
        assert e.tag.split("}")[-1] not in ("script", "foreignObject", "image", "iframe"), e.tag
        for name, value in e.attrib.items():
            assert not name.lower().startswith("on"), (e.tag, name, value)
            assert "href" not in name or value.startswith("#"), (name, value)


def look_pdf(raw):
    for word in (b"/JavaScript", b"/JS", b"/Launch", b"/URI", b"/OpenAction", b"/EmbeddedFile"):
        assert word not in raw, word


def main():
    if sys.argv[1] == "count":
        print(GROUPS, len(PAYLOADS))
    elif sys.argv[1] == "make":
        make(int(sys.argv[2]), sys.argv[3])
    elif sys.argv[1] == "words":  # each in a file of its own
        for i, text in enumerate(group(int(sys.argv[2]))):
            with open(f"{sys.argv[3]}/{i}", "w", newline="", encoding="utf-8") as f:
                f.write(text.replace("\0", "") + ".")
    else:
        for path in sys.argv[2:]:
            if path in ("terminal", "csv", "json", "svg", "html", "pdf"):
                kind = path
                continue
            with open(path, "rb") as f:
                raw = f.read()
            try:
                look_pdf(raw) if kind == "pdf" else globals()["look_" + kind](raw.decode("utf-8"))
            except (AssertionError, ValueError, SyntaxError) as e:
                sys.exit(f"{path}: {type(e).__name__}: {str(e)[:300]}")


if __name__ == "__main__":
    main()
