/* Cut-offs: invariants on random networks, exhaustive search on small ones, and simulations of the test's own that only
 * keep the days on which the task began then. */
#include <check.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>
#include "made_excursion.h"
#include "made_plan.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/update.h"

enum { MOST = 40 };

static struct wr_cutoff_limit whole(const struct made_excursion *e, double minutes, double confidence)
{
    return (struct wr_cutoff_limit){{.lanes = (1u << e->net.n_lane) - 1, .minutes = minutes}, confidence};
}

static struct wr_cutoff_card card_for(struct made_excursion *e, const struct wr_cutoff_limit *limit, size_t n_limit,
                                      const struct wr_cutoff_options *options)
{
    struct wr_cutoff_card card = {0};
    struct wr_error err;

    const struct wr_basis basis = made_excursion_basis(e);
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e->scenarios, limit, n_limit, options, &err), WR_OK);
    return card;
}

static double median_finish(const struct made_excursion *e)
{
    double median[MOST], end[MOST];

    for (size_t k = 0; k < e->net.n_task; k++) median[k] = exp(e->durations.centre_log[k * e->durations.n_draw]);
    return wr_network_forward(&e->net, median, NULL, end, NULL);
}

/* Latest start for what must be monotone: none is earlier than any; NAN where it cannot be told. */
static double latest_of(const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_FOUND ? row->latest_start_min : row->reason == WR_CUTOFF_TOO_FEW ? NAN : -1;
}

/* From limits that no day keeps to such that every day does, before the day and during it. The latest start never falls
 * when the limit grows or the confidence falls; it is at or after the usual start only if as many as wanted stay inside
 * from there, and if so, where no rule drops work: then no earlier start is outside; and nothing is inside a limit that
 * every day passes. */
START_TEST(cutoffs_do_not_contradict_each_other)
{
    static const double confidence[] = {0.5, 0.8, 0.9, 0.97};
    enum { N_TASK = 8, N_LENGTH = 12, N_LIMIT = N_LENGTH * 4 };
    unsigned long long state = 900 + (unsigned long long)_i;
    struct made_excursion e = {0};
    struct wr_now_state now = {.n_task = N_TASK};
    struct wr_cutoff_options options = {.n_thread = 2, .now = _i % 2 ? &now : NULL, .imposed = _i % 8 == 6};
    struct wr_cutoff_limit limit[N_LIMIT];
    unsigned char ahead[N_TASK] = {WR_NOW_AHEAD}, kept[N_TASK] = {WR_NOW_KEPT};

    const bool has_rules = _i % 4 > 1;
    made_excursion_random(&e, N_TASK, 2 + (size_t)_i % 2, _i % 3 == 2 ? 0 : 0.12, has_rules, &state);
    made_excursion_days(&e, 1000, 1);
    double middle = median_finish(&e);
    now.state = ahead; /* it is late, and nothing has begun */
    now.rule = kept;
    now.now_min = 0.5 * middle;
    for (int i = 0; i < N_LIMIT; i++)
        limit[i] = whole(&e, middle * (i < 4 ? 0.1 : 0.7 + 0.08 * (i / 4)), confidence[i % 4]);
    struct wr_cutoff_card card = card_for(&e, limit, N_LIMIT, &options);
    int n_too_few = 0;
    for (int i = 0; i < N_LIMIT; i++) {
        for (size_t k = 0; k < N_TASK; k++) {
            const struct wr_cutoff_row *row = &card.list[i].row[k];
            double latest = latest_of(row);
            if (row->reason == WR_CUTOFF_NOT_BEFORE_LIMIT) continue;
            n_too_few += isnan(latest);
            if (isnan(latest)) continue;
            if (i >= 4) ck_assert(!(latest_of(&card.list[i - 4].row[k]) > latest));
            if (i % 4) ck_assert(!(latest_of(&card.list[i - 1].row[k]) < latest));
            bool inside = row->prob_inside_at_typical >= limit[i].confidence,
                 in_time = latest >= row->typical_start_min;
            if (!row->usually_dropped && !(has_rules && inside))
                ck_assert_msg(inside == in_time, "limit %d, task %zu: %g inside from %g, latest %g", i, k,
                              row->prob_inside_at_typical, row->typical_start_min, latest);
            if (card.list[i].prob_over == 1) ck_assert(latest < row->typical_start_min);
        }
    }
    ck_assert_double_eq(card.list[0].prob_over, 1);
    ck_assert_double_lt(card.list[N_LIMIT - 1].prob_over, has_rules || options.now ? 1 : 0.5);
    ck_assert_int_le(n_too_few, N_LIMIT * N_TASK / 8); /* of late moments that few days reach */
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

enum { SEEN_TASKS = 8, SEEDS = 24, SEEN_CAMPAIGNS = 4 };

/* Variance of the cut-offs over seeds, over the mean of what is stated, both summed over tasks found with every
 * seed. */
static double scatter_over_stated(unsigned number, bool even)
{
    unsigned long long state = 300 + number;
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 2};
    double at[SEEN_TASKS][SEEDS], error[SEEN_TASKS][SEEDS], stated = 0, scatter = 0;

    e.even = even;
    made_excursion_random(&e, SEEN_TASKS, 2, 0.12, number >= 2, &state);
    struct wr_cutoff_limit limit = whole(&e, median_finish(&e) * 1.2, 0.85);
    for (size_t s = 0; s < SEEDS; s++) {
        made_excursion_days(&e, 3000, 100 + s);
        struct wr_cutoff_card card = card_for(&e, &limit, 1, &options);
        for (size_t k = 0; k < SEEN_TASKS; k++) {
            const struct wr_cutoff_row *row = &card.list[0].row[k];
            bool found = row->reason == WR_CUTOFF_FOUND && !row->drop_rule_first && row->mc_error_min > 0;
            at[k][s] = found ? row->latest_start_min : NAN;
            error[k][s] = row->mc_error_min;
        }
        wr_cutoff_release(&card);
    }
    for (size_t k = 0; k < SEEN_TASKS; k++) {
        double sum = 0;
        for (size_t s = 0; s < SEEDS; s++) sum += at[k][s];
        for (size_t s = 0; s < SEEDS && !isnan(sum); s++) {
            scatter += pow(at[k][s] - sum / SEEDS, 2) / (SEEDS - 1);
            stated += error[k][s] * error[k][s] / SEEDS;
        }
    }
    ck_assert(scatter > 0);
    made_excursion_release(&e);
    return scatter / stated;
}

