#include "other_plan.h"
#include "plan_edits.h"
#include "study_parts.h"

#include <gsl/gsl_errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include "wetrun/decide/enough_trials.h"
#include "wetrun/timing/unplanned.h"

struct wr_study_options wr_study_default(void)
{
    return (struct wr_study_options){.folder = ".", .seed = 1, .fit = wr_fit_options_default()};
}

const char *wr_study_path(struct wr_study *in, const char *named, const char *in_folder)
{
    WR_SCOPED_STR path = {0};

    if (named) return named; /* a file that was asked for and is missing is an error when it is opened */
    if (strcmp(in->options.folder, ".") != 0) wr_str_addf(&path, "%s/", in->options.folder);
    wr_str_add(&path, in_folder);
    struct stat file; /* a link to nowhere is there: it fails when it is opened, and does not count as absent */
    return lstat(wr_str_text(&path), &file) == 0 ? wr_arena_copy(&in->text, path.text, path.len) : NULL;
}

static void note_recoding(struct wr_study *in, const struct wr_input *input)
{
    struct wr_read_as tally = {0};

    if (input->text.was_utf16) wr_read_as_note(&tally, WR_SP_UTF16, 0, 0, NULL, NULL);
    if (input->text.had_cr_ends) wr_read_as_note(&tally, WR_SP_CR_ENDS, 0, 0, NULL, NULL);
    wr_read_as_report(&tally, input->name, &in->findings);
}

enum wr_status wr_study_read(struct wr_study *in, const char *path, const struct wr_input **input, struct wr_error *err)
{
    struct wr_input *read = wr_arena_alloc(&in->text, 1, sizeof *read);
    const char *name = in->options.anonymous ? wr_without_folders(path) : path; /* folders may name people */
    const struct wr_input *had = in->again && in->n_file < in->again->n_file ? in->again->file[in->n_file] : NULL;
    enum wr_status status = WR_OK;

    if (had && strcmp(had->name, name) == 0) wr_text_take(&read->text, had->text.bytes, had->text.n);
    else status = wr_text_read(&read->text, path, err);
    if (status) return status;
    read->name = wr_arena_copy(&in->text, name, strlen(name));
    *WR_PUSH(in->file, in->n_file, in->room_file) = read;
    *input = read;
    note_recoding(in, read);
    return WR_OK;
}

char *wr_base_name(struct wr_arena *text, const char *folder)
{
    char whole[PATH_MAX];
    const char *base = realpath(folder, whole) ? strrchr(whole, '/') : NULL;
    const char *name = base && base[1] ? base + 1 : "campaign";

    return wr_arena_copy(text, name, strlen(name));
}

/* A file of the folder or a named one, if it is there: *input is NULL otherwise. */
static enum wr_status read_optional(struct wr_study *in, const char *named, const char *in_folder,
                                    const struct wr_input **input, struct wr_error *err)
{
    const char *path = wr_study_path(in, named, in_folder);

    *input = NULL;
    return path ? wr_study_read(in, path, input, err) : WR_OK;
}

static enum wr_status read_names(struct wr_study *in, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, in->options.names, "names.csv", &file, err);

    if (status || !file) return status;
    return wr_aliases_read_bytes(&in->aliases, file->name, file->text.bytes, file->text.n, &in->findings, err);
}

/* The plan's own names are read as others: then nothing of the log is theirs, and theirs goes to others. */
static void doubt_names(struct wr_study *in)
{
    for (size_t i = 0; i < in->aliases.n_alias; i++) {
        const struct wr_alias *a = &in->aliases.alias[i];
        bool planned = (a->kind == WR_NAME_TASK && wr_plan_find(&in->plan, a->from) != SIZE_MAX) ||
                       (a->kind == WR_NAME_LANE && wr_plan_find_lane(&in->plan, a->from) != SIZE_MAX);
        if (planned && strcmp(a->from, a->to) != 0)
            wr_findings_add(&in->findings, WR_WARNING, "names-planned", in->aliases.file, a->line, a->column,
                            "'%.60s' is the plan's own name for something else than '%.60s': what the log says of it "
                            "counts there; take the row out if that is not meant",
                            a->from, a->to);
    }
}

