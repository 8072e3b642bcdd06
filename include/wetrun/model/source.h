/* How long does a task take on an ordinary day? The one place where kinds of durations are told apart: others ask here,
 * and go by the form of the answer. */
#pragma once

#include "wetrun/stats/three_point.h"

enum wr_source_kind { WR_SRC_MODEL, WR_SRC_LOGNORMAL, WR_SRC_JUDGED, WR_SRC_FIXED };
struct wr_source {
    enum wr_source_kind kind;
    double p[3];               /* LOGNORMAL: meanlog, sdlog; JUDGED: low, likely, high minutes; FIXED: minutes of any
                                  day: a wait, or nothing; MODEL: none, wr_durations has its parameters */
    enum wr_three_point_reading reading; /* JUDGED */
};

/* How minutes follow from a normal score of the task's own and from the run effect b. */
enum wr_form {
    WR_FORM_FIXED,             /* they do not */
    WR_FORM_LOG,               /* exp(centre + spread * score + b): wr_durations_log_law */
    WR_FORM_BENT               /* exp(b) times a rising, bounded function of the score: wr_source_at_scores */
};
enum wr_form wr_source_form(const struct wr_source *source); /* a judgement without width is fixed */
const char *wr_source_name(const struct wr_source *source);  /* "model", "lognormal", "fixed", the reading's: "pert"
                                                                … */

/* Of an ordinary day. Not for MODEL, which differs between draws (summary.h). */
double wr_source_mean_min(const struct wr_source *source);
double wr_source_sd_min(const struct wr_source *source);
double wr_source_quantile_min(const struct wr_source *source, double prob); /* 0 < prob < 1; BENT: 0 and 1 as well */

/* FORM_BENT only. */
struct wr_three_point wr_source_judgement(const struct wr_source *source);
void wr_source_at_scores(const struct wr_source *source, int n, double step,
                         double *minutes); /* as three_point.h has it */
