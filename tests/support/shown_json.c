#include "shown_json.h"

#include <check.h>
#include <string.h>

json_t *shown_json(const char *text)
{
    json_error_t error;
    json_t *root = json_loads(text, JSON_REJECT_DUPLICATES, &error);

    ck_assert_msg(root != NULL, "line %d: %s", error.line, error.text);
    return root;
}

void shown_has_keys(const json_t *object, const char *keys)
{
    char list[512], *save = NULL;

    ck_assert(json_is_object(object));
    ck_assert_uint_lt(strlen(keys), sizeof list);
    memcpy(list, keys, strlen(keys) + 1);
    for (char *key = strtok_r(list, " ", &save); key; key = strtok_r(NULL, " ", &save))
        ck_assert_msg(json_object_get(object, key) != NULL, "no key '%s'", key);
}

double shown_number(const json_t *object, const char *key)
{
    ck_assert_msg(json_is_number(json_object_get(object, key)), "'%s' is no number", key);
    return json_number_value(json_object_get(object, key));
}

const char *shown_text(const json_t *object, const char *key)
{
    ck_assert_msg(json_is_string(json_object_get(object, key)), "'%s' is no text", key);
    return json_string_value(json_object_get(object, key));
}

const json_t *shown_at(const json_t *object, const char *key, size_t i)
{
    const json_t *array = json_object_get(object, key);

    ck_assert_msg(json_is_array(array) && i < json_array_size(array), "'%s' has no element %zu", key, i);
    return json_array_get(array, i);
}
