// What the reader sees and touches. Nothing here computes; nothing from the plan reaches the page but as text.
"use strict";
(function (day) {
  var data = JSON.parse(document.getElementById("day-data").textContent), main = document.getElementById("main");
  var forecast = data.forecast, model = null, luck = null, shared = null, before = null, current = null, token = 0, log, replaced = null, keepsLog = true;
  var TRIALS = 8000, SEED = 20011, KEY = "wetrun day " + (data.campaign || "") + " " + day.fingerprint(data), ASIDE = KEY + " unread", unread = null;
  var PROBS = [0.05, 0.5, 0.8, 0.95], at = {}, cards = [];

  // ---- building ----
  function el(tag, props, children) {
    var e = document.createElement(tag);
    Object.keys(props || {}).forEach(function (key) {
      if (key === "text") e.textContent = day.readable(props.text);
      else if (key === "on") Object.keys(props.on).forEach(function (type) { e.addEventListener(type, props.on[type]); });
      else if (key === "cls") e.className = props.cls;
      else e.setAttribute(key, props[key]);
    });
    (children || []).forEach(function (c) { if (c) e.appendChild(typeof c === "string" ? document.createTextNode(day.readable(c)) : c); });
    return e;
  }
  function clear(e) { while (e.firstChild) e.removeChild(e.firstChild); return e; }
  function fill(e, children) { clear(e); children.forEach(function (c) { if (c) e.appendChild(typeof c === "string" ? document.createTextNode(day.readable(c)) : c); }); }
  function aside(text) { return el("span", { cls: "aside", text: text }); }
  function button(text, more, press, cls) { return el("button", { type: "button", cls: cls || "", on: { click: press } }, [text, more ? aside(" " + more) : null]); }
  function labelled(text, input, note) { return el("label", {}, [el("span", { text: text }), input, note ? el("small", { text: note }) : null]); }
  function titleOf(k) { return data.tasks[k].title; }
  function crewOf(k) { return data.tasks[k].lanes.map(function (l) { return data.lanes[l]; }).join("+"); }
  function list(names) { return names.length < 2 ? names.join("") : names.slice(0, -1).join(", ") + " and " + names[names.length - 1]; }

  // ---- the log and where it is kept ----
  function keep() {
    try {
      if (unread !== null) throw new Error("what stands there is kept nowhere else");
      localStorage.setItem(KEY, JSON.stringify(log));
      keepsLog = true;
    } catch (ignore) { keepsLog = false; }
    at.kept.hidden = keepsLog;
  }
  // What is kept here, or {}; what cannot be read is put under a key of its own before anything is written over it.
  function recall() {
    var text = null;
    try { text = localStorage.getItem(KEY); } catch (ignore) { keepsLog = false; }
    var read = text ? day.readLog(text, data) : {};
    unread = read.trouble || read.left ? text : null;
    try {
      var aside = localStorage.getItem(ASIDE) || "";
      if (unread !== null && aside.indexOf(text) < 0) localStorage.setItem(ASIDE, aside + (aside && "\n") + text);
      unread = null;
    } catch (ignore) { keepsLog = false; }
    drawAside();
    return read;
  }
  function putAside() {
    try { return localStorage.getItem(ASIDE) || unread; } catch (ignore) { return unread; }
  }
  function drawAside() { at.aside.hidden = putAside() === null; }
  function makeAside() {
    at.aside = el("div", { cls: "caution", role: "alert", hidden: "" }, [el("p", { text: "Not all that this browser had kept of this day can be read, and what cannot is not on this page. It is kept as it was: save it to a file, and enter again what is missing." }),
      el("div", { cls: "tools" }, [
        button("Save what cannot be read", "", function () { offer(fileName("-unread.txt"), "text/plain", putAside() || ""); }),
        button("Throw it away", "", function () {
          if (!window.confirm("Throw away what cannot be read? Save it to a file first if it may matter.")) return;
          try { localStorage.removeItem(ASIDE); } catch (ignore) { keepsLog = false; }
          unread = null;
          drawAside();
        })])]);
    return at.aside;
  }
  function enter(entries) {
    var trouble = entries.map(day.entryTrouble).filter(Boolean);
    if (trouble.length) return void say(trouble[0]);
    log.entries = log.entries.concat(entries);
    keep();
    refresh();
    return true;
  }
  // Another day in the place of this one, which Undo brings back.
  function replace(other) {
    replaced = { log: log, entries: other.entries.length };
    log = other;
    keep();
    refresh();
  }
  function undo() {
    var back = replaced && log.entries.length === replaced.entries, gone = back ? null : log.entries.pop();
    if (back) log = replaced.log;
    if (back) replaced = null;
    keep();
    refresh();
    if (back) say("Back: " + log.entries.length + " entries.");
    else if (gone) say("Taken back: " + (gone.task === undefined ? gone.what : gone.what + " of " + gone.task) + ".");
  }
  function say(text) { at.say.textContent = ""; at.say.textContent = day.readable(text); }

  // ---- times ----
  function standing() { return day.standing(data, log); }
  // What the plan's rules have dropped without a word.
  function ruleNow() { var s = standing(); return day.resolve(day.network(data, day.leftOut(s)), s.tasks, nowOf(s)).rule || []; }
  function liveNow(s) { return day.clockNow(s.clock, Date.now()); }
  function nowOf(s) { var live = liveNow(s); return live === null ? day.latest(s) : Math.max(live, day.latest(s)); }
  function byDay(s) { return at.kind.value === "clock" && s.zero !== null; }
  function read(text, s) { return day.readMoment(text, byDay(s) ? s.zero : null); }
  function show(minutes, s) { return byDay(s) ? day.clockText(minutes, s.zero) : day.hmmss(minutes); }
  // The moment that a button means: what was typed, else the running clock; null, with a message, if there is neither.
  function moment() {
    var s = standing(), text = at.time.value.trim(), live = liveNow(s), m = text ? read(text, s) : live === null ? { trouble: "" } : { at: Math.round(live * 60) / 60 };
    if (m.at === undefined) {
      say(text ? "'" + text + "' " + m.trouble + "." : "Type the time first, or start the clock.");
      at.time.focus();
      return null;
    }
    at.time.value = "";
    return m.at;
  }

  // What is said to be now, or shown by the clock.
  function saidNow(s) { var live = liveNow(s); return live === null ? s.now : Math.max(live, s.now || 0); }
  // True, and said, if a hold would be longer than the work it lies in, or a pause lie outside it.
  function unfit(k, what, value) {
    var s = standing(), t = Object.assign({ begin: null, end: null, hold: 0, outcome: "done", pauses: [] }, s.tasks[k]), words;
    t[what] = value;
    words = day.heldTooLong(t, saidNow(s), titleOf(k)) || (what === "hold" ? "" : day.pausesOutside(t, function (m) { return show(m, s); }, titleOf(k)));
    if (words) say(words);
    return !!words;
  }

  // What was wrong in this field is not any more, nor is it said any longer.
  function accept(input) {
    if (input.hasAttribute("aria-invalid")) say("");
    input.removeAttribute("aria-invalid");
  }

  // ---- task cards ----
  function press(k, what) {
    var m = moment();
    if (m === null || unfit(k, what, m)) return;
    enter([{ task: data.tasks[k].id, what: what, value: m }]);
    say(titleOf(k) + (what === "begin" ? " begun " : " ended ") + show(m, standing()) + ".");
    var next = what === "begin" ? cards[k].end : cards[k].more;
    if (next && !next.hidden) next.focus();
  }
  function typed(k, what, input) {
    var s = standing(), text = input.value.trim(), got = text === "" || what === "hold" ? {} : read(text, s), m = text === "" ? (what === "hold" ? 0 : null) : what === "hold" ? day.readSpan(text) : got.at;
    if (text !== "" && (m === null || m === undefined)) {
      input.setAttribute("aria-invalid", "true");
      say("'" + text + "' " + (got.trouble || "is no number of minutes: write 5 or 0:05") + ".");
      return;
    }
    if (unfit(k, what, m)) return void input.setAttribute("aria-invalid", "true");
    accept(input);
    var old = s.tasks[k] ? s.tasks[k][what] : what === "hold" ? 0 : null;
    if (m !== old && !(m !== null && old !== null && Math.abs(m - old) < 1e-6)) enter([{ task: data.tasks[k].id, what: what, value: m }]);
  }
  // Work that is put down and taken up again: each stretch is a step of the log.
  function pressPause(k) {
    var m = moment(), e = standing().tasks[k], pauses = e.pauses.slice(), last = pauses.length - 1;
    if (m === null) return;
    if (day.isPaused(e)) pauses[last] = [pauses[last][0], m];
    else pauses.push([m, null]);
    if (m < (day.isPaused(e) ? pauses[last][0] : last >= 0 ? pauses[last][1] : e.begin)) return say("'" + titleOf(k) + "' was not at work at " + show(m, standing()) + ".");
    if (!enter([{ task: data.tasks[k].id, what: "pauses", value: pauses }])) return;
    say(titleOf(k) + (day.isPaused(e) ? " taken up again " : " put down ") + show(m, standing()) + ".");
    cards[k].pause.focus();
  }
  function typedPauses(k, input) {
    var s = standing(), pauses = day.parsePauses(input.value, function (text) { return day.momentOf(text, byDay(s) ? s.zero : null); });
    if (!pauses) {
      input.setAttribute("aria-invalid", "true");
      return say("'" + input.value.trim() + "' are not pauses one after the other, as " + (byDay(s) ? "11:26-11:31" : "0:42-0:47") + ", with a comma between two.");
    }
    if (unfit(k, "pauses", pauses)) return void input.setAttribute("aria-invalid", "true");
    accept(input);
    if (pausesText(pauses, s) !== pausesText(s.tasks[k] ? s.tasks[k].pauses : [], s)) enter([{ task: data.tasks[k].id, what: "pauses", value: pauses }]);
  }
  function pausesText(pauses, s) { return pauses.map(function (p) { return show(p[0], s) + "-" + (p[1] === null ? "" : show(p[1], s)); }).join(", "); }
  function makeCard(k) {
    var t = data.tasks[k], c = { }, more = titleOf(k);
    c.pause = button("Put down", more, function () { pressPause(k); }, "small");
    c.inPauses = el("input", { type: "text", autocomplete: "off", on: { change: function () { typedPauses(k, c.inPauses); } } });
    c.begin = button("Begin", more, function () { press(k, "begin"); }, "go");
    c.end = button("End", more, function () { press(k, "end"); }, "go");
    c.times = el("p", { cls: "times" });
    c.by = el("p", { cls: "due" });
    c.inBegin = el("input", { type: "text", inputmode: "text", autocomplete: "off", on: { change: function () { typed(k, "begin", c.inBegin); } } });
    c.inEnd = el("input", { type: "text", autocomplete: "off", on: { change: function () { typed(k, "end", c.inEnd); } } });
    c.inHold = el("input", { type: "text", inputmode: "decimal", autocomplete: "off", on: { change: function () { typed(k, "hold", c.inHold); } } });
    c.outcome = el("select", { on: { change: function () { enter([{ task: t.id, what: "outcome", value: c.outcome.value }]); } } },
      [["done", "done"], ["stopped", "stopped before it was complete"]].concat(t.way_in ? [] : [["skipped", "left out"]]).map(function (o) { return el("option", { value: o[0], text: o[1] }); }));
    c.more = el("summary", {}, ["Type or correct", aside(" " + more)]);
    c.box = el("li", { cls: "task" }, [
      el("div", { cls: "what" }, [el("bdi", { cls: "name", text: t.title }), el("small", {}, [el("bdi", { text: t.id }), " · ", crewOf(k), t.planned_min === null ? "" : " · planned " + Math.round(t.planned_min) + " min"])]),
      c.times, c.by, el("div", { cls: "press" }, [c.begin, c.end, c.pause]),
      el("details", {}, [c.more, el("div", { cls: "fields" }, [
        labelled("Begin", c.inBegin), labelled("End", c.inEnd), labelled("Put down, from-to", c.inPauses), labelled("Hold, min", c.inHold), labelled("Outcome", c.outcome)])])
    ]);
    return c;
  }
  // Rows of the lanes: a task stands below all that its lanes did before; a joint one across them.
  function placeCards() {
    var next = data.lanes.map(function () { return 2; });
    data.tasks.forEach(function (t, k) {
      var lo = Math.min.apply(null, t.lanes), hi = Math.max.apply(null, t.lanes), row = 0, l;
      for (l = lo; l <= hi; l++) row = Math.max(row, next[l]);
      for (l = lo; l <= hi; l++) next[l] = row + 1;
      cards[k].box.style.gridColumn = (lo + 1) + " / " + (hi + 2);
      cards[k].box.style.gridRow = String(row);
    });
  }

  function stateWords(k, e, s, r) {
    var steps = e && e.pauses.length ? ", in " + (e.pauses.length + 1) + " steps" : "", hold = e && e.hold ? ", hold " + Math.round(e.hold * 10) / 10 + " min" : "";
    if (e && e.outcome === "skipped") return "left out";
    if (e && e.end !== null) return (e.begin === null ? "" : show(e.begin, s) + " to ") + show(e.end, s) + (e.outcome === "stopped" ? ", stopped" : "") + steps + hold;
    if (day.isPaused(e)) return "begun " + show(e.begin, s) + ", put down " + show(e.pauses[e.pauses.length - 1][0], s) + hold;
    if (e && e.begin !== null) return "begun " + show(e.begin, s) + steps + hold;
    if (r && !r.trouble && r.state[k] === day.DONE) return r.rule[k] ? (r.rule[k] === day.DROPPED ? "" : "done or ") + "dropped by its rule, " + day.hmm(data.tasks[k].drop_after_min) : "done, times not entered";
    return "";
  }
  function drawCard(k, s, r, net) {
    var e = s.tasks[k], c = cards[k], skipped = e && e.outcome === "skipped", done = e && e.end !== null;
    var passed = r && !r.trouble && r.state[k] === day.DONE, late = r && !r.trouble && day.isPastRule(net, r, k);
    c.box.dataset.state = skipped || late || (passed && r.rule[k] === day.DROPPED) ? "out" : done || passed ? "done" : e && e.begin !== null ? "running" : "ahead";
    c.times.textContent = stateWords(k, e, s, r);
    c.begin.hidden = !!(skipped || passed || (e && e.begin !== null));
    c.end.hidden = !!(skipped || done || !(e && e.begin !== null) || day.isPaused(e));
    c.pause.hidden = !!(skipped || done || !(e && e.begin !== null));
    c.pause.firstChild.textContent = day.isPaused(e) ? "Take up again" : "Put down";
    if (document.activeElement !== c.inPauses) c.inPauses.value = e ? pausesText(e.pauses, s) : "";
    if (document.activeElement !== c.inBegin) c.inBegin.value = e && e.begin !== null ? show(e.begin, s) : "";
    if (document.activeElement !== c.inEnd) c.inEnd.value = e && e.end !== null ? show(e.end, s) : "";
    if (document.activeElement !== c.inHold) c.inHold.value = e && e.hold ? String(Math.round(e.hold * 100) / 100) : "";
    c.outcome.value = e ? e.outcome : "done";
    if (skipped || done || passed || (e && e.begin !== null)) c.by.textContent = "";
  }

  // ---- what follows from the entries ----
  function refresh() {
    var s = standing(), now = nowOf(s), net = day.network(data, day.leftOut(s)), r = day.resolve(net, s.tasks, now);
    data.tasks.forEach(function (t, k) { drawCard(k, s, r, net); });
    drawBar(s, now);
    var held = data.tasks.map(function (t, k) { return day.heldTooLong(s.tasks[k], saidNow(s), t.title); }).filter(Boolean);
    if (held.length && !r.trouble) r = { trouble: held[0] };
    if (r.trouble) troubleWith(r.trouble, s);
    else at.trouble.hidden = true;
    drawSheet(s);
    if (forecast) compute(s, net, r, now);
  }
  function troubleWith(t, s) {
    var k = t[0], p = t[1];
    at.trouble.hidden = false;
    at.trouble.textContent = day.readable(typeof t === "string" ? t : k === p ? "'" + titleOf(k) + "' ends before it begins: correct one of its times."
      : "'" + titleOf(k) + "' is entered before '" + titleOf(p) + "', which must be done first, " + t[2] + ": correct one of them.");
    if (forecast) stale("yes");
    if (forecast && !current) at.head.textContent = "No answer until what was entered is corrected.";
  }
  function stale(yes) { at.answer.dataset.stale = at.short.dataset.stale = yes; }
  function drawBar(s, now) {
    at.now.textContent = (s.clock === null ? "Latest entry " : "Now ") + (s.clock === null ? show(now, s) : day.hmmss(Math.floor(now))) + (byDay(s) || s.zero === null ? "" : " · " + day.clockText(now, s.zero));
    at.clock.textContent = s.clock === null ? "Start the clock" : "Stop the clock";
    at.undo.disabled = log.entries.length === 0 && !replaced;
    ["run", "date"].forEach(function (key) { if (document.activeElement !== at[key]) at[key].value = s[key]; });
    if (document.activeElement !== at.zero) at.zero.value = s.zero === null ? "" : day.clockText(0, s.zero);
    data.lanes.forEach(function (lane, l) { if (document.activeElement !== at.person[l]) at.person[l].value = s.person[lane] || ""; });
    at.time.placeholder = byDay(s) ? "11:26" : "2:14";
    at.half.textContent = day.readable(halfWords(s));
  }
  function halfWords(s) {
    var half = day.halfLogged(s);
    return half.length ? "Not in the step log yet, since a begin or an end is missing or a time that it was put down does not lie between them: " + list(half.map(titleOf)) + "." : "";
  }

  function compute(s, net, r, now) {
    var mine = ++token, started = performance.now();
    if (r.trouble) return;
    stale("yes");
    function stopped() { return mine !== token; }
    setTimeout(function () {
      if (stopped()) return;
      if (!model) begin();
      r = day.settle(net, s.tasks, now, before.minutes, data.forecast.source);
      r.stretches = day.stretches(net, r, before.minutes, data.forecast.source);
      r.doubted = r.stretches.filter(function (t) { return t.doubtful; }).map(function (t) { return t.task; });
      if (r.doubted.length) return void drawDoubt({ standing: s, net: net, r: r, now: now, rows: [] });
      var learned = day.learn(model, net, r, SEED + 1), d = day.daysOf(data, model, luck, learned, net, r), look = day.look(d, data.limits, PROBS);
      day.intervals(data, model, shared, learned, net, r, data.limits, look);
      if (nothingEntered(s)) asStated(look);
      current = { standing: s, net: net, r: r, now: now, learned: learned, look: look, rows: null };
      drawAnswer(current);
      document.documentElement.dataset.answerMs = Math.round(performance.now() - started);
      var card = day.card(d, data.limits);
      (function some() {
        if (stopped()) return;
        var until = performance.now() + 40, more = true;
        while (more && performance.now() < until) more = card.next();
        if (more) return void setTimeout(some, 0);
        current.rows = card.rows;
        drawCard2(current);
        document.documentElement.dataset.cardMs = Math.round(performance.now() - started);
        document.documentElement.dataset.settled = String(log.entries.length);
        setTimeout(function () { drops(current, stopped); }, 0);
      })();
    }, 0);
  }
  // Nothing of any task: how late it is, and who does it, change no number.
  function nothingEntered(s) { return s.tasks.every(function (t) { return t === null; }); }
  // The day as forecast beforehand, once.
  function begin() {
    model = day.model(forecast);
    luck = day.luck(data, model, TRIALS, SEED);
    shared = day.sharedLuck(data, model, SEED + 2);
    var none = data.tasks.map(function () { return false; }), net = day.network(data, none), r = day.resolve(net, data.tasks.map(function () { return null; }), 0);
    var learned = day.learn(model, net, r, SEED + 1), d = day.daysOf(data, model, luck, learned, net, r);
    before = { look: day.look(d, data.limits, PROBS), usual: data.tasks.map(function (t, k) { return medianOf(d, k); }),
      reach: data.tasks.map(function (t, k) { return day.reach(d, k); }), minutes: data.tasks.map(function (t, k) { return day.minutesOf(d, k); }) };
    asStated(before.look);
  }
  // Until something is entered the page says what the commands say, to the digit; the same days as later on, but more of them.
  function asStated(look) {
    if (!data.stated) return;
    data.stated.prob.forEach(function (p, i) { if (look.finish[p] !== undefined) look.finish[p] = data.stated.finish_min[i]; });
    data.stated.limits.forEach(function (said, l) { Object.assign(look.limits[l], said); });
    if (look.any) look.any.over = data.stated.any_over;
  }
  function medianOf(d, k) {
    return day.weightedQuantiles(day.minutesOf(d, k), new Float64Array(d.trials).fill(1), 0, d.trials, [0.5])[0];
  }

  // ---- the answer ----
  function limitWords(limit) { return limit.name + ", limit " + day.hmm(limit.minutes); }
  function known(c, limit) { return day.factWords(data, limit, day.factOf(c.net, c.r, limit)); }
  function limitLine(c, limit, l) {
    var done = known(c, limit), from = el("b", { text: limitWords(limit) }), beside = day.besideWords(data, c.r.doubted.length ? [] : day.besideClock(c.net, c.r, limit));
    if (done) return el("li", {}, [from, ": " + done + beside]);
    var p = c.look.limits[l], verdict = limit.confidence === null ? null : day.verdict(p, limit.confidence, data.grounds, limit.second, isGuess(c)), allowed = limit.confidence === null ? null : 1 - limit.confidence;
    return el("li", {}, [from, limit.confidence === null ? "" : ", wanted inside in " + day.of100(limit.confidence) + " of 100", ": ",
      el("b", { text: day.of100(p.over) + " of 100" }), " such days go over it (" + day.intervalWords(day.of100Beside(p.lo, allowed), day.of100Beside(p.hi, allowed), data.stated) + "; before the day " + day.of100Cell(before.look.limits[l].over) + ")",
      verdict ? ": " : ".", verdict ? el("b", { cls: "is", text: verdict }) : null, verdict ? "." : "", beside]);
  }
  function drawAnswer(c) {
    var q = c.look.finish, over = data.limits.length ? c.look.any : null, left = c.net.order.filter(function (k) { return c.r.state[k] !== day.DONE; });
    stale("no");
    var cut = day.cutShort(data, c.net, c.r);
    if (!left.length && cut.length) at.head.textContent = day.readable("Not all is done: '" + titleOf(cut[0]) + "' was stopped at " + day.hmmss(c.r.end[cut[0]]) + ", before it was complete.");
    else if (!left.length) at.head.textContent = "All is done at " + day.hmmss(q[0.5]) + ".";
    else at.head.textContent = "All done: half of such days by " + day.hmm(q[0.5]) + ", 80 of 100 by " + day.hmm(q[0.8]) + ", 95 of 100 by " + day.hmm(q[0.95]) + ".";
    at.pace.hidden = at.short.hidden = !left.length;
    at.short.textContent = day.readable("half by " + day.hmm(q[0.5]) + ", 95 of 100 by " + day.hmm(q[0.95]) + (data.limits.length && !known(c, data.limits[0])
      ? "; " + day.of100(c.look.limits[0].over) + " of 100 go over " + limitWords(data.limits[0]) : ""));
    fill(at.limits, data.limits.map(function (limit, l) { return limitLine(c, limit, l); }).concat(
      data.limits.length > 1 && left.length ? [el("li", {}, [day.anyWords(data, over.over, data.limits.map(function (limit) { return day.factOf(c.net, c.r, limit); }))])] : []));
    at.beyond.textContent = day.readable(beyondWords(c, !left.length));
    at.beyond.hidden = !at.beyond.textContent;
    at.silent.textContent = day.readable(day.silentWords(data, c.net, c.r, before.usual));
    at.silent.hidden = !at.silent.textContent;
    at.pace.textContent = day.readable(paceWords(c, left));
    fill(at.unknown, unknowns(c).map(function (text) { return el("li", { text: text }); }));
  }
  // What was entered cannot have been: it is told back, and nothing is forecast from it.
  function drawDoubt(c) {
    current = c;
    stale("no");
    at.head.textContent = day.readable(day.doubtWords(data, c.r.stretches.filter(function (t) { return t.doubtful; })));
    at.short.textContent = "doubtful: nothing is forecast";
    at.short.hidden = false;
    at.pace.hidden = at.beyond.hidden = at.silent.hidden = at.cutoffs.hidden = at.drops.hidden = at.each.hidden = true;
    fill(at.limits, data.limits.map(function (limit, l) { return limitLine(c, limit, l); }));
    data.tasks.forEach(function (t, k) { cards[k].best = null; cards[k].by.textContent = ""; });
    fill(at.unknown, (data.cautions || []).map(function (text) { return el("li", { text: text }); }));
    drawSheet(c.standing);
    document.documentElement.dataset.settled = document.documentElement.dataset.dropped = String(log.entries.length);
  }
  // That it is left out only a saved file can say: no card lets a way back in be left out.
  function noWayIn(c) {
    return data.tasks.map(function (t, k) { return k; }).filter(function (k) { return data.tasks[k].way_in && c.r.stopped[k]; }).map(function (k) {
      return titleOf(k) + " is entered as stopped before it was complete, and is the way back in: nothing here says that anybody is inside. Once it is complete, enter its end, and done.";
    }).concat(data.tasks.map(function (t, k) { return k; }).filter(function (k) { return data.tasks[k].way_in && c.net.leftOut[k]; }).map(function (k) {
      return titleOf(k) + " is entered as left out, and is the way back in: what follows does not say that anybody is inside. Correct its outcome.";
    })).concat(data.tasks.map(function (t, k) { return k; }).filter(function (k) { return data.tasks[k].way_in_part && c.net.leftOut[k]; }).map(function (k) {
      return titleOf(k) + " is entered as left out, comes just before the way back in, and may be part of it: if it is, what follows does not say that anybody is inside.";
    }));
  }
  // What was entered reaches where the forecast does not: no limit is then said to be kept. One rule with is_guess of present/cutoff_view.c; where too few days are like this one the command refuses (decide/update.c).
  function isGuess(c) {
    var beyond = day.beyond(before.reach, c.r);
    return beyond.shorter.length + beyond.longer.length > 0 || day.isFew(c.learned) || c.r.stretches.some(function (t) { return t.lengthy; });
  }
  // Hardly a day forecast is like it: then the answer rests on the tails of the model.
  function beyondWords(c, allDone) {
    var beyond = day.beyond(before.reach, c.r);
    // A time that was inferred may have been idle: the sentence says so of it, not of the task.
    function unlike(k, took, was) {
      if (c.r.state[k] === day.RUNNING) return titleOf(k) + ", begun " + day.hmm(c.r.begin[k]) + ", has run longer than it takes on 999 of 1000 days forecast";
      if (c.r.beginReported[k] !== null && c.r.endReported[k] !== null) return titleOf(k) + " took " + took + " than on 999 of 1000 days forecast";
      return titleOf(k) + " was not timed from begin to end: the time between what was reported, " + day.hmm(c.r.begin[k]) + " to " + day.hmm(c.r.end[k]) +
        ", in which it must have been done, is " + was + " than it takes on 999 of 1000 days forecast";
    }
    function said(tasks, took, was, stretches, then) {
      var n = tasks.length + stretches.length;
      if (!n) return [];
      return [(tasks.length ? unlike(tasks[0], took, was) : day.lengthyWords(data, stretches[0])) + (n > 1 ? ", and the same is true of " + (n - 1) + " more" : "") +
        (allDone ? ". " : ": what follows is little more than a guess. ") + then];
    }
    var lengthy = c.r.stretches.filter(function (t) { return t.lengthy; });
    if (allDone) beyond.longer = lengthy = [];
    else if (!beyond.shorter.length && !beyond.longer.length && !lengthy.length && day.isFew(c.learned))
      return noWayIn(c).concat("What was entered is unlike any rehearsal: what follows is little more than a guess.").join(" ");
    return noWayIn(c).concat(said(beyond.shorter, "less", "shorter", [], "Are its times right, and is all of it done?").concat(said(beyond.longer, "longer", "longer", lengthy,
      "If something from outside held it up, report that as its hold, which says nothing of the day's pace."))).join(" ");
  }
  function paceWords(c, left) {
    var took = 0, expected = 0, timed = 0, held = c.r.hold.reduce(function (sum, h) { return sum + h; }, 0), moved = c.look.finish[0.5] - before.look.finish[0.5], rest = c.look.rest, text = "";
    c.net.order.forEach(function (k) {
      if (c.r.state[k] !== day.DONE || !c.r.timeKnown[k] || !c.r.named[k]) return;
      took += day.modelledMin(c.r, k);
      expected += before.usual[k];
      timed++;
    });
    if (nothingEntered(c.standing)) return "No task is entered yet: this is the forecast before the day.";
    text = Math.abs(moved) < 0.5 ? "As forecast before the day (half by " + day.hmm(before.look.finish[0.5]) + ")."
      : Math.round(Math.abs(moved)) + " min " + (moved > 0 ? "later" : "earlier") + " than forecast before the day (half by " + day.hmm(before.look.finish[0.5]) + ").";
    if (timed && expected > 0) text += " What was timed took " + (took / expected).toFixed(2) + " times the expected";
    if (timed && expected > 0 && left.length) text += ". The day's pace, which what is to come shares, is put at " + rest[1].toFixed(2) + " times" + (rest[0] < rest[2] ? " (90 % interval " + rest[0].toFixed(2) + " to " + rest[2].toFixed(2) + ")" : "") + ", since " + ((rest[1] - 1) * (took / expected - rest[1]) >= 0 ? "part of the difference is the luck of single tasks" : "single tasks have their luck, and when the work that was not timed had ended tells of it too");
    return text + (timed && expected > 0 ? "." : "") + (held > 0 ? " Holds of " + Math.round(held) + " min in all count as no work: the clock ran on, the pace is that without them." : "");
  }
  function unknowns(c) {
    var out = [], silent = day.unheardLanes(c.net, c.r).sort(function (a, b) { return a - b; }).map(function (l) { return data.lanes[l]; }), untimed = [], judged = [], dropped = [], unsure = [], kept = [];
    c.net.order.forEach(function (k) {
      if (c.r.named[k] && c.r.beginReported[k] !== null && c.r.beginReported[k] > c.net.dropAfter[k]) kept.push(titleOf(k));
      if (c.r.rule[k]) (c.r.rule[k] === day.DROPPED ? dropped : unsure).push(titleOf(k));
      else if (c.r.state[k] === day.DONE && !c.r.timeKnown[k]) untimed.push(titleOf(k));
      if (c.r.state[k] !== day.DONE && forecast.source[k].kind !== "model" && forecast.source[k].kind !== "fixed") judged.push(titleOf(k));
    });
    if (silent.length) out.push("Nothing was entered of " + list(silent) + " since the last joint task or the beginning: what comes next there is taken to have begun as rehearsed.");
    if (dropped.length) out.push("Not entered, dropped by rule, for it could only begin later: " + list(dropped) + ".");
    if (kept.length) out.push("Begun after its drop time, and kept: " + list(kept) + ".");
    if (unsure.length) out.push("Not entered, done or dropped by rule: " + list(unsure) + ".");
    if (untimed.length) out.push("No times for " + list(untimed) + ": taken as done in time for what was entered after " + (untimed.length > 1 ? "them" : "it") + ", in proportion to the usual minutes, and all of that as one observation.");
    if (judged.length) out.push("Never rehearsed, so judged beforehand; of the day they share the pace alone: " + list(judged) + ".");
    if (c.learned.effective < 100 && c.learned.effective < model.n) out.push("Only about " + Math.round(c.learned.effective) + " of " + model.n + " draws of the forecast agree with this day: treat the numbers with care.");
    out.push(chanceWords(c));
    return out.concat(data.cautions || []);
  }

  // Standard errors of what is shown, from parts of the simulated days.
  function chanceWords(c) {
    var over = Math.max.apply(null, [0].concat(c.look.limits.map(function (p) { return p.error; }))), late = [];
    (c.rows || []).forEach(function (row) { if (row.reason === "found" && row.error) late.push(row.error); });
    late.sort(function (a, b) { return a - b; });
    return "Chance in the simulated days alone moves a limit's number by about " + Math.max(1, Math.round(100 * over)) + " of 100" +
      (late.length ? ", a begin-by by about " + Math.max(1, Math.round(late[late.length >> 1])) + " min." : ".");
  }

  // ---- cut-offs ----
  // Of one task: the earliest of its begin-bys, on the elapsed clock, the limit that sets it, and what else must be said.
  function bestOf(c, k) {
    var best = { by: null, limit: -1, late: [], unsure: [], silent: false, clocks: [], slack: null, usual: null, notes: [] };
    c.rows.forEach(function (row) {
      if (row.task !== k) return;
      var limit = data.limits[row.limit], zero = limit.from === null ? 0 : c.r.state[limit.from] === day.DONE || c.r.state[limit.from] === day.RUNNING ? c.r.begin[limit.from] : null;
      if (limit.from === null && row.typical !== undefined) best.usual = row.typical;
      if (row.reason === "unreported") best.silent = true;
      else if (row.reason === "never") {
        best.late.push(limit.name);
        if (row.again && zero !== null) best.again = windowWords(row, zero);
        else best.closed = true;
      }
      else if (row.reason === "too-few") best.unsure.push(limit.name);
      else if (row.reason !== "found") return;
      else if (zero === null) best.clocks.push({ limit: row.limit, by: row.at, notes: rowNotes(row, 0) });
      else if (best.by === null || row.at + zero < best.by) {
        best.by = row.at + zero;
        best.limit = row.limit;
        best.slack = day.slackShown(row.typical + zero, row.at + zero);
        best.notes = rowNotes(row, zero);
        best.rough = row.beyond || isRough(row);
      }
    });
    if (best.closed) delete best.again; // one limit has no window
    if (isStart(c, k)) { best.start = true; if (!best.late.length) best.by = null; }
    return best;
  }
  // Nothing has begun, and nothing can before this task: elapsed time counts from it.
  function isStart(c, k) {
    var first = {};
    c.rows.forEach(function (row) { if (data.limits[row.limit].from === null && opens(row.typical)) first[row.task] = true; });
    return first[k] && Object.keys(first).length === 1 && c.r.state.every(function (s) { return s !== day.DONE && s !== day.RUNNING; });
  }
  // As wr_cutoff_is_rough (decide/cutoff.h).
  function isRough(row) { return !row.byRule && row.error > 5; }
  // What must be said beside a begin-by; zero: where its clock began.
  function rowNotes(row, zero) {
    var out = [];
    if (row.slack < 0) out.push(row.byRule ? "usually dropped by then"
      : Math.floor(100 * row.inTime + 0.5) < 10 ? "as good as too late, begun by then on fewer than 10 of 100 days" : "usually too late");
    if (row.byRule) out.push("later it is dropped by its rule");
    if (row.beyond) out.push("at least until then, for hardly a day begins later");
    else if (isRough(row)) out.push("not known to better than " + Math.round(row.error) + " min" + (row.early >= 0.5 ? ", and put " + Math.round(row.early) + " min early for it" : ""));
    if (row.again) out.push("inside again " + windowWords(row, zero));
    return out;
  }
  function windowWords(row, zero) { return "from " + day.hmm(Math.ceil(row.again.from + zero - 1 / 60000)) + " to " + day.hmmBy(row.again.to + zero) + ", since other work is then dropped"; }
  // The day begins with it: it has no other start, and its limit says by how much it is not kept.
  function opens(usual) { return usual !== null && usual !== undefined && usual <= 0; }
  function byWords(b, s) {
    if (b.silent) return REASONS.unreported;
    if (b.start && !b.late.length) return "the start";
    if (b.late.length) return "too late for " + list(b.late) + (opens(b.usual) ? " even begun on time" : b.again ? ", but for a begin " + b.again : ", whenever it begins");
    if (b.unsure.length && b.by === null) return REASONS["too-few"];
    if (b.by === null) return "";
    return "begin by " + (byDay(s) ? day.clockText(Math.floor(b.by + 1 / 60000), s.zero) : day.hmmBy(b.by));
  }
  // As `cutoff` has it (present/cutoff_view.c).
  var REASONS = { never: "too late, whenever it begins", opens: "too late even begun on time", unreported: "not reported; it has usually begun by now", "too-few": "too few such days to say",
    "past-drop-time": "past its drop time", open: "when its clock began is not entered" };
  function onCard(b) {
    if (!b) return "";
    if (b.past) return "dropped";
    if (b.silent) return "not reported";
    if (b.start && !b.late.length) return "the start";
    return b.late.length ? b.again && !opens(b.usual) ? "only later" : "too late" : b.by !== null ? day.hmmBy(b.by) + (b.rough ? "*" : "") : b.unsure.length ? "cannot tell" : "";
  }
  function clockNotes(b) {
    return b.clocks.map(function (x) { return "begin by " + day.hmmBy(x.by) + " on the clock of '" + data.limits[x.limit].name + "', which starts when '" + titleOf(data.limits[x.limit].from) + "' begins" + (x.notes.length ? " (" + x.notes.join("; ") + ")" : ""); });
  }
  function drawCard2(c) {
    var rows = [], s = c.standing;
    data.tasks.forEach(function (t, k) {
      if (c.net.leftOut[k] || c.r.state[k] === day.DONE || c.r.state[k] === day.RUNNING) { cards[k].best = null; return; }
      var b = cards[k].best = bestOf(c, k), notes = clockNotes(b), past = day.isPastRule(c.net, c.r, k);
      var words = past ? REASONS["past-drop-time"] + ", " + day.hmm(c.net.dropAfter[k]) : byWords(b, s);
      if (past) Object.assign(b, { by: null, late: [], usual: null, past: true });
      if (past) notes = ["if it is begun all the same, enter that"];
      else if (!b.late.length && !b.silent) notes = b.notes.concat(notes);
      var untimed = b.by === null || b.late.length || b.silent;
      if (!past && isFinite(c.net.dropAfter[k]) && !b.silent && (b.late.length || (b.by !== null && b.by < c.net.dropAfter[k])))
        notes = notes.concat((b.late.length ? "" : "later, ") + "leave it out if that helps the limit, as below; the plan drops it after " + day.hmm(c.net.dropAfter[k]));
      fill(cards[k].by, [b.usual === null ? "" : "usual " + day.hmm(b.usual) + (words ? " · " : ""), words ? el("b", { text: words }) : null,
        !untimed && data.limits.length > 1 ? " (" + data.limits[b.limit].name + ")" : "", notes.length ? " · " + notes.join("; ") : ""]);
      rows.push(el("tr", {}, [el("th", { scope: "row" }, [el("bdi", { text: t.title })]), el("td", { text: crewOf(k) }), el("td", { cls: "n", text: b.usual === null ? "" : day.hmm(b.usual) }),
        el("td", { cls: "n", text: untimed ? "" : day.hmmBy(b.by) }), el("td", { cls: "n", text: untimed ? "" : b.slack }),
        el("td", { text: untimed ? words : data.limits[b.limit].name }), el("td", { text: notes.join("; ") })]));
    });
    fill(at.cutBody, rows);
    fill(at.eachBody, eachLimit(c));
    at.each.hidden = data.limits.length < 2;
    fill(at.unknown, unknowns(c).map(function (text) { return el("li", { text: text }); }));
    at.cutoffs.hidden = rows.length === 0 || data.limits.length === 0;
    drawSheet(s);
  }

  // Every limit by itself, as `cutoff --now` lists them.
  function eachLimit(c) {
    function isPast(row) { return day.isPastRule(c.net, c.r, row.task); }
    function reason(row) { return isPast(row) && row.reason !== "not-before-limit" ? REASONS["past-drop-time"] : row.reason === "never" && row.again ? "too late, but for a begin " + windowWords(row, 0) : REASONS[row.reason === "never" && data.limits[row.limit].from === null && opens(row.typical) ? "opens" : row.reason]; }
    return c.rows.filter(function (row) { return row.reason === "found" || reason(row); }).sort(function (a, b) { return a.limit - b.limit || a.task - b.task; }).map(function (row) {
      var limit = data.limits[row.limit], start = limit.from === null && row.reason === "found" && isStart(c, row.task), found = row.reason === "found" && !start;
      return el("tr", {}, [el("th", { scope: "row" }, [el("bdi", { text: limit.name }), limit.from === null ? null : el("small", { text: ", on its clock" })]), el("td", {}, [el("bdi", { text: titleOf(row.task) })]),
        el("td", { cls: "n", text: row.typical === undefined || isPast(row) ? "" : day.hmm(row.typical) }), el("td", { cls: "n", text: found ? day.hmmBy(row.at) : "" }),
        el("td", { cls: "n", text: found ? day.slackShown(row.typical, row.at) : "" }),
        el("td", { cls: "n", text: row.usual === null || row.usual === undefined ? "" : day.of100Cell(row.usual) }), el("td", { text: start ? "the start" : found ? rowNotes(row, 0).join("; ") : reason(row) })]);
    });
  }

  // ---- what to drop, and by when ----
  function drops(c, stopped) {
    var waiting = c.net.order.filter(function (k) { return isFinite(c.net.dropAfter[k]) && !day.isPastRule(c.net, c.r, k) && (c.r.state[k] === day.AHEAD || c.r.state[k] === day.UNREPORTED); });
    var rows = [];
    at.drops.hidden = waiting.length === 0 || data.limits.length === 0;
    (function next() {
      if (stopped()) return;
      if (!waiting.length) {
        fill(at.dropBody, rows);
        document.documentElement.dataset.dropped = String(log.entries.length);
        return;
      }
      var k = waiting.shift(), out = c.net.leftOut.slice();
      out[k] = true;
      var net = day.network(data, out), r = day.resolve(net, c.standing.tasks, c.now, c.r.ownWait);
      var look = r.trouble ? null : day.look(day.daysOf(data, model, luck, c.learned, net, r), data.limits, PROBS);
      data.limits.forEach(function (limit, l) {
        if (look && !known(c, limit) && (limit.from === null || look.limits[l].over !== c.look.limits[l].over)) rows.push(dropRow(c, k, l, c.look.limits[l].over, look.limits[l].over));
      });
      setTimeout(next, 0);
    })();
  }
  function dropRow(c, k, l, over, without) {
    var row = c.rows.filter(function (row) { return row.task === k && row.limit === l; })[0], by = "", notes = [];
    if (row && row.reason === "never") by = "now";
    else if (row && row.reason === "found" && data.limits[l].from === null) {
      by = day.hmmBy(row.at);
      notes = rowNotes(row, 0);
    }
    return el("tr", {}, [el("th", { scope: "row" }, [el("bdi", { text: titleOf(k) })]), el("td", { cls: "n", text: day.hmm(c.net.dropAfter[k]) }), el("td", {}, [el("bdi", { text: data.limits[l].name })]),
      el("td", { cls: "n" }, [by, notes.length ? el("small", { text: ", " + notes.join("; ") }) : null]), el("td", { cls: "n", text: day.of100Cell(over) }), el("td", { cls: "n", text: day.of100Cell(without) }),
      el("td", {}, [button("Leave out", titleOf(k), function () { enter([{ task: data.tasks[k].id, what: "outcome", value: "skipped" }]); say(titleOf(k) + " is left out."); }, "small")])]);
  }

  // ---- the sheet on paper: the blank log with cut-offs, filled in as far as it is ----
  function drawSheet(s) {
    fill(at.sheetBody, data.tasks.map(function (t, k) {
      var e = s.tasks[k], b = cards[k].best, skipped = e && e.outcome === "skipped";
      return el("tr", {}, [el("th", { scope: "row" }, [el("bdi", { text: t.title }), el("small", {}, [" ", el("bdi", { text: t.id })])]), el("td", { text: crewOf(k) }),
        forecast ? el("td", { cls: "n", text: b && b.usual !== null ? day.hmm(b.usual) : "" }) : null, forecast ? el("td", { cls: "n", text: onCard(b) }) : null,
        el("td", { cls: "w", text: e && !skipped && e.begin !== null ? show(e.begin, s) : "" }), el("td", { cls: "w", text: e && !skipped && e.end !== null ? show(e.end, s) : "" }),
        el("td", { cls: "w", text: [e && e.pauses.length ? "put down " + pausesText(e.pauses, s) : "", e && e.hold ? String(e.hold) : ""].filter(Boolean).join("; ") }), el("td", { cls: "w", text: skipped ? "left out" : e && e.end !== null ? e.outcome : "" })]);
    }));
    at.sheetHead.textContent = day.readable((data.campaign || "Rehearsals") + ": step log" + (s.run ? ", run " + s.run : ", run ____________") + (s.date ? ", " + s.date : ", date ____________") + ", logged by ____________");
  }

  // ---- files ----
  function offer(name, type, text) {
    var url = URL.createObjectURL(new Blob([text], { type: type })), a = el("a", { href: url, download: name });
    document.body.appendChild(a);
    a.click();
    document.body.removeChild(a);
    setTimeout(function () { URL.revokeObjectURL(url); }, 60000);
  }
  function fileName(ending) {
    var s = standing(), name = ((data.campaign || "day") + (s.run ? "-" + s.run : "")).replace(/[^A-Za-z0-9._-]+/g, "-").replace(/^[-.]+/, "");
    return (name || "day") + ending;
  }
  function load(file) {
    var reader = new FileReader();
    reader.onload = function () {
      var read = day.readLog(String(reader.result), data);
      if (read.trouble) return say(read.trouble);
      if (log.entries.length && !window.confirm("Put the saved day in the place of the " + log.entries.length + " entries of this page? Undo brings them back until the page is closed.")) return;
      replace(read.log);
      say("Loaded: " + log.entries.length + " entries." + (read.left && " " + read.left) + (read.other ? " The file was saved by a page made from other files: check that it is the same day." : ""));
    };
    reader.readAsText(file);
  }

  // ---- the page ----
  function table(caption, heads, key, cls) {
    at[key] = el("tbody");
    return el("div", { cls: "scroll", role: "region", tabindex: "0", "aria-label": caption }, [el("table", { cls: cls || "" }, [el("caption", { text: caption }),
      el("thead", {}, [el("tr", {}, heads.map(function (h) { return el("th", { scope: "col", cls: h[1] || "", text: h[0] }); }))]), at[key]])]);
  }
  function dayField(key, read) {
    return el("input", { type: "text", autocomplete: "off", on: { change: function () {
      var v = read ? read(at[key].value) : at[key].value;
      if (v === undefined) return say("'" + at[key].value + "' is not a time of day, as 09:12.");
      enter([{ what: key, value: v }]);
    } } });
  }
  function makeAnswer() {
    at.head = el("h1", { text: "Computing …" });
    at.beyond = el("p", { cls: "caution beyond", hidden: "" });
    at.silent = el("p", { cls: "caution silent", hidden: "" });
    at.limits = el("ul", { cls: "limits" });
    at.pace = el("p", { cls: "verdict" });
    at.unknown = el("ul", { cls: "plain" });
    at.answer = el("section", { id: "answer", "aria-label": "What the day looks like now" }, [
      el("div", { "aria-live": "polite", role: "status" }, [at.beyond, at.silent, at.head]), at.limits, at.pace,
      el("p", { cls: "caution", text: data.caution || "" }), el("details", { cls: "cannot" }, [el("summary", { text: "What this page cannot know" }), at.unknown])]);
    return at.answer;
  }
  function makeBar() {
    at.time = el("input", { type: "text", id: "time", autocomplete: "off", size: "8" });
    at.kind = el("select", { on: { change: function () {
      if (at.kind.value === "clock" && standing().zero === null) { at.kind.value = "elapsed"; say("Say first at what time of day the day began: under 'The day'."); return; }
      refresh();
    } } }, [el("option", { value: "elapsed", text: "elapsed" }), el("option", { value: "clock", text: "time of day" })]);
    at.now = el("p", { cls: "now" });
    at.short = el("p", { cls: "short" });
    at.clock = button("Start the clock", "", function () {
      var s = standing(), m = at.time.value.trim() ? moment() : 0;
      if (s.clock !== null) return enter([{ what: "clock", value: null }]);
      if (m !== null) enter([{ what: "clock", value: Date.now() - Math.round(m * 60000) }]);
    });
    at.itIs = button("It is now", "the time typed", function () { var m = moment(); if (m !== null) enter([{ what: "now", value: m }]); });
    at.undo = button("Undo", "the last entry", undo);
    at.say = el("p", { cls: "say", role: "status", "aria-live": "polite" });
    at.trouble = el("p", { cls: "caution", role: "alert", hidden: "" });
    return el("section", { cls: "bar", "aria-label": "Time" }, [at.now, forecast ? at.short : null, el("div", { cls: "tools" }, [labelled("Time of the next entry", at.time), labelled("Times are", at.kind), at.clock, at.itIs, at.undo]), at.say, at.trouble]);
  }
  function makeTasks() {
    var grid = el("ol", { cls: "lanes" });
    grid.style.setProperty("--lanes", String(data.lanes.length));
    data.lanes.forEach(function (lane, l) {
      var head = el("li", { cls: "lane", "aria-hidden": "true" }, [el("bdi", { text: lane })]);
      head.style.gridColumn = String(l + 1);
      head.style.gridRow = "1";
      grid.appendChild(head);
    });
    data.tasks.forEach(function (t, k) { cards[k] = makeCard(k); grid.appendChild(cards[k].box); });
    placeCards();
    return el("section", { id: "tasks", tabindex: "-1" }, [el("h2", { text: "Tasks" }), grid]);
  }
  function makeDay() {
    var names = el("datalist", { id: "names" }, data.people.map(function (p) { return el("option", { value: day.readable(p) }); }));
    at.run = dayField("run");
    at.date = dayField("date");
    at.date.setAttribute("placeholder", "2031-04-10");
    at.zero = dayField("zero", function (text) { return text.trim() === "" ? null : day.momentOf(text, 0) === null ? undefined : day.momentOf(text, 0); });
    at.person = data.lanes.map(function (lane, l) {
      return el("input", { type: "text", list: "names", autocomplete: "off", on: { change: function () { enter([{ what: "person", lane: lane, value: at.person[l].value }]); } } });
    });
    return el("section", {}, [el("h2", { text: "The day" }), names, el("div", { cls: "fields" }, [labelled("Run", at.run), labelled("Date", at.date), labelled("Began at, time of day", at.zero)].concat(
      data.lanes.map(function (lane, l) { return labelled("In " + lane, at.person[l]); })))]);
  }
  function makeFiles() {
    var pick = el("input", { type: "file", accept: ".json,application/json", on: { change: function () { if (pick.files[0]) load(pick.files[0]); pick.value = ""; } } });
    at.half = el("p", { cls: "small" });
    at.kept = el("p", { cls: "caution", role: "alert", hidden: "", text: "This browser keeps nothing for this page: save to a file, and often." });
    return el("section", {}, [el("h2", { text: "Keep" }), el("p", { cls: "lead", text: "Every entry is kept in this browser until it is started anew. A file is safer: save it now and then." }), at.kept,
      el("div", { cls: "tools" }, [
        button("Save to a file", "", function () { offer(fileName("-day.json"), "application/json", JSON.stringify(log, null, 1)); }),
        labelled("Load a saved file", pick),
        button("Step log (runs.csv)", "", function () { offer(fileName("-runs.csv"), "text/csv", day.stepLog(data, standing(), ruleNow())); say(halfWords(standing())); }),
        button("Print the sheet", "", function () { window.print(); }),
        button("Start anew", "", function () {
          if (window.confirm("Forget all entries of this page? Save them to a file first if they matter.")) replace(day.newLog(data));
        })]), at.half]);
  }
  function wantedWords() { // a printed sheet is torn off what says it on the screen
    var wanted = data.limits.filter(function (l) { return l.confidence !== null; });
    return wanted.length ? " (" + wanted.map(function (l) { return limitWords(l) + ", inside in " + day.of100(l.confidence) + " of 100"; }).join("; ") + ")" : "";
  }
  function makeSheet() {
    at.sheetHead = el("h2", {});
    return el("section", { cls: "sheet", "aria-hidden": "true" }, [at.sheetHead, el("p", { text: "Times elapsed, h:mm:ss. Hold: minutes that the real excursion would not have. Outcome: done, stopped or left out." + (forecast ? " Begin by: if the task begins then or earlier, the limits are kept with the wanted confidence" + wantedWords() + ". *: at least until then, for hardly a day begins later, or not known to better than 5 min. " + (data.caution || "") : "") }),
      el("table", {}, [el("thead", {}, [el("tr", {}, ["task", "crew"].concat(forecast ? ["usual start", "begin by"] : [], ["begin", "end", "hold", "outcome"]).map(function (h) { return el("th", { scope: "col", text: h }); }))]), at.sheetBody = el("tbody")])]);
  }

  function start() {
    document.getElementById("about").textContent = day.readable(forecast ? "forecast of " + data.forecast_of + (data.done_by && ", " + data.done_by) + (data.rehearsals ? " · " + data.rehearsals + " rehearsals" : " · nothing rehearsed yet") : "no forecast");
    clear(main);
    main.appendChild(makeAside());
    main.appendChild(forecast ? makeAnswer() : el("h1", { text: "Step log of a rehearsal" }));
    main.appendChild(makeBar());
    main.appendChild(makeTasks());
    if (forecast) {
      at.drops = el("section", { hidden: "" }, [el("h2", { text: "What to drop, and by when" }), el("p", { cls: "lead", text: "Of 100 such days, how many go over a limit as it is, and if the work is left out now." }),
        table("Get-ahead work", [["task"], ["its rule: drop after", "n"], ["limit"], ["drop if not begun by", "n"], ["over now, of 100", "n"], ["over without it, of 100", "n"], ["leave out"]], "dropBody")]);
      at.cutoffs = el("section", { hidden: "" }, [el("h2", { text: "Begin by" }), el("p", { cls: "lead", text: "If the task begins then or earlier, the limit is kept with the wanted confidence. A late start also says that the day is slow, and that is in it. The earliest over all limits counts." }),
        table("Cut-offs", [["task"], ["crew"], ["usual start", "n"], ["begin by", "n"], ["slack, min", "n"], ["limit"], ["note"]], "cutBody"),
        at.each = el("details", { hidden: "" }, [el("summary", { text: "Every limit by itself" }),
          table("Cut-offs of each limit", [["limit"], ["task"], ["usual start", "n"], ["begin by", "n"], ["slack, min", "n"], ["inside if usual, of 100", "n"], ["note"]], "eachBody")])]);
      main.appendChild(at.drops);
      main.appendChild(at.cutoffs);
    }
    main.appendChild(makeDay());
    main.appendChild(makeFiles());
    main.appendChild(makeSheet());
    log = recall().log || day.newLog(data);
    at.kept.hidden = keepsLog;
    refresh();
    setInterval(function () { var s = standing(); if (s.clock !== null) refresh(); }, 60000);
    setInterval(function () { var s = standing(); if (s.clock !== null) drawBar(s, nowOf(s)); }, 5000);
    window.addEventListener("storage", function (e) { if (e.key === KEY) { var kept = recall(); replaced = null; log = kept.trouble ? log : kept.log || day.newLog(data); refresh(); } });
    document.documentElement.dataset.ready = "yes";
  }
  start();
})(wetrunDay);
