/* "earlier": campaigns, priors, the forecast without them. Private to the room. */
#pragma once

#include "json.h"
#include "wetrun/present/earlier_view.h"

void wr_earlier_json(struct wr_json *j, const struct wr_earlier_result *result); /* result NULL: null */
