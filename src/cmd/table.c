/* The command table, in the order of enum wr_command_id. */
#include <string.h>
#include "commands.h"
#include "wetrun/cmd/settings.h"

const struct wr_command wr_commands[WR_N_COMMAND] = {
    [WR_CMD_CHECK] = {WR_CMD_CHECK, "check", "[CAMPAIGN]", false,
                      "is the log fit for use, and what is odd about it", wr_cmd_check},
    [WR_CMD_FIT] = {WR_CMD_FIT, "fit", "[CAMPAIGN]", false,
                    "how long each task takes, and how sure that is", wr_cmd_fit},
    [WR_CMD_FORECAST] = {WR_CMD_FORECAST, "forecast", "[CAMPAIGN]", false,
                         "when all are back inside, and how likely they go over the limit", wr_cmd_forecast},
    [WR_CMD_PAD] = {WR_CMD_PAD, "pad", "[CAMPAIGN]", false,
                    "padding per task and for the timeline that reaches a confidence", wr_cmd_pad},
    [WR_CMD_CUTOFF] = {WR_CMD_CUTOFF, "cutoff", "[CAMPAIGN]", false,
                       "the latest moment to begin each task; with --now during the day", wr_cmd_cutoff},
    [WR_CMD_COMPARE] = {WR_CMD_COMPARE, "compare", "[CAMPAIGN]", false,
                        "rehearsals side by side, or groups of them", wr_cmd_compare},
    [WR_CMD_DEBRIEF] = {WR_CMD_DEBRIEF, "debrief", "RUN [CAMPAIGN]", true,
                        "what stood out in one rehearsal against the others", wr_cmd_debrief},
    [WR_CMD_LOGSHEET] = {WR_CMD_LOGSHEET, "logsheet", "[CAMPAIGN]", false,
                         "a blank step log for the next rehearsal", wr_cmd_logsheet},
    [WR_CMD_READY] = {WR_CMD_READY, "ready", "[CAMPAIGN]", false,
                      "the evidence for a readiness review, criterion by criterion", wr_cmd_ready},
    [WR_CMD_BACKTEST] = {WR_CMD_BACKTEST, "backtest", "[CAMPAIGN]", false,
                         "how well forecasts made without a run foresaw it", wr_cmd_backtest},
    [WR_CMD_WHATIF] = {WR_CMD_WHATIF, "whatif", "[CAMPAIGN]", false,
                       "the timeline changed, on the same simulated days", wr_cmd_whatif},
    [WR_CMD_RUNS_NEEDED] = {WR_CMD_RUNS_NEEDED, "runs-needed", "[CAMPAIGN]", false,
                            "what further rehearsals would add to what is known", wr_cmd_runs_needed},
    [WR_CMD_CHART] = {WR_CMD_CHART, "chart", "NAME [CAMPAIGN]", true, "one chart", wr_cmd_chart},
    [WR_CMD_REPORT] = {WR_CMD_REPORT, "report", "[CAMPAIGN]", false,
                       "all of it: charts, one self-contained page, JSON", wr_cmd_report},
};

const struct wr_command *wr_command_find(const char *name)
{
    for (size_t i = 0; i < WR_N_COMMAND; i++)
        if (strcmp(wr_commands[i].name, name) == 0) return &wr_commands[i];
    return NULL;
}
