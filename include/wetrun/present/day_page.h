/* The page of `daysheet`: one HTML text that needs nothing else, for a tablet or a laptop without a network. During the
 * day begins and ends are entered in it; the page itself makes the update of decide/update.h from the posterior draws
 * that it holds, and shows when all are inside, how likely each limit is passed and what is left of every cut-off.
 * Without a forecast it is the log sheet of a rehearsal. Its script is put together from the files day_*.js, its data
 * block is described in day_data.h. */
#pragma once

#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/decide/day_sheet.h"
#include "wetrun/network/network.h"
#include "wetrun/present/context.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/timing/timing.h"

struct wr_day_page { /* all borrowed */
    const struct wr_present_context *context;
    const struct wr_plan *plan;
    const struct wr_network *net;
    const struct wr_limits *limits;
    const struct wr_run_log *log;         /* names the steps of tasks and who did them; may hold no run */
    const struct wr_timing *timing;
    const struct wr_day_sheet *sheet;     /* NULL: no forecast, the page only logs */
    const struct wr_forecast *forecast;   /* with the sheet: what the commands say before the day, shown until something
                                             is entered; its limits are `limits` */
};

/* Appends the page to *out, or leaves it as it was. WR_E_DOMAIN: a result is not a finite number. */
WR_MUST_CHECK enum wr_status wr_day_page_write(const struct wr_day_page *page, struct wr_str *out,
                                               struct wr_error *err);
