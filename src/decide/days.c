#include "days.h"

#include <math.h>
#include <string.h>
#include "bend.h"
#include "past.h"
#include "tail_table.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/skew_normal.h"

/* A running judged task at most so unlikely: beyond that all days are alike. */
static const double LEAST_LOG_WEIGHT = -30;

/* ---- making them ---- */

/* Rise of log minutes per unit of z when the half-normal part of the skew error is held. */
static double slope_of(const struct wr_durations *d, size_t task, size_t draw)
{
    if (wr_source_form(&d->source[task]) != WR_FORM_LOG) return 0;
    struct wr_log_law law = wr_durations_log_law(d, task, draw);
    return law.spread * sqrt(1 - law.rho * law.rho) / wr_skew_unit(law.rho);
}

static void fill_minutes(struct wr_days *days, const struct wr_durations *d, const struct wr_scenarios *s)
{
    for (size_t k = 0; k < s->n_task; k++) {
        double *minutes = days->base_min[k];
        if (days->now && days->now->rule[k] != WR_NOW_KEPT && !days->now->open_rule[k]) {
            days->form[k] = WR_FORM_FIXED; /* at no minutes */
            continue;
        }
        /* the scenarios keep single precision; a fixed time is known exactly */
        if (days->form[k] == WR_FORM_FIXED)
            for (size_t i = 0; i < s->n_trial; i++) minutes[i] = d->source[k].p[0];
        else
            wr_scenarios_minutes(s, k, minutes);
    }
}

static void fill_rules(struct wr_days *days)
{
    const struct wr_now_state *now = days->now;

    for (size_t k = 0; k < days->n_task; k++) {
        days->floor_min[k] = days->net->not_before_min[k];
        days->drop_after_min[k] = days->net->drop_after_min[k];
        if (!now) continue;
        if (now->state[k] == WR_NOW_AHEAD && days->floor_min[k] < now->now_min) days->floor_min[k] = now->now_min;
        if (wr_now_has_begun(now, k)) days->drop_after_min[k] = INFINITY;
        if (now->state[k] != WR_NOW_RUNNING) continue;
        days->weighted = true;
        if (days->tail) continue;
        days->tail = WR_NEW(struct wr_tail_table);
        wr_tail_build(days->tail);
    }
}

static void list_running(struct wr_days *days)
{
    days->running = WR_NEW_ARRAY(size_t, days->n_task);
    days->running_log = WR_NEW_ARRAY(double *, days->n_task);
    days->elapsed_log = WR_NEW_ARRAY(double, days->n_task);
    for (size_t k = 0; k < days->n_task; k++) {
        if (!days->now || days->now->state[k] != WR_NOW_RUNNING || days->form[k] == WR_FORM_FIXED) continue;
        double elapsed = wr_now_modelled_min(days->now, k);
        days->running[days->n_running++] = k;
        days->elapsed_log[k] = elapsed > 0 ? log(elapsed) : -INFINITY;
        days->running_log[k] = WR_NEW_ARRAY(double, days->n_trial);
        for (size_t i = 0; i < days->n_trial; i++)
            days->running_log[k][i] =
                log(days->base_min[k][i]) -
                days->slope[k * days->n_draw + days->draw[i]] * (double)days->z[k * days->n_trial + i];
    }
}

