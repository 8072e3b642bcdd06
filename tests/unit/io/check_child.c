/* Helper programs here: the shell and core utilities that POSIX promises. */
#include <check.h>
#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>
#include "wetrun/base/memory.h"
#include "wetrun/io/child.h"

static const struct wr_child_bounds ample = {60, 64u << 20, NULL};

static enum wr_status run_shell(const char *script, const char *input, size_t n, struct wr_str *out,
                                struct wr_error *err)
{
    char *argv[] = {(char[]){"sh"}, (char[]){"-c"}, (char *)(uintptr_t)script, NULL};

    return wr_child_run(argv, input, n, &ample, out, err);
}

static int open_files(void)
{
    DIR *d = opendir("/proc/self/fd");
    int n = 0;

    if (!d) return 0;
    while (readdir(d)) n++;
    closedir(d);
    return n;
}

START_TEST(much_in_much_out)
{
    size_t n = 3 * 1024 * 1024; /* far more than any pipe holds, in both directions at once */
    char *input = wr_alloc(n, 1);
    struct wr_str out = {0};
    struct wr_error err;
    char *argv[] = {(char[]){"cat"}, NULL};

    for (size_t i = 0; i < n; i++) input[i] = (char)(i * 31 >> 3);
    int before = open_files();
    ck_assert_int_eq(wr_child_run(argv, input, n, &ample, &out, &err), WR_OK);
    ck_assert_uint_eq(out.len, n);
    ck_assert_int_eq(memcmp(out.text, input, n), 0);
    ck_assert_int_eq(open_files(), before);
    wr_str_release(&out);
    wr_free(input);
}
END_TEST

START_TEST(no_input_no_output)
{
    struct wr_str out = {0};

    ck_assert_int_eq(run_shell("exit 0", NULL, 0, &out, NULL), WR_OK);
    ck_assert_uint_eq(out.len, 0);
    ck_assert_int_eq(run_shell("cat; echo end", NULL, 0, &out, NULL), WR_OK); /* sees the end of its input */
    ck_assert_str_eq(out.text, "end\n");
    wr_str_release(&out);
}
END_TEST

START_TEST(arguments_pass_no_shell)
{
    char *argv[] = {(char[]){"printf"}, (char[]){"%s"}, (char[]){"$(echo no) `id` ;|'\""}, NULL};
    struct wr_str out = {0};

    ck_assert_int_eq(wr_child_run(argv, NULL, 0, &ample, &out, NULL), WR_OK);
    ck_assert_str_eq(out.text, "$(echo no) `id` ;|'\"");
    wr_str_release(&out);
}
END_TEST

START_TEST(what_it_is_not_told)
{
    const struct wr_child_bounds bounds = {60, 64u << 20, "WETRUN_CHECK_A="};
    char *argv[] = {(char[]){"env"}, NULL};
    struct wr_str out = {0};

    setenv("WETRUN_CHECK_A", "one", 1);
    setenv("WETRUN_CHECK_AB", "two", 1);
    ck_assert_int_eq(wr_child_run(argv, NULL, 0, &bounds, &out, NULL), WR_OK);
    ck_assert_ptr_null(strstr(out.text, "WETRUN_CHECK_A=one"));
    ck_assert_ptr_nonnull(strstr(out.text, "WETRUN_CHECK_AB=two\n"));
    ck_assert_str_eq(getenv("WETRUN_CHECK_A"), "one"); /* here it stays */
    wr_str_clear(&out);
    ck_assert_int_eq(wr_child_run(argv, NULL, 0, &ample, &out, NULL), WR_OK);
    ck_assert_ptr_nonnull(strstr(out.text, "WETRUN_CHECK_A=one\n"));
    wr_str_release(&out);
    unsetenv("WETRUN_CHECK_A");
    unsetenv("WETRUN_CHECK_AB");
}
END_TEST

START_TEST(not_there)
{
    struct wr_str out = {0};
    struct wr_error err;
    char *missing[] = {(char[]){"wetrun-no-such-program"}, NULL};
    char *folder[] = {(char[]){"/"}, NULL};

    int before = open_files();
    ck_assert_int_eq(wr_child_run(missing, "x", 1, &ample, &out, &err), WR_E_NO_PROGRAM);
    ck_assert_ptr_nonnull(strstr(err.text, "wetrun-no-such-program"));
    ck_assert_int_eq(wr_child_run(folder, "x", 1, &ample, &out, &err), WR_E_NO_PROGRAM);
    ck_assert_int_eq(open_files(), before);
    wr_str_release(&out);
}
END_TEST

