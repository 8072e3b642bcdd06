#include "overrun.h"

#include <math.h>
#include <string.h>
#include "abreast.h"
#include "weighed.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/halve.h"

enum {
    NODES = 9,               /* places on the way at which a day is walked */
    MOST_DRAWS = 400, ROUNDS = 32,
    GROUPS = 8,              /* of rounds */
    GROUP = 64 * WR_ABREAST  /* days that one thread takes at a time */
};
static const double REACH = 4; /* the nodes lie evenly from -REACH to REACH */

static double normal_cdf(double x)
{
    return 0.5 * erfc(-x / M_SQRT2);
}

static double node_at(int j)
{
    return REACH * (2.0 * j / (NODES - 1) - 1);
}

/* ---- a way ---- */

/* How the finish, or a clock, moves with every score, over the days: its covariances. */
static void find_way(struct wr_way *way, const struct wr_days *days, const struct wr_sim_limit *clock)
{
    size_t n = days->n_trial;
    double *finish = WR_NEW_ARRAY(double, n), total = 0, mean = 0, noise = 0;

    for (size_t i = 0; i < n; i++) {
        if (clock) finish[i] = wr_days_outcome(days, clock, i);
        for (size_t k = 0; k < days->n_task && !clock; k++) finish[i] = fmax(finish[i], days->end_min[k * n + i]);
        total += days->weight[i];
        mean += days->weight[i] * finish[i];
    }
    mean /= total;
    for (size_t i = 0; i < n; i++) {
        finish[i] = days->weight[i] * (finish[i] - mean);
        noise += finish[i] * finish[i]; /* variance of a sum that follows a score by chance alone */
    }
    for (size_t i = 0; i < n; i++) way->run += finish[i] * (double)days->run_score[i];
    for (size_t k = 0; k < days->n_task; k++)
        for (size_t i = 0; i < n; i++) way->task[k] += finish[i] * (double)days->z[k * n + i];
    way->run = days->past_log_weight ? 0 : fmax(0, way->run); /* a day's past belongs to its pace */
    for (size_t k = 0; k < days->n_task; k++) {
        bool is_past = days->now && days->now->state[k] == WR_NOW_PAST; /* and so does its luck */
        way->task[k] = !is_past && way->task[k] > 2 * sqrt(noise) ? way->task[k] : 0;
    }
    if (!wr_way_normalise(way, days)) { /* nothing moves the finish: any will do */
        way->run = 1;
        wr_way_normalise(way, days);
    }
    wr_free(finish);
}

/* ---- days along it ---- */

struct along {
    const struct wr_days *days;
    const struct wr_way *way;
    const struct wr_cutoff_limit *limit;
    size_t n_limit;
    bool *counts;            /* [n_limit] among any of them */
    double mass[NODES + 1];  /* of the stretches that the nodes leave, by the normal law */
    double *weight;          /* [n_trial] of the day, over the way */
    double *over;            /* [(n_limit + 1) * n_trial] share of that weight on which a limit is passed; the last:
                                any */
};

/* A stretch of the way between two places, the log weight straight along it: the normal law times that weight is
 * another normal law, moved by the slope. */
struct stretch {
    double from, to, slope, log_scale;
};

/* In logs, and in the nearer tail: where the weight is steep the scale is beyond any double and the law beyond its
 * digits, while their product is an ordinary number. */
static double mass_until(const struct stretch *s, double at)
{
    double lo = s->from - s->slope, hi = at - s->slope, upper = lo > 0 ? -lo : hi, lower = lo > 0 ? -hi : lo;
    double log_upper = wr_log_normal_cdf(upper), log_lower = isinf(lower) ? -INFINITY : wr_log_normal_cdf(lower);

    return upper > lower ? exp(s->log_scale + log_upper + log1p(-exp(log_lower - log_upper))) : 0;
}

