#include "wetrun/decide/cutoff.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "days.h"
#include "given_start.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/stats/quantile.h"

enum {
    LEAST_TRIALS = 100,
    SCAN_TRIALS = 1000,       /* days looked at while the crossing is being found; all of them once it is */
    TYPICAL_TRIALS = 4000,    /* for the probability at the typical start, shown to a percent */
    ENOUGH_EFFECTIVE = 400,   /* below this the run effect alone is given up for a way made for this start */
    MOST_ATOMS = 64,
    MOST_IN_VAIN = 3,
    REACHED_BY = 10           /* a start that fewer scanned days get to (effectively) is one that no day gets to */
};
/* Steps of the search in standard deviations of the log of the start, and how far it goes down. */
static const double SCAN_STEP = 0.5, SCAN_DOWN = 16, SLOPE_HALF_WIDTH = 0.15, NARROW_ENOUGH = 0.002, NEAR_ENOUGH = 0.05;
static const double BEYOND_SD = 4;

/* ---- a search for one task and limit ---- */

struct atom {                 /* a start that has a probability of its own: not_before decided it */
    double at, sum, inside;
};

struct search {
    struct wr_given *given;
    double confidence;
    size_t n_all, n_scan;
    double step;              /* one standard deviation of log start */
    double log_limit, log_floor; /* no start lies outside; floor -INFINITY: none */
    struct atom atom[MOST_ATOMS];
    size_t n_atom;
    int n_in_vain;            /* times that another way was no better */
};

static void collect_atoms(struct search *q)
{
    const struct wr_given *g = q->given;

    for (size_t i = 0; i < q->n_all; i++) {
        if (g->moves[i]) continue;
        size_t a = 0;
        while (a < q->n_atom && fabs(q->atom[a].at - g->start_min[i]) > 1e-9 * (1 + q->atom[a].at)) a++;
        if (a == MOST_ATOMS) continue;
        if (a == q->n_atom) q->atom[q->n_atom++] = (struct atom){.at = g->start_min[i]};
        q->atom[a].sum += g->weight[i];
        if (g->out_min[i] <= g->limit->minutes) q->atom[a].inside += g->weight[i];
    }
    for (size_t i = 1; i < q->n_atom; i++) { /* ascending */
        struct atom a = q->atom[i];
        size_t j = i;
        for (; j > 0 && q->atom[j - 1].at > a.at; j--) q->atom[j] = q->atom[j - 1];
        q->atom[j] = a;
    }
}

/* Probability inside at log start x over the first n days; a better way is looked for when few of them count, until that
 * has not helped a few times. */
static double inside_at(struct search *q, double x, size_t n, struct wr_tally *tally)
{
    struct wr_given *g = q->given;

    wr_given_tally(g, exp(x), n, tally);
    double before = wr_tally_effective(tally);
    if (g->mode != WR_GIVEN_SCALED && q->n_in_vain < MOST_IN_VAIN && before >= REACHED_BY && before < 0.1 * (double)n) {
        struct wr_tally scanned = *tally;
        if (n > SCAN_TRIALS) wr_given_tally(g, exp(x), SCAN_TRIALS, &scanned);
        bool better = wr_given_aim_at(g, exp(x), n < SCAN_TRIALS ? n : SCAN_TRIALS, &scanned);
        if (better && n > SCAN_TRIALS) wr_given_tally(g, exp(x), n, tally);
        else if (better) *tally = scanned;
        if (wr_tally_effective(tally) < 1.5 * before) q->n_in_vain++;
    }
    return wr_tally_share(tally);
}

/* inside: g >= c. Starts that no day reaches are neither. */
enum side { SIDE_INSIDE, SIDE_OUTSIDE, SIDE_UNREACHED };

static enum side side_at(struct search *q, double x, size_t n)
{
    struct wr_tally tally;
    double share = inside_at(q, x, n, &tally);

    if (wr_tally_effective(&tally) < REACHED_BY) return SIDE_UNREACHED;
    return share >= q->confidence ? SIDE_INSIDE : SIDE_OUTSIDE;
}

/* Lowest start to look at: four standard deviations early, or just after a moment before which it may not begin. */
static double scan_from(const struct search *q)
{
    return fmin(fmax(q->given->law.log_median - 4 * q->step, q->log_floor), q->log_limit);
}

