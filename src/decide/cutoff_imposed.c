/* Cut-offs with the start imposed: the days as they are, the task held until s. */
#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include "cutoff_parts.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/halve.h"

enum { SCAN_TRIALS = 1000 };

/* Shares by part too, part[WR_GIVEN_PARTS], unless NULL. */
static double share_held(struct wr_given *g, double s, size_t n, double *part)
{
    double sum = 0, inside = 0, out[WR_ABREAST], part_sum[WR_GIVEN_PARTS] = {0}, part_inside[WR_GIVEN_PARTS] = {0};

    for (size_t i = 0, n_in = 0; i < n; i += n_in) {
        n_in = wr_given_held(g, i, n, s, out, NULL);
        for (size_t j = 0; j < n_in; j++) {
            size_t p = wr_given_part(g->days, i + j);
            double in = out[j] <= g->limit->minutes ? g->weight[i + j] : 0;
            sum += g->weight[i + j];
            inside += in;
            part_sum[p] += g->weight[i + j];
            part_inside[p] += in;
        }
    }
    for (size_t p = 0; part && p < WR_GIVEN_PARTS; p++)
        part[p] = part_sum[p] > 0 ? part_inside[p] / part_sum[p] : inside / sum;
    return inside / sum;
}

double wr_share_inside_held(struct wr_given *g, double s, size_t n)
{
    return share_held(g, s, n, NULL);
}

/* Of the latest start, to first order from the slope of the share around it. */
static double steps_error(struct wr_given *g, double at, double step)
{
    double part[WR_GIVEN_PARTS], fall = share_held(g, at - step / 2, g->days->n_trial, NULL) -
                                        share_held(g, at + step / 2, g->days->n_trial, NULL);

    share_held(g, at, g->days->n_trial, part);
    return fall > 0 ? wr_given_parts_error(part, WR_GIVEN_PARTS) * step / fall : 0;
}

struct latest {
    double at, weight;
    size_t part;
};

static int later_first(const void *a, const void *b)
{
    const struct latest *p = a, *q = b;

    return (p->at < q->at) - (p->at > q->at);
}

/* The start that days with at least this much weight allow, all of them or those of one part; NULL: there is none. */
static const struct latest *latest_of(const struct latest *day, size_t n, double weight, size_t part)
{
    double so_far = 0;

    for (size_t i = 0; i < n; i++) {
        if (part < WR_GIVEN_PARTS && day[i].part != part) continue;
        so_far += day[i].weight;
        if (so_far >= weight) return &day[i];
    }
    return NULL;
}

static double parts_error(const struct latest *day, size_t n, double confidence,
                          const double part_total[WR_GIVEN_PARTS])
{
    double at[WR_GIVEN_PARTS];
    size_t n_part = 0;

    for (size_t p = 0; p < WR_GIVEN_PARTS; p++) {
        const struct latest *latest = latest_of(day, n, confidence * part_total[p] * (1 - 1e-12), p);
        if (latest && part_total[p] > 0) at[n_part++] = latest->at;
    }
    return wr_given_parts_error(at, n_part);
}

/* Without drop rules the outcome held until s is the larger of the outcome as it is and s + tail, so each day has one
 * latest start; the cut-off is the latest that a share c of the days allow. */
static void imposed_by_tails(struct wr_given *g, double confidence, struct wr_cutoff_row *row)
{
    const double FAR = 1e7; /* later than anything else that a start could wait for */
    WR_SCOPED struct latest *day = WR_NEW_ARRAY(struct latest, g->days->n_trial);
    double total = 0, part_total[WR_GIVEN_PARTS] = {0}, out[WR_ABREAST], beyond[WR_ABREAST];
    size_t n = 0;

    for (size_t i = 0, n_in = 0; i < g->days->n_trial; i += n_in) {
        n_in = wr_given_held(g, i, g->days->n_trial, FAR, out, beyond);
        for (size_t j = 0; j < n_in; j++) {
            size_t part = wr_given_part(g->days, i + j);
            total += g->weight[i + j];
            part_total[part] += g->weight[i + j];
            if (wr_given_end(g)->out_min[i + j] > g->limit->minutes) continue;
            day[n++] = (struct latest){g->limit->minutes - beyond[j], g->weight[i + j], part};
        }
    }
    qsort(day, n, sizeof *day, later_first);
    const struct latest *latest = latest_of(day, n, confidence * total * (1 - 1e-12), WR_GIVEN_PARTS);
    row->reason = latest ? WR_CUTOFF_FOUND : WR_CUTOFF_NEVER;
    if (latest) row->latest_start_min = latest->at;
    if (latest) row->mc_error_min = parts_error(day, n, confidence, part_total);
}

struct held {
    struct wr_given *given;
    size_t n;
    double confidence;
};

static bool is_held_inside(void *arg, double start_min)
{
    const struct held *h = arg;

    return wr_share_inside_held(h->given, start_min, h->n) >= h->confidence;
}

/* Weight inside of the days from `first` on that are walked side by side. */
static double block_inside(struct wr_given *g, size_t first, size_t n, double s)
{
    double out[WR_ABREAST], inside = 0;
    size_t n_in = wr_given_held(g, first, n, s, out, NULL);

    for (size_t j = 0; j < n_in; j++)
        if (out[j] <= g->limit->minutes) inside += g->weight[first + j];
    return inside;
}

