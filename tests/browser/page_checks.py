"""What every page of ours must keep: nothing asked for, nothing complained of, all of it within reach of the keyboard, no text on another."""
from browser import SHIFT, TAB


def check_quiet(b):
    said, asked = b.console(), b.requests()
    assert not said, f"the console says: {said[:3]}"
    assert not asked, f"the page asked for: {asked[:3]}"


# Elements that a pointer can use and that can be seen.
USABLE = """
  return Array.from(document.querySelectorAll('a[href], button, input, select, summary, [tabindex="0"]')).filter(e => {
    const box = e.getBoundingClientRect();
    return !e.disabled && box.width > 0 && box.height > 0 && getComputedStyle(e).visibility !== 'hidden' && !e.closest('details:not([open]) > :not(summary)');
  })"""


def reach_by_keyboard(b, name):
    """Tab from the top reaches every usable element once, and each shows that it has the focus."""
    wanted = b.run(f"window.wanted = (() => {{ {USABLE} }})(); window.reached = new Set(); window.bare = []; return window.wanted.length")
    b.run("document.activeElement.blur(); window.scrollTo(0, 0)")
    for _ in range(wanted + 10):
        b.keys(TAB)
        more = b.run("""
          const e = document.activeElement;
          if (window.reached.has(e)) return false;
          if (e === document.body) return true;
          const s = getComputedStyle(e);
          if (s.outlineStyle === 'none' || parseFloat(s.outlineWidth) === 0) window.bare.push(e.outerHTML.slice(0, 120));
          window.reached.add(e);
          return true""")
        if not more:
            break
    left = b.run("return window.wanted.filter(e => !window.reached.has(e) && !(e.type === 'radio')).map(e => e.outerHTML.slice(0, 120))")
    assert not left, f"{name}: not reached by the keyboard: {left[:5]}"
    assert not b.run("return window.bare"), f"{name}: no sign of focus: {b.run('return window.bare')[:5]}"


def check_no_overlap(b, name):
    """No box of text lies on another, and nothing sticks out at the side."""
    assert b.run("return document.documentElement.scrollWidth <= document.documentElement.clientWidth"), f"{name}: wider than the window"
    faults = b.run("""
      const boxes = [], walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), faults = [];
      for (let t; (t = walker.nextNode());) {
        const e = t.parentElement;
        if (!t.data.trim() || !e.checkVisibility({visibilityProperty: true}) || e.closest('.aside, .bar, .skip, svg, script, style, option, noscript')) continue;
        const range = document.createRange();
        range.selectNodeContents(t);
        for (const r of range.getClientRects()) {
          const trim = r.height * 0.2;
          if (r.width > 1 && r.height > 1) boxes.push({l: r.left, r: r.right, t: r.top + trim, b: r.bottom - trim, text: t.data.trim().slice(0, 40), e});
        }
      }
      boxes.sort((p, q) => p.t - q.t);
      for (let i = 0; i < boxes.length; i++)
        for (let j = i + 1; j < boxes.length && boxes[j].t < boxes[i].b; j++) {
          const p = boxes[i], q = boxes[j];
          if (p.l < q.r - 1 && q.l < p.r - 1 && p.t < q.b - 0.5) faults.push(`'${p.text}' on '${q.text}'`);
        }
      return faults""")
    assert not faults, f"{name}: {len(faults)} overlaps: {faults[:5]}"
