/* chart NAME: one chart, PNG or SVG. */
#include <string.h>
#include <unistd.h>
#include "commands.h"
#include "emit.h"
#include "results.h"
#include "wetrun/present/chart.h"

static enum wr_status find_chart(const char *name, enum wr_chart *chart, struct wr_error *err)
{
    struct wr_str all = {0};

    if (wr_chart_find(name, chart)) return WR_OK;
    for (int i = 0; i < WR_N_CHART; i++) wr_str_addf(&all, "%s%s", i ? ", " : "", wr_chart_name((enum wr_chart)i));
    enum wr_status status = wr_fail(err, WR_E_USAGE, "there is no chart '%s'; there are: %s", name, wr_str_text(&all));
    wr_str_release(&all);
    return status;
}

/* What is computed for a chart beyond the forecast. */
static unsigned wanted_for(enum wr_chart chart)
{
    switch (chart) {
    case WR_CHART_RUNS:
    case WR_CHART_CONVERGE: return WR_WANT_COMPARISON;
    case WR_CHART_PAD: return WR_WANT_PAD;
    case WR_CHART_CUTOFF: return WR_WANT_CUTOFFS;
    case WR_CHART_BACKTEST: return WR_WANT_BACKTEST;
    default: return 0;
    }
}

enum wr_status wr_cmd_chart(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_results r = {0};
    struct wr_progress progress;
    struct wr_str picture = {0};
    enum wr_chart chart;

    (void)verdict;
    enum wr_status status = find_chart(settings->name, &chart, err);
    if (status) return status;
    if (!settings->out && settings->picture == 0 && isatty(STDOUT_FILENO))
        return wr_fail(err, WR_E_USAGE, "a PNG is not for a terminal: add --out FILE.png, or --picture svg");
    if (settings->width && (settings->width < 320 || settings->width > 4000))
        return wr_fail(err, WR_E_USAGE, "--width: %zu is not between 320 and 4000", settings->width);
    wr_progress_begin(&progress, "simulating", settings->quiet);
    status = wr_results_make(&r, wanted_for(chart), settings, &progress, err);
    if (!status && chart == WR_CHART_CUTOFF) status = wr_need_limit(&r.a.in, err);
    if (!status && (chart == WR_CHART_CUTOFF || chart == WR_CHART_PAD)) status = wr_need_confidence(&r.a.in, err);
    if (!status) {
        const struct wr_chart_input input = wr_chart_input_of(&r);
        const struct wr_chart_options options = {
            .format = settings->picture ? WR_CHART_SVG : WR_CHART_PNG, .width = (unsigned)settings->width};
        status = wr_chart_render(chart, &input, &options, &picture, err);
    }
    if (!status) status = wr_emit(settings, &picture, err);
    wr_str_release(&picture);
    wr_results_release(&r);
    return status;
}
