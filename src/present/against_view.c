#include "wetrun/present/against_view.h"

#include <math.h>
#include <string.h>
#include "json.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/ready_view.h"
#include "wetrun/present/words.h"

static const char *const part_key[WR_N_AGAINST_PART] = {
    [WR_PART_LIMIT] = "limit", [WR_PART_PLAN] = "plan", [WR_PART_REHEARSALS] = "rehearsals"};

/* ---- sentences ---- */

static void add_runs(const struct wr_against *a, struct wr_str *out)
{
    wr_str_addf(out, "Against %s, %s rehearsal%s then and %s now: ", a->before_name,
                wr_count_words(a->n_run_before, WR_ROOM), a->n_run_before == 1 ? "" : "s",
                wr_count_words(a->n_run_after, WR_ROOM));
}

static const char no_more_than_noise[] = " (no more than the noise of the simulation)";

/* Each number is judged by itself: beside a probability that has not moved the median may have. */
static void add_worth_of_over(const struct wr_change *over, bool within, double lo, double hi, struct wr_str *out)
{
    if (wr_change_of(over) == 0) return;
    if (wr_change_is_noise(over)) wr_str_add(out, no_more_than_noise);
    else
        wr_str_addf(out,
                    within ? " (what was said then, %s to %s of 100, allowed for it)"
                           : " (outside of what was said then, %s to %s of 100)",
                    wr_of_100_cell(lo, WR_ROOM), wr_of_100_cell(hi, WR_ROOM));
}

static void add_over_of(const struct wr_against_limit *l, struct wr_str *out)
{
    WR_SCOPED_STR name = {0};

    if (l->name) wr_str_addf(&name, "\xe2\x80\x9c%s\xe2\x80\x9d", l->name);
    wr_str_add_char(out, ' ');
    wr_add_capital(out, wr_of_100(l->over.after, WR_ROOM));
    wr_str_addf(out, " of 100 %s %s, %s then", wr_go_over(l->over.after),
                l->name ? wr_str_text(&name) : "at least one limit", wr_of_100(l->over.before, WR_ROOM));
    add_worth_of_over(&l->over, l->within_what_was_said, l->said_lo, l->said_hi, out);
    wr_str_add_char(out, '.');
}

/* Of the limits behind the first: whose risk has risen most by more than noise (way 1), or fallen most (-1). */
static const struct wr_against_limit *changed_most(const struct wr_against *a, double way)
{
    const struct wr_against_limit *most = NULL;

    for (size_t i = 1; i < a->n_limit; i++) {
        const struct wr_against_limit *l = &a->limit[i];
        double by = way * wr_change_of(&l->over);
        if (l->over.known && by > 0 && !wr_change_is_noise(&l->over) && (!most || by > way * wr_change_of(&most->over)))
            most = l;
    }
    return most;
}

/* What the limits themselves are, where that is not what it was. */
static void add_limits_edited(const struct wr_against *a, struct wr_str *out)
{
    for (size_t i = 0; i < a->n_limit; i++) {
        const struct wr_against_limit *l = &a->limit[i];
        if (l->minutes.known && wr_change_of(&l->minutes) != 0)
            wr_str_addf(out, " \xe2\x80\x9c%s\xe2\x80\x9d is %s now, %s then.", l->name,
                        wr_moment(l->minutes.after, WR_ROOM), wr_moment(l->minutes.before, WR_ROOM));
        if (l->confidence.known && wr_change_of(&l->confidence) != 0)
            wr_str_addf(out, " \xe2\x80\x9c%s\xe2\x80\x9d is wanted with %s confidence now, with %s then.", l->name,
                        wr_percent(l->confidence.after, WR_ROOM), wr_percent(l->confidence.before, WR_ROOM));
    }
}

/* The first limit's number must not stand for the others, nor for all of them together. */
static void add_other_limits(const struct wr_against *a, struct wr_str *out)
{
    const struct wr_against_limit *up = changed_most(a, 1), *down = changed_most(a, -1);

    add_limits_edited(a, out);
    if (up) add_over_of(up, out);
    if (down) add_over_of(down, out);
    if (a->any.over.known && wr_change_of(&a->any.over) != 0) add_over_of(&a->any, out);
}

