/* What is decided on a campaign and its forecast: the options of each decision from those of the study. */
#include <stdint.h>
#include <string.h>
#include "study_parts.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/decide/to_forecast.h"
#include "wetrun/sim/scenarios.h"

enum {
    DAYS_FOR_PADS = 50000,
    DAYS_FOR_CUTOFFS = 14000, /* of even luck: as good as 20,000 where 90 of 100 are wanted */
    DAYS_BEFORE_THE_DAY = 8000 /* each task's median and its longest in a thousand: the rest is the forecast's */
};
enum { MOST_BYTES_LOG2 = 31, BYTES_PER_TASK = 3 * sizeof(float) };

typedef void make_days_fn(struct wr_scenarios *days, const struct wr_durations *durations, size_t n_trial,
                          uint64_t seed, unsigned n_thread);

enum wr_status wr_study_days_fit(size_t n_trial, size_t n_task, struct wr_error *err)
{
    size_t most = ((size_t)1 << MOST_BYTES_LOG2) / (BYTES_PER_TASK * (n_task + 1));

    if (n_trial <= most) return WR_OK;
    return wr_fail(err, WR_E_USAGE,
                   "--trials: this command keeps its trials in memory, at most %zu of them here: write --trials %zu",
                   most, most);
}

/* The set of simulated days that decisions look at, one at a time. */
static void simulate_days(struct wr_scenarios *days, const struct wr_study *s, make_days_fn *make, size_t usual)
{
    make(days, &s->durations, s->options.n_trial ? s->options.n_trial : usual, s->options.seed, s->options.n_thread);
}

static const char *run_at(const void *log, size_t i)
{
    return ((const struct wr_run_log *)log)->run[i].id;
}

/* By names.csv, by its name, or by the only one that is the same but for case and blanks. log.n_run: there is none. */
static size_t find_run(const struct wr_study *s, const char *id)
{
    const struct wr_name_list runs = {run_at, &s->log, s->log.n_run};
    size_t run = wr_find_spelling(&runs, wr_alias_of(&s->aliases, WR_NAME_RUN, id));

    return run == SIZE_MAX ? s->log.n_run : run;
}

static enum wr_status no_such_run(const struct wr_study *s, const char *option, const char *id, struct wr_error *err)
{
    const struct wr_name_list runs = {run_at, &s->log, s->log.n_run};
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "%sthere is no rehearsal '%.60s' in the log", option, id);
    wr_add_did_you_mean(&text, &runs, id, "`wetrun check` lists them");
    if (s->log.n_run == 0) wr_str_add(&text, ": add one (`wetrun logsheet` is a log to fill in)");
    return wr_fail(err, WR_E_USAGE, "%s", text.text);
}

static enum wr_status no_such_task(const struct wr_study *s, const char *id, struct wr_error *err)
{
    WR_SCOPED_STR text = {0};

    wr_plan_say_no_task(&s->plan, id, &text);
    return wr_fail(err, WR_E_USAGE, "--at: %s", text.text);
}

/* ---- looking back ---- */

enum wr_status wr_study_candidates(struct wr_study *s, struct wr_error *err)
{
    const struct wr_candidate_options options = {
        .n_resample = 500, .seed = s->options.seed, .n_thread = s->options.n_thread};

    (void)err;
    wr_candidates_fit(&s->candidates, &s->timing, &options);
    return WR_OK;
}

enum wr_status wr_study_comparison(struct wr_study *s, struct wr_error *err)
{
    const char *by = s->options.by, *split = s->options.split;
    struct wr_compare_options o = {.by = WR_BY_NOTHING, .column = by, .seed = s->options.seed};

    if (by && split) return wr_fail(err, WR_E_USAGE, "--by and --split are two ways of making groups: leave one out");
    if (by) o.by = strcmp(by, "performer") == 0 ? WR_BY_PERFORMER : WR_BY_ATTRIBUTE;
    if (split) {
        o.split = find_run(s, split);
        if (o.split == s->log.n_run) return no_such_run(s, "--split: ", split, err);
        o.by = WR_BY_SPLIT;
    }
    return wr_compare(&s->comparison, &s->log, &s->timing, &o, err);
}

