/* Where a report's time goes: every result of a study made by itself, in the order of the report, and its charts.
 *
 *   bench_report CAMPAIGN [THREADS]    name, CPU seconds of this process, of its children, seconds elapsed
 *
 * What the page and the JSON take is left to whoever measures the whole. */
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>
#include "wetrun/base/memory.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/study_view.h"
#include "wetrun/study/study.h"

struct clock { double own, children, elapsed; };

static double seconds_of(struct timeval t)
{
    return (double)t.tv_sec + 1e-6 * (double)t.tv_usec;
}

static double read_clock(clockid_t id)
{
    struct timespec t;

    clock_gettime(id, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static struct clock now(void)
{
    struct rusage children;

    getrusage(RUSAGE_CHILDREN, &children);
    return (struct clock){read_clock(CLOCK_PROCESS_CPUTIME_ID),
                          seconds_of(children.ru_utime) + seconds_of(children.ru_stime), read_clock(CLOCK_MONOTONIC)};
}

static void say(const char *what, struct clock since)
{
    struct clock at = now();

    printf("%s\t%.4f\t%.4f\t%.4f\n", what, at.own - since.own, at.children - since.children,
           at.elapsed - since.elapsed);
}

static void quit(const char *what, const struct wr_error *err)
{
    fprintf(stderr, "bench_report: %s: %s\n", what, err->text);
    exit(1);
}

/* In the order in which each finds what it rests on made; what a campaign cannot have is left out. */
static const struct { enum wr_result result; const char *name; } parts[] = {
    {WR_RESULT_MODEL, "the sampler, and what days are drawn from"},
    {WR_RESULT_FORECAST, "forecast"},
    {WR_RESULT_SUMMARY, "the fit in words"},
    {WR_RESULT_COMPARISON, "comparison of the rehearsals"},
    {WR_RESULT_PAD, "pads"},
    {WR_RESULT_OTHER_LIMITS, "chances at other limits"},
    {WR_RESULT_CUTOFFS, "cut-offs, of other limits and wishes too"},
    {WR_RESULT_BACKTEST, "backtest"},
    {WR_RESULT_READY, "readiness"},
    {WR_RESULT_RUNS_NEEDED, "price of a further rehearsal"},
    {WR_RESULT_PRICES, "what drop rules buy"},
};

/* As `report` draws them: two files, and two drawings for the page. */
static void draw_all(const struct wr_study *study, unsigned n_thread)
{
    static struct wr_chart_job job[4 * WR_N_CHART];
    const struct wr_chart_options options[] = {{.format = WR_CHART_PNG},
                                               {.format = WR_CHART_SVG},
                                               {.format = WR_CHART_SVG, .bare = true, .inline_id = "w"},
                                               {.format = WR_CHART_SVG, .width = WR_CHART_NARROW, .bare = true,
                                                .inline_id = "s"}};
    const struct wr_chart_input input = wr_chart_input_of(study);
    size_t n = 0;

    for (int c = 0; c < WR_N_CHART; c++)
        for (int d = 0; d < 4 && !wr_chart_missing((enum wr_chart)c, &input); d++)
            job[n++] = (struct wr_chart_job){.chart = (enum wr_chart)c, .options = options[d]};
    wr_chart_render_all(job, n, &input, n_thread);
    for (size_t i = 0; i < n; i++) {
        if (job[i].status) quit(wr_chart_name(job[i].chart), &job[i].err);
        wr_str_release(&job[i].bytes);
    }
}

static void make_parts(struct wr_study *study)
{
    struct wr_error err;

    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        struct clock since = now();
        if (wr_study_gather(study, WR_RESULT_BIT(parts[i].result), &err)) quit(parts[i].name, &err);
        if (wr_study_has(study, parts[i].result)) say(parts[i].name, since);
    }
}

int main(int argc, char **argv)
{
    struct wr_study study = {0};
    struct wr_study_options options = wr_study_default();
    struct wr_error err;

    if (argc < 2) return 2;
    options.folder = argv[1];
    options.n_thread = argc > 2 ? (unsigned)atoi(argv[2]) : 1;
    struct clock since = now();
    if (wr_study_open(&study, &options, &err)) quit("reading", &err);
    say("reading", since);
    make_parts(&study);
    since = now();
    draw_all(&study, options.n_thread);
    say("charts", since);
    wr_study_release(&study);
    return 0;
}
