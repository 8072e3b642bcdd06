#include "log_survey.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "bare_times.h"
#include "log_sums.h"
#include "name_maps.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h"

/* ---- cells that are filled down ---- */

static const enum log_role fillable[] = {ROLE_RUN, ROLE_TASK, ROLE_STEP, ROLE_CREW, ROLE_PERFORMER, ROLE_DATE};

enum wr_status log_fill_parse(struct log_fill *fill, const char *text, struct wr_error *err)
{
    for (const char *at = text; at && *at;) {
        size_t n = strcspn(at, ","), i = 0;
        while (i < sizeof fillable / sizeof *fillable &&
               !(strlen(log_role_name(fillable[i])) == n && strncasecmp(log_role_name(fillable[i]), at, n) == 0))
            i++;
        if (i == sizeof fillable / sizeof *fillable)
            return wr_fail(err, WR_E_USAGE,
                           "--fill-down: '%.*s' is no column to fill: write run, task, step, crew, performer or date",
                           (int)(n < 60 ? n : 60), at);
        fill->on[fillable[i]] = fill->any = true;
        at += n + (at[n] == ',');
    }
    return WR_OK;
}

void log_fill_restart(struct log_fill *fill)
{
    for (size_t role = 0; role < N_ROLE; role++) {
        wr_str_clear(&fill->last[role]);
        fill->field[role] = (struct wr_csv_field){"", 0};
    }
}

void log_fill_row(struct log_fill *fill, const struct log_columns *columns)
{
    for (size_t role = 0; fill->any && role < N_ROLE; role++) {
        if (!fill->on[role]) continue;
        const struct wr_csv_field *f = columns->cell[role];
        if (!f->len) continue;
        wr_str_clear(&fill->last[role]);
        wr_str_add_bytes(&fill->last[role], f->text, f->len);
        fill->field[role] = (struct wr_csv_field){fill->last[role].text, fill->last[role].len};
    }
}

void log_fill_release(struct log_fill *fill)
{
    for (size_t role = 0; role < N_ROLE; role++) wr_str_release(&fill->last[role]);
    *fill = (struct log_fill){0};
}

/* ---- what is gathered ---- */

/* A further column. */
struct further {
    size_t n, n_not_done, n_number;
    bool varies;         /* within a run */
    uint32_t run;        /* of the value before */
    struct wr_str last;
};

struct looking {
    struct log_survey *survey;
    struct log_source *source;
    const struct wr_log_options *options;
    struct wr_names *attributes;
    struct wr_arena *arena;
    struct wr_findings *findings;
    struct wr_error *err;
    enum wr_status status;
    bool has_header;
    struct name_counts count[N_MAP];
    uint32_t last[N_MAP];
    uint32_t run; /* of the row */
    /* of the file */
    struct bare_times *times; /* by run, [map[MAP_RUN].raw.n_name] */
    size_t n_times;
    struct further *further; /* [columns.n_field] */
    size_t n_minutes, n_long_minutes, n_long_hours, n_short_minutes; /* of one text each; long and short: of numbers */
    struct {
        size_t n, n_tiny, n_short; /* below six seconds, below a minute */
        struct wr_csv_place first;
        char example[16];
    } hold; /* numbers above 0 */
    struct {
        size_t n_row, n_named, n_timed, n_without_run;
        struct wr_csv_place first;
    } merged; /* of rows that name a task */
    struct {
        size_t n_row, n;
        struct wr_csv_place first;
        char example[64];
    } struck;
    struct {
        size_t n, n_long;
        struct wr_csv_place first;
        char example[16];
    } colon; /* of minutes written with one */
    struct {
        size_t n;
        struct wr_csv_place first;
        char example[16];
    } above[N_ROLE]; /* cells that stand for the one above, in columns that are not filled down */
    struct { size_t n, n_day_first, n_month_first, n_open, line, column; char example[32]; } slash;
    struct {
        size_t n_with, n_without, line, column;
        char example[32];
    } zone; /* of times of day */
};

/* ---- one row ---- */

