/* check: is the log fit for use, and what is odd about it. */
#include "emit.h"
#include "study_options.h"
#include "wetrun/present/check_view.h"
#include "wetrun/present/escape.h"

/* Each rejected row as it stood in the file, under a line that says where and why. */
static void keep_rejected(void *arg, const char *file, size_t line, size_t column, const char *reason, const char *raw,
                          size_t n_raw)
{
    struct wr_str *out = arg;

    wr_str_add(out, "# ");
    wr_escape_terminal(out, file);
    wr_str_addf(out, ":%zu:%zu: ", line, column);
    wr_escape_terminal(out, reason);
    wr_str_add_char(out, '\n');
    wr_str_add_bytes(out, raw, n_raw);
    wr_str_add_char(out, '\n');
}

/* What is shown, and the files beside it: all or none. */
static enum wr_status write_all(const struct wr_study *in, enum wr_status loaded, const struct wr_settings *settings,
                                const struct wr_str *shown, const struct wr_str *rejected, struct wr_error *err)
{
    struct wr_output_file file[4];
    WR_SCOPED_STR times = {0}, plan = {0};
    size_t n = 0;
    enum wr_status status = WR_OK;

    if (settings->rejected)
        file[n++] = (struct wr_output_file){settings->rejected, wr_str_text(rejected), rejected->len};
    if (settings->times && loaded == WR_OK) {
        status = wr_show_times(&in->log, &in->plan, &in->timing, &times, err);
        file[n++] = (struct wr_output_file){settings->times, wr_str_text(&times), times.len};
    }
    if (settings->write_plan && loaded == WR_OK) {
        wr_plan_write(&in->plan, &plan);
        file[n++] = (struct wr_output_file){settings->write_plan, wr_str_text(&plan), plan.len};
    }
    file[n++] = (struct wr_output_file){settings->out ? settings->out : "-", wr_str_text(shown), shown->len};
    for (size_t i = 0; i < n && !status; i++) status = wr_spare_table(file[i].name, file[i].bytes, file[i].n, err);
    if (!status) status = wr_output_write_set(NULL, file, n, err);
    return status;
}

static enum wr_status show(const struct wr_study *in, enum wr_status loaded, const struct wr_settings *settings,
                           const struct wr_context *context, struct wr_str *text, struct wr_error *err)
{
    const struct wr_check_result result = {
        .log = in->log.n_file ? &in->log : NULL, /* one of which no row is of use is there all the same */
        .plan = in->plan.n_task ? &in->plan : NULL,
        .timing = in->timing.n_task ? wr_study_timing_of_runs(in) : NULL, /* also where a later file is in error */
        .rehearsed = in->has_rehearsed ? in->rehearsed.file : NULL,
        .findings = &in->findings,
        .limits = loaded == WR_OK ? &in->limits : NULL,
        .screen = &in->screen,
    };

    return wr_show_check((enum wr_format)settings->format, &context->present, &result, text, err);
}

enum wr_status wr_cmd_check(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                            struct wr_error *err)
{
    WR_RELEASED_BY(wr_study_release) struct wr_study in = {0};
    struct wr_study_options options;
    WR_RELEASED_BY(wr_context_done) struct wr_context context = {0};
    struct wr_str rejected = {0}, text = {0};

    if (settings->study.anonymous && settings->rejected)
        return wr_fail(err, WR_E_USAGE, "--rejected writes rows as they are, names included: leave out --anonymous");
    enum wr_status status = wr_study_options_from(&options, command, settings, NULL, err);
    if (status) return status;
    wr_str_add(&rejected, ""); /* it grows inside the study, and is not the study's */
    options.log.rejected = keep_rejected;
    options.log.rejected_arg = &rejected;
    /* input that cannot be used is what this command is for: its findings are shown all the same */
    struct wr_error trouble = {0};
    enum wr_status loaded = wr_study_open(&in, &options, &trouble);
    status = loaded;
    if (loaded == WR_OK || in.findings.n_finding > 0) {
        status = wr_context_make(&context, command, &in, settings, err);
        if (!status)
            status = show(&in, loaded, settings, &context, &text, err);
        if (!status) status = write_all(&in, loaded, settings, &text, &rejected, err);
    }
    if (loaded && (status == WR_OK || status == loaded)) {
        *err = trouble;
        status = loaded;
    }
    if (settings->strict && wr_findings_count(&in.findings, WR_WARNING) + wr_findings_count(&in.findings, WR_ERROR))
        *verdict = 1;
    WR_STR_RELEASE(&text, &rejected);
    return status;
}
