/* Charts through gnuplot, and where it fails. */
#include <check.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "chart_script.h"

/* ---- through gnuplot ---- */

static bool have_gnuplot(void)
{
    bool there = access("/usr/bin/gnuplot", X_OK) == 0 || access("/usr/local/bin/gnuplot", X_OK) == 0;

    if (!there) fprintf(stderr, "chart: gnuplot is not installed, nothing drawn\n");
    return there;
}

START_TEST(hostile_titles_are_drawn_and_run_nothing)
{
    static const char witness[] = "/tmp/wetrun-was-here";
    struct wr_chart_job job[2 * WR_N_CHART] = {{.chart = 0}};
    struct chart_case c;
    size_t n = 0;

    if (!have_gnuplot()) return;
    unlink(witness);
    chart_case_make(&c, &chart_hostile);
    for (int chart = 0; chart < WR_N_CHART; chart++) {
        if (wr_chart_missing((enum wr_chart)chart, &c.input)) continue;
        job[n++] = (struct wr_chart_job){.chart = (enum wr_chart)chart};
        job[n++] = (struct wr_chart_job){.chart = (enum wr_chart)chart,
                                         .options = {.format = WR_CHART_PNG, .width = WR_CHART_NARROW}};
    }
    wr_chart_render_all(job, n, &c.input, 2);
    for (size_t i = 0; i < n; i++) {
        ck_assert_msg(job[i].status == WR_OK, "%s", job[i].err.text);
        ck_assert_uint_gt(job[i].bytes.len, 1000);
        if (i % 2 == 0) ck_assert_ptr_null(strstr(job[i].bytes.text, "<script"));
        wr_str_release(&job[i].bytes);
    }
    ck_assert_int_ne(access(witness, F_OK), 0);
    chart_case_release(&c);
}
END_TEST

/* Puts a program named gnuplot first in PATH that leaves a mark for each run and then is the real one. */
static void count_runs(const char *folder, const char *before)
{
    char path[200];

    snprintf(path, sizeof path, "%s/gnuplot", folder);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fprintf(f, "#!/bin/sh\n%s\n: > %s/run-$$\nPATH=/usr/local/bin:/usr/bin:/bin\nexec gnuplot \"$@\"\n", before,
            folder);
    fclose(f);
    ck_assert_int_eq(chmod(path, 0700), 0);
    setenv("PATH", folder, 1);
}

static size_t remove_marks(const char *folder)
{
    DIR *dir = opendir(folder);
    char path[400];
    size_t n = 0;

    for (struct dirent *e; (e = readdir(dir)) != NULL;) {
        n += strncmp(e->d_name, "run-", 4) == 0;
        snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
        if (e->d_name[0] != '.') unlink(path);
    }
    closedir(dir);
    rmdir(folder);
    return n;
}

/* Charts that share a run of gnuplot must not see each other's numbers: with and without a limit, a trend, marks. */
START_TEST(charts_drawn_together_are_the_same_as_alone)
{
    char folder[] = "/tmp/wetrun-test-XXXXXX", path[] = "/usr/local/bin:/usr/bin:/bin";
    struct wr_chart_job job[3 * WR_N_CHART] = {{.chart = 0}};
    struct wr_str alone = {0};
    struct chart_case c;
    size_t n = 0;

    if (!have_gnuplot()) return;
    chart_case_make(&c, &chart_usual);
    for (int turn = 0; turn < 3; turn++)
        for (int chart = 0; chart < WR_N_CHART; chart++)
            if (!wr_chart_missing((enum wr_chart)chart, &c.input))
                job[n++] = (struct wr_chart_job){
                    .chart = (enum wr_chart)(turn % 2 ? WR_N_CHART - 1 - chart : chart),
                    .options = {.width = turn == 2 ? WR_CHART_NARROW : 0, .inline_id = turn ? "x" : NULL}};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    count_runs(folder, "");
    struct wr_chart_input in = c.input;
    struct wr_chart_runs *runs = wr_chart_runs_begin(job, n, &in, 2);
    memset(&in, 0x55, sizeof in); /* while gnuplot draws nobody looks at it */
    wr_chart_runs_draw(runs, 2);
    in = c.input;
    wr_chart_runs_finish(runs, 2);
    wr_chart_runs_release(runs);
    ck_assert_uint_eq(remove_marks(folder), 2); /* one on each thread: none had to be drawn again alone */
    setenv("PATH", path, 1);
    for (size_t i = 0; i < n; i++) {
        ck_assert_msg(job[i].status == WR_OK, "%s", job[i].err.text);
        wr_str_clear(&alone);
        ck_assert_int_eq(wr_chart_render(job[i].chart, &c.input, &job[i].options, &alone, NULL), WR_OK);
        ck_assert_str_eq(job[i].bytes.text, alone.text);
        wr_str_release(&job[i].bytes);
    }
    wr_str_release(&alone);
    chart_case_release(&c);
}
END_TEST

