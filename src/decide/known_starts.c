#include "known_starts.h"

#include <math.h>
#include <stdbool.h>
#include "given_start.h"
#include "start_roots.h"
#include "wetrun/base/memory.h"

void wr_known_init(struct wr_known_starts *known, const struct wr_given *g, double s)
{
    const size_t n_branch = g->mode == WR_GIVEN_PIECES ? WR_KNOWN_BRANCHES : 1, n = g->days->n_trial * n_branch;

    *known = (struct wr_known_starts){.s = s,
                                      .n_branch = n_branch,
                                      .day = WR_NEW_ARRAY(struct wr_known_start, n),
                                      .out = WR_NEW_ARRAY(struct wr_known_outcome, n * g->n_end),
                                      .otherwise = WR_NEW_ARRAY(unsigned char, g->days->n_trial)};
}

void wr_known_release(struct wr_known_starts *known)
{
    WR_FREE(known->day, known->out, known->otherwise);
    *known = (struct wr_known_starts){0};
}

/* Of day i of those walked: another set of dropped work, another number. */
static void find_dropped(const struct wr_given *g, size_t i, struct wr_known_start *at)
{
    at->branch = at->dropped = 1u << 31;
    for (size_t j = 0; j < g->n_ruled; j++) {
        bool dropped = g->abreast.dropped[g->ruled[j] * WR_ABREAST + i] != 0;
        at->dropped = (at->dropped * 31 + (dropped ? 2 : 1)) | 1u << 31;
        if (j + 1 == g->n_ruled_before) at->branch = at->dropped;
    }
}

void wr_known_keep(struct wr_known_starts *known, const struct wr_given *g, const struct wr_search *r, size_t i,
                   double log_weight)
{
    const double rate = wr_given_start_rate(g, i);
    struct wr_known_start at = {(float)r->place.at, (float)(known->s / rate), (float)log_weight, 0, 0};
    size_t b = r->trial * known->n_branch, end = b + known->n_branch;

    find_dropped(g, i, &at);
    while (b < end && known->day[b].branch && known->day[b].branch != at.branch) b++;
    if (b == end || known->day[b].branch || r->chord || !(rate > 1e-9 * known->s)) {
        known->otherwise[r->trial] = 1;
        return;
    }
    known->day[b] = at;
    for (size_t e = 0; e < g->n_end; e++)
        known->out[b * g->n_end + e] = (struct wr_known_outcome){(float)g->out_now[e * WR_ABREAST + i],
                                                                 (float)(g->out_rate[e * WR_ABREAST + i] / rate)};
}

/* ---- reading off ---- */

static const double LITTLE_BEND = 0.25;

struct read {
    double value, rise;
};

static struct read by_cubic(struct read from, struct read to, double gap, double u)
{
    double chord = (to.value - from.value) / gap, square = 3 * chord - 2 * from.rise - to.rise,
           cube = from.rise + to.rise - 2 * chord;

    return (struct read){from.value + gap * u * (from.rise + u * (square + u * cube)),
                         from.rise + u * (2 * square + u * 3 * cube)};
}

/* At a share of the gap between two starts. */
static struct read read_between(struct read from, struct read to, double gap, double share)
{
    double chord = (to.value - from.value) / gap, by_from = from.value + share * gap * from.rise,
           by_to = to.value - (1 - share) * gap * to.rise;

    if (fabs(to.rise - from.rise) < LITTLE_BEND * fabs(chord)) return by_cubic(from, to, gap, share);
    if (from.rise <= chord && chord <= to.rise) /* it rises faster and faster */
        return by_from > by_to ? (struct read){by_from, from.rise} : (struct read){by_to, to.rise};
    if (from.rise >= chord && chord >= to.rise)
        return by_from < by_to ? (struct read){by_from, from.rise} : (struct read){by_to, to.rise};
    return (struct read){from.value + share * (to.value - from.value), chord};
}

/* Days on which the outcome must be walked at the place that was read off wait here. */
struct waiting {
    size_t n, trial[WR_ABREAST];
    double at[WR_ABREAST], weight[WR_ABREAST];
};

/* Days that were read off, to be counted together: their outcomes stand in given->out_now[]. */
struct read_off {
    size_t n, trial[WR_ABREAST];
    double weight[WR_ABREAST];
};

static void count_read_off(struct wr_given *g, struct read_off *r)
{
    wr_given_count(g, r->trial, r->weight, r->n);
    r->n = 0;
}

