/* compare: rehearsals side by side; with --by or --split groups of them. */
#include <string.h>
#include "commands.h"
#include "emit.h"
#include "load.h"
#include "wetrun/decide/compare.h"
#include "wetrun/present/compare_view.h"

static enum wr_status options_of(struct wr_compare_options *o, const struct wr_loaded *in,
                                 const struct wr_settings *settings, struct wr_error *err)
{
    *o = (struct wr_compare_options){.by = WR_BY_NOTHING, .column = settings->by, .seed = settings->seed};
    if (settings->by && settings->split)
        return wr_fail(err, WR_E_USAGE, "--by and --split are two ways of making groups: leave one out");
    if (settings->by) o->by = strcmp(settings->by, "performer") == 0 ? WR_BY_PERFORMER : WR_BY_ATTRIBUTE;
    if (settings->split) {
        o->by = WR_BY_SPLIT;
        while (o->split < in->log.n_run && strcmp(in->log.run[o->split].id, settings->split) != 0) o->split++;
        if (o->split == in->log.n_run)
            return wr_fail(err, WR_E_USAGE, "--split: there is no rehearsal '%s'", settings->split);
    }
    return WR_OK;
}

enum wr_status wr_cmd_compare(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_loaded in = {0};
    struct wr_comparison comparison = {0};
    struct wr_compare_options options;
    struct wr_context context = {0};
    struct wr_str text = {0};

    (void)verdict;
    enum wr_status status = wr_load(&in, settings, NULL, err);
    if (!status && in.timing.n_run == 0)
        status = wr_fail(err, WR_E_TOO_FEW, "there is no rehearsal to compare");
    if (!status) status = options_of(&options, &in, settings, err);
    if (!status) status = wr_compare(&comparison, &in.log, &in.timing, &options, err);
    if (!status) status = wr_context_make(&context, "compare", &in, settings, err);
    if (!status) {
        const struct wr_compare_result result = {
            .log = &in.log, .plan = &in.plan, .timing = &in.timing, .comparison = &comparison};
        status = wr_show_compare((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_comparison_release(&comparison);
    wr_loaded_release(&in);
    return status;
}
