"use strict";
// Saved days of the page, spoilt: what is not a saved log is refused in words, what is taken adds up, becomes a step log without
// a formula, and reads back the same. Usage: fuzz_saved.js [SECONDS [SEED]]
const { load } = require("./load.js"), day = load();
const seconds = Number(process.argv[2] || 2), seed = Number(process.argv[3] || 1);
let state = seed >>> 0 || 1;
function dice(n) { state ^= state << 13; state >>>= 0; state ^= state >>> 17; state ^= state << 5; state >>>= 0; return state % n; }
function pick(list) { return list[dice(list.length)]; }

const names = ["A", "B", "constructor", "__proto__", "toString", "=cmd", "</script>", "\u202eX", "", "hasOwnProperty"];
const data = { campaign: "c", inputs: [{ sha256: "x" }], lanes: names.slice(0, 6), tasks: names.slice(0, 8).map((id, i) => ({ id, title: id, lanes: [i % 6] })) };
const words = ["begin", "end", "hold", "outcome", "pauses", "now", "zero", "clock", "run", "date", "person", "constructor", "__proto__", "valueOf", "value", null, 3];
const values = [0, 1, 12.5, 99999, 1e5, -1, 1e308, null, "done", "stopped", "skipped", [[1, 2]], [[1, null]], [[2, 1]], [[null, 1]], [[0, 1e999]], [["__proto__", 2]], [[]], "x".repeat(200), "x".repeat(201), "=1+1", "\t=1", "\uff1dx", {}, [], true, "9:12", "\u0000", "a,b\"c\r\n"];

function entry() {
  const e = { what: pick(words), value: pick(values) };
  if (dice(3)) e.task = pick(names.concat([undefined, 7, null]));
  if (!dice(3)) e.lane = pick(names.concat([7]));
  return dice(40) ? e : pick([null, 1, "x", [], undefined]);
}
function spoil(text) { // a byte changed, a piece cut out or doubled
  const at = dice(text.length + 1), n = dice(20);
  return pick([text.slice(0, at) + pick(["\"", "}", "]", ",", "\\", "\u0000", "1e999", "__proto__", "\ud800"]) + text.slice(at + 1), text.slice(0, at) + text.slice(at + n),
    text.slice(0, at) + text.slice(at, at + n) + text.slice(at)]);
}
function must(condition, text, why) {
  if (condition) return;
  console.log(why + ": " + text);
  process.exit(1);
}
function good() { // one that the page itself could have saved
  const log = day.newLog(data), n = dice(12);
  for (let i = 0; i < n; i++) {
    const what = pick(["begin", "end", "hold", "outcome", "now", "run", "person"]);
    if (what === "now") log.entries.push({ what, value: dice(500) });
    else if (what === "run") log.entries.push({ what, value: pick(names) });
    else if (what === "person") log.entries.push({ what, lane: pick(data.lanes), value: pick(names) });
    else log.entries.push({ task: pick(data.tasks).id, what, value: what === "outcome" ? pick(["done", "stopped", "skipped"]) : dice(500) });
  }
  return log;
}

let n = 0, taken = 0;
const until = Date.now() + 1000 * seconds;
while (Date.now() < until) {
  const whole = good(), hostile = dice(2);
  if (hostile) for (let i = dice(4); i > 0; i--) whole.entries.push(entry());
  let text = JSON.stringify(whole);
  if (dice(2)) text = spoil(text);
  const got = day.readLog(text, data);
  n++;
  if (got.trouble) {
    must(typeof got.trouble === "string" && got.trouble.length > 10 && !got.log, text, "a refusal without words");
    continue;
  }
  taken++;
  const standing = day.standing(data, got.log);
  standing.tasks.forEach(t => {
    if (!t) return;
    must(["done", "stopped", "skipped"].includes(t.outcome) && [t.begin, t.end].every(m => m === null || (m >= 0 && m < 1e5)) && t.hold >= 0, text, "no such time");
    must(Object.keys(t).length === 5, text, "more than was meant");
  });
  must(Object.keys(standing).length === 7, text, "more than was meant of the day");
  must(Object.getPrototypeOf(standing) === Object.prototype && {}.OWNED === undefined, text, "a prototype changed");
  const rows = day.stepLog(data, standing, []);
  must(rows.startsWith("run,date,task,") && !rows.split("\r\n").slice(1).some(r => /^"?[=+\-@\t\uff1d]/.test(r)), text, "a formula");
  const again = day.readLog(JSON.stringify(got.log), data);
  must(again.log && JSON.stringify(day.standing(data, again.log)) === JSON.stringify(standing) && !again.other, text, "not read back the same");
}
console.log(`saved days: ${n} tried, ${taken} taken, nothing broke`);
