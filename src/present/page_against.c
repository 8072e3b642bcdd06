/* What changed against what came before, for who reviews. */
#include "page_parts.h"
#include "wetrun/present/against_view.h"

static void add_paragraph(struct wr_str *out, struct wr_str *text)
{
    if (text->len > 0) page_element(out, "<p>", wr_str_text(text), "</p>\n");
    wr_str_clear(text);
}

void page_against(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    if (!page->against) return;
    wr_str_add(out, "<h3>What has changed</h3>\n");
    wr_against_sentences(page->against, &text);
    add_paragraph(out, &text);
    wr_grid_of_against_limits(page->against, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-against-limits", "Limits, then and now", WR_HTML_PLAIN},
               status, err);
    wr_grid_of_against_tasks(page->against, WR_AGAINST_CHANGED, &grid);
    page_table(out, page, &grid,
               &(struct wr_html_table){"t-against-tasks", "Tasks that are not as they were", WR_HTML_SORTABLE}, status,
               err);
    wr_against_rest(page->against, &text);
    add_paragraph(out, &text);
    wr_grid_of_against_criteria(page->against, WR_AGAINST_CHANGED, &grid);
    page_table(out, page, &grid,
               &(struct wr_html_table){"t-against-criteria", "Criteria that are not as they were", WR_HTML_PLAIN},
               status, err);
}
