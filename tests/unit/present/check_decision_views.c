#include <check.h>
#include <math.h>
#include <string.h>
#include "sample_decisions.h"
#include "shown.h"
#include "shown_json.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/pad_view.h"
#include "wetrun/present/whatif_view.h"

static struct sample s;
static struct sample_decisions d;
static struct wr_str out;
static char last_mark[16];

static void make(size_t n_task, enum sample_flavour flavour)
{
    sample_make(&s, n_task, flavour);
    sample_decide(&d, &s);
}

static void done(void)
{
    sample_release(&s);
    wr_str_release(&out);
}

enum about { ABOUT_PAD, ABOUT_CUTOFF, ABOUT_NOW, ABOUT_WHATIF, N_ABOUT };

static enum wr_status show(enum about about, enum wr_format format, struct wr_error *err)
{
    struct wr_pad_result pad = {&s.plan, &d.pad, &s.limits, &d.card, d.limit_name, false, &s.forecast};
    struct wr_cutoff_result cutoff = {.plan = &s.plan,
                                      .limit_name = d.limit_name,
                                      .card = &d.card,
                                      .over = d.over,
                                      .update = about == ABOUT_NOW ? &d.update : NULL};
    struct wr_whatif_result whatif = {.whatif = &d.whatif, .variant_name = d.variant_name, .limit_name = d.limit_name};

    wr_str_clear(&out);
    switch (about) {
    case ABOUT_PAD: return wr_show_pad(format, &s.context, &pad, &out, err);
    case ABOUT_CUTOFF:
    case ABOUT_NOW: return wr_show_cutoff(format, &s.context, &cutoff, &out, err);
    default: return wr_show_whatif(format, &s.context, &whatif, &out, err);
    }
}

static const char *shown_as(enum about about, enum wr_format format)
{
    struct wr_error err = {0};

    ck_assert_msg(show(about, format, &err) == WR_OK, "%s", err.text);
    return out.text;
}

/* Lines run on: a sentence is looked for wherever it is broken. */
static void unfold(void)
{
    for (char *at = out.text; *at; at++) if (*at == '\n') *at = ' ';
}

START_TEST(tables_fit_a_terminal_and_are_calm)
{
    for (int flavour = SAMPLE_TAME; flavour <= SAMPLE_HOSTILE; flavour++) {
        make(28, (enum sample_flavour)flavour);
        for (int about = 0; about < N_ABOUT; about++) {
            ck_assert_msg(shown_width(shown_as((enum about)about, WR_FORMAT_TABLE)) <= 80, "%s", out.text);
            shown_is_calm(out.text);
        }
        done();
    }
}
END_TEST

START_TEST(csv_is_whole)
{
    make(28, SAMPLE_HOSTILE);
    ck_assert_uint_eq(shown_csv_records(shown_as(ABOUT_PAD, WR_FORMAT_CSV), 18), 29);
    ck_assert_uint_eq(shown_csv_records(shown_as(ABOUT_CUTOFF, WR_FORMAT_CSV), 28), 1 + 3 * 28);
    ck_assert_uint_eq(shown_csv_records(shown_as(ABOUT_WHATIF, WR_FORMAT_CSV), 25), 1 + 3 * 3);
}
END_TEST

START_TEST(pad_has_the_keys_of_the_contract)
{
    make(28, SAMPLE_TAME);
    json_t *root = shown_json(shown_as(ABOUT_PAD, WR_FORMAT_JSON));
    shown_has_keys(root, "command version seed factor factor_mc_error reserve_min reserve_mc_error_min tasks "
                         "checkpoints definitions caution");
    shown_has_keys(shown_at(root, "tasks", 0),
                   "task median_min pad_min pad_mc_error_min factor planned_min probability_planned_enough");
    ck_assert(fabs(shown_number(root, "reserve_min") - d.pad.reserve_min) < 1e-9);
    ck_assert(json_is_null(json_object_get(shown_at(root, "checkpoints", d.pad.n_checkpoint - 1), "task")));
    double before = INFINITY; /* the largest shortfall as shown first; those without a planned time last, as null */
    for (size_t i = 0; i < 28; i++) {
        const json_t *task = shown_at(root, "tasks", i);
        double value = -INFINITY;
        if (!json_is_null(json_object_get(task, "missing_min")))
            value = round(10 * shown_number(task, "median_min")) + round(10 * shown_number(task, "pad_min")) -
                    round(10 * shown_number(task, "planned_min"));
        ck_assert(value <= before);
        before = value;
    }
    json_decref(root);
}
END_TEST

START_TEST(pad_says_that_percentiles_do_not_add_up)
{
    make(28, SAMPLE_TAME);
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "would pad twice"));
    ck_assert_ptr_nonnull(strstr(out.text, "Median timeline: the plan walked"));
    ck_assert_int_eq(strncmp(out.text, "To be done in 90 of 100 cases allow ", 36), 0);
    ck_assert_int_eq(strncmp(strchr(out.text, ':') + 3, " (90 % interval ", 16), 0); /* behind h:mm */
}
END_TEST

/* On a long tail the tasks' own shares add up to less than the timeline's. */
START_TEST(pad_says_where_each_tasks_own_share_is_too_little)
{
    make(28, SAMPLE_TAME);
    d.pad.twice_min = d.pad.finish_quantile_min - 10;
    d.pad.prob_inside_twice = 0.887;
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    for (char *c = out.text; *c; c++)
        if (*c == '\n') *c = ' ';
    ck_assert_ptr_null(strstr(out.text, "would pad twice"));
    ck_assert_ptr_nonnull(strstr(out.text, "own 90 of 100 would fall short: it asks only "));
    ck_assert_ptr_nonnull(strstr(out.text, ", which holds in 89 of 100."));
    d.pad.twice_min = d.pad.finish_quantile_min;
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    for (char *c = out.text; *c; c++)
        if (*c == '\n') *c = ' ';
    ck_assert_ptr_nonnull(strstr(out.text, "own 90 of 100 asks the same: "));
}
END_TEST

static const char *mark_at(size_t checkpoint)
{
    struct wr_pad_result pad = {&s.plan, &d.pad, &s.limits, &d.card, d.limit_name, false, &s.forecast};
    struct wr_grid grid;
    const char *mark = NULL;

    wr_grid_of_checkpoints(&pad, &grid);
    for (size_t c = 0; c < grid.n_column; c++)
        if (strcmp(grid.column[c].key, "mark") == 0) mark = grid.value[checkpoint * grid.n_column + c].text;
    ck_assert_ptr_nonnull(mark);
    strncpy(last_mark, mark, sizeof last_mark - 1);
    wr_grid_release(&grid);
    return last_mark;
}

/* A checkpoint's time is no leave: where it lies after its task's time to begin by, or past a limit, its row says so.
 */
