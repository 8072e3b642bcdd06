#include "line_ups.h"

#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/near_name.h"

enum { NOT_NAMED = -3 };

struct piece { const char *text; size_t n; };

static struct piece trimmed(const char *from, const char *to)
{
    wr_trim(&from, &to);
    return (struct piece){from, (size_t)(to - from)};
}

static bool is(const struct piece *p, const char *text)
{
    return strlen(text) == p->n && memcmp(p->text, text, p->n) == 0;
}

static const char *person_at(const void *timing, size_t i)
{
    return ((const struct wr_timing *)timing)->person[i];
}

/* Names are compared without case and blanks, as in the log. */
static int find_person(const struct wr_timing *timing, const char *name)
{
    const struct wr_name_list list = {person_at, timing, timing->n_person};
    size_t p = wr_find_spelling(&list, name);

    return p == SIZE_MAX ? WR_PERSON_NEW : (int)p;
}

/* ---- people who are not in the model ---- */

static bool differ(const struct wr_timing *t, size_t run, size_t other)
{
    for (size_t l = 0; l < t->n_lane; l++) {
        int a = t->line_up[run * t->n_lane + l], b = t->line_up[other * t->n_lane + l];
        if (a >= 0 && b >= 0 && a != b) return true;
    }
    return false;
}

bool wr_line_ups_are_two(const struct wr_timing *timing)
{
    for (size_t r = 0; r < timing->n_run; r++)
        for (size_t o = 0; o < r; o++)
            if (differ(timing, r, o)) return true;
    return false;
}

static bool is_among(unsigned person, const struct wr_cell *cell)
{
    for (size_t i = 0; i < cell->n_performer; i++)
        if (cell->person[i] == person) return true;
    return false;
}

/* In how many runs the task was done by so many as in this cell, and in how many of them by this person. */
static struct wr_other_hand hand_in(const struct wr_timing *timing, size_t task, const struct wr_cell *cell,
                                    unsigned person)
{
    struct wr_other_hand hand = {.task = task, .person = person};

    for (size_t r = 0; r < timing->n_run; r++) {
        const struct wr_cell *c = wr_timing_cell(timing, task, r);
        if (c->n_performer != cell->n_performer) continue;
        hand.of++;
        hand.n += is_among(person, c);
    }
    return hand;
}

bool wr_find_other_hand(const struct wr_timing *timing, struct wr_other_hand *found)
{
    *found = (struct wr_other_hand){0};
    for (size_t i = 0; i < timing->n_task * timing->n_run; i++) {
        const struct wr_cell *cell = &timing->cell[i];
        for (size_t p = 0; p < cell->n_performer; p++) {
            const struct wr_other_hand hand = hand_in(timing, i / timing->n_run, cell, cell->person[p]);
            if (hand.n < hand.of && (found->n == 0 || hand.n < found->n)) *found = hand;
        }
    }
    return found->n > 0;
}

/* Whoever is known had the lane in every run, and nobody else did any of its work. */
static bool is_only_one_in(const struct wr_plan *plan, const struct wr_timing *timing, size_t lane, int person)
{
    bool seen = false;

    for (size_t r = 0; r < timing->n_run; r++) {
        int who = timing->line_up[r * timing->n_lane + lane];
        if (who >= 0 && who != person) return false;
        seen |= who >= 0;
    }
    for (size_t i = 0; i < timing->n_task * timing->n_run; i++) {
        const struct wr_cell *cell = &timing->cell[i];
        const struct wr_plan_task *task = &plan->task[i / timing->n_run];
        bool all_named = (task->lanes >> lane & 1) && cell->n_performer >= task->n_lane;
        if (all_named && !is_among((unsigned)person, cell)) return false;
    }
    return seen;
}

static const char *why_untold(const struct wr_timing *timing)
{
    if (timing->n_run == 0) return "nobody has rehearsed";
    if (timing->n_person == 0) return "the log does not say who rehearsed";
    if (!wr_line_ups_are_two(timing)) return "these rehearsals cannot tell people apart";
    return "people are not in this model";
}

