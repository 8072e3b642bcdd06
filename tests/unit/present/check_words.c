#include <check.h>
#include <string.h>
#include "wetrun/present/beside_view.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

START_TEST(probabilities_are_counts_of_a_hundred)
{
    char b[WR_WORDS];

    ck_assert_str_eq(wr_of_100(0.093, b), "9");
    ck_assert_str_eq(wr_of_100(0.095, b), "10"); /* half up */
    ck_assert_str_eq(wr_of_100(0.004, b), "fewer than 1");
    ck_assert_str_eq(wr_of_100(0.0, b), "fewer than 1");
    ck_assert_str_eq(wr_of_100(0.996, b), "more than 99");
    ck_assert_str_eq(wr_of_100(1.0, b), "more than 99");
    ck_assert_str_eq(wr_of_100_cell(1e-9, b), "<1");
    ck_assert_str_eq(wr_of_100_certain(1, true, b), "all");
    ck_assert_str_eq(wr_of_100_certain(0, true, b), "none");
    ck_assert_str_eq(wr_of_100_certain(1, false, b), "more than 99"); /* counted on days: another may do otherwise */
    ck_assert_str_eq(wr_of_100_certain(0.9999, true, b), "more than 99");
    ck_assert_str_eq(wr_of_100_certain_cell(1, true, b), "all");
    ck_assert_str_eq(wr_of_100_certain_cell(0, false, b), "<1");
    ck_assert_str_eq(wr_chance(&(struct wr_probability){.mean = 0, .certain = true}, b), "none");
    ck_assert_str_eq(wr_chance_cell(&(struct wr_probability){.mean = 1}, b), ">99");
    ck_assert_str_eq(wr_of_100_cell(0.999, b), ">99");
    ck_assert_int_eq(wr_count_of_100(0.005), 1);
    ck_assert_int_eq(wr_count_of_100(0.0049), 0);
}
END_TEST

START_TEST(an_interval_end_never_looks_on_the_wrong_side_of_the_wish)
{
    char b[WR_WORDS];
    struct wr_maybe wish = wr_known(0.1);

    ck_assert_str_eq(wr_of_100_beside(0.104, wish, b), "10.4");
    ck_assert_str_eq(wr_of_100_beside(0.0996, wish, b), "9.96"); /* one decimal would still read 10.0 */
    ck_assert_str_eq(wr_of_100_beside(0.1, wish, b), "10");
    ck_assert_str_eq(wr_of_100_beside(0.1000000001, wish, b), "just over 10");
    ck_assert_str_eq(wr_of_100_beside(0.194, wish, b), "19");
    ck_assert_str_eq(wr_of_100_beside(0.104, WR_UNKNOWN, b), "10");
    ck_assert_str_eq(wr_of_100_beside(0.001, wish, b), "<1");
    ck_assert_str_eq(wr_of_100_beside(0.004, wr_known(0.001), b), "0.4"); /* a strict wish: "<1" would hide the miss */
    ck_assert_str_eq(wr_of_100_beside(0.0004, wr_known(0.001), b), "0.04");
    ck_assert_str_eq(wr_allowed_of_100(0.9, b), "10");
    ck_assert_str_eq(wr_allowed_of_100(0.995, b), "0.5");
}
END_TEST

/* 93.4 s are 0:01:33, and what must not be passed is cut down to the second before it; 93.4 s to 130.6 s as shown. */
START_TEST(moments_to_the_second)
{
    char b[WR_CLOCK_TEXT], w[WR_WORDS];

    wr_moments_to_the_second(true);
    ck_assert_str_eq(wr_moment(93.4 / 60, b), "0:01:33");
    ck_assert_str_eq(wr_moment_by(93.9 / 60, b), "0:01:33");
    ck_assert_double_eq_tol(wr_moment_gap_min(93.4 / 60, 130.6 / 60), 38.0 / 60, 1e-12);
    ck_assert_str_eq(wr_minutes_whole(-38.0 / 60, w), "\xe2\x88\x92" "38 s");
    ck_assert_str_eq(wr_minutes_whole(2.5, w), "2.5 min");
    wr_moments_to_the_second(false);
    ck_assert_str_eq(wr_moment(93.4 / 60, b), "0:02");
    ck_assert_str_eq(wr_moment_by(119.9 / 60, b), "0:01");
    ck_assert_str_eq(wr_minutes_whole(2.5, w), "3 min");
}
END_TEST

