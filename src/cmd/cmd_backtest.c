/* backtest: how well forecasts made without a run foresaw that run. */
#include "analysis.h"
#include "commands.h"
#include "emit.h"
#include "wetrun/decide/backtest.h"
#include "wetrun/present/backtest_view.h"

enum wr_status wr_backtest_of(struct wr_backtest *b, const struct wr_analysis *a, const struct wr_settings *settings,
                              struct wr_progress *progress, struct wr_error *err)
{
    const struct wr_backtest_options options = {
        .n_trial = settings->trials,
        .n_thread = (unsigned)settings->threads,
        .progress = wr_progress_show,
        .progress_arg = progress,
    };
    const struct wr_basis basis = wr_basis_of(a);
    enum wr_status status = wr_backtest_run_all(b, &basis, &options, err);

    wr_progress_clear(progress);
    return status;
}

enum wr_status wr_cmd_backtest(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_backtest backtest = {0};
    struct wr_context context = {0};
    struct wr_progress progress;
    struct wr_str text = {0};

    (void)verdict;
    wr_progress_begin(&progress, "forecasting each run", settings->quiet);
    enum wr_status status = wr_analysis_fit(&a, settings, err);
    if (!status) status = wr_backtest_of(&backtest, &a, settings, &progress, err);
    if (!status) status = wr_context_make(&context, "backtest", &a.in, settings, err);
    if (!status) {
        const struct wr_backtest_result result = {.log = &a.in.log, .plan = &a.in.plan, .backtest = &backtest};
        wr_context_of_analysis(&context, &a, settings);
        context.present.has_target = false; /* every run was forecast as the rehearsal it was */
        status = wr_show_backtest((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a.in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_backtest_release(&backtest);
    wr_analysis_release(&a);
    return status;
}
