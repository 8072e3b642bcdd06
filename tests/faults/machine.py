#!/usr/bin/env python3
"""The machine fails: one system call of every command that reads and writes, signals at any moment, two at once.

    machine.py PROGRAM PRELOAD [--every N] [--full] [--only COMMAND] [--slowly]

A run in which a call fails must end in one of these ways, and in no other:
  absorbed   the same output, files and status as without the fault
  refused    the documented status (3 what is read, 4 what is written, 5 no memory), a message with the system's reason, and
             nothing else: an old report as it was, byte for byte, no file that was not there
  shown      `check` alone, whose findings about the rest are of use when a file cannot be read: status 3 and the reason
  unsaid     `start` alone: its files are there and whole, and what to do with them could not be said: status 4
  fewer      completion alone, which offers what it could read
  left       all is new and whole, but an old file that it replaced, or the note about unfinished ones, could not be removed: status
             4 with the reason
  partly     `report` alone: page and JSON new and whole, pictures missing, and it says so with status 4
Every call fails, of poll and read the first, the second and the last from each call stack: while gnuplot draws there are thousands;
and of the times that `report` has gnuplot draw the first, the second and the last.
What is read is the same for every format of an answer: there reading fails once for all of them.
Small campaigns, so that a run takes a moment; one thread, so that call number N is the same in every run. With more, of which some
cannot be had ("threads"), the answer is the same. What comes before a call is computed once: it fails in a copy of the process, made
where no file and no child is held (fail_call.c), and a picture is drawn once (play_back). --slowly runs the whole command for each."""
import argparse, collections, ctypes, errno, fcntl, os, random, shutil, signal, socket, subprocess, sys, tempfile, time
import campaigns

COMMANDS = {**campaigns.COMMANDS, "threads": ["forecast", "--trials", "4096", "--threads", "6", "-f", "json", "c"]}
ALL = "ENOSPC EIO EINTR EMFILE EACCES"
CALLS = {"write": ALL + " HALF", "read": ALL + " HALF", "fsync": ALL, "close": ALL, "rename": ALL, "link": ALL + " ENOENT",
         "swap": ALL + " EINVAL", "open": ALL + " ENOENT", "pipe": ALL, "fork": ALL + " EAGAIN", "poll": ALL + " ENOMEM", "mkdir": ALL,
         "lock": ALL + " ENOLCK", "unlink": ALL, "thread": "EAGAIN", "folder": "EIO EMFILE EACCES ENOENT"}
CLOSE_READ = "EIO EINTR"  # of a file that was only read: that changes nothing, and tells nobody
ONCE = "EINTR ENOENT KILL"
KILLED_AT = "fsync close link swap rename unlink"
NOTE = "w/r/UNFINISHED.txt"
GOOD = ("absorbed", "refused", "partly", "shown", "unsaid", "fewer", "left")


def files_of(top):
    got = {}
    for folder, _, names in os.walk(os.path.join(top, "w")):
        for name in names:
            path = os.path.join(folder, name)
            with open(path, "rb") as f:
                got[os.path.relpath(path, top)] = f.read()
    return got


def fresh(top, as_in=None):
    """The working folder as it is before each run, an old report and old files where new ones go; or as another folder is."""
    w = os.path.join(top, "w")
    shutil.rmtree(w, ignore_errors=True)
    shutil.copytree(as_in or os.path.join(top, "old"), w)


def same_places():
    """A run has its code at the same addresses as another: call stacks can be told again."""
    ADDR_NO_RANDOMIZE = 0x0040000
    ctypes.CDLL(None).personality(ADDR_NO_RANDOMIZE)


def run(program, args, env, top, limit=150, before=None):
    try:
        p = subprocess.run([program, *args], env=env, cwd=top, stdin=subprocess.DEVNULL, capture_output=True, timeout=limit,
                           preexec_fn=before)
    except subprocess.TimeoutExpired:
        return None, b"", b"", files_of(top)
    return p.returncode, p.stdout, p.stderr, files_of(top)


def is_partly(name, got, whole, before):
    """Page and JSON are new and whole; of the pictures only those that were drawn, as they would have been."""
    status, out, err, files = got
    if not name.startswith("report") or status != 4 or b"the page and the JSON were written" not in err:
        return False
    place = "w/r/" if name == "report" else "w/new/"
    for path, bytes_ in files.items():
        if not path.startswith(place):
            if before.get(path) != bytes_:
                return False
        elif path.endswith(".json"):
            if bytes_ != whole[3][path]:
                return False
        elif path.endswith(".html"):
            if not bytes_.endswith(b"</html>\n") or b"Charts are missing" not in bytes_:
                return False
        elif bytes_ != whole[3].get(path):
            return False
    return place + "report.html" in files and place + "report.json" in files


