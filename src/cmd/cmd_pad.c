/* pad: padding per task and for the whole timeline that reaches a wanted confidence. */
#include "analysis.h"
#include "commands.h"
#include "trial_set.h"
#include "emit.h"
#include "wetrun/present/pad_view.h"

enum wr_status wr_cmd_pad(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_pad pad = {0};
    struct wr_context context = {0};
    struct wr_str text = {0};

    (void)verdict;
    enum wr_status status = wr_analysis_fit(&a, settings, err);
    if (!status) status = wr_need_confidence(&a.in, err);
    if (!status) status = wr_pad_of(&pad, &a, settings, err);
    if (!status) status = wr_context_make(&context, "pad", &a.in, settings, err);
    if (!status) {
        const struct wr_pad_result result = {.plan = &a.in.plan, .pad = &pad};
        wr_context_of_analysis(&context, &a, settings);
        context.present.n_trial = pad.n_trial;
        status = wr_show_pad((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a.in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_pad_release(&pad);
    wr_analysis_release(&a);
    return status;
}
