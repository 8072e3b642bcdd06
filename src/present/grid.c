#include "wetrun/present/grid.h"

#include <math.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/present/escape.h"
#include "wetrun/present/quantities.h"
#include "wetrun/present/utf8.h"
#include "wetrun/present/words.h"

#define ELLIPSIS "\xe2\x80\xa6"
#define MINUS "\xe2\x88\x92" /* U+2212 */
#define SHORT_TEXT 14 /* bytes */
#define GAP 2 /* columns between two columns of a terminal table */

void wr_grid_init(struct wr_grid *g, const struct wr_column *column, size_t n_column)
{
    *g = (struct wr_grid){.column = column, .n_column = n_column};
}

void wr_grid_release(struct wr_grid *g)
{
    WR_FREE(g->value, g->about);
    wr_arena_release(&g->text);
    *g = (struct wr_grid){0};
}

static struct wr_value *next_value(struct wr_grid *g)
{
    return WR_PUSH(g->value, g->n_value, g->room);
}

void wr_grid_text(struct wr_grid *g, const char *text)
{
    *next_value(g) = (struct wr_value){WR_TEXT, wr_arena_copy(&g->text, text, strlen(text)), 0, false, false};
}

void wr_grid_textf(struct wr_grid *g, const char *fmt, ...)
{
    char text[256];
    va_list ap;

    va_start(ap, fmt);
    int n = vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    WR_BUG_IF(n < 0 || (size_t)n >= sizeof text); /* for our own short phrases; user text goes through wr_grid_text */
    wr_grid_text(g, text);
}

void wr_grid_number(struct wr_grid *g, double number)
{
    *next_value(g) = (struct wr_value){WR_NUMBER, NULL, number, false, false};
}

void wr_grid_chance(struct wr_grid *g, double prob, bool certain)
{
    *next_value(g) = (struct wr_value){WR_NUMBER, NULL, prob, false, certain};
}

void wr_grid_copy(struct wr_grid *g, const struct wr_value *value)
{
    switch (value->presence) {
    case WR_ABSENT: wr_grid_absent(g); break;
    case WR_TEXT: wr_grid_text(g, value->text); break;
    case WR_NUMBER: wr_grid_chance(g, value->number, value->certain); break;
    }
}

void wr_grid_numbers(struct wr_grid *g, const double *number, size_t n)
{
    for (size_t i = 0; i < n; i++) wr_grid_number(g, number[i]);
}

void wr_grid_texts(struct wr_grid *g, const char *const *text, size_t n)
{
    for (size_t i = 0; i < n; i++) wr_grid_text(g, text[i]);
}

void wr_grid_maybes(struct wr_grid *g, const struct wr_maybe *number, size_t n)
{
    for (size_t i = 0; i < n; i++) wr_grid_maybe(g, number[i]);
}

void wr_grid_maybe(struct wr_grid *g, struct wr_maybe number)
{
    if (number.known)
        wr_grid_number(g, number.value);
    else
        wr_grid_absent(g);
}

void wr_grid_absent(struct wr_grid *g)
{
    *next_value(g) = (struct wr_value){WR_ABSENT, NULL, 0, false, false};
}

void wr_grid_sorts_by(struct wr_grid *g, double number)
{
    WR_BUG_IF(g->n_value == 0);
    g->value[g->n_value - 1].number = number;
    g->value[g->n_value - 1].has_sort_key = true;
}

void wr_grid_about(struct wr_grid *g, size_t index)
{
    WR_BUG_IF(g->n_value == 0 || g->n_value % g->n_column != 0);
    while (g->n_about < wr_grid_rows(g)) *WR_PUSH(g->about, g->n_about, g->room_about) = SIZE_MAX;
    g->about[g->n_about - 1] = index;
}

size_t wr_grid_rows(const struct wr_grid *g)
{
    WR_BUG_IF(g->n_column == 0);
    return g->n_value / g->n_column;
}

static const struct wr_value *value_at(const struct wr_grid *g, size_t row, size_t column)
{
    return &g->value[row * g->n_column + column];
}

enum wr_status wr_grid_check(const struct wr_grid *g, struct wr_error *err)
{
    WR_BUG_IF(g->n_value % g->n_column != 0);
    for (size_t i = 0; i < g->n_value; i++) {
        if (g->value[i].presence != WR_NUMBER || isfinite(g->value[i].number)) continue;
        return wr_fail(err, WR_E_DOMAIN, "result '%s', row %zu, is not a finite number", g->column[i % g->n_column].key,
                       i / g->n_column + 1);
    }
    return WR_OK;
}

