#include "plan_parts.h"

#include <string.h>
#include "wetrun/base/depth_first.h"

/* ---- crews ---- */

size_t wr_plan_find_lane(const struct wr_plan *plan, const char *name)
{
    for (size_t l = 0; l < plan->n_lane; l++)
        if (strcmp(plan->lane[l], name) == 0) return l;
    return SIZE_MAX;
}

static size_t find_lane_bytes(const struct wr_plan *plan, const char *name, size_t n)
{
    for (size_t l = 0; l < plan->n_lane; l++)
        if (strlen(plan->lane[l]) == n && memcmp(plan->lane[l], name, n) == 0) return l;
    return SIZE_MAX;
}

static const char *add_lane(struct wr_plan *plan, const char *name, size_t n, enum plan_new_lanes new_lanes,
                            struct plan_crew *crew)
{
    size_t lane = find_lane_bytes(plan, name, n);

    if (n == 0) return "there is an empty name in it: write lanes joined by +";
    if (lane == SIZE_MAX) {
        if (new_lanes == PLAN_LANES_MUST_BE_KNOWN) return "a lane that the plan does not have";
        if (plan->n_lane == WR_MAX_LANES) return "there are more than 32 lanes: write them alike throughout (EV1, EV2)";
        lane = plan->n_lane;
        *WR_PUSH(plan->lane, plan->n_lane, plan->room_lane) = wr_arena_copy(&plan->text, name, n);
    }
    if (crew->lanes >> lane & 1) return "a lane is named twice in it: write it once";
    crew->lanes |= UINT32_C(1) << lane;
    crew->order[crew->n++] = (uint8_t)lane;
    return NULL;
}

const char *plan_parse_crew(struct wr_plan *plan, const char *text, enum plan_new_lanes new_lanes,
                            struct plan_crew *crew)
{
    *crew = (struct plan_crew){0};
    if (text[0] == '\0') return NULL;
    for (const char *at = text;; at++) {
        size_t n = strcspn(at, "+"), lead = strspn(at, " \t");
        if (lead > n) lead = n;
        const char *name = at + lead;
        size_t length = n - lead;
        while (length > 0 && (name[length - 1] == ' ' || name[length - 1] == '\t')) length--;
        const char *trouble = add_lane(plan, name, length, new_lanes, crew);
        if (trouble) return trouble;
        at += n;
        if (*at == '\0') return NULL;
    }
}

size_t wr_plan_crew_lanes(const struct wr_plan *plan, const char *crew, uint8_t *order, uint32_t *lanes)
{
    struct wr_plan same = *plan; /* stays as it is: lanes must be known */
    struct plan_crew read;

    *lanes = 0;
    if (plan_parse_crew(&same, crew, PLAN_LANES_MUST_BE_KNOWN, &read)) return 0;
    memcpy(order, read.order, sizeof read.order);
    *lanes = read.lanes;
    return read.n;
}

void plan_set_crew(struct wr_plan_task *task, const struct plan_crew *crew)
{
    task->lanes = crew->lanes;
    task->n_lane = crew->n;
    memcpy(task->lane_order, crew->order, sizeof task->lane_order);
}

/* ---- crews of the log ---- */

struct crew_count {
    struct plan_crew crew;
    size_t runs;
};

static void join_crews(struct plan_crew *all, const struct plan_crew *more)
{
    for (size_t i = 0; i < more->n; i++) {
        if (all->lanes >> more->order[i] & 1) continue;
        all->lanes |= UINT32_C(1) << more->order[i];
        all->order[all->n++] = more->order[i];
    }
}

/* Crews that were read last, by the place of their text, which equal texts share: a log has few, in every row. */
struct read_crews {
    enum plan_new_lanes new_lanes;
    struct { const char *text; struct plan_crew crew; } read[8];
    size_t n;
};

/* No lanes if something is wrong with it. */
static const struct plan_crew *crew_read(struct read_crews *known, struct wr_plan *plan, const char *text)
{
    enum { MOST = sizeof known->read / sizeof *known->read };

    for (size_t i = 0; i < known->n && i < MOST; i++)
        if (known->read[i].text == text) return &known->read[i].crew;
    const size_t at = known->n++ % MOST;
    known->read[at].text = text;
    if (plan_parse_crew(plan, text, known->new_lanes, &known->read[at].crew))
        known->read[at].crew = (struct plan_crew){0};
    return &known->read[at].crew;
}

/* Lanes of all steps of one task in one run: step[0 … n). */
static struct plan_crew crew_of_steps(struct wr_plan *plan, const struct wr_log_step *step, size_t n,
                                      struct read_crews *known)
{
    struct plan_crew all = {0};

