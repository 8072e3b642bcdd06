/* What charts say and draw is what the numbers are. */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "chart_script.h"
#include "wetrun/base/memory.h"
#include "../../../src/present/chart_glyphs.h"

/* ---- numbers and words ---- */

struct count {
    size_t inside, over;
};

static void count_dots(void *arg, const char *block, struct line line)
{
    struct count *n = arg;
    double x, y;
    int over;

    if (strcmp(block, "dots") != 0) return;
    REQUIRE(sscanf(line.at, "%lf\t%lf\t%d", &x, &y, &over) == 3, "no dot: %.*s", (int)line.n, line.at);
    n->over += over == 1;
    n->inside += over == 0;
}

START_TEST(rings_are_the_number_in_the_title)
{
    static const double over[] = {0, 0.002, 0.0049, 0.005, 0.093, 0.5, 0.994, 0.996, 1};
    struct chart_case c;
    struct wr_chart_words words = {0};
    struct wr_str script = {0};
    struct wr_chart_options o = {.width = 0};
    struct count n = {0, 0};

    chart_case_make(&c, &chart_usual);
    c.forecast.limit[0].over = (struct wr_probability){.mean = over[_i], .lo = over[_i], .hi = over[_i]};
    wr_chart_script(WR_CHART_FINISH, &c.input, &o, &script);
    chart_script_walk(script.text, count_dots, &n);
    wr_chart_words(WR_CHART_FINISH, &c.input, &words);
    ck_assert_uint_eq(n.inside + n.over, 100);
    if (over[_i] < 0.005)
        ck_assert_msg(strncmp(words.title.text, "Fewer than 1 of 100 ", 20) == 0, "%s", words.title.text);
    else if (over[_i] > 0.995)
        ck_assert_msg(strncmp(words.title.text, "More than 99 of 100 ", 20) == 0, "%s", words.title.text);
    else
        ck_assert_int_eq(atoi(words.title.text), (int)n.over);
    ck_assert_int_eq((int)n.over, (int)floor(100 * over[_i] + 0.5));
    wr_chart_words_release(&words);
    wr_str_release(&script);
    chart_case_release(&c);
}
END_TEST

static bool titled[WR_N_CHART]; /* charts whose title was held against its numbers, to the letter */

static void check_title(struct chart_case *c, enum wr_chart chart, const char *expected)
{
    struct wr_chart_words words = {0};

    titled[chart] = true;
    wr_chart_words(chart, &c->input, &words);
    ck_assert_str_eq(words.title.text, expected);
    ck_assert_uint_gt(words.subtitle.len, 0);
    ck_assert_uint_gt(words.alt.len, 0);
    wr_chart_words_release(&words);
}

START_TEST(titles_branch_on_the_numbers)
{
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    c.limits.limit[0].minutes = 390;
    c.forecast.limit[0].over = (struct wr_probability){.mean = 0.093, .lo = 0.0112, .hi = 0.192};
    check_title(&c, WR_CHART_FINISH,
                "9 of 100 forecast finishes go over the 6:30 limit, but it could be as few as 1 or as many as 19");
    c.forecast.limit[0].over = (struct wr_probability){.mean = 0.011, .lo = 0.0012, .hi = 0.031};
    check_title(&c, WR_CHART_FINISH,
                "1 of 100 forecast finishes goes over the 6:30 limit, but it could be fewer than 1 or as many as 3");
    c.forecast.limit[0].over = (struct wr_probability){.mean = 0.001, .lo = 0, .hi = 0.031};
    check_title(&c, WR_CHART_FINISH,
                "Fewer than 1 of 100 forecast finishes go over the 6:30 limit, but it could be as many as 3");
    c.forecast.limit[0].over = (struct wr_probability){.mean = 0.091, .lo = 0.089, .hi = 0.094};
    check_title(&c, WR_CHART_FINISH, "9 of 100 forecast finishes go over the 6:30 limit");
    c.forecast.quantile_min[4] = 350;
    c.forecast.quantile_min[6] = 374;
    c.forecast.quantile_min[8] = 400;
    c.input.limits = NULL;
    check_title(&c, WR_CHART_FINISH,
                "Half of the forecast finishes come by 5:50, 80 of 100 by 6:14, 95 of 100 by 6:40");

    for (size_t k = 0; k < c.forecast.n_task; k++) c.forecast.task[k].variance_share = 0.01;
    c.forecast.task[20].variance_share = 0.18;
    c.forecast.task[3].variance_share = 0.054;
    c.forecast.task[5].variance_share = 0.049;
    c.forecast.run_effect_share = 0.26;
    c.forecast.people_share = 0;
    c.forecast.parameter_share = 0.12;
    check_title(&c, WR_CHART_VARIANCE,
                "Three tasks carry 28 % of what makes the finish uncertain, a slow or fast day 26 %");
    c.forecast.run_effect_share = 0.31;
    check_title(&c, WR_CHART_VARIANCE,
                "A slow or fast day carries 31 % of what makes the finish uncertain, three tasks 28 %");
    c.forecast.parameter_share = 0.41; /* the largest part is named first, whichever it is */
    check_title(&c, WR_CHART_VARIANCE,
                "What is not yet known carries 41 % of what makes the finish uncertain, a slow or fast day 31 %");
    c.forecast.parameter_share = 0;
    for (size_t k = 0; k < c.forecast.n_task; k++) c.forecast.task[k].variance_share = -0.001; /* Monte Carlo noise */
    c.forecast.run_effect_share = 0;
    check_title(&c, WR_CHART_VARIANCE, "No single task makes the finish uncertain");

    c.forecast.lens_min[1] = 318;
    c.forecast.lens_min[5] = 388;
    c.forecast.lane[0].waiting_min = 11;
    c.forecast.lane[1].waiting_min = 35.2;
    check_title(&c, WR_CHART_LANES,
                "Both lanes finish together between 5:18 and 6:28, 8 times in 10; “EV2” waits longest, 35 min in all");
    c.plan.task[27].lanes = 1;
    c.forecast.lane[0].finish_p50_min = 350;
    c.forecast.lane[1].finish_p50_min = 320;
    check_title(&c, WR_CHART_LANES,
                "Both lanes are done between 5:18 and 6:28, 8 times in 10; usually “EV1” is last, and "
                "“EV2” waits longest, 35 min in all");
    chart_case_release(&c);
    struct chart_case_options three = chart_usual; /* two of three end with one task: both are last */
    three.n_lane = 3;
    chart_case_make(&c, &three);
    for (size_t k = 24; k < 28; k++) c.plan.task[k].lanes = k == 27 ? 3 : 4;
    c.forecast.lens_min[1] = 318;
    c.forecast.lens_min[5] = 388;
    for (size_t l = 0; l < 3; l++) {
        c.forecast.lane[l].finish_p50_min = l < 2 ? 350 : 320;
        c.forecast.lane[l].waiting_min = l == 2 ? 35.2 : 11;
    }
    check_title(&c, WR_CHART_LANES,
                "Three lanes are done between 5:18 and 6:28, 8 times in 10; usually “EV1” and “EV2” are last, and "
                "“EV3” waits longest, 35 min in all");
    chart_case_release(&c);
}
END_TEST

