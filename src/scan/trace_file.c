#include "sweptline/trace.h"

#include "files/keys.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LINE_POINTS_MAX = 1000, KEYS = 8 };
/* A step of colour that the eye just sees. */
#define EDGE_CONTRAST_LEAST 0.02
#define SPEED_MIN_RPM 100
#define SPEED_MAX_RPM 200000

enum { KEY_KIND, KEY_VALUE, KEY_SEED, KEY_COLOUR, KEY_TOLERANCE, KEY_GAP, KEY_LINE, KEY_BETWEEN };
static const char *const key_names[KEYS] = {"kind", "value", "seed", "colour", "tolerance", "gap", "line", "between"};

/* The values of one section as written. */
typedef struct section {
    swl_slice name;
    swl_slice given[KEYS];
} section;

typedef struct reader {
    swl_tracing *tracing;
    swl_diags *diags;
    swl_ini ini;
    bool out_of_memory;
} reader;

static bool is_trace(swl_slice name)
{
    return name.len > 6 && memcmp(name.at, "trace ", 6) == 0;
}

static void refuse(const reader *r, swl_slice value, const char *key, const char *accepted)
{
    swl_diag_add(r->diags, SWL_ERROR, &r->tracing->text, value.at, "%s: read `%.*s`; %s is accepted", key,
                 swl_slice_shown(value), value.at, accepted);
}

static void unknown_key(const reader *r, const swl_ini_entry *entry)
{
    const char *near = NULL;
    int best = 4;
    for (int k = 0; k < KEYS; k++) {
        int distance = swl_edit_distance(entry->key, swl_slice_of(key_names[k]));
        if (distance < best) {
            best = distance;
            near = key_names[k];
        }
    }
    swl_diag_add(r->diags, SWL_ERROR, &r->tracing->text, entry->key.at, "`%.*s` is not a key of [trace NAME]; %s%s",
                 swl_slice_shown(entry->key), entry->key.at,
                 near != NULL ? "did you mean " : "accepted are kind, value, ",
                 near != NULL ? near : "seed, colour, between, tolerance, gap, line");
}

static void read_kind(const reader *r, const section *s, swl_trace_curve *curve)
{
    swl_slice kind = s->given[KEY_KIND];
    if (swl_slice_is(kind, "island")) {
        curve->kind = SWL_TRACE_ISLAND;
    } else if (!swl_slice_is(kind, "speed line")) {
        refuse(r, kind, "kind", "speed line or island");
    }
    curve->order.corners = curve->kind == SWL_TRACE_ISLAND;
}

static void read_value(const reader *r, const section *s, swl_trace_curve *curve)
{
    swl_slice value = s->given[KEY_VALUE];
    bool speed = curve->kind == SWL_TRACE_SPEED_LINE;
    swl_quantity quantity = {0};
    swl_fault fault = {0};
    if (!swl_quantity_read(value, speed ? SWL_DIM_SPEED : SWL_DIM_FRACTION, &quantity, &fault)) {
        swl_diag_add(r->diags, SWL_ERROR, &r->tracing->text, fault.at, "value: %s", fault.text);
    } else if (quantity.half_width > 0) {
        refuse(r, value, "value", "a number without +-");
    } else if (speed && !(quantity.value >= SPEED_MIN_RPM && quantity.value <= SPEED_MAX_RPM)) {
        refuse(r, value, "value", "a blower speed of 100 rpm to 200000 rpm");
    } else if (!speed && !(quantity.value >= 0.01 && quantity.value <= 0.99)) {
        refuse(r, value, "value", "an adiabatic efficiency of 1 % to 99 %");
    }
    curve->value = quantity.value;
    curve->at_value = value.at;
}

/* Reads "(x, y)", or without the brackets "x, y" or "x y" as the separator says. */
static bool pixel_read(swl_slice value, char separator, swl_pixel *pixel)
{
    swl_fault fault = {0};
    value = swl_slice_trim(value);
    if (value.len > 2 && value.at[0] == '(' && value.at[value.len - 1] == ')') {
        value = swl_slice_trim((swl_slice){value.at + 1, value.len - 2});
        separator = ',';
    }
    swl_slice rest = value;
    swl_slice first = swl_slice_trim(swl_slice_split(&rest, separator));
    if (rest.at == NULL) {
        return false;
    }
    return swl_number_read(first, &pixel->x, &fault) && swl_number_read(swl_slice_trim(rest), &pixel->y, &fault);
}

