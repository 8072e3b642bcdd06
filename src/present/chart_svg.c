#include "chart_svg.h"

#include <ctype.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/present/escape.h"

enum { MOST_ATTRIBUTES = 24, MOST_DEPTH = 32, MOST_SYMBOLS = 64, MOST_MARKS = 64 };

struct slice {
    const char *at;
    size_t n;
};
struct attribute {
    struct slice name, value;
};
enum tag_kind { TAG_OPEN, TAG_CLOSE, TAG_SINGLE };
struct tag {
    enum tag_kind kind;
    struct slice name;
    struct attribute attribute[MOST_ATTRIBUTES];
    size_t n_attribute;
};

static bool slice_is(struct slice s, const char *text)
{
    return s.n == strlen(text) && memcmp(s.at, text, s.n) == 0;
}

static bool is_one_of(struct slice s, const char *const *list)
{
    for (; *list; list++)
        if (slice_is(s, *list)) return true;
    return false;
}

static const char *skip_space(const char *at, const char *end)
{
    while (at < end && isspace((unsigned char)*at)) at++;
    return at;
}

/* ---- reading a tag ---- */

static bool is_name_char(char c)
{
    return isalnum((unsigned char)c) || c == '-' || c == ':' || c == '_';
}

static const char *take_name(const char *at, const char *end, struct slice *name)
{
    name->at = at;
    while (at < end && is_name_char(*at)) at++;
    name->n = (size_t)(at - name->at);
    return at;
}

/* name = "value"; NULL if it is nothing of the kind */
static const char *take_attribute(const char *at, const char *end, struct attribute *a)
{
    at = skip_space(take_name(at, end, &a->name), end);
    if (a->name.n == 0 || at == end || *at != '=') return NULL;
    at = skip_space(at + 1, end);
    if (at == end || (*at != '"' && *at != '\'')) return NULL;
    const char *close = memchr(at + 1, *at, (size_t)(end - at - 1));
    if (!close) return NULL;
    a->value = (struct slice){at + 1, (size_t)(close - at - 1)};
    return close + 1;
}

/* at stands on '<'. Returns what follows the tag, or NULL if it is malformed. */
static const char *take_tag(const char *at, const char *end, struct tag *tag)
{
    *tag = (struct tag){.kind = TAG_OPEN};
    at++;
    if (at < end && *at == '/') {
        tag->kind = TAG_CLOSE;
        at++;
    }
    at = skip_space(take_name(at, end, &tag->name), end);
    while (at < end && *at != '>' && *at != '/') {
        if (tag->n_attribute == MOST_ATTRIBUTES) return NULL;
        at = take_attribute(at, end, &tag->attribute[tag->n_attribute++]);
        if (!at) return NULL;
        at = skip_space(at, end);
    }
    if (at < end && *at == '/') {
        tag->kind = TAG_SINGLE;
        at++;
    }
    return at < end && *at == '>' && tag->name.n ? at + 1 : NULL;
}

static struct slice attribute_of(const struct tag *tag, const char *name)
{
    for (size_t i = 0; i < tag->n_attribute; i++)
        if (slice_is(tag->attribute[i].name, name)) return tag->attribute[i].value;
    return (struct slice){"", 0};
}

/* ---- what may pass, and in which form ---- */

static const char *const drawing_elements[] = {"g",    "path", "polygon", "polyline", "line", "rect",
                                               "circle", "use",  "text",    "tspan",    NULL};
/* What a group hands down to its content. */
static const char *const handed_down[] = {"fill",         "color",          "stroke",          "stroke-width",
                                          "font-size",    "stroke-linecap", "stroke-linejoin", "font-weight",
                                          "text-anchor",  "font-family",    "stroke-dasharray", NULL};
static const char *const of_one_element[] = {"transform", "d", "points", "x",      "y",       "x1", "y1", "x2",
                                             "y2",        "r", "cx",     "cy",     "width",   "height",
                                             "shape-rendering", "fill-opacity", "stroke-opacity", NULL};

