#include "quiet_write.h"

#include <errno.h>
#include <time.h>

static const int held[] = {SIGPIPE, SIGXFSZ};
enum { N_HELD = sizeof held / sizeof *held };

void quiet_write_begin(struct quiet_write *q)
{
    sigset_t set;

    sigemptyset(&set);
    for (int i = 0; i < N_HELD; i++) sigaddset(&set, held[i]);
    sigpending(&q->pending);
    pthread_sigmask(SIG_BLOCK, &set, &q->before);
}

void quiet_write_end(struct quiet_write *q)
{
    const struct timespec now = {0};
    int kept = errno;

    for (int i = 0; i < N_HELD; i++) {
        sigset_t one;
        if (sigismember(&q->pending, held[i])) continue;
        sigemptyset(&one);
        sigaddset(&one, held[i]);
        while (sigtimedwait(&one, NULL, &now) < 0 && errno == EINTR) continue;
    }
    pthread_sigmask(SIG_SETMASK, &q->before, NULL);
    errno = kept;
}
