#include "wetrun/present/words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

int wr_count_of_100(double prob)
{
    int n = (int)floor(100.0 * prob + 0.5);

    return n < 0 ? 0 : n > 100 ? 100 : n;
}

enum rarity { COUNTED, RARE, NEARLY_ALL };

/* "Never" and "always" are claimed of nothing that was simulated. */
static enum rarity rarity_of(double prob)
{
    int n = wr_count_of_100(prob);

    return n == 0 ? RARE : n == 100 ? NEARLY_ALL : COUNTED;
}

const char *wr_of_100(double prob, char buf[WR_WORDS])
{
    switch (rarity_of(prob)) {
    case RARE: snprintf(buf, WR_WORDS, "fewer than 1"); break;
    case NEARLY_ALL: snprintf(buf, WR_WORDS, "more than 99"); break;
    case COUNTED: snprintf(buf, WR_WORDS, "%d", wr_count_of_100(prob)); break;
    }
    return buf;
}

const char *wr_of_100_cell(double prob, char buf[WR_WORDS])
{
    switch (rarity_of(prob)) {
    case RARE: snprintf(buf, WR_WORDS, "<1"); break;
    case NEARLY_ALL: snprintf(buf, WR_WORDS, ">99"); break;
    case COUNTED: snprintf(buf, WR_WORDS, "%d", wr_count_of_100(prob)); break;
    }
    return buf;
}

/* NULL: neither; of a mean over draws the last bits tell nothing. */
static const char *all_or_none(double prob)
{
    return prob < 1e-9 ? "none" : prob > 1 - 1e-9 ? "all" : NULL;
}

const char *wr_of_100_certain(double prob, bool certain, char buf[WR_WORDS])
{
    const char *word = certain ? all_or_none(prob) : NULL;

    return word ? word : wr_of_100(prob, buf);
}

const char *wr_of_100_certain_cell(double prob, bool certain, char buf[WR_WORDS])
{
    const char *word = certain ? all_or_none(prob) : NULL;

    return word ? word : wr_of_100_cell(prob, buf);
}

const char *wr_chance(const struct wr_probability *p, char buf[WR_WORDS])
{
    return wr_of_100_certain(p->mean, p->certain, buf);
}

const char *wr_chance_cell(const struct wr_probability *p, char buf[WR_WORDS])
{
    return wr_of_100_certain_cell(p->mean, p->certain, buf);
}

const char *wr_go_over(double prob)
{
    return wr_count_of_100(prob) == 1 ? "goes over" : "go over";
}

/* ---- moments ---- */

static _Thread_local bool to_the_second; /* of the thread that shows: 70 sentences and cells need it */

void wr_moments_to_the_second(bool on)
{
    to_the_second = on;
}

bool wr_moments_are_to_the_second(void)
{
    return to_the_second;
}

const char *wr_moment(double minutes, char buf[WR_CLOCK_TEXT])
{
    return to_the_second ? wr_hmmss(minutes, buf) : wr_hmm(minutes, buf);
}

double wr_moment_by_min(double minutes)
{
    return to_the_second ? wr_shown_by_min(minutes * 60) / 60 : wr_shown_by_min(minutes);
}

const char *wr_moment_by(double minutes, char buf[WR_CLOCK_TEXT])
{
    return wr_moment(wr_moment_by_min(minutes), buf);
}

double wr_moment_gap_min(double from_min, double to_min)
{
    return to_the_second ? wr_shown_gap_min(from_min * 60, to_min * 60) / 60 : wr_shown_gap_min(from_min, to_min);
}

static int side_of(double value, double bound)
{
    double gap = value - bound;

    return fabs(gap) < 1e-12 ? 0 : gap > 0 ? 1 : -1;
}

const char *wr_of_100_beside(double prob, struct wr_maybe bound, char buf[WR_WORDS])
{
    bool rare = rarity_of(prob) != COUNTED, bound_is_rare = bound.known && (bound.value < 0.01 || bound.value > 0.99);

    if (!bound.known || (rare && !bound_is_rare)) return wr_of_100_cell(prob, buf);
    for (int decimals = 0; decimals <= 4; decimals++) {
        double scale = pow(10.0, decimals), shown = floor(100.0 * prob * scale + 0.5) / scale;
        bool claims = rare && (shown == 0.0 || shown == 100.0);
        if (claims || side_of(shown / 100.0, bound.value) != side_of(prob, bound.value)) continue;
        snprintf(buf, WR_WORDS, "%.*f", decimals, shown);
        return buf;
    }
    if (rare && fabs(prob - bound.value) > 1e-6) return wr_of_100_cell(prob, buf);
    snprintf(buf, WR_WORDS, "%s %.6g", prob > bound.value ? "just over" : "just under", 100.0 * bound.value);
    return buf;
}

