#include "weighed.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/memory.h"

enum { FEW = 1000, DIGIT_BITS = 8 };

static int by_value(const void *a, const void *b)
{
    const struct wr_weighed *p = a, *q = b;

    if (p->value != q->value) return p->value < q->value ? -1 : 1;
    return (p->weight > q->weight) - (p->weight < q->weight); /* so that the order does not depend on the sort */
}

/* A number that grows with the value: doubles of one sign are ordered as their bits are. */
static uint64_t key_of(double value)
{
    uint64_t bits;

    memcpy(&bits, &value, sizeof bits);
    return bits >> 63 ? ~bits : bits | UINT64_C(1) << 63;
}

/* By one digit of the key, the rest of the order kept; false: all have the same, and nothing was moved. */
static bool sort_by_digit(const struct wr_weighed *from, struct wr_weighed *to, size_t n, unsigned shift)
{
    size_t place[1 << DIGIT_BITS] = {0}, first = 0;
    const uint64_t mask = (1 << DIGIT_BITS) - 1;

    for (size_t i = 0; i < n; i++) place[key_of(from[i].value) >> shift & mask]++;
    if (place[key_of(from[0].value) >> shift & mask] == n) return false;
    for (size_t d = 0; d <= mask; d++) {
        size_t here = place[d];
        place[d] = first;
        first += here;
    }
    for (size_t i = 0; i < n; i++) to[place[key_of(from[i].value) >> shift & mask]++] = from[i];
    return true;
}

void wr_weighed_sort(struct wr_weighed *item, size_t n)
{
    if (n < FEW) {
        if (n) qsort(item, n, sizeof *item, by_value);
        return;
    }
    struct wr_weighed *other = wr_alloc(n, sizeof *other), *from = item, *to = other;
    for (unsigned shift = 0; shift < 64; shift += DIGIT_BITS) {
        if (!sort_by_digit(from, to, n, shift)) continue;
        struct wr_weighed *done = to;
        to = from;
        from = done;
    }
    if (from != item) memcpy(item, from, n * sizeof *item);
    wr_free(other);
}

double wr_weighed_quantile(const struct wr_weighed *sorted, size_t n, double prob)
{
    double total = 0, so_far = 0;

    for (size_t i = 0; i < n; i++) total += sorted[i].weight;
    for (size_t i = 0; i + 1 < n; i++) {
        so_far += sorted[i].weight;
        if (so_far >= prob * total) return sorted[i].value;
    }
    return sorted[n - 1].value;
}
