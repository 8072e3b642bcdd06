#include "wetrun/decide/runs_needed.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "outlook.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/model/further_day.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/regress.h"
#include "wetrun/stats/special.h"
#include "wetrun/stats/summary.h"

enum { MOST_STATS = 5, DAYS_PER_FUTURE = 64 /* room in a future's numbers */, DAYS_LOOKED_AT = 500,
       FUTURE_PIECES = 64 /* of work for the threads */ };

/* What a random stream is for, so that no two share one. */
enum purpose { FOR_FUTURES = 1, FOR_SESSIONS, FOR_CHANCES, FOR_REFITS };

static uint64_t seed_for(uint64_t seed, enum purpose purpose)
{
    return seed + ((uint64_t)purpose << 56);
}

struct wr_runs_needed_options wr_runs_needed_default(void)
{
    static const size_t further[] = {1, 2, 4};

    return (struct wr_runs_needed_options){.further = further, .n_further = 3, .n_future = 4000, .n_refit = 128,
                                           .n_keep = 80, .thin = 1, .per_draw = 8};
}

struct pricing { /* what is asked and what is known, borrowed */
    const struct wr_basis *basis;
    const struct wr_model_fit *fit; /* of the basis */
    const struct wr_runs_needed_options *options;
    size_t n_limit;        /* those judged, the first in front */
    struct wr_sim_limit *limit; /* [n_limit] */
    double *over;          /* [limit * n_draw + draw] */
    double *score;         /* [limit * n_draw + draw] normal scores of over */
    size_t n_future, most; /* most: days of a future */
    double *log_finish;    /* [(limit * n_future + future) * most + day] log of what the limit is about */
    double *log_within;    /* [future * most + day] log variance of the tasks' deviations within the day */
    double *moves;         /* [limit * n_model_task + model task] share of first days on which its time moves the
                              outcome of the limit */
};

/* ---- simulated futures ---- */

static size_t draw_day(const struct pricing *p, size_t future, size_t day, double *log_min)
{
    return wr_further_day_draw(p->fit, p->basis->durations, future % p->fit->post.n_draw,
                               p->fit->last_order + 1.0 + (double)day, 1, seed_for(p->options->seed, FOR_FUTURES),
                               future * DAYS_PER_FUTURE + day, log_min);
}

/* Minutes of the tasks that no rehearsal tells about: any value will do, the same in every future. */
static void typical_minutes(const struct wr_durations *d, double *minutes)
{
    for (size_t k = 0; k < d->n_task; k++) {
        bool modelled = wr_durations_are_modelled(d, k); /* if the fit does not cover it: a restated judgement */
        minutes[k] = modelled ? exp(wr_durations_log_law(d, k, 0).centre) : wr_source_quantile_min(&d->source[k], 0.5);
    }
}

/* expected[task] of log minutes on that day */
static void expected_log(const struct wr_model_fit *fit, double order, double *expected)
{
    const struct wr_posterior *post = &fit->post;
    double learnt = wr_sum(post->gamma, post->n_draw) / (double)post->n_draw * (log(order) - log(post->target_order));

    for (size_t k = 0; k < fit->n_model_task; k++)
        expected[k] = wr_sum(post->mu + k * post->n_draw, post->n_draw) / (double)post->n_draw + learnt;
}

static double log_variance_about(const double *value, const double *expected, size_t n, double *scratch)
{
    for (size_t k = 0; k < n; k++) scratch[k] = value[k] - expected[k];
    struct wr_summary s = wr_summarise(scratch, n);
    return s.sd.known && s.sd.value > 0 ? 2 * log(s.sd.value) : 0;
}

static double *finishes(const struct pricing *p, size_t limit, size_t future)
{
    return p->log_finish + (limit * p->n_future + future) * p->most;
}

/* Which tasks would move the outcome of this day if they took a little longer: one more of their count[limit * n_task +
 * task]. */
static void count_moves(const struct pricing *p, double *minutes, double *start, double *end, unsigned *count)
{
    const double longer_min = 1e-3;
    size_t n_task = p->fit->n_model_task;
    WR_SCOPED double *usual = WR_NEW_ARRAY(double, p->n_limit);

    for (size_t l = 0; l < p->n_limit; l++) usual[l] = wr_limit_outcome(p->basis->net, &p->limit[l], start, end, 1);
    for (size_t k = 0; k < n_task; k++) {
        size_t task = p->fit->plan_task[k];
        minutes[task] += longer_min;
        wr_network_forward(p->basis->net, minutes, start, end, NULL);
        for (size_t l = 0; l < p->n_limit; l++) {
            double outcome = wr_limit_outcome(p->basis->net, &p->limit[l], start, end, 1);
            count[l * n_task + k] += fabs(outcome - usual[l]) > longer_min / 2;
        }
        minutes[task] -= longer_min;
    }
}