const char *wr_allowed_of_100(double confidence, char buf[WR_WORDS])
{
    snprintf(buf, WR_WORDS, "%.6g", 100.0 * (1.0 - confidence));
    return buf;
}

#define MINUS "\xe2\x88\x92" /* U+2212 */

/* Whole from ten up, one decimal below; never "-0". */
static void add_short(double value, char buf[WR_WORDS], const char *unit)
{
    double size = fabs(value);
    int decimals = size < 9.95 ? 1 : 0;
    double scale = decimals ? 10.0 : 1.0, shown = floor(size * scale + 0.5) / scale;

    snprintf(buf, WR_WORDS, "%s%.*f%s", value < 0 && shown > 0 ? MINUS : "", shown == 0 ? 0 : decimals, shown, unit);
}

const char *wr_percent(double share, char buf[WR_WORDS])
{
    if (share > 0 && share < 0.0005)
        snprintf(buf, WR_WORDS, "<0.1 %%");
    else if (share > 0.995 && share < 1) /* not all: never rounded up to it */
        snprintf(buf, WR_WORDS, "%.1f %%", floor(1000.0 * share + 1e-9) / 10.0);
    else if (share >= 99.995) /* no measure of anything, and digits without end */
        snprintf(buf, WR_WORDS, ">9999 %%");
    else
        add_short(100.0 * share, buf, " %");
    return buf;
}

const char *wr_minutes(double minutes, char buf[WR_WORDS])
{
    add_short(minutes, buf, " min");
    return buf;
}

const char *wr_minutes_whole(double minutes, char buf[WR_WORDS])
{
    double shown = floor(fabs(minutes) + 0.5);

    if (to_the_second && fabs(minutes) < 2) {
        shown = floor(fabs(minutes) * 60 + 0.5);
        snprintf(buf, WR_WORDS, "%s%.0f s", minutes < 0 && shown > 0 ? MINUS : "", shown);
        return buf;
    }
    if (to_the_second) return wr_minutes(minutes, buf);
    snprintf(buf, WR_WORDS, "%s%.0f min", minutes < 0 && shown > 0 ? MINUS : "", shown);
    return buf;
}

const char *wr_minutes_bare(double minutes, char buf[WR_WORDS])
{
    add_short(minutes, buf, "");
    return buf;
}

void wr_add_rows_kept(const struct wr_run_log *log, struct wr_str *out)
{
    wr_str_addf(out, "%zu accepted", log->rows_accepted);
    if (log->rows_duplicate == 1) wr_str_add(out, " (1 a duplicate, not counted again)");
    else if (log->rows_duplicate) wr_str_addf(out, " (%zu duplicates, not counted again)", log->rows_duplicate);
    wr_str_addf(out, ", %zu rejected", log->rows_rejected);
}

const char *wr_change(double change, char buf[WR_WORDS])
{
    double shown = floor(fabs(change) * 10.0 + 0.5) / 10.0;

    snprintf(buf, WR_WORDS, "%s%.1f", change < 0 && shown > 0 ? MINUS : "", shown);
    return buf;
}

static bool reads_as_more_than_none(double change)
{
    return floor(change * 10.0 + 0.5) >= 1;
}

enum wr_gain wr_gain_of(const struct wr_paired *gain, double per)
{
    if (fabs(gain->mean) <= 2 * gain->se) return WR_GAIN_OPEN;
    return reads_as_more_than_none((gain->lo - 2 * gain->lo_se) * per)    ? WR_GAIN_HELPS
           : reads_as_more_than_none((-gain->hi - 2 * gain->hi_se) * per) ? WR_GAIN_HARMS
                                                                          : WR_GAIN_OPEN;
}

static bool may_read_as_more(double mean, double end, double end_se, double per)
{
    return reads_as_more_than_none(mean * per) && reads_as_more_than_none((end + 2 * end_se) * per);
}

bool wr_gain_awaits_trials(const struct wr_paired *g, double per)
{
    return wr_gain_of(g, per) == WR_GAIN_OPEN &&
           (may_read_as_more(g->mean, g->lo, g->lo_se, per) || may_read_as_more(-g->mean, -g->hi, g->hi_se, per));
}

enum wr_gain wr_rule_gain_of(const struct wr_paired *gain, bool may_add)
{
    struct wr_paired told = *gain;

    if (!may_add || gain->lo > 2 * gain->lo_se) {
        told.lo = fmax(told.mean, 0);
        told.lo_se = 0;
    }
    return wr_gain_of(&told, 100);
}

