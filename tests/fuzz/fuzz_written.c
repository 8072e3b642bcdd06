/* Any bytes as a time, a date, a number, a span, a moment, a confidence: at the exact end of what was allocated, so
 * that nothing beyond is read; what is taken lies within what the headers promise. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/log_time.h"
#include "wetrun/campaign/written.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

#define HOLDS(condition) WR_BUG_IF(!(condition))

/* Nothing behind the n bytes, not even a NUL. */
static void try_plain_times(const char *text, size_t n)
{
    struct wr_log_time time = {0};
    int64_t day;
    char written[16];

    if (wr_parse_log_time(text, n, &time) == WR_TIME_OK) {
        HOLDS(time.kind != WR_TIME_NONE);
        HOLDS(time.kind != WR_TIME_CLOCK || (time.ns >= 0 && time.ns <= WR_NS_PER_DAY));
    }
    if (wr_parse_log_date(text, n, &day)) { /* written and read again it is the same day */
        int64_t back;
        wr_date_text(day, written);
        HOLDS(wr_parse_log_date(written, strlen(written), &back) && back == day);
    }
}

static void try_times(const char *text, size_t n, const struct wr_habits *habits)
{
    struct wr_log_time again = {0};
    enum wr_spelling spelling = WR_PLAIN;
    int64_t day;
    int first, second;

    if (!wr_written_time(text, n, habits, &again, &spelling)) HOLDS(again.kind != WR_TIME_NONE);
    if (!wr_written_date(text, n, habits, &day, &spelling)) HOLDS(day > -200000 && day < 200000);
    (void)wr_bare_shape_of(text, n, habits->order == WR_DAY_FIRST);
    (void)wr_slash_date_parts(text, n, &first, &second);
}

static void try_amounts(const char *text, const struct wr_habits *habits)
{
    enum wr_spelling spelling;
    double value;

    if (!wr_written_number(text, habits, &value, &spelling)) HOLDS(isfinite(value));
    if (!wr_written_span(text, habits, &value, &spelling)) HOLDS(isfinite(value));
    if (!wr_written_moment(text, habits, &value, &spelling)) HOLDS(isfinite(value));
    if (!wr_written_confidence(text, habits, &value, &spelling)) HOLDS(value > 0.5 && value < 1);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0) return 0;
    const struct wr_habits habits = {.order = (enum wr_date_order)(bytes[0] % 3),
                                     .minutes_per_unit = bytes[0] & 4 ? 60 : 0};
    char *exact = malloc(n > 1 ? n - 1 : 1), *text = malloc(n);

    WR_BUG_IF(!exact || !text);
    memcpy(exact, bytes + 1, n - 1);
    memcpy(text, bytes + 1, n - 1);
    text[n - 1] = '\0';
    try_plain_times(exact, n - 1);
    if (!memchr(text, '\0', n - 1)) try_times(text, n - 1, &habits);
    try_amounts(text, &habits);
    free(exact);
    free(text);
    return 0;
}
