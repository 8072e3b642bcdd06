#include "load.h"

#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include "people_names.h"
#include "wetrun/base/memory.h"

const char *wr_input_path(struct wr_loaded *in, const struct wr_settings *settings, const char *named,
                          const char *in_folder)
{
    struct wr_str path = {0};

    if (named) return named; /* a file that was asked for and is missing is an error when it is opened */
    if (strcmp(settings->folder, ".") != 0) wr_str_addf(&path, "%s/", settings->folder);
    wr_str_add(&path, in_folder);
    struct stat file; /* a link to nowhere is there: it fails when it is opened, and does not count as absent */
    const char *found = lstat(wr_str_text(&path), &file) == 0 ? wr_arena_copy(&in->text, path.text, path.len) : NULL;
    wr_str_release(&path);
    return found;
}

static void note_recoding(struct wr_loaded *in, const struct wr_input *input)
{
    struct wr_read_as tally = {0};

    if (input->text.was_utf16) wr_read_as_note(&tally, WR_SP_UTF16, 0, 0, NULL, NULL);
    if (input->text.had_cr_ends) wr_read_as_note(&tally, WR_SP_CR_ENDS, 0, 0, NULL, NULL);
    wr_read_as_report(&tally, input->name, &in->findings);
}

enum wr_status wr_input_read(struct wr_loaded *in, const char *path, const struct wr_input **input, struct wr_error *err)
{
    struct wr_input *read = wr_arena_alloc(&in->text, 1, sizeof *read);
    enum wr_status status = wr_text_read(&read->text, path, err);

    if (status) return status;
    read->name = wr_arena_copy(&in->text, path, strlen(path));
    *WR_PUSH(in->file, in->n_file, in->room_file) = read;
    *input = read;
    note_recoding(in, read);
    return WR_OK;
}

static char *folder_name(struct wr_loaded *in, const struct wr_settings *settings)
{
    char *whole = realpath(settings->folder, NULL);
    const char *base = whole ? strrchr(whole, '/') : NULL;
    const char *name = base && base[1] ? base + 1 : "campaign";
    char *copy = wr_arena_copy(&in->text, name, strlen(name));

    free(whole);
    return copy;
}

/* A file of the folder or a named one, if it is there: *input is NULL otherwise. */
static enum wr_status read_optional(struct wr_loaded *in, const struct wr_settings *settings, const char *named,
                                    const char *in_folder, const struct wr_input **input, struct wr_error *err)
{
    const char *path = wr_input_path(in, settings, named, in_folder);

    *input = NULL;
    return path ? wr_input_read(in, path, input, err) : WR_OK;
}

static enum wr_status read_names(struct wr_loaded *in, const struct wr_settings *settings, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, settings, settings->names, "names.csv", &file, err);

    if (status || !file) return status;
    return wr_aliases_read_bytes(&in->aliases, file->name, file->text.bytes, file->text.n, &in->findings, err);
}

/* Before the log, whose tasks and lanes are spelt as the plan spells them. */
static enum wr_status read_plan(struct wr_loaded *in, const struct wr_settings *settings, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, settings, settings->plan, "plan.csv", &file, err);

    in->plan.aliases = &in->aliases;
    if (status || !file) return status;
    return wr_plan_read_bytes(&in->plan, file->name, file->text.bytes, file->text.n, &in->findings, err);
}

static struct wr_log_options log_options_of(const struct wr_loaded *in, const struct wr_settings *settings,
                                            const struct wr_log_options *rejected)
{
    static const double minutes_per_unit[] = {0, 1, 1 / 60.0, 60};
    struct wr_log_options options = rejected ? *rejected : (struct wr_log_options){0};

    options.columns = settings->columns;
    options.times = (enum wr_times_said)settings->times_said;
    options.dates = (enum wr_date_order)settings->dates;
    options.minutes_per_unit = minutes_per_unit[settings->minutes_in];
    options.join = settings->join_names ? WR_JOIN_NAMES : settings->keep_names ? WR_KEEP_NAMES : WR_JOIN_ASK;
    options.fill_down = settings->fill_down;
    options.aliases = &in->aliases;
    options.plan = in->plan.n_task ? &in->plan : NULL;
    return options;
}