void wr_number_add(struct wr_str *out, double number)
{
    wr_str_addf(out, "%.12g", number + 0.0); /* adding 0 turns minus zero into zero */
}

static bool is_present(const struct wr_value *v)
{
    return v->presence == WR_TEXT || (v->presence == WR_NUMBER && isfinite(v->number));
}

void wr_value_add(const struct wr_value *v, enum wr_unit unit, struct wr_str *out)
{
    if (!is_present(v)) return;
    if (v->presence == WR_TEXT) {
        wr_str_add(out, v->text);
        return;
    }
    switch (unit) {
    case WR_UNIT_TEXT:
    case WR_UNIT_PLAIN: wr_str_addf(out, "%s%.3g", v->number < 0 ? MINUS : "", fabs(v->number)); break;
    case WR_UNIT_COUNT: wr_str_addf(out, "%.0f", v->number); break;
    case WR_UNIT_WHOLE:
        if (wr_moments_are_to_the_second()) {
            wr_str_add(out, wr_change(v->number, WR_ROOM));
            break;
        }
        wr_str_addf(out, "%s%.0f", round(v->number) < 0 ? MINUS : "", fabs(round(v->number)));
        break;
    case WR_UNIT_TENTHS: wr_str_add(out, wr_change(v->number, WR_ROOM)); break;
    case WR_UNIT_MINUTES: wr_str_add(out, wr_minutes_bare(v->number, WR_ROOM)); break;
    case WR_UNIT_CLOCK: wr_str_add(out, wr_moment(v->number, WR_ROOM)); break;
    case WR_UNIT_BY: wr_str_add(out, wr_moment_by(v->number, WR_ROOM)); break;
    case WR_UNIT_SHARE: wr_str_add(out, wr_percent(v->number, WR_ROOM)); break;
    case WR_UNIT_OF_100: wr_str_add(out, wr_of_100_certain_cell(v->number, v->certain, WR_ROOM)); break;
    case WR_UNIT_FACTOR: wr_str_add(out, wr_factor(v->number, WR_ROOM)); break;
    case WR_UNIT_YES_NO: wr_str_add(out, v->number != 0 ? "yes" : "no"); break;
    }
}

/* Numbers stand on the right; so do texts made of numbers, which their column's unit says. */
static bool stands_right(const struct wr_column *c)
{
    return c->unit != WR_UNIT_TEXT && c->unit != WR_UNIT_YES_NO;
}

static bool is_blank(const struct wr_value *v)
{
    return v->presence == WR_TEXT && !*v->text;
}

/* Where every id is the title that stands behind it, as in a campaign without a plan, once is enough. */
static bool repeats_its_title(const struct wr_grid *g, size_t c, enum wr_audience who)
{
    bool any = false;

    if (c + 1 >= g->n_column || !(g->column[c + 1].audience & who)) return false;
    if (strcmp(g->column[c].key, "task") != 0 || strcmp(g->column[c + 1].key, "title") != 0) return false;
    for (size_t r = 0; r < wr_grid_rows(g); r++) {
        const struct wr_value *id = value_at(g, r, c), *title = value_at(g, r, c + 1);
        if (is_blank(id)) continue;
        if (id->presence != WR_TEXT || title->presence != WR_TEXT || strcmp(id->text, title->text) != 0) return false;
        any = true;
    }
    return any;
}

/* The columns that an audience of people sees, from the left. */
struct shown {
    const struct wr_grid *grid;
    size_t *column, n;
};

static struct shown columns_shown(const struct wr_grid *g, enum wr_audience who)
{
    struct shown s = {.grid = g, .column = WR_NEW_ARRAY(size_t, g->n_column)};

    for (size_t c = 0; c < g->n_column; c++)
        if ((g->column[c].audience & who) && !repeats_its_title(g, c, who)) s.column[s.n++] = c;
    return s;
}

/* ---- terminal ---- */

