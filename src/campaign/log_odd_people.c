/* People who may be one under two names: somebody of few rows of one run in which somebody of nearly the name has many.
 * Who is in several runs, or has a lane for longer, is somebody whatever the name. */
#include <string.h>
#include "crew_text.h"
#include "log_oddities.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h"

enum { MOST_PEOPLE_COMPARED = 200, TIMES_AS_MANY = 3, INITIALS = 3 };

struct seat { /* somebody in a lane for a step */
    uint32_t person, lane;
    size_t step;
};

struct seating { /* of a step */
    const struct wr_log_step *step;
    size_t first, n; /* seats */
};

struct people {
    struct wr_names name, lane;
    struct wr_arena text;
    struct seat *seat; /* ordered as the steps are: by run */
    size_t n_seat, room;
    const struct wr_plan_task **planned; /* [n_task] of the log; NULL: the plan does not have it */
    struct seating last[2];              /* two that differ: lanes take turns */
};

static bool next_lane(const char **crew, const struct wr_plan *plan, const struct wr_plan_task *task, size_t i,
                      struct wr_part *lane)
{
    if (*crew) return wr_next_part(crew, '+', lane);
    if (!task || i >= task->n_lane) return false;
    const char *name = plan->lane[task->lane_order[i]];
    *lane = (struct wr_part){name, strlen(name)};
    return true;
}

static size_t count_parts(const char *text)
{
    size_t n = 0;

    for (struct wr_part part; wr_next_part(&text, '+', &part);) n++;
    return n;
}

/* Where a step has as many people as lanes, each is in the lane that is named in the same place. */
static void seat_people(struct people *p, const struct oddities *o, size_t step)
{
    const struct wr_log_step *s = &o->log->step[step];
    const struct wr_plan *plan = o->options->plan;
    const struct wr_plan_task *task = p->planned[s->task];
    size_t n = count_parts(s->performer);
    const char *crew = s->crew[0] ? s->crew : NULL, *performer = s->performer;
    struct wr_part who, lane;

    if (n != (crew ? count_parts(crew) : task ? task->n_lane : 0)) return;
    for (size_t i = 0; wr_next_part(&performer, '+', &who) && next_lane(&crew, plan, task, i, &lane); i++)
        if (who.len && lane.len)
            *WR_PUSH(p->seat, p->n_seat, p->room) =
                (struct seat){wr_names_add(&p->name, &p->text, who.text, who.len),
                              wr_names_add(&p->lane, &p->text, lane.text, lane.len), step};
}

/* Texts of the log that are alike are one text. */
static bool sits_alike(const struct people *p, const struct wr_log_step *s, const struct wr_log_step *before)
{
    return before && s->performer == before->performer && s->crew == before->crew &&
           (s->crew[0] || p->planned[s->task] == p->planned[before->task]);
}

static void seat_step(struct people *p, const struct oddities *o, size_t step)
{
    const struct wr_log_step *s = &o->log->step[step];
    size_t k = 0;

    while (k < 2 && !sits_alike(p, s, p->last[k].step)) k++;
    if (k == 2) {
        p->last[1] = p->last[0];
        p->last[0] = (struct seating){.step = s, .first = p->n_seat};
        seat_people(p, o, step);
        p->last[0].n = p->n_seat - p->last[0].first;
        return;
    }
    for (size_t i = 0; i < p->last[k].n; i++) {
        struct seat *seat = WR_PUSH(p->seat, p->n_seat, p->room);
        *seat = p->seat[p->last[k].first + i];
        seat->step = step;
    }
}

static const struct wr_plan_task **find_planned(const struct oddities *o)
{
    const struct wr_plan_task **planned = WR_NEW_ARRAY(const struct wr_plan_task *, o->log->n_task);

    for (size_t t = 0; o->options->plan && t < o->log->n_task; t++) {
        size_t k = wr_plan_find(o->options->plan, o->log->task[t]);
        if (k != SIZE_MAX) planned[t] = &o->options->plan->task[k];
    }
    return planned;
}

static uint32_t run_of(const struct oddities *o, const struct seat *seat)
{
    return o->log->step[seat->step].run;
}

/* The seats of the run in which the person is, and how many are theirs; 0 if they are in several runs. */
static size_t only_run(const struct people *p, const struct oddities *o, uint32_t person, size_t *from, size_t *to)
{
    size_t n = 0, first = SIZE_MAX;

    for (size_t i = 0; i < p->n_seat; i++) {
        if (p->seat[i].person != person) continue;
        if (n++ == 0) first = i;
        else if (run_of(o, &p->seat[i]) != run_of(o, &p->seat[first])) return 0;
    }
    if (n == 0) return 0;
    for (*from = first; *from > 0 && run_of(o, &p->seat[*from - 1]) == run_of(o, &p->seat[first]);) --*from;
    for (*to = first; *to < p->n_seat && run_of(o, &p->seat[*to]) == run_of(o, &p->seat[first]);) ++*to;
    return n;
}

