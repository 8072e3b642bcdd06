#include "missing_steps.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "cells.h"
#include "wetrun/base/memory.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/stats/quantile.h"

/* Of the whole task. Up to the first the step moves no answer; up to the second the minutes hardly tell whether it is
 * in them. */
static const double SHARE_NOTED = 0.1, SHARE_TOLD = 0.25;
/* On the way, in log minutes, from what the steps at hand take to what the whole does: up to the first the minutes are
 * those of the steps, from the second on those of the whole. */
static const double AS_PART = 0.5, AS_WHOLE = 0.75;
enum { LEAST_WITH = 3, LEAST_TASKS = 4, MOST_NAMED = 3 };
enum { PARTS_PREVAIL = 2, WHOLES_PREVAIL = 4 }; /* so many times as many of the others */

struct rows { size_t work, run, from, n; }; /* of the work in one run, in the log's order */

struct suspect { /* rows that may not be all of their task */
    const struct rows *rows;
    const char *step;        /* NULL: rows without names */
    size_t n_have, n_usual;  /* where there are no names: rows here, and elsewhere */
    size_t n_with, n_of;     /* runs that have it, of those that can tell */
    double min, part_min, whole_min, usual_min;
    bool most, last;
};

struct few { /* rows of steps that most runs do not have */
    struct wr_str text;
    size_t n;
    struct place at; /* the first */
};

struct search {
    struct measuring *j;
    struct suspect *suspect; size_t n_suspect, room;
    double *pace; /* [n_run] how much longer its tasks take than they usually do, the median of them */
    struct few few, some;
};

static const struct wr_log_step *steps_of(const struct measuring *j, const struct rows *rows)
{
    return j->log->step + rows->from;
}

static struct place place_of_last(const struct measuring *j, const struct rows *rows)
{
    const struct wr_log_step *last = steps_of(j, rows) + rows->n - 1;

    return (struct place){j->log->file[last->file], last->line};
}

static bool is_done(const struct measuring *j, const struct rows *rows)
{
    return j->timing->cell[cell_index(j, rows->work, rows->run)].state == WR_CELL_DONE;
}

static size_t count_named(const struct measuring *j, const struct rows *rows)
{
    size_t n = 0;

    for (size_t i = 0; i < rows->n; i++) n += steps_of(j, rows)[i].step[0] != '\0';
    return n;
}

/* Two of three, and more than a pair. */
static bool are_most(size_t n_with, size_t n_of)
{
    return n_with >= LEAST_WITH && 3 * n_with >= 2 * n_of;
}

/* 0: as the part, 1: as the whole. */
static double way_to_whole(double part_min, double whole_min, double min)
{
    if (!(part_min > 0)) return min > 0;
    return min > 0 ? log(min / part_min) / log(whole_min / part_min) : 0;
}

/* ---- steps with names ---- */

struct step_name {
    const char *text; /* as it first stands in the log */
    size_t n_with;    /* runs */
    size_t met;       /* number, from 1, of the rows in which it was met last */
    size_t part;      /* of those */
    double median_min; /* where all usual steps are */
};

struct part { /* what a run logged of one step */
    uint32_t name;
    double min;
};

struct task_steps { /* one task over its runs */
    struct search *search;
    const struct rows *rows; size_t n_rows;
    uint32_t *name_of;  /* [steps of the log] */
    struct wr_names names;
    struct wr_arena text;
    struct step_name *step; size_t n_step, room_step;
    size_t n_met;       /* numbers given so far */
    size_t *usual, n_usual, room_usual; /* steps that most runs have */
    struct part *part; size_t n_part, room_part;
    size_t n_named, n_full; /* runs that name all their steps of it; that have all the usual ones */
    double whole_min;   /* of the usual steps, by their medians */
    double *only_min; size_t n_only, room_only; /* minutes of the runs that have these and no other; */
    double usual_only_min;                      /* their median */
};

static const struct wr_log_step *own_steps(const struct task_steps *t, const struct rows *rows)
{
    return steps_of(t->search->j, rows);
}

static bool is_in_named_steps(const struct task_steps *t, const struct rows *rows)
{
    return is_done(t->search->j, rows) && count_named(t->search->j, rows) == rows->n;
}

