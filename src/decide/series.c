#include "wetrun/decide/series.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/decide/enough_trials.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/noisy_ends.h"
#include "wetrun/stats/quantile.h"

enum { PIECE = 1024 }; /* trials of one piece of work */

/* The series with one decision taken beforehand, or as it is. */
struct course {
    bool as_it_is;
    bool nothing_carried;       /* every spilled piece of work counts as done before: the legs on their own */
    enum wr_series_change_kind kind;
    size_t spill;               /* unless as_it_is */
};

struct seen {                   /* of one course, by trial */
    unsigned char *over;        /* [limit_at * n_trial + trial], limits of all legs one behind the other */
    unsigned char *any_over;    /* of any limit of any leg */
    unsigned char *left_over;
    double *finish_min;         /* [leg * n_trial + trial]; NULL: not wanted */
    unsigned char *carried;     /* [spill * n_trial + trial]; NULL: not wanted */
    unsigned char *stopped;     /* the same */
    unsigned char *asked;       /* the same */
    double *spilled_min;        /* [leg * n_trial + trial]; NULL: not wanted */
};

struct walking {
    const struct wr_series_leg *leg; size_t n_leg;
    const struct wr_spill *spill; size_t n_spill;
    size_t n_trial, n_limit;
    size_t *first_limit;        /* [n_leg] */
    const struct course *course; size_t n_course;
    struct seen *seen;          /* [n_course] */
};

/* Room for one trial; [n_task] of the largest leg, but for `left`. */
struct workspace {
    double *minutes, *start_min, *end_min, *not_before, *drop_after;
    double *part;               /* how much of a task is to be done in this leg: 1, or what an earlier one left of it */
    double *whole_min;          /* its minutes before it was stopped */
    unsigned char *dropped, *left_out;
    double *left;               /* [n_spill] how much of the work is carried on, 0: nothing */
};

/* ---- one leg of one trial ---- */

static bool is_target(const struct walking *w, size_t leg, size_t task)
{
    for (size_t s = 0; s < w->n_spill; s++)
        if (w->spill[s].to_leg == leg && w->spill[s].to_task == task) return true;
    return false;
}

/* What was carried on to this leg takes its time and its set-up; what is done already, or is carried by nobody,
 * none. */
static double take_spilled(const struct walking *w, size_t leg, struct workspace *r)
{
    double spilled = 0;

    for (size_t s = 0; s < w->n_spill; s++) {
        const struct wr_spill *p = &w->spill[s];
        if (p->to_leg == leg) r->left_out[p->to_task] = 1;
    }
    for (size_t s = 0; s < w->n_spill; s++) {
        const struct wr_spill *p = &w->spill[s];
        double part = r->left[s];
        if (p->to_leg != leg || part == 0) continue;
        r->left[s] = 0;
        if (!r->left_out[p->to_task]) continue; /* it came from another leg too: it is done once */
        r->left_out[p->to_task] = 0;
        r->part[p->to_task] = part;
        r->minutes[p->to_task] = part * r->minutes[p->to_task] + p->setup_min;
        spilled += r->minutes[p->to_task];
    }
    return spilled;
}

static void decide_beforehand(const struct walking *w, const struct course *c, size_t leg, struct workspace *r)
{
    if (c->as_it_is || c->nothing_carried) return;
    const struct wr_spill *p = &w->spill[c->spill];
    if (p->from_leg != leg) return;
    if (c->kind == WR_SERIES_RULE_LIFTED) r->drop_after[p->from_task] = INFINITY;
    else r->left_out[p->from_task] = 1;
}

static void walk_leg(const struct wr_network *from, struct workspace *r)
{
    struct wr_network net = *from;

    for (size_t k = 0; k < net.n_task; k++) {
        if (!r->left_out[k]) continue;
        r->minutes[k] = 0;
        r->not_before[k] = 0;
        r->drop_after[k] = INFINITY;
    }
    net.not_before_min = r->not_before;
    net.drop_after_min = r->drop_after;
    wr_network_forward(&net, r->minutes, r->start_min, r->end_min, r->dropped);
}

