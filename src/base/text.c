#include "sweptline/text.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Length of the UTF-8 sequence at p, or 0 when it is not valid (overlong and surrogates included). */
static size_t utf8_length(const unsigned char *p, size_t left)
{
    if (p[0] < 0x80) {
        return 1;
    }
    size_t n = p[0] >= 0xF0 ? 4 : p[0] >= 0xE0 ? 3 : 2;
    if (p[0] < 0xC2 || p[0] > 0xF4 || n > left) {
        return 0;
    }
    for (size_t i = 1; i < n; i++) {
        if ((p[i] & 0xC0) != 0x80) {
            return 0;
        }
    }
    bool bad = (p[0] == 0xE0 && p[1] < 0xA0) || (p[0] == 0xED && p[1] > 0x9F) || (p[0] == 0xF0 && p[1] < 0x90) ||
               (p[0] == 0xF4 && p[1] > 0x8F);
    return bad ? 0 : n;
}

static swl_status text_refuse(const swl_text *text, size_t offset, const char *what, swl_err *err)
{
    int line = 1;
    int column = 1;
    swl_text_where(text, text->work + offset, &line, &column);
    return swl_err_set(err, SWL_ERR_INPUT, "%s:%d:%d: %s", text->name, line, column, what);
}

static swl_status text_refuse_control(const swl_text *text, size_t at, swl_err *err)
{
    if (text->bytes[at] == '\r') {
        return text_refuse(text, at, "read a carriage return alone; lines that end in LF or CRLF are accepted", err);
    }
    return text_refuse(text, at,
                       "read a control character: this is not a plain text file; UTF-8 text with LF or CRLF line "
                       "ends is accepted",
                       err);
}

static bool is_control(const unsigned char *p)
{
    bool low = p[0] < 0x20 && p[0] != '\n' && p[0] != '\t';
    return low || p[0] == 0x7F || (p[0] == 0xC2 && p[1] >= 0x80 && p[1] < 0xA0);
}

/* What a word processor puts for a blank, a minus and a plus-minus is read as what was meant. */
static void text_plain_signs(char *work, size_t n)
{
    static const struct {
        const char *fancy;
        const char *plain;
    } signs[] = {{"\xC2\xA0", "  "}, {"\xC2\xB1", "+-"}, {"\xE2\x88\x92", "  -"}, {"\xE2\x80\xAF", "   "}};
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        if (n == strlen(signs[i].fancy) && memcmp(work, signs[i].fancy, n) == 0) {
            memcpy(work, signs[i].plain, n);
        }
    }
}

static bool is_noncharacter(const unsigned char *p)
{
    return p[0] == 0xEF && p[1] == 0xBF && p[2] >= 0xBE;
}

static swl_status text_scan(swl_text *text, swl_err *err)
{
    const unsigned char *p = (const unsigned char *)text->bytes;
    size_t line_start = 0;
    for (size_t i = 0; i < text->len;) {
        if (p[i] == 0) {
            return text_refuse(text, i, "read a zero byte: this is not a text file; plain UTF-8 text is accepted", err);
        }
        if (p[i] == '\r' && p[i + 1] == '\n') {
            text->work[i] = ' ';
        } else if (is_control(p + i)) {
            return text_refuse_control(text, i, err);
        }
        size_t n = utf8_length(p + i, text->len - i);
        if (n == 0) {
            return text_refuse(text, i, "read a byte that is not UTF-8; save the file as UTF-8", err);
        }
        if (is_noncharacter(p + i)) {
            return text_refuse(text, i, "read U+FFFE or U+FFFF, which is no character; take it out", err);
        }
        if (p[i] == '\n') {
            line_start = i + 1;
        } else if (i - line_start >= SWL_TEXT_MAX_LINE && p[i] != '\r') {
            return text_refuse(
                text, line_start,
                "line longer than 4000 bytes; break it into several (a curve may go on over indented lines)", err);
        }
        text_plain_signs(text->work + i, n);
        i += n;
    }
    return SWL_OK;
}

swl_status swl_text_init(swl_text *text, const char *name, const char *bytes, size_t len, swl_err *err)
{
    *text = (swl_text){0};
    if (len >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0) {
        bytes += 3;
        len -= 3;
    }
    if (len == 0) {
        return swl_err_set(err, SWL_ERR_INPUT, "%s: the file is empty", name);
    }
    if (len > SWL_TEXT_MAX_BYTES) {
        return swl_err_set(err, SWL_ERR_INPUT, "%s: the file has more than the %d bytes that are accepted", name,
                           SWL_TEXT_MAX_BYTES);
    }
    text->name = swl_slice_dup(swl_slice_of(name));
    text->bytes = swl_slice_dup((swl_slice){bytes, len});
    text->work = swl_slice_dup((swl_slice){bytes, len});
    text->len = len;
    swl_status status = SWL_OK;
    if (text->name == NULL || text->bytes == NULL || text->work == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "%s: out of memory", name);
    } else {
        status = text_scan(text, err);
    }
    if (status != SWL_OK) {
        swl_text_free(text);
    }
    return status;
}

void swl_text_free(swl_text *text)
{
    free(text->name);
    free(text->bytes);
    free(text->work);
    *text = (swl_text){0};
}

