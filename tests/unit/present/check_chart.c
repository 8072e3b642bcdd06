/* Scripts of charts: nothing in them but numbers, data and our own lines, and no text upon another. */
#include <check.h>
#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "chart_script.h"
#include "wetrun/present/text_width.h"
#include "wetrun/present/utf8.h"

static const struct chart_case_options odd_cases[] = {
    {.n_task = 1, .n_lane = 1, .n_run = 2, .limit_min = -95, .spread = 3},
    {.n_task = 3, .n_lane = 2, .n_run = 4, .limit_min = -80, .spread = 1, .titles = TITLES_HOSTILE},
    {.n_task = 80, .n_lane = 2, .n_run = 12, .limit_min = -97, .spread = 1, .titles = TITLES_HOSTILE},
    {.n_task = 40, .n_lane = 5, .n_run = 6, .limit_min = -100, .spread = 1},
    {.n_task = 12, .n_lane = 1, .n_run = 5, .limit_min = -3, .spread = 1},
    {.n_task = 28, .n_lane = 2, .n_run = 9, .spread = 1},
    {.n_task = 20, .n_lane = 2, .limit_min = -90, .spread = 1.5},
    {.n_task = 5, .n_lane = 2, .limit_min = 90},
    {.n_task = 28, .n_lane = 2, .n_run = 3, .limit_min = 200, .spread = 1},
    {.n_task = 10, .n_lane = 2, .n_run = 3, .limit_min = 1440, .spread = 1},
};
enum { N_ODD = sizeof odd_cases / sizeof *odd_cases };
static const unsigned widths[] = {WR_CHART_WIDE, 660, WR_CHART_NARROW, 320};

static void check_row(void *arg, const char *block, struct line line)
{
    const char *text = line.at, *end = line.at + line.n;
    size_t column = 1;

    (void)arg;
    if (line.n == 0) { /* ends a polygon or a line; gnuplot would see two data sets after two of them */
        REQUIRE(line.at[-2] != '\n', "two blank lines in $%s", block);
        return;
    }
    REQUIRE(isdigit((unsigned char)text[0]) || text[0] == '-', "$%s: %.*s", block, (int)line.n, text);
    for (const char *c = text; c < end; c++) column += *c == '\t';
    REQUIRE(!memchr(text, '"', line.n), "a quote: %.*s", (int)line.n, text);
    REQUIRE(strcmp(block, "notes") != 0 || column == 4, "%zu columns: %.*s", column, (int)line.n, text);
    while (text < end) {
        const char *before = text;
        uint32_t code = wr_utf8_next(&text, end);
        if (code == '\t') continue;
        REQUIRE(!wr_code_is_hidden_command(code), "U+%04X in $%s", (unsigned)code, block);
        REQUIRE(code != WR_REPLACEMENT || (unsigned char)before[0] == 0xEF, "a stray byte in $%s", block);
        if (code == '\\') {
            REQUIRE(*text == '\\', "a single backslash in $%s", block);
            text++;
        }
    }
}

START_TEST(no_text_becomes_a_command)
{
    struct chart_case c;
    struct wr_str script = {0};

    chart_case_make(&c, _i < N_ODD ? &odd_cases[_i] : &chart_hostile);
    for (int chart = 0; chart < WR_N_CHART; chart++) {
        for (size_t w = 0; w < sizeof widths / sizeof *widths; w++) {
            struct wr_chart_options o = {
                .format = w % 2 ? WR_CHART_PNG : WR_CHART_SVG, .width = widths[w], .bare = w == 1};
            wr_str_clear(&script);
            if (wr_chart_missing((enum wr_chart)chart, &c.input)) continue;
            wr_chart_script((enum wr_chart)chart, &c.input, &o, &script);
            chart_script_walk(script.text, check_row, NULL);
        }
    }
    wr_str_release(&script);
    chart_case_release(&c);
}
END_TEST

