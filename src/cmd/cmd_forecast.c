/* forecast: when all are back inside, the probability of going over the limit, the tasks that drive it. */
#include "analysis.h"
#include "commands.h"
#include "emit.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/forecast_view.h"

enum wr_status wr_cmd_forecast(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_context context = {0};
    struct wr_progress progress;
    struct wr_str text = {0};

    (void)verdict;
    wr_progress_begin(&progress, "simulating", settings->quiet);
    enum wr_status status = wr_analysis_forecast(&a, settings, &progress, err);
    if (!status) status = wr_analysis_price_rules(&a, settings, err);
    if (!status) status = wr_context_make(&context, "forecast", &a.in, settings, err);
    if (!status) {
        wr_context_of_analysis(&context, &a, settings);
        const struct wr_forecast_result result = wr_forecast_result_of(&a);
        status = wr_show_forecast((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a.in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_analysis_release(&a);
    return status;
}
