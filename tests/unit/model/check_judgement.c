/* What judges are worth, learned from tasks that were judged and then timed: against judges made here, whose bias is
 * known. */
#include <check.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdio.h>
#include "made_plan.h"
#include "made_timing.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/durations.h"
#include "wetrun/model/earlier.h"
#include "wetrun/stats/quantile.h"

enum { TASKS = 26, TIMED = 18, RUNS = 6, CAMPAIGNS = 10 };

struct campaign {
    struct wr_plan plan;
    struct wr_network net;
    struct wr_timing timing;
    struct wr_fit_options options;
    struct wr_model_fit fit;
    struct wr_durations d;
    struct wr_findings findings;
    char id[TASKS][8];
    double real_log[TASKS]; /* mean of the log minutes over six runs, whether the model sees them or not */
};

/* Judges say exp(-bias) of it, each time off by own, and a range whose sd of the log is about 0.12. */
static void judge(struct campaign *c, double bias, double own, const gsl_rng *rng)
{
    for (size_t k = 0; k < TASKS; k++) {
        double sum = 0;
        for (size_t r = 0; r < RUNS; r++) sum += log(wr_cell_modelled_min(made_cell(&c->timing, k, r)));
        c->real_log[k] = sum / RUNS;
        double said = exp(c->real_log[k] - bias + gsl_ran_gaussian_ziggurat(rng, own));
        c->plan.task[k].low_min = wr_known(0.75 * said);
        c->plan.task[k].likely_min = wr_known(0.98 * said);
        c->plan.task[k].high_min = wr_known(1.4 * said);
    }
}

static void make(struct campaign *c, size_t n_timed, double bias, double own, unsigned long seed)
{
    static const struct made_truth truth = {.tau = 0.08, .sigma = 0.2};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    gsl_rng_set(rng, seed);
    *c = (struct campaign){.options = wr_fit_options_default()};
    for (size_t k = 0; k < TASKS; k++) {
        snprintf(c->id[k], sizeof c->id[k], "T%zu", k);
        made_plan_add(&c->plan, c->id[k], "EV1", "");
    }
    made_plan_finish(&c->plan);
    ck_assert_int_eq(wr_network_build(&c->net, &c->plan, NULL), WR_OK);
    made_timing_init(&c->timing, TASKS, RUNS, 1);
    made_timing_rehearse(&c->timing, &truth, rng);
    judge(c, bias, own, rng);
    for (size_t k = n_timed; k < TASKS; k++)
        for (size_t r = 0; r < RUNS; r++) made_cell_state(&c->timing, k, r, WR_CELL_ABSENT);
    c->options.priors.learning = false;
    c->options.sampler = (struct wr_sampler_options){
        .n_chain = 2, .n_burn = 150, .n_keep = 200, .thin = 2, .seed = seed, .n_thread = 1};
    ck_assert_int_eq(wr_model_fit(&c->fit, &c->plan, &c->timing, &c->options, &c->findings, NULL), WR_OK);
    gsl_rng_free(rng);
}

static void build(struct campaign *c)
{
    wr_durations_release(&c->d);
    ck_assert_int_eq(
        wr_durations_build(&c->d, &c->plan, &c->net, &c->timing, &c->fit, NULL, &c->options, &c->findings, NULL),
        WR_OK);
}

static void unmake(struct campaign *c)
{
    wr_durations_release(&c->d);
    wr_model_fit_release(&c->fit);
    wr_findings_release(&c->findings);
    made_timing_release(&c->timing);
    wr_network_release(&c->net);
    made_plan_release(&c->plan);
}

static double centre_quantile(const struct campaign *c, size_t k, double prob)
{
    return wr_quantile(c->d.centre_log + k * c->d.n_draw, c->d.n_draw, prob, WR_QUANTILE_TYPE_7);
}

/* Judged a fifth short (log 1.25), each off by 0.2. In 80 judged tasks the 80 % interval of the centre holds what six
 * runs would have shown in 80 of 100, give or take 4.5 and what tasks of one campaign share (1 sd, about 6
 * together). */
