#include "wetrun/base/depth_first.h"

#include "wetrun/base/memory.h"

void wr_depth_first(size_t n, const size_t *first, const size_t *on, size_t *order, wr_cycle_fn *on_cycle, void *arg)
{
    enum { UNSEEN, OPEN, DONE };
    unsigned char *state = WR_NEW_ARRAY(unsigned char, n);
    size_t *path = WR_NEW_ARRAY(size_t, n), *next = WR_NEW_ARRAY(size_t, n), n_order = 0;

    for (size_t root = 0; root < n; root++) {
        size_t depth = 0;
        for (size_t to = root;;) {
            if (state[to] == UNSEEN) {
                state[to] = OPEN;
                next[to] = first[to];
                path[depth++] = to;
            } else if (state[to] == OPEN) {
                size_t from = depth - 1;
                while (path[from] != to) from--;
                on_cycle(arg, path + from, depth - from);
            }
            while (depth > 0 && next[path[depth - 1]] == first[path[depth - 1] + 1]) {
                state[path[--depth]] = DONE;
                if (order) order[n_order++] = path[depth];
            }
            if (depth == 0) break;
            to = on[next[path[depth - 1]]++];
        }
    }
    WR_FREE(state, path, next);
}
