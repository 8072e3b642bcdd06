/* What drop rules buy, against closed forms: the log of what A takes is N(ln 40, 0.2^2 + 0.1^2), then G takes its 20
 * min unless it is later than 0:45, then B its 10. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include "made_excursion.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/whatif.h"

enum { A, G, H, B, N_TASK, DAYS = 16000 };
static const struct made_task task[N_TASK] = {{.id = "A", .median_min = 40, .sigma = 0.2},
                                              {.id = "G", .median_min = 20, .drop_after_min = 45},
                                              {.id = "H", .crew = "2", .median_min = 5, .drop_after_min = 1},
                                              {.id = "B", .median_min = 10}};

static double a_longer_than(double minutes)
{
    return gsl_cdf_ugaussian_Q(log(minutes / 40) / hypot(0.2, 0.1));
}

static void is_share(double got, double wanted)
{
    ck_assert_double_eq_tol(got, wanted, 4 * sqrt(wanted * (1 - wanted) / DAYS) + 1e-9);
}

/* H, of a lane of its own and never late, buys nothing; left out from the start or without its rule it has no price or
 * no effect. */
START_TEST(a_rule_is_priced_by_what_it_drops)
{
    struct made_excursion e = {0};
    const struct wr_whatif_options options = {.n_trial = DAYS, .seed = 1, .n_thread = 1};
    unsigned char left_out[N_TASK] = {[H] = 1}, no_rule[N_TASK] = {[H] = 1};
    struct wr_drop_price *price;
    size_t n;

    made_excursion_plan(&e, task, N_TASK, 0.1, 1);
    const struct wr_sim_limit limit = {.lanes = 3, .minutes = 75};
    for (int way = 0; way < 3; way++) {
        const struct wr_variant base = {.name = "base", .net = &e.net, .durations = &e.durations, .limit = &limit,
                                        .n_limit = 1, .drop = way == 1 ? left_out : NULL,
                                        .no_rule = way == 2 ? no_rule : NULL};
        ck_assert_int_eq(wr_drop_prices(&price, &n, &base, &options, NULL), WR_OK);
        ck_assert_uint_eq(n, way == 1 ? 1 : 2);
        ck_assert_uint_eq(price[0].task, G);
        is_share(price[0].dropped, a_longer_than(45));
        is_share(price[0].over_with_rule, a_longer_than(65));
        is_share(price[0].over_without_rule, a_longer_than(45));
        is_share(price[0].over_always_dropped, a_longer_than(65));
        is_share(price[0].over_all_done, a_longer_than(45));
        ck_assert_double_eq(price[0].sooner.mean, 0); /* the rule drops it on every day that goes over */
        ck_assert_double_eq_tol(price[0].rule.mean, price[0].over_without_rule - price[0].over_with_rule, 1e-9);
        if (n == 2) {
            ck_assert(price[1].task == H && price[1].dropped == 0 && price[1].rule.mean == 0);
            ck_assert_double_eq(price[1].over_with_rule, price[0].over_with_rule);
        }
        wr_free(price);
    }
    made_excursion_release(&e);
}
END_TEST

/* However few the days, every posterior draw is looked at. */
START_TEST(few_days_are_of_all_draws)
{
    struct made_excursion e = {0};
    const struct wr_whatif_options options = {.n_trial = 30, .seed = 1, .n_thread = 1};
    const struct wr_sim_limit limit = {.lanes = 3, .minutes = 1};
    unsigned char left_out[N_TASK] = {[A] = 1, [G] = 1, [H] = 1, [B] = 1};
    struct wr_whatif w = {0};

    made_excursion_plan(&e, task, N_TASK, 0.1, 3);
    const struct wr_variant base = {.name = "base", .net = &e.net, .durations = &e.durations, .limit = &limit,
                                    .n_limit = 1};
    const struct wr_variant nothing = {.name = "nothing", .drop = left_out};
    ck_assert_int_eq(wr_whatif_run(&w, &base, &nothing, 1, &options, NULL), WR_OK);
    ck_assert(w.n_trial == 30 && w.n_draw == 3);
    ck_assert_double_eq_tol(w.base_over[0], 1, 1e-9); /* 40 min against one */
    ck_assert_double_eq_tol(w.row[0].limit[0].prob_over, 0, 1e-9);
    ck_assert_double_eq_tol(w.row[0].limit[0].gain.mean, 1, 1e-9);
    wr_whatif_release(&w);
    made_excursion_release(&e);
}
END_TEST

/* A rule that never drops anything changes nothing, however either timeline is reckoned: no draw is better. */
START_TEST(an_idle_rule_is_no_better)
{
    const struct made_task plain[] = {{.id = "A", .median_min = 40, .sigma = 0.2}, {.id = "B", .median_min = 10,
                                                                                    .sigma = 0.2}};
    const struct made_task idle[] = {{.id = "A", .median_min = 40, .sigma = 0.2},
                                     {.id = "B", .median_min = 10, .sigma = 0.2, .drop_after_min = 4000}};
    struct made_excursion e = {0}, ruled = {0};
    const struct wr_whatif_options options = {.n_trial = 4000, .seed = 1, .n_thread = 1};
    const struct wr_sim_limit limit = {.lanes = 1, .minutes = 60};
    struct wr_whatif w = {0};

    made_excursion_plan(&e, plain, 2, 0.1, 100);
    made_excursion_plan(&ruled, idle, 2, 0.1, 100);
    for (size_t j = 0; j < 100; j++) e.durations.centre_log[j] = log(35 + 0.1 * (double)j);
    const struct wr_variant base = {.name = "base", .net = &e.net, .durations = &e.durations, .limit = &limit,
                                    .n_limit = 1};
    const struct wr_variant both[] = {{.name = "rule", .net = &ruled.net}, {.name = "none"}};
    ck_assert_int_eq(wr_whatif_run(&w, &base, both, 2, &options, NULL), WR_OK);
    for (size_t i = 0; i < 2; i++) {
        ck_assert_double_eq_tol(w.row[i].limit[0].gain.mean, 0, 1e-12);
        ck_assert_double_eq(w.row[i].share_better_than_base, 0.5);
    }
    ck_assert(w.row[0].share_better_than_next == 0.5 && !w.row[0].told_apart);
    wr_whatif_release(&w);
    made_excursion_release(&e);
    made_excursion_release(&ruled);
}
END_TEST

Suite *suite_drop_prices(void);
Suite *suite_drop_prices(void)
{
    Suite *s = suite_create("drop_prices");
    TCase *t = tcase_create("drop_prices");

    tcase_add_test(t, a_rule_is_priced_by_what_it_drops);
    tcase_add_test(t, few_days_are_of_all_draws);
    tcase_add_test(t, an_idle_rule_is_no_better);
    suite_add_tcase(s, t);
    return s;
}
