/* whatif: the same timeline changed, on the same simulated days, several alternatives in one call. */
#include "alternatives.h"
#include "analysis.h"
#include "commands.h"
#include "emit.h"
#include "wetrun/present/whatif_view.h"

enum wr_status wr_cmd_whatif(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_alternatives alternatives = {0};
    struct wr_whatif whatif = {0};
    struct wr_context context = {0};
    struct wr_str text = {0};
    const char **limit_name = NULL;

    (void)verdict;
    if (settings->n_change == 0)
        return wr_fail(err, WR_E_USAGE, "nothing is changed: --drop, --scale, --swap, --limit or --plan gives an alternative");
    enum wr_status status = wr_analysis_fit(&a, settings, err);
    if (!status) status = wr_alternatives_make(&alternatives, &a, settings, err);
    if (!status) {
        const struct wr_variant base = wr_variant_of(&a);
        const struct wr_whatif_options options = {
            .n_trial = settings->trials, .seed = settings->seed, .n_thread = (unsigned)settings->threads};
        status = wr_whatif_run(&whatif, &base, alternatives.variant, alternatives.n_variant, &options, err);
    }
    if (!status) status = wr_context_make(&context, "whatif", &a.in, settings, err);
    if (!status) {
        limit_name = WR_NEW_ARRAY(const char *, a.in.limits.n_limit);
        for (size_t i = 0; i < a.in.limits.n_limit; i++) limit_name[i] = a.in.limits.limit[i].name;
        const struct wr_whatif_result result = {
            .whatif = &whatif, .variant_name = alternatives.name, .limit_name = limit_name};
        wr_context_of_analysis(&context, &a, settings);
        context.present.n_trial = whatif.n_trial;
        status = wr_show_whatif((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a.in, &text, err);
    wr_free(limit_name);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_whatif_release(&whatif);
    wr_alternatives_release(&alternatives);
    wr_analysis_release(&a);
    return status;
}
