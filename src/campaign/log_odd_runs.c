/* Runs that may not be runs of their own. */
#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "crew_text.h"
#include "log_oddities.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h"

enum { FEW_STEPS = 3, FEW_UNTIMED = 5, ALIKE_STEPS = 8, FEW_RUNS = 3 };
/* What a long log is not gone over beyond: of so many steps or runs no further ones are needed to tell. */
enum { MOST_STEPS_HELD = 64, MOST_RUNS_HELD = 60, MOST_RUNS_COMPARED = 300 };

/* Two watches, read to the minute, or both to the second. */
static const double SAME_MINUTE_MIN = 1, SAME_SECOND_MIN = 1 / 6.0;
/* The scatter of a task that is done as alike as crews do it, and how rarely two runs may seem alike by that. */
static const double LEAST_SCATTER = 0.1, BY_CHANCE = 1e-3;
/* Two people who write down one rehearsal, and how rarely any two runs of a log may seem to be that by chance. */
static const double SECOND_LOG_MIN = 1, ANY_BY_CHANCE = 1e-4;

/* ---- a run that repeats another ---- */

struct run_steps {
    const struct wr_log_step *step;
    size_t n, run;
    uint64_t hash;
};

static uint64_t mix(uint64_t h, double value)
{
    uint64_t bits;

    memcpy(&bits, &value, sizeof bits);
    h = (h ^ bits) * 0x9e3779b97f4a7c15u;
    return h ^ h >> 29;
}

static uint64_t hash_of(const struct run_steps *r)
{
    uint64_t h = r->n;

    for (size_t i = 0; i < r->n; i++) {
        h = mix(h, r->step[i].task + 1.0);
        h = mix(h, r->step[i].start_min);
        h = mix(h, r->step[i].active_min);
    }
    return h;
}

static bool is_same(const struct run_steps *a, const struct run_steps *b)
{
    if (a->n != b->n) return false;
    for (size_t i = 0; i < a->n; i++) {
        const struct wr_log_step *x = &a->step[i], *y = &b->step[i];
        if (x->task != y->task || x->outcome != y->outcome || x->start_min != y->start_min ||
            x->active_min != y->active_min || x->hold_min != y->hold_min)
            return false;
    }
    return true;
}

/* So many steps with times that the same numbers cannot be chance. */
static bool has_enough(const struct run_steps *r)
{
    size_t n_clock = 0, n_timed = 0;

    for (size_t i = 0; i < r->n; i++) {
        n_clock += r->step[i].has_clock;
        n_timed += r->step[i].active_min > 0;
    }
    return n_clock >= FEW_STEPS || n_timed >= FEW_UNTIMED;
}

static int compare_hashes(const void *a, const void *b)
{
    const struct run_steps *x = a, *y = b;

    if (x->hash != y->hash) return x->hash < y->hash ? -1 : 1;
    return (x->run > y->run) - (x->run < y->run);
}

static struct run_steps *steps_by_run(const struct wr_run_log *log)
{
    struct run_steps *runs = WR_NEW_ARRAY(struct run_steps, log->n_run + 1);
    size_t at = 0;

    for (size_t r = 0; r < log->n_run; r++) {
        size_t from = at;
        while (at < log->n_step && log->step[at].run == r) at++;
        runs[r] = (struct run_steps){.step = log->step + from, .n = at - from, .run = r};
        runs[r].hash = hash_of(&runs[r]);
    }
    return runs;
}

static void report_pair(const struct oddities *o, const char *code, size_t run, size_t other, const char *what)
{
    const struct wr_log_run *b = &o->log->run[run];

    wr_findings_add(o->findings, WR_WARNING, code, o->log->file[b->file], b->line, 0, "run '%.60s' %s run '%.60s'%s",
                    b->id, what, o->log->run[other].id,
                    strcmp(code, "runs-overlap") == 0
                        ? ", on the same day: one rehearsal in two logs? Both count: take one of them out"
                        : ": pasted again, or one rehearsal in two logs? Both count: take one of them out");
}