static bool stops(const struct walking *w, const struct course *c, size_t spill, size_t leg)
{
    bool lifted = !c->as_it_is && !c->nothing_carried && c->kind == WR_SERIES_RULE_LIFTED && c->spill == spill;

    return w->spill[spill].from_leg == leg && w->spill[spill].stop_min.known && !lifted;
}

/* Ends what is under way at its stop. What ends earlier lets others begin earlier, so that they get further: once more
 * for each, since in the order of the network one more is right every time. */
static void stop_work(const struct walking *w, const struct course *c, size_t leg, struct workspace *r)
{
    bool again = true;

    memcpy(r->whole_min, r->minutes, w->leg[leg].net->n_task * sizeof(double));
    for (size_t round = 0; round <= w->n_spill && again; round++) {
        again = false;
        for (size_t s = 0; s < w->n_spill; s++) {
            size_t k = w->spill[s].from_task;
            if (!stops(w, c, s, leg) || r->left_out[k] || r->dropped[k]) continue;
            double minutes = fmin(r->whole_min[k], fmax(0, w->spill[s].stop_min.value - r->start_min[k]));
            again = again || fabs(minutes - r->minutes[k]) > 1e-9;
            r->minutes[k] = minutes;
        }
        if (again) walk_leg(w->leg[leg].net, r);
    }
}

/* How much of what was to be done of it is not: 1 if it was not begun. */
static double share_undone(const struct workspace *r, size_t k)
{
    return r->dropped[k] ? 1 : r->whole_min[k] > 0 ? 1 - r->minutes[k] / r->whole_min[k] : 0;
}

/* What of this leg goes on, and whether something is lost for good. */
static bool carry_on(const struct walking *w, const struct course *c, size_t leg, const unsigned char *asked,
                     struct workspace *r)
{
    bool lost = false;

    for (size_t k = 0; k < w->leg[leg].net->n_task; k++) {
        bool goes_on = false;
        for (size_t s = 0; s < w->n_spill; s++) {
            const struct wr_spill *p = &w->spill[s];
            if (p->from_leg != leg || p->from_task != k) continue;
            bool chosen = !c->as_it_is && !c->nothing_carried && c->spill == s;
            double undone = chosen && c->kind == WR_SERIES_MOVED ? 1 : r->left_out[k] ? 0 : share_undone(r, k);
            r->left[s] = asked[k] && !c->nothing_carried ? undone * r->part[k] : 0;
            goes_on = true;
        }
        if (!goes_on && asked[k] && r->dropped[k] && is_target(w, leg, k)) lost = true;
    }
    return lost;
}

static void note_leg(const struct walking *w, struct seen *seen, size_t leg, size_t trial, const struct workspace *r)
{
    const struct wr_series_leg *l = &w->leg[leg];
    const struct wr_sim_limit finish = {.lanes = UINT32_MAX};

    for (size_t i = 0; i < l->n_limit; i++) {
        bool over = wr_limit_outcome(l->net, &l->limit[i], r->start_min, r->end_min, 1) > l->limit[i].minutes;
        seen->over[(w->first_limit[leg] + i) * w->n_trial + trial] = over;
        if (over) seen->any_over[trial] = 1;
    }
    if (seen->finish_min)
        seen->finish_min[leg * w->n_trial + trial] = wr_limit_outcome(l->net, &finish, r->start_min, r->end_min, 1);
    for (size_t s = 0; seen->carried && s < w->n_spill; s++)
        if (w->spill[s].from_leg == leg) {
            size_t k = w->spill[s].from_task;
            seen->carried[s * w->n_trial + trial] = r->left[s] > 0;
            seen->stopped[s * w->n_trial + trial] = r->left[s] > 0 && !r->dropped[k] && r->minutes[k] > 0;
        }
}

