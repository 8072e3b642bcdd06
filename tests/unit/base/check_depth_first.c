/* Orders and cycles of small graphs, read off by hand. */
#include <check.h>
#include <string.h>
#include "suites.h"
#include "wetrun/base/depth_first.h"
#include "wetrun/base/memory.h"

struct cycles {
    size_t n, length[8], path[8][8];
};

static void keep(void *arg, const size_t *path, size_t n)
{
    struct cycles *c = arg;

    ck_assert_uint_lt(c->n, 8);
    memcpy(c->path[c->n], path, n * sizeof *path);
    c->length[c->n++] = n;
}

START_TEST(a_node_stands_after_all_it_waits_for)
{
    /* 0 waits for 3 and 1, 1 for 2, 3 for 2; 4 for nothing */
    const size_t first[] = {0, 2, 3, 3, 4, 4}, on[] = {3, 1, 2, 2}, want[] = {2, 3, 1, 0, 4};
    size_t order[5];
    struct cycles c = {0};

    wr_depth_first(5, first, on, order, keep, &c);
    ck_assert_uint_eq(c.n, 0);
    for (size_t i = 0; i < 5; i++) ck_assert_uint_eq(order[i], want[i]);
    wr_depth_first(0, first, on, NULL, keep, &c);
    ck_assert_uint_eq(c.n, 0);
}
END_TEST

START_TEST(every_wait_that_closes_a_circle_is_told)
{
    /* 0 -> 1 -> 2 -> 0, and 2 -> 1; 3 waits for itself */
    const size_t first[] = {0, 1, 2, 4, 5}, on[] = {1, 2, 0, 1, 3};
    struct cycles c = {0};

    wr_depth_first(4, first, on, NULL, keep, &c);
    ck_assert_uint_eq(c.n, 3);
    ck_assert(c.length[0] == 3 && c.path[0][0] == 0 && c.path[0][1] == 1 && c.path[0][2] == 2);
    ck_assert(c.length[1] == 2 && c.path[1][0] == 1 && c.path[1][1] == 2);
    ck_assert(c.length[2] == 1 && c.path[2][0] == 3);
}
END_TEST

START_TEST(a_long_chain_needs_no_stack)
{
    enum { N = 300000 };
    size_t *first = WR_NEW_ARRAY(size_t, N + 1), *on = WR_NEW_ARRAY(size_t, N), *order = WR_NEW_ARRAY(size_t, N);
    struct cycles c = {0};

    for (size_t k = 0; k < N; k++) {
        first[k] = k < N - 1 ? k : N - 1;
        on[k] = k + 1;
    }
    first[N - 1] = first[N] = N - 1;
    wr_depth_first(N, first, on, order, keep, &c);
    ck_assert_uint_eq(c.n, 0);
    for (size_t i = 0; i < N; i++) ck_assert_uint_eq(order[i], N - 1 - i);
    wr_free(first);
    wr_free(on);
    wr_free(order);
}
END_TEST

Suite *suite_depth_first(void);
Suite *suite_depth_first(void)
{
    Suite *suite = suite_create("depth_first");
    TCase *tc = tcase_create("depth_first");

    tcase_add_test(tc, a_node_stands_after_all_it_waits_for);
    tcase_add_test(tc, every_wait_that_closes_a_circle_is_told);
    tcase_add_test(tc, a_long_chain_needs_no_stack);
    suite_add_tcase(suite, tc);
    return suite;
}