/* What a search for the first crossing comes to. */
enum bracketed {
    CROSSES,                   /* inside at *lo, outside at *hi */
    NO_START_INSIDE,           /* outside from the earliest start on, or no day begins before the limit has passed */
    ALL_INSIDE                 /* inside at every start that a day gets to, the latest looked at being *lo */
};

/* First crossing on the scanned days. */
static enum bracketed bracket(struct search *q, double *lo, double *hi)
{
    double x = scan_from(q), down_to = x - SCAN_DOWN * q->step;
    enum side side = side_at(q, x, q->n_scan);

    *lo = *hi = -INFINITY;
    while (side == SIDE_UNREACHED && x < q->log_limit) { /* nobody can begin so early */
        x = fmin(x + SCAN_STEP * q->step, q->log_limit);
        side = side_at(q, x, q->n_scan);
    }
    if (side == SIDE_UNREACHED) return NO_START_INSIDE; /* what begins after the limit ends after it */
    while (side == SIDE_OUTSIDE) {
        *hi = x;
        x -= SCAN_STEP * q->step;
        if (x < down_to) return NO_START_INSIDE;
        side = side_at(q, x, q->n_scan);
        if (side == SIDE_UNREACHED) return NO_START_INSIDE;
        if (side == SIDE_INSIDE) {
            *lo = x;
            return CROSSES;
        }
    }
    while (side == SIDE_INSIDE) {
        *lo = x;
        if (x >= q->log_limit) return ALL_INSIDE;
        x = fmin(x + SCAN_STEP * q->step, q->log_limit);
        side = side_at(q, x, q->n_scan);
    }
    *hi = x;
    return side == SIDE_OUTSIDE ? CROSSES : ALL_INSIDE;
}

struct crossing {
    double x;                  /* log start */
    double slope;              /* of g by x there, negative */
    struct wr_tally tally;     /* near it */
};

/* Narrows [lo, hi] (inside, outside on all of the first n days) by false position, the stale end damped (Illinois). */
static void narrow(struct search *q, size_t n, double lo, double hi, double g_lo, double g_hi, struct crossing *at)
{
    double f_lo = g_lo - q->confidence, f_hi = g_hi - q->confidence, last = lo;
    double x_lo = lo, x_hi = hi, w_lo = f_lo, w_hi = f_hi;

    at->x = lo;
    for (int i = 0; i < 30; i++) {
        double x = w_lo - w_hi > 0 ? x_lo + (x_hi - x_lo) * w_lo / (w_lo - w_hi) : (x_lo + x_hi) / 2;
        double f = inside_at(q, x, n, &at->tally) - q->confidence;
        at->x = x;
        if (f >= 0) {
            at->slope = x_hi > x ? (f_hi - f) / (x_hi - x) : 0;
            if (w_lo == f_lo && x_lo != lo) w_hi /= 2;
            x_lo = x;
            w_lo = f_lo = f;
        } else {
            at->slope = x > x_lo ? (f - f_lo) / (x - x_lo) : 0;
            if (w_hi == f_hi && x_hi != hi) w_lo /= 2;
            x_hi = x;
            w_hi = f_hi = f;
        }
        if (fabs(x - last) < NARROW_ENOUGH * q->step || x_hi - x_lo < NARROW_ENOUGH * q->step) break;
        last = x;
    }
    if (f_lo > f_hi) at->x = x_lo + (x_hi - x_lo) * f_lo / (f_lo - f_hi);
}

static double kept_within(const struct search *q, double x)
{
    return fmin(fmax(x, q->log_floor), q->log_limit);
}

/* Slope of g by log start around x, on the scanned days. */
static double slope_around(struct search *q, double x)
{
    struct wr_tally tally;
    double left = kept_within(q, x - SLOPE_HALF_WIDTH * q->step), right = kept_within(q, x + SLOPE_HALF_WIDTH * q->step);
    double g_left = inside_at(q, left, q->n_scan, &tally), g_right = inside_at(q, right, q->n_scan, &tally);

    return right > left ? (g_right - g_left) / (right - left) : 0;
}

