/* A plan edited after the rehearsals: what a task took does not depend on where the plan puts it later. Campaigns of
 * ten tasks in two lanes are rehearsed by a walk that knows nothing of the program; then rows are exchanged, work is
 * dropped or given to the other lane, a wait is added, and every time is held against that of the plan that was
 * rehearsed. */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "made_plan.h" /* made_uniform */
#include "read_campaign.h"
#include "wetrun/base/str.h"

enum { TASKS = 10, RUNS = 5, NONE = -1 };
enum edit { EDIT_SWAP, EDIT_MOVE, EDIT_DROP, EDIT_WAIT, N_EDIT };

struct task { int number, crew, after; bool dropped; }; /* crew: 1, 2, 3 both */

struct world {
    struct task task[TASKS];     /* in the order of the rows */
    double start[RUNS][TASKS], end[RUNS][TASKS], hold[RUNS][TASKS], finish[RUNS]; /* by number, minutes */
    double lead_in[RUNS][TASKS];
    int left_out;                /* by every run, though they waited for what it waits for; NONE: no task */
};

static double between(unsigned long long *state, double lo, double hi)
{
    return floor((lo + (hi - lo) * made_uniform(state)) * 60) / 60; /* whole seconds */
}

static void make_plan(struct world *w, unsigned long long *state)
{
    for (int k = 0; k < TASKS; k++) {
        struct task *t = &w->task[k];
        bool joint = k == 0 || k == TASKS - 1 || made_uniform(state) < 0.15;
        *t = (struct task){k, joint ? 3 : made_uniform(state) < 0.5 ? 1 : 2, NONE, false};
        int other = (int)(made_uniform(state) * k);
        if (k > 2 && !joint && made_uniform(state) < 0.25 && w->task[other].crew == 3 - t->crew) t->after = other;
    }
}

static void rehearse(struct world *w, unsigned long long *state)
{
    for (int r = 0; r < RUNS; r++) {
        double free_at[2] = {0, 0};
        w->finish[r] = 0;
        for (int k = 0; k < TASKS; k++) {
            const struct task *t = &w->task[k];
            double ready = 0;
            for (int l = 0; l < 2; l++)
                if (t->crew >> l & 1) ready = fmax(ready, free_at[l]);
            if (t->after != NONE) ready = fmax(ready, w->end[r][t->after]);
            w->lead_in[r][k] = k ? between(state, 0, 1.5) : 0;
            w->start[r][k] = ready + w->lead_in[r][k];
            w->hold[r][k] = made_uniform(state) < 0.2 ? between(state, 0, 2) : 0;
            w->end[r][k] = w->start[r][k] + w->hold[r][k] + between(state, 6, 32);
            if (k == w->left_out) w->end[r][k] = ready;
            for (int l = 0; l < 2; l++)
                if (t->crew >> l & 1) free_at[l] = w->end[r][k];
            w->finish[r] = fmax(w->finish[r], w->end[r][k]);
        }
    }
}

static const char *crew_words(int crew)
{
    return crew == 3 ? "EV1+EV2" : crew == 2 ? "EV2" : "EV1";
}

static void write_plan(const struct task *task, struct wr_str *out)
{
    wr_str_clear(out);
    wr_str_add(out, "task,crew,after,planned\n");
    for (int k = 0; k < TASKS; k++) {
        if (task[k].dropped) continue;
        wr_str_addf(out, "T%d,%s,", task[k].number, crew_words(task[k].crew));
        if (task[k].after != NONE) wr_str_addf(out, "T%d", task[k].after);
        wr_str_add(out, ",20\n");
    }
}

static void write_log(const struct world *w, bool with_crew, struct wr_str *out)
{
    wr_str_clear(out);
    wr_str_addf(out, "run,task,start,end,hold%s\n", with_crew ? ",crew" : "");
    for (int r = 0; r < RUNS; r++)
        for (int k = 0; k < TASKS; k++) {
            if (k == w->left_out) continue;
            wr_str_addf(out, "r%d,T%d,%.9f,%.9f,%.9f%s%s\n", r, k, w->start[r][k], w->end[r][k], w->hold[r][k],
                        with_crew ? "," : "", with_crew ? crew_words(w->task[k].crew) : "");
        }
}

