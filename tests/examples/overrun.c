/* The probability of going over each limit of a campaign, from the library alone.
 *
 *     cc overrun.c $(pkg-config --cflags --libs wetrun) -o overrun
 *     ./overrun CAMPAIGN */
#include <stdio.h>
#include <wetrun/study/study.h>

int main(int argc, char **argv)
{
    struct wr_study study = {0};
    struct wr_study_options options = wr_study_default();
    struct wr_error err = {0};

    if (argc > 1) options.folder = argv[1];
    enum wr_status status = wr_study_open(&study, &options, &err);
    if (status == WR_OK) status = wr_study_make(&study, WR_RESULT_FORECAST, &err);
    if (status != WR_OK) fprintf(stderr, "%s\n", err.text);
    for (size_t i = 0; i < study.forecast.n_limit; i++)
        printf("%s %.10g\n", study.limits.limit[i].name, study.forecast.limit[i].over.mean);
    wr_study_release(&study);
    return status != WR_OK;
}
