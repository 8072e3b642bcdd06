#include "alternatives.h"

#include <string.h>
#include "other_plan.h"
#include "study_parts.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/way_in.h"
#include "wetrun/campaign/written.h"

static const double MOST_FACTOR = 100; /* beyond this nobody means it, and the sums overflow */

struct wr_alternative_parts {
    struct wr_plan plan;             /* of another timeline, or a copy whose crews were swapped */
    bool owns_plan, has_plan;
    struct wr_plan_task *task;       /* crews swapped: copies of the base's rows */
    struct wr_network net;
    struct wr_durations durations;
    bool has_durations;
    unsigned char *drop, *changed;
    double *scale;
    struct wr_sim_limit *limit;
    struct wr_str name;
};

static const struct wr_plan *plan_of(const struct wr_alternative_parts *p, const struct wr_study *a)
{
    return p->has_plan ? &p->plan : &a->plan;
}

/* Cuts text at the next comma; items may not be empty. */
static enum wr_status next_item(const char **text, char *item, size_t room, const char *option, struct wr_error *err)
{
    size_t len = strcspn(*text, ",");

    if (len == 0 || len >= room)
        return wr_fail(err, WR_E_USAGE, "--%s: '%s' is not a list separated by commas: write A,B", option, *text);
    memcpy(item, *text, len);
    item[len] = '\0';
    *text += len;
    if (**text == ',' && (*text)[1] == '\0')
        return wr_fail(err, WR_E_USAGE, "--%s: the list ends with a comma: leave it out", option);
    *text += **text == ',';
    return WR_OK;
}

static enum wr_status find_task(const struct wr_plan *plan, const char *id, const char *option, size_t *task,
                                struct wr_error *err)
{
    WR_SCOPED_STR text = {0};

    *task = wr_plan_resolve(plan, id, NULL);
    if (*task != SIZE_MAX) return WR_OK;
    wr_plan_say_no_task(plan, id, &text);
    return wr_fail(err, WR_E_USAGE, "--%s: %s", option, text.text);
}

/* A timeline without a way back in looks early, and means nothing. */
static enum wr_status without_way_in(const struct wr_plan *plan, size_t task, const char *option, struct wr_error *err)
{
    WR_SCOPED_STR why = {0};

    wr_way_in_say(plan, task, &why);
    return wr_fail(err, WR_E_USAGE,
                   "--%s: %s: leave it as it is, or write --plan FILE for a timeline "
                   "with another way in",
                   option, wr_str_text(&why));
}

static const char *const change_word[] = {
    [WR_CHANGE_DROP] = "drop", [WR_CHANGE_SCALE] = "scale", [WR_CHANGE_SWAP] = "swap",
    [WR_CHANGE_LIMIT] = "limit", [WR_CHANGE_PLAN] = "plan",
};

/* One by its name. Of two changes of a kind to it only one can be meant. */
static enum wr_status note_changed(struct wr_alternative_parts *p, const struct wr_plan *plan, size_t task,
                                   enum wr_change_kind kind, struct wr_error *err)
{
    if (!p->changed) p->changed = WR_NEW_ARRAY(unsigned char, plan->n_task);
    if (p->changed[task] >> kind & 1)
        return wr_fail(err, WR_E_USAGE,
                       "--%s: task '%.60s' is named twice in one alternative: leave one of the two changes out",
                       change_word[kind], plan->task[task].id);
    p->changed[task] |= (unsigned char)(1 << kind);
    return WR_OK;
}

static enum wr_status take_drop(struct wr_alternative_parts *p, const struct wr_study *a, const char *text,
                                struct wr_error *err)
{
    const struct wr_plan *plan = plan_of(p, a);
    char item[256];
    size_t task;

    if (!p->drop) p->drop = WR_NEW_ARRAY(unsigned char, plan->n_task);
    while (*text) {
        enum wr_status status = next_item(&text, item, sizeof item, "drop", err);
        if (!status) status = find_task(plan, item, "drop", &task, err);
        if (status) return status;
        if (wr_way_in_of(plan, task)) return without_way_in(plan, task, "drop", err);
        status = note_changed(p, plan, task, WR_CHANGE_DROP, err);
        if (status) return status;
        p->drop[task] = 1;
    }
    return WR_OK;
}

