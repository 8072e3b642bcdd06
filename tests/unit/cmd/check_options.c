/* The command line: the table of options is in order, and words are taken as is usual: POSIX.1-2017, Base Definitions
 * 12.2, has it for `--` (guideline 10) and `-` (13), from memory; long options, values in the same word and options
 * after operands are common practice, no source. Letters are not grouped. */
#include <check.h>
#include <stdio.h>
#include <string.h>
#include "../../../src/cmd/options.h"
#include "wetrun/cmd/settings.h"

enum { MOST_WORDS = 8 };

static struct wr_settings s;
static struct wr_error err;

static enum wr_status parse(const char *command, const char *const *word)
{
    char *argv[MOST_WORDS];
    int n = 0;

    for (; word[n]; n++) argv[n] = (char *)(uintptr_t)word[n];
    wr_settings_release(&s);
    err = (struct wr_error){0};
    return wr_settings_parse(&s, wr_command_find(command), n, argv, &err);
}
#define PARSE(command, ...) parse(command, (const char *const[]){__VA_ARGS__, NULL})

static bool shared(const struct wr_option *a, const struct wr_option *b)
{
    return (a->commands & b->commands) != 0;
}

START_TEST(no_two_options_of_a_command_are_alike)
{
    for (size_t i = 0; i < wr_n_options; i++) {
        const struct wr_option *a = &wr_options[i];
        ck_assert_msg(a->commands != 0, "--%s belongs to no command", a->name);
        ck_assert_msg(a->help && *a->help, "--%s has no help", a->name);
        for (size_t j = i + 1; j < wr_n_options; j++) {
            const struct wr_option *b = &wr_options[j];
            if (!shared(a, b)) continue;
            ck_assert_str_ne(a->name, b->name);
            ck_assert_msg(!a->letter || a->letter != b->letter, "--%s and --%s are both -%c", a->name, b->name,
                          a->letter);
        }
    }
}
END_TEST

START_TEST(commands_are_found_by_name)
{
    for (int c = 0; c < WR_N_COMMAND; c++) {
        ck_assert_ptr_eq(wr_command_find(wr_commands[c].name), &wr_commands[c]);
        ck_assert_int_eq((int)wr_command_id(&wr_commands[c]), c);
    }
    ck_assert_ptr_null(wr_command_find("forecas"));
    ck_assert_ptr_null(wr_command_find(""));
}
END_TEST

START_TEST(four_ways_to_say_the_same)
{
    ck_assert_int_eq(PARSE("forecast", "--seed", "7", "camp"), WR_OK);
    ck_assert(s.study.seed == 7 && strcmp(s.study.folder, "camp") == 0);
    ck_assert_int_eq(PARSE("forecast", "--seed=8"), WR_OK);
    ck_assert(s.study.seed == 8 && strcmp(s.study.folder, ".") == 0);
    ck_assert_int_eq(PARSE("forecast", "camp", "-s", "9"), WR_OK);
    ck_assert(s.study.seed == 9 && strcmp(s.study.folder, "camp") == 0);
    ck_assert_int_eq(PARSE("forecast", "-s10"), WR_OK);
    ck_assert(s.study.seed == 10);
    ck_assert_int_eq(PARSE("forecast", "--out=a=b"), WR_OK); /* the first equals sign parts */
    ck_assert_str_eq(s.out, "a=b");
    ck_assert_int_eq(PARSE("forecast", "--out="), WR_E_USAGE); /* nothing is said: an unset variable */
    ck_assert_int_eq(PARSE("forecast", "--out", ""), WR_E_USAGE);
    ck_assert_int_eq(PARSE("forecast", ""), WR_E_USAGE);
}
END_TEST

