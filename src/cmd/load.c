#include "load.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "wetrun/base/memory.h"

const char *wr_input_path(struct wr_loaded *in, const struct wr_settings *settings, const char *named,
                          const char *in_folder)
{
    struct wr_str path = {0};

    if (named) return named; /* a file that was asked for and is missing is an error when it is opened */
    if (strcmp(settings->folder, ".") != 0) wr_str_addf(&path, "%s/", settings->folder);
    wr_str_add(&path, in_folder);
    const char *found = access(wr_str_text(&path), F_OK) == 0
                            ? wr_arena_copy(&in->text, path.text, path.len) : NULL;
    wr_str_release(&path);
    return found;
}

const char *wr_note_input(struct wr_loaded *in, const char *path)
{
    const char **slot = WR_PUSH(in->file, in->n_file, in->room_file);

    return *slot = path;
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

static enum wr_status read_log(struct wr_loaded *in, const struct wr_settings *settings,
                               const struct wr_log_options *rejected, struct wr_error *err)
{
    struct wr_log_options options = rejected ? *rejected : (struct wr_log_options){0};
    const char *single = NULL, *const *path = settings->runs.text;
    size_t n_path = settings->runs.n_text;

    options.columns = settings->columns;
    if (n_path == 0) {
        single = wr_input_path(in, settings, NULL, "runs.csv");
        if (!single) return WR_OK;
        path = &single;
        n_path = 1;
    }
    for (size_t i = 0; i < n_path; i++) wr_note_input(in, path[i]);
    return wr_run_log_read(&in->log, path, n_path, &options, &in->findings, err);
}

/* The letter names A … Z, then P27, P28, …: in order of first appearance. */
static const char *letter_name(struct wr_loaded *in, size_t i)
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

static const char *renamed(struct wr_loaded *in, struct name_map *map, const char *name, size_t len)
{
    size_t i = 0;

    while (i < map->n_from && !(strlen(map->from[i]) == len && memcmp(map->from[i], name, len) == 0)) i++;
    if (i == map->n_from) {
        const char **slot = WR_PUSH(map->from, map->n_from, map->room);
        *slot = wr_arena_copy(&in->text, name, len);
    }
    return letter_name(in, i);
}

static const char *anonymous_crew(struct wr_loaded *in, struct name_map *map, const char *crew)
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
static void make_anonymous(struct wr_loaded *in)
{
    struct name_map map = {0};

    for (size_t i = 0; i < in->log.n_step; i++)
        in->log.step[i].performer = anonymous_crew(in, &map, in->log.step[i].performer);
    wr_free(map.from);
}

static enum wr_status read_plan(struct wr_loaded *in, const struct wr_settings *settings, struct wr_error *err)
{
    const char *path = wr_input_path(in, settings, settings->plan, "plan.csv");
    enum wr_status status;

    if (!path) {
        if (in->log.n_run == 0)
            return wr_fail(err, WR_E_INPUT, "%s: neither runs.csv nor plan.csv is there", settings->folder);
        return wr_plan_derive(&in->plan, &in->log, &in->findings, err);
    }
    status = wr_plan_read(&in->plan, wr_note_input(in, path), &in->findings, err);
    if (status) return status;
    return wr_plan_check_against_log(&in->plan, &in->log, &in->findings, err);
}

static enum wr_status read_limits(struct wr_loaded *in, const struct wr_settings *settings, struct wr_error *err)
{
    const char *path = wr_input_path(in, settings, settings->limits, "limits.csv");

    if (path) {
        enum wr_status status = wr_limits_read(&in->limits, wr_note_input(in, path), &in->plan, &in->findings, err);
        if (status) return status;
    }
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
    const char *path = wr_input_path(in, settings, settings->history, "history.csv");

    if (!path) return WR_OK;
    in->has_history = true;
    return wr_history_read(&in->history, wr_note_input(in, path), &in->findings, err);
}

enum wr_status wr_load(struct wr_loaded *in, const struct wr_settings *settings, const struct wr_log_options *rejected,
                       struct wr_error *err)
{
    enum wr_status status;

    in->name = folder_name(in, settings);
    status = read_log(in, settings, rejected, err);
    if (status) return status;
    if (settings->anonymous) make_anonymous(in);
    status = read_plan(in, settings, err);
    if (status) return status;
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