const char *wr_gain_end(double end, char buf[WR_WORDS])
{
    if (end <= 0 || reads_as_more_than_none(end)) return wr_change(end, buf);
    snprintf(buf, WR_WORDS, "<0.1");
    return buf;
}

void wr_gain_cell(const struct wr_paired *gain, double per, struct wr_str *out)
{
    wr_str_add(out, wr_change(gain->mean * per, WR_ROOM));
    if (gain->no_interval) return;
    wr_str_addf(out, " (%s to %s)", wr_change(gain->lo * per, WR_ROOM), wr_change(gain->hi * per, WR_ROOM));
}

void wr_fewer_words(const struct wr_paired *gain, struct wr_str *out)
{
    const struct wr_paired loss = {-gain->mean, -gain->hi, -gain->lo, gain->se, gain->hi_se, gain->lo_se,
                                   gain->no_interval};

    if (fabs(gain->mean) < 0.0005 && gain->hi - gain->lo < 0.001) {
        wr_str_add(out, "as many as now");
        return;
    }
    wr_str_add(out, gain->mean < 0 ? "more by " : "fewer by ");
    wr_gain_cell(gain->mean < 0 ? &loss : gain, 100, out);
}

const char *wr_signed(double change, char buf[WR_WORDS])
{
    char size[WR_WORDS];

    wr_minutes_bare(change, size);
    snprintf(buf, WR_WORDS, "%s%.*s", change > 0 && strcmp(size, "0") != 0 ? "+" : "", WR_WORDS - 2, size);
    return buf;
}

const char *wr_factor(double factor, char buf[WR_WORDS])
{
    snprintf(buf, WR_WORDS, "%s%.2f", factor <= -0.005 ? MINUS : "", fabs(factor));
    return buf;
}

void wr_add_error(struct wr_str *out, double error, double least)
{
    if (error < least) wr_str_addf(out, "below %g", least);
    else wr_str_addf(out, "%.2g", error);
}

const char *wr_verdict_words(enum wr_verdict verdict)
{
    switch (verdict) {
    case WR_VERDICT_INSIDE: return "inside";
    case WR_VERDICT_NOT_INSIDE: return "not inside";
    case WR_VERDICT_CANNOT_TELL: break;
    }
    return "not enough rehearsals to tell";
}

const char *wr_verdict_said(enum wr_verdict verdict, struct wr_grounds grounds)
{
    if (verdict != WR_VERDICT_CANNOT_TELL || !wr_is_in_doubt(grounds)) return wr_verdict_words(verdict);
    return grounds.open_by == WR_OPEN_BY_FILES   ? "cannot be told for a doubt of the files"
           : grounds.open_by == WR_OPEN_BY_MODEL ? "cannot be told for want of an interval"
                                                 : "cannot be told for a doubt of the forecast";
}

const char *wr_target_words(enum wr_target target)
{
    return target == WR_FOR_EXCURSION ? "the excursion" : "the next rehearsal, at pool pace";
}

void wr_rests_on_words(struct wr_rests_on on, const char *does, struct wr_str *out)
{
    wr_str_add(out, on.rehearsed ? "the rehearsals" : "judgement");
    if (on.carried_over) wr_str_add(out, on.day ? ", the earlier excursions" : " and the earlier excursions");
    if (on.day) wr_str_add(out, " and this day");
    wr_str_addf(out, " %s%s", does, on.rehearsed || on.carried_over || on.day ? "" : "s");
}

const char *wr_count_words(size_t n, char buf[WR_WORDS])
{
    static const char *const word[] = {"no",   "one",   "two",   "three", "four", "five",  "six",
                                       "seven", "eight", "nine",  "ten",   "eleven", "twelve"};

    if (n < sizeof word / sizeof *word) return word[n];
    snprintf(buf, WR_WORDS, "%zu", n);
    return buf;
}

void wr_add_capital(struct wr_str *out, const char *text)
{
    if (!*text) return;
    wr_str_add_char(out, (char)(text[0] >= 'a' && text[0] <= 'z' ? text[0] - 'a' + 'A' : text[0]));
    wr_str_add(out, text + 1);
}

const char *wr_cell_state_words(enum wr_cell_state state)
{
    switch (state) {
    case WR_CELL_DONE: return "done";
    case WR_CELL_STOPPED: return "stopped";
    case WR_CELL_SKIPPED: return "skipped";
    case WR_CELL_LOST: return "unknown";
    case WR_CELL_ABSENT: break;
    }
    return "absent";
}
