#include "wetrun/sim/forecast.h"

#include <math.h>
#include "forecast_on.h"
#include "over_draws.h"
#include "points.h"
#include "setup.h"
#include "trials.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"

const double wr_quantile_prob[WR_N_QUANTILE] = {
    [WR_Q2_5] = 0.025, [WR_Q5] = 0.05, [WR_Q10] = 0.1,  [WR_Q25] = 0.25,    [WR_Q50] = 0.5, [WR_Q75] = 0.75,
    [WR_Q80] = 0.8,    [WR_Q90] = 0.9, [WR_Q95] = 0.95, [WR_Q97_5] = 0.975, [WR_Q99] = 0.99};
const double wr_lens_prob[WR_N_LENS] = {
    [WR_LENS2_5] = 0.025, [WR_LENS10] = 0.1, [WR_LENS25] = 0.25,   [WR_LENS50] = 0.5,
    [WR_LENS75] = 0.75,   [WR_LENS90] = 0.9, [WR_LENS97_5] = 0.975};

enum {
    N_NEAR = 96, N_FAR = 32, /* of ln finish, for the curve of each draw: where the days are; beyond, in a long tail */
    N_CURVE = 101,
    LEAST_POINTS = 4096,    /* of one copy of the lattice */
    MOST_DOUBLINGS = 4
};

/* ---- from the trials ---- */

static double share(double part, size_t n)
{
    return part / (double)n;
}

static void fill_finish(struct wr_forecast *f, const struct wr_trials *t)
{
    double dev = share(t->sums.dev, t->n_trial), prob[100];

    f->mean_min = (double)t->finish_window.typical + dev;
    f->sd_min = sqrt(fmax(share(t->sums.dev_dev, t->n_trial) - dev * dev, 0));
    wr_window_quantiles(&t->finish_window, t->finish_count, wr_quantile_prob, WR_N_QUANTILE, f->quantile_min);
    wr_window_quantiles(&t->finish_window, t->finish_count, wr_lens_prob, WR_N_LENS, f->lens_min);
    for (size_t i = 0; i < 100; i++) prob[i] = ((double)i + 0.5) / 100;
    wr_window_quantiles(&t->finish_window, t->finish_count, prob, 100, f->hundredth_min);
}

static void fill_task(struct wr_task_outlook *o, const struct wr_trials *t, size_t k, double variance)
{
    const struct wr_window *minutes = wr_trials_window(t, k, WR_DETAIL_MINUTES);
    const uint64_t *count = wr_trials_count(t, k, WR_DETAIL_MINUTES);
    double n = (double)t->sums.n_detail, about = t->sums.minutes[k] / n;
    double covariance = share(t->sums.score_dev[k], t->n_trial);

    o->mean_min = (double)minutes->typical + about;
    o->sd_min = sqrt(fmax(t->sums.minutes_minutes[k] / n - about * about, 0));
    wr_window_quantiles(minutes, count, wr_lens_prob, WR_N_LENS, o->lens_min);
    o->median_min = wr_window_quantile(minutes, count, 0.5);
    o->p80_min = wr_window_quantile(minutes, count, 0.8);
    o->p95_min = wr_window_quantile(minutes, count, 0.95);
    wr_window_quantiles(wr_trials_window(t, k, WR_DETAIL_START), wr_trials_count(t, k, WR_DETAIL_START), wr_lens_prob,
                        WR_N_LENS, o->start_min);
    wr_window_quantiles(wr_trials_window(t, k, WR_DETAIL_END), wr_trials_count(t, k, WR_DETAIL_END), wr_lens_prob,
                        WR_N_LENS, o->end_min);
    o->on_longest_path = share((double)t->sums.path[k], t->n_trial);
    o->dropped = share((double)t->sums.dropped[k], t->n_trial);
    o->variance_share = variance > 0 ? covariance * covariance / variance : 0; /* a score has variance 1 */
}

static double lane_median(const struct wr_trials *t, size_t lane, enum wr_lane_detail what)
{
    size_t at = wr_trials_lane_at(t, lane, what);

    return wr_window_quantile(&t->window[at], t->count + at * WR_DETAIL_BINS, 0.5);
}

