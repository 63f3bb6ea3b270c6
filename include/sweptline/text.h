/* The text of one input file, and where in it a reader stands. */
#ifndef SWEPTLINE_TEXT_H
#define SWEPTLINE_TEXT_H

#include "sweptline/err.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

/* A piece of a text: not NUL-terminated, not owned. */
typedef struct swl_slice {
    const char *at;
    size_t len;
} swl_slice;

/* bytes is the file as read, work a copy whose comments a reader may blank out;
 * both have a NUL after len bytes and belong to the text. Offsets are the same in both. */
typedef struct swl_text {
    char *name;
    char *bytes;
    char *work;
    size_t len;
} swl_text;

enum {
    SWL_TEXT_MAX_BYTES = 8 * 1024 * 1024,
    SWL_TEXT_MAX_LINE = 4000 /* bytes */
};

/* Takes a copy of the bytes, which must be UTF-8 text with LF or CRLF line ends.
 * A byte order mark is skipped and a carriage return before a line feed is blanked in work.
 * Errors: SWL_ERR_INPUT with "name:line:column: ..." for an empty text, a NUL or other control
 * byte, bytes that are not UTF-8, U+FFFE or U+FFFF, a line or a text too long; SWL_ERR_MEMORY. */
swl_status swl_text_init(swl_text *text, const char *name, const char *bytes, size_t len, swl_err *err) SWL_MUST_CHECK;
void swl_text_free(swl_text *text);

/* Line and column, both from 1, the column in characters, of a pointer into work. */
void swl_text_where(const swl_text *text, const char *at, int *line, int *column);

swl_slice swl_slice_of(const char *text);
swl_slice swl_slice_trim(swl_slice slice);
bool swl_slice_is(swl_slice slice, const char *text);
/* Takes off and returns what stands before the first separator byte; *rest keeps what follows it
 * and has a NULL at when there was none. */
swl_slice swl_slice_split(swl_slice *rest, char separator);
/* Returns: a heap copy with a NUL, or NULL when out of memory. The caller frees it. */
char *swl_slice_dup(swl_slice slice);

/* Formats into a fixed room of at least 16 bytes. Of a text that is longer the middle is left out and "..." stands
 * there: a message names a file first and tells the reason last, and both are wanted. Sequences of UTF-8 stay whole. */
void swl_text_fit(char *to, size_t size, const char *format, va_list args) SWL_PRINTF(3, 0);

/* Whether U+FFFE or U+FFFF stands in a text, which Unicode keeps out of texts and XML out of pages. */
bool swl_utf8_noncharacter(const char *text);
/* Puts a question mark in place of every byte that is not UTF-8 and cuts a sequence broken off at the end. */
void swl_utf8_clean(char *text);
/* Puts a blank in place of every control sign, so that a message stays on its line and steers no terminal.
 * Given: UTF-8. */
void swl_one_line(char *text);

/* Returns: how many single-character edits lead from one word to the other
 * (Levenshtein distance, ASCII case ignored); words past 63 bytes are 99 apart. */
int swl_edit_distance(swl_slice a, swl_slice b);

#endif
