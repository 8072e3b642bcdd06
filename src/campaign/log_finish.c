#include "log_pieces.h"

#include <stdlib.h>
#include <string.h>
#include "wetrun/base/number.h"

/* ---- grouping ---- */

/* Piece numbers by run, within a run by task, within a task in the order of the log: two stable counting passes. */
struct grouping {
    uint32_t *order;   /* [n_piece] */
    size_t *run_begin; /* [n_run + 1] */
};

static void count_into_places(size_t *place, size_t n)
{
    size_t sum = 0;

    for (size_t i = 0; i <= n; i++) {
        size_t count = place[i];
        place[i] = sum;
        sum += count;
    }
}

static struct grouping group(const struct log_pieces *pieces)
{
    size_t n = pieces->n_piece, n_run = pieces->runs.n_name, n_task = pieces->tasks.n_name;
    uint32_t *by_task = WR_NEW_ARRAY(uint32_t, n);
    size_t *task_place = WR_NEW_ARRAY(size_t, n_task + 1), *run_place = WR_NEW_ARRAY(size_t, n_run + 1);
    struct grouping g = {WR_NEW_ARRAY(uint32_t, n), WR_NEW_ARRAY(size_t, n_run + 1)};

    for (size_t i = 0; i < n; i++) {
        task_place[pieces->piece[i].task]++;
        g.run_begin[pieces->piece[i].run]++;
    }
    count_into_places(task_place, n_task);
    count_into_places(g.run_begin, n_run);
    memcpy(run_place, g.run_begin, (n_run + 1) * sizeof *run_place);
    for (size_t i = 0; i < n; i++) by_task[task_place[pieces->piece[i].task]++] = (uint32_t)i;
    for (size_t i = 0; i < n; i++) g.order[run_place[pieces->piece[by_task[i]].run]++] = by_task[i];
    wr_free(by_task);
    wr_free(task_place);
    wr_free(run_place);
    return g;
}

/* ---- where a run begins ---- */

struct arc {
    int64_t begin, end; /* begin within the day, end up to a day later */
};

static int compare_arcs(const void *a, const void *b)
{
    const struct arc *x = a, *y = b;

    return (x->begin > y->begin) - (x->begin < y->begin);
}

/* The end of the largest empty arc, of equal ones the one that ends earliest in the day. *covered if there is none. */
static int64_t begin_of_circle(struct arc *arc, size_t n, bool *covered)
{
    int64_t reach = INT64_MIN, best = 0, begin = arc[0].begin;

    qsort(arc, n, sizeof *arc, compare_arcs);
    for (size_t i = 0; i < n; i++)
        if (arc[i].end > reach) reach = arc[i].end;
    reach -= WR_NS_PER_DAY; /* what runs on from the day before */
    begin = arc[0].begin;
    for (size_t i = 0; i < n; i++) {
        if (arc[i].begin - reach > best) {
            best = arc[i].begin - reach;
            begin = arc[i].begin;
        }
        if (arc[i].end > reach) reach = arc[i].end;
    }
    *covered = best == 0;
    return begin;
}

static bool counts_for_origin(const struct log_piece *p)
{
    return p->has_start && p->outcome != WR_SKIPPED;
}

static void find_clock_origin(struct log_run_state *run, const struct log_pieces *pieces, const uint32_t *order,
                              size_t n, bool *covered)
{
    struct arc *arc = WR_NEW_ARRAY(struct arc, n);
    size_t n_arc = 0;

    *covered = false;
    for (size_t i = 0; i < n; i++) {
        const struct log_piece *p = &pieces->piece[order[i]];
        if (counts_for_origin(p)) arc[n_arc++] = (struct arc){p->start_ns, p->start_ns + p->length_ns};
    }
    run->has_origin = n_arc > 0;
    if (n_arc) run->origin_ns = begin_of_circle(arc, n_arc, covered);
    wr_free(arc);
}

static void find_first_start(struct log_run_state *run, const struct log_pieces *pieces, const uint32_t *order,
                             size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const struct log_piece *p = &pieces->piece[order[i]];
        if (!counts_for_origin(p) || (run->has_origin && run->origin_ns <= p->start_ns)) continue;
        run->origin_ns = p->start_ns;
        run->has_origin = true;
    }
}

