/* The screen before the fit: what it finds, and that ordinary days do not set it off. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include "read_campaign.h"
#include "wetrun/base/str.h"
#include "wetrun/timing/implausible.h"

enum { TASKS = 12, RUNS = 6 };

struct made {
    struct wr_plan plan;
    struct wr_run_log log;
    struct wr_network net;
    struct wr_timing timing;
    struct wr_limits limits;
    struct wr_findings findings;
    struct wr_screen screen;
};

static double uniform(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return ((double)(*state >> 11) + 0.5) / 9007199254740992.0;
}

/* Box and Muller */
static double normal(uint64_t *state)
{
    double u = uniform(state), v = uniform(state);

    return sqrt(-2 * log(u)) * cos(6.283185307179586 * v);
}

/* One lane; task k planned 20 + 3 k minutes, a run effect of sd 0.1, errors of sd sd_log; `at` (run * TASKS + task)
 * takes `odd` times as long as it should. */
static void write_log(struct wr_str *log, uint64_t seed, double sd_log, size_t at, double odd)
{
    uint64_t state = seed * 2654435761u + 1;

    wr_str_add(log, "run,task,start,end,crew\n");
    for (size_t r = 0; r < RUNS; r++) {
        double now = 0, day = 0.1 * normal(&state);
        for (size_t k = 0; k < TASKS; k++) {
            double took = (20 + 3.0 * (double)k) * exp(day + sd_log * normal(&state)) * (r * TASKS + k == at ? odd : 1);
            wr_str_addf(log, "R%zu,T%zu,%.3f,%.3f,EV1\n", r, k, now, now + took);
            now += took;
        }
    }
}

static void make(struct made *m, const char *log, const char *limits, double planned)
{
    struct wr_str plan = {0};
    struct wr_error err = {.text = ""};

    *m = (struct made){0};
    wr_str_add(&plan, "task,crew,planned\n");
    for (size_t k = 0; k < TASKS; k++) wr_str_addf(&plan, "T%zu,EV1,%g\n", k, planned * (20 + 3.0 * (double)k));
    ck_assert_int_eq(wr_plan_read_bytes(&m->plan, "plan.csv", plan.text, plan.len, &m->findings, &err), WR_OK);
    ck_assert_msg(wr_run_log_read_bytes(&m->log, "runs.csv", log, strlen(log), NULL, &m->findings, &err) == WR_OK, "%s",
                  err.text);
    ck_assert_int_eq(
        wr_limits_read_bytes(&m->limits, "limits.csv", limits, strlen(limits), &m->plan, &m->findings, &err), WR_OK);
    ck_assert_int_eq(wr_network_build(&m->net, &m->plan, &err), WR_OK);
    ck_assert_int_eq(wr_timing_build(&m->timing, &m->log, &m->plan, &m->net, &m->findings, &err), WR_OK);
    wr_screen_make(&m->screen, &m->log, &m->plan, &m->net, &m->timing, &m->findings);
    wr_screen_limits(&m->screen, &m->plan, &m->net, &m->timing, &m->limits, &m->findings);
    wr_str_release(&plan);
}

static void release(struct made *m)
{
    wr_screen_release(&m->screen);
    wr_timing_release(&m->timing);
    wr_network_release(&m->net);
    wr_limits_release(&m->limits);
    wr_run_log_release(&m->log);
    wr_plan_release(&m->plan);
    wr_findings_release(&m->findings);
}

static const char limit_text[] = "limit,crew,from,to,minutes,confidence\nday,all,,,8:00,0.9\n";

static size_t rows_of(const struct made *m, enum wr_implausible_kind kind)
{
    size_t n = 0;

    for (size_t i = 0; i < m->screen.n_row; i++) n += m->screen.row[i].kind == kind;
    return n;
}

/* With errors of sd 0.25 four times the usual is 5.5 sd: no campaign of 200 with 72 steps each should be stopped at. */
START_TEST(ordinary_days_pass)
{
    size_t alarms = 0;

    for (uint64_t seed = 1; seed <= 200; seed++) {
        struct wr_str log = {0};
        struct made m;
        write_log(&log, seed, 0.25, SIZE_MAX, 1);
        make(&m, log.text, limit_text, 1);
        alarms += m.screen.n_row > 0;
        release(&m);
        wr_str_release(&log);
    }
    ck_assert_uint_eq(alarms, 0);
}
END_TEST

