#include "files/scanfile.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RESIDUAL_WARN_PX 3.0
#define VALUE_MAX 20.0 /* m3/s, kg/s or a pressure ratio */

static const char axis_form[] = "PIXEL: VALUE, PIXEL: VALUE, ... is accepted, PIXEL being 120, or (120, 840) for both "
                                "coordinates, counted from the top left corner";
static const char corner_form[] = "(ACROSS, DOWN): FLOW at RATIO, four or more with commas between, is accepted, as "
                                  "(120, 840): 0 m3/h at 1.0";

/* One key's list of points while it is read. */
typedef struct points {
    const swl_keys_file *file;
    const char *key;
    swl_scan *scan;
    swl_slice at[SWL_CALIBRATION_POINTS_MAX]; /* each point as written */
    const char *key_of[SWL_CALIBRATION_POINTS_MAX];
    bool bad;
} points;

static void refuse(points *p, swl_slice at, const char *accepted)
{
    swl_diag_add(p->file->diags, SWL_ERROR, p->file->text, at.at, "%s: read `%.*s`; %s", p->key, swl_slice_shown(at),
                 at.at, accepted);
    p->bad = true;
}

static void refuse_fault(points *p, const swl_fault *fault)
{
    swl_diag_add(p->file->diags, SWL_ERROR, p->file->text, fault->at, "%s: %s", p->key, fault->text);
    p->bad = true;
}

/* Takes off what stands before the first separator that is outside round brackets. */
static swl_slice split_outside(swl_slice *rest, char separator)
{
    int depth = 0;
    for (size_t i = 0; i < rest->len; i++) {
        depth += rest->at[i] == '(';
        depth -= rest->at[i] == ')';
        if (depth <= 0 && rest->at[i] == separator) {
            swl_slice word = {rest->at, i};
            *rest = (swl_slice){rest->at + i + 1, rest->len - i - 1};
            return swl_slice_trim(word);
        }
    }
    swl_slice word = *rest;
    *rest = (swl_slice){NULL, 0};
    return swl_slice_trim(word);
}

/* Reads "120" or "120 px". */
static bool read_coordinate(points *p, swl_slice word, int size, const char *side, double *to)
{
    swl_slice number = word;
    if (number.len > 2 && memcmp(number.at + number.len - 2, "px", 2) == 0) {
        number = swl_slice_trim((swl_slice){number.at, number.len - 2});
    }
    swl_fault fault = {0};
    if (!swl_number_read(number, to, &fault)) {
        refuse_fault(p, &fault);
        return false;
    }
    if (size > 0 && !(*to >= -0.5 && *to <= size - 0.5)) {
        char words[120];
        (void)snprintf(words, sizeof words, "the picture is %d pixels %s: 0 to %d is accepted", size, side, size - 1);
        refuse(p, word, words);
        return false;
    }
    return true;
}

/* Reads "(120, 840)". */
static bool read_pair(points *p, swl_slice word, double *px, double *py)
{
    swl_slice rest = swl_slice_trim((swl_slice){word.at + 1, word.len - 2});
    swl_slice across = swl_slice_trim(swl_slice_split(&rest, ','));
    const swl_image *image = &p->scan->image;
    return read_coordinate(p, across, image->width, "wide", px) &&
           read_coordinate(p, swl_slice_trim(rest), image->height, "high", py);
}

static bool is_pair(swl_slice word)
{
    return word.len > 2 && word.at[0] == '(' && word.at[word.len - 1] == ')' && memchr(word.at, ',', word.len) != NULL;
}

/* Reads a number in the axis's own unit, or with a unit of its kind, as SI. */
static bool read_value(points *p, swl_slice word, bool is_x, double *to)
{
    const swl_scan *scan = p->scan;
    swl_fault fault = {0};
    swl_quantity quantity = {0};
    if (swl_number_read(word, &quantity.value, &fault)) {
        quantity.value *= is_x ? scan->x_factor : 1;
    } else {
        swl_dim dim = !is_x ? SWL_DIM_NUMBER : scan->x_is_mass ? SWL_DIM_MASS_FLOW : SWL_DIM_VOLUME_FLOW;
        if (!swl_quantity_read(word, dim, &quantity, &fault)) {
            refuse_fault(p, &fault);
            return false;
        }
    }
    bool is_log = is_x ? scan->calibration.x_log : scan->calibration.y_log;
    if (quantity.half_width > 0) {
        refuse(p, word, "a value without +- is accepted");
        return false;
    }
    if (!(quantity.value >= 0 && quantity.value <= VALUE_MAX) || (is_log && quantity.value == 0)) {
        refuse(p, word,
               is_log ? "the axis is logarithmic, so that only a value above 0 has a place on it"
               : is_x ? "a flow of 0 to 20 m3/s or kg/s is accepted"
                      : "a pressure ratio of 0 to 20 is accepted");
        return false;
    }
    *to = quantity.value;
    return true;
}

