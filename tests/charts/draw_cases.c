/* draw_cases FOLDER [CASE…]: every chart of invented campaigns (few and many tasks, one to five lanes, no limit, no
 * rehearsals, hostile titles) as SVG for the layout check, wide and narrow, and as PNG for the eye. */
#include <stdio.h>
#include <string.h>
#include "chart_case.h"
#include "wetrun/base/memory.h"
#include "wetrun/io/output_file.h"

static const struct named_case {
    const char *name;
    struct chart_case_options options;
} named_cases[] = {
    {"usual", {.n_task = 28, .n_lane = 2, .n_run = 9, .limit_min = -91, .spread = 1}},
    {"hostile", {.n_task = 28, .n_lane = 2, .n_run = 9, .limit_min = -91, .spread = 1, .titles = TITLES_HOSTILE}},
    {"three", {.n_task = 3, .n_lane = 2, .n_run = 4, .limit_min = -80, .spread = 1}},
    {"eighty", {.n_task = 80, .n_lane = 2, .n_run = 12, .limit_min = -97, .spread = 1, .titles = TITLES_HOSTILE}},
    {"one-lane", {.n_task = 12, .n_lane = 1, .n_run = 5, .limit_min = -60, .spread = 1}},
    {"five-lanes", {.n_task = 40, .n_lane = 5, .n_run = 6, .limit_min = -100, .spread = 1}},
    {"no-limit", {.n_task = 28, .n_lane = 2, .n_run = 9, .spread = 1}},
    {"no-runs", {.n_task = 20, .n_lane = 2, .limit_min = -90, .spread = 1.5}},
    {"fixed", {.n_task = 5, .n_lane = 2, .limit_min = 90}},
    {"all-over", {.n_task = 28, .n_lane = 2, .n_run = 3, .limit_min = 200, .spread = 1}},
    {"far-limit", {.n_task = 10, .n_lane = 2, .n_run = 3, .limit_min = 1440, .spread = 1}},
    {"one-task", {.n_task = 1, .n_lane = 1, .n_run = 2, .limit_min = -95, .spread = 3}},
};

static int write_job(const char *folder, const char *name, const struct wr_chart_job *job)
{
    char path[600];
    struct wr_error err = job->err;
    enum wr_status status = job->status;

    snprintf(path, sizeof path, "%s/%s-%s-%u.%s", folder, name, wr_chart_name(job->chart), job->options.width,
             job->options.format == WR_CHART_PNG ? "png" : "svg");
    if (status == WR_OK) status = wr_output_write(path, job->bytes.text, job->bytes.len, &err);
    if (status != WR_OK) fprintf(stderr, "%s: %s\n", path, err.text);
    return status == WR_OK ? 0 : 1;
}

static int draw_case(const char *folder, const struct named_case *named)
{
    struct wr_chart_job job[4 * WR_N_CHART];
    struct chart_case c;
    size_t n = 0;
    int failed = 0;

    chart_case_make(&c, &named->options);
    for (int chart = 0; chart < WR_N_CHART; chart++) {
        if (wr_chart_missing((enum wr_chart)chart, &c.input)) continue;
        for (int i = 0; i < 4; i++)
            job[n++] = (struct wr_chart_job){
                .chart = (enum wr_chart)chart,
                .options = {.format = i % 2 ? WR_CHART_PNG : WR_CHART_SVG, .width = i / 2 ? 372 : 960}};
    }
    wr_chart_render_all(job, n, &c.input, 0);
    for (size_t i = 0; i < n; i++) {
        failed += write_job(folder, named->name, &job[i]);
        wr_str_release(&job[i].bytes);
    }
    chart_case_release(&c);
    return failed;
}

int main(int argc, char **argv)
{
    int failed = 0;

    if (argc < 2) {
        fprintf(stderr, "usage: draw_cases FOLDER [CASE…]\n");
        return 2;
    }
    for (size_t i = 0; i < sizeof named_cases / sizeof *named_cases; i++) {
        int wanted = argc == 2;
        for (int a = 2; a < argc; a++) wanted |= strcmp(argv[a], named_cases[i].name) == 0;
        if (wanted) failed += draw_case(argv[1], &named_cases[i]);
    }
    return failed ? 1 : 0;
}
