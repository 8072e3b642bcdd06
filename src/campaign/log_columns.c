#include "log_columns.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>
#include "sheet.h" /* sheet_name_is */
#include "table_start.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"

enum { MOST_FIELDS = 4096 };

static const char *const role_name[N_ROLE] = {
    [ROLE_RUN] = "run",         [ROLE_TASK] = "task",   [ROLE_START] = "start", [ROLE_END] = "end",
    [ROLE_MINUTES] = "minutes", [ROLE_STEP] = "step",   [ROLE_CREW] = "crew",   [ROLE_PERFORMER] = "performer",
    [ROLE_DATE] = "date",       [ROLE_HOLD] = "hold",   [ROLE_OUTCOME] = "outcome",
};

const char *log_role_name(enum log_role role)
{
    return role_name[role];
}

/* Names under which such a column is often found elsewhere: offered, never taken unasked. */
static const char *const often_called[N_ROLE][8] = {
    [ROLE_RUN] = {"rehearsal", "case", "case id", "trial", "session", "dive", "run no", "run id"},
    [ROLE_TASK] = {"activity", "event", "job", "task name", "task id", "action", "work", "operation"},
    [ROLE_START] = {"begin", "began", "from", "started", "start time", "begin time", "start timestamp"},
    [ROLE_END] = {"finish", "finished", "stop", "to", "until", "ended", "end time", "end timestamp"},
    [ROLE_MINUTES] = {"duration", "min", "elapsed", "time taken", "length"},
    [ROLE_STEP] = {"subtask", "sub-task", "part"},
    [ROLE_CREW] = {"team", "lane", "suit", "crew member", "who", "position"},
    [ROLE_PERFORMER] = {"person", "name", "diver", "done by"},
    [ROLE_DATE] = {"day"},
    [ROLE_HOLD] = {"pause", "held", "time held", "hold"},
    [ROLE_OUTCOME] = {"status", "state", "result", "completion", "finished?", "done?"},
};

static bool begins_with(const char *folded, const char *const *word)
{
    for (size_t i = 0; word[i]; i++)
        if (strncmp(folded, word[i], strlen(word[i])) == 0) return true;
    return false;
}

bool log_names_outcome(const char *folded)
{
    static const char *const word[] = {"status", "result", "state", "complet", "done", "finished", NULL};

    return begins_with(folded, word);
}

bool log_names_hold(const char *folded)
{
    static const char *const word[] = {"hold", "held", "paus", "timeheld", "idle", "totalhold", NULL};

    return begins_with(folded, word);
}

static bool has_word(const char *name, const char *const *word)
{
    for (const char *at = name; *at; at++) {
        if (at > name && isalnum((unsigned char)at[-1])) continue;
        for (size_t i = 0; word[i]; i++)
            if (strncasecmp(at, word[i], strlen(word[i])) == 0) return true;
    }
    return false;
}

bool log_speaks_of_hold(const char *name, bool *surely)
{
    static const char *const sure[] = {"hold", "held", "paus", "idle", NULL},
                             *const may[] = {"dead", "diver", "standby", "stand-by", "stand by", "wait", "break",
                                             "delay", "interrupt", "downtime", "down time", "reset", "help", "lost",
                                             NULL};

    *surely = has_word(name, sure);
    return *surely || has_word(name, may);
}

bool log_names_step(const char *folded)
{
    static const char *const word[] = {"step", "substep", "sub-step", "subtask", "sub-task", "phase", NULL};

    return begins_with(folded, word) || strcmp(folded, "part") == 0 || strcmp(folded, "parts") == 0;
}

bool log_names_minutes(const char *folded)
{
    static const char *const word[] = {"minut", "durat", "elapsed", "timetaken", "took", "length", NULL};

    return begins_with(folded, word) || strcmp(folded, "min") == 0 || strcmp(folded, "mins") == 0;
}

/* ---- --columns ---- */

static bool is_none(const char *column)
{
    return strcmp(column, "-") == 0;
}

static bool find_role(const char *name, size_t len, size_t *role)
{
    for (*role = 0; *role < N_ROLE; ++*role)
        if (strlen(role_name[*role]) == len && memcmp(role_name[*role], name, len) == 0) return true;
    return false;
}

