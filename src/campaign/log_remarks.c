/* What is said of a row: that it was read as something else, or not at all. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "log_reading.h"

/* ---- what was not in the plain form ---- */

void log_note_spelling(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                       enum wr_spelling spelling, const char *meant)
{
    struct wr_csv_place place = wr_csv_place_of_field(record, r->source->columns.at[role]);

    bool person = role == ROLE_PERFORMER; /* whose name may not be for everybody */
    wr_read_as_note(&r->source->read_as, spelling, place.line, place.column,
                    person ? NULL : log_field_of(r, role)->text, person ? NULL : meant);
}

void log_note_minutes(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                      enum wr_spelling spelling, double minutes)
{
    char meant[40];

    if (spelling == WR_PLAIN) return;
    snprintf(meant, sizeof meant, "%.6g min", minutes);
    log_note_spelling(r, record, role, spelling, meant);
}

void log_note_time(struct reading *r, const struct wr_csv_record *record, enum log_role role, enum wr_spelling spelling,
                   const struct wr_log_time *time)
{
    char meant[WR_CLOCK_TEXT + 32], of_day[WR_CLOCK_TEXT];
    bool dated = time->kind == WR_TIME_STAMP || time->kind == WR_TIME_ZONED;

    if (spelling == WR_PLAIN) return;
    double minutes = (double)(dated ? time->ns - time->day * WR_NS_PER_DAY : time->ns) / (double)WR_NS_PER_MIN;
    if (time->kind == WR_TIME_ELAPSED) snprintf(meant, sizeof meant, "%.6g min elapsed", minutes);
    else
        snprintf(meant, sizeof meant, "%s%s", time->kind == WR_TIME_CLOCK ? "" : "date and ",
                 wr_hmmss(minutes, of_day));
    log_note_spelling(r, record, role, spelling, meant);
}

void log_note_names(struct reading *r, const struct wr_csv_record *record)
{
    const struct log_columns *c = &r->source->columns;
    static const enum log_role role[N_MAP] = {ROLE_RUN, ROLE_TASK, ROLE_CREW, ROLE_PERFORMER},
                               measured[] = {ROLE_START, ROLE_END, ROLE_MINUTES, ROLE_HOLD};

    for (size_t m = 0; m < N_MAP; m++) {
        const struct name_map *map = &r->survey.map[m];
        if (!map->changes || r->raw[m] == WR_NO_NAME) continue;
        if (map->spelling[r->raw[m]] != WR_PLAIN)
            log_note_spelling(r, record, role[m], map->spelling[r->raw[m]], map->meant[r->raw[m]].text);
    }
    for (size_t k = 0; r->survey.fill.any && k < N_ROLE; k++)
        if (r->survey.fill.on[k] && log_field_of(r, (enum log_role)k)->len && !c->cell[k]->len)
            wr_read_as_note(&r->source->read_as, WR_SP_FILLED, record->line, 1, NULL, NULL);
    for (size_t k = 0; c->has_word && k < sizeof measured / sizeof *measured; k++) {
        const struct wr_csv_field *cell = log_cell_as_it_is(c, record, measured[k]);
        if (cell->len && !c->cell[measured[k]]->len)
            wr_read_as_note(&r->source->read_as, WR_SP_NOTHING, record->line, 1, cell->text, NULL);
    }
    if (record->n_field < c->n_field)
        wr_read_as_note(&r->source->read_as, WR_SP_MISSING_FIELDS, record->line, 1, NULL, NULL);
}

/* ---- rejection ---- */

void log_report_rejected(struct reading *r, const struct wr_csv_record *record, struct wr_csv_place place,
                         const char *code, const char *reason)
{
    r->log->rows_rejected++;
    wr_findings_add(r->findings, WR_ERROR, code, r->file, place.line, place.column, "row rejected: %s", reason);
    if (r->options && r->options->rejected)
        r->options->rejected(r->options->rejected_arg, r->file, place.line, place.column, reason, record->raw,
                             record->n_raw);
}

/* Always false: the row is not accepted. */
bool log_reject(struct reading *r, const struct wr_csv_record *record, enum log_role role, const char *code,
                const char *fmt, ...)
{
    char reason[1024];

    WR_FORMAT(reason, fmt);
    struct wr_csv_place place =
        wr_csv_place_of_field(record, r->source->columns.has[role] ? r->source->columns.at[role] : 0);
    log_report_rejected(r, record, place, code, reason);
    return false;
}

/* A row that cannot be looked into: bad quoting, or not as many fields as the header. */
void log_reject_shape(struct reading *r, const struct wr_csv_record *record)
{
    char reason[128];

    if (record->trouble) {
        log_report_rejected(r, record, wr_csv_place_of_trouble(record), "row-malformed", record->trouble);
        return;
    }
    snprintf(
        reason, sizeof reason, "%zu fields where the header has %zu: %s", record->n_field, r->source->columns.n_field,
        record->delimiter == ',' ? "a comma within a field? put the field in quotes" : "take out what is too many");
    log_report_rejected(r, record, wr_csv_place_of_field(record, r->source->columns.n_field), "row-field-count",
                        reason);
}

void log_warn(struct reading *r, const struct wr_csv_record *record, enum log_role role, enum wr_severity severity,
              const char *code, const char *fmt, ...)
{
    char message[512];

    if (wr_findings_suppress(r->findings, severity, code)) return;
    WR_FORMAT(message, fmt);
    struct wr_csv_place place =
        wr_csv_place_of_field(record, r->source->columns.has[role] ? r->source->columns.at[role] : 0);
    wr_findings_add(r->findings, severity, code, r->file, place.line, place.column, "%s", message);
}

/* "stopped - bolt jammed", or what names.csv translates so. */
static bool tells_not_done(const struct reading *r, const char *text)
{
    static const char *const word[] = {"stopped", "skipped"};

    text = wr_alias_of(r->options->aliases, WR_NAME_OUTCOME, text);
    for (size_t i = 0; i < sizeof word / sizeof *word; i++) {
        size_t n = strlen(word[i]);
        if (strncasecmp(text, word[i], n) == 0 && !isalnum((unsigned char)text[n])) return true;
    }
    return false;
}

void log_warn_of_remarks(struct reading *r, const struct wr_csv_record *record)
{
    const struct log_columns *c = &r->source->columns;
    const char *asked = r->survey.mapping.column[ROLE_OUTCOME];

    if (c->has[ROLE_OUTCOME] || c->n_attribute == 0 || (asked && strcmp(asked, "-") == 0)) return;
    for (size_t i = 0; i < c->n_field && i < record->n_field; i++) {
        const struct wr_csv_field *f = &record->field[i];
        if (c->attribute[i] == WR_NO_NAME || f->len == 0 || !tells_not_done(r, f->text)) continue;
        struct wr_csv_place place = wr_csv_place_of_field(record, i);
        const char *column = r->pieces.attributes.name[c->attribute[i]].text;
        wr_findings_add(r->findings, WR_WARNING, "column-unread", r->file, place.line, place.column,
                        "column '%.60s' says '%.60s', but no column is read as the outcome, so this step counts as "
                        "done: write a column outcome, or say --columns outcome=\"%.60s\" (names.csv translates its "
                        "words), or outcome=- if it is done",
                        column, f->text, column);
    }
}