/* The stated error is what other seeds make of it. Where the tasks of a campaign move as one, which is the widest case,
 * and the stated error is true, the ratio is chi-squared with SEEDS - 1 degrees of freedom over their number, and the
 * mean over four campaigns one with four times as many: 1 in 1,000 to either side, 0.61 to 1.52. An error that leaves
 * out half of the variance makes it 2. (200 seeds each: 1.13, 1.04, 0.98, 0.96.) */
START_TEST(the_stated_error_is_the_scatter_over_seeds)
{
    double ratio = 0, df = SEEN_CAMPAIGNS * (SEEDS - 1);

    for (unsigned i = 0; i < SEEN_CAMPAIGNS; i++) ratio += scatter_over_stated(i, _i) / SEEN_CAMPAIGNS;
    ck_assert_msg(ratio > gsl_cdf_chisq_Pinv(1e-3, df) / df && ratio < gsl_cdf_chisq_Qinv(1e-3, df) / df,
                  "variance over seeds %.3f times what is stated", ratio);
}
END_TEST

/* Fixed minutes, drop rules and moments before which a task may not begin: every start in steps of a quarter minute is
 * tried, from the earliest on, until the finish is late. */
static double exhaustive(const struct made_excursion *e, size_t k, double limit)
{
    double minutes[MOST], start[MOST], end[MOST], floor_min[MOST], last = -1;
    struct wr_network net = e->net;

    for (size_t i = 0; i < net.n_task; i++) minutes[i] = e->durations.source[i].p[0];
    memcpy(floor_min, net.not_before_min, net.n_task * sizeof *floor_min);
    net.not_before_min = floor_min;
    wr_network_forward(&net, minutes, start, end, NULL);
    for (double s = start[k]; s <= limit; s += 0.25) {
        floor_min[k] = s;
        if (wr_network_forward(&net, minutes, start, end, NULL) > limit) break;
        last = s;
    }
    return last;
}

START_TEST(fixed_minutes_against_every_start)
{
    enum { DAYS_LONG = 30 };
    unsigned long long state = 500 + (unsigned long long)(_i % DAYS_LONG);
    const double scale = _i < DAYS_LONG ? 1 : 60; /* minutes, or hours: an excursion of days */
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 1};

    made_excursion_random(&e, 7, 2, 0.1, true, &state);
    for (size_t k = 0; k < 7; k++) {
        e.durations.source[k].kind = WR_SRC_FIXED;
        e.durations.source[k].p[0] = scale * floor(1 + 30 * made_uniform(&state));
        e.net.not_before_min[k] = scale * floor(e.net.not_before_min[k]);
        if (isfinite(e.net.drop_after_min[k])) e.net.drop_after_min[k] = scale * floor(e.net.drop_after_min[k]);
    }
    made_excursion_days(&e, 100, 1);
    double minutes[MOST], start[MOST], end[MOST];
    for (size_t k = 0; k < 7; k++) minutes[k] = e.durations.source[k].p[0];
    double limit_min = wr_network_forward(&e.net, minutes, start, end, NULL) +
                       scale * (floor(25 * made_uniform(&state)) - 3);
    struct wr_cutoff_limit limit = whole(&e, limit_min, 0.9);
    struct wr_cutoff_card card = card_for(&e, &limit, 1, &options);
    for (size_t k = 0; k < 7; k++) {
        const struct wr_cutoff_row *row = &card.list[0].row[k];
        double expected = fmin(exhaustive(&e, k, limit_min), e.net.drop_after_min[k]);
        ck_assert_int_eq(row->method, WR_CUTOFF_IMPOSED);
        if (expected < 0) ck_assert_int_eq(row->reason, WR_CUTOFF_NEVER);
        else ck_assert_msg(fabs(row->latest_start_min - expected) < 1e-6, "task %zu: %.9g, every start: %.9g", k,
                           row->latest_start_min, expected);
    }
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* ---- days of the test's own ---- */

