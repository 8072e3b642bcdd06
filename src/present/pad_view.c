#include "wetrun/present/pad_view.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "json.h"
#include "wetrun/decide/limit_needed.h"
#include "wetrun/decide/verdict.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"
#include "wetrun/sim/forecast.h"

static const struct {
    const char *key, *text;
} definition[] = {
    {"median_timeline_min", "Median timeline: the plan walked with every task at its median."},
    {"reserve_min", "Reserve: the finish at the wanted confidence less the median timeline; factor: their ratio."},
    {"checkpoint",
     "Checkpoint: a joint task, when all its lanes are ready for it, and the finish. Its time is the quantile at "
     "the wanted confidence. Checkpoints lead to the finish allowed here, not to a limit; times to begin by (cut-offs) "
     "lead to the limit."},
    {"pad_min",
     "Pad of a task: from its median to the one percentile that all tasks of its stretch share, chosen so that "
     "the padded timeline goes through the checkpoint times. Pads add up; single task percentiles do not."},
    {"waits",
     "A task on the longest path to its checkpoint on fewer than 5 of 100 days that have it gets no pad: its lane "
     "waits anyway."},
    {"together",
     "All together: checkpoint times at the level that keeps every one of them with the wanted confidence."},
};

const char *wr_pad_definition(size_t i)
{
    return i < sizeof definition / sizeof *definition ? definition[i].text : NULL;
}

/* "a reserve of 46 min": of the two clocks beside it, so that they add up as they are read. */
const char *wr_reserve_words(const struct wr_pad *pad, char buf[WR_WORDS])
{
    return wr_minutes_whole(wr_moment_gap_min(pad->median_timeline_min, pad->finish_quantile_min), buf);
}

/* What the rehearsals leave open about the finish to allow: it is the limit that would be needed. */
static bool is_open(const struct wr_pad_result *result, struct wr_limit_needed *need)
{
    *need = (struct wr_limit_needed){0};
    if (!result->forecast || result->forecast->nothing_unknown) return false;
    *need = wr_limit_needed(result->forecast, result->pad->confidence);
    return need->lo_min.known && need->hi_min.known;
}

static void add_interval(const struct wr_pad_result *result, struct wr_str *out)
{
    struct wr_limit_needed need;

    if (is_open(result, &need))
        wr_needed_interval_words(result->forecast, &need, out);
}

/* On a long tail each task's own share adds up to less than the timeline's: then it is no pad at all. */
static const char *own_share_words(const struct wr_pad *p)
{
    const double more_min = wr_moment_gap_min(p->finish_quantile_min, p->twice_min);

    if (more_min == 0) return "asks the same:";
    return more_min > 0 ? "would pad twice: it asks" : "would fall short: it asks only";
}

void wr_pad_sentence(const struct wr_pad_result *result, struct wr_str *out)
{
    const struct wr_pad *p = result->pad;
    const char *reserve = wr_reserve_words(p, WR_ROOM), *inside = wr_of_100(p->confidence, WR_ROOM);
    struct wr_planned_count n = wr_planned_count(p);

    wr_str_addf(out, "To be done in %s of 100 cases allow %s", inside, wr_moment(p->finish_quantile_min, WR_ROOM));
    add_interval(result, out);
    wr_str_addf(out, ": the median timeline of %s and a reserve of %s, a factor of %s. ",
                wr_moment(p->median_timeline_min, WR_ROOM), reserve, wr_factor(p->factor, WR_ROOM));
    if (n.n_planned > 0)
        wr_str_addf(out, "%zu of %zu planned times %s shorter than median and pad, %zu missed more often than kept. ",
                    n.n_short, n.n_planned, n.n_short == 1 ? "is" : "are", n.n_missed);
    wr_str_addf(out, "Padding every task to its own %s of 100 %s %s, which holds in %s of 100.", inside,
                own_share_words(p), wr_moment(p->twice_min, WR_ROOM), wr_of_100(p->prob_inside_twice, WR_ROOM));
}

static const char clock_means[] = "Which days go over such a limit, and how often, `forecast` says.";

static bool is_over_clock(const struct wr_pad_result *result, const struct wr_pad_clock *clock)
{
    return wr_moment_gap_min(result->limits->limit[clock->limit].minutes, clock->padded_min) > 0;
}

