#include "files/key_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_MAX = SWL_INI_ENTRIES_MAX * 2 + KEYS_MAX * 2 };

/* One file being gone through. */
typedef struct listing {
    const swl_build *build;
    swl_units units;
    bool of_unit;
    const swl_ini *ini;
    swl_input_rows *rows;
    swl_buf left_out;
    bool failed;
} listing;

/* The key at a place of the file's table; section is NULL behind the last. */
static swl_key key_at(bool of_unit, size_t index)
{
    size_t count = 0;
    const swl_key *keys = swl_build_keys(&count);
    const swl_key none = {.section = NULL};
    return of_unit ? swl_unit_key_at(index) : index < count ? keys[index] : none;
}

/* The words of a value with one blank for every run of blanks and line ends. */
static char *on_one_line(swl_slice value)
{
    char *text = swl_slice_dup(swl_slice_trim(value));
    if (text == NULL) {
        return NULL;
    }
    char *to = text;
    for (const char *from = text; *from != '\0'; from++) {
        bool blank = strchr(" \t\r\n", *from) != NULL;
        if (!blank) {
            *to++ = *from;
        } else if (to[-1] != ' ') {
            *to++ = ' ';
        }
    }
    *to = '\0';
    return text;
}

/* How many points, and from which to which value they go. */
static void put_curve(const listing *l, const swl_key *key, swl_buf *out)
{
    const swl_curve *curve = *(const swl_curve *const *)swl_key_place(l->build, key);
    if (curve == NULL) {
        swl_buf_puts(out, "not given");
        return;
    }
    double low = INFINITY;
    double high = -INFINITY;
    size_t count = swl_curve_count(curve);
    for (size_t i = 0; i < count; i++) {
        low = fmin(low, swl_curve_y(curve)[i]);
        high = fmax(high, swl_curve_y(curve)[i]);
    }
    swl_buf_printf(out, "%zu point%s, ", count, count == 1 ? "" : "s");
    swl_key_quantity_put(out, key, low, l->units, false);
    if (high > low) {
        swl_buf_puts(out, " to ");
        swl_key_quantity_put(out, key, high, l->units, false);
    }
}

static void put_shown(const listing *l, const swl_key *key, swl_buf *out)
{
    if (swl_key_is_curve(key)) {
        put_curve(l, key, out);
    } else {
        swl_key_put(out, key, l->build, l->units, false);
    }
}

/* Takes the texts over. */
static void add(listing *l, char *section, char *key, char *typed, const swl_buf *shown, bool given)
{
    swl_input_row row = {.of_unit = l->of_unit,
                         .section = section,
                         .key = key,
                         .typed = typed,
                         .shown = swl_slice_dup(swl_slice_of(swl_buf_text(shown))),
                         .given = given};
    l->rows->items[l->rows->count++] = row;
    l->failed = l->failed || shown->failed || section == NULL || key == NULL || typed == NULL || row.shown == NULL;
}

static void list_given(listing *l)
{
    for (size_t i = 0; i < l->ini->count; i++) {
        const swl_ini_entry *entry = &l->ini->entries[i];
        swl_buf shown = {0};
        swl_key key = key_at(l->of_unit, 0);
        for (size_t k = 0; key.section != NULL; key = key_at(l->of_unit, ++k)) {
            if (swl_slice_is(entry->section, key.section) && swl_slice_is(entry->key, key.name)) {
                put_shown(l, &key, &shown);
                break;
            }
        }
        add(l, swl_slice_dup(entry->section), swl_slice_dup(entry->key), on_one_line(entry->value), &shown, true);
        swl_buf_free(&shown);
    }
}

static bool is_given(const swl_ini *ini, const swl_key *key)
{
    for (size_t i = 0; i < ini->count; i++) {
        if (swl_slice_is(ini->entries[i].section, key->section) && swl_slice_is(ini->entries[i].key, key->name)) {
            return true;
        }
    }
    return false;
}

static bool has_section(const swl_ini *ini, const char *section)
{
    for (size_t i = 0; i < ini->section_count; i++) {
        if (swl_slice_is(ini->sections[i], section)) {
            return true;
        }
    }
    return false;
}

