/* One person in two campaigns: what joining their draws must keep and what it must bring about. */
#include <check.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <string.h>
#include "made_durations.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/shared_people.h"

enum { DRAWS = 4000, PEOPLE = 3 };

/* Any numbers that do not follow one another: sums of sines of squares, near enough to normal for a test of moments. */
static double noise(size_t j, size_t which)
{
    double sum = 0;

    for (size_t i = 1; i <= 12; i++) sum += sin(fmod((double)(j + 1) * (double)(j + 7 * i) * 0.61803398875, 97) *
                                                (double)(which + i) + (double)(13 * which * i));
    return sum / sqrt(6);
}

/* Two tasks; three people, whose effects go with one another and, the other way, with the first task's median. */
static void campaign(struct wr_durations *d, size_t which, double spread, double middle)
{
    static const int line_up[] = {0, 1};

    made_durations_plain(d, 2, DRAWS);
    made_durations_people(d, 2, PEOPLE, 1, line_up);
    for (size_t j = 0; j < DRAWS; j++) {
        double common = noise(j, 100 * which);
        for (size_t p = 0; p < PEOPLE; p++)
            d->q[p * DRAWS + j] = middle + spread * (0.6 * common + 0.5 * noise(j, 100 * which + p + 1));
        d->centre_log[j] = log(30) - 0.8 * d->q[j] - 0.3 * d->q[DRAWS + j] + 0.05 * noise(j, 100 * which + 50);
    }
}

static double *copy(const double *from, size_t n)
{
    double *to = WR_NEW_ARRAY(double, n);

    memcpy(to, from, n * sizeof *to);
    return to;
}

static double with(const double *a, const double *b)
{
    return gsl_stats_covariance(a, 1, b, 1, DRAWS);
}

START_TEST(the_same_draws_stay_the_same)
{
    struct wr_durations d;
    const size_t person[] = {2, 0};

    campaign(&d, 1, 0.1, 0.02);
    double *q = copy(d.q, PEOPLE * DRAWS), *centre = copy(d.centre_log, 2 * DRAWS);
    wr_people_join(&d, person, (const double *const[]){q + 2 * DRAWS, q}, 2);
    for (size_t i = 0; i < PEOPLE * DRAWS; i++) ck_assert_double_eq_tol(d.q[i], q[i], 1e-9);
    for (size_t i = 0; i < 2 * DRAWS; i++) ck_assert_double_eq_tol(d.centre_log[i], centre[i], 1e-9);
    wr_free(q);
    wr_free(centre);
    made_durations_release(&d);
}
END_TEST

/* Means and covariances of the shared effects are kept to rounding, those with the rest to the chance covariance of two
 * samples that have nothing to do with one another, 1/sqrt(DRAWS) of the product of their standard deviations. */
START_TEST(a_campaign_keeps_what_it_says)
{
    struct wr_durations d, first;
    const size_t person[] = {0, 1};

    campaign(&first, 1, 0.2, -0.05);
    campaign(&d, 2, 0.08, 0.03);
    double *q = copy(d.q, PEOPLE * DRAWS), *centre = copy(d.centre_log, 2 * DRAWS);
    wr_people_join(&d, person, (const double *const[]){first.q + DRAWS, first.q}, 2);
    for (size_t i = 0; i < 2; i++) {
        const double *a = d.q + i * DRAWS, *was = q + i * DRAWS;
        ck_assert_double_eq_tol(gsl_stats_mean(a, 1, DRAWS), gsl_stats_mean(was, 1, DRAWS), 1e-12);
        for (size_t k = 0; k < 2; k++)
            ck_assert_double_eq_tol(with(a, d.q + k * DRAWS), with(was, q + k * DRAWS), 1e-12);
        double chance = 4 * sqrt(with(was, was) * with(centre, centre) / DRAWS);
        ck_assert(fabs(with(was, centre)) > 3 * chance); /* else the case says nothing */
        ck_assert_double_eq_tol(with(a, d.centre_log), with(was, centre), chance);
    }
    ck_assert_double_eq_tol(gsl_stats_mean(d.centre_log, 1, DRAWS), gsl_stats_mean(centre, 1, DRAWS), 1e-12);
    ck_assert_double_eq_tol(gsl_stats_sd(d.centre_log, 1, DRAWS), gsl_stats_sd(centre, 1, DRAWS),
                            0.1 * gsl_stats_sd(centre, 1, DRAWS));
    /* exchangeable people: who is quick here is quick there, the first here being the second there */
    ck_assert_double_gt(gsl_stats_correlation(d.q, 1, first.q + DRAWS, 1, DRAWS), 0.99);
    ck_assert_double_lt(fabs(gsl_stats_correlation(q, 1, first.q + DRAWS, 1, DRAWS)), 0.1);
    wr_free(q);
    wr_free(centre);
    made_durations_release(&d);
    made_durations_release(&first);
}
END_TEST

START_TEST(without_spread_nothing_moves)
{
    struct wr_durations d, first;
    const size_t person[] = {0};

    campaign(&first, 1, 0, 0);
    campaign(&d, 2, 0.08, 0.03);
    double *q = copy(d.q, PEOPLE * DRAWS);
    wr_people_join(&d, person, (const double *const[]){first.q}, 1);
    wr_people_join(&d, person, NULL, 0);
    ck_assert_mem_eq(d.q, q, PEOPLE * DRAWS * sizeof *q);
    wr_free(q);
    made_durations_release(&d);
    made_durations_release(&first);
}
END_TEST

Suite *suite_shared_people(void);
Suite *suite_shared_people(void)
{
    Suite *s = suite_create("shared_people");
    TCase *c = tcase_create("shared_people");

    tcase_add_test(c, the_same_draws_stay_the_same);
    tcase_add_test(c, a_campaign_keeps_what_it_says);
    tcase_add_test(c, without_spread_nothing_moves);
    suite_add_tcase(s, c);
    return s;
}
