#include <check.h>
#include <stdbool.h>
#include <string.h>
#include "../../../src/present/chart_svg.h"

Suite *suite_chart_svg(void);

/* As gnuplot 5.4 writes it: prolog, remarks, a canvas, symbols, groups with equal heads, tooltips, bold as a family. */
static const char drawn[] =
    "<?xml version=\"1.0\" encoding=\"utf-8\"  standalone=\"no\"?>\n<svg \n viewBox=\"0 0 960 548\"\n"
    " xmlns=\"http://www.w3.org/2000/svg\"\n>\n\n<title>Gnuplot</title>\n<desc>Produced by GNUPLOT</desc>\n"
    "<g id=\"gnuplot_canvas\">\n<rect x=\"0\" y=\"0\" width=\"960\" height=\"548\" fill=\"none\"/>\n<defs>\n"
    "\t<circle id='gpDot' r='0.5' stroke-width='0.5' stroke='currentColor'/>\n"
    "\t<circle id='gpPt5' stroke-width='0.205' stroke='currentColor' cx='0' cy='0' r='1'/>\n"
    "\t<use xlink:href='#gpPt5' id='gpPt6' fill='currentColor' stroke='none'/>\n"
    "\t<filter id='textbox'>\n<feFlood flood-color='white'/></filter>\n</defs>\n"
    "<g fill=\"none\" color=\"black\" stroke=\"currentColor\" stroke-width=\"1.00\" stroke-linecap=\"butt\""
    " stroke-linejoin=\"miter\">\n</g>\n"
    "<g id=\"gnuplot_plot_1\" ><title>a tooltip</title>\n"
    "<g fill=\"none\" color=\"black\" stroke=\"currentColor\" stroke-width=\"2.00\" stroke-linecap=\"butt\""
    " stroke-linejoin=\"miter\">\n"
    "\t<path stroke='rgb( 20,  35,  43)' onclick='x()' d='M1.50,2.00 L3.00,\n\t\t4.25 '/></g>\n"
    "\t<use xlink:href='#gpPt6' transform='translate(8.00,9.10) scale(3.40)' color='rgb(255, 255, 255)'/>\n</g>\n"
    "\t<g transform=\"translate(384.00,95.40)\" stroke=\"none\" fill=\"rgb(20,35,43)\" font-family=\"DejaVu Sans:Bold\""
    " font-size=\"18.00\"  text-anchor=\"end\">\n\t\t<text>a &lt; b 1.50 & c</text>\n\t</g>\n"
    "<script>alert(1)</script>\n</g>\n</svg>\n";

static enum wr_status tidy(const char *text, const struct svg_dress *dress, struct wr_str *out)
{
    struct wr_str in = {0};

    wr_str_add(&in, text);
    enum wr_status status = svg_tidy(&in, dress, out, NULL);
    wr_str_release(&in);
    return status;
}

START_TEST(inline_picture_is_one_small_element)
{
    struct svg_dress dress = {.inline_id = "finish-wide", .css_class = "chart wide", .alt = "9 of 100 <pass> \"it\""};
    struct wr_str out = {0};

    ck_assert_int_eq(tidy(drawn, &dress, &out), WR_OK);
    ck_assert_str_eq(
        out.text,
        "<svg class=\"chart wide\" viewBox=\"0 0 960 548\" role=\"img\""
        " aria-label=\"9 of 100 &lt;pass&gt; &quot;it&quot;\">\n"
        "<g fill=\"none\" color=\"black\" stroke=\"currentColor\" stroke-width=\"1\" stroke-linecap=\"butt\""
        " stroke-linejoin=\"miter\">\n"
        "<defs>\n<circle id=\"finish-wide-gpPt5\" stroke-width=\"0.205\" stroke=\"currentColor\" cx=\"0\" cy=\"0\""
        " r=\"1\"/>\n<use id=\"finish-wide-gpPt6\" fill=\"currentColor\" stroke=\"none\""
        " href=\"#finish-wide-gpPt5\"/>\n</defs>\n"
        "<g stroke-width=\"2\"><path stroke=\"#14232B\" d=\"M1.5,2 L3, 4.3\"/>\n</g>\n"
        "<g color=\"#FFFFFF\">"
        "<defs><use id=\"finish-wide-m0\" transform=\"scale(3.4)\" href=\"#finish-wide-gpPt6\"/></defs>"
        "<use x=\"8\" y=\"9.1\" href=\"#finish-wide-m0\"/>\n</g>\n"
        "<g stroke=\"none\" fill=\"#14232B\" font-weight=\"bold\" font-size=\"18\" text-anchor=\"end\">"
        "<text x=\"384\" y=\"95.4\">a &lt; b 1.50 &amp; c</text></g>\n"
        "</g>\n</svg>\n"); /* nothing of the script, not even its text */
    wr_str_release(&out);
}
END_TEST