static void read_seed(const reader *r, const section *s, swl_trace_curve *curve)
{
    swl_slice seed = s->given[KEY_SEED];
    curve->at_place = seed.at;
    if (!pixel_read(seed, ',', &curve->order.seed)) {
        refuse(r, seed, "seed", "a place on the picture in pixels, x to the right and y down, as (412, 300),");
    }
}

static bool hex_read(swl_slice digits, unsigned char rgb[3])
{
    if (digits.len != 6) {
        return false;
    }
    for (size_t i = 0; i < 6; i++) {
        static const char signs[] = "0123456789abcdef";
        char c = digits.at[i];
        c = c >= 'A' && c <= 'F' ? (char)(c - 'A' + 'a') : c;
        const char *at = c == '\0' ? NULL : strchr(signs, c);
        if (at == NULL) {
            return false;
        }
        unsigned value = (unsigned)(at - signs);
        rgb[i / 2] = (unsigned char)(i % 2 == 0 ? value << 4 : rgb[i / 2] | value);
    }
    return true;
}

/* Six digits, in quotes and behind # or not. */
static bool colour_read(swl_slice colour, unsigned char rgb[3])
{
    swl_slice digits = swl_unquoted(swl_slice_trim(colour));
    if (digits.len > 0 && digits.at[0] == '#') {
        digits = (swl_slice){digits.at + 1, digits.len - 1};
    }
    return hex_read(digits, rgb);
}

static void read_between(const reader *r, const section *s, swl_trace_curve *curve)
{
    swl_slice rest = s->given[KEY_BETWEEN];
    swl_slice whole = rest;
    swl_slice first = swl_slice_split(&rest, ',');
    swl_track_order *order = &curve->order;
    order->is_edge = true;
    curve->at_colour = whole.at;
    if (rest.at == NULL || !colour_read(first, order->rgb) || !colour_read(rest, order->rgb_beyond)) {
        refuse(r, whole, "between", "the colours of two filled areas, as 69aa8d, 8dc9a5 or \"#69aa8d\", \"#8dc9a5\",");
    } else if (swl_oklab_distance(swl_oklab_of(order->rgb[0], order->rgb[1], order->rgb[2]),
                                  swl_oklab_of(order->rgb_beyond[0], order->rgb_beyond[1], order->rgb_beyond[2])) <
               EDGE_CONTRAST_LEAST) {
        refuse(r, whole, "between", "two colours that can be told apart");
    }
}

static void read_colour(const reader *r, const section *s, swl_trace_curve *curve)
{
    swl_slice colour = s->given[KEY_COLOUR];
    curve->at_colour = colour.at;
    curve->order.has_colour = true;
    if (!colour_read(colour, curve->order.rgb)) {
        refuse(r, colour, "colour",
               "red, green and blue in six hexadecimal digits, as 3060a0 or \"#3060a0\" (a bare # starts a comment),");
    }
}

static void read_bare(const reader *r, const section *s, int key, double low, double high, const char *accepted,
                      double *to)
{
    swl_fault fault = {0};
    if (s->given[key].at != NULL && (!swl_number_read(s->given[key], to, &fault) || !(*to >= low && *to <= high))) {
        refuse(r, s->given[key], key_names[key], accepted);
    }
}

/* Takes off what stands before the first comma outside brackets. */
static swl_slice split_outside(swl_slice *rest)
{
    bool within = false;
    for (size_t i = 0; i < rest->len; i++) {
        char c = rest->at[i];
        within = c == '(' || (within && c != ')');
        if (c == ',' && !within) {
            swl_slice part = {rest->at, i};
            *rest = (swl_slice){rest->at + i + 1, rest->len - i - 1};
            return swl_slice_trim(part);
        }
    }
    swl_slice part = *rest;
    *rest = (swl_slice){NULL, 0};
    return swl_slice_trim(part);
}

