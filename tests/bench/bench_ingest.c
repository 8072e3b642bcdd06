/* Reading a large step log with every check on, against libcsv alone with callbacks that do nothing.
 *     bench_ingest [MEGABYTES [ROUNDS]]
 * Two logs are written to a temporary folder: `cells`, the same 60 runs x 40 tasks x 4 steps over and over at ever
 * new seconds, and `runs`, new runs all the time so that every row is a step of its own. Both ways of reading take
 * turns; the CPU time of each round is taken, medians and the median ratio are printed as CSV. */
#include <csv.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>
#include "wetrun/campaign/run_log.h"

enum { MOST_ROUNDS = 31, TASKS = 40, STEPS = 4, CELL_RUNS = 60 };

static double cpu_seconds(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static uint64_t next_random(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return *state >> 33;
}

/* One run's rows: two people, steps one after the other in each lane, whole seconds. */
static void write_run(FILE *f, unsigned run, uint64_t *state)
{
    static const char *const outcome[] = {"done", "done", "done", "", "stopped"};
    static const char *const hold[] = {"0", "0", "", "1.5", "0.25"};
    unsigned now[2] = {9 * 3600 + (unsigned)(next_random(state) % 60), 9 * 3600 + (unsigned)(next_random(state) % 60)};

    for (unsigned task = 0; task < TASKS; task++) {
        for (unsigned step = 0; step < STEPS; step++) {
            unsigned lane = next_random(state) % 2, from = now[lane], to = from + 100 + (unsigned)(next_random(state) % 200);
            now[lane] = to;
            fprintf(f, "P7-%u,2031-%02u-%02u,TASK-%02u,step %u,EV%u,%s,%02u:%02u:%02u,%02u:%02u:%02u,%s,%s\n", run,
                    1 + run / 28 % 12, 1 + run % 28, task, step, lane + 1, lane ? "OM" : "KV", from / 3600 % 24,
                    from / 60 % 60, from % 60, to / 3600 % 24, to / 60 % 60, to % 60, hold[next_random(state) % 5],
                    outcome[next_random(state) % 5]);
        }
    }
}

static void write_log(const char *path, double megabytes, unsigned runs)
{
    FILE *f = fopen(path, "w");
    uint64_t state = 7;

    if (!f) exit(4);
    fputs("run,date,task,step,crew,performer,start,end,hold,outcome\n", f);
    for (unsigned run = 0; (double)ftell(f) < megabytes * 1e6; run++) write_run(f, run % runs, &state);
    if (fclose(f) != 0) exit(4);
}

static void no_field(void *text, size_t n, void *arg)
{
    (void)text;
    (void)n;
    (void)arg;
}

static void no_row(int c, void *arg)
{
    (void)c;
    (void)arg;
}

static double seconds_of_libcsv(const char *path)
{
    static char bytes[256 * 1024];
    struct csv_parser parser;
    double begin = cpu_seconds();
    FILE *f = fopen(path, "r");
    size_t n;

    if (!f || csv_init(&parser, CSV_APPEND_NULL) != 0) exit(4);
    while ((n = fread(bytes, 1, sizeof bytes, f)) > 0) csv_parse(&parser, bytes, n, no_field, no_row, NULL);
    csv_fini(&parser, no_field, no_row, NULL);
    csv_free(&parser);
    fclose(f);
    return cpu_seconds() - begin;
}

static double seconds_of_ingest(const char *path, size_t *rows, size_t *steps)
{
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};
    struct wr_error err;
    double begin = cpu_seconds();

    if (wr_run_log_read(&log, &path, 1, NULL, &findings, &err) != WR_OK) {
        fprintf(stderr, "%s\n", err.text);
        exit(3);
    }
    *rows = log.rows_read;
    *steps = log.n_step;
    wr_run_log_release(&log);
    wr_findings_release(&findings);
    return cpu_seconds() - begin;
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

static double median(double *value, int n)
{
    qsort(value, (size_t)n, sizeof *value, compare);
    return value[n / 2];
}

static void measure(const char *name, const char *path, double megabytes, int rounds)
{
    double plain[MOST_ROUNDS], ours[MOST_ROUNDS], ratio[MOST_ROUNDS];
    size_t rows = 0, steps = 0;
    struct rusage used;

    for (int i = 0; i < rounds; i++) {
        plain[i] = seconds_of_libcsv(path);
        ours[i] = seconds_of_ingest(path, &rows, &steps);
        ratio[i] = plain[i] / ours[i];
    }
    getrusage(RUSAGE_SELF, &used);
    printf("%s,%zu,%zu,%.0f,%.0f,%.3f,%ld\n", name, rows, steps, megabytes / median(plain, rounds),
           megabytes / median(ours, rounds), median(ratio, rounds), used.ru_maxrss / 1024);
    fflush(stdout);
}

int main(int argc, char **argv)
{
    double megabytes = argc > 1 ? strtod(argv[1], NULL) : 200;
    int rounds = argc > 2 ? (int)strtol(argv[2], NULL, 10) : 7;
    char folder[] = "/tmp/wetrun-bench-XXXXXX", path[100];

    if (!(megabytes > 0) || rounds < 1 || rounds > MOST_ROUNDS || !mkdtemp(folder)) return 2;
    snprintf(path, sizeof path, "%s/runs.csv", folder);
    puts("log,rows,steps_kept,libcsv_mb_s,ingest_mb_s,ratio,peak_mb");
    write_log(path, megabytes, CELL_RUNS);
    measure("cells", path, megabytes, rounds);
    write_log(path, megabytes, UINT32_MAX);
    measure("runs", path, megabytes, rounds);
    unlink(path);
    rmdir(folder);
    return 0;
}