    for (size_t i = 0; i < n; i++) join_crews(&all, crew_read(known, plan, step[i].crew));
    return all;
}

static size_t steps_of_cell(const struct wr_run_log *log, size_t from)
{
    const struct wr_log_step *first = &log->step[from];
    size_t n = 1;

    while (from + n < log->n_step && first[n].task == first->task && first[n].run == first->run) n++;
    return n;
}

struct seen_crews {
    struct crew_count *count;
    size_t n, room;
};

static void count_crew(struct seen_crews *seen, const struct plan_crew *crew)
{
    if (crew->n == 0) return;
    for (size_t i = 0; i < seen->n; i++) {
        if (seen->count[i].crew.lanes != crew->lanes) continue;
        seen->count[i].runs++;
        return;
    }
    *WR_PUSH(seen->count, seen->n, seen->room) = (struct crew_count){*crew, 1};
}

void plan_log_crews(struct wr_plan *plan, const struct wr_run_log *log, enum plan_new_lanes new_lanes,
                    struct plan_crew *result)
{
    WR_SCOPED struct seen_crews *seen = WR_NEW_ARRAY(struct seen_crews, log->n_task);
    struct read_crews known = {.new_lanes = new_lanes};

    for (size_t i = 0, n; i < log->n_step; i += n) {
        n = steps_of_cell(log, i);
        struct plan_crew crew = crew_of_steps(plan, &log->step[i], n, &known);
        count_crew(&seen[log->step[i].task], &crew);
    }
    for (size_t t = 0; t < log->n_task; t++) {
        size_t most = 0;
        result[t] = (struct plan_crew){0};
        for (size_t k = 0; k < seen[t].n; k++) {
            if (seen[t].count[k].runs <= most) continue;
            most = seen[t].count[k].runs;
            result[t] = seen[t].count[k].crew;
        }
        wr_free(seen[t].count);
    }
}

/* ---- cycles ---- */

/* What each task waits for: the row before it in each of its lanes, and its `after` column. */
struct waits {
    size_t *first; /* [n_task + 1] */
    size_t *on;
};

static struct waits waits_of(const struct wr_plan *plan)
{
    size_t most = 0, n = 0, last[WR_MAX_LANES];

    for (size_t l = 0; l < WR_MAX_LANES; l++) last[l] = SIZE_MAX;
    for (size_t k = 0; k < plan->n_task; k++) most += plan->task[k].n_after + plan->task[k].n_lane;
    struct waits w = {WR_NEW_ARRAY(size_t, plan->n_task + 1), WR_NEW_ARRAY(size_t, most)};
    for (size_t k = 0; k < plan->n_task; k++) {
        const struct wr_plan_task *t = &plan->task[k];
        w.first[k] = n;
        for (size_t i = 0; i < t->n_lane; i++) {
            size_t lane = t->lane_order[i];
            if (last[lane] != SIZE_MAX) w.on[n++] = last[lane];
            last[lane] = k;
        }
        for (size_t i = 0; i < t->n_after; i++) w.on[n++] = t->after[i];
    }
    w.first[plan->n_task] = n;
    return w;
}

struct telling {
    const struct wr_plan *plan;
    plan_cycle_fn *fn;
    void *arg;
};

static void tell_cycle(void *arg, const size_t *path, size_t n)
{
    const struct telling *t = arg;
    const struct wr_plan *plan = t->plan;
    WR_SCOPED_STR words = {0};
    size_t at = 0;

    /* somewhere it goes on to a later row (or stays): only an `after` does that */
    while (at + 1 < n && path[(at + 1) % n] < path[at]) at++;
    wr_str_addf(&words, "'%.60s'", plan->task[path[at]].id);
    for (size_t i = 1; i <= n; i++) {
        if (i > 8 && i < n) continue;
        if (i == n && n > 9) wr_str_addf(&words, ", and so on over %zu tasks", n - 9);
        wr_str_addf(&words, "%s waits for '%.60s'", i == 1 ? "" : ", which", plan->task[path[(at + i) % n]].id);
    }
    t->fn(t->arg, path[at], words.text);
}

void plan_find_cycles(const struct wr_plan *plan, plan_cycle_fn *fn, void *arg)
{
    struct waits w = waits_of(plan);
    struct telling telling = {plan, fn, arg};

    wr_depth_first(plan->n_task, w.first, w.on, NULL, tell_cycle, &telling);
    WR_FREE(w.first, w.on);
}