START_TEST(a_record_mends_judgement)
{
    size_t held = 0, below = 0, bias_held = 0;

    for (unsigned long seed = 1; seed <= CAMPAIGNS; seed++) {
        struct campaign c;
        make(&c, TIMED, log(1.25), 0.2, seed);
        build(&c);
        ck_assert(c.d.judging.restated && c.d.judging.n_record == TIMED && c.d.judging.n_task == TASKS - TIMED);
        bias_held += c.d.judging.bias.lo < 1.25 && 1.25 < c.d.judging.bias.hi;
        ck_assert(c.d.judging.bias.hi < 1.7 && c.d.judging.bias.lo > 0.9);
        for (size_t k = TIMED; k < TASKS; k++) {
            ck_assert(c.d.restated[k] && c.d.source[k].kind == WR_SRC_MODEL);
            held += centre_quantile(&c, k, 0.1) < c.real_log[k] && c.real_log[k] < centre_quantile(&c, k, 0.9);
            below += c.real_log[k] < centre_quantile(&c, k, 0.5);
        }
        unmake(&c);
    }
    double n = CAMPAIGNS * (TASKS - TIMED);
    ck_assert_double_eq_tol((double)held / n, 0.8, 0.18);
    ck_assert_double_eq_tol((double)below / n, 0.5, 0.25);
    ck_assert_uint_ge(bias_held, 6); /* of 10 at 90 %: fewer once in 600 */
}
END_TEST

START_TEST(no_record_no_change)
{
    for (size_t n_timed = 0; n_timed <= 4; n_timed += 2) {
        struct campaign c;
        make(&c, n_timed, log(1.25), 0.2, 3);
        build(&c);
        ck_assert(c.d.judging.restated == (n_timed >= WR_LEAST_RECORD) && c.d.judging.n_record == n_timed);
        ck_assert_int_eq(c.d.source[TASKS - 1].kind, n_timed >= WR_LEAST_RECORD ? WR_SRC_MODEL : WR_SRC_JUDGED);
        c.options.judging = WR_JUDGED_AS_SAID;
        build(&c);
        ck_assert(!c.d.judging.restated && c.d.source[TASKS - 1].kind == WR_SRC_JUDGED);
        unmake(&c);
    }
}
END_TEST

/* 20 % short: centres move by log 1.2, with an sd of 0.15 in common and 0.2 each, 0.25 together; spreads by 1.3 or
 * so. */
START_TEST(judges_supposed_short)
{
    struct campaign c;
    double said_log = 0, moved = 0, squares = 0, wide = 0;

    make(&c, 0, 0, 0.2, 5);
    c.options.sampler.n_keep = 2000;
    c.options.judging = WR_JUDGED_SHORT;
    wr_model_fit_release(&c.fit);
    ck_assert_int_eq(wr_model_fit(&c.fit, &c.plan, &c.timing, &c.options, &c.findings, NULL), WR_OK);
    build(&c);
    /* PERT of 0.75, 0.98, 1.4 on a unit: mean and sd of the log, by quadrature outside the program (scipy 1.10) */
    const double mean_log = 0.00454, sd_log = 0.11882;
    for (size_t k = 0; k < TASKS; k++) {
        said_log = log(c.plan.task[k].likely_min.value / 0.98) + mean_log;
        for (size_t i = 0; i < c.d.n_draw; i++) {
            double off = c.d.centre_log[k * c.d.n_draw + i] - said_log;
            moved += off;
            squares += off * off;
            wide += log(c.d.spread_log[k * c.d.n_draw + i] / sd_log);
        }
    }
    double n = (double)(TASKS * c.d.n_draw);
    ck_assert_double_eq_tol(moved / n, log(1.2), 0.012); /* 0.15/sqrt(4000) in common, 4 sd */
    ck_assert_double_eq_tol(sqrt(squares / n - moved / n * moved / n), 0.25, 0.01);
    ck_assert_double_eq_tol(wide / n, log(1.3), 0.022);
    unmake(&c);
}
END_TEST

/* Campaigns of one team, or of judges each quite different, then one in which nothing was timed yet. */
static void taught_by(struct campaign *now, struct wr_earlier *e, const double *bias, size_t n, double bias_now,
                      unsigned long seed)
{
    for (size_t j = 0; j < n; j++) {
        struct campaign c;
        make(&c, TIMED, bias[j], 0.2, 100 * seed + j);
        const struct wr_telling telling = {&c.plan, &c.fit, &c.options};
        wr_earlier_add(e, "", &telling, 1);
        unmake(&c);
    }
    make(now, 0, bias_now, 0.2, 100 * seed + n);
    const struct wr_telling present = {&now->plan, &now->fit, &now->options};
    wr_earlier_combine(e, &present);
    wr_earlier_teach(e, &now->options.priors);
    build(now);
}

/* Judged a fifth short, give or take 0.07 from campaign to campaign. Of 5 x 26 judged tasks the 80 % interval of the
 * centre holds what six runs would have shown in 80 of 100: 3.5 by single tasks and 9 by what the tasks of one campaign
 * share (1 sd), and the prior is wider than the team. As judged, the middle of all lies short of half of them and
 * more. */
