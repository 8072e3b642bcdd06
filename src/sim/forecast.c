#include "wetrun/sim/forecast.h"

#include <math.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"
#include "wetrun/sim/scenarios.h"

const double wr_quantile_prob[WR_N_QUANTILE] = {0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95, 0.975, 0.99};
const double wr_lens_prob[WR_N_LENS] = {0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975};

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static double quantile(const double *sorted, size_t n, double p)
{
    double place = p * (double)n - 0.5;

    if (n == 0) return 0;
    if (place <= 0) return sorted[0];
    if (place >= (double)(n - 1)) return sorted[n - 1];
    size_t i = (size_t)place;
    return sorted[i] + (place - (double)i) * (sorted[i + 1] - sorted[i]);
}

static void lens(double *value, size_t n, double out[WR_N_LENS])
{
    qsort(value, n, sizeof *value, by_size);
    for (size_t i = 0; i < WR_N_LENS; i++) out[i] = quantile(value, n, wr_lens_prob[i]);
}

struct days { /* all trials, run once */
    size_t n;
    double *finish, *start, *end, *duration; /* [trial], [task * n + trial] */
    unsigned char *dropped;
    double *lane_end, *busy;                 /* [lane * n + trial] */
    unsigned char *over;                     /* [limit * n + trial]; row n_limit: any of them */
};

static double measured(const struct wr_sim_limit *limit, const struct wr_network *net, const double *start,
                       const double *end, const double *lane_end)
{
    double latest = 0;

    if (limit->is_clock) return end[limit->to] - start[limit->from];
    for (size_t l = 0; l < net->n_lane; l++)
        if ((limit->lanes >> l & 1) && lane_end[l] > latest) latest = lane_end[l];
    return latest;
}

static void run_days(struct days *d, struct wr_forecast *f, const struct wr_network *net,
                     const struct wr_scenarios *s, const struct wr_sim_options *o)
{
    size_t n_task = net->n_task, n = s->n_trial;
    double *duration = WR_NEW_ARRAY(double, n_task), *start = WR_NEW_ARRAY(double, n_task);
    double *end = WR_NEW_ARRAY(double, n_task), *lane_end = WR_NEW_ARRAY(double, net->n_lane);
    unsigned char *dropped = WR_NEW_ARRAY(unsigned char, n_task), *path = WR_NEW_ARRAY(unsigned char, n_task);

    for (size_t t = 0; t < n; t++) {
        wr_scenarios_durations(s, t, duration);
        d->finish[t] = wr_network_forward(net, duration, start, end, dropped);
        wr_network_lane_ends(net, end, lane_end);
        wr_network_longest_path(net, start, end, dropped, path);
        for (size_t k = 0; k < n_task; k++) {
            d->start[k * n + t] = start[k];
            d->end[k * n + t] = end[k];
            d->duration[k * n + t] = duration[k];
            d->dropped[k * n + t] = dropped[k];
            f->task[k].on_longest_path += path[k] / (double)n;
            f->task[k].dropped += dropped[k] / (double)n;
            for (size_t l = 0; l < net->n_lane && !dropped[k]; l++)
                if (net->lanes[k] >> l & 1) d->busy[l * n + t] += duration[k];
        }
        for (size_t l = 0; l < net->n_lane; l++) d->lane_end[l * n + t] = lane_end[l];
        for (size_t i = 0; i < o->n_limit; i++) {
            d->over[i * n + t] = measured(&o->limit[i], net, start, end, lane_end) > o->limit[i].minutes;
            d->over[o->n_limit * n + t] |= d->over[i * n + t];
        }
        if (o->progress && t % 4096 == 0) o->progress(o->progress_arg, (double)t / (double)n);
    }
    wr_free(duration);
    wr_free(start);
    wr_free(end);
    wr_free(lane_end);
    wr_free(dropped);
    wr_free(path);
}

static double squared_correlation(const double *y, double mean, double sd, const float *x, size_t n)
{
    double sx = 0, sxx = 0, sxy = 0;

    for (size_t i = 0; i < n; i++) {
        sx += x[i];
        sxx += (double)x[i] * x[i];
        sxy += (y[i] - mean) * x[i];
    }
    double var = sxx / (double)n - sx / (double)n * sx / (double)n, cov = sxy / (double)n;
    return var > 0 && sd > 0 ? cov * cov / var / (sd * sd) : 0;
}