static void walk_course(const struct walking *w, const struct course *c, struct seen *seen, size_t trial,
                        struct workspace *r, const double *taken_min, unsigned char *asked)
{
    for (size_t s = 0; s < w->n_spill; s++) r->left[s] = 0;
    for (size_t leg = 0; leg < w->n_leg; leg++) {
        const struct wr_network *net = w->leg[leg].net;
        size_t n = net->n_task;
        memcpy(r->minutes, taken_min, n * sizeof(double));
        memcpy(r->not_before, net->not_before_min, n * sizeof(double));
        memcpy(r->drop_after, net->drop_after_min, n * sizeof(double));
        memset(r->left_out, 0, n);
        for (size_t k = 0; k < n; k++) r->part[k] = 1;
        double spilled = take_spilled(w, leg, r);
        for (size_t k = 0; k < n; k++) asked[k] = !r->left_out[k];
        decide_beforehand(w, c, leg, r);
        walk_leg(net, r);
        stop_work(w, c, leg, r);
        if (seen->asked)
            for (size_t s = 0; s < w->n_spill; s++)
                if (w->spill[s].from_leg == leg) seen->asked[s * w->n_trial + trial] = asked[w->spill[s].from_task];
        if (carry_on(w, c, leg, asked, r)) seen->left_over[trial] = 1;
        note_leg(w, seen, leg, trial, r);
        if (seen->spilled_min) seen->spilled_min[leg * w->n_trial + trial] = spilled;
        taken_min += n;
    }
}

/* ---- all trials of all courses ---- */

static size_t most_tasks(const struct walking *w, size_t *all)
{
    size_t most = 0;

    *all = 0;
    for (size_t e = 0; e < w->n_leg; e++) {
        size_t n = w->leg[e].net->n_task;
        most = n > most ? n : most;
        *all += n;
    }
    return most;
}

static void walk_piece(void *arg, size_t piece)
{
    const struct walking *w = arg;
    size_t all, n = most_tasks(w, &all), first = piece * PIECE;
    WR_SCOPED double *rows = WR_NEW_ARRAY(double, all + 7 * n + w->n_spill);
    unsigned char *flags = WR_NEW_ARRAY(unsigned char, 3 * n), *asked = flags + 2 * n;
    struct workspace r = {
        .minutes = rows + all,
        .start_min = rows + all + n,
        .end_min = rows + all + 2 * n,
        .not_before = rows + all + 3 * n,
        .drop_after = rows + all + 4 * n,
        .part = rows + all + 5 * n,
        .whole_min = rows + all + 6 * n,
        .left = rows + all + 7 * n,
        .dropped = flags,
        .left_out = flags + n,
    };

    for (size_t trial = first; trial < w->n_trial && trial < first + PIECE; trial++) {
        double *at = rows;
        for (size_t e = 0; e < w->n_leg; e++) {
            wr_scenarios_durations(w->leg[e].days, trial, at);
            at += w->leg[e].net->n_task;
        }
        for (size_t c = 0; c < w->n_course; c++) walk_course(w, &w->course[c], &w->seen[c], trial, &r, rows, asked);
    }
    wr_free(flags);
}

static enum wr_status check_input(const struct wr_series_leg *leg, size_t n_leg, const struct wr_spill *spill,
                                  size_t n_spill, struct wr_error *err)
{
    enum wr_status status = wr_enough_trials("a series", leg[0].days->n_trial, 0.9, err);

    if (status) return status;
    for (size_t e = 0; e < n_leg; e++)
        if (leg[e].days->n_trial != leg[0].days->n_trial)
            return wr_fail(err, WR_E_USAGE, "excursion %zu has %zu trials, the first %zu", e + 1, leg[e].days->n_trial,
                           leg[0].days->n_trial);
    for (size_t s = 0; s < n_spill; s++) {
        WR_BUG_IF(spill[s].to_leg >= n_leg);
        if (spill[s].from_leg >= spill[s].to_leg)
            return wr_fail(err, WR_E_USAGE,
                           "work can be carried on to a later excursion only: write a later one in "
                           "column to of spill.csv");
    }
    return WR_OK;
}