START_TEST(checkpoints_beyond_a_time_to_begin_by_are_marked)
{
    make(28, SAMPLE_TAME);
    struct wr_pad_checkpoint *one = &d.pad.checkpoint[0], *finish = &d.pad.checkpoint[d.pad.n_checkpoint - 1];
    ck_assert(one->task < 28 && finish->task == SIZE_MAX);
    for (size_t l = 0; l < d.card.n_limit; l++) {
        struct wr_cutoff_row *row = &d.card.list[l].row[one->task];
        row->reason = WR_CUTOFF_FOUND;
        row->typical_start_min = 100;
        row->latest_start_min = 120.9; /* shown as 2:00 */
        row->mc_error_min = 0.3;
        row->drop_rule_first = false;
    }
    one->time_mc_error_min = 0.4; /* 0.5 together: 0.82 min are as far as it may err */
    one->time_min = 120.05; /* shown as 2:00 */
    ck_assert_str_eq(mark_at(0), "");
    one->time_min = 120.1;
    ck_assert_str_eq(mark_at(0), "near");
    one->time_min = 121.7; /* 2:02 */
    ck_assert_str_eq(mark_at(0), "near");
    one->time_min = 121.75;
    ck_assert_str_eq(mark_at(0), "late");
    for (size_t l = 0; l < d.card.n_limit; l++) d.card.list[l].row[one->task].drop_rule_first = true; /* no error */
    one->time_min = 121.6;
    ck_assert_str_eq(mark_at(0), "late");
    one->time_mc_error_min = 0;
    one->time_min = 120.6; /* 2:01 beside 2:00 */
    ck_assert_str_eq(mark_at(0), "near");
    one->time_min = 120.4;
    ck_assert_str_eq(mark_at(0), "");
    d.card.list[0].row[one->task].is_start = true; /* no time to be late for */
    d.card.list[1].row[one->task].is_start = true;
    ck_assert_str_eq(mark_at(0), "");
    d.card.list[0].row[one->task].reason = WR_CUTOFF_NEVER;
    d.card.list[0].row[one->task].is_start = d.card.list[1].row[one->task].is_start = false;
    ck_assert_str_eq(mark_at(0), "late");
    finish->time_mc_error_min = 1;
    finish->time_min = s.limits.limit[0].minutes - 2;
    ck_assert_str_eq(mark_at(d.pad.n_checkpoint - 1), "");
    finish->time_min += 1;
    ck_assert_str_eq(mark_at(d.pad.n_checkpoint - 1), "near");
    finish->time_min += 2;
    ck_assert_str_eq(mark_at(d.pad.n_checkpoint - 1), "near");
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "Near: whether it is late, or over,"));
    finish->time_min += 1;
    ck_assert_str_eq(mark_at(d.pad.n_checkpoint - 1), "over");
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    ck_assert_uint_le(shown_width(out.text), 80);
    ck_assert_ptr_nonnull(strstr(out.text, "Over: past a limit."));
}
END_TEST

/* Machines read the reserve of a stretch as people do, from the times as shown, and people's begins where machines'
 * does: at the checkpoint that leads there, which need not stand in the row above. */
START_TEST(the_reserve_of_a_stretch_is_the_same_for_people_and_machines)
{
    make(28, SAMPLE_TAME);
    ck_assert_uint_ge(d.pad.n_checkpoint, 3);
    struct wr_pad_checkpoint *first = &d.pad.checkpoint[0], *beside = first + 1, *then = first + 2;
    first->before = beside->before = SIZE_MAX;
    then->before = 0;
    first->median_timeline_min = 60, first->time_min = 70.4;     /* 1:00, 1:10 */
    beside->median_timeline_min = 64.6, beside->time_min = 72.4; /* 1:05, 1:12 */
    then->median_timeline_min = 90, then->time_min = 113.5;      /* 1:30, 1:54 */
    json_t *root = shown_json(shown_as(ABOUT_PAD, WR_FORMAT_JSON));
    static const double shown_min[] = {10, 7, 14};
    for (size_t i = 0; i < 3; i++)
        ck_assert_double_eq_tol(shown_number(shown_at(root, "checkpoints", i), "stretch_reserve_shown_min"),
                                shown_min[i], 1e-9);
    json_decref(root);
}
END_TEST

/* A task that waits for nothing, or for fixed times alone, begins in time on every day: that is not counted on days. */
START_TEST(a_start_that_nothing_moves_is_certain)
{
    make(28, SAMPLE_TAME);
    struct wr_cutoff_row *row = &d.card.list[0].row[2];
    const struct wr_cutoff_result cutoff = {
        .plan = &s.plan, .limit_name = d.limit_name, .card = &d.card, .over = d.over};
    WR_SCOPED_STR cell = {0};

    row->reason = WR_CUTOFF_FOUND;
    row->is_start = false;
    row->share_in_time = 1;
    for (int fixed = 0; fixed < 2; fixed++) {
        struct wr_grid grid;
        row->start_is_fixed = fixed;
        wr_grid_of_bearing_cutoffs(&cutoff, 0, &grid);
        for (size_t r = 0; r < wr_grid_rows(&grid); r++)
            for (size_t c = 0; c < grid.n_column && grid.about[r] == row->task; c++) {
                if (strcmp(grid.column[c].key, "share_in_time") != 0) continue;
                wr_str_clear(&cell);
                wr_value_add(&grid.value[r * grid.n_column + c], grid.column[c].unit, &cell);
            }
        ck_assert_str_eq(wr_str_text(&cell), fixed ? "all" : ">99");
        wr_grid_release(&grid);
    }
}
END_TEST

static const char *clock_of(size_t task)
{
    static char name[64];
    json_t *root = shown_json(shown_as(ABOUT_PAD, WR_FORMAT_JSON)), *row;
    size_t i;

    name[0] = '\0';
    json_array_foreach(json_object_get(root, "tasks"), i, row) {
        const json_t *over = json_object_get(row, "over_clock");
        if (strcmp(shown_text(row, "task"), s.plan.task[task].id) == 0 && json_is_string(over))
            strncpy(name, json_string_value(over), sizeof name - 1);
    }
    json_decref(root);
    return name;
}

/* A timeline that breaks a limit with a clock of its own says so, in words, rows and JSON; one that keeps it what it
 * takes. */
