#include "files/keys.h"

#include "sweptline/csv.h"
#include "sweptline/pulley.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SIZE_MIN_M 0.02
#define SIZE_MAX_M 1.0

/* Sizes as they are collected, smallest first, each once. */
typedef struct sizes {
    const char *option;
    const char *given;
    double *d_m;
    size_t count;
    swl_diags *diags;
    swl_err *err;
} sizes;

static swl_status refuse(sizes *s, swl_slice what, const char *accepted)
{
    return swl_err_set(s->err, SWL_ERR_USAGE, "%s: read `%.*s`; %s", s->option, swl_slice_shown(what), what.at,
                       accepted);
}

static swl_status size_add(sizes *s, swl_slice what, double d_m)
{
    if (!(d_m >= SIZE_MIN_M - 1e-12 && d_m <= SIZE_MAX_M + 1e-12)) {
        return refuse(s, what, "sizes of 20 mm to 1000 mm are accepted");
    }
    size_t at = s->count;
    while (at > 0 && s->d_m[at - 1] > d_m - 1e-9) {
        at--;
    }
    if (at < s->count && fabs(s->d_m[at] - d_m) <= 1e-9) {
        return SWL_OK;
    }
    if (s->count >= SWL_PULLEY_SIZES_MAX) {
        return swl_err_set(s->err, SWL_ERR_USAGE, "%s: `%s` has more than %d sizes; up to %d are accepted", s->option,
                           s->given, SWL_PULLEY_SIZES_MAX, SWL_PULLEY_SIZES_MAX);
    }
    memmove(s->d_m + at + 1, s->d_m + at, (s->count - at) * sizeof *s->d_m);
    s->d_m[at] = d_m;
    s->count++;
    return SWL_OK;
}

/* part: which of the sizes it is, in words. */
static swl_status size_read(sizes *s, const char *part, swl_slice slice, double *d_m)
{
    swl_quantity quantity = {0};
    swl_fault fault = {0};
    if (!swl_quantity_read(slice, SWL_DIM_LENGTH, &quantity, &fault)) {
        swl_slice word = swl_slice_trim(slice);
        char which[96];
        bool whole = word.len == swl_slice_of(s->given).len;
        (void)snprintf(which, sizeof which, word.len == 0 ? "%s" : "%s, `%.*s`", part, swl_slice_shown(word), word.at);
        return swl_option_refuse(s->option, s->given, whole ? NULL : which, &fault, s->err);
    }
    *d_m = quantity.value;
    return SWL_OK;
}

/* FROM:TO:STEP, both ends included. */
static swl_status sizes_range(sizes *s, swl_slice text)
{
    static const char *const parts[] = {"FROM", "TO", "STEP"};
    swl_slice rest = text;
    double part_m[3] = {0, 0, 0};
    for (int i = 0; i < 3; i++) {
        if (rest.at == NULL) {
            return refuse(s, text, "FROM:TO:STEP, as 70mm:100mm:2mm, is accepted");
        }
        swl_slice part = swl_slice_split(&rest, ':');
        swl_status status = size_read(s, parts[i], part, &part_m[i]);
        if (status != SWL_OK) {
            return status;
        }
    }
    bool ok = rest.at == NULL && part_m[2] > 0 && part_m[1] >= part_m[0];
    if (!ok) {
        return refuse(s, text, "FROM:TO:STEP with TO at or above FROM and a step above zero is accepted");
    }
    double steps = floor((part_m[1] - part_m[0]) / part_m[2] + 1e-6);
    if (steps >= SWL_PULLEY_SIZES_MAX) {
        return refuse(s, text, "a range of at most 200 sizes is accepted");
    }
    swl_status status = SWL_OK;
    for (int k = 0; k <= (int)steps && status == SWL_OK; k++) {
        status = size_add(s, text, part_m[0] + k * part_m[2]);
    }
    return status;
}

static bool digits(swl_slice word)
{
    size_t n = 0;
    while (n < word.len && word.at[n] >= '0' && word.at[n] <= '9') {
        n++;
    }
    return n > 0 && n == word.len;
}

