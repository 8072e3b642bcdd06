/* Parts of the comparison of rehearsals: the table of logs that they share, trends, groups. */
#pragma once

#include "wetrun/decide/compare.h"

struct wr_log_table { /* log minutes of the done cells of some runs */
    size_t n_task, n_run;
    size_t *run;             /* [n_run] which runs of the timing table, ascending */
    double *log_order;       /* [n_run] */
    double *y;               /* [task * n_run + i] */
    unsigned char *present;  /* [task * n_run + i] */
};
/* Some columns of another table: those listed in at[n]. */
void wr_log_table_of(struct wr_log_table *table, const struct wr_log_table *from, const size_t *at, size_t n);
void wr_log_table_release(struct wr_log_table *table);

struct wr_two_way { /* fit of task + run to a table */
    double *task_effect, *run_effect;
};

/* length, length_seen, n_length_unseen. */
void wr_compare_lengths(struct wr_comparison *c, const struct wr_timing *timing, const struct wr_log_table *table,
                        const struct wr_two_way *fit);

/* trend, length_trend, task_trend, spread of the runs and its trend; after the lengths. */
void wr_compare_trends(struct wr_comparison *c, const struct wr_log_table *table, const struct wr_two_way *fit);

WR_MUST_CHECK enum wr_status wr_compare_groups(struct wr_comparison *c, const struct wr_log_table *table,
                                               const struct wr_run_log *log, const struct wr_timing *timing,
                                               const struct wr_compare_options *options, struct wr_error *err);