enum wr_status wr_study_backtest(struct wr_study *s, struct wr_error *err)
{
    const struct wr_backtest_options options = {
        .n_trial = s->options.n_trial,
        .n_thread = s->options.n_thread,
        .progress = s->options.progress,
        .progress_arg = s->options.progress_arg,
    };
    const struct wr_basis basis = wr_study_basis(s);

    return wr_backtest_run_all(&s->backtest, &basis, &options, err);
}

/* The campaign as if the run had never been: of the last run what --against before:RUN says. Without it there may be
 * nothing to forecast from; then *without has no forecast. */
static enum wr_status forecast_without(struct wr_study *without, struct wr_error *err)
{
    struct wr_study_options options = without->again->options;

    options.fit.people = without->again->people_said;
    options.progress = NULL;
    options.excursion_beside = false;
    enum wr_status status = wr_study_open(without, &options, err);
    if (!status) status = wr_study_make(without, WR_RESULT_FORECAST, err);
    return status == WR_E_INPUT || status == WR_E_USAGE || status == WR_E_TOO_FEW ? WR_OK : status;
}

enum wr_status wr_study_debrief(struct wr_study *s, struct wr_error *err)
{
    const struct wr_basis basis = wr_study_basis(s);
    const char *id = s->options.run ? s->options.run : "";
    size_t run = find_run(s, id);
    WR_RELEASED_BY(wr_study_release) struct wr_study without = {.again = s, .left_out = run};

    if (run == s->log.n_run) return no_such_run(s, "", id, err);
    enum wr_status status = wr_debrief_takes(&s->timing, err);
    if (!status) status = forecast_without(&without, err);
    if (status) return status;
    const struct wr_debrief_options options = {
        .followed = wr_study_timing_of_runs(s),
        .rehearsed = s->has_rehearsed ? &s->rehearsed : NULL,
        .after = &s->forecast,
        .before = wr_study_has(&without, WR_RESULT_FORECAST) ? &without.forecast : NULL,
    };
    return wr_debrief_make(&s->debrief, run, &basis, &options, err);
}

/* ---- deciding ---- */

enum wr_status wr_study_pad(struct wr_study *s, struct wr_error *err)
{
    const struct wr_basis basis = wr_study_basis(s);
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios days = {0};

    simulate_days(&days, s, wr_scenarios_make, DAYS_FOR_PADS);
    enum wr_status status = wr_pad_make(&s->pad, &basis, &days, s->confidence.value, s->options.n_thread, err);
    if (!status) wr_pad_to_forecast(&s->pad, &s->forecast);
    return status;
}

/* A limit without a confidence of its own gets no cut-offs. Which of the study's limits the others are: to be freed. */
static size_t *limits_with_confidence(struct wr_study_cutoffs *c, const struct wr_study *s)
{
    size_t *limit_of = WR_NEW_ARRAY(size_t, s->limits.n_limit);

    c->limit = WR_NEW_ARRAY(struct wr_cutoff_limit, s->limits.n_limit);
    c->limit_name = WR_NEW_ARRAY(const char *, s->limits.n_limit);
    c->over = WR_NEW_ARRAY(struct wr_probability, s->limits.n_limit);
    c->second = WR_NEW_ARRAY(struct wr_second, s->limits.n_limit);
    for (size_t i = 0; i < s->limits.n_limit; i++) {
        const struct wr_limit *l = &s->limits.limit[i];
        if (!l->confidence.known) continue;
        c->limit[c->n_limit] = (struct wr_cutoff_limit){s->limit[i], l->confidence.value};
        c->over[c->n_limit] = s->forecast.limit[i].over;
        c->second[c->n_limit] = s->forecast.limit[i].second;
        limit_of[c->n_limit] = i;
        c->limit_name[c->n_limit++] = l->name;
    }
    return limit_of;
}

static void take_checkpoints(size_t **task, size_t *n_task, const struct wr_pad *pad)
{
    *task = WR_NEW_ARRAY(size_t, pad->n_checkpoint);
    for (size_t i = 0; i < pad->n_checkpoint; i++)
        if (pad->checkpoint[i].task != SIZE_MAX) (*task)[(*n_task)++] = pad->checkpoint[i].task;
}