START_TEST(pad_reads_the_clocks)
{
    make(28, SAMPLE_TAME);
    const size_t joint = d.pad.checkpoint[1].task, other = joint + 1;
    unsigned char on_way[28] = {0};
    struct wr_pad_clock clock = {.limit = 2, .median_timeline_min = 100, .padded_min = 115.4, .on_way = on_way};
    const struct wr_limit *limit = &s.limits.limit[2];
    struct wr_str said = {0};

    ck_assert(limit->is_clock && joint < 27);
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    ck_assert_ptr_null(strstr(out.text, "Clock: on the way"));
    s.limits.limit[2].minutes = 115;
    on_way[joint] = 1;
    d.pad.clock = &clock;
    d.pad.n_clock = 1;
    for (size_t l = 0; l < d.card.n_limit; l++) /* no other mark */
        d.card.list[l].row[joint] =
            (struct wr_cutoff_row){.task = joint, .reason = WR_CUTOFF_FOUND, .latest_start_min = 999};
    const struct wr_pad_result pad = {&s.plan, &d.pad, &s.limits, &d.card, d.limit_name, false, &s.forecast};
    wr_pad_clocks_sentence(&pad, &said); /* 1:55 as it is shown */
    wr_str_clear(&out);
    wr_str_addf(&out,
                "The padded timeline on \xe2\x80\x9c%s\xe2\x80\x9d: from the begin of \xe2\x80\x9c%s\xe2\x80\x9d to "
                "the end of \xe2\x80\x9c%s\xe2\x80\x9d it takes 1:55 of the 1:55 allowed (the median timeline 1:40). ",
                limit->name, s.plan.task[limit->from].title, s.plan.task[limit->to].title);
    ck_assert_msg(strncmp(said.text, out.text, out.len) == 0, "%s", said.text);
    ck_assert_str_eq(mark_at(1), "");
    ck_assert_str_eq(clock_of(joint), "");
    clock.padded_min = 130;
    wr_str_clear(&said);
    wr_pad_clocks_sentence(&pad, &said);
    ck_assert_int_eq(strncmp(said.text, "The padded timeline breaks ", 27), 0);
    ck_assert_ptr_nonnull(strstr(said.text, " it takes 2:10, 15 min more than the 1:55 allowed (the median"));
    ck_assert_str_eq(mark_at(1), "clock");
    ck_assert_str_eq(clock_of(joint), limit->name);
    ck_assert_str_eq(clock_of(other), "");
    json_t *root = shown_json(shown_as(ABOUT_PAD, WR_FORMAT_JSON));
    const json_t *row = shown_at(root, "clocks", 0);
    ck_assert_str_eq(shown_text(row, "limit"), limit->name);
    ck_assert_str_eq(shown_text(row, "from"), s.plan.task[limit->from].id);
    ck_assert_str_eq(shown_text(row, "to"), s.plan.task[limit->to].id);
    ck_assert(shown_number(row, "allowed_min") == 115 && shown_number(row, "padded_timeline_min") == 130);
    ck_assert(shown_number(row, "median_timeline_min") == 100);
    ck_assert(json_is_true(json_object_get(row, "padded_is_over")));
    json_decref(root);
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    ck_assert_uint_le(shown_width(out.text), 80);
    ck_assert_ptr_nonnull(strstr(out.text, "The padded timeline breaks"));
    ck_assert_ptr_nonnull(strstr(out.text, "  clock\n"));
    wr_str_clear(&said);
    wr_checkpoints_late_sentence(&pad, &said);
    ck_assert_ptr_nonnull(strstr(said.text, "Clock: on the way of a limit with a clock of its own, which this"));
    wr_str_release(&said);
}
END_TEST

/* A time to begin by is for limits that are named; a clock that asks for a sooner one, begun as usual, is named with
 * it. */
START_TEST(pad_names_the_limits_of_its_times_to_begin_by)
{
    make(28, SAMPLE_TAME);
    const size_t joint = d.pad.checkpoint[1].task, from = s.limits.limit[2].from;
    struct wr_cutoff_row *on_clock = &d.card.list[2].row[joint];
    struct wr_str sooner = {0};

    ck_assert(s.limits.limit[2].is_clock && from != joint);
    for (size_t l = 0; l < 2; l++) {
        d.card.list[l].row[joint] = (struct wr_cutoff_row){.task = joint, .reason = WR_CUTOFF_FOUND,
                                                           .typical_start_min = 92, .latest_start_min = 143};
        d.card.list[l].row[from].typical_start_min = 46;
    }
    *on_clock = (struct wr_cutoff_row){.task = joint, .reason = WR_CUTOFF_FOUND, .latest_start_min = 40};
    wr_str_addf(&sooner, "%s\xe2\x80\x9d must begin sooner for \xe2\x80\x9c%s\xe2\x80\x9d, a clock of its own: by "
                "0:40 on it, 1:26 elapsed if it begins as usual.", s.plan.task[joint].title, d.limit_name[2]);
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    unfold();
    ck_assert_ptr_nonnull(strstr(out.text, " Begin by: for "));
    ck_assert_ptr_nonnull(strstr(strstr(out.text, " Begin by: for "), d.limit_name[0]));
    ck_assert_msg(strstr(out.text, sooner.text), "%s", out.text);
    on_clock->latest_start_min = 143 - 46 + 1;
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    unfold();
    wr_str_clear(&sooner);
    wr_str_addf(&sooner, "%s\xe2\x80\x9d must begin sooner", s.plan.task[joint].title);
    ck_assert_ptr_null(strstr(out.text, sooner.text));
    on_clock->reason = WR_CUTOFF_NEVER;
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    unfold();
    wr_str_clear(&sooner);
    wr_str_addf(&sooner, "%s\xe2\x80\x9d is too late for", s.plan.task[joint].title);
    ck_assert_ptr_nonnull(strstr(out.text, sooner.text));
    ck_assert_ptr_null(strstr(out.text, "Too late: no start"));
    /* too late for a limit on elapsed time no clock asks for sooner, and the table says so, not "-" */
    *on_clock = (struct wr_cutoff_row){.task = joint, .reason = WR_CUTOFF_FOUND, .latest_start_min = 40};
    d.card.list[0].row[joint].reason = WR_CUTOFF_NEVER;
    shown_as(ABOUT_PAD, WR_FORMAT_TABLE);
    unfold();
    ck_assert_ptr_nonnull(strstr(out.text, " too late "));
    ck_assert_ptr_nonnull(strstr(out.text, "Too late: no start is early enough."));
    wr_str_clear(&sooner);
    wr_str_addf(&sooner, "%s\xe2\x80\x9d must begin sooner", s.plan.task[joint].title);
    ck_assert_ptr_null(strstr(out.text, sooner.text));
    wr_str_release(&sooner);
}
END_TEST

START_TEST(cutoff_has_the_keys_of_the_contract)
{
    make(28, SAMPLE_TAME);
    json_t *root = shown_json(shown_as(ABOUT_CUTOFF, WR_FORMAT_JSON));
    shown_has_keys(root, "command version seed tasks limits now caution");
    ck_assert(json_is_null(json_object_get(root, "now")));
    const json_t *row = shown_at(root, "tasks", 10);
    shown_has_keys(row, "task typical_start_min latest_start_min slack_min probability_inside_at_typical");
    ck_assert(fabs(shown_number(row, "latest_start_min") - d.card.list[0].row[10].latest_start_min) < 1e-9);
    ck_assert_uint_eq(json_array_size(json_object_get(root, "limits")), 3);
    for (size_t k = 1; k <= WR_CUTOFF_NO_CLOCK; k++) { /* no number where there is no answer, and the reason instead */
        row = shown_at(root, "tasks", k);
        ck_assert(json_is_null(json_object_get(row, "latest_start_min")));
        ck_assert_str_ne(shown_text(row, "reason"), "found");
        ck_assert_str_ne(shown_text(row, "note"), "");
    }
    ck_assert(fabs(shown_number(shown_at(root, "tasks", 25), "second_to_min") - 330.4) < 1e-9);
    json_decref(root);
}
END_TEST

START_TEST(update_says_what_the_day_has_shown)
{
    make(28, SAMPLE_TAME);
    shown_as(ABOUT_NOW, WR_FORMAT_TABLE);
    ck_assert_int_eq(strncmp(out.text, "At 2:30: 9 tasks done, 2 running.", 33), 0);
    ck_assert_ptr_nonnull(strstr(out.text, "1.21"));
    ck_assert_ptr_nonnull(strstr(out.text, "now 31 of 100 go over it"));
    json_t *root = shown_json(shown_as(ABOUT_NOW, WR_FORMAT_JSON));
    const json_t *now = json_object_get(root, "now");
    shown_has_keys(now, "now_min done running rest_factor rest_factor_interval quantiles_min limits");
    ck_assert(shown_number(now, "now_min") == 150);
    ck_assert(fabs(shown_number(shown_at(now, "limits", 0), "probability_over") - .31) < 1e-12);
    json_decref(root);
}
END_TEST