/* Changes a copy of the rows; false if there is nothing of that kind to change. *what: the task that it is about. */
static bool change(struct task *task, enum edit edit, unsigned long long *state, int *what)
{
    for (int attempt = 0; attempt < 50; attempt++) {
        int i = 1 + (int)(made_uniform(state) * (TASKS - 2)), j = 1 + (int)(made_uniform(state) * (TASKS - 2));
        *what = task[i].number;
        switch (edit) {
        case EDIT_SWAP:
            if (i >= j || task[i].crew != task[j].crew || task[i].crew == 3) break;
            struct task t = task[i];
            task[i] = task[j];
            task[j] = t;
            return true;
        case EDIT_MOVE:
            if (task[i].crew == 3) break;
            task[i].crew = 3 - task[i].crew;
            return true;
        case EDIT_DROP:
            task[i].dropped = true;
            for (int k = 0; k < TASKS; k++)
                if (task[k].after == task[i].number) task[k].after = NONE;
            return true;
        case EDIT_WAIT:
            if (i <= j || task[i].after != NONE) break;
            task[i].after = task[j].number;
            return true;
        case N_EDIT: break;
        }
    }
    return false;
}

/* An exchange may turn a wait into a circle: then there is no such plan. */
static bool is_possible(const struct wr_str *plan)
{
    struct wr_findings findings = {0};
    struct wr_plan read = {0};
    enum wr_status status = wr_plan_read_bytes(&read, "plan.csv", plan->text, plan->len, &findings, NULL);

    wr_plan_release(&read);
    wr_findings_release(&findings);
    return status == WR_OK;
}

static void expect_replay(const struct world *w, const struct read_campaign *c)
{
    for (int r = 0; r < RUNS; r++) {
        const struct wr_timing_run *run = &c->timing.run[r];
        ck_assert_double_eq_tol(run->finish_min.value, w->finish[r], 1e-6);
        ck_assert_double_eq_tol(run->replay_min, w->finish[r], 1e-6);
        ck_assert(run->finish_without_holds_min <= run->replay_min + 1e-9);
        if (run->kept_to_plan && run->complete) /* the plan's own walk comes to the same, whatever the order says */
            ck_assert_double_eq_tol(run->by_plan_min, run->finish_without_holds_min, 0.5 / 60);
    }
}

/* Calls back for every cell of a task that both plans have. */
static void compare(const struct read_campaign *base, const struct read_campaign *edited,
                    void (*look)(const struct wr_cell *base, const struct wr_cell *edited, const char *task))
{
    for (size_t k = 0; k < edited->timing.n_task; k++)
        for (size_t r = 0; r < edited->timing.n_run; r++)
            look(read_cell(base, edited->plan.task[k].id, edited->log.run[r].id), wr_timing_cell(&edited->timing, k, r),
                 edited->plan.task[k].id);
}

static void is_the_same(const struct wr_cell *base, const struct wr_cell *edited, const char *task)
{
    ck_assert_msg(edited->state == base->state && !edited->lead_in_unknown, "%s", task);
    ck_assert_msg(fabs(edited->lead_in_min - base->lead_in_min) < 1e-6, "%s: lead-in %.3f, was %.3f", task,
                  edited->lead_in_min, base->lead_in_min);
    ck_assert_double_eq_tol(edited->active_min, base->active_min, 1e-9);
    ck_assert_double_eq_tol(edited->gap_min, base->gap_min, 1e-6);
}

static void is_not_longer(const struct wr_cell *base, const struct wr_cell *edited, const char *task)
{
    ck_assert_msg(edited->lead_in_min <= base->lead_in_min + 1e-6, "%s", task);
    ck_assert_double_eq_tol(edited->active_min, base->active_min, 1e-9);
}

static void is_not_shorter(const struct wr_cell *base, const struct wr_cell *edited, const char *task)
{
    ck_assert_msg(edited->lead_in_min >= base->lead_in_min - 1e-6, "%s", task);
    ck_assert_double_eq_tol(edited->active_min, base->active_min, 1e-9);
}

static bool was_waited_for(const struct world *w, int task)
{
    for (int k = 0; k < TASKS; k++)
        if (w->task[k].after == task) return true;
    return false;
}

struct texts { struct wr_str plan, edited, log; };

