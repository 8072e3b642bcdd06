/* What the charts draw from, out of an analysis. */
#ifndef WETRUN_CMD_CHART_INPUT_H
#define WETRUN_CMD_CHART_INPUT_H

#include "analysis.h"
#include "wetrun/present/chart.h"

static inline struct wr_chart_input wr_chart_input_of(const struct wr_analysis *a)
{
    return (struct wr_chart_input){
        .plan = &a->in.plan,
        .forecast = &a->forecast,
        .timing = a->in.timing.n_run ? &a->in.timing : NULL,
        .log = a->in.log.n_run ? &a->in.log : NULL,
        .limits = &a->in.limits,
        .confidence = a->in.confidence > 0 ? wr_known(a->in.confidence) : WR_UNKNOWN,
        .target = a->options.target,
    };
}

#endif
