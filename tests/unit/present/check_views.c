#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "sample_results.h"
#include "shown.h"
#include "shown_json.h"
#include "wetrun/present/check_view.h"
#include "wetrun/present/forecast_view.h"

static struct sample s;
static struct wr_str out;

static void done(void)
{
    sample_release(&s);
    wr_str_release(&out);
}

static const char *forecast_as(enum wr_format format)
{
    struct wr_forecast_result result = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};
    struct wr_error err = {0};

    wr_str_clear(&out);
    enum wr_status status = wr_show_forecast(format, &s.context, &result, &out, &err);
    ck_assert_msg(status == WR_OK, "%s", err.text);
    return out.text;
}

static const char *check_as(enum wr_format format)
{
    struct wr_check_result result = {.log = &s.log, .plan = &s.plan, .timing = &s.timing, .findings = &s.findings};
    struct wr_error err = {0};

    wr_str_clear(&out);
    enum wr_status status = wr_show_check(format, &s.context, &result, &out, &err);
    ck_assert_msg(status == WR_OK, "%s", err.text);
    return out.text;
}

START_TEST(forecast_has_the_keys_of_the_contract)
{
    sample_make(&s, 28, SAMPLE_TAME);
    json_t *root = shown_json(forecast_as(WR_FORMAT_JSON));

    shown_has_keys(root,
                   "command version seed verdict trials limit_min overrun finish limits any_limit_over crews tasks "
                   "run_effect_share parameter_share caution");
    shown_has_keys(json_object_get(root, "overrun"), "probability interval interval_level mc_error");
    shown_has_keys(json_object_get(root, "finish"), "mean_min sd_min quantiles_min");
    shown_has_keys(json_object_get(json_object_get(root, "finish"), "quantiles_min"),
             "0.025 0.05 0.1 0.25 0.5 0.75 0.8 0.9 0.95 0.975 0.99");
    shown_has_keys(shown_at(root, "limits", 0), "limit crew minutes probability_over interval");
    shown_has_keys(shown_at(root, "crews", 0), "crew busy_min waiting_min finish_p50_min");
    shown_has_keys(shown_at(root, "tasks", 0),
             "task median_min sd_min on_longest_path variance_share dropped");
    ck_assert_str_eq(shown_text(root, "command"), "forecast");
    ck_assert_int_eq(json_integer_value(json_object_get(root, "seed")), 7);
    ck_assert(shown_number(root, "limit_min") == 390.0);
    ck_assert(fabs(shown_number(json_object_get(root, "overrun"), "probability") - s.forecast.limit[0].over.mean) <
              1e-12);
    double before = INFINITY;
    for (size_t i = 0; i < json_array_size(json_object_get(root, "tasks")); i++) {
        double share = shown_number(shown_at(root, "tasks", i), "variance_share");
        ck_assert(share <= before);
        before = share;
    }
    ck_assert_uint_eq(json_array_size(json_object_get(root, "tasks")), 28);
    json_decref(root);
}
END_TEST

START_TEST(verdict_comes_first_and_is_the_same_everywhere)
{
    static const struct { double lo, mean, hi; const char *verdict, *first;
    } kind[] = {
        {.01, .09, .19, "not enough rehearsals to tell", "Not enough rehearsals to tell. 9 of 100"},
        {.001, .02, .06, "inside", "Inside: 2 of 100"},
        {.15, .3, .5, "not inside", "Not inside: 30 of 100"},
        {.0, .002, .004, "inside",
         "Inside: fewer than 1 of 100 finishes go over the 6:30 limit, by the whole 90 %\ninterval"},
    };

    sample_make(&s, 28, SAMPLE_TAME);
    for (size_t i = 0; i < sizeof kind / sizeof *kind; i++) {
        s.forecast.limit[0].over =
            (struct wr_probability){.mean = kind[i].mean, .lo = kind[i].lo, .hi = kind[i].hi, .mc_error = .001};
        const char *table = forecast_as(WR_FORMAT_TABLE);
        ck_assert_msg(strncmp(table, kind[i].first, strlen(kind[i].first)) == 0, "%.80s", table);
        json_t *root = shown_json(forecast_as(WR_FORMAT_JSON));
        ck_assert_str_eq(shown_text(root, "verdict"), kind[i].verdict);
        json_decref(root);
    }
}
END_TEST