/* Lanes that all end with one task are done when all is: that median comes from all trials, the lanes' own from fewer.
 * No lane is done after all are. */
static double lane_end_median(const struct wr_forecast *f, const struct wr_setup *s, const struct wr_trials *t,
                              size_t lane)
{
    const struct wr_network *net = s->net;
    bool last_is_common = true;

    for (size_t l = 1; l < net->n_lane; l++) last_is_common &= net->lane_last[l] == net->lane_last[0];
    return last_is_common ? f->quantile_min[WR_Q50] : fmin(lane_median(t, lane, WR_LANE_END), f->quantile_min[WR_Q50]);
}

/* Share of the variance that a least-squares line in the lanes' people explains: c' S^-1 c / variance, by Cholesky;
 * a lane that adds nothing to those before it (the same person's, or nobody's) is passed over. */
static double people_share(const struct wr_trials *t, double variance)
{
    size_t n = t->n_person_lane;
    double *l = WR_NEW_ARRAY(double, n * n), *y = WR_NEW_ARRAY(double, n), explained = 0;

    for (size_t i = 0; i < n && variance > 0; i++) {
        double pivot = share(t->sums.lane_lane[i * n + i], t->n_trial), rest;
        for (size_t j = 0; j < i; j++) {
            rest = share(t->sums.lane_lane[i * n + j], t->n_trial);
            for (size_t k = 0; k < j; k++) rest -= l[i * n + k] * l[j * n + k];
            l[i * n + j] = l[j * n + j] > 0 ? rest / l[j * n + j] : 0;
        }
        rest = pivot;
        for (size_t k = 0; k < i; k++) rest -= l[i * n + k] * l[i * n + k];
        if (!(rest > 1e-6 * pivot)) continue;
        l[i * n + i] = sqrt(rest);
        y[i] = share(t->sums.lane_dev[i], t->n_trial);
        for (size_t k = 0; k < i; k++) y[i] -= l[i * n + k] * y[k];
        y[i] /= l[i * n + i];
        explained += y[i] * y[i];
    }
    WR_FREE(l, y);
    return variance > 0 ? explained / variance : 0;
}

static void fill_from_trials(struct wr_forecast *f, const struct wr_setup *s, const struct wr_trials *t)
{
    fill_finish(f, t);
    double variance = f->sd_min * f->sd_min, run = share(t->sums.run_dev, t->n_trial);
    double run_run = share(t->sums.run_run, t->n_trial);
    for (size_t k = 0; k < f->n_task; k++) fill_task(&f->task[k], t, k, variance);
    for (size_t l = 0; l < f->n_lane; l++)
        f->lane[l] = (struct wr_lane_outlook){lane_median(t, l, WR_LANE_BUSY), lane_median(t, l, WR_LANE_WAITING),
                                              lane_end_median(f, s, t, l)};
    f->run_effect_share = variance > 0 && run_run > 0 ? run * run / run_run / variance : 0;
    f->people_share = s->people_vary ? people_share(t, variance) : 0;
}

/* ---- from the points ---- */

/* What the posterior draws of the finish's mean tell: how much of the variance is what is not known, and the error of
 * the mean that the trials gave. */
static void fill_mean(struct wr_forecast *f, const struct wr_points *points, bool known)
{
    double *by_draw = WR_NEW_ARRAY(double, points->n_draw), variance = f->sd_min * f->sd_min;
    struct wr_spread s = wr_spread_over(points->finish, points->n_draw, known, by_draw);

    wr_free(by_draw);
    f->parameter_share = variance > 0 ? fmax(s.between - s.within, 0) / variance : 0;
    f->mean_mc_error_min = hypot(s.draw_error, f->sd_min / sqrt((double)f->n_trial));
}

/* Each share is estimated by itself; with many tasks and few trials their noise, which only adds, may bring them beyond
 * the whole. */
