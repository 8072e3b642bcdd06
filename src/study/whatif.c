/* What-if: the timeline beside alternatives that were asked for, or that a search finds. */
#include <string.h>
#include "alternatives.h"
#include "study_parts.h"
#include "wetrun/decide/to_forecast.h"

struct wr_variant wr_study_as_it_is(const struct wr_study *s)
{
    return (struct wr_variant){.name = "as it is",
                               .net = &s->net,
                               .durations = &s->durations,
                               .limit = s->limit,
                               .n_limit = s->limits.n_limit};
}

static enum wr_status run_asked(struct wr_study *s, struct wr_error *err)
{
    struct wr_study_whatif *w = &s->whatif;
    const struct wr_variant base = wr_study_as_it_is(s);
    const struct wr_whatif_options options = {
        .n_trial = s->options.n_trial, .seed = s->options.seed, .n_thread = s->options.n_thread};

    w->alternatives = WR_NEW(struct wr_alternatives);
    enum wr_status status = wr_alternatives_make(w->alternatives, s, err);
    w->variant_name = w->alternatives->name;
    w->rows = &w->asked;
    if (status) return status;
    return wr_whatif_run(&w->asked, &base, w->alternatives->variant, w->alternatives->n_variant, &options, err);
}

static bool has_kind(const struct wr_moves *moves, enum wr_move_kind kind)
{
    for (size_t i = 0; i < moves->n_move; i++)
        if (moves->move[i].kind == kind) return true;
    return false;
}

/* What the search may do: moves.csv, and what is allowed in general; without either, leaving out get-ahead work. */
static enum wr_status moves_allowed(struct wr_moves *moves, struct wr_study *s, struct wr_error *err)
{
    const char *path = wr_study_path(s, s->options.moves, "moves.csv");
    const char *allow = s->options.allow ? s->options.allow : path ? "" : "drop";

    if (path) {
        const struct wr_input *file;
        enum wr_status status = wr_study_read(s, path, &file, err);
        if (!status)
            status =
                wr_moves_read_bytes(moves, file->name, file->text.bytes, file->text.n, &s->plan, &s->findings, err);
        if (status) return status;
    }
    while (*allow) {
        size_t len = strcspn(allow, ",");
        int kind = 0;
        while (kind < WR_N_MOVE_KIND && !(strlen(wr_move_word((enum wr_move_kind)kind)) == len &&
                                          strncmp(wr_move_word((enum wr_move_kind)kind), allow, len) == 0))
            kind++;
        if (kind == WR_N_MOVE_KIND)
            return wr_fail(err, WR_E_USAGE,
                           "--allow: '%s' is no kind of change: write exchange, before, crew, drop or shorten", allow);
        wr_moves_allow(moves, (enum wr_move_kind)kind, &s->plan);
        if (!has_kind(moves, (enum wr_move_kind)kind)) s->whatif.in_vain |= 1U << kind;
        s->whatif.unordered |= kind != WR_MOVE_DROP && kind != WR_MOVE_SHORTEN;
        allow += len + (allow[len] == ',');
    }
    if (moves->n_move == 0)
        return wr_fail(err, WR_E_USAGE,
                       "--search: nothing may be changed: the plan has no get-ahead work (drop_after); "
                       "write moves.csv, or --allow exchange,crew and see what comes out");
    return WR_OK;
}

static enum wr_status run_search(struct wr_study *s, struct wr_error *err)
{
    struct wr_study_whatif *w = &s->whatif;
    const struct wr_variant base = wr_study_as_it_is(s);
    const struct wr_search_options options = {
        .n_trial = s->options.n_trial,
        .seed = s->options.seed,
        .n_thread = s->options.n_thread,
        .most_changes = s->options.most_changes,
        .progress = s->options.progress,
        .progress_arg = s->options.progress_arg,
    };
    WR_RELEASED_BY(wr_moves_release) struct wr_moves moves = {.limits = &s->limits};

    if (s->options.n_change)
        return wr_fail(err, WR_E_USAGE, "--search looks for changes by itself: leave the other change out");
    if (s->options.most_changes > WR_SEARCH_MOST_CHANGES)
        return wr_fail(err, WR_E_USAGE, "--changes: at most %d together: write --changes %d", WR_SEARCH_MOST_CHANGES,
                       WR_SEARCH_MOST_CHANGES);
    enum wr_status status = moves_allowed(&moves, s, err);
    if (!status) status = wr_search_run(&w->found, &s->plan, &base, &moves, &options, err);
    w->variant_name = w->found.name;
    w->rows = &w->found.whatif;
    return status;
}

enum wr_status wr_study_whatif(struct wr_study *s, struct wr_error *err)
{
    s->whatif.limit_name = WR_NEW_ARRAY(const char *, s->limits.n_limit);
    for (size_t i = 0; i < s->limits.n_limit; i++) s->whatif.limit_name[i] = s->limits.limit[i].name;
    enum wr_status status = s->options.search ? run_search(s, err) : run_asked(s, err);

    if (!status) wr_whatif_to_forecast(s->options.search ? &s->whatif.found.whatif : &s->whatif.asked, &s->forecast);
    return status;
}

void wr_study_whatif_release(struct wr_study *s)
{
    struct wr_study_whatif *w = &s->whatif;

    wr_search_release(&w->found);
    wr_whatif_release(&w->asked);
    if (w->alternatives) wr_alternatives_release(w->alternatives);
    WR_FREE(w->alternatives, w->limit_name);
    *w = (struct wr_study_whatif){0};
}
