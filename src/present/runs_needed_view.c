#include "wetrun/present/runs_needed_view.h"

#include <math.h>
#include <stdint.h>
#include "json.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

#define INTERVAL_LEVEL 0.9

/* ---- sentences ---- */

/* "one" … in a sentence about further rehearsals: "one more rehearsal", "four more rehearsals" */
static void add_more_rehearsals(struct wr_str *out, size_t n)
{
    wr_str_addf(out, "%s more rehearsal%s", wr_count_words(n, WR_ROOM), n == 1 ? "" : "s");
}

size_t wr_n_needed_limit(const struct wr_runs_needed_result *result)
{
    return 1 + (result->limits ? result->needed->n_other : 0);
}

static struct wr_second second_of(const struct wr_runs_needed_result *result, size_t limit)
{
    return result->forecast ? result->forecast->limit[limit].second : (struct wr_second){0};
}

struct wr_needed_limit wr_needed_limit(const struct wr_runs_needed_result *result, size_t i)
{
    const struct wr_runs_needed *n = result->needed;
    bool named = wr_n_needed_limit(result) > 1 || (result->limits && result->limits->n_limit > 1);
    struct wr_needed_limit of;

    if (i == 0) {
        of = (struct wr_needed_limit){.name = named ? result->limits->limit[0].name : NULL,
                                      .minutes = result->limit_min,
                                      .confidence = n->confidence,
                                      .width = n->width,
                                      .over = &n->over,
                                      .second = second_of(result, 0),
                                      .row = n->row,
                                      .sessions = &n->sessions};
    } else {
        const struct wr_runs_needed_other *o = &n->other[i - 1];
        of = (struct wr_needed_limit){.name = result->limits->limit[o->limit].name,
                                      .minutes = result->limits->limit[o->limit].minutes,
                                      .confidence = o->confidence,
                                      .width = o->width,
                                      .over = &o->over,
                                      .second = second_of(result, o->limit),
                                      .row = o->row,
                                      .sessions = &o->sessions};
    }
    of.width_error = hypot(of.over->lo_mc_error, of.over->hi_mc_error);
    of.verdict = wr_verdict_from(of.over, &of.second, of.confidence, result->grounds);
    of.held = !wr_is_borne(&of.second, of.confidence, result->grounds);
    of.in_doubt = wr_is_in_doubt(result->grounds);
    return of;
}

bool wr_needed_is_open(const struct wr_runs_needed_result *result, const struct wr_needed_limit *of)
{
    return of->verdict == WR_VERDICT_CANNOT_TELL && !of->in_doubt &&
           wr_verdict_lacks(of->over, &of->second, of->confidence, result->grounds) != WR_LACKS_SECOND;
}

bool wr_open_limit(const struct wr_runs_needed_result *result, struct wr_needed_limit *of)
{
    for (size_t l = 0; l < wr_n_needed_limit(result); l++) {
        *of = wr_needed_limit(result, l);
        if (wr_needed_is_open(result, of)) return true;
    }
    return false;
}

bool wr_held_limit(const struct wr_runs_needed_result *result, struct wr_needed_limit *of)
{
    for (size_t l = 0; l < wr_n_needed_limit(result); l++) {
        *of = wr_needed_limit(result, l);
        if (of->held && of->verdict == WR_VERDICT_CANNOT_TELL) return true;
    }
    return false;
}

void wr_settled_by_words(enum wr_beside_kind kind, struct wr_str *out)
{
    switch (kind) {
    case WR_BESIDE_GAP_ALLOWED: wr_str_add(out, "shortly before the day"); break;
    case WR_BESIDE_JUDGED_SHORT: wr_str_add(out, "the tasks that rest on judgement"); break;
    case WR_BESIDE_TOGETHER: wr_str_add(out, "the tasks that rest on judgement, shortly before the day"); break;
    case WR_BESIDE_NOTHING_FORGOTTEN: break; /* untested: no worse answer */
    }
}

enum wr_narrowing wr_narrowing_of(const struct wr_needed_limit *of, const struct wr_runs_needed_row *row)
{
    double narrower = of->width - row->width.value, error = 2 * hypot(row->width.error, of->width_error);

    if (narrower >= error) return WR_NARROWS;
    if (-narrower >= error) return WR_WIDENS;
    return fabs(narrower) + error <= 0.1 * of->width ? WR_HARDLY_NARROWS : WR_NARROWING_OPEN;
}

bool wr_narrows(const struct wr_needed_limit *of, const struct wr_runs_needed_row *row)
{
    return wr_narrowing_of(of, row) == WR_NARROWS;
}

static bool has_little_to_narrow(const struct wr_needed_limit *of)
{
    return of->width < 0.01;
}