START_TEST(spans_and_shares)
{
    char b[WR_WORDS];

    ck_assert_str_eq(wr_minutes(17.4, b), "17 min");
    ck_assert_str_eq(wr_minutes(4.25, b), "4.3 min");
    ck_assert_str_eq(wr_minutes(9.97, b), "10 min"); /* not "10.0" */
    ck_assert_str_eq(wr_minutes(-3.1, b), "\xe2\x88\x92" "3.1 min");
    ck_assert_str_eq(wr_minutes(-0.01, b), "0 min");
    ck_assert_str_eq(wr_minutes_whole(17.6, b), "18 min");
    ck_assert_str_eq(wr_minutes_whole(-17.6, b), "\xe2\x88\x92"
                                                 "18 min");
    ck_assert_str_eq(wr_minutes_whole(-0.2, b), "0 min"); /* no sign before nothing */
    wr_moments_to_the_second(true);
    ck_assert_str_eq(wr_minutes_whole(0.5, b), "30 s");
    ck_assert_str_eq(wr_minutes_whole(-0.5, b), "\xe2\x88\x92"
                                                "30 s");
    ck_assert_str_eq(wr_minutes_whole(-0.001, b), "0 s");
    wr_moments_to_the_second(false);
    ck_assert_str_eq(wr_percent(6e6, b), ">9999 %");
    ck_assert_str_eq(wr_percent(99.99, b), "9999 %");
    ck_assert_str_eq(wr_percent(0.281, b), "28 %");
    ck_assert_str_eq(wr_percent(0.0534, b), "5.3 %");
    ck_assert_str_eq(wr_percent(0.0001, b), "<0.1 %");
    ck_assert_str_eq(wr_percent(0, b), "0 %");
    ck_assert_str_eq(wr_percent(0.999, b), "99.9 %"); /* less than all is not all */
    ck_assert_str_eq(wr_percent(0.99999, b), "99.9 %");
    ck_assert_str_eq(wr_percent(0.996, b), "99.6 %");
    ck_assert_str_eq(wr_percent(0.994, b), "99 %");
    ck_assert_str_eq(wr_percent(1, b), "100 %");
}
END_TEST

START_TEST(verdict_branches_on_the_interval)
{
    struct wr_probability over = {.mean = 0.09, .lo = 0.01, .hi = 0.19};

    ck_assert_int_eq(wr_verdict_on(&over, 0.9), WR_VERDICT_CANNOT_TELL);
    ck_assert_int_eq(wr_verdict_on(&over, 0.8), WR_VERDICT_INSIDE);
    ck_assert_int_eq(wr_verdict_on(&over, 0.995), WR_VERDICT_NOT_INSIDE);
    over.hi = 0.1;
    ck_assert_int_eq(wr_verdict_on(&over, 0.9), WR_VERDICT_INSIDE); /* 1 - 0.9 < 0.1 in binary */
    over.lo = 0.1;
    ck_assert_int_eq(wr_verdict_on(&over, 0.9), WR_VERDICT_INSIDE);
    over.hi = 0.100001;
    ck_assert_int_eq(wr_verdict_on(&over, 0.9), WR_VERDICT_CANNOT_TELL);
    ck_assert_str_eq(wr_verdict_words(WR_VERDICT_CANNOT_TELL), "not enough rehearsals to tell");
}
END_TEST

