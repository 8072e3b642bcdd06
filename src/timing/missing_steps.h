/* A step that most runs log for a task, and that a run which logs the task in steps has no row of, as where the clerk
 * stopped early: what that run has of the task is then no time of the whole.
 *
 * Steps go by their names, and a run of which some row of the task names none has it whole: there is no other way to
 * say so. A task may also be cut into steps otherwise from run to run, or a step be left out, and then nothing is
 * missing. The run's minutes tell which it is, held (in log minutes, and less the pace of the run) against what its
 * steps take in the runs that have them all, and what the whole takes there. Nearer to its steps, the step is missing.
 * The time is then not known, as of a task of which a row was rejected, if the step is in two of three runs that name
 * steps, three at least, and the run has none that few have. In doubt it counts, and a finding says so: between the
 * two, where fewer runs have the step, or where other rows of the log without one have the minutes of the whole. Where
 * most of these have, that is how they work, and nothing is missing.
 *
 * Rows without a name go by their number, and are only said. */
#pragma once

#include "measure.h"

struct missing_step {
    size_t cell;          /* cell_index of the work and the run */
    const char *step;
    size_t n_with, n_of;  /* runs that have it, of those that name steps of this work */
    double usual_min;     /* median of what it takes where it has a row */
    bool last;            /* in most runs it comes after what this run has */
    struct place at;      /* of the last row that this run has of the work */
};

/* Over all runs, whose cells are filled. Loses the time of those cells, and reports the ones that are in doubt. */
void missing_steps_find(struct measuring *j);
/* NULL: none is. */
const struct missing_step *missing_step_of(const struct measuring *j, size_t work, size_t run);
bool missing_steps_in_run(const struct measuring *j, size_t run);
