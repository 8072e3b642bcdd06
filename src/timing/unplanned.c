#include "wetrun/timing/unplanned.h"

#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/quantile.h"

enum { FEWEST_RUNS = 2 };

struct unplanned {
    const struct wr_run_log *log;
    const struct wr_plan *plan;
    const struct wr_timing *timing;
    struct wr_findings *findings;
    bool on_purpose;
};

static bool was_done(const struct wr_cell *c)
{
    return c->state == WR_CELL_DONE || c->state == WR_CELL_STOPPED || c->state == WR_CELL_LOST;
}

/* Nothing of the run began after it, nor ended. */
static bool ends_the_run(const struct wr_timing *t, size_t work, size_t run)
{
    const struct wr_cell *it = wr_timing_cell(t, work, run);

    for (size_t w = 0; w < t->n_task + t->n_other; w++) {
        const struct wr_cell *c = wr_timing_cell(t, w, run);
        if (c != it && was_done(c) && (c->start_min > it->start_min || c->end_min > it->end_min)) return false;
    }
    return true;
}

/* What others do beside the excursion, a diver or the people at the desk, is not of it. The lanes that its first row
 * names; 0: of another crew. *lanes all: none is named. */
static bool is_of_the_plan(const struct unplanned *u, const char *id, uint32_t *lanes)
{
    *lanes = 0;
    for (size_t i = 0; i < u->log->n_step; i++) {
        const struct wr_log_step *s = &u->log->step[i];
        uint8_t order[WR_MAX_LANES];
        if (strcmp(u->log->task[s->task], id) != 0) continue;
        return !s->crew[0] || wr_plan_crew_lanes(u->plan, s->crew, order, lanes) > 0;
    }
    return false;
}

/* The first task of the plan in the same lanes that no run did: it may be the same under another name. */
static const char *never_logged(const struct unplanned *u, uint32_t lanes)
{
    for (size_t k = 0; k < u->plan->n_task; k++) {
        bool logged = lanes && u->plan->task[k].lanes != lanes;
        for (size_t r = 0; r < u->timing->n_run && !logged; r++)
            logged = wr_timing_cell(u->timing, k, r)->state != WR_CELL_ABSENT;
        if (!logged) return u->plan->task[k].id;
    }
    return NULL;
}

static void report(const struct unplanned *u, const char *id, size_t run, size_t line, size_t n, size_t n_last,
                   struct wr_maybe usual, const char *alike)
{
    const char *file = u->log->file[u->log->run[run].file];
    WR_SCOPED_STR who = {0}, min = {0}, name = {0};

    if (n == u->timing->n_run) wr_str_add(&who, "every rehearsal");
    else wr_str_addf(&who, "%zu of %zu rehearsals", n, u->timing->n_run);
    if (usual.known) wr_str_addf(&min, " (usually %.0f min)", usual.value);
    if (alike) wr_str_addf(&name, "; if it is what the plan calls '%.60s', a row of names.csv says so: ", alike);
    if (alike) wr_alias_add_row(&name, WR_NAME_TASK, id, alike);
    if (2 * n_last > n)
        wr_findings_add(u->findings, WR_WARNING, "way-in-unplanned", file, line, 0,
                        "the plan has no '%.60s', which %s did last%s: what is forecast ends without it, and does not "
                        "say that anybody is inside. Add it to the plan%s",
                        id, wr_str_text(&who), wr_str_text(&min), wr_str_text(&name));
    else if (!u->on_purpose)
        wr_findings_add(u->findings, WR_WARNING, "work-unplanned", file, line, 0,
                        "the plan has no '%.60s', which %s did%s: what is forecast is without it. Add it to the plan, "
                        "or, if it is left out on purpose, give the plan that was rehearsed as well "
                        "(plan-rehearsed.csv)%s",
                        id, wr_str_text(&who), wr_str_text(&min), wr_str_text(&name));
}

static void look_at(const struct unplanned *u, size_t i)
{
    const struct wr_timing *t = u->timing;
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, t->n_run);
    size_t n = 0, n_last = 0, n_timed = 0, run = 0, line = 0;
    uint32_t lanes;

    for (size_t r = 0; r < t->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(t, t->n_task + i, r);
        if (!was_done(c)) continue;
        if (n++ == 0) {
            run = r;
            line = c->line;
        }
        n_last += ends_the_run(t, t->n_task + i, r);
        if (c->state == WR_CELL_DONE) minutes[n_timed++] = c->active_min;
    }
    if (n < FEWEST_RUNS || 4 * n < 3 * t->n_run || !is_of_the_plan(u, t->other[i].id, &lanes)) return;
    struct wr_maybe usual = n_timed ? wr_known(wr_median(minutes, n_timed)) : WR_UNKNOWN;
    report(u, t->other[i].id, run, line, n, n_last, usual, u->on_purpose ? NULL : never_logged(u, lanes));
}

void wr_screen_unplanned(const struct wr_run_log *log, const struct wr_plan *plan, const struct wr_timing *timing,
                         bool on_purpose, struct wr_findings *findings)
{
    const struct unplanned u = {log, plan, timing, findings, on_purpose};

    for (size_t i = 0; i < timing->n_other; i++) look_at(&u, i);
}
