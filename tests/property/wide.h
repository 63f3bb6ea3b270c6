/* Random valid builds as files, over the whole breadth of the format: every section and kind of key, in any unit. */
#ifndef TESTS_PROPERTY_WIDE_H
#define TESTS_PROPERTY_WIDE_H

#include "sweptline/files.h"

#include <stdint.h>

enum { WIDE_FILES_MAX = 8 };

typedef struct wide_file {
    char name[24];
    swl_buf text;
} wide_file;

/* The first file is the build; the others are what it names. */
typedef struct wide {
    wide_file files[WIDE_FILES_MAX];
    size_t count;
    bool odd; /* a blower far too small or too large for its engine, so that there may be no operating point */
} wide;

/* The same files for the same seed. To be freed. */
wide wide_make(uint64_t seed);
void wide_free(wide *w);
/* Reads from the files in memory; w must outlive it. */
swl_source wide_source(wide *w);
/* Writes them into a folder. Returns: whether that worked. */
bool wide_write(const wide *w, const char *folder);

#endif