static void add_worth_of_half(const struct wr_against *a, struct wr_str *out)
{
    if (wr_moment_gap_min(a->half_min.before, a->half_min.after) == 0) return;
    wr_str_add(out, wr_change_is_noise(&a->half_min) ? no_more_than_noise : " (more than the noise of the simulation)");
}

static bool part_is_noise(const struct wr_against_share *p)
{
    return fabs(p->change) <= 2 * p->error;
}

static bool is_shown_as_none(double change)
{
    return floor(1000 * fabs(change) + 0.5) == 0; /* as wr_change shows hundredths */
}

/* There is a change to take apart, or parts of one that outweigh each other. */
static bool has_parts(const struct wr_against *a)
{
    bool any = !is_shown_as_none(wr_change_of(&a->over));

    for (int i = 0; i < WR_N_AGAINST_PART; i++)
        any |= a->part[i].known && !part_is_noise(&a->part[i]) && !is_shown_as_none(a->part[i].change);
    return any;
}

static const char *part_words(const struct wr_against *a, enum wr_against_part part)
{
    switch (part) {
    case WR_PART_LIMIT: return "the limit";
    case WR_PART_PLAN: return "the plan";
    case WR_PART_REHEARSALS:
    case WR_N_AGAINST_PART: break;
    }
    if (!a->same_runs) return "what the rehearsals tell";
    return a->same_plan ? "what else was read" : "times measured anew against the new plan";
}

/* Counts of 100 beside the parts would not add up to them: the change is said with the decimals of its parts. */
static void add_parts(const struct wr_against *a, struct wr_str *out)
{
    bool any = false;

    for (int i = 0; i < WR_N_AGAINST_PART && has_parts(a); i++) {
        const struct wr_against_share *p = &a->part[i];
        if (!p->known || (p->change == 0 && p->error == 0)) continue;
        if (!any)
            wr_str_addf(out, " Of the %schange from %s to %s of 100: ", a->n_limit > 1 ? "first limit's " : "",
                        wr_change(100 * a->over.before, WR_ROOM), wr_change(100 * a->over.after, WR_ROOM));
        wr_str_addf(out, "%s%s %s%s%s", any ? ", " : "", part_words(a, (enum wr_against_part)i),
                    p->change > 0 ? "+" : "", wr_change(100 * p->change, WR_ROOM), part_is_noise(p) ? " (noise)" : "");
        any = true;
    }
    if (any) wr_str_add_char(out, '.');
    if (a->part[WR_PART_PLAN].known) return;
    wr_str_add(out, a->same_runs ? " Plan and measured times" : " Plan and rehearsals");
    wr_str_add(out, " cannot be told apart: the plan has work that was not in it then.");
}

static bool start_is_as_it_was(const struct wr_against_start *s)
{
    return s->in_before == s->in_after && s->before == s->after && wr_change_of(&s->latest_min) == 0;
}

static bool limit_is_as_it_was(const struct wr_against_limit *l)
{
    return l->in_before && l->in_after && wr_change_of(&l->minutes) == 0 && wr_change_of(&l->confidence) == 0 &&
           !l->confidence.only_before && !l->confidence.only_after && wr_change_of(&l->over) == 0;
}

/* Limits, tasks, times to begin by and criteria: whoever reads that nothing has changed reads no further. */
static bool all_is_as_it_was(const struct wr_against *a)
{
    bool same = wr_change_of(&a->over) == 0 && wr_change_of(&a->half_min) == 0 && wr_change_of(&a->any.over) == 0;

    for (size_t i = 0; i < a->n_limit; i++) same &= limit_is_as_it_was(&a->limit[i]);
    for (size_t i = 0; i < a->n_task; i++) {
        const struct wr_against_task *t = &a->task[i];
        same &= t->in_before && t->in_after && !t->edited && wr_change_of(&t->median_min) == 0 &&
                t->done_before == t->done_after && start_is_as_it_was(&t->start);
    }
    for (size_t c = 0; c < a->n_clock; c++)
        for (size_t i = 0; i < a->clock[c].n_start; i++) same &= start_is_as_it_was(&a->clock[c].start[i]);
    for (size_t i = 0; i < a->n_criterion; i++) same &= a->criterion[i].before == a->criterion[i].after;
    return same;
}

