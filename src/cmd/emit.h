/* The command line's edge: data to standard output or --out, messages to standard error. */
#pragma once

#include "doubts.h"
#include "wetrun/base/error.h"
#include "wetrun/base/str.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/io/output_file.h"
#include "wetrun/present/context.h"
#include "wetrun/study/study.h"

/* "wetrun: …" on standard error, escaped for a terminal. */
void wr_say_error(const struct wr_error *err);

/* Notes go to standard error behind the output: gathered before, so that nothing can fail between the two. */
void wr_note(struct wr_str *notes, const char *fmt, ...) WR_PRINTF(2, 3);
void wr_say_notes(const struct wr_str *notes);

/* Nothing writes over what people wrote: WR_E_USAGE if a file that is to be written is one of those that were read, or
 * one of a campaign by its name. The log may begin as an empty sheet (is_sheet). */
WR_MUST_CHECK enum wr_status wr_spare_inputs(const struct wr_settings *settings, struct wr_input *const *file,
                                             size_t n_file, bool is_sheet, struct wr_error *err);
/* The same if a table stands there with another header than these bytes begin with; path NULL or "-": none. */
WR_MUST_CHECK enum wr_status wr_spare_table(const char *path, const char *bytes, size_t n, struct wr_error *err);
/* The same of an empty sheet, which may have been filled in: if anything else stands there. */
WR_MUST_CHECK enum wr_status wr_spare_sheet(const char *path, const char *bytes, size_t n, struct wr_error *err);

/* Writes the text whole to --out, or to standard output. */
WR_MUST_CHECK enum wr_status wr_emit(const struct wr_settings *settings, const struct wr_str *text,
                                     struct wr_error *err);

/* Cut-offs were made: the limits that have no confidence, and so no cut-offs. */
void wr_note_limits_left_out(struct wr_str *notes, const struct wr_study *study);

/* What the output says about itself; borrows from study and settings. Release with wr_context_done. */
struct wr_context {
    struct wr_present_context present;
    struct wr_present_input *input;
    struct wr_str options, modelled;
    struct wr_doubts doubts;
    struct wr_present_second *second; struct wr_str second_words, excursion_words;
};

/* That it is not the usual model, where what is printed has no sentences to say so. */
void wr_note_modelled(struct wr_str *notes, const struct wr_context *context);

/* The findings that move the answer, each cause once; with --quiet only rejected rows and what makes
 * the answer doubtful. */
void wr_note_findings(struct wr_str *notes, const struct wr_study *study, const struct wr_settings *settings);
/* The same, but for what is found of limits where the context leaves that out. */
void wr_note_findings_of(struct wr_str *notes, const struct wr_context *context, const struct wr_study *study,
                         const struct wr_settings *settings);

/* Moments to the second where tasks last tens of seconds; a context does so itself. */
void wr_show_moments_of(const struct wr_study *study);
WR_MUST_CHECK enum wr_status wr_context_make(struct wr_context *c, const struct wr_command *command,
                                             const struct wr_study *study, const struct wr_settings *settings,
                                             struct wr_error *err);
/* The same where other files than the study's own were read. Both spare the inputs. */
WR_MUST_CHECK enum wr_status wr_context_make_from(struct wr_context *c, const struct wr_command *command,
                                                  const struct wr_study *study, struct wr_input *const *file,
                                                  size_t n_file, const struct wr_settings *settings,
                                                  struct wr_error *err);
/* What else moves the answer: of a study only its name and its findings. */
void wr_context_take_doubts(struct wr_context *c, const struct wr_study *study);
/* A further campaign that the answer rests on: what moves it there, and a history that it does not use. */
void wr_context_add_study(struct wr_context *c, const struct wr_study *study, const struct wr_settings *settings);
void wr_context_done(struct wr_context *c);

/* wr_emit for an answer that holds a probability, a pad or a cut-off: the notes and the caution follow it. */
WR_MUST_CHECK enum wr_status wr_emit_with_caution(const struct wr_settings *settings, const struct wr_context *context,
                                                  struct wr_str *notes, const struct wr_str *text,
                                                  struct wr_error *err);
/* The same for a picture: what stands above a table goes to standard error, before the notes. */
WR_MUST_CHECK enum wr_status wr_emit_picture(const struct wr_settings *settings, const struct wr_context *context,
                                             const struct wr_str *notes, const struct wr_str *picture,
                                             struct wr_error *err);