static bool breaks_a_clock(const struct wr_pad_result *result)
{
    for (size_t i = 0; result->limits && i < result->pad->n_clock; i++)
        if (is_over_clock(result, &result->pad->clock[i])) return true;
    return false;
}

/* The first clock on whose way the task lies and which the padded timeline goes over; NULL: none. */
static const char *over_clock(const struct wr_pad_result *result, size_t task)
{
    const struct wr_pad *p = result->pad;

    for (size_t i = 0; result->limits && task != SIZE_MAX && i < p->n_clock; i++)
        if (p->clock[i].on_way[task] && is_over_clock(result, &p->clock[i]))
            return result->limits->limit[p->clock[i].limit].name;
    return NULL;
}

void wr_pad_clocks_sentence(const struct wr_pad_result *result, struct wr_str *out)
{
    const struct wr_pad *p = result->pad;

    for (size_t i = 0; result->limits && i < p->n_clock; i++) {
        const struct wr_pad_clock *clock = &p->clock[i];
        const struct wr_limit *limit = &result->limits->limit[clock->limit];
        bool over = is_over_clock(result, clock);
        wr_str_addf(out, "%s \xe2\x80\x9c%s\xe2\x80\x9d: from the begin of \xe2\x80\x9c%s\xe2\x80\x9d to the end of ",
                    over ? "The padded timeline breaks" : "The padded timeline on", limit->name,
                    result->plan->task[limit->from].title);
        wr_str_addf(out, "\xe2\x80\x9c%s\xe2\x80\x9d it takes %s", result->plan->task[limit->to].title,
                    wr_moment(clock->padded_min, WR_ROOM));
        if (over)
            wr_str_addf(out, ", %s more than the ",
                        wr_minutes_whole(wr_moment_gap_min(limit->minutes, clock->padded_min), WR_ROOM));
        else wr_str_add(out, " of the ");
        wr_str_addf(out, "%s allowed", wr_moment(limit->minutes, WR_ROOM));
        if (clock->median_timeline_min > 0)
            wr_str_addf(out, " (the median timeline %s)", wr_moment(clock->median_timeline_min, WR_ROOM));
        wr_str_add(out, ". ");
    }
    if (out->len > 0) wr_str_add(out, clock_means);
}

void wr_pad_middles_sentence(const struct wr_pad_result *result, struct wr_str *out)
{
    const struct wr_pad *p = result->pad;

    if (wr_moment_gap_min(p->median_timeline_min, p->median_finish_min) <= 0) return;
    wr_str_addf(out, "Half of the finishes come by %s, later than the median timeline ends, at %s: ",
                wr_moment(p->median_finish_min, WR_ROOM), wr_moment(p->median_timeline_min, WR_ROOM));
    wr_str_add(out, "slow tasks cost more than fast ones save");
    wr_str_add(out, result->plan->n_lane > 1 ? ", and lanes wait for each other." : ".");
}

static void add_names(const struct wr_pad_result *result, bool not_in_timeline, struct wr_str *out)
{
    size_t n = 0;

    for (size_t k = 0; k < result->pad->n_task; k++) {
        const struct wr_pad_task *t = &result->pad->task[k];
        if (t->not_in_timeline != not_in_timeline) continue;
        if (!t->not_in_timeline && wr_count_of_100(t->dropped) == 0) continue;
        if (n++ == 0)
            wr_str_add(out, not_in_timeline ? " The padded timeline drops, since it comes too late there: "
                                            : " On some of the days behind it the plan drops: ");
        else wr_str_add(out, ", ");
        wr_str_addf(out, "%s (dropped on %s of 100)", result->plan->task[k].title, wr_of_100(t->dropped, WR_ROOM));
    }
    if (n > 0) wr_str_add_char(out, '.');
}

void wr_pad_not_in_it_sentence(const struct wr_pad_result *result, struct wr_str *out)
{
    WR_SCOPED_STR names = {0};

    add_names(result, true, &names);
    add_names(result, false, &names);
    if (names.len > 0)
        wr_str_addf(out, "Not all work is in the %s at its end.%s With all of it done %s of 100 cases take %s.",
                    wr_moment(result->pad->finish_quantile_min, WR_ROOM), wr_str_text(&names),
                    wr_of_100(result->pad->confidence, WR_ROOM), wr_moment(result->pad->all_done_min, WR_ROOM));
}

static void checkpoint_name(struct wr_grid *grid, const struct wr_plan *plan, size_t task)
{
    wr_grid_text(grid, task == SIZE_MAX ? "(finish)" : plan->task[task].title);
}