/* What stands beside each other in one colour is one group, a point drawn again one short element. */
START_TEST(what_repeats_is_said_once)
{
    static const char marks[] =
        "<svg viewBox=\"0 0 9 9\"><g id=\"c\"><defs><circle id='p' r='1'/></defs>"
        "<use xlink:href='#p' transform='translate(1.00,2.00) scale(3.00)' color='rgb(0, 0, 1)'/>"
        "<use xlink:href='#p' transform='translate(3.00,2.06) scale(3.00)' color='rgb(0, 0, 1)'/>"
        "<use xlink:href='#p' transform='translate(4.00,2.00) scale(2.00)' color='rgb(0, 0, 2)'/>"
        "<g transform=\"translate(5.00,6.00)\" font-size=\"9\" text-anchor=\"start\"><text>a</text></g>"
        "<g transform=\"translate(5.00,7.00)\" font-size=\"9\"><text>b</text></g>"
        "<g transform=\"translate(5,8) rotate(90)\" font-size=\"9\"><text>c</text></g>"
        "<path d='M1,2'/></g></svg>";
    static const char inner[] =
        "<g color=\"#000001\"><defs><use id=\"i-m0\" transform=\"scale(3)\" href=\"#i-p\"/></defs>"
        "<use x=\"1\" y=\"2\" href=\"#i-m0\"/>\n<use x=\"3\" y=\"2.1\" href=\"#i-m0\"/>\n</g>\n"
        "<g color=\"#000002\"><defs><use id=\"i-m1\" transform=\"scale(2)\" href=\"#i-p\"/></defs>"
        "<use x=\"4\" y=\"2\" href=\"#i-m1\"/>\n</g>\n"
        "<g font-size=\"9\"><text x=\"5\" y=\"6\">a</text><text x=\"5\" y=\"7\">b</text></g>\n"
        "<g transform=\"translate(5,8) rotate(90)\" font-size=\"9\"><text>c</text></g>\n"
        "<path d=\"M1,2\"/>\n";
    struct svg_dress dress = {.inline_id = "i", .alt = "x"};
    struct wr_str out = {0};

    ck_assert_int_eq(tidy(marks, &dress, &out), WR_OK);
    ck_assert_msg(strstr(out.text, inner) != NULL, "%s", out.text);
    wr_str_clear(&out); /* only texts are moved by a group: anything else would lose its place */
    const char *moved = "<svg viewBox='0 0 1 1'><g transform='translate(1,2)'><path d='M1,2'/></g></svg>";
    ck_assert_int_eq(tidy(moved, &dress, &out), WR_E_CHILD);
    wr_str_release(&out);
}
END_TEST

START_TEST(a_file_of_its_own_has_fonts_and_ground)
{
    struct svg_dress dress = {.alt = "x", .caution = "this & that"};
    struct wr_str out = {0};

    ck_assert_int_eq(tidy(drawn, &dress, &out), WR_OK);
    ck_assert_ptr_nonnull(strstr(out.text, "<desc>this &amp; that</desc>\n<rect "));
    ck_assert_ptr_nonnull(strstr(out.text, "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<svg xmlns="));
    ck_assert_ptr_nonnull(strstr(out.text, "width=\"960\" height=\"548\""));
    ck_assert_ptr_nonnull(strstr(out.text, "font-family=\"DejaVu Sans, sans-serif\""));
    ck_assert_ptr_nonnull(strstr(out.text, " stroke=\"none\" xlink:href=\"#gpPt5\"/>"));
    ck_assert_ptr_null(strstr(out.text, "tooltip"));
    ck_assert_ptr_null(strstr(out.text, "script"));
    ck_assert_ptr_null(strstr(out.text, "onclick"));
    ck_assert_ptr_null(strstr(out.text, "gpDot"));
    wr_str_release(&out);
}
END_TEST

START_TEST(half_a_document_is_no_picture)
{
    struct svg_dress dress = {.alt = ""};
    struct wr_str half = {0}, out = {0};

    for (size_t n = 0; n + strlen("</svg>\n") <= sizeof drawn - 1; n++) {
        wr_str_clear(&half);
        wr_str_add_bytes(&half, drawn, n);
        ck_assert_int_eq(svg_tidy(&half, &dress, &out, NULL), WR_E_CHILD);
        ck_assert_uint_eq(out.len, 0);
    }
    ck_assert_int_eq(tidy("<svg viewBox='0 0 1 1'></g></svg>", &dress, &out), WR_E_CHILD);
    ck_assert_int_eq(tidy("<svg viewBox='0 0 1 1'><g></svg>", &dress, &out), WR_E_CHILD);
    ck_assert_int_eq(tidy("", &dress, &out), WR_E_CHILD);
    ck_assert_int_eq(tidy("<svg/>", &dress, &out), WR_E_CHILD);
    wr_str_release(&half);
    wr_str_release(&out);
}
END_TEST

