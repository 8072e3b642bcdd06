/* Measures the engine on a plan of known lognormal tasks with one run effect of sd 0.1 on all of them, as its peers in
 * this folder do. One figure per call, so that the driver can interleave:
 *   bench_engine forecast PLAN TRIALS THREADS        everything a forecast gives; prints what the peers print
 *   bench_engine trials PLAN TRIALS THREADS [KERNEL] the plain trials alone, in this process's CPU seconds
 *   bench_engine skewed PLAN TRIALS THREADS          the same, skewed errors, 4000 posterior draws
 *   bench_engine points PLAN PER_COPY SEEDS          CPU seconds and actual spread of P(over) from quasi-random points,
 *                                                    against plain trials of the same spread
 *   bench_engine kernels                             names of the kernels that this processor can run
 *   bench_engine chain TASKS TRIALS                  plain trials of two lanes of TASKS tasks in all
 *   bench_engine exact PLAN TRIALS THREADS           every number of three forecasts to the last bit, for a comparison
 *                                                    of
 *                                                    compilers: the run effect by scale, by root and by strata */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include "../../src/sim/points.h"
#include "../../src/sim/trials.h"
#include "wetrun/base/memory.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/sim/forecast.h"

static const double tau = 0.1, limits_min[] = {420, 450};

struct job {
    struct wr_plan plan;
    struct wr_network net;
    struct wr_durations d;
    struct wr_sim_limit limit[2];
};

static void die(const char *what)
{
    fprintf(stderr, "bench_engine: %s\n", what);
    exit(1);
}

