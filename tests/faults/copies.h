/* What the preloads share: call stacks told apart, and whether the process under test can be copied: a copy shares
 * open files and child processes with what it was copied from, so it is made only where neither is held. */
#pragma once
#include <execinfo.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdint.h>
#include <sys/wait.h>
#include <unistd.h>

enum { DEPTH = 24, SECONDS = 120, MOST_FD = 256 }; /* a copy that takes longer hangs */
#define HASH_START 1469598103934665603u
#define HASH_STEP(hash, value) (((hash) ^ (value)) * 1099511628211u)

static bool had[MOST_FD]; /* file descriptors that it was started with, and those of the preload */

static void note_what_is_held(void)
{
    void *warm[2];

    backtrace(warm, 2); /* loads what it needs, which allocates and opens */
    for (int fd = 0; fd < MOST_FD; fd++) had[fd] = fcntl(fd, F_GETFD) >= 0;
}

static bool holds_something(void)
{
    siginfo_t info;

    for (int fd = 3; fd < MOST_FD; fd++)
        if (!had[fd] && fcntl(fd, F_GETFD) >= 0) return true;
    return waitid(P_ALL, 0, &info, WEXITED | WNOHANG | WNOWAIT) == 0;
}

/* Of the callers of the preload's own function. Addresses differ from run to run, but not within one. */
static uint64_t hash_of_stack(void)
{
    void *frame[DEPTH];
    int n = backtrace(frame, DEPTH);
    uint64_t hash = HASH_START;

    for (int i = 2; i < n; i++) hash = HASH_STEP(hash, (uint64_t)(uintptr_t)frame[i]);
    return hash ? hash : 1;
}
