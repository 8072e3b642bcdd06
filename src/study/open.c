#include "study_parts.h"

#include <gsl/gsl_errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

struct wr_study_options wr_study_default(void)
{
    return (struct wr_study_options){.folder = ".", .seed = 1, .fit = wr_fit_options_default()};
}

const char *wr_study_path(struct wr_study *in, const char *named, const char *in_folder)
{
    struct wr_str path = {0};

    if (named) return named; /* a file that was asked for and is missing is an error when it is opened */
    if (strcmp(in->options.folder, ".") != 0) wr_str_addf(&path, "%s/", in->options.folder);
    wr_str_add(&path, in_folder);
    const char *found = access(wr_str_text(&path), F_OK) == 0
                            ? wr_arena_copy(&in->text, path.text, path.len) : NULL;
    wr_str_release(&path);
    return found;
}

const char *wr_study_note_input(struct wr_study *in, const char *path)
{
    const char **slot = WR_PUSH(in->file, in->n_file, in->room_file);

    return *slot = path;
}

static char *folder_name(struct wr_study *in)
{
    char *whole = realpath(in->options.folder, NULL);
    const char *base = whole ? strrchr(whole, '/') : NULL;
    const char *name = base && base[1] ? base + 1 : "campaign";
    char *copy = wr_arena_copy(&in->text, name, strlen(name));

    free(whole);
    return copy;
}

static enum wr_status read_log(struct wr_study *in, struct wr_error *err)
{
    const char *single = NULL, *const *path = in->options.runs;
    size_t n_path = in->options.n_runs;

    if (n_path == 0) {
        single = wr_study_path(in, NULL, "runs.csv");
        if (!single) return WR_OK;
        path = &single;
        n_path = 1;
    }
    for (size_t i = 0; i < n_path; i++) wr_study_note_input(in, path[i]);
    return wr_run_log_read(&in->log, path, n_path, &in->options.log, &in->findings, err);
}

/* The letter names A … Z, then P27, P28, …: in order of first appearance. */
static const char *letter_name(struct wr_study *in, size_t i)
{
    struct wr_str s = {0};

    if (i < 26)
        wr_str_add_char(&s, (char)('A' + i));
    else
        wr_str_addf(&s, "P%zu", i + 1);
    char *copy = wr_arena_copy(&in->text, s.text, s.len);
    wr_str_release(&s);
    return copy;
}

struct name_map { const char **from; size_t n_from, room; };

static const char *renamed(struct wr_study *in, struct name_map *map, const char *name, size_t len)
{
    size_t i = 0;

    while (i < map->n_from && !(strlen(map->from[i]) == len && memcmp(map->from[i], name, len) == 0)) i++;
    if (i == map->n_from) {
        const char **slot = WR_PUSH(map->from, map->n_from, map->room);
        *slot = wr_arena_copy(&in->text, name, len);
    }
    return letter_name(in, i);
}

static const char *anonymous_crew(struct wr_study *in, struct name_map *map, const char *crew)
{
    struct wr_str out = {0};

    while (*crew) {
        size_t len = strcspn(crew, "+");
        while (len && *crew == ' ') crew++, len--;
        size_t tail = len;
        while (tail && crew[tail - 1] == ' ') tail--;
        if (tail) wr_str_add(&out, renamed(in, map, crew, tail));
        crew += len;
        if (*crew == '+') wr_str_add_char(&out, *crew++);
    }
    const char *copy = wr_arena_copy(&in->text, wr_str_text(&out), out.len);
    wr_str_release(&out);
    return copy;
}

/* Performers become letters before anything downstream sees them. */
static void make_anonymous(struct wr_study *in)
{
    struct name_map map = {0};

    for (size_t i = 0; i < in->log.n_step; i++)
        in->log.step[i].performer = anonymous_crew(in, &map, in->log.step[i].performer);
    wr_free(map.from);
}

static enum wr_status read_plan(struct wr_study *in, struct wr_error *err)
{
    const char *path = wr_study_path(in, in->options.plan, "plan.csv");
    enum wr_status status;

    if (!path) {
        if (in->log.n_run == 0)
            return wr_fail(err, WR_E_INPUT, "%s: neither runs.csv nor plan.csv is there", in->options.folder);
        return wr_plan_derive(&in->plan, &in->log, &in->findings, err);
    }
    status = wr_plan_read(&in->plan, wr_study_note_input(in, path), &in->findings, err);
    if (status) return status;
    return wr_plan_check_against_log(&in->plan, &in->log, &in->findings, err);
}

static enum wr_status read_limits(struct wr_study *in, struct wr_error *err)
{
    const char *path = wr_study_path(in, in->options.limits, "limits.csv");

    if (path) {
        enum wr_status status = wr_limits_read(&in->limits, wr_study_note_input(in, path), &in->plan, &in->findings, err);
        if (status) return status;
    }
    if (in->options.limit_min.known)
        wr_limits_set_excursion(&in->limits, &in->plan, in->options.limit_min.value);
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
    const char *path = wr_study_path(in, in->options.history, "history.csv");

    if (!path) return WR_OK;
    in->has_history = true;
    return wr_history_read(&in->history, wr_study_note_input(in, path), &in->findings, err);
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

enum wr_status wr_study_open(struct wr_study *in, const struct wr_study_options *options, struct wr_error *err)
{
    gsl_set_error_handler_off();
    in->options = *options;
    in->name = folder_name(in);
    enum wr_status status = read_log(in, err);
    if (status) return status;
    if (in->options.anonymous) make_anonymous(in);
    status = read_plan(in, err);
    if (status) return status;
    status = read_limits(in, err);
    if (status) return status;
    status = read_history(in, err);
    if (status) return status;
    resolve_limits(in);
    status = wr_network_build(&in->net, &in->plan, err);
    if (status) return status;
    return wr_timing_build(&in->timing, &in->log, &in->plan, &in->net, &in->findings, err);
}