/* On all days: a step or two along the slope. False if that does not settle, as where g jumps. */
static bool settle(struct search *q, double slope, struct crossing *at)
{
    for (int i = 0; i < 5 && slope < 0; i++) {
        double from = at->x, off = (inside_at(q, from, q->n_all, &at->tally) - q->confidence) / -slope;
        if (wr_tally_effective(&at->tally) < REACHED_BY) return false;
        at->x = kept_within(q, from + fmin(fmax(off, -q->step), q->step));
        if (fabs(off) < NEAR_ENOUGH * q->step) return at->x == from + off;
    }
    return false;
}

/* From a bracket on the scanned days to the crossing on all of them. False if on all days not even lo is inside. */
static bool refine(struct search *q, double lo, double hi, struct crossing *at)
{
    struct wr_tally tally;
    double g_lo = inside_at(q, lo, q->n_scan, &tally), g_hi = inside_at(q, hi, q->n_scan, &tally);

    narrow(q, q->n_scan, lo, hi, g_lo, g_hi, at);
    double slope = slope_around(q, at->x);
    bool settled = q->n_scan == q->n_all || settle(q, slope, at);
    if (!settled) {
        g_lo = inside_at(q, lo, q->n_all, &tally);
        g_hi = inside_at(q, hi, q->n_all, &tally);
        if (g_lo < q->confidence) return false;
        narrow(q, q->n_all, lo, hi, g_lo, g_hi, at);
    }
    if (slope < 0) at->slope = slope;
    return true;
}

/* The eight parts' crossings, to first order from the whole's slope. */
static double mc_error_min(const struct crossing *at)
{
    double whole = wr_tally_share(&at->tally), sum = 0, squares = 0, n = 0;

    if (!(at->slope < 0)) return 0;
    for (int p = 0; p < WR_GIVEN_PARTS; p++) {
        if (!(at->tally.part_sum[p] > 0)) continue;
        double off = (at->tally.part_inside[p] / at->tally.part_sum[p] - whole) / -at->slope;
        sum += off;
        squares += off * off;
        n++;
    }
    if (n < 2) return 0;
    return exp(at->x) * sqrt(fmax(0, squares - sum * sum / n) / (n - 1) / n);
}

/* ---- the second window ---- */

static bool has_drop_rule(const struct wr_given *g)
{
    for (size_t i = 0; i < g->n_out_list; i++)
        if (isfinite(g->days->drop_after_min[g->out_list[i]])) return true;
    return false;
}

/* A window that opens because the task itself is dropped opens at its drop_after, to the second. */
static double at_own_rule(const struct search *q, double s)
{
    double rule = q->given->days->drop_after_min[q->given->task];

    return fabs(s - rule) < 0.01 ? rule : s;
}

static double bisect(struct search *q, double outside, double inside)
{
    for (int i = 0; i < 40 && fabs(outside - inside) > 1e-8; i++) {
        double mid = (outside + inside) / 2;
        if (side_at(q, mid, q->n_scan) == SIDE_INSIDE) inside = mid;
        else outside = mid;
    }
    return inside;
}

/* The next start to look at for a second window: a step on, but not past the moment at which the task itself is dropped. */
static double next_start(const struct search *q, double x)
{
    double rule = log(q->given->days->drop_after_min[q->given->task]) + 1e-6, next = x + SCAN_STEP * q->step;

    return fmin(x < rule && next > rule ? rule : next, q->log_limit);
}

static void find_second_window(struct search *q, double from, struct wr_cutoff_row *row)
{
    struct wr_tally tally;
    double noise = 3 * sqrt(q->confidence * (1 - q->confidence) / 200.0), last = from, x = next_start(q, from);
    bool been_outside = false;

    for (; x < q->log_limit; last = x, x = next_start(q, x)) {
        double share = inside_at(q, x, q->n_scan, &tally);
        if (wr_tally_effective(&tally) < REACHED_BY) return;
        if (share < q->confidence - noise) been_outside = true;
        if (been_outside && share >= q->confidence) break;
    }
    if (x >= q->log_limit) return;
    row->has_second_window = true;
    row->second_from_min = at_own_rule(q, exp(bisect(q, last, x)));
    double lo = x;
    for (; x < q->log_limit && side_at(q, x, q->n_scan) == SIDE_INSIDE; x = next_start(q, x)) lo = x;
    struct crossing at = {.x = q->log_limit};
    if (lo < x && !refine(q, lo, x, &at)) at.x = lo;
    row->second_to_min = exp(at.x);
}

