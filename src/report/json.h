#ifndef SWL_REPORT_JSON_H
#define SWL_REPORT_JSON_H

#include "sweptline/report.h"

#include <jansson.h>

/* A number, or null when it is not finite. */
json_t *swl_json_number(double value);
/* Returns: value; or NULL, having released it, where bad tells that a part of it could not be made. */
json_t *swl_json_whole(json_t *value, int bad);
/* program, version and command. NULL when out of memory. */
json_t *swl_json_head(const char *command);
/* A site; with the name of the set that stands in for a build's own. NULL when out of memory. */
json_t *swl_json_site(const swl_site *site);
/* A row of an operating line, and a limit, as check writes them. NULL when out of memory. */
json_t *swl_json_point(const swl_point *point, const swl_power *power);
json_t *swl_json_limit(const swl_limit_row *row);
/* Writes and releases root; a NULL root is out of memory. */
swl_status swl_json_write(swl_buf *out, json_t *root, swl_err *err) SWL_MUST_CHECK;
/* The same without blanks and line ends, with numbers of seven digits. */
swl_status swl_json_write_short(swl_buf *out, json_t *root, swl_err *err) SWL_MUST_CHECK;

/* Returns: the notes as an array of texts; NULL when out of memory. */
json_t *swl_json_notes(const swl_notes *notes);

#endif