__attribute__((noinline)) static void grow_counts(struct name_counts *c)
{
    size_t room = c->room ? 2 * c->room : 64;

    c->n = wr_realloc(c->n, room, sizeof *c->n);
    c->line = wr_realloc(c->line, room, sizeof *c->line);
    c->file = wr_realloc(c->file, room, sizeof *c->file);
    memset(c->n + c->room, 0, (room - c->room) * sizeof *c->n);
    c->room = room;
}

static uint32_t count_name(struct looking *l, size_t which, const struct wr_csv_field *f, size_t line)
{
    struct name_counts *c = &l->count[which];
    uint32_t i = wr_names_add_next(&l->survey->map[which].raw, &l->survey->text, f->text, f->len, &l->last[which]);

    if (i >= c->room) grow_counts(c);
    if (c->n[i]++ == 0) {
        c->line[i] = line;
        c->file[i] = l->source->text.name;
    }
    return i;
}

static struct bare_times *times_of_run(struct looking *l)
{
    if (l->run >= l->n_times) {
        size_t room = 2 * (size_t)l->run + 16;
        l->times = wr_realloc(l->times, room, sizeof *l->times);
        memset(l->times + l->n_times, 0, (room - l->n_times) * sizeof *l->times);
        l->n_times = room;
    }
    return &l->times[l->run];
}

static void look_at_slash_date(struct looking *l, const struct wr_csv_record *record, enum log_role role,
                               const struct wr_csv_field *f)
{
    int first, second;

    if (!wr_slash_date_parts(f->text, f->len, &first, &second)) return;
    if (l->slash.n++ == 0) {
        struct wr_csv_place place = wr_csv_place_of_field(record, l->source->columns.at[role]);
        l->slash.line = place.line;
        l->slash.column = place.column;
        snprintf(l->slash.example, sizeof l->slash.example, "%.30s", f->text);
    }
    l->slash.n_day_first += first > 12;
    l->slash.n_month_first += second > 12;
    l->slash.n_open += first <= 12 && second <= 12 && first != second;
}

static inline void look_at_slashes(struct looking *l, const struct wr_csv_record *record, enum log_role role,
                                   const struct wr_csv_field *f)
{
    if (f->len >= 8 && (f->text[1] == '/' || f->text[2] == '/')) look_at_slash_date(l, record, role, f);
}

static void note_zone(struct looking *l, const struct wr_csv_record *record, enum log_role role,
                      const struct wr_csv_field *f)
{
    if (l->zone.n_with++ > 0) return;
    struct wr_csv_place place = wr_csv_place_of_field(record, l->source->columns.at[role]);
    l->zone.line = place.line;
    l->zone.column = place.column;
    snprintf(l->zone.example, sizeof l->zone.example, "%.30s", f->text);
}

static void look_at_time(struct looking *l, const struct wr_csv_record *record, enum log_role role)
{
    const struct wr_csv_field *f = l->source->columns.cell[role];

    if (f->len == 0) return;
    struct bare_times *t = times_of_run(l);
    struct wr_bare_shape shape = {0};
    struct wr_log_time time;
    if (wr_parse_plain_clock(f->text, f->len, &time)) {
        l->zone.n_without++;
        t->n_other++;
        return;
    }
    struct wr_time_core core;
    bool marked = wr_cut_time_marks(f->text, f->len, &core);
    if (marked && core.zone) note_zone(l, record, role, f);
    l->zone.n_without += !marked || !core.zone;
    if (!memchr(f->text, ':', f->len)) shape = wr_bare_shape_of(f->text, f->len, l->source->habits.decimal_comma);
    if (shape.is_number) {
        if (t->n_bare == 0) {
            struct wr_csv_place place = wr_csv_place_of_field(record, l->source->columns.at[role]);
            t->line = place.line;
            t->column = place.column;
        }
        bare_times_add(t, f->text, &shape, role == ROLE_START);
        return;
    }
    t->n_other++;
    look_at_slashes(l, record, role, f);
}

