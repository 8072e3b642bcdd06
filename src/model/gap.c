#include "wetrun/model/gap.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/quantile.h"

static struct wr_gap unknown(struct wr_findings *findings, const char *why)
{
    wr_findings_add(findings, WR_WARNING, "gap-unknown", NULL, 0, 0,
                    "the time since the last rehearsal cannot be told: %s", why);
    return (struct wr_gap){0};
}

struct wr_gap wr_gap_before(const struct wr_run_log *log, int64_t day, struct wr_findings *findings)
{
    double *at = WR_NEW_ARRAY(double, log->n_run);
    struct wr_gap gap = {0};
    size_t n = 0;

    for (size_t r = 0; r < log->n_run; r++)
        if (log->run[r].day.known) at[n++] = log->run[r].day.value;
    wr_sort_ascending(at, n);
    for (size_t i = 1; i < n; i++) gap.longest_between_days = fmax(gap.longest_between_days, at[i] - at[i - 1]);
    gap.since_last_days = n ? (double)day - at[n - 1] : 0.0;
    wr_free(at);
    if (n < log->n_run) return unknown(findings, "a run has no date");
    if (!(gap.longest_between_days > 0)) return unknown(findings, "the rehearsals are not on two days or more");
    if (gap.since_last_days < 0) return unknown(findings, "the date lies before the last rehearsal");
    gap.known = true;
    gap.is_long = gap.since_last_days > gap.longest_between_days;
    if (gap.is_long)
        wr_findings_add(
            findings, WR_WARNING, "long-gap", NULL, 0, 0,
            "%.0f days since the last rehearsal, at most %.0f between any two: no further learning is credited, and "
            "what was forgotten is not in the data (--gap-allowance PERCENT allows for it)",
            gap.since_last_days, gap.longest_between_days);
    return gap;
}
