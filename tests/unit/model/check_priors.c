/* Normal scores of the default priors. Expected scores computed with scipy 1.10.1 from the laws' distribution
 * functions. */
#include <check.h>
#include <math.h>
#include "wetrun/model/priors.h"

START_TEST(scores_are_those_of_the_laws)
{
    static const struct { enum wr_common which; double value, score; } want[] = {
        {WR_COMMON_TAU, 0.1, 0.1079606139}, {WR_COMMON_TAU, 0.005, -1.8179114621}, {WR_COMMON_KAPPA, 0.2, 1.2885655981},
        {WR_COMMON_GAMMA, -0.15, -1.5553058276}, {WR_COMMON_OMEGA_S, 0.9, 1.4620727453},
        {WR_COMMON_OMEGA_S, 0.01, -2.1454954495}, {WR_COMMON_RHO, -0.7, -1.0675705239}, {WR_COMMON_A, 0.4, 1.0},
        {WR_COMMON_D, -0.5, -1.2}};
    const struct wr_priors p = wr_priors_default();

    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        ck_assert_double_eq_tol(wr_prior_score(&p, want[i].which, want[i].value), want[i].score, 1e-8);
    ck_assert_double_eq_tol(wr_prior_score(&p, WR_COMMON_S0, log(0.2)), -0.4462871026, 1e-8);
}
END_TEST

START_TEST(there_and_back)
{
    const struct wr_priors p = wr_priors_default();

    for (int c = 0; c < WR_N_COMMON; c++)
        for (double z = -3.5; z < 3.6; z += 0.5)
            ck_assert_double_eq_tol(wr_prior_score(&p, (enum wr_common)c, wr_prior_value(&p, (enum wr_common)c, z)), z,
                                    1e-7);
    ck_assert_double_ge(wr_prior_score(&p, WR_COMMON_TAU, 0.0), -7.0); /* no score is infinite */
    ck_assert_double_le(wr_prior_score(&p, WR_COMMON_RHO, 0.98), 7.0);
}
END_TEST

START_TEST(what_was_learnt_takes_the_place_of_the_default)
{
    struct wr_priors p = wr_priors_default(), given = p;
    const struct wr_score_law law = {-0.8, 0.4}, nothing = {0};

    for (int c = 0; c < WR_N_COMMON; c++) wr_prior_learn(&p, (enum wr_common)c, &nothing);
    ck_assert(p.gamma_sd == 0.10 && p.log_s0_sd == 0.5 && p.tau_score.sd == 0);
    for (int c = 0; c < WR_N_COMMON; c++) wr_prior_learn(&p, (enum wr_common)c, &law);
    ck_assert_double_eq_tol(p.gamma_mean, -0.0650469970, 2e-4); /* quadrature, as above */
    ck_assert_double_eq_tol(p.gamma_sd, 0.0395566593, 4e-4);
    ck_assert_double_eq_tol(p.log_s0_mean, log(0.25) - 0.4, 1e-12);
    ck_assert_double_eq_tol(p.a_sd, 0.12, 1e-12);
    /* N(-0.8, 0.4^2) over N(0, 1) at score 0.1079606139 */
    ck_assert_double_eq_tol(wr_prior_log_ratio(&p, WR_COMMON_TAU, &p.tau_score, 0.1),
                            0.5 * 0.1079606139 * 0.1079606139 - 0.5 * pow(0.9079606139 / 0.4, 2) - log(0.4), 1e-7);
    given.tau_fixed = 0.1;
    wr_prior_learn(&given, WR_COMMON_TAU, &law);
    ck_assert(given.tau_score.sd == 0);
}
END_TEST

Suite *suite_priors(void);
Suite *suite_priors(void)
{
    Suite *s = suite_create("priors");
    TCase *t = tcase_create("priors");

    tcase_add_test(t, scores_are_those_of_the_laws);
    tcase_add_test(t, there_and_back);
    tcase_add_test(t, what_was_learnt_takes_the_place_of_the_default);
    suite_add_tcase(s, t);
    return s;
}
