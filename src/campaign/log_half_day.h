/* 11:40, 12:55, 1:10: times of day on a clock of twelve hours. As they stand the afternoon comes before the morning. */
#pragma once

#include "log_reading.h"

/* A row that ends before it starts, as a step from 12:50 to 1:10 may. */
void half_day_note_row(struct reading *r, const struct wr_csv_record *record, int64_t start_ns, int64_t end_ns);
/* WR_E_INPUT, and an error "times-half-day", where the times may be such, and nothing says what they are. */
WR_MUST_CHECK enum wr_status half_day_ask(const struct reading *r);
/* Of times that are said to be such: each run's become times of one day, from its first start on. */
void half_day_unwind(struct log_pieces *pieces);
