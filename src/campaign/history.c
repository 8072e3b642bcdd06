#include <math.h>
#include <string.h>
#include "sheet.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/stats/quantile.h"

enum history_column { H_EXCURSION, H_KIND, H_POOL, H_FLIGHT, N_HISTORY_COLUMN };

static const struct sheet_column history_columns[N_HISTORY_COLUMN] = {
    [H_EXCURSION] = {"excursion", true, NULL},
    [H_KIND] = {"kind", true, NULL},
    [H_POOL] = {"pool", true, NULL},
    [H_FLIGHT] = {"flight", true, NULL},
};

static const char *take_text(struct wr_history *history, struct sheet *sheet, enum history_column column)
{
    const char *text = sheet_text(sheet, column);

    if (!text[0])
        sheet_error(sheet, column, "history-missing", "%s is missing: write it, or take the row out",
                    history_columns[column].name);
    return wr_arena_copy(&history->text, text, strlen(text));
}

static double take_minutes(struct sheet *sheet, enum history_column column)
{
    struct wr_maybe minutes;

    if (sheet_number(sheet, column, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &minutes) &&
        (!minutes.known || minutes.value == 0))
        sheet_error(sheet, column, "history-missing",
                    "%s needs minutes above 0: write how long it took, or take the row out",
                    history_columns[column].name);
    return minutes.value;
}

static bool same_work(const struct wr_history_row *a, const struct wr_history_row *b)
{
    return a->pool_min == b->pool_min && a->flight_min == b->flight_min && wr_same_but_for_spelling(a->kind, b->kind);
}

static bool same_excursion(const struct wr_history_row *a, const struct wr_history_row *b)
{
    return wr_same_but_for_spelling(a->excursion, b->excursion);
}

/* Its factor is what counts: one that nobody can mean is a slip of units, and a row that stands twice weighs twice. */
static void screen(const struct wr_history *history, struct sheet *sheet, const struct wr_history_row *row)
{
    enum { MOST_TIMES = 20 };
    double more = fmax(row->pool_min, row->flight_min), less = fmin(row->pool_min, row->flight_min);

    if (less > 0 && more > MOST_TIMES * less)
        sheet_error(sheet, H_FLIGHT, "history-far",
                    "pool %g and flight %g min are too far apart to be of the same work: "
                    "write both in minutes, or take the row out",
                    row->pool_min, row->flight_min);
    for (const struct wr_history_row *r = history->row; r < row; r++)
        if (same_work(r, row) && same_excursion(r, row)) {
            sheet_warn(sheet, H_EXCURSION, "history-twice",
                       "says the same as line %zu, and counts as well: if it is the "
                       "same work, take it out",
                       r->line);
            return;
        }
}

static void take_history(void *arg, struct sheet *sheet)
{
    struct wr_history *history = arg;
    struct wr_history_row *row = WR_PUSH(history->row, history->n_row, history->room);

    row->excursion = take_text(history, sheet, H_EXCURSION);
    row->kind = wr_alias_of(history->aliases, WR_NAME_WORK, take_text(history, sheet, H_KIND));
    row->pool_min = take_minutes(sheet, H_POOL);
    row->flight_min = take_minutes(sheet, H_FLIGHT);
    row->line = sheet->record->line;
    row->meant = wr_time_form_of(sheet_text(sheet, H_POOL)) == WR_TIME_UNIT &&
                 wr_time_form_of(sheet_text(sheet, H_FLIGHT)) == WR_TIME_UNIT;
    screen(history, sheet, row);
}

/* Of another excursion, or of that one alone; NULL: none. */
static const struct wr_history_row *twin_of(const struct wr_history *history, const struct wr_history_row *row,
                                            const struct wr_history_row *excursion)
{
    for (const struct wr_history_row *r = history->row; r < row; r++)
        if (same_work(r, row) && (excursion ? same_excursion(r, excursion) : !same_excursion(r, row))) return r;
    return NULL;
}

/* An excursion all of whose work took to the minute what it took in one above it: the same under another name. A single
 * row may well agree by chance. */
static void report_copies(const struct wr_history *history, const char *file, struct wr_findings *findings)
{
    const struct wr_history_row *end = history->row + history->n_row;

    for (const struct wr_history_row *first = history->row; first < end; first++) {
        const struct wr_history_row *twin = twin_of(history, first, NULL), *above = history->row;
        while (!same_excursion(above, first)) above++;
        if (!twin || above < first) continue;
        size_t n = 0, n_twin = 0;
        for (const struct wr_history_row *r = first; r < end; r++) {
            if (!same_excursion(r, first)) continue;
            n++;
            n_twin += twin_of(history, r, twin) != NULL;
        }
        if (n > 1 && n_twin == n)
            wr_findings_add(findings, WR_WARNING, "history-twice", file, first->line, 1,
                            "excursion '%.60s' took to the minute what '%.60s' took in all of its %zu rows, and counts "
                            "as well: if it is the same, take one out",
                            first->excursion, twin->excursion, n);
    }
}

