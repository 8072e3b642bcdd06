#include "timelines.h"

#include <math.h>
#include <string.h>
#include "abreast.h"
#include "days.h"
#include "variant_days.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/stats/special.h"

enum {
    TRIALS = 16000,
    DAYS_PER_DRAW = 40,  /* for what is said draw by draw; fewer draws are looked at if there are not enough days */
    STRATA = 16,         /* of the run effect, where the outcome need not rise with it */
    CHUNKS = 16          /* of the days, one thread each */
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

/* ---- timelines of one network and its durations ---- */

/* Plain and thinned days: what is the same in all timelines of the group. */
struct drawn {
    struct wr_durations thin;  /* used where there are fewer draws */
    struct wr_scenarios scenarios;
    struct wr_days days;
};

struct group {
    struct wr_timelines *all;
    uint64_t seed;
    bool rules;                /* some timeline, of any group, may drop work */
    size_t n, *member;         /* [n] index of the timeline */
    struct drawn drawn[2];     /* plain, thinned */
    struct wr_days *days[2];   /* [n] of each member */
    size_t **list, *n_list;    /* [n] what a walk of a member after the one before it walks; of the first: all */
    size_t *n_dropped;         /* [(chunk * n + member) * n_task + task] */
};

static bool has_rules(const struct wr_variant *v)
{
    for (size_t k = 0; k < v->net->n_task; k++)
        if (isfinite(v->net->drop_after_min[k]) && !(v->drop && v->drop[k]) && !(v->no_rule && v->no_rule[k]))
            return true;
    return false;
}

static void draw_days(void *arg, size_t thinned)
{
    struct group *g = arg;
    struct drawn *drawn = &g->drawn[thinned];
    const struct wr_variant *v = &g->all->variant[g->member[0]];

    if (thinned) thin_draws(&drawn->thin, v->durations, g->all->n_thin);
    const struct wr_durations *d = thinned ? &drawn->thin : v->durations;
    wr_scenarios_make(&drawn->scenarios, d, g->all->n_trial, g->seed, 1);
    wr_days_make(&drawn->days, v->net, d, &drawn->scenarios, NULL);
    g->days[thinned] = WR_NEW_ARRAY(struct wr_days, g->n);
    for (size_t m = 0; m < g->n; m++) {
        wr_days_again(&g->days[thinned][m], &drawn->days);
        wr_days_change(&g->days[thinned][m], &g->all->variant[g->member[m]]);
    }
}

/* The tasks in which a member differs from the one before it, and all that wait for them. */
static void list_differences(struct group *g, size_t m)
{
    const struct wr_days *days = &g->days[0][m];
    const struct wr_network *net = days->net;
    WR_SCOPED bool *other = WR_NEW_ARRAY(bool, net->n_task);

    g->list[m] = WR_NEW_ARRAY(size_t, net->n_task);
    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        other[k] = m == 0 || wr_days_differ(days, days - 1, k);
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) other[k] |= other[net->pred[j]];
        if (other[k]) g->list[m][g->n_list[m]++] = k;
    }
}

static void group_release(struct group *g)
{
    for (int thinned = 0; thinned < 2; thinned++) {
        for (size_t m = 0; m < g->n; m++) wr_days_release(&g->days[thinned][m]);
        wr_free(g->days[thinned]);
        wr_days_release(&g->drawn[thinned].days);
        wr_scenarios_release(&g->drawn[thinned].scenarios);
        thin_release(&g->drawn[thinned].thin);
    }
    wr_free_each((void *const *)g->list, g->n);
    WR_FREE(g->list, g->n_list, g->n_dropped, g->member);
}

/* ---- a lot of days ---- */

struct walking {
    const struct group *group;
    const struct wr_days *days;     /* of the member that is walked */
    struct wr_way run;              /* of the run effect alone; unused by plain days */
    struct wr_abreast abreast;
};

/* Where the walk of the members before it has left the rows. */
static void walk_member(struct walking *w, size_t m, bool thinned)
{
    const struct group *g = w->group;
    const struct wr_way *way = thinned ? &w->run : NULL;

    w->days = &g->days[thinned][m];
    wr_abreast_load(&w->abreast, w->days, way, g->list[m], g->n_list[m]);
    wr_abreast_walk(&w->abreast, w->days, way, g->list[m], g->n_list[m]);
}

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
 * it. */
