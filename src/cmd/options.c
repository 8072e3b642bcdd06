/* The option rows, and the parser that reads them. */
#include "options.h"

#include <string.h>
#include <strings.h>
#include <sys/stat.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/near_name.h"
#include "wetrun/campaign/written.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/stats/three_point.h"

/* A row's type and target: does not compile where the member is of another type. */
/* clang-format off: it would part a type from its colon */
#define MEMBER(field, type) _Generic(((struct wr_settings *)0)->field, type: offsetof(struct wr_settings, field))
/* clang-format on */
#define FLAG(field) WR_OPT_FLAG, MEMBER(field, bool)
#define JOIN(field) WR_OPT_JOIN, MEMBER(field, bool)
#define TEXT(field) WR_OPT_TEXT, MEMBER(field, const char *)
#define COMMAS(field) WR_OPT_COMMAS, MEMBER(field, const char *)
#define TIMES(field) WR_OPT_TIMES, MEMBER(field, const char *)
#define LIST(field) WR_OPT_LIST, MEMBER(field, struct wr_text_list)
#define SIZE(field) WR_OPT_SIZE, MEMBER(field, size_t)
#define SEED(field) WR_OPT_SEED, MEMBER(field, uint64_t)
#define CHOICE(field) WR_OPT_CHOICE, MEMBER(field, int)
#define PROBABILITY(field) WR_OPT_PROBABILITY, MEMBER(field, struct wr_maybe)
#define CONFIDENCE(field) WR_OPT_CONFIDENCE, MEMBER(field, struct wr_maybe)
#define LIMIT(field) WR_OPT_LIMIT, MEMBER(field, struct wr_maybe)
#define POSITIVE(field) WR_OPT_POSITIVE, MEMBER(field, struct wr_maybe)
#define NUMBER(field) WR_OPT_NUMBER, MEMBER(field, struct wr_maybe)
#define ON(id) (1u << (id))
#define ALL ((1u << WR_N_COMMAND) - 1)
#define ON_IF_MODELLED(id, function, modelled, ...) | (modelled == WR_MODELLED ? ON(WR_CMD_##id) : 0)
#define MODELLED (0 WR_COMMAND_TABLE(ON_IF_MODELLED))
#define SERIES ON(WR_CMD_SERIES)
#define SIMULATED (MODELLED | SERIES)
/* What reads one campaign. */
#define READS (ALL & ~ON(WR_CMD_START))
#define BORNE(acting) ((acting) | WR_OPT_BORNE)
/* What its limits, or its history, say something to: beside a series, whose campaigns have their own. */
#define LIMITED (MODELLED | ON(WR_CMD_CHECK))

static const char *const formats[] = {"table", "csv", "json", NULL};
static const char *const targets[] = {"rehearsal", "excursion", NULL};
static const char *const models[] = {"pooled", "alone", NULL};
static const char *const on_off[] = {"on", "off", NULL};
static const char *const times_kinds[] = {"ask", "clock", "elapsed", "day", "12h", NULL}; /* as enum wr_times_said */
static const char *const date_orders[] = {"ask", "dmy", "mdy", NULL};              /* as enum wr_date_order */
static const char *const units[] = {"ask", "minutes", "seconds", "hours", NULL};
static const char *const pictures[] = {"auto", "png", "svg", "pdf", NULL};

