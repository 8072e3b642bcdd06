/* Starts read off between two at which all days are known, against days whose roots are looked for; and the tables that
 * running tasks are read off from, against the laws themselves. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "../../../src/decide/bend.h"
#include "../../../src/decide/given_start.h"
#include "../../../src/decide/known_starts.h"
#include "../../../src/decide/tail_table.h"
#include "made_excursion.h"
#include "made_plan.h"
#include "wetrun/base/memory.h"

enum { N_TASK = 12, N_TRIAL = 1000, CAMPAIGNS = 20 };

struct made {
    struct made_excursion e;
    struct wr_days days;
};

/* Every third plan drops work on the way to starts and outcomes. */
static void make(struct made *m, int seed)
{
    unsigned long long state = 70 + (unsigned long long)seed;

    *m = (struct made){0};
    made_excursion_random(&m->e, N_TASK, 2, 0.1, true, &state);
    m->e.durations.source[2] = (struct wr_source){WR_SRC_JUDGED, {10, 14, 30}, WR_THREE_POINT_PERT};
    m->e.durations.source[5] = (struct wr_source){.kind = WR_SRC_FIXED, .p = {6}};
    if (seed % 3 == 0) m->e.net.drop_after_min[8] = 60;
    made_excursion_days(&m->e, N_TRIAL, (uint64_t)seed + 1);
    wr_days_make(&m->days, &m->e.net, &m->e.durations, &m->e.scenarios, NULL);
    wr_days_walk_all(&m->days);
}

static void unmake(struct made *m)
{
    wr_days_release(&m->days);
    made_excursion_release(&m->e);
}

static void know(struct wr_known_starts *known, struct wr_given *g, double s)
{
    wr_known_init(known, g, s);
    wr_given_tally_on(g, s, 0, N_TRIAL, known);
    ck_assert_uint_eq(known->n_days, N_TRIAL);
}

/* Readings, and how many of them are further off than 99 in 100 are: of 400 made campaigns half were off by less than a
 * thousandth of a standard error, and 0.1 of 100 by more than half of one. */
struct readings {
    int n, far_effective, far_sum, far_share;
    double off;
};

/* What stands between two known starts beside what days that were looked for there say. */
static void compare(struct wr_given *g, double share, struct readings *all)
{
    const double half = 0.25 * g->law.log_sd, s = g->law.typical_min * exp((2 * share - 1) * half);
    struct wr_known_starts from, to;
    double parts = 0;

    know(&from, g, g->law.typical_min * exp(-half));
    know(&to, g, g->law.typical_min * exp(half));
    wr_given_tally_between(g, &from, &to, s);
    struct wr_tally read = g->asked[0].tally;
    wr_given_tally(g, s, N_TRIAL);
    struct wr_tally found = g->asked[0].tally;
    double effective = wr_tally_effective(&found), inside = wr_tally_share(&found);
    ck_assert_double_gt(effective, 20);
    for (int p = 0; p < WR_GIVEN_PARTS; p++) parts += read.part_inside[p];
    ck_assert_double_eq_tol(parts, read.inside, 1e-9 * read.sum);
    const double off = fabs(wr_tally_share(&read) - inside) / sqrt((inside * (1 - inside) + 1 / effective) / effective);
    all->n++;
    all->off += off;
    all->far_share += off > 0.17;
    all->far_effective += fabs(wr_tally_effective(&read) / effective - 1) > 0.02;
    all->far_sum += fabs(read.sum / found.sum - 1) > 0.02; /* what days have in common cancels */
    wr_known_release(&from);
    wr_known_release(&to);
}

static void compare_all(struct made *m, struct readings *all)
{
    for (size_t k = 1; k < N_TASK; k++) {
        struct wr_sim_limit limit = {.lanes = 3};
        const struct wr_sim_limit *at = &limit;
        struct wr_given g;
        double sum = 0;
        for (size_t i = 0; i < N_TRIAL; i++) sum += wr_days_outcome(&m->days, &limit, i);
        limit.minutes = 1.02 * sum / N_TRIAL;
        wr_given_init(&g, &m->days, &at, 1, k);
        if (g.law.n_moves == N_TRIAL && wr_given_end(&g)->upstream && wr_given_aim(&g))
            for (double share = 0.2; share < 1; share += 0.3) compare(&g, share, all);
        wr_given_release(&g);
    }
}

