#include "report/value.h"

#include <stdio.h>

swl_value_text swl_value_of(double si, swl_show show, swl_units units)
{
    swl_buf buf = {0};
    swl_value_text out = {""};
    swl_report_value(&buf, si, show, units);
    (void)snprintf(out.text, sizeof out.text, "%s", swl_buf_text(&buf));
    swl_buf_free(&buf);
    return out;
}
