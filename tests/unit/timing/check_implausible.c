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

/* planned[k]: times what task k should take; 0: nothing is planned. */
static void make_planned(struct made *m, const char *log, const char *limits, const double planned[TASKS])
{
    struct wr_str plan = {0};
    struct wr_error err = {.text = ""};

    *m = (struct made){0};
    wr_str_add(&plan, "task,crew,planned\n");
    for (size_t k = 0; k < TASKS; k++)
        if (planned[k] > 0) wr_str_addf(&plan, "T%zu,EV1,%g\n", k, planned[k] * (20 + 3.0 * (double)k));
        else wr_str_addf(&plan, "T%zu,EV1,\n", k);
    ck_assert_int_eq(wr_plan_read_bytes(&m->plan, "plan.csv", plan.text, plan.len, &m->findings, &err), WR_OK);
    ck_assert_msg(wr_run_log_read_bytes(&m->log, "runs.csv", log, strlen(log), NULL, &m->findings, &err) == WR_OK, "%s",
                  err.text);
    ck_assert_int_eq(
        wr_limits_read_bytes(&m->limits, "limits.csv", limits, strlen(limits), &m->plan, &m->findings, &err), WR_OK);
    ck_assert_int_eq(wr_network_build(&m->net, &m->plan, &err), WR_OK);
    ck_assert_int_eq(wr_timing_build(&m->timing, &m->log, &m->plan, &m->net, &m->findings, &err), WR_OK);
    wr_screen_make(&m->screen, &m->log, &m->plan, &m->net, &m->timing, &m->findings);
    wr_screen_limits(&m->screen, &m->log, &m->plan, &m->net, &m->timing, &m->limits, &m->findings);
    wr_str_release(&plan);
}

static void make(struct made *m, const char *log, const char *limits, double planned)
{
    double all[TASKS];

    for (size_t k = 0; k < TASKS; k++) all[k] = planned;
    make_planned(m, log, limits, all);
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

static size_t count_planned(const struct made *m)
{
    size_t n = 0;

    for (size_t i = 0; i < m->findings.n_finding; i++)
        n += strcmp(m->findings.finding[i].code, "implausible-planned") == 0;
    return n;
}

/* Plans off by 0.6 to 1.7 in common, and by up to 0.35 (sd) each, with tasks that scatter by 0.25 from run to run. */
START_TEST(honest_plans_pass)
{
    for (uint64_t seed = 1; seed <= 300; seed++) {
        WR_SCOPED_STR log = {0};
        uint64_t state = seed * 40503u + 7;
        double planned[TASKS], common = 0.6 * pow(1.7 / 0.6, uniform(&state)), own = 0.35 * uniform(&state);
        struct made m;
        write_log(&log, seed, 0.25, SIZE_MAX, 1);
        for (size_t k = 0; k < TASKS; k++) planned[k] = common * exp(own * normal(&state));
        for (size_t k = 1 + seed % TASKS; k < TASKS; k++) planned[k] = 0; /* from one planned time to all */
        make_planned(&m, log.text, limit_text, planned);
        ck_assert_msg(count_planned(&m) == 0 && !m.screen.plan_doubtful, "seed %d", (int)seed);
        ck_assert(!wr_findings_keep_open(&m.findings));
        release(&m);
    }
}
END_TEST

static const struct {
    double factor;
    size_t n_planned;
    bool doubtful;
} common_factor[] = {{0.1, TASKS, true},  {10, TASKS, true},   {0.25, TASKS, true}, {4.3, TASKS, true},
                     {0.4, TASKS, false}, {2.5, TASKS, false}, {0.1, 4, true},      {10, 4, true},
                     {0.3, 2, false},     {0.15, 2, true},     {0.1, 1, true},      {0.3, 1, false}};

/* The log's times of T0 to T11 are 20 to 53 min on days that differ by 10 %. */
START_TEST(planned_times_off_by_a_common_factor)
{
    for (uint64_t seed = 1; seed <= 10; seed++) {
        WR_SCOPED_STR log = {0};
        struct made m;
        double planned[TASKS] = {0};
        for (size_t k = 0; k < common_factor[_i].n_planned; k++) planned[k] = common_factor[_i].factor;
        write_log(&log, seed, 0.1, SIZE_MAX, 1);
        make_planned(&m, log.text, limit_text, planned);
        ck_assert_uint_eq(count_planned(&m), common_factor[_i].doubtful);
        ck_assert(m.screen.plan_doubtful == common_factor[_i].doubtful && !m.screen.unit_doubtful);
        ck_assert_uint_eq(rows_of(&m, WR_IMPLAUSIBLE_PLANNED), 0); /* a factor, not minutes */
        ck_assert(wr_findings_keep_open(&m.findings) == common_factor[_i].doubtful);
        release(&m);
    }
}
END_TEST

/* A lost or added digit in one of them, or in some; where the plan is off by half in common as well. */
START_TEST(planned_times_of_single_tasks)
{
    static const struct {
        double common, odd;
        size_t n_odd, n;
    } of[] = {{1, 0.1, 1, 1},  {1, 10, 1, 1},     {1, 0.25, 1, 0}, {1, 4, 1, 0},
              {1.5, 10, 1, 1}, {0.67, 0.1, 1, 1}, {1, 0.1, 5, 5},  {1, 10, 5, 5}};

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        WR_SCOPED_STR log = {0};
        struct made m;
        double planned[TASKS];
        for (size_t k = 0; k < TASKS; k++) planned[k] = of[i].common * (k < of[i].n_odd ? of[i].odd : 1);
        write_log(&log, 3, 0.1, SIZE_MAX, 1);
        make_planned(&m, log.text, limit_text, planned);
        ck_assert_msg(count_planned(&m) == of[i].n, "case %zu", i);
        ck_assert_uint_eq(rows_of(&m, WR_IMPLAUSIBLE_PLANNED), of[i].n);
        ck_assert(!m.screen.plan_doubtful); /* the level of the others holds */
        ck_assert(wr_findings_keep_open(&m.findings) == (of[i].n > 0));
        for (size_t f = 0; f < m.findings.n_finding; f++) {
            if (strcmp(m.findings.finding[f].code, "implausible-planned") != 0) continue;
            ck_assert_uint_ge(m.findings.finding[f].line, 2);
            ck_assert_uint_le(m.findings.finding[f].line, 1 + of[i].n_odd);
        }
        release(&m);
    }
}
END_TEST

