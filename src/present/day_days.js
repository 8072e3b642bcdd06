// Simulated days from what is known now, and what they say: when all are inside, how likely each limit is passed.
//
// Trial i uses slot i mod slots of what was learned. All that a day draws but the run effect stays the same from one entry to the
// next, so that an answer moves only by what was reported. Every trial is walked once in each of STRATA equal shares of the
// run effect. Tables are [task * trials + trial].
"use strict";
(function (day) {
  var STRATA = day.STRATA = 8, PARTS = 16;

  // Random numbers of the whole page, made once: z of each task, h where errors are skewed, run effect, line-up, new people.
  day.luck = function (data, model, trials, seed) {
    var n = data.tasks.length, lanes = data.lanes.length, random = day.stream(seed), i;
    function normals(count) {
      var out = new Float32Array(count);
      for (i = 0; i < count; i++) out[i] = random.normal();
      return out;
    }
    var luck = { trials: trials, z: normals(n * trials), h: model.skewed ? normals(n * trials) : null, anew: normals(lanes * trials) };
    luck.place = new Float32Array(trials); // where in its stratum the run effect lies
    luck.lineUp = new Uint16Array(trials);
    for (i = 0; i < trials; i++) {
      luck.place[i] = random.uniform();
      luck.lineUp[i] = Math.floor(random.uniform() * model.lineUps.length);
    }
    return luck;
  };

  // ---- judged tasks: minutes as a rising function of the score ----
  var BEND_LOW = -6, BEND_PER_UNIT = 16, BEND_NODES = 12 * BEND_PER_UNIT + 1;
  function logBeta(low, mode, high) { // PERT: beta with shapes 1 + 4 (mode - low) / range and 1 + 4 (high - mode) / range
    var a = 4 * (mode - low) / (high - low), b = 4 * (high - mode) / (high - low);
    return function (x) { return Math.pow(x, a) * Math.pow(1 - x, b); };
  }
  day.bend = function (kind, p) {
    var low = p[0], mode = p[1], high = p[2], minutes = new Float64Array(BEND_NODES), i;
    if (kind !== "pert" && kind !== "triangular") throw new Error("three points read as " + kind + ": not known here");
    if (kind === "triangular") {
      var split = (mode - low) / (high - low);
      for (i = 0; i < BEND_NODES; i++) {
        var u = Math.exp(day.logTail(-(BEND_LOW + i / BEND_PER_UNIT)));
        minutes[i] = u < split ? low + Math.sqrt(u * (high - low) * (mode - low)) : high - Math.sqrt((1 - u) * (high - low) * (high - mode));
      }
      return minutes;
    }
    var STEPS = 4000, density = logBeta(low, mode, high), below = new Float64Array(STEPS + 1), at = 0;
    for (i = 1; i <= STEPS; i++) below[i] = below[i - 1] + density((i - 0.5) / STEPS);
    for (i = 0; i < BEND_NODES; i++) {
      var goal = Math.exp(day.logTail(-(BEND_LOW + i / BEND_PER_UNIT))) * below[STEPS];
      while (at < STEPS - 1 && below[at + 1] < goal) at++;
      minutes[i] = low + (high - low) * (at + Math.min(1, (goal - below[at]) / (below[at + 1] - below[at]))) / STEPS;
    }
    return minutes;
  };
  day.bent = function (bend, score) {
    var place = Math.min(Math.max((score - BEND_LOW) * BEND_PER_UNIT, 0), BEND_NODES - 1 - 1e-9), i = place | 0;
    return bend[i] + (bend[i + 1] - bend[i]) * (place - i);
  };
  day.bentScore = function (bend, minutes) {
    var i = 0;
    if (minutes <= bend[0]) return -40;
    while (i < BEND_NODES - 1 && bend[i + 1] < minutes) i++;
    if (i === BEND_NODES - 1) return 8;
    return BEND_LOW + (i + (minutes - bend[i]) / Math.max(1e-12, bend[i + 1] - bend[i])) / BEND_PER_UNIT;
  };

  // Law of the log of a judged task's minutes on an ordinary day (decide/judged_law.h, which explains the constants).
  var LAW_NODES = 256, ERRS = 0.1, OWN_ERROR_LOG = 0.2;
  day.judgedLaw = function (source) {
    var bend = day.bend(source.kind, source.p), law = { centre: 0, sd: 0, cdf: new Float64Array(LAW_NODES) }, squares = 0, i;
    for (i = 0; i < 256; i++) {
      var y = Math.log(Math.max(day.bent(bend, day.quantile((i + 0.5) / 256)), 1e-9));
      law.centre += y / 256;
      squares += y * y / 256;
    }
    law.sd = Math.sqrt(Math.max(1e-12, squares - law.centre * law.centre));
    var low = Math.log(Math.max(source.p[0], 1e-3 * source.p[2])), high = Math.log(source.p[2]);
    law.first = low - law.centre;
    law.step = (high - low) / (LAW_NODES - 1);
    for (i = 0; i < LAW_NODES; i++) law.cdf[i] = i === LAW_NODES - 1 ? 1 : Math.exp(day.logTail(-day.bentScore(bend, Math.exp(low + i * law.step))));
    return law;
  };
  day.judgedDensity = function (law, y) {
    var place = (y - law.first) / law.step, inside = 0;
    if (place > 0 && place < LAW_NODES - 1) {
      var i = place | 0, part = place - i, other = part < 0.5 ? Math.max(0, i - 1) : Math.min(LAW_NODES - 2, i + 1), share = Math.abs(part - 0.5);
      inside = ((1 - share) * (law.cdf[i + 1] - law.cdf[i]) + share * (law.cdf[other + 1] - law.cdf[other])) / law.step;
    }
    return Math.log(Math.max((1 - ERRS) * inside + ERRS * Math.exp(day.logDensity(y, Math.hypot(law.sd, OWN_ERROR_LOG))), 1e-300));
  };
  day.judgedTail = function (law, y) {
    var place = (y - law.first) / law.step, below = y > 0 ? 1 : 0;
    if (place > 0 && place < LAW_NODES - 1) { var i = place | 0; below = law.cdf[i] + (place - i) * (law.cdf[i + 1] - law.cdf[i]); }
    return Math.log(Math.max(1 - below + 1e-6 * Math.exp(day.logTail(y / law.sd)), 1e-300));
  };

  // ---- the days ----
  // What each task takes on each day at run effect 0, and all that a walk needs. `learned`: day.learn.
  // picks: the slots that trials take in turn; left out: all.
  day.daysOf = function (data, model, luck, learned, net, state, picks) {
    var n = net.n, trials = luck.trials, slots = learned.slots, k, i;
    var d = {
      n: n, trials: trials, net: net, state: state, reported: state, learned: learned, luck: luck, model: model, live: [], running: [],
      log: new Float64Array(n * trials), minutes: new Float64Array(n * trials), slope: new Float64Array(n * slots), give: new Uint8Array(n),
      floor: new Float64Array(n), logRun: new Float64Array(n), dropAfter: new Float64Array(n), bend: new Array(n), slotOf: new Int32Array(trials), person: null
    };
    for (i = 0; i < trials; i++) d.slotOf[i] = picks ? picks[i % picks.length] : i % slots;
    peopleOfDays(data, d);
    for (k = 0; k < n; k++) {
      var s = state.state[k];
      d.floor[k] = s === day.AHEAD ? Math.max(net.notBefore[k], state.now) : net.notBefore[k];
      d.dropAfter[k] = s === day.AHEAD || s === day.UNREPORTED ? net.dropAfter[k] : Infinity;
    }
    net.order.forEach(function (k) {
      if (state.state[k] !== day.DONE) d.live.push(k);
      if (state.state[k] === day.RUNNING) { d.running.push(k); d.logRun[k] = Math.log(Math.max(day.hasRun(d, k), 1e-300)); }
      if (state.state[k] !== day.DONE) fillTask(d, k);
    });
    if (net.order.some(function (k) { return state.state[k] === day.DONE && !state.timeKnown[k]; })) d.state = day.placeUntimed(net, state, usualOf(d));
    return d;
  };
  // Mean minutes of the tasks that are done at times not known.
  function usualOf(d) {
    var usual = new Float64Array(d.n);
    d.net.order.forEach(function (k) {
      if (d.state.state[k] !== day.DONE || d.state.timeKnown[k] || d.state.rule[k]) return;
      fillTask(d, k);
      for (var i = 0; i < d.trials; i++) usual[k] += d.minutes[k * d.trials + i] / d.trials;
    });
    return usual;
  }

  // Minutes of a task, day by day, each day at one run effect of its own.
  day.minutesOf = function (d, k) {
    var m = new Float64Array(d.trials);
    for (var i = 0; i < d.trials; i++) m[i] = d.minutes[k * d.trials + i] * (d.give[k] === day.FIXED ? 1 : Math.exp(day.effectAt(d, i, day.scoreOf(d.luck.place[i]))));
    return m;
  };
  // The minutes between which all but one in 1000 days forecast lie on either side; the forecast does not reach beyond. Of a
  // wait it says nothing.
  day.reach = function (d, k) {
    var n = Math.ceil(d.trials / 1000), minutes = day.minutesOf(d, k).sort();
    return d.give[k] === day.FIXED ? { least: -Infinity, most: Infinity } : { least: minutes[n - 1], most: minutes[d.trials - n] };
  };
  // Tasks done and timed, or running, that took longer, and those done that took less: one rule with count_beyond of decide/update.c.
  day.beyond = function (reach, state) {
    function those(is) {
      return reach.map(function (r, k) { return k; }).filter(function (k) {
        var runs = state.state[k] === day.RUNNING, done = state.state[k] === day.DONE && state.timeKnown[k];
        return (runs || done) && is(day.modelledMin(state, k), reach[k], done);
      });
    }
    return { longer: those(function (took, r) { return took > r.most; }), shorter: those(function (took, r, done) { return done && took < r.least; }) };
  };

  // ---- work whose end nobody entered, and the moment before which it must have been done ----
  // On the days forecast, minutes[task][day]: {task, toEnd, from, at, untimed: tasks, doubtful, lengthy, alone, took}. One rule with
  // wr_now_stretches (decide/now_stretch.c), which struct wr_now_stretch explains. source: what the durations rest on.
  day.stretches = function (net, r, minutes, source) {
    function alone(k, toEnd, how) { return { task: k, toEnd: toEnd, from: r.begin[k], at: toEnd ? r.end[k] : r.now, untimed: [k], doubtful: true, lengthy: false, alone: how, took: toEnd ? day.activeMin(r, k) : null }; }
    return net.order.filter(function (k) { return r.beginReported[k] !== null || r.endReported[k] !== null || isUnheard(net, r, k); }).map(function (k) { return stretchBefore(net, r, k); })
      .filter(function (s) { return s.untimed.length; }).map(function (s) { return countDays(net, r, minutes, s, source[s.task].lead_in); })
      .concat(net.order.map(function (k) {
        return tookTooLittle(r, minutes[k], k, source[k]) ? alone(k, true, "took little") : outrunsJudgement(r, k, source[k]) ? alone(k, false, "over judgement") : null;
      }).filter(Boolean));
  };
  // The last work of a lane, taken to be on its way as rehearsed.
  function isUnheard(net, r, k) { return r.state[k] === day.UNREPORTED && net.laneLast.some(function (last) { return last.indexOf(k) >= 0; }); }
  // Of what was stopped only no time at all is doubtful.
  function tookTooLittle(r, minutes, k, source) {
    var at = r.endReported[k], took = at === null || r.beginReported[k] === null ? null : at - r.beginReported[k] - r.hold[k];
    if (took === null || (took > 0 && (r.stopped[k] || day.isWait(source) || day.isBent(source)))) return false;
    var most = (took > 0 ? day.modelledMin(r, k) : 0) + roundingOf(at);
    return minutes.filter(function (m) { return m <= most; }).length * 1000 < minutes.length;
  }
  function outrunsJudgement(r, k, source) {
    return r.state[k] === day.RUNNING && day.isBent(source) && !day.isWait(source) &&
      day.bentScore(day.bend(source.kind, source.p), day.activeMin(r, k)) > 2.5758293; // on one ordinary day of 200
  }
  function roundingOf(at) { return Math.abs(at - Math.round(at)) < 1e-9 ? 1 : 0; }
  // Back from the task, as far as a reported moment.
  function stretchBefore(net, r, k) {
    var mark = new Uint8Array(net.n), open = new Uint8Array(net.n), s = { task: k, toEnd: r.beginReported[k] === null };
    day.markBefore(net, k, mark);
    s.list = net.order.filter(function (p) { return mark[p]; });
    s.list.slice().reverse().forEach(function (p) {
      if (p === k || (open[p] && r.beginReported[p] === null)) net.before[p].forEach(function (q) { if (endOf(r, q) === null) open[q] = 1; });
    });
    if (isUnheard(net, r, k)) { s.alone = "unheard"; open[k] = 1; }
    s.untimed = s.list.filter(function (p) { return open[p] && r.rule[p] !== day.DROPPED; });
    s.at = s.from = s.alone ? r.now : s.toEnd ? r.endReported[k] : r.beginReported[k];
    s.untimed.forEach(function (p) { s.from = Math.min(s.from, soonest(net, r, p)); });
    return s;
  }
  function soonest(net, r, p) {
    if (r.beginReported[p] !== null) return r.beginReported[p];
    return Math.max.apply(null, [net.notBefore[p]].concat(net.before[p].map(function (q) { var end = endOf(r, q); return end === null ? Infinity : end; })));
  }
  function endOf(r, p) { return r.rule[p] === day.DROPPED && r.endInferred[p] ? r.end[p] : r.endReported[p]; }
  // When the moment comes on day i. least: at the soonest.
  function momentOn(net, r, minutes, s, i, least, end) {
    var start = 0;
    for (var t = 0; t < s.list.length; t++) {
      var p = s.list[t], itself = p === s.task, before = net.before[p];
      if (!itself && endOf(r, p) !== null) { end[p] = endOf(r, p); continue; }
      start = itself && least ? 0 : net.notBefore[p];
      for (var j = 0; j < before.length; j++) if (end[before[j]] > start) start = end[before[j]];
      if (itself) break;
      if (r.beginReported[p] !== null) start = r.beginReported[p] - r.leadIn[p];
      var goes = isFinite(net.dropAfter[p]) && r.beginReported[p] === null && (least || start > net.dropAfter[p]);
      end[p] = start + (goes ? 0 : minutes[p][i] + r.hold[p]);
    }
    return start + (s.toEnd ? minutes[s.task][i] + r.hold[s.task] : 0);
  }
  function countDays(net, r, minutes, s, leadIn) {
    var n = minutes[s.task].length, sooner = 0, later = 0, end = new Float64Array(net.n), rounding = roundingOf(s.at);
    for (var i = 0; i < n; i++) {
      if (momentOn(net, r, minutes, s, i, true, end) <= s.at + rounding) sooner++;
      var early = s.at - rounding - momentOn(net, r, minutes, s, i, false, end);
      later += early <= 0 ? 1 : s.toEnd ? 0 : day.leadInTail(leadIn, early);
    }
    s.doubtful = s.alone ? later * 20 < n : sooner * 1000 < n;
    s.lengthy = !s.alone && later * 1000 < n && s.untimed.some(function (p) { return !r.timeKnown[p]; });
    return s;
  }

  // ---- how long a task keeps its crew waiting although all that it waits for is done (decide/lead_in.h); no law: not at all ----
  day.leadInTail = function (law, minutes) { return minutes <= 0 ? 1 : law ? Math.pow(1 + minutes / law.scale, -law.shape) : 0; };
  day.leadInDensity = function (law, minutes) { return minutes < 0 || !law ? 0 : law.shape / law.scale * Math.pow(1 + minutes / law.scale, -law.shape - 1); };
  day.leadInQuantile = function (law, p) { return law.scale * (Math.pow(1 - p, -1 / law.shape) - 1); };

  // day.resolve where a begin that was entered may have waited for what is known to have ended, a lead-in later, or for what was not entered: the
  // days forecast say which. One rule with wr_now_settle (decide/now_stretch.c).
  var MOST_TIMES = 20;
  day.settle = function (net, entries, now, minutes, source) {
    var ownWait = new Uint8Array(net.n), r = day.resolve(net, entries, now, ownWait), more = !r.trouble;
    function look(k) {
      if (ownWait[k] || !mayHaveWaited(net, r, minutes, k, source[k].lead_in)) return;
      ownWait[k] = 1;
      more = true;
    }
    while (more) {
      more = false;
      net.order.forEach(look);
      if (more) r = day.resolve(net, entries, now, ownWait);
    }
    if (!r.trouble) findLeadIns(net, r, source);
    return r;
  };
  // The latest moment that was entered of what leads to the task.
  function knownBefore(net, r, k) {
    var mark = new Uint8Array(net.n), latest = net.notBefore[k];
    day.markBefore(net, k, mark);
    for (var p = 0; p < net.n; p++) {
      if (!mark[p] || p === k) continue;
      if (endOf(r, p) !== null) latest = Math.max(latest, endOf(r, p));
      else if (r.beginReported[p] !== null) latest = Math.max(latest, r.begin[p]);
    }
    return latest;
  }
  // A begin that was entered came behind the task's lead-in, and of what it shows the end of, that was before it.
  function findLeadIns(net, r, source) {
    net.order.forEach(function (k) {
      if (r.beginReported[k] === null) return;
      var usual = source[k].lead_in && source[k].lead_in.mean || 0;
      r.leadIn[k] = usual;
      r.ready[k] -= Math.max(0, Math.min(usual, (r.begin[k] - knownBefore(net, r, k)) / 2));
      net.before[k].forEach(function (p) {
        if (r.timeKnown[p] && r.endInferred[p] && r.end[p] >= r.begin[k]) r.leadOut[p] = Math.min(usual, day.activeMin(r, p));
      });
    });
  }
  function mayHaveWaited(net, r, minutes, k, law) {
    var at = r.beginReported[k], end = new Float64Array(net.n), waited = 0, met = 0, s, known;
    if (at === null || !net.before[k].some(function (p) { return endOf(r, p) === null && r.end[p] >= at; })) return false;
    s = stretchBefore(net, r, k);
    if (!s.untimed.length) return false;
    known = momentOn(net, r, minutes.map(function () { return [0]; }), s, 0, false, end); // by what is known, if the rest took no time
    if (!(known > 0 && known < at)) return false;
    for (var i = 0; i < minutes[k].length; i++) {
      var moment = momentOn(net, r, minutes, s, i, false, end), density = day.leadInDensity(law, at - moment);
      if (moment > known) met += density; else waited += density;
    }
    return waited > 0 && met <= MOST_TIMES * waited;
  }

  // How minutes answer: not at all (a wait); log minutes by a slope; a bounded rising function of the score. All but a wait
  // take exp(run effect) times as long.
  day.FIXED = 0;
  day.LOG = 1;
  day.BENT = 2;
  day.isBent = function (source) { return ["model", "lognormal", "fixed"].indexOf(source.kind) < 0; }; // else a reading of three points
  day.isWait = function (source) { return source.kind === "fixed" || (day.isBent(source) && !(source.p[2] > source.p[0])); };
  function fillTask(d, k) {
    var source = d.model.source[k], n = d.trials, slots = d.learned.slots, z = d.luck.z, h = d.luck.h, i, s;
    var lanes = d.net.lanes[k], at = k * n;
    if (source.kind === "fixed" || day.isWait(source)) { for (i = 0; i < n; i++) d.minutes[at + i] = source.p[0]; return; }
    if (source.kind === "lognormal") {
      d.give[k] = day.LOG;
      for (s = 0; s < slots; s++) d.slope[k * slots + s] = source.p[1];
      for (i = 0; i < n; i++) d.minutes[at + i] = Math.exp(d.log[at + i] = source.p[0] + source.p[1] * z[at + i]);
      return;
    }
    if (source.kind !== "model") {
      d.give[k] = day.BENT;
      d.bend[k] = day.bend(source.kind, source.p);
      for (i = 0; i < n; i++) d.minutes[at + i] = day.bent(d.bend[k], z[at + i]);
      return;
    }
    d.give[k] = day.LOG;
    var centre = new Float64Array(slots), byH = new Float64Array(slots), l = d.learned;
    for (s = 0; s < slots; s++) {
      var rho = l.rho[s], unit = Math.sqrt(1 - 2 * rho * rho / Math.PI), sd = l.spread[source.row * slots + s];
      centre[s] = l.x[source.row * slots + s] + (source.shift >= 0 ? l.shift[source.shift * slots + s] : 0);
      centre[s] -= sd * rho * Math.sqrt(2 / Math.PI) / unit;
      byH[s] = sd * rho / unit;
      d.slope[k * slots + s] = sd * Math.sqrt(1 - rho * rho) / unit;
    }
    for (i = 0; i < n; i++) {
      s = d.slotOf[i];
      var log = centre[s] + d.slope[k * slots + s] * z[at + i] + (h ? byH[s] * Math.abs(h[at + i]) : 0);
      if (d.person) { var sum = 0; for (var j = 0; j < lanes.length; j++) sum += d.person[lanes[j] * n + i]; log += sum / lanes.length; }
      d.log[at + i] = log;
      d.minutes[at + i] = day.exp(log);
    }
  }

  function peopleOfDays(data, d) {
    var any = d.model.lineUps.some(function (l) { return l.some(function (p) { return p !== -2; }); });
    if (!any) return;
    var n = d.trials, l = d.learned, lanes = data.lanes.length;
    d.person = new Float64Array(lanes * n);
    for (var lane = 0; lane < lanes; lane++)
      for (var i = 0; i < n; i++) {
        var who = d.model.lineUps[d.luck.lineUp[i]][lane], s = d.slotOf[i];
        d.person[lane * n + i] = who >= 0 ? l.x[(d.model.rows + who) * l.slots + s]
          : who === -1 ? l.kappa[s] * d.luck.anew[lane * n + i] : 0;
      }
  }

  // What a running task has taken already, its hold apart, as the model has it.
  day.hasRun = function (d, k) { return Math.max(0, day.modelledMin(d.state, k)); };
  // So much later than its begin its minutes start to count.
  day.heldMin = function (s, k) { return s.hold[k] - s.leadIn[k]; };

  // Minutes of a running task on trial i with the run effect b and its score pushed by `push`; its log weight goes to d.tail.
  day.runningMinutes = function (d, k, i, b, push) {
    var at = k * d.trials + i, ran = day.hasRun(d, k), give = d.give[k], z = d.luck.z[at], least;
    d.tail = 0;
    if (give === day.FIXED) return Math.max(ran, d.minutes[at]);
    if (give === day.BENT) {
      var factor = day.exp(b);
      least = ran > 0 ? day.bentScore(d.bend[k], ran / factor) : -40;
      d.tail = Math.max(day.logTail(least), -30); // past the most that was judged no day may be left without weight
      return Math.max(ran, factor * day.bent(d.bend[k], day.aboveFast(z + push, least)));
    }
    var slope = d.slope[k * d.learned.slots + d.slotOf[i]], centre = d.log[at] - slope * z + b;
    if (!(ran > 0 && slope > 0)) return Math.max(ran, day.exp(centre + slope * (z + push)));
    least = Math.max(-40, (d.logRun[k] - centre) / slope);
    d.tail = day.logTail(least);
    return Math.max(ran, day.exp(centre + slope * day.aboveFast(z + push, least)));
  };

  // day.above by a table of what it adds to the larger of its arguments; outside of the table by Newton.
  var STEP = 1 / 8, EDGE = 6, SIDE = 2 * EDGE / STEP + 1, added = null;
  day.aboveFast = function (v, least) {
    if (least < -EDGE) return v;
    if (v >= EDGE || v <= -EDGE || least >= EDGE) return day.above(v, least);
    if (!added) {
      added = new Float64Array(SIDE * SIDE);
      for (var a = 0; a < SIDE; a++)
        for (var b = 0; b < SIDE; b++) added[a * SIDE + b] = day.above(a * STEP - EDGE, b * STEP - EDGE);
    }
    var x = (v + EDGE) / STEP, y = (least + EDGE) / STEP, p = x | 0, q = y | 0, s = x - p, t = y - q, o = p * SIDE + q;
    return (1 - s) * ((1 - t) * added[o] + t * added[o + 1]) + s * ((1 - t) * added[o + SIDE] + t * added[o + SIDE + 1]);
  };

  // Run effect of trial i at this score of its slot's law; the trial's log weight goes to d.weightLog.
  day.effectAt = function (d, i, score) {
    var s = d.slotOf[i], l = d.learned;
    d.weightLog = day.weightOf(d, i) + (l.corrected ? day.paceCorrection(l, s, score) : 0);
    return l.runMean[s] + l.runSd[s] * score;
  };

  // Walks all trials with one score each: begin and end of the tasks that are not done, log weight of each trial.
  day.walk = function (d, score, w) {
    var n = d.n, trials = d.trials, i, factor = w.factor, begin = w.begin, end = w.end;
    for (i = 0; i < trials; i++) {
      w.b[i] = day.effectAt(d, i, score[i]);
      w.logWeight[i] = d.weightLog;
      factor[i] = day.exp(w.b[i]);
    }
    for (var t = 0; t < d.live.length; t++) {
      var k = d.live[t], at = k * trials, s = d.state.state[k], before = d.net.before[k], j;
      if (s === day.RUNNING) {
        for (i = 0; i < trials; i++) {
          begin[at + i] = d.state.begin[k];
          end[at + i] = begin[at + i] + day.heldMin(d.state, k) + day.runningMinutes(d, k, i, w.b[i], 0);
          w.logWeight[i] += d.tail;
        }
        continue;
      }
      var fixed = d.floor[k], waits = [];
      for (j = 0; j < before.length; j++) {
        if (d.state.state[before[j]] === day.DONE) fixed = Math.max(fixed, d.state.end[before[j]]);
        else waits.push(before[j] * trials);
      }
      var withRun = d.give[k] !== day.FIXED, rule = d.dropAfter[k], minutes = d.minutes;
      for (i = 0; i < trials; i++) {
        var start = fixed;
        for (j = 0; j < waits.length; j++) if (end[waits[j] + i] > start) start = end[waits[j] + i];
        begin[at + i] = start;
        end[at + i] = start > rule ? start : start + (withRun ? minutes[at + i] * factor[i] : minutes[at + i]);
      }
    }
    return n;
  };
  day.walkRoom = function (d) {
    var n = d.n * d.trials, w = { begin: new Float64Array(n), end: new Float64Array(n), b: new Float64Array(d.trials) };
    w.factor = new Float64Array(d.trials);
    w.logWeight = new Float64Array(d.trials);
    for (var k = 0; k < d.n; k++) // what is done stands still
      if (d.state.state[k] === day.DONE) { w.begin.fill(d.state.begin[k], k * d.trials, (k + 1) * d.trials); w.end.fill(d.state.end[k], k * d.trials, (k + 1) * d.trials); }
    return w;
  };

  // Tasks whose latest end is what a limit is compared with; a clock: one of them, less the begin of `from`.
  day.endsOf = function (net, limit) {
    if (limit.to !== null) return net.leftOut[limit.to] || net.leftOut[limit.from] ? [] : [limit.to];
    var out = [];
    limit.lanes.forEach(function (l) { net.laneLast[l].forEach(function (k) { if (out.indexOf(k) < 0) out.push(k); }); });
    return out;
  };

  // The task is certainly not done at that moment: of what nobody spoke of, if what it waits for ended later.
  function isOpenAt(net, r, k, at) {
    var before = new Uint8Array(net.n);
    if (r.state[k] !== day.UNREPORTED) return r.state[k] !== day.DONE && r.now > at;
    day.markBefore(net, k, before);
    return net.order.some(function (p) { return before[p] && r.endReported[p] !== null && r.end[p] > at; });
  }

  // What is settled about a limit, or cannot be said: {kind, ...}; null: it has a number. doubt: r.doubted (the tasks of which a moment is
  // doubtful, day.stretches) speaks against any, and against its having been kept; apart: its work is left out; lost: what ends its
  // window is; took: {minutes, most: an end or begin was inferred, so that it may have been less}; passed: its time is over and work of it
  // still open; open: {what, task} was not entered; stopped: what ends it was stopped before it was complete, so that its minutes are a lower bound
  // (of this page alone: the command takes no such report). over: it is gone over. One rule with wr_now_fact_of and wr_now_lacks (decide/update.h).
  day.factOf = function (net, r, limit) {
    var fact = factAsReported(net, r, limit), before = new Uint8Array(net.n);
    if (!r.doubted || !r.doubted.length || (fact && (fact.over || fact.kind === "apart"))) return fact;
    day.endsOf(net, limit).forEach(function (k) { day.markBefore(net, k, before); });
    return fact && fact.kind === "took" && !r.doubted.some(function (k) { return before[k]; }) ? fact : { kind: "doubt" };
  };
  function factAsReported(net, r, limit) {
    var ends = day.endsOf(net, limit), from = limit.from, to = limit.to, out = 0;
    if (to !== null && net.leftOut[to] && !net.leftOut[from]) return { kind: "lost", task: to, over: true };
    if (!ends.length) return { kind: "apart" };
    var begun = from === null || r.state[from] === day.DONE || r.state[from] === day.RUNNING, done = ends.every(function (k) { return r.state[k] === day.DONE; });
    if (!begun) return null;
    if (from !== null && !r.beginKnown[from]) return { kind: "open", what: "begin", task: from };
    var start = from === null ? 0 : r.begin[from], exact = from === null || r.beginReported[from] !== null, isOpen = ends.some(function (k) { return isOpenAt(net, r, k, start + limit.minutes); });
    if (!done) return exact && isOpen ? { kind: "passed", over: true } : null;
    ends.forEach(function (k) { out = Math.max(out, r.end[k] - start); });
    var cut = ends.filter(function (k) { return r.stopped[k]; });
    if (cut.length) return { kind: "stopped", task: cut[0], minutes: Math.max(out, r.now - start), over: exact && Math.max(out, r.now - start) > limit.minutes };
    var noEnd = ends.some(function (k) { return r.endReported[k] === null; }), most = noEnd || !exact, over = out > limit.minutes;
    if (!most || !over) return { kind: "took", minutes: out, most: most, over: over };
    return from === null ? null : { kind: "open", what: noEnd ? "end" : "begin", task: noEnd ? to : from };
  }
  function cannotBeSaid(fact) { return fact.kind === "open" || (fact.kind === "stopped" && !fact.over); }
  day.cannotBeSaid = cannotBeSaid;
  // By limit, over in any case: 1, or never counted: -1; 0: as the days have it.
  day.fatesOf = function (net, r, limits) {
    return limits.map(function (limit) { var f = day.factOf(net, r, limit); return !f ? 0 : f.kind === "lost" || (f.kind === "stopped" && f.over) ? 1 : cannotBeSaid(f) ? -1 : 0; });
  };

  function outcomes(d, w, ends, from, out) {
    var n = d.trials, i, e;
    out.fill(0);
    for (e = 0; e < ends.length; e++) for (i = 0; i < n; i++) if (w.end[ends[e] * n + i] > out[i]) out[i] = w.end[ends[e] * n + i];
    if (from !== null && ends.length) for (i = 0; i < n; i++) out[i] -= w.begin[from * n + i];
  }

  // Every trial once in each stratum: {weight, finish, rest [stratum * trials + trial], sum [trial], tail [limit][trial]}; tail: share of
  // a trial's weight that goes over a limit, the last one over any.
  function tails(d, limits) {
    var n = d.trials, nl = limits.length, score = new Float64Array(n), w = day.walkRoom(d), out = new Float64Array(n), passed = [], i, l, s, most = -Infinity;
    var t = { weight: new Float64Array(n * STRATA), finish: new Float64Array(n * STRATA), rest: new Float64Array(n * STRATA), sum: new Float64Array(n), tail: [] };
    var ends = limits.map(function (limit) { return day.endsOf(d.net, limit); }), fates = day.fatesOf(d.net, d.reported, limits);
    for (l = 0; l <= nl; l++) t.tail.push(new Float64Array(n));
    for (s = 0; s < STRATA; s++) {
      for (i = 0; i < n; i++) score[i] = scoreIn(s, d.luck.place[i]);
      day.walk(d, score, w);
      for (i = 0; i < n; i++) { t.weight[s * n + i] = w.logWeight[i]; most = Math.max(most, w.logWeight[i]); }
      outcomes(d, w, d.net.order, null, out);
      t.finish.set(out, s * n);
      t.rest.set(w.b, s * n);
      passed[s] = ends.map(function (e, l) {
        var over = new Uint8Array(n);
        if (fates[l]) return over.fill(fates[l] > 0 ? 1 : 0);
        outcomes(d, w, e, limits[l].from, out);
        for (i = 0; i < n; i++) over[i] = out[i] > limits[l].minutes ? 1 : 0;
        return over;
      });
    }
    for (s = 0; s < STRATA; s++)
      for (i = 0; i < n; i++) {
        var x = t.weight[s * n + i] = day.exp(t.weight[s * n + i] - most), any = 0;
        t.sum[i] += x;
        for (l = 0; l < nl; l++) if (passed[s][l][i]) { t.tail[l][i] += x; any = 1; }
        if (any) t.tail[nl][i] += x;
      }
    for (i = 0; i < n; i++) for (l = 0; l <= nl; l++) t.tail[l][i] = t.sum[i] > 0 ? t.tail[l][i] / t.sum[i] : 0;
    return t;
  }

  // {finish {prob: minutes}, limits [{over, error, lo, hi}], any, rest [0.05, 0.5, 0.95], effective}; lo and hi equal `over` until
  // day.intervals has found them.
  day.look = function (d, limits, probs) {
    var n = d.trials, t = tails(d, limits), total = 0, squares = 0, i, answer = { finish: {} };
    for (i = 0; i < n; i++) { total += t.sum[i]; squares += t.sum[i] * t.sum[i]; }
    var q = day.weightedQuantiles(t.finish, t.weight, 0, n * STRATA, probs);
    probs.forEach(function (p, at) { answer.finish[p] = q[at]; });
    var all = t.tail.map(function (tail) { return stated(d, tail, t.sum); });
    answer.any = all.pop();
    answer.limits = all;
    for (i = 0; i < n * STRATA; i++) t.rest[i] = day.exp(t.rest[i]);
    answer.rest = day.weightedQuantiles(t.rest, t.weight, 0, n * STRATA, [0.05, 0.5, 0.95]);
    answer.effective = total * total / squares;
    return answer;
  };

  // ---- luck that all draws share, for intervals (day_cutoff.js): trial i is draw i mod DRAWS ----
  var DRAWS = day.DRAWS = 240, ROUNDS = 20;
  day.sharedLuck = function (data, model, seed) {
    var one = day.luck(data, model, ROUNDS, seed), trials = DRAWS * ROUNDS, out = { trials: trials };
    function spread(from, rows) {
      if (!from) return null;
      var to = new from.constructor(rows * trials);
      for (var r = 0; r < rows; r++) for (var i = 0; i < trials; i++) to[r * trials + i] = from[r * ROUNDS + Math.floor(i / DRAWS)];
      return to;
    }
    for (var i = 0; i < ROUNDS; i++) one.place[i] = (i * 7 % ROUNDS + 0.5) / ROUNDS;
    out.z = spread(one.z, data.tasks.length);
    out.h = spread(one.h, data.tasks.length);
    out.anew = spread(one.anew, data.lanes.length);
    out.place = spread(one.place, 1);
    out.lineUp = spread(one.lineUp, 1);
    return out;
  };
  var scores = [];
  function scoreIn(stratum, place) { // a thousand places in each stratum are enough
    var at = stratum * 256 + ((place * 256) | 0);
    if (scores[at] === undefined) scores[at] = day.quantile((at + 0.5) / (256 * STRATA));
    return scores[at];
  }
  day.scoreOf = function (place) { return scoreIn((place * STRATA) | 0, place * STRATA % 1); };

  function stated(d, tail, weight) {
    var sum = 0, total = 0;
    for (var i = 0; i < d.trials; i++) { sum += weight[i] * tail[i]; total += weight[i]; }
    var over = sum / total;
    return { over: over, lo: over, hi: over, error: errorOf(d, tail, weight, over) };
  }
  // Slots of one draw, and of its neighbours in the chain, are alike: a part is a stretch of draws, however many slots they have and whatever these weigh.
  day.partOf = function (learned, slot, parts) { return Math.floor(learned.chosen[slot] * parts / learned.draws); };
  function errorOf(d, tail, weight, common) {
    var l = d.learned, few = l.draws < 8 * PARTS, total = 0, squares = 0, off = new Float64Array(PARTS), weighed = new Float64Array(l.slots), i;
    for (i = 0; i < d.trials; i++) {
      var s = d.slotOf[i], does = weight[i] * (tail[i] - common);
      off[few ? i % PARTS : day.partOf(l, s, PARTS)] += does;
      weighed[s] += does;
      total += weight[i];
    }
    for (i = 0; i < PARTS; i++) squares += off[i] * off[i];
    return Math.hypot(Math.sqrt(squares * PARTS / (PARTS - 1)), day.lawError(d.model, l, weighed)) / total;
  }
})(wetrunDay);
