/* The forecast with given inner loops: for tests that compare them. */
#pragma once

#include "kernel.h"
#include "wetrun/sim/forecast.h"

WR_MUST_CHECK enum wr_status wr_forecast_run_on(const struct wr_kernel *kernel, struct wr_forecast *f,
                                                const struct wr_network *net, const struct wr_durations *durations,
                                                const struct wr_sim_options *options, struct wr_error *err);
