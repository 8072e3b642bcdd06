/* The run effect of the day given what was seen of it. */
#include <math.h>
#include "days.h"
#include "judged_law.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/decide/update.h"
#include "wetrun/model/skew_normal.h"
#include "wetrun/sim/scenarios.h"
#include "wetrun/stats/special.h"

enum {
    PACE_NODES = 33,         /* half a standard deviation apart: a sum over a normal law is then exact to rounding, over
                                one half as wide to 3e-9 (exp(-2 pi^2 / step^2), from memory) */
    CORRECTION_NODES = 49,
    GAP_DAYS_PER_DRAW = 32, /* their noise averages out over draws; with few draws more days make up for it */
    GAP_DAYS = 8000,
    LEAST_DRAWS = 5 /* fewer tell nothing; few make themselves felt in the stated error */
};
static const double PACE_REACH = 8, CORRECTION_REACH = 6;

/* ---- one observation ---- */

static double log_seen(const struct wr_pace_seen *o, double b)
{
    double x = o->residual_log - o->loading * b;

    if (o->judged)
        return o->kind == WR_PACE_DONE ? wr_judged_log_density(o->judged, x) : wr_judged_log_tail(o->judged, x);
    return o->kind == WR_PACE_DONE ? wr_skew_error_log_pdf(x, o->spread_log, o->rho)
                                   : wr_skew_error_log_tail(x, o->spread_log, o->rho);
}

/* ---- the score given all of them ---- */

/* As if all errors were normal and running tasks told nothing. */
static struct wr_pace normal_pace(double tau, const struct wr_pace_seen *seen, size_t n)
{
    double precision = 1, sum = 0;

    for (size_t i = 0; i < n; i++) {
        if (seen[i].kind != WR_PACE_DONE) continue;
        double by_score = seen[i].loading * tau, weight = 1 / (seen[i].spread_log * seen[i].spread_log);
        precision += by_score * by_score * weight;
        sum += by_score * seen[i].residual_log * weight;
    }
    return (struct wr_pace){sum / precision, 1 / sqrt(precision)};
}

static bool is_closed_form(const struct wr_pace_seen *seen, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (seen[i].kind != WR_PACE_DONE || seen[i].rho != 0 || seen[i].judged) return false;
    return true;
}

struct wr_pace wr_pace_given(double tau, const struct wr_pace_seen *seen, size_t n)
{
    struct wr_pace start = normal_pace(tau, seen, n), pace;
    double log_weight[PACE_NODES], most = -INFINITY, sum = 0, mean = 0, square = 0;

    if (is_closed_form(seen, n)) return start;
    for (int i = 0; i < PACE_NODES; i++) {
        double score = start.mean + start.sd * PACE_REACH * (2.0 * i / (PACE_NODES - 1) - 1);
        log_weight[i] = -0.5 * score * score;
        for (size_t o = 0; o < n; o++) log_weight[i] += log_seen(&seen[o], tau * score);
        most = fmax(most, log_weight[i]);
    }
    for (int i = 0; i < PACE_NODES; i++) {
        double off = PACE_REACH * (2.0 * i / (PACE_NODES - 1) - 1), w = exp(log_weight[i] - most);
        sum += w;
        mean += w * off;
        square += w * off * off;
    }
    mean /= sum;
    pace.mean = start.mean + start.sd * mean;
    pace.sd = start.sd * sqrt(fmax(1e-12, square / sum - mean * mean));
    return pace;
}

/* ---- stretches of unknown times ---- */

double wr_now_gap_log_density(const struct wr_now_gap_law *law, size_t draw, double b)
{
    return wr_log_normal_pdf(law->log_min - law->mean_log[draw] - law->loading[draw] * b, law->sd_log[draw]);
}

/* The day up to the gap: what is known apart from the moment that closes it is fixed, the rest simulated. */
static void state_before_gap(struct wr_now_state *past, const struct wr_now_state *s, size_t k,
                             unsigned char *simulated)
{
    double closes = s->gap[k] == WR_NOW_GAP_TO_END ? s->end_min[k] : s->begin_min[k];

    *past = *s;
    past->now_min = -1e9; /* a task said to be running has run for no time that is known */
    past->state = WR_NEW_ARRAY(unsigned char, s->n_task);
    past->log_correction = NULL;
    past->gap_law = NULL;
    for (size_t p = 0; p < s->n_task; p++) {
        bool fixed =
            s->end_known[p] == WR_NOW_REPORTED || (s->end_known[p] == WR_NOW_INFERRED && s->end_min[p] < closes);
        if (p == k) fixed = false;
        past->state[p] = (s->state[p] == WR_NOW_DONE || s->state[p] == WR_NOW_PAST) && fixed ? WR_NOW_DONE
                         : p != k && s->begin_known[p] == WR_NOW_REPORTED ? WR_NOW_RUNNING : WR_NOW_UNREPORTED;
        simulated[p] = past->state[p] != WR_NOW_DONE;
    }
}

