// Days as the model imagines them, up to some moment, and what the page's script makes of them: for the comparison with
// `cutoff --now`, in a browser (compare_now.py) or under node (load.js).
"use strict";
var partialDay = {
  // From a draw picked by `seed`: entries in whole minutes up to `share` of the day's length. Of every `forget`th task the begin
  // is not entered, of the one after it nothing is (0: all is entered). keep: share of the tasks done of which anything is; left out: all.
  make: function (day, data, model, seed, share, forget, keep) {
    var random = day.stream(seed), n = data.tasks.length, net = day.network(data, new Array(n).fill(false)), begin = [], end = [];
    var j = Math.floor(random.uniform() * model.n), b = model.tau[j] * random.normal();
    net.order.forEach(function (k) {
      var source = model.source[k], rho = model.rho[j], minutes = source.p[0];
      if (source.kind === "model") {
        var e = (rho * (Math.abs(random.normal()) - Math.sqrt(2 / Math.PI)) + Math.sqrt(1 - rho * rho) * random.normal()) / Math.sqrt(1 - 2 * rho * rho / Math.PI);
        var shift = source.shift >= 0 ? model.shift[source.shift * model.n + j] : 0;
        minutes = Math.exp(model.pool[source.row * model.n + j] + shift + b + model.spread[source.row * model.n + j] * e);
      } else if (source.kind === "lognormal") minutes = Math.exp(source.p[0] + b + source.p[1] * random.normal());
      else if (source.kind !== "fixed") minutes = Math.exp(b) * day.bent(day.bend(source.kind, source.p), random.normal());
      begin[k] = Math.round(Math.max.apply(null, [net.notBefore[k], 0].concat(net.before[k].map(function (p) { return end[p]; }))));
      end[k] = begin[k] > net.dropAfter[k] ? begin[k] : begin[k] + Math.max(1, Math.round(minutes));
    });
    var finish = Math.max.apply(null, end), now = Math.round(share * finish);
    var entries = data.tasks.map(function (t, k) {
      if (begin[k] > now || begin[k] === end[k]) return null;
      var done = end[k] <= now, e = { begin: begin[k], end: done ? end[k] : null, hold: 0, outcome: "done" };
      if (forget && done && k % forget === 1) e.begin = null;
      if (keep !== undefined && done && random.uniform() > keep) return null;
      return forget && done && k % forget === 2 ? null : e;
    });
    return { entries: entries, now: now };
  },
  // The same as `cutoff --now` takes it.
  report: function (data, made) {
    var items = [];
    function hmm(m) { return Math.floor(m / 60) + ":" + String(m % 60).padStart(2, "0"); }
    made.entries.forEach(function (e, k) {
      if (e) items.push(e.begin === null ? data.tasks[k].id + "=" + hmm(e.end) : data.tasks[k].id + "@" + hmm(e.begin) + (e.end === null ? "" : "-" + hmm(e.end)));
    });
    return items.concat("@" + hmm(made.now)).join(",");
  },
  // Minutes of every task on the days forecast.
  usual: function (day, data, model, luck) {
    if (this.known && this.known.model === model) return this.known.minutes;
    var nothing = data.tasks.map(function () { return null; }), net = day.network(data, data.tasks.map(function () { return false; })), state = day.resolve(net, nothing, 0);
    var d = day.daysOf(data, model, luck, day.learn(model, net, state, 4), net, state);
    this.known = { model: model, minutes: data.tasks.map(function (t, k) { return day.minutesOf(d, k); }) };
    return this.known.minutes;
  },
  // What the page would show: {now, trouble} or {now, report, finish, limits, rows, milliseconds}.
  answer: function (day, data, model, luck, shared, made) {
    var started = Date.now(), net = day.network(data, data.tasks.map(function () { return false; })), state = day.settle(net, made.entries, made.now, this.usual(day, data, model, luck), data.forecast.source);
    if (state.trouble) return { now: made.now, trouble: state.trouble };
    var learned = day.learn(model, net, state, 5), days = day.daysOf(data, model, luck, learned, net, state), look = day.look(days, data.limits, [0.05, 0.5, 0.8, 0.95]);
    day.intervals(data, model, shared, learned, net, state, data.limits, look);
    var card = day.card(days, data.limits);
    while (card.next());
    return {
      now: made.now, report: this.report(data, made), finish: look.finish, limits: look.limits, rest: look.rest, effective: learned.effective, milliseconds: Date.now() - started,
      doubted: day.stretches(net, state, this.usual(day, data, model, luck), data.forecast.source).filter(function (s) { return s.doubtful; }).map(function (s) { return data.tasks[s.task].id; }),
      notBegun: day.notBegun(net, state).map(function (k) { return data.tasks[k].id; }),
      byRule: [day.DROPPED, day.MAY_BE_DROPPED].map(function (rule) { return data.tasks.filter(function (t, k) { return state.rule[k] === rule; }).map(function (t) { return t.id; }); }),
      rows: card.rows.map(function (r) { return { limit: data.limits[r.limit].name, task: data.tasks[r.task].id, reason: r.reason, at: r.at, error: r.error, early: r.early || 0, typical: r.typical }; }),
      ahead: data.tasks.filter(function (t, k) { return state.state[k] === day.AHEAD || state.state[k] === day.UNREPORTED; }).map(function (t) { return t.id; })
    };
  }
};
