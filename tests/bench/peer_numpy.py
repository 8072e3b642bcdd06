#!/usr/bin/python3
"""The forecast of bench_engine.c as one would write it with numpy: vectorised over chunks of trials, everything that the
engine gives for the finish: percentiles, two overrun probabilities, share of trials on the longest path, squared
correlation of every task's score and of the run effect with the finish.
Usage: peer_numpy.py PLAN TRIALS [float32|float64]"""
import csv
import sys
import numpy as np

TAU, LIMITS, CHUNK = 0.1, (420.0, 450.0), 1 << 13  # this chunk was the fastest of 2^10 … 2^17 here


def read_plan(path):
    rows = list(csv.DictReader(open(path)))
    ids = [r["task"] for r in rows]
    last, preds = {}, []
    for k, r in enumerate(rows):
        p = {last[lane] for lane in r["crew"].split("+") if lane in last}
        p |= {ids.index(a) for a in r["after"].replace(";", " ").split()}
        for lane in r["crew"].split("+"):
            last[lane] = k
        preds.append(sorted(p))
    order, placed = [], set()
    while len(order) < len(rows):
        for k in range(len(rows)):
            if k not in placed and all(p in placed for p in preds[k]):
                order.append(k)
                placed.add(k)
    return (np.log([float(r["median"]) for r in rows]), np.array([float(r["sdlog"]) for r in rows]), preds, order)


def main():
    path, n, kind = sys.argv[1], int(float(sys.argv[2])), np.dtype(sys.argv[3] if len(sys.argv) > 3 else "float32")
    mu, sigma, preds, order = read_plan(path)
    mu, sigma, n_task = mu.astype(kind)[:, None], sigma.astype(kind)[:, None], len(preds)
    succ = [[s for s in range(n_task) if k in preds[s]] for k in range(n_task)]
    rng = np.random.Generator(np.random.SFC64(1))
    finish_all = np.empty(n, kind)
    on_path, z_f, r_f, squares = np.zeros(n_task), np.zeros(n_task), 0.0, 0.0
    centre = None
    for at in range(0, n, CHUNK):
        m = min(CHUNK, n - at)
        z, r = rng.standard_normal((n_task, m), kind), rng.standard_normal(m, kind)
        y = sigma * z
        y += mu
        y += kind.type(TAU) * r
        d = np.exp(y, out=y)
        start, end = np.zeros((n_task, m), kind), np.empty((n_task, m), kind)
        for k in order:
            if len(preds[k]) == 1:
                start[k] = end[preds[k][0]]
            elif preds[k]:
                np.maximum(end[preds[k][0]], end[preds[k][1]], out=start[k])
                for p in preds[k][2:]:
                    np.maximum(start[k], end[p], out=start[k])
            np.add(start[k], d[k], out=end[k])
        finish = end[[k for k in range(n_task) if not succ[k]]].max(0)
        path_mark = np.zeros((n_task, m), bool)
        for k in reversed(order):
            if not succ[k]:
                path_mark[k] = end[k] == finish
            for s in succ[k]:
                if len(preds[s]) == 1:
                    path_mark[k] |= path_mark[s]
                else:
                    path_mark[k] |= path_mark[s] & (start[s] == end[k])
        if centre is None:
            centre = finish.mean()
        dev = finish - centre
        on_path += np.count_nonzero(path_mark, axis=1)
        z_f += z @ dev
        r_f += r @ dev
        squares += dev @ dev
        finish_all[at:at + m] = finish
    mean = finish_all.mean(dtype=float)
    var = finish_all.var(dtype=float)
    over = [(finish_all > limit).mean() for limit in LIMITS]
    q = np.partition(finish_all, [int(p * n) for p in (0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95, 0.975, 0.99)])
    share = (z_f / n) ** 2 / var
    print(f"mean {mean:.3f} p50 {q[int(0.5 * n)]:.3f} p95 {q[int(0.95 * n)]:.3f} over {over[0]:.5f} {over[1]:.5f} "
          f"second on path {on_path[1] / n:.4f} run effect {(r_f / n) ** 2 / var:.4f} of {share.sum():.4f}")


main()