static void read_line(reader *r, const section *s, swl_trace_curve *curve)
{
    swl_slice rest = s->given[KEY_LINE];
    swl_slice whole = rest;
    swl_pixel *points = calloc(LINE_POINTS_MAX, sizeof *points);
    size_t count = 0;
    curve->at_place = rest.at;
    if (points == NULL) {
        r->out_of_memory = true;
        return;
    }
    curve->order.line = points;
    while (rest.at != NULL) {
        swl_slice part = split_outside(&rest);
        if (part.len == 0 && rest.at == NULL && count > 0) {
            break; /* a comma at the end */
        }
        if (count == LINE_POINTS_MAX || !pixel_read(part, ' ', &points[count])) {
            refuse(r, part.len > 0 ? part : whole, "line",
                   count == LINE_POINTS_MAX ? "a line of at most 1000 points"
                                            : "places on the picture in pixels, as (410, 300), (415, 280),");
            return;
        }
        count++;
    }
    curve->order.line_count = count;
    if (count < 2) {
        refuse(r, whole, "line", "two places or more, as (410, 300), (415, 280),");
    }
}

static void missing(const reader *r, const section *s, const char *what)
{
    swl_diag_add(r->diags, SWL_ERROR, &r->tracing->text, s->name.at, "[%.*s] %s", swl_slice_shown(s->name), s->name.at,
                 what);
}

static void read_place(reader *r, const section *s, swl_trace_curve *curve)
{
    bool seed = s->given[KEY_SEED].at != NULL;
    bool line = s->given[KEY_LINE].at != NULL;
    if (seed == line) {
        missing(r, s,
                seed ? "has both seed and line; one of them is wanted" : "has neither seed nor line; one is wanted");
        return;
    }
    if (line) {
        static const int of_seed[] = {KEY_COLOUR, KEY_TOLERANCE, KEY_GAP, KEY_BETWEEN};
        for (size_t i = 0; i < sizeof of_seed / sizeof of_seed[0]; i++) {
            swl_slice value = s->given[of_seed[i]];
            if (value.at != NULL) {
                swl_diag_add(r->diags, SWL_ERROR, &r->tracing->text, value.at,
                             "%s goes with seed; a line given in pixels is taken as it is", key_names[of_seed[i]]);
            }
        }
        read_line(r, s, curve);
        return;
    }
    read_seed(r, s, curve);
    if (s->given[KEY_BETWEEN].at != NULL) {
        read_between(r, s, curve);
        static const int of_line[] = {KEY_COLOUR, KEY_TOLERANCE};
        for (size_t i = 0; i < 2; i++) {
            swl_slice value = s->given[of_line[i]];
            if (value.at != NULL) {
                swl_diag_add(r->diags, SWL_ERROR, &r->tracing->text, value.at,
                             "%s is that of a line; between is followed as the edge of two areas",
                             key_names[of_line[i]]);
            }
        }
    } else if (s->given[KEY_COLOUR].at != NULL) {
        read_colour(r, s, curve);
    }
    read_bare(r, s, KEY_TOLERANCE, 0.01, 0.5, "a distance of colours in OKLab of 0.01 to 0.5", &curve->order.tolerance);
    read_bare(r, s, KEY_GAP, 0, 2000, "a length of 0 to 2000 pixels", &curve->order.gap_px);
}

static void read_section(reader *r, const section *s)
{
    swl_tracing *tracing = r->tracing;
    if (tracing->count == SWL_TRACE_CURVES_MAX) {
        missing(r, s, "is one curve too many; at most 80 are accepted");
        return;
    }
    swl_trace_curve *curve = &tracing->curves[tracing->count++];
    swl_slice name = swl_slice_trim((swl_slice){s->name.at + 6, s->name.len - 6});
    curve->order = (swl_track_order){.tolerance = SWL_TRACK_TOLERANCE, .gap_px = NAN};
    curve->at_section = s->name.at;
    if (name.len >= SWL_TRACE_NAME_MAX) {
        missing(r, s, "has a name too long; at most 47 bytes are accepted");
        return;
    }
    memcpy(curve->name, name.at, name.len);
    if (s->given[KEY_KIND].at == NULL || s->given[KEY_VALUE].at == NULL) {
        missing(r, s, "wants kind (speed line or island) and value (a speed or an efficiency)");
        return;
    }
    read_kind(r, s, curve);
    read_value(r, s, curve);
    read_place(r, s, curve);
}

