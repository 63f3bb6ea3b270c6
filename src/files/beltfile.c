#include "files/beltfile.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RIGHT_HERE(member) offsetof(belt_raw, belt.member)
#define OF_PULLEY(member) offsetof(swl_belt_pulley, member)

static const char *const kind_words[] = {"ribbed", "flat", NULL};
static const char *const hold_words[] = {"fixed centres", "automatic tensioner", NULL};
static const char *const side_words[] = {"ribs", "back", NULL};
static const char *const runs_words[] = {"either way", "clockwise", "counterclockwise", NULL};
static const char *const line_words[] = {"effective line", "pitch line", NULL};

#define TURN (2 * 3.14159265358979323846)

static const swl_key belt_keys[] = {
    {"belt", "path", KEY_OWN, 0, 0, 0, 0,
     "a list of the names of the pulleys with commas between, in the order in which the belt meets them as it runs,",
     NULL, KEY_REQUIRED, 0},
    {"belt", "tension", KEY_CHOICE, 0, RIGHT_HERE(hold), 0, 0, "fixed centres or automatic tensioner", hold_words,
     KEY_REQUIRED, 0},
    {"belt", "static_tension", KEY_QUANTITY, SWL_DIM_FORCE, offsetof(belt_raw, layouts[0].static_tension_n), 1, 2e4,
     "1 N to 20000 N", NULL, 0, 0},
    {"belt", "type", KEY_CHOICE, 0, RIGHT_HERE(kind), 0, 0, "ribbed or flat", kind_words, 0, 0},
    {"belt", "runs", KEY_CHOICE, 0, RIGHT_HERE(runs), 0, 0, "clockwise, counterclockwise or either way", runs_words, 0,
     0},
    {"belt", "friction", KEY_QUANTITY, SWL_DIM_NUMBER, RIGHT_HERE(friction), 0.02, 1.5,
     "0.02 to 1.5, of belt on pulley without the wedge of the grooves,", NULL, 0, 0},
    {"belt", "back_friction", KEY_QUANTITY, SWL_DIM_NUMBER, RIGHT_HERE(back_friction), 0.02, 1.5, "0.02 to 1.5", NULL,
     0, 0},
    {"belt", "groove_angle", KEY_QUANTITY, SWL_DIM_ANGLE, RIGHT_HERE(groove_rad), TURN / 36, TURN / 3,
     "10 deg to 120 deg between the two flanks of a groove", NULL, 0, 0},
    {"belt", "back_offset", KEY_QUANTITY, SWL_DIM_LENGTH, RIGHT_HERE(back_offset_m), 0, 0.02,
     "0 mm to 20 mm from the pitch line to the back", NULL, 0, 0},
    {"belt", "mass", KEY_QUANTITY, SWL_DIM_LINE_MASS, RIGHT_HERE(mass_kg_m), 0, 5, "0 to 5 kg/m, of the whole width,",
     NULL, 0, 0},
    {"belt", "mass_per_rib", KEY_QUANTITY, SWL_DIM_LINE_MASS, offsetof(belt_raw, mass_per_rib_kg_m), 0, 1,
     "0 to 1 kg/m", NULL, 0, 0},
    {"belt", "speed_limit", KEY_QUANTITY, SWL_DIM_VELOCITY, RIGHT_HERE(speed_limit_m_s), 1, 200, "1 m/s to 200 m/s",
     NULL, 0, 0},
    {"belt", "tension_limit", KEY_QUANTITY, SWL_DIM_FORCE, RIGHT_HERE(tension_limit_n), 1, 1e5, "1 N to 100000 N", NULL,
     0, 0},
    {"belt", "lengths", KEY_OWN, 0, 0, 0, 0, "lengths of belts with commas between, as `1700 mm, 1715 mm`,", NULL, 0,
     0},
    {"belt", "lengths_at", KEY_CHOICE, 0, RIGHT_HERE(lengths_at), 0, 0, "effective line or pitch line", line_words, 0,
     0},
};
#define PLACE_RANGE -5, 5, "x, y as `120 mm, -45 mm`, each within 5 m,"

