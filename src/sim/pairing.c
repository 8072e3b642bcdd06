#include "wetrun/sim/pairing.h"

#include <math.h>
#include "over_draws.h"
#include "points.h"
#include "wetrun/base/memory.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"

enum {
    USUAL_DRAWS = 1000,         /* every other one of the usual 2000: twice the points in each tell more of rare gains */
    MEANS_PER_DRAW = WR_AT_ONCE, PER_DRAW = 4 * WR_AT_ONCE,
    LEAST_POINTS = 8192         /* of one copy */
};

/* ---- differences ---- */

/* difference[draw * WR_REPLICATES + replicate] */
static double *difference_of(const double *a, const double *b, size_t n_draw)
{
    double *difference = WR_NEW_ARRAY(double, n_draw * WR_REPLICATES);

    for (size_t i = 0; i < n_draw * WR_REPLICATES; i++) difference[i] = a[i] - b[i];
    return difference;
}

static const double *over_of(const struct wr_pairing *p, size_t line, size_t limit)
{
    return p->points[line].over + limit * p->n_draw * WR_REPLICATES;
}

static double signed_root(double x)
{
    return x < 0 ? -sqrt(-x) : sqrt(x);
}

/* Values are pulled towards their mean by as much as the points' noise drives them apart (the estimate of a variance
 * component by the method of moments). */
struct pull { double mean, keep; };

static struct pull pull_of(double mean, double between, double within)
{
    return (struct pull){mean, between > within ? sqrt(1 - within / between) : 0};
}

/* Where noise is most of it, what is left is as much chance: too wide rather than falsely narrow. */
static struct pull unless_mostly_noise(struct pull p)
{
    return (struct pull){p.mean, p.keep * p.keep > 0.5 ? p.keep : 1};
}

static double pulled(struct pull p, double value)
{
    return p.mean + p.keep * (value - p.mean);
}

/* What a comparison's copies say of each draw: all of them, and either half, which has twice the noise. */
struct by_draw {
    double *all, *half[2];  /* [n_draw] in the order of the draws */
    double *ascending;      /* all, in order */
};

static void open_by_draw(struct by_draw *d, const double *difference, size_t n_draw)
{
    *d = (struct by_draw){.all = WR_NEW_ARRAY(double, n_draw), .ascending = WR_NEW_ARRAY(double, n_draw)};
    for (size_t h = 0; h < 2; h++) d->half[h] = WR_NEW_ARRAY(double, n_draw);
    for (size_t j = 0; j < n_draw; j++) {
        for (size_t r = 0; r < WR_REPLICATES; r++)
            d->half[r % 2][j] += difference[j * WR_REPLICATES + r] * 2 / WR_REPLICATES;
        d->all[j] = d->ascending[j] = 0.5 * (d->half[0][j] + d->half[1][j]);
    }
    wr_sort_ascending(d->ascending, n_draw);
}

static void close_by_draw(struct by_draw *d)
{
    WR_FREE(d->all, d->half[0], d->half[1], d->ascending);
}

/* On the scale of roots. The noise of a small share grows with it, that of its root does not. */
static struct pull root_pull(const struct by_draw *d, size_t n_draw)
{
    double mean = 0, between = 0, within = 0;

    for (size_t j = 0; j < n_draw; j++) {
        double apart = signed_root(d->half[0][j]) - signed_root(d->half[1][j]);
        within += apart * apart / 4 / (double)n_draw;
        mean += signed_root(d->all[j]) / (double)n_draw;
    }
    for (size_t j = 0; j < n_draw; j++) between += pow(signed_root(d->all[j]) - mean, 2) / (double)n_draw;
    return pull_of(mean, between, within);
}

struct end {
    double value, error;    /* error: from the finite number of draws */
    double left_open;       /* by the points */
};

/* An end far from none is pulled as all draws are. Near none is less noise than elsewhere: pulled alike, that end would
 * be a gain that no draw has. What is left open: what a pull of all alike would move it by, or half of what leaving out
 * half of the copies does, whichever is more. */
static struct end end_at(double prob, bool is_near, struct pull all, struct pull root, const struct by_draw *d,
                         size_t n_draw)
{
    double plain = wr_quantile_of_sorted(d->ascending, n_draw, prob, WR_QUANTILE_TYPE_7);
    double far = pulled(unless_mostly_noise(all), plain), halves = 0;
    double on_roots = pulled(unless_mostly_noise(root), signed_root(plain));

    for (size_t h = 0; h < 2; h++) halves += 0.5 * wr_quantile(d->half[h], n_draw, prob, WR_QUANTILE_TYPE_7);
    return (struct end){.value = is_near ? on_roots * fabs(on_roots) : far,
                        .error = wr_batch_quantile_error(d->all, d->ascending, n_draw, prob),
                        .left_open = fmax(fabs(pulled(all, plain) - plain), 0.5 * fabs(plain - halves))};
}

static struct wr_paired paired(const struct wr_pairing *p, const double *a, const double *b)
{
    const size_t n = p->n_draw;
    WR_SCOPED double *difference = difference_of(a, b, n), *unused = WR_NEW_ARRAY(double, n);
    const struct wr_spread s = wr_spread_over(difference, n, p->nothing_unknown, unused);
    struct wr_paired d = {.mean = s.mean,
                          .lo = s.mean,
                          .hi = s.mean,
                          .se = hypot(s.point_error, s.draw_error),
                          .no_interval = p->nothing_unknown};