static const char *kind_at(const void *plan, size_t i)
{
    return ((const struct wr_plan *)plan)->task[i].kind;
}

static enum wr_status scale_task(struct wr_alternative_parts *p, const struct wr_plan *plan, size_t task,
                                 double factor, struct wr_error *err)
{
    p->scale[task] *= factor;
    return factor == 0 && wr_way_in_of(plan, task) ? without_way_in(plan, task, "scale", err) : WR_OK;
}

static enum wr_status scale_kind(struct wr_alternative_parts *p, const struct wr_plan *plan, const char *kind,
                                 double factor, struct wr_error *err)
{
    enum wr_status status = WR_OK;
    size_t n = 0;

    for (size_t k = 0; k < plan->n_task && !status; k++)
        if (wr_same_but_for_spelling(plan->task[k].kind, kind)) {
            status = scale_task(p, plan, k, factor, err);
            n++;
        }
    if (n) return status;
    const struct wr_name_list kinds = {kind_at, plan, plan->n_task};
    WR_SCOPED_STR text = {0};
    wr_str_addf(&text, "--scale: the plan has no kind of work '%.60s'", kind);
    wr_add_did_you_mean(&text, &kinds, kind, "column kind of the plan has them");
    return wr_fail(err, WR_E_USAGE, "%s", text.text);
}

static enum wr_status take_scale(struct wr_alternative_parts *p, const struct wr_study *a, const char *text,
                                 struct wr_error *err)
{
    const struct wr_plan *plan = plan_of(p, a);
    char item[256];
    double factor;
    size_t task;

    if (!p->scale) {
        p->scale = WR_NEW_ARRAY(double, plan->n_task);
        for (size_t k = 0; k < plan->n_task; k++) p->scale[k] = 1;
    }
    while (*text) {
        enum wr_status status = next_item(&text, item, sizeof item, "scale", err);
        if (status) return status;
        char *equals = strrchr(item, '=');
        if (!equals || !wr_parse_double(equals + 1, &factor) || factor < 0)
            return wr_fail(err, WR_E_USAGE, "--scale: '%s' is not TASK=FACTOR or kind:KIND=FACTOR: write TASK=0.8",
                           item);
        if (factor > MOST_FACTOR)
            return wr_fail(err, WR_E_USAGE, "--scale: '%s' is more than %g times as long: write TASK=0.8", item,
                           MOST_FACTOR);
        *equals = '\0';
        if (strncmp(item, "kind:", 5) == 0) {
            status = scale_kind(p, plan, item + 5, factor, err);
        } else {
            status = find_task(plan, item, "scale", &task, err);
            if (!status) status = note_changed(p, plan, task, WR_CHANGE_SCALE, err);
            if (!status) status = scale_task(p, plan, task, factor, err);
        }
        if (status) return status;
    }
    return WR_OK;
}

/* A copy of the base's plan whose rows may be changed; everything else is borrowed. */
static void own_rows(struct wr_alternative_parts *p, const struct wr_study *a)
{
    const struct wr_plan *from = plan_of(p, a);

    if (p->task) return;
    p->task = WR_COPY(from->task, from->n_task);
    if (!p->has_plan) {
        p->plan = *from;
        p->has_plan = true;
    }
    if (p->owns_plan) wr_free(p->plan.task);
    p->plan.task = p->task;
}

static enum wr_status no_such_lane(const struct wr_plan *plan, const char *name, struct wr_error *err)
{
    WR_SCOPED_STR text = {0};

    wr_plan_say_no_lane(plan, name, &text);
    return wr_fail(err, WR_E_USAGE, "--swap: %s", text.text);
}

static enum wr_status take_swap(struct wr_alternative_parts *p, const struct wr_study *a, const char *text,
                                struct wr_error *err)
{
    const char *equals = strrchr(text, '=');
    size_t task, lane, len;
    char id[256], name[256];