def judge(name, got, whole, before, reason):
    status, out, err, files = got
    if status is None:
        return "hung"
    if status < 0:
        return f"signal {-status}"
    if status == whole[0] and out == whole[1] and files == whole[3]:
        return "absorbed"
    if name == "threads":
        return "another answer with fewer threads"
    if status == 4 and reason.encode() in err and b"could not be removed" in err and all(files.get(p) == b for p, b in whole[3].items()) \
            and all(p == NOTE or p.endswith((".part", "/UNFINISHED.txt")) for p in set(files) - set(whole[3])):
        return "left"
    if is_partly(name, got, whole, before):
        return "partly"
    if name == "complete" and status == 0 and files == before and set(out.splitlines()) <= set(whole[1].splitlines()):
        return "fewer"
    if status not in (3, 4, 5):
        return f"status {status}"
    if name == "start" and status == 4 and files == whole[3] and reason.encode() in err:
        return "unsaid"
    if name.startswith("check") and status == 3 and all(files.get(p) == before.get(p) for p in set(files) | set(before)
                                               if p not in ("w/c.txt", "w/rejected.csv")):
        return "shown" if reason.encode() in err else "shown without the reason"
    if files != before:
        changed = sorted(p for p in set(files) | set(before) if files.get(p) != before.get(p))
        return "files changed: " + ", ".join(changed[:4])
    if not whole[1].startswith(out):
        return "other output"
    if reason.encode() not in err and b"memory" not in err:
        return "refused without the reason: " + err.decode(errors="replace")[-200:]
    return "refused"


def cpu():
    return sum(os.times()[:4])


def number_of(error):
    return -1 if error == "HALF" else 0 if error == "KILL" else getattr(errno, error)


def run_logged(program, args, env, top):
    """What it does whole, and its calls: name, call stack, whether nothing is held there."""
    log = os.path.join(top, "log")
    whole = run(program, args, {**env, "FAULT_LOG": log}, top, before=same_places)
    with open(log) as f:
        return whole, [(name, stack, free == "1") for name, stack, free in map(str.split, f)]


def stretches_of(calls):
    """The calls from each at which nothing is held to the next: by name, the call stacks in their order."""
    got = []
    for name, stack, free in calls:
        if free:
            got.append(collections.defaultdict(list))
        got[-1][name].append(stack)
    return got


def first_and_last(stacks):
    """Where the first, the second and the last from each call stack are."""
    places = collections.defaultdict(list)
    for at, stack in enumerate(stacks):
        places[stack].append(at)
    return sorted({at for those in places.values() for at in (*those[:2], those[-1])})


def numbers_of(name, stacks):
    """Which of a stretch's calls of this name fail."""
    return [at + 1 for at in (first_and_last(stacks) if name in ("poll", "read") else range(len(stacks)))]


def without_alike(stretches):
    """Of those in which gnuplot draws, from each call stack the first, the second and the last: nothing is tried in others."""
    drawn = [i for i, s in enumerate(stretches) if s["fork"]]
    tried = {drawn[at] for at in first_and_last([stretches[i]["fork"][0] for i in drawn])}
    return [s if i in tried or i not in drawn else collections.defaultdict(list) for i, s in enumerate(stretches)]


def only_reads(stretch):
    return not any(stacks for name, stacks in stretch.items() if name not in ("open", "read", "close", "folder"))


def faults_of(stretch, calls, every, turn, done):
    """Those of reading once for all formats of an answer: `done` has where they were met."""
    reads = only_reads(stretch)
    for name, errors in {**calls, **({"close": CLOSE_READ} if reads and calls is CALLS else {})}.items():
        for at in numbers_of(name, stretch[name]):
            key = (name, at, stretch[name][at - 1])
            if reads and key in done:
                continue
            done.add(key)
            for error in errors.split():
                for on in (0, 1) if error not in ONCE and not (reads and name == "close") else (0,):
                    if next(turn) % every == 0:
                        yield name, at, on, error


