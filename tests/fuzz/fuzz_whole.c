/* Any bytes as a campaign, all the way: the log, a plan, limits, what is changed and what has happened, NUL bytes
 * between them. What is made of them with a few draws and trials is finite, probabilities lie between 0 and 1, nothing
 * of the program's own goes wrong, and a refusal says why. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "wetrun/study/study.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

#define HOLDS(condition) WR_BUG_IF(!(condition))

static const char *const file_name[] = {"runs.csv", "plan.csv", "limits.csv", "history.csv", "names.csv"};
enum { N_FILE = sizeof file_name / sizeof *file_name };

static const char *scratch(void)
{
    static char folder[64];

    if (!folder[0]) {
        snprintf(folder, sizeof folder, "%s/wetrun-fuzz-%ld", access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp",
                 (long)getpid());
        (void)mkdir(folder, 0700);
    }
    return folder;
}

static void put_file(const char *name, const char *text, size_t n)
{
    char path[128];

    snprintf(path, sizeof path, "%s/%s", scratch(), name);
    (void)unlink(path);
    if (n == 0) return;
    FILE *f = fopen(path, "wb");
    WR_BUG_IF(!f);
    fwrite(text, 1, n, f);
    fclose(f);
}

static void check_probability(const struct wr_probability *p)
{
    HOLDS(p->mean >= 0 && p->mean <= 1 && p->lo >= 0 && p->lo <= p->hi && p->hi <= 1 && p->mc_error >= 0);
}

static void check_forecast(const struct wr_study *s)
{
    const struct wr_forecast *f = &s->forecast;

    for (size_t i = 0; i < WR_N_LENS; i++) HOLDS(isfinite(f->lens_min[i]) && f->lens_min[i] >= 0);
    for (size_t i = 1; i < WR_N_LENS; i++) HOLDS(f->lens_min[i] >= f->lens_min[i - 1]);
    for (size_t l = 0; l < f->n_limit; l++) check_probability(&f->limit[l].over);
    for (size_t k = 0; k < s->plan.n_task; k++)
        for (size_t i = 0; i < WR_N_LENS; i++)
            HOLDS(isfinite(f->task[k].start_min[i]) && isfinite(f->task[k].end_min[i]));
}

/* Taken, or refused with a reason that is not the program's own fault. */
static bool is_made(struct wr_study *s, enum wr_result result)
{
    struct wr_error err = {.text = ""};
    enum wr_status status = wr_study_make(s, result, &err);

    HOLDS(status != WR_E_BUG && (status == WR_OK || err.text[0]));
    return status == WR_OK;
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    enum { MOST_CELLS = 400 };
    const char *at = (const char *)bytes, *end = at + n;
    char ask[2][128] = {"", ""};

    for (int i = 0; i < N_FILE + 2; i++) {
        const char *cut = at < end ? memchr(at, '\0', (size_t)(end - at)) : NULL;
        size_t length = at < end ? (size_t)((cut ? cut : end) - at) : 0;
        if (i < N_FILE) put_file(file_name[i], at, length);
        else snprintf(ask[i - N_FILE], sizeof ask[0], "%.*s", (int)(length < 127 ? length : 127), at);
        at = cut ? cut + 1 : end;
    }
    struct wr_study_options options = wr_study_default();
    const struct wr_change_text change = {WR_CHANGE_SCALE, ask[0], false};
    struct wr_study study = {0};
    struct wr_error err = {.text = ""};

    options.folder = scratch();
    options.n_trial = 256;
    options.n_thread = 1;
    options.fit.sampler.n_chain = 1;
    options.fit.sampler.n_burn = 5;
    options.fit.sampler.n_keep = 16;
    options.fit.sampler.thin = 1;
    options.no_earlier = true;
    if (ask[0][0]) {
        options.change = &change;
        options.n_change = 1;
    }
    if (ask[1][0]) options.now = ask[1];
    enum wr_status status = wr_study_open(&study, &options, &err);
    HOLDS(status != WR_E_BUG && (status == WR_OK || err.text[0]));
    if (status == WR_OK && study.plan.n_task * (study.timing.n_run + 1) <= MOST_CELLS &&
        is_made(&study, WR_RESULT_FORECAST)) {
        check_forecast(&study);
        (void)is_made(&study, WR_RESULT_PAD);
        (void)is_made(&study, WR_RESULT_COMPARISON);
        (void)is_made(&study, WR_RESULT_CUTOFFS);
        if (ask[0][0]) (void)is_made(&study, WR_RESULT_WHATIF);
    }
    wr_study_release(&study);
    return 0;
}