static double cpu_seconds(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double wall_seconds(void)
{
    struct timespec t;

    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void set_up_durations(struct job *job, size_t n_draw, double rho)
{
    struct wr_durations *d = &job->d;
    size_t n = job->plan.n_task;

    *d = (struct wr_durations){.n_task = n, .n_draw = n_draw, .n_lane = job->plan.n_lane, .n_line_up = 1};
    d->source = WR_NEW_ARRAY(struct wr_source, n);
    d->centre_log = WR_NEW_ARRAY(double, n * n_draw);
    d->spread_log = WR_NEW_ARRAY(double, n * n_draw);
    d->tau = WR_NEW_ARRAY(double, n_draw);
    d->rho = WR_NEW_ARRAY(double, n_draw);
    d->kappa = WR_NEW_ARRAY(double, n_draw);
    d->q = WR_NEW_ARRAY(double, 0);
    d->line_up = WR_NEW_ARRAY(int, job->plan.n_lane);
    d->lanes = WR_NEW_ARRAY(uint32_t, n);
    d->stream = WR_NEW_ARRAY(uint64_t, n);
    for (size_t l = 0; l < job->plan.n_lane; l++) d->line_up[l] = WR_PERSON_NONE;
    for (size_t j = 0; j < n_draw; j++) {
        d->tau[j] = tau;
        d->rho[j] = rho;
    }
    for (size_t k = 0; k < n; k++) {
        const struct wr_plan_task *t = &job->plan.task[k];
        d->source[k].kind = WR_SRC_MODEL;
        d->lanes[k] = t->lanes;
        d->stream[k] = wr_mix(k + 1);
        for (size_t j = 0; j < n_draw; j++) {
            d->centre_log[k * n_draw + j] = log(t->median_min.value);
            d->spread_log[k * n_draw + j] = t->sdlog.value;
        }
    }
    for (size_t i = 0; i < 2; i++) job->limit[i] = (struct wr_sim_limit){.lanes = UINT32_MAX, .minutes = limits_min[i]};
}

static void read_job(struct job *job, const char *path, size_t n_draw, double rho)
{
    struct wr_findings findings = {0};
    struct wr_error err = {0};

    *job = (struct job){0};
    if (wr_plan_read(&job->plan, path, &findings, &err) != WR_OK) die(err.text);
    if (wr_network_build(&job->net, &job->plan, &err) != WR_OK) die(err.text);
    wr_findings_release(&findings);
    set_up_durations(job, n_draw, rho);
}

/* Two lanes by turns, every tenth task joint, every fifth waits for the row before it. */
static void make_chain(struct job *job, size_t n_task)
{
    struct wr_error err = {0};
    static const char *lane[] = {"EV1", "EV2"};

    *job = (struct job){.plan = {.lane = lane, .n_lane = 2, .n_task = n_task}};
    job->plan.task = WR_NEW_ARRAY(struct wr_plan_task, n_task);
    for (size_t k = 0; k < n_task; k++) {
        struct wr_plan_task *t = &job->plan.task[k];
        t->id = "";
        t->lanes = k % 10 == 0 ? 3 : 1u << k % 2;
        t->median_min = wr_known(6 + (double)(k * 7 % 20));
        t->sdlog = wr_known(0.12 + 0.01 * (double)(k * 11 % 26));
        if (k % 10 == 5) {
            t->after = WR_NEW(size_t);
            *t->after = k - 1;
            t->n_after = 1;
        }
    }
    if (wr_network_build(&job->net, &job->plan, &err) != WR_OK) die(err.text);
    set_up_durations(job, 1, 0);
}

static size_t number(const char *text)
{
    char *end;
    double x = strtod(text, &end); /* 1e7 is welcome */

    if (*end || !(x >= 1)) die("a count is wanted");
    return (size_t)x;
}

static void forecast(const struct job *job, size_t n_trial, unsigned n_thread)
{
    struct wr_forecast f = {0};
    struct wr_error err = {0};
    struct wr_sim_options o = {.n_trial = n_trial, .seed = 1, .n_thread = n_thread, .limit = job->limit, .n_limit = 2};
    double shares = 0;

    if (wr_forecast_run(&f, &job->net, &job->d, &o, &err) != WR_OK) die(err.text);
    for (size_t k = 0; k < f.n_task; k++) shares += f.task[k].variance_share;
    printf("mean %.3f p50 %.3f p95 %.3f over %.5f %.5f second on path %.4f run effect %.4f of %.4f\n", f.mean_min,
           f.quantile_min[4], f.quantile_min[8], f.limit[0].over.mean, f.limit[1].over.mean, f.task[1].on_longest_path,
           f.run_effect_share, shares);
}

static void print_exactly(const char *what, const double *x, size_t n)
{
    printf("%s", what);
    for (size_t i = 0; i < n; i++) printf(" %a", x[i]);
    printf("\n");
}

static void exact(struct job *job, size_t n_trial, unsigned n_thread)
{
    for (int way = 0; way < 3; way++) {
        struct wr_forecast f = {0};
        struct wr_error err = {0};
        struct wr_sim_options o = {
            .n_trial = n_trial, .seed = 1, .n_thread = n_thread, .limit = job->limit, .n_limit = 2};
        if (way == 1) job->d.source[3] = (struct wr_source){WR_SRC_JUDGED, {5, 8, 20}, WR_THREE_POINT_PERT};
        if (way == 2) job->net.drop_after_min[20] = 180;
        if (wr_forecast_run(&f, &job->net, &job->d, &o, &err) != WR_OK) die(err.text);
        print_exactly("finish", (double[]){f.mean_min, f.sd_min, f.run_effect_share, f.people_share, f.parameter_share},
                      5);
        print_exactly("quantiles", f.quantile_min, WR_N_QUANTILE);
        print_exactly("from", f.quantile_lo_min, WR_N_QUANTILE);
        print_exactly("to", f.quantile_hi_min, WR_N_QUANTILE);
        for (size_t i = 0; i < 2; i++)
            print_exactly("over", (double[]){f.limit[i].over.mean, f.limit[i].over.lo, f.limit[i].over.hi,
                                             f.limit[i].over.mc_error, f.any_over.mean}, 5);
        for (size_t k = 0; k < f.n_task; k++) {
            const struct wr_task_outlook *t = &f.task[k];
            print_exactly("task", (double[]){t->median_min, t->mean_min, t->sd_min, t->p80_min, t->on_longest_path,
                                             t->variance_share, t->dropped, t->start_min[2], t->end_min[4]}, 9);
        }
        print_exactly("curve", f.curve_over, f.n_curve);
        print_exactly("curve from", f.curve_lo, f.n_curve);
        wr_forecast_release(&f);
    }
}

static struct wr_setup set_up(const struct job *job, const char *kernel_name, uint64_t seed)
{
    const struct wr_kernel *kernel = wr_kernel_best();
    struct wr_setup s;
    struct wr_error err = {0};

    for (size_t i = 0; kernel_name && wr_kernel_at(i); i++)
        if (strcmp(wr_kernel_at(i)->name, kernel_name) == 0) kernel = wr_kernel_at(i);
    if (kernel_name && strcmp(kernel->name, kernel_name) != 0) die("this processor cannot run that kernel");
    if (wr_setup_build(&s, kernel, &job->net, &job->d, job->limit, 2, seed, &err) != WR_OK) die(err.text);
    return s;
}

/* CPU and elapsed nanoseconds per task and trial. */
static void trials(const struct job *job, size_t n_trial, unsigned n_thread, const char *kernel_name)
{
    struct wr_setup s = set_up(job, kernel_name, 1);
    struct wr_trials t = {0};
    double cpu = cpu_seconds(), wall = wall_seconds(), per = 1e9 / (double)n_trial / (double)s.n_task;

    wr_trials_run(&t, &s, n_trial, n_thread, NULL, NULL);
    printf("%.4f %.4f\n", (cpu_seconds() - cpu) * per, (wall_seconds() - wall) * per);
    wr_trials_release(&t);
    wr_setup_release(&s);
}

static double over_of(const struct job *job, size_t per_copy, uint64_t seed, size_t which)
{
    struct wr_setup s = set_up(job, NULL, seed);
    struct wr_points p = {0};
    double grid[2] = {5.9, 6.3}, sum = 0;

    wr_points_run(&p, &s, per_copy, grid, 2, 1, NULL, NULL);
    for (size_t r = 0; r < WR_REPLICATES; r++) sum += p.over[which * WR_REPLICATES + r] / WR_REPLICATES;
    wr_points_release(&p);
    wr_setup_release(&s);
    return sum;
}

/* Per limit: P, actual standard deviation over seeds, CPU seconds of one estimate, CPU seconds of plain trials with
 * that standard deviation, their ratio. */
static void points(const struct job *job, size_t per_copy, size_t n_seed)
{
    struct wr_setup s = set_up(job, NULL, 1);
    struct wr_trials t = {0};
    const size_t n_trial = 1 << 20;
    double plain = cpu_seconds();

    wr_trials_run(&t, &s, n_trial, 1, NULL, NULL);
    plain = (cpu_seconds() - plain) / (double)n_trial;
    for (size_t which = 0; which < 2; which++) {
        double mean = 0, squares = 0, cpu = cpu_seconds(), *p = WR_NEW_ARRAY(double, n_seed);
        for (size_t i = 0; i < n_seed; i++) p[i] = over_of(job, per_copy, 1000 + i, which);
        cpu = (cpu_seconds() - cpu) / (double)n_seed;
        for (size_t i = 0; i < n_seed; i++) mean += p[i] / (double)n_seed;
        for (size_t i = 0; i < n_seed; i++) squares += (p[i] - mean) * (p[i] - mean) / (double)(n_seed - 1);
        double needed = mean * (1 - mean) / squares * plain;
        printf("%.0f %.6f %.3g %.6f %.4f %.1f\n", limits_min[which], mean, sqrt(squares), cpu, needed, needed / cpu);
        wr_free(p);
    }
    wr_trials_release(&t);
    wr_setup_release(&s);
}

int main(int argc, char **argv)
{
    struct job job;

    if (argc == 4 && strcmp(argv[1], "chain") == 0) {
        make_chain(&job, number(argv[2]));
        trials(&job, number(argv[3]), 1, NULL);
        return 0;
    }
    if (argc == 2 && strcmp(argv[1], "kernels") == 0) {
        for (size_t i = 0; wr_kernel_at(i); i++) puts(wr_kernel_at(i)->name);
        return 0;
    }
    if (argc < 5) die("usage: see the top of bench_engine.c");
    bool precise = strcmp(argv[1], "exact") == 0, skewed = strcmp(argv[1], "skewed") == 0;
    read_job(&job, argv[2], skewed ? 4000 : precise ? 300 : 1, skewed || precise ? 0.4 : 0);
    if (precise) exact(&job, number(argv[3]), (unsigned)number(argv[4]));
    else if (strcmp(argv[1], "forecast") == 0) forecast(&job, number(argv[3]), (unsigned)number(argv[4]));
    else if (strcmp(argv[1], "points") == 0) points(&job, number(argv[3]), number(argv[4]));
    else trials(&job, number(argv[3]), (unsigned)number(argv[4]), argc > 5 ? argv[5] : NULL);
    return 0;
}