class Copied:
    """What the program has done so far, to be put back after each copy of it, which shares its output and works in its folder."""

    def __init__(self, top):
        self.top, self.kept = top, os.path.join(top, "kept")
        self.said = {name: os.path.getsize(os.path.join(top, name)) for name in ("out", "err")}
        shutil.rmtree(self.kept, ignore_errors=True)
        shutil.copytree(os.path.join(top, "w"), self.kept)

    def put_back(self):
        fresh(self.top, self.kept)
        for name, n in self.said.items():
            os.truncate(os.path.join(self.top, name), n)


def try_one(talk, fault, top):
    name, at, on, error = fault
    talk.send(f"{name} {at} {on} {number_of(error)}".encode())
    copy = int(talk.recv(64).split()[1])
    talk.settimeout(150)
    try:
        told = talk.recv(64)
    except TimeoutError:
        os.kill(copy, signal.SIGKILL)
        told = talk.recv(64)
    talk.settimeout(None)
    out, err = (open(os.path.join(top, f), "rb").read() for f in ("out", "err"))
    return os.waitstatus_to_exitcode(int(told.split()[1])), out, err, files_of(top)


def try_in_copies(program, args, env, top, faults):
    """For each stretch its faults: yields each and what became of it. In between the program itself goes on."""
    talk, its = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    fresh(top)
    with talk, its, open(os.path.join(top, "out"), "wb") as out, open(os.path.join(top, "err"), "wb") as err:
        for f in (out, err):
            fcntl.fcntl(f, fcntl.F_SETFL, os.O_APPEND)
        p = subprocess.Popen([program, *args], cwd=top, stdin=subprocess.DEVNULL, stdout=out, stderr=err, pass_fds=[its.fileno()],
                             env={**env, "FAULT_TALK": str(its.fileno())})
        its.close()
        for those in faults:
            if talk.recv(64) != b"at":
                raise RuntimeError("fewer stretches than the first time")
            so_far = Copied(top) if those else None
            for fault in those:
                yield fault, try_one(talk, fault, top)
                so_far.put_back()
            talk.send(b"on")
        while talk.recv(64) == b"at":
            talk.send(b"on")
        p.wait()


def try_slowly(program, args, env, top, faults):
    for fault in [fault for those in faults for fault in those]:
        name, at, on, error = fault
        fresh(top)
        yield fault, run(program, args, {**env, "FAULT_CALL": name, "FAULT_AT": str(at), "FAULT_ON": str(on),
                                         "FAULT_ERRNO": str(number_of(error))}, top)


def in_one(calls):
    whole = collections.defaultdict(list)
    for name, stack, _ in calls:
        whole[name].append(stack)
    return [whole]


def sweep(program, preload, top, every, slowly, seen):
    bad = 0
    base = {**play_back(top), "LD_PRELOAD": preload}
    turn, done = iter(range(1, 1 << 40)), collections.defaultdict(set)
    for name, args in COMMANDS.items():
        fresh(top)
        before = files_of(top)
        begun = cpu()
        whole, calls = run_logged(program, args, base, top)
        if whole[0] not in (0, 1):
            print(f"{name}: does not run: {whole[0]} {whole[2][-300:]}")
            return 1
        apart = name != "threads" and not slowly
        those = CALLS if name != "threads" else {"thread": CALLS["thread"]}
        stretches = without_alike(stretches_of(calls)) if apart else in_one(calls)
        faults = [list(faults_of(stretch, those, every, turn, done[name.removesuffix("-csv").removesuffix("-json"), i]))
                  for i, stretch in enumerate(stretches)]
        tally = collections.Counter()
        for (call, at, on, error), got in (try_in_copies if apart else try_slowly)(program, args, base, top, faults):
            verdict = judge(name, got, whole, before, "" if error == "HALF" else os.strerror(number_of(error)))
            if error == "HALF" and verdict == "refused":
                verdict = "refused for a call that did half"
            tally[verdict if verdict in GOOD else "WRONG"] += 1
            if verdict not in GOOD:
                bad += 1
                print(f"{name}: {call} {at} {error}{' and on' if on else ''}: {verdict}", flush=True)
        seen.update(tally)
        print(f"{name}: {len(calls)} calls, {cpu() - begun:.0f} s: " + ", ".join(f"{v} {k}" for k, v in tally.most_common()), flush=True)
    return bad


