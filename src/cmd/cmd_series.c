/* series: a folder of campaigns in order, and the work that goes on from one to a later one. */
#include "emit.h"
#include "progress.h"
#include "study_options.h"
#include "wetrun/base/memory.h"
#include "wetrun/present/series_view.h"
#include "wetrun/study/series.h"

/* Every file that was read, each campaign's after the series' own. */
static struct wr_input **list_files(struct wr_series_study *s, size_t *n)
{
    size_t n_all = s->n_file;

    for (size_t e = 0; e < s->n_excursion; e++) n_all += s->excursion[e].study.n_file;
    struct wr_input **file = WR_NEW_ARRAY(struct wr_input *, n_all);
    *n = 0;
    for (size_t i = 0; i < s->n_file; i++) file[(*n)++] = &s->file[i];
    for (size_t e = 0; e < s->n_excursion; e++)
        for (size_t i = 0; i < s->excursion[e].study.n_file; i++) file[(*n)++] = s->excursion[e].study.file[i];
    return file;
}

/* Who flies is what series.csv says, in a sentence of its own, and not what the first campaign's log would have. */
static void take_seats(const struct wr_series_study *s, struct wr_present_context *ctx)
{
    bool named = false, new = false;

    for (size_t e = 0; e < s->n_excursion; e++)
        for (size_t l = 0; l < s->excursion[e].study.plan.n_lane; l++) {
            named |= s->excursion[e].seat[l] != WR_SEAT_OPEN;
            new |= s->excursion[e].seat[l] == WR_SEAT_NEW;
        }
    if (named) {
        ctx->n_line_up = 0;
        ctx->line_up = NULL;
    }
    if (new && !ctx->doubt)
        ctx->doubt = "Doubtful, for it rests on this: series.csv puts somebody into a lane who is in no rehearsal, and "
                     "this is for somebody unknown, of the kind that rehearsed.";
}

static enum wr_status show(const struct wr_command *command, const struct wr_settings *settings,
                           struct wr_series_study *s, struct wr_error *err)
{
    WR_RELEASED_BY(wr_context_done) struct wr_context context = {0};
    WR_SCOPED_STR text = {0}, notes = {0};
    size_t n_file;
    struct wr_input **file = list_files(s, &n_file);
    const struct wr_study own = {.name = s->name, .findings = s->findings}; /* of series.csv and spill.csv */
    struct wr_series_view view = wr_series_view_of(s);
    enum wr_status status =
        wr_context_make_from(&context, command, &s->excursion[0].study, file, n_file, settings, err);

    if (!status) {
        context.present.campaign = s->name;
        context.present.n_trial = s->n_trial;
        context.present.has_seed = true;
        for (size_t e = 1; e < s->n_excursion; e++)
            wr_context_add_study(&context, &s->excursion[e].study, settings);
        wr_context_take_doubts(&context, &own);
        take_seats(s, &context.present);
        status = wr_show_series((enum wr_format)settings->format, &context.present, &view, &text, err);
    }
    wr_note_findings(&notes, &own, settings);
    for (size_t e = 0; e < s->n_excursion; e++) wr_note_findings(&notes, &s->excursion[e].study, settings);
    if (!status) status = wr_emit_with_caution(settings, &context, &notes, &text, err);
    wr_free(file);
    wr_series_view_done(&view);
    return status;
}

enum wr_status wr_cmd_series(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                             struct wr_error *err)
{
    WR_RELEASED_BY(wr_series_study_release) struct wr_series_study series = {0};
    struct wr_study_options options;
    struct wr_progress progress;

    (void)verdict;
    wr_progress_begin(&progress, command->busy, settings->quiet);
    enum wr_status status = wr_study_options_from(&options, command, settings, &progress, err);
    if (!status) status = wr_series_study_run(&series, &options, err);
    wr_progress_clear(&progress);
    if (!status) status = show(command, settings, &series, err);
    return status;
}