/* Not said where there is next to nothing to narrow, or where it may be chance. */
static bool is_told_narrower(const struct wr_needed_limit *of, const struct wr_runs_needed_row *row)
{
    enum wr_narrowing what = wr_narrowing_of(of, row);

    return !has_little_to_narrow(of) && (what == WR_NARROWS || what == WR_WIDENS);
}

static struct wr_estimated narrower_by(const struct wr_needed_limit *of, const struct wr_runs_needed_row *row)
{
    double left = row->width.value / of->width;

    return (struct wr_estimated){1 - left, hypot(row->width.error, left * of->width_error) / of->width};
}

void wr_narrower_words(const struct wr_needed_limit *of, const struct wr_runs_needed_row *row, struct wr_str *out)
{
    const struct wr_estimated by = narrower_by(of, row);

    wr_str_addf(out, "%s (\xc2\xb1 %s)", wr_percent(by.value, WR_ROOM), wr_percent(by.error, WR_ROOM));
}

static void add_narrowing(struct wr_str *out, const struct wr_needed_limit *of)
{
    WR_SCOPED_STR text = {0};

    if (has_little_to_narrow(of)) {
        wr_str_add(out, "The interval is less than 1 of 100 wide, so there is little to narrow");
        return;
    }
    add_more_rehearsals(&text, of->row->further);
    wr_add_capital(out, wr_str_text(&text));
    switch (wr_narrowing_of(of, of->row)) {
    case WR_NARROWS:
        wr_str_add(out, " would narrow the interval by about ");
        wr_narrower_words(of, of->row, out);
        break;
    case WR_WIDENS: wr_str_add(out, " would rather widen the interval, on average"); break;
    case WR_HARDLY_NARROWS: wr_str_add(out, " would hardly narrow the interval"); break;
    case WR_NARROWING_OPEN:
        wr_str_add(out, " would narrow the interval by no more than these simulations can tell");
        break;
    }
}

/* Which way an answer may become clear, as the verdict says it. */
enum side { SIDE_INSIDE, SIDE_NOT_INSIDE, N_SIDE };

static double clear_on(const struct wr_runs_needed_row *row, enum side side)
{
    return side == SIDE_INSIDE ? row->clear_inside.value : row->clear_outside.value;
}

static void add_side(struct wr_str *out, enum side side)
{
    wr_str_addf(out, "\xe2\x80\x9c%s\xe2\x80\x9d ",
                wr_verdict_words(side == SIDE_INSIDE ? WR_VERDICT_INSIDE : WR_VERDICT_NOT_INSIDE));
}

/* At least 1 of 100 at some number of rehearsals: what hardly happens is not spoken of. */
static bool may_become(const struct wr_runs_needed_row *row, size_t n_row, enum side side)
{
    for (size_t i = 0; i < n_row; i++)
        if (wr_count_of_100(clear_on(&row[i], side)) > 0) return true;
    return false;
}

void wr_clear_words(const struct wr_runs_needed_row *row, struct wr_str *out)
{
    size_t n = 0;

    for (enum side side = SIDE_INSIDE; side < N_SIDE; side++) {
        if (!may_become(row, 1, side)) continue;
        if (n) wr_str_add(out, ", ");
        add_side(out, side);
        wr_str_addf(out, "in %s%s", wr_of_100(clear_on(row, side), WR_ROOM), n++ ? "" : " of 100 cases");
    }
    if (n == 0) wr_str_add(out, "clear in fewer than 1 of 100 cases");
}

/* "“inside” after one in 38 of 100 cases, after four in 60"; what cannot be for want of complete rehearsals is no small
 * chance. */
static void add_chance_on(struct wr_str *out, enum side side, const struct wr_runs_needed_row *first,
                          const struct wr_runs_needed_row *most)
{
    bool never = side == SIDE_INSIDE && first->never_inside;

    add_side(out, side);
    if (never)
        wr_str_addf(out, "not after %s, with fewer than %s complete rehearsals then, but",
                    wr_count_words(first->further, WR_ROOM), wr_count_words(WR_FEWEST_COMPLETE, WR_ROOM));
    else
        wr_str_addf(out, "after %s in %s of 100 cases", wr_count_words(first->further, WR_ROOM),
                    wr_of_100(clear_on(first, side), WR_ROOM));
    if (most == first) return;
    wr_str_addf(out, "%s after %s in %s%s", never ? "" : ",", wr_count_words(most->further, WR_ROOM),
                wr_of_100(clear_on(most, side), WR_ROOM), never ? " of 100 cases" : "");
}