/* ---- conditional cut-off ---- */

static enum bracketed cross(struct search *q, struct crossing *at)
{
    double lo, hi;
    enum bracketed found = bracket(q, &lo, &hi);

    if (found == ALL_INSIDE && lo >= q->log_limit) { /* nothing is left to do after it */
        at->x = q->log_limit;
        inside_at(q, at->x, q->n_all, &at->tally);
        return CROSSES;
    }
    return found == CROSSES && !refine(q, lo, hi, at) ? NO_START_INSIDE : found;
}

/* The atoms count as starts too: none up to the cut-off may be outside. */
static void heed_atoms(const struct search *q, struct wr_cutoff_row *row)
{
    for (size_t a = 0; a < q->n_atom; a++) {
        bool inside = q->atom[a].inside >= q->confidence * q->atom[a].sum;
        if (row->reason == WR_CUTOFF_NEVER && a == 0 && inside) { /* only the moment before which it may not begin */
            row->reason = WR_CUTOFF_FOUND;
            row->latest_start_min = q->atom[a].at;
            continue;
        }
        if (row->reason == WR_CUTOFF_NEVER || inside) continue;
        if (row->reason == WR_CUTOFF_FOUND && q->atom[a].at > row->latest_start_min) continue;
        row->reason = a == 0 ? WR_CUTOFF_NEVER : WR_CUTOFF_FOUND;
        row->latest_start_min = a == 0 ? 0 : q->atom[a].at;
    }
}

static double inside_at_typical(struct search *q)
{
    struct wr_tally tally;
    double typical = q->given->law.typical_min;

    for (size_t a = 0; a < q->n_atom; a++)
        if (fabs(q->atom[a].at - typical) <= 1e-9 * (1 + typical)) return q->atom[a].inside / q->atom[a].sum;
    return inside_at(q, log(typical), q->n_all < TYPICAL_TRIALS ? q->n_all : TYPICAL_TRIALS, &tally);
}

/* From here on a way is used instead of the run effect alone. */
static void take_way(struct search *q)
{
    wr_given_aim(q->given);
    q->n_all = q->given->days->n_trial;
    q->n_scan = q->n_all < SCAN_TRIALS ? q->n_all : SCAN_TRIALS;
}

static void imposed_row(struct search *q, struct wr_cutoff_row *row);

/* Inside at every start that it can have by itself: only a hold from outside could make it later, and that is imposed. Where
 * not even the days as they are hold the limit often enough, no start is early enough. */
static void hold_beyond(struct search *q, struct wr_cutoff_row *row)
{
    double largest = 0;

    imposed_row(q, row);
    if (row->reason != WR_CUTOFF_FOUND) return;
    row->beyond_range = true;
    for (size_t i = 0; i < q->n_all; i++) largest = fmax(largest, q->given->start_min[i]);
    row->latest_start_min = fmax(row->latest_start_min, largest);
}

static void conditional_row(struct search *q, struct wr_cutoff_row *row)
{
    struct wr_given *g = q->given;
    struct crossing at = {0};
    enum bracketed found = NO_START_INSIDE;
    double enough = fmin(ENOUGH_EFFECTIVE, 0.1 * (double)q->n_all);

    row->method = WR_CUTOFF_BY_RUN_EFFECT;
    q->step = fmax(g->law.log_sd, 1e-4);
    q->log_limit = log(g->limit->minutes);
    q->n_scan = q->n_all;
    collect_atoms(q);
    q->log_floor = q->n_atom > 0 && q->atom[0].at > 0 ? log(q->atom[0].at) + 1e-9 : -INFINITY;
    if (g->mode == WR_GIVEN_SCALED) found = cross(q, &at);
    if (g->mode != WR_GIVEN_SCALED || found != CROSSES || wr_tally_effective(&at.tally) < enough) {
        row->method = WR_CUTOFF_BY_DIRECTION;
        take_way(q);
        found = cross(q, &at);
    }
    row->reason = found == NO_START_INSIDE ? WR_CUTOFF_NEVER : WR_CUTOFF_FOUND;
    if (found == CROSSES) {
        row->latest_start_min = exp(at.x);
        row->effective = wr_tally_effective(&at.tally);
        row->mc_error_min = mc_error_min(&at);
        row->beyond_range = fabs(at.x - g->law.log_median) > BEYOND_SD * q->step;
        if (row->effective < WR_CUTOFF_LEAST_EFFECTIVE) row->reason = WR_CUTOFF_TOO_FEW;
        if (has_drop_rule(g)) find_second_window(q, at.x, row);
    }
    if (found == ALL_INSIDE) hold_beyond(q, row);
    heed_atoms(q, row);
    row->prob_inside_at_typical = inside_at_typical(q);
}

