#include "wetrun/present/utf8.h"

#include <string.h>

/* Range that the second byte must lie in, by first byte: this is what rules out overlong forms, surrogates and
 * numbers beyond U+10FFFF (Unicode Standard, table 3-7). */
static unsigned lead_length(unsigned char lead, unsigned char *lo, unsigned char *hi)
{
    *lo = 0x80;
    *hi = 0xBF;
    if (lead >= 0xC2 && lead <= 0xDF) return 2;
    if (lead >= 0xE0 && lead <= 0xEF) {
        if (lead == 0xE0) *lo = 0xA0;
        if (lead == 0xED) *hi = 0x9F;
        return 3;
    }
    if (lead >= 0xF0 && lead <= 0xF4) {
        if (lead == 0xF0) *lo = 0x90;
        if (lead == 0xF4) *hi = 0x8F;
        return 4;
    }
    return 0;
}

uint32_t wr_utf8_next(const char **at, const char *end)
{
    const unsigned char *p = (const unsigned char *)*at, *stop = (const unsigned char *)end;
    unsigned char lo, hi, lead = *p++;
    uint32_t code;

    if (lead < 0x80) {
        *at = (const char *)p;
        return lead;
    }
    unsigned n = lead_length(lead, &lo, &hi);
    code = n ? lead & (0x7Fu >> n) : 0;
    for (unsigned i = 1; i < n; i++) {
        if (p == stop || *p < lo || *p > hi) {
            n = 0;
            break;
        }
        code = code << 6 | (*p++ & 0x3Fu);
        lo = 0x80;
        hi = 0xBF;
    }
    *at = (const char *)p;
    return n ? code : WR_REPLACEMENT;
}

void wr_utf8_add(struct wr_str *out, uint32_t code)
{
    if (code < 0x80) {
        wr_str_add_char(out, (char)code);
        return;
    }
    char b[4];
    size_t n = code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
    static const unsigned char lead[] = {0, 0, 0xC0, 0xE0, 0xF0};

    for (size_t i = n - 1; i > 0; i--) {
        b[i] = (char)(0x80 | (code & 0x3F));
        code >>= 6;
    }
    b[0] = (char)(lead[n] | code);
    wr_str_add_bytes(out, b, n);
}

struct range {
    uint32_t first, last;
};

static bool in_ranges(uint32_t code, const struct range *range, size_t n)
{
    size_t lo = 0, hi = n;

    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        if (code > range[mid].last)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo < n && code >= range[lo].first;
}
#define IN(code, table) in_ranges((code), (table), sizeof(table) / sizeof *(table))

/* Blocks of marks that sit on the letter before them, and of characters that take no room (ascending). */
static const struct range no_width[] = {
    {0x0300, 0x036F},   {0x0483, 0x0489},   {0x0591, 0x05BD},   {0x05BF, 0x05BF},   {0x05C1, 0x05C2},
    {0x05C4, 0x05C5},   {0x0610, 0x061A},   {0x061C, 0x061C},   {0x064B, 0x065F},   {0x0670, 0x0670},
    {0x06D6, 0x06DC},   {0x06DF, 0x06E4},   {0x06E7, 0x06E8},   {0x06EA, 0x06ED},   {0x0900, 0x0902},
    {0x093C, 0x093C},   {0x0941, 0x0948},   {0x094D, 0x094D},   {0x0E31, 0x0E31},   {0x0E34, 0x0E3A},
    {0x0E47, 0x0E4E},   {0x1AB0, 0x1AFF},   {0x1DC0, 0x1DFF},   {0x200B, 0x200F},   {0x2060, 0x2064},
    {0x20D0, 0x20FF},   {0x302A, 0x302D},   {0x3099, 0x309A},   {0xFE00, 0xFE0F},   {0xFE20, 0xFE2F},
    {0x1F3FB, 0x1F3FF}, {0xE0000, 0xE01EF},
};

