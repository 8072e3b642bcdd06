/* The page's parts, put together by page.c. Every text goes through page_say, but for markup written here. */
#pragma once

#include "wetrun/present/page.h"

void page_say(struct wr_str *out, const char *text);                  /* escaped text */
/* The same with what stands between backticks as something to type. */
void page_sentence(struct wr_str *out, const char *open, const char *text, const char *close);
void page_element(struct wr_str *out, const char *open, const char *text, const char *close); /* markup, text, markup */
/* That it is not the usual model, if it is not, between this markup. */
void page_modelled(struct wr_str *out, const struct wr_present_context *ctx, const char *open, const char *close);
/* The figure of this name if there is one. level: of its heading, 2 or 3. Returns whether it was there. */
bool page_figures(struct wr_str *out, const struct wr_page *page, enum wr_place place, int level); /* false: none */
bool page_has_figure(const struct wr_page *page, const char *name);
/* Checks the grid, adds it as a table and releases it; keeps the first trouble in *status. */
void page_table(struct wr_str *out, const struct wr_page *page, struct wr_grid *grid, const struct wr_html_table *table,
                enum wr_status *status, struct wr_error *err);

/* What a card's times are for: which limits, and how sure is wanted of each. */
void page_card_caption(struct wr_str *out, const struct wr_cutoff_result *cutoff);

const char *page_file(const char *name); /* the text of one that the build embeds (page_files.h) */
/* The beginning of a page, which runs and shows nothing but these: up to its title. */
void page_head(struct wr_str *out, const char *const *css, size_t n_css, const char *js);
const char *page_evidence_class(enum wr_evidence evidence); /* of the mark before it: "met", "not", "open" */

void page_first_screen(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err);
void page_try(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err);
void page_against(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err);
void page_readers(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err);
