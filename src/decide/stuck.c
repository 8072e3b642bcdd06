#include "wetrun/decide/stuck.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/mix.h"
#include "wetrun/decide/verdict.h"
#include "wetrun/sim/scenarios.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/special.h"

enum {
    LEAST_TIMES = 4,  /* of a task, to know what it usually takes */
    LEAST_TASKS = 3,  /* that got stuck: of fewer it is their own matter */
    TO_SHORT = 3,     /* times as many as lie as far on the short side */
    TO_FIRST = 2,     /* times as many as are first times of their tasks */
    ROUNDING_MIN = 2, /* two times to the minute are off by less, together */
    DAYS = 16384,     /* a difference of a tenth to a quarter of one of 100 */
};
static const double FAR = 4; /* robust standard deviations, of the task and of all */
static const double LEAST_FACTOR = 1.35;
static const double MAD_TO_SD = 1.4826;

/* Log minutes less what the task usually takes and less what the run usually is off by; NAN: not timed. */
struct residuals {
    size_t n_task, n_run;
    double *of;   /* [task * n_run + run] */
    double *room; /* [n_task * n_run] */
};

static size_t gather(const struct residuals *e, size_t first, size_t step, size_t n, bool absolute)
{
    size_t found = 0;

    for (size_t i = 0; i < n; i++) {
        double value = e->of[first + i * step];
        if (!isnan(value)) e->room[found++] = absolute ? fabs(value) : value;
    }
    return found;
}

static size_t centre(struct residuals *e, size_t first, size_t step, size_t n)
{
    const size_t found = gather(e, first, step, n, false);
    const double middle = found > 0 ? wr_quantile_in_place(e->room, found, 0.5) : 0;

    for (size_t i = 0; i < n; i++) e->of[first + i * step] -= middle;
    return found;
}

static void centre_all(struct residuals *e)
{
    for (size_t k = 0; k < e->n_task; k++)
        if (centre(e, k * e->n_run, 1, e->n_run) < LEAST_TIMES)
            for (size_t r = 0; r < e->n_run; r++) e->of[k * e->n_run + r] = NAN;
    for (size_t r = 0; r < e->n_run; r++) centre(e, r, e->n_run, e->n_task);
    for (size_t k = 0; k < e->n_task; k++) centre(e, k * e->n_run, 1, e->n_run);
}

/* About a middle that was taken from the same n: as sd is of n - 1. */
static double robust_sd(const struct residuals *e, size_t first, size_t n, size_t per_middle)
{
    const size_t found = gather(e, first, 1, n, true);
    const double share = per_middle > 1 ? (double)per_middle / (double)(per_middle - 1) : 1;

    return found > 0 ? MAD_TO_SD * wr_quantile_in_place(e->room, found, 0.5) * sqrt(share) : 0;
}

/* What speaks against getting stuck: times that lie as far on the short side, and those that are the first of their
 * task, which may have taken so long for that. */
struct beside {
    size_t n_short, n_first;
};

/* In time. */
static size_t first_timed(const struct residuals *e, const struct wr_timing *t, size_t k)
{
    size_t first = SIZE_MAX;

    for (size_t r = 0; r < e->n_run; r++)
        if (!isnan(e->of[k * e->n_run + r]) && (first == SIZE_MAX || t->run[r].order < t->run[first].order)) first = r;
    return first;
}

static void count_task(struct wr_stuck *stuck, const struct residuals *e, const struct wr_timing *t, size_t k,
                       double sd_of_all, struct beside *beside)
{
    const size_t n = gather(e, k * e->n_run, 1, e->n_run, false);
    const double sd = fmax(sd_of_all, robust_sd(e, k * e->n_run, e->n_run, n)), far = fmax(log(LEAST_FACTOR), FAR * sd);

    const size_t first = first_timed(e, t, k);

    stuck->n_step += n;
    stuck->n_task += n > 0;
    for (size_t r = 0; r < e->n_run; r++) {
        const double off = e->of[k * e->n_run + r], took = wr_cell_modelled_min(wr_timing_cell(t, k, r));
        if (isnan(off) || fabs(off) <= far || took * fabs(1 - exp(-off)) <= ROUNDING_MIN) continue;
        if (off < 0) {
            beside->n_short++;
            continue;
        }
        stuck->n_task_stuck += !stuck->was[k];
        stuck->was[k] = 1;
        stuck->n_stuck++;
        beside->n_first += r == first;
        stuck->usual += off;
        stuck->least = fmin(stuck->least, off);
    }
}

