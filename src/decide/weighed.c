#include "weighed.h"

#include <stdlib.h>

static int by_value(const void *a, const void *b)
{
    const struct wr_weighed *p = a, *q = b;

    if (p->value != q->value) return p->value < q->value ? -1 : 1;
    return (p->weight > q->weight) - (p->weight < q->weight); /* so that the order does not depend on the sort */
}

void wr_weighed_sort(struct wr_weighed *item, size_t n)
{
    if (n) qsort(item, n, sizeof *item, by_value);
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
