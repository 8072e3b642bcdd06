/* JSON objects that were made apart, joined. */
#pragma once

#include "wetrun/base/str.h"

/* object: the text of a JSON object, or nothing yet; it gets one member more. key: one of our own words. value:
 * JSON. */
void wr_json_join(struct wr_str *object, const char *key, const struct wr_str *value);