/* ---- forms that gnuplot has not been seen to write ---- */

/* Between a root and its end: what comes of it, or NULL where it is no picture; inline as "i". */
static const struct {
    const char *body, *made;
} forms[] = {
    {"<path ='M1,2'/>", NULL},
    {"<path d/>", NULL},
    {"<path d=M1,2/>", NULL},
    {"<path d='M1,2/>", NULL},
    {"<path d='M1,2' /", NULL},
    {"< d='M1,2'/>", NULL},
    {"<defs><circle id='p' r='1'/>", NULL},
    {"<defs><filter id='f'><feFlood/></defs>", NULL},
    {"<defs><circle id='p' r=1/></defs>", NULL},
    {"<!-- a remark without an end <path d='M1,2'/>", NULL},
    {"<g transform='translate(1,2)'><path d='M1,2'/></g>", NULL},
    {"<g transform='translate(1,2)'><rect x='1'></rect></g>", NULL},
    /* colours: three numbers up to 255, and nothing else; others stay as they are written */
    {"<path stroke='rgb(255,0,16)'/>", "<path stroke=\"#FF0010\"/>"},
    {"<path stroke='rgb(256,0,0)'/>", "<path stroke=\"rgb(256,0,0)\"/>"},
    {"<path stroke='rgb(0,256,0)'/>", "<path stroke=\"rgb(0,256,0)\"/>"},
    {"<path stroke='rgb(0,0,256)'/>", "<path stroke=\"rgb(0,0,256)\"/>"},
    {"<path stroke='rgb(1,2,3) x'/>", "<path stroke=\"rgb(1,2,3) x\"/>"},
    {"<path stroke='rgb(1,2)'/>", "<path stroke=\"rgb(1,2)\"/>"},
    /* places to a tenth; no place, and no number of pixels, is rounded */
    {"<path d='  M1.26,2.04\n  3.00 '/>", "<path d=\"M1.3,2 3\"/>"},
    {"<path d='M1234567.26,.256'/>", "<path d=\"M1234567.26,0.3\"/>"},
    {"<rect width='1.26'/>", "<rect width=\"1.26\"/>"},
    {"<rect fill=\"none\" width='2'/>", ""},
    {"<rect fill='none' stroke='black' width='2'/>", "<rect fill=\"none\" stroke=\"black\" width=\"2\"/>"},
    {"<rect fill='red' width='2'/>", "<rect fill=\"red\" width=\"2\"/>"},
    /* what points refer to: a symbol of this document */
    {"<defs><circle id='p' r='1'/><path id='q' d='M1'/></defs><use href='#p'/>",
     "<defs>\n<circle id=\"i-p\" r=\"1\"/>\n</defs>\n<use href=\"#i-p\"/>"},
    {"<defs><circle r='1'/><filter id='f'/><g id='h'></g></defs><use href='#p'/>",
     "<defs>\n</defs>\n<use href=\"#i-p\"/>"},
    {"<use href='javascript:x'/>", "<use/>"},
    {"<use href='#'/>", "<use/>"},
    {"<defs></defs><use href='#p\"/>", NULL},
    /* a point that is not moved and enlarged */
    {"<use xlink:href='#p' transform='translate(1.0,2.0)'/>", "<use transform=\"translate(1,2)\" href=\"#i-p\"/>"},
    {"<use xlink:href='#p' transform='scale(2)'/>", "<use transform=\"scale(2)\" href=\"#i-p\"/>"},
    {"<use xlink:href='#p' transform='translate(12) scale(2)'/>",
     "<use transform=\"translate(12) scale(2)\" href=\"#i-p\"/>"},
    {"<use xlink:href='#p' transform='translate(1,2) rotate(9)'/>",
     "<use transform=\"translate(1,2) rotate(9)\" href=\"#i-p\"/>"},
    {"<use xlink:href='#p' transform='rotate'/>", "<use transform=\"rotate\" href=\"#i-p\"/>"},
    /* groups and texts */
    {"<g transform='translate(1,2)'><g transform='translate(3,4)'><text>a</text></g></g>",
     "<g transform=\"translate(3,4)\"><text x=\"1\" y=\"2\">a</text></g>"},
    {"<g transform='translate(1,2)'><text>a<tspan font-size='9'>b</tspan></text></g>",
     "<text x=\"1\" y=\"2\">a<tspan font-size=\"9\">b</tspan></text>"},
    {"<g transform='translate(1,2)'><text/></g>", "<text x=\"1\" y=\"2\"/>"},
    {"<g/><path d='M1'/>", "<path d=\"M1\"/>"},
    {"<text>a &lt;b&gt; &quot;c&quot; &#39;d&#39; &apos;e&apos; &amp; &copy; > &lt</text>",
     "<text>a &lt;b&gt; &quot;c&quot; &#39;d&#39; &apos;e&apos; &amp; &amp;copy; &gt; &amp;lt</text>"},
    {"<text font-family='Sans:Bold'>a</text><text font-family='Bold'>b</text>",
     "<text font-weight=\"bold\">a</text><text>b</text>"},
};