/* ---- imposed cut-off ---- */

static double share_inside_held(struct wr_given *g, double s, size_t n)
{
    double sum = 0, inside = 0, out[WR_ABREAST];

    for (size_t i = 0, n_in = 0; i < n; i += n_in) {
        n_in = wr_given_held(g, i, n, s, out, NULL);
        for (size_t j = 0; j < n_in; j++) {
            sum += g->weight[i + j];
            if (out[j] <= g->limit->minutes) inside += g->weight[i + j];
        }
    }
    return inside / sum;
}

struct latest {
    double at, weight;
};

static int later_first(const void *a, const void *b)
{
    const struct latest *p = a, *q = b;

    return (p->at < q->at) - (p->at > q->at);
}

/* Without drop rules the outcome held until s is the larger of the outcome as it is and s + tail, so each day has one
 * latest start; the cut-off is the latest that a share c of the days allow. */
static void imposed_by_tails(struct search *q, struct wr_cutoff_row *row)
{
    const double FAR = 1e7; /* later than anything else that a start could wait for */
    struct wr_given *g = q->given;
    struct latest *day = WR_NEW_ARRAY(struct latest, q->n_all);
    double total = 0, so_far = 0, out[WR_ABREAST], beyond[WR_ABREAST];
    size_t n = 0;

    for (size_t i = 0, n_in = 0; i < q->n_all; i += n_in) {
        n_in = wr_given_held(g, i, q->n_all, FAR, out, beyond);
        for (size_t j = 0; j < n_in; j++) {
            total += g->weight[i + j];
            if (g->out_min[i + j] > g->limit->minutes) continue;
            day[n++] = (struct latest){g->limit->minutes - beyond[j], g->weight[i + j]};
        }
    }
    qsort(day, n, sizeof *day, later_first);
    row->reason = WR_CUTOFF_NEVER;
    for (size_t i = 0; i < n; i++) {
        so_far += day[i].weight;
        if (so_far < q->confidence * total * (1 - 1e-12)) continue;
        row->reason = WR_CUTOFF_FOUND;
        row->latest_start_min = day[i].at;
        break;
    }
    wr_free(day);
}

/* With drop rules: step through the starts, then bisect. Days that are all alike are looked at once. */
static void imposed_by_steps(struct search *q, struct wr_cutoff_row *row)
{
    struct wr_given *g = q->given;
    size_t n = q->n_all < SCAN_TRIALS ? q->n_all : SCAN_TRIALS;
    double earliest = g->start_min[0], step, s;

    for (size_t i = 0; i < q->n_all; i++) earliest = fmin(earliest, g->start_min[i]);
    step = (g->limit->minutes - earliest) / 100;
    row->reason = WR_CUTOFF_NEVER;
    if (!(step > 0) || share_inside_held(g, earliest, q->n_all) < q->confidence) return;
    for (s = earliest; s + step <= g->limit->minutes; s += step)
        if (share_inside_held(g, s + step, n) < q->confidence) break;
    double inside = s, outside = fmin(s + step, g->limit->minutes);
    while (inside > earliest && share_inside_held(g, inside, q->n_all) < q->confidence) inside -= step;
    if (share_inside_held(g, outside, q->n_all) >= q->confidence) inside = outside;
    for (int i = 0; i < 50 && outside - inside > 1e-9; i++) {
        double mid = (inside + outside) / 2;
        if (share_inside_held(g, mid, q->n_all) >= q->confidence) inside = mid;
        else outside = mid;
    }
    row->reason = WR_CUTOFF_FOUND;
    row->latest_start_min = inside;
    for (s = outside + step; s <= g->limit->minutes; s += step) { /* a later start that drops other work */
        if (share_inside_held(g, s, n) < q->confidence) continue;
        double from = s - step, to = s;
        for (int i = 0; i < 40; i++) {
            double mid = (from + to) / 2;
            if (share_inside_held(g, mid, n) >= q->confidence) to = mid;
            else from = mid;
        }
        row->has_second_window = true;
        row->second_from_min = at_own_rule(q, to);
        while (s + step <= g->limit->minutes && share_inside_held(g, s + step, n) >= q->confidence) s += step;
        for (from = s, to = s + step; to - from > 1e-6;) {
            double mid = (from + to) / 2;
            if (share_inside_held(g, mid, n) >= q->confidence) from = mid;
            else to = mid;
        }
        row->second_to_min = fmin(from, g->limit->minutes);
        return;
    }
}

