/* What a report says about the charge cooler's water circuit. */
#ifndef SWL_REPORT_WATER_H
#define SWL_REPORT_WATER_H

#include "sweptline/report.h"

/* Coolant temperatures and effectiveness over the line; nothing where no coolant flow is given. */
void swl_water_text(swl_buf *out, const swl_build *build, const swl_check *check, swl_units units);
void swl_water_notes_check(swl_notes *notes, const swl_build *build, const swl_check *check, swl_units units);
void swl_water_notes_soak(swl_notes *notes, const swl_build *build, const swl_soak *soak, swl_units units);

#endif