/* Of whom the numbers are: said where it is one and the same throughout. */
static void add_rehearsed(const struct wr_plan *plan, const struct wr_timing *timing, struct wr_str *out)
{
    size_t n = 0;

    for (size_t l = 0; l < timing->n_lane && !wr_line_ups_are_two(timing); l++)
        for (size_t r = 0; r < timing->n_run; r++) {
            int who = timing->line_up[r * timing->n_lane + l];
            if (who < 0) continue;
            wr_str_addf(out, "%s%.60s in %s", n++ ? ", " : " (", timing->person[who], plan->lane[l]);
            break;
        }
    if (n) wr_str_add_char(out, ')');
}

/* The numbers would be taken for those of the people named, and are not: no answer on them may be firm. */
static void report_untold(const char *people, const struct wr_plan *plan, const struct wr_timing *timing,
                          struct wr_findings *findings)
{
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "--people %.200s: %s, so nothing here is about the people named: all numbers are those of ",
                people, why_untold(timing));
    wr_str_add(&text, timing->n_run ? "whoever rehearsed" : "the plan");
    add_rehearsed(plan, timing, &text);
    wr_str_add(&text, ", and others may be slower");
    wr_findings_add(findings, WR_WARNING, "people-untold", NULL, 0, 0, "%s", text.text);
}

static void say_unmodelled(struct wr_durations *d, const char *people, const int *named, const struct wr_plan *plan,
                           const struct wr_timing *timing, struct wr_findings *findings)
{
    for (size_t l = 0; l < d->n_lane; l++)
        d->people_untold |= named[l] != NOT_NAMED && (named[l] < 0 || !is_only_one_in(plan, timing, l, named[l]));
    if (d->people_untold) report_untold(people, plan, timing, findings);
    else
        wr_findings_add(findings, WR_NOTE, "people-unused", NULL, 0, 0,
                        "--people names those who rehearsed, and changes nothing: people are not in the model");
}

static void say_new(const struct wr_timing *timing, const char *name, struct wr_findings *findings)
{
    const struct wr_name_list list = {person_at, timing, timing->n_person};
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text,
                "--people: '%.60s' is in no rehearsal, and this is for somebody unknown, of the kind that rehearsed",
                name);
    wr_add_did_you_mean(&text, &list, name, "`wetrun compare` has them");
    wr_findings_add(findings, WR_WARNING, "person-new", NULL, 0, 0, "%s", text.text);
}

static enum wr_status no_such_lane(const struct wr_plan *plan, struct piece lane, struct wr_error *err)
{
    WR_SCOPED_STR name = {0}, text = {0};

    wr_str_add_bytes(&name, lane.text, lane.n);
    wr_plan_say_no_lane(plan, wr_str_text(&name), &text);
    return wr_fail(err, WR_E_USAGE, "--people: %s", wr_str_text(&text));
}

static enum wr_status name_lane(const struct wr_plan *plan, const struct wr_timing *timing, struct piece lane,
                                struct piece name, int *named, struct wr_findings *findings, struct wr_error *err)
{
    size_t l = 0;

    while (l < plan->n_lane && !is(&lane, plan->lane[l])) l++;
    if (l == plan->n_lane) return no_such_lane(plan, lane, err);
    if (named[l] != NOT_NAMED) /* NOLINT: every lane of the plan has been filled in */
        return wr_fail(err, WR_E_USAGE, "--people: lane '%s' is named twice: leave one of them out", plan->lane[l]);
    WR_SCOPED_STR text = {0};
    wr_str_add_bytes(&text, name.text, name.n);
    named[l] = find_person(timing, text.text);
    if (named[l] == WR_PERSON_NEW && findings) say_new(timing, text.text, findings);
    for (size_t o = 0; named[l] >= 0 && o < plan->n_lane; o++)
        if (o != l && named[o] == named[l])
            return wr_fail(err, WR_E_USAGE,
                           "--people: '%.*s' cannot be in two lanes: name somebody else in one of them", (int)name.n,
                           name.text);
    return WR_OK;
}

/* "EV1=NAME,EV2=NAME" into named[n_lane]; lanes not mentioned stay NOT_NAMED. findings NULL: people who are new are
 * none. */