START_TEST(titles_of_what_is_drawn_beside_the_forecast)
{
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    for (size_t k = 0; k < c.forecast.n_task; k++) c.forecast.task[k].variance_share = 0.01;
    c.forecast.task[3].variance_share = 0.18;
    c.forecast.task[3].lens_min[WR_LENS10] = 12;
    c.forecast.task[3].lens_min[WR_LENS90] = 19;
    check_title(&c, WR_CHART_TASKS,
                "“Unplug worn-out module A” is the task that makes the finish most uncertain (18 % of it): 12 to 19 "
                "min, 8 times in 10");
    c.forecast.quantile_lo_min[WR_Q90] = 365;
    c.forecast.quantile_hi_min[WR_Q90] = 402;
    c.input.confidence = wr_known(0.9); /* the limit wanted is the 90 % point of the finish */
    check_title(&c, WR_CHART_LIMIT, "The rehearsals put the limit that 90 in 100 keep anywhere from 6:05 to 6:42");

    for (size_t k = 0; k < c.pad.n_task; k++) c.pad.task[k].planned_min = wr_known(1000);
    c.pad.task[4].planned_min = WR_UNKNOWN;
    c.pad.task[5] = (struct wr_pad_task){.median_min = 20, .pad_min = 4, .planned_min = wr_known(22)};
    c.pad.task[6] = (struct wr_pad_task){.median_min = 30, .pad_min = 0, .planned_min = wr_known(25)};
    c.pad.median_timeline_min = 340;
    c.pad.finish_quantile_min = 363;
    c.pad.confidence = 0.9;
    check_title(&c, WR_CHART_PAD,
                "The timeline needs 23 min of reserve for 90 % confidence; 2 of 27 planned times are shorter than "
                "median and pad");
    struct wr_chart_words words = {0};
    wr_chart_words(WR_CHART_PAD, &c.input, &words); /* a disc is drawn for every task, without a pad on its tick */
    ck_assert_ptr_nonnull(strstr(words.subtitle.text, "there is no pad, and the disc lies on the tick"));
    wr_chart_words_release(&words);

    c.cutoff.list[0].limit = (struct wr_cutoff_limit){{.minutes = 390}, 0.9};
    for (size_t i = 0; i < c.cutoff.n_row; i++)
        c.cutoff.list[0].row[i] = (struct wr_cutoff_row){.task = i, .reason = WR_CUTOFF_FOUND, .share_in_time = 0.95,
                                                         .typical_start_min = 100, .latest_start_min = 110,
                                                         .slack_min = 10};
    check_title(&c, WR_CHART_CUTOFF,
                "Begun later than its bold time, a task leaves 6:30 less sure than the 90 % wanted");
    for (size_t i = 0; i < c.cutoff.n_row; i++) {
        c.cutoff.list[0].row[i].beyond_range = true; /* begun later it may be as sure still */
        if (i != 3) continue;
        check_title(&c, WR_CHART_CUTOFF,
                    "Begun later than its bold time, unless a * marks it, a task leaves 6:30 less sure than the 90 % "
                    "wanted");
    }
    check_title(&c, WR_CHART_CUTOFF, "Until its bold time at least, a task leaves 6:30 as sure as the 90 % wanted");
    for (size_t i = 0; i < c.cutoff.n_row; i++) c.cutoff.list[0].row[i].beyond_range = false;
    c.cutoff.list[0].row[8].latest_start_min = 90;
    c.cutoff.list[0].row[8].slack_min = -10;
    check_title(&c, WR_CHART_CUTOFF,
                "Begun later than its bold time, a task leaves 6:30 less sure than the 90 % wanted; one of the bold "
                "times lies before the usual start");
    c.cutoff.list[0].row[9].latest_start_min = 90;
    c.cutoff.list[0].row[9].slack_min = -10;
    check_title(&c, WR_CHART_CUTOFF,
                "Begun later than its bold time, a task leaves 6:30 less sure than the 90 % wanted; two of the bold "
                "times lie before the usual start");
    for (size_t i = 8; i < 10; i++) {
        c.cutoff.list[0].row[i].latest_start_min = 110;
        c.cutoff.list[0].row[i].slack_min = 10;
    }
    c.cutoff.list[0].row[8].drop_rule_first = true;
    check_title(&c, WR_CHART_CUTOFF,
                "Begun later than its bold time, a task is dropped, where that is its drop time, or leaves 6:30 less "
                "sure than the 90 % wanted");
    c.cutoff.list[0].row[8].drop_rule_first = false;
    c.cutoff.list[0].row[7].reason = WR_CUTOFF_NEVER;
    check_title(&c, WR_CHART_CUTOFF,
                "Begun later than its bold time, a task leaves 6:30 less sure than the 90 % wanted; one task has no "
                "start early enough");
    c.cutoff.list[0].row[1].reason = WR_CUTOFF_NEVER; /* of what the excursion begins with as well */
    c.cutoff.list[0].row[1].typical_start_min = 0;
    check_title(&c, WR_CHART_CUTOFF,
                "Begun later than its bold time, a task leaves 6:30 less sure than the 90 % wanted; two tasks have no "
                "start early enough");

    c.backtest.leave_one_out.n_forecast = 12;
    c.backtest.leave_one_out.n_inside80 = 9;
    c.backtest.leave_one_out.prob_so_few80 = 0.44; /* the sum of C(12, i) 0.8^i 0.2^(12 - i) for i to 9 */
    check_title(&c, WR_CHART_BACKTEST,
                "9 of 12 complete rehearsals fell inside their 80 % band: no sign against the forecast");
    c.comparison.length_trend = (struct wr_trend){.known = true, .n_run = 9, .slope_log = -0.1,
                                                  .lo = -0.15, .hi = -0.05,
                                                  .per_doubling_lo = -0.1, .per_doubling_hi = -0.03};
    check_title(&c, WR_CHART_RUNS, "Rehearsals get shorter, by 3.0 % to 10 % with each doubling of their number");
    for (size_t k = 0; k < c.comparison.n_task; k++) c.comparison.task_trend[k].told = k == 1 || k == 2 || k == 5;
    c.comparison.task_trend[5].line.slope_log = 0.05;
    check_title(&c, WR_CHART_CONVERGE,
                "Of 28 tasks two get shorter and one gets longer beyond chance, all looked at together; of the others "
                "no trend is shown");
    check_title(&c, WR_CHART_SERIES,
                "Take the new camera head out to the docking ring is the tightest: it goes over its limit in 16 of "
                "100");
    chart_case_release(&c);
}
END_TEST

