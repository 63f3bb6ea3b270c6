/* The +- of a value that is changed on the page. */
#ifndef SWL_CLI_SERVE_HALF_H
#define SWL_CLI_SERVE_HALF_H

#include "sweptline/buf.h"
#include "sweptline/units.h"

/* What became of the half-width that the file gives a value: it gives none or the new value has its own, it stays with
 * the new value, or it does not go with that and is left out. */
typedef enum serve_half { SERVE_HALF_NONE, SERVE_HALF_KEPT, SERVE_HALF_LEFT_OUT } serve_half;

/* Appends the half-width of a value with its unit, as "+- 5 degF" of "68 degF +- 5"; nothing where it has none. */
void serve_half_put(const char *value, swl_buf *out);

/* Appends a new value with the half-width of the one it replaces, as wide as it was, where it may have that: it reads,
 * has no half-width of its own, and is not smaller than it where low, the least that its key accepts, is above 0. */
serve_half serve_half_keep(swl_dim dim, double low, const char *was, const char *now, swl_buf *out);

#endif