/* Reserve up to a checkpoint, of the clocks shown beside it. */
static double shown_reserve(const struct wr_pad_checkpoint *c)
{
    return wr_moment_gap_min(c->median_timeline_min, c->time_min);
}

/* Of the stretch that ends there: those of the stretches along a way add up to the whole. */
static double shown_stretch_reserve(const struct wr_pad *pad, const struct wr_pad_checkpoint *c)
{
    return shown_reserve(c) - (c->before == SIZE_MAX ? 0 : shown_reserve(&pad->checkpoint[c->before]));
}

/* The least allowed to this checkpoint by a limit on elapsed time that bears on its lanes; SIZE_MAX: none. */
static size_t nearest_limit(const struct wr_pad_result *result, const struct wr_pad_checkpoint *c)
{
    uint32_t lanes = c->task == SIZE_MAX ? UINT32_MAX : result->plan->task[c->task].lanes;
    size_t nearest = SIZE_MAX;

    for (size_t l = 0; result->limits && l < result->limits->n_limit; l++) {
        const struct wr_limit *limit = &result->limits->limit[l];
        if (limit->is_clock || !(limit->lanes & lanes)) continue;
        if (nearest == SIZE_MAX || limit->minutes < result->limits->limit[nearest].minutes) nearest = l;
    }
    return nearest;
}

enum side { SIDE_BEFORE, SIDE_NEAR, SIDE_AFTER };

/* Of a moment and another, with the error of both together: after it only if it is shown so, and would be with other
 * days; before it likewise. */
static enum side side_of(double after_min, bool shown_after, double mc_error_min)
{
    const double sure_min = WR_SURE_ERRORS * mc_error_min;

    if (shown_after && after_min > sure_min) return SIDE_AFTER;
    return shown_after || after_min > -sure_min ? SIDE_NEAR : SIDE_BEFORE;
}

static enum side side_of_limit(const struct wr_pad_result *result, const struct wr_pad_checkpoint *c)
{
    size_t l = nearest_limit(result, c);

    if (l == SIZE_MAX) return SIDE_BEFORE;
    double minutes = result->limits->limit[l].minutes;
    return side_of(c->time_min - minutes, wr_moment_gap_min(minutes, c->time_min) > 0, c->time_mc_error_min);
}

/* What the card has for the task of this checkpoint. */
static bool has_cutoff(const struct wr_pad_result *result, const struct wr_pad_checkpoint *c,
                       struct wr_binding_cutoff *of)
{
    const struct wr_cutoff_card *card = result->cutoffs;
    size_t row = 0;

    if (!card || !wr_has_binding_cutoffs(card)) return false;
    while (row < card->n_row && card->list->row[row].task != c->task) row++;
    if (row == card->n_row) return false;
    *of = wr_binding_cutoff(card, row);
    return true;
}

static enum side side_of_begin_by(const struct wr_pad_result *result, const struct wr_pad_checkpoint *c)
{
    struct wr_binding_cutoff of;

    if (!has_cutoff(result, c, &of)) return SIDE_BEFORE;
    if (of.what == WR_BINDING_LATER)
        return c->time_min < of.row->second_from_min || c->time_min > of.row->second_to_min ? SIDE_AFTER : SIDE_BEFORE;
    if (of.what == WR_BINDING_TOO_LATE) return SIDE_AFTER;
    if (of.what != WR_BINDING_FOUND) return SIDE_BEFORE;
    const double by_min = of.row->latest_start_min, by_error_min = of.row->drop_rule_first ? 0 : of.row->mc_error_min;
    return side_of(c->time_min - by_min, wr_moment_gap_min(wr_moment_by_min(by_min), c->time_min) > 0,
                   hypot(c->time_mc_error_min, by_error_min));
}

/* "past a limit" before "after begin by": who is past it is after every time to begin by as well. What is known before
 * what cannot be told. */
static const char *mark_of(const struct wr_pad_result *result, const struct wr_pad_checkpoint *c)
{
    const enum side limit = side_of_limit(result, c), begin_by = side_of_begin_by(result, c);

    return limit == SIDE_AFTER                           ? "over"
           : begin_by == SIDE_AFTER                      ? "late"
           : over_clock(result, c->task)                 ? "clock"
           : limit == SIDE_NEAR || begin_by == SIDE_NEAR ? "near"
                                                         : "";
}