static void add_chance_of_answer(struct wr_str *out, const struct wr_needed_limit *of, size_t n_row)
{
    const struct wr_runs_needed_row *first = of->row, *most = &of->row[n_row - 1];
    size_t n = 0;

    if (of->in_doubt || (of->held && !may_become(of->row, n_row, SIDE_NOT_INSIDE))) {
        wr_str_add(out, ". ");
        return;
    }
    wr_str_addf(out, "; the answer%s %s ", of->name ? " on this limit" : "",
                of->verdict == WR_VERDICT_CANNOT_TELL ? "would be" : "is clear now, and would be");
    for (enum side side = of->held ? SIDE_NOT_INSIDE : SIDE_INSIDE; side < N_SIDE; side++) {
        if (!may_become(of->row, n_row, side)) continue;
        if (n++) wr_str_add(out, "; ");
        add_chance_on(out, side, first, most);
    }
    if (n == 0)
        wr_str_addf(out, "clear in fewer than 1 of 100 cases, even after %s", wr_count_words(most->further, WR_ROOM));
    wr_str_add(out, ". ");
}

static void add_held(struct wr_str *out, const struct wr_needed_limit *of)
{
    if (!of->held) return;
    wr_str_add(out, "How often it would be \xe2\x80\x9cinside\xe2\x80\x9d is not said: the second answer stands in "
                    "the way, and the rehearsals simulated here do not settle it. What helps is to rehearse ");
    wr_settled_by_words(of->second.kind, out);
    wr_str_add(out, ". ");
}

void wr_needed_limit_sentence(const struct wr_runs_needed_result *result, size_t limit, struct wr_str *out)
{
    const struct wr_needed_limit of = wr_needed_limit(result, limit);

    size_t known_as = limit == 0 ? 0 : result->needed->other[limit - 1].limit;
    bool is_clock = result->limits && known_as < result->limits->n_limit && result->limits->limit[known_as].is_clock;

    wr_str_addf(out, "Now %s of 100 %s %s the %s limit", wr_chance(of.over, WR_ROOM),
                is_clock ? "days" : "finishes", wr_go_over(of.over->mean), wr_moment(of.minutes, WR_ROOM));
    if (of.name) wr_str_addf(out, " \xe2\x80\x9c%s\xe2\x80\x9d", of.name);
    wr_str_add(out, " (90 % interval ");
    wr_interval_cell(of.over, wr_known(of.confidence), out);
    wr_str_addf(out, "; wanted: at most %s): %s", wr_allowed_of_100(of.confidence, WR_ROOM),
                wr_verdict_said(of.verdict, result->grounds));
    wr_lack_words(", for ", wr_verdict_lacks(of.over, &of.second, of.confidence, result->grounds), result->grounds,
                  result->complete_by, &of.second, of.confidence, out);
    wr_str_add(out, ". ");
    add_narrowing(out, &of);
    add_chance_of_answer(out, &of, result->needed->n_row);
    add_held(out, &of);
}

/* "Of the other limits: EV2 breathing supply, inside; bay A, not enough rehearsals to tell." */
static void add_others(struct wr_str *out, const struct wr_runs_needed_result *result)
{
    size_t n = wr_n_needed_limit(result);

    for (size_t l = 1; l < n; l++) {
        const struct wr_needed_limit of = wr_needed_limit(result, l);
        wr_str_add(out, l > 1 ? "; " : n > 2 ? "The other limits now: " : "The other limit now: ");
        wr_str_addf(out, "\xe2\x80\x9c%s\xe2\x80\x9d, %s", of.name, wr_verdict_said(of.verdict, result->grounds));
    }
    if (n > 1) wr_str_add(out, ". ");
}

/* What rehearsals are for, as far as the numbers bear it out. */
static void add_what_for(struct wr_str *out, const struct wr_runs_needed_result *result)
{
    bool narrows = true, widens = false;

    if (wr_is_in_doubt(result->grounds)) {
        wr_str_add(out, "How often an answer would become clear is not said: none does while the doubt stands.");
        return;
    }
    for (size_t l = 0; l < wr_n_needed_limit(result); l++) {
        const struct wr_needed_limit of = wr_needed_limit(result, l);
        const struct wr_runs_needed_row *most = &of.row[result->needed->n_row - 1];
        narrows &= wr_narrows(&of, most);
        widens |= wr_narrowing_of(&of, most) == WR_WIDENS;
    }
    const bool alone = !narrows && !widens;
    if (narrows) wr_str_add(out, "Rehearsals make the answer surer, not better");
    else if (widens)
        wr_str_add(out, "Rehearsals may show more difference between days than is known now, so the answer need not "
                        "get surer");
    if (result->no_learning) {
        wr_str_add(out, alone ? "What the crew learns was left out." : "; what the crew learns was left out.");
        return;
    }
    wr_str_add(out, narrows ? ": only " : widens ? "; and only " : "Only ");
    wr_str_add(out, "what the crew learns can be expected to change the probability itself.");
}

