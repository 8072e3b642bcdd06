#include <check.h>
#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>
#include "wetrun/io/output_file.h"

static char folder[] = "/tmp/wetrun-check-XXXXXX";
static char name[400];

static const char *in_folder(const char *leaf)
{
    snprintf(name, sizeof name, "%s/%s", folder, leaf);
    return name;
}

static void make_folder(void)
{
    memcpy(strrchr(folder, '-') + 1, "XXXXXX", 6);
    ck_assert_ptr_nonnull(mkdtemp(folder));
}

/* Removes what is in it and says how many files that were. */
static int empty_folder(void)
{
    DIR *d = opendir(folder);
    int n = 0;

    for (struct dirent *e; (e = readdir(d));) {
        if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0) continue;
        n++;
        remove(in_folder(e->d_name));
    }
    closedir(d);
    rmdir(folder);
    return n;
}

static void expect_content(const char *path, const char *expected)
{
    char text[64] = "";
    FILE *f = fopen(path, "r");

    ck_assert_ptr_nonnull(f);
    text[fread(text, 1, sizeof text - 1, f)] = '\0';
    fclose(f);
    ck_assert_str_eq(text, expected);
}

START_TEST(new_and_replaced)
{
    struct stat st;

    make_folder();
    mode_t mask = umask(027);
    ck_assert_int_eq(wr_output_write(in_folder("a.csv"), "one\n", 4, NULL), WR_OK);
    umask(mask);
    expect_content(in_folder("a.csv"), "one\n");
    ck_assert_int_eq(stat(in_folder("a.csv"), &st), 0);
    ck_assert_int_eq(st.st_mode & 0777, 0640);
    chmod(in_folder("a.csv"), 0604);
    ck_assert_int_eq(wr_output_write(in_folder("a.csv"), "two", 3, NULL), WR_OK);
    expect_content(in_folder("a.csv"), "two");
    stat(in_folder("a.csv"), &st);
    ck_assert_int_eq(st.st_mode & 0777, 0604);
    ck_assert_int_eq(wr_output_write(in_folder("a.csv"), "", 0, NULL), WR_OK);
    expect_content(in_folder("a.csv"), "");
    ck_assert_int_eq(empty_folder(), 1); /* nothing left aside */
}
END_TEST

START_TEST(a_link_stays_a_link)
{
    struct stat st;
    char target[400];

    make_folder();
    snprintf(target, sizeof target, "%s", in_folder("real"));
    ck_assert_int_eq(wr_output_write(target, "old", 3, NULL), WR_OK);
    ck_assert_int_eq(symlink("real", in_folder("link")), 0);
    ck_assert_int_eq(wr_output_write(in_folder("link"), "new", 3, NULL), WR_OK);
    ck_assert_int_eq(lstat(in_folder("link"), &st), 0);
    ck_assert(S_ISLNK(st.st_mode));
    expect_content(target, "new");
    ck_assert_int_eq(empty_folder(), 2);
}
END_TEST

START_TEST(devices_are_written_to_and_stay)
{
    struct wr_error err;
    struct stat st;

    ck_assert_int_eq(wr_output_write("/dev/null", "x", 1, &err), WR_OK);
    ck_assert_int_eq(stat("/dev/null", &st), 0);
    ck_assert(S_ISCHR(st.st_mode));
    ck_assert_int_eq(wr_output_write("/dev/full", "x", 1, &err), WR_E_OUTPUT); /* a full disk */
    ck_assert_ptr_nonnull(strstr(err.text, "/dev/full"));
    ck_assert_ptr_nonnull(strstr(err.text, "No space left"));
}
END_TEST

