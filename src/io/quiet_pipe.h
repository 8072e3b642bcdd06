/* Writing to a pipe whose reader may be gone, without being killed by SIGPIPE and without touching what the process
 * does with that signal: it is held back in this thread, and one that our own writing raised is taken away again. */
#pragma once

#include <signal.h>
#include <stdbool.h>

struct quiet_pipe {
    sigset_t before;
    bool was_pending;
};

void quiet_pipe_begin(struct quiet_pipe *q);
void quiet_pipe_end(struct quiet_pipe *q);
