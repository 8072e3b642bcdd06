#include <check.h>
#include <math.h>
#include <nettle/sha2.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "html_check.h"
#include "sample_evidence.h"
#include "shown.h"
#include "wetrun/present/page.h"

static struct sample s;
static bool imposed; /* starts are of a delay from outside */
static struct sample_decisions d;
static struct sample_evidence e;
static struct wr_str out;

static struct wr_page_figure figures[] = {
    {"finish", WR_AT_FIRST, "94 of 100 are inside", "Each dot is one of a hundred.",
     "<svg class=\"chart wide\" viewBox=\"0 0 960 300\" role=\"img\" aria-label=\"dots\"><path id=\"finish-w-1\" "
     "d=\"M0,0\"/></svg>",
     "<svg class=\"chart slim\" viewBox=\"0 0 372 300\" role=\"img\" aria-label=\"dots\"><path id=\"finish-s-1\" "
     "d=\"M0,0\"/></svg>", true},
    {"variance", WR_AT_UNCERTAINTY, "Three tasks carry most", "One mark is one hundredth.",
     "<svg class=\"chart wide\" viewBox=\"0 0 960 300\" role=\"img\" aria-label=\"marks\"><path d=\"M0,0\"/></svg>",
     NULL, false},
};

static void done(void)
{
    sample_evidence_release(&e);
    sample_release(&s);
    wr_str_release(&out);
}

static enum wr_status write_page(const struct wr_page_figure *figure, size_t n_figure, struct wr_error *err)
{
    struct wr_forecast_result forecast = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};
    struct wr_check_result check = {.log = &s.log, .plan = &s.plan, .timing = &s.timing, .findings = &s.findings};
    struct wr_page page = {.context = &s.context, .forecast = &forecast, .check = &check, .figure = figure,
                           .n_figure = n_figure, .no_charts = n_figure ? NULL : "gnuplot is not installed"};

    wr_str_clear(&out);
    return wr_page_write(&page, &out, err);
}

static const char *page_of(const struct wr_page_figure *figure, size_t n_figure)
{
    struct wr_error err = {0};

    ck_assert_msg(write_page(figure, n_figure, &err) == WR_OK, "%s", err.text);
    return out.text;
}

START_TEST(sound_with_and_without_charts)
{
    static const size_t size[] = {1, 3, 28, 80};

    for (size_t i = 0; i < sizeof size / sizeof *size; i++) {
        for (int flavour = SAMPLE_TAME; flavour <= SAMPLE_HOSTILE; flavour++) {
            sample_make(&s, size[i], (enum sample_flavour)flavour);
            html_check(page_of(figures, 2));
            shown_is_calm(out.text);
            html_check(page_of(NULL, 0));
            ck_assert_ptr_nonnull(strstr(out.text, "Charts are missing: gnuplot is not installed"));
            done();
        }
    }
}
END_TEST

static void decide_all(enum sample_flavour flavour)
{
    sample_make(&s, 28, flavour);
    sample_decide(&d, &s);
    sample_learn(&e, &s, &d);
}

/* Three limits and two wishes, the middle limit and the stricter wish as given; cut-offs where with_card. */
static struct wr_other_limits *moved_about(bool with_card)
{
    static double limit_min[3];
    static struct wr_probability over[3];
    static struct wr_cutoff_list list[6];
    static struct wr_other_limits other;

    other = (struct wr_other_limits){.n_limit = 3,
                                     .given_limit = 1,
                                     .limit_min = limit_min,
                                     .over = over,
                                     .n_confidence = 2,
                                     .given_confidence = 1,
                                     .confidence = {0.8, 0.9}};
    for (size_t i = 0; i < 3; i++) {
        limit_min[i] = s.limits.limit[0].minutes + 10 * ((double)i - 1);
        over[i] = s.forecast.limit[0].over;
        other.cut_limit[i] = i;
    }
    over[0] = (struct wr_probability){.mean = .31, .lo = .12, .hi = .55};
    for (size_t i = 0; i < 6 && with_card; i++) {
        list[i] = d.card.list[0];
        list[i].limit.limit.minutes = limit_min[i / 2];
        list[i].limit.confidence = other.confidence[i % 2];
    }
    other.n_cut = with_card ? 3 : 0;
    other.card.list = list;
    return &other;
}

static const char *page_of_all(void)
{
    struct wr_forecast_result forecast = {
        .plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast, .price = d.price, .n_price = d.n_price};
    struct wr_check_result check = {.log = &s.log, .plan = &s.plan, .timing = &s.timing, .findings = &s.findings};
    struct wr_fit_result fit = {&s.plan, &s.log, &e.summary, &e.posterior, &e.candidates, NULL, NULL, {0}};
    struct wr_pad_result pad = {&s.plan, &d.pad, &s.limits, &d.card, d.limit_name, false, &s.forecast};
    struct wr_cutoff_result cutoff = {.plan = &s.plan, .limit_name = d.limit_name, .card = &d.card, .over = d.over,
                                      .imposed = imposed,
                                      .limits = &s.limits, .price = d.price, .n_price = d.n_price};
    struct wr_compare_result compare = {&s.plan, &s.log, &s.timing, &e.comparison};
    struct wr_backtest_result backtest = {&s.log, &s.plan, &e.backtest, NULL};
    struct wr_ready_result ready = {&s.log, &s.plan, &s.limits, &e.ready, NULL, NULL};
    struct wr_runs_needed_result needed = {&s.plan, s.limits.limit[0].minutes, &e.needed, &s.limits,
                                           wr_context_grounds(&s.context), &s.forecast, NULL, false, false};
    struct wr_page page = {.context = &s.context,
                           .forecast = &forecast,
                           .check = &check,
                           .figure = figures,
                           .n_figure = 2,
                           .runs_needed = &needed,
                           .fit = &fit,
                           .pad = &pad,
                           .cutoff = &cutoff,
                           .compare = &compare,
                           .backtest = &backtest,
                           .ready = &ready,
                           .other = moved_about(true)};
    struct wr_error err = {0};

    wr_str_clear(&out);
    ck_assert_msg(wr_page_write(&page, &out, &err) == WR_OK, "%s", err.text);
    return out.text;
}

static const char *full_page(enum sample_flavour flavour)
{
    decide_all(flavour);
    return page_of_all();
}

START_TEST(all_of_it_is_sound_too)
{
    for (int flavour = SAMPLE_TAME; flavour <= SAMPLE_HOSTILE; flavour++) {
        html_check(full_page((enum sample_flavour)flavour));
        shown_is_calm(out.text);
        done();
    }
}
END_TEST

/* Before anything that costs a rehearsal. */
START_TEST(first_screen_says_what_to_mend)
{
    static const struct wr_present_finding found[] = {
        {WR_ERROR, "row-no-time", "p/runs.csv", "it has no end", 81, 3, 2, 4, 7, false, NULL, false},
        {WR_ERROR, "row-bad-time", "p/runs.csv", "not a time", 57, 14, 1, 4, 3, false, NULL, false},
        {WR_WARNING, "began-early", "p/runs.csv", "began early", 9, 0, 1, 5, 1, false, NULL, false},
    };

    decide_all(SAMPLE_TAME);
    s.context.finding = found;
    s.context.n_finding = 3;
    page_of_all();
    const char *next = strstr(out.text, "id=\"h-next\"");
    const char *mend = strstr(next, "<li><b>Mend the log</b> first: three of its rows were rejected, the first "
                                    "<bdi>runs.csv</bdi>:57. ");
    ck_assert(mend && mend < strstr(next, "<b>Allow</b>"));
    s.context.finding += 2; /* warnings alone are nothing to mend, but a doubt is said */
    s.context.n_finding = 1;
    page_of_all();
    ck_assert_ptr_null(strstr(out.text, "Mend the log"));
    ck_assert_ptr_null(strstr(out.text, "Settle the doubt"));
    s.context.doubt = "Doubtful, for it rests on this: a slip.";
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "<li><b>Settle the doubt</b>"));
    s.context.doubt = NULL;
    s.context.finding = NULL;
    s.context.n_finding = 0;
    done();
}
END_TEST

/* It may be printed alone, so it says what its times rest on before the first of them. */
START_TEST(the_card_says_what_its_times_rest_on)
{
    full_page(SAMPLE_TAME);
    const char *console = strstr(out.text, "id=\"console\""), *card = console ? strstr(console, "id=\"t-card\"") : NULL;
    const char *verdicts = console ? strstr(console, "What the rehearsals say of the limits: ") : NULL;
    ck_assert(card && verdicts && verdicts < card);
    const struct wr_limits *limits = &s.limits;
    for (size_t l = 0; l < limits->n_limit; l++) {
        const char *name = strstr(verdicts, limits->limit[l].name);
        ck_assert(name && name < card);
    }
    ck_assert_ptr_nonnull(strstr(verdicts, "not enough rehearsals to tell"));
    const char *mine = strstr(verdicts, "<li id=\"card-limit\">excursion, 6:30, wanted inside in 90 of 100: ");
    const char *exactly = strstr(verdicts, "exactly at its bold time about as many go over");
    ck_assert(mine && mine < card && exactly && exactly < card);
    ck_assert_ptr_nonnull(strstr(exactly, ": 10 over excursion"));
}
END_TEST