/* Splits "flow at ratio". */
static bool split_at(swl_slice value, swl_slice *flow, swl_slice *ratio)
{
    for (size_t i = 1; i + 3 < value.len; i++) {
        if (memcmp(value.at + i - 1, " at ", 4) == 0) {
            *flow = swl_slice_trim((swl_slice){value.at, i});
            *ratio = swl_slice_trim((swl_slice){value.at + i + 2, value.len - i - 2});
            return true;
        }
    }
    return false;
}

static bool read_corner(points *p, swl_slice place, swl_slice value, swl_calibration_point *point)
{
    swl_slice flow;
    swl_slice ratio;
    if (!is_pair(place) || !split_at(value, &flow, &ratio)) {
        refuse(p, place, corner_form);
        return false;
    }
    return read_pair(p, place, &point->px, &point->py) && read_value(p, flow, true, &point->x) &&
           read_value(p, ratio, false, &point->y);
}

static bool read_axis_point(points *p, swl_slice place, swl_slice value, bool is_x, swl_calibration_point *point)
{
    const swl_image *image = &p->scan->image;
    bool read = is_pair(place) ? read_pair(p, place, &point->px, &point->py)
                : is_x         ? read_coordinate(p, place, image->width, "wide", &point->px)
                               : read_coordinate(p, place, image->height, "high", &point->py);
    return read && read_value(p, value, is_x, is_x ? &point->x : &point->y);
}

typedef enum points_kind { POINTS_X, POINTS_Y, POINTS_CORNERS } points_kind;

static void read_points(points *p, swl_slice list, const char *key, points_kind kind)
{
    swl_calibration *c = &p->scan->calibration;
    const char *form = kind == POINTS_CORNERS ? corner_form : axis_form;
    p->key = key;
    for (swl_slice rest = list; rest.at != NULL;) {
        swl_slice word = split_outside(&rest, ',');
        if (word.len == 0 && rest.at == NULL && c->count > 0) {
            break; /* a comma behind the last one */
        }
        swl_slice value = word;
        swl_slice place = split_outside(&value, ':');
        if (place.len == 0 || value.at == NULL || swl_slice_trim(value).len == 0) {
            refuse(p, word.len > 0 ? word : list, form);
            return;
        }
        if (c->count >= SWL_CALIBRATION_POINTS_MAX) {
            refuse(p, word, "40 points in all are accepted");
            return;
        }
        swl_calibration_point point = {NAN, NAN, NAN, NAN};
        value = swl_slice_trim(value);
        bool read = kind == POINTS_CORNERS ? read_corner(p, place, value, &point)
                                           : read_axis_point(p, place, value, kind == POINTS_X, &point);
        if (read) {
            p->at[c->count] = word;
            p->key_of[c->count] = key;
            c->points[c->count++] = point;
        }
    }
}

/* Takes a word for the scale off the end of an axis: linear when there is none. */
static void read_scale(points *p, swl_slice scale, bool *is_log)
{
    scale = swl_slice_trim(scale);
    *is_log = swl_slice_is(scale, "logarithmic");
    if (scale.at != NULL && !*is_log && !swl_slice_is(scale, "linear")) {
        refuse(p, scale, "linear or logarithmic is accepted");
    }
}

static void refuse_x_axis(points *p, swl_slice at)
{
    swl_buf words = {0};
    swl_buf_puts(&words,
                 "`flow [UNIT]`, with `, linear` or `, logarithmic` behind it, is accepted; the unit is that on "
                 "the chart, of a volume flow (");
    swl_dim_units(SWL_DIM_VOLUME_FLOW, &words);
    swl_buf_puts(&words, ") or of a mass flow (");
    swl_dim_units(SWL_DIM_MASS_FLOW, &words);
    swl_buf_puts(&words, ")");
    refuse(p, at, swl_buf_text(&words));
    swl_buf_free(&words);
}

