#include "wetrun/stats/grouping.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sf_gamma.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/mix.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/gsl_own.h"

#define SAME 1e-9         /* statistics that differ by less than this share of the observed one are ties */
#define NOT_ALONG_TREND 1e-10 /* share of a group label's spread that a trend leaves when the two can be told apart */
#define NO_RESIDUAL 1e-12 /* residual share of a sum of squares that is rounding */

static size_t stratum_of(const struct wr_grouping *g, size_t run)
{
    size_t s = g->stratum ? g->stratum[run] : 0;
    WR_BUG_IF(s >= g->n_run || g->group[run] > 1);
    return s;
}

/* count[2 * stratum + group] */
static size_t *count_strata(const struct wr_grouping *g)
{
    size_t *count = WR_NEW_ARRAY(size_t, 2 * g->n_run);
    for (size_t r = 0; r < g->n_run; r++) count[2 * stratum_of(g, r) + g->group[r]]++;
    return count;
}

static enum wr_status check_grouping(const struct wr_grouping *g, struct wr_error *err)
{
    WR_SCOPED size_t *count = count_strata(g);
    bool mixed = false;

    for (size_t s = 0; s < g->n_run; s++) mixed |= count[2 * s] && count[2 * s + 1];
    if (mixed) return WR_OK;
    return wr_fail(err, WR_E_TOO_FEW, "%s",
                   g->stratum ? "no stratum holds runs of both groups" : "one of the groups has no run");
}

/* Takes from each value the mean of its stratum; runs with use[] == 0 are left out and set to 0 (use NULL: all in).
 * Returns the number of strata that hold a run. */
static size_t centre_in_strata(const struct wr_grouping *g, const unsigned char *use, const double *value,
                               double *centred)
{
    WR_SCOPED double *sum = WR_NEW_ARRAY(double, g->n_run), *n = WR_NEW_ARRAY(double, g->n_run);
    size_t strata = 0;

    for (size_t r = 0; r < g->n_run; r++) {
        if (use && !use[r]) continue;
        size_t s = stratum_of(g, r);
        strata += n[s] == 0;
        sum[s] += value[r];
        n[s]++;
    }
    for (size_t r = 0; r < g->n_run; r++) {
        size_t s = stratum_of(g, r);
        centred[r] = use && !use[r] ? 0 : value[r] - sum[s] / n[s];
    }
    return strata;
}

static double dot(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) sum += a[i] * b[i];
    return sum;
}

static void finish_difference(struct wr_group_difference *d, double level)
{
    double half = wr_t_quantile(0.5 + 0.5 * level, d->df) * d->se;

    d->interval = (struct wr_interval){true, d->difference - half, d->difference + half};
    d->p = d->se > 0 ? wr_known(2 * gsl_cdf_tdist_Q(fabs(d->difference) / d->se, d->df)) : WR_UNKNOWN;
}

/* v, g, x are centred in strata and belong to the caller; x NULL: no trend. */
static enum wr_status regress_on_group(const double *v, const double *g, const double *x, size_t n, double df,
                                       struct wr_group_difference *d, struct wr_error *err)
{
    double gg = dot(g, g, n), gv = dot(g, v, n), vv = dot(v, v, n);

    if (x) { /* sweep the trend out of both (Frisch and Waugh 1933) */
        double xx = dot(x, x, n), gx = dot(g, x, n), xv = dot(x, v, n);
        if (!(xx > 0) || gg - gx * gx / xx < NOT_ALONG_TREND * gg)
            return wr_fail(err, WR_E_TOO_FEW, "the trend cannot be told from the difference between the groups");
        gg -= gx * gx / xx;
        gv -= gx * xv / xx;
        vv -= xv * xv / xx;
    }
    double rest = vv - gv * gv / gg;
    d->difference = gv / gg;
    d->df = df;
    d->se = rest > NO_RESIDUAL * vv ? sqrt(rest / df / gg) : 0;
    return WR_OK;
}

