#include "wetrun/campaign/plan.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "crew_text.h"
#include "log_sums.h"
#include "plan_parts.h"
#include "sheet.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/io/text_file.h"

enum column {
    C_TASK,
    C_TITLE,
    C_CREW,
    C_AFTER,
    C_PLANNED,
    C_LOW,
    C_LIKELY,
    C_HIGH,
    C_MEDIAN,
    C_SDLOG,
    C_DROP_AFTER,
    C_NOT_BEFORE,
    C_KIND,
    N_COLUMN
};

static const struct sheet_column columns[N_COLUMN] = {
    [C_TASK] = {"task", true, NULL},
    [C_TITLE] = {"title", false, NULL},
    [C_CREW] = {"crew", false, NULL},
    [C_AFTER] = {"after", .also = "predecessor"},
    [C_PLANNED] = {"planned", .also = "duration"},
    [C_LOW] = {"low", false, NULL},
    [C_LIKELY] = {"likely", false, NULL},
    [C_HIGH] = {"high", false, NULL},
    [C_MEDIAN] = {"median", false, NULL},
    [C_SDLOG] = {"sdlog", false, NULL},
    [C_DROP_AFTER] = {"drop_after", false, NULL},
    [C_NOT_BEFORE] = {"not_before", false, NULL},
    [C_KIND] = {"kind", false, NULL},
};

enum { MOST_SDLOG = 5, MOST_WORDS_OF_AN_ID = 32 };

/* Texts of a task that are understood when all rows are known: lanes and ids of others stand in them. */
struct later {
    const char *crew, *after;
    struct wr_csv_place crew_place, after_place;
};

struct reading {
    struct wr_plan *plan;
    struct sheet sheet;
    struct later *later; /* [n_task] */
    size_t n_later, room_later;
    struct crew_lanes lanes;
    struct wr_names folded;    /* ids without case and blanks, in the order of the tasks; empty where names are kept */
    struct wr_read_as read_as; /* of what is understood later */
};

/* ---- a row ---- */

/* Minutes, all columns; false if one is no number or out of range. */
static bool take_numbers(struct reading *r, struct wr_plan_task *t)
{
    struct sheet *s = &r->sheet;
    size_t before = s->n_error;

    sheet_number(s, C_PLANNED, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &t->planned_min);
    sheet_number(s, C_LOW, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &t->low_min);
    sheet_number(s, C_LIKELY, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &t->likely_min);
    sheet_number(s, C_HIGH, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &t->high_min);
    sheet_number(s, C_MEDIAN, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &t->median_min);
    sheet_number(s, C_SDLOG, SHEET_DECIMAL, 0, MOST_SDLOG, &t->sdlog);
    sheet_number(s, C_DROP_AFTER, SHEET_ELAPSED, 0, SHEET_MOST_MINUTES, &t->drop_after_min);
    t->drop_after_as_clock_min = wr_as_lost_colon_min(sheet_text(s, C_DROP_AFTER), &s->habits);
    sheet_number(s, C_NOT_BEFORE, SHEET_ELAPSED, 0, SHEET_MOST_MINUTES, &t->not_before_min);
    t->said_form =
        wr_time_form_of(sheet_text(s, t->median_min.known ? C_MEDIAN : t->likely_min.known ? C_LIKELY : C_PLANNED));
    return s->n_error == before;
}

static void check_three_points(struct reading *r, const struct wr_plan_task *t)
{
    struct sheet *s = &r->sheet;
    int n = t->low_min.known + t->likely_min.known + t->high_min.known;

    if (n == 0) return;
    if (n < 3) {
        size_t missing = !t->low_min.known ? C_LOW : !t->likely_min.known ? C_LIKELY : C_HIGH;
        sheet_error(s, missing, "three-points",
                    "low, likely and high go together: write %s as well, or leave all three out",
                    columns[missing].name);
    } else if (t->low_min.value > t->likely_min.value) {
        sheet_error(s, C_LOW, "three-points", "low %g is more than likely %g: write them the other way round",
                    t->low_min.value, t->likely_min.value);
    } else if (t->likely_min.value > t->high_min.value) {
        sheet_error(s, C_LIKELY, "three-points", "likely %g is more than high %g: write them the other way round",
                    t->likely_min.value, t->high_min.value);
    } else if (t->high_min.value == 0) {
        sheet_error(s, C_HIGH, "three-points", "high is 0, and a task takes time: write minutes above 0");
    }
}

