/* What stands in a text that was written. */
#ifndef TESTS_SUPPORT_WORDS_H
#define TESTS_SUPPORT_WORDS_H

#include "support/near.h"

#include "sweptline/buf.h"

#include <string.h>

static inline void text_has(const swl_buf *text, const char *words)
{
    if (strstr(swl_buf_text(text), words) == NULL) {
        fail_msg("`%s` is not in:\n%.4000s", words, swl_buf_text(text));
    }
}

static inline void text_lacks(const swl_buf *text, const char *words)
{
    if (strstr(swl_buf_text(text), words) != NULL) {
        fail_msg("`%s` is in:\n%.4000s", words, swl_buf_text(text));
    }
}

/* Returns: how often the words stand in it. */
static inline size_t text_times(const swl_buf *text, const char *words)
{
    size_t count = 0;
    for (const char *at = swl_buf_text(text); (at = strstr(at, words)) != NULL; at++) {
        count++;
    }
    return count;
}

static inline void same_bytes(const swl_buf *one, const swl_buf *other)
{
    assert_int_equal(one->len, other->len);
    assert_memory_equal(swl_buf_text(one), swl_buf_text(other), one->len);
}

#endif
