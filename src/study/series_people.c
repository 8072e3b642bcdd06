#include "series_people.h"

#include <string.h>
#include "study_parts.h"
#include "wetrun/model/shared_people.h"

/* ---- who is who ---- */

static size_t find_person(struct wr_series_study *s, const char *identity)
{
    size_t i = 0;

    while (i < s->n_person && strcmp(s->person[i].identity, identity) != 0) i++;
    if (i == s->n_person)
        WR_PUSH(s->person, s->n_person, s->room_person)->identity = wr_arena_copy(&s->text, identity, strlen(identity));
    return i;
}

/* The people of a log by their own names: with `anonymous` the log is read once more. Order is that of the model. */
static enum wr_status see_leg(struct wr_series_study *s, size_t e, const struct wr_study_options *options,
                              struct wr_error *err)
{
    struct wr_series_excursion *x = &s->excursion[e];
    const size_t n = x->study.fit.n_named_person;
    const char **name = x->study.fit.person;
    struct wr_study *plain = &s->plain;
    enum wr_status status = WR_OK;

    if (n == 0) return WR_OK;
    if (options->anonymous) {
        struct wr_study_options own = *options;
        own.folder = x->folder;
        own.anonymous = false;
        status = wr_study_open(plain, &own, err);
        WR_BUG_IF(!status && plain->timing.n_person != n);
        name = plain->timing.person;
    }
    x->who = WR_NEW_ARRAY(size_t, n);
    for (size_t p = 0; p < n && !status; p++) {
        x->who[p] = find_person(s, name[p]);
        s->person[x->who[p]].in[e] = true;
        s->person[x->who[p]].n_in++;
    }
    x->n_who = n;
    if (options->anonymous) wr_study_release(plain);
    return status;
}

/* Who flies excursion e, by series.csv. */
static enum wr_status see_seats(struct wr_series_study *s, size_t e, const struct wr_study_options *options,
                                struct wr_error *err)
{
    struct wr_series_excursion *x = &s->excursion[e];
    const struct wr_series_row *row = &s->files.row[e];

    x->seat = WR_NEW_ARRAY(size_t, x->study.plan.n_lane);
    for (size_t l = 0; l < x->study.plan.n_lane; l++) x->seat[l] = WR_SEAT_OPEN;
    if (row->n_seat && options->fit.people)
        return wr_fail(err, WR_E_USAGE,
                       "%s:%zu: column people says who flies '%.60s', and --people as well: leave one of the two out",
                       s->file[0].name, row->line, row->excursion);
    for (size_t i = 0; i < row->n_seat; i++) {
        const struct wr_series_seat *seat = &row->seat[i];
        size_t l = wr_plan_find_lane(&x->study.plan, seat->lane), who = 0;
        if (l == SIZE_MAX)
            return wr_fail(err, WR_E_INPUT,
                           "%s:%zu: the plan of excursion '%.60s' has no lane '%.60s': write one of "
                           "its own in column people",
                           s->file[0].name, row->line, row->excursion, seat->lane);
        while (who < s->n_person && strcmp(s->person[who].identity, seat->name) != 0) who++;
        x->seat[l] = who < s->n_person ? who : WR_SEAT_NEW;
    }
    return WR_OK;
}

static void name_people(struct wr_series_study *s, bool anonymous)
{
    for (size_t i = 0; i < s->n_person; i++) {
        struct wr_series_person *p = &s->person[i];
        p->name = anonymous ? wr_letter_name(&s->text, i) : p->identity;
        if (anonymous) p->identity = "";
    }
}

enum wr_status wr_series_see_people(struct wr_series_study *s, const struct wr_study_options *options,
                                    struct wr_error *err)
{
    enum wr_status status = WR_OK;

    for (size_t e = 0; e < s->n_excursion && !status; e++) {
        struct wr_series_excursion *x = &s->excursion[e];
        x->team = e;
        if (x->study.log.n_run == 0)
            for (size_t t = e; t-- > 0 && x->team == e;)
                if (s->excursion[t].study.log.n_run > 0) x->team = t;
        status = see_leg(s, e, options, err);
    }
    for (size_t e = 0; e < s->n_excursion && !status; e++) status = see_seats(s, e, options, err);
    name_people(s, options->anonymous);
    return status;
}

/* ---- joining ---- */

/* Draws of a person's effect in an excursion that rehearsed with them; NULL: it did not. */
static const double *effect_in(const struct wr_series_study *s, size_t e, size_t who)
{
    const struct wr_series_excursion *x = &s->excursion[e];

    for (size_t p = 0; p < x->n_who; p++)
        if (x->who[p] == who) return x->durations.q + p * x->durations.n_draw;
    return NULL;
}