/* One world, one edit of it: true if there was one. */
static bool draw(struct world *w, struct texts *t, int seed, bool with_crew, enum edit *edit, int *what)
{
    unsigned long long state = 4100 + (unsigned long long)seed;
    struct task task[TASKS];

    *edit = (enum edit)(seed % N_EDIT);
    w->left_out = NONE;
    make_plan(w, &state);
    rehearse(w, &state);
    memcpy(task, w->task, sizeof task);
    if (!change(task, *edit, &state, what)) return false;
    write_plan(w->task, &t->plan);
    write_plan(task, &t->edited);
    write_log(w, with_crew, &t->log);
    return is_possible(&t->edited);
}

static void forget(struct texts *t)
{
    wr_str_release(&t->plan);
    wr_str_release(&t->edited);
    wr_str_release(&t->log);
}

START_TEST(with_the_plan_as_rehearsed_nothing_moves)
{
    for (int with_crew = 0; with_crew < 2; with_crew++) {
        struct world w;
        struct texts t = {0};
        struct read_campaign base, edited;
        enum edit edit;
        int what;
        if (draw(&w, &t, _i, with_crew, &edit, &what)) {
            read_campaign(&base, t.plan.text, NULL, t.log.text);
            read_campaign(&edited, t.edited.text, t.plan.text, t.log.text);
            expect_replay(&w, &base);
            expect_replay(&w, &edited);
            for (int r = 0; r < RUNS; r++) ck_assert(base.timing.run[r].kept_to_plan && base.timing.run[r].complete);
            compare(&base, &edited, is_the_same);
            ck_assert_uint_eq(read_count(&edited, "wait-or-lead-in") + read_count(&edited, "lane-unclear"), 0);
            read_release(&base);
            read_release(&edited);
        }
        forget(&t);
    }
}
END_TEST

START_TEST(without_it_the_log_tells_what_it_can)
{
    struct world w;
    struct texts t = {0};
    struct read_campaign base, edited;
    enum edit edit;
    int what;

    if (draw(&w, &t, _i, true, &edit, &what)) {
        read_campaign(&base, t.plan.text, NULL, t.log.text);
        read_campaign(&edited, t.edited.text, NULL, t.log.text);
        expect_replay(&w, &edited);
        /* A wait that is new in the plan may have been kept by chance; one that went with dropped work looks like a
         * lead-in, which is the longer of the two. */
        compare(&base, &edited, edit == EDIT_WAIT ? is_not_longer
                                : edit == EDIT_DROP && was_waited_for(&w, what) ? is_not_shorter : is_the_same);
        for (int r = 0; r < RUNS && (edit == EDIT_MOVE || edit == EDIT_DROP); r++)
            ck_assert(!edited.timing.run[r].kept_to_plan);
        read_release(&base);
        read_release(&edited);
    }
    forget(&t);
}
END_TEST

/* The rows of t->edited under those of t->log, which get an outcome. */
static void add_outcomes(struct texts *t)
{
    struct wr_str log = {0};

    for (const char *at = t->log.text, *end; (end = strchr(at, '\n')); at = end + 1)
        wr_str_addf(&log, "%.*s,%s\n", (int)(end - at), at, at == t->log.text ? "outcome" : "done");
    wr_str_add(&log, wr_str_text(&t->edited));
    wr_str_release(&t->log);
    t->log = log;
}

/* One task that no run did, without a row and as a row that says so: all else began as the walk has it, and what it
 * waited for by way of that task was no lead-in. */
START_TEST(no_row_and_skipped_are_the_same_day)
{
    struct world w;
    struct texts t = {0};
    struct read_campaign silent, told;
    unsigned long long state = 7300 + (unsigned long long)_i;

    w.left_out = 1 + (int)(made_uniform(&state) * (TASKS - 2));
    make_plan(&w, &state);
    rehearse(&w, &state);
    write_plan(w.task, &t.plan);
    write_log(&w, true, &t.log);
    read_campaign(&silent, t.plan.text, NULL, t.log.text);
    for (int r = 0; r < RUNS; r++)
        wr_str_addf(&t.edited, "r%d,T%d,,,,%s,skipped\n", r, w.left_out, crew_words(w.task[w.left_out].crew));
    add_outcomes(&t);
    read_campaign(&told, t.plan.text, NULL, t.log.text);
    for (size_t k = 0; k < TASKS; k++)
        for (size_t r = 0; r < RUNS; r++) {
            const struct wr_cell *a = wr_timing_cell(&silent.timing, k, r), *b = wr_timing_cell(&told.timing, k, r);
            if ((int)k == w.left_out) {
                ck_assert(a->state == WR_CELL_ABSENT && b->state == WR_CELL_SKIPPED);
                continue;
            }
            is_the_same(b, a, silent.plan.task[k].id);
            ck_assert_double_eq_tol(a->lead_in_min, w.lead_in[r][k], 1e-6);
        }
    for (size_t i = 0; i < RUNS * silent.timing.n_lane; i++)
        ck_assert_double_eq_tol(silent.timing.waiting_min[i], told.timing.waiting_min[i], 1e-6);
    for (size_t r = 0; r < RUNS; r++)
        ck_assert_double_eq_tol(silent.timing.run[r].by_plan_min, told.timing.run[r].by_plan_min, 1e-6);
    read_release(&silent);
    read_release(&told);
    forget(&t);
}
END_TEST

