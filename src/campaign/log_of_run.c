/* A row that was understood, put where it belongs: the facts of its run, and the pieces of its task. */
#include <string.h>
#include "crew_text.h"
#include "log_reading.h"

/* ---- what belongs to the run ---- */

static uint32_t number_of(struct reading *r, struct wr_names *names, const struct wr_csv_field *f, uint32_t *last)
{
    return wr_names_add_next(names, &r->log->text, f->text, f->len, last);
}

uint32_t log_new_run(struct reading *r, const struct wr_csv_record *record)
{
    uint32_t index = number_of(r, &r->pieces.runs, log_meant_by(r, ROLE_RUN, MAP_RUN), &r->run);
    struct log_run_state *run = log_pieces_new_run(&r->pieces);

    run->line = record->line;
    run->file = r->file_index;
    return index;
}

__attribute__((cold)) static void take_new_date(struct reading *r, const struct wr_csv_record *record,
                                                uint32_t run_index, uint32_t date)
{
    const struct wr_csv_field *f = log_field_of(r, ROLE_DATE);
    struct log_run_state *run = &r->pieces.run[run_index];
    const char *id = r->pieces.runs.name[run_index].text;
    enum wr_spelling spelling;
    int64_t day;

    if (run->date == date) return;
    const char *trouble = wr_written_date(f->text, f->len, &r->source->habits, &day, &spelling);
    if (trouble) {
        if (!run->date_reported)
            log_warn(r, record, ROLE_DATE, WR_WARNING, "bad-date", "date '%.60s' of run '%.60s': %s", f->text, id,
                     trouble);
        run->date_reported = true;
        return;
    }
    if (spelling != WR_PLAIN) {
        char meant[16];
        wr_date_text(day, meant);
        log_note_spelling(r, record, ROLE_DATE, spelling, meant);
    }
    if (run->day != NO_DAY && run->day != day && !run->date_reported) {
        log_warn(r, record, ROLE_DATE, WR_WARNING, "date-varies",
                 "run '%.60s' has the date %.60s here and %.60s before; the earlier day counts", id, f->text,
                 r->pieces.dates.name[run->date].text);
        run->date_reported = true;
    }
    if (run->day != NO_DAY && run->day <= day) return;
    run->day = day;
    run->date = date;
}

static void take_date(struct reading *r, const struct wr_csv_record *record, uint32_t run)
{
    const struct wr_csv_field *f = log_field_of(r, ROLE_DATE);
    uint32_t before = r->date;

    if (f->len == 0) return;
    uint32_t date = number_of(r, &r->pieces.dates, f, &r->date);
    if (date == before && run == r->dated_run) return;
    r->dated_run = run;
    take_new_date(r, record, run, date);
}

static void widen_attributes(struct log_run_state *run, size_t n)
{
    run->attribute = wr_realloc(run->attribute, n, sizeof *run->attribute);
    for (size_t i = run->n_attribute; i < n; i++) run->attribute[i] = NULL;
    run->n_attribute = n;
}

static void take_attribute(struct reading *r, const struct wr_csv_record *record, struct log_run_state *run,
                           size_t field)
{
    const struct wr_csv_field *f = &record->field[field];
    uint32_t a = r->source->columns.attribute[field];

    if (f->len == 0 || (run->attribute[a] && r->attribute_varies[a])) return;
    if (!run->attribute[a]) {
        uint32_t value = wr_names_add(&r->pieces.values, &r->log->text, f->text, f->len);
        run->attribute[a] = r->pieces.values.name[value].text;
    } else if (strcmp(run->attribute[a], f->text) != 0) {
        struct wr_csv_place place = wr_csv_place_of_field(record, field);
        r->attribute_varies[a] = true;
        wr_findings_add(r->findings, WR_NOTE, "attribute-varies", r->file, place.line, place.column,
                        "column '%.60s' differs within a run; the run's first value is kept",
                        r->pieces.attributes.name[a].text);
    }
}

static void take_attributes(struct reading *r, const struct wr_csv_record *record, struct log_run_state *run)
{
    if (!r->source->columns.n_attribute) return;
    if (run->n_attribute < r->pieces.attributes.n_name) widen_attributes(run, r->pieces.attributes.n_name);
    for (size_t i = 0; i < r->source->columns.n_field; i++)
        if (i < record->n_field && r->source->columns.attribute[i] != WR_NO_NAME) take_attribute(r, record, run, i);
}