void wr_stuck_find(struct wr_stuck *stuck, const struct wr_timing *t)
{
    const size_t n = t->n_task * t->n_run;
    WR_SCOPED double *of = WR_NEW_ARRAY(double, n), *room = WR_NEW_ARRAY(double, n);
    struct residuals e = {t->n_task, t->n_run, of, room};
    struct beside beside = {0};

    *stuck = (struct wr_stuck){.was = WR_NEW_ARRAY(unsigned char, t->n_task), .least = INFINITY};
    for (size_t i = 0; i < n; i++)
        of[i] = wr_cell_is_timed(&t->cell[i]) && wr_cell_has_time(&t->cell[i]) ? log(wr_cell_modelled_min(&t->cell[i]))
                                                                               : NAN;
    centre_all(&e);
    const double sd_of_all = robust_sd(&e, 0, n, t->n_run);
    for (size_t k = 0; k < t->n_task; k++) count_task(stuck, &e, t, k, sd_of_all, &beside);
    stuck->told = stuck->n_task_stuck >= LEAST_TASKS && stuck->n_stuck >= TO_SHORT * beside.n_short &&
                  stuck->n_stuck >= TO_FIRST * beside.n_first;
    stuck->usual = exp(stuck->usual / fmax(1, (double)stuck->n_stuck));
    stuck->least = exp(stuck->least);
    const double hits = (double)stuck->n_stuck + 0.5, misses = (double)(stuck->n_step - stuck->n_stuck) + 0.5;
    stuck->chance = hits / (hits + misses);
    stuck->chance_hi = wr_beta_quantile(0.95, hits, misses);
}

void wr_stuck_release(struct wr_stuck *stuck)
{
    wr_free(stuck->was);
    *stuck = (struct wr_stuck){0};
}

/* A uniform number of a task on a day, whatever the other tasks. */
static double luck_of(uint64_t seed, uint64_t stream, size_t day)
{
    return (double)(wr_mix3(seed ^ WR_MIX_STEP, stream, day) >> 11) * 0x1p-53;
}

static void count_over(double *more, double share, const struct wr_basis *basis, const double *minutes, double *room)
{
    double *start = room, *end = room + basis->net->n_task;

    wr_network_forward(basis->net, minutes, start, end, NULL);
    for (size_t l = 0; l < basis->n_limit; l++)
        if (wr_limit_outcome(basis->net, &basis->limit[l], start, end, 1) > basis->limit[l].minutes) more[l] += share;
}

void wr_stuck_cost(double *more, const struct wr_stuck *stuck, const struct wr_basis *basis, uint64_t seed,
                   unsigned n_thread)
{
    const struct wr_durations *d = basis->durations;
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios days = {0};
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, 3 * d->n_task);

    for (size_t l = 0; l < basis->n_limit; l++) more[l] = 0;
    wr_scenarios_make(&days, d, DAYS, seed, n_thread);
    for (size_t i = 0; i < DAYS; i++) {
        wr_scenarios_durations(&days, i, minutes);
        count_over(more, -1.0 / DAYS, basis, minutes, minutes + d->n_task);
        for (size_t k = 0; k < d->n_task; k++)
            if (wr_durations_are_modelled(d, k) && !stuck->was[k] && luck_of(seed, d->stream[k], i) < stuck->chance)
                minutes[k] *= stuck->usual;
        count_over(more, 1.0 / DAYS, basis, minutes, minutes + d->n_task);
    }
}

struct wr_stuck_over wr_stuck_over(const struct wr_stuck *stuck, const struct wr_probability *over, double more)
{
    const double mean = fmin(1, over->mean + more), by_chance = more * (stuck->chance_hi / stuck->chance - 1);

    return (struct wr_stuck_over){mean, fmin(1, mean + hypot(over->hi - over->mean, by_chance))};
}

bool wr_stuck_decides(const struct wr_probability *over, const struct wr_stuck_over *then, double confidence)
{
    return then->mean - over->mean >= WR_STUCK_TOLD && !wr_beyond_allowed(over->hi, confidence) &&
           wr_beyond_allowed(then->hi, confidence);
}