/* Bend of the margin between nodes from and from + 1: mean of the second differences there. */
static double bend_at(const double *margin, int from)
{
    double sum = 0;
    int n = 0;

    for (int j = from; j <= from + 1; j++) {
        if (j < 1 || j > NODES - 2) continue;
        sum += margin[j - 1] - 2 * margin[j] + margin[j + 1];
        n++;
    }
    return n ? sum / n : 0;
}

/* Share of the way from one node to the next at which the margin is 0: along the chord, then one step for the bend. */
static double zero_between(const double *margin, int from)
{
    double chord = margin[from + 1] - margin[from], at = -margin[from] / chord;

    at += 0.5 * bend_at(margin, from) * at * (1 - at) / chord;
    return fmin(fmax(at, 0), 1);
}

/* Where a limit is passed between two nodes: on the share `until` of the way, and again from `since` on. */
struct passed {
    double until, since;
};

static struct passed passed_between(const double *margin, int from, int to)
{
    bool first = margin[from] > 0, then = margin[to] > 0;

    if (first == then) return first ? (struct passed){1, 0} : (struct passed){0, 1};
    double zero = zero_between(margin, from);
    return first ? (struct passed){zero, 1} : (struct passed){0, zero};
}

static double mass_over(const struct stretch *s, double mass, struct passed p)
{
    double over = 0;

    if (p.until >= p.since) return mass;
    if (p.until > 0) over += mass_until(s, s->from + (s->to - s->from) * p.until);
    if (p.since < 1) over += mass - mass_until(s, s->from + (s->to - s->from) * p.since);
    return over;
}

/* What lies beyond the outermost nodes goes with them. Any limit is passed where the first of them is, each by its own
 * margin: the largest of the margins has a corner between two nodes, and no chord follows it. */
static void add_up(struct along *along, size_t trial, const double log_weight[NODES], const double *margin)
{
    size_t n = along->days->n_trial, m = along->n_limit;
    double sum = 0;

    for (int j = 0; j <= NODES; j++) {
        int from = j > 0 ? j - 1 : 0, to = j < NODES ? j : NODES - 1;
        struct stretch s = {.from = j > 0 ? node_at(from) : -INFINITY, .to = j < NODES ? node_at(to) : INFINITY};
        struct passed any = {0, 1};
        if (from != to) s.slope = (log_weight[to] - log_weight[from]) / (s.to - s.from);
        s.log_scale = log_weight[from] + (from == to ? 0 : s.slope * (s.slope / 2 - s.from));
        double mass = s.slope == 0 ? exp(s.log_scale) * along->mass[j] : mass_until(&s, s.to);
        sum += mass;
        for (size_t l = 0; l < m; l++) {
            struct passed p = passed_between(margin + l * NODES, from, to);
            along->over[l * n + trial] += mass_over(&s, mass, p);
            if (along->counts[l]) any = (struct passed){fmax(any.until, p.until), fmin(any.since, p.since)};
        }
        along->over[m * n + trial] += mass_over(&s, mass, any);
    }
    along->weight[trial] = sum;
    for (size_t l = 0; l <= m; l++) along->over[l * n + trial] /= sum > 0 ? sum : 1;
}

static void walk_abreast(struct along *along, struct wr_abreast *a, double *margin, double *log_weight)
{
    const struct wr_days *days = along->days;
    size_t m = along->n_limit;

    wr_abreast_load(a, days, along->way, days->net->order, days->n_task);
    for (int j = 0; j < NODES; j++) {
        for (size_t i = 0; i < a->n; i++) a->delta[i] = node_at(j) - along->way->at[a->trial[i]];
        wr_abreast_walk(a, days, along->way, days->net->order, days->n_task);
        for (size_t i = 0; i < a->n; i++) {
            double *of_day = margin + i * m * NODES + (size_t)j;
            log_weight[i * NODES + (size_t)j] = wr_days_log_weight(days, along->way, a->trial[i], a->delta[i]);
            for (size_t l = 0; l < m; l++) {
                const struct wr_sim_limit *limit = &along->limit[l].limit;
                of_day[l * NODES] = wr_abreast_outcome(a, days->net, limit, i) - limit->minutes;
            }
        }
    }
    for (size_t i = 0; i < a->n; i++)
        add_up(along, a->trial[i], log_weight + i * NODES, margin + i * m * NODES);
}