static bool has_no_start(const struct wr_pad_result *result, const struct wr_pad_checkpoint *c)
{
    struct wr_binding_cutoff of;

    return has_cutoff(result, c, &of) && wr_binding_has_no_start(of.what);
}

static void grid_begin_by(struct wr_grid *grid, const struct wr_pad_result *result, const struct wr_pad_checkpoint *c)
{
    struct wr_binding_cutoff of;


    if (has_cutoff(result, c, &of) && of.what == WR_BINDING_FOUND) {
        wr_grid_text(grid, wr_moment_by(of.row->latest_start_min, WR_ROOM));
        wr_grid_sorts_by(grid, of.row->latest_start_min);
        wr_grid_number(grid, of.row->latest_start_min);
    } else {
        if (has_no_start(result, c)) wr_grid_text(grid, "too late");
        else wr_grid_absent(grid);
        wr_grid_absent(grid);
    }
}

void wr_checkpoints_late_sentence(const struct wr_pad_result *result, struct wr_str *out)
{
    static const struct { const char *mark, *says; } of[] = {
        {"late", "Late: so late, its task begins after the time to begin by, and a limit is not kept with the wanted "
                 "confidence."},
        {"over", "Over: past a limit."},
        {"near", "Near: whether it is late, or over, cannot be told; rounding or the simulations\xe2\x80\x99 own error "
                 "decides."},
        {"clock", "Clock: on the way of a limit with a clock of its own, which this timeline breaks."},
    };
    size_t n = 0;

    for (size_t m = 0; m < sizeof of / sizeof *of; m++)
        for (size_t i = 0; i < result->pad->n_checkpoint; i++) {
            if (strcmp(mark_of(result, &result->pad->checkpoint[i]), of[m].mark) != 0) continue;
            wr_str_addf(out, "%s%s", n++ ? " " : "", of[m].says);
            break;
        }
    for (size_t i = 0; i < result->pad->n_checkpoint; i++) {
        if (!has_no_start(result, &result->pad->checkpoint[i])) continue;
        wr_str_addf(out, "%sToo late: no start is early enough.", n ? " " : "");
        break;
    }
}

/* Of one checkpoint's task, for each clock: that it is too late on that, or by when it asks if it begins as usual. */
static void add_by_clocks(const struct wr_pad_result *result, const struct wr_pad_checkpoint *c, struct wr_str *out)
{
    const struct wr_cutoff_card *card = result->cutoffs;
    struct wr_binding_cutoff of;

    if (!has_cutoff(result, c, &of)) return;
    const size_t row = (size_t)(of.row - card->list[of.limit].row);
    for (size_t l = 0; l < card->n_limit; l++) {
        if (!card->list[l].limit.limit.is_clock) continue;
        const struct wr_binding_cutoff clock = wr_cutoff_of_limit(card, l, row);
        const struct wr_maybe by = wr_clock_start_as_usual(card, l, row, of.limit);
        const bool too_late = wr_binding_is_late(clock.what);
        const bool sooner = of.what == WR_BINDING_FOUND && by.known &&
                            wr_moment_by_min(by.value) < wr_moment_by_min(of.row->latest_start_min);
        if (!too_late && !sooner) continue;
        wr_str_addf(out, " \xe2\x80\x9c%s\xe2\x80\x9d %s \xe2\x80\x9c%s\xe2\x80\x9d, a clock of its own",
                    result->plan->task[c->task].title, too_late ? "is too late for" : "must begin sooner for",
                    result->cutoff_limit[l]);
        if (!too_late)
            wr_str_addf(out, ": by %s on it, %s elapsed if it begins as usual",
                        wr_moment_by(clock.row->latest_start_min, WR_ROOM), wr_moment_by(by.value, WR_ROOM));
        wr_str_add_char(out, '.');
    }
}

void wr_checkpoints_begin_by_sentence(const struct wr_pad_result *result, struct wr_str *out)
{
    const struct wr_cutoff_result cutoff = {
        .plan = result->plan, .card = result->cutoffs, .limit_name = result->cutoff_limit};

    if (!result->cutoffs || !wr_has_binding_cutoffs(result->cutoffs)) return;
    wr_str_addf(out, "Begin by%s: for ", result->imposed ? ", for a delay from outside alone" : "");
    wr_card_limits_words(&cutoff, SIZE_MAX, out);
    wr_str_add_char(out, '.');
    for (size_t i = 0; i < result->pad->n_checkpoint; i++)
        if (result->pad->checkpoint[i].task != SIZE_MAX) add_by_clocks(result, &result->pad->checkpoint[i], out);
}

