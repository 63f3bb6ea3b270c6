/* Changing values in the text of a build or unit file, and nothing else in it. */
#ifndef SWEPTLINE_EDIT_H
#define SWEPTLINE_EDIT_H

#include "sweptline/buf.h"

/* A key and the value that it is to have, as a file would say it. */
typedef struct swl_ini_change {
    const char *section;
    const char *key;
    const char *value;
} swl_ini_change;

enum { SWL_INI_CHANGE_MAX = 120 /* bytes of a value */ };

/* Puts values in place of those that a text gives. Everything else stays byte for byte: comments, order, line ends. A
 * key that is not there goes behind the last one of its section, a section that is not there to the end of the text.
 * A value that ran over several lines becomes one, and comments between those lines go.
 * Given: the text's name for messages; values of one line each, without quotes, # and ;, empty ones allowed.
 * Appends to out. Errors: SWL_ERR_USAGE with key and value for one that is not such a line; SWL_ERR_INPUT for a text
 * that does not read; SWL_ERR_MEMORY. */
swl_status swl_ini_edit(const char *name, const char *bytes, size_t len, const swl_ini_change *changes, size_t count,
                        swl_buf *out, swl_err *err) SWL_MUST_CHECK;

/* Appends a key's value as the text gives it, in one line; given tells whether it does. Errors as swl_ini_edit. */
swl_status swl_ini_given(const char *name, const char *bytes, size_t len, const char *section, const char *key,
                         bool *given, swl_buf *out, swl_err *err) SWL_MUST_CHECK;

/* Appends the text with comment lines ahead of it, in the line ends of its own; a byte order mark stays first. Given:
 * lines with a line feed after each, without their comment sign. */
void swl_ini_comment(const char *bytes, size_t len, const char *lines, swl_buf *out);

#endif
