// What is entered: a list of entries that only grows, and what follows from it. Undo takes the last one away. Times are
// elapsed minutes. The log as a file of its own (to save and load) and as a step log that wetrun reads.
"use strict";
(function (day) {
  // ---- time as text ----
  day.hmm = function (minutes) {
    var m = Math.round(Math.abs(minutes)), sign = minutes < 0 && m > 0 ? "\u2212" : "";
    return sign + Math.floor(m / 60) + ":" + String(m % 60).padStart(2, "0");
  };
  // A moment that must not be passed: the last whole minute before it (a millisecond is forgiven).
  day.byShown = function (minutes) { return Math.floor(minutes + 1 / 60000); };
  day.hmmBy = function (minutes) { return day.hmm(day.byShown(minutes)); };
  // From the usual start to the latest, of the times as shown (wr_shown_slack_min of present/cutoff_view.c).
  day.slackShown = function (usual, by) {
    var gap = day.byShown(by) - Math.round(usual);
    return (gap < 0 ? "\u2212" : "") + Math.abs(gap);
  };
  day.hmmss = function (minutes) {
    var s = Math.round(minutes * 60), rest = s % 60;
    return Math.floor(s / 3600) + ":" + String(Math.floor(s / 60) % 60).padStart(2, "0") + (rest ? ":" + String(rest).padStart(2, "0") : "");
  };
  // A moment as it is typed: {at: elapsed minutes} or {trouble: words that follow the text}. zero: when the day began, in minutes of
  // the day, if times of day are typed, else null. One rule with campaign/moment.c, held to one table (tests/day/moments.tsv).
  var NO_TIME = "is no time: write h:mm or h:mm:ss", CLOCK = /^(\d{1,5})(?::|\s?h\s?)(\d\d?)?(?::(\d\d(?:[.,]\d+)?))?m?$/i, TO_SAY = ": write the one that is meant";
  function value(text) { return Number(String(text || 0).replace(",", ".")); }
  // h:mm, 4h05, 4h; null: it is none.
  function hoursOf(t) {
    var m = CLOCK.exec(t), letter = /h/i.test(t);
    if (!m || (letter ? m[1].length > 2 || m[3] : !m[2] || (m[2].length < 2 && m[3])) || value(m[2]) > 59 || value(m[3]) >= 60) return null;
    return value(m[1]) * 60 + value(m[2]) + value(m[3]) / 60;
  }
  // A number without a colon: h:mm with its colon lost (0405), minutes, or it may be either (4.05).
  function bareOf(t, zero) {
    var m = /^(\d+)(?:[.,](\d+))?$/.exec(t), v = value(t), hundred = Math.round(v * 100), other = null;
    if (!m) return null;
    var clock = !m[2] && m[1].length <= 4 && v < 2460 && v % 100 < 60;
    if (clock && m[1].length === 4 && m[1][0] === "0") return { at: Math.floor(v / 100) * 60 + v % 100, hours: true };
    if (zero !== null) return { trouble: "may be a time of day or minutes since the beginning: write the time of day, as h:mm" };
    if (v > 0 && v < 1) other = day.hmmss(Math.round(v * 86400) / 60) + " as a fraction of a day";
    else if (clock && v >= 100) other = day.hmm(Math.floor(v / 100) * 60 + v % 100);
    else if (m[2] && m[2].length <= 2 && m[1].length <= 2 && v < 31 && m[2][0] < "6") other = day.hmm(Math.floor(hundred / 100) * 60 + hundred % 100);
    return other ? { trouble: "may be " + other + ", or " + t + " minutes (" + day.hmmss(v) + ")" + TO_SAY } : { at: v };
  }
  day.readMoment = function (text, zero) {
    var t = text.trim().replace(/^(~|\u2248|ca[. ])\s*/i, "").replace(/^(\d\d?)(\d\d) ?(?:h|hrs)$/i, "$1:$2"), half = /^(.*\d) ?(?:(a)|p)\.?m\.?$/i.exec(t);
    if (/.\?$/.test(t)) return { trouble: "is doubtful: write it without its question mark" };
    if (zero !== null) t = t.replace(/(\d) ?(?:Z|UTC|GMT)$/i, "$1");
    var bare = bareOf(t, zero), m = bare ? bare.at : hoursOf(half ? half[1] : t);
    if (bare && bare.trouble) return bare;
    if (m === null || (half && (m < 60 || m >= 780)) || (zero !== null && m >= 2880)) return { trouble: /^\d+:[6-9]\d(:|$)/.test(t) ? "goes beyond 59 in its minutes: write h:mm" : NO_TIME };
    if (half && zero === null) return { trouble: "is a time of day: say first at which time of day it all began" };
    if (half) m = m % 720 + (half[2] ? 0 : 720);
    if (zero !== null) m = ((m - zero) % 1440 + 1440) % 1440;
    return m < 1e5 ? { at: m } : { trouble: "is too late to be meant: write h:mm" };
  };
  day.momentOf = function (text, zero) { var read = day.readMoment(text, zero); return read.trouble ? null : read.at; };
  // How long something took, in minutes: 5, 2.5, 0:05, 90 s; null: it is none. 26:10 may be minutes and seconds.
  var UNIT = { "": 1, m: 1, "'": 1, h: 60, s: 1 / 60 };
  day.readSpan = function (text) {
    var t = text.trim(), hours = hoursOf(t), m = /^(\d+(?:[.,]\d+)?)\s*(min\.?|mins|minutes?|m|'|h|hrs?|hours?|s|sec\.?|secs|seconds)?$/i.exec(t);
    if (hours !== null) return hours >= 720 && /^\d+:\d+$/.test(t) ? null : hours;
    return m ? value(m[1]) * UNIT[(m[2] || "").charAt(0).toLowerCase()] : null;
  };
  day.clockText = function (elapsed, zero) {
    var m = Math.round(elapsed + zero) % 1440;
    return String(Math.floor(m / 60)).padStart(2, "0") + ":" + String(m % 60).padStart(2, "0");
  };

  // Keyed by what people write: "constructor" is a name like any other there.
  function has(table, key) { return typeof key === "string" && Object.prototype.hasOwnProperty.call(table, key); }

  // ---- entries ----
  // {task, what: "begin"|"end"|"hold"|"outcome"|"pauses", value} about a task id; {what: "now"|"zero"|"clock"|"run"|"date"|"person", ...}
  // about the day. value null takes back what was said. pauses: [[from, to], …] in order, the last one's `to` null while it lasts.
  var ABOUT_TASK = { begin: 1, end: 1, hold: 1, outcome: 1, pauses: 1 }, ABOUT_DAY = { now: 1, zero: 1, clock: 1, run: 1, date: 1, person: 1 };
  day.newLog = function (data) { return { format: "wetrun day log 1", campaign: data.campaign || "", inputs: day.fingerprint(data), entries: [] }; };
  day.fingerprint = function (data) { return (data.inputs || []).map(function (i) { return i.sha256; }).join(" "); };

  // What the entries add up to: by task {begin, end, hold, outcome, pauses}, and of the day {now, zero, clock, run, date, person}.
  day.standing = function (data, log) {
    var byId = {}, s = { now: null, zero: null, clock: null, run: "", date: "", person: Object.create(null), tasks: data.tasks.map(function () { return null; }) };
    data.tasks.forEach(function (t, k) { byId["\u0001" + t.id] = k; });
    log.entries.forEach(function (e) {
      if (e.task === undefined) {
        if (e.what === "person") s.person[e.lane] = e.value;
        else s[e.what] = e.value;
        return;
      }
      var k = byId["\u0001" + e.task];
      if (k === undefined) return;
      if (!s.tasks[k]) s.tasks[k] = { begin: null, end: null, hold: 0, outcome: "done", pauses: [] };
      s.tasks[k][e.what] = e.value;
    });
    s.tasks = s.tasks.map(function (t) { return t && t.begin === null && t.end === null && t.hold === 0 && t.outcome === "done" && !t.pauses.length ? null : t; });
    return s;
  };
  day.leftOut = function (standing) { return standing.tasks.map(function (t) { return !!t && t.outcome === "skipped"; }); };
  // The latest moment that is known: what was said to be now, or the last begin or end.
  day.latest = function (standing) {
    var latest = standing.now === null ? 0 : standing.now;
    standing.tasks.forEach(function (t) {
      if (!t || t.outcome === "skipped") return;
      if (t.begin !== null) latest = Math.max(latest, t.begin);
      if (t.end !== null) latest = Math.max(latest, t.end);
      t.pauses.forEach(function (p) { latest = Math.max(latest, p[0], p[1] === null ? 0 : p[1]); });
    });
    return latest;
  };

  // ---- what an entry may hold: one set of bounds for what is entered and what is read again, whatever the file ----
  var MOST_CHARACTERS = 200, MOST_PAUSES = 50, LAST_DATE_MS = 8.64e15; // ECMA-262, time values
  function isMoment(x) { return x === null || (typeof x === "number" && isFinite(x) && x >= 0 && x < 1e5); }
  function isShort(x) { return typeof x === "string" && x.length <= MOST_CHARACTERS; }
  function arePauses(x) {
    var last = 0; // null after one that goes on
    return Array.isArray(x) && x.length <= MOST_PAUSES && x.every(function (p) {
      if (last === null || !Array.isArray(p) || p.length !== 2 || !isMoment(p[0]) || p[0] === null || p[0] < last || !isMoment(p[1])) return false;
      last = p[1];
      return last === null || last >= p[0];
    });
  }
  function isEntry(e) {
    if (!e || typeof e !== "object") return false;
    if (e.task !== undefined) {
      if (typeof e.task !== "string" || !has(ABOUT_TASK, e.what)) return false;
      if (e.what === "pauses") return arePauses(e.value);
      return e.what === "outcome" ? ["done", "stopped", "skipped"].indexOf(e.value) >= 0 : e.what === "hold" ? isMoment(e.value) && e.value !== null : isMoment(e.value);
    }
    if (!has(ABOUT_DAY, e.what)) return false;
    if (e.what === "now" || e.what === "zero") return isMoment(e.value);
    if (e.what === "clock") return e.value === null || (typeof e.value === "number" && Math.abs(e.value) <= LAST_DATE_MS);
    return isShort(e.value) && (e.what !== "person" || typeof e.lane === "string");
  }
  // Why this is not entered, in words; "": it may be.
  day.entryTrouble = function (e) {
    if (isEntry(e)) return "";
    if (e.what === "pauses") return "Not entered: at most " + MOST_PAUSES + " times put down, one after the other.";
    return "Not entered: " + (typeof e.value === "string" ? "at most " + MOST_CHARACTERS + " characters." : "it must be below 100000 min.");
  };
  // When the clock was started at `clock` (ms): elapsed minutes; null: it does not run, or so long that it was forgotten.
  day.clockNow = function (clock, nowMs) {
    var live = clock === null ? null : Math.max(0, (nowMs - clock) / 60000);
    return isMoment(live) ? live : null;
  };
  // {log, other, left: words, or "" if every entry was read} or {trouble: words}
  day.readLog = function (text, data) {
    var log, ids = {}, own = day.newLog(data), left = [];
    try { log = JSON.parse(text); } catch (ignore) { return { trouble: "This file is not a saved log of this page." }; }
    if (!log || log.format !== own.format || !Array.isArray(log.entries)) return { trouble: "This file is not a saved log of this page." };
    data.tasks.forEach(function (t) { ids["\u0001" + t.id] = true; });
    log.entries.forEach(function (e, i) {
      if (!isEntry(e)) left.push("entry " + (i + 1) + " cannot be read");
      else if (e.task !== undefined && !ids["\u0001" + e.task]) left.push("entry " + (i + 1) + " names a task that this plan does not have: " + e.task);
      else own.entries.push(e.task !== undefined ? { task: e.task, what: e.what, value: e.value } : e.what === "person" ? { what: e.what, lane: e.lane, value: e.value } : { what: e.what, value: e.value });
    });
    var words = left.length ? left[0] + (left.length > 1 ? ", and " + (left.length - 1) + " more" : "") + "." : "";
    if (words && !own.entries.length) return { trouble: "Nothing was loaded: " + words };
    return { log: own, other: log.inputs !== own.inputs, left: words && "Left out: " + words + " Check what is missing." };
  };

  // ---- the steps of a task ----
  day.isPaused = function (t) { return !!t && t.pauses.length > 0 && t.pauses[t.pauses.length - 1][1] === null; };
  // "0:42-0:47, 1:02-1:05", read by `moment`; null: not pauses, or not one after the other.
  day.parsePauses = function (text, moment) {
    var out = [], last = -1, good = text.split(",").every(function (part) {
      var ends = part.split(/[-\u2013]/).map(function (t) { return t.trim(); }), from = moment(ends[0]), to = ends.length > 1 && ends[1] ? moment(ends[1]) : null;
      if (ends.length !== 2 || from === null || (ends[1] && to === null) || from < last || (to !== null && to < from) || out.some(function (p) { return p[1] === null; })) return false;
      out.push([from, to]);
      last = to === null ? from : to;
      return true;
    });
    return text.trim() === "" ? [] : good ? out : null;
  };
  // The stretches that were worked: [[from, to], …]; null: begin, end and pauses do not fit together.
  day.stepsOf = function (t) {
    var at = t.begin, out = [];
    if (t.begin === null || t.end === null || day.isPaused(t)) return null;
    for (var i = 0; i < t.pauses.length; i++) {
      var p = t.pauses[i];
      if (p[0] < at || p[1] < p[0] || p[1] > t.end) return null;
      out.push([at, p[0]]);
      at = p[1];
    }
    return out.concat([[at, t.end]]);
  };
  // Pauses that do not lie between a task's begin and end, in words; "": they do, as far as these are entered. said: moments as text.
  day.pausesOutside = function (t, said, title) {
    if (t.outcome === "skipped") return "";
    if (t.end !== null && day.isPaused(t)) return "'" + title + "' was put down at " + said(t.pauses[t.pauses.length - 1][0]) + " and not taken up again: enter first when it was, or correct when it was put down.";
    var out = t.pauses.filter(function (p) { return (t.begin !== null && p[0] < t.begin) || (t.end !== null && p[1] > t.end); })[0];
    return !out ? "" : "'" + title + "' is entered as put down from " + said(out[0]) + (out[1] === null ? "" : " to " + said(out[1])) + ", not between its begin and its end: correct one of them.";
  };
  // A hold that is longer than the work it lies in, in words; "": it is not. said: how late it is said to be, or null.
  day.heldTooLong = function (t, said, title) {
    if (!t || t.outcome === "skipped" || (t.end === null && said === null)) return "";
    var end = t.end === null ? said : t.end, worked = end - (t.begin === null ? 0 : t.begin);
    t.pauses.forEach(function (p) { worked -= Math.max(0, (p[1] === null ? end : p[1]) - p[0]); });
    function short(m) { return String(Math.round(m * 100) / 100); }
    return t.hold > worked + 1e-9 && worked >= 0 ? "'" + title + "' was held " + short(t.hold) + " min of the " + short(worked) + " min that it has taken: correct the hold, or the times." : "";
  };
  // A hold is put where there is room for it, into the longest step first.
  function holdsOf(steps, hold) {
    var out = steps.map(function () { return 0; }), order = steps.map(function (_, i) { return i; });
    order.sort(function (a, b) { return steps[b][1] - steps[b][0] - steps[a][1] + steps[a][0] || a - b; });
    order.forEach(function (i, place) {
      out[i] = place === order.length - 1 ? hold : Math.min(hold, steps[i][1] - steps[i][0]);
      hold -= out[i];
    });
    return out;
  }
  // The last of several has no name where it is no step of the task: all of it is done then.
  function stepName(task, i, n) { return n > 1 && task.steps.length === n ? task.steps[i] : i === n - 1 ? "" : "part " + (i + 1); }

  // ---- the step log ----
  // What was typed and would be taken for a formula gets an apostrophe, as in all CSV that wetrun writes; the plan's own
  // identifiers stay as they are, since they are keys.
  function field(text, typed) {
    var t = String(text);
    if (typed && /^[=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]/.test(t)) t = "'" + t;
    return /[",;\t\r\n]|^ | $/.test(t) ? "\"" + t.replace(/"/g, "\"\"") + "\"" : t;
  }
  function number(minutes) { return minutes === null ? "" : String(Math.round(minutes * 1e4) / 1e4); }
  // rule: of day.resolve; what was dropped by it is a row as well, or it would look as if it had not been logged.
  day.stepLog = function (data, standing, rule) {
    var rows = ["run,date,task,step,crew,performer,start,end,hold,outcome"];
    data.tasks.forEach(function (t, k) {
      var e = standing.tasks[k] || (rule[k] === day.DROPPED ? { outcome: "skipped" } : null);
      if (!e) return;
      var skipped = e.outcome === "skipped", steps = skipped ? [[null, null]] : day.stepsOf(e);
      if (!steps) return; // a task without all its times is none yet
      var names = t.lanes.map(function (l) { return (standing.person[data.lanes[l]] || "").trim(); }), holds = skipped ? [0] : holdsOf(steps, e.hold);
      var performer = names.every(function (n) { return n !== ""; }) ? names.join("+") : "";
      steps.forEach(function (step, i) {
        var last = i === steps.length - 1;
        rows.push([field(standing.run.trim() || "today", true), field(standing.date, true), field(t.id), field(stepName(t, i, steps.length), true),
          field(t.lanes.map(function (l) { return data.lanes[l]; }).join("+")), field(performer, true), number(step[0]), number(step[1]), number(holds[i]), last ? e.outcome : "done"].join(","));
      });
    });
    return rows.join("\r\n") + "\r\n";
  };
  // Tasks of which something was entered, but not all that a step takes: they are not in the step log.
  day.halfLogged = function (standing) {
    return standing.tasks.map(function (t, k) { return t && t.outcome !== "skipped" && (t.begin !== null || t.end !== null) && !day.stepsOf(t) ? k : -1; }).filter(function (k) { return k >= 0; });
  };

  // ---- words ----
  // What is settled about a limit; null: it has a number.
  day.factWords = function (data, limit, fact) {
    if (!fact) return null;
    if (fact.kind === "apart") return "does not apply, since its work is left out.";
    if (fact.kind === "lost") return "cannot be kept: '" + data.tasks[fact.task].title + "' is left out. It counts as over.";
    if (fact.kind === "open") return "cannot be said: " + fact.what + " of '" + data.tasks[fact.task].title + "' is not entered.";
    if (fact.kind === "doubt") return "cannot be said, for what was entered is doubtful.";
    if (fact.kind === "stopped" && fact.over) return "at least " + day.hmmss(fact.minutes) + ", and '" + data.tasks[fact.task].title + "' is not complete: over it.";
    if (fact.kind === "stopped") return "cannot be said: '" + data.tasks[fact.task].title + "' was stopped before it was complete. Enter its end, and done, when it is.";
    if (fact.kind === "passed") return "is passed, with work still open: over it.";
    return "took " + (fact.most ? "at most " : "") + day.hmmss(fact.minutes) + (fact.over ? ": over it." : ": kept.");
  };
  // Behind what is said of a clock; tasks: of day.besideClock.
  day.besideWords = function (data, tasks) {
    return tasks.length ? " Its end also waits for work that has no time here, and whose other times do not heed this clock: " + tasks.map(function (k) { return data.tasks[k].title; }).join("; ") + "." : "";
  };
  // What is doubtful, and what to do about it; stretches: of day.stretches, those that are doubtful.
  day.doubtWords = function (data, doubtful) {
    function name(k) { return "'" + data.tasks[k].title + "'"; }
    var s = doubtful[0], n = s.untimed.length, first = name(s.untimed[0]), more = doubtful.length > 1 ? ", and the same is true of " + (doubtful.length - 1) + " more" : "";
    if (s.alone === "unheard") return "Doubtful: " + name(s.task) + " would be done by " + day.hmm(s.at) + " on 19 of 20 days forecast, and nobody said that it is" + more +
      ": nothing was entered of it, nor of what leads to it. Nothing is forecast from that, and no limit is called kept: enter what has begun and ended since.";
    if (s.alone === "over judgement") return "Doubtful: " + name(s.task) + " was judged beforehand and has run since " + day.hmm(s.from) + ", about as long as the most that was judged or longer" + more +
      ": nothing here says when it ends. Nothing is forecast until then, and no limit is called kept: enter its end when it has ended.";
    if (s.alone === "took little") return "Doubtful: " + name(s.task) + " is entered as done at " + day.hmm(s.at) + " in " + (s.took > 0 ? Number(s.took.toPrecision(3)) + " min" : "no time at all") +
      ", its hold left out, as on fewer than one of 1000 days forecast" + more +
      ". Nothing is forecast from that, and no limit is called kept: correct its times, take its end back if not all of it is done, or enter it as left out if it was.";
    return "Doubtful: " + name(s.task) + " is entered to have " + (s.toEnd ? "ended" : "begun") + " at " + day.hmm(s.at) + ", but " +
      (n === 1 ? first + ", which must be done before and has no end," : "the " + n + " tasks that must be done before and have no end, " + first + " first,") +
      " would be done by then on fewer than one of 1000 days forecast" + more +
      ". Nothing is forecast from that, and no limit is called kept: enter when that work ended, correct that time, or enter as left out what was left out.";
  };
  // As `cutoff --now` has it (present/cutoff_view.c).
  day.lengthyWords = function (data, s) {
    var n = s.untimed.length;
    return "The time from " + day.hmm(s.from) + " to " + day.hmm(s.at) + ", in which " + n + " task" + (n === 1 ? "" : "s") + " not timed from begin to end must have been done, " +
      data.tasks[s.untimed[0]].title + " first, is longer than " + (n === 1 ? "it takes" : "they take") + " on 999 of 1000 days forecast";
  };
  // What is said of all limits together; facts: by limit.
  day.anyWords = function (data, over, facts) {
    if (facts.some(function (f) { return f && f.over; })) return "At least one of these limits is gone over already.";
    if (facts.some(function (f) { return f && f.kind === "doubt"; })) return "";
    var open = data.limits.filter(function (_, l) { return facts[l] && day.cannotBeSaid(facts[l]); }).map(function (limit) { return "'" + limit.name + "'"; });
    return (open.length ? "Any of the other limits (of " + open.join(", ") + " it cannot be said): " : "Any of these limits: ") + day.of100(over) + " of 100 such days go over at least one.";
  };
  // A lane without an entry or running task, though its next task should be done by now as a rule or, where what nobody spoke of is taken as
  // not begun, should have begun; usual: minutes by task.
  var SILENCE = 10; // minutes; ours, no source
  function isSilent(net, r, k, minutes) {
    return net.before[k].every(function (p) { return r.state[p] === day.DONE; }) && r.now <= net.dropAfter[k] && r.now > readyAt(net, r, k) + minutes;
  }
  // Taken as not begun; one rule with wr_now_silent of decide/update.h.
  day.notBegun = function (net, r) { return net.order.filter(function (k) { return r.state[k] === day.AHEAD && isSilent(net, r, k, SILENCE); }); };
  day.silentWords = function (data, net, r, usual) {
    var notBegun = day.notBegun(net, r);
    return net.order.filter(function (k) {
      return notBegun.indexOf(k) >= 0 || (r.state[k] === day.UNREPORTED && isSilent(net, r, k, usual[k]));
    }).map(function (k) {
      var ahead = r.state[k] === day.AHEAD;
      return "Nothing is entered for " + data.tasks[k].lanes.map(function (l) { return data.lanes[l]; }).join("+") + " since " + day.hmm(readyAt(net, r, k)) + ", though '" +
        data.tasks[k].title + "' has usually " + (ahead ? "begun" : "ended") + " by now: " + (ahead ? "taken as not begun. If it has, enter it." :
        "taken to be on its way as rehearsed. If it is, enter it; if it has not begun, what follows is too early.");
    }).join(" ");
  };
  // Lanes in which something would have begun by now, without an entry; as find_unheard of decide/now_state.c.
  day.unheardLanes = function (net, r) {
    var ready = [], lanes = [];
    net.order.forEach(function (k) {
      if (r.state[k] !== day.UNREPORTED) return;
      ready[k] = Math.max.apply(null, [net.notBefore[k]].concat(net.before[k].map(function (p) { return r.state[p] === day.UNREPORTED ? ready[p] : r.end[p]; })));
      if (ready[k] < r.now) net.lanes[k].forEach(function (l) { if (lanes.indexOf(l) < 0) lanes.push(l); });
    });
    return lanes;
  };
  function readyAt(net, r, k) { return Math.max.apply(null, [net.notBefore[k]].concat(net.before[k].map(function (p) { return r.end[p]; }))); }
  day.of100 = function (p) {
    var n = Math.floor(100 * p + 0.5);
    return n <= 0 ? "fewer than 1" : n >= 100 ? "more than 99" : String(n);
  };
  day.of100Cell = function (p) {
    var n = Math.floor(100 * p + 0.5);
    return n <= 0 ? "<1" : n >= 100 ? ">99" : String(n);
  };
  // With as many decimals as it takes to stand on its side of what is allowed (present/words.h).
  day.of100Beside = function (p, allowed) {
    function side(x) { return Math.abs(x - allowed) < 1e-12 ? 0 : x > allowed ? 1 : -1; }
    for (var d = 0; allowed !== null && p >= 0.005 && p < 0.995 && d <= 4; d++) {
      var shown = Math.floor(100 * p * Math.pow(10, d) + 0.5) / Math.pow(10, d);
      if (side(shown / 100) === side(p)) return shown.toFixed(d);
    }
    return day.of100Cell(p);
  };
  day.intervalWords = function (lo, hi, stated) { return stated && stated.no_interval ? "no interval" : "90 % interval " + lo + " to " + hi; };
  // Hardly any of the draws agrees with the day; where there is one, for want of a model with more, nothing is weighed.
  day.isFew = function (learned) { return learned.effective < Math.min(20, learned.draws); };
  // One rule for every output (decide/verdict.h).
  // guess: what was entered reaches where the forecast does not.
  day.verdict = function (p, confidence, grounds, second, guess) {
    var SURE = 1.645, allowed = 1 - confidence + 1e-12; // an end nearer to what is allowed than its own error decides nothing
    if (!second && !guess && grounds.rehearsals > 0 && !(p.hi + SURE * (p.hi_error || 0) > allowed) && grounds.complete >= grounds.fewest_complete) return "inside";
    return grounds.rehearsals > 0 && p.lo - SURE * (p.lo_error || 0) > allowed ? "not inside" : grounds.open;
  };
  // What moves, commands or hides other text instead of being text (present/utf8.h) is shown as a replacement character.
  day.readable = function (text) {
    return String(text).replace(/[\t\n\r\u0085\u2028\u2029]/g, " ").replace(/[\u0000-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069\ufdd0-\ufdef\ufeff\ufff9-\ufffb\ufffe\uffff]|\udb40[\udc00-\udc7f]/g, "\ufffd");
  };
})(wetrunDay);
