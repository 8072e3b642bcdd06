"""Campaigns on the edge: so few or so equal times, so short or so long, so many lanes, people or tasks, that a careless
formula gives a number that is none.

    edge_campaigns.py    writes them into the current folder"""
import os


def put(name, rows, limit="60", confidence="0.9", plan=None):
    os.makedirs(name)
    if rows:
        with open(name + "/runs.csv", "w") as f:
            f.write("run,task,crew,performer,minutes,outcome\n" + "".join(",".join(map(str, r)) + "\n" for r in rows))
    with open(name + "/limits.csv", "w") as f:
        f.write(f"limit,crew,minutes,confidence\nexcursion,all,{limit},{confidence}\n")
    if plan:
        with open(name + "/plan.csv", "w") as f:
            f.write(plan)


def runs(n, minutes=lambda r, k: 10 + k + (r * 7 + k * 3) % 5, outcome="done", tasks=3):
    return [(f"R{r}", f"T{k}", f"EV{1 + k % 2}", "x", minutes(r, k), outcome) for r in range(n) for k in range(tasks)]


def lanes(n):
    return [(f"R{r}", f"T{k}", f"L{k}", f"p{k}", 10 + (r + k) % 4, "done") for r in range(3) for k in range(n)]


def chain(n):
    return "task,crew,low,likely,high\n" + "".join(f"T{i},EV1,1,2,3\n" for i in range(n))


def write():
    put("one-run", runs(1)); put("two-runs", runs(2)); put("all-equal", runs(5, lambda r, k: 10), "30")
    put("one-task", runs(4, tasks=1), "14"); put("one-cell", runs(1, tasks=1), "14"); put("no-minutes", runs(4, lambda r, k: 0), "12")
    put("seconds", runs(5, lambda r, k: 0.05 + 0.01 * ((r + k) % 3)), "0:00:12"); put("all-stopped", runs(4, outcome="stopped"))
    put("all-skipped", runs(4, outcome="skipped")); put("days", runs(5, lambda r, k: 3000 + 100 * ((r + k) % 3)), "9000")
    put("small-limit", runs(4), "0:00:01"); put("huge-limit", runs(4), "1000000000"); put("large-limit", runs(4), "9999999")
    put("half", runs(4), confidence="0.5"); put("just-above", runs(4), confidence="0.501"); put("rare", runs(4), confidence="0.999")
    put("too-rare", runs(4), confidence="0.999999")
    put("lanes-32", lanes(32), "20"); put("lanes-50", lanes(50), "20")
    put("people-30", [(f"R{r}", f"T{k}", "EV1", f"p{(r * 4 + k) % 30}", 10 + (r + k) % 4, "done") for r in range(8) for k in range(4)])
    put("chain-2000", None, "4200", plan=chain(2000))


if __name__ == "__main__":
    write()