static void find_repeats(const struct oddities *o, struct run_steps *runs)
{
    qsort(runs, o->log->n_run, sizeof *runs, compare_hashes);
    for (size_t i = 1; i < o->log->n_run; i++) {
        const struct run_steps *a = &runs[i - 1], *b = &runs[i];
        if (a->hash != b->hash || !is_same(a, b) || !has_enough(a)) continue;
        report_pair(o, "run-repeats", b->run, a->run, "has the same times, to the second, as");
    }
}

/* What two runs are held against each other by: kept small, for it is gone over with every other run. */
struct mark {
    double start_min, end_min, length_min;
    uint32_t task;
    bool has_clock;
};

struct twin {
    const struct run_steps *run;
    const struct mark *mark; /* of each step */
    double span_min;
    bool by_seconds; /* not all of its times are whole minutes */
};

static bool is_whole(double minutes)
{
    return fabs(minutes - round(minutes)) < 1e-6;
}

static struct twin twin_of(const struct run_steps *r, struct mark *mark)
{
    struct twin twin = {r, mark, 0, false};

    for (size_t i = 0; i < r->n; i++) {
        const struct wr_log_step *s = &r->step[i];
        mark[i] = (struct mark){s->start_min, s->end_min, s->active_min + s->hold_min, (uint32_t)s->task, s->has_clock};
        if (s->has_clock) mark[i].length_min = s->end_min - s->start_min;
        if (!s->has_clock) {
            twin.by_seconds |= !is_whole(mark[i].length_min);
            continue;
        }
        twin.span_min = fmax(twin.span_min, s->end_min);
        twin.by_seconds |= !is_whole(s->start_min) || !is_whole(s->end_min);
    }
    return twin;
}

/* Chance that two runs of a step come so near to each other by themselves: hardly less than sure of short ones. */
static double log_chance_of(const struct mark *x, const struct mark *y, double same_min)
{
    double longer = fmax(x->length_min, y->length_min);

    return longer > 0 ? log(erf(same_min / (2 * LEAST_SCATTER * longer))) : 0;
}

/* All their common steps within what two watches differ by, and enough of them, long enough, that this cannot be
 * chance. (Of 200 made logs of six runs each, of eight steps of 3 to 4 min or of twenty of 2 to 12, to the second, none
 * is stopped at, and of as many runs written down twice nearly all are found. To the minute no run of such short steps
 * is told from another.) */
static bool is_nearly_same(const struct twin *a, const struct twin *b)
{
    const struct mark *x = a->mark, *y = b->mark, *const x_end = x + a->run->n, *const y_end = y + b->run->n;
    const double same_min = a->by_seconds && b->by_seconds ? SAME_SECOND_MIN : SAME_MINUTE_MIN;
    double log_chance = 0;
    size_t n_common = 0;

    while (x < x_end && y < y_end) {
        if (x->task != y->task) {
            if (x->task < y->task) x++;
            else y++;
            continue;
        }
        bool both = x->has_clock && y->has_clock;
        if (both &&
            (fabs(x->start_min - y->start_min) > same_min + 1e-9 || fabs(x->end_min - y->end_min) > same_min + 1e-9))
            return false;
        if (both) log_chance += log_chance_of(x, y, same_min);
        n_common += both;
        x++, y++;
    }
    return n_common >= ALIKE_STEPS && log_chance < log(BY_CHANCE);
}

/* ---- a run that is another in a second log ---- */

/* The next step that both runs have and that took time in both; false: no more. */
static bool next_in_both(const struct twin *a, const struct twin *b, size_t *i, size_t *k)
{
    while (*i < a->run->n && *k < b->run->n) {
        const struct mark *x = &a->mark[*i], *y = &b->mark[*k];
        if (x->task == y->task && x->length_min > 0 && y->length_min > 0) return true;
        *i += x->task <= y->task;
        *k += y->task <= x->task;
    }
    return false;
}