void wr_days_make(struct wr_days *days, const struct wr_network *net, const struct wr_durations *d,
                  const struct wr_scenarios *s, const struct wr_now_state *now)
{
    size_t n = net->n_task;

    WR_BUG_IF(d->n_task != n || s->n_task != n || (now && now->n_task != n));
    *days = (struct wr_days){.net = net,
                             .now = now,
                             .n_trial = s->n_trial,
                             .n_task = n,
                             .n_draw = d->n_draw,
                             .run_score = s->run_score,
                             .draw = s->draw,
                             .z = s->z,
                             .weighted = now && now->log_correction};
    days->form = WR_NEW_ARRAY(unsigned char, n);
    days->base_min = WR_NEW_ARRAY(double *, n);
    double *minutes = wr_arena_alloc(&days->rows, n * s->n_trial, sizeof(double));
    for (size_t k = 0; k < n; k++) days->base_min[k] = minutes + k * s->n_trial;
    days->slope = wr_alloc(d->n_draw, n * sizeof(double));
    days->run_sd = WR_NEW_ARRAY(double, d->n_draw);
    days->bend = WR_NEW_ARRAY(struct wr_bend, n);
    days->floor_min = WR_NEW_ARRAY(double, n);
    days->drop_after_min = WR_NEW_ARRAY(double, n);
    for (size_t draw = 0; draw < d->n_draw; draw++) {
        days->run_sd[draw] = d->run_effect_sd ? d->run_effect_sd[draw] : d->tau[draw];
        for (size_t k = 0; k < n; k++) days->slope[k * d->n_draw + draw] = slope_of(d, k, draw);
    }
    for (size_t k = 0; k < n; k++) {
        days->form[k] = (unsigned char)wr_source_form(&d->source[k]);
        if (days->form[k] == WR_FORM_BENT)
            wr_bend_fit(&days->bend[k], s->score + k * s->n_trial, s->own + k * s->n_trial, s->n_trial,
                        wr_source_quantile_min(&d->source[k], 0), wr_source_quantile_min(&d->source[k], 1));
    }
    fill_minutes(days, d, s);
    fill_rules(days);
    list_running(days);
    for (size_t k = 0; k < n && now; k++) {
        if (now->state[k] != WR_NOW_PAST || now->rule[k] != WR_NOW_KEPT) continue;
        wr_past_condition(days, s);
        break;
    }
}

void wr_days_again(struct wr_days *again, const struct wr_days *days)
{
    const size_t n = days->n_task;

    *again = *days;
    again->borrows = true;
    again->start_min = again->end_min = again->start_rate = again->weight = NULL;
    again->form = WR_COPY(days->form, n);
    again->base_min = WR_COPY(days->base_min, n);
    again->rows = (struct wr_arena){0};
    again->floor_min = WR_COPY(days->floor_min, n);
    again->drop_after_min = WR_COPY(days->drop_after_min, n);
}

double *wr_days_own_minutes(struct wr_days *days, size_t task)
{
    if (days->borrows) {
        double *own = wr_arena_alloc(&days->rows, days->n_trial, sizeof(double));
        memcpy(own, days->base_min[task], days->n_trial * sizeof(double));
        days->base_min[task] = own;
    }
    return days->base_min[task];
}

void wr_days_release(struct wr_days *days)
{
    wr_arena_release(&days->rows);
    WR_FREE(days->form, days->base_min, days->floor_min, days->drop_after_min, days->start_min, days->end_min,
            days->start_rate, days->weight);
    if (!days->borrows) {
        for (size_t i = 0; i < days->n_running; i++) wr_free(days->running_log[days->running[i]]);
        WR_FREE(days->running_log, days->elapsed_log, days->running, days->slope, days->run_sd, days->bend, days->tail,
                days->past_log_weight);
    }
    *days = (struct wr_days){0};
}

/* ---- ways ---- */

bool wr_days_scale(const struct wr_days *days)
{
    if (days->now) return false;
    for (size_t d = 0; d < days->n_draw; d++)
        if (!(days->run_sd[d] > 0)) return false;
    for (size_t k = 0; k < days->n_task; k++) {
        bool nothing =
            days->form[k] == WR_FORM_FIXED && days->base_min[k][0] == 0; /* fixed: the same on every day */
        if (days->form[k] == WR_FORM_FIXED && !nothing) return false;
        if (days->floor_min[k] > 0 || isfinite(days->drop_after_min[k])) return false;
    }
    return true;
}

void wr_way_init(struct wr_way *way, const struct wr_days *days)
{
    *way = (struct wr_way){.task = WR_NEW_ARRAY(double, days->n_task), .at = WR_NEW_ARRAY(double, days->n_trial),
                           .rate = wr_alloc(days->n_draw, days->n_task * sizeof(double))};
}

void wr_way_find_rates(struct wr_way *way, const struct wr_days *days)
{
    const size_t n = days->n_draw;

    for (size_t k = 0; k < days->n_task; k++) {
        if (days->form[k] != WR_FORM_LOG) continue;
        double *rate = way->rate + k * n, by_task = way->task[k];
        const double *slope = days->slope + k * n;
        for (size_t d = 0; d < n; d++) rate[d] = by_task * slope[d] + way->run * days->run_sd[d];
    }
}