static void cell_for_terminal(const struct wr_value *v, const struct wr_column *c, struct wr_str *cell)
{
    WR_SCOPED_STR plain = {0};

    wr_value_add(v, c->unit, &plain);
    wr_str_clear(cell);
    wr_escape_terminal(cell, wr_str_text(&plain));
    if (cell->len == 0 && v->presence != WR_TEXT) wr_str_add_char(cell, '-');
}

static size_t line_of_head(const char *head, size_t line, const char **start)
{
    for (; line > 0; line--) {
        const char *nl = strchr(head, '\n');
        if (!nl) return 0;
        head = nl + 1;
    }
    *start = head;
    return strcspn(head, "\n");
}

static size_t head_lines(const char *head)
{
    size_t n = 1;

    for (; *head; head++) n += *head == '\n';
    return n;
}

static void measure(const struct shown *s, size_t *width)
{
    WR_SCOPED_STR cell = {0};

    for (size_t i = 0; i < s->n; i++) {
        const struct wr_column *col = &s->grid->column[s->column[i]];
        const char *start = col->head;
        width[i] = 0;
        for (size_t l = 0; l < head_lines(col->head); l++) {
            size_t n = line_of_head(col->head, l, &start);
            if (n > width[i]) width[i] = n; /* heads are ASCII */
        }
        for (size_t r = 0; r < wr_grid_rows(s->grid); r++) {
            cell_for_terminal(value_at(s->grid, r, s->column[i]), col, &cell);
            size_t n = wr_text_columns(wr_str_text(&cell));
            if (n > width[i]) width[i] = n;
        }
    }
}

static void cut_to_fit(const struct shown *s, size_t room, size_t *width)
{
    for (;;) {
        size_t total = 0, widest = SIZE_MAX;
        for (size_t i = 0; i < s->n; i++) {
            unsigned least = s->grid->column[s->column[i]].least;
            total += width[i] + (i ? GAP : 0);
            if (least > 0 && width[i] > least && (widest == SIZE_MAX || width[i] > width[widest])) widest = i;
        }
        if (total <= room || widest == SIZE_MAX) return;
        size_t over = total - room, can = width[widest] - s->grid->column[s->column[widest]].least;
        width[widest] -= over < can ? over : can;
    }
}

/* The cell's text, at most width columns; the rest is cut and an ellipsis says so. Returns the columns used. */
static size_t add_cut(struct wr_str *out, const char *text, size_t width)
{
    size_t whole = wr_text_columns(text), used = 0;
    const char *at = text, *end = text + strlen(text);

    if (whole <= width) {
        wr_str_add(out, text);
        return whole;
    }
    while (at < end) {
        const char *before = at;
        unsigned w = wr_code_width(wr_utf8_next(&at, end));
        if (used + w > width - 1) break;
        wr_str_add_bytes(out, before, (size_t)(at - before));
        used += w;
    }
    wr_str_add(out, ELLIPSIS);
    return used + 1;
}

static void add_blanks(struct wr_str *out, size_t n)
{
    while (n-- > 0) wr_str_add_char(out, ' ');
}

static void end_line(struct wr_str *out, size_t line_start)
{
    while (out->len > line_start && out->text[out->len - 1] == ' ') out->text[--out->len] = '\0';
    wr_str_add_char(out, '\n');
}

static void add_aligned(struct wr_str *out, const char *text, size_t width, bool right)
{
    size_t columns = wr_text_columns(text);

    if (right && columns < width) add_blanks(out, width - columns);
    size_t used = add_cut(out, text, width);
    if (!right && used < width) add_blanks(out, width - used);
}

static void add_terminal_head(const struct shown *s, const size_t *width, struct wr_str *out)
{
    size_t lines = 1;

    for (size_t i = 0; i < s->n; i++) {
        size_t n = head_lines(s->grid->column[s->column[i]].head);
        if (n > lines) lines = n;
    }
    for (size_t l = 0; l <= lines; l++) { /* the last is the rule below */
        size_t start = out->len;
        for (size_t i = 0; i < s->n; i++) {
            const struct wr_column *col = &s->grid->column[s->column[i]];
            if (i) add_blanks(out, GAP);
            if (l == lines) {
                for (size_t k = 0; k < width[i]; k++) wr_str_add_char(out, '-');
                continue;
            }
            char part[64] = "";
            const char *from = col->head;
            size_t skip = lines - head_lines(col->head), n = 0; /* heads stand on the rule */
            if (l >= skip) n = line_of_head(col->head, l - skip, &from);
            snprintf(part, sizeof part, "%.*s", (int)n, from);
            add_aligned(out, part, width[i], stands_right(col));
        }
        end_line(out, start);
    }
}

