#include "wetrun/campaign/log_twins.h"

#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/mix.h"

enum { FEW_CLOCKED = 3, FEW_TIMED = 5, MANY_STEPS = 8 };

/* The steps of a run, in whatever order and under whatever name of the run. */
struct run_mark {
    uint64_t sum;
    size_t n_step, n_clocked, n_timed;
};

static uint64_t bits_of(double value)
{
    uint64_t bits;

    value += 0.0; /* one zero */
    memcpy(&bits, &value, sizeof bits);
    return bits;
}

static struct run_mark *marks_of(const struct wr_run_log *log)
{
    struct run_mark *mark = WR_NEW_ARRAY(struct run_mark, log->n_run + 1);

    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        struct run_mark *m = &mark[s->run];
        m->sum += wr_mix3(wr_mix_text(log->task[s->task]) ^ (uint64_t)s->outcome, bits_of(s->start_min),
                          wr_mix3(bits_of(s->active_min), bits_of(s->hold_min), s->has_clock));
        m->n_step++;
        m->n_clocked += s->has_clock;
        m->n_timed += s->active_min > 0;
    }
    return mark;
}

static bool is_same(const struct run_mark *a, const struct run_mark *b)
{
    return a->sum == b->sum && a->n_step == b->n_step && (a->n_clocked >= FEW_CLOCKED || a->n_timed >= FEW_TIMED);
}

bool wr_log_has_twin(const struct wr_run_log *log, const struct wr_run_log *other, struct wr_log_twin *twin)
{
    WR_SCOPED struct run_mark *mine = marks_of(log), *theirs = marks_of(other);
    size_t n_run = 0, n_step = 0;

    for (size_t a = 0; a < log->n_run; a++) {
        size_t b = 0;
        while (b < other->n_run && !is_same(&mine[a], &theirs[b])) b++;
        if (b == other->n_run) continue;
        if (n_run++ == 0) *twin = (struct wr_log_twin){log->run[a].id, other->run[b].id};
        n_step += mine[a].n_step;
    }
    return n_run > 0 && (n_run == log->n_run || n_step >= MANY_STEPS);
}