/* Length of the stretch on one day at run effect score `score`; *from: where it begins. */
static double stretch_min(const struct wr_days *days, const struct wr_way *run, const size_t *list, size_t n, size_t k,
                          bool to_end, const unsigned char *simulated, size_t trial, double score, double *from,
                          struct wr_walk *walk)
{
    wr_days_walk(days, run, list, n, trial, score - (double)days->run_score[trial], walk);
    *from = walk->start_min[k];
    for (size_t i = 0; i < n; i++)
        if (simulated[list[i]]) *from = fmin(*from, walk->start_min[list[i]]);
    return (to_end ? walk->end_min[k] : walk->start_min[k]) - *from;
}

struct moments {
    double n, sum, squares, slope;
};

static void gap_moments(struct wr_now_gap_law *gap, const struct moments *m, const struct wr_durations *d)
{
    for (size_t j = 0; j < d->n_draw; j++) {
        double mean = m[j].sum / m[j].n;
        gap->mean_log[j] = mean;
        gap->sd_log[j] = sqrt(fmax(1e-6, (m[j].squares - m[j].n * mean * mean) / (m[j].n - 1)));
        gap->loading[j] = d->tau[j] > 0 ? m[j].slope / m[j].n / d->tau[j] : 0;
    }
}

/* False if the stretch has no length, so that nothing can be learned from it. */
static bool measure_gap(struct wr_now_gap_law *gap, const struct wr_durations *d, const struct wr_scenarios *s,
                        const struct wr_now_state *state, const struct wr_network *net, size_t k)
{
    struct wr_now_state past;
    WR_RELEASED_BY(wr_days_release) struct wr_days days = {0};
    WR_RELEASED_BY(wr_walk_release) struct wr_walk walk = {0};
    WR_RELEASED_BY(wr_way_release) struct wr_way run = {0};
    unsigned char *mark = WR_NEW_ARRAY(unsigned char, 2 * net->n_task), *simulated = mark + net->n_task;
    WR_SCOPED size_t *list = WR_NEW_ARRAY(size_t, net->n_task);
    WR_SCOPED struct moments *m = WR_NEW_ARRAY(struct moments, d->n_draw);
    bool to_end = state->gap[k] == WR_NOW_GAP_TO_END;
    double from = 0;

    state_before_gap(&past, state, k, simulated);
    if (!to_end) simulated[k] = 0;
    wr_network_mark_before(net, k, mark);
    size_t n = wr_network_list_marked(net, mark, list);
    wr_days_make(&days, net, d, s, &past);
    wr_walk_init(&walk, net->n_task);
    wr_way_init(&run, &days);
    run.run = 1;
    wr_way_normalise(&run, &days);
    for (size_t i = 0; i < s->n_trial; i++) {
        struct moments *of = &m[i % d->n_draw];
        double plain = log(fmax(1e-6, stretch_min(&days, &run, list, n, k, to_end, simulated, i, 0, &from, &walk)));
        double slow = log(fmax(1e-6, stretch_min(&days, &run, list, n, k, to_end, simulated, i, 1, &from, &walk)));
        of->n++;
        of->sum += plain;
        of->squares += plain * plain;
        of->slope += slow - plain;
    }
    double took = (to_end ? state->end_min[k] - state->hold_min[k] : wr_now_ready_min(state, k)) - from;
    *gap = (struct wr_now_gap_law){.mean_log = WR_NEW_ARRAY(double, d->n_draw),
                                   .sd_log = WR_NEW_ARRAY(double, d->n_draw),
                                   .loading = WR_NEW_ARRAY(double, d->n_draw),
                                   .log_min = log(fmax(1e-6, took))};
    gap_moments(gap, m, d);
    WR_FREE(past.state, mark);
    return took > 0;
}

/* ---- all draws ---- */

struct conditioning {
    struct wr_durations *d;
    struct wr_judged_law **judged; /* [n_task]; NULL where a task is not judged */
    struct wr_now_state *state;
    struct wr_now_gap_law *gap;
    size_t n_gap, n_running;
    bool skewed;               /* some law is not normal */
    double *log_weight;        /* [n_draw] by the gaps */
};

