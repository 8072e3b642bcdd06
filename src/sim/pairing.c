#include "wetrun/sim/pairing.h"

#include <math.h>
#include "over_draws.h"
#include "points.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/noisy_ends.h"

enum {
    USUAL_DRAWS = 1000,         /* every other one of the usual 2000: twice the points in each tell more */
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

/* Either half of the copies has the same luck in all draws: it shares nothing with the other half but the draw. */
static struct wr_noisy_ends ends_of(const double *difference, size_t n_draw)
{
    WR_SCOPED double *even = WR_NEW_ARRAY(double, n_draw), *odd = WR_NEW_ARRAY(double, n_draw);
    const double *const half[2] = {even, odd};

    for (size_t j = 0; j < n_draw; j++)
        for (size_t r = 0; r < WR_REPLICATES; r++)
            (r % 2 ? odd : even)[j] += difference[j * WR_REPLICATES + r] * 2 / WR_REPLICATES;
    return wr_noisy_ends(half, n_draw);
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
    const struct wr_noisy_ends ends = ends_of(difference, n);
    d.lo = fmin(ends.lo.value, s.mean);
    d.hi = fmax(ends.hi.value, s.mean);
    d.lo_se = hypot(s.point_error, hypot(ends.lo.draw_error, ends.lo.left_open));
    d.hi_se = hypot(s.point_error, hypot(ends.hi.draw_error, ends.hi.left_open));
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
