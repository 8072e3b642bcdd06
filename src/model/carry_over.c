#include "wetrun/model/durations.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/mix.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/stats/gsl_own.h"

static const double common_sd = 0.5, sd_scale = 0.2, sd_low = 0.01, sd_top = 1.2;

size_t wr_carry_over_kind(const struct wr_carry_over *c, const char *kind)
{
    size_t k = 0;

    while (k < c->n_kind && (!*kind || !wr_same_but_for_spelling(c->kind[k], kind))) k++;
    return k;
}

double wr_carry_over_mean_log(const struct wr_carry_over *c, const char *kind)
{
    size_t k = wr_carry_over_kind(c, kind);

    return k < c->n_kind ? c->mean_log[k] : c->common_mean_log;
}

/* Sum of squares of the rows about their kind's mean, over all kinds. */
static double collect(struct wr_carry_over *c, const struct wr_history *history)
{
    double squares = 0.0;

    c->kind = WR_NEW_ARRAY(const char *, history->n_row);
    c->n_row = WR_NEW_ARRAY(size_t, history->n_row);
    c->row_mean_log = WR_NEW_ARRAY(double, history->n_row);
    for (size_t i = 0; i < history->n_row; i++) {
        const struct wr_history_row *row = &history->row[i];
        size_t k = wr_carry_over_kind(c, row->kind);
        if (k == c->n_kind) c->kind[c->n_kind++] = row->kind;
        double y = log(row->flight_min / row->pool_min), before = c->row_mean_log[k];
        c->n_row[k]++;
        c->row_mean_log[k] += (y - before) / (double)c->n_row[k];
        squares += (y - before) * (y - c->row_mean_log[k]);
        size_t first = 0;
        while (strcmp(history->row[first].excursion, row->excursion) != 0) first++;
        c->n_excursion += first == i;
    }
    return squares;
}

struct level { double mean, variance; };

/* The common level given both standard deviations: the kinds' means weigh in with between^2 + within^2/n. */
static struct level common_given(const struct wr_carry_over *c, double between, double within)
{
    double precision = 1.0 / (common_sd * common_sd), pull = 0.0;

    for (size_t k = 0; k < c->n_kind; k++) {
        double w = 1.0 / (between * between + within * within / (double)c->n_row[k]);
        precision += w;
        pull += w * c->row_mean_log[k];
    }
    return (struct level){pull / precision, 1.0 / precision};
}

/* A kind's own level given the common one. */
static struct level kind_given(const struct wr_carry_over *c, size_t k, double common, double between, double within)
{
    double prior = 1.0 / (between * between), data = (double)c->n_row[k] / (within * within);

    return (struct level){(prior * common + data * c->row_mean_log[k]) / (prior + data), 1.0 / (prior + data)};
}

/* log p(between, within | rows), everything else integrated out, up to a constant */
static double log_weight(const struct wr_carry_over *c, double squares, double n_row, double between, double within)
{
    struct level common = common_given(c, between, within);
    double lp = -log1p(pow(between / sd_scale, 2)) - log1p(pow(within / sd_scale, 2));

    lp -= (n_row - (double)c->n_kind) * log(within) + 0.5 * squares / (within * within);
    lp += 0.5 * log(common.variance) - 0.5 * common.mean * common.mean / (common_sd * common_sd);
    for (size_t k = 0; k < c->n_kind; k++) {
        double variance = between * between + within * within / (double)c->n_row[k],
               off = c->row_mean_log[k] - common.mean;
        /* the density of a kind's mean; 1/sqrt(n) of its scale is a constant */
        lp -= 0.5 * log(variance) + 0.5 * off * off / variance;
    }
    return lp;
}

static void weigh_grid(struct wr_carry_over *c, double squares, double n_row)
{
    enum { G = WR_CARRY_OVER_GRID };
    double width[G], most = -INFINITY, sum = 0.0, low = 0.0;

    for (size_t g = 0; g < G; g++) { /* one cell from 0, then equal ratios: fine enough for hundreds of rows */
        double high = sd_low * pow(sd_top / sd_low, (double)g / (G - 1));
        c->sd_point[g] = 0.5 * (low + high);
        width[g] = high - low;
        low = high;
    }
    c->weight = WR_NEW_ARRAY(double, (size_t)G * G);
    for (size_t i = 0; i < (size_t)G * G; i++) {
        c->weight[i] = log_weight(c, squares, n_row, c->sd_point[i / G], c->sd_point[i % G])
                       + log(width[i / G] * width[i % G]);
        most = fmax(most, c->weight[i]);
    }
    for (size_t i = 0; i < (size_t)G * G; i++) c->weight[i] = sum += exp(c->weight[i] - most);
    for (size_t i = 0; i < (size_t)G * G; i++) c->weight[i] /= sum;
}

