/* How wide a text will be drawn, and cutting or breaking it to fit: charts place their words before any program that
 * knows fonts sees them. Advances are those of DejaVu Sans, the widest of the common sans-serif faces, so what fits
 * here fits in the others too. Texts are valid UTF-8 without controls (wr_chart_clean in present/chart.h). */
#pragma once

#include <stddef.h>
#include "wetrun/base/str.h"

enum wr_weight { WR_REGULAR, WR_BOLD };

/* Width in px of the text set at size px. */
double wr_text_width(const char *text, double size, enum wr_weight weight);

/* Appends the text, or as much of its beginning as fits with "…" into room px. Never cuts between a letter and the
 * marks that sit on it. Less room than "…" itself gives nothing. */
void wr_text_fit(struct wr_str *out, const char *text, double size, enum wr_weight weight, double room);

/* Breaks the text at blanks, and between wide East Asian characters, into at most n_line lines of room px each;
 * what is left over in the last line is cut with "…". line[n_line] start as {0}; the caller releases them.
 * Returns the number of lines, 0 for an empty text. */
size_t wr_text_wrap(struct wr_str *line, size_t n_line, const char *text, double size, enum wr_weight weight,
                    double room);
