#include "files/keys.h"
#include "files/scanfile.h"

#include "sweptline/air.h"

#include <math.h>
#include <stdlib.h>

typedef struct unit_raw {
    swl_blower blower;
    int kind;
    int efficiency_from;
} unit_raw;

/* What the unit is wanted for: a match takes its table, a look a table or a picture, tracing the picture alone. */
typedef enum unit_use { USE_MATCH, USE_LOOK, USE_TRACE } unit_use;

#define AT(member) offsetof(unit_raw, blower.member)

static const char *const kind_words[] = {"roots", "screw", NULL};
static const char *const from_words[] = {"temperature rise", "shaft power", NULL};

#define FACTOR_RANGE 0.5, 1.5, "0.5 to 1.5, by which the map's values are multiplied,"

static const swl_key unit_keys[] = {
    {"unit", "name", KEY_TEXT, 0, AT(name), 0, 0, "a name", NULL, KEY_REQUIRED, SWL_NAME_MAX},
    {"unit", "kind", KEY_CHOICE, 0, offsetof(unit_raw, kind), 0, 0, "roots or screw", kind_words, KEY_REQUIRED, 0},
    {"unit", "displacement", KEY_QUANTITY, SWL_DIM_VOLUME_REV, AT(disp_m3_rev), 1e-5, 0.1,
     "10 cc/rev to 100 L/rev, as 1.8 L/rev or 110 in3/rev,", NULL, KEY_REQUIRED, 0},
    {"unit", "gear_ratio", KEY_QUANTITY, SWL_DIM_NUMBER, AT(gear_ratio), 0.05, 20,
     "0.05 to 20, revolutions of the speed the map and the limits are stated for to one of the pulley shaft,", NULL, 0,
     0},
    {"unit", "continuous_speed", KEY_QUANTITY, SWL_DIM_SPEED, AT(continuous_rpm), 100, 200000, "100 rpm to 200000 rpm",
     NULL, 0, 0},
    {"unit", "short_time_speed", KEY_QUANTITY, SWL_DIM_SPEED, AT(short_time_rpm), 100, 200000, "100 rpm to 200000 rpm",
     NULL, 0, 0},
    {"unit", "rotor_diameter", KEY_QUANTITY, SWL_DIM_LENGTH, AT(d_rotor_m), 0.01, 1, "10 mm to 1000 mm", NULL, 0, 0},
    {"unit", "mechanical_efficiency", KEY_QUANTITY, SWL_DIM_FRACTION, AT(mechanical_eff_frac), 0.3, 1, "30 % to 100 %",
     NULL, 0, 0},

    {"map", "table", KEY_FILE, 0, 0, 0, 0, "the name of a CSV file", NULL, 0, 0},
    {"map", "temperature", KEY_QUANTITY, SWL_DIM_TEMPERATURE, AT(t_map_k), 213.15, 343.15,
     "the temperature of the air the map was measured in, -60 degC to 70 degC,", NULL, KEY_REQUIRED, 0},
    {"map", "pressure", KEY_QUANTITY, SWL_DIM_PRESSURE, AT(p_map_pa), 3e4, 1.2e5,
     "an absolute pressure of 30 to 120 kPa", NULL, 0, 0},
    {"map", "efficiency_from", KEY_CHOICE, 0, offsetof(unit_raw, efficiency_from), 0, 0,
     "temperature rise or shaft power", from_words, KEY_REQUIRED, 0},
    {"map", "volumetric_efficiency_factor", KEY_QUANTITY, SWL_DIM_NUMBER, AT(ev_factor), FACTOR_RANGE, NULL, 0, 0},
    {"map", "adiabatic_efficiency_factor", KEY_QUANTITY, SWL_DIM_NUMBER, AT(ea_factor), FACTOR_RANGE, NULL, 0, 0},
    {"map", "source", KEY_TEXT, 0, AT(source), 0, 0, "a text that says where the data came from", NULL, 0,
     SWL_NOTE_MAX},

    {"scan", "image", KEY_FILE, 0, 0, 0, 0, "the name of a PNG file", NULL, KEY_REQUIRED, 0},
    {"scan", "x_axis", KEY_OWN, 0, 0, 0, 0, "flow [UNIT], linear or flow [UNIT], logarithmic", NULL, KEY_REQUIRED, 0},
    {"scan", "y_axis", KEY_OWN, 0, 0, 0, 0, "pressure ratio, linear or pressure ratio, logarithmic", NULL, KEY_REQUIRED,
     0},
    {"scan", "x_points", KEY_OWN, 0, 0, 0, 0, "PIXEL: VALUE, PIXEL: VALUE, ...", NULL, 0, 0},
    {"scan", "y_points", KEY_OWN, 0, 0, 0, 0, "PIXEL: VALUE, PIXEL: VALUE, ...", NULL, 0, 0},
    {"scan", "corners", KEY_OWN, 0, 0, 0, 0, "(ACROSS, DOWN): FLOW at RATIO, ...", NULL, 0, 0},
};

