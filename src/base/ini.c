#include "sweptline/ini.h"

#include <stdlib.h>
#include <string.h>

typedef struct ini_reader {
    swl_ini *ini;
    swl_text *text;
    swl_diags *diags;
    swl_slice section;
    bool section_ok;
    bool any_section; /* one has started, well or badly written */
    bool value_open;  /* the line above holds a key whose value may go on */
    bool refused;     /* the line above was refused, and what goes on with it is too */
} ini_reader;

static bool is_blank(char c)
{
    return c == ' ' || c == '\t';
}

/* Where a comment may start: behind the closing quote of a value that stands between double quotes, else anywhere. */
static size_t ini_quoted_end(const char *line, size_t len)
{
    const char *sign = memchr(line, '=', len);
    size_t i = sign == NULL ? len : (size_t)(sign - line) + 1;
    while (i < len && is_blank(line[i])) {
        i++;
    }
    const char *close = i < len && line[i] == '"' ? memchr(line + i + 1, '"', len - i - 1) : NULL;
    return close == NULL ? 0 : (size_t)(close - line) + 1;
}

/* Blanks the comment of one line out of the work copy. */
static void ini_drop_comment(char *line, size_t len)
{
    for (size_t i = ini_quoted_end(line, len); i < len; i++) {
        bool mark = (line[i] == '#' || line[i] == ';') && (i == 0 || is_blank(line[i - 1]));
        if (mark) {
            memset(line + i, ' ', len - i);
            return;
        }
    }
}

/* Returns: the array with room for one more, or NULL when out of memory and the array is as it was. */
static void *ini_grow(void *array, size_t count, size_t size)
{
    bool full = count == 0 || (count & (count - 1)) == 0;
    return full ? realloc(array, (count == 0 ? 1 : count * 2) * size) : array;
}

static swl_status ini_section(ini_reader *r, swl_slice line, swl_err *err)
{
    r->value_open = false;
    r->section_ok = false;
    r->any_section = true;
    if (line.len < 3 || line.at[line.len - 1] != ']') {
        swl_diag_add(r->diags, SWL_ERROR, r->text, line.at,
                     "read `%.*s`; a section is written [name] on a line of its own",
                     (int)(line.len > 60 ? 60 : line.len), line.at);
        return SWL_OK;
    }
    swl_slice name = swl_slice_trim((swl_slice){line.at + 1, line.len - 2});
    for (size_t i = 0; i < r->ini->section_count; i++) {
        swl_slice seen = r->ini->sections[i];
        if (seen.len == name.len && memcmp(seen.at, name.at, name.len) == 0) {
            int first = 0;
            int column = 0;
            swl_text_where(r->text, seen.at, &first, &column);
            swl_diag_add(r->diags, SWL_ERROR, r->text, line.at,
                         "section [%.*s] is given twice, first in line %d; put its keys together",
                         (int)(name.len > 60 ? 60 : name.len), name.at, first);
            return SWL_OK;
        }
    }
    if (r->ini->section_count >= SWL_INI_SECTIONS_MAX) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, line.at, "more than %d sections in one file", SWL_INI_SECTIONS_MAX);
        return SWL_OK;
    }
    swl_slice *sections = ini_grow(r->ini->sections, r->ini->section_count, sizeof *sections);
    if (sections == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "%s: out of memory", r->text->name);
    }
    r->ini->sections = sections;
    r->ini->sections[r->ini->section_count++] = name;
    r->section = name;
    r->section_ok = true;
    return SWL_OK;
}

static bool ini_key_is_new(ini_reader *r, swl_slice key)
{
    for (size_t i = r->ini->count; i-- > 0;) {
        const swl_ini_entry *seen = &r->ini->entries[i];
        bool same =
            seen->section.at == r->section.at && seen->key.len == key.len && memcmp(seen->key.at, key.at, key.len) == 0;
        if (same) {
            int first = 0;
            int column = 0;
            swl_text_where(r->text, seen->key.at, &first, &column);
            swl_diag_add(r->diags, SWL_ERROR, r->text, key.at,
                         "%.*s is given twice in [%.*s], first in line %d; keep one", (int)key.len, key.at,
                         (int)r->section.len, r->section.at, first);
            return false;
        }
    }
    return true;
}