/* How far the common steps of two runs are apart at most, infinite if it is further than two logs of one rehearsal. */
struct likeness {
    double by_times_min; /* their moments, moved by what is best for all */
    double by_minutes_min;
    size_t n;
};

static struct likeness likeness_of(const struct twin *a, const struct twin *b)
{
    struct likeness l = {0};
    double earliest = INFINITY, latest = -INFINITY;

    for (size_t i = 0, k = 0; next_in_both(a, b, &i, &k); i++, k++) {
        const struct mark *x = &a->mark[i], *y = &b->mark[k];
        double began = x->start_min - y->start_min, ended = x->end_min - y->end_min;
        earliest = fmin(earliest, fmin(began, ended));
        latest = fmax(latest, fmax(began, ended));
        l.by_times_min = x->has_clock && y->has_clock ? fmax(l.by_times_min, (latest - earliest) / 2) : INFINITY;
        l.by_minutes_min = fmax(l.by_minutes_min, fabs(x->length_min - y->length_min));
        if (l.by_times_min > SECOND_LOG_MIN + 1e-9) l.by_times_min = INFINITY;
        if (l.by_minutes_min > SECOND_LOG_MIN + 1e-9) l.by_minutes_min = INFINITY;
        if (isinf(l.by_times_min) && isinf(l.by_minutes_min)) return l;
        l.n++;
    }
    return l;
}

/* Behind the last of the second one's steps that are held against the same of all other runs. */
static size_t end_of_held(const struct twin *a, const struct twin *b)
{
    size_t n = 0, end = 0;

    for (size_t i = 0, k = 0; n < MOST_STEPS_HELD && next_in_both(a, b, &i, &k); i++, k++, n++) end = k + 1;
    return end;
}

/* Chance that two rehearsals come so near in all their common steps. A step of the one is held against the same of all
 * other runs: as many of them as come so near to it, one more, and never less than by the scatter of a task done as
 * alike as crews do it. What keeps to a timetable in all runs is thus no sign of anything. */
static double log_chance_of_likeness(const struct twin *all, size_t n_run, size_t a, size_t b, double apart_min)
{
    const size_t end = end_of_held(&all[a], &all[b]);
    WR_SCOPED size_t *n_near = WR_NEW_ARRAY(size_t, end + 1), *n_other = WR_NEW_ARRAY(size_t, end + 1);
    double log_chance = 0;

    for (size_t c = 0; c < n_run; c++)
        for (size_t i = 0, k = 0; c != a && c != b && next_in_both(&all[c], &all[b], &i, &k) && k < end; i++, k++) {
            n_near[k] += fabs(all[c].mark[i].length_min - all[b].mark[k].length_min) <= apart_min + 1e-9;
            n_other[k]++;
        }
    for (size_t i = 0, k = 0; next_in_both(&all[a], &all[b], &i, &k) && k < end; i++, k++) {
        double among_others = (double)(n_near[k] + 1) / (double)(n_other[k] + 2);
        log_chance += fmax(log(among_others), log_chance_of(&all[a].mark[i], &all[b].mark[k], apart_min));
    }
    return log_chance;
}

/* Nearer than this no two logs tell runs apart. */
static double at_least_read(const struct twin *a, const struct twin *b, double apart_min)
{
    return fmax(apart_min, a->by_seconds && b->by_seconds ? SAME_SECOND_MIN : SAME_MINUTE_MIN);
}