#define UNIT_KEYS (sizeof unit_keys / sizeof unit_keys[0])
_Static_assert(UNIT_KEYS <= (size_t)KEYS_MAX, "place[] holds a slot for every key");

swl_key swl_unit_key_at(size_t index)
{
    swl_key key = {.section = NULL};
    if (index < UNIT_KEYS) {
        key = unit_keys[index];
        /* A choice stands behind the blower, and so behind a build. */
        key.offset += key.offset < sizeof(swl_blower) ? offsetof(swl_build, blower) : sizeof(swl_build);
    }
    return key;
}

static const char *const unit_sections[] = {"unit", "map", "scan", "trace ", NULL};

static swl_status table_of_unit(const swl_keys_file *file, swl_blower *blower, swl_err *err)
{
    swl_slice name = swl_unquoted(swl_keys_given(file, "map", "table"));
    if (name.at == NULL || name.len == 0) {
        return SWL_OK;
    }
    if (swl_slice_is(name, "-")) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, name.at,
                     "table: read `-`; the name of a CSV file is accepted");
        return SWL_OK;
    }
    char *path = swl_path_beside(file->path, name);
    if (path == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
    }
    swl_err own = {0};
    swl_beside beside = swl_beside_of(file, path, name);
    swl_source source = swl_source_beside(&beside);
    swl_status status = swl_map_table_read(&source, path, blower, file->diags, &own);
    free(path);
    return status == SWL_ERR_MEMORY ? swl_err_set(err, status, "%s", own.text) : SWL_OK;
}

/* Without a table nothing can be matched; a unit of a picture alone can still be looked at, and traced. */
static void finish_map(const swl_keys_file *file, unit_use use)
{
    bool has_map = swl_keys_section(file, "map");
    bool has_scan = swl_keys_section(file, "scan");
    bool has_table = swl_keys_given(file, "map", "table").at != NULL;
    if (use == USE_TRACE) {
        if (!has_scan) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, NULL,
                         "section [scan] is missing; it names the picture to trace and what its axes say");
        }
        if (!has_map) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, NULL, "section [map] is missing");
        }
        return;
    }
    if (has_table || (has_scan && use == USE_LOOK)) {
        return;
    }
    if (has_scan) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, NULL,
                     "%s missing: nothing can be matched on a picture alone; `sweptline trace` makes a table of the "
                     "chart that [scan] shows, which [map] table then names",
                     has_map ? "table in [map] is" : "section [map] is");
    } else if (has_map) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, NULL,
                     "table is missing from [map]; the name of a CSV file is wanted");
    } else {
        swl_diag_add(file->diags, SWL_ERROR, file->text, NULL, "section [map] is missing");
    }
}

static void finish_unit(const swl_keys_file *file, const swl_blower *blower)
{
    if (!swl_keys_section(file, "unit")) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, NULL, "section [unit] is missing");
    }
    if (blower->short_time_rpm < blower->continuous_rpm) {
        swl_slice at = swl_keys_given(file, "unit", "short_time_speed");
        swl_diag_add(file->diags, SWL_ERROR, file->text, at.at,
                     "short_time_speed: read `%.*s`, which is below continuous_speed", swl_slice_shown(at), at.at);
    }
}

/* A maker's two limits, and the map he measured, stand near each other. Half is common practice, no source. */
static void doubt_speed(const swl_keys_file *file, const swl_blower *blower)
{
    double fastest_rpm = 0;
    for (size_t i = 0; blower->map != NULL && i < swl_map_line_count(blower->map); i++) {
        fastest_rpm = fmax(fastest_rpm, swl_map_line_at(blower->map, i).speed_rpm);
    }
    bool by_limit = blower->continuous_rpm < 0.5 * blower->short_time_rpm;
    if (by_limit || blower->continuous_rpm < 0.5 * fastest_rpm) {
        swl_slice at = swl_keys_given(file, "unit", "continuous_speed");
        swl_diag_add(file->diags, SWL_WARNING, file->text, at.at,
                     "continuous_speed: `%.*s` is less than half of %s, %.0f rpm; check whether a digit was lost",
                     swl_slice_shown(at), at.at, by_limit ? "short_time_speed" : "the map's fastest speed line",
                     by_limit ? blower->short_time_rpm : fastest_rpm);
    }
}

