#include "files/keys.h"

#include "sweptline/csv.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What a curve stands over. */
typedef struct curve_axis {
    swl_dim dim;
    const char *words;
    const char *short_words;
    double low, high;
    const char *accept;
    bool bare; /* a number without a unit is taken */
} curve_axis;

static const curve_axis axis_speed = {SWL_DIM_SPEED, "engine speed", "rpm", 1, 30000, "1 to 30000 rpm", true};
static const curve_axis axis_flow = {SWL_DIM_MASS_FLOW, "air mass flow", "flow", 1e-4, 20, "0.1 g/s to 20 kg/s", false};

static const curve_axis axis_pressure = {SWL_DIM_PRESSURE, "pressure", "p", 0, 4e7, "0 to 40000 kPa", false};

static const curve_axis *axis_of(const swl_key *key)
{
    return key->type == KEY_PRESSURE_CURVE ? &axis_pressure : key->type == KEY_FLOW_CURVE ? &axis_flow : &axis_speed;
}

/* The points of a curve as they are read. */
typedef struct curve_points {
    double x[SWL_CURVE_POINTS_MAX];
    double y[SWL_CURVE_POINTS_MAX];
    double half_width[SWL_CURVE_POINTS_MAX];
    bool half_widths; /* a point has one */
    size_t count;
    swl_slice last_at; /* where the last point's place on the axis was read */
    bool broken;
} curve_points;

static void points_refuse(swl_keys_file *file, const swl_text *text, curve_points *points, const char *at,
                          const char *name, const char *what)
{
    swl_diag_add(file->diags, SWL_ERROR, text, at, "%s: %s", name, what);
    points->broken = true;
}

static void point_add(swl_keys_file *file, const swl_text *text, const swl_key *key, curve_points *points,
                      swl_slice x_at, double x, swl_slice y_at, swl_quantity given)
{
    double y = given.value;
    const curve_axis *axis = axis_of(key);
    if (!(x >= axis->low && x <= axis->high)) {
        swl_diag_add(file->diags, SWL_ERROR, text, x_at.at, "%s: read an %s of `%.*s`; %s is accepted", key->name,
                     axis->words, swl_slice_shown(x_at), x_at.at, axis->accept);
        points->broken = true;
    } else if (!(y >= key->low && y <= key->high)) {
        swl_keys_refuse_range(file, text, key, y_at, y);
        points->broken = true;
    } else if (given.half_width > key->high - key->low) {
        swl_diag_add(file->diags, SWL_ERROR, text, y_at.at,
                     "%s: read `%.*s`; a half-width up to the width of the accepted range is accepted", key->name,
                     swl_slice_shown(y_at), y_at.at);
        points->broken = true;
    } else if (points->count > 0 && x <= points->x[points->count - 1]) {
        swl_diag_add(file->diags, SWL_ERROR, text, x_at.at,
                     "%s: read `%.*s` after `%.*s`; %ss must rise from point to point", key->name,
                     swl_slice_shown(x_at), x_at.at, swl_slice_shown(points->last_at), points->last_at.at, axis->words);
        points->broken = true;
    } else if (points->count >= SWL_CURVE_POINTS_MAX) {
        points_refuse(file, text, points, x_at.at, key->name, "more than 500 points");
    } else {
        points->x[points->count] = x;
        points->last_at = x_at;
        points->half_width[points->count] = given.half_width;
        points->half_widths = points->half_widths || given.half_width > 0;
        points->y[points->count++] = y;
    }
}

/* One number for every engine speed. */
static void point_constant(swl_keys_file *file, const swl_key *key, swl_slice value, curve_points *points)
{
    swl_quantity quantity = {0};
    swl_fault fault = {0};
    if (!swl_quantity_read(value, key->dim, &quantity, &fault)) {
        points_refuse(file, file->text, points, fault.at, key->name, fault.text);
    } else {
        point_add(file, file->text, key, points, value, 1, value, quantity);
    }
}

/* An engine speed may carry its unit or not. */
static bool x_read(const curve_axis *axis, swl_slice slice, double *x, swl_fault *fault)
{
    swl_quantity quantity = {0};
    swl_fault ignored = {0};
    if (axis->bare && swl_number_read(slice, x, &ignored)) {
        return true;
    }
    bool ok = swl_quantity_read(slice, axis->dim, &quantity, fault);
    if (ok && quantity.half_width > 0) {
        fault->at = slice.at;
        (void)snprintf(fault->text, sizeof fault->text, "read +- on an %s; it is accepted on the value only",
                       axis->words);
        ok = false;
    }
    *x = quantity.value;
    return ok;
}

