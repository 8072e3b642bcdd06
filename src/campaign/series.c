#include "wetrun/campaign/series.h"

#include <stdint.h>
#include <string.h>
#include "sheet.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/written.h"

static const char *name_at(const void *files, size_t i)
{
    return ((const struct wr_series_files *)files)->row[i].excursion;
}

static size_t find_excursion(const struct wr_series_files *s, const char *name)
{
    for (size_t i = 0; i < s->n_row; i++)
        if (strcmp(s->row[i].excursion, name) == 0) return i;
    return SIZE_MAX;
}

/* ---- series.csv ---- */

enum series_column { S_EXCURSION, S_CAMPAIGN, S_DATE, S_PEOPLE, N_SERIES_COLUMN };

static const struct sheet_column series_columns[N_SERIES_COLUMN] = {
    [S_EXCURSION] = {"excursion", true, NULL},
    [S_CAMPAIGN] = {"campaign", true, NULL},
    [S_DATE] = {"date", false, NULL},
    [S_PEOPLE] = {"people", false, NULL},
};

bool wr_series_day(const struct wr_series_row *row, int64_t *day)
{
    const struct wr_habits plain = {0};
    enum wr_spelling spelling;

    return row->date[0] && !wr_written_date(row->date, strlen(row->date), &plain, day, &spelling);
}

/* Rows stand in the order flown: a date before that of a row above says that they do not. */
static void check_date(struct wr_series_files *s, struct sheet *sheet)
{
    const char *text = sheet_text(sheet, S_DATE), *why;
    const struct wr_habits plain = {0};
    enum wr_spelling spelling;
    int64_t day, day_above;

    if (!text[0]) return;
    if ((why = wr_written_date(text, strlen(text), &plain, &day, &spelling)) && strchr("0123456789", text[0]))
        sheet_error(sheet, S_DATE, "bad-date", "date '%.30s' is no day that can be read: write YYYY-MM-DD", text);
    for (size_t i = s->n_row; i-- > 0 && !why;) {
        const char *above = s->row[i].date;
        if (wr_written_date(above, strlen(above), &plain, &day_above, &spelling)) continue;
        if (day < day_above)
            sheet_error(sheet, S_DATE, "dates-fall",
                        "%.30s is before the date of '%.60s': write the rows in the order flown", text,
                        s->row[i].excursion);
        else if (day == day_above)
            sheet_warn(sheet, S_DATE, "dates-alike",
                       "%.30s is the date of '%.60s' as well: two excursions on one day? what the first one spills "
                       "is taken as if there were time to plan it into the second",
                       text, s->row[i].excursion);
        return;
    }
}

static const char *keep_trimmed(struct wr_series_files *s, const char *from, const char *to)
{
    wr_trim(&from, &to);
    return wr_arena_copy(&s->text, from, (size_t)(to - from));
}

static void add_seat(struct wr_series_row *row, struct sheet *sheet, const struct wr_series_seat *seat)
{
    for (size_t i = 0; i < row->n_seat; i++) {
        bool lane = strcmp(row->seat[i].lane, seat->lane) == 0;
        if (!lane && strcmp(row->seat[i].name, seat->name) != 0) continue;
        sheet_error(sheet, S_PEOPLE, "seat-twice",
                    lane ? "lane '%.60s' is named twice: leave one of them out"
                         : "'%.60s' cannot be in two lanes: name somebody else in one of them",
                    lane ? seat->lane : seat->name);
        return;
    }
    *WR_PUSH(row->seat, row->n_seat, row->room_seat) = *seat;
}

/* "EV1=NAME,EV2=NAME"; a semicolon does as well, for files that have commas between their columns. */
static void take_seats(struct wr_series_files *s, struct sheet *sheet, struct wr_series_row *row)
{
    const char *text = sheet_text(sheet, S_PEOPLE);

    if (text[strspn(text, " \t")] == '\0') return;
    for (;;) {
        const char *end = text + strcspn(text, ",;"), *equals = memchr(text, '=', (size_t)(end - text));
        struct wr_series_seat seat = {"", ""};
        if (equals) seat = (struct wr_series_seat){keep_trimmed(s, text, equals), keep_trimmed(s, equals + 1, end)};
        if (!seat.lane[0] || !seat.name[0]) {
            sheet_error(sheet, S_PEOPLE, "no-seat", "'%.*s' is not LANE=NAME: write who flies as EV1=NAME;EV2=NAME",
                        (int)(end - text < 60 ? end - text : 60), text);
            return;
        }
        add_seat(row, sheet, &seat);
        if (*end == '\0') return;
        text = end + 1;
    }
}

static void take_excursion(void *arg, struct sheet *sheet)
{
    struct wr_series_files *s = arg;
    const char *name = sheet_text(sheet, S_EXCURSION);
    size_t same = find_excursion(s, name);

    if (!name[0])
        sheet_error(sheet, S_EXCURSION, "no-name", "the excursion has no name: write one in column excursion");
    if (same != SIZE_MAX)
        sheet_error(sheet, S_EXCURSION, "excursion-twice",
                    "excursion '%.60s' is in line %zu already: leave one out, or name it otherwise", name,
                    s->row[same].line);
    for (size_t i = 0; i < s->n_row; i++)
        if (strcmp(s->row[i].campaign, sheet_text(sheet, S_CAMPAIGN)) == 0)
            sheet_error(sheet, S_CAMPAIGN, "campaign-twice",
                        "'%.60s' is the campaign of '%.60s' already: copy it to another folder, or name the one meant",
                        s->row[i].campaign, s->row[i].excursion);
    if (!sheet_text(sheet, S_CAMPAIGN)[0])
        sheet_error(sheet, S_CAMPAIGN, "no-campaign",
                    "excursion '%.60s' needs the folder of its campaign: write it in column campaign", name);
    if (s->n_row == WR_MOST_EXCURSIONS) {
        sheet_error(sheet, S_EXCURSION, "many-excursions", "a series has at most %d excursions: leave out the others",
                    WR_MOST_EXCURSIONS);
        return;
    }
    check_date(s, sheet);
    struct wr_series_row row = {
        .excursion = sheet_copy(sheet, S_EXCURSION, &s->text),
        .campaign = sheet_copy(sheet, S_CAMPAIGN, &s->text),
        .date = sheet_copy(sheet, S_DATE, &s->text),
        .line = sheet->record->line,
    };
    take_seats(s, sheet, &row);
    *WR_PUSH(s->row, s->n_row, s->room) = row;
}