START_TEST(a_slip_is_found)
{
    const double odd[] = {12, 0.05};

    for (size_t i = 0; i < 2; i++)
        for (uint64_t seed = 1; seed <= 20; seed++) {
            struct wr_str log = {0};
            struct made m;
            size_t at = 2 * TASKS + (size_t)seed % TASKS;
            char task[8];
            write_log(&log, seed, 0.25, at, odd[i]);
            make(&m, log.text, limit_text, 1);
            snprintf(task, sizeof task, "T%zu", at % TASKS);
            ck_assert_uint_eq(rows_of(&m, WR_IMPLAUSIBLE_STEP), 1);
            for (size_t k = 0; k < m.screen.n_row; k++)
                if (m.screen.row[k].kind == WR_IMPLAUSIBLE_STEP) {
                    ck_assert_str_eq(m.screen.row[k].task, task);
                    ck_assert_str_eq(m.screen.row[k].run, "R2");
                }
            release(&m);
            wr_str_release(&log);
        }
}
END_TEST

START_TEST(units_and_limits)
{
    struct wr_str log = {0};
    struct made m;

    write_log(&log, 5, 0.2, SIZE_MAX, 1);
    make(&m, log.text, limit_text, 1 / 60.0); /* the plan in hours */
    ck_assert(m.screen.unit_doubtful);
    ck_assert_uint_eq(rows_of(&m, WR_IMPLAUSIBLE_UNIT), 1);
    ck_assert_double_eq_tol(m.screen.row[0].read_min, 60, 15);
    release(&m);
    make(&m, log.text, "limit,crew,minutes\nday,all,100:00\n", 60); /* the plan in seconds */
    ck_assert(m.screen.unit_doubtful);
    ck_assert_double_eq_tol(m.screen.row[0].read_min, 1 / 60.0, 15 / 3600.0);
    release(&m);
    make(&m, log.text, "limit,crew,minutes\nday,all,8\n", 1); /* hours, surely: the day takes more than seven */
    ck_assert_uint_eq(rows_of(&m, WR_IMPLAUSIBLE_LIMIT), 1);
    release(&m);
    wr_str_release(&log);
}
END_TEST

/* The day takes about 7:20. As spreadsheets keep 0730: 730 minutes are 12:10. As many minutes written h:mm, a number
 * that no clock shows, and one that is near in minutes are what they say. */
START_TEST(limits_that_lost_their_colon)
{
    const struct { const char *minutes; size_t n; } of[] = {{"730", 1}, {"800", 1}, {"12:10", 0}, {"790", 0},
                                                            {"0730", 0}, {"459", 0}, {"1230", 0}, {"30:30", 0}};
    struct wr_str log = {0};

    write_log(&log, 5, 0.2, SIZE_MAX, 1);
    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct made m;
        WR_SCOPED_STR limits = {0};
        wr_str_addf(&limits, "limit,crew,minutes\nday,all,%s\n", of[i].minutes);
        make(&m, log.text, limits.text, 1);
        ck_assert_msg(rows_of(&m, WR_IMPLAUSIBLE_LIMIT) == of[i].n, "%s", of[i].minutes);
        if (of[i].n) ck_assert(strstr(m.findings.finding[0].message, "is meant, write ") != NULL);
        release(&m);
    }
    wr_str_release(&log);
}
END_TEST

static size_t n_of_code(const struct made *m, const char *code)
{
    size_t n = 0;

    for (size_t i = 0; i < m->findings.n_finding; i++) n += strcmp(m->findings.finding[i].code, code) == 0;
    return n;
}

