#include "made_campaign.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_sf_gamma.h>
#include <math.h>
#include <stdio.h>
#include "prior_world.h"
#include "wetrun/base/memory.h"

static const char *const person_name[MADE_PEOPLE] = {"Ada", "Bruno", "Cleo", "Dario"};

/* Shape of a Weibull with the coefficient of variation of a lognormal with this sd of logs; falling in the shape. */
static double weibull_shape(double sdlog)
{
    double want = log1p(expm1(sdlog * sdlog)), lo = 0.3, hi = 60.0;

    for (int i = 0; i < 60; i++) {
        double k = sqrt(lo * hi), log_ratio = gsl_sf_lngamma(1.0 + 2.0 / k) - 2.0 * gsl_sf_lngamma(1.0 + 1.0 / k);
        if (log_ratio > want) lo = k;
        else hi = k;
    }
    return sqrt(lo * hi);
}

static double draw_error(const struct made_campaign *c, const gsl_rng *rng, size_t k)
{
    if (c->setting.family == MADE_WEIBULL)
        return (log(gsl_ran_exponential(rng, 1.0)) - log(log(2.0))) / c->weibull_shape[k];
    double e = gsl_ran_gaussian_ziggurat(rng, c->sigma[k]);
    if (c->setting.family == MADE_STUCK && gsl_rng_uniform(rng) < 0.05) e += log(2.0);
    return e;
}

/* 1: first lane, 2: second, 3: both. Between joint tasks the lanes take turns in random order of each two. */
static void hand_out_lanes(uint32_t lanes[MADE_TASKS], const gsl_rng *rng)
{
    uint32_t owed = 0;

    for (size_t k = 0; k < MADE_TASKS; k++) {
        bool joint = k == 0 || k == MADE_TASKS - 1 || gsl_rng_uniform(rng) < 0.09;
        if (joint) lanes[k] = 3;
        else lanes[k] = owed ? owed : 1 + (uint32_t)gsl_rng_uniform_int(rng, 2);
        owed = joint || owed ? 0 : 3 - lanes[k];
    }
}

/* Three links to a task of the other lane a few rows earlier. */
static void link_lanes(struct wr_plan *plan, const gsl_rng *rng)
{
    for (size_t made = 0, tries = 0; made < 3 && tries < 1000; tries++) {
        size_t to = 2 + gsl_rng_uniform_int(rng, MADE_TASKS - 2),
               from = to - 1 - gsl_rng_uniform_int(rng, to < 6 ? to : 6);
        struct wr_plan_task *task = &plan->task[to];
        if (task->n_after || (task->lanes ^ plan->task[from].lanes) != 3) continue;
        task->after = wr_arena_alloc(&plan->text, 1, sizeof *task->after);
        task->after[task->n_after++] = from;
        made++;
    }
}

static void make_plan(struct made_campaign *c, const double log_planned[MADE_TASKS], const gsl_rng *rng)
{
    static const char *lane_name[MADE_LANES] = {"EV1", "EV2"};
    uint32_t lanes[MADE_TASKS];
    char id[8];

    hand_out_lanes(lanes, rng);
    c->plan.lane = wr_alloc(MADE_LANES, sizeof *c->plan.lane);
    for (size_t l = 0; l < MADE_LANES; l++) c->plan.lane[c->plan.n_lane++] = lane_name[l];
    for (size_t k = 0; k < MADE_TASKS; k++) {
        struct wr_plan_task *task = WR_PUSH(c->plan.task, c->plan.n_task, c->plan.room_task);
        int n = snprintf(id, sizeof id, "T%02zu", k + 1);
        task->id = task->title = wr_arena_copy(&c->plan.text, id, (size_t)n);
        task->kind = "";
        task->lanes = lanes[k];
        for (size_t l = 0; l < MADE_LANES; l++)
            if (lanes[k] >> l & 1) task->lane_order[task->n_lane++] = (uint8_t)l;
        task->planned_min = wr_known(exp(log_planned[k]));
    }
    link_lanes(&c->plan, rng);
    WR_BUG_IF(wr_network_build(&c->net, &c->plan, NULL) != WR_OK);
}

/* Who rehearses each run, with at least two line-ups, and who will do the next. */
static void choose_people(struct made_campaign *c, enum made_design design, const gsl_rng *rng)
{
    int *line_up = c->timing.line_up;
    size_t n = c->setting.n_run, n_first = 0;

    do {
        n_first = 0;
        for (size_t r = 0; r < n; r++) {
            bool first = gsl_rng_uniform(rng) < (design == MADE_PAIRS ? 0.6 : 0.5);
            int a = design == MADE_PAIRS ? (first ? 0 : 2) : first ? 0 : 1;
            int b = design == MADE_PAIRS ? a + 1 : 1 - a;
            if (design == MADE_CROSSED) {
                a = (int)gsl_rng_uniform_int(rng, MADE_PEOPLE);
                b = (a + 1 + (int)gsl_rng_uniform_int(rng, MADE_PEOPLE - 1)) % MADE_PEOPLE;
            }
            line_up[2 * r] = a;
            line_up[2 * r + 1] = b;
            n_first += a == line_up[0] && b == line_up[1];
        }
    } while (n_first == n);
    size_t of_run = design == MADE_CROSSED ? gsl_rng_uniform_int(rng, n) : 0;
    for (size_t l = 0; l < MADE_LANES; l++) c->pair[l] = design == MADE_CROSSED ? line_up[2 * of_run + l] : (int)l;
}

