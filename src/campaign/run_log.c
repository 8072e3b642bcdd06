#include "wetrun/campaign/run_log.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "log_half_day.h"
#include "log_oddities.h"
#include "log_reading.h"
#include "log_sums.h"
#include "wetrun/io/text_file.h"

enum { MOST_LOG_FILES = 65535 };

/* ---- rows ---- */

static void report_oddities(struct reading *r, const struct wr_csv_record *record, const struct row *row)
{
    double length_min = (double)row->length_ns / (double)WR_NS_PER_MIN;

    if (!row->has_start && row->has_minutes) length_min = row->minutes;
    if (row->outcome == WR_SKIPPED) {
        if (length_min > 0)
            log_warn(r, record, ROLE_OUTCOME, WR_WARNING, "skipped-but-timed",
                     "task '%.60s' of run '%.60s' is skipped, and yet its row has times, of %.6g min, that do not "
                     "count as its own: write done, or stopped if cut off; if it was never begun, leave them empty",
                     log_meant_by(r, ROLE_TASK, MAP_TASK)->text,
                     log_meant_by(r, ROLE_RUN, MAP_RUN)->text, length_min);
        return;
    }
    if (length_min == 0.0) log_warn(r, record, ROLE_START, WR_WARNING, "zero-step", "the step takes no time");
    else if (row->active_min == 0.0) log_warn(r, record, ROLE_HOLD, WR_WARNING, "all-hold", "the whole step is a hold");
    if (length_min > 720.0)
        log_warn(r, record, ROLE_START, WR_WARNING, "long-step", "the step takes %.4g h", length_min / 60.0);
    if (row->has_minutes && row->kind != WR_TIME_MINUTES && fabs(row->minutes - length_min) > 1.0)
        log_warn(r, record, ROLE_MINUTES, WR_WARNING, "minutes-differ",
                 "minutes says %.6g, start and end say %.6g; start and end count", row->minutes, length_min);
}

static bool accept(struct reading *r, const struct wr_csv_record *record, const struct row *row)
{
    const struct wr_csv_field *f = log_meant_by(r, ROLE_RUN, MAP_RUN);
    uint32_t run = wr_names_find_next(&r->pieces.runs, f->text, f->len, &r->run);

    if (run == WR_NO_NAME) { /* numbered only now that its row is accepted */
        run = log_new_run(r, record);
    } else {
        enum wr_time_kind kind = r->pieces.run[run].kind;
        if (row->kind != WR_TIME_NONE && kind != WR_TIME_NONE && row->kind != kind)
            return log_reject(r, record, ROLE_START, "row-mixed-times",
                              "it is logged in %s, the run's earlier rows in %s: write all of a run alike%s",
                              wr_time_kind_text(row->kind), wr_time_kind_text(kind),
                              row->kind == WR_TIME_ELAPSED && kind == WR_TIME_CLOCK
                                  ? ", or add --times clock if it is a time of day"
                                  : "");
    }
    r->log->rows_accepted++;
    if (row->active_min == 0.0 || row->length_ns > HALF_DAY_NS || row->has_minutes)
        report_oddities(r, record, row);
    log_warn_of_remarks(r, record);
    log_take_run_facts(r, record, run, row);
    log_add_piece(r, record, run, row);
    log_note_names(r, record);
    return true;
}

static enum wr_csv_next take_header(struct reading *r, const struct wr_csv_record *record)
{
    r->has_header = true;
    r->source->columns.field = NULL; /* this reader puts its fields elsewhere than the one of the survey */
    r->header = wr_realloc(r->header, record->n_raw, 1);
    memcpy(r->header, record->raw, record->n_raw);
    r->n_header = record->n_raw;
    struct wr_log_facts *facts = WR_PUSH(r->log->facts, r->log->n_facts, r->log->room_facts);
    *facts = (struct wr_log_facts){.delimiter = record->delimiter, .header_line = record->line};
    for (size_t role = 0; role < N_ROLE; role++) {
        const struct wr_csv_field *f = &record->field[r->source->columns.at[role]];
        if (!r->source->columns.has[role]) continue;
        facts->role[facts->n_column] = log_role_name((enum log_role)role);
        facts->column[facts->n_column++] = wr_arena_copy(&r->log->text, f->text, f->len);
    }
    WR_SCOPED_STR offer = {0};
    if (!r->source->columns.has[ROLE_CREW]) log_columns_offer_crew(&r->source->columns, record, &offer);
    facts->crew_offer = wr_arena_copy(&r->log->text, offer.len ? offer.text : "", offer.len);
    r->log->has_crew |= r->source->columns.has[ROLE_CREW];
    r->log->has_performer |= r->source->columns.has[ROLE_PERFORMER];
    return WR_CSV_GO_ON;
}