bool swl_rpm_read(swl_slice slice, double *x, swl_fault *fault)
{
    return x_read(&axis_speed, slice, x, fault);
}

static void points_inline(swl_keys_file *file, const swl_key *key, swl_slice value, curve_points *points)
{
    for (swl_slice rest = value; rest.at != NULL && points->count <= SWL_CURVE_POINTS_MAX;) {
        swl_slice raw = swl_slice_split(&rest, ',');
        swl_slice point = swl_slice_trim(raw);
        if (point.len == 0) {
            bool trailing = rest.at == NULL;
            if (!trailing) {
                points_refuse(file, file->text, points, raw.at, key->name,
                              "read nothing between two commas; a curve is x: y, x: y, ...");
            }
            continue;
        }
        swl_slice after = point;
        swl_slice x_at = swl_slice_trim(swl_slice_split(&after, ':'));
        double x = 0;
        swl_quantity y = {0};
        swl_fault fault = {0};
        if (after.at == NULL) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, point.at,
                         "%s: read `%.*s`; a curve is x: y, x: y, ..., %s before the colon, or the name of a CSV file",
                         key->name, swl_slice_shown(point), point.at, axis_of(key)->words);
            points->broken = true;
            continue;
        }
        swl_slice y_at = swl_slice_trim(after);
        if (y_at.len == 0) {
            y_at.at = point.at + point.len;
        }
        if (!x_read(axis_of(key), x_at, &x, &fault) || !swl_quantity_read(y_at, key->dim, &y, &fault)) {
            points_refuse(file, file->text, points, fault.at, key->name, fault.text);
            continue;
        }
        point_add(file, file->text, key, points, x_at, x, y_at, y);
    }
}

static bool head_read(swl_keys_file *file, const swl_text *text, swl_slice head, swl_dim dim, double *factor,
                      double *offset)
{
    swl_slice unit;
    (void)swl_csv_head(head, &unit);
    swl_fault fault = {0};
    if (unit.at == NULL && (dim == SWL_DIM_FRACTION || dim == SWL_DIM_NUMBER)) {
        *factor = 1;
        *offset = 0;
        return true;
    }
    if (unit.at == NULL) {
        swl_diag_add(file->diags, SWL_ERROR, text, head.at, "column `%.*s` names no unit; write it as name [unit]",
                     swl_slice_shown(head), head.at);
        return false;
    }
    if (!swl_unit_read(unit, dim, factor, offset, &fault)) {
        swl_diag_add(file->diags, SWL_ERROR, text, fault.at, "%s", fault.text);
        return false;
    }
    return true;
}

/* The first two columns are read whatever they are called, and that is told when they are called something else. */
static void note_columns(swl_keys_file *file, const swl_key *key, const swl_text *text, const swl_csv *csv)
{
    const curve_axis *axis = axis_of(key);
    bool pressure = key->dim == SWL_DIM_PRESSURE;
    bool cooler = key->type == KEY_FLOW_CURVE;
    bool efficiency = key->dim == SWL_DIM_FRACTION && !cooler;
    const char *value = key->type == KEY_PRESSURE_CURVE ? "flow"
                        : pressure                      ? "friction"
                        : cooler                        ? "effectiveness"
                        : efficiency                    ? "volumetric efficiency"
                                                        : key->name;
    const char *const names[] = {axis->words, value};
    const char *const short_names[] = {axis->short_words, pressure     ? "fmep"
                                                          : cooler     ? "eps"
                                                          : efficiency ? "ve"
                                                                       : key->name};
    for (size_t c = 0; c < csv->columns; c++) {
        swl_slice unit;
        swl_slice name = swl_csv_head(swl_csv_cell(csv, 0, c), &unit);
        if (c >= 2) {
            swl_diag_add(file->diags, SWL_NOTE, text, name.at,
                         "column `%.*s` is not one that is read here; it is ignored", swl_slice_shown(name), name.at);
        } else if (swl_edit_distance(name, swl_slice_of(names[c])) > 2 &&
                   swl_edit_distance(name, swl_slice_of(short_names[c])) > 0) {
            swl_diag_add(file->diags, SWL_NOTE, text, name.at, "%s: column `%.*s` is read as the %s", key->name,
                         swl_slice_shown(name), name.at, names[c]);
        }
    }
}