    if (!equals || equals == text || (size_t)(equals - text) >= sizeof id)
        return wr_fail(err, WR_E_USAGE, "--swap: '%s' is not TASK=LANE[+LANE]: write TASK=EV2", text);
    memcpy(id, text, (size_t)(equals - text));
    id[equals - text] = '\0';
    own_rows(p, a);
    enum wr_status status = find_task(&p->plan, id, "swap", &task, err);
    if (status) return status;
    struct wr_plan_task *row = &p->task[task];
    uint32_t lanes = 0;
    row->n_lane = 0;
    for (const char *at = equals + 1; *at; at += len + (at[len] == '+')) {
        len = strcspn(at, "+");
        if (len == 0 || len >= sizeof name)
            return wr_fail(err, WR_E_USAGE, "--swap: '%s' is not TASK=LANE[+LANE]: write TASK=EV2", text);
        memcpy(name, at, len);
        name[len] = '\0';
        lane = wr_plan_resolve_lane(&p->plan, name, NULL);
        if (lane == SIZE_MAX) return no_such_lane(&p->plan, name, err);
        if (lanes >> lane & 1)
            return wr_fail(err, WR_E_USAGE, "--swap: lane '%s' is named twice: write it once", name);
        lanes |= 1u << lane;
        row->lane_order[row->n_lane++] = (uint8_t)lane;
    }
    if (!lanes) return wr_fail(err, WR_E_USAGE, "--swap: '%s' names no lane: write TASK=EV2", text);
    size_t lost = wr_way_in_lost(&p->plan, task, lanes);
    if (lost != SIZE_MAX) return without_way_in(&p->plan, lost, "swap", err);
    row->lanes = lanes;
    return note_changed(p, &p->plan, task, WR_CHANGE_SWAP, err);
}

static enum wr_status take_plan(struct wr_alternative_parts *p, struct wr_study *a, const char *path,
                                struct wr_error *err)
{
    if (p->has_plan || p->drop || p->scale)
        return wr_fail(err, WR_E_USAGE,
                       "--plan: another timeline comes before the changes made to it: write --plan FILE first");
    if (!a->plan.file)
        return wr_fail(err, WR_E_USAGE,
                       "--plan: %.200s would stand beside the campaign's own timeline, and there is no plan.csv: put "
                       "the plan that is followed there (`wetrun check --write-plan plan.csv` writes the log's)",
                       path);
    const struct wr_input *file;
    enum wr_status status = wr_study_read(a, path, &file, err);
    p->plan.keep_names = a->plan.keep_names;
    p->plan.aliases = &a->aliases;
    if (!status) status = wr_plan_read_bytes(&p->plan, file->name, file->text.bytes, file->text.n, &a->findings, err);
    p->has_plan = p->owns_plan = true;
    if (!status) wr_plan_find_odd_lanes(&p->plan, &a->log, &a->findings);
    if (!status) wr_screen_other_plan(&a->log, &a->plan, &a->timing, &p->plan, &a->findings);
    if (!status && wr_way_in_dropped(&p->plan) != SIZE_MAX)
        status = wr_fail(err, WR_E_INPUT, "%s:%zu: %s", file->name, p->plan.task[p->plan.n_task - 1].line,
                         wr_way_in_dropped_words);
    return status;
}

/* A colon may have been lost here as in --limit of any other command. */
static void screen_limit(struct wr_study *a, const char *text, double minutes, const struct wr_habits *habits)
{
    struct wr_limit limit = a->limits.limit[0];
    WR_SCOPED_STR name = {0};

    wr_str_addf(&name, "--limit %.40s", text);
    limit.name = wr_arena_copy(&a->text, name.text, name.len);
    limit.minutes = minutes;
    limit.as_clock_min = wr_as_lost_colon_min(text, habits);
    limit.form = wr_time_form_of(text);
    wr_screen_limit(&a->screen, &a->log, &a->plan, &a->net, &a->timing, &limit, &a->findings);
}

static enum wr_status take_limit(struct wr_alternative_parts *p, struct wr_study *a, const char *text,
                                 struct wr_error *err)
{
    const struct wr_habits alone = {.decimal_comma = true};
    size_t n = a->limits.n_limit;
    double minutes;