/* What the chart's x axis says of a volume flow: on one in mass flow that hangs on the air of the map. */
static void finish_scan(const swl_keys_file *file, const swl_blower *blower, swl_scan *scan)
{
    if (!scan->x_is_mass) {
        scan->x_per_m3_s = 1;
    } else if (!isnan(blower->t_map_k) && !isnan(blower->p_map_pa)) {
        swl_air air = swl_air_humid(blower->t_map_k, blower->p_map_pa, 0);
        scan->x_per_m3_s = blower->p_map_pa / (air.r_j_kg_k * blower->t_map_k);
    } else if (swl_keys_section(file, "map")) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, swl_keys_given(file, "scan", "x_axis").at,
                     "x_axis: in a mass flow it wants temperature and pressure in [map], which turn it into the inlet "
                     "volume flow that the map is read by");
    }
}

/* scan is NULL where the picture's pixels are not wanted. */
static swl_status scan_of_unit(const swl_keys_file *file, const swl_blower *blower, swl_scan *scan, swl_err *err)
{
    swl_scan own = {0};
    swl_scan *to = scan == NULL ? &own : scan;
    if (!swl_keys_section(file, "scan")) {
        return SWL_OK;
    }
    swl_status status = swl_scan_section_read(file, scan != NULL, to, err);
    finish_scan(file, blower, to);
    swl_scan_free(&own);
    return status;
}

/* The file's text goes to kept, which is NULL where it is not wanted; the caller frees it, whatever is returned. */
static swl_status unit_load(const swl_source *source, const char *path, swl_blower *blower, swl_scan *scan,
                            swl_text *kept, unit_use use, swl_diags *diags, swl_err *err)
{
    swl_text text = {0};
    unit_raw raw = {.blower = {.gear_ratio = 1,
                               .continuous_rpm = NAN,
                               .short_time_rpm = NAN,
                               .d_rotor_m = NAN,
                               .mechanical_eff_frac = NAN,
                               .ev_factor = 1,
                               .ea_factor = 1,
                               .t_map_k = NAN,
                               .p_map_pa = NAN}};
    *blower = raw.blower;
    if (scan != NULL) {
        *scan = (swl_scan){0};
    }
    swl_status status = swl_text_load(source, path, &text, diags, err);
    if (status != SWL_OK) {
        return status == SWL_ERR_INPUT ? swl_diag_status(diags, err) : status;
    }
    swl_keys_file file = {.source = source,
                          .path = path,
                          .text = &text,
                          .diags = diags,
                          .keys = unit_keys,
                          .key_count = UNIT_KEYS,
                          .sections = unit_sections,
                          .inputs = raw.blower.inputs,
                          .inputs_max = SWL_UNIT_INPUTS_MAX,
                          .foreign_section = "engine",
                          .foreign_words = "this is a build file; a unit file, with [unit] and [map], is wanted here"};
    status = swl_keys_read(&file, &raw, err);
    if (status == SWL_OK && !file.foreign) {
        raw.blower.kind = raw.kind == 1 ? SWL_BLOWER_SCREW : SWL_BLOWER_ROOTS;
        raw.blower.efficiency_from = raw.efficiency_from == 1 ? SWL_FROM_SHAFT_POWER : SWL_FROM_TEMPERATURE_RISE;
        raw.blower.input_count = file.input_count;
        finish_unit(&file, &raw.blower);
        finish_map(&file, use);
        status = use == USE_TRACE ? SWL_OK : table_of_unit(&file, &raw.blower, err);
        if (status == SWL_OK) {
            doubt_speed(&file, &raw.blower);
        }
        if (status == SWL_OK) {
            status = scan_of_unit(&file, &raw.blower, scan, err);
        }
    }
    if (kept != NULL) {
        *kept = text;
    } else {
        swl_text_free(&text);
    }
    if (status == SWL_OK) {
        status = swl_diag_status(diags, err);
    }
    *blower = raw.blower;
    if (status != SWL_OK) {
        swl_blower_free(blower);
        if (scan != NULL) {
            swl_scan_free(scan);
        }
    }
    return status;
}

swl_status swl_blower_load(const swl_source *source, const char *path, swl_blower *blower, swl_diags *diags,
                           swl_err *err)
{
    return unit_load(source, path, blower, NULL, NULL, USE_MATCH, diags, err);
}

swl_status swl_blower_of_build(const swl_source *source, const char *path, swl_blower *blower, swl_scan *scan,
                               swl_diags *diags, swl_err *err)
{
    return unit_load(source, path, blower, scan, NULL, USE_MATCH, diags, err);
}

swl_status swl_unit_load(const swl_source *source, const char *path, swl_blower *blower, swl_scan *scan,
                         swl_diags *diags, swl_err *err)
{
    return unit_load(source, path, blower, scan, NULL, USE_LOOK, diags, err);
}

swl_status swl_unit_load_to_trace(const swl_source *source, const char *path, swl_blower *blower, swl_scan *scan,
                                  swl_text *text, swl_diags *diags, swl_err *err)
{
    *text = (swl_text){0};
    return unit_load(source, path, blower, scan, text, USE_TRACE, diags, err);
}
