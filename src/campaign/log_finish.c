#include "log_pieces.h"

#include <stdlib.h>
#include <string.h>
#include "wetrun/base/number.h"
#include "wetrun/campaign/written.h"
#include "wetrun/stats/quantile.h"

#define LATE_ORIGIN_MIN 2.0 /* less is the time that it takes to begin */

static const struct log_piece *first_of(const struct log_pieces *pieces, const struct log_run_state *run)
{
    return &pieces->piece[run->first_piece]; /* a run has the row that named it */
}

/* The following piece of the same run, in the order of the log, or NULL. */
static const struct log_piece *next_of(const struct log_pieces *pieces, const struct log_piece *p)
{
    return p->next_of_run == NO_PIECE ? NULL : &pieces->piece[p->next_of_run];
}

/* ---- where a run begins ---- */

struct arc {
    int64_t begin, end; /* begin within the day, end up to a day later */
};

struct arcs {
    struct arc *arc;
    size_t n, room;
};

static int compare_arcs(const void *a, const void *b)
{
    const struct arc *x = a, *y = b;

    return (x->begin > y->begin) - (x->begin < y->begin);
}

/* The end of the largest empty arc, of equal ones the one that ends earliest in the day. *covered if there is none. */
static int64_t begin_of_circle(struct arcs *arcs, bool *covered)
{
    struct arc *arc = arcs->arc;
    int64_t reach = INT64_MIN, first = INT64_MAX, best = 0;

    *covered = false;
    for (size_t i = 0; i < arcs->n; i++) {
        if (arc[i].end > reach) reach = arc[i].end;
        if (arc[i].begin < first) first = arc[i].begin;
    }
    if (reach - first < WR_NS_PER_DAY / 2) return first; /* no other arc can be as large as what is left of the day */
    qsort(arc, arcs->n, sizeof *arc, compare_arcs);
    reach -= WR_NS_PER_DAY; /* what runs on from the day before */
    for (size_t i = 0; i < arcs->n; i++) {
        if (arc[i].begin - reach > best) {
            best = arc[i].begin - reach;
            first = arc[i].begin;
        }
        if (arc[i].end > reach) reach = arc[i].end;
    }
    *covered = best == 0;
    return first;
}

static bool counts_for_origin(const struct log_piece *p)
{
    return p->has_start && p->outcome != WR_SKIPPED;
}

static void find_clock_origin(struct log_run_state *run, const struct log_pieces *pieces, struct arcs *arcs,
                              bool *covered)
{
    arcs->n = 0;
    for (const struct log_piece *p = first_of(pieces, run); p; p = next_of(pieces, p))
        if (counts_for_origin(p))
            *WR_PUSH(arcs->arc, arcs->n, arcs->room) = (struct arc){p->start_ns, p->start_ns + p->length_ns};
    run->has_origin = arcs->n > 0;
    if (arcs->n) run->origin_ns = begin_of_circle(arcs, covered);
}