struct own_days {
    gsl_rng *rng;
    const struct made_excursion *e;
    double b;
};

/* One day drawn by GSL's generators; skew errors as duration_model.h defines them. */
static double own_day(struct own_days *o, double start[MOST])
{
    double minutes[MOST], end[MOST];
    const struct wr_durations *d = &o->e->durations;
    double rho = d->rho[0], unit = sqrt(1 - 2 * rho * rho / M_PI);

    o->b = d->tau[0] * gsl_ran_gaussian_ziggurat(o->rng, 1);
    for (size_t k = 0; k < d->n_task; k++) {
        double h = fabs(gsl_ran_gaussian_ziggurat(o->rng, 1)), z = gsl_ran_gaussian_ziggurat(o->rng, 1);
        double error = (rho * (h - sqrt(2 / M_PI)) + sqrt(1 - rho * rho) * z) / unit;
        minutes[k] = exp(d->centre_log[k] + d->spread_log[k] * error + o->b);
    }
    return wr_network_forward(&o->e->net, minutes, start, end, NULL);
}

struct kept {
    double n, inside, probability_stated;
};

/* Of days on which task k began within half_width of its cut-off, as many as wanted stay inside. */
START_TEST(days_that_begin_at_the_cutoff_stay_inside_as_stated)
{
    static const struct {
        const char *what;
        double tau, rho;
        bool rules;
    } cases[] = {{"plain", 0.12, 0, false},
                 {"skew errors", 0.1, 0.8, false},
                 {"rules", 0.1, 0, true},
                 {"no run effect", 0, 0, true}};
    enum { N = 250000, N_TASK = 9 };
    unsigned long long seed = 7 + (unsigned long long)_i;
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 2};
    struct kept kept[N_TASK] = {{0}};
    double start[MOST];

    made_excursion_random(&e, N_TASK, 2, cases[_i].tau, cases[_i].rules, &seed);
    e.durations.rho[0] = cases[_i].rho;
    made_excursion_days(&e, 8000, 1);
    struct wr_cutoff_limit limit = whole(&e, median_finish(&e) * 1.2, 0.85);
    struct wr_cutoff_card card = card_for(&e, &limit, 1, &options);
    struct own_days days = {gsl_rng_alloc(gsl_rng_mt19937), &e, 0};
    for (int i = 0; i < N; i++) {
        double finish = own_day(&days, start);
        for (size_t k = 0; k < N_TASK; k++) {
            const struct wr_cutoff_row *row = &card.list[0].row[k];
            if (row->reason != WR_CUTOFF_FOUND || row->method == WR_CUTOFF_IMPOSED || row->drop_rule_first) continue;
            if (fabs(start[k] - row->latest_start_min) > 0.01 * row->latest_start_min) continue;
            kept[k].n++;
            kept[k].inside += finish <= limit.limit.minutes;
        }
    }
    int n_compared = 0;
    for (size_t k = 0; k < N_TASK; k++) {
        if (kept[k].n < 300) continue;
        double share = kept[k].inside / kept[k].n, slope = 0.015; /* g falls by less than that in a window of 1 % either
                                                                     way */
        double error = sqrt(0.85 * 0.15 / kept[k].n + pow(0.02 * card.list[0].row[k].mc_error_min, 2));
        ck_assert_msg(fabs(share - 0.85) < 4 * error + slope, "%s, task %zu: %.4f of %.0f days inside, not 0.85",
                      cases[_i].what, k, share, kept[k].n);
        n_compared++;
    }
    ck_assert_int_ge(n_compared, 3);
    gsl_rng_free(days.rng);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* A, then B that may not begin before 45 min, then C. At 45 all days count on which A took less; later the start says
 * what A took. Both by sums over the run effect here. */
static double inside_given_end_of_a(double from, double to, double limit, double at)
{
    double sum = 0, total = 0;

    for (int i = 0; i < 4000; i++) {
        double b = -6 + 12 * (i + 0.5) / 4000, weight = exp(-b * b / 2), a_mean = log(40) + 0.1 * b;
        double reach = from < to ? gsl_cdf_gaussian_P(log(to) - a_mean, 0.15) -
                                       (from > 0 ? gsl_cdf_gaussian_P(log(from) - a_mean, 0.15) : 0)
                                 : gsl_ran_gaussian_pdf(log(to) - a_mean, 0.15);
        total += weight * reach;
        sum += weight * reach * gsl_cdf_gaussian_P(log(limit - at) - log(60) - 0.1 * b, 0.2);
    }
    return sum / total;
}

