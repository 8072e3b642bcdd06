#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/present/text_width.h"
#include "wetrun/present/utf8.h"

Suite *suite_text_width(void);

/* ---- the font itself, as far as needed: OpenType tables head, hhea, hmtx and cmap format 12 (ISO/IEC 14496-22)
 * ---- */

struct font {
    unsigned char *bytes;
    size_t n, hmtx, n_advance, groups, n_group;
    double units;
};

static uint32_t be(const struct font *f, size_t at, size_t n)
{
    uint32_t v = 0;

    ck_assert_uint_le(at + n, f->n);
    for (size_t i = 0; i < n; i++) v = v << 8 | f->bytes[at + i];
    return v;
}

static size_t table(const struct font *f, const char *tag)
{
    for (size_t i = 0, n = be(f, 4, 2); i < n; i++)
        if (memcmp(f->bytes + 12 + 16 * i, tag, 4) == 0) return be(f, 12 + 16 * i + 8, 4);
    ck_abort_msg("no table %s", tag);
    return 0;
}

static bool read_font(struct font *f, const char *path)
{
    FILE *file = fopen(path, "rb");

    if (!file) {
        fprintf(stderr, "text_width: %s is not installed, advances not compared\n", path);
        return false;
    }
    f->bytes = malloc(4u << 20);
    f->n = fread(f->bytes, 1, 4u << 20, file);
    fclose(file);
    f->units = be(f, table(f, "head") + 18, 2);
    f->n_advance = be(f, table(f, "hhea") + 34, 2);
    f->hmtx = table(f, "hmtx");
    size_t cmap = table(f, "cmap");
    for (size_t i = 0, n = be(f, cmap + 2, 2); i < n; i++) {
        size_t at = cmap + be(f, cmap + 4 + 8 * i + 4, 4);
        if (be(f, at, 2) != 12) continue;
        f->n_group = be(f, at + 12, 4);
        f->groups = at + 16;
    }
    ck_assert_uint_gt(f->n_group, 0);
    return true;
}

/* em; 0 if the font has no such character */
static double font_advance(const struct font *f, uint32_t code)
{
    for (size_t i = 0; i < f->n_group; i++) {
        uint32_t first = be(f, f->groups + 12 * i, 4), last = be(f, f->groups + 12 * i + 4, 4);
        if (code < first || code > last) continue;
        size_t glyph = be(f, f->groups + 12 * i + 8, 4) + code - first;
        if (glyph >= f->n_advance) glyph = f->n_advance - 1;
        return be(f, f->hmtx + 4 * glyph, 2) / f->units;
    }
    return 0;
}

static double font_width(const struct font *f, const char *text)
{
    const char *end = text + strlen(text);
    double em = 0;

    while (text < end) em += font_advance(f, wr_utf8_next(&text, end));
    return em;
}

static const struct {
    const char *path;
    enum wr_weight weight;
} faces[] = {
    {"/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf", WR_REGULAR},
    {"/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf", WR_BOLD},
};

START_TEST(ascii_has_the_advances_of_the_font)
{
    struct font f = {0};
    char text[2] = "";

    if (!read_font(&f, faces[_i].path)) return;
    for (int c = 0x20; c <= 0x7E; c++) {
        text[0] = (char)c;
        /* the table keeps thousandths: off by at most half of one */
        ck_assert_double_eq_tol(wr_text_width(text, 1, faces[_i].weight), font_advance(&f, (uint32_t)c), 0.00051);
    }
    free(f.bytes);
}
END_TEST

START_TEST(other_scripts_are_not_underrated)
{
    static const char *const words[] = {
        "Vérifiez les câbles, fermez l’écoutille à l’arrière", "Überprüfen, schließen und öffnen",
        "Подтянуть натяжение солнцезащитного экрана",          "Έλεγχος στολών και άνοιγμα",
        "فحص مفصلة الهوائي وأخذ ثلاث عينات",                   "בדיקת חליפות ופתיחת הדלת",
    };
    struct font f = {0};

    if (!read_font(&f, faces[_i].path)) return;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        double ours = wr_text_width(words[i], 1, faces[_i].weight), font = font_width(&f, words[i]);
        ck_assert_msg(ours > 0.97 * font, "%s: %g em, the font has %g", words[i], ours, font);
        ck_assert_msg(ours < 1.45 * font, "%s: %g em, the font has %g", words[i], ours, font);
    }
    free(f.bytes);
}
END_TEST