static int64_t offset_ns(const struct log_run_state *run, const struct log_piece *p)
{
    int64_t offset = p->start_ns - run->origin_ns;

    return run->kind == WR_TIME_CLOCK && offset < 0 ? offset + WR_NS_PER_DAY : offset;
}

static void report_span(const struct log_run_state *run, const char *id, const struct log_pieces *pieces,
                        const uint32_t *order, size_t n, bool covered, const char *file, struct wr_findings *findings)
{
    int64_t last = 0;
    char text[WR_CLOCK_TEXT];

    for (size_t i = 0; i < n; i++) {
        const struct log_piece *p = &pieces->piece[order[i]];
        if (!counts_for_origin(p)) continue;
        int64_t end = offset_ns(run, p) + p->length_ns;
        if (end > last) last = end;
    }
    const char *span = wr_hmm((double)last / (double)WR_NS_PER_MIN, text);
    if (covered)
        wr_findings_add(findings, WR_WARNING, "clock-goes-round", file, run->line, 0,
                        "the times of day of run '%.60s' leave no gap in 24 h: where it began cannot be told", id);
    else if (run->kind == WR_TIME_CLOCK && last > WR_NS_PER_DAY / 2)
        wr_findings_add(findings, WR_WARNING, "long-run", file, run->line, 0,
                        "run '%.60s' spans %s by times of day without a date: check that all rows are of one day", id, span);
    else if (last > WR_NS_PER_DAY)
        wr_findings_add(findings, WR_WARNING, "long-run", file, run->line, 0, "run '%.60s' spans %s", id, span);
}

static void find_origins(struct wr_run_log *log, struct log_pieces *pieces, const struct grouping *g,
                         struct wr_findings *findings)
{
    for (size_t r = 0; r < pieces->n_run; r++) {
        struct log_run_state *run = &pieces->run[r];
        const uint32_t *order = g->order + g->run_begin[r];
        size_t n = g->run_begin[r + 1] - g->run_begin[r];
        bool covered = false;
        if (run->kind == WR_TIME_CLOCK) find_clock_origin(run, pieces, order, n, &covered);
        else find_first_start(run, pieces, order, n);
        if (run->has_origin)
            report_span(run, pieces->runs.name[r].text, pieces, order, n, covered, log->file[run->file], findings);
    }
}

/* ---- the order of the runs ---- */

struct dated {
    int64_t day, time_of_day_ns;
    uint32_t run;
};

static int compare_dated(const void *a, const void *b)
{
    const struct dated *x = a, *y = b;

    if (x->day != y->day) return x->day < y->day ? -1 : 1;
    if (x->time_of_day_ns != y->time_of_day_ns) return x->time_of_day_ns < y->time_of_day_ns ? -1 : 1;
    return (x->run > y->run) - (x->run < y->run);
}

static int64_t time_of_day(const struct log_run_state *run)
{
    if (!run->has_origin) return 0;
    if (run->kind == WR_TIME_CLOCK) return run->origin_ns;
    if (run->kind == WR_TIME_STAMP || run->kind == WR_TIME_ZONED) return run->origin_ns - run->stamp_day * WR_NS_PER_DAY;
    return 0;
}

static int64_t day_of(const struct log_run_state *run)
{
    return run->day != NO_DAY ? run->day : run->stamp_day;
}

/* [n_run] run numbers in their order in time, or as they appeared. */
static uint32_t *order_runs(struct wr_run_log *log, const struct log_pieces *pieces, struct wr_findings *findings)
{
    size_t n = pieces->n_run, n_dated = 0;
    struct dated *dated = WR_NEW_ARRAY(struct dated, n);
    uint32_t *order = WR_NEW_ARRAY(uint32_t, n);

    for (size_t r = 0; r < n; r++) {
        const struct log_run_state *run = &pieces->run[r];
        dated[r] = (struct dated){day_of(run), time_of_day(run), (uint32_t)r};
        n_dated += day_of(run) != NO_DAY;
    }
    log->has_dates = n > 0 && n_dated == n;
    if (log->has_dates) qsort(dated, n, sizeof *dated, compare_dated);
    else if (n_dated)
        wr_findings_add(findings, WR_WARNING, "some-undated", NULL, 0, 0,
                        "%zu of %zu runs have no usable date: the runs are taken in the order of the log", n - n_dated, n);
    for (size_t i = 0; i < n; i++) order[i] = dated[i].run;
    wr_free(dated);
    return order;
}

