/* The columns of an operating line, one list for text and CSV. */
#ifndef SWL_REPORT_COLUMNS_H
#define SWL_REPORT_COLUMNS_H

#include "match/column.h"

/* top and bottom are the head of the text table, empty when the column is in the CSV only. */
typedef struct swl_column {
    const char *csv;
    const char *top;
    const char *bottom;
    int width;
    swl_show show;
    swl_number_at value; /* of a point */
} swl_column;

enum { SWL_COLUMNS = 24 };
extern const swl_column swl_columns[SWL_COLUMNS];

/* The same for estimated power. json is the member's name. */
typedef struct swl_power_column {
    const char *csv;
    const char *json;
    const char *top;
    int width;
    swl_show show;
    swl_number_at value; /* of the power */
} swl_power_column;

/* Whether a row of a long table is among the ten or fewer that a short one shows, its last among them. */
bool swl_row_shown(size_t count, size_t row);

enum { SWL_POWER_COLUMNS = 8 };
extern const swl_power_column swl_power_columns[SWL_POWER_COLUMNS];

#endif
