/* A strict reader of the HTML that this program writes (quoted attributes, every element closed but the void ones), for
 * tests. Fails the running test, saying where, when
 *   - elements are not nested properly, an attribute is not quoted or given twice, a text holds a bare '<' or '&'
 *   - an id occurs twice, or href="#…", for, aria-labelledby, xlink:href name an id that is not there
 *   - anything would be fetched or run: src, action, http or // addresses, on… and style attributes, elements such as
 *     iframe, object, link, img; more scripts than allowed
 *   - a heading skips a level, or there is not exactly one h1 */
#pragma once

#include <stddef.h>

void html_check(const char *page);
/* The text between the first <NAME …> and its end tag, to be freed; NULL if there is none. */
char *html_inside(const char *page, const char *name);
/* How often the text occurs. */
size_t html_count(const char *page, const char *text);