/* A call on the loop takes no time, and the plan allots it none: but a plan that allots nothing says nothing. */
START_TEST(allotted_nothing)
{
    static const struct {
        const char *plan;
        bool never_timed;
    } plans[] = {
        {"task,crew,planned\nCALL,EV1,\nMAST,EV1,40\n", false},
        {"task,crew,planned\nCALL,EV1,2\nMAST,EV1,40\n", true},
        {"task,crew\nCALL,EV1\nMAST,EV1\n", true},
    };

    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct read_campaign c;
        read_campaign(&c, plans[i].plan, NULL,
                      "run,task,start,end,crew\nR,CALL,0,0,EV1\nR,MAST,0,40,EV1\nS,CALL,0,0,EV1\nS,MAST,0,44,EV1\n");
        ck_assert(wr_never_timed(&c.timing, &c.plan, 0) == plans[i].never_timed);
        ck_assert(!wr_never_timed(&c.timing, &c.plan, 1));
        read_release(&c);
    }
}
END_TEST

START_TEST(nothing_done)
{
    struct made m;

    make(&m, "run,task,start,end,crew,outcome\nR,T0,0,10,EV1,stopped\nR,T1,10,130,EV1,stopped\n", limit_text, 1);
    ck_assert_uint_eq(m.findings.n_of[WR_ERROR], 0);
    ck_assert_uint_eq(n_of_code(&m, "nothing-done"), 1);
    release(&m);
}
END_TEST

/* Steps that end as they begin, or are holds from begin to end, say as little. One time of each task, and all is
 * known; of a task that one run did in no time and another stopped, nothing is. */
START_TEST(done_in_no_time)
{
    static const struct {
        const char *rows;
        size_t nothing, untimed;
    } logs[] = {
        {"R,T0,0,0,EV1,,done\nR,T1,0,0,EV1,,done\n", 1, 0},
        {"R,T0,0,10,EV1,10,done\nR,T1,10,70,EV1,60,done\n", 1, 0},
        {"R,T0,0,0,EV1,,done\nR,T1,0,60,EV1,,done\n", 0, 1},
        {"R,T0,0,0,EV1,,done\nR,T1,0,60,EV1,,done\nS,T0,0,9,EV1,,stopped\nS,T1,9,60,EV1,,done\n", 0, 1},
        {"R,T0,0,0,EV1,,done\nR,T1,0,60,EV1,,done\nS,T0,0,9,EV1,,done\nS,T1,9,60,EV1,,done\n", 0, 0},
    };

    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        WR_SCOPED_STR log = {0};
        struct made m;
        wr_str_addf(&log, "run,task,start,end,crew,hold,outcome\n%s", logs[i].rows);
        make(&m, log.text, limit_text, 1);
        ck_assert_uint_eq(n_of_code(&m, "nothing-done"), logs[i].nothing);
        ck_assert_uint_eq(n_of_code(&m, "never-timed"), logs[i].untimed);
        release(&m);
    }
}
END_TEST

/* ---- single steps ---- */

/* One task; so many minutes in each run, below 0: stopped after them. What is said of the last run's step, or NULL.
 * Far is four times what plan and others have, six where one of them is not known; or an hour more or less, of no more
 * than two fifths. */
static const struct {
    const char *planned;
    double minutes[5];
    size_t n;
    const char *says;
} last_steps[] = {
    {"20", {20, 21, 22, 140}, 4, "takes 2:20 as read; the plan says 0:20, other runs typically 0:21: a slip"},
    {"20", {20, 21, 22, 50}, 4, NULL},
    {"", {20, 21, 22, 140}, 4, "takes 2:20 as read; other runs typically 0:21: a slip"},
    {"", {20, 21, 22, 120}, 4, NULL},
    {"20", {130}, 1, "takes 2:10 as read; the plan says 0:20: a slip"},
    {"20", {119}, 1, NULL},
    {"", {130}, 1, NULL},
    {"20", {20, 130}, 2, "takes 2:10 as read; the plan says 0:20: a slip"}, /* one other run is no usual time */
    {"", {20, 21, 22, 83}, 4, "takes 1:23 as read"},  /* an hour off */
    {"", {20, 21, 22, 90}, 4, NULL},                  /* an hour and seven minutes */
    {"", {20, 21, 22, 76}, 4, NULL},
    {"", {40, 41, 42, 100}, 4, NULL},
    {"", {20, 83}, 2, NULL},
    {"20", {20, 21, 22, -140}, 4, "takes 2:20 as read"},
    {"20", {20, 21, 22, 3}, 4, "takes 0:03 as read"},
    {"20", {20, 21, 22, -3}, 4, NULL}, /* cut off early: that is what stopped means */
    {"1", {1, 1, 1, 5}, 4, NULL},      /* four times as long, and four minutes */
    {"1", {1, 1, 1, 7}, 4, "takes 0:07 as read"},
    {"", {36, 27, 48, 36, 98}, 5, "takes 1:38 as read; other runs typically 0:36"}, /* 2.7 times, and an hour */
    {"36", {36, 27, 48, 36, 98}, 5, "takes 1:38 as read"},
    {"", {36, 27, 48, 36, 101}, 5, NULL}, /* an hour and seven minutes */
    {"", {36, 27, 58, 36, 97}, 5, NULL},  /* another run was not far from it */
    {"", {87, 88, 79, 87, 26}, 5, "takes 0:26 as read; other runs typically 1:27"},
    {"", {87, 88, 79, 87, -26}, 5, NULL},
    {"", {87, 88, 79, 87, 40}, 5, NULL},
};

