"""Lines and branches of src/ that tests reached, by room, from the counts of gcov. Usage: coverage.py BUILD [ROOM/FILE.c …]
With files: their lines with branches never taken. Left out is what no test can take in a program without errors of its
own: the branches of WR_BUG_IF, WR_CHECK and of wr_NAME_check."""
import collections
import json
import os
import re
import subprocess
import sys

IMPOSSIBLE = re.compile(r"WR_BUG_IF|WR_CHECK\b|WR_BUG\b")


def counts(build):
    """{file: {line: [hits, {branch: hits}]}}, objects added up."""
    found = collections.defaultdict(lambda: collections.defaultdict(lambda: [0, collections.Counter()]))
    files = [os.path.join(folder, name) for folder, _, names in os.walk(os.path.join(build, "src"))
             for name in names if name.endswith(".gcno")]
    for path in sorted(files):
        said = subprocess.run(["gcov", "--json-format", "--stdout", "--branch-probabilities", path],
                              capture_output=True, text=True, check=True).stdout
        for part in said.splitlines():
            for source in json.loads(part)["files"]:
                name = source["file"]
                if not name.startswith(("src/", "include/")):
                    continue
                for line in source["lines"]:
                    entry = found[name][line["line_number"]]
                    entry[0] += line["count"]
                    for i, branch in enumerate(line["branches"]):
                        entry[1][i] += branch["count"]
    return found


def possible(name, lines):
    with open(name, encoding="utf-8") as file:
        text = file.read().splitlines()
    inside_check = False
    for number, entry in sorted(lines.items()):
        source = text[number - 1] if number <= len(text) else ""
        if re.match(r"[a-z].*\(", source):
            inside_check = bool(re.match(r"(void|static void) (wr_)?\w*check\w*\(const struct wr_\w+ \*\w+\)", source))
        if not inside_check and not IMPOSSIBLE.search(source):
            yield number, source, entry


def main(build, wanted):
    rooms = collections.defaultdict(lambda: [0, 0, 0, 0])
    for name, lines in sorted(counts(build).items()):
        room = name.split("/")[-2] if name.startswith("src/") and name.count("/") == 2 else None
        if room is None:
            continue
        for number, source, (hits, branches) in possible(name, lines):
            sums = rooms[room]
            sums[0] += hits > 0
            sums[1] += 1
            sums[2] += sum(1 for taken in branches.values() if taken)
            sums[3] += len(branches)
            if name.removeprefix("src/") in wanted or room in wanted:
                missed = sum(1 for taken in branches.values() if not taken)
                if missed:
                    print(f"{name}:{number}: {missed} of {len(branches)} branches: {source.strip()}")
                elif not hits:
                    print(f"{name}:{number}: not reached: {source.strip()}")
    print(f"{'room':10}{'lines':>8}{'':8}{'branches':>10}")
    total = [sum(sums[i] for sums in rooms.values()) for i in range(4)]
    for room, (hit, lines, taken, branches) in [*sorted(rooms.items()), ("all", total)]:
        print(f"{room:10}{hit:6} of {lines:6} {100 * hit / max(lines, 1):5.1f} % "
              f"{taken:6} of {branches:6} {100 * taken / max(branches, 1):5.1f} %")


main(sys.argv[1], sys.argv[2:])
