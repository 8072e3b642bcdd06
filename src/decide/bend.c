#include "bend.h"

#include <math.h>
#include <stdlib.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/halve.h"

struct pair {
    float score, minutes;
};

static int by_score(const void *a, const void *b)
{
    const struct pair *p = a, *q = b;

    if (p->score != q->score) return p->score < q->score ? -1 : 1;
    return (p->minutes > q->minutes) - (p->minutes < q->minutes);
}

static double between(const struct pair *pair, size_t n, double score)
{
    size_t lo = 0, hi = n - 1;

    if (score <= pair[0].score) return pair[0].minutes;
    if (score >= pair[n - 1].score) return pair[n - 1].minutes;
    while (hi - lo > 1) {
        size_t mid = (lo + hi) / 2;
        if (pair[mid].score <= score) lo = mid;
        else hi = mid;
    }
    double width = (double)pair[hi].score - pair[lo].score;
    if (width <= 0) return pair[lo].minutes;
    return pair[lo].minutes + ((double)pair[hi].minutes - pair[lo].minutes) * (score - pair[lo].score) / width;
}

void wr_bend_fit(struct wr_bend *bend, const float *score, const float *minutes, size_t n, double low_min,
                 double high_min)
{
    struct pair *pair = WR_NEW_ARRAY(struct pair, n);

    WR_BUG_IF(n < 2);
    for (size_t i = 0; i < n; i++) pair[i] = (struct pair){score[i], minutes[i]};
    qsort(pair, n, sizeof *pair, by_score);
    WR_BUG_IF(pair[0].score == pair[n - 1].score);
    bend->first = pair[0].score;
    bend->step = ((double)pair[n - 1].score - pair[0].score) / (WR_BEND_NODES - 1);
    bend->low_min = low_min;
    bend->high_min = high_min;
    for (size_t i = 0; i < WR_BEND_NODES; i++)
        bend->minutes[i] = between(pair, n, bend->first + (double)i * bend->step);
    wr_free(pair);
}

/* Beyond the last node the distance to the bound shrinks exponentially, from the slope that the table ends with. */
static double towards(double bound, double at, double slope_at, double beyond, double *slope)
{
    double gap = fabs(bound - at);

    if (gap <= 0 || slope_at <= 0) {
        *slope = 0;
        return at;
    }
    double left = gap * exp(-beyond * slope_at / gap);
    *slope = slope_at * left / gap;
    return bound > at ? bound - left : bound + left;
}

double wr_bend_minutes(const struct wr_bend *bend, double score, double *slope)
{
    const double *m = bend->minutes;
    double place = (score - bend->first) / bend->step;

    if (place < 0)
        return towards(bend->low_min, m[0], (m[1] - m[0]) / bend->step, -place * bend->step, slope);
    if (place >= WR_BEND_NODES - 1) {
        double last = (m[WR_BEND_NODES - 1] - m[WR_BEND_NODES - 2]) / bend->step;
        return towards(bend->high_min, m[WR_BEND_NODES - 1], last, (place - (WR_BEND_NODES - 1)) * bend->step, slope);
    }
    size_t i = (size_t)place;
    *slope = (m[i + 1] - m[i]) / bend->step;
    return m[i] + (m[i + 1] - m[i]) * (place - (double)i);
}

struct goal {
    const struct wr_bend *bend;
    double minutes;
};

static bool is_shorter(void *arg, double score)
{
    const struct goal *g = arg;
    double slope;

    return wr_bend_minutes(g->bend, score, &slope) < g->minutes;
}

double wr_bend_score(const struct wr_bend *bend, double minutes)
{
    double lo = -40, hi = 40, slope;

    if (minutes <= wr_bend_minutes(bend, lo, &slope)) return lo;
    if (minutes >= wr_bend_minutes(bend, hi, &slope)) return hi;
    struct goal goal = {bend, minutes};
    wr_halve(is_shorter, &goal, 0, 80, &lo, &hi);
    return (lo + hi) / 2;
}