/* No time to begin by stands without what the rehearsals say of its limit, in any format, before the day and on it. */
START_TEST(cutoffs_say_what_their_times_rest_on)
{
    make(28, SAMPLE_TAME);
    const struct wr_probability open = {.mean = .2, .lo = .05, .hi = .4}, beyond = {.mean = .8, .lo = .7, .hi = .9};
    for (size_t l = 0; l < 3; l++) d.over[l] = d.update.over[l] = l == 1 ? beyond : open;
    for (size_t l = 0; l < 3; l++) d.card.list[l].prob_over = d.over[l].mean;
    for (size_t l = 0; l < 3; l++) d.card.list[l].needed_min = d.card.list[l].limit.limit.minutes + 24;
    s.context.n_complete_run = WR_FEWEST_COMPLETE;
    for (int about = ABOUT_CUTOFF; about <= ABOUT_NOW; about++) {
        json_t *root = shown_json(shown_as((enum about)about, WR_FORMAT_JSON));
        ck_assert_str_eq(shown_text(shown_at(root, "limits", 0), "verdict"), "not enough rehearsals to tell");
        ck_assert_str_eq(shown_text(shown_at(root, "limits", 1), "verdict"), "not inside");
        ck_assert(fabs(shown_number(shown_at(root, "limits", 1), "probability_over_lo") - .7) < 1e-12);
        ck_assert(fabs(shown_number(shown_at(root, "limits", 0), "probability_over_hi") - .4) < 1e-12);
        json_decref(root);
        shown_as((enum about)about, WR_FORMAT_CSV);
        ck_assert_ptr_nonnull(strstr(out.text, "probability_over,probability_over_lo,probability_over_hi,verdict,"));
        ck_assert_ptr_nonnull(strstr(out.text, ",0.2,0.05,0.4,not enough rehearsals to tell,"));
        ck_assert_ptr_nonnull(strstr(out.text, ",0.8,0.7,0.9,not inside,"));
        shown_as((enum about)about, WR_FORMAT_TABLE);
        unfold();
        bool day = about == ABOUT_NOW;
        const char *verdicts = strstr(out.text, day ? "What the rehearsals and this day say of the limits: "
                                                    : "What the rehearsals say of the limits: ");
        ck_assert(verdicts && verdicts < strstr(out.text, "Begin by: "));
        ck_assert_ptr_nonnull(strstr(verdicts, "are best estimates: more rehearsals may move them either way."));
        const char *middle = strstr(out.text, "By the best estimate, ");
        const char *plain = strstr(out.text, day ? "As it stands now, " : "As planned, ");
        ck_assert(middle && plain && middle < plain);
        ck_assert_ptr_nonnull(strstr(plain, ", 24 min more."));
    }
}
END_TEST

/* The clock of a limit has stopped, and at what reading nobody said. */
START_TEST(a_limit_that_is_over_asks_for_the_report_it_lacks)
{
    make(28, SAMPLE_TAME);
    const struct wr_sim_limit *clock = &d.card.list[2].limit.limit;
    struct wr_now_state *now = &d.update.state;
    ck_assert(clock->is_clock);
    now->state[clock->from] = WR_NOW_DONE;
    now->begin_min[clock->from] = 30;
    for (int known = 0; known < 8; known++) {
        bool ended = known & 4;
        now->state[clock->to] = ended ? WR_NOW_PAST : WR_NOW_AHEAD;
        now->begin_known[clock->from] = known & 1 ? WR_NOW_REPORTED : WR_NOW_UNKNOWN;
        now->end_known[clock->to] = known & 2 ? WR_NOW_REPORTED : WR_NOW_INFERRED;
        now->end_min[clock->to] = 30 + clock->minutes + 1;
        shown_as(ABOUT_NOW, WR_FORMAT_TABLE);
        unfold();
        const char *says = strstr(out.text, "cannot be said: report when ");
        bool lacks_begin = !(known & 1), lacks_end = ended && !(known & 2);
        ck_assert_int_eq(says != NULL, lacks_begin || lacks_end);
        ck_assert_int_eq(strstr(out.text, "one of the limits that can be said.") != NULL, says != NULL);
        if (says) ck_assert_int_eq(strncmp(strstr(says, "\xe2\x80\x9d") + 4, lacks_begin ? "began." : "ended.", 6), 0);
    }
    now->end_min[clock->to] = 30 + clock->minutes - 1; /* inferred, and so at most: kept in any case */
    now->end_known[clock->to] = WR_NOW_INFERRED;
    ck_assert_int_eq(wr_now_lacks(now, clock), WR_NOW_LACKS_NOTHING);
}
END_TEST

START_TEST(notes_say_what_stands_behind_a_cutoff)
{
    make(28, SAMPLE_TAME);
    const struct { size_t k; const char *text; } note[] = {
        {6, ""}, {8, "at least until then, for hardly a day begins later"}, {24, "later it is dropped"},
        {25, "again inside from 5:20 to 5:30, since other work is then dropped"}, {1, "too late, whenever it begins"}};
    for (size_t i = 0; i < sizeof note / sizeof *note; i++) {
        wr_str_clear(&out);
        wr_cutoff_note(&d.card.list[0].row[note[i].k], &out);
        ck_assert_str_eq(out.text, note[i].text);
    }
    struct wr_cutoff_row row = {.reason = WR_CUTOFF_FOUND, .typical_start_min = 60, .latest_start_min = 50,
                                .slack_min = -10, .share_in_time = .3, .mc_error_min = 5, .early_min = 70.7};
    const struct { double share, error; const char *text; } late[] = {
        {.3, 5, "usually too late"}, {.095, 5, "usually too late"},
        {.094, 0, "as good as too late, begun by then on fewer than 10 of 100 days"},
        {.3, 25.3, "usually too late; not known to better than 25 min, and put 71 min early for it"}};
    for (size_t i = 0; i < sizeof late / sizeof *late; i++) {
        row.share_in_time = late[i].share;
        row.mc_error_min = late[i].error;
        wr_str_clear(&out);
        wr_cutoff_note(&row, &out);
        ck_assert_str_eq(out.text, late[i].text);
    }
    row = (struct wr_cutoff_row){.reason = WR_CUTOFF_NEVER, .typical_start_min = 60, .has_second_window = true,
                                 .second_from_min = 320, .second_to_min = 330.4};
    wr_str_clear(&out);
    wr_cutoff_note(&row, &out);
    ck_assert_str_eq(out.text, "too late, but for a begin from 5:20 to 5:30, since other work is then dropped");
    row = (struct wr_cutoff_row){.reason = WR_CUTOFF_FOUND, .typical_start_min = 150, .latest_start_min = 150,
                                 .share_in_time = .99, .at_earliest = true};
    wr_str_clear(&out);
    wr_cutoff_note(&row, &out);
    ck_assert_str_eq(out.text, "usually just when it may begin, and later on slow days alone: --outside-hold says how "
                               "long it may be held up");
    row.drop_rule_first = true; /* a drop time is the plan's own */
    wr_str_clear(&out);
    ck_assert(!wr_cutoff_trust_words(&row, &out) && out.len == 0);
}
END_TEST

static void check_card_says(const struct wr_cutoff_result *cutoff, const struct wr_card_lines *lines, const char *words)
{
    struct wr_grid grid;

    wr_str_clear(&out);
    wr_grid_of_card(cutoff, lines, SIZE_MAX, &grid);
    wr_grid_add_csv(&grid, &out);
    ck_assert_msg(strstr(out.text, words) != NULL, "%s", out.text);
    wr_grid_release(&grid);
}