static const swl_key pulley_keys[] = {
    {"pulley", "centre", KEY_PAIR, SWL_DIM_LENGTH, OF_PULLEY(centre), PLACE_RANGE, NULL, KEY_REQUIRED, 0},
    {"pulley", "diameter", KEY_QUANTITY, SWL_DIM_LENGTH, OF_PULLEY(d_m), 0.02, 1, "20 mm to 1000 mm", NULL, 0, 0},
    {"pulley", "side", KEY_CHOICE, 0, OF_PULLEY(side), 0, 0, "ribs or back", side_words, 0, 0},
    {"pulley", "power", KEY_CURVE, SWL_DIM_POWER, OF_PULLEY(power_w), 0, 1e6,
     "0 kW to 1000 kW, one number or a curve as `1500 rpm: 1 kW, 6000 rpm: 4 kW`,", NULL, KEY_CONSTANT, 0},
    {"pulley", "torque", KEY_CURVE, SWL_DIM_TORQUE, OF_PULLEY(torque_nm), 0, 5000,
     "0 to 5000 N.m, one number or a curve as `1500 rpm: 8 N.m, 6000 rpm: 12 N.m`,", NULL, KEY_CONSTANT, 0},
    {"pulley", "travel_from", KEY_PAIR, SWL_DIM_LENGTH, OF_PULLEY(from), PLACE_RANGE, NULL, 0, 0},
    {"pulley", "travel_to", KEY_PAIR, SWL_DIM_LENGTH, OF_PULLEY(to), PLACE_RANGE, NULL, 0, 0},
    {"pulley", "pivot", KEY_PAIR, SWL_DIM_LENGTH, OF_PULLEY(pivot), PLACE_RANGE, NULL, 0, 0},
    {"pulley", "swing", KEY_PAIR, SWL_DIM_ANGLE, OF_PULLEY(swing_from_rad), -TURN / 2, TURN / 2,
     "two angles from the centre given, counterclockwise above 0, as `-12 deg, 10 deg`,", NULL, 0, 0},
};
_Static_assert(sizeof belt_keys / sizeof belt_keys[0] == BELT_KEYS, "a place for every key of the belt");
_Static_assert(sizeof pulley_keys / sizeof pulley_keys[0] == PULLEY_KEYS, "a place for every key of a pulley");
_Static_assert(offsetof(swl_belt_pulley, swing_to_rad) == offsetof(swl_belt_pulley, swing_from_rad) + sizeof(double),
               "the two angles are read as a pair");
_Static_assert(offsetof(swl_xy, y_m) == sizeof(double), "a point is read as a pair");

/* What stands behind "pulley " or "alternative ". Returns: false when the section is another one. */
static bool name_behind(swl_slice section, const char *word, swl_slice *name)
{
    size_t n = strlen(word);
    if (section.len <= n || memcmp(section.at, word, n) != 0) {
        return false;
    }
    *name = swl_slice_trim((swl_slice){section.at + n, section.len - n});
    return true;
}

/* Keeps a name; a dot and a comma have a meaning of their own. */
static bool name_keep(const belt_reader *r, swl_slice name, char *to)
{
    bool marks = false;
    for (size_t i = 0; i < name.len; i++) {
        marks = marks || strchr(".,;\"", name.at[i]) != NULL;
    }
    if (name.len == 0 || name.len >= SWL_BELT_NAME_MAX || marks) {
        swl_belt_tell(r, name.at,
                      "read `%.*s`; a name of at most %d bytes without commas, points or quotes is accepted",
                      swl_slice_shown(name), name.at, SWL_BELT_NAME_MAX - 1);
        return false;
    }
    memcpy(to, name.at, name.len);
    to[name.len] = '\0';
    return true;
}

static swl_status pulley_read(belt_reader *r, swl_slice section, swl_slice name, swl_err *err)
{
    swl_belt_layout *layout = &r->raw.layouts[0];
    size_t n = layout->pulley_count;
    /* NAN where a value was refused, so that nothing more is told of it. */
    swl_belt_pulley pulley = {.d_m = NAN, .side = -1, .swing_from_rad = NAN, .swing_to_rad = NAN};
    pulley.centre = pulley.from = pulley.to = pulley.pivot = (swl_xy){NAN, NAN};
    if (!name_keep(r, name, pulley.name)) {
        return SWL_OK;
    }
    if (swl_belt_find(layout, name) < n) {
        swl_belt_tell(r, section.at, "pulley %s is given twice", pulley.name);
        return SWL_OK;
    }
    if (n == SWL_BELT_PULLEYS_MAX) {
        swl_belt_tell(r, section.at, "more than %d pulleys; fewer are accepted", SWL_BELT_PULLEYS_MAX);
        return SWL_OK;
    }
    layout->pulleys[n] = pulley;
    layout->pulley_count++;
    r->places.pulley_section[n] = section;
    return swl_keys_section_read(r->file, r->ini, section, pulley_keys, PULLEY_KEYS, r->places.pulley[n],
                                 &layout->pulleys[n], err);
}