const struct wr_option wr_options[] = {
    {"runs", 0, LIST(runs), "FILE", "step log instead of CAMPAIGN/runs.csv; may be repeated", READS & ~SERIES, NULL},
    {"plan", 0, TEXT(study.plan), "FILE", "timeline instead of CAMPAIGN/plan.csv", READS & ~SERIES & ~ON(WR_CMD_WHATIF),
     NULL},
    {"plan-rehearsed", 0, TEXT(study.plan_rehearsed), "FILE",
     "the plan that the runs followed, where it has changed since", READS & ~SERIES, NULL},
    {"limits", 0, TEXT(study.limits), "FILE", "limits instead of CAMPAIGN/limits.csv", BORNE(LIMITED), NULL},
    {"history", 0, TEXT(study.history), "FILE", "pool and flight times instead of CAMPAIGN/history.csv", BORNE(LIMITED),
     NULL},
    {"columns", 0, COMMAS(study.log.columns), "NAME=COLUMN,…",
     "column names of a log from elsewhere: run=Case,task=Activity; hold=-: none", READS, NULL},
    {"names", 0, TEXT(study.names), "FILE", "names that mean the same instead of CAMPAIGN/names.csv", READS, NULL},
    {"times", 0, CHOICE(times_said), NULL,
     "what a number without a colon is in start and end: 9.30, 0930, 0.396; 12h: times of day of a clock of twelve "
     "hours",
     READS & ~ON(WR_CMD_CHECK), times_kinds},
    {"times", 0, TIMES(times), "clock|elapsed|day|12h|FILE",
     "what a number without a colon is in start and end, 12h: times of day of a clock of twelve hours; or write the "
     "task-by-run table to FILE as CSV",
     ON(WR_CMD_CHECK), NULL},
    {"dates", 0, CHOICE(dates), NULL, "day or month first in dates with slashes, if the file does not tell", READS,
     date_orders},
    {"minutes-in", 0, CHOICE(minutes_in), NULL, "unit of bare numbers in start, end, minutes and hold", READS, units},
    {"minutes-whole", 0, FLAG(study.log.minutes_whole), NULL,
     "minutes of tasks without start and end hold what lies between them too: moving, preparing", READS, NULL},
    {"join-names", 0, FLAG(join_names), NULL, "names that differ in case or blanks only are one", READS, NULL},
    {"keep-names", 0, FLAG(keep_names), NULL, "names that differ in case or blanks only are two", READS, NULL},
    {"fill-down", 0, COMMAS(study.log.fill_down), "COLUMN,…",
     "an empty cell of these columns means the one above (merged cells)", READS, NULL},
    {"format", 'f', CHOICE(format), NULL, "what is printed",
     BORNE(READS & ~(ON(WR_CMD_DAYSHEET) | ON(WR_CMD_CHART) | ON(WR_CMD_REPORT))), formats},
    {"out", 'o', TEXT(out), "PATH", "write here instead of standard output (report: a folder)", READS, NULL},
    {"seed", 's', SEED(study.seed), "N", "seed of all random numbers (default 1)",
     BORNE(SIMULATED | ON(WR_CMD_COMPARE)), NULL},
    {"trials", 'n', SIZE(study.n_trial), "N",
     "simulated excursions, 100 at least (default: enough that chance adds little; 524288 and more buy draws of the "
     "model too)",
     BORNE(SIMULATED & ~ON(WR_CMD_FIT)), NULL},
    {"precision", 0, POSITIVE(study.precision), "P",
     "instead of --trials: as many trials and draws as it takes for the Monte Carlo error of each probability of going "
     "over a limit to stay below P; 0.001 is 0.1 of 100",
     ON(WR_CMD_FORECAST), NULL},
    {"threads", 0, SIZE(threads), "N", "threads (default: all processors); changes no result", BORNE(SIMULATED), NULL},
    {"confidence", 'c', CONFIDENCE(study.confidence), "P", "wanted probability of staying inside: 0.9, or 90 %",
     BORNE(MODELLED & ~(ON(WR_CMD_FIT) | ON(WR_CMD_DEBRIEF) | ON(WR_CMD_BACKTEST) | ON(WR_CMD_WHATIF))), NULL},
    {"limit", 'l', LIMIT(study.limit_min), "H:MM", "excursion limit, h:mm or minutes",
     BORNE((LIMITED | SERIES) & ~(ON(WR_CMD_WHATIF) | ON(WR_CMD_FIT) | ON(WR_CMD_PAD) | ON(WR_CMD_BACKTEST))), NULL},
    {"for", 0, CHOICE(target), NULL,
     "what is forecast: the next rehearsal at pool pace, or the excursion with carry-over from the pool",
     BORNE(SIMULATED & ~ON(WR_CMD_BACKTEST)), targets},
    {"people", 0, COMMAS(study.fit.people), "LANE=NAME,…",
     "who will do it; else one of the rehearsed line-ups at random", BORNE(SIMULATED & ~ON(WR_CMD_BACKTEST)), NULL},
    {"anonymous", 0, FLAG(study.anonymous), NULL, "performers become A, B, …", READS, NULL},
    {"model", 0, CHOICE(model), NULL, "alone: each task fitted by itself, for comparison only", MODELLED, models},
    {"learning", 0, CHOICE(learning), NULL, "trend over rehearsals in the model", MODELLED, on_off},
    {"no-skew", 0, FLAG(no_skew), NULL, "lognormal errors in place of skewed ones", MODELLED, NULL},
    {"no-people", 0, FLAG(study.fit.no_people), NULL, "leave performers out of the model", MODELLED, NULL},
    {"run-effect", 0, POSITIVE(run_effect), "SD", "sd of the run effect on log minutes, given instead of estimated",
     BORNE(SIMULATED), NULL},
    {"run-effect-prior", 0, TEXT(run_effect_prior), "M[,S]",
     "lognormal prior of the run effect's sd: median, log-sd (0.5)", MODELLED, NULL},
    {"earlier", 0, LIST(earlier), "DIR",
     "an earlier campaign that teaches the priors, besides those in CAMPAIGN/earlier; may be repeated", MODELLED, NULL},
    {"no-earlier", 0, FLAG(study.no_earlier), NULL, "leave CAMPAIGN/earlier out", MODELLED, NULL},
    {"on", 0, TEXT(study.on), "DATE",
     "day of what is forecast, YYYY-MM-DD; after an unusually long gap no further learning is credited", MODELLED,
     NULL},
    {"gap-allowance", 0, NUMBER(gap_allowance), "PERCENT", "allowance for a long gap since the last rehearsal",
     MODELLED & ~ON(WR_CMD_BACKTEST), NULL},
    {"three-point", 0, CHOICE(three_point), NULL, "how low, likely, high are read", BORNE(SIMULATED),
     wr_three_point_names},
    {"rejected", 0, TEXT(rejected), "FILE", "write rejected rows verbatim, with reasons", ON(WR_CMD_CHECK), NULL},
    {"write-plan", 0, TEXT(write_plan), "FILE", "save the plan, derived from the log if there is none",
     ON(WR_CMD_CHECK), NULL},
    {"strict", 0, FLAG(strict), NULL, "exit status 1 on any warning or error", ON(WR_CMD_CHECK), NULL},
    {"at", 0, LIST(at), "TASK", "only these tasks and milestones; may be repeated", ON(WR_CMD_CUTOFF), NULL},
    {"now", 0, COMMAS(study.now), "TASK@H:MM[,…]", "what has happened so far: begun, or TASK@H:MM-H:MM done",
     ON(WR_CMD_CUTOFF) | ON(WR_CMD_CHART), NULL}, /* a report would mix the day as expected with the day as it goes */
    {"reports", 0, TEXT(study.reports), "FILE",
     "the same as a table: task,start,end,hold; a row without a task is the time now", ON(WR_CMD_CUTOFF), NULL},
    {"start", 0, TEXT(start), "H:MM",
     "time of day at which the excursion begins: reports are read, and cut-offs shown, as times of day; 0:00: elapsed "
     "times",
     ON(WR_CMD_CUTOFF), NULL},
    {"outside-hold", 0, FLAG(study.outside_hold), NULL,
     "a late start comes from outside and tells nothing about the day",
     ON(WR_CMD_CUTOFF) | ON(WR_CMD_CHART) | ON(WR_CMD_REPORT), NULL},
    {"log-only", 0, FLAG(log_only), NULL, "a page that logs a rehearsal and forecasts nothing", ON(WR_CMD_DAYSHEET),
     NULL},
    {"against", 0, TEXT(against), "WHAT", "what changed against WHAT: another campaign, another plan, or before:RUN",
     ON(WR_CMD_FORECAST) | ON(WR_CMD_REPORT), NULL},
    {"by", 0, TEXT(study.by), "COLUMN", "compare groups of runs by a column of the log", ON(WR_CMD_COMPARE), NULL},
    {"split", 0, TEXT(study.split), "RUN", "compare the runs before RUN with RUN and those after", ON(WR_CMD_COMPARE),
     NULL},
    {"drop", 0, WR_OPT_CHANGE, WR_CHANGE_DROP, "TASK[,…]", "an alternative without these tasks; may be repeated",
     ON(WR_CMD_WHATIF), NULL},
    {"scale", 0, WR_OPT_CHANGE, WR_CHANGE_SCALE, "TASK=F[,…]",
     "an alternative with times multiplied by F; kind:KIND=F for a kind", ON(WR_CMD_WHATIF), NULL},
    {"swap", 0, WR_OPT_CHANGE, WR_CHANGE_SWAP, "TASK=LANE[+…]", "an alternative with another crew for a task",
     ON(WR_CMD_WHATIF), NULL},
    {"limit", 'l', WR_OPT_CHANGE, WR_CHANGE_LIMIT, "H:MM", "an alternative with another excursion limit",
     ON(WR_CMD_WHATIF), NULL},
    {"plan", 0, WR_OPT_CHANGE, WR_CHANGE_PLAN, "FILE", "an alternative with another timeline", ON(WR_CMD_WHATIF), NULL},
    {"also", 0, JOIN(join_next), NULL, "the next change joins the alternative before it", ON(WR_CMD_WHATIF), NULL},
    {"search", 0, FLAG(study.search), NULL, "find the few allowed changes that lower the risk of the first limit most",
     ON(WR_CMD_WHATIF), NULL},
    {"moves", 0, TEXT(study.moves), "FILE", "changes allowed to --search, instead of CAMPAIGN/moves.csv",
     ON(WR_CMD_WHATIF), NULL},
    {"allow", 0, COMMAS(study.allow), "KIND,…",
     "changes allowed to --search in general: exchange, before, crew; of get-ahead work drop, shorten",
     ON(WR_CMD_WHATIF), NULL},
    {"changes", 0, SIZE(study.most_changes), "N", "at most so many changes together, 1 to 3 (default 2)",
     ON(WR_CMD_WHATIF), NULL},
    {"series", 0, TEXT(series), "FOLDER", "a section on the excursions that this one stands among", ON(WR_CMD_REPORT),
     NULL},
    {"criteria", 0, TEXT(study.criteria), "FILE", "thresholds instead of CAMPAIGN/criteria.csv",
     ON(WR_CMD_READY) | ON(WR_CMD_REPORT), NULL},
    {"strictness", 0, PROBABILITY(study.strictness), "P",
     "which upper point of the overrun probabilities must be inside (default 0.95)",
     ON(WR_CMD_READY) | ON(WR_CMD_REPORT), NULL},
    {"picture", 0, CHOICE(picture), NULL, "kind of picture; auto: what --out ends in, else png", ON(WR_CMD_CHART),
     pictures},
    {"width", 0, SIZE(width), "PX", "width of the chart; below 600 the narrow layout", ON(WR_CMD_CHART), NULL},
    {"quiet", 'q', FLAG(quiet), NULL, "no progress, no notes; cautions and errors stay", ALL, NULL},
    {"help", 'h', FLAG(help), NULL, "this text", ALL, NULL},
    {"version", 0, FLAG(version), NULL, "the version", ALL, NULL},
};
const size_t wr_n_options = sizeof wr_options / sizeof wr_options[0];

