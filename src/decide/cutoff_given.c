/* Cut-offs given the start: the first crossing of g. */
#include <math.h>
#include "cutoff_parts.h"
#include "inside_curve.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/halve.h"
#include "wetrun/stats/special.h"

enum {
    SCAN_TRIALS = 1000,       /* days looked at for a second window */
    SCAN_FIRST = 200,         /* days that rule one out by themselves where hardly any of them is inside: */
    SCAN_LEAST = 5,           /* so many that count are enough for that */
    GLIMPSE = 500,            /* days that decide a start by themselves if they are of one mind, */
    FIRST_LOOK = 2000,        /* else so many if they are */
    USUAL_LOOK = 4000,        /* the same at the usual start, whose probability is shown: within half a hundredth */
    MOST_ATOMS = 64,
    MOST_NODES_DOWN = 20,     /* some 20 standard deviations below the usual start */
    DIP_NODES = 6,            /* three of them: hardly a day begins earlier */
    FEWEST_HALVES = 3, MOST_HALVES = 10
};
static const double BEYOND_SD = 4, OF_ONE_MIND = 6; /* standard errors */
static const double HARDLY_A_DAY = 0.01;

struct atom {                 /* a start that has a probability of its own: not_before decided it */
    double at, sum, squares, inside;
};

struct search {
    struct wr_given *given;
    double confidence;
    struct wr_inside_curve *curve;
    size_t n_all, n_scan;
    double log_limit, log_floor; /* no start lies outside; floor -INFINITY: none */
    double rule, log_rule;    /* the last start at which the task is not dropped; INFINITY: none */
    double straight;          /* the longest stretch between two looks along which the score of g is taken for a line */
    double dip, seen;         /* the last start seen outside below one seen inside, logs; -INFINITY: none */
    double fineness;          /* the crossing is looked for by halves until they are no longer, in log start */
    struct atom atom[MOST_ATOMS];
    size_t n_atom;
};

/* ---- starts with a probability of their own ---- */

static bool is_dropped(const struct wr_given *g, size_t day)
{
    return g->days->start_min[g->task * g->days->n_trial + day] > g->days->drop_after_min[g->task];
}

static void collect_atoms(struct search *q)
{
    const struct wr_given *g = q->given;

    for (size_t i = 0; i < q->n_all; i++) {
        if (g->moves[i] || is_dropped(g, i)) continue;
        size_t a = 0;
        while (a < q->n_atom && fabs(q->atom[a].at - g->start_min[i]) > 1e-9 * (1 + q->atom[a].at)) a++;
        if (a == MOST_ATOMS) continue;
        if (a == q->n_atom) q->atom[q->n_atom++] = (struct atom){.at = g->start_min[i]};
        q->atom[a].sum += g->weight[i];
        q->atom[a].squares += g->weight[i] * g->weight[i];
        if (wr_given_end(g)->out_min[i] <= g->limit->minutes) q->atom[a].inside += g->weight[i];
    }
    for (size_t i = 1; i < q->n_atom; i++) { /* ascending */
        struct atom a = q->atom[i];
        size_t j = i;
        for (; j > 0 && q->atom[j - 1].at > a.at; j--) q->atom[j] = q->atom[j - 1];
        q->atom[j] = a;
    }
}

static const struct atom *atom_at(const struct search *q, double start)
{
    for (size_t a = 0; a < q->n_atom; a++)
        if (fabs(q->atom[a].at - start) <= 1e-9 * (1 + start)) return &q->atom[a];
    return NULL;
}

/* Outside by more than the chance of its few days. */
static bool is_surely_outside(const struct atom *a, double confidence)
{
    double effective = a->squares > 0 ? a->sum * a->sum / a->squares : 0;

    return effective >= WR_CUTOFF_LEAST_EFFECTIVE &&
           a->inside / a->sum < confidence - 3 * sqrt(confidence * (1 - confidence) / effective);
}

/* ---- the crossing ---- */

enum found {
    CROSSES,                  /* inside at lo, outside at hi */
    NO_START_INSIDE,
    INSIDE_AS_FAR_AS_SEEN,    /* no day gets to a later start than lo */
    INSIDE_UP_TO_RULE         /* up to the task's own drop_after, after which it does not begin */
};

