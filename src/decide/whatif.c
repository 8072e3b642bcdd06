#include "wetrun/decide/whatif.h"

#include <math.h>
#include <string.h>
#include "by_draw.h"
#include "sections.h"
#include "timelines.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"

/* ---- differences ---- */

/* Whether most of how they differ is chance. */
static bool difference_by_draw(const double *a, const double *b, size_t n_trial, size_t n_draw, double *by_draw)
{
    WR_SCOPED double *difference = WR_NEW_ARRAY(double, n_trial);

    for (size_t i = 0; i < n_trial; i++) difference[i] = a[i] - b[i];
    return wr_by_draw_means(difference, n_trial, n_draw, by_draw);
}

/* Draws enough to tell of themselves what they add to an error; else they are known, or as good. */
static bool has_parts(const struct wr_timelines *days)
{
    return days->variant[0].durations->n_draw >= WR_LEAST_BATCHES && days->n_trial >= 2 * WR_MOST_BATCHES;
}

static size_t section_of(const struct wr_timelines *days, size_t trial)
{
    return wr_section_of(trial, days->n_trial, days->variant[0].durations->n_draw, WR_MOST_BATCHES);
}

/* Of the mean of how much the days differ, differs[n_trial]. */
static double mean_error(const struct wr_timelines *days, const double *differs)
{
    struct wr_batch_sums sums = {.n_batch = WR_MOST_BATCHES};

    for (size_t i = 0; i < days->n_trial; i++) {
        size_t s = section_of(days, i);
        sums.weight[s]++;
        sums.value[s] += differs[i];
    }
    return wr_batch_error(&sums);
}

static size_t take_section(const unsigned char *section, size_t n_trial, size_t wanted, const double *value, double *to)
{
    size_t n = 0;

    for (size_t i = 0; i < n_trial; i++)
        if (section[i] == wanted) to[n++] = value[i];
    return n;
}

/* Of by how much half of the finishes come earlier: from the same of each part. */
static double median_error(const struct wr_timelines *days, const struct wr_timeline *base,
                           const struct wr_timeline *line)
{
    const size_t n_trial = days->n_trial;
    WR_SCOPED unsigned char *section = WR_NEW_ARRAY(unsigned char, n_trial);
    WR_SCOPED double *part = WR_NEW_ARRAY(double, n_trial);
    double saved[WR_MOST_BATCHES] = {0};

    for (size_t i = 0; i < n_trial; i++) section[i] = (unsigned char)section_of(days, i);
    for (size_t s = 0; s < WR_MOST_BATCHES; s++) {
        size_t n = take_section(section, n_trial, s, base->finish, part);
        if (n == 0) continue;
        saved[s] = wr_median(part, n);
        take_section(section, n_trial, s, line->finish, part);
        saved[s] -= wr_median(part, n);
    }
    return wr_batch_mean_error(saved, WR_MOST_BATCHES);
}

static double share_positive(const double *by_draw, size_t n)
{
    double share = 0;

    for (size_t j = 0; j < n; j++) share += by_draw[j] > 0 ? 1 : by_draw[j] == 0 ? 0.5 : 0;
    return share / (double)n;
}

struct ends { double lo, hi; };

/* 5 and 95 % points over draws; by_draw[n_draw] is put in order. */
static struct ends ends_of(double *by_draw, size_t n_draw)
{
    wr_sort_ascending(by_draw, n_draw);
    return (struct ends){wr_quantile_of_sorted(by_draw, n_draw, 0.05, WR_QUANTILE_TYPE_7),
                         wr_quantile_of_sorted(by_draw, n_draw, 0.95, WR_QUANTILE_TYPE_7)};
}

/* Errors of the ends, by leaving out one part of the draws after the other (jackknife over groups, from memory): how
 * far the draws' means are drawn together is estimated too, and where many draws gain alike that is most of it. */
static struct ends end_errors(const double *a, const double *b, size_t n_trial, size_t n_draw)
{
    enum { PARTS = 16 };
    WR_SCOPED double *left = WR_NEW_ARRAY(double, n_trial), *by_draw = WR_NEW_ARRAY(double, n_draw);
    WR_SCOPED unsigned char *part = WR_NEW_ARRAY(unsigned char, n_draw);
    struct ends end[PARTS], mean = {0}, squares = {0};

