/* What changed between two studies, in words and tables. What is noise is called so and not shown as a change. */
#pragma once

#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"
#include "wetrun/study/against.h"

/* The answer then and now, where the change comes from, and what it is worth. */
void wr_against_sentences(const struct wr_against *against, struct wr_str *out);
/* Tasks and cut-offs that moved, but are no rows of the table of changes. */
void wr_against_rest(const struct wr_against *against, struct wr_str *out);
void wr_grid_of_against_limits(const struct wr_against *against, struct wr_grid *grid);
/* all: every task; else those that are new, gone, edited, or changed beyond noise. */
enum wr_against_rows { WR_AGAINST_CHANGED, WR_AGAINST_ALL };
void wr_grid_of_against_tasks(const struct wr_against *against, enum wr_against_rows rows, struct wr_grid *grid);
void wr_grid_of_against_criteria(const struct wr_against *against, enum wr_against_rows rows, struct wr_grid *grid);

/* CSV: the tasks, all of them. */
WR_MUST_CHECK enum wr_status wr_show_against(enum wr_format format, const struct wr_present_context *ctx,
                                             const struct wr_against *against, struct wr_str *out,
                                             struct wr_error *err);
