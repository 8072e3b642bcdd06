/* Every command that makes one result of a study and shows it: which one stands in the command's row. */
#include "against.h"
#include "emit.h"
#include "progress.h"
#include "study_options.h"
#include "wetrun/base/memory.h"
#include "wetrun/present/against_view.h"
#include "wetrun/present/json_join.h"
#include "wetrun/present/study_view.h"

/* Behind the result, or in its JSON object as "against"; in place of it as CSV, which is one table. */
static enum wr_status add_against(struct wr_str *text, struct wr_str *notes, struct wr_before *beside,
                                  const struct wr_settings *settings, const struct wr_study *study,
                                  struct wr_context *context, struct wr_progress *progress, struct wr_error *err)
{
    struct wr_present_context own = context->present;
    WR_SCOPED_STR shown = {0};
    enum wr_status status = wr_before_make(beside, settings, study, progress, notes, err);

    own.command = "against";
    if (!status && settings->format == WR_FORMAT_CSV) wr_str_clear(text);
    if (!status) status = wr_show_against((enum wr_format)settings->format, &own, &beside->against, &shown, err);
    if (!status && settings->format == WR_FORMAT_JSON) wr_json_join(text, own.command, &shown);
    else wr_str_add(text, wr_str_text(&shown));
    return status;
}

enum wr_status wr_cmd_result(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                             struct wr_error *err)
{
    WR_RELEASED_BY(wr_study_release) struct wr_study study = {0};
    struct wr_study_options options;
    WR_RELEASED_BY(wr_context_done) struct wr_context context = {0};
    struct wr_progress progress;
    WR_SCOPED_STR text = {0}, notes = {0};
    WR_SCOPED struct wr_before *beside = settings->against ? WR_NEW(struct wr_before) : NULL;

    wr_progress_begin(&progress, command->busy, settings->quiet);
    enum wr_status status = wr_study_options_from(&options, command, settings, &progress, err);
    options.progress_of = WR_RESULT_BIT(command->result) | command->beside;
    options.at_checkpoints = command->result == WR_RESULT_PAD && !settings->against;
    if (beside) options.progress_of |= WR_BEFORE_RESULTS;
    if (!status) status = wr_study_open(&study, &options, err);
    if (!status) status = wr_before_open(beside, command, settings, &progress, err);
    if (!status) status = wr_study_make(&study, command->result, err);
    if (!status) status = wr_study_gather(&study, command->beside, err);
    if (!status && beside) status = wr_study_gather(&study, WR_BEFORE_RESULTS, err);
    wr_progress_clear(&progress);
    if (!status) status = wr_context_make(&context, command, &study, settings, err);
    if (!status) {
        wr_context_of_result(&context.present, command->result, &study);
        status =
            wr_show_result(command->result, (enum wr_format)settings->format, &context.present, &study, &text, err);
    }
    if (!status && beside)
        status = add_against(&text, &notes, beside, settings, &study, &context, &progress, err);
    if (!status) {
        wr_note_limits_left_out(&notes, &study);
        wr_note_findings_of(&notes, &context, &study, settings);
        status = wr_emit_with_caution(settings, &context, &notes, &text, err);
    }
    if (command->result == WR_RESULT_READY && wr_study_has(&study, WR_RESULT_READY))
        *verdict = study.ready.n_not_met + study.ready.n_not_enough > 0 || study.ready.n_met == 0;
    if (beside) wr_before_release(beside);
    return status;
}
