/* JSON that the program wrote, read back. Each fails the running test. */
#pragma once

#include <jansson.h>

json_t *shown_json(const char *text);                          /* one whole document, no key twice; decref it */
void shown_has_keys(const json_t *object, const char *keys);   /* names with blanks between */
double shown_number(const json_t *object, const char *key);
const char *shown_text(const json_t *object, const char *key);
const json_t *shown_at(const json_t *object, const char *key, size_t i); /* element i of the array */
