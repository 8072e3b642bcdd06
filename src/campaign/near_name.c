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
        if (c >= 'A' && c <= 'Z') c |= 32;
        bool capital = i > 0 && (unsigned char)name[i - 1] == 0xc3 && c >= 0x80 && c <= 0x9e && c != 0x97;
        wr_str_add_char(out, (char)(capital ? c | 32 : c));
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