static enum wr_status read_log(struct wr_loaded *in, const struct wr_settings *settings,
                               const struct wr_log_options *rejected, struct wr_error *err)
{
    const struct wr_log_options options = log_options_of(in, settings, rejected);
    const char *single = NULL, *const *path = settings->runs.text;
    size_t n = settings->runs.n_text;
    enum wr_status status = WR_OK;

    if (n == 0) {
        single = wr_input_path(in, settings, NULL, "runs.csv");
        if (!single) return WR_OK;
        path = &single;
        n = 1;
    }
    struct wr_log_text *text = WR_NEW_ARRAY(struct wr_log_text, n);
    for (size_t i = 0; i < n && !status; i++) {
        const struct wr_input *file = NULL;
        status = wr_input_read(in, path[i], &file, err);
        if (!status) text[i] = (struct wr_log_text){file->name, file->text.bytes, file->text.n};
    }
    if (!status) status = wr_run_log_read_texts(&in->log, text, n, &options, &in->findings, err);
    wr_free(text);
    return status;
}

static enum wr_status match_plan(struct wr_loaded *in, const struct wr_settings *settings, struct wr_error *err)
{
    if (in->plan.file) return wr_plan_check_against_log(&in->plan, &in->log, &in->findings, err);
    if (in->log.n_run == 0)
        return wr_fail(err, WR_E_INPUT, "%s: neither runs.csv nor plan.csv is there", settings->folder);
    return wr_plan_derive(&in->plan, &in->log, &in->findings, err);
}

static enum wr_status read_limits(struct wr_loaded *in, const struct wr_settings *settings, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, settings, settings->limits, "limits.csv", &file, err);

    if (!status && file)
        status = wr_limits_read_bytes(&in->limits, file->name, file->text.bytes, file->text.n, &in->plan, &in->findings, err);
    if (status) return status;
    if (settings->limit_min.known)
        wr_limits_set_excursion(&in->limits, &in->plan, settings->limit_min.value);
    if (in->limits.n_limit && settings->confidence.known) in->limits.limit[0].confidence = settings->confidence;
    if (settings->confidence.known)
        in->confidence = settings->confidence.value;
    else if (in->limits.n_limit && in->limits.limit[0].confidence.known)
        in->confidence = in->limits.limit[0].confidence.value;
    return WR_OK;
}

static enum wr_status read_history(struct wr_loaded *in, const struct wr_settings *settings, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, settings, settings->history, "history.csv", &file, err);

    if (status || !file) return status;
    in->has_history = true;
    return wr_history_read_bytes(&in->history, file->name, file->text.bytes, file->text.n, &in->findings, err);
}

enum wr_status wr_load(struct wr_loaded *in, const struct wr_settings *settings, const struct wr_log_options *rejected,
                       struct wr_error *err)
{
    enum wr_status status;

    in->name = folder_name(in, settings);
    status = read_names(in, settings, err);
    if (status) return status;
    status = read_plan(in, settings, err);
    if (status) { /* what the log has to say is of use all the same */
        struct wr_error unused;
        (void)!read_log(in, settings, rejected, &unused);
        return status;
    }
    status = read_log(in, settings, rejected, err);
    if (!status) status = match_plan(in, settings, err);
    if (status) return status;
    wr_people_names(in, settings);
    status = read_limits(in, settings, err);
    if (status) return status;
    status = read_history(in, settings, err);
    if (status) return status;
    status = wr_network_build(&in->net, &in->plan, err);
    if (status) return status;
    return wr_timing_build(&in->timing, &in->log, &in->plan, &in->net, &in->findings, err);
}

void wr_loaded_release(struct wr_loaded *in)
{
    wr_timing_release(&in->timing);
    wr_network_release(&in->net);
    wr_history_release(&in->history);
    wr_limits_release(&in->limits);
    wr_plan_release(&in->plan);
    wr_run_log_release(&in->log);
    wr_findings_release(&in->findings);
    wr_aliases_release(&in->aliases);
    for (size_t i = 0; i < in->n_file; i++) wr_text_release(&in->file[i]->text);
    wr_free(in->file);
    wr_arena_release(&in->text);
    *in = (struct wr_loaded){0};
}

enum wr_status wr_need_limit(const struct wr_loaded *in, struct wr_error *err)
{
    if (in->limits.n_limit) return WR_OK;
    return wr_fail(err, WR_E_USAGE, "no excursion limit is given and none is assumed: add limits.csv or --limit H:MM");
}

enum wr_status wr_need_confidence(const struct wr_loaded *in, struct wr_error *err)
{
    if (in->confidence > 0) return WR_OK;
    return wr_fail(err, WR_E_USAGE, "no confidence is given and none is assumed: add it to limits.csv, or --confidence P");
}
