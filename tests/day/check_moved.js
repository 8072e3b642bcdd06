"use strict";
// What the day's page learns from a day far slower than the rehearsals, beside the same posterior worked out by sums over grids. The draws are made
// from laws that are known: of tau, of kappa, of the level of all tasks given both, of each task's place beside it and of its spread.
const { load } = require("./load.js"), day = load();
const TASKS = 20, TIMED = 15, DRAWS = 2000, SETS = 10;
const TAU = [[0.01, 0.3], [0.02, 0.3], [0.03, 0.25], [0.05, 0.12], [0.08, 0.03]], KAPPA = [[0.01, 0.6], [0.05, 0.3], [0.1, 0.1]];

function packed(rows) {
  const n = rows[0] ? rows[0].length : 0, byte = Buffer.alloc(2 * rows.length * n), lo = rows.map(r => Math.min(...r)), step = rows.map((r, i) => (Math.max(...r) - lo[i]) / 65535);
  rows.forEach((r, i) => r.forEach((x, j) => byte.writeUInt16LE(step[i] > 0 ? Math.round((x - lo[i]) / step[i]) : 0, 2 * (i * n + j))));
  return { rows: rows.length, lo, step, data: byte.toString("base64") };
}
function pick(law, u) { let i = 0; while (i < law.length - 1 && u > law[i][1]) u -= law[i++][1]; return law[i][0]; }
// Two people take turns, so that nobody knows who it is: what a task takes on average is its pool part with the mean of their effects.
function campaign(seed) {
  const random = day.stream(seed), rows = n => Array.from({ length: n }, () => new Array(DRAWS)), f = { pool: rows(TASKS), spread: rows(TASKS), q: rows(2), tau: rows(1), rho: rows(1), kappa: rows(1) };
  for (let j = 0; j < DRAWS; j++) {
    const tau = f.tau[0][j] = pick(TAU, random.uniform()), kappa = f.kappa[0][j] = pick(KAPPA, random.uniform()), together = Math.hypot(0.03, tau / 2) * random.normal();
    for (const q of f.q) q[j] = kappa * random.normal();
    for (let k = 0; k < TASKS; k++) {
      f.pool[k][j] = Math.log(20) + together - (f.q[0][j] + f.q[1][j]) / 2 + 0.07 * random.normal();
      f.spread[k][j] = 0.2 * Math.exp(0.25 * random.normal());
    }
    f.rho[0][j] = 0;
  }
  const tasks = f.pool.map((_, k) => ({ id: "T" + k, title: "", kind: "", lanes: [0], planned_min: null, not_before_min: null, drop_after_min: null, steps: [] }));
  return {
    lanes: ["EV1"], people: [], tasks, order: tasks.map((_, k) => k), before: tasks.map((_, k) => k > 0 ? [k - 1] : []), lane_last: [TASKS - 1],
    limits: [{ name: "L", minutes: 540, confidence: 0.9, lanes: [0], from: null, to: null }],
    forecast: Object.assign({ draws: DRAWS, line_ups: [[0], [1]], shift: packed([]), source: tasks.map((_, k) => ({ kind: "model", p: [0, 0, 0], row: k, learned: true, seen_shift: 0, shift: -1 })) },
      ...Object.keys(f).map(key => ({ [key]: packed(f[key]) })))
  };
}
// Fifteen tasks, each a quarter longer on the log than usual give or take, the fifth near three times as long.
function slowDay(tasks) {
  let at = 0;
  const entries = tasks.map((_, k) => k < TIMED ? { begin: at, end: at += 20 * Math.exp(k === 4 ? 0.95 : 0.25 + [0.15, -0.1, 0][k % 3]), hold: 0, outcome: "done" } : null);
  return { entries, now: at };
}
function learnt(seed) {
  const data = campaign(seed), model = day.model(data.forecast), net = day.network(data, data.tasks.map(() => false)), made = slowDay(data.tasks), state = day.resolve(net, made.entries, made.now);
  const l = day.learn(model, net, state, seed + 100), luck = day.luck(data, model, 8000, seed + 200), look = day.look(day.daysOf(data, model, luck, l, net, state), data.limits, [0.5]).limits[0];
  const most = Math.max(...l.logWeight), weight = Array.from(l.logWeight, x => Math.exp(x - most)), total = weight.reduce((a, b) => a + b);
  const mean = of => weight.reduce((sum, w, s) => sum + w * of(s), 0) / total, at = (row, s) => l.x[row * l.slots + s];
  const level = s => { let sum = 0; for (let k = 0; k < TASKS; k++) sum += at(k, s) / TASKS; return sum - Math.log(20); }, rest = s => at(TASKS - 1, s) - Math.log(20) + l.runMean[s];
  const restMean = mean(rest);
  return { tau: mean(s => l.tau[s]), small: mean(s => l.tau[s] < 0.025 ? 1 : 0), level: mean(level), people: mean(s => (at(TASKS, s) + at(TASKS + 1, s)) / 2), rest: restMean,
    spread: mean(s => Math.log(l.spread[4 * l.slots + s])), over: look.over, error: look.error };
}
const found = Array.from({ length: SETS }, (_, i) => learnt(i + 1)), of = key => found.map(f => f[key]), meanOf = v => v.reduce((a, b) => a + b) / v.length;
const sdOf = v => Math.sqrt(v.reduce((sum, x) => sum + (x - meanOf(v)) * (x - meanOf(v)), 0) / (v.length - 1));
let failed = 0;
function near(what, got, wanted, within) {
  if (Math.abs(got - wanted) <= within) return;
  failed++;
  console.log(`${what}: ${got}, wanted ${wanted} within ${within}`);
}
// By numpy: spreads integrated by 60 points of Gauss and Hermite, the sum of level and run effect over 7001 places from -1.5 to 2, tau and kappa summed.
// Tolerances: three standard errors of ten sets of draws.
near("tau", meanOf(of("tau")), 0.04925, 0.0036);
near("probability of a small tau", meanOf(of("small")), 0.23563, 0.045);
near("level of all tasks", meanOf(of("level")), 0.13093, 0.0095);
near("people together", meanOf(of("people")), -0.08325, 0.011);
near("what is still to come", meanOf(of("rest")), 0.21115, 0.009);
near("log spread of the task that was far off", meanOf(of("spread")), -1.26807, 0.0165);
// An sd of ten has nine degrees of freedom: 1.54 of what is true is passed once in 90 times.
const stated = Math.sqrt(meanOf(of("error").map(x => x * x))), seen = sdOf(of("over"));
near("error stated of a probability beside its spread over sets", seen / stated, 1, 0.54);
console.log(`day page, a slow day: ${7 - failed} of 7 as they should be`);
process.exit(failed ? 1 : 0);
