/* The results of a study: what each rests on, what it needs, how it is made and released. */
#include "study_parts.h"

#include <math.h>

enum need { NEEDS_LIMIT = 1 << 0, NEEDS_CONFIDENCE = 1 << 1, NEEDS_REHEARSAL = 1 << 2, NEEDS_CHANGE = 1 << 3 };
#define BIT(id) WR_RESULT_BIT(WR_RESULT_##id)

/* What a result takes against the others, for progress alone: seconds on one thread of the machine of
 * tests/bench/RESULTS.md, fitted to campaigns of 3 to 60 rehearsals of 12 to 80 tasks (tests/bench/bench_report.c). A
 * cell is a task in a rehearsal. */
struct usual_time {
    double fixed_s, per_100_tasks_s, per_1000_cells_s, per_1000_cells_and_run_s;
    double most_cells; /* thousands of cells that count; 0: all */
    double beside;     /* times as long where WR_RESULT_OTHER_LIMITS is made as well; 0: it does not matter */
    double by_days;    /* times as long where a clock or a drop rule has whole days walked; 0 likewise */
    double before;     /* share that has gone by when it first says how far it is, its slower beginning counted in */
    double before_by_days; /* the same where whole days are walked */
};

struct result_row {
    unsigned rests_on;   /* results made before it */
    unsigned takes_in;   /* results made before it where they can be had */
    unsigned needs;      /* bits of enum need */
    bool keeps_days;     /* all its trials in memory: too many are refused before anything is fitted */
    enum wr_status (*can)(const struct wr_study *study, struct wr_error *err); /* further needs, once the rest is
                                                                                  there */
    void (*release)(struct wr_study *study); /* NULL: nothing to release; also after its maker failed */
    struct usual_time usual;
};

static enum wr_status can_pad(const struct wr_study *s, struct wr_error *err)
{
    return wr_pad_takes(s->confidence.value, err);
}

static enum wr_status can_backtest(const struct wr_study *s, struct wr_error *err)
{
    return wr_backtest_takes(&s->timing, err);
}

static enum wr_status can_price_rehearsals(const struct wr_study *s, struct wr_error *err)
{
    if (s->durations.people_untold)
        return wr_fail(err, WR_E_TOO_FEW,
                       "further rehearsals by those who rehearsed tell nothing of the people that --people names: hold "
                       "one with them, or leave --people out");
    return wr_runs_needed_takes(&s->fit, &s->fit_options, err);
}

static void release_model(struct wr_study *s)
{
    wr_durations_release(&s->durations);
    if (s->has_carry_over) wr_carry_over_release(&s->carry_over);
    s->has_carry_over = false;
    wr_model_fit_release(&s->fit);
}

#define RELEASE(function, member)                      \
    static void release_##member(struct wr_study *s)   \
    {                                                  \
        function(&s->member);                          \
    }
static void release_forecast(struct wr_study *s)
{
    for (size_t i = 0; i < s->n_beside; i++) wr_beside_release(&s->beside[i]);
    s->n_beside = 0;
    wr_excursion_release(&s->excursion);
    s->has_excursion = false;
    wr_forecast_release(&s->forecast);
    wr_total_check_release(&s->total);
    s->disagreement = (struct wr_total_disagreement){0};
    wr_free(s->own_trend_scale);
    s->own_trend_scale = NULL;
    wr_stuck_release(&s->stuck);
}

RELEASE(wr_fit_summary_release, summary)
RELEASE(wr_candidates_release, candidates)
RELEASE(wr_comparison_release, comparison)
RELEASE(wr_pad_release, pad)
RELEASE(wr_backtest_release, backtest)
RELEASE(wr_runs_needed_release, runs_needed)
RELEASE(wr_debrief_release, debrief)
RELEASE(wr_other_limits_release, other)

static void release_price(struct wr_study *s)
{
    wr_free(s->price);
    s->price = NULL;
    s->n_price = 0;
}

static enum wr_status can_move_limit(const struct wr_study *s, struct wr_error *err)
{
    return s->limit[0].is_clock ? wr_fail(err, WR_E_TOO_FEW,
                                          "the first limit runs from one task to another: put the "
                                          "limit of the whole excursion into the first row")
                                : WR_OK;
}

