/* ready: the evidence a readiness review asks for, criterion by criterion. Exit status 1 when one is not met. */
#include "analysis.h"
#include "commands.h"
#include "trial_set.h"
#include "emit.h"
#include "review.h"
#include "wetrun/present/ready_view.h"

enum wr_status wr_criteria_of(struct wr_criteria *criteria, struct wr_analysis *a, const struct wr_settings *settings,
                              struct wr_error *err)
{
    const char *path = wr_input_path(&a->in, settings, settings->criteria, "criteria.csv");
    enum wr_status status = WR_OK;

    *criteria = wr_criteria_default();
    const struct wr_input *file;
    if (path) status = wr_input_read(&a->in, path, &file, err);
    if (path && !status)
        status = wr_criteria_read_bytes(criteria, file->name, file->text.bytes, file->text.n, &a->in.findings, err);
    if (!status && settings->strictness.known) {
        status = wr_criteria_set(criteria, WR_CRIT_OVERRUN, settings->strictness.value, err);
        if (!status) status = wr_criteria_set(criteria, WR_CRIT_OTHER_LIMITS, settings->strictness.value, err);
        if (status) wr_error_prefix(err, "--strictness");
    }
    return status;
}

void wr_ready_of(struct wr_ready *ready, const struct wr_criteria *criteria, const struct wr_analysis *a,
                           const struct wr_pad *pad, const struct wr_backtest *backtest)
{
    const struct wr_ready_input input = {
        .criteria = criteria,
        .timing = &a->in.timing,
        .forecast = &a->forecast,
        .pad = pad,
        .backtest = backtest,
        .confidence = a->in.confidence,
        .limits = &a->in.limits,
        .chains_agree = !a->fit.has_runs || a->options.model == WR_MODEL_ALONE || a->fit.post.chains_agree,
    };

    wr_ready_judge(ready, &input);
}

enum wr_status wr_cmd_ready(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_criteria criteria;
    struct wr_pad pad = {0};
    struct wr_backtest backtest = {0};
    struct wr_ready ready;
    struct wr_context context = {0};
    struct wr_progress progress;
    struct wr_str text = {0};

    wr_progress_begin(&progress, "gathering evidence", settings->quiet);
    enum wr_status status = wr_analysis_forecast(&a, settings, &progress, err);
    if (!status) status = wr_need_limit(&a.in, err);
    if (!status) status = wr_need_confidence(&a.in, err);
    if (!status) status = wr_criteria_of(&criteria, &a, settings, err);
    if (!status) status = wr_pad_of(&pad, &a, settings, err);
    bool has_backtest = a.in.timing.n_run > WR_BACKTEST_LEAST_OTHERS;
    if (!status && has_backtest) status = wr_backtest_of(&backtest, &a, settings, &progress, err);
    if (!status) status = wr_context_make(&context, "ready", &a.in, settings, err);
    if (!status) {
        const struct wr_ready_result result = {
            .log = &a.in.log, .plan = &a.in.plan, .limits = &a.in.limits, .ready = &ready};
        wr_ready_of(&ready, &criteria, &a, &pad, has_backtest ? &backtest : NULL);
        wr_context_of_analysis(&context, &a, settings);
        status = wr_show_ready((enum wr_format)settings->format, &context.present, &result, &text, err);
        *verdict = ready.n_not_met > 0;
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a.in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_backtest_release(&backtest);
    wr_pad_release(&pad);
    wr_analysis_release(&a);
    return status;
}