static void check_numbers(struct reading *r, const struct wr_plan_task *t)
{
    struct sheet *s = &r->sheet;

    check_three_points(r, t);
    if (t->planned_min.known && t->planned_min.value == 0)
        sheet_error(s, C_PLANNED, "planned-zero", "planned is 0: leave it empty if nothing is allotted");
    if (t->median_min.known != t->sdlog.known) {
        size_t missing = t->median_min.known ? C_SDLOG : C_MEDIAN;
        sheet_error(s, missing, "median-and-sdlog", "median and sdlog go together: write %s as well, or leave both out",
                    columns[missing].name);
    }
    if (t->median_min.known && t->median_min.value == 0)
        sheet_error(s, C_MEDIAN, "median-and-sdlog",
                    "median is 0, and a lognormal duration is above 0: write minutes above 0");
    if (t->drop_after_min.known && t->not_before_min.known && t->drop_after_min.value < t->not_before_min.value)
        sheet_warn(s, C_DROP_AFTER, "always-dropped", "it may not begin before %g min and is dropped after %g min: it "
                   "never takes place", t->not_before_min.value, t->drop_after_min.value);
}

/* "Total" is no task: passed over where it is what the rows above come to, else asked about. */
static bool is_sum(struct reading *r, const char *id)
{
    struct wr_maybe minutes;
    double sum = 0;

    if (!log_names_a_sum(id) || wr_alias_is_given(r->plan->aliases, WR_NAME_TASK, id)) return false;
    for (size_t k = 0; k < r->plan->n_task; k++) sum += r->plan->task[k].planned_min.value;
    if (!sheet_number(&r->sheet, C_PLANNED, SHEET_SPAN, 0, SHEET_MOST_MINUTES, &minutes)) return true;
    if (!minutes.known || fabs(minutes.value - sum) < 0.5)
        sheet_note(&r->sheet, C_TASK, WR_SP_SUM, NULL);
    else
        sheet_error(&r->sheet, C_TASK, "sum-as-task",
                    "'%.60s' is a task, or a sum of the rows above? take the row out; a task is named otherwise, "
                    "or let names.csv say so: task,%.60s,%.60s",
                    id, id, id);
    return true;
}

/* Its first spelling in the plan stands for all: kinds in two spellings would be two. */
static const char *take_kind(struct reading *r)
{
    const char *kind = wr_alias_of(r->plan->aliases, WR_NAME_WORK, sheet_text(&r->sheet, C_KIND));

    for (size_t k = 0; kind[0] && k + 1 < r->plan->n_task; k++) {
        const char *before = r->plan->task[k].kind;
        if (!wr_same_but_for_spelling(before, kind)) continue;
        if (strcmp(before, kind) != 0) sheet_note(&r->sheet, C_KIND, WR_SP_NAME, before);
        return before;
    }
    return wr_arena_copy(&r->plan->text, kind, strlen(kind));
}

/* Of a task in two spellings both would be worked. */
static bool is_alike(struct reading *r, const char *id)
{
    WR_SCOPED_STR folded = {0};

    if (r->plan->keep_names) return false;
    wr_fold_name(&folded, id, strlen(id));
    uint32_t known = wr_names_add(&r->folded, &r->plan->text, wr_str_text(&folded), folded.len);
    if (known == r->plan->n_task) return false;
    sheet_error(&r->sheet, C_TASK, "names-alike",
                "task '%.60s' differs from '%.60s' in line %zu in case, blanks or the coding of a letter only: leave "
                "one out, name it otherwise, or say --keep-names",
                id, r->plan->task[known].id, r->plan->task[known].line);
    return true;
}