const char *wr_option_times_word(int times_said)
{
    return times_kinds[times_said];
}

void wr_settings_init(struct wr_settings *s)
{
    *s = (struct wr_settings){.study = wr_study_default()};
}

void wr_settings_release(struct wr_settings *s)
{
    WR_FREE(s->runs.text, s->at.text, s->earlier.text, s->idle.text);
    for (size_t i = 0; i < s->n_joined; i++) wr_free(s->joined[i]);
    WR_FREE(s->joined, s->change);
    wr_settings_init(s);
}

/* wanted: what it is to be, and an example of it */
static enum wr_status bad_value(const struct wr_option *o, const char *text, const char *wanted, const char *example,
                                struct wr_error *err)
{
    return wr_fail(err, WR_E_USAGE, "--%s: '%s' is not %s: write --%s %s", o->name, text, wanted, o->name, example);
}

static enum wr_status take_choice(const struct wr_option *o, const char *text, int *value, struct wr_error *err)
{
    WR_SCOPED_STR all = {0};

    for (int i = 0; o->choice[i]; i++) {
        if (strcmp(o->choice[i], text) == 0) {
            *value = i;
            return WR_OK;
        }
        wr_str_addf(&all, "%s%s", i == 0 ? "" : o->choice[i + 1] ? ", " : " or ", o->choice[i]);
    }
    return bad_value(o, text, wr_str_text(&all), o->choice[1], err);
}

