#include "log_half_day.h"

#include <stdio.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"

#define HOUR_NS (60 * WR_NS_PER_MIN)

static const int64_t longest_row_ns = 6 * HOUR_NS, /* more is rather a slip than a step */
    least_apart_ns = 2 * HOUR_NS;

static bool is_on_its_dial(int64_t ns)
{
    return ns >= HOUR_NS && ns < 13 * HOUR_NS;
}

void half_day_note_row(struct reading *r, const struct wr_csv_record *record, int64_t start_ns, int64_t end_ns)
{
    int64_t length_ns = end_ns - start_ns + HALF_DAY_NS;

    if (!is_on_its_dial(start_ns) || !is_on_its_dial(end_ns) || length_ns <= 0 || length_ns > longest_row_ns ||
        r->half_day.line)
        return;
    r->half_day.file = r->file_index;
    r->half_day.line = record->line;
    snprintf(r->half_day.from, sizeof r->half_day.from, "%s", log_field_of(r, ROLE_START)->text);
    snprintf(r->half_day.to, sizeof r->half_day.to, "%s", log_field_of(r, ROLE_END)->text);
}

struct arc { int64_t begin, end; };

static int by_begin(const void *a, const void *b)
{
    const struct arc *x = a, *y = b;

    return (x->begin > y->begin) - (x->begin < y->begin);
}

static bool counts(const struct log_piece *p)
{
    return p->has_start && p->outcome != WR_SKIPPED;
}

/* The run's pieces on a circle of that period; how many. */
static size_t gather(struct arc *arc, const struct log_pieces *pieces, const struct log_run_state *run,
                     int64_t period_ns)
{
    size_t n = 0;

    for (uint32_t i = run->first_piece; i != NO_PIECE; i = pieces->piece[i].next_of_run) {
        const struct log_piece *p = &pieces->piece[i];
        int64_t begin = p->start_ns % period_ns;
        if (counts(p)) arc[n++] = (struct arc){begin, begin + p->length_ns};
    }
    return n;
}

/* How long the run takes on a circle of that period, and where on it it begins: behind the largest empty arc. */
static int64_t span_on_circle(struct arc *arc, size_t n, int64_t period_ns, int64_t *first_ns)
{
    int64_t reach = INT64_MIN, best = 0;

    qsort(arc, n, sizeof *arc, by_begin);
    for (size_t i = 0; i < n; i++) reach = arc[i].end > reach ? arc[i].end : reach;
    reach -= period_ns;
    *first_ns = arc[0].begin;
    for (size_t i = 0; i < n; i++) {
        if (arc[i].begin - reach > best) {
            best = arc[i].begin - reach;
            *first_ns = arc[i].begin;
        }
        if (arc[i].end > reach) reach = arc[i].end;
    }
    return period_ns - best;
}

/* Every time of the log stands on such a clock; false: there is none. */
static bool all_on_its_dial(const struct log_pieces *pieces)
{
    size_t n = 0;

    for (size_t i = 0; i < pieces->n_piece; i++) {
        const struct log_piece *p = &pieces->piece[i];
        if (!counts(p) || pieces->run[p->run].kind != WR_TIME_CLOCK) continue;
        n++;
        if (!is_on_its_dial(p->start_ns) || !is_on_its_dial((p->start_ns + p->length_ns) % WR_NS_PER_DAY)) return false;
    }
    return n > 0;
}

static double in_min(int64_t ns)
{
    return (double)ns / (double)WR_NS_PER_MIN;
}

static enum wr_status ask(const struct reading *r, uint32_t file, size_t line, const char *what)
{
    const char *name = r->log->file[file];
    enum wr_status status =
        wr_fail(r->err, WR_E_INPUT,
                "%s:%zu: %s, and no time of the log is behind 12:59: --times 12h says that they are of a clock of "
                "twelve hours, --times clock that they are as they stand",
                name, line, what);

    wr_findings_add(r->findings, WR_ERROR, "times-half-day", name, line, 0,
                    "%s, and no time of the log is behind 12:59: --times 12h says that they are of a clock of twelve "
                    "hours, --times clock that they are as they stand",
                    what);
    return status;
}

static enum wr_status ask_of_run(const struct reading *r, size_t run, int64_t as_it_stands, int64_t twelve)
{
    const struct log_run_state *of = &r->pieces.run[run];
    char what[200];

    snprintf(what, sizeof what, "run '%.60s' takes %s as its times stand, %s on a clock of twelve hours",
             r->pieces.runs.name[run].text, wr_hmm(in_min(as_it_stands), WR_ROOM), wr_hmm(in_min(twelve), WR_ROOM));
    return ask(r, of->file, of->line, what);
}

enum wr_status half_day_ask(const struct reading *r)
{
    const struct log_pieces *pieces = &r->pieces;
    char what[160];

    if (r->options->times != WR_TIMES_UNSAID || !all_on_its_dial(pieces)) return WR_OK;
    if (r->half_day.line) {
        snprintf(what, sizeof what, "a step goes from %.31s to %.31s", r->half_day.from, r->half_day.to);
        return ask(r, r->half_day.file, r->half_day.line, what);
    }
    WR_SCOPED struct arc *arc = WR_NEW_ARRAY(struct arc, pieces->n_piece);
    for (size_t run = 0; run < pieces->n_run; run++) {
        int64_t first;
        size_t n = pieces->run[run].kind == WR_TIME_CLOCK
                       ? gather(arc, pieces, &pieces->run[run], WR_NS_PER_DAY) : 0;
        if (n == 0) continue;
        int64_t as_it_stands = span_on_circle(arc, n, WR_NS_PER_DAY, &first);
        gather(arc, pieces, &pieces->run[run], HALF_DAY_NS);
        int64_t twelve = span_on_circle(arc, n, HALF_DAY_NS, &first);
        if (twelve < HALF_DAY_NS && as_it_stands - twelve >= least_apart_ns)
            return ask_of_run(r, run, as_it_stands, twelve);
    }
    return WR_OK;
}

void half_day_unwind(struct log_pieces *pieces)
{
    WR_SCOPED struct arc *arc = WR_NEW_ARRAY(struct arc, pieces->n_piece);

    for (size_t run = 0; run < pieces->n_run; run++) {
        const struct log_run_state *of = &pieces->run[run];
        size_t n = of->kind == WR_TIME_CLOCK ? gather(arc, pieces, of, HALF_DAY_NS) : 0;
        int64_t first;
        if (n == 0) continue;
        span_on_circle(arc, n, HALF_DAY_NS, &first);
        for (uint32_t i = of->first_piece; i != NO_PIECE; i = pieces->piece[i].next_of_run) {
            struct log_piece *p = &pieces->piece[i];
            if (p->has_start) p->start_ns = first + (p->start_ns - first + WR_NS_PER_DAY) % HALF_DAY_NS;
        }
    }
}
