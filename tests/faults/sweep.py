#!/usr/bin/env python3
"""Lets allocations fail, one at a time, from every call stack of every command.

    sweep.py PROGRAM PRELOAD [--every N] [--offset K] [--only COMMAND] [--skip COMMAND]

A run with a failed allocation must end in one of these ways, and in no other:
  absorbed     the same output and status as without the fault
  refused      the documented status for no memory, one message, and nothing else: no output, no file, no broken file
A signal, another status, part of an output, a time-out or a left-over file is a fault of the program. Single-threaded, so
that allocation number N is the same in every run."""
import argparse, collections, os, shutil, subprocess, sys, tempfile

NO_MEMORY = 5
TOP = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
DEMO = os.path.join(TOP, "datasets", "petrel-7")
FEW = ["--trials", "512", "--threads", "1"]
COMMANDS = {
    "check": ["check", DEMO], "check-json": ["check", "-f", "json", DEMO],
    "fit": ["fit", "-f", "json", *FEW, DEMO], "forecast": ["forecast", *FEW, DEMO],
    "forecast-json": ["forecast", "-f", "json", *FEW, DEMO], "pad": ["pad", *FEW, DEMO],
    "cutoff": ["cutoff", "--at", "SHADE", *FEW, DEMO], "now": ["cutoff", "--now", "OUT@0:00-0:20", "--at", "SHADE", *FEW, DEMO],
    "compare": ["compare", "-f", "json", "--by", "pool", DEMO], "debrief": ["debrief", "P7-9", *FEW, DEMO],
    "logsheet": ["logsheet", DEMO], "ready": ["ready", "-f", "csv", *FEW, DEMO], "backtest": ["backtest", *FEW, DEMO],
    "whatif": ["whatif", "--drop", "STAGE-REEL", *FEW, DEMO],
    "search": ["whatif", "--search", "--changes", "1", *FEW, DEMO],
    "plan-alone": ["forecast", *FEW, os.path.join(TOP, "datasets", "petrel-8-sketch")],
    "chart": ["chart", "lanes", "--picture", "png", *FEW, "--out", "OUT", DEMO],
    "report": ["report", *FEW, "--out", "OUT", DEMO], "manual": ["--manual"],
    "start": ["start", "OUT"], "complete": ["--complete", "1", "debrief", "", DEMO],
}


def run(program, args, env, folder):
    full = [program] + [os.path.join(folder, "out") if a == "OUT" else a for a in args]
    try:
        p = subprocess.run(full, env=env, cwd=folder, stdin=subprocess.DEVNULL, capture_output=True, timeout=120)
    except subprocess.TimeoutExpired:
        return None, b"", b"", ()
    files = sorted(os.path.relpath(os.path.join(d, f), folder) for d, _, names in os.walk(folder) for f in names)
    return p.returncode, p.stdout, p.stderr, tuple(files)


def judge(got, whole):
    status, out, err, files = got
    if status is None:
        return "hung"
    if status < 0 or status >= 128:
        return f"signal {-status if status < 0 else status - 128}"
    if status == whole[0] and out == whole[1]:
        return "absorbed" if files == whole[3] else "other files"
    if out:
        return f"output with status {status}"
    if files:
        return f"files with status {status}"
    if status != NO_MEMORY:
        return f"status {status}"
    return "refused" if b"memory" in err else "refused without a word"


def main():
    p = argparse.ArgumentParser()
    p.add_argument("program")
    p.add_argument("preload")
    p.add_argument("--every", type=int, default=1, help="only one stack in N")
    p.add_argument("--only", help="one command")
    p.add_argument("--skip", help="all but this command")
    p.add_argument("--offset", type=int, default=0)
    a = p.parse_args()
    program, preload = os.path.abspath(a.program), os.path.abspath(a.preload)
    bad = 0
    total = collections.Counter()
    for name, args in COMMANDS.items():
        if (a.only and name != a.only) or name == a.skip:
            continue
        scratch = tempfile.mkdtemp(prefix="faults-")
        env = {**os.environ, "LD_PRELOAD": preload, "LC_ALL": "C"}
        listing = os.path.join(scratch, "stacks")
        folder = os.path.join(scratch, "w")

        def fresh():
            shutil.rmtree(folder, ignore_errors=True)
            os.mkdir(folder)

        fresh()
        whole = run(program, args, {**env, "FAULT_RECORD": listing}, folder)
        if whole[0] is None or whole[0] not in (0, 1):
            print(f"{name}: does not run: status {whole[0]}: {whole[2][:200]}")
            bad += 1
            continue
        with open(listing) as f:
            stacks = [line.strip() for line in f]
        seen = collections.Counter()
        for at in stacks[a.offset % a.every::a.every]:
            fresh()
            verdict = judge(run(program, args, {**env, "FAULT_AT": at}, folder), whole)
            seen[verdict] += 1
            if verdict not in ("absorbed", "refused"):
                bad += 1
                if seen[verdict] <= 3:
                    print(f"{name}: allocation {at}: {verdict}")
        total += seen
        print(f"{name}: {len(stacks)} call stacks, " + ", ".join(f"{n} {v}" for v, n in seen.most_common()), flush=True)
        shutil.rmtree(scratch, ignore_errors=True)
    n = sum(total.values())
    print(f"{n - bad} passed, {bad} failed")
    sys.exit(bad > 0)


if __name__ == "__main__":
    main()
