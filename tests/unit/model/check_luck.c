#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "../../../src/model/luck.h"
#include "../../../src/model/slice.h"

static struct wr_ziggurat ziggurat;

static struct wr_luck luck_of(uint64_t seed)
{
    struct wr_luck luck;

    wr_ziggurat_build(&ziggurat);
    wr_luck_init(&luck, &ziggurat, seed, 3);
    return luck;
}

/* Blackman and Vigna's own program, state {1, 2, 3, 4}: the first numbers that come, as other implementations
 * publish them for their tests (41943041, 58720359, ...; from memory). */
START_TEST(known_bits)
{
    struct wr_luck luck = {.s = {1, 2, 3, 4}};
    const uint64_t want[] = {41943041u, 58720359u, 3588806011781223u, 3591011842654386u};

    for (size_t i = 0; i < sizeof want / sizeof *want; i++) ck_assert_uint_eq(wr_luck_bits(&luck), want[i]);
}
END_TEST

/* Every layer has the same area, the last one up to the top: what a wrong edge or area would break. */
START_TEST(layers_fit)
{
    luck_of(1);
    for (int i = 0; i < WR_ZIGGURAT_LAYERS; i++) {
        double area = ziggurat.edge[i] * (ziggurat.height[i + 1] - ziggurat.height[i]);
        if (i > 0) ck_assert_double_eq_tol(area, ziggurat.edge[0] * ziggurat.height[1], 1e-12);
        ck_assert_double_gt(ziggurat.edge[i], ziggurat.edge[i + 1]);
    }
}
END_TEST

enum { CLASSES = 400, DRAWS = 4000000 };

static void ck_uniform(const int *count, int classes, double n, const char *what)
{
    double chi2 = 0.0;

    for (int i = 0; i < classes; i++) chi2 += pow(count[i] - n / classes, 2) / (n / classes);
    ck_assert_msg(gsl_cdf_chisq_Q(chi2, classes - 1) > 1e-4, "%s: chi-square %g", what, chi2);
}

/* Equal classes of the normal distribution function by GSL, tail and all. */
START_TEST(normals_are_normal)
{
    struct wr_luck luck = luck_of(11);
    static int count[CLASSES];
    int far = 0;

    for (int i = 0; i < DRAWS; i++) {
        double x = wr_luck_normal(&luck);
        count[(int)(CLASSES * fmin(gsl_cdf_ugaussian_P(x), 1.0 - 1e-12))]++;
        far += fabs(x) > 3.7; /* where the lowest layer's tail answers */
    }
    ck_uniform(count, CLASSES, DRAWS, "normal");
    double want = 2.0 * DRAWS * gsl_cdf_ugaussian_Q(3.7);
    ck_assert_double_eq_tol(far, want, 4.0 * sqrt(want));
}
END_TEST

START_TEST(uniforms_are_uniform)
{
    struct wr_luck luck = luck_of(12);
    static int count[CLASSES];

    for (int i = 0; i < DRAWS; i++) count[(int)(CLASSES * wr_luck_uniform(&luck))]++;
    ck_uniform(count, CLASSES, DRAWS, "uniform");
}
END_TEST

/* Q(x)/Q(low) of a variate above low is uniform. */
START_TEST(right_law_wherever_it_is_cut)
{
    const double low[] = {-40, -3, -0.5, 0, 0.4, 0.99, 1.01, 2.5, 7, 20, 37};
    struct wr_luck luck = luck_of(13);

    for (size_t j = 0; j < sizeof low / sizeof *low; j++) {
        int count[20] = {0};
        for (int i = 0; i < 20000; i++) {
            double x = wr_luck_normal_above(&luck, low[j]);
            ck_assert_msg(x > low[j], "%g is not above %g", x, low[j]);
            count[(int)(20 * fmin(gsl_cdf_ugaussian_Q(x) / gsl_cdf_ugaussian_Q(low[j]), 1.0 - 1e-12))]++;
        }
        ck_uniform(count, 20, 20000, "cut normal");
    }
}
END_TEST

/* Beyond the range of Q: x - low is nearly exponential with rate low. */
START_TEST(extreme_tail)
{
    struct wr_luck luck = luck_of(14);
    double sum = 0.0;

    for (int i = 0; i < 20000; i++) {
        double x = wr_luck_normal_above(&luck, 1000.0);
        ck_assert(x >= 1000.0 && isfinite(x));
        sum += (x - 1000.0) * 1000.0;
    }
    ck_assert_double_eq_tol(sum / 20000, 1.0, 4.0 / sqrt(20000.0));
}
END_TEST

/* Seeds and numbers of chains give streams of their own. */
START_TEST(streams_differ)
{
    struct wr_luck a, b, c;

    wr_ziggurat_build(&ziggurat);
    wr_luck_init(&a, &ziggurat, 1, 0);
    wr_luck_init(&b, &ziggurat, 1, 1);
    wr_luck_init(&c, &ziggurat, 2, 0);
    uint64_t x = wr_luck_bits(&a), y = wr_luck_bits(&b), z = wr_luck_bits(&c);
    ck_assert(x != y && y != z && x != z);
}
END_TEST

static double log_beta(double x, double p, double q)
{
    return (p - 1.0) * log(x) + (q - 1.0) * log1p(-x);
}

/* Slices leave a beta law alone, wide, narrow and against a bound: every eighth place falls into equal classes of
 * its distribution function by GSL (neighbours are related). */
START_TEST(slices_keep_the_law)
{
    const double p[] = {1, 2, 900, 0.7}, q[] = {1, 5, 300, 4};
    struct wr_luck luck = luck_of(15);

    for (size_t j = 0; j < 4; j++) {
        int count[20] = {0};
        double x = 0.3;
        for (int i = -100; i < 20000 * 8; i++) {
            struct wr_slice slice = wr_slice_start(&luck, 0.0, 1.0, x, log_beta(x, p[j], q[j]));
            while (wr_slice_next(&luck, &slice))
                if (wr_slice_holds(&slice, log_beta(slice.at, p[j], q[j]))) break;
            x = slice.at;
            if (i >= 0 && i % 8 == 0) count[(int)(20 * fmin(gsl_cdf_beta_P(x, p[j], q[j]), 1.0 - 1e-12))]++;
        }
        ck_uniform(count, 20, 20000, "slice");
    }
}
END_TEST

Suite *suite_luck(void);
Suite *suite_luck(void)
{
    Suite *s = suite_create("luck");
    TCase *t = tcase_create("luck");

    tcase_add_test(t, known_bits);
    tcase_add_test(t, layers_fit);
    tcase_add_test(t, normals_are_normal);
    tcase_add_test(t, uniforms_are_uniform);
    tcase_add_test(t, right_law_wherever_it_is_cut);
    tcase_add_test(t, extreme_tail);
    tcase_add_test(t, streams_differ);
    tcase_add_test(t, slices_keep_the_law);
    suite_add_tcase(s, t);
    return s;
}