/* In a sentence, however its lines are cut. */
static void check_table_says(const struct wr_cutoff_result *cutoff, const char *words)
{
    wr_str_clear(&out);
    ck_assert_int_eq(wr_show_cutoff(WR_FORMAT_TABLE, &s.context, cutoff, &out, NULL), WR_OK);
    for (char *at = out.text; (at = strchr(at, '\n')) != NULL; at++) *at = ' ';
    ck_assert_msg(strstr(out.text, words) != NULL, "%.1500s", out.text);
}

/* The same words on the console's card as in the notes, in every row that is concerned and in no other. */
START_TEST(the_card_marks_what_lies_beyond_the_simulated_range)
{
    make(28, SAMPLE_TAME);
    static const char not_shown[] =
        "leaving it out sooner is not shown to help the limit; the plan drops it after 5:10";
    struct wr_drop_price price = {.task = 8, .sooner = {.006, .002, .012, .0003}};
    struct wr_cutoff_result cutoff = {.plan = &s.plan, .limit_name = d.limit_name, .card = &d.card, .over = d.over,
                                      .limits = &s.limits, .price = &price, .n_price = 1};
    struct wr_card_lines lines = wr_card_lines(&d.card);
    struct wr_grid grid;
    size_t n = 0;

    wr_grid_of_card(&cutoff, &lines, SIZE_MAX, &grid);
    wr_grid_add_csv(&grid, &out);
    for (const char *at = out.text; (at = strstr(at, wr_beyond_range)) != NULL; at++) n++;
    ck_assert_uint_eq(n, 1); /* task 8 */
    s.plan.task[8].drop_after_min = wr_known(310);
    wr_grid_release(&grid);
    wr_str_clear(&out);
    wr_grid_of_card(&cutoff, &lines, SIZE_MAX, &grid);
    wr_grid_add_csv(&grid, &out);
    ck_assert_ptr_nonnull(strstr(out.text, "later, leave it out for the limit; the plan drops it after 5:10; at "
                                           "least until then, for hardly a day begins later"));
    ck_assert_ptr_nonnull(strstr(out.text, d.limit_name[0]));
    price.sooner.se = 0.004; /* what cannot be told from nothing is no advice */
    check_card_says(&cutoff, &lines, not_shown);
    price.sooner = (struct wr_paired){.0006, .0002, .001, .0001, 0, 0, false}; /* reads as nothing */
    check_card_says(&cutoff, &lines, not_shown);
    price = (struct wr_drop_price){.task = 7, .sooner = {.006, .002, .012, .0003}}; /* of another task */
    check_card_says(&cutoff, &lines, not_shown);
    check_table_says(&cutoff, " Not shown to help a limit, left out sooner than that: ");
    ck_assert_ptr_null(strstr(out.text, "leave it out from then on"));
    price.task = 8;
    check_table_says(&cutoff, "leave it out from then on for that limit, but for those named here.");
    cutoff.first = WR_FIRST_TRIED; /* the prices are of the one given */
    check_card_says(&cutoff, &lines,
                    "begun later it leaves the limit less sure than wanted, and whether leaving it out helps was not "
                    "worked out for a limit that is tried; the plan drops it after 5:10");
    ck_assert_ptr_null(strstr(out.text, "out sooner"));
    ck_assert_ptr_null(strstr(out.text, "leave it out"));
    wr_grid_release(&grid);
    wr_card_lines_release(&lines);
}
END_TEST

/* What is too late on a clock says so beside its time elapsed, however late that is; a time on the clock until which at
 * least it is inside is no earlier one. */
START_TEST(the_card_says_what_a_clock_makes_too_late)
{
    make(28, SAMPLE_TAME);
    struct wr_cutoff_result cutoff = {.plan = &s.plan, .limit_name = d.limit_name, .card = &d.card, .over = d.over,
                                      .limits = &s.limits};
    const size_t clock = 2, task = 20, from = d.card.list[clock].limit.limit.from;
    struct wr_cutoff_row *row = &d.card.list[clock].row[task];
    WR_SCOPED_STR late = {0}, sooner = {0};

    ck_assert(d.card.list[clock].limit.limit.is_clock && from != task);
    wr_str_addf(&late, "too late for \xe2\x80\x9c%s\xe2\x80\x9d, whose clock stands below", d.limit_name[clock]);
    wr_str_addf(&sooner, "sooner for \xe2\x80\x9c%s\xe2\x80\x9d, whose clock stands below", d.limit_name[clock]);
    for (size_t l = 0; l < d.card.n_limit; l++)
        for (size_t k = 0; k < 28; k++) d.card.list[l].row[k].reason = WR_CUTOFF_FOUND;
    for (size_t k = 0; k < 28; k++) d.card.list[clock].row[k].latest_start_min = 1000;
    struct wr_card_lines lines = wr_card_lines(&d.card);
    row->reason = WR_CUTOFF_NEVER;
    check_card_says(&cutoff, &lines, late.text);
    row->reason = WR_CUTOFF_FOUND;
    row->latest_start_min = 1;
    check_card_says(&cutoff, &lines, sooner.text);
    ck_assert_ptr_null(strstr(out.text, late.text));
    row->beyond_range = true;
    check_card_says(&cutoff, &lines, s.plan.task[task].id);
    ck_assert_ptr_null(strstr(out.text, sooner.text));
    wr_card_lines_release(&lines);
}
END_TEST

/* Work that may be dropped says nothing of a limit that stays less sure. */
START_TEST(what_is_too_late_and_may_be_dropped_is_told_apart)
{
    static const char stays[] = "the limit stays less sure than is wanted", all_of_it[] = "All of it may be dropped";
    const size_t task = 20;
    make(28, SAMPLE_TAME);
    for (size_t l = 0; l < d.card.n_limit; l++)
        for (size_t k = 0; k < 28; k++)
            d.card.list[l].row[k].reason = k == task ? WR_CUTOFF_NEVER : WR_CUTOFF_FOUND;
    shown_as(ABOUT_NOW, WR_FORMAT_TABLE);
    unfold();
    ck_assert(strstr(out.text, stays) && !strstr(out.text, all_of_it));
    s.plan.task[task].drop_after_min = wr_known(d.update.state.now_min + 10);
    shown_as(ABOUT_NOW, WR_FORMAT_TABLE);
    unfold();
    ck_assert(!strstr(out.text, stays) && strstr(out.text, all_of_it));
    ck_assert_ptr_nonnull(strstr(out.text, "Too late, whenever it begins: "));
}
END_TEST

/* What is kept already is no chance, though nothing can be said of the rest. */
START_TEST(nothing_open_is_no_chance)
{
    make(28, SAMPLE_TAME);
    struct wr_now_fact fact[3] = {{.kind = WR_FACT_NONE}};
    d.update.fact = fact;
    shown_as(ABOUT_NOW, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "go over at least one of"));
    unsigned char doubted[28] = {1};
    d.update.state.doubted = doubted;
    d.update.n_doubted = 1; /* of what is not kept nothing can be said */
    for (size_t l = 1; l < 3; l++) fact[l].kind = WR_FACT_TOOK;
    shown_as(ABOUT_NOW, WR_FORMAT_TABLE);
    ck_assert_ptr_null(strstr(out.text, "go over at least one of"));
    d.update.fact = NULL;
    d.update.state.doubted = NULL;
}
END_TEST

