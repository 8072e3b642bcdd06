/* A log as it was before one of its rehearsals. */
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/run_log.h"

static size_t run_named(const struct wr_run_log *log, const char *id)
{
    for (size_t r = 0; r < log->n_run; r++)
        if (strcmp(log->run[r].id, id) == 0) return r;
    return SIZE_MAX;
}

/* Tasks that only later rehearsals have go, as if nobody had ever heard of them. */
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
    for (size_t r = first; r < log->n_run; r++) wr_free(log->run[r].attribute);
    log->n_run = first;
    while (log->n_step && log->step[log->n_step - 1].run >= first) log->n_step--;
    forget_tasks(log);
    forget_lost(log);
    return WR_OK;
}
