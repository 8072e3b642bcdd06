/* Limits that cannot be meant: far from what they limit, or kept on any day. */
#include <math.h>
#include <stdio.h>
#include "screening.h"
#include "wetrun/base/memory.h"
#include "wetrun/network/planned.h"

static const double FAR_LIMIT = 4, FAR_ABOVE = 2.5, FAR_PART = 3, FAR_NUMBER = 1.65, LEAST_SLACK = 30,
                    AMPLE_CLOCK = 1.5, CLOCK_BELOW = 0.8;
enum { MOSTLY = 2 }; /* times as many */

/* What it limits took in a run. */
static double limited_min(const struct screening *j, const struct wr_limit *limit, size_t run)
{
    double end = 0;

    if (limit->is_clock) {
        double from = wr_timing_cell(j->timing, limit->from, run)->start_min;
        return wr_timing_cell(j->timing, limit->to, run)->end_min - from;
    }
    for (size_t k = 0; k < j->timing->n_task; k++)
        if (j->plan->task[k].lanes & limit->lanes) end = fmax(end, wr_timing_cell(j->timing, k, run)->end_min);
    return end;
}

static struct wr_maybe usual_limited(struct screening *j, const struct wr_limit *limit)
{
    size_t n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++)
        if (j->timing->run[r].complete) j->value[n++] = limited_min(j, limit, r);
    return screen_median(j->value, n);
}

/* In how many runs that have both its end had come before its begin, and in how many after. */
struct directions { size_t reversed, forward; };

static struct directions directions_of(const struct wr_limit *limit, const struct wr_timing *timing)
{
    struct directions n = {0};

    for (size_t r = 0; r < timing->n_run; r++) {
        const struct wr_cell *from = wr_timing_cell(timing, limit->from, r), *to = wr_timing_cell(timing, limit->to, r);
        if (!screen_was_begun(from) || !screen_was_begun(to)) continue;
        if (to->end_min > from->start_min) n.forward++;
        else n.reversed++;
    }
    return n;
}

bool wr_clock_is_reversed(const struct wr_limit *limit, const struct wr_network *net, const struct wr_timing *timing)
{
    if (!limit->is_clock) return false;
    struct directions n = directions_of(limit, timing);
    return n.forward == 0 && (n.reversed > 0 || wr_network_waits_for(net, limit->from, limit->to));
}

static void screen_clock(struct screening *j, const struct wr_limit *limit)
{
    const struct wr_plan_task *task = j->plan->task;

    if (!limit->is_clock) return;
    struct directions n = directions_of(limit, j->timing);
    if (wr_clock_is_reversed(limit, j->net, j->timing))
        wr_findings_add(j->findings, WR_WARNING, "clock-reversed", NULL, 0, 0,
                        "limit '%.60s' runs from the begin of '%.60s' to the end of '%.60s', which has always ended by "
                        "then, and would count as kept on any day: write from and to the other way round, or take it "
                        "out",
                        limit->name, task[limit->from].id, task[limit->to].id);
    else if (n.reversed >= MOSTLY * n.forward && n.reversed > 0 && limit->form != WR_TIME_UNIT)
        wr_findings_add(j->findings, WR_WARNING, "clock-reversed", NULL, 0, 0,
                        "limit '%.60s' runs from the begin of '%.60s' to the end of '%.60s', which in %zu of %zu runs "
                        "had ended by then, and counts as kept on such days: write from and to the other way round; if "
                        "it is meant, write it with its unit (%.0f min)",
                        limit->name, task[limit->from].id, task[limit->to].id, n.reversed, n.reversed + n.forward,
                        limit->minutes);
}

static void doubt_colon(struct screening *j, const struct wr_limit *limit, const struct wr_implausible *row)
{
    char text[128], read[WR_CLOCK_TEXT], meant[WR_CLOCK_TEXT];

    screen_add_row(j, *row);
    wr_findings_add(j->findings, WR_WARNING, "implausible-limit", NULL, 0, 0,
                    "limit '%.60s' is %.0f minutes, %s, as read; %s: if %s is meant, write %s, else %s", limit->name,
                    limit->minutes, wr_hmm(limit->minutes, read), screen_beside(row, text, sizeof text),
                    wr_hmm(limit->as_clock_min.value, meant), meant, read);
}

/* The longest that it was in a complete run; when it usually begins, by the clock: runs without one are left out. */
static double longest_limited(const struct screening *j, const struct wr_limit *limit)
{
    double longest = 0;

    for (size_t r = 0; r < j->timing->n_run; r++)
        if (j->timing->run[r].complete) longest = fmax(longest, limited_min(j, limit, r));
    return longest;
}

static struct wr_maybe usual_clock(struct screening *j, const struct wr_limit *limit)
{
    size_t n = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        struct wr_maybe clock = j->log->run[r].clock_min;
        if (!j->timing->run[r].complete || !clock.known) continue;
        j->value[n++] = clock.value + (limit->is_clock ? wr_timing_cell(j->timing, limit->from, r)->start_min : 0);
    }
    return screen_median(j->value, n);
}