static size_t first_of_piece(const struct pricing *p, size_t piece)
{
    return piece * p->n_future / FUTURE_PIECES;
}

struct futures {
    const struct pricing *p;
    double *expected;              /* [day * n_model_task + task] */
    size_t n_looked_at;
    unsigned *count;               /* [(piece * n_limit + limit) * n_model_task + task] */
};

static void simulate_piece(void *arg, size_t piece)
{
    const struct futures *all = arg;
    const struct pricing *p = all->p;
    size_t n_task = p->fit->n_model_task, n_plan = p->basis->net->n_task;
    WR_SCOPED double *log_min = WR_NEW_ARRAY(double, n_task), *scratch = WR_NEW_ARRAY(double, n_task);
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, n_plan);
    WR_SCOPED double *start = WR_NEW_ARRAY(double, n_plan), *end = WR_NEW_ARRAY(double, n_plan);

    typical_minutes(p->basis->durations, minutes);
    for (size_t f = first_of_piece(p, piece); f < first_of_piece(p, piece + 1); f++) {
        for (size_t j = 0; j < p->most; j++) {
            draw_day(p, f, j, log_min);
            for (size_t k = 0; k < n_task; k++) minutes[p->fit->plan_task[k]] = exp(log_min[k]);
            wr_network_forward(p->basis->net, minutes, start, end, NULL);
            for (size_t l = 0; l < p->n_limit; l++)
                finishes(p, l, f)[j] = log(fmax(wr_limit_outcome(p->basis->net, &p->limit[l], start, end, 1), 1e-9));
            if (j == 0 && f < all->n_looked_at)
                count_moves(p, minutes, start, end, all->count + piece * p->n_limit * n_task);
            p->log_within[f * p->most + j] = log_variance_about(log_min, all->expected + j * n_task, n_task, scratch);
        }
    }
}

static void simulate_futures(struct pricing *p)
{
    size_t n_task = p->fit->n_model_task, n_count = p->n_limit * n_task;
    WR_SCOPED double *expected = WR_NEW_ARRAY(double, n_task * p->most);
    WR_SCOPED unsigned *count = WR_NEW_ARRAY(unsigned, FUTURE_PIECES * n_count);
    struct futures all = {p, expected, p->n_future < DAYS_LOOKED_AT ? p->n_future : DAYS_LOOKED_AT, count};

    for (size_t j = 0; j < p->most; j++)
        expected_log(p->fit, p->fit->last_order + 1.0 + (double)j, expected + j * n_task);
    wr_parallel_for(FUTURE_PIECES, p->options->n_thread, simulate_piece, &all);
    for (size_t at = 0; at < n_count; at++) {
        unsigned sum = 0;
        for (size_t piece = 0; piece < FUTURE_PIECES; piece++) sum += count[piece * n_count + at];
        p->moves[at] = sum / (double)all.n_looked_at;
    }
}

static double first_day_median(const struct pricing *p)
{
    WR_SCOPED double *first = WR_NEW_ARRAY(double, p->n_future);

    for (size_t f = 0; f < p->n_future; f++) first[f] = finishes(p, 0, f)[0];
    double median = wr_median(first, p->n_future);
    return exp(median);
}

/* What the first m days of a future show, in a few numbers; returns how many. usual[m]: of log_finish on each day. The
 * first three are means over days of what each shows, so that a regression on those of more days has those of fewer in
 * it, and removes no less: the sd of two days alone would tell less of how days differ than how far one is off. */
static size_t statistics(const struct pricing *p, size_t limit, size_t future, size_t m, const double *usual,
                         double stat[MOST_STATS])
{
    const double *finish = finishes(p, limit, future);
    struct wr_summary s = wr_summarise(finish, m);

    stat[0] = s.mean;
    stat[1] = wr_sum(p->log_within + future * p->most, m) / (double)m;
    stat[2] = 0;
    for (size_t j = 0; j < m; j++) stat[2] += fabs(finish[j] - usual[j]) / (double)m;
    if (m == 1) return 3;
    stat[3] = log(fmax(s.sd.value, 1e-9));
    stat[4] = finish[m - 1] - finish[0];
    return 5;
}