/* Before what further rehearsals of the same would bring: what keeps a limit open that they do not settle. */
static void add_settle_first(struct wr_str *out, const struct wr_runs_needed_result *result)
{
    struct wr_needed_limit of;

    if (!wr_held_limit(result, &of) || of.over == &result->needed->over) return; /* of the first it is said with it */
    wr_str_add(out, "The first thing is to rehearse ");
    wr_settled_by_words(of.second.kind, out);
    wr_str_addf(out, ": until then the second answer stands in the way of \xe2\x80\x9cinside\xe2\x80\x9d for "
                     "\xe2\x80\x9c%s\xe2\x80\x9d, whatever other rehearsals show. ", of.name);
}

const char wr_carry_over_stays[] =
    "All of this is about the next rehearsal: how pool times carry over to the excursion, no rehearsal narrows.";

void wr_runs_needed_sentence(const struct wr_runs_needed_result *result, struct wr_str *out)
{
    add_settle_first(out, result);
    wr_needed_limit_sentence(result, 0, out);
    add_others(out, result);
    if (result->history_unused) wr_str_addf(out, "%s ", wr_carry_over_stays);
    if (result->needed->carry_over)
        wr_str_add(out, "Part of the doubt is how pool times carry over to the excursion, which no rehearsal "
                        "narrows. ");
    add_what_for(out, result);
}

/* The first open limit that a session on one task may tell of: one that is open for want of complete rehearsals alone
 * takes these. */
static bool session_limit(const struct wr_runs_needed_result *result, struct wr_needed_limit *of)
{
    for (size_t l = 0; l < wr_n_needed_limit(result); l++) {
        *of = wr_needed_limit(result, l);
        if (wr_needed_is_open(result, of) &&
            wr_verdict_lacks(of->over, &of->second, of->confidence, result->grounds) != WR_LACKS_COMPLETE)
            return true;
    }
    return false;
}

size_t wr_n_session(const struct wr_runs_needed_result *result)
{
    struct wr_needed_limit of;

    return session_limit(result, &of) ? of.sessions->n : 0;
}

static size_t n_as_good_as_first(const struct wr_sessions *sessions)
{
    size_t n = 0;

    for (size_t i = 1; i < sessions->n; i++) n += wr_session_may_be_first(sessions, i);
    return n;
}

/* One task holds much of the doubt only if its session is told from the rehearsal and from the sessions of others. */
static const char *beside_rehearsal(const struct wr_estimated *session, const struct wr_estimated *rehearsal,
                                    size_t n_as_good)
{
    if (wr_estimated_is_more(rehearsal, session))
        return "Day for day in the pool, one task rarely pays: the doubt is spread over many tasks and over what they "
               "share.";
    if (!wr_estimated_is_more(session, rehearsal))
        return "Which of the two removes more these simulations do not tell.";
    return n_as_good == 0 ? "Here one task holds much of the doubt, which is rare."
                          : "That is more, and not of this task alone.";
}

static void add_as_good(const struct wr_runs_needed_result *result, const struct wr_sessions *sessions,
                        struct wr_str *out)
{
    const size_t n_as_good = n_as_good_as_first(sessions);

    size_t at = 1;

    while (n_as_good == 1 && !wr_session_may_be_first(sessions, at)) at++;
    if (n_as_good == 1)
        wr_str_addf(out, " %s in the table, \xe2\x80\x9c%s\xe2\x80\x9d, may remove as much.",
                    at == 1 ? "The next" : "Another", result->plan->task[sessions->row[at].task].title);
    else if (n_as_good > 1) {
        wr_str_add_char(out, ' ');
        wr_add_capital(out, wr_count_words(n_as_good, WR_ROOM));
        wr_str_add(out, " other tasks may remove as much.");
    }
}