static const struct wr_habits alone = {.decimal_comma = true}; /* no comma parts one value from the next */

/* What people write for a limit or for a confidence; NULL, or why it cannot be read. */
static const char *read_written(enum wr_option_type type, const char *text, double *value)
{
    enum wr_spelling spelling;

    return type == WR_OPT_CONFIDENCE ? wr_written_confidence(text, &alone, value, &spelling)
                                     : wr_written_limit(text, &alone, value);
}

/* Said again, a list goes on: its parts are joined as if written with a comma. */
static void go_on(struct wr_settings *s, const char **list, const char *text)
{
    if (*list) {
        struct wr_str all = {0};
        wr_str_addf(&all, "%s,%s", *list, text);
        char **slot = WR_PUSH(s->joined, s->n_joined, s->room_joined);
        *slot = all.text;
        text = all.text;
    }
    *list = text;
}

static enum wr_status take_value(struct wr_settings *s, const struct wr_option *o, const char *text,
                                 struct wr_error *err)
{
    char *at = (char *)s + o->target;
    struct wr_maybe m = {.known = true};

    switch (o->type) {
    case WR_OPT_FLAG:
        *(bool *)at = true;
        return WR_OK;
    case WR_OPT_JOIN:
        if (s->n_change == 0)
            return wr_fail(err, WR_E_USAGE,
                           "--also joins a change to the one before it, and there is none: write --drop TASK --also "
                           "--scale TASK=0.8");
        s->join_next = true;
        return WR_OK;
    case WR_OPT_TEXT:
        *(const char **)at = text;
        return WR_OK;
    case WR_OPT_COMMAS:
        go_on(s, (const char **)at, text);
        return WR_OK;
    case WR_OPT_LIST: {
        struct wr_text_list *list = (struct wr_text_list *)at;
        const char **slot = WR_PUSH(list->text, list->n_text, list->room);
        *slot = text;
        return WR_OK;
    }
    case WR_OPT_CHANGE: {
        struct wr_change_text *c = WR_PUSH(s->change, s->n_change, s->room_change);
        *c = (struct wr_change_text){(enum wr_change_kind)o->target, text, s->join_next};
        s->join_next = false;
        return WR_OK;
    }
    case WR_OPT_SIZE:
        if (wr_parse_size(text, (size_t *)at) && *(size_t *)at > 0) return WR_OK; /* 0 in the settings: not said */
        return bad_value(o, text, "a whole number above 0", o->letter == 'n' ? "1000" : "2", err);
    case WR_OPT_SEED: {
        unsigned long long v;
        if (!wr_parse_uint64(text, &v)) return bad_value(o, text, "a whole number", "7", err);
        *(uint64_t *)at = v;
        return WR_OK;
    }
    case WR_OPT_CHOICE:
        s->target_said = s->target_said || at == (char *)&s->target;
        return take_choice(o, text, (int *)at, err);
    case WR_OPT_PROBABILITY:
        if (!wr_parse_double(text, &m.value) || !(m.value > 0 && m.value < 1))
            return bad_value(o, text, "a probability between 0 and 1", "0.9", err);
        break;
    case WR_OPT_CONFIDENCE:
    case WR_OPT_LIMIT: {
        const char *trouble = read_written(o->type, text, &m.value);
        if (trouble) return wr_fail(err, WR_E_USAGE, "--%s: '%s' is %s", o->name, text, trouble);
        if (o->type == WR_OPT_LIMIT) {
            s->study.limit_as_clock_min = wr_as_lost_colon_min(text, &alone);
            s->study.limit_form = wr_time_form_of(text);
        }
        break;
    }
    case WR_OPT_TIMES:
        for (int i = 1; times_kinds[i]; i++)
            if (strcmp(times_kinds[i], text) == 0) {
                s->times_said = i;
                return WR_OK;
            }
        *(const char **)at = text;
        return WR_OK;
    case WR_OPT_POSITIVE:
        if (!wr_parse_double(text, &m.value) || !(m.value > 0))
            return bad_value(o, text, "a number above 0", "0.1", err);
        break;
    case WR_OPT_NUMBER:
        if (!wr_parse_double(text, &m.value) || m.value < 0)
            return bad_value(o, text, "a number of 0 or more", "10", err);
        break;
    }
    *(struct wr_maybe *)at = m;
    return WR_OK;
}

