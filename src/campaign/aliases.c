#include "wetrun/campaign/aliases.h"

#include <string.h>
#include "log_columns.h" /* log_find_role */
#include "sheet.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/run_log.h" /* wr_means_done */

static const char *const kind_text[WR_N_NAME_KIND] = {
    [WR_NAME_RUN] = "run",         [WR_NAME_TASK] = "task",     [WR_NAME_LANE] = "lane", [WR_NAME_PERSON] = "person",
    [WR_NAME_OUTCOME] = "outcome", [WR_NAME_COLUMN] = "column", [WR_NAME_WORK] = "work",
};

enum alias_column { A_KIND, A_FROM, A_TO, N_ALIAS_COLUMN };

static const struct sheet_column alias_columns[N_ALIAS_COLUMN] = {
    [A_KIND] = {"kind", true, NULL},
    [A_FROM] = {"from", true, NULL},
    [A_TO] = {"to", true, NULL},
};

static bool take_kind(struct sheet *sheet, enum wr_name_kind *kind)
{
    const char *text = sheet_text(sheet, A_KIND);

    if (sheet_name_is(text, "performer")) text = kind_text[WR_NAME_PERSON]; /* as the log's columns are called */
    if (sheet_name_is(text, "crew")) text = kind_text[WR_NAME_LANE];
    for (int i = 0; i < WR_N_NAME_KIND; i++)
        if (sheet_name_is(text, kind_text[i])) {
            *kind = (enum wr_name_kind)i;
            return true;
        }
    sheet_error(sheet, A_KIND, "names-kind",
                "'%.60s' is no kind of name: write run, task, lane, person, outcome, column or work", text);
    return false;
}

static const char *find_from(const struct wr_aliases *a, enum wr_name_kind kind, const char *text)
{
    for (size_t i = 0; i < a->n_alias; i++)
        if (a->alias[i].kind == kind && wr_same_but_for_spelling(a->alias[i].from, text)) return a->alias[i].to;
    return NULL;
}

/* "cut off", "not finished" */
static bool speaks_of_not_done(const char *text)
{
    static const char *const word[] = {"stop", "skip", "abort", "cut", "partial", "incomplete", "interrupt", "unfinish",
                                       "fail", "halt", "notdone", "notfinish", "notcomplete"};
    WR_SCOPED_STR folded = {0};

    wr_fold_name(&folded, text, strlen(text));
    for (size_t i = 0; i < sizeof word / sizeof *word; i++)
        if (strncmp(wr_str_text(&folded), word[i], strlen(word[i])) == 0) return true;
    return false;
}

/* The three outcomes mean themselves: by a row that says otherwise a step that was cut off would count as one that took
 * no longer. */
static bool take_outcome(struct sheet *sheet, const char *from, const char *to)
{
    static const char *const outcome[] = {"done", "stopped", "skipped"};

    for (size_t i = 0; i < sizeof outcome / sizeof *outcome; i++) {
        if (!wr_same_but_for_spelling(from, outcome[i])) continue;
        if (wr_same_but_for_spelling(to, outcome[i]) || (i == 0 && wr_means_done(to))) return true;
        sheet_error(sheet, A_FROM, "names-outcome",
                    "outcome '%s' always means %s, and cannot be read as '%.60s': write the outcome into the log, or "
                    "take the row out",
                    outcome[i], outcome[i], to);
        return false;
    }
    if (wr_means_done(to) && speaks_of_not_done(from))
        sheet_warn(sheet, A_TO, "names-done",
                   "outcome '%.60s' counts as done, and what was cut off took longer than its row says: write "
                   "stopped, or skipped if it was not begun",
                   from);
    return true;
}

