#include "wetrun/present/escape.h"

#include <stdbool.h>
#include <string.h>
#include "wetrun/present/utf8.h"

/* A joiner behind a letter of ours joins nothing and is only there to make two names look the same. */
static bool joins_nothing(uint32_t code, uint32_t before)
{
    enum { FIRST_THAT_JOINS = 0x0590 }; /* Hebrew, and all that follows */

    return wr_code_joins(code) && (before < FIRST_THAT_JOINS || wr_code_joins(before));
}

/* What people may see of a code point: itself, a blank, or the replacement character. */
static uint32_t readable(uint32_t code, uint32_t before)
{
    if (joins_nothing(code, before)) return WR_REPLACEMENT;
    if (code == '\t' || code == '\n' || code == '\r' || code == 0x2028 || code == 0x2029 || code == 0x85) return ' ';
    return wr_code_is_hidden_command(code) ? WR_REPLACEMENT : code;
}

void wr_escape_terminal_bytes(struct wr_str *out, const char *bytes, size_t n)
{
    uint32_t before = 0;

    for (const char *at = bytes, *end = bytes + n; at < end;) {
        uint32_t code = wr_utf8_next(&at, end);
        wr_utf8_add(out, readable(code, before));
        before = code;
    }
}

void wr_escape_terminal(struct wr_str *out, const char *text)
{
    wr_escape_terminal_bytes(out, text, strlen(text));
}

void wr_escape_html_bytes(struct wr_str *out, const char *bytes, size_t n)
{
    uint32_t before = 0;

    for (const char *at = bytes, *end = bytes + n; at < end;) {
        uint32_t read = wr_utf8_next(&at, end), code = readable(read, before);
        before = read;
        switch (code) {
        case '&': wr_str_add(out, "&amp;"); break;
        case '<': wr_str_add(out, "&lt;"); break;
        case '>': wr_str_add(out, "&gt;"); break;
        case '"': wr_str_add(out, "&quot;"); break;
        case '\'': wr_str_add(out, "&#39;"); break;
        default: wr_utf8_add(out, code);
        }
    }
}

void wr_escape_html(struct wr_str *out, const char *text)
{
    wr_escape_html_bytes(out, text, strlen(text));
}

void wr_make_valid_utf8(struct wr_str *out, const char *bytes, size_t n)
{
    for (const char *at = bytes, *end = bytes + n; at < end;) wr_utf8_add(out, wr_utf8_next(&at, end));
}

void wr_escape_json(struct wr_str *out, const char *text)
{
    for (const char *at = text, *end = text + strlen(text); at < end;) {
        uint32_t code = wr_utf8_next(&at, end);
        if (code < 0x7F || !(wr_code_is_hidden_command(code) || wr_code_joins(code))) wr_utf8_add(out, code);
        else if (code < 0x10000) wr_str_addf(out, "\\u%04x", (unsigned)code);
        else wr_str_addf(out, "\\u%04x\\u%04x", (unsigned)(0xD7C0 + (code >> 10)), (unsigned)(0xDC00 + (code & 0x3FF)));
    }
}

void wr_escape_csv(struct wr_str *out, const char *text)
{
    bool quoted = strpbrk(text, ",;\t\"\r\n") != NULL;
    size_t n = strlen(text);

    if (n && (text[0] == ' ' || text[n - 1] == ' ')) quoted = true; /* readers trim bare fields */
    if (quoted) wr_str_add_char(out, '"');
    if (wr_is_formula(text)) wr_str_add_char(out, '\'');
    uint32_t before = 0;
    for (const char *at = text, *end = text + n; at < end;) {
        uint32_t code = wr_utf8_next(&at, end);
        if (code == '"') wr_str_add_char(out, '"');
        bool harmless =
            code == '\n' || code == '\t' || !(wr_code_is_hidden_command(code) || joins_nothing(code, before));
        wr_utf8_add(out, harmless ? code : WR_REPLACEMENT);
        before = code;
    }
    if (quoted) wr_str_add_char(out, '"');
}

void wr_quote_shell(struct wr_str *out, const char *text)
{
    static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_./:,=+@%-";

    if (*text && text[strspn(text, plain)] == '\0') {
        wr_str_add(out, text);
        return;
    }
    wr_str_add_char(out, '\'');
    for (; *text; text++) {
        if (*text == '\'') wr_str_add(out, "'\\''");
        else wr_str_add_char(out, *text);
    }
    wr_str_add_char(out, '\'');
}