/* 15:42, where runs begin at 9:12 and all is done by 15:10. */
static bool is_time_of_day(const struct wr_limit *limit, double usual, double began)
{
    double left = limit->minutes - began;

    return limit->form == WR_TIME_COLON && limit->minutes > AMPLE_CLOCK * usual && left > CLOCK_BELOW * usual &&
           left < AMPLE_CLOCK * usual;
}

/* A digit too many, or another thing's time: what is limited never came near it, nor can. */
static bool is_out_of_reach(const struct wr_limit *limit, double longest, bool whole, double first_min)
{
    return whole ? limit->minutes > FAR_ABOVE * longest
                 : limit->minutes > FAR_PART * longest && limit->minutes >= first_min;
}

/* The longest that it was in any run that had it: without a task that was skipped it may be shorter, but not longer. */
static double longest_reached(const struct screening *j, const struct wr_limit *limit)
{
    double longest = 0;

    for (size_t r = 0; r < j->timing->n_run; r++)
        if (!limit->is_clock || (screen_was_begun(wr_timing_cell(j->timing, limit->from, r)) &&
                                 screen_was_begun(wr_timing_cell(j->timing, limit->to, r))))
            longest = fmax(longest, limited_min(j, limit, r));
    return longest;
}

/* What it limits takes by the plan. */
static struct wr_maybe planned_limited(const struct screening *j, const struct wr_limit *limit)
{
    WR_SCOPED double *start = WR_NEW_ARRAY(double, j->net->n_task), *end = WR_NEW_ARRAY(double, j->net->n_task);
    double last = 0;

    if (!wr_network_planned_times(j->net, j->plan, start, end).known) return WR_UNKNOWN;
    if (limit->is_clock) return wr_known(end[limit->to] - start[limit->from]);
    for (size_t k = 0; k < j->net->n_task; k++)
        if (j->plan->task[k].lanes & limit->lanes) last = fmax(last, end[k]);
    return wr_known(last);
}

static bool is_of_one_task(const struct wr_limit *limit)
{
    return limit->is_clock && limit->from == limit->to;
}

/* Digits that were exchanged, or a wrong first one, in a bare number: written as h:mm it would show how long it is. In
 * the limit of one task it may be the task that is wrong, so there the form says nothing. */
static bool is_far_number(const struct wr_limit *limit, double longest, bool whole, bool rehearsed)
{
    if (limit->form != WR_TIME_NUMBER && !is_of_one_task(limit)) return false;
    if (whole) return limit->minutes > (rehearsed ? FAR_NUMBER : FAR_ABOVE) * longest;
    return limit->minutes > FAR_PART * longest && limit->minutes > longest + LEAST_SLACK;
}

static bool doubt_time_of_day(struct screening *j, const struct wr_limit *limit, double usual, double longest)
{
    char read[WR_CLOCK_TEXT], took[WR_CLOCK_TEXT], began[WR_CLOCK_TEXT], left[WR_CLOCK_TEXT];
    struct wr_maybe clock = usual_clock(j, limit);

    if (!clock.known || !is_time_of_day(limit, usual, clock.value)) return false;
    wr_findings_add(j->findings, WR_WARNING, "limit-beyond", NULL, 0, 0,
                    "limit '%.60s' is %s from its begin, as read, and rehearsals took %s at most: a time of day? "
                    "What it limits usually begins at %s: write %s then, else %.0f min",
                    limit->name, wr_hmm(limit->minutes, read), wr_hmm(longest, took), wr_hmm(clock.value, began),
                    wr_hmm(limit->minutes - clock.value, left), limit->minutes);
    return true;
}

static void doubt_number(struct screening *j, const struct wr_limit *limit, double longest, bool rehearsed)
{
    char read[WR_CLOCK_TEXT], took[WR_CLOCK_TEXT], most[80];

    wr_hmm(limit->minutes, read);
    wr_hmm(longest, took);
    if (rehearsed) snprintf(most, sizeof most, "rehearsals took %s at most", took);
    else snprintf(most, sizeof most, "by the plan it takes %s", took);
    wr_findings_add(j->findings, WR_WARNING, "limit-beyond", NULL, 0, 0,
                    "limit '%.60s' is %.0f minutes, %s, as read, and %s: %s? If it is meant, write it with its unit: "
                    "%.0f min",
                    limit->name, limit->minutes, read, most,
                    is_of_one_task(limit) ? "from and to are one task; is another meant"
                                          : "digits exchanged, or a wrong one",
                    limit->minutes);
}

