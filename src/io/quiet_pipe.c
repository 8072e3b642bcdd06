#include "quiet_pipe.h"

#include <errno.h>
#include <time.h>

static void pipe_signal(sigset_t *set)
{
    sigemptyset(set);
    sigaddset(set, SIGPIPE);
}

void quiet_pipe_begin(struct quiet_pipe *q)
{
    sigset_t set, pending;

    pipe_signal(&set);
    sigpending(&pending);
    q->was_pending = sigismember(&pending, SIGPIPE) == 1;
    pthread_sigmask(SIG_BLOCK, &set, &q->before);
}

void quiet_pipe_end(struct quiet_pipe *q)
{
    const struct timespec now = {0};
    sigset_t set;
    int kept = errno;

    pipe_signal(&set);
    if (!q->was_pending)
        while (sigtimedwait(&set, NULL, &now) < 0 && errno == EINTR) continue;
    pthread_sigmask(SIG_SETMASK, &q->before, NULL);
    errno = kept;
}