enum wr_status wr_group_difference(const double *value, const struct wr_grouping *grouping, const double *trend,
                                   double level, struct wr_group_difference *out, struct wr_error *err)
{
    WR_BUG_IF(!(level > 0 && level < 1));
    size_t n = grouping->n_run;
    enum wr_status status = check_grouping(grouping, err);
    if (status != WR_OK) return status;

    double *room = WR_NEW_ARRAY(double, 4 * n), *v = room, *g = room + n, *x = room + 2 * n, *label = room + 3 * n;
    struct wr_group_difference d = {0};
    for (size_t r = 0; r < n; r++) label[r] = grouping->group[r];
    size_t strata = centre_in_strata(grouping, NULL, value, v);
    centre_in_strata(grouping, NULL, label, g);
    if (trend) centre_in_strata(grouping, NULL, trend, x);
    double df = (double)n - (double)strata - 1 - (trend ? 1 : 0);
    if (df < 1) status = wr_fail(err, WR_E_TOO_FEW, "%zu runs leave nothing to judge the difference by", n);
    else status = regress_on_group(v, g, trend ? x : NULL, n, df, &d, err);
    if (status == WR_OK) {
        finish_difference(&d, level);
        *out = d;
    }
    wr_free(room);
    return status;
}

/* --- walking over groupings --- */

struct wr_permutation_options wr_permutation_default(void)
{
    return (struct wr_permutation_options){.most_enumerated = 200000, .n_random = 20000, .seed = 1};
}

struct walk {
    const struct wr_grouping *grouping;
    size_t *member, *begin; /* runs stratum by stratum; begin[n_run + 1] */
    unsigned char *label;   /* [n_run] in the order of member */
    unsigned char *group;   /* [n_run] in the order of runs: what the visitor sees */
};

static struct walk start_walk(const struct wr_grouping *g)
{
    size_t n = g->n_run, at = 0;
    struct walk w = {.grouping = g, .member = WR_NEW_ARRAY(size_t, n), .begin = WR_NEW_ARRAY(size_t, n + 1),
                     .label = WR_NEW_ARRAY(unsigned char, n), .group = WR_NEW_ARRAY(unsigned char, n)};

    for (size_t s = 0; s < n; s++) {
        w.begin[s] = at;
        for (size_t r = 0; r < n; r++)
            if (stratum_of(g, r) == s) w.member[at++] = r;
    }
    w.begin[n] = at;
    return w;
}

/* First arrangement of a stratum: zeros, then ones. */
static void first_arrangement(unsigned char *label, size_t n)
{
    size_t ones = 0;
    for (size_t i = 0; i < n; i++) ones += label[i];
    memset(label, 0, n - ones);
    memset(label + n - ones, 1, ones);
}

/* The next arrangement in dictionary order; false after the last one. */
static bool next_arrangement(unsigned char *label, size_t n)
{
    size_t i = n;

    while (i >= 2 && label[i - 2] >= label[i - 1]) i--;
    if (i < 2) return false;
    label[i - 2] = 1; /* label[i - 2] is 0, label[i - 1] is 1 */
    label[i - 1] = 0;
    first_arrangement(label + i - 1, n - i + 1);
    return true;
}

static bool next_grouping(struct walk *w)
{
    for (size_t s = 0; s < w->grouping->n_run; s++) {
        size_t from = w->begin[s], n = w->begin[s + 1] - from;
        if (next_arrangement(w->label + from, n)) return true;
        first_arrangement(w->label + from, n);
    }
    return false;
}

static void shuffle_grouping(struct walk *w, gsl_rng *rng)
{
    for (size_t s = 0; s < w->grouping->n_run; s++) {
        unsigned char *label = w->label + w->begin[s];
        for (size_t i = w->begin[s + 1] - w->begin[s]; i > 1; i--) {
            size_t j = gsl_rng_uniform_int(rng, i);
            unsigned char held = label[i - 1];
            label[i - 1] = label[j];
            label[j] = held;
        }
    }
}

typedef void visit_fn(void *arg, const unsigned char *group);

static void visit_grouping(struct walk *w, visit_fn *visit, void *arg)
{
    for (size_t i = 0; i < w->grouping->n_run; i++) w->group[w->member[i]] = w->label[i];
    visit(arg, w->group);
}