bool wr_way_normalise(struct wr_way *way, const struct wr_days *days)
{
    double length = way->run * way->run;

    for (size_t k = 0; k < days->n_task; k++) length += way->task[k] * way->task[k];
    if (!(length > 0)) return false;
    length = sqrt(length);
    way->run /= length;
    for (size_t k = 0; k < days->n_task; k++) way->task[k] /= length;
    for (size_t i = 0; i < days->n_trial; i++) way->at[i] = way->run * (double)days->run_score[i];
    for (size_t k = 0; k < days->n_task; k++) {
        const float *z = days->z + k * days->n_trial;
        if (way->task[k] == 0) continue;
        for (size_t i = 0; i < days->n_trial; i++) way->at[i] += way->task[k] * (double)z[i];
    }
    wr_way_find_rates(way, days);
    return true;
}

void wr_way_release(struct wr_way *way)
{
    WR_FREE(way->task, way->at, way->rate);
    *way = (struct wr_way){0};
}

/* ---- a running task: its time above what it has run ---- */

struct reach {                 /* a running task: what it needs to have run so far */
    double centre_log;         /* log minutes at z = 0, run effect of the pushed day included */
    double day_factor;         /* of a judged task: exp(run effect of the pushed day) */
    double least;              /* z above which it still runs */
};

static struct reach running_reach(const struct wr_days *days, size_t trial, size_t k, double run_push)
{
    double slope = days->slope[k * days->n_draw + days->draw[trial]];
    double elapsed = wr_now_modelled_min(days->now, k);
    struct reach r = {.least = -40};

    if (days->form[k] == WR_FORM_BENT) {
        r.day_factor = wr_days_bend_factor(days, trial, k) * exp(run_push * days->run_sd[days->draw[trial]]);
        if (elapsed > 0) r.least = wr_bend_score(&days->bend[k], elapsed / r.day_factor);
        return r;
    }
    r.centre_log = days->running_log[k][trial] + run_push * days->run_sd[days->draw[trial]];
    if (elapsed > 0 && slope > 0) r.least = fmax(-40, (days->elapsed_log[k] - r.centre_log) / slope);
    return r;
}

/* A slower day needs less luck to have run so long: what that takes back of the day's rise in minutes, per unit of
 * by_least. From bend(least) * day_factor = elapsed, least falls by bend/bend' of the run effect's rise. */
static double share_given_back(const struct wr_days *days, size_t k, const struct reach *r, double minutes,
                               double slope_min)
{
    double slope_least, at_least = wr_bend_minutes(&days->bend[k], r->least, &slope_least);

    if (!(slope_least > 0) || !(minutes > 0)) return 0;
    return slope_min * r->day_factor / minutes * at_least / slope_least;
}

static struct wr_taken running_bent(const struct wr_days *days, size_t trial, size_t k, double z_free, double run_push)
{
    struct reach r = running_reach(days, trial, k, run_push);
    double by_v, by_least, slope_min, z = wr_tail_above(days->tail, z_free, r.least, &by_v, &by_least);
    double minutes = r.day_factor * wr_bend_minutes(&days->bend[k], z, &slope_min);
    double given_back = by_least * share_given_back(days, k, &r, minutes, slope_min);

    return (struct wr_taken){.minutes = minutes, .by_z = r.day_factor * slope_min * by_v,
                             .by_run = minutes * days->run_sd[days->draw[trial]] * (1 - given_back)};
}

struct run_on {                /* log minutes, and their derivatives */
    double log, by_z, by_run;
};

static inline struct run_on run_on(const struct wr_days *days, size_t trial, size_t k, double z_free, double run_push)
{
    size_t draw = days->draw[trial];
    double by_v, by_least, slope = days->slope[k * days->n_draw + draw];
    struct reach r = running_reach(days, trial, k, run_push);
    double z = wr_tail_above(days->tail, z_free, r.least, &by_v, &by_least);

    return (struct run_on){fmax(days->elapsed_log[k], r.centre_log + slope * z), slope * by_v,
                           days->run_sd[draw] * (1 - by_least)}; /* a slower day needs less luck to run so long */
}