/* The title goes by the minutes; a pace that goes elsewhere is said in the caption and to those who do not see it. */
START_TEST(pace_beside_the_length_in_the_chart_of_the_runs)
{
    const struct chart_case_options six = {.n_task = 10, .n_lane = 2, .n_run = 6, .spread = 1};
    const char *both = " With each doubling of rehearsals times change by \u22125.3 %, each task counted alike; their "
                       "minutes together by +0.6 %.";
    struct chart_case c;

    chart_case_make(&c, &six);
    c.comparison.length_trend = (struct wr_trend){true, 6, .01, -.03, .05, .006, -.02, .03, 0};
    for (int parted = 0; parted < 2; parted++) {
        struct wr_chart_words w = {0};
        c.comparison.trend = (struct wr_trend){true, 6, -.08, -.1, parted ? -.05 : .05, -.053, -.07,
                                                 parted ? -.03 : .03, 0};
        wr_chart_words(WR_CHART_RUNS, &c.input, &w);
        ck_assert_ptr_nonnull(strstr(w.title.text, "No trend is shown"));
        ck_assert_msg((strstr(w.subtitle.text, both) != NULL) == parted, "%s", w.subtitle.text);
        ck_assert_msg((strstr(w.alt.text, both) != NULL) == parted, "%s", w.alt.text);
        wr_chart_words_release(&w);
    }
    chart_case_release(&c);
}
END_TEST

/* Of three rehearsals nothing is said but how long they took. */
START_TEST(three_rehearsals_are_too_few_for_a_trend)
{
    const struct chart_case_options three = {.n_task = 10, .n_lane = 2, .n_run = 3, .spread = 1};
    struct wr_chart_words w = {0};
    struct chart_case c;

    chart_case_make(&c, &three);
    c.comparison.trend = c.comparison.length_trend = (struct wr_trend){.n_run = 3};
    wr_chart_words(WR_CHART_RUNS, &c.input, &w);
    ck_assert_msg(strncmp(w.title.text, "Three rehearsals took ", 22) == 0, "%s", w.title.text);
    ck_assert_msg(strstr(w.title.text, ": too few for a trend") != NULL, "%s", w.title.text);
    ck_assert_ptr_null(strstr(w.subtitle.text, "With each doubling"));
    wr_chart_words_release(&w);
    chart_case_release(&c);
}
END_TEST