/* Of all ways to group: how many, and the smallest p that a two-sided test can reach. Where every stratum has as many
 * runs of one group as of the other, each grouping has a mirror image with the same absolute difference. */
static double number_of_groupings(const struct wr_grouping *g, double *smallest_p)
{
    size_t *count = count_strata(g);
    double log_number = 0;
    bool mirrored = true;

    for (size_t s = 0; s < g->n_run; s++) {
        size_t n0 = count[2 * s], n1 = count[2 * s + 1];
        if (!n0 || !n1) continue;
        log_number += gsl_sf_lnfact((unsigned)(n0 + n1)) - gsl_sf_lnfact((unsigned)n0) - gsl_sf_lnfact((unsigned)n1);
        mirrored &= n0 == n1;
    }
    wr_free(count);
    double number = exp(log_number);
    if (number < 1e9) number = round(number);
    *smallest_p = (mirrored ? 2 : 1) / number;
    return number;
}

/* Visits every grouping, or the observed one and random ones. Fills exact, n_grouping and smallest_p. */
static void visit_groupings(const struct wr_grouping *g, const struct wr_permutation_options *o, visit_fn *visit,
                            void *arg, struct wr_permutation *about)
{
    double number = number_of_groupings(g, &about->smallest_p);
    struct walk w = start_walk(g);

    about->exact = number <= (double)o->most_enumerated;
    for (size_t i = 0; i < g->n_run; i++) w.label[i] = g->group[w.member[i]];
    if (about->exact) {
        for (size_t s = 0; s < g->n_run; s++) first_arrangement(w.label + w.begin[s], w.begin[s + 1] - w.begin[s]);
        about->n_grouping = number;
        do visit_grouping(&w, visit, arg);
        while (next_grouping(&w));
    } else {
        WR_SCOPED gsl_rng *rng = wr_gsl_rng(gsl_rng_mt19937);
        gsl_rng_set(rng, wr_gsl_seed_alone(o->seed));
        about->n_grouping = 1 + (double)o->n_random;
        about->smallest_p = fmax(about->smallest_p, 1 / about->n_grouping);
        visit_grouping(&w, visit, arg);
        for (size_t i = 0; i < o->n_random; i++) {
            shuffle_grouping(&w, rng);
            visit_grouping(&w, visit, arg);
        }
    }
    WR_FREE(w.member, w.begin, w.label, w.group);
}

static void shares_from_counts(struct wr_permutation *p)
{
    p->p_two_sided = p->n_two_sided / p->n_grouping;
    p->p_greater = p->n_greater / p->n_grouping;
    p->p_less = p->n_less / p->n_grouping;
}

static void count_extreme(struct wr_permutation *p, double statistic, double observed, double dust)
{
    p->n_two_sided += fabs(statistic) >= fabs(observed) - dust;
    p->n_greater += statistic >= observed - dust;
    p->n_less += statistic <= observed + dust;
}

/* --- one value per run --- */

struct difference_walk {
    const double *centred;
    size_t n_run;
    double observed, dust;
    struct wr_permutation *out;
};

/* The sum over group 1 of values centred in their strata: the difference within strata but for a constant factor. */
static double group_sum(const double *centred, const unsigned char *group, size_t n)
{
    double sum = 0;
    for (size_t r = 0; r < n; r++)
        if (group[r]) sum += centred[r];
    return sum;
}

static void visit_difference(void *arg, const unsigned char *group)
{
    struct difference_walk *w = arg;
    count_extreme(w->out, group_sum(w->centred, group, w->n_run), w->observed, w->dust);
}

static double rounding_of(const double *value, size_t n, double observed)
{
    double size = 0;
    for (size_t i = 0; i < n; i++) size += fabs(value[i]);
    return SAME * fabs(observed) + 1e-13 * size;
}

enum wr_status wr_permutation_test(const double *value, const struct wr_grouping *grouping,
                                   const struct wr_permutation_options *options, struct wr_permutation *out,
                                   struct wr_error *err)
{
    size_t n = grouping->n_run;
    enum wr_status status = check_grouping(grouping, err);
    if (status != WR_OK) return status;