/* ---- by hand ---- */

static const char two_lanes[] = "task,crew,after\nA,EV1+EV2,\nB,EV1,\nC,EV1,\nX,EV2,\nY,EV2,B\nZ,EV1+EV2,\n";
static const char two_lanes_log[] =
    "run,task,crew,start,end\n"
    "r1,A,EV1+EV2,0,10\nr1,B,EV1,11,50\nr1,C,EV1,51,60\nr1,X,EV2,10,20\nr1,Y,EV2,50.5,58\n"
    "r1,Z,EV1+EV2,62,70\n"
    "r2,A,EV1+EV2,0,10\nr2,B,EV1,11,55\nr2,C,EV1,56,65\nr2,X,EV2,10,20\nr2,Y,EV2,55.5,63\n"
    "r2,Z,EV1+EV2,67,75\n";

START_TEST(what_runs_never_did_is_said_once)
{
    struct read_campaign c;

    read_campaign(&c, "task,crew,after\nA,EV1+EV2,\nC,EV1,\nB,EV1,\nX,EV2,\nY,EV2,B\nZ,EV1+EV2,\n", NULL,
                  two_lanes_log);
    ck_assert_uint_eq(read_count(&c, "order-not-rehearsed"), 1);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "order-not-rehearsed"),
                                 "'B' wait for 'C', but in 2 of 2 runs it began before that had ended"));
    ck_assert_uint_eq(read_count(&c, "began-early"), 0);
    ck_assert(!read_run(&c, "r1")->kept_to_plan && read_run(&c, "r1")->complete);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r1")->lead_in_min, 1, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "C", "r1")->lead_in_min, 1, 1e-9);
    ck_assert_double_eq_tol(read_run(&c, "r1")->replay_min, 70, 1e-9);
    ck_assert(!c.timing.old_wait_missing); /* the lane's own order says what they waited for */
    /* through the plan as it stands: A 10, C 10, B 40, Y after B 8, Z 2 + 8 after Y and B */
    ck_assert_double_eq_tol(read_run(&c, "r1")->by_plan_min, 10 + 10 + 40 + 8 + 10, 1e-9);
    read_release(&c);
    read_campaign(&c, "task,crew,after\nA,EV1+EV2,\nC,EV1,\nB,EV1,C\nX,EV2,\nY,EV2,B\nZ,EV1+EV2,\n", NULL,
                  two_lanes_log); /* the same, written down as an after */
    ck_assert_uint_eq(read_count(&c, "order-not-rehearsed"), 1);
    ck_assert(!c.timing.old_wait_missing);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r1")->lead_in_min, 1, 1e-9);
    read_release(&c);
}
END_TEST

/* Y waited for B, and the plan now has it wait for C: that it waited at all is lost, and the wait is work. */
START_TEST(an_after_between_lanes_that_was_moved_leaves_its_wait_as_work)
{
    struct read_campaign c;

    read_campaign(&c, "task,crew,after\nA,EV1+EV2,\nB,EV1,\nC,EV1,\nX,EV2,\nY,EV2,C\nZ,EV1+EV2,\n", NULL,
                  two_lanes_log);
    ck_assert_uint_eq(read_count(&c, "order-not-rehearsed"), 1);
    ck_assert(c.timing.old_wait_missing);
    ck_assert_double_eq_tol(read_cell(&c, "Y", "r1")->lead_in_min, 30.5, 1e-9);
    read_release(&c);
    read_campaign(&c, two_lanes, NULL, two_lanes_log); /* as it was rehearsed */
    ck_assert(!c.timing.old_wait_missing);
    ck_assert_double_eq_tol(read_cell(&c, "Y", "r1")->lead_in_min, 0.5, 1e-9);
    read_release(&c);
}
END_TEST