/* Where the limit is not kept even begun on time, what the excursion begins with has no start that is early enough, and
 * is not called the start as if it were safe: so in the table, on the card, for machines. */
START_TEST(what_opens_the_excursion_too_late_is_said_to_be)
{
    make(28, SAMPLE_TAME);
    struct wr_cutoff_result cutoff = {.plan = &s.plan, .limit_name = d.limit_name, .card = &d.card, .over = d.over,
                                      .limits = &s.limits};
    static const char *const reason[] = {"never", "start"};

    for (int kept = 0; kept < 2; kept++) {
        for (size_t l = 0; l < d.card.n_limit; l++) {
            struct wr_cutoff_row *row = &d.card.list[l].row[0];
            *row = (struct wr_cutoff_row){.task = 0, .reason = WR_CUTOFF_NOT_BEFORE_LIMIT};
            if (d.card.list[l].limit.limit.is_clock) continue;
            row->reason = kept ? WR_CUTOFF_FOUND : WR_CUTOFF_NEVER;
            row->latest_start_min = kept ? 8 : 0;
            row->is_start = true;
        }
        WR_SCOPED_STR late = {0}, starts = {0};
        wr_str_addf(&late, "Too late even begun on time: %s.", s.plan.task[0].title);
        wr_str_addf(&starts, "The start: %s; elapsed time counts from it.", s.plan.task[0].title);
        check_table_says(&cutoff, kept ? starts.text : late.text);
        ck_assert_ptr_null(strstr(out.text, kept ? late.text : starts.text));
        struct wr_card_lines lines = wr_card_lines(&d.card);
        check_card_says(&cutoff, &lines, kept ? ",the start," : ",too late,");
        ck_assert_int_eq(strstr(out.text, "too late even begun on time") != NULL, !kept);
        ck_assert_msg(kept || !strstr(out.text, ",the start,"), "%.900s", out.text);
        wr_card_lines_release(&lines);
        wr_str_clear(&out);
        ck_assert_int_eq(wr_show_cutoff(WR_FORMAT_JSON, &s.context, &cutoff, &out, NULL), WR_OK);
        json_t *root = shown_json(out.text);
        const json_t *first = shown_at(root, "tasks", 0);
        ck_assert_str_eq(shown_text(first, "reason"), reason[kept]);
        ck_assert_str_eq(shown_text(first, "note"), kept ? "the start" : "too late even begun on time");
        json_decref(root);
    }
}
END_TEST

START_TEST(whatif_shows_the_paired_difference)
{
    make(28, SAMPLE_TAME);
    json_t *root = shown_json(shown_as(ABOUT_WHATIF, WR_FORMAT_JSON));
    shown_has_keys(root, "command version seed base alternatives caution");
    const json_t *first = shown_at(root, "alternatives", 0);
    ck_assert(fabs(shown_number(first, "gain") - .034) < 1e-12);
    ck_assert_str_eq(shown_text(first, "alternative"), d.variant_name[2]);
    ck_assert_str_eq(shown_text(first, "against_next"), "better");
    ck_assert_str_eq(shown_text(shown_at(root, "alternatives", 1), "against_next"), "not told apart");
    ck_assert_uint_eq(json_array_size(json_object_get(first, "limits")), 3);
    json_decref(root);
    shown_as(ABOUT_WHATIF, WR_FORMAT_CSV); /* a row of each alternative for each limit */
    for (size_t l = 0; l < 3; l++) ck_assert_ptr_nonnull(strstr(out.text, d.limit_name[l]));
    shown_as(ABOUT_WHATIF, WR_FORMAT_TABLE);
    for (size_t l = 0; l < 3; l++) ck_assert_ptr_nonnull(strstr(out.text, d.limit_name[l]));
    ck_assert_ptr_nonnull(strstr(out.text, "over at least one of the three limits"));
    ck_assert_ptr_nonnull(strstr(out.text, "Best: "));
    ck_assert_ptr_nonnull(strstr(out.text, "3.4 (2.4 to 5.4)"));
    ck_assert_ptr_nonnull(strstr(out.text, "\xe2\x88\x92" "0.4 (\xe2\x88\x92" "1.4 to 1.6)"));
    ck_assert_ptr_nonnull(strstr(out.text, "Gains do not add up"));
    ck_assert_ptr_nonnull(strstr(out.text, "Ranks 2 and 3 are not told apart."));
    d.whatif.row[0].told_apart = false; /* then it is not the best, though it is shown to help */
    shown_as(ABOUT_WHATIF, WR_FORMAT_TABLE);
    ck_assert_ptr_null(strstr(out.text, "Best: "));
    ck_assert_ptr_nonnull(strstr(out.text, "not told apart from the next"));
    for (size_t l = 1; l < 3; l++)
        d.whatif.row[0].limit[l].gain = (struct wr_paired){-.02, -.03, -.01, .001, 0, 0, false};
    shown_as(ABOUT_WHATIF, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "more by 2.0 (1.0 to 3.0)"));
}
END_TEST

/* Ranks are those of the first limit: what lowers the risk over another is named in the first paragraph all the same,
 * and so is what it does to the first. The one that helps most is named. */
START_TEST(an_alternative_that_helps_another_limit_is_named)
{
    const struct wr_paired open = {0}, some = {.03, .01, .05, .001, 0, 0, false},
                           much = {.095, .026, .197, .002, 0, 0, false};

    make(28, SAMPLE_TAME);
    for (size_t i = 0; i < d.whatif.n_row; i++)
        for (size_t l = 0; l < 3; l++) d.whatif.row[i].limit[l].gain = open;
    shown_as(ABOUT_WHATIF, WR_FORMAT_TABLE);
    unfold();
    ck_assert_ptr_null(strstr(out.text, "Shown to lower the risk"));
    d.whatif.row[0].limit[1].gain = some;
    d.whatif.row[2].limit[1].gain = much;
    d.whatif.row[2].limit[1].prob_over = .01;
    d.whatif.row[2].limit[0].gain = (struct wr_paired){-.02, -.03, -.01, .001, 0, 0, false};
    shown_as(ABOUT_WHATIF, WR_FORMAT_TABLE);
    unfold();
    WR_SCOPED_STR said = {0};
    wr_str_addf(&said,
                " Shown to lower the risk over %s: '%s', 1 of 100, fewer by 9.5 (2.6 to 19.7). But it makes %s worse",
                d.limit_name[1], d.variant_name[d.whatif.row[2].variant], d.limit_name[0]);
    const char *found = strstr(out.text, wr_str_text(&said));
    ck_assert_msg(found && found < strstr(out.text, "what if, on the same"), "%s", out.text);
}
END_TEST

