/* Names that are nearly alike: spellings of one name, and the name that was probably meant. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/str.h"

/* The name without blanks and underscores, in lower case (ASCII, Latin-1 and Latin Extended-A), a letter and its mark
 * as one, with plain dashes and quotes: what two spellings of one name have in common. */
void wr_fold_name(struct wr_str *out, const char *name, size_t len);
bool wr_same_but_for_spelling(const char *a, const char *b);

/* A list of names to look in: name(arg, i) for i < n; NULL entries are passed over. */
struct wr_name_list {
    const char *(*name)(const void *arg, size_t i);
    const void *arg;
    size_t n;
};
/* Index of the name that is equal, or else the only one that is the same but for its spelling; SIZE_MAX if there is
 * none. */
size_t wr_find_spelling(const struct wr_name_list *list, const char *text);
/* The nearest name by edit distance (at most a third of its length, two letters exchanged counting as one), or
 * SIZE_MAX. Source: the restricted edit distance (Damerau 1964, Levenshtein 1966; from memory). */
size_t wr_find_near(const struct wr_name_list *list, const char *text);
/* Adds " (did you mean 'EGRESS'?)", or what there is, each name once: " (there are: A, B, C)", of a long list the first
 * and where all of them are, as `all` says it; of an empty list nothing. */
void wr_add_did_you_mean(struct wr_str *out, const struct wr_name_list *list, const char *text, const char *all);
