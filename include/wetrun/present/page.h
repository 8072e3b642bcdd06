/* The page of `report`: one HTML text that needs nothing else. No network, one style and one script of our own, both
 * allowed by their hashes in a content security policy; charts inline; light, dark, narrow and printed; every chart's
 * numbers in a table too. The first screen answers in words, the sections behind it are for three readers: who trains,
 * who plans, who reviews. What was not computed has no section. */
#pragma once

#include "wetrun/decide/other_limits.h"
#include "wetrun/present/backtest_view.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/check_view.h"
#include "wetrun/present/compare_view.h"
#include "wetrun/present/context.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/fit_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/pad_view.h"
#include "wetrun/present/ready_view.h"
#include "wetrun/present/runs_needed_view.h"
#include "wetrun/study/against.h"
#include "wetrun/present/series_view.h"

struct wr_page_figure {
    const char *name; /* the chart's fixed name: lower-case letters */
    enum wr_place place;
    const char *title, *note; /* plain text as in struct wr_chart_words */
    /* <svg> elements as wr_chart_render makes them for a page, with an alternative text, the ids of each begun with a
     * prefix of its own, classes "chart wide" and "chart slim". Not escaped: they must come from there. NULL: none. */
    const char *wide, *slim;
    bool shows_limit;         /* as wr_chart_shows_limit says */
};

struct wr_page { /* all borrowed; NULL: not computed */
    const struct wr_present_context *context;
    const struct wr_forecast_result *forecast; /* never NULL */
    const struct wr_check_result *check;
    const struct wr_page_figure *figure; size_t n_figure;
    const struct wr_fit_result *fit;
    const struct wr_pad_result *pad;
    const struct wr_cutoff_result *cutoff;
    const struct wr_compare_result *compare;
    const struct wr_backtest_result *backtest;
    const struct wr_ready_result *ready;
    const struct wr_runs_needed_result *runs_needed;
    const struct wr_other_limits *other;
    const struct wr_against *against;   /* what changed, where something came before */
    const struct wr_series_view *series; /* the excursions that this one stands among */
    const char *no_charts;   /* why charts are missing, plain text; NULL: they are not */
};

/* Appends the page to *out, or leaves it as it was. WR_E_DOMAIN: a result is not a finite number. */
WR_MUST_CHECK enum wr_status wr_page_write(const struct wr_page *page, struct wr_str *out, struct wr_error *err);
