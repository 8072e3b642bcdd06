// Cut-offs during the day: the latest moment s such that, if a task begins at s or earlier, the limit is kept with the
// wanted confidence given that it began then (decide/cutoff.h has the definition and the reasons).
//
// Each day is pushed along a unit direction of its standard normals, in steps over all that matters, and walked at every
// step; what the start of the task and the outcome are between two steps is taken as straight. A day then counts at s
// wherever its start crosses s, with the density of the place, so that rises, falls and drops of work need no cases.
// A clock that has not begun is read as start less its begin; one that runs has only another zero.
"use strict";
(function (day) {
  var STEP = 0.6, FAR = 4.8, NODES = Math.round(2 * FAR / STEP) + 1, NEAR = 7, GRADIENTS = 160, PARTS = 32;
  var LEAST = 20, LEAST_SHARE = 0.001, REACHED = 20, SURE_ERRORS = 3, ROUGH = 5, ALIKE = 0.8; // ways with a larger cosine are walked as one: any way is right, a near one costs little
  var WORK = 120000; // days times tasks
  var FIRST = 2000; // days that find the two points between which a cut-off lies; all days then say where

  // The days of a card: the first n of the days, each at its own run effect.
  function cardDays(d, n) {
    var c = { d: d, n: n, score: new Float64Array(n), b: new Float64Array(n), logWeight: new Float64Array(n), weight: new Float64Array(n) };
    var i, most = -Infinity, live = d.live, t, k, j;
    c.begin = new Float64Array(d.n * n);
    c.end = new Float64Array(d.n * n);
    c.from = new Int32Array(d.n * n).fill(-1); // the task waited for; -1: none that could have gone otherwise
    c.taken = new Float64Array(d.n * n);
    for (i = 0; i < n; i++) {
      c.score[i] = day.scoreOf((d.luck.place[i] * day.STRATA + i * 5) % day.STRATA / day.STRATA);
      c.b[i] = day.effectAt(d, i, c.score[i]);
      c.logWeight[i] = d.weightLog;
    }
    for (t = 0; t < live.length; t++) {
      k = live[t];
      for (i = 0; i < n; i++) {
        var at = k * n + i, start, who = -1;
        if (d.state.state[k] === day.RUNNING) {
          c.taken[at] = day.runningMinutes(d, k, i, c.b[i], 0);
          start = d.state.begin[k];
          c.end[at] = start + day.heldMin(d.state, k) + c.taken[at];
          c.logWeight[i] += d.tail;
        } else {
          start = d.floor[k];
          for (j = 0; j < d.net.before[k].length; j++) {
            var p = d.net.before[k][j], ended = d.state.state[p] === day.DONE ? d.state.end[p] : c.end[p * n + i];
            if (ended > start) { start = ended; who = d.state.state[p] === day.DONE ? -1 : p; }
          }
          c.taken[at] = start > d.dropAfter[k] ? 0 : d.minutes[k * d.trials + i] * (d.give[k] === day.FIXED ? 1 : day.exp(c.b[i]));
          c.end[at] = start + c.taken[at];
        }
        c.begin[at] = start;
        c.from[at] = who;
      }
    }
    for (i = 0; i < n; i++) most = Math.max(most, c.logWeight[i]);
    for (i = 0; i < n; i++) c.weight[i] = Math.exp(c.logWeight[i] - most);
    c.most = most;
    c.room = {};
    return c;
  }

  // Rise of a live task's minutes by its z.
  function byScore(d, k, i, taken) {
    if (d.give[k] === day.BENT) {
      var z = d.luck.z[k * d.trials + i];
      return taken / Math.max(1e-9, day.bent(d.bend[k], z)) * (day.bent(d.bend[k], z + 0.5) - day.bent(d.bend[k], z - 0.5));
    }
    return d.give[k] === day.FIXED ? 0 : taken * d.slope[k * d.learned.slots + d.slotOf[i]];
  }
  function runSd(d, i) { return d.learned.runSd[d.slotOf[i]]; }

  // Mean gradient of the start of task k, less that of `clock`, scaled to unit length: [task, the run effect last]; null:
  // nothing moves it.
  function aim(c, k, clock) {
    var d = c.d, way = new Float64Array(d.n + 1), length = 0, every = Math.max(1, Math.floor(c.n / GRADIENTS)), i;
    function add(target, i, factor) {
      for (var p = c.from[target * c.n + i]; p >= 0; p = c.from[p * c.n + i]) {
        var taken = c.taken[p * c.n + i];
        if (!(taken > 0)) continue;
        way[p] += factor * byScore(d, p, i, taken);
        if (d.give[p] !== day.FIXED) way[d.n] += factor * taken * runSd(d, i);
      }
    }
    for (i = 0; i < c.n; i += every) {
      add(k, i, c.weight[i]);
      if (clock >= 0) add(clock, i, -c.weight[i]);
    }
    for (var round = 0; round < 2; round++) { // what hardly matters only costs time
      length = 0;
      for (i = 0; i <= d.n; i++) length += way[i] * way[i];
      if (!(length > 0)) return null;
      for (i = 0; i <= d.n; i++) { way[i] /= Math.sqrt(length); if (i < d.n && Math.abs(way[i]) < 0.03) way[i] = 0; }
    }
    return way;
  }

  // Live tasks that the start of k and the ends of the limits depend on, in network order.
  function listFor(d, marks) {
    var mark = new Uint8Array(d.n);
    marks.forEach(function (k) { day.markBefore(d.net, k, mark); });
    return d.live.filter(function (k) { return mark[k]; });
  }

  // Room that is used again from way to way: {begin, out, log}.
  function roomFor(room, key, size) {
    if (!room[key] || room[key].length < size) room[key] = new Float64Array(size);
    return room[key];
  }

  // What a walk along a way needs of the tasks that it passes, by their place in network order: rows of BLOCK days each, so that
  // one task after the other goes through short loops. What is done already stands behind them and stays as it was.
  var BLOCK = 64, RUNS = 9;
  function layOut(c, way, watch, ends, kept) {
    var d = c.d, list = listFor(d, watch.concat.apply(watch, ends)), m = list.length, place = new Int32Array(d.n).fill(-1), all = list.slice();
    list.forEach(function (k, t) { place[k] = t; });
    watch.concat.apply(watch, ends).forEach(function (k) { if (place[k] < 0) place[k] = all.push(k) - 1; });
    var lay = { list: list, place: place, fixed: new Float64Array(m), rule: new Float64Array(m), kind: new Uint8Array(m), push: new Float64Array(m), first: new Int32Array(m + 1), pred: [],
      begin: new Float64Array(all.length * BLOCK), end: new Float64Array(all.length * BLOCK), now: new Float64Array(m * BLOCK), grow: new Float64Array(m * BLOCK),
      delta: new Float64Array(BLOCK), log: new Float64Array(BLOCK) };
    all.forEach(function (k, t) {
      if (t < m) return;
      lay.begin.fill(d.state.begin[k], t * BLOCK, (t + 1) * BLOCK);
      lay.end.fill(d.state.end[k], t * BLOCK, (t + 1) * BLOCK);
    });
    list.forEach(function (k, t) {
      lay.fixed[t] = d.floor[k];
      d.net.before[k].forEach(function (p) {
        if (d.state.state[p] === day.DONE) lay.fixed[t] = Math.max(lay.fixed[t], d.state.end[p]);
        else lay.pred.push(place[p]);
      });
      lay.first[t + 1] = lay.pred.length;
      lay.push[t] = way[k];
      lay.rule[t] = k === kept ? Infinity : d.dropAfter[k];
      lay.kind[t] = d.state.state[k] === day.RUNNING ? RUNS : d.give[k] === day.BENT && way[k] === 0 ? day.LOG : d.give[k];
    });
    lay.pred = Int32Array.from(lay.pred);
    return lay;
  }

  // Minutes of every task at the first node, and by what they grow from node to node, for `count` days from `from` on.
  function prepareBlock(c, lay, run, from, count, first) {
    var d = c.d, l = d.learned, m = lay.list.length, delta = lay.delta, i, t;
    for (i = 0; i < count; i++) delta[i] = -FAR + first * STEP - run * c.score[from + i];
    for (t = 0; t < m; t++) {
      var z = lay.list[t] * d.trials + from, push = lay.push[t];
      if (push !== 0) for (i = 0; i < count; i++) delta[i] -= push * d.luck.z[z + i];
    }
    for (t = 0; t < m; t++) {
      var kind = lay.kind[t], at = lay.list[t] * d.trials + from, to = t * BLOCK, row = lay.list[t] * l.slots;
      for (i = 0; i < count; i++) {
        lay.now[to + i] = d.minutes[at + i];
        lay.grow[to + i] = 1;
        if (kind !== day.LOG && kind !== day.BENT) continue;
        var slot = d.slotOf[from + i], slope = run * l.runSd[slot] + d.slope[row + slot] * lay.push[t];
        lay.now[to + i] = (kind === day.BENT ? 1 : lay.now[to + i]) * day.exp(c.b[from + i] + slope * delta[i]);
        lay.grow[to + i] = day.exp(slope * STEP);
      }
    }
  }

  // Begin and end of the task at place t on the days of a block, and its minutes at the next node.
  function stepTask(lay, t, count) {
    var rule = lay.rule[t], begin = lay.begin, end = lay.end, now = lay.now, grow = lay.grow, at = t * BLOCK, i;
    for (i = 0; i < count; i++) begin[at + i] = lay.fixed[t];
    for (var j = lay.first[t]; j < lay.first[t + 1]; j++) {
      var p = lay.pred[j] * BLOCK;
      for (i = 0; i < count; i++) if (end[p + i] > begin[at + i]) begin[at + i] = end[p + i];
    }
    for (i = 0; i < count; i++) {
      end[at + i] = begin[at + i] > rule ? begin[at + i] : begin[at + i] + now[at + i];
      now[at + i] *= grow[at + i];
    }
  }
  function stepBent(c, lay, t, from, count) { // a judged task that the way pushes
    var d = c.d, k = lay.list[t], at = t * BLOCK;
    for (var i = 0; i < count; i++)
      if (lay.begin[at + i] <= lay.rule[t]) {
        var minutes = lay.now[at + i] / lay.grow[at + i] * day.bent(d.bend[k], d.luck.z[k * d.trials + from + i] + lay.push[t] * lay.delta[i]);
        lay.end[at + i] = lay.begin[at + i] + minutes;
      }
  }
  function stepRunning(c, lay, t, run, from, count) {
    var d = c.d, k = lay.list[t], at = t * BLOCK, begin = d.state.begin[k], after = begin + day.heldMin(d.state, k);
    for (var i = 0; i < count; i++) {
      var b = c.b[from + i] + run * lay.delta[i] * d.learned.runSd[d.slotOf[from + i]];
      lay.begin[at + i] = begin;
      lay.end[at + i] = after + day.runningMinutes(d, k, from + i, b, lay.push[t] * lay.delta[i]);
      lay.log[i] += d.tail;
    }
  }
  function weighBlock(c, lay, run, from, count) {
    var l = c.d.learned, slotOf = c.d.slotOf;
    for (var i = 0; i < count; i++) {
      lay.log[i] = day.weightOf(c.d, from + i) - c.most;
      if (l.corrected) lay.log[i] += day.paceCorrection(l, slotOf[from + i], c.score[from + i] + run * lay.delta[i]);
    }
  }

  // Walks some days along a way, at some nodes, and keeps at [(row * days + i - from) * nodes + node - first] the begin of every task of
  // `watch` and the latest of every list of `ends`, and the log weights. part: {from, to: days, first, last: nodes, kept: a task that is done
  // however late it begins}.
  function alongWay(c, way, watch, ends, room, part) {
    var d = c.d, lay = layOut(c, way, watch, ends, part.kept), m = lay.list.length, run = way[d.n], days = part.to - part.from, nodes = part.last - part.first + 1, size = days * nodes, i, j, t;
    var beginRow = roomFor(room, "begin", watch.length * size), outRow = roomFor(room, "out", ends.length * size), logRow = roomFor(room, "log", size);
    for (var from = part.from; from < part.to; from += BLOCK) {
      var count = Math.min(BLOCK, part.to - from), base = (from - part.from) * nodes;
      prepareBlock(c, lay, run, from, count, part.first);
      for (var node = 0; node < nodes; node++) {
        weighBlock(c, lay, run, from, count);
        for (t = 0; t < m; t++) {
          if (lay.kind[t] === RUNS) { stepRunning(c, lay, t, run, from, count); continue; }
          stepTask(lay, t, count);
          if (lay.kind[t] === day.BENT) stepBent(c, lay, t, from, count);
        }
        for (i = 0; i < count; i++) { logRow[base + i * nodes + node] = lay.log[i]; lay.delta[i] += STEP; }
        for (t = 0; t < watch.length; t++) keepRow(beginRow, t * size + base + node, nodes, lay.begin, lay.place[watch[t]] * BLOCK, count, true);
        for (t = 0; t < ends.length; t++) {
          if (!ends[t].length) keepRow(outRow, t * size + base + node, nodes, null, 0, count, true);
          for (j = 0; j < ends[t].length; j++) keepRow(outRow, t * size + base + node, nodes, lay.end, lay.place[ends[t][j]] * BLOCK, count, j === 0);
        }
      }
    }
    return { from: part.from, days: days, first: part.first, nodes: nodes, size: size, begin: beginRow, out: outRow, log: logRow };
  }
  // A block's row into a track, or the later of the two.
  function keepRow(to, at, stride, from, row, count, anew) {
    for (var i = 0; i < count; i++, at += stride) {
      var x = from ? from[row + i] : 0;
      if (anew || x > to[at]) to[at] = x;
    }
  }

  // Adds the days of a track to the curves g(s): curves[l] at its own points s, for limits[l]; start: row of the task in the track,
  // clock: of the clock in it or -1; outs[l]: row of the limit's ends.
  function addDays(c, track, start, clock, curve, limits, outs) {
    var s = curve.s, points = s.length, nl = limits.length, size = track.size, nodes = track.nodes, begins = track.begin, low = s[0], high = s[points - 1];
    for (var i = 0; i < track.days; i++) {
      var part = partOf(c, track.from + i) * points, base = i * nodes;
      for (var a = 0; a + 1 < nodes; a++) {
        var at = base + a, z0 = clock < 0 ? 0 : begins[clock * size + at], z1 = clock < 0 ? 0 : begins[clock * size + at + 1];
        var s0 = begins[start * size + at] - z0, s1 = begins[start * size + at + 1] - z1, lo = s0 < s1 ? s0 : s1, hi = s0 < s1 ? s1 : s0;
        if (!(hi - lo > 1e-9) || hi <= low || lo > high) continue;
        var from = 0, to = points;
        while (from < to) { var mid = (from + to) >> 1; if (s[mid] < lo) from = mid + 1; else to = mid; }
        if (from >= points || s[from] >= hi) continue;
        var across = 1 / (s1 - s0), here = -FAR + (track.first + a) * STEP, log0 = track.log[at], rise = track.log[at + 1] - log0, density = STEP / (hi - lo);
        for (var p = from; p < points && s[p] < hi; p++) {
          var u = (s[p] - s0) * across, t = here + u * STEP, w = day.exp(-0.5 * t * t + log0 + u * rise) * s[p] * density;
          curve.sum[p] += w;
          curve.squares[p] += w * w;
          curve.partSum[part + p] += w;
          for (var l = 0; l < nl; l++) {
            var o = outs[l] * size + at, out0 = track.out[o] - z0, out1 = track.out[o + 1] - z1;
            if (out0 + u * (out1 - out0) > limits[l].minutes) continue;
            curve.inside[l][p] += w;
            curve.partInside[l][part + p] += w;
          }
        }
      }
    }
  }
  // Widens `reach` to the nodes between which a track's days pass lo … hi; the outermost ten-thousandths of their weight may be missing.
  function widenTo(c, track, start, clock, lo, hi, reach) {
    var size = track.size, nodes = track.nodes, begins = track.begin, weight = new Float64Array(nodes), total = 0, sum = 0, a;
    for (var i = 0; i < track.days; i++)
      for (a = 0; a + 1 < nodes; a++) {
        var at = i * nodes + a, s0 = begins[start * size + at], s1 = begins[start * size + at + 1], t = -FAR + (a + 0.5) * STEP;
        if (clock >= 0) { s0 -= begins[clock * size + at]; s1 -= begins[clock * size + at + 1]; }
        if (!((s0 > lo || s1 > lo) && (s0 < hi || s1 < hi)) || s0 === s1) continue;
        var w = day.exp(-0.5 * t * t + track.log[at]);
        weight[a] += w;
        total += w;
      }
    for (a = 0; a < nodes && sum + weight[a] <= 1e-4 * total; a++) sum += weight[a];
    reach.first = Math.min(reach.first, a);
    for (a = nodes - 1, sum = 0; a > 0 && sum + weight[a] <= 1e-4 * total; a--) sum += weight[a];
    reach.last = Math.max(reach.last, a + 1);
  }
  function newCurve(s, limits) {
    var points = s.length;
    return {
      s: s, sum: new Float64Array(points), squares: new Float64Array(points), partSum: new Float64Array(PARTS * points),
      inside: limits.map(function () { return new Float64Array(points); }), partInside: limits.map(function () { return new Float64Array(PARTS * points); })
    };
  }
  function evenly(lo, hi, points) { return Float64Array.from({ length: points }, function (_, i) { return lo + (hi - lo) * i / (points - 1); }); }
  // Middle and standard deviation of the log of a unit's start, or reading of its clock.
  function lawOf(c, u) {
    var sum = 0, mean = 0, squares = 0, i;
    for (i = 0; i < c.n; i++) {
      if (c.from[u.task * c.n + i] < 0 || !(u.reading[i] > 0)) continue;
      var log = Math.log(u.reading[i]);
      sum += c.weight[i];
      mean += c.weight[i] * log;
      squares += c.weight[i] * log * log;
    }
    mean /= sum;
    return { middle: u.typical > 0 ? u.typical : Math.exp(mean), sd: sum > 0 ? Math.max(1e-4, Math.sqrt(Math.max(0, squares / sum - mean * mean))) : 1e-4 };
  }
  // Points to look at first: the further out, the further apart.
  function pointsAround(u, least, most) {
    var points = [];
    for (var i = -12; i <= 26; i++) {
      var n = Math.abs(i), away = n <= 8 ? 0.5 * n : n <= 16 ? n - 4 : 2 * n - 20, s = Math.min(u.law.middle, u.rule) * Math.exp((i < 0 ? -away : away) * u.law.sd);
      if (s > least && s < most) points.push(s);
    }
    return Float64Array.from(points.concat(most));
  }
  function effective(curve, p) { return curve.squares[p] > 0 ? curve.sum[p] * curve.sum[p] / curve.squares[p] : 0; }
  function share(curve, l, p) { return curve.sum[p] > 0 ? curve.inside[l][p] / curve.sum[p] : 0; }

  // The crossing of the wanted confidence by limit l, from the usual start on: later while that is inside, else earlier. {reason, at,
  // error, effective}; reasons: found; never: no start reaches it; unreached: too few days begin anywhere near; beyond: inside as
  // far as any day begins; end: inside up to the last moment, that of the limit itself or of the task's own drop_after. Below a start from
  // dipsFrom on that is surely outside although a later one is inside: {dip: the last such start, seen: that one}.
  function crossing(curve, l, wanted, last, usual, dipsFrom) {
    var n = curve.s.length, p = 0, from = 0;
    while (n > 0 && curve.s[n - 1] > last * 1.0000001) n--;
    while (from < n && effective(curve, from) < REACHED) from++;
    if (from >= n) return { reason: "unreached" };
    for (p = from; p + 1 < n && curve.s[p + 1] <= usual && effective(curve, p + 1) >= REACHED;) p++;
    if (share(curve, l, p) < wanted) {
      while (p > from && share(curve, l, p) < wanted) p--;
      if (share(curve, l, p) < wanted) return { reason: "never", at: curve.s[p] };
    } else while (p + 1 < n && effective(curve, p + 1) >= REACHED && share(curve, l, p + 1) >= wanted) p++;
    var seen = p, dip = -1, lowest = -1;
    for (var e = p - 1; e >= from && curve.s[e] >= dipsFrom; e--) {
      if (share(curve, l, e) >= wanted - 3 * Math.sqrt(wanted * (1 - wanted) / effective(curve, e))) continue;
      dip = Math.max(dip, e);
      lowest = e;
    }
    if (lowest >= 0) {
      for (p = lowest; p > from && share(curve, l, p) < wanted;) p--;
      if (share(curve, l, p) < wanted) return { reason: "never", at: curve.s[p], dip: curve.s[dip], seen: curve.s[seen] };
    }
    if (p + 1 >= n) return { reason: "end", at: last, effective: effective(curve, p) };
    if (effective(curve, p + 1) < REACHED) return { reason: "beyond", at: curve.s[p], effective: effective(curve, p) };
    var g0 = share(curve, l, p), g1 = share(curve, l, p + 1), width = curve.s[p + 1] - curve.s[p];
    return {
      reason: "found", at: curve.s[p] + (g0 - wanted) / (g0 - g1) * width, lo: curve.s[p], hi: curve.s[p + 1],
      dip: curve.s[dip], seen: curve.s[dip < 0 ? -1 : seen], fall: g0 - g1, error: errorAt(curve, l, p, (g0 - g1) / width), effective: Math.min(effective(curve, p), effective(curve, p + 1))
    };
  }
  // Monte Carlo error of a crossing, to first order from the whole's slope: of a ratio of two sums over parts of the draws, and no less
  // than that of as many days apart as count here. Of few days the parts alone see too little (over eight seeds 1.1 of it, and now and
  // then a third).
  function errorAt(curve, l, p, slope) {
    var n = curve.s.length, sum = curve.sum[p] + curve.sum[p + 1], whole = (curve.inside[l][p] + curve.inside[l][p + 1]) / sum, squares = 0, parts = 0;
    for (var e = 0; e < PARTS; e++) {
      var total = curve.partSum[e * n + p] + curve.partSum[e * n + p + 1];
      if (!(total > 0)) continue;
      var off = (curve.partInside[l][e * n + p] + curve.partInside[l][e * n + p + 1] - whole * total) / sum;
      squares += off * off;
      parts++;
    }
    if (!(parts > 1 && slope > 0)) return 0;
    return Math.sqrt(Math.max(squares * parts / (parts - 1), whole * (1 - whole) / Math.min(effective(curve, p), effective(curve, p + 1)))) / slope;
  }

  // Share of days inside when k is held until s, or as it is if that is later: nothing to learn from a hold.
  function heldShare(c, k, limit, s) {
    var d = c.d, ends = day.endsOf(d.net, limit), list = listFor(d, [k].concat(ends, limit.from === null ? [] : [limit.from])), sum = 0, inside = 0;
    var end = new Float64Array(d.n), begin = new Float64Array(d.n);
    for (var i = 0; i < d.n; i++) if (d.state.state[i] === day.DONE) { end[i] = d.state.end[i]; begin[i] = d.state.begin[i]; }
    for (i = 0; i < c.n; i++) {
      for (var t = 0; t < list.length; t++) {
        var q = list[t], at = q * c.n + i, start = d.floor[q];
        if (d.state.state[q] === day.RUNNING) { begin[q] = c.begin[at]; end[q] = c.end[at]; continue; }
        d.net.before[q].forEach(function (p) { if (end[p] > start) start = end[p]; });
        if (q === k) start = Math.max(start, limit.from === null ? s : begin[limit.from] + s);
        begin[q] = start;
        var minutes = d.minutes[q * d.trials + i] * (d.give[q] === day.FIXED ? 1 : Math.exp(c.b[i]));
        end[q] = start > d.dropAfter[q] ? start : start + minutes;
      }
      var out = 0;
      ends.forEach(function (e) { if (end[e] > out) out = end[e]; });
      if (limit.from !== null) out -= begin[limit.from];
      sum += c.weight[i];
      if (out <= limit.minutes) inside += c.weight[i];
    }
    return sum > 0 ? inside / sum : 0;
  }
  function heldCrossing(c, k, limit, confidence, from, last) {
    var lo = from, hi = last, steps = 24, s;
    if (heldShare(c, k, limit, lo) < confidence) return { reason: "never", at: lo, held: true };
    for (s = 1; s <= steps; s++) {
      var next = from + (last - from) * s / steps;
      if (heldShare(c, k, limit, next) < confidence) { hi = next; break; }
      lo = next;
    }
    if (s > steps) return { reason: "found", at: last, held: true };
    for (s = 0; s < 9; s++) { var mid = (lo + hi) / 2; if (heldShare(c, k, limit, mid) >= confidence) lo = mid; else hi = mid; }
    return { reason: "found", at: lo, held: true };
  }

  // Inside at every start that enough days get to. Where starts have a bound only a hold from outside could make it later; else it is
  // inside at least until the last start looked at.
  function asFarAsSeen(c, u, limit, f) {
    var d = c.d, at = f.at, differ = d.learned.runSd.some(function (sd) { return sd > 0; });
    var bounded = listFor(d, [u.task]).every(function (k) {
      return k === u.task || !(d.give[k] === day.LOG || (d.give[k] === day.BENT && differ));
    });
    if (bounded) {
      var held = heldCrossing(c, u.task, limit, limit.confidence, u.typical, lastOf(u, limit));
      for (var i = 0; i < c.n; i++) if (u.reading[i] > at && u.reading[i] <= u.rule) at = u.reading[i];
      if (held.reason === "found" && held.at > at) at = held.at;
    }
    return { reason: "found", at: at, beyond: true, held: bounded };
  }

  // Starts that have a probability of their own, since a moment before which it may not begin decided them; not where it is dropped.
  function atomsOf(c, k, limit, outcome) {
    var atoms = [];
    for (var i = 0; i < c.n; i++) {
      if (c.from[k * c.n + i] >= 0 || c.begin[k * c.n + i] > c.d.dropAfter[k]) continue;
      if (limit.from !== null && c.from[limit.from * c.n + i] >= 0) continue;
      var at = c.begin[k * c.n + i] - (limit.from === null ? 0 : beginOf(c, limit.from, i)), a = 0;
      while (a < atoms.length && Math.abs(atoms[a].at - at) > 1e-9 * (1 + at)) a++;
      if (a === 64) continue;
      if (a === atoms.length) atoms.push({ at: at, sum: 0, inside: 0 });
      atoms[a].sum += c.weight[i];
      if (outcome(i) <= limit.minutes) atoms[a].inside += c.weight[i];
    }
    return atoms.sort(function (x, y) { return x.at - y.at; });
  }
  function beginOf(c, k, i) { return c.d.state.state[k] === day.DONE || c.d.state.state[k] === day.RUNNING ? c.d.state.begin[k] : c.begin[k * c.n + i]; }
  function endOf(c, k, i) { return c.d.state.state[k] === day.DONE ? c.d.state.end[k] : c.end[k * c.n + i]; }

  function isBefore(net, first, later) { var mark = new Uint8Array(net.n); day.markBefore(net, later, mark); return mark[first] === 1; }
  function bears(net, k, limit, ends) {
    var mark = new Uint8Array(net.n);
    ends.forEach(function (e) { day.markBefore(net, e, mark); });
    if (!mark[k]) return false;
    return limit.from === null || (k !== limit.from && isBefore(net, limit.from, k));
  }

  // Tasks not begun that the end of a clock waits for and its begin does not lead to: no reading to begin by guards the clock against
  // them. One rule with beside_clock (decide/cutoff.h).
  day.besideClock = function (net, r, limit) {
    var from = limit.from, to = limit.to;
    if (from === null || net.leftOut[from] || net.leftOut[to]) return [];
    return net.order.filter(function (k) {
      return (r.state[k] === day.AHEAD || r.state[k] === day.UNREPORTED) && isBefore(net, k, to) && !isBefore(net, from, k) && !isBefore(net, k, from);
    });
  };

  // ---- what is looked for: starts of tasks, each for the limits that it bears on ----

  // Units {task, clock or -1, rows, way, rule}: rows are the card's, {limit, task, reason, typical, at, ...}; rule: the last start, or reading
  // of a clock that runs, at which the task is not dropped itself. Given that it begins it is not, so its days are walked without its rule.
  function unitsOf(c, limits, rows) {
    var d = c.d, units = [], begun = function (k) { return d.state.state[k] === day.RUNNING || d.state.state[k] === day.DONE; };
    var ends = limits.map(function (limit) { return day.endsOf(d.net, limit); });
    d.live.forEach(function (k) {
      if (begun(k)) return;
      limits.forEach(function (limit, l) {
        var row = { limit: l, task: k, reason: "found" };
        rows.push(row);
        if (limit.confidence === null) row.reason = "no-confidence";
        else if (limit.from !== null && begun(limit.from) && !d.state.beginKnown[limit.from]) row.reason = "open";
        else if (!bears(d.net, k, limit, ends[l])) row.reason = "not-before-limit";
        else {
          var clock = limit.from === null ? -1 : limit.from, unit = units.filter(function (u) { return u.task === k && u.clock === clock; })[0];
          if (!unit) units.push(unit = { task: k, clock: clock, rows: [], rule: clock < 0 ? d.dropAfter[k] : begun(clock) ? d.dropAfter[k] - d.state.begin[clock] : Infinity });
          unit.rows.push(row);
        }
      });
    });
    units.forEach(function (u) { u.way = aim(c, u.task, u.clock >= 0 && !begun(u.clock) ? u.clock : -1); });
    return units;
  }

  function lastOf(u, limit) { return Math.min(limit.minutes, u.rule); }

  // Units whose ways are alike, to be walked together.
  function groupsOf(d, units) {
    var groups = [];
    units.forEach(function (u) {
      var kept = isFinite(d.dropAfter[u.task]) ? u.task : -1;
      if (!u.way) return groups.push({ way: null, units: [u] });
      for (var g = 0; g < groups.length; g++) {
        var cosine = 0;
        if (!groups[g].way || groups[g].kept !== kept) continue;
        for (var i = 0; i < u.way.length; i++) cosine += u.way[i] * groups[g].way[i];
        if (cosine >= ALIKE) return groups[g].units.push(u);
      }
      groups.push({ way: u.way, kept: kept, units: [u] });
    });
    return groups;
  }

  function readingsOf(c, u) {
    var reading = new Float64Array(c.n);
    for (var i = 0; i < c.n; i++) reading[i] = c.begin[u.task * c.n + i] - (u.clock < 0 ? 0 : beginOf(c, u.clock, i));
    return reading;
  }

  function solveGroup(c, group, limits) {
    var watch = [], ends = [], endOfLimit = [], first = Math.min(FIRST, c.n), track = null, second = { from: first, to: c.n, first: NODES, last: 0, kept: group.kept };
    function place(list, item) { var at = list.indexOf(item); return at < 0 ? list.push(item) - 1 : at; }
    group.units.forEach(function (u) {
      u.start = place(watch, u.task);
      u.from = u.clock >= 0 ? place(watch, u.clock) : -1;
      u.limits = u.rows.map(function (row) { return limits[row.limit]; });
      u.rows.forEach(function (row) {
        if (endOfLimit[row.limit] === undefined) endOfLimit[row.limit] = ends.push(day.endsOf(c.d.net, limits[row.limit])) - 1;
      });
      u.outs = u.rows.map(function (row) { return endOfLimit[row.limit]; });
      u.reading = readingsOf(c, u);
      u.typical = day.weightedQuantiles(u.reading, c.weight, 0, c.n, [0.5])[0];
      u.law = lawOf(c, u);
      u.found = u.rows.map(function () { return { reason: "unreached" }; });
    });
    if (group.way) {
      track = alongWay(c, group.way, watch, ends, c.room, { from: 0, to: first, first: 0, last: NODES - 1, kept: group.kept });
      group.units.forEach(function (u) { findNear(c, u, track, second); });
      group.units.forEach(function (u) { addNear(c, u, track); });
      if (second.last > second.first && second.to > second.from) {
        track = alongWay(c, group.way, watch, ends, c.room, second);
        group.units.forEach(function (u) { addNear(c, u, track); });
      }
    }
    group.units.forEach(function (u) { settleUnit(c, u); });
  }

  // Between which points each cut-off of a unit lies, by the first days; opens curves close together there, and says in `reach` which
  // nodes they need.
  function findNear(c, u, track, reach) {
    var most = Math.min(u.rule, Math.max.apply(null, u.limits.map(function (l) { return l.minutes; })));
    var curve = newCurve(pointsAround(u, Math.min(u.clock < 0 ? Math.max(c.d.floor[u.task] + 1e-6, 1e-2) : 1e-2, 0.999 * most), most), u.limits);
    addDays(c, track, u.start, u.from, curve, u.limits, u.outs);
    u.found = u.limits.map(function (limit, l) { return crossing(curve, l, limit.confidence, lastOf(u, limit), u.typical, mayDrop(c, limit) ? Math.min(u.law.middle, u.rule) * Math.exp(-3.01 * u.law.sd) : Infinity); });
    u.found = u.found.map(function (f, l) { // a steep fall lies somewhere between two points
      var closer = f.reason === "found" && f.fall > 0.3 ? crossing(curveAt(c, u, l, track, evenly(f.lo, f.hi, 12)), 0, u.limits[l].confidence, lastOf(u, u.limits[l]), f.lo) : f;
      return closer.reason === "found" ? Object.assign(closer, { dip: f.dip, seen: f.seen }) : f;
    });
    u.usual = u.limits.map(function (_, l) { return shareAt(curve, l, u.law.middle); });
    u.again = u.limits.map(function (limit, l) { return u.found[l].dip || (u.found[l].reason === "found" && mayDrop(c, limit) && risesAgain(curve, l, u.found[l].hi)) ? secondWindow(c, u, l, track, u.found[l]) : null; });
    u.near = u.found.map(function (f, l) {
      if (f.reason !== "found") return null;
      var away = Math.max(4 * f.error, 0.75 * (f.hi - f.lo)), lo = Math.max(curve.s[0], f.at - away), hi = Math.min(f.at + away, lastOf(u, u.limits[l]));
      widenTo(c, track, u.start, u.from, lo, hi, reach);
      return newCurve(evenly(lo, hi, NEAR), [u.limits[l]]);
    });
  }
  // Inside at this start, of the days that begin then; null: too few do.
  function shareAt(curve, l, s) {
    var p = 0;
    while (p < curve.s.length && curve.s[p] < s * 0.9999999) p++;
    return p < curve.s.length && curve.s[p] < s * 1.0000001 && effective(curve, p) >= REACHED ? share(curve, l, p) : null;
  }

  // ---- a later start that is inside again, since work is then dropped ----
  function mayDrop(c, limit) {
    return listFor(c.d, day.endsOf(c.d.net, limit)).some(function (k) { return isFinite(c.d.dropAfter[k]); });
  }
  // Beyond this start it is somewhere likelier than earlier on to stay inside.
  function risesAgain(curve, l, after) {
    var p = 0;
    while (p < curve.s.length && curve.s[p] < after) p++;
    for (; p + 1 < curve.s.length && effective(curve, p + 1) >= REACHED; p++) if (share(curve, l, p + 1) > share(curve, l, p) + 0.01) return true;
    return false;
  }
  function curveAt(c, u, l, track, points) {
    var curve = newCurve(points, [u.limits[l]]);
    addDays(c, track, u.start, u.from, curve, [u.limits[l]], [u.outs[l]]);
    return curve;
  }
  // {from, to}, or null: there is none that enough days reach. As in decide/cutoff_given.c, by half standard deviations.
  function secondWindow(c, u, l, track, f) {
    var limit = u.limits[l], last = lastOf(u, limit), points = [], noise = 3 * Math.sqrt(limit.confidence * (1 - limit.confidence) / 200);
    for (var x = f.dip || f.at; x < last && points.length < 60; x *= Math.exp(0.5 * u.law.sd)) points.push(x);
    if (f.seen) points.push(f.seen);
    points = Float64Array.from(points.concat(last)).sort();
    var curve = curveAt(c, u, l, track, points), outside = f.dip > 0, p, q, n = points.length;
    for (p = 1; p < n; p++) {
      if (effective(curve, p) < REACHED) return null;
      if (share(curve, 0, p) < limit.confidence - noise) outside = true;
      else if (outside && share(curve, 0, p) >= limit.confidence) break;
    }
    if (p >= n - 1) return null;
    for (q = p; q + 1 < n && effective(curve, q + 1) >= REACHED && share(curve, 0, q + 1) >= limit.confidence;) q++;
    return { from: edge(c, u, l, track, points[p - 1], points[p]), to: q + 1 < n ? edge(c, u, l, track, points[q + 1], points[q]) : last };
  }
  // Between an outside and an inside start: the outermost that is inside.
  function edge(c, u, l, track, outside, inside) {
    var STEPS = 24, rises = inside > outside, curve = curveAt(c, u, l, track, evenly(Math.min(inside, outside), Math.max(inside, outside), STEPS)), p = rises ? STEPS - 1 : 0;
    for (var next = rises ? p - 1 : p + 1; next >= 0 && next < STEPS && share(curve, 0, next) >= u.limits[l].confidence; next += rises ? -1 : 1) p = next;
    return curve.s[p];
  }

  function addNear(c, u, track) {
    (u.near || []).forEach(function (curve, l) { if (curve) addDays(c, track, u.start, u.from, curve, [u.limits[l]], [u.outs[l]]); });
  }
  // Where all days cross, near where the first of them did.
  function takeNear(u) {
    (u.near || []).forEach(function (curve, l) {
      if (!curve) return;
      var better = crossing(curve, 0, u.limits[l].confidence, lastOf(u, u.limits[l]), u.found[l].at);
      if (better.reason === "found") u.found[l] = better;
    });
  }

  function settleUnit(c, u) {
    takeNear(u);
    u.rows.forEach(function (row, l) {
      var f = u.found[l], limit = u.limits[l], ends = day.endsOf(c.d.net, limit);
      if (u.reading.every(function (at) { return at > u.rule; })) f = { reason: "never" }; // no day says what a start would bring
      else if (f.reason === "beyond") f = asFarAsSeen(c, u, limit, f);
      else if (f.reason === "unreached") f = u.way ? { reason: "too-few" } : heldCrossing(c, u.task, limit, limit.confidence, u.typical, lastOf(u, limit));
      else if (f.reason === "end") f = { reason: "found", at: f.at, effective: f.effective };
      Object.assign(row, f);
      row.typical = u.typical;
      row.again = u.again ? u.again[l] : null;
      if (row.reason === "found" && row.effective !== undefined && row.effective < LEAST) row.reason = "too-few";
      var atoms = atomsOf(c, u.task, limit, function (i) { return outcomeOf(c, ends, limit, i); });
      row.usuallyDropped = u.typical > u.rule;
      row.usual = insideIfUsual(c, u, l, atoms);
      heed(row, atoms, limit.confidence);
      heedNow(c, row, limit);
      finish(c, row, limit, u);
    });
  }
  // Inside at the usual start: of the days that begin just then, if a moment before which it may not begin decides it; where nothing moves
  // it, of all. Null: too few days say, or it is dropped by then.
  function insideIfUsual(c, u, l, atoms) {
    var atom = atoms.filter(function (a) { return Math.abs(a.at - u.typical) <= 1e-9 * (1 + u.typical); })[0];
    if (u.typical > u.rule) return null;
    return atom ? atom.inside / atom.sum : u.usual ? u.usual[l] : heldShare(c, u.task, u.limits[l], u.typical);
  }
  function partOf(c, i) { return c.d.learned.draws >= 8 * PARTS ? day.partOf(c.d.learned, c.d.slotOf[i], PARTS) : i % PARTS; }
  function outcomeOf(c, ends, limit, i) {
    var out = 0;
    ends.forEach(function (e) { out = Math.max(out, endOf(c, e, i)); });
    return limit.from === null ? out : out - beginOf(c, limit.from, i);
  }

  function heed(row, atoms, confidence) {
    atoms.forEach(function (atom, a) {
      var inside = atom.inside >= confidence * atom.sum;
      if (row.reason === "never" && a === 0 && inside) { row.reason = "found"; row.at = atom.at; return; }
      if (row.reason === "never" || inside || row.reason === "too-few") return;
      if (atom.at > row.at) return;
      if (a === 0) row.reason = "never";
      else row.at = atom.at;
    });
  }

  // A latest start that has passed is none, nor has work any whose drop time has passed; what nobody spoke of has begun by now, as a rule
  // (heed_now of decide/cutoff.c).
  function heedNow(c, row, limit) {
    if (day.isPastRule(c.d.net, c.d.state, row.task)) {
      row.reason = "past-drop-time";
      row.again = null;
      return;
    }
    var s = c.d.state, from = limit.from === null ? 0 : s.state[limit.from] === day.RUNNING || s.state[limit.from] === day.DONE ? s.begin[limit.from] : null;
    if (from === null) return;
    if (s.state[row.task] === day.UNREPORTED && from + row.typical < s.now) row.reason = "unreported";
    else if (row.reason === "found" && from + row.at < s.now) row.reason = "never";
    if (row.again) row.again = row.again.to > s.now - from ? { from: Math.max(row.again.from, s.now - from), to: row.again.to } : null;
  }

  function finish(c, row, limit, u) {
    var reading = u.reading, sure = row.at - SURE_ERRORS * (row.error || 0);
    if (row.reason !== "found") return;
    if (row.at >= u.rule) { row.byRule = true; row.at = u.rule; row.again = null; }
    row.slack = row.at - row.typical;
    row.inTime = shareInTime(c, reading, row.at);
    if (u.way && !row.byRule && row.inTime < LEAST_SHARE) row.reason = "never"; // heed_reach of decide/cutoff.c
    if (u.way && !row.byRule && row.inTime > 1 - LEAST_SHARE) { // heed_few_late_days
      row.at = day.weightedQuantiles(reading, c.weight, 0, c.n, [1 - LEAST_SHARE + 1e-9])[0];
      row.slack = row.at - row.typical;
      row.inTime = 1 - LEAST_SHARE;
      row.beyond = true;
      row.again = null;
    }
    if (u.way && !row.byRule && !row.held) putEarly(c, row, reading, sure);
  }
  // A rough time errs early, and what holds "at least" until then is beyond chance (put_early of decide/cutoff.c; here by the error of the
  // time itself).
  function putEarly(c, row, reading, sure) {
    var estimate = row.at;
    row.beyond = row.beyond && sure >= estimate;
    row.at = Math.max(Math.min(estimate, sure + ROUGH), Math.min(row.typical, estimate));
    row.early = estimate - row.at;
    if (!(row.early > 0)) return;
    row.slack = row.at - row.typical;
    row.inTime = shareInTime(c, reading, row.at);
  }
  function shareInTime(c, reading, at) {
    var sum = 0, inTime = 0;
    for (var i = 0; i < c.n; i++) {
      sum += c.weight[i];
      if (reading[i] <= at + 1e-9) inTime += c.weight[i];
    }
    return inTime / sum;
  }

  // A start that was held is no later than leaves those that wait for it, and whose lateness tells, their time (heed_next of decide/cutoff.c).
  function heedNext(c, rows, mine) {
    var k = mine.task, taken = c.taken.subarray(k * c.n, (k + 1) * c.n), own = day.weightedQuantiles(taken, c.weight, 0, c.n, [0.5])[0], by = Infinity;
    rows.forEach(function (row) {
      if (row.limit !== mine.limit || row.held || row.byRule || c.d.net.before[row.task].indexOf(k) < 0) return;
      if (row.reason === "never" && !row.usuallyDropped) by = -Infinity;
      else if (row.reason === "found") by = Math.min(by, row.at - own);
    });
    by = Math.max(by, mine.typical);
    if (mine.at > by) Object.assign(mine, { at: by, slack: by - mine.typical, byRule: false, again: null, beyond: false, held: false });
  }

  // ---- the interval of a probability: per draw, all draws on the same few days (decide/overrun.h) ----
  // A way that the latest of some ends follows, on a clock if `from` is a task: its gradient, where it rises. Null: nothing moves it.
  function aimAt(c, ends, from) {
    var d = c.d, way = new Float64Array(d.n + 1), length = 0, every = Math.max(1, Math.floor(c.n / (2 * GRADIENTS))), i;
    function add(p, sign) {
      for (; p >= 0; p = c.from[p * c.n + i]) {
        var taken = c.taken[p * c.n + i];
        way[p] += sign * c.weight[i] * byScore(d, p, i, taken);
        if (d.give[p] !== day.FIXED) way[d.n] += sign * c.weight[i] * taken * runSd(d, i);
      }
    }
    for (i = 0; i < c.n; i += every) {
      var last = -1, at = 0;
      ends.forEach(function (k) { if (c.end[k * c.n + i] > at) { at = c.end[k * c.n + i]; last = k; } });
      add(last, 1);
      if (from !== null) add(c.from[from * c.n + i], -1);
    }
    for (i = 0; i <= d.n; i++) { way[i] = Math.max(0, way[i]); length += way[i] * way[i]; }
    for (i = 0; i <= d.n; i++) way[i] /= Math.sqrt(length);
    return length > 0 ? way : null;
  }

  // Share of a day's weight on the way on which any of the margins is above 0, each straight between nodes (add_up of decide/overrun.c);
  // the weight itself in `mass`.
  function shareOver(log, at, margins, mass) {
    var over = 0, total = 0, w0 = day.exp(log[at] - 0.5 * FAR * FAR);
    for (var a = 0; a + 1 < NODES; a++) {
      var t1 = -FAR + (a + 1) * STEP, w1 = day.exp(log[at + a + 1] - 0.5 * t1 * t1), whole = (w0 + w1) / 2, until = 0, since = 1;
      total += whole;
      for (var l = 0; l < margins.length; l++) {
        var m0 = margins[l][a], m1 = margins[l][a + 1];
        if (m0 > 0) until = Math.max(until, m1 > 0 ? 1 : m0 / (m0 - m1));
        else if (m1 > 0) since = Math.min(since, m0 / (m0 - m1));
      }
      over += until >= since ? whole : whole + until * (w0 + until * (w1 - w0) / 2) - since * (w0 + since * (w1 - w0) / 2);
      w0 = w1;
    }
    mass[0] = total;
    return total > 0 ? over / total : 0;
  }

  // By draw: its weight, and with which probability it passes each limit and, last, any, by days walked along a way.
  function drawsAlong(c, way, limits, fates) {
    var clocks = limits.map(function (limit) { return limit.from; }).filter(function (k, i, all) { return k !== null && all.indexOf(k) === i; }), ends = limits.map(function (limit) { return day.endsOf(c.d.net, limit); });
    var track = alongWay(c, way, clocks, ends, {}, { from: 0, to: c.n, first: 0, last: NODES - 1 }), size = track.size, margins = limits.map(function () { return new Float64Array(NODES); }), mass = [0], i, j, l;
    var by = { weight: new Float64Array(day.DRAWS), value: limits.concat(null).map(function () { return new Float64Array(day.DRAWS); }) };
    for (i = 0; i < c.n; i++) {
      for (l = 0; l <= limits.length; l++) {
        for (var a = 0; a < NODES && l < limits.length; a++) {
          margins[l][a] = track.out[l * size + i * NODES + a] - limits[l].minutes - (limits[l].from === null ? 0 : track.begin[clocks.indexOf(limits[l].from) * size + i * NODES + a]);
          if (fates[l] || !ends[l].length) margins[l][a] = fates[l] || -1;
        }
        var over = shareOver(track.log, i * NODES, l < limits.length ? [margins[l]] : margins, mass);
        by.value[l][i % day.DRAWS] += over * mass[0];
      }
      by.weight[i % day.DRAWS] += mass[0];
    }
    by.value.forEach(function (v) { for (j = 0; j < day.DRAWS; j++) v[j] = by.weight[j] > 0 ? v[j] / by.weight[j] : 0; });
    return by;
  }

  // A clock follows a way of its own: along the finish's a draw's few days would tell its probability in steps, and the upper end too high.
  day.intervals = function (data, model, shared, learned, net, state, limits, look) {
    if (learned.slots < 2 || !limits.length) return;
    var m = Math.min(day.DRAWS, learned.slots), picks = new Int32Array(day.DRAWS), parts = new Int32Array(day.DRAWS), j;
    for (j = 0; j < day.DRAWS; j++) {
      picks[j] = Math.floor((j % m + 0.5) * learned.slots / m);
      parts[j] = learned.draws >= 2 * PARTS ? day.partOf(learned, picks[j], PARTS) : j % PARTS;
    }
    var d = day.daysOf(data, model, shared, learned, net, state, picks);
    if (!d.live.length) return;
    var c = cardDays(d, d.trials), way = aimAt(c, d.live, null), fates = day.fatesOf(net, state, limits);
    if (!way) return;
    var all = drawsAlong(c, way, limits, fates);
    limits.concat(null).forEach(function (limit, l) {
      var own = limit && limit.from !== null && !fates[l] ? aimAt(c, day.endsOf(net, limit), limit.from) : null, by = own ? drawsAlong(c, own, [limit], [0]) : all;
      takeEnds(limit ? look.limits[l] : look.any, by.value[own ? 0 : l], by.weight, parts);
    });
  };
  function takeEnds(p, v, weight, parts) {
    if (p.over > 0 && p.over < 1) moveToMean(v, weight, p.over);
    var found = day.weightedQuantiles(v, weight, 0, v.length, [0.05, 0.95]);
    p.lo = Math.min(found[0], p.over);
    p.hi = Math.max(found[1], p.over);
    p.lo_error = endError(p, v, weight, parts, 0.05);
    p.hi_error = endError(p, v, weight, parts, 0.95);
  }
  // Error of an end, by what each draw, in stretches of them, does to it: one rule with end_error of decide/overrun.c.
  function endError(p, v, weight, parts, prob) {
    var n = v.length, total = 0, rate = 0, mean = 0, squares = 0, does = new Float64Array(PARTS), mass = new Float64Array(PARTS), q = day.weightedQuantiles(v, weight, 0, n, [prob - 0.02, prob, prob + 0.02]), at = q[1], j;
    for (j = 0; j < n; j++) { total += weight[j]; rate += weight[j] * v[j] * (1 - v[j]); }
    var follows = rate > 0 ? at * (1 - at) * total / rate : 0;
    for (j = 0; j < n; j++) {
      var part = parts[j], did = weight[j] * ((q[2] - q[0]) / 0.04 * (v[j] <= at) + follows * v[j]);
      does[part] += did;
      mass[part] += weight[j];
      mean += did / total;
    }
    for (j = 0; j < PARTS; j++) squares += (does[j] - mean * mass[j]) * (does[j] - mean * mass[j]);
    return Math.hypot(Math.sqrt(PARTS / (PARTS - 1) * squares) / total, follows * p.error);
  }
  // Moves the draws' probabilities by one step in normal scores, so that their mean is the stated one.
  function moveToMean(value, weight, mean) {
    var n = value.length, score = new Float64Array(n), total = 0, lo = -8, hi = 8, j;
    for (j = 0; j < n; j++) { total += weight[j]; score[j] = day.quantile(Math.min(Math.max(value[j], 1e-7), 1 - 1e-7)); }
    for (var i = 0; i < 40; i++) {
      var mid = (lo + hi) / 2, sum = 0;
      for (j = 0; j < n; j++) sum += weight[j] * Math.exp(day.logTail(-score[j] - mid));
      if (sum < mean * total) lo = mid;
      else hi = mid;
    }
    for (j = 0; j < n; j++) value[j] = Math.exp(day.logTail(-score[j] - lo));
  }

  // The card: rows of every task that has not begun, a few tasks per call of next(), so that a page can show the rest first.
  // As many days as half a second is enough for: the more, the fewer tasks are left.
  day.card = function (d, limits) {
    var c = cardDays(d, Math.min(d.trials, Math.max(FIRST, Math.floor(WORK / Math.max(1, d.live.length))))), rows = [], groups = groupsOf(d, unitsOf(c, limits, rows)), at = 0;
    return { rows: rows, groups: groups.length, next: function () {
      if (at < groups.length) solveGroup(c, groups[at++], limits);
      if (at === groups.length) rows.slice().reverse().forEach(function (row) { if (row.held && row.reason === "found") heedNext(c, rows, row); });
      return at < groups.length;
    } };
  };
})(wetrunDay);