/* While the last work runs a limit may be lost, or be about to; but nothing is left that has a time to begin by. */
START_TEST(a_limit_is_spoken_of_while_anything_runs)
{
    make(28, SAMPLE_TAME);
    const struct wr_probability beyond = {.mean = .36, .lo = .18, .hi = .56};
    s.context.n_complete_run = WR_FEWEST_COMPLETE;
    for (size_t l = 0; l < 3; l++) {
        d.over[l] = d.update.over[l] = beyond;
        d.card.list[l].prob_over = beyond.mean;
        d.card.list[l].needed_min = d.card.list[l].limit.limit.minutes + 9;
        for (size_t i = 0; i < d.card.n_row; i++) d.card.list[l].row[i].reason = WR_CUTOFF_BEGUN;
    }
    shown_as(ABOUT_NOW, WR_FORMAT_TABLE);
    unfold();
    ck_assert_ptr_nonnull(strstr(out.text, "As it stands now, "));
    ck_assert_ptr_nonnull(strstr(out.text, ", 9 min more."));
    ck_assert_ptr_null(strstr(out.text, "best estimates"));
    ck_assert_ptr_null(strstr(out.text, "Begin by"));
    d.card.list[2].row[7].reason = WR_CUTOFF_NEVER; /* it is still to begin, if too late */
    d.card.list[2].row[7].is_start = false;
    shown_as(ABOUT_NOW, WR_FORMAT_TABLE);
    unfold();
    ck_assert_ptr_nonnull(strstr(out.text, "The times to begin by are best estimates"));
    ck_assert_ptr_nonnull(strstr(out.text, "Begin by: "));
}
END_TEST

/* The table's minutes are those of CSV and JSON, which a difference of rounded moments was not. */
START_TEST(an_alternative_is_called_what_its_interval_shows)
{
    static const struct { struct wr_paired gain; size_t n_row; const char *said; } c[] = {
        {{0.003, 0.0004, 0.02, 0.0001, 0, 0, false}, 3, " Highest in rank, but not shown to lower the risk: '"},
        {{0.003, 0.0004, 0.02, 0.0001, 0, 0, false}, 1, "', which is not shown to lower the risk, "},
        {{-0.075, -0.238, -0.002, 0.002, 0, 0, false}, 3, " Highest in rank, but shown to make it worse: '"},
        {{-0.075, -0.238, -0.002, 0.002, 0, 0, false}, 1, "', which is shown to make it worse, "}};

    make(28, SAMPLE_TAME);
    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        d.whatif.row[0].limit[0].gain = c[i].gain;
        d.whatif.n_row = c[i].n_row;
        shown_as(ABOUT_WHATIF, WR_FORMAT_TABLE);
        unfold();
        ck_assert_msg(strstr(out.text, c[i].said), "%s", out.text);
    }
    d.whatif.base_median_min = 207.6;
    d.whatif.row[0].median_min = 207.4;
    d.whatif.row[0].median_saved_min = 0.2;
    shown_as(ABOUT_WHATIF, WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(strstr(out.text, "3:27       0.2 "));
}
END_TEST

START_TEST(forecast_prices_the_drop_rules)
{
    struct wr_error err = {0};

    make(28, SAMPLE_TAME);
    struct wr_forecast_result result = {
        .plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast, .price = d.price, .n_price = d.n_price};
    ck_assert_int_eq(wr_show_forecast(WR_FORMAT_JSON, &s.context, &result, &out, &err), WR_OK);
    json_t *root = shown_json(out.text);
    ck_assert_uint_eq(json_array_size(json_object_get(root, "drop_rules")), 2);
    const json_t *rule = shown_at(root, "drop_rules", 0);
    ck_assert_str_eq(shown_text(rule, "task"), "stage-frame");
    ck_assert_str_eq(shown_text(rule, "limit"), s.limits.limit[0].name);
    ck_assert(fabs(shown_number(rule, "over_without_rule") - d.price[0].over_without_rule) < 1e-12);
    json_decref(root);
    wr_str_clear(&out);
    wr_rules_buy_words(&result, &out);
    ck_assert_str_eq(out.text, "together the drop times take 2.0 of 100 off those over the limit excursion "
                               "(90 % interval 1.0 to 3.0)");
    d.price[0].all_rules = (struct wr_paired){-.02, -.03, -.01, .001, 0, 0, false};
    wr_str_clear(&out);
    wr_rules_buy_words(&result, &out);
    ck_assert_str_eq(out.text, "together the drop times add 2.0 of 100 to those over the limit excursion "
                               "(90 % interval 1.0 to 3.0)");
    d.price[0].all_rules = (struct wr_paired){.02, .0004, .03, .001, 0, 0, false}; /* more than none */
    wr_str_clear(&out);
    wr_rules_buy_words(&result, &out);
    ck_assert_str_eq(out.text, "together the drop times take 2.0 of 100 off those over the limit excursion "
                               "(90 % interval <0.1 to 3.0)");
    d.price[0].all_rules.se = .011; /* that the days' luck explains */
    wr_str_clear(&out);
    wr_rules_buy_words(&result, &out);
    ck_assert_str_eq(out.text, "together the drop times buy nothing that can be told apart for any limit");
    d.price[1].limit = 1; /* what they buy for another limit is no nothing */
    wr_str_clear(&out);
    wr_rules_buy_words(&result, &out);
    ck_assert_str_eq(out.text, "the drop time takes 2.0 of 100 off those over the limit EV2 consumables "
                                "(90 % interval 1.0 "
                               "to 3.0)");
    d.price[1].limit = 0;
    d.price[0].rule = (struct wr_paired){.004, .001, .012, .0005, 0, 0, false};
    d.price[1].rule = (struct wr_paired){.002, .001, .005, .0011, 0, 0, false}; /* within two errors of the trials */
    wr_str_clear(&out);
    wr_each_rule_words(&result, &out);
    WR_SCOPED_STR want = {0};
    wr_str_addf(&want, "each drop time alone: %s (excursion), fewer by 0.4 (0.1 to 1.2); and %s (excursion), fewer by "
                "0.2 (0.1 to 0.5), which only more trials can tell from none (--trials)",
                s.plan.task[d.price[0].task].title, s.plan.task[d.price[1].task].title);
    ck_assert_str_eq(out.text, want.text);
    d.price[0].all_rules = (struct wr_paired){.004, .001, .012, .0021, 0, 0, false};
    wr_str_clear(&out);
    wr_rules_buy_words(&result, &out);
    ck_assert_str_eq(out.text, "together the drop times: fewer by 0.4 (0.1 to 1.2) (excursion), which only more trials "
                               "can tell from none (--trials)");
    d.price[0].rule = d.price[1].rule = (struct wr_paired){0};
    wr_str_clear(&out);
    wr_each_rule_words(&result, &out);
    ck_assert_str_eq(out.text, "each drop time alone: nothing that can be told apart");
    d.price[0].all_rules = (struct wr_paired){.02, .0004, .03, .001, 0, 0, false};
    d.price[0].all_rules.se = .011; /* the days' luck is that large, and more trials are no answer: */
    d.price[0].all_rules.lo = -.001;
    wr_str_clear(&out);
    wr_rules_buy_words(&result, &out);
    ck_assert_str_eq(out.text, "together the drop times buy nothing that can be told apart for any limit");
    wr_str_clear(&out);
    wr_not_in_it_sentence(&s.context, &result, &out);
    ck_assert_ptr_nonnull(strstr(out.text, "(dropped on 8 of 100)"));
    ck_assert_ptr_nonnull(strstr(out.text, "With all of it done half of the finishes would come by"));
    for (size_t i = 0; i < d.n_price; i++) d.price[i].dropped = .004; /* all of it is done on every day, as shown */
    wr_str_clear(&out);
    wr_not_in_it_sentence(&s.context, &result, &out);
    ck_assert_uint_eq(out.len, 0);
    wr_str_clear(&out);
    ck_assert_int_eq(wr_show_forecast(WR_FORMAT_TABLE, &s.context, &result, &out, &err), WR_OK);
    ck_assert_uint_le(shown_width(out.text), 80);
    ck_assert_ptr_nonnull(strstr(out.text, "may be dropped"));
    d.price[1].rule.lo = NAN;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_show_forecast(WR_FORMAT_TABLE, &s.context, &result, &out, &err), WR_E_DOMAIN);
}
END_TEST

