#include "wetrun/decide/whatif.h"

#include <math.h>
#include <string.h>
#include "sections.h"
#include "timelines.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"

/* ---- differences ---- */

static size_t section_of(const struct wr_timelines *days, size_t trial)
{
    return wr_section_of(trial, days->n_trial, days->variant[0].durations->n_draw, WR_MOST_BATCHES);
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

static void compare_limit(const struct wr_timelines *days, size_t line, size_t l, struct wr_whatif_limit *out)
{
    out->prob_over = wr_pairing_over(&days->paired, line, l);
    out->prob_over_base = wr_pairing_over(&days->paired, 0, l);
    out->gain = wr_pairing_fewer(&days->paired, 0, line, l);
}

static void compare_finish(const struct wr_timelines *days, size_t at, struct wr_whatif_row *row)
{
    const struct wr_timeline *base = &days->line[0], *line = &days->line[at];
    size_t n = days->n_trial, later = 0;

    for (size_t i = 0; i < n; i++) later += base->finish[i] - line->finish[i] < -1.0 / 60;
    row->mean_min = wr_pairing_finish(&days->paired, at);
    row->saved_min = wr_pairing_earlier(&days->paired, 0, at);
    row->share_later = (double)later / (double)n;
    row->median_min = wr_median(line->finish, n);
    row->p90_min = wr_quantile(line->finish, n, 0.9, WR_QUANTILE_TYPE_7);
}

/* What ranks are made of: the probability of passing the first limit, or the finish. */
static double share_better(const struct wr_timelines *days, size_t line, size_t than)
{
    return days->n_limit ? wr_pairing_share_fewer(&days->paired, than, line, 0)
                         : wr_pairing_share_earlier(&days->paired, than, line);
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

static void rank_rows(struct wr_whatif *w, const struct wr_timelines *days, bool in_order)
{
    for (size_t i = 1; i < w->n_row && !in_order; i++) { /* stable: equal gains stay in the order asked for */
        struct wr_whatif_row row = w->row[i];
        size_t j = i;
        for (; j > 0 && stands_before(w, &row, &w->row[j - 1]); j--) w->row[j] = w->row[j - 1];
        w->row[j] = row;
    }
    for (size_t i = 0; i < w->n_row; i++) {
        const size_t mine = 1 + w->row[i].variant;
        w->row[i].rank = i + 1;
        w->row[i].share_better_than_base = share_better(days, mine, 0);
        w->row[i].share_better_than_next =
            i + 1 < w->n_row ? share_better(days, mine, 1 + w->row[i + 1].variant) : 1;
        w->row[i].told_apart = w->row[i].share_better_than_next >= WR_WHATIF_TOLD_APART;
    }
}

static void fill_in(struct wr_whatif *w, const struct wr_timelines *days, bool in_order)
{
    const struct wr_timeline *base = &days->line[0];
    const size_t any = w->n_limit;

    w->base_over = WR_NEW_ARRAY(double, w->n_limit);
    for (size_t l = 0; l < w->n_limit; l++) w->base_over[l] = wr_pairing_over(&days->paired, 0, l);
    w->base_mean_min = wr_pairing_finish(&days->paired, 0);
    w->base_median_min = wr_median(base->finish, days->n_trial);
    w->base_p90_min = wr_quantile(base->finish, days->n_trial, 0.9, WR_QUANTILE_TYPE_7);
    w->base_any_over = any ? wr_pairing_over(&days->paired, 0, any) : 0;
    w->row = WR_NEW_ARRAY(struct wr_whatif_row, w->n_row);
    for (size_t r = 0; r < w->n_row; r++) {
        struct wr_whatif_row *row = &w->row[r];
        row->variant = r;
        row->limit = WR_NEW_ARRAY(struct wr_whatif_limit, w->n_limit);
        for (size_t l = 0; l < w->n_limit; l++) compare_limit(days, 1 + r, l, &row->limit[l]);
        compare_finish(days, 1 + r, row);
        row->median_saved_min = w->base_median_min - row->median_min;
        row->median_saved_se_min = median_error(days, base, &days->line[1 + r]);
        if (!any) continue;
        row->any_over = wr_pairing_over(&days->paired, 1 + r, any);
        row->any_gain_se = wr_pairing_fewer(&days->paired, 0, 1 + r, any).se;
    }
    rank_rows(w, days, in_order);
}

enum wr_status wr_whatif_run(struct wr_whatif *w, const struct wr_variant *base, const struct wr_variant *alternative,
                             size_t n_alternative, const struct wr_whatif_options *options, struct wr_error *err)
{
    struct wr_timelines days;
    enum wr_status status = wr_timelines_run(&days, base, alternative, n_alternative, options, err);

    if (status != WR_OK) return status;
    *w = (struct wr_whatif){
        .n_trial = days.n_trial, .n_draw = days.paired.n_draw, .n_per_draw = days.paired.per_draw,
        .n_limit = base->n_limit, .n_row = n_alternative};
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
    return (struct wr_paired){-p.mean, -p.hi, -p.lo, p.se, p.hi_se, p.lo_se, p.no_interval};
}

static void price_rule(const struct wr_timelines *days, size_t task, size_t of_limit, size_t without, size_t always,
                       size_t all, struct wr_drop_price *price)
{
    const struct wr_timeline *base = &days->line[0];
    struct wr_whatif_row row = {0};
    struct wr_whatif_limit limit = {0};

    price->task = task;
    price->limit = of_limit;
    price->n_per_draw = days->paired.per_draw;
    price->dropped = base->dropped[task];
    compare_finish(days, without, &row);
    price->rule_min = reversed(row.saved_min);
    price->median_min = wr_median(base->finish, days->n_trial);
    price->median_all_done_min = wr_median(days->line[all].finish, days->n_trial);
    if (days->n_limit == 0) return;
    compare_limit(days, all, of_limit, &limit);
    price->over_all_done = limit.prob_over;
    price->all_rules = reversed(limit.gain);
    compare_limit(days, without, of_limit, &limit);
    price->rule = reversed(limit.gain);
    price->over_with_rule = limit.prob_over_base;
    price->over_without_rule = limit.prob_over;
    compare_limit(days, always, of_limit, &limit);
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
        size_t n_each = base->n_limit ? base->n_limit : 1;
        *price = WR_NEW_ARRAY(struct wr_drop_price, n * n_each);
        for (size_t i = 0; i < n * n_each; i++) {
            size_t rule = i / n_each;
            price_rule(&days, task[rule], i % n_each, 1 + 2 * rule, 2 + 2 * rule, n > 1 ? n_line : 1,
                       &(*price)[i]);
        }
        *n_price = n * n_each;
        wr_timelines_release(&days);
    }
    wr_free(marks);
    return status;
}
