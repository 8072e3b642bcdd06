/* Completion of a command line: the shells ask the program itself, so that its answers are those of the option rows,
 * and runs and tasks those of the campaign. */
#include <string.h>
#include "options.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/present/chart.h"
#include "wetrun/study/study.h"

struct offer {
    struct wr_str words;
    const char *begun; /* what was typed of the word */
    const char *files; /* "files", "folders", "none" */
    enum wr_status trouble; /* no memory, or an error of the program; a campaign that cannot be read offers nothing */
    struct wr_error err;
};

/* Names come from files: one that a shell or a terminal could take for more than a name is not offered. */
static bool is_plain(const char *name)
{
    for (const unsigned char *c = (const unsigned char *)name; *c; c++)
        if (*c < ' ' || *c == 0x7f) return false;
    return *name != '\0';
}

static void add_word(struct offer *o, const char *before, const char *word, const char *meaning)
{
    WR_SCOPED_STR whole = {0};

    wr_str_addf(&whole, "%s%s", before, word);
    if (is_plain(wr_str_text(&whole)) && strncmp(wr_str_text(&whole), o->begun, strlen(o->begun)) == 0)
        wr_str_addf(&o->words, "%s%s%s\n", whole.text, meaning ? "\t" : "", meaning ? meaning : "");
}

static bool takes(const struct wr_command *command, const struct wr_option *o)
{
    return o->commands & (1u << wr_command_id(command));
}

static void add_options(struct offer *o, const struct wr_command *command)
{
    for (size_t i = 0; i < wr_n_options; i++)
        if (takes(command, &wr_options[i])) add_word(o, "--", wr_options[i].name, wr_options[i].help);
}

static const struct wr_option *option_of(const struct wr_command *command, const char *word)
{
    for (size_t i = 0; i < wr_n_options; i++) {
        const struct wr_option *o = &wr_options[i];
        if (!takes(command, o)) continue;
        if (strncmp(word, "--", 2) == 0 && strcmp(word + 2, o->name) == 0) return o;
        if (o->letter && word[0] == '-' && word[1] == o->letter && word[2] == '\0') return o;
    }
    return NULL;
}

static bool is_flag(const struct wr_option *o)
{
    return o->type == WR_OPT_FLAG || o->type == WR_OPT_JOIN;
}

/* ---- names of the campaign ---- */

/* The campaign that the line names, wherever in it: --runs, and the last word that belongs to no option. */
static void find_campaign(const struct wr_command *command, size_t at, size_t n, char *const *word,
                          struct wr_study_options *options, const char *runs[1])
{
    for (size_t i = 1; i < n; i++) {
        const struct wr_option *o = option_of(command, word[i]);
        if (o && strcmp(o->name, "runs") == 0 && i + 1 < n) {
            runs[0] = word[i + 1];
            options->runs = runs;
            options->n_runs = 1;
        }
        if (o && strcmp(o->name, "columns") == 0 && i + 1 < n) options->log.columns = word[i + 1];
        if (o && !is_flag(o)) i++;
        else if (!o && i != at && word[i][0] != '-' && word[i][0] != '\0') options->folder = word[i];
    }
}

enum names { RUNS, TASKS };
static void add_names(struct offer *o, enum names which, const char *before, const struct wr_command *command,
                      size_t at, size_t n, char *const *word)
{
    WR_RELEASED_BY(wr_study_release) struct wr_study study = {0};
    struct wr_study_options options = wr_study_default();
    struct wr_error err = {0};
    const char *runs[1];

    find_campaign(command, at, n, word, &options, runs);
    enum wr_status status = wr_study_open(&study, &options, &err);
    if (status == WR_E_MEMORY || status == WR_E_BUG) {
        o->trouble = status;
        o->err = err;
    } else if (status == WR_OK || study.log.n_run) {
        for (size_t i = 0; which == RUNS && i < study.log.n_run; i++) add_word(o, before, study.log.run[i].id, NULL);
        for (size_t i = 0; which == TASKS && i < study.plan.n_task; i++)
            add_word(o, before, study.plan.task[i].id, study.plan.task[i].title);
    }
}