void log_take_run_facts(struct reading *r, const struct wr_csv_record *record, uint32_t index, const struct row *row)
{
    struct log_run_state *run = &r->pieces.run[index];

    run->n_row++;
    if (run->kind == WR_TIME_NONE) run->kind = row->kind;
    if ((row->kind == WR_TIME_STAMP || row->kind == WR_TIME_ZONED) &&
        (run->stamp_day == NO_DAY || row->day < run->stamp_day))
        run->stamp_day = row->day;
    if (run->file != r->file_index && !run->files_reported) {
        run->files_reported = true;
        log_warn(r, record, ROLE_RUN, WR_NOTE, "run-in-two-files", "run '%.60s' is in %.200s as well",
                 r->pieces.runs.name[index].text, r->log->file[run->file]);
    }
    take_date(r, record, index);
    take_attributes(r, record, run);
}

/* ---- pieces ---- */

__attribute__((cold)) static void report_duplicate(struct reading *r, const struct wr_csv_record *record,
                                                   const struct log_piece *first, const struct log_piece *again)
{
    bool same = first->length_ns == again->length_ns && first->outcome == again->outcome &&
                first->active_min == again->active_min && /* so that the hold is the same */
                first->crew == again->crew && first->performer == again->performer;

    r->log->rows_duplicate++;
    if (same)
        log_warn(r, record, ROLE_START, WR_WARNING, "duplicate-row",
                 "the same run, task, step and start as in %.200s line %zu; counted once", r->log->file[first->file],
                 first->line);
    else
        log_warn(
            r, record, ROLE_START, WR_WARNING, "duplicate-differs",
            "the same run, task, step and start as in %.200s line %zu, but not the same otherwise; the first is kept",
            r->log->file[first->file], first->line);
}

struct other_lanes {
    const char *crew;
    bool shared;
};

static void look_for_part(void *arg, const char *part, size_t len)
{
    struct other_lanes *o = arg;
    const char *at = o->crew;

    while (len && at) {
        size_t n = strcspn(at, "+");
        if (n == len && memcmp(at, part, len) == 0) o->shared = true;
        at = at[n] ? at + n + 1 : NULL;
    }
}

static void join_names(struct reading *r, struct wr_names *names, uint32_t *name, uint32_t other)
{
    WR_SCOPED_STR both = {0};

    if (*name == other || !names->name[other].len) return;
    wr_str_addf(&both, "%s%s%s", names->name[*name].text, names->name[*name].len ? "+" : "", names->name[other].text);
    *name = wr_names_add(names, &r->log->text, both.text, both.len);
}

/* One step logged in a row for each of its lanes: the lanes did it together, until the last had ended. */
static bool join_lanes(struct reading *r, const struct wr_csv_record *record, struct log_piece *first,
                       const struct log_piece *again)
{
    struct wr_names *crews = &r->pieces.crews;
    struct other_lanes o = {.crew = crews->name[again->crew].text};

    if (first->crew == again->crew || !crews->name[first->crew].len || !o.crew[0]) return false;
    crew_parts(crews->name[first->crew].text, false, look_for_part, &o);
    if (o.shared) return false;
    join_names(r, crews, &first->crew, again->crew);
    join_names(r, &r->pieces.performers, &first->performer, again->performer);
    if (again->length_ns > first->length_ns) {
        first->length_ns = again->length_ns;
        first->active_min = again->active_min;
        first->hold_min = again->hold_min;
    }
    if (again->outcome == WR_STOPPED) first->outcome = WR_STOPPED;
    first->n_row++;
    wr_read_as_note(&r->source->read_as, WR_SP_LANE_ROWS, record->line, 1, NULL, NULL);
    return true;
}

/* Adds a row to a record that stands for several. Clock times turn in a circle: the new start lies within 12 h of the
 * old one. */
static void merge(struct log_piece *into, const struct log_piece *p, enum wr_time_kind kind)
{
    int64_t ahead = p->start_ns - into->start_ns;

    if (kind == WR_TIME_CLOCK && ahead > HALF_DAY_NS) ahead -= WR_NS_PER_DAY;
    if (kind == WR_TIME_CLOCK && ahead < -HALF_DAY_NS) ahead += WR_NS_PER_DAY;
    int64_t end = ahead + p->length_ns > into->length_ns ? ahead + p->length_ns : into->length_ns;
    int64_t begin = ahead < 0 ? ahead : 0;
    into->start_ns += begin;
    if (kind == WR_TIME_CLOCK && into->start_ns < 0) into->start_ns += WR_NS_PER_DAY;
    into->length_ns = end - begin;
    into->active_min += p->active_min;
    into->hold_min += p->hold_min;
    into->n_row++;
    if (p->outcome == WR_STOPPED) into->outcome = WR_STOPPED;
}

