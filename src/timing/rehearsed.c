#include "rehearsed.h"

#include <string.h>

static uint32_t add_lane(struct rehearsed *known, const char *name, size_t len)
{
    uint32_t number = wr_names_add(&known->lane_names, &known->text, name, len);

    return number < 32 ? UINT32_C(1) << number : 0; /* lanes beyond are not told apart */
}

static struct rehearsed_crew take_apart(struct rehearsed *known, const char *text)
{
    struct rehearsed_crew crew = {.n = 0};

    crew.n = wr_plan_crew_lanes(known->plan, text, crew.order, &crew.planned);
    crew.lanes = crew.planned;
    for (struct wr_part name; !crew.n && wr_next_part(&text, '+', &name);)
        if (name.len) crew.lanes |= add_lane(known, name.text, name.len);
    return crew;
}

const struct rehearsed_crew *rehearsed_crew(struct rehearsed *known, const char *text)
{
    uint32_t i = wr_names_add_next(&known->crew_names, &known->text, text, strlen(text), &known->last_crew);

    if (i == known->n_crew)
        *WR_PUSH(known->crew, known->n_crew, known->room_crew) = take_apart(known, text);
    return &known->crew[i];
}

static size_t add_work(struct rehearsed *known, const char *id)
{
    return wr_names_add(&known->ids, &known->text, id, strlen(id));
}

/* Its number; a new one for work that neither the plan nor anything before it has. */
static size_t work_of(struct rehearsed *known, const char *id)
{
    size_t k = wr_plan_find(known->plan, id);

    return k != SIZE_MAX ? k : add_work(known, id);
}

static void number_work(struct rehearsed *known, const struct wr_run_log *log, const struct wr_plan *as_rehearsed)
{
    known->n_plan = known->plan->n_task;
    for (size_t k = 0; k < known->n_plan; k++) WR_BUG_IF(add_work(known, known->plan->task[k].id) != k);
    for (size_t k = 0; as_rehearsed && k < as_rehearsed->n_task; k++) work_of(known, as_rehearsed->task[k].id);
    known->of_log_task = WR_NEW_ARRAY(size_t, log->n_task);
    for (size_t t = 0; t < log->n_task; t++) known->of_log_task[t] = work_of(known, log->task[t]);
    known->n_work = known->ids.n_name;
}

/* Lane numbers of another plan, by name. */
static uint32_t lanes_of(struct rehearsed *known, const struct wr_plan *source, uint32_t lanes)
{
    uint32_t all = 0;

    for (size_t l = 0; l < source->n_lane; l++)
        if (lanes >> l & 1) all |= add_lane(known, source->lane[l], strlen(source->lane[l]));
    return all;
}

static bool waits_after(const struct wr_plan_task *task, size_t pred)
{
    for (size_t i = 0; i < task->n_after; i++)
        if (task->after[i] == pred) return true;
    return false;
}

/* Predecessors of the source's tasks, under the numbers of the work. */
static void link_work(struct rehearsed *known, const struct wr_plan *source, const struct wr_network *net,
                      const size_t *work, const size_t *task_of_work)
{
    size_t n = 0;

    known->pred_first = WR_NEW_ARRAY(size_t, known->n_work + 1);
    known->pred = WR_NEW_ARRAY(size_t, net->pred_first[net->n_task]);
    known->by_after = WR_NEW_ARRAY(unsigned char, net->pred_first[net->n_task]);
    known->never_kept = WR_NEW_ARRAY(unsigned char, net->pred_first[net->n_task]);
    for (size_t w = 0; w < known->n_work; w++) {
        size_t k = task_of_work[w];
        known->pred_first[w] = n;
        if (k == SIZE_MAX) continue;
        for (size_t i = net->pred_first[k]; i < net->pred_first[k + 1]; i++, n++) {
            known->pred[n] = work[net->pred[i]];
            known->by_after[n] = waits_after(&source->task[k], net->pred[i]);
        }
    }
    known->pred_first[known->n_work] = n;
    known->order = WR_NEW_ARRAY(size_t, net->n_task);
    for (size_t i = 0; i < net->n_task; i++) known->order[known->n_order++] = work[net->order[i]];
}

static void take_source(struct rehearsed *known, const struct wr_plan *source, const struct wr_network *net)
{
    WR_SCOPED size_t *work = WR_NEW_ARRAY(size_t, source->n_task), *task_of_work = WR_NEW_ARRAY(size_t, known->n_work);

    for (size_t w = 0; w < known->n_work; w++) task_of_work[w] = SIZE_MAX;
    for (size_t k = 0; k < source->n_task; k++) {
        work[k] = work_of(known, source->task[k].id);
        task_of_work[work[k]] = k;
        known->task[work[k]] = &source->task[k];
        known->lanes[work[k]] = lanes_of(known, source, source->task[k].lanes);
        known->not_before_min[work[k]] = net->not_before_min[k];
    }
    link_work(known, source, net, work, task_of_work);
}

enum wr_status rehearsed_make(struct rehearsed *known, const struct wr_run_log *log, const struct wr_plan *plan,
                              const struct wr_network *net, const struct wr_plan *as_rehearsed, struct wr_error *err)
{
    WR_RELEASED_BY(wr_network_release) struct wr_network own = {0};

    *known = (struct rehearsed){.plan = plan, .as_rehearsed = as_rehearsed, .last_crew = WR_NO_NAME};
    enum wr_status status = as_rehearsed ? wr_network_build(&own, as_rehearsed, err) : WR_OK;
    if (status) return status;
    for (size_t l = 0; l < plan->n_lane; l++) add_lane(known, plan->lane[l], strlen(plan->lane[l]));
    number_work(known, log, as_rehearsed);
    known->task = WR_NEW_ARRAY(const struct wr_plan_task *, known->n_work);
    known->was_there = WR_NEW_ARRAY(unsigned char, known->n_work);
    known->lanes = WR_NEW_ARRAY(uint32_t, known->n_work);
    known->not_before_min = WR_NEW_ARRAY(double, known->n_work);
    take_source(known, as_rehearsed ? as_rehearsed : plan, as_rehearsed ? &own : net);
    for (size_t t = 0; t < log->n_task; t++) known->was_there[known->of_log_task[t]] = 1;
    for (size_t k = 0; as_rehearsed && k < as_rehearsed->n_task; k++)
        known->was_there[work_of(known, as_rehearsed->task[k].id)] = 1;
    return WR_OK;
}

void rehearsed_release(struct rehearsed *known)
{
    wr_names_release(&known->ids);
    wr_names_release(&known->lane_names);
    wr_names_release(&known->crew_names);
    wr_arena_release(&known->text);
    WR_FREE(known->crew, known->of_log_task, known->task, known->was_there, known->lanes, known->not_before_min);
    WR_FREE(known->pred_first, known->pred, known->by_after, known->never_kept, known->order);
    *known = (struct rehearsed){0};
}