static void walk_group(void *arg, size_t number)
{
    struct along *along = arg;
    size_t first = number * GROUP, n = along->days->n_trial, end = first + GROUP < n ? first + GROUP : n;
    WR_SCOPED double *margin = wr_alloc(WR_ABREAST * NODES, along->n_limit * sizeof(double));
    WR_SCOPED double *log_weight = wr_alloc(WR_ABREAST, NODES * sizeof(double));
    WR_RELEASED_BY(wr_abreast_release) struct wr_abreast a = {0};

    wr_abreast_init(&a, along->days->n_task);
    for (size_t i = first; i < end; i += a.n) {
        wr_abreast_take(&a, i, end);
        walk_abreast(along, &a, margin, log_weight);
    }
}

static void walk_along(struct along *along, unsigned n_thread)
{
    size_t n = along->days->n_trial;

    for (int j = 0; j <= NODES; j++)
        along->mass[j] = (j < NODES ? normal_cdf(node_at(j)) : 1) - (j > 0 ? normal_cdf(node_at(j - 1)) : 0);
    along->weight = WR_NEW_ARRAY(double, n);
    along->over = wr_alloc(n, (along->n_limit + 1) * sizeof(double));
    along->counts = WR_NEW_ARRAY(bool, along->n_limit);
    for (size_t l = 0; l < along->n_limit; l++)
        along->counts[l] = !wr_now_lacks(along->days->now, &along->limit[l].limit);
    wr_parallel_for((n + GROUP - 1) / GROUP, n_thread, walk_group, along);
}

static void along_release(struct along *along)
{
    WR_FREE(along->weight, along->over, along->counts);
}

/* ---- over draws ---- */

struct moved {
    const struct wr_weighed *draw; /* values are normal scores */
    size_t n;
    double total;
};

static bool adds_up_to_less(void *arg, double step)
{
    const struct moved *m = arg;
    double sum = 0;

    for (size_t j = 0; j < m->n; j++) sum += m->draw[j].weight * normal_cdf(m->draw[j].value + step);
    return sum < m->total;
}

/* Moves the draws' probabilities by one step in normal scores, so that their mean is the stated one. */
static void move_to_mean(struct wr_weighed *draw, size_t n, double mean)
{
    const double LEAST = 1e-7; /* a probability that few days cannot tell from 0 or 1 */
    double lo = -8, hi = 8, total = 0;

    for (size_t j = 0; j < n; j++) {
        total += draw[j].weight;
        draw[j].value = wr_normal_quantile(fmin(fmax(draw[j].value, LEAST), 1 - LEAST));
    }
    struct moved moved = {draw, n, mean * total};
    wr_halve(adds_up_to_less, &moved, 0, 60, &lo, &hi);
    for (size_t j = 0; j < n; j++) draw[j].value = normal_cdf(draw[j].value + lo);
}

/* Error of a point of the draws that are moved to the stated probability, by what each draw does to it: to the share
 * below it, by the slope of the quantiles, and to the mean, with which it moves as odds do; and that of the stated
 * probability itself. One rule with endError of present/day_cutoff.js. */