START_TEST(a_choice_of_line_ups_is_said)
{
    struct wr_present_context ctx = {.n_run = 6, .has_target = true, .n_line_up = 2};
    struct wr_str text = {0};

    wr_context_headline(&ctx, "forecast", &text);
    ck_assert_str_eq(text.text, "forecast of the next rehearsal, at pool pace, from six rehearsals (done by one of the "
                                "two rehearsed line-ups at random; --people names one)");
    wr_str_clear(&text);
    ctx.n_line_up = 1;
    wr_context_headline(&ctx, "forecast", &text);
    ck_assert_str_eq(text.text, "forecast of the next rehearsal, at pool pace, from six rehearsals");
    wr_str_clear(&text);
    ctx.person = (const char *const[]){"Ada", "Bo"};
    ctx.lane = (const char *const[]){"EV1", "EV2", "EV3"};
    ctx.n_lane = 3;
    ctx.line_up = (const int[]){1, -1, 0};
    wr_context_headline(&ctx, "forecast", &text);
    ck_assert_str_eq(text.text, "forecast of the next rehearsal, at pool pace, from six rehearsals (done by Bo in EV1, "
                                "Ada in EV3)");
    wr_str_clear(&text);
    ctx.line_up = (const int[]){1, -1, 0, 1, -1, -1, 1, -1, 0}; /* named in part: Bo, and somebody new */
    ctx.n_line_up = 2;
    ctx.n_line_up_row = 3;
    ctx.people_named = true;
    wr_context_line_up_words(&ctx, &text);
    ck_assert_str_eq(text.text, "done by Bo in EV1, somebody new in EV2, the rest as in one of the two rehearsed "
                                "line-ups at random");
    wr_str_clear(&text);
    ctx = (struct wr_present_context){.n_run = 6, .n_line_up = 2}; /* nothing is forecast */
    wr_context_headline(&ctx, "rehearsals side by side", &text);
    ck_assert_str_eq(text.text, "rehearsals side by side, from six rehearsals");
    wr_str_release(&text);
}
END_TEST

static const struct wr_second one_answer = {0};

/* Of two answers that may both be right neither is passed over: inside is what both bear. */
START_TEST(inside_is_what_both_answers_bear)
{
    static const struct {
        double hi, second_hi, second_error;
        enum wr_verdict verdict;
        enum wr_lack lack;
    } row[] = {
        {0.04, 0.09, 0, WR_VERDICT_INSIDE, WR_LACKS_NOTHING},
        {0.04, 0.11, 0, WR_VERDICT_CANNOT_TELL, WR_LACKS_SECOND},
        {0.04, 0.09, 0.01, WR_VERDICT_CANNOT_TELL, WR_LACKS_SECOND}, /* 0.09 + 1.645 * 0.01 is beyond 0.1 */
        {0.12, 0.30, 0, WR_VERDICT_CANNOT_TELL, WR_LACKS_NOTHING},   /* the first tells nothing either */
    };
    const struct wr_grounds many = {.n_rehearsal = 8, .n_complete = 8}, three = {.n_rehearsal = 8, .n_complete = 3},
                            one = {.n_rehearsal = 8, .n_complete = 1};
    const struct wr_probability beyond = {.mean = 0.5, .lo = 0.3, .hi = 0.8};
    struct wr_second second = {.known = true, .kind = WR_BESIDE_GAP_ALLOWED, .percent = 10};
    struct wr_str text = {0};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const struct wr_probability over = {.mean = 0.02, .lo = 0.001, .hi = row[i].hi};
        second.over = (struct wr_probability){.mean = 0.03, .lo = 0.002, .hi = row[i].second_hi,
                                              .hi_mc_error = row[i].second_error};
        ck_assert_int_eq(wr_verdict_from(&over, &second, 0.9, many), row[i].verdict);
        ck_assert_int_eq(wr_verdict_lacks(&over, &second, 0.9, many), row[i].lack);
        ck_assert_int_eq(wr_verdict_from(&over, &second, 0.9, three), WR_VERDICT_CANNOT_TELL);
    }
    ck_assert_int_eq(wr_verdict_from(&beyond, &second, 0.9, many), WR_VERDICT_NOT_INSIDE);
    const struct wr_probability rare = {.mean = 0.02, .lo = 0.001, .hi = 0.04};
    second.over = rare;
    ck_assert_int_eq(wr_verdict_from(&rare, &second, 0.9, many), WR_VERDICT_INSIDE);
    second.before_day = true; /* what was within before the day says nothing of it */
    ck_assert_int_eq(wr_verdict_from(&rare, &second, 0.9, many), WR_VERDICT_CANNOT_TELL);
    wr_second_words(&second, wr_known(0.9), &text);
    ck_assert_ptr_nonnull(strstr(text.text, ", before the day: now it cannot be said"));
    wr_str_clear(&text);
    second.before_day = false;
    second.over = (struct wr_probability){.mean = 0.03, .lo = 0.001, .hi = 0.16};
    wr_lack_words(": ", WR_LACKS_SECOND, many, NULL, &second, 0.9, &text);
    ck_assert_str_eq(text.text, ": with 10 % allowed for the gap 3 of 100 go over (<1 to 16), and nothing here says "
                                "which of the answers is right");
    second.kind = WR_BESIDE_JUDGED_SHORT;
    second.percent = 20;
    wr_str_clear(&text);
    wr_lack_words(": ", WR_LACKS_COMPLETE, one, NULL, &second, 0.9, &text); /* both stand in the way */
    ck_assert_ptr_nonnull(strstr(text.text, "; nor is it within that by another answer: if judged 20 % short 3 of 100 "
                                            "go over (<1 to 16)"));
    wr_str_clear(&text);
    second.over.hi = 0.09;
    wr_lack_words(": ", WR_LACKS_COMPLETE, one, NULL, &second, 0.9, &text);
    ck_assert_ptr_null(strstr(text.text, "another answer"));
    second.over.hi = 0.16;
    wr_str_clear(&text);
    wr_second_words(&second, wr_known(0.9), &text);
    ck_assert_str_eq(text.text, "if judged 20 % short 3 of 100 go over (<1 to 16)");
    wr_str_release(&text);
}
END_TEST

