/* whatif: the same timeline changed, on the same simulated days, several alternatives in one call. */
#include <string.h>
#include "alternatives.h"
#include "analysis.h"
#include "commands.h"
#include "emit.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/search.h"
#include "wetrun/present/whatif_view.h"

/* What the search may do: moves.csv, and what is allowed in general; without either, leaving out get-ahead work. */
static enum wr_status moves_allowed(struct wr_moves *moves, bool *unordered, struct wr_analysis *a,
                                    const struct wr_settings *settings, struct wr_error *err)
{
    const char *path = wr_input_path(&a->in, settings, settings->moves, "moves.csv");
    const char *allow = settings->allow ? settings->allow : path ? "" : "drop";

    if (path) {
        const struct wr_input *file;
        enum wr_status status = wr_input_read(&a->in, path, &file, err);
        if (!status)
            status = wr_moves_read_bytes(moves, file->name, file->text.bytes, file->text.n, &a->in.plan, &a->in.findings, err);
        if (status) return status;
    }
    while (*allow) {
        size_t len = strcspn(allow, ",");
        int kind = 0;
        while (kind < WR_N_MOVE_KIND && !(strlen(wr_move_word((enum wr_move_kind)kind)) == len &&
                                          strncmp(wr_move_word((enum wr_move_kind)kind), allow, len) == 0))
            kind++;
        if (kind == WR_N_MOVE_KIND)
            return wr_fail(err, WR_E_USAGE, "--allow: '%s' is none of exchange, before, crew, drop, shorten", allow);
        wr_moves_allow(moves, (enum wr_move_kind)kind, &a->in.plan);
        *unordered |= kind != WR_MOVE_DROP && kind != WR_MOVE_SHORTEN;
        allow += len + (allow[len] == ',');
    }
    if (moves->n_move == 0)
        return wr_fail(err, WR_E_USAGE,
                       "--search: nothing may be changed: the plan has no get-ahead work (drop_after); "
                       "write moves.csv, or --allow exchange,crew and see what comes out");
    return WR_OK;
}

static enum wr_status search(struct wr_search *found, bool *unordered, struct wr_analysis *a,
                             const struct wr_settings *settings, struct wr_error *err)
{
    struct wr_moves moves = {0};
    struct wr_progress progress;

    if (settings->n_change)
        return wr_fail(err, WR_E_USAGE, "--search looks for changes by itself: give no other change");
    if (settings->changes > WR_SEARCH_MOST_CHANGES)
        return wr_fail(err, WR_E_USAGE, "--changes: at most %d together", WR_SEARCH_MOST_CHANGES);
    enum wr_status status = moves_allowed(&moves, unordered, a, settings, err);
    if (!status) {
        const struct wr_variant base = wr_variant_of(a);
        const struct wr_search_options options = {
            .n_trial = settings->trials, .seed = settings->seed, .n_thread = (unsigned)settings->threads,
            .most_changes = settings->changes, .progress = wr_progress_show, .progress_arg = &progress};
        wr_progress_begin(&progress, "searching", settings->quiet);
        status = wr_search_run(found, &a->in.plan, &base, &moves, &options, err);
        wr_progress_clear(&progress);
    }
    wr_moves_release(&moves);
    return status;
}

static enum wr_status alternatives_asked(struct wr_alternatives *alternatives, struct wr_whatif *whatif,
                                         struct wr_analysis *a, const struct wr_settings *settings,
                                         struct wr_error *err)
{
    enum wr_status status = wr_alternatives_make(alternatives, a, settings, err);

    if (status) return status;
    const struct wr_variant base = wr_variant_of(a);
    const struct wr_whatif_options options = {
        .n_trial = settings->trials, .seed = settings->seed, .n_thread = (unsigned)settings->threads};
    return wr_whatif_run(whatif, &base, alternatives->variant, alternatives->n_variant, &options, err);
}

static enum wr_status show(const struct wr_analysis *a, const struct wr_settings *settings,
                           struct wr_whatif_result *result, struct wr_error *err)
{
    struct wr_context context = {0};
    struct wr_str text = {0};
    const char **limit_name = WR_NEW_ARRAY(const char *, a->in.limits.n_limit);
    enum wr_status status = wr_context_make(&context, "whatif", &a->in, settings, err);

    for (size_t i = 0; i < a->in.limits.n_limit; i++) limit_name[i] = a->in.limits.limit[i].name;
    result->limit_name = limit_name;
    if (!status) {
        wr_context_of_analysis(&context, a, settings);
        context.present.n_trial = result->whatif->n_trial;
        status = wr_show_whatif((enum wr_format)settings->format, &context.present, result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a->in, &text, err);
    wr_free(limit_name);
    wr_str_release(&text);
    wr_context_done(&context);
    return status;
}

enum wr_status wr_cmd_whatif(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_alternatives alternatives = {0};
    struct wr_whatif whatif = {0};
    struct wr_search found = {0};
    struct wr_whatif_result result = {0};

    (void)verdict;
    if (settings->n_change == 0 && !settings->search)
        return wr_fail(err, WR_E_USAGE, "nothing is changed: --drop, --scale, --swap, --limit or --plan gives an "
                                        "alternative, --search looks for one");
    enum wr_status status = wr_analysis_fit(&a, settings, err);
    if (!status && settings->search) {
        status = search(&found, &result.unordered, &a, settings, err);
        result.whatif = &found.whatif;
        result.variant_name = found.name;
        result.search = &found;
    } else if (!status) {
        status = alternatives_asked(&alternatives, &whatif, &a, settings, err);
        result.whatif = &whatif;
        result.variant_name = alternatives.name;
    }
    if (!status) status = show(&a, settings, &result, err);
    wr_search_release(&found);
    wr_whatif_release(&whatif);
    wr_alternatives_release(&alternatives);
    wr_analysis_release(&a);
    return status;
}
