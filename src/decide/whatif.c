#include "wetrun/decide/whatif.h"

#include <math.h>
#include <string.h>
#include "abreast.h"
#include "by_draw.h"
#include "days.h"
#include "variant_days.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/special.h"

enum {
    TRIALS = 16000,
    DAYS_PER_DRAW = 40,  /* for what is said draw by draw; fewer draws are looked at if there are not enough days */
    STRATA = 16          /* of the run effect, where the outcome need not rise with it */
};

/* ---- fewer posterior draws, evenly chosen ---- */

static void keep_draws(const double *from, double **to, size_t n_row, size_t n_from, size_t n_to)
{
    if (!from) return;
    *to = wr_alloc(n_row, n_to * sizeof(double));
    for (size_t r = 0; r < n_row; r++)
        for (size_t j = 0; j < n_to; j++) (*to)[r * n_to + j] = from[r * n_from + j * n_from / n_to];
}

/* Owns what depends on draws, borrows the rest. */
static void thin_draws(struct wr_durations *thin, const struct wr_durations *d, size_t n_draw)
{
    *thin = *d;
    thin->n_draw = n_draw;
    keep_draws(d->centre_log, &thin->centre_log, d->n_task, d->n_draw, n_draw);
    keep_draws(d->spread_log, &thin->spread_log, d->n_task, d->n_draw, n_draw);
    keep_draws(d->tau, &thin->tau, 1, d->n_draw, n_draw);
    keep_draws(d->rho, &thin->rho, 1, d->n_draw, n_draw);
    keep_draws(d->kappa, &thin->kappa, 1, d->n_draw, n_draw);
    keep_draws(d->q, &thin->q, d->n_person, d->n_draw, n_draw);
    keep_draws(d->run_effect_shift, &thin->run_effect_shift, 1, d->n_draw, n_draw);
    keep_draws(d->run_effect_sd, &thin->run_effect_sd, 1, d->n_draw, n_draw);
}

static void thin_release(struct wr_durations *thin)
{
    WR_FREE(thin->centre_log, thin->spread_log, thin->tau, thin->rho, thin->kappa);
    WR_FREE(thin->q, thin->run_effect_shift, thin->run_effect_sd);
}

/* ---- one timeline, run through all the days ---- */

struct line {
    size_t n_limit;
    double *finish;            /* [n_trial] */
    unsigned char *over;       /* [limit * n_trial + trial] */
    double *dropped;           /* [n_task] share of days */
    /* of the thinned draws */
    double *thin_finish;       /* [n_trial] */
    double *thin_over;         /* [limit * n_trial + trial] probability over the run effect, the rest as on that day */
};

/* The variant with what it leaves open taken from the base. */
static struct wr_variant completed(const struct wr_variant *base, const struct wr_variant *v)
{
    struct wr_variant full = *v;

    if (!full.net) full.net = base->net;
    if (!full.durations) full.durations = base->durations;
    if (!full.limit) {
        full.limit = base->limit;
        full.n_limit = base->n_limit;
    }
    return full;
}

void wr_days_change(struct wr_days *days, const struct wr_variant *v)
{
    for (size_t k = 0; k < days->n_task; k++) {
        bool drop = v->drop && v->drop[k];
        double scale = drop ? 0 : v->scale ? v->scale[k] : 1;
        if (drop) days->floor_min[k] = 0;
        if (drop || (v->no_rule && v->no_rule[k])) days->drop_after_min[k] = INFINITY;
        if (scale == 1) continue;
        for (size_t i = 0; i < days->n_trial; i++) days->base_min[k * days->n_trial + i] *= scale;
        if (scale == 0) days->form[k] = WR_FORM_FIXED;
    }
}

static bool has_rules(const struct wr_variant *v)
{
    for (size_t k = 0; k < v->net->n_task; k++)
        if (isfinite(v->net->drop_after_min[k]) && !(v->drop && v->drop[k]) && !(v->no_rule && v->no_rule[k]))
            return true;
    return false;
}

/* Days side by side, and the way of the run effect alone. */
struct walking {
    const struct wr_days *days;
    struct wr_way run;
    struct wr_abreast abreast;
};