/* 0:26 is hours and minutes, 26:10 would be too many of them. */
static void look_at_colon(struct looking *l, const struct wr_csv_record *record, const struct wr_csv_field *f)
{
    const char *colon = f->len ? strchr(f->text, ':') : NULL;

    if (!colon || colon != strrchr(f->text, ':')) return;
    l->colon.n++;
    if (colon - f->text != 2 || strncmp(f->text, "12", 2) < 0 || f->text[0] > '9') return;
    if (l->colon.n_long++ > 0) return;
    l->colon.first = wr_csv_place_of_field(record, l->source->columns.at[ROLE_MINUTES]);
    snprintf(l->colon.example, sizeof l->colon.example, "%.8s", f->text);
}

static void look_at_minutes(struct looking *l, const struct wr_csv_record *record)
{
    const struct wr_csv_field *f = l->source->columns.cell[ROLE_MINUTES];
    double minutes;
    enum wr_spelling spelling;

    look_at_colon(l, record, f);
    if (f->len == 0 || wr_written_span(f->text, &l->source->habits, &minutes, &spelling)) return;
    bool bare = spelling == WR_PLAIN || spelling == WR_SP_DECIMAL_COMMA;
    l->n_minutes++;
    l->n_long_minutes += minutes > 480 && bare;
    l->n_long_hours += minutes > 480 && spelling == WR_SP_HMM;
    l->n_short_minutes += minutes > 0 && minutes < 1 && bare;
}

static void look_at_hold(struct looking *l, const struct wr_csv_record *record)
{
    const struct wr_csv_field *f = l->source->columns.cell[ROLE_HOLD];
    double minutes;
    enum wr_spelling spelling;

    if (f->len == 0 || (f->len == 1 && f->text[0] == '0')) return; /* as most */
    if (wr_written_number(f->text, &l->source->habits, &minutes, &spelling) || !(minutes > 0)) return;
    if (l->hold.n++ == 0) {
        l->hold.first = wr_csv_place_of_field(record, l->source->columns.at[ROLE_HOLD]);
        snprintf(l->hold.example, sizeof l->hold.example, "%.15s", f->text);
    }
    l->hold.n_tiny += minutes < 0.1;
    l->hold.n_short += minutes < 1;
}

static bool is_outcome_word(const char *text, bool *done)
{
    *done = strcasecmp(text, "done") == 0;
    return *done || strcasecmp(text, "stopped") == 0 || strcasecmp(text, "skipped") == 0;
}

static void look_at_further(struct looking *l, const struct wr_csv_record *record, size_t field)
{
    struct further *a = &l->further[field];
    const struct wr_csv_field *f = &record->field[field];
    double minutes;
    enum wr_spelling spelling;
    bool done;

    if (f->len == 0 || strcmp(f->text, "-") == 0) return;
    a->n++;
    if (is_outcome_word(f->text, &done)) a->n_not_done += !done;
    a->n_number += !wr_written_span(f->text, &l->source->habits, &minutes, &spelling);
    if (a->run == l->run && a->last.len && strcmp(a->last.text, f->text) != 0) a->varies = true;
    if (a->run == l->run && a->last.len) return;
    a->run = l->run;
    wr_str_clear(&a->last);
    wr_str_add_bytes(&a->last, f->text, f->len);
}

static enum wr_csv_next look_at_header(struct looking *l, const struct wr_csv_record *record)
{
    struct log_source *s = l->source;

    l->has_header = true;
    l->status = log_columns_read(&s->columns, record, s->text.name, &l->survey->mapping, l->attributes, l->arena,
                                 &s->read_as, l->findings, l->err);
    if (l->status != WR_OK) return WR_CSV_STOP;
    l->further = WR_NEW_ARRAY(struct further, s->columns.n_field);
    return WR_CSV_GO_ON;
}

static void look_at_dittos(struct looking *l, const struct wr_csv_record *record)
{
    const struct log_columns *columns = &l->source->columns;

    for (size_t i = 0; columns->has_word && i < sizeof fillable / sizeof *fillable; i++) {
        const struct wr_csv_field *f = log_cell_as_it_is(columns, record, fillable[i]);
        if (!f->len || l->survey->fill.on[fillable[i]] || columns->cell[fillable[i]]->len) continue;
        if (l->above[fillable[i]].n++ > 0) continue;
        l->above[fillable[i]].first = wr_csv_place_of_field(record, columns->at[fillable[i]]);
        snprintf(l->above[fillable[i]].example, sizeof l->above[fillable[i]].example, "%s", f->text);
    }
}

