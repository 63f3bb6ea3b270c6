#include "match/column.h"

static double number(const void *of, swl_number_at at)
{
    return *(const double *)(const void *)((const char *)of + at.offset);
}

double swl_point_number(const swl_point *point, swl_number_at at)
{
    return number(point, at);
}

double swl_power_number(const swl_power *power, swl_number_at at)
{
    return number(power, at);
}

double swl_row_number(const swl_check *check, size_t row, swl_number_at at)
{
    return at.of_power ? swl_power_number(&check->power[row], at) : swl_point_number(&check->line[row], at);
}