/* Outcomes of the days taken, the run effect's score put to score[]. */
static void outcomes_at(struct walking *w, const struct wr_sim_limit *limit, const double *score, double *out)
{
    struct wr_abreast *a = &w->abreast;
    const struct wr_network *net = w->days->net;
    double every[WR_ABREAST], unused[WR_ABREAST];

    for (size_t i = 0; i < a->n; i++) a->delta[i] = score[i] - (double)w->days->run_score[a->trial[i]];
    wr_abreast_walk(a, w->days, &w->run, net->order, w->days->n_task);
    wr_abreast_outcomes(a, net, limit, every, unused);
    memcpy(out, every, a->n * sizeof *out);
}

static void outcomes_at_one(struct walking *w, const struct wr_sim_limit *limit, double score, double *out)
{
    double same[WR_ABREAST];

    for (size_t i = 0; i < WR_ABREAST; i++) same[i] = score;
    outcomes_at(w, limit, same, out);
}

/* The log of an outcome less that of the limit. */
static void log_over(const struct wr_sim_limit *limit, const double *out, size_t n, double *f)
{
    for (size_t i = 0; i < n; i++) f[i] = log(fmax(1e-9, out[i])) - log(limit->minutes);
}

/* The run effect's scores at which the outcomes reach the limit, by false position on the logs. */
static void scores_at_limit(struct walking *w, const struct wr_sim_limit *limit, double *at)
{
    const size_t n = w->abreast.n;
    double lo[WR_ABREAST], hi[WR_ABREAST], f_lo[WR_ABREAST], f_hi[WR_ABREAST], f[WR_ABREAST], out[WR_ABREAST];
    bool done[WR_ABREAST];
    size_t n_open = n;

    outcomes_at_one(w, limit, -8, out);
    log_over(limit, out, n, f_lo);
    outcomes_at_one(w, limit, 8, out);
    log_over(limit, out, n, f_hi);
    for (size_t i = 0; i < n; i++) {
        lo[i] = -8;
        hi[i] = 8;
        done[i] = f_lo[i] > 0 || f_hi[i] <= 0;
        at[i] = f_lo[i] > 0 ? -INFINITY : INFINITY;
    }
    for (int step = 0; step < 60 && n_open > 0; step++) {
        double x[WR_ABREAST];
        for (size_t i = 0; i < n; i++) {
            bool middle = step % 3 == 2 || done[i];
            x[i] = middle ? (lo[i] + hi[i]) / 2 : lo[i] + (hi[i] - lo[i]) * -f_lo[i] / (f_hi[i] - f_lo[i]);
        }
        outcomes_at(w, limit, x, out);
        log_over(limit, out, n, f);
        n_open = 0;
        for (size_t i = 0; i < n; i++) {
            if (done[i]) continue;
            if (f[i] > 0) hi[i] = x[i], f_hi[i] = f[i];
            else lo[i] = x[i], f_lo[i] = f[i];
            done[i] = fabs(f[i]) < 1e-9 || hi[i] - lo[i] < 1e-6;
            at[i] = x[i];
            n_open += !done[i];
        }
    }
}

/* P(limit passed) over the run effect, everything else as on the days taken; of limits whose outcome need not rise with
 * it, all from the same walks: prob[limit * n_all + day]. */
static void over_by_strata(struct walking *w, const struct wr_variant *v, bool rules, size_t n_all, double *prob)
{
    double out[WR_ABREAST], unused[WR_ABREAST];

    for (int j = 0; j < STRATA; j++) {
        bool walked = false;
        for (size_t l = 0; l < v->n_limit; l++) {
            const struct wr_sim_limit *limit = &v->limit[l];
            if (!rules && !limit->is_clock) continue;
            if (!walked) outcomes_at_one(w, limit, wr_normal_quantile((j + 0.5) / STRATA), out);
            walked = true;
            wr_abreast_outcomes(&w->abreast, w->days->net, limit, out, unused);
            for (size_t i = 0; i < w->abreast.n; i++)
                prob[l * n_all + i] += (out[i] > limit->minutes) / (double)STRATA;
        }
    }
}

