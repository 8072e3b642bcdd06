"""A hundred hostile texts on the pages, in a browser that would run them: nothing runs, nothing is asked for, nothing new stands
in the document; and the same texts typed into the day's page. Usage: check_hostile.py WETRUN FOLDER [PICTURES]."""
import pathlib, subprocess, sys
sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "cli/support"))
import payloads
from browser import Browser
from page_checks import check_quiet

wetrun, folder = sys.argv[1], pathlib.Path(sys.argv[2]).resolve() / "payloads"
folder.mkdir(parents=True, exist_ok=True)
LOOK = """
  const strange = Array.from(document.querySelectorAll('iframe, base, object, embed, math, marquee, img, link, [onload], [onerror], [onclick], [onmouseover], [onfocus], [ontoggle], [autofocus]'));
  const links = Array.from(document.querySelectorAll('a[href], area[href], form[action]')).filter(e => !/^(#|blob:|data:image)/.test(e.getAttribute('href') || e.getAttribute('action')));
  return [typeof window.OWNED, document.scripts.length, strange.map(e => e.outerHTML.slice(0, 100)), links.map(e => e.outerHTML.slice(0, 100)), getComputedStyle(document.body).display]"""


def look(b, what):
    owned, scripts, strange, links, shown = b.run(LOOK)
    assert owned == "undefined" and not strange and not links and shown != "none" and scripts <= 3, (what, owned, scripts, strange, links, shown)
    check_quiet(b)


def made(*words):
    done = subprocess.run([wetrun, *map(str, words), "--quiet"], capture_output=True, text=True)
    assert done.returncode in (0, 1), (words, done.stderr)


with Browser() as b:
    for g in range(payloads.GROUPS):
        campaign = folder / f"g{g}"
        payloads.make(g, str(campaign))
        made("daysheet", "--trials", "400", "--out", folder / "day.html", campaign)
        b.open(folder / "day.html")
        look(b, f"day page, group {g}")
        for n, text in enumerate(payloads.group(g)):
            b.run("""
              const fields = Array.from(document.querySelectorAll('input[type=text], input:not([type]), input[type=search]'));
              fields.forEach(f => { f.value = arguments[0]; f.dispatchEvent(new Event('input', {bubbles: true})); f.dispatchEvent(new Event('change', {bubbles: true})); });
              return fields.length""", text)
            look(b, f"day page, group {g}, typed {n}")
        b.run("localStorage.clear()")
        for chart in ("lanes", "tasks"):  # the picture as a document of its own, where scripts in it would run
            made("chart", chart, "--trials", "400", "--out", folder / "chart.svg", campaign)
            b.open(folder / "chart.svg")
            assert b.run("return [typeof window.OWNED, document.querySelectorAll('script, foreignObject, image').length]") == ["undefined", 0]
            check_quiet(b)
    for g in range(0, payloads.GROUPS, 4):
        made("report", "--trials", "400", "--limit", "1:00", "--confidence", "0.9", "--out", folder / "report", folder / f"g{g}")
        b.open(folder / "report/report.html")
        look(b, f"report, group {g}")
print(f"hostile texts: {len(payloads.PAYLOADS)} payloads on {payloads.GROUPS} day pages, typed into them, in {2 * payloads.GROUPS} pictures and {(payloads.GROUPS + 3) // 4} reports: text and nothing else")