static void shares_add_up(struct wr_forecast *f)
{
    double sum = f->run_effect_share + f->people_share + f->parameter_share;

    for (size_t k = 0; k < f->n_task; k++) sum += f->task[k].variance_share;
    if (sum <= 1) return;
    for (size_t k = 0; k < f->n_task; k++) f->task[k].variance_share /= sum;
    f->run_effect_share /= sum;
    f->people_share /= sum;
    f->parameter_share /= sum;
}

/* Where the draws' curves are known, and the limits that the forecast's own is stated at. */
struct grid {
    double ln[N_NEAR + N_FAR];
    size_t n;
    double from_min, to_min;
    bool by_ratio;          /* its limits grow by a factor; else by minutes */
};

/* A lognormal finish has its 99.95 % point, in the log, twice as far from the middle as its 95 % point. One with a
 * longer tail has it beyond any day that a plan is made for: its limits end at two and a half times, or at six times
 * the middle if that is later. */
static void lay_grid(struct grid *grid, const struct wr_forecast *f, const struct wr_trials *t,
                     const struct wr_sim_limit *shown)
{
    static const double end_prob[2] = {0.0005, 0.9995}, room = 2.5, wide = 6;
    double end[2], half = f->quantile_min[WR_Q50], far;

    wr_window_quantiles(&t->finish_window, t->finish_count, end_prob, 2, end);
    grid->by_ratio = half > 0 && end[1] > wide * half;
    far = end[1];
    if (grid->by_ratio) {
        end[0] = fmax(end[0], half * pow(f->quantile_min[WR_Q5] / half, room));
        end[1] = fmin(end[1], half * fmax(wide, pow(f->quantile_min[WR_Q95] / half, room)));
    }
    if (shown) {
        end[0] = fmin(end[0], 0.98 * shown->minutes);
        end[1] = fmax(end[1], 1.02 * shown->minutes);
    }
    grid->from_min = fmax(end[0], 1e-3);
    grid->to_min = fmax(end[1], 1.001 * grid->from_min);
    /* no draw but one in twenty has its 99 % point beyond the 99.95 % point of all */
    double low = log(grid->from_min), width = log(grid->to_min) - low, last, step;
    for (grid->n = 0; grid->n < N_NEAR; grid->n++)
        grid->ln[grid->n] = low + width * (1.45 * (double)grid->n / (N_NEAR - 1) - 0.15);
    last = grid->ln[N_NEAR - 1];
    step = (log(fmax(far, 1e-3)) + 0.3 * width - last) / N_FAR;
    while (step > width / N_NEAR && grid->n < N_NEAR + N_FAR) {
        grid->ln[grid->n] = last + step * (double)(grid->n - N_NEAR + 1);
        grid->n++;
    }
}

struct place { size_t at; double part; }; /* between two points of the grid */

static struct place place_of(const struct grid *grid, double ln)
{
    size_t low = 0, high = grid->n - 1;

    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (grid->ln[middle] <= ln) low = middle;
        else high = middle;
    }
    return (struct place){low, fmin(fmax((ln - grid->ln[low]) / (grid->ln[high] - grid->ln[low]), 0), 1)};
}

/* P(finish > exp(ln)) of one draw, straight between grid points. */
static double on_curve(const double *curve, struct place place)
{
    return curve[place.at] + place.part * (curve[place.at + 1] - curve[place.at]);
}

/* ln of the finish that one draw passes with probability over; the curve falls. */
static double where_curve_is(const double *curve, const struct grid *grid, double over)
{
    size_t low = 0, high = grid->n - 1;

    if (curve[0] <= over) return grid->ln[0];
    if (curve[high] > over) return grid->ln[high];
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (curve[middle] > over) low = middle;
        else high = middle;
    }
    return grid->ln[low] + (grid->ln[high] - grid->ln[low]) * (curve[low] - over) / (curve[low] - curve[high]);
}