static struct step_name *name_at(const struct task_steps *t, const struct rows *rows, size_t i)
{
    return &t->step[t->name_of[rows->from + i]];
}

static bool is_usual(const struct task_steps *t, const struct step_name *s)
{
    return 2 * s->n_with > t->n_named;
}

static bool meet(struct step_name *s, size_t number)
{
    bool first = s->met != number;

    s->met = number;
    return first;
}

static uint32_t number_of(struct task_steps *t, const char *name)
{
    WR_SCOPED_STR folded = {0};

    wr_fold_name(&folded, name, strlen(name));
    uint32_t number = wr_names_add(&t->names, &t->text, wr_str_text(&folded), folded.len);
    if (number == t->n_step) WR_PUSH(t->step, t->n_step, t->room_step)->text = name;
    return number;
}

/* Most runs have the steps of the one before: looked at first. */
static void count_names(struct task_steps *t, const struct rows *rows, const struct rows *before)
{
    const struct wr_log_step *step = own_steps(t, rows);

    t->n_named++;
    t->n_met++;
    for (size_t i = 0; i < rows->n; i++) {
        uint32_t *name = &t->name_of[rows->from + i];
        if (before && i < before->n && strcmp(own_steps(t, before)[i].step, step[i].step) == 0)
            *name = t->name_of[before->from + i];
        else
            *name = number_of(t, step[i].step);
        t->step[*name].n_with += meet(&t->step[*name], t->n_met);
    }
}

static size_t count_usual(struct task_steps *t, const struct rows *rows)
{
    size_t n = 0;

    t->n_met++;
    for (size_t i = 0; i < rows->n; i++)
        n += meet(name_at(t, rows, i), t->n_met) && is_usual(t, name_at(t, rows, i));
    return n;
}

static void add_parts(struct task_steps *t, const struct rows *rows)
{
    t->n_full++;
    t->n_met++;
    for (size_t i = 0; i < rows->n; i++) {
        struct step_name *s = name_at(t, rows, i);
        if (!is_usual(t, s)) continue;
        if (meet(s, t->n_met)) {
            s->part = t->n_part;
            WR_PUSH(t->part, t->n_part, t->room_part)->name = t->name_of[rows->from + i];
        }
        t->part[s->part].min += own_steps(t, rows)[i].active_min;
    }
}

static int compare_parts(const void *a, const void *b)
{
    const struct part *x = a, *y = b;

    if (x->name != y->name) return x->name < y->name ? -1 : 1;
    return (x->min > y->min) - (x->min < y->min);
}

/* Each usual step has one in each run that has them all. */
static void take_medians(struct task_steps *t)
{
    const size_t n = t->n_full;

    if (t->n_part) qsort(t->part, t->n_part, sizeof *t->part, compare_parts);
    for (size_t from = 0; from < t->n_part; from += n) {
        const double median = (t->part[from + (n - 1) / 2].min + t->part[from + n / 2].min) / 2;
        t->step[t->part[from].name].median_min = median;
        t->whole_min += median;
    }
}

struct seen { /* what one run has of the task; its steps are those last met */
    size_t n_name, n_usual;
    double min, usual_min, part_min; /* its minutes, those of its usual steps, what these usually take */
};

static struct seen look_at(struct task_steps *t, const struct rows *rows)
{
    struct seen seen = {0};

    t->n_met++;
    for (size_t i = 0; i < rows->n; i++) {
        struct step_name *s = name_at(t, rows, i);
        const double min = own_steps(t, rows)[i].active_min;
        const bool usual = is_usual(t, s), first = meet(s, t->n_met);
        seen.min += min;
        seen.usual_min += usual ? min : 0;
        seen.n_name += first;
        seen.n_usual += first && usual;
        seen.part_min += first && usual ? s->median_min : 0;
    }
    return seen;
}

/* Of those that were not met the one that most runs have. */
static const struct step_name *missing_among_usual(const struct task_steps *t)
{
    const struct step_name *missing = NULL;

    for (size_t k = 0; k < t->n_usual; k++) {
        const struct step_name *s = &t->step[t->usual[k]];
        if (s->met != t->n_met && (!missing || s->n_with > missing->n_with)) missing = s;
    }
    return missing;
}

