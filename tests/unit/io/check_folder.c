/* Folders: the names in them, in an order that does not change. */
#include <check.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "wetrun/io/folder.h"

static char top[] = "/tmp/wetrun-folder-XXXXXX";

static const char *in_top(const char *name)
{
    static char path[sizeof top + 64];

    snprintf(path, sizeof path, "%s/%s", top, name);
    return path;
}

static void make_file(const char *name)
{
    int fd = open(in_top(name), O_WRONLY | O_CREAT | O_CLOEXEC, 0600);

    ck_assert_int_ge(fd, 0);
    close(fd);
}

static void begin(void)
{
    snprintf(top, sizeof top, "/tmp/wetrun-folder-XXXXXX");
    ck_assert_ptr_nonnull(mkdtemp(top));
}

static void finish(void)
{
    char command[sizeof top + 16];

    snprintf(command, sizeof command, "rm -rf %s", top);
    ck_assert_int_eq(system(command), 0);
}

START_TEST(names_in_the_order_of_their_bytes)
{
    static const char *const made[] = {"b.csv", "a.csv", ".hidden", "B.csv", "a b"};
    static const char *const want[] = {"B.csv", "a b", "a.csv", "b.csv"};
    struct wr_folder folder;
    struct wr_error err;

    for (size_t i = 0; i < sizeof made / sizeof *made; i++) make_file(made[i]);
    ck_assert_int_eq(wr_folder_read(&folder, top, &err), WR_OK);
    ck_assert_uint_eq(folder.n, 4);
    for (size_t i = 0; i < folder.n; i++) ck_assert_str_eq(folder.name[i], want[i]);
    wr_folder_release(&folder);
    ck_assert_uint_eq(folder.n, 0);
}
END_TEST

/* One that is not there has nothing in it; one that cannot be opened may have. */
START_TEST(absent_is_not_unreadable)
{
    struct wr_folder folder;
    struct wr_error err;

    make_file("file");
    ck_assert_int_eq(wr_folder_read(&folder, in_top("none"), &err), WR_OK);
    ck_assert_uint_eq(folder.n, 0);
    ck_assert_int_eq(wr_folder_read(&folder, in_top("file"), &err), WR_OK);
    ck_assert_uint_eq(folder.n, 0);
    ck_assert_int_eq(symlink("loop", in_top("loop")), 0);
    ck_assert_int_eq(wr_folder_read(&folder, in_top("loop"), &err), WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "/loop: cannot be opened: "));
    ck_assert_uint_eq(folder.n, 0);
}
END_TEST

Suite *suite_folder(void);
Suite *suite_folder(void)
{
    Suite *s = suite_create("folder");
    TCase *t = tcase_create("folder");

    tcase_add_checked_fixture(t, begin, finish);
    tcase_add_test(t, names_in_the_order_of_their_bytes);
    tcase_add_test(t, absent_is_not_unreadable);
    suite_add_tcase(s, t);
    return s;
}