/* Overlapping intervals, or two answers that name different ones, leave open which is the worst. */
START_TEST(the_tightest_of_a_series_is_named_only_where_it_is_known)
{
    struct wr_series_over worse[3];
    struct wr_series_leg_result leg[3];
    struct wr_series second = {.n_leg = 3, .leg = leg};
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    for (int e = 0; e < 3; e++) {
        static const char *const name[] = {"One", "Two", "Three"};
        c.leg_name[e].excursion = name[e];
        double over = 0.05 * e;
        c.leg_over[e] = (struct wr_series_over){.with = over, .with_lo = over - 0.01, .with_hi = over + 0.02};
        worse[e] = (struct wr_series_over){.with = 0.3 - 0.1 * e, .with_lo = 0.02, .with_hi = 0.9};
        leg[e] = c.leg[e];
        leg[e].over = &worse[e];
    }
    c.series_view.has_interval = true;
    check_title(&c, WR_CHART_SERIES, "Three is the tightest: it goes over its limit in 10 of 100 (9 to 12)");
    c.leg_name[1].n_limit = 2; /* the second is not drawn */
    check_title(&c, WR_CHART_SERIES,
                "Three is the tightest by the first limits: it goes over its own in 10 of 100 (9 to 12)");
    c.leg_name[1].n_limit = 1;
    c.leg_over[1].with_hi = 0.095;
    check_title(&c, WR_CHART_SERIES,
                "Which excursion is the tightest cannot be told: Three goes over its limit in 10 of 100 (9 to 12)");
    c.leg_over[1].with_hi = 0.07;
    c.series_view.worse = &second;
    check_title(&c, WR_CHART_SERIES,
                "Which excursion is the tightest cannot be told: Three goes over its limit in 10 of 100 (9 to 12), by "
                "the worse of two answers One in 30 of 100 (2 to 90)");
    chart_case_release(&c);
}
END_TEST

static const struct wr_present_second judged_short = {
    .limit = "excursion",
    .confidence = {.known = true, .value = 0.9},
    .is = {.known = true,
           .kind = WR_BESIDE_JUDGED_SHORT,
           .percent = 20,
           .over = {.mean = 0.23, .lo = 0.002, .hi = 0.7}},
    .needed_min = {.known = true, .value = 380},
};
static const struct wr_present_context spoken_against = {
    .has_target = true,
    .n_run = 9,
    .n_complete_run = 9,
    .confidence = {.known = true, .value = 0.9},
    .doubt = "Doubtful, for it rests on this: a clock that ran backwards.",
    .modelled = "--learning off",
    .second = &judged_short,
    .n_second = 1,
    .first_is = "as judged",
    .second_words = "So there are two answers.",
};

/* Where the words hold several answers, a picture draws them or says under its title which one it draws. */
static void check_answers_drawn(const struct chart_case *c)
{
    for (int chart = 0; chart < WR_N_CHART; chart++) {
        struct wr_chart_words w = {0};
        bool itself = chart == WR_CHART_SERIES || chart == WR_CHART_LIMIT;
        if (!wr_chart_is_forecast((enum wr_chart)chart) || wr_chart_missing((enum wr_chart)chart, &c->input)) continue;
        wr_chart_words((enum wr_chart)chart, &c->input, &w);
        const char *first = "Drawn is the first of two answers, as judged.";
        ck_assert_msg(itself || strstr(w.subtitle.text, first) != NULL, "%s", w.subtitle.text);
        ck_assert_msg(itself || strstr(w.alt.text, first) != NULL, "%s", w.alt.text);
        if (chart == WR_CHART_LIMIT)
            ck_assert_msg(strstr(w.subtitle.text, "Dashed edges: 90 % interval by both answers") != NULL, "%s",
                          w.subtitle.text);
        wr_chart_words_release(&w);
    }
}

/* Every picture of a forecast says by itself of what it is one, what is doubtful of it, and the worse of two
 * answers. */
