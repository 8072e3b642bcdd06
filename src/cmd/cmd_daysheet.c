/* daysheet: the page for the day, which makes the update of `cutoff --now` by itself; without a forecast a log
 * sheet. */
#include "emit.h"
#include "progress.h"
#include "study_options.h"
#include "wetrun/decide/day_sheet.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/day_page.h"
#include "wetrun/present/study_view.h"

static enum wr_status write_page(const struct wr_command *command, const struct wr_settings *settings,
                                 const struct wr_study *study, struct wr_error *err)
{
    bool forecasts = wr_study_has(study, WR_RESULT_MODEL);
    struct wr_context context = {0};
    WR_RELEASED_BY(wr_day_sheet_release) struct wr_day_sheet sheet = {0};
    WR_SCOPED_STR text = {0}, notes = {0};
    enum wr_status status = wr_context_make(&context, command, study, settings, err);

    if (status) return status;
    if (forecasts) {
        wr_context_of_result(&context.present, WR_RESULT_MODEL, study);
        wr_day_sheet_make(&sheet, &study->plan, &study->fit, study->has_carry_over ? &study->carry_over : NULL,
                          &study->durations, &study->fit_options);
    }
    const struct wr_day_page page = {
        .context = &context.present,
        .plan = &study->plan,
        .net = &study->net,
        .limits = &study->limits,
        .log = &study->log,
        .timing = &study->timing,
        .sheet = forecasts ? &sheet : NULL,
        .forecast = forecasts ? &study->forecast : NULL,
    };
    status = wr_day_page_write(&page, &text, err);
    if (study->log.n_run == 0 && !settings->log_only) wr_note(&notes, "nothing is rehearsed yet: the page only logs");
    if (!status && forecasts) {
        wr_note_modelled(&notes, &context);
        wr_note_findings(&notes, study, settings);
        wr_caution_terminal(&context.present, &notes);
    }
    if (!status) status = wr_emit(settings, &text, err); /* a page: what makes it doubtful stands inside it */
    if (!status) wr_say_notes(&notes);
    wr_context_done(&context);
    return status;
}

enum wr_status wr_cmd_daysheet(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                               struct wr_error *err)
{
    WR_RELEASED_BY(wr_study_release) struct wr_study study = {0};
    struct wr_study_options options;
    struct wr_progress progress;

    (void)verdict;
    wr_progress_begin(&progress, command->busy, settings->quiet);
    enum wr_status status = wr_study_options_from(&options, command, settings, &progress, err);
    if (!status) status = wr_study_open(&study, &options, err);
    if (!status && study.log.n_run > 0 && !settings->log_only) status = wr_study_make(&study, WR_RESULT_FORECAST, err);
    wr_progress_clear(&progress);
    if (!status) status = write_page(command, settings, &study, err);
    return status;
}