/* Whoever reads a table of times to begin by reads of which limits, and how sure is wanted of each. */
START_TEST(every_table_of_times_names_what_is_wanted)
{
    static const char head[] = ", wanted inside in ";
    static const char *const id[] = {"t-card", "t-checkpoints", "t-clock-3", "t-cutoff-1", "t-cutoff-2", "t-cutoff-3"};

    decide_all(SAMPLE_TAME);
    d.card.list[1].limit.confidence = 0.95;
    page_of_all();
    for (size_t i = 0; i < sizeof id / sizeof *id; i++) {
        WR_SCOPED_STR start = {0}, caption = {0};
        wr_str_addf(&start, "<caption id=\"%s\">", id[i]);
        const char *at = strstr(out.text, start.text), *end = at ? strstr(at, "</caption>") : NULL;
        ck_assert_msg(end != NULL, "no table %s", id[i]);
        wr_str_add_bytes(&caption, at, (size_t)(end - at));
        bool both = i < 2, second = i == 4;
        ck_assert_msg((strstr(caption.text, "95 of 100") != NULL) == (both || second), "%s", caption.text);
        ck_assert_msg((strstr(caption.text, "90 of 100") != NULL) == !second, "%s", caption.text);
        ck_assert_int_eq(html_count(caption.text, head), both ? 2 : 1);
    }
}
END_TEST

/* Nothing that is not shown to help is advised: neither at the plan's time nor sooner. */
START_TEST(first_screen_does_not_advise_what_does_not_help)
{
    decide_all(SAMPLE_TAME);
    for (size_t i = 0; i < d.n_price; i++) {
        d.price[i].sooner = d.price[i].rule = (struct wr_paired){.001, -.001, .003, .001, 0, 0, false};
        d.price[i].all_rules = d.price[i].rule;
    }
    ck_assert_ptr_nonnull(strstr(page_of_all(), "<li><b>Do not count on dropping</b> <bdi>Stage the panel frame for "
                                                "Petrel 8</bdi> when late (after 5:20); <bdi>Stage the tool chest for "
                                                "Petrel 8</bdi> when late (after 5:20): each of these alone is not "
                                                "shown to help any limit. As planned, together the "
                                                "drop times buy nothing that can be told apart for any "
                                                "limit.</li>"));
    ck_assert_ptr_null(strstr(out.text, "<b>Drop</b>"));
    for (size_t i = 0; i < d.n_price; i++) d.price[i].rule = (struct wr_paired){.006, .002, .012, .004, 0, 0, false};
    page_of_all(); /* more trials may show it: then it is not said that nobody should count on it */
    ck_assert_ptr_nonnull(strstr(out.text, "<li><b>With more trials it may be said</b> (--trials) whether dropping "
                                           "<bdi>Stage the panel frame for Petrel 8</bdi> when late (after 5:20); "
                                           "<bdi>Stage the tool chest for Petrel 8</bdi> when late (after 5:20) helps "
                                           "a limit: each of these alone. As planned"));
    ck_assert_ptr_null(strstr(out.text, "Do not count on dropping"));
    for (size_t i = 0; i < d.n_price; i++) d.price[i].rule = d.price[i].all_rules;
    /* the frame's: its drop time comes first */
    d.price[0].sooner = (struct wr_paired){.006, .002, .012, .0003, 0, 0, false};
    d.price[1].sooner = (struct wr_paired){.006, .002, .012, .0003, 0, 0, false};
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "<b>Drop</b> <bdi>Stage the tool chest for Petrel 8</bdi> if it cannot "
                                           "begin by 4:57 (the plan says 5:20, which drops it less often).</li>"));
    ck_assert_ptr_nonnull(strstr(out.text, "<li><b>Do not count on dropping</b> <bdi>Stage the panel frame for Petrel "
                                           "8</bdi> when late (after 5:20): that alone is not shown to help any limit. "
                                           "As "
                                           "planned"));
    imposed = true; /* that time is the card's, and of a delay from outside; the plan's is the plan's */
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "if it cannot begin by 4:57, for a delay from outside alone (the plan says "
                                           "5:20, which drops it less often).</li>"));
    imposed = false;
}
END_TEST

START_TEST(first_screen_says_what_to_do_and_what_is_not_met)
{
    char met[32];

    full_page(SAMPLE_TAME);
    const char *next = strstr(out.text, "id=\"h-next\""), *evidence = strstr(out.text, "id=\"h-evidence\"");
    const char *train = strstr(out.text, "id=\"train\"");
    ck_assert(next && evidence && next < evidence && evidence < train);
    ck_assert_ptr_nonnull(strstr(
        next, "<b>Allow</b> 18 min more than planned for <bdi>Re-tension the sunshade, one at each end</bdi>; "));
    ck_assert_ptr_nonnull(
        strstr(next, "<b>Drop</b> <bdi>Stage the panel frame for Petrel 8</bdi> if it cannot begin by 5:20, "
                     "<bdi>Stage the tool chest for Petrel 8</bdi> by "
                     "4:57 (the plan says 5:20, which drops it less often). As planned, together "
                     "the drop times take 2.0 of 100 off those over the limit excursion (90 % interval 1.0 to "
                     "3.0).</li>"));
    ck_assert_ptr_nonnull(
        strstr(next, "<b>Watch</b> <bdi>Return to the airlock and close the hatch</bdi>: it must begin by "));
    ck_assert_ptr_nonnull(strstr(next, "<b>Rehearse</b> two more times if the answer on the limit "
                                       "<bdi>excursion</bdi> is worth it: the interval would "
                                       "narrow from 18 to about 14 of 100, by about 20 % (\xc2\xb1 2.3 %), and "
                                       "the answer be \xe2\x80\x9cinside\xe2\x80\x9d in 20 of 100 cases, "
                                       "\xe2\x80\x9cnot inside\xe2\x80\x9d in 2."));
    snprintf(met, sizeof met, ">%zu met", e.ready.n_met);
    ck_assert_msg(e.ready.n_met > 0 && strstr(evidence, met) != NULL, "%.300s", evidence);
    ck_assert_ptr_nonnull(strstr(evidence, "not enough evidence: at most 10 of 100 go over 6:30"));
    ck_assert_ptr_nonnull(strstr(train, "no trend is shown"));
}
END_TEST

/* In tenths, what is short is the difference of the tenths shown beside it. */
START_TEST(what_to_allow_is_as_the_table_says_it)
{
    decide_all(SAMPLE_TAME);
    for (size_t k = 0; k < d.pad.n_task; k++) d.pad.task[k].planned_min = wr_known(1000);
    d.pad.task[0].median_min = 20.04;
    d.pad.task[0].pad_min = 4.04;
    d.pad.task[0].planned_min = wr_known(18.5);
    ck_assert_ptr_nonnull(strstr(page_of_all(), "<b>Allow</b> 5.5 min more than planned for <bdi>"));
    d.pad.task[0].planned_min = wr_known(24);
    ck_assert_ptr_null(strstr(page_of_all(), "<b>Allow</b>"));
}
END_TEST

/* "Inside" the first limit says nothing of the others: each that is not stands below it, and in the browser's title. */
START_TEST(a_limit_that_is_not_kept_does_not_hide)
{
    sample_make(&s, 28, SAMPLE_TAME);
    ck_assert_uint_ge(s.forecast.n_limit, 2);
    s.forecast.limit[0].over = (struct wr_probability){.mean = .01, .lo = .001, .hi = .02, .mc_error = .001};
    for (size_t l = 1; l < s.forecast.n_limit; l++)
        s.forecast.limit[l].over = (struct wr_probability){.mean = .3, .lo = .2, .hi = .4, .mc_error = .001};
    page_of(figures, 2);
    char *title = html_inside(out.text, "title");
    ck_assert_ptr_nonnull(strstr(title, "excursion, 6:30: 1 of 100 goes over, inside; "));
    for (size_t l = 1; l < s.forecast.n_limit; l++) {
        struct wr_str own = {0};
        char at[WR_CLOCK_TEXT];
        wr_str_addf(&own, "; %s, %s: 30 of 100 go over", s.limits.limit[l].name,
                    wr_hmm(s.limits.limit[l].minutes, at));
        ck_assert_ptr_nonnull(strstr(title, own.text));
        wr_str_release(&own);
    }
    ck_assert_ptr_nonnull(strstr(title, "30 of 100 go over, not inside"));
    ck_assert_ptr_nonnull(strstr(out.text, ": <b>Not inside</b>.</p>"));
    free(title);
}
END_TEST