static const struct result_row rows[WR_N_RESULT] = {
    [WR_RESULT_MODEL] = {.release = release_model,
                         .usual = {.fixed_s = 0.06, .per_100_tasks_s = 0.09, .per_1000_cells_s = 0.26}},
    [WR_RESULT_FORECAST] = {.rests_on = BIT(MODEL),
                            .release = release_forecast,
                            .usual = {.fixed_s = 0.04, .per_100_tasks_s = 0.16, .by_days = 2}}, /* the totals' days */
    [WR_RESULT_SUMMARY] = {.rests_on = BIT(FORECAST),
                           .release = release_summary,
                           .usual = {.per_100_tasks_s = 0.24}},
    [WR_RESULT_CANDIDATES] = {.needs = NEEDS_REHEARSAL,
                              .release = release_candidates,
                              .usual = {.per_1000_cells_s = 1.15}},
    [WR_RESULT_COMPARISON] = {.needs = NEEDS_REHEARSAL,
                              .release = release_comparison,
                              .usual = {.fixed_s = 0.01}},
    [WR_RESULT_PAD] = {.rests_on = BIT(FORECAST),
                       .needs = NEEDS_CONFIDENCE,
                       .keeps_days = true,
                       .can = can_pad,
                       .release = release_pad,
                       .usual = {.per_100_tasks_s = 0.75}},
    [WR_RESULT_OTHER_LIMITS] = {.rests_on = BIT(FORECAST),
                                .needs = NEEDS_LIMIT | NEEDS_CONFIDENCE,
                                .can = can_move_limit,
                                .release = release_other,
                                .usual = {.fixed_s = 0.1, .per_100_tasks_s = 0.32}},
    [WR_RESULT_CUTOFFS] = {.rests_on = BIT(FORECAST),
                           .takes_in = BIT(PRICES),
                           .needs = NEEDS_LIMIT | NEEDS_CONFIDENCE,
                           .keeps_days = true,
                           .release = wr_study_cutoffs_release,
                           .usual = {.fixed_s = 0.15, .per_100_tasks_s = 1, .beside = 2.2, .by_days = 1.6,
                                     .before = 0.12, .before_by_days = 0.33}},
    [WR_RESULT_BACKTEST] = {.rests_on = BIT(MODEL),
                            .can = can_backtest,
                            .release = release_backtest,
                            .usual = {.per_1000_cells_s = 0.35, .per_1000_cells_and_run_s = 0.07, .most_cells = 1.3}},
    [WR_RESULT_READY] = {.rests_on = BIT(FORECAST),
                         .takes_in = BIT(SUMMARY) | BIT(PAD) | BIT(BACKTEST),
                         .needs = NEEDS_LIMIT | NEEDS_CONFIDENCE,
                         .usual = {.fixed_s = 0.01}},
    [WR_RESULT_RUNS_NEEDED] = {.rests_on = BIT(FORECAST), /* for what is found about it */
                               .needs = NEEDS_LIMIT | NEEDS_CONFIDENCE,
                               .can = can_price_rehearsals,
                               .release = release_runs_needed,
                               .usual = {.fixed_s = 0.25,
                                         .per_100_tasks_s = 2.15,
                                         .per_1000_cells_s = 3.2,
                                         .most_cells = 0.7,
                                         .by_days = 1.2,
                                         .before = 0.08}},
    [WR_RESULT_PRICES] = {.rests_on = BIT(FORECAST),
                          .release = release_price,
                          .usual = {.fixed_s = 0.1}},
    [WR_RESULT_DEBRIEF] = {.rests_on = BIT(FORECAST),
                           .takes_in = BIT(COMPARISON),
                           .release = release_debrief,
                           .usual = {.fixed_s = 0.15}},
    [WR_RESULT_WHATIF] = {.rests_on = BIT(FORECAST),
                          .needs = NEEDS_CHANGE,
                          .keeps_days = true,
                          .release = wr_study_whatif_release,
                          .usual = {.fixed_s = 0.3}},
};

static wr_study_fn *const make[WR_N_RESULT] = {
#define MAKE(id, name) [WR_RESULT_##id] = wr_study_##name,
    WR_RESULT_TABLE(MAKE)
#undef MAKE
};

/* There is no silent default for a safety limit. */
static enum wr_status check_needs(const struct wr_study *s, unsigned needs, struct wr_error *err)
{
    if ((needs & NEEDS_CHANGE) && s->options.n_change == 0 && !s->options.search)
        return wr_fail(err, WR_E_USAGE,
                       "nothing is changed: write --drop TASK, --scale TASK=0.8, --swap TASK=LANE, "
                       "--limit H:MM or --plan FILE, or let --search look for a change");
    if ((needs & NEEDS_REHEARSAL) && s->timing.n_run == 0)
        return wr_fail(err, WR_E_TOO_FEW, "there is no rehearsal to look at; `wetrun logsheet` is a log to fill in");
    if ((needs & NEEDS_LIMIT) && s->limits.n_limit == 0)
        return wr_fail(err, WR_E_USAGE,
                       "no excursion limit is given and none is assumed: add limits.csv or --limit H:MM");
    if ((needs & NEEDS_CONFIDENCE) && !s->confidence.known)
        return wr_fail(err, WR_E_USAGE,
                       "no confidence is given and none is assumed: add it to limits.csv, or --confidence P");
    return WR_OK;
}