/* Runs that waited for another moment than the plan has now: what to give is said, or the wait is taken for work. */
START_TEST(a_not_before_that_was_moved_is_said)
{
    static const char log[] = "run,task,crew,start,end\nr1,A,EV1,0,10\nr1,B,EV1,25,30\nr2,A,EV1,0,10\nr2,B,EV1,25,31\n"
                              "r3,A,EV1,0,12\nr3,B,EV1,41,46\n";
    struct read_campaign c;

    read_campaign(&c, "task,crew,not_before\nA,EV1,\nB,EV1,40\n", NULL, log);
    ck_assert_uint_eq(read_count(&c, "order-not-rehearsed"), 1);
    ck_assert_ptr_nonnull(
        strstr(read_message(&c, "order-not-rehearsed"), "in 2 of 3 runs 'B' began before its not_before"));
    ck_assert_ptr_nonnull(strstr(read_message(&c, "order-not-rehearsed"), "--plan-rehearsed"));
    ck_assert(c.timing.old_wait_missing);
    read_release(&c);
    read_campaign(&c, "task,crew,not_before\nA,EV1,\nB,EV1,25\n", NULL, log); /* as it was rehearsed */
    ck_assert_uint_eq(read_count(&c, "order-not-rehearsed"), 0);
    read_release(&c);
}
END_TEST

START_TEST(dropped_work_that_was_waited_for_looks_like_a_lead_in)
{
    static const char without_b[] = "task,crew,after\nA,EV1+EV2,\nC,EV1,\nX,EV2,\nY,EV2,\nZ,EV1+EV2,\n";
    struct read_campaign c;

    read_campaign(&c, without_b, NULL, two_lanes_log);
    ck_assert_double_eq_tol(read_cell(&c, "C", "r1")->lead_in_min, 1, 1e-9); /* its own lane shows B */
    ck_assert_double_eq_tol(read_cell(&c, "Y", "r1")->lead_in_min, 30.5, 1e-9);
    ck_assert_ptr_nonnull(
        strstr(read_message(&c, "wait-or-lead-in"), "in 2 of 2 runs 'Y' began just after 'B' had ended"));
    ck_assert_uint_eq(c.timing.n_other, 1);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r2")->active_min, 44, 1e-9); /* keeps its own time */
    read_release(&c);
    read_campaign(&c, without_b, two_lanes, two_lanes_log);
    ck_assert_double_eq_tol(read_cell(&c, "Y", "r1")->lead_in_min, 0.5, 1e-9);
    ck_assert_uint_eq(read_count(&c, "wait-or-lead-in"), 0);
    ck_assert_double_eq_tol(read_run(&c, "r1")->replay_min, 70, 1e-9);
    read_release(&c);
}
END_TEST

/* P is in the plan and in no run. V, behind it in EV2's lane, waits for B by way of it: that is no lead-in of V, and is
 * said, for P may have come to the plan after the runs. */
static const char by_way_plan[] = "task,crew,after\nA,EV1+EV2,\nB,EV1,\nX,EV2,\nP,EV2,B\nV,EV2,\nZ,EV1+EV2,\n";

