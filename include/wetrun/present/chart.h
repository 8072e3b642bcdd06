/* Charts. A chart is first words (a title that says what is seen, how to read it, a sentence for those who cannot see
 * it), then script text for gnuplot, both pure functions of the results; then one run of gnuplot whose output comes
 * back as bytes. Text from files reaches gnuplot only inside data blocks, escaped by one function, never as a command.
 *
 *     struct wr_chart_options o = {.format = WR_CHART_PNG};
 *     struct wr_str png = {0};
 *     status = wr_chart_render(WR_CHART_FINISH, &input, &o, &png, &err);
 *
 * The look (inks, marks, the lens) is described at the head of plots/prelude.gp. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/base/str.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/series_view.h"
#include "wetrun/study/study.h"

enum wr_place { /* where on the page a chart stands; several at one place follow each other as in the table */
    WR_AT_FIRST, WR_AT_RUNS, WR_AT_TRENDS, WR_AT_TASKS, WR_AT_UNCERTAINTY, WR_AT_LIMIT, WR_AT_COURSE, WR_AT_PADS,
    WR_AT_SERIES, WR_AT_CARD, WR_AT_RECORD
};

/* name, where on the page it stands, what it shows (for `chart --help`), results of a study that it draws beside the
 * forecast (bits of enum wr_result), the table on the page that says its rows in numbers (NULL: none), builder (private
 * to the room) */
#define WR_CHART_SHOWS(result) WR_RESULT_BIT(WR_RESULT_##result)
#define WR_CHART_TABLE(ROW)                                                                                            \
    ROW(WR_CHART_VARIANCE, "variance", WR_AT_UNCERTAINTY,                                                              \
        "tasks ranked by their share of what makes the finish uncertain", 0, "t-tasks", chart_variance)                \
    ROW(WR_CHART_FINISH, "finish", WR_AT_FIRST, "a hundred forecast finishes, the limit and those that pass it", 0,    \
        NULL, chart_finish)                                                                                            \
    ROW(WR_CHART_LANES, "lanes", WR_AT_COURSE, "every lane against time, with the spread of each start and end", 0,    \
        NULL, chart_lanes)                                                                                             \
    ROW(WR_CHART_TASKS, "tasks", WR_AT_TASKS, "rehearsal times of each task on the model's spread", 0, "t-times",      \
        chart_tasks)                                                                                                   \
    ROW(WR_CHART_RUNS, "runs", WR_AT_RUNS, "finish of every rehearsal, their trend, and the next one",                 \
        WR_CHART_SHOWS(COMPARISON), NULL, chart_runs)                                                                  \
    ROW(WR_CHART_CONVERGE, "converge", WR_AT_TRENDS,                                                                   \
        "single tasks over the rehearsals, where it matters: do they settle", WR_CHART_SHOWS(COMPARISON), NULL,        \
        chart_converge)                                                                                                \
    ROW(WR_CHART_LIMIT, "limit", WR_AT_LIMIT, "how many of a hundred pass a limit, against that limit", 0, NULL,       \
        chart_limit_curve)                                                                                             \
    ROW(WR_CHART_PAD, "pad", WR_AT_PADS, "planned times against what the tasks need with padding",                     \
        WR_CHART_SHOWS(PAD), "t-pads", chart_pad)                                                                      \
    ROW(WR_CHART_CUTOFF, "cutoff", WR_AT_CARD, "the card for the console: by when each task must have begun",          \
        WR_CHART_SHOWS(CUTOFFS), "t-card", chart_cutoff)                                                               \
    ROW(WR_CHART_BACKTEST, "backtest", WR_AT_RECORD, "forecasts made without a rehearsal, and what it then did",       \
        WR_CHART_SHOWS(BACKTEST), NULL, chart_backtest)                                                                \
    ROW(WR_CHART_SERIES, "series", WR_AT_SERIES, "every excursion of a series, with what is carried on to it", 0,      \
        NULL, chart_series)

enum wr_chart {
#define WR_CHART_ENUM(id, name, place, help, shows, rows, builder) id,
    WR_CHART_TABLE(WR_CHART_ENUM)
#undef WR_CHART_ENUM
    WR_N_CHART
};
const char *wr_chart_name(enum wr_chart chart);
const char *wr_chart_help(enum wr_chart chart);
unsigned wr_chart_shows(enum wr_chart chart);
const char *wr_chart_row_table(enum wr_chart chart);
enum wr_place wr_chart_place(enum wr_chart chart);
bool wr_chart_find(const char *name, enum wr_chart *chart);
bool wr_chart_is_forecast(enum wr_chart chart); /* of the target, so that what speaks against it goes with it */

