/* Active times, lead-ins and finishes of a logged campaign against arithmetic done outside the program (case S-RPL-01):
 * a run past midnight, seconds, a hold, lead-ins. */
#include <check.h>
#include <stdio.h>
#include "refcase.h"
#include "wetrun/timing/timing.h"

static void data_path(const struct refcase *c, const char *key, char path[256])
{
    snprintf(path, 256, "tests/reference/%s", json_string_value(refcase_input(c, key)));
}

START_TEST(logged_runs_replay)
{
    struct refcase *c = refcase_open("S-RPL-01");
    char plan_path[256], runs_path[256];
    const char *runs = runs_path;
    struct wr_findings findings = {0};
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    struct wr_run_log log = {0};
    struct wr_timing timing = {0};
    struct wr_error err = {0};
    struct wr_log_options options = {0};

    data_path(c, "plan", plan_path);
    data_path(c, "runs", runs_path);
    ck_assert_msg(wr_plan_read(&plan, plan_path, &findings, &err) == WR_OK, "%s", err.text);
    ck_assert_msg(wr_run_log_read(&log, &runs, 1, &options, &findings, &err) == WR_OK, "%s", err.text);
    ck_assert_msg(wr_network_build(&net, &plan, &err) == WR_OK, "%s", err.text);
    ck_assert_msg(wr_timing_build(&timing, &log, &plan, &net, &findings, &err) == WR_OK, "%s", err.text);
    wr_timing_check(&timing);
    for (size_t r = 0; r < timing.n_run; r++) {
        double holds = 0;
        for (size_t k = 0; k < timing.n_task; k++) {
            const struct wr_cell *cell = wr_timing_cell(&timing, k, r);
            refcase_is(c, cell->active_min, "%s.%s.active_min", log.run[r].id, plan.task[k].id);
            refcase_is(c, cell->lead_in_min, "%s.%s.lead_in_min", log.run[r].id, plan.task[k].id);
            holds += cell->hold_min;
        }
        refcase_is(c, holds, "%s.holds_min", log.run[r].id);
        refcase_is(c, timing.run[r].finish_min.value, "%s.finish_min", log.run[r].id);
        refcase_is(c, timing.run[r].finish_without_holds_min, "%s.finish_without_holds_min", log.run[r].id);
        ck_assert_double_eq_tol(timing.run[r].replay_min, timing.run[r].finish_min.value, 1e-6);
    }
    refcase_close(c);
    wr_timing_release(&timing);
    wr_network_release(&net);
    wr_run_log_release(&log);
    wr_plan_release(&plan);
    wr_findings_release(&findings);
}
END_TEST

Suite *suite_replay_cases(void);
Suite *suite_replay_cases(void)
{
    Suite *s = suite_create("replay_cases");
    TCase *t = tcase_create("replay_cases");

    tcase_add_test(t, logged_runs_replay);
    suite_add_tcase(s, t);
    return s;
}