    WR_SCOPED double *centred = WR_NEW_ARRAY(double, n);
    struct wr_permutation p = {0};
    centre_in_strata(grouping, NULL, value, centred);
    struct difference_walk w = {centred, n, group_sum(centred, grouping->group, n), 0, &p};
    w.dust = rounding_of(value, n, w.observed);
    visit_groupings(grouping, options, visit_difference, &w, &p);
    shares_from_counts(&p);
    *out = p;
    return WR_OK;
}

/* --- many tasks on the same groupings --- */

struct task_sample {
    const unsigned char *present; /* [n_run] */
    double *centred;              /* [n_run] in strata, over the runs present; free of the trend */
    double *trend, trend_square;  /* [n_run] centred like it, and its sum of squares; NULL: none */
    double square, df;            /* sum of squares of centred; degrees of freedom of t; df < 1: not comparable */
    double observed;              /* |t| */
    double beyond, max_beyond;    /* groupings with |t| of this task, of any task, at least that large */
};

struct task_walk {
    const struct wr_grouping *grouping;
    size_t n_task;
    struct task_sample *task;
    double *count; /* [2 * n_run] scratch */
    double largest_observed;
    struct wr_permutation *about;
};

/* t of the difference within strata; *spread: sum of squares of the group label, 0 if this grouping does not split the
 * task */
static double task_t(const struct task_walk *w, const struct task_sample *s, const unsigned char *group, double *spread,
                     double *product)
{
    const struct wr_grouping *g = w->grouping;
    double along_trend = 0;

    memset(w->count, 0, 2 * g->n_run * sizeof *w->count);
    *spread = *product = 0;
    for (size_t r = 0; r < g->n_run; r++) {
        if (!s->present[r]) continue;
        w->count[2 * (g->stratum ? g->stratum[r] : 0) + group[r]]++;
        if (!group[r]) continue;
        *product += s->centred[r];
        if (s->trend) along_trend += s->trend[r];
    }
    for (size_t i = 0; i < (g->stratum ? g->n_run : 1); i++) {
        double n0 = w->count[2 * i], n1 = w->count[2 * i + 1];
        if (n0 > 0 && n1 > 0) *spread += n0 * n1 / (n0 + n1);
    }
    if (s->trend) {
        double left = *spread - along_trend * along_trend / s->trend_square;
        *spread = left > NOT_ALONG_TREND * *spread ? left : 0;
    }
    if (!(*spread > 0)) return 0;
    double explained = *product * *product / *spread, rest = fmax(s->square - explained, NO_RESIDUAL * s->square);
    return copysign(sqrt(explained * s->df / rest), *product);
}

static void visit_tasks(void *arg, const unsigned char *group)
{
    struct task_walk *w = arg;
    double largest = 0, spread, product;

    for (size_t k = 0; k < w->n_task; k++) {
        struct task_sample *s = &w->task[k];
        if (s->df < 1) continue;
        double t = fabs(task_t(w, s, group, &spread, &product));
        largest = fmax(largest, t);
        s->beyond += t >= s->observed * (1 - SAME);
    }
    for (size_t k = 0; k < w->n_task; k++) w->task[k].max_beyond += largest >= w->task[k].observed * (1 - SAME);
    w->about->n_two_sided += largest >= w->largest_observed * (1 - SAME);
}

/* Sweeps the trend out of the task's values; false if it does not vary over the runs in which the task is present. */
static bool take_trend_out(struct task_sample *s, const struct wr_grouping *g, const double *trend)
{
    s->trend = WR_NEW_ARRAY(double, g->n_run);
    centre_in_strata(g, s->present, trend, s->trend);
    s->trend_square = dot(s->trend, s->trend, g->n_run);
    if (!(s->trend_square > 0)) return false;
    double slope = dot(s->trend, s->centred, g->n_run) / s->trend_square;
    for (size_t r = 0; r < g->n_run; r++) s->centred[r] -= slope * s->trend[r];
    return true;
}