START_TEST(what_cannot_be_written_leaves_the_old)
{
    struct wr_error err;
    char path[300];

    ck_assert_int_eq(wr_output_write("/nonexistent/a", "x", 1, &err), WR_E_OUTPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "/nonexistent/a"));
    make_folder();
    ck_assert_int_eq(wr_output_write(folder, "x", 1, &err), WR_E_OUTPUT);
    snprintf(path, sizeof path, "%s/%0250d", folder, 1); /* a long name that still fits */
    ck_assert_int_eq(wr_output_write(path, "x", 1, &err), WR_OK);
    ck_assert_int_eq(wr_output_write(path, "y", 1, &err), WR_OK);
    ck_assert_int_eq(empty_folder(), 1);
}
END_TEST

START_TEST(a_limit_on_file_size_is_an_error_and_nothing_is_left)
{
    struct wr_error err;
    struct rlimit before, small;
    static const char bytes[100000];

    make_folder();
    ck_assert_int_eq(wr_output_write(in_folder("a"), "old", 3, NULL), WR_OK);
    getrlimit(RLIMIT_FSIZE, &before);
    small = (struct rlimit){50000, before.rlim_max};
    setrlimit(RLIMIT_FSIZE, &small);
    enum wr_status status = wr_output_write(in_folder("a"), bytes, sizeof bytes, &err);
    setrlimit(RLIMIT_FSIZE, &before);
    ck_assert_int_eq(status, WR_E_OUTPUT); /* EFBIG after a part, and no signal that kills */
    expect_content(in_folder("a"), "old");
    ck_assert_int_eq(empty_folder(), 1);
}
END_TEST

START_TEST(a_closed_pipe_does_not_kill)
{
    struct wr_error err;
    int p[2], kept = dup(1);

    ck_assert_int_eq(pipe(p), 0);
    fflush(stdout);
    close(p[0]);
    dup2(p[1], 1);
    close(p[1]);
    enum wr_status status = wr_output_write("-", "x\n", 2, &err);
    dup2(kept, 1);
    close(kept);
    clearerr(stdout);
    ck_assert_int_eq(status, WR_E_OUTPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "standard output"));
    ck_assert_ptr_nonnull(strstr(err.text, "Broken pipe"));
    sigset_t pending, mask;
    sigpending(&pending);
    pthread_sigmask(SIG_SETMASK, NULL, &mask);
    ck_assert_int_eq(sigismember(&pending, SIGPIPE), 0);
    ck_assert_int_eq(sigismember(&mask, SIGPIPE), 0);
}
END_TEST

/* ---- sets ---- */

static struct wr_output_file file_of(const char *leaf, const char *text)
{
    return (struct wr_output_file){leaf, text, text ? strlen(text) : 0};
}

START_TEST(a_set_makes_its_folders_and_replaces_all)
{
    struct wr_output_file set[] = {file_of("in/one", "1"), file_of("in/gone", "x"), file_of("last", "2")};
    char place[600];

    make_folder();
    snprintf(place, sizeof place, "%s/new", folder);
    ck_assert_int_eq(wr_output_write_set(place, set, 3, NULL), WR_OK);
    expect_content(in_folder("new/in/one"), "1");
    expect_content(in_folder("new/in/gone"), "x");
    ck_assert_int_eq(wr_output_write(in_folder("new/notes"), "mine", 4, NULL), WR_OK);
    set[0] = file_of("in/one", "11");
    set[1] = file_of("in/gone", NULL);
    set[2] = file_of("last", "22");
    ck_assert_int_eq(wr_output_write_set(place, set, 3, NULL), WR_OK);
    expect_content(in_folder("new/in/one"), "11");
    expect_content(in_folder("new/last"), "22");
    expect_content(in_folder("new/notes"), "mine"); /* what is not of the set stays */
    ck_assert_int_ne(access(in_folder("new/in/gone"), F_OK), 0);
    remove(in_folder("new/in/one"));
    ck_assert_int_eq(rmdir(in_folder("new/in")), 0); /* nothing left aside */
    remove(in_folder("new/last"));
    remove(in_folder("new/notes"));
    ck_assert_int_eq(empty_folder(), 1);
}
END_TEST