static swl_status ini_key(ini_reader *r, swl_slice line, swl_err *err)
{
    swl_slice rest = line;
    swl_slice key = swl_slice_trim(swl_slice_split(&rest, '='));
    r->value_open = false;
    if (rest.at == NULL || key.len == 0 || key.len > 60) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, line.at,
                     "read `%.*s`; a line is [section], key = value, an indented continuation of a value, or a comment "
                     "after # or ;",
                     (int)(line.len > 60 ? 60 : line.len), line.at);
        return SWL_OK;
    }
    if (!r->any_section) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, line.at, "%.*s stands before any [section]", (int)key.len, key.at);
        return SWL_OK;
    }
    if (!r->section_ok || !ini_key_is_new(r, key)) {
        return SWL_OK;
    }
    if (r->ini->count >= SWL_INI_ENTRIES_MAX) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, line.at, "more than %d keys in one file", SWL_INI_ENTRIES_MAX);
        r->section_ok = false;
        return SWL_OK;
    }
    swl_ini_entry *entries = ini_grow(r->ini->entries, r->ini->count, sizeof *entries);
    if (entries == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "%s: out of memory", r->text->name);
    }
    r->ini->entries = entries;
    swl_slice value = swl_slice_trim(rest);
    if (value.len == 0) {
        value = (swl_slice){rest.at, 0};
    }
    r->ini->entries[r->ini->count++] = (swl_ini_entry){.section = r->section, .key = key, .value = value};
    r->value_open = true;
    return SWL_OK;
}

/* Whether a line reads like a key of its own: a word of small letters and an equals sign. */
static bool ini_is_key(swl_slice line)
{
    size_t i = 0;
    while (i < line.len && ((line.at[i] >= 'a' && line.at[i] <= 'z') || line.at[i] == '_')) {
        i++;
    }
    bool word = i > 0;
    while (i < line.len && is_blank(line.at[i])) {
        i++;
    }
    return word && i < line.len && line.at[i] == '=';
}

/* Stretches the last value to the end of this line. */
static void ini_continue(ini_reader *r, swl_slice line)
{
    if (!r->value_open) {
        if (!r->refused) {
            swl_diag_add(r->diags, SWL_ERROR, r->text, line.at,
                         "an indented line goes on with the value above it, and there is none; a section or key starts "
                         "in the first column");
        }
        return;
    }
    if (ini_is_key(line)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, line.at,
                     "this indented line goes on with the value above it; if a key is meant, start it in the first "
                     "column");
        return;
    }
    swl_slice *value = &r->ini->entries[r->ini->count - 1].value;
    if (value->len == 0) {
        *value = line;
    } else {
        value->len = (size_t)(line.at + line.len - value->at);
    }
}

static swl_status ini_line(ini_reader *r, char *line, size_t len, swl_err *err)
{
    ini_drop_comment(line, len);
    swl_slice body = swl_slice_trim((swl_slice){line, len});
    if (body.len == 0) {
        return SWL_OK;
    }
    if (is_blank(line[0])) {
        ini_continue(r, body);
        return SWL_OK;
    }
    swl_status status = body.at[0] == '[' ? ini_section(r, body, err) : ini_key(r, body, err);
    r->refused = !r->value_open && body.at[0] != '[';
    return status;
}

swl_status swl_ini_read(swl_ini *ini, swl_text *text, swl_diags *diags, swl_err *err)
{
    *ini = (swl_ini){0};
    ini_reader reader = {.ini = ini, .text = text, .diags = diags};
    swl_status status = SWL_OK;
    if (text->len > SWL_INI_BYTES_MAX) {
        swl_diag_add(diags, SWL_ERROR, text, NULL,
                     "the file has %zu bytes; a build or unit file of at most %d is accepted", text->len,
                     SWL_INI_BYTES_MAX);
        return SWL_OK;
    }
    for (size_t start = 0; start < text->len && status == SWL_OK;) {
        char *line = text->work + start;
        char *end = memchr(line, '\n', text->len - start);
        size_t len = end == NULL ? text->len - start : (size_t)(end - line);
        status = ini_line(&reader, line, len, err);
        start += len + 1;
    }
    for (size_t i = 0; i < ini->count && status == SWL_OK; i++) {
        const swl_ini_entry *entry = &ini->entries[i];
        if (entry->value.len == 0) {
            swl_diag_add(diags, SWL_ERROR, text, entry->key.at, "%.*s has no value after the equals sign",
                         (int)entry->key.len, entry->key.at);
        }
    }
    if (status != SWL_OK) {
        swl_ini_free(ini);
    }
    return status;
}

void swl_ini_free(swl_ini *ini)
{
    free(ini->entries);
    free(ini->sections);
    *ini = (swl_ini){0};
}