static double root_of_later_starts(double limit, double confidence)
{
    double lo = 45, hi = limit;

    while (hi - lo > 1e-6) {
        double mid = (lo + hi) / 2;
        if (inside_given_end_of_a(mid, mid, limit, mid) >= confidence) lo = mid;
        else hi = mid;
    }
    return lo;
}

START_TEST(not_before_puts_probability_on_one_start)
{
    const struct made_task task[] = {{.id = "A", .median_min = 40, .sigma = 0.15},
                                     {.id = "B", .median_min = 60, .sigma = 0.2, .not_before_min = 45}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 1};
    double limit_min = 125;

    made_excursion_plan(&e, task, 2, 0.1, 1);
    made_excursion_days(&e, 16000, 1);
    double at_45 = inside_given_end_of_a(0, 45, limit_min, 45),
           later = inside_given_end_of_a(45.0001, 45.0001, limit_min, 45.0001);
    ck_assert_double_gt(at_45, later + 0.02);
    struct wr_cutoff_limit limit[] = {whole(&e, limit_min, later - 0.05), whole(&e, limit_min, (at_45 + later) / 2),
                                      whole(&e, limit_min, at_45 + 0.02)};
    struct wr_cutoff_card card = card_for(&e, limit, 3, &options);
    const struct wr_cutoff_row *row = &card.list[0].row[1];
    ck_assert(card.list[0].row[0].start_is_fixed && !row->start_is_fixed); /* on many days is not on all */
    ck_assert_double_eq_tol(row->prob_inside_at_typical, at_45, 4 * sqrt(at_45 * (1 - at_45) / 8000));
    ck_assert_double_eq_tol(row->latest_start_min, root_of_later_starts(limit_min, later - 0.05),
                            4 * row->mc_error_min);
    ck_assert_double_lt(row->mc_error_min, 0.5);
    row = &card.list[1].row[1]; /* inside at 45, outside just after it */
    ck_assert_int_eq(row->reason, WR_CUTOFF_FOUND);
    ck_assert_double_eq_tol(row->latest_start_min, 45, 1e-6);
    ck_assert(row->at_earliest && !card.list[0].row[1].at_earliest);
    ck_assert_int_eq(card.list[2].row[1].reason, WR_CUTOFF_NEVER);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* Held from outside: A took what it takes, then B begins at s in any case. P = Phi(ln((L - s)/median of B) / hypot). */
START_TEST(a_hold_tells_nothing)
{
    const struct made_task task[] = {{.id = "A", .median_min = 40, .sigma = 0.15},
                                     {.id = "B", .median_min = 60, .sigma = 0.2}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 1, .imposed = true};

    made_excursion_plan(&e, task, 2, 0.1, 1);
    made_excursion_days(&e, 16000, 1);
    struct wr_cutoff_limit limit = whole(&e, 240, 0.9);
    struct wr_cutoff_card card = card_for(&e, &limit, 1, &options);
    const struct wr_cutoff_row *row = &card.list[0].row[1];
    double quantile = 60 * exp(gsl_cdf_ugaussian_Pinv(0.9) * hypot(0.2, 0.1));
    double density = gsl_ran_ugaussian_pdf(gsl_cdf_ugaussian_Pinv(0.9)) / (quantile * hypot(0.2, 0.1));
    ck_assert_int_eq(row->method, WR_CUTOFF_IMPOSED);
    ck_assert_double_eq_tol(row->latest_start_min, 240 - quantile, 4 * sqrt(0.09 / 16000) / density);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* B1 and C1 begin at 0 whatever the day, so that a later start of theirs can only be imposed; a late B2 tells of a slow
 * day, and is to begin by less than a B1 held back would leave it. Standard error of the median of B1's minutes: 1.25
 * times 40 sqrt(0.2^2 + 0.15^2) / sqrt(4000), 0.2 min. With fixed minutes after it, too, none is left less time. */
START_TEST(no_start_is_left_later_than_the_next_one_allows)
{
    const struct made_task task[] = {{.id = "F1", .median_min = 5},
                                     {.id = "F2", .median_min = 7},
                                     {.id = "C1", .crew = "2", .median_min = 90, .sigma = 0.2},
                                     {.id = "B1", .median_min = 40, .sigma = 0.2},
                                     {.id = "B2", .median_min = 20, .sigma = 0.2},
                                     {.id = "J", .crew = "1+2", .after = "B2", .median_min = 60, .sigma = 0.2}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 1}, one = {.n_thread = 1, .task = (size_t[]){1}, .n_task = 1},
                             held = {.n_thread = 1, .imposed = true};

    made_excursion_plan(&e, task, 6, 0.15, 1);
    made_excursion_days(&e, 4000, 1);
    struct wr_cutoff_limit limit = whole(&e, 205, 0.9);
    struct wr_cutoff_card card = card_for(&e, &limit, 1, &options), alone = card_for(&e, &limit, 1, &one),
                          outside = card_for(&e, &limit, 1, &held);
    const struct wr_cutoff_row *row = card.list[0].row;
    for (int k = 0; k < 6; k++) ck_assert_int_eq(row[k].reason, WR_CUTOFF_FOUND);
    ck_assert_int_ne(row[4].method, WR_CUTOFF_IMPOSED);
    ck_assert_double_eq_tol(row[3].latest_start_min, row[4].latest_start_min - 40, 0.8);
    ck_assert_double_eq_tol(row[1].latest_start_min, row[3].latest_start_min - 7, 1e-9);
    ck_assert_double_eq_tol(row[0].latest_start_min, row[1].latest_start_min - 5, 1e-9);
    ck_assert_double_eq(row[1].slack_min, row[1].latest_start_min - 5);
    ck_assert_double_gt(outside.list[0].row[3].latest_start_min, row[3].latest_start_min + 3);
    ck_assert_double_eq(alone.list[0].row[0].latest_start_min, row[1].latest_start_min);
    wr_cutoff_release(&outside);
    wr_cutoff_release(&alone);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

START_TEST(the_same_for_any_number_of_threads)
{
    unsigned long long state = 9;
    struct made_excursion e = {0};
    struct wr_cutoff_options one = {.n_thread = 1}, many = {.n_thread = 5};

    made_excursion_random(&e, 8, 2, 0.1, true, &state);
    made_excursion_days(&e, 1000, 1);
    struct wr_cutoff_limit limit = whole(&e, median_finish(&e) * 1.2, 0.9);
    struct wr_cutoff_card a = card_for(&e, &limit, 1, &one), b = card_for(&e, &limit, 1, &many);
    for (size_t k = 0; k < 8; k++) {
        const struct wr_cutoff_row *p = &a.list[0].row[k], *q = &b.list[0].row[k];
        ck_assert(p->reason == q->reason && p->latest_start_min == q->latest_start_min
                  && p->mc_error_min == q->mc_error_min && p->second_to_min == q->second_to_min);
    }
    wr_cutoff_release(&a);
    wr_cutoff_release(&b);
    made_excursion_release(&e);
}
END_TEST

/* A lane's own limit knows nothing of a task that only the other lane waits for; a droppable task has its rule before
 * its cut-off; several limits are passed together less often than their sum. */
START_TEST(limits_of_lanes_and_clocks)
{
    const struct made_task task[] = {{.id = "A", .crew = "1+2", .median_min = 20, .sigma = 0.2},
                                     {.id = "B", .crew = "1", .median_min = 50, .sigma = 0.2},
                                     {.id = "C", .crew = "2", .median_min = 40, .sigma = 0.2},
                                     {.id = "G", .crew = "1", .median_min = 10, .sigma = 0.2, .drop_after_min = 75},
                                     {.id = "D", .crew = "2", .median_min = 30, .sigma = 0.2}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 2};

    made_excursion_plan(&e, task, 5, 0.1, 1);
    made_excursion_days(&e, 16000, 1);
    struct wr_cutoff_limit limit[] = {whole(&e, 115, 0.9),
                                      {{.lanes = 1, .minutes = 105}, 0.9},
                                      {{.lanes = 3, .is_clock = true, .from = 2, .to = 4, .minutes = 85}, 0.9}};
    struct wr_cutoff_card card = card_for(&e, limit, 3, &options);
    ck_assert_int_eq(card.list[1].row[2].reason, WR_CUTOFF_NOT_BEFORE_LIMIT);
    ck_assert_int_eq(card.list[1].row[1].reason, WR_CUTOFF_FOUND);
    ck_assert_int_eq(card.list[2].row[1].reason, WR_CUTOFF_NOT_BEFORE_LIMIT);
    ck_assert_int_eq(card.list[2].row[4].reason, WR_CUTOFF_FOUND);
    ck_assert(card.list[2].row[4].latest_start_min < 85); /* a reading of the clock */
    ck_assert_int_eq(card.list[0].row[3].reason, WR_CUTOFF_FOUND);
    ck_assert(card.list[0].row[3].drop_rule_first && card.list[0].row[3].latest_start_min == 75);
    double sum = 0, most = 0;
    for (int l = 0; l < 3; l++) {
        sum += card.list[l].prob_over;
        most = fmax(most, card.list[l].prob_over);
    }
    ck_assert(card.prob_any_over > most && card.prob_any_over < sum);
    for (size_t k = 0; k < 5; k++)
        if (card.list[0].row[k].reason == WR_CUTOFF_FOUND)
            ck_assert_double_eq_tol(card.list[0].row[k].slack_min,
                                    card.list[0].row[k].latest_start_min - card.list[0].row[k].typical_start_min, 1e-9);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* Whatever A took, the rest is fixed: B may begin until 100 - 51, and again from 64 on, for then C is dropped, until
 * 100 - 11; so too where it usually begins at 70, but until no time where C takes 90. C may begin until 50; from its
 * own drop_after on it does not begin, so that nothing opens for it. */
START_TEST(again_inside_when_other_work_is_dropped)
{
    const struct made_task task[] = {{.id = "A", .median_min = _i < 2 ? 55 : 68, .sigma = 0.2},
                                     {.id = "B", .median_min = 1},
                                     {.id = "C", .median_min = _i < 3 ? 40 : 90, .drop_after_min = 65},
                                     {.id = "D", .median_min = 10}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 1, .imposed = _i == 1};

    made_excursion_plan(&e, task, 4, 0, 1);
    made_excursion_days(&e, 4000, 1);
    struct wr_cutoff_limit limit = whole(&e, 100, _i == 1 ? 0.4 : 0.9); /* held, A is as slow as ever */
    struct wr_cutoff_card card = card_for(&e, &limit, 1, &options);
    const struct wr_cutoff_row *b = &card.list[0].row[1], *c = &card.list[0].row[2];
    ck_assert_int_eq(b->reason, _i < 3 ? WR_CUTOFF_FOUND : WR_CUTOFF_NEVER);
    if (_i < 3) ck_assert_double_eq_tol(b->latest_start_min, 49, 1); /* steps of 0.6 min, and then the chord */
    ck_assert(b->has_second_window && !b->usually_dropped);
    ck_assert_double_eq_tol(b->second_from_min, 64, 0.1);
    ck_assert_double_eq_tol(b->second_to_min, 89, 2);
    if (_i < 3) ck_assert_double_eq_tol(c->latest_start_min, 50, 1);
    ck_assert(!c->has_second_window && !c->drop_rule_first);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* Work is dropped before C, which may be dropped itself: that it just is changes nothing of its start. */
START_TEST(a_start_at_the_own_rule_is_one_like_others)
{
    const struct made_task task[] = {{.id = "A", .median_min = 40, .sigma = 0.2},
                                     {.id = "B", .median_min = 10, .sigma = 0.2, .drop_after_min = 45},
                                     {.id = "C", .median_min = 10, .sigma = 0.2, .drop_after_min = 60},
                                     {.id = "D", .median_min = 30, .sigma = 0.2}};
    const double start_min[] = {59.99, 60, 60.001, 60.01};
    const struct wr_cutoff_options options = {.n_thread = 1};
    struct made_excursion e = {0};
    struct wr_error err;
    double inside[4], effective[4];

    made_excursion_plan(&e, task, 4, 0.1, 1);
    made_excursion_days(&e, 4000, 1);
    const struct wr_cutoff_limit limit = whole(&e, 95, 0.9);
    ck_assert_int_eq(wr_cutoff_curve(inside, effective, start_min, 4, 2, &e.net, &e.durations, &e.scenarios, &limit,
                                     &options, &err),
                     WR_OK);
    for (int i = 1; i < 4; i++) ck_assert_double_eq_tol(effective[i] / effective[0], 1, 0.02);
    for (int i = 1; i < 4; i++) ck_assert_double_eq_tol(inside[i], inside[0], 0.01); /* given that it begins */
    made_excursion_release(&e);
}
END_TEST

START_TEST(what_cannot_be_answered)
{
    const struct made_task task[] = {{.id = "A", .median_min = 40, .sigma = 0.15},
                                     {.id = "B", .median_min = 60, .sigma = 0.2}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 1};
    struct wr_cutoff_card card = {0};
    struct wr_error err;

    made_excursion_plan(&e, task, 2, 0, 1); /* without a run effect an early start says nothing about B */
    made_excursion_days(&e, 99, 1);
    struct wr_cutoff_limit limit = whole(&e, 240, 0.9);
    const struct wr_basis basis = made_excursion_basis(&e);
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e.scenarios, &limit, 1, &options, &err), WR_E_USAGE);
    made_excursion_days(&e, 1000, 1);
    limit.confidence = 1;
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e.scenarios, &limit, 1, &options, &err), WR_E_DOMAIN);
    limit = whole(&e, 0, 0.9);
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e.scenarios, &limit, 1, &options, &err), WR_E_DOMAIN);
    limit = whole(&e, 40, 0.999); /* B alone takes longer: no start of it is early enough, nor is one of A */
    ck_assert_int_eq(wr_cutoff_make(&card, &basis, &e.scenarios, &limit, 1, &options, &err),
                     WR_E_TOO_FEW); /* one day beyond */
    ck_assert_ptr_nonnull(strstr(err.text, "more than 1000: write --trials 4000"));
    made_excursion_days(&e, 4000, 1);
    card = card_for(&e, &limit, 1, &options);
    ck_assert_int_eq(card.list[0].row[0].reason, WR_CUTOFF_NEVER);
    ck_assert_int_eq(card.list[0].row[1].reason, WR_CUTOFF_NEVER);
    ck_assert(card.list[0].row[1].latest_start_min == 0);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* Two tasks one after the other. How long the first took says how the day goes: given that, the run effect is normal,
 * and the second task's minutes lognormal with what is left of its variance. */
