#include "files/keys.h"

#include "sweptline/csv.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What a site is made of. */
typedef struct field {
    const char *name;
    swl_dim dim;
    size_t offset;
    double low, high;
    const char *accept;
} field;

enum { FIELD_TEMPERATURE, FIELD_PRESSURE, FIELD_ALTITUDE, FIELD_HUMIDITY, FIELDS };

#define IN_SET(member) offsetof(swl_site_set, member)

/* The ranges of the keys under [site]. */
static const field fields[FIELDS] = {
    {"temperature", SWL_DIM_TEMPERATURE, IN_SET(t_k), 213.15, 343.15, "-60 degC to 70 degC"},
    {"pressure", SWL_DIM_PRESSURE, IN_SET(p_pa), 3e4, 1.2e5, "an absolute pressure of 30 to 120 kPa"},
    {"altitude", SWL_DIM_LENGTH, IN_SET(altitude_m), -500, 9000, "-500 m to 9000 m"},
    {"relative humidity", SWL_DIM_FRACTION, IN_SET(rh_frac), 0, 1, "0 % to 100 %"},
};

#define WORDS "a temperature as `35 degC`, a pressure as `84.5 kPa`, an altitude as `1500 m` or a humidity as `40 %%`"

#define ITEMS "a ready site's name, values, `NAME: values` or a CSV file"

typedef struct reader {
    const swl_source *source;
    swl_text *text; /* the option's or a table's */
    swl_diags *diags;
    swl_site_set *sets;
    size_t count;
} reader;

static double *member(swl_site_set *set, size_t f)
{
    return (double *)(void *)((char *)set + fields[f].offset);
}

static swl_site_set empty_set(void)
{
    return (swl_site_set){.t_k = NAN, .p_pa = NAN, .altitude_m = NAN, .rh_frac = NAN};
}

static void refuse_value(reader *r, size_t f, swl_slice at, const char *what)
{
    swl_diag_add(r->diags, SWL_ERROR, r->text, at.at, "%s: read `%.*s`; %s", fields[f].name, swl_slice_shown(at), at.at,
                 what);
}

/* Returns: false after a finding. */
static bool value_put(reader *r, swl_site_set *set, size_t f, swl_slice at, double value)
{
    double *to = member(set, f);
    char words[120];
    if (!isnan(*to)) {
        (void)snprintf(words, sizeof words, "one %s has been read already; keep one of the two", fields[f].name);
    } else if ((f == FIELD_PRESSURE && !isnan(set->altitude_m)) || (f == FIELD_ALTITUDE && !isnan(set->p_pa))) {
        (void)snprintf(words, sizeof words, "a site has a pressure or an altitude; keep one of the two");
    } else if (!(value >= fields[f].low - 1e-9 && value <= fields[f].high + 1e-9)) {
        (void)snprintf(words, sizeof words, "%s is accepted", fields[f].accept);
    } else {
        *to = value;
        return true;
    }
    refuse_value(r, f, at, words);
    return false;
}

/* The unit tells what a value is. */
static bool word_read(reader *r, swl_site_set *set, swl_slice word)
{
    swl_fault fault = {0};
    double bare = 0;
    if (word.len > 0 && !swl_number_read(word, &bare, &fault)) {
        for (size_t f = 0; f < FIELDS; f++) {
            swl_quantity quantity = {0};
            if (!swl_quantity_read(word, fields[f].dim, &quantity, &fault)) {
                continue;
            }
            if (quantity.half_width > 0) {
                refuse_value(r, f, word, "a value without +- is accepted here");
                return false;
            }
            return value_put(r, set, f, word, quantity.value);
        }
    }
    swl_diag_add(r->diags, SWL_ERROR, r->text, word.at, "read %s%.*s%s; " WORDS " is accepted",
                 word.len == 0 ? "nothing" : "`", swl_slice_shown(word), word.at, word.len == 0 ? "" : "`");
    return false;
}

static size_t characters(swl_slice slice)
{
    size_t count = 0;
    for (size_t i = 0; i < slice.len; i++) {
        count += ((unsigned char)slice.at[i] & 0xC0) != 0x80;
    }
    return count;
}

static bool set_name(reader *r, swl_site_set *set, swl_slice name)
{
    char words[160];
    if (name.len == 0) {
        (void)snprintf(words, sizeof words, "a name is wanted");
    } else if (characters(name) > SWL_SITE_NAME_CHARACTERS || name.len >= sizeof set->name) {
        (void)snprintf(words, sizeof words, "a name of at most %d characters is accepted", SWL_SITE_NAME_CHARACTERS);
    } else if (memchr(name.at, '\n', name.len) != NULL) {
        (void)snprintf(words, sizeof words, "a name on one line is accepted");
    } else if (swl_slice_is(name, SWL_SITE_OWN)) {
        (void)snprintf(words, sizeof words, "that is what the build's own site is called; another name is accepted");
    } else {
        memcpy(set->name, name.at, name.len);
        set->name[name.len] = '\0';
        return true;
    }
    const char *quote = name.len == 0 ? "" : "`";
    swl_diag_add(r->diags, SWL_ERROR, r->text, name.at, "name of a site: read %s%.*s%s; %s",
                 name.len == 0 ? "nothing" : quote, swl_slice_shown(name), name.at, quote, words);
    return false;
}