static void look_at_signs(struct looking *l, const struct wr_csv_record *record)
{
    l->struck.n_row++;
    if (record->field[0].text[0] != '#' || !row_may_be_struck(record) || l->struck.n++ > 0) return;
    l->struck.first = (struct wr_csv_place){record->line, 1};
    snprintf(l->struck.example, sizeof l->struck.example, "%.60s", record->field[0].text);
}

static enum wr_csv_next look_at_record(void *arg, const struct wr_csv_record *record)
{
    struct looking *l = arg;
    const struct log_columns *columns = &l->source->columns;
    struct log_fill *fill = &l->survey->fill;

    if (!l->has_header) return look_at_header(l, record);
    if (record->trouble || row_is_none(record)) return WR_CSV_GO_ON;
    look_at_signs(l, record);
    log_columns_take(&l->source->columns, record);
    if (log_row_is_sum(columns, l->options)) return WR_CSV_GO_ON;
    look_at_dittos(l, record);
    log_fill_row(fill, columns);
    const struct wr_csv_field *run = log_field(fill, columns, ROLE_RUN),
                              *task = log_field(fill, columns, ROLE_TASK);
    if (task->len && l->merged.n_row++ > 0 && !run->len && l->merged.n_without_run++ == 0)
        l->merged.first = wr_csv_place_of_field(record, columns->at[ROLE_RUN]);
    l->merged.n_named += task->len && run->len;
    l->merged.n_timed += task->len && (columns->cell[ROLE_START]->len ||
                                       columns->cell[ROLE_END]->len ||
                                       columns->cell[ROLE_MINUTES]->len);
    if (!run->len || !task->len) return WR_CSV_GO_ON;
    l->run = count_name(l, MAP_RUN, run, record->line);
    count_name(l, MAP_TASK, task, record->line);
    count_name(l, MAP_CREW, log_field(fill, columns, ROLE_CREW), record->line);
    count_name(l, MAP_PERFORMER, log_field(fill, columns, ROLE_PERFORMER), record->line);
    look_at_time(l, record, ROLE_START);
    look_at_time(l, record, ROLE_END);
    look_at_minutes(l, record);
    look_at_hold(l, record);
    look_at_slashes(l, record, ROLE_DATE, log_field(fill, columns, ROLE_DATE));
    for (size_t i = 0; columns->n_attribute && i < columns->n_field && i < record->n_field; i++)
        if (columns->attribute[i] != WR_NO_NAME) look_at_further(l, record, i);
    return WR_CSV_GO_ON;
}

/* ---- what is open after one file ---- */

WR_PRINTF(5, 6)
static void open_question(struct looking *l, const char *code, size_t line, size_t column, const char *fmt, ...)
{
    char text[900];

    WR_FORMAT(text, fmt);
    wr_findings_add(l->findings, WR_ERROR, code, l->source->text.name, line, column, "%s", text);
    if (l->status == WR_OK)
        l->status = wr_fail(l->err, WR_E_INPUT, "%s:%zu:%zu: %s", l->source->text.name, line, column, text);
}

struct bare_sum {
    size_t n_run, n_of[MAY_BE_DAY + 1];
    bool beyond_doubt; /* 0905: nobody writes minutes so */
    bool one_decimal, ends_in_zero, fraction;
    const struct bare_times *first[MAY_BE_DAY + 1];
};

static struct bare_sum sum_up(const struct looking *l)
{
    struct bare_sum sum = {.beyond_doubt = true};

