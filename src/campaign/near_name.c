#include "wetrun/campaign/near_name.h"

#include <stdint.h>
#include <string.h>

enum { LONGEST_COMPARED = 64, MOST_LISTED = 10 };

/* U+2010 to U+2014 and U+2018 to U+201D, by the last byte: what word processors make of - ' and ". */
static char plain_mark(char last)
{
    unsigned char c = (unsigned char)last;

    if (c >= 0x90 && c <= 0x94) return '-';
    if (c >= 0x98 && c <= 0x9b) return '\'';
    return c >= 0x9c && c <= 0x9f ? '"' : '\0';
}

/* ---- letters with marks ---- */

/* Small ones of Latin-1 and Latin Extended-A that may as well be written as a letter and a mark behind it: by the
 * canonical decompositions of the Unicode character database. */
static const struct {
    unsigned mark;
    const char *base;
    unsigned short letter[12];
} composed[] = {
    {0x300, "aeiou", {0xe0, 0xe8, 0xec, 0xf2, 0xf9}},
    {0x301, "aceilnorsuyz", {0xe1, 0x107, 0xe9, 0xed, 0x13a, 0x144, 0xf3, 0x155, 0x15b, 0xfa, 0xfd, 0x17a}},
    {0x302, "aceghijosuwy", {0xe2, 0x109, 0xea, 0x11d, 0x125, 0xee, 0x135, 0xf4, 0x15d, 0xfb, 0x175, 0x177}},
    {0x303, "ainou", {0xe3, 0x129, 0xf1, 0xf5, 0x169}},
    {0x304, "aeiou", {0x101, 0x113, 0x12b, 0x14d, 0x16b}},
    {0x306, "aegiou", {0x103, 0x115, 0x11f, 0x12d, 0x14f, 0x16d}},
    {0x307, "cegz", {0x10b, 0x117, 0x121, 0x17c}},
    {0x308, "aeiouy", {0xe4, 0xeb, 0xef, 0xf6, 0xfc, 0xff}},
    {0x30a, "au", {0xe5, 0x16f}},
    {0x30b, "ou", {0x151, 0x171}},
    {0x30c, "cdelnrstz", {0x10d, 0x10f, 0x11b, 0x13e, 0x148, 0x159, 0x161, 0x165, 0x17e}},
    {0x327, "cgklnrst", {0xe7, 0x123, 0x137, 0x13c, 0x146, 0x157, 0x15f, 0x163}},
    {0x328, "aeiu", {0x105, 0x119, 0x12f, 0x173}},
};

static unsigned small_letter(unsigned c)
{
    if (c >= 0xc0 && c <= 0xde && c != 0xd7) return c | 32;
    if (c == 0x178) return 0xff;
    if ((c >= 0x100 && c <= 0x137 && c != 0x130) || (c >= 0x14a && c <= 0x177)) return c | 1;
    if ((c >= 0x139 && c <= 0x148) || (c >= 0x179 && c <= 0x17e)) return c + (c & 1);
    return c;
}

/* The letter of a base and a mark, 0 if there is none. */
static unsigned letter_of(char base, unsigned mark)
{
    for (size_t i = 0; base && i < sizeof composed / sizeof *composed; i++) {
        const char *at = composed[i].mark == mark ? strchr(composed[i].base, base) : NULL;
        if (at) return composed[i].letter[at - composed[i].base];
    }
    return 0;
}

/* Takes a letter of two bytes, or a mark that makes one of what stands last; false: it is neither. */
static bool fold_letter(struct wr_str *out, const char *at)
{
    unsigned lead = (unsigned char)at[0], c = (lead & 0x1f) << 6 | ((unsigned char)at[1] & 0x3f);

    if (lead == 0xcc || lead == 0xcd) {
        c = letter_of(out->len ? out->text[out->len - 1] : '\0', c);
        if (!c) return false;
        out->len--;
    } else if (lead < 0xc3 || lead > 0xc5) {
        return false;
    }
    c = small_letter(c);
    wr_str_add_char(out, (char)(0xc0 | c >> 6));
    wr_str_add_char(out, (char)(0x80 | (c & 0x3f)));
    return true;
}

/* ---- names ---- */

