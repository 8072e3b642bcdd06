#include "wetrun/present/prose.h"

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

void wr_prose_add(struct wr_str *out, const char *text, size_t indent, size_t width)
{
    struct wr_str safe = {0};
    size_t used = 0;

    wr_escape_terminal(&safe, text);
    for (const char *word = wr_str_text(&safe); *word;) {
        size_t n = strcspn(word, " ");
        if (n == 0) {
            word++;
            continue;
        }
        size_t columns = columns_of(word, n);
        if (used > 0 && used + 1 + columns > width) {
            wr_str_add_char(out, '\n');
            used = 0;
        }
        if (used == 0)
            for (; used < indent; used++) wr_str_add_char(out, ' ');
        else
            wr_str_add_char(out, ' '), used++;
        wr_str_add_bytes(out, word, n);
        used += columns;
        word += n;
    }
    if (used > 0) wr_str_add_char(out, '\n');
    wr_str_release(&safe);
}