def is_alive(pid):
    try:
        with open(f"/proc/{pid}/stat") as f:
            return f.read().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def gnuplot_that_tells(top):
    """A gnuplot in front of the real one which says its process number."""
    folder = os.path.join(top, "bin")
    os.makedirs(folder, exist_ok=True)
    real = shutil.which("gnuplot")
    with open(os.path.join(folder, "gnuplot"), "w") as f:
        f.write(f'#!/bin/sh\necho $$ >> {top}/pids\nexec {real} "$@"\n')
    os.chmod(os.path.join(folder, "gnuplot"), 0o755)
    return {**os.environ, "LC_ALL": "C", "PATH": folder + ":" + os.environ["PATH"]}


def play_back(top):
    """A gnuplot in front of the real one which draws each picture once: how it draws is not what fails."""
    folder = os.path.join(top, "played")
    os.makedirs(folder, exist_ok=True)
    real = shutil.which("gnuplot")
    with open(os.path.join(folder, "gnuplot"), "w") as f:
        f.write(f"""#!/bin/sh
asked={folder}/asked.$$
{{ echo "$*"; cat; }} >$asked
drawn={folder}/$(cksum <$asked | tr ' ' -)
[ -e $drawn ] || {{ sed 1d $asked | {real} "$@" >$drawn.$$ && mv $drawn.$$ $drawn; }} || exit 1
rm $asked
exec cat $drawn
""")
    os.chmod(os.path.join(folder, "gnuplot"), 0o755)
    return {**os.environ, "LC_ALL": "C", "PATH": folder + ":" + os.environ["PATH"]}


def survivors(top, wait=3.0):
    try:
        pids = open(os.path.join(top, "pids")).read().split()
    except OSError:
        return []
    until = time.time() + wait
    while time.time() < until and any(is_alive(p) for p in pids):
        time.sleep(0.02)
    return [p for p in pids if is_alive(p)]


def as_usual():
    """Signals that whoever started this test had ignored."""
    for which in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(which, signal.SIG_DFL)


def interrupt(program, top, times, seen):
    """INT, TERM, HUP and KILL at random moments of a report over an old one."""
    bad = 0
    env = gnuplot_that_tells(top)
    args = COMMANDS["report"]
    fresh(top)
    old = files_of(top)
    begun = time.time()
    whole = run(program, args, env, top)
    took = time.time() - begun
    dice = random.Random(7)
    for i in range(times):
        fresh(top)
        if os.path.exists(os.path.join(top, "pids")):
            os.remove(os.path.join(top, "pids"))
        which = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGKILL)[i % 4]
        p = subprocess.Popen([program, *args], env=env, cwd=top, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
                             stderr=subprocess.DEVNULL, preexec_fn=as_usual)
        time.sleep(dice.random() * took * 1.2)
        p.send_signal(which)
        p.wait()
        got = files_of(top)
        verdict = "old" if got == old else "new" if got == whole[3] else "mixed"
        seen[f"{which.name}: {verdict}"] += 1
        if verdict == "mixed" and (which != signal.SIGKILL or not is_told(got, old, whole[3])):
            bad += 1
            print(f"signal {which.name}: a mixed report: {sorted(set(got) ^ set(old))}")
        left = survivors(top)
        if left:
            bad += 1
            print(f"signal {which.name}: gnuplot lives on: {left}")
    return bad


def is_told(got, old, new):
    """After a kill: the old report, the new one, or each file one of the two and a note that says so."""
    here = {f: b for f, b in got.items() if not f.endswith(".part") and f != NOTE}
    if here in (old, new):
        return True
    return b"some may be new" in got.get(NOTE, b"") and all(b in (old.get(f), new.get(f)) for f, b in here.items()) \
        and all(f in here for f in old if f in new)


def kill(program, preload, top, every, seen):
    """SIGKILL at every call that touches files, over an old report; the next report is whole and leaves nothing else."""
    bad = 0
    args = COMMANDS["report"]
    env = play_back(top)
    base = {**env, "LD_PRELOAD": preload}
    fresh(top)
    old = files_of(top)
    whole, calls = run_logged(program, args, base, top)
    new = whole[3]
    turn = iter(range(1, 1 << 40))
    faults = [list(faults_of(stretch, dict.fromkeys(KILLED_AT.split(), "KILL"), every, turn, set())) for stretch in stretches_of(calls)]
    for (call, at, _, _), got in try_in_copies(program, args, base, top, faults):
        after = run(program, args, env, top)
        fine = got[0] == -signal.SIGKILL and is_told(got[3], old, new) and after[0] == 0 and after[3] == new
        seen["killed: " + ("the old one" if got[3] == old else "the new one" if got[3] == new else
                           "with a note" if NOTE in got[3] else "with a file aside")] += 1
        if not fine:
            bad += 1
            print(f"killed at {call} {at}: status {got[0]}, then {after[0]}: {sorted(set(got[3]) ^ set(new))}, "
                  f"then {sorted(set(after[3]) ^ set(new))}", flush=True)
    return bad