/* The last column that a cell may take: what stands in brackets, "(what is not yet known)" before a share alone, also
 * has those of the blank cells behind it. */
static size_t last_taken(const struct shown *s, size_t r, size_t i)
{
    size_t last = i;

    const struct wr_value *v = value_at(s->grid, r, s->column[i]);

    if (v->presence != WR_TEXT || v->text[0] != '(') return i;
    while (last + 1 < s->n && is_blank(value_at(s->grid, r, s->column[last + 1]))) last++;
    return last;
}

static void add_terminal_row(const struct shown *s, size_t r, const size_t *width, struct wr_str *out)
{
    size_t start = out->len;
    WR_SCOPED_STR cell = {0};

    for (size_t i = 0; i < s->n; i++) {
        const struct wr_column *col = &s->grid->column[s->column[i]];
        size_t last = last_taken(s, r, i), room = width[i];
        if (i) add_blanks(out, GAP);
        cell_for_terminal(value_at(s->grid, r, s->column[i]), col, &cell);
        for (; i < last; i++) room += GAP + width[i + 1];
        add_aligned(out, wr_str_text(&cell), room, stands_right(col));
    }
    end_line(out, start);
}

void wr_grid_add_terminal(const struct wr_grid *g, size_t room, struct wr_str *out)
{
    struct shown s = columns_shown(g, WR_TERMINAL);
    size_t *width = WR_NEW_ARRAY(size_t, s.n);

    measure(&s, width);
    cut_to_fit(&s, room, width);
    add_terminal_head(&s, width, out);
    for (size_t r = 0; r < wr_grid_rows(g); r++) add_terminal_row(&s, r, width, out);
    WR_FREE(width, s.column);
}

/* ---- CSV ---- */

void wr_grid_add_csv(const struct wr_grid *g, struct wr_str *out)
{
    for (size_t c = 0, shown = 0; c < g->n_column; c++) {
        if (!(g->column[c].audience & WR_MACHINE)) continue;
        if (shown++) wr_str_add_char(out, ',');
        wr_escape_csv(out, g->column[c].key);
    }
    wr_str_add_char(out, '\n');
    for (size_t r = 0; r < wr_grid_rows(g); r++) {
        for (size_t c = 0, shown = 0; c < g->n_column; c++) {
            const struct wr_value *v = value_at(g, r, c);
            if (!(g->column[c].audience & WR_MACHINE)) continue;
            if (shown++) wr_str_add_char(out, ',');
            if (!is_present(v)) continue;
            if (v->presence == WR_TEXT)
                wr_escape_csv(out, v->text);
            else if (g->column[c].unit == WR_UNIT_YES_NO)
                wr_str_add(out, v->number != 0 ? "yes" : "no");
            else
                wr_number_add(out, v->number);
        }
        wr_str_add_char(out, '\n');
    }
}

/* ---- HTML ---- */

/* A head that stands in two lines on a terminal is one here; a word that was divided is whole again. */
static void add_head_text(struct wr_str *out, const char *head)
{
    for (const char *p = head, *cut; *p; p = cut) {
        cut = strstr(p, "-\n");
        wr_escape_html_bytes(out, p, cut ? (size_t)(cut - p) : strlen(p));
        cut = cut ? cut + 2 : p + strlen(p);
    }
}

/* The meanings of the columns, one step away: closed until somebody asks. */
static void add_html_meanings(const struct shown *s, const char *table, const char *what_leaves, struct wr_str *out)
{
    WR_SCOPED_STR means = {0};
    size_t n = 0;

    for (size_t i = 0; i < s->n; i++) {
        const struct wr_column *col = &s->grid->column[s->column[i]];
        const struct wr_quantity *q = wr_quantity_find(table, col->key);
        if (!q) continue;
        if (n++ == 0) wr_str_add(out, "<details class=\"means\"><summary>What the columns mean</summary><dl>\n");
        wr_str_add(out, "<dt>");
        add_head_text(out, col->head);
        wr_str_add(out, "</dt><dd>");
        wr_str_clear(&means);
        wr_quantity_means(q, what_leaves, &means);
        wr_escape_html(out, wr_str_text(&means));
        wr_str_add(out, "</dd>\n");
    }
    if (n > 0) wr_str_add(out, "</dl></details>\n");
}

