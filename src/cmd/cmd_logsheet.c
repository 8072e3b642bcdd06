/* logsheet: a blank step log for the next rehearsal. */
#include "commands.h"
#include "emit.h"
#include "load.h"
#include "wetrun/present/logsheet.h"

enum wr_status wr_cmd_logsheet(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_loaded in = {0};
    struct wr_context context = {0};
    struct wr_str text = {0};

    (void)verdict;
    enum wr_status status = wr_load(&in, settings, NULL, err);
    if (!status) status = wr_context_make(&context, "logsheet", &in, settings, err);
    if (!status)
        status = wr_show_logsheet((enum wr_format)settings->format, &context.present, &in.plan, &in.log, &text, err);
    if (!status) status = wr_emit(settings, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_loaded_release(&in);
    return status;
}
