/* The files of a campaign, by name: what a command may read from its folder, wetrun-files(5). */
#pragma once

#include <stdbool.h>
#include <stddef.h>

extern const char *const wr_campaign_file[];
extern const size_t wr_n_campaign_file;
bool wr_is_of_campaign(const char *name); /* without folders */
