#include "wetrun/decide/backtest.h"

#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/decide/held_out.h"
#include "wetrun/stats/proportion.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/score.h"

/* One refit: a rehearsal and what it is forecast from. Pieces write to their own place only. */
struct piece {
    size_t run;
    enum wr_held_out_from from;
    struct wr_backtest_run *finish; /* NULL: the run is not complete, only its tasks count */
    struct wr_backtest_task *task;  /* [n_task] of this run alone; NULL: not wanted */
    enum wr_status status;
    struct wr_error err;
};

struct work {
    const struct wr_basis *basis;
    const struct wr_backtest_options *options;
    size_t n_trial;
    struct piece *piece; size_t n_piece;
};

static int between(double value, double lo, double hi)
{
    return value >= lo && value <= hi;
}

static double point(const double *ascending, size_t n, double prob)
{
    return wr_quantile_of_sorted(ascending, n, prob, WR_QUANTILE_TYPE_7);
}

static void judge_finish(struct wr_backtest_run *out, const struct wr_held_out *h)
{
    for (size_t i = 0; i < WR_N_LENS; i++) out->lens_min[i] = point(h->finish_min, h->n_trial, wr_lens_prob[i]);
    out->rank = wr_share_below(h->finish_min, h->n_trial, out->actual_min);
    out->crps_min = wr_crps_draws(h->finish_min, h->n_trial, out->actual_min, WR_CRPS_OF_DRAWS);
    out->inside95 = between(out->actual_min, out->lens_min[WR_LENS2_5], out->lens_min[WR_LENS97_5]);
    out->inside80 = between(out->actual_min, out->lens_min[WR_LENS10], out->lens_min[WR_LENS90]);
    out->forecast_made = true;
}

static void judge_tasks(struct wr_backtest_task *out, const struct wr_held_out *h, const struct wr_timing *timing,
                        size_t run)
{
    size_t n = h->n_task_trial;

    for (size_t k = 0; k < h->n_task; k++) {
        const struct wr_cell *cell = wr_timing_cell(timing, k, run);
        const double *t = h->task_min + k * n;
        double actual = wr_cell_modelled_min(cell);
        if (!wr_cell_is_timed(cell) || !(actual > 0)) continue;
        out[k].n = 1;
        out[k].n_inside80 = (size_t)between(actual, point(t, n, 0.1), point(t, n, 0.9));
        out[k].n_inside95 = (size_t)between(actual, point(t, n, 0.025), point(t, n, 0.975));
        out[k].mean_rank = wr_share_below(t, n, actual);
        out[k].crps_min = wr_crps_draws(t, n, actual, WR_CRPS_OF_DRAWS);
    }
}

/* Later pieces take longer: in strides of a prime, so that the number done says how much of the work is. */
static void do_piece(void *arg, size_t turn)
{
    const struct work *w = arg;
    struct piece *p = &w->piece[turn * 1000003 % w->n_piece];
    WR_RELEASED_BY(wr_held_out_release) struct wr_held_out h = {0};

    p->status = wr_held_out_make(&h, p->run, p->from, w->basis,
                                 p->task ? WR_HELD_OUT_FINISH_AND_TASKS : WR_HELD_OUT_FINISH, w->n_trial, &p->err);
    if (!p->status && p->finish) judge_finish(p->finish, &h);
    if (!p->status && p->task) judge_tasks(p->task, &h, w->basis->timing, p->run);
}

static enum wr_status do_all(struct work *w, struct wr_error *err)
{
    const struct wr_backtest_options *o = w->options;

    wr_parallel_for_told(w->n_piece, o->n_thread, do_piece, w, o->progress, o->progress_arg);
    for (size_t i = 0; i < w->n_piece; i++)
        if (w->piece[i].status) {
            *err = w->piece[i].err;
            return w->piece[i].status;
        }
    return WR_OK;
}

/* What happened is its times through the plan, which a log of minutes alone has as well, and is forecast likewise; but
 * beside others by the clock the time between its tasks is theirs. */
static bool is_on_record(const struct wr_timing *timing, size_t r)
{
    const struct wr_timing_run *run = &timing->run[r];
    bool own = !run->by_minutes || !wr_timing_has_clock(timing);

    return own && run->complete && run->n_unknown == 0 && wr_run_is_modelled(timing, r);
}

static void record_init(struct wr_backtest_record *record, const struct wr_timing *timing)
{
    record->run = WR_NEW_ARRAY(struct wr_backtest_run, timing->n_run);
    for (size_t r = 0; r < timing->n_run; r++)
        if (is_on_record(timing, r))
            record->run[record->n_run++] =
                (struct wr_backtest_run){.run = r, .actual_min = timing->run[r].by_plan_min};
}

