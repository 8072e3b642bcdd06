#include "wetrun/campaign/criteria.h"

#include <math.h>
#include "sheet.h"
#include "wetrun/campaign/near_name.h"

static const struct {
    const char *name, *meaning;
    enum wr_criterion_kind kind;
    double threshold, least, most;
} rows[WR_N_CRITERION] = {
#define ROW(id, text, what_kind, value, low, high, what) [id] = {text, what, what_kind, value, low, high},
    WR_CRITERION_TABLE(ROW)
#undef ROW
};

struct wr_criteria wr_criteria_default(void)
{
    struct wr_criteria c;

    for (int i = 0; i < WR_N_CRITERION; i++) {
        c.on[i] = true;
        c.threshold[i] = rows[i].threshold;
    }
    return c;
}

const char *wr_criterion_name(enum wr_criterion_id id)
{
    return rows[id].name;
}

const char *wr_criterion_meaning(enum wr_criterion_id id)
{
    return rows[id].meaning;
}

static bool is_whole_if_count(enum wr_criterion_id id, double threshold)
{
    return rows[id].kind == WR_CRITERION_SHARE || threshold == floor(threshold);
}

enum wr_status wr_criteria_set(struct wr_criteria *criteria, enum wr_criterion_id id, double threshold,
                               struct wr_error *err)
{
    if (!(threshold >= rows[id].least && threshold <= rows[id].most))
        return wr_fail(err, WR_E_USAGE, "%g is no threshold for %s: write a number from %g to %g", threshold,
                       rows[id].name, rows[id].least, rows[id].most);
    if (!is_whole_if_count(id, threshold))
        return wr_fail(err, WR_E_USAGE, "%g counts: write a whole number", threshold);
    criteria->threshold[id] = threshold;
    return WR_OK;
}

enum criteria_column { C_CRITERION, C_THRESHOLD, N_CRITERIA_COLUMN };

static const struct sheet_column criteria_columns[N_CRITERIA_COLUMN] = {
    [C_CRITERION] = {"criterion", true, NULL},
    [C_THRESHOLD] = {"threshold", true, NULL},
};

struct taking {
    struct wr_criteria *criteria;
    bool seen[WR_N_CRITERION];
};

static const char *name_at(const void *arg, size_t i)
{
    (void)arg;
    return rows[i].name;
}

static void refuse_unknown(struct sheet *sheet, const char *name)
{
    const struct wr_name_list names = {name_at, NULL, WR_N_CRITERION};
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "there is no criterion '%.60s'", name);
    wr_add_did_you_mean(&text, &names, name, "`wetrun ready` lists them");
    sheet_error(sheet, C_CRITERION, "criterion-unknown", "%s", wr_str_text(&text));
}

static void take_criterion(void *arg, struct sheet *sheet)
{
    struct taking *t = arg;
    const char *name = sheet_text(sheet, C_CRITERION);
    struct wr_maybe value;
    int i = 0;

    while (i < WR_N_CRITERION && !sheet_name_is(name, rows[i].name)) i++;
    if (i == WR_N_CRITERION) {
        refuse_unknown(sheet, name);
        return;
    }
    if (t->seen[i])
        sheet_error(sheet, C_CRITERION, "criterion-twice", "criterion '%s' is named twice: leave one of the rows out",
                    name);
    t->seen[i] = true;
    if (sheet_name_is(sheet_text(sheet, C_THRESHOLD), "off")) {
        t->criteria->on[i] = false;
        return;
    }
    if (!sheet_number(sheet, C_THRESHOLD, SHEET_DECIMAL, rows[i].least, rows[i].most, &value)) return;
    if (!value.known)
        sheet_error(sheet, C_THRESHOLD, "criterion-no-threshold",
                    "criterion '%s' has no threshold: write a number, or off", name);
    else if (!is_whole_if_count((enum wr_criterion_id)i, value.value))
        sheet_error(sheet, C_THRESHOLD, "criterion-not-whole",
                    "criterion '%s' counts, and %g is not whole: write a whole number", name, value.value);
    else
        t->criteria->threshold[i] = value.value;
}

enum wr_status wr_criteria_read_bytes(struct wr_criteria *criteria, const char *name, const char *bytes, size_t n,
                                      struct wr_findings *findings, struct wr_error *err)
{
    struct wr_criteria changed = *criteria;
    struct taking taking = {.criteria = &changed};
    struct sheet sheet = {
        .file = name, .column = criteria_columns, .n_column = N_CRITERIA_COLUMN, .row = take_criterion, .arg = &taking,
        .findings = findings, .err = err,
    };
    enum wr_status status = sheet_read(&sheet, bytes, n);

    if (status == WR_OK) *criteria = changed;
    return status;
}