static swl_status sizes_list(sizes *s, swl_slice text)
{
    swl_status status = SWL_OK;
    int place = 1;
    for (swl_slice rest = text; rest.at != NULL && status == SWL_OK; place++) {
        swl_slice part = swl_slice_split(&rest, ',');
        double d_m = 0;
        char which[32];
        /* 3,2in: whether that is 3.2 in or two sizes is not for us to say. */
        if (digits(swl_slice_trim(part)) && rest.at != NULL && rest.len > 0 && rest.at[0] >= '0' && rest.at[0] <= '9') {
            return swl_err_set(
                s->err, SWL_ERR_USAGE,
                "%s: read `%s`; a comma stands between sizes, each with its unit, and a decimal point in "
                "a size: as 81.5mm,3.2in",
                s->option, s->given);
        }
        (void)snprintf(which, sizeof which, "size %d", place);
        status = size_read(s, which, part, &d_m);
        if (status == SWL_OK) {
            status = size_add(s, part, d_m);
        }
    }
    return status;
}

static swl_status sizes_cell(sizes *s, const swl_text *text, swl_slice cell, double factor)
{
    double number = 0;
    swl_fault fault = {0};
    if (!swl_number_read(cell, &number, &fault)) {
        int line = 0;
        int column = 0;
        swl_text_where(text, fault.at, &line, &column);
        return swl_err_set(s->err, SWL_ERR_INPUT, "%s:%d:%d: %s", text->name, line, column, fault.text);
    }
    return size_add(s, cell, number * factor);
}

static bool holds(swl_slice text, const char *word)
{
    swl_slice rest = text;
    while (rest.at != NULL) {
        if (swl_slice_is(swl_slice_split(&rest, ' '), word)) {
            return true;
        }
    }
    return false;
}

/* A head that names the other pulley than the option. */
static void head_check(const sizes *s, const swl_text *text, swl_slice head)
{
    bool crank = strcmp(s->option, "--crank") == 0;
    if (holds(head, crank ? "blower" : "crank") && !holds(head, crank ? "crank" : "blower")) {
        swl_diag_add(s->diags, SWL_WARNING, text, head.at,
                     "the sizes are headed `%.*s`, and %s takes them as sizes of the %s pulley", swl_slice_shown(head),
                     head.at, s->option, crank ? "crank" : "blower");
    }
}

/* The first column of a table, headed by a name and a unit of length. */
static swl_status sizes_file(const swl_source *source, const char *path, sizes *s)
{
    swl_text text = {0};
    swl_csv csv = {0};
    swl_diags diags = {0};
    swl_slice unit;
    swl_fault fault = {0};
    double factor = 1;
    double offset = 0;
    swl_status status = swl_text_load(source, path, &text, &diags, s->err);
    if (status == SWL_OK) {
        status = swl_csv_read(&csv, &text, &diags, s->err);
    }
    if (status == SWL_OK) {
        swl_slice head = swl_csv_head(swl_csv_cell(&csv, 0, 0), &unit);
        if (unit.at == NULL || !swl_unit_read(unit, SWL_DIM_LENGTH, &factor, &offset, &fault)) {
            status = swl_err_set(s->err, SWL_ERR_INPUT,
                                 "%s: the first column's head must name a unit of length, as `diameter [mm]`", path);
        } else {
            head_check(s, &text, head);
        }
    }
    for (size_t row = 1; row < csv.rows && status == SWL_OK; row++) {
        status = sizes_cell(s, &text, swl_csv_cell(&csv, row, 0), factor);
    }
    if (diags.errors > 0) {
        swl_buf words = {0};
        swl_diag_text(&diags.items[0], &words);
        status = swl_err_set(s->err, SWL_ERR_INPUT, "%s", swl_buf_text(&words));
        swl_buf_free(&words);
    }
    swl_csv_free(&csv);
    swl_text_free(&text);
    swl_diag_free(&diags);
    return status;
}

swl_status swl_sizes_read(const swl_source *source, const char *option, const char *given, double *d_m, size_t *count,
                          swl_diags *diags, swl_err *err)
{
    sizes s = {.option = option, .given = given, .d_m = d_m, .diags = diags, .err = err};
    swl_slice text = swl_slice_of(given);
    swl_status status = SWL_OK;
    if (text.len > 4 && memcmp(text.at + text.len - 4, ".csv", 4) == 0) {
        status = sizes_file(source, given, &s);
    } else if (memchr(text.at, ':', text.len) != NULL) {
        status = sizes_range(&s, text);
    } else {
        status = sizes_list(&s, text);
    }
    *count = s.count;
    if (status == SWL_OK && s.count == 0) {
        status = swl_err_set(err, SWL_ERR_USAGE, "%s: `%s` holds no size; one or more are wanted", option, given);
    }
    return status;
}