/* The first sentence may be all that is read: what is certainly not kept is no "not for sure". */
START_TEST(inside_names_the_limits_that_are_not)
{
    static const struct wr_probability inside = {.mean = .02, .lo = .001, .hi = .06, .mc_error = .001};
    static const struct wr_probability over = {.mean = .3, .lo = .15, .hi = .5, .mc_error = .001};
    static const struct wr_probability open = {.mean = .09, .lo = .01, .hi = .19, .mc_error = .001};
    const struct { const struct wr_probability *second, *third; const char *first; } kind[] = {
        {&inside, &inside, "Inside: 2 of 100"},
        {&open, &inside, "Inside the first limit, not every other one for sure: 2"},
        {&over, &inside, "Inside the first limit, but not inside \xe2\x80\x9csecond\xe2\x80\x9d: 2"},
        {&over, &over,
         "Inside the first limit, but not inside \xe2\x80\x9csecond\xe2\x80\x9d, nor \xe2\x80\x9cthird\xe2\x80\x9d: 2"},
        {&open, &over,
         "Inside the first limit, but not inside \xe2\x80\x9cthird\xe2\x80\x9d, nor every other one for sure: 2"},
    };

    sample_make(&s, 28, SAMPLE_TAME);
    ck_assert_uint_eq(s.forecast.n_limit, 3);
    s.limits.limit[1].name = "second";
    s.limits.limit[2].name = "third";
    s.limits.limit[1].confidence = s.limits.limit[2].confidence = wr_known(0.9);
    struct wr_forecast_result result = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};
    s.forecast.limit[0].over = inside;
    for (size_t i = 0; i < sizeof kind / sizeof *kind; i++) {
        s.forecast.limit[1].over = *kind[i].second;
        s.forecast.limit[2].over = *kind[i].third;
        wr_str_clear(&out);
        wr_forecast_sentence(&s.context, &result, &out);
        ck_assert_msg(strncmp(out.text, kind[i].first, strlen(kind[i].first)) == 0, "%.120s", out.text);
    }
    s.limits.limit[1].confidence = s.limits.limit[2].confidence = WR_UNKNOWN; /* nothing is wanted of them */
    wr_str_clear(&out);
    wr_forecast_sentence(&s.context, &result, &out);
    ck_assert_int_eq(strncmp(out.text, "Inside: 2", 9), 0);
}
END_TEST

START_TEST(judgement_alone_never_says_inside)
{
    sample_make(&s, 28, SAMPLE_TAME);
    s.context.n_run = 0;
    s.forecast.limit[0].over = (struct wr_probability){.mean = .001, .lo = .0005, .hi = .002, .mc_error = .0001};
    json_t *root = shown_json(forecast_as(WR_FORMAT_JSON));
    ck_assert_str_eq(shown_text(root, "verdict"), "not enough rehearsals to tell");
    ck_assert_str_eq(shown_text(shown_at(root, "limits", 0), "verdict"), "not enough rehearsals to tell");
    json_decref(root);
    forecast_as(WR_FORMAT_TABLE);
    ck_assert_int_eq(strncmp(out.text, "Not enough rehearsals to tell: nothing was rehearsed", 52), 0);
}
END_TEST

START_TEST(without_a_limit_nothing_is_claimed)
{
    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.n_limit = s.limits.n_limit = 0;
    json_t *root = shown_json(forecast_as(WR_FORMAT_JSON));
    ck_assert(json_is_null(json_object_get(root, "overrun")));
    ck_assert(json_is_null(json_object_get(root, "verdict")));
    ck_assert(json_is_null(json_object_get(root, "limit_min")));
    json_decref(root);
    ck_assert_ptr_nonnull(strstr(forecast_as(WR_FORMAT_TABLE), "No limit was given"));
}
END_TEST

START_TEST(without_a_wish_there_is_no_verdict)
{
    sample_make(&s, 28, SAMPLE_TAME);
    s.limits.limit[0].confidence = s.context.confidence = WR_UNKNOWN;
    json_t *root = shown_json(forecast_as(WR_FORMAT_JSON));
    ck_assert(json_is_null(json_object_get(root, "verdict")));
    ck_assert(json_is_object(json_object_get(root, "overrun")));
    json_decref(root);
    ck_assert_ptr_null(strstr(forecast_as(WR_FORMAT_TABLE), "wanted: at most"));
}
END_TEST