    d.lo_se = d.hi_se = d.se;
    if (p->nothing_unknown) return d;
    WR_RELEASED_BY(close_by_draw) struct by_draw by_draw = {0};
    open_by_draw(&by_draw, difference, n);
    const struct pull all = pull_of(s.mean, s.between, s.within), root = root_pull(&by_draw, n);
    const struct end lo = end_at(0.05, s.mean > 0, all, root, &by_draw, n),
                     hi = end_at(0.95, s.mean < 0, all, root, &by_draw, n);
    d.lo = fmin(lo.value, s.mean);
    d.hi = fmax(hi.value, s.mean);
    d.lo_se = hypot(s.point_error, hypot(lo.error, lo.left_open));
    d.hi_se = hypot(s.point_error, hypot(hi.error, hi.left_open));
    return d;
}

static double share_positive(const struct wr_pairing *p, const double *a, const double *b)
{
    const size_t n = p->n_draw;
    WR_SCOPED double *difference = difference_of(a, b, n), *by_draw = WR_NEW_ARRAY(double, n);
    const double mean = wr_spread_over(difference, n, p->nothing_unknown, by_draw).mean;
    double share = 0;

    for (size_t j = 0; j < n; j++) {
        double value = p->nothing_unknown ? mean : by_draw[j];
        share += value > 0 ? 1 : value == 0 ? 0.5 : 0;
    }
    return share / (double)n;
}

double wr_pairing_over(const struct wr_pairing *p, size_t line, size_t limit)
{
    const double *over = over_of(p, line, limit);
    double sum = 0;

    for (size_t i = 0; i < p->n_draw * WR_REPLICATES; i++) sum += over[i];
    return sum / (double)(p->n_draw * WR_REPLICATES);
}

double wr_pairing_finish(const struct wr_pairing *p, size_t line)
{
    double sum = 0;

    for (size_t i = 0; i < p->n_draw * WR_REPLICATES; i++) sum += p->points[line].finish[i];
    return sum / (double)(p->n_draw * WR_REPLICATES);
}

struct wr_paired wr_pairing_fewer(const struct wr_pairing *p, size_t base, size_t other, size_t limit)
{
    return paired(p, over_of(p, base, limit), over_of(p, other, limit));
}

struct wr_paired wr_pairing_earlier(const struct wr_pairing *p, size_t base, size_t other)
{
    return paired(p, p->points[base].finish, p->points[other].finish);
}

double wr_pairing_share_fewer(const struct wr_pairing *p, size_t base, size_t other, size_t limit)
{
    return share_positive(p, over_of(p, base, limit), over_of(p, other, limit));
}

double wr_pairing_share_earlier(const struct wr_pairing *p, size_t base, size_t other)
{
    return share_positive(p, p->points[base].finish, p->points[other].finish);
}

/* ---- the run ---- */

static void run_points(struct wr_pairing *p, const struct wr_points_line *line, bool means_alone, unsigned n_thread)
{
    const size_t n_all = line[0].setup->n_draw, step = !means_alone && n_all >= 2 * USUAL_DRAWS ? 2 : 1;
    size_t per_draw = means_alone ? MEANS_PER_DRAW : PER_DRAW;

    p->n_draw = (n_all + step - 1) / step;
    while (per_draw * p->n_draw < LEAST_POINTS) per_draw *= 2;
    for (size_t n = 2 * USUAL_DRAWS; n <= p->n_draw && step > 1; n *= 2) per_draw *= 2; /* to be surer in both */
    wr_points_lines_run(p->points, line, p->n_line, per_draw, step, n_thread);
    p->per_draw = WR_REPLICATES * per_draw;
}

enum wr_status wr_pairing_run(struct wr_pairing *p, const struct wr_pairing_line *line, size_t n_line, size_t n_limit,
                              bool means_alone, uint64_t seed, unsigned n_thread, struct wr_error *err)
{
    WR_SCOPED struct wr_setup *setup = WR_NEW_ARRAY(struct wr_setup, n_line);
    WR_SCOPED struct wr_points_line *of = WR_NEW_ARRAY(struct wr_points_line, n_line);
    enum wr_status status = WR_OK;

    *p = (struct wr_pairing){.n_line = n_line,
                             .n_limit = n_limit,
                             .nothing_unknown = true,
                             .points = WR_NEW_ARRAY(struct wr_points, n_line)};
    for (size_t m = 0; m < n_line && !status; m++) {
        status = wr_setup_build(&setup[m], wr_kernel_best(), line[m].net, line[m].durations, line[m].limit, n_limit,
                                seed, err);
        of[m] = (struct wr_points_line){&setup[m], line[m].factor};
        p->nothing_unknown = p->nothing_unknown && wr_durations_are_known(line[m].durations);
    }
    if (!status) run_points(p, of, means_alone, n_thread);
    for (size_t m = 0; m < n_line; m++) wr_setup_release(&setup[m]);
    return status;
}

void wr_pairing_release(struct wr_pairing *p)
{
    for (size_t m = 0; p->points && m < p->n_line; m++) wr_points_release(&p->points[m]);
    wr_free(p->points);
    *p = (struct wr_pairing){0};
}
