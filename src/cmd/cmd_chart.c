/* chart NAME: one chart, PNG or SVG. */
#include <string.h>
#include <unistd.h>
#include "analysis.h"
#include "chart_input.h"
#include "commands.h"
#include "emit.h"
#include "trial_set.h"
#include "wetrun/decide/compare.h"
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

/* What some charts need beyond the forecast; each is worked out only for its own chart. */
struct extras { /* start as {0} */
    struct wr_comparison comparison;
    struct wr_pad pad;
    struct wr_backtest backtest;
};

static enum wr_status add_extras(struct extras *x, struct wr_chart_input *input, enum wr_chart chart,
                                 struct wr_analysis *a, const struct wr_settings *settings,
                                 struct wr_progress *progress, struct wr_error *err)
{
    const struct wr_compare_options plain = {.by = WR_BY_NOTHING, .seed = settings->seed};
    enum wr_status status = WR_OK;

    switch (chart) {
    case WR_CHART_RUNS:
        if (!input->timing) break;
        status = wr_compare(&x->comparison, &a->in.log, &a->in.timing, &plain, err);
        input->comparison = &x->comparison;
        break;
    case WR_CHART_PAD:
        status = wr_need_confidence(&a->in, err);
        if (!status) status = wr_pad_of(&x->pad, a, settings, err);
        input->pad = &x->pad;
        break;
    case WR_CHART_BACKTEST:
        if (!input->timing) break;
        status = wr_backtest_of(&x->backtest, a, settings, progress, err);
        input->backtest = &x->backtest;
        break;
    default: break;
    }
    return status;
}

static void release_extras(struct extras *x)
{
    wr_comparison_release(&x->comparison);
    wr_pad_release(&x->pad);
    wr_backtest_release(&x->backtest);
}

enum wr_status wr_cmd_chart(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct extras extras = {0};
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
    status = wr_analysis_forecast(&a, settings, &progress, err);
    if (!status) {
        struct wr_chart_input input = wr_chart_input_of(&a);
        const struct wr_chart_options options = {
            .format = settings->picture ? WR_CHART_SVG : WR_CHART_PNG, .width = (unsigned)settings->width};
        status = add_extras(&extras, &input, chart, &a, settings, &progress, err);
        if (!status) status = wr_chart_render(chart, &input, &options, &picture, err);
    }
    if (!status) status = wr_emit(settings, &picture, err);
    wr_str_release(&picture);
    release_extras(&extras);
    wr_analysis_release(&a);
    return status;
}