def two_at_once(program, top, times, seen):
    bad = 0
    args = COMMANDS["report"]
    sets = []
    for seed in ("1", "2"):
        fresh(top)
        sets.append(run(program, [*args, "--seed", seed], dict(os.environ, LC_ALL="C"), top)[3])
    for _ in range(times):
        fresh(top)
        ps = [subprocess.Popen([program, *args, "--seed", seed], cwd=top, env=dict(os.environ, LC_ALL="C"),
                               stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) for seed in ("1", "2")]
        said = [p.communicate()[1] for p in ps]
        got = files_of(top)
        seen["two at once"] += 1
        if any(p.returncode for p in ps) or got not in sets:
            bad += 1
            print(f"two at once: status {[p.returncode for p in ps]}, {'one of the two' if got in sets else 'a mixture'}: {said}")
    return bad


def hanging(program, top, seen):
    """A gnuplot that never answers: a minute, its message, the page without charts, and no process left."""
    env = gnuplot_that_tells(top)
    with open(os.path.join(top, "bin", "gnuplot"), "w") as f:
        f.write(f'#!/bin/sh\necho $$ >> {top}/pids\ntrap "" TERM INT\nsleep 1000 & echo $! >> {top}/pids\nwait\nsleep 1000\n')
    fresh(top)
    if os.path.exists(os.path.join(top, "pids")):
        os.remove(os.path.join(top, "pids"))
    begun = time.time()
    status, _, err, files = run(program, COMMANDS["report"], env, top, 300)
    took = time.time() - begun
    seen["hanging gnuplot"] += 1
    left = survivors(top)
    fine = (status == 4 and b"did not end within 60 s" in err and 59 < took < 200 and not left
            and files["w/r/report.html"].endswith(b"</html>\n") and not any(f.startswith("w/r/") and f.endswith(".png") for f in files))
    if not fine:
        print(f"hanging gnuplot: status {status} after {took:.0f} s, left {left}: {err[-300:]}")
    return 0 if fine else 1


def main():
    p = argparse.ArgumentParser()
    p.add_argument("program")
    p.add_argument("preload")
    p.add_argument("--every", type=int, default=1, help="only one fault in N")
    p.add_argument("--times", type=int, default=120, help="signals sent")
    p.add_argument("--full", action="store_true", help="the gnuplot that hangs too: more than a minute of waiting")
    p.add_argument("--only", help="one command")
    p.add_argument("--slowly", action="store_true", help="the whole command for each fault, no copies")
    a = p.parse_args()
    program, preload = os.path.abspath(a.program), os.path.abspath(a.preload)
    if a.only:
        for name in [n for n in COMMANDS if n != a.only]:
            del COMMANDS[name]
    top = tempfile.mkdtemp(prefix="machine-")
    campaigns.write(top)
    old = os.path.join(top, "old")
    os.mkdir(old)
    made = subprocess.run([program, "report", *campaigns.FEW, "--seed", "9", "--limit", "1:10", "--out", os.path.join(old, "r"), os.path.join(top, "c")],
                          capture_output=True)
    if made.returncode:
        sys.exit(f"no report to write over: {made.stderr}")
    for name in ("c.txt", "f.json", "lanes.pdf", "finish.png", "d.html", "s.txt", "s.svg", "plan.csv", "t.csv"):
        with open(os.path.join(old, name), "w") as f:
            f.write("old\n")
    seen, others = collections.Counter(), collections.Counter()
    bad = sweep(program, preload, top, a.every, a.slowly, seen)
    if not a.only:
        bad += kill(program, preload, top, a.every, others)
        bad += interrupt(program, top, a.times, others)
        bad += two_at_once(program, top, max(2, a.times // 12), others)
        if a.full:
            bad += hanging(program, top, others)
    shutil.rmtree(top, ignore_errors=True)
    print("faults: " + ", ".join(f"{v} {k}" for k, v in seen.most_common()))
    print("signals: " + ", ".join(f"{v} {k}" for k, v in sorted(others.items())))
    print(f"machine: {sum(seen.values()) + sum(others.values()) - bad} passed, {bad} failed")
    sys.exit(bad > 0)


if __name__ == "__main__":
    main()