START_TEST(forms_of_an_element)
{
    const struct svg_dress dress = {.inline_id = "i", .alt = ""};
    struct wr_str in = {0}, out = {0}, whole = {0};

    wr_str_addf(&in, "<svg viewBox='0 0 9 9'>%s</svg>", forms[_i].body);
    enum wr_status status = tidy(wr_str_text(&in), &dress, &out);
    if (!forms[_i].made) {
        ck_assert_int_eq(status, WR_E_CHILD);
        ck_assert_uint_eq(out.len, 0);
    } else {
        ck_assert_int_eq(status, WR_OK);
        const char *inner = strstr(out.text, "stroke-linejoin=\"miter\">\n");
        wr_str_add(&whole, inner + strlen("stroke-linejoin=\"miter\">\n"));
        wr_str_clear(&in);
        wr_str_addf(&in, "%s%s</g>\n</svg>\n", forms[_i].made,
                    whole.text[strlen(forms[_i].made)] == '\n' ? "\n" : ""); /* after a single element */
        ck_assert_str_eq(wr_str_text(&whole), wr_str_text(&in));
    }
    wr_str_release(&in);
    wr_str_release(&out);
    wr_str_release(&whole);
}
END_TEST

/* So many of something, and one more: the first is a picture. Marks beyond the most are drawn as they came. */
START_TEST(more_than_there_is_room_for)
{
    static const struct {
        const char *before, *each, *behind;
        int most;
        bool refused;
    } c[] = {
        {"<path", " x='1'", "/>", 24, true},
        {"<defs>", "<circle id='p' r='1'/>", "</defs>", 64, true},
        {"", "<g>", "", 31, true}, /* the root's is one of 32 */
        {"", "<use xlink:href='#p' transform='translate(1,2) scale(%d)'/>", "", 64, false},
    };
    const struct svg_dress dress = {.inline_id = "i", .alt = ""};

    for (int n = c[_i].most; n <= c[_i].most + 1; n++) {
        struct wr_str in = {0}, out = {0};
        wr_str_addf(&in, "<svg viewBox='0 0 9 9'>%s", c[_i].before);
        for (int i = 0; i < n; i++) {
            const char *number = strstr(c[_i].each, "%d");
            wr_str_add_bytes(&in, c[_i].each, number ? (size_t)(number - c[_i].each) : strlen(c[_i].each));
            if (number) wr_str_addf(&in, "%d%s", i + 10, number + 2);
        }
        wr_str_add(&in, c[_i].behind);
        for (int i = 0; i < n && strcmp(c[_i].each, "<g>") == 0; i++) wr_str_add(&in, "</g>");
        wr_str_add(&in, "</svg>");
        ck_assert_int_eq(tidy(wr_str_text(&in), &dress, &out), n > c[_i].most && c[_i].refused ? WR_E_CHILD : WR_OK);
        if (!c[_i].refused) {
            ck_assert_ptr_nonnull(strstr(out.text, "i-m63"));
            ck_assert_ptr_null(strstr(out.text, "i-m64"));
            ck_assert_int_eq(strstr(out.text, "<use transform=\"translate(1,2) scale(74)\"") != NULL, n > c[_i].most);
        }
        wr_str_release(&in);
        wr_str_release(&out);
    }
}
END_TEST

Suite *suite_chart_svg(void)
{
    Suite *s = suite_create("chart_svg");
    TCase *t = tcase_create("tidy");

    tcase_add_test(t, inline_picture_is_one_small_element);
    tcase_add_test(t, what_repeats_is_said_once);
    tcase_add_test(t, a_file_of_its_own_has_fonts_and_ground);
    tcase_add_test(t, half_a_document_is_no_picture);
    tcase_add_loop_test(t, forms_of_an_element, 0, (int)(sizeof forms / sizeof *forms));
    tcase_add_loop_test(t, more_than_there_is_room_for, 0, 4);
    suite_add_tcase(s, t);
    return s;
}
