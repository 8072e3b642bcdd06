#include "made_plan.h"

#include <check.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/campaign/written.h"

/* The text of `after` is kept beside the plan until all ids are known. */
static const char **wanted;
static size_t n_wanted, room_wanted;

static size_t lane_named(struct wr_plan *plan, const char *name, size_t n)
{
    for (size_t l = 0; l < plan->n_lane; l++)
        if (strlen(plan->lane[l]) == n && memcmp(plan->lane[l], name, n) == 0) return l;
    ck_assert(plan->n_lane < WR_MAX_LANES);
    plan->lane = wr_realloc(plan->lane, plan->n_lane + 1, sizeof *plan->lane);
    plan->lane[plan->n_lane] = wr_arena_copy(&plan->text, name, n);
    return plan->n_lane++;
}

size_t made_plan_add(struct wr_plan *plan, const char *id, const char *crew, const char *after)
{
    struct wr_plan_task *t = WR_PUSH(plan->task, plan->n_task, plan->room_task);

    t->id = t->title = wr_arena_copy(&plan->text, id, strlen(id));
    t->kind = "";
    t->line = plan->n_task + 1;
    for (const char *c = crew; *c;) {
        size_t n = strcspn(c, "+"), l = lane_named(plan, c, n);
        t->lane_order[t->n_lane++] = (uint8_t)l;
        t->lanes |= 1u << l;
        c += n + (c[n] == '+');
    }
    const char **w = WR_PUSH(wanted, n_wanted, room_wanted);
    *w = wr_arena_copy(&plan->text, after, strlen(after));
    return plan->n_task - 1;
}

static size_t task_named(const struct wr_plan *plan, const char *name, size_t n)
{
    for (size_t k = 0; k < plan->n_task; k++)
        if (strlen(plan->task[k].id) == n && memcmp(plan->task[k].id, name, n) == 0) return k;
    ck_abort_msg("no task named %.*s", (int)n, name);
    return SIZE_MAX;
}

void made_plan_finish(struct wr_plan *plan)
{
    ck_assert_uint_eq(n_wanted, plan->n_task);
    for (size_t k = 0; k < plan->n_task; k++) {
        struct wr_plan_task *t = &plan->task[k];
        t->after = wr_arena_alloc(&plan->text, strlen(wanted[k]) + 1, sizeof *t->after);
        for (const char *c = wanted[k]; *c;) {
            size_t n = strcspn(c, " ");
            if (n) t->after[t->n_after++] = task_named(plan, c, n);
            c += n + (c[n] == ' ');
        }
    }
    wr_free(wanted);
    wanted = NULL;
    n_wanted = room_wanted = 0;
}

void made_plan_release(struct wr_plan *plan)
{
    wr_free(plan->lane);
    wr_free(plan->task);
    wr_arena_release(&plan->text);
    *plan = (struct wr_plan){0};
}

/* ---- from a file ---- */

enum { MOST_FIELDS = 12 };

/* Cuts a line at its commas, in place; a quoted field may hold commas. */
static size_t cut(char *line, char *field[MOST_FIELDS])
{
    size_t n = 0;

    line[strcspn(line, "\r\n")] = '\0';
    for (char *c = line;;) {
        ck_assert(n < MOST_FIELDS);
        int quoted = *c == '"';
        field[n++] = c += quoted;
        c += strcspn(c, quoted ? "\"" : ",");
        if (quoted) *c++ = '\0';
        if (!*c) return n;
        *c++ = '\0';
    }
}

static struct wr_maybe number(const char *text)
{
    const struct wr_habits plain = {0};
    struct wr_maybe m = WR_UNKNOWN;
    enum wr_spelling spelling;

    m.known = !wr_written_moment(text, &plain, &m.value, &spelling);
    return m;
}