static double log_factor(const struct wr_history_row *row)
{
    return log(row->flight_min / row->pool_min);
}

/* Work outside is seldom faster than in the pool (common practice, no source); by less it may well be chance. */
static void report_faster(struct wr_history *history, const char *file, struct wr_findings *findings)
{
    enum { FEW_ROWS = 4 };
    const double by = 0.02;
    double sum = 0;

    for (size_t i = 0; i < history->n_row; i++) sum += log_factor(&history->row[i]);
    double less = -expm1(sum / (double)history->n_row);
    if (history->n_row < FEW_ROWS || less <= by) return;
    history->faster = true;
    wr_findings_add(findings, WR_WARNING, "history-faster", file, 0, 0,
                    "over its %zu rows work took %.0f %% less in the excursion than in the pool: are the columns pool "
                    "and flight the right way round? If they are, leave the file out: pool times then count as they "
                    "are",
                    history->n_row, 100 * less);
}

/* One whose columns may be exchanged where the others' are not. How far excursions differ cannot be told of so few: of
 * made histories of 3 to 5, outside 10 % (20 %) slower and 6 % between excursions, it is found in 68 (95) of 100, and
 * 12 (1) of 100 are asked about without cause; where work outside takes as long as in the pool, 37, of excursions that
 * were indeed faster. So it is a question, and keeps nothing open. */
static void report_one_faster(const struct wr_history *history, const char *file, struct wr_findings *findings)
{
    enum { FEW_ROWS = 4 };
    const double by = 0.05;
    const struct wr_history_row *end = history->row + history->n_row;

    for (const struct wr_history_row *first = history->row; first < end; first++) {
        const struct wr_history_row *above = history->row;
        while (!same_excursion(above, first)) above++;
        if (above < first) continue;
        double sum = 0, others = 0;
        size_t n = 0, n_other = 0;
        for (const struct wr_history_row *r = history->row; r < end; r++) {
            bool is_of = same_excursion(r, first);
            *(is_of ? &sum : &others) += log_factor(r);
            ++*(is_of ? &n : &n_other);
        }
        if (n < FEW_ROWS || n_other < FEW_ROWS || others < 0 || -expm1(sum / (double)n) <= by) continue;
        wr_findings_add(findings, WR_WARNING, "history-one-faster", file, first->line, 1,
                        "over its %zu rows excursion '%.60s' took %.0f %% less than its work in the pool, the others "
                        "%.0f %% more: are its times in the columns pool and flight the right way round?",
                        n, first->excursion, -100 * expm1(sum / (double)n), 100 * expm1(others / (double)n_other));
    }
}

/* The median but for one of them that is this: ascending[n], at least two. */
static double median_without(const double *ascending, size_t n, double value)
{
    size_t at = 0, low = (n - 2) / 2, high = (n - 1) / 2;

    while (at + 1 < n && ascending[at] < value) at++;
    return (ascending[low + (low >= at)] + ascending[high + (high >= at)]) / 2;
}

/* What nobody measured of any work: twice as fast as in the pool, or three times as slow. */
static bool is_far(double factor)
{
    const double slow = 3, fast = 0.5;

    return factor >= slow || factor <= fast;
}

static void report_odd_row(struct wr_history *history, const struct wr_history_row *row, double others,
                           const char *file, struct wr_findings *findings)
{
    const double apart = 4;
    double factor = exp(log_factor(row));

    if (row->meant || !is_far(factor) || fabs(log(factor / others)) < log(apart)) return;
    history->odd = true;
    wr_findings_add(findings, WR_WARNING, "history-odd", file, row->line, 0,
                    "pool %g and flight %g min are a factor of %.3g, where the other rows typically have %.3g: a "
                    "decimal mark lost, or another unit? If it is meant, write both with their unit (%g min)",
                    row->pool_min, row->flight_min, factor, others, row->flight_min);
}

/* A decimal mark that was lost, or another unit: of all rows, and the model would follow, or of some, and it would take
 * work to scatter by as much. First performances took substantially longer (Kubis and McLaughlin 1975), so that a half
 * is further off than three times; three times is beyond two sd of the prior of the common factor (carry_over.c). Kinds
 * and rows are expected to differ by 0.2 in the log each, and four times the other rows is five of these; but a row may
 * go wrong in earnest, and so be meant. */