    if (n_draw < 2 * PARTS) return squares;
    for (size_t j = 0; j < n_draw; j++) part[j] = (unsigned char)wr_batch_of(j, n_draw, PARTS);
    for (size_t p = 0; p < PARTS; p++) {
        size_t n = 0, n_left = 0;
        for (size_t j = 0; j < n_draw; j++) n_left += part[j] != p;
        for (size_t i = 0, j = 0; i < n_trial; i++, j = j + 1 < n_draw ? j + 1 : 0)
            if (part[j] != p) left[n++] = a[i] - b[i];
        wr_by_draw_means(left, n, n_left, by_draw);
        end[p] = ends_of(by_draw, n_left);
        mean.lo += end[p].lo / PARTS;
        mean.hi += end[p].hi / PARTS;
    }
    for (size_t p = 0; p < PARTS; p++) {
        squares.lo += pow(end[p].lo - mean.lo, 2);
        squares.hi += pow(end[p].hi - mean.hi, 2);
    }
    return (struct ends){sqrt(squares.lo * (PARTS - 1) / PARTS), sqrt(squares.hi * (PARTS - 1) / PARTS)};
}

/* Of one draw, whose parameters are known, the ends are its own difference. A rare gain may fall on so few draws that
 * their points are all on one side of the mean. */
static struct wr_paired paired(const double *a, const double *b, const struct wr_timelines *days, double *by_draw,
                               double mean, double se)
{
    const size_t n = days->n_thin;
    bool coarse = difference_by_draw(a, b, days->n_trial, n, by_draw), one = n == 1;
    const struct ends end = ends_of(by_draw, n), error = end_errors(a, b, days->n_trial, n);
    return (struct wr_paired){.mean = mean,
                              .lo = one ? end.lo : fmin(mean, end.lo),
                              .hi = one ? end.hi : fmax(mean, end.hi),
                              .se = se,
                              .lo_se = error.lo,
                              .hi_se = error.hi,
                              .coarse = coarse && !one};
}

static void compare_limit(const struct wr_timelines *days, const struct wr_timeline *base,
                          const struct wr_timeline *line, size_t l, double *by_draw, struct wr_whatif_limit *out)
{
    size_t n = days->n_trial, better = 0, worse = 0, over = 0, over_base = 0;
    WR_SCOPED double *fewer = WR_NEW_ARRAY(double, n);

    for (size_t i = l * n; i < (l + 1) * n; i++) {
        over += line->over[i];
        over_base += base->over[i];
        better += base->over[i] && !line->over[i];
        worse += !base->over[i] && line->over[i];
        fewer[i - l * n] = (double)base->over[i] - (double)line->over[i];
    }
    double p10 = (double)better / (double)n, p01 = (double)worse / (double)n;
    out->prob_over = (double)over / (double)n;
    out->prob_over_base = (double)over_base / (double)n;
    out->discordant_better = p10;
    out->discordant_worse = p01;
    double plain = sqrt(fmax(0, p10 + p01 - (p10 - p01) * (p10 - p01)) / (double)n);
    out->gain = paired(base->thin_over + l * n, line->thin_over + l * n, days, by_draw, p10 - p01,
                       has_parts(days) ? mean_error(days, fewer) : plain);
    if (worse == 0) out->gain.lo = fmax(out->gain.lo, 0); /* no day goes over for it: nor can any draw's */
    if (better == 0) out->gain.hi = fmin(out->gain.hi, 0);
}

static void compare_finish(const struct wr_timelines *days, const struct wr_timeline *base,
                           const struct wr_timeline *line, double *by_draw, struct wr_whatif_row *row)
{
    size_t n = days->n_trial, later = 0;
    double *saved = WR_NEW_ARRAY(double, n), mean = 0, squares = 0;

    for (size_t i = 0; i < n; i++) {
        saved[i] = base->finish[i] - line->finish[i];
        mean += saved[i] / (double)n;
        row->mean_min += line->finish[i] / (double)n;
        later += saved[i] < -1.0 / 60;
    }
    for (size_t i = 0; i < n; i++) squares += (saved[i] - mean) * (saved[i] - mean);
    row->saved_min = paired(base->thin_finish, line->thin_finish, days, by_draw, mean,
                            has_parts(days) ? mean_error(days, saved) : sqrt(squares / (double)(n - 1) / (double)n));
    row->share_later = (double)later / (double)n;
    row->median_min = wr_median(line->finish, n);
    row->p90_min = wr_quantile(line->finish, n, 0.9, WR_QUANTILE_TYPE_7);
    wr_free(saved);
}

static bool is_over_any(const struct wr_timelines *days, const struct wr_timeline *line, size_t trial)
{
    bool over = false;

    for (size_t l = 0; l < days->n_limit; l++) over = over || line->over[l * days->n_trial + trial];
    return over;
}

static double any_over(const struct wr_timelines *days, const struct wr_timeline *line)
{
    size_t any = 0, n = days->n_trial;

    for (size_t i = 0; i < n; i++) any += is_over_any(days, line, i);
    return (double)any / (double)n;
}

