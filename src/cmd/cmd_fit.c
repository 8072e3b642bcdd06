/* fit: how long each task takes, and how sure that is. */
#include "commands.h"
#include "emit.h"
#include "results.h"
#include "wetrun/present/fit_view.h"

enum wr_status wr_cmd_fit(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_results r = {0};
    struct wr_context context = {0};
    struct wr_progress progress;
    struct wr_str text = {0};

    (void)verdict;
    wr_progress_begin(&progress, "fitting", settings->quiet);
    enum wr_status status = wr_results_make(&r, WR_WANT_FIT | WR_WANT_CANDIDATES, settings, &progress, err);
    if (!status) status = wr_context_make(&context, "fit", &r.a.in, settings, err);
    if (!status) {
        const struct wr_fit_result result = wr_fit_result_of(&r);
        wr_context_of_analysis(&context, &r.a, settings);
        status = wr_show_fit((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &r.a.in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_results_release(&r);
    return status;
}