/* One run tells nothing of a single planned time beside it, nor do runs of which some are shorter and some longer. */
START_TEST(planned_times_that_runs_do_not_agree_on)
{
    static const char *const log[] = {
        "run,task,start,end,crew\nR0,T0,0,20,EV1\nR0,T1,20,43,EV1\nR0,T2,43,69,EV1\n",
        "run,task,start,end,crew\nR0,T0,0,1,EV1\nR0,T1,1,24,EV1\nR0,T2,24,50,EV1\n"
        "R1,T0,0,1,EV1\nR1,T1,1,24,EV1\nR1,T2,24,50,EV1\nR2,T0,0,400,EV1\nR2,T1,400,423,EV1\nR2,T2,423,449,EV1\n"};
    static const double factor[] = {0.1, 1};

    for (size_t i = 0; i < sizeof log / sizeof *log; i++) {
        struct made m;
        double planned[TASKS] = {factor[i], 1, 1};
        make_planned(&m, log[i], limit_text, planned);
        ck_assert_uint_eq(count_planned(&m), 0);
        release(&m);
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
 * that no clock shows, and one that is near in minutes are what they say; 1230 is far off in either reading. */
START_TEST(limits_that_lost_their_colon)
{
    const struct { const char *minutes; size_t n; } of[] = {{"730", 1}, {"800", 1}, {"12:10", 0}, {"590", 0},
                                                            {"0730", 0}, {"459", 0}, {"1230", 1}, {"30h30", 0}};
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

/* A task that every run broke off, beside one that was done. Once is little; a row that cannot be read may be of a run
 * that ended it. */
START_TEST(a_task_never_done_to_its_end)
{
    static const struct {
        const char *rows;
        size_t n;
    } logs[] = {{"R,T0,0,10,EV1,stopped\nR,T1,10,30,EV1,done\nS,T0,0,19,EV1,stopped\nS,T1,19,40,EV1,done\n", 1},
                {"R,T0,0,10,EV1,stopped\nR,T1,10,30,EV1,done\nS,T0,0,19,EV1,done\nS,T1,19,40,EV1,done\n", 0},
                {"R,T0,0,10,EV1,stopped\nR,T1,10,30,EV1,done\nS,T0,,,EV1,skipped\nS,T1,19,40,EV1,done\n", 0},
                {"R,T0,0,10,EV1,stopped\nR,T1,10,30,EV1,done\nS,T0,0,19,EV1,stopped\nS,T1,19,40,EV1,done\n"
                 "Q,T0,0,x,EV1,done\nQ,T1,19,40,EV1,done\n",
                 0}};

    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        WR_SCOPED_STR log = {0};
        struct made m;
        wr_str_addf(&log, "run,task,start,end,crew,outcome\n%s", logs[i].rows);
        make(&m, log.text, limit_text, 1);
        ck_assert_msg(n_of_code(&m, "never-finished") == logs[i].n, "case %zu", i);
        for (size_t f = 0; f < m.findings.n_finding && logs[i].n; f++)
            if (strcmp(m.findings.finding[f].code, "never-finished") == 0)
                ck_assert_ptr_nonnull(
                    strstr(m.findings.finding[f].message,
                           "in all 2 runs that began it: that it takes longer than 19 min is all that they say"));
        release(&m);
    }
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

/* Runs of 20, 21 and 22 minutes, then one of so many, part of them a hold: what the answer rests on is the rest, of the
 * step and of the run that is nothing else. */
static const struct { double minutes, hold; const char *step, *run; } held_steps[] = {
    {95, 75, NULL, NULL},
    {95, 0, "takes 1:35 as read; the plan says 0:20", "'V' takes 1:35 as read; the plan says 0:20"},
    {24, 20, "takes 0:04 as read, holds of 0:20 left out; the plan says 0:20, other runs typically 0:21: a slip",
     "'V' takes 0:04 as read, holds of 0:20 left out; the plan"},
    {160, 20, "takes 2:20 as read, holds of 0:20 left out; the plan says 0:20",
     "'V' takes 2:20 as read, holds of 0:20 left out; the plan"},
};

static void check_says(const struct wr_findings *findings, const char *code, const char *says)
{
    const char *said = NULL;

    for (size_t i = 0; i < findings->n_finding; i++)
        if (strcmp(findings->finding[i].code, code) == 0) said = findings->finding[i].message;
    ck_assert_msg(!said == !says && (!said || strstr(said, says)), "%s: %s", code, said ? said : "nothing");
}

START_TEST(a_step_with_a_hold)
{
    struct read_campaign c;
    struct wr_screen screen = {0};
    struct wr_findings findings = {0};
    WR_SCOPED_STR log = {0};

    wr_str_addf(&log, "run,task,start,end,crew,hold\nR,T,0,20,EV1,\nS,T,0,21,EV1,\nU,T,0,22,EV1,\nV,T,0,%g,EV1,%g\n",
                held_steps[_i].minutes, held_steps[_i].hold);
    read_campaign(&c, "task,crew,planned\nT,EV1,20\n", NULL, log.text);
    wr_screen_make(&screen, &c.log, &c.plan, &c.net, &c.timing, &findings);
    check_says(&findings, "implausible-step", held_steps[_i].step);
    check_says(&findings, "implausible-run", held_steps[_i].run);
    for (size_t i = 0; i < screen.n_row; i++)
        ck_assert_double_eq_tol(screen.row[i].read_min, held_steps[_i].minutes - held_steps[_i].hold, 1e-9);
    wr_screen_release(&screen);
    wr_findings_release(&findings);
    read_release(&c);
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
        {"skipped", "skipped", "the one run that began it could do so at 0:20 (2 skipped it, and may have been in time "
                               "or not): by the rule a day like that drops it."},
        {"skipped", "done", "none of the 2 runs that began it could do so before 0:20 (1 skipped it, and may have been "
                            "in time or not): by the rule a day like those drops it."},
        {"done", "done", "none of the 3 runs that began it could do so before 0:20: by the rule a day like those drops "
                         "it."},
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
        wr_screen_limits(&m.screen, &m.log, &m.plan, &m.net, &m.timing, &m.limits, &m.findings);
        for (size_t f = 0; f < m.findings.n_finding; f++)
            if (strcmp(m.findings.finding[f].code, "implausible-rule") == 0) found = m.findings.finding[f].message;
        ck_assert_ptr_nonnull(found);
        ck_assert_msg(strstr(found, of[i].says) != NULL, "%s", found);
        wr_str_release(&log);
        release(&m);
    }
}
END_TEST

/* OUT ends at 0:20 and JOB is begun at 0:25: a rule of 0:22 drops no such day, for it goes by when JOB could begin. */
START_TEST(a_rule_goes_by_when_work_could_begin)
{
    static const struct { const char *rule; bool doubted; } of[] = {{"0:19", true}, {"0:22", false}};

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct read_campaign c;
        struct wr_screen screen = {0};
        struct wr_limits limits = {0};
        struct wr_findings findings = {0};
        bool found = false;
        WR_SCOPED_STR plan = {0};
        wr_str_addf(&plan, "task,crew,drop_after\nOUT,EV1,\nJOB,EV1,%s\nIN,EV1,\n", of[i].rule);
        read_campaign(&c, plan.text, NULL,
                      "run,task,start,end,crew\nR,OUT,0:00,0:20,EV1\nR,JOB,0:25,0:40,EV1\nR,IN,0:40,1:00,EV1\n");
        wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &findings);
        for (size_t f = 0; f < findings.n_finding; f++)
            found |= strcmp(findings.finding[f].code, "implausible-rule") == 0;
        ck_assert_msg(found == of[i].doubted, "%s", of[i].rule);
        wr_screen_release(&screen);
        wr_limits_release(&limits);
        wr_findings_release(&findings);
        read_release(&c);
    }
}
END_TEST

