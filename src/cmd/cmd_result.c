/* Every command that makes one result of a study and shows it: which one stands in the command's row. */
#include "emit.h"
#include "progress.h"
#include "study_options.h"
#include "wetrun/present/study_view.h"

enum wr_status wr_cmd_result(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                             struct wr_error *err)
{
    struct wr_study study = {0};
    struct wr_study_options options;
    struct wr_context context = {0};
    struct wr_progress progress;
    struct wr_str text = {0};

    wr_progress_begin(&progress, command->busy, settings->quiet);
    enum wr_status status = wr_study_options_from(&options, command, settings, &progress, err);
    if (!status) status = wr_study_open(&study, &options, err);
    if (!status) status = wr_study_make(&study, command->result, err);
    if (!status) status = wr_study_gather(&study, command->beside, err);
    wr_progress_clear(&progress);
    if (!status) status = wr_context_make(&context, command, &study, settings, err);
    if (!status) {
        wr_context_of_result(&context.present, command->result, &study);
        status = wr_show_result(command->result, (enum wr_format)settings->format, &context.present, &study, &text, err);
    }
    if (!status) {
        wr_say_limits_left_out(&study);
        status = wr_emit_with_caution(settings, &context, &study, &text, err);
    }
    if (wr_study_has(&study, WR_RESULT_READY)) *verdict = study.ready.n_not_met > 0;
    wr_str_release(&text);
    wr_context_done(&context);
    wr_study_release(&study);
    return status;
}
