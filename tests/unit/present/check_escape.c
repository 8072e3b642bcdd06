#include <check.h>
#include <string.h>
#include "wetrun/present/escape.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/utf8.h"

#define FFFD "\xef\xbf\xbd"

static struct wr_str out;

static void forget(void)
{
    wr_str_release(&out);
}

static const char *terminal(const char *text)
{
    wr_str_clear(&out);
    wr_escape_terminal(&out, text);
    return out.text;
}

static const char *csv(const char *text)
{
    wr_str_clear(&out);
    wr_escape_csv(&out, text);
    return out.text;
}

static const char *html(const char *text)
{
    wr_str_clear(&out);
    wr_escape_html(&out, text);
    return out.text;
}

static const char *valid(const char *bytes, size_t n)
{
    wr_str_clear(&out);
    wr_make_valid_utf8(&out, bytes, n);
    return out.text;
}

/* The worked example of chapter 3 of the Unicode Standard for sequences that are cut short (table "U+FFFD for Truncated
 * Sequences", from memory), and its rows for overlong forms, surrogates and numbers that are too large. */
START_TEST(one_replacement_per_maximal_subpart)
{
    static const char cut_short[] = "\x61\xF1\x80\x80\xE1\x80\xC2\x62\x80\x63\x80\xBF\x64";
    ck_assert_str_eq(valid(cut_short, sizeof cut_short - 1), "a" FFFD FFFD FFFD "b" FFFD "c" FFFD FFFD "d");
    static const char overlong[] = "\xC0\xAF\xE0\x80\xBF\xF0\x81\x82\x41";
    ck_assert_str_eq(valid(overlong, sizeof overlong - 1), FFFD FFFD FFFD FFFD FFFD FFFD FFFD FFFD "A");
    static const char surrogate[] = "\xED\xA0\x80\xED\xBF\xBF\xED\xAF\x41";
    ck_assert_str_eq(valid(surrogate, sizeof surrogate - 1), FFFD FFFD FFFD FFFD FFFD FFFD FFFD FFFD "A");
    static const char large[] = "\xF4\x91\x92\x93\xFF\x41\x80\xBF\x42";
    ck_assert_str_eq(valid(large, sizeof large - 1), FFFD FFFD FFFD FFFD FFFD "A" FFFD FFFD "B");
}
END_TEST

START_TEST(good_text_passes_unchanged)
{
    static const char text[] = "Stra\xc3\x9f" "e \xe2\x82\xac \xe6\x97\xa5\xe6\x9c\xac \xf0\x9f\x9a\x80";
    ck_assert_str_eq(valid(text, sizeof text - 1), text);
    ck_assert_str_eq(terminal(text), text);
    ck_assert_str_eq(csv(text), text);
    ck_assert_str_eq(html(text), text);
}
END_TEST

START_TEST(what_is_not_seen_is_shown)
{
    ck_assert_str_eq(terminal("A\u200eB\u200fC\u061cD\u202eE\u2066F"),
                     "A" FFFD "B" FFFD "C" FFFD "D" FFFD "E" FFFD "F");
    ck_assert_str_eq(terminal("A\u200bB\u2060C\u00adD\ufeffE\u3164F"),
                     "A" FFFD "B" FFFD "C" FFFD "D" FFFD "E" FFFD "F");
    /* joiners join nothing behind our letters, nor twice; scripts that join and symbols need them: a Persian word
     * (mi-khaham), an astronaut of two symbols, a warning sign as a picture */
    ck_assert_str_eq(terminal("SHA\u200dDE \u200cX\ufe0f"), "SHA" FFFD "DE " FFFD "X" FFFD);
    ck_assert_str_eq(terminal("\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645"),
                     "\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645");
    ck_assert_str_eq(html("\U0001F469\u200d\U0001F680 \u26a0\ufe0f"), "\U0001F469\u200d\U0001F680 \u26a0\ufe0f");
    ck_assert_str_eq(terminal("\u26a0\u200d\u200d"), "\u26a0\u200d" FFFD);
}
END_TEST

