#include "bare_times.h"

#include <stdio.h>
#include <string.h>
#include "wetrun/base/error.h"

void bare_times_add(struct bare_times *t, const char *text, const struct wr_bare_shape *s, bool is_start)
{
    t->n_point += s->point_clock;
    t->n_clock += s->bare_clock;
    t->n_day += s->value >= 0 && s->value <= 1;
    t->n_inside += s->value > 0 && s->value < 1;
    t->n_four += s->four_digits;
    t->n_zero += s->leading_zero;
    t->n_fraction += s->has_fraction;
    t->n_one_decimal += s->one_decimal;
    t->n_ends_in_zero += s->has_fraction && s->ends_in_zero;
    if (is_start && (t->n_bare == 0 || s->value < t->least_start)) t->least_start = s->value;
    if (s->value > t->most) t->most = s->value;
    if (t->n_bare++ == 0) snprintf(t->example, sizeof t->example, "%.30s", text);
}

/* A run that begins at 0 counts from its start. Numbers that no clock could show are minutes. */
enum bare_doubt bare_times_doubt(const struct bare_times *t)
{
    bool from_zero = t->least_start == 0;

    if (t->n_day == t->n_bare && t->n_inside > 0) return MAY_BE_DAY;
    if (t->n_clock == t->n_bare && t->most >= 100 && (!from_zero || t->n_zero > 0)) return MAY_BE_BARE_CLOCK;
    if (t->n_point == t->n_bare && t->n_fraction > 0 && !from_zero) return MAY_BE_POINT_CLOCK;
    return NO_DOUBT;
}

bool bare_times_are_clock(const struct bare_times *t)
{
    return bare_times_doubt(t) == MAY_BE_BARE_CLOCK && t->n_four == t->n_bare && t->least_start != 0;
}

void bare_times_other_reading(const char *text, enum bare_doubt doubt, bool decimal_comma, char reading[WR_CLOCK_TEXT])
{
    struct wr_habits habits = {.bare = doubt == MAY_BE_DAY ? WR_BARE_DAY : WR_BARE_CLOCK,
                               .whole_hours = doubt == MAY_BE_POINT_CLOCK,
                               .zeros_were_dropped = true, .decimal_comma = decimal_comma};
    struct wr_log_time time;
    enum wr_spelling spelling;

    WR_BUG_IF(wr_written_time(text, strlen(text), &habits, &time, &spelling) != NULL); /* else there was no doubt */
    if (time.ns % WR_NS_PER_MIN) wr_hmmss((double)time.ns / (double)WR_NS_PER_MIN, reading);
    else wr_hmm((double)time.ns / (double)WR_NS_PER_MIN, reading);
}
