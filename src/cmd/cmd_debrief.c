/* debrief RUN: just after a rehearsal, what stood out in it against what the others led one to expect. */
#include <string.h>
#include "analysis.h"
#include "commands.h"
#include "emit.h"
#include "wetrun/decide/debrief.h"
#include "wetrun/present/debrief_view.h"

static enum wr_status find_run(const struct wr_run_log *log, const char *name, size_t *run, struct wr_error *err)
{
    for (*run = 0; *run < log->n_run; (*run)++)
        if (strcmp(log->run[*run].id, name) == 0) return WR_OK;
    return wr_fail(err, WR_E_USAGE, "there is no rehearsal '%s' in the log", name);
}

enum wr_status wr_cmd_debrief(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_debrief debrief = {0};
    struct wr_context context = {0};
    struct wr_progress progress;
    struct wr_str text = {0};
    size_t run = 0;

    (void)verdict;
    wr_progress_begin(&progress, "forecasting", settings->quiet);
    enum wr_status status = wr_analysis_forecast(&a, settings, &progress, err);
    if (!status) status = find_run(&a.in.log, settings->name, &run, err);
    if (!status) {
        const struct wr_debrief_options options = {.sim = wr_sim_options_of(&a, settings, NULL)};
        const struct wr_basis basis = wr_basis_of(&a);
        status = wr_debrief_make(&debrief, run, &basis, &a.forecast, &options, err);
    }
    if (!status) status = wr_context_make(&context, "debrief", &a.in, settings, err);
    if (!status) {
        const struct wr_debrief_result result = {
            .log = &a.in.log, .plan = &a.in.plan, .debrief = &debrief};
        wr_context_of_analysis(&context, &a, settings);
        context.present.has_target = false; /* the run itself is what is looked at */
        status = wr_show_debrief((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a.in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_debrief_release(&debrief);
    wr_analysis_release(&a);
    return status;
}