static double people_log(const struct wr_durations *d, size_t task, size_t draw)
{
    double sum = 0;
    int n = 0;

    if (d->n_line_up != 1) return 0; /* nobody knows who it is */
    for (size_t l = 0; l < d->n_lane; l++) {
        if (!(wr_durations_people_of(d, task) >> l & 1)) continue;
        int who = d->line_up[l];
        sum += who >= 0 ? d->q[(size_t)who * d->n_draw + draw] : 0;
        n++;
    }
    return n ? sum / n : 0;
}

static struct wr_pace_seen seen_of(const struct conditioning *c, size_t k, size_t draw, enum wr_pace_kind kind,
                                   double minutes)
{
    const struct wr_durations *d = c->d;
    const struct wr_judged_law *judged = c->judged[k];

    if (judged) return (struct wr_pace_seen){kind, log(minutes) - judged->centre, judged->spread, 1, 0, judged};
    struct wr_log_law law = wr_durations_log_law(d, k, draw);
    return (struct wr_pace_seen){
        kind, log(minutes) - law.centre - people_log(d, k, draw), fmax(law.spread, 1e-6), 1, law.rho, NULL};
}

static size_t gather_seen(const struct conditioning *c, size_t draw, struct wr_pace_seen *seen)
{
    const struct wr_durations *d = c->d;
    const struct wr_now_state *s = c->state;
    size_t n = 0;

    for (size_t k = 0; k < d->n_task; k++) {
        bool running = s->state[k] == WR_NOW_RUNNING, done = s->state[k] == WR_NOW_DONE && s->time_known[k];
        double minutes = wr_now_modelled_min(s, k);
        if (wr_source_form(&d->source[k]) == WR_FORM_FIXED || !(running || done) || !(wr_now_active_min(s, k) > 0))
            continue; /* what has just begun tells nothing */
        seen[n++] = seen_of(c, k, draw, running ? WR_PACE_RUNNING : WR_PACE_DONE, minutes);
    }
    return n;
}

/* Gaps one after the other: each weighs the draw by how well it was foreseen by what went before, then counts as
 * seen. */
static size_t add_gaps(struct conditioning *c, size_t draw, struct wr_pace_seen *seen, size_t n)
{
    double tau = c->d->tau[draw];

    for (size_t g = 0; g < c->n_gap; g++) {
        struct wr_pace pace = wr_pace_given(tau, seen, n);
        const struct wr_now_gap_law *gap = &c->gap[g];
        double by_score = gap->loading[draw] * tau, off = gap->log_min - gap->mean_log[draw] - by_score * pace.mean;
        c->log_weight[draw] += wr_log_normal_pdf(off, hypot(gap->sd_log[draw], by_score * pace.sd));
        seen[n++] = (struct wr_pace_seen){WR_PACE_DONE, gap->log_min - gap->mean_log[draw], gap->sd_log[draw],
                                          gap->loading[draw], 0, NULL};
    }
    return n;
}

/* Log of the true law over the normal one at every node, normalised with the running tasks counted in. */
static void correct(struct conditioning *c, size_t draw, const struct wr_pace *pace, const struct wr_pace_seen *seen,
                    size_t n)
{
    double *out = c->state->log_correction + draw * CORRECTION_NODES, tau = c->d->tau[draw];
    double log_all[CORRECTION_NODES], most = -INFINITY, total = 0;

    for (int i = 0; i < CORRECTION_NODES; i++) {
        double u = CORRECTION_REACH * (2.0 * i / (CORRECTION_NODES - 1) - 1), score = pace->mean + pace->sd * u;
        out[i] = -0.5 * score * score;
        log_all[i] = 0;
        for (size_t o = 0; o < n; o++) {
            double seen_log = log_seen(&seen[o], tau * score);
            if (seen[o].kind == WR_PACE_DONE) out[i] += seen_log;
            else log_all[i] += seen_log;
        }
        log_all[i] += out[i];
        out[i] += 0.5 * u * u;
        most = fmax(most, log_all[i]);
    }
    for (int i = 0; i < CORRECTION_NODES; i++) total += exp(log_all[i] - most);
    double log_total = most + log(total * 2 * CORRECTION_REACH / (CORRECTION_NODES - 1)) - 0.5 * log(2 * M_PI);
    for (int i = 0; i < CORRECTION_NODES; i++) out[i] -= log_total;
}

static void take_judgements(struct conditioning *c)
{
    c->judged = WR_NEW_ARRAY(struct wr_judged_law *, c->d->n_task);
    for (size_t k = 0; k < c->d->n_task; k++) {
        if (wr_source_form(&c->d->source[k]) != WR_FORM_BENT) continue;
        c->judged[k] = WR_NEW(struct wr_judged_law);
        wr_judged_law_make(c->judged[k], &c->d->source[k]);
        c->skewed = true;
    }
}

