"""What a campaign's screens say: every command as text, CSV and JSON, and the report's page as a browser shows it."""
import csv, io, json, pathlib, re, subprocess, sys

sys.path[:0] = [str(pathlib.Path(__file__).resolve().parents[1] / folder) for folder in ("browser", "support")]
import own_lists

# What is asked of each campaign, beside its folder: every command but those that write a form, a picture or a page, of which the
# report's is read as one, and that of several campaigns, which tests/series/ looks at.
COMMANDS = {c: [] for c in own_lists.COMMANDS if c not in ("start", "logsheet", "daysheet", "series", "chart", "report")}
WITHOUT_TRIALS = {"check", "compare", "runs-needed"}  # of the last --trials says how many futures


class Refused(Exception):
    """The command said that the campaign has not enough for it."""


def run(wetrun, arguments):
    done = subprocess.run([wetrun, *arguments], capture_output=True, text=True)
    if done.returncode == 3 or (done.returncode == 2 and not done.stdout):
        raise Refused(done.stderr.strip())
    assert done.returncode in (0, 1), f"{arguments}: exit status {done.returncode}: {done.stderr}"
    return done.stdout


def ask(wetrun, command, options, folder, trials, form):
    arguments = [command, *options, str(folder), "--quiet", "--format", form]
    if trials and command not in WITHOUT_TRIALS:
        arguments += ["--trials", str(trials)]
    return run(wetrun, arguments)


class Screens:
    """text, csv and json by command; page: its blocks of text and its tables; report: report.json."""

    def __init__(self, wetrun, folder, out, trials, options, of_report=(), forms=("table", "csv", "json")):
        self.trials, self.folder, self.text, self.csv, self.json, self.refused = trials, folder, {}, {}, {}, {}
        for command, more in options.items():
            try:
                for form in forms:
                    answer = ask(wetrun, command, more, folder, trials, form)
                    if form == "table":
                        self.text[command] = answer
                    elif form == "csv":
                        self.csv[command] = list(csv.DictReader(io.StringIO(answer)))
                    else:
                        self.json[command] = json.loads(answer)
            except Refused as why:
                self.refused[command] = str(why)
        out.parent.mkdir(parents=True, exist_ok=True)
        done = subprocess.run([wetrun, "report", str(folder), "--out", str(out), "--quiet", *of_report, *(["--trials", str(trials)] if trials else [])], capture_output=True, text=True)
        assert done.returncode == 0 or "gnuplot" in done.stderr, done.stderr
        self.has_charts = done.returncode == 0
        self.page_file = out / "report.html"
        self.report = json.loads((out / "report.json").read_text())

    def read_page(self, browser):
        browser.open(self.page_file)
        self.blocks = browser.run(BLOCKS)
        self.tables = browser.run(TABLES)
        self.tried = json.loads(browser.run("const e = document.getElementById('try-data'); return e ? e.textContent : 'null'"))


# Every block of text that is no table: its words as they are read, without the texts of drawings.
BLOCKS = """
  const out = [];
  for (const e of document.querySelectorAll('title, h1, h2, h3, p, li, caption, summary, output')) {
    if (e.closest('svg, nav, .glossary, .meaning')) continue;
    const text = e.textContent.replace(/\\s+/g, ' ').trim();
    if (text) out.push([e.tagName.toLowerCase() + (e.className ? '.' + e.className : ''), text]);
  }
  return out"""

TABLES = """
  const out = {};
  for (const c of document.querySelectorAll('caption[id]')) {
    const t = c.closest('table'), cells = r => Array.from(r.cells).map(e => e.textContent.replace(/\\s+/g, ' ').trim());
    out[c.id] = {head: cells(t.tHead.rows[0]), rows: Array.from(t.tBodies[0].rows).map(cells)};
  }
  return out"""


def prose_and_rows(text):
    """The paragraphs of a command's text, and its tables as (widths of the columns, head lines, rows)."""
    lines, tables, taken = text.split("\n"), [], set()
    for i, line in enumerate(lines):
        if not line.startswith("-") or set(line) - set("- "):
            continue
        edges, top, end = spans(line), i, i + 1
        while top > 0 and lines[top - 1].strip() and fits(lines[top - 1], edges) and top - 1 not in taken:
            top -= 1
        while end < len(lines) and lines[end].strip() and fits(lines[end], edges):
            end += 1
        tables.append((edges, lines[top:i], [cells(row, edges) for row in lines[i + 1:end]]))
        taken.update(range(top, end))
    paragraphs, current = [], []
    for i, line in enumerate(lines + [""]):
        if (i in taken or not line.strip()) and current:
            paragraphs.append(" ".join(" ".join(current).split()))
            current = []
        if i not in taken and line.strip():
            current.append(line)
    return paragraphs, tables


# "(what is not yet known)   16 %": what stands in brackets goes on over blank cells.
OVER_BLANKS = re.compile(r"( *\([^()]*\)) +(\S.*)?")


def cells(row, edges):
    wide = OVER_BLANKS.fullmatch(row)
    if wide:
        return [wide.group(1).strip(), (wide.group(2) or "").strip()]
    return [row[a:b].strip() for a, b in edges[:-1]] + [row[edges[-1][0]:].strip()]


def spans(rule):
    edges, at = [], 0
    for part in rule.split("  "):
        if part:
            edges.append((at, at + len(part)))
        at += len(part) + 2
    return edges


def fits(line, edges):
    """Nothing stands between the columns."""
    gaps = [(edges[i][1], edges[i + 1][0]) for i in range(len(edges) - 1)]
    if OVER_BLANKS.fullmatch(line):
        return len(line) <= edges[-1][1] + 1 and len(edges) > 1
    return len(line) <= edges[-1][1] + 1 and all(line[a:b].strip() == "" for a, b in gaps) and (len(edges) > 1)
