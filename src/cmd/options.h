/* Option rows, private to the command room. */
#pragma once

#include <stddef.h>
#include <stdint.h>

enum wr_option_type {
    WR_OPT_FLAG,        /* bool */
    WR_OPT_TEXT,        /* const char * */
    WR_OPT_COMMAS,      /* const char *: a list with commas; said again, it goes on */
    WR_OPT_LIST,        /* struct wr_text_list */
    WR_OPT_SIZE,        /* size_t */
    WR_OPT_SEED,        /* uint64_t */
    WR_OPT_CHOICE,      /* int: index into choice */
    WR_OPT_PROBABILITY, /* struct wr_maybe, in (0, 1) */
    WR_OPT_CONFIDENCE,  /* struct wr_maybe, in (0, 1); per cent as well */
    WR_OPT_TIMES,       /* clock, elapsed, day or 12h into times_said; any other text is a file, into target */
    WR_OPT_LIMIT,     /* struct wr_maybe, minutes */
    WR_OPT_POSITIVE,    /* struct wr_maybe, > 0 */
    WR_OPT_NUMBER,      /* struct wr_maybe, >= 0 */
    WR_OPT_CHANGE,      /* adds to settings.change; target is its enum wr_change_kind */
    WR_OPT_JOIN,        /* joins the next change */
};

/* The other commands bear it, so that one set of options can be given to several: it does nothing there, and they say
 * so. */
#define WR_OPT_BORNE (1u << 31)

struct wr_option {
    const char *name;
    char letter;              /* 0: none */
    enum wr_option_type type;
    size_t target;            /* offset into struct wr_settings */
    const char *argument;     /* its name in help; choices are listed instead */
    const char *help;
    uint32_t commands;        /* bits of enum wr_command_id: those on which it acts; and WR_OPT_BORNE */
    const char *const *choice; /* WR_OPT_CHOICE: ends with NULL; the first is the default */
};
extern const struct wr_option wr_options[];
extern const size_t wr_n_options;
const char *wr_option_times_word(int times_said); /* "clock" */
