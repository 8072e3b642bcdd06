/* The commands: a row says all that help, the manual, completion, options and the report want to know of one. */
#pragma once

#include <stdbool.h>
#include "wetrun/base/error.h"
#include "wetrun/base/str.h"
#include "wetrun/study/study.h"

/* Where a command stands in `wetrun --help`. */
enum wr_command_group {
    WR_GROUP_NONE, /* of a row that forgot it */
    WR_GROUP_FIRST, WR_GROUP_EXPECT, WR_GROUP_DECIDE, WR_GROUP_REHEARSALS, WR_GROUP_EVIDENCE, WR_GROUP_ALTERNATIVES,
    WR_GROUP_SHOW,
    WR_N_GROUP
};

/* Whether a command rests on the fitted model: it then has the model's options. */
enum { WR_UNMODELLED, WR_MODELLED };

/* id; what runs it: wr_cmd_result makes and shows a result of a study, another has a file of its own, cmd_NAME.c;
 * whether it rests on the model; members of struct wr_command */
#define WR_COMMAND_TABLE(ROW)                                                                                          \
    ROW(CHECK, wr_cmd_check, WR_UNMODELLED, .name = "check", .group = WR_GROUP_FIRST,                                  \
        .summary = "is the log fit for use, and what is odd about it",                                                 \
        .example = "wetrun check petrel-7 --rejected rejected.txt")                                                    \
    ROW(FIT, wr_cmd_result, WR_MODELLED, .name = "fit", .group = WR_GROUP_EXPECT, .result = WR_RESULT_SUMMARY,         \
        .beside = WR_RESULT_BIT(WR_RESULT_CANDIDATES), .in_report = WR_RESULT_BIT(WR_RESULT_SUMMARY),                  \
        .busy = "fitting",                                                                                             \
        .summary = "how long each task takes, and how sure that is",                                                   \
        .example = "wetrun fit petrel-7")                                                                              \
    ROW(FORECAST, wr_cmd_result, WR_MODELLED, .name = "forecast", .group = WR_GROUP_EXPECT,                            \
        .result = WR_RESULT_FORECAST, .beside = WR_RESULT_BIT(WR_RESULT_PRICES),                                       \
        .in_report = WR_RESULT_BIT(WR_RESULT_FORECAST) | WR_RESULT_BIT(WR_RESULT_PRICES), .busy = "simulating",        \
        .summary = "when all are back inside, and how likely they go over the limit",                                  \
        .example = "wetrun forecast petrel-7 --limit 6:15 --confidence 0.9")                                           \
    ROW(PAD, wr_cmd_result, WR_MODELLED, .name = "pad", .group = WR_GROUP_DECIDE, .result = WR_RESULT_PAD,             \
        .beside = WR_RESULT_BIT(WR_RESULT_CUTOFFS), .in_report = WR_RESULT_BIT(WR_RESULT_PAD), .busy = "padding",      \
        .summary = "padding per task and for the timeline that reaches a confidence",                                  \
        .example = "wetrun pad petrel-7 --confidence 0.95")                                                            \
    ROW(CUTOFF, wr_cmd_result, WR_MODELLED, .name = "cutoff", .group = WR_GROUP_DECIDE, .result = WR_RESULT_CUTOFFS,   \
        .in_report = WR_RESULT_BIT(WR_RESULT_CUTOFFS), .busy = "looking for cut-offs",                                 \
        .summary = "the latest moment to begin each task; with --now during the day",                                  \
        .example = "wetrun cutoff petrel-7 --now A-LIFT@1:35")                                                         \
    ROW(COMPARE, wr_cmd_result, WR_UNMODELLED, .name = "compare", .group = WR_GROUP_REHEARSALS,                        \
        .result = WR_RESULT_COMPARISON, .in_report = WR_RESULT_BIT(WR_RESULT_COMPARISON),                              \
        .summary = "rehearsals side by side, or groups of them",                                                       \
        .example = "wetrun compare petrel-7 --by pool")                                                                \
    ROW(DEBRIEF, wr_cmd_result, WR_MODELLED, .name = "debrief", .names = "RUN", .group = WR_GROUP_REHEARSALS,          \
        .result = WR_RESULT_DEBRIEF, .busy = "forecasting",                                                            \
        .summary = "what stood out in one rehearsal against the others",                                               \
        .example = "wetrun debrief P7-9 petrel-7")                                                                     \
    ROW(LOGSHEET, wr_cmd_logsheet, WR_UNMODELLED, .name = "logsheet", .group = WR_GROUP_REHEARSALS,                    \
        .summary = "a blank step log for the next rehearsal",                                                          \
        .example = "wetrun logsheet petrel-7 --format csv --out next.csv")                                             \
    ROW(DAYSHEET, wr_cmd_daysheet, WR_MODELLED, .name = "daysheet", .group = WR_GROUP_REHEARSALS, .busy = "fitting",   \
        .summary = "a page for the day: log begins and ends, see what follows",                                        \
        .example = "wetrun daysheet petrel-7 --for excursion --out day.html")                                          \
    ROW(READY, wr_cmd_result, WR_MODELLED, .name = "ready", .group = WR_GROUP_EVIDENCE, .result = WR_RESULT_READY,     \
        .in_report = WR_RESULT_BIT(WR_RESULT_READY), .help = wr_help_criteria, .busy = "gathering evidence",           \
        .summary = "the evidence for a readiness review, criterion by criterion",                                      \
        .example = "wetrun ready petrel-7 --strictness 0.9")                                                           \
    ROW(BACKTEST, wr_cmd_result, WR_MODELLED, .name = "backtest", .group = WR_GROUP_EVIDENCE,                          \
        .result = WR_RESULT_BACKTEST, .in_report = WR_RESULT_BIT(WR_RESULT_BACKTEST),                                  \
        .busy = "forecasting each run",                                                                                \
        .summary = "how well forecasts made without a run foresaw it",                                                 \
        .example = "wetrun backtest petrel-7")                                                                         \
    ROW(WHATIF, wr_cmd_result, WR_MODELLED, .name = "whatif", .group = WR_GROUP_ALTERNATIVES,                          \
        .result = WR_RESULT_WHATIF, .busy = "searching",                                                               \
        .summary = "the timeline changed, on the same simulated days",                                                 \
        .example = "wetrun whatif petrel-7 --drop HINGE --scale HINGE=0.6")                                            \
    ROW(RUNS_NEEDED, wr_cmd_result, WR_MODELLED, .name = "runs-needed", .group = WR_GROUP_ALTERNATIVES,                \
        .result = WR_RESULT_RUNS_NEEDED, .in_report = WR_RESULT_BIT(WR_RESULT_RUNS_NEEDED),                            \
        .busy = "rehearsing ahead",                                                                                    \
        .summary = "what further rehearsals would add to what is known",                                               \
        .example = "wetrun runs-needed petrel-7")                                                                      \
    ROW(SERIES, wr_cmd_series, WR_UNMODELLED, .name = "series", .group = WR_GROUP_ALTERNATIVES,                        \
        .help = wr_help_series, .busy = "simulating",                                                                  \
        .summary = "several excursions, and what is carried on from one to the next",                                  \
        .example = "wetrun series petrel-series")                                                                      \
    ROW(CHART, wr_cmd_chart, WR_MODELLED, .name = "chart", .names = "NAME", .group = WR_GROUP_SHOW,                    \
        .help = wr_help_charts, .busy = "simulating",                                                                  \
        .summary = "one chart",                                                                                        \
        .example = "wetrun chart finish petrel-7 --out finish.png")                                                    \
    ROW(REPORT, wr_cmd_report, WR_MODELLED, .name = "report", .group = WR_GROUP_SHOW, .busy = "computing",             \
        .summary = "all of it: charts, one self-contained page, JSON",                                                 \
        .example = "wetrun report petrel-7 --out page")                                                                \
    ROW(START, wr_cmd_start, WR_UNMODELLED, .name = "start", .names = "FOLDER", .no_campaign = true,                   \
        .group = WR_GROUP_FIRST,                                                                                       \
        .summary = "an empty campaign, with two example rows in each file",                                            \
        .example = "wetrun start petrel-5")

