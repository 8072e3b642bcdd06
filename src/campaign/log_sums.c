#include "log_sums.h"

#include <string.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/plan.h"

static const char *skip_blanks(const char *at)
{
    while (*at == ' ' || *at == '\t' || *at == '_' || *at == '\n' || *at == '\r') at++;
    return at;
}

/* Whether its first two letters, as wr_fold_name has them, are those of any of the words below: most names of tasks end
 * here. */
static bool may_name_a_sum(const char *text)
{
    static const char firsts[] = "tosugrovalwhevmeav";
    const char *first = skip_blanks(text + (*text == '\'')), *second = *first ? skip_blanks(first + 1) : first;

    if ((*first | *second) & 0x80) return true;
    for (const char *pair = firsts; *pair; pair += 2)
        if (pair[0] == (*first | 32) && pair[1] == (*second | 32)) return true;
    return false;
}

bool log_names_a_sum(const char *text)
{
    /* whole words: "Total station survey" is a task */
    static const char *const word[] = {"total", "totals", "totaltime", "totalduration", "totalminutes", "totalmin",
                                       "totalhours", "grandtotal", "subtotal", "sub-total", "sum", "sums", "overall",
                                       "gesamt", "gesamtzeit", "summe", "all", "alltasks", "allsteps", "wholerun",
                                       "everything", "mean", "average"};
    static const char *const of[] = {"sumof", "totalof", "total(", "sum(", "total:", "sum:"};
    WR_SCOPED_STR folded = {0};
    bool found = false;

    if (!may_name_a_sum(text)) return false;
    wr_fold_name(&folded, text, strlen(text));
    while (folded.len && strchr(":.=*", folded.text[folded.len - 1])) folded.text[--folded.len] = '\0';
    for (size_t i = 0; i < sizeof word / sizeof *word && !found; i++)
        found = strcmp(wr_str_text(&folded), word[i]) == 0;
    for (size_t i = 0; i < sizeof of / sizeof *of && !found; i++)
        found = strncmp(wr_str_text(&folded), of[i], strlen(of[i])) == 0;
    return found;
}

bool log_row_is_sum(const struct log_columns *columns, const struct wr_csv_record *record,
                    const struct wr_log_options *options)
{
    const struct wr_csv_field *task = log_cell_text(columns, record, ROLE_TASK);
    enum wr_spelling spelling;

    if (!task->len) return log_names_a_sum(log_cell_text(columns, record, ROLE_RUN)->text);
    return log_names_a_sum(task->text) && !wr_alias_is_given(options->aliases, WR_NAME_TASK, task->text) &&
           !(options->plan && wr_plan_resolve(options->plan, task->text, &spelling) != SIZE_MAX);
}
