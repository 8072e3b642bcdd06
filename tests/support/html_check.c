#include "html_check.h"

#include <check.h>
#include <ctype.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_DEPTH = 64, MAX_IDS = 4000, MAX_ATTRIBUTES = 24 };

struct reader {
    const char *page, *at;
    char *open[MAX_DEPTH];
    size_t depth;
    char *id[MAX_IDS], *wanted[MAX_IDS];
    size_t n_id, n_wanted;
    int heading, n_h1;
    bool in_svg;
};

static char *copy(const char *from, const char *to)
{
    size_t n = (size_t)(to - from);
    char *text = malloc(n + 1);

    memcpy(text, from, n);
    text[n] = '\0';
    return text;
}

static size_t line_of(const struct reader *r)
{
    size_t line = 1;

    for (const char *p = r->page; p < r->at; p++) line += *p == '\n';
    return line;
}

/* ck_assert for every character would be slow: the test runner is told of each. */
#define REQUIRE(r, cond, ...)                                                                        \
    do {                                                                                             \
        if (!(cond)) {                                                                               \
            char why_[300];                                                                          \
            snprintf(why_, sizeof why_, __VA_ARGS__);                                                \
            ck_abort_msg("page line %zu: %s near: %.60s", line_of(r), why_, (r)->at);                \
        }                                                                                            \
    } while (0)

static bool one_of(const char *name, const char *list)
{
    size_t n = strlen(name);

    for (const char *p = strstr(list, name); p; p = strstr(p + 1, name))
        if ((p == list || p[-1] == ' ') && (p[n] == ' ' || p[n] == '\0')) return true;
    return false;
}

static void take_reference(struct reader *r)
{
    static const char *const known[] = {"&amp;", "&lt;", "&gt;", "&quot;", "&#39;"};

    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        if (strncmp(r->at, known[i], strlen(known[i])) != 0) continue;
        r->at += strlen(known[i]);
        return;
    }
    REQUIRE(r, false, "a bare ampersand or an unknown reference");
}

static void want(struct reader *r, const char *list)
{
    for (const char *p = list; *p;) {
        size_t n = strcspn(p, " ");
        REQUIRE(r, r->n_wanted < MAX_IDS, "too many references");
        r->wanted[r->n_wanted++] = copy(p, p + n);
        p += n + (p[n] == ' ');
    }
}

static void check_attribute(struct reader *r, const char *element, const char *name, const char *value)
{
    bool policy = strcmp(element, "meta") == 0;

    REQUIRE(r, !(name[0] == 'o' && name[1] == 'n'), "event handler %s", name);
    REQUIRE(r, !one_of(name, "style src srcset action formaction data poster background ping"), "attribute %s", name);
    REQUIRE(r, policy || (!strstr(value, "//") || strcmp(name, "aria-label") == 0 || strcmp(name, "xmlns") == 0 ||
                          strcmp(name, "xmlns:xlink") == 0),
            "address in %s", name);
    if (strcmp(name, "id") == 0) {
        for (size_t i = 0; i < r->n_id; i++) REQUIRE(r, strcmp(r->id[i], value) != 0, "id %s twice", value);
        REQUIRE(r, r->n_id < MAX_IDS && value[0], "ids");
        r->id[r->n_id++] = copy(value, value + strlen(value));
    }
    if (strcmp(name, "href") == 0 || strcmp(name, "xlink:href") == 0) {
        REQUIRE(r, value[0] == '#', "link out of the page: %s", value);
        want(r, value + 1);
    }
    if (one_of(name, "for aria-labelledby aria-describedby")) want(r, value);
}

/* Returns whether the element closed itself. */
static bool take_attributes(struct reader *r, const char *element)
{
    char *seen[MAX_ATTRIBUTES];
    size_t n_seen = 0;
    bool self_closed = false;

    for (;;) {
        while (isspace((unsigned char)*r->at)) r->at++;
        if (*r->at == '/' && r->at[1] == '>') {
            REQUIRE(r, r->in_svg, "self-closed element");
            self_closed = true;
            r->at++;
        }
        if (*r->at == '>') break;
        const char *start = r->at;
        while (isalnum((unsigned char)*r->at) || *r->at == '-' || *r->at == ':') r->at++;
        REQUIRE(r, r->at > start, "attribute name expected in <%s>", element);
        char *name = copy(start, r->at), *value;
        if (*r->at == '=') {
            r->at++;
            char quote = *r->at++;
            REQUIRE(r, quote == '"' || quote == '\'', "attribute %s is not quoted", name);
            const char *from = r->at;
            while (*r->at && *r->at != quote) {
                REQUIRE(r, *r->at != '<', "'<' in attribute %s", name);
                if (*r->at == '&')
                    take_reference(r);
                else
                    r->at++;
            }
            REQUIRE(r, *r->at == quote, "unclosed attribute %s", name);
            value = copy(from, r->at++);
        } else {
            REQUIRE(r, strcmp(name, "hidden") == 0, "attribute %s without a value", name);
            value = copy("", "");
        }
        for (size_t i = 0; i < n_seen; i++) REQUIRE(r, strcmp(seen[i], name) != 0, "attribute %s twice", name);
        REQUIRE(r, n_seen < MAX_ATTRIBUTES, "attributes");
        check_attribute(r, element, name, value);
        seen[n_seen++] = name;
        free(value);
    }
    r->at++;
    for (size_t i = 0; i < n_seen; i++) free(seen[i]);
    return self_closed;
}