enum wr_command_id { /* one bit each in the option rows */
#define WR_COMMAND_ENUM(id, ...) WR_CMD_##id,
    WR_COMMAND_TABLE(WR_COMMAND_ENUM)
#undef WR_COMMAND_ENUM
    WR_N_COMMAND
};

/* *verdict is set to 1 where a criterion is not met (exit status 1); trouble is a status. */
struct wr_command;
struct wr_settings;
typedef enum wr_status wr_command_fn(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                                     struct wr_error *err);
struct wr_command {
    const char *name;
    const char *names;      /* what stands before the folder: "RUN"; NULL: nothing */
    bool no_campaign;       /* no folder of a campaign follows */
    enum wr_command_group group;
    const char *summary;    /* one line */
    const char *example;    /* a command line that does something useful; petrel-7: the bundled campaign */
    wr_command_fn *run;     /* from the head of the row */
    enum wr_result result;  /* wr_cmd_result: made and shown */
    unsigned beside;        /* the same: results shown with it where they can be had */
    unsigned in_report;     /* the same: results that the report holds for it; 0: it is not part of the report */
    void (*help)(struct wr_str *out); /* what its --help says beside the options; NULL: nothing */
    const char *busy;       /* what it is doing, for the progress line; NULL: it is quick */
};
extern const struct wr_command wr_commands[WR_N_COMMAND];
#define WR_COMMAND_RUN(id, function, ...) wr_command_fn function;
WR_COMMAND_TABLE(WR_COMMAND_RUN)
#undef WR_COMMAND_RUN
void wr_help_charts(struct wr_str *out);
void wr_help_series(struct wr_str *out);
void wr_help_criteria(struct wr_str *out);

enum wr_command_id wr_command_id(const struct wr_command *command);
const struct wr_command *wr_command_find(const char *name);
/* "RUN [CAMPAIGN]": what a command takes beside its options. */
void wr_command_operands(const struct wr_command *command, struct wr_str *out);
