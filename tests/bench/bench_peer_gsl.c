/* The forecast of bench_engine.c as one would write it in plain C with GSL: one trial after the other in double
 * precision, the default generator, percentiles by sorting. `lognormal` draws with gsl_ran_lognormal, `ziggurat` with
 * gsl_ran_gaussian_ziggurat and exp.
 *   bench_peer_gsl lognormal|ziggurat PLAN TRIALS */
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/network/network.h"

static const double tau = 0.1, limits_min[] = {420, 450};

int main(int argc, char **argv)
{
    struct wr_plan plan = {0};
    struct wr_network net = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {0};

    if (argc != 4 || wr_plan_read(&plan, argv[2], &findings, &err) != WR_OK ||
        wr_network_build(&net, &plan, &err) != WR_OK) {
        fprintf(stderr, "bench_peer_gsl: %s\n", err.text);
        return 1;
    }
    size_t n = (size_t)strtod(argv[3], NULL), n_task = plan.n_task, over[2] = {0};
    bool ziggurat = strcmp(argv[1], "ziggurat") == 0;
    double *mu = WR_NEW_ARRAY(double, n_task), *sigma = WR_NEW_ARRAY(double, n_task), *d = WR_NEW_ARRAY(double, n_task);
    double *start = WR_NEW_ARRAY(double, n_task), *end = WR_NEW_ARRAY(double, n_task),
           *z = WR_NEW_ARRAY(double, n_task);
    double *z_f = WR_NEW_ARRAY(double, n_task), *finish = WR_NEW_ARRAY(double, n), r_f = 0, sum = 0, squares = 0;
    unsigned char *path = WR_NEW_ARRAY(unsigned char, n_task);
    size_t *on_path = WR_NEW_ARRAY(size_t, n_task);
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    for (size_t k = 0; k < n_task; k++) {
        mu[k] = log(plan.task[k].median_min.value);
        sigma[k] = plan.task[k].sdlog.value;
    }
    for (size_t t = 0; t < n; t++) {
        double r = ziggurat ? gsl_ran_gaussian_ziggurat(rng, 1) : gsl_ran_gaussian(rng, 1);
        for (size_t k = 0; k < n_task; k++) {
            if (ziggurat) {
                z[k] = gsl_ran_gaussian_ziggurat(rng, 1);
                d[k] = exp(mu[k] + sigma[k] * z[k] + tau * r);
            } else {
                d[k] = gsl_ran_lognormal(rng, mu[k] + tau * r, sigma[k]);
                z[k] = (log(d[k]) - mu[k] - tau * r) / sigma[k];
            }
        }
        finish[t] = wr_network_forward(&net, d, start, end, NULL);
        wr_network_longest_path(&net, WR_FINISH, start, end, NULL, path);
        double dev = finish[t] - 370;
        for (size_t k = 0; k < n_task; k++) {
            on_path[k] += path[k];
            z_f[k] += z[k] * dev;
        }
        r_f += r * dev;
        sum += finish[t];
        squares += dev * dev;
        for (size_t i = 0; i < 2; i++) over[i] += finish[t] > limits_min[i];
    }
    gsl_sort(finish, 1, n);
    double mean = sum / (double)n, var = squares / (double)n - (mean - 370) * (mean - 370), shares = 0;
    for (size_t k = 0; k < n_task; k++) shares += pow(z_f[k] / (double)n, 2) / var;
    printf("mean %.3f p50 %.3f p95 %.3f over %.5f %.5f second on path %.4f run effect %.4f of %.4f\n", mean,
           finish[n / 2], finish[n / 20 * 19], (double)over[0] / (double)n, (double)over[1] / (double)n,
           (double)on_path[1] / (double)n, pow(r_f / (double)n, 2) / var, shares);
    return 0;
}
