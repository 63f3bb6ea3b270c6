#include "sweptline/diag.h"

#include "base/locale_c.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Returns: the slot for the next finding, or NULL when it only counts. */
static swl_diag *diag_next(swl_diags *diags, swl_severity severity)
{
    diags->errors += severity == SWL_ERROR;
    if (diags->count >= SWL_DIAGS_MAX) {
        diags->dropped++;
        return NULL;
    }
    if (diags->count == diags->cap) {
        size_t cap = diags->cap == 0 ? 4 : diags->cap * 2;
        swl_diag *grown = realloc(diags->items, cap * sizeof *grown);
        if (grown == NULL) {
            diags->out_of_memory = true;
            return NULL;
        }
        diags->items = grown;
        diags->cap = cap;
    }
    swl_diag *diag = &diags->items[diags->count++];
    *diag = (swl_diag){.severity = severity};
    return diag;
}

/* Steps over what may differ between two findings alike: figures and words between backquotes. */
static const char *skip_figures(const char *p)
{
    for (;;) {
        if (*p == '`') {
            const char *close = strchr(p + 1, '`');
            if (close == NULL) {
                return p;
            }
            p = close + 1;
        } else if ((*p >= '0' && *p <= '9') || *p == '.' || *p == '-' || *p == '+') {
            p++;
        } else {
            return p;
        }
    }
}

static bool is_alike(const swl_diag *a, const swl_diag *b)
{
    if (a->severity != b->severity || strcmp(a->file, b->file) != 0) {
        return false;
    }
    const char *p = skip_figures(a->message);
    const char *q = skip_figures(b->message);
    while (*p == *q && *p != '\0') {
        p = skip_figures(p + 1);
        q = skip_figures(q + 1);
    }
    return *p == *q;
}

/* Takes the newest finding off again when enough of its kind are shown. Returns: whether it stays. */
static bool diag_stays(swl_diags *diags)
{
    size_t seen = 0;
    size_t latest = 0;
    for (size_t i = 0; i + 1 < diags->count; i++) {
        if (is_alike(&diags->items[i], &diags->items[diags->count - 1])) {
            seen++;
            latest = i;
        }
    }
    if (seen < SWL_DIAGS_ALIKE) {
        return true;
    }
    diags->items[latest].alike++;
    diags->count--;
    return false;
}

static size_t character_start(const char *line, size_t at)
{
    while (at > 0 && ((unsigned char)line[at] & 0xC0) == 0x80) {
        at--;
    }
    return at;
}

/* Copies a window of the line around the place, so that a long line stays readable. */
static void diag_excerpt(swl_diag *diag, const swl_text *text, size_t offset)
{
    size_t start = offset;
    while (start > 0 && text->bytes[start - 1] != '\n') {
        start--;
    }
    size_t end = offset;
    while (end < text->len && text->bytes[end] != '\n') {
        end++;
    }
    const char *line = text->bytes + start;
    size_t from = offset - start > 90 ? character_start(line, offset - start - 60) : 0;
    size_t to = end - start;
    if (to - from > SWL_DIAG_EXCERPT_MAX - 1) {
        to = character_start(line, from + SWL_DIAG_EXCERPT_MAX - 1);
    }
    diag->excerpt_column = 1;
    for (size_t i = from; i < to; i++) {
        bool control = (unsigned char)line[i] < 0x20;
        diag->excerpt[i - from] = control ? ' ' : line[i];
        if (start + i < offset && ((unsigned char)line[i] & 0xC0) != 0x80) {
            diag->excerpt_column++;
        }
    }
    size_t n = to - from;
    while (n > 0 && diag->excerpt[n - 1] == ' ') {
        n--;
    }
    diag->excerpt[n] = '\0';
}

static void diag_words(swl_diag *diag, const char *file, const char *format, va_list args) SWL_PRINTF(3, 0);

static void diag_words(swl_diag *diag, const char *file, const char *format, va_list args)
{
    (void)snprintf(diag->file, sizeof diag->file, "%s", file);
    swl_locale saved = swl_locale_enter();
    (void)vsnprintf(diag->message, sizeof diag->message, format, args);
    swl_locale_leave(saved);
    swl_utf8_clean(diag->file);
    swl_one_line(diag->file);
    swl_utf8_clean(diag->message);
    swl_one_line(diag->message);
}