static double *all_statistics(const struct pricing *p, size_t limit, size_t m, size_t *n_stat)
{
    double row[MOST_STATS], *stat = WR_NEW_ARRAY(double, p->n_future * MOST_STATS);
    WR_SCOPED double *usual = WR_NEW_ARRAY(double, m);

    for (size_t f = 0; f < p->n_future; f++)
        for (size_t j = 0; j < m; j++) usual[j] += finishes(p, limit, f)[j] / (double)p->n_future;
    for (size_t f = 0; f < p->n_future; f++) {
        *n_stat = statistics(p, limit, f, m, usual, row);
        for (size_t v = 0; v < *n_stat; v++) stat[f * *n_stat + v] = row[v];
    }
    return stat;
}

/* ---- refits ---- */

/* The first failure of several pieces of work, in their order. */
static enum wr_status first_failure(const enum wr_status *status, const struct wr_error *why, size_t n,
                                    struct wr_error *err)
{
    size_t bad = 0;

    while (bad < n && status[bad] == WR_OK) bad++;
    if (bad == n) return WR_OK;
    if (err) *err = why[bad];
    return status[bad];
}

struct refits {
    const struct pricing *p;
    const size_t *future;          /* [n_refit] */
    struct wr_worked_out *after;   /* [(limit * n_further + further) * n_refit + refit] */
    enum wr_status *status;        /* [further * n_refit + refit] */
    struct wr_error *err;          /* the same */
};

static void add_days(const struct pricing *p, size_t future, size_t m, struct wr_model_table *table)
{
    WR_SCOPED double *log_min = WR_NEW_ARRAY(double, p->fit->n_model_task);

    for (size_t j = 0; j < m; j++) {
        struct wr_model_table longer = {0};
        size_t line_up = draw_day(p, future, j, log_min);
        wr_further_day_add(&longer, j == 0 ? &p->fit->data : &table->data, p->fit, p->basis->durations, line_up,
                           p->fit->last_order + 1.0 + (double)j, log_min);
        wr_model_table_release(table);
        *table = longer;
    }
}

/* after[limit * apart] */
static enum wr_status work_out_limits(const struct pricing *p, const struct wr_durations *durations, uint64_t number,
                                      struct wr_worked_out *after, size_t apart, struct wr_error *err)
{
    const struct wr_sim_options sim = {.seed = seed_for(p->options->seed, FOR_CHANCES) + number, .n_thread = 1,
                                       .limit = p->limit, .n_limit = p->n_limit, .same_points = true};
    WR_SCOPED double *over = WR_NEW_ARRAY(double, p->n_limit * durations->n_draw);
    WR_SCOPED struct wr_probability *whole = WR_NEW_ARRAY(struct wr_probability, p->n_limit);
    enum wr_status status = wr_forecast_over(over, whole, p->basis->net, durations, &sim, p->options->per_draw, err);

    for (size_t l = 0; l < p->n_limit && status == WR_OK; l++)
        after[l * apart] = wr_work_out(over + l * durations->n_draw, durations->n_draw);
    return status;
}

static enum wr_status work_out(const struct pricing *p, size_t future, size_t m, struct wr_worked_out *after,
                               size_t apart, struct wr_error *err)
{
    struct wr_fit_options own = *p->basis->fit_options;
    struct wr_model_table table = {0};
    WR_RELEASED_BY(wr_model_fit_release) struct wr_model_fit fit = {0};
    WR_RELEASED_BY(wr_durations_release) struct wr_durations durations = {0};
    struct wr_findings unused = {0}; /* what there is to say was said of the fit that is refitted */
    uint64_t number = future * DAYS_PER_FUTURE + m;

    own.sampler = (struct wr_sampler_options){.n_chain = 1, .n_keep = p->options->n_keep, .thin = p->options->thin,
                                              .seed = seed_for(p->options->seed, FOR_REFITS) + number, .n_thread = 1};
    add_days(p, future, m, &table);
    enum wr_status status = wr_model_refit_from(&fit, p->fit, future % p->fit->post.n_draw, &table, &own, err);
    if (status == WR_OK) {
        fit.last_order = p->fit->last_order; /* the target stays where it is */
        status = wr_durations_build(&durations, p->basis->plan, p->basis->net, p->basis->timing, &fit,
                                    p->basis->carry_over, &own, &unused, err);
    }
    if (status == WR_OK) status = work_out_limits(p, &durations, number, after, apart, err);
    wr_findings_release(&unused);
    return status;
}