static bool add_as_hex(struct wr_str *out, struct slice v)
{
    char text[32];
    unsigned r, g, b;
    int used = 0;

    if (v.n >= sizeof text) return false;
    memcpy(text, v.at, v.n);
    text[v.n] = '\0';
    /* NOLINTNEXTLINE(cert-err34-c): three digits are no overflow */
    if (sscanf(text, "rgb( %3u , %3u , %3u )%n", &r, &g, &b, &used) != 3 || (size_t)used != v.n) return false;
    if (r > 255 || g > 255 || b > 255) return false;
    wr_str_addf(out, "#%02X%02X%02X", r, g, b);
    return true;
}

/* A number of digits and a point; zeros that end a decimal fraction go. is_place: to a tenth of a pixel. */
static size_t add_digits(struct wr_str *out, struct slice v, size_t i, bool is_place)
{
    size_t stop = i, keep, point;
    unsigned long tenths = 0;

    while (stop < v.n && isdigit((unsigned char)v.at[stop])) tenths = 10 * tenths + (unsigned long)(v.at[stop++] - '0');
    keep = point = stop;
    if (stop < v.n && v.at[stop] == '.')
        for (stop++; stop < v.n && isdigit((unsigned char)v.at[stop]); stop++)
            if (v.at[stop] != '0') keep = stop + 1;
    if (!is_place || keep - point <= 2 || point - i > 6) { /* a tenth, or no number of pixels */
        wr_str_add_bytes(out, v.at + i, keep - i);
        return stop;
    }
    tenths = 10 * tenths + (unsigned long)(v.at[point + 1] - '0') + (v.at[point + 2] >= '5');
    wr_str_addf(out, tenths % 10 ? "%lu.%lu" : "%lu", tenths / 10, tenths % 10);
    return stop;
}

/* Runs of blanks become one, and numbers are as short as they may be. */
static void add_squeezed(struct wr_str *out, struct slice v, bool is_place)
{
    for (size_t i = 0; i < v.n;) {
        if (isspace((unsigned char)v.at[i])) {
            while (i < v.n && isspace((unsigned char)v.at[i])) i++;
            if (i < v.n && out->len && out->text[out->len - 1] != '"') wr_str_add_char(out, ' ');
        } else if (isdigit((unsigned char)v.at[i]) || v.at[i] == '.') {
            i = add_digits(out, v, i, is_place);
        } else {
            is_place = is_place && v.at[i] != ')'; /* "translate(…) scale(…)" */
            wr_str_add_char(out, v.at[i++]);
        }
    }
}

static void add_value(struct wr_str *out, struct slice v, bool is_place)
{
    if (!add_as_hex(out, v)) add_squeezed(out, v, is_place);
}

/* ---- symbols: the shapes that points refer to ---- */

struct symbol {
    struct slice id, refers;
    struct tag tag;
    bool used;
};

/* A point as often drawn: a symbol at one size. */
struct mark {
    struct slice id;
    struct wr_str size;
};

struct tidy {
    const struct svg_dress *dress;
    struct wr_str *out;
    struct symbol symbol[MOST_SYMBOLS];
    size_t n_symbol;
    struct group {
        bool pending, written;          /* its start tag waits for content; stands in the output */
        struct wr_str start;            /* the start tag, if it says anything */
        struct slice move;              /* "translate(…)": said by the texts in it as x and y */
        struct wr_str hands_down[sizeof handed_down / sizeof *handed_down];
    } group[MOST_DEPTH];
    size_t depth;
    struct wr_str open;                 /* start tag of a group that has ended but for its end tag: the next may go on
                                           with it */
    bool is_open;
    struct mark mark[MOST_MARKS];
    size_t n_mark;
};

static struct slice reference_of(const struct tag *tag)
{
    struct slice v = attribute_of(tag, "xlink:href");

    if (v.n == 0) v = attribute_of(tag, "href");
    if (v.n > 1 && v.at[0] == '#') return (struct slice){v.at + 1, v.n - 1};
    return (struct slice){"", 0};
}