/* Days by blocks, where nearly all of them are settled. */
struct blocks {
    const struct held *held;
    size_t *open, n_open;      /* where the blocks start that are not */
    double settled, wanted;    /* weight inside */
};

static bool is_block_inside(void *arg, double start_min)
{
    const struct blocks *b = arg;
    double inside = b->settled;

    for (size_t i = 0; i < b->n_open; i++) inside += block_inside(b->held->given, b->open[i], b->held->n, start_min);
    return inside >= b->wanted;
}

/* First with all days, then, between starts a hundredth of a minute apart, with those blocks alone of which some day
 * is inside at one of the two and not at the other. */
static void halve_held(struct held *h, double *inside, double *outside)
{
    struct blocks b = {.held = h, .open = WR_NEW_ARRAY(size_t, h->n / WR_ABREAST + 1)};
    double total = 0;

    wr_halve(is_held_inside, h, 0.01, 50, inside, outside);
    for (size_t i = 0; i < h->n; i++) total += h->given->weight[i];
    b.wanted = h->confidence * total * (1 - 1e-12);
    for (size_t first = 0; first < h->n; first += WR_ABREAST) {
        double early = block_inside(h->given, first, h->n, *inside),
               late = block_inside(h->given, first, h->n, *outside);
        if (fabs(early - late) > 0) b.open[b.n_open++] = first;
        else b.settled += early;
    }
    wr_halve(is_block_inside, &b, 1e-9, 50, inside, outside);
    wr_free(b.open);
}

/* The start to be looked at after s: a step later, but never past the task's own drop_after, for just before it is
 * dropped is when it is latest. */
static double next_start(const struct wr_given *g, double s, double step)
{
    double rule = wr_given_own_rule(g);

    return s < rule && rule < s + step ? rule : s + step;
}

/* A later start that is inside again, since other work is then dropped: looked for with the first n_scan days, and held
 * to all of them, as the latest start is. The task's own drop_after ends it: nothing begins after that. */
static void find_second_window(struct held *all, size_t n_scan, double outside, double step,
                               struct wr_cutoff_row *row)
{
    struct wr_given *g = all->given;
    double last = fmin(g->limit->minutes, wr_given_own_rule(g)), s;

    for (s = outside + step; s <= last; s += step)
        if (wr_share_inside_held(g, s, n_scan) >= all->confidence && is_held_inside(all, s)) break;
    if (s > last) return;
    double from = s - step, to = s;
    while (from > outside && is_held_inside(all, from)) from -= step;
    wr_halve(is_held_inside, all, 0, 40, &to, &from);
    row->has_second_window = true;
    row->second_from_min = to;
    while (s + step <= last && is_held_inside(all, s + step)) s += step;
    from = s;
    to = s + step;
    wr_halve(is_held_inside, all, 1e-6, INT_MAX, &from, &to);
    row->second_to_min = fmin(from, last);
}

/* With drop rules: step through the starts, a whole part of a minute apart, or of the limit if it is of days (in
 * between, other work that is dropped may make good again what was late), then bisect. */
static void imposed_by_steps(struct wr_given *g, double confidence, struct wr_cutoff_row *row)
{
    size_t n = g->days->n_trial < SCAN_TRIALS ? g->days->n_trial : SCAN_TRIALS;
    double earliest = g->start_min[0], latest = g->limit->minutes, step, s, next;

    for (size_t i = 0; i < g->days->n_trial; i++) earliest = fmin(earliest, g->start_min[i]);
    step = (latest - earliest) / 100;
    row->reason = WR_CUTOFF_NEVER;
    if (!(step > 1e-9) || wr_share_inside_held(g, earliest, g->days->n_trial) < confidence) return;
    double small = step > 20 ? step / 20 : 1 / ceil(1 / step);
    for (s = earliest; (next = next_start(g, s, small)) <= latest; s = next)
        if (wr_share_inside_held(g, next, n) < confidence) break;
    double inside = s, outside = fmin(next, latest);
    while (inside > earliest && wr_share_inside_held(g, inside, g->days->n_trial) < confidence)
        inside = fmax(earliest, inside - small);
    if (wr_share_inside_held(g, outside, g->days->n_trial) >= confidence) inside = outside;
    struct held all = {g, g->days->n_trial, confidence};
    halve_held(&all, &inside, &outside);
    row->reason = WR_CUTOFF_FOUND;
    row->latest_start_min = inside;
    row->mc_error_min = steps_error(g, inside, step);
    find_second_window(&all, n, outside, step, row);
}

void wr_cutoff_imposed(struct wr_given *g, double confidence, struct wr_cutoff_row *row)
{

    row->method = WR_CUTOFF_IMPOSED;
    if (wr_given_has_drop_rule(g)) imposed_by_steps(g, confidence, row);
    else imposed_by_tails(g, confidence, row);
    row->effective = (double)g->days->n_trial;
    row->prob_inside_at_typical = wr_share_inside_held(g, g->law.typical_min, g->days->n_trial);
}