struct end {
    double x, inside;         /* log start, g there */
    bool by_few;              /* g from the first look alone, which was enough to tell on which side of the confidence
                                 it is */
    struct wr_tally tally;
};
struct crossing {
    struct end lo, hi;
    double x, slope;          /* log start; of g by it there, negative, or 0: not known */
    double error_min;         /* of exp(x), where a line was followed; 0: not known */
};

/* What begins after the limit ends after it. reached: enough days get there; if not, nothing speaks for inside. */
static struct end look_at(struct search *q, double x, bool *reached)
{
    struct end end = {.x = x};

    *reached = true;
    if (x > q->log_limit) return end;
    end.inside = wr_inside_curve_at(q->curve, x, q->n_all, &end.tally);
    *reached = wr_tally_effective(&end.tally) >= WR_CUTOFF_LEAST_EFFECTIVE;
    if (!*reached) end.inside = 0;
    return end;
}

/* So far from the confidence that few days leave no doubt about the side. */
static bool is_doubtless(const struct search *q, double inside, double effective)
{
    double off = inside - q->confidence;

    return off * off * effective > OF_ONE_MIND * OF_ONE_MIND * q->confidence * (1 - q->confidence);
}

/* The same, from n_first days, or up to n_few, where they leave no doubt about the side of the confidence. */
static struct end glance_at(struct search *q, double x, size_t n_first, size_t n_few, bool *reached)
{
    struct end end = {.x = x, .by_few = true};
    bool sure = false;

    if (x > q->log_limit || q->n_all < 2 * n_few) return look_at(q, x, reached);
    *reached = true;
    for (size_t n = n_first; n <= n_few && !sure; n *= 2) { /* each goes on from the one before */
        end.inside = wr_inside_curve_at(q->curve, x, n, &end.tally);
        double effective = wr_tally_effective(&end.tally);
        sure = effective >= 0.1 * (double)n && is_doubtless(q, end.inside, effective);
    }
    return sure ? end : look_at(q, x, reached);
}

static enum found go_up(struct search *q, struct crossing *at)
{
    bool reached;

    for (int i = 1; at->lo.x < q->log_rule; i++) {
        at->hi = glance_at(q, fmin(wr_inside_curve_node(q->curve, i), q->log_rule), GLIMPSE, FIRST_LOOK, &reached);
        if (!reached) return INSIDE_AS_FAR_AS_SEEN;
        if (at->hi.inside < q->confidence) return CROSSES;
        at->lo = at->hi;
    }
    return INSIDE_UP_TO_RULE;
}

/* From node i, below at->hi, on. */
static enum found go_down(struct search *q, struct crossing *at, int i)
{
    bool reached;

    for (; i >= -MOST_NODES_DOWN && at->hi.x > q->log_floor; i--) {
        at->lo = glance_at(q, fmax(wr_inside_curve_node(q->curve, i), q->log_floor), GLIMPSE, FIRST_LOOK, &reached);
        if (!reached) return NO_START_INSIDE;
        if (at->lo.inside >= q->confidence) return CROSSES;
        at->hi = at->lo;
    }
    return NO_START_INSIDE;
}

/* Whether an earlier start may be outside, for each node -1, -2, ...: unless the days as they are that begin next to it
 * are surely inside, or hardly a day does. */
static void see_around(const struct search *q, bool doubtful[DIP_NODES])
{
    const struct wr_given *g = q->given;
    double bound[DIP_NODES + 1];
    struct wr_tally around[DIP_NODES] = {0};

    for (int b = 0; b <= DIP_NODES; b++) bound[b] = exp(q->curve->origin - (0.5 * b + 0.25) * q->curve->step);
    for (size_t i = 0; i < q->n_all; i++) {
        if (g->start_min[i] > bound[0] || !g->moves[i]) continue;
        int b = 0;
        while (b < DIP_NODES && g->start_min[i] <= bound[b + 1]) b++;
        if (b == DIP_NODES) continue;
        around[b].sum += g->weight[i];
        around[b].sum_squares += g->weight[i] * g->weight[i];
        if (wr_given_end(g)->out_min[i] <= g->limit->minutes) around[b].inside += g->weight[i];
    }
    for (int b = 0; b < DIP_NODES; b++) {
        double share = wr_tally_share(&around[b]), effective = wr_tally_effective(&around[b]);
        doubtful[b] = effective >= WR_CUTOFF_LEAST_EFFECTIVE &&
                      share - 2 * sqrt(share * (1 - share) / effective) < q->confidence;
    }
}

