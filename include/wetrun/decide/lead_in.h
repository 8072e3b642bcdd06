/* How long a task keeps its crew waiting although all that it waits for is done: law of the lead-ins as rehearsed.
 *
 * Lead-ins of a task ~ exponential, its rate unknown: gamma, with as much said of it beforehand as three lead-ins of
 * the mean of all tasks would say. Of the next one then P(> l) = (1 + l / scale)^-shape (Lomax 1954). Heavy enough that
 * a single long wait is one, and no sign of slow work elsewhere. */
#pragma once

#include <math.h>
#include <stdbool.h>
#include "wetrun/timing/timing.h"

struct wr_lead_in { /* scale 0: none, it begins when it can */
    double shape, scale;
    double mean_min; /* of the task's own; 0: none is known */
};

/* law[n_task of the timing]. Minutes as logged, so half a minute at least in the mean. */
void wr_lead_in_laws(struct wr_lead_in *law, const struct wr_timing *timing);
/* Its mean as modelled minutes hold it: none where the task's are not, and carried over as they are (log factor). */
static inline double wr_lead_in_modelled_min(const struct wr_lead_in *law, bool modelled, double carried_log)
{
    return modelled ? law->mean_min * exp(carried_log) : 0;
}
double wr_lead_in_tail(const struct wr_lead_in *law, double minutes); /* P(longer) */
double wr_lead_in_density(const struct wr_lead_in *law, double minutes);
double wr_lead_in_quantile(const struct wr_lead_in *law, double prob);
