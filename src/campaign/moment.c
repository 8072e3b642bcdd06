#include "wetrun/campaign/moment.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "bare_times.h"

static const double TOO_LATE_MIN = 1e5; /* ten weeks */
static const char no_time[] = "is no time: write h:mm or h:mm:ss";

static bool refuse(char trouble[WR_MOMENT_TROUBLE], const char *why)
{
    snprintf(trouble, WR_MOMENT_TROUBLE, "%s", why);
    return false;
}

static bool by_the_clock(const struct wr_moment_reader *r)
{
    return r->start_min.known && r->start_min.value != 0;
}

/* 4.05: both readings. */
static bool ask(const char *text, enum bare_doubt doubt, double minutes, const struct wr_moment_reader *r,
                char trouble[WR_MOMENT_TROUBLE])
{
    char other[WR_CLOCK_TEXT], as_minutes[WR_CLOCK_TEXT];

    bare_times_other_reading(text, doubt, r->decimal_comma, other);
    if (fmod(minutes, 1) != 0) wr_hmmss(minutes, as_minutes);
    else wr_hmm(minutes, as_minutes);
    snprintf(trouble, WR_MOMENT_TROUBLE, "may be %s%s, or %s minutes (%s): write the one that is meant", other,
             doubt == MAY_BE_DAY ? " as a fraction of a day" : "", text, as_minutes);
    return false;
}

/* A number without a colon. */
static bool read_number(const struct wr_moment_reader *r, const char *text, const struct wr_bare_shape *shape,
                        enum wr_bare *bare, char trouble[WR_MOMENT_TROUBLE])
{
    struct bare_times alone = {0};

    bare_times_add(&alone, text, shape, true);
    enum bare_doubt doubt = bare_times_doubt(&alone);
    *bare = WR_BARE_ELAPSED;
    if (r->numbers == WR_NUMBERS_MINUTES) return true;
    if (r->numbers == WR_NUMBERS_CLOCK || wr_colon_was_lost(shape)) {
        *bare = WR_BARE_CLOCK;
        return true;
    }
    if (by_the_clock(r))
        return refuse(trouble, "may be a time of day or minutes since the beginning: write the time of day, as h:mm");
    return doubt == NO_DOUBT || ask(text, doubt, shape->value, r, trouble);
}

/* Minutes of the day or since the beginning, whichever the reader takes. */
static bool is_told_apart(const struct wr_moment_reader *r, const struct wr_log_time *time, enum wr_spelling spelling,
                          char trouble[WR_MOMENT_TROUBLE])
{
    bool of_day = time->kind != WR_TIME_ELAPSED && (time->kind != WR_TIME_CLOCK || spelling == WR_SP_AM_PM);

    if (!of_day || r->start_min.known) return true;
    return refuse(trouble, "is a time of day: say first at which time of day it all began (--start H:MM)");
}

static double elapsed_of(const struct wr_moment_reader *r, const struct wr_log_time *time)
{
    double minutes = (double)time->ns / (double)WR_NS_PER_MIN;

    if (time->kind == WR_TIME_ELAPSED || !r->start_min.known) return minutes;
    double since = fmod(minutes - r->start_min.value, 24 * 60);
    return since < 0 ? since + 24 * 60 : since;
}

bool wr_read_moment(const struct wr_moment_reader *r, const char *text, double *minutes, enum wr_spelling *spelling,
                    char trouble[WR_MOMENT_TROUBLE])
{
    struct wr_habits habits = {.colons_are_elapsed = !by_the_clock(r), .decimal_comma = r->decimal_comma,
                               .minutes_per_unit = 1};
    struct wr_log_time time;
    struct wr_time_core core;

    if (wr_cut_time_marks(text, strlen(text), &core) && !core.zone && !core.hours) {
        bool read = wr_read_moment(r, core.text, minutes, spelling, trouble);
        *spelling = WR_SP_ABOUT;
        return read;
    }
    struct wr_bare_shape shape = wr_bare_shape_of(text, strlen(text), r->decimal_comma);
    if (shape.is_number && text[strspn(text, "0123456789.,")] != '\0') return refuse(trouble, no_time); /* 1e3, -1 */
    if (shape.is_number && !read_number(r, text, &shape, &habits.bare, trouble)) return false;
    const char *why = wr_written_time(text, strlen(text), &habits, &time, spelling);
    if (why && strstr(why, "doubtful")) return refuse(trouble, "is doubtful: write it without its question mark");
    if (why) return refuse(trouble, wr_goes_beyond_59(text) ? "goes beyond 59 in its minutes: write h:mm" : no_time);
    if (!is_told_apart(r, &time, *spelling, trouble)) return false;
    *minutes = elapsed_of(r, &time);
    return *minutes < TOO_LATE_MIN || refuse(trouble, "is too late to be meant: write h:mm");
}