/* What the next seed may take back is not said: an end must be farther from what is allowed than its own error. */
START_TEST(no_verdict_hangs_on_the_draws)
{
    static const struct {
        double lo, hi, lo_error, hi_error;
        enum wr_verdict verdict;
        enum wr_lack lack;
    } row[] = {
        {0.001, 0.096, 0, 0.010, WR_VERDICT_CANNOT_TELL, WR_LACKS_PRECISION},
        {0.001, 0.080, 0, 0.010, WR_VERDICT_INSIDE, WR_LACKS_NOTHING},
        {0.110, 0.600, 0.014, 0, WR_VERDICT_CANNOT_TELL, WR_LACKS_PRECISION},
        {0.130, 0.600, 0.014, 0, WR_VERDICT_NOT_INSIDE, WR_LACKS_NOTHING},
        {0.001, 0.190, 0, 0.010, WR_VERDICT_CANNOT_TELL, WR_LACKS_NOTHING},
        {0, 0, 0, 0, WR_VERDICT_INSIDE, WR_LACKS_NOTHING},
    };
    const struct wr_grounds many = {.n_rehearsal = 8, .n_complete = 8};
    struct wr_str text = {0};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        const struct wr_probability over = {.mean = (row[i].lo + row[i].hi) / 2, .lo = row[i].lo, .hi = row[i].hi,
                                            .lo_mc_error = row[i].lo_error, .hi_mc_error = row[i].hi_error};
        ck_assert_int_eq(wr_verdict_from(&over, &one_answer, 0.9, many), row[i].verdict);
        ck_assert_int_eq(wr_verdict_lacks(&over, &one_answer, 0.9, many), row[i].lack);
    }
    wr_lack_words(", but ", WR_LACKS_NOTHING, many, NULL, &one_answer, 0.9, &text);
    ck_assert_uint_eq(text.len, 0);
    wr_lack_words(", but ", WR_LACKS_PRECISION, many, NULL, &one_answer, 0.9, &text);
    ck_assert_ptr_nonnull(strstr(text.text, ", but the interval's end is nearer to what is allowed than its own"));
    wr_str_release(&text);
}
END_TEST

