#include "stopped.h"

#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"

/* The rows of one step of the cell. */
struct group { const struct wr_log_step *const *step; size_t n; };

static int by_step(const void *a, const void *b)
{
    const struct wr_log_step *x = *(const struct wr_log_step *const *)a, *y = *(const struct wr_log_step *const *)b;
    int order = strcmp(x->step, y->step);

    return order ? order : (x > y) - (x < y);
}

static bool comes_after(const struct wr_log_step *done, const struct wr_log_step *stopped)
{
    return done->outcome == WR_DONE && done->has_clock && stopped->has_clock &&
           done->start_min >= stopped->end_min - SAME_MOMENT_MIN;
}

/* A row that names nobody means the crew of the plan; 0: not known. */
static uint32_t lanes_of(struct measuring *j, const struct wr_log_step *step, size_t work)
{
    return step->crew[0] ? rehearsed_crew(&j->known, step->crew)->lanes : j->known.lanes[work];
}

/* The row with which the step was at its end in all the lanes that had stopped it; NULL: none. */
static const struct wr_log_step *end_of_step(struct measuring *j, const struct group *g,
                                             const struct wr_log_step *stopped, size_t work)
{
    uint32_t lanes = lanes_of(j, stopped, work), left = lanes;

    for (size_t i = 0; i < g->n; i++) {
        const struct wr_log_step *s = g->step[i];
        if (!comes_after(s, stopped)) continue;
        left &= ~lanes_of(j, s, work);
        if ((lanes && !left) || strcmp(s->crew, stopped->crew) == 0) return s;
    }
    return NULL;
}

/* A row that may be the rest of it, for all that the two say; NULL: none. */
static const struct wr_log_step *may_be_rest(const struct wr_log_step *step, size_t n,
                                             const struct wr_log_step *stopped)
{
    for (size_t i = 0; i < n; i++) {
        const struct wr_log_step *s = &step[i];
        bool has_times = s->has_clock && stopped->has_clock;
        if (s->step[0] && stopped->step[0] && strcmp(s->step, stopped->step) != 0) continue;
        if (s->outcome == WR_DONE && (!has_times || comes_after(s, stopped))) return s;
    }
    return NULL;
}

/* "line 42", " of FILE" with it where that is another one. */
static void add_line_of(const struct measuring *j, const struct wr_log_step *step, const struct wr_log_step *beside,
                        struct wr_str *out)
{
    wr_str_addf(out, "line %zu", step->line);
    if (step->file != beside->file) wr_str_addf(out, " of %s", j->log->file[step->file]);
}

static void report_unclear(const struct measuring *j, const struct wr_log_step *stopped, const struct wr_log_step *rest,
                           size_t work)
{
    WR_SCOPED_STR line = {0};
    const char *why = !rest->has_clock || !stopped->has_clock  ? "which of the two came first cannot be told"
                      : strcmp(rest->step, stopped->step) != 0 ? "only one of the two names a step"
                                                               : "the two name other lanes";

    add_line_of(j, rest, stopped, &line);
    timing_report(j, WR_WARNING, "stopped-then-done", timing_place_of_step(j, stopped),
                  "task '%s' was stopped here, and %s of it says done: %s, so it counts as stopped. If that did to its "
                  "end what was stopped, give both the same step, or none, the same crew, and start and end",
                  rehearsed_id(&j->known, work), line.text, why);
}

static void report_done(const struct measuring *j, const struct wr_log_step *stopped, const struct wr_log_step *end,
                        size_t work)
{
    WR_SCOPED_STR line = {0};

    add_line_of(j, end, stopped, &line);
    timing_report(j, WR_NOTE, "stopped-then-done", timing_place_of_step(j, stopped),
                  "task '%s' was stopped here and done to its end later, by %s: it counts as done, with the time of "
                  "all its rows",
                  rehearsed_id(&j->known, work), line.text);
}

/* Of those that were stopped: the first that was not done to its end, and the first that was, with its end. */
struct stops { const struct wr_log_step *open, *closed, *end; };

static bool is_first(const struct wr_log_step *step, const struct wr_log_step *so_far)
{
    return !so_far || wr_log_step_is_above(step, so_far);
}

static void look_at_group(struct measuring *j, const struct group *g, size_t work, struct stops *stops)
{
    for (size_t i = 0; i < g->n; i++) {
        const struct wr_log_step *s = g->step[i];
        if (s->outcome != WR_STOPPED) continue;
        const struct wr_log_step *end = end_of_step(j, g, s, work);
        if (!end && is_first(s, stops->open)) stops->open = s;
        if (!end || !is_first(s, stops->closed)) continue;
        stops->closed = s;
        stops->end = end;
    }
}

static struct stops find_stops(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work)
{
    WR_SCOPED const struct wr_log_step **by = WR_NEW_ARRAY(const struct wr_log_step *, n);
    struct stops stops = {0};

    for (size_t i = 0; i < n; i++) by[i] = &step[i];
    qsort(by, n, sizeof *by, by_step);
    for (size_t i = 0, next; i < n; i = next) { /* of one step no more than WR_MOST_PIECES and few others are apart */
        for (next = i + 1; next < n && strcmp(by[next]->step, by[i]->step) == 0; next++) {}
        look_at_group(j, &(struct group){by + i, next - i}, work, &stops);
    }
    return stops;
}

const struct wr_log_step *stopped_for_good(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work)
{
    return find_stops(j, step, n, work).open;
}

bool stopped_then_done(struct measuring *j, const struct wr_log_step *step, size_t n, size_t work)
{
    struct stops stops = find_stops(j, step, n, work);

    if (!stops.open) {
        report_done(j, stops.closed, stops.end, work);
        return true;
    }
    const struct wr_log_step *rest = may_be_rest(step, n, stops.open);
    if (rest) report_unclear(j, stops.open, rest, work);
    return false;
}
