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
    *p = (struct wr_progress){.what = what, .wanted = !quiet && isatty(STDERR_FILENO), .begun_s = now_s()};
}

void wr_progress_show(void *progress, double share_done)
{
    struct wr_progress *p = progress;
    enum { WIDTH = 40 };
    char bar[WIDTH + 1];

    if (!p || !p->wanted) return;
    double t = now_s();
    if (t - p->begun_s < 1.0 || t - p->drawn_s < 0.1) return;
    int full = (int)(share_done * WIDTH);
    for (int i = 0; i < WIDTH; i++) bar[i] = i < full ? '=' : ' ';
    bar[WIDTH] = '\0';
    fprintf(stderr, "\r%-24.24s [%s] %3d %%", p->what, bar, (int)(share_done * 100));
    fflush(stderr);
    p->drawn_s = t;
    p->shown = true;
}

void wr_progress_clear(struct wr_progress *p)
{
    if (p && p->shown) fprintf(stderr, "\r%79s\r", "");
    if (p) p->shown = false;
}