/* A doubt of what was typed is not for want of rehearsals: whatever the interval, that is what is said. */
START_TEST(a_doubt_is_not_for_want_of_rehearsals)
{
    static const struct wr_probability over[] = {
        {.mean = 0.01, .lo = 0.001, .hi = 0.03}, {.mean = 0.5, .lo = 0.3, .hi = 0.8},
        {.mean = 0.1, .lo = 0.01, .hi = 0.3}};
    struct wr_present_context ctx = {.n_run = 6, .n_complete_run = 6, .open_by = WR_OPEN_BY_FILES};
    struct wr_str text = {0};

    for (size_t i = 0; i < 3; i++) {
        ck_assert_int_eq(wr_verdict_lacks(&over[i], &one_answer, 0.9, wr_context_grounds(&ctx)), WR_LACKS_TRUST);
        ck_assert_int_eq(wr_verdict_from(&over[i], &one_answer, 0.9, wr_context_grounds(&ctx)),
                         WR_VERDICT_CANNOT_TELL);
    }
    ck_assert_str_eq(wr_verdict_said(WR_VERDICT_CANNOT_TELL, wr_context_grounds(&ctx)),
                     "cannot be told for a doubt of the files");
    wr_lack_words(", but ", WR_LACKS_TRUST, wr_context_grounds(&ctx), NULL, &one_answer, 0.9, &text);
    ck_assert_str_eq(text.text, ", but the numbers count only once the doubt is answered in the file, and no number of "
                                "rehearsals answers it");
    ctx.open_by = WR_OPEN_BY_FORECAST; /* chains that disagree, say: there is no file to answer it in */
    wr_str_clear(&text);
    wr_lack_words(": ", WR_LACKS_TRUST, wr_context_grounds(&ctx), NULL, &one_answer, 0.9, &text);
    ck_assert_str_eq(text.text, ": the numbers count only once the doubt is settled");
    ck_assert_str_eq(wr_verdict_said(WR_VERDICT_CANNOT_TELL, wr_context_grounds(&ctx)),
                     "cannot be told for a doubt of the forecast");
    ctx.open_by = WR_OPEN_BY_MODEL; /* nothing is doubted: it does not say how sure it is */
    ck_assert_int_eq(wr_verdict_from(&over[0], &one_answer, 0.9, wr_context_grounds(&ctx)), WR_VERDICT_CANNOT_TELL);
    wr_str_clear(&text);
    wr_lack_words(", for ", WR_LACKS_TRUST, wr_context_grounds(&ctx), NULL, &one_answer, 0.9, &text);
    ck_assert_str_eq(text.text, ", for this model does not say how sure it is");
    ck_assert_str_eq(wr_verdict_said(WR_VERDICT_CANNOT_TELL, wr_context_grounds(&ctx)),
                     "cannot be told for want of an interval");
    ctx.open_by = WR_OPEN_BY_REHEARSALS; /* nothing was done */
    ck_assert_str_eq(wr_verdict_said(WR_VERDICT_CANNOT_TELL, wr_context_grounds(&ctx)),
                     "not enough rehearsals to tell");
    ctx.open_by = WR_OPEN_BY_NOTHING;
    ck_assert_str_eq(wr_verdict_said(WR_VERDICT_INSIDE, wr_context_grounds(&ctx)), "inside");
    wr_str_release(&text);
}
END_TEST

/* The readiness criterion asks for four complete rehearsals: no verdict says "inside" on fewer. */
START_TEST(nothing_is_inside_on_few_complete_rehearsals)
{
    const struct wr_probability low = {.mean = 0.01, .lo = 0.001, .hi = 0.03};
    const struct wr_probability high = {.mean = 0.5, .lo = 0.3, .hi = 0.8};
    struct wr_present_context ctx = {.n_run = 6, .n_complete_run = 3};
    struct wr_str text = {0};

    ck_assert_int_eq(wr_verdict_from(&low, &one_answer, 0.95, wr_context_grounds(&ctx)), WR_VERDICT_CANNOT_TELL);
    ck_assert_int_eq(wr_verdict_from(&high, &one_answer, 0.95, wr_context_grounds(&ctx)), WR_VERDICT_NOT_INSIDE);
    ck_assert_int_eq(wr_verdict_lacks(&low, &one_answer, 0.95, wr_context_grounds(&ctx)), WR_LACKS_COMPLETE);
    ck_assert_int_eq(wr_verdict_lacks(&high, &one_answer, 0.95, wr_context_grounds(&ctx)), WR_LACKS_NOTHING);
    wr_lack_words(": ", WR_LACKS_COMPLETE, wr_context_grounds(&ctx), NULL, &one_answer, 0.9, &text);
    ck_assert_ptr_nonnull(strstr(text.text, "three rehearsals are complete, and with fewer than four"));
    ctx.n_complete_run = 4;
    ck_assert_int_eq(wr_verdict_from(&low, &one_answer, 0.95, wr_context_grounds(&ctx)), WR_VERDICT_INSIDE);
    ctx.open_by = WR_OPEN_BY_REHEARSALS;
    ck_assert_int_eq(wr_verdict_from(&high, &one_answer, 0.95, wr_context_grounds(&ctx)), WR_VERDICT_CANNOT_TELL);
    wr_str_release(&text);
}
END_TEST