void wr_against_sentences(const struct wr_against *a, struct wr_str *out)
{
    add_runs(a, out);
    if (a->over.known) {
        wr_str_addf(out, "%s of 100 %s the ", wr_of_100(a->over.after, WR_ROOM), wr_go_over(a->over.after));
        if (a->n_limit > 1) wr_str_addf(out, "first limit, \xe2\x80\x9c%s\xe2\x80\x9d", a->limit[0].name);
        else wr_str_add(out, "limit");
        wr_str_addf(out, ", %s then", wr_of_100(a->over.before, WR_ROOM));
        add_worth_of_over(&a->over, a->within_what_was_said, a->said_lo, a->said_hi, out);
        wr_str_add(out, "; ");
    }
    wr_str_addf(out, "all done by %s as likely as not, %s then", wr_moment(a->half_min.after, WR_ROOM),
                wr_moment(a->half_min.before, WR_ROOM));
    add_worth_of_half(a, out);
    wr_str_add_char(out, '.');
    if (!a->over.known) return;
    bool as_it_was = all_is_as_it_was(a);
    if (as_it_was) wr_str_add(out, " Nothing has changed.");
    else if (wr_change_of(&a->over) == 0 && wr_change_of(&a->half_min) == 0)
        wr_str_add(out, " These two are as they were, other things are not.");
    if (as_it_was) return;
    add_other_limits(a, out);
    add_parts(a, out);
}

/* ---- tables ---- */

static const char *worth_words(const struct wr_change *c, bool within)
{
    if (!c->known) return "";
    if (wr_change_of(c) == 0) return "the same";
    return wr_change_is_noise(c) ? "noise" : within ? "within what was said" : "changed";
}

static void add_before_after(struct wr_grid *grid, const struct wr_change *c)
{
    WR_GRID_MAYBES(grid, c->known || c->only_before ? wr_known(c->before) : WR_UNKNOWN,
                   c->known || c->only_after ? wr_known(c->after) : WR_UNKNOWN);
}

void wr_grid_of_against_limits(const struct wr_against *a, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"limit", "limit", WR_UNIT_TEXT, WR_EVERYBODY, 10},
        {"minutes_before", "allowed\nthen", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"minutes_after", "now", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"confidence_before", "wanted\nthen", WR_UNIT_SHARE, WR_EVERYBODY, 0},
        {"confidence_after", "now", WR_UNIT_SHARE, WR_EVERYBODY, 0},
        {"probability_over_before", "of 100 over\nthen", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"probability_over_after", "now", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"error", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"noise", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
        {"state", "change", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < a->n_limit; i++) {
        const struct wr_against_limit *l = &a->limit[i];
        wr_grid_text(grid, l->name);
        add_before_after(grid, &l->minutes);
        add_before_after(grid, &l->confidence);
        add_before_after(grid, &l->over);
        wr_grid_maybe(grid, l->over.known ? wr_known(l->over.error) : WR_UNKNOWN);
        wr_grid_maybe(grid, l->over.known ? wr_known(wr_change_is_noise(&l->over)) : WR_UNKNOWN);
        wr_grid_text(grid, !l->in_before  ? "new"
                           : !l->in_after ? "gone"
                                          : worth_words(&l->over, l->within_what_was_said));
    }
}

/* There is a time to begin by where there was none, or none where there was one; a change of times alone is counted
 * beside the table. */
static bool start_is_another(const struct wr_against_start *s)
{
    return s->in_before && s->in_after && strcmp(wr_binding_words(s->before), wr_binding_words(s->after)) != 0;
}

/* More than noise, and more than what was said then allowed for; or the plan says otherwise. */
static bool has_changed(const struct wr_against_task *t)
{
    return !t->in_before || !t->in_after || t->edited || start_is_another(&t->start) ||
           (t->median_min.known && !wr_change_is_noise(&t->median_min) && !t->within_what_was_said);
}