static void take_alias(void *arg, struct sheet *sheet)
{
    struct wr_aliases *a = arg;
    const char *from = sheet_text(sheet, A_FROM), *to = sheet_text(sheet, A_TO);
    enum wr_name_kind kind;
    enum log_role role;

    if (!take_kind(sheet, &kind)) return;
    if (!from[0] || !to[0]) {
        sheet_error(sheet, from[0] ? A_TO : A_FROM, "names-missing", "%s is missing: write it, or take the row out",
                    from[0] ? "to" : "from");
        return;
    }
    const char *before = find_from(a, kind, from);
    if (before && strcmp(before, to) != 0) {
        sheet_error(sheet, A_FROM, "names-twice", "%s '%.60s' means '%.60s' already: leave one of the two rows out",
                    kind_text[kind], from, before);
        return;
    }
    if (kind == WR_NAME_OUTCOME && !take_outcome(sheet, from, to)) return;
    if (kind == WR_NAME_COLUMN && !log_find_role(to, &role)) {
        sheet_error(sheet, A_TO, "names-column",
                    "'%.60s' is no column of a log: write run, task, start, end, minutes, step, crew, performer, date, "
                    "hold or outcome, or take the row out",
                    to);
        return;
    }
    *WR_PUSH(a->alias, a->n_alias, a->room) =
        (struct wr_alias){kind, wr_arena_copy(&a->text, from, strlen(from)), wr_arena_copy(&a->text, to, strlen(to)),
                          sheet->record->line, sheet_place(sheet, A_FROM).column};
}

/* A meaning that means something else again: which of the two is it? */
static void check_chains(struct sheet *sheet, const struct wr_aliases *a)
{
    for (size_t i = 0; i < a->n_alias; i++) {
        const char *further = find_from(a, a->alias[i].kind, a->alias[i].to);
        if (further && strcmp(further, a->alias[i].to) != 0)
            sheet_error_at(sheet, (struct wr_csv_place){a->alias[i].line, 1}, "names-chain",
                           "'%.60s' means '%.60s', which means '%.60s': write the last name in both rows",
                           a->alias[i].from, a->alias[i].to, further);
    }
}

enum wr_status wr_aliases_read_bytes(struct wr_aliases *aliases, const char *name, const char *bytes, size_t n,
                                     struct wr_findings *findings, struct wr_error *err)
{
    struct sheet sheet = {
        .file = name, .column = alias_columns, .n_column = N_ALIAS_COLUMN, .row = take_alias, .arg = aliases,
        .findings = findings, .err = err,
    };
    aliases->file = wr_arena_copy(&aliases->text, name, strlen(name));
    enum wr_status status = sheet_read(&sheet, bytes, n);

    if (status != WR_OK) return status;
    check_chains(&sheet, aliases);
    return sheet.n_error ? WR_E_INPUT : WR_OK;
}

const char *wr_alias_of(const struct wr_aliases *aliases, enum wr_name_kind kind, const char *text)
{
    const char *to = aliases && text[0] ? find_from(aliases, kind, text) : NULL;

    return to ? to : text;
}

bool wr_alias_is_given(const struct wr_aliases *aliases, enum wr_name_kind kind, const char *text)
{
    return aliases && text[0] && find_from(aliases, kind, text);
}

static void add_field(struct wr_str *out, const char *text, const char *in_its_place)
{
    enum { LONGEST = 160 };
    size_t n = strlen(text);

    wr_str_add_char(out, ',');
    if (n > LONGEST) {
        wr_str_add(out, in_its_place);
        return;
    }
    bool plain = !text[strcspn(text, ",\"\r\n")] && text[0] != ' ' && (n == 0 || text[n - 1] != ' ');
    if (!plain) wr_str_add_char(out, '"');
    for (; *text; text++) {
        if (*text == '"') wr_str_add_char(out, '"');
        wr_str_add_char(out, *text);
    }
    if (!plain) wr_str_add_char(out, '"');
}

void wr_alias_add_row(struct wr_str *out, enum wr_name_kind kind, const char *from, const char *to)
{
    wr_str_add(out, kind_text[kind]);
    add_field(out, from, "FROM");
    add_field(out, to, "TO");
}

void wr_aliases_release(struct wr_aliases *aliases)
{
    wr_free(aliases->alias);
    wr_arena_release(&aliases->text);
    *aliases = (struct wr_aliases){0};
}
