/* A log as it was before one of its rehearsals, or without it. */
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/run_log.h"

static size_t run_named(const struct wr_run_log *log, const char *id)
{
    for (size_t r = 0; r < log->n_run; r++)
        if (strcmp(log->run[r].id, id) == 0) return r;
    return SIZE_MAX;
}

/* Tasks that only those left out have go, as if nobody had ever heard of them. */
static void forget_tasks(struct wr_run_log *log)
{
    uint32_t *number = WR_NEW_ARRAY(uint32_t, log->n_task), n = 0;
    unsigned char *seen = WR_NEW_ARRAY(unsigned char, log->n_task);

    for (size_t i = 0; i < log->n_step; i++) seen[log->step[i].task] = 1;
    for (size_t t = 0; t < log->n_task; t++) {
        if (!seen[t]) continue;
        log->task[n] = log->task[t];
        number[t] = n++;
    }
    log->n_task = n;
    for (size_t i = 0; i < log->n_step; i++) log->step[i].task = number[log->step[i].task];
    WR_FREE(number, seen);
}

static void forget_lost(struct wr_run_log *log)
{
    size_t n = 0;

    for (size_t i = 0; i < log->n_lost; i++)
        if (run_named(log, log->lost[i].run) != SIZE_MAX) log->lost[n++] = log->lost[i];
    log->n_lost = n;
}

/* Those from first on, before end. */
static void leave_out(struct wr_run_log *log, size_t first, size_t end)
{
    size_t n = 0;

    for (size_t r = first; r < end; r++) wr_free(log->run[r].attribute);
    memmove(log->run + first, log->run + end, (log->n_run - end) * sizeof *log->run);
    log->n_run -= end - first;
    for (size_t i = 0; i < log->n_step; i++) {
        struct wr_log_step step = log->step[i];
        if (step.run >= first && step.run < end) continue;
        if (step.run >= end) step.run -= (uint32_t)(end - first);
        log->step[n++] = step;
    }
    log->n_step = n;
    forget_tasks(log);
    forget_lost(log);
}

void wr_run_log_leave_out(struct wr_run_log *log, size_t run)
{
    leave_out(log, run, run + 1);
}

enum wr_status wr_run_log_keep_before(struct wr_run_log *log, const char *run, struct wr_error *err)
{
    size_t first = run_named(log, run);

    if (first == SIZE_MAX)
        return wr_fail(err, WR_E_USAGE, "the log has no rehearsal '%s'; `wetrun check` lists the runs", run);
    if (first == 0)
        return wr_fail(err, WR_E_USAGE,
                       "'%s' is the first rehearsal, and there was none before it: name "
                       "a later one (`wetrun check` lists the runs)",
                       run);
    leave_out(log, first, log->n_run);
    return WR_OK;
}