START_TEST(json_hides_nothing)
{
    wr_str_clear(&out);
    wr_escape_json(&out, "\"stra\u00dfe\x7f \xc2\x85\xc2\x9b\u202e\u200d\U000E0041\U0001F680\"");
    ck_assert_str_eq(out.text, "\"stra\u00dfe\\u007f \\u0085\\u009b\\u202e\\u200d\\udb40\\udc41\U0001F680\"");
}
END_TEST

START_TEST(decoder_stops_at_the_end)
{
    const char *text = "\xe2\x82"; /* the third byte is missing: the terminating NUL must not be taken for it */
    const char *at = text;

    ck_assert_uint_eq(wr_utf8_next(&at, text + 2), WR_REPLACEMENT);
    ck_assert_ptr_eq(at, text + 2);
}
END_TEST

START_TEST(every_code_point_survives_a_round_trip)
{
    for (uint32_t code = 1; code <= 0x10FFFF; code += code < 0x3000 ? 1 : 97) {
        if (code >= 0xD800 && code <= 0xDFFF) continue;
        wr_str_clear(&out);
        wr_utf8_add(&out, code);
        const char *at = out.text;
        ck_assert_uint_eq(wr_utf8_next(&at, out.text + out.len), code);
        ck_assert_ptr_eq(at, out.text + out.len);
    }
}
END_TEST

START_TEST(terminal_gets_no_control)
{
    ck_assert_str_eq(terminal("\x1b[31mred\x1b[0m\x07"), FFFD "[31mred" FFFD "[0m" FFFD);
    ck_assert_str_eq(terminal("over\rwrite\nline\ttab\x7f"), "over write line tab" FFFD);
    ck_assert_str_eq(terminal("\xc2\x9b" "2J c1"), FFFD "2J c1");       /* C1: control sequence introducer */
    ck_assert_str_eq(terminal("raw \x9b" "2J"), "raw " FFFD "2J");      /* the same as a bare byte */
    ck_assert_str_eq(terminal("a\xe2\x80\xae" "b"), "a" FFFD "b");      /* right-to-left override */
    ck_assert_str_eq(terminal("a\xe2\x81\xa6" "b"), "a" FFFD "b");      /* isolate */
    wr_str_clear(&out);
    wr_escape_terminal_bytes(&out, "a\0b", 3);
    ck_assert_str_eq(out.text, "a" FFFD "b");
    for (int byte = 0; byte < 256; byte++) {
        char c = (char)byte;
        wr_str_clear(&out);
        wr_escape_terminal_bytes(&out, &c, 1);
        for (size_t i = 0; i < out.len; i++) ck_assert_int_ge((unsigned char)out.text[i], 0x20);
        ck_assert_ptr_null(strchr(out.text, 0x7f));
    }
}
END_TEST

START_TEST(csv_quotes_what_rfc_4180_asks_for)
{
    ck_assert_str_eq(csv("plain text"), "plain text");
    ck_assert_str_eq(csv(""), "");
    ck_assert_str_eq(csv("a,b"), "\"a,b\"");
    ck_assert_str_eq(csv("say \"now\""), "\"say \"\"now\"\"\"");
    ck_assert_str_eq(csv("two\nlines"), "\"two\nlines\"");
    ck_assert_str_eq(csv(" blank"), "\" blank\"");
    ck_assert_str_eq(csv("bad \xff"), "bad " FFFD);
    ck_assert_str_eq(csv("\x1b[31m\rred"), "\"" FFFD "[31m" FFFD "red\""); /* for a terminal it would be a command */
    ck_assert_str_eq(csv("a\tb\nc"), "\"a\tb\nc\"");
}
END_TEST

START_TEST(csv_text_is_no_formula)
{
    ck_assert_str_eq(csv("=1+1"), "'=1+1");
    ck_assert_str_eq(csv("+49"), "'+49");
    ck_assert_str_eq(csv("-2"), "'-2");
    ck_assert_str_eq(csv("@SUM(A1)"), "'@SUM(A1)");
    ck_assert_str_eq(csv("\t=1"), "\"'\t=1\"");
    ck_assert_str_eq(csv("=HYPERLINK(\"x\",\"y\")"), "\"'=HYPERLINK(\"\"x\"\",\"\"y\"\")\"");
    ck_assert_str_eq(csv("\xef\xbc\x9d" "1"), "'\xef\xbc\x9d" "1"); /* full-width equals sign */
    ck_assert_str_eq(csv("EV1+EV2"), "EV1+EV2");
}
END_TEST