/* The row of the cell that this one repeats, or NO_PIECE. */
static uint32_t find_original(const struct log_pieces *pieces, const struct log_cell *cell, const struct log_piece *p)
{
    if (p->has_start) return log_pieces_find_start(pieces, cell, p->start_ns);
    for (uint32_t i = cell->first; i != NO_PIECE; i = pieces->piece[i].next)
        if (!pieces->piece[i].has_start && pieces->piece[i].outcome == p->outcome) return i;
    return NO_PIECE;
}

/* A further start of a cell that has one. */
static void add_further(struct reading *r, const struct wr_csv_record *record, struct log_cell *cell,
                        const struct log_piece *p)
{
    if (cell->n >= WR_MOST_PIECES) {
        log_warn(r, record, ROLE_TASK, WR_WARNING, "many-pieces",
                 "more than %d starts of one step of task '%.60s' in one run; from here on they are added up, and "
                 "duplicates among them go unnoticed",
                 WR_MOST_PIECES, r->pieces.tasks.name[p->task].text);
        cell->overflow = log_pieces_add(&r->pieces, cell, p);
    } else {
        log_pieces_add(&r->pieces, cell, p);
    }
}

/* Minutes of one lane, then of another: one step of both, or one after the other? */
static bool are_of_other_lanes(const struct log_pieces *pieces, const struct log_piece *a, const struct log_piece *b)
{
    return !crews_may_share_a_lane(pieces->crews.name[a->crew].text, pieces->crews.name[b->crew].text);
}

/* Rows without a start and without a step add up: they have nothing that tells a repeated row from a further one. */
static bool add_up(struct reading *r, const struct wr_csv_record *record, const struct log_cell *cell,
                   const struct log_piece *p)
{
    if (p->has_start || p->outcome == WR_SKIPPED || log_field_of(r, ROLE_STEP)->len) return false;
    uint32_t i = find_original(&r->pieces, cell, p);
    if (i == NO_PIECE) return false;
    struct log_piece *q = &r->pieces.piece[i];
    if (q->n_row == 1 && q->active_min == p->active_min && q->hold_min == p->hold_min)
        log_warn(r, record, ROLE_MINUTES, WR_WARNING, "repeated-row",
                 "the same minutes as in %.200s line %zu; without a start or a step both count", r->log->file[q->file],
                 q->line);
    else if (are_of_other_lanes(&r->pieces, q, p))
        log_warn(r, record, ROLE_CREW, WR_WARNING, "repeated-row",
                 "minutes of another lane than in %.200s line %zu, for the same task: both count, one after the other; "
                 "of one step together write one row, with the lanes joined by +",
                 r->log->file[q->file], q->line);
    q->active_min += p->active_min;
    q->hold_min += p->hold_min;
    q->n_row++;
    return true;
}

static void add_to_cell(struct reading *r, const struct wr_csv_record *record, struct log_cell *cell,
                        const struct log_piece *p)
{
    uint32_t original;

    if (cell->overflow != NO_PIECE && p->has_start)
        merge(&r->pieces.piece[cell->overflow], p, r->pieces.run[p->run].kind);
    else if (add_up(r, record, cell, p)) return;
    else if ((original = find_original(&r->pieces, cell, p)) != NO_PIECE) {
        if (!join_lanes(r, record, &r->pieces.piece[original], p))
            report_duplicate(r, record, &r->pieces.piece[original], p);
    }
    else if (p->has_start) add_further(r, record, cell, p);
    else log_pieces_add(&r->pieces, cell, p); /* at most one per outcome */
}

void log_add_piece(struct reading *r, const struct wr_csv_record *record, uint32_t run, const struct row *row)
{
    struct log_piece p = {
        .run = run,
        .task = number_of(r, &r->pieces.tasks, log_meant_by(r, ROLE_TASK, MAP_TASK), &r->task),
        .step = number_of(r, &r->pieces.steps, log_field_of(r, ROLE_STEP), &r->step),
        .crew = number_of(r, &r->pieces.crews, log_meant_by(r, ROLE_CREW, MAP_CREW), &r->crew),
        .performer =
            number_of(r, &r->pieces.performers, log_meant_by(r, ROLE_PERFORMER, MAP_PERFORMER), &r->performer),
        .n_row = 1,
        .file = (uint16_t)r->file_index,
        .outcome = (uint8_t)row->outcome,
        .has_start = row->has_start,
        .start_ns = row->start_ns,
        .length_ns = row->length_ns,
        .active_min = row->active_min,
        .hold_min = row->hold_min,
        .line = record->line,
    };
    uint32_t *first = log_pieces_first(&r->pieces, run, p.task, p.step);

    if (*first == NO_PIECE) log_pieces_begin(&r->pieces, first, &p);
    else add_to_cell(r, record, log_pieces_cell(&r->pieces, *first), &p);
}