/* Two more are no better than one only where they do not narrow the interval either; what hardly tells is no advice,
 * however much it narrows. */
START_TEST(a_rehearsal_is_advised_for_what_it_brings)
{
    decide_all(SAMPLE_TAME);
    struct wr_runs_needed_row *one = &e.needed.row[0], *two = &e.needed.row[1];
    ck_assert(one->further == 1 && two->further == 2);
    one->clear_inside = two->clear_inside = (struct wr_estimated){0.08, 0.02};
    one->clear_outside = two->clear_outside = (struct wr_estimated){0.03, 0.02};
    one->width = (struct wr_estimated){0.174, 0.004}; /* of 0.176 now */
    two->width = (struct wr_estimated){0.14, 0.004};
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "<b>Rehearse</b> two more times if the answer on the limit "
                                           "<bdi>excursion</bdi> is "
                                           "worth it: the interval would narrow from 18 to about 14 of 100, "
                                           "by about 20 % (\xc2\xb1 2.3 %), and"));
    ck_assert_ptr_nonnull(strstr(out.text, "about the run that is forecast now: one further on would be credited more "
                                           "learning, and need not have so narrow an interval.</li>"));
    one->width.value = 0.15;
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "<b>Rehearse</b> one more time if the answer on the limit "
                                           "<bdi>excursion</bdi> is "
                                           "worth it: the interval would narrow from 18 to about 15 of 100, "
                                           "by about 15 % (\xc2\xb1 2.3 %), and"));
    one->clear_inside.value = two->clear_inside.value = 0.05;
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "<b>Rehearsing</b> one more time would hardly bring the answer on the limit "
                                           "<bdi>excursion</bdi>: the interval would narrow from 18 to about 15 of "
                                           "100, by about 15 % (\xc2\xb1 2.3 %), and the answer be "
                                           "\xe2\x80\x9cinside\xe2\x80\x9d in 5 of 100"));
    ck_assert_ptr_null(strstr(out.text, "<b>Rehearse</b>"));
    one->width.value = two->width.value = 0.174;
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "<b>Rehearsing</b> one more time would hardly bring the answer on the limit "
                                           "<bdi>excursion</bdi>: the interval, now 18 of 100 wide, would hardly "
                                           "narrow, and the answer be \xe2\x80\x9cinside\xe2\x80\x9d in 5 of 100 "
                                           "cases, \xe2\x80\x9cnot inside\xe2\x80\x9d in 3.</li>"));
    ck_assert_ptr_null(strstr(out.text, "<b>Rehearse</b>"));
    one->clear_outside.value = two->clear_outside.value = 0.06; /* 11 of 100 are worth a day to some */
    ck_assert_ptr_nonnull(strstr(page_of_all(), "<b>Rehearse</b> one more time if"));
}
END_TEST

/* Fewer than four complete rehearsals bar "inside" whatever they show: what is said is of as many as make four, unless
 * fewer tell that it is not inside. */
START_TEST(a_rehearsal_is_advised_for_the_rule_of_four)
{
    decide_all(SAMPLE_TAME);
    struct wr_runs_needed_row *row = e.needed.row;
    ck_assert(row[0].further == 1 && row[1].further == 2 && row[2].further == 4);
    for (size_t i = 0; i < 2; i++) row[i].clear_inside = (struct wr_estimated){0, 0};
    row[2].clear_inside.value = .54;
    s.context.n_complete_run = 1;
    ck_assert_ptr_nonnull(strstr(page_of_all(), "<b>Rehearse</b> four more times if the answer on the limit "
                                                "<bdi>excursion</bdi> is worth it: "
                                                "\xe2\x80\x9cinside\xe2\x80\x9d takes four complete rehearsals, of "
                                                "which there is one; after four more the interval would "
                                                "narrow from 18 to about 11 of 100, by about 40 % (\xc2\xb1 2.3 %), "
                                                "and the answer be "
                                                "\xe2\x80\x9cinside\xe2\x80\x9d in 54 of 100 cases, "));
    s.context.n_complete_run = 0;
    ck_assert_ptr_nonnull(strstr(page_of_all(), "of which there is none; after four more the interval"));
    s.context.n_complete_run = 2;
    row[1].clear_inside.value = .4;
    ck_assert_ptr_nonnull(strstr(page_of_all(), "of which there are two; after two more the interval"));
    row[1].clear_inside.value = 0;
    for (size_t i = 0; i < 3; i++) row[i].clear_outside.value = .6;
    row[2].clear_inside.value = 0;
    s.context.n_complete_run = 1;
    ck_assert_ptr_nonnull(strstr(page_of_all(), "<b>Rehearse</b> one more time if"));
    ck_assert_ptr_null(strstr(out.text, "of which there"));
    s.context.n_complete_run = 4;
    row[0].clear_inside.value = .4;
    ck_assert_ptr_nonnull(strstr(page_of_all(), "<b>Rehearse</b> one more time if"));
    ck_assert_ptr_null(strstr(out.text, "of which there"));
}
END_TEST

/* Held back by the second answer alone: not one number of rehearsals helps, but when, or of what. */
START_TEST(a_rehearsal_that_settles_the_second_answer_is_advised)
{
    decide_all(SAMPLE_TAME);
    e.needed.over = (struct wr_probability){.mean = .01, .lo = .001, .hi = .02};
    e.needed.row[0].clear_inside.value = e.needed.row[1].clear_inside.value = .93;
    ck_assert_ptr_null(strstr(page_of_all(), "<b>Rehearse</b>"));
    s.forecast.limit[0].second =
        (struct wr_second){true, WR_BESIDE_GAP_ALLOWED, 10, {.mean = .05, .lo = .01, .hi = .2}, false};
    ck_assert_ptr_nonnull(strstr(page_of_all(), "<li><b>Rehearse</b> shortly before the day if the answer on the limit "
                                                "<bdi>excursion</bdi> is worth it: until then the second answer"));
    ck_assert_ptr_null(strstr(out.text, "in 93 of 100"));
    s.forecast.limit[0].second.kind = WR_BESIDE_JUDGED_SHORT;
    ck_assert_ptr_nonnull(strstr(page_of_all(), "<b>Rehearse</b> the tasks that rest on judgement if"));
}
END_TEST

/* A limit that is certainly not kept is the first thing to do something about, a clock as well as elapsed time. */
START_TEST(what_is_not_inside_calls_for_less)
{
    static const struct wr_probability over = {.mean = .3, .lo = .2, .hi = .4, .mc_error = .001};
    static const struct wr_probability open = {.mean = .3, .lo = .05, .hi = .6, .mc_error = .001};

    decide_all(SAMPLE_TAME);
    ck_assert(s.forecast.n_limit == 3 && s.limits.limit[2].is_clock && !s.limits.limit[1].is_clock);
    for (size_t l = 0; l < 3; l++) s.forecast.limit[l].over = open;
    s.limits.limit[1].confidence = s.limits.limit[2].confidence = wr_known(0.9);
    ck_assert_ptr_null(strstr(page_of_all(), "<b>Shorten</b>"));
    s.forecast.limit[2].over = over;
    struct wr_str clock = {0};
    wr_str_addf(&clock,
                "<li><b>Shorten</b> the way from the begin of <bdi>%s</bdi> to the end of <bdi>%s</bdi>: "
                "<bdi>%s</bdi>, ",
                s.plan.task[s.limits.limit[2].from].title, s.plan.task[s.limits.limit[2].to].title,
                s.limits.limit[2].name);
    const char *shorten = strstr(page_of_all(), clock.text);
    ck_assert(shorten && shorten < strstr(out.text, "<b>Allow</b>"));
    ck_assert_ptr_eq(strstr(out.text, "<b>Shorten</b>"), shorten + strlen("<li>"));
    const char *end = strstr(shorten, "</li>"), *said = strstr(shorten, " is not kept with 90 % confidence.</li>");
    ck_assert(said && said < end); /* begun on time or not */
    s.forecast.limit[0].over = over;
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "<li><b>Shorten</b> the timeline: <bdi>excursion</bdi>, 6:30, is not kept "
                                           "with 90 % confidence even begun on time.</li>"));
    ck_assert_ptr_nonnull(strstr(out.text, clock.text));
    s.limits.limit[2].confidence = WR_UNKNOWN; /* nothing is wanted of it */
    ck_assert_ptr_null(strstr(page_of_all(), clock.text));
    wr_str_release(&clock);
}
END_TEST