void swl_text_where(const swl_text *text, const char *at, int *line, int *column)
{
    /* Counted in the bytes as read: a reader may have moved characters in work. */
    const char *end = text->bytes + (at - text->work);
    *line = 1;
    *column = 1;
    for (const char *p = text->bytes; p < end; p++) {
        if (*p == '\n') {
            *line += 1;
            *column = 1;
        } else if (((unsigned char)*p & 0xC0) != 0x80) {
            *column += 1;
        }
    }
}

swl_slice swl_slice_of(const char *text)
{
    return (swl_slice){text, strlen(text)};
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\n' || c == '\r';
}

swl_slice swl_slice_trim(swl_slice slice)
{
    while (slice.len > 0 && is_blank(slice.at[0])) {
        slice.at++;
        slice.len--;
    }
    while (slice.len > 0 && is_blank(slice.at[slice.len - 1])) {
        slice.len--;
    }
    return slice;
}

bool swl_slice_is(swl_slice slice, const char *text)
{
    return slice.len == strlen(text) && memcmp(slice.at, text, slice.len) == 0;
}

swl_slice swl_slice_split(swl_slice *rest, char separator)
{
    swl_slice whole = *rest;
    const char *mark = whole.len > 0 ? memchr(whole.at, separator, whole.len) : NULL;
    if (mark == NULL) {
        *rest = (swl_slice){NULL, 0};
        return whole;
    }
    size_t n = (size_t)(mark - whole.at);
    *rest = (swl_slice){mark + 1, whole.len - n - 1};
    return (swl_slice){whole.at, n};
}

char *swl_slice_dup(swl_slice slice)
{
    char *copy = malloc(slice.len + 1);
    if (copy != NULL) {
        if (slice.len > 0) {
            memcpy(copy, slice.at, slice.len);
        }
        copy[slice.len] = '\0';
    }
    return copy;
}

/* Whether what is left is the start of a sequence and nothing else. */
static bool is_broken_off(const unsigned char *p, size_t left)
{
    size_t whole = p[0] >= 0xF0 ? 4 : p[0] >= 0xE0 ? 3 : 2;
    bool started = p[0] >= 0xC2 && p[0] <= 0xF4 && left < whole;
    for (size_t i = 1; started && i < left; i++) {
        started = (p[i] & 0xC0) == 0x80;
    }
    return started;
}

/* The start of the sequence that a byte is part of. */
static size_t sequence_start(const char *text, size_t at)
{
    while (at > 0 && ((unsigned char)text[at] & 0xC0) == 0x80) {
        at--;
    }
    return at;
}

void swl_text_fit(char *to, size_t size, const char *format, va_list args)
{
    static const char gap[] = " ... ";
    va_list again;
    va_copy(again, args);
    int wanted = vsnprintf(to, size, format, args);
    size_t len = wanted < 0 ? 0 : (size_t)wanted;
    char *whole = len < size ? NULL : malloc(len + 1);
    if (whole != NULL) {
        (void)vsnprintf(whole, len + 1, format, again);
        size_t head = sequence_start(whole, size / 3);
        size_t tail = len - (size - head - sizeof gap);
        while (tail < len && ((unsigned char)whole[tail] & 0xC0) == 0x80) {
            tail++;
        }
        (void)snprintf(to, size, "%.*s%s%s", (int)head, whole, gap, whole + tail);
        free(whole);
    }
    va_end(again);
}

bool swl_utf8_noncharacter(const char *text)
{
    bool found = false;
    for (const unsigned char *p = (const unsigned char *)text; *p != '\0' && !found; p++) {
        found = is_noncharacter(p);
    }
    return found;
}

void swl_utf8_clean(char *text)
{
    unsigned char *p = (unsigned char *)text;
    size_t left = strlen(text);
    while (left > 0) {
        size_t n = utf8_length(p, left);
        if (n == 0 && is_broken_off(p, left)) {
            p[0] = '\0';
            return;
        }
        if (n == 0) {
            p[0] = '?';
            n = 1;
        }
        p += n;
        left -= n;
    }
}

void swl_one_line(char *text)
{
    for (unsigned char *p = (unsigned char *)text; *p != '\0'; p++) {
        bool second = p[0] == 0xC2 && p[1] >= 0x80 && p[1] < 0xA0;
        if (p[0] < 0x20 || p[0] == 0x7F || second) {
            p[0] = ' ';
        }
        if (second) {
            p[1] = ' ';
        }
    }
}

static char lower(char c)
{
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

int swl_edit_distance(swl_slice a, swl_slice b)
{
    enum { WORD_MAX = 64 };
    int row[WORD_MAX];
    if (a.len >= WORD_MAX || b.len >= WORD_MAX) {
        return 99;
    }
    for (size_t j = 0; j <= b.len; j++) {
        row[j] = (int)j;
    }
    for (size_t i = 1; i <= a.len; i++) {
        int diagonal = row[0];
        row[0] = (int)i;
        for (size_t j = 1; j <= b.len; j++) {
            int change = diagonal + (lower(a.at[i - 1]) != lower(b.at[j - 1]));
            diagonal = row[j];
            int shift = (row[j - 1] < row[j] ? row[j - 1] : row[j]) + 1;
            row[j] = change < shift ? change : shift;
        }
    }
    return row[b.len];
}
