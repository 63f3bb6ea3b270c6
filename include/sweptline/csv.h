/* Tables of numbers: RFC 4180 quoting, comma or semicolon, a header naming each column and its unit. */
#ifndef SWEPTLINE_CSV_H
#define SWEPTLINE_CSV_H

#include "sweptline/diag.h"

#include <stdbool.h>

/* cells[row * columns + column] point into the text's work copy, quotes taken off; row 0 is the header.
 * The array is owned; the text must outlive it. */
typedef struct swl_csv {
    swl_slice *cells;
    size_t rows;
    size_t columns;
    char separator;
} swl_csv;

enum { SWL_CSV_COLUMNS_MAX = 64, SWL_CSV_ROWS_MAX = 200000 };

/* Splits a text. Lines that are blank or start with '#' are skipped. The separator is the one of
 * comma and semicolon that the header holds more of, outside quotes. Rows with more or fewer cells
 * than the header go to diags and are left out.
 * Errors: SWL_ERR_INPUT when there is no header, its columns stand between tabs, or a quote never closes;
 * SWL_ERR_MEMORY. */
swl_status swl_csv_read(swl_csv *csv, swl_text *text, swl_diags *diags, swl_err *err) SWL_MUST_CHECK;
void swl_csv_free(swl_csv *csv);
swl_slice swl_csv_cell(const swl_csv *csv, size_t row, size_t column);

/* Splits a head such as "flow [m3/h]" into its name and its unit.
 * Returns: the name; *unit has a NULL at when there are no brackets. */
swl_slice swl_csv_head(swl_slice head, swl_slice *unit);

/* Appends a cell, quoted when it must be. */
void swl_csv_put(swl_buf *out, const char *cell);

#endif