START_TEST(share_inside_given_the_start)
{
    const double tau = 0.12, first_sd = 0.15, second_sd = 0.2, limit_min = 110;
    const struct made_task task[] = {{.id = "A", .median_min = 40, .sigma = first_sd},
                                     {.id = "B", .after = "A", .median_min = 60, .sigma = second_sd}};
    const double start[] = {30, 36, 42, 48, 54, 1e12}, total = tau * tau + first_sd * first_sd;
    enum { N = sizeof start / sizeof *start };
    double inside[N], effective[N], again[N];
    struct made_excursion e = {.even = true};
    struct wr_cutoff_options options = {.n_thread = 1};
    struct wr_error err;

    made_excursion_plan(&e, task, 2, tau, 1);
    made_excursion_days(&e, 14000, 5);
    struct wr_cutoff_limit limit = whole(&e, limit_min, 0.9);
    ck_assert_int_eq(wr_cutoff_curve(inside, effective, start, N, 1, &e.net, &e.durations, &e.scenarios, &limit,
                                     &options, &err), WR_OK);
    for (size_t i = 0; i + 1 < N; i++) {
        double b = log(start[i] / 40) * tau * tau / total, rest = tau * tau * first_sd * first_sd / total;
        double p = gsl_cdf_ugaussian_P((log((limit_min - start[i]) / 60) - b) / sqrt(second_sd * second_sd + rest));
        ck_assert_msg(fabs(inside[i] - p) < 4 * sqrt(p * (1 - p) / effective[i]) + 0.002, "from %g: %.4f, not %.4f",
                      start[i], inside[i], p);
        ck_assert_double_gt(effective[i], 1000);
    }
    ck_assert(effective[N - 1] == 0 && inside[N - 1] == inside[N - 2]); /* no day begins it so late */
    ck_assert_int_eq(wr_cutoff_curve(again, NULL, start, N, 1, &e.net, &e.durations, &e.scenarios, &limit, &options,
                                     &err), WR_OK);
    ck_assert_int_eq(memcmp(again, inside, sizeof inside), 0);
    limit.limit.minutes = INFINITY;
    ck_assert_int_eq(wr_cutoff_curve(again, NULL, start, N, 1, &e.net, &e.durations, &e.scenarios, &limit, &options,
                                     &err), WR_E_DOMAIN);
    made_excursion_release(&e);
}
END_TEST