/* The last file cannot be put in place: a folder has its name. */
START_TEST(a_set_that_fails_leaves_all_as_it_was)
{
    struct wr_output_file set[] = {file_of("old", "new"), file_of("gone", NULL), file_of("fresh/er", "x"),
                                   file_of("z", "x")};
    struct wr_error err;

    make_folder();
    ck_assert_int_eq(wr_output_write(in_folder("old"), "old", 3, NULL), WR_OK);
    ck_assert_int_eq(wr_output_write(in_folder("gone"), "kept", 4, NULL), WR_OK);
    ck_assert_int_eq(mkdir(in_folder("z"), 0777), 0);
    ck_assert_int_eq(wr_output_write_set(folder, set, 4, &err), WR_E_OUTPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "/z: cannot be written: Is a directory"));
    expect_content(in_folder("old"), "old");
    expect_content(in_folder("gone"), "kept");
    ck_assert_int_eq(empty_folder(), 3);
}
END_TEST

START_TEST(a_set_that_cannot_be_put_leaves_no_folder)
{
    struct wr_output_file set[] = {file_of("a", "x"), file_of("in/b", "x")};
    struct wr_error err;

    make_folder();
    ck_assert_int_eq(wr_output_write_set(in_folder("no/such"), set, 2, &err), WR_E_OUTPUT);
    ck_assert_ptr_nonnull(strstr(err.text, "no/such"));
    ck_assert_int_eq(wr_output_write(in_folder("file"), "", 0, &err), WR_OK);
    ck_assert_int_eq(wr_output_write_set(in_folder("file"), set, 2, &err), WR_E_OUTPUT);
    ck_assert_int_eq(symlink("/nonexistent/nowhere", in_folder("a")), 0);
    ck_assert_int_eq(wr_output_write_set(folder, set, 2, &err), WR_E_OUTPUT); /* a link to nowhere is no place */
    ck_assert_int_ne(access(in_folder("in"), F_OK), 0);
    ck_assert_int_eq(empty_folder(), 2);
}
END_TEST

/* Two at once, many times: always one of the two sets, whole. */
START_TEST(two_writers_take_turns)
{
    enum { TIMES = 40 };

    make_folder();
    for (int who = 0; who < 2; who++) {
        if (fork() != 0) continue;
        const char *text = who ? "one" : "two";
        const struct wr_output_file set[] = {file_of("a", text), file_of("b", text), file_of("c/d", text)};
        int wrong = 0;
        for (int i = 0; i < TIMES; i++) wrong += wr_output_write_set(folder, set, 3, NULL) != WR_OK;
        _exit(wrong > 0);
    }
    for (int who = 0, state; who < 2; who++) {
        ck_assert_int_gt(wait(&state), 0);
        ck_assert_int_eq(state, 0);
    }
    FILE *f = fopen(in_folder("a"), "r");
    char text[8] = "";
    ck_assert_ptr_nonnull(f);
    ck_assert_ptr_nonnull(fgets(text, sizeof text, f));
    fclose(f);
    expect_content(in_folder("b"), text);
    expect_content(in_folder("c/d"), text);
    remove(in_folder("c/d"));
    ck_assert_int_eq(empty_folder(), 3);
}
END_TEST

/* ---- what those leave who are killed ---- */

static void put(const char *leaf, const char *text)
{
    FILE *f = fopen(in_folder(leaf), "w");

    ck_assert_ptr_nonnull(f);
    fputs(text, f);
    fclose(f);
}

