#include <check.h>
#include <math.h>
#include <string.h>
#include "wetrun/present/grid.h"

static const struct wr_column column[] = {
    {"task", "task", WR_UNIT_TEXT, WR_EVERYBODY, 6},
    {"median_min", "med-\nian", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"end_min", "ends", WR_UNIT_CLOCK, WR_PEOPLE, 0},
    {"share", "", WR_UNIT_SHARE, WR_MACHINE, 0},
    {"done", "done", WR_UNIT_YES_NO, WR_EVERYBODY, 0},
};
static struct wr_grid g;
static struct wr_str out;

static void setup(void)
{
    wr_grid_init(&g, column, sizeof column / sizeof *column);
    wr_grid_text(&g, "Mate <b>connectors</b>, twice");
    wr_grid_number(&g, 17.26);
    wr_grid_number(&g, 350.4);
    wr_grid_number(&g, 0.0534);
    wr_grid_number(&g, 1);
    wr_grid_text(&g, "");
    wr_grid_maybe(&g, WR_UNKNOWN);
    wr_grid_absent(&g);
    wr_grid_number(&g, -0.0);
    wr_grid_number(&g, 0);
}

static void teardown(void)
{
    wr_grid_release(&g);
    wr_str_release(&out);
}

START_TEST(terminal_layout)
{
    wr_grid_add_terminal(&g, 80, &out);
    ck_assert_str_eq(out.text, "                               med-\n"
                               "task                            ian  ends  done\n"
                               "-----------------------------  ----  ----  ----\n"
                               "Mate <b>connectors</b>, twice    17  5:50  yes\n"
                               "                                  -     -  no\n");
}
END_TEST

START_TEST(narrow_terminals_cut_what_may_give)
{
    wr_grid_add_terminal(&g, 30, &out);
    const char *row = strstr(out.text, "Mate");
    ck_assert_int_eq(strncmp(row, "Mate <b>con\xe2\x80\xa6    17  5:50  yes\n", 32), 0);
    wr_str_clear(&out);
    wr_grid_add_terminal(&g, 5, &out); /* never narrower than the least */
    ck_assert_ptr_nonnull(strstr(out.text, "Mate \xe2\x80\xa6  "));
}
END_TEST

START_TEST(wide_letters_are_cut_between_letters)
{
    struct wr_grid wide;

    wr_grid_init(&wide, column, 1);
    wr_grid_text(&wide, "\xe6\x97\xa5\xe6\x9c\xac\xe8\xaa\x9e\xe6\x97\xa5\xe6\x9c\xac"); /* five letters, ten columns */
    wr_grid_add_terminal(&wide, 6, &out);
    ck_assert_ptr_nonnull(strstr(out.text, "\n\xe6\x97\xa5\xe6\x9c\xac\xe2\x80\xa6\n")); /* two letters and the mark:
                                                                                            five */
    wr_grid_release(&wide);
}
END_TEST

START_TEST(csv_is_for_machines)
{
    wr_grid_add_csv(&g, &out);
    ck_assert_str_eq(out.text,
                     "task,median_min,share,done\n\"Mate <b>connectors</b>, twice\",17.26,0.0534,yes\n,,0,no\n");
}
END_TEST

START_TEST(html_is_for_people_and_sorts_by_number)
{
    static const struct wr_html_table table = {"t-one", "One <table>", WR_HTML_SORTABLE};

    wr_grid_add_html(&g, &table, "the rehearsals leave", &out);
    ck_assert_ptr_nonnull(strstr(out.text, "<caption id=\"t-one\">One &lt;table&gt;</caption>"));
    ck_assert_ptr_nonnull(strstr(out.text,
                                 "<th scope=\"row\"><bdi>Mate &lt;b&gt;connectors&lt;/b&gt;, twice</bdi></th>"
                                 "<td class=\"n\" data-v=\"17.26\">17</td><td class=\"n\" data-v=\"350.4\">5:50</td>"
                                 "<td data-v=\"1\">yes</td></tr>"));
    ck_assert_ptr_nonnull(strstr(out.text, "<th scope=\"col\" class=\"n\">median</th>")); /* not "med- ian" */
    ck_assert_ptr_null(strstr(out.text, "share"));
}
END_TEST

