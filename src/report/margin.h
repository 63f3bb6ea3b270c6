/* Margins and what is spare, with the digits that a verdict hangs on. */
#ifndef SWL_REPORT_MARGIN_H
#define SWL_REPORT_MARGIN_H

#include "sweptline/report.h"

/* Appends a margin in per cent, right-aligned: one decimal, or as many as tell an exceeded limit from a kept one and a
 * close one from 5 %. "-" where there is none: for NAN, and below all numbers, where nothing flows. */
void swl_margin_put(swl_buf *out, int width, double margin_frac);

/* Returns: how many decimals show an exceeded limit's value apart from the limit; those of a table where it is kept. */
int swl_spare_decimals(const swl_limit_row *row, swl_units units);

#endif
