/* Preloaded into the program under test: one allocation fails. Every library's allocations count, ours, GSL's,
 * jansson's, libcsv's and libc's own.
 *   FAULT_AT=N         allocation number N fails (from 1); FAULT_ON=1: and all after it
 *   FAULT_SWEEP=FILE   the first allocation from every call stack fails in a copy of the process, which the process
 *                      waits for: so what comes before it is computed once. The copy works in the folder FAULT_FOLDER,
 *                      its output goes into out and err there; of it a line is left in FILE: number, wait status, 1 if
 *                      it spoke of memory, bytes of output, a hash of output, files and their bytes. The line of number
 *                      0 is of a copy in which nothing fails; "nothing" has the hash of no output and no file. "N
 *                      later" is an allocation with a file or a child process held, which a copy would share: it is for
 *                      FAULT_AT. FAULT_EVERY=N: one stack in N only. */
#ifndef _GNU_SOURCE
#define _GNU_SOURCE
#endif
#include <dlfcn.h>
#include <errno.h>
#include <ftw.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include "copies.h"

enum { SLOTS = 1 << 16 };

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *old, size_t size);

static atomic_ulong number;
static unsigned long fail_at, every = 1, n_stack;
static bool all_after, ready;
static int record_fd = -1;
static char folder[4096];
static uint64_t seen[SLOTS]; /* hashes of stacks; 0: free */
static __thread bool inside;

__attribute__((constructor)) static void set_up(void)
{
    const char *at = getenv("FAULT_AT"), *on = getenv("FAULT_ON");
    const char *record = getenv("FAULT_SWEEP"), *place = getenv("FAULT_FOLDER"), *one_in = getenv("FAULT_EVERY");

    inside = true;
    fail_at = at ? strtoul(at, NULL, 10) : 0;
    if (one_in) every = strtoul(one_in, NULL, 10);
    all_after = on && *on == '1';
    snprintf(folder, sizeof folder, "%s", place ? place : "");
    if (record) record_fd = open(record, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    note_what_is_held();
    unsetenv("LD_PRELOAD"); /* the program's own children run as they are */
    inside = false;
    ready = true;
}

/* True for a stack that was not seen before. */
static bool is_new(void)
{
    uint64_t hash = hash_of_stack();

    for (size_t i = hash % SLOTS;; i = (i + 1) % SLOTS) {
        if (seen[i] == hash) return false;
        if (seen[i] == 0) {
            seen[i] = hash;
            return true;
        }
    }
}

static uint64_t hash_of(const void *bytes, size_t n, uint64_t hash)
{
    const unsigned char *b = bytes;

    for (size_t i = 0; i < n; i++) hash = HASH_STEP(hash, b[i]);
    return hash;
}

static uint64_t found;
static size_t out_size;
static bool memory_said;

static int look_at(const char *path, const struct stat *at, int kind, struct FTW *depth)
{
    uint64_t hash = hash_of(path, strlen(path), HASH_START);
    bool is_err = strcmp(path + depth->base, "err") == 0, is_out = strcmp(path + depth->base, "out") == 0;

    if (kind == FTW_F && at->st_size > 0) {
        int fd = open(path, O_RDONLY | O_CLOEXEC);
        char *bytes = mmap(NULL, (size_t)at->st_size, PROT_READ, MAP_PRIVATE, fd, 0);
        if (fd < 0 || bytes == MAP_FAILED) _exit(98);
        if (is_err) memory_said = memmem(bytes, (size_t)at->st_size, "memory", 6) != NULL;
        hash = hash_of(bytes, (size_t)at->st_size, hash);
        munmap(bytes, (size_t)at->st_size);
        close(fd);
    }
    if (is_out) out_size = (size_t)at->st_size;
    if (!is_err) found += hash; /* in whatever order they are met */
    return 0;
}

static int clear(const char *path, const struct stat *at, int kind, struct FTW *depth)
{
    (void)at, (void)kind;
    return depth->level > 0 ? remove(path) : 0;
}

static void work_apart(void)
{
    int out, err;

    record_fd = -1;
    if (chdir(folder) != 0) _exit(97);
    out = open("out", O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    err = open("err", O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (out < 0 || err < 0 || dup2(out, 1) < 0 || dup2(err, 2) < 0) _exit(97);
    close(out);
    close(err);
    alarm(SECONDS);
}

/* What `found` is after a copy that leaves nothing, beside what stands in the folder before. */
static void note_nothing(void)
{
    char line[80], out[4200];

    snprintf(out, sizeof out, "%s/out", folder);
    int fd = open(out, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    if (fd < 0 || close(fd) != 0) _exit(92);
    found = 0;
    if (nftw(folder, look_at, 16, FTW_PHYS) != 0) _exit(91);
    int len = snprintf(line, sizeof line, "nothing %llx\n", (unsigned long long)found);
    if (write(record_fd, line, (size_t)len) != len) _exit(99);
}

/* True in the copy. */
static bool try_in_a_copy(unsigned long n)
{
    char line[160], place[4200];
    int status = 0, len;

    if (holds_something()) {
        len = snprintf(line, sizeof line, "%lu later\n", n);
    } else {
        pid_t copy = fork();
        if (copy < 0) _exit(96);
        if (copy == 0) {
            work_apart();
            return true;
        }
        if (waitpid(copy, &status, 0) != copy) _exit(95);
        found = out_size = 0;
        memory_said = false;
        if (nftw(folder, look_at, 16, FTW_PHYS) != 0) _exit(94);
        snprintf(place, sizeof place, "%s/w", folder);
        if (nftw(place, clear, 16, FTW_PHYS | FTW_DEPTH) != 0) _exit(93);
        len = snprintf(line, sizeof line, "%lu %d %d %zu %llx\n", n, status, memory_said, out_size,
                       (unsigned long long)found);
    }
    if (write(record_fd, line, (size_t)len) != len) _exit(99);
    return false;
}

static bool must_fail(void)
{
    if (!ready || inside) return false;
    unsigned long n = atomic_fetch_add(&number, 1) + 1;
    if (record_fd >= 0) {
        inside = true;
        if (n == 1) note_nothing();
        bool in_copy = n == 1 && try_in_a_copy(0);
        bool fails = !in_copy && is_new() && n_stack++ % every == 0 && try_in_a_copy(n);
        inside = false;
        if (fails) return true;
    }
    return fail_at && (all_after ? n >= fail_at : n == fail_at);
}

void *malloc(size_t size)
{
    if (must_fail()) {
        errno = ENOMEM;
        return NULL;
    }
    return __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    if (must_fail()) {
        errno = ENOMEM;
        return NULL;
    }
    return __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    if (must_fail()) {
        errno = ENOMEM;
        return NULL;
    }
    return __libc_realloc(old, size);
}
