#include "screening.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"

static const double AMPLE_LIMIT = 1.3, NEAR_BELOW = 0.95, NEAR_ABOVE = 1.35;

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

struct wr_maybe screen_median(double *value, size_t n)
{
    if (n == 0) return WR_UNKNOWN;
    qsort(value, n, sizeof *value, compare);
    return wr_known(n % 2 ? value[n / 2] : (value[n / 2 - 1] + value[n / 2]) / 2);
}

void screen_add_row(struct screening *j, struct wr_implausible row)
{
    *WR_PUSH(j->screen->row, j->screen->n_row, j->screen->room) = row;
}

const char *screen_beside(const struct wr_implausible *row, char *text, size_t room)
{
    const char *comma = row->planned_min.known && row->others_min.known ? ", " : "";

    snprintf(text, room, "%s%s%s%s%s", row->planned_min.known ? "the plan says " : "",
             row->planned_min.known ? wr_hmm(row->planned_min.value, WR_ROOM) : "", comma,
             row->others_min.known ? "other runs typically " : "",
             row->others_min.known ? wr_hmm(row->others_min.value, WR_ROOM) : "");
    return text;
}

bool screen_is_far(double read, struct wr_maybe planned, struct wr_maybe others, double both, double alone, bool *slow)
{
    double factor = planned.known && others.known ? both : alone, low = INFINITY, high = 0;

    if (planned.known) low = fmin(low, planned.value), high = fmax(high, planned.value);
    if (others.known) low = fmin(low, others.value), high = fmax(high, others.value);
    if (high <= 0) return false;
    *slow = read > high;
    return read >= factor * high || read * factor <= low;
}

bool screen_lacks_colon(double minutes, struct wr_maybe as_clock, struct wr_maybe rehearsed)
{
    double usual = rehearsed.value;

    return as_clock.known && minutes > as_clock.value && rehearsed.known && minutes > AMPLE_LIMIT * usual &&
           as_clock.value > NEAR_BELOW * usual && as_clock.value < NEAR_ABOVE * usual;
}

bool screen_was_begun(const struct wr_cell *c)
{
    return c->state == WR_CELL_DONE || c->state == WR_CELL_STOPPED;
}

bool screen_is_never_logged(const struct screening *j, size_t task)
{
    for (size_t r = 0; r < j->timing->n_run; r++)
        if (wr_timing_cell(j->timing, task, r)->state != WR_CELL_ABSENT) return false;
    return true;
}

struct wr_maybe screen_usually_took(struct screening *j, size_t task)
{
    size_t n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(j->timing, task, r);
        if (c->state == WR_CELL_DONE && wr_cell_modelled_min(c) > 0) j->value[n++] = wr_cell_modelled_min(c);
    }
    return screen_median(j->value, n);
}

double screen_finish_of(const struct wr_timing_run *run)
{
    return run->finish_min.known ? run->finish_min.value : run->replay_min;
}

double screen_without_holds(const struct wr_timing_run *run)
{
    return run->finish_without_holds_min;
}

struct wr_maybe screen_other_finish(struct screening *j, double finish(const struct wr_timing_run *), size_t but,
                                    size_t least)
{
    size_t n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++)
        if (r != but && j->timing->run[r].complete) j->value[n++] = finish(&j->timing->run[r]);
    return n >= least ? screen_median(j->value, n) : WR_UNKNOWN;
}