/* Results to draw, all borrowed. What a chart needs and does not find makes it unavailable, see wr_chart_missing. */
struct wr_chart_input {
    const struct wr_plan *plan;         /* always */
    const struct wr_forecast *forecast; /* variance, finish, lanes, tasks, limit; runs: the next one */
    const struct wr_timing *timing;     /* runs; tasks: their times; NULL: nothing was rehearsed */
    const struct wr_run_log *log;       /* names of the rehearsals; NULL: nothing was rehearsed */
    const struct wr_limits *limits;     /* NULL or empty: no limit was given; else in the order the forecast had them */
    struct wr_maybe confidence;         /* wanted probability of staying inside the excursion limit */
    enum wr_target target;
    const struct wr_comparison *comparison; /* runs, converge: their trends */
    const struct wr_pad *pad;           /* pad */
    struct wr_cutoff_result cutoff;     /* cutoff: the earliest over its limits, then its clocks; card NULL: none */
    const struct wr_backtest *backtest; /* backtest */
    const struct wr_series_view *series; /* series */
    /* What the commands say before their numbers: doubts, the second answer, grounds; NULL: nothing is known of them */
    const struct wr_present_context *context;
};

/* NULL if the chart can be drawn from this input, else what is missing, as the end of a sentence:
 * "a forecast, and none was made". */
const char *wr_chart_missing(enum wr_chart chart, const struct wr_chart_input *in);

/* Does something in it rest on a limit: a line, a count, a time to begin by? The chart must be available. */
bool wr_chart_shows_limit(enum wr_chart chart, const struct wr_chart_input *in);

struct wr_chart_words { /* start as {0}; plain UTF-8 as it came from the files: escape for the sink at hand */
    struct wr_str title;    /* one sentence: what is seen, its uncertainty included */
    struct wr_str subtitle; /* how to read the marks */
    struct wr_str about;    /* what it is a forecast of, and what speaks against reading it alone; empty: not of one */
    struct wr_str alt;      /* the chart in words and numbers, for those who do not see it; ends in the above */
};
/* The chart must be available. */
void wr_chart_words(enum wr_chart chart, const struct wr_chart_input *in, struct wr_chart_words *words);
void wr_chart_words_release(struct wr_chart_words *words);

enum wr_chart_format { WR_CHART_SVG, WR_CHART_PNG, WR_CHART_PDF };
enum { WR_CHART_WIDE = 960, WR_CHART_NARROW = 372 };

struct wr_chart_options {
    enum wr_chart_format format;
    unsigned width;        /* CSS px; 0: WR_CHART_WIDE. Below 600 labels stand above their marks. At least 320 */
    bool bare;             /* without title and subtitle: the page has them as text */
    /* SVG for a page: one <svg> element without prolog and fonts, its ids begun with this; NULL: a file of its own.
     * At most 40 letters, digits and hyphens, a letter first. */
    const char *inline_id;
    /* inline SVG: rows that are about a task become links to row N of the table with this id, which say its numbers;
     * NULL: none */
    const char *row_table;
    const char *css_class; /* inline SVG: its class attribute, fixed text of ours; NULL: none */
};

/* The script for `gnuplot -d -`, without running it. */
void wr_chart_script(enum wr_chart chart, const struct wr_chart_input *in, const struct wr_chart_options *options,
                     struct wr_str *script);

/* Runs gnuplot and appends the picture to *bytes: whole or not at all.
 *   WR_E_TOO_FEW      the chart is not available from this input
 *   WR_E_NO_PROGRAM   gnuplot is not installed
 *   WR_E_CHILD        gnuplot failed, or wrote something that is no picture */
WR_MUST_CHECK enum wr_status wr_chart_render(enum wr_chart chart, const struct wr_chart_input *in,
                                             const struct wr_chart_options *options, struct wr_str *bytes,
                                             struct wr_error *err);

/* Several pictures at once, on up to n_thread threads (0: as many as processors). Every job gets its own status. */
struct wr_chart_job {
    enum wr_chart chart;
    struct wr_chart_options options;
    struct wr_str bytes;   /* start as {0}; released by the caller */
    enum wr_status status;
    struct wr_error err;
};
void wr_chart_render_all(struct wr_chart_job *job, size_t n_job, const struct wr_chart_input *in, unsigned n_thread);

/* The same in three parts, so that other work can go on while gnuplot draws: only in the second is it waited for, and
 * there nothing of the input is looked at. */
struct wr_chart_runs;
struct wr_chart_runs *wr_chart_runs_begin(struct wr_chart_job *job, size_t n_job, const struct wr_chart_input *in,
                                          unsigned n_thread);
void wr_chart_runs_draw(struct wr_chart_runs *runs, unsigned n_thread);
void wr_chart_runs_finish(struct wr_chart_runs *runs, unsigned n_thread);
void wr_chart_runs_release(struct wr_chart_runs *runs);

/* A text from a file as one cell of a gnuplot data block, read back by `with labels` in a noenhanced terminal: always
 * one line, valid UTF-8, no tab, no control or reordering character, no straight double quote (gnuplot would take it
 * for quoting), every backslash doubled (gnuplot would interpret it). An empty text becomes a no-break space. */
void wr_chart_add_label(struct wr_str *out, const char *text);
