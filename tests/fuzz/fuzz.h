/* What the fuzz targets share: files in memory, and what must hold of whatever a reader returns. */
#ifndef TESTS_FUZZ_H
#define TESTS_FUZZ_H

#include "sweptline/csv.h"
#include "sweptline/files.h"
#include "sweptline/report.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { FUZZ_FILES_MAX = 8, FUZZ_NAME_MAX = 64 };

/* bytes is borrowed. */
typedef struct fuzz_file {
    char name[FUZZ_NAME_MAX];
    const char *bytes;
    size_t len;
} fuzz_file;

typedef struct fuzz_files {
    fuzz_file items[FUZZ_FILES_MAX];
    size_t count;
} fuzz_files;

/* Splits one input into several files. A line "=== NAME" starts a file; what stands before the first such line is the
 * file called first. Of one name the first is found. */
void fuzz_split(fuzz_files *files, const char *first, const uint8_t *data, size_t size);
/* Adds a file that is found where the input has none of its name. */
void fuzz_add(fuzz_files *files, const char *name, const char *bytes, size_t len);
/* Hands the files out by name. A file that starts with "picture WIDTH HEIGHT" and a line feed comes out as a PNG: each
 * byte after it is a run of pixels, its three low bits the colour and the rest the length less one. */
swl_source fuzz_source(fuzz_files *files);

/* A unit with a small map, and a build with it, all invented. */
void fuzz_add_unit(fuzz_files *files);
void fuzz_add_build(fuzz_files *files);

/* Ends the process where the condition does not hold. */
#define FUZZ_HOLD(condition) fuzz_hold((condition) ? 1 : 0, #condition, __FILE__, __LINE__)
void fuzz_hold(int holds, const char *condition, const char *file, int line);

/* Every finding names its file and says something, in UTF-8, without control signs and in one line; a status of faulty
 * input has a finding or words with it, and success has no error. */
void fuzz_hold_findings(const swl_diags *diags, swl_status status, const swl_err *err);
/* A report is UTF-8 without control signs but line feeds. */
void fuzz_hold_text(const swl_buf *text);
/* A table has the same number of cells in each line and no number that is none. */
void fuzz_hold_csv(const swl_buf *csv);
/* JSON reads back. */
void fuzz_hold_json(const swl_buf *json);
/* The blower's map, where it has one, gives finite values within what a table may say, inside and outside its data. */
void fuzz_hold_map(const swl_blower *blower);

#endif