/* A clock's times are watched as well, where it is kept; a time that is a lower bound is no cut-off, however tight. */
START_TEST(what_to_watch_on_a_clock)
{
    const size_t seat = 6;

    decide_all(SAMPLE_TAME);
    const struct wr_sim_limit *clock = &d.card.list[2].limit.limit;
    struct wr_cutoff_row *row = &d.card.list[2].row[seat];
    ck_assert(d.card.n_limit == 3 && clock->is_clock);
    *row = (struct wr_cutoff_row){
        .task = seat, .reason = WR_CUTOFF_FOUND, .typical_start_min = 60, .latest_start_min = 60.5, .slack_min = .5};
    d.card.list[2].prob_over = 0.02;
    struct wr_cutoff_row *own = &d.card.list[0].row[seat]; /* later than the clock's time, if that begins as usual */
    const double begins_min = d.card.list[0].row[clock->from].typical_start_min;
    ck_assert(d.card.list[0].row[clock->from].task == clock->from && own->reason == WR_CUTOFF_FOUND);
    own->latest_start_min = begins_min + 60.5;
    own->slack_min = own->latest_start_min - (own->typical_start_min = begins_min + 10);
    d.card.list[1].row[seat].reason = WR_CUTOFF_NOT_BEFORE_LIMIT;
    struct wr_str said = {0};
    wr_str_addf(&said,
                "<b>Watch</b> <bdi>%s</bdi>: it must begin by 1:00, with only 0 min of slack, for <bdi>%s</bdi>, read "
                "from when <bdi>%s</bdi> begins",
                s.plan.task[seat].title, d.limit_name[2], s.plan.task[clock->from].title);
    ck_assert_msg(strstr(page_of_all(), said.text) != NULL, "%.300s", strstr(out.text, "<b>Watch</b>"));
    /* elapsed time leaves the same task less, or nothing: the clock's time is not the one to go by, and says so */
    own->latest_start_min = begins_min + 58;
    struct wr_str sooner = {0};
    wr_str_addf(&sooner, "sooner for “%s”, 6:30, if this clock begins as usual: by %s elapsed", d.limit_name[0],
                wr_moment_by(own->latest_start_min, WR_ROOM));
    ck_assert_ptr_null(strstr(page_of_all(), said.text));
    ck_assert_msg(strstr(out.text, sooner.text) != NULL, "%s", sooner.text);
    /* as it is read, 0:30 and 1:00 on the clock are 1:30 elapsed, though the parts of minutes make it 1:31 */
    d.card.list[0].row[clock->from].typical_start_min = floor(begins_min) + .4;
    row->latest_start_min = 60.7;
    own->latest_start_min = floor(begins_min) + 60.2;
    ck_assert_ptr_nonnull(strstr(page_of_all(), said.text));
    char by[80]; /* others stand on this clock as well */
    snprintf(by, sizeof by, "if this clock begins as usual: by %s elapsed",
             wr_moment_by(own->latest_start_min, WR_ROOM));
    ck_assert_ptr_null(strstr(out.text, by));
    own->latest_start_min = floor(begins_min) + 59.9; /* a minute less */
    ck_assert_ptr_null(strstr(page_of_all(), said.text));
    snprintf(by, sizeof by, "if this clock begins as usual: by %s elapsed",
             wr_moment_by(own->latest_start_min, WR_ROOM));
    ck_assert_ptr_nonnull(strstr(out.text, by));
    d.card.list[0].row[clock->from].typical_start_min = begins_min;
    row->latest_start_min = 60.5;
    own->latest_start_min = begins_min + 58;
    own->beyond_range = true; /* at least until then */
    ck_assert_ptr_nonnull(strstr(page_of_all(), said.text));
    own->beyond_range = false;
    own->reason = WR_CUTOFF_NEVER;
    ck_assert_ptr_null(strstr(page_of_all(), said.text));
    ck_assert_ptr_nonnull(strstr(out.text, "too late for “excursion”, 6:30"));
    own->has_second_window = true;
    ck_assert_ptr_null(strstr(page_of_all(), said.text));
    ck_assert_ptr_nonnull(strstr(out.text, "only later for “excursion”, 6:30"));
    own->has_second_window = false;
    own->reason = WR_CUTOFF_FOUND;
    own->latest_start_min = begins_min + 60.5;
    wr_str_release(&sooner);
    d.card.list[2].prob_over = 0.2; /* the clock is not kept: its times promise nothing */
    ck_assert_ptr_null(strstr(page_of_all(), said.text));
    d.card.list[2].prob_over = 0.02;
    /* the excursion is not kept: that comes first, and beside the clock's slack it is said that it has none */
    const double was_over = d.card.list[0].prob_over;
    const struct wr_probability was = d.over[0];
    d.card.list[0].prob_over = 0.3;
    d.card.list[0].needed_min = d.card.list[0].limit.limit.minutes + 13;
    d.over[0] = (struct wr_probability){.mean = 0.3, .lo = 0.02, .hi = 0.6};
    const char *time = strstr(page_of_all(), "<li><b>Find time.</b> By the best estimate, "),
               *watch = strstr(out.text, said.text);
    ck_assert_msg(time && watch && time < watch && time < strstr(out.text, "<b>Allow</b>"), "%.600s",
                  strstr(out.text, "Do next"));
    ck_assert_ptr_nonnull(strstr(time, "is not kept with 90 % confidence, even begun on time: that takes a limit of "));
    const char *end = strstr(watch, "</li>"),
               *none = strstr(watch, "</bdi>, 6:30, is not kept as surely as wanted, even begun on time");
    ck_assert(none && none < end);
    d.over[0] = (struct wr_probability){.mean = 0.3, .lo = 0.2, .hi = 0.6}; /* sure of it: "Shorten" says so */
    ck_assert_ptr_null(strstr(page_of_all(), "<b>Find time.</b>"));
    d.card.list[0].prob_over = was_over;
    d.over[0] = was;
    ck_assert_ptr_null(strstr(page_of_all(), "as surely as wanted"));
    ck_assert_ptr_null(strstr(out.text, "<b>Find time.</b>"));
    row->beyond_range = true;
    ck_assert_ptr_null(strstr(page_of_all(), said.text));
    ck_assert_ptr_nonnull(strstr(out.text, "<b>Watch</b>"));
    row->beyond_range = false;
    s.plan.task[seat].drop_after_min = wr_known(90);
    ck_assert_ptr_null(strstr(page_of_all(), said.text));
    wr_str_release(&said);
}
END_TEST

/* The cut-off that binds may be another limit's than the excursion's. */
START_TEST(what_to_watch_over_all_limits)
{
    const size_t seat = 6;

    decide_all(SAMPLE_TAME);
    struct wr_cutoff_row *row = &d.card.list[1].row[seat];
    ck_assert(d.card.n_limit == 3 && d.card.list[2].limit.limit.is_clock && !d.card.list[1].limit.limit.is_clock);
    d.card.list[2].row[seat] = (struct wr_cutoff_row){.task = seat, .reason = WR_CUTOFF_FOUND, .typical_start_min = 3,
                                                      .latest_start_min = 1, .slack_min = -2};
    ck_assert_ptr_null(strstr(strstr(page_of_all(), "<b>Watch</b>"), "for <bdi>EV2 consumables</bdi>"));
    *row = (struct wr_cutoff_row){
        .task = seat, .reason = WR_CUTOFF_FOUND, .typical_start_min = 60, .latest_start_min = 61, .slack_min = 1};
    const char *watch = strstr(page_of_all(), "<b>Watch</b>");
    ck_assert_ptr_nonnull(
        strstr(watch, "it must begin by 1:01, with only 1 min of slack, for <bdi>EV2 consumables</bdi>"));
    d.card.list[0].row[seat].reason = WR_CUTOFF_NEVER; /* for the excursion no start is early enough: 1:01 would
                                                          mislead */
    watch = strstr(page_of_all(), "<b>Watch</b>");
    ck_assert(watch && !strstr(watch, "it must begin by 1:01"));
}
END_TEST

/* As text 9.10.2033 is the later; 2033-10-23 is day 23306 of 1970: `date -ud 2033-10-23 +%s` divided by 86400. */
START_TEST(sheets_name_the_last_day_not_the_last_text)
{
    decide_all(SAMPLE_TAME);
    struct wr_log_run *run = s.log.run;
    run[0].date = "9.10.2033", run[0].day = wr_known(23292);
    run[1].date = "23.10.2033", run[1].day = wr_known(23306);
    for (size_t r = 2; r < s.log.n_run; r++) run[r].day = (struct wr_maybe){0};
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, "rehearsals up to 2033\\00002D 10\\00002D 23\""));
}
END_TEST

