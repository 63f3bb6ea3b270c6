/* The picture of a unit's chart in its reports. */
#ifndef SWL_REPORT_SCAN_H
#define SWL_REPORT_SCAN_H

#include "report/json.h"

#include "sweptline/scan.h"

void swl_report_scan_text(swl_buf *out, const swl_scan *scan);
/* Null without a scan; NULL when out of memory. */
json_t *swl_json_scan(const swl_scan *scan);

#endif
