/* Values with weights in order, against the C library's sort. */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "../../../src/decide/weighed.h"

enum { MOST = 5000 };

static int by_value(const void *a, const void *b)
{
    const double x = ((const struct wr_weighed *)a)->value, y = ((const struct wr_weighed *)b)->value;

    return (x > y) - (x < y);
}

static double next_value(unsigned long long *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    double u = (double)(*state >> 40) / (1 << 23) - 1; /* of either sign, of every size, and 0 among them */
    return *state >> 33 & 1 ? u * exp2((double)(*state >> 25 & 127) - 64) : floor(10 * u);
}

START_TEST(in_the_order_of_the_c_library)
{
    static struct wr_weighed item[MOST], expected[MOST];
    static const size_t size[] = {1, 2, 999, 1000, MOST};
    unsigned long long state = 7;

    for (size_t s = 0; s < sizeof size / sizeof *size; s++) {
        double sum = 0, expected_sum = 0, size_of_sum = 0;
        for (size_t i = 0; i < size[s]; i++) item[i] = (struct wr_weighed){next_value(&state), (double)(i + 1)};
        memcpy(expected, item, size[s] * sizeof *item);
        qsort(expected, size[s], sizeof *expected, by_value);
        wr_weighed_sort(item, size[s]);
        for (size_t i = 0; i < size[s]; i++) {
            ck_assert_msg(item[i].value == expected[i].value, "place %zu of %zu: %g, not %g", i, size[s], item[i].value,
                          expected[i].value);
            sum += item[i].value * item[i].weight; /* a weight stays with its value */
            expected_sum += expected[i].value * expected[i].weight;
            size_of_sum += fabs(expected[i].value * expected[i].weight);
        }
        ck_assert(fabs(sum - expected_sum) <= 1e-12 * size_of_sum); /* rounding of another order of equals */
    }
}
END_TEST

Suite *suite_weighed(void);
Suite *suite_weighed(void)
{
    Suite *s = suite_create("weighed");
    TCase *t = tcase_create("weighed");

    tcase_add_test(t, in_the_order_of_the_c_library);
    suite_add_tcase(s, t);
    return s;
}