START_TEST(no_attack_comes_through_as_markup)
{
    sample_make(&s, 28, SAMPLE_HOSTILE);
    page_of(figures, 2);
    ck_assert_ptr_null(strstr(out.text, "<script>alert"));
    ck_assert_ptr_null(strstr(out.text, "<img"));
    ck_assert_ptr_null(strstr(out.text, "onerror='"));
    ck_assert_ptr_null(strstr(out.text, "\" style=\"x"));
    ck_assert_ptr_nonnull(strstr(out.text, "&lt;script&gt;alert(&quot;one&quot;)&lt;/script&gt;"));
    ck_assert_uint_eq(html_count(out.text, "<script"), 1); /* ours */
    ck_assert_uint_eq(html_count(out.text, "</style>"), 2); /* the page, and the margins of its sheets */
}
END_TEST

static void base64_of_sha256(const char *text, char *base64)
{
    static const char digit[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    uint8_t hash[SHA256_DIGEST_SIZE + 1] = {0};
    struct sha256_ctx sha;

    sha256_init(&sha);
    sha256_update(&sha, strlen(text), (const uint8_t *)text);
    sha256_digest(&sha, SHA256_DIGEST_SIZE, hash);
    for (size_t bit = 0; bit < 43; bit++) {
        size_t at = bit * 6;
        unsigned two = (unsigned)hash[at / 8] << 8 | hash[at / 8 + 1];
        base64[bit] = digit[two >> (10 - at % 8) & 63];
    }
    memcpy(base64 + 43, "=", 2);
}

START_TEST(policy_names_the_style_and_the_script_that_are_there)
{
    char hash[64], wanted[128];

    sample_make(&s, 28, SAMPLE_TAME);
    page_of(figures, 2);
    char *style = html_inside(out.text, "style"), *script = html_inside(strstr(out.text, "<script>"), "script");
    base64_of_sha256(style, hash);
    snprintf(wanted, sizeof wanted, "style-src 'sha256-%s'", hash);
    ck_assert_msg(strstr(out.text, wanted) != NULL, "%s", wanted);
    base64_of_sha256(script, hash);
    snprintf(wanted, sizeof wanted, "script-src 'sha256-%s'", hash);
    ck_assert_msg(strstr(out.text, wanted) != NULL, "%s", wanted);
    ck_assert_ptr_nonnull(strstr(out.text, "default-src 'none'"));
    ck_assert_ptr_null(strstr(style, "url("));
    ck_assert_ptr_null(strstr(style, "@import"));
    free(style);
    free(script);
}
END_TEST

/* FIPS 180-2's example: the helper above is no better than what it checks. */
START_TEST(hash_helper_is_right)
{
    char hash[64];

    base64_of_sha256("abc", hash);
    ck_assert_str_eq(hash, "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
}
END_TEST

START_TEST(first_screen_answers)
{
    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.limit[0].over = (struct wr_probability){.mean = .09, .lo = .01, .hi = .19, .mc_error = .001};
    page_of(figures, 2);
    char *h1 = html_inside(out.text, "h1"), *title = html_inside(out.text, "title");
    ck_assert_ptr_nonnull(
        strstr(h1, "9 of 100 such rehearsals go over the 6:30 limit; it could be as few as 1 or as many as 19."));
    ck_assert_ptr_eq(
        strstr(title, "petrel-7: excursion, 6:30: 9 of 100 go over, not enough rehearsals to tell; "), title);
    ck_assert_ptr_nonnull(
        strstr(out.text, "Wanted: at most 10 of 100. <b class=\"open\">Not enough rehearsals to tell</b>"));
    const char *caution = strstr(out.text, "class=\"caution\"");
    ck_assert_ptr_nonnull(caution);
    ck_assert(caution < strstr(out.text, "id=\"train\"")); /* on the first screen, not at the end */
    ck_assert(strstr(out.text, "id=\"fig-finish\"") < caution);
    free(h1);
    free(title);
}
END_TEST

/* With one limit there is nothing to tell it from. */
START_TEST(one_limit_needs_no_name)
{
    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.limit[0].over = (struct wr_probability){.mean = .002, .lo = .0001, .hi = .009, .mc_error = .001};
    s.forecast.n_limit = s.limits.n_limit = 1;
    page_of(figures, 2);
    char *h1 = html_inside(out.text, "h1"), *title = html_inside(out.text, "title");
    ck_assert_str_eq(title, "petrel-7: fewer than 1 of 100 go over the 6:30 limit, inside");
    /* the number and both ends read alike but for the upper */
    ck_assert_ptr_nonnull(
        strstr(h1, "Fewer than 1 of 100 such rehearsals go over the 6:30 limit; it could be as many as 1."));
    free(h1);
    free(title);
}
END_TEST

/* What speaks against the answer is said where it is read alone: the browser's title and the first line. */
START_TEST(a_doubt_stands_first)
{
    sample_make(&s, 28, SAMPLE_TAME);
    s.context.doubt = "Doubtful, for it rests on this: the task 'Leave' may be 'Leave the airlock'.";
    page_of(figures, 2);
    char *h1 = html_inside(out.text, "h1"), *title = html_inside(out.text, "title");
    ck_assert_ptr_eq(strstr(title, "Doubtful: petrel-7: "), title);
    ck_assert_ptr_eq(strstr(h1, "Doubtful: all done by "), h1);
    ck_assert(strstr(out.text, "for it rests on this") < strstr(out.text, "<h1>"));
    free(h1);
    free(title);
}
END_TEST

/* One number without an interval is on one side of what is allowed and says nothing of how sure that is. */
START_TEST(a_number_without_an_interval_is_no_verdict)
{
    static const struct {
        double over;
        const char *said;
    } c[] = {{0.02, "is within that, but this model does not say how sure it is."},
             {0.4, "is beyond that, but this model does not say how sure it is."}};

    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.nothing_unknown = true;
    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        s.forecast.limit[0].over =
            (struct wr_probability){.mean = c[i].over, .lo = c[i].over, .hi = c[i].over, .no_interval = true};
        s.context.open_by = WR_OPEN_BY_MODEL;
        page_of(figures, 2);
        const char *verdict = strstr(out.text, ">Cannot be told for want of an interval</b>: the number itself, which "
                                               "has no interval, ");
        ck_assert(verdict && strstr(verdict, c[i].said));
        ck_assert_ptr_null(strstr(out.text, "interval, none"));
        s.context.open_by = WR_OPEN_BY_NOTHING;
    }
}
END_TEST

/* Numbers of another model say so above the answer and on each sheet, those of the usual one do not. */
START_TEST(another_model_is_named_above_the_answer)
{
    static const char *const id[] = {"train", "plan", "console", "review"};
    static const char said[] = "<b>Not the usual model: --learning off &lt;b&gt;.</b></p>";

    decide_all(SAMPLE_TAME);
    page_of_all();
    ck_assert_ptr_null(strstr(out.text, "Not the usual model"));
    s.context.modelled = "--learning off <b>";
    page_of_all();
    const char *first = strstr(out.text, said);
    ck_assert(first && first < strstr(out.text, "<h1>"));
    for (size_t i = 0; i < sizeof id / sizeof *id; i++) {
        char at[32];
        snprintf(at, sizeof at, "class=\"reader\" id=\"%s\"", id[i]);
        const char *sheet = strstr(out.text, at), *named = sheet ? strstr(sheet, said) : NULL;
        ck_assert_msg(named && named < strstr(sheet, "class=\"more\""), "%s", id[i]);
    }
    s.context.modelled = NULL;
}
END_TEST

/* A sheet that is printed alone is without the first screen: what speaks against its numbers stands on it. */
START_TEST(a_doubt_goes_with_each_sheet)
{
    static const char *const id[] = {"train", "plan", "console", "review"};
    static const struct wr_present_finding found[] = {
        {WR_WARNING, "lone-name", "p/runs.csv", "one", 9, 0, 1, 3, 1, true, NULL, false}};
    static const struct wr_present_finding lengthens[] = {
        {WR_WARNING, "task-lengthens", NULL, "1 task is shown to get longer: 'BRIDGE'", 0, 0, 1, 3, 1, true, NULL,
         false}};

    decide_all(SAMPLE_TAME);
    page_of_all();
    ck_assert_ptr_null(strstr(out.text, "<p class=\"alone\">"));
    s.context.doubt = "Doubtful, for it rests on this: `names.csv` says it.";
    s.context.finding = found;
    s.context.n_finding = 1;
    /* it is not about a limit */
    s.context.apart = (struct wr_present_found){found, 1, s.context.doubt, WR_OPEN_BY_NOTHING};
    page_of_all();
    for (size_t i = 0; i < sizeof id / sizeof *id; i++) {
        char at[32];
        snprintf(at, sizeof at, "class=\"reader\" id=\"%s\"", id[i]);
        const char *sheet = strstr(out.text, at), *more = sheet ? strstr(sheet, "class=\"more\"") : NULL;
        const char *doubt = sheet ? strstr(sheet, "<p class=\"alone\"><b>Doubtful, for it rests on this: "
                                                  "<code>names.csv</code> says it.</b></p>") : NULL;
        const char *warned = sheet ? strstr(sheet, "<p class=\"alone\">Found, and may move this: 1 warning "
                                                   "(lone-name).</p>") : NULL;
        ck_assert_msg(more && doubt && warned && doubt < warned && warned < more, "%s", id[i]);
    }
    s.context.doubt = NULL;
    /* of a task that stands in the sheet's table the code alone says too little */
    s.context.finding = lengthens;
    page_of_all();
    for (size_t i = 0; i < sizeof id / sizeof *id; i++) {
        char at[32];
        snprintf(at, sizeof at, "class=\"reader\" id=\"%s\"", id[i]);
        const char *sheet = strstr(out.text, at);
        const char *said = strstr(sheet, "(task-lengthens). 1 task is shown to get longer: &#39;BRIDGE&#39;.</p>");
        const char *more = strstr(sheet, "class=\"more\"");
        ck_assert_msg((i == 1 || i == 2) == (said && said < more), "%s: %.200s", id[i],
                      strstr(sheet, "(task-lengthens)"));
    }
    s.context.finding = NULL;
    s.context.n_finding = 0;
}
END_TEST

/* The card may go on on a second sheet: there a clock says whose it is, of which limit, and how that stands. */
START_TEST(a_clock_has_its_own_head_on_paper)
{
    WR_SCOPED_STR head = {0};

    decide_all(SAMPLE_TAME);
    wr_str_addf(&head, "<div class=\"clock\">\n<p class=\"alone of\"><b>If you sit at the console:</b> %s, ",
                d.limit_name[2]);
    ck_assert(d.card.list[2].limit.limit.is_clock);
    const char *clock = strstr(page_of_all(), wr_str_text(&head));
    ck_assert_ptr_nonnull(clock);
    const char *verdict = strstr(clock, " of 100 go over it"), *table = strstr(clock, "<table");
    ck_assert(verdict && table && verdict < table);
    ck_assert_ptr_nonnull(strstr(out.text, "@bottom-center"));
}
END_TEST

START_TEST(says_what_it_rests_on)
{
    sample_make(&s, 28, SAMPLE_TAME);
    page_of(figures, 2);
    ck_assert_ptr_nonnull(strstr(out.text, "wetrun 0.1.0, seed 7, 4800 trials"));
    ck_assert_ptr_nonnull(strstr(out.text, s.input[0].sha256_hex));
    ck_assert_ptr_nonnull(strstr(out.text, "Kubis"));
    ck_assert_ptr_nonnull(strstr(out.text, "start &#39;25:61&#39; is no time"));
}
END_TEST

START_TEST(slider_data_are_the_stated_numbers)
{
    struct wr_forecast_result forecast = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};
    struct wr_page page = {.context = &s.context, .forecast = &forecast};
    struct wr_error err;

    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.limit[0].over = (struct wr_probability){.mean = .09, .lo = .001, .hi = .19, .mc_error = .001};
    struct wr_other_limits *other = moved_about(false);
    page.other = other;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    const char *data = strstr(out.text, "id=\"try-data\">{");
    ck_assert_ptr_nonnull(data);
    ck_assert_ptr_nonnull(strstr(data, "\"limit\":[\"6:20\",\"6:30\",\"6:40\"]"));
    ck_assert_ptr_nonnull(strstr(data, "\"given\":[1,1]"));
    ck_assert_ptr_nonnull(
        strstr(data, "\"9 of 100 go over it; it could be fewer than 1 or as many as 19. Wanted at most 10: not enough "
                     "rehearsals to tell.\""));
    /* another wish, another verdict on the same numbers */
    ck_assert_ptr_nonnull(
        strstr(data, "\"9 of 100 go over it; it could be fewer than 1 or as many as 19. Wanted at most 20: inside.\""));
    ck_assert_ptr_nonnull(strstr(
        data, "\"31 of 100 go over it; it could be as few as 12 or as many as 55. Wanted at most 10: not inside.\""));
    /* the worse answer of the limit tried, whatever is wanted of it */
    static struct wr_second second[3];
    second[0] = (struct wr_second){.known = true, .kind = WR_BESIDE_JUDGED_SHORT, .percent = 20,
                                   .over = {.mean = .43, .lo = .22, .hi = .71}};
    other->second = second;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    ck_assert_int_eq(html_count(out.text, "\"31 of 100 go over it; it could be as few as 12 or as many as 55; if "
                                          "judged 20 % short 43 of 100 go over (22 to 71). Wanted at most "), 2);
    other->second = NULL;
    /* what decides at one limit and wish is said of it there alone, and nothing is firm there */
    double longer[3] = {.40, .15, .05};
    other->longer_over = longer;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    data = strstr(out.text, "id=\"try-data\">{");
    ck_assert_ptr_nonnull(
        strstr(data, "\"Doubtful, for it rests on this: with what is shown to get longer going on by its own trend, "
                     "about 15 of 100 would go over 6:30. 9 of 100 go over it; it could be fewer than 1 or as many as "
                     "19. Wanted at most 10: cannot be told for a doubt of the forecast"));
    ck_assert_int_eq(html_count(data, "Doubtful, for it rests on this"), 1);
    ck_assert_ptr_nonnull(strstr(data, "19. Wanted at most 20: inside.\""));
    other->longer_beside = true; /* of a limit that stays: of all that is tried */
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    ck_assert_int_eq(html_count(out.text, "Wanted at most 20: cannot be told for a doubt of the forecast"), 3);
    other->longer_beside = false;
    other->longer_over = NULL;
    struct wr_stuck_over then[3] = {{.40, .60}, {.15, .26}, {other->over[2].mean, other->over[2].hi}};
    other->stuck = then; /* likewise of work that gets stuck: of a wish that 6:30 would be inside of */
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    data = strstr(out.text, "id=\"try-data\">{");
    ck_assert_ptr_nonnull(
        strstr(data, "\"Doubtful, for it rests on this: if the tasks that have not been stuck get stuck as others "
                     "were, about 15 of 100 (perhaps 26) would go over 6:30. 9 of 100 go over it; it could be fewer "
                     "than 1 or as many as 19. Wanted at most 20: cannot be told for a doubt of the forecast"));
    ck_assert_int_eq(html_count(data, "Doubtful, for it rests on this"), 1);
    other->stuck_beside = true;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    ck_assert_int_eq(html_count(out.text, "Wanted at most 20: cannot be told for a doubt of the forecast"), 3);
    other->stuck_beside = false;
    other->stuck = NULL;
    /* what keeps it from being inside, as the forecast says it */
    s.context.n_complete_run = 3;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    ck_assert_ptr_nonnull(strstr(
        out.text, "Wanted at most 20: not enough rehearsals to tell, for three rehearsals are complete, and with fewer "
                  "than four no limit counts as kept, since the number then leans more on the model than on whole days "
                  "that were seen.\""));
    s.context.n_complete_run = s.context.n_run = 0;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    ck_assert_ptr_nonnull(strstr(out.text, "Wanted at most 20: not enough rehearsals to tell, for nothing was "
                                           "rehearsed: this rests on judgement alone, and leaves out how far that "
                                           "may be off.\""));
}
END_TEST

