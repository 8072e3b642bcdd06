/* Any bytes as criteria.csv, series.csv and spill.csv, moves.csv, a report of the day, what --now is given, and as the
 * words of a command line: refused with a message, or taken within what the headers promise. The first byte says
 * which. */
#include <math.h>
#include <stdint.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/criteria.h"
#include "wetrun/campaign/day_report.h"
#include "wetrun/campaign/moves.h"
#include "wetrun/campaign/series.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/decide/update.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

#define HOLDS(condition) WR_BUG_IF(!(condition))

static const char plan_text[] =
    "task,crew,planned\nA,EV1,10\nB,EV2,20\nC,EV1+EV2,15\nA-B,EV1,5\nA@1,EV2,5\n\"C,D\",EV1,5\n";

static void take_plan(struct wr_plan *plan, struct wr_findings *findings)
{
    struct wr_error err;

    HOLDS(wr_plan_read_bytes(plan, "plan", plan_text, sizeof plan_text - 1, findings, &err) == WR_OK);
}

static void try_criteria(const char *text, size_t n)
{
    struct wr_criteria criteria = wr_criteria_default(), before = criteria;
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    if (wr_criteria_read_bytes(&criteria, "fuzz", text, n, &findings, &err) != WR_OK) {
        HOLDS(err.text[0] && memcmp(&criteria, &before, sizeof before) == 0);
    } else {
        for (int i = 0; i < WR_N_CRITERION; i++) HOLDS(isfinite(criteria.threshold[i]) && criteria.threshold[i] >= 0);
    }
    wr_findings_release(&findings);
}

static void try_series(const char *text, size_t n)
{
    const char *cut = memchr(text, '\0', n);
    size_t first = cut ? (size_t)(cut - text) : n;
    struct wr_series_files files = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    enum wr_status status = wr_series_read_bytes(&files, "fuzz", text, first, &findings, &err);
    if (!status && cut) status = wr_spill_read_bytes(&files, "spill", cut + 1, n - first - 1, &findings, &err);
    HOLDS(!status || err.text[0]);
    for (size_t i = 0; i < files.n_spill && !status; i++)
        HOLDS(files.spill[i].from < files.spill[i].to && files.spill[i].to < files.n_row &&
              files.spill[i].setup_min >= 0);
    wr_series_files_release(&files);
    wr_findings_release(&findings);
}

static void try_moves(const char *text, size_t n)
{
    struct wr_plan plan = {0};
    struct wr_moves moves = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};

    take_plan(&plan, &findings);
    if (wr_moves_read_bytes(&moves, "fuzz", text, n, &plan, &findings, &err) == WR_OK) {
        for (size_t i = 0; i < moves.n_move; i++) {
            const struct wr_move *m = &moves.move[i];
            HOLDS(m->task < plan.n_task && m->kind < WR_N_MOVE_KIND);
            HOLDS(m->kind != WR_MOVE_SHORTEN || (m->factor > 0 && m->factor < 1));
            HOLDS((m->kind != WR_MOVE_EXCHANGE && m->kind != WR_MOVE_BEFORE) ||
                  (m->other < plan.n_task && m->other != m->task));
        }
    } else {
        HOLDS(err.text[0]);
    }
    wr_free(moves.move);
    wr_plan_release(&plan);
    wr_findings_release(&findings);
}

static void check_now(const struct wr_now *now, const struct wr_plan *plan)
{
    for (size_t i = 0; i < now->n_event; i++) {
        const struct wr_now_event *e = &now->event[i];
        HOLDS(e->task < plan->n_task && (e->begin_min.known || e->end_min.known));
        HOLDS(!e->begin_min.known || (isfinite(e->begin_min.value) && e->begin_min.value <= now->now_min));
        HOLDS(!e->begin_min.known || !e->end_min.known || e->begin_min.value <= e->end_min.value);
    }
}

static void try_now(const char *text, size_t n, struct wr_maybe start_min, bool as_table)
{
    struct wr_plan plan = {0};
    struct wr_now now = {0};
    struct wr_day_report report = {0};
    struct wr_findings findings = {0};
    struct wr_error err = {.text = ""};
    enum wr_status status;

    take_plan(&plan, &findings);
    if (as_table) {
        status = wr_day_report_read_bytes(&report, "fuzz", text, n, &plan, NULL, start_min, &findings, &err);
        if (!status) status = wr_now_take(&now, &report, &plan, &err);
    } else {
        status = wr_now_parse(&now, text, &plan, start_min, &err);
    }
    if (!status) status = wr_now_close(&now, &plan, &err);
    if (!status) check_now(&now, &plan);
    HOLDS(!status || err.text[0]);
    wr_now_release(&now);
    wr_day_report_release(&report);
    wr_plan_release(&plan);
    wr_findings_release(&findings);
}

/* Words end with a line feed; the first byte of the text says for which command. */
static void try_options(char *text, size_t n)
{
    enum { MOST_WORDS = 64 };
    char *word[MOST_WORDS];
    int n_word = 0;
    struct wr_settings settings;
    struct wr_error err = {.text = ""};

    if (n == 0) return;
    const struct wr_command *command = &wr_commands[(unsigned char)text[0] % WR_N_COMMAND];
    for (char *at = text + 1; at <= text + n && n_word < MOST_WORDS;) {
        word[n_word++] = at;
        char *end = strchr(at, '\n');
        if (!end) break;
        *end = '\0';
        at = end + 1;
    }
    wr_settings_init(&settings);
    if (wr_settings_parse(&settings, command, n_word, word, &err) == WR_OK) {
        struct wr_maybe confidence = settings.study.confidence, limit_min = settings.study.limit_min;
        HOLDS(!confidence.known || (confidence.value > 0.5 && confidence.value < 1));
        HOLDS(!limit_min.known || (limit_min.value > 0 && isfinite(limit_min.value)));
    } else {
        HOLDS(err.text[0]);
    }
    wr_settings_release(&settings);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    if (n == 0) return 0;
    char *text = wr_alloc(n, 1);
    struct wr_maybe start = {bytes[0] & 8, 560};

    memcpy(text, bytes + 1, n - 1);
    switch (bytes[0] & 7) {
    case 0: try_criteria(text, n - 1); break;
    case 1: try_series(text, n - 1); break;
    case 2: try_moves(text, n - 1); break;
    case 3: try_now(text, n - 1, start, true); break;
    case 4:
    case 5: try_now(text, n - 1, start, false); break;
    default: try_options(text, n - 1); break;
    }
    wr_free(text);
    return 0;
}