static void find_second_log(const struct oddities *o, const struct twin *all, size_t a, size_t b)
{
    const size_t n_run = o->log->n_run;
    const double few = log(ANY_BY_CHANCE * 2 / (double)(n_run * (n_run - 1)));
    char what[120];

    if (n_run < FEW_RUNS || n_run > MOST_RUNS_HELD) return; /* nothing to hold two runs against; no set of rehearsals */
    struct likeness l = likeness_of(&all[a], &all[b]);
    if (l.n < ALIKE_STEPS) return;
    const double apart[] = {at_least_read(&all[a], &all[b], l.by_times_min),
                            at_least_read(&all[a], &all[b], l.by_minutes_min)};
    for (size_t by_minutes = 0; by_minutes < 2; by_minutes++) {
        if (isinf(apart[by_minutes]) || log_chance_of_likeness(all, n_run, a, b, apart[by_minutes]) >= few) continue;
        snprintf(what, sizeof what, "has in all %zu common steps, to %.0f s%s, the %s of", l.n, 60 * apart[by_minutes],
                 by_minutes ? "" : " and one shift of all", by_minutes ? "minutes" : "times");
        report_pair(o, "run-repeats", all[b].run->run, all[a].run->run, what);
        return;
    }
}

/* The people of a run, each once, and "" for nobody: [n] of room for as many as it has steps. */
static size_t people_of(const struct run_steps *r, const char **who)
{
    size_t n = 0;

    for (size_t i = 0; i < r->n; i++) {
        const char *name = r->step[i].performer;
        size_t k = 0;
        while (k < n && who[k] != name && strcmp(who[k], name) != 0) k++;
        if (k == n) who[n++] = name;
    }
    return n;
}

/* Does somebody stand in both, or may they? */
static bool may_share_people(const struct run_steps *a, const struct run_steps *b)
{
    WR_SCOPED const char **x = WR_NEW_ARRAY(const char *, a->n + 1), **y = WR_NEW_ARRAY(const char *, b->n + 1);
    const size_t n_x = people_of(a, x), n_y = people_of(b, y);
    bool named = false;

    for (size_t i = 0; i < n_x; i++)
        for (size_t k = 0; k < n_y && x[i][0]; k++) {
            if (!y[k][0]) continue;
            if (strcmp(x[i], y[k]) == 0) return true;
            named = true;
        }
    return !named;
}

static bool are_at_one_time(const struct oddities *o, const struct twin *a, const struct twin *b)
{
    const struct wr_log_run *x = &o->log->run[a->run->run], *y = &o->log->run[b->run->run];

    if (!x->day.known || !y->day.known || x->day.value != y->day.value) return false;
    if (!x->clock_min.known || !y->clock_min.known) return false;
    double from = fmax(x->clock_min.value, y->clock_min.value);
    double to = fmin(x->clock_min.value + a->span_min, y->clock_min.value + b->span_min);
    return to - from > fmin(a->span_min, b->span_min) / 2 && may_share_people(a->run, b->run);
}

static void find_twins(const struct oddities *o, const struct run_steps *runs)
{
    if (o->log->n_run > MOST_RUNS_COMPARED) return;
    WR_SCOPED struct mark *mark = WR_NEW_ARRAY(struct mark, o->log->n_step);
    WR_SCOPED struct twin *twin = WR_NEW_ARRAY(struct twin, o->log->n_run + 1);
    for (size_t r = 0, at = 0; r < o->log->n_run; at += runs[r++].n) twin[r] = twin_of(&runs[r], mark + at);
    for (size_t b = 1; b < o->log->n_run; b++)
        for (size_t a = 0; a < b; a++) {
            if (is_same(&runs[a], &runs[b])) continue; /* find_repeats has it */
            if (are_at_one_time(o, &twin[a], &twin[b]))
                report_pair(o, "runs-overlap", runs[b].run, runs[a].run, "is at the same time as");
            else if (is_nearly_same(&twin[a], &twin[b]))
                report_pair(o, "run-repeats", runs[b].run, runs[a].run,
                            twin[a].by_seconds && twin[b].by_seconds ? "has the same times, to some seconds, as"
                                                                     : "has the same times, to the minute, as");
            else find_second_log(o, twin, a, b);
        }
}

