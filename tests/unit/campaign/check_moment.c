/* Moments as they are typed, by the table that the page for the day is held to as well (tests/day/moments.tsv). */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/campaign/moment.h"
#include "wetrun/io/text_file.h"

static char *next_field(char **at, char end)
{
    char *field = *at, *stop = strchr(field, end);

    ck_assert_ptr_nonnull(stop);
    *stop = '\0';
    *at = stop + 1;
    return field;
}

static bool read_span(const char *text, double *minutes, char trouble[WR_MOMENT_TROUBLE])
{
    const struct wr_habits habits = {.decimal_comma = true};
    enum wr_spelling spelling;
    const char *why = wr_written_span(text, &habits, minutes, &spelling);

    snprintf(trouble, WR_MOMENT_TROUBLE, "%s", why ? why : "");
    return !why && *minutes >= 0;
}

START_TEST(one_table_of_moments)
{
    struct wr_text file;
    struct wr_error err = {0};
    int n = 0;

    ck_assert_int_eq(wr_text_read(&file, "tests/day/moments.tsv", &err), WR_OK);
    char *copy = malloc(file.n + 1), *at = memcpy(copy, file.bytes, file.n);
    copy[file.n] = '\0';
    while (*at) {
        char *line = next_field(&at, '\n'), trouble[WR_MOMENT_TROUBLE] = "";
        if (line[0] == '#') continue;
        line[strlen(line)] = '\0';
        char *how = next_field(&line, '\t'), *text = next_field(&line, '\t'), *wanted = next_field(&line, '\t');
        struct wr_moment_reader reader = {.decimal_comma = true};
        enum wr_spelling spelling;
        double minutes = NAN;
        if (strcmp(how, "clock") == 0) reader.start_min = wr_known(540);
        bool read = strcmp(how, "span") == 0 ? read_span(text, &minutes, trouble)
                                             : wr_read_moment(&reader, text, &minutes, &spelling, trouble);
        ck_assert_msg(read == (wanted[0] != '\0'), "%s '%s': %s", how, text, read ? "read" : trouble);
        if (read) ck_assert_msg(fabs(minutes - atof(wanted)) < 1e-6, "%s '%s': %g", how, text, minutes);
        else ck_assert_msg(strncmp(trouble, line, strlen(line)) == 0, "%s '%s': '%s'", how, text, trouble);
        n++;
    }
    ck_assert_int_gt(n, 60);
    free(copy);
    wr_text_release(&file);
}
END_TEST

/* Numbers of which a whole table has said what they are. */
START_TEST(numbers_of_a_table)
{
    static const struct { enum wr_moment_numbers numbers; const char *text; double minutes; } c[] = {
        {WR_NUMBERS_MINUTES, "4.05", 4.05}, {WR_NUMBERS_MINUTES, "134", 134}, {WR_NUMBERS_CLOCK, "1134", 694}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        struct wr_moment_reader reader = {.numbers = c[i].numbers};
        enum wr_spelling spelling;
        char trouble[WR_MOMENT_TROUBLE];
        double minutes;
        ck_assert(wr_read_moment(&reader, c[i].text, &minutes, &spelling, trouble));
        ck_assert_double_eq_tol(minutes, c[i].minutes, 1e-9);
    }
}
END_TEST

Suite *suite_moment(void);
Suite *suite_moment(void)
{
    Suite *s = suite_create("moment");
    TCase *t = tcase_create("moment");

    tcase_add_test(t, one_table_of_moments);
    tcase_add_test(t, numbers_of_a_table);
    suite_add_tcase(s, t);
    return s;
}