/* ---- writing it out ---- */

static int compare_steps(const void *a, const void *b)
{
    const struct wr_log_step *x = a, *y = b;

    if (x->start_min != y->start_min) return x->start_min < y->start_min ? -1 : 1;
    if (x->file != y->file) return x->file < y->file ? -1 : 1;
    return (x->line > y->line) - (x->line < y->line);
}

static void sort_by_task(struct wr_log_step *step, size_t n)
{
    for (size_t begin = 0, end; begin < n; begin = end) {
        bool sorted = true;
        for (end = begin + 1; end < n && step[end].task == step[begin].task; end++)
            sorted = sorted && compare_steps(&step[end - 1], &step[end]) < 0;
        if (!sorted) qsort(step + begin, end - begin, sizeof *step, compare_steps);
    }
}

static struct wr_log_step step_of(const struct log_pieces *pieces, const struct log_piece *p, uint32_t run_number)
{
    const struct log_run_state *run = &pieces->run[p->run];
    struct wr_log_step step = {
        .run = run_number,
        .task = p->task,
        .step = pieces->words.name[p->step].text,
        .outcome = (enum wr_outcome)p->outcome,
        .has_clock = counts_for_origin(p),
        .active_min = p->active_min,
        .hold_min = p->hold_min,
        .n_row = p->n_row,
        .crew = pieces->words.name[p->crew].text,
        .performer = pieces->words.name[p->performer].text,
        .file = p->file,
        .line = p->line,
    };

    if (step.has_clock) {
        int64_t offset = offset_ns(run, p);
        step.start_min = (double)offset / (double)WR_NS_PER_MIN;
        step.end_min = (double)(offset + p->length_ns) / (double)WR_NS_PER_MIN;
    }
    return step;
}

static struct wr_log_run run_of(const struct log_pieces *pieces, uint32_t r)
{
    const struct log_run_state *run = &pieces->run[r];
    size_t n = pieces->attributes.n_name;
    int64_t day = day_of(run);
    struct wr_log_run out = {
        .id = pieces->runs.name[r].text,
        .date = run->date == WR_NO_NAME ? "" : pieces->words.name[run->date].text,
        .day = day == NO_DAY ? WR_UNKNOWN : wr_known((double)day),
        .kind = run->kind,
        .n_row = run->n_row,
        .line = run->line,
        .file = run->file,
        .attribute = WR_NEW_ARRAY(const char *, n),
    };

    for (size_t a = 0; a < n; a++)
        out.attribute[a] = a < run->n_attribute && run->attribute[a] ? run->attribute[a] : "";
    return out;
}

static const char **texts_of(const struct wr_names *names)
{
    const char **text = WR_NEW_ARRAY(const char *, names->n_name);

    for (size_t i = 0; i < names->n_name; i++) text[i] = names->name[i].text;
    return text;
}

void log_finish(struct wr_run_log *log, struct log_pieces *pieces, struct wr_findings *findings)
{
    struct grouping g = group(pieces);

    find_origins(log, pieces, &g, findings);
    uint32_t *order = order_runs(log, pieces, findings);
    log->task = texts_of(&pieces->tasks);
    log->n_task = log->room_task = pieces->tasks.n_name;
    log->attribute = texts_of(&pieces->attributes);
    log->n_attribute = log->room_attribute = pieces->attributes.n_name;
    log->n_run = log->room_run = pieces->n_run;
    log->run = WR_NEW_ARRAY(struct wr_log_run, log->n_run);
    log->room_step = pieces->n_piece;
    log->step = WR_NEW_ARRAY(struct wr_log_step, log->room_step);
    for (size_t i = 0; i < log->n_run; i++) {
        uint32_t r = order[i];
        size_t first = log->n_step;
        log->run[i] = run_of(pieces, r);
        for (size_t k = g.run_begin[r]; k < g.run_begin[r + 1]; k++)
            log->step[log->n_step++] = step_of(pieces, &pieces->piece[g.order[k]], (uint32_t)i);
        sort_by_task(log->step + first, log->n_step - first);
    }
    wr_free(order);
    wr_free(g.order);
    wr_free(g.run_begin);
}
