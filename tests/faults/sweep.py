#!/usr/bin/env python3
"""Lets allocations fail, one at a time, from every call stack of every command (fail_alloc.c says how).

    sweep.py PROGRAM PRELOAD [--every N] [--only COMMAND] [--skip COMMAND]

A run with a failed allocation must end in one of these ways, and in no other:
  absorbed     the same output, files and status as without the fault
  refused      the documented status for no memory, a message, and nothing else: no output, no file, no broken file
A signal, another status, part of an output, a time-out or a left-over file is a fault of the program. Single-threaded, so
that allocation number N is the same in every run."""
import argparse, collections, os, shutil, signal, subprocess, sys, tempfile
import campaigns

NO_MEMORY = 5
DEMO = os.path.join(os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__)))), "datasets", "petrel-7")
COMMANDS = {**campaigns.COMMANDS, "demo-check": ["check", DEMO], "demo-compare": ["compare", "-f", "json", "--by", "pool", DEMO],
            "demo-fit": ["fit", *campaigns.FEW, DEMO], "demo-cutoff": ["cutoff", "--at", "SHADE", *campaigns.FEW, DEMO]}


def judge(got, whole):
    status, speaks, size, everything = got
    if os.WIFSIGNALED(status):
        return "hung" if os.WTERMSIG(status) == signal.SIGALRM else f"signal {os.WTERMSIG(status)}"
    if (status, everything) == (whole[0], whole[3]):
        return "absorbed"
    code = os.WEXITSTATUS(status)
    if code != NO_MEMORY or not speaks:
        return f"status {code}" if code != NO_MEMORY else "refused without a word"
    if size:
        return f"output with status {code}"
    return "refused"


def make_place(top):
    """A folder for copies of the process to work in: the campaigns are there by links, the output is its own."""
    place = os.path.join(top, "copy")
    os.makedirs(os.path.join(place, "w"))
    for name in {path.split("/")[0] for path in campaigns.FILES}:
        os.symlink(os.path.join("..", name), os.path.join(place, name))
    return place


def read_lines(listing):
    done, later, nothing = {}, [], None
    with open(listing) as f:
        for line in f:
            words = line.split()
            if words[0] == "nothing":
                nothing = words[1]
            elif words[1] == "later":
                later.append(int(words[0]))
            else:
                done[int(words[0])] = (int(words[1]), words[2] == "1", int(words[3]), words[4])
    return done, later, nothing


def sweep_one(program, preload, top, args, every):
    """Verdicts by allocation number, or what is wrong before any fails."""
    place, listing = os.path.join(top, "copy"), os.path.join(top, "listing")

    def run(folder, **env):
        shutil.rmtree(os.path.join(top, "w"), ignore_errors=True)
        os.mkdir(os.path.join(top, "w"))
        return subprocess.run([program, *args], cwd=folder, stdin=subprocess.DEVNULL, capture_output=True,
                              env={**os.environ, "LC_ALL": "C", "LD_PRELOAD": preload, "FAULT_SWEEP": listing, "FAULT_FOLDER": place, **env})

    first = run(top, FAULT_EVERY=str(every))
    if first.returncode not in (0, 1):
        return None, f"does not run: status {first.returncode}: {first.stderr[-300:].decode(errors='replace')}"
    done, later, nothing = read_lines(listing)
    whole = done.pop(0)
    if os.WEXITSTATUS(whole[0]) != first.returncode:
        return None, "a copy in which nothing fails ends in another way"
    for at in [n for n in later if n]:
        p = run(place, FAULT_AT=str(at), FAULT_SWEEP=os.devnull, FAULT_EVERY=str(1 << 62))
        files = [f for _, _, names in os.walk(os.path.join(place, "w")) for f in names]
        if p.returncode < 0:
            done[at] = (-p.returncode, False, 0, "")
        elif p.returncode == first.returncode and p.stdout == first.stdout:
            done[at] = whole
        else:
            done[at] = (p.returncode << 8, b"memory" in p.stderr, len(p.stdout) + len(files), "")
        shutil.rmtree(os.path.join(place, "w"))
        os.mkdir(os.path.join(place, "w"))
    verdicts = {at: judge(got, whole) for at, got in done.items()}
    verdicts.update({at: "files with status 5" for at, got in done.items() if verdicts[at] == "refused" and got[3] not in ("", nothing)})
    return verdicts, None


def main():
    p = argparse.ArgumentParser()
    p.add_argument("program")
    p.add_argument("preload")
    p.add_argument("--every", type=int, default=1, help="only one stack in N")
    p.add_argument("--only", help="one command")
    p.add_argument("--skip", help="all but this command")
    a = p.parse_args()
    program, preload = os.path.abspath(a.program), os.path.abspath(a.preload)
    top = tempfile.mkdtemp(prefix="faults-")
    campaigns.write(top)
    make_place(top)
    bad = 0
    total = collections.Counter()
    for name, args in COMMANDS.items():
        if (a.only and name != a.only) or name == a.skip:
            continue
        verdicts, trouble = sweep_one(program, preload, top, args, a.every)
        if trouble:
            print(f"{name}: {trouble}")
            bad += 1
            continue
        wrong = [f"{at}: {v}" for at, v in sorted(verdicts.items()) if v not in ("absorbed", "refused")]
        bad += len(wrong)
        for line in wrong[:4]:
            print(f"{name}: allocation {line}")
        seen = collections.Counter(verdicts.values())
        total += seen
        print(f"{name}: {len(verdicts)} call stacks, " + ", ".join(f"{n} {v}" for v, n in seen.most_common()), flush=True)
    shutil.rmtree(top, ignore_errors=True)
    n = sum(total.values())
    print(f"all: {n} call stacks, " + ", ".join(f"{n} {v}" for v, n in total.most_common()))
    print(f"{n - bad} passed, {bad} failed")
    sys.exit(bad > 0)


if __name__ == "__main__":
    main()
