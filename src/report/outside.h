/* Points outside the map, and points where the blower gives nothing: the same words in every report. */
#ifndef SWL_REPORT_OUTSIDE_H
#define SWL_REPORT_OUTSIDE_H

#include "sweptline/report.h"

/* A side of the map. words: what such points are; side: the same in brief, behind "outside the map, "; bias: which way
 * the figures err there. */
typedef struct swl_outside_side {
    unsigned where;
    const char *words;
    const char *side;
    const char *bias;
    bool low; /* temperature and power come out too low */
} swl_outside_side;

extern const swl_outside_side swl_outside_sides[SWL_MAP_SIDES];

/* Appends "; part of the line outside the map", or the whole line, then on which sides and which way that errs; and how
 * many engine speeds have no boost. Nothing where all is well. */
void swl_outside_put(swl_buf *out, const swl_line_tally *tally);

/* One of several lines, and its name. */
typedef struct swl_told_line {
    char name[96];
    const swl_line_tally *tally;
} swl_told_line;

/* Adds a note for each of no boost, drive power below zero and each side of the map, with the lines it is true of, the
 * whole of them or in part. with: the word before a name. runs: neighbours stand together, as "70 mm to 76 mm". */
void swl_notes_told(swl_notes *notes, const char *with, const swl_told_line *lines, size_t count, bool runs);

#endif
