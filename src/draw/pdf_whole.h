/* Whether a PDF that a library has written holds all that it names. */
#ifndef SWL_DRAW_PDF_WHOLE_H
#define SWL_DRAW_PDF_WHOLE_H

#include <stddef.h>

/* bytes: a PDF with one cross-reference table (ISO 32000-1, 7.5.4), NUL-terminated after len bytes.
 * Returns: the number of the first object that does not stand where the table says; -1 when all do, and for a file that
 * has no such table, as one with a cross-reference stream. */
long swl_pdf_lost_object(const char *bytes, size_t len);

#endif
