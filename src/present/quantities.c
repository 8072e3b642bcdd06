#include "wetrun/present/quantities.h"

#include <string.h>

const struct wr_quantity wr_quantities[] = {
    /* the finish and its limits */
    {NULL, "finish_min", "finish", "Elapsed time from the beginning of the excursion until the last lane is done."},
    {"t-finish", "finish_min", "come by", "The finish that so many of 100 forecast finishes do not exceed."},
    {NULL, "finish_p50_min", "half by", "Half of the forecast finishes come by then."},
    {NULL, "finish_p80_min", "80 of 100 by", "80 of 100 forecast finishes come by then."},
    {NULL, "finish_p95_min", "95 of 100 by", "95 of 100 forecast finishes come by then."},
    {NULL, "share", "of 100 finishes", "How many of 100 forecast finishes have come by the time beside it."},
    {NULL, "finish_lo_min", "from",
     "Lower end of the 90 % interval: what " WR_WHAT_LEAVES " open about the time beside it."},
    {NULL, "finish_hi_min", "to", "Upper end of that 90 % interval."},
    {NULL, "minutes", "allowed", "What the limit allows, as elapsed time or on its own clock."},
    {NULL, "probability_over", "go over it, of 100",
     "How many of 100 such days end beyond the limit, over all that " WR_WHAT_LEAVES " open."},
    {NULL, "interval", "90 % interval",
     "What " WR_WHAT_LEAVES " open about the number beside it: it lies within with 90 % probability."},
    {NULL, "probability_allowed", "wanted at most",
     "100 less the wanted confidence: how many of 100 may go over the limit."},
    {"t-limits", "second_probability_over", "by the worst answer",
     "The same by that one of the answers whose interval reaches furthest."},
    {"t-limits", "second_probability_over_hi", "90 %: to", "Upper end of the 90 % interval of that."},
    {NULL, "verdict_said", "verdict",
     "Inside: even the upper end of the interval is within what is wanted, by every answer that is given, and at least "
     "four rehearsals were complete. "
     "Not inside: even its lower end is beyond. Else, or where that end is nearer to what is wanted than its own "
     "error, the rehearsals are not enough to tell. "
     "Where a doubt keeps the answer open, no side is told, and no rehearsal answers that."},
    {NULL, "dropped", "dropped",
     "Share of the days on which the task could only have begun after its drop time and is left out."},
    {NULL, "drop_after_min", "drop time", "From the plan: where the task could only begin later, it is left out."},
    {NULL, "over_with_rule", "go over it, of 100",
     "Of 100 days, those over the limit in that row with the plan as it is."},
    {NULL, "over_without_rule", "without the rule", "The same if this task were never left out."},
    {NULL, "rule_fewer", "fewer by the rule",
     "By how many of 100 fewer days go over the limit for the rule of this task alone, on the same days, with its 90 % "
     "interval; a minus: more."},
    {NULL, "over_always_dropped", "always dropped", "The same if this task were left out from the start."},
    {NULL, "always_fewer", "fewer if always dropped, of 100 (90 % interval)",
     "By how many those over the limit get fewer when the task is always dropped, against the plan as it is, on the "
     "same days: known far better than the counts, whose difference may be rounding."},
    {NULL, "factor_lo", "from", "Lower end of the 90 % interval of the factor."},
    {NULL, "factor_hi", "to", "Upper end of the 90 % interval of the factor."},
    {"t-carry", "factor", "outside against pool",
     "By how much times outside exceed times in the pool for this kind of work."},
    {NULL, "rows", "times seen", "Lines of history.csv behind the factor."},
    /* tasks */
    {NULL, "median_min", "median",
     "Half of the times of this task are shorter. The time runs from the moment at which the task could "
     "have begun, without holds; of work that the plan may drop, if it is done: of all days, also those that "
     "drop it."},
    {NULL, "median_interval", "90 % interval", "What " WR_WHAT_LEAVES " open about the median."},
    {NULL, "mean_min", "mean", "Average of the times to be expected; none where a few days far out would make it up."},
    {NULL, "sd_min", "sd",
     "Standard deviation of the times to be expected, the slow or fast day included; none where a few days far out "
     "would make it up."},
    {NULL, "p80_min", "80 of 100 by", "Time within which 80 of 100 executions end."},
    {NULL, "p95_min", "95 of 100 by", "Time within which 95 of 100 executions end."},
    {NULL, "own_median_min", "own median",
     "Median of the task’s own times in the rehearsals, measured alike, without the model."},
    {NULL, "moved", "moved by factor",
     "The model’s median, of what is forecast, against the task’s own, of the rehearsals as they were: moved by the "
     "learning up to the run that is forecast, by who does it, by carry-over, and by what the other tasks tell."},
    {NULL, "source", "rests on",
     "What the task’s time comes from: rehearsals, a judgement of three points, a known distribution or a fixed time; "
     "of a task that no rehearsal timed, its planned time, as the others stand to theirs, or the other tasks."},
    {NULL, "variance_share", "share of variance",
     "The part of the finish’s variance that the task’s own luck carries. What a slow day, the people, and what is not "
     "yet "
     "known carry stands in rows of its own; what is missing to 100 % comes of several of them together."},
    {NULL, "on_longest_path", "longest path", "Share of the days on which a delay of this task delays the finish."},
    {NULL, "done", "done, timed", "Times completed in the rehearsals, with a time that is known."},
    {NULL, "stopped", "stopped", "Times stopped before it was complete: at least that long, never a duration."},
    {NULL, "skipped", "skipped", "Times not attempted."},
    /* lanes */
    {NULL, "busy_min", "busy", "Median over the days of the time in which the lane works."},
    {NULL, "waiting_min", "waiting",
     "Median over the days of the time in which the lane, once its first task may begin, waits for others or for a "
     "moment. Medians do not add up."},
    {"t-lanes", "finish_p50_min", "half done by", "The lane is done by then on half of the days."},
    /* pads */
    {NULL, "pad_min", "pad",
     "From the task’s median to the one percentile that all tasks of its stretch share, chosen so that the padded "
     "timeline goes through the checkpoint times. Pads add up; percentiles of single tasks do not."},
    {NULL, "factor", "factor", "Median and pad together, against the median."},
    {NULL, "planned_min", "planned", "Minutes that the plan allots to the task."},
    {NULL, "missing_shown", "missing", "Median and pad less the planned time; negative: to spare."},
    {NULL, "enough_shown", "enough, of 100",
     "Of 100 executions, those that end within the planned time; by decimals where it would round to 50, above which "
     "the planned time is kept more often than missed."},
    {NULL, "waits", "waits anyway",
     "The task is on the longest path to its checkpoint on fewer than 5 of 100 days that have it: its lane waits "
     "anyway, so it gets no pad."},
    {NULL, "median_timeline_min", "median timeline",
     "The plan walked with every task at its median. Its end is not when half of the finishes come by: lanes wait for "
     "each other, and on slow days work may be dropped."},
    {"t-checkpoints", "title", "checkpoint",
     "A joint task, when all its lanes are ready to begin it; the last is the finish."},
    {NULL, "time_min", "allow until",
     "The checkpoint is reached by then with the wanted confidence. It leads to the finish in the last row, not to a "
     "limit; for that "
     "there are the times to begin by."},
    {"t-checkpoints", "latest_start_min", "begin by",
     "Latest start of the task that keeps every limit on elapsed time with the wanted confidence, as on the console’s "
     "card (too late: no start is early enough); with --outside-hold for a delay from outside alone."},
    {NULL, "mark", "mark",
     "Late: so late, the task begins after its time to begin by. Over: so late, a limit has passed. Near: nearer to "
     "its time to begin by, or to a limit, than rounding and the simulations’ own error let tell. Clock: on the way of "
     "a limit with a clock of its own, which the padded timeline breaks."},
    {NULL, "clock_mark", "clock",
     "Over: from the begin of the task that a limit’s own clock runs from to the end of the one that it runs to, the "
     "padded timeline takes longer than the limit allows, and this task lies between."},
    {NULL, "stretch_reserve_shown_min", "reserve",
     "What is allowed from the checkpoint before to this one, less the same of the median timeline, of the times as "
     "shown. The checkpoint before is the latest of those that lead to this one, so that along a way the stretches add "
     "up to the whole reserve."},
    {NULL, "percentile", "tasks at", "The percentile that all tasks of the stretch share."},
    {NULL, "probability_kept", "kept, of 100", "Of 100 days, those that reach the checkpoint in time."},
    {NULL, "together_min", "all together",
     "Checkpoint times at the level that keeps every one of them with the wanted confidence."},
    /* cut-offs */
    {NULL, "typical_start_min", "usual start", "Median of the moment at which the task may begin."},
    {NULL, "latest_start_min", "begin by",
     "Latest start that keeps the limit with the wanted confidence, rounded down. A late start also "
     "says that the day is slow, and that is in it; with --outside-hold it is for a delay from outside alone. "
     "“Too late”: no start that is left gives the wanted confidence; "
     "work that may be dropped, if there is any, can be let go; with the rest the limit stays less sure than is "
     "wanted."},
    {NULL, "set_by", "set by",
     "The limit that the time to begin by serves: of all limits on elapsed time the one that asks earliest. “Its drop "
     "time”: the plan leaves the task out if it could only begin later, and up to there every limit on elapsed time is "
     "kept with the wanted confidence."},
    {NULL, "slack_shown", "slack", "Minutes from the usual start to the latest, of the times as shown."},
    {NULL, "probability_inside_at_typical", "inside if usual",
     "Of 100 days on which the task begins at its usual time, those that keep the limit; with --outside-hold of any "
     "days, on which something from outside holds it back to that time at least."},
    {NULL, "share_in_time", "begin in time", "Of 100 days, those on which the task begins by that time."},
    {NULL, "ten_starts", "of ten starts",
     "A disc for each full ten of the days in 100, as they are shown, on which the task begins by that time, rings for "
     "the rest: 45 of 100 are four discs, 89.6 are shown as 90 and are nine."},
    {NULL, "note", "note", "What is special about this cut-off."},
    /* rehearsals */
    {NULL, "active_min", "active",
     "Time worked on tasks, all tasks added and without holds. A joint task counts once, though its time passes in "
     "each of "
     "its lanes."},
    {NULL, "lead_in_min", "lead-in",
     "Time between the moment at which a task could have begun and its start, all tasks added."},
    {NULL, "gap_min", "unassigned",
     "Time that is neither work nor lead-in, hold or waiting: the gaps between the steps of one task, and what may "
     "hold work whose time is not known, as where a row is missing."},
    {NULL, "hold_min", "holds", "Time that the real excursion would not have, such as help by divers."},
    {NULL, "off_plan_min", "off plan",
     "Work that the plan does not have, with its lead-ins, gaps and holds: in no other column."},
    {NULL, "waiting", "waiting",
     "Time in which a lane, once its first task could begin, waited for the others, lane by lane. What a lane worked "
     "on, joint tasks and work off the plan included, its lead-ins, holds and unassigned time, and its waiting make up "
     "the time from there to its end; where it was at two tasks at once, that time is in both."},
    {"t-runs", "done", "done",
     "Tasks completed. Together with those stopped, skipped, not known and not logged: all tasks."},
    {"t-runs", "stopped", "stopped", "Tasks stopped before they were complete: at least that long, never a duration."},
    {"t-runs", "skipped", "skipped", "Tasks not attempted."},
    {"t-runs", "unknown", "not known", "Tasks of which a row was rejected, so that how long they took is not known."},
    {"t-runs", "absent", "not logged", "Tasks without a row: left out, or forgotten in the log."},
    {NULL, "length", "length",
     "The minutes of all the rehearsal’s tasks together, lead-ins with them, against the geometric mean of those of "
     "all rehearsals that have a length, its own included: longer and shorter ones make up for each other. What it did "
     "not complete counts as its day and the task let expect. A dash: less than three quarters of its minutes were "
     "seen."},
    {NULL, "effect", "pace, alike",
     "The rehearsal’s pace against what is usual over all rehearsals, its own tasks included, in the tasks that they "
     "have in common, each counted alike: a short task weighs as much as a long one. How long the rehearsal takes says "
     "the length."},
    {"t-people", "effect", "slower or faster",
     "The person’s pace against what is usual of all people here in the same tasks, this one included, with its 90 % "
     "interval. No ranking is meant."},
    {NULL, "complete", "complete",
     "Every task of the plan was completed, or dropped as its rule has it (holds left out), and how long each took is "
     "known."},
    {NULL, "finish_without_holds_min", "without holds", "The finish had there been no holds."},
    {NULL, "replay_min", "replayed",
     "The finish that the times of this rehearsal give, holds with them, in the order in which it was done."},
    {NULL, "kept_to_plan", "order kept",
     "The plan’s order: no task began before what it has to wait for had ended, or in another lane, and none was done "
     "that the plan lacks. How long tasks took against their planned times is not in it, nor are drop times."},
    {"t-stood-out", "minutes", "longer or shorter",
     "Minutes above or below what the other rehearsals of the task and the other tasks of the day let expect; of a "
     "stopped task at least, as its ratio and standard deviations are."},
    {NULL, "ratio", "times usual for the day", "The same as a ratio."},
    {NULL, "sd", "how far out", "The same in standard deviations; some lie beyond 2 by chance."},
    /* the record */
    {NULL, "actual_min", "happened",
     "What the rehearsal took by its own times through the plan that is forecast, without holds."},
    {NULL, "predicted_p50_min", "forecast median",
     "Middle of the forecast made from the other rehearsals, of the work that the run did: what it skipped and the "
     "plan may drop is left out, and nothing else is dropped."},
    {NULL, "interval80_lo_min", "80 %: from", "Lower end of the band that holds 80 of 100 forecast finishes."},
    {NULL, "interval80_hi_min", "to", "Upper end of the 80 % band."},
    {NULL, "interval95_lo_min", "95 %: from", "Lower end of the band that holds 95 of 100 forecast finishes."},
    {NULL, "interval95_hi_min", "to", "Upper end of the 95 % band."},
    {NULL, "rank", "rank",
     "Share of the forecast finishes below what happened: anything is as likely as anything else if the forecast is "
     "sound."},
    {NULL, "crps_min", "score",
     "Distance between forecast and what happened, in minutes; smaller is better (continuous ranked probability "
     "score)."},
    {NULL, "inside80_shown", "inside 80 %",
     "What happened lies within the 80 % band; where both clocks show the same, on which side of it."},
    {NULL, "inside95", "inside 95 %", "What happened lies within the 95 % band."},
    /* excursions in a row */
    {"t-series", "finish_p50_min", "half by",
     "The excursion is done by then on half of the days, with the work that is carried on to it."},
    {"t-series", "probability_over", "go over of 100",
     "Of 100 days, those over the first limit of the excursion, with the work that is carried on to it."},
    {NULL, "finish_p90_min", "9 in 10 by", "The excursion is done by then on 90 of 100 days."},
    {NULL, "limit_min", "limit", "What the first limit of the excursion allows, elapsed time."},
    {NULL, "over_lo", "90 %: from", "Lower end of the 90 % interval of the number before it."},
    {NULL, "over_hi", "to", "Upper end of that interval."},
    {NULL, "over_without", "without that",
     "Of the same 100 days, those over the first limit if no work were carried on to the excursion."},
    {NULL, "carried_on_to_it", "gets more",
     "Of 100 days, those on which work that an earlier excursion dropped is done here."},
    {NULL, "all_done_by", "all done", "Of 100 days, those after which no work waits any more."},
    {"t-series", "judged_tasks", "judged tasks",
     "Tasks that rest on judgement, of which no record says what it is worth; with any of them there are two answers."},
    {"t-series", "second_probability_over", "by the worse answer",
     "Of 100 days, those over the first limit if judges were 20 % short and 10 % is allowed for a long gap, where "
     "either asks for it."},
    {"t-series", "second_over_lo", "90 %: from", "Lower end of the 90 % interval of that."},
    {"t-series", "second_over_hi", "to", "Upper end of that interval."},
    {NULL, "setup_min", "set-up", "Minutes that it takes to begin the work anew in the later excursion."},
    {"t-carried", "asked", "to do there",
     "Of 100 days, those on which the work is still to be done when the excursion begins."},
    {"t-carried", "dropped", "carried on", "Of 100 days, those on which it is dropped there and goes on."},
    {"t-carried", "stopped", "of those begun",
     "Of the same 100 days, those on which the work goes on though it was begun there: it was stopped, and what was "
     "left of it goes on."},
    /* readiness and further rehearsals */
    {NULL, "evidence", "evidence", "Met, not met, or not enough evidence to say."},
    {NULL, "asked", "asked", "What the criterion asks for."},
    {NULL, "found", "found", "What the rehearsals and the forecast show."},
    {NULL, "average_interval", "90 % interval",
     "Ends of the interval of the probability to go over the limit, averaged over what the further rehearsals may "
     "show."},
    {NULL, "width_text", "its width",
     "Width of that interval in hundredths; ± is one standard error, from the finite number of simulations."},
    {NULL, "narrower_text", "narrower by",
     "How much less wide than now, on average; ± is one standard error, that of the width now included. A dash where "
     "that is no more than twice the simulations' own error."},
    {NULL, "clear_inside_text", "clear inside",
     "How likely the interval then lies within what is wanted, with at least four complete rehearsals; ± is one "
     "standard error. Not said where a second answer stands in the way, which these rehearsals do not settle."},
    {NULL, "clear_outside_text", "clear outside",
     "How likely the interval then lies beyond what is wanted; ± is one standard error."},
    {"t-sessions", "time_min", "takes", "Time that the session takes."},
    {NULL, "variance_removed", "removed",
     "Share of what is not known about the probability to go over the limit named above that the session would "
     "remove; the day's pace, which a session of any task tells, is in it."},
    {NULL, "variance_removed_error", "±", "One standard error of it, from the finite number of simulations."},
};
const size_t wr_n_quantity = sizeof wr_quantities / sizeof *wr_quantities;

const struct wr_quantity *wr_quantity_find(const char *table, const char *key)
{
    const struct wr_quantity *any = NULL;

    for (size_t i = 0; i < wr_n_quantity; i++) {
        const struct wr_quantity *q = &wr_quantities[i];
        if (strcmp(q->key, key) != 0) continue;
        if (q->table && table && strcmp(q->table, table) == 0) return q;
        if (!q->table) any = q;
    }
    return any;
}

void wr_quantity_means(const struct wr_quantity *q, const char *what_leaves, struct wr_str *out)
{
    const char *from = q->means;

    for (const char *at; (at = strstr(from, WR_WHAT_LEAVES)) != NULL; from = at + strlen(WR_WHAT_LEAVES)) {
        wr_str_add_bytes(out, from, (size_t)(at - from));
        wr_str_add(out, what_leaves);
    }
    wr_str_add(out, from);
}