static void take_row(void *arg, struct sheet *sheet)
{
    struct reading *r = arg;
    const char *id = sheet_text(sheet, C_TASK);
    size_t len = strlen(id);

    if (len == 0) {
        sheet_error(sheet, C_TASK, "no-task",
                    "the row names no task: write its id in column task, or take the row out");
        return;
    }
    uint32_t known = wr_names_find(&r->plan->ids, id, len);
    if (known != WR_NO_NAME) {
        sheet_error(sheet, C_TASK, "duplicate-task",
                    "task '%.60s' is in line %zu already: leave one out, or name it otherwise", id,
                    r->plan->task[known].line);
        return;
    }
    if (is_sum(r, id) || is_alike(r, id)) return;
    uint32_t number = wr_names_add(&r->plan->ids, &r->plan->text, id, len);
    struct wr_plan_task *task = WR_PUSH(r->plan->task, r->plan->n_task, r->plan->room_task);
    task->id = r->plan->ids.name[number].text;
    task->title = sheet_text(sheet, C_TITLE)[0] ? sheet_copy(sheet, C_TITLE, &r->plan->text) : task->id;
    task->kind = take_kind(r);
    task->line = sheet->record->line;
    if (take_numbers(r, task)) check_numbers(r, task);
    crew_learn(&r->lanes, sheet_text(sheet, C_CREW));
    *WR_PUSH(r->later, r->n_later, r->room_later) = (struct later){
        sheet_copy(sheet, C_CREW, &r->plan->text), sheet_copy(sheet, C_AFTER, &r->plan->text),
        sheet_place(sheet, C_CREW), sheet_place(sheet, C_AFTER)};
}

/* ---- the crew column ---- */

static void resolve_crew(struct reading *r, size_t number)
{
    const struct later *later = &r->later[number];
    WR_SCOPED_STR plain = {0}, row = {0};
    struct plan_crew crew = {0};
    const char *trouble = NULL;

    if (wr_alias_is_given(r->plan->aliases, WR_NAME_LANE, later->crew)) wr_str_add(&plain, later->crew);
    if (plain.len || crew_plain(&r->lanes, later->crew, &plain, &trouble)) {
        trouble = plan_parse_crew(r->plan, wr_str_text(&plain), PLAN_LANES_MAY_BE_NEW, &crew);
        if (strcmp(wr_str_text(&plain), later->crew) != 0)
            wr_read_as_note(&r->read_as, WR_SP_CREW, later->crew_place.line, later->crew_place.column, later->crew,
                            plain.text);
    } else if (!crew_means_group(later->crew)) {
        wr_alias_add_row(&row, WR_NAME_LANE, later->crew, later->crew);
        sheet_error_at(&r->sheet, later->crew_place, "bad-crew",
                       "crew '%.60s': %s (or let names.csv say that it is one: %s)", later->crew, trouble, row.text);
        trouble = NULL;
    }
    if (trouble) sheet_error_at(&r->sheet, later->crew_place, "bad-crew", "crew '%.60s': %s", later->crew, trouble);
    plan_set_crew(&r->plan->task[number], &crew);
}

static void resolve_crews(struct reading *r)
{
    for (bool more = true; more;) {
        more = false;
        for (size_t k = 0; k < r->n_later; k++)
            if (!wr_alias_is_given(r->plan->aliases, WR_NAME_LANE, r->later[k].crew))
                more |= crew_learn_joined(&r->lanes, r->later[k].crew);
    }
    for (size_t k = 0; k < r->plan->n_task; k++) resolve_crew(r, k);
}

/* Lanes that differ in case or blanks only would be two crews that do not know of each other. */
static void check_lanes(struct reading *r)
{
    const struct wr_plan *plan = r->plan;

    for (size_t a = 0; a < plan->n_lane && !plan->keep_names; a++)
        for (size_t b = 0; b < a; b++)
            if (wr_same_but_for_spelling(plan->lane[a], plan->lane[b]))
                sheet_error_at(&r->sheet, (struct wr_csv_place){1, 1}, "names-alike",
                               "lanes '%.60s' and '%.60s' differ in case or blanks only: write one of them throughout, "
                               "or say --keep-names",
                               plan->lane[b], plan->lane[a]);
}

