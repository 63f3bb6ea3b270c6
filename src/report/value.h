/* One value in words, in a column of a table and in a cell. */
#ifndef SWL_REPORT_VALUE_H
#define SWL_REPORT_VALUE_H

#include "sweptline/report.h"

/* A short text of one value, for use inside a note. */
typedef struct swl_value_text {
    char text[48];
} swl_value_text;

swl_value_text swl_value_of(double si, swl_show show, swl_units units);

/* Appends a number to the right of a column; "-" where it is not finite. */
void swl_put_number(swl_buf *out, int width, double si, swl_show show, swl_units units);
/* Appends a comma and a number of ten digits; nothing behind the comma where it is not finite. */
void swl_put_csv(swl_buf *out, double si, swl_show show, swl_units units);

/* Appends "NAME, roots, 1.85 L a revolution". */
void swl_put_unit(swl_buf *out, const swl_blower *blower, swl_units units);
/* Appends the pulleys, the ratio they make (NAN: untold) and the unit's gears where it has any. */
void swl_put_drive(swl_buf *out, const swl_build *build, double drive_ratio, swl_units units);

#endif