static void walk_all(struct walking *w, const struct wr_series_options *options, bool in_full)
{
    w->n_trial = w->leg[0].days->n_trial;
    w->first_limit = WR_NEW_ARRAY(size_t, w->n_leg);
    for (size_t e = 0; e < w->n_leg; e++) {
        w->first_limit[e] = w->n_limit;
        w->n_limit += w->leg[e].n_limit;
    }
    w->seen = WR_NEW_ARRAY(struct seen, w->n_course);
    for (size_t c = 0; c < w->n_course; c++) {
        struct seen *s = &w->seen[c];
        s->over = wr_alloc(w->n_trial, w->n_limit);
        s->any_over = WR_NEW_ARRAY(unsigned char, w->n_trial);
        s->left_over = WR_NEW_ARRAY(unsigned char, w->n_trial);
        if (!in_full) continue;
        s->finish_min = wr_alloc(w->n_trial, w->n_leg * sizeof(double));
        s->spilled_min = wr_alloc(w->n_trial, w->n_leg * sizeof(double));
        s->carried = wr_alloc(w->n_trial, w->n_spill);
        s->stopped = wr_alloc(w->n_trial, w->n_spill);
        s->asked = wr_alloc(w->n_trial, w->n_spill);
    }
    wr_parallel_for((w->n_trial + PIECE - 1) / PIECE, options->n_thread, walk_piece, w);
}

static void walking_release(struct walking *w)
{
    for (size_t c = 0; c < w->n_course; c++) {
        struct seen *s = &w->seen[c];
        WR_FREE(s->over, s->any_over, s->left_over, s->finish_min, s->spilled_min, s->carried, s->stopped, s->asked);
    }
    WR_FREE(w->seen, w->first_limit);
}

/* ---- what was seen ---- */

static double share(const unsigned char *flag, size_t n)
{
    size_t count = 0;

    for (size_t i = 0; i < n; i++) count += flag[i];
    return (double)count / (double)n;
}

/* Standard error of the share over seeds. */
static double share_error(const unsigned char *flag, size_t n, size_t n_draw)
{
    struct wr_batch_sums sums;

    if (n_draw == 0) return 0;
    wr_batch_begin(&sums, n_draw);
    for (size_t i = 0; i < n; i++) wr_batch_add(&sums, i % n_draw, 1, flag[i]);
    return wr_batch_error(&sums);
}

/* Means of a - b (b may be NULL) of each draw over every other of its trials, from one of the first two on. */
static void half_of_trials(const unsigned char *a, const unsigned char *b, size_t n, size_t n_draw, size_t first,
                           double *mean)
{
    WR_SCOPED double *count = WR_NEW_ARRAY(double, n_draw);

    for (size_t i = 0; i < n; i++) {
        if (i / n_draw % 2 != first) continue;
        mean[i % n_draw] += a[i] - (b ? b[i] : 0);
        count[i % n_draw]++;
    }
    for (size_t j = 0; j < n_draw; j++) mean[j] /= count[j];
}

/* 5 and 95 % points over posterior draws of the mean of a - b (b may be NULL). Of what is so rare that most draws never
 * see it they lie on one side of the mean, and of single trials nothing tells draws from chance; then there is no
 * interval, and both are the mean. */
static struct wr_noisy_ends interval(const unsigned char *a, const unsigned char *b, size_t n, size_t n_draw)
{
    WR_SCOPED double *even = WR_NEW_ARRAY(double, n_draw), *odd = WR_NEW_ARRAY(double, n_draw);
    const double *const half[2] = {even, odd};
    double mean = 0;

    for (size_t i = 0; i < n; i++) mean += (a[i] - (b ? b[i] : 0)) / (double)n;
    const struct wr_noisy_ends none = {{.value = mean}, {.value = mean}};
    if (n_draw == 0 || n < 2 * n_draw) return none;
    half_of_trials(a, b, n, n_draw, 0, even);
    half_of_trials(a, b, n, n_draw, 1, odd);
    const struct wr_noisy_ends ends = wr_noisy_ends(half, n_draw);
    return ends.lo.value > mean || ends.hi.value < mean ? none : ends;
}

static struct wr_paired paired(const unsigned char *a, const unsigned char *b, size_t n, size_t n_draw)
{
    struct wr_paired p = {0};
    size_t only_a = 0, only_b = 0;