START_TEST(what_speaks_against_a_forecast_is_on_its_chart)
{
    struct chart_case c;
    struct wr_present_context carried = spoken_against;
    size_t n = 0;

    chart_case_make(&c, &chart_usual);
    c.forecast.limit[0].over = (struct wr_probability){.mean = 0.03, .lo = 0.002, .hi = 0.21};
    c.input.context = &carried;
    c.input.cutoff.second = &judged_short.is;
    c.input.cutoff.over = &c.forecast.limit[0].over;
    c.input.cutoff.limit_name = &judged_short.limit;
    for (int target = 0; target < 2; target++) {
        c.input.target = target ? WR_FOR_EXCURSION : WR_FOR_REHEARSAL;
        carried.target = c.input.target;
        carried.has_carry_over = target; /* then what was rehearsed is at another pace than what is forecast */
        for (int chart = 0; chart < WR_N_CHART; chart++) {
            struct wr_chart_words w = {0};
            struct wr_chart_options o = {.width = 0};
            struct wr_str both = {0}, script = {0};
            wr_chart_words((enum wr_chart)chart, &c.input, &w);
            wr_chart_script((enum wr_chart)chart, &c.input, &o, &script);
            const char *name = wr_chart_name((enum wr_chart)chart), *about = wr_str_text(&w.about);
            if (chart == WR_CHART_TASKS)
                ck_assert_int_eq(strstr(w.subtitle.text, "Rings: rehearsals, at pool pace, which") != NULL, target);
            ck_assert_int_eq(w.about.len > 0, wr_chart_is_forecast((enum wr_chart)chart));
            wr_str_addf(&both, "%s%s", w.subtitle.text, about);
            ck_assert_msg((strstr(both.text, "Not the usual model: --learning off.") != NULL) ==
                              (w.about.len > 0 || chart == WR_CHART_BACKTEST),
                          "%s", name);
            wr_str_clear(&both);
            if (w.about.len > 0) {
                n++;
                wr_str_addf(&both, "%s %s", w.title.text, about);
                ck_assert_msg(strstr(about, "a clock that ran backwards") != NULL, "%s: %s", name, about);
                bool series = chart == WR_CHART_SERIES; /* its second answer is its own */
                const char *of = target ? "the excursion." : "the next rehearsal, at pool pace.";
                ck_assert_msg(strstr(about, series ? "Forecast of " : of) != NULL, "%s: %s", name, about);
                ck_assert_msg(series || strstr(both.text, "if judged 20 % short 23 of 100 go over (<1 to 70)") != NULL,
                              "%s: %s", name, both.text);
                ck_assert_msg(strstr(w.alt.text, about) != NULL, "%s: %s", name, w.alt.text);
                ck_assert_msg(strstr(script.text, "a clock that ran backwards") != NULL, "%s", name);
            }
            /* what is passed on alone carries the caution; the page has its own */
            ck_assert_msg((strstr(script.text, "Decision support only: ") != NULL) == (w.about.len > 0), "%s", name);
            o.bare = true;
            wr_str_clear(&script);
            wr_chart_script((enum wr_chart)chart, &c.input, &o, &script);
            ck_assert_msg(strstr(script.text, "Decision support only") == NULL, "%s", name);
            WR_STR_RELEASE(&both, &script);
            wr_chart_words_release(&w);
        }
    }
    ck_assert_uint_ge(n, 2 * 8);
    c.forecast.limit[0].over = (struct wr_probability){.mean = 0.03, .lo = 0.002, .hi = 0.21};
    c.limits.limit[0].minutes = 330;
    c.input.confidence = wr_known(0.9);
    c.forecast.quantile_lo_min[WR_Q90] = 252;
    c.forecast.quantile_hi_min[WR_Q90] = 417;
    check_title(&c, WR_CHART_LIMIT,
                "The rehearsals and the earlier excursions put the limit that 90 in 100 keep anywhere from 4:12 to "
                "6:57 by the first of two answers");
    struct wr_chart_words w = {0};
    wr_chart_words(WR_CHART_LIMIT, &c.input, &w);
    ck_assert_msg(
        strstr(w.subtitle.text, "90 % interval, what the rehearsals and the earlier excursions leave open.") != NULL,
        "%s", w.subtitle.text);
    wr_chart_words_release(&w);
    carried.has_carry_over = false; /* pool times are taken at face value */
    check_title(&c, WR_CHART_LIMIT,
                "The rehearsals put the limit that 90 in 100 keep anywhere from 4:12 to 6:57 by the first of two "
                "answers");
    c.input.timing = NULL; /* nothing that was not rehearsed is a finding of rehearsals */
    check_title(&c, WR_CHART_LIMIT,
                "Judgement puts the limit that 90 in 100 keep anywhere from 4:12 to 6:57 by the first of two answers");
    const struct wr_forecast judged = c.forecast;
    c.forecast.worse[0] = c.forecast.worse[1] = &judged; /* whose ends the interval then spans */
    c.forecast.n_worse = 1;
    check_title(&c, WR_CHART_LIMIT, "The limit that 90 in 100 keep lies anywhere from 4:12 to 6:57 by both answers");
    check_answers_drawn(&c);
    c.forecast.n_worse = 2;
    check_title(&c, WR_CHART_LIMIT,
                "The limit that 90 in 100 keep lies anywhere from 4:12 to 6:57 by all four answers");
    c.forecast.n_worse = 0;
    check_title(&c, WR_CHART_FINISH,
                "3 of 100 forecast finishes go over the 5:30 limit, but it could be fewer than 1 or as many as 21; if "
                "judged 20 % short 23 of 100 go over (<1 to 70)");
    chart_case_release(&c);
}
END_TEST

/* The card promises no limit that the worse answer does not bear; from outside or from a slow day is another time; and
 * what nobody reported is no promise either. */
START_TEST(a_card_says_what_its_times_rest_on)
{
    struct wr_second second = judged_short.is;
    struct wr_now_fact fact = {.kind = WR_FACT_TOOK, .over = true};
    struct wr_update update = {.fact = &fact};
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    c.cutoff.list[0].limit = (struct wr_cutoff_limit){{.minutes = 390}, 0.9};
    c.cutoff.list[0].prob_over = 0.03;
    for (size_t i = 0; i < c.cutoff.n_row; i++)
        c.cutoff.list[0].row[i] = (struct wr_cutoff_row){.task = i, .reason = WR_CUTOFF_FOUND, .share_in_time = 0.95,
                                                         .typical_start_min = 100, .latest_start_min = 110,
                                                         .slack_min = 10};
    c.input.cutoff.second = &second;
    c.input.cutoff.limit_name = &judged_short.limit;
    check_title(&c, WR_CHART_CUTOFF,
                "By the first of two answers, begun later than its bold time, a task leaves 6:30 less sure than the "
                "90 % wanted; by the worse one the plan does, even begun on time");
    second.over.mean = 0.09; /* within the 10 of 100 that are allowed */
    check_title(&c, WR_CHART_CUTOFF,
                "Begun later than its bold time, a task leaves 6:30 less sure than the 90 % wanted");
    c.input.cutoff.imposed = true;
    check_title(&c, WR_CHART_CUTOFF,
                "For a delay from outside alone, never for a slow day: begun later than its bold time, a task leaves "
                "6:30 less sure than the 90 % wanted");
    c.input.cutoff.imposed = false;
    c.input.cutoff.update = &update;
    update.state.now_min = 245;
    check_title(&c, WR_CHART_CUTOFF,
                "Begun later than its bold time, a task leaves 6:30 less sure than the 90 % wanted; “excursion” is "
                "gone over");
    struct wr_chart_words w = {0};
    wr_chart_words(WR_CHART_CUTOFF, &c.input, &w);
    ck_assert_msg(strstr(w.about.text, "Card of 4:05: what was reported by then is in it.") != NULL, "%s",
                  w.about.text);
    wr_chart_words_release(&w);
    fact.kind = WR_FACT_NONE; /* a day that is late is not the plan's fault */
    second.over.mean = 0.23;
    check_title(&c, WR_CHART_CUTOFF,
                "By the first of two answers, begun later than its bold time, a task leaves 6:30 less sure than the "
                "90 % wanted; by the worse one the day does as it stands now");
    c.cutoff.list[0].prob_over = 0.3;
    check_title(&c, WR_CHART_CUTOFF, "As it stands now, the day leaves 6:30 less sure than the 90 % wanted");
    fact.kind = WR_FACT_TOOK;
    const struct wr_present_context context = {.n_run = 9};
    c.input.context = &context;
    wr_chart_words(WR_CHART_CUTOFF, &c.input, &w);
    static const char said[] = "excursion, 6:30, wanted inside in 90 of 100: took 0:00: over it, by less than is "
                               "shown. Of 100 days on which a task begins exactly at its bold time about as many go "
                               "over the limit that sets it as may: 10 over excursion. ";
    ck_assert_msg(strstr(w.about.text, said) != NULL, "%s", w.about.text);
    wr_chart_words_release(&w);
    chart_case_release(&c);
}
END_TEST