/* Nothing that was said is silently replaced: a list goes on, a single value is refused with what to type. */
START_TEST(said_again_an_option_adds_or_is_refused)
{
    ck_assert_int_eq(PARSE("cutoff", "--now", "LADDER@0:30", "--now=TETHER@0:17", "--now", "A@1:00,B@1:10"), WR_OK);
    ck_assert_str_eq(s.study.now, "LADDER@0:30,TETHER@0:17,A@1:00,B@1:10");
    for (size_t i = 0; i < wr_n_options; i++) {
        const struct wr_option *o = &wr_options[i];
        char first[64], second[64];
        size_t c = 0;

        while (!(o->commands & (1u << c))) c++;
        bool single = o->type != WR_OPT_FLAG && o->type != WR_OPT_JOIN && o->type != WR_OPT_COMMAS &&
                      o->type != WR_OPT_LIST && o->type != WR_OPT_CHANGE;
        bool list = o->argument && o->type == WR_OPT_TEXT && strstr(o->argument, ",\xe2\x80\xa6");
        ck_assert_msg(!list, "--%s is a list and cannot go on", o->name);
        if (!single) continue;
        const char *one = o->choice ? o->choice[0] : "0.75", *two = o->choice ? o->choice[1] : "0.875";
        if (o->type == WR_OPT_SIZE || o->type == WR_OPT_SEED) one = "5", two = "6";
        if (o->type == WR_OPT_LIMIT) one = "5:00", two = "6:00";
        snprintf(first, sizeof first, "--%s=%s", o->name, one);
        snprintf(second, sizeof second, "--%s=%s", o->name, two);
        ck_assert_msg(PARSE(wr_commands[c].name, "X", first, first) == WR_OK, "%s: %s", first, err.text);
        ck_assert_msg(PARSE(wr_commands[c].name, "X", first, second) == WR_E_USAGE, "%s %s", first, second);
        ck_assert_msg(strstr(err.text, o->name) && strstr(err.text, two), "%s", err.text);
    }
    ck_assert_int_eq(PARSE("check", "--times", "clock", "--times", "table.csv"), WR_OK); /* two things in one name */
    ck_assert_str_eq(s.times, "table.csv");
    ck_assert_int_eq(PARSE("check", "--times", "clock", "--times", "elapsed"), WR_E_USAGE);
    ck_assert_int_eq(PARSE("check", "--times", "a.csv", "--times", "b.csv"), WR_E_USAGE);
}
END_TEST

START_TEST(operands)
{
    ck_assert_int_eq(PARSE("forecast", "--", "--seed"), WR_OK);
    ck_assert_str_eq(s.study.folder, "--seed");
    ck_assert_int_eq(PARSE("forecast", "-"), WR_OK);
    ck_assert_str_eq(s.study.folder, "-");
    ck_assert_int_eq(PARSE("debrief", "P7-3", "camp"), WR_OK);
    ck_assert(strcmp(s.name, "P7-3") == 0 && strcmp(s.study.folder, "camp") == 0);
    ck_assert_int_eq(PARSE("forecast", "one", "two"), WR_E_USAGE);
    ck_assert_ptr_nonnull(strstr(err.text, "'two'"));
    ck_assert_int_eq(PARSE("debrief", "-q"), WR_E_USAGE); /* which run? */
    ck_assert_int_eq(PARSE("debrief", "--help"), WR_OK);
    ck_assert(s.help);
}
END_TEST

START_TEST(values)
{
    ck_assert_int_eq(PARSE("forecast", "--limit", "6:30", "--confidence", "0.9", "--for", "excursion", "-n", "4000"),
                     WR_OK);
    ck_assert(s.study.limit_min.known && s.study.limit_min.value == 390 && s.study.confidence.value == 0.9);
    ck_assert(s.target == 1 && s.study.n_trial == 4000);
    ck_assert_int_eq(PARSE("forecast", "--limit", "390"), WR_OK);
    ck_assert(s.study.limit_min.value == 390 && !s.study.confidence.known && !s.study.limit_as_clock_min.known);
    ck_assert_int_eq(PARSE("forecast", "--limit", "630"), WR_OK);
    ck_assert(s.study.limit_min.value == 630 && s.study.limit_as_clock_min.value == 390);
    ck_assert_int_eq(PARSE("check", "--runs", "a.csv", "--runs=b.csv"), WR_OK);
    ck_assert(s.runs.n_text == 2 && strcmp(s.runs.text[1], "b.csv") == 0);
}
END_TEST