/* Where other work is let go later, an earlier start than those found inside may be outside: goes down from the
 * earliest that surely is. False: none is. Which it is never falls when g rises or the confidence falls. */
static bool go_below_dip(struct search *q, struct crossing *at, enum found *found)
{
    bool doubtful[DIP_NODES], reached;
    const double seen = at->lo.x;
    int lowest = 0;

    if (!wr_given_has_drop_rule(q->given)) return false;
    see_around(q, doubtful);
    for (int i = -1; i >= -DIP_NODES; i--) {
        double x = wr_inside_curve_node(q->curve, i);
        if (x >= seen || x <= q->log_floor || !doubtful[-i - 1]) continue;
        struct end end = look_at(q, x, &reached);
        double noise = 3 * sqrt(q->confidence * (1 - q->confidence) / wr_tally_effective(&end.tally));
        if (!reached || end.inside >= q->confidence - noise) continue;
        if (lowest == 0) q->dip = x;
        at->hi = end;
        lowest = i;
    }
    if (lowest == 0) return false;
    q->seen = seen;
    *found = go_down(q, at, lowest - 1);
    return true;
}

/* The end of a stretch between two nodes that is cut into equal steps; the whole stretch's own ends are known. */
static struct end step_end(struct search *q, const struct crossing *whole, int n_step, int i)
{
    bool reached;

    if (i <= 0) return whole->lo;
    if (i >= n_step) return whole->hi;
    return look_at(q, whole->lo.x + (whole->hi.x - whole->lo.x) * i / n_step, &reached);
}

static double score_of(double prob)
{
    return wr_normal_quantile(fmin(fmax(prob, 1e-4), 1 - 1e-4));
}

/* To one step of the stretch between the nodes: it is guessed, and corrected from step to step. Which step it is does
 * not depend on the guess as long as g falls along the stretch, so that it never falls when g rises anywhere or the
 * confidence falls. */
static void find_step(struct search *q, struct crossing *at, int n_step)
{
    bool reached;
    if (at->lo.by_few) at->lo = look_at(q, at->lo.x, &reached);
    if (at->hi.by_few) at->hi = look_at(q, at->hi.x, &reached);
    const struct crossing whole = *at;
    double from = score_of(whole.lo.inside), to = score_of(whole.hi.inside);
    int i = (int)fmin(fmax((from - score_of(q->confidence)) / (from - to), 0) * n_step, n_step - 1);

    at->lo = step_end(q, &whole, n_step, i);
    if (at->lo.inside >= q->confidence || i == 0) {
        for (;; at->lo = at->hi) {
            at->hi = step_end(q, &whole, n_step, ++i);
            if (at->hi.inside < q->confidence || i >= n_step) break;
        }
        i--;
    } else {
        for (at->hi = at->lo;; at->hi = at->lo) {
            at->lo = step_end(q, &whole, n_step, --i);
            if (at->lo.inside >= q->confidence || i <= 0) break;
        }
    }
    /* the slope is taken over three steps, since chance shows in one */
    struct end before = step_end(q, &whole, n_step, i - 2);
    const struct end *upper = at->hi.x <= q->log_limit ? &at->hi : &at->lo;
    if (upper->inside < before.inside) at->slope = (upper->inside - before.inside) / (upper->x - before.x);
}

/* Of the crossing on the line between the ends, by parts of the days, in scores. */
static double line_error(const struct crossing *at, double share)
{
    const struct end *end[2] = {&at->lo, &at->hi};
    double off[WR_GIVEN_PARTS] = {0};
    size_t n = 0;

    for (int p = 0; p < WR_GIVEN_PARTS; p++) {
        if (!(at->lo.tally.part_sum[p] > 0) || !(at->hi.tally.part_sum[p] > 0)) continue;
        for (int e = 0; e < 2; e++) {
            double part = end[e]->tally.part_inside[p] / end[e]->tally.part_sum[p] - end[e]->inside;
            off[n] += (e ? share : 1 - share) * part / exp(wr_log_normal_pdf(score_of(end[e]->inside), 1));
        }
        n++;
    }
    return wr_given_parts_error(off, n);
}