static void use_symbol(struct tidy *t, struct slice id)
{
    for (size_t i = 0; i < t->n_symbol; i++) {
        struct symbol *s = &t->symbol[i];
        if (s->used || id.n == 0 || s->id.n != id.n || memcmp(s->id.at, id.at, id.n) != 0) continue;
        s->used = true;
        use_symbol(t, s->refers);
    }
}

static void add_id(struct tidy *t, struct slice id)
{
    if (t->dress->inline_id) wr_str_addf(t->out, "%s-", t->dress->inline_id);
    wr_str_add_bytes(t->out, id.at, id.n);
}

static void add_font_weight(struct wr_str *out, struct slice family)
{
    static const char bold[] = ":Bold";

    if (family.n > sizeof bold && memcmp(family.at + family.n - (sizeof bold - 1), bold, sizeof bold - 1) == 0)
        wr_str_add(out, " font-weight=\"bold\"");
}

static bool is_of_places(const struct attribute *a)
{
    static const char move[] = "translate(";

    return slice_is(a->name, "d") || slice_is(a->name, "points") ||
           (slice_is(a->name, "transform") && a->value.n >= sizeof move && !memcmp(a->value.at, move, sizeof move - 1));
}

static void add_own_attributes(struct tidy *t, struct wr_str *out, const struct tag *tag)
{
    bool is_symbol = attribute_of(tag, "id").n > 0; /* drawn with radius 1, and enlarged */

    for (size_t i = 0; i < tag->n_attribute; i++) {
        const struct attribute *a = &tag->attribute[i];
        if (slice_is(a->name, "font-family")) {
            add_font_weight(out, a->value); /* the family is said once, at the root */
        } else if (is_one_of(a->name, handed_down) || is_one_of(a->name, of_one_element)) {
            wr_str_addf(out, " %.*s=\"", (int)a->name.n, a->name.at);
            add_value(out, a->value, !is_symbol && is_of_places(a));
            wr_str_add_char(out, '"');
        }
    }
    struct slice refers = reference_of(tag);
    if (refers.n) {
        wr_str_add(out, t->dress->inline_id ? " href=\"#" : " xlink:href=\"#");
        add_id(t, refers);
        wr_str_add_char(out, '"');
    }
}

static const char *after(const char *at, const char *end, const char *text)
{
    const char *found = memmem(at, (size_t)(end - at), text, strlen(text));

    return found ? found + strlen(text) : NULL;
}

/* at stands behind "<defs>". Returns what follows "</defs>". */
static const char *read_symbols(struct tidy *t, const char *at, const char *end)
{
    while (at < end && (at = memchr(at, '<', (size_t)(end - at))) != NULL) {
        struct tag tag;
        at = take_tag(at, end, &tag);
        if (!at) return NULL;
        if (tag.kind == TAG_CLOSE && slice_is(tag.name, "defs")) return at;
        if (slice_is(tag.name, "filter") && tag.kind == TAG_OPEN) at = after(at, end, "</filter>");
        if (!at) return NULL;
        struct slice id = attribute_of(&tag, "id");
        if (tag.kind != TAG_SINGLE || id.n == 0 || !is_one_of(tag.name, drawing_elements)) continue;
        if (t->n_symbol == MOST_SYMBOLS) return NULL;
        t->symbol[t->n_symbol++] = (struct symbol){.id = id, .refers = reference_of(&tag), .tag = tag};
    }
    return NULL;
}

static void mark_used_symbols(struct tidy *t, const char *at, const char *end)
{
    static const char before[] = "href='#";

    while ((at = after(at, end, before)) != NULL) {
        const char *close = memchr(at, '\'', (size_t)(end - at));
        if (!close) return;
        use_symbol(t, (struct slice){at, (size_t)(close - at)});
    }
}

