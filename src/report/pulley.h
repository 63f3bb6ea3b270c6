/* What the text, the CSV and the JSON of a pulley study have in common. */
#ifndef SWL_REPORT_PULLEY_H
#define SWL_REPORT_PULLEY_H

#include "sweptline/report.h"

/* "blower" or "crank". */
const char *swl_pulley_word(const swl_pulley_study *study);
/* Appends what a wish came to, as sentences: the size found, what it gives and what decides, or what stopped the search
 * and the nearest that can be reached. */
void swl_pulley_wish_text(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units);
/* Appends why a search failed, alone; nothing when it did not. */
void swl_pulley_failure_text(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units);

#endif
