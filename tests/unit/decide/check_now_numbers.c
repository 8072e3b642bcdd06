/* Whatever is reported, the day's answer is numbers, or a refusal: on random plans, whose days are drawn by GSL from
 * one of the forecast's own draws and reported in part, in whole minutes, as somebody at a console would.
 * RANDOM_PLANS=20 looks at twenty times as many. */
#include <check.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include "made_durations.h"
#include "made_excursion.h"
#include "made_plan.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/update.h"

static const double LEAD_IN_MIN = 2.5;
enum { N_TASK = 9, N_LANE = 3, N_DRAW = 40, DAYS = 1000, N_LIMIT = 2 };

struct world { /* start as {0} */
    struct made_excursion e;
    gsl_rng *rng;
    double begin[N_TASK], end[N_TASK], finish;
    unsigned char dropped[N_TASK];
};

static void make_world(struct world *w, unsigned long seed)
{
    unsigned long long state = 900 + seed;

    w->rng = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(w->rng, 17 + seed);
    made_excursion_random(&w->e, N_TASK, N_LANE, 0.1, seed % 2, &state);
    made_durations_release(&w->e.durations);
    made_durations_plain(&w->e.durations, N_TASK, N_DRAW);
    int line_up[N_LANE];
    for (size_t l = 0; l < N_LANE; l++) line_up[l] = WR_PERSON_NONE;
    made_durations_people(&w->e.durations, w->e.plan.n_lane, 0, 1, line_up);
    for (size_t k = 0; k < N_TASK; k++) w->e.durations.lanes[k] = w->e.plan.task[k].lanes;
}

static void release_world(struct world *w)
{
    gsl_rng_free(w->rng);
    made_excursion_release(&w->e);
}

/* A day by one of the draws, minute by minute. */
static void live_through(struct world *w)
{
    const struct wr_durations *d = &w->e.durations;
    const struct wr_network *net = &w->e.net;
    size_t j = gsl_rng_uniform_int(w->rng, N_DRAW);
    double b = gsl_ran_gaussian(w->rng, d->tau[j]);

    w->finish = 0;
    for (size_t i = 0; i < N_TASK; i++) {
        size_t k = net->order[i], at = k * N_DRAW + j;
        double start = net->not_before_min[k];
        for (size_t p = net->pred_first[k]; p < net->pred_first[k + 1]; p++) start = fmax(start, w->end[net->pred[p]]);
        double minutes = exp(d->centre_log[at] + b + gsl_ran_gaussian(w->rng, d->spread_log[at]));
        w->dropped[k] = start > net->drop_after_min[k];
        w->begin[k] = start + fmin(gsl_ran_exponential(w->rng, LEAD_IN_MIN), minutes / 2); /* as logged */
        w->end[k] = start + (w->dropped[k] ? 0 : minutes);
        w->finish = fmax(w->finish, w->end[k]);
    }
}

/* What somebody says of it at `now`: of each task both moments, one of them, or nothing. slip: minutes by which one
 * moment is off. */
static size_t report(struct world *w, double now, double slip, struct wr_now_event *event)
{
    size_t n = 0;

    for (size_t k = 0; k < N_TASK; k++) {
        double said = gsl_rng_uniform(w->rng), begin = fmin(round(w->begin[k]), now), end = round(w->end[k]);
        if (w->dropped[k] || w->begin[k] > now || said < 0.3) continue;
        struct wr_now_event e = {.task = k};
        if (said < 0.75) e.begin_min = wr_known(begin);
        if (end <= now && said > 0.5) e.end_min = wr_known(end);
        if (!e.begin_min.known && !e.end_min.known) continue;
        if (n == 0 && slip != 0 && e.begin_min.known) e.begin_min.value = fmin(fmax(0, begin + slip), now);
        event[n++] = e;
    }
    return n;
}

static void expect_number(double value, const char *what)
{
    ck_assert_msg(isfinite(value), "%s: %g", what, value);
}

static void expect_probability(const struct wr_probability *p, const char *what)
{
    ck_assert_msg(p->mean >= 0 && p->mean <= 1 && p->lo <= p->mean && p->mean <= p->hi, "%s: %g (%g to %g)", what,
                  p->mean, p->lo, p->hi);
    ck_assert_msg(p->lo >= 0 && p->hi <= 1 && p->mc_error >= 0 && p->lo_mc_error >= 0 && p->hi_mc_error >= 0, "%s: %g",
                  what, p->mc_error);
    expect_number(p->mc_error + p->lo_mc_error + p->hi_mc_error, what);
}

static void expect_numbers(const struct wr_update *u)
{
    expect_number(u->effective + u->effective_draws, "effective");
    expect_number(u->rest_factor + u->rest_factor_lo + u->rest_factor_hi + u->mean_min + u->sd_min, "pace or finish");
    for (size_t i = 0; i < WR_N_QUANTILE; i++) expect_number(u->quantile_min[i], "quantile");
    for (size_t i = 0; i < WR_N_LENS; i++) expect_number(u->lens_min[i], "lens");
    for (size_t l = 0; l < N_LIMIT; l++) expect_probability(&u->over[l], "limit");
    expect_probability(&u->any_over, "any");
    for (size_t i = 0; i < u->n_drop; i++) expect_number(u->drop[i].dropped + u->drop[i].over[0], "left out");
    for (size_t i = 0; i < N_LIMIT * u->card.n_row; i++) {
        const struct wr_cutoff_row *row = &u->card.list[i / u->card.n_row].row[i % u->card.n_row];
        expect_number(row->typical_start_min + row->prob_inside_at_typical, "usual start");
        expect_number(row->latest_start_min + row->slack_min + row->mc_error_min, "begin by");
        expect_number(row->second_from_min + row->second_to_min + row->share_in_time, "window");
    }
    wr_update_check(u);
}