/* So many runs of 20 minutes stand before: with more than 50 the usual time is that of all. */
static void check_last_step(size_t row, size_t before)
{
    struct made m = {0};
    struct wr_str log = {0}, plan = {0};
    struct wr_error err = {.text = ""};
    const char *said = NULL;

    wr_str_add(&log, "run,task,crew,minutes,outcome\n");
    for (size_t r = 0; r < before; r++) wr_str_addf(&log, "B%zu,T,EV1,20,done\n", r);
    for (size_t r = 0; r < last_steps[row].n; r++)
        wr_str_addf(&log, "R%zu,T,EV1,%g,%s\n", r, fabs(last_steps[row].minutes[r]),
                    last_steps[row].minutes[r] < 0 ? "stopped" : "done");
    wr_str_addf(&plan, "task,crew,planned\nT,EV1,%s\n", last_steps[row].planned);
    ck_assert_int_eq(wr_plan_read_bytes(&m.plan, "plan.csv", plan.text, plan.len, &m.findings, &err), WR_OK);
    ck_assert_int_eq(wr_run_log_read_bytes(&m.log, "runs.csv", log.text, log.len, NULL, &m.findings, &err), WR_OK);
    ck_assert_int_eq(wr_network_build(&m.net, &m.plan, &err), WR_OK);
    ck_assert_int_eq(wr_timing_build(&m.timing, &m.log, &m.plan, &m.net, &m.findings, &err), WR_OK);
    wr_screen_make(&m.screen, &m.log, &m.plan, &m.net, &m.timing, &m.findings);
    for (size_t i = 0; i < m.findings.n_finding; i++)
        if (strcmp(m.findings.finding[i].code, "implausible-step") == 0) said = m.findings.finding[i].message;
    ck_assert_msg((said != NULL) == (last_steps[row].says != NULL), "%zu: %s", row, said ? said : "nothing");
    if (said) ck_assert_msg(strstr(said, last_steps[row].says) != NULL, "%s", said);
    release(&m);
    wr_str_release(&log);
    wr_str_release(&plan);
}

START_TEST(a_step_far_from_its_others)
{
    check_last_step((size_t)_i, 0);
}
END_TEST

START_TEST(a_step_among_many)
{
    check_last_step(13, 60); /* long, and cut off */
    check_last_step(15, 60); /* short, and cut off */
}
END_TEST

/* A rule that no run kept is doubted by those that began the task; of one that skipped it nobody knows when it could
 * have begun, and nothing is said of every day. OUT ends at 0:20, JOB may begin then. */