static void set_add(reader *r, const swl_site_set *set, swl_slice at)
{
    for (size_t i = 0; i < r->count; i++) {
        if (strcmp(r->sets[i].name, set->name) == 0) {
            swl_diag_add(r->diags, SWL_ERROR, r->text, at.at,
                         "the site `%s` has been read already; keep one of the two", set->name);
            return;
        }
    }
    if (r->count >= SWL_SITES_MAX) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, at.at, "more than %d sites; fewer are accepted", SWL_SITES_MAX);
        return;
    }
    r->sets[r->count++] = *set;
}

/* Values with commas between; name is what stood before the colon, with a NULL at when there was none. */
static void set_words(reader *r, swl_slice name, swl_slice words)
{
    swl_site_set set = empty_set();
    bool ok = true;
    if (name.at == NULL) {
        (void)snprintf(set.name, sizeof set.name, "site %zu", r->count + 1);
    } else {
        ok = set_name(r, &set, name);
    }
    for (swl_slice rest = words; rest.at != NULL;) {
        bool read = word_read(r, &set, swl_slice_trim(swl_slice_split(&rest, ',')));
        ok = ok && read;
    }
    if (ok) {
        set_add(r, &set, name.at == NULL ? words : name);
    }
}

static void set_ready(reader *r, swl_slice name)
{
    swl_buf names = {0};
    const char *near = NULL;
    int best = 4;
    for (size_t i = 0; swl_site_ready(i) != NULL; i++) {
        const swl_site_set *set = swl_site_ready(i);
        int distance = swl_edit_distance(name, swl_slice_of(set->name));
        if (swl_slice_is(name, set->name)) {
            set_add(r, set, name);
            swl_buf_free(&names);
            return;
        }
        if (distance < best) {
            best = distance;
            near = set->name;
        }
        swl_buf_printf(&names, "%s%s", i == 0 ? "" : ", ", set->name);
    }
    swl_diag_add(r->diags, SWL_ERROR, r->text, name.at,
                 "read `%.*s`, which is no ready site%s%s%s; %s, values as `35 degC, 1500 m, 40 %%`, `NAME: values` or "
                 "the name of a CSV file is accepted",
                 swl_slice_shown(name), name.at, near == NULL ? "" : " (did you mean `", near == NULL ? "" : near,
                 near == NULL ? "" : "`?)", swl_buf_text(&names));
    swl_buf_free(&names);
}

/* Where a table's columns stand, SIZE_MAX for none. */
typedef struct columns {
    size_t name;
    size_t index[FIELDS];
    double factor[FIELDS];
    double offset[FIELDS];
} columns;

static bool column_unit(reader *r, columns *c, size_t f, swl_slice head, swl_slice unit)
{
    swl_fault fault = {0};
    c->factor[f] = 1;
    if (unit.at == NULL && f == FIELD_HUMIDITY) {
        return true;
    }
    if (unit.at == NULL) {
        swl_buf list = {0};
        swl_dim_units(fields[f].dim, &list);
        swl_diag_add(r->diags, SWL_ERROR, r->text, head.at,
                     "column `%s` names no unit; write it as `%s [unit]` with one of %s", fields[f].name,
                     fields[f].name, swl_buf_text(&list));
        swl_buf_free(&list);
        return false;
    }
    if (!swl_unit_read(unit, fields[f].dim, &c->factor[f], &c->offset[f], &fault)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, fault.at, "%s", fault.text);
        return false;
    }
    return true;
}

/* Returns: false after a finding. */
static bool column_read(reader *r, columns *c, swl_slice head, size_t index)
{
    swl_slice unit;
    swl_slice name = swl_csv_head(head, &unit);
    size_t *place = swl_head_is(name, "name") ? &c->name : NULL;
    size_t found = FIELDS;
    for (size_t f = 0; f < FIELDS && place == NULL; f++) {
        if (swl_head_is(name, fields[f].name)) {
            place = &c->index[f];
            found = f;
        }
    }
    if (place == NULL) {
        swl_diag_add(r->diags, SWL_NOTE, r->text, head.at, "column `%.*s` is not one that is read here; it is ignored",
                     swl_slice_shown(name), name.at);
        return true;
    }
    if (*place != SIZE_MAX) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, head.at, "the table has two columns named `%.*s`",
                     swl_slice_shown(name), name.at);
        return false;
    }
    *place = index;
    return found == FIELDS || column_unit(r, c, found, head, unit);
}

