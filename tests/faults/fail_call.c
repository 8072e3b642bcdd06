/* Preloaded into the program under test: one call of the system fails. The program's own children run as they are.
 *   FAULT_CALL=NAME   which call: write, fsync, close, rename, link, swap, open, pipe, fork, poll, read, mkdir, lock,
 *                     unlink, thread, folder (opening one)
 *   FAULT_AT=N        its N-th call fails (from 1); FAULT_ON=1: and all after it
 *   FAULT_ERRNO=E     with this number; 0: the program is killed as it is about to make that call; -1: of write and
 *                     read, which do half of what they are asked
 *   FAULT_LOG=FILE    nothing fails; a line for each call: its name, a hash of its call stack, 1 where nothing is held
 *   FAULT_TALK=FD     at each call where nothing is held "at" is said there. "on" goes on; "NAME N ON E" makes a copy,
 *                     in which this fails, counted from this call on: "copy PID", then "ended WAITSTATUS" are said;
 *                     whoever listens puts back what the copy did to files and output */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE
#endif
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <poll.h>
#include <pthread.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include "copies.h"

enum { KILLED = 0, HALF = -1 };
#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

static atomic_ulong number;
static unsigned long fail_at;
static int with, log_fd = -1, talk_fd = -1;
static bool all_after, ready;
static char call[16];

__attribute__((constructor)) static void set_up(void)
{
    const char *at = getenv("FAULT_AT"), *on = getenv("FAULT_ON"), *name = getenv("FAULT_CALL"),
               *e = getenv("FAULT_ERRNO"), *log = getenv("FAULT_LOG"), *talk = getenv("FAULT_TALK");

    fail_at = at ? strtoul(at, NULL, 10) : 0;
    with = e ? atoi(e) : EIO;
    all_after = on && *on == '1';
    snprintf(call, sizeof call, "%s", name ? name : "");
    if (log) log_fd = open(log, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (talk) talk_fd = atoi(talk);
    if (talk) (void)fcntl(talk_fd, F_SETFD, FD_CLOEXEC);
    note_what_is_held();
    unsetenv("LD_PRELOAD");
    ready = true;
}

static void say(int fd, const char *line)
{
    if (syscall(SYS_write, fd, line, strlen(line)) != (long)strlen(line)) _exit(99);
}

/* Returns as often as something fails in a copy: true there. */
static bool talk(void)
{
    char line[64];

    for (;;) {
        int status, on;
        ssize_t n = recv(talk_fd, line, sizeof line - 1, 0);
        if (n <= 0) _exit(98);
        line[n] = '\0';
        if (strcmp(line, "on") == 0) return false;
        if (sscanf(line, "%15s %lu %d %d", call, &fail_at, &on, &with) != 4) _exit(98);
        all_after = on;
        number = 0;
        pid_t copy = REAL(fork)();
        if (copy == 0) return true;
        snprintf(line, sizeof line, "copy %ld", (long)copy);
        say(talk_fd, line);
        if (copy < 0 || waitpid(copy, &status, 0) != copy) _exit(95);
        snprintf(line, sizeof line, "ended %d", status);
        say(talk_fd, line);
        call[0] = '\0';
    }
}

static void note(const char *name)
{
    char line[64];

    ready = false;
    if (log_fd >= 0) {
        snprintf(line, sizeof line, "%s %llx %d\n", name, (unsigned long long)hash_of_stack(), !holds_something());
        say(log_fd, line);
    } else if (!holds_something()) {
        say(talk_fd, "at");
        if (talk()) {
            alarm(SECONDS);
            talk_fd = -1;
        }
    }
    ready = true;
}

static bool must_fail(const char *name)
{
    if (ready && (log_fd >= 0 || talk_fd >= 0)) note(name);
    if (!ready || strcmp(name, call) != 0) return false;
    unsigned long n = atomic_fetch_add(&number, 1) + 1;
    if (!fail_at || !(all_after ? n >= fail_at : n == fail_at)) return false;
    if (with == KILLED) raise(SIGKILL);
    if (with != HALF) errno = with;
    return true;
}

static size_t half(size_t n)
{
    return n > 1 ? n / 2 : n;
}

ssize_t write(int fd, const void *bytes, size_t n)
{
    bool fails = must_fail("write");

    return fails && with != HALF ? -1 : syscall(SYS_write, fd, bytes, fails ? half(n) : n);
}

ssize_t read(int fd, void *bytes, size_t n)
{
    bool fails = must_fail("read");

    return fails && with != HALF ? -1 : syscall(SYS_read, fd, bytes, fails ? half(n) : n);
}

int fsync(int fd)
{
    return must_fail("fsync") ? -1 : REAL(fsync)(fd);
}

int close(int fd) /* closed all the same, as Linux has it */
{
    bool fails = must_fail("close");
    int kept = errno, got = (int)syscall(SYS_close, fd);

    if (!fails) return got;
    errno = kept;
    return -1;
}

int rename(const char *from, const char *to)
{
    return must_fail("rename") ? -1 : REAL(rename)(from, to);
}

int renameat2(int a, const char *from, int b, const char *to, unsigned flags)
{
    return must_fail("swap") ? -1 : REAL(renameat2)(a, from, b, to, flags);
}

int linkat(int a, const char *from, int b, const char *to, int flags)
{
    return must_fail("link") ? -1 : REAL(linkat)(a, from, b, to, flags);
}

/* Where a build that counts its branches keeps the counts: not a file of the program. */
static bool is_count(const char *path)
{
    size_t n = strlen(path);

    return n > 5 && strcmp(path + n - 5, ".gcda") == 0;
}

int open(const char *path, int flags, ...)
{
    va_list ap;

    va_start(ap, flags);
    mode_t mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(ap, mode_t) : 0;
    va_end(ap);
    return !is_count(path) && must_fail("open") ? -1 : (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
}

DIR *opendir(const char *path)
{
    return must_fail("folder") ? NULL : REAL(opendir)(path);
}

int pipe2(int ends[2], int flags)
{
    return must_fail("pipe") ? -1 : REAL(pipe2)(ends, flags);
}

pid_t fork(void)
{
    return must_fail("fork") ? -1 : REAL(fork)();
}

int poll(struct pollfd *fds, nfds_t n, int timeout)
{
    return must_fail("poll") ? -1 : REAL(poll)(fds, n, timeout);
}

int mkdir(const char *path, mode_t mode)
{
    return must_fail("mkdir") ? -1 : REAL(mkdir)(path, mode);
}

int flock(int fd, int how)
{
    return must_fail("lock") ? -1 : REAL(flock)(fd, how);
}

int unlink(const char *path)
{
    return must_fail("unlink") ? -1 : REAL(unlink)(path);
}

int pthread_create(pthread_t *thread, const pthread_attr_t *attributes, void *(*work)(void *), void *arg)
{
    return must_fail("thread") ? with : REAL(pthread_create)(thread, attributes, work, arg);
}
