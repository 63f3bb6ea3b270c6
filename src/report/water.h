/* What a report says about the charge cooler's water circuit. */
#ifndef SWL_REPORT_WATER_H
#define SWL_REPORT_WATER_H

#include "sweptline/report.h"

/* Coolant temperatures and effectiveness over the line; nothing where no coolant flow is given. */
void swl_water_text(swl_buf *out, const swl_build *build, const swl_check *check, swl_units units);
/* What of it holds for a line alone: properties held, and what the coolant cannot carry. */
void swl_water_notes_line(swl_notes *notes, const swl_build *build, const swl_check *check);
void swl_water_notes_check(swl_notes *notes, const swl_build *build, const swl_check *check, swl_units units);
/* That the coolant leaves the range of its properties, which every verdict of a soak then rests on. */
void swl_water_note_held(swl_notes *notes, const swl_build *build, const swl_soak *soak);
void swl_water_notes_soak(swl_notes *notes, const swl_build *build, const swl_soak *soak, swl_units units);

#endif