/* Blocks that terminals draw two columns wide: East Asian Wide and Fullwidth of Unicode's annex 11, by block. */
static const struct range double_width[] = {
    {0x1100, 0x115F},   {0x231A, 0x231B},   {0x2329, 0x232A},   {0x23E9, 0x23EC},   {0x2614, 0x2615},
    {0x2648, 0x2653},   {0x26A1, 0x26A1},   {0x2705, 0x2705},   {0x274C, 0x274C},   {0x2753, 0x2755},
    {0x2757, 0x2757},   {0x2795, 0x2797},   {0x2B1B, 0x2B1C},   {0x2B50, 0x2B50},   {0x2E80, 0x303E},
    {0x3041, 0x33FF},   {0x3400, 0x4DBF},   {0x4E00, 0xA4CF},   {0xA960, 0xA97C},   {0xAC00, 0xD7A3},
    {0xF900, 0xFAFF},   {0xFE30, 0xFE6F},   {0xFF01, 0xFF60},   {0xFFE0, 0xFFE6},   {0x16FE0, 0x18AFF},
    {0x1B000, 0x1B2FF}, {0x1F004, 0x1F004}, {0x1F0CF, 0x1F0CF}, {0x1F18E, 0x1F18E}, {0x1F191, 0x1F19A},
    {0x1F200, 0x1F320}, {0x1F32D, 0x1F335}, {0x1F337, 0x1F37C}, {0x1F37E, 0x1F393}, {0x1F3A0, 0x1F3CA},
    {0x1F3E0, 0x1F3F0}, {0x1F3F8, 0x1F43E}, {0x1F440, 0x1F440}, {0x1F442, 0x1F4FC}, {0x1F4FF, 0x1F53D},
    {0x1F54B, 0x1F567}, {0x1F57A, 0x1F57A}, {0x1F5A4, 0x1F5A4}, {0x1F5FB, 0x1F64F}, {0x1F680, 0x1F6C5},
    {0x1F6CC, 0x1F6CC}, {0x1F6D0, 0x1F6D2}, {0x1F6EB, 0x1F6EC}, {0x1F6F4, 0x1F6FC}, {0x1F7E0, 0x1F7EB},
    {0x1F90C, 0x1F9FF}, {0x1FA70, 0x1FAFF}, {0x20000, 0x3FFFD},
};

unsigned wr_code_width(uint32_t code)
{
    if (code < 0x300) return 1;
    if (IN(code, no_width)) return 0;
    return IN(code, double_width) ? 2 : 1;
}

size_t wr_text_columns(const char *text)
{
    const char *at = text, *end = text + strlen(text);
    size_t columns = 0;

    while (at < end) columns += wr_code_width(wr_utf8_next(&at, end));
    return columns;
}

bool wr_code_is_hidden_command(uint32_t code)
{
    static const struct range hidden[] = {
        {0x0000, 0x001F},   {0x007F, 0x009F},   {0x00AD, 0x00AD},   {0x034F, 0x034F},   {0x061C, 0x061C},
        {0x115F, 0x1160},   {0x17B4, 0x17B5},   {0x180E, 0x180E},   {0x200B, 0x200B},   {0x200E, 0x200F},
        {0x2028, 0x202E},   {0x2060, 0x206F},   {0x3164, 0x3164},   {0xFDD0, 0xFDEF},   {0xFEFF, 0xFEFF},
        {0xFFA0, 0xFFA0},   {0xFFF0, 0xFFFB},   {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0xE00FF},
        {0xE01F0, 0xE0FFF},
    };

    return (code & 0xFFFE) == 0xFFFE || IN(code, hidden);
}

bool wr_code_joins(uint32_t code)
{
    static const struct range joining[] = {
        {0x180B, 0x180D}, {0x180F, 0x180F}, {0x200C, 0x200D}, {0xFE00, 0xFE0F}, {0xE0100, 0xE01EF},
    };

    return IN(code, joining);
}