static struct wr_taken running_minutes(const struct wr_days *days, size_t trial, size_t k, double z_free,
                                       double run_push)
{
    double elapsed = fmax(0, wr_now_modelled_min(days->now, k));
    struct wr_taken t = {0};

    switch ((enum wr_form)days->form[k]) {
    case WR_FORM_FIXED: t.minutes = days->base_min[k][trial]; break;
    case WR_FORM_BENT: t = running_bent(days, trial, k, z_free, run_push); break;
    case WR_FORM_LOG: {
        struct run_on on = run_on(days, trial, k, z_free, run_push);
        t.minutes = exp(on.log);
        t.by_z = t.minutes * on.by_z;
        t.by_run = t.minutes * on.by_run;
    } break;
    }
    t.minutes = fmax(elapsed, t.minutes);
    return t;
}

void wr_days_run_on(const struct wr_days *days, const struct wr_way *way, const size_t *trial, size_t n, size_t k,
                    const double *delta, double *minutes_log, double *rate)
{
    const double by_task = way ? way->task[k] : 0, by_run = way ? way->run : 0;

    for (size_t i = 0; i < n; i++) {
        double z_free = (double)days->z[k * days->n_trial + trial[i]] + by_task * delta[i];
        struct run_on on = run_on(days, trial[i], k, z_free, by_run * delta[i]);
        minutes_log[i] = on.log;
        rate[i] = by_task * on.by_z + by_run * on.by_run;
    }
}

bool wr_days_begun(const struct wr_days *days, const struct wr_way *way, size_t trial, size_t k, double delta,
                   struct wr_taken *taken)
{
    const struct wr_now_state *now = days->now;
    double a = way ? way->task[k] : 0, run = way ? way->run : 0;

    if (!wr_days_begin_is_known(days, k)) return false;
    if (now->state[k] == WR_NOW_DONE) *taken = (struct wr_taken){.minutes = now->end_min[k] - now->begin_min[k]};
    else *taken = running_minutes(days, trial, k, (double)days->z[k * days->n_trial + trial] + a * delta, run * delta);
    return true;
}

double wr_days_log_weight(const struct wr_days *days, const struct wr_way *way, size_t trial, double delta)
{
    const struct wr_now_state *now = days->now;
    double run_push = way ? way->run * delta : 0, log_weight = 0;

    if (!days->weighted) return 0;
    if (days->past_log_weight) log_weight = days->past_log_weight[trial];
    if (now->log_correction) {
        double place = ((double)days->run_score[trial] + run_push + now->reach) / (2 * now->reach);
        place = fmin(fmax(place, 0), 1) * (double)(now->n_node - 1);
        size_t i = place >= (double)(now->n_node - 1) ? now->n_node - 2 : (size_t)place;
        const double *c = now->log_correction + days->draw[trial] * now->n_node + i;
        log_weight += c[0] + (c[1] - c[0]) * (place - (double)i);
    }
    for (size_t i = 0; i < days->n_running; i++) {
        size_t k = days->running[i];
        double tail = wr_tail_log(days->tail, running_reach(days, trial, k, run_push).least);
        /* past the most that was judged no day speaks for it, and none may be left without weight */
        log_weight += days->form[k] == WR_FORM_BENT ? fmax(tail, LEAST_LOG_WEIGHT) : tail;
    }
    return log_weight;
}

/* ---- walking ---- */

void wr_walk_init(struct wr_walk *w, size_t n)
{
    double *block = wr_alloc(n, 7 * sizeof(double));

    *w = (struct wr_walk){.start_min = block, .end_min = block + n, .start_rate = block + 2 * n,
                          .end_rate = block + 3 * n, .minutes = block + 4 * n, .by_z = block + 5 * n,
                          .by_run = block + 6 * n, .waited_for = WR_NEW_ARRAY(size_t, n),
                          .dropped = WR_NEW_ARRAY(unsigned char, n)};
}

void wr_walk_release(struct wr_walk *w)
{
    WR_FREE(w->start_min, w->waited_for, w->dropped);
    *w = (struct wr_walk){0};
}