void wr_session_sentence(const struct wr_runs_needed_result *result, struct wr_str *out)
{
    struct wr_needed_limit of;

    if (wr_n_session(result) == 0 || !session_limit(result, &of)) return;
    const struct wr_session_row *s = &of.sessions->row[0];
    const struct wr_runs_needed_row *one = &of.row[0];
    if (s->removed.value < 2 * s->removed.error) {
        wr_str_add(out, "No single task stands out: a part-task session on one of them would remove next to nothing of "
                        "what is not known about the probability.");
        return;
    }
    wr_str_addf(out,
                "A part-task session (one task %s times on one day) is most worth while for "
                "\xe2\x80\x9c%s\xe2\x80\x9d: it would remove about %s (\xc2\xb1 %s) of what is not known about the "
                "probability",
                wr_count_words(WR_SESSION_REPEATS, WR_ROOM), result->plan->task[s->task].title,
                wr_percent(fmax(s->removed.value, 0), WR_ROOM), wr_percent(s->removed.error, WR_ROOM));
    if (of.name) wr_str_addf(out, " to go over \xe2\x80\x9c%s\xe2\x80\x9d", of.name);
    wr_str_add(out, ", ");
    WR_SCOPED_STR rehearsals = {0};
    add_more_rehearsals(&rehearsals, one->further);
    wr_str_addf(out, "%s %s (by variance, which the width of an interval need not follow). ", wr_str_text(&rehearsals),
                wr_percent(fmax(one->removed.value, 0), WR_ROOM));
    wr_str_add(out, beside_rehearsal(&s->removed, &one->removed, n_as_good_as_first(of.sessions)));
    add_as_good(result, of.sessions, out);
}

static bool is_held(const struct wr_runs_needed_result *result)
{
    bool held = false;

    for (size_t l = 0; l < wr_n_needed_limit(result); l++) held = held || wr_needed_limit(result, l).held;
    return held;
}

const char *wr_runs_needed_definition(const struct wr_runs_needed_result *result, size_t i)
{
    const struct wr_runs_needed *n = result->needed;
    const struct { bool applies; const char *text; } all[] = {
        {!result->no_learning,
         "One run is spoken of throughout, now and later: the one that `forecast` is about now, with the learning "
         "credited to it now. A run further on would be credited more learning, and is not compared here."},
        {result->no_learning, "One run is spoken of throughout, now and later: the one that `forecast` is about now. "
                              "Learning was left out."},
        {true, "Clear inside: the whole 90 % interval is within what is wanted, with at least four complete "
               "rehearsals; clear outside: the whole of it is beyond. The interval's ends and width are averages over "
               "what the model expects the further rehearsals to show."},
        {wr_is_in_doubt(result->grounds),
         "Dashes below clear inside and clear outside: a doubt keeps every answer open, whatever further rehearsals "
         "show."},
        {is_held(result), "A dash below clear inside: a second answer stands in the way, on another assumption, and "
                          "the further rehearsals are drawn under the first."},
        {!result->no_learning,
         "Further rehearsals are taken as complete, with learning, and with the people of a rehearsed line-up; stops "
         "and skips are not simulated, so real ones may tell a little less."},
        {result->no_learning,
         "Further rehearsals are taken as complete, and with the people of a rehearsed line-up; stops and skips are "
         "not simulated, so real ones may tell a little less."},
        {true, "A dash below narrower by: no more than the simulations' own error, twice taken."},
        {n->drops, "Work that the plan may drop is rehearsed all the same, and dropped in the run that is spoken of."},
        {n->n_judged > 0, "Some tasks rest on judgement. A rehearsal would put times in its place; that gain is not "
                          "counted here."},
        {wr_n_session(result) > 0,
         "Removed: share of the variance of what is not known about the probability (on its normal scores) that the "
         "times of that day would explain, less what chance alone seems to explain. The day's pace, which a session of "
         "any task tells, is in it. A task that waits for others on "
         "more than 95 of 100 days is left out: its time does not move what the limit is about."},
        {true, "\xc2\xb1 is one standard error, from the finite number of simulations."},
    };
    size_t at = 0;

    for (size_t j = 0; j < sizeof all / sizeof *all; j++)
        if (all[j].applies && at++ == i) return all[j].text;
    return NULL;
}

/* ---- grids ---- */

static void add_error(struct wr_str *out, double error)
{
    double shown = 100 * error;

    wr_str_addf(out, " \xc2\xb1 %.*f", shown < 0.95 ? 1 : 0, shown < 0.05 ? 0.1 : shown);
}

static void width_cell(struct wr_grid *grid, const struct wr_estimated *width, bool has_error)
{
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "%.1f", 100 * width->value);
    if (has_error) add_error(&text, width->error);
    wr_grid_text(grid, wr_str_text(&text));
    wr_grid_sorts_by(grid, width->value);
}

static void narrower_cell(struct wr_grid *grid, const struct wr_needed_limit *of, const struct wr_runs_needed_row *row)
{
    const struct wr_estimated by = narrower_by(of, row);

    if (!is_told_narrower(of, row)) {
        wr_grid_absent(grid);
        return;
    }
    wr_grid_textf(grid, "%s \xc2\xb1 %s", wr_percent(by.value, WR_ROOM), wr_percent(by.error, WR_ROOM));
    wr_grid_sorts_by(grid, by.value);
}

