/* Solves and frees one build's check over and over in one process, as a host of the library would, and holds that the
 * memory stays as it was: flat BUILD.ini COUNT. Every tenth run reads the files anew. Exit status 1 when it grew. */
#include "clock.h"

#include "sweptline/check.h"
#include "sweptline/files.h"

#include <malloc.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A leak of one byte a check would show in a million. */
enum { ALLOWED_BYTES = 256 * 1024 };

static int run(const char *path, swl_build *build, int anew)
{
    swl_err err = {0};
    if (anew) {
        swl_source source = swl_source_disk();
        swl_diags diags = {0};
        swl_build_free(build);
        swl_status status = swl_build_load(&source, path, build, &diags, &err);
        swl_diag_free(&diags);
        if (status != SWL_OK) {
            fprintf(stderr, "flat: %s\n", err.text);
            return 0;
        }
    }
    swl_check check;
    if (swl_check_run(build, &check, &err) != SWL_OK) {
        fprintf(stderr, "flat: %s\n", err.text);
        return 0;
    }
    swl_check_free(&check);
    return 1;
}

/* Pages of the process in memory, in kB. */
static double resident_kb(void)
{
    long pages = 0;
    long resident = 0;
    FILE *file = fopen("/proc/self/statm", "r");
    if (file == NULL || fscanf(file, "%ld %ld", &pages, &resident) != 2) {
        resident = 0;
    }
    if (file != NULL) {
        (void)fclose(file);
    }
    return (double)resident * (double)sysconf(_SC_PAGESIZE) / 1024;
}

int main(int argc, char **argv)
{
    long count = argc == 3 ? strtol(argv[2], NULL, 10) : 0;
    swl_build build;
    memset(&build, 0, sizeof build);
    if (count < 1000) {
        fprintf(stderr, "flat BUILD.ini COUNT, at least 1000\n");
        return 2;
    }
    long settled = count / 10;
    double held_kb = 0;
    double held_bytes = 0;
    double start_s = busy_s();
    for (long i = 0; i < count; i++) {
        if (!run(argv[1], &build, i % 10 == 0)) {
            return 2;
        }
        if (i == settled) {
            held_kb = resident_kb();
            held_bytes = (double)mallinfo2().uordblks;
        }
    }
    double grown_kb = resident_kb() - held_kb;
    double grown_bytes = (double)mallinfo2().uordblks - held_bytes;
    tell("flat_checks", (double)count, "");
    tell("flat_check_us", 1e6 * (busy_s() - start_s) / (double)count, "us");
    tell("flat_grown_bytes", grown_bytes, "bytes in use");
    tell("flat_grown_kb", grown_kb, "kB resident");
    swl_build_free(&build);
    /* The allocator keeps a few tens of kB back, whatever the count. */
    return grown_bytes > ALLOWED_BYTES || grown_kb * 1024 > ALLOWED_BYTES;
}