/* JOB begins at 2:00 of a day of 8:00. 205 minutes are 3:25, 2:05 without its colon; 525 are 8:45, behind the limit. */
START_TEST(a_rule_that_lost_its_colon)
{
    static const struct { const char *rule, *limit, *says; } of[] = {
        {"205", "9:00", "205 minutes, 3:25, as read, and it usually begins at 2:00: if 2:05 is meant, write"},
        {"525", "8:30", "525 minutes, 8:45, as read, and by 8:30 every limit is over: if 5:25 is meant, write 5:25"},
        {"8:45", "8:30", "is dropped after 8:45, and by 8:30 every limit is over: drop_after counts from the begin"},
        {"14:00", "15:00", "is dropped after 14:00, and all is usually done by 8:00: a time of day?"},
        {"525", "9:00", NULL}, {"8:45", "9:00", NULL}, {"3:25", "9:00", NULL}, {"125", "9:00", NULL},
    };

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct read_campaign c;
        struct wr_screen screen = {0};
        struct wr_limits limits = {0};
        struct wr_findings findings = {0};
        const char *found = NULL;
        WR_SCOPED_STR plan = {0}, text = {0};
        wr_str_addf(&plan, "task,crew,drop_after\nOUT,EV1,\nJOB,EV1,%s\nIN,EV1,\n", of[i].rule);
        wr_str_addf(&text, "limit,crew,minutes,confidence\nday,all,%s,0.9\n", of[i].limit);
        read_campaign(&c, plan.text, NULL,
                      "run,task,start,end,crew\nR,OUT,0:00,2:00,EV1\nR,JOB,2:00,4:00,EV1\nR,IN,4:00,8:00,EV1\n");
        ck_assert_int_eq(wr_limits_read_bytes(&limits, "limits.csv", text.text, text.len, &c.plan, &findings, NULL),
                         WR_OK);
        wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &findings);
        for (size_t f = 0; f < findings.n_finding; f++)
            if (strcmp(findings.finding[f].code, "implausible-rule") == 0) found = findings.finding[f].message;
        ck_assert_msg(!found == !of[i].says && (!found || strstr(found, of[i].says)), "%s: %s", of[i].rule,
                      found ? found : "");
        wr_screen_release(&screen);
        wr_limits_release(&limits);
        wr_findings_release(&findings);
        read_release(&c);
    }
}
END_TEST