/* ---- the after column ---- */

static bool is_separator(char c)
{
    return c == ' ' || c == ';' || c == ',' || c == '\t' || c == '\n' || c == '\r';
}

static size_t word_end(const char *text, size_t at)
{
    while (text[at] && !is_separator(text[at])) at++;
    return at;
}

static size_t next_word(const char *text, size_t at)
{
    while (is_separator(text[at])) at++;
    return at;
}

/* The length of a word that joins names (CABLE and OUT), with the blanks around it. */
static size_t joiner_at(const char *text)
{
    static const char *const joiner[] = {" and ", " & ", " + ", NULL};

    for (int i = 0; joiner[i]; i++)
        if (strncasecmp(text, joiner[i], strlen(joiner[i])) == 0) return strlen(joiner[i]);
    return 0;
}

/* Behind a name: the next one begins after a separator or such a word. */
static size_t next_name(const char *text, size_t at)
{
    size_t joiner = joiner_at(text + at);

    return next_word(text, at + joiner);
}

/* The task whose id begins at text[at], an id that holds blanks winning over a shorter one; *end is moved behind it,
 * or behind the unknown word. */
static uint32_t take_id(const struct wr_plan *plan, const char *text, size_t at, size_t *end)
{
    uint32_t found = WR_NO_NAME;

    *end = word_end(text, at);
    for (size_t words = 0, e = *end; words < MOST_WORDS_OF_AN_ID; words++) {
        uint32_t id = wr_names_find(&plan->ids, text + at, e - at);
        if (id != WR_NO_NAME) {
            found = id;
            *end = e;
        }
        if (!text[e]) break;
        e = next_word(text, e);
        if (!text[e]) break;
        e = word_end(text, e);
    }
    return found;
}

static void add_predecessor(struct wr_plan_task *task, size_t predecessor)
{
    for (size_t i = 0; i < task->n_after; i++)
        if (task->after[i] == predecessor) return;
    task->after[task->n_after++] = predecessor;
}

/* What stands at text[at], up to the next separator or, failing that, the next comma or semicolon, in another spelling
 * or by its title; *end is moved behind it. */
static size_t take_spelling(const struct wr_plan *plan, const char *text, size_t at, size_t *end,
                            enum wr_spelling *spelling)
{
    WR_SCOPED_STR item = {0};
    size_t longest = at + strcspn(text + at, ",;\n"), word = word_end(text, at), task = SIZE_MAX;

    while (longest > at && is_separator(text[longest - 1])) longest--;
    for (size_t to = longest; to > word && task == SIZE_MAX; to--) { /* a title may hold "and" itself */
        if (to < longest && !joiner_at(text + to)) continue;
        wr_str_clear(&item);
        wr_str_add_bytes(&item, text + at, to - at);
        task = wr_plan_resolve(plan, item.text, spelling);
        if (task != SIZE_MAX) *end = to;
    }
    if (task == SIZE_MAX) {
        wr_str_clear(&item);
        wr_str_add_bytes(&item, text + at, word - at);
        task = wr_plan_resolve(plan, item.text, spelling);
    }
    return task;
}

static void report_unknown(struct reading *r, size_t number, const char *word, size_t len)
{
    WR_SCOPED_STR text = {0}, item = {0};

    wr_str_addf(&text, "task '%.60s' is to come after '%.*s', but ", r->plan->task[number].id,
                (int)(len < 60 ? len : 60), word);
    wr_str_add_bytes(&item, word, len);
    wr_plan_say_no_task(r->plan, item.text, &text);
    sheet_error_at(&r->sheet, r->later[number].after_place, "unknown-predecessor", "%s", text.text);
}