/* The same of one whose outcome rises with it. */
static void over_given_rest(struct walking *w, const struct wr_sim_limit *limit, bool rules, double *prob)
{
    const struct wr_days *days = w->days;
    const size_t n = w->abreast.n;
    double at[WR_ABREAST], out[WR_ABREAST];

    if (limit->is_clock || rules) return;
    if (wr_days_scale(days)) {
        outcomes_at_one(w, limit, 0, out);
        for (size_t i = 0; i < n; i++)
            at[i] =
                out[i] > 0 ? log(limit->minutes / out[i]) / days->run_sd[days->draw[w->abreast.trial[i]]] : INFINITY;
    } else {
        scores_at_limit(w, limit, at);
    }
    for (size_t i = 0; i < n; i++) prob[i] = isinf(at[i]) ? at[i] < 0 : exp(wr_log_normal_cdf(-at[i]));
}

static void run_plainly(struct line *line, struct wr_days *days, const struct wr_variant *v)
{
    const size_t n = days->n_trial;

    wr_days_walk_all(days);
    line->n_limit = v->n_limit;
    line->finish = WR_NEW_ARRAY(double, n);
    line->over = wr_alloc(n, v->n_limit + 1);
    line->dropped = WR_NEW_ARRAY(double, days->n_task);
    for (size_t k = 0; k < days->n_task; k++) {
        size_t n_dropped = 0;
        for (size_t i = 0; i < n; i++) {
            line->finish[i] = fmax(line->finish[i], days->end_min[k * n + i]);
            n_dropped += days->start_min[k * n + i] > days->drop_after_min[k];
        }
        line->dropped[k] = (double)n_dropped / (double)n;
    }
    for (size_t l = 0; l < v->n_limit; l++)
        for (size_t i = 0; i < n; i++)
            line->over[l * n + i] = wr_days_outcome(days, &v->limit[l], i) > v->limit[l].minutes;
}

/* rules: some timeline that it is compared with may drop work. All are reckoned alike then: a stratum stands for an
 * eighth of the days, and a difference of the two ways would be taken for one of the timelines. */
static void run_by_draw(struct line *line, const struct wr_days *days, const struct wr_variant *v, bool rules)
{
    struct walking w = {.days = days};
    const struct wr_sim_limit finish = {.lanes = UINT32_MAX};
    const size_t n = days->n_trial;

    wr_way_init(&w.run, days);
    w.run.run = 1;
    wr_way_normalise(&w.run, days);
    wr_abreast_init(&w.abreast, days->n_task);
    line->thin_finish = WR_NEW_ARRAY(double, n);
    line->thin_over = wr_alloc(n, (v->n_limit + 1) * sizeof(double));
    for (size_t i = 0; i < n; i += w.abreast.n) {
        double score[WR_ABREAST];
        wr_abreast_take(&w.abreast, i, n);
        wr_abreast_load(&w.abreast, days, &w.run, days->net->order, days->n_task);
        for (size_t j = 0; j < w.abreast.n; j++) score[j] = (double)days->run_score[i + j];
        outcomes_at(&w, &finish, score, line->thin_finish + i);
        over_by_strata(&w, v, rules, n, line->thin_over + i);
        for (size_t l = 0; l < v->n_limit; l++) over_given_rest(&w, &v->limit[l], rules, line->thin_over + l * n + i);
    }
    wr_abreast_release(&w.abreast);
    wr_way_release(&w.run);
}

/* Days of one network and its durations, over all posterior draws or fewer. */
struct drawn {
    struct wr_durations thin;  /* used where there are fewer draws */
    struct wr_scenarios scenarios;
    struct wr_days days;
};

struct job {
    struct wr_variant *variant; /* [0] the base, completed */
    struct line *line;
    size_t n_trial, n_thin;
    bool rules;                 /* of some variant */
    uint64_t seed;
    struct drawn base[2];       /* plain, thinned: what is the same in every variant of the base's own plan */
};

static void draw_days(struct drawn *drawn, const struct job *job, const struct wr_variant *v, bool thinned)
{
    *drawn = (struct drawn){0};
    if (thinned) thin_draws(&drawn->thin, v->durations, job->n_thin);
    const struct wr_durations *d = thinned ? &drawn->thin : v->durations;
    wr_scenarios_make(&drawn->scenarios, d, job->n_trial, job->seed, 1);
    wr_days_make(&drawn->days, v->net, d, &drawn->scenarios, NULL);
}

static void drawn_release(struct drawn *drawn)
{
    wr_days_release(&drawn->days);
    wr_scenarios_release(&drawn->scenarios);
    thin_release(&drawn->thin);
}

static void draw_base(void *arg, size_t thinned)
{
    struct job *job = arg;

    draw_days(&job->base[thinned], job, &job->variant[0], thinned);
}

