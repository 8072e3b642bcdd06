/* The progress line's estimate of the time that is left, against what was left.
 *     bench_progress CAMPAIGN…
 * Opens each campaign with one thread and makes what `report`, `backtest`, `runs-needed` and `cutoff` make; all in CPU
 * time. One line for each: the seconds it took, and the estimate over the truth when 25, 50 and 75 % of them had gone
 * by, as it stood on the screen then; 0: nothing stood there. What results take by themselves, which the rows of
 * src/study/results.c are fitted to, says bench_report. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "wetrun/study/study.h"

enum { MOST_WORDS = 100000 };

static struct {
    double begun_s, at_s[MOST_WORDS], share[MOST_WORDS];
    size_t n;
} said;

static double cpu_seconds(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static void note(void *arg, double share_done)
{
    (void)arg;
    if (said.n == MOST_WORDS) return;
    said.at_s[said.n] = cpu_seconds() - said.begun_s;
    said.share[said.n++] = share_done;
}

/* Estimate over truth at the last word before that moment; 0: nothing was said yet. */
static double estimate_over_truth(double moment_s, double whole_s)
{
    size_t i = said.n;

    while (i > 0 && said.at_s[i - 1] > moment_s) i--;
    if (i == 0 || said.share[i - 1] <= 0.05) return 0;
    double left_s = said.at_s[i - 1] * (1 - said.share[i - 1]) / said.share[i - 1];
    return left_s / (whole_s - said.at_s[i - 1]);
}

static const struct {
    const char *name;
    unsigned wanted;
} commands[] = {
    {"report", ((1u << WR_RESULT_DEBRIEF) - 1) & ~WR_RESULT_BIT(WR_RESULT_CANDIDATES)},
    {"backtest", WR_RESULT_BIT(WR_RESULT_BACKTEST)},
    {"runs-needed", WR_RESULT_BIT(WR_RESULT_RUNS_NEEDED)},
    {"cutoff", WR_RESULT_BIT(WR_RESULT_CUTOFFS)},
};

static void measure(const char *folder, const char *name, unsigned wanted)
{
    struct wr_study study = {0};
    struct wr_study_options options = wr_study_default();
    struct wr_error err;

    options.folder = folder;
    options.n_thread = 1;
    options.progress = note;
    options.progress_of = wanted;
    said.n = 0;
    said.begun_s = cpu_seconds();
    if (wr_study_open(&study, &options, &err) != WR_OK || wr_study_gather(&study, wanted, &err) != WR_OK) {
        fprintf(stderr, "%s: %s\n", folder, err.text);
        exit(3);
    }
    double whole_s = cpu_seconds() - said.begun_s;
    printf("%s,%s,%zu,%zu,%.2f,%.2f,%.2f,%.2f\n", folder, name, study.timing.n_run, study.plan.n_task, whole_s,
           estimate_over_truth(0.25 * whole_s, whole_s), estimate_over_truth(0.5 * whole_s, whole_s),
           estimate_over_truth(0.75 * whole_s, whole_s));
    fflush(stdout);
    wr_study_release(&study);
}

int main(int argc, char **argv)
{
    puts("campaign,command,rehearsals,tasks,whole_s,at_25,at_50,at_75");
    for (int i = 1; i < argc; i++)
        for (size_t c = 0; c < sizeof commands / sizeof *commands; c++)
            measure(argv[i], commands[c].name, commands[c].wanted);
    return 0;
}