START_TEST(the_next_set_takes_away_what_a_killed_one_left)
{
    struct wr_output_file set[] = {file_of("a", "1"), file_of("b", "2")};
    char ours[64];
    /* 999999999 is beyond the largest process number that Linux gives, 4194304 (proc_sys_kernel(5)) */
    const char *stays[] = {".b.999999999-0.parts", ".b.999999999-.part", ".b.0-0.part",
                           ".c.999999999-0.part",  ".b.99x-0.part",      ".a.-5-0.part",
                           ".b.x99-0.part",        ".b.999999999-x.part"};

    make_folder();
    put("UNFINISHED.txt", "left");
    put(".a.999999999-0.part", "left");
    put(".b.999999999-17.part", "left");
    snprintf(ours, sizeof ours, ".a.%ld-900.part", (long)getpid()); /* of one who still writes */
    put(ours, "x");
    for (size_t i = 0; i < sizeof stays / sizeof *stays; i++) put(stays[i], "x");
    ck_assert_int_eq(wr_output_write_set(folder, set, 2, NULL), WR_OK);
    ck_assert_int_ne(access(in_folder("UNFINISHED.txt"), F_OK), 0);
    ck_assert_int_ne(access(in_folder(".a.999999999-0.part"), F_OK), 0);
    ck_assert_int_ne(access(in_folder(".b.999999999-17.part"), F_OK), 0);
    ck_assert_int_eq(access(in_folder(ours), F_OK), 0);
    for (size_t i = 0; i < sizeof stays / sizeof *stays; i++) ck_assert_int_eq(access(in_folder(stays[i]), F_OK), 0);
    ck_assert_int_eq(empty_folder(), 3 + (int)(sizeof stays / sizeof *stays));
}
END_TEST

START_TEST(a_set_that_fails_leaves_the_note_of_another)
{
    struct wr_output_file set[] = {file_of("a", "1"), file_of("z", "2")};

    make_folder();
    put("UNFINISHED.txt", "left");
    ck_assert_int_eq(mkdir(in_folder("z"), 0777), 0);
    ck_assert_int_eq(wr_output_write_set(folder, set, 2, NULL), WR_E_OUTPUT);
    expect_content(in_folder("UNFINISHED.txt"), "left");
    ck_assert_int_eq(empty_folder(), 2);
}
END_TEST

/* Folders whose names are of one length are two all the same. */
START_TEST(a_set_over_two_folders)
{
    struct wr_output_file set[] = {file_of("aa/one", "1"), file_of("bb/two", "2"), file_of("bb/three", "3")};

    make_folder();
    ck_assert_int_eq(wr_output_write_set(folder, set, 3, NULL), WR_OK);
    expect_content(in_folder("aa/one"), "1");
    expect_content(in_folder("bb/two"), "2");
    expect_content(in_folder("bb/three"), "3");
    remove(in_folder("aa/one"));
    remove(in_folder("bb/two"));
    remove(in_folder("bb/three"));
    ck_assert_int_eq(empty_folder(), 2);
}
END_TEST

Suite *suite_output_file(void);
Suite *suite_output_file(void)
{
    Suite *s = suite_create("output_file");
    TCase *t = tcase_create("output_file");

    tcase_set_timeout(t, 60); /* two writers wait for each other, and for the disk at every file */

    tcase_add_test(t, new_and_replaced);
    tcase_add_test(t, a_link_stays_a_link);
    tcase_add_test(t, devices_are_written_to_and_stay);
    tcase_add_test(t, what_cannot_be_written_leaves_the_old);
    tcase_add_test(t, a_limit_on_file_size_is_an_error_and_nothing_is_left);
    tcase_add_test(t, a_closed_pipe_does_not_kill);
    tcase_add_test(t, a_set_makes_its_folders_and_replaces_all);
    tcase_add_test(t, a_set_that_fails_leaves_all_as_it_was);
    tcase_add_test(t, a_set_that_cannot_be_put_leaves_no_folder);
    tcase_add_test(t, two_writers_take_turns);
    tcase_add_test(t, the_next_set_takes_away_what_a_killed_one_left);
    tcase_add_test(t, a_set_that_fails_leaves_the_note_of_another);
    tcase_add_test(t, a_set_over_two_folders);
    suite_add_tcase(s, t);
    return s;
}
