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

static inline bool goes_on(const char *first, char one, char other)
{
    const char next = *skip_blanks(first + 1);

    return (next & 0x80) || (next | 32) == one || (next | 32) == other;
}

/* Whether its first two letters, as wr_fold_name has them, are those of any of the words below: most names of tasks end
 * here. */
static bool may_name_a_sum(const char *text)
{
    const char *first = skip_blanks(text + (*text == '\''));

    switch (*first | 32) {
    case 't': return goes_on(first, 'o', 'o');
    case 's': return goes_on(first, 'u', 'u');
    case 'g': return goes_on(first, 'r', 'e');
    case 'o': return goes_on(first, 'v', 'v');
    case 'a': return goes_on(first, 'l', 'v');
    case 'w': return goes_on(first, 'h', 'h');
    case 'e': return goes_on(first, 'v', 'v');
    case 'm': return goes_on(first, 'e', 'e');
    }
    return *first & 0x80;
}

static bool folds_to_a_sum(const char *text)
{
    /* whole words: "Total station survey" is a task */
    static const char *const word[] = {"total", "totals", "totaltime", "totalduration", "totalminutes", "totalmin",
                                       "totalhours", "grandtotal", "subtotal", "sub-total", "sum", "sums", "overall",
                                       "gesamt", "gesamtzeit", "summe", "all", "alltasks", "allsteps", "wholerun",
                                       "everything", "mean", "average"};
    static const char *const of[] = {"sumof", "totalof", "total(", "sum(", "total:", "sum:"};
    WR_SCOPED_STR folded = {0};
    bool found = false;

    wr_fold_name(&folded, text, strlen(text));
    while (folded.len && strchr(":.=*", folded.text[folded.len - 1])) folded.text[--folded.len] = '\0';
    for (size_t i = 0; i < sizeof word / sizeof *word && !found; i++)
        found = strcmp(wr_str_text(&folded), word[i]) == 0;
    for (size_t i = 0; i < sizeof of / sizeof *of && !found; i++)
        found = strncmp(wr_str_text(&folded), of[i], strlen(of[i])) == 0;
    return found;
}

bool log_names_a_sum(const char *text)
{
    return may_name_a_sum(text) && folds_to_a_sum(text);
}

bool log_row_is_sum(const struct log_columns *columns, const struct wr_log_options *options)
{
    const struct wr_csv_field *task = columns->cell[ROLE_TASK];
    enum wr_spelling spelling;

    if (!task->len) return log_names_a_sum(columns->cell[ROLE_RUN]->text);
    return log_names_a_sum(task->text) && !wr_alias_is_given(options->aliases, WR_NAME_TASK, task->text) &&
           !(options->plan && wr_plan_resolve(options->plan, task->text, &spelling) != SIZE_MAX);
}