static void resolve_after(struct reading *r, size_t number)
{
    struct wr_plan_task *task = &r->plan->task[number];
    const struct later *later = &r->later[number];
    const char *text = later->after;
    size_t most = 0, end;

    for (size_t at = next_word(text, 0); text[at]; at = next_word(text, word_end(text, at))) most++;
    if (most > r->plan->n_task) most = r->plan->n_task; /* none is kept twice */
    task->after = wr_arena_alloc(&r->plan->text, most, sizeof *task->after);
    for (size_t at = next_word(text, 0); text[at]; at = next_name(text, end)) {
        enum wr_spelling spelling = WR_PLAIN;
        uint32_t id = take_id(r->plan, text, at, &end);
        size_t found = id != WR_NO_NAME ? id : take_spelling(r->plan, text, at, &end, &spelling);
        if (found == SIZE_MAX) {
            report_unknown(r, number, text + at, end - at);
            continue;
        }
        add_predecessor(task, found);
        wr_read_as_note(&r->read_as, spelling, later->after_place.line, later->after_place.column, text,
                        r->plan->task[found].id);
    }
}

static void report_cycle(void *arg, size_t task, const char *words)
{
    struct reading *r = arg;

    sheet_error_at(&r->sheet, r->later[task].after_place, "cycle",
                   "the plan goes round in a circle: %.800s: take one of them out of its column after", words);
}

/* ---- the file ---- */

static enum wr_status read_plan(struct wr_plan *plan, const char *name, const char *bytes, size_t n_bytes,
                                struct wr_findings *findings, struct wr_error *err)
{
    struct reading r = {
        .plan = plan,
        .sheet = {.file = name, .column = columns, .n_column = N_COLUMN, .row = take_row, .findings = findings,
                  .err = err},
    };

    r.sheet.arg = &r;
    plan->file = wr_arena_copy(&plan->text, name, strlen(name));
    enum wr_status status = sheet_read(&r.sheet, bytes, n_bytes);
    resolve_crews(&r);
    check_lanes(&r);
    for (size_t k = 0; k < plan->n_task; k++) resolve_after(&r, k);
    if (!r.sheet.n_error) wr_read_as_report(&r.read_as, plan->file, findings);
    plan_find_cycles(plan, report_cycle, &r);
    if (status == WR_OK && r.sheet.n_error) status = WR_E_INPUT;
    if (status == WR_OK && plan->n_task == 0)
        status = wr_fail(err, WR_E_INPUT,
                         "%s: no task below the header: add a row (`wetrun start FOLDER` writes examples)", name);
    wr_free(r.later);
    crew_lanes_release(&r.lanes);
    wr_names_release(&r.folded);
    return status;
}

enum wr_status wr_plan_read(struct wr_plan *plan, const char *path, struct wr_findings *findings, struct wr_error *err)
{
    WR_RELEASED_BY(wr_text_release) struct wr_text text = {0};
    enum wr_status status = wr_text_read(&text, path, err);

    if (status == WR_OK) status = read_plan(plan, path, text.bytes, text.n, findings, err);
    return status;
}

enum wr_status wr_plan_read_bytes(struct wr_plan *plan, const char *name, const char *bytes, size_t n,
                                  struct wr_findings *findings, struct wr_error *err)
{
    return read_plan(plan, name, bytes, n, findings, err);
}

size_t wr_plan_find(const struct wr_plan *plan, const char *id)
{
    if (plan->ids.n_name == plan->n_task && plan->n_task) {
        uint32_t number = wr_names_find(&plan->ids, id, strlen(id));
        return number == WR_NO_NAME ? SIZE_MAX : number;
    }
    for (size_t k = 0; k < plan->n_task; k++)
        if (strcmp(plan->task[k].id, id) == 0) return k;
    return SIZE_MAX;
}

void wr_plan_release(struct wr_plan *plan)
{
    WR_FREE(plan->lane, plan->task);
    wr_names_release(&plan->ids);
    wr_arena_release(&plan->text);
    *plan = (struct wr_plan){0};
}

/* ---- writing ---- */

/* A field as RFC 4180 has it: quoted where it must be, or would lose its blanks; an apostrophe before what a
 * spreadsheet would compute, and before one that stands so already. What is read back is what was written
 * (sheet_text). */
