/* The bar on a terminal of the test's own: when it comes, what it says, and that nothing of it is left. */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE
#endif
#include <check.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "../../../src/cmd/progress.h"

static int terminal = -1, kept = -1;
static char seen[4096];

/* Standard error is a terminal while a test runs. */
static void open_terminal(void)
{
    kept = dup(STDERR_FILENO);
    terminal = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
    ck_assert_int_ge(terminal, 0);
    ck_assert_int_eq(grantpt(terminal), 0);
    ck_assert_int_eq(unlockpt(terminal), 0);
    int other = open(ptsname(terminal), O_RDWR | O_NOCTTY);
    ck_assert_int_ge(other, 0);
    ck_assert_int_eq(dup2(other, STDERR_FILENO), STDERR_FILENO);
    close(other);
}

static void close_terminal(void)
{
    dup2(kept, STDERR_FILENO);
    close(kept);
    close(terminal);
}

/* What has been written since the last call. */
static const char *written(void)
{
    ssize_t n = read(terminal, seen, sizeof seen - 1);

    seen[n > 0 ? n : 0] = '\0';
    return seen;
}

/* As if it had begun, and drawn last, so many seconds ago. */
static void earlier(struct wr_progress *p, double seconds)
{
    p->begun_s -= seconds;
    p->drawn_s = 0;
}

START_TEST(a_bar_after_a_second)
{
    struct wr_progress p;

    wr_progress_begin(&p, "fitting", false);
    wr_progress_show(&p, 0.5);
    ck_assert_str_eq(written(), ""); /* most of what is asked takes no second */
    earlier(&p, 10);
    wr_progress_show(&p, 0.5); /* half of it took 10 s */
    ck_assert_str_eq(written(), "\rfitting                [============            ]  50 %  about 10 s left     ");
    wr_progress_show(&p, 0.5);
    ck_assert_str_eq(written(), ""); /* ten times a second will do */
    earlier(&p, 400);
    wr_progress_show(&p, 0.5); /* 410 s are 7 minutes */
    ck_assert_ptr_nonnull(strstr(written(), " 50 %  about 7 min left"));
    earlier(&p, 0);
    wr_progress_show(&p, 0.999); /* less than a second */
    ck_assert_ptr_nonnull(strstr(written(), " 99 %                      "));
    wr_progress_clear(&p);
    ck_assert_uint_eq(strspn(written(), "\r "), strlen(seen));
    ck_assert_uint_eq(strlen(seen), 81);
    wr_progress_clear(&p);
    ck_assert_str_eq(written(), "");
}
END_TEST

START_TEST(no_time_is_told_where_none_is_known)
{
    struct wr_progress p;

    wr_progress_begin(&p, NULL, false);
    earlier(&p, 30);
    wr_progress_show(&p, 0.02); /* too little to go by */
    ck_assert_str_eq(written(), "\rcomputing              [                        ]   2 %                      ");
    earlier(&p, 0);
    wr_progress_show(&p, 1);
    ck_assert_ptr_nonnull(strstr(written(), "[========================] 100 %"));
    earlier(&p, 0);
    wr_progress_show(&p, 0.5); /* another part of it began: how many there are is not known */
    ck_assert_ptr_nonnull(strstr(written(), " 50 %                      "));
}
END_TEST

START_TEST(words_in_place_of_a_bar)
{
    struct wr_progress p;

    wr_progress_begin(&p, "reporting", false);
    wr_progress_say(&p, "drawing the charts");
    ck_assert_str_eq(written(), "");
    earlier(&p, 2);
    wr_progress_say(&p, "drawing the charts");
    ck_assert_int_eq(strncmp(written(), "\rdrawing the charts  ", 20), 0);
    wr_progress_clear(&p);
    ck_assert_uint_eq(strspn(written(), "\r "), strlen(seen));
}
END_TEST

START_TEST(nobody_looks)
{
    struct wr_progress p;
    int ends[2];

    wr_progress_begin(&p, "fitting", true); /* --quiet */
    earlier(&p, 10);
    wr_progress_show(&p, 0.5);
    wr_progress_say(&p, "drawing");
    wr_progress_clear(&p);
    ck_assert_str_eq(written(), "");
    ck_assert_int_eq(pipe(ends), 0);
    ck_assert_int_eq(dup2(ends[1], STDERR_FILENO), STDERR_FILENO);
    wr_progress_begin(&p, "fitting", false); /* into a file */
    earlier(&p, 10);
    wr_progress_show(&p, 0.5);
    wr_progress_say(&p, "drawing");
    wr_progress_clear(&p);
    close(ends[1]);
    close(STDERR_FILENO);
    ck_assert_int_eq((int)read(ends[0], seen, sizeof seen), 0);
    wr_progress_show(NULL, 0.5); /* nobody asked for one */
    wr_progress_clear(NULL);
}
END_TEST

Suite *suite_progress(void);
Suite *suite_progress(void)
{
    Suite *s = suite_create("progress");
    TCase *t = tcase_create("progress");

    tcase_add_checked_fixture(t, open_terminal, close_terminal);
    tcase_add_test(t, a_bar_after_a_second);
    tcase_add_test(t, no_time_is_told_where_none_is_known);
    tcase_add_test(t, words_in_place_of_a_bar);
    tcase_add_test(t, nobody_looks);
    suite_add_tcase(s, t);
    return s;
}
