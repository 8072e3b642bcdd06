#include "shown.h"

#include <check.h>
#include <stdbool.h>
#include <string.h>
#include "wetrun/present/utf8.h"

size_t shown_width(const char *text)
{
    size_t widest = 0, columns = 0;

    for (const char *at = text, *end = text + strlen(text); at < end;) {
        uint32_t code = wr_utf8_next(&at, end);
        columns = code == '\n' ? 0 : columns + wr_code_width(code);
        if (columns > widest) widest = columns;
    }
    return widest;
}

void shown_is_calm(const char *text)
{
    for (const char *at = text, *end = text + strlen(text); at < end;) {
        const char *before = at;
        uint32_t code = wr_utf8_next(&at, end);
        bool really = code != WR_REPLACEMENT || memcmp(before, "\xef\xbf\xbd", 3) == 0;
        if (!really) ck_abort_msg("bytes that are no UTF-8 at offset %zu", (size_t)(before - text));
        if (code != '\n' && wr_code_is_hidden_command(code))
            ck_abort_msg("U+%04X at offset %zu", (unsigned)code, (size_t)(before - text));
    }
}

size_t shown_csv_records(const char *text, size_t n_field)
{
    size_t fields = 1, records = 0;
    bool quoted = false;

    for (const char *p = text; *p; p++) {
        if (*p == '"') quoted = !quoted;
        if (quoted) continue;
        if (*p == ',') fields++;
        if (*p != '\n') continue;
        ck_assert_msg(fields == n_field, "record %zu has %zu fields", records + 1, fields);
        fields = 1;
        records++;
    }
    ck_assert(!quoted);
    return records;
}
