#include "trial_set.h"

enum { MOST_BYTES_LOG2 = 31, BYTES_PER_TASK = 3 * sizeof(float) };

enum wr_status wr_trial_set_make(struct wr_scenarios *days, const struct wr_analysis *a, size_t usual,
                            const struct wr_settings *settings, struct wr_error *err)
{
    size_t n_trial = settings->trials ? settings->trials : usual;
    size_t most = ((size_t)1 << MOST_BYTES_LOG2) / (BYTES_PER_TASK * (a->in.plan.n_task + 1));

    if (n_trial > most) {
        if (settings->trials)
            return wr_fail(err, WR_E_USAGE, "--trials: this command keeps its trials in memory, at most %zu of them here",
                           most);
        n_trial = most;
    }
    wr_scenarios_make(days, &a->durations, n_trial, settings->seed, (unsigned)settings->threads);
    return WR_OK;
}

enum wr_status wr_pad_of(struct wr_pad *pad, const struct wr_analysis *a, const struct wr_settings *settings,
                         struct wr_error *err)
{
    struct wr_scenarios days = {0};
    const struct wr_basis basis = wr_basis_of(a);
    enum wr_status status = wr_trial_set_make(&days, a, WR_DAYS_FOR_PADS, settings, err);
    if (!status)
        status = wr_pad_make(pad, &basis, &days, a->in.confidence, (unsigned)settings->threads, err);
    wr_scenarios_release(&days);
    return status;
}
