/* The screen that stands before every fit: what was read, held against the plan and against the other runs. A wrong
 * hour, a forgotten midnight or a unit mistaken look like a very slow task, and would move the answer without a word.
 *
 * Steps and runs are looked at without their holds. A step is implausible where it took at least FAR_STEP times (or, if
 * done, at most one FAR_STEP-th of) both its planned time and the median of its other runs, of which there are two or
 * more; where one of the two is unknown, the other must be passed by LONE_STEP. Differences below LEAST_MIN are left
 * alone.
 * Implausible is also one that took an hour more or less than usual, to HOUR_SLACK minutes, and HOUR_OFF times as long:
 * a slip of the pen. (Of 4000 campaigns of six runs without a slip, tasks of 20 to 53 minutes and errors of sd 0.25,
 * the screen stops at 13, without this at 2.) A complete run is where its finish is
 * beyond FAR_RUN times both the plan's and the other runs' median. A limit is where what it limits is typically above
 * FAR_LIMIT times it, or, of the whole excursion, below one such part, or a number of minutes that would be near it as
 * hours and minutes (630 for 6:30). A wait is where a lane stood idle before a task
 * for more than LEAST_WAIT and FAR_STEP times what it did in any other run (A_WAIT at least). A drop_after is where
 * every run began its task later, or none of them can have come to it: it is FAR_RUN times the whole day, or behind
 * the day and its last limit; or where it would be near the task's begin with a colon. Typical of a unit mistaken: in
 * the median task the log's minutes are FAR_UNIT times the plan's. Planned times are implausible where in the median
 * task the runs took FAR_PLAN (1 + 1/tasks) times as long, or as small a part; one of them where its task took FAR_CELL
 * times as long, or as small a part, and so beside what others take of theirs, in most of its runs. What is judged is
 * where it is FAR_PLANNED times what is allotted, or as small a part of it. What is said of a task that was never done
 * is, beside the tasks that were or, before the first rehearsal, beside the other rows of the plan, where it is FAR_NEW
 * times beyond them; below a minute; or, if it has a fraction, half of the shortest (a quarter, where others have one
 * as well) and as hours not far from others. With its unit it is meant.
 *
 * The factors are common practice without a source. Tasks scatter by 10 to 40 %: four times the usual is beyond three
 * sd at 40 %, and a typing error of an hour in a step of twenty minutes is a factor of four. Plans are a little short,
 * and seldom off by more than half (the model's prior, exp(N(0.1, 0.3^2))): three times is beyond three sd. The
 * forecast of four rehearsals went with these where the plan was a third to three times as long, and with the plan
 * where it was a sixth or four times. Single planned times scatter by 25 to 45 % about that: six times is four sd. Of
 * 320 campaigns with plans off by 0.6 to 1.7 in common, and by up to 43 % each, none is stopped at. */
#pragma once

#include "wetrun/campaign/limits.h"
#include "wetrun/timing/timing.h"

enum wr_implausible_kind {
    WR_IMPLAUSIBLE_STEP,
    WR_IMPLAUSIBLE_RUN,
    WR_IMPLAUSIBLE_LIMIT,
    WR_IMPLAUSIBLE_UNIT,
    WR_IMPLAUSIBLE_WAIT,
    WR_IMPLAUSIBLE_PLANNED
};

struct wr_implausible {
    enum wr_implausible_kind kind;
    const char *run, *task;     /* borrowed from log and plan; NULL: none. Of a limit its name stands in task */
    double read_min;
    struct wr_maybe planned_min, others_min; /* what the plan says; median of the other runs */
};

struct wr_screen { /* start as {0} */
    struct wr_implausible *row;
    size_t n_row, room;
    bool unit_doubtful; /* a row of kind UNIT is there */
    bool plan_doubtful; /* that, or planned times as a whole are implausible: how long they are tells nothing, though
                           their proportions may */
};

/* Each time that the task was done it took none: it is forecast as one that takes none. That the plan may say, by
 * allotting it nothing where it allots others something; a log alone may as well have lost its times. */
bool wr_never_timed(const struct wr_timing *timing, const struct wr_plan *plan, size_t task);
/* A clock whose end had come before its begin in every run that has both, or, where none has, must come before by the
 * plan: no day could pass it. */
bool wr_clock_is_reversed(const struct wr_limit *limit, const struct wr_network *net, const struct wr_timing *timing);
/* Also a warning "nothing-done" where no task was ever done or none took any time, "never-timed" for a task that never
 * did. One warning "implausible-step", "-wait", "-run", "-limit", "-unit" for each row, and "implausible-rule" for a
 * drop_after. */
void wr_screen_make(struct wr_screen *screen, const struct wr_run_log *log, const struct wr_plan *plan,
                    const struct wr_network *net, const struct wr_timing *timing, struct wr_findings *findings);
/* Adds the limits, which are of the plan that is forecast; a warning "clock-reversed" for each clock that is
 * or was in MOSTLY times as many runs as not,
 * "limit-beyond" for each that is kept on any day: a time of day, or FAR_ABOVE times the longest rehearsal (FAR_PART
 * times, and no tighter than the first limit, for one of a part), unless it was written with its unit; so is a bare
 * number of FAR_NUMBER times the longest rehearsal, or FAR_PART times for a part, or without rehearsals FAR_ABOVE times
 * the plan, unless it was written h:mm; "limit-idle" if the first is passed only after another of the same. */
void wr_screen_limits(struct wr_screen *screen, const struct wr_run_log *log, const struct wr_plan *plan,
                      const struct wr_network *net, const struct wr_timing *timing, const struct wr_limits *limits,
                      struct wr_findings *findings);
/* One that is not among them: the limit of an alternative. */
void wr_screen_limit(struct wr_screen *screen, const struct wr_run_log *log, const struct wr_plan *plan,
                     const struct wr_network *net, const struct wr_timing *timing, const struct wr_limit *limit,
                     struct wr_findings *findings);
/* What another plan, for which findings go to the same place, says of how long tasks take. */
void wr_screen_other_plan(const struct wr_run_log *log, const struct wr_plan *plan, const struct wr_timing *timing,
                          const struct wr_plan *other, struct wr_findings *findings);
void wr_screen_release(struct wr_screen *screen);
