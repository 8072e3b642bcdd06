/* Preloaded into the program under test: one call of the system fails. The program's own children run as they are.
 *   FAULT_CALL=NAME   which call: write, fsync, close, rename, link, swap, open, pipe, fork, poll, read, mkdir, lock,
 *                     unlink, thread
 *   FAULT_AT=N        its N-th call fails (from 1); FAULT_ON=1: and all after it
 *   FAULT_ERRNO=E     with this number; 0: the program is killed as it is about to make that call
 *   FAULT_COUNT=FILE  at the end the names of all and how often each was called are written there; nothing fails */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE
#endif
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pthread.h>
#include <signal.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

static const char *const names[] = {"write", "fsync", "close", "rename", "link",  "swap",   "open",  "pipe",
                                    "fork",  "poll",  "read",  "mkdir",  "lock",  "unlink", "thread"};
enum { N_NAME = sizeof names / sizeof *names };
static atomic_ulong number, counts[N_NAME];
static unsigned long fail_at;
static int with;
static bool all_after, ready;
static char call[16], count_path[4096];
static pid_t self;

__attribute__((constructor)) static void set_up(void)
{
    const char *at = getenv("FAULT_AT"), *on = getenv("FAULT_ON"), *name = getenv("FAULT_CALL"),
               *e = getenv("FAULT_ERRNO"), *count = getenv("FAULT_COUNT");

    fail_at = at ? strtoul(at, NULL, 10) : 0;
    with = e ? atoi(e) : EIO;
    all_after = on && *on == '1';
    snprintf(call, sizeof call, "%s", name ? name : "");
    snprintf(count_path, sizeof count_path, "%s", count ? count : "");
    unsetenv("LD_PRELOAD");
    self = getpid();
    ready = true;
}

__attribute__((destructor)) static void write_count(void)
{
    ready = false;
    if (!count_path[0] || getpid() != self) return;
    FILE *f = fopen(count_path, "w");
    for (int i = 0; f && i < N_NAME; i++) fprintf(f, "%s %lu\n", names[i], (unsigned long)counts[i]);
    if (f) fclose(f);
}

static bool must_fail(const char *name)
{
    for (int i = 0; ready && count_path[0] && i < N_NAME; i++)
        if (strcmp(names[i], name) == 0) atomic_fetch_add(&counts[i], 1);
    if (!ready || strcmp(name, call) != 0) return false;
    unsigned long n = atomic_fetch_add(&number, 1) + 1;
    if (!fail_at || !(all_after ? n >= fail_at : n == fail_at)) return false;
    if (with == 0) raise(SIGKILL);
    errno = with;
    return true;
}

#define REAL(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

ssize_t write(int fd, const void *bytes, size_t n)
{
    return must_fail("write") ? -1 : syscall(SYS_write, fd, bytes, n);
}

ssize_t read(int fd, void *bytes, size_t n)
{
    return must_fail("read") ? -1 : syscall(SYS_read, fd, bytes, n);
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
