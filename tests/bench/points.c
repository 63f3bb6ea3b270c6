/* Times what a study repeats: an operating point, and what it is made of. points BUILD.ini */
#include "sweptline/files.h"
#include "sweptline/match.h"

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
    enum { SOLVES = 200000, READS = 2000000 };
    swl_source source = swl_source_disk();
    swl_build build;
    swl_diags diags = {0};
    swl_err err = {0};
    if (argc != 2 || swl_build_load(&source, argv[1], &build, &diags, &err) != SWL_OK) {
        fprintf(stderr, "points: %s\n", err.text);
        return 2;
    }
    swl_match *match = swl_match_new(&build, &err);
    swl_map_reader *reader = swl_map_reader_new(&err);
    if (match == NULL || reader == NULL) {
        return 3;
    }
    double sum = 0;
    long evaluations = 0;
    double start_s = now_s();
    for (int i = 0; i < SOLVES; i++) {
        swl_point point = swl_match_point(match, 1500 + (i * 37) % 4900);
        sum += point.p_ratio;
        evaluations += point.evaluations;
    }
    double solve_s = now_s() - start_s;
    start_s = now_s();
    for (int i = 0; i < READS; i++) {
        sum += swl_map_read(build.blower.map, reader, 2000 + (i * 37) % 12000, 1.1 + (i % 1000) * 0.001).ea_frac;
    }
    double read_s = now_s() - start_s;
    const swl_air *air = swl_match_air(match);
    start_s = now_s();
    for (int i = 0; i < READS; i++) {
        sum += swl_air_t_isentropic_k(air, 300, 1.1 + (i % 1000) * 0.001);
    }
    double isentropic_s = now_s() - start_s;
    start_s = now_s();
    for (int i = 0; i < READS; i++) {
        sum += swl_air_t_of_h_k(air, -4e3 + (i % 1000) * 100.0, 320);
    }
    double enthalpy_s = now_s() - start_s;
    struct rusage usage;
    (void)getrusage(RUSAGE_SELF, &usage);
    printf("operating point          %8.2f us, %.1f evaluations each\n", 1e6 * solve_s / SOLVES, (double)evaluations / SOLVES);
    printf("map reading              %8.3f us\n", 1e6 * read_s / READS);
    printf("isentropic temperature   %8.3f us\n", 1e6 * isentropic_s / READS);
    printf("temperature of enthalpy  %8.3f us\n", 1e6 * enthalpy_s / READS);
    printf("peak memory              %8.1f MB  (sum %.6g)\n", (double)usage.ru_maxrss / 1024, sum);
    swl_map_reader_free(reader);
    swl_match_free(match);
    swl_build_free(&build);
    swl_diag_free(&diags);
    return 0;
}