static bool has_it_last(const struct task_steps *t, const struct rows *rows, const struct step_name *missing)
{
    double last = -1, start = -1;

    for (size_t i = 0; i < rows->n; i++) {
        const struct step_name *s = name_at(t, rows, i);
        const double at = own_steps(t, rows)[i].start_min;
        if (s == missing && start < 0) start = at;
        if (s->met == t->n_met && at > last) last = at;
    }
    return start > last;
}

static bool comes_last(const struct task_steps *t, const struct step_name *missing)
{
    size_t n_last = 0;

    for (size_t i = 0; i < t->n_rows && 2 * n_last <= missing->n_with; i++)
        n_last += is_in_named_steps(t, &t->rows[i]) && has_it_last(t, &t->rows[i], missing);
    return 2 * n_last > missing->n_with;
}

static void suspect_name(struct task_steps *t, const struct rows *rows, const struct seen *seen)
{
    const struct step_name *missing = missing_among_usual(t);
    const bool most = are_most(missing->n_with, t->n_named) && seen->n_name == seen->n_usual;

    *WR_PUSH(t->search->suspect, t->search->n_suspect, t->search->room) = (struct suspect){
        .rows = rows, .step = missing->text, .n_with = missing->n_with, .n_of = t->n_named, .min = seen->min,
        .part_min = seen->part_min, .whole_min = t->whole_min, .usual_min = missing->median_min, .most = most,
        .last = most && comes_last(t, missing)};
}

static const struct step_name *unusual_step(const struct task_steps *t, const struct rows *rows)
{
    for (size_t i = 0; i < rows->n; i++)
        if (!is_usual(t, name_at(t, rows, i))) return name_at(t, rows, i);
    return NULL;
}

/* Beside all the usual steps the run has one that few have, and by it more than those that have none but these: they
 * left it out, or lost its row. A large part of the task, in a third of the runs, is hardly left out. */
static void note_few(struct task_steps *t, const struct rows *rows, const struct seen *seen)
{
    struct search *s = t->search;
    const struct step_name *few = unusual_step(t, rows);

    if (!few || 2 * t->n_only <= t->n_named - few->n_with || !(seen->min > seen->usual_min) ||
        way_to_whole(seen->usual_min, seen->min, t->usual_only_min) > AS_PART)
        return;
    const bool some = few->n_with >= LEAST_WITH && 3 * few->n_with >= t->n_named &&
                      1 - seen->usual_min / seen->min >= SHARE_TOLD;
    struct few *list = some ? &s->some : &s->few;
    if (list->n == 0) list->at = place_of_last(s->j, rows);
    if (list->n++ < MOST_NAMED)
        wr_str_addf(&list->text, "%s'%.60s' of '%.60s' in run '%.60s'", list->n > 1 ? ", " : "", few->text,
                    rehearsed_id(&s->j->known, rows->work), s->j->log->run[rows->run].id);
}

static void look_by_name(struct task_steps *t)
{
    const struct rows *before = NULL;

    for (size_t i = 0; i < t->n_rows; i++) {
        if (!is_in_named_steps(t, &t->rows[i])) continue;
        count_names(t, &t->rows[i], before);
        before = &t->rows[i];
    }
    for (size_t k = 0; k < t->n_step; k++)
        if (is_usual(t, &t->step[k])) *WR_PUSH(t->usual, t->n_usual, t->room_usual) = k;
    for (size_t i = 0; i < t->n_rows && t->n_usual > 0; i++)
        if (is_in_named_steps(t, &t->rows[i]) && count_usual(t, &t->rows[i]) == t->n_usual) add_parts(t, &t->rows[i]);
    take_medians(t);
    for (size_t i = 0; i < t->n_rows && t->whole_min > 0; i++) {
        const struct rows *rows = &t->rows[i];
        if (!is_in_named_steps(t, rows)) continue;
        const struct seen seen = look_at(t, rows);
        if (seen.n_usual == t->n_usual && seen.n_name == t->n_usual)
            *WR_PUSH(t->only_min, t->n_only, t->room_only) = seen.min;
        else if (seen.n_usual > 0 && seen.n_name < t->n_usual)
            suspect_name(t, rows, &seen);
    }
    if (t->n_only > 0) t->usual_only_min = wr_quantile_in_place(t->only_min, t->n_only, 0.5);
    for (size_t i = 0; i < t->n_rows && t->n_only > 0; i++) {
        if (!is_in_named_steps(t, &t->rows[i])) continue;
        const struct seen seen = look_at(t, &t->rows[i]);
        if (seen.n_usual == t->n_usual) note_few(t, &t->rows[i], &seen);
    }
    WR_FREE(t->step, t->usual, t->part, t->only_min);
    wr_names_release(&t->names);
    wr_arena_release(&t->text);
}

