/* A campaign read from texts of its files and timed. All campaigns here are invented. */
#pragma once
#include <stddef.h>
#include "wetrun/timing/timing.h"

struct read_campaign {
    struct wr_findings findings;
    struct wr_plan plan, rehearsed;
    struct wr_network net;
    struct wr_run_log log;
    struct wr_timing timing;
};
/* Reads and times; rehearsed NULL: no plan-rehearsed.csv. Fails the test if it cannot be used. */
void read_campaign(struct read_campaign *c, const char *plan, const char *rehearsed, const char *log);
const struct wr_cell *read_cell(const struct read_campaign *c, const char *task, const char *run);
const struct wr_timing_run *read_run(const struct read_campaign *c, const char *run);
size_t read_count(const struct read_campaign *c, const char *code); /* findings with this code */
/* The first one; fails without. */
const struct wr_finding *read_finding(const struct read_campaign *c, const char *code);
const char *read_message(const struct read_campaign *c, const char *code);
void read_release(struct read_campaign *c);