/* Share of trials over per posterior draw, pulled towards the mean by as much as counting spreads them. */
static void probability(struct wr_probability *p, const unsigned char *over, size_t n, size_t n_draw, double *by_draw)
{
    double total = 0, between = 0, within = 0;
    double *count = WR_NEW_ARRAY(double, n_draw), *sorted = WR_NEW_ARRAY(double, n_draw);

    for (size_t i = 0; i < n; i++) {
        by_draw[i % n_draw] += over[i];
        count[i % n_draw]++;
        total += over[i];
    }
    p->mean = total / (double)n;
    for (size_t j = 0; j < n_draw; j++) {
        by_draw[j] = count[j] > 0 ? by_draw[j] / count[j] : p->mean;
        between += (by_draw[j] - p->mean) * (by_draw[j] - p->mean) / (double)n_draw;
        if (count[j] > 1) within += by_draw[j] * (1 - by_draw[j]) / (count[j] - 1) / (double)n_draw;
    }
    double keep = between > within ? sqrt(1 - within / between) : 0;
    for (size_t j = 0; j < n_draw; j++) sorted[j] = by_draw[j] = p->mean + keep * (by_draw[j] - p->mean);
    qsort(sorted, n_draw, sizeof *sorted, by_size);
    p->lo = quantile(sorted, n_draw, 0.05);
    p->hi = quantile(sorted, n_draw, 0.95);
    p->mc_error = sqrt(p->mean * (1 - p->mean) / (double)n);
    wr_free(count);
    wr_free(sorted);
}

static void fill_tasks(struct wr_forecast *f, const struct days *d, const struct wr_scenarios *s)
{
    size_t n = d->n;
    double *x = WR_NEW_ARRAY(double, n), *a = WR_NEW_ARRAY(double, n), *b = WR_NEW_ARRAY(double, n);

    for (size_t k = 0; k < f->n_task; k++) {
        struct wr_task_outlook *t = &f->task[k];
        size_t m = 0;
        double sum = 0, squares = 0;
        for (size_t i = 0; i < n; i++) {
            if (d->dropped[k * n + i]) continue;
            x[m] = d->duration[k * n + i];
            a[m] = d->start[k * n + i];
            b[m] = d->end[k * n + i];
            sum += x[m++];
        }
        t->mean_min = m ? sum / (double)m : 0;
        for (size_t i = 0; i < m; i++) squares += (x[i] - t->mean_min) * (x[i] - t->mean_min);
        t->sd_min = m ? sqrt(squares / (double)m) : 0;
        lens(x, m, t->lens_min);
        t->median_min = quantile(x, m, 0.5);
        t->p80_min = quantile(x, m, 0.8);
        t->p95_min = quantile(x, m, 0.95);
        lens(a, m, t->start_min);
        lens(b, m, t->end_min);
        t->variance_share = squared_correlation(d->finish, f->mean_min, f->sd_min, s->score + k * n, n);
    }
    for (size_t l = 0; l < f->n_lane; l++) {
        for (size_t i = 0; i < n; i++) {
            a[i] = d->lane_end[l * n + i];
            b[i] = d->busy[l * n + i];
            x[i] = a[i] - b[i];
        }
        qsort(a, n, sizeof *a, by_size);
        qsort(b, n, sizeof *b, by_size);
        qsort(x, n, sizeof *x, by_size);
        f->lane[l] = (struct wr_lane_outlook){quantile(b, n, 0.5), quantile(x, n, 0.5), quantile(a, n, 0.5)};
    }
    wr_free(x);
    wr_free(a);
    wr_free(b);
}

