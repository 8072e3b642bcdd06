#include "plan_edits.h"

#include <string.h>

static bool same_maybe(struct wr_maybe x, struct wr_maybe y)
{
    return x.known == y.known && (!x.known || x.value == y.value);
}

static bool same_lanes(const struct wr_plan *p, const struct wr_plan_task *x, const struct wr_plan *q,
                       const struct wr_plan_task *y)
{
    if (x->n_lane != y->n_lane) return false;
    for (size_t i = 0; i < x->n_lane; i++) {
        size_t l = wr_plan_find_lane(q, p->lane[x->lane_order[i]]);
        if (l == SIZE_MAX || !(y->lanes >> l & 1)) return false;
    }
    return true;
}

static bool same_after(const struct wr_plan *p, const struct wr_plan_task *x, const struct wr_plan *q,
                       const struct wr_plan_task *y)
{
    if (x->n_after != y->n_after) return false;
    for (size_t i = 0; i < x->n_after; i++) {
        size_t at = wr_plan_find(q, p->task[x->after[i]].id), found = 0;
        for (size_t j = 0; j < y->n_after; j++) found += y->after[j] == at;
        if (!found) return false;
    }
    return true;
}

/* What a lane did before it, of what it does by both plans: what was taken out, or over, moves nothing else. */
static const char *row_before(const struct wr_plan *p, size_t task, size_t lane, const struct wr_plan *q, size_t other)
{
    for (size_t k = task; k-- > 0;) {
        size_t at = p->task[k].lanes >> lane & 1 ? wr_plan_find(q, p->task[k].id) : SIZE_MAX;
        if (at != SIZE_MAX && q->task[at].lanes >> other & 1) return p->task[k].id;
    }
    return "";
}

static bool same_place(const struct wr_plan *p, size_t x, const struct wr_plan *q, size_t y)
{
    for (size_t i = 0; i < p->task[x].n_lane; i++) {
        size_t lane = p->task[x].lane_order[i], other = wr_plan_find_lane(q, p->lane[lane]);
        if (other == SIZE_MAX) return false;
        if (strcmp(row_before(p, x, lane, q, other), row_before(q, y, other, p, lane)) != 0) return false;
    }
    return true;
}

static void say(struct wr_str *out, const char *what)
{
    wr_str_addf(out, "%s%s", out->len ? ", " : "", what);
}

void plan_edits_say(struct wr_str *out, const struct wr_plan *p, size_t x, const struct wr_plan *q, size_t y)
{
    const struct wr_plan_task *t = &p->task[x], *u = &q->task[y];

    if (!same_lanes(p, t, q, u)) say(out, "other lanes");
    else if (!same_place(p, x, q, y)) say(out, "another place in its lane");
    if (!same_after(p, t, q, u)) say(out, "waits for other work");
    if (!same_maybe(t->planned_min, u->planned_min)) say(out, "another planned time");
    if (!same_maybe(t->drop_after_min, u->drop_after_min)) say(out, "another drop_after");
    if (!same_maybe(t->not_before_min, u->not_before_min)) say(out, "another not_before");
    if (!same_maybe(t->low_min, u->low_min) || !same_maybe(t->likely_min, u->likely_min) ||
        !same_maybe(t->high_min, u->high_min) || !same_maybe(t->median_min, u->median_min) ||
        !same_maybe(t->sdlog, u->sdlog))
        say(out, "another judgement");
}

static void list_missing(struct wr_str *out, const char *head, const struct wr_plan *p, const struct wr_plan *q,
                         size_t most)
{
    size_t n = 0;

    for (size_t k = 0; k < p->n_task; k++)
        if (wr_plan_find(q, p->task[k].id) == SIZE_MAX && n++ < most)
            wr_str_addf(out, "%s%s%s", n > 1 ? ", " : out->len ? "; " : "", n > 1 ? "" : head, p->task[k].id);
    if (n > most) wr_str_addf(out, " and %zu more", n - most);
}

void plan_edits_tasks(struct wr_str *out, const struct wr_plan *p, const struct wr_plan *q)
{
    enum { NAMED = 3 };

    list_missing(out, "without ", p, q, NAMED);
    list_missing(out, "new: ", q, p, NAMED);
}

void plan_edits_list(struct wr_str *out, const struct wr_plan *p, const struct wr_plan *q)
{
    list_missing(out, "without ", p, q, SIZE_MAX);
    list_missing(out, "new: ", q, p, SIZE_MAX);
    for (size_t k = 0; k < q->n_task; k++) {
        size_t was = wr_plan_find(p, q->task[k].id);
        WR_SCOPED_STR edits = {0};
        if (was != SIZE_MAX) plan_edits_say(&edits, p, was, q, k);
        if (edits.len) wr_str_addf(out, "%s%s: %s", out->len ? "; " : "", q->task[k].id, edits.text);
    }
}