static void run_variant(void *arg, size_t piece)
{
    struct job *job = arg;
    const struct wr_variant *v = &job->variant[piece];
    const bool as_base = v->net == job->variant[0].net && v->durations == job->variant[0].durations;

    for (int thinned = 0; thinned < 2; thinned++) {
        struct drawn own = {0};
        struct wr_days days;
        if (!as_base) draw_days(&own, job, v, thinned);
        wr_days_again(&days, as_base ? &job->base[thinned].days : &own.days);
        wr_days_change(&days, v);
        if (thinned) run_by_draw(&job->line[piece], &days, v, job->rules);
        else run_plainly(&job->line[piece], &days, v);
        wr_days_release(&days);
        drawn_release(&own);
    }
}

/* ---- differences ---- */

static void difference_by_draw(const double *a, const double *b, size_t n_trial, size_t n_draw, double *by_draw)
{
    WR_SCOPED double *difference = WR_NEW_ARRAY(double, n_trial);

    for (size_t i = 0; i < n_trial; i++) difference[i] = a[i] - b[i];
    wr_by_draw_means(difference, n_trial, n_draw, by_draw);
}

static double share_positive(const double *by_draw, size_t n)
{
    double share = 0;

    for (size_t j = 0; j < n; j++) share += by_draw[j] > 0 ? 1 : by_draw[j] == 0 ? 0.5 : 0;
    return share / (double)n;
}

/* Of one draw, whose parameters are known, the ends are its own difference. A rare gain may fall on so few draws that
 * their points are all on one side of the mean. */
static struct wr_paired paired(const double *a, const double *b, const struct job *job, double *by_draw, double mean,
                               double se)
{
    difference_by_draw(a, b, job->n_trial, job->n_thin, by_draw);
    double lo = wr_quantile(by_draw, job->n_thin, 0.05, WR_QUANTILE_TYPE_7);
    double hi = wr_quantile(by_draw, job->n_thin, 0.95, WR_QUANTILE_TYPE_7);
    bool one = job->n_thin == 1;
    return (struct wr_paired){mean, one ? lo : fmin(mean, lo), one ? hi : fmax(mean, hi), se};
}

static void compare_limit(const struct job *job, const struct line *base, const struct line *line, size_t l,
                          double *by_draw, struct wr_whatif_limit *out)
{
    size_t n = job->n_trial, better = 0, worse = 0, over = 0, over_base = 0;

    for (size_t i = l * n; i < (l + 1) * n; i++) {
        over += line->over[i];
        over_base += base->over[i];
        better += base->over[i] && !line->over[i];
        worse += !base->over[i] && line->over[i];
    }
    double p10 = (double)better / (double)n, p01 = (double)worse / (double)n;
    out->prob_over = (double)over / (double)n;
    out->prob_over_base = (double)over_base / (double)n;
    out->discordant_better = p10;
    out->discordant_worse = p01;
    out->gain = paired(base->thin_over + l * n, line->thin_over + l * n, job, by_draw, p10 - p01,
                       sqrt(fmax(0, p10 + p01 - (p10 - p01) * (p10 - p01)) / (double)n));
    if (worse == 0) out->gain.lo = fmax(out->gain.lo, 0); /* no day goes over for it: nor can any draw's */
    if (better == 0) out->gain.hi = fmin(out->gain.hi, 0);
}

static void compare_finish(const struct job *job, const struct line *base, const struct line *line, double *by_draw,
                           struct wr_whatif_row *row)
{
    size_t n = job->n_trial, later = 0;
    double *saved = WR_NEW_ARRAY(double, n), mean = 0, squares = 0;

    for (size_t i = 0; i < n; i++) {
        saved[i] = base->finish[i] - line->finish[i];
        mean += saved[i] / (double)n;
        row->mean_min += line->finish[i] / (double)n;
        later += saved[i] < -1.0 / 60;
    }
    for (size_t i = 0; i < n; i++) squares += (saved[i] - mean) * (saved[i] - mean);
    row->saved_min = paired(base->thin_finish, line->thin_finish, job, by_draw, mean,
                            sqrt(squares / (double)(n - 1) / (double)n));
    row->share_later = (double)later / (double)n;
    row->median_min = wr_median(line->finish, n);
    row->p90_min = wr_quantile(line->finish, n, 0.9, WR_QUANTILE_TYPE_7);
    wr_free(saved);
}