/* A day from 9:00 to 17:00 in the one run, or so many minutes without a clock; JOB from 11:00 to 13:00. */
static const struct {
    const char *rows, *says;
    bool clock;
} beyond[] = {
    {"day,,,9:00", NULL, true},
    {"day,,,17:30",
     "limit 'day' is 17:30 from its begin, as read, and rehearsals took 8:00 at most: a time of day? What it limits "
     "usually begins at 9:00: write 8:30 then, else 1050 min",
     true},
    {"day,,,1050 min", NULL, true},
    {"day,,,17h30", NULL, true},
    {"day,,,1050",
     "limit 'day' is 1050 minutes, 17:30, as read, and rehearsals took 8:00 at most: digits exchanged, or a wrong one? "
     "If it is meant, write it with its unit: 1050 min",
     true},
    {"day,,,791", NULL, true},
    {"day,,,793", "digits exchanged", true},
    {"day,,,13:13", NULL, true},
    {"day,,,793 min", NULL, true},
    {"day,,,17:30", NULL, false},
    {"day,,,12:30", NULL, true}, /* 3:30 later nobody was done */
    {"day,,,19:59", NULL, false},
    {"day,,,20:01", "20:01 as read, and rehearsals took 8:00 at most: a digit too many", false},
    {"day,,,4800", "If it is meant, write it with its unit: 4800 min", true},
    {"day,,,4800 min", NULL, true},
    {"day,,,9:00\njob,JOB,JOB,2:30", NULL, true},
    {"day,,,9:00\njob,JOB,JOB,6:00", NULL, true},
    {"day,,,9:00\njob,JOB,JOB,6:01", "is 361 minutes, 6:01, as read, and rehearsals took 2:00 at most: from and to are "
                                     "one task; is another meant? If it is meant, write it with its unit: 361 min",
     true},
    {"day,,,9:00\njob,JOB,JOB,6h01", NULL, true},
    {"day,,,15:00\njob,OUT,JOB,12:01", NULL, true}, /* of two tasks a clock's time is meant */
    {"day,,,15:00\njob,OUT,JOB,720", NULL, true},
    {"day,,,15:00\njob,OUT,JOB,721", "rehearsals took 4:00 at most: digits exchanged", true},
    {"day,,,9:00\njob,JOB,JOB,9:00", "limit 'job' is 9:00 as read, and rehearsals took 2:00 at most", true},
    {"day,,,9:00\njob,JOB,JOB,9h00", NULL, true},
    {"day,,,9:00\njob,JOB,JOB,13:10", "usually begins at 11:00: write 2:10 then, else 790 min", true},
    {"day,,,9:00\njob,JOB,JOB,790", "limit 'job' is 13:10 as read", true},
};

