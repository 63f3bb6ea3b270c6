/* A page to print or send: one HTML file that needs nothing beside itself. */
#ifndef SWEPTLINE_SHEET_H
#define SWEPTLINE_SHEET_H

#include "sweptline/field.h"
#include "sweptline/report.h"

/* A drawing as SVG and where the rows of a line stand in it; places is NULL where they are not known. */
typedef struct swl_sheet_drawing {
    swl_buf svg;
    swl_place *places;
} swl_sheet_drawing;

/* The same picture for a wide page and print, and for a narrow one. */
enum { SWL_SHEET_WIDE, SWL_SHEET_NARROW, SWL_SHEET_WIDTHS };

enum { SWL_SHEET_BUILDS_MAX = 2, SWL_SHEET_FILES_MAX = 64 };

/* One build. check is NULL where it was not solved; traces are the speed limits drawn on its map. */
typedef struct swl_sheet_build {
    const char *file; /* as given */
    const swl_build *build;
    const swl_check *check;
    const swl_input_rows *rows;
    swl_sheet_drawing map[SWL_SHEET_WIDTHS];
    const swl_trace *traces;
    size_t trace_count;
} swl_sheet_build;

/* A file that was read, with the SHA-256 of its bytes in hexadecimal. */
typedef struct swl_sheet_file {
    const char *path;
    size_t bytes;
    char sha256[65];
} swl_sheet_file;

/* What a sheet shows. curves are those of the build, or of both with report, which is NULL for one build. */
typedef struct swl_sheet {
    swl_sheet_build builds[SWL_SHEET_BUILDS_MAX];
    size_t count;
    swl_sheet_drawing curves[SWL_SHEET_WIDTHS];
    const swl_compare_report *report;
    const swl_notes *notes;
    swl_units units;
    swl_sheet_file files[SWL_SHEET_FILES_MAX];
    size_t file_count;
    const char *drawn_by; /* the drawing libraries with their versions */
    const char *date;     /* as it is to be printed; NULL for none */
} swl_sheet;

/* Appends the page. Errors: SWL_ERR_DRAW for a drawing that is no SVG; SWL_ERR_MEMORY. */
swl_status swl_report_sheet(swl_buf *out, const swl_sheet *sheet, swl_err *err) SWL_MUST_CHECK;

#endif
