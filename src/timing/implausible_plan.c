/* What the plan says that cannot be meant: drop times that nothing keeps or can come to. */
#include <math.h>
#include <stdio.h>
#include "screening.h"

/* ---- rules ---- */

/* "the one run that began it could do so at 1:09", "none of the 3 runs that began it could do so before 1:09": the rule
 * goes by when it could begin. Of a run that skipped it nobody knows that. */
static void doubt_rule(struct screening *j, const struct wr_plan_task *t, size_t n_began, size_t n_skipped,
                       double earliest)
{
    char began[100], skipped[120] = "";

    if (n_began == 1)
        snprintf(began, sizeof began, "the one run that began it could do so at %s", wr_hmm(earliest, WR_ROOM));
    else
        snprintf(began, sizeof began, "none of the %zu runs that began it could do so before %s", n_began,
                 wr_hmm(earliest, WR_ROOM));
    if (n_skipped > 0)
        snprintf(skipped, sizeof skipped, " (%zu skipped it, and may have been in time or not)", n_skipped);
    wr_findings_add(j->findings, WR_WARNING, "implausible-rule", j->plan->file, t->line, 0,
                    "task '%.60s' is dropped after %s, and %s%s: by the rule a day like %s drops it. Leave drop_after "
                    "empty if there is no such rule",
                    t->id, wr_hmm(t->drop_after_min.value, WR_ROOM), began, skipped, n_began == 1 ? "that" : "those");
}

/* The last moment at which some limit of a day is kept; 0: there is none. */
static double last_limit(const struct wr_limits *limits)
{
    double last = 0;

    for (size_t i = 0; i < limits->n_limit; i++)
        if (!limits->limit[i].is_clock) last = fmax(last, limits->limit[i].minutes);
    return last;
}

static void doubt_rule_colon(struct screening *j, const struct wr_plan_task *t, const char *beside)
{
    char read[WR_CLOCK_TEXT], meant[WR_CLOCK_TEXT];

    wr_hmm(t->drop_after_min.value, read);
    wr_hmm(t->drop_after_as_clock_min.value, meant);
    wr_findings_add(j->findings, WR_WARNING, "implausible-rule", j->plan->file, t->line, 0,
                    "task '%.60s' is dropped after %.0f minutes, %s, as read, and %s: if %s is meant, write %s, else "
                    "%s",
                    t->id, t->drop_after_min.value, read, beside, meant, meant, read);
}

/* When it usually began; *n_began, *n_skipped: in how many runs; *could_begin: earliest of all. */
static struct wr_maybe usual_begin(struct screening *j, size_t task, size_t *n_began, size_t *n_skipped,
                                   double *could_begin)
{
    *n_began = *n_skipped = 0;
    *could_begin = INFINITY;
    for (size_t r = 0; r < j->timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(j->timing, task, r);
        *n_skipped += c->state == WR_CELL_SKIPPED;
        if (!screen_was_begun(c)) continue;
        j->value[(*n_began)++] = c->start_min;
        *could_begin = fmin(*could_begin, c->start_min - fmax(c->lead_in_min, 0));
    }
    return screen_median(j->value, *n_began);
}

/* A drop_after that nothing ever keeps, or that nothing can come to: 0 for none, a time of day, 525 for 5:25. */
static void screen_rule(struct screening *j, size_t task, struct wr_maybe planned, const struct wr_limits *limits)
{
    const struct wr_plan_task *t = &j->plan->task[task];
    struct wr_maybe usual = screen_other_finish(j, screen_finish_of, SIZE_MAX, 1),
                    as_clock = t->drop_after_as_clock_min;
    size_t n_began, n_skipped;
    double could_begin, last = fmax(usual.known ? usual.value : 0, planned.known ? planned.value : 0);
    char beside[80];

    if (!t->drop_after_min.known) return;
    struct wr_maybe begin = usual_begin(j, task, &n_began, &n_skipped, &could_begin);
    double rule = t->drop_after_min.value;
    double limit = last_limit(limits);
    bool far = last > 0 && rule > FAR_RUN * last, idle = far || (limit > 0 && rule > fmax(last, limit));
    if (n_began > 0 && could_begin > rule) doubt_rule(j, t, n_began, n_skipped, could_begin);
    if (far || limit == 0) snprintf(beside, sizeof beside, "all is usually done by %s", wr_hmm(last, WR_ROOM));
    else snprintf(beside, sizeof beside, "by %s every limit is over", wr_hmm(limit, WR_ROOM));
    if (idle && as_clock.known && as_clock.value <= fmax(last, limit)) {
        doubt_rule_colon(j, t, beside);
    } else if (idle) {
        wr_findings_add(j->findings, WR_WARNING, "implausible-rule", j->plan->file, t->line, 0,
                        "task '%.60s' is dropped after %s, and %s: %sdrop_after counts from the beginning, in minutes "
                        "or h:mm",
                        t->id, wr_hmm(rule, WR_ROOM), beside, far ? "a time of day? " : "");
    } else if (screen_lacks_colon(rule, as_clock, begin)) {
        snprintf(beside, sizeof beside, "it usually begins at %s", wr_hmm(begin.value, WR_ROOM));
        doubt_rule_colon(j, t, beside);
    }
}

void screen_plan(struct screening *j, struct wr_maybe planned, const struct wr_limits *limits)
{
    for (size_t k = 0; k < j->plan->n_task; k++) screen_rule(j, k, planned, limits);
    screen_planned(j);
    screen_said(j, j->plan);
}