static void points_table(swl_keys_file *file, const swl_key *key, const swl_text *text, const swl_csv *csv,
                         curve_points *points)
{
    double factor[2] = {1, 1};
    double offset[2] = {0, 0};
    swl_slice x_head = swl_csv_cell(csv, 0, 0);
    if (csv->columns < 2) {
        points_refuse(file, text, points, x_head.at, key->name,
                      axis_of(key)->bare           ? "the table has one column; two are wanted, engine speed [rpm] and "
                                                     "the value"
                      : axis_of(key) == &axis_flow ? "the table has one column; two are wanted, air mass flow [kg/s] "
                                                     "and the value"
                                                   : "the table has one column; two are wanted, pressure [kPa] and the "
                                                     "value");
        return;
    }
    if (!head_read(file, text, x_head, axis_of(key)->dim, &factor[0], &offset[0]) ||
        !head_read(file, text, swl_csv_cell(csv, 0, 1), key->dim, &factor[1], &offset[1])) {
        points->broken = true;
        return;
    }
    note_columns(file, key, text, csv);
    for (size_t row = 1; row < csv->rows && points->count <= SWL_CURVE_POINTS_MAX; row++) {
        double number[2] = {0, 0};
        swl_fault fault = {0};
        bool ok = true;
        for (size_t c = 0; c < 2 && ok; c++) {
            ok = swl_number_read(swl_csv_cell(csv, row, c), &number[c], &fault);
        }
        if (!ok) {
            points_refuse(file, text, points, fault.at, key->name, fault.text);
            continue;
        }
        point_add(file, text, key, points, swl_csv_cell(csv, row, 0), (number[0] + offset[0]) * factor[0],
                  swl_csv_cell(csv, row, 1), (swl_quantity){.value = (number[1] + offset[1]) * factor[1]});
    }
}

static swl_status points_file(swl_keys_file *file, const swl_key *key, swl_slice value, curve_points *points,
                              swl_err *err)
{
    swl_text text = {0};
    swl_csv csv = {0};
    char *path = swl_path_beside(file->path, value);
    if (path == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
    }
    swl_beside beside = swl_beside_of(file, path, value);
    swl_source source = swl_source_beside(&beside);
    swl_status status = swl_text_load(&source, path, &text, file->diags, err);
    if (status == SWL_OK) {
        status = swl_csv_read(&csv, &text, file->diags, err);
    }
    if (status == SWL_OK) {
        points_table(file, key, &text, &csv, points);
        if (points->count == 0 && !points->broken) {
            points_refuse(file, &text, points, NULL, key->name, "the table has no rows under its header");
        }
    }
    points->broken = points->broken || status != SWL_OK;
    swl_csv_free(&csv);
    swl_text_free(&text);
    free(path);
    return status == SWL_ERR_MEMORY ? status : SWL_OK;
}

swl_curve *swl_curve_value_read(swl_keys_file *file, const swl_key *key, swl_slice value, swl_curve **half_width,
                                swl_err *err)
{
    *half_width = NULL;
    curve_points *points = calloc(1, sizeof *points);
    if (points == NULL) {
        (void)swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a curve");
        return NULL;
    }
    swl_slice name = swl_unquoted(value);
    bool is_file = memchr(name.at, ':', name.len) == NULL && name.len > 4 &&
                   swl_edit_distance((swl_slice){name.at + name.len - 4, 4}, swl_slice_of(".csv")) == 0;
    swl_status status = SWL_OK;
    if (is_file) {
        status = points_file(file, key, name, points, err);
    } else if ((key->flags & KEY_CONSTANT) != 0 && memchr(value.at, ':', value.len) == NULL) {
        point_constant(file, key, value, points);
    } else {
        points_inline(file, key, value, points);
    }
    swl_curve *curve = NULL;
    if (status == SWL_OK && !points->broken && points->count > 0) {
        curve = swl_curve_new(points->x, points->y, points->count, err);
        if (curve != NULL && points->half_widths) {
            *half_width = swl_curve_new(points->x, points->half_width, points->count, err);
        }
    }
    free(points);
    return curve;
}
