#include "read_campaign.h"

#include <check.h>
#include <string.h>

void read_campaign(struct read_campaign *c, const char *plan, const char *rehearsed, const char *log)
{
    struct wr_error err = {0};
    const struct wr_log_options options = {.plan = &c->plan};

    *c = (struct read_campaign){0};
    ck_assert_msg(wr_plan_read_bytes(&c->plan, "plan.csv", plan, strlen(plan), &c->findings, &err) == WR_OK, "%s\n%s",
                  err.text, plan);
    if (rehearsed)
        ck_assert_msg(wr_plan_read_bytes(&c->rehearsed, "plan-rehearsed.csv", rehearsed, strlen(rehearsed),
                                         &c->findings, &err) == WR_OK,
                      "%s", err.text);
    ck_assert_msg(wr_run_log_read_bytes(&c->log, "runs.csv", log, strlen(log), &options, &c->findings, &err) == WR_OK,
                  "%s", err.text);
    ck_assert_msg(wr_network_build(&c->net, &c->plan, &err) == WR_OK, "%s", err.text);
    ck_assert_msg(wr_timing_build_as_rehearsed(&c->timing, &c->log, &c->plan, &c->net, rehearsed ? &c->rehearsed : NULL,
                                               &c->findings, &err) == WR_OK, "%s", err.text);
    wr_timing_check(&c->timing);
}

static size_t run_named(const struct read_campaign *c, const char *run)
{
    for (size_t r = 0; r < c->log.n_run; r++)
        if (strcmp(c->log.run[r].id, run) == 0) return r;
    ck_abort_msg("no run '%s'", run);
    return 0;
}

const struct wr_cell *read_cell(const struct read_campaign *c, const char *task, const char *run)
{
    size_t k = wr_plan_find(&c->plan, task);

    for (size_t i = 0; k == SIZE_MAX && i < c->timing.n_other; i++)
        if (strcmp(c->timing.other[i].id, task) == 0) k = c->timing.n_task + i;
    ck_assert_msg(k != SIZE_MAX, "no task '%s'", task);
    return wr_timing_cell(&c->timing, k, run_named(c, run));
}

const struct wr_timing_run *read_run(const struct read_campaign *c, const char *run)
{
    return &c->timing.run[run_named(c, run)];
}

size_t read_count(const struct read_campaign *c, const char *code)
{
    size_t n = 0;

    for (size_t i = 0; i < c->findings.n_finding; i++) n += strcmp(c->findings.finding[i].code, code) == 0;
    return n;
}

const struct wr_finding *read_finding(const struct read_campaign *c, const char *code)
{
    for (size_t i = 0; i < c->findings.n_finding; i++)
        if (strcmp(c->findings.finding[i].code, code) == 0) return &c->findings.finding[i];
    ck_abort_msg("no finding '%s'", code);
    return NULL;
}

const char *read_message(const struct read_campaign *c, const char *code)
{
    return read_finding(c, code)->message;
}

void read_release(struct read_campaign *c)
{
    wr_timing_release(&c->timing);
    wr_network_release(&c->net);
    wr_run_log_release(&c->log);
    wr_plan_release(&c->plan);
    wr_plan_release(&c->rehearsed);
    wr_findings_release(&c->findings);
}
