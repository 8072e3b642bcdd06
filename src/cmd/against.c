#include "against.h"

#include <string.h>
#include <sys/stat.h>
#include "emit.h"
#include "study_options.h"

static bool is_folder(const char *path)
{
    struct stat there;

    return stat(path, &there) == 0 && S_ISDIR(there.st_mode);
}

static const char the_past[] = "before:";

enum wr_status wr_before_is_there(const struct wr_settings *settings, struct wr_error *err)
{
    const char *what = settings->against;
    struct stat there;

    if (!what || strncmp(what, the_past, sizeof the_past - 1) == 0 || stat(what, &there) == 0) return WR_OK;
    return wr_fail(err, WR_E_USAGE,
                   "--against: '%s' is neither the folder of a campaign nor a plan: write one that is there, or "
                   "before:RUN (`wetrun check` lists the runs)",
                   what);
}

/* Another folder has files of its own; a file is another plan for the same rehearsals; before:RUN are those before
 * it. */
static void options_before(struct wr_study_options *o, const struct wr_settings *settings)
{
    if (strncmp(settings->against, the_past, sizeof the_past - 1) == 0) {
        o->before_run = settings->against + sizeof the_past - 1;
    } else if (is_folder(settings->against)) {
        o->folder = settings->against;
        o->runs = NULL;
        o->n_runs = 0;
        o->plan = o->plan_rehearsed = o->limits = o->history = o->criteria = o->names = NULL;
    } else {
        o->plan = settings->against;
    }
}

static void note_findings(struct wr_str *notes, const struct wr_study *before)
{
    size_t n_error = wr_findings_count(&before->findings, WR_ERROR),
           n_warning = wr_findings_count(&before->findings, WR_WARNING);

    if (n_error + n_warning)
        wr_note(notes, "%s: %zu error%s and %zu warning%s: `wetrun check` lists them", before->name, n_error,
                n_error == 1 ? "" : "s", n_warning, n_warning == 1 ? "" : "s");
}

/* What it was held against, in words. */
static const char *words_for(struct wr_before *b, const struct wr_settings *settings)
{
    WR_SCOPED_STR text = {0};

    if (is_folder(settings->against)) return b->before.name;
    if (b->before.options.before_run) wr_str_addf(&text, "what was known before %s", b->before.options.before_run);
    else wr_str_addf(&text, "the plan %s", settings->against);
    return wr_arena_copy(&b->against.text, text.text, text.len);
}

static enum wr_status name_it(enum wr_status status, const struct wr_settings *settings, struct wr_error *err)
{
    if (status) wr_error_prefix(err, "--against %s", settings->against);
    return status;
}

enum wr_status wr_before_open(struct wr_before *b, const struct wr_command *command, const struct wr_settings *settings,
                              struct wr_progress *progress, struct wr_error *err)
{
    struct wr_study_options options;

    if (!settings->against) return WR_OK;
    enum wr_status status = wr_study_options_from(&options, command, settings, progress, err);
    if (status) return status;
    options_before(&options, settings);
    options.excursion_beside = false; /* of what is held against it alone */
    options.progress_of = WR_BEFORE_RESULTS | WR_RESULT_BIT(WR_RESULT_FORECAST);
    return name_it(wr_study_open(&b->before, &options, err), settings, err);
}

enum wr_status wr_before_make(struct wr_before *b, const struct wr_settings *settings, const struct wr_study *after,
                              struct wr_progress *progress, struct wr_str *notes, struct wr_error *err)
{
    enum wr_status status = wr_study_make(&b->before, WR_RESULT_FORECAST, err);

    if (!status) status = wr_study_gather(&b->before, WR_BEFORE_RESULTS, err);
    wr_progress_clear(progress);
    if (status) return name_it(status, settings, err);
    note_findings(notes, &b->before);
    status = wr_spare_inputs(settings, b->before.file, b->before.n_file, false, err);
    if (!status) status = wr_against_make(&b->against, &b->before, after, err);
    if (!status) b->against.before_name = words_for(b, settings);
    return status;
}

void wr_before_release(struct wr_before *b)
{
    wr_against_release(&b->against);
    wr_study_release(&b->before);
}
