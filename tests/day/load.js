"use strict";
// The page's script without its user interface, as one object: for tests under node.
const fs = require("fs"), path = require("path"), vm = require("vm");
const folder = path.join(__dirname, "../../src/present");

exports.load = function () {
  const text = ["base", "plan", "learn", "days", "cutoff", "log"].map(name => path.join(folder, "day_" + name + ".js"))
    .filter(file => fs.existsSync(file)).map(file => fs.readFileSync(file, "utf8")).join("\n");
  return vm.runInThisContext("(function () {" + text + "\nreturn wetrunDay; })()", { filename: "day.js" });
};

// A day as the model imagines it, from draw number `pick` on: entries up to `share` of its length, in whole minutes.
exports.partialDay = function (day, data, model, seed, share) {
  const random = day.stream(seed), n = data.tasks.length, net = day.network(data, new Array(n).fill(false));
  const j = Math.floor(random.uniform() * model.n), b = model.tau[j] * random.normal(), begin = [], end = [];
  for (const k of net.order) {
    const source = model.source[k], rho = model.rho[j];
    let minutes = source.p[0];
    if (source.kind === "model") {
      const e = (rho * (Math.abs(random.normal()) - Math.sqrt(2 / Math.PI)) + Math.sqrt(1 - rho * rho) * random.normal()) / Math.sqrt(1 - 2 * rho * rho / Math.PI);
      const shift = source.shift >= 0 ? model.shift[source.shift * model.n + j] : 0;
      minutes = Math.exp(model.pool[source.row * model.n + j] + shift + b + model.spread[source.row * model.n + j] * e);
    } else if (source.kind === "lognormal") minutes = Math.exp(source.p[0] + source.p[1] * random.normal());
    else if (source.kind !== "fixed") minutes = day.bent(day.bend(source.kind, source.p), random.normal());
    begin[k] = Math.max(net.notBefore[k], ...net.before[k].map(p => end[p]), 0);
    begin[k] = Math.round(begin[k]);
    end[k] = begin[k] > net.dropAfter[k] ? begin[k] : begin[k] + Math.max(1, Math.round(minutes));
  }
  const finish = Math.max(...net.order.map(k => end[k]));
  let now = Math.round(share * finish);
  const entries = data.tasks.map((t, k) => begin[k] > now || begin[k] === end[k] ? null
    : { begin: begin[k], end: end[k] <= now ? end[k] : null, hold: 0, outcome: "done" });
  return { entries, now, finish, begin, end };
};

// The same as `cutoff --now` takes it.
exports.report = function (data, entries, now) {
  const hmm = m => Math.floor(m / 60) + ":" + String(m % 60).padStart(2, "0");
  const items = [];
  entries.forEach((e, k) => {
    if (!e) return;
    const id = data.tasks[k].id;
    items.push(e.begin === null ? id + "=" + hmm(e.end) : id + "@" + hmm(e.begin) + (e.end === null ? "" : "-" + hmm(e.end)));
  });
  items.push("@" + hmm(now));
  return items.join(",");
};