/* The path's names become places. Returns: false with findings when one is not a pulley. */
static bool path_read(const belt_reader *r, swl_slice value, swl_belt_layout *layout)
{
    bool ok = true;
    size_t count = 0;
    for (swl_slice rest = value; rest.at != NULL;) {
        swl_slice name = swl_slice_trim(swl_slice_split(&rest, ','));
        size_t found = swl_belt_find(layout, name);
        bool again = false;
        for (size_t k = 0; k < count; k++) {
            again = again || layout->path[k] == found;
        }
        if (name.len == 0 || found == layout->pulley_count) {
            swl_buf known = {0};
            for (size_t i = 0; i < layout->pulley_count; i++) {
                swl_buf_printf(&known, "%s%s", i > 0 ? ", " : "", layout->pulleys[i].name);
            }
            if (name.len == 0) {
                swl_belt_tell(r, name.at != NULL ? name.at : value.at,
                              "path: read nothing between two commas; a name is wanted");
            } else {
                swl_belt_tell(r, name.at, "path: read `%.*s`; %s%s", swl_slice_shown(name), name.at,
                              layout->pulley_count == 0 ? "there is no [pulley NAME]" : "one of these is accepted: ",
                              swl_buf_text(&known));
            }
            swl_buf_free(&known);
            ok = false;
        } else if (again) {
            swl_belt_tell(r, name.at, "path: read `%.*s` again; a belt that meets a pulley twice is not computed",
                          swl_slice_shown(name), name.at);
            ok = false;
        } else {
            layout->path[count++] = found;
        }
    }
    layout->path_count = count;
    if (ok && count < 2) {
        swl_belt_tell(r, value.at, "path: read one pulley; two or more are accepted");
        ok = false;
    }
    return ok;
}

/* ---- alternatives ---- */

/* One line of an alternative: path, static_tension, or PULLEY.KEY. */
static swl_status change_read(belt_reader *r, const swl_ini_entry *entry, swl_belt_layout *layout, swl_slice *path,
                              swl_slice (*place)[PULLEY_KEYS], swl_err *err)
{
    const char *dot = memchr(entry->key.at, '.', entry->key.len);
    if (entry->value.len == 0) {
        return SWL_OK;
    }
    if (swl_slice_is(entry->key, "path")) {
        *path = entry->value;
        return SWL_OK;
    }
    if (swl_slice_is(entry->key, "static_tension")) {
        swl_key key = belt_keys[BELT_STATIC_TENSION];
        key.offset = offsetof(swl_belt_layout, static_tension_n);
        return swl_key_value_read(r->file, &key, entry->value, layout, err);
    }
    swl_slice name = {entry->key.at, dot == NULL ? 0 : (size_t)(dot - entry->key.at)};
    size_t i = dot == NULL ? layout->pulley_count : swl_belt_find(layout, swl_slice_trim(name));
    for (int k = 0; k < PULLEY_KEYS && i < layout->pulley_count; k++) {
        swl_slice word = swl_slice_trim((swl_slice){dot + 1, entry->key.len - name.len - 1});
        if (swl_slice_is(word, pulley_keys[k].name)) {
            place[i][k] = entry->value;
            return swl_key_value_read(r->file, &pulley_keys[k], entry->value, &layout->pulleys[i], err);
        }
    }
    swl_belt_tell(r, entry->key.at,
                  "`%.*s`: an alternative accepts path, static_tension, and keys of pulleys as `idler.centre`; %s",
                  swl_slice_shown(entry->key), entry->key.at,
                  i < layout->pulley_count ? "this is no key of a pulley" : "this names no pulley");
    return SWL_OK;
}