double wr_days_bend_factor(const struct wr_days *days, size_t trial, size_t k)
{
    size_t cell = k * days->n_trial + trial;
    double slope;

    return days->base_min[k][trial] / fmax(wr_bend_minutes(&days->bend[k], (double)days->z[cell], &slope), 1e-9);
}

/* Minutes of a task that has not begun. run_factor = exp(run effect's part of the push). */
static struct wr_taken pushed_minutes(const struct wr_days *days, size_t trial, size_t k, double z_push,
                                      double run_factor)
{
    size_t cell = k * days->n_trial + trial, draw = days->draw[trial];
    struct wr_taken t = {.minutes = days->base_min[k][trial]};

    switch ((enum wr_form)days->form[k]) {
    case WR_FORM_FIXED: break;
    case WR_FORM_BENT: {
        double factor = wr_days_bend_factor(days, trial, k) * run_factor;
        double bent = wr_bend_minutes(&days->bend[k], (double)days->z[cell] + z_push, &t.by_z);
        t.by_z *= factor;
        t.minutes = z_push != 0 ? bent * factor : t.minutes * run_factor; /* as simulated, to the last bit */
        t.by_run = t.minutes * days->run_sd[draw];
    } break;
    case WR_FORM_LOG:
        t.minutes *= run_factor;
        {
            double slope = days->slope[k * days->n_draw + draw];
            if (z_push != 0) t.minutes *= exp(slope * z_push);
            t.by_z = t.minutes * slope;
            t.by_run = t.minutes * days->run_sd[draw];
        }
        break;
    }
    return t;
}

static void find_start(const struct wr_days *days, size_t k, struct wr_walk *w)
{
    const struct wr_network *net = days->net;
    double start = days->floor_min[k], rate = 0;
    size_t waited_for = SIZE_MAX;

    for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
        size_t p = net->pred[j];
        if (w->end_min[p] <= start) continue;
        start = w->end_min[p];
        rate = w->end_rate[p];
        waited_for = p;
    }
    w->start_min[k] = start;
    w->start_rate[k] = rate;
    w->waited_for[k] = waited_for;
}

void wr_days_walk(const struct wr_days *days, const struct wr_way *way, const size_t *list, size_t n, size_t trial,
                  double delta, struct wr_walk *w)
{
    double run = way ? way->run : 0, run_factor = 1;

    if (run * delta != 0) run_factor = exp(days->run_sd[days->draw[trial]] * run * delta);
    for (size_t i = 0; i < n; i++) {
        size_t k = list[i];
        double a = way ? way->task[k] : 0;
        struct wr_taken taken;
        if (wr_days_begun(days, way, trial, k, delta, &taken)) {
            w->start_min[k] = days->now->begin_min[k];
            w->start_rate[k] = 0;
            w->waited_for[k] = SIZE_MAX;
            w->dropped[k] = 0;
        } else {
            find_start(days, k, w);
            w->dropped[k] = w->start_min[k] > days->drop_after_min[k];
            taken = w->dropped[k] ? (struct wr_taken){0} : pushed_minutes(days, trial, k, a * delta, run_factor);
        }
        w->minutes[k] = taken.minutes;
        w->by_z[k] = taken.by_z;
        w->by_run[k] = taken.by_run;
        w->end_min[k] = w->start_min[k] + wr_days_held_min(days, k) + taken.minutes;
        w->end_rate[k] = w->start_rate[k] + taken.by_z * a + taken.by_run * run;
        wr_days_pin_past(days, k, &w->start_min[k], &w->start_rate[k], &w->end_min[k], &w->end_rate[k]);
    }
}

double wr_days_outcome(const struct wr_days *days, const struct wr_sim_limit *limit, size_t trial)
{
    return wr_limit_outcome(days->net, limit, days->start_min + trial, days->end_min + trial, days->n_trial);
}

void wr_walk_gradient(const struct wr_walk *w, size_t k, double factor, double *run, double *task)
{
    for (size_t p = w->waited_for[k]; p != SIZE_MAX; p = w->waited_for[p]) {
        task[p] += factor * w->by_z[p];
        *run += factor * w->by_run[p];
    }
}