START_TEST(a_limit_that_is_kept_on_any_day)
{
    struct read_campaign c;
    struct wr_screen screen = {0};
    struct wr_limits limits = {0};
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "limit,from,to,minutes\n%s\n", beyond[_i].rows);
    read_campaign(&c, "task,crew\nOUT,EV1\nJOB,EV1\nIN,EV1\n", NULL,
                  beyond[_i].clock
                      ? "run,task,start,end,crew\nR,OUT,9:00,11:00,EV1\nR,JOB,11:00,13:00,EV1\nR,IN,13:00,17:00,EV1\n"
                      : "run,task,minutes,crew\nR,OUT,120,EV1\nR,JOB,120,EV1\nR,IN,240,EV1\n");
    ck_assert_int_eq(wr_limits_read_bytes(&limits, "limits.csv", text.text, text.len, &c.plan, &c.findings, NULL),
                     WR_OK);
    wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &c.findings);
    ck_assert_uint_eq(read_count(&c, "limit-beyond"), beyond[_i].says != NULL);
    if (beyond[_i].says) {
        const char *message = read_message(&c, "limit-beyond");
        ck_assert_msg(strstr(message, beyond[_i].says) != NULL, "%s", message);
    }
    wr_screen_release(&screen);
    wr_limits_release(&limits);
    read_release(&c);
}
END_TEST

/* A run without a task is no whole day, and still shows how long one may be: 8:00 and, with OUT skipped, 12:00, where
 * JOB took 2:00 and 5:00. */
START_TEST(a_limit_that_an_incomplete_run_came_near)
{
    static const struct { const char *rows; bool told; } of[] = {
        {"day,,,1188", false}, {"day,,,1189", true}, {"day,,,900\njob,OUT,JOB,720", false},
        {"day,,,900\njob,OUT,JOB,721", true}, {"day,,,1000\njob,JOB,JOB,900", false},
        {"day,,,1000\njob,JOB,JOB,901", true},
    };

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct read_campaign c;
        struct wr_screen screen = {0};
        struct wr_limits limits = {0};
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "limit,from,to,minutes\n%s\n", of[i].rows);
        read_campaign(&c, "task,crew\nOUT,EV1\nJOB,EV1\nIN,EV1\n", NULL,
                      "run,task,start,end,crew,outcome\nR,OUT,0:00,2:00,EV1,\nR,JOB,2:00,4:00,EV1,\n"
                      "R,IN,4:00,8:00,EV1,\nS,OUT,,,EV1,skipped\nS,JOB,0:00,5:00,EV1,\nS,IN,5:00,12:00,EV1,\n");
        ck_assert_int_eq(wr_limits_read_bytes(&limits, "limits.csv", text.text, text.len, &c.plan, &c.findings, NULL),
                         WR_OK);
        wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &c.findings);
        ck_assert_msg(read_count(&c, "limit-beyond") == of[i].told, "%s", of[i].rows);
        wr_screen_release(&screen);
        wr_limits_release(&limits);
        read_release(&c);
    }
}
END_TEST

/* Before the first rehearsal the plan is all there is to hold a limit against: a day of 8:00, OUT and JOB of 4:00, and
 * CHECK of five minutes, of which half an hour more is no slip. */
START_TEST(a_limit_far_beyond_the_plan)
{
    static const struct { const char *rows, *says; } of[] = {
        {"day,,,1200", NULL},
        {"day,,,1201", "limit 'day' is 1201 minutes, 20:01, as read, and by the plan it takes 8:00: digits exchanged"},
        {"day,,,20:01", NULL},
        {"day,,,1201 min", NULL},
        {"day,,,9:00\njob,OUT,JOB,720", NULL},
        {"day,,,9:00\njob,OUT,JOB,721", "by the plan it takes 4:00: digits exchanged"},
        {"day,,,9:00\njob,CHECK,CHECK,35", NULL},
        {"day,,,9:00\njob,CHECK,CHECK,36", "by the plan it takes 0:05: from and to are one task"},
        {"day,,,9:00\nEXAMPLE,OUT,JOB,721", NULL},
    };

    for (size_t i = 0; i < 2 * sizeof of / sizeof *of; i++) {
        const size_t row = i / 2;
        const bool timed = i % 2 == 0; /* a plan that leaves out how long IN takes says nothing */
        struct read_campaign c;
        struct wr_screen screen = {0};
        struct wr_limits limits = {0};
        struct wr_findings findings = {0};
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "limit,from,to,minutes\n%s\n", of[row].rows);
        read_campaign(&c,
                      timed ? "task,crew,planned\nOUT,EV1,120\nJOB,EV1,120\nCHECK,EV1,5\nIN,EV1,235\n"
                            : "task,crew,planned\nOUT,EV1,120\nJOB,EV1,120\nCHECK,EV1,5\nIN,EV1,\n",
                      NULL, "run,task,minutes,crew,outcome\nR,IN,9,EV1,stopped\n");
        ck_assert_int_eq(wr_limits_read_bytes(&limits, "limits.csv", text.text, text.len, &c.plan, &findings, NULL),
                         WR_OK);
        wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &c.findings);
        ck_assert_msg(read_count(&c, "limit-beyond") == (timed && of[row].says), "%s", of[row].rows);
        if (timed && of[row].says) ck_assert_ptr_nonnull(strstr(read_message(&c, "limit-beyond"), of[row].says));
        wr_screen_release(&screen);
        wr_limits_release(&limits);
        wr_findings_release(&findings);
        read_release(&c);
    }
}
END_TEST