/* What a limit asks of a start has nothing to do with what others ask. */
START_TEST(limits_beside_each_other_change_nothing)
{
    const struct made_task task[] = {{.id = "A", .crew = "1+2", .median_min = 20, .sigma = 0.2},
                                     {.id = "B", .crew = "1", .median_min = 50, .sigma = 0.2},
                                     {.id = "C", .crew = "2", .median_min = 40, .sigma = 0.2},
                                     {.id = "D", .crew = "2", .median_min = 30, .sigma = 0.2}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 2};

    made_excursion_plan(&e, task, 4, 0.1, 1);
    made_excursion_days(&e, 4000, 1);
    const struct wr_cutoff_limit limit[] = {whole(&e, 110, 0.9),
                                            {{.lanes = 3, .is_clock = true, .from = 2, .to = 3, .minutes = 90}, 0.9},
                                            {{.lanes = 3, .is_clock = true, .from = 2, .to = 3, .minutes = 95}, 0.9},
                                            {{.lanes = 3, .is_clock = true, .from = 0, .to = 3, .minutes = 110}, 0.9},
                                            {{.lanes = 3, .is_clock = true, .from = 2, .to = 2, .minutes = 60}, 0.9},
                                            {{.lanes = 2, .minutes = 105}, 0.8}};
    enum { N = sizeof limit / sizeof *limit };
    struct wr_cutoff_card all = card_for(&e, limit, N, &options);
    for (size_t l = 0; l < N; l++) {
        struct wr_cutoff_card one = card_for(&e, &limit[l], 1, &options);
        for (size_t k = 0; k < 4; k++) {
            const struct wr_cutoff_row *a = &all.list[l].row[k], *b = &one.list[0].row[k];
            ck_assert_int_eq(a->reason, b->reason);
            ck_assert_double_eq_tol(a->latest_start_min, b->latest_start_min, 1e-9);
        }
        ck_assert_double_eq_tol(all.list[l].prob_over, one.list[0].prob_over, 1e-12);
        wr_cutoff_release(&one);
    }
    ck_assert(all.list[3].row[3].reason == WR_CUTOFF_FOUND && all.list[1].row[3].reason == WR_CUTOFF_FOUND);
    ck_assert_double_ne(all.list[3].row[3].latest_start_min, all.list[1].row[3].latest_start_min);
    wr_cutoff_release(&all);
    made_excursion_release(&e);
}
END_TEST