static section gather(const reader *r, swl_slice name)
{
    section s = {.name = name};
    for (size_t i = 0; i < r->ini.count; i++) {
        const swl_ini_entry *entry = &r->ini.entries[i];
        bool here = entry->section.at == name.at ||
                    (entry->section.len == name.len && memcmp(entry->section.at, name.at, name.len) == 0);
        int known = -1;
        for (int k = 0; k < KEYS && here; k++) {
            known = swl_slice_is(entry->key, key_names[k]) ? k : known;
        }
        if (here && known < 0) {
            unknown_key(r, entry);
        } else if (here && entry->value.len == 0) {
            /* That there is no value has been told; but a colour may look as if it had one. */
            if (known == KEY_COLOUR || known == KEY_BETWEEN) {
                swl_diag_add(r->diags, SWL_ERROR, &r->tracing->text, entry->key.at,
                             "%s: a bare # starts a comment; 3060a0 or \"#3060a0\" is accepted", key_names[known]);
            }
        } else if (here) {
            s.given[known] = entry->value;
        }
    }
    return s;
}

static void check_speeds(const reader *r)
{
    const swl_tracing *t = r->tracing;
    for (size_t i = 0; i < t->count; i++) {
        for (size_t k = 0; k < i; k++) {
            const swl_trace_curve *a = &t->curves[k];
            const swl_trace_curve *b = &t->curves[i];
            if (a->kind == SWL_TRACE_SPEED_LINE && b->kind == SWL_TRACE_SPEED_LINE && a->value > 0 &&
                a->value == b->value) {
                swl_diag_add(r->diags, SWL_ERROR, &t->text, b->at_value,
                             "value: %.6g rpm is the speed of [trace %s] too; a speed has one line", b->value, a->name);
            }
        }
    }
}

static void check_counts(const reader *r)
{
    const swl_tracing *t = r->tracing;
    size_t lines = 0;
    size_t islands = 0;
    double low = INFINITY;
    double high = -INFINITY;
    for (size_t i = 0; i < t->count; i++) {
        bool island = t->curves[i].kind == SWL_TRACE_ISLAND;
        lines += !island;
        islands += island;
        low = island ? fmin(low, t->curves[i].value) : low;
        high = island ? fmax(high, t->curves[i].value) : high;
    }
    if (lines < 2) {
        swl_diag_add(r->diags, SWL_ERROR, &t->text, NULL,
                     "%zu speed line%s to be traced; a map needs two or more, each a section [trace NAME] with kind = "
                     "speed line",
                     lines, lines == 1 ? " is" : "s are");
    }
    if (islands < 2 || !(high > low)) {
        swl_diag_add(r->diags, SWL_ERROR, &t->text, NULL,
                     "%zu efficiency island%s to be traced; two or more of different values are needed to read "
                     "efficiencies between them, each a section [trace NAME] with kind = island",
                     islands, islands == 1 ? " is" : "s are");
    }
}

static swl_status read_sections(swl_tracing *tracing, swl_diags *diags, swl_err *err)
{
    swl_diags told = {0}; /* the reader of the other sections has told the faults of the file's form */
    reader r = {.tracing = tracing, .diags = diags};
    size_t errors = diags->errors;
    tracing->curves = calloc(SWL_TRACE_CURVES_MAX, sizeof *tracing->curves);
    if (tracing->curves == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for curves");
    }
    swl_status status = swl_ini_read(&r.ini, &tracing->text, &told, err);
    swl_diag_free(&told);
    for (size_t i = 0; status == SWL_OK && i < r.ini.section_count; i++) {
        if (is_trace(r.ini.sections[i])) {
            section s = gather(&r, r.ini.sections[i]);
            read_section(&r, &s);
        }
    }
    if (status == SWL_OK && diags->errors == errors) {
        check_speeds(&r);
        check_counts(&r);
    }
    swl_ini_free(&r.ini);
    return r.out_of_memory ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a line") : status;
}

swl_status swl_tracing_load(const swl_source *source, const char *path, swl_tracing *tracing, swl_diags *diags,
                            swl_err *err)
{
    *tracing = (swl_tracing){0};
    swl_err own = {0};
    swl_status status =
        swl_unit_load_to_trace(source, path, &tracing->blower, &tracing->scan, &tracing->text, diags, &own);
    /* The faults of the curves are told with those of the rest. */
    bool readable = status == SWL_OK || status == SWL_ERR_INPUT;
    if (!readable || tracing->text.work == NULL) {
        return swl_err_set(err, status, "%s", own.text);
    }
    status = read_sections(tracing, diags, err);
    return status == SWL_OK ? swl_diag_status(diags, err) : status;
}