static swl_status alternative_read(belt_reader *r, const swl_drive *drive, swl_slice section, swl_slice name,
                                   swl_err *err)
{
    size_t n = r->raw.layout_count;
    size_t changes = 0;
    swl_slice path = {NULL, 0};
    swl_slice place[SWL_BELT_PULLEYS_MAX][PULLEY_KEYS];
    if (n == SWL_BELT_LAYOUTS_MAX) {
        swl_belt_tell(r, section.at, "more than %d alternatives; fewer are accepted", SWL_BELT_LAYOUTS_MAX - 1);
        return SWL_OK;
    }
    swl_belt_layout *layout = &r->raw.layouts[n];
    *layout = r->raw.layouts[0];
    memcpy(place, r->places.pulley, sizeof place);
    if (!name_keep(r, name, layout->name)) {
        return SWL_OK;
    }
    for (size_t k = 1; k < n; k++) {
        if (strcmp(r->raw.layouts[k].name, layout->name) == 0) {
            swl_belt_tell(r, section.at, "alternative %s is given twice", layout->name);
            return SWL_OK;
        }
    }
    r->raw.layout_count++;
    r->places.layout_section[n] = section;
    swl_status status = SWL_OK;
    r->file->at_middle = true;
    for (size_t i = 0; i < r->ini->count && status == SWL_OK; i++) {
        if (r->ini->entries[i].section.at == section.at) {
            status = change_read(r, &r->ini->entries[i], layout, &path, place, err);
            changes++;
        }
    }
    r->file->at_middle = false;
    if (changes == 0) {
        swl_belt_tell(r, section.at, "alternative %s changes nothing; a key as `idler.centre = 10 mm, 20 mm` is wanted",
                      layout->name);
    }
    for (size_t i = 0; i < layout->pulley_count; i++) {
        /* What the pulley's own section has wrong is told there. */
        if (memcmp(place[i], r->places.pulley[i], sizeof place[i]) != 0) {
            swl_belt_pulley_finish(r, drive, &layout->pulleys[i], place[i], section, true);
        }
    }
    r->places.layout_path[n] = path.at != NULL ? path : r->places.layout_path[0];
    return status;
}

/* ---- the whole ---- */

static bool in_path(const swl_belt_layout *layout, size_t pulley)
{
    bool found = false;
    for (size_t k = 0; k < layout->path_count; k++) {
        found = found || layout->path[k] == pulley;
    }
    return found;
}

/* The two ends of the drive are on every path, one pulley at most moves, and an automatic tensioner is one. */
static void path_pulleys(const belt_reader *r, const swl_belt_layout *layout, swl_slice path)
{
    static const char *const ends[] = {"crank", "blower"};
    for (int i = 0; i < 2; i++) {
        if (!in_path(layout, swl_belt_find(layout, swl_slice_of(ends[i])))) {
            swl_belt_tell(r, path.at, "path: %s is not in it; pulleys called crank and blower are wanted", ends[i]);
        }
    }
    size_t movers = 0;
    for (size_t k = 0; k < layout->path_count; k++) {
        movers += layout->pulleys[layout->path[k]].travel != SWL_BELT_STILL;
    }
    if (movers > 1) {
        swl_belt_tell(r, path.at, "path: %zu of its pulleys have a travel; one at most is accepted", movers);
    }
    if (movers == 0 && r->raw.belt.hold == SWL_BELT_AUTOMATIC) {
        swl_belt_tell(r, path.at,
                      "path: tension is automatic tensioner, and none of its pulleys has a travel; give one "
                      "travel_to, or pivot and swing");
    }
}

/* Where a fault of a layout is told: at an alternative's section, or at the pulley, or at the path. */
static void geometry_check(const belt_reader *r, size_t n, const swl_drive *drive)
{
    swl_belt_layout layout = r->raw.layouts[n];
    swl_belt_path path;
    swl_belt_fault fault;
    swl_belt_diameters(&layout, drive);
    for (size_t i = 0; i < layout.pulley_count; i++) {
        if (!(layout.pulleys[i].d_m > 0)) {
            return;
        }
    }
    if (swl_belt_path_find(&r->raw.belt, &layout, drive->line_differential_m, &path, &fault)) {
        return;
    }
    swl_buf words = {0};
    swl_belt_fault_words(&layout, &fault, &words);
    bool alternative = layout.name[0] != '\0';
    const char *at = r->places.layout_path[0].at;
    if (alternative) {
        at = r->places.layout_section[n].at;
    } else if (fault.kind == SWL_BELT_OVERLAP) {
        at = r->places.pulley_section[fault.b].at;
    }
    swl_belt_tell(r, at, "%s%s%s%s", alternative ? "alternative " : "", layout.name, alternative ? ": " : "",
                  swl_buf_text(&words));
    if (fault.kind == SWL_BELT_CROSSED && r->raw.belt.kind == SWL_BELT_RIBBED) {
        swl_belt_tell(r, at, "a ribbed belt cannot cross itself; a flat one can, with `type = flat`");
    }
    swl_buf_free(&words);
}

static void unused_pulleys(const belt_reader *r)
{
    for (size_t i = 0; i < r->raw.layouts[0].pulley_count; i++) {
        bool used = false;
        for (size_t n = 0; n < r->raw.layout_count; n++) {
            used = used || in_path(&r->raw.layouts[n], i);
        }
        if (!used) {
            swl_belt_tell(r, r->places.pulley_section[i].at, "pulley %s is in no path; name it in path, or take it out",
                          r->raw.layouts[0].pulleys[i].name);
        }
    }
}