static bool takes_argument(const struct wr_option *o)
{
    return o->type != WR_OPT_FLAG && o->type != WR_OPT_JOIN;
}

static bool acts_on(const struct wr_option *o, const struct wr_command *command)
{
    return o->commands & ON(wr_command_id(command));
}

/* letter: 0, or instead of the name. The option of that name that acts on the command, else one that it bears. */
static const struct wr_option *find_option(const struct wr_command *command, const char *name, size_t len, char letter)
{
    const struct wr_option *borne = NULL;

    for (size_t i = 0; i < wr_n_options; i++) {
        const struct wr_option *o = &wr_options[i];
        /* cppcheck-suppress nullPointer ; there is a name where there is no letter */
        if (letter ? o->letter != letter : strlen(o->name) != len || memcmp(o->name, name, len) != 0) continue;
        if (acts_on(o, command)) return o;
        if ((o->commands & WR_OPT_BORNE) && !command->no_campaign) borne = o;
    }
    return borne;
}

static enum wr_status take_word(struct wr_settings *s, const struct wr_command *command, const char *word,
                                size_t *n_operand, struct wr_error *err)
{
    size_t most = (command->names ? 1u : 0u) + (command->no_campaign ? 0u : 1u);

    if (*n_operand == most || !*word) { /* an empty name, as of an unset variable, would be a place at the root */
        WR_SCOPED_STR takes = {0};
        wr_command_operands(command, &takes);
        return wr_fail(err, WR_E_USAGE, "unexpected '%s': write wetrun %s [options] %s", word, command->name,
                       wr_str_text(&takes));
    }
    if (command->names && *n_operand == 0)
        s->name = word;
    else
        s->study.folder = word;
    (*n_operand)++;
    return WR_OK;
}

