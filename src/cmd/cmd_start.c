/* start: an empty campaign, so that nobody begins with an empty table. */
#include <string.h>
#include <sys/stat.h>
#include "emit.h"
#include "wetrun/present/escape.h"

/* Invented. Run, people and tasks are those of each other, so that `check` has something to say at once. */
static const struct {
    const char *name, *text, *what;
} files[] = {
    {"plan.csv",
     "task,title,kind,crew,after,planned,low,likely,high,drop_after\n"
     "EXAMPLE-OUT,Leave the lock,transit,EV1+EV2,,15,,,,\n"
     "EXAMPLE-MAST,Raise the mast,structure,EV1,EXAMPLE-OUT,40,,,,\n",
     "a row per task: who does it, after what, minutes planned"},
    {"limits.csv",
     "limit,crew,from,to,minutes,confidence\n"
     "EXAMPLE excursion,all,,,1:15,0.9\n"
     "EXAMPLE supply of EV2,EV2,,,1:30,0.95\n", /* so named, limits.c knows them */
     "what must not be gone over, and how surely"},
    {"runs.csv",
     "run,date,task,step,crew,performer,start,end,hold,outcome\n"
     "EXAMPLE,2031-03-04,EXAMPLE-OUT,,EV1+EV2,AA+BB,9:30,9:47,0,done\n"
     "EXAMPLE,2031-03-04,EXAMPLE-MAST,,EV1,AA,9:47,10:31,2,done\n",
     "the log: a row per step; hold: minutes that do not count"},
};
enum { N_FILE = sizeof files / sizeof *files };

/* Nothing that somebody wrote is written over. */
static enum wr_status check_free(const char *folder, struct wr_error *err)
{
    WR_SCOPED_STR path = {0};
    struct stat there;
    enum wr_status status = WR_OK;

    for (size_t i = 0; i < N_FILE && !status; i++) {
        wr_str_clear(&path);
        wr_str_addf(&path, "%s/%s", folder, files[i].name);
        if (lstat(wr_str_text(&path), &there) == 0)
            status = wr_fail(err, WR_E_USAGE,
                             "%s is there already and stays as it is: name another folder, as wetrun start %s-2",
                             wr_str_text(&path), folder);
    }
    return status;
}

enum wr_status wr_cmd_start(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                            struct wr_error *err)
{
    const char *folder = settings->name;
    struct wr_output_file set[N_FILE];
    WR_SCOPED_STR text = {0}, shown = {0};

    (void)command, (void)verdict;
    enum wr_status status = check_free(folder, err);
    if (status) return status;
    for (size_t i = 0; i < N_FILE; i++)
        set[i] = (struct wr_output_file){files[i].name, files[i].text, strlen(files[i].text)};
    wr_escape_terminal(&shown, folder);
    for (size_t i = 0; i < N_FILE; i++)
        wr_str_addf(&text, "%s/%-10s  %s\n", wr_str_text(&shown), files[i].name, files[i].what);
    wr_str_addf(&text,
                "\nThe two rows in each are an invented example: put yours in their place. Then\n"
                "  wetrun check %s       # can plan and log be used\n"
                "  wetrun logsheet %s    # a log sheet for the next rehearsal\n",
                shown.text, shown.text);
    status = wr_output_write_set(folder, set, N_FILE, err); /* all is ready before the first file is written */
    if (!status && !settings->quiet) status = wr_emit(settings, &text, err);
    return status;
}