    for (size_t i = 0; i < n; i++) {
        only_a += a[i] && !b[i];
        only_b += b[i] && !a[i];
    }
    p.mean = ((double)only_a - (double)only_b) / (double)n;
    p.se = sqrt(fmax(0, (double)(only_a + only_b) / (double)n - p.mean * p.mean) / (double)n);
    const struct wr_noisy_ends ends = interval(a, b, n, n_draw);
    p.lo = ends.lo.value;
    p.hi = ends.hi.value;
    p.lo_se = hypot(ends.lo.draw_error, ends.lo.left_open);
    p.hi_se = hypot(ends.hi.draw_error, ends.hi.left_open);
    p.no_interval = p.lo == p.hi && p.mean != 0;
    return p;
}

static void fill_leg(struct wr_series *s, const struct walking *w, size_t e, size_t n_draw)
{
    const struct seen *with = &w->seen[0], *without = &w->seen[1];
    struct wr_series_leg_result *leg = &s->leg[e];
    size_t n = w->n_trial;

    leg->over = WR_NEW_ARRAY(struct wr_series_over, w->leg[e].n_limit);
    for (size_t i = 0; i < w->leg[e].n_limit; i++) {
        struct wr_series_over *over = &leg->over[i];
        const unsigned char *a = with->over + (w->first_limit[e] + i) * n,
                            *b = without->over + (w->first_limit[e] + i) * n;
        over->with = share(a, n);
        over->without = share(b, n);
        over->mc_error = share_error(a, n, n_draw);
        const struct wr_noisy_ends ends = interval(a, NULL, n, n_draw);
        over->with_lo = ends.lo.value;
        over->with_hi = ends.hi.value;
        over->cost = paired(a, b, n, n_draw);
    }
    for (size_t q = 0; q < WR_N_LENS; q++)
        leg->lens_min[q] = wr_quantile(with->finish_min + e * n, n, wr_lens_prob[q], WR_QUANTILE_TYPE_7);
    leg->finish_p50_min = wr_quantile(with->finish_min + e * n, n, 0.5, WR_QUANTILE_TYPE_7);
    leg->finish_p90_min = wr_quantile(with->finish_min + e * n, n, 0.9, WR_QUANTILE_TYPE_7);
    leg->without_p50_min = wr_quantile(without->finish_min + e * n, n, 0.5, WR_QUANTILE_TYPE_7);
    for (size_t i = 0; i < n; i++) {
        bool waits = false;
        for (size_t p = 0; p < w->n_spill; p++)
            waits = waits || (with->carried[p * n + i] && w->spill[p].from_leg <= e && w->spill[p].to_leg > e);
        leg->spilled_in += (with->spilled_min[e * n + i] > 0) / (double)n;
        leg->spilled_min += with->spilled_min[e * n + i] / (double)n;
        leg->done_by += !(waits || (e + 1 == w->n_leg && with->left_over[i])) / (double)n;
    }
}

static void fill_in(struct wr_series *s, const struct walking *w, size_t n_draw)
{
    const struct seen *with = &w->seen[0];
    size_t n = w->n_trial;

    *s = (struct wr_series){.n_trial = n, .n_leg = w->n_leg, .n_spill = w->n_spill};
    s->leg = WR_NEW_ARRAY(struct wr_series_leg_result, w->n_leg);
    s->task = WR_NEW_ARRAY(struct wr_series_task, w->n_spill);
    for (size_t e = 0; e < w->n_leg; e++) fill_leg(s, w, e, n_draw);
    for (size_t p = 0; p < w->n_spill; p++) {
        s->task[p].spill = p;
        s->task[p].asked = share(with->asked + p * n, n);
        s->task[p].dropped = share(with->carried + p * n, n);
        s->task[p].stopped = share(with->stopped + p * n, n);
    }
    s->any_over = share(with->any_over, n);
    const struct wr_noisy_ends ends = interval(with->any_over, NULL, n, n_draw);
    s->any_over_lo = ends.lo.value;
    s->any_over_hi = ends.hi.value;
    s->any_over_mc_error = share_error(with->any_over, n, n_draw);
    s->left_over = share(with->left_over, n);
    s->expected_excursions = (double)w->n_leg + s->left_over;
}