/* *task NULL: all. */
static enum wr_status tasks_wanted(size_t **task, size_t *n_task, const struct wr_study *s, struct wr_error *err)
{
    *n_task = s->options.n_at;
    if (*n_task == 0 && s->options.at_checkpoints && wr_study_has(s, WR_RESULT_PAD))
        take_checkpoints(task, n_task, &s->pad);
    if (s->options.n_at == 0) return WR_OK;
    *task = WR_NEW_ARRAY(size_t, s->options.n_at);
    for (size_t i = 0; i < s->options.n_at; i++) {
        (*task)[i] = wr_plan_resolve(&s->plan, s->options.at[i], NULL);
        if ((*task)[i] == SIZE_MAX)
            return no_such_task(s, s->options.at[i], err);
    }
    return WR_OK;
}

static enum wr_status report_of_the_day(struct wr_now *now, struct wr_study *s, struct wr_error *err)
{
    WR_RELEASED_BY(wr_day_report_release) struct wr_day_report report = {0};
    enum wr_status status = WR_OK;

    if (s->options.reports) {
        const struct wr_input *file;
        status = wr_study_read(s, s->options.reports, &file, err);
        if (!status)
            status = wr_day_report_read_bytes(&report, s->options.reports, file->text.bytes, file->text.n, &s->plan,
                                              &s->log, s->options.start_min, &s->findings, err);
        if (!status) status = wr_now_take(now, &report, &s->plan, err);
    }
    if (!status && s->options.now) status = wr_now_parse(now, s->options.now, &s->plan, s->options.start_min, err);
    if (!status) status = wr_now_close(now, &s->plan, err);
    return status;
}

/* The card, in the same looks with the cut-offs of the other limits, if there are any. */
static enum wr_status make_card(struct wr_study *s, const struct wr_scenarios *days, struct wr_cutoff_options *options,
                                struct wr_error *err)
{
    const struct wr_basis basis = wr_study_basis(s);
    struct wr_study_cutoffs *c = &s->cutoffs;
    bool with_others = wr_study_has(s, WR_RESULT_OTHER_LIMITS) && !options->task;
    struct wr_cutoff_limit *limit =
        WR_NEW_ARRAY(struct wr_cutoff_limit, c->n_limit + WR_OTHER_CUTOFFS * WR_OTHER_CONFIDENCES);

    for (size_t l = 0; l < c->n_limit; l++) limit[l] = c->limit[l];
    if (with_others) options->n_beside = wr_other_limits_wish(&s->other, s->limit, limit + c->n_limit);
    enum wr_status status = wr_cutoff_make(&c->card, &basis, days, limit, c->n_limit + options->n_beside, options, err);
    if (!status && options->n_beside > 0) {
        wr_other_limits_take(&s->other, &c->card);
        wr_other_limits_to_forecast(&s->other, &s->forecast);
    }
    wr_free(limit);
    return status;
}

/* What the day says of the limits under a worse assumption. Where too few of its days agree with the report that cannot
 * be said: what was forecast before the day stands, marked so, and bears no verdict. */
static enum wr_status update_beside(struct wr_second *second, const struct wr_study *s, const struct wr_beside *beside,
                                    const struct wr_scenarios *days, const struct wr_now *now,
                                    const struct wr_update_options *options, const size_t *limit_of,
                                    struct wr_error *err)
{
    const struct wr_study_cutoffs *c = &s->cutoffs;
    const struct wr_basis basis = wr_study_basis(s), under = wr_beside_basis(beside, &basis);
    WR_SCOPED struct wr_probability *over = WR_NEW_ARRAY(struct wr_probability, c->n_limit);
    enum wr_status status = wr_update_over(over, &under, days, now, c->limit, c->n_limit, options, err);

    if (status && status != WR_E_TOO_FEW) return status;
    for (size_t l = 0; l < c->n_limit; l++) {
        if (!wr_beside_is_worse_for(beside, limit_of[l])) continue;
        if (!status) wr_second_take(&second[l], beside, &over[l]);
        else {
            second[l] = c->second[l];
            second[l].before_day = true;
        }
    }
    return WR_OK;
}