/* ---- rows without names ---- */

struct nameless { /* in one run */
    const struct rows *rows;
    size_t n;
    double min;
};

/* Without a start they are one step, which stands for as many rows. */
static struct nameless nameless_of(const struct measuring *j, const struct rows *rows)
{
    const struct wr_log_step *step = steps_of(j, rows);
    struct nameless of = {rows, 0, 0};

    for (size_t i = 0; i < rows->n; i++) {
        of.n += step[i].has_clock ? 1 : step[i].n_row;
        of.min += step[i].active_min;
    }
    return of;
}

static int compare_nameless(const void *a, const void *b)
{
    const struct nameless *x = a, *y = b;

    if (x->n != y->n) return x->n < y->n ? -1 : 1;
    return (x->min > y->min) - (x->min < y->min);
}

/* How many runs have as many rows as most have; *from: the first of these, of those in order. */
static size_t most_alike(const struct nameless *of, size_t n, size_t *from)
{
    size_t most = 0;

    for (size_t i = 0, next; i < n; i = next) {
        for (next = i + 1; next < n && of[next].n == of[i].n; next++) {}
        if (next - i <= most) continue;
        most = next - i;
        *from = i;
    }
    return most;
}

static void look_by_number(struct search *s, const struct rows *rows, size_t n_rows)
{
    WR_SCOPED struct nameless *of = WR_NEW_ARRAY(struct nameless, n_rows);
    size_t n = 0, usual = 0;

    for (size_t i = 0; i < n_rows; i++)
        if (is_done(s->j, &rows[i]) && count_named(s->j, &rows[i]) == 0) of[n++] = nameless_of(s->j, &rows[i]);
    if (n) qsort(of, n, sizeof *of, compare_nameless);
    const size_t n_usual = most_alike(of, n, &usual);
    if (!are_most(n_usual, n)) return;
    const double whole_min = (of[usual + (n_usual - 1) / 2].min + of[usual + n_usual / 2].min) / 2;
    for (size_t i = 0; i < usual && whole_min > 0; i++) {
        const double part_min = whole_min * (double)of[i].n / (double)of[usual].n;
        *WR_PUSH(s->suspect, s->n_suspect, s->room) = (struct suspect){
            .rows = of[i].rows, .n_have = of[i].n, .n_usual = of[usual].n, .n_with = n_usual, .n_of = n,
            .min = of[i].min, .part_min = part_min, .whole_min = whole_min};
    }
}

/* ---- what is made of it ---- */

static double share_of(const struct suspect *of)
{
    return 1 - of->part_min / of->whole_min;
}

/* Runs whose minutes tell that a step is missing, or that nothing is. */
struct tally { size_t n_part, n_whole; };

/* A slow day makes its steps look like more of the task than they are. */
static double way_of(const struct search *s, const struct suspect *of)
{
    return way_to_whole(of->part_min, of->whole_min, of->min / s->pace[of->rows->run]);
}

static bool is_timed(const struct wr_cell *cell)
{
    return cell->state == WR_CELL_DONE && cell->active_min > 0;
}

static void take_paces(struct search *s)
{
    const struct measuring *j = s->j;
    const size_t n_run = j->timing->n_run, n_work = j->known.n_work;
    WR_SCOPED double *usual_min = WR_NEW_ARRAY(double, n_work), *value = WR_NEW_ARRAY(double, n_run + n_work);
    size_t n;

    s->pace = WR_NEW_ARRAY(double, n_run);
    for (size_t w = 0; w < n_work && s->n_suspect; w++) {
        n = 0;
        for (size_t r = 0; r < n_run; r++) {
            const struct wr_cell *cell = &j->timing->cell[cell_index(j, w, r)];
            if (is_timed(cell)) value[n++] = cell->active_min;
        }
        if (n) usual_min[w] = wr_quantile_in_place(value, n, 0.5);
    }
    for (size_t r = 0; r < n_run; r++) {
        n = 0;
        for (size_t w = 0; w < n_work && s->n_suspect; w++) {
            const struct wr_cell *cell = &j->timing->cell[cell_index(j, w, r)];
            if (is_timed(cell)) value[n++] = cell->active_min / usual_min[w];
        }
        s->pace[r] = n >= LEAST_TASKS ? wr_quantile_in_place(value, n, 0.5) : 1;
    }
}

