/* Times a spread of 10,240 builds over a line of 60 rows: spread BUILD.ini, a build with at least eight inputs. */
#include "clock.h"

#include "sweptline/files.h"
#include "sweptline/spread.h"

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
    double rows = 0;
    if (swl_check_run(&build, &check, &err) != SWL_OK) {
        fprintf(stderr, "spread: %s\n", err.text);
        return 2;
    }
    /* In turns, the best of each: what else the machine does then weighs on both alike. */
    double best_s[2] = {1e9, 1e9};
    for (int turn = 0; turn < 3; turn++) {
        for (size_t threads = 1; threads <= 2; threads++) {
            swl_spread_options options = {.samples = 1024, .seed = 1, .threads = threads};
            swl_spread spread;
            double start_s = wall_s();
            if (swl_spread_run(&build, &check, &options, &spread, &err) != SWL_OK) {
                fprintf(stderr, "spread: %s\n", err.text);
                return 3;
            }
            double took_s = wall_s() - start_s;
            best_s[threads - 1] = took_s < best_s[threads - 1] ? took_s : best_s[threads - 1];
            rows = (double)(spread.builds * spread.row_count);
            swl_spread_free(&spread);
        }
    }
    tell("spread_rows", rows, "");
    tell("spread_one_s", best_s[0], "s");
    tell("spread_two_s", best_s[1], "s");
    tell_memory("spread_mb");
    swl_check_free(&check);
    swl_build_free(&build);
    swl_diag_free(&diags);
    return 0;
}