static void fill_curve(struct wr_forecast *f, const struct wr_points *p, const struct grid *grid)
{
    size_t n = p->n_draw;
    double from = grid->from_min, to = grid->to_min;
    double *value[2] = {WR_NEW_ARRAY(double, n), WR_NEW_ARRAY(double, n)};

    f->n_curve = N_CURVE;
    f->curve_limit_min = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_over = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_lo = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_hi = WR_NEW_ARRAY(double, N_CURVE);
    for (size_t i = 0; i < N_CURVE; i++) {
        double part = (double)i / (N_CURVE - 1),
               minutes = grid->by_ratio ? from * pow(to / from, part) : from + (to - from) * part;
        const struct place place = place_of(grid, log(minutes));
        for (size_t half = 0; half < 2; half++)
            for (size_t j = 0; j < n; j++) value[half][j] = on_curve(p->curve[half] + j * grid->n, place);
        f->curve_limit_min[i] = minutes;
        f->curve_over[i] = wr_reconcile_halves(value[0], value[1], n, f->nothing_unknown);
        f->curve_lo[i] = fmin(wr_quantile_in_place(value[0], n, 0.05), f->curve_over[i]);
        f->curve_hi[i] = fmax(wr_quantile_in_place(value[0], n, 0.95), f->curve_over[i]);
    }
    WR_FREE(value[0], value[1]);
}

/* As of a probability: few draws far out may bring the quantile of all days beyond what nine draws in ten span. */
static void fill_quantile_intervals(struct wr_forecast *f, const struct wr_points *p, const struct grid *grid)
{
    size_t n = p->n_draw;
    double *value[2] = {WR_NEW_ARRAY(double, n), WR_NEW_ARRAY(double, n)};

    for (size_t i = 0; i < WR_N_QUANTILE; i++) {
        f->quantile_lo_min[i] = f->quantile_hi_min[i] = f->quantile_min[i];
        if (f->nothing_unknown) continue;
        for (size_t half = 0; half < 2; half++)
            for (size_t j = 0; j < n; j++)
                value[half][j] = where_curve_is(p->curve[half] + j * grid->n, grid, 1 - wr_quantile_prob[i]);
        wr_reconcile_halves(value[0], value[1], n, false);
        f->quantile_lo_min[i] = fmin(exp(wr_quantile_in_place(value[0], n, 0.05)), f->quantile_min[i]);
        f->quantile_hi_min[i] = fmax(exp(wr_quantile_in_place(value[0], n, 0.95)), f->quantile_min[i]);
    }
    WR_FREE(value[0], value[1]);
}

/* Error of the quantiles: of the share of finishes below each, from the draws (their curves there, in batches) and from
 * the trials' own number, times the slope of the quantile function. */
static void fill_quantile_errors(struct wr_forecast *f, const struct wr_points *p, const struct grid *grid,
                                 const struct wr_trials *t)
{
    WR_SCOPED double *below = WR_NEW_ARRAY(double, p->n_draw);

    for (size_t i = 0; i < WR_N_QUANTILE; i++) {
        double prob = wr_quantile_prob[i], at[2];
        const struct place place = place_of(grid, log(fmax(f->quantile_min[i], 1e-3)));
        for (size_t j = 0; j < p->n_draw; j++)
            below[j] = on_curve(p->curve[0] + j * grid->n, place) + on_curve(p->curve[1] + j * grid->n, place);
        double draws = f->nothing_unknown ? 0 : 0.5 * wr_batch_mean_error(below, p->n_draw);
        double error = hypot(draws, sqrt(prob * (1 - prob) / (double)f->n_trial));
        const double to[2] = {fmax(0, prob - error), fmin(1, prob + error)};
        wr_window_quantiles(&t->finish_window, t->finish_count, to, 2, at);
        f->quantile_mc_error_min[i] = (at[1] - at[0]) / (to[1] - to[0]) * error;
    }
}

/* Of the finishes beyond the first limit half come by the quantile that leaves half as many behind it. */
static void fill_half_over(struct wr_forecast *f, const struct wr_trials *t)
{
    if (f->n_limit)
        f->half_over_min =
            wr_window_quantile(&t->finish_window, t->finish_count, 1 - 0.5 * f->limit[0].over.mean);
}

/* ---- the run ---- */

struct progress {
    const struct wr_sim_options *options;
    double from, to;
};