/* ---- progress ---- */

/* What one result says of itself, as a share of the whole. */
static void pass_on(void *study, double share_done)
{
    const struct wr_study *s = study;
    const struct wr_study_progress *p = &s->progress;

    if (p->show && p->whole > 0) p->show(p->arg, fmin(1, (p->done + share_done * p->under_way) / p->whole));
}

static bool has_days_walked(const struct wr_study *s)
{
    bool walked = false;

    for (size_t l = 0; l < s->limits.n_limit; l++) walked |= s->limit[l].is_clock;
    return walked || wr_plan_drops(&s->plan);
}

/* all: the results that are made, sooner or later */
static double usual_s_of(const struct wr_study *s, enum wr_result result, unsigned all)
{
    const struct usual_time *usual = &rows[result].usual;
    const double n_run = (double)(s->timing.n_run < WR_MOST_RUNS ? s->timing.n_run : WR_MOST_RUNS);
    const double n_task = (double)s->plan.n_task, cells = n_run * n_task / 1000;
    const double counted = usual->most_cells > 0 ? fmin(cells, usual->most_cells) : cells;
    double sum = usual->fixed_s + usual->per_100_tasks_s * n_task / 100 +
                 (usual->per_1000_cells_s + usual->per_1000_cells_and_run_s * n_run) * counted;

    if (usual->beside > 0 && (all & BIT(OTHER_LIMITS))) sum *= usual->beside;
    return usual->by_days > 0 && has_days_walked(s) ? usual->by_days * sum : sum;
}

static double share_before(const struct wr_study *s, const struct usual_time *usual)
{
    return usual->before_by_days > 0 && has_days_walked(s) ? usual->before_by_days : usual->before;
}

/* These results, what they rest on and what they take in, but for what is made. */
static double usual_s_of_all(const struct wr_study *s, unsigned wanted)
{
    double sum = 0;
    unsigned before;

    do {
        before = wanted;
        for (int i = 0; i < WR_N_RESULT; i++)
            if (wanted & WR_RESULT_BIT(i)) wanted |= rows[i].rests_on | rows[i].takes_in;
    } while (wanted != before);
    for (int i = 0; i < WR_N_RESULT; i++)
        if (wanted & ~s->made & WR_RESULT_BIT(i)) sum += usual_s_of(s, (enum wr_result)i, wanted);
    return sum;
}

static void begin_progress(struct wr_study *s, unsigned wanted)
{
    struct wr_study_progress *p = &s->progress;

    if (!s->options.progress) return;
    if (p->whole == 0 || !s->options.progress_of) {
        p->done = 0;
        p->whole = usual_s_of_all(s, wanted | s->options.progress_of) + s->options.progress_after_s;
    }
    p->show = s->options.progress;
    p->arg = s->options.progress_arg;
    s->options.progress = pass_on;
    s->options.progress_arg = s;
}

static void end_progress(struct wr_study *s)
{
    if (!s->progress.show) return;
    s->options.progress = s->progress.show;
    s->options.progress_arg = s->progress.arg;
    s->progress.show = NULL;
}

/* ---- made on demand ---- */

static enum wr_status gather(struct wr_study *s, unsigned wanted, struct wr_error *err);
static enum wr_status make_all(struct wr_study *s, unsigned wanted, struct wr_error *err);

/* *lacking: the status says what this campaign lacks for it, not what went wrong. */
static enum wr_status attempt(struct wr_study *s, enum wr_result result, bool *lacking, struct wr_error *err)
{
    const struct result_row *row = &rows[result];