static const char golden_variance[] =
    "mark_px = 1.388210526\n"
    "has_others = 0\n"
    "has_strongest = 1\n"
    "has_shared = 1\n"
    "split_row = 4\n"
    "canvas_width = 372\n"
    "canvas_height = 306\n"
    "narrow = 1\n"
    "margin = 12\n"
    "x_first = 0\n"
    "x_last = 95\n"
    "y_first = 0.5\n"
    "y_last = 7.5\n"
    "x_at_left = -5.445859873\n"
    "x_at_right = 107.1019108\n"
    "y_at_top = 0.2222222222\n"
    "y_at_bottom = 8.722222222\n"
    "mark_drop = 0.2\n"
    "array face_px[10] = [15, 12, 12, 12, 12, 12, 12, 15, 16, 12]\n"
    "note_style_6 = 1\n"
    "note_style_9 = 1\n"
    "note_style_12 = 1\n"
    "note_style_13 = 1\n"
    "$notes << end_of_notes\n"
    "13	18.00	284.00	0 %\n"
    "13	84.11	284.00	20 %\n"
    "13	150.21	284.00	40 %\n"
    "13	216.32	284.00	60 %\n"
    "13	282.42	284.00	80 %\n"
    "12	12.00	136.00	of no single task\n"
    "9	12.00	20.08	`id` $(id) @x\n"
    "12	37.92	35.20	3.1 %\n"
    "9	12.00	56.08	\\\\n ”q” �\n"
    "12	34.61	71.20	2.0 %\n"
    "9	12.00	92.08	end_of_notes !id\n"
    "12	20.00	107.20	0.4 %\n"
    "6	12.00	164.08	a slow or fast day, all tasks at once\n"
    "12	31.31	179.20	1.2 %\n"
    "6	12.00	200.08	what is not yet known\n"
    "12	20.00	215.20	0 %\n"
    "6	12.00	236.08	several of these acting together\n"
    "12	335.39	251.20	93 %\n"
    "end_of_notes\n"
    "$ticks << end_of_ticks\n"
    "0\n"
    "20\n"
    "40\n"
    "60\n"
    "80\n"
    "end_of_ticks\n";

/* The whole of what is sent before our own script files, for a reader's eye. */
START_TEST(a_script_to_the_letter)
{
    struct wr_plan_task task[3] = {
        {.title = "`id` $(id) @x"}, {.title = "end_of_notes\n!id"}, {.title = "\\n \"q\" \xff"}};
    struct wr_task_outlook outlook[3] = {
        {.variance_share = 0.031}, {.variance_share = 0.004}, {.variance_share = 0.02}};
    const struct wr_plan plan = {.task = task, .n_task = 3, .n_lane = 1};
    const struct wr_timing timing = {.n_task = 3, .n_run = 1};
    const struct wr_forecast forecast = {.n_task = 3, .task = outlook, .run_effect_share = 0.012};
    const struct wr_chart_input in = {.plan = &plan, .forecast = &forecast, .timing = &timing};
    const struct wr_chart_options o = {.width = WR_CHART_NARROW, .bare = true};
    struct wr_str script = {0};
    size_t n_mark = 0;

    wr_chart_script(WR_CHART_VARIANCE, &in, &o, &script);
    char *marks = strstr(script.text, "$dots << ");
    ck_assert_ptr_nonnull(marks);
    for (const char *at = marks; (at = strchr(at, '\n')) != NULL && strncmp(at + 1, "end_of", 6) != 0;)
        n_mark += *at++ == '\n';
    ck_assert_uint_eq(n_mark, 3 + 0 + 2 + 1 + 93); /* 3.1, 0.4, 2, 1.2 %, and what is missing to all */
    *marks = '\0';
    ck_assert_str_eq(script.text, golden_variance);
    wr_str_release(&script);
}
END_TEST

static void check_label(const char *text, const char *expected)
{
    struct wr_str out = {0};

    wr_chart_add_label(&out, text);
    ck_assert_str_eq(out.text, expected);
    wr_str_release(&out);
}

