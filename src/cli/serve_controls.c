#include "cli/serve.h"

#include "report/json.h"
#include "sweptline/edit.h"

#include "files/keys.h"

#include <math.h>
#include <string.h>

/* What low and high of a control are. */
typedef enum control_span { IN_SI, SHARES } control_span;

/* A value that the page may change, with the span of its slider, in SI or as shares of the build's own value; what is
 * typed may lie outside. si, us: its unit where the file gives none. It is shown when the file gives the key; and where
 * without says what holds otherwise, unless the file gives one of the keys that stand in its place. */
typedef struct control {
    const char *group;
    const char *section;
    const char *key;
    const char *label;
    control_span span;
    double low, high;
    const char *si, *us;
    const char *without; /* what holds when it is not given; NULL: then it is not shown */
    const char *instead, *or_instead;
} control;

#define AIR "not given: that of the standard atmosphere"
#define COOLER "Throttle and cooler"

static const control controls[] = {
    {"Drive", "drive", "crank_pulley", "Crank pulley", SHARES, 0.7, 1.3, "mm", "in", NULL, NULL, NULL},
    {"Drive", "drive", "blower_pulley", "Blower pulley", SHARES, 0.7, 1.3, "mm", "in", NULL, NULL, NULL},
    {"Engine", "engine", "speed_limit", "Rev limit", SHARES, 0.7, 1.3, "rpm", "rpm", NULL, NULL, NULL},
    {"Engine", "engine", "volumetric_efficiency_factor", "VE factor", IN_SI, 0.8, 1.2, "", "", "not given: 1", NULL,
     NULL},
    {"Site", "site", "temperature", "Air temperature", IN_SI, 253.15, 318.15, "degC", "degF", AIR, NULL, NULL},
    {"Site", "site", "pressure", "Air pressure", IN_SI, 65e3, 106e3, "kPa", "inHg", AIR, "altitude", NULL},
    {"Site", "site", "altitude", "Altitude", IN_SI, 0, 3000, "m", "ft", NULL, NULL, NULL},
    {"Site", "site", "relative_humidity", "Relative humidity", IN_SI, 0, 1, "%", "%", "not given: dry air", NULL, NULL},
    {COOLER, "intake", "throttle_bore", "Throttle bore", SHARES, 0.6, 1.4, "mm", "in", "not given: no throttle body",
     NULL, NULL},
    {COOLER, "cooler", "effectiveness", "Cooler effectiveness", IN_SI, 0.3, 1, "%", "%", "not given", "ua",
     "effectiveness_over_flow"},
    {COOLER, "cooler", "ua", "Cooler UA", SHARES, 0.4, 2, "W/K", "W/K", NULL, NULL, NULL},
    {COOLER, "cooler", "front_air_temperature", "Front air temperature", IN_SI, 253.15, 318.15, "degC", "degF", NULL,
     NULL, NULL},
    {COOLER, "cooler", "coolant_temperature", "Coolant temperature", IN_SI, 273.15, 353.15, "degC", "degF", "not given",
     "front_effectiveness", "front_ua"},
};
enum { CONTROLS = sizeof controls / sizeof controls[0] };

bool serve_may_change(const char *section, const char *key)
{
    for (size_t i = 0; i < CONTROLS; i++) {
        if (strcmp(controls[i].section, section) == 0 && strcmp(controls[i].key, key) == 0) {
            return true;
        }
    }
    return false;
}

const char *serve_section_of(const char *key, size_t len)
{
    for (size_t i = 0; i < CONTROLS; i++) {
        if (strlen(controls[i].key) == len && memcmp(controls[i].key, key, len) == 0) {
            return controls[i].section;
        }
    }
    return NULL;
}

static const swl_key *key_of(const char *section, const char *name)
{
    size_t count = 0;
    const swl_key *keys = swl_build_keys(&count);
    for (size_t k = 0; k < count; k++) {
        if (strcmp(keys[k].section, section) == 0 && strcmp(keys[k].name, name) == 0) {
            return &keys[k];
        }
    }
    return NULL;
}

serve_half serve_keep_half(const char *section, const char *key, const char *was, const char *now, swl_buf *out)
{
    const swl_key *of = key_of(section, key);
    if (of == NULL) {
        swl_buf_puts(out, now);
        return SERVE_HALF_NONE;
    }
    return serve_half_keep(of->dim, of->low, was, now, out);
}