/* Status of the answer, with lead-ins as they are lived through. */
static enum wr_status answer(struct world *w, double now, const struct wr_now_event *event, size_t n)
{
    const struct wr_now said = {.event = (struct wr_now_event *)event, .n_event = n, .now_min = now};
    const struct wr_update_options options = {.n_trial = DAYS, .seed = 3, .n_thread = 2};
    const struct wr_cutoff_options card = {.n_thread = 2};
    const struct wr_cutoff_limit limit[N_LIMIT] = {{{.lanes = 7, .minutes = 1.02 * w->finish}, 0.9},
                                                   {{.lanes = 1, .minutes = 0.8 * w->finish}, 0.95}};
    struct wr_update u = {0};
    struct wr_error err = {.text = ""};
    struct wr_lead_in law[N_TASK];
    for (size_t k = 0; k < N_TASK; k++) law[k] = (struct wr_lead_in){8, 7 * LEAD_IN_MIN, LEAD_IN_MIN};
    if (w->e.scenarios.n_trial == 0) made_excursion_days(&w->e, DAYS, 5);
    enum wr_status status = wr_now_settle(&u.state, &said, &w->e.net, &w->e.plan, law, &w->e.scenarios, &err);

    if (status) return status; /* a slip may say that the plan was not kept */
    u.durations = w->e.durations; /* borrowed */
    status = wr_update_answer(&u, &w->e.net, limit, N_LIMIT, &card, &options, &err);
    if (status == WR_OK) expect_numbers(&u);
    else ck_assert_int_eq(status, WR_E_TOO_FEW);
    WR_FREE(u.durations.run_effect_shift, u.durations.run_effect_sd);
    u.durations = (struct wr_durations){0};
    wr_update_release(&u);
    return status;
}

/* As it was, which is never refused, and with one moment said wrong by some minutes, which may be. */
START_TEST(no_answer_but_numbers)
{
    int n = made_plan_many(8), n_answered = 0, n_asked = 0;

    for (int i = 0; i < n; i++) {
        struct world w = {0};
        make_world(&w, (unsigned long)(i + 1000 * _i));
        for (int day = 0; day < 4; day++) {
            struct wr_now_event event[N_TASK];
            live_through(&w);
            double now = ceil(w.finish * (0.15 + 0.2 * day)), slip = _i == 0 ? 0 : gsl_ran_gaussian(w.rng, 8);
            size_t n_event = report(&w, now, round(slip), event);
            if (n_event == 0) continue;
            n_asked++;
            n_answered += answer(&w, now, event, n_event) == WR_OK;
        }
        release_world(&w);
    }
    ck_assert_int_ge(n_asked, n);
    ck_assert_msg(_i == 0 ? n_answered == n_asked : n_answered > 0, "%d of %d answered", n_answered, n_asked);
}
END_TEST

/* MANI waits for MAST, which is done by about 0:11 and of which nothing is said, and for BOX, which is reported done a
 * few minutes before MANI begins. */
START_TEST(what_is_known_decided_the_moment)
{
    static const struct made_task task[] = {{"GO", "1+2", NULL, 5, 0.25, 0, 0},   {"CLEAR", "1", "GO", 5, 0.2, 0, 0},
                                            {"MAST", "2", "GO", 6, 0.3, 0, 0},    {"BOX", "1", "CLEAR", 30, 0.2, 0, 0},
                                            {"MANI", "2", "BOX", 20, 0.2, 0, 0},
                                            {"HOME", "1+2", "MANI", 28, 0.2, 0, 0}};
    static const double box_end[] = {41, 40, 39, 37};
    const struct wr_now_event event[] = {
        {3, {true, 12}, {true, box_end[_i]}, 0}, {4, {true, 42}, {true, 68}, 0}, {5, {true, 75}, {false, 0}, 0}};
    struct world w = {.finish = 105};

    made_excursion_plan(&w.e, task, 6, 0.1, N_DRAW);
    for (size_t k = 0; k < 6; k++)
        for (size_t j = 0; j < N_DRAW; j++) w.e.durations.centre_log[k * N_DRAW + j] += 0.004 * (double)(j % 10);
    ck_assert_int_eq(answer(&w, 75, event, 3), WR_OK);
    ck_assert_int_eq(answer(&w, 42, (struct wr_now_event[]){event[0], {4, {true, 42}, {false, 0}, 0}}, 2), WR_OK);
    made_excursion_release(&w.e);
}
END_TEST

Suite *suite_now_numbers(void);
Suite *suite_now_numbers(void)
{
    Suite *s = suite_create("now_numbers");
    TCase *t = tcase_create("now_numbers");

    tcase_set_timeout(t, 240); /* sanitizers */
    tcase_add_loop_test(t, no_answer_but_numbers, 0, 2);
    tcase_add_loop_test(t, what_is_known_decided_the_moment, 0, 4);
    suite_add_tcase(s, t);
    return s;
}
