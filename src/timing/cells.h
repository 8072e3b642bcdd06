/* Rows of the log into cells: state, active time, holds, start and end, people. */
#pragma once

#include "measure.h"

void cells_fill(struct measuring *j); /* of the run at hand */
/* A cell without a performer takes the people who hold its lanes in that run, if all are known. */
void cells_name_people(struct measuring *j);
/* Crews that differ from the plan, of one task in most runs or of single runs. */
void cells_report_crews(const struct measuring *j);
/* Its time is not known: a row was rejected, or is not of this run. */
void cells_lose(struct measuring *j, size_t work);