void made_plan_load(struct wr_plan *plan, const char *path)
{
    FILE *f = fopen(path, "r");
    char head_line[1024], line[1024], *head[MOST_FIELDS], *field[MOST_FIELDS];

    ck_assert_msg(f != NULL, "cannot read %s", path);
    ck_assert(fgets(head_line, sizeof head_line, f) != NULL);
    size_t n_head = cut(head_line, head);
    while (fgets(line, sizeof line, f)) {
        const char *id = "", *crew = "", *after = "";
        struct wr_plan_task t = {0};
        ck_assert_uint_eq(cut(line, field), n_head);
        for (size_t i = 0; i < n_head; i++) {
            if (strcmp(head[i], "task") == 0) id = field[i];
            if (strcmp(head[i], "crew") == 0) crew = field[i];
            if (strcmp(head[i], "after") == 0) after = field[i];
            if (strcmp(head[i], "not_before") == 0) t.not_before_min = number(field[i]);
            if (strcmp(head[i], "drop_after") == 0) t.drop_after_min = number(field[i]);
            if (strcmp(head[i], "low") == 0) t.low_min = number(field[i]);
            if (strcmp(head[i], "likely") == 0) t.likely_min = number(field[i]);
            if (strcmp(head[i], "high") == 0) t.high_min = number(field[i]);
        }
        size_t k = made_plan_add(plan, id, crew, after); /* may move the tasks */
        struct wr_plan_task *made = &plan->task[k];
        made->not_before_min = t.not_before_min;
        made->drop_after_min = t.drop_after_min;
        made->low_min = t.low_min;
        made->likely_min = t.likely_min;
        made->high_min = t.high_min;
    }
    fclose(f);
    made_plan_finish(plan);
}

/* ---- by chance ---- */

/* SplitMix64 (Steele, Lea and Flood 2014): enough for drawing test cases. */
double made_uniform(unsigned long long *state)
{
    unsigned long long z = *state += 0x9e3779b97f4a7c15ULL;

    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ z >> 27) * 0x94d049bb133111ebULL;
    return (double)((z ^ z >> 31) >> 11) * 0x1p-53;
}

static size_t below(size_t n, unsigned long long *state)
{
    return (size_t)(made_uniform(state) * (double)n);
}

struct draft {
    char id[24], crew[128], after[64];
    unsigned lanes;
};

static void draft_task(struct draft *d, size_t k, size_t n_lane, unsigned long long *state)
{
    size_t only = below(n_lane, state);
    int joint = made_uniform(state) < 0.2;

    *d = (struct draft){0};
    snprintf(d->id, sizeof d->id, "T%zu", k);
    for (size_t l = 0; l < n_lane; l++)
        if (l == only || (joint && made_uniform(state) < 0.7)) {
            size_t used = strlen(d->crew);
            snprintf(d->crew + used, sizeof d->crew - used, "%sEV%zu", used ? "+" : "", l + 1);
            d->lanes |= 1u << l;
        }
    for (int links = 0; k > 0 && links < 2; links++) {
        size_t used = strlen(d->after);
        if (made_uniform(state) < 0.3)
            snprintf(d->after + used, sizeof d->after - used, " T%zu", below(k, state));
    }
}

void made_plan_random(struct wr_plan *plan, size_t n_task, size_t n_lane, unsigned long long *state)
{
    struct draft *draft = WR_NEW_ARRAY(struct draft, n_task);

    for (size_t k = 0; k < n_task; k++) draft_task(&draft[k], k, n_lane, state);
    /* Neighbours that share no lane may change rows: the order within each lane stays, links may then point down. */
    for (size_t swaps = 0; n_task > 1 && swaps < 4 * n_task; swaps++) {
        size_t k = below(n_task - 1, state);
        struct draft d = draft[k];
        if (d.lanes & draft[k + 1].lanes) continue;
        draft[k] = draft[k + 1];
        draft[k + 1] = d;
    }
    for (size_t k = 0; k < n_task; k++) made_plan_add(plan, draft[k].id, draft[k].crew, draft[k].after);
    made_plan_finish(plan);
    wr_free(draft);
}

int made_plan_many(int n)
{
    const char *times = getenv("RANDOM_PLANS");

    return times ? n * atoi(times) : n;
}