static void one_refit(void *arg, size_t at)
{
    struct refits *r = arg;
    const struct wr_runs_needed_options *o = r->p->options;
    size_t n = o->n_refit;

    r->status[at] = work_out(r->p, r->future[at % n], o->further[at / n], &r->after[at],
                             n * o->n_further, &r->err[at]);
}

/* All refits of all m, for all limits. */
static enum wr_status work_out_all(const struct pricing *p, const size_t *future, struct wr_worked_out *after,
                                   struct wr_error *err)
{
    const struct wr_runs_needed_options *o = p->options;
    size_t n = o->n_refit * o->n_further;
    struct refits r = {.p = p, .future = future, .after = after, .status = WR_NEW_ARRAY(enum wr_status, n),
                       .err = WR_NEW_ARRAY(struct wr_error, n)};

    wr_parallel_for_told(n, o->n_thread, one_refit, &r, o->progress, o->progress_arg);
    enum wr_status status = first_failure(r.status, r.err, n, err);
    WR_FREE(r.status, r.err);
    return status;
}

/* ---- rows ---- */

static double effective_draws(const struct wr_posterior *post)
{
    double least = (double)post->n_draw;

    for (size_t i = 0; i < post->n_check; i++) least = fmin(least, post->check[i].ess);
    return fmax(least, 1);
}

struct rows {
    const struct pricing *p;
    const size_t *future;
    const struct wr_worked_out *after;
    double n_effective;
    struct wr_runs_needed_row **row; /* [limit] of n_further each */
    const double *confidence;        /* [limit] */
    enum wr_status *status;          /* [limit * n_further + i] */
    struct wr_error *err;            /* the same */
};

/* What was worked out, as one row of one limit. */
static void one_row(void *arg, size_t at)
{
    struct rows *rows = arg;
    const struct pricing *p = rows->p;
    const struct wr_runs_needed_options *o = p->options;
    size_t n_draw = p->fit->post.n_draw, limit = at / o->n_further, i = at % o->n_further;
    struct wr_runs_needed_row *row = &rows->row[limit][i];
    struct wr_futures f = {.n_draw = n_draw, .over = p->over + limit * n_draw, .n_effective = rows->n_effective,
                           .n_future = p->n_future, .n_refit = o->n_refit, .refit = rows->future,
                           .after = rows->after + at * o->n_refit, .confidence = rows->confidence[limit]};
    WR_SCOPED double *stat = all_statistics(p, limit, o->further[i], &f.n_stat);

    f.stat = stat;
    row->further = o->further[i];
    rows->status[at] = wr_outlook_make(row, &f, &rows->err[at]);
    row->never_inside = wr_timing_complete(p->basis->timing) + o->further[i] < WR_FEWEST_COMPLETE;
    if (row->never_inside) row->clear_inside = (struct wr_estimated){0, 0};
}

static enum wr_status make_rows(struct wr_runs_needed *needed, const struct pricing *p, struct wr_error *err)
{
    const struct wr_runs_needed_options *o = p->options;
    const size_t n = p->n_limit * o->n_further;
    WR_SCOPED size_t *future = WR_NEW_ARRAY(size_t, o->n_refit);
    WR_SCOPED struct wr_worked_out *after = WR_NEW_ARRAY(struct wr_worked_out, o->n_refit * n);
    WR_SCOPED struct wr_runs_needed_row **row = WR_NEW_ARRAY(struct wr_runs_needed_row *, p->n_limit);
    WR_SCOPED double *confidence = WR_NEW_ARRAY(double, p->n_limit);
    WR_SCOPED enum wr_status *made = WR_NEW_ARRAY(enum wr_status, n);
    WR_SCOPED struct wr_error *why = WR_NEW_ARRAY(struct wr_error, n);
    struct rows rows = {p, future, after, effective_draws(&p->fit->post), row, confidence, made, why};

