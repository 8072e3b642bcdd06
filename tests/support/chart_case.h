/* Invented campaigns for the tests of the charts: a plan, rehearsals and a forecast filled in directly, without files,
 * model or simulation. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/present/chart.h"

enum case_titles { TITLES_PLAIN, TITLES_HOSTILE };
struct chart_case_options {
    size_t n_task, n_lane;
    enum case_titles titles;
    size_t n_run;             /* 0: nothing was rehearsed */
    double limit_min;         /* 0: no limit was given; < 0: that share of the finishes, in per cent, is inside */
    double spread;            /* factor on the spread of the times; 0: fixed times */
};

struct chart_case {
    struct wr_plan plan;
    struct wr_timing timing;
    struct wr_run_log log;
    struct wr_forecast forecast;
    struct wr_limits limits;
    struct wr_comparison comparison;
    struct wr_pad pad;
    struct wr_cutoff_card cutoff;
    struct wr_backtest backtest;
    struct wr_series series;
    struct wr_series_leg_result leg[3];
    struct wr_series_over leg_over[3];
    struct wr_series_leg_names leg_name[3];
    struct wr_sim_limit leg_limit[3];
    struct wr_series_view series_view;
    struct wr_chart_input input;
};
void chart_case_make(struct chart_case *c, const struct chart_case_options *options);
void chart_case_release(struct chart_case *c);

extern const char *const hostile_titles[]; /* ended by NULL */
