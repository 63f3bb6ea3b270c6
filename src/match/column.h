/* The numbers of an operating line as columns, so that a table can say which one it shows. */
#ifndef SWL_MATCH_COLUMN_H
#define SWL_MATCH_COLUMN_H

#include "sweptline/check.h"

#include <stddef.h>

/* A number of a point, or of the power there. */
typedef struct swl_number_at {
    size_t offset;
    bool of_power;
} swl_number_at;

/* Initializers for one; a member that is no double does not compile. */
#define SWL_OF_POINT(member)                                                                                           \
    {                                                                                                                  \
        _Generic(((swl_point){0}).member, double : offsetof(swl_point, member)), false                                 \
    }
#define SWL_OF_POWER(member)                                                                                           \
    {                                                                                                                  \
        _Generic(((swl_power){0}).member, double : offsetof(swl_power, member)), true                                  \
    }

/* Given: a number of a point. */
double swl_point_number(const swl_point *point, swl_number_at at);
/* Given: a number of the power. */
double swl_power_number(const swl_power *power, swl_number_at at);
/* Either, of a row of a line. */
double swl_row_number(const swl_check *check, size_t row, swl_number_at at);

#endif