/* Appends the value as the file has it. Returns: whether it has one. */
static bool given_as(const serve_job *job, const serve_build *build, const char *section, const char *key, swl_buf *out)
{
    const swl_buf *bytes = serve_files_find(&job->files, build->path);
    bool given = false;
    swl_err ignored = {0};
    swl_status status = bytes == NULL
                            ? SWL_ERR_READ
                            : swl_ini_given(build->path, bytes->bytes, bytes->len, section, key, &given, out, &ignored);
    return status == SWL_OK && given;
}

/* The unit behind the number of a value, "mm" of "92 mm +- 0.5 mm". Returns: false when there is none to be read. */
static bool unit_in(const char *value, swl_dim dim, char *unit, size_t size, double *factor, double *offset)
{
    const char *at = value + strspn(value, "+-0123456789. ");
    size_t n = strcspn(at, " ");
    swl_fault ignored = {0};
    if (n == 0 || n >= size || !swl_unit_read((swl_slice){at, n}, dim, factor, offset, &ignored)) {
        return false;
    }
    memcpy(unit, at, n);
    unit[n] = '\0';
    return true;
}

static json_t *number_in(double si, double factor, double offset)
{
    if (isnan(si)) {
        return json_null();
    }
    swl_buf text = {0};
    swl_buf_printf(&text, "%.10g", si / factor - offset);
    return serve_text(&text);
}

static json_t *control_json(const serve_build *build, const control *c, bool given, const char *text)
{
    const swl_key *key = key_of(c->section, c->key);
    if (key == NULL) {
        return NULL;
    }
    double si = 0;
    memcpy(&si, (const char *)&build->build + key->offset, sizeof si);
    /* A part that is not there is 0. */
    si = !given && (si < key->low || si == 0) && strcmp(c->section, "site") != 0 ? (double)NAN : si;
    char unit[16];
    double factor = 1;
    double offset = 0;
    bool bare =
        key->dim == SWL_DIM_NUMBER || (given && key->dim == SWL_DIM_FRACTION && strcspn(text, "%p") == strlen(text));
    if (bare) {
        unit[0] = '\0';
    } else if (!given || !unit_in(text, key->dim, unit, sizeof unit, &factor, &offset)) {
        (void)unit_in(build->build.units == SWL_UNITS_US ? c->us : c->si, key->dim, unit, sizeof unit, &factor,
                      &offset);
    }
    double own = isnan(si) ? 0.08 : si; /* only of a throttle bore: metres */
    double low = fmax(c->span == SHARES ? c->low * own : fmin(c->low, isnan(si) ? c->low : si), key->low);
    double high = fmin(c->span == SHARES ? c->high * own : fmax(c->high, isnan(si) ? c->high : si), key->high);
    return json_pack("{s:s, s:s, s:s, s:s, s:s, s:o, s:s, s:b, s:f, s:f, s:s, s:s}", "group", c->group, "section",
                     c->section, "key", c->key, "label", c->label, "unit", unit, "number",
                     number_in(si, factor, offset), "text", text, "given", (int)given, "low", low / factor - offset,
                     "high", high / factor - offset, "without", c->without == NULL ? "" : c->without, "accepted",
                     key->accept);
}

json_t *serve_controls(const serve_job *job, const serve_build *build)
{
    json_t *list = json_array();
    int bad = list == NULL;
    for (size_t i = 0; i < CONTROLS && !bad; i++) {
        const control *c = &controls[i];
        swl_buf text = {0};
        swl_buf other = {0};
        bool given = given_as(job, build, c->section, c->key, &text);
        const char *const instead[] = {c->instead, c->or_instead};
        bool shown = given || c->without != NULL;
        for (size_t k = 0; k < 2 && !given && instead[k] != NULL; k++) {
            shown = shown && !given_as(job, build, c->section, instead[k], &other);
        }
        if (shown) {
            bad |= json_array_append_new(list, control_json(build, c, given, swl_buf_text(&text))) != 0;
        }
        swl_buf_free(&text);
        swl_buf_free(&other);
    }
    return swl_json_whole(list, bad);
}