START_TEST(caution_fits_what_is_forecast)
{
    struct wr_present_context ctx = {.has_target = true, .target = WR_FOR_EXCURSION};
    struct wr_str text = {0};

    wr_caution_short(&ctx, &text);
    ck_assert_ptr_nonnull(strstr(text.text, "Decision support only"));
    ck_assert_ptr_nonnull(strstr(text.text, "face value"));
    ctx.has_carry_over = true;
    wr_str_clear(&text);
    wr_caution_short(&ctx, &text);
    ck_assert_ptr_null(strstr(text.text, "face value"));
    ctx.target = WR_FOR_REHEARSAL;
    wr_str_clear(&text);
    wr_caution_short(&ctx, &text);
    ck_assert_ptr_nonnull(strstr(text.text, "another rehearsal"));
    wr_str_clear(&text);
    wr_caution_terminal(&ctx, &text);
    for (const char *line = text.text; *line; line += strcspn(line, "\n") + 1)
        ck_assert_uint_le(strcspn(line, "\n"), 80);
    bool cites = false;
    for (size_t i = 0; wr_caution_paragraph(&ctx, i); i++)
        cites |= strstr(wr_caution_paragraph(&ctx, i), "Kubis") && strstr(wr_caution_paragraph(&ctx, i), "1975");
    ck_assert(cites);
    wr_str_release(&text);
}
END_TEST

START_TEST(whose_doubt_an_interval_is)
{
    static const struct {
        struct wr_rests_on on;
        const char *says;
    } c[] = {{{true, false, false}, "the rehearsals say"},
             {{true, false, true}, "the rehearsals and this day say"},
             {{true, true, false}, "the rehearsals and the earlier excursions say"},
             {{true, true, true}, "the rehearsals, the earlier excursions and this day say"},
             {{false, false, false}, "judgement says"},
             {{false, true, false}, "judgement and the earlier excursions say"}};
    struct wr_present_context ctx = {.n_run = 9, .has_carry_over = true}; /* history that is not of what is forecast */
    struct wr_str text = {0};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        wr_str_clear(&text);
        wr_rests_on_words(c[i].on, "say", &text);
        ck_assert_str_eq(text.text, c[i].says);
    }
    wr_str_release(&text);
    ck_assert(wr_context_rests_on(&ctx).rehearsed && !wr_context_rests_on(&ctx).carried_over);
    ctx.target = WR_FOR_EXCURSION;
    ck_assert(wr_context_rests_on(&ctx).carried_over);
}
END_TEST

/* An end that reads as the number itself says nothing more. */
START_TEST(an_interval_in_words)
{
    static const struct {
        double mean, lo, hi;
        bool none;
        const char *words;
    } c[] = {{0.3, 0.12, 0.55, false, "it could be as few as 12 or as many as 55"},
             {0.3, 0.3, 0.55, false, "it could be as many as 55"},
             {0.3, 0.12, 0.3, false, "it could be as few as 12, hardly more"},
             {0.3, 0.299, 0.301, false, "it could be hardly another"},
             {0.3, 0.001, 0.999, false, "it could be fewer than 1 or more than 99"},
             {0.3, 0.3, 0.3, true, "with no interval: what it rests on is taken as known"}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_probability over = {.mean = c[i].mean, .lo = c[i].lo, .hi = c[i].hi, .no_interval = c[i].none};
        struct wr_str out = {0};
        wr_interval_words(&over, WR_UNKNOWN, &out);
        ck_assert_str_eq(out.text, c[i].words);
        wr_str_release(&out);
    }
}
END_TEST

START_TEST(a_hair_beside_the_wish)
{
    static const struct { double prob, bound; const char *words; } c[] = {
        {0.1 + 1e-9, 0.1, "just over 10"}, {0.1 - 1e-9, 0.1, "just under 10"},
        {0.005 - 1e-9, 0.005, "just under 0.5"}, {0.004, 0.005, "0.4"}};
    char b[WR_WORDS];

    for (size_t i = 0; i < sizeof c / sizeof *c; i++)
        ck_assert_str_eq(wr_of_100_beside(c[i].prob, wr_known(c[i].bound), b), c[i].words);
}
END_TEST

