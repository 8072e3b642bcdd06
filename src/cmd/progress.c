#include "progress.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

static double now_s(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

void wr_progress_begin(struct wr_progress *p, const char *what, bool quiet)
{
    *p = (struct wr_progress){
        .what = what ? what : "computing", .wanted = !quiet && isatty(STDERR_FILENO), .begun_s = now_s()};
}

/* "about 12 s left"; nothing while little can be said. */
static void time_left(char *text, size_t room, double elapsed_s, double share_done)
{
    double left_s = share_done > 0.05 ? elapsed_s * (1 - share_done) / share_done : -1;

    text[0] = '\0';
    if (left_s >= 90) snprintf(text, room, "about %.0f min left", left_s / 60);
    else if (left_s >= 1) snprintf(text, room, "about %.0f s left", left_s);
}

void wr_progress_show(void *progress, double share_done)
{
    struct wr_progress *p = progress;
    enum { WIDTH = 24 };
    char bar[WIDTH + 1], left[32];

    if (!p || !p->wanted) return;
    if (share_done < p->share_done - 0.01) p->in_parts = true;
    p->share_done = share_done;
    double t = now_s();
    if (t - p->begun_s < 1.0 || t - p->drawn_s < 0.1) return;
    int full = (int)(share_done * WIDTH);
    for (int i = 0; i < WIDTH; i++) bar[i] = i < full ? '=' : ' ';
    bar[WIDTH] = '\0';
    time_left(left, sizeof left, t - p->begun_s, p->in_parts ? 0 : share_done);
    fprintf(stderr, "\r%-22.22s [%s] %3d %%  %-20.20s", p->what, bar, (int)(share_done * 100), left);
    fflush(stderr);
    p->drawn_s = t;
    p->shown = true;
}

void wr_progress_say(struct wr_progress *p, const char *what)
{
    if (!p->wanted || now_s() - p->begun_s < 1.0) return;
    fprintf(stderr, "\r%-79.79s", what);
    fflush(stderr);
    p->shown = true;
}

void wr_progress_clear(struct wr_progress *p)
{
    if (p && p->shown) fprintf(stderr, "\r%79s\r", "");
    if (p) p->shown = false;
}
