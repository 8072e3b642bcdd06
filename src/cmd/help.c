/* Help on a terminal, from the command table and the option rows. */
#include "options.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/prose.h"

static const char *const group_title[WR_N_GROUP] = {
    [WR_GROUP_FIRST] = "Before anything else",     [WR_GROUP_EXPECT] = "What to expect",
    [WR_GROUP_DECIDE] = "What to decide",          [WR_GROUP_REHEARSALS] = "Rehearsals",
    [WR_GROUP_EVIDENCE] = "Evidence",              [WR_GROUP_ALTERNATIVES] = "Alternatives",
    [WR_GROUP_SHOW] = "To show",
};
static const char caution[] =
    "Decision support only. Flight rules, pool and diving safety limits, suit\n"
    "consumables, medical limits and licensed practice come first.\n";
static const char exit_text[] =
    "Exit status: 0 done; 1 done, a criterion is not met or cannot be told (ready),\n"
    "or something was found (check --strict); 2 wrong usage; 3 input not usable; 4\n"
    "something could not be written, or gnuplot could not be run; 5 no memory, or an\n"
    "error of the program itself.\n";

void wr_help_program(struct wr_str *out)
{
    wr_str_add(out, "Usage: wetrun COMMAND [options] [CAMPAIGN]\n\n"
                    "From the logs of underwater rehearsals of a suited excursion: how long each task\n"
                    "takes, when the crew will be back inside, how likely they go over the limit, and\n"
                    "what to do about it. CAMPAIGN is a folder with runs.csv and, as far as they\n"
                    "exist, plan.csv, limits.csv and history.csv.\n");
    for (size_t g = WR_GROUP_NONE + 1; g < WR_N_GROUP; g++) {
        wr_str_addf(out, "\n%s\n", group_title[g]);
        for (size_t i = 0; i < WR_N_COMMAND; i++)
            if (wr_commands[i].group == g)
                wr_str_addf(out, "  %-12s %s\n", wr_commands[i].name, wr_commands[i].summary);
    }
    wr_str_add(out, "\n`wetrun COMMAND --help` lists the options of a command; begin with `wetrun start\n"
                    "FOLDER`, or with `wetrun check` on a log that you have.\n\n");
    wr_str_add(out, exit_text);
    wr_str_add_char(out, '\n');
    wr_str_add(out, caution);
}

static void option_head(const struct wr_option *o, struct wr_str *head)
{
    if (o->letter) wr_str_addf(head, "-%c, ", o->letter);
    wr_str_addf(head, "--%s", o->name);
    if (o->choice)
        for (size_t i = 0; o->choice[i]; i++) wr_str_addf(head, "%s%s", i ? "|" : " ", o->choice[i]);
    else if (o->argument)
        wr_str_addf(head, " %s", o->argument);
}

void wr_help_charts(struct wr_str *out)
{
    WR_SCOPED_STR head = {0};

    wr_str_add(out, "\nCharts\n");
    for (int i = 0; i < WR_N_CHART; i++) {
        wr_str_addf(&head, "  %s", wr_chart_name((enum wr_chart)i));
        wr_prose_add_beside(out, wr_str_text(&head), wr_chart_help((enum wr_chart)i), 13, WR_TERMINAL_COLUMNS);
        wr_str_clear(&head);
    }
}

void wr_help_series(struct wr_str *out)
{
    wr_str_add(out, "\nThe folder has series.csv with the columns excursion, campaign and date, and\n"
                    "people where it is known who flies which excursion: EV1=NAME;EV2=NAME\n");
}

void wr_help_criteria(struct wr_str *out)
{
    const struct wr_criteria usual = wr_criteria_default();
    WR_SCOPED_STR head = {0};

    wr_str_add(out, "\nCriteria, and their thresholds unless criteria.csv says otherwise\n");
    for (int i = 0; i < WR_N_CRITERION; i++) {
        wr_str_addf(&head, "  %-15s %g", wr_criterion_name((enum wr_criterion_id)i), usual.threshold[i]);
        wr_prose_add_beside(out, wr_str_text(&head), wr_criterion_meaning((enum wr_criterion_id)i), 24,
                            WR_TERMINAL_COLUMNS);
        wr_str_clear(&head);
    }
}

void wr_help_command(const struct wr_command *command, struct wr_str *out)
{
    WR_SCOPED_STR head = {0};

    wr_str_addf(out, "Usage: wetrun %s [options] ", command->name);
    wr_command_operands(command, out);
    wr_str_add(out, "\n\n");
    wr_prose_add(out, command->summary, 0, WR_TERMINAL_COLUMNS);
    wr_str_addf(out, "\nExample\n  %s\n", command->example);
    if (command->help) command->help(out);
    wr_str_add(out, "\nOptions\n");
    for (size_t i = 0; i < wr_n_options; i++) {
        if (!(wr_options[i].commands & (1u << wr_command_id(command)))) continue;
        wr_str_add(&head, "  ");
        option_head(&wr_options[i], &head);
        wr_prose_add_beside(out, wr_str_text(&head), wr_options[i].help, 30, WR_TERMINAL_COLUMNS);
        wr_str_clear(&head);
    }
    wr_str_add_char(out, '\n');
    wr_str_add(out, exit_text);
    wr_str_add_char(out, '\n');
    wr_str_add(out, caution);
}