static bool at_once(const struct wr_log_step *a, const struct wr_log_step *b)
{
    return a->has_clock && b->has_clock && a->start_min < b->end_min && b->start_min < a->end_min;
}

/* The other has the lane, many rows to one, and is not elsewhere at the time; or has many rows of the run, and this is
 * one row of the whole log: a slip even where the lane is somebody else's, but for initials, which are soon alike. */
static bool may_be(const struct people *p, const struct oddities *o, const struct seat *mine, size_t n_mine,
                   uint32_t other, size_t from, size_t to)
{
    size_t n = 0, n_in_lane = 0;
    bool elsewhere = false;

    for (size_t i = from; i < to; i++) {
        if (p->seat[i].person != other) continue;
        if (p->seat[i].step == mine->step) return false; /* both of them, in one row */
        n++;
        n_in_lane += p->seat[i].lane == mine->lane;
        elsewhere |= at_once(&o->log->step[mine->step], &o->log->step[p->seat[i].step]);
    }
    if (n_mine == 1 && p->name.name[mine->person].len > INITIALS) return n >= TIMES_AS_MANY;
    return !elsewhere && n_in_lane >= TIMES_AS_MANY * n_mine;
}

static bool may_be_all(const struct people *p, const struct oddities *o, uint32_t person, size_t n_mine, uint32_t other,
                       size_t from, size_t to)
{
    if (other == person) return false;
    for (size_t i = from; i < to; i++)
        if (p->seat[i].person == person && !may_be(p, o, &p->seat[i], n_mine, other, from, to)) return false;
    return true;
}

static void report_lone_person(const struct people *p, const struct oddities *o, uint32_t person, size_t n_mine,
                               uint32_t near, size_t from, size_t to)
{
    size_t first = from, n = 0;

    while (p->seat[first].person != person) first++;
    for (size_t i = from; i < to; i++) n += p->seat[i].person == near;
    const struct wr_run_log *log = o->log;
    const struct wr_log_step *s = &log->step[p->seat[first].step];
    const char *name = p->name.name[person].text, *other = p->name.name[near].text;
    WR_SCOPED_STR rows = {0}, only = {0};

    if (n_mine == 1) wr_str_add(&only, "this row only");
    else wr_str_addf(&only, "%zu rows only", n_mine);
    if (o->options->anonymous) {
        wr_findings_add(o->findings, WR_WARNING, "lone-person", log->file[s->file], s->line, 0,
                        "somebody stands in %s, and somebody of nearly that name in %zu others of run '%.60s': one "
                        "person or two? A row of names.csv says it: person,NAME,OTHER (one), or person,NAME,NAME (two)",
                        only.text, n, log->run[s->run].id);
        return;
    }
    wr_alias_add_row(&rows, WR_NAME_PERSON, name, other);
    wr_str_add(&rows, " (one), or ");
    wr_alias_add_row(&rows, WR_NAME_PERSON, name, name);
    wr_findings_add(o->findings, WR_WARNING, "lone-person", log->file[s->file], s->line, 0,
                    "'%.60s' stands in %s, and '%.60s' in %zu others of run '%.60s': one person or two? A row of "
                    "names.csv says it: %s (two)",
                    name, only.text, other, n, log->run[s->run].id, rows.text);
}

static const char *person_at(const void *arg, size_t i)
{
    return ((const char *const *)arg)[i];
}

static void find_lone_person(const struct people *p, const struct oddities *o, uint32_t person, const char **other)
{
    const struct wr_name_list list = {person_at, other, p->name.n_name};
    const char *name = p->name.name[person].text;
    size_t from, to, n = only_run(p, o, person, &from, &to);

    if (n == 0 || wr_alias_is_given(o->options->aliases, WR_NAME_PERSON, name)) return;
    for (uint32_t q = 0; q < p->name.n_name; q++)
        other[q] = may_be_all(p, o, person, n, q, from, to) ? p->name.name[q].text : NULL;
    size_t near = wr_find_near(&list, name);
    if (near != SIZE_MAX) report_lone_person(p, o, person, n, (uint32_t)near, from, to);
}

void log_find_odd_people(const struct oddities *o)
{
    struct people p = {.planned = find_planned(o)};

    for (size_t i = 0; i < o->log->n_step && p.name.n_name <= MOST_PEOPLE_COMPARED; i++) seat_step(&p, o, i);
    if (p.name.n_name <= MOST_PEOPLE_COMPARED) {
        WR_SCOPED const char **other = WR_NEW_ARRAY(const char *, p.name.n_name);
        for (uint32_t person = 0; person < p.name.n_name; person++) find_lone_person(&p, o, person, other);
    }
    WR_FREE(p.seat, p.planned);
    wr_names_release(&p.name);
    wr_names_release(&p.lane);
    wr_arena_release(&p.text);
}