/* D held back to a reading of the clock that C begins: s + D stays within 185 min on nine of ten days, whatever C
 * took. */
START_TEST(a_hold_against_a_clock)
{
    const struct made_task task[] = {{.id = "C", .median_min = 40, .sigma = 0.2},
                                     {.id = "D", .median_min = 30, .sigma = 0.2}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 1, .imposed = true};
    const struct wr_cutoff_limit limit = {{.lanes = 1, .is_clock = true, .from = 0, .to = 1, .minutes = 185}, 0.9};

    made_excursion_plan(&e, task, 2, 0.1, 1);
    made_excursion_days(&e, 16000, 1);
    struct wr_cutoff_card card = card_for(&e, &limit, 1, &options);
    const struct wr_cutoff_row *row = &card.list[0].row[1];
    double z = gsl_cdf_ugaussian_Pinv(0.9), quantile = 30 * exp(z * hypot(0.2, 0.1));
    double density = gsl_ran_ugaussian_pdf(z) / (quantile * hypot(0.2, 0.1));
    ck_assert_int_eq(row->reason, WR_CUTOFF_FOUND);
    ck_assert_double_eq_tol(row->latest_start_min, 185 - quantile, 4 * sqrt(0.09 / 16000) / density);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

/* The share inside of a start that is imposed: B is held to s, or is the first of all. P = Phi(ln((L - s)/60)/sd). */
START_TEST(share_inside_given_a_hold)
{
    const struct made_task task[] = {{.id = "A", .median_min = 40, .sigma = 0.15},
                                     {.id = "B", .median_min = 60, .sigma = 0.2}};
    const double start[] = {120, 150, 165, 175}, sd = hypot(0.2, 0.1);
    enum { N = sizeof start / sizeof *start, DAYS = 16000 };
    double inside[N], effective[N];
    struct wr_error err;

    for (size_t first = 0; first < 2; first++) { /* B after A, held; B alone, that nothing makes late */
        struct made_excursion e = {0};
        const struct wr_cutoff_options options = {.n_thread = 1, .imposed = !first};
        made_excursion_plan(&e, task + first, 2 - first, 0.1, 1);
        made_excursion_days(&e, DAYS, 1);
        const struct wr_cutoff_limit limit = whole(&e, 240, 0.9);
        ck_assert_int_eq(wr_cutoff_curve(inside, effective, start, N, 1 - first, &e.net, &e.durations, &e.scenarios,
                                         &limit, &options, &err), WR_OK);
        for (size_t i = 0; i < N; i++) {
            double p = gsl_cdf_ugaussian_P(log((240 - start[i]) / 60) / sd);
            ck_assert_double_eq(effective[i], DAYS);
            ck_assert_double_eq_tol(inside[i], p, 4 * sqrt(p * (1 - p) / DAYS));
        }
        made_excursion_release(&e);
    }
}
END_TEST

/* Without a limit there is no cut-off, and nothing to go over. */
START_TEST(a_card_without_limits)
{
    const struct made_task task[] = {{.id = "A", .median_min = 40, .sigma = 0.15}};
    struct made_excursion e = {0};
    struct wr_cutoff_options options = {.n_thread = 1};

    made_excursion_plan(&e, task, 1, 0.1, 1);
    made_excursion_days(&e, 1000, 1);
    struct wr_cutoff_card card = card_for(&e, NULL, 0, &options);
    ck_assert(card.n_limit == 0 && card.n_row == 1 && card.prob_any_over == 0);
    wr_cutoff_release(&card);
    made_excursion_release(&e);
}
END_TEST

Suite *suite_cutoff(void);
Suite *suite_cutoff(void)
{
    Suite *s = suite_create("cutoff");
    TCase *t = tcase_create("cutoff");

    tcase_set_timeout(t, 120); /* sanitizers */
    tcase_add_loop_test(t, cutoffs_do_not_contradict_each_other, 0, made_plan_many(12));
    tcase_add_loop_test(t, the_stated_error_is_the_scatter_over_seeds, 0, 2);
    tcase_add_loop_test(t, fixed_minutes_against_every_start, 0, 40);
    tcase_add_loop_test(t, days_that_begin_at_the_cutoff_stay_inside_as_stated, 0, 4);
    tcase_add_test(t, not_before_puts_probability_on_one_start);
    tcase_add_test(t, a_hold_tells_nothing);
    tcase_add_test(t, no_start_is_left_later_than_the_next_one_allows);
    tcase_add_test(t, the_same_for_any_number_of_threads);
    tcase_add_test(t, limits_of_lanes_and_clocks);
    tcase_add_loop_test(t, again_inside_when_other_work_is_dropped, 0, 4);
    tcase_add_test(t, a_start_at_the_own_rule_is_one_like_others);
    tcase_add_test(t, what_cannot_be_answered);
    tcase_add_test(t, share_inside_given_the_start);
    tcase_add_test(t, limits_beside_each_other_change_nothing);
    tcase_add_test(t, a_hold_against_a_clock);
    tcase_add_test(t, share_inside_given_a_hold);
    tcase_add_test(t, a_card_without_limits);
    suite_add_tcase(s, t);
    return s;
}
