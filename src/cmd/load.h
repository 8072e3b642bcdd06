/* From the command line to checked records: which files, in which order, and what was found in them. */
#ifndef WETRUN_CMD_LOAD_H
#define WETRUN_CMD_LOAD_H

#include <stdbool.h>
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/io/text_file.h"
#include "wetrun/network/network.h"
#include "wetrun/timing/timing.h"

/* A file, read once: what was used and what its checksum is about are the same bytes. */
struct wr_input {
    const char *name;
    struct wr_text text;
};

struct wr_loaded { /* start as {0} */
    struct wr_arena text;
    char *name;                      /* base name of the campaign folder */
    struct wr_input **file; size_t n_file, room_file; /* every input file that was read */
    struct wr_findings findings;
    struct wr_aliases aliases;
    struct wr_run_log log;           /* no runs if there is only a plan */
    struct wr_plan plan;
    struct wr_limits limits;
    struct wr_history history; bool has_history;
    struct wr_network net;
    struct wr_timing timing;
    const char *people;              /* --people in the names of the log, letters with --anonymous; NULL: not said */
    double confidence;               /* wanted, of the excursion limit; 0: not said */
};

/* rejected: as in struct wr_log_options; may be NULL. The findings are kept when loading fails. */
WR_MUST_CHECK enum wr_status wr_load(struct wr_loaded *in, const struct wr_settings *settings,
                                     const struct wr_log_options *rejected, struct wr_error *err);
void wr_loaded_release(struct wr_loaded *in);

/* There is no silent default for a safety limit: WR_E_USAGE with what to add. */
WR_MUST_CHECK enum wr_status wr_need_limit(const struct wr_loaded *in, struct wr_error *err);
WR_MUST_CHECK enum wr_status wr_need_confidence(const struct wr_loaded *in, struct wr_error *err);

/* A file of the folder, or the one that the command line names; NULL if neither exists. */
const char *wr_input_path(struct wr_loaded *in, const struct wr_settings *settings, const char *named,
                          const char *in_folder);
/* Reads a file and counts it among the inputs that the output names with their checksums; lives as long as *in. */
WR_MUST_CHECK enum wr_status wr_input_read(struct wr_loaded *in, const char *path, const struct wr_input **input,
                                           struct wr_error *err);
#endif