static enum wr_status update(struct wr_study *s, const struct wr_scenarios *days, const size_t *limit_of,
                             const struct wr_cutoff_options *card, struct wr_error *err)
{
    struct wr_study_cutoffs *c = &s->cutoffs;
    const struct wr_update_options options = {.n_trial = s->options.n_trial,
                                              .seed = s->options.seed,
                                              .n_thread = s->options.n_thread,
                                              .start_min = s->options.start_min};
    const struct wr_basis basis = wr_study_basis(s);
    WR_RELEASED_BY(wr_now_release) struct wr_now now = {0};
    enum wr_status status = report_of_the_day(&now, s, err);

    if (!status)
        status = wr_update_make(&c->update, &basis, days, &now, c->limit, c->n_limit, card, &options, &s->findings,
                                err);
    c->updated = status == WR_OK;
    if (status) return status;
    struct wr_second *second = WR_NEW_ARRAY(struct wr_second, c->n_limit);
    for (size_t i = 0; i < s->n_beside && !status && c->update.n_doubted == 0; i++)
        if (wr_beside_is_worse(&s->beside[i]))
            status = update_beside(second, s, &s->beside[i], days, &now, &options, limit_of, err);
    wr_free(c->second);
    c->second = second;
    return status;
}

enum wr_status wr_study_cutoffs(struct wr_study *s, struct wr_error *err)
{
    struct wr_study_cutoffs *c = &s->cutoffs;
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios days = {0};
    size_t *task = NULL, n_task;
    bool during = s->options.now || s->options.reports;
    enum wr_status status = tasks_wanted(&task, &n_task, s, err);

    if (!status) {
        simulate_days(&days, s, wr_scenarios_make_even, during ? DAYS_BEFORE_THE_DAY : DAYS_FOR_CUTOFFS);
        struct wr_cutoff_options options = {.task = task,
                                            .n_task = n_task,
                                            .imposed = s->options.outside_hold,
                                            .n_thread = s->options.n_thread,
                                            .progress = s->options.progress,
                                            .progress_arg = s->options.progress_arg};
        size_t *limit_of = limits_with_confidence(c, s);
        status = during ? update(s, &days, limit_of, &options, err) : make_card(s, &days, &options, err);
        if (!status && c->updated) wr_update_to_forecast(&c->update, limit_of, &s->forecast);
        else if (!status) wr_cutoffs_to_forecast(&c->card, limit_of, &s->forecast);
        wr_free(limit_of);
    }
    wr_free(task);
    return status;
}

void wr_study_cutoffs_release(struct wr_study *s)
{
    struct wr_study_cutoffs *c = &s->cutoffs;

    if (c->updated)
        wr_update_release(&c->update);
    else
        wr_cutoff_release(&c->card);
    WR_FREE(c->limit, c->limit_name, c->over, c->second);
    *c = (struct wr_study_cutoffs){0};
}

/* Thresholds from the defaults, criteria.csv and the options. */
static enum wr_status read_criteria(struct wr_study *s, struct wr_error *err)
{
    const char *path = wr_study_path(s, s->options.criteria, "criteria.csv");
    enum wr_status status = WR_OK;

    s->criteria = wr_criteria_default();
    const struct wr_input *file;
    if (path) status = wr_study_read(s, path, &file, err);
    if (path && !status)
        status = wr_criteria_read_bytes(&s->criteria, file->name, file->text.bytes, file->text.n, &s->findings, err);
    if (!status && s->options.strictness.known) {
        status = wr_criteria_set(&s->criteria, WR_CRIT_OVERRUN, s->options.strictness.value, err);
        if (!status) status = wr_criteria_set(&s->criteria, WR_CRIT_OTHER_LIMITS, s->options.strictness.value, err);
        if (status) wr_error_prefix(err, "--strictness");
    }
    return status;
}

enum wr_status wr_study_ready(struct wr_study *s, struct wr_error *err)
{
    enum wr_status status = read_criteria(s, err);

    if (status) return status;
    const struct wr_ready_input input = {
        .criteria = &s->criteria,
        .timing = &s->timing,
        .forecast = &s->forecast,
        .pad = wr_study_has(s, WR_RESULT_PAD) ? &s->pad : NULL,
        .summary = wr_study_has(s, WR_RESULT_SUMMARY) ? &s->summary : NULL,
        .backtest = wr_study_has(s, WR_RESULT_BACKTEST) ? &s->backtest : NULL,
        .confidence = s->confidence.value,
        .limits = &s->limits,
        .beside = s->beside,
        .n_beside = s->n_beside,
        .chains_agree = !s->fit.has_runs || s->fit_options.model == WR_MODEL_ALONE || s->fit.post.chains_agree,
        .runs_reversed = wr_findings_has(&s->findings, "runs-reversed"),
        .not_firm = wr_findings_keep_open(&s->findings),
        .people_untold = s->durations.people_untold,
        .history_thin = s->durations.history_thin,
    };
    wr_ready_judge(&s->ready, &input);
    return WR_OK;
}