static void condition_draw(void *arg, size_t draw)
{
    struct conditioning *c = arg;
    WR_SCOPED struct wr_pace_seen *seen = WR_NEW_ARRAY(struct wr_pace_seen, c->d->n_task + c->n_gap);
    size_t n = add_gaps(c, draw, seen, gather_seen(c, draw, seen));
    double tau = c->d->tau[draw];
    struct wr_pace pace = wr_pace_given(tau, seen, n);

    c->d->run_effect_shift[draw] = tau * pace.mean;
    c->d->run_effect_sd[draw] = tau * pace.sd;
    if (c->state->log_correction) correct(c, draw, &pace, seen, n);
}

static double weigh_draws(struct conditioning *c)
{
    size_t n = c->d->n_draw;
    double most = -INFINITY, sum = 0, squares = 0;

    if (c->n_gap == 0) return (double)n;
    for (size_t j = 0; j < n; j++) most = fmax(most, c->log_weight[j]);
    for (size_t j = 0; j < n; j++) {
        double w = exp(c->log_weight[j] - most);
        sum += w;
        squares += w * w;
    }
    for (size_t j = 0; j < n; j++) {
        double shift = c->log_weight[j] - most - log(sum / (double)n);
        for (size_t i = 0; i < CORRECTION_NODES; i++) c->state->log_correction[j * CORRECTION_NODES + i] += shift;
    }
    return sum * sum / squares;
}

static bool has_law(const struct wr_now_state *s, size_t k)
{
    return s->gap[k] == WR_NOW_GAP_TO_BEGIN || s->gap[k] == WR_NOW_GAP_TO_END;
}

static void measure_gaps(struct conditioning *c, const struct wr_network *net, uint64_t seed, unsigned n_thread)
{
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios s = {0};
    size_t n = 0;

    for (size_t k = 0; k < net->n_task; k++) n += has_law(c->state, k);
    if (n == 0) return;
    c->gap = WR_NEW_ARRAY(struct wr_now_gap_law, n);
    c->state->gap_law = WR_NEW_ARRAY(struct wr_now_gap_law, net->n_task);
    size_t per_draw = GAP_DAYS / c->d->n_draw > GAP_DAYS_PER_DRAW ? GAP_DAYS / c->d->n_draw : GAP_DAYS_PER_DRAW;
    wr_scenarios_make(&s, c->d, per_draw * c->d->n_draw, seed, n_thread);
    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        if (!has_law(c->state, k)) continue;
        struct wr_now_gap_law *law = &c->state->gap_law[k];
        if (measure_gap(law, c->d, &s, c->state, net, k)) {
            c->gap[c->n_gap++] = *law;
            continue;
        }
        WR_FREE(law->mean_log, law->sd_log, law->loading);
        *law = (struct wr_now_gap_law){0};
    }
}

enum wr_status wr_now_condition(struct wr_durations *d, struct wr_now_state *state, const struct wr_network *net,
                                uint64_t seed, unsigned n_thread, double *effective_draws, struct wr_error *err)
{
    struct conditioning c = {.d = d, .state = state, .log_weight = WR_NEW_ARRAY(double, d->n_draw)};

    WR_BUG_IF(d->run_effect_sd != NULL || state->n_task != d->n_task);
    take_judgements(&c);
    measure_gaps(&c, net, seed, n_thread);
    for (size_t j = 0; j < d->n_draw; j++) c.skewed = c.skewed || d->rho[j] != 0;
    for (size_t k = 0; k < d->n_task; k++) c.n_running += state->state[k] == WR_NOW_RUNNING;
    d->run_effect_shift = WR_NEW_ARRAY(double, d->n_draw);
    d->run_effect_sd = WR_NEW_ARRAY(double, d->n_draw);
    if (c.skewed || c.n_running || c.n_gap) {
        state->n_node = CORRECTION_NODES;
        state->reach = CORRECTION_REACH;
        state->log_correction = wr_alloc(d->n_draw, CORRECTION_NODES * sizeof(double));
    }
    wr_parallel_for(d->n_draw, n_thread, condition_draw, &c);
    *effective_draws = weigh_draws(&c);
    for (size_t k = 0; k < d->n_task; k++) wr_free(c.judged[k]);
    wr_free(c.judged);
    wr_free(c.gap); /* the state keeps the laws */
    wr_free(c.log_weight);
    if (!(*effective_draws >= (d->n_draw >= LEAST_DRAWS ? LEAST_DRAWS : 0))) /* nor is it, if it is no number */
        return wr_fail(err, WR_E_TOO_FEW,
                       "what was reported is so unlike the rehearsals that only %.0f of %zu posterior "
                       "draws speak for it: name more tasks with begin and end",
                       *effective_draws, d->n_draw);
    return WR_OK;
}