static void find_first_start(struct log_run_state *run, const struct log_pieces *pieces)
{
    for (const struct log_piece *p = first_of(pieces, run); p; p = next_of(pieces, p)) {
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

static int64_t span_of(const struct log_run_state *run, const struct log_pieces *pieces)
{
    int64_t span = 0;

    for (const struct log_piece *p = first_of(pieces, run); p; p = next_of(pieces, p)) {
        int64_t end = counts_for_origin(p) ? offset_ns(run, p) + p->length_ns : 0;
        if (end > span) span = end;
    }
    return span;
}

static void report_span(const struct log_run_state *run, const char *id, int64_t span_ns, bool covered,
                        const char *file, struct wr_findings *findings)
{
    if (covered)
        wr_findings_add(findings, WR_WARNING, "clock-goes-round", file, run->line, 0,
                        "the times of day of run '%.60s' leave no gap in 24 h: where it began cannot be told", id);
    else if (run->kind == WR_TIME_CLOCK && span_ns > WR_NS_PER_DAY / 2)
        wr_findings_add(findings, WR_WARNING, "long-run", file, run->line, 0,
                        "run '%.60s' spans %s by times of day without a date: check that all rows are of one day", id,
                        wr_hmm((double)span_ns / (double)WR_NS_PER_MIN, WR_ROOM));
    else if (span_ns > WR_NS_PER_DAY)
        wr_findings_add(findings, WR_WARNING, "long-run", file, run->line, 0, "run '%.60s' spans %s", id,
                        wr_hmm((double)span_ns / (double)WR_NS_PER_MIN, WR_ROOM));
}

static double origin_min(const struct log_run_state *run)
{
    return (double)run->origin_ns / (double)WR_NS_PER_MIN;
}

static bool is_late(const struct log_run_state *run)
{
    return origin_min(run) > LATE_ORIGIN_MIN;
}

/* Marks the tasks with which the run begins, or says whether any of them is marked. */
static bool begins_with(const struct log_run_state *run, const struct log_pieces *pieces, unsigned char *task,
                        bool mark)
{
    bool found = false;

    for (const struct log_piece *p = first_of(pieces, run); p; p = next_of(pieces, p)) {
        if (!counts_for_origin(p) || p->start_ns != run->origin_ns) continue;
        found |= task[p->task];
        if (mark) task[p->task] = 1;
    }
    return found;
}

/* Runs in elapsed minutes that begin late. What begins with another task than those that begin at 0 has perhaps lost
 * its first row, unless most are like it. */
static size_t find_late(const struct log_pieces *pieces, bool *late, size_t *n_elapsed)
{
    WR_SCOPED unsigned char *first = WR_NEW_ARRAY(unsigned char, pieces->tasks.n_name);
    size_t n = 0, n_like_others = 0;

    *n_elapsed = 0;
    for (size_t r = 0; r < pieces->n_run; r++) {
        const struct log_run_state *run = &pieces->run[r];
        if (run->kind != WR_TIME_ELAPSED || !run->has_origin) continue;
        ++*n_elapsed;
        late[r] = is_late(run);
        n += late[r];
        if (!late[r]) begins_with(run, pieces, first, true);
    }
    if (2 * n > *n_elapsed) return n;
    for (size_t r = 0; r < pieces->n_run; r++) {
        late[r] = late[r] && begins_with(&pieces->run[r], pieces, first, false);
        n_like_others += late[r];
    }
    return n_like_others;
}

/* " (S01, S02, S03 and 3 more; the others begin at 0)" */
static void name_late(const struct log_pieces *pieces, const bool *late, size_t n_late, struct wr_str *out)
{
    enum { FEW = 3 };
    size_t named = 0;

    for (size_t r = 0; r < pieces->n_run && named < FEW; r++)
        if (late[r]) wr_str_addf(out, "%s%.60s", named++ ? ", " : " (", pieces->runs.name[r].text);
    if (n_late > FEW) wr_str_addf(out, " and %zu more", n_late - FEW);
    wr_str_add(out, "; the others begin at 0)");
}

/* Who counts from the hatch or the suits, and logs nothing before the first step, would have a finish from elsewhere
 * held against the limit. Clocks have no 0 that could mean anything. */
static void report_late_origins(const struct wr_run_log *log, const struct log_pieces *pieces,
                                struct wr_findings *findings)
{
    WR_SCOPED double *late_min = WR_NEW_ARRAY(double, pieces->n_run);
    WR_SCOPED bool *late = WR_NEW_ARRAY(bool, pieces->n_run);
    const struct log_run_state *first = NULL;
    size_t n, n_late = find_late(pieces, late, &n), k = 0;
    WR_SCOPED_STR which = {0};

    if (n_late == 0) return;
    for (size_t r = 0; r < pieces->n_run; r++) {
        if (!late[r]) continue;
        late_min[k++] = origin_min(&pieces->run[r]);
        if (!first) first = &pieces->run[r];
    }
    wr_sort_ascending(late_min, n_late);
    double middle = wr_quantile_of_sorted(late_min, n_late, 0.5, WR_QUANTILE_TYPE_7);
    bool most = 2 * n_late > n;
    if (!most) name_late(pieces, late, n_late, &which);
    wr_findings_add(findings, WR_WARNING, "elapsed-from-later", log->file[first->file], first->line, 0,
                    "in %zu of %zu run%s in elapsed minutes%s the first step begins well after 0, by %.4g min (median; "
                    "%.4g to %.4g): every time%s is counted from that step, which takes %.4g min off the finish. %s",
                    n_late, n, n == 1 ? "" : "s", wr_str_text(&which), middle, late_min[0], late_min[n_late - 1],
                    most ? ", also on the day," : " of such a run", middle,
                    most ? "If limits count from 0, add what comes before as a task to plan and log, or lower the "
                           "limits by as much"
                         : "If that time belongs to the excursion, log what was done in it; else write these runs "
                           "from 0 as well");
}

static void find_origins(struct wr_run_log *log, struct log_pieces *pieces, struct wr_findings *findings)
{
    struct arcs arcs = {0};

    for (size_t r = 0; r < pieces->n_run; r++) {
        struct log_run_state *run = &pieces->run[r];
        bool covered = false;
        if (run->kind == WR_TIME_CLOCK) find_clock_origin(run, pieces, &arcs, &covered);
        else find_first_start(run, pieces);
        if (run->has_origin)
            report_span(run, pieces->runs.name[r].text, span_of(run, pieces), covered, log->file[run->file], findings);
    }
    report_late_origins(log, pieces, findings);
    wr_free(arcs.arc);
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
    if (run->kind == WR_TIME_STAMP || run->kind == WR_TIME_ZONED)
        return run->origin_ns - run->stamp_day * WR_NS_PER_DAY;
    return 0;
}

static bool tells_time_of_day(const struct log_run_state *run)
{
    return run->has_origin && (run->kind == WR_TIME_CLOCK || run->kind == WR_TIME_STAMP || run->kind == WR_TIME_ZONED);
}

static int64_t day_of(const struct log_run_state *run)
{
    return run->day != NO_DAY ? run->day : run->stamp_day;
}

/* A run may pass midnight, and a zone may move it by a day: more is a slip in one of the two. */
static void ask_if_days_differ(const struct log_run_state *run, const char *id, struct wr_findings *findings)
{
    char dated[16], timed[16];

    if (run->day == NO_DAY || run->stamp_day == NO_DAY || llabs(run->day - run->stamp_day) <= 1) return;
    wr_date_text(run->day, dated);
    wr_date_text(run->stamp_day, timed);
    wr_findings_add(findings, WR_WARNING, "date-not-times", NULL, 0, 0,
                    "run '%.60s' has the date %s and times of %s: a slip in one of the two? the date counts", id, dated,
                    timed);
}

/* 2031-04-03 as the name of every run, where nothing else dates any of them. */
static void take_names_for_dates(const struct wr_run_log *log, struct log_pieces *pieces, struct wr_findings *findings)
{
    size_t n = pieces->n_run;
    WR_SCOPED int64_t *day = WR_NEW_ARRAY(int64_t, n);

    for (size_t r = 0; r < n; r++) {
        const struct wr_name *id = &pieces->runs.name[r];
        if (day_of(&pieces->run[r]) != NO_DAY || !wr_parse_log_date(id->text, strlen(id->text), &day[r])) return;
    }
    for (size_t f = 0; f < log->n_file; f++) {
        struct wr_read_as read_as = {0};
        for (size_t r = 0; r < n; r++)
            if (pieces->run[r].file == f)
                wr_read_as_note(&read_as, WR_SP_RUN_DATE, pieces->run[r].line, 0, pieces->runs.name[r].text, NULL);
        wr_read_as_report(&read_as, log->file[f], findings);
    }
    for (size_t r = 0; r < n; r++) pieces->run[r].day = day[r];
}

/* [n_run] run numbers in their order in time, or as they appeared. */
static uint32_t *order_runs(struct wr_run_log *log, const struct log_pieces *pieces, struct wr_findings *findings)
{
    size_t n = pieces->n_run, n_dated = 0;
    WR_SCOPED struct dated *dated = WR_NEW_ARRAY(struct dated, n);
    uint32_t *order = WR_NEW_ARRAY(uint32_t, n);

    for (size_t r = 0; r < n; r++) {
        const struct log_run_state *run = &pieces->run[r];
        ask_if_days_differ(run, pieces->runs.name[r].text, findings);
        dated[r] = (struct dated){day_of(run), time_of_day(run), (uint32_t)r};
        n_dated += day_of(run) != NO_DAY;
    }
    log->has_dates = n > 0 && n_dated == n;
    if (log->has_dates) qsort(dated, n, sizeof *dated, compare_dated);
    else if (n_dated)
        wr_findings_add(findings, WR_WARNING, "some-undated", NULL, 0, 0,
                        "%zu of %zu runs have no usable date: the runs are taken in the order of the log", n - n_dated,
                        n);
    for (size_t i = 0; i < n; i++) order[i] = dated[i].run;
    return order;
}

/* ---- writing it out ---- */

/* Where a piece belongs among those of its run: by task, start, and place in the log. */
struct key {
    int64_t at_ns;
    uint32_t task, piece;
};

struct keys { /* of one run; the room is used again for the next */
    struct key *key, *by_task;
    size_t n, room, room_by_task;
    uint32_t *n_before; /* [n_task + 1] of lower tasks */
};

static int compare_keys(const void *a, const void *b)
{
    const struct key *x = a, *y = b;

    if (x->task != y->task) return x->task < y->task ? -1 : 1;
    if (x->at_ns != y->at_ns) return x->at_ns < y->at_ns ? -1 : 1;
    return (x->piece > y->piece) - (x->piece < y->piece);
}

/* Each behind those of lower tasks and as they stand otherwise: a run goes through its tasks in turn. */
static void part_by_task(struct keys *keys, size_t n_task)
{
    if (keys->room_by_task < keys->n) {
        keys->by_task = wr_realloc(keys->by_task, keys->room, sizeof *keys->by_task);
        keys->room_by_task = keys->room;
    }
    memset(keys->n_before, 0, (n_task + 1) * sizeof *keys->n_before);
    for (size_t i = 0; i < keys->n; i++) keys->n_before[keys->key[i].task + 1]++;
    for (size_t t = 1; t < n_task; t++) keys->n_before[t] += keys->n_before[t - 1];
    for (size_t i = 0; i < keys->n; i++) keys->by_task[keys->n_before[keys->key[i].task]++] = keys->key[i];
    memcpy(keys->key, keys->by_task, keys->n * sizeof *keys->key);
}

/* Most logs have a task's rows in this order: then nothing is to be moved. */
static void sort_keys(struct keys *keys, size_t n_task)
{
    if (keys->n > n_task) part_by_task(keys, n_task);
    for (size_t i = 1; i < keys->n; i++)
        if (compare_keys(&keys->key[i - 1], &keys->key[i]) > 0) {
            qsort(keys->key, keys->n, sizeof *keys->key, compare_keys);
            return;
        }
}

static void gather_keys(const struct log_pieces *pieces, const struct log_run_state *run, struct keys *keys)
{
    keys->n = 0;
    for (const struct log_piece *p = first_of(pieces, run); p; p = next_of(pieces, p))
        *WR_PUSH(keys->key, keys->n, keys->room) =
            (struct key){counts_for_origin(p) ? offset_ns(run, p) : 0, p->task, (uint32_t)(p - pieces->piece)};
}

static struct wr_log_step step_of(const struct log_pieces *pieces, const struct key *key, uint32_t run_number)
{
    const struct log_piece *p = &pieces->piece[key->piece];
    struct wr_log_step step = {
        .run = run_number,
        .task = p->task,
        .step = pieces->steps.name[p->step].text,
        .outcome = (enum wr_outcome)p->outcome,
        .has_clock = counts_for_origin(p),
        .active_min = p->active_min,
        .hold_min = p->hold_min,
        .n_row = p->n_row,
        .crew = pieces->crews.name[p->crew].text,
        .performer = pieces->performers.name[p->performer].text,
        .file = p->file,
        .line = p->line,
    };

    if (step.has_clock) {
        step.start_min = (double)key->at_ns / (double)WR_NS_PER_MIN;
        step.end_min = (double)(key->at_ns + p->length_ns) / (double)WR_NS_PER_MIN;
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
        .date = run->date == WR_NO_NAME ? "" : pieces->dates.name[run->date].text,
        .day = day == NO_DAY ? WR_UNKNOWN : wr_known((double)day),
        .clock_min = tells_time_of_day(run) ? wr_known((double)time_of_day(run) / (double)WR_NS_PER_MIN) : WR_UNKNOWN,
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

const char *wr_log_run_date(const struct wr_log_run *run, char text[16])
{
    if (!run->day.known) return run->date;
    wr_date_text((int64_t)run->day.value, text);
    return text;
}

static const char **texts_of(const struct wr_names *names)
{
    const char **text = WR_NEW_ARRAY(const char *, names->n_name);

    for (size_t i = 0; i < names->n_name; i++) text[i] = names->name[i].text;
    return text;
}

static void write_steps(struct wr_run_log *log, const struct log_pieces *pieces, const uint32_t *order)
{
    struct keys keys = {.n_before = WR_NEW_ARRAY(uint32_t, log->n_task + 1)};

    log->room_step = pieces->n_piece;
    log->step = wr_realloc(NULL, log->room_step, sizeof *log->step);
    for (size_t i = 0; i < log->n_run; i++) {
        gather_keys(pieces, &pieces->run[order[i]], &keys);
        sort_keys(&keys, log->n_task);
        for (size_t k = 0; k < keys.n; k++) log->step[log->n_step++] = step_of(pieces, &keys.key[k], (uint32_t)i);
    }
    WR_FREE(keys.key, keys.by_task, keys.n_before);
}

void log_finish(struct wr_run_log *log, struct log_pieces *pieces, struct wr_findings *findings)
{
    find_origins(log, pieces, findings);
    take_names_for_dates(log, pieces, findings);
    WR_SCOPED uint32_t *order = order_runs(log, pieces, findings);
    log->task = texts_of(&pieces->tasks);
    log->n_task = log->room_task = pieces->tasks.n_name;
    log->attribute = texts_of(&pieces->attributes);
    log->n_attribute = log->room_attribute = pieces->attributes.n_name;
    log->n_run = log->room_run = pieces->n_run;
    log->run = WR_NEW_ARRAY(struct wr_log_run, log->n_run);
    for (size_t i = 0; i < log->n_run; i++) log->run[i] = run_of(pieces, order[i]);
    write_steps(log, pieces, order);
}
