#include "sweptline/buf.h"

#include "base/locale_c.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* U+FFFF and U+FFFE. */
static const char lost[] = "\xEF\xBF\xBF\xEF\xBF\xBE";
enum { LOST = sizeof lost - 1 };

static bool buf_fail(swl_buf *buf)
{
    free(buf->bytes);
    *buf = (swl_buf){.failed = true};
    return false;
}

static bool buf_reserve(swl_buf *buf, size_t extra)
{
    if (buf->failed || extra > SIZE_MAX / 4 || buf->len > SIZE_MAX / 4) {
        return buf_fail(buf);
    }
    size_t need = buf->len + extra + 1;
    if (need <= buf->cap) {
        return true;
    }
    size_t cap = buf->cap < 128 ? 128 : buf->cap;
    while (cap < need) {
        cap *= 2;
    }
    char *grown = realloc(buf->bytes, cap);
    if (grown == NULL) {
        return buf_fail(buf);
    }
    buf->bytes = grown;
    buf->cap = cap;
    return true;
}

static void buf_append(swl_buf *buf, const char *bytes, size_t len, bool is_text)
{
    if (!buf_reserve(buf, len)) {
        return;
    }
    if (bytes == lost || (is_text && len >= LOST && memmem(bytes, len, lost, LOST) != NULL)) {
        (void)buf_fail(buf);
        return;
    }
    if (len > 0) {
        memcpy(buf->bytes + buf->len, bytes, len);
    }
    buf->len += len;
    buf->bytes[buf->len] = '\0';
}

void swl_buf_put(swl_buf *buf, const char *bytes, size_t len)
{
    buf_append(buf, bytes, len, true);
}

void swl_buf_put_raw(swl_buf *buf, const char *bytes, size_t len)
{
    buf_append(buf, bytes, len, false);
}

void swl_buf_puts(swl_buf *buf, const char *text)
{
    swl_buf_put(buf, text, strlen(text));
}

void swl_buf_printf(swl_buf *buf, const char *format, ...)
{
    char small[512];
    swl_locale saved = swl_locale_enter();
    va_list args;
    va_start(args, format);
    int need = vsnprintf(small, sizeof small, format, args);
    va_end(args);
    if (need < 0) {
        (void)buf_fail(buf);
    } else if ((size_t)need < sizeof small) {
        swl_buf_put(buf, small, (size_t)need);
    } else if (buf_reserve(buf, (size_t)need)) {
        va_start(args, format);
        (void)vsnprintf(buf->bytes + buf->len, (size_t)need + 1, format, args);
        va_end(args);
        buf->len += (size_t)need;
        if (swl_buf_is_lost(buf->bytes + buf->len - need)) {
            (void)buf_fail(buf);
        }
    }
    swl_locale_leave(saved);
}

const char *swl_buf_text(const swl_buf *buf)
{
    return buf->failed ? lost : buf->bytes == NULL ? "" : buf->bytes;
}

bool swl_buf_is_lost(const char *text)
{
    return strstr(text, lost) != NULL;
}

swl_status swl_buf_status(const swl_buf *buf, swl_err *err)
{
    return buf->failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory while writing a result") : SWL_OK;
}

void swl_buf_free(swl_buf *buf)
{
    free(buf->bytes);
    *buf = (swl_buf){0};
}