/* ---- values ---- */

static void add_values(struct offer *o, const struct wr_option *option, const struct wr_command *command, size_t at,
                       size_t n, char *const *word)
{
    const char *argument = option->argument ? option->argument : "";
    const char *comma = strrchr(o->begun, ',');
    WR_SCOPED_STR before = {0};

    for (size_t i = 0; option->choice && option->choice[i]; i++) add_word(o, "", option->choice[i], NULL);
    if (option->type == WR_OPT_TIMES)
        for (int i = 1; i <= 3; i++) add_word(o, "", wr_option_times_word(i), NULL);
    if (option->type == WR_OPT_TIMES || strcmp(argument, "FILE") == 0 || strcmp(argument, "PATH") == 0)
        o->files = "files";
    if (strcmp(argument, "DIR") == 0 || strcmp(argument, "FOLDER") == 0) o->files = "folders";
    if (strcmp(argument, "RUN") == 0) add_names(o, RUNS, "", command, at, n, word);
    if (strcmp(argument, "WHAT") == 0) {
        o->files = "files";
        add_names(o, RUNS, "before:", command, at, n, word);
    }
    if (strncmp(argument, "TASK", 4) == 0) { /* TASK[,…]: behind the last comma */
        if (comma) wr_str_add_bytes(&before, o->begun, (size_t)(comma + 1 - o->begun));
        add_names(o, TASKS, wr_str_text(&before), command, at, n, word);
    }
}

/* How many words before word[at] belong to no option. */
static size_t operands_before(const struct wr_command *command, size_t at, char *const *word)
{
    size_t count = 0;

    for (size_t i = 1; i < at; i++) {
        const struct wr_option *o = option_of(command, word[i]);
        if (o && !is_flag(o)) i++;
        else if (word[i][0] != '-') count++;
    }
    return count;
}

static void add_operands(struct offer *o, const struct wr_command *command, size_t at, size_t n, char *const *word)
{
    bool first = command->names && operands_before(command, at, word) == 0;

    if (!first) {
        o->files = "folders";
    } else if (wr_command_id(command) == WR_CMD_CHART) {
        for (int i = 0; i < WR_N_CHART; i++)
            add_word(o, "", wr_chart_name((enum wr_chart)i), wr_chart_help((enum wr_chart)i));
    } else if (strcmp(command->names, "RUN") == 0) {
        add_names(o, RUNS, "", command, at, n, word);
    } else {
        o->files = "folders";
    }
}

enum wr_status wr_complete(size_t at, size_t n_word, char *const *word, struct wr_str *out, struct wr_error *err)
{
    struct offer o = {.begun = at < n_word ? word[at] : "", .files = "none"};
    const struct wr_command *command = n_word ? wr_command_find(word[0]) : NULL;

    if (at == 0) {
        for (size_t c = 0; c < WR_N_COMMAND; c++) add_word(&o, "", wr_commands[c].name, wr_commands[c].summary);
    } else if (command && at <= n_word) {
        const struct wr_option *option = at > 1 ? option_of(command, word[at - 1]) : NULL;
        if (option && !is_flag(option)) add_values(&o, option, command, at, n_word, word);
        else if (o.begun[0] == '-') add_options(&o, command);
        else add_operands(&o, command, at, n_word, word);
    }
    wr_str_addf(out, "%s\n%s", o.files, wr_str_text(&o.words));
    wr_str_release(&o.words);
    if (o.trouble) *err = o.err;
    return o.trouble;
}

/* ---- the shells ---- */

