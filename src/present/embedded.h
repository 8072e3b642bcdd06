/* Files that the build turns into part of the library (rules.mk, embed.awk). */
#ifndef WETRUN_SRC_PRESENT_EMBEDDED_H
#define WETRUN_SRC_PRESENT_EMBEDDED_H

struct embedded { /* a table ends with a row of NULLs */
    const char *name, *text;
};
extern const struct embedded plot_scripts[]; /* the scripts in plots/ */

#endif
