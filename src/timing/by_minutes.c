#include "by_minutes.h"

#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/stats/quantile.h"

static size_t add_lead_ins(const struct measuring *j, size_t task, double *min)
{
    size_t n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(j->timing, task, r);
        if (j->timing->run[r].finish_min.known && took_time(c) && !c->lead_in_unknown)
            min[n++] = c->lead_in_min + c->gap_min;
    }
    return n;
}

void by_minutes_take_lead_ins(struct measuring *j)
{
    size_t n_task = j->net->n_task, n_all = 0;
    WR_SCOPED double *all = WR_NEW_ARRAY(double, n_task * j->timing->n_run);
    WR_SCOPED double *of_task = WR_NEW_ARRAY(double, j->timing->n_run);

    for (size_t k = 0; k < n_task; k++) n_all += add_lead_ins(j, k, all + n_all);
    double usual = n_all ? wr_quantile_in_place(all, n_all, 0.5) : 0;
    for (size_t k = 0; k < n_task; k++) {
        struct wr_cell *c = cell_of(j, k);
        size_t n = add_lead_ins(j, k, of_task);
        if (took_time(c)) c->lead_in_min = n ? wr_quantile_in_place(of_task, n, 0.5) : usual;
    }
}

/* Those by minutes, or those whose minutes are said to be all. */
static size_t name_runs(const struct measuring *j, bool whole, struct wr_str *out, size_t *first)
{
    enum { NAMED = 3 };
    size_t n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_timing_run *run = &j->timing->run[r];
        bool is_whole = !run->by_minutes && !run->finish_min.known && run->n_done + run->n_stopped > 0;
        if (whole ? !is_whole : !run->by_minutes) continue;
        if (n == 0) *first = r;
        if (n++ < NAMED) wr_str_addf(out, "%s'%.40s'", n > 1 ? ", " : "", j->log->run[r].id);
    }
    if (n > NAMED) wr_str_addf(out, " and %zu more", n - NAMED);
    return n;
}

static void report_whole(const struct measuring *j)
{
    WR_SCOPED_STR names = {0};
    size_t first, n = name_runs(j, true, &names, &first);

    if (n == 0) return;
    const struct wr_log_run *at = &j->log->run[first];
    wr_findings_add(j->findings, WR_NOTE, "minutes-alone", j->log->file[at->file], at->line, 0,
                    "%zu of %zu runs (%s) %s minutes and no begin nor end of a step: as --minutes-whole says, they "
                    "hold what lies between the tasks",
                    n, j->timing->n_run, names.text, n == 1 ? "has" : "have");
}

void by_minutes_report(const struct measuring *j)
{
    WR_SCOPED double *between = WR_NEW_ARRAY(double, j->timing->n_run);
    WR_SCOPED_STR names = {0};
    size_t first, n = name_runs(j, false, &names, &first), n_clock = 0;
    const char *whole = j->log->minutes_whole ? "" : ", or, if the minutes hold that as well, say --minutes-whole";

    if (j->log->minutes_whole) report_whole(j);
    if (n == 0) return;
    for (size_t r = 0; r < j->timing->n_run; r++)
        if (j->timing->run[r].finish_min.known) between[n_clock++] = j->timing->run[r].unlogged_min;
    const struct wr_log_run *at = &j->log->run[first];
    if (n_clock == 0) {
        wr_findings_add(j->findings, WR_WARNING, "minutes-alone", j->log->file[at->file], at->line, 0,
                        "the log has minutes and no begin nor end of a step: what lies between the tasks (moving, "
                        "preparing) is in no row and counts as nothing, so days may be longer than anything said "
                        "here: log start and end%s",
                        whole);
        return;
    }
    wr_findings_add(j->findings, WR_WARNING, "minutes-alone", j->log->file[at->file], at->line, 0,
                    "%zu of %zu runs (%s) %s minutes and no begin nor end of a step: what lies between the tasks is "
                    "in no row. The others have %.0f min of it in a run (median), and each task is taken with its own "
                    "median of that: log start and end%s",
                    n, j->timing->n_run, names.text, n == 1 ? "has" : "have",
                    wr_quantile_in_place(between, n_clock, 0.5), whole);
}
