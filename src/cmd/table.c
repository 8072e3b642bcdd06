/* The command table. A command with a result is that result made and shown (cmd_result.c); the others have a file of
 * their own, cmd_NAME.c. */
#include <string.h>
#include "wetrun/cmd/settings.h"

#define RESULT(id) .run = wr_cmd_result, .result = WR_RESULT_##id
#define BIT(id) WR_RESULT_BIT(WR_RESULT_##id)

const struct wr_command wr_commands[WR_N_COMMAND] = {
    [WR_CMD_START] = {.name = "start",
                      .names = "FOLDER",
                      .no_campaign = true,
                      .group = WR_GROUP_FIRST,
                      .run = wr_cmd_start,
                      .summary = "an empty campaign, with two example rows in each file",
                      .example = "wetrun start petrel-5"},
    [WR_CMD_CHECK] = {.name = "check",
                      .group = WR_GROUP_FIRST,
                      .run = wr_cmd_check,
                      .summary = "is the log fit for use, and what is odd about it",
                      .example = "wetrun check petrel-7 --rejected rejected.txt"},
    [WR_CMD_FIT] = {.name = "fit",
                    .group = WR_GROUP_EXPECT,
                    RESULT(SUMMARY),
                    .beside = BIT(CANDIDATES),
                    .in_report = BIT(SUMMARY),
                    .busy = "fitting",
                    .summary = "how long each task takes, and how sure that is",
                    .example = "wetrun fit petrel-7"},
    [WR_CMD_FORECAST] = {.name = "forecast",
                         .group = WR_GROUP_EXPECT,
                         RESULT(FORECAST),
                         .beside = BIT(PRICES),
                         .in_report = BIT(FORECAST) | BIT(PRICES),
                         .busy = "simulating",
                         .summary = "when all are back inside, and how likely they go over the limit",
                         .example = "wetrun forecast petrel-7 --limit 6:15 --confidence 0.9"},
    [WR_CMD_PAD] = {.name = "pad",
                    .group = WR_GROUP_DECIDE,
                    RESULT(PAD),
                    .beside = BIT(CUTOFFS),
                    .in_report = BIT(PAD),
                    .busy = "padding",
                    .summary = "padding per task and for the timeline that reaches a confidence",
                    .example = "wetrun pad petrel-7 --confidence 0.95"},
    [WR_CMD_CUTOFF] = {.name = "cutoff",
                       .group = WR_GROUP_DECIDE,
                       RESULT(CUTOFFS),
                       .in_report = BIT(CUTOFFS),
                       .busy = "looking for cut-offs",
                       .summary = "the latest moment to begin each task; with --now during the day",
                       .example = "wetrun cutoff petrel-7 --now A-LIFT@1:35"},
    [WR_CMD_COMPARE] = {.name = "compare",
                        .group = WR_GROUP_REHEARSALS,
                        RESULT(COMPARISON),
                        .in_report = BIT(COMPARISON),
                        .summary = "rehearsals side by side, or groups of them",
                        .example = "wetrun compare petrel-7 --by pool"},
    [WR_CMD_DEBRIEF] = {.name = "debrief",
                        .names = "RUN",
                        .group = WR_GROUP_REHEARSALS,
                        RESULT(DEBRIEF),
                        .busy = "forecasting",
                        .summary = "what stood out in one rehearsal against the others",
                        .example = "wetrun debrief P7-9 petrel-7"},
    [WR_CMD_LOGSHEET] = {.name = "logsheet",
                         .group = WR_GROUP_REHEARSALS,
                         .run = wr_cmd_logsheet,
                         .summary = "a blank step log for the next rehearsal",
                         .example = "wetrun logsheet petrel-7 --format csv --out next.csv"},
    [WR_CMD_DAYSHEET] = {.name = "daysheet",
                         .group = WR_GROUP_REHEARSALS,
                         .run = wr_cmd_daysheet,
                         .busy = "fitting",
                         .summary = "a page for the day: log begins and ends, see what follows",
                         .example = "wetrun daysheet petrel-7 --for excursion --out day.html"},
    [WR_CMD_READY] = {.name = "ready",
                      .group = WR_GROUP_EVIDENCE,
                      RESULT(READY),
                      .in_report = BIT(READY),
                      .help = wr_help_criteria,
                      .busy = "gathering evidence",
                      .summary = "the evidence for a readiness review, criterion by criterion",
                      .example = "wetrun ready petrel-7 --strictness 0.9"},
    [WR_CMD_BACKTEST] = {.name = "backtest",
                         .group = WR_GROUP_EVIDENCE,
                         RESULT(BACKTEST),
                         .in_report = BIT(BACKTEST),
                         .busy = "forecasting each run",
                         .summary = "how well forecasts made without a run foresaw it",
                         .example = "wetrun backtest petrel-7"},
    [WR_CMD_WHATIF] = {.name = "whatif",
                       .group = WR_GROUP_ALTERNATIVES,
                       RESULT(WHATIF),
                       .busy = "searching",
                       .summary = "the timeline changed, on the same simulated days",
                       .example = "wetrun whatif petrel-7 --drop HINGE --scale HINGE=0.6"},
    [WR_CMD_RUNS_NEEDED] = {.name = "runs-needed",
                            .group = WR_GROUP_ALTERNATIVES,
                            RESULT(RUNS_NEEDED),
                            .in_report = BIT(RUNS_NEEDED),
                            .busy = "rehearsing ahead",
                            .summary = "what further rehearsals would add to what is known",
                            .example = "wetrun runs-needed petrel-7"},
    [WR_CMD_SERIES] = {.name = "series",
                       .group = WR_GROUP_ALTERNATIVES,
                       .run = wr_cmd_series,
                       .help = wr_help_series,
                       .busy = "simulating",
                       .summary = "several excursions, and what is carried on from one to the next",
                       .example = "wetrun series petrel-series"},
    [WR_CMD_CHART] = {.name = "chart",
                      .names = "NAME",
                      .group = WR_GROUP_SHOW,
                      .run = wr_cmd_chart,
                      .help = wr_help_charts,
                      .busy = "simulating",
                      .summary = "one chart",
                      .example = "wetrun chart finish petrel-7 --out finish.png"},
    [WR_CMD_REPORT] = {.name = "report",
                       .group = WR_GROUP_SHOW,
                       .run = wr_cmd_report,
                       .busy = "computing",
                       .summary = "all of it: charts, one self-contained page, JSON",
                       .example = "wetrun report petrel-7 --out page"},
};

enum wr_command_id wr_command_id(const struct wr_command *command)
{
    return (enum wr_command_id)(command - wr_commands);
}

const struct wr_command *wr_command_find(const char *name)
{
    for (size_t i = 0; i < WR_N_COMMAND; i++) {
        const struct wr_command *c = &wr_commands[i];
        WR_BUG_IF(!c->name || !c->run || !c->group || !c->summary || !c->example); /* an id without its row, or half */
        if (strcmp(c->name, name) == 0) return c;
    }
    return NULL;
}

void wr_command_operands(const struct wr_command *command, struct wr_str *out)
{
    if (command->names) wr_str_add(out, command->names);
    if (!command->no_campaign) wr_str_addf(out, "%s[CAMPAIGN]", command->names ? " " : "");
}
