#include "wetrun/sim/forecast.h"

#include <math.h>
#include "forecast_on.h"
#include "points.h"
#include "setup.h"
#include "trials.h"
#include "wetrun/base/memory.h"

const double wr_quantile_prob[WR_N_QUANTILE] = {0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95, 0.975, 0.99};
const double wr_lens_prob[WR_N_LENS] = {0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975};

enum {
    DEFAULT_TRIALS = 1 << 18,
    N_GRID = 96,            /* of ln finish, for the curve of each draw */
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
    double n = (double)t->sums.n_detail[k], covariance = share(t->sums.score_dev[k], t->n_trial);

    if (n > 0) {
        double about = t->sums.minutes[k] / n;
        o->mean_min = (double)minutes->typical + about;
        o->sd_min = sqrt(fmax(t->sums.minutes_minutes[k] / n - about * about, 0));
    }
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

/* Lanes that all end with one task are done when all is: that median comes from all trials, the lanes' own from fewer. No
 * lane is done after all are. */
static double lane_end_median(const struct wr_forecast *f, const struct wr_setup *s, const struct wr_trials *t, size_t lane)
{
    const struct wr_network *net = s->net;
    bool last_is_common = true;

    for (size_t l = 1; l < net->n_lane; l++) last_is_common &= net->lane_last[l] == net->lane_last[0];
    return last_is_common ? f->quantile_min[4] : fmin(lane_median(t, lane, WR_LANE_END), f->quantile_min[4]);
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
    wr_free(l);
    wr_free(y);
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

/* The i-th smallest of value[n] goes to its place, smaller ones before it (Hoare's selection). */
static double place(double *value, size_t n, size_t i)
{
    size_t low = 0, high = n - 1;

    while (low < high) {
        double pivot = value[low + (high - low) / 2];
        size_t a = low, b = high;
        for (;;) {
            while (value[a] < pivot) a++;
            while (pivot < value[b]) b--;
            if (a >= b) break;
            double swap = value[a];
            value[a++] = value[b];
            value[b--] = swap;
        }
        if (i <= b) high = b;
        else low = b + 1;
    }
    return value[i];
}

/* Type 7 quantile of value[n], which is left in another order. */
static double quantile(double *value, size_t n, double prob)
{
    double rank = prob * (double)(n - 1);
    size_t i = (size_t)rank;
    double low = place(value, n, i), high = INFINITY;

    if (i + 1 >= n) return low;
    for (size_t j = i + 1; j < n; j++) high = fmin(high, value[j]);
    return low + (rank - (double)i) * (high - low);
}

/* Means over draws and replicates of what[draw * WR_REPLICATES + replicate]; the spread of the replicates' means gives
 * the Monte Carlo error, the spread within draws tells how much of that between draws is noise. */
struct spread {
    double mean, mc_error, between, within;
};

static struct spread spread_of(const double *what, size_t n_draw, double *by_draw)
{
    struct spread s = {0};
    double replicate[WR_REPLICATES] = {0};

    for (size_t j = 0; j < n_draw; j++) {
        double sum = 0, squares = 0;
        for (size_t r = 0; r < WR_REPLICATES; r++) {
            sum += what[j * WR_REPLICATES + r];
            replicate[r] += what[j * WR_REPLICATES + r] / (double)n_draw;
        }
        by_draw[j] = sum / WR_REPLICATES;
        for (size_t r = 0; r < WR_REPLICATES; r++)
            squares += (what[j * WR_REPLICATES + r] - by_draw[j]) * (what[j * WR_REPLICATES + r] - by_draw[j]);
        s.mean += by_draw[j] / (double)n_draw;
        s.within += squares / (WR_REPLICATES - 1) / WR_REPLICATES / (double)n_draw;
    }
    for (size_t j = 0; j < n_draw; j++) s.between += (by_draw[j] - s.mean) * (by_draw[j] - s.mean) / (double)n_draw;
    for (size_t r = 0; r < WR_REPLICATES; r++) s.mc_error += (replicate[r] - s.mean) * (replicate[r] - s.mean);
    s.mc_error = sqrt(s.mc_error / (WR_REPLICATES - 1) / WR_REPLICATES);
    return s;
}

static void fill_probability(struct wr_probability *p, const struct wr_points *points, size_t quantity, double *by_draw)
{
    size_t n = points->n_draw;
    double *scratch = WR_NEW_ARRAY(double, n);
    struct spread s = spread_of(points->over + quantity * n * WR_REPLICATES, n, by_draw);
    double keep = s.between > s.within ? sqrt(1 - s.within / s.between) : n > 1 ? 0 : 1;

    for (size_t j = 0; j < n; j++) scratch[j] = by_draw[j] = s.mean + keep * (by_draw[j] - s.mean);
    p->mean = s.mean;
    p->mc_error = s.mc_error;
    p->lo = quantile(scratch, n, 0.05);
    p->hi = quantile(scratch, n, 0.95);
    wr_free(scratch);
}

static double parameter_share(const struct wr_points *points, double variance)
{
    double *by_draw = WR_NEW_ARRAY(double, points->n_draw);
    struct spread s = spread_of(points->finish, points->n_draw, by_draw);

    wr_free(by_draw);
    return variance > 0 ? fmax(s.between - s.within, 0) / variance : 0;
}

/* P(finish > exp(ln)) of one draw, straight between grid points. */
static double on_curve(const double *curve, const double *grid_ln, double ln)
{
    double at = (ln - grid_ln[0]) / (grid_ln[N_GRID - 1] - grid_ln[0]) * (N_GRID - 1);

    if (at <= 0) return curve[0];
    if (at >= N_GRID - 1) return curve[N_GRID - 1];
    size_t g = (size_t)at;
    return curve[g] + (at - (double)g) * (curve[g + 1] - curve[g]);
}

/* ln of the finish that one draw passes with probability over; the curve falls. */
static double where_curve_is(const double *curve, const double *grid_ln, double over)
{
    size_t low = 0, high = N_GRID - 1;

    if (curve[0] <= over) return grid_ln[0];
    if (curve[N_GRID - 1] > over) return grid_ln[N_GRID - 1];
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        if (curve[middle] > over) low = middle;
        else high = middle;
    }
    return grid_ln[low] + (grid_ln[high] - grid_ln[low]) * (curve[low] - over) / (curve[low] - curve[high]);
}

/* One quantity per draw, estimated twice from points of their own: a[j] becomes their mean, pulled towards the mean over
 * draws so far that its variance is what the two have in common. Returns that mean. */
static double settle(double *a, const double *b, size_t n)
{
    double mean_a = 0, mean_b = 0, common = 0, variance = 0;

    for (size_t j = 0; j < n; j++) {
        mean_a += a[j] / (double)n;
        mean_b += b[j] / (double)n;
    }
    double mean = 0.5 * (mean_a + mean_b);
    for (size_t j = 0; j < n; j++) {
        double both = 0.5 * (a[j] + b[j]) - mean;
        common += (a[j] - mean_a) * (b[j] - mean_b);
        variance += both * both;
    }
    double keep = n == 1 || variance <= 0 ? 1 : sqrt(fmin(fmax(common / variance, 0), 1));
    for (size_t j = 0; j < n; j++) a[j] = mean + keep * (0.5 * (a[j] + b[j]) - mean);
    return mean;
}

static void fill_curve(struct wr_forecast *f, const struct wr_points *p, const double *grid_ln, double from, double to)
{
    size_t n = p->n_draw;
    double *value[2] = {WR_NEW_ARRAY(double, n), WR_NEW_ARRAY(double, n)};

    f->n_curve = N_CURVE;
    f->curve_limit_min = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_over = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_lo = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_hi = WR_NEW_ARRAY(double, N_CURVE);
    for (size_t i = 0; i < N_CURVE; i++) {
        double minutes = from + (to - from) * (double)i / (N_CURVE - 1), ln = log(minutes);
        for (size_t half = 0; half < 2; half++)
            for (size_t j = 0; j < n; j++) value[half][j] = on_curve(p->curve[half] + j * N_GRID, grid_ln, ln);
        f->curve_limit_min[i] = minutes;
        f->curve_over[i] = settle(value[0], value[1], n);
        f->curve_lo[i] = quantile(value[0], n, 0.05);
        f->curve_hi[i] = quantile(value[0], n, 0.95);
    }
    for (size_t i = 0; i < WR_N_QUANTILE; i++) {
        for (size_t half = 0; half < 2; half++)
            for (size_t j = 0; j < n; j++)
                value[half][j] = where_curve_is(p->curve[half] + j * N_GRID, grid_ln, 1 - wr_quantile_prob[i]);
        settle(value[0], value[1], n);
        f->quantile_lo_min[i] = n > 1 ? exp(quantile(value[0], n, 0.05)) : f->quantile_min[i];
        f->quantile_hi_min[i] = n > 1 ? exp(quantile(value[0], n, 0.95)) : f->quantile_min[i];
    }
    wr_free(value[0]);
    wr_free(value[1]);
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

/* Points of one copy of the lattice per draw, to begin with. */
static size_t first_per_draw(const struct wr_setup *s, size_t n_trial)
{
    bool strata = wr_points_way(s) == WR_BY_STRATA;
    size_t per_draw = strata ? 2 * WR_AT_ONCE : WR_AT_ONCE, least = strata ? 2 * LEAST_POINTS : LEAST_POINTS;

    while (per_draw * s->n_draw < least || per_draw * s->n_draw * WR_REPLICATES < n_trial / 64) per_draw *= 2;
    return per_draw;
}

/* With the points wanted per draw; if that is 0, until the Monte Carlo error is a tenth of the interval that the
 * posterior leaves. */
static void run_points(struct wr_forecast *f, const struct wr_setup *s, const struct wr_sim_options *o, size_t wanted,
                       const double *grid_ln, size_t n_grid, struct wr_points *p)
{
    struct progress progress = {o, 0.5, 0.75};
    size_t per_draw = wanted ? wanted : first_per_draw(s, f->n_trial);
    double *by_draw = WR_NEW_ARRAY(double, s->n_draw);

    for (int doubling = 0;; doubling++) {
        wr_points_run(p, s, per_draw, grid_ln, n_grid, o->n_thread, o->progress ? pass_on : NULL, &progress);
        for (size_t q = 0; q < f->n_limit; q++)
            fill_probability(&f->limit[q].over, p, q, f->draw_over + q * s->n_draw);
        if (f->n_limit) fill_probability(&f->any_over, p, f->n_limit, by_draw);
        bool enough = f->n_limit == 0 || s->n_draw == 1
                      || f->limit[0].over.mc_error <= 0.1 * (f->limit[0].over.hi - f->limit[0].over.lo);
        if (enough || doubling == MOST_DOUBLINGS || o->n_trial || wanted) break;
        progress.from = progress.to;
        progress.to = 0.5 * (progress.to + 1);
        per_draw *= 2;
        wr_points_release(p);
    }
    f->n_point = per_draw * s->n_draw * WR_REPLICATES;
    wr_free(by_draw);
}

static void open_forecast(struct wr_forecast *f, const struct wr_setup *s, size_t n_trial)
{
    *f = (struct wr_forecast){.n_trial = n_trial, .n_task = s->n_task, .n_lane = s->net->n_lane,
                              .n_limit = s->n_limit, .n_draw = s->n_draw};
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
    size_t n_trial = options->n_trial ? options->n_trial : DEFAULT_TRIALS;
    struct progress progress = {options, 0, 0.5};
    struct wr_setup setup;
    struct wr_trials trials = {0};
    struct wr_points points = {0};
    double grid_ln[N_GRID], end[2];
    const double end_prob[2] = {0.0005, 0.9995};

    *f = (struct wr_forecast){0};
    if (n_trial > UINT32_MAX)
        return wr_fail(err, WR_E_USAGE, "%zu trials are more than the engine counts (%u)", n_trial, UINT32_MAX);
    enum wr_status status = wr_setup_build(&setup, kernel, net, durations, options->limit, options->n_limit,
                                           options->seed, err);
    if (status != WR_OK) return status;
    open_forecast(f, &setup, n_trial);
    wr_trials_run(&trials, &setup, n_trial, options->n_thread, options->progress ? pass_on : NULL, &progress);
    fill_from_trials(f, &setup, &trials);

    wr_window_quantiles(&trials.finish_window, trials.finish_count, end_prob, 2, end);
    if (f->n_limit && !options->limit[0].is_clock) { /* the curve is to show the excursion limit */
        end[0] = fmin(end[0], 0.98 * options->limit[0].minutes);
        end[1] = fmax(end[1], 1.02 * options->limit[0].minutes);
    }
    end[0] = fmax(end[0], 1e-3);
    end[1] = fmax(end[1], 1.001 * end[0]);
    double low = log(end[0]), width = log(end[1]) - low;
    for (size_t g = 0; g < N_GRID; g++) grid_ln[g] = low + width * (1.45 * (double)g / (N_GRID - 1) - 0.15);
    run_points(f, &setup, options, 0, grid_ln, N_GRID, &points);
    fill_curve(f, &points, grid_ln, end[0], end[1]);
    f->parameter_share = parameter_share(&points, f->sd_min * f->sd_min);
    if (options->progress) options->progress(options->progress_arg, 1);

    wr_points_release(&points);
    wr_trials_release(&trials);
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
    static const double no_curve[2] = {0, 1};
    struct wr_sim_options own = {.seed = options->seed, .n_thread = options->n_thread, .limit = options->limit,
                                 .n_limit = 1};
    struct wr_limit_outlook limit = {{0}};
    struct wr_forecast f = {.n_trial = DEFAULT_TRIALS, .n_limit = 1, .limit = &limit, .draw_over = draw_over};
    struct wr_setup setup;
    struct wr_points points = {0};

    WR_BUG_IF(options->n_limit == 0);
    enum wr_status status = wr_setup_build(&setup, wr_kernel_best(), net, durations, own.limit, 1, own.seed, err);
    if (status != WR_OK) return status;
    run_points(&f, &setup, &own, per_draw, no_curve, 2, &points);
    *over = limit.over;
    wr_points_release(&points);
    wr_setup_release(&setup);
    return WR_OK;
}

void wr_forecast_release(struct wr_forecast *f)
{
    wr_free(f->hundredth_min);
    wr_free(f->limit);
    wr_free(f->task);
    wr_free(f->lane);
    wr_free(f->draw_over);
    wr_free(f->curve_limit_min);
    wr_free(f->curve_over);
    wr_free(f->curve_lo);
    wr_free(f->curve_hi);
    *f = (struct wr_forecast){0};
}