    if (n == 0)
        return wr_fail(err, WR_E_USAGE,
                       "--limit: the timeline as it is has no limit to compare with: add limits.csv "
                       "(limit excursion, minutes 6:30)");
    const char *trouble = wr_written_limit(text, &alone, &minutes);
    if (trouble) return wr_fail(err, WR_E_USAGE, "--limit: '%s' is %s", text, trouble);
    if (p->limit)
        return wr_fail(err, WR_E_USAGE,
                       "--limit: '%s' is the second in one alternative: leave one of the two changes out", text);
    p->limit = WR_COPY(a->limit, n);
    p->limit[0].minutes = minutes;
    screen_limit(a, text, minutes, &alone);
    return WR_OK;
}

static enum wr_status take_change(struct wr_alternative_parts *p, struct wr_study *a, const struct wr_change_text *c,
                                  struct wr_error *err)
{
    wr_str_addf(&p->name, "%s%s %s", p->name.len ? ", " : "", change_word[c->kind], c->text);
    switch (c->kind) {
    case WR_CHANGE_DROP: return take_drop(p, a, c->text, err);
    case WR_CHANGE_SCALE: return take_scale(p, a, c->text, err);
    case WR_CHANGE_SWAP: return take_swap(p, a, c->text, err);
    case WR_CHANGE_LIMIT: return take_limit(p, a, c->text, err);
    case WR_CHANGE_PLAN: return take_plan(p, a, c->text, err);
    }
    return WR_OK;
}

/* Clocks name tasks, lanes have numbers: both are found again in another plan by name. */
static enum wr_status translate_limits(struct wr_alternative_parts *p, const struct wr_study *a, struct wr_error *err)
{
    const struct wr_plan *from = &a->plan;

    if (!p->owns_plan || a->limits.n_limit == 0) return WR_OK;
    if (!p->limit) p->limit = WR_COPY(a->limit, a->limits.n_limit);
    for (size_t i = 0; i < a->limits.n_limit; i++) {
        size_t lane;
        if (limit_in_other_plan(&p->limit[i], from, &p->plan, &lane)) continue;
        if (lane != SIZE_MAX)
            return wr_fail(err, WR_E_INPUT,
                           "%s: limit '%s' is about lane '%s', which this plan does not have: "
                           "name a lane there so, or add --limits FILE without that limit",
                           p->plan.file, a->limits.limit[i].name, from->lane[lane]);
        return wr_fail(err, WR_E_INPUT,
                       "%s: limit '%s' is about a task that this plan does not have: name a task "
                       "there so, or add --limits FILE without that limit",
                       p->plan.file, a->limits.limit[i].name);
    }
    return WR_OK;
}

static bool left_out(const struct wr_alternative_parts *p, size_t task)
{
    return (p->drop && p->drop[task]) || (p->scale && p->scale[task] == 0);
}

/* Of another plan: those of the study's own were looked at when its limits were read. */
static enum wr_status no_drop_time(const struct wr_plan *plan, const struct wr_sim_limit *clock, const char *name,
                                   struct wr_error *err)
{
    for (int end = 0; end < 2 && clock->from != clock->to; end++) {
        const struct wr_plan_task *t = &plan->task[end ? clock->to : clock->from];
        if (t->drop_after_min.known)
            return wr_fail(err, WR_E_INPUT, "%s:%zu: task '%.60s' has a drop time, and the limit '%.60s' %s with it: "
                           "leave its drop_after empty, or add --limits FILE without that limit",
                           plan->file, t->line, t->id, name, end ? "ends" : "begins");
    }
    return WR_OK;
}

/* What is left out cannot be done by others, or in less time; a kind of work may well be done faster without it. */
static enum wr_status change_what_is_left(const struct wr_alternative_parts *p, const struct wr_study *a,
                                          struct wr_error *err)
{
    const struct wr_plan *plan = plan_of(p, a);

    for (size_t k = 0; p->drop && p->changed && k < plan->n_task; k++)
        if (p->drop[k] && p->changed[k] != 1 << WR_CHANGE_DROP)
            return wr_fail(err, WR_E_USAGE,
                           "--%s: task '%.60s' is left out and changed: leave one of the two changes out", p->name.text,
                           plan->task[k].id);
    return WR_OK;
}