static void record_sum(struct wr_backtest_record *record)
{
    for (size_t i = 0; i < record->n_run; i++) {
        const struct wr_backtest_run *run = &record->run[i];
        if (!run->forecast_made) continue;
        record->n_forecast++;
        record->n_inside80 += run->inside80;
        record->n_inside95 += run->inside95;
        record->crps_min += run->crps_min;
    }
    if (record->n_forecast == 0) return;
    size_t n = record->n_forecast;
    record->coverage80 = (double)record->n_inside80 / (double)n;
    record->coverage95 = (double)record->n_inside95 / (double)n;
    record->crps_min /= (double)n;
    record->prob_so_few80 = wr_binomial_at_most(record->n_inside80, n, 0.8);
    record->prob_expected80 = 1;
    for (size_t m = 1; m <= n; m++) { /* the largest m with P(at least m inside) >= 0.9 */
        double fewer = wr_binomial_at_most(m - 1, n, 0.8);
        if (fewer > 0.1) break;
        record->expected_least80 = m;
        record->prob_expected80 = 1 - fewer;
    }
}

static void tasks_sum(struct wr_backtest *b, const struct wr_backtest_task *of_runs, size_t n_run)
{
    for (size_t k = 0; k < b->n_task; k++) {
        struct wr_backtest_task *t = &b->task[k];
        for (size_t r = 0; r < n_run; r++) {
            const struct wr_backtest_task *one = &of_runs[r * b->n_task + k];
            t->n += one->n;
            t->n_inside80 += one->n_inside80;
            t->n_inside95 += one->n_inside95;
            t->mean_rank += one->mean_rank;
            t->crps_min += one->crps_min;
        }
        if (t->n) {
            t->mean_rank /= (double)t->n;
            t->crps_min /= (double)t->n;
        }
        b->n_task_cell += t->n;
        b->n_task_inside80 += t->n_inside80;
        b->n_task_inside95 += t->n_inside95;
    }
}

/* The predecessors of the last rehearsal are all the others: one forecast serves both records. */
static bool is_last(const struct wr_timing *timing, size_t run)
{
    return run + 1 == timing->n_run;
}

static bool has_enough_before(const struct wr_timing *timing, size_t run)
{
    size_t n = 0;

    for (size_t r = run; r-- > 0 && n < WR_BACKTEST_LEAST_BEFORE;) n += wr_run_is_modelled(timing, r);
    return n == WR_BACKTEST_LEAST_BEFORE;
}

static void list_pieces(struct work *w, struct wr_backtest *b, struct wr_backtest_task *of_runs)
{
    const struct wr_backtest_record *all = &b->leave_one_out;

    for (size_t r = 0, i = 0; r < w->basis->timing->n_run; r++) {
        struct piece p = {.run = r, .from = WR_FROM_ALL_OTHERS, .task = of_runs + r * b->n_task};
        if (i < all->n_run && all->run[i].run == r) p.finish = &all->run[i++];
        if (wr_run_is_modelled(w->basis->timing, r)) w->piece[w->n_piece++] = p;
    }
    for (size_t i = 0; i < b->predecessors.n_run; i++) {
        struct wr_backtest_run *before = &b->predecessors.run[i];
        if (has_enough_before(w->basis->timing, before->run) && !is_last(w->basis->timing, before->run))
            w->piece[w->n_piece++] = (struct piece){.run = before->run, .from = WR_FROM_PREDECESSORS, .finish = before};
    }
}

static void share_last(struct wr_backtest *b, const struct wr_timing *timing)
{
    for (size_t i = 0; i < b->predecessors.n_run; i++)
        if (is_last(timing, b->predecessors.run[i].run) && has_enough_before(timing, b->predecessors.run[i].run))
            b->predecessors.run[i] = b->leave_one_out.run[i];
}

enum wr_status wr_backtest_takes(const struct wr_timing *timing, struct wr_error *err)
{
    if (timing->n_run > WR_BACKTEST_LEAST_OTHERS) return WR_OK;
    return wr_fail(err, WR_E_TOO_FEW,
                   "%zu rehearsal%s, and a forecast of one from the others needs at least %d: log more first",
                   timing->n_run, timing->n_run == 1 ? "" : "s", WR_BACKTEST_LEAST_OTHERS + 1);
}

enum wr_status wr_backtest_run_all(struct wr_backtest *b, const struct wr_basis *basis,
                                   const struct wr_backtest_options *options, struct wr_error *err)
{
    struct work w = {.basis = basis, .options = options, .n_trial = options->n_trial ? options->n_trial : 8000};
    const struct wr_timing *timing = basis->timing;

    enum wr_status status = wr_backtest_takes(timing, err);
    if (status != WR_OK) return status;
    *b = (struct wr_backtest){.n_task = basis->net->n_task};
    b->task = WR_NEW_ARRAY(struct wr_backtest_task, b->n_task);
    struct wr_backtest_task *of_runs = WR_NEW_ARRAY(struct wr_backtest_task, b->n_task * timing->n_run);
    record_init(&b->leave_one_out, timing);
    record_init(&b->predecessors, timing);
    w.piece = WR_NEW_ARRAY(struct piece, 2 * timing->n_run);
    list_pieces(&w, b, of_runs);
    status = do_all(&w, err);
    if (!status) {
        share_last(b, timing);
        record_sum(&b->leave_one_out);
        record_sum(&b->predecessors);
        tasks_sum(b, of_runs, timing->n_run);
    } else {
        wr_backtest_release(b);
    }
    WR_FREE(of_runs, w.piece);
    return status;
}

void wr_backtest_release(struct wr_backtest *b)
{
    WR_FREE(b->leave_one_out.run, b->predecessors.run, b->task);
    *b = (struct wr_backtest){0};
}