START_TEST(labels_are_one_harmless_line)
{
    check_label("Unplug module A", "Unplug module A");
    check_label("say \"yes\"", "say ”yes”");
    check_label("a\\nb\\", "a\\\\nb\\\\");
    check_label("a\tb\nend_of_notes\n!id", "a b end_of_notes !id");
    check_label("\x1b[31m\x07", "\xef\xbf\xbd[31m\xef\xbf\xbd");
    check_label("\xff\xc0\xaf", "\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd");
    check_label("", "\xc2\xa0");
}
END_TEST

/* ---- where the texts stand ---- */

struct box {
    double left, right, top, bottom;
    char text[200];
};
struct boxes {
    struct box box[1500];
    size_t n;
    double face_px[16];
    double width, height;
};

static double number_in(const char *script, const char *name)
{
    char key[80];

    snprintf(key, sizeof key, "\n%s = ", name);
    const char *at = strstr(script, key);
    ck_assert_msg(at != NULL, "no %s", name);
    return strtod(at + strlen(key), NULL);
}

static void read_faces(const char *script, struct boxes *b)
{
    const char *at = strstr(script, "array face_px[");
    char *end;

    ck_assert_ptr_nonnull(at);
    at = strchr(at + strlen("array face_px["), '[') + 1;
    for (size_t i = 0; i < 16 && *at != ']'; i++) {
        b->face_px[i] = strtod(at, &end);
        at = *end == ',' ? end + 1 : end;
    }
}

static void add_box(void *arg, const char *block, struct line line)
{
    static const bool bold[] = {true, false, false, true, false, false, true, true, true, false};
    struct boxes *b = arg;
    int style, used;
    double x, y;

    if (strcmp(block, "notes") != 0) return;
    REQUIRE(sscanf(line.at, "%d\t%lf\t%lf\t%n", &style, &x, &y, &used) == 3, "no note: %.*s", (int)line.n, line.at);
    REQUIRE(b->n < sizeof b->box / sizeof *b->box, "too many notes");
    struct box *box = &b->box[b->n++];
    size_t n = 0;
    for (const char *c = line.at + used; c < line.at + line.n && n + 1 < sizeof box->text; c++) {
        if (c[0] == '\\' && c[1] == '\\') c++; /* written twice, drawn once */
        box->text[n++] = *c;
    }
    box->text[n] = '\0';
    double size = b->face_px[style / 3];
    double width = wr_text_width(box->text, size, bold[style / 3] ? WR_BOLD : WR_REGULAR);
    box->left = x - width * (style % 3) / 2;
    box->right = box->left + width;
    box->top = y - 0.5 * size; /* ascenders and descenders of ordinary letters */
    box->bottom = y + 0.5 * size;
}

static void see_kind(void *arg, const char *block, struct line line)
{
    unsigned *seen = arg;
    double v[3];

    if (strcmp(block, "runs") == 0 && sscanf(line.at, "%lf %lf %lf", &v[0], &v[1], &v[2]) == 3) seen[(int)v[2]]++;
}

/* Who did a rehearsal can be seen of those that are not complete too: two crews take turns. */
START_TEST(an_incomplete_rehearsal_shows_whose_it_was)
{
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    for (size_t r = 0; r < c.timing.n_run; r++) c.timing.run[r].complete = c.timing.run[r].finish_stands = r < 2;
    for (int all = 0; all < 2; all++) {
        struct wr_chart_options o = {.width = 960};
        struct wr_chart_words w = {0};
        struct wr_str script = {0};
        unsigned seen[4] = {0};
        for (size_t r = 0; all && r < c.timing.n_run; r++) c.timing.run[r].complete = true;
        wr_chart_words(WR_CHART_RUNS, &c.input, &w);
        wr_chart_script(WR_CHART_RUNS, &c.input, &o, &script);
        chart_script_walk(script.text, see_kind, seen);
        ck_assert(all ? seen[0] == 5 && seen[1] == 4 && seen[2] + seen[3] == 0
                      : seen[0] == 1 && seen[1] == 1 && seen[2] == 4 && seen[3] == 3); /* of nine, by turns */
        ck_assert_msg(strstr(w.subtitle.text, all ? " Disc: " : " Filled: ") != NULL, "%s", w.subtitle.text);
        ck_assert_msg(strstr(w.subtitle.text, all ? "; ring: " : "; open: ") != NULL, "%s", w.subtitle.text);
        ck_assert(all || strstr(w.subtitle.text, "; triangle: incomplete, at least this long."));
        wr_chart_words_release(&w);
        wr_str_release(&script);
    }
    chart_case_release(&c);
}
END_TEST

