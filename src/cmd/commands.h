/* The commands: one file each, cmd_NAME.c. Each loads, computes through the rooms below, shows, releases.
 * *verdict is set to 1 where a criterion is not met (exit status 1); trouble is a status. */
#ifndef WETRUN_CMD_COMMANDS_H
#define WETRUN_CMD_COMMANDS_H

#include "wetrun/cmd/settings.h"

typedef enum wr_status wr_command_fn(const struct wr_settings *settings, int *verdict, struct wr_error *err);
wr_command_fn wr_cmd_check, wr_cmd_fit, wr_cmd_forecast, wr_cmd_pad, wr_cmd_cutoff, wr_cmd_compare, wr_cmd_debrief,
    wr_cmd_logsheet, wr_cmd_ready, wr_cmd_backtest, wr_cmd_whatif, wr_cmd_runs_needed, wr_cmd_chart, wr_cmd_report;

#endif
