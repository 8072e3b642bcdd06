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
    if (named[l] == WR_PERSON_NEW) say_new(timing, text.text, findings);
    for (size_t o = 0; named[l] >= 0 && o < plan->n_lane; o++)
        if (o != l && named[o] == named[l])
            return wr_fail(err, WR_E_USAGE,
                           "--people: '%.*s' cannot be in two lanes: name somebody else in one of them", (int)name.n,
                           name.text);
    return WR_OK;
}

/* "EV1=NAME,EV2=NAME" into named[n_lane]; lanes not mentioned stay NOT_NAMED. */
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
static void from_runs(struct wr_durations *d, const struct wr_timing *timing, const struct wr_model_fit *fit,
                      const int *named)
{
    for (size_t r = 0; r < timing->n_run; r++) {
        int *line_up = d->line_up + d->n_line_up * d->n_lane;
        if (fit->data.n_run == timing->n_run && !wr_model_saw_run(fit, r)) continue;
        for (size_t l = 0; l < d->n_lane; l++) {
            int known = timing->line_up[r * timing->n_lane + l];
            line_up[l] = named[l] != NOT_NAMED ? named[l] : known >= 0 ? known : WR_PERSON_NEW;
        }
        d->n_line_up++;
    }
    if (d->n_line_up > 0) return;
    for (size_t l = 0; l < d->n_lane; l++) d->line_up[l] = named[l] != NOT_NAMED ? named[l] : WR_PERSON_NEW;
    d->n_line_up = 1;
}

enum wr_status wr_line_ups_choose(struct wr_durations *d, const struct wr_plan *plan, const struct wr_timing *timing,
                                  const struct wr_model_fit *fit, const char *people, struct wr_findings *findings,
                                  struct wr_error *err)
{
    int named[WR_MAX_LANES];

    for (size_t l = 0; l < d->n_lane; l++) named[l] = NOT_NAMED;
    if (people) {
        enum wr_status status = parse_people(people, plan, timing, named, findings, err);
        if (status != WR_OK) return status;
        if (fit->n_person == 0)
            wr_findings_add(findings, WR_NOTE, "people-unused", NULL, 0, 0,
                            "who will do it makes no difference here: people are not in the model");
    }
    d->line_up = WR_NEW_ARRAY(int, (timing->n_run + 1) * d->n_lane);
    if (fit->n_person > 0) {
        from_runs(d, timing, fit, named);
        return WR_OK;
    }
    for (size_t l = 0; l < d->n_lane; l++) d->line_up[l] = WR_PERSON_NONE;
    d->n_line_up = 1;
    return WR_OK;
}