struct moved_starts {
    size_t n, n_late, n_freed, n_rarely;
    double least, most;
};

static void count_start(struct moved_starts *m, const struct wr_against_start *s)
{
    bool was_late = wr_start_is_late(s->in_before, s->before), is_late = wr_start_is_late(s->in_after, s->after);

    if (!s->in_before || !s->in_after) return;
    m->n_late += is_late && !was_late;
    m->n_freed += was_late && !is_late && !s->is_rarely_met;
    m->n_rarely += was_late && s->is_rarely_met;
    if (!s->latest_min.known || wr_change_is_noise(&s->latest_min)) return;
    double by = wr_change_of(&s->latest_min);
    m->least = m->n ? fmin(m->least, by) : by;
    m->most = m->n++ ? fmax(m->most, by) : by;
}

/* "3 cut-offs are too late now that were not. 2 cut-offs have moved by more than noise, by -2 to +8 min." The worst
 * first. */
static void add_moved(const struct moved_starts *m, const char *clock, struct wr_str *out)
{
    if (clock && m->n_late + m->n_freed + m->n_rarely + m->n > 0)
        wr_str_addf(out, "On the clock \xe2\x80\x9c%s\xe2\x80\x9d: ", clock);
    if (m->n_late > 0)
        wr_str_addf(out, "%zu task%s too late now, whenever %s, and %s not then. ", m->n_late,
                    m->n_late == 1 ? " is" : "s are", m->n_late == 1 ? "it begins" : "they begin",
                    m->n_late == 1 ? "was" : "were");
    if (m->n_freed > 0)
        wr_str_addf(out, "%zu task%s too late then and %s no longer. ", m->n_freed, m->n_freed == 1 ? " was" : "s were",
                    m->n_freed == 1 ? "is" : "are");
    if (m->n_rarely > 0)
        wr_str_addf(out, "%zu task%s too late then and %s a time to begin by now, but usually %s later. ", m->n_rarely,
                    m->n_rarely == 1 ? " was" : "s were", m->n_rarely == 1 ? "has" : "have",
                    m->n_rarely == 1 ? "begins" : "begin");
    if (m->n == 0) return;
    wr_str_addf(out, "%zu cut-off%s moved by more than noise", m->n, m->n == 1 ? " has" : "s have");
    const char *least = wr_signed(m->least, WR_ROOM), *most = wr_signed(m->most, WR_ROOM);
    if (strcmp(least, most) == 0) wr_str_addf(out, ", by %s min. ", most);
    else wr_str_addf(out, ", by %s to %s min. ", least, most);
}

static void add_cutoffs(const struct wr_against *a, struct wr_str *out)
{
    struct moved_starts elapsed = {0};

    for (size_t i = 0; i < a->n_task; i++) count_start(&elapsed, &a->task[i].start);
    add_moved(&elapsed, NULL, out);
    for (size_t c = 0; c < a->n_clock; c++) {
        struct moved_starts moved = {0};
        for (size_t i = 0; i < a->clock[c].n_start; i++) count_start(&moved, &a->clock[c].start[i]);
        add_moved(&moved, a->clock[c].limit, out);
    }
}

static void add_other_tasks(const struct wr_against *a, struct wr_str *out)
{
    size_t n = 0;

    for (size_t i = 0; i < a->n_task; i++)
        n += !has_changed(&a->task[i]) && a->task[i].median_min.known && !wr_change_is_noise(&a->task[i].median_min);
    if (n > 0)
        wr_str_addf(out, "%zu task%s moved by more than noise and no more than what was said then allowed for. ", n,
                    n == 1 ? " has" : "s have");
}

void wr_against_rest(const struct wr_against *a, struct wr_str *out)
{
    size_t before = out->len;

    add_other_tasks(a, out);
    add_cutoffs(a, out);
    if (out->len == before) wr_str_add(out, "Nothing else about the tasks has changed by more than noise.");
}