/* Reads every section; geometry is looked at only where all that it rests on was accepted. */
static swl_status sections_read(belt_reader *r, swl_slice section, const swl_drive *drive, swl_err *err)
{
    const swl_ini *ini = r->ini;
    size_t errors = r->file->diags->errors;
    swl_belt_layout *base = &r->raw.layouts[0];
    swl_slice name;
    swl_status status =
        swl_keys_section_read(r->file, ini, section, belt_keys, BELT_KEYS, r->places.belt, &r->raw, err);
    for (size_t i = 0; i < ini->section_count && status == SWL_OK; i++) {
        if (name_behind(ini->sections[i], "pulley ", &name)) {
            status = pulley_read(r, ini->sections[i], name, err);
        }
    }
    r->places.layout_path[0] = r->places.belt[BELT_PATH];
    for (size_t i = 0; i < base->pulley_count; i++) {
        swl_belt_pulley_finish(r, drive, &base->pulleys[i], r->places.pulley[i], r->places.pulley_section[i], false);
    }
    swl_belt_finish(r, drive);
    for (size_t i = 0; i < ini->section_count && status == SWL_OK; i++) {
        if (name_behind(ini->sections[i], "alternative ", &name)) {
            status = alternative_read(r, drive, ini->sections[i], name, err);
        }
    }
    bool paths = status == SWL_OK;
    for (size_t n = 0; n < r->raw.layout_count && status == SWL_OK; n++) {
        swl_slice path = r->places.layout_path[n];
        if (path.at == NULL || path.len == 0) {
            paths = false;
        } else if (n > 0 && path.at == r->places.layout_path[0].at) {
            memcpy(r->raw.layouts[n].path, base->path, sizeof base->path);
            r->raw.layouts[n].path_count = base->path_count;
        } else {
            paths = path_read(r, path, &r->raw.layouts[n]) && paths;
        }
    }
    if (!paths) {
        return status;
    }
    for (size_t n = 0; n < r->raw.layout_count; n++) {
        bool own = n == 0 || r->places.layout_path[n].at != r->places.layout_path[0].at;
        path_pulleys(r, &r->raw.layouts[n], own ? r->places.layout_path[n] : r->places.layout_section[n]);
    }
    unused_pulleys(r);
    for (size_t n = 0; n < r->raw.layout_count && r->file->diags->errors == errors; n++) {
        geometry_check(r, n, drive);
    }
    return status;
}

swl_status swl_belt_sections_read(swl_keys_file *file, const swl_ini *ini, swl_build *build, swl_err *err)
{
    swl_slice section = {NULL, 0};
    swl_slice name;
    const char *orphan = NULL;
    for (size_t i = 0; i < ini->section_count; i++) {
        section = swl_slice_is(ini->sections[i], "belt") ? ini->sections[i] : section;
        bool part =
            name_behind(ini->sections[i], "pulley ", &name) || name_behind(ini->sections[i], "alternative ", &name);
        orphan = part && orphan == NULL ? ini->sections[i].at : orphan;
    }
    if (section.at == NULL) {
        if (orphan != NULL) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, orphan,
                         "there is no [belt] for it; one with path and tension is wanted");
        }
        return SWL_OK;
    }
    belt_reader *r = calloc(1, sizeof *r);
    swl_belt *belt = malloc(sizeof *belt);
    swl_belt_layout *layouts = malloc(sizeof r->raw.layouts);
    if (r == NULL || belt == NULL || layouts == NULL) {
        free(r);
        free(belt);
        free(layouts);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the belt");
    }
    r->file = file;
    r->ini = ini;
    r->raw.mass_per_rib_kg_m = SWL_BELT_MASS_PER_RIB_KG_M;
    r->raw.layout_count = 1;
    r->raw.layouts[0].static_tension_n = NAN;
    r->raw.belt = (swl_belt){.friction = SWL_BELT_FRICTION,
                             .back_friction = SWL_BELT_BACK_FRICTION,
                             .groove_rad = SWL_BELT_GROOVE_RAD,
                             .back_offset_m = SWL_BELT_BACK_OFFSET_M,
                             .mass_kg_m = NAN,
                             .speed_limit_m_s = NAN,
                             .tension_limit_n = NAN};
    swl_status status = sections_read(r, section, &build->drive, err);
    /* Kept whatever was found, so that its curves are freed with the build. */
    *belt = r->raw.belt;
    memcpy(layouts, r->raw.layouts, sizeof r->raw.layouts);
    belt->layouts = layouts;
    belt->layout_count = r->raw.layout_count;
    build->belt = belt;
    free(r);
    return status;
}