static double end_error(const struct wr_probability *p, const struct wr_weighed *draw, const struct wr_weighed *sorted,
                        size_t n, double prob)
{
    const double NEAR = 0.02;
    double at = wr_weighed_quantile(sorted, n, prob), rate = 0, weight = 0;
    double slope = (wr_weighed_quantile(sorted, n, prob + NEAR) - wr_weighed_quantile(sorted, n, prob - NEAR)) /
                   (2 * NEAR);
    struct wr_batch_sums does;

    for (size_t j = 0; j < n; j++) {
        rate += draw[j].weight * draw[j].value * (1 - draw[j].value);
        weight += draw[j].weight;
    }
    double follows = rate > 0 ? at * (1 - at) * weight / rate : 0;
    wr_batch_begin(&does, n);
    for (size_t j = 0; j < n; j++)
        wr_batch_add(&does, j, draw[j].weight, slope * (draw[j].value <= at) + follows * draw[j].value);
    return hypot(wr_batch_error(&does), follows * p->mc_error);
}

/* Every draw's weight and probability by the days that all of them meet, without a group of those days; GROUPS: by all.
 * Moved to the mean; sorted: the same. */
static void gather_draws(struct wr_weighed *draw, struct wr_weighed *sorted, size_t n_draw, const struct along *same,
                         size_t l, size_t without, double mean)
{
    size_t n = same->days->n_trial;

    for (size_t i = 0; i < n; i++) {
        if (i / n_draw % GROUPS == without) continue;
        draw[i % n_draw].weight += same->weight[i];
        draw[i % n_draw].value += same->weight[i] * same->over[l * n + i];
    }
    for (size_t j = 0; j < n_draw; j++) draw[j].value /= draw[j].weight > 0 ? draw[j].weight : 1;
    if (mean > 0 && mean < 1) move_to_mean(draw, n_draw, mean);
    memcpy(sorted, draw, n_draw * sizeof *sorted);
    wr_weighed_sort(sorted, n_draw);
}

/* Error of a point by the few days that all draws meet: a jackknife over groups of them, of all draws near the point
 * together, for a single one jumps. without: [GROUPS] lists of n draws. */
static double luck_error(const struct wr_weighed *draw, const struct wr_weighed *sorted,
                         const struct wr_weighed *without, size_t n, double prob)
{
    const double NEAR = 0.04;
    double from = wr_weighed_quantile(sorted, n, prob - NEAR), to = wr_weighed_quantile(sorted, n, prob + NEAR);
    double moved[GROUPS] = {0}, mean = 0, weight = 0, squares = 0;

    for (size_t j = 0; j < n; j++) {
        if (draw[j].value < from || draw[j].value > to) continue;
        weight += draw[j].weight;
        for (size_t g = 0; g < GROUPS; g++) moved[g] += draw[j].weight * without[g * n + j].value;
    }
    for (size_t g = 0; g < GROUPS; g++) mean += moved[g] / GROUPS;
    for (size_t g = 0; g < GROUPS; g++) squares += (moved[g] - mean) * (moved[g] - mean);
    return weight > 0 ? sqrt((GROUPS - 1.0) / GROUPS * squares) / weight : 0;
}

/* The ends hold the stated probability: where a few draws alone make it up, the upper one would lie below it. */
static void find_interval(struct wr_probability *p, const struct along *same, size_t l)
{
    size_t n = same->days->n_trial / ROUNDS;
    WR_SCOPED struct wr_weighed *without = WR_NEW_ARRAY(struct wr_weighed, (GROUPS + 2) * n);
    struct wr_weighed *draw = without + GROUPS * n, *sorted = draw + n;

    for (size_t g = 0; g <= GROUPS; g++) gather_draws(without + g * n, sorted, n, same, l, g, p->mean);
    p->lo = fmin(wr_weighed_quantile(sorted, n, 0.05), p->mean);
    p->hi = fmax(wr_weighed_quantile(sorted, n, 0.95), p->mean);
    p->lo_mc_error = hypot(end_error(p, draw, sorted, n, 0.05), luck_error(draw, sorted, without, n, 0.05));
    p->hi_mc_error = hypot(end_error(p, draw, sorted, n, 0.95), luck_error(draw, sorted, without, n, 0.95));
}