START_TEST(between_as_where_they_are_looked_for)
{
    const int n_campaign = made_plan_many(CAMPAIGNS);
    struct readings all = {0};

    for (int i = 0; i < n_campaign; i++) {
        struct made m;
        make(&m, i);
        compare_all(&m, &all);
        unmake(&m);
    }
    ck_assert_int_ge(all.n, 9 * n_campaign);
    ck_assert_int_le(all.far_share, 3 * all.n / 100);
    ck_assert_int_le(all.far_effective, 3 * all.n / 100);
    ck_assert_int_le(all.far_sum, 3 * all.n / 100);
    ck_assert_double_lt(all.off / all.n, 0.025);
}
END_TEST

/* 1 - Phi(z) = (1 - Phi(v)) (1 - Phi(least)), by GSL; derivatives by differences. */
START_TEST(normal_above_a_bound)
{
    struct wr_tail_table *t = WR_NEW(struct wr_tail_table);
    const double h = 1e-4;

    wr_tail_build(t);
    for (double v = -4; v <= 4; v += 0.173)
        for (double least = -4; least < 7.5; least += 0.191) {
            double by_v, by_least, unused, more;
            double z = wr_tail_above(t, v, least, &by_v, &by_least);
            double true_z = gsl_cdf_ugaussian_Qinv(gsl_cdf_ugaussian_Q(v) * gsl_cdf_ugaussian_Q(least));
            ck_assert_double_eq_tol(z, true_z, 2e-4);
            more = wr_tail_above(t, v + h, least, &unused, &unused);
            ck_assert_double_eq_tol(by_v, (more - z) / h, 2e-3);
            more = wr_tail_above(t, v, least + h, &unused, &unused);
            ck_assert_double_eq_tol(by_least, (more - z) / h, 2e-3);
        }
    double by_v, by_least; /* so far below that nothing is left of it: the bound itself */
    ck_assert_double_eq_tol(wr_tail_above(t, -39, 0.5, &by_v, &by_least), 0.5, 1e-12);
    ck_assert(by_v == 0 && by_least == 1);
    ck_assert_double_eq_tol(wr_tail_above(t, 0.5, -39, &by_v, &by_least), 0.5, 1e-12);
    ck_assert(by_v == 1 && by_least == 0);
    wr_free(t);
}
END_TEST

/* Minutes 20 + 5 Phi(score), tabulated from exact pairs: forth and back, within the nodes and beyond. */
START_TEST(score_of_bent_minutes)
{
    enum { N = 801 };
    struct wr_bend *bend = WR_NEW(struct wr_bend);
    float score[N], minutes[N];
    double slope;

    for (int i = 0; i < N; i++) {
        score[i] = (float)(i - 400) / 100;
        minutes[i] = (float)(20 + 5 * gsl_cdf_ugaussian_P((double)score[i]));
    }
    wr_bend_fit(bend, score, minutes, N, 20, 25);
    for (double x = -4.5; x < 4.6; x += 0.13)
        ck_assert_double_eq_tol(wr_bend_score(bend, wr_bend_minutes(bend, x, &slope)), x, 1e-6);
    ck_assert_double_eq_tol(wr_bend_score(bend, 22.5), 0, 1e-3);
    ck_assert_double_eq_tol(wr_bend_score(bend, 19), -40, 1e-12);
    ck_assert_double_eq_tol(wr_bend_score(bend, 25), 40, 1e-12);
    wr_free(bend);
}
END_TEST

Suite *suite_known_starts(void);
Suite *suite_known_starts(void)
{
    Suite *s = suite_create("known_starts");
    TCase *t = tcase_create("readings");

    tcase_set_timeout(t, 60);
    tcase_add_test(t, between_as_where_they_are_looked_for);
    tcase_add_test(t, normal_above_a_bound);
    tcase_add_test(t, score_of_bent_minutes);
    suite_add_tcase(s, t);
    return s;
}
