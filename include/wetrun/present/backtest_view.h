/* `backtest`: how well forecasts made without a rehearsal foresaw it. */
#pragma once

#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/decide/backtest.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"

struct wr_backtest_result { /* all borrowed */
    const struct wr_run_log *log;
    const struct wr_plan *plan;
    const struct wr_backtest *backtest;
    const char *complete_by; /* see struct wr_present_context */
};

/* Table: the record in words, run by run, tasks. CSV: run by run. JSON: everything. */
WR_MUST_CHECK enum wr_status wr_show_backtest(enum wr_format format, const struct wr_present_context *ctx,
                                              const struct wr_backtest_result *result, struct wr_str *out,
                                              struct wr_error *err);

/* "6 of 7 complete rehearsals fell inside their 80 % band: no sign against the forecast, though 7 cannot show much."
 * Of both records: the one from earlier rehearsals only is named where it speaks against the forecast. */
void wr_backtest_sentence(const struct wr_backtest *backtest, const char *complete_by, struct wr_str *out);
/* ": no sign against the forecast, though 7 cannot show much": the verdict of both alone, without a full stop. */
void wr_record_words(const struct wr_backtest *backtest, struct wr_str *out);
/* "Of 7, a sound forecast has 4 or more inside in 97 of 100 such records." */
void wr_record_expected(const struct wr_backtest_record *record, struct wr_str *out);
/* What the record leaves untested; nothing for a rehearsal. */
void wr_record_reach(enum wr_target target, struct wr_str *out);
void wr_grid_of_backtest(const struct wr_backtest_result *result, const struct wr_backtest_record *record,
                         struct wr_grid *grid);
