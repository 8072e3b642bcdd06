/* Reading what was reported during the excursion. */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/moment.h"
#include "wetrun/decide/update.h"

/* The task before an @ or =, with the length of its name: the longest identifier that stands there as it is, else what
 * the first text before such a sign means (wr_plan_resolve); SIZE_MAX: none. A name may hold the signs and commas. */
static size_t leading_task(const struct wr_plan *plan, const char *text, size_t *length)
{
    size_t found = SIZE_MAX;

    for (size_t k = 0; k < plan->n_task; k++) {
        size_t n = strlen(plan->task[k].id);
        if (strncmp(text, plan->task[k].id, n) != 0 || (text[n] != '@' && text[n] != '=')) continue;
        if (found != SIZE_MAX && n <= *length) continue;
        found = k;
        *length = n;
    }
    for (size_t n = strcspn(text, "@="); found == SIZE_MAX && text[n]; n += 1 + strcspn(text + n + 1, "@=")) {
        WR_SCOPED_STR name = {0};
        const char *from = text, *to = text + n;
        wr_trim(&from, &to);
        wr_str_addf(&name, "%.*s", (int)(to - from), from);
        found = wr_plan_resolve(plan, name.text, NULL);
        *length = n;
    }
    return found;
}

static enum wr_status no_such_task(const char *item, size_t n, const struct wr_plan *plan, struct wr_error *err)
{
    size_t sign = strcspn(item, "@=");
    const char *from = item, *end = item + sign;
    WR_SCOPED_STR name = {0}, text = {0};

    if (sign >= n)
        return wr_fail(err, WR_E_USAGE,
                       "'%.*s' names no task with a moment: write TASK@H:MM (begun), TASK@H:MM-H:MM (begun and "
                       "done), TASK=H:MM (done) or @H:MM (it is now)",
                       (int)n, item);
    wr_trim(&from, &end);
    wr_str_addf(&name, "%.*s", (int)(end - from), from);
    wr_plan_say_no_task(plan, name.text, &text);
    return wr_fail(err, WR_E_USAGE, "'%.*s': %s", (int)n, item, text.text);
}

/* What is read, with the words for what cannot be: "'4:75' is no time: …". */
struct now_reader {
    struct wr_moment_reader moment;
    char trouble[WR_MOMENT_TROUBLE + 64];
};

static bool read_moment(struct now_reader *r, const char *text, size_t n, struct wr_maybe *moment)
{
    char buf[64], why[WR_MOMENT_TROUBLE];
    enum wr_spelling spelling;
    const char *end = text + n;

    wr_trim(&text, &end);
    snprintf(buf, sizeof buf, "%.*s", (int)fmin((double)(end - text), 60), text);
    moment->known = wr_read_moment(&r->moment, buf, &moment->value, &spelling, why);
    if (!moment->known) snprintf(r->trouble, sizeof r->trouble, "'%.40s' %s", buf, why);
    return moment->known;
}

/* time[n]: "H:MM" or "H:MM-H:MM" after @, "H:MM" after =. */
static bool read_times(struct now_reader *r, char sign, const char *time, size_t n, struct wr_now_event *event)
{
    const char *dash = memchr(time, '-', n);

    if (sign == '=') return read_moment(r, time, n, &event->end_min);
    size_t first = dash ? (size_t)(dash - time) : n;
    if (!read_moment(r, time, first, &event->begin_min)) return false;
    return !dash || read_moment(r, dash + 1, n - first - 1, &event->end_min);
}

static enum wr_status add_event(struct wr_now *now, struct wr_now_event event, const struct wr_plan *plan,
                                struct wr_error *err)
{
    const char *id = plan->task[event.task].id;

    if (event.begin_min.known && event.end_min.known && event.end_min.value < event.begin_min.value)
        return wr_fail(err, WR_E_USAGE, "'%s' is reported done before it has begun: write %s@H:MM-H:MM", id, id);
    for (size_t i = 0; i < now->n_event; i++)
        if (now->event[i].task == event.task)
            return wr_fail(err, WR_E_USAGE, "'%s' is reported twice: leave one out", id);
    *WR_PUSH(now->event, now->n_event, now->room) = event;
    return WR_OK;
}

static enum wr_status say_now(struct wr_now *now, double minutes, struct wr_error *err)
{
    if (now->said_min.known) return wr_fail(err, WR_E_USAGE, "what time it is now is said twice: leave one out");
    now->said_min = wr_known(minutes);
    return WR_OK;
}

static enum wr_status read_item(struct wr_now *now, struct now_reader *r, const char *item, size_t n,
                                const struct wr_plan *plan, struct wr_error *err)
{
    static const char shape[] = "TASK@H:MM (begun), TASK@H:MM-H:MM (begun and done), TASK=H:MM (done) or @H:MM (it is "
                                "now)";
    struct wr_now_event event = {0};
    struct wr_maybe said;
    size_t id = 0;

    if (item[0] == '@') {
        if (read_moment(r, item + 1, n - 1, &said)) return say_now(now, said.value, err);
        return wr_fail(err, WR_E_USAGE, "'%.*s': %s", (int)n, item, r->trouble);
    }
    event.task = leading_task(plan, item, &id);
    if (event.task == SIZE_MAX) return no_such_task(item, n, plan, err);
    if (n == id + 1) return wr_fail(err, WR_E_USAGE, "'%.*s' has no time: write %s", (int)n, item, shape);
    if (!read_times(r, item[id], item + id + 1, n - id - 1, &event))
        return wr_fail(err, WR_E_USAGE, "'%.*s': %s", (int)n, item, r->trouble);
    return add_event(now, event, plan, err);
}