/* A task that is too late on elapsed time and on a clock is one task; a bold time on a clock is one as well. */
START_TEST(a_card_counts_tasks_and_every_bold_time)
{
    const char *const name[] = {"excursion", "line cold"};
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    const size_t n = c.cutoff.n_row;
    WR_SCOPED struct wr_cutoff_row *row = WR_NEW_ARRAY(struct wr_cutoff_row, 2 * n);
    struct wr_cutoff_list list[] = {{.limit = {{.minutes = 390}, 0.9}, .prob_over = 0.3, .row = row},
                                    {.limit = {{.is_clock = true, .from = 3, .to = 7, .minutes = 60}, 0.9},
                                     .prob_over = 0.3,
                                     .row = row + n}};
    for (size_t i = 0; i < 2 * n; i++)
        row[i] = (struct wr_cutoff_row){.task = i % n, .reason = i < n ? WR_CUTOFF_FOUND : WR_CUTOFF_NOT_BEFORE_LIMIT,
                                        .share_in_time = 0.95, .typical_start_min = 100, .latest_start_min = 110,
                                        .slack_min = 10};
    row[5].reason = row[n + 5].reason = row[n + 6].reason = WR_CUTOFF_NEVER;
    row[n + 4].reason = row[n + 7].reason = WR_CUTOFF_FOUND;
    row[n + 4].slack_min = row[8].slack_min = -10;
    row[n + 4].latest_start_min = row[8].latest_start_min = 90;
    struct wr_cutoff_list *own = c.cutoff.list;
    c.cutoff.list = list;
    c.cutoff.n_limit = 2;
    c.input.cutoff.limit_name = name;
    check_title(&c, WR_CHART_CUTOFF,
                "Even begun on time, the plan leaves a limit less sure than is wanted; two tasks have no start early "
                "enough; two of the bold times lie before the usual start");
    struct wr_chart_words w = {0};
    wr_chart_words(WR_CHART_CUTOFF, &c.input, &w);
    ck_assert_msg(strstr(w.subtitle.text, "Bold is the latest start that leaves the limit as sure as is wanted."), "%s",
                  w.subtitle.text);
    ck_assert_msg(strstr(w.alt.text, "“line cold”, 1:00, wanted inside in 90 of 100. "), "%s", w.alt.text);
    wr_chart_words_release(&w);
    c.cutoff.list = own;
    chart_case_release(&c);
}
END_TEST

START_TEST(every_chart_has_a_title_held_against_its_numbers)
{
    titles_branch_on_the_numbers->fn(0);
    a_card_counts_tasks_and_every_bold_time->fn(0);
    titles_of_what_is_drawn_beside_the_forecast->fn(0);
    for (int chart = 0; chart < WR_N_CHART; chart++)
        ck_assert_msg(titled[chart], "no test says what the title of the chart '%s' says of given numbers",
                      wr_chart_name((enum wr_chart)chart));
}
END_TEST

struct trend_ends {
    double first[4], last[4];
    double at_order[8]; /* minutes of the line at the whole ones */
    size_t n;
};

static void keep_ends(void *arg, const char *block, struct line line)
{
    struct trend_ends *ends = arg;
    double v[4];

    if (strcmp(block, "trend") != 0) return;
    ck_assert_int_eq(sscanf(line.at, "%lf\t%lf\t%lf\t%lf", &v[0], &v[1], &v[2], &v[3]), 4);
    memcpy(ends->n++ ? ends->last : ends->first, v, sizeof v);
    if (v[0] == floor(v[0]) && v[0] < 8) ends->at_order[(size_t)v[0]] = v[1];
}

/* Expected values from R 4.2: f <- lm(effect ~ log(1:6)), confint(f, level = .9), and
 * 360 * exp(predict(f, data.frame(x = log(c(1, 7))), interval = "confidence", level = .9)) */
