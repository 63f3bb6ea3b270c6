#include "sweptline/edit.h"

#include "sweptline/ini.h"

#include <string.h>

/* A text that was read, to be let go in one. */
typedef struct edit {
    swl_text text;
    swl_ini ini;
    swl_diags diags;
} edit;

static void edit_close(edit *e)
{
    swl_ini_free(&e->ini);
    swl_text_free(&e->text);
    swl_diag_free(&e->diags);
}

static swl_status edit_open(edit *e, const char *name, const char *bytes, size_t len, swl_err *err)
{
    *e = (edit){.text = {0}};
    swl_status status = swl_text_init(&e->text, name, bytes, len, err);
    if (status == SWL_OK) {
        status = swl_ini_read(&e->ini, &e->text, &e->diags, err);
    }
    return status == SWL_OK ? swl_diag_status(&e->diags, err) : status;
}

static const swl_ini_entry *entry_of(const swl_ini *ini, const char *section, const char *key)
{
    for (size_t i = 0; i < ini->count; i++) {
        if (swl_slice_is(ini->entries[i].section, section) && swl_slice_is(ini->entries[i].key, key)) {
            return &ini->entries[i];
        }
    }
    return NULL;
}

/* Where the last thing of a section ends; NULL when the text has no such section. */
static const char *section_end(const swl_ini *ini, const char *section)
{
    const char *end = NULL;
    for (size_t i = 0; i < ini->section_count; i++) {
        swl_slice name = ini->sections[i];
        end = swl_slice_is(name, section) ? name.at + name.len : end;
    }
    for (size_t i = 0; i < ini->count; i++) {
        const swl_ini_entry *entry = &ini->entries[i];
        end = swl_slice_is(entry->section, section) ? entry->value.at + entry->value.len : end;
    }
    return end;
}

static size_t mark_length(const char *bytes, size_t len)
{
    return len >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
}

static bool has_crlf(const char *bytes, size_t len)
{
    const char *feed = memchr(bytes, '\n', len);
    return feed != NULL && feed > bytes && feed[-1] == '\r';
}

static void put_end(const swl_text *text, swl_buf *out)
{
    swl_buf_puts(out, has_crlf(text->bytes, text->len) ? "\r\n" : "\n");
}

/* What stands before a place in the text, up to the end of that line. Returns: where the next line starts. */
static size_t put_lines(const swl_text *text, size_t at, swl_buf *out)
{
    const char *feed = at < text->len ? memchr(text->bytes + at, '\n', text->len - at) : NULL;
    size_t next = feed == NULL ? text->len : (size_t)(feed - text->bytes) + 1;
    swl_buf_put(out, text->bytes, next);
    if (next > 0 && text->bytes[next - 1] != '\n') {
        put_end(text, out);
    }
    return next;
}

static void put_change(const edit *e, const swl_ini_change *change, swl_buf *out)
{
    const swl_text *text = &e->text;
    const swl_ini_entry *entry = entry_of(&e->ini, change->section, change->key);
    if (entry != NULL) {
        size_t from = (size_t)(entry->value.at - text->work);
        size_t to = from + entry->value.len;
        swl_buf_put(out, text->bytes, from);
        swl_buf_puts(out, change->value);
        swl_buf_put(out, text->bytes + to, text->len - to);
        return;
    }
    const char *end = section_end(&e->ini, change->section);
    size_t next = put_lines(text, end == NULL ? text->len : (size_t)(end - text->work), out);
    if (end == NULL) {
        put_end(text, out);
        swl_buf_printf(out, "[%s]", change->section);
        put_end(text, out);
    }
    swl_buf_printf(out, "%s = %s", change->key, change->value);
    put_end(text, out);
    swl_buf_put(out, text->bytes + next, text->len - next);
}

static swl_status value_held(const swl_ini_change *change, swl_err *err)
{
    const char *bad = NULL;
    size_t n = strlen(change->value);
    for (size_t i = 0; i < n && bad == NULL; i++) {
        unsigned char c = (unsigned char)change->value[i];
        bad = c < ' ' || c == 0x7f || strchr("#;\"", c) != NULL ? change->value + i : NULL;
    }
    if (n > SWL_INI_CHANGE_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE, "%s: read %zu bytes; a value of at most %d is accepted here",
                           change->key, n, SWL_INI_CHANGE_MAX);
    }
    return bad == NULL ? SWL_OK
                       : swl_err_set(err, SWL_ERR_USAGE,
                                     "%s: a control character, a quote, # or ; stands in the value; one line without "
                                     "these is accepted here",
                                     change->key);
}

swl_status swl_ini_edit(const char *name, const char *bytes, size_t len, const swl_ini_change *changes, size_t count,
                        swl_buf *out, swl_err *err)
{
    swl_buf now = {0};
    swl_status status = SWL_OK;
    swl_buf_put(&now, bytes, len);
    /* Once more each time, for the places behind a change move. */
    for (size_t i = 0; i < count && status == SWL_OK; i++) {
        edit e;
        swl_buf next = {0};
        status = value_held(&changes[i], err);
        if (status != SWL_OK) {
            break;
        }
        status = edit_open(&e, name, swl_buf_text(&now), now.len, err);
        if (status == SWL_OK) {
            swl_buf_put(&next, now.bytes, mark_length(now.bytes, now.len));
            put_change(&e, &changes[i], &next);
            swl_buf_free(&now);
            now = next;
        }
        edit_close(&e);
    }
    if (status == SWL_OK) {
        status = swl_buf_status(&now, err);
    }
    if (status == SWL_OK) {
        swl_buf_put(out, swl_buf_text(&now), now.len);
        status = swl_buf_status(out, err);
    }
    swl_buf_free(&now);
    return status;
}

swl_status swl_ini_given(const char *name, const char *bytes, size_t len, const char *section, const char *key,
                         bool *given, swl_buf *out, swl_err *err)
{
    edit e;
    *given = false;
    swl_status status = edit_open(&e, name, bytes, len, err);
    const swl_ini_entry *entry = status == SWL_OK ? entry_of(&e.ini, section, key) : NULL;
    if (entry != NULL) {
        *given = true;
        bool blank = false;
        for (size_t i = 0; i < entry->value.len; i++) {
            char c = entry->value.at[i];
            bool gap = c == ' ' || c == '\t' || c == '\n' || c == '\r';
            swl_buf_put(out, blank && !gap ? " " : "", blank && !gap ? 1 : 0);
            swl_buf_put(out, &c, gap ? 0 : 1);
            blank = gap;
        }
        status = swl_buf_status(out, err);
    }
    edit_close(&e);
    return status;
}

void swl_ini_comment(const char *bytes, size_t len, const char *lines, swl_buf *out)
{
    size_t mark = mark_length(bytes, len);
    const char *end = has_crlf(bytes, len) ? "\r\n" : "\n";
    swl_buf_put(out, bytes, mark);
    for (const char *at = lines; *at != '\0';) {
        size_t n = strcspn(at, "\n");
        swl_buf_puts(out, "; ");
        swl_buf_put(out, at, n);
        swl_buf_puts(out, end);
        at += n + (at[n] == '\n');
    }
    swl_buf_put(out, bytes + mark, len - mark);
}
