/* gnuplot's SVG made fit for a page: one element without tooltips, scripts or unused symbols, bold as a weight, ids
 * that can be told apart, one way to write a colour ("#14232B"), what groups repeat said once. Only elements and
 * attributes that a drawing needs come through. */
#pragma once

#include "wetrun/base/error.h"
#include "wetrun/base/str.h"

struct svg_dress {
    const char *inline_id; /* NULL: a file of its own, with its fonts and a white ground */
    const char *css_class; /* inline only; NULL: none */
    const char *caution;   /* of a file of its own, which may be passed on alone; NULL: none */
    const char *alt;       /* what the picture says, any bytes */
};

/* WR_E_CHILD if drawn is not one whole SVG document. */
WR_MUST_CHECK enum wr_status svg_tidy(const struct wr_str *drawn, const struct svg_dress *dress, struct wr_str *out,
                                      struct wr_error *err);
