// What the day teaches about the parameters and about its own pace, from the posterior draws that the page holds.
//
// `cutoff --now` fits the model again. Here the draws are weighed and moved instead, part by part, for by weights alone a day unlike the
// rehearsals would leave a handful of them:
// - a draw's tau, kappa, rho and scale of spreads stay as they are and weigh it, by the density of what was timed given them;
// - the level of all tasks is drawn anew from its law given tau and kappa, times what was timed;
// - beside the level the pool parts of log minutes and the people's effects are normal with the mean and covariance that they
//   have over draws: what was timed moves them by linear regression, each draw with errors of its own (the conditional draw of a normal vector);
// - every task that was timed takes its spread from draws of its own choice.
// Skew errors, running and stopped tasks are then put right by the weight of the exact law against the normal one. The run effect
// follows per draw, as in decide/pace.c.
"use strict";
(function (day) {
  var NODES = 17, REACH = 6, FEWEST_ROWS = 8, CANDIDATES = 16;

  // ---- the draws as they are before the day ----
  day.model = function (forecast) {
    var n = forecast.draws, m = { n: n, source: forecast.source, lineUps: forecast.line_ups };
    ["pool", "spread", "shift", "q", "tau", "rho", "kappa"].forEach(function (key) { m[key] = day.unpack(forecast[key], n); });
    m.rows = forecast.pool.rows;
    m.people = forecast.q.rows;
    m.skewed = m.rho.some(function (r) { return r !== 0; });
    var size = m.size = m.rows + m.people;
    m.x = new Float64Array(size * n); // the vector that learns: rows, then people
    m.x.set(m.pool);
    m.x.set(m.q, m.rows * n);
    describeDraws(m);
    describeSpreads(m);
    groupLineUps(m);
    return m;
  };
  // Spreads as a scale that all tasks of a draw have in common times what each has of its own: m.scale[draw], m.relative[row * n + draw]. The
  // scale moves with their mean log, by as much as leaves that mean as unsure as it is when each task takes its own part from another draw.
  function describeSpreads(m) {
    var n = m.n, mean = new Float64Array(n), own = 0, common, share, j, r;
    m.scale = new Float64Array(n);
    m.relative = new Float64Array(m.rows * n);
    for (r = 0; r < m.rows; r++) for (j = 0; j < n; j++) mean[j] += Math.log(m.spread[r * n + j]) / m.rows;
    for (r = 0; r < m.rows; r++) own += varianceOf(mean.map(function (x, j) { return Math.log(m.spread[r * n + j]) - x; })) / m.rows;
    common = varianceOf(mean);
    share = common > 0 ? Math.sqrt(Math.max(0, 1 - own / m.rows / common)) : 0;
    for (j = 0; j < n; j++) m.scale[j] = Math.exp(share * mean[j]);
    for (r = 0; r < m.rows; r++) for (j = 0; j < n; j++) m.relative[r * n + j] = m.spread[r * n + j] / m.scale[j];
    m.swaps = m.rows >= FEWEST_ROWS;
  }
  function varianceOf(v) {
    var sum = 0, squares = 0, j;
    for (j = 0; j < v.length; j++) { sum += v[j]; squares += v[j] * v[j]; }
    return Math.max(0, squares / v.length - sum / v.length * (sum / v.length));
  }
  // Every rehearsal has its line-up: those that are the same count as one, `share` of all; m.lineUpOf[one] is its place among them.
  function groupLineUps(m) {
    var place = {};
    m.distinct = [];
    m.lineUpOf = m.lineUps.map(function (who) {
      var key = who.join();
      if (place[key] === undefined) place[key] = m.distinct.push({ who: who, share: 0 }) - 1;
      m.distinct[place[key]].share += 1 / m.lineUps.length;
      return place[key];
    });
  }

  function varies(v) { return v.some(function (x) { return x !== v[0]; }); }
  function squaresOf(v) { return v.map(function (x) { return x * x; }); }

  // What a line in `by` ([n] each) says of y[n], by least squares with these weights (null: all alike), into out. Returns the
  // Cholesky factor of the normal equations.
  function foretell(y, by, out, weight) {
    var p = by.length, n = y.length, g = new Float64Array(p * p), c = new Float64Array(p), j, r, q;
    for (r = 0; r < p; r++)
      for (j = 0; j < n; j++) {
        var x = weight ? weight[j] * by[r][j] : by[r][j];
        c[r] += x * y[j];
        for (q = 0; q <= r; q++) g[r * p + q] += x * by[q][j];
      }
    for (r = 0; r < p; r++) g[r * p + r] *= 1 + 1e-9;
    if (cholesky(g, p)) { forward(g, p, c); backward(g, p, c); } else c.fill(0);
    out.fill(0);
    for (r = 0; r < p; r++) for (j = 0; j < n; j++) out[j] += c[r] * by[r][j];
    return g;
  }

  function levelOf(m) {
    var level = new Float64Array(m.n);
    for (var r = 0; r < m.rows; r++) for (var j = 0; j < m.n; j++) level[j] += m.pool[r * m.n + j] / m.rows;
    return level;
  }

  // Mean and sd of the level of all tasks together in a draw, given its tau and kappa: its variance is a line in their squares.
  function describeLevel(m) {
    var n = m.n, level = m.level = levelOf(m), common = [m.tau, m.kappa].filter(varies), one = new Float64Array(n).fill(1), weight = null, off = new Float64Array(n), j;
    m.levelMean = Float64Array.from(level);
    m.levelSd = new Float64Array(n);
    if (!varies(level)) return;
    for (var pass = 0; pass < 4; pass++) {
      var variance = new Float64Array(n), total = 0;
      var ofMean = foretell(level, [one].concat(common), m.levelMean, weight);
      for (j = 0; j < n; j++) off[j] = (level[j] - m.levelMean[j]) * (level[j] - m.levelMean[j]);
      var ofVariance = foretell(off, [one].concat(common.map(squaresOf)), variance, weight && weight.map(function (w) { return w * w; }));
      for (j = 0; j < n; j++) total += off[j] / n;
      weight = variance.map(function (v) { return 1 / Math.max(v, 0.05 * total); });
    }
    for (j = 0; j < n; j++) m.levelSd[j] = 1 / Math.sqrt(weight[j]);
    m.levelWeight = weight.map(function (w) { return w * w; });
    m.levelLaw = { by: [one].concat(common), mean: ofMean, variance: ofVariance };
  }
  // Error of a weighted mean over slots by that of the level's law, which all of them share: to first order, by how its log density in each slot follows
  // the coefficients. weighed[slot]: weight times value less mean. Of a normal law a squared error has twice its squared mean as variance.
  day.lawError = function (model, learned, weighed) {
    var law = model.levelLaw, p = law ? law.by.length : 0, mean = new Float64Array(p), variance = new Float64Array(p), squares = 0, s, c;
    if (!p || !learned.levelScore) return 0;
    for (s = 0; s < learned.slots; s++) {
      var j = learned.chosen[s], u = learned.levelScore[s], sd = model.levelSd[j];
      for (c = 0; c < p; c++) {
        var x = law.by[c][j];
        mean[c] += weighed[s] * u / sd * x;
        variance[c] += weighed[s] * (u * u - 1) / (2 * sd * sd) * x * x;
      }
    }
    forward(law.mean, p, mean);
    forward(law.variance, p, variance);
    for (c = 0; c < p; c++) squares += mean[c] * mean[c] + 2 * variance[c] * variance[c];
    return Math.sqrt(squares);
  };
  // How component v of x, whose mean in each draw is `mean`, goes with the level there: a covariance that is a line in the squares, too, over the
  // level's variance. Where people may have been slow all together their effects go against it, and else not.
  function followLevel(m, v, mean, by) {
    var n = m.n, product = new Float64Array(n), j;
    if (!m.levelWeight) return;
    for (j = 0; j < n; j++) product[j] = (v[j] - mean[j]) * (m.level[j] - m.levelMean[j]);
    foretell(product, [new Float64Array(n).fill(1)].concat([m.tau, m.kappa].filter(varies).map(squaresOf)), by, m.levelWeight);
    for (j = 0; j < n; j++) {
      by[j] /= m.levelSd[j] * m.levelSd[j];
      mean[j] += by[j] * (m.level[j] - m.levelMean[j]);
    }
  }

  // Mean and sd of every component of x in a draw, given its level, tau, kappa and own spread, and the correlations.
  function describeDraws(m) {
    describeLevel(m);
    var n = m.n, size = m.size, common = [m.tau, m.kappa].filter(varies), one = new Float64Array(n).fill(1), a, b, j;
    var off = new Float64Array(size * n), variance = new Float64Array(n);
    m.mean = new Float64Array(size * n);
    m.sd = new Float64Array(size * n);
    m.corr = new Float64Array(size * size);
    m.byLevel = new Float64Array(size * n);
    for (a = 0; a < size; a++) {
      var row = function (v) { return v.subarray(a * n, (a + 1) * n); }, own = common.concat(a < m.rows && varies(row(m.spread)) ? [row(m.spread)] : []), total = 0, squares = 0;
      foretell(row(m.x), [one].concat(own), row(m.mean));
      followLevel(m, row(m.x), row(m.mean), row(m.byLevel));
      for (j = 0; j < n; j++) { off[a * n + j] = m.x[a * n + j] - m.mean[a * n + j]; total += off[a * n + j] * off[a * n + j] / n; }
      foretell(squaresOf(row(off)), [one].concat(own.map(squaresOf)), variance);
      for (j = 0; j < n; j++) {
        var sd = m.sd[a * n + j] = Math.sqrt(Math.min(Math.max(variance[j], 0.2 * total), 8 * total));
        off[a * n + j] = sd > 0 ? off[a * n + j] / sd : 0;
        squares += off[a * n + j] * off[a * n + j] / n;
      }
      squares = Math.sqrt(squares);
      for (j = 0; j < n && squares > 0; j++) { off[a * n + j] /= squares; m.sd[a * n + j] *= squares; }
    }
    for (a = 0; a < size; a++)
      for (b = 0; b <= a; b++) {
        var sum = 0;
        for (j = 0; j < n; j++) sum += off[a * n + j] * off[b * n + j];
        m.corr[a * size + b] = m.corr[b * size + a] = sum / n;
      }
  }

  // People of a task: rows of x with their weight, when the line-up is known. Somebody new has no row; `shared`: but a share.
  function peopleOf(model, lanes, shared) {
    if (model.lineUps.length !== 1) return [];
    var who = lanes.map(function (l) { return model.lineUps[0][l]; }).filter(function (p) { return p >= 0; });
    return who.map(function (p) { return [model.rows + p, 1 / (shared ? lanes.length : who.length)]; });
  }

  // What was timed of tasks that share the day: those of the model first, then judged and known ones, whose law is given and
  // teaches only the pace. {task, row, terms, log, whole, law, sd}; whole: done, so that its time is known.
  function seenTasks(model, net, state) {
    var seen = [], others = [];
    net.order.forEach(function (k) {
      var source = model.source[k], running = state.state[k] === day.RUNNING;
      if (day.isWait(source) || !(running || (state.state[k] === day.DONE && state.timeKnown[k]))) return;
      var minutes = day.modelledMin(state, k);
      if (!(day.activeMin(state, k) > 0)) return; // what has just begun tells nothing
      var o = { task: k, row: source.row, log: Math.log(minutes), whole: !running && !state.stopped[k], law: null };
      if (source.kind === "model") {
        o.poolLog = o.log - source.seen_shift;
        o.learned = source.learned;
        o.terms = [[source.row, 1]].concat(peopleOf(model, net.lanes[k], false));
        o.dayTerms = [[source.row, 1]].concat(peopleOf(model, net.lanes[k], true));
        seen.push(o);
        return;
      }
      if (source.kind === "lognormal") { o.log -= source.p[0]; o.sd = Math.max(source.p[1], 1e-6); }
      else { o.law = day.judgedLaw(source); o.log -= o.law.centre; o.sd = o.law.sd; }
      others.push(o);
    });
    return { all: seen.concat(others), modelled: seen.length };
  }

  // Lower triangle of the Cholesky factor of g (size x size), in place; false if it is not positive definite.
  function cholesky(g, size) {
    for (var i = 0; i < size; i++)
      for (var j = 0; j <= i; j++) {
        var sum = g[i * size + j];
        for (var k = 0; k < j; k++) sum -= g[i * size + k] * g[j * size + k];
        if (i !== j) g[i * size + j] = sum / g[j * size + j];
        else if (sum > 0) g[i * size + i] = Math.sqrt(sum);
        else return false;
      }
    return true;
  }
  function forward(l, size, v) {
    for (var i = 0; i < size; i++) {
      for (var k = 0; k < i; k++) v[i] -= l[i * size + k] * v[k];
      v[i] /= l[i * size + i];
    }
  }
  function backward(l, size, v) {
    for (var i = size - 1; i >= 0; i--) {
      for (var k = i + 1; k < size; k++) v[i] -= l[k * size + i] * v[k];
      v[i] /= l[i * size + i];
    }
  }

  // ---- the regression of all draws on what was timed ----
  function regression(model, whole) {
    var m = whole.length, n = model.n, first = new Int32Array(m + 1), at = [], weight = [];
    whole.forEach(function (o, c) {
      o.terms.forEach(function (t) { at.push(t[0]); weight.push(t[1]); });
      first[c + 1] = at.length;
    });
    return { m: m, y: Float64Array.from(whole, function (o) { return o.poolLog; }), row: Int32Array.from(whole, function (o) { return o.row * n; }),
      relative: null, first: first, at: Int32Array.from(at), weight: Float64Array.from(weight), scaled: new Float64Array(at.length) };
  }

  // Sd of the normal error by which observation r moves and weighs draw j.
  function noiseOf(model, reg, r, j) { return reg.relative ? reg.relative[r] * model.scale[j] : model.spread[reg.row[r] + j]; }

  // Covariance of what was timed given the spreads and tau of draw j, factored into g.
  function factor(model, reg, j, g) {
    var m = reg.m, n = model.n, size = model.size, tau2 = model.tau[j] * model.tau[j], s = reg.scaled, p, q;
    for (p = 0; p < s.length; p++) s[p] = reg.weight[p] * model.sd[reg.at[p] * n + j];
    for (var r = 0; r < m; r++) {
      for (var c = 0; c <= r; c++) {
        var sum = tau2;
        for (p = reg.first[r]; p < reg.first[r + 1]; p++)
          for (q = reg.first[c]; q < reg.first[c + 1]; q++) sum += s[p] * s[q] * model.corr[reg.at[p] * size + reg.at[q]];
        g[r * m + c] = sum;
      }
      var sd = noiseOf(model, reg, r, j);
      g[r * m + r] += sd * sd + 1e-12;
    }
    return cholesky(g, m);
  }
  // What was timed less what x (mean or draw) says, into v.
  function less(model, reg, x, j, v) {
    for (var r = 0; r < reg.m; r++) {
      v[r] = reg.y[r];
      for (var p = reg.first[r]; p < reg.first[r + 1]; p++) v[r] -= reg.weight[p] * x[reg.at[p] * model.n + j];
    }
  }

  // How what was timed goes with the level in draw j.
  function followers(model, reg, j, by) {
    by.fill(0);
    for (var r = 0; r < reg.m; r++) for (var p = reg.first[r]; p < reg.first[r + 1]; p++) by[r] += reg.weight[p] * model.byLevel[reg.at[p] * model.n + j];
  }

  // What was timed, as draw j has it: its errors at the draw's level into v and the density of all that, over the level, without what all draws have alike;
  // at[LEVELS] gets weights of levels. g: the factor.
  var LEVELS = 57, FARTHEST_LEVEL = 7;
  function levelAt(i) { return FARTHEST_LEVEL * (2 * i / (LEVELS - 1) - 1); }
  function weighLevels(model, reg, j, g, v, by, at) {
    var m = reg.m, squares = 0, cross = 0, slope = 0, log = 0, most = -Infinity, sum = 0, sd = model.levelSd[j], mine = model.level[j] - model.levelMean[j], i, r;
    less(model, reg, model.mean, j, v);
    followers(model, reg, j, by);
    forward(g, m, v);
    forward(g, m, by);
    for (r = 0; r < m; r++) {
      squares += v[r] * v[r];
      cross += v[r] * by[r];
      slope += by[r] * by[r];
      log -= Math.log(g[r * m + r]);
    }
    if (!(sd > 0)) return log - 0.5 * squares;
    for (i = 0; i < LEVELS; i++) {
      var u = levelAt(i), moved = u * sd - mine;
      most = Math.max(most, at[i] = moved * cross - 0.5 * moved * moved * slope - 0.5 * u * u);
    }
    for (i = 0; i < LEVELS; i++) sum += at[i] = Math.exp(at[i] - most);
    return log - 0.5 * squares + most + Math.log(sum);
  }

  function logDensities(model, reg) {
    var m = reg.m, g = new Float64Array(m * m), v = new Float64Array(m), by = new Float64Array(m), at = new Float64Array(LEVELS), out = new Float64Array(model.n);
    for (var j = 0; j < model.n; j++) out[j] = factor(model, reg, j, g) ? weighLevels(model, reg, j, g, v, by, at) : -Infinity;
    return out;
  }

  // Systematic resampling: `slots` draws, each as often as its weight says.
  function resample(logWeight, slots) {
    var n = logWeight.length, most = -Infinity, total = 0, squares = 0, chosen = new Int32Array(slots), w = new Float64Array(n), j;
    for (j = 0; j < n; j++) most = Math.max(most, logWeight[j]);
    for (j = 0; j < n; j++) { w[j] = Math.exp(logWeight[j] - most); total += w[j]; squares += w[j] * w[j]; }
    for (var s = 0, sum = w[0], at = 0; s < slots; s++) {
      while (sum < (s + 0.5) / slots * total && at < n - 1) sum += w[++at];
      chosen[s] = at;
    }
    return { chosen: chosen, effective: total * total / squares };
  }

  // ---- the run effect ----
  var RUN_NODES = 33; // of the table of corrections, over REACH standard deviations of the law that is drawn from
  var halfNormal = [];
  for (var i = 0; i < 16; i++) halfNormal.push(day.quantile(0.5 + 0.5 * (i + 0.5) / 16) - Math.sqrt(2 / Math.PI));

  // log P(error > x) for errors with mean 0, that sd and skew rho (Azzalini 1985)
  function logErrorTail(x, sd, rho) {
    if (rho === 0) return day.logTail(x / sd);
    var unit = Math.sqrt(1 - 2 * rho * rho / Math.PI), a = sd * rho / unit, b = sd * Math.sqrt(1 - rho * rho) / unit, tail = 0;
    for (var i = 0; i < 16; i++) tail += day.exp(day.logTail((x - a * halfNormal[i]) / b)) / 16;
    return Math.log(Math.max(tail, 1e-300));
  }

  // Adds the log of the skew error's density over the normal one of the same sd at residual - by * u, u at the nodes.
  function addSkew(f, residual, by, sd, rho) {
    var unit = Math.sqrt(1 - 2 * rho * rho / Math.PI), shape = -rho / Math.sqrt(1 - rho * rho), from = rho * Math.sqrt(2 / Math.PI);
    var constant = Math.LN2 + Math.log(unit);
    for (var i = 0; i < NODES; i++) {
      var z = (residual - by * REACH * (2 * i / (NODES - 1) - 1)) / sd, t = z * unit + from;
      f[i] += constant - 0.5 * t * t + 0.5 * z * z + day.logTail(shape * t);
    }
  }

  function addJudged(to, law, whole, at, step) {
    for (var i = 0; i < NODES; i++) {
      var x = at - step * REACH * (2 * i / (NODES - 1) - 1);
      to[i] += whole ? day.judgedDensity(law, x) - day.logDensity(x, law.sd) : day.judgedTail(law, x);
    }
  }

  var atNodes = new Float64Array(NODES), allAtNodes = new Float64Array(NODES);
  // Law of the run effect's score given n observations {residual, sd, loading, whole: arrays}: normal with mean and sd, and
  // the log of the exact law over that (running and stopped tasks apart) in `table`, null where it is exact. logZ: log of
  // the density of all observations over what normal errors of the whole ones alone say.
  // Beyond them `more`, if there is any: {first, step, log}: log of what else the score is weighed by, at places evenly from `first` on.
  day.paceOf = function (tau, rho, n, seen, table, tableAt, more) {
    var precision = 1, sum = 0, exact = rho === 0 && !more, i, o;
    for (o = 0; o < n; o++) {
      if (!seen.whole[o] || seen.law[o]) exact = false;
      if (!seen.whole[o]) continue;
      var by = seen.loading[o] * tau, weight = 1 / (seen.sd[o] * seen.sd[o]);
      precision += by * by * weight;
      sum += by * seen.residual[o] * weight;
    }
    var startMean = sum / precision, startSd = 1 / Math.sqrt(precision), p = { mean: startMean, sd: startSd, logZ: 0, logWhole: 0 };
    if (exact) { if (table) table.fill(0, tableAt, tableAt + RUN_NODES); return p; }
    var f = atNodes.fill(0), all = allAtNodes.fill(0), total = 0, whole = 0, mean = 0, square = 0, most = -Infinity;
    for (o = 0; o < n; o++) {
      var at = seen.residual[o] - seen.loading[o] * tau * startMean, step = seen.loading[o] * tau * startSd;
      if (seen.law[o]) addJudged(seen.whole[o] ? f : all, seen.law[o], seen.whole[o], at, step);
      else if (!seen.whole[o])
        for (i = 0; i < NODES; i++) all[i] += logErrorTail(at - step * REACH * (2 * i / (NODES - 1) - 1), seen.sd[o], seen.plain[o] ? 0 : rho);
      else if (!seen.plain[o] && rho !== 0) addSkew(f, at, step, seen.sd[o], rho);
    }
    if (more) for (i = 0; i < NODES; i++) f[i] += between(more, startMean + startSd * REACH * (2 * i / (NODES - 1) - 1));
    for (i = 0; i < NODES; i++) {
      var u = REACH * (2 * i / (NODES - 1) - 1);
      all[i] += f[i] - 0.5 * u * u;
      most = Math.max(most, all[i]);
    }
    for (i = 0; i < NODES; i++) {
      u = REACH * (2 * i / (NODES - 1) - 1);
      var w = day.exp(all[i] - most);
      whole += day.exp(f[i] - 0.5 * u * u);
      total += w;
      mean += w * u;
      square += w * u * u;
    }
    mean /= total;
    p.mean = startMean + startSd * mean;
    p.sd = startSd * Math.sqrt(Math.max(1e-12, square / total - mean * mean));
    p.logZ = most + Math.log(total * 2 * REACH / (NODES - 1)) - 0.9189385332046727;
    p.logWhole = Math.log(whole * 2 * REACH / (NODES - 1)) - 0.9189385332046727;
    if (table) fillTable(table, tableAt, f, startMean, startSd, p);
    return p;
  };

  // By parabolas through three places each, further out along a line.
  function between(curve, x) {
    var last = curve.log.length - 1, place = (x - curve.first) / curve.step, i = Math.min(Math.max(Math.round(place), 1), last - 1), f = curve.log;
    if (place < 0) return f[0] + (f[1] - f[0]) * place;
    if (place > last) return f[last] + (f[last] - f[last - 1]) * (place - last);
    var t = place - i;
    return f[i] + t * (f[i + 1] - f[i - 1]) / 2 + t * t * (f[i + 1] - 2 * f[i] + f[i - 1]) / 2;
  }

  function fillTable(table, at, f, startMean, startSd, p) {
    for (var i = 0; i < RUN_NODES; i++) {
      var v = REACH * (2 * i / (RUN_NODES - 1) - 1), u = (p.mean + p.sd * v - startMean) / startSd;
      var place = Math.min(Math.max((u + REACH) * (NODES - 1) / (2 * REACH), 0), NODES - 1 - 1e-9), n = place | 0, t = place - n;
      var f0 = f[n], f1 = f[n + 1], d0 = n > 0 ? (f1 - f[n - 1]) / 2 : f1 - f0, d1 = n + 2 < NODES ? (f[n + 2] - f0) / 2 : f1 - f0;
      var between = (1 - t) * (1 - t) * (f0 * (1 + 2 * t) + d0 * t) + t * t * (f1 * (3 - 2 * t) - d1 * (1 - t));
      table[at + i] = between - 0.5 * u * u - Math.log(startSd) + 0.5 * v * v + Math.log(p.sd) - p.logZ;
    }
  }

  // Log of the exact law over the normal one at `score` standard deviations of it, in this slot.
  day.paceCorrection = function (learned, slot, score) {
    var place = Math.min(Math.max((score + REACH) * (RUN_NODES - 1) / (2 * REACH), 0), RUN_NODES - 1 - 1e-9), i = place | 0;
    var at = slot * RUN_NODES + i, c = learned.correction;
    return c[at] + (c[at + 1] - c[at]) * (place - i);
  };

  // Log weight of trial i of the days d, its run effect apart.
  day.weightOf = function (d, i) {
    var l = d.learned, s = d.slotOf[i];
    return l.logWeight[s] + (l.lineUpLog ? l.lineUpLog[s * d.model.distinct.length + d.model.lineUpOf[d.luck.lineUp[i]]] : 0);
  };

  // ---- all of it ----
  // Draws for the rest of the day, `slots` of them: x, spread, shift, tau, rho, kappa [row * slots + slot]; runMean, runSd of
  // the run effect's score and its correction; logWeight [slot]; effective: number of draws that count.
  day.learn = function (model, net, state, seed) {
    var n = model.n, slots = n, found = seenTasks(model, net, state), seen = found.all;
    var reg = regression(model, seen.slice(0, found.modelled).filter(function (o) { return o.whole && o.learned; }));
    fitNoise(model, reg);
    var drawn = reg.m > 0 ? resample(logDensities(model, reg), slots) : null;
    var out = {
      slots: slots, draws: n, logWeight: new Float64Array(slots), runMean: new Float64Array(slots), runSd: new Float64Array(slots), seen: seen,
      correction: null, lineUpLog: null, levelScore: null, effect: new Float64Array(slots), spreadLog: new Float64Array(slots), effective: drawn ? drawn.effective : n, x: new Float64Array(model.size * slots),
      chosen: drawn ? drawn.chosen : Int32Array.from({ length: slots }, function (_, i) { return i; })
    };
    moveDraws(model, reg, out, day.stream(seed));
    ["spread", "shift", "tau", "rho", "kappa"].forEach(function (key) {
      var rows = model[key].length / n, to = out[key] = new Float64Array(rows * slots), from = model[key];
      for (var row = 0; row < rows; row++) for (var i = 0; i < slots; i++) to[row * slots + i] = from[row * n + out.chosen[i]];
    });
    takeSpreads(model, reg, out, day.stream(seed + 3));
    var gaps = gapsOf(model, out, net, state, day.stream(seed + 1)), past = day.pastOf(model, out, net, state, day.stream(seed + 2));
    if (past && model.distinct.length > 1 && model.distinct.length <= MOST_LINE_UPS) out.lineUpLog = new Float64Array(slots * model.distinct.length);
    out.corrected = model.skewed || past !== null || seen.some(function (o) { return !o.whole || o.law; });
    out.correction = new Float64Array(out.corrected ? slots * RUN_NODES : 0);
    pacePerSlot(model, reg, out, seen, found.modelled, gaps, past);
    if (out.corrected || gaps.length || reg.relative) out.effective = Math.min(out.effective, effectiveOf(out.logWeight));
    return out;
  };

  // The level below which that share of the weight lies, in standard deviations, anywhere between two places.
  function pickLevel(weight, share, random) {
    var goal = 0, i;
    for (i = 0; i < LEVELS; i++) goal += weight[i];
    goal *= share;
    for (i = 0; i < LEVELS - 1 && goal > weight[i]; i++) goal -= weight[i];
    return levelAt(i + random.uniform() - 0.5);
  }

  // Every slot's draw, moved by what was timed with errors of its own.
  function moveDraws(model, reg, out, random) {
    var n = model.n, m = reg.m, slots = out.slots, size = model.size, x = out.x, from = model.x, a, r, s;
    for (a = 0; a < size; a++) for (s = 0; s < slots; s++) x[a * slots + s] = from[a * n + out.chosen[s]];
    if (m === 0) return;
    out.levelScore = new Float64Array(slots);
    var g = new Float64Array(m * m), v = new Float64Array(m), by = new Float64Array(m), at = new Float64Array(LEVELS), back = new Float64Array(size), factored = -1;
    for (s = 0; s < slots; s++) {
      var j = out.chosen[s], rise = 0, again = factored === j;
      if (!again) { factor(model, reg, j, g); weighLevels(model, reg, j, g, v, by, at); factored = j; }
      // a draw's own place among all levels is kept once, so that the error of so many draws is seen in what comes of them
      if (model.levelSd[j] > 0) {
        var share = again ? random.uniform() : 1 - Math.exp(day.logTail((model.level[j] - model.levelMean[j]) / model.levelSd[j]));
        out.levelScore[s] = pickLevel(at, share, random);
        rise = out.levelScore[s] * model.levelSd[j] + model.levelMean[j] - model.level[j];
      }
      for (a = 0; a < size; a++) x[a * slots + s] += rise * model.byLevel[a * n + j];
      less(model, reg, from, j, v);
      followers(model, reg, j, by);
      for (r = 0; r < m; r++) v[r] -= rise * by[r];
      var b = model.tau[j] * random.normal(), pull = 0;
      for (r = 0; r < m; r++) v[r] -= b + noiseOf(model, reg, r, j) * random.normal();
      forward(g, m, v);
      backward(g, m, v);
      for (r = 0; r < m; r++) pull += v[r];
      out.effect[s] = b + model.tau[j] * model.tau[j] * pull;
      back.fill(0);
      for (r = 0; r < m; r++) for (var p = reg.first[r]; p < reg.first[r + 1]; p++) back[reg.at[p]] += reg.weight[p] * model.sd[reg.at[p] * n + j] * v[r];
      for (a = 0; a < size; a++) {
        var move = 0;
        for (r = 0; r < size; r++) if (back[r] !== 0) move += model.corr[a * size + r] * back[r];
        x[a * slots + s] += model.sd[a * n + j] * move;
      }
    }
  }

  // ---- spreads ----
  // Each task's own part of its spread is taken to be free of the others', of the level and of the task's place. It is not quite: what the day says of how far
  // spreads differ is lost, a few per cent of a spread, and probabilities come out a little high on most days (DEVELOPERS.md). So a task takes its spread from draws of its own choice, by how likely they
  // make its error; chosen all together, by whole draws, few draws would be left on a long day. What is moved by normal errors and weighed
  // by the mean over candidates is exact, that apart, but for chance.
  // Normal errors as steep as those of all spreads together where each task lies: what a task weighs by is their mean precision there.
  function fitNoise(model, reg) {
    if (!model.swaps || reg.m === 0) return;
    var m = reg.m, n = model.n, g = new Float64Array(m * m), v = new Float64Array(m), by = new Float64Array(m), at = new Float64Array(LEVELS), every = Math.max(1, Math.floor(n / 300)), r, j, i;
    reg.relative = new Float64Array(m);
    for (r = 0; r < m; r++) for (i = 0; i < n; i++) reg.relative[r] += model.relative[reg.row[r] + i] / n;
    for (var pass = 0; pass < 2; pass++) {
      var most = -Infinity, total = 0, error = new Float64Array(m), logs = [], errors = [];
      for (j = 0; j < n; j += every) {
        if (!factor(model, reg, j, g)) continue;
        var log = weighLevels(model, reg, j, g, v, by, at), moved = 0, all = 0;
        for (i = 0; i < LEVELS && model.levelSd[j] > 0; i++) { moved += at[i] * levelAt(i); all += at[i]; }
        if (all > 0) moved = moved / all * model.levelSd[j] + model.levelMean[j] - model.level[j];
        for (r = 0; r < m; r++) v[r] -= moved * by[r];
        backward(g, m, v);
        logs.push(log);
        errors.push(v.map(function (x, r) { return x * reg.relative[r] * reg.relative[r] * model.scale[j]; }));
        most = Math.max(most, log);
      }
      logs.forEach(function (log, a) {
        var w = Math.exp(log - most);
        total += w;
        for (r = 0; r < m; r++) error[r] += w * errors[a][r];
      });
      for (r = 0; r < m; r++) {
        var sum = 0, precision = 0, e = error[r] / total;
        for (i = 0; i < n; i++) {
          var sd = model.relative[reg.row[r] + i], weight = Math.exp(-0.5 * e * e / (sd * sd)) / sd;
          sum += weight;
          precision += weight / (sd * sd);
        }
        reg.relative[r] = Math.sqrt(sum / precision);
      }
    }
  }

  function logSkew(e, sd, rho) {
    var z = e / sd;
    if (rho === 0) return -0.5 * z * z - Math.log(sd);
    var unit = Math.sqrt(1 - 2 * rho * rho / Math.PI), t = z * unit + rho * Math.sqrt(2 / Math.PI);
    return Math.LN2 + Math.log(unit / sd) - 0.5 * t * t + day.logTail(-rho / Math.sqrt(1 - rho * rho) * t);
  }
  // Spreads of the tasks that were timed, slot by slot; its log weight by them to out.spreadLog.
  function takeSpreads(model, reg, out, random) {
    var n = model.n, m = reg.m, slots = out.slots, like = new Float64Array(CANDIDATES), sds = new Float64Array(CANDIDATES), r, s, c;
    if (!reg.relative) return;
    for (s = 0; s < slots; s++) {
      var j = out.chosen[s], rho = model.rho[j], all = 0;
      for (r = 0; r < m; r++) {
        var e = reg.y[r] - out.effect[s], first = random.uniform(), sum = 0, most = -Infinity;
        for (var p = reg.first[r]; p < reg.first[r + 1]; p++) e -= reg.weight[p] * out.x[reg.at[p] * slots + s];
        for (c = 0; c < CANDIDATES; c++) {
          sds[c] = model.scale[j] * model.relative[reg.row[r] + Math.floor((first + c) / CANDIDATES * n)];
          most = Math.max(most, like[c] = logSkew(e, sds[c], rho));
        }
        for (c = 0; c < CANDIDATES; c++) sum += like[c] = day.exp(like[c] - most);
        var goal = random.uniform() * sum, noise = noiseOf(model, reg, r, j);
        for (c = 0; c < CANDIDATES - 1 && goal > like[c]; c++) goal -= like[c];
        out.spread[reg.row[r] / n * slots + s] = sds[c];
        all += most + Math.log(sum / CANDIDATES) - logSkew(e, noise, 0);
      }
      out.spreadLog[s] = all;
    }
  }

  // The first n observations of one slot into `room`: at pool pace, or of the day with its shift.
  function observe(model, out, seen, n, s, pool, room) {
    var slots = out.slots;
    for (var o = 0; o < n; o++) {
      if (seen[o].row < 0) { room.residual[o] = seen[o].log; room.sd[o] = seen[o].sd; continue; }
      var terms = pool ? seen[o].terms : seen[o].dayTerms, shift = model.source[seen[o].task].shift;
      var residual = pool ? seen[o].poolLog : seen[o].log;
      for (var t = 0; t < terms.length; t++) residual -= terms[t][1] * out.x[terms[t][0] * slots + s];
      if (!pool && shift >= 0) residual -= out.shift[shift * slots + s];
      room.residual[o] = residual;
      room.sd[o] = out.spread[seen[o].row * slots + s];
    }
  }

  // ---- stretches of unknown times: each counts as one lognormal, with the moments of the simulated stretch (decide/pace.c) ----
  var ROUNDS = 16;

  // The day up to the moment that closes the gap of task k: what is known apart from that moment stands, the rest is simulated.
  function dayBefore(net, state, k) {
    var toEnd = state.gap[k] === 2, closes = toEnd ? state.end[k] : state.begin[k], mark = new Uint8Array(net.n);
    day.markBefore(net, k, mark);
    return net.order.filter(function (p) { return mark[p]; }).map(function (p) {
      var fixed = state.endReported[p] !== null || (state.endInferred[p] && state.end[p] < closes), done = state.state[p] === day.DONE && fixed && p !== k;
      return { task: p, how: done ? day.DONE : p !== k && state.beginReported[p] !== null ? day.RUNNING : day.AHEAD, counts: !done && (p !== k || toEnd) };
    });
  }

  // Log minutes of the tasks on ROUNDS days at run effect 0 in slot s: minutes[item * ROUNDS + round].
  function minutesOf(model, out, net, state, items, luck, s, minutes) {
    var rho = out.rho[s], unit = Math.sqrt(1 - 2 * rho * rho / Math.PI), slots = out.slots;
    items.forEach(function (item, t) {
      var source = model.source[item.task], r;
      if (item.how === day.DONE) return;
      for (r = 0; r < ROUNDS; r++) {
        var z = luck.z[t * ROUNDS + r], to = t * ROUNDS + r;
        if (state.rule[item.task] && !state.openRule[item.task]) minutes[to] = 0;
        else if (day.isWait(source)) minutes[to] = source.p[0];
        else if (source.kind === "lognormal") minutes[to] = Math.exp(source.p[0] + source.p[1] * z);
        else if (source.kind !== "model") minutes[to] = day.bent(luck.bend[t], z);
        else {
          var sd = out.spread[source.row * slots + s], log = out.x[source.row * slots + s] + (source.shift >= 0 ? out.shift[source.shift * slots + s] : 0);
          for (var p = 0; p < luck.people[t].length; p++) log += luck.people[t][p][1] * out.x[luck.people[t][p][0] * slots + s];
          minutes[to] = Math.exp(log + sd / unit * (rho * (Math.abs(luck.h[to]) - Math.sqrt(2 / Math.PI)) + Math.sqrt(1 - rho * rho) * z));
        }
      }
    });
  }

  // Walks one day; returns where the stretch begins and ends.
  function stretchOn(model, net, state, items, minutes, r, factor, k, begin, end) {
    var from = Infinity;
    for (var t = 0; t < items.length; t++) {
      var p = items[t].task, took = minutes[t * ROUNDS + r] * (day.isWait(model.source[p]) ? 1 : factor), start;
      if (items[t].how === day.DONE) { begin[p] = state.begin[p]; end[p] = state.end[p]; continue; }
      if (items[t].how === day.RUNNING) { start = state.begin[p]; took += day.heldMin(state, p); }
      else {
        start = net.notBefore[p];
        for (var j = 0; j < net.before[p].length; j++) if (end[net.before[p][j]] > start) start = end[net.before[p][j]];
      }
      begin[p] = start;
      end[p] = items[t].how === day.AHEAD && start > net.dropAfter[p] ? start : start + took;
      if (items[t].counts && start < from) from = start;
    }
    return Math.min(from, begin[k]);
  }

  function gapsOf(model, out, net, state, random) {
    var gaps = [];
    net.order.forEach(function (k) {
      if (!state.gap[k] || state.gap[k] === day.EITHER_WAY) return;
      var toEnd = state.gap[k] === 2, items = dayBefore(net, state, k), n = items.length, slots = out.slots, r, s, from = 0, half = ROUNDS / 2, skewed = out.rho.some(function (x) { return x !== 0; });
      var luck = { z: new Float64Array(n * ROUNDS), h: new Float64Array(n * ROUNDS), bend: [], people: [] }, minutes = new Float64Array(n * ROUNDS);
      items.forEach(function (item, t) {
        var source = model.source[item.task];
        luck.bend.push(day.isBent(source) ? day.bend(source.kind, source.p) : null);
        luck.people.push(source.kind === "model" ? peopleOf(model, net.lanes[item.task], true) : []);
      });
      function drawLuck() { // anew for every slot: the same few days for all of them would leave their error in the answer
        for (var i = 0; i < n * ROUNDS; i++) {
          luck.z[i] = i % ROUNDS < half ? random.normal() : -luck.z[i - half];
          luck.h[i] = skewed ? random.normal() : 0;
        }
      }
      var gap = { mean: new Float64Array(slots), sd: new Float64Array(slots), loading: new Float64Array(slots), log: 0 }, begin = new Float64Array(net.n), end = new Float64Array(net.n);
      for (s = 0; s < slots; s++) {
        var sum = 0, squares = 0, slope = 0, slow = Math.exp(out.tau[s]);
        drawLuck();
        minutesOf(model, out, net, state, items, luck, s, minutes);
        for (r = 0; r < ROUNDS; r++) {
          from = stretchOn(model, net, state, items, minutes, r, 1, k, begin, end);
          var plain = Math.log(Math.max(1e-6, (toEnd ? end[k] : begin[k]) - from));
          from = stretchOn(model, net, state, items, minutes, r, slow, k, begin, end);
          slope += Math.log(Math.max(1e-6, (toEnd ? end[k] : begin[k]) - from)) - plain;
          sum += plain;
          squares += plain * plain;
        }
        gap.mean[s] = sum / ROUNDS;
        gap.sd[s] = Math.sqrt(Math.max(1e-6, (squares - sum * sum / ROUNDS) / (ROUNDS - 1)));
        gap.loading[s] = out.tau[s] > 0 ? slope / ROUNDS / out.tau[s] : 0;
      }
      var took = (toEnd ? state.end[k] - state.hold[k] : state.ready[k]) - from;
      if (!(took > 0)) return;
      gap.log = Math.log(took);
      gaps.push(gap);
    });
    return gaps;
  }

  // Gaps one after the other: each weighs the draw by how well it was foreseen by what went before, then counts as seen.
  function addGaps(out, gaps, s, n, room) {
    for (var g = 0; g < gaps.length; g++, n++) {
      var gap = gaps[g], p = day.paceOf(out.tau[s], out.rho[s], n, room, null, 0), by = gap.loading[s] * out.tau[s];
      out.logWeight[s] += day.logDensity(gap.log - gap.mean[s] - by * p.mean, Math.sqrt(gap.sd[s] * gap.sd[s] + by * by * p.sd * p.sd));
      room.residual[n] = gap.log - gap.mean[s];
      room.sd[n] = gap.sd[s];
      room.loading[n] = gap.loading[s];
    }
    return n;
  }

  // What the moments that work of unknown time led to say of the score in slot s, beyond what its gaps were taken to say.
  // Places, in standard deviations apart; closer together where that is no one bell, since work may have been dropped.
  var FEW = { n: 7, apart: 1.5 }, MANY = { n: 21, apart: 0.45 };
  var MOST_LINE_UPS = 8; // with two days or more of each in a slot
  function beyondGaps(model, out, gaps, past, s, p) {
    var places = past.eitherWay ? MANY : FEW, n = places.n;
    var more = { first: p.mean - p.sd * places.apart * (n - 1) / 2, step: p.sd * places.apart, log: new Float64Array(n) }, effects = new Float64Array(n), shares = new Float64Array(n * model.distinct.length), i, g;
    for (i = 0; i < n; i++) effects[i] = out.tau[s] * (more.first + i * more.step);
    past(s, effects, more.log, shares);
    for (g = 0; g < gaps.length; g++)
      for (i = 0; i < n; i++) more.log[i] -= day.logDensity(gaps[g].log - gaps[g].mean[s] - gaps[g].loading[s] * effects[i], gaps[g].sd[s]);
    weighLineUps(model, out, s, more, shares, places);
    return more;
  }
  // Who may be in the lanes has had to do with how long it took: the days of each line-up weigh as much as it explains that.
  function weighLineUps(model, out, s, more, shares, places) {
    var count = model.distinct.length, weight = new Float64Array(places.n), total = 0, most = Math.max.apply(null, more.log), i, l;
    if (!out.lineUpLog) return;
    for (i = 0; i < places.n; i++) {
      var away = places.apart * (i - (places.n - 1) / 2);
      total += weight[i] = Math.exp(more.log[i] - most - 0.5 * away * away);
    }
    for (l = 0; l < count; l++) {
      var sum = 0;
      for (i = 0; i < places.n; i++) sum += weight[i] * shares[l * places.n + i];
      out.lineUpLog[s * count + l] = Math.log(Math.max(sum / total, 1e-300));
    }
  }

  function pacePerSlot(model, reg, out, seen, modelled, gaps, past) {
    var n = seen.length, apart = model.shift.length > 0 || modelled < n || gaps.length > 0 || past !== null, table = out.corrected ? out.correction : null, room = {
      residual: new Float64Array(n + gaps.length), sd: new Float64Array(n + gaps.length), loading: new Float64Array(n + gaps.length).fill(1),
      whole: seen.map(function (o) { return o.whole; }).concat(gaps.map(function () { return true; })),
      law: seen.map(function (o) { return o.law; }).concat(gaps.map(function () { return null; })),
      plain: seen.map(function (o) { return o.row < 0; }).concat(gaps.map(function () { return true; }))
    };
    for (var s = 0; s < out.slots; s++) {
      observe(model, out, seen, modelled, s, true, room);
      var p = day.paceOf(out.tau[s], out.rho[s], modelled, room, apart ? null : table, s * RUN_NODES);
      out.logWeight[s] = reg.relative ? out.spreadLog[s] + p.logZ - p.logWhole : p.logZ; // the exact law of what the model was taught over the normal one
      if (apart) {
        observe(model, out, seen, n, s, false, room);
        var all = addGaps(out, gaps, s, n, room);
        p = day.paceOf(out.tau[s], out.rho[s], all, room, past ? null : table, s * RUN_NODES);
        if (past) {
          var before = p.logZ;
          p = day.paceOf(out.tau[s], out.rho[s], all, room, table, s * RUN_NODES, beyondGaps(model, out, gaps, past, s, p));
          out.logWeight[s] += p.logZ - before;
        }
      }
      out.runMean[s] = out.tau[s] * p.mean;
      out.runSd[s] = out.tau[s] * p.sd;
    }
  }

  function effectiveOf(logWeight) {
    var most = -Infinity, sum = 0, squares = 0, i, w;
    for (i = 0; i < logWeight.length; i++) most = Math.max(most, logWeight[i]);
    for (i = 0; i < logWeight.length; i++) { w = Math.exp(logWeight[i] - most); sum += w; squares += w * w; }
    return sum * sum / squares;
  }
})(wetrunDay);