void wr_checkpoints_kept_sentence(const struct wr_pad_result *result, struct wr_str *out)
{
    wr_str_addf(out,
                "With these times every checkpoint is kept in %s of 100; to keep all of them in the wanted share, the "
                "finish is at %s (last column).",
                wr_of_100(result->pad->prob_all_kept, WR_ROOM), wr_moment(result->pad->together_finish_min, WR_ROOM));
}

void wr_grid_of_checkpoints(const struct wr_pad_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"title", "checkpoint:\nready to begin", WR_UNIT_TEXT, WR_EVERYBODY, 16},
        {"median_timeline_min", "median\ntimeline", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"time_min", "allow\nuntil", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"latest_start_min", "begin\nby", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"latest_start_min", "", WR_UNIT_BY, WR_MACHINE, 0},
        {"mark", "mark", WR_UNIT_TEXT, WR_EVERYBODY, 5},
        {"stretch_reserve_shown_min", "reserve of\nstretch, min", WR_UNIT_WHOLE, WR_EVERYBODY, 0},
        {"stretch_reserve_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"percentile", "tasks\nat", WR_UNIT_SHARE, WR_EVERYBODY, 0},
        {"time_mc_error_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"probability_kept", "kept,\nof 100", WR_UNIT_OF_100, WR_PAGE | WR_MACHINE, 0},
        {"together_min", "all\ntogether", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"together_mc_error_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < result->pad->n_checkpoint; i++) {
        const struct wr_pad_checkpoint *c = &result->pad->checkpoint[i];
        if (c->task == SIZE_MAX)
            wr_grid_absent(grid);
        else
            wr_grid_text(grid, result->plan->task[c->task].id);
        checkpoint_name(grid, result->plan, c->task);
        WR_GRID_NUMBERS(grid, c->median_timeline_min, c->time_min);
        grid_begin_by(grid, result, c);
        wr_grid_text(grid, mark_of(result, c));
        WR_GRID_NUMBERS(grid, shown_stretch_reserve(result->pad, c), c->stretch_reserve_min, c->percentile,
                        c->time_mc_error_min, c->prob_kept, c->together_min, c->together_mc_error_min);
    }
}

struct ranked {
    const struct wr_pad_task *task;
    size_t index;
};

static int by_missing(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;
    const int missing = wr_pad_by_falling_shortfall(x->task, y->task);

    return missing ? missing : (x->index > y->index) - (x->index < y->index);
}

/* For people, on the side of the half on which it is counted as missed or kept, and for machines. */
static void grid_enough(struct wr_grid *grid, const struct wr_pad_task *task)
{
    const struct wr_maybe enough = wr_pad_planned_enough(task);

    if (enough.known) {
        wr_grid_text(grid, task->is_fixed
                               ? wr_of_100_certain_cell(enough.value, true, WR_ROOM)
                               : wr_of_100_beside(enough.value, wr_known(WR_PAD_KEPT_AS_OFTEN), WR_ROOM));
        wr_grid_sorts_by(grid, enough.value);
    } else wr_grid_absent(grid);
    wr_grid_maybe(grid, enough);
}

static void pad_row(struct wr_grid *grid, const struct wr_pad_result *result, size_t k)
{
    const struct wr_pad_task *t = &result->pad->task[k];
    size_t checkpoint = result->pad->checkpoint[t->stretch].task;

    WR_GRID_TEXTS(grid, result->plan->task[k].id, result->plan->task[k].title);
    wr_grid_maybe(grid, wr_is_done_enough(t->dropped) ? wr_known(t->median_min) : WR_UNKNOWN);
    WR_GRID_NUMBERS(grid, t->pad_min, t->pad_mc_error_min, t->factor);
    WR_GRID_MAYBES(grid, t->planned_min, wr_pad_shown_shortfall(t), wr_pad_shortfall(t));
    grid_enough(grid, t);
    WR_GRID_NUMBERS(grid, t->own_quantile_min, t->on_longest_path, t->waits, t->planned_wait_min);
    checkpoint_name(grid, result->plan, checkpoint);
    wr_grid_text(grid, mark_of(result, &result->pad->checkpoint[t->stretch]));
    WR_GRID_NUMBERS(grid, t->dropped, !t->not_in_timeline);
    const char *over = over_clock(result, k);
    if (over) wr_grid_text(grid, over);
    else wr_grid_absent(grid);
    if (breaks_a_clock(result)) wr_grid_text(grid, over ? "over" : "");
    wr_grid_about(grid, k);
}

void wr_grid_of_pads(const struct wr_pad_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "id", WR_UNIT_TEXT, WR_EVERYBODY, 10},
        {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 12},
        {"median_min", "median\nmin", WR_UNIT_TENTHS, WR_EVERYBODY, 0},
        {"pad_min", "pad\nmin", WR_UNIT_TENTHS, WR_EVERYBODY, 0},
        {"pad_mc_error_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"factor", "factor", WR_UNIT_FACTOR, WR_EVERYBODY, 0},
        {"planned_min", "planned\nmin", WR_UNIT_TENTHS, WR_EVERYBODY, 0},
        {"missing_shown", "missing\nmin", WR_UNIT_TENTHS, WR_PEOPLE, 0},
        {"missing_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"enough_shown", "enough,\nof 100", WR_UNIT_OF_100, WR_PEOPLE, 0},
        {"probability_planned_enough", "", WR_UNIT_OF_100, WR_MACHINE, 0},
        {"own_quantile_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"on_longest_path", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"waits", "waits\nanyway", WR_UNIT_YES_NO, WR_PAGE | WR_MACHINE, 0},
        {"planned_wait_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"checkpoint", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"checkpoint_mark", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"dropped", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"in_padded_timeline", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
        {"over_clock", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"clock_mark", "clock", WR_UNIT_TEXT, WR_PEOPLE, 0}, /* the last: only where it says something */
    };
    enum { N_COLUMN = sizeof column / sizeof *column };
    size_t n = result->pad->n_task;
    WR_SCOPED struct ranked *order = WR_NEW_ARRAY(struct ranked, n);

    wr_grid_init(grid, column, breaks_a_clock(result) ? N_COLUMN : N_COLUMN - 1);
    for (size_t k = 0; k < n; k++) order[k] = (struct ranked){&result->pad->task[k], k};
    qsort(order, n, sizeof *order, by_missing);
    for (size_t i = 0; i < n; i++) pad_row(grid, result, order[i].index);
}

static void add_how(const struct wr_pad *pad, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    double most = 0;

    for (size_t k = 0; k < pad->n_task; k++) most = fmax(most, pad->task[k].pad_mc_error_min);
    wr_str_addf(&text, "%zu trials; Monte Carlo error of the reserve %.2g min, of single pads up to %.2g min.",
                pad->n_trial, pad->reserve_mc_error_min, most);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
}

/* Beside the console's times to begin by, often earlier, a checkpoint's time reads as leave. */
const char *const wr_checkpoints_are_for_planning =
    "These are times to plan with: so late a checkpoint comes at the wanted share of the days forecast. During the day "
    "go by the times to begin by (`cutoff`), which may be earlier.";

static void pad_table(const struct wr_present_context *ctx, const struct wr_pad_result *result,
                      const struct wr_grid *checkpoints, const struct wr_grid *tasks, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    wr_pad_sentence(result, &text);
    wr_prose_say(out, &text);
    wr_pad_clocks_sentence(result, &text);
    wr_prose_say(out, &text);
    wr_pad_not_in_it_sentence(result, &text);
    wr_prose_say(out, &text);
    wr_pad_middles_sentence(result, &text);
    wr_prose_say(out, &text);
    wr_context_headline(ctx, "pads for the timeline", &text);
    wr_str_add_char(&text, '.');
    wr_prose_say(out, &text);
    wr_str_add_char(out, '\n');
    wr_grid_add_terminal(checkpoints, wr_context_columns(ctx), out);
    wr_checkpoints_begin_by_sentence(result, &text);
    wr_prose_say(out, &text);
    wr_checkpoints_late_sentence(result, &text);
    wr_prose_say(out, &text);
    wr_prose_add(out, wr_checkpoints_are_for_planning, 0, WR_TERMINAL_COLUMNS);
    wr_checkpoints_kept_sentence(result, &text);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_str_add_char(out, '\n');
    wr_grid_add_terminal(tasks, wr_context_columns(ctx), out);
    wr_str_add_char(out, '\n');
    for (size_t i = 0; wr_pad_definition(i); i++) wr_prose_add(out, wr_pad_definition(i), 0, WR_TERMINAL_COLUMNS);
    add_how(result->pad, out);
}

static void clocks_json(struct wr_json *j, const struct wr_pad_result *result)
{
    json_t *clocks = wr_json_array(j, j->root, "clocks");

    for (size_t i = 0; result->limits && i < result->pad->n_clock; i++) {
        const struct wr_pad_clock *clock = &result->pad->clock[i];
        const struct wr_limit *limit = &result->limits->limit[clock->limit];
        json_t *row = wr_json_row(j, clocks);
        wr_json_text(j, row, "limit", limit->name);
        wr_json_text(j, row, "from", result->plan->task[limit->from].id);
        wr_json_text(j, row, "to", result->plan->task[limit->to].id);
        wr_json_number(j, row, "allowed_min", limit->minutes);
        wr_json_number(j, row, "median_timeline_min", clock->median_timeline_min);
        wr_json_number(j, row, "padded_timeline_min", clock->padded_min);
        wr_json_bool(j, row, "padded_is_over", is_over_clock(result, clock));
    }
}

static enum wr_status pad_json(const struct wr_present_context *ctx, const struct wr_pad_result *result,
                               const struct wr_grid *checkpoints, const struct wr_grid *tasks, struct wr_str *out,
                               struct wr_error *err)
{
    const struct wr_pad *p = result->pad;
    struct wr_limit_needed need;
    struct wr_json j;

    wr_json_begin(&j, ctx);
    wr_json_count(&j, j.root, "trials", p->n_trial);
    wr_json_number(&j, j.root, "confidence", p->confidence);
    wr_json_number(&j, j.root, "factor", p->factor);
    wr_json_number(&j, j.root, "factor_mc_error", p->factor_mc_error);
    wr_json_number(&j, j.root, "reserve_min", p->reserve_min);
    wr_json_number(&j, j.root, "reserve_mc_error_min", p->reserve_mc_error_min);
    wr_json_number(&j, j.root, "median_timeline_min", p->median_timeline_min);
    wr_json_number(&j, j.root, "median_finish_min", p->median_finish_min);
    wr_json_number(&j, j.root, "finish_quantile_min", p->finish_quantile_min);
    bool open = is_open(result, &need);
    wr_json_pair_if(&j, j.root, "finish_quantile_interval_min", open, need.lo_min.value, need.hi_min.value);
    wr_json_number(&j, j.root, "finish_mc_error_min", p->finish_mc_error_min);
    wr_json_number(&j, j.root, "all_done_min", p->all_done_min);
    wr_json_number(&j, j.root, "equal_percentile", p->equal_percentile);
    wr_json_number(&j, j.root, "probability_all_checkpoints_kept", p->prob_all_kept);
    json_t *together = wr_json_object(&j, j.root, "together");
    wr_json_number(&j, together, "level", p->together_level);
    wr_json_number(&j, together, "finish_min", p->together_finish_min);
    json_t *twice = wr_json_object(&j, j.root, "padded_twice");
    wr_json_number(&j, twice, "finish_min", p->twice_min);
    wr_json_number(&j, twice, "reserve_min", p->twice_reserve_min);
    wr_json_number(&j, twice, "probability_inside", p->prob_inside_twice);
    wr_json_grid(&j, j.root, "tasks", tasks);
    wr_json_grid(&j, j.root, "checkpoints", checkpoints);
    clocks_json(&j, result);
    json_t *meanings = wr_json_object(&j, j.root, "definitions");
    for (size_t i = 0; i < sizeof definition / sizeof *definition; i++)
        wr_json_text(&j, meanings, definition[i].key, definition[i].text);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_pad(enum wr_format format, const struct wr_present_context *ctx,
                           const struct wr_pad_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID checkpoints = {0}, tasks = {0};

    wr_grid_of_checkpoints(result, &checkpoints);
    wr_grid_of_pads(result, &tasks);
    enum wr_status status = wr_grid_check(&checkpoints, err);
    if (status == WR_OK) status = wr_grid_check(&tasks, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: pad_table(ctx, result, &checkpoints, &tasks, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&tasks, out); break;
    case WR_FORMAT_JSON: return pad_json(ctx, result, &checkpoints, &tasks, out, err);
    }
    return WR_OK;
}