    for (size_t i = 0; i < o->n_refit; i++) future[i] = i * p->n_future / o->n_refit;
    enum wr_status status = work_out_all(p, future, after, err);
    needed->n_row = o->n_further;
    for (size_t l = 0; l < p->n_limit; l++) {
        row[l] = WR_NEW_ARRAY(struct wr_runs_needed_row, o->n_further);
        confidence[l] = l == 0 ? o->confidence : needed->other[l - 1].confidence;
        *(l == 0 ? &needed->row : &needed->other[l - 1].row) = row[l];
    }
    if (status != WR_OK) return status;
    wr_parallel_for(n, o->n_thread, one_row, &rows);
    return first_failure(made, why, n, err);
}

/* ---- part-task sessions ---- */

static int more_worth_while(const void *a, const void *b)
{
    const struct wr_session_row *x = a, *y = b;

    if (x->removed.value != y->removed.value) return x->removed.value < y->removed.value ? 1 : -1;
    return (x->task > y->task) - (x->task < y->task);
}

struct session_work {
    const struct pricing *p;
    double *stat;                  /* [(task * n_future + future) * 2] mean and log sd of a task's repeats */
    struct wr_estimated *removed;  /* [limit * n_model_task + task] of those that move the limit */
    enum wr_status *status;        /* [task] */
    struct wr_error *err;          /* the same */
};

static void repeat_tasks(void *arg, size_t piece)
{
    struct session_work *w = arg;
    const struct pricing *p = w->p;
    size_t n_task = p->fit->n_model_task;
    WR_SCOPED double *log_min = WR_NEW_ARRAY(double, n_task * WR_SESSION_REPEATS);
    double repeat[WR_SESSION_REPEATS];

    for (size_t f = first_of_piece(p, piece); f < first_of_piece(p, piece + 1); f++) {
        wr_further_day_draw(p->fit, p->basis->durations, f % p->fit->post.n_draw, p->fit->last_order + 1.0,
                            WR_SESSION_REPEATS, seed_for(p->options->seed, FOR_SESSIONS), f, log_min);
        for (size_t k = 0; k < n_task; k++) {
            for (size_t j = 0; j < WR_SESSION_REPEATS; j++) repeat[j] = log_min[j * n_task + k];
            struct wr_summary s = wr_summarise(repeat, WR_SESSION_REPEATS);
            w->stat[(k * p->n_future + f) * 2] = s.mean;
            w->stat[(k * p->n_future + f) * 2 + 1] = log(fmax(s.sd.value, 1e-9));
        }
    }
}

static bool is_worth_a_session(const struct pricing *p, size_t limit, size_t k)
{
    return p->moves[limit * p->fit->n_model_task + k] >= WR_SESSION_LEAST_MOVES;
}

/* What a session of one task would remove, of every limit that it moves. */
static void price_session(void *arg, size_t k)
{
    struct session_work *w = arg;
    const struct pricing *p = w->p;
    WR_RELEASED_BY(wr_told_release) struct wr_told told = {0};

    w->status[k] = wr_told_make(&told, w->stat + k * p->n_future * 2, p->n_future, 2, &w->err[k]);
    for (size_t l = 0; l < p->n_limit && w->status[k] == WR_OK; l++)
        if (is_worth_a_session(p, l, k))
            w->removed[l * p->fit->n_model_task + k] =
                wr_share_removed(&told, p->score + l * p->fit->post.n_draw, p->fit->post.n_draw);
}

static void list_sessions(struct wr_sessions *sessions, const struct pricing *p, size_t limit,
                          const struct wr_estimated *removed)
{
    const struct wr_posterior *post = &p->fit->post;

    sessions->row = WR_NEW_ARRAY(struct wr_session_row, p->fit->n_model_task);
    for (size_t k = 0; k < p->fit->n_model_task; k++) {
        if (!is_worth_a_session(p, limit, k)) continue;
        sessions->row[sessions->n++] = (struct wr_session_row){
            .task = p->fit->plan_task[k],
            .removed = removed[limit * p->fit->n_model_task + k],
            .time_min = WR_SESSION_REPEATS * exp(wr_median(post->mu + k * post->n_draw, post->n_draw))};
    }
    qsort(sessions->row, sessions->n, sizeof *sessions->row, more_worth_while);
}

