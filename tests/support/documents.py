#!/usr/bin/env python3
"""What the documents say that the program prints is what it prints.

    documents.py PROGRAM [--update] FILE.md …

Commands stand in blocks of the kind `console`, behind "$ "; what they print, on either channel, follows. They run one after
the other in one scratch folder per document, in which build/wetrun, wetrun and datasets/ are those of this tree. A comment in
front of a block may say what it shows, as regular expressions, one per command in turn or one for all:

    <!-- shows: finishes go over | Half of | ^excursion -->
    <!-- status: 3 -->

Of the output the lines that match stay; of `A ... B` those from the first that matches A to the next that matches B, of
`A ...` those to the end of its paragraph. Each run of others is one line "…". Lines wider than a terminal are broken.
--update writes what is printed into the document: read the difference before it is kept."""
import os, re, subprocess, sys, tempfile, textwrap

TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))


def span(lines, pattern):
    """The numbers of the lines that a pattern means."""
    first, dots, last = pattern.strip().partition(" ...")
    begins = [i for i, line in enumerate(lines) if re.search(first, line)]
    if not begins:
        print("nothing printed matches", first)
        return set()
    if not dots:
        return set(begins)
    end = begins[0]
    while end + 1 < len(lines) and (not re.search(last.strip(), lines[end]) if last else lines[end + 1]):
        end += 1
    return set(range(begins[0], end + 1))


def broken(line):
    return textwrap.wrap(line, 80, break_long_words=False, break_on_hyphens=False) if len(line) > 80 else [line]


def shown(text, pattern):
    """The lines that are shown, and one "…" for each run of others."""
    lines, out = [line.rstrip() for line in text.splitlines()], []
    keep = set(range(len(lines)))
    if pattern is not None:
        keep = set().union(*(span(lines, p) for p in pattern.split(" | ")))
    for i, line in enumerate(lines):
        if i in keep:
            out += broken(line)
        elif not out or out[-1] != "…":
            out.append("…")
    return out


def run(command, folder, environment, status):
    r = subprocess.run(["sh", "-c", command], cwd=folder, env=environment, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                       stderr=subprocess.STDOUT, encoding="utf-8")
    if r.returncode != status:
        print(f"exit status {r.returncode}, wanted {status}: {command}\n{r.stdout}")
        return None
    return r.stdout


def renew(path, program):
    """The document as it should be."""
    lines, out, i = open(path, encoding="utf-8").read().split("\n"), [], 0
    pattern, status, good, n = None, 0, True, 0
    with tempfile.TemporaryDirectory() as folder:
        os.mkdir(folder + "/build")
        os.symlink(program, folder + "/build/wetrun")
        os.symlink(TOP + "/datasets", folder + "/datasets")
        environment = {"PATH": folder + "/build:" + os.environ["PATH"], "HOME": folder, "LC_ALL": "C.UTF-8"}
        while i < len(lines):
            said = re.match(r"<!-- (shows|status): (.*) -->$", lines[i])
            if said and said[1] == "shows":
                pattern = said[2]
            elif said:
                status = int(said[2])
            if lines[i] != "```console":
                out.append(lines[i])
                i += 1
                continue
            out.append(lines[i])
            end = lines.index("```", i)
            commands = [line[2:] for line in lines[i + 1:end] if line.startswith("$ ")]
            for command in commands:
                printed = run(command, folder, environment, status if command == commands[-1] else 0)
                good, n = good and printed is not None, n + 1
                out.append("$ " + command)
                out += shown(printed or "", pattern if command == commands[-1] else None)
            i, pattern, status = end, None, 0
    return "\n".join(out), good, n


def main():
    program = os.path.abspath(sys.argv[1])
    update = "--update" in sys.argv
    bad = False
    for path in [a for a in sys.argv[2:] if a != "--update"]:
        text, good, n = renew(path, program)
        bad = bad or not good
        with open(path, encoding="utf-8") as f:
            before = f.read()
        if good and update and text != before:
            with open(path, "w", encoding="utf-8") as f:
                f.write(text)
            print(path, "written")
        elif text != before:
            bad = True
            for a, b in zip(before.split("\n"), text.split("\n")):
                if a != b:
                    print(f"{path} says : {a}\nit prints: {b}")
                    break
            print("`make documents` writes what the program prints: read the difference, it may be a fault")
        else:
            print(f"{path}: {n} commands print what it says")
    return bad


sys.exit(main())