/* As the card has it: a time, or what stands in its place; for machines the times alone, and the words beside them. */
static void start_cell(struct wr_grid *grid, bool there, enum wr_binding what, double latest_min)
{
    if (there && what == WR_BINDING_FOUND) wr_grid_number(grid, latest_min);
    else if (there) wr_grid_text(grid, wr_binding_words(what));
    else wr_grid_absent(grid);
}

static void start_key(struct wr_grid *grid, bool there, enum wr_binding what)
{
    wr_grid_text(grid, !there ? "" : what == WR_BINDING_FOUND ? "found" : wr_binding_words(what));
}

static void add_start(struct wr_grid *grid, const struct wr_against_start *s)
{
    start_cell(grid, s->in_before, s->before, s->latest_min.before);
    start_cell(grid, s->in_after, s->after, s->latest_min.after);
    add_before_after(grid, &s->latest_min);
    start_key(grid, s->in_before, s->before);
    start_key(grid, s->in_after, s->after);
    wr_grid_text(grid, start_is_another(s)                                   ? "changed"
                       : s->in_before && s->in_after && !s->latest_min.known ? "the same"
                                                                             : worth_words(&s->latest_min, false));
    wr_grid_maybe(grid, s->latest_min.known ? wr_known(s->latest_min.error) : WR_UNKNOWN);
}

static void task_row(struct wr_grid *grid, const struct wr_against_task *t)
{
    WR_GRID_TEXTS(grid, t->id, t->title);
    add_before_after(grid, &t->median_min);
    wr_grid_text(grid, worth_words(&t->median_min, t->within_what_was_said));
    wr_grid_maybe(grid, t->median_min.known ? wr_known(t->median_min.error) : WR_UNKNOWN);
    add_start(grid, &t->start);
    wr_grid_maybe(grid, t->in_before ? wr_known((double)t->done_before) : WR_UNKNOWN);
    wr_grid_maybe(grid, t->in_after ? wr_known((double)t->done_after) : WR_UNKNOWN);
    wr_grid_text(grid, !t->in_before ? "new" : !t->in_after ? "gone" : t->edited ? t->edited : "");
}

void wr_grid_of_against_tasks(const struct wr_against *a, enum wr_against_rows rows, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "task", WR_UNIT_TEXT, WR_EVERYBODY, 10},
        {"title", "title", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
        {"median_before_min", "usual\nthen", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"median_after_min", "now", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"median_state", "change", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"median_error_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"begin_by_before", "begin by\nthen", WR_UNIT_BY, WR_PEOPLE, 0},
        {"begin_by_after", "now", WR_UNIT_BY, WR_PEOPLE, 0},
        {"latest_start_before_min", "", WR_UNIT_BY, WR_MACHINE, 0},
        {"latest_start_after_min", "", WR_UNIT_BY, WR_MACHINE, 0},
        {"latest_start_before", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"latest_start_after", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"latest_start_state", "change", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"latest_start_error_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"timed_before", "timed\nthen", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},
        {"timed_after", "now", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},
        {"plan", "in the plan", WR_UNIT_TEXT, WR_EVERYBODY, 8},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < a->n_task; i++)
        if (rows == WR_AGAINST_ALL || has_changed(&a->task[i])) task_row(grid, &a->task[i]);
}

void wr_grid_of_against_criteria(const struct wr_against *a, enum wr_against_rows rows, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"criterion", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"about", "criterion", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"before", "then", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"after", "now", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < a->n_criterion; i++) {
        const struct wr_against_criterion *c = &a->criterion[i];
        if (rows == WR_AGAINST_CHANGED && c->before == c->after) continue;
        WR_GRID_TEXTS(grid, wr_criterion_name(c->id), wr_criterion_words(c->id), wr_evidence_words(c->before),
                      wr_evidence_words(c->after));
    }
}

/* ---- formats ---- */

static void add_table(struct wr_str *out, struct wr_grid *grid, const char *head)
{
    if (wr_grid_rows(grid) > 0) {
        wr_str_addf(out, "\n%s\n", head);
        wr_grid_add_terminal(grid, WR_TERMINAL_COLUMNS, out);
    }
    wr_grid_release(grid);
}

