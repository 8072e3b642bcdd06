/* The page's own files as the build embeds them (page.mk): page.css and page.js of the report, day.css and day_*.js of
 * the day. */
#pragma once

#include "embedded.h"
extern const struct embedded page_files[]; /* ends with a row of NULLs */