START_TEST(tables_fit_a_terminal)
{
    static const size_t size[] = {3, 28, 80};

    for (size_t i = 0; i < sizeof size / sizeof *size; i++) {
        for (int flavour = SAMPLE_TAME; flavour <= SAMPLE_HOSTILE; flavour++) {
            sample_make(&s, size[i], (enum sample_flavour)flavour);
            ck_assert_uint_le(shown_width(forecast_as(WR_FORMAT_TABLE)), 80);
            shown_is_calm(out.text);
            ck_assert_uint_le(shown_width(check_as(WR_FORMAT_TABLE)), 80);
            shown_is_calm(out.text);
            done();
        }
    }
}
END_TEST

START_TEST(csv_has_a_field_for_every_column)
{
    sample_make(&s, 28, SAMPLE_HOSTILE);
    ck_assert_uint_eq(shown_csv_records(forecast_as(WR_FORMAT_CSV), 31), 29);
    ck_assert_uint_eq(shown_csv_records(check_as(WR_FORMAT_CSV), 6), 6);
    for (const char *line = forecast_as(WR_FORMAT_CSV); line; line = strchr(line, '\n')) {
        line += *line == '\n';
        ck_assert_ptr_null(strchr("=+-@", *line ? *line : 'x'));
    }
}
END_TEST

START_TEST(csv_numbers_are_plain)
{
    sample_make(&s, 3, SAMPLE_TAME);
    const char *text = forecast_as(WR_FORMAT_CSV);
    ck_assert_int_eq(strncmp(text, "task,title,crew,median_min,mean_min,sd_min,p80_min,p95_min,variance_share,"
                                   "on_longest_path,dropped,finish_p5_min,finish_p50_min,finish_p80_min,", 142), 0);
    size_t top[3];
    wr_tasks_by_share(&s.forecast, top);
    char *end;
    const char *field = strchr(text, '\n');
    for (int i = 0; i < 3; i++) field = strchr(field + 1, ',');
    ck_assert(fabs(strtod(field + 1, &end) - s.forecast.task[top[0]].median_min) < 1e-9);
    ck_assert_int_eq(*end, ',');
}
END_TEST

START_TEST(hostile_text_is_text_in_json)
{
    sample_make(&s, 28, SAMPLE_HOSTILE);
    json_t *root = shown_json(forecast_as(WR_FORMAT_JSON));
    bool found = false;
    for (size_t i = 0; i < 28; i++) {
        const json_t *row = shown_at(root, "tasks", i);
        found |= strcmp(shown_text(row, "title"), sample_attacks[1]) == 0;
    }
    ck_assert_msg(found, "markup must come through as it was written");
    json_decref(root);
    root = shown_json(check_as(WR_FORMAT_JSON));
    json_decref(root);
}
END_TEST

START_TEST(a_number_that_is_none_is_an_error_and_not_output)
{
    struct wr_forecast_result result = {.plan = &s.plan, .limits = &s.limits, .forecast = &s.forecast};
    static const enum wr_format format[] = {WR_FORMAT_TABLE, WR_FORMAT_CSV, WR_FORMAT_JSON};
    struct wr_error err = {0};

    sample_make(&s, 28, SAMPLE_TAME);
    s.forecast.task[4].sd_min = NAN;
    for (size_t i = 0; i < 3; i++) {
        wr_str_clear(&out);
        ck_assert_int_eq(wr_show_forecast(format[i], &s.context, &result, &out, &err), WR_E_DOMAIN);
        ck_assert_uint_eq(out.len, 0);
        ck_assert_ptr_nonnull(strstr(err.text, "sd_min"));
    }
    s.forecast.task[4].sd_min = 1;
    s.forecast.mean_min = INFINITY; /* only JSON shows it */
    ck_assert_int_eq(wr_show_forecast(WR_FORMAT_JSON, &s.context, &result, &out, &err), WR_E_DOMAIN);
    ck_assert_uint_eq(out.len, 0);
    ck_assert_ptr_nonnull(strstr(err.text, "mean_min"));
}
END_TEST

START_TEST(check_counts_every_row)
{
    sample_make(&s, 28, SAMPLE_TAME);
    json_t *root = shown_json(check_as(WR_FORMAT_JSON));
    shown_has_keys(root, "command version rows runs tasks findings");
    const json_t *rows = json_object_get(root, "rows");
    ck_assert(shown_number(rows, "read") == shown_number(rows, "accepted") + shown_number(rows, "rejected"));
    shown_has_keys(shown_at(root, "runs", 0),
             "run rows finish_min replay_min finish_without_holds_min complete kept_to_plan");
    ck_assert(json_is_false(json_object_get(shown_at(root, "runs", 0), "complete")));
    shown_has_keys(shown_at(root, "findings", 0), "severity code file line column message");
    ck_assert_uint_eq(json_array_size(json_object_get(root, "tasks")), 28);
    ck_assert(json_is_null(json_object_get(shown_at(root, "findings", 2), "column")));
    json_decref(root);
}
END_TEST