enum wr_status wr_series_read_bytes(struct wr_series_files *s, const char *name, const char *bytes, size_t n,
                                    struct wr_findings *findings, struct wr_error *err)
{
    struct sheet sheet = {
        .file = name,
        .column = series_columns,
        .n_column = N_SERIES_COLUMN,
        .row = take_excursion,
        .arg = s,
        .all_matter = true,
        .findings = findings,
        .err = err,
    };
    enum wr_status status = sheet_read(&sheet, bytes, n);

    if (status == WR_OK && s->n_row == 0)
        return wr_fail(err, WR_E_INPUT, "%s: no excursion below the header: add a row, as A,FOLDER", name);
    return status;
}

/* ---- spill.csv ---- */

enum spill_column { P_TASK, P_FROM, P_TO, P_SETUP, P_BEFORE, P_DROP_AFTER, P_STOP, N_SPILL_COLUMN };

static const struct sheet_column spill_columns[N_SPILL_COLUMN] = {
    [P_TASK] = {"task", true, NULL},      [P_FROM] = {"from", true, NULL},
    [P_TO] = {"to", true, NULL},          [P_SETUP] = {"setup", false, NULL},
    [P_BEFORE] = {"before", false, NULL}, [P_DROP_AFTER] = {"drop_after", false, NULL},
    [P_STOP] = {"stop", false, NULL},
};

static size_t take_end(struct wr_series_files *s, struct sheet *sheet, enum spill_column column)
{
    const char *name = sheet_text(sheet, column);
    size_t i = find_excursion(s, name);

    if (i == SIZE_MAX) {
        const struct wr_name_list names = {name_at, s, s->n_row};
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "'%.60s' is no excursion of the series", name);
        wr_add_did_you_mean(&text, &names, name, "series.csv has them");
        sheet_error(sheet, column, "unknown-excursion", "%s", wr_str_text(&text));
    }
    return i;
}

static void refuse_twice(const struct wr_series_files *s, struct sheet *sheet, const struct wr_spill_row *row)
{
    for (size_t i = 0; i < s->n_spill; i++)
        if (s->spill[i].from == row->from && strcmp(s->spill[i].task, row->task) == 0)
            sheet_error(sheet, P_TASK, "spill-twice",
                        "'%.60s' goes on from there in line %zu already: leave one of the two rows out", row->task,
                        s->spill[i].line);
}

static void take_spill(void *arg, struct sheet *sheet)
{
    struct wr_series_files *s = arg;
    struct wr_maybe setup = WR_UNKNOWN;
    struct wr_spill_row row = {
        .task = sheet_copy(sheet, P_TASK, &s->text),
        .from = take_end(s, sheet, P_FROM),
        .to = take_end(s, sheet, P_TO),
        .before = sheet_copy(sheet, P_BEFORE, &s->text),
        .line = sheet->record->line,
        .task_column = sheet_place(sheet, P_TASK).column,
        .before_column = sheet_place(sheet, P_BEFORE).column,
    };

    if (!row.task[0]) sheet_error(sheet, P_TASK, "no-name", "the task has no name: write its id in column task");
    if (row.from != SIZE_MAX && row.to != SIZE_MAX && row.from >= row.to)
        sheet_error(sheet, P_TO, "spill-backwards",
                    "'%.60s' does not come after '%.60s': write a later excursion in column to",
                    sheet_text(sheet, P_TO), sheet_text(sheet, P_FROM));
    (void)sheet_number(sheet, P_SETUP, SHEET_ELAPSED, 0, SHEET_MOST_MINUTES, &setup);
    (void)sheet_number(sheet, P_DROP_AFTER, SHEET_ELAPSED, 0, SHEET_MOST_MINUTES, &row.drop_after_min);
    (void)sheet_number(sheet, P_STOP, SHEET_ELAPSED, 0, SHEET_MOST_MINUTES, &row.stop_min);
    row.setup_min = setup.known ? setup.value : 0;
    refuse_twice(s, sheet, &row);
    *WR_PUSH(s->spill, s->n_spill, s->room_spill) = row;
}

enum wr_status wr_spill_read_bytes(struct wr_series_files *s, const char *name, const char *bytes, size_t n,
                                   struct wr_findings *findings, struct wr_error *err)
{
    struct sheet sheet = {
        .file = name,
        .column = spill_columns,
        .n_column = N_SPILL_COLUMN,
        .row = take_spill,
        .arg = s,
        .all_matter = true,
        .findings = findings,
        .err = err,
    };

    s->has_spill = true;
    s->spill_file = wr_arena_copy(&s->text, name, strlen(name));
    return sheet_read(&sheet, bytes, n);
}

void wr_series_files_release(struct wr_series_files *s)
{
    for (size_t i = 0; i < s->n_row; i++) wr_free(s->row[i].seat);
    WR_FREE(s->row, s->spill);
    wr_arena_release(&s->text);
    *s = (struct wr_series_files){0};
}