/* Counts of 100 may differ by rounding alone, or hide a gain: what leaving out buys goes by the gain on the same days.
 */
START_TEST(leaving_out_helps_where_the_gain_is_shown)
{
    make(28, SAMPLE_TAME);
    struct wr_forecast_result result = {
        .plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast, .price = d.price, .n_price = 1};
    d.price[0].over_with_rule = .1154;
    d.price[0].over_always_dropped = .1143;
    d.price[0].sooner = (struct wr_paired){.0011, .0001, .003, .0002, 0, 0, false};
    /* 12 and 11 of 100, and reads as 0.0 to 0.3 */
    for (size_t q = 0; q < WR_N_QUANTILE; q++) s.forecast.quantile_min[q] += 500; /* more is missing */
    wr_takes_sentence(&s.context, &result, &out);
    ck_assert_ptr_null(strstr(out.text, s.plan.task[d.price[0].task].title));
    wr_str_clear(&out);
    wr_always_dropped_words(&result, &out);
    ck_assert_str_eq(out.text, "always dropped, none of this is shown to lower the risk further");
    d.price[0].over_with_rule = .1148; /* 11 and 11 of 100 */
    d.price[0].over_always_dropped = .1068;
    d.price[0].sooner = (struct wr_paired){.008, .003, .014, .0005, 0, 0, false};
    wr_str_clear(&out);
    wr_takes_sentence(&s.context, &result, &out);
    ck_assert_ptr_nonnull(strstr(out.text, " Shown to lower the risk, left out from the start: "));
    ck_assert_ptr_nonnull(strstr(out.text, ", 11 of 100, fewer by 0.8 (0.3 to 1.4)."));
    wr_str_clear(&out); /* of two answers all of it is the first one's, and says so before the worse one speaks */
    const struct wr_present_second worse = {.limit = s.limits.limit[0].name, .needed_min = wr_known(900),
                                            .is.kind = WR_BESIDE_JUDGED_SHORT, .is.percent = 20};
    struct wr_present_context two = s.context;
    two.first_is = "as judged", two.second = &worse, two.n_second = 1;
    wr_takes_sentence(&two, &result, &out);
    const char *left_out = strstr(out.text, " Shown to lower the risk, left out from the start, as judged: ");
    const char *worst = strstr(out.text, " If judged 20 % short it takes 15:00.");
    ck_assert(left_out && worst && left_out < worst);
    wr_str_clear(&out);
    wr_always_dropped_words(&result, &out);
    ck_assert_ptr_nonnull(strstr(out.text, "shown to lower the risk further: "));
    ck_assert_ptr_nonnull(strstr(out.text, "), fewer by 0.8 (0.3 to 1.4)"));
}
END_TEST

/* How much less work would stand for a longer limit is not said: lanes that wait, and work that else is dropped, take
 * some of it. */
START_TEST(what_a_limit_lacks_is_said_of_the_limit_alone)
{
    make(28, SAMPLE_TAME);
    struct wr_forecast_result result = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};
    for (size_t q = 0; q < WR_N_QUANTILE; q++) s.forecast.quantile_min[q] += 500; /* more is missing */
    d.card.list[0].prob_over = .5;
    d.card.list[0].needed_min = d.card.list[0].limit.limit.minutes + 9;
    for (size_t k = 0; k < s.plan.n_task; k++) s.plan.task[k].drop_after_min = WR_UNKNOWN;
    wr_str_clear(&out);
    wr_takes_sentence(&s.context, &result, &out);
    ck_assert_ptr_nonnull(strstr(out.text, " more than there is"));
    ck_assert_ptr_null(strstr(out.text, ", or "));
    shown_as(ABOUT_CUTOFF, WR_FORMAT_TABLE);
    unfold();
    ck_assert_ptr_nonnull(strstr(out.text, ", 9 min more."));
}
END_TEST

START_TEST(numbers_that_are_none_are_errors)
{
    struct wr_error err = {0};

    make(28, SAMPLE_TAME);
    d.pad.task[3].pad_min = NAN;
    d.card.list[0].row[7].slack_min = INFINITY;
    d.whatif.row[0].limit[0].gain.hi = NAN;
    for (int about = 0; about < N_ABOUT; about++) {
        for (int format = WR_FORMAT_TABLE; format <= WR_FORMAT_JSON; format++) {
            ck_assert_int_eq(show((enum about)about, (enum wr_format)format, &err), WR_E_DOMAIN);
            ck_assert_uint_eq(out.len, 0);
        }
    }
}
END_TEST

Suite *suite_decision_views(void);
Suite *suite_decision_views(void)
{
    Suite *suite = suite_create("decision_views");
    TCase *t = tcase_create("decision_views");

    tcase_add_checked_fixture(t, NULL, done);
    tcase_add_test(t, tables_fit_a_terminal_and_are_calm);
    tcase_add_test(t, csv_is_whole);
    tcase_add_test(t, pad_has_the_keys_of_the_contract);
    tcase_add_test(t, pad_says_that_percentiles_do_not_add_up);
    tcase_add_test(t, pad_says_where_each_tasks_own_share_is_too_little);
    tcase_add_test(t, checkpoints_beyond_a_time_to_begin_by_are_marked);
    tcase_add_test(t, a_start_that_nothing_moves_is_certain);
    tcase_add_test(t, the_reserve_of_a_stretch_is_the_same_for_people_and_machines);
    tcase_add_test(t, pad_reads_the_clocks);
    tcase_add_test(t, pad_names_the_limits_of_its_times_to_begin_by);
    tcase_add_test(t, cutoff_has_the_keys_of_the_contract);
    tcase_add_test(t, update_says_what_the_day_has_shown);
    tcase_add_test(t, cutoffs_say_what_their_times_rest_on);
    tcase_add_test(t, a_limit_that_is_over_asks_for_the_report_it_lacks);
    tcase_add_test(t, notes_say_what_stands_behind_a_cutoff);
    tcase_add_test(t, the_card_marks_what_lies_beyond_the_simulated_range);
    tcase_add_test(t, what_opens_the_excursion_too_late_is_said_to_be);
    tcase_add_test(t, the_card_says_what_a_clock_makes_too_late);
    tcase_add_test(t, what_is_too_late_and_may_be_dropped_is_told_apart);
    tcase_add_test(t, nothing_open_is_no_chance);
    tcase_add_test(t, whatif_shows_the_paired_difference);
    tcase_add_test(t, an_alternative_that_helps_another_limit_is_named);
    tcase_add_test(t, an_alternative_is_called_what_its_interval_shows);
    tcase_add_test(t, a_limit_is_spoken_of_while_anything_runs);
    tcase_add_test(t, forecast_prices_the_drop_rules);
    tcase_add_test(t, leaving_out_helps_where_the_gain_is_shown);
    tcase_add_test(t, what_a_limit_lacks_is_said_of_the_limit_alone);
    tcase_add_test(t, numbers_that_are_none_are_errors);
    suite_add_tcase(suite, t);
    return suite;
}