static void check_heading(struct reader *r, const char *name)
{
    if (name[0] != 'h' || !isdigit((unsigned char)name[1]) || name[2]) return;
    int level = name[1] - '0';
    REQUIRE(r, level <= r->heading + 1, "h%d after h%d", level, r->heading);
    r->heading = level;
    r->n_h1 += level == 1;
}

static void skip_raw(struct reader *r, const char *name)
{
    char end[32];

    snprintf(end, sizeof end, "</%s>", name);
    const char *stop = strstr(r->at, end);
    REQUIRE(r, stop != NULL, "no %s", end);
    r->at = stop;
}

static void take_element(struct reader *r)
{
    const char *start = ++r->at;

    while (isalnum((unsigned char)*r->at) || *r->at == '-') r->at++;
    REQUIRE(r, r->at > start, "element name expected");
    char *name = copy(start, r->at);
    REQUIRE(
        r,
        !one_of(name, "iframe object embed link img image audio video source base form applet frame portal template"),
        "element %s", name);
    if (strcmp(name, "svg") == 0) r->in_svg = true;
    check_heading(r, name);
    bool self_closed = take_attributes(r, name);
    if (self_closed || one_of(name, "meta br hr input wbr col")) {
        free(name);
        return;
    }
    REQUIRE(r, r->depth < MAX_DEPTH, "nested too deeply");
    r->open[r->depth++] = name;
    if (one_of(name, "script style")) skip_raw(r, name);
}

static void take_end_tag(struct reader *r)
{
    const char *start = r->at + 2, *stop = strchr(start, '>');

    REQUIRE(r, stop != NULL && r->depth > 0, "end tag");
    char *name = copy(start, stop);
    REQUIRE(r, strcmp(name, r->open[r->depth - 1]) == 0, "</%s> closes <%s>", name, r->open[r->depth - 1]);
    if (strcmp(name, "svg") == 0) r->in_svg = false;
    free(r->open[--r->depth]);
    free(name);
    r->at = stop + 1;
}

void html_check(const char *page)
{
    struct reader *r = calloc(1, sizeof *r);
    static const char doctype[] = "<!DOCTYPE html>\n";

    r->page = r->at = page;
    REQUIRE(r, strncmp(page, doctype, sizeof doctype - 1) == 0, "doctype");
    r->at += sizeof doctype - 1;
    while (*r->at) {
        if (r->at[0] == '<' && r->at[1] == '/')
            take_end_tag(r);
        else if (*r->at == '<')
            take_element(r);
        else if (*r->at == '&')
            take_reference(r);
        else
            r->at++;
    }
    REQUIRE(r, r->depth == 0, "<%s> is not closed", r->depth ? r->open[r->depth - 1] : "");
    REQUIRE(r, r->n_h1 == 1, "%d h1", r->n_h1);
    for (size_t i = 0; i < r->n_wanted; i++) {
        bool there = false;
        for (size_t j = 0; j < r->n_id; j++) there |= strcmp(r->wanted[i], r->id[j]) == 0;
        REQUIRE(r, there, "nothing has the id %s", r->wanted[i]);
        free(r->wanted[i]);
    }
    for (size_t j = 0; j < r->n_id; j++) free(r->id[j]);
    free(r);
}

char *html_inside(const char *page, const char *name)
{
    char tag[32];

    snprintf(tag, sizeof tag, "<%s", name);
    const char *start = strstr(page, tag);
    if (!start || !(start = strchr(start, '>'))) return NULL;
    snprintf(tag, sizeof tag, "</%s>", name);
    const char *stop = strstr(start, tag);
    return stop ? copy(start + 1, stop) : NULL;
}

size_t html_count(const char *page, const char *text)
{
    size_t n = 0;

    for (const char *p = strstr(page, text); p; p = strstr(p + 1, text)) n++;
    return n;
}