static void pass_on(void *arg, double part)
{
    const struct progress *p = arg;

    p->options->progress(p->options->progress_arg, p->from + part * (p->to - p->from));
}

static const double *over_of(const struct wr_points *p, size_t quantity)
{
    return p->over + quantity * p->n_draw * WR_REPLICATES;
}

/* Points of one copy of the lattice per draw, to begin with. */
static size_t first_per_draw(const struct wr_setup *s, size_t n_trial)
{
    bool strata = wr_points_way(s) == WR_BY_STRATA;
    size_t per_draw = strata ? 2 * WR_AT_ONCE : WR_AT_ONCE, least = strata ? 2 * LEAST_POINTS : LEAST_POINTS;

    while (per_draw * s->n_draw < least || per_draw * s->n_draw * WR_REPLICATES < n_trial / 64) per_draw *= 2;
    return per_draw;
}

/* Whether more points are worth their time: their error matters beside that of the draws only while it is not a small
 * part of the interval; where nothing is unknown, nobody sees a hundredth part of a day in a hundred. */
static bool are_enough(const struct wr_probability *over)
{
    return over->point_error <= (over->no_interval ? 1e-4 : fmax(0.025 * (over->hi - over->lo), 1e-6));
}

static bool are_enough_for_all(const struct wr_forecast *f, double precision)
{
    if (f->n_limit == 0) return true;
    bool enough = are_enough(&f->limit[0].over);
    for (size_t q = 0; q < f->n_limit && precision > 0; q++)
        enough = enough && f->limit[q].over.point_error <= 0.5 * precision;
    return enough && (precision == 0 || f->any_over.point_error <= 0.5 * precision);
}

/* With the points wanted per draw; if that is 0, until they are enough. */
static void run_points(struct wr_forecast *f, const struct wr_setup *s, const struct wr_sim_options *o, size_t wanted,
                       const double *grid_ln, size_t n_grid, struct wr_points *p)
{
    struct progress progress = {o, 0.5, 0.75};
    size_t per_draw = wanted ? wanted : first_per_draw(s, f->n_trial);
    WR_SCOPED double *by_draw = WR_NEW_ARRAY(double, s->n_draw);

    for (int doubling = 0;; doubling++) {
        wr_points_run(p, s, per_draw, grid_ln, n_grid, o->n_thread, o->progress ? pass_on : NULL, &progress);
        for (size_t q = 0; q < f->n_limit && s->same_points; q++)
            wr_level_replicates(p->over + q * s->n_draw * WR_REPLICATES, s->n_draw);
        for (size_t q = 0; q < f->n_limit; q++)
            wr_probability_over(&f->limit[q].over, over_of(p, q), s->n_draw, f->nothing_unknown,
                                f->draw_over + q * s->n_draw);
        if (f->n_limit)
            wr_probability_over(&f->any_over, over_of(p, f->n_limit), s->n_draw, f->nothing_unknown, by_draw);
        for (size_t q = 0; q < f->n_limit; q++) f->limit[q].over.certain = f->nothing_varies;
        f->any_over.certain = f->nothing_varies;
        if (are_enough_for_all(f, o->precision) || doubling == MOST_DOUBLINGS || o->n_trial || wanted) break;
        progress.from = progress.to;
        progress.to = 0.5 * (progress.to + 1);
        per_draw *= 2;
        wr_points_release(p);
    }
    f->n_point = per_draw * s->n_draw * WR_REPLICATES;
}

static void open_forecast(struct wr_forecast *f, const struct wr_setup *s, size_t n_trial)
{
    *f = (struct wr_forecast){.n_trial = n_trial, .n_task = s->n_task, .n_lane = s->net->n_lane,
                              .n_limit = s->n_limit, .n_draw = s->n_draw,
                              .nothing_varies = wr_durations_are_fixed(s->durations),
                              .nothing_unknown = wr_durations_are_known(s->durations)};
    f->hundredth_min = WR_NEW_ARRAY(double, 100);
    f->limit = WR_NEW_ARRAY(struct wr_limit_outlook, f->n_limit);
    f->task = WR_NEW_ARRAY(struct wr_task_outlook, f->n_task);
    f->lane = WR_NEW_ARRAY(struct wr_lane_outlook, f->n_lane);
    f->draw_over = wr_alloc(f->n_limit + 1, f->n_draw * sizeof(double));
}