START_TEST(a_gain_of_what_is_all_known_has_no_interval)
{
    const struct wr_paired gain = {0.009, 0.009, 0.009, 0.0001, 0.0001, 0.0001, true}, none = {0, 0, 0, 0, 0, 0, false},
                           told = {0.009, 0.002, 0.02, 0.0001, 0, 0, false};
    WR_SCOPED_STR text = {0};

    wr_fewer_words(&gain, &text);
    wr_str_add(&text, "; ");
    wr_fewer_words(&told, &text);
    wr_str_add(&text, "; ");
    wr_gain_cell(&none, 100, &text);
    ck_assert_str_eq(wr_str_text(&text), "fewer by 0.9; fewer by 0.9 (0.2 to 2.0); 0.0 (0.0 to 0.0)");
}
END_TEST

/* By the rule of wr_gain_of alone: 0.05 of a hundredth reads as 0.1, what is less as 0.0; two errors of a half in 100
 * are the whole of a change of 1 in 100. The end's own error counts as well: 0.0049 less twice 0.0021 reads as 0.1. */
START_TEST(a_gain_is_called_one_only_where_it_shows)
{
    static const struct { struct wr_paired gain; double per; enum wr_gain what; } c[] = {
        {{0.003, 0.00051, 0.02, 0.0001, 0, 0, false}, 100, WR_GAIN_HELPS},
        {{0.003, 0.00049, 0.02, 0.0001, 0, 0, false}, 100, WR_GAIN_OPEN}, /* more than none, but not as it is shown */
        {{0.003, -0.001, 0.02, 0.0001, 0, 0, false}, 100, WR_GAIN_OPEN},
        {{0.01, 0.006, 0.02, 0.0049, 0, 0, false}, 100, WR_GAIN_HELPS},
        {{0.01, 0.006, 0.02, 0.0051, 0, 0, false}, 100, WR_GAIN_OPEN}, /* chance in the trials explains it */
        {{0.01, 0.0049, 0.02, 0.0001, 0.0021, 0.1, false}, 100, WR_GAIN_HELPS},
        {{0.01, 0.0049, 0.02, 0.0001, 0.0023, 0, false}, 100, WR_GAIN_OPEN}, /* or its lower end */
        {{-0.01, -0.02, -0.0049, 0.0001, 0.1, 0.0021, false}, 100, WR_GAIN_HARMS},
        {{-0.01, -0.02, -0.0049, 0.0001, 0, 0.0023, false}, 100, WR_GAIN_OPEN},
        {{-0.075, -0.238, -0.002, 0.002, 0, 0, false}, 100, WR_GAIN_HARMS},
        {{-0.075, -0.238, -0.0004, 0.002, 0, 0, false}, 100, WR_GAIN_OPEN},
        {{-0.01, -0.02, -0.006, 0.0051, 0, 0, false}, 100, WR_GAIN_OPEN},
        {{0, 0, 0, 0, 0, 0, false}, 100, WR_GAIN_OPEN},
        {{2, 0.06, 4, 0.1, 0, 0, false}, 1, WR_GAIN_HELPS},
        {{2, 0.04, 4, 0.1, 0, 0, false}, 1, WR_GAIN_OPEN}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++)
        ck_assert_msg(wr_gain_of(&c[i].gain, c[i].per) == c[i].what, "gain %zu", i);
}
END_TEST

/* What more trials may show is told from what is open for the rehearsals' sake: there no error of the trials reaches
 * the other side, however large the gain. */
START_TEST(a_gain_that_the_trials_alone_leave_open_says_so)
{
    static const struct { struct wr_paired gain; bool awaits; } c[] = {
        {{0.01, 0.006, 0.02, 0.0049, 0.001, 0.001, false}, false},  /* shown */
        {{0.01, 0.006, 0.02, 0.0051, 0.001, 0.001, false}, true},   /* within two errors of none */
        {{0.003, 0.0004, 0.02, 0.0001, 0.0001, 0.001, false}, true}, /* its end is, of what reads as none */
        {{0.003, 0.0004, 0.02, 0.0001, 0.00004, 0.001, false}, false},
        {{0.003, -0.001, 0.02, 0.0001, 0.0001, 0.001, false}, false},
        {{0.003, -0.001, 0.02, 0.0001, 0.00076, 0.001, false}, true}, /* its end is less than none by chance */
        {{0.003, 0.001, 0.02, 0.0001, 0.0003, 0.001, false}, true}, /* or more than none */
        {{-0.003, -0.02, 0.001, 0.0001, 0.001, 0.00076, false}, true}, /* a loss likewise */
        {{-0.003, -0.02, 0.001, 0.0001, 0.001, 0.0001, false}, false},
        {{0.0001, 0, 0.0002, 0.0001, 0.001, 0.001, false}, false}, /* would read as none with any number of trials */
        {{0, 0, 0, 0, 0, 0, false}, false}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++)
        ck_assert_msg(wr_gain_awaits_trials(&c[i].gain, 100) == c[i].awaits, "gain %zu", i);
}
END_TEST