START_TEST(check_says_which_accepted_rows_count)
{
    static const struct { size_t n; const char *says; } duplicates[] = {
        {0, "72 rows read: 72 accepted, 0 rejected."},
        {1, "72 rows read: 72 accepted (1 a duplicate, not counted again), 0 rejected."},
        {2, "72 rows read: 72 accepted (2 duplicates, not counted again), 0 rejected."}};

    sample_make(&s, 28, SAMPLE_TAME);
    for (size_t i = 0; i < sizeof duplicates / sizeof *duplicates; i++) {
        s.log.rows_read = s.log.rows_accepted = 72;
        s.log.rows_rejected = 0;
        s.log.rows_duplicate = duplicates[i].n;
        WR_SCOPED_STR flat = {0};
        for (const char *at = check_as(WR_FORMAT_TABLE); *at; at++) wr_str_add_char(&flat, *at == '\n' ? ' ' : *at);
        ck_assert_msg(strstr(flat.text, duplicates[i].says) != NULL, "%s", flat.text);
        json_t *root = shown_json(check_as(WR_FORMAT_JSON));
        ck_assert(shown_number(json_object_get(root, "rows"), "duplicate") == (double)duplicates[i].n);
        json_decref(root);
    }
}
END_TEST

START_TEST(check_puts_errors_first)
{
    sample_make(&s, 28, SAMPLE_TAME);
    wr_findings_add(&s.findings, WR_ERROR, "row-rejected", "runs.csv", 300, 0, "an outcome that is unknown");
    const char *text = check_as(WR_FORMAT_TABLE);
    ck_assert_ptr_nonnull(
        strstr(text, "Findings: 4 errors, 1 warning, 1 note; what may move an answer: none of them."));
    ck_assert(strstr(text, "runs.csv:300: error") < strstr(text, "runs.csv:92: warning"));
    ck_assert_ptr_nonnull(strstr(text, "runs.csv:57:14: error: start '25:61' is no time [row-rejected]"));
}
END_TEST

START_TEST(times_are_one_row_per_task_and_run)
{
    struct wr_error err;

    sample_make(&s, 28, SAMPLE_TAME);
    ck_assert_int_eq(wr_show_times(&s.log, &s.plan, &s.timing, &out, &err), WR_OK);
    ck_assert_int_eq(strncmp(out.text, "run,task,state,active_min,lead_in_min,hold_min,", 47), 0);
    ck_assert_uint_eq(shown_csv_records(out.text, 10), 1 + 28 * 9);
    ck_assert_ptr_nonnull(strstr(out.text, "R01,swab-hinge,skipped,,,,,,,\n"));
}
END_TEST

Suite *suite_views(void);
Suite *suite_views(void)
{
    Suite *suite = suite_create("views");
    TCase *t = tcase_create("views");

    tcase_add_checked_fixture(t, NULL, done);
    tcase_add_test(t, forecast_has_the_keys_of_the_contract);
    tcase_add_test(t, verdict_comes_first_and_is_the_same_everywhere);
    tcase_add_test(t, inside_names_the_limits_that_are_not);
    tcase_add_test(t, judgement_alone_never_says_inside);
    tcase_add_test(t, without_a_limit_nothing_is_claimed);
    tcase_add_test(t, without_a_wish_there_is_no_verdict);
    tcase_add_test(t, tables_fit_a_terminal);
    tcase_add_test(t, csv_has_a_field_for_every_column);
    tcase_add_test(t, csv_numbers_are_plain);
    tcase_add_test(t, hostile_text_is_text_in_json);
    tcase_add_test(t, a_number_that_is_none_is_an_error_and_not_output);
    tcase_add_test(t, check_counts_every_row);
    tcase_add_test(t, check_says_which_accepted_rows_count);
    tcase_add_test(t, check_puts_errors_first);
    tcase_add_test(t, times_are_one_row_per_task_and_run);
    suite_add_tcase(suite, t);
    return suite;
}