static void chance_cell(struct wr_grid *grid, const struct wr_estimated *e)
{
    WR_SCOPED_STR text = {0};

    wr_str_add(&text, wr_of_100_cell(e->value, WR_ROOM));
    add_error(&text, e->error);
    wr_grid_text(grid, wr_str_text(&text));
    wr_grid_sorts_by(grid, e->value);
}

static void interval_cell(struct wr_grid *grid, double lo, double hi, struct wr_maybe confidence)
{
    WR_SCOPED_STR text = {0};
    const struct wr_probability ends = {.lo = lo, .hi = hi};

    wr_interval_cell(&ends, confidence, &text);
    wr_grid_text(grid, wr_str_text(&text));
    wr_grid_sorts_by(grid, lo);
}

static void estimated(struct wr_grid *grid, const struct wr_estimated *e)
{
    WR_GRID_NUMBERS(grid, e->value, e->error);
}

static void estimated_unless(struct wr_grid *grid, bool not_said, const struct wr_estimated *e)
{
    if (not_said) WR_GRID_MAYBES(grid, WR_UNKNOWN, WR_UNKNOWN);
    else estimated(grid, e);
}

static void certainly(struct wr_grid *grid, bool is_so)
{
    WR_GRID_NUMBERS(grid, is_so, 0);
}

static const struct wr_column needed_column[] = {
    {"limit", "", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"further_runs", "", WR_UNIT_COUNT, WR_MACHINE, 0},
    {"when", "further\nrehearsals", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"average_interval", "90 %\ninterval,\non average", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"width_text", "its width,\nof 100", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"narrower_text", "narrower\nby", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"clear_inside_text", "clear\ninside,\nof 100", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"clear_outside_text", "clear\noutside,\nof 100", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"narrower_by", "", WR_UNIT_SHARE, WR_MACHINE, 0},
    {"narrower_by_error", "", WR_UNIT_SHARE, WR_MACHINE, 0},
    {"width", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"width_error", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"interval_lo", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"interval_lo_error", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"interval_hi", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"interval_hi_error", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"probability_over", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"probability_over_error", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"clear_inside", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"clear_inside_error", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"clear_outside", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"clear_outside_error", "", WR_UNIT_OF_100, WR_MACHINE, 0},
    {"variance_removed", "", WR_UNIT_SHARE, WR_MACHINE, 0},
    {"variance_removed_error", "", WR_UNIT_SHARE, WR_MACHINE, 0},
};

static void now_row(struct wr_grid *grid, const struct wr_needed_limit *of, const char *name)
{
    const struct wr_estimated width = {of->width, of->width_error}, lo = {of->over->lo, of->over->lo_mc_error},
                              hi = {of->over->hi, of->over->hi_mc_error};
    const struct wr_estimated over = {of->over->mean, of->over->mc_error}, none = {0, 0};

    wr_grid_text(grid, name);
    wr_grid_number(grid, 0);
    wr_grid_text(grid, "none (now)");
    interval_cell(grid, of->over->lo, of->over->hi, wr_known(of->confidence));
    width_cell(grid, &width, width.error > 0);
    wr_grid_absent(grid);
    wr_grid_text(grid, of->verdict == WR_VERDICT_INSIDE ? "it is" : "no");
    wr_grid_text(grid, of->verdict == WR_VERDICT_NOT_INSIDE ? "it is" : "no");
    WR_GRID_MAYBES(grid, WR_UNKNOWN, WR_UNKNOWN);
    estimated(grid, &width);
    estimated(grid, &lo);
    estimated(grid, &hi);
    estimated(grid, &over);
    certainly(grid, of->verdict == WR_VERDICT_INSIDE);
    certainly(grid, of->verdict == WR_VERDICT_NOT_INSIDE);
    estimated(grid, &none);
}

static void further_row(struct wr_grid *grid, const struct wr_needed_limit *of, const char *name,
                        const struct wr_runs_needed_row *row)
{
    const struct wr_estimated by = narrower_by(of, row);

    wr_grid_text(grid, name);
    wr_grid_number(grid, (double)row->further);
    wr_grid_textf(grid, "%zu", row->further);
    interval_cell(grid, row->lo.value, row->hi.value, WR_UNKNOWN);
    width_cell(grid, &row->width, true);
    narrower_cell(grid, of, row);
    if (of->held || of->in_doubt) wr_grid_absent(grid);
    else if (row->never_inside) wr_grid_text(grid, "no");
    else chance_cell(grid, &row->clear_inside);
    if (of->in_doubt) wr_grid_absent(grid);
    else chance_cell(grid, &row->clear_outside);
    if (is_told_narrower(of, row)) estimated(grid, &by);
    else WR_GRID_MAYBES(grid, WR_UNKNOWN, WR_UNKNOWN);
    estimated(grid, &row->width);
    estimated(grid, &row->lo);
    estimated(grid, &row->hi);
    estimated(grid, &row->over);
    estimated_unless(grid, of->held || of->in_doubt, &row->clear_inside);
    estimated_unless(grid, of->in_doubt, &row->clear_outside);
    estimated(grid, &row->removed);
}

