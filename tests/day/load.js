"use strict";
// The page's script without its user interface, as one object, and the days of partial_day.js: for tests under node.
const fs = require("fs"), path = require("path"), vm = require("vm");
const source = path.join(__dirname, "../../src/present");

exports.load = function () {
  const text = ["base", "plan", "past", "learn", "days", "cutoff", "log"].map(name => fs.readFileSync(path.join(source, "day_" + name + ".js"), "utf8")).join("\n");
  return vm.runInThisContext("(function () {" + text + "\nreturn wetrunDay; })()", { filename: "day.js" });
};
exports.partialDay = vm.runInThisContext("(function () {" + fs.readFileSync(path.join(__dirname, "partial_day.js"), "utf8") + "\nreturn partialDay; })()");
// The data block of a page.
exports.dataOf = html => JSON.parse(/<script type="application\/json" id="day-data">([^<]*)</.exec(fs.readFileSync(html, "utf8"))[1]);
