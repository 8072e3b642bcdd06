/* What people wrote is not written over: what was read, what is a file of a campaign by its name, what is a table of
 * another kind. */
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include "emit.h"
#include "options.h"
#include "wetrun/base/memory.h"
#include "wetrun/campaign/files.h"
#include "wetrun/io/text_file.h"

enum written { WRITE_OUT, WRITE_REJECTED, WRITE_TIMES, WRITE_PLAN, N_OUTPUT }; /* the options that name a file */

/* The path with its folder, but not its own name, followed to where it is. */
static bool find_place(const char *path, char place[PATH_MAX + 1])
{
    char folder[PATH_MAX], whole[PATH_MAX];
    const char *name = wr_without_folders(path);

    if (realpath(path, place)) return true;
    if (name == path) snprintf(folder, sizeof folder, ".");
    else snprintf(folder, sizeof folder, "%.*s", (int)(name - path), path);
    return realpath(folder, whole) && snprintf(place, PATH_MAX + 1, "%s/%s", whole, name) <= PATH_MAX;
}

/* Files; what goes to a device or a pipe comes one after the other. */
static bool is_same_place(const char *a, const char *b)
{
    char place_a[PATH_MAX + 1], place_b[PATH_MAX + 1];
    struct stat there;

    if (stat(a, &there) == 0 && !S_ISREG(there.st_mode)) return false;
    return find_place(a, place_a) && find_place(b, place_b) && strcmp(place_a, place_b) == 0;
}

/* Names that may be new in a campaign: of a plan written from the log, and of the log that begins as an empty sheet. */
static bool may_be_new(const char *name, enum written written, bool is_sheet)
{
    if (written == WRITE_PLAN) return strcmp(name, "plan.csv") == 0 || strcmp(name, "plan-rehearsed.csv") == 0;
    return written == WRITE_OUT && is_sheet && strcmp(name, "runs.csv") == 0;
}

/* A command need not have read the campaign that a file is of, or all of it: it is somebody's all the same. A name that
 * stands for one is as much: what is written there would be read as one by the next command. A plan that stands alone
 * may be written again. */
static bool is_of_campaign(const char *path, enum written written, bool is_sheet)
{
    WR_SCOPED_STR beside = {0};
    const char *name = wr_without_folders(path);
    struct stat there;

    if (!wr_is_of_campaign(name)) return false;
    if (!may_be_new(name, written, is_sheet)) return true;
    if (lstat(path, &there) != 0) return false;
    for (size_t k = 0; k < wr_n_campaign_file; k++) {
        wr_str_clear(&beside);
        wr_str_addf(&beside, "%.*s%s", (int)(name - path), path, wr_campaign_file[k]);
        bool again = strcmp(wr_campaign_file[k], name) == 0 && strcmp(name, "plan.csv") == 0;
        if (!again && lstat(beside.text, &there) == 0) return true;
    }
    return false;
}

enum wr_status wr_spare_inputs(const struct wr_settings *settings, struct wr_input *const *file, size_t n_file,
                               bool is_sheet, struct wr_error *err)
{
    static const char *const option[N_OUTPUT] = {"out", "rejected", "times", "write-plan"};
    const char *const path[N_OUTPUT] = {settings->out, settings->rejected, settings->times, settings->write_plan};

    for (size_t p = 0; p < N_OUTPUT; p++) {
        if (!path[p] || strcmp(path[p], "-") == 0) continue;
        for (size_t i = 0; i < n_file; i++)
            if (wr_text_is_from(&file[i]->text, path[p]))
                return wr_fail(err, WR_E_USAGE, "%s was read as an input and would be written over: name another file",
                               path[p]);
        if (is_of_campaign(path[p], (enum written)p, is_sheet))
            return wr_fail(err, WR_E_USAGE,
                           "%s is a file of a campaign, or would be read as one: name another file", path[p]);
        for (size_t q = 0; q < p; q++)
            if (path[q] && is_same_place(path[p], path[q]))
                return wr_fail(err, WR_E_USAGE,
                               "--%s and --%s both name %s, and one would be written over the other: name another file",
                               option[q], option[p], path[p]);
    }
    return WR_OK;
}

/* ---- tables ---- */

enum { MOST_LINES = 6, LEAST_FIELDS = 3 };

/* A file on a disk with something in it; what cannot be read is not ours to judge. */
static bool read_what_stands(const char *path, struct wr_text *there)
{
    struct wr_error unused;
    struct stat of;

    if (!path || strcmp(path, "-") == 0 || stat(path, &of) != 0 || !S_ISREG(of.st_mode)) return false;
    return wr_text_read(there, path, &unused) == WR_OK && there->n > 0;
}

static size_t line_length(const char *at, const char *end)
{
    const char *stop = memchr(at, '\n', (size_t)(end - at));

    return stop ? (size_t)(stop - at) : (size_t)(end - at);
}

static size_t count(const char *at, size_t n, char c)
{
    size_t found = 0;

    for (size_t i = 0; i < n; i++) found += at[i] == c;
    return found;
}

/* Its first lines, two or more, have as many fields as its header. A line that begins with # is none of a table. */
static bool is_table(const char *bytes, size_t n)
{
    static const char delimiter[] = ",;\t|";
    const char *end = bytes + n;
    size_t header = line_length(bytes, end), lines = 0;

    for (const char *d = delimiter; *d && *bytes != '#'; d++) {
        size_t fields = count(bytes, header, *d) + 1, like = 0;
        const char *at = bytes;
        for (lines = 0; at < end && lines < MOST_LINES; lines++) {
            size_t length = line_length(at, end);
            like += count(at, length, *d) + 1 == fields;
            at += length + 1;
        }
        /* a quoted field may hold one more */
        if (fields >= LEAST_FIELDS && like >= 2 && like + 1 >= lines) return true;
    }
    return false;
}

enum wr_status wr_spare_table(const char *path, const char *bytes, size_t n, struct wr_error *err)
{
    WR_RELEASED_BY(wr_text_release) struct wr_text there = {0};

    if (!read_what_stands(path, &there) || !is_table(there.bytes, there.n)) return WR_OK;
    size_t header = line_length(there.bytes, there.bytes + there.n);
    if (line_length(bytes, bytes + n) == header && memcmp(bytes, there.bytes, header) == 0) return WR_OK;
    return wr_fail(err, WR_E_USAGE,
                   "%s is a table of another kind, and would be written over: name another file, or take it away first",
                   path);
}

enum wr_status wr_spare_sheet(const char *path, const char *bytes, size_t n, struct wr_error *err)
{
    WR_RELEASED_BY(wr_text_release) struct wr_text there = {0};

    if (!read_what_stands(path, &there) || (there.n == n && memcmp(there.bytes, bytes, n) == 0)) return WR_OK;
    return wr_fail(err, WR_E_USAGE,
                   "%s may be a sheet that was filled in, and would be written over: name another file, or take it "
                   "away first",
                   path);
}
