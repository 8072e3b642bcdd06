/* A text taken apart from its front. */
#pragma once

#include <stdbool.h>
#include <stdint.h>

struct cursor {
    const char *at, *end;
};

static inline bool is_digit(char c)
{
    return (unsigned)(c - '0') <= 9;
}

static inline char peek(const struct cursor *c)
{
    return c->at < c->end ? *c->at : '\0';
}

/* Digits after the decimal sign of seconds; those beyond a nanosecond are dropped. */
static inline bool take_fraction(struct cursor *c, int64_t *ns)
{
    int64_t unit = 100000000;

    if (!is_digit(peek(c))) return false;
    for (; is_digit(peek(c)); c->at++, unit /= 10) *ns += (*c->at - '0') * unit;
    return true;
}
