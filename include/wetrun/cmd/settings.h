/* Everything a command line can say, in one plain value. Options are described once, in src/cmd/options.c: the same
 * rows feed the parser, --help, the manual page and shell completion. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/base/str.h"
#include "wetrun/cmd/commands.h"
#include "wetrun/study/study.h"

struct wr_text_list {
    const char **text;
    size_t n_text, room;
};

struct wr_settings { /* start with wr_settings_init */
    struct wr_study_options study; /* what an option sets there as it is; wr_study_options_from adds the rest */
    const char *name;            /* RUN of debrief, NAME of chart */
    struct wr_text_list runs;    /* files */
    struct wr_text_list earlier; /* folders of earlier campaigns, besides those in CAMPAIGN/earlier */
    struct wr_text_list at;      /* cutoff: only these tasks */
    int times_said;              /* 0 ask, 1 clock, 2 elapsed, 3 day, 4 12h: enum wr_times_said */
    int dates;                   /* 0 ask, 1 day first, 2 month first: enum wr_date_order */
    int minutes_in;              /* 0 ask, 1 minutes, 2 seconds, 3 hours */
    bool join_names, keep_names;
    size_t threads;              /* 0: all processors */
    int target; bool target_said; /* 0 rehearsal, 1 excursion; --for was given */
    int model;                   /* 0 pooled, 1 alone */
    int learning;                /* 0 on, 1 off */
    bool no_skew;
    struct wr_maybe run_effect;  /* sd given instead of estimated */
    const char *run_effect_prior;
    struct wr_maybe gap_allowance;
    int three_point;             /* as enum wr_three_point_reading */
    const char *start;           /* time of day at which the excursion began */
    struct wr_change_text *change; /* whatif, in the order given */
    size_t n_change, room_change;
    bool join_next;

    int format;                  /* 0 table, 1 csv, 2 json */
    const char *out;
    bool quiet, help, version;
    char **joined;               /* texts of lists that were said in several options; freed with the settings */
    size_t n_joined, room_joined;
    struct wr_text_list idle;    /* options that were given and do nothing for this command */

    const char *rejected, *times, *write_plan; /* check */
    bool strict;
    const char *against;         /* forecast, report: what came before */
    bool log_only;               /* daysheet: no forecast in the page */
    int picture;                 /* chart: 0 as the name of the file says, 1 png, 2 svg, 3 pdf */
    const char *series;          /* report: the folder of the series that the campaign stands in */
    size_t width;                /* chart: pixels, 0: its own */
};

void wr_settings_init(struct wr_settings *s);
void wr_settings_release(struct wr_settings *s);
/* argv without the program and the command. WR_E_USAGE names the offending word. Texts are borrowed from argv. */
WR_MUST_CHECK enum wr_status wr_settings_parse(struct wr_settings *s, const struct wr_command *command, int argc,
                                               char *const *argv, struct wr_error *err);

void wr_help_program(struct wr_str *out);
void wr_help_command(const struct wr_command *command, struct wr_str *out);
void wr_help_manual(struct wr_str *out); /* the commands and the options of wetrun(1), as mdoc */
/* How a shell ("bash", "zsh", "fish") asks `wetrun --complete`; WR_E_USAGE for another. */
WR_MUST_CHECK enum wr_status wr_completion_script(const char *shell, struct wr_str *out, struct wr_error *err);
/* What may stand in place of word[at] of a command line without its program; at most n_word. The first line says
 * whether names of files do as well ("files", "folders" or "none"), each further one is a word and, behind a tab, what
 * it means. */
WR_MUST_CHECK enum wr_status wr_complete(size_t at, size_t n_word, char *const *word, struct wr_str *out,
                                         struct wr_error *err);