/* The first limit of a day of 8:00, and another. */
START_TEST(a_first_limit_that_another_comes_before)
{
    static const struct { const char *rows, *says; } of[] = {
        {"old,,,,9:00,0.9\nday,,,,8:30,0.9",
         "the first limit, 'old', allows 9:00 where 'day' allows 8:30 of the same"},
        {"old,,,,9:00,0.9\nday,all,,,8:30,0.95", "'old'"},
        {"old,,,,9:00,\nday,,,,8:30,0.9", "'old'"},
        {"old,,,,9:00,0.9\nday,,,,8:30,", "'old'"},
        {"day,,,,8:30,0.9\nold,,,,9:00,0.9", NULL},
        {"hard,,,,9:00,0.99\nsoft,,,,8:30,0.9", NULL},
        {"day,,,,9:00,0.9\nair,EV2,,,8:30,0.9", NULL},
        {"day,,,,9:00,0.9\njob,,JOB,JOB,2:30,0.9", NULL},
        {"job,,JOB,JOB,2:30,0.9\njob 2,,JOB,JOB,2:20,0.9", "'job'"},
        {"job,,JOB,JOB,2:30,0.9\njob 2,,OUT,JOB,2:20,0.9", NULL},
    };

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct read_campaign c;
        struct wr_screen screen = {0};
        struct wr_limits limits = {0};
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "limit,crew,from,to,minutes,confidence\n%s\n", of[i].rows);
        read_campaign(&c, "task,crew\nOUT,EV1+EV2\nJOB,EV1\nIN,EV1+EV2\n", NULL,
                      "run,task,start,end,crew\nR,OUT,9:00,11:00,EV1+EV2\nR,JOB,11:00,13:00,EV1\n"
                      "R,IN,13:00,17:00,EV1+EV2\n");
        ck_assert_int_eq(wr_limits_read_bytes(&limits, "limits.csv", text.text, text.len, &c.plan, &c.findings, NULL),
                         WR_OK);
        wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &c.findings);
        ck_assert_msg(read_count(&c, "limit-idle") == (of[i].says != NULL), "%s", of[i].rows);
        if (of[i].says) ck_assert_ptr_nonnull(strstr(read_message(&c, "limit-idle"), of[i].says));
        wr_screen_release(&screen);
        wr_limits_release(&limits);
        read_release(&c);
    }
}
END_TEST

/* New work beside OUT of 120 min, JOB of 8 and IN of 240. */
START_TEST(work_that_nobody_rehearsed)
{
    static const struct { const char *column, *value; bool unit, planned; const char *says; } of[] = {
        {"planned", "40", false, true, NULL},
        {"planned", "1", false, true, NULL},
        {"planned", "0.67", true, true, "planned to take 0.67 min, where the shortest that was rehearsed, 'JOB', "
                                        "usually takes 8"},
        {"planned", "0.99", true, true, NULL},
        {"planned", "1900", false, true, NULL},
        {"planned", "1930", true, true, "the longest that was rehearsed, 'IN', usually takes 240"},
        {"low,likely,high", "0.5,0.6,0.9", true, false, "and judged to take 0.6 min"},
        {"low,likely,high", "20,30,40", false, false, NULL},
        {"median,sdlog", "0.6,0.2", true, false, "and judged to take 0.6 min"},
    };

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct read_campaign c;
        struct wr_screen screen = {0};
        const struct wr_limits none = {0};
        WR_SCOPED_STR plan = {0};
        const char *none_of_it = strcmp(of[i].column, "planned") == 0 ? "" : of[i].column[1] == 'o' ? ",," : ",";
        wr_str_addf(&plan, "task,crew,%s\nOUT,EV1,%s\nJOB,EV1,%s\nNEW,EV1,%s\nIN,EV1,%s\n", of[i].column, none_of_it,
                    none_of_it, of[i].value, none_of_it);
        read_campaign(&c, plan.text, NULL, "run,task,minutes,crew\nR,OUT,120,EV1\nR,JOB,8,EV1\nR,IN,240,EV1\n");
        wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &none, &c.findings);
        ck_assert_msg(read_count(&c, "implausible-judgement") == of[i].unit, "%s", of[i].value);
        ck_assert_msg(read_count(&c, "planned-only") == of[i].planned, "%s", of[i].value);
        if (of[i].says) ck_assert_ptr_nonnull(strstr(read_message(&c, "implausible-judgement"), of[i].says));
        wr_screen_release(&screen);
        read_release(&c);
    }
}
END_TEST

static const char nothing_was_done[] = "run,task,minutes,crew,outcome\nR,OUT,,EV1,skipped\n";