START_TEST(a_wait_by_way_of_a_task_without_rows)
{
    static const char log[] = "run,task,crew,start,end,outcome\n"
                              "r1,A,EV1+EV2,0,10,\nr1,B,EV1,10,50,\nr1,X,EV2,10,20,\nr1,V,EV2,51,60,\n"
                              "r1,Z,EV1+EV2,60,70,\n"
                              "r2,A,EV1+EV2,0,10,\nr2,B,EV1,10,40,\nr2,X,EV2,10,22,\nr2,V,EV2,42,60,\n"
                              "r2,Z,EV1+EV2,60,70,\n";
    struct wr_str told = {0};
    struct read_campaign c;

    read_campaign(&c, by_way_plan, NULL, log);
    ck_assert_double_eq_tol(read_cell(&c, "V", "r1")->lead_in_min, 51 - 50, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "V", "r2")->lead_in_min, 42 - 40, 1e-9);
    ck_assert_double_eq_tol(c.timing.waiting_min[1], 50 - 20, 1e-9);
    ck_assert_double_eq_tol(read_run(&c, "r1")->by_plan_min, 70, 1e-9);
    ck_assert_uint_eq(read_count(&c, "wait-or-lead-in"), 1);
    ck_assert_str_eq(read_message(&c, "wait-or-lead-in"),
                     "in 2 of 2 runs 'V' began after 'B' had ended, and the plan has it wait for that by way of 'P', "
                     "which no run has a row of: the 24 min on average for which its lane stood idle until then count "
                     "as a wait; if that came to the plan after the runs, give the plan that they followed as "
                     "plan-rehearsed.csv, else log it as skipped"); /* (30 + 18) / 2 */
    read_release(&c);

    /* as the finding has it: skipped */
    wr_str_addf(&told, "%sr1,P,EV2,,,skipped\nr2,P,EV2,,,skipped\n", log);
    read_campaign(&c, by_way_plan, NULL, told.text);
    ck_assert_double_eq_tol(read_cell(&c, "V", "r1")->lead_in_min, 51 - 50, 1e-9);
    ck_assert_uint_eq(read_count(&c, "wait-or-lead-in"), 0);
    read_release(&c);
    /* or new in the plan */
    read_campaign(&c, by_way_plan, "task,crew,after\nA,EV1+EV2,\nB,EV1,\nX,EV2,\nV,EV2,\nZ,EV1+EV2,\n", log);
    ck_assert_double_eq_tol(read_cell(&c, "V", "r1")->lead_in_min, 51 - 20, 1e-9);
    read_release(&c);
    wr_str_release(&told);
}
END_TEST

/* Where most runs did not wait for that, the one that happened to begin later need not have waited either. */
START_TEST(what_most_runs_did_not_wait_for_is_passed_on_in_none)
{
    static const char head[] = "run,task,crew,start,end,outcome\n";
    static const char log[] = "r1,A,EV1+EV2,0,10,\nr1,B,EV1,10,50,\nr1,X,EV2,10,20,\nr1,V,EV2,21,60,\n"
                              "r2,A,EV1+EV2,0,10,\nr2,B,EV1,10,40,\nr2,X,EV2,10,22,\nr2,V,EV2,24,60,\n"
                              "r3,A,EV1+EV2,0,10,\nr3,B,EV1,10,40,\nr3,X,EV2,10,22,\nr3,V,EV2,41,60,\n";
    static const char skipped[] = "r1,P,EV2,,,skipped\nr2,P,EV2,,,skipped\nr3,P,EV2,,,skipped\n";

    for (int told = 0; told < 2; told++) {
        struct wr_str text = {0};
        struct read_campaign c;
        wr_str_addf(&text, "%s%s%s", head, log, told ? skipped : "");
        read_campaign(&c, by_way_plan, NULL, text.text);
        ck_assert_double_eq_tol(read_cell(&c, "V", "r1")->lead_in_min, 1, 1e-9);
        ck_assert_double_eq_tol(read_cell(&c, "V", "r2")->lead_in_min, 2, 1e-9);
        ck_assert_double_eq_tol(read_cell(&c, "V", "r3")->lead_in_min, 41 - 22, 1e-9);
        read_release(&c);
        wr_str_release(&text);
    }
}
END_TEST

START_TEST(interrupted_work_is_counted_once)
{
    struct read_campaign c;

    /* B is broken off for C and taken up again; without holds B 15, C 8 + 1 */
    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\nC,EV1\nD,EV1\n", NULL,
                  "run,task,crew,start,end,hold\n"
                  "r1,A,EV1,0,10,\nr1,B,EV1,11,20,\nr1,C,EV1,21,30,1\nr1,B,EV1,32,38,\nr1,D,EV1,38,45,\n");
    ck_assert_double_eq_tol(read_cell(&c, "B", "r1")->lead_in_min, 1, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r1")->active_min, 15, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r1")->gap_min, 2, 1e-9); /* from the end of C, not from its own */
    ck_assert_double_eq_tol(read_cell(&c, "C", "r1")->lead_in_min, 1, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "D", "r1")->lead_in_min, 0, 1e-9);
    ck_assert_double_eq_tol(read_run(&c, "r1")->replay_min, 45, 1e-9);
    ck_assert_double_eq_tol(read_run(&c, "r1")->finish_without_holds_min, 44, 1e-9);
    ck_assert_double_eq_tol(read_run(&c, "r1")->by_plan_min, 44, 1e-9);
    ck_assert(!read_run(&c, "r1")->kept_to_plan);
    read_release(&c);
}
END_TEST