static const char *option_at(const void *command, size_t i)
{
    return wr_options[i].commands & ON(wr_command_id(command)) ? wr_options[i].name : NULL;
}

/* "cutoff, chart": the commands on which an option of that name acts; "" if there is none. */
static void add_commands_with(const char *name, struct wr_str *out)
{
    enum { MOST = 4 };
    size_t n = 0;

    for (size_t c = 0; c < WR_N_COMMAND; c++)
        for (size_t i = 0; i < wr_n_options; i++)
            if (strcmp(wr_options[i].name, name) == 0 && acts_on(&wr_options[i], &wr_commands[c]) && n++ < MOST)
                wr_str_addf(out, "%s%s", n == 1 ? "" : ", ", wr_commands[c].name);
    if (n > MOST) wr_str_add(out, " and others");
}

/* --run of a command that takes RUN as a word: what is near to it among the options is not what is meant. */
static bool is_operand(const struct wr_command *command, const char *name)
{
    return (command->names && strcasecmp(name, command->names) == 0) ||
           (!command->no_campaign && strcasecmp(name, "campaign") == 0);
}

static enum wr_status no_such_option(const struct wr_command *command, const char *word, struct wr_error *err)
{
    const struct wr_name_list list = {option_at, command, wr_n_options};
    size_t dashes = strspn(word, "-"), near = SIZE_MAX;
    char name[64] = "";

    if (strcspn(word + dashes, "=") < sizeof name) {
        memcpy(name, word + dashes, strcspn(word + dashes, "="));
        if (strlen(name) > 1) near = wr_find_near(&list, name);
    }
    if (is_operand(command, name))
        return wr_fail(err, WR_E_USAGE, "wetrun %s has no option '--%s': that is a word without dashes: write %s",
                       command->name, name, command->example);
    WR_SCOPED_STR elsewhere = {0};
    add_commands_with(name, &elsewhere);
    if (elsewhere.len)
        return wr_fail(err, WR_E_USAGE,
                       "wetrun %s has no option '--%s', but it is one of wetrun %s; `wetrun %s --help` lists those it "
                       "has",
                       command->name, name, elsewhere.text, command->name);
    if (near == SIZE_MAX)
        return wr_fail(err, WR_E_USAGE, "wetrun %s has no option '%s'; `wetrun %s --help` lists them", command->name,
                       word, command->name);
    return wr_fail(err, WR_E_USAGE, "wetrun %s has no option '%s' (did you mean '--%s'?)", command->name, word,
                   wr_options[near].name);
}

/* The option that word names, or NULL, and, if it stands in the same word, its value. */
static const struct wr_option *named_option(const struct wr_command *command, const char *word, const char **value)
{
    *value = NULL;
    if (word[1] == '-') {
        const char *equals = strchr(word, '=');
        if (equals) *value = equals + 1;
        return find_option(command, word + 2, equals ? (size_t)(equals - word - 2) : strlen(word + 2), '\0');
    }
    if (word[2] != '\0') *value = word + 2;
    return find_option(command, NULL, 0, word[1]);
}