START_TEST(failures_say_why)
{
    struct wr_str out = {0};
    struct wr_error err;

    ck_assert_int_eq(run_shell("echo part; echo line one >&2; echo '  two' >&2; exit 7", NULL, 0, &out, &err),
                     WR_E_CHILD);
    ck_assert_ptr_nonnull(strstr(err.text, "status 7: line one two"));
    ck_assert_int_eq(run_shell("printf 'one\\ttwo\\r\\n\\000three' >&2; exit 7", NULL, 0, &out, &err), WR_E_CHILD);
    ck_assert_ptr_nonnull(strstr(err.text, "status 7: one two three"));
    ck_assert_int_eq(run_shell("kill -9 $$", NULL, 0, &out, &err), WR_E_CHILD);
    ck_assert_ptr_nonnull(strstr(err.text, "signal 9"));
    /* more complaint than a pipe holds must not stop it */
    ck_assert_int_eq(run_shell("i=0; while [ $i -lt 3000 ]; do echo 'a complaint of some length goes here' >&2; "
                               "i=$((i+1)); done; exit 1", NULL, 0, &out, &err), WR_E_CHILD);
    ck_assert_ptr_nonnull(strstr(err.text, "a complaint"));
    wr_str_release(&out);
}
END_TEST

START_TEST(a_reader_that_stops_early)
{
    size_t n = 1024 * 1024;
    char *input = wr_alloc(n, 1);
    struct wr_str out = {0};
    struct wr_error err;
    sigset_t mask, pending;

    ck_assert_int_eq(run_shell("exec <&-; echo fine", input, n, &out, &err), WR_OK);
    ck_assert_str_eq(out.text, "fine\n");
    ck_assert_int_eq(run_shell("exit 3", input, n, &out, &err), WR_E_CHILD);
    sigpending(&pending);
    pthread_sigmask(SIG_SETMASK, NULL, &mask);
    ck_assert_int_eq(sigismember(&pending, SIGPIPE), 0);
    ck_assert_int_eq(sigismember(&mask, SIGPIPE), 0);
    wr_str_release(&out);
    wr_free(input);
}
END_TEST

START_TEST(the_child_dies_of_a_closed_pipe_as_usual)
{
    struct wr_str out = {0};
    struct wr_error err;

    /* SIGPIPE is neither blocked nor ignored in the child: `yes` ends by it when `head` has gone */
    ck_assert_int_eq(run_shell("yes | head -n 1; echo done", NULL, 0, &out, &err), WR_OK);
    ck_assert_str_eq(out.text, "y\ndone\n");
    wr_str_release(&out);
}
END_TEST

static enum wr_status run_bounded(const char *script, unsigned seconds, size_t most, struct wr_str *out,
                                  struct wr_error *err)
{
    const struct wr_child_bounds bounds = {seconds, most, NULL};
    char *argv[] = {(char[]){"sh"}, (char[]){"-c"}, (char *)(uintptr_t)script, NULL};

    return wr_child_run(argv, NULL, 0, &bounds, out, err);
}

/* No process of that number, or only its remains. Given a moment: a group is killed at once, but dies in its own
 * time. */
static bool is_gone(const char *number)
{
    char path[64], state[512];

    snprintf(path, sizeof path, "/proc/%ld/stat", strtol(number, NULL, 10));
    for (int i = 0; i < 200; i++) {
        FILE *f = fopen(path, "r");
        bool dead = !f || !fgets(state, sizeof state, f) || strstr(state, ") Z ");
        if (f) fclose(f);
        if (dead) return true;
        usleep(10000);
    }
    return false;
}