/* ---- one run under two names ---- */

static bool share_a_task(const struct run_steps *a, const struct run_steps *b)
{
    for (size_t i = 0, k = 0; i < a->n && k < b->n;) { /* by task in both */
        if (a->step[i].task == b->step[k].task) return true;
        if (a->step[i].task < b->step[k].task) i++;
        else k++;
    }
    return false;
}

/* "K1 (again)", "#K1" for "K1"; not K10. */
static bool holds_name(const char *longer, const char *name)
{
    WR_SCOPED_STR x = {0}, y = {0};

    wr_fold_name(&x, longer, strlen(longer));
    wr_fold_name(&y, name, strlen(name));
    bool begins = x.len > y.len && y.len > 0 && strncmp(x.text, y.text, y.len) == 0;
    bool ends = x.len > y.len && y.len > 0 && strcmp(x.text + x.len - y.len, y.text) == 0;
    char next = begins ? x.text[y.len] : ends ? x.text[x.len - y.len - 1] : '0';
    return next < '0' || next > '9';
}

/* The digits that letters may be taken for, and no zeros in front of a number: "R03" is "r3", "Rl" is "r1". */
static void add_as_read(struct wr_str *out, const char *name)
{
    WR_SCOPED_STR folded = {0};

    wr_fold_name(&folded, name, strlen(name));
    for (char *c = folded.text; *c; c++) *c = *c == 'o' ? '0' : strchr("li|", *c) ? '1' : *c;
    for (size_t i = 0; i < folded.len; i++) {
        bool opens = i == 0 || !isdigit((unsigned char)folded.text[i - 1]);
        while (opens && folded.text[i] == '0' && isdigit((unsigned char)folded.text[i + 1])) i++;
        wr_str_add_char(out, folded.text[i]);
    }
}

static bool reads_alike(const char *a, const char *b)
{
    WR_SCOPED_STR x = {0}, y = {0};

    add_as_read(&x, a);
    add_as_read(&y, b);
    return strcmp(wr_str_text(&x), wr_str_text(&y)) == 0;
}

/* Of two names that read alike the run of fewer steps, or the later one, is the part. */
static bool may_be_part(const struct oddities *o, const struct run_steps *part, const struct run_steps *whole)
{
    const char *id = o->log->run[part->run].id, *of = o->log->run[whole->run].id;

    if (holds_name(id, of)) return true;
    return (part->n < whole->n || (part->n == whole->n && part->run > whole->run)) && reads_alike(id, of);
}

/* Of one day, without a task in common, and one name within the other, or hardly to be told from it. */
static void find_parts(const struct oddities *o, const struct run_steps *runs)
{
    for (size_t b = 0; b < o->log->n_run && o->log->n_run <= MOST_RUNS_COMPARED; b++)
        for (size_t a = 0; a < o->log->n_run; a++) {
            const struct wr_log_run *whole = &o->log->run[runs[a].run], *part = &o->log->run[runs[b].run];
            WR_SCOPED_STR row = {0}, own = {0};
            if (a == b || whole->day.known != part->day.known || whole->day.value != part->day.value) continue;
            if (!may_be_part(o, &runs[b], &runs[a]) || share_a_task(&runs[a], &runs[b])) continue;
            if (wr_alias_is_given(o->options->aliases, WR_NAME_RUN, part->id)) continue;
            wr_alias_add_row(&row, WR_NAME_RUN, part->id, whole->id);
            wr_alias_add_row(&own, WR_NAME_RUN, part->id, part->id);
            wr_findings_add(o->findings, WR_WARNING, "run-in-parts", o->log->file[part->file], part->line, 0,
                            "run '%.60s' has no task in common with run '%.60s': one run under two names? A row of "
                            "names.csv says it: %s (one), or %s (two)",
                            part->id, whole->id, row.text, own.text);
        }
}

/* ---- a run that is the plan ---- */

