/* The parts of a sheet. */
#ifndef SWL_REPORT_SHEET_H
#define SWL_REPORT_SHEET_H

#include "report/html.h"

#include "sweptline/sheet.h"

/* What a sheet adds to the common style, and its script: numbers of a point on hover and focus, arrow keys along the
 * line. The page is whole without it. */
extern const char swl_sheet_style[];
extern const char swl_sheet_script[];

/* 'A' for the first build, 'B' for the second. */
char swl_sheet_letter(size_t build);

/* Pictures with their words: sheet_figures.c. */
swl_status swl_sheet_map(swl_buf *out, const swl_sheet *sheet, size_t build, swl_err *err) SWL_MUST_CHECK;
swl_status swl_sheet_curves(swl_buf *out, const swl_sheet *sheet, swl_err *err) SWL_MUST_CHECK;

/* Tables: sheet_tables.c. */
void swl_sheet_verdicts(swl_buf *out, const swl_sheet *sheet);
void swl_sheet_line(swl_buf *out, const swl_sheet *sheet, size_t build);
void swl_sheet_power(swl_buf *out, const swl_sheet *sheet, size_t build);
void swl_sheet_speeds(swl_buf *out, const swl_sheet *sheet);
void swl_sheet_inputs(swl_buf *out, const swl_sheet *sheet);
void swl_sheet_files(swl_buf *out, const swl_sheet *sheet);

/* What two builds are against each other: sheet_compare.c. */
void swl_sheet_differences(swl_buf *out, const swl_sheet *sheet);
void swl_sheet_values(swl_buf *out, const swl_sheet *sheet);
void swl_sheet_figures(swl_buf *out, const swl_sheet *sheet);

#endif