enum wr_status wr_series_run(struct wr_series *s, const struct wr_series_leg *leg, size_t n_leg,
                             const struct wr_spill *spill, size_t n_spill, const struct wr_series_options *options,
                             struct wr_error *err)
{
    static const struct course courses[] = {{.as_it_is = true}, {.nothing_carried = true}};
    struct walking w = {
        .leg = leg, .n_leg = n_leg, .spill = spill, .n_spill = n_spill, .course = courses, .n_course = 2};
    enum wr_status status = check_input(leg, n_leg, spill, n_spill, err);

    if (status != WR_OK) return status;
    walk_all(&w, options, true);
    fill_in(s, &w, options->n_draw);
    walking_release(&w);
    return WR_OK;
}

void wr_series_release(struct wr_series *s)
{
    for (size_t e = 0; e < s->n_leg; e++) wr_free(s->leg[e].over);
    WR_FREE(s->leg, s->task);
    *s = (struct wr_series){0};
}

/* ---- what may be decided beforehand ---- */

static int larger_gain_first(const void *a, const void *b)
{
    const struct wr_series_change *x = a, *y = b;

    if (x->gain.mean != y->gain.mean) return x->gain.mean > y->gain.mean ? -1 : 1;
    if (x->spill != y->spill) return x->spill < y->spill ? -1 : 1;
    return (int)x->kind - (int)y->kind;
}

static size_t list_changes(const struct walking *w, struct course *course)
{
    static const enum wr_series_change_kind kinds[] = {WR_SERIES_RULE_LIFTED, WR_SERIES_MOVED, WR_SERIES_GIVEN_UP};
    size_t n = 0;

    course[n++] = (struct course){.as_it_is = true};
    for (size_t s = 0; s < w->n_spill; s++) {
        const struct wr_spill *p = &w->spill[s];
        if (isinf(w->leg[p->from_leg].net->drop_after_min[p->from_task]) && !p->stop_min.known) continue;
        for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
            course[n++] = (struct course){.kind = kinds[i], .spill = s};
    }
    return n;
}

static void fill_change(struct wr_series_change *change, const struct walking *w, size_t c, size_t n_draw)
{
    size_t n = w->n_trial;

    change->kind = w->course[c].kind;
    change->spill = w->course[c].spill;
    change->any_over = share(w->seen[c].any_over, n);
    change->gain = paired(w->seen[0].any_over, w->seen[c].any_over, n, n_draw);
    change->left_over = share(w->seen[c].left_over, n);
    for (size_t e = 0; e < w->n_leg; e++)
        change->leg_over[e] = w->leg[e].n_limit ? share(w->seen[c].over + w->first_limit[e] * n, n) : 0;
}

enum wr_status wr_series_try(struct wr_series_changes *changes, const struct wr_series_leg *leg, size_t n_leg,
                             const struct wr_spill *spill, size_t n_spill, const struct wr_series_options *options,
                             struct wr_error *err)
{
    struct walking w = {.leg = leg, .n_leg = n_leg, .spill = spill, .n_spill = n_spill};
    enum wr_status status = check_input(leg, n_leg, spill, n_spill, err);

    if (status != WR_OK) return status;
    WR_SCOPED struct course *course = WR_NEW_ARRAY(struct course, 3 * n_spill + 1);
    w.n_course = list_changes(&w, course);
    w.course = course;
    walk_all(&w, options, false);
    changes->n_change = w.n_course - 1;
    changes->change = WR_NEW_ARRAY(struct wr_series_change, changes->n_change);
    changes->leg_over = wr_alloc(changes->n_change, n_leg * sizeof(double));
    for (size_t c = 1; c < w.n_course; c++) {
        changes->change[c - 1].leg_over = changes->leg_over + (c - 1) * n_leg;
        fill_change(&changes->change[c - 1], &w, c, options->n_draw);
    }
    qsort(changes->change, changes->n_change, sizeof *changes->change, larger_gain_first);
    walking_release(&w);
    return WR_OK;
}

void wr_series_changes_release(struct wr_series_changes *changes)
{
    WR_FREE(changes->change, changes->leg_over);
    *changes = (struct wr_series_changes){0};
}
