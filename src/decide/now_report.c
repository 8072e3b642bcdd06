/* Reading what was reported during the excursion. */
#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/decide/update.h"

/* Longest task identifier that the text begins with and that is followed by @ or =; SIZE_MAX: none. */
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
    return found;
}

static bool read_moment(const char *text, size_t n, double *minutes)
{
    char buf[32];

    if (n == 0 || n >= sizeof buf) return false;
    memcpy(buf, text, n);
    buf[n] = '\0';
    return wr_parse_elapsed(buf, minutes);
}

/* time[n]: "H:MM" or "H:MM-H:MM" after @, "H:MM" after =. */
static bool read_times(char sign, const char *time, size_t n, struct wr_now_event *event)
{
    const char *dash = memchr(time, '-', n);

    if (sign == '=') {
        event->end_min.known = read_moment(time, n, &event->end_min.value);
        return event->end_min.known;
    }
    size_t first = dash ? (size_t)(dash - time) : n;
    event->begin_min.known = read_moment(time, first, &event->begin_min.value);
    if (!dash) return event->begin_min.known;
    event->end_min.known = read_moment(dash + 1, n - first - 1, &event->end_min.value);
    return event->begin_min.known && event->end_min.known;
}

static enum wr_status read_item(struct wr_now *now, const char *item, size_t n, const struct wr_plan *plan,
                                struct wr_maybe *said_now, struct wr_error *err)
{
    struct wr_now_event event = {0};
    size_t id = 0;

    if (item[0] == '@') {
        said_now->known = read_moment(item + 1, n - 1, &said_now->value);
        if (said_now->known) return WR_OK;
        return wr_fail(err, WR_E_USAGE, "'%.*s' is no moment: write @H:MM", (int)n, item);
    }
    event.task = leading_task(plan, item, &id);
    if (event.task == SIZE_MAX)
        return wr_fail(err, WR_E_USAGE, "'%.*s' does not name a task of the plan, followed by @ or =", (int)n, item);
    if (!read_times(item[id], item + id + 1, n - id - 1, &event))
        return wr_fail(err, WR_E_USAGE, "'%.*s' has no such time: write TASK@H:MM (begun), TASK@H:MM-H:MM (begun and done) or "
                       "TASK=H:MM (done)", (int)n, item);
    if (event.begin_min.known && event.end_min.known && event.end_min.value < event.begin_min.value)
        return wr_fail(err, WR_E_USAGE, "'%.*s' is done before it has begun", (int)n, item);
    for (size_t i = 0; i < now->n_event; i++)
        if (now->event[i].task == event.task)
            return wr_fail(err, WR_E_USAGE, "'%s' is reported twice", plan->task[event.task].id);
    *WR_PUSH(now->event, now->n_event, now->room) = event;
    return WR_OK;
}

/* Where the item ends: at the next comma after its task and sign, for identifiers may hold commas. */
static size_t item_length(const struct wr_plan *plan, const char *text)
{
    size_t id = 0;

    if (leading_task(plan, text, &id) == SIZE_MAX) id = 0;
    return id + strcspn(text + id, ",");
}

enum wr_status wr_now_parse(struct wr_now *now, const char *text, const struct wr_plan *plan, struct wr_error *err)
{
    struct wr_maybe said_now = WR_UNKNOWN;
    enum wr_status status = WR_OK;
    double latest = 0;

    *now = (struct wr_now){0};
    for (const char *item = text; status == WR_OK;) {
        size_t n = item_length(plan, item);
        status = read_item(now, item, n, plan, &said_now, err);
        if (item[n] == '\0') break;
        item += n + 1;
    }
    for (size_t i = 0; i < now->n_event; i++) {
        if (now->event[i].begin_min.known) latest = fmax(latest, now->event[i].begin_min.value);
        if (now->event[i].end_min.known) latest = fmax(latest, now->event[i].end_min.value);
    }
    now->now_min = said_now.known ? said_now.value : latest;
    if (status == WR_OK && now->n_event == 0)
        status = wr_fail(err, WR_E_USAGE, "'%s' names no task: write TASK@H:MM", text);
    if (status == WR_OK && latest > now->now_min) {
        char at[WR_CLOCK_TEXT], later[WR_CLOCK_TEXT];
        status = wr_fail(err, WR_E_USAGE, "it is said to be %s now, but something is reported for %s",
                         wr_hmm(now->now_min, at), wr_hmm(latest, later));
    }
    if (status != WR_OK) wr_now_release(now);
    return status;
}

void wr_now_release(struct wr_now *now)
{
    wr_free(now->event);
    *now = (struct wr_now){0};
}