/* Before the log, whose tasks and lanes are spelt as the plan spells them. */
static enum wr_status read_plan(struct wr_study *in, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, in->options.plan, "plan.csv", &file, err);

    in->plan.aliases = &in->aliases;
    in->plan.keep_names = in->options.log.join == WR_KEEP_NAMES;
    if (status || !file) return status;
    status = wr_plan_read_bytes(&in->plan, file->name, file->text.bytes, file->text.n, &in->findings, err);
    if (!status) doubt_names(in);
    return status;
}

static struct wr_log_options log_options_of(const struct wr_study *in)
{
    struct wr_log_options options = in->options.log;

    options.aliases = &in->aliases;
    options.anonymous = in->options.anonymous;
    options.plan = in->plan.n_task ? &in->plan : NULL;
    return options;
}

static enum wr_status read_log(struct wr_study *in, struct wr_error *err)
{
    struct wr_log_options options = log_options_of(in);
    const char *single = NULL, *const *path = in->options.runs;
    size_t n = in->options.n_runs;
    enum wr_status status = WR_OK;

    if (n == 0) {
        single = wr_study_path(in, NULL, "runs.csv");
        if (!single) return in->plan.file ? wr_study_find_other_logs(in, err) : WR_OK;
        path = &single;
        n = 1;
    }
    WR_SCOPED struct wr_log_text *text = WR_NEW_ARRAY(struct wr_log_text, n);
    for (size_t i = 0; i < n && !status; i++) {
        const struct wr_input *file = NULL;
        /* cppcheck-suppress objectIndex ; n is 1 where path is &single */
        status = wr_study_read(in, path[i], &file, err);
        if (!status) text[i] = (struct wr_log_text){file->name, file->text.bytes, file->text.n};
    }
    options.may_be_empty = single && in->plan.n_task > 0; /* a campaign that has not begun */
    if (!status) status = wr_run_log_read_texts(&in->log, text, n, &options, &in->findings, err);
    if (!status && in->log.rows_read == 0) wr_run_log_release(&in->log);
    return status;
}

static enum wr_status read_rehearsed(struct wr_study *in, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, in->options.plan_rehearsed, "plan-rehearsed.csv", &file, err);

    in->rehearsed.aliases = &in->aliases;
    in->rehearsed.keep_names = in->plan.keep_names;
    if (status || !file) return status;
    status = wr_plan_read_bytes(&in->rehearsed, file->name, file->text.bytes, file->text.n, &in->findings, err);
    in->has_rehearsed = status == WR_OK;
    return status;
}

static void keep(struct wr_findings *to, const struct wr_findings *from, bool errors)
{
    for (size_t i = 0; i < from->n_finding; i++) {
        const struct wr_finding *f = &from->finding[i];
        if ((f->severity == WR_ERROR) == errors)
            wr_findings_add(to, f->severity, f->code, f->file, f->line, f->column, "%s", f->message);
    }
}

/* The log is held against what was rehearsed; how the plan differs from that is said once. */
static enum wr_status check_plan(struct wr_study *in, struct wr_error *err)
{
    WR_RELEASED_BY(wr_findings_release) struct wr_findings of_plan = {0}, of_rehearsed = {0};
    struct wr_error unused;
    WR_SCOPED_STR edits = {0};

    if (!in->has_rehearsed) return wr_plan_check_against_log(&in->plan, &in->log, &in->findings, err);
    enum wr_status status = wr_plan_check_against_log(&in->plan, &in->log, &of_plan, err);
    keep(&in->findings, &of_plan, true);
    (void)!wr_plan_check_as_rehearsed(&in->rehearsed, &in->plan, &in->log, &of_rehearsed, &unused);
    keep(&in->findings, &of_rehearsed, false);
    plan_edits_list(&edits, &in->rehearsed, &in->plan);
    if (edits.len)
        wr_findings_add(&in->findings, WR_NOTE, "plan-edited", in->plan.file, 0, 0,
                        "it is not what was rehearsed (%s): %s", in->rehearsed.file, edits.text);
    return status;
}