/* A card tried has above it what is said of its own limit, and cells that sort by their values. */
START_TEST(slider_card_brings_what_stands_above_it)
{
    decide_all(SAMPLE_TAME);
    struct wr_cutoff_list *given = &d.card.list[0];
    double was_over = given->prob_over, was_needed = given->needed_min;
    given->prob_over = 0.4; /* of the lists tried, which are its copies */
    given->needed_min = given->limit.limit.minutes + 17;
    page_of_all();
    const char *data = strstr(out.text, "\"about\":[[\"");
    ck_assert_ptr_nonnull(data);
    ck_assert_ptr_nonnull(strstr(data, "[\"Even begun on time, the plan leaves "));
    ck_assert_ptr_nonnull(strstr(data, "\"What the rehearsals say of the limits: "));
    ck_assert_ptr_nonnull(strstr(data, "confidence, even begun on time: that takes a limit of "));
    ck_assert_ptr_nonnull(strstr(out.text, "<p id=\"card-reach\">"));
    ck_assert_ptr_nonnull(strstr(data, "\"Begin by, elapsed time: for excursion, 6:20, wanted inside in 80 of 100; "));
    ck_assert_ptr_nonnull(strstr(data, "\"excursion, 6:40, wanted inside in 90 of 100: "));
    const char *kept = strstr(out.text, "\"kept\":\" The other limits stay as they are: ");
    ck_assert_ptr_nonnull(kept);
    ck_assert(strncmp(strstr(kept, ": ") + 2, "excursion", 9) != 0 && strstr(kept, ", wanted inside in 90 of 100.\""));
    const char *row = strstr(out.text, "\"card\":[{\"0\":[");
    ck_assert_ptr_nonnull(row);
    const char *keys = strstr(row, ",[");
    ck_assert_ptr_nonnull(keys);
    ck_assert_int_eq(html_count(out.text, "\"about\":[["), 1);
    given->prob_over = was_over;
    given->needed_min = was_needed;
}
END_TEST