/* Work that is dropped delays nothing: of a limit on an end only the days' own luck, twice 0.0019, may explain a gain;
 * an end of its interval that is above none is no none for being shown with one decimal. */
START_TEST(a_drop_rule_adds_to_no_limit_on_an_end)
{
    static const struct { struct wr_paired gain; enum wr_gain of_end, of_clock; } c[] = {
        {{0.127, 0.0003, 0.336, 0.0019, 0, 0, false}, WR_GAIN_HELPS, WR_GAIN_HELPS},
        {{0.127, 0.0003, 0.336, 0.0019, 0.0002, 0, false}, WR_GAIN_HELPS, WR_GAIN_OPEN},
        {{0.127, 0, 0.336, 0.0019, 0, 0, false}, WR_GAIN_HELPS, WR_GAIN_OPEN},
        {{0.127, -0.01, 0.336, 0.0019, 0, 0, false}, WR_GAIN_HELPS, WR_GAIN_OPEN},
        {{0.003, 0.0003, 0.336, 0.0019, 0, 0, false}, WR_GAIN_OPEN, WR_GAIN_OPEN},
        {{-0.127, -0.336, -0.01, 0.0019, 0, 0, false}, WR_GAIN_HARMS, WR_GAIN_HARMS},
        {{0, 0, 0, 0, 0, 0, false}, WR_GAIN_OPEN, WR_GAIN_OPEN}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        ck_assert_msg(wr_rule_gain_of(&c[i].gain, false) == c[i].of_end, "end %zu", i);
        ck_assert_msg(wr_rule_gain_of(&c[i].gain, true) == c[i].of_clock, "clock %zu", i);
    }
    ck_assert_str_eq(wr_gain_end(0.03, WR_ROOM), "<0.1");
    ck_assert_str_eq(wr_gain_end(0.06, WR_ROOM), "0.1");
    ck_assert_str_eq(wr_gain_end(0, WR_ROOM), "0.0");
}
END_TEST

Suite *suite_words(void);
Suite *suite_words(void)
{
    Suite *s = suite_create("words");
    TCase *t = tcase_create("words");

    tcase_add_test(t, probabilities_are_counts_of_a_hundred);
    tcase_add_test(t, an_interval_end_never_looks_on_the_wrong_side_of_the_wish);
    tcase_add_test(t, moments_to_the_second);
    tcase_add_test(t, spans_and_shares);
    tcase_add_test(t, verdict_branches_on_the_interval);
    tcase_add_test(t, a_choice_of_line_ups_is_said);
    tcase_add_test(t, no_verdict_hangs_on_the_draws);
    tcase_add_test(t, inside_is_what_both_answers_bear);
    tcase_add_test(t, a_doubt_is_not_for_want_of_rehearsals);
    tcase_add_test(t, nothing_is_inside_on_few_complete_rehearsals);
    tcase_add_test(t, caution_fits_what_is_forecast);
    tcase_add_test(t, whose_doubt_an_interval_is);
    tcase_add_test(t, an_interval_in_words);
    tcase_add_test(t, a_hair_beside_the_wish);
    tcase_add_test(t, a_gain_is_called_one_only_where_it_shows);
    tcase_add_test(t, a_gain_that_the_trials_alone_leave_open_says_so);
    tcase_add_test(t, a_drop_rule_adds_to_no_limit_on_an_end);
    tcase_add_test(t, a_gain_of_what_is_all_known_has_no_interval);
    suite_add_tcase(s, t);
    return s;
}