/* A clock without its end would look kept, and go on. */
static enum wr_status keep_clocks(const struct wr_alternative_parts *p, const struct wr_study *a, struct wr_error *err)
{
    for (size_t i = 0; i < a->limits.n_limit; i++) {
        const struct wr_sim_limit *l = p->limit ? &p->limit[i] : &a->limit[i];
        if (!l->is_clock) continue;
        bool begins = !left_out(p, l->from);
        enum wr_status status = p->owns_plan ? no_drop_time(&p->plan, l, a->limits.limit[i].name, err) : WR_OK;
        if (status) return status;
        if (begins && !left_out(p, l->to)) continue;
        WR_SCOPED_STR why = {0};
        wr_clock_say(&a->plan, &a->limits.limit[i], begins, &why);
        status = wr_fail(err, WR_E_USAGE, "--%s: %s: leave it in, or add --limits FILE without that limit",
                                        p->name.text, wr_str_text(&why));
        return status;
    }
    return WR_OK;
}

/* What is left out may be the first part of the way back in. */
static void caution_way_in(const struct wr_alternative_parts *p, struct wr_study *a)
{
    const struct wr_plan *plan = plan_of(p, a);

    for (size_t k = 0; k < plan->n_task; k++) {
        WR_SCOPED_STR text = {0};
        if (!left_out(p, k) || wr_way_in_after(plan, k) == SIZE_MAX) continue;
        wr_way_in_part_say(plan, k, &text);
        wr_findings_add(&a->findings, WR_WARNING, "way-in-part", NULL, 0, 0, "--%s: %s", wr_str_text(&p->name),
                        wr_str_text(&text));
    }
}

static enum wr_status build(struct wr_alternative_parts *p, struct wr_variant *v, const struct wr_study *a,
                            struct wr_error *err)
{
    enum wr_status status = translate_limits(p, a, err);

    if (!status) status = change_what_is_left(p, a, err);
    if (!status) status = keep_clocks(p, a, err);
    if (!status && p->has_plan) {
        status = wr_network_build(&p->net, &p->plan, err);
        for (size_t i = 0; i < a->limits.n_limit && !status; i++)
            status = clock_runs_forward(&p->net, &p->plan, p->limit ? &p->limit[i] : &a->limit[i],
                                        a->limits.limit[i].name, err);
        if (!status)
            status = wr_durations_for_plan(&p->durations, &p->plan, &a->durations, &a->plan, &a->fit_options, err);
        p->has_durations = status == WR_OK;
        v->net = &p->net;
        v->durations = &p->durations;
    }
    v->name = wr_str_text(&p->name);
    v->drop = p->drop;
    v->scale = p->scale;
    v->limit = p->limit;
    v->n_limit = p->limit ? a->limits.n_limit : 0;
    return status;
}

enum wr_status wr_alternatives_make(struct wr_alternatives *alt, struct wr_study *a, struct wr_error *err)
{
    enum wr_status status = WR_OK;

    alt->variant = WR_NEW_ARRAY(struct wr_variant, a->options.n_change);
    alt->parts = WR_NEW_ARRAY(struct wr_alternative_parts, a->options.n_change);
    alt->name = WR_NEW_ARRAY(const char *, a->options.n_change);
    for (size_t i = 0; i < a->options.n_change && !status; i++) {
        if (!a->options.change[i].joined || alt->n_variant == 0) alt->n_variant++;
        status = take_change(&alt->parts[alt->n_variant - 1], a, &a->options.change[i], err);
    }
    for (size_t i = 0; i < alt->n_variant && !status; i++) {
        status = build(&alt->parts[i], &alt->variant[i], a, err);
        if (!status) caution_way_in(&alt->parts[i], a);
        alt->name[i] = alt->variant[i].name;
    }
    return status;
}

void wr_alternatives_release(struct wr_alternatives *alt)
{
    for (size_t i = 0; i < alt->n_variant; i++) {
        struct wr_alternative_parts *p = &alt->parts[i];
        if (p->has_durations) wr_durations_release(&p->durations);
        wr_network_release(&p->net);
        if (p->owns_plan) {
            if (p->task) p->plan.task = p->task;
            wr_plan_release(&p->plan);
        } else {
            wr_free(p->task);
        }
        WR_FREE(p->drop, p->changed, p->scale, p->limit);
        wr_str_release(&p->name);
    }
    WR_FREE(alt->variant, alt->parts, alt->name);
    *alt = (struct wr_alternatives){0};
}
