#include <math.h>
#include "compare_parts.h"

struct minutes { double all, seen; };

static bool is_ever_done(const struct wr_log_table *t, size_t k)
{
    for (size_t i = 0; i < t->n_run; i++)
        if (t->present[k * t->n_run + i]) return true;
    return false;
}

static void add_minutes(struct minutes *m, double seen, double usual)
{
    m->all += fmax(seen, usual);
    m->seen += seen;
}

/* A sum of usual minutes would be no such level: a task's usual is the middle of its times, and sums are those of their
 * means. */
static void take_from_their_level(struct wr_comparison *c)
{
    double sum = 0, n = 0;

    for (size_t r = 0; r < c->n_run; r++)
        if (c->run[r].length.known) sum += c->run[r].length.value, n++;
    for (size_t r = 0; r < c->n_run; r++) {
        struct wr_maybe *length = &c->run[r].length;
        if (!length->known) continue;
        length->value -= sum / n;
        if (fabs(length->value) < 1e-12) length->value = 0; /* rounding, not a difference */
    }
}

void wr_compare_lengths(struct wr_comparison *c, const struct wr_timing *timing, const struct wr_log_table *t,
                        const struct wr_two_way *fit)
{
    WR_SCOPED struct minutes *run = WR_NEW_ARRAY(struct minutes, t->n_run);

    for (size_t k = 0; k < t->n_task; k++) {
        if (!is_ever_done(t, k)) continue;
        for (size_t i = 0; i < t->n_run; i++)
            if (t->present[k * t->n_run + i]) add_minutes(&run[i], exp(t->y[k * t->n_run + i]), 0);
            else
                add_minutes(&run[i], wr_cell_seen_min(wr_timing_cell(timing, k, t->run[i])),
                            exp(fit->task_effect[k] + fit->run_effect[i]));
    }
    for (size_t i = 0; i < t->n_run; i++) {
        struct wr_compared_run *out = &c->run[t->run[i]];
        out->length_seen = wr_known(run[i].seen / run[i].all);
        if (out->length_seen.value >= WR_LENGTH_LEAST_SEEN)
            out->length = wr_known(log(run[i].all));
        else
            c->n_length_unseen++;
    }
    take_from_their_level(c);
}
