/* Files that the build turns into part of the library (rules.mk, embed.awk). */
#pragma once

struct embedded { /* a table ends with a row of NULLs */
    const char *name, *text;
};
extern const struct embedded plot_scripts[]; /* the scripts in plots/ */