static double any_gain_error(const struct wr_timelines *days, const struct wr_timeline *base,
                             const struct wr_timeline *line)
{
    WR_SCOPED double *fewer = WR_NEW_ARRAY(double, days->n_trial);

    for (size_t i = 0; i < days->n_trial; i++)
        fewer[i] = (double)is_over_any(days, base, i) - (double)is_over_any(days, line, i);
    return mean_error(days, fewer);
}

/* What ranks are made of: probability of passing the first limit per thinned day, or the finish. */
static const double *ranked_by(const struct wr_timelines *days, size_t i)
{
    const struct wr_timeline *line = &days->line[i];

    return days->n_limit ? line->thin_over : line->thin_finish;
}

static double gain_of(const struct wr_whatif *w, const struct wr_whatif_row *row)
{
    return w->n_limit ? row->limit[0].gain.mean : row->saved_min.mean;
}

/* Whether a stands before b: more gained, or as much and done earlier. */
static bool stands_before(const struct wr_whatif *w, const struct wr_whatif_row *a, const struct wr_whatif_row *b)
{
    double gain = gain_of(w, a) - gain_of(w, b);

    return fabs(gain) > 1e-12 ? gain > 0 : a->saved_min.mean > b->saved_min.mean;
}

static void rank_rows(struct wr_whatif *w, const struct wr_timelines *days, bool in_order, double *by_draw)
{
    for (size_t i = 1; i < w->n_row && !in_order; i++) { /* stable: equal gains stay in the order asked for */
        struct wr_whatif_row row = w->row[i];
        size_t j = i;
        for (; j > 0 && stands_before(w, &row, &w->row[j - 1]); j--) w->row[j] = w->row[j - 1];
        w->row[j] = row;
    }
    for (size_t i = 0; i < w->n_row; i++) {
        const double *mine = ranked_by(days, 1 + w->row[i].variant);
        w->row[i].rank = i + 1;
        difference_by_draw(ranked_by(days, 0), mine, days->n_trial, days->n_thin, by_draw);
        w->row[i].share_better_than_base = share_positive(by_draw, days->n_thin);
        w->row[i].share_better_than_next = 1;
        if (i + 1 < w->n_row) {
            const double *next = ranked_by(days, 1 + w->row[i + 1].variant);
            difference_by_draw(next, mine, days->n_trial, days->n_thin, by_draw);
            w->row[i].share_better_than_next = share_positive(by_draw, days->n_thin);
        }
        w->row[i].told_apart = w->row[i].share_better_than_next >= WR_WHATIF_TOLD_APART;
    }
}

static void fill_in(struct wr_whatif *w, const struct wr_timelines *days, bool in_order)
{
    const struct wr_timeline *base = &days->line[0];
    WR_SCOPED double *by_draw = WR_NEW_ARRAY(double, days->n_thin);

    w->base_over = WR_NEW_ARRAY(double, w->n_limit);
    for (size_t l = 0; l < w->n_limit; l++)
        for (size_t i = 0; i < days->n_trial; i++)
            w->base_over[l] += base->over[l * days->n_trial + i] / (double)days->n_trial;
    for (size_t i = 0; i < days->n_trial; i++) w->base_mean_min += base->finish[i] / (double)days->n_trial;
    w->base_median_min = wr_median(base->finish, days->n_trial);
    w->base_p90_min = wr_quantile(base->finish, days->n_trial, 0.9, WR_QUANTILE_TYPE_7);
    w->base_any_over = any_over(days, base);
    w->row = WR_NEW_ARRAY(struct wr_whatif_row, w->n_row);
    for (size_t r = 0; r < w->n_row; r++) {
        struct wr_whatif_row *row = &w->row[r];
        const struct wr_timeline *line = &days->line[1 + r];
        row->variant = r;
        row->limit = WR_NEW_ARRAY(struct wr_whatif_limit, w->n_limit);
        for (size_t l = 0; l < w->n_limit; l++) compare_limit(days, base, line, l, by_draw, &row->limit[l]);
        compare_finish(days, base, line, by_draw, row);
        row->median_saved_min = w->base_median_min - row->median_min;
        row->median_saved_se_min = median_error(days, base, line);
        row->any_over = any_over(days, line);
        row->any_gain_se = any_gain_error(days, base, line);
    }
    rank_rows(w, days, in_order, by_draw);
}