static void add_rows(const struct wr_runs_needed_result *result, size_t limit, struct wr_grid *grid)
{
    const struct wr_needed_limit of = wr_needed_limit(result, limit);
    const char *name = of.name ? of.name : result->limits ? result->limits->limit[0].name : "";

    now_row(grid, &of, name);
    for (size_t i = 0; i < result->needed->n_row; i++) further_row(grid, &of, name, &of.row[i]);
}

void wr_grid_of_runs_needed(const struct wr_runs_needed_result *result, size_t limit, struct wr_grid *grid)
{
    wr_grid_init(grid, needed_column, sizeof needed_column / sizeof *needed_column);
    add_rows(result, limit, grid);
}

static void grid_of_all(const struct wr_runs_needed_result *result, struct wr_grid *grid)
{
    wr_grid_init(grid, needed_column, sizeof needed_column / sizeof *needed_column);
    for (size_t l = 0; l < wr_n_needed_limit(result); l++) add_rows(result, l, grid);
}

void wr_needed_caption(const struct wr_runs_needed_result *result, size_t limit, struct wr_str *out)
{
    const struct wr_needed_limit of = wr_needed_limit(result, limit);

    wr_str_add(out, "Now, and after further rehearsals");
    if (of.name) wr_str_addf(out, ": %s, %s", of.name, wr_moment(of.minutes, WR_ROOM));
}

void wr_grid_of_sessions(const struct wr_runs_needed_result *result, size_t most, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"title", "four times on one day", WR_UNIT_TEXT, WR_EVERYBODY, 16},
        {"time_min", "takes", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"variance_removed", "removed", WR_UNIT_SHARE, WR_EVERYBODY, 0},
        {"variance_removed_error", "\xc2\xb1", WR_UNIT_SHARE, WR_EVERYBODY, 0},
    };
    struct wr_needed_limit of;

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    if (!session_limit(result, &of)) return;
    for (size_t i = 0; i < of.sessions->n && i < most; i++) {
        const struct wr_session_row *s = &of.sessions->row[i];
        WR_GRID_TEXTS(grid, result->plan->task[s->task].id, result->plan->task[s->task].title);
        wr_grid_number(grid, s->time_min);
        estimated(grid, &s->removed);
    }
}

/* ---- renderings ---- */

static void add_grid(const struct wr_present_context *ctx, struct wr_grid *grid, struct wr_str *out)
{
    wr_str_add_char(out, '\n');
    wr_grid_add_terminal(grid, wr_context_columns(ctx), out);
    wr_grid_release(grid);
    wr_str_add_char(out, '\n');
}

static void add_how(const struct wr_present_context *ctx, const struct wr_runs_needed *n, struct wr_str *text)
{
    wr_str_addf(text, "%zu simulated futures for each number of rehearsals, fitted again in %zu sweeps, and %zu "
                "that a regression answers for", n->n_refit, n->n_sweep, n->n_future);
    if (ctx->has_seed) wr_str_addf(text, "; seed %llu", (unsigned long long)ctx->seed);
    wr_str_add_char(text, '.');
}

static void needed_table(const struct wr_present_context *ctx, const struct wr_runs_needed_result *result,
                         struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_runs_needed_sentence(result, &text);
    wr_prose_say(out, &text);
    wr_context_headline(ctx, "worth of further rehearsals for the forecast", &text);
    wr_str_add_char(&text, '.');
    wr_prose_say(out, &text);
    for (size_t l = 0; l < wr_n_needed_limit(result); l++) {
        if (wr_needed_limit(result, l).name) {
            wr_str_clear(&text);
            wr_needed_caption(result, l, &text);
            wr_str_add_char(&text, '.');
            if (l == 0) wr_str_add_char(out, '\n');
            if (l > 0) {
                wr_str_add_char(&text, ' ');
                wr_needed_limit_sentence(result, l, &text);
            }
            wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
        }
        wr_grid_of_runs_needed(result, l, &grid);
        add_grid(ctx, &grid, out);
    }
    wr_str_clear(&text);
    if (wr_n_session(result) > 0) {
        wr_session_sentence(result, &text);
        wr_prose_say(out, &text);
        wr_grid_of_sessions(result, WR_SESSIONS_SHOWN, &grid);
        add_grid(ctx, &grid, out);
    }
    for (size_t i = 0; wr_runs_needed_definition(result, i); i++)
        wr_prose_add(out, wr_runs_needed_definition(result, i), 0, WR_TERMINAL_COLUMNS);
    add_how(ctx, result->needed, &text);
    wr_prose_say(out, &text);
}