static enum wr_status match_plan(struct wr_study *in, struct wr_error *err)
{
    if (in->plan.file) return check_plan(in, err);
    if (in->log.n_run == 0)
        return wr_fail(err, WR_E_INPUT,
                       "%s: neither runs.csv nor plan.csv is there; `wetrun start FOLDER` begins a campaign, "
                       "`--runs FILE` reads a log from elsewhere",
                       in->options.folder);
    return wr_plan_derive(&in->plan, &in->log, &in->findings, err);
}

static enum wr_status read_limits(struct wr_study *in, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, in->options.limits, "limits.csv", &file, err);

    if (!status && file)
        status = wr_limits_read_bytes(&in->limits, file->name, file->text.bytes, file->text.n, &in->plan, &in->findings,
                                      err);
    if (status) return status;
    if (in->options.limit_min.known) {
        wr_limits_set_excursion(&in->limits, &in->plan, in->options.limit_min.value,
                                in->options.limit_as_clock_min);
        in->limits.limit[0].form = in->options.limit_form;
    }
    in->confidence = in->options.confidence;
    if (in->limits.n_limit == 0) return WR_OK;
    if (in->confidence.known)
        in->limits.limit[0].confidence = in->confidence;
    else
        in->confidence = in->limits.limit[0].confidence;
    return WR_OK;
}

static enum wr_status read_history(struct wr_study *in, struct wr_error *err)
{
    const struct wr_input *file;
    enum wr_status status = read_optional(in, in->options.history, "history.csv", &file, err);

    if (status || !file) return status;
    in->has_history = true;
    in->history.aliases = &in->aliases;
    return wr_history_read_bytes(&in->history, file->name, file->text.bytes, file->text.n, &in->plan, &in->findings,
                                 err);
}

static void resolve_limits(struct wr_study *in)
{
    in->limit = WR_NEW_ARRAY(struct wr_sim_limit, in->limits.n_limit);
    for (size_t i = 0; i < in->limits.n_limit; i++) {
        const struct wr_limit *l = &in->limits.limit[i];
        in->limit[i] = (struct wr_sim_limit){
            .lanes = l->lanes, .is_clock = l->is_clock, .from = l->from, .to = l->to, .minutes = l->minutes};
    }
}

/* A unit that was mistaken is not a warning: nothing that follows would be of use. Times with a colon have no unit to
 * say. */
static enum wr_status ask_for_unit(const struct wr_study *in, struct wr_error *err)
{
    bool bare = false;

    for (size_t r = 0; r < in->log.n_run; r++)
        bare |= in->log.run[r].kind == WR_TIME_MINUTES || in->log.run[r].kind == WR_TIME_ELAPSED;
    if (!in->screen.unit_doubtful || !bare || in->options.log.minutes_per_unit > 0) return WR_OK;
    return wr_fail(err, WR_E_INPUT,
                   "typically the log's times are %.3g times what the plan allots: --minutes-in minutes, seconds "
                   "or hours says what the log's bare numbers are",
                   in->screen.row[0].read_min);
}

const struct wr_timing *wr_study_timing_of_runs(const struct wr_study *s)
{
    return s->has_rehearsed ? &s->rehearsed_timing : &s->timing;
}

/* Evidence for a forecast is complete by the plan that is forecast and its drop rules, and a whole day; where the plan
 * that was followed says otherwise, work was dropped, or minutes are all there is of some runs, whoever counts must say
 * which. */
static void say_complete_by(struct wr_study *in)
{
    WR_SCOPED_STR tasks = {0}, text = {0};
    bool differs = false, by_minutes = false, drops = false;

    for (size_t r = 0; r < in->timing.n_run; r++) {
        differs |= in->has_rehearsed && in->timing.run[r].complete != in->rehearsed_timing.run[r].complete;
        by_minutes |= in->timing.run[r].by_minutes;
        drops |= in->timing.run[r].complete && in->timing.run[r].n_dropped > 0;
    }
    if (!differs && !by_minutes && !drops) return;
    if (by_minutes) wr_str_add(&text, " with begin and end in the log");
    if (differs) {
        plan_edits_tasks(&tasks, &in->rehearsed, &in->plan);
        wr_str_add(&text, " by the plan that is forecast");
        if (tasks.len) wr_str_addf(&text, " (%s)", tasks.text);
    }
    if (drops) wr_str_add(&text, differs ? " and its drop rules" : " by the plan and its drop rules");
    in->complete_by = wr_arena_copy(&in->text, text.text, text.len);
}