static void walk_waiting(struct wr_given *g, struct waiting *w, struct read_off *before)
{
    struct wr_abreast *a = &g->abreast;

    count_read_off(g, before);
    if (w->n == 0) return;
    a->n = w->n;
    for (size_t i = 0; i < w->n; i++) {
        a->trial[i] = w->trial[i];
        a->delta[i] = w->at[i] - g->way.at[w->trial[i]];
    }
    wr_abreast_load(a, g->days, &g->way, g->out_list, g->n_out_list);
    wr_abreast_walk(a, g->days, &g->way, g->out_list, g->n_out_list);
    const double unmoved[WR_ABREAST] = {0};
    wr_given_outcomes(g, unmoved);
    wr_given_count(g, w->trial, w->weight, w->n);
    w->n = 0;
}

struct between {
    const struct wr_known_starts *from, *to;
    double gap, share;         /* in minutes */
    double log_gap, log_share; /* in their logs */
};

/* As those of the i-th day side by side. */
static void read_outcomes(struct wr_given *g, const struct between *b, size_t at_from, size_t at_to, size_t i)
{
    const struct wr_known_outcome *from = b->from->out + at_from * g->n_end, *to = b->to->out + at_to * g->n_end;

    for (size_t e = 0; e < g->n_end; e++) {
        struct read first = {(double)from[e].minutes, (double)from[e].rise},
                    last = {(double)to[e].minutes, (double)to[e].rise};
        g->out_now[e * WR_ABREAST + i] = read_between(first, last, b->gap, b->share).value;
    }
}

static void read_start(struct wr_given *g, const struct between *b, size_t trial, size_t at_from, size_t at_to,
                       struct read_off *read, struct waiting *waiting)
{
    const struct wr_known_start *from = &b->from->day[at_from], *to = &b->to->day[at_to];
    struct read first = {(double)from->at, (double)from->at_rise}, last = {(double)to->at, (double)to->at_rise},
                place = read_between(first, last, b->log_gap, b->log_share);
    double log_weight = (double)from->log_weight + b->log_share * (double)(to->log_weight - from->log_weight);
    double weight = place.rise * exp(-0.5 * place.value * place.value + log_weight);

    if (from->dropped == to->dropped) {
        read_outcomes(g, b, at_from, at_to, read->n);
        read->trial[read->n] = trial;
        read->weight[read->n++] = weight;
        if (read->n == WR_ABREAST) count_read_off(g, read);
        return;
    }
    waiting->trial[waiting->n] = trial;
    waiting->at[waiting->n] = place.value;
    waiting->weight[waiting->n++] = weight;
    if (waiting->n == WR_ABREAST) walk_waiting(g, waiting, read);
}

static size_t n_branches(const struct wr_known_starts *known, size_t trial)
{
    size_t n = 0;

    while (n < known->n_branch && known->day[trial * known->n_branch + n].branch) n++;
    return n;
}

/* match[] of each branch of a day at `from`, its index at `to`; false: there are not the same at both. */
static bool match_branches(const struct between *b, size_t trial, size_t n, size_t match[WR_KNOWN_BRANCHES])
{
    const struct wr_known_start *from = b->from->day + trial * b->from->n_branch;
    size_t first = trial * b->to->n_branch;

    if (b->from->otherwise[trial] || b->to->otherwise[trial] || n != n_branches(b->to, trial)) return false;
    for (size_t j = 0; j < n; j++) {
        size_t k = 0;
        while (k < n && b->to->day[first + k].branch != from[j].branch) k++;
        if (k == n) return false;
        match[j] = first + k;
    }
    return true;
}

size_t wr_known_read(struct wr_given *g, const struct wr_known_starts *from, const struct wr_known_starts *to, double s,
                     size_t *other)
{
    const double gap = to->s - from->s, log_gap = log(to->s / from->s);
    struct between b = {from, to, gap, (s - from->s) / gap, log_gap, log(s / from->s) / log_gap};
    struct read_off read = {0};
    struct waiting waiting = {0};
    size_t n_other = 0, match[WR_KNOWN_BRANCHES];

    for (size_t i = 0; i < g->days->n_trial; i++) {
        size_t n = n_branches(from, i);
        if (!match_branches(&b, i, n, match)) other[n_other++] = i;
        else
            for (size_t j = 0; j < n; j++) read_start(g, &b, i, i * from->n_branch + j, match[j], &read, &waiting);
    }
    walk_waiting(g, &waiting, &read);
    return n_other;
}
