#include "pad_error.h"

#include <math.h>
#include "sections.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"

enum { MOST_SECTIONS = 16, LEAST_IN_SECTION = 25 };

struct sections {
    const struct wr_basis *basis;
    const struct wr_scenarios *days;
    const struct wr_pad *whole;
    size_t n;
    struct wr_pad *pad;        /* [n] */
};

static size_t section_of(const struct sections *s, size_t trial)
{
    return wr_section_of(trial, s->days->n_trial, s->basis->durations->n_draw, s->n);
}

/* The days of one section: only what pads look at. */
static void cut_out(const struct sections *s, size_t number, struct wr_scenarios *part)
{
    const struct wr_scenarios *all = s->days;
    size_t n_task = all->n_task, n = 0;

    for (size_t i = 0; i < all->n_trial; i++) n += section_of(s, i) == number;
    *part = (struct wr_scenarios){.n_trial = n, .n_task = n_task};
    part->own = WR_NEW_ARRAY(float, n * n_task);
    part->b = WR_NEW_ARRAY(double, n);
    part->carries_b = WR_COPY(all->carries_b, n_task);
    part->is_log = WR_COPY(all->is_log, n_task);
    for (size_t i = 0, at = 0; i < all->n_trial; i++) {
        if (section_of(s, i) != number) continue;
        part->b[at] = all->b[i];
        for (size_t k = 0; k < n_task; k++) part->own[k * n + at] = all->own[k * all->n_trial + i];
        at++;
    }
}

static void pad_section(void *arg, size_t number)
{
    struct sections *s = arg;
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios part = {0};

    cut_out(s, number, &part);
    wr_pad_of_days(&s->pad[number], s->basis, &part, s->whole->confidence, s->whole, 1);
}

/* sd of the sections' numbers over the root of their number. */
static double error_of(const struct sections *s, const double *(*of)(const struct wr_pad *pad, size_t which),
                       size_t which)
{
    double n = (double)s->n, mean = 0, squares = 0;

    for (size_t i = 0; i < s->n; i++) mean += *of(&s->pad[i], which) / n;
    for (size_t i = 0; i < s->n; i++) squares += pow(*of(&s->pad[i], which) - mean, 2);
    return sqrt(squares / (n - 1) / n);
}

static const double *finish(const struct wr_pad *pad, size_t which)
{
    (void)which;
    return &pad->finish_quantile_min;
}

static const double *reserve(const struct wr_pad *pad, size_t which)
{
    (void)which;
    return &pad->reserve_min;
}

static const double *factor(const struct wr_pad *pad, size_t which)
{
    (void)which;
    return &pad->factor;
}

static const double *together(const struct wr_pad *pad, size_t which)
{
    return &pad->checkpoint[which].together_min;
}

static const double *checkpoint(const struct wr_pad *pad, size_t which)
{
    return &pad->checkpoint[which].time_min;
}

static const double *task_pad(const struct wr_pad *pad, size_t which)
{
    return &pad->task[which].pad_min;
}

void wr_pad_find_errors(struct wr_pad *pad, const struct wr_basis *basis, const struct wr_scenarios *days,
                        unsigned n_thread)
{
    size_t n = days->n_trial / LEAST_IN_SECTION;
    struct sections s = {.basis = basis, .days = days, .whole = pad, .n = n < MOST_SECTIONS ? n : MOST_SECTIONS};

    s.pad = WR_NEW_ARRAY(struct wr_pad, s.n);
    wr_parallel_for(s.n, n_thread, pad_section, &s);
    pad->finish_mc_error_min = error_of(&s, finish, 0);
    pad->reserve_mc_error_min = error_of(&s, reserve, 0);
    pad->factor_mc_error = error_of(&s, factor, 0);
    for (size_t k = 0; k < pad->n_task; k++) pad->task[k].pad_mc_error_min = error_of(&s, task_pad, k);
    for (size_t c = 0; c < pad->n_checkpoint; c++) {
        pad->checkpoint[c].time_mc_error_min = error_of(&s, checkpoint, c);
        pad->checkpoint[c].together_mc_error_min = error_of(&s, together, c);
    }
    for (size_t i = 0; i < s.n; i++) wr_pad_release(&s.pad[i]);
    wr_free(s.pad);
}