START_TEST(html_holds_no_markup)
{
    ck_assert_str_eq(html("<script>alert('x')</script>"), "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;");
    ck_assert_str_eq(html("\" onload=\"x"), "&quot; onload=&quot;x");
    ck_assert_str_eq(html("&amp;"), "&amp;amp;");
    ck_assert_str_eq(html("]]>--><!--"), "]]&gt;--&gt;&lt;!--");
    ck_assert_str_eq(html("a\x1b\xc3\x28\xff"), "a" FFFD FFFD "(" FFFD);
    ck_assert_str_eq(html("\xef\xbc\x9cscript"), "\xef\xbc\x9cscript"); /* full-width: a letter like any other */
    for (int byte = 0; byte < 256; byte++) {
        char c = (char)byte;
        wr_str_clear(&out);
        wr_escape_html_bytes(&out, &c, 1);
        ck_assert_ptr_null(strpbrk(out.text, "<>\"'"));
        if (c == '&') ck_assert_str_eq(out.text, "&amp;");
    }
}
END_TEST

START_TEST(columns_of_text)
{
    ck_assert_uint_eq(wr_text_columns("abc"), 3);
    ck_assert_uint_eq(wr_text_columns("\xe6\x97\xa5\xe6\x9c\xac"), 4);  /* two wide letters */
    ck_assert_uint_eq(wr_text_columns("e\xcc\x81"), 1);                 /* e and a combining accent */
    ck_assert_uint_eq(wr_text_columns("\xf0\x9f\x9a\x80"), 2);          /* an emoji */
    ck_assert_uint_eq(wr_text_columns("\xe2\x88\x92" "5"), 2);          /* the minus sign of our numbers */
}
END_TEST

START_TEST(prose_breaks_at_blanks)
{
    wr_str_clear(&out);
    wr_prose_add(&out, "one two  three \x1b four", 2, 10);
    ck_assert_str_eq(out.text, "  one two\n  three " FFFD "\n  four\n");
    wr_str_clear(&out);
    wr_prose_add(&out, "incomprehensibilities are long", 0, 10);
    ck_assert_str_eq(out.text, "incomprehensibilities\nare long\n");
}
END_TEST

/* POSIX.1-2017, Shell Command Language, 2.2.2: between single quotes every character but the single quote is itself. */
START_TEST(a_shell_reads_the_word_back)
{
    static const struct {
        const char *text, *word;
    } c[] = {{"6:30", "6:30"},
             {"run=Run,crew=Who", "run=Run,crew=Who"},
             {"", "''"},
             {"Diver hold (min)", "'Diver hold (min)'"},
             {"it's $x", "'it'\\''s $x'"},
             {"~a", "'~a'"}};

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        wr_str_clear(&out);
        wr_quote_shell(&out, c[i].text);
        ck_assert_str_eq(out.text, c[i].word);
    }
}
END_TEST

Suite *suite_escape(void);
Suite *suite_escape(void)
{
    Suite *s = suite_create("escape");
    TCase *t = tcase_create("escape");

    tcase_add_checked_fixture(t, NULL, forget);
    tcase_add_test(t, one_replacement_per_maximal_subpart);
    tcase_add_test(t, good_text_passes_unchanged);
    tcase_add_test(t, decoder_stops_at_the_end);
    tcase_add_test(t, what_is_not_seen_is_shown);
    tcase_add_test(t, json_hides_nothing);
    tcase_add_test(t, every_code_point_survives_a_round_trip);
    tcase_add_test(t, terminal_gets_no_control);
    tcase_add_test(t, csv_quotes_what_rfc_4180_asks_for);
    tcase_add_test(t, csv_text_is_no_formula);
    tcase_add_test(t, html_holds_no_markup);
    tcase_add_test(t, a_shell_reads_the_word_back);
    tcase_add_test(t, columns_of_text);
    tcase_add_test(t, prose_breaks_at_blanks);
    suite_add_tcase(s, t);
    return s;
}