static void over_by_strata(struct walking *w)
{
    const struct group *g = w->group;
    const struct wr_timelines *t = g->all;
    struct wr_abreast *a = &w->abreast;
    double out[WR_ABREAST], unused[WR_ABREAST];

    for (int j = 0; j < STRATA; j++) {
        double score = wr_normal_quantile((j + 0.5) / STRATA);
        for (size_t i = 0; i < a->n; i++) a->delta[i] = score - (double)g->drawn[1].days.run_score[a->trial[i]];
        for (size_t m = 0; m < g->n; m++) {
            const struct wr_variant *v = &t->variant[g->member[m]];
            walk_member(w, m, true);
            for (size_t l = 0; l < t->n_limit; l++) {
                if (!g->rules && !v->limit[l].is_clock) continue;
                double *prob = t->line[g->member[m]].thin_over + l * t->n_trial + a->trial[0];
                wr_abreast_outcomes(a, v->net, &v->limit[l], out, unused);
                for (size_t i = 0; i < a->n; i++) prob[i] += (out[i] > v->limit[l].minutes) / (double)STRATA;
            }
        }
    }
}

/* The same of one whose outcome rises with it. */
static void over_given_rest(struct walking *w, const struct wr_sim_limit *limit, double *prob)
{
    const struct wr_days *days = w->days;
    const size_t n = w->abreast.n;
    double at[WR_ABREAST], out[WR_ABREAST];

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

/* rules: all timelines are reckoned alike then. A stratum stands for an eighth of the days, and a difference of the two
 * ways would be taken for one of the timelines. */
static void over_by_scores(struct walking *w)
{
    const struct group *g = w->group;
    const struct wr_timelines *t = g->all;

    for (size_t m = 0; m < g->n && !g->rules; m++) {
        const struct wr_variant *v = &t->variant[g->member[m]];
        w->days = &g->days[1][m];
        wr_abreast_load(&w->abreast, w->days, &w->run, v->net->order, v->net->n_task);
        for (size_t l = 0; l < t->n_limit; l++)
            if (!v->limit[l].is_clock)
                over_given_rest(w, &v->limit[l],
                                t->line[g->member[m]].thin_over + l * t->n_trial + w->abreast.trial[0]);
    }
}

static void see_thinned(struct walking *w)
{
    const struct group *g = w->group;
    const struct wr_sim_limit finish = {.lanes = UINT32_MAX};
    struct wr_abreast *a = &w->abreast;
    double out[WR_ABREAST], unused[WR_ABREAST];

    for (size_t i = 0; i < a->n; i++) a->delta[i] = 0;
    for (size_t m = 0; m < g->n; m++) {
        walk_member(w, m, true);
        wr_abreast_outcomes(a, w->days->net, &finish, out, unused);
        memcpy(g->all->line[g->member[m]].thin_finish + a->trial[0], out, a->n * sizeof *out);
    }
    over_by_strata(w);
    over_by_scores(w);
}

static void see_plain(struct walking *w, size_t *n_dropped)
{
    const struct group *g = w->group;
    const struct wr_timelines *t = g->all;
    const struct wr_abreast *a = &w->abreast;
    const size_t n_task = g->drawn[0].days.n_task, first = a->trial[0];

    for (size_t m = 0; m < g->n; m++) {
        const struct wr_variant *v = &t->variant[g->member[m]];
        struct wr_timeline *line = &t->line[g->member[m]];
        walk_member(w, m, false);
        for (size_t k = 0; k < n_task; k++) {
            const double *end = a->end_min + k * WR_ABREAST;
            const uint64_t *dropped = a->dropped + k * WR_ABREAST;
            for (size_t i = 0; i < a->n; i++) {
                line->finish[first + i] = fmax(line->finish[first + i], end[i]);
                n_dropped[m * n_task + k] += dropped[i] != 0;
            }
        }
        for (size_t l = 0; l < t->n_limit; l++)
            for (size_t i = 0; i < a->n; i++)
                line->over[l * t->n_trial + first + i] =
                    wr_abreast_outcome(a, v->net, &v->limit[l], i) > v->limit[l].minutes;
    }
}

/* ---- all days ---- */

static void walk_chunk(void *arg, size_t piece)
{
    const struct group *g = arg;
    const size_t n_trial = g->all->n_trial, n_task = g->days[0]->n_task;
    const size_t n_lot = (n_trial + WR_ABREAST - 1) / WR_ABREAST;
    const size_t chunk = piece / 2, last = (chunk + 1) * n_lot / CHUNKS * WR_ABREAST;
    const bool thinned = piece % 2;
    struct walking w = {.group = g, .days = g->days[thinned]};

    if (thinned) {
        wr_way_init(&w.run, w.days);
        w.run.run = 1;
        wr_way_normalise(&w.run, w.days);
    }
    wr_abreast_init(&w.abreast, n_task);
    for (size_t i = chunk * n_lot / CHUNKS * WR_ABREAST; i < last && i < n_trial; i += w.abreast.n) {
        wr_abreast_take(&w.abreast, i, n_trial);
        if (thinned) see_thinned(&w);
        else see_plain(&w, g->n_dropped + chunk * g->n * n_task);
    }
    wr_abreast_release(&w.abreast);
    wr_way_release(&w.run);
}

static void run_group(struct group *g, unsigned n_thread)
{
    struct wr_timelines *t = g->all;

    wr_parallel_for(2, n_thread, draw_days, g);
    const size_t n_task = g->days[0]->n_task;
    g->list = WR_NEW_ARRAY(size_t *, g->n);
    g->n_list = WR_NEW_ARRAY(size_t, g->n);
    g->n_dropped = wr_alloc(CHUNKS * g->n, n_task * sizeof *g->n_dropped);
    for (size_t m = 0; m < g->n; m++) {
        struct wr_timeline *line = &t->line[g->member[m]];
        list_differences(g, m);
        line->finish = WR_NEW_ARRAY(double, t->n_trial);
        line->over = wr_alloc(t->n_trial, t->n_limit + 1);
        line->dropped = WR_NEW_ARRAY(double, n_task);
        line->thin_finish = WR_NEW_ARRAY(double, t->n_trial);
        line->thin_over = wr_alloc(t->n_trial, (t->n_limit + 1) * sizeof(double));
    }
    wr_parallel_for(2 * CHUNKS, n_thread, walk_chunk, g);
    for (size_t m = 0; m < g->n; m++)
        for (size_t k = 0; k < n_task; k++) {
            size_t n = 0;
            for (size_t c = 0; c < CHUNKS; c++) n += g->n_dropped[(c * g->n + m) * n_task + k];
            t->line[g->member[m]].dropped[k] = (double)n / (double)t->n_trial;
        }
}

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

/* One after the other: the days of a group are large. */
static void run_groups(struct wr_timelines *t, const struct wr_whatif_options *options)
{
    WR_SCOPED bool *done = WR_NEW_ARRAY(bool, t->n);
    bool rules = false;

    for (size_t i = 0; i < t->n; i++) rules = rules || has_rules(&t->variant[i]);
    for (size_t first = 0; first < t->n; first++) {
        if (done[first]) continue;
        WR_RELEASED_BY(group_release) struct group g = {
            .all = t, .seed = options->seed, .rules = rules, .member = WR_NEW_ARRAY(size_t, t->n)};
        for (size_t i = first; i < t->n; i++) {
            if (t->variant[i].net != t->variant[first].net || t->variant[i].durations != t->variant[first].durations)
                continue;
            g.member[g.n++] = i;
            done[i] = true;
        }
        run_group(&g, options->n_thread);
    }
}

enum wr_status wr_timelines_run(struct wr_timelines *t, const struct wr_variant *base,
                                const struct wr_variant *alternative, size_t n_alternative,
                                const struct wr_whatif_options *options, struct wr_error *err)
{
    size_t n_trial = options->n_trial ? options->n_trial : TRIALS, most = n_trial / DAYS_PER_DRAW;

    *t = (struct wr_timelines){.n = n_alternative + 1, .n_limit = base->n_limit, .n_trial = n_trial,
                               .variant = WR_NEW_ARRAY(struct wr_variant, n_alternative + 1)};
    t->variant[0] = *base;
    for (size_t i = 1; i < t->n; i++) t->variant[i] = completed(base, &alternative[i - 1]);
    for (size_t i = 0; i < t->n; i++) {
        enum wr_status status = check_variant(base, &t->variant[i], err);
        if (status == WR_OK) continue;
        wr_timelines_release(t);
        return status;
    }
    t->line = WR_NEW_ARRAY(struct wr_timeline, t->n);
    t->n_thin = base->durations->n_draw < most ? base->durations->n_draw : most ? most : 1;
    run_groups(t, options);
    return WR_OK;
}

void wr_timelines_release(struct wr_timelines *t)
{
    for (size_t i = 0; t->line && i < t->n; i++) {
        struct wr_timeline *l = &t->line[i];
        WR_FREE(l->finish, l->over, l->dropped, l->thin_finish, l->thin_over);
    }
    WR_FREE(t->line, t->variant);
    *t = (struct wr_timelines){0};
}
