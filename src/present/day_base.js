// The day's page, put together from the files day_*.js in this order: base, plan, past, learn, days, cutoff, log, page. Each hangs
// its functions on wetrunDay and needs nothing of the page but the last; the others run under node as they are (tests/day).
"use strict";
var wetrunDay = {};
(function (day) {
  // ---- random numbers: xoshiro128** (Blackman and Vigna 2021, from memory), seeded by splitmix32; Box and Muller 1958 ----
  day.stream = function (seed) {
    var s = new Uint32Array(4), x = seed >>> 0, spare = 0, hasSpare = false;
    for (var i = 0; i < 4; i++) {
      x = (x + 0x9e3779b9) >>> 0;
      var z = x;
      z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
      z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
      s[i] = z ^ (z >>> 15);
    }
    function next() {
      var r = Math.imul(s[1], 5), t = s[1] << 9;
      r = Math.imul((r << 7) | (r >>> 25), 9);
      s[2] ^= s[0]; s[3] ^= s[1]; s[1] ^= s[2]; s[0] ^= s[3]; s[2] ^= t;
      s[3] = (s[3] << 11) | (s[3] >>> 21);
      return r >>> 0;
    }
    function uniform() { return (next() + 0.5) / 4294967296; }
    function normal() {
      if (hasSpare) { hasSpare = false; return spare; }
      var radius = Math.sqrt(-2 * Math.log(uniform())), angle = 2 * Math.PI * uniform();
      spare = radius * Math.sin(angle);
      hasSpare = true;
      return radius * Math.cos(angle);
    }
    return { uniform: uniform, normal: normal };
  };

  // ---- the normal distribution: log of its upper tail and its hazard, tabulated with their derivatives ----
  var LOW = -40, PER_UNIT = 16, NODES = 80 * PER_UNIT + 1, logTail = new Float64Array(NODES), hazard = new Float64Array(NODES);

  // log P(Z > x): below 3 by the series of Marsaglia (2004), above by the continued fraction of Laplace (both from memory).
  function logUpper(x) {
    if (x < -38) return 0;
    if (x < -3) return Math.log1p(-Math.exp(logUpper(-x)));
    if (x < 3) {
      var sum = x, term = x;
      for (var n = 1; n < 2000 && Math.abs(term) > 1e-18 * Math.abs(sum); n++) sum += term = term * x * x / (2 * n + 1);
      var below = 0.5 + sum * Math.exp(-0.5 * x * x) / Math.sqrt(2 * Math.PI);
      return Math.log(1 - below);
    }
    var f = 0;
    for (var k = 120; k >= 1; k--) f = k / (x + f);
    return -0.5 * x * x - 0.5 * Math.log(2 * Math.PI) - Math.log(x + f);
  }
  for (var i = 0; i < NODES; i++) {
    var at = LOW + i / PER_UNIT;
    logTail[i] = logUpper(at);
    hazard[i] = Math.exp(-0.5 * at * at - 0.5 * Math.log(2 * Math.PI) - logTail[i]);
  }
  function hermite(f0, f1, d0, d1, u, h) {
    var v = 1 - u;
    return v * v * (f0 * (1 + 2 * u) + d0 * h * u) + u * u * (f1 * (1 + 2 * v) - d1 * h * v);
  }
  day.logTail = function (x) {
    var place = (x - LOW) * PER_UNIT, n = place | 0;
    if (place < 0) return 0;
    if (place >= NODES - 1) return logUpper(x);
    return hermite(logTail[n], logTail[n + 1], -hazard[n], -hazard[n + 1], place - n, 1 / PER_UNIT);
  };
  day.hazard = function (x) {
    var place = (x - LOW) * PER_UNIT, n = place | 0;
    if (place < 0) return 0;
    if (place >= NODES - 1) return x + 1 / x;
    var x0 = LOW + n / PER_UNIT, x1 = x0 + 1 / PER_UNIT, h0 = hazard[n], h1 = hazard[n + 1];
    return hermite(h0, h1, h0 * (h0 - x0), h1 * (h1 - x1), place - n, 1 / PER_UNIT);
  };
  // The score that stands as far in what lies above `least` as v stands in all: log tail(z) = log tail(v) + log tail(least).
  day.above = function (v, least) {
    if (least < -37) return v;
    if (v < -37) return least;
    var z = Math.max(v, least), goal = day.logTail(v) + day.logTail(least);
    for (var i = 0; i < 30; i++) { // the log tail is concave: after the first step Newton comes down from above
      var step = (day.logTail(z) - goal) / day.hazard(z);
      z += Math.min(step, 2);
      if (Math.abs(step) < 1e-6 * (1 + Math.abs(z))) break;
    }
    return z;
  };
  day.quantile = function (p) {
    if (p > 0.5) return -day.quantile(1 - p);
    var x = 0, goal = Math.log(p); // log P(Z > x) = goal, for the upper tail
    for (var i = 0; i < 60; i++) {
      var step = (day.logTail(x) - goal) / day.hazard(x);
      x += Math.min(step, 2);
      if (Math.abs(step) < 1e-12) break;
    }
    return -x;
  };
  // exp to ten digits by a table: what takes time on the page is a million of them.
  var EXP_REACH = 24, EXP_PER_UNIT = 64, power = new Float64Array(2 * EXP_REACH * EXP_PER_UNIT + 1);
  for (i = 0; i < power.length; i++) power[i] = Math.exp(i / EXP_PER_UNIT - EXP_REACH);
  day.exp = function (x) {
    if (!(x > -EXP_REACH && x < EXP_REACH)) return Math.exp(x);
    var place = ((x + EXP_REACH) * EXP_PER_UNIT + 0.5) | 0, r = x + EXP_REACH - place / EXP_PER_UNIT;
    return power[place] * (1 + r * (1 + r * (0.5 + r * (1 / 6 + r / 24))));
  };
  day.logDensity = function (x, sd) { return -0.5 * (x / sd) * (x / sd) - Math.log(sd) - 0.9189385332046727; };

  // ---- weighted values ----
  // Smallest value up to which a share prob of the weight lies, for several prob at once. Bins, exact to range / 8192.
  day.weightedQuantiles = function (value, weight, from, n, probs) {
    var lo = Infinity, hi = -Infinity, bins = 8192, total = 0, i;
    for (i = 0; i < n; i++) {
      if (!(weight[i] > 0)) continue;
      if (value[from + i] < lo) lo = value[from + i];
      if (value[from + i] > hi) hi = value[from + i];
      total += weight[i];
    }
    if (!(total > 0)) return probs.map(function () { return NaN; });
    if (!(hi > lo)) return probs.map(function () { return lo; });
    var count = new Float64Array(bins + 1), scale = bins / (hi - lo), found = [];
    for (i = 0; i < n; i++) if (weight[i] > 0) count[((value[from + i] - lo) * scale) | 0] += weight[i];
    count[bins - 1] += count[bins];
    probs.forEach(function (p) {
      var sum = 0, b = 0;
      while (b < bins - 1 && sum + count[b] < p * total) sum += count[b++];
      var part = count[b] > 0 ? Math.min(1, Math.max(0, (p * total - sum) / count[b])) : 0;
      found.push(lo + (b + part) / scale);
    });
    return found;
  };

  // ---- packed rows (day_data.h) ----
  day.bytes = function (base64) {
    var text = atob(base64), byte = new Uint8Array(text.length);
    for (var i = 0; i < text.length; i++) byte[i] = text.charCodeAt(i);
    return byte;
  };
  day.unpack = function (packed, n) {
    var byte = day.bytes(packed.data), out = new Float64Array(packed.rows * n);
    for (var r = 0; r < packed.rows; r++)
      for (var j = 0; j < n; j++) {
        var at = 2 * (r * n + j);
        out[r * n + j] = packed.lo[r] + packed.step[r] * (byte[at] | (byte[at + 1] << 8));
      }
    return out;
  };
})(wetrunDay);