static void find_intervals(struct wr_probability *over, const struct wr_days *days,
                           const struct wr_durations *durations, const struct along *all, uint64_t seed,
                           unsigned n_thread)
{
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios scenarios = {0};
    WR_RELEASED_BY(wr_days_release) struct wr_days same_days = {0};
    WR_RELEASED_BY(wr_way_release) struct wr_way way = {0};
    struct along same = *all;

    wr_scenarios_share_luck(&scenarios, durations, MOST_DRAWS, ROUNDS, seed, n_thread);
    wr_days_make(&same_days, days->net, durations, &scenarios, days->now);
    wr_way_init(&way, &same_days);
    way.run = all->way->run;
    memcpy(way.task, all->way->task, days->n_task * sizeof *way.task);
    wr_way_normalise(&way, &same_days);
    same.days = &same_days;
    same.way = &way;
    walk_along(&same, n_thread);
    for (size_t l = 0; l <= all->n_limit; l++) find_interval(&over[l], &same, l);
    along_release(&same);
}

static struct wr_probability stated(const struct along *along, size_t l)
{
    const struct wr_days *days = along->days;
    bool by_draw = wr_batches_for(days->n_draw) >= WR_LEAST_BATCHES; /* of few draws each meets all luck there is */
    struct wr_batch_sums sums;

    wr_batch_begin(&sums, by_draw ? days->n_draw : days->n_trial);
    for (size_t i = 0; i < days->n_trial; i++)
        wr_batch_add(&sums, by_draw ? days->draw[i] : i, along->weight[i], along->over[l * days->n_trial + i]);
    double mean = wr_batch_mean(&sums);
    return (struct wr_probability){.mean = mean, .lo = mean, .hi = mean, .mc_error = wr_batch_error(&sums)};
}

/* Along the way of the finish, or of a clock. */
/* No task that is still to do takes another time on another day. */
static bool nothing_varies(const struct wr_days *days)
{
    for (size_t k = 0; k < days->n_task; k++)
        if (days->form[k] != WR_FORM_FIXED) return false;
    return true;
}

static void find_over(struct wr_probability *over, const struct wr_days *days, const struct wr_durations *durations,
                      bool known, const struct wr_cutoff_limit *limit, size_t n_limit,
                      const struct wr_sim_limit *clock, uint64_t seed, unsigned n_thread)
{
    WR_RELEASED_BY(wr_way_release) struct wr_way way = {0};
    struct along along = {.days = days, .way = &way, .limit = limit, .n_limit = n_limit};

    wr_way_init(&way, days);
    find_way(&way, days, clock);
    walk_along(&along, n_thread);
    for (size_t l = 0; l <= n_limit; l++) {
        over[l] = stated(&along, l);
        over[l].no_interval = known;
        over[l].certain = nothing_varies(days);
    }
    if (!known) find_intervals(over, days, durations, &along, seed, n_thread);
    along_release(&along);
}

void wr_overrun_of_days(struct wr_probability *over, const struct wr_days *days, const struct wr_durations *durations,
                        bool known, const struct wr_cutoff_limit *limit, size_t n_limit, uint64_t seed,
                        unsigned n_thread)
{
    struct wr_probability own[2];

    find_over(over, days, durations, known, limit, n_limit, NULL, seed, n_thread);
    for (size_t l = 0; l < n_limit; l++) {
        if (limit[l].limit.is_clock) {
            find_over(own, days, durations, known, &limit[l], 1, &limit[l].limit, seed, n_thread);
            over[l] = own[0];
        }
        if (wr_now_lacks(days->now, &limit[l].limit)) continue;
        /* to go over any is no rarer than to go over one: the estimates are made one by one */
        over[n_limit].mean = fmax(over[n_limit].mean, over[l].mean);
        over[n_limit].lo = fmax(over[n_limit].lo, over[l].lo);
        over[n_limit].hi = fmax(over[n_limit].hi, over[l].hi);
    }
}