static double any_over(const struct line *line, size_t n)
{
    size_t any = 0;

    for (size_t i = 0; i < n; i++) {
        bool over = false;
        for (size_t l = 0; l < line->n_limit; l++) over = over || line->over[l * n + i];
        any += over;
    }
    return (double)any / (double)n;
}

/* What ranks are made of: probability of passing the first limit per thinned day, or the finish. */
static const double *ranked_by(const struct line *line)
{
    return line->n_limit ? line->thin_over : line->thin_finish;
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

static void rank_rows(struct wr_whatif *w, const struct job *job, bool in_order, double *by_draw)
{
    for (size_t i = 1; i < w->n_row && !in_order; i++) { /* stable: equal gains stay in the order asked for */
        struct wr_whatif_row row = w->row[i];
        size_t j = i;
        for (; j > 0 && stands_before(w, &row, &w->row[j - 1]); j--) w->row[j] = w->row[j - 1];
        w->row[j] = row;
    }
    for (size_t i = 0; i < w->n_row; i++) {
        const double *mine = ranked_by(&job->line[1 + w->row[i].variant]);
        w->row[i].rank = i + 1;
        difference_by_draw(ranked_by(&job->line[0]), mine, job->n_trial, job->n_thin, by_draw);
        w->row[i].share_better_than_base = share_positive(by_draw, job->n_thin);
        w->row[i].share_better_than_next = 1;
        if (i + 1 < w->n_row) {
            const double *next = ranked_by(&job->line[1 + w->row[i + 1].variant]);
            difference_by_draw(next, mine, job->n_trial, job->n_thin, by_draw);
            w->row[i].share_better_than_next = share_positive(by_draw, job->n_thin);
        }
        w->row[i].told_apart = w->row[i].share_better_than_next >= WR_WHATIF_TOLD_APART;
    }
}

static void fill_in(struct wr_whatif *w, const struct job *job, bool in_order)
{
    const struct line *base = &job->line[0];
    WR_SCOPED double *by_draw = WR_NEW_ARRAY(double, job->n_thin);

    w->base_over = WR_NEW_ARRAY(double, w->n_limit);
    for (size_t l = 0; l < w->n_limit; l++)
        for (size_t i = 0; i < job->n_trial; i++)
            w->base_over[l] += base->over[l * job->n_trial + i] / (double)job->n_trial;
    for (size_t i = 0; i < job->n_trial; i++) w->base_mean_min += base->finish[i] / (double)job->n_trial;
    w->base_median_min = wr_median(base->finish, job->n_trial);
    w->base_p90_min = wr_quantile(base->finish, job->n_trial, 0.9, WR_QUANTILE_TYPE_7);
    w->base_any_over = any_over(base, job->n_trial);
    w->row = WR_NEW_ARRAY(struct wr_whatif_row, w->n_row);
    for (size_t r = 0; r < w->n_row; r++) {
        struct wr_whatif_row *row = &w->row[r];
        const struct line *line = &job->line[1 + r];
        row->variant = r;
        row->limit = WR_NEW_ARRAY(struct wr_whatif_limit, w->n_limit);
        for (size_t l = 0; l < w->n_limit; l++) compare_limit(job, base, line, l, by_draw, &row->limit[l]);
        compare_finish(job, base, line, by_draw, row);
        row->median_saved_min = w->base_median_min - row->median_min;
        row->any_over = any_over(line, job->n_trial);
    }
    rank_rows(w, job, in_order, by_draw);
}

static enum wr_status check_variant(const struct wr_variant *base, const struct wr_variant *v, struct wr_error *err)
{
    WR_BUG_IF(v->net->n_task != v->durations->n_task || v->n_limit != base->n_limit);
    if (v->durations->n_draw != base->durations->n_draw)
        return wr_fail(err, WR_E_DOMAIN, "'%s' rests on other posterior draws than the timeline as it is", v->name);
    for (size_t k = 0; v->scale && k < v->net->n_task; k++)
        if (!(v->scale[k] >= 0) || isinf(v->scale[k]))
            return wr_fail(err, WR_E_DOMAIN, "'%s' scales a task by %g: a factor is a number that is not negative",
                           v->name, v->scale[k]);
    return WR_OK;
}

/* Lines of base and alternatives, to be released; NULL on failure. */
static enum wr_status run_lines(struct job *job, const struct wr_variant *base, const struct wr_variant *alternative,
                                size_t n, const struct wr_whatif_options *options, struct wr_error *err)
{
    struct wr_variant *all = WR_NEW_ARRAY(struct wr_variant, n + 1);

    all[0] = *base;
    for (size_t i = 0; i < n; i++) all[i + 1] = completed(base, &alternative[i]);
    for (size_t i = 0; i <= n; i++) {
        enum wr_status status = check_variant(&all[0], &all[i], err);
        if (status == WR_OK) continue;
        wr_free(all);
        return status;
    }
    *job = (struct job){.variant = all, .line = WR_NEW_ARRAY(struct line, n + 1),
                        .n_trial = options->n_trial ? options->n_trial : TRIALS, .seed = options->seed};
    size_t most = job->n_trial / DAYS_PER_DRAW;
    job->n_thin = base->durations->n_draw < most ? base->durations->n_draw : most ? most : 1;
    for (size_t i = 0; i <= n; i++) job->rules = job->rules || has_rules(&all[i]);
    wr_parallel_for(2, options->n_thread, draw_base, job);
    wr_parallel_for(n + 1, options->n_thread, run_variant, job);
    for (int thinned = 0; thinned < 2; thinned++) drawn_release(&job->base[thinned]);
    return WR_OK;
}

static void lines_release(struct job *job, size_t n)
{
    for (struct line *l = job->line; l <= job->line + n; l++)
        WR_FREE(l->finish, l->over, l->dropped, l->thin_finish, l->thin_over);
    WR_FREE(job->line, job->variant);
}

enum wr_status wr_whatif_run(struct wr_whatif *w, const struct wr_variant *base, const struct wr_variant *alternative,
                             size_t n_alternative, const struct wr_whatif_options *options, struct wr_error *err)
{
    struct job job;
    enum wr_status status = run_lines(&job, base, alternative, n_alternative, options, err);

    if (status != WR_OK) return status;
    *w = (struct wr_whatif){
        .n_trial = job.n_trial, .n_draw = job.n_thin, .n_limit = base->n_limit, .n_row = n_alternative};
    fill_in(w, &job, options->in_order);
    lines_release(&job, n_alternative);
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
    return (struct wr_paired){-p.mean, -p.hi, -p.lo, p.se};
}

static void price_rule(const struct job *job, size_t task, size_t of_limit, size_t without, size_t always, size_t all,
                       double *by_draw, struct wr_drop_price *price)
{
    const struct line *base = &job->line[0];
    struct wr_whatif_row row = {0};
    struct wr_whatif_limit limit = {0};

    price->task = task;
    price->limit = of_limit;
    price->dropped = base->dropped[task];
    compare_finish(job, base, &job->line[without], by_draw, &row);
    price->rule_min = reversed(row.saved_min);
    price->median_min = wr_median(base->finish, job->n_trial);
    price->median_all_done_min = wr_median(job->line[all].finish, job->n_trial);
    if (base->n_limit == 0) return;
    compare_limit(job, base, &job->line[all], of_limit, by_draw, &limit);
    price->over_all_done = limit.prob_over;
    price->all_rules = reversed(limit.gain);
    compare_limit(job, base, &job->line[without], of_limit, by_draw, &limit);
    price->rule = reversed(limit.gain);
    price->over_with_rule = limit.prob_over_base;
    price->over_without_rule = limit.prob_over;
    compare_limit(job, base, &job->line[always], of_limit, by_draw, &limit);
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
    struct job job;

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
    enum wr_status status = n ? run_lines(&job, base, alternative, n_line, options, err) : WR_OK;
    if (status == WR_OK && n) {
        WR_SCOPED double *by_draw = WR_NEW_ARRAY(double, job.n_thin);
        size_t n_each = base->n_limit ? base->n_limit : 1;
        *price = WR_NEW_ARRAY(struct wr_drop_price, n * n_each);
        for (size_t i = 0; i < n * n_each; i++) {
            size_t rule = i / n_each;
            price_rule(&job, task[rule], i % n_each, 1 + 2 * rule, 2 + 2 * rule, n > 1 ? n_line : 1, by_draw,
                       &(*price)[i]);
        }
        *n_price = n * n_each;
        lines_release(&job, n_line);
    }
    wr_free(marks);
    return status;
}