static void report_odd(struct wr_history *history, const char *file, struct wr_findings *findings)
{
    WR_SCOPED double *ascending = WR_NEW_ARRAY(double, history->n_row);

    for (size_t i = 0; i < history->n_row; i++) ascending[i] = log_factor(&history->row[i]);
    wr_sort_ascending(ascending, history->n_row);
    double typical = exp(wr_median(ascending, history->n_row));
    if (is_far(typical)) {
        history->odd = true;
        wr_findings_add(findings, WR_WARNING, "history-odd", file, 0, 0,
                        "over its %zu row%s work typically took %.3g times as long in the excursion as in the pool, "
                        "further off than any work is: a decimal mark lost, or a column in another unit?",
                        history->n_row, history->n_row == 1 ? "" : "s", typical);
    }
    for (size_t i = 0; i < history->n_row && history->n_row > 1; i++) {
        double others = median_without(ascending, history->n_row, log_factor(&history->row[i]));
        report_odd_row(history, &history->row[i], exp(others), file, findings);
    }
}

static bool is_same(const struct wr_history_row *row)
{
    return row->pool_min == row->flight_min;
}

/* Of one excursion, or of all of them: *n is how many rows. */
static size_t count_same(const struct wr_history *history, const struct wr_history_row *excursion, size_t *n)
{
    size_t n_same = *n = 0;

    for (size_t i = 0; i < history->n_row; i++) {
        if (excursion && !same_excursion(&history->row[i], excursion)) continue;
        ++*n;
        n_same += is_same(&history->row[i]);
    }
    return n_same;
}

/* A column copied, or filled down: no carry-over at all, and of that nobody could be so sure. One row in two may well
 * agree by chance, where minutes are whole. */
static void report_same(struct wr_history *history, const char *file, struct wr_findings *findings)
{
    for (size_t i = 0; i <= history->n_row && !history->same; i++) {
        const struct wr_history_row *row = i < history->n_row ? &history->row[i] : NULL;
        size_t n, n_same;
        if (row && !is_same(row)) continue;
        n_same = count_same(history, row, &n);
        if (n_same < 2 || 2 * n_same <= n) continue;
        history->same = true;
        wr_findings_add(findings, WR_WARNING, "history-same", file, row ? row->line : 0, 0,
                        "in %zu of the %zu rows%s%.60s%s flight is the same as pool to the last digit: was one column "
                        "copied into the other? Of how pool time carries over they say nothing",
                        n_same, n, row ? " of '" : "", row ? row->excursion : "", row ? "'" : "");
    }
}

static const char *kind_at(const void *plan, size_t i)
{
    return ((const struct wr_plan *)plan)->task[i].kind;
}

static bool plan_has_kind(const struct wr_plan *plan, const char *kind)
{
    for (size_t k = 0; k < plan->n_task; k++)
        if (wr_same_but_for_spelling(plan->task[k].kind, kind)) return true;
    return false;
}

/* A kind that no task has tells of kinds in general only, a misspelt one as well: each is said, at its first row. */
static void report_unused(const struct wr_history *history, const char *file, const struct wr_plan *plan,
                          struct wr_findings *findings)
{
    const struct wr_name_list kinds = {kind_at, plan, plan->n_task};

    for (size_t i = 0; i < history->n_row; i++) {
        const char *kind = history->row[i].kind;
        size_t first = 0;
        while (strcmp(history->row[first].kind, kind) != 0) first++;
        if (first < i || plan_has_kind(plan, kind)) continue;
        size_t near = wr_find_near(&kinds, kind);
        WR_SCOPED_STR meant = {0};
        if (near != SIZE_MAX) wr_str_addf(&meant, " (did you mean '%.60s'?)", kind_at(plan, near));
        wr_findings_add(findings, WR_WARNING, "history-kind", file, history->row[i].line, 1,
                        "the plan has no work of kind '%.60s'%s: it tells of kinds in general only", kind,
                        wr_str_text(&meant));
    }
}

enum wr_status wr_history_read_bytes(struct wr_history *history, const char *name, const char *bytes, size_t n,
                                     const struct wr_plan *plan, struct wr_findings *findings, struct wr_error *err)
{
    struct sheet sheet = {
        .file = name, .column = history_columns, .n_column = N_HISTORY_COLUMN, .row = take_history, .arg = history,
        .no_row = "no row below the header: add what was done in pool and flight, or leave the file out",
        .findings = findings, .err = err,
    };

    enum wr_status status = sheet_read(&sheet, bytes, n);
    if (status) return status;
    report_unused(history, name, plan, findings);
    report_copies(history, name, findings);
    report_faster(history, name, findings);
    if (!history->faster) report_one_faster(history, name, findings);
    report_odd(history, name, findings);
    report_same(history, name, findings);
    return WR_OK;
}

void wr_history_release(struct wr_history *history)
{
    wr_free(history->row);
    wr_arena_release(&history->text);
    *history = (struct wr_history){0};
}