START_TEST(trend_has_the_band_of_a_fitted_line)
{
    static const double length[6] = {0.11, 0.02, 0.05, -0.04, -0.09, -0.05};
    const struct chart_case_options six = {.n_task = 10, .n_lane = 2, .n_run = 6, .spread = 1};
    struct wr_chart_options o = {.width = 0};
    struct trend_ends ends = {.n = 0};
    struct wr_str script = {0};
    struct chart_case c;

    chart_case_make(&c, &six);
    for (size_t r = 0; r < 6; r++) {
        c.comparison.run[r].length = wr_known(length[r]);
        c.timing.run[r].complete = true;
        c.timing.run[r].finish_without_holds_min = 360 * exp(length[r]);
    }
    c.comparison.length_trend = (struct wr_trend){.known = true, .n_run = 6, .level_log = 0.110427042620,
                                                  .slope_log = -0.100704811896, .lo = -0.151239248221,
                                                  .hi = -0.0501703755704};
    wr_chart_script(WR_CHART_RUNS, &c.input, &o, &script);
    chart_script_walk(script.text, keep_ends, &ends);
    ck_assert_double_eq(ends.first[0], 1);
    ck_assert_double_eq(ends.last[0], 7);
    ck_assert_double_eq_tol(ends.first[1], 402.0317534, 1e-4); /* the script has eight digits */
    ck_assert_double_eq_tol(ends.first[2], 377.3773214, 1e-4);
    ck_assert_double_eq_tol(ends.first[3], 428.2968837, 1e-4);
    ck_assert_double_eq_tol(ends.last[1], 330.4874079, 1e-4);
    ck_assert_double_eq_tol(ends.last[2], 313.5232344, 1e-4);
    ck_assert_double_eq_tol(ends.last[3], 348.3694822, 1e-4);
    /* its height is the middle one of the complete ones, whatever the lengths of the others say; of three it is a
     * matter of their days' luck, and there is no line */
    struct wr_chart_words w = {0};
    double apart_log = 0;
    ends.n = 0;
    for (size_t r = 0; r < 2; r++) c.timing.run[r].complete = false;
    wr_str_clear(&script);
    wr_chart_script(WR_CHART_RUNS, &c.input, &o, &script);
    chart_script_walk(script.text, keep_ends, &ends);
    for (size_t r = 2; r < 6; r++) apart_log += log(c.timing.run[r].finish_without_holds_min / ends.at_order[r + 1]);
    ck_assert_double_eq_tol(apart_log, 0, 1e-5);
    ends.n = 0;
    c.timing.run[2].complete = false;
    wr_str_clear(&script);
    wr_chart_script(WR_CHART_RUNS, &c.input, &o, &script);
    chart_script_walk(script.text, keep_ends, &ends);
    ck_assert_uint_eq(ends.n, 0);
    wr_chart_words(WR_CHART_RUNS, &c.input, &w);
    ck_assert_ptr_nonnull(strstr(w.subtitle.text, "No line: fewer than four complete rehearsals"));
    wr_chart_words_release(&w);
    wr_str_release(&script);
    chart_case_release(&c);
}
END_TEST

/* How many rows of numbers a block holds. */
static size_t rows_of_block(const char *script, const char *name)
{
    char head[64];
    size_t n = 0;

    snprintf(head, sizeof head, "$%s << ", name);
    const char *at = strstr(script, head);
    ck_assert_msg(at != NULL, "no block %s", name);
    for (at = strchr(at, '\n') + 1; *at && strncmp(at, "end_of_", 7) != 0; at = strchr(at, '\n') + 1)
        n += at[0] != '\n';
    return n;
}

START_TEST(tasks_that_settle_come_first_and_are_counted)
{
    const struct wr_chart_options o = {.width = 0};
    struct wr_chart_words w = {0};
    struct wr_str script = {0};
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    size_t told = 0, done = 0;
    for (size_t k = 0; k < c.plan.n_task; k++) told += c.comparison.task_trend[k].told;
    ck_assert_uint_ge(told, 6); /* so that all nine panels but at most three show them */
    wr_chart_words(WR_CHART_CONVERGE, &c.input, &w);
    ck_assert_msg(strstr(wr_str_text(&w.title),
                         "get shorter beyond chance, all looked at together; of the others no trend is shown") != NULL,
                  "%s", w.title.text);
    wr_chart_script(WR_CHART_CONVERGE, &c.input, &o, &script);
    ck_assert_uint_eq(rows_of_block(script.text, "trend"), 9 * 25);
    done = rows_of_block(script.text, "done") + rows_of_block(script.text, "stopped");
    ck_assert_uint_le(done, 9 * c.timing.n_run);
    ck_assert_uint_ge(done, 9 * c.timing.n_run - 9);
    wr_str_clear(&w.title);
    for (size_t k = 0; k < c.plan.n_task; k++) c.comparison.task_trend[k].told = false;
    wr_chart_words_release(&w);
    w = (struct wr_chart_words){0};
    wr_chart_words(WR_CHART_CONVERGE, &c.input, &w);
    ck_assert_msg(strstr(wr_str_text(&w.title), "No single task is shown to get shorter or longer") != NULL, "%s",
                  w.title.text);
    c.input.comparison = NULL;
    ck_assert_ptr_nonnull(wr_chart_missing(WR_CHART_CONVERGE, &c.input));
    wr_chart_words_release(&w);
    wr_str_release(&script);
    chart_case_release(&c);
}
END_TEST

START_TEST(what_lies_beyond_the_simulated_range_is_marked)
{
    struct chart_case c;
    struct wr_chart_words words = {0};
    struct wr_str script = {0};
    struct wr_chart_options o = {.width = 0};

    chart_case_make(&c, &chart_usual);
    for (int marked = 0; marked < 2; marked++) {
        for (size_t l = 0; l < c.cutoff.n_limit; l++)
            for (size_t i = 0; i < c.cutoff.n_row; i++) c.cutoff.list[l].row[i].beyond_range = marked;
        wr_chart_words(WR_CHART_CUTOFF, &c.input, &words);
        wr_str_clear(&script);
        wr_chart_script(WR_CHART_CUTOFF, &c.input, &o, &script);
        ck_assert_int_eq(strstr(words.subtitle.text, "*: at least until then, for hardly a day") != NULL, marked);
        ck_assert_int_eq(strstr(words.alt.text, "*: at least until then, for hardly a day") != NULL, marked);
        ck_assert_int_eq(strstr(script.text, "*\n") != NULL, marked);
        wr_chart_words_release(&words);
    }
    wr_str_release(&script);
    chart_case_release(&c);
}
END_TEST

