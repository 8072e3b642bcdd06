#!/usr/bin/env python3
"""Every command on every campaign on the edge (tests/cli/support/edge_campaigns.py).

    edges.py PROGRAM [--only CAMPAIGN] [--every N]

It answers, or refuses with one of the documented statuses and a message: no crash, no NaN or infinity in a word, a table, JSON, a
picture or a page, no "0 of 100", probabilities between 0 and 1."""
import argparse, collections, json, os, re, shutil, subprocess, sys, tempfile, time

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path[:0] = [os.path.join(os.path.dirname(HERE), *folder) for folder in (("cli", "support"), ("support",))]
import edge_campaigns, own_lists

CHARTS = [c for c in own_lists.CHARTS if c != "series"]  # which is drawn of one
NO_NUMBER = re.compile(rb"(?<![A-Za-z])-?(nan|inf|infinity)(?![A-Za-z])", re.IGNORECASE)
CERTAIN = re.compile(rb"(?<![0-9.])(0|100) of 100(?![0-9])")


def commands(name):
    few = ["--trials", "1000", "--threads", "1"]
    long = name.startswith("chain")
    at = ["--at", "T7"] if long else []
    asked = {**{c: [c, *few] for c in own_lists.RESULTS}, "check": ["check"], "fit": ["fit"], "cutoff": ["cutoff", *few, *at],
             "now": ["cutoff", *few, "--now", "T0@0:00-0:07", *at], "compare": ["compare"], "debrief": ["debrief", "R0", *few],
             "whatif": ["whatif", *few, "--scale", "T0=0.5"],
             "search": ["whatif", *few, "--search", "--allow", "exchange", "--changes", "1"],
             "against": ["forecast", *few, "--against", "before:R2"],
             "no-limit": ["forecast", *few, "--limit", "1:00"], "split": ["compare", "--split", "R1"]}
    if long:
        del asked["search"]
    made = {f"{n} {f}": [*a, "-f", f, name] for n, a in asked.items() for f in ("table", "csv", "json")}
    made.update({f"chart {c}": ["chart", c, *few, "--out", "w/c.svg", name] for c in CHARTS})
    made.update({"logsheet": ["logsheet", name], "daysheet": ["daysheet", *few, "--out", "w/d.html", name],
                 "log only": ["daysheet", "--log-only", "--out", "w/d.html", name], "series table": ["series", *few, "s-" + name],
                 "series json": ["series", *few, "-f", "json", "s-" + name],
                 "series chart": ["chart", "series", *few, "--out", "w/c.svg", "s-" + name],
                 "report": ["report", *few, "--out", "w/r", name]})
    made.update({c: [c, *few, name] for c in own_lists.the_rest(made.values(), {"start"})})  # which is of no campaign
    said = ["--minutes-in", "minutes"] if name == "days" else []  # such times are taken for seconds until it is said
    return {what: [*args[:-1], *said, args[-1]] for what, args in made.items()}


def walk(x, key=""):
    if isinstance(x, dict):
        for k, v in x.items():
            yield from walk(v, k)
    elif isinstance(x, list):
        for v in x:
            yield from walk(v, key)
    elif key.startswith("prob") and isinstance(x, (int, float)) and not 0 <= x <= 1:
        yield f"{key} {x}"


def refuse(word):
    raise ValueError(word)


def trouble_in_json(text):
    try:
        wrong = list(walk(json.loads(text, parse_constant=refuse)))
    except ValueError as e:
        return f"JSON: {e}"
    return f"JSON: {wrong[0]}" if wrong else ""


def trouble_in_text(text, what):
    if what.endswith(".html"):  # what people read, and the data; not the scripts' own words
        text = re.sub(rb"<(script|style)(?![^>]*json)[^>]*>.*?</\1>", b"", text, flags=re.DOTALL)
        text = re.sub(rb"[A-Za-z0-9+/=]{200,}", b"", text)  # numbers in base64
    if re.search(rb"[\x00-\x08\x0b-\x1f]", text) and not what.endswith(".png"):
        return f"{what}: control characters"
    for pattern in (NO_NUMBER, CERTAIN):
        found = pattern.search(text)
        if found and not what.endswith(".png"):
            return f"{what}: {text[max(0, found.start() - 60):found.end() + 20]!r}"
    return ""


def look(program, name, args):
    shutil.rmtree("w", ignore_errors=True)
    os.mkdir("w")
    try:
        p = subprocess.run([program, *args], capture_output=True, stdin=subprocess.DEVNULL, timeout=300)
    except subprocess.TimeoutExpired:
        return "hung", None
    if p.returncode not in (0, 1, 2, 3):
        return f"status {p.returncode}: {p.stderr[-200:]!r}", p.returncode
    if p.returncode > 1 and (p.stdout and args[0] != "check" or not p.stderr):
        return f"status {p.returncode} with output or without a message", p.returncode
    files = {os.path.join(d, f): open(os.path.join(d, f), "rb").read() for d, _, fs in os.walk("w") for f in fs}
    if p.returncode > 1 and files and args[0] != "check":
        return f"status {p.returncode} with files", p.returncode
    texts = {"output": p.stdout, "messages": p.stderr, **files}
    for what, text in texts.items():
        is_json = what.endswith(".json") or (what == "output" and "json" in args and text)
        trouble = trouble_in_json(text) if is_json else trouble_in_text(text, what)
        if trouble:
            return trouble, p.returncode
    return "", p.returncode


def main():
    p = argparse.ArgumentParser()
    p.add_argument("program")
    p.add_argument("--only")
    p.add_argument("--every", type=int, default=1)
    a = p.parse_args()
    program = os.path.abspath(a.program)
    top = tempfile.mkdtemp(prefix="edges-")
    os.chdir(top)
    edge_campaigns.write()
    names = sorted(os.listdir("."))
    bad = turn = total = 0
    for name in [n for n in names if not a.only or n == a.only]:
        os.mkdir("s-" + name)
        with open(f"s-{name}/series.csv", "w") as f:
            f.write(f"excursion,campaign,date\nOne,../{name},2031-04-18\nTwo,../two-runs,2031-05-09\n")
        seen, slowest = collections.Counter(), ("", 0)
        for what, args in commands(name).items():
            turn += 1
            if turn % a.every:
                continue
            begun = time.time()
            trouble, status = look(program, name, args)
            if time.time() - begun > slowest[1]:
                slowest = (what, time.time() - begun)
            seen[f"status {status}"] += 1
            if trouble:
                bad += 1
                print(f"{name}, {what}: {trouble}", flush=True)
        total += sum(seen.values())
        print(f"{name}: " + ", ".join(f"{n} {s}" for s, n in sorted(seen.items())) + f"; slowest {slowest[0]}, {slowest[1]:.1f} s", flush=True)
    os.chdir("/")
    shutil.rmtree(top, ignore_errors=True)
    print(f"edges: {total - bad} passed, {bad} failed")
    sys.exit(bad > 0)


if __name__ == "__main__":
    main()
