#include "score_table.h"

#include <math.h>

void wr_score_table_of(struct wr_score_table *table, const struct wr_source *source)
{
    double minutes[WR_SCORE_CELLS + 1];

    wr_source_at_scores(source, WR_SCORE_CELLS / 2, 1.0 / WR_SCORE_STEPS, minutes);
    for (int i = 0; i <= WR_SCORE_CELLS; i++) {
        table->at[i] = (float)minutes[i];
        table->rise[i] = i < WR_SCORE_CELLS ? (float)(minutes[i + 1] - minutes[i]) : 0.0f;
    }
}

double wr_score_table_minutes(const struct wr_score_table *table, double score)
{
    double place = fmin(fmax((score + WR_SCORE_REACH) * WR_SCORE_STEPS, 0), WR_SCORE_CELLS);
    int cell = (int)place;

    return table->at[cell] + table->rise[cell] * (place - cell);
}
