/* Preloaded into the program under test: one allocation fails. Every library's allocations count, ours, GSL's,
 * jansson's, libcsv's and libc's own.
 *   FAULT_RECORD=FILE  writes, one line each, the number of the first allocation from every call stack
 *   FAULT_AT=N         allocation number N fails (from 1); FAULT_ON=1: and all after it */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { DEPTH = 24, SLOTS = 1 << 16 };

void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *old, size_t size);

static atomic_ulong number;
static unsigned long fail_at;
static bool all_after, ready;
static int record_fd = -1;
static uint64_t seen[SLOTS]; /* hashes of stacks; 0: free */
static __thread bool inside;

__attribute__((constructor)) static void set_up(void)
{
    void *warm[2];
    const char *at = getenv("FAULT_AT"), *record = getenv("FAULT_RECORD"), *on = getenv("FAULT_ON");

    inside = true;
    backtrace(warm, 2); /* loads what it needs, which allocates */
    fail_at = at ? strtoul(at, NULL, 10) : 0;
    all_after = on && *on == '1';
    if (record) record_fd = open(record, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    unsetenv("LD_PRELOAD"); /* the program's own children run as they are */
    inside = false;
    ready = true;
}

/* True for a stack that was not seen before. Addresses differ from run to run, but not within one. */
static bool is_new(void)
{
    void *frame[DEPTH];
    int n = backtrace(frame, DEPTH);
    uint64_t hash = 1469598103934665603u;

    for (int i = 2; i < n; i++) hash = (hash ^ (uint64_t)(uintptr_t)frame[i]) * 1099511628211u;
    if (hash == 0) hash = 1;
    for (size_t i = hash % SLOTS;; i = (i + 1) % SLOTS) {
        if (seen[i] == hash) return false;
        if (seen[i] == 0) {
            seen[i] = hash;
            return true;
        }
    }
}

static void record(unsigned long n)
{
    char line[32];
    int len = snprintf(line, sizeof line, "%lu\n", n);

    if (write(record_fd, line, (size_t)len) != len) _exit(99);
}

static bool must_fail(void)
{
    if (!ready || inside) return false;
    unsigned long n = atomic_fetch_add(&number, 1) + 1;
    if (record_fd >= 0) {
        inside = true;
        if (is_new()) record(n);
        inside = false;
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