/* Mean and sd of the next excursion's log factor for kind k, or (k = n_kind) for a kind without history. */
static void summarise(const struct wr_carry_over *c, size_t k, double *mean, double *sd)
{
    enum { G = WR_CARRY_OVER_GRID };
    double first = 0.0, second = 0.0, before = 0.0;

    for (size_t i = 0; i < (size_t)G * G; i++) {
        double between = c->sd_point[i / G], within = c->sd_point[i % G], w = c->weight[i] - before;
        struct level common = common_given(c, between, within), next;
        before = c->weight[i];
        if (k == c->n_kind) {
            next = (struct level){common.mean, common.variance + between * between};
        } else { /* the kind's level is linear in the common one */
            struct level at0 = kind_given(c, k, 0.0, between, within), at1 = kind_given(c, k, 1.0, between, within);
            double slope = at1.mean - at0.mean;
            next = (struct level){at0.mean + slope * common.mean, at0.variance + slope * slope * common.variance};
        }
        first += w * next.mean;
        second += w * (next.mean * next.mean + next.variance + within * within);
    }
    *mean = first;
    *sd = sqrt(second - first * first);
}

enum wr_status wr_carry_over_fit(struct wr_carry_over *c, const struct wr_history *history, struct wr_error *err)
{
    *c = (struct wr_carry_over){0};
    if (history->n_row == 0)
        return wr_fail(err, WR_E_TOO_FEW,
                       "the history of pool and flight times has no rows: add some, or leave the file out");
    for (size_t i = 0; i < history->n_row; i++)
        if (!(history->row[i].pool_min > 0 && history->row[i].flight_min > 0 && isfinite(history->row[i].pool_min)
              && isfinite(history->row[i].flight_min)))
            return wr_fail(err, WR_E_DOMAIN, "history, line %zu: times must be above 0", history->row[i].line);
    c->same = history->same;
    c->odd = history->odd;
    c->faster = history->faster;
    double squares = collect(c, history);
    weigh_grid(c, squares, (double)history->n_row);
    c->mean_log = WR_NEW_ARRAY(double, c->n_kind);
    c->sd_log = WR_NEW_ARRAY(double, c->n_kind);
    for (size_t k = 0; k < c->n_kind; k++) summarise(c, k, &c->mean_log[k], &c->sd_log[k]);
    summarise(c, c->n_kind, &c->common_mean_log, &c->common_sd_log);
    return WR_OK;
}

void wr_carry_over_release(struct wr_carry_over *c)
{
    WR_FREE((void *)c->kind, c->n_row, c->row_mean_log, c->mean_log, c->sd_log, c->weight);
    *c = (struct wr_carry_over){0};
}

static size_t draw_cell(const struct wr_carry_over *c, double u)
{
    size_t low = 0, high = (size_t)WR_CARRY_OVER_GRID * WR_CARRY_OVER_GRID - 1;

    while (low < high) {
        size_t mid = (low + high) / 2;
        if (c->weight[mid] > u) high = mid;
        else low = mid + 1;
    }
    return low;
}

void wr_carry_over_draw(const struct wr_carry_over *c, const char *kind, uint64_t seed, size_t n_draw,
                        double *log_factor)
{
    enum { G = WR_CARRY_OVER_GRID };
    WR_SCOPED gsl_rng *shared = wr_gsl_rng(gsl_rng_mt19937), *own = wr_gsl_rng(gsl_rng_mt19937);
    size_t k = wr_carry_over_kind(c, kind);

    WR_SCOPED_STR folded = {0}; /* however it is spelt it meets the same draws */
    wr_fold_name(&folded, kind, strlen(kind));
    gsl_rng_set(shared, wr_gsl_seed(seed, wr_mix_text("carry-over, common")));
    gsl_rng_set(own, wr_gsl_seed(seed, wr_mix_text("carry-over, kind") ^ wr_mix_text(folded.text)));
    for (size_t i = 0; i < n_draw; i++) {
        size_t cell = draw_cell(c, gsl_rng_uniform(shared));
        double between = c->sd_point[cell / G], within = c->sd_point[cell % G];
        struct level common = common_given(c, between, within);
        double level = common.mean + sqrt(common.variance) * gsl_ran_gaussian_ziggurat(shared, 1.0);
        struct level mine = k < c->n_kind ? kind_given(c, k, level, between, within)
                                          : (struct level){level, between * between};
        log_factor[i] = mine.mean + sqrt(mine.variance) * gsl_ran_gaussian_ziggurat(own, 1.0)
                        + within * gsl_ran_gaussian_ziggurat(own, 1.0);
    }
}
