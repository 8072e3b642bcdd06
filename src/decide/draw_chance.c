#include "draw_chance.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/sim/scenarios.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/summary.h"

enum { N_PART = 8, DRAWS_AT_ONCE = 64 };

double wr_limit_outcome(const struct wr_sim_limit *limit, const struct wr_network *net, const double *start_min,
                        const double *end_min)
{
    double latest = 0;

    if (limit->is_clock) return end_min[limit->to] - start_min[limit->from];
    for (size_t l = 0; l < net->n_lane; l++)
        if ((limit->lanes >> l & 1) && net->lane_last[l] != SIZE_MAX) latest = fmax(latest, end_min[net->lane_last[l]]);
    return latest;
}

bool wr_run_effect_scales(const struct wr_network *net, const struct wr_durations *d)
{
    for (size_t k = 0; k < d->n_task; k++) {
        bool no_time = d->source[k].kind == WR_SRC_FIXED && d->source[k].p[0] == 0;
        if (d->source[k].kind != WR_SRC_MODEL && !no_time) return false;
        if (net->not_before_min[k] > 0 || isfinite(net->drop_after_min[k])) return false;
    }
    return true;
}

static double upper_tail(double z)
{
    return exp(wr_log_normal_cdf(-z));
}

struct chances {
    const struct wr_network *net;
    const struct wr_durations *d;
    const struct wr_sim_limit *limit;
    const struct wr_scenarios *days;
    size_t per_draw;
    bool scales;
    double *mean, *variance; /* [n_draw] of the per_draw conditional probabilities */
};

struct room { double *minutes, *pushed, *start, *end; };

/* Minutes of one day at run effect 0. */
static void minutes_without(const struct chances *c, size_t trial, double *minutes)
{
    const struct wr_scenarios *s = c->days;

    for (size_t k = 0; k < s->n_task; k++) {
        double own = s->own[k * s->n_trial + trial];
        minutes[k] = s->is_log[k] ? exp(own) : own;
    }
}

static double outcome_at(const struct chances *c, double b, struct room *room)
{
    double factor = exp(b);

    for (size_t k = 0; k < c->d->n_task; k++) room->pushed[k] = room->minutes[k] * (c->days->carries_b[k] ? factor : 1.0);
    wr_network_forward(c->net, room->pushed, room->start, room->end, NULL);
    return wr_limit_outcome(c->limit, c->net, room->start, room->end);
}

/* P(over | the day's own scores), the run effect b ~ N(shift, sd^2) integrated. */
static double chance_of_day(const struct chances *c, size_t trial, size_t draw, struct room *room)
{
    const struct wr_durations *d = c->d;
    double shift = d->run_effect_shift ? d->run_effect_shift[draw] : 0;
    double sd = d->run_effect_sd ? d->run_effect_sd[draw] : d->tau[draw];

    minutes_without(c, trial, room->minutes);
    if (!(sd > 0)) return outcome_at(c, shift, room) > c->limit->minutes;
    if (c->scales) return upper_tail(log(c->limit->minutes / outcome_at(c, shift, room)) / sd);
    double within = 1.0 - upper_tail(c->days->run_score[trial]), n_over = 0;
    for (int part = 0; part < N_PART; part++) {
        double prob = fmin(fmax((part + within) / N_PART, 1e-12), 1 - 1e-12);
        n_over += outcome_at(c, shift + sd * wr_normal_quantile(prob), room) > c->limit->minutes;
    }
    return n_over / N_PART;
}

static void some_draws(void *arg, size_t piece)
{
    const struct chances *c = arg;
    size_t n = c->d->n_task, first = piece * DRAWS_AT_ONCE, last = first + DRAWS_AT_ONCE;
    struct room room = {WR_NEW_ARRAY(double, n), WR_NEW_ARRAY(double, n), WR_NEW_ARRAY(double, n), WR_NEW_ARRAY(double, n)};
    double *chance = WR_NEW_ARRAY(double, c->per_draw);

    for (size_t draw = first; draw < last && draw < c->d->n_draw; draw++) {
        for (size_t j = 0; j < c->per_draw; j++)
            chance[j] = chance_of_day(c, j * c->d->n_draw + draw, draw, &room);
        struct wr_summary s = wr_summarise(chance, c->per_draw);
        c->mean[draw] = s.mean;
        c->variance[draw] = s.sd.known ? s.sd.value * s.sd.value : 0;
    }
    wr_free(room.minutes);
    wr_free(room.pushed);
    wr_free(room.start);
    wr_free(room.end);
    wr_free(chance);
}

double wr_draw_chances(double *over, const struct wr_network *net, const struct wr_durations *d,
                       const struct wr_sim_limit *limit, size_t per_draw, uint64_t seed, unsigned n_thread)
{
    struct wr_scenarios days = {0};
    double *variance = WR_NEW_ARRAY(double, d->n_draw);
    struct chances c = {net, d, limit, &days, per_draw, wr_run_effect_scales(net, d), over, variance};

    WR_BUG_IF(per_draw == 0 || d->n_draw == 0 || per_draw > SIZE_MAX / d->n_draw);
    wr_scenarios_make(&days, d, per_draw * d->n_draw, seed, n_thread);
    wr_parallel_for((d->n_draw + DRAWS_AT_ONCE - 1) / DRAWS_AT_ONCE, n_thread, some_draws, &c);
    wr_scenarios_release(&days);

    double by_chance = wr_sum(variance, d->n_draw) / (double)d->n_draw / (double)per_draw;
    struct wr_summary s = wr_summarise(over, d->n_draw);
    double seen = s.sd.known ? s.sd.value * s.sd.value : 0, keep = seen > by_chance ? sqrt(1 - by_chance / seen) : 0;
    for (size_t i = 0; i < d->n_draw; i++) over[i] = s.mean + keep * (over[i] - s.mean);
    wr_free(variance);
    return sqrt(by_chance / (double)d->n_draw);
}
