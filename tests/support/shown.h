/* Questions that tests ask of an output, whatever made it. */
#pragma once

#include <stddef.h>

/* Columns of the widest line. */
size_t shown_width(const char *text);
/* Fails the test when the text holds a control character other than a line end, or is not UTF-8. */
void shown_is_calm(const char *text);
/* Fails unless the CSV (RFC 4180) has the same number of fields in every record; returns the number of records. */
size_t shown_csv_records(const char *text, size_t n_field);
