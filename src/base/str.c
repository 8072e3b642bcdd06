#include "wetrun/base/str.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/base/memory.h"

static void make_room(struct wr_str *s, size_t more)
{
    size_t need = s->len + more + 1;

    WR_BUG_IF(need < more);
    if (need <= s->room) return;
    size_t room = s->room < 64 ? 64 : s->room * 2;
    if (room < need) room = need;
    s->text = wr_realloc(s->text, room, 1);
    s->room = room;
}

void wr_str_add_bytes(struct wr_str *s, const char *bytes, size_t n)
{
    make_room(s, n);
    if (n) memcpy(s->text + s->len, bytes, n);
    s->len += n;
    s->text[s->len] = '\0';
}

void wr_str_add(struct wr_str *s, const char *text)
{
    wr_str_add_bytes(s, text, strlen(text));
}

void wr_str_add_char(struct wr_str *s, char c)
{
    wr_str_add_bytes(s, &c, 1);
}

void wr_str_addf(struct wr_str *s, const char *fmt, ...)
{
    va_list ap;
    char small[256];

    va_start(ap, fmt);
    int n = vsnprintf(small, sizeof small, fmt, ap);
    va_end(ap);
    WR_BUG_IF(n < 0);
    if ((size_t)n < sizeof small) {
        wr_str_add_bytes(s, small, (size_t)n);
        return;
    }
    make_room(s, (size_t)n);
    va_start(ap, fmt);
    vsnprintf(s->text + s->len, (size_t)n + 1, fmt, ap);
    va_end(ap);
    s->len += (size_t)n;
}

void wr_str_clear(struct wr_str *s)
{
    s->len = 0;
    if (s->text) s->text[0] = '\0';
}

void wr_str_release(struct wr_str *s)
{
    wr_free(s->text);
    *s = (struct wr_str){0};
}

void wr_str_release_each(struct wr_str *const *s, size_t n)
{
    for (size_t i = 0; i < n; i++) wr_str_release(s[i]);
}

const char *wr_str_text(const struct wr_str *s)
{
    return s->text ? s->text : "";
}

const char *wr_without_folders(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash && slash[1] ? slash + 1 : path;
}

static size_t wide_blank(const unsigned char *at, size_t n)
{
    if (n >= 2 && at[0] == 0xc2 && at[1] == 0xa0) return 2;
    if (n < 3) return 0;
    if (at[0] == 0xe2 && at[1] == 0x80 && ((at[2] >= 0x80 && at[2] <= 0x8f) || at[2] == 0xaf)) return 3;
    if (at[0] == 0xe2 && at[1] == 0x81 && at[2] == 0xa0) return 3;
    return at[0] == 0xef && at[1] == 0xbb && at[2] == 0xbf ? 3 : 0;
}

size_t wr_blank_at(const char *begin, const char *end)
{
    if (begin == end) return 0;
    if (*begin == ' ' || *begin == '\t' || *begin == '\r') return 1;
    return wide_blank((const unsigned char *)begin, (size_t)(end - begin));
}

size_t wr_blank_before(const char *begin, const char *end)
{
    size_t n = (size_t)(end - begin);

    if (n == 0) return 0;
    if (end[-1] == ' ' || end[-1] == '\t' || end[-1] == '\r') return 1;
    if (((unsigned char)end[-1] & 0xc0) != 0x80) return 0;
    if (n >= 2 && wide_blank((const unsigned char *)end - 2, 2)) return 2;
    return n >= 3 && wide_blank((const unsigned char *)end - 3, 3) == 3 ? 3 : 0;
}

void wr_trim(const char **begin, const char **end)
{
    size_t blank;

    while ((blank = wr_blank_at(*begin, *end))) *begin += blank;
    while ((blank = wr_blank_before(*begin, *end))) *end -= blank;
}

bool wr_next_part(const char **at, char joint, struct wr_part *part)
{
    const char *from = *at;

    if (!from) return false;
    const char *to = strchrnul(from, joint);
    *at = *to ? to + 1 : NULL;
    wr_trim(&from, &to);
    *part = (struct wr_part){from, (size_t)(to - from)};
    return true;
}

bool wr_is_formula(const char *text)
{
    static const char *const full_width[] = {"\xef\xbc\x9d", "\xef\xbc\x8b", "\xef\xbc\x8d", "\xef\xbc\xa0"};

    for (size_t i = 0; i < sizeof full_width / sizeof *full_width; i++)
        if (strncmp(text, full_width[i], 3) == 0) return true;
    return *text && strchr("=+-@\t\r\n", *text) != NULL;
}