static void row_read(reader *r, const columns *c, const swl_csv *csv, size_t row)
{
    swl_site_set set = empty_set();
    swl_slice name = swl_csv_cell(csv, row, c->name);
    bool ok = set_name(r, &set, name);
    size_t given = 0;
    for (size_t f = 0; f < FIELDS; f++) {
        swl_slice cell = c->index[f] == SIZE_MAX ? (swl_slice){NULL, 0} : swl_csv_cell(csv, row, c->index[f]);
        swl_fault fault = {0};
        double number = 0;
        if (cell.len == 0) {
            continue;
        }
        given++;
        if (!swl_number_read(cell, &number, &fault)) {
            swl_diag_add(r->diags, SWL_ERROR, r->text, fault.at, "%s: %s", fields[f].name, fault.text);
            ok = false;
        } else if (!value_put(r, &set, f, cell, (number + c->offset[f]) * c->factor[f])) {
            ok = false;
        }
    }
    if (ok && given == 0) {
        swl_diag_add(
            r->diags, SWL_ERROR, r->text, name.at,
            "the site `%s` has no value; one of temperature, pressure, altitude and relative humidity is wanted",
            set.name);
        ok = false;
    }
    if (ok) {
        set_add(r, &set, name);
    }
}

static void table_read(reader *r, const swl_csv *csv)
{
    columns c = {.name = SIZE_MAX, .index = {SIZE_MAX, SIZE_MAX, SIZE_MAX, SIZE_MAX}};
    bool ok = true;
    bool any = false;
    for (size_t i = 0; i < csv->columns; i++) {
        bool read = column_read(r, &c, swl_csv_cell(csv, 0, i), i);
        ok = ok && read;
    }
    for (size_t f = 0; f < FIELDS; f++) {
        any = any || c.index[f] != SIZE_MAX;
    }
    if (c.name == SIZE_MAX || !any) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, swl_csv_cell(csv, 0, 0).at,
                     "the table has no column %s; wanted are name, temperature [degC], pressure [kPa] or altitude [m], "
                     "relative humidity [%%]",
                     c.name == SIZE_MAX ? "`name`" : "with values");
        ok = false;
    }
    if (ok && csv->rows < 2) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, NULL, "the table has no rows under its header");
    }
    for (size_t row = 1; ok && row < csv->rows; row++) {
        row_read(r, &c, csv, row);
    }
}

static swl_status table_file(reader *r, swl_slice name, swl_err *err)
{
    swl_text text = {0};
    swl_csv csv = {0};
    swl_text *option = r->text;
    char *path = swl_slice_dup(name);
    if (path == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
    }
    swl_err own = {0};
    swl_status status = swl_text_load(r->source, path, &text, r->diags, &own);
    if (status == SWL_OK) {
        status = swl_csv_read(&csv, &text, r->diags, &own);
    }
    if (status == SWL_OK) {
        r->text = &text;
        table_read(r, &csv);
        r->text = option;
    }
    swl_csv_free(&csv);
    swl_text_free(&text);
    free(path);
    return status == SWL_ERR_MEMORY ? swl_err_set(err, status, "%s", own.text) : SWL_OK;
}

static bool is_table(swl_slice item)
{
    return item.len > 4 && swl_edit_distance((swl_slice){item.at + item.len - 4, 4}, swl_slice_of(".csv")) == 0;
}

static swl_status item_read(reader *r, swl_slice item, swl_err *err)
{
    swl_slice words = item;
    swl_slice name = swl_slice_trim(swl_slice_split(&words, ':'));
    if (is_table(item)) {
        return table_file(r, item, err);
    }
    if (item.len == 0) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, item.at,
                     "read nothing where a site is wanted; " ITEMS " is accepted");
    } else if (words.at != NULL) {
        set_words(r, name, words);
    } else if (strchr("+-.0123456789", item.at[0]) != NULL) {
        set_words(r, (swl_slice){NULL, 0}, item);
    } else {
        set_ready(r, item);
    }
    return SWL_OK;
}

swl_status swl_sites_read(const swl_source *source, const char *option, const char *given, swl_site_set *sets,
                          size_t *count, swl_diags *diags, swl_err *err)
{
    swl_text text = {0};
    reader r = {.source = source, .text = &text, .diags = diags, .sets = sets};
    swl_err own = {0};
    *count = 0;
    if (given[0] == '\0') {
        return swl_err_set(err, SWL_ERR_USAGE, "%s: read nothing where a site is wanted; " ITEMS " is accepted",
                           option);
    }
    swl_status status = swl_text_init(&text, option, given, strlen(given), &own);
    if (status == SWL_ERR_INPUT) {
        /* An option has no lines to name. */
        return swl_err_set(err, SWL_ERR_USAGE, "%s", own.text);
    }
    if (status != SWL_OK) {
        return swl_err_set(err, status, "%s", own.text);
    }
    for (swl_slice rest = {text.work, text.len}; rest.at != NULL && status == SWL_OK;) {
        status = item_read(&r, swl_slice_trim(swl_slice_split(&rest, ';')), err);
    }
    swl_text_free(&text);
    *count = r.count;
    return status == SWL_OK ? swl_diag_status(diags, err) : status;
}