static void imposed_row(struct search *q, struct wr_cutoff_row *row)
{
    struct wr_given *g = q->given;

    row->method = WR_CUTOFF_IMPOSED;
    if (has_drop_rule(g)) imposed_by_steps(q, row);
    else imposed_by_tails(q, row);
    row->effective = (double)q->n_all;
    row->prob_inside_at_typical = share_inside_held(g, g->law.typical_min, q->n_all);
}

/* ---- rows and cards ---- */

static void finish_row(const struct wr_given *g, struct wr_cutoff_row *row)
{
    double rule = g->days->drop_after_min[g->task], sum = 0, in_time = 0;

    if (row->reason != WR_CUTOFF_FOUND) {
        row->latest_start_min = row->mc_error_min = 0;
        return;
    }
    if (!g->limit->is_clock && row->latest_start_min >= rule) {
        row->drop_rule_first = true;
        row->has_second_window = false;
        row->latest_start_min = rule;
    }
    row->slack_min = row->latest_start_min - row->typical_start_min;
    for (size_t i = 0; i < g->days->n_trial; i++) {
        sum += g->weight[i];
        if (g->start_min[i] <= row->latest_start_min + 1e-9) in_time += g->weight[i];
    }
    row->share_in_time = in_time / sum;
}

static bool has_begun(const struct wr_now_state *now, size_t task)
{
    return now && (now->state[task] == WR_NOW_DONE || now->state[task] == WR_NOW_RUNNING);
}

/* law: that of the task's starts, as soon as it is known. */
static void make_row(const struct wr_days *days, const struct wr_cutoff_limit *limit, bool imposed,
                     struct wr_cutoff_row *row, struct wr_start_law *law, bool *law_known)
{
    struct wr_given given;
    struct search q = {.given = &given, .confidence = limit->confidence, .n_all = days->n_trial};

    if (has_begun(days->now, row->task)) {
        row->reason = WR_CUTOFF_BEGUN;
        return;
    }
    wr_given_init(&given, days, &limit->limit, row->task, *law_known ? law : NULL);
    if (!limit->limit.is_clock) {
        *law = given.law;
        *law_known = true;
    }
    row->typical_start_min = given.law.typical_min;
    if (!given.upstream) row->reason = WR_CUTOFF_NOT_BEFORE_LIMIT;
    else if (imposed || given.law.n_moves == 0) imposed_row(&q, row);
    else conditional_row(&q, row);
    finish_row(&given, row);
    wr_given_release(&given);
}

struct job {
    const struct wr_days *days;
    const struct wr_cutoff_options *options;
    struct wr_cutoff_card *card;
};

/* One task, all limits. */
static void work(void *arg, size_t piece)
{
    struct job *job = arg;
    struct wr_start_law law;
    bool law_known = false;

    for (size_t l = 0; l < job->card->n_limit; l++) {
        struct wr_cutoff_list *list = &job->card->list[l];
        make_row(job->days, &list->limit, job->options->imposed, &list->row[piece], &law, &law_known);
    }
}

static void count_over(const struct wr_days *days, struct wr_cutoff_card *card)
{
    double total = 0, any = 0;

    for (size_t i = 0; i < days->n_trial; i++) {
        bool passed = false;
        for (size_t l = 0; l < card->n_limit; l++) {
            const struct wr_sim_limit *limit = &card->list[l].limit.limit;
            if (wr_days_outcome(days, limit, i) <= limit->minutes) continue;
            card->list[l].prob_over += days->weight[i];
            passed = true;
        }
        total += days->weight[i];
        if (passed) any += days->weight[i];
    }
    for (size_t l = 0; l < card->n_limit; l++) card->list[l].prob_over /= total;
    card->prob_any_over = any / total;
}