enum wr_status wr_forecast_run_on(const struct wr_kernel *kernel, struct wr_forecast *f, const struct wr_network *net,
                                  const struct wr_durations *durations, const struct wr_sim_options *options,
                                  struct wr_error *err)
{
    size_t n_trial = options->n_trial ? options->n_trial : WR_USUAL_TRIALS;
    struct progress progress = {options, 0, 0.5};
    struct wr_setup setup;
    WR_RELEASED_BY(wr_trials_release) struct wr_trials trials = {0};
    WR_RELEASED_BY(wr_points_release) struct wr_points points = {0};
    struct grid grid;

    *f = (struct wr_forecast){0};
    if (n_trial > UINT32_MAX)
        return wr_fail(err, WR_E_USAGE, "%zu trials are more than the engine counts (%u)", n_trial, UINT32_MAX);
    enum wr_status status = wr_setup_build(&setup, kernel, net, durations, options->limit, options->n_limit,
                                           options->seed, err);
    if (status != WR_OK) return status;
    open_forecast(f, &setup, n_trial);
    f->precision = options->precision;
    wr_trials_run(&trials, &setup, n_trial, options->n_thread, options->progress ? pass_on : NULL, &progress);
    fill_from_trials(f, &setup, &trials);

    /* the curve is to show the excursion limit */
    lay_grid(&grid, f, &trials, f->n_limit && !options->limit[0].is_clock ? &options->limit[0] : NULL);
    run_points(f, &setup, options, 0, grid.ln, grid.n, &points);
    fill_half_over(f, &trials);
    fill_curve(f, &points, &grid);
    fill_quantile_intervals(f, &points, &grid);
    fill_quantile_errors(f, &points, &grid, &trials);
    fill_mean(f, &points, f->nothing_unknown);
    shares_add_up(f);
    if (options->progress) options->progress(options->progress_arg, 1);

    wr_setup_release(&setup);
    return WR_OK;
}

enum wr_status wr_forecast_run(struct wr_forecast *f, const struct wr_network *net,
                               const struct wr_durations *durations, const struct wr_sim_options *options,
                               struct wr_error *err)
{
    return wr_forecast_run_on(wr_kernel_best(), f, net, durations, options, err);
}

enum wr_status wr_forecast_over(double *draw_over, struct wr_probability *over, const struct wr_network *net,
                                const struct wr_durations *durations, const struct wr_sim_options *options,
                                size_t per_draw, struct wr_error *err)
{
    const struct wr_sim_options own = {.seed = options->seed, .n_thread = options->n_thread, .limit = options->limit,
                                       .n_limit = options->n_limit};
    WR_SCOPED struct wr_limit_outlook *limit = WR_NEW_ARRAY(struct wr_limit_outlook, own.n_limit);
    struct wr_forecast f = {.n_trial = WR_USUAL_TRIALS, .n_limit = own.n_limit, .limit = limit,
                            .draw_over = draw_over, .nothing_varies = wr_durations_are_fixed(durations),
                            .nothing_unknown = wr_durations_are_known(durations)};
    struct wr_setup setup;
    struct wr_points points = {0};

    WR_BUG_IF(options->n_limit == 0);
    enum wr_status status =
        wr_setup_build(&setup, wr_kernel_best(), net, durations, own.limit, own.n_limit, own.seed, err);
    if (status == WR_OK) {
        setup.same_points = options->same_points;
        run_points(&f, &setup, &own, per_draw, NULL, 0, &points);
        for (size_t l = 0; l < own.n_limit; l++) over[l] = limit[l].over;
        wr_points_release(&points);
        wr_setup_release(&setup);
    }
    return status;
}

