/* Any bytes as plan.csv, limits.csv, history.csv and names.csv: a plan that is taken is written and read back the same,
 * a table that is refused comes with an error finding or a message. */
#include <stdint.h>
#include <string.h>
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/io/text_file.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

#define HOLDS(condition) WR_BUG_IF(!(condition))

static void check_task(const struct wr_plan *plan, const struct wr_plan_task *t)
{
    HOLDS(t->id[0] && t->title[0] && wr_plan_find(plan, t->id) == (size_t)(t - plan->task));
    HOLDS((size_t)__builtin_popcount(t->lanes) == t->n_lane);
    for (size_t i = 0; i < t->n_lane; i++) HOLDS(t->lane_order[i] < plan->n_lane && t->lanes >> t->lane_order[i] & 1);
    for (size_t i = 0; i < t->n_after; i++) HOLDS(t->after[i] < plan->n_task);
    HOLDS(t->low_min.known == t->high_min.known && t->median_min.known == t->sdlog.known);
    HOLDS(!t->low_min.known || (t->low_min.value >= 0 && t->low_min.value <= t->likely_min.value &&
                                t->likely_min.value <= t->high_min.value && t->high_min.value > 0));
    HOLDS(!t->median_min.known || t->median_min.value > 0);
}

static void try_plan(const char *text, size_t n)
{
    struct wr_plan plan = {0}, back = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};
    struct wr_str written = {0}, again = {0};

    if (wr_plan_read_bytes(&plan, "fuzz", text, n, &findings, &err) == WR_OK) {
        HOLDS(wr_findings_count(&findings, WR_ERROR) == 0 && plan.n_task > 0);
        for (size_t k = 0; k < plan.n_task; k++) check_task(&plan, &plan.task[k]);
        wr_plan_write(&plan, &written);
        HOLDS(wr_plan_read_bytes(&back, "back", written.text, written.len, &findings, &err) == WR_OK);
        wr_plan_write(&back, &again);
        HOLDS(strcmp(written.text, again.text) == 0);
        (void)!wr_plan_check_against_log(&plan, NULL, &findings, &err);
    } else {
        HOLDS(strncmp(err.text, "fuzz", 4) == 0);
    }
    wr_plan_release(&plan);
    wr_plan_release(&back);
    wr_findings_release(&findings);
    wr_str_release(&written);
    wr_str_release(&again);
}

static void try_limits(const char *text, size_t n)
{
    static const char plan_text[] = "task,crew\nA,EV1\nB,EV2\nC,EV1+EV2\n";
    struct wr_plan plan = {0};
    struct wr_limits limits = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    HOLDS(wr_plan_read_bytes(&plan, "plan", plan_text, sizeof plan_text - 1, &findings, &err) == WR_OK);
    if (wr_limits_read_bytes(&limits, "fuzz", text, n, &plan, &findings, &err) == WR_OK) {
        HOLDS(wr_findings_count(&findings, WR_ERROR) == 0 && limits.n_limit > 0);
        for (size_t i = 0; i < limits.n_limit; i++) {
            const struct wr_limit *l = &limits.limit[i];
            HOLDS(l->minutes > 0 && l->lanes && (!l->is_clock || (l->from < 3 && l->to < 3)));
            HOLDS(!l->confidence.known || (l->confidence.value > 0 && l->confidence.value < 1));
        }
        wr_limits_set_excursion(&limits, &plan, 390, WR_UNKNOWN);
    } else {
        HOLDS(strncmp(err.text, "fuzz", 4) == 0);
    }
    wr_plan_release(&plan);
    wr_limits_release(&limits);
    wr_findings_release(&findings);
}

static void try_history(const char *text, size_t n)
{
    struct wr_history history = {0};
    const struct wr_plan plan = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    if (wr_history_read_bytes(&history, "fuzz", text, n, &plan, &findings, &err) == WR_OK) {
        HOLDS(history.n_row > 0);
        for (size_t i = 0; i < history.n_row; i++)
            HOLDS(history.row[i].pool_min > 0 && history.row[i].flight_min > 0 && history.row[i].kind[0]);
    } else {
        HOLDS(strncmp(err.text, "fuzz", 4) == 0);
    }
    wr_history_release(&history);
    wr_findings_release(&findings);
}

/* What a name means is not given another meaning again. */
static void try_names(const char *text, size_t n)
{
    struct wr_aliases aliases = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    if (wr_aliases_read_bytes(&aliases, "fuzz", text, n, &findings, &err) == WR_OK) {
        for (size_t i = 0; i < aliases.n_alias; i++) {
            const struct wr_alias *a = &aliases.alias[i];
            HOLDS(a->from[0] && a->to[0]);
            HOLDS(strcmp(wr_alias_of(&aliases, a->kind, a->from), a->to) == 0);
        }
    } else {
        HOLDS(strncmp(err.text, "fuzz", 4) == 0);
    }
    wr_aliases_release(&aliases);
    wr_findings_release(&findings);
}

/* UTF-16 and old line ends: what comes out is text that ends where it says. */
static void try_text(const char *bytes, size_t n)
{
    struct wr_text text;

    wr_text_take(&text, bytes, n);
    HOLDS(text.bytes[text.n] == '\0' && text.n <= n / 2 * 3 + 4);
    bool quoted = false;
    for (size_t i = 0; i < text.n; i++) {
        quoted ^= text.bytes[i] == '"';
        HOLDS(text.bytes[i] != '\r' || quoted || text.bytes[i + 1] == '\r' || text.bytes[i + 1] == '\n');
    }
    wr_text_release(&text);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    try_names((const char *)bytes, n);
    try_text((const char *)bytes, n);
    try_plan((const char *)bytes, n);
    try_limits((const char *)bytes, n);
    try_history((const char *)bytes, n);
    return 0;
}