static void against_table(const struct wr_against *a, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_str_add_char(out, '\n');
    wr_against_sentences(a, &text);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_grid_of_against_limits(a, &grid);
    add_table(out, &grid, "Limits:");
    wr_grid_of_against_tasks(a, WR_AGAINST_CHANGED, &grid);
    add_table(out, &grid, "Tasks that are not as they were:");
    WR_SCOPED_STR rest = {0};
    wr_against_rest(a, &rest);
    wr_str_add_char(out, '\n');
    wr_prose_add(out, wr_str_text(&rest), 0, WR_TERMINAL_COLUMNS);
    wr_grid_of_against_criteria(a, WR_AGAINST_CHANGED, &grid);
    if (a->n_criterion && wr_grid_rows(&grid) == 0) wr_str_add(out, "\nThe criteria of a review stand as they did.\n");
    add_table(out, &grid, "Criteria of a review that are not as they were:");
}

static void json_change(struct wr_json *j, json_t *at, const char *key, const struct wr_change *c)
{
    json_t *o = wr_json_object_if(j, at, key, c->known);

    if (!o) return;
    wr_json_number(j, o, "before", c->before);
    wr_json_number(j, o, "after", c->after);
    wr_json_number(j, o, "change", wr_change_of(c));
    wr_json_number(j, o, "error", c->error);
    wr_json_bool(j, o, "noise", wr_change_is_noise(c));
}

static void json_parts(struct wr_json *j, const struct wr_against *a)
{
    json_t *parts = wr_json_array(j, j->root, "parts");

    for (int i = 0; i < WR_N_AGAINST_PART && a->over.known; i++) {
        json_t *row = wr_json_row(j, parts);
        wr_json_text(j, row, "part", part_key[i]);
        wr_json_maybe(j, row, "change", a->part[i].known ? wr_known(a->part[i].change) : WR_UNKNOWN);
        wr_json_maybe(j, row, "error", a->part[i].known ? wr_known(a->part[i].error) : WR_UNKNOWN);
    }
}

static void json_grid(struct wr_json *j, const char *key, struct wr_grid *grid)
{
    wr_json_take_grid(j, j->root, key, grid);
}

static enum wr_status against_json(const struct wr_present_context *ctx, const struct wr_against *a, struct wr_str *out,
                                   struct wr_error *err)
{
    struct wr_json j;
    struct wr_grid grid;

    wr_json_begin(&j, ctx);
    wr_json_text(&j, j.root, "before", a->before_name);
    wr_json_count(&j, j.root, "runs_before", a->n_run_before);
    wr_json_count(&j, j.root, "runs_after", a->n_run_after);
    json_change(&j, j.root, "overrun", &a->over);
    if (a->over.known) wr_json_bool(&j, j.root, "within_interval_before", a->within_what_was_said);
    else wr_json_null(&j, j.root, "within_interval_before");
    json_change(&j, j.root, "any_overrun", &a->any.over);
    json_change(&j, j.root, "half_min", &a->half_min);
    wr_json_bool(&j, j.root, "same_rehearsals", a->same_runs);
    json_parts(&j, a);
    wr_grid_of_against_limits(a, &grid);
    json_grid(&j, "limits", &grid);
    wr_grid_of_against_tasks(a, WR_AGAINST_ALL, &grid);
    json_grid(&j, "tasks", &grid);
    wr_grid_of_against_criteria(a, WR_AGAINST_ALL, &grid);
    json_grid(&j, "criteria", &grid);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_against(enum wr_format format, const struct wr_present_context *ctx, const struct wr_against *a,
                               struct wr_str *out, struct wr_error *err)
{
    struct wr_grid grid;
    enum wr_status status = WR_OK;

    switch (format) {
    case WR_FORMAT_TABLE: against_table(a, out); break;
    case WR_FORMAT_JSON: return against_json(ctx, a, out, err);
    case WR_FORMAT_CSV:
        wr_grid_of_against_tasks(a, WR_AGAINST_ALL, &grid);
        status = wr_grid_check(&grid, err);
        if (!status) wr_grid_add_csv(&grid, out);
        wr_grid_release(&grid);
        break;
    }
    return status;
}