START_TEST(a_run_in_another_order_is_not_longer_than_it_was)
{
    struct read_campaign c;

    read_campaign(&c, "task,crew\nA,EV1\nB,EV1\nC,EV1\nD,EV1\n", NULL,
                  "run,task,crew,start,end\n"
                  "r1,A,EV1,0,10\nr1,B,EV1,11,40\nr1,C,EV1,41,60\nr1,D,EV1,60,70\n"
                  "r2,A,EV1,0,10\nr2,C,EV1,11,30\nr2,D,EV1,31,40\nr2,B,EV1,42,70\n"
                  "r3,A,EV1,0,10\nr3,B,EV1,11,40\nr3,C,EV1,41,60\nr3,D,EV1,60,70\n");
    ck_assert(!read_run(&c, "r2")->kept_to_plan && read_run(&c, "r1")->kept_to_plan);
    ck_assert_double_eq_tol(read_run(&c, "r2")->finish_without_holds_min, 70, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "B", "r2")->lead_in_min, 2, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "C", "r2")->lead_in_min, 1, 1e-9);
    ck_assert_uint_eq(read_count(&c, "began-early"), 1);
    read_release(&c);
}
END_TEST

START_TEST(lanes_of_work_that_no_row_names_a_crew_for)
{
    /* B was EV1's; the plan has given it to EV2, who was at X all the time, and EV1 had nothing else */
    static const char log[] = "run,task,start,end\n"
                              "r1,A,0,10\nr1,B,11,20\nr1,C,21,30\nr1,X,10,40\nr1,Z,41,50\n"
                              "r2,A,0,10\nr2,B,11,22\nr2,C,23,30\nr2,X,10,44\nr2,Z,45,50\n";
    struct read_campaign c;

    read_campaign(&c, "task,crew\nA,EV1+EV2\nB,EV2\nC,EV1\nX,EV2\nZ,EV1+EV2\n", NULL, log);
    ck_assert_ptr_nonnull(strstr(read_message(&c, "lane-unclear"), "done in 'EV1', which was free"));
    ck_assert_double_eq_tol(read_cell(&c, "C", "r1")->lead_in_min, 1, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "X", "r1")->lead_in_min, 0, 1e-9);
    ck_assert(!read_run(&c, "r1")->kept_to_plan);
    read_release(&c);
    /* dropped work that nobody is named for, while both lanes were free: what came after is not known */
    read_campaign(&c, "task,crew\nA,EV1\nC,EV1\nX,EV2\n", NULL,
                  "run,task,start,end\nr1,A,0,10\nr1,B,11,20\nr1,C,21,30\nr1,X,25,40\n"
                  "r2,A,0,10\nr2,B,11,20\nr2,C,21,30\nr2,X,25,40\n");
    ck_assert(read_cell(&c, "C", "r1")->lead_in_unknown && read_cell(&c, "X", "r1")->lead_in_unknown);
    ck_assert_uint_eq(read_count(&c, "lane-unclear"), 1);
    read_release(&c);
}
END_TEST

START_TEST(names_without_end_are_refused)
{
    enum { MANY = 2500 }; /* runs, and tasks that the plan does not have: 6.25 million cells */
    struct wr_str log = {0};
    struct wr_findings findings = {0};
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    struct wr_run_log read = {0};
    struct wr_timing timing = {0};
    struct wr_error err = {0};

    wr_str_add(&log, "run,task,crew,start,end\n");
    for (int i = 0; i < MANY; i++) wr_str_addf(&log, "r%d,A,EV1,0,1\nr%d,t%d,EV1,1,2\n", i, i, i);
    made_plan_add(&plan, "A", "EV1", "");
    made_plan_finish(&plan);
    ck_assert_int_eq(wr_run_log_read_bytes(&read, "runs.csv", log.text, log.len, NULL, &findings, &err), WR_OK);
    ck_assert_int_eq(wr_network_build(&net, &plan, &err), WR_OK);
    ck_assert_int_eq(wr_timing_build(&timing, &read, &plan, &net, &findings, &err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "2500 names of tasks that the plan does not have"));
    wr_timing_release(&timing);
    wr_network_release(&net);
    wr_run_log_release(&read);
    wr_findings_release(&findings);
    made_plan_release(&plan);
    wr_str_release(&log);
}
END_TEST