double wr_forecast_worst_error(const struct wr_forecast *f, double *draws_part)
{
    double worst = 0;

    *draws_part = 0;
    for (size_t q = 0; f->n_limit && q <= f->n_limit; q++) {
        const struct wr_probability *over = q < f->n_limit ? &f->limit[q].over : &f->any_over;
        worst = fmax(worst, over->mc_error);
        *draws_part = fmax(*draws_part, sqrt(fmax(0, pow(over->mc_error, 2) - pow(over->point_error, 2))));
    }
    return worst;
}

/* ---- many limits ---- */

enum { LIMITS_AT_ONCE = 160, DRAWS_IN_ALL = 400000 /* of all limits at once: 100 MB */ };

/* The probabilities of a batch at one number of points; those that have enough of them, as run_points would say of a
 * forecast with that limit, are settled. Returns how many are still open. */
static size_t answer_batch(struct wr_probability *over, bool *settled, size_t n, const struct wr_points *p,
                           const struct wr_setup *s, bool is_last, double *by_draw)
{
    size_t n_open = 0;

    for (size_t i = 0; i < n; i++) {
        if (settled[i]) continue;
        wr_probability_over(&over[i], over_of(p, i), s->n_draw, wr_durations_are_known(s->durations), by_draw);
        over[i].certain = wr_durations_are_fixed(s->durations);
        settled[i] = is_last || are_enough(&over[i]);
        n_open += !settled[i];
    }
    return n_open;
}

static enum wr_status run_batch(struct wr_probability *over, const double *minutes, size_t n,
                                const struct wr_network *net, const struct wr_durations *durations,
                                const struct wr_sim_options *o, struct wr_error *err)
{
    WR_SCOPED struct wr_sim_limit *limit = WR_NEW_ARRAY(struct wr_sim_limit, n + o->n_limit);
    WR_SCOPED double *by_draw = WR_NEW_ARRAY(double, durations->n_draw);
    bool settled[LIMITS_AT_ONCE] = {false};
    struct wr_setup setup;

    for (size_t i = 0; i < n + o->n_limit; i++) limit[i] = o->limit[i < n ? 0 : i - n];
    for (size_t i = 0; i < n; i++) limit[i].minutes = minutes[i];
    /* the others stand behind: what is a clock decides how points are taken */
    enum wr_status status =
        wr_setup_build(&setup, wr_kernel_best(), net, durations, limit, n + o->n_limit, o->seed, err);
    if (status == WR_OK) {
        size_t per_draw = first_per_draw(&setup, o->n_trial ? o->n_trial : WR_USUAL_TRIALS), n_open = n;
        for (int doubling = 0; n_open > 0; doubling++, per_draw *= 2) {
            WR_RELEASED_BY(wr_points_release) struct wr_points points = {0};
            wr_points_run(&points, &setup, per_draw, NULL, 0, o->n_thread, NULL, NULL);
            n_open = answer_batch(over, settled, n, &points, &setup, doubling == MOST_DOUBLINGS || o->n_trial, by_draw);
        }
        wr_setup_release(&setup);
    }
    return status;
}

enum wr_status wr_forecast_limits(struct wr_probability *over, const double *minutes, size_t n,
                                  const struct wr_network *net, const struct wr_durations *durations,
                                  const struct wr_sim_options *options, struct wr_error *err)
{
    enum wr_status status = WR_OK;

    WR_BUG_IF(options->n_limit == 0);
    size_t most = DRAWS_IN_ALL / (durations->n_draw + 1) + 1;
    if (most > LIMITS_AT_ONCE) most = LIMITS_AT_ONCE;
    for (size_t done = 0; done < n && status == WR_OK; done += most) {
        size_t batch = n - done < most ? n - done : most;
        status = run_batch(over + done, minutes + done, batch, net, durations, options, err);
    }
    return status;
}

void wr_forecast_release(struct wr_forecast *f)
{
    WR_FREE(f->hundredth_min, f->limit, f->task, f->lane, f->draw_over, f->curve_limit_min, f->curve_over, f->curve_lo,
            f->curve_hi);
    *f = (struct wr_forecast){0};
}