/* A joint task says so in each of its lanes; a title that is too long is cut before that goes. */
START_TEST(joint_tasks_say_who_in_every_lane)
{
    struct chart_case c;
    struct wr_str script = {0};
    struct wr_chart_options o = {.width = 0};
    size_t expected = 0, said = 0;

    chart_case_make(&c, &chart_usual);
    for (size_t k = 0; k < c.plan.n_task; k++)
        if (c.plan.task[k].n_lane > 1 && c.forecast.task[k].dropped <= 0.5) expected += c.plan.task[k].n_lane;
    wr_chart_script(WR_CHART_LANES, &c.input, &o, &script);
    for (const char *at = script.text; (at = strstr(at, "both: ")) != NULL; at++) said++;
    ck_assert_uint_gt(expected, 0);
    ck_assert_uint_eq(said, expected);
    wr_str_release(&script);
    chart_case_release(&c);
}
END_TEST

/* Beside the course a name stands before the limit's line or behind it: none begins so little before it that the line
 * goes through it. */
START_TEST(names_keep_off_the_line_of_the_limit)
{
    struct chart_case c;
    WR_SCOPED_STR script = {0};
    struct wr_chart_options o = {.width = 0};
    size_t n = 0;

    chart_case_make(&c, &chart_usual);
    for (double minutes = 150; minutes <= 330; minutes += 2) {
        double limit_px = NAN;
        c.limits.limit[0].minutes = minutes;
        wr_str_clear(&script);
        wr_chart_script(WR_CHART_LANES, &c.input, &o, &script);
        const char *notes = strstr(script.text, "$notes <<"), *end = strstr(notes, "\nend_of_notes");
        for (int look = 0; look < 2; look++) { /* for the line, then for what begins beside it */
            for (const char *at = notes; (at = strchr(at, '\n')) < end;) {
                int style;
                double x, y;
                char said[32];
                if (sscanf(++at, "%d\t%lf\t%lf\t%31[^\n]", &style, &x, &y, said) != 4) continue;
                if (strncmp(said, "limit ", 6) == 0) limit_px = x;
                if (look == 0 || style % 3 != 0) continue; /* that do not begin at x */
                ck_assert_msg(x <= limit_px - 40 || x >= limit_px, "%s begins at %g, the limit is at %g", said, x,
                              limit_px);
                n++;
            }
        }
    }
    ck_assert_uint_gt(n, 1000);
    chart_case_release(&c);
}
END_TEST

START_TEST(what_is_missing_is_said)
{
    struct chart_case c;
    struct wr_str bytes = {0};
    struct wr_error err = {0};
    struct wr_chart_options o = {.width = 0};
    enum wr_chart chart;

    chart_case_make(&c, &chart_usual);
    c.input.forecast = NULL;
    ck_assert_ptr_nonnull(wr_chart_missing(WR_CHART_FINISH, &c.input));
    ck_assert_int_eq(wr_chart_render(WR_CHART_FINISH, &c.input, &o, &bytes, &err), WR_E_TOO_FEW);
    ck_assert_str_eq(err.text, "the chart 'finish' needs a forecast of this timeline, and none was made");
    ck_assert(wr_chart_find("lanes", &chart) && chart == WR_CHART_LANES);
    ck_assert(!wr_chart_find("lane", &chart) && !wr_chart_find("", &chart));
    chart_case_release(&c);
}
END_TEST

START_TEST(missing_glyphs_become_squares)
{
    struct wr_str out = {0};
    const char *fonts = "20-7e a0-17f 25a1\n4e8c 5316-5320\n";

    ck_assert(!glyphs_are_in_doubt("plain, é, Ж, Ω … “x” − 1"));
    ck_assert(glyphs_are_in_doubt("二"));
    glyphs_replace_missing(&out, "a二号化\xd9\x81\xcc\x88é", fonts);
    ck_assert_str_eq(out.text, "a二□化□é"); /* 4e8c and 5316 are covered; a mark without a glyph is left out */
    wr_str_clear(&out);
    glyphs_replace_missing(&out, "号é", "");
    ck_assert_str_eq(out.text, "?é");
    wr_str_release(&out);
}
END_TEST

Suite *suite_chart_words(void);
Suite *suite_chart_words(void)
{
    Suite *s = suite_create("chart_words");
    TCase *t = tcase_create("chart_words");

    tcase_add_loop_test(t, rings_are_the_number_in_the_title, 0, 9);
    tcase_add_test(t, titles_branch_on_the_numbers);
    tcase_add_test(t, titles_of_what_is_drawn_beside_the_forecast);
    tcase_add_test(t, every_chart_has_a_title_held_against_its_numbers);
    tcase_add_test(t, pace_beside_the_length_in_the_chart_of_the_runs);
    tcase_add_test(t, three_rehearsals_are_too_few_for_a_trend);
    tcase_add_test(t, the_tightest_of_a_series_is_named_only_where_it_is_known);
    tcase_add_test(t, what_speaks_against_a_forecast_is_on_its_chart);
    tcase_add_test(t, a_card_says_what_its_times_rest_on);
    tcase_add_test(t, trend_has_the_band_of_a_fitted_line);
    tcase_add_test(t, tasks_that_settle_come_first_and_are_counted);
    tcase_add_test(t, what_is_missing_is_said);
    tcase_add_test(t, what_lies_beyond_the_simulated_range_is_marked);
    tcase_add_test(t, joint_tasks_say_who_in_every_lane);
    tcase_add_test(t, names_keep_off_the_line_of_the_limit);
    tcase_add_test(t, missing_glyphs_become_squares);
    suite_add_tcase(s, t);
    return s;
}