/* The data of the n-th card that may be tried, under this key: up to the next one. */
static char *tried(const char *key, size_t n)
{
    char opens[32];
    snprintf(opens, sizeof opens, "\"%s\":[{", key);
    const char *from = strstr(out.text, opens);
    ck_assert_ptr_nonnull(from);
    from += strlen(opens) - 1;
    for (int depth = 0;; from++) {
        if (*from == '{' && depth++ == 0 && n-- == 0) break;
        depth -= *from == '}';
    }
    const char *to = from;
    for (int depth = 0; depth > 0 || to == from; to++) depth += (*to == '{') - (*to == '}');
    return strndup(from, (size_t)(to - from));
}

/* The times on a clock stay as they are, but what is said behind them of the excursion's limit is of the one tried. */
START_TEST(slider_moves_what_a_clock_says_of_the_limit)
{
    const size_t seat = 6;

    decide_all(SAMPLE_TAME);
    const struct wr_sim_limit *clock = &d.card.list[2].limit.limit;
    struct wr_cutoff_row *own = &d.card.list[0].row[seat];
    const double begins_min = d.card.list[0].row[clock->from].typical_start_min;
    ck_assert(d.card.n_limit == 3 && clock->is_clock && own->reason == WR_CUTOFF_FOUND);
    d.card.list[2].row[seat] = (struct wr_cutoff_row){
        .task = seat, .reason = WR_CUTOFF_FOUND, .typical_start_min = 60, .latest_start_min = 60.5, .slack_min = .5};
    d.card.list[1].row[seat].reason = WR_CUTOFF_NOT_BEFORE_LIMIT;
    own->latest_start_min = begins_min + 58;
    page_of_all();
    for (size_t i = 0; i < 6; i++) {
        WR_SCOPED_STR said = {0};
        wr_str_addf(&said,
                    "\"6\":\"sooner for \\u201cexcursion\\u201d, %s, if this clock begins as usual: by %s "
                    "elapsed\"",
                    wr_moment(s.limits.limit[0].minutes + 10 * ((double)(i / 2) - 1), WR_ROOM),
                    wr_moment_by(own->latest_start_min, WR_ROOM));
        char *notes = tried("clock", i);
        ck_assert_msg(strncmp(notes, "{\"3\":{", 6) == 0 && strstr(notes, said.text), "%s in %s", said.text, notes);
        free(notes);
    }
    const char *early = strstr(out.text, "\"early\":{\"3\":{");
    ck_assert_ptr_nonnull(early); /* of a limit before any of them nothing is known */
    ck_assert(strstr(strstr(early, "\"6\":\""), "asks for it sooner was not worked out") < strchr(early, '}'));
    own->latest_start_min = begins_min + 63;
    page_of_all();
    char *notes = tried("clock", 5);
    ck_assert_ptr_nonnull(strstr(notes, "\"6\":\"\""));
    free(notes);
    /* whether leaving work out helps is known of the limit as given, whatever is wanted of it */
    s.plan.task[seat].drop_after_min = wr_known(300);
    page_of_all();
    for (size_t i = 0; i < 6; i++) {
        char *rows = tried("card", i);
        ck_assert_int_eq(strstr(rows, "was not worked out for a limit that is tried") == NULL, i / 2 == 1);
        free(rows);
    }
    ck_assert_ptr_null(strstr(out.text, "is of the limits as given"));
    struct wr_present_finding lengthens = {
        WR_WARNING, "task-lengthens", NULL, "1 task is shown to get longer: 'BRIDGE'", 0, 0, 1, 3, 1, true, NULL,
        false};
    s.context.finding = &lengthens;
    s.context.n_finding = 1;
    page_of_all();
    ck_assert_ptr_nonnull(strstr(out.text, " What the page says first of what tasks that get longer would cost is of "
                                           "the limits as given.\""));
    done();
}
END_TEST

START_TEST(what_is_absent_says_what_to_give)
{
    struct wr_forecast_result forecast = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};
    struct wr_page page = {.context = &s.context, .forecast = &forecast};
    struct wr_error err;

    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.n_limit = s.limits.n_limit = 0;
    s.context.confidence = WR_UNKNOWN;
    wr_str_clear(&out);
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    static const char *const said[] = {"<code>wetrun logsheet</code> prints a log", "Add limits.csv, or --limit 6:30.",
                                       "or --confidence 0.9", "It takes three rehearsals"};
    for (size_t i = 0; i < sizeof said / sizeof *said; i++)
        ck_assert_msg(strstr(out.text, said[i]) != NULL, "%s", said[i]);
}
END_TEST

/* A column of nothing would be one more to read: there only where there is such work. */
START_TEST(work_off_the_plan_has_its_column)
{
    decide_all(SAMPLE_TAME);
    ck_assert_ptr_null(strstr(page_of_all(), ">off plan</th>"));
    e.comparison.run[1].off_plan_min = 13;
    const char *runs = strstr(page_of_all(), "id=\"t-runs\""), *next = strstr(runs, "</table>");
    const char *head = strstr(runs, ">off plan</th>"), *cell = strstr(runs, ">0:13</td>");
    ck_assert(head && cell && head < next && cell < next);
    ck_assert_ptr_nonnull(strstr(next, "<dd>Work that the plan does not have"));
}
END_TEST

/* Every number of the page has its meaning one step away: no column of a table is without one, but for what names or
 * dates a row. */
START_TEST(every_column_has_its_meaning)
{
    static const char *const plain[] = {"id",
                                        "task",
                                        "lane",
                                        "run",
                                        "date",
                                        "limit",
                                        "kind of work",
                                        "checkpoint",
                                        "what stood out",
                                        "work that may be dropped",
                                        "name",
                                        "severity",
                                        "code",
                                        "file",
                                        "line",
                                        "column",
                                        "what",
                                        "began",
                                        "",
                                        "four times on one day",
                                        "further rehearsals"};
    size_t n = 0;

    full_page(SAMPLE_TAME);
    for (const char *table = out.text; (table = strstr(table, "<caption id=\"")) != NULL; table++) {
        const char *end = strstr(table, "</thead>"), *means = strstr(table, "</div>"),
                   *next = strstr(table + 1, "<caption id=\"");
        for (const char *th = table; (th = strstr(th, "<th scope=\"col\"")) != NULL && th < end; th++) {
            const char *from = strchr(th, '>') + 1, *to = strstr(from, "</th>");
            char term[160], entry[192];
            snprintf(term, sizeof term, "%.*s", (int)(to - from), from);
            for (char *c = term; *c; c++)
                if (*c == '\n') *c = ' ';
            bool is_plain = false;
            for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) is_plain |= strcmp(term, plain[i]) == 0;
            snprintf(entry, sizeof entry, "<dt>%.*s</dt>", (int)(to - from), from);
            const char *found = strstr(means, entry);
            ck_assert_msg(is_plain || (found && (!next || found < next)), "%.60s: '%s' is not explained", table, term);
            n++;
        }
    }
    ck_assert_uint_gt(n, 80);
    done();
}
END_TEST

static size_t times_said(const char *what)
{
    size_t n = 0;

    for (const char *at = out.text; (at = strstr(at, what)) != NULL; at++) n++;
    return n;
}

/* No rehearsal narrows what earlier excursions leave open of how pool times carry over: no interval that has it in it
 * may be called the rehearsals' alone. Nothing that marks a place for the words is left. */
