/* The replay rule on every bundled campaign: modelled minutes and holds, walked through the plan, end with the log. */
#include <check.h>
#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/timing/timing.h"

struct campaign {
    struct wr_findings findings;
    struct wr_plan plan;
    struct wr_network net;
    struct wr_run_log log;
    struct wr_timing timing;
};

/* What the README of each set says about it. A set that is not listed here fails the test. */
static const struct promise {
    const char *runs, *columns;
    size_t n_run, n_task, n_rejected, n_sound; /* sound: complete and kept to plan */
} promises[] = {
    {"datasets/petrel-7/runs.csv", NULL, 9, 28, 6, 7},
    {"datasets/petrel-shed/runs.csv", "run=Session,task=Work,crew=Team,start=Began,end=Ended", 4, 11, 0, 4},
};

static const struct promise *promise_of(const char *runs)
{
    for (size_t i = 0; i < sizeof promises / sizeof *promises; i++)
        if (strcmp(promises[i].runs, runs) == 0) return &promises[i];
    ck_abort_msg("%s is not listed in this test", runs);
    return NULL;
}

static void load(struct campaign *c, const struct promise *p)
{
    struct wr_error err = {0};
    struct wr_log_options options = {.columns = p->columns};
    char plan_path[256];

    *c = (struct campaign){0};
    ck_assert_msg(wr_run_log_read(&c->log, &p->runs, 1, &options, &c->findings, &err) == WR_OK, "%s", err.text);
    snprintf(plan_path, sizeof plan_path, "%.*splan.csv", (int)(strrchr(p->runs, '/') + 1 - p->runs), p->runs);
    FILE *f = fopen(plan_path, "r");
    if (f) fclose(f);
    enum wr_status status = f ? wr_plan_read(&c->plan, plan_path, &c->findings, &err)
                              : wr_plan_derive(&c->plan, &c->log, &c->findings, &err);
    ck_assert_msg(status == WR_OK, "%s", err.text);
    ck_assert_msg(wr_network_build(&c->net, &c->plan, &err) == WR_OK, "%s", err.text);
    wr_network_check(&c->net);
    ck_assert_msg(wr_timing_build(&c->timing, &c->log, &c->plan, &c->net, &c->findings, &err) == WR_OK, "%s", err.text);
    wr_timing_check(&c->timing);
}

static void clear_away(struct campaign *c)
{
    wr_timing_release(&c->timing);
    wr_network_release(&c->net);
    wr_run_log_release(&c->log);
    wr_plan_release(&c->plan);
    wr_findings_release(&c->findings);
}

static size_t count_code(const struct campaign *c, const char *code)
{
    size_t n = 0;

    for (size_t i = 0; i < c->findings.n_finding; i++) n += strcmp(c->findings.finding[i].code, code) == 0;
    return n;
}

START_TEST(every_set_replays_to_its_finishes)
{
    glob_t found;

    ck_assert(glob("datasets/*/runs.csv", 0, NULL, &found) == 0); /* tests run at the top of the source tree */
    ck_assert_uint_eq(found.gl_pathc, sizeof promises / sizeof *promises);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        const struct promise *p = promise_of(found.gl_pathv[i]);
        struct campaign c;
        size_t sound = 0;
        load(&c, p);
        ck_assert_uint_eq(c.timing.n_run, p->n_run);
        ck_assert_uint_eq(c.timing.n_task, p->n_task);
        ck_assert_uint_eq(c.log.rows_rejected, p->n_rejected);
        ck_assert_uint_eq(c.log.rows_read, c.log.rows_accepted + c.log.rows_rejected);
        for (size_t r = 0; r < c.timing.n_run; r++) {
            const struct wr_timing_run *run = &c.timing.run[r];
            double finish = 0;
            for (size_t s = 0; s < c.log.n_step; s++) /* of the log itself, whatever the table says */
                if (c.log.step[s].run == r && c.log.step[s].has_clock) finish = fmax(finish, c.log.step[s].end_min);
            ck_assert(run->finish_min.known && run->finish_min.value == finish);
            if (!run->kept_to_plan) continue;
            ck_assert_msg(fabs(run->replay_min - finish) <= 0.5 / 60, "%s, run %s: %.4f and %.4f min", p->runs,
                          c.log.run[r].id, run->replay_min, finish);
            ck_assert(run->finish_without_holds_min <= run->replay_min);
            sound += run->complete;
        }
        ck_assert_uint_eq(sound, p->n_sound);
        ck_assert_uint_eq(count_code(&c, "replay-differs"), 0);
        clear_away(&c);
    }
    globfree(&found);
}
END_TEST

START_TEST(the_slow_watch_is_found)
{
    struct campaign c;
    const struct wr_finding *early = NULL;

    load(&c, &promises[0]);
    ck_assert_uint_eq(count_code(&c, "began-early"), 1);
    for (size_t i = 0; i < c.findings.n_finding; i++)
        if (strcmp(c.findings.finding[i].code, "began-early") == 0) early = &c.findings.finding[i];
    ck_assert(strstr(early->message, "'P7-5'") && strstr(early->message, "'DRUM-FREE'"));
    ck_assert(strstr(early->message, "'SHADE'") != NULL);
    ck_assert_uint_eq(count_code(&c, "other-crew") + count_code(&c, "person-twice") + count_code(&c, "no-time"), 0);
    ck_assert_uint_eq(c.timing.n_person, 4);
    clear_away(&c);
}
END_TEST

/* A step with more rows than are kept apart: 100 of a minute each with a minute between, 6 s of each held. */
START_TEST(rows_added_up_replay_as_well)
{
    struct campaign c = {0};
    struct wr_str text = {0};

    wr_str_add(&text, "run,task,start,end,hold,crew\n");
    for (int i = 0; i < 100; i++) wr_str_addf(&text, "R,T,%d,%d,0.1,a\n", 2 * i, 2 * i + 1);
    ck_assert_int_eq(wr_run_log_read_bytes(&c.log, "runs.csv", text.text, text.len, NULL, &c.findings, NULL), WR_OK);
    ck_assert_int_eq(wr_plan_derive(&c.plan, &c.log, &c.findings, NULL), WR_OK);
    ck_assert_int_eq(wr_network_build(&c.net, &c.plan, NULL), WR_OK);
    ck_assert_int_eq(wr_timing_build(&c.timing, &c.log, &c.plan, &c.net, &c.findings, NULL), WR_OK);
    ck_assert_uint_eq(count_code(&c, "many-pieces"), 1);
    ck_assert_double_eq_tol(c.timing.cell[0].gap_min, 99, 1e-9);
    ck_assert_double_eq_tol(c.timing.cell[0].active_min, 90, 1e-9);
    ck_assert_double_eq_tol(c.timing.run[0].replay_min, 199, 1e-9);
    ck_assert_uint_eq(count_code(&c, "replay-differs"), 0);
    clear_away(&c);
    wr_str_release(&text);
}
END_TEST

Suite *suite_dataset_replay(void);
Suite *suite_dataset_replay(void)
{
    Suite *s = suite_create("dataset_replay");
    TCase *t = tcase_create("dataset_replay");

    tcase_add_test(t, every_set_replays_to_its_finishes);
    tcase_add_test(t, the_slow_watch_is_found);
    tcase_add_test(t, rows_added_up_replay_as_well);
    suite_add_tcase(s, t);
    return s;
}