static void write_symbols(struct tidy *t)
{
    wr_str_add(t->out, "<defs>\n");
    for (size_t i = 0; i < t->n_symbol; i++) {
        struct symbol *s = &t->symbol[i];
        if (!s->used) continue;
        wr_str_addf(t->out, "<%.*s id=\"", (int)s->tag.name.n, s->tag.name.at);
        add_id(t, s->id);
        wr_str_add_char(t->out, '"');
        add_own_attributes(t, t->out, &s->tag);
        wr_str_add(t->out, "/>\n");
    }
    wr_str_add(t->out, "</defs>\n");
}

/* ---- groups: only what differs from what they inherit ---- */

static size_t place_in(struct slice name, const char *const *list)
{
    size_t i = 0;

    while (list[i] && !slice_is(name, list[i])) i++;
    return i;
}

static void end_open(struct tidy *t)
{
    if (t->is_open) wr_str_add(t->out, "</g>\n");
    t->is_open = false;
}

static void begin_group(struct tidy *t, const char *start)
{
    if (t->is_open && strcmp(wr_str_text(&t->open), start) == 0) {
        t->is_open = false;
        return;
    }
    end_open(t);
    wr_str_addf(t->out, "<g%s>", start);
}

static void end_group(struct tidy *t, const char *start)
{
    end_open(t);
    wr_str_clear(&t->open);
    wr_str_add(&t->open, start);
    t->is_open = true;
}

/* "translate(384.00,95.40)" and nothing else */
static bool is_move(struct slice v)
{
    static const char move[] = "translate(";

    return v.n > sizeof move && memcmp(v.at, move, sizeof move - 1) == 0 &&
           memchr(v.at, ')', v.n) == v.at + v.n - 1 && memchr(v.at, ',', v.n);
}

static void add_place(struct wr_str *out, struct slice v)
{
    const char *from = memchr(v.at, '(', v.n), *comma = memchr(v.at, ',', v.n), *to = memchr(v.at, ')', v.n);

    wr_str_add(out, " x=\"");
    add_value(out, (struct slice){from + 1, (size_t)(comma - from - 1)}, true);
    wr_str_add(out, "\" y=\"");
    add_value(out, (struct slice){comma + 1, (size_t)(to - comma - 1)}, true);
    wr_str_add(out, "\"");
}

static void open_group(struct tidy *t, const struct tag *tag)
{
    struct group *outer = &t->group[t->depth - 1], *g = &t->group[t->depth++];
    WR_SCOPED_STR value = {0};

    *g = (struct group){.pending = true, .move = outer->move};
    for (size_t i = 0; handed_down[i]; i++) wr_str_add(&g->hands_down[i], wr_str_text(&outer->hands_down[i]));
    for (size_t i = 0; i < tag->n_attribute; i++) {
        const struct attribute *a = &tag->attribute[i];
        size_t place = place_in(a->name, handed_down);
        if (slice_is(a->name, "font-family")) {
            add_font_weight(&g->start, a->value);
            continue;
        }
        if (slice_is(a->name, "transform") && is_move(a->value) && g->move.n == 0) {
            g->move = a->value;
            continue;
        }
        if (!handed_down[place] && !is_one_of(a->name, of_one_element)) continue;
        wr_str_clear(&value);
        add_value(&value, a->value, false);
        if (handed_down[place]) {
            if (strcmp(wr_str_text(&value), wr_str_text(&g->hands_down[place])) == 0) continue;
            wr_str_clear(&g->hands_down[place]);
            wr_str_add(&g->hands_down[place], wr_str_text(&value));
        }
        wr_str_addf(&g->start, " %.*s=\"%s\"", (int)a->name.n, a->name.at, wr_str_text(&value));
    }
}

static void write_pending_groups(struct tidy *t)
{
    for (size_t i = 1; i < t->depth; i++) {
        struct group *g = &t->group[i];
        if (!g->pending) continue;
        g->pending = false;
        g->written = g->start.len > 0;
        if (g->written) begin_group(t, g->start.text);
    }
}