START_TEST(a_rule_that_nobody_kept)
{
    static const char plan[] = "task,crew,planned,drop_after\nOUT,EV1,20,\nJOB,EV1,10,0:15\nIN,EV1,20,\n";
    static const struct { const char *second, *third, *says; } of[] = {
        {"skipped", "skipped", "the one run that began it did so at 0:20 (2 skipped it, and may have been in time or "
                               "not): by the rule a day like that drops it."},
        {"skipped", "done", "none of the 2 runs that began it did so before 0:20 (1 skipped it, and may have been in "
                            "time or not): by the rule a day like those drops it."},
        {"done", "done", "none of the 3 runs that began it did so before 0:20: by the rule a day like those drops it."},
    };

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        const char *outcome[] = {"done", of[i].second, of[i].third}, *found = NULL;
        struct made m = {0};
        struct wr_str log = {0};
        wr_str_add(&log, "run,task,crew,minutes,outcome\n");
        for (int r = 0; r < 3; r++)
            wr_str_addf(&log, "R%d,OUT,EV1,20,done\nR%d,JOB,EV1,%s,%s\nR%d,IN,EV1,20,done\n", r, r,
                        *outcome[r] == 'd' ? "10" : "", outcome[r], r);
        ck_assert_int_eq(wr_plan_read_bytes(&m.plan, "plan.csv", plan, strlen(plan), &m.findings, NULL), WR_OK);
        ck_assert_int_eq(wr_run_log_read_bytes(&m.log, "runs.csv", log.text, log.len, NULL, &m.findings, NULL), WR_OK);
        ck_assert_int_eq(wr_network_build(&m.net, &m.plan, NULL), WR_OK);
        ck_assert_int_eq(wr_timing_build(&m.timing, &m.log, &m.plan, &m.net, &m.findings, NULL), WR_OK);
        wr_screen_limits(&m.screen, &m.plan, &m.net, &m.timing, &m.limits, &m.findings);
        for (size_t f = 0; f < m.findings.n_finding; f++)
            if (strcmp(m.findings.finding[f].code, "implausible-rule") == 0) found = m.findings.finding[f].message;
        ck_assert_ptr_nonnull(found);
        ck_assert_msg(strstr(found, of[i].says) != NULL, "%s", found);
        wr_str_release(&log);
        release(&m);
    }
}
END_TEST

/* A 30, an hour, C 30, in five runs; B is planned and in none of them. */
static const struct {
    const char *plan; /* rows of it */
    int gap_min;      /* between A and C */
    bool asked;
} unlogged[] = {
    {"A,EV1,30\nB,EV1,60\nC,EV1,30\n", 60, true},
    {"A,EV1,30\nB,EV1,60\nC,EV1,30\n", 20, false}, /* no room for it */
    {"A,EV1,30\nB,EV1,6\nC,EV1,30\n", 4, false},   /* nor much to count twice */
    {"A,EV1,30\nC,EV1,30\nB,EV1,60\n", 60, false}, /* nothing comes behind it */
    {"A,EV1,30\nC,EV1,30\n", 60, false},
    {"A,EV1,30\nB,EV2,60\nC,EV1,30\n", 60, false}, /* of another lane */
    {"A,EV1,30\nB,EV1+EV2,60\nC,EV1,30\n", 60, true},
};

START_TEST(a_planned_task_that_no_run_logs)
{
    struct made m = {0};
    struct wr_str log = {0}, plan = {0};
    struct wr_error err = {.text = ""};
    size_t n = 0;

    wr_str_add(&log, "run,task,crew,start,end\n");
    for (int r = 0; r < 5; r++) {
        int begin = 30 + r + unlogged[_i].gap_min;
        wr_str_addf(&log, "R%d,A,EV1,0,%d\nR%d,C,EV1,%d,%d\n", r, 30 + r, r, begin, begin + 30 - r);
    }
    wr_str_addf(&plan, "task,crew,planned\n%s", unlogged[_i].plan);
    ck_assert_int_eq(wr_plan_read_bytes(&m.plan, "plan.csv", plan.text, plan.len, &m.findings, &err), WR_OK);
    ck_assert_int_eq(wr_run_log_read_bytes(&m.log, "runs.csv", log.text, log.len, NULL, &m.findings, &err), WR_OK);
    ck_assert_int_eq(wr_network_build(&m.net, &m.plan, &err), WR_OK);
    ck_assert_int_eq(wr_timing_build(&m.timing, &m.log, &m.plan, &m.net, &m.findings, &err), WR_OK);
    wr_screen_make(&m.screen, &m.log, &m.plan, &m.net, &m.timing, &m.findings);
    for (size_t i = 0; i < m.findings.n_finding; i++) {
        const struct wr_finding *f = &m.findings.finding[i];
        if (strcmp(f->code, "planned-unlogged") != 0) continue;
        ck_assert_msg(f->line == 3 && strstr(f->message, "1:00 pass in the runs before 'C'"), "%s", f->message);
        n++;
    }
    ck_assert_uint_eq(n, unlogged[_i].asked);
    release(&m);
    wr_str_release(&log);
    wr_str_release(&plan);
}
END_TEST