static void read_x_axis(points *p, swl_slice value)
{
    swl_scan *scan = p->scan;
    p->key = "x_axis";
    swl_slice rest = value;
    swl_slice name = split_outside(&rest, ',');
    const char *open = memchr(name.at, '[', name.len);
    if (open == NULL || name.at[name.len - 1] != ']' ||
        !swl_head_is(swl_slice_trim((swl_slice){name.at, (size_t)(open - name.at)}), "flow")) {
        refuse_x_axis(p, value);
        return;
    }
    swl_slice unit = swl_slice_trim((swl_slice){open + 1, (size_t)(name.at + name.len - open) - 2});
    swl_fault fault = {0};
    double offset = 0;
    bool is_volume = swl_unit_read(unit, SWL_DIM_VOLUME_FLOW, &scan->x_factor, &offset, &fault);
    scan->x_is_mass = !is_volume && swl_unit_read(unit, SWL_DIM_MASS_FLOW, &scan->x_factor, &offset, &fault);
    if (!is_volume && !scan->x_is_mass) {
        refuse_x_axis(p, unit.len > 0 ? unit : value);
        return;
    }
    (void)snprintf(scan->x_unit, sizeof scan->x_unit, "%.*s", (int)unit.len, unit.at);
    read_scale(p, rest, &scan->calibration.x_log);
}

static void read_y_axis(points *p, swl_slice value)
{
    p->key = "y_axis";
    swl_slice rest = value;
    swl_slice name = split_outside(&rest, ',');
    if (!swl_head_is(name, "pressure ratio")) {
        refuse(p, value, "`pressure ratio`, with `, linear` or `, logarithmic` behind it, is accepted");
        return;
    }
    read_scale(p, rest, &p->scan->calibration.y_log);
}

/* All points with one pixel coordinate, or all with both. */
static void find_way(points *p, bool corners)
{
    swl_calibration *c = &p->scan->calibration;
    c->way = corners ? SWL_CALIBRATION_CORNERS : SWL_CALIBRATION_UPRIGHT;
    for (size_t i = 0; i < c->count && !corners; i++) {
        bool both = !isnan(c->points[i].px) && !isnan(c->points[i].py);
        if (i == 0) {
            c->way = both ? SWL_CALIBRATION_AXES : SWL_CALIBRATION_UPRIGHT;
        } else if (both != (c->way == SWL_CALIBRATION_AXES)) {
            p->key = p->key_of[i];
            refuse(p, p->at[i],
                   both ? "the points before it have one coordinate; one for all, or both for all, is accepted"
                        : "the points before it have both coordinates; both for all, or one for all, is accepted");
            return;
        }
    }
}

static void tell_fault(const points *p, const swl_calibration_fault *fault, const char *only_key, swl_slice only)
{
    const swl_calibration *c = &p->scan->calibration;
    size_t first = fault->first > fault->second ? fault->first : fault->second;
    size_t second = fault->first > fault->second ? fault->second : fault->first;
    if (first == second || first >= c->count || second >= c->count) {
        swl_diag_add(p->file->diags, SWL_ERROR, p->file->text, only.at, "%s: %s", only_key, fault->text);
        return;
    }
    swl_diag_add(p->file->diags, SWL_ERROR, p->file->text, p->at[first].at,
                 "%s: read `%.*s` and, before it, `%.*s`; %s", p->key_of[first], swl_slice_shown(p->at[first]),
                 p->at[first].at, swl_slice_shown(p->at[second]), p->at[second].at, fault->text);
}

static void tell_doubts(const points *p)
{
    const swl_calibration *c = &p->scan->calibration;
    if (c->worst_px > RESIDUAL_WARN_PX && c->suspect < c->count) {
        swl_slice at = p->at[c->suspect];
        swl_diag_add(p->file->diags, SWL_WARNING, p->file->text, at.at,
                     "%s: `%.*s` does not go with the others: without it they fit to %.1f pixels (root mean square), "
                     "with it to %.1f; is its pixel or its value wrong?",
                     p->key_of[c->suspect], swl_slice_shown(at), at.at, c->rest_px, c->residual_px);
    } else if (c->worst_px > RESIDUAL_WARN_PX) {
        swl_diag_add(p->file->diags, SWL_WARNING, p->file->text, p->at[0].at,
                     "%s: the points do not go together: they are up to %.1f pixels from where all of them put them "
                     "(root mean square %.1f), and which of them is wrong does not show; read them anew, or more",
                     p->key_of[0], c->worst_px, c->residual_px);
    }
    if (c->along_y[1] > 0 || c->along_x[0] < 0) {
        swl_diag_add(p->file->diags, SWL_WARNING, p->file->text, p->at[c->count - 1].at,
                     "%s: the %s; pixels are counted from the top left corner of the picture: is that what is meant?",
                     p->key_of[c->count - 1],
                     c->along_y[1] > 0 ? "pressure ratio rises down the picture" : "flow rises to the left");
    }
}