bool log_find_role(const char *name, enum log_role *role)
{
    for (size_t i = 0; i < N_ROLE; i++) {
        *role = (enum log_role)i;
        if (sheet_name_is(name, role_name[i])) return true;
    }
    return false;
}

/* A value up to the next comma, or in quotes, a doubled quote standing for one. NULL if the quote is not closed. */
static const char *take_value(const char *at, struct wr_str *value)
{
    wr_str_clear(value);
    if (*at != '"') {
        size_t n = strcspn(at, ",");
        wr_str_add_bytes(value, at, n);
        return at + n;
    }
    for (at++; *at; at++) {
        if (*at == '"' && *++at != '"') return at;
        wr_str_add_char(value, *at);
    }
    return NULL;
}

static bool is_one_of(const char *text, const char *const *word)
{
    for (; *word; word++)
        if ((text[0] | 32) == (word[0][0] | 32) && (text[1] | 32) == (word[0][1] | 32) && strcasecmp(text, *word) == 0)
            return true;
    return false;
}

/* Not if it is a word of one of the lists below that begins with s, like "step 1" and "stopped", but is none. */
static bool goes_on(const char *text)
{
    return (text[0] | 32) != 's' || (text[1] | 32) == 'a';
}

static const struct wr_csv_field no_cell = {"", 0};

/* Where the reader puts the fields of each row, as long as it has room there and rows are equally long. */
static void point_at_cells(struct log_columns *columns, const struct wr_csv_record *record)
{
    columns->field = record->field;
    columns->n_in_row = record->n_field;
    columns->has_word = false;
    for (size_t i = 0; i < columns->n_role; i++)
        columns->cell[columns->role[i]] = log_cell_as_it_is(columns, record, columns->role[i]);
}

void log_columns_take(struct log_columns *columns, const struct wr_csv_record *record)
{
    enum { NOTHING = 1, AS_ABOVE = 2 };
    static const char *const nothing[] = {"-", "--", "\xe2\x80\x93", "\xe2\x80\x94", "n/a", "na", "none", "nil",
                                          NULL},
                      *const as_above[] = {"\"", "''", "\xe2\x80\x9d", "\xe3\x80\x83", "ditto", "idem", "same",
                                           "as above", "same as above", NULL};
    /* by their first letters, which most cells have not */
    static const unsigned char begins[256] = {
        ['-'] = NOTHING, [0xe2] = NOTHING | AS_ABOVE, ['n'] = NOTHING, ['N'] = NOTHING, ['"'] = AS_ABOVE,
        ['\''] = AS_ABOVE, [0xe3] = AS_ABOVE, ['d'] = AS_ABOVE, ['D'] = AS_ABOVE, ['i'] = AS_ABOVE, ['I'] = AS_ABOVE,
        ['s'] = AS_ABOVE, ['S'] = AS_ABOVE, ['a'] = AS_ABOVE, ['A'] = AS_ABOVE};
    static const unsigned char may_say[N_ROLE] = {
        [ROLE_START] = NOTHING, [ROLE_END] = NOTHING, [ROLE_MINUTES] = NOTHING, [ROLE_HOLD] = NOTHING,
        [ROLE_RUN] = AS_ABOVE, [ROLE_TASK] = AS_ABOVE, [ROLE_STEP] = AS_ABOVE, [ROLE_CREW] = AS_ABOVE,
        [ROLE_PERFORMER] = AS_ABOVE, [ROLE_DATE] = AS_ABOVE};

    if (columns->field != record->field || columns->n_in_row != record->n_field || columns->has_word)
        point_at_cells(columns, record);
    for (size_t i = 0, n = columns->n_role; i < n; i++) {
        const enum log_role role = columns->role[i];
        const char *text = columns->cell[role]->text;
        const int says = begins[(unsigned char)text[0]] & may_say[role];
        if (!says || !goes_on(text) || !is_one_of(text, says == NOTHING ? nothing : as_above)) continue;
        columns->cell[role] = &no_cell;
        columns->has_word = true;
    }
}

static enum wr_status take_pair(struct log_mapping *mapping, const char **at, struct wr_str *value,
                                struct wr_arena *arena, struct wr_error *err)
{
    size_t len = strcspn(*at, "=,"), role;