enum wr_status wr_whatif_run(struct wr_whatif *w, const struct wr_variant *base, const struct wr_variant *alternative,
                             size_t n_alternative, const struct wr_whatif_options *options, struct wr_error *err)
{
    struct wr_timelines days;
    enum wr_status status = wr_timelines_run(&days, base, alternative, n_alternative, options, err);

    if (status != WR_OK) return status;
    *w = (struct wr_whatif){
        .n_trial = days.n_trial, .n_draw = days.n_thin, .n_limit = base->n_limit, .n_row = n_alternative};
    fill_in(w, &days, options->in_order);
    wr_timelines_release(&days);
    return WR_OK;
}

void wr_whatif_release(struct wr_whatif *w)
{
    for (size_t r = 0; r < w->n_row; r++) wr_free(w->row[r].limit);
    WR_FREE(w->row, w->base_over);
    *w = (struct wr_whatif){0};
}

/* ---- price of drop rules ---- */

static struct wr_paired reversed(struct wr_paired p)
{
    return (struct wr_paired){-p.mean, -p.hi, -p.lo, p.se, p.hi_se, p.lo_se, p.coarse};
}

static void price_rule(const struct wr_timelines *days, size_t task, size_t of_limit, size_t without, size_t always,
                       size_t all, double *by_draw, struct wr_drop_price *price)
{
    const struct wr_timeline *base = &days->line[0];
    struct wr_whatif_row row = {0};
    struct wr_whatif_limit limit = {0};

    price->task = task;
    price->limit = of_limit;
    price->dropped = base->dropped[task];
    compare_finish(days, base, &days->line[without], by_draw, &row);
    price->rule_min = reversed(row.saved_min);
    price->median_min = wr_median(base->finish, days->n_trial);
    price->median_all_done_min = wr_median(days->line[all].finish, days->n_trial);
    if (days->n_limit == 0) return;
    compare_limit(days, base, &days->line[all], of_limit, by_draw, &limit);
    price->over_all_done = limit.prob_over;
    price->all_rules = reversed(limit.gain);
    compare_limit(days, base, &days->line[without], of_limit, by_draw, &limit);
    price->rule = reversed(limit.gain);
    price->over_with_rule = limit.prob_over_base;
    price->over_without_rule = limit.prob_over;
    compare_limit(days, base, &days->line[always], of_limit, by_draw, &limit);
    price->over_always_dropped = limit.prob_over;
    price->sooner = limit.gain;
}

enum wr_status wr_drop_prices(struct wr_drop_price **price, size_t *n_price, const struct wr_variant *base,
                              const struct wr_whatif_options *options, struct wr_error *err)
{
    size_t n_task = base->net->n_task, n = 0;
    WR_SCOPED struct wr_variant *alternative = WR_NEW_ARRAY(struct wr_variant, 2 * n_task + 1);
    WR_SCOPED size_t *task = WR_NEW_ARRAY(size_t, n_task);
    unsigned char *marks = wr_alloc(n_task, 2 * n_task + 1), *all_lifted = marks + 2 * n_task * n_task;
    struct wr_timelines days;

    for (size_t k = 0; k < n_task; k++) {
        if (isinf(base->net->drop_after_min[k]) || (base->drop && base->drop[k])) continue;
        unsigned char *lifted = marks + 2 * n * n_task, *left_out = lifted + n_task;
        if (base->no_rule) memcpy(lifted, base->no_rule, n_task);
        if (base->drop) memcpy(left_out, base->drop, n_task);
        lifted[k] = left_out[k] = all_lifted[k] = 1;
        alternative[2 * n] = alternative[2 * n + 1] = *base;
        alternative[2 * n].no_rule = lifted;
        alternative[2 * n + 1].drop = left_out;
        task[n++] = k;
    }
    *price = NULL;
    *n_price = 0;
    alternative[2 * n] = *base;
    alternative[2 * n].no_rule = all_lifted;
    size_t n_line = n > 1 ? 2 * n + 1 : 2 * n; /* of one rule to lift it is to lift all */
    enum wr_status status = n ? wr_timelines_run(&days, base, alternative, n_line, options, err) : WR_OK;
    if (status == WR_OK && n) {
        WR_SCOPED double *by_draw = WR_NEW_ARRAY(double, days.n_thin);
        size_t n_each = base->n_limit ? base->n_limit : 1;
        *price = WR_NEW_ARRAY(struct wr_drop_price, n * n_each);
        for (size_t i = 0; i < n * n_each; i++) {
            size_t rule = i / n_each;
            price_rule(&days, task[rule], i % n_each, 1 + 2 * rule, 2 + 2 * rule, n > 1 ? n_line : 1, by_draw,
                       &(*price)[i]);
        }
        *n_price = n * n_each;
        wr_timelines_release(&days);
    }
    wr_free(marks);
    return status;
}
