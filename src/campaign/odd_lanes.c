/* Lanes of the plan that no row of the log has: one letter too many in a crew, and a further person does the work
 * beside the others, in no time of theirs. */
#include <string.h>
#include "crew_text.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h"

struct looking {
    const struct wr_plan *plan;
    const struct wr_run_log *log;
    struct wr_findings *findings;
    uint32_t seen;        /* lanes of the plan that the log has */
    struct wr_names people;
    struct wr_arena text;
    bool *unknown;        /* [n_step] of nobody, or of somebody whom the plan does not have */
    bool is_unknown;      /* of the step that is being looked at */
};

static void see_lane(void *arg, const char *part, size_t len)
{
    struct looking *l = arg;
    char name[256] = "";

    if (len < sizeof name) memcpy(name, part, len);
    size_t lane = wr_plan_find_lane(l->plan, name);
    if (lane == SIZE_MAX) l->is_unknown = true;
    else l->seen |= UINT32_C(1) << lane;
}

static void see_person(void *arg, const char *part, size_t len)
{
    struct looking *l = arg;

    if (len) wr_names_add(&l->people, &l->text, part, len);
}

static void look_at_log(struct looking *l)
{
    const struct wr_log_step *s = l->log->step;

    for (size_t i = 0; i < l->log->n_step; i++) {
        bool again = i > 0 && s[i].crew == s[i - 1].crew;
        if (!again) l->is_unknown = false;
        if (!again) crew_parts(s[i].crew, false, see_lane, l);
        l->unknown[i] = l->is_unknown;
        if (i == 0 || s[i].performer != s[i - 1].performer) crew_parts(s[i].performer, false, see_person, l);
    }
}

static bool does(const struct wr_plan_task *task, size_t lane)
{
    return task->lanes >> lane & 1;
}

/* Who did its work by the log, as its first row says: "" if nobody did. *told: most of those rows name lanes of the
 * plan. A log that names people says nothing of lanes. */
static const char *did_its_work(const struct looking *l, size_t lane, bool *told)
{
    const char *crew = "";
    size_t n = 0, n_unknown = 0;

    for (size_t i = 0; i < l->log->n_step; i++) {
        size_t k = wr_plan_find(l->plan, l->log->task[l->log->step[i].task]);
        if (k == SIZE_MAX || !does(&l->plan->task[k], lane)) continue;
        n++;
        n_unknown += l->unknown[i];
        if (!crew[0] && !l->unknown[i]) crew = l->log->step[i].crew;
    }
    *told = 2 * n_unknown <= n;
    return crew;
}

struct others {
    const struct looking *looking;
    size_t lane;
};

static const char *other_lane(const void *arg, size_t i)
{
    const struct others *o = arg;
    uint32_t seen = o->looking->seen;

    return i == o->lane || (seen && !(seen >> i & 1)) ? NULL : o->looking->plan->lane[i];
}

static bool is_on_the_way(const struct wr_plan *plan, size_t lane)
{
    return does(&plan->task[0], lane) || does(&plan->task[plan->n_task - 1], lane);
}

static void doubt(const struct looking *l, size_t lane, const char *did, const char *near)
{
    const struct wr_plan *plan = l->plan;
    const char *name = plan->lane[lane];
    WR_SCOPED_STR text = {0}, row = {0};
    size_t first = SIZE_MAX, n = 0;

    for (size_t k = plan->n_task; k-- > 0;)
        if (does(&plan->task[k], lane)) {
            first = k;
            n++;
        }
    wr_str_addf(&text, "'%.60s'", plan->task[first].id);
    if (n > 1) wr_str_addf(&text, " and %zu more", n - 1);
    else wr_str_add(&text, " alone");
    if (l->seen) wr_str_add(&text, " and did nothing in any rehearsal");
    if (did[0]) wr_str_addf(&text, "; in the log '%.60s' did that", did);
    else if (near) wr_str_addf(&text, " (did you mean '%.60s'?)", near);
    else if (wr_names_find(&l->people, name, strlen(name)) != WR_NO_NAME)
        wr_str_add(&text, "; it is a performer's name, and crew takes lanes");
    wr_alias_add_row(&row, WR_NAME_LANE, name, name);
    wr_findings_add(l->findings, WR_WARNING, "lane-unlogged", plan->file, plan->task[first].line, 0,
                    "lane '%.60s' stands in the plan for %s. As it is, somebody else does that, beside the others: "
                    "write the lane that does it, or, if it is so, a row of names.csv that says it: %s",
                    name, text.text, row.text);
}

static void look_at(const struct looking *l, size_t lane)
{
    const struct wr_plan *plan = l->plan;
    const struct others others = {l, lane};
    const struct wr_name_list list = {other_lane, &others, plan->n_lane};
    size_t n_task = 0;
    bool told;

    if (l->seen >> lane & 1 || wr_alias_is_given(plan->aliases, WR_NAME_LANE, plan->lane[lane])) return;
    for (size_t k = 0; k < plan->n_task; k++) n_task += does(&plan->task[k], lane);
    const char *did = did_its_work(l, lane, &told);
    size_t near = wr_find_near(&list, plan->lane[lane]);
    if (l->seen ? !told : near == SIZE_MAX || n_task > 1 || is_on_the_way(plan, lane)) return;
    doubt(l, lane, did, near == SIZE_MAX ? NULL : plan->lane[near]);
}

void wr_plan_find_odd_lanes(const struct wr_plan *plan, const struct wr_run_log *log, struct wr_findings *findings)
{
    struct looking l = {.plan = plan, .log = log, .findings = findings,
                        .unknown = WR_NEW_ARRAY(bool, log->n_step + 1)};

    if (plan->file && log->n_step > 0) {
        look_at_log(&l);
        for (size_t lane = 0; lane < plan->n_lane; lane++) look_at(&l, lane);
    }
    wr_names_release(&l.people);
    wr_arena_release(&l.text);
    wr_free(l.unknown);
}
