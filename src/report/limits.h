/* What several reports say about the limits and the power of check. */
#ifndef SWL_REPORT_LIMITS_H
#define SWL_REPORT_LIMITS_H

#include "sweptline/report.h"

/* That rotor speed is not checked, where the unit file states no limit of it. */
void swl_notes_speed_limits(swl_notes *notes, const swl_build *build);
/* Names limits of check that are exceeded, in one sentence; head stands before it. Nothing where there is none. */
void swl_notes_exceeded(swl_notes *notes, const char *head, const swl_limit_row *rows, size_t count, swl_units units);
/* From which engine speed on a limit is exceeded, where one of rotor speed is reached, and the smallest blower pulley
 * by rotor speed, a sentence each. */
void swl_notes_advice(swl_notes *notes, const swl_check *check, swl_units units);
/* Appends how many limits are exceeded, close and kept, without a full stop. Given: their count by verdict, and whose
 * they are, behind the word limits. */
void swl_limits_counted(swl_buf *out, const size_t counts[3], const char *whose);
/* That the belt which a build describes has limits of its own, which only the command belt holds. Returns: NULL where
 * there is none. */
const char *swl_belt_left_words(const swl_build *build);
/* Appends what slip does to the operating line beside the limits and the power; nothing without slip. */
void swl_slip_words(swl_buf *out, const swl_build *build);
/* What a solved line must have said of it at its site, beside where it lies on the map: values that are held, several
 * operating points, choked, condensing, and coolant beyond its properties. */
void swl_notes_line(swl_notes *notes, const swl_build *build, const swl_check *check);
/* The row with the highest crank power. */
size_t swl_power_best(const swl_check *check);
/* Appends what estimated power rests on. */
void swl_power_basis_words(swl_buf *out, const swl_check *check);

#endif
