/* Runs all suites, or those named on the command line; --list: their names. Must be started at the top of the source
 * tree. */
#include <check.h>
#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "suites.h"

/* Read by the address sanitizer: memory that cannot be had is a test of ours, and comes back as NULL like elsewhere. */
const char *__asan_default_options(void);
const char *__asan_default_options(void)
{
    return "allocator_may_return_null=1";
}

int main(int argc, char **argv)
{
    int found = 0;

    if (argc == 2 && strcmp(argv[1], "--list") == 0) {
        for (unsigned i = 0; i < n_suite_row; i++) puts(suite_rows[i].name);
        return EXIT_SUCCESS;
    }
    SRunner *runner = srunner_create(NULL);
    gsl_set_error_handler_off();
    for (unsigned i = 0; i < n_suite_row; i++) {
        int wanted = argc == 1;
        for (int a = 1; a < argc; a++) wanted |= strcmp(argv[a], suite_rows[i].name) == 0;
        if (!wanted) continue;
        srunner_add_suite(runner, suite_rows[i].make());
        found++;
    }
    if (!found) {
        fprintf(stderr, "no such suite; there are:");
        for (unsigned i = 0; i < n_suite_row; i++) fprintf(stderr, " %s", suite_rows[i].name);
        fprintf(stderr, "\n");
        return 2;
    }
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