START_TEST(a_number_that_is_none_is_named)
{
    struct wr_error err = {0};

    ck_assert_int_eq(wr_grid_check(&g, &err), WR_OK);
    g.value[6].presence = WR_NUMBER;
    g.value[6].number = NAN;
    ck_assert_int_eq(wr_grid_check(&g, &err), WR_E_DOMAIN);
    ck_assert_ptr_nonnull(strstr(err.text, "'median_min', row 2"));
}
END_TEST

static const struct wr_column named[] = {
    {"task", "id", WR_UNIT_TEXT, WR_EVERYBODY, 4},
    {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 6},
    {"crew", "lane", WR_UNIT_TEXT, WR_EVERYBODY, 4},
    {"sd", "in sd", WR_UNIT_FACTOR, WR_EVERYBODY, 0},
};

static void named_row(struct wr_grid *grid, const char *id, const char *title, const char *lane, double sd)
{
    wr_grid_text(grid, id);
    wr_grid_text(grid, title);
    wr_grid_text(grid, lane);
    wr_grid_number(grid, sd);
}

START_TEST(what_stands_in_brackets_goes_on_over_blanks)
{
    struct wr_grid rows;

    wr_grid_init(&rows, named, sizeof named / sizeof *named);
    named_row(&rows, "HOSE", "Lead the hose", "EV2", -2.3);
    named_row(&rows, "", "(all the others)", "", 2.476);
    named_row(&rows, "LOG", "A title to be written behind", "", 0.001);
    wr_grid_add_terminal(&rows, 30, &out);
    ck_assert_str_eq(out.text, "id    task         lane  in sd\n"
                               "----  -----------  ----  -----\n"
                               "HOSE  Lead the h…  EV2   −2.30\n"
                               "      (all the others)    2.48\n"
                               "LOG   A title to…         0.00\n");
    wr_grid_release(&rows);
}
END_TEST

START_TEST(an_id_that_is_the_title_stands_once)
{
    struct wr_grid rows;
    const struct wr_html_table table = {"t-x", "X", WR_HTML_PLAIN};

    wr_grid_init(&rows, named, sizeof named / sizeof *named);
    named_row(&rows, "Hose", "Hose", "EV2", 1);
    named_row(&rows, "", "(others)", "", 2);
    wr_grid_add_terminal(&rows, 80, &out);
    ck_assert_str_eq(out.text, "task      lane  in sd\n"
                               "--------  ----  -----\n"
                               "Hose      EV2    1.00\n"
                               "(others)         2.00\n");
    wr_str_clear(&out);
    wr_grid_add_html(&rows, &table, "the rehearsals leave", &out);
    ck_assert_ptr_null(strstr(out.text, ">id<"));
    ck_assert_ptr_nonnull(strstr(out.text, "<th scope=\"row\"><bdi>Hose</bdi></th>"));
    wr_str_clear(&out);
    wr_grid_add_csv(&rows, &out); /* a program finds both where they always are */
    ck_assert_ptr_nonnull(strstr(out.text, "task,title,crew,sd\nHose,Hose,EV2,1\n"));
    named_row(&rows, "H2", "Hose", "EV1", 3);
    wr_str_clear(&out);
    wr_grid_add_terminal(&rows, 80, &out);
    ck_assert_int_eq(strncmp(out.text, "id    task", 10), 0);
    wr_grid_release(&rows);
}
END_TEST

START_TEST(numbers_for_machines)
{
    static const struct { double number; const char *text; } row[] = {
        {-0.0, "0"}, {0.1, "0.1"}, {1e-7, "1e-07"}, {123456.75, "123456.75"}, {1.0 / 3.0, "0.333333333333"}};

    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        wr_str_clear(&out);
        wr_number_add(&out, row[i].number);
        ck_assert_str_eq(out.text, row[i].text);
    }
}
END_TEST

Suite *suite_grid(void);
Suite *suite_grid(void)
{
    Suite *s = suite_create("grid");
    TCase *t = tcase_create("grid");

    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_test(t, terminal_layout);
    tcase_add_test(t, narrow_terminals_cut_what_may_give);
    tcase_add_test(t, wide_letters_are_cut_between_letters);
    tcase_add_test(t, csv_is_for_machines);
    tcase_add_test(t, html_is_for_people_and_sorts_by_number);
    tcase_add_test(t, a_number_that_is_none_is_named);
    tcase_add_test(t, what_stands_in_brackets_goes_on_over_blanks);
    tcase_add_test(t, an_id_that_is_the_title_stands_once);
    tcase_add_test(t, numbers_for_machines);
    suite_add_tcase(s, t);
    return s;
}
