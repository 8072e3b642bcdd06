#include <check.h>
#include <ctype.h>
#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "chart_case.h"
#include "wetrun/base/memory.h"
#include "wetrun/present/text_width.h"
#include "wetrun/present/utf8.h"
#include "../../../src/present/chart_glyphs.h"
#include "../../../src/present/embedded.h"

Suite *suite_chart(void);

/* As ck_assert_msg, but quiet while all is well: that one writes to a file at every call, too slow for inner loops. */
#define REQUIRE(cond, ...)                     \
    do {                                       \
        if (!(cond)) ck_abort_msg(__VA_ARGS__); \
    } while (0)

static const struct chart_case_options usual = {.n_task = 28, .n_lane = 2, .n_run = 9, .limit_min = -91, .spread = 1};
static const struct chart_case_options hostile = {
    .n_task = 30, .n_lane = 2, .n_run = 9, .limit_min = -91, .spread = 1, .titles = TITLES_HOSTILE};
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

/* ---- reading a script back ---- */

struct line {
    const char *at;
    size_t n;
};

static bool next_line(const char **at, struct line *line)
{
    if (!**at) return false;
    const char *end = strchr(*at, '\n');
    REQUIRE(end != NULL, "a line is not ended: %.40s", *at);
    *line = (struct line){*at, (size_t)(end - *at)};
    *at = end + 1;
    return true;
}

static bool begins(struct line line, const char *text)
{
    return line.n >= strlen(text) && memcmp(line.at, text, strlen(text)) == 0;
}

static bool is_number_line(struct line line)
{
    size_t i = 0;

    while (i < line.n && (isalnum((unsigned char)line.at[i]) || line.at[i] == '_')) i++;
    if (i == 0 || i + 3 >= line.n || memcmp(line.at + i, " = ", 3) != 0) return false;
    for (i += 3; i < line.n; i++)
        if (!strchr("0123456789.+-e", line.at[i])) return false;
    return true;
}

static bool is_embedded_tail(const char *at)
{
    for (const struct embedded *e = plot_scripts; e->name; e++)
        if (strncmp(at, e->text, strlen(e->text)) == 0) return true;
    return false;
}

/* Walks the part of a script that the program writes; row is called for every line inside a data block. Anything that
 * is not a number, a data block or one of our own script files fails the test: no text became a command. */
