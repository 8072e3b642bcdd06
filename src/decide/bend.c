#include "bend.h"

#include <math.h>
#include <stdlib.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"

static const double FARTHEST = 40;

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
    WR_SCOPED struct pair *pair = WR_NEW_ARRAY(struct pair, n);

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

/* How far beyond the last node the minutes are that far from the bound: towards() backwards. */
static double beyond_at(double bound, double at, double slope_at, double minutes)
{
    double gap = fabs(bound - at), left = fabs(bound - minutes);

    return gap > 0 && slope_at > 0 && left > 0 ? gap / slope_at * log(gap / left) : FARTHEST;
}

double wr_bend_score(const struct wr_bend *bend, double minutes)
{
    const double *m = bend->minutes, last = bend->first + (WR_BEND_NODES - 1) * bend->step;
    size_t lo = 0, hi = WR_BEND_NODES - 1;

    if (minutes <= bend->low_min) return -FARTHEST;
    if (minutes >= bend->high_min) return FARTHEST;
    if (minutes <= m[lo])
        return fmax(bend->first - beyond_at(bend->low_min, m[lo], (m[1] - m[0]) / bend->step, minutes), -FARTHEST);
    if (minutes > m[hi])
        return fmin(last + beyond_at(bend->high_min, m[hi], (m[hi] - m[hi - 1]) / bend->step, minutes), FARTHEST);
    while (hi - lo > 1) { /* m[lo] < minutes <= m[hi] */
        size_t mid = (lo + hi) / 2;
        if (m[mid] < minutes) lo = mid;
        else hi = mid;
    }
    return bend->first + ((double)lo + (minutes - m[lo]) / (m[hi] - m[lo])) * bend->step;
}
