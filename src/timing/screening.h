/* What the screens before the fit have in common (implausible.h): what is at hand, and how far is far. Private to this
 * room. */
#pragma once

#include "wetrun/timing/implausible.h"

static const double FAR_RUN = 1.7; /* times the finish of the plan, or of the other runs */

struct screening {
    struct wr_screen *screen;
    const struct wr_run_log *log;
    const struct wr_plan *plan;
    const struct wr_network *net;
    const struct wr_timing *timing;
    struct wr_findings *findings;
    double *value; /* [n_run + n_task] room for medians */
    double first_min; /* of the first limit */
};

struct wr_maybe screen_median(double *value, size_t n);
void screen_add_row(struct screening *j, struct wr_implausible row);
/* "the plan says 0:45, other runs typically 0:47" */
const char *screen_beside(const struct wr_implausible *row, char *text, size_t room);
/* Beyond the factor on the same side of both, where both are known; *slow says which side. */
bool screen_is_far(double read, struct wr_maybe planned, struct wr_maybe others, double both, double alone, bool *slow);
/* Half as much again as is usual, and a number that would be near it as hours and minutes: 630 for 6:30. (Of limits
 * that are minutes a few are so; beside a plan alone, which may well be short, too many would be.) */
bool screen_lacks_colon(double minutes, struct wr_maybe as_clock, struct wr_maybe rehearsed);

bool screen_was_begun(const struct wr_cell *c);
bool screen_is_never_logged(const struct screening *j, size_t task);
/* The median of what its done runs took; unknown where there is none, or none took any time. */
struct wr_maybe screen_usually_took(struct screening *j, size_t task);
double screen_finish_of(const struct wr_timing_run *run);
double screen_without_holds(const struct wr_timing_run *run);
/* The median finish, one of these two, of the complete runs but one; SIZE_MAX: of all. */
struct wr_maybe screen_other_finish(struct screening *j, double finish(const struct wr_timing_run *), size_t but,
                                    size_t least);
/* What is said beforehand of how long tasks of a plan take, this one or another (implausible_said.c). */
void screen_said(struct screening *j, const struct wr_plan *plan);
/* Planned times that are far from what the runs took, as a whole or of one task (implausible_planned.c). */
void screen_planned(struct screening *j);
/* These two; and a drop_after that nothing keeps or can come to (implausible_plan.c). */
void screen_plan(struct screening *j, struct wr_maybe planned, const struct wr_limits *limits);
