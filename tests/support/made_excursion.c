#include "made_excursion.h"

#include <check.h>
#include <math.h>
#include "made_durations.h"
#include "made_plan.h"
#include "wetrun/base/memory.h"

static void set_task(struct made_excursion *e, size_t k, double median_min, double sigma)
{
    struct wr_durations *d = &e->durations;

    d->source[k].kind = sigma > 0 ? WR_SRC_MODEL : WR_SRC_FIXED;
    d->source[k].p[0] = median_min;
    d->lanes[k] = e->plan.task[k].lanes;
    for (size_t j = 0; j < d->n_draw; j++) {
        d->centre_log[k * d->n_draw + j] = sigma > 0 ? log(median_min) : 0;
        d->spread_log[k * d->n_draw + j] = sigma;
    }
}

static void set_lanes(struct made_excursion *e, double tau)
{
    struct wr_durations *d = &e->durations;

    wr_free(d->line_up);
    d->n_lane = e->plan.n_lane;
    d->line_up = WR_NEW_ARRAY(int, d->n_lane);
    for (size_t l = 0; l < d->n_lane; l++) d->line_up[l] = WR_PERSON_NONE;
    for (size_t j = 0; j < d->n_draw; j++) d->tau[j] = tau;
}

void made_excursion_plan(struct made_excursion *e, const struct made_task *task, size_t n_task, double tau,
                         size_t n_draw)
{
    struct wr_error err;

    for (size_t k = 0; k < n_task; k++) {
        size_t at =
            made_plan_add(&e->plan, task[k].id, task[k].crew ? task[k].crew : "1", task[k].after ? task[k].after : "");
        if (task[k].not_before_min > 0) e->plan.task[at].not_before_min = wr_known(task[k].not_before_min);
        if (task[k].drop_after_min > 0) e->plan.task[at].drop_after_min = wr_known(task[k].drop_after_min);
    }
    made_plan_finish(&e->plan);
    ck_assert_int_eq(wr_network_build(&e->net, &e->plan, &err), WR_OK);
    made_durations_plain(&e->durations, n_task, n_draw);
    set_lanes(e, tau);
    for (size_t k = 0; k < n_task; k++) set_task(e, k, task[k].median_min, task[k].sigma);
}

void made_excursion_days(struct made_excursion *e, size_t n_trial, uint64_t seed)
{
    wr_scenarios_release(&e->scenarios);
    if (e->even) wr_scenarios_make_even(&e->scenarios, &e->durations, n_trial, seed, 2);
    else wr_scenarios_make(&e->scenarios, &e->durations, n_trial, seed, 2);
}

struct wr_basis made_excursion_basis(const struct made_excursion *e)
{
    return (struct wr_basis){.net = &e->net, .durations = &e->durations};
}

void made_excursion_release(struct made_excursion *e)
{
    wr_scenarios_release(&e->scenarios);
    made_durations_release(&e->durations);
    wr_network_release(&e->net);
    made_plan_release(&e->plan);
}

void made_excursion_random(struct made_excursion *e, size_t n_task, size_t n_lane, double tau, bool rules,
                           unsigned long long *state)
{
    struct wr_error err;

    made_plan_random(&e->plan, n_task, n_lane, state);
    for (size_t k = 0; k < n_task && rules; k++) {
        double place = 25.0 * (double)k / (double)n_lane;
        if (made_uniform(state) < 0.2) e->plan.task[k].not_before_min = wr_known(place * (0.5 + made_uniform(state)));
        if (made_uniform(state) < 0.2)
            e->plan.task[k].drop_after_min = wr_known(10 + place * (0.7 + made_uniform(state)));
    }
    ck_assert_int_eq(wr_network_build(&e->net, &e->plan, &err), WR_OK);
    made_durations_plain(&e->durations, n_task, 1);
    set_lanes(e, tau);
    for (size_t k = 0; k < n_task;
         k++) { /* one after the other: of two arguments the compiler chooses which is first */
        double sigma = 0.1 + 0.25 * made_uniform(state);
        set_task(e, k, 5 + 40 * made_uniform(state), sigma);
    }
}