/* Kept on any day, and by that nothing is shown: true if it is doubted. */
static bool doubt_beyond(struct screening *j, const struct wr_limit *limit, bool whole, struct wr_maybe usual)
{
    char read[WR_CLOCK_TEXT], took[WR_CLOCK_TEXT];
    struct wr_maybe longest = usual.known ? wr_known(longest_limited(j, limit)) : planned_limited(j, limit);

    if (!longest.known || !(longest.value > 0)) return false;
    if (limit->form == WR_TIME_UNIT || wr_limit_is_example(limit)) return false;
    if (usual.known && doubt_time_of_day(j, limit, usual.value, longest.value)) return true;
    if (usual.known && is_out_of_reach(limit, longest.value, whole, j->first_min)) {
        wr_findings_add(j->findings, WR_WARNING, "limit-beyond", NULL, 0, 0,
                        "limit '%.60s' is %s as read, and rehearsals took %s at most: a digit too many, or a time of "
                        "day? If it is meant, write it with its unit: %.0f min",
                        limit->name, wr_hmm(limit->minutes, read), wr_hmm(longest.value, took), limit->minutes);
        return true;
    }
    double reached = longest_reached(j, limit);
    bool rehearsed = usual.known || reached > longest.value;
    reached = fmax(reached, longest.value);
    bool far = is_far_number(limit, reached, whole, rehearsed);
    if (far) doubt_number(j, limit, reached, rehearsed);
    return far;
}

static void screen_limit(struct screening *j, const struct wr_limit *limit, struct wr_maybe planned)
{
    uint32_t all = j->plan->n_lane >= WR_MAX_LANES ? UINT32_MAX : (UINT32_C(1) << j->plan->n_lane) - 1;
    bool whole = !limit->is_clock && limit->lanes == all;
    struct wr_implausible row = {.kind = WR_IMPLAUSIBLE_LIMIT, .task = limit->name, .read_min = limit->minutes,
                                 .planned_min = whole ? planned : WR_UNKNOWN, .others_min = usual_limited(j, limit)};
    char text[128], read[WR_CLOCK_TEXT];
    bool slow;

    if (screen_lacks_colon(limit->minutes, limit->as_clock_min, row.others_min)) {
        doubt_colon(j, limit, &row);
        return;
    }
    if (doubt_beyond(j, limit, whole, row.others_min)) {
        screen_add_row(j, row);
        return;
    }
    if (!screen_is_far(row.read_min, row.planned_min, row.others_min, FAR_LIMIT, FAR_LIMIT, &slow)) return;
    if (slow && (!whole || limit->form == WR_TIME_UNIT)) return; /* a supply may be ample */
    screen_add_row(j, row);
    wr_findings_add(j->findings, WR_WARNING, "implausible-limit", NULL, 0, 0,
                    "limit '%.60s' is %s as read; %s: hours and minutes are written h:mm", limit->name,
                    wr_hmm(limit->minutes, read), screen_beside(&row, text, sizeof text));
}

/* A first limit that is passed only after another of the same: the headline would be of what decides nothing. */
static void screen_first(struct screening *j, const struct wr_limits *limits)
{
    const struct wr_limit *first = limits->limit;
    char allowed[WR_CLOCK_TEXT], tighter[WR_CLOCK_TEXT];

    for (size_t i = 1; i < limits->n_limit && first->line > 0; i++) {
        const struct wr_limit *l = &limits->limit[i];
        bool same = l->is_clock == first->is_clock && l->lanes == first->lanes &&
                    (!l->is_clock || (l->from == first->from && l->to == first->to));
        bool surer = first->confidence.known && l->confidence.known && first->confidence.value > l->confidence.value;
        if (!same || surer || l->minutes >= first->minutes) continue;
        wr_findings_add(j->findings, WR_WARNING, "limit-idle", NULL, 0, 0,
                        "the first limit, '%.60s', allows %s where '%.60s' allows %s of the same: whoever passes it "
                        "has passed that one, and the first row is what is answered for. Put the tighter one first, or "
                        "take out the one that no longer holds",
                        first->name, wr_hmm(first->minutes, allowed), l->name, wr_hmm(l->minutes, tighter));
        return;
    }
}

void wr_screen_limits(struct wr_screen *screen, const struct wr_run_log *log, const struct wr_plan *plan,
                      const struct wr_network *net, const struct wr_timing *timing, const struct wr_limits *limits,
                      struct wr_findings *findings)
{
    struct screening j = {screen, log, plan, net, timing, findings,
                          .value = WR_NEW_ARRAY(double, timing->n_run + 1),
                          .first_min = limits->n_limit ? limits->limit[0].minutes : 0};
    struct wr_maybe planned = wr_network_planned_finish(net, plan);

    for (size_t i = 0; i < limits->n_limit; i++) {
        screen_clock(&j, &limits->limit[i]);
        screen_limit(&j, &limits->limit[i], planned);
    }
    screen_first(&j, limits);
    screen_plan(&j, planned, limits);
    wr_free(j.value);
}

void wr_screen_limit(struct wr_screen *screen, const struct wr_run_log *log, const struct wr_plan *plan,
                     const struct wr_network *net, const struct wr_timing *timing, const struct wr_limit *limit,
                     struct wr_findings *findings)
{
    struct screening j = {screen, log, plan, net, timing, findings,
                          .value = WR_NEW_ARRAY(double, timing->n_run + 1), .first_min = limit->minutes};

    screen_limit(&j, limit, wr_network_planned_finish(net, plan));
    wr_free(j.value);
}
