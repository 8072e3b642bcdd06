"""Branches of src/ that tests took, file by file, from the counts of gcov. Usage: coverage.py BUILD LEAST [ROOM | ROOM/FILE.c …]
With names: the lines there of which a branch was never taken. Fails where fewer than LEAST in 100 branches of a file were taken or have
a reason. A reason stands in the source, on the line or on the one above:  /* untested: WHY */  Some kinds of branch have theirs here.
Files that are not that far yet are listed in coverage_owed.txt with how far they are: they may not fall behind it."""
import collections
import json
import os
import re
import subprocess
import sys

# What no test can take in a program without errors of its own: WR_BUG_IF, WR_CHECK, the body of a wr_NAME_check.
IMPOSSIBLE = re.compile(r"WR_BUG_IF|WR_CHECK\b|WR_BUG\b")
CHECK_BODY = re.compile(r"(void|static void) (wr_)?\w*check\w*\(const struct wr_\w+ \*\w+\)")
# (what, why, branches that each occurrence on a line excuses)
ELSEWHERE = (
    (re.compile(r"wr_out_of_memory\("), "no memory: make faults lets the allocations of every call stack fail"),
    (re.compile(r"errno == (EINTR|EAGAIN)"), "an interrupted call: make faults interrupts each"),
    (re.compile(r"!status\b|\bstatus (==|!=) WR_OK\b|\(status\)|&& status\b|\?  *status\b"),
     "an error handed up: the compiler asks that it is looked at (WR_MUST_CHECK), and has its test where it arises"),
)
NO_SUCH_VALUE = "a switch over an enum, none of whose values is left out: the compiler asks for each (-Wswitch)"
# An if, a loop or a value of A && B, A || B: where its last operand came out both ways so did the whole; an operand before it that
# always came out one way is then gcov's count of jumps, not a way that the program never went.
OPERATOR = re.compile(r"&&|\|\|")
SAID = re.compile(r"/\* untested: (.*?) \*/")


def gcov(paths):
    said = subprocess.run(["gcov", "--json-format", "--stdout", "--branch-probabilities", *paths], capture_output=True, text=True,
                          check=True).stdout
    for part in said.splitlines():
        yield from json.loads(part)["files"]


def counts(build):
    """{file: {line: [hits, [hits of each branch]]}}, objects added up."""
    found = collections.defaultdict(dict)
    paths = sorted(os.path.join(folder, name) for folder, _, names in os.walk(os.path.join(build, "src"))
                   for name in names if name.endswith(".gcno"))
    for path in paths:
        here = collections.defaultdict(lambda: collections.defaultdict(lambda: [0, []]))
        for source in gcov([path]):
            for line in source["lines"]:  # a function compiled several times into an object has its lines several times
                entry = here[source["file"]][line["line_number"]]
                entry[0] += line["count"]
                branches = [branch["count"] for branch in line["branches"]]
                if len(branches) == len(entry[1]):
                    entry[1] = [a + b for a, b in zip(entry[1], branches)]
                else:
                    entry[1] += branches
        for name, lines in here.items():
            if not name.startswith("src/"):
                continue
            for number, (hits, branches) in lines.items():
                entry = found[name].setdefault(number, [0, [0] * len(branches)])
                entry[0] += hits
                if len(entry[1]) == len(branches):
                    entry[1] = [a + b for a, b in zip(entry[1], branches)]
    return found


def possible(text, lines):
    inside_check = False
    for number in range(1, len(text) + 1):
        source = text[number - 1]
        if re.match(r"[a-z].*\(", source):
            inside_check = bool(CHECK_BODY.match(source))
        if number in lines and not inside_check and not IMPOSSIBLE.search(source):
            yield number, source, lines[number]


def has_default(text, number):
    """Does the switch on this line have a default?"""
    indent = len(text[number - 1]) - len(text[number - 1].lstrip())
    for line in text[number:]:
        if line.startswith(" " * indent + "}"):
            return False
        if line.startswith(" " * indent + "default:"):
            return True
    return True


def went_both_ways(source, branches):
    """Is it one decision of several operands, of which the last came out both ways and each was asked?"""
    code = re.sub(r"/\*.*?\*/|\"(?:[^\"\\\\]|\\\\.)*\"", "", source)
    n = len(OPERATOR.findall(code))
    return (n > 0 and "?" not in code and len(branches) == 2 * (n + 1) and all(branches[-2:])
            and all(branches[i] or branches[i + 1] for i in range(0, len(branches), 2)))


def excused(text, number, branches):
    """How many of the missed branches of a line have a reason."""
    missed = sum(1 for taken in branches if not taken)
    if SAID.search(text[number - 1]) or (number > 1 and SAID.fullmatch(text[number - 2].strip())):
        return missed
    if re.match(r"\s*switch \(", text[number - 1]) and not has_default(text, number):
        return min(missed, 1)  # NO_SUCH_VALUE
    if went_both_ways(text[number - 1], branches):
        return missed
    return min(missed, sum(len(pattern.findall(text[number - 1])) for pattern, _ in ELSEWHERE))


def owed():
    """{file: percent}"""
    with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "coverage_owed.txt"), encoding="utf-8") as file:
        rows = [line.split() for line in file if line.strip() and not line.startswith("#")]
    return {name: float(percent) for name, percent in rows}


def main(build, least, wanted):
    bad, rooms = 0, collections.defaultdict(lambda: [0, 0, 0, 0, 0])
    rows = []
    for name, lines in sorted(counts(build).items()):
        if name.count("/") != 2:
            continue
        room, short = name.split("/")[1], name.removeprefix("src/")
        with open(name, encoding="utf-8") as file:
            text = file.read().splitlines()
        sums = [0, 0, 0, 0, 0]
        for number, source, (hits, branches) in possible(text, lines):
            missed = sum(1 for taken in branches if not taken)
            reason = excused(text, number, branches)
            for i, n in enumerate((hits > 0, 1, len(branches) - missed, reason, len(branches))):
                sums[i] += n
            if short in wanted or room in wanted:
                if missed > reason:
                    print(f"{name}:{number}: {missed - reason} of {len(branches)} branches: {source.strip()}")
                elif not hits and not missed:
                    print(f"{name}:{number}: not reached: {source.strip()}")
        rooms[room] = [a + b for a, b in zip(rooms[room], sums)]
        rows.append((short, sums))
    total = [sum(sums[i] for sums in rooms.values()) for i in range(5)]
    floors = owed()
    print(f"{'':34}{'lines':>14}{'branches taken':>23}{'or argued':>11}")
    for name, (hit, n_line, taken, reason, n) in [*rows, *sorted(rooms.items()), ("all", total)]:
        share = 100 * (taken + reason) / max(n, 1) if n else 100
        says = ""
        if "/" in name or name == "all":
            floor = min(least, floors.get(name, least))
            says = "  too few" if share < floor - 0.05 else f"  owes {least - share:.1f}" if share < least else ""
            bad += share < floor - 0.05
        if share >= least and name in floors:
            says = "  no longer owes: take its row out of coverage_owed.txt"
        print(f"{name:34}{100 * hit / max(n_line, 1):12.1f} %{taken:8} of {n:5} {100 * taken / max(n, 1):5.1f} %{share:9.1f} %{says}")
    print(f"{bad} files below what they shall have; {len(floors)} owe more")
    return 1 if bad else 0


sys.exit(main(sys.argv[1], float(sys.argv[2]), sys.argv[3:]))