START_TEST(an_interval_is_the_doubt_of_all_that_it_rests_on)
{
    static const char mine[] = "he rehearsals leave open",
                      both[] = "he rehearsals and the earlier excursions leave open";
    size_t n[2];

    for (int excursion = 0; excursion < 2; excursion++) {
        decide_all(SAMPLE_TAME);
        s.context.target = excursion ? WR_FOR_EXCURSION : WR_FOR_REHEARSAL;
        s.context.has_carry_over = excursion;
        page_of_all();
        n[excursion] = times_said(excursion ? both : mine);
        ck_assert_uint_eq(times_said(excursion ? mine : both), 0);
        ck_assert_ptr_nonnull(strstr(out.text, excursion
                                                   ? "What the rehearsals and the earlier excursions say of the limits"
                                                   : "What the rehearsals say of the limits"));
        ck_assert_ptr_null(strstr(out.text, "{what"));
        done();
    }
    ck_assert_uint_eq(n[0], n[1]);
    ck_assert_uint_ge(n[0], 6); /* columns of limits, finishes and tasks, their glossary, what is assumed */
}
END_TEST

START_TEST(without_a_limit_or_a_log)
{
    struct wr_forecast_result forecast = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};
    struct wr_page page = {.context = &s.context, .forecast = &forecast};
    struct wr_error err;

    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.n_limit = s.limits.n_limit = 0;
    s.context.n_run = s.context.n_complete_run = 0;
    ck_assert_int_eq(wr_page_write(&page, &out, &err), WR_OK);
    html_check(out.text);
    ck_assert_ptr_nonnull(strstr(out.text, "nothing rehearsed yet"));
    ck_assert_ptr_nonnull(strstr(out.text, "No limit was given"));
    ck_assert_ptr_null(strstr(out.text, "id=\"try-limit\""));
}
END_TEST

START_TEST(judgement_alone_never_says_inside)
{
    sample_make(&s, 28, SAMPLE_TAME);
    s.context.n_run = s.context.n_complete_run = 0;
    s.forecast.limit[0].over = (struct wr_probability){.mean = .001, .lo = .0005, .hi = .002, .mc_error = .0001};
    page_of(figures, 2);
    html_check(out.text);
    ck_assert_ptr_nonnull(
        strstr(out.text, "<b class=\"open\">Not enough rehearsals to tell</b>: nothing was rehearsed."));
    ck_assert_ptr_null(strstr(out.text, "<b>Inside"));
    ck_assert_ptr_nonnull(strstr(out.text, "such rehearsals go over the 6:30 limit. "));
    char *title = html_inside(out.text, "title");
    ck_assert_ptr_nonnull(strstr(title, "not enough rehearsals to tell"));
    free(title);
    s.context.open_by = WR_OPEN_BY_FILES;
    page_of(figures, 2);
    ck_assert_ptr_nonnull(strstr(out.text, "Cannot be told for a doubt of the files</b>; and nothing was rehearsed."));
}
END_TEST

START_TEST(a_number_that_is_none_gives_no_page)
{
    struct wr_error err = {0};

    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.task[2].on_longest_path = NAN;
    ck_assert_int_eq(write_page(figures, 2, &err), WR_E_DOMAIN);
    ck_assert_uint_eq(out.len, 0);
    ck_assert_ptr_nonnull(strstr(err.text, "on_longest_path"));
}
END_TEST

/* The first panel shows some of the shares: as many marks stand beside each as its number says. */
START_TEST(marks_of_the_first_panel_are_what_stands_beside_them)
{
    const char *at;
    size_t n_row = 0;

    decide_all(SAMPLE_TAME);
    at = page_of_all();
    while ((at = strstr(at, "<span class=\"n\">"))) {
        const char *dots = strstr(at, "<span class=\"dots\""), *end = dots ? strstr(dots, "</span>") : NULL;
        char *behind;
        double shown = strtod(at + strlen("<span class=\"n\">"), &behind), n_mark = 0;
        at = behind;
        if (!end || strncmp(behind, " %</span><span class=\"dots\"", 26) != 0) continue;
        for (const char *c = dots; c < end; c++) n_mark += (unsigned char)c[0] == 0xe2;
        ck_assert_msg(fabs(n_mark - shown) <= 0.5, "%g marks beside %g %%", n_mark, shown);
        n_row++;
    }
    ck_assert_uint_gt(n_row, 2);
}
END_TEST

/* A doubt about a limit is no doubt about how the rehearsals went, but where a chart of them draws it. */
START_TEST(a_doubt_about_a_limit_goes_where_a_limit_is)
{
    static const struct wr_present_finding of_log = {.severity = WR_WARNING, .code = "implausible-step", .n = 1,
                                                     .message = "a step is long", .doubtful = true};
    const char *const about_limit = "Doubtful, for it rests on this: a limit is far.";

    for (int drawn = 0; drawn < 2; drawn++)
        for (int about_log = 0; about_log < 2; about_log++) {
            const struct wr_page_figure was = figures[1];
            const char *page, *train, *next, *found;
            decide_all(SAMPLE_TAME);
            s.context.doubt = about_limit;
            s.context.second_words = s.context.excursion_words = NULL;
            s.context.n_second = 0;
            s.context.excursion = NULL;
            s.context.apart = (struct wr_present_found){&of_log, about_log ? 1 : 0,
                                                        about_log ? "Doubtful, for it rests on this: a step." : NULL,
                                                        WR_OPEN_BY_NOTHING};
            figures[1].place = WR_AT_RUNS;
            figures[1].shows_limit = drawn;
            page = page_of_all();
            ck_assert_ptr_nonnull(strstr(page, about_limit));
            train = strstr(page, "<section class=\"reader\" id=\"train\"");
            next = strstr(train + 1, "<section class=\"reader\"");
            found = strstr(train, about_limit);
            ck_assert_int_eq(found && found < next, drawn);
            found = strstr(train, "rests on this: a step.");
            ck_assert_int_eq(found && found < next, !drawn && about_log);
            figures[1] = was;
            done();
        }
}
END_TEST

Suite *suite_page(void);
Suite *suite_page(void)
{
    Suite *suite = suite_create("page");
    TCase *t = tcase_create("page");

    tcase_add_checked_fixture(t, NULL, done);
    tcase_add_test(t, sound_with_and_without_charts);
    tcase_add_test(t, all_of_it_is_sound_too);
    tcase_add_test(t, first_screen_says_what_to_mend);
    tcase_add_test(t, the_card_says_what_its_times_rest_on);
    tcase_add_test(t, every_table_of_times_names_what_is_wanted);
    tcase_add_test(t, first_screen_says_what_to_do_and_what_is_not_met);
    tcase_add_test(t, what_to_allow_is_as_the_table_says_it);
    tcase_add_test(t, first_screen_does_not_advise_what_does_not_help);
    tcase_add_test(t, what_to_watch_over_all_limits);
    tcase_add_test(t, a_rehearsal_is_advised_for_what_it_brings);
    tcase_add_test(t, a_rehearsal_is_advised_for_the_rule_of_four);
    tcase_add_test(t, a_rehearsal_that_settles_the_second_answer_is_advised);
    tcase_add_test(t, what_is_not_inside_calls_for_less);
    tcase_add_test(t, what_to_watch_on_a_clock);
    tcase_add_test(t, a_limit_that_is_not_kept_does_not_hide);
    tcase_add_test(t, sheets_name_the_last_day_not_the_last_text);
    tcase_add_test(t, no_attack_comes_through_as_markup);
    tcase_add_test(t, policy_names_the_style_and_the_script_that_are_there);
    tcase_add_test(t, hash_helper_is_right);
    tcase_add_test(t, a_doubt_stands_first);
    tcase_add_test(t, a_doubt_goes_with_each_sheet);
    tcase_add_test(t, a_number_without_an_interval_is_no_verdict);
    tcase_add_test(t, another_model_is_named_above_the_answer);
    tcase_add_test(t, a_clock_has_its_own_head_on_paper);
    tcase_add_test(t, a_doubt_about_a_limit_goes_where_a_limit_is);
    tcase_add_test(t, marks_of_the_first_panel_are_what_stands_beside_them);
    tcase_add_test(t, first_screen_answers);
    tcase_add_test(t, one_limit_needs_no_name);
    tcase_add_test(t, says_what_it_rests_on);
    tcase_add_test(t, slider_data_are_the_stated_numbers);
    tcase_add_test(t, slider_card_brings_what_stands_above_it);
    tcase_add_test(t, slider_moves_what_a_clock_says_of_the_limit);
    tcase_add_test(t, what_is_absent_says_what_to_give);
    tcase_add_test(t, every_column_has_its_meaning);
    tcase_add_test(t, work_off_the_plan_has_its_column);
    tcase_add_test(t, an_interval_is_the_doubt_of_all_that_it_rests_on);
    tcase_add_test(t, without_a_limit_or_a_log);
    tcase_add_test(t, judgement_alone_never_says_inside);
    tcase_add_test(t, a_number_that_is_none_gives_no_page);
    suite_add_tcase(suite, t);
    return suite;
}