START_TEST(wide_characters_are_square_and_marks_take_no_room)
{
    ck_assert_double_eq_tol(wr_text_width("電池", 13, WR_REGULAR), 26, 1e-9);
    ck_assert_double_eq_tol(wr_text_width("e\xcc\x81\xcc\x82", 20, WR_REGULAR), wr_text_width("e", 20, WR_REGULAR),
                            1e-9);
    ck_assert_double_eq(wr_text_width("", 13, WR_BOLD), 0);
}
END_TEST

static void check_fit(const char *text, double room, const char *expected)
{
    struct wr_str out = {0};

    wr_text_fit(&out, text, 10, WR_REGULAR, room);
    ck_assert_str_eq(wr_str_text(&out), expected);
    ck_assert_double_le(wr_text_width(wr_str_text(&out), 10, WR_REGULAR), room);
    wr_str_release(&out);
}

START_TEST(what_does_not_fit_is_cut_with_an_ellipsis)
{
    check_fit("iiii", 11.13, "iiii");             /* i is 0.278 em */
    check_fit("iiiiiiii", 19.5, "iii…");          /* … is 1 em: 10 px; 3 i are 8.34 */
    check_fit("ab cd", 26, "ab…");                /* no blank before the ellipsis */
    check_fit("ae\xcc\x81zzzz", 22.4, "ae\xcc\x81…"); /* the accent stays with its letter */
    check_fit("ae\xcc\x81zzzz", 21.9, "a…");
    check_fit("abcdef", 9, "");                   /* no room even for the ellipsis */
    check_fit("電池電池", 31, "電池…");
}
END_TEST

START_TEST(lines_break_at_blanks_and_between_wide_characters)
{
    struct wr_str line[3] = {{0}};

    ck_assert_uint_eq(wr_text_wrap(line, 3, " one two  three", 10, WR_REGULAR, 45), 2);
    ck_assert_str_eq(line[0].text, "one two");
    ck_assert_str_eq(line[1].text, "three");
    for (size_t i = 0; i < 3; i++) wr_str_release(&line[i]);
    ck_assert_uint_eq(wr_text_wrap(line, 3, "電池電池電池電", 10, WR_REGULAR, 35), 3);
    ck_assert_str_eq(line[0].text, "電池電");
    ck_assert_str_eq(line[2].text, "電");
    for (size_t i = 0; i < 3; i++) wr_str_release(&line[i]);
    ck_assert_uint_eq(wr_text_wrap(line, 2, "aaa bbb ccc ddd eee", 10, WR_REGULAR, 45), 2);
    ck_assert_str_eq(line[1].text, "ccc dd…"); /* 16.5 + 3.2 + 12.7 + 10 px; what is left is cut, not lost in silence */
    for (size_t i = 0; i < 3; i++) wr_str_release(&line[i]);
    ck_assert_uint_eq(wr_text_wrap(line, 3, "", 10, WR_REGULAR, 45), 0);
    ck_assert_uint_eq(wr_text_wrap(line, 3, "   ", 10, WR_REGULAR, 45), 0);
    ck_assert_uint_eq(wr_text_wrap(line, 3, "WWWWWWWWWWWWW a", 10, WR_REGULAR, 45), 2);
    ck_assert_str_eq(line[0].text, "WWW…"); /* a word longer than a line */
    ck_assert_str_eq(line[1].text, "a");
    for (size_t i = 0; i < 3; i++) wr_str_release(&line[i]);
}
END_TEST

Suite *suite_text_width(void)
{
    Suite *s = suite_create("text_width");
    TCase *t = tcase_create("width, fit, wrap");

    tcase_add_loop_test(t, ascii_has_the_advances_of_the_font, 0, 2);
    tcase_add_loop_test(t, other_scripts_are_not_underrated, 0, 2);
    tcase_add_test(t, wide_characters_are_square_and_marks_take_no_room);
    tcase_add_test(t, what_does_not_fit_is_cut_with_an_ellipsis);
    tcase_add_test(t, lines_break_at_blanks_and_between_wide_characters);
    suite_add_tcase(s, t);
    return s;
}