/* Fields beyond those that the header names, with something in them. */
static bool has_surplus(const struct reading *r, const struct wr_csv_record *record)
{
    for (size_t i = r->source->columns.n_field; i < record->n_field; i++)
        if (record->field[i].len) return true;
    return false;
}

/* Neither task nor run nor a whole time, or neither task nor times: not of the table, if no row follows. */
static bool may_be_footer(const struct reading *r)
{
    const struct log_columns *c = &r->source->columns;
    bool starts = c->cell[ROLE_START]->len > 0, ends = c->cell[ROLE_END]->len > 0;

    if (c->cell[ROLE_TASK]->len) return false;
    return (!starts && !ends) || (starts != ends && !c->cell[ROLE_RUN]->len);
}

static void keep_footer(struct reading *r, const struct wr_csv_record *record)
{
    *WR_PUSH(r->footer, r->n_footer, r->room_footer) = (struct footer){
        record->line, record->n_raw, record->raw, wr_csv_place_of_field(record, r->source->columns.at[ROLE_TASK])};
}

/* A row follows: what seemed to stand below the table stands within it. */
static void reject_footers(struct reading *r)
{
    for (size_t i = 0; i < r->n_footer; i++) {
        const struct footer *f = &r->footer[i];
        const struct wr_csv_record record = {.line = f->line, .raw = f->raw, .n_raw = f->n_raw};
        r->log->rows_read++;
        log_report_rejected(r, &record, f->place, "row-no-task", "it names no task");
    }
    r->n_footer = 0;
}

static void note_footers(struct reading *r)
{
    for (size_t i = 0; i < r->n_footer; i++) {
        char begin[64];
        snprintf(begin, sizeof begin, "%.*s", (int)(r->footer[i].n_raw < 60 ? r->footer[i].n_raw : 60),
                 r->footer[i].raw);
        wr_read_as_note(&r->source->read_as, WR_SP_FOOTER, r->footer[i].line, 1, begin, NULL);
    }
    r->n_footer = 0;
}

/* What a rejected row stood for was done, as far as the row can be made out. */
__attribute__((cold)) static void note_lost(struct reading *r, const struct wr_csv_record *record)
{
    if (record->trouble || strcasecmp(log_field_of(r, ROLE_OUTCOME)->text, "skipped") == 0) return;
    const struct log_lost_fields fields = {
        .run = log_meant_by(r, ROLE_RUN, MAP_RUN)->text,
        .task = log_meant_by(r, ROLE_TASK, MAP_TASK)->text,
        .step = log_field_of(r, ROLE_STEP)->text,
        .start = log_field_of(r, ROLE_START)->text,
        .end = log_field_of(r, ROLE_END)->text,
        .habits = &r->source->habits,
    };
    log_lost_note(&r->lost, &fields, r->file_index, record->line);
}

static enum wr_csv_next take_record(void *arg, const struct wr_csv_record *record)
{
    struct reading *r = arg;
    struct row row;

    if (!r->has_header) return take_header(r, record);
    if (row_is_none(record)) {
        wr_read_as_note(&r->source->read_as, row_is_empty(record) ? WR_SP_EMPTY_ROW : WR_SP_COMMENT, record->line, 1,
                        record->field[0].text, NULL);
        return WR_CSV_GO_ON;
    }
    bool shapeless = record->trouble || has_surplus(r, record);
    if (!record->trouble) log_columns_take(&r->source->columns, record);
    if (!shapeless && log_row_is_sum(&r->source->columns, r->options)) {
        const struct wr_csv_field *task = r->source->columns.cell[ROLE_TASK];
        wr_read_as_note(&r->source->read_as, WR_SP_SUM, record->line, 1,
                        task->len ? task->text : r->source->columns.cell[ROLE_RUN]->text, NULL);
        return WR_CSV_GO_ON;
    }
    if (!shapeless && may_be_footer(r)) {
        keep_footer(r, record);
        return WR_CSV_GO_ON;
    }
    reject_footers(r);
    r->log->rows_read++;
    if (!shapeless) log_fill_row(&r->survey.fill, &r->source->columns);
    if (shapeless) {
        log_reject_shape(r, record);
        note_lost(r, record);
    } else if (record->n_raw == r->n_header && memcmp(record->raw, r->header, r->n_header) == 0) {
        log_reject(r, record, ROLE_RUN, "row-header-again", "it is the header again: take it out");
    } else if (!log_understand_row(r, record, &row) || !accept(r, record, &row)) {
        note_lost(r, record);
    }
    return WR_CSV_GO_ON;
}