/* Where the falling upper edge of a picture comes down to ten of a hundred, and what is marked at the limit. */
struct drawn_limit {
    double before[5], ten_at, mark[4][3];
    size_t n_mark;
};

static void see_limit_row(void *arg, const char *block, struct line line)
{
    struct drawn_limit *d = arg;
    double v[5];

    if (strcmp(block, "bracket") == 0 && d->n_mark < 4) {
        double *m = d->mark[d->n_mark++];
        ck_assert_int_eq(sscanf(line.at, "%lf %lf %lf", &m[0], &m[1], &m[2]), 3);
    }
    if (strcmp(block, "curve") != 0) return;
    ck_assert_int_eq(sscanf(line.at, "%lf %lf %lf %lf %lf", &v[0], &v[1], &v[2], &v[3], &v[4]), 5);
    if (d->before[3] > 10 && v[3] <= 10)
        d->ten_at = d->before[0] + (d->before[3] - 10) / (d->before[3] - v[3]) * (v[0] - d->before[0]);
    memcpy(d->before, v, sizeof v);
}

/* The title says that the limit needed may be as late as the worse answer has it, and so does the picture. The curve
 * is made by hand: its upper edge comes down to 10 of 100 at 200 min by the first answer, at 260 by the other. */
START_TEST(the_limit_is_drawn_by_all_answers)
{
    static double at[] = {100, 150, 200, 250}, later[] = {160, 210, 260, 310};
    static double over[] = {1, 0.4, 0.02, 0}, lo[] = {0.9, 0.1, 0, 0}, hi[] = {1, 0.9, 0.1, 0};
    struct wr_limit_outlook first = {.over = {.mean = 0.02, .lo = 0.001, .hi = 0.1}},
                            other = {.over = {.mean = 0.3, .lo = 0.05, .hi = 0.8}};
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    struct wr_forecast *f = &c.forecast, own = *f, worse = *f;
    f->n_curve = worse.n_curve = 4;
    f->curve_limit_min = at;
    worse.curve_limit_min = later;
    f->curve_over = worse.curve_over = over;
    f->curve_lo = worse.curve_lo = lo;
    f->curve_hi = worse.curve_hi = hi;
    f->limit = &first;
    worse.limit = &other;
    c.limits.limit[0].minutes = 200;
    c.input.confidence = wr_known(0.9);
    for (size_t n = 0; n < 2; n++) {
        struct drawn_limit d = {.n_mark = 0};
        struct wr_chart_options o = {.width = 960};
        struct wr_str script = {0};
        f->worse[0] = &worse;
        f->n_worse = n;
        f->limit[0].second.known = n > 0;
        wr_chart_script(WR_CHART_LIMIT, &c.input, &o, &script);
        chart_script_walk(script.text, see_limit_row, &d);
        ck_assert_double_eq_tol(d.ten_at, n ? 260 : 200, 0.01); /* data are written to a hundredth at least */
        ck_assert_uint_eq(d.n_mark, n ? 4 : 2);
        ck_assert_double_eq_tol(d.mark[1][1], 10, 1e-6);
        ck_assert_int_eq(strstr(script.text, "worse: 30 (5 to 80)") != NULL, n > 0);
        if (n) ck_assert_double_eq_tol(d.mark[3][1], 80, 1e-6);
        if (n) ck_assert_double_eq_tol(d.mark[2][2], 30, 1e-6);
        wr_str_release(&script);
    }
    *f = own;
    chart_case_release(&c);
}
END_TEST