static void walk(const char *script, void (*row)(void *arg, const char *block, struct line line), void *arg)
{
    const char *at = script;
    char block[64] = "", terminator[80] = "";
    struct line line;

    while (!is_embedded_tail(at) || block[0]) {
        REQUIRE(next_line(&at, &line), "the script ends too early");
        if (block[0]) {
            if (line.n == strlen(terminator) && begins(line, terminator))
                block[0] = '\0';
            else
                row(arg, block, line);
        } else if (line.at[0] == '$') {
            int used = 0;
            ck_assert_int_eq(sscanf(line.at, "$%60[a-z] << %70[a-z_]%n", block, terminator, &used), 2);
            ck_assert_uint_eq((size_t)used, line.n);
        } else {
            REQUIRE(is_number_line(line) || begins(line, "array face_px["), "a command: %.*s", (int)line.n, line.at);
        }
    }
    for (const struct embedded *e; *at; at += strlen(e->text)) {
        for (e = plot_scripts; e->name; e++)
            if (strncmp(at, e->text, strlen(e->text)) == 0) break;
        ck_assert_msg(e->name != NULL, "not one of our scripts: %.60s", at);
    }
}

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

    chart_case_make(&c, _i < N_ODD ? &odd_cases[_i] : &hostile);
    for (int chart = 0; chart < WR_N_CHART; chart++) {
        for (size_t w = 0; w < sizeof widths / sizeof *widths; w++) {
            struct wr_chart_options o = {
                .format = w % 2 ? WR_CHART_PNG : WR_CHART_SVG, .width = widths[w], .bare = w == 1};
            wr_str_clear(&script);
            if (wr_chart_missing((enum wr_chart)chart, &c.input)) continue;
            wr_chart_script((enum wr_chart)chart, &c.input, &o, &script);
            walk(script.text, check_row, NULL);
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
    "12	31.31	107.20	0.4 %\n"
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
    ck_assert_uint_eq(n_mark, 100);
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

START_TEST(texts_stay_apart_and_inside)
{
    struct boxes *b = calloc(1, sizeof *b);
    struct wr_str script = {0};
    struct chart_case c;

    chart_case_make(&c, _i < N_ODD ? &odd_cases[_i] : &usual);
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
            walk(script.text + 1, add_box, b);
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

    chart_case_make(&c, &usual);
    c.forecast.limit[0].over = (struct wr_probability){.mean = over[_i], .lo = over[_i], .hi = over[_i]};
    wr_chart_script(WR_CHART_FINISH, &c.input, &o, &script);
    walk(script.text, count_dots, &n);
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

static void check_title(struct chart_case *c, enum wr_chart chart, const char *expected)
{
    struct wr_chart_words words = {0};

    wr_chart_words(chart, &c->input, &words);
    ck_assert_str_eq(words.title.text, expected);
    ck_assert_uint_gt(words.subtitle.len, 0);
    ck_assert_uint_gt(words.alt.len, 0);
    wr_chart_words_release(&words);
}

START_TEST(titles_branch_on_the_numbers)
{
    struct chart_case c;

    chart_case_make(&c, &usual);
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
}
END_TEST

struct trend_ends {
    double first[4], last[4];
    size_t n;
};

static void keep_ends(void *arg, const char *block, struct line line)
{
    struct trend_ends *ends = arg;
    double v[4];

    if (strcmp(block, "trend") != 0) return;
    ck_assert_int_eq(sscanf(line.at, "%lf\t%lf\t%lf\t%lf", &v[0], &v[1], &v[2], &v[3]), 4);
    memcpy(ends->n++ ? ends->last : ends->first, v, sizeof v);
}

/* Expected values from R 4.2: f <- lm(effect ~ log(1:6)), confint(f, level = .9), and
 * 360 * exp(predict(f, data.frame(x = log(c(1, 7))), interval = "confidence", level = .9)) */
START_TEST(trend_has_the_band_of_a_fitted_line)
{
    static const double effect[6] = {0.11, 0.02, 0.05, -0.04, -0.09, -0.05};
    const struct chart_case_options six = {.n_task = 10, .n_lane = 2, .n_run = 6, .spread = 1};
    struct wr_chart_options o = {.width = 0};
    struct trend_ends ends = {.n = 0};
    struct wr_str script = {0};
    struct chart_case c;

    chart_case_make(&c, &six);
    for (size_t r = 0; r < 6; r++) {
        c.comparison.run[r].effect = wr_known(effect[r]);
        c.timing.run[r].complete = true;
        c.timing.run[r].finish_without_holds_min = 360 * exp(effect[r]);
    }
    c.comparison.trend = (struct wr_trend){.known = true, .n_run = 6, .level_log = 0.110427042620,
                                           .slope_log = -0.100704811896, .lo = -0.151239248221, .hi = -0.0501703755704};
    wr_chart_script(WR_CHART_RUNS, &c.input, &o, &script);
    walk(script.text, keep_ends, &ends);
    ck_assert_double_eq(ends.first[0], 1);
    ck_assert_double_eq(ends.last[0], 7);
    ck_assert_double_eq_tol(ends.first[1], 402.0317534, 1e-4); /* the script has eight digits */
    ck_assert_double_eq_tol(ends.first[2], 377.3773214, 1e-4);
    ck_assert_double_eq_tol(ends.first[3], 428.2968837, 1e-4);
    ck_assert_double_eq_tol(ends.last[1], 330.4874079, 1e-4);
    ck_assert_double_eq_tol(ends.last[2], 313.5232344, 1e-4);
    ck_assert_double_eq_tol(ends.last[3], 348.3694822, 1e-4);
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

    chart_case_make(&c, &usual);
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

START_TEST(what_is_missing_is_said)
{
    struct chart_case c;
    struct wr_str bytes = {0};
    struct wr_error err = {0};
    struct wr_chart_options o = {.width = 0};
    enum wr_chart chart;

    chart_case_make(&c, &usual);
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

/* ---- through gnuplot ---- */

static bool have_gnuplot(void)
{
    bool there = access("/usr/bin/gnuplot", X_OK) == 0 || access("/usr/local/bin/gnuplot", X_OK) == 0;

    if (!there) fprintf(stderr, "chart: gnuplot is not installed, nothing drawn\n");
    return there;
}

START_TEST(hostile_titles_are_drawn_and_run_nothing)
{
    static const char witness[] = "/tmp/wetrun-was-here";
    struct wr_chart_job job[2 * WR_N_CHART] = {{.chart = 0}};
    struct chart_case c;
    size_t n = 0;

    if (!have_gnuplot()) return;
    unlink(witness);
    chart_case_make(&c, &hostile);
    for (int chart = 0; chart < WR_N_CHART; chart++) {
        if (wr_chart_missing((enum wr_chart)chart, &c.input)) continue;
        job[n++] = (struct wr_chart_job){.chart = (enum wr_chart)chart};
        job[n++] = (struct wr_chart_job){.chart = (enum wr_chart)chart,
                                         .options = {.format = WR_CHART_PNG, .width = WR_CHART_NARROW}};
    }
    wr_chart_render_all(job, n, &c.input, 2);
    for (size_t i = 0; i < n; i++) {
        ck_assert_msg(job[i].status == WR_OK, "%s", job[i].err.text);
        ck_assert_uint_gt(job[i].bytes.len, 1000);
        if (i % 2 == 0) ck_assert_ptr_null(strstr(job[i].bytes.text, "<script"));
        wr_str_release(&job[i].bytes);
    }
    ck_assert_int_ne(access(witness, F_OK), 0);
    chart_case_release(&c);
}
END_TEST

/* Puts a program named gnuplot first in PATH that leaves a mark for each run and then is the real one. */
static void count_runs(const char *folder)
{
    char path[200];

    snprintf(path, sizeof path, "%s/gnuplot", folder);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fprintf(f, "#!/bin/sh\n: > %s/run-$$\nPATH=/usr/local/bin:/usr/bin:/bin\nexec gnuplot \"$@\"\n", folder);
    fclose(f);
    ck_assert_int_eq(chmod(path, 0700), 0);
    setenv("PATH", folder, 1);
}

static size_t remove_marks(const char *folder)
{
    DIR *dir = opendir(folder);
    char path[400];
    size_t n = 0;

    for (struct dirent *e; (e = readdir(dir)) != NULL;) {
        n += strncmp(e->d_name, "run-", 4) == 0;
        snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
        if (e->d_name[0] != '.') unlink(path);
    }
    closedir(dir);
    rmdir(folder);
    return n;
}

/* Charts that share a run of gnuplot must not see each other's numbers: with and without a limit, a trend, marks. */
START_TEST(charts_drawn_together_are_the_same_as_alone)
{
    char folder[] = "/tmp/wetrun-test-XXXXXX", path[] = "/usr/local/bin:/usr/bin:/bin";
    struct wr_chart_job job[3 * WR_N_CHART] = {{.chart = 0}};
    struct wr_str alone = {0};
    struct chart_case c;
    size_t n = 0;

    if (!have_gnuplot()) return;
    chart_case_make(&c, &usual);
    for (int turn = 0; turn < 3; turn++)
        for (int chart = 0; chart < WR_N_CHART; chart++)
            if (!wr_chart_missing((enum wr_chart)chart, &c.input))
                job[n++] = (struct wr_chart_job){
                    .chart = (enum wr_chart)(turn % 2 ? WR_N_CHART - 1 - chart : chart),
                    .options = {.width = turn == 2 ? WR_CHART_NARROW : 0, .inline_id = turn ? "x" : NULL}};
    ck_assert_ptr_nonnull(mkdtemp(folder));
    count_runs(folder);
    wr_chart_render_all(job, n, &c.input, 2);
    ck_assert_uint_le(remove_marks(folder), n / 6 + 1); /* six to a run: none had to be drawn again alone */
    setenv("PATH", path, 1);
    for (size_t i = 0; i < n; i++) {
        ck_assert_msg(job[i].status == WR_OK, "%s", job[i].err.text);
        wr_str_clear(&alone);
        ck_assert_int_eq(wr_chart_render(job[i].chart, &c.input, &job[i].options, &alone, NULL), WR_OK);
        ck_assert_str_eq(job[i].bytes.text, alone.text);
        wr_str_release(&job[i].bytes);
    }
    wr_str_release(&alone);
    chart_case_release(&c);
}
END_TEST

START_TEST(no_gnuplot_is_a_status)
{
    struct chart_case c;
    struct wr_str bytes = {0};
    struct wr_error err = {0};
    struct wr_chart_options o = {.width = 0};

    setenv("PATH", "/nowhere", 1);
    chart_case_make(&c, &usual);
    ck_assert_int_eq(wr_chart_render(WR_CHART_FINISH, &c.input, &o, &bytes, &err), WR_E_NO_PROGRAM);
    ck_assert_ptr_nonnull(strstr(err.text, "chart 'finish'"));
    ck_assert_uint_eq(bytes.len, 0);
    chart_case_release(&c);
}
END_TEST

/* A gnuplot that dies, or says nothing, or stops half-way. */
START_TEST(a_gnuplot_that_fails_gives_no_picture)
{
    static const char *const body[] = {"exit 1", "exit 0", "kill -9 $$", "echo '<svg viewBox=\"0 0 1 1\">'",
                                       "printf '\\211PNG\\r\\n\\032\\n'"};
    char folder[] = "/tmp/wetrun-test-XXXXXX", path[100];
    struct chart_case c;
    struct wr_str bytes = {0};
    struct wr_error err = {0};
    struct wr_chart_options o = {.format = _i % 2 ? WR_CHART_PNG : WR_CHART_SVG};

    ck_assert_ptr_nonnull(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/gnuplot", folder);
    FILE *f = fopen(path, "w");
    ck_assert_ptr_nonnull(f);
    fprintf(f, "#!/bin/sh\n%s\n", body[_i / 2]);
    fclose(f);
    ck_assert_int_eq(chmod(path, 0700), 0);
    setenv("PATH", folder, 1);
    chart_case_make(&c, &usual);
    ck_assert_int_eq(wr_chart_render(WR_CHART_FINISH, &c.input, &o, &bytes, &err), WR_E_CHILD);
    ck_assert_uint_eq(bytes.len, 0);
    chart_case_release(&c);
    unlink(path);
    rmdir(folder);
}
END_TEST

Suite *suite_chart(void)
{
    Suite *s = suite_create("chart");
    TCase *t = tcase_create("scripts and words"), *g = tcase_create("through gnuplot");

    tcase_add_loop_test(t, no_text_becomes_a_command, 0, N_ODD + 1);
    tcase_add_test(t, a_script_to_the_letter);
    tcase_add_test(t, labels_are_one_harmless_line);
    tcase_add_loop_test(t, texts_stay_apart_and_inside, 0, N_ODD + 1);
    tcase_add_loop_test(t, rings_are_the_number_in_the_title, 0, 9);
    tcase_add_test(t, titles_branch_on_the_numbers);
    tcase_add_test(t, trend_has_the_band_of_a_fitted_line);
    tcase_add_test(t, tasks_that_settle_come_first_and_are_counted);
    tcase_add_test(t, what_is_missing_is_said);
    tcase_add_test(t, missing_glyphs_become_squares);
    suite_add_tcase(s, t);
    tcase_set_timeout(g, 60);
    tcase_add_test(g, hostile_titles_are_drawn_and_run_nothing);
    tcase_add_test(g, charts_drawn_together_are_the_same_as_alone);
    tcase_add_test(g, no_gnuplot_is_a_status);
    tcase_add_loop_test(g, a_gnuplot_that_fails_gives_no_picture, 0, 10);
    suite_add_tcase(s, g);
    return s;
}
