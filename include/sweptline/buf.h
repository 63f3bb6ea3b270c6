/* A growing byte buffer that every report and picture is written into before it reaches a file. */
#ifndef SWEPTLINE_BUF_H
#define SWEPTLINE_BUF_H

#include "sweptline/err.h"

#include <stdbool.h>
#include <stddef.h>

/* bytes is owned by the buffer and always ends in a NUL that len does not count.
 * failed is set once memory runs out; the buffer is then empty and later appends do nothing, so a writer checks once at
 * its end. What is made from the text of a failed buffer fails too, as far as it is a buffer, notes or a picture: the
 * end of a report tells of every sentence that was put together on the way. */
typedef struct swl_buf {
    char *bytes;
    size_t len;
    size_t cap;
    bool failed;
} swl_buf;

void swl_buf_put(swl_buf *buf, const char *bytes, size_t len);
/* As swl_buf_put, for the bytes of a file or a picture, which no text was put together from: a mark of a failed buffer
 * among them is not one. */
void swl_buf_put_raw(swl_buf *buf, const char *bytes, size_t len);
void swl_buf_puts(swl_buf *buf, const char *text);
/* Numbers come out in the C locale. */
void swl_buf_printf(swl_buf *buf, const char *format, ...) SWL_PRINTF(2, 3);
/* Returns: the text, never NULL. It belongs to the buffer. That of a failed one is a mark of two code points that
 * Unicode keeps out of texts, by which swl_buf_is_lost knows it. */
const char *swl_buf_text(const swl_buf *buf);
/* Whether the text of a failed buffer stands in a text. */
bool swl_buf_is_lost(const char *text);
/* Returns: SWL_OK, or SWL_ERR_MEMORY when an append has failed. */
swl_status swl_buf_status(const swl_buf *buf, swl_err *err) SWL_MUST_CHECK;
void swl_buf_free(swl_buf *buf);

#endif
