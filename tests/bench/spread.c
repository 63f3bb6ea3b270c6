/* Times a spread of 10,240 builds over a line of 60 rows: spread BUILD.ini, a build with at least eight inputs. */
#include "sweptline/files.h"
#include "sweptline/spread.h"

#include <stdio.h>
#include <sys/resource.h>
#include <time.h>

static double now_s(void)
{
    struct timespec t;
    (void)clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

int main(int argc, char **argv)
{
    swl_source source = swl_source_disk();
    swl_build build;
    swl_diags diags = {0};
    swl_err err = {0};
    if (argc != 2 || swl_build_load(&source, argv[1], &build, &diags, &err) != SWL_OK || build.input_count < 8) {
        fprintf(stderr, "spread: %s\n", err.text);
        return 2;
    }
    build.input_count = 8;
    build.engine.speed_step_rpm = (build.engine.speed_limit_rpm - build.engine.speed_from_rpm) / 59;
    swl_check check;
    if (swl_check_run(&build, &check, &err) != SWL_OK) {
        fprintf(stderr, "spread: %s\n", err.text);
        return 2;
    }
    for (size_t threads = 1; threads <= 2; threads++) {
        swl_spread_options options = {.samples = 1024, .seed = 1, .threads = threads};
        swl_spread spread;
        double start_s = now_s();
        if (swl_spread_run(&build, &check, &options, &spread, &err) != SWL_OK) {
            fprintf(stderr, "spread: %s\n", err.text);
            return 3;
        }
        printf("spread, %zu builds of %zu rows, %zu thread%s %8.2f s\n", spread.builds, spread.row_count, threads,
               threads == 1 ? " " : "s", now_s() - start_s);
        swl_spread_free(&spread);
    }
    struct rusage usage;
    (void)getrusage(RUSAGE_SELF, &usage);
    printf("peak memory              %8.1f MB\n", (double)usage.ru_maxrss / 1024);
    swl_check_free(&check);
    swl_build_free(&build);
    swl_diag_free(&diags);
    return 0;
}
