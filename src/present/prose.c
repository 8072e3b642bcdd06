#include "wetrun/present/prose.h"

#include <stdbool.h>
#include <string.h>
#include "wetrun/present/escape.h"
#include "wetrun/present/utf8.h"

static size_t columns_of(const char *bytes, size_t n)
{
    const char *at = bytes, *end = bytes + n;
    size_t columns = 0;

    while (at < end) columns += wr_code_width(wr_utf8_next(&at, end));
    return columns;
}

/* indented: the first line has its indent already. */
static void fill(struct wr_str *out, const char *text, size_t indent, size_t width, bool indented)
{
    size_t used = indented ? indent : 0;
    bool begins_line = true;

    for (const char *word = text; *word;) {
        size_t n = strcspn(word, " ");
        if (n == 0) {
            word++;
            continue;
        }
        size_t columns = columns_of(word, n);
        if (!begins_line && used + 1 + columns > width) {
            wr_str_add_char(out, '\n');
            used = 0;
            begins_line = true;
        }
        if (begins_line)
            for (; used < indent; used++) wr_str_add_char(out, ' ');
        else
            wr_str_add_char(out, ' '), used++;
        wr_str_add_bytes(out, word, n);
        used += columns;
        begins_line = false;
        word += n;
    }
    if (used > 0) wr_str_add_char(out, '\n');
}

void wr_prose_add(struct wr_str *out, const char *text, size_t indent, size_t width)
{
    WR_SCOPED_STR safe = {0};

    wr_escape_terminal(&safe, text);
    fill(out, wr_str_text(&safe), indent, width, false);
}

void wr_prose_add_beside(struct wr_str *out, const char *head, const char *text, size_t indent, size_t width)
{
    size_t used = columns_of(head, strlen(head));

    wr_str_add(out, head);
    if (used + 2 > indent) {
        wr_str_add_char(out, '\n');
        used = 0;
    }
    for (; used < indent; used++) wr_str_add_char(out, ' ');
    fill(out, text, indent, width, true);
}

void wr_prose_say(struct wr_str *out, struct wr_str *text)
{
    wr_prose_add(out, wr_str_text(text), 0, WR_TERMINAL_COLUMNS);
    wr_str_clear(text);
}