static void prepare_task(struct task_walk *w, const double *trend, const double *y, const unsigned char *present,
                         size_t k, struct wr_task_comparison *out)
{
    const struct wr_grouping *g = w->grouping;
    struct task_sample *s = &w->task[k];
    double size = 0, spread, product;
    size_t n = 0;

    *out = (struct wr_task_comparison){0};
    s->present = present + k * g->n_run;
    s->centred = WR_NEW_ARRAY(double, g->n_run);
    for (size_t r = 0; r < g->n_run; r++) {
        if (!s->present[r]) continue;
        out->n_cell[g->group[r]]++;
        size = fmax(size, fabs(y[k * g->n_run + r]));
        n++;
    }
    size_t strata = centre_in_strata(g, s->present, y + k * g->n_run, s->centred);
    s->df = (double)n - (double)strata - 1;
    if (trend) s->df = take_trend_out(s, g, trend) ? s->df - 1 : 0;
    s->square = dot(s->centred, s->centred, g->n_run);
    if (!(s->square > 1e-20 * size * size * (double)n)) s->df = 0; /* equal times: nothing varies */
    if (s->df < 1) return;
    double t = task_t(w, s, g->group, &spread, &product);
    if (!(spread > 0)) {
        s->df = 0;
        return;
    }
    s->observed = fabs(t);
    out->difference = wr_known(product / spread);
    out->t = wr_known(t);
    w->largest_observed = fmax(w->largest_observed, s->observed);
}

static void report_tasks(const struct task_walk *w, struct wr_task_comparison *task, double *holm)
{
    size_t n = 0;

    for (size_t k = 0; k < w->n_task; k++) {
        if (!task[k].t.known) continue;
        task[k].raw_p = wr_known(w->task[k].beyond / w->about->n_grouping);
        task[k].max_t_p = wr_known(w->task[k].max_beyond / w->about->n_grouping);
        holm[n++] = task[k].raw_p.value;
    }
    wr_holm_adjust(holm, n);
    n = 0;
    for (size_t k = 0; k < w->n_task; k++)
        if (task[k].t.known) task[k].holm_p = wr_known(holm[n++]);
}

enum wr_status wr_permutation_tasks(const double *y, const unsigned char *present, size_t n_task,
                                    const struct wr_grouping *grouping, const struct wr_permutation_options *options,
                                    struct wr_task_comparison *task, struct wr_permutation *about, struct wr_error *err)
{
    enum wr_status status = check_grouping(grouping, err);
    if (status != WR_OK) return status;

    WR_SCOPED double *scratch = WR_NEW_ARRAY(double, 2 * grouping->n_run + n_task);
    struct wr_permutation p = {0};
    struct task_walk w = {.grouping = grouping, .n_task = n_task, .task = WR_NEW_ARRAY(struct task_sample, n_task),
                          .count = scratch, .about = &p};
    bool any = false;
    for (size_t k = 0; k < n_task; k++) {
        prepare_task(&w, options->trend, y, present, k, &task[k]);
        any |= task[k].t.known;
    }
    if (any) {
        visit_groupings(grouping, options, visit_tasks, &w, &p);
        report_tasks(&w, task, scratch + 2 * grouping->n_run);
        p.p_two_sided = p.n_two_sided / p.n_grouping;
        *about = p;
    } else {
        status = wr_fail(err, WR_E_TOO_FEW, "no task was done often enough in both groups");
    }
    for (size_t k = 0; k < n_task; k++) {
        WR_FREE(w.task[k].centred, w.task[k].trend);
    }
    wr_free(w.task);
    return status;
}

static int by_value(const void *a, const void *b)
{
    const double *x = *(const double *const *)a, *y = *(const double *const *)b;
    return *x < *y ? -1 : *x > *y ? 1 : (x > y) - (x < y);
}

void wr_holm_adjust(double *p, size_t n)
{
    double **order = WR_NEW_ARRAY(double *, n), least = 0;

    for (size_t i = 0; i < n; i++) order[i] = &p[i];
    qsort(order, n, sizeof *order, by_value);
    for (size_t i = 0; i < n; i++) {
        least = fmin(1, fmax(least, *order[i] * (double)(n - i)));
        *order[i] = least;
    }
    wr_free(order);
}