static enum wr_status parse_people(const char *people, const struct wr_plan *plan, const struct wr_timing *timing,
                                   int *named, struct wr_findings *findings, struct wr_error *err)
{
    for (const char *s = people;;) {
        const char *end = s + strcspn(s, ","), *equals = memchr(s, '=', (size_t)(end - s));
        struct piece lane = {0}, name = {0};
        if (equals) {
            lane = trimmed(s, equals);
            name = trimmed(equals + 1, end);
        }
        if (!lane.n || !name.n)
            return wr_fail(err, WR_E_USAGE, "--people: '%.*s' is not LANE=NAME: write --people %s=NAME", (int)(end - s),
                           s, plan->lane[0]);
        enum wr_status status = name_lane(plan, timing, lane, name, named, findings, err);
        if (status != WR_OK || *end == '\0') return status;
        s = end + 1;
    }
}

/* One line-up per rehearsed run, in which the named lanes are as named. Of a refit with fewer or more runs than the
 * timing table the table's runs are used all the same: who can turn up does not depend on which run is left out. */
static void add_runs(struct wr_durations *d, const struct wr_timing *timing, const struct wr_model_fit *fit,
                     const int *named, bool all)
{
    for (size_t r = 0; r < timing->n_run; r++) {
        int *line_up = d->line_up + d->n_line_up * d->n_lane;
        if (!all && fit->data.n_run == timing->n_run && !wr_model_saw_run(fit, r)) continue;
        for (size_t l = 0; l < d->n_lane; l++) {
            int known = timing->line_up[r * timing->n_lane + l];
            line_up[l] = named[l] != NOT_NAMED ? named[l] : known >= 0 ? known : WR_PERSON_NEW;
        }
        d->n_line_up++;
    }
}

/* Those of the runs that can be: nobody named is in another lane as well. Where a refit is left without one, the runs
 * that it left out say who can turn up. */
static enum wr_status from_runs(struct wr_durations *d, const struct wr_plan *plan, const struct wr_timing *timing,
                                const struct wr_model_fit *fit, const int *named, struct wr_error *err)
{
    bool placed[WR_MAX_LANES];
    size_t l = 0;

    add_runs(d, timing, fit, named, false);
    if (d->n_line_up == 0) {
        for (l = 0; l < d->n_lane; l++) d->line_up[l] = named[l] != NOT_NAMED ? named[l] : WR_PERSON_NEW;
        d->n_line_up = 1;
    }
    for (l = 0; l < d->n_lane; l++) placed[l] = named[l] >= 0;
    if (wr_durations_keep_possible(d, placed)) return WR_OK;
    add_runs(d, timing, fit, named, true);
    if (wr_durations_keep_possible(d, placed)) return WR_OK;
    for (l = 0; l + 1 < d->n_lane && named[l] != NOT_NAMED;) l++; /* with every lane named each line-up can be */
    return wr_fail(err, WR_E_USAGE,
                   "--people: in every rehearsed line-up somebody named is in another lane, and nobody is in two: name "
                   "who is in the other lanes too, as in %s=NAME", plan->lane[l]);
}

enum wr_status wr_line_ups_choose(struct wr_durations *d, const struct wr_plan *plan, const struct wr_timing *timing,
                                  const struct wr_model_fit *fit, const char *people, struct wr_findings *findings,
                                  struct wr_error *err)
{
    int named[WR_MAX_LANES];

    for (size_t l = 0; l < d->n_lane; l++) named[l] = NOT_NAMED;
    if (people) {
        enum wr_status status = parse_people(people, plan, timing, named, fit->n_person ? findings : NULL, err);
        if (status != WR_OK) return status;
        if (fit->n_person == 0) say_unmodelled(d, people, named, plan, timing, findings);
    }
    d->line_up = WR_NEW_ARRAY(int, (timing->n_run + 1) * d->n_lane);
    if (fit->n_person > 0) return from_runs(d, plan, timing, fit, named, err);
    for (size_t l = 0; l < d->n_lane; l++) d->line_up[l] = WR_PERSON_NONE;
    d->n_line_up = 1;
    return WR_OK;
}