START_TEST(changes_keep_their_order)
{
    ck_assert_int_eq(PARSE("whatif", "--drop", "A", "--also", "--limit", "6:45", "--scale=B=2"), WR_OK);
    ck_assert_uint_eq(s.n_change, 3);
    ck_assert(s.change[0].kind == WR_CHANGE_DROP && !s.change[0].joined);
    ck_assert(s.change[1].kind == WR_CHANGE_LIMIT && s.change[1].joined && strcmp(s.change[1].text, "6:45") == 0);
    ck_assert(s.change[2].kind == WR_CHANGE_SCALE && !s.change[2].joined && strcmp(s.change[2].text, "B=2") == 0);
    ck_assert_int_eq(PARSE("whatif", "--also", "--drop", "A"), WR_E_USAGE);
    ck_assert_int_eq(PARSE("whatif", "--drop", "A", "--also"), WR_E_USAGE);
}
END_TEST

static const struct {
    const char *command, *word[4], *named; /* what the message must name */
} refused[] = {
    {"forecast", {"--no-such", NULL}, "--no-such"},
    {"forecast", {"--see", "1", NULL}, "--see"}, /* not shortened */
    {"forecast", {"-Z", NULL}, "-Z"},
    {"forecast", {"--drop", "A", NULL}, "--drop"}, /* of another command */
    {"forecast", {"--seed", NULL}, "--seed"},
    {"forecast", {"--seed", "-1", NULL}, "-1"},
    {"forecast", {"--seed", "1x", NULL}, "1x"},
    {"forecast", {"--seed", "18446744073709551616", NULL}, "18446744073709551616"}, /* 2^64 */
    {"forecast", {"--quiet=yes", NULL}, "--quiet"},
    {"forecast", {"--confidence", "1", NULL}, "'1'"},
    {"forecast", {"--confidence", "nan", NULL}, "nan"},
    {"forecast", {"--limit", "6:60", NULL}, "6:60"},
    {"forecast", {"--limit", "0", NULL}, "'0'"},
    {"forecast", {"--format", "xml", NULL}, "table, csv or json"},
    {"forecast", {"--run-effect", "-0.1", NULL}, "-0.1"},
    {"forecast", {"--run-effect", "inf", NULL}, "inf"},
    {"forecast", {"--trials", "1e400", NULL}, "1e400"},
};

START_TEST(what_is_refused_is_named)
{
    ck_assert_int_eq(parse(refused[_i].command, refused[_i].word), WR_E_USAGE);
    ck_assert_msg(strstr(err.text, refused[_i].named) != NULL, "'%s' does not name %s", err.text, refused[_i].named);
}
END_TEST

START_TEST(help_fits_a_terminal_and_names_every_option)
{
    for (int c = 0; c < WR_N_COMMAND; c++) {
        struct wr_str out = {0};
        wr_help_command(&wr_commands[c], &out);
        for (const char *line = wr_str_text(&out); *line;) {
            const char *end = strchr(line, '\n');
            ck_assert_ptr_nonnull(end);
            /* 80 columns; a few characters, as the ellipsis, take two bytes more */
            ck_assert_msg(end - line <= 80 + 6, "%s: %.*s", wr_commands[c].name, (int)(end - line), line);
            line = end + 1;
        }
        for (size_t i = 0; i < wr_n_options; i++) {
            char name[64];
            if (!(wr_options[i].commands & (1u << c))) continue;
            snprintf(name, sizeof name, "--%s", wr_options[i].name);
            ck_assert_msg(strstr(wr_str_text(&out), name) != NULL, "%s: %s", wr_commands[c].name, name);
        }
        wr_str_release(&out);
    }
}
END_TEST

static void begin(void)
{
    wr_settings_init(&s);
}

static void end(void)
{
    wr_settings_release(&s);
}

Suite *suite_options(void);
Suite *suite_options(void)
{
    Suite *suite = suite_create("options");
    TCase *t = tcase_create("options");

    tcase_add_checked_fixture(t, begin, end);
    tcase_add_test(t, no_two_options_of_a_command_are_alike);
    tcase_add_test(t, commands_are_found_by_name);
    tcase_add_test(t, four_ways_to_say_the_same);
    tcase_add_test(t, said_again_an_option_adds_or_is_refused);
    tcase_add_test(t, operands);
    tcase_add_test(t, values);
    tcase_add_test(t, changes_keep_their_order);
    tcase_add_loop_test(t, what_is_refused_is_named, 0, sizeof refused / sizeof *refused);
    tcase_add_test(t, help_fits_a_terminal_and_names_every_option);
    suite_add_tcase(suite, t);
    return suite;
}