static enum wr_status check_limits(const struct wr_network *net, const struct wr_cutoff_limit *limit, size_t n,
                                   const struct wr_scenarios *scenarios, struct wr_error *err)
{
    if (scenarios->n_trial < LEAST_TRIALS)
        return wr_fail(err, WR_E_TOO_FEW, "a cut-off needs at least %d trials, not %zu", LEAST_TRIALS, scenarios->n_trial);
    for (size_t l = 0; l < n; l++) {
        if (!(limit[l].confidence > 0 && limit[l].confidence < 1))
            return wr_fail(err, WR_E_DOMAIN, "the wanted confidence must lie between 0 and 1, not at %g",
                           limit[l].confidence);
        if (!(limit[l].limit.minutes > 0) || isinf(limit[l].limit.minutes))
            return wr_fail(err, WR_E_DOMAIN, "a limit must be a positive number of minutes, not %g",
                           limit[l].limit.minutes);
        WR_BUG_IF(limit[l].limit.is_clock && (limit[l].limit.from >= net->n_task || limit[l].limit.to >= net->n_task));
    }
    return WR_OK;
}

enum wr_status wr_cutoff_make(struct wr_cutoff_card *card, const struct wr_basis *basis,
                              const struct wr_scenarios *scenarios, const struct wr_cutoff_limit *limit, size_t n_limit,
                              const struct wr_cutoff_options *options, struct wr_error *err)
{
    const struct wr_network *net = basis->net;
    struct wr_days days;
    enum wr_status status = check_limits(net, limit, n_limit, scenarios, err);

    if (status != WR_OK) return status;
    *card = (struct wr_cutoff_card){.n_trial = scenarios->n_trial, .n_limit = n_limit,
                                    .n_row = options->task ? options->n_task : net->n_task};
    card->list = WR_NEW_ARRAY(struct wr_cutoff_list, n_limit);
    for (size_t l = 0; l < n_limit; l++) {
        card->list[l].limit = limit[l];
        card->list[l].row = WR_NEW_ARRAY(struct wr_cutoff_row, card->n_row);
        for (size_t r = 0; r < card->n_row; r++) card->list[l].row[r].task = options->task ? options->task[r] : r;
    }
    wr_days_make(&days, net, basis->durations, scenarios, options->now);
    wr_days_walk_all(&days);
    struct job job = {&days, options, card};
    wr_parallel_for(card->n_row, options->n_thread, work, &job);
    count_over(&days, card);
    wr_days_release(&days);
    return WR_OK;
}

void wr_cutoff_release(struct wr_cutoff_card *card)
{
    for (size_t l = 0; l < card->n_limit; l++) wr_free(card->list[l].row);
    wr_free(card->list);
    *card = (struct wr_cutoff_card){0};
}

enum wr_status wr_cutoff_curve(double *prob_inside, double *effective, const double *start_min, size_t n, size_t task,
                               const struct wr_network *net, const struct wr_durations *durations,
                               const struct wr_scenarios *scenarios, const struct wr_cutoff_limit *limit,
                               const struct wr_cutoff_options *options, struct wr_error *err)
{
    struct wr_days days;
    struct wr_given given;
    struct wr_tally tally;
    double last = 1;
    enum wr_status status = check_limits(net, limit, 1, scenarios, err);

    if (status != WR_OK) return status;
    wr_days_make(&days, net, durations, scenarios, options->now);
    wr_days_walk_all(&days);
    wr_given_init(&given, &days, &limit->limit, task, NULL);
    struct search q = {.given = &given, .confidence = limit->confidence, .n_all = days.n_trial};
    bool imposed = options->imposed || given.law.n_moves == 0 || has_begun(options->now, task);
    if (!imposed && given.mode != WR_GIVEN_SCALED) wr_given_aim(&given);
    for (size_t i = 0; i < n; i++) {
        double share = imposed ? share_inside_held(&given, start_min[i], days.n_trial)
                               : inside_at(&q, log(start_min[i]), days.n_trial, &tally);
        double counted = imposed ? (double)days.n_trial : wr_tally_effective(&tally);
        if (counted > 0) last = share;
        prob_inside[i] = last;
        if (effective) effective[i] = counted;
    }
    wr_given_release(&given);
    wr_days_release(&days);
    return WR_OK;
}