    for (size_t r = 0; r < l->n_times; r++) {
        const struct bare_times *t = &l->times[r];
        if (t->n_bare == 0 || t->n_other > 0) continue;
        enum bare_doubt doubt = bare_times_doubt(t);
        sum.n_run++;
        sum.n_of[doubt]++;
        if (!sum.first[doubt]) sum.first[doubt] = t;
        sum.one_decimal |= t->n_one_decimal > 0;
        sum.ends_in_zero |= t->n_ends_in_zero > 0;
        sum.fraction |= t->n_fraction > 0;
        if (!bare_times_are_clock(t)) sum.beyond_doubt = false;
    }
    return sum;
}

static bool any_leading_zero(const struct looking *l)
{
    for (size_t r = 0; r < l->n_times; r++)
        if (l->times[r].n_zero) return true;
    return false;
}

static void ask_about_times(struct looking *l, enum bare_doubt doubt, const struct bare_times *t)
{
    const char *other = doubt == MAY_BE_DAY ? "day" : "clock";
    char of_day[WR_CLOCK_TEXT];

    bare_times_other_reading(t->example, doubt, l->source->habits.decimal_comma, of_day);
    open_question(
        l, "times-ambiguous", t->line, t->column,
        "'%s' may be the time of day %s%s or %s minutes since the run began: --times %s or --times elapsed says which",
        t->example, of_day, doubt == MAY_BE_DAY ? ", as a fraction of a day," : "", t->example, other);
}

static void decide_times(struct looking *l)
{
    struct wr_habits *h = &l->source->habits;
    struct bare_sum sum = sum_up(l);

    h->whole_hours = sum.fraction;
    h->zeros_were_dropped = sum.one_decimal && !sum.ends_in_zero;
    h->colons_are_elapsed = l->options->times == WR_TIMES_ELAPSED;
    switch (l->options->times) {
    case WR_TIMES_UNSAID: break;
    case WR_TIMES_12H:
    case WR_TIMES_CLOCK: h->bare = WR_BARE_CLOCK; return;
    case WR_TIMES_DAY: h->bare = WR_BARE_DAY; return;
    case WR_TIMES_ELAPSED: return;
    }
    if (sum.n_run > 0 && sum.n_of[MAY_BE_BARE_CLOCK] == sum.n_run && sum.beyond_doubt && any_leading_zero(l)) {
        h->bare = WR_BARE_CLOCK;
        return;
    }
    for (int doubt = MAY_BE_POINT_CLOCK; doubt <= MAY_BE_DAY; doubt++) {
        if (!sum.first[doubt]) continue;
        if (2 * sum.n_of[NO_DOUBT] < sum.n_run) {
            ask_about_times(l, (enum bare_doubt)doubt, sum.first[doubt]);
            return;
        }
        wr_findings_add(l->findings, WR_WARNING, "times-doubtful", l->source->text.name, sum.first[doubt]->line,
                        sum.first[doubt]->column,
                        "the times of %zu run%s of this file could be times of day (the first is "
                        "'%s'); like those of the other runs they are read as elapsed minutes",
                        sum.n_of[doubt], sum.n_of[doubt] == 1 ? "" : "s", sum.first[doubt]->example);
    }
}

static void decide_dates(struct looking *l)
{
    enum wr_date_order *order = &l->source->habits.order;

    *order = l->options->dates;
    if (*order != WR_ORDER_UNKNOWN || l->slash.n == 0) return;
    if (l->slash.n_day_first && !l->slash.n_month_first) *order = WR_DAY_FIRST;
    else if (l->slash.n_month_first && !l->slash.n_day_first) *order = WR_MONTH_FIRST;
    else if (l->slash.n_open)
        open_question(l, "dates-ambiguous", l->slash.line, l->slash.column,
                      "'%s': day or month first? --dates dmy or --dates mdy says which", l->slash.example);
}

/* ", ditto: the one above, as it seems. All such columns in one question. */
static void decide_dittos(struct looking *l)
{
    WR_SCOPED_STR columns = {0};
    size_t first = N_ROLE, n = 0;

    for (size_t i = 0; i < sizeof fillable / sizeof *fillable; i++) {
        if (!l->above[fillable[i]].n) continue;
        if (first == N_ROLE) first = fillable[i];
        n += l->above[fillable[i]].n;
        wr_str_addf(&columns, "%s%s", columns.len ? "," : "", log_role_name(fillable[i]));
    }
    if (n)
        open_question(l, "as-above", l->above[first].first.line, l->above[first].first.column,
                      "'%s' (%zu such cell%s): does it mean what the row above says? add --fill-down %s; else write it "
                      "out",
                      l->above[first].example, n, n == 1 ? "" : "s", columns.text);
}