/* No judgement, whose minutes have ends, among what the outcome waits for. */
static bool is_all_lognormal(const struct wr_given *g)
{
    for (size_t i = 0; i < g->n_out_list; i++)
        if (g->days->form[g->out_list[i]] == WR_FORM_BENT) return false;
    return true;
}

/* Where what is left after the start is lognormal the score of g is a line in the log of the time left. How long a
 * stretch is taken for one depends on no limit or confidence. False where that does not hold: at the limit's own end,
 * about a drop time of what the task waits for, with judgement ahead. */
static bool follow_line(struct search *q, struct crossing *at)
{
    bool reached;

    if (at->hi.x >= q->log_limit || q->given->n_ruled_before > 0 || !is_all_lognormal(q->given)) return false;
    if (at->lo.by_few) at->lo = look_at(q, at->lo.x, &reached);
    if (at->hi.by_few) at->hi = look_at(q, at->hi.x, &reached);
    while (at->hi.x - at->lo.x > q->straight) {
        struct end mid = look_at(q, (at->lo.x + at->hi.x) / 2, &reached);
        if (mid.inside >= q->confidence) at->lo = mid;
        else at->hi = mid;
    }
    double from = score_of(at->lo.inside), fall = from - score_of(at->hi.inside);
    if (!(fall > 0)) return false;
    double limit = exp(q->log_limit), left = log(limit - exp(at->lo.x)), right = log(limit - exp(at->hi.x));
    double share = fmin(fmax((from - score_of(q->confidence)) / fall, 0), 1); /* few days may have seen it otherwise */
    double start = limit - exp(left + share * (right - left));
    at->x = log(start);
    at->error_min = line_error(at, share) * (left - right) * (limit - start) / fall;
    return true;
}

/* To a stretch of the fineness, then along the chord. */
static void close_in(struct search *q, struct crossing *at)
{
    enum { MOST_STEPS = 8 };
    if (follow_line(q, at)) return;
    /* where few days count a day that drops out is a cliff: the fall from node to node says how far it is off */
    const double nodes = at->hi.x <= q->log_limit ? (at->hi.inside - at->lo.inside) / (at->hi.x - at->lo.x) : 0;
    int n_step = 1;
    bool reached;

    while (at->hi.x - at->lo.x > MOST_STEPS * q->fineness) {
        struct end mid = look_at(q, (at->lo.x + at->hi.x) / 2, &reached);
        if (mid.inside >= q->confidence) at->lo = mid;
        else at->hi = mid;
    }
    while (n_step * q->fineness < at->hi.x - at->lo.x) n_step *= 2;
    find_step(q, at, n_step);
    if (at->slope < 0 && nodes < 0) at->slope = fmax(at->slope, nodes);
    if (at->hi.x > q->log_limit) { /* there what is left to do decides, if anything is */
        struct end last = look_at(q, q->log_limit, &reached);
        at->x = q->log_limit;
        if (last.inside >= q->confidence) return;
        at->hi = last;
    }
    double fall = at->lo.inside - at->hi.inside;
    at->x = fall > 0 ? at->lo.x + (at->lo.inside - q->confidence) / fall * (at->hi.x - at->lo.x) : at->lo.x;
    at->x = fmin(fmax(at->x, at->lo.x), at->hi.x);
}

/* The parts' crossings, to first order from the whole's slope. */
static double mc_error_min(const struct crossing *at)
{
    const struct wr_tally *t = &at->lo.tally;
    double off[WR_GIVEN_PARTS];
    size_t n = 0;

    if (!(at->slope < 0)) return 0;
    for (int p = 0; p < WR_GIVEN_PARTS; p++)
        if (t->part_sum[p] > 0) off[n++] = (t->part_inside[p] / t->part_sum[p] - at->lo.inside) / -at->slope;
    return exp(at->x) * wr_given_parts_error(off, n);
}

/* ---- the second window ---- */

static bool is_inside(struct search *q, double x)
{
    struct wr_tally tally;
    double share = wr_inside_curve_at(q->curve, x, q->n_scan, &tally);

    return wr_tally_effective(&tally) >= WR_CUTOFF_LEAST_EFFECTIVE && share >= q->confidence;
}

static bool is_outside(void *arg, double x)
{
    return !is_inside(arg, x);
}

/* From outside to inside, or from inside to outside: the inside end. */
static double inside_end(struct search *q, double outside, double inside)
{
    wr_halve(is_outside, q, 1e-8, 40, &outside, &inside);
    return inside;
}

