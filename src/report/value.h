/* One value in words. */
#ifndef SWL_REPORT_VALUE_H
#define SWL_REPORT_VALUE_H

#include "sweptline/report.h"

/* A short text of one value, for use inside a note. */
typedef struct swl_value_text {
    char text[48];
} swl_value_text;

swl_value_text swl_value_of(double si, swl_show show, swl_units units);

#endif