void wr_fold_name(struct wr_str *out, const char *name, size_t len)
{
    wr_str_add(out, ""); /* never NULL */
    for (size_t i = 0; i < len; i++) {
        unsigned char c = (unsigned char)name[i];
        if (c == ' ' || c == '\t' || c == '_' || c == '\n' || c == '\r') continue;
        if (c == '\'' && i == 0) continue; /* a spreadsheet's sign that what follows is text */
        if (c == '.' && i > 0 && i + 2 == len && name[i + 1] == '0' && strspn(name, "0123456789") == i)
            return; /* 3.0 is 3 */
        size_t blank = c >= 0x80 ? wr_blank_at(name + i, name + len) : 0;
        if (blank) { /* one that does not break, or has no width */
            i += blank - 1;
            continue;
        }
        if (c == 0xe2 && i + 2 < len && name[i + 1] == '\x80' && plain_mark(name[i + 2])) {
            wr_str_add_char(out, plain_mark(name[i + 2]));
            i += 2;
            continue;
        }
        if (c >= 0xc3 && i + 1 < len && ((unsigned char)name[i + 1] & 0xc0) == 0x80 && fold_letter(out, name + i)) {
            i++;
            continue;
        }
        wr_str_add_char(out, (char)(c >= 'A' && c <= 'Z' ? c | 32 : c));
    }
}

bool wr_same_but_for_spelling(const char *a, const char *b)
{
    WR_SCOPED_STR x = {0}, y = {0};

    wr_fold_name(&x, a, strlen(a));
    wr_fold_name(&y, b, strlen(b));
    return strcmp(x.text, y.text) == 0;
}

size_t wr_find_spelling(const struct wr_name_list *list, const char *text)
{
    size_t found = SIZE_MAX, n = 0;

    for (size_t i = 0; i < list->n; i++) {
        const char *name = list->name(list->arg, i);
        if (!name) continue;
        if (strcmp(name, text) == 0) return i;
        if (!wr_same_but_for_spelling(name, text)) continue;
        found = i;
        n++;
    }
    return n == 1 ? found : SIZE_MAX;
}

static unsigned least_of(unsigned a, unsigned b, unsigned c)
{
    unsigned m = a < b ? a : b;

    return m < c ? m : c;
}

/* Letters to be changed, added, left out, or exchanged with their neighbour. */
static unsigned distance(const char *a, size_t na, const char *b, size_t nb)
{
    unsigned row[3][LONGEST_COMPARED + 1];

    for (size_t j = 0; j <= nb; j++) row[0][j] = (unsigned)j;
    for (size_t i = 1; i <= na; i++) {
        unsigned *now = row[i % 3], *up = row[(i - 1) % 3], *above = row[(i + 1) % 3];
        now[0] = (unsigned)i;
        for (size_t j = 1; j <= nb; j++) {
            now[j] = least_of(up[j] + 1, now[j - 1] + 1, up[j - 1] + (a[i - 1] != b[j - 1]));
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] && above[j - 2] + 1 < now[j])
                now[j] = above[j - 2] + 1;
        }
    }
    return row[na % 3][nb];
}

size_t wr_find_near(const struct wr_name_list *list, const char *text)
{
    WR_SCOPED_STR wanted = {0}, other = {0};
    size_t best = SIZE_MAX;
    unsigned least = UINT32_MAX;

    wr_fold_name(&wanted, text, strlen(text));
    for (size_t i = 0; i < list->n && wanted.len <= LONGEST_COMPARED; i++) {
        const char *name = list->name(list->arg, i);
        if (!name) continue;
        wr_str_clear(&other);
        wr_fold_name(&other, name, strlen(name));
        if (other.len == 0 || other.len > LONGEST_COMPARED) continue;
        size_t longer = other.len > wanted.len ? other.len : wanted.len;
        unsigned d = distance(wanted.text, wanted.len, other.text, other.len);
        if (d >= least || d > (longer + 2) / 3 || d >= other.len) continue;
        least = d;
        best = i;
    }
    return best;
}

static bool is_listed_before(const struct wr_name_list *list, size_t i)
{
    for (size_t j = 0; j < i; j++) {
        const char *earlier = list->name(list->arg, j);
        if (earlier && strcmp(earlier, list->name(list->arg, i)) == 0) return true;
    }
    return false;
}

void wr_add_did_you_mean(struct wr_str *out, const struct wr_name_list *list, const char *text, const char *all)
{
    size_t near = wr_find_near(list, text), n = 0;

    if (near != SIZE_MAX) {
        wr_str_addf(out, " (did you mean '%.60s'?)", list->name(list->arg, near));
        return;
    }
    for (size_t i = 0; i < list->n; i++) {
        const char *name = list->name(list->arg, i);
        if (!name || !*name || is_listed_before(list, i)) continue;
        if (n++ < MOST_LISTED) wr_str_addf(out, "%s%.60s", n == 1 ? ": write one of " : ", ", name);
    }
    if (n > MOST_LISTED) wr_str_addf(out, " and %zu more (%s)", n - MOST_LISTED, all);
}