    if ((*at)[len] != '=')
        return wr_fail(err, WR_E_USAGE, "--columns: '%.60s' lacks '=': write run=Case,task=Activity", *at);
    if (!find_role(*at, len, &role))
        return wr_fail(err, WR_E_USAGE,
                       "--columns: '%.*s' is no column of a log: write run, task, start, end, "
                       "minutes, step, crew, performer, date, hold or outcome before the '='",
                       (int)(len < 60 ? len : 60), *at);
    if (mapping->column[role])
        return wr_fail(err, WR_E_USAGE, "--columns: %s is named twice: leave one of them out", role_name[role]);
    *at = take_value(*at + len + 1, value);
    if (!*at)
        return wr_fail(err, WR_E_USAGE, "--columns: the quote after %s= is not closed: write %s=\"NAME OF THE COLUMN\"",
                       role_name[role], role_name[role]);
    if (!value->len)
        return wr_fail(err, WR_E_USAGE, "--columns: %s= names no column: write %s=NAME", role_name[role],
                       role_name[role]);
    if (**at != ',' && **at != '\0')
        return wr_fail(err, WR_E_USAGE,
                       "--columns: text after the closing quote of %s: write a comma before the next column",
                       role_name[role]);
    mapping->column[role] = wr_arena_copy(arena, value->text, value->len);
    return WR_OK;
}

/* Does row i of names.csv give the role a column, where --columns does not? Its own name says that it is meant, and no
 * other way in. */
static bool is_given(const struct log_mapping *mapping, size_t i, size_t role)
{
    const struct wr_alias *a = &mapping->aliases->alias[i];

    return a->kind == WR_NAME_COLUMN && !mapping->column[role] && sheet_name_is(a->to, role_name[role]) &&
           !sheet_name_is(a->from, role_name[role]);
}

static size_t n_given(const struct log_mapping *mapping)
{
    return mapping->aliases ? mapping->aliases->n_alias : 0;
}

enum wr_status log_mapping_parse(struct log_mapping *mapping, const char *text, const struct wr_aliases *aliases,
                                 struct wr_arena *arena, struct wr_error *err)
{
    WR_SCOPED_STR value = {0};
    enum wr_status status = WR_OK;

    *mapping = (struct log_mapping){.aliases = aliases};
    mapping->hit = wr_arena_alloc(arena, n_given(mapping), sizeof *mapping->hit);
    for (const char *at = text; at && status == WR_OK;) {
        status = take_pair(mapping, &at, &value, arena, err);
        if (status == WR_OK && *at++ == '\0') break; /* NOLINT: take_pair leaves `at` at the end of a pair */
    }
    for (size_t a = 0; a < N_ROLE && status == WR_OK; a++)
        for (size_t b = 0; b < a && status == WR_OK; b++)
            if (mapping->column[a] && mapping->column[b] && !is_none(mapping->column[a]) &&
                sheet_name_is(mapping->column[a], mapping->column[b]))
                status = wr_fail(err, WR_E_USAGE,
                                 "--columns: column '%.60s' is named for both %s and %s: leave one of them out",
                                 mapping->column[a], role_name[b], role_name[a]);
    return status;
}

size_t log_column_names(const struct log_mapping *mapping, const char *name[MOST_COLUMN_NAMES])
{
    size_t n = 0;

    for (size_t role = 0; role < N_ROLE; role++) {
        bool named = mapping->column[role] && !is_none(mapping->column[role]);
        name[n++] = role_name[role];
        if (named) name[n++] = mapping->column[role];
        for (size_t i = 0; i < n_given(mapping) && !named; i++)
            if ((named = is_given(mapping, i, role))) name[n++] = mapping->aliases->alias[i].from;
        for (size_t i = 0; i < 8 && often_called[role][i]; i++) name[n++] = often_called[role][i];
    }
    return n;
}

enum wr_status log_mapping_check(const struct log_mapping *mapping, struct wr_error *err)
{
    for (size_t role = 0; role < N_ROLE; role++)
        if (mapping->column[role] && !is_none(mapping->column[role]) && !mapping->found[role])
            return wr_fail(err, WR_E_INPUT,
                           "--columns: there is no column '%.60s' (asked for as %s): write a name of the log's header",
                           mapping->column[role], role_name[role]);
    return WR_OK;
}

