/* From the spellings of a log to what they mean: names.csv, the plan's own spelling, and names that are one but for
 * case and blanks. Private to the survey. */
#pragma once

#include "log_survey.h"

struct name_counts { /* start as {0}: how often each raw name of a map stands in the logs, and where first */
    size_t *n, *line;
    const char **file;
    size_t room;
};

/* Fills meant and spelling of all maps. Names that differ in case or blanks only are errors "names-alike", and crews
 * that may be one lane or several "bad-crew", unless options say what is meant. Returns how many errors. */
size_t name_maps_decide(struct log_survey *survey, const struct name_counts count[N_MAP],
                        const struct wr_log_options *options, struct wr_findings *findings, struct wr_error *err);
