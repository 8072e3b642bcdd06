#include "chart_glyphs.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/present/utf8.h"

enum { WHITE_SQUARE = 0x25A1 };

struct range {
    uint32_t first, last;
};

static bool is_common(uint32_t code)
{
    static const struct range common[] = {
        {0x00, 0x7E}, {0xA0, 0x17F}, {0x386, 0x386}, {0x388, 0x38A}, {0x38C, 0x38C}, {0x38E, 0x3A1}, {0x3A3, 0x3CE},
        {0x400, 0x45F}, {0x2013, 0x2014}, {0x2018, 0x201A}, {0x201C, 0x201E}, {0x2026, 0x2026}, {0x2212, 0x2212},
    };

    for (size_t i = 0; i < sizeof common / sizeof *common; i++)
        if (code >= common[i].first && code <= common[i].last) return true;
    return false;
}

bool glyphs_are_in_doubt(const char *text)
{
    const char *end = text + strlen(text);

    while (text < end)
        if (!is_common(wr_utf8_next(&text, end))) return true;
    return false;
}

struct coverage {
    struct range *range;
    size_t n, room;
};

static int by_first(const void *a, const void *b)
{
    const struct range *x = a, *y = b;

    return x->first < y->first ? -1 : x->first > y->first;
}

/* All fonts together: ascending ranges that do not overlap. */
static void read_coverage(struct coverage *c, const char *text)
{
    char *end;

    while (*text) {
        uint32_t first = (uint32_t)strtoul(text, &end, 16), last = first;
        if (end == text) {
            text++;
            continue;
        }
        if (*end == '-') last = (uint32_t)strtoul(end + 1, &end, 16);
        *WR_PUSH(c->range, c->n, c->room) = (struct range){first, last};
        text = end;
    }
    if (c->n) qsort(c->range, c->n, sizeof *c->range, by_first);
    size_t kept = 0;
    for (size_t i = 0; i < c->n; i++) {
        if (kept && c->range[i].first <= c->range[kept - 1].last) {
            if (c->range[i].last > c->range[kept - 1].last) c->range[kept - 1].last = c->range[i].last;
        } else {
            c->range[kept++] = c->range[i];
        }
    }
    c->n = kept;
}

static bool is_covered(const struct coverage *c, uint32_t code)
{
    size_t lo = 0, hi = c->n;

    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        if (code > c->range[mid].last)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo < c->n && code >= c->range[lo].first;
}

void glyphs_replace_missing(struct wr_str *out, const char *text, const char *coverage)
{
    struct coverage c = {0};

    read_coverage(&c, coverage);
    for (const char *at = text, *end = text + strlen(text); at < end;) {
        uint32_t code = wr_utf8_next(&at, end);
        if (is_common(code) || is_covered(&c, code))
            wr_utf8_add(out, code);
        else if (wr_code_width(code) > 0) /* a mark without its glyph is left out */
            wr_utf8_add(out, is_covered(&c, WHITE_SQUARE) ? WHITE_SQUARE : '?');
    }
    wr_free(c.range);
}
