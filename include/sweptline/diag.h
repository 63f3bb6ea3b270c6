/* What a reader found in its files: every fault of a file is collected and shown in one go. */
#ifndef SWEPTLINE_DIAG_H
#define SWEPTLINE_DIAG_H

#include "sweptline/buf.h"
#include "sweptline/text.h"

typedef enum swl_severity { SWL_NOTE, SWL_WARNING, SWL_ERROR } swl_severity;

enum { SWL_DIAG_TEXT_MAX = 480, SWL_DIAG_EXCERPT_MAX = 160, SWL_DIAGS_MAX = 200, SWL_DIAGS_ALIKE = 5 };

/* line 0: the finding is about the file as a whole. excerpt is the line it points into with
 * control characters blanked, cut to a window; excerpt_column is the caret's place in it, from 1.
 * alike counts further findings of the same file that differ from this one in figures and quoted words only. */
typedef struct swl_diag {
    swl_severity severity;
    int line;
    int column;
    int excerpt_column;
    size_t alike;
    char file[SWL_DIAG_EXCERPT_MAX];
    char message[SWL_DIAG_TEXT_MAX];
    char excerpt[SWL_DIAG_EXCERPT_MAX];
} swl_diag;

/* items is owned. After SWL_DIAGS_ALIKE findings alike, and after SWL_DIAGS_MAX in all, only the counts go on. */
typedef struct swl_diags {
    swl_diag *items;
    size_t count;
    size_t cap;
    size_t errors;
    size_t dropped;
    bool out_of_memory;
} swl_diags;

/* Adds a finding at a pointer into text->work; at NULL means the file as a whole. */
void swl_diag_add(swl_diags *diags, swl_severity severity, const swl_text *text, const char *at, const char *format,
                  ...) SWL_PRINTF(5, 6);
/* Adds a finding about a file that could not be read as a text. */
void swl_diag_file(swl_diags *diags, swl_severity severity, const char *file, const char *format, ...) SWL_PRINTF(4, 5);
/* Writes every finding of at least the given severity as
 * "file:line:column: word: message", the line and a caret under the place. */
void swl_diag_print(const swl_diags *diags, swl_severity least, swl_buf *out);
/* Appends one finding as a line of prose: its place, the word of a warning, its words and how many are alike. */
void swl_diag_text(const swl_diag *diag, swl_buf *out);
/* Returns: SWL_OK, SWL_ERR_INPUT when there is an error, SWL_ERR_MEMORY when one was lost. */
swl_status swl_diag_status(const swl_diags *diags, swl_err *err) SWL_MUST_CHECK;
void swl_diag_free(swl_diags *diags);

#endif