static void release_group(struct group *g)
{
    wr_str_release(&g->start);
    for (size_t i = 0; handed_down[i]; i++) wr_str_release(&g->hands_down[i]);
}

static void close_group(struct tidy *t)
{
    struct group *g = &t->group[--t->depth];

    if (g->written) end_group(t, g->start.text);
    release_group(g);
}

/* ---- points ---- */

static struct mark *mark_of(struct tidy *t, struct slice id, struct slice size)
{
    for (size_t i = 0; i < t->n_mark; i++) {
        struct mark *m = &t->mark[i];
        if (m->id.n == id.n && memcmp(m->id.at, id.at, id.n) == 0 && m->size.len == size.n &&
            memcmp(m->size.text, size.at, size.n) == 0)
            return m;
    }
    if (t->n_mark == MOST_MARKS) return NULL;
    struct mark *m = &t->mark[t->n_mark++];
    *m = (struct mark){.id = id};
    wr_str_add_bytes(&m->size, size.at, size.n);
    return m;
}

static void add_mark_id(struct tidy *t, const struct mark *m)
{
    wr_str_addf(t->out, "%s-m%zu", t->dress->inline_id, (size_t)(m - t->mark));
}

/* "translate(8.00,9.10) scale(3.40)": where, and how large. */
static bool is_moved_and_scaled(struct slice v, struct slice *move, struct slice *scale)
{
    const char *close = memchr(v.at, ')', v.n);

    if (!close) return false;
    *move = (struct slice){v.at, (size_t)(close + 1 - v.at)};
    const char *next = skip_space(close + 1, v.at + v.n);
    *scale = (struct slice){next, (size_t)(v.at + v.n - next)};
    return is_move(*move) && scale->n > 6 && memcmp(next, "scale(", 6) == 0;
}

/* A point as a mark at a place; each mark is said where it is first used. False: it is not of that form. */
static bool add_mark(struct tidy *t, const struct tag *tag)
{
    struct slice move, scale;

    if (!t->dress->inline_id || !slice_is(tag->name, "use")) return false;
    if (!is_moved_and_scaled(attribute_of(tag, "transform"), &move, &scale)) return false;
    size_t n = t->n_mark;
    struct mark *m = mark_of(t, reference_of(tag), scale);
    if (!m) return false;
    if (t->n_mark > n) {
        wr_str_add(t->out, "<defs><use id=\"");
        add_mark_id(t, m);
        wr_str_add(t->out, "\" transform=\"");
        add_value(t->out, scale, false);
        wr_str_add(t->out, "\" href=\"#");
        add_id(t, m->id);
        wr_str_add(t->out, "\"/></defs>");
    }
    wr_str_add(t->out, "<use");
    add_place(t->out, move);
    wr_str_add(t->out, " href=\"#");
    add_mark_id(t, m);
    wr_str_add(t->out, "\"/>\n");
    return true;
}

/* ---- single elements: runs of one colour are a group ---- */

static const char *const of_a_run[] = {"fill", "color", "stroke", NULL};

static void add_single(struct tidy *t, const struct tag *tag)
{
    bool in_run = slice_is(tag->name, "use") || slice_is(tag->name, "polygon");
    struct tag own = *tag;
    WR_SCOPED_STR start = {0};

    own.n_attribute = 0;
    for (size_t i = 0; i < tag->n_attribute; i++) {
        const struct attribute *a = &tag->attribute[i];
        if (!in_run || !is_one_of(a->name, of_a_run)) {
            own.attribute[own.n_attribute++] = *a;
            continue;
        }
        wr_str_addf(&start, " %.*s=\"", (int)a->name.n, a->name.at);
        add_value(&start, a->value, false);
        wr_str_add_char(&start, '"');
    }
    if (start.len > 0) begin_group(t, start.text);
    else end_open(t);
    if (!add_mark(t, &own)) {
        wr_str_addf(t->out, "<%.*s", (int)own.name.n, own.name.at);
        add_own_attributes(t, t->out, &own);
        wr_str_add(t->out, "/>\n");
    }
    if (start.len > 0) end_group(t, start.text);
}

