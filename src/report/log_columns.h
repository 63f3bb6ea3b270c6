/* What each measured quantity is called and shown as. */
#ifndef SWL_REPORT_LOG_COLUMNS_H
#define SWL_REPORT_LOG_COLUMNS_H

#include "sweptline/log.h"

typedef struct swl_log_column {
    const char *words; /* in text and as the CSV's head */
    const char *json;
    const char *top; /* in the head of the text table */
    swl_show show;
    swl_show difference;
} swl_log_column;

extern const swl_log_column swl_log_columns[SWL_LOG_KINDS];

/* What each fitted parameter is called: in words, in JSON, and the factor from SI with the unit it is shown in. */
typedef struct swl_fit_column {
    const char *words; /* before the value */
    const char *noun;
    const char *json;
    double scale;
    const char *unit;
    int decimals;
} swl_fit_column;

extern const swl_fit_column swl_fit_columns[SWL_FIT_PARAMETERS];

#endif
