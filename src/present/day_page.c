#include "wetrun/present/day_page.h"

#include "day_data.h"
#include "page_parts.h"
#include "wetrun/present/escape.h"

/* The order in which the script's files stand (day_base.js); page.css gives the look of the report, day.css what is
 * new. */
static const char *const scripts[] = {"day_base.js", "day_plan.js", "day_past.js", "day_learn.js", "day_days.js",
                                      "day_cutoff.js", "day_log.js", "day_ui.js"};
static const char *const styles[] = {"page.css", "day.css"};

static const char *name_of(const struct wr_day_page *page)
{
    const char *name = page->context->campaign;

    return name && *name ? name : "Rehearsals";
}

static void add_head(struct wr_str *out, const struct wr_day_page *page, const struct wr_str *css,
                     const struct wr_str *js)
{
    page_head(out, (const char *const[]){wr_str_text(css)}, 1, wr_str_text(js));
    page_element(out, "<title>", name_of(page), page->sheet ? ": the day</title>\n" : ": step log</title>\n");
    wr_str_addf(out, "<style>%s</style>\n</head>\n", wr_str_text(css));
}

/* A landmark of its own, so that whoever goes by landmarks comes past it. */
static void begin_aside(struct wr_str *out, const char *label)
{
    wr_str_addf(out, "<aside class=\"in\" aria-label=\"%s\"><p class=\"caution\" role=\"note\">", label);
}

/* What stands there before the script runs, and all that is seen without it. */
static void add_body(struct wr_str *out, const struct wr_day_page *page)
{
    wr_str_add(
        out,
        "<body class=\"day\">\n<a class=\"skip\" href=\"#tasks\">To the tasks</a>\n<header><div class=\"in top\"><p>");
    page_element(out, "<b><bdi>", name_of(page), "</bdi></b>");
    wr_str_add(out, page->sheet ? " · the day" : " · step log");
    wr_str_add(out, "</p><p id=\"about\"></p></div></header>\n");
    if (page->context->doubt && page->sheet) {
        begin_aside(out, "What is in doubt");
        wr_str_add(out, "<b>");
        wr_escape_html(out, page->context->doubt);
        wr_str_add(out, "</b></p></aside>\n");
    }
    if (page->context->modelled && page->sheet) {
        begin_aside(out, "The model");
        page_modelled(out, page->context, "<b>", "</b></p></aside>\n");
    }
    if (page->context->excursion_words && page->sheet) {
        begin_aside(out, "The excursion");
        wr_escape_html(out, page->context->excursion_words);
        wr_str_add(out, "</p></aside>\n");
    }
    if (page->context->second_words && page->sheet) {
        begin_aside(out, "Other answers");
        wr_escape_html(out, page->context->second_words);
        wr_escape_html(out, " This page assumes none of that, and so never says that a limit is kept before its work "
                            "is done; `wetrun cutoff --reports` works with every answer.");
        wr_str_add(out, "</p></aside>\n");
    }
    wr_str_add(
        out,
        "<main class=\"in\" id=\"main\">\n"
        "<noscript><p class=\"caution\">This page works with a script of its own, which this browser does not run. "
        "`wetrun logsheet` prints a step log, `wetrun cutoff` the cut-offs.</p></noscript>\n</main>\n"
        "<footer><div class=\"in\" id=\"foot\">");
    page_element(out, "<p>wetrun ", page->context->version, ". This page needs no network and sends nothing.</p>");
    wr_str_add(out, "</div></footer>\n");
}

enum wr_status wr_day_page_write(const struct wr_day_page *page, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_STR css = {0}, js = {0}, data = {0};
    enum wr_status status = day_data_add(page, &data, err);

    for (size_t i = 0; i < sizeof styles / sizeof *styles; i++) wr_str_add(&css, page_file(styles[i]));
    for (size_t i = 0; i < sizeof scripts / sizeof *scripts; i++) wr_str_add(&js, page_file(scripts[i]));
    if (status == WR_OK) {
        add_head(out, page, &css, &js);
        add_body(out, page);
        wr_str_addf(out, "<script type=\"application/json\" id=\"day-data\">%s</script>\n", wr_str_text(&data));
        wr_str_addf(out, "<script>%s</script>\n</body>\n</html>\n", wr_str_text(&js));
    }
    return status;
}
