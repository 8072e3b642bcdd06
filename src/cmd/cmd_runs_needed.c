/* runs-needed: what further rehearsals would add to what is known. */
#include "analysis.h"
#include "commands.h"
#include "emit.h"
#include "review.h"
#include "wetrun/present/runs_needed_view.h"

enum { LEAST_FUTURES = 256, MOST_FUTURES = 100000, FITTED_AGAIN = 16 /* one in so many */ };

enum wr_status wr_runs_needed_of(struct wr_runs_needed *needed, const struct wr_analysis *a,
                                 const struct wr_settings *settings, size_t n_refit, struct wr_progress *progress,
                                 struct wr_error *err)
{
    struct wr_runs_needed_options options = wr_runs_needed_default();

    if (settings->trials && (settings->trials < LEAST_FUTURES || settings->trials > MOST_FUTURES))
        return wr_fail(err, WR_E_USAGE, "--trials: runs-needed takes from %d to %d simulated futures", LEAST_FUTURES,
                       MOST_FUTURES);
    if (settings->trials) {
        options.n_future = settings->trials;
        options.n_refit = settings->trials / FITTED_AGAIN;
    }
    if (n_refit) options.n_refit = n_refit;
    options.confidence = a->in.confidence;
    options.seed = settings->seed;
    options.n_thread = (unsigned)settings->threads;
    options.progress = wr_progress_show; /* shows nothing for NULL */
    options.progress_arg = progress;
    const struct wr_basis basis = wr_basis_of(a);
    enum wr_status status = wr_runs_needed_make(needed, &basis, &options, err);
    wr_progress_clear(progress);
    return status;
}

enum wr_status wr_cmd_runs_needed(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_runs_needed needed = {0};
    struct wr_context context = {0};
    struct wr_progress progress;
    struct wr_str text = {0};

    (void)verdict;
    wr_progress_begin(&progress, "rehearsing ahead", settings->quiet);
    enum wr_status status = wr_analysis_fit(&a, settings, err);
    if (!status) status = wr_need_limit(&a.in, err);
    if (!status) status = wr_need_confidence(&a.in, err);
    if (!status) status = wr_runs_needed_of(&needed, &a, settings, 0, &progress, err);
    if (!status) status = wr_context_make(&context, "runs-needed", &a.in, settings, err);
    if (!status) {
        const struct wr_runs_needed_result result = {
            .plan = &a.in.plan, .limit_min = a.in.limits.limit[0].minutes, .needed = &needed};
        wr_context_of_analysis(&context, &a, settings);
        status = wr_show_runs_needed((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a.in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_runs_needed_release(&needed);
    wr_analysis_release(&a);
    return status;
}