/* *value: that in the option's own word, or NULL; then the next word is taken. One that takes none gets "". */
static enum wr_status take_argument(const struct wr_option *o, int argc, char *const *argv, int *i, const char **value,
                                    struct wr_error *err)
{
    const bool takes = takes_argument(o);

    if (!takes && *value) return wr_fail(err, WR_E_USAGE, "--%s takes no value: write --%s alone", o->name, o->name);
    if (!*value) *value = takes && *i + 1 < argc ? argv[++*i] : "";
    if (!takes || **value) return WR_OK;
    if (o->choice) return wr_fail(err, WR_E_USAGE, "--%s needs a value: write --%s %s", o->name, o->name, o->choice[1]);
    return wr_fail(err, WR_E_USAGE, "--%s needs a value: write --%s %s", o->name, o->name, o->argument);
}

static bool is_folder(const char *path)
{
    struct stat at;

    return path && stat(path, &at) == 0 && S_ISDIR(at.st_mode);
}

/* What stands before the campaign is there, and is not the campaign. */
static enum wr_status check_operands(const struct wr_settings *s, const struct wr_command *command, size_t n_operand,
                                     struct wr_error *err)
{
    bool swapped = n_operand == 2 && !is_folder(s->study.folder);

    if (!command->names || s->help || s->version) return WR_OK;
    if (n_operand == 0)
        return wr_fail(err, WR_E_USAGE, "wetrun %s needs %s: write %s", command->name, command->names,
                       command->example);
    if ((n_operand == 1 || swapped) && !command->no_campaign && is_folder(s->name))
        return wr_fail(err, WR_E_USAGE, "'%s' is a folder: wetrun %s needs %s before it (wetrun %s %s %s)%s", s->name,
                       command->name, command->names, command->name, swapped ? s->study.folder : command->names,
                       s->name,
                       strcmp(command->names, "RUN") == 0 ? "; `wetrun check` lists the runs" : "");
    return WR_OK;
}

static bool times_kind(const char *text)
{
    for (int i = 1; times_kinds[i]; i++)
        if (strcmp(times_kinds[i], text) == 0) return true;
    return false;
}

/* What cannot add to what was said before would silently replace it. *said: the value before, or NULL. */
static enum wr_status check_again(const struct wr_option *o, const char **said, const char *value,
                                  struct wr_error *err)
{
    const char *before = *said;

    if (!takes_argument(o) || o->type == WR_OPT_COMMAS || o->type == WR_OPT_LIST || o->type == WR_OPT_CHANGE)
        return WR_OK;
    *said = value;
    if (!before || strcmp(before, value) == 0) return WR_OK;
    return wr_fail(err, WR_E_USAGE, "--%s is given twice, '%s' and '%s', and only one can hold: write --%s %s alone",
                   o->name, before, value, o->name, value);
}

enum wr_status wr_settings_parse(struct wr_settings *s, const struct wr_command *command, int argc, char *const *argv,
                                 struct wr_error *err)
{
    size_t n_operand = 0;
    bool options_over = false;
    const char *said[2][sizeof wr_options / sizeof wr_options[0]] = {0}; /* [1]: how check --times reads a number */

    for (int i = 0; i < argc; i++) {
        const char *word = argv[i], *value;
        const struct wr_option *o;
        enum wr_status status;

        if (options_over || word[0] != '-' || word[1] == '\0') {
            status = take_word(s, command, word, &n_operand, err);
            if (status) return status;
            continue;
        }
        if (strcmp(word, "--") == 0) {
            options_over = true;
            continue;
        }
        o = named_option(command, word, &value);
        if (!o) return no_such_option(command, word, err);
        status = take_argument(o, argc, argv, &i, &value, err);
        if (status) return status;
        status = check_again(o, &said[o->type == WR_OPT_TIMES && times_kind(value)][o - wr_options], value, err);
        if (!status) status = take_value(s, o, value, err);
        if (status) return status;
        if (!acts_on(o, command)) *WR_PUSH(s->idle.text, s->idle.n_text, s->idle.room) = o->name;
    }
    if (s->join_names && s->keep_names)
        return wr_fail(err, WR_E_USAGE, "--join-names and --keep-names contradict each other: leave one out");
    if (s->join_next)
        return wr_fail(err, WR_E_USAGE, "--also is followed by no change: write --drop TASK --also --scale TASK=0.8");
    return check_operands(s, command, n_operand, err);
}
