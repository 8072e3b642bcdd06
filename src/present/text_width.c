#include "wetrun/present/text_width.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>
#include "wetrun/present/utf8.h"

#define ELLIPSIS "\xe2\x80\xa6"

/* Advances of DejaVu Sans 2.37 from U+0020 to U+007E, in thousandths of the size (its hmtx table, 2048 units). */
static const unsigned short advance_regular[95] = {
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775,
    752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390,
    337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612,
    635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
};
static const unsigned short advance_bold[95] = {
    348, 456, 521, 838, 696, 1002, 872, 306, 457, 457, 523, 838, 380, 415, 380, 365, 696, 696, 696, 696,
    696, 696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 580, 1000, 774, 762, 734, 830, 683, 683, 821,
    837, 372, 372, 775, 637, 995, 837, 850, 733, 850, 770, 720, 682, 812, 774, 1103, 771, 724, 725, 457,
    365, 457, 838, 500, 500, 675, 716, 593, 716, 678, 435, 716, 712, 343, 343, 665, 343, 1042, 712, 687,
    716, 716, 493, 595, 478, 712, 652, 924, 645, 652, 582, 712, 365, 712, 838,
};
/* Beyond ASCII: about the 80 % point of the block's advances, so that ordinary words are not underrated. */
static const struct block {
    uint32_t last;
    unsigned short advance;
} block[] = {
    {0x00A0, 318},  {0x00BF, 640},  {0x00DE, 770},  {0x024F, 640},  {0x02FF, 500},  {0x03A9, 790},
    {0x03FF, 650},  {0x042F, 800},  {0x045F, 680},  {0x052F, 860},  {0x058F, 720},  {0x05FF, 660},
    {0x06FF, 760},  {0x1FFF, 860},  {0x2012, 640},  {0x2013, 500},  {0x2015, 1000}, {0x2019, 318},
    {0x201B, 318},  {0x201F, 518},  {0x2025, 668},  {0x2027, 1000}, {0x218F, 700},
};
enum { ELSEWHERE = 900, BOLD_PERCENT = 113 };

static double advance(uint32_t code, enum wr_weight weight)
{
    unsigned em = ELSEWHERE;

    if (code >= 0x20 && code <= 0x7E) return (weight == WR_BOLD ? advance_bold : advance_regular)[code - 0x20];
    unsigned columns = wr_code_width(code);
    if (columns == 0) return 0;
    if (columns == 2) return 1000;
    if (code == WR_REPLACEMENT) em = 1025;
    for (size_t i = 0; i < sizeof block / sizeof *block && code <= block[sizeof block / sizeof *block - 1].last; i++) {
        if (code > block[i].last) continue;
        em = block[i].advance;
        break;
    }
    return weight == WR_BOLD ? em * BOLD_PERCENT / 100.0 : em;
}

static double width_of(const char *text, const char *end, double size, enum wr_weight weight)
{
    double thousandths = 0;

    while (text < end) thousandths += advance(wr_utf8_next(&text, end), weight);
    return thousandths / 1000.0 * size;
}

double wr_text_width(const char *text, double size, enum wr_weight weight)
{
    return width_of(text, text + strlen(text), size, weight);
}

void wr_text_fit(struct wr_str *out, const char *text, double size, enum wr_weight weight, double room)
{
    const char *end = text + strlen(text), *keep = text;
    double dots = wr_text_width(ELLIPSIS, size, weight);

    if (width_of(text, end, size, weight) <= room) {
        wr_str_add(out, text);
        return;
    }
    if (dots > room) return;
    double width = 0;
    for (const char *at = text; at < end;) {
        uint32_t code = wr_utf8_next(&at, end);
        width += advance(code, weight) / 1000.0 * size;
        if (width + dots > room) break;
        const char *next = at;
        bool marks_follow = at < end && wr_code_width(wr_utf8_next(&next, end)) == 0;
        if (code != ' ' && !marks_follow) keep = at;
    }
    wr_str_add_bytes(out, text, (size_t)(keep - text));
    wr_str_add(out, ELLIPSIS);
}

static bool is_wide(uint32_t code)
{
    return wr_code_width(code) == 2;
}

/* Where the text may be broken after start: behind the next blank, or between two wide characters. *stop is the end of
 * what stays on the line (the blank is dropped). Returns where the next piece begins. */
static const char *next_break(const char *start, const char *end, const char **stop)
{
    uint32_t before = 0;

    for (const char *at = start; at < end;) {
        const char *here = at;
        uint32_t code = wr_utf8_next(&at, end);
        if (code == ' ') {
            *stop = here;
            while (at < end && *at == ' ') at++;
            return at;
        }
        if (here > start && is_wide(before) && is_wide(code)) {
            *stop = here;
            return here;
        }
        if (wr_code_width(code)) before = code;
    }
    *stop = end;
    return end;
}

/* The most pieces that fit from start, at least one; *stop as in next_break. */
static const char *take_line(const char *start, const char *end, double size, enum wr_weight weight, double room,
                             const char **stop)
{
    const char *next = next_break(start, end, stop);
    double width = width_of(start, next, size, weight); /* up to next, blanks included */

    while (next < end) {
        const char *further_stop, *further = next_break(next, end, &further_stop);
        if (width + width_of(next, further_stop, size, weight) > room) break;
        width += width_of(next, further, size, weight);
        *stop = further_stop;
        next = further;
    }
    return next;
}

size_t wr_text_wrap(struct wr_str *line, size_t n_line, const char *text, double size, enum wr_weight weight,
                    double room)
{
    const char *at = text, *end = text + strlen(text);
    WR_SCOPED_STR whole = {0};
    size_t n = 0;

    while (at < end && *at == ' ') at++;
    while (at < end && n < n_line) {
        const char *stop, *next = take_line(at, end, size, weight, room, &stop);
        if (n + 1 == n_line) stop = end;
        wr_str_clear(&whole);
        wr_str_add_bytes(&whole, at, (size_t)(stop - at));
        wr_text_fit(&line[n], wr_str_text(&whole), size, weight, room);
        at = n + 1 == n_line ? end : next;
        n++;
    }
    return n;
}