START_TEST(one_that_hangs_is_stopped_with_all_it_started)
{
    struct wr_str out = {0};
    struct wr_error err;

    ck_assert_int_eq(run_bounded("trap '' TERM; echo $$; sleep 1000", 1, 1000, &out, &err), WR_E_CHILD_HUNG);
    ck_assert_ptr_nonnull(strstr(err.text, "sh did not end within 1 s"));
    ck_assert(is_gone(out.text));
    wr_str_clear(&out); /* closes all its pipes, and stays */
    ck_assert_int_eq(run_bounded("echo $$; exec <&- >&- 2>&-; sleep 1000", 1, 1000, &out, &err), WR_E_CHILD_HUNG);
    ck_assert(is_gone(out.text));
    wr_str_clear(&out); /* ends, and something it started holds its output */
    ck_assert_int_eq(run_bounded("sleep 1000 & echo $!", 1, 1000, &out, &err), WR_E_CHILD_HUNG);
    ck_assert(is_gone(out.text));
    wr_str_clear(&out); /* the same with the output closed: no failure, but it goes too */
    ck_assert_int_eq(run_bounded("sleep 1000 <&- >&- 2>&- & echo $!", 30, 1000, &out, &err), WR_OK);
    ck_assert(is_gone(out.text));
    wr_str_clear(&out); /* never done, though always busy */
    ck_assert_int_eq(run_bounded("while :; do echo x >&2; done", 1, 1000, &out, &err), WR_E_CHILD_HUNG);
    wr_str_release(&out);
}
END_TEST

START_TEST(output_without_end_is_cut_off)
{
    struct wr_str out = {0};
    struct wr_error err;

    ck_assert_int_eq(run_bounded("yes", 60, 1u << 20, &out, &err), WR_E_CHILD);
    ck_assert_ptr_nonnull(strstr(err.text, "sh gave more than 1 MB"));
    ck_assert_uint_le(out.len, 1u << 20);
    wr_str_release(&out);
}
END_TEST

START_TEST(it_dies_with_us)
{
    struct wr_str out = {0};
    char number[32] = "";
    int p[2];

    ck_assert_int_eq(pipe(p), 0);
    pid_t pid = fork();
    if (pid == 0) { /* killed while its child runs, which says its number on a descriptor of ours */
        char script[128];
        snprintf(script, sizeof script, "echo $$ > /proc/%ld/fd/%d; kill -9 %ld; exec sleep 1000", (long)getppid(),
                 p[1], (long)getpid());
        (void)!run_bounded(script, 60, 1000, &out, NULL);
        _exit(0);
    }
    ck_assert_int_eq(waitpid(pid, NULL, 0), pid);
    ck_assert_int_gt(read(p[0], number, sizeof number - 1), 0);
    ck_assert(is_gone(number));
    close(p[0]);
    close(p[1]);
}
END_TEST

START_TEST(standard_files_that_are_closed)
{
    struct wr_str out = {0};
    struct wr_error err;
    int kept[3];

    fflush(NULL);
    for (int fd = 0; fd < 3; fd++) kept[fd] = fcntl(fd, F_DUPFD_CLOEXEC, 10);
    for (int fd = 0; fd < 3; fd++) close(fd);
    enum wr_status status = run_shell("cat; echo complaint >&2", "said\n", 5, &out, &err);
    for (int fd = 0; fd < 3; fd++) dup2(kept[fd], fd);
    for (int fd = 0; fd < 3; fd++) close(kept[fd]);
    ck_assert_int_eq(status, WR_OK);
    ck_assert_str_eq(out.text, "said\n");
    wr_str_release(&out);
}
END_TEST

Suite *suite_child(void);
Suite *suite_child(void)
{
    Suite *s = suite_create("child");
    TCase *t = tcase_create("child");

    tcase_add_test(t, much_in_much_out);
    tcase_add_test(t, no_input_no_output);
    tcase_add_test(t, arguments_pass_no_shell);
    tcase_add_test(t, what_it_is_not_told);
    tcase_add_test(t, not_there);
    tcase_add_test(t, failures_say_why);
    tcase_add_test(t, a_reader_that_stops_early);
    tcase_add_test(t, the_child_dies_of_a_closed_pipe_as_usual);
    tcase_set_timeout(t, 60);
    tcase_add_test(t, one_that_hangs_is_stopped_with_all_it_started);
    tcase_add_test(t, output_without_end_is_cut_off);
    tcase_add_test(t, it_dies_with_us);
    tcase_add_test(t, standard_files_that_are_closed);
    suite_add_tcase(s, t);
    return s;
}
