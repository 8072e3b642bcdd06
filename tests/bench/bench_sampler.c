/* The sampler of the duration model beside general samplers on the same data.
 *
 *   bench_sampler data CAMPAIGN FOLDER    FOLDER/data.R for JAGS and Stan: the table that the sampler sees
 *   bench_sampler ours CAMPAIGN [SEED]    what is monitored: mean, sd, effective draws; CPU seconds of the sampler
 *                                         alone
 *   bench_sampler coda INDEX CHAIN…       the same figures of chains that were written in CODA's format
 *
 * Effective draws are bulk ones (Vehtari et al. 2021) by one function for all. One thread. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "../../src/model/chain_check.h"
#include "wetrun/base/memory.h"
#include "wetrun/study/study.h"

static double cpu_seconds(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void quit(const char *why)
{
    fprintf(stderr, "bench_sampler: %s\n", why);
    exit(1);
}

static void row(const char *name, const double *value, size_t n_chain, size_t n_keep)
{
    size_t n = n_chain * n_keep;
    double mean = 0.0, squares = 0.0;

    for (size_t i = 0; i < n; i++) mean += value[i] / (double)n;
    for (size_t i = 0; i < n; i++) squares += (value[i] - mean) * (value[i] - mean);
    struct wr_chain_check check = wr_chain_check_of(name, value, n_chain, n_keep);
    printf("%s %.6f %.6f %.1f %.4f\n", name, mean, sqrt(squares / (double)(n - 1)), check.ess, check.rhat);
}

static void mean_row(const char *name, const double *value, size_t n_row, size_t n_chain, size_t n_keep)
{
    size_t n = n_chain * n_keep;
    double *mean = calloc(n, sizeof *mean);

    for (size_t k = 0; k < n_row; k++)
        for (size_t i = 0; i < n; i++) mean[i] += value[k * n + i] / (double)n_row;
    row(name, mean, n_chain, n_keep);
    free(mean);
}

/* ---- ours ---- */

static void ours(const struct wr_study *study, uint64_t seed)
{
    struct wr_sampler_options options = wr_sampler_default();
    struct wr_posterior post = {0};
    struct wr_error err;

    options.seed = seed;
    options.n_thread = 1;
    double before = cpu_seconds();
    if (wr_posterior_sample(&post, &study->fit.data, &study->fit_options.priors, &options, &err) != WR_OK)
        quit(err.text);
    double took = cpu_seconds() - before;
    const struct { const char *name; const double *value; } one[] = {
        {"tau", post.tau}, {"kappa", post.kappa}, {"gamma", post.gamma}, {"rho", post.rho}, {"s0", post.s0},
        {"d", post.d}, {"omega_s", post.omega_s}, {"a", post.a}, {"c", post.c}, {"omega", post.omega}};
    for (size_t i = 0; i < sizeof one / sizeof *one; i++)
        row(one[i].name, one[i].value, options.n_chain, options.n_keep);
    mean_row("mean_mu", post.mu, post.n_task, options.n_chain, options.n_keep);
    mean_row("mean_sigma", post.sigma, post.n_task, options.n_chain, options.n_keep);
    printf("cpu %.4f\n", took);
    wr_posterior_release(&post);
}

/* ---- the data for others ---- */

enum { N_SHOWN = 3 }; /* numbers to a cell besides its people: task, run, stopped */

static void list(FILE *out, const char *name, const double *value, size_t n)
{
    fprintf(out, "\"%s\" <- c(", name);
    for (size_t i = 0; i < n; i++) fprintf(out, "%s%.17g", i ? ", " : "", value[i]);
    fprintf(out, ")\n");
}