void log_mapping_doubt(const struct log_mapping *mapping, struct wr_findings *findings)
{
    for (size_t role = 0; role < N_ROLE; role++)
        for (size_t i = 0; i < n_given(mapping); i++) {
            const struct wr_alias *a = &mapping->aliases->alias[i];
            if (!is_given(mapping, i, role) || mapping->hit[i]) continue;
            wr_findings_add(findings, WR_WARNING, "names-column", mapping->aliases->file, a->line, a->column,
                            "column '%.60s' is to be read as %s, and in no log it is: none has it, or has another for "
                            "that. Write it as the header has it, or take the row out",
                            a->from, role_name[role]);
        }
}

/* ---- a header ---- */

/* The field called name: its number, or n_field. */
static size_t find_field(const struct wr_csv_record *header, const char *name, size_t from)
{
    while (from < header->n_field && !sheet_name_is(header->field[from].text, name)) from++;
    return from;
}

/* Another role has the column of that name: it is not to be had by its own. */
static bool is_given_away(const struct log_mapping *mapping, size_t role, const char *text)
{
    for (size_t other = 0; other < N_ROLE; other++) {
        if (other == role) continue;
        if (mapping->column[other] && sheet_name_is(mapping->column[other], text)) return true;
        for (size_t i = 0; i < n_given(mapping); i++)
            if (is_given(mapping, i, other) && sheet_name_is(mapping->aliases->alias[i].from, text)) return true;
    }
    return false;
}

/* Under a name that names.csv gives it. */
static size_t given_field(const struct wr_csv_record *header, struct log_mapping *mapping, size_t role,
                          const char **name)
{
    for (size_t i = 0; i < n_given(mapping); i++) {
        if (!is_given(mapping, i, role)) continue;
        *name = mapping->aliases->alias[i].from;
        size_t at = find_field(header, *name, 0);
        if (at == header->n_field) continue;
        mapping->hit[i] = true;
        return at;
    }
    return header->n_field;
}

/* The field that holds a role: under the name that --columns or names.csv gives it, else under its own, or one that is
 * like it. */
static size_t field_of_role(const struct wr_csv_record *header, struct log_mapping *mapping, size_t role,
                            const char **name)
{
    enum column_match match;

    *name = mapping->column[role];
    if (*name && is_none(*name)) return header->n_field;
    size_t at = *name ? find_field(header, *name, 0) : given_field(header, mapping, role, name);
    if (at < header->n_field) {
        mapping->found[role] = true;
        return at;
    }
    *name = role_name[role];
    if (is_given_away(mapping, role, *name)) return header->n_field;
    at = column_find(header, *name, &match);
    return match == COLUMN_LIKE && is_given_away(mapping, role, header->field[at].text) ? header->n_field : at;
}

static enum wr_status place_role(struct log_columns *columns, const struct wr_csv_record *header, const char *file,
                                 struct log_mapping *mapping, size_t role, struct wr_read_as *read_as,
                                 struct wr_error *err)
{
    const char *name;
    size_t at = field_of_role(header, mapping, role, &name);

    if (at == header->n_field) return WR_OK;
    columns->has[role] = true;
    columns->at[role] = at;
    struct wr_csv_place place = wr_csv_place_of_field(header, at);
    if (!sheet_name_is(header->field[at].text, name))
        wr_read_as_note(read_as, WR_SP_COLUMN, place.line, place.column, header->field[at].text, name);
    size_t again = find_field(header, name, at + 1);
    if (again == header->n_field) return WR_OK;
    place = wr_csv_place_of_field(header, again);
    return wr_fail(err, WR_E_INPUT, "%s:%zu:%zu: there are two columns '%.60s': name one of them otherwise", file,
                   place.line, place.column, name);
}

static bool is_taken(const struct log_columns *columns, size_t field)
{
    for (size_t role = 0; role < N_ROLE; role++)
        if (columns->has[role] && columns->at[role] == field) return true;
    return false;
}

/* names.csv gives a role another column than the one of its own name, which nothing else is read from. (--columns is
 * about these logs alone, and is taken to mean it.) */