/* ---- the body ---- */

/* Text between tags is gnuplot's, which writes & < > as references; any other & is made harmless. */
static void add_text(struct wr_str *out, const char *at, const char *end)
{
    static const char *const reference[] = {"&amp;", "&lt;", "&gt;", "&quot;", "&#39;", "&apos;", NULL};

    for (; at < end; at++) {
        size_t i = 0;
        if (*at == '&')
            while (reference[i] && ((size_t)(end - at) < strlen(reference[i]) ||
                                    memcmp(at, reference[i], strlen(reference[i])) != 0))
                i++;
        if (*at == '&' && !reference[i])
            wr_str_add(out, "&amp;");
        else if (*at == '>')
            wr_str_add(out, "&gt;");
        else
            wr_str_add_char(out, *at);
    }
}

static bool draws_nothing(const struct tag *tag)
{
    return slice_is(tag->name, "rect") && slice_is(attribute_of(tag, "fill"), "none") &&
           attribute_of(tag, "stroke").n == 0;
}

/* Skips "<!-- … -->", "<title>…</title>" and "<desc>…</desc>". Returns at itself if none stands there. */
static const char *skip_remarks(const char *at, const char *end)
{
    static const char *const remark[][2] = {
        {"<!--", "-->"}, {"<title>", "</title>"}, {"<desc>", "</desc>"}, {"<?", "?>"}};

    for (size_t i = 0; i < sizeof remark / sizeof *remark; i++) {
        size_t n = strlen(remark[i][0]);
        if ((size_t)(end - at) > n && memcmp(at, remark[i][0], n) == 0) return after(at, end, remark[i][1]);
    }
    return at;
}

static bool take_element(struct tidy *t, const struct tag *tag)
{
    bool is_group = slice_is(tag->name, "g");

    if (!is_one_of(tag->name, drawing_elements) || draws_nothing(tag)) return true;
    if (is_group && tag->kind == TAG_OPEN) {
        if (t->depth == MOST_DEPTH) return false;
        open_group(t, tag);
    } else if (is_group && tag->kind == TAG_CLOSE) {
        if (t->depth == 1) return false;
        close_group(t);
    } else if (tag->kind == TAG_CLOSE) {
        wr_str_addf(t->out, "</%.*s>", (int)tag->name.n, tag->name.at);
    } else if (!is_group) {
        struct slice move = t->group[t->depth - 1].move;
        bool is_text = slice_is(tag->name, "text");
        write_pending_groups(t);
        if (tag->kind == TAG_SINGLE && move.n == 0) {
            add_single(t, tag);
            return true;
        }
        if (move.n > 0 && !is_text && !slice_is(tag->name, "tspan")) return false; /* only texts are moved by a group */
        end_open(t);
        wr_str_addf(t->out, "<%.*s", (int)tag->name.n, tag->name.at);
        if (is_text && move.n > 0) add_place(t->out, move);
        add_own_attributes(t, t->out, tag);
        wr_str_add(t->out, tag->kind == TAG_SINGLE ? "/>\n" : ">");
    }
    return true;
}

/* at stands behind the root's start tag. False if the document is malformed or cut short. */
static bool take_body(struct tidy *t, const char *at, const char *end)
{
    bool in_text = false;

    while (at < end) {
        const char *lt = memchr(at, '<', (size_t)(end - at));
        struct tag tag;
        if (!lt) return false;
        if (in_text) add_text(t->out, at, lt);
        at = skip_remarks(lt, end);
        if (!at) return false;
        if (at != lt) continue;
        at = take_tag(lt, end, &tag);
        if (!at) return false;
        if (slice_is(tag.name, "svg")) return tag.kind == TAG_CLOSE && t->depth == 1;
        if (slice_is(tag.name, "defs")) {
            at = read_symbols(t, at, end);
            if (!at) return false;
            mark_used_symbols(t, at, end);
            write_symbols(t);
            continue;
        }
        if (slice_is(tag.name, "text")) in_text = tag.kind == TAG_OPEN;
        if (!take_element(t, &tag)) return false;
    }
    return false;
}

