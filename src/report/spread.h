/* What text, CSV and JSON of a spread share. */
#ifndef SWL_REPORT_SPREAD_H
#define SWL_REPORT_SPREAD_H

#include "sweptline/spread.h"

/* One quantity of the line: its name in JSON and CSV, its head in the tables. */
typedef struct swl_spread_column {
    swl_spread_quantity quantity;
    const char *json;
    const char *words;
    swl_show show;
} swl_spread_column;

enum { SWL_SPREAD_COLUMNS = 11 };
extern const swl_spread_column swl_spread_columns[SWL_SPREAD_COLUMNS];

/* An input's name: "drive.blower_pulley", "intake.loss drop". */
typedef struct swl_spread_name {
    char text[64];
} swl_spread_name;
swl_spread_name swl_spread_input_name(const swl_input *input);

/* Puts the places of an output's inputs in order, the largest total first. */
void swl_spread_rank(const swl_spread *spread, const swl_spread_output *output, size_t *order);

#endif