static enum wr_status make_sessions(struct wr_runs_needed *needed, const struct pricing *p, struct wr_error *err)
{
    const size_t n_task = p->fit->n_model_task;
    WR_SCOPED double *stat = WR_NEW_ARRAY(double, n_task * p->n_future * 2);
    WR_SCOPED struct wr_estimated *removed = WR_NEW_ARRAY(struct wr_estimated, p->n_limit * n_task);
    WR_SCOPED enum wr_status *made = WR_NEW_ARRAY(enum wr_status, n_task);
    WR_SCOPED struct wr_error *why = WR_NEW_ARRAY(struct wr_error, n_task);
    struct session_work work = {p, stat, removed, made, why};

    wr_parallel_for(FUTURE_PIECES, p->options->n_thread, repeat_tasks, &work);
    wr_parallel_for(n_task, p->options->n_thread, price_session, &work);
    for (size_t l = 0; l < p->n_limit; l++)
        list_sessions(l == 0 ? &needed->sessions : &needed->other[l - 1].sessions, p, l, removed);
    return first_failure(made, why, n_task, err);
}

bool wr_estimated_is_more(const struct wr_estimated *one, const struct wr_estimated *other)
{
    return one->value - other->value >= 2 * hypot(one->error, other->error);
}

bool wr_session_may_be_first(const struct wr_sessions *sessions, size_t i)
{
    const struct wr_estimated *first = &sessions->row[0].removed, *one = &sessions->row[i].removed;

    WR_BUG_IF(i == 0 || i >= sessions->n);
    double errors = wr_normal_quantile(1 - 0.025 / (double)(sessions->n - 1));
    return first->value - one->value < errors * hypot(first->error, one->error);
}

/* ---- the whole ---- */

static size_t runs_that_count(const struct wr_model_data *data)
{
    size_t n = 0;

    for (size_t r = 0; r < data->n_run; r++) {
        size_t seen = 0;
        for (size_t k = 0; k < data->n_task; k++) seen += data->obs[k * data->n_run + r] != WR_OBS_NONE;
        n += seen > 0;
    }
    return n;
}

enum wr_status wr_runs_needed_takes(const struct wr_model_fit *fit, const struct wr_fit_options *options,
                                    struct wr_error *err)
{
    size_t n_run = runs_that_count(&fit->data);

    if (options->model == WR_MODEL_ALONE)
        return wr_fail(err, WR_E_USAGE, "what further rehearsals add can only be said with the pooled model: leave out "
                       "--model alone");
    if (fit->n_model_task == 0)
        return wr_fail(err, WR_E_TOO_FEW,
                       "no task rests on rehearsals, so none would add to it: log one first "
                       "(`wetrun logsheet` is a log to fill in)");
    if (n_run < WR_RUNS_NEEDED_LEAST)
        return wr_fail(err, WR_E_TOO_FEW,
                       "%zu rehearsal%s so far: below %d too little is known about how rehearsals differ to say what a "
                       "further one would add; hold one",
                       n_run, n_run == 1 ? "" : "s", WR_RUNS_NEEDED_LEAST);
    return WR_OK;
}

static void describe(struct wr_runs_needed *needed, const struct pricing *p)
{
    needed->width = needed->over.hi - needed->over.lo;
    needed->confidence = p->options->confidence;
    needed->n_draw = p->fit->post.n_draw;
    needed->n_future = p->n_future;
    needed->n_refit = p->options->n_refit;
    needed->n_sweep = p->options->n_keep * p->options->thin;
    needed->last_order = p->fit->last_order;
    needed->target_order = p->basis->fit_options->target == WR_FOR_EXCURSION || p->basis->fit_options->hold_learning
                               ? p->fit->last_order : p->fit->target_order;
    needed->carry_over = p->basis->carry_over && p->basis->fit_options->target == WR_FOR_EXCURSION;
    for (size_t k = 0; k < p->basis->net->n_task; k++) {
        const struct wr_source *s = &p->basis->durations->source[k];
        needed->drops |= isfinite(p->basis->net->drop_after_min[k]);
        bool restated = p->basis->durations->restated && p->basis->durations->restated[k];
        needed->n_judged += (restated || !wr_durations_are_modelled(p->basis->durations, k)) &&
                            !(wr_source_form(s) == WR_FORM_FIXED && s->p[0] == 0);
    }
}

/* Of the basis' limits: which one is judged l-th. */
static size_t limit_of(const struct wr_runs_needed_options *o, size_t l)
{
    return l == 0 ? 0 : o->other[l - 1].limit;
}