/* The run named in its first row only: one question for all its rows. */
static void decide_merged(struct looking *l)
{
    enum { FEW = 2 }; /* slips */

    if (l->above[ROLE_RUN].n || l->merged.n_without_run <= FEW || 2 * l->merged.n_without_run < l->merged.n_row) return;
    if (l->merged.n_named == 0 && l->merged.n_timed == 0) {
        open_question(l, "run-once", l->merged.first.line, l->merged.first.column,
                      "none of %zu rows names a run or has a time: a log sheet that is still to be filled in? write "
                      "run and times into it, or leave the file out",
                      l->merged.n_row);
        return;
    }
    if (l->merged.n_named == 0) {
        open_question(l, "run-once", l->merged.first.line, l->merged.first.column,
                      "none of %zu rows names a run: write one in every row, or in the first and add --fill-down run",
                      l->merged.n_row);
        return;
    }
    open_question(l, "run-once", l->merged.first.line, l->merged.first.column,
                  "%zu of %zu rows name no run: do they belong to the run above? add --fill-down run; else write the "
                  "run in every row",
                  l->merged.n_without_run, l->merged.n_row);
}

/* Where all rows begin so it is how this file names its runs: #1, #2. */
static void decide_struck(struct looking *l)
{
    if (l->struck.n == 0 || l->struck.n == l->struck.n_row) return;
    open_question(l, "struck-out", l->struck.first.line, l->struck.first.column,
                  "%zu of %zu rows begin%s with '#' (the first with '%s'): take them out if they do not count; if that "
                  "is a name, write it in quotes",
                  l->struck.n, l->struck.n_row, l->struck.n == 1 ? "s" : "", l->struck.example);
}

/* A mark at some times and none at others: perhaps two clocks, hours apart. */
static void decide_zone(struct looking *l)
{
    if (l->zone.n_with == 0 || l->zone.n_without == 0) return;
    open_question(
        l, "zone-ambiguous", l->zone.line, l->zone.column,
        "'%s' names a zone and %zu other time%s of this file do%s not: two clocks, or one? write all times by "
        "one clock, with the mark at all of them or at none",
        l->zone.example, l->zone.n_without, l->zone.n_without == 1 ? "" : "s", l->zone.n_without == 1 ? "es" : "");
}

/* Not a slip, but how this file writes: then 9:40 is no 9 hours either. */
static void decide_colons(struct looking *l)
{
    enum { SHARE = 5 };

    if (l->colon.n_long < 2 || SHARE * l->colon.n_long < l->colon.n) return;
    open_question(l, "minutes-ambiguous", l->colon.first.line, l->colon.first.column,
                  "'%s' and %zu more of %zu: hours and minutes, or minutes and seconds? write all of them as h:mm:ss "
                  "(0:26:10), or as minutes (26.17)",
                  l->colon.example, l->colon.n_long - 1, l->colon.n);
}

/* Then the log's times are held against the plan's, which settles the unit (timing/implausible.h). */
static bool plan_has_times(const struct wr_plan *plan)
{
    for (size_t k = 0; plan && k < plan->n_task; k++)
        if (plan->task[k].planned_min.known) return true;
    return false;
}