/* Where the item ends: at the next comma after its task and sign, for identifiers may hold commas. */
static size_t item_length(const struct wr_plan *plan, const char *text)
{
    size_t id = 0;

    if (leading_task(plan, text, &id) == SIZE_MAX) id = 0;
    return id + strcspn(text + id, ",");
}

enum wr_status wr_now_parse(struct wr_now *now, const char *text, const struct wr_plan *plan, struct wr_maybe start,
                            struct wr_error *err)
{
    struct now_reader reader = {.moment = {.start_min = start}};
    enum wr_status status = WR_OK;

    for (const char *item = text; status == WR_OK;) {
        while (*item == ' ') item++;
        size_t n = item_length(plan, item);
        status = read_item(now, &reader, item, n, plan, err);
        if (item[n] == '\0') break;
        item += n + 1;
    }
    if (status != WR_OK) wr_now_release(now);
    return status;
}

enum wr_status wr_now_take(struct wr_now *now, const struct wr_day_report *report, const struct wr_plan *plan,
                           struct wr_error *err)
{
    enum wr_status status = WR_OK;

    now->part_min = WR_NEW_ARRAY(double, plan->n_task);
    for (size_t i = 0; i < report->n_row && status == WR_OK; i++) {
        const struct wr_day_report_row *row = &report->row[i];
        struct wr_now_event event = {row->task, row->start_min, row->end_min, row->hold_min};
        if (row->task == SIZE_MAX) status = say_now(now, event.begin_min.value, err);
        else status = add_event(now, event, plan, err);
        if (row->task != SIZE_MAX && !row->end_min.known) now->part_min[row->task] = row->last_min;
    }
    if (status != WR_OK) wr_now_release(now);
    return status;
}

/* Of a task that still runs only where it is said how late it is. */
static enum wr_status check_holds(const struct wr_now *now, const struct wr_plan *plan, struct wr_error *err)
{
    for (size_t i = 0; i < now->n_event; i++) {
        const struct wr_now_event *e = &now->event[i];
        if (!e->end_min.known && !now->said_min.known) continue;
        double active, length = (e->end_min.known ? e->end_min.value : now->now_min) -
                                (e->begin_min.known ? e->begin_min.value : 0);
        if (!wr_without_hold(length, e->hold_min, &active))
            return wr_fail(err, WR_E_USAGE,
                           "'%s' was held %.6g min of the %.6g min that it has taken: correct the hold, or the times",
                           plan->task[e->task].id, e->hold_min, length);
    }
    return WR_OK;
}

enum wr_status wr_now_close(struct wr_now *now, const struct wr_plan *plan, struct wr_error *err)
{
    double latest = 0;

    for (size_t i = 0; i < now->n_event; i++) {
        if (now->event[i].begin_min.known) latest = fmax(latest, now->event[i].begin_min.value);
        if (now->part_min) latest = fmax(latest, now->part_min[now->event[i].task]);
        if (now->event[i].end_min.known) latest = fmax(latest, now->event[i].end_min.value);
    }
    now->now_min = now->said_min.known ? now->said_min.value : latest;
    if (now->n_event == 0) return wr_fail(err, WR_E_USAGE, "nothing is said of any task: write TASK@H:MM");
    if (latest <= now->now_min) return check_holds(now, plan, err);
    return wr_fail(err, WR_E_USAGE, "it is said to be %s now, but something is reported for %s: correct one of the two",
                   wr_hmm(now->now_min, WR_ROOM), wr_hmm(latest, WR_ROOM));
}

enum wr_status wr_now_ask_if_late(const struct wr_now *now, struct wr_maybe start, double longest_min,
                                  struct wr_error *err)
{
    if (now->now_min <= longest_min || (start.known && start.value == 0)) return WR_OK;
    if (!start.known)
        return wr_fail(
            err, WR_E_USAGE,
            "%s after the beginning is later than any excursion that was simulated ends (%s): if it is a "
            "time of day, add --start H:MM, the time of day at which the excursion began; if it is elapsed time, add "
            "--start 0:00",
            wr_hmm(now->now_min, WR_ROOM), wr_hmm(longest_min, WR_ROOM));
    return wr_fail(err, WR_E_USAGE,
                   "read as times of day, with the beginning at %s, the report goes to %s after it, later than any "
                   "excursion that was simulated ends (%s): if times are elapsed, write --start 0:00",
                   wr_hmm(start.value, WR_ROOM), wr_hmm(now->now_min, WR_ROOM), wr_hmm(longest_min, WR_ROOM));
}

void wr_now_release(struct wr_now *now)
{
    WR_FREE(now->event, now->part_min);
    *now = (struct wr_now){0};
}