static void limit_json(struct wr_json *j, json_t *at, const struct wr_needed_limit *of)
{
    wr_json_text(j, at, "verdict", wr_verdict_words(of->verdict));
    wr_json_number(j, at, "limit_min", of->minutes);
    wr_json_number(j, at, "confidence", of->confidence);
    json_t *over = wr_json_object(j, at, "overrun");
    wr_json_number(j, over, "probability", of->over->mean);
    wr_json_pair(j, over, "interval", of->over->lo, of->over->hi);
    wr_json_number(j, over, "interval_level", INTERVAL_LEVEL);
    wr_json_number(j, over, "mc_error", of->over->mc_error);
}

static void others_json(struct wr_json *j, const struct wr_runs_needed_result *result)
{
    json_t *others = wr_json_array(j, j->root, "other_limits");

    for (size_t l = 1; l < wr_n_needed_limit(result); l++) {
        const struct wr_needed_limit of = wr_needed_limit(result, l);
        WR_SCOPED_GRID grid = {0};
        json_t *row = wr_json_row(j, others);
        WR_SCOPED_STR sentence = {0};
        wr_needed_limit_sentence(result, l, &sentence);
        wr_json_text(j, row, "limit", of.name);
        wr_json_text(j, row, "answer", wr_str_text(&sentence));
        limit_json(j, row, &of);
        wr_grid_of_runs_needed(result, l, &grid);
        wr_json_take_grid(j, row, "further", &grid);
    }
}

static enum wr_status needed_json(const struct wr_present_context *ctx, const struct wr_runs_needed_result *result,
                                  const struct wr_grid *sessions, struct wr_str *out, struct wr_error *err)
{
    const struct wr_runs_needed *n = result->needed;
    const struct wr_needed_limit first = wr_needed_limit(result, 0);
    WR_SCOPED_STR sentence = {0};
    struct wr_grid rows;
    struct wr_json j;

    wr_json_begin(&j, ctx);
    wr_context_add_doubtful(ctx, &sentence);
    wr_runs_needed_sentence(result, &sentence);
    wr_json_text(&j, j.root, "answer", wr_str_text(&sentence));
    wr_str_clear(&sentence);
    limit_json(&j, j.root, &first);
    wr_json_number(&j, j.root, "last_run_order", n->last_order);
    wr_json_number(&j, j.root, "target_run_order", n->target_order);
    wr_grid_of_runs_needed(result, 0, &rows);
    wr_json_take_grid(&j, j.root, "further", &rows);
    others_json(&j, result);
    wr_json_count(&j, j.root, "session_repeats", WR_SESSION_REPEATS);
    wr_json_number(&j, j.root, "rehearsal_min", n->day_min);
    wr_session_sentence(result, &sentence);
    wr_json_text(&j, j.root, "sessions_answer", sentence.len > 0 ? wr_str_text(&sentence) : NULL);
    struct wr_needed_limit open;
    bool is_open = session_limit(result, &open) && result->limits;
    wr_json_text(&j, j.root, "sessions_limit",
                 is_open ? open.name ? open.name : result->limits->limit[0].name : NULL);
    wr_json_grid(&j, j.root, "sessions", sessions);
    wr_json_count(&j, j.root, "futures", n->n_future);
    wr_json_count(&j, j.root, "futures_fitted_again", n->n_refit);
    wr_json_count(&j, j.root, "draws", n->n_draw);
    wr_json_count(&j, j.root, "sweeps", n->n_sweep);
    json_t *meanings = wr_json_array(&j, j.root, "definitions");
    for (size_t i = 0; wr_runs_needed_definition(result, i); i++)
        wr_json_push_text(&j, meanings, wr_runs_needed_definition(result, i));
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_runs_needed(enum wr_format format, const struct wr_present_context *ctx,
                                   const struct wr_runs_needed_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID rows = {0}, sessions = {0};

    WR_BUG_IF(result->needed->n_row == 0);
    grid_of_all(result, &rows);
    wr_grid_of_sessions(result, SIZE_MAX, &sessions);
    enum wr_status status = wr_grid_check(&rows, err);
    if (status == WR_OK) status = wr_grid_check(&sessions, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: needed_table(ctx, result, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&rows, out); break;
    case WR_FORMAT_JSON: return needed_json(ctx, result, &sessions, out, err);
    }
    return WR_OK;
}