static void doubt_own_names(const struct log_columns *columns, const struct wr_csv_record *header, const char *file,
                            const struct log_mapping *mapping, struct wr_findings *findings)
{
    for (size_t role = 0; role < N_ROLE; role++) {
        const size_t own = find_field(header, role_name[role], 0);
        if (!columns->has[role] || columns->at[role] == own || own == header->n_field || is_taken(columns, own))
            continue;
        const char *given = header->field[columns->at[role]].text;
        for (size_t i = 0; i < n_given(mapping); i++) {
            const struct wr_alias *a = &mapping->aliases->alias[i];
            if (!is_given(mapping, i, role) || !sheet_name_is(a->from, given)) continue;
            const struct wr_csv_place place = wr_csv_place_of_field(header, own);
            wr_findings_add(findings, WR_WARNING, "names-column", file, place.line, place.column,
                            "by line %zu of names.csv column '%.60s' is read as %s, and this one, '%.60s', is not "
                            "read: take the row out if that is not meant; if it is, give this column another name, or "
                            "write --columns for these logs",
                            a->line, given, role_name[role], header->field[own].text);
            break;
        }
    }
}

static void place_attributes(struct log_columns *columns, const struct wr_csv_record *header, const char *file,
                             struct wr_names *attributes, struct wr_arena *arena, struct wr_findings *findings)
{
    columns->attribute = WR_NEW_ARRAY(uint32_t, header->n_field);
    for (size_t i = 0; i < header->n_field; i++) {
        const struct wr_csv_field *f = &header->field[i];
        struct wr_csv_place place = wr_csv_place_of_field(header, i);
        columns->attribute[i] = WR_NO_NAME;
        if (is_taken(columns, i)) continue;
        if (f->len == 0) {
            wr_findings_add(findings, WR_NOTE, "column-unnamed", file, place.line, place.column,
                            "column %zu has no name and is passed over", i + 1);
        } else if (find_field(header, f->text, 0) < i) {
            wr_findings_add(findings, WR_WARNING, "column-twice", file, place.line, place.column,
                            "there are two columns '%.60s'; the first is used", f->text);
        } else {
            columns->attribute[i] = wr_names_add(attributes, arena, f->text, f->len);
            columns->n_attribute++;
        }
    }
}

/* "Diver hold (min)" is no diver, nor is "Diver help". */
static bool speaks_of_holds(const char *name)
{
    return strcasestr(name, "hold") || strcasestr(name, "held") || strcasestr(name, "pause") ||
           strcasestr(name, "help");
}

/* The column that a role may be found in: one that is often called so, else one whose name begins so ("Session No"). */
static size_t find_likely(const struct wr_csv_record *header, size_t role)
{
    enum column_match match;
    size_t at = header->n_field;

    for (size_t i = 0; i < 8 && often_called[role][i] && at == header->n_field; i++)
        at = column_find(header, often_called[role][i], &match);
    for (size_t f = 0; f < header->n_field && at == header->n_field; f++) {
        if (speaks_of_holds(header->field[f].text) != (role == ROLE_HOLD)) continue;
        if (role == ROLE_HOLD) at = f;
        for (size_t i = 0; i < 8 && often_called[role][i]; i++)
            if (strncasecmp(header->field[f].text, often_called[role][i], strlen(often_called[role][i])) == 0) at = f;
    }
    return at;
}

/* Without a plan the people are the lanes, if nothing else is. */
static size_t find_likely_crew(const struct log_columns *columns, const struct wr_csv_record *header)
{
    size_t at = find_likely(header, ROLE_CREW);

    if (at < header->n_field) return at;
    return columns->has[ROLE_PERFORMER] ? columns->at[ROLE_PERFORMER] : find_likely(header, ROLE_PERFORMER);
}

/* "run=Session"; "run=NAME" if it is needed and nothing is like it. */
static void suggest(struct wr_str *out, const struct wr_csv_record *header, size_t role, size_t at, bool needed)
{
    if (at == header->n_field && !needed) return;
    wr_str_addf(out, "%s%s=", out->len ? "," : "", role_name[role]);
    const char *name = at < header->n_field ? header->field[at].text : "NAME";
    wr_str_addf(out, strpbrk(name, " ,?*'&;|<>()#~") /* not for a shell to expand */ ? "\"%.60s\"" : "%.60s", name);
}