    *lacking = false;
    if (wr_study_has(s, result)) return WR_OK;
    enum wr_status status = check_needs(s, row->needs, err);
    *lacking = status != WR_OK;
    if (!status && row->keeps_days) status = wr_study_days_fit(s->options.n_trial, s->plan.n_task, err);
    if (!status) status = make_all(s, row->rests_on, err);
    if (!status) status = gather(s, row->takes_in, err);
    if (!status && row->can) {
        status = row->can(s, err);
        *lacking = status != WR_OK;
    }
    if (status) return status;
    s->progress.under_way = usual_s_of(s, result, s->made);
    const double before = share_before(s, &row->usual) * s->progress.under_way;
    s->progress.done += before;
    s->progress.under_way -= before;
    status = make[result](s, err);
    s->progress.done += s->progress.under_way;
    s->progress.under_way = 0;
    pass_on(s, 0);
    if (status == WR_OK)
        s->made |= WR_RESULT_BIT(result);
    else if (row->release)
        row->release(s);
    return status;
}

static enum wr_status make_all(struct wr_study *s, unsigned wanted, struct wr_error *err)
{
    enum wr_status status = WR_OK;
    bool lacking;

    for (int i = 0; i < WR_N_RESULT && !status; i++)
        if (wanted & WR_RESULT_BIT(i)) status = attempt(s, (enum wr_result)i, &lacking, err);
    return status;
}

static enum wr_status gather(struct wr_study *s, unsigned wanted, struct wr_error *err)
{
    for (int i = 0; i < WR_N_RESULT; i++) {
        struct wr_error why;
        bool lacking;
        if (!(wanted & WR_RESULT_BIT(i))) continue;
        enum wr_status status = attempt(s, (enum wr_result)i, &lacking, &why);
        if (!status || lacking) continue;
        if (err) *err = why;
        return status;
    }
    return WR_OK;
}

/* ---- guarded from outside ---- */

struct call {
    struct wr_study *study;
    const struct wr_study_options *options;
    unsigned wanted;
};

static enum wr_status guarded(struct wr_study *s, wr_guarded_fn *function, struct call *call, struct wr_error *err)
{
    if (!s->pool) s->pool = wr_pool_new();
    if (!s->pool) return wr_fail(err, WR_E_MEMORY, "out of memory");
    enum wr_status status = wr_guard(s->pool, function, call, err);
    if (status != WR_E_MEMORY && status != WR_E_BUG) return status;
    wr_pool_release(s->pool);
    *s = (struct wr_study){0};
    return status;
}

static enum wr_status open_call(void *arg, struct wr_error *err)
{
    struct call *call = arg;

    return wr_study_read_all(call->study, call->options, err);
}

static enum wr_status make_call(void *arg, struct wr_error *err)
{
    struct call *call = arg;

    return make_all(call->study, call->wanted, err);
}

static enum wr_status gather_call(void *arg, struct wr_error *err)
{
    struct call *call = arg;

    return gather(call->study, call->wanted, err);
}

enum wr_status wr_study_open(struct wr_study *s, const struct wr_study_options *options, struct wr_error *err)
{
    return guarded(s, open_call, &(struct call){.study = s, .options = options}, err);
}

enum wr_status wr_study_make(struct wr_study *s, enum wr_result result, struct wr_error *err)
{
    begin_progress(s, WR_RESULT_BIT(result));
    enum wr_status status = guarded(s, make_call, &(struct call){.study = s, .wanted = WR_RESULT_BIT(result)}, err);
    end_progress(s);
    return status;
}

enum wr_status wr_study_gather(struct wr_study *s, unsigned wanted, struct wr_error *err)
{
    begin_progress(s, wanted);
    enum wr_status status = guarded(s, gather_call, &(struct call){.study = s, .wanted = wanted}, err);
    end_progress(s);
    return status;
}

bool wr_study_has(const struct wr_study *s, enum wr_result result)
{
    return s->made & WR_RESULT_BIT(result);
}

void wr_study_release(struct wr_study *s)
{
    for (int i = WR_N_RESULT; i-- > 0;)
        if (wr_study_has(s, (enum wr_result)i) && rows[i].release) rows[i].release(s);
    wr_free(s->limit);
    wr_screen_release(&s->screen);
    wr_timing_release(&s->timing);
    wr_timing_release(&s->rehearsed_timing);
    wr_network_release(&s->net);
    wr_history_release(&s->history);
    wr_limits_release(&s->limits);
    wr_plan_release(&s->plan);
    wr_plan_release(&s->rehearsed);
    wr_run_log_release(&s->log);
    wr_findings_release(&s->findings);
    wr_aliases_release(&s->aliases);
    for (size_t i = 0; i < s->n_file; i++) wr_text_release(&s->file[i]->text);
    wr_free(s->file);
    wr_study_earlier_release(s); /* holds what file[] pointed to */
    wr_arena_release(&s->text);
    wr_pool_release(s->pool);
    *s = (struct wr_study){0};
}