static struct tally count(const struct search *s)
{
    struct tally tally = {0};

    for (size_t i = 0; i < s->n_suspect; i++) {
        const struct suspect *of = &s->suspect[i];
        if (share_of(of) < SHARE_TOLD) continue;
        tally.n_part += way_of(s, of) < AS_PART;
        tally.n_whole += way_of(s, of) > AS_WHOLE;
    }
    return tally;
}

enum verdict { NOTHING_MISSING, CUT_OTHERWISE, IN_DOUBT, LOST };

static enum verdict verdict_on(const struct search *s, const struct suspect *of, const struct tally *tally)
{
    if (share_of(of) < SHARE_NOTED) return of->most ? CUT_OTHERWISE : NOTHING_MISSING;
    if (tally->n_whole > WHOLES_PREVAIL * tally->n_part) return CUT_OTHERWISE;
    if (way_of(s, of) > AS_WHOLE && share_of(of) >= SHARE_TOLD) return of->most ? CUT_OTHERWISE : NOTHING_MISSING;
    bool parts_prevail = tally->n_part > PARTS_PREVAIL * tally->n_whole;
    return of->step && of->most && way_of(s, of) < AS_PART && parts_prevail ? LOST : IN_DOUBT;
}

static void lose(struct measuring *j, const struct suspect *of)
{
    j->r = of->rows->run;
    *WR_PUSH(j->missing, j->n_missing, j->room_missing) =
        (struct missing_step){.cell = cell_index(j, of->rows->work, j->r), .step = of->step, .n_with = of->n_with,
                              .n_of = of->n_of, .usual_min = of->usual_min, .last = of->last,
                              .at = place_of_last(j, of->rows)};
    cells_lose(j, of->rows->work);
}

static void say_doubt(const struct measuring *j, const struct suspect *of)
{
    const struct place at = place_of_last(j, of->rows);
    const char *run = j->log->run[of->rows->run].id, *task = rehearsed_id(&j->known, of->rows->work);

    if (of->step)
        wr_findings_add(j->findings, WR_WARNING, "step-unlogged", at.file, at.line, 0,
                        "run '%.60s': task '%.60s' may lack a row: %zu of %zu runs have a step '%.60s' of it, which "
                        "has none here. Its %.1f min count as all of it, which takes %.1f elsewhere, and %.1f without "
                        "that step: write the row that is missing; if that is all of it, leave the step of its last "
                        "row empty",
                        run, task, of->n_with, of->n_of, of->step, of->min, of->whole_min, of->part_min);
    else
        wr_findings_add(j->findings, WR_WARNING, "step-unlogged", at.file, at.line, 0,
                        "run '%.60s': task '%.60s' may lack a row: it has %zu here, and %zu of %zu runs have %zu. Its "
                        "%.1f min count as all of it, which takes %.1f elsewhere: write the row that is missing; if "
                        "that is all of it, name its step",
                        run, task, of->n_have, of->n_with, of->n_of, of->n_usual, of->min, of->whole_min);
}

/* Of many rows one note. */
static void note_cuts(const struct search *s, const struct tally *tally)
{
    const struct suspect *first = NULL;
    WR_SCOPED_STR text = {0};
    size_t n = 0;

    for (size_t i = 0; i < s->n_suspect; i++) {
        const struct suspect *of = &s->suspect[i];
        if (!of->step || verdict_on(s, of, tally) != CUT_OTHERWISE) continue;
        if (n == 0) first = of;
        if (n++ < MOST_NAMED)
            wr_str_addf(&text, "%s'%.60s' of '%.60s' in run '%.60s'", n > 1 ? ", " : "", of->step,
                        rehearsed_id(&s->j->known, of->rows->work), s->j->log->run[of->rows->run].id);
    }
    if (n == 0) return;
    if (n > MOST_NAMED) wr_str_addf(&text, " and %zu more", n - MOST_NAMED);
    const struct place at = place_of_last(s->j, first->rows);
    wr_findings_add(s->j->findings, WR_NOTE, "step-unlogged", at.file, at.line, 0,
                    "steps that most runs have, and that have no row: %s. There the task counts as cut into steps "
                    "otherwise, or as done without: its minutes are all of it",
                    text.text);
}