static void take_forecast(const struct pricing *p, struct wr_probability *over)
{
    const struct wr_forecast *now = p->options->now;

    WR_BUG_IF(now->n_draw != p->fit->post.n_draw || now->n_limit != p->basis->n_limit);
    for (size_t l = 0; l < p->n_limit; l++) {
        size_t at = limit_of(p->options, l);
        over[l] = now->limit[at].over;
        memcpy(p->over + l * now->n_draw, now->draw_over + at * now->n_draw, now->n_draw * sizeof *p->over);
    }
}

/* Now, of every limit that is judged: as the forecast says it, from one walk of the same points. */
static enum wr_status say_now(struct wr_runs_needed *needed, struct pricing *p, struct wr_error *err)
{
    const struct wr_runs_needed_options *o = p->options;
    WR_SCOPED struct wr_probability *over = WR_NEW_ARRAY(struct wr_probability, p->n_limit);
    const struct wr_sim_options sim = {.seed = o->seed, .n_thread = o->n_thread, .limit = p->limit,
                                       .n_limit = p->n_limit};
    enum wr_status status = WR_OK;

    needed->n_other = o->n_other;
    needed->other = WR_NEW_ARRAY(struct wr_runs_needed_other, o->n_other);
    for (size_t l = 0; l < p->n_limit; l++) p->limit[l] = p->basis->limit[limit_of(o, l)];
    if (o->now) take_forecast(p, over);
    else status = wr_forecast_over(p->over, over, p->basis->net, p->basis->durations, &sim, 0, err);
    needed->over = over[0];
    for (size_t l = 1; l < p->n_limit; l++) {
        struct wr_runs_needed_other *other = &needed->other[l - 1];
        *other = (struct wr_runs_needed_other){.limit = limit_of(o, l), .over = over[l],
                                               .confidence = o->other[l - 1].confidence,
                                               .width = over[l].hi - over[l].lo};
    }
    return status;
}

enum wr_status wr_runs_needed_make(struct wr_runs_needed *needed, const struct wr_basis *basis,
                                   const struct wr_runs_needed_options *options, struct wr_error *err)
{
    const struct wr_model_fit *fit = basis->fit;
    size_t n_draw = fit->post.n_draw, most = options->further[options->n_further - 1];
    size_t n_future = n_draw > options->n_future ? n_draw : options->n_future;
    struct pricing p = {.basis = basis, .fit = fit, .options = options, .n_limit = 1 + options->n_other,
                        .n_future = n_future, .most = most};

    WR_BUG_IF(options->n_further == 0 || most >= DAYS_PER_FUTURE || n_future > SIZE_MAX / DAYS_PER_FUTURE);
    *needed = (struct wr_runs_needed){.n_run = runs_that_count(&fit->data)};
    enum wr_status status = wr_runs_needed_takes(fit, basis->fit_options, err);
    if (status != WR_OK) return status;
    if (options->n_refit > n_future)
        return wr_fail(err, WR_E_USAGE, "%zu futures cannot be picked from %zu", options->n_refit, n_future);
    p.limit = WR_NEW_ARRAY(struct wr_sim_limit, p.n_limit);
    p.over = WR_NEW_ARRAY(double, p.n_limit * n_draw);
    p.score = WR_NEW_ARRAY(double, p.n_limit * n_draw);
    p.log_finish = WR_NEW_ARRAY(double, p.n_limit * p.n_future * most);
    p.log_within = WR_NEW_ARRAY(double, p.n_future * most);
    p.moves = WR_NEW_ARRAY(double, p.n_limit * fit->n_model_task);
    status = say_now(needed, &p, err);
    if (status == WR_OK) {
        for (size_t l = 0; l < p.n_limit; l++)
            wr_normal_scores(p.over + l * n_draw, n_draw, 0.5, p.score + l * n_draw);
        describe(needed, &p);
        simulate_futures(&p);
        needed->day_min = first_day_median(&p);
        status = make_sessions(needed, &p, err);
    }
    if (status == WR_OK) status = make_rows(needed, &p, err);
    WR_FREE(p.limit, p.moves, p.over, p.score, p.log_finish, p.log_within);
    if (status != WR_OK) wr_runs_needed_release(needed);
    return status;
}

void wr_runs_needed_release(struct wr_runs_needed *needed)
{
    for (size_t l = 0; l < needed->n_other; l++) WR_FREE(needed->other[l].row, needed->other[l].sessions.row);
    WR_FREE(needed->other, needed->row, needed->sessions.row);
    *needed = (struct wr_runs_needed){0};
}
