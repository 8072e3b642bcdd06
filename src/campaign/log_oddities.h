/* What is odd about a log as a whole: each of these is taken as it stands, and said. */
#pragma once

#include "wetrun/campaign/run_log.h"

struct oddities {
    const struct wr_run_log *log;
    const struct wr_log_options *options;
    struct wr_findings *findings;
};

void log_find_oddities(const struct oddities *o);

/* Names of the plan, and those that names.csv has, are meant as they stand. */
bool oddity_is_meant(const struct oddities *o, const char *task);
/* log_odd_tasks.c: a task of few runs that is nearly another; two of which every run has one. */
void log_find_odd_tasks(const struct oddities *o);
/* log_odd_people.c: somebody of few rows of a run in which somebody of nearly the name has many. */
void log_find_odd_people(const struct oddities *o);
/* log_odd_runs.c: a run that repeats another, is at the same time, is the plan, was begun again; a task as long as all
 * the others of its run. */
void log_find_odd_runs(const struct oddities *o);
/* log_odd_order.c: runs without dates whose names count them in another order than the log. */
void log_find_odd_order(const struct oddities *o);
/* log_odd_holds.c: one hold in most rows of a run, or a long stretch of rows; one of a task in every run. */
void log_find_odd_holds(const struct oddities *o);