/* Rows of a plan of which no run has anything beside OUT of 20, LAMP of 12 and IN of 35 min, all judged. */
START_TEST(a_judgement_before_the_first_rehearsal)
{
    static const struct { const char *row; const char *says; } of[] = { /* planned,low,likely,high,median,sdlog */
        {",20,30,50,,", NULL},
        {",0.4,0.5,0.9,,", "task 'NEW' is in no run, and judged to take 0.5 min, where the shortest other of the plan, "
                           "'LAMP', is said to take 12: is that in another unit, or a digit lost? if it is hours, "
                           "write 0:30, else write it with its unit if it is meant (0.5 min)"},
        {",0.75,1.25,2,,", "if it is hours, write 1:15"},
        {",1,1.5,2.5,,", "judged to take 1.5 min"},
        {",1,2,3,,", NULL},                       /* short, and whole */
        {",0:00:24,0:00:30,0:01,,", NULL},        /* so written it is meant */
        {",0.4,0.5 min,0.9,,", NULL},
        {",1200,1800,3000,,", "where the longest other of the plan, 'IN', is said to take 35: is that in another unit, "
                              "or a digit lost? write it with its unit if it is meant (1800 min)"},
        {",,,,1.5,0.2", "judged to take 1.5 min"},
        {"1.5,,,,,", "planned to take 1.5 min"},
        {"30,2,3,5,,", "task 'NEW' is allotted 30 min and judged to take 3 min: is one of them in another unit, or a "
                       "digit lost?"},
        {"30,100,130,150,,", "allotted 30 min and judged to take 130 min"},
        {"30,2,3 min,5,,", NULL},
        {"30,6,8,15,,", NULL},
        {",2,3,45,,", "task 'NEW' is judged to take 2 min, likely 3, at most 45"},
        {",3,30,45,,", "task 'NEW' is judged to take 3 min, likely 30, at most 45"},
        {",0,30,45,,", NULL},
        {",5,12,45,,", NULL},
        {",,,,30,1.5", "write low, likely and high in their place"},
    };

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        struct read_campaign c;
        struct wr_screen screen = {0};
        const struct wr_limits none = {0};
        WR_SCOPED_STR plan = {0}, again = {0};
        wr_str_addf(&plan, "task,crew,planned,low,likely,high,median,sdlog\nOUT,EV1,,14,20,34,,\nLAMP,EV1,,9,12,20,,\n"
                           "NEW,EV1,%s\nIN,EV1,,26,35,55,,\n", of[i].row);
        for (int round = 0; round < 2; round++) { /* as it is, and as it is written again */
            read_campaign(&c, round ? again.text : plan.text, NULL, nothing_was_done);
            wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &none, &c.findings);
            ck_assert_msg(read_count(&c, "implausible-judgement") == (of[i].says != NULL), "%s", of[i].row);
            ck_assert_msg(wr_findings_keep_open(&c.findings) == (of[i].says != NULL), "%s", of[i].row);
            const char *message = of[i].says ? read_message(&c, "implausible-judgement") : "";
            ck_assert_msg(!of[i].says || strstr(message, of[i].says), "%s", message);
            if (round == 0) wr_plan_write(&c.plan, &again);
            wr_screen_release(&screen);
            read_release(&c);
        }
    }
}
END_TEST

/* Left out in every run, it rests on the plan as work that no run has. */
START_TEST(work_that_every_run_skipped)
{
    struct read_campaign c;
    struct wr_screen screen = {0};
    const struct wr_limits none = {0};

    read_campaign(&c, "task,crew,planned,drop_after\nOUT,EV1,20,\nNEW,EV1,0.5,\nLEFT,EV1,30,\nAHEAD,EV1,30,0:40\n"
                      "CUT,EV1,30,\n", NULL,
                  "run,task,minutes,crew,outcome\nR,OUT,20,EV1,\nR,NEW,,EV1,skipped\nR,LEFT,,EV1,skipped\n"
                  "R,AHEAD,,EV1,skipped\nR,CUT,9,EV1,stopped\n");
    wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &none, &c.findings);
    ck_assert_uint_eq(read_count(&c, "planned-only"), 2);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "planned-only"), "task 'NEW' was timed in no run"));
    ck_assert_uint_eq(read_count(&c, "implausible-judgement"), 1);
    wr_screen_release(&screen);
    read_release(&c);
}
END_TEST

/* Where several rows are in hours the others are what they are held against. */
START_TEST(several_judgements_in_hours)
{
    struct read_campaign c;
    struct wr_screen screen = {0};
    const struct wr_limits none = {0};

    read_campaign(&c, "task,crew,low,likely,high\nOUT,EV1,14,20,34\nA,EV1,0.5,0.75,1.25\nB,EV1,1,1.5,2.5\n"
                      "C,EV1,0.3,0.5,0.8\nIN,EV1,26,35,55\n", NULL, nothing_was_done);
    wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &none, &c.findings);
    ck_assert_uint_eq(read_count(&c, "implausible-judgement"), 3);
    wr_screen_release(&screen);
    read_release(&c);
}
END_TEST