/* ---- looking ahead ---- */

/* The limits beside the first of which a confidence is wanted. */
static size_t other_wishes(const struct wr_study *s, struct wr_runs_needed_wish *wish)
{
    size_t n = 0;

    for (size_t l = 1; l < s->limits.n_limit; l++)
        if (s->limits.limit[l].confidence.known)
            wish[n++] = (struct wr_runs_needed_wish){l, s->limits.limit[l].confidence.value};
    return n;
}

/* What a refit takes grows with the cells of the log, and what a further rehearsal changes falls: so fewer are enough
 * for an error that is as small a part of the width. */
static size_t usual_refits(size_t usual, const struct wr_model_data *data)
{
    enum { CELLS = 1000, LEAST_REFITS = 48 };
    size_t n_cell = data->n_task * data->n_run, fewer = usual * CELLS / (n_cell > CELLS ? n_cell : CELLS);

    return fewer > LEAST_REFITS ? fewer : LEAST_REFITS;
}

enum wr_status wr_study_runs_needed(struct wr_study *s, struct wr_error *err)
{
    enum { FITTED_AGAIN = 16 /* one in so many */ };
    struct wr_runs_needed_options options = wr_runs_needed_default();
    const struct wr_basis basis = wr_study_basis(s);

    options.n_refit = usual_refits(options.n_refit, &s->fit.data);
    if (s->options.n_future) {
        options.n_future = s->options.n_future;
        options.n_refit = s->options.n_future / FITTED_AGAIN;
    }
    if (s->options.n_refit) options.n_refit = s->options.n_refit;
    options.confidence = s->confidence.value;
    options.seed = s->options.seed;
    options.n_thread = s->options.n_thread;
    options.progress = s->options.progress;
    options.progress_arg = s->options.progress_arg;
    WR_SCOPED struct wr_runs_needed_wish *wish = WR_NEW_ARRAY(struct wr_runs_needed_wish, s->limits.n_limit);
    options.other = wish;
    options.n_other = other_wishes(s, wish);
    options.now = &s->forecast;
    return wr_runs_needed_make(&s->runs_needed, &basis, &options, err);
}

enum wr_status wr_study_other_limits(struct wr_study *s, struct wr_error *err)
{
    const struct wr_basis basis = wr_study_basis(s);
    const struct wr_sim_options sim = wr_study_sim_options(s);
    const struct wr_cutoff_limit first = {s->limit[0], s->confidence.value};

    enum wr_status status = wr_other_limits_make(&s->other, &basis, &s->forecast, &sim, &first, err);
    for (size_t i = 0; i < s->n_beside && !status; i++)
        if (wr_beside_is_worse_for(&s->beside[i], 0))
            status = wr_other_limits_beside(&s->other, &basis, &s->beside[i], &sim, err);
    if (!status && s->own_trend_scale) {
        const struct wr_variant base = wr_study_as_it_is(s);
        const struct wr_whatif_options options = wr_study_longer_options(s);
        s->other.longer_beside = s->lengthening_beside;
        status = wr_other_limits_longer(&s->other, &base, s->own_trend_scale, &options, err);
    }
    if (!status && s->stuck.told) {
        s->other.stuck_beside = s->stuck_beside;
        wr_other_limits_stuck(&s->other, &basis, &s->stuck, s->options.seed, s->options.n_thread);
    }
    return status;
}

enum wr_status wr_study_prices(struct wr_study *s, struct wr_error *err)
{
    const struct wr_variant base = wr_study_as_it_is(s);
    const struct wr_whatif_options options = { /* as `whatif`, which says the same of work that is left out */
        .n_trial = s->options.n_trial, .seed = s->options.seed, .n_thread = s->options.n_thread};

    if (s->options.now || s->options.reports) return WR_OK; /* what leaving out does then, the update reckons */
    enum wr_status status = wr_drop_prices(&s->price, &s->n_price, &base, &options, err);

    if (!status) wr_prices_to_forecast(s->price, s->n_price, &s->forecast);
    return status;
}
