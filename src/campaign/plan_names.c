/* Which task or lane of a plan a text means. */
#include <string.h>
#include "plan_parts.h"
#include "wetrun/campaign/near_name.h"

static const char *id_at(const void *arg, size_t i)
{
    const struct wr_plan *plan = arg;

    return plan->task[i].id;
}

static const char *title_at(const void *arg, size_t i)
{
    const struct wr_plan *plan = arg;

    return plan->task[i].title;
}

static const char *lane_at(const void *arg, size_t i)
{
    const struct wr_plan *plan = arg;

    return plan->lane[i];
}

static enum wr_spelling how(const char *text, const char *meant)
{
    return strcmp(text, meant) == 0 ? WR_PLAIN : WR_SP_NAME;
}

size_t wr_plan_resolve(const struct wr_plan *plan, const char *text, enum wr_spelling *spelling)
{
    const struct wr_name_list ids = {id_at, plan, plan->n_task}, titles = {title_at, plan, plan->n_task};
    const char *meant = wr_alias_of(plan->aliases, WR_NAME_TASK, text);
    enum wr_spelling unused;
    size_t task = wr_plan_find(plan, meant);

    if (!spelling) spelling = &unused;
    *spelling = WR_PLAIN;
    if (meant[0] == '\0') return SIZE_MAX;
    if (task == SIZE_MAX) task = wr_find_spelling(&ids, meant);
    if (task != SIZE_MAX) {
        *spelling = how(text, plan->task[task].id);
        return task;
    }
    *spelling = WR_SP_TITLE;
    return wr_find_spelling(&titles, meant);
}

size_t wr_plan_resolve_lane(const struct wr_plan *plan, const char *text, enum wr_spelling *spelling)
{
    const struct wr_name_list lanes = {lane_at, plan, plan->n_lane};
    size_t lane = text[0] ? wr_find_spelling(&lanes, wr_alias_of(plan->aliases, WR_NAME_LANE, text)) : SIZE_MAX;

    if (spelling) *spelling = lane == SIZE_MAX ? WR_PLAIN : how(text, plan->lane[lane]);
    return lane;
}

/* The name that is looked for, where names.csv puts another in the place of what was written. */
static const char *say_what_is_lacking(const struct wr_plan *plan, enum wr_name_kind kind, const char *what,
                                       const char *text, struct wr_str *out)
{
    const char *meant = wr_alias_of(plan->aliases, kind, text);

    if (strcmp(meant, text) != 0)
        wr_str_addf(out, "names.csv takes '%.60s' for '%.60s' (correct that row, or take it out), and ", text, meant);
    wr_str_addf(out, "the plan has no %s '%.60s'", what, meant);
    return meant;
}

bool plan_has_near_task(const struct wr_plan *plan, const char *text)
{
    const struct wr_name_list ids = {id_at, plan, plan->n_task};

    return wr_find_near(&ids, text) != SIZE_MAX;
}

void wr_plan_say_no_task(const struct wr_plan *plan, const char *text, struct wr_str *out)
{
    const struct wr_name_list ids = {id_at, plan, plan->n_task};

    const char *meant = say_what_is_lacking(plan, WR_NAME_TASK, "task", text, out);
    wr_add_did_you_mean(out, &ids, meant,
                        plan->file ? "column task of the plan has them" : "`wetrun check --write-plan -` lists them");
}

void wr_plan_say_no_lane(const struct wr_plan *plan, const char *text, struct wr_str *out)
{
    const struct wr_name_list lanes = {lane_at, plan, plan->n_lane};

    const char *meant = say_what_is_lacking(plan, WR_NAME_LANE, "lane", text, out);
    wr_add_did_you_mean(out, &lanes, meant, "column crew of the plan has them");
}