void swl_diag_add(swl_diags *diags, swl_severity severity, const swl_text *text, const char *at, const char *format,
                  ...)
{
    swl_diag *diag = diag_next(diags, severity);
    if (diag == NULL) {
        return;
    }
    va_list args;
    va_start(args, format);
    diag_words(diag, text->name, format, args);
    va_end(args);
    /* Finding the place reads the file up to it, so it is left to those that are shown. */
    if (diag_stays(diags) && at != NULL) {
        swl_text_where(text, at, &diag->line, &diag->column);
        diag_excerpt(diag, text, (size_t)(at - text->work));
    }
}

void swl_diag_file(swl_diags *diags, swl_severity severity, const char *file, const char *format, ...)
{
    swl_diag *diag = diag_next(diags, severity);
    if (diag == NULL) {
        return;
    }
    va_list args;
    va_start(args, format);
    diag_words(diag, file, format, args);
    va_end(args);
}

static void diag_print_one(const swl_diag *diag, swl_buf *out)
{
    static const char *const words[] = {"note", "warning", "error"};
    swl_buf_puts(out, diag->file);
    if (diag->line > 0) {
        swl_buf_printf(out, ":%d:%d", diag->line, diag->column);
    }
    swl_buf_printf(out, ": %s: %s\n", words[diag->severity], diag->message);
    if (diag->line > 0 && diag->excerpt[0] != '\0') {
        swl_buf_printf(out, "    %s\n    %*s\n", diag->excerpt, diag->excerpt_column, "^");
    }
    if (diag->alike > 0) {
        swl_buf_printf(out, "    (and %zu more like this in %s)\n", diag->alike, diag->file);
    }
}

/* Whether b is to be shown before a, both of one file: by line, those about the whole file last. */
static bool is_before(const swl_diag *b, const swl_diag *a)
{
    if (b->line == 0 || a->line == 0) {
        return b->line != 0 && a->line == 0;
    }
    return b->line < a->line || (b->line == a->line && b->column < a->column);
}

/* Prints the findings of one file, the file's first standing at first, by line. */
static void diag_print_file(const swl_diags *diags, size_t first, swl_severity least, swl_buf *out)
{
    const swl_diag *sorted[SWL_DIAGS_MAX];
    size_t count = 0;
    for (size_t i = first; i < diags->count && count < SWL_DIAGS_MAX; i++) {
        const swl_diag *diag = &diags->items[i];
        if (strcmp(diag->file, diags->items[first].file) != 0 || diag->severity < least) {
            continue;
        }
        size_t at = count++;
        for (; at > 0 && is_before(diag, sorted[at - 1]); at--) {
            sorted[at] = sorted[at - 1];
        }
        sorted[at] = diag;
    }
    for (size_t i = 0; i < count; i++) {
        diag_print_one(sorted[i], out);
    }
}

void swl_diag_print(const swl_diags *diags, swl_severity least, swl_buf *out)
{
    for (size_t i = 0; i < diags->count; i++) {
        bool seen = false;
        for (size_t k = 0; k < i && !seen; k++) {
            seen = strcmp(diags->items[k].file, diags->items[i].file) == 0;
        }
        if (!seen) {
            diag_print_file(diags, i, least, out);
        }
    }
    if (diags->dropped > 0) {
        swl_buf_printf(out, "(%zu more findings are not shown)\n", diags->dropped);
    }
}

void swl_diag_text(const swl_diag *diag, swl_buf *out)
{
    swl_buf_puts(out, diag->file);
    if (diag->line > 0) {
        swl_buf_printf(out, ":%d", diag->line);
    }
    swl_buf_printf(out, ": %s%s", diag->severity == SWL_WARNING ? "warning: " : "", diag->message);
    if (diag->alike > 0) {
        swl_buf_printf(out, " (and %zu more like this)", diag->alike);
    }
}

swl_status swl_diag_status(const swl_diags *diags, swl_err *err)
{
    if (diags->errors > 0) {
        return swl_err_set(err, SWL_ERR_INPUT, "%zu error%s in the input", diags->errors,
                           diags->errors == 1 ? "" : "s");
    }
    return diags->out_of_memory ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory while reading the input") : SWL_OK;
}

void swl_diag_free(swl_diags *diags)
{
    free(diags->items);
    *diags = (swl_diags){0};
}
