// Work of unknown times before reported moments: how likely the run effect of the day makes what was reported, exactly but for chance.
// As decide/past.c has it: the unknown tasks of a simulated day are pushed along a direction until they meet the moment, and the day
// weighs as much as that push is likely. Here that is done at a few run effects in each slot, over a few days of it, more where there are few slots.
"use strict";
(function (day) {
  var LEAST_ROUNDS = 16, DAYS = 16000, LOOK_DAYS = 200, FARTHEST = 200;

  // Reported moments that tasks of unknown time led to, in network order; what an earlier one settled no longer moves.
  function closingsOf(model, net, state) {
    var settled = new Uint8Array(net.n), found = [];
    net.order.forEach(function (k) {
      if (state.beginReported[k] === null && state.endReported[k] === null) return;
      var mark = new Uint8Array(net.n), c = { task: k, toEnd: state.beginReported[k] === null, exact: state.gap[k] !== 0, moves: new Uint8Array(net.n) };
      c.wait = state.ownWait[k] ? model.source[k].lead_in : null;
      c.at = c.toEnd ? state.end[k] - state.hold[k] : c.wait ? state.begin[k] : state.ready[k];
      day.markBefore(net, k, mark);
      c.list = net.order.filter(function (p) { return mark[p]; });
      c.movers = c.list.filter(function (p) { return isPast(state, p) && !settled[p] && takesTime(state, p) && !day.isWait(model.source[p]) && (p !== k || c.toEnd); });
      c.movers.forEach(function (p) { c.moves[p] = settled[p] = 1; });
      c.ruled = c.movers.filter(function (p) { return state.openRule[p]; });
      c.gone = new Uint8Array(net.n);
      if (c.movers.length) found.push(c);
    });
    return found;
  }
  // Where the unknown tasks may have ended at any time before the begin: density of the lead-in that is left, in the mean up to each of these moments
  // from the one before on. known: when it could have come if they had taken no time.
  var SHORT_WAITS = 0.75, BEYOND = 1e-3; // more than a push is met to
  function stepsOf(at, known, law) {
    var whole = at - known, brief = day.leadInQuantile(law, SHORT_WAITS), within = 1 - day.leadInTail(law, whole);
    var steps = [{ until: known + BEYOND, density: day.leadInDensity(law, whole) }];
    if (brief < whole) steps.push({ until: at - brief, density: (within - SHORT_WAITS) / (whole - brief) });
    steps.push({ until: at, density: brief < whole ? SHORT_WAITS / brief : within / whole });
    return steps;
  }
  // What may have been dropped takes time where the moment it led to tells on which days it was done (open_rule of decide/update.h).
  function takesTime(state, k) { return !state.rule[k] || state.openRule[k]; }
  function isPast(state, k) { return state.state[k] === day.DONE && !state.timeKnown[k]; }

  // What a day needs, for closings[…]: minutes at run effect 0 and their sd in z, by task; tasks that wait stay as they are.
  function roomOf(model, net, state, closings, rounds) {
    var room = { rounds: rounds, tasks: net.order.filter(function (k) { return isPast(state, k) && takesTime(state, k); }), begin: new Float64Array(net.n), bend: [], minutes: [], sd: [], z: [], now: new Float64Array(net.n), end: new Float64Array(net.n),
      rate: new Float64Array(net.n), waited: new Int32Array(net.n), person: new Float64Array(model.lineUps[0].length), rising: new Uint8Array(net.n) };
    room.tasks.forEach(function (k) {
      var source = model.source[k];
      room.rising[k] = day.isWait(source) ? 0 : 1;
      room.bend[k] = day.isBent(source) && room.rising[k] ? day.bend(source.kind, source.p) : null;
      ["minutes", "sd", "z"].forEach(function (key) { room[key][k] = new Float64Array(rounds); });
    });
    closings.forEach(function (c) { // by the ways in which what is ruled may have been dropped
      c.ways = [];
      for (var w = 0; w < 1 << c.ruled.length; w++) c.ways.push({ stretch: new Float64Array(net.n), push: new Float64Array(rounds) });
      takeWay(c, 0);
    });
    return room;
  }

  function takeWay(c, w) {
    c.ruled.forEach(function (k, i) { c.gone[k] = w >> i & 1; });
    c.stretch = c.ways[w].stretch;
    c.push = c.ways[w].push;
  }

  // The tasks of unknown time on the days of slot s, at run effect 0, with anybody who may be in the lanes.
  function drawDays(model, out, net, room, s, random) {
    var slots = out.slots, rho = out.rho[s], unit = Math.sqrt(1 - 2 * rho * rho / Math.PI);
    for (var r = 0; r < room.rounds; r++) {
      var who = model.distinct[r % model.distinct.length].who;
      for (var l = 0; l < who.length; l++)
        room.person[l] = who[l] >= 0 ? out.x[(model.rows + who[l]) * slots + s] : who[l] === -1 ? out.kappa[s] * random.normal() : 0;
      for (var t = 0; t < room.tasks.length; t++) {
        var k = room.tasks[t], source = model.source[k], z = room.z[k][r] = random.normal();
        if (!room.rising[k]) { room.minutes[k][r] = source.p[0]; continue; }
        if (source.kind === "lognormal") { room.sd[k][r] = source.p[1]; room.minutes[k][r] = Math.exp(source.p[0] + source.p[1] * z); continue; }
        if (source.kind !== "model") {
          room.minutes[k][r] = day.bent(room.bend[k], z);
          room.sd[k][r] = (day.bent(room.bend[k], z + 0.5) - day.bent(room.bend[k], z - 0.5)) / Math.max(1e-9, room.minutes[k][r]);
          continue;
        }
        var sd = out.spread[source.row * slots + s] / unit, log = out.x[source.row * slots + s] + (source.shift >= 0 ? out.shift[source.shift * slots + s] : 0), lanes = net.lanes[k];
        for (l = 0; l < lanes.length; l++) log += room.person[lanes[l]] / lanes.length;
        room.sd[k][r] = sd * Math.sqrt(1 - rho * rho);
        room.minutes[k][r] = Math.exp(log + (rho !== 0 ? sd * rho * (Math.abs(random.normal()) - Math.sqrt(2 / Math.PI)) : 0) + room.sd[k][r] * z);
      }
    }
  }

  // When the moment of closing c comes if its unknown tasks are pushed; its rise goes to room.rose.
  function momentAt(net, state, room, c, push) {
    for (var i = 0; i < c.list.length; i++) {
      var k = c.list[i], start = net.notBefore[k], rise = 0, before = net.before[k], waited = -1;
      if (state.state[k] === day.DONE && state.timeKnown[k] && (k !== c.task || c.toEnd)) { room.end[k] = state.end[k]; room.rate[k] = 0; room.waited[k] = -1; continue; }
      for (var j = 0; j < before.length; j++)
        if (room.end[before[j]] > start) { start = room.end[before[j]]; rise = room.rate[before[j]]; waited = before[j]; }
      room.waited[k] = waited;
      if (k === c.task && !c.toEnd) { room.rose = rise; return start; }
      room.begin[k] = start;
      var minutes = c.gone[k] ? 0 : room.now[k];
      if (c.moves[k] && !c.gone[k]) { minutes *= day.exp(push * c.stretch[k]); rise += minutes * c.stretch[k]; }
      room.end[k] = start + minutes + (k === c.task ? 0 : state.hold[k]);
      room.rate[k] = rise;
    }
    room.rose = room.rate[c.task];
    return room.end[c.task];
  }

  // How much each unknown task answers: by its variance and its share of the way to the moment, over some days.
  function findStretches(model, out, net, state, room, closings, random) {
    var slots = Math.min(out.slots, Math.ceil(LOOK_DAYS / room.rounds));
    for (var n = 0; n < slots; n++) {
      drawDays(model, out, net, room, Math.floor((n + 0.5) / slots * out.slots), random);
      for (var r = 0; r < Math.min(room.rounds, LOOK_DAYS); r++) {
        setMinutes(room, r, 1);
        eachWay(closings, function (c) {
          var moment = momentAt(net, state, room, c, 0);
          for (var k = c.toEnd ? c.task : room.waited[c.task]; k >= 0 && moment > 0; k = room.waited[k])
            if (c.moves[k] && !c.gone[k]) c.stretch[k] += room.sd[k][r] * room.sd[k][r] * room.now[k] / moment;
        });
      }
    }
    eachWay(closings, function (c) {
      var most = Math.max.apply(null, c.stretch);
      for (var k = 0; k < net.n; k++) c.stretch[k] = most > 0 ? c.stretch[k] / most : c.moves[k] && !c.gone[k] ? 1 : 0;
    });
  }
  function eachWay(closings, look) {
    closings.forEach(function (c) {
      for (var w = c.ways.length; w-- > 0;) { takeWay(c, w); look(c); }
    });
  }
  function setMinutes(room, r, factor) {
    for (var t = 0; t < room.tasks.length; t++) room.now[room.tasks[t]] = room.minutes[room.tasks[t]][r] * (room.rising[room.tasks[t]] ? factor : 1);
  }

  // The push that meets the moment, from a first guess on: Newton on its log within what is known to be too early and too late. NaN: what
  // is known decides it.
  function findPush(net, state, room, c, at) {
    var lo = -Infinity, hi = Infinity;
    for (var i = 0; i < 100 && Math.abs(at) < FARTHEST; i++) {
      var moment = momentAt(net, state, room, c, at), off = moment - c.at, early = off < 0 || (!c.exact && !(room.rose > 0));
      if (Math.abs(off) < 1e-6 * (1 + c.at) && room.rose > 0) return at;
      if (early) lo = at; else hi = at;
      var next = at + Math.min(3, Math.max(-3, room.rose > 0 ? -Math.log(moment / c.at) * moment / room.rose : early ? 1 : -1));
      at = next > lo && next < hi ? next : lo > -Infinity && hi < Infinity ? (lo + hi) / 2 : early ? at + 1 : at - 1;
    }
    return NaN;
  }

  // The push at the day's own place in its law below the begin, and what the day weighs (taken_before of decide/past.c); null: the begin does not depend on it.
  function takeBefore(net, state, room, c, r, centre, root) {
    var at = c.at, known = momentAt(net, state, room, c, -FARTHEST), push = known < at ? findPush(net, state, room, c, c.push[r]) : NaN, below = [0], weight = 0, i;
    function logBelow(push) { return day.logTail(root * (centre - push)); }
    if (isNaN(push)) return null;
    var all = logBelow(push), steps = stepsOf(at, known, c.wait), last = steps.length - 1;
    for (i = 0; i <= last; i++) {
      c.at = steps[i].until;
      var found = i < last ? findPush(net, state, room, c, push) : push;
      below.push(i === last ? 1 : Math.max(below[i], isNaN(found) ? 0 : Math.exp(logBelow(found) - all)));
      weight += steps[i].density * (below[i + 1] - below[i]);
    }
    c.at = at;
    var goal = Math.exp(day.logTail(root * centre)) * weight;
    for (i = 0; i < last && goal > steps[i].density * (below[i + 1] - below[i]); i++) goal -= steps[i].density * (below[i + 1] - below[i]);
    var place = Math.exp(all) * Math.min(1, below[i] + goal / steps[i].density);
    return { log: all + Math.log(weight), first: push, push: place > 1e-15 ? centre + day.quantile(Math.min(place, 1 - 1e-15)) / root : push };
  }

  // Of the law of the push, centre and root of the precision; null: nothing moves.
  function lawOf(room, c, r) {
    var precision = 0, pull = 0;
    for (var i = 0; i < c.movers.length; i++) {
      var k = c.movers[i];
      if (c.gone[k] || !(room.sd[k][r] > 0)) continue;
      var u = c.stretch[k] / room.sd[k][r];
      precision += u * u;
      pull -= room.z[k][r] * u;
    }
    return precision > 0 ? { centre: pull / precision, root: Math.sqrt(precision) } : null;
  }
  function pushTasks(room, c, push) {
    for (var i = 0; i < c.movers.length; i++) room.now[c.movers[i]] *= c.gone[c.movers[i]] ? 0 : day.exp(push * c.stretch[c.movers[i]]);
  }

  // The moment may have come with work done or dropped, each by a push of its own: the day weighs as much as all ways together, and goes one
  // of them, by their weights, evenly over the days (meet_either_way of decide/past.c).
  var NO_WAY = -300, EVEN = 0.6180339887498949; // the golden section, by whose multiples lots are even
  function meetEitherWay(net, state, room, c, r) {
    var push = [], log = [], most = -Infinity, sum = 0, taken = 0, w;
    for (w = 0; w < c.ways.length; w++) {
      takeWay(c, w);
      var law = lawOf(room, c, r), at = law ? findPush(net, state, room, c, c.push[r]) : NaN;
      var met = !isNaN(at) && c.ruled.every(function (k) { return room.begin[k] > net.dropAfter[k] === !!c.gone[k]; }), off = met ? law.root * (at - law.centre) : 0;
      c.push[r] = isNaN(at) ? 0 : at;
      push.push(at);
      log.push(met ? Math.log(law.root) - 0.5 * off * off - Math.log(room.rose) : -Infinity);
      most = Math.max(most, log[w]);
    }
    if (most === -Infinity) return NO_WAY;
    for (w = 0; w < log.length; w++) sum += Math.exp(log[w] - most);
    var lot = EVEN * (r + 1) % 1 * sum;
    for (w = 0; w < log.length && lot >= 0; w++)
      if (log[w] > -Infinity) { lot -= Math.exp(log[w] - most); taken = w; }
    takeWay(c, taken);
    pushTasks(room, c, push[taken]);
    return most + Math.log(sum);
  }

  // Log of what a day weighs by one moment; its unknown tasks are left as the push makes them.
  function meet(net, state, room, c, r) {
    if (c.ruled.length) return meetEitherWay(net, state, room, c, r);
    var law = lawOf(room, c, r);
    if (!law) return 0;
    var centre = law.centre, root = law.root, log, off, taken = c.wait ? takeBefore(net, state, room, c, r, centre, root) : null;
    var push = taken ? taken.first : c.wait ? NaN : findPush(net, state, room, c, c.push[r]);
    if (isNaN(push)) { c.push[r] = 0; return 0; }
    c.push[r] = push;
    off = root * (push - centre);
    if (taken) { log = taken.log; push = taken.push; }
    else if (c.exact) log = Math.log(root) - 0.5 * off * off - Math.log(room.rose);
    else { log = day.logTail(-off); push = centre - day.aboveFast(root * centre, -off) / root; }
    pushTasks(room, c, push);
    return log;
  }

  // By slot and run effect, log of the density of all that was reported of such moments: a function (slot, run effects, logs[], by line-up and run
  // effect that density over the mean: shares[]); null: there is no such moment. Rounds take the line-ups in turn, of very many the first.
  day.pastOf = function (model, out, net, state, random) {
    var closings = closingsOf(model, net, state);
    if (!closings.length) return null;
    var rounds = Math.max(LEAST_ROUNDS, Math.ceil(DAYS / out.slots)), room = roomOf(model, net, state, closings, rounds), weight = new Float64Array(rounds), many = Math.min(rounds, model.distinct.length);
    findStretches(model, out, net, state, room, closings, random);
    function said(s, effects, logs, shares) {
      shares.fill(0);
      drawDays(model, out, net, room, s, random);
      eachWay(closings, function (c) { c.push.fill(0); });
      for (var e = 0; e < effects.length; e++) {
        var most = -Infinity, sum = 0, all = 0, factor = Math.exp(effects[e]);
        for (var r = 0; r < rounds; r++) {
          setMinutes(room, r, factor);
          weight[r] = 0;
          for (var c = 0; c < closings.length; c++) weight[r] += meet(net, state, room, closings[c], r);
          most = Math.max(most, weight[r]);
        }
        for (r = 0; r < rounds; r++) shares[r % many * effects.length + e] += Math.exp(weight[r] - most) / Math.ceil((rounds - r % many) / many);
        for (var l = 0; l < many; l++) { sum += model.distinct[l].share * shares[l * effects.length + e]; all += model.distinct[l].share; }
        logs[e] = most + Math.log(sum / all);
        for (l = 0; l < many; l++) shares[l * effects.length + e] *= all / sum;
      }
    }
    said.eitherWay = closings.some(function (c) { return c.ruled.length > 0; });
    return said;
  };
})(wetrunDay);
