// What was reported so far, and what it means for every task of the plan: the same reading as `cutoff --now`
// (decide/now_state.c), with work that was left out taken out of the network first.
"use strict";
(function (day) {
  day.AHEAD = 0;
  day.UNREPORTED = 1;
  day.RUNNING = 2;
  day.DONE = 3;

  // The network without the tasks of leftOut: what waited for one of them waits for what that one waited for.
  day.network = function (data, leftOut) {
    var n = data.tasks.length, before = [], last = [], all = new Array(n);
    function kept(list) {
      var out = [];
      list.forEach(function (p) {
        (leftOut[p] ? all[p] : [p]).forEach(function (q) { if (out.indexOf(q) < 0) out.push(q); });
      });
      return out;
    }
    data.order.forEach(function (k) {
      all[k] = kept(data.before[k]);
      before[k] = leftOut[k] ? [] : all[k];
    });
    data.lane_last.forEach(function (k, lane) { last[lane] = k < 0 ? [] : kept([k]); });
    return {
      n: n, order: data.order.filter(function (k) { return !leftOut[k]; }), before: before, laneLast: last, leftOut: leftOut,
      lanes: data.tasks.map(function (t) { return t.lanes; }),
      notBefore: data.tasks.map(function (t) { return t.not_before_min || 0; }),
      dropAfter: data.tasks.map(function (t) { return t.drop_after_min === null ? Infinity : t.drop_after_min; })
    };
  };

  // Marks k and all it waits for.
  day.markBefore = function (net, k, mark) {
    mark[k] = 1;
    for (var i = net.order.length - 1; i >= 0; i--) {
      var t = net.order[i];
      if (mark[t]) net.before[t].forEach(function (p) { mark[p] = 1; });
    }
  };

  // entries: by task {begin, end, hold, outcome} in elapsed minutes, null where not known; outcome "done", "stopped" or
  // "skipped". now: elapsed minutes. ownWait: by task 1 where its begin may have waited for what is known (day.settle). Returns {state, begin, end, ...} or {trouble: [task, first, words]}.
  day.resolve = function (net, entries, now, ownWait) {
    var n = net.n, k, begin = new Array(n).fill(null), end = new Array(n).fill(null), named = new Uint8Array(n);
    var begun = new Uint8Array(n), done = new Uint8Array(n), wait = [];
    net.order.forEach(function (t) {
      var e = entries[t];
      wait[t] = new Uint8Array(n);
      day.markBefore(net, t, wait[t]);
      if (!e || (e.begin === null && e.end === null)) return;
      named[t] = begun[t] = 1;
      begin[t] = e.begin;
      end[t] = e.end;
      if (e.end !== null) done[t] = 1;
      for (var p = 0; p < n; p++) if (wait[t][p] && p !== t) begun[p] = done[p] = 1;
    });
    var reportedBegin = begin.slice(), reportedEnd = end.slice();
    for (k = 0; k < n; k++) {
      if (!named[k]) continue;
      if (begin[k] !== null && end[k] !== null && end[k] < begin[k]) return { trouble: [k, k, "ends before it begins"] };
      var at = begin[k] !== null ? begin[k] : end[k];
      for (var p = 0; p < n; p++) {
        if (!wait[k][p] || p === k || !named[p]) continue;
        if (end[p] !== null && end[p] > at) return { trouble: [k, p, "ended"] };
        if (end[p] === null && begin[p] !== null && begin[p] > at) return { trouble: [k, p, "began"] };
      }
    }
    var rule = findDropped(net, named, begun, begin, end);
    inferTimes(net, begun, begin, end, rule, ownWait);
    var s = {
      now: now, state: new Uint8Array(n), begin: new Float64Array(n), end: new Float64Array(n), timeKnown: new Uint8Array(n),
      gap: new Uint8Array(n), openRule: new Uint8Array(n), named: named, rule: rule, ownWait: ownWait ? ownWait.slice() : new Uint8Array(n), hold: new Float64Array(n), leadIn: new Float64Array(n), leadOut: new Float64Array(n), stopped: new Uint8Array(n), nDone: 0, nTimed: 0, nRunning: 0
    };
    boundTimes(net, begun, begin, end, s);
    s.ready = s.begin.slice();
    findMayBeDropped(net, named, begun, s);
    setStates(net, named, begun, done, begin, end, s);
    findGaps(net, named, begin, end, reportedBegin, reportedEnd, s);
    net.order.forEach(function (t) {
      var e = entries[t];
      if (e && e.hold) s.hold[t] = e.hold;
      if (e && e.outcome === "stopped" && e.end !== null) s.stopped[t] = 1;
      s.nDone += s.state[t] === day.DONE && !s.rule[t];
      s.nTimed += s.state[t] === day.DONE && s.timeKnown[t] && named[t];
      s.nRunning += s.state[t] === day.RUNNING;
    });
    s.beginReported = reportedBegin;
    s.endReported = reportedEnd;
    s.beginKnown = begin.map(function (x) { return x !== null; });
    s.endInferred = end.map(function (x, i) { return x !== null && reportedEnd[i] === null; });
    return s;
  };

  // Minutes at work of a task that runs, so far, or is done; as the model has them, with the lead-in that was over when it was entered to have
  // begun, and without that of what followed, where its end was taken from there (decide/update.h).
  day.activeMin = function (s, k) { return (s.state[k] === day.RUNNING ? s.now : s.end[k]) - s.begin[k] - s.hold[k]; };
  day.modelledMin = function (s, k) { return day.activeMin(s, k) + s.leadIn[k] - (s.state[k] === day.RUNNING ? 0 : s.leadOut[k]); };

  // Tasks that were stopped before they were complete and are a way back in, or the last work of a lane: not all is done then.
  day.cutShort = function (data, net, r) {
    return net.order.filter(function (k) { return r.stopped[k] && (data.tasks[k].way_in || net.laneLast.some(function (last) { return last.indexOf(k) >= 0; })); });
  };

  // It has not begun, and may no longer: its rule drops it (wr_now_is_past_rule of decide/update.h).
  day.isPastRule = function (net, r, k) { return r.state[k] === day.AHEAD && r.now > net.dropAfter[k]; };

  day.DROPPED = 1;
  day.MAY_BE_DROPPED = 2;
  day.EITHER_WAY = 3;
  function mayGo(net, named, begun, k) { return begun[k] && !named[k] && isFinite(net.dropAfter[k]); }
  // What was not entered and, as all that was entered leaves it, can only have begun later than its rule allows.
  function findDropped(net, named, begun, begin, end) {
    var rule = new Uint8Array(net.n), soonest = new Float64Array(net.n);
    net.order.forEach(function (k) {
      var from = begin[k] !== null ? begin[k] : Math.max.apply(null, [net.notBefore[k]].concat(net.before[k].map(function (p) { return soonest[p]; })));
      soonest[k] = end[k] !== null ? end[k] : from;
      if (mayGo(net, named, begun, k) && from > net.dropAfter[k]) rule[k] = day.DROPPED;
    });
    return rule;
  }
  // The same where it depends on what nobody entered.
  function findMayBeDropped(net, named, begun, s) {
    net.order.forEach(function (k) {
      if (mayGo(net, named, begun, k) && !s.rule[k] && net.before[k].some(function (p) { return s.end[p] > net.dropAfter[k]; })) s.rule[k] = day.MAY_BE_DROPPED;
    });
  }

  // A task begins when all before it has ended; of one that waited for a single task of unknown end: there that one ended.
  function inferTimes(net, begun, begin, end, rule, ownWait) {
    for (var changed = true; changed;) {
      changed = false;
      net.order.forEach(function (k) {
        if (!begun[k] || begin[k] !== null) return;
        var at = net.notBefore[k], known = true;
        net.before[k].forEach(function (p) {
          if (end[p] === null) known = false;
          else at = Math.max(at, end[p]);
        });
        if (known) begin[k] = at;
        if (known && rule[k] === day.DROPPED) end[k] = at;
      });
      for (var k = 0; k < net.n; k++) {
        if (!begun[k] || begin[k] === null) continue;
        var other = net.notBefore[k], unknown = -1, count = 0;
        net.before[k].forEach(function (p) {
          if (end[p] !== null) other = Math.max(other, end[p]);
          else { unknown = p; count++; }
        });
        if (count !== 1 || other >= begin[k] || (ownWait && ownWait[k])) continue;
        end[unknown] = begin[k];
        if (rule[unknown] === day.DROPPED) begin[unknown] = end[unknown];
        changed = true;
      }
    }
  }

  // The latest that a done task can have ended, and begun.
  function boundTimes(net, begun, begin, end, s) {
    for (var k = 0; k < net.n; k++) s.end[k] = end[k] !== null ? end[k] : s.now;
    for (var i = net.order.length - 1; i >= 0; i--) {
      var t = net.order[i];
      if (!begun[t]) continue;
      s.begin[t] = begin[t] !== null ? begin[t] : s.end[t];
      net.before[t].forEach(function (p) { if (end[p] === null) s.end[p] = Math.min(s.end[p], s.begin[t]); });
    }
  }

  // Tasks that are done at times not known, put in proportion to their usual minutes between what is known before and after them, and not
  // all at the latest moment: what waits for one of them would begin too late. A copy of the state; `usual`: by task.
  day.placeUntimed = function (net, state, usual) {
    var begin = state.begin.slice(), end = state.end.slice(), tail = new Float64Array(net.n), i;
    function ended(k) { return state.endReported[k] !== null || state.endInferred[k]; }
    for (i = net.order.length - 1; i >= 0; i--) {
      var q = net.order[i];
      if (state.state[q] !== day.DONE || state.beginKnown[q]) continue;
      net.before[q].forEach(function (p) { tail[p] = Math.max(tail[p], usual[q] + state.hold[q] + (ended(q) ? 0 : tail[q])); });
    }
    net.order.forEach(function (k) {
      if (state.state[k] !== day.DONE || state.timeKnown[k]) return;
      var own = usual[k] + state.hold[k];
      if (!state.beginKnown[k]) begin[k] = Math.min(end[k], Math.max.apply(null, [net.notBefore[k]].concat(net.before[k].map(function (p) { return end[p]; }))));
      if (!ended(k) && own + tail[k] > 0) end[k] = begin[k] + (end[k] - begin[k]) * own / (own + tail[k]);
    });
    return Object.assign({}, state, { begin: begin, end: end });
  };

  // Lanes of which a task of their own was named after their last joint task that is done.
  function setStates(net, named, begun, done, begin, end, s) {
    var spoken = [];
    net.order.forEach(function (k) {
      var joint = net.lanes[k].length > 1;
      net.lanes[k].forEach(function (l) {
        if (joint && done[k]) spoken[l] = false;
        if (named[k] && !joint) spoken[l] = true;
      });
    });
    net.order.forEach(function (k) {
      if (done[k]) s.state[k] = day.DONE;
      else if (begun[k]) s.state[k] = day.RUNNING;
      else s.state[k] = net.lanes[k].some(function (l) { return spoken[l]; }) ? day.AHEAD : day.UNREPORTED;
      net.before[k].forEach(function (p) {
        if (!begun[k] && (s.state[p] === day.AHEAD || s.state[p] === day.RUNNING)) s.state[k] = day.AHEAD;
      });
      s.timeKnown[k] = done[k] && begin[k] !== null && end[k] !== null && !s.rule[k] ? 1 : 0;
    });
  }

  // Opens the rules of the work that led to an entered moment by ways that nobody entered; false: not all of them can be, since a moment
  // before it had to do with one, or they are too many. One rule with open_rules of decide/now_state.c.
  var MOST_OPEN = 3;
  function openRules(net, s, k, vague, met) {
    var led = new Uint8Array(net.n), open = [];
    led[k] = 1;
    net.order.slice().reverse().forEach(function (p) {
      if (!led[p]) return;
      net.before[p].forEach(function (q) { if (vague[q]) led[q] = 1; });
      if (p !== k && s.rule[p] === day.MAY_BE_DROPPED) open.push(p);
    });
    if (open.length > MOST_OPEN || open.some(function (p) { return met[p]; })) return false;
    open.forEach(function (p) { s.openRule[p] = 1; });
    return true;
  }

  // A reported moment that some task of unknown time led to closes a gap. 1: to its begin, 2: to its end, 3: to
  // either, with work on its way that may have been dropped (EITHER_WAY of decide/update.h). Where more tasks than one began
  // at the moment at which such a task ended, it is one observation.
  function findGaps(net, named, begin, end, reportedBegin, reportedEnd, s) {
    var closed = new Uint8Array(net.n), met = new Uint8Array(net.n); // met: it comes before an entered moment that was looked at
    var vague = new Uint8Array(net.n); // its end may wait for work that may be dropped, or be that
    function closesAtBegin(k) {
      var other = net.notBefore[k], untimed = false;
      net.before[k].forEach(function (p) {
        if (reportedEnd[p] === null && s.end[p] >= begin[k] && !(s.rule[p] === day.DROPPED && end[p] !== null)) untimed = untimed || (!s.timeKnown[p] && !closed[p]);
        else other = Math.max(other, s.end[p]);
      });
      return untimed && reportedBegin[k] !== null && other < begin[k] && !s.ownWait[k];
    }
    net.order.forEach(function (k) {
      var unsure = net.before[k].some(function (p) { return vague[p]; }), toEnd = begin[k] === null;
      if (reportedEnd[k] === null && (s.rule[k] === day.MAY_BE_DROPPED || (unsure && reportedBegin[k] === null))) vague[k] = 1;
      if (!named[k]) return;
      if ((toEnd || closesAtBegin(k)) && (!unsure || openRules(net, s, k, vague, met))) s.gap[k] = unsure ? day.EITHER_WAY : toEnd ? 2 : 1;
      if (s.gap[k] && !toEnd) net.before[k].forEach(function (p) { if (s.end[p] >= begin[k]) closed[p] = 1; });
      day.markBefore(net, k, met);
    });
  }
})(wetrunDay);