/* On a phone the wish is named on its line where no curve runs, and else by the subtitle alone. The lower edge made by
 * hand comes down to 10 of 100 beneath the name, or is still at 60 there. */
START_TEST(no_curve_runs_through_the_name_of_the_wish)
{
    static double at[] = {100, 150, 200, 250}, over[] = {1, 0.85, 0.7, 0}, hi[] = {1, 1, 0.9, 0};
    static double through[] = {0.9, 0.1, 0, 0}, beyond[] = {0.9, 0.8, 0.6, 0};
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    struct wr_forecast *f = &c.forecast, own = *f;
    f->n_curve = 4;
    f->curve_limit_min = at;
    f->curve_over = over;
    f->curve_hi = hi;
    c.limits.limit[0].minutes = 5000; /* far out: neither its line nor its numbers are in the picture */
    c.input.confidence = wr_known(0.9);
    for (size_t free = 0; free < 2; free++) {
        struct wr_chart_options o = {.width = WR_CHART_NARROW, .bare = true};
        struct wr_str script = {0};
        f->curve_lo = free ? beyond : through;
        wr_chart_script(WR_CHART_LIMIT, &c.input, &o, &script);
        ck_assert_int_eq(strstr(script.text, "wanted: at most 10") != NULL, free);
        wr_str_release(&script);
    }
    *f = own;
    chart_case_release(&c);
}
END_TEST

static double last_on_axis(enum wr_chart chart, const struct chart_case *c, bool says_so)
{
    struct wr_chart_options o = {.width = 960};
    struct wr_str script = {0};

    wr_chart_script(chart, &c->input, &o, &script);
    double last = number_in(script.text, "x_last");
    ck_assert_int_eq(strstr(script.text, "1 later, by 1666:40") != NULL, says_so);
    wr_str_release(&script);
    return last;
}

/* One day in a hundred takes 100,000 minutes: the pictures are of the others, and the one of finishes says where it is.
 * Without it they are what they were. */
START_TEST(a_day_far_out_squeezes_no_picture)
{
    static const enum wr_chart charts[] = {WR_CHART_FINISH, WR_CHART_LANES, WR_CHART_LIMIT};
    struct chart_case c;

    for (size_t i = 0; i < 3; i++) {
        chart_case_make(&c, &chart_usual);
        struct wr_forecast *f = &c.forecast;
        double usual = last_on_axis(charts[i], &c, false), last = f->n_curve - 1;
        f->hundredth_min[99] = f->curve_limit_min[(size_t)last] = 1e5;
        f->curve_hi[(size_t)last - 1] = f->curve_over[(size_t)last - 1] = 0.015; /* and falls to nothing from there */
        double then = last_on_axis(charts[i], &c, charts[i] == WR_CHART_FINISH);
        ck_assert_msg(then < 2 * usual, "%s: up to %g, usually %g", wr_chart_name(charts[i]), then, usual);
        chart_case_release(&c);
    }
}
END_TEST

static size_t ticks_in(const char *script)
{
    const char *at = strstr(script, "$ticks << "), *end = at ? strstr(at, "\nend_of_ticks") : NULL;
    size_t n = 0;

    ck_assert_ptr_nonnull(end);
    for (at = strchr(at, '\n'); at && at < end; at = strchr(at + 1, '\n')) n++;
    return n;
}