/* ---- files ---- */

static void read_one(struct reading *r, struct log_source *source)
{
    r->source = source;
    r->has_header = false;
    for (size_t m = 0; m < N_MAP; m++) r->raw[m] = WR_NO_NAME;
    log_fill_restart(&r->survey.fill);
    wr_csv_read(source->text.bytes, source->text.n, &source->start.csv, take_record, r);
    note_footers(r);
    wr_read_as_report(&source->read_as, r->file, r->findings);
}

/* Runs that are named in the logs, and of which nothing is left. */
static void report_lost_runs(struct reading *r)
{
    const struct name_map *map = &r->survey.map[MAP_RUN];
    WR_RELEASED_BY(wr_names_release) struct wr_names lost = {0};

    for (size_t i = 0; i < map->raw.n_name; i++) {
        const struct wr_csv_field *meant = &map->meant[i];
        if (wr_names_find(&r->pieces.runs, meant->text, meant->len) != WR_NO_NAME) continue;
        size_t before = lost.n_name;
        wr_names_add(&lost, &r->log->text, meant->text, meant->len);
        if (lost.n_name == before) continue;
        *WR_PUSH(r->log->lost_run, r->log->n_lost_run, r->log->room_lost_run) = lost.name[before].text;
        wr_findings_add(r->findings, WR_ERROR, "run-lost", r->log->file[0], 0, 0,
                        "run '%.60s': every row of it was rejected, and the results know nothing of it; `wetrun check "
                        "--rejected FILE` writes them",
                        lost.name[before].text);
    }
}

/* Tasks that are named in the logs, and of which nothing is left: without a plan nothing else knows of them. */
static void report_lost_tasks(struct reading *r)
{
    const struct name_map *map = &r->survey.map[MAP_TASK];
    WR_RELEASED_BY(wr_names_release) struct wr_names lost = {0};

    for (size_t i = 0; i < map->raw.n_name; i++) {
        const struct wr_csv_field *meant = &map->meant[i];
        if (wr_names_find(&r->pieces.tasks, meant->text, meant->len) != WR_NO_NAME) continue;
        size_t before = lost.n_name;
        wr_names_add(&lost, &r->log->text, meant->text, meant->len);
        if (lost.n_name > before)
            wr_findings_add(r->findings, WR_ERROR, "task-lost", r->log->file[0], 0, 0,
                            "task '%.60s': every row of it was rejected, and no rehearsal says how long it takes; "
                            "`wetrun check --rejected FILE` writes them",
                            lost.name[before].text);
    }
}

/* What is left need not be like what was lost: the rows of long tasks, of bad days. */
static void report_many_rejected(struct reading *r)
{
    enum { ONE_IN = 10 };
    const struct wr_run_log *log = r->log;

    if (log->rows_rejected * ONE_IN > log->rows_read && log->rows_accepted)
        wr_findings_add(r->findings, WR_WARNING, "many-rejected", log->file[0], 0, 0,
                        "%zu of %zu rows were rejected, and what is left may tell another story; `wetrun check` says "
                        "of each what to type",
                        log->rows_rejected, log->rows_read);
}

static enum wr_status check_result(struct reading *r)
{
    const struct wr_run_log *log = r->log;

    WR_BUG_IF(log->rows_read != log->rows_accepted + log->rows_rejected);
    if (log->rows_accepted) return WR_OK;
    if (!log->rows_read && r->options->may_be_empty) {
        wr_findings_add(r->findings, WR_NOTE, "log-empty", r->file, 0, 0, "no rehearsal is logged yet");
        return WR_OK;
    }
    if (!log->rows_read)
        return wr_fail(r->err, WR_E_INPUT,
                       "%s: no rows below the header: add those of a rehearsal (`wetrun logsheet` is a log to fill in)",
                       log->file[0]);
    const struct wr_finding *f = r->findings->finding;
    while (strncmp(f->code, "row-", 4) != 0) f++; /* the first of a code is always kept */
    return wr_fail(r->err, WR_E_INPUT, "all %zu rows were rejected; the first: %s:%zu:%zu: %s", log->rows_read,
                   f->file, f->line, f->column, f->message);
}

static void read_all(struct reading *r)
{
    r->n_attribute_varies = r->pieces.attributes.n_name;
    r->attribute_varies = WR_NEW_ARRAY(bool, r->n_attribute_varies);
    for (size_t i = 0; i < r->survey.n_source; i++) {
        r->file_index = (uint32_t)i;
        r->file = r->log->file[i];
        read_one(r, &r->survey.source[i]);
    }
    report_lost_runs(r);
    report_lost_tasks(r);
    report_many_rejected(r);
}

