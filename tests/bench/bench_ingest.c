/* Reading a large step log with every check on, against libcsv alone with callbacks that do nothing.
 *     bench_ingest [MEGABYTES [ROUNDS [LOG]]]
 * Four logs, or the one named, are written to a temporary folder, one after the other:
 *     rows      60 runs x 40 tasks x 4 steps, each step begun again and again in the course of its run
 *     quoted    the same with every field in quotes
 *     repeated  one campaign of nine runs over and over: all rows but the first few are duplicates, and reported
 *     runs      new runs all the time, so that every row is a step of its own
 * Both ways of reading take turns; the CPU time of each round is taken. Medians, the median ratio, the system's share
 * of our time (memory it had to hand out) and the memory used so far are printed as CSV. */
#include <csv.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>
#include "wetrun/campaign/run_log.h"

enum { MOST_ROUNDS = 31, TASKS = 40, STEPS = 4, ROWS_RUNS = 60, REPEATED_RUNS = 9 };

static double cpu_seconds(void)
{
    struct timespec t;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static double system_seconds(void)
{
    struct rusage used;

    getrusage(RUSAGE_SELF, &used);
    return (double)used.ru_stime.tv_sec + (double)used.ru_stime.tv_usec * 1e-6;
}

static uint64_t next_random(uint64_t *state)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return *state >> 33;
}

enum quoting { PLAIN, QUOTED };

static void write_row(FILE *f, enum quoting quoting, unsigned run, unsigned task, unsigned step, unsigned from,
                      unsigned to, uint64_t *state)
{
    static const char *const outcome[] = {"done", "done", "done", "", "stopped"};
    static const char *const hold[] = {"0", "0", "", "0.05", "0.025"};
    unsigned lane = (task + step) % 2;

    fprintf(f, quoting == PLAIN ? "P7-%u,2031-%02u-%02u,TASK-%02u,step %u,EV%u,%s,%02u:%02u:%02u,%02u:%02u:%02u,%s,%s\n"
                                : "\"P7-%u\",\"2031-%02u-%02u\",\"TASK-%02u\",\"step %u\",\"EV%u\",\"%s\","
                                  "\"%02u:%02u:%02u\",\"%02u:%02u:%02u\",\"%s\",\"%s\"\n", run,
            1 + run / 28 % 12, 1 + run % 28, task, step, lane + 1, lane ? "OM" : "KV", from / 3600 % 24, from / 60 % 60,
            from % 60, to / 3600 % 24, to / 60 % 60, to % 60, hold[next_random(state) % 5],
            outcome[next_random(state) % 5]);
}

/* One run's rows, task after task and step after step, all of them `rounds` times; whole seconds from nine o'clock. */
static void write_run(FILE *f, enum quoting quoting, unsigned run, unsigned rounds, unsigned longest_step,
                      uint64_t *state)
{
    unsigned now = 9 * 3600 + (unsigned)(next_random(state) % 60);

    for (unsigned i = 0; i < rounds * TASKS * STEPS; i++) {
        unsigned to = now + 4 + (unsigned)(next_random(state) % longest_step);
        write_row(f, quoting, run, i / STEPS % TASKS, i % STEPS, now, to, state);
        now = to - 3; /* the other lane has begun in between */
    }
}

static FILE *begin_log(const char *path)
{
    FILE *f = fopen(path, "w");

    if (!f) exit(4);
    fputs("run,date,task,step,crew,performer,start,end,hold,outcome\n", f);
    return f;
}

static void end_log(FILE *f)
{
    if (fclose(f) != 0) exit(4);
}

static void write_rows(const char *path, enum quoting quoting, double megabytes)
{
    FILE *f = begin_log(path);
    uint64_t state = 7;
    unsigned rounds = (unsigned)(megabytes * 1e6 / (quoting == PLAIN ? 66 : 86) / (ROWS_RUNS * TASKS * STEPS)) + 1;

    for (unsigned run = 0; run < ROWS_RUNS; run++) write_run(f, quoting, run, rounds, 2, &state);
    end_log(f);
}

static void write_repeated(const char *path, double megabytes)
{
    FILE *f = begin_log(path);

    while ((double)ftell(f) < megabytes * 1e6) {
        uint64_t state = 7;
        for (unsigned run = 0; run < REPEATED_RUNS; run++) write_run(f, PLAIN, run, 1, 200, &state);
    }
    end_log(f);
}

static void write_runs(const char *path, double megabytes)
{
    FILE *f = begin_log(path);
    uint64_t state = 7;

    for (unsigned run = 0; (double)ftell(f) < megabytes * 1e6; run++) write_run(f, PLAIN, run, 1, 200, &state);
    end_log(f);
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
    const struct wr_log_options options = {.minutes_per_unit = 1}; /* as --minutes-in minutes: its holds are short */
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};
    struct wr_error err;
    double begin = cpu_seconds();

    if (wr_run_log_read(&log, &path, 1, &options, &findings, &err) != WR_OK) {
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

static void measure(const char *name, const char *path, int rounds)
{
    double plain[MOST_ROUNDS], ours[MOST_ROUNDS], ratio[MOST_ROUNDS], system_share[MOST_ROUNDS];
    size_t rows = 0, steps = 0;
    struct rusage used;
    struct stat file;

    if (stat(path, &file) != 0) exit(4);
    double megabytes = (double)file.st_size / 1e6;
    for (int i = 0; i < rounds; i++) {
        plain[i] = seconds_of_libcsv(path);
        double before = system_seconds();
        ours[i] = seconds_of_ingest(path, &rows, &steps);
        system_share[i] = (system_seconds() - before) / ours[i];
        ratio[i] = plain[i] / ours[i];
    }
    getrusage(RUSAGE_SELF, &used);
    printf("%s,%zu,%zu,%.0f,%.0f,%.3f,%.2f,%ld\n", name, rows, steps, megabytes / median(plain, rounds),
           megabytes / median(ours, rounds), median(ratio, rounds), median(system_share, rounds),
           used.ru_maxrss / 1024);
    fflush(stdout);
}

static void write_plain_rows(const char *path, double megabytes)
{
    write_rows(path, PLAIN, megabytes);
}

static void write_quoted_rows(const char *path, double megabytes)
{
    write_rows(path, QUOTED, megabytes);
}

static const struct {
    const char *name;
    void (*write)(const char *path, double megabytes);
} logs[] = {
    {"rows", write_plain_rows}, {"quoted", write_quoted_rows}, {"repeated", write_repeated}, {"runs", write_runs}};

int main(int argc, char **argv)
{
    double megabytes = argc > 1 ? strtod(argv[1], NULL) : 200;
    int rounds = argc > 2 ? (int)strtol(argv[2], NULL, 10) : 7;
    const char *only = argc > 3 ? argv[3] : NULL;
    char folder[] = "/tmp/wetrun-bench-XXXXXX", path[100];

    if (!(megabytes > 0) || rounds < 1 || rounds > MOST_ROUNDS || !mkdtemp(folder)) return 2;
    snprintf(path, sizeof path, "%s/runs.csv", folder);
    puts("log,rows,steps_kept,libcsv_mb_s,ingest_mb_s,ratio,system_share,peak_mb");
    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        if (only && strcmp(only, logs[i].name) != 0) continue;
        logs[i].write(path, megabytes);
        measure(logs[i].name, path, rounds);
    }
    unlink(path);
    rmdir(folder);
    return 0;
}