/* A length is read off between two ticks, wherever the usual start lies among the slacks. */
START_TEST(slack_has_two_ticks)
{
    static const double most_min[] = {4, 13, 30, 90, 400};
    struct wr_chart_options o = {.width = 900}; /* with room for a scale, and for little more */
    struct wr_str script = {0};
    struct chart_case c;

    chart_case_make(&c, &chart_usual);
    c.plan.task[0].title = "Lift the worn pump out, one below, one above, and stow it in its cradle by the ladder";
    for (size_t late = 0; late < 5; late++)
        for (size_t early = 0; early < 5; early++) {
            for (size_t i = 0; i < c.cutoff.n_row; i++)
                for (size_t l = 0; l < c.cutoff.n_limit; l++) {
                    double slack = i % 2 ? -1.53 * most_min[early] : most_min[late];
                    c.cutoff.list[l].row[i] = (struct wr_cutoff_row){.task = i, .reason = WR_CUTOFF_FOUND,
                                                                     .typical_start_min = 1000, .slack_min = slack,
                                                                     .latest_start_min = 1000 + slack};
                }
            wr_str_clear(&script);
            wr_chart_script(WR_CHART_CUTOFF, &c.input, &o, &script);
            ck_assert_msg(ticks_in(script.text) >= 2, "%g to %g: %zu ticks", -1.53 * most_min[early], most_min[late],
                          ticks_in(script.text));
        }
    wr_str_release(&script);
    chart_case_release(&c);
}
END_TEST

START_TEST(texts_stay_apart_and_inside)
{
    struct boxes *b = calloc(1, sizeof *b);
    struct wr_str script = {0};
    struct chart_case c;

    chart_case_make(&c, _i < N_ODD ? &odd_cases[_i] : &chart_usual);
    if (_i == N_ODD) c.forecast.hundredth_min[99] = 1e5;
    const struct wr_forecast worse = c.forecast;
    c.forecast.worse[0] = &worse;
    c.forecast.n_worse = _i % 2; /* what stands beside the limit then has a line more */
    if (c.forecast.n_limit > 0) c.forecast.limit[0].second.known = _i % 2;
    for (int chart = 0; chart < WR_N_CHART; chart++) {
        for (size_t w = 0; w < sizeof widths / sizeof *widths; w++) {
            struct wr_chart_options o = {.width = widths[w]};
            if (wr_chart_missing((enum wr_chart)chart, &c.input)) continue;
            wr_str_clear(&script);
            wr_str_add(&script, "\n");
            wr_chart_script((enum wr_chart)chart, &c.input, &o, &script);
            b->n = 0;
            read_faces(script.text, b);
            b->width = number_in(script.text, "canvas_width");
            b->height = number_in(script.text, "canvas_height");
            chart_script_walk(script.text + 1, add_box, b);
            ck_assert_uint_gt(b->n, 3);
            for (size_t i = 0; i < b->n; i++) {
                const struct box *p = &b->box[i];
                REQUIRE(p->left >= 0 && p->right <= b->width && p->top >= 0 && p->bottom <= b->height,
                        "%s %u: outside: %s (%.0f to %.0f)", wr_chart_name((enum wr_chart)chart), widths[w], p->text,
                        p->left, p->right);
                for (size_t j = 0; j < i; j++) {
                    const struct box *q = &b->box[j];
                    REQUIRE(p->left >= q->right || q->left >= p->right || p->top >= q->bottom || q->top >= p->bottom,
                            "%s %u: '%s' on '%s'", wr_chart_name((enum wr_chart)chart), widths[w], p->text, q->text);
                }
            }
        }
    }
    wr_str_release(&script);
    chart_case_release(&c);
    free(b);
}
END_TEST

Suite *suite_chart(void);
Suite *suite_chart(void)
{
    Suite *s = suite_create("chart");
    TCase *t = tcase_create("chart");

    tcase_add_loop_test(t, no_text_becomes_a_command, 0, N_ODD + 1);
    tcase_add_test(t, a_script_to_the_letter);
    tcase_add_test(t, the_limit_is_drawn_by_all_answers);
    tcase_add_test(t, no_curve_runs_through_the_name_of_the_wish);
    tcase_add_test(t, an_incomplete_rehearsal_shows_whose_it_was);
    tcase_add_test(t, a_day_far_out_squeezes_no_picture);
    tcase_add_test(t, labels_are_one_harmless_line);
    tcase_add_test(t, slack_has_two_ticks);
    tcase_add_loop_test(t, texts_stay_apart_and_inside, 0, N_ODD + 1);
    suite_add_tcase(s, t);
    return s;
}