static swl_status calibrate(points *p, swl_err *err)
{
    const swl_keys_file *file = p->file;
    swl_calibration_fault fault = {0};
    swl_err own = {0};
    swl_slice corners = swl_keys_given(file, "scan", "corners");
    swl_slice xs = swl_keys_given(file, "scan", "x_points");
    swl_slice ys = swl_keys_given(file, "scan", "y_points");
    if (corners.at != NULL && (xs.at != NULL || ys.at != NULL)) {
        p->key = "corners";
        refuse(p, corners, "x_points or y_points are given too: keep one of the two ways");
    } else if (corners.at == NULL && (xs.at == NULL || ys.at == NULL)) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, NULL,
                     "%s missing from [scan]; x_points and y_points, or corners, are wanted",
                     xs.at != NULL   ? "y_points is"
                     : ys.at != NULL ? "x_points is"
                                     : "the points of the calibration are");
        p->bad = true;
    } else if (corners.at != NULL) {
        read_points(p, corners, "corners", POINTS_CORNERS);
    } else {
        read_points(p, xs, "x_points", POINTS_X);
        read_points(p, ys, "y_points", POINTS_Y);
    }
    find_way(p, corners.at != NULL);
    if (p->bad) {
        return SWL_OK;
    }
    swl_status status = swl_calibration_fit(&p->scan->calibration, &fault, &own);
    if (status == SWL_ERR_INPUT) {
        bool is_y = strstr(fault.text, "y axis") != NULL;
        tell_fault(p, &fault,
                   corners.at != NULL ? "corners"
                   : is_y             ? "y_points"
                                      : "x_points",
                   corners.at != NULL ? corners
                   : is_y             ? ys
                                      : xs);
        return SWL_OK;
    }
    if (status == SWL_OK) {
        tell_doubts(p);
    }
    return status == SWL_OK ? SWL_OK : swl_err_set(err, status, "%s", own.text);
}

static swl_status read_image(points *p, swl_slice name, bool pixels, swl_err *err)
{
    const swl_keys_file *file = p->file;
    swl_scan *scan = p->scan;
    p->key = "image";
    if (swl_slice_is(name, "-") || name.len == 0 || name.len >= sizeof scan->image_name) {
        refuse(p, name, "the name of a PNG file is accepted");
        return SWL_OK;
    }
    (void)snprintf(scan->image_name, sizeof scan->image_name, "%.*s", (int)name.len, name.at);
    char *path = swl_path_beside(file->path, name);
    swl_buf bytes = {0};
    swl_err own = {0};
    swl_status status = path == NULL ? swl_err_set(&own, SWL_ERR_MEMORY, "out of memory")
                                     : file->source->read(file->source->context, path, &bytes, &own);
    if (status == SWL_OK && bytes.len > SWL_SOURCE_MAX_BYTES) {
        status = swl_err_set(&own, SWL_ERR_INPUT, "has more than the %d bytes that are accepted", SWL_SOURCE_MAX_BYTES);
    }
    if (status == SWL_OK) {
        status = pixels ? swl_image_read(swl_buf_text(&bytes), bytes.len, &scan->image, &own)
                        : swl_image_head(swl_buf_text(&bytes), bytes.len, &scan->image, &own);
    }
    swl_buf_free(&bytes);
    free(path);
    if (status == SWL_ERR_MEMORY) {
        return swl_err_set(err, status, "%s: %s", scan->image_name, own.text);
    }
    if (status != SWL_OK) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, name.at, "image: `%.*s` %s", swl_slice_shown(name), name.at,
                     own.text);
        p->bad = true;
    }
    return SWL_OK;
}

swl_status swl_scan_section_read(const swl_keys_file *file, bool pixels, swl_scan *scan, swl_err *err)
{
    *scan = (swl_scan){.given = true, .x_per_m3_s = NAN};
    points p = {.file = file, .scan = scan};
    swl_slice image = swl_unquoted(swl_keys_given(file, "scan", "image"));
    swl_slice x_axis = swl_keys_given(file, "scan", "x_axis");
    swl_slice y_axis = swl_keys_given(file, "scan", "y_axis");
    swl_status status = image.at == NULL ? SWL_OK : read_image(&p, image, pixels, err);
    if (x_axis.at != NULL && x_axis.len > 0) {
        read_x_axis(&p, x_axis);
    }
    if (y_axis.at != NULL && y_axis.len > 0) {
        read_y_axis(&p, y_axis);
    }
    /* Without the axes no value can be read; that they are missing has been told. */
    if (status == SWL_OK && x_axis.len > 0 && y_axis.len > 0 && scan->x_factor > 0) {
        status = calibrate(&p, err);
    }
    return status;
}
