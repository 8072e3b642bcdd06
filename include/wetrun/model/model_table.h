/* The sampler's input as a table that owns its arrays: to fill, to leave runs out of, to add a run to. */
#pragma once

#include <stddef.h>
#include "wetrun/model/duration_model.h"

struct wr_model_table { /* start as {0} */
    struct wr_model_data data; /* points into the arrays below: hand this to the sampler */
    unsigned char *obs;        /* the shapes are those of wr_model_data */
    double *log_min, *log_planned, *person_weight, *order; /* log_planned NULL: no task has a planned time */
};

enum wr_plan_times { WR_NO_PLAN_TIMES, WR_HAS_PLAN_TIMES };
/* Every cell WR_OBS_NONE, every number 0 except order = 1, 2, … and target_order = n_run + 1. */
void wr_model_table_init(struct wr_model_table *table, size_t n_task, size_t n_run, size_t n_person,
                         enum wr_plan_times plan_times);
/* The runs r with keep[r] != 0, in the same order, with their places in time as they were. n_person is kept, so that a
 * person who has no cell left is known by the prior alone. */
void wr_model_table_keep_runs(struct wr_model_table *table, const struct wr_model_data *from,
                              const unsigned char *keep, double target_order);
/* All of it and one more run without cells, the last: fill it with wr_model_table_set_cell. */
void wr_model_table_add_run(struct wr_model_table *table, const struct wr_model_data *from, double order,
                            double target_order);
/* person[n]: those who share the cell equally; n 0: nobody known. min > 0 minutes, of a stopped cell its bound. */
void wr_model_table_set_cell(struct wr_model_table *table, size_t task, size_t run, enum wr_obs obs, double min,
                             const unsigned *person, size_t n);
void wr_model_table_release(struct wr_model_table *table);