static void take_team(struct wr_series_study *s, size_t e)
{
    struct wr_series_excursion *x = &s->excursion[e];
    const struct wr_series_excursion *team = &s->excursion[x->team];
    const struct wr_durations *from = &team->durations;
    struct wr_durations *d = &x->durations;

    if (from->n_person == 0 || from->n_draw != d->n_draw) return;
    WR_FREE(d->q, d->line_up);
    d->n_person = from->n_person;
    d->q = WR_COPY(from->q, d->n_person * d->n_draw);
    memcpy(d->kappa, from->kappa, d->n_draw * sizeof *d->kappa);
    d->n_line_up = from->n_line_up;
    d->line_up = WR_NEW_ARRAY(int, d->n_line_up * d->n_lane);
    for (size_t l = 0; l < d->n_lane; l++) {
        size_t at = wr_plan_find_lane(&team->plan, x->plan.lane[l]);
        for (size_t i = 0; i < d->n_line_up; i++)
            d->line_up[i * d->n_lane + l] = at == SIZE_MAX ? WR_PERSON_NEW : from->line_up[i * from->n_lane + at];
    }
}

void wr_series_join_people(struct wr_series_study *s, size_t e)
{
    struct wr_series_excursion *x = &s->excursion[e];
    size_t *person, n = 0;
    const double **as;

    if (x->team != e) {
        take_team(s, e);
        return;
    }
    person = WR_NEW_ARRAY(size_t, x->n_who);
    as = WR_NEW_ARRAY(const double *, x->n_who);
    for (size_t p = 0; p < x->n_who; p++)
        for (size_t f = 0; f < e; f++) {
            const double *there = effect_in(s, f, x->who[p]);
            if (!there || s->excursion[f].durations.n_draw != x->durations.n_draw) continue;
            person[n] = p;
            as[n++] = there;
            break;
        }
    wr_people_join(&x->durations, person, as, n);
    WR_FREE(person, as);
}

/* Row of a person's effect in d: their own, or one more, from the excursion next to e that knows them, earlier ones
 * first. Lanes of a campaign without people have none. */
static int row_of_person(const struct wr_series_study *s, size_t e, size_t who)
{
    const struct wr_series_excursion *x = &s->excursion[e], *team = &s->excursion[x->team];
    struct wr_durations *d = &s->excursion[e].durations;
    const double *there = NULL;

    for (size_t p = 0; p < team->n_who && p < d->n_person; p++)
        if (team->who[p] == who) return (int)p;
    for (size_t f = e; f-- > 0 && !there;)
        if (s->excursion[f].durations.n_draw == d->n_draw) there = effect_in(s, f, who);
    for (size_t f = e + 1; f < s->n_excursion && !there; f++) { /* not joined yet: as its own fit has it */
        const struct wr_series_excursion *later = &s->excursion[f];
        for (size_t p = 0; p < later->n_who && later->study.durations.n_draw == d->n_draw; p++)
            if (later->who[p] == who) there = later->study.durations.q + p * d->n_draw;
    }
    if (!there) return WR_PERSON_NEW;
    double *q = wr_alloc(d->n_person + 1, d->n_draw * sizeof *q);
    if (d->n_person) memcpy(q, d->q, d->n_person * d->n_draw * sizeof *q);
    memcpy(q + d->n_person * d->n_draw, there, d->n_draw * sizeof *q);
    wr_free(d->q);
    d->q = q;
    return (int)d->n_person++;
}

enum wr_status wr_series_seat_people(struct wr_series_study *s, size_t e, struct wr_error *err)
{
    struct wr_series_excursion *x = &s->excursion[e];
    struct wr_durations *d = &x->durations;
    bool placed[WR_MAX_LANES];

    for (size_t l = 0; l < d->n_lane; l++) {
        placed[l] = x->seat[l] != WR_SEAT_OPEN;
        if (x->seat[l] == WR_SEAT_OPEN) continue;
        int row = x->seat[l] == WR_SEAT_NEW ? WR_PERSON_NEW : row_of_person(s, e, x->seat[l]);
        if (row == WR_PERSON_NEW && d->n_person == 0) continue; /* people are not in the model */
        for (size_t i = 0; i < d->n_line_up; i++) d->line_up[i * d->n_lane + l] = row;
    }
    if (wr_durations_keep_possible(d, placed)) return WR_OK;
    return wr_fail(err, WR_E_INPUT,
                   "%s:%zu: in every line-up that '%.60s' could take somebody named is in another lane, and nobody is "
                   "in two: name who is in its other lanes too, in column people", s->file[0].name,
                   s->files.row[e].line, s->files.row[e].excursion);
}

void wr_series_level_people(const struct wr_series_study *s, size_t e, size_t home, double *centre_log)
{
    const size_t team = s->excursion[e].team, n_draw = s->excursion[e].durations.n_draw;
    const struct wr_series_excursion *x = &s->excursion[team];
    size_t n = 0;

    if (team == home || s->excursion[home].durations.n_draw != n_draw || x->durations.n_draw != n_draw) return;
    for (size_t p = 0; p < x->n_who; p++) n += effect_in(s, home, x->who[p]) != NULL;
    for (size_t p = 0; p < x->n_who; p++) {
        const double *there = effect_in(s, home, x->who[p]), *here = x->durations.q + p * n_draw;
        for (size_t j = 0; there && j < n_draw; j++) centre_log[j] += (there[j] - here[j]) / (double)n;
    }
}