static const struct {
    const char *shell, *script;
} scripts[] = {
    {"bash", "# bash completion for wetrun: the program says what may follow\n"
             "_wetrun() {\n"
             "    local words=() at=0 i glued= files word\n"
             "    # bash cuts words at = and : as well; they are put together again\n"
             "    for ((i = 1; i < ${#COMP_WORDS[@]}; i++)); do\n"
             "        word=${COMP_WORDS[i]}\n"
             "        if ((i > 1)) && { [[ $word == [=:]* ]] || [ -n \"$glued\" ]; }; then\n"
             "            words[${#words[@]}-1]+=$word\n"
             "        else\n"
             "            words+=(\"$word\")\n"
             "        fi\n"
             "        [[ $word == *[=:] ]] && glued=1 || glued=\n"
             "        ((i == COMP_CWORD)) && at=$((${#words[@]} - 1))\n"
             "    done\n"
             "    local begun=${words[at]} cut=\n"
             "    [[ $begun == *[=:]* ]] && cut=${begun%\"${begun##*[=:]}\"}\n"
             "    COMPREPLY=()\n"
             "    { read -r files; while IFS=$'\\t' read -r word _; do\n"
             "        COMPREPLY+=(\"$(printf %q \"${word#\"$cut\"}\")\")\n"
             "    done; } < <(wetrun --complete \"$at\" \"${words[@]}\" 2>/dev/null)\n"
             "    case $files in\n"
             "    files) compopt -o filenames; while IFS= read -r word; do COMPREPLY+=(\"$word\"); done < <(compgen -f "
             "-- \"$begun\") ;;\n"
             "    folders) compopt -o filenames; while IFS= read -r word; do COMPREPLY+=(\"$word\"); done < <(compgen "
             "-d -- \"$begun\") ;;\n"
             "    esac\n"
             "}\n"
             "complete -F _wetrun wetrun\n"},
    {"zsh", "#compdef wetrun\n"
            "# zsh completion for wetrun: the program says what may follow\n"
            "local files line word\n"
            "local -a names shown\n"
            "while IFS= read -r line; do\n"
            "    if [[ -z $files ]]; then files=$line; continue; fi\n"
            "    word=${line%%$'\\t'*}\n"
            "    names+=(\"$word\")\n"
            "    if [[ $line == *$'\\t'* ]]; then shown+=(\"$word  ${line#*$'\\t'}\"); else shown+=(\"$word\"); fi\n"
            "done < <(wetrun --complete $((CURRENT - 2)) \"${(@)words[2,-1]}\" 2>/dev/null)\n"
            "(( $#names )) && compadd -l -d shown -- \"${(@)names}\"\n"
            "case $files in\n"
            "files) _files ;;\n"
            "folders) _files -/ ;;\n"
            "esac\n"},
    {"fish", "# fish completion for wetrun: the program says what may follow\n"
             "function __wetrun_complete\n"
             "    set -l words (commandline -opc) (commandline -ct)\n"
             "    set -e words[1]\n"
             "    set -l lines (wetrun --complete (math (count $words) - 1) $words 2>/dev/null)\n"
             "    switch \"$lines[1]\"\n"
             "        case files\n"
             "            __fish_complete_path (commandline -ct)\n"
             "        case folders\n"
             "            __fish_complete_directories (commandline -ct)\n"
             "    end\n"
             "    set -e lines[1]\n"
             "    for line in $lines\n"
             "        echo $line\n"
             "    end\n"
             "end\n"
             "complete -c wetrun -f -a '(__wetrun_complete)'\n"},
};

enum wr_status wr_completion_script(const char *shell, struct wr_str *out, struct wr_error *err)
{
    for (size_t i = 0; i < sizeof scripts / sizeof *scripts; i++)
        if (strcmp(scripts[i].shell, shell) == 0) {
            wr_str_add(out, scripts[i].script);
            return WR_OK;
        }
    return wr_fail(err, WR_E_USAGE, "there is no completion for '%s': write wetrun --completion bash, zsh or fish",
                   shell);
}