static void say_few(const struct search *s, struct few *few, enum wr_severity severity)
{
    if (few->n == 0) return;
    if (few->n > MOST_NAMED) wr_str_addf(&few->text, " and %zu more", few->n - MOST_NAMED);
    wr_findings_add(s->j->findings, severity, "step-unlogged", few->at.file, few->at.line, 0,
                    "steps that most runs have no row of: %s. %s", few->text.text,
                    severity == WR_NOTE ? "Where others did the same, their times of the task are too short"
                                        : "Where others did the same, their times of the task count as whole and are "
                                          "too short: write the rows; where they did not, leave the step of their "
                                          "last row empty");
}

/* By work, and within it by run. */
static size_t list_rows(const struct measuring *j, struct rows *rows)
{
    WR_SCOPED struct rows *as_logged = WR_NEW_ARRAY(struct rows, j->log->n_step);
    WR_SCOPED size_t *at = WR_NEW_ARRAY(size_t, j->known.n_work + 1);
    size_t n = 0;

    for (size_t i = 0, next; i < j->log->n_step; i = next) {
        const struct wr_log_step *s = &j->log->step[i];
        for (next = i + 1; next < j->log->n_step; next++)
            if (j->log->step[next].run != s->run || j->log->step[next].task != s->task) break;
        as_logged[n] = (struct rows){j->known.of_log_task[s->task], s->run, i, next - i};
        at[as_logged[n++].work + 1]++;
    }
    for (size_t w = 0; w < j->known.n_work; w++) at[w + 1] += at[w];
    for (size_t i = 0; i < n; i++) rows[at[as_logged[i].work]++] = as_logged[i];
    return n;
}

static bool is_in_steps(const struct measuring *j, const struct rows *rows, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (rows[i].n > 1 || steps_of(j, &rows[i])->n_row > 1) return true;
    return false;
}

void missing_steps_find(struct measuring *j)
{
    WR_SCOPED struct rows *rows = WR_NEW_ARRAY(struct rows, j->log->n_step);
    WR_SCOPED uint32_t *name_of = WR_NEW_ARRAY(uint32_t, j->log->n_step);
    struct search s = {.j = j};
    size_t n = list_rows(j, rows);

    for (size_t i = 0, next; i < n; i = next) {
        for (next = i + 1; next < n && rows[next].work == rows[i].work; next++) {}
        if (!is_in_steps(j, rows + i, next - i)) continue;
        look_by_name(&(struct task_steps){.search = &s, .rows = rows + i, .n_rows = next - i, .name_of = name_of});
        look_by_number(&s, rows + i, next - i);
    }
    take_paces(&s);
    const struct tally tally = count(&s);
    for (size_t i = 0; i < s.n_suspect; i++) {
        enum verdict verdict = verdict_on(&s, &s.suspect[i], &tally);
        if (verdict == LOST) lose(j, &s.suspect[i]);
        else if (verdict == IN_DOUBT) say_doubt(j, &s.suspect[i]);
    }
    note_cuts(&s, &tally);
    say_few(&s, &s.some, WR_WARNING);
    say_few(&s, &s.few, WR_NOTE);
    WR_STR_RELEASE(&s.few.text, &s.some.text);
    WR_FREE(s.suspect, s.pace);
}

const struct missing_step *missing_step_of(const struct measuring *j, size_t work, size_t run)
{
    for (size_t i = 0; i < j->n_missing; i++)
        if (j->missing[i].cell == cell_index(j, work, run)) return &j->missing[i];
    return NULL;
}

bool missing_steps_in_run(const struct measuring *j, size_t run)
{
    for (size_t i = 0; i < j->n_missing; i++)
        if (j->missing[i].cell % j->timing->n_run == run) return true;
    return false;
}
