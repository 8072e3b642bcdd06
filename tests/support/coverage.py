"""Branches of src/ that tests took, file by file, from the counts of gcov. Usage: coverage.py BUILD LEAST [ROOM | ROOM/FILE.c …]
Fails where fewer than LEAST in 100 of all branches were taken or have a reason, and where nothing is said of one that was not; it says which.
With names: only what is missed there. A reason why no test takes a branch stands in the source, on the line or on the one above,
/* untested: WHY */, or beside the text of the line in coverage_reasons.txt; some kinds of branch have theirs here. A line of which a test
should still take a branch stands in coverage_owed.txt, which only shrinks."""
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


def no_way(text, number, branches):
    """How many of the missed branches of a line are none that a program could go: they are not counted."""
    missed = sum(1 for taken in branches if not taken)
    if re.match(r"\s*switch \(", text[number - 1]) and not has_default(text, number):
        return min(missed, 1)  # NO_SUCH_VALUE
    return missed if went_both_ways(text[number - 1], branches) else 0


def excused(text, number, missed):
    """How many of so many missed branches of a line have a reason."""
    if SAID.search(text[number - 1]) or (number > 1 and SAID.fullmatch(text[number - 2].strip())):
        return missed
    return min(missed, sum(len(pattern.findall(text[number - 1])) for pattern, _ in ELSEWHERE))


def read_reasons():
    """{file: {text of a line: why}} of coverage_reasons.txt: a file, four blanks and lines of it, eight and why no test takes them."""
    found, texts, said = collections.defaultdict(dict), [], False
    for row in rows_of("coverage_reasons.txt"):
        if row.startswith(" " * 8):
            here.update((text, f"{here[text]} {row.strip()}".strip()) for text in texts)
            said = True
        elif row.startswith(" " * 4):
            texts = [row.strip()] if said else [*texts, row.strip()]
            here[row.strip()], said = "", False
        else:
            here, texts, said = found[row.strip()], [], False
    return found


def read_owed():
    """{file: {text of a line}} of coverage_owed.txt: a file, four blanks and lines of it."""
    found = collections.defaultdict(set)
    for row in rows_of("coverage_owed.txt"):
        if row.startswith(" "):
            here.add(row.strip())
        else:
            here = found[row.strip()]
    return found


def rows_of(name):
    with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), name), encoding="utf-8") as rows:
        return [row.rstrip("\n") for row in rows if row.strip() and not row.startswith("#")]


def look_at(name, text, lines, said):
    """Sums of a file, and its gaps: lines with more branches missed than have a reason or are owed."""
    sums, gaps = [0] * 7, []
    for number, source, (hits, branches) in possible(text, lines):
        none = no_way(text, number, branches)
        missed = sum(1 for taken in branches if not taken) - none
        reason, owed = excused(text, number, missed), 0
        for part in (part for part in said.why[name] if missed > reason and part in source):
            said.used.add((name, part))
            reason = missed
        if missed > reason and source.strip() in said.owed[name]:
            said.used.add((name, source.strip()))
            owed = missed - reason
        if missed > reason + owed:
            gaps.append(f"src/{name}:{number}: {missed - reason} of {len(branches)} branches: {source.strip()}")
        for i, n in enumerate((hits > 0, 1, len(branches) - none - missed, reason, owed, len(branches) - none, none)):
            sums[i] += n
    return sums, gaps


class Said:
    """What the two lists say, and which of it was needed."""

    def __init__(self):
        self.why, self.owed, self.used = read_reasons(), read_owed(), set()

    def idle(self):
        """Rows about lines that are not there, or without a reason: errors. Of lines that tests take by now (the luck of threads may be
        in it) it is said that their rows can go."""
        gone = 0
        for name in sorted({*self.why, *self.owed}):
            path = os.path.join("src", name)
            source = open(path, encoding="utf-8").read() if os.path.exists(path) else ""
            for part in [*self.why[name], *self.owed[name]]:
                if part not in source or self.why[name].get(part) == "":
                    gone += 1
                    print(f"{name} has no such line, or there is no reason beside it: {part}")
                elif (name, part) not in self.used:
                    print(f"tests take it, its row can go: {name}: {part}")
        return gone


def share(part, whole):
    return 100 * part / whole if whole else 100


def main(build, least, wanted):
    said = Said()
    rooms, rows, gaps = collections.defaultdict(lambda: [0] * 7), [], []
    for path, lines in sorted(counts(build).items()):
        if path.count("/") != 2 or not os.path.exists(path):  # a file that was, in a build kept from then
            continue
        name = path.removeprefix("src/")
        room = name.split("/")[0]
        with open(path, encoding="utf-8") as file:
            sums, here = look_at(name, file.read().splitlines(), lines, said)
        rooms[room] = [a + b for a, b in zip(rooms[room], sums)]
        rows.append((name, sums))
        if not wanted or name in wanted or room in wanted:
            gaps += here
    total = [sum(sums[i] for sums in rooms.values()) for i in range(7)]
    if not wanted:
        print(f"{'':34}{'lines':>14}{'branches taken':>23}{'or argued':>11}")
        for name, (hit, n_line, taken, reason, _, n, _) in [*rows, *sorted(rooms.items()), ("all", total)]:
            print(f"{name:34}{share(hit, n_line):12.1f} %{taken:8} of {n:5} {share(taken, n):5.1f} %{share(taken + reason, n):9.1f} %")
    print("\n".join(gaps))
    bad = len(gaps) + (0 if wanted else said.idle())
    taken, reason, owed, n, none = total[2:]
    few = share(taken + reason, n) < least
    print(f"coverage: of {n} branches {taken} taken, {share(taken, n):.1f} %, and {reason} with a reason, together {share(taken + reason, n):.1f} %"
          f"{f' (fewer than {least:g})' if few else ''}; {owed} owed a test, {n - taken - reason - owed} with neither. "
          f"(gcov counts {n + none}: {none} are no ways that a program goes.)")
    return 1 if bad or few else 0


sys.exit(main(sys.argv[1], float(sys.argv[2]), sys.argv[3:]))