static void decide_minutes(struct looking *l)
{
    decide_colons(l);
    l->source->habits.minutes_per_unit = l->options->minutes_per_unit;
    if (l->options->minutes_per_unit > 0) return;
    if (2 * l->n_long_hours > l->n_minutes)
        open_question(l, "minutes-ambiguous", l->source->start.csv.line, 1,
                      "%zu of %zu steps would take more than 8 hours: minutes and seconds? write all of them as "
                      "h:mm:ss (0:09:10), or as minutes (9.17)",
                      l->n_long_hours, l->n_minutes);
    if (2 * l->n_long_minutes > l->n_minutes)
        open_question(l, "minutes-ambiguous", l->source->start.csv.line, 1,
                      "%zu of %zu steps would take more than 8 hours: are the minutes seconds? --minutes-in seconds or "
                      "--minutes-in minutes says which",
                      l->n_long_minutes, l->n_minutes);
    if (2 * l->n_short_minutes > l->n_minutes && !plan_has_times(l->options->plan))
        open_question(l, "minutes-ambiguous", l->source->start.csv.line, 1,
                      "%zu of %zu steps would take less than a minute: are the minutes hours? --minutes-in hours or "
                      "--minutes-in minutes says which; hours and minutes are written h:mm (0:45)",
                      l->n_short_minutes, l->n_minutes);
    if (l->hold.n_tiny > 0 && l->hold.n_short == l->hold.n)
        open_question(l, "minutes-ambiguous", l->hold.first.line, l->hold.first.column,
                      "hold '%s' would be less than a minute, as all holds would, and some a few seconds: hours? "
                      "--minutes-in hours or --minutes-in minutes says which; hours and minutes are written h:mm "
                      "(0:03)",
                      l->hold.example);
}

/* What must be typed besides where a header says that its numbers are no minutes: "hold (s)". */
static const char *unit_option(const char *folded)
{
    if (strstr(folded, "(s") || strstr(folded, "[s") || strcmp(folded, "holds") == 0 || strstr(folded, "sec"))
        return " with --minutes-in seconds";
    return strstr(folded, "(h") || strstr(folded, "[h") ? " with --minutes-in hours" : "";
}

/* An outcome or a hold that stands in a further column would be lost without a word. */
static void decide_further(struct looking *l, size_t field, const char *name, struct wr_csv_place place)
{
    const struct log_columns *c = &l->source->columns;
    const struct further *a = &l->further[field];
    WR_SCOPED_STR folded = {0};
    const struct log_mapping *m = &l->survey->mapping;

    wr_fold_name(&folded, name, strlen(name));
    if (!c->has[ROLE_OUTCOME] && !m->column[ROLE_OUTCOME] && a->n > 0 &&
        (a->n_not_done > 0 || (a->varies && log_names_outcome(folded.text))))
        open_question(
            l, "column-unread", place.line, place.column,
            "column '%.60s' may say what became of each step, and would be passed over: --columns outcome=\"%.60s\" "
            "takes it so (done, stopped, skipped; names.csv translates other words), --columns outcome=- says "
            "that it does not",
            name, name);
    bool surely, speaks = log_speaks_of_hold(name, &surely);
    if (c->has[ROLE_HOLD] || m->column[ROLE_HOLD] || a->n == 0 || a->n_number < a->n) return;
    if (surely || log_names_hold(folded.text))
        open_question(
            l, "column-unread", place.line, place.column,
            "column '%.60s' may be the minutes of holds, and would be passed over: --columns hold=\"%.60s\"%s takes it "
            "so, --columns hold=- says that it is not",
            name, name, unit_option(folded.text));
    else if (speaks && (a->varies || a->n < l->merged.n_row))
        wr_findings_add(l->findings, WR_WARNING, "column-unread", l->source->text.name, place.line, place.column,
                        "column '%.60s' is not read: if it is minutes of holds they count as work. --columns "
                        "hold=\"%.60s\"%s takes it so, --columns hold=- says that it is not",
                        name, name, unit_option(folded.text));
}

/* The header's names are in the text only while its record lives: it is read once more. */
static enum wr_csv_next decide_columns(void *arg, const struct wr_csv_record *header)
{
    struct looking *l = arg;

    for (size_t i = 0; i < header->n_field; i++)
        if (l->source->columns.attribute[i] != WR_NO_NAME)
            decide_further(l, i, header->field[i].text, wr_csv_place_of_field(header, i));
    return WR_CSV_STOP;
}

/* ---- files ---- */