/* Five steps or more, and nearly all of them as long as the plan has them, to the second. */
static bool is_as_planned(const struct oddities *o, const struct run_steps *run)
{
    size_t n_same = 0, n_planned = 0;

    for (size_t i = 0; i < run->n && o->options->plan; i++) {
        const struct wr_log_step *s = &run->step[i];
        size_t k = wr_plan_find(o->options->plan, o->log->task[s->task]);
        if (k == SIZE_MAX || !o->options->plan->task[k].planned_min.known || s->outcome != WR_DONE) continue;
        n_planned++;
        n_same += fabs(s->active_min - o->options->plan->task[k].planned_min.value) < 1e-3 && s->hold_min == 0;
    }
    return n_same >= 5 && 10 * n_same >= 9 * n_planned;
}

static void find_planned(const struct oddities *o, const struct run_steps *runs)
{
    for (size_t r = 0; r < o->log->n_run; r++) {
        const struct wr_log_run *run = &o->log->run[runs[r].run];
        if (wr_alias_is_given(o->options->aliases, WR_NAME_RUN, run->id) || !is_as_planned(o, &runs[r])) continue;
        WR_SCOPED_STR row = {0};
        wr_alias_add_row(&row, WR_NAME_RUN, run->id, run->id);
        wr_findings_add(o->findings, WR_WARNING, "run-is-plan", o->log->file[run->file], run->line, 0,
                        "the steps of run '%.60s' take just what the plan allots, to the second: is it the plan, "
                        "pasted as a rehearsal? take it out, or let names.csv say that it is none: %s",
                        run->id, row.text);
    }
}

static void find_plans(const struct oddities *o)
{
    static const char *const word[] = {"plan",     "planned", "asplanned", "theplan", "plannedtimes", "template",
                                       "timeline", "nominal", "schedule",  "target",  "example"};
    WR_SCOPED_STR folded = {0};

    for (size_t r = 0; r < o->log->n_run; r++) {
        const struct wr_log_run *run = &o->log->run[r];
        if (wr_alias_is_given(o->options->aliases, WR_NAME_RUN, run->id)) continue;
        wr_str_clear(&folded);
        wr_fold_name(&folded, run->id, strlen(run->id));
        for (size_t i = 0; i < sizeof word / sizeof *word; i++)
            if (strcmp(word[i], folded.text) == 0)
                wr_findings_add(o->findings, WR_WARNING, "run-is-plan", o->log->file[run->file], run->line, 0,
                                "run '%.60s' counts as a rehearsal: if it is the plan, move its rows to plan.csv; if "
                                "it is an example, take them out",
                                run->id);
    }
}

/* ---- a run that was begun again ---- */

static const struct wr_log_step *first_of(const struct run_steps *r)
{
    const struct wr_log_step *first = NULL;

    for (size_t i = 0; i < r->n; i++)
        if (r->step[i].has_clock && (!first || r->step[i].start_min < first->start_min)) first = &r->step[i];
    return first;
}

static bool comes_between(const struct run_steps *r, const struct wr_log_step *from, const struct wr_log_step *to)
{
    for (size_t i = 0; i < r->n; i++)
        if (r->step[i].has_clock && r->step[i].task != from->task && r->step[i].start_min >= from->end_min &&
            r->step[i].start_min < to->start_min)
            return true;
    return false;
}

/* How many tasks of it stand there again, other work having come between. */
static size_t begun_again(const struct run_steps *r, bool *opening)
{
    const struct wr_log_step *first = first_of(r);
    size_t n = 0;

    *opening = false;
    for (size_t i = 1; i < r->n; i++) {
        const struct wr_log_step *s = &r->step[i], *before = s - 1;
        bool same = s->task == before->task && strcmp(s->step, before->step) == 0;
        if (!same || !s->has_clock || !before->has_clock || !comes_between(r, before, s)) continue;
        n++;
        *opening |= s->task == first->task;
    }
    return n;
}