static void write_field(struct wr_str *out, const char *text)
{
    size_t n = strlen(text);
    bool plain = !strpbrk(text, ",;\t\"\r\n") && (n == 0 || (text[0] != ' ' && text[0] != '#' && text[n - 1] != ' '));

    if (!plain) wr_str_add_char(out, '"');
    if (wr_is_formula(text + strspn(text, "'"))) wr_str_add_char(out, '\'');
    if (plain) {
        wr_str_add(out, text);
        return;
    }
    for (; *text; text++) {
        if (*text == '"') wr_str_add_char(out, '"');
        wr_str_add_char(out, *text);
    }
    wr_str_add_char(out, '"');
}

/* As short as gives the same number back. */
static void write_number(struct wr_str *out, struct wr_maybe number)
{
    char text[40];
    double back;

    wr_str_add_char(out, ',');
    if (!number.known) return;
    for (int digits = 6; digits <= 17; digits++) {
        snprintf(text, sizeof text, "%.*g", digits, number.value);
        if (wr_parse_double(text, &back) && back == number.value) break;
    }
    wr_str_add(out, text);
}

/* What was written with its unit, or as h:mm, says so again: without, it may be asked about. */
static void write_said(struct wr_str *out, const struct wr_plan_task *t, const struct wr_maybe *number)
{
    write_number(out, *number);
    if (number->known && number == wr_plan_said(t) && t->said_form != WR_TIME_NUMBER) wr_str_add(out, " min");
}

/* More semicolons than any id holds in a row, so that no id can be read across it: one, as a rule. */
static void choose_separator(const struct wr_plan *plan, struct wr_str *separator)
{
    size_t most = 0;

    for (size_t k = 0; k < plan->n_task; k++)
        for (const char *id = plan->task[k].id; (id = strchr(id, ';'));) {
            size_t run = strspn(id, ";");
            if (run > most) most = run;
            id += run;
        }
    for (size_t i = 0; i <= most; i++) wr_str_add_char(separator, ';');
}

static void write_task(const struct wr_plan *plan, const struct wr_plan_task *t, const char *separator,
                       struct wr_str *out, struct wr_str *scratch)
{
    write_field(out, t->id);
    wr_str_add_char(out, ',');
    bool says_more = strcmp(t->title, t->id) != 0;
    write_field(out, says_more || t->id[0] == '#' ? t->title : ""); /* '#CABLE' alone in its row is a comment */
    wr_str_add_char(out, ',');
    wr_str_clear(scratch);
    for (size_t i = 0; i < t->n_lane; i++) wr_str_addf(scratch, "%s%s", i ? "+" : "", plan->lane[t->lane_order[i]]);
    write_field(out, wr_str_text(scratch));
    wr_str_add_char(out, ',');
    wr_str_clear(scratch);
    for (size_t i = 0; i < t->n_after; i++)
        wr_str_addf(scratch, "%s%s", i ? separator : "", plan->task[t->after[i]].id);
    write_field(out, wr_str_text(scratch));
    write_said(out, t, &t->planned_min);
    write_number(out, t->low_min);
    write_said(out, t, &t->likely_min);
    write_number(out, t->high_min);
    write_said(out, t, &t->median_min);
    write_number(out, t->sdlog);
    write_number(out, t->drop_after_min);
    write_number(out, t->not_before_min);
    wr_str_add_char(out, ',');
    write_field(out, t->kind);
    wr_str_add_char(out, '\n');
}

void wr_plan_write(const struct wr_plan *plan, struct wr_str *out)
{
    WR_SCOPED_STR scratch = {0}, separator = {0};

    choose_separator(plan, &separator);
    for (size_t c = 0; c < N_COLUMN; c++) wr_str_addf(out, "%s%s", c ? "," : "", columns[c].name);
    wr_str_add_char(out, '\n');
    for (size_t k = 0; k < plan->n_task; k++) write_task(plan, &plan->task[k], separator.text, out, &scratch);
}