/* The next start to look at: the same ones for every limit, half a step apart and between the nodes, but none past the
 * last; and what is known to be inside. */
static double next_start(const struct search *q, double x)
{
    const double half = 0.5 * q->curve->step, from = q->curve->origin + 0.5 * half;
    double next = fmin(from + (floor((x - from) / half + 1e-6) + 1) * half, fmin(q->log_limit, q->log_rule));

    return q->seen > x ? fmin(next, q->seen) : next;
}

/* Where a window that is inside at lo closes. */
static double window_end(struct search *q, double lo, double x)
{
    struct crossing at = {0};
    bool reached;

    at.lo = look_at(q, lo, &reached);
    at.hi = look_at(q, x, &reached);
    if (at.lo.inside < q->confidence) return lo; /* all days see it otherwise */
    if (at.hi.inside >= q->confidence) return x < q->log_rule ? lo : x;
    close_in(q, &at);
    return at.x;
}

/* g by the days of the scan, or by the first of them where these leave no doubt that it is outside; false: too few days
 * get there. */
static bool scan_at(struct search *q, double x, double *share)
{
    struct wr_tally tally;

    *share = wr_inside_curve_at(q->curve, x, SCAN_FIRST, &tally);
    double effective = wr_tally_effective(&tally);
    if (effective >= SCAN_LEAST && *share < q->confidence && is_doubtless(q, *share, effective)) return true;
    *share = wr_inside_curve_at(q->curve, x, q->n_scan, &tally);
    return wr_tally_effective(&tally) >= WR_CUTOFF_LEAST_EFFECTIVE;
}

/* The task's own drop_after ends it: nothing begins after that. */
static void find_second_window(struct search *q, double from, struct wr_cutoff_row *row)
{
    const double end = fmin(q->log_limit, q->log_rule);
    double noise = 3 * sqrt(q->confidence * (1 - q->confidence) / 200.0);
    double last = fmax(from, q->dip), x = next_start(q, last);
    bool been_outside = q->dip > from;

    for (; x < end; last = x, x = next_start(q, x)) {
        double share;
        if (!scan_at(q, x, &share)) return;
        if (share < q->confidence - noise) been_outside = true;
        if (been_outside && share >= q->confidence) break;
    }
    if (x >= end) return;
    row->has_second_window = true;
    row->second_from_min = exp(inside_end(q, last, x));
    double lo = x;
    for (; x < end && is_inside(q, x); x = next_start(q, x)) lo = x;
    row->second_to_min = fmin(exp(window_end(q, lo, x)), q->rule);
}

/* ---- the row ---- */

/* How long the last half may be: a quarter of the scatter of the outcome given the start, so that g hardly bends
 * within. From the days as they are, so that no limit or confidence enters. */
static double fineness_of(struct search *q)
{
    const struct wr_given *g = q->given;
    const double *out_min = wr_given_end(g)->out_min;
    double sum = 0, x = 0, y = 0, xx = 0, xy = 0, yy = 0;

    for (size_t i = 0; i < q->n_all; i++) {
        double w = g->moves[i] ? g->weight[i] : 0;
        sum += w;
        x += w * g->start_min[i];
        y += w * out_min[i];
        xx += w * g->start_min[i] * g->start_min[i];
        xy += w * g->start_min[i] * out_min[i];
        yy += w * out_min[i] * out_min[i];
    }
    double var_x = xx / sum - x * x / sum / sum, var_y = yy / sum - y * y / sum / sum,
           cov = xy / sum - x * y / sum / sum;
    double scatter = sqrt(fmax(0, var_x > 0 ? var_y - cov * cov / var_x : var_y));
    double half = 0.5 * q->curve->step, start = exp(q->curve->origin);
    int n = 0;

    while (n < MOST_HALVES && (n < FEWEST_HALVES || half * start > 0.25 * scatter)) {
        half /= 2;
        n++;
    }
    q->straight = scatter > 0 ? fmax(0.5 * scatter / start, half) * 1.001 : half;
    return half * 1.001;
}