static void write_root(struct tidy *t, struct slice box)
{
    unsigned width = 0, height = 0;
    char text[64];

    snprintf(text, sizeof text, "%.*s", (int)box.n, box.at);
    /* NOLINTNEXTLINE(cert-err34-c): nor are nine */
    if (sscanf(text, "0 0 %9u %9u", &width, &height) != 2) width = height = 0;
    wr_str_add(t->out, "<svg");
    if (!t->dress->inline_id)
        wr_str_addf(t->out, " xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\""
                            " width=\"%u\" height=\"%u\"", width, height);
    else if (t->dress->css_class)
        wr_str_addf(t->out, " class=\"%s\"", t->dress->css_class);
    wr_str_addf(t->out, " viewBox=\"0 0 %u %u\" role=\"img\" aria-label=\"", width, height);
    wr_escape_html(t->out, t->dress->alt);
    wr_str_add(t->out, "\"");
    if (!t->dress->inline_id) wr_str_add(t->out, " font-family=\"DejaVu Sans, sans-serif\"");
    wr_str_add(t->out, ">\n");
    if (!t->dress->inline_id && t->dress->caution) {
        wr_str_add(t->out, "<desc>");
        wr_escape_html(t->out, t->dress->caution);
        wr_str_add(t->out, "</desc>\n");
    }
    if (!t->dress->inline_id)
        wr_str_addf(t->out, "<rect width=\"%u\" height=\"%u\" fill=\"#FFFFFF\"/>\n", width, height);
}

/* What gnuplot says in nearly every group, said once. */
static void begin_groups(struct tidy *t)
{
    static const char *const head[][2] = {{"fill", "none"},          {"color", "black"},
                                          {"stroke", "currentColor"}, {"stroke-width", "1"},
                                          {"stroke-linecap", "butt"}, {"stroke-linejoin", "miter"}};
    size_t anchor = place_in((struct slice){"text-anchor", 11}, handed_down);

    t->depth = 1;
    wr_str_add(&t->group[0].hands_down[anchor], "start"); /* what it is where nothing is said */
    wr_str_add(t->out, "<g");
    for (size_t i = 0; i < sizeof head / sizeof *head; i++) {
        size_t place = place_in((struct slice){head[i][0], strlen(head[i][0])}, handed_down);
        wr_str_add(&t->group[0].hands_down[place], head[i][1]);
        wr_str_addf(t->out, " %s=\"%s\"", head[i][0], head[i][1]);
    }
    wr_str_add(t->out, ">\n");
}

enum wr_status svg_tidy(const struct wr_str *drawn, const struct svg_dress *dress, struct wr_str *out,
                        struct wr_error *err)
{
    const char *at = wr_str_text(drawn), *end = at + drawn->len;
    const char *root = memmem(at, drawn->len, "<svg", 4);
    struct tidy t = {.dress = dress};
    struct wr_str whole = {0};
    struct tag tag;
    bool good = false;

    t.out = &whole;
    if (!dress->inline_id) wr_str_add(&whole, "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n");
    if (root && (at = take_tag(root, end, &tag)) != NULL) {
        write_root(&t, attribute_of(&tag, "viewBox"));
        begin_groups(&t);
        good = take_body(&t, at, end);
        end_open(&t);
        while (t.depth > 0) release_group(&t.group[--t.depth]);
    }
    wr_str_add(&whole, "</g>\n</svg>\n");
    if (good) wr_str_add_bytes(out, whole.text, whole.len);
    WR_STR_RELEASE(&whole, &t.open);
    for (size_t i = 0; i < t.n_mark; i++) wr_str_release(&t.mark[i].size);
    return good ? WR_OK : wr_fail(err, WR_E_CHILD, "gnuplot gave no whole SVG document");
}
