/* A folder whose logs have other names than runs.csv: nothing of them is read unasked, for two logs of one rehearsal
 * would count twice; that they are there is said, or judgement alone would be taken for all that is known. */
#include <string.h>
#include <sys/stat.h>
#include "study_parts.h"
#include "wetrun/campaign/files.h"
#include "wetrun/io/folder.h"
#include "wetrun/io/text_file.h"

enum { MOST_LOOKED_INTO = 64, MOST_BYTES = 1 << 20, MOST_NAMED = 3 };

static bool may_be_log(const char *path)
{
    struct stat file;

    return stat(path, &file) == 0 && S_ISREG(file.st_mode) && file.st_size > 0 && file.st_size <= MOST_BYTES;
}

/* Its table is one of runs and tasks, and at least one row of it can be read as it stands; or nobody knows. */
static bool is_log(const char *path)
{
    WR_RELEASED_BY(wr_text_release) struct wr_text text = {0};
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unsaid = {0};
    WR_RELEASED_BY(wr_run_log_release) struct wr_run_log log = {0};
    const struct wr_log_options plain = {0};
    struct wr_error unused;

    if (!may_be_log(path)) return false;
    if (wr_text_read(&text, path, &unused) != WR_OK) return true;
    return wr_run_log_read_bytes(&log, path, text.bytes, text.n, &plain, &unsaid, &unused) == WR_OK;
}

enum wr_status wr_study_find_other_logs(struct wr_study *s, struct wr_error *err)
{
    WR_SCOPED_STR path = {0}, names = {0};
    WR_RELEASED_BY(wr_folder_release) struct wr_folder folder = {0};
    size_t found = 0, looked_into = 0;
    enum wr_status status = wr_folder_read(&folder, s->options.folder, err);

    for (size_t i = 0; i < folder.n && looked_into < MOST_LOOKED_INTO; i++) {
        if (wr_is_of_campaign(folder.name[i])) continue;
        looked_into++;
        wr_str_clear(&path);
        wr_str_addf(&path, "%s/%s", s->options.folder, folder.name[i]);
        if (is_log(wr_str_text(&path)) && found++ < MOST_NAMED)
            wr_str_addf(&names, "%s%.60s", names.len ? ", " : "", folder.name[i]);
    }
    if (found > MOST_NAMED) wr_str_addf(&names, " and %zu more", found - MOST_NAMED);
    if (found)
        wr_findings_add(
            &s->findings, WR_WARNING, "logs-unread", NULL, 0, 0,
            "there is no runs.csv, and so no rehearsal was read, and yet step logs lie beside the plan (%s): "
            "name each with --runs FILE, or put their rows into runs.csv",
            names.text);
    return status;
}
