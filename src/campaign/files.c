#include "wetrun/campaign/files.h"

#include <string.h>

const char *const wr_campaign_file[] = {"runs.csv",  "plan.csv",     "plan-rehearsed.csv", "limits.csv", "history.csv",
                                        "names.csv", "criteria.csv", "moves.csv",          "series.csv", "spill.csv"};
const size_t wr_n_campaign_file = sizeof wr_campaign_file / sizeof *wr_campaign_file;

bool wr_is_of_campaign(const char *name)
{
    for (size_t i = 0; i < wr_n_campaign_file; i++)
        if (strcmp(wr_campaign_file[i], name) == 0) return true;
    return false;
}