static void fill_finish(struct wr_forecast *f, const struct days *d)
{
    size_t n = d->n;
    double *x = WR_NEW_ARRAY(double, n), sum = 0, squares = 0;

    for (size_t i = 0; i < n; i++) sum += x[i] = d->finish[i];
    f->mean_min = sum / (double)n;
    for (size_t i = 0; i < n; i++) squares += (x[i] - f->mean_min) * (x[i] - f->mean_min);
    f->sd_min = sqrt(squares / (double)n);
    lens(x, n, f->lens_min);
    for (size_t i = 0; i < WR_N_QUANTILE; i++)
        f->quantile_min[i] = f->quantile_lo_min[i] = f->quantile_hi_min[i] = quantile(x, n, wr_quantile_prob[i]);
    for (size_t i = 0; i < 100; i++) f->hundredth_min[i] = quantile(x, n, ((double)i + 0.5) / 100);
    f->n_curve = 101;
    f->curve_limit_min = WR_NEW_ARRAY(double, f->n_curve);
    f->curve_over = WR_NEW_ARRAY(double, f->n_curve);
    f->curve_lo = WR_NEW_ARRAY(double, f->n_curve);
    f->curve_hi = WR_NEW_ARRAY(double, f->n_curve);
    double first = quantile(x, n, 0.001), last = quantile(x, n, 0.999);
    double *scratch = WR_NEW_ARRAY(double, f->n_draw);
    unsigned char *over = WR_NEW_ARRAY(unsigned char, n);
    for (size_t g = 0; g < f->n_curve; g++) {
        struct wr_probability p;
        f->curve_limit_min[g] = first + (last - first) * (double)g / (double)(f->n_curve - 1);
        for (size_t i = 0; i < n; i++) over[i] = d->finish[i] > f->curve_limit_min[g];
        for (size_t j = 0; j < f->n_draw; j++) scratch[j] = 0;
        probability(&p, over, n, f->n_draw, scratch);
        f->curve_over[g] = p.mean;
        f->curve_lo[g] = p.lo;
        f->curve_hi[g] = p.hi;
    }
    wr_free(scratch);
    wr_free(over);
    wr_free(x);
}

enum wr_status wr_forecast_run(struct wr_forecast *f, const struct wr_network *net,
                               const struct wr_durations *durations, const struct wr_sim_options *options,
                               struct wr_error *err)
{
    size_t n = options->n_trial ? options->n_trial : 65536, n_task = net->n_task;
    struct wr_scenarios s = {0};
    struct days d = {.n = n};

    *f = (struct wr_forecast){0};
    if (n_task == 0 || durations->n_task != n_task || durations->n_draw == 0)
        return wr_fail(err, WR_E_DOMAIN, "nothing to simulate");
    f->n_trial = n;
    f->n_task = n_task;
    f->n_lane = net->n_lane;
    f->n_limit = options->n_limit;
    f->n_draw = durations->n_draw;
    f->hundredth_min = WR_NEW_ARRAY(double, 100);
    f->limit = WR_NEW_ARRAY(struct wr_limit_outlook, f->n_limit);
    f->task = WR_NEW_ARRAY(struct wr_task_outlook, n_task);
    f->lane = WR_NEW_ARRAY(struct wr_lane_outlook, f->n_lane);
    f->draw_over = WR_NEW_ARRAY(double, f->n_draw);
    d.finish = WR_NEW_ARRAY(double, n);
    d.start = WR_NEW_ARRAY(double, n * n_task);
    d.end = WR_NEW_ARRAY(double, n * n_task);
    d.duration = WR_NEW_ARRAY(double, n * n_task);
    d.dropped = WR_NEW_ARRAY(unsigned char, n * n_task);
    d.lane_end = WR_NEW_ARRAY(double, n * net->n_lane);
    d.busy = WR_NEW_ARRAY(double, n * net->n_lane);
    d.over = WR_NEW_ARRAY(unsigned char, n * (f->n_limit + 1));

    wr_scenarios_make(&s, durations, n, options->seed, options->n_thread);
    run_days(&d, f, net, &s, options);
    fill_finish(f, &d);
    fill_tasks(f, &d, &s);
    f->run_effect_share = squared_correlation(d.finish, f->mean_min, f->sd_min, s.run_score, n);
    double *scratch = WR_NEW_ARRAY(double, f->n_draw);
    for (size_t i = 0; i <= f->n_limit && f->n_limit; i++) {
        double *by_draw = i == 0 ? f->draw_over : scratch;
        for (size_t j = 0; j < f->n_draw; j++) by_draw[j] = 0;
        probability(i < f->n_limit ? &f->limit[i].over : &f->any_over, d.over + i * n, n, f->n_draw, by_draw);
    }
    wr_free(scratch);
    wr_free(d.finish);
    wr_free(d.start);
    wr_free(d.end);
    wr_free(d.duration);
    wr_free(d.dropped);
    wr_free(d.lane_end);
    wr_free(d.busy);
    wr_free(d.over);
    wr_scenarios_release(&s);
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
