/* Times what a study repeats: an operating point, and what it is made of. points BUILD.ini [PREFIX] */
#include "clock.h"

#include "sweptline/files.h"
#include "sweptline/match.h"

#include <stdlib.h>
#include <sys/mman.h>
#include <unistd.h>

static const char *prefix = "";

static void tell_us(const char *name, double took_s, int count)
{
    char full[80];
    (void)snprintf(full, sizeof full, "%s%s", prefix, name);
    tell(full, 1e6 * took_s / count, "us");
}

/* What the system takes to give a page of memory on first touch: it weighs on every start of a program. */
static int tell_page_fault(void)
{
    enum { PAGES = 4096 };
    size_t page = (size_t)sysconf(_SC_PAGESIZE);
    unsigned char *room = mmap(NULL, PAGES * page, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
    if (room == MAP_FAILED || madvise(room, PAGES * page, MADV_NOHUGEPAGE) != 0) {
        perror("points");
        return 0;
    }
    double start_s = busy_s();
    for (size_t i = 0; i < PAGES; i++) {
        room[i * page] = 1;
    }
    tell_us("page_fault_us", busy_s() - start_s, PAGES);
    return munmap(room, PAGES * page) == 0;
}

int main(int argc, char **argv)
{
    enum { SOLVES = 200000, READS = 2000000 };
    swl_source source = swl_source_disk();
    swl_build build;
    swl_diags diags = {0};
    swl_err err = {0};
    if (argc < 2 || swl_build_load(&source, argv[1], &build, &diags, &err) != SWL_OK) {
        fprintf(stderr, "points: %s\n", err.text);
        return 2;
    }
    prefix = argc > 2 ? argv[2] : "";
    swl_match *match = swl_match_new(&build, &err);
    swl_map_reader *reader = swl_map_reader_new(&err);
    if (match == NULL || reader == NULL) {
        return 3;
    }
    double sum = 0;
    long evaluations = 0;
    double start_s = busy_s();
    for (int i = 0; i < SOLVES; i++) {
        swl_point point = swl_match_point(match, 1500 + (i * 37) % 4900);
        sum += point.p_ratio;
        evaluations += point.evaluations;
    }
    tell_us("point_us", busy_s() - start_s, SOLVES);
    char name[80];
    (void)snprintf(name, sizeof name, "%sevaluations", prefix);
    tell(name, (double)evaluations / SOLVES, "a point");
    start_s = busy_s();
    for (int i = 0; i < READS; i++) {
        sum += swl_map_read(build.blower.map, reader, 2000 + (i * 37) % 12000, 1.1 + (i % 1000) * 0.001).ea_frac;
    }
    tell_us("map_read_us", busy_s() - start_s, READS);
    const swl_air *air = swl_match_air(match);
    start_s = busy_s();
    for (int i = 0; i < READS; i++) {
        sum += swl_air_t_isentropic_k(air, 300, 1.1 + (i % 1000) * 0.001);
    }
    tell_us("isentropic_us", busy_s() - start_s, READS);
    start_s = busy_s();
    for (int i = 0; i < READS; i++) {
        sum += swl_air_t_of_h_k(air, -4e3 + (i % 1000) * 100.0, 320);
    }
    tell_us("enthalpy_us", busy_s() - start_s, READS);
    int touched = tell_page_fault();
    swl_match_free(match);
    swl_map_reader_free(reader);
    swl_build_free(&build);
    swl_diag_free(&diags);
    return sum > 0 && touched ? 0 : 1;
}
