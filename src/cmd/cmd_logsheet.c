/* logsheet: a blank step log for the next rehearsal. */
#include "emit.h"
#include "study_options.h"
#include "wetrun/present/logsheet.h"

enum wr_status wr_cmd_logsheet(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                               struct wr_error *err)
{
    WR_RELEASED_BY(wr_study_release) struct wr_study study = {0};
    struct wr_study_options options;
    WR_RELEASED_BY(wr_context_done) struct wr_context context = {0};
    WR_SCOPED_STR text = {0};

    (void)verdict;
    enum wr_status status = wr_study_options_from(&options, command, settings, NULL, err);
    if (!status) status = wr_study_open(&study, &options, err);
    if (!status) status = wr_context_make(&context, command, &study, settings, err);
    if (!status)
        status =
            wr_show_logsheet((enum wr_format)settings->format, &context.present, &study.plan, &study.log, &text, err);
    if (!status) status = wr_spare_sheet(settings->out, wr_str_text(&text), text.len, err);
    if (!status) status = wr_emit(settings, &text, err);
    return status;
}