START_TEST(judges_known_from_earlier_campaigns)
{
    static const double bias[] = {0.20, 0.30, 0.22, 0.16, 0.25};
    size_t held = 0, below = 0;

    for (unsigned long seed = 1; seed <= 5; seed++) {
        struct wr_earlier e = {0};
        struct campaign c;
        taught_by(&c, &e, bias, 5, 0.22, seed);
        ck_assert(c.options.priors.judges_known && c.d.judging.by_earlier && c.d.judging.restated &&
                  c.d.judging.n_record == 0);
        ck_assert(c.options.priors.judged_bias_sd < 0.3 && c.d.judging.bias.median > 1.08 &&
                  c.d.judging.bias.lo < 1.25 && 1.25 < c.d.judging.bias.hi);
        ck_assert_uint_eq(e.n_telling[WR_COMMON_JUDGED_BIAS], 5);
        ck_assert(e.present[WR_COMMON_JUDGED_BIAS].p_against == 1);
        for (size_t k = 0; k < TASKS; k++) {
            held += centre_quantile(&c, k, 0.1) < c.real_log[k] && c.real_log[k] < centre_quantile(&c, k, 0.9);
            below += c.real_log[k] < centre_quantile(&c, k, 0.5);
        }
        wr_earlier_release(&e);
        unmake(&c);
    }
    double n = 5 * TASKS;
    ck_assert_double_ge((double)held / n, 0.7);
    ck_assert_double_eq_tol((double)below / n, 0.5, 0.3);
}
END_TEST

/* Judges who differ by more than anybody expects: the prior for the next is not narrower than the usual one. */
START_TEST(judges_who_differ_teach_little)
{
    static const double bias[] = {-0.5, 0.6, 0.1};
    struct wr_earlier e = {0};
    struct campaign c;

    taught_by(&c, &e, bias, 3, 0.22, 9);
    ck_assert_double_ge(c.options.priors.judged_bias_sd, 0.3);
    ck_assert_double_lt(e.told[1 * WR_N_COMMON + WR_COMMON_JUDGED_BIAS].p_against, 0.3);
    wr_earlier_release(&e);
    unmake(&c);
}
END_TEST

/* A task that another plan adds is judged by the same people. */
START_TEST(the_record_holds_for_a_new_task)
{
    static const char new_id[] = "new";
    struct wr_durations there = {0};
    struct wr_plan other = {0};
    struct campaign c;

    make(&c, TASKS, log(1.25), 0.05, 4); /* all timed: none rests on judgement */
    build(&c);
    ck_assert(c.d.judging.n_task == 0 && c.d.judging.restated);
    made_plan_add(&other, c.id[0], "EV1", "");
    made_plan_add(&other, new_id, "EV1", "");
    made_plan_finish(&other);
    other.task[1].low_min = wr_known(7.5);
    other.task[1].likely_min = wr_known(9.8);
    other.task[1].high_min = wr_known(14);
    ck_assert_int_eq(wr_durations_for_plan(&there, &other, &c.d, &c.plan, &c.options, NULL), WR_OK);
    ck_assert(there.source[1].kind == WR_SRC_MODEL && there.restated[1] && !there.restated[0]);
    double middle = wr_quantile(there.centre_log + there.n_draw, there.n_draw, 0.5, WR_QUANTILE_TYPE_7);
    ck_assert_double_eq_tol(middle, log(10) + 0.00454 + log(1.25), 0.06); /* 26 tasks tell the bias to 0.03 */
    c.options.judging = WR_JUDGED_AS_SAID;
    build(&c);
    wr_durations_release(&there);
    ck_assert_int_eq(wr_durations_for_plan(&there, &other, &c.d, &c.plan, &c.options, NULL), WR_OK);
    ck_assert(there.source[1].kind == WR_SRC_JUDGED);
    wr_durations_release(&there);
    made_plan_release(&other);
    unmake(&c);
}
END_TEST

Suite *suite_judgement(void);
Suite *suite_judgement(void)
{
    Suite *s = suite_create("judgement");
    TCase *t = tcase_create("judgement");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, a_record_mends_judgement);
    tcase_add_test(t, no_record_no_change);
    tcase_add_test(t, judges_supposed_short);
    tcase_add_test(t, judges_known_from_earlier_campaigns);
    tcase_add_test(t, judges_who_differ_teach_little);
    tcase_add_test(t, the_record_holds_for_a_new_task);
    suite_add_tcase(s, t);
    return s;
}