enum wr_status wr_run_log_read_texts(struct wr_run_log *log, const struct wr_log_text *text, size_t n_text,
                                     const struct wr_log_options *options, struct wr_findings *findings,
                                     struct wr_error *err)
{
    static const struct wr_log_options none = {0};
    struct reading r = {
        .log = log,
        .options = options ? options : &none,
        .findings = findings,
        .err = err,
        .run = WR_NO_NAME,
        .task = WR_NO_NAME,
        .step = WR_NO_NAME,
        .crew = WR_NO_NAME,
        .performer = WR_NO_NAME,
        .date = WR_NO_NAME,
        .dated_run = WR_NO_NAME,
    };

    if (n_text == 0) return wr_fail(err, WR_E_INPUT, "no step log was named");
    if (n_text > MOST_LOG_FILES)
        return wr_fail(err, WR_E_INPUT, "more than %d step logs: put several of them into one file", MOST_LOG_FILES);
    log->minutes_whole = r.options->minutes_whole;
    for (size_t i = 0; i < n_text; i++)
        *WR_PUSH(log->file, log->n_file, log->room_file) =
            wr_arena_copy(&log->text, text[i].name, strlen(text[i].name));
    enum wr_status status =
        log_survey_make(&r.survey, text, n_text, r.options, &r.pieces.attributes, &log->text, findings, err);
    if (status == WR_OK) {
        read_all(&r);
        status = half_day_ask(&r);
        if (status == WR_OK) status = check_result(&r);
    }
    if (status == WR_OK) {
        if (r.options->times == WR_TIMES_12H) half_day_unwind(&r.pieces);
        log_lost_list(&r.lost, &r.pieces, log, findings);
        log_finish(log, &r.pieces, findings);
        log_find_oddities(&(struct oddities){log, r.options, findings});
    }
    log_lost_release(&r.lost);
    log_survey_release(&r.survey);
    log_pieces_release(&r.pieces);
    WR_FREE(r.header, r.footer, r.attribute_varies);
    return status;
}

enum wr_status wr_run_log_read(struct wr_run_log *log, const char *const *path, size_t n_path,
                               const struct wr_log_options *options, struct wr_findings *findings, struct wr_error *err)
{
    WR_SCOPED struct wr_text *file = WR_NEW_ARRAY(struct wr_text, n_path);
    WR_SCOPED struct wr_log_text *text = WR_NEW_ARRAY(struct wr_log_text, n_path);
    enum wr_status status = WR_OK;

    for (size_t i = 0; i < n_path && status == WR_OK; i++) {
        status = wr_text_read(&file[i], path[i], err);
        text[i] = (struct wr_log_text){path[i], file[i].bytes, file[i].n};
    }
    if (status == WR_OK) status = wr_run_log_read_texts(log, text, n_path, options, findings, err);
    for (size_t i = 0; i < n_path; i++) wr_text_release(&file[i]);
    return status;
}

enum wr_status wr_run_log_read_bytes(struct wr_run_log *log, const char *name, const char *bytes, size_t n,
                                     const struct wr_log_options *options, struct wr_findings *findings,
                                     struct wr_error *err)
{
    const struct wr_log_text text = {name, bytes ? bytes : "", n};

    return wr_run_log_read_texts(log, &text, 1, options, findings, err);
}

size_t wr_run_log_steps_of(const struct wr_run_log *log, const char *task, const char **step, size_t most)
{
    WR_SCOPED const struct wr_log_step **first = WR_NEW_ARRAY(const struct wr_log_step *, most);
    size_t n = 0;

    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        size_t at = 0;
        if (s->step[0] == '\0' || strcmp(log->task[s->task], task) != 0) continue;
        while (at < n && strcmp(first[at]->step, s->step) != 0) at++;
        if (at == most) continue;
        if (at == n) first[n++] = s;
        else if (!wr_log_step_is_above(s, first[at])) continue;
        for (; at > 0 && wr_log_step_is_above(s, first[at - 1]); at--) first[at] = first[at - 1];
        first[at] = s;
    }
    for (size_t i = 0; i < n; i++) step[i] = first[i]->step;
    return n;
}

void wr_run_log_release(struct wr_run_log *log)
{
    for (size_t i = 0; i < log->n_run; i++) wr_free(log->run[i].attribute);
    WR_FREE(log->file, log->run, log->task, log->step, log->attribute, log->facts, log->lost, log->lost_run);
    wr_arena_release(&log->text);
    *log = (struct wr_run_log){0};
}
