/* Sections, keys and values of a build or unit file, each with its place. */
#ifndef SWEPTLINE_INI_H
#define SWEPTLINE_INI_H

#include "sweptline/diag.h"

/* Slices point into the text's work copy. value runs over continuation lines, which stay
 * in it with their line feeds; comments in it are blank. */
typedef struct swl_ini_entry {
    swl_slice section;
    swl_slice key;
    swl_slice value;
} swl_ini_entry;

/* Both arrays are owned; the text must outlive them. */
typedef struct swl_ini {
    swl_ini_entry *entries;
    size_t count;
    swl_slice *sections;
    size_t section_count;
} swl_ini;

enum { SWL_INI_ENTRIES_MAX = 1000, SWL_INI_SECTIONS_MAX = 100, SWL_INI_BYTES_MAX = 256 * 1024 };

/* Reads "[section]" and "key = value" lines. A line that starts with a blank goes on with the value
 * above it; '#' or ';' at a line's start or after a blank starts a comment, except in a value between double quotes.
 * Every fault (a line that is none of these, a key before any section, a section or key given twice,
 * an empty value) goes to diags; what can be read is read.
 * Errors: SWL_ERR_MEMORY only. */
swl_status swl_ini_read(swl_ini *ini, swl_text *text, swl_diags *diags, swl_err *err) SWL_MUST_CHECK;
void swl_ini_free(swl_ini *ini);

#endif