static void find_restarts(const struct oddities *o, const struct run_steps *runs)
{
    WR_SCOPED size_t *n_task = WR_NEW_ARRAY(size_t, o->log->n_run);
    size_t n_again = 0;

    for (size_t r = 0; r < o->log->n_run; r++) {
        bool opening;
        size_t n = begun_again(&runs[r], &opening);
        if (n < 2 || !opening) continue;
        n_task[r] = n;
        n_again++;
    }
    if (2 * n_again > o->log->n_run) return; /* that is how they work */
    for (size_t r = 0; r < o->log->n_run; r++) {
        const struct wr_log_run *run = &o->log->run[runs[r].run];
        if (!n_task[r]) continue;
        wr_findings_add(o->findings, WR_WARNING, "run-restarted", o->log->file[run->file], run->line, 0,
                        "run '%.60s': %zu of its tasks stand there twice, with that with which it begins: begun again? "
                        "give the second beginning a run of its own name",
                        run->id, n_task[r]);
    }
}

/* ---- a task that covers its runs ---- */

struct cover { /* in one run */
    double begin_min, end_min; /* of what is timed there */
    size_t n;
};

static void widen(struct cover *c, const struct wr_log_step *s)
{
    if (!s->has_clock) return;
    if (c->n == 0 || s->start_min < c->begin_min) c->begin_min = s->start_min;
    if (c->n == 0 || s->end_min > c->end_min) c->end_min = s->end_min;
    c->n++;
}

/* Of all steps of the run but this one's, in its lanes: one can be with the line all the time while the other works. */
static struct cover of_others(const struct wr_log_step *first, const struct wr_log_step *last,
                              const struct wr_log_step *but)
{
    struct cover c = {0};

    for (const struct wr_log_step *s = first; s < last; s++)
        if (s->task != but->task && crews_may_share_a_lane(s->crew, but->crew)) widen(&c, s);
    return c;
}

/* Alone in its run from the first start to the last end of at least FEW_STEPS others: "EVA 9:12 12:40". */
static void find_covering_tasks(const struct oddities *o)
{
    const struct wr_run_log *log = o->log;
    WR_SCOPED unsigned char *said = WR_NEW_ARRAY(unsigned char, log->n_task);

    for (size_t from = 0, to; from < log->n_step; from = to) {
        double longest = -1;
        const struct wr_log_step *s = NULL;
        for (to = from; to < log->n_step && log->step[to].run == log->step[from].run; to++) {
            const struct wr_log_step *t = &log->step[to];
            if (!t->has_clock || t->end_min - t->start_min <= longest) continue;
            longest = t->end_min - t->start_min;
            s = t;
        }
        if (!s || said[s->task] || oddity_is_meant(o, log->task[s->task])) continue;
        struct cover others = of_others(log->step + from, log->step + to, s);
        if (others.n < FEW_STEPS || s->start_min > others.begin_min || s->end_min < others.end_min) continue;
        said[s->task] = 1;
        WR_SCOPED_STR row = {0};
        wr_alias_add_row(&row, WR_NAME_TASK, log->task[s->task], log->task[s->task]);
        wr_findings_add(o->findings, WR_WARNING, "covers-run", log->file[s->file], s->line, 0,
                        "task '%.60s' of run '%.60s' lasts from the first start to the last end of all its other "
                        "tasks: the whole of it, and no task? take such rows out, or let names.csv say that it is one: "
                        "%s",
                        log->task[s->task], log->run[s->run].id, row.text);
    }
}

void log_find_odd_runs(const struct oddities *o)
{
    WR_SCOPED struct run_steps *runs = steps_by_run(o->log);

    find_restarts(o, runs);
    find_twins(o, runs);
    find_parts(o, runs);
    find_repeats(o, runs);
    find_plans(o);
    find_planned(o, runs);
    find_covering_tasks(o);
}