/* A chart each, alone, where the common run fails: no /dev/stdin to read from, or no /dev/stdout to write to. */
START_TEST(charts_are_drawn_where_pipes_have_no_names)
{
    static const char *const lacking[] = {"case $* in */dev/*) exit 1;; esac",
                                          "case $* in */dev/*) echo no /dev/stdout >&2; exit 0;; esac"};
    char folder[] = "/tmp/wetrun-test-XXXXXX";
    struct wr_chart_job job[3] = {{.chart = WR_CHART_FINISH}, {.chart = WR_CHART_TASKS}, {.chart = WR_CHART_LANES}};
    struct chart_case c;

    if (!have_gnuplot()) return;
    chart_case_make(&c, &chart_usual);
    ck_assert_ptr_nonnull(mkdtemp(folder));
    count_runs(folder, lacking[_i]);
    wr_chart_render_all(job, 3, &c.input, 1);
    ck_assert_uint_eq(remove_marks(folder), 3);
    for (size_t i = 0; i < 3; i++) {
        ck_assert_msg(job[i].status == WR_OK, "%s", job[i].err.text);
        ck_assert_ptr_nonnull(strstr(job[i].bytes.text, "</svg>"));
        wr_str_release(&job[i].bytes);
    }
    chart_case_release(&c);
}
END_TEST

START_TEST(no_gnuplot_is_a_status)
{
    struct chart_case c;
    struct wr_str bytes = {0};
    struct wr_error err = {0};
    struct wr_chart_options o = {.width = 0};

    setenv("PATH", "/nowhere", 1);
    chart_case_make(&c, &chart_usual);
    ck_assert_int_eq(wr_chart_render(WR_CHART_FINISH, &c.input, &o, &bytes, &err), WR_E_NO_PROGRAM);
    ck_assert_ptr_nonnull(strstr(err.text, "chart 'finish'"));
    ck_assert_uint_eq(bytes.len, 0);
    chart_case_release(&c);
}
END_TEST

/* A gnuplot that dies, or says nothing, or stops half-way. */
START_TEST(a_gnuplot_that_fails_gives_no_picture)
{
    static const char *const body[] = {"exit 1", "exit 0", "kill -9 $$", "echo '<svg viewBox=\"0 0 1 1\">'",
                                       "printf '\\211PNG\\r\\n\\032\\n'"};
    char folder[] = "/tmp/wetrun-test-XXXXXX", path[100];
    struct chart_case c;
    struct wr_str bytes = {0};
    struct wr_error err = {0};
    struct wr_chart_options o = {.format = _i % 2 ? WR_CHART_PNG : WR_CHART_SVG};

    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/gnuplot", folder);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fprintf(f, "#!/bin/sh\n%s\n", body[_i / 2]);
    fclose(f);
    ck_assert_int_eq(chmod(path, 0700), 0);
    setenv("PATH", folder, 1);
    chart_case_make(&c, &chart_usual);
    ck_assert_int_eq(wr_chart_render(WR_CHART_FINISH, &c.input, &o, &bytes, &err), WR_E_CHILD);
    ck_assert_uint_eq(bytes.len, 0);
    chart_case_release(&c);
    unlink(path);
    rmdir(folder);
}
END_TEST

Suite *suite_chart_drawn(void);
Suite *suite_chart_drawn(void)
{
    Suite *s = suite_create("chart_drawn");
    TCase *t = tcase_create("chart_drawn");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, hostile_titles_are_drawn_and_run_nothing);
    tcase_add_test(t, charts_drawn_together_are_the_same_as_alone);
    tcase_add_loop_test(t, charts_are_drawn_where_pipes_have_no_names, 0, 2);
    tcase_add_test(t, no_gnuplot_is_a_status);
    tcase_add_loop_test(t, a_gnuplot_that_fails_gives_no_picture, 0, 10);
    suite_add_tcase(s, t);
    return s;
}