void log_columns_offer_crew(const struct log_columns *columns, const struct wr_csv_record *header, struct wr_str *out)
{
    suggest(out, header, ROLE_CREW, find_likely_crew(columns, header), false);
}

static enum wr_status check_needed(const struct log_columns *columns, const struct wr_csv_record *header,
                                   const char *file, const struct log_mapping *mapping, struct wr_error *err)
{
    const bool people_are_lanes = mapping->crew_needed && !columns->has[ROLE_CREW] && !columns->has[ROLE_PERFORMER] &&
                                  find_likely(header, ROLE_CREW) == header->n_field;
    const bool timed = columns->has[ROLE_MINUTES];
    const bool likely_timed = find_likely(header, ROLE_MINUTES) < header->n_field && !columns->has[ROLE_START] &&
                              find_likely(header, ROLE_START) == header->n_field;
    WR_SCOPED_STR text = {0}, offer = {0};
    const char *first = NULL;

    for (size_t role = 0; role < N_ROLE; role++) {
        bool needed = role == ROLE_RUN || role == ROLE_TASK || (!timed && (role == ROLE_START || role == ROLE_END));
        if (columns->has[role]) continue;
        if (needed && !first) first = role_name[role];
        if (role == ROLE_PERFORMER && people_are_lanes) continue;
        bool by_people = role == ROLE_CREW && people_are_lanes;
        size_t at = by_people ? find_likely_crew(columns, header) : find_likely(header, role);
        suggest(&offer, header, role, at, needed && !(likely_timed && (role == ROLE_START || role == ROLE_END)));
    }
    if (first) {
        wr_str_addf(&text,
                    "%s:%zu:1: the header has no column '%s'; run, task, and start and end (or minutes) are "
                    "needed; the header has:",
                    file, header->line, first);
        for (size_t i = 0; i < header->n_field && i < 12; i++)
            wr_str_addf(&text, "%s %.40s", i ? "," : "", header->field[i].text);
        wr_str_addf(&text,
                    "; say which they are: --columns %s (or once for all in names.csv, below its header kind,from,to: "
                    "column,NAME,%s)",
                    offer.text, first);
    }
    return first ? wr_fail(err, WR_E_INPUT, "%s", text.text) : WR_OK;
}

enum wr_status log_columns_read(struct log_columns *columns, const struct wr_csv_record *header, const char *file,
                                struct log_mapping *mapping, struct wr_names *attributes, struct wr_arena *arena,
                                struct wr_read_as *read_as, struct wr_findings *findings, struct wr_error *err)
{
    enum wr_status status = WR_OK;

    if (header->trouble) {
        struct wr_csv_place place = wr_csv_place_of_trouble(header);
        return wr_fail(err, WR_E_INPUT, "%s:%zu:%zu: the header cannot be read: %s", file, place.line, place.column,
                       header->trouble);
    }
    if (header->n_field > MOST_FIELDS)
        return wr_fail(err, WR_E_INPUT,
                       "%s:%zu:1: the header has %zu columns, more than %d: take out those that are not needed", file,
                       header->line, header->n_field, MOST_FIELDS);
    columns->n_field = header->n_field;
    for (size_t role = 0; role < N_ROLE; role++) columns->at[role] = header->n_field;
    for (size_t role = 0; role < N_ROLE && status == WR_OK; role++)
        status = place_role(columns, header, file, mapping, role, read_as, err);
    if (status == WR_OK) status = check_needed(columns, header, file, mapping, err);
    if (status == WR_OK) doubt_own_names(columns, header, file, mapping, findings);
    if (status == WR_OK) place_attributes(columns, header, file, attributes, arena, findings);
    for (size_t role = 0; role < N_ROLE; role++) {
        columns->cell[role] = &no_cell;
        if (columns->has[role]) columns->role[columns->n_role++] = (enum log_role)role;
    }
    return status;
}

void log_columns_release(struct log_columns *columns)
{
    wr_free(columns->attribute);
    *columns = (struct log_columns){0};
}