/* W came to the plan for the last run, and the plan without it is given for the runs before: they lack nothing, and the
 * time before Z is theirs, with W in the plan as without. The expected lead-ins are differences of the log's clocks. */
START_TEST(work_that_came_later_is_not_missing_before)
{
    static const char before[] = "task,crew\nA,EV1+EV2\nB,EV1\nX,EV2\nZ,EV1+EV2\n";
    static const char now[] = "task,crew\nA,EV1+EV2\nB,EV1\nX,EV2\nW,EV2\nZ,EV1+EV2\n";
    static const char log[] = "run,task,crew,start,end\n"
                              "r1,A,EV1+EV2,0,10\nr1,B,EV1,11,50\nr1,X,EV2,11,20\nr1,Z,EV1+EV2,52,60\n"
                              "r2,A,EV1+EV2,0,10\nr2,B,EV1,11,55\nr2,X,EV2,11,20\nr2,Z,EV1+EV2,58,66\n"
                              "r3,A,EV1+EV2,0,10\nr3,B,EV1,11,51\nr3,X,EV2,11,20\nr3,W,EV2,22,40\nr3,Z,EV1+EV2,52,61\n";
    struct read_campaign c;

    read_campaign(&c, now, before, log);
    ck_assert_uint_eq(read_count(&c, "time-unknown"), 0);
    ck_assert(!read_cell(&c, "Z", "r1")->lead_in_unknown && !read_cell(&c, "Z", "r2")->lead_in_unknown);
    ck_assert_double_eq_tol(read_cell(&c, "Z", "r1")->lead_in_min, 52 - 50, 1e-9);
    ck_assert_double_eq_tol(read_cell(&c, "Z", "r2")->lead_in_min, 58 - 55, 1e-9);
    ck_assert_double_eq_tol(read_run(&c, "r1")->nobodys_min, 0, 1e-9);
    ck_assert_double_eq_tol(c.timing.waiting_min[1], 50 - 20, 1e-9); /* EV2 in r1: it waits for B */
    ck_assert_double_eq_tol(read_cell(&c, "W", "r3")->active_min, 18, 1e-9);
    read_release(&c);
    read_campaign(&c, now, NULL, log); /* nothing says that it was not to be done: its time may lie there */
    ck_assert_uint_eq(read_count(&c, "time-unknown"), 2);
    ck_assert(read_cell(&c, "Z", "r1")->lead_in_unknown);
    read_release(&c);
}
END_TEST

Suite *suite_edited_plan(void);
Suite *suite_edited_plan(void)
{
    Suite *s = suite_create("edited_plan");
    TCase *t = tcase_create("edited_plan");

    tcase_add_loop_test(t, with_the_plan_as_rehearsed_nothing_moves, 0, 200);
    tcase_add_loop_test(t, without_it_the_log_tells_what_it_can, 0, 200);
    tcase_add_test(t, what_runs_never_did_is_said_once);
    tcase_add_test(t, an_after_between_lanes_that_was_moved_leaves_its_wait_as_work);
    tcase_add_test(t, a_not_before_that_was_moved_is_said);
    tcase_add_test(t, dropped_work_that_was_waited_for_looks_like_a_lead_in);
    tcase_add_loop_test(t, no_row_and_skipped_are_the_same_day, 0, 100);
    tcase_add_test(t, a_wait_by_way_of_a_task_without_rows);
    tcase_add_test(t, what_most_runs_did_not_wait_for_is_passed_on_in_none);
    tcase_add_test(t, interrupted_work_is_counted_once);
    tcase_add_test(t, a_run_in_another_order_is_not_longer_than_it_was);
    tcase_add_test(t, lanes_of_work_that_no_row_names_a_crew_for);
    tcase_add_test(t, work_that_came_later_is_not_missing_before);
    tcase_add_test(t, names_without_end_are_refused);
    suite_add_tcase(s, t);
    return s;
}