static void release_file(struct looking *l)
{
    for (size_t i = 0; l->further && i < l->source->columns.n_field; i++) wr_str_release(&l->further[i].last);
    WR_FREE(l->further, l->times);
    l->further = NULL;
    l->times = NULL;
    l->n_times = 0;
    l->n_minutes = l->n_long_minutes = l->n_long_hours = l->n_short_minutes = 0;
    memset(&l->hold, 0, sizeof l->hold);
    memset(&l->slash, 0, sizeof l->slash);
    memset(&l->zone, 0, sizeof l->zone);
    memset(&l->merged, 0, sizeof l->merged);
    memset(&l->colon, 0, sizeof l->colon);
    memset(&l->struck, 0, sizeof l->struck);
    memset(&l->above, 0, sizeof l->above);
}

static void look_at_file(struct looking *l)
{
    const char *names[MOST_COLUMN_NAMES];
    struct log_source *s = l->source;
    size_t n_names = log_column_names(&l->survey->mapping, names);

    table_start_find(&s->start, s->text.bytes, s->text.n, names, n_names);
    s->habits.decimal_comma = s->start.csv.delimiter != ',';
    if (s->start.lines_above)
        wr_read_as_note(&s->read_as, WR_SP_ABOVE, s->start.first_above, 1, s->start.above, NULL);
    l->has_header = false;
    for (size_t m = 0; m < N_MAP; m++) l->last[m] = WR_NO_NAME;
    log_fill_restart(&l->survey->fill);
    wr_csv_read(s->text.bytes, s->text.n, &s->start.csv, look_at_record, l);
    if (!l->has_header)
        l->status = wr_fail(l->err, WR_E_INPUT,
                            "%s: it is empty: write a header, as run,task,crew,start,end (`wetrun "
                            "start FOLDER` writes one), or put the log back that was here",
                            s->text.name);
    if (l->status != WR_OK) return;
    decide_times(l);
    decide_dittos(l);
    decide_merged(l);
    decide_struck(l);
    decide_zone(l);
    decide_dates(l);
    decide_minutes(l);
    wr_csv_read(s->text.bytes, s->text.n, &s->start.csv, decide_columns, l);
}

enum wr_status log_survey_make(struct log_survey *survey, const struct wr_log_text *text, size_t n_text,
                               const struct wr_log_options *options, struct wr_names *attributes,
                               struct wr_arena *arena, struct wr_findings *findings, struct wr_error *err)
{
    struct looking l = {.survey = survey, .options = options, .attributes = attributes, .arena = arena,
                        .findings = findings, .err = err};

    l.status = log_mapping_parse(&survey->mapping, options->columns, options->aliases, arena, err);
    survey->mapping.crew_needed = !options->plan;
    if (l.status == WR_OK) l.status = log_fill_parse(&survey->fill, options->fill_down, err);
    if (l.status != WR_OK) return l.status;
    survey->source = WR_NEW_ARRAY(struct log_source, n_text);
    survey->n_source = n_text;
    for (size_t i = 0; i < n_text && l.status == WR_OK; i++) {
        l.source = &survey->source[i];
        l.source->text = text[i];
        look_at_file(&l);
        release_file(&l);
    }
    if (l.status == WR_OK) l.status = log_mapping_check(&survey->mapping, err);
    if (l.status == WR_OK) log_mapping_doubt(&survey->mapping, findings);
    if (l.status == WR_OK && name_maps_decide(survey, l.count, options, findings, err)) l.status = WR_E_INPUT;
    for (size_t m = 0; m < N_MAP; m++) {
        WR_FREE(l.count[m].n, l.count[m].line, l.count[m].file);
    }
    return l.status;
}

void log_survey_release(struct log_survey *survey)
{
    for (size_t i = 0; i < survey->n_source; i++) log_columns_release(&survey->source[i].columns);
    wr_free(survey->source);
    for (size_t m = 0; m < N_MAP; m++) {
        wr_names_release(&survey->map[m].raw);
        WR_FREE(survey->map[m].meant, survey->map[m].spelling);
    }
    log_fill_release(&survey->fill);
    wr_arena_release(&survey->text);
    *survey = (struct log_survey){0};
}