/* From the begin of PUMP in one lane to the end of MAST in the other. */
static const struct {
    const char *log, *after;
    bool reversed;
} clocks[] = {
    {"R,MAST,0,10,EV1,\nR,PUMP,12,30,EV2,\nS,MAST,0,10,EV1,\nS,PUMP,10,30,EV2,\n", "", true},
    {"R,MAST,0,10,EV1,\nR,PUMP,12,30,EV2,\nS,MAST,0,10,EV1,\nS,PUMP,9,30,EV2,\n", "", false}, /* one day is enough */
    {"R,MAST,0,10,EV1,\nR,PUMP,12,30,EV2,stopped\nS,MAST,0,10,EV1,\n", "", true}, /* a day without it says nothing */
    {"R,MAST,0,10,EV1,\n", "", false},
    {"R,MAST,0,10,EV1,\n", "MAST", true}, /* no day says, but the plan does */
};

START_TEST(a_clock_that_ends_before_it_begins)
{
    const struct wr_limit clock = {.name = "seal", .is_clock = true, .from = 1, .to = 0, .lanes = 3, .minutes = 20};
    WR_SCOPED_STR plan = {0}, log = {0};
    struct wr_screen screen = {0};
    struct read_campaign c;

    wr_str_addf(&plan, "task,crew,after,planned\nMAST,EV1,,10\nPUMP,EV2,%s,20\n", clocks[_i].after);
    wr_str_addf(&log, "run,task,start,end,crew,outcome\n%s", clocks[_i].log);
    read_campaign(&c, plan.text, NULL, log.text);
    ck_assert(wr_clock_is_reversed(&clock, &c.net, &c.timing) == clocks[_i].reversed);
    const struct wr_limits limits = {.limit = (struct wr_limit[]){clock}, .n_limit = 1};
    wr_screen_limits(&screen, &c.plan, &c.net, &c.timing, &limits, &c.findings);
    ck_assert_uint_eq(read_count(&c, "clock-reversed"), clocks[_i].reversed);
    wr_screen_release(&screen);
    struct wr_limit other = clock;
    other.from = 0;
    other.to = 1;
    ck_assert(!wr_clock_is_reversed(&other, &c.net, &c.timing));
    other.is_clock = false;
    ck_assert(!wr_clock_is_reversed(&other, &c.net, &c.timing));
    read_release(&c);
}
END_TEST

Suite *suite_implausible(void);
Suite *suite_implausible(void)
{
    Suite *s = suite_create("implausible");
    TCase *t = tcase_create("implausible");

    tcase_set_timeout(t, 60);
    tcase_add_loop_test(t, a_step_far_from_its_others, 0, (int)(sizeof last_steps / sizeof *last_steps));
    tcase_add_test(t, a_step_among_many);
    tcase_add_test(t, a_rule_that_nobody_kept);
    tcase_add_loop_test(t, a_planned_task_that_no_run_logs, 0, (int)(sizeof unlogged / sizeof *unlogged));
    tcase_add_loop_test(t, a_clock_that_ends_before_it_begins, 0, (int)(sizeof clocks / sizeof *clocks));
    tcase_add_test(t, ordinary_days_pass);
    tcase_add_test(t, a_slip_is_found);
    tcase_add_test(t, units_and_limits);
    tcase_add_test(t, limits_that_lost_their_colon);
    tcase_add_test(t, nothing_done);
    tcase_add_test(t, allotted_nothing);
    tcase_add_test(t, done_in_no_time);
    suite_add_tcase(s, t);
    return s;
}
