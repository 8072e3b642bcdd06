#include "wetrun/decide/variance_parts.h"

#include <math.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"

struct ranked {
    double share;
    size_t task;
};

static int by_share(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;

    if (x->share != y->share) return x->share < y->share ? 1 : -1;
    return (x->task > y->task) - (x->task < y->task);
}

void wr_tasks_by_share(const struct wr_forecast *forecast, size_t *order)
{
    WR_SCOPED struct ranked *ranked = WR_NEW_ARRAY(struct ranked, forecast->n_task);

    for (size_t k = 0; k < forecast->n_task; k++) ranked[k] = (struct ranked){forecast->task[k].variance_share, k};
    qsort(ranked, forecast->n_task, sizeof *ranked, by_share);
    for (size_t k = 0; k < forecast->n_task; k++) order[k] = ranked[k].task;
}

double wr_strongest_share(const struct wr_forecast *forecast, size_t *n)
{
    WR_SCOPED size_t *order = WR_NEW_ARRAY(size_t, forecast->n_task);
    double sum = 0;

    wr_tasks_by_share(forecast, order);
    for (*n = 0; *n < WR_PARTS_STRONGEST && *n < forecast->n_task; (*n)++) {
        double share = forecast->task[order[*n]].variance_share;
        if (!(share > 0)) break;
        sum += share;
    }
    return sum;
}

static double known_sum(const struct wr_forecast *f)
{
    double sum = fmax(f->run_effect_share, 0) + fmax(f->people_share, 0) + fmax(f->parameter_share, 0);

    for (size_t k = 0; k < f->n_task; k++) sum += fmax(f->task[k].variance_share, 0);
    return sum;
}

double wr_interaction_share(const struct wr_forecast *forecast)
{
    double known = known_sum(forecast);

    return known > 0 ? fmax(1 - known, 0) : 0;
}

/* As many as the number beside them says, wherever they stand; a hundred by largest remainders would have given five to
 * 4.4 % in one place and four in another. */
static void count_marks(struct wr_variance_part *part, size_t n)
{
    for (size_t i = 0; i < n; i++) part[i].n_mark = (unsigned)floor(100 * part[i].share + 0.5);
}

size_t wr_variance_parts(const struct wr_forecast *forecast, struct wr_variance_part part[WR_PARTS_MOST])
{
    size_t *order = WR_NEW_ARRAY(size_t, forecast->n_task), n = 0;
    size_t n_own = forecast->n_task > WR_PARTS_TASKS + 1 ? WR_PARTS_TASKS : forecast->n_task;

    wr_tasks_by_share(forecast, order);
    for (; n < n_own; n++)
        part[n] =
            (struct wr_variance_part){WR_PART_TASK, order[n], fmax(forecast->task[order[n]].variance_share, 0), 0};
    if (n_own < forecast->n_task) {
        part[n] = (struct wr_variance_part){WR_PART_OTHER_TASKS, forecast->n_task - n_own, 0, 0};
        for (size_t i = n_own; i < forecast->n_task; i++)
            part[n].share += fmax(forecast->task[order[i]].variance_share, 0);
        n++;
    }
    part[n++] = (struct wr_variance_part){WR_PART_DAY, 0, fmax(forecast->run_effect_share, 0), 0};
    part[n++] = (struct wr_variance_part){WR_PART_PEOPLE, 0, fmax(forecast->people_share, 0), 0};
    part[n++] = (struct wr_variance_part){WR_PART_UNKNOWN, 0, fmax(forecast->parameter_share, 0), 0};
    part[n++] = (struct wr_variance_part){WR_PART_INTERACTION, 0, wr_interaction_share(forecast), 0};
    count_marks(part, n);
    wr_free(order);
    return n;
}