/* Whether nothing is computed with a key that was not given, whatever its default: what it belongs to is not there. */
static bool idle(const listing *l, const swl_key *key)
{
    bool throttle = swl_key_is(key, "intake", "throttle_count") || swl_key_is(key, "intake", "throttle_coefficient");
    bool part = strcmp(key->section, "site") != 0 && strcmp(key->section, "build") != 0;
    return key->type == KEY_LATER || (part && !has_section(l->ini, key->section)) ||
           (throttle && isnan(l->build->intake.bore_m)) ||
           (swl_key_is(key, "engine", "ve_exhaust_ratio") && !l->build->engine.ve_p_ideal) ||
           swl_key_is(key, "build", "note");
}

static void list_defaults(listing *l)
{
    const char *section = "";
    swl_key key = key_at(l->of_unit, 0);
    for (size_t k = 0; key.section != NULL; key = key_at(l->of_unit, ++k)) {
        if (is_given(l->ini, &key)) {
            continue;
        }
        swl_buf shown = {0};
        put_shown(l, &key, &shown);
        const char *text = swl_buf_text(&shown);
        if (idle(l, &key) || text[0] == '\0' || strcmp(text, "not given") == 0 || strcmp(text, "none") == 0) {
            bool more = strcmp(section, key.section) == 0;
            swl_buf_puts(&l->left_out, more ? ", " : l->left_out.len > 0 ? "; [" : "[");
            swl_buf_printf(&l->left_out, more ? "%s%s" : "%s] %s", more ? "" : key.section, key.name);
            section = key.section;
        } else {
            add(l, swl_slice_dup(swl_slice_of(key.section)), swl_slice_dup(swl_slice_of(key.name)),
                swl_slice_dup(swl_slice_of("")), &shown, false);
        }
        swl_buf_free(&shown);
    }
}

/* The name of the unit file that a build file gives; NULL when there is none or memory ran out. */
static char *unit_path(const swl_ini *ini, const char *path)
{
    for (size_t i = 0; i < ini->count; i++) {
        if (swl_slice_is(ini->entries[i].section, "blower") && swl_slice_is(ini->entries[i].key, "unit")) {
            return swl_path_beside(path, swl_unquoted(ini->entries[i].value));
        }
    }
    return NULL;
}

/* unit becomes the path of the unit file, on the heap; NULL for those of a unit file. */
static swl_status list_file(const swl_source *source, const char *path, const swl_build *build, swl_units units,
                            swl_input_rows *rows, char **unit, swl_err *err)
{
    swl_text text = {0};
    swl_ini ini = {0};
    swl_diags diags = {0};
    listing l = {.build = build, .units = units, .of_unit = unit == NULL, .ini = &ini, .rows = rows};
    swl_status status = swl_text_load(source, path, &text, &diags, err);
    if (status == SWL_OK) {
        status = swl_ini_read(&ini, &text, &diags, err);
    }
    if (status == SWL_OK) {
        list_given(&l);
        list_defaults(&l);
        char **left_out = l.of_unit ? &rows->left_out_unit : &rows->left_out;
        *left_out = swl_slice_dup(swl_slice_of(swl_buf_text(&l.left_out)));
        l.failed = l.failed || l.left_out.failed || *left_out == NULL;
        if (unit != NULL) {
            *unit = unit_path(&ini, path);
            l.failed = l.failed || *unit == NULL;
        }
        status = l.failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the inputs") : SWL_OK;
    } else if (status == SWL_ERR_INPUT) {
        status = swl_diag_status(&diags, err);
    }
    swl_buf_free(&l.left_out);
    swl_diag_free(&diags);
    swl_ini_free(&ini);
    swl_text_free(&text);
    return status;
}

swl_status swl_build_input_rows(const swl_source *source, const char *path, const swl_build *build, swl_units units,
                                swl_input_rows *rows, swl_err *err)
{
    char *unit = NULL;
    *rows = (swl_input_rows){.items = calloc(ROWS_MAX, sizeof *rows->items)};
    if (rows->items == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the inputs");
    }
    swl_status status = list_file(source, path, build, units, rows, &unit, err);
    if (status == SWL_OK) {
        status = list_file(source, unit, build, units, rows, NULL, err);
    }
    free(unit);
    return status;
}

void swl_input_rows_free(swl_input_rows *rows)
{
    for (size_t i = 0; i < rows->count; i++) {
        free(rows->items[i].section);
        free(rows->items[i].key);
        free(rows->items[i].typed);
        free(rows->items[i].shown);
    }
    free(rows->items);
    free(rows->left_out);
    free(rows->left_out_unit);
    *rows = (swl_input_rows){0};
}