/* Another plan is held against the same runs: its new task, and no other. */
START_TEST(a_judgement_of_another_plan)
{
    static const char log[] = "run,task,minutes,crew\nR,OUT,20,EV1\nR,JOB,8,EV1\nR,ASIDE,30,EV1\n";
    static const char text[] = "task,crew,low,likely,high\nOUT,EV1,0.4,0.5,0.6\nNEW,EV1,0.4,0.5,0.6\n"
                               "ASIDE,EV1,0.4,0.5,0.6\n";
    struct wr_plan other = {0};
    struct read_campaign c;

    read_campaign(&c, "task,crew\nOUT,EV1\nJOB,EV1\n", NULL, log);
    ck_assert_int_eq(wr_plan_read_bytes(&other, "other.csv", text, sizeof text - 1, &c.findings, NULL), WR_OK);
    wr_screen_other_plan(&c.log, &c.plan, &c.timing, &other, &c.findings);
    ck_assert_uint_eq(read_count(&c, "implausible-judgement"), 1);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "implausible-judgement"), "task 'NEW'"));
    wr_plan_release(&other);
    read_release(&c);
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

/* In all runs but one: doubted, unless it is written with its unit. */
START_TEST(a_clock_that_mostly_ends_before_it_begins)
{
    struct wr_limit clock = {.name = "seal", .is_clock = true, .from = 1, .to = 0, .lanes = 3, .minutes = 20};
    struct wr_screen screen = {0};
    struct read_campaign c;

    read_campaign(&c, "task,crew,after,planned\nMAST,EV1,,10\nPUMP,EV2,,20\n", NULL,
                  "run,task,start,end,crew\nR,MAST,0,10,EV1\nR,PUMP,12,30,EV2\nS,MAST,0,10,EV1\nS,PUMP,10,30,EV2\n"
                  "T,MAST,0,10,EV1\nT,PUMP,9,30,EV2\n");
    ck_assert(!wr_clock_is_reversed(&clock, &c.net, &c.timing));
    const struct wr_limits limits = {.limit = &clock, .n_limit = 1};
    wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &c.findings);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "clock-reversed"), "in 2 of 3 runs had ended by then"));
    clock.form = WR_TIME_UNIT;
    wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &c.findings);
    ck_assert_uint_eq(read_count(&c, "clock-reversed"), 1);
    wr_screen_release(&screen);
    read_release(&c);
}
END_TEST


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
    wr_screen_limits(&screen, &c.log, &c.plan, &c.net, &c.timing, &limits, &c.findings);
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
    tcase_add_loop_test(t, a_step_with_a_hold, 0, (int)(sizeof held_steps / sizeof *held_steps));
    tcase_add_test(t, a_step_among_many);
    tcase_add_test(t, a_rule_that_nobody_kept);
    tcase_add_test(t, a_rule_goes_by_when_work_could_begin);
    tcase_add_test(t, a_rule_that_lost_its_colon);
    tcase_add_loop_test(t, a_planned_task_that_no_run_logs, 0, (int)(sizeof unlogged / sizeof *unlogged));
    tcase_add_loop_test(t, a_clock_that_ends_before_it_begins, 0, (int)(sizeof clocks / sizeof *clocks));
    tcase_add_test(t, a_clock_that_mostly_ends_before_it_begins);
    tcase_add_test(t, ordinary_days_pass);
    tcase_add_test(t, a_slip_is_found);
    tcase_add_test(t, honest_plans_pass);
    tcase_add_loop_test(t, planned_times_off_by_a_common_factor, 0, sizeof common_factor / sizeof *common_factor);
    tcase_add_test(t, planned_times_of_single_tasks);
    tcase_add_test(t, planned_times_that_runs_do_not_agree_on);
    tcase_add_test(t, units_and_limits);
    tcase_add_test(t, limits_that_lost_their_colon);
    tcase_add_test(t, nothing_done);
    tcase_add_test(t, a_task_never_done_to_its_end);
    tcase_add_test(t, allotted_nothing);
    tcase_add_test(t, done_in_no_time);
    tcase_add_test(t, a_limit_that_an_incomplete_run_came_near);
    tcase_add_test(t, a_limit_far_beyond_the_plan);
    tcase_add_test(t, a_first_limit_that_another_comes_before);
    tcase_add_test(t, work_that_nobody_rehearsed);
    tcase_add_test(t, a_judgement_before_the_first_rehearsal);
    tcase_add_test(t, work_that_every_run_skipped);
    tcase_add_test(t, several_judgements_in_hours);
    tcase_add_test(t, a_judgement_of_another_plan);
    tcase_add_loop_test(t, a_limit_that_is_kept_on_any_day, 0, (int)(sizeof beyond / sizeof *beyond));
    suite_add_tcase(s, t);
    return s;
}