/* The runs beside the plan that they followed. */
static enum wr_status measure_as_rehearsed(struct wr_study *in, struct wr_error *err)
{
    WR_RELEASED_BY(wr_network_release) struct wr_network net = {0};
    enum wr_status status = wr_network_build(&net, &in->rehearsed, err);

    if (!status)
        status = wr_timing_build_as_rehearsed(&in->rehearsed_timing, &in->log, &in->rehearsed, &net, &in->rehearsed,
                                              &in->findings, err);
    if (status) return status;
    wr_screen_make(&in->screen, &in->log, &in->rehearsed, &net, &in->rehearsed_timing, &in->findings);
    return WR_OK;
}

static enum wr_status measure(struct wr_study *in, struct wr_error *err)
{
    WR_RELEASED_BY(wr_findings_release) struct wr_findings said_already = {0};
    enum wr_status status = wr_network_build(&in->net, &in->plan, err);

    for (size_t i = 0; i < in->limits.n_limit && !status; i++)
        status = clock_runs_forward(&in->net, &in->plan, &in->limit[i], in->limits.limit[i].name, err);
    if (!status)
        status = wr_timing_build_as_rehearsed(&in->timing, &in->log, &in->plan, &in->net,
                                              in->has_rehearsed ? &in->rehearsed : NULL,
                                              in->has_rehearsed ? &said_already : &in->findings, err);
    if (status) return status;
    if (in->has_rehearsed) status = measure_as_rehearsed(in, err);
    else wr_screen_make(&in->screen, &in->log, &in->plan, &in->net, &in->timing, &in->findings);
    if (status) return status;
    say_complete_by(in);
    bool told = in->has_rehearsed || in->options.plan || wr_findings_has(&in->findings, "other-campaign");
    wr_plan_find_odd_lanes(&in->plan, &in->log, &in->findings);
    wr_screen_unplanned(&in->log, &in->plan, &in->timing, told, &in->findings);
    wr_screen_limits(&in->screen, &in->log, &in->plan, &in->net, &in->timing, &in->limits, &in->findings);
    return ask_for_unit(in, err);
}

/* The same for all that is asked of a study: no answer stands beside one that is refused. */
static enum wr_status check_trials(const struct wr_study *in, struct wr_error *err)
{
    enum { LEAST_FUTURES = 256, MOST_FUTURES = 100000 };
    const size_t n_future = in->options.n_future;

    if (n_future && (n_future < LEAST_FUTURES || n_future > MOST_FUTURES))
        return wr_fail(err, WR_E_USAGE,
                       "--trials: runs-needed takes from %d to %d simulated futures: write --trials 2000",
                       LEAST_FUTURES, MOST_FUTURES);
    if (in->options.n_trial == 0) return WR_OK;
    return wr_enough_trials("what is simulated", in->options.n_trial, 0, err);
}

enum wr_status wr_study_read_all(struct wr_study *in, const struct wr_study_options *options, struct wr_error *err)
{
    gsl_set_error_handler_off();
    struct wr_error unused;

    in->options = *options;
    in->name = wr_base_name(&in->text, in->options.folder);
    enum wr_status status = check_trials(in, err);
    if (!status) status = read_names(in, err);
    if (status) return status;
    status = read_plan(in, err);
    if (status) { /* what the log has to say is of use all the same */
        (void)!read_log(in, &unused);
        return status;
    }
    status = read_log(in, err);
    if (!status && in->options.before_run) status = wr_run_log_keep_before(&in->log, in->options.before_run, err);
    if (!status && in->again) wr_run_log_leave_out(&in->log, in->left_out);
    enum wr_status rehearsed = status ? status : read_rehearsed(in, err);
    if (!status) status = match_plan(in, rehearsed ? &unused : err);
    if (status) return rehearsed ? rehearsed : status;
    wr_study_people_names(in);
    enum wr_status others = rehearsed ? rehearsed : read_limits(in, err);
    if (!others) others = read_history(in, err);
    if (!others) resolve_limits(in);
    else wr_limits_release(&in->limits);
    status = measure(in, others ? &unused : err); /* of use to `check` all the same */
    return others ? others : status;
}