/* Whether the start has an upper bound: nothing before the task may take ever longer. */
static bool is_bounded(const struct wr_given *g)
{
    bool days_differ = false;

    for (size_t i = 0; i < g->days->n_draw; i++) days_differ |= g->days->run_sd[i] > 0;
    for (size_t i = 0; i < g->n_start_list; i++) {
        size_t k = g->start_list[i];
        if (k == g->task) continue;
        if (g->days->form[k] == WR_FORM_LOG || (g->days->form[k] == WR_FORM_BENT && days_differ)) return false;
    }
    return true;
}

/* Share of the days as they are that begin after a start. */
static double share_later(const struct search *q, double start_min)
{
    const struct wr_given *g = q->given;
    double sum = 0, later = 0;

    for (size_t i = 0; i < q->n_all; i++) {
        if (is_dropped(g, i)) continue;
        sum += g->weight[i];
        if (g->start_min[i] > start_min) later += g->weight[i];
    }
    return sum > 0 ? later / sum : 0;
}

/* Inside at every start that a day gets to. Where starts have a bound only a hold from outside could make it later, and
 * that is imposed; else it is inside at least until the last start looked at, unless many a day begins later, and it
 * is the days that count there which are too few. */
static void as_far_as_seen(struct search *q, const struct crossing *at, struct wr_cutoff_row *row)
{
    double largest = 0;

    row->latest_start_min = exp(at->lo.x);
    row->effective = wr_tally_effective(&at->lo.tally);
    row->beyond_range = true;
    if (!is_bounded(q->given)) {
        if (share_later(q, row->latest_start_min) > HARDLY_A_DAY) row->reason = WR_CUTOFF_TOO_FEW;
        return;
    }
    for (size_t i = 0; i < q->n_all; i++)
        if (!is_dropped(q->given, i)) largest = fmax(largest, q->given->start_min[i]);
    struct wr_cutoff_row imposed = {0};
    wr_cutoff_imposed(q->given, q->confidence, &imposed);
    row->method = WR_CUTOFF_IMPOSED;
    row->effective = imposed.effective;
    row->latest_start_min = fmax(row->latest_start_min, largest);
    if (imposed.reason == WR_CUTOFF_FOUND)
        row->latest_start_min = fmax(row->latest_start_min, imposed.latest_start_min);
}

/* Atoms count as starts too: none up to the cut-off may be outside; where the usual start is inside, and no work is let
 * go later, none after it. */
static void heed_atoms(const struct search *q, struct wr_cutoff_row *row)
{
    bool inside = row->prob_inside_at_typical >= q->confidence && !wr_given_has_drop_rule(q->given);
    double from = inside ? row->typical_start_min : -1;

    for (size_t a = 0; a < q->n_atom; a++) {
        const struct atom *atom = &q->atom[a];
        if (row->reason != WR_CUTOFF_FOUND || atom->at <= from || atom->at > row->latest_start_min) continue;
        if (!is_surely_outside(atom, q->confidence)) continue;
        row->reason = a == 0 ? WR_CUTOFF_NEVER : WR_CUTOFF_FOUND;
        row->latest_start_min = atom->at;
        return;
    }
}

static void take_crossing(struct search *q, struct crossing *at, struct wr_cutoff_row *row)
{
    close_in(q, at);
    row->latest_start_min = exp(at->x);
    row->effective = wr_tally_effective(&at->lo.tally);
    row->mc_error_min = at->error_min > 0 ? at->error_min : mc_error_min(at);
    row->beyond_range = fabs(at->x - q->given->law.log_median) > BEYOND_SD * q->curve->step;
    if (wr_given_has_drop_rule(q->given)) find_second_window(q, at->x, row);
}

/* Up from the usual start, or from the task's own drop_after if that is earlier, where that is inside, else down from
 * it, and down again where an earlier start is outside; a start before which the task may not begin is the last
 * resort. */