static void add_html_head(const struct shown *s, struct wr_str *out)
{
    wr_str_add(out, "<thead><tr>");
    for (size_t i = 0; i < s->n; i++) {
        const struct wr_column *col = &s->grid->column[s->column[i]];
        wr_str_add(out, stands_right(col) ? "<th scope=\"col\" class=\"n\">" : "<th scope=\"col\">");
        add_head_text(out, col->head);
        wr_str_add(out, "</th>");
    }
    wr_str_add(out, "</tr></thead>\n");
}

/* A date, an id, "1 to 19": not to be broken at its hyphens and blanks. */
static bool is_short(const struct wr_value *v)
{
    return v->presence == WR_TEXT && strlen(v->text) <= SHORT_TEXT;
}

static void add_html_cell(const struct wr_value *v, const struct wr_column *col, bool is_row_head, const char *chart,
                          struct wr_str *out)
{
    WR_SCOPED_STR plain = {0};

    if (is_row_head)
        wr_str_add(out, stands_right(col) ? "<th scope=\"row\" class=\"n\"" : "<th scope=\"row\"");
    else
        wr_str_add(out, strcmp(col->key, "title") == 0 ? "<td class=\"t\""
                        : col->unit == WR_UNIT_BY      ? "<td class=\"n by\""
                        : stands_right(col)            ? "<td class=\"n\""
                        : is_short(v)                  ? "<td class=\"s\""
                                                       : "<td");
    if ((v->presence == WR_NUMBER || v->has_sort_key) && isfinite(v->number)) {
        wr_str_add(out, " data-v=\""); /* what the sorting script compares */
        wr_number_add(out, v->number);
        wr_str_add(out, "\"");
    }
    wr_str_add(out, ">");
    wr_value_add(v, col->unit, &plain);
    bool is_words = v->presence == WR_TEXT && plain.len > 0; /* may be right-to-left: must not turn its neighbours */
    if (chart) wr_str_addf(out, "<a href=\"#%s\" title=\"to the chart\">", chart); /* a fixed name of ours */
    if (is_words) wr_str_add(out, "<bdi>");
    wr_escape_html(out, plain.len == 0 && v->presence != WR_TEXT ? "\xe2\x80\x93" : wr_str_text(&plain));
    if (is_words) wr_str_add(out, "</bdi>");
    if (chart) wr_str_add(out, "</a>");
    wr_str_add(out, is_row_head ? "</th>" : "</td>");
}

static void add_html_row(const struct shown *s, size_t r, const char *id, struct wr_str *out)
{
    const struct wr_grid *g = s->grid;
    bool is_about = r < g->n_about && g->about[r] != SIZE_MAX;

    wr_str_add(out, "<tr");
    if (is_about) {
        wr_str_add(out, " id=\"");
        wr_escape_html(out, id);
        wr_str_addf(out, "-r%zu\"", g->about[r]);
    }
    wr_str_add_char(out, '>');
    for (size_t i = 0; i < s->n; i++)
        add_html_cell(value_at(g, r, s->column[i]), &g->column[s->column[i]], i == 0,
                      i == 0 && is_about ? g->chart : NULL, out);
    wr_str_add(out, "</tr>\n");
}

void wr_grid_add_html(const struct wr_grid *g, const struct wr_html_table *table, const char *what_leaves,
                      struct wr_str *out)
{
    wr_str_add(out, "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-labelledby=\"");
    wr_escape_html(out, table->id);
    wr_str_add(out, "\"><table");
    if (table->kind == WR_HTML_SORTABLE) wr_str_add(out, " class=\"sort\"");
    wr_str_add(out, "><caption id=\"");
    wr_escape_html(out, table->id);
    wr_str_add(out, "\">");
    wr_escape_html(out, table->caption);
    wr_str_add(out, "</caption>\n");
    struct shown s = columns_shown(g, WR_PAGE);
    add_html_head(&s, out);
    wr_str_add(out, "<tbody>\n");
    for (size_t r = 0; r < wr_grid_rows(g); r++) add_html_row(&s, r, table->id, out);
    wr_str_add(out, "</tbody></table></div>\n");
    add_html_meanings(&s, table->id, what_leaves, out);
    wr_free(s.column);
}
