/* What reports other than that of check say about the limits of check. */
#ifndef SWL_REPORT_LIMITS_H
#define SWL_REPORT_LIMITS_H

#include "sweptline/report.h"

/* That rotor speed is not checked, where the unit file states no limit of it. */
void swl_notes_speed_limits(swl_notes *notes, const swl_build *build);
/* Names limits of check that are exceeded, in one sentence; head stands before it. Nothing where there is none. */
void swl_notes_exceeded(swl_notes *notes, const char *head, const swl_limit_row *rows, size_t count, swl_units units);

#endif