static double people_part(const struct made_campaign *c, size_t k, const int *who)
{
    double sum = 0.0, n = 0.0;

    if (c->setting.kappa == 0) return 0.0;
    for (size_t l = 0; l < MADE_LANES; l++) {
        if (!(c->plan.task[k].lanes >> l & 1)) continue;
        sum += c->q[who[l]];
        n++;
    }
    return sum / n;
}

/* One cell in twenty is skipped; one in ten has a stop time, which comes first about half of the time. */
static void rehearse(struct made_campaign *c, const gsl_rng *rng)
{
    for (size_t r = 0; r < c->setting.n_run; r++) {
        double day = gsl_ran_gaussian(rng, c->setting.tau), order = (double)r + 1;
        const int *who = c->timing.line_up + 2 * r;
        c->timing.run[r].order = order;
        for (size_t k = 0; k < MADE_TASKS; k++) {
            struct wr_cell *cell = &c->timing.cell[k * c->setting.n_run + r];
            double base = c->mu[k] + c->setting.gamma * log(order);
            double full = base + day + people_part(c, k, who) + draw_error(c, rng, k);
            double stop = gsl_rng_uniform(rng) < 0.10 ? base + gsl_ran_gaussian(rng, 0.3) : INFINITY;
            if (gsl_rng_uniform(rng) < 0.05) {
                cell->state = WR_CELL_SKIPPED;
                continue;
            }
            cell->state = stop < full ? WR_CELL_STOPPED : WR_CELL_DONE;
            cell->active_min = exp(fmin(stop, full));
            for (size_t l = 0; c->setting.kappa > 0 && l < MADE_LANES; l++)
                if (c->plan.task[k].lanes >> l & 1) cell->person[cell->n_performer++] = (unsigned)who[l];
        }
    }
}

static void draw_world(struct made_campaign *c, double log_planned[MADE_TASKS], const gsl_rng *rng)
{
    for (size_t k = 0; k < MADE_TASKS; k++) {
        c->mu[k] = log(3.0) + gsl_rng_uniform(rng) * log(40.0 / 3.0);
        c->sigma[k] = 0.25 * exp(gsl_ran_gaussian(rng, 0.4));
        c->weibull_shape[k] = weibull_shape(c->sigma[k]);
    }
    for (size_t k = 0; k < MADE_TASKS; k++)
        log_planned[k] = log(fmax(1.0, round(exp(c->mu[k] + gsl_ran_gaussian(rng, 0.25)))));
}

static void draw_world_of_prior(struct made_campaign *c, double log_planned[MADE_TASKS], const gsl_rng *rng)
{
    struct wr_priors priors = wr_priors_default();
    const struct wr_model_data data = {.n_task = MADE_TASKS, .log_planned = log_planned};
    double log_target = log((double)c->setting.n_run + 1.0);
    struct prior_world w;

    WR_BUG_IF((int)WORLD_TASKS < (int)MADE_TASKS);
    priors.skew = false;
    for (size_t k = 0; k < MADE_TASKS; k++)
        log_planned[k] = log(round(exp(log(3.0) + gsl_rng_uniform(rng) * log(40.0 / 3.0))));
    prior_world_draw(&w, rng, &data, &priors);
    c->setting.tau = w.tau;
    c->setting.gamma = w.gamma;
    for (size_t k = 0; k < MADE_TASKS; k++) {
        c->mu[k] = w.mu[k] - w.gamma * log_target; /* the model's belong to the run that is forecast */
        c->sigma[k] = w.sigma[k];
    }
}

void made_campaign_make(struct made_campaign *c, const struct made_setting *setting, enum made_design design,
                        const gsl_rng *rng)
{
    size_t n = setting->n_run;
    double log_planned[MADE_TASKS];

    *c = (struct made_campaign){.setting = *setting};
    if (setting->family == MADE_PRIOR) draw_world_of_prior(c, log_planned, rng);
    else draw_world(c, log_planned, rng);
    for (size_t p = 0; p < MADE_PEOPLE; p++) c->q[p] = gsl_ran_gaussian(rng, setting->kappa);
    make_plan(c, log_planned, rng);
    c->timing = (struct wr_timing){.n_task = MADE_TASKS, .n_run = n, .n_lane = MADE_LANES,
                                   .n_person = setting->kappa > 0 ? MADE_PEOPLE : 0,
                                   .person = wr_alloc(MADE_PEOPLE, sizeof(char *)),
                                   .cell = WR_NEW_ARRAY(struct wr_cell, MADE_TASKS * n),
                                   .run = WR_NEW_ARRAY(struct wr_timing_run, n),
                                   .line_up = WR_NEW_ARRAY(int, n * MADE_LANES)};
    for (size_t p = 0; p < MADE_PEOPLE; p++) c->timing.person[p] = person_name[p];
    choose_people(c, design, rng);
    rehearse(c, rng);
    if (setting->kappa == 0)
        for (size_t i = 0; i < n * MADE_LANES; i++) c->timing.line_up[i] = -1;
}

void made_campaign_release(struct made_campaign *c)
{
    wr_network_release(&c->net);
    wr_free(c->plan.lane);
    wr_free(c->plan.task);
    wr_arena_release(&c->plan.text);
    wr_free((void *)c->timing.person);
    wr_free(c->timing.cell);
    wr_free(c->timing.run);
    wr_free(c->timing.line_up);
}

void made_campaign_next(const struct made_campaign *c, const gsl_rng *rng, double *minutes)
{
    double common =
        c->setting.gamma * log((double)c->setting.n_run + 1.0) + gsl_ran_gaussian_ziggurat(rng, 1.0) * c->setting.tau;

    for (size_t k = 0; k < MADE_TASKS; k++)
        minutes[k] = exp(c->mu[k] + common + people_part(c, k, c->pair) + draw_error(c, rng, k));
}
