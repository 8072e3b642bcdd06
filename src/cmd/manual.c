/* What the manual pages take from tables: commands and options for wetrun.1.in, criteria for wetrun-files.5.in. */
#include "options.h"
#include "wetrun/campaign/criteria.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/prose.h"

enum { WIDTH = 68 }; /* mandoc counts a letter outside ASCII as eight bytes of at most 80 */

/* A text of our own as lines of their own. */
static void add_text(struct wr_str *out, const char *text)
{
    if (*text == '.' || *text == '\'') wr_str_add(out, "\\&");
    wr_prose_add(out, text, 0, WIDTH);
}

static void add_commands(struct wr_str *out)
{
    wr_str_add(out, ".\\\" @COMMANDS@\n.Bl -tag -width Ds\n");
    for (size_t c = 0; c < WR_N_COMMAND; c++) {
        const struct wr_command *command = &wr_commands[c];
        wr_str_addf(out, ".It Nm Cm %s", command->name);
        if (command->names) wr_str_addf(out, " Ar %s", command->names);
        if (!command->no_campaign) wr_str_add(out, " Op Ar CAMPAIGN");
        wr_str_add_char(out, '\n');
        add_text(out, command->summary);
        if (c == WR_CMD_CHART) {
            wr_str_add(out, ".Bl -tag -width variance\n");
            for (int i = 0; i < WR_N_CHART; i++) {
                wr_str_addf(out, ".It Cm %s\n", wr_chart_name((enum wr_chart)i));
                add_text(out, wr_chart_help((enum wr_chart)i));
            }
            wr_str_add(out, ".El\n");
        }
        wr_str_addf(out, ".Dl %s\n", command->example);
    }
    wr_str_add(out, ".El\n");
}

static void add_head(const struct wr_option *o, struct wr_str *out)
{
    wr_str_add(out, ".It ");
    if (o->letter) wr_str_addf(out, "Fl %c , ", o->letter);
    wr_str_addf(out, "Fl -%s", o->name);
    if (o->choice)
        for (size_t i = 0; o->choice[i]; i++) wr_str_addf(out, "%s%s", i ? " | " : " Cm ", o->choice[i]);
    else if (o->argument) wr_str_addf(out, " Ar %s", o->argument);
    wr_str_add_char(out, '\n');
}

static size_t count_bits(uint32_t bits)
{
    size_t n = 0;

    for (; bits; bits &= bits - 1) n++;
    return n;
}

/* "forecast, report"; of most of them those that do not take it. */
static void add_takers(const struct wr_option *o, struct wr_str *out)
{
    const uint32_t all = (1u << WR_N_COMMAND) - 1;
    bool most = count_bits(o->commands & all) > WR_N_COMMAND / 2;
    uint32_t named = most ? all & ~o->commands : o->commands & all;
    WR_SCOPED_STR text = {0};

    wr_str_add(&text, most ? named ? "Every command but " : "Every command" : "Only ");
    for (size_t c = 0, n = 0; c < WR_N_COMMAND; c++)
        if (named & (1u << c)) wr_str_addf(&text, "%s%s", n++ ? ", " : "", wr_commands[c].name);
    wr_str_add_char(&text, '.');
    wr_str_add(out, ".br\n");
    add_text(out, wr_str_text(&text));
}

static void add_criteria(struct wr_str *out)
{
    const struct wr_criteria criteria = wr_criteria_default();

    wr_str_add(out, ".\\\" @CRITERIA@\n.Bl -tag -width Ds\n");
    for (int i = 0; i < WR_N_CRITERION; i++) {
        wr_str_addf(out, ".It Sy %s No %g\n", wr_criterion_name((enum wr_criterion_id)i), criteria.threshold[i]);
        add_text(out, wr_criterion_meaning((enum wr_criterion_id)i));
    }
    wr_str_add(out, ".El\n");
}

void wr_help_manual(struct wr_str *out)
{
    add_commands(out);
    wr_str_add(out, ".\\\" @OPTIONS@\n.Bl -tag -width Ds\n");
    for (size_t i = 0; i < wr_n_options; i++) {
        add_head(&wr_options[i], out);
        add_text(out, wr_options[i].help);
        add_takers(&wr_options[i], out);
    }
    wr_str_add(out, ".El\n");
    add_criteria(out);
}