static void search_from_typical(struct search *q, const struct atom *typical, struct wr_cutoff_row *row)
{
    struct crossing at = {0};
    bool reached;
    struct end from = glance_at(q, q->curve->origin, USUAL_LOOK, USUAL_LOOK, &reached);
    enum found found = NO_START_INSIDE;
    double inside = typical ? typical->inside / typical->sum : from.inside;

    row->prob_inside_at_typical = inside;
    row->reason = WR_CUTOFF_FOUND;
    row->method = WR_CUTOFF_BY_DIRECTION;
    at.lo = at.hi = from;
    if (!reached && !typical) {
        row->reason = WR_CUTOFF_TOO_FEW;
        return;
    }
    bool below_dip = false, just_then = typical && inside >= q->confidence && from.inside < q->confidence;
    if (!just_then && inside >= q->confidence) found = go_up(q, &at);
    else if (!just_then && (!typical || typical != q->atom)) found = go_down(q, &at, -1);
    if (just_then || found != NO_START_INSIDE) below_dip = go_below_dip(q, &at, &found);
    if (just_then && !below_dip) {
        row->latest_start_min = row->typical_start_min;
        row->at_earliest = true;
        row->effective = typical->sum * typical->sum / typical->squares;
        return;
    }
    if (found == CROSSES) take_crossing(q, &at, row);
    if (found == INSIDE_AS_FAR_AS_SEEN) as_far_as_seen(q, &at, row);
    if (found == INSIDE_UP_TO_RULE) {
        row->latest_start_min = q->rule;
        row->effective = wr_tally_effective(&at.lo.tally);
    }
    if (found != NO_START_INSIDE && row->method != WR_CUTOFF_IMPOSED)
        row->method = wr_inside_curve_scaled(q->curve, at.lo.x) ? WR_CUTOFF_BY_RUN_EFFECT : WR_CUTOFF_BY_DIRECTION;
    if (found != NO_START_INSIDE) return;
    if (below_dip) find_second_window(q, -INFINITY, row);
    row->reason = WR_CUTOFF_NEVER;
    if (q->n_atom == 0 || q->atom == typical || q->atom->inside < q->confidence * q->atom->sum) return;
    row->reason = WR_CUTOFF_FOUND;
    row->latest_start_min = q->atom->at;
    row->effective = q->atom->sum * q->atom->sum / q->atom->squares;
}

/* Whether a not_before decides the start on some day. */
static bool may_be_ruled(const struct wr_given *g, double start)
{
    for (size_t i = 0; i < g->days->n_trial; i++)
        if (!g->moves[i] && fabs(g->start_min[i] - start) <= 1e-9 * (1 + start)) return true;
    return false;
}

void wr_cutoff_curve_init(struct wr_inside_curve *curve, struct wr_given *g)
{
    double typical = g->law.typical_min;
    double origin = !may_be_ruled(g, typical) ? log(typical) : typical > 0 ? log(typical) + 1e-9 : g->law.log_median;

    wr_inside_curve_init(curve, g, fmin(origin, log(wr_given_own_rule(g))), fmax(g->law.log_sd, 1e-4));
}

static bool is_always_dropped(const struct wr_given *g)
{
    for (size_t i = 0; i < g->days->n_trial; i++)
        if (!is_dropped(g, i)) return false;
    return true;
}

/* A start that no other rule set: there the curve says how sure it is. Where the parameters are known it is left as it
 * is. */
static bool is_on_curve(const struct search *q, const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_FOUND && row->method != WR_CUTOFF_IMPOSED && row->latest_start_min < q->rule &&
           !atom_at(q, row->latest_start_min) && q->given->days->n_draw > 1;
}

void wr_cutoff_given(struct wr_inside_curve *curve, double confidence, struct wr_cutoff_row *row)
{
    struct wr_given *g = curve->given;
    const double rule = wr_given_own_rule(g);

    if (isfinite(rule) && is_always_dropped(g)) { /* no day says what a start would bring: there is none */
        row->reason = WR_CUTOFF_NEVER;
        return;
    }
    WR_SCOPED struct search *q = WR_NEW(struct search);

    *q = (struct search){.given = g, .curve = curve, .confidence = confidence, .n_all = g->days->n_trial};
    q->n_scan = q->n_all < SCAN_TRIALS ? q->n_all : SCAN_TRIALS;
    q->log_limit = log(g->limit->minutes);
    q->rule = rule;
    q->log_rule = log(rule);
    q->dip = q->seen = -INFINITY;
    collect_atoms(q);
    q->log_floor = q->n_atom > 0 && q->atom[0].at > 0 ? log(q->atom[0].at) + 1e-9 : -INFINITY;
    q->fineness = fineness_of(q);
    search_from_typical(q, atom_at(q, g->law.typical_min), row);
    heed_atoms(q, row);
    if (is_on_curve(q, row)) row->sure_min = wr_cutoff_sure(curve, confidence, row->latest_start_min);
}
