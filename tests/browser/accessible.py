"""An outside checker of accessibility (axe-core, from npm by name) run inside a page. Without it the comparison is said to be skipped."""
import os, pathlib

_text = None
if os.environ.get("AXE"):
    _text = pathlib.Path(os.environ["AXE"]).read_text()


def check_accessible(b, name):
    if _text is None:
        return
    b.cdp("Runtime.evaluate", {"expression": _text})  # past the page's own policy, as a checker may
    b.run("window.axeDone = null; axe.run(document, {resultTypes: ['violations']}).then(r => { window.axeDone = r.violations; }, e => { window.axeDone = [{id: String(e), nodes: []}]; })")
    found = b.wait("return window.axeDone && {list: window.axeDone.map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 140) + ' ' + (n.any[0] ? n.any[0].message : '')).join(' | '))}")["list"]
    assert not found, f"{name}: axe-core found {found}"