/* R's dump format, by columns. Done cells first: Stan takes the two kinds apart, JAGS looks at `stopped`. */
static void write_data(const struct wr_model_data *data, const struct wr_priors *p, FILE *out)
{
    size_t most = data->n_task * data->n_run, n = 0, n_done = 0, P = data->n_person;
    double *column[N_SHOWN], *log_min = calloc(most, sizeof(double)), *bound = calloc(most, sizeof(double));
    double *weight = calloc(most * (P + 1), sizeof(double)), *x = calloc(data->n_run, sizeof(double)), sum = 0.0;
    double *plan = calloc(data->n_task, sizeof(double));

    if (!data->log_planned || P == 0) quit("the campaign needs planned times and people");
    for (size_t v = 0; v < N_SHOWN; v++) column[v] = calloc(most, sizeof(double));
    for (int stopped = 0; stopped < 2; stopped++)
        for (size_t k = 0; k < data->n_task; k++)
            for (size_t r = 0; r < data->n_run; r++) {
                size_t at = k * data->n_run + r;
                if (data->obs[at] != (stopped ? WR_OBS_STOPPED : WR_OBS_DONE)) continue;
                column[0][n] = (double)k + 1;
                column[1][n] = (double)r + 1;
                column[2][n] = stopped;
                log_min[n] = data->log_min[at];
                for (size_t q = 0; q < P; q++) weight[q * most + n] = data->person_weight[at * P + q];
                n++;
                n_done += !stopped;
            }
    for (size_t i = 0; i < n; i++) bound[i] = column[2][i] != 0 ? log_min[i] : log_min[i] + 1.0;
    for (size_t k = 0; k < data->n_task; k++) sum += data->log_planned[k];
    for (size_t k = 0; k < data->n_task; k++) plan[k] = data->log_planned[k] - sum / (double)data->n_task;
    for (size_t r = 0; r < data->n_run; r++) x[r] = log(data->order[r]) - log(data->target_order);
    fprintf(out,
            "\"n_task\" <- %zu\n\"n_run\" <- %zu\n\"n_person\" <- %zu\n\"n_cell\" <- %zu\n\"n_done\" <- "
            "%zu\n\"plan_mean\" <- %.17g\n",
            data->n_task, data->n_run, P, n, n_done, sum / (double)data->n_task);
    list(out, "task", column[0], n);
    list(out, "run", column[1], n);
    list(out, "stopped", column[2], n);
    list(out, "bound", bound, n);
    fprintf(out, "\"y\" <- c(");
    for (size_t i = 0; i < n; i++)
        i < n_done ? fprintf(out, "%s%.17g", i ? ", " : "", log_min[i]) : fprintf(out, ", NA");
    fprintf(out, ")\n\"person\" <- structure(c(");
    for (size_t q = 0; q < P; q++)
        for (size_t i = 0; i < n; i++) fprintf(out, "%s%.17g", q + i ? ", " : "", weight[q * most + i]);
    fprintf(out, "), .Dim = c(%zu, %zu))\n", n, P);
    list(out, "plan_dev", plan, data->n_task);
    list(out, "x", x, data->n_run);
    fprintf(out, "\"sigma_least\" <- %.17g\n", p->sigma_least);
    for (size_t v = 0; v < N_SHOWN; v++) free(column[v]);
    free(log_min);
    free(bound);
    free(weight);
    free(x);
    free(plan);
}

/* ---- chains of others ---- */

/* index: "NAME FIRST LAST" a line, rows of the chain files; those hold "ITERATION VALUE" a row. */
static void coda(const char *index, char **file, size_t n_file)
{
    enum { MOST = 4000000 };
    double *value = calloc(MOST, sizeof *value), **chain = calloc(n_file, sizeof *chain);
    char name[64];
    size_t first, last;

    for (size_t c = 0; c < n_file; c++) {
        FILE *in = fopen(file[c], "r");
        size_t n = 0;
        if (!in) quit("a chain cannot be read");
        chain[c] = calloc(MOST, sizeof **chain);
        while (n < MOST && fscanf(in, "%*s %lf", &chain[c][n]) == 1) n++;
        fclose(in);
    }
    FILE *in = fopen(index, "r");
    if (!in) quit("the index cannot be read");
    while (fscanf(in, "%63s %zu %zu", name, &first, &last) == 3) {
        size_t n = last - first + 1;
        for (size_t c = 0; c < n_file; c++) memcpy(value + c * n, chain[c] + first - 1, n * sizeof *value);
        row(name, value, n_file, n);
    }
    fclose(in);
    for (size_t c = 0; c < n_file; c++) free(chain[c]);
    free(chain);
    free(value);
}

int main(int argc, char **argv)
{
    struct wr_study study = {0};
    struct wr_study_options options = wr_study_default();
    struct wr_error err;

    if (argc >= 4 && strcmp(argv[1], "coda") == 0) {
        coda(argv[2], argv + 3, (size_t)argc - 3);
        return 0;
    }
    if (argc < 3) quit("data CAMPAIGN FOLDER, ours CAMPAIGN [SEED] or coda INDEX CHAIN…");
    options.folder = argv[2];
    options.n_thread = 1;
    if (wr_study_open(&study, &options, &err) != WR_OK || wr_study_make(&study, WR_RESULT_MODEL, &err) != WR_OK)
        quit(err.text);
    if (strcmp(argv[1], "ours") == 0) {
        ours(&study, argc > 3 ? strtoull(argv[3], NULL, 10) : 1);
    } else if (argc > 3) {
        char path[4096];
        snprintf(path, sizeof path, "%s/data.R", argv[3]);
        FILE *out = fopen(path, "w");
        if (!out) quit("cannot write");
        write_data(&study.fit.data, &study.fit_options.priors, out);
        if (fclose(out) != 0) quit("cannot write");
    }
    wr_study_release(&study);
    return 0;
}
