#include "files/water.h"

#include <string.h>

static swl_slice given(const swl_keys_file *file, const char *name)
{
    return swl_keys_given(file, "cooler", name);
}

static bool has(const swl_keys_file *file, const char *name)
{
    return given(file, name).at != NULL;
}

/* Whether any of a list of keys was given, which ends with NULL; the list joined by "or". */
static bool any_of(const swl_keys_file *file, const char *const *names, swl_buf *words)
{
    bool there = false;
    for (size_t i = 0; names[i] != NULL; i++) {
        there = there || has(file, names[i]);
        swl_buf_printf(words, "%s%s", i == 0 ? "" : names[i + 1] == NULL ? " or " : ", ", names[i]);
    }
    return there;
}

/* One of a list has to be there, and no two. */
static void exactly_one(const swl_keys_file *file, const char *const *names, const char *purpose)
{
    const char *first = NULL;
    swl_buf words = {0};
    bool there = any_of(file, names, &words);
    if (!there) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, NULL, "[cooler] does not say %s; %s is wanted", purpose,
                     swl_buf_text(&words));
    }
    swl_buf_free(&words);
    for (size_t i = 0; names[i] != NULL; i++) {
        if (has(file, names[i]) && first != NULL) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, given(file, names[i]).at,
                         "%s: %s is given too; keep one of the two", names[i], first);
        }
        first = first == NULL && has(file, names[i]) ? names[i] : first;
    }
}

static void refuse_unless(const swl_keys_file *file, const char *name, const char *const *users, const char *why)
{
    swl_buf words = {0};
    if (has(file, name) && !any_of(file, users, &words)) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, given(file, name).at, "%s: %s %s", name, why,
                     swl_buf_text(&words));
    }
    swl_buf_free(&words);
}

static void finish_cooler(const swl_keys_file *file, swl_build *build)
{
    static const char *const cores[] = {"effectiveness", "effectiveness_over_flow", "ua", NULL};
    static const char *const sinks[] = {"coolant_temperature", "front_effectiveness", "front_ua", NULL};
    static const char *const fronts[] = {"front_effectiveness", "front_ua", NULL};
    static const char *const wants[] = {"ua", "front_effectiveness", "front_ua"};
    static const char *const ua[] = {"ua", NULL};
    static const char *const pump[] = {"coolant_flow", NULL};
    static const char *const front_air[] = {"front_air_flow", NULL};
    static const char *const liquid[] = {"coolant_flow", "coolant_volume", NULL};
    exactly_one(file, cores, "how well its core cools");
    exactly_one(file, sinks, "where its coolant gives its heat to");
    for (size_t i = 0; i < 3; i++) {
        refuse_unless(file, wants[i], pump, "wants");
        if (i > 0) {
            refuse_unless(file, wants[i], front_air, "wants");
        }
    }
    refuse_unless(file, "passes", ua, "nothing uses it without");
    refuse_unless(file, "coolant", liquid, "nothing uses it without");
    refuse_unless(file, "front_air_flow", fronts, "nothing uses it without");
    refuse_unless(file, "front_air_temperature", fronts, "nothing uses it without");
    bool pumped = has(file, "coolant_flow") || has(file, "coolant_volume");
    build->assumed |= pumped && !has(file, "coolant") ? SWL_ASSUMED_WATER : 0U;
    build->assumed |= has(file, "ua") && !has(file, "passes") ? SWL_ASSUMED_ONE_PASS : 0U;
    bool loop = has(file, "front_effectiveness") || has(file, "front_ua");
    build->assumed |= loop && !has(file, "front_air_temperature") ? SWL_ASSUMED_FRONT_AIR : 0U;
}

static void speed_within(const swl_keys_file *file, const swl_engine *engine, const char *name, double rpm)
{
    swl_slice at = swl_keys_given(file, "soak", name);
    bool known = engine->speed_from_rpm > 0 && engine->speed_limit_rpm >= engine->speed_from_rpm;
    if (at.at != NULL && known && rpm > 0 && !(rpm >= engine->speed_from_rpm && rpm <= engine->speed_limit_rpm)) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, at.at,
                     "%s: read `%.*s`; speed_from to speed_limit of [engine] is accepted, %.6g to %.6g rpm", name,
                     swl_slice_shown(at), at.at, engine->speed_from_rpm, engine->speed_limit_rpm);
    }
}

static void finish_cycle(const swl_keys_file *file, swl_build *build)
{
    static const char *const needs[] = {"coolant_flow", "coolant_volume"};
    speed_within(file, &build->engine, "pull_from", build->cycle.from_rpm);
    speed_within(file, &build->engine, "pull_to", build->cycle.to_rpm);
    for (size_t i = 0; i < 2; i++) {
        if (!has(file, needs[i])) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, NULL, "%s is missing from [cooler]; [soak] wants it",
                         needs[i]);
        }
    }
    swl_slice air = swl_keys_given(file, "soak", "rest_air_flow");
    if (air.at != NULL && !has(file, "front_effectiveness") && !has(file, "front_ua")) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, air.at,
                     "rest_air_flow: nothing uses it without front_effectiveness or front_ua in [cooler]");
    }
}

void swl_water_finish(const swl_keys_file *file, swl_build *build)
{
    if (swl_keys_section(file, "cooler")) {
        finish_cooler(file, build);
    }
    if (swl_keys_section(file, "soak")) {
        finish_cycle(file, build);
    }
}
