#include "files/keys.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Engine speeds of an option, which must lie in a build's rev range. */
static swl_status speed_read(const char *option, const char *given, const char *place, swl_slice part,
                             const swl_engine *engine, double *rpm, swl_err *err)
{
    swl_slice word = swl_slice_trim(part);
    swl_fault fault = {0};
    if (!swl_rpm_read(word, rpm, &fault)) {
        return swl_option_refuse(option, given, word.len == strlen(given) ? NULL : place, &fault, err);
    }
    if (!(*rpm >= engine->speed_from_rpm && *rpm <= engine->speed_limit_rpm)) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "%s: read `%.*s`; an engine speed within the build's rev range, %.6g rpm to %.6g rpm, is "
                           "accepted",
                           option, swl_slice_shown(word), word.at, engine->speed_from_rpm, engine->speed_limit_rpm);
    }
    return SWL_OK;
}

swl_status swl_speeds_read(const char *option, const char *given, const swl_engine *engine, size_t most, double *rpm,
                           size_t *count, swl_err *err)
{
    swl_status status = SWL_OK;
    *count = 0;
    for (swl_slice rest = swl_slice_of(given); rest.at != NULL && status == SWL_OK;) {
        swl_slice part = swl_slice_split(&rest, ',');
        if (*count == most && most == 1) {
            return swl_err_set(err, SWL_ERR_USAGE, "%s: read `%s`; one engine speed is accepted", option, given);
        }
        if (*count == most) {
            return swl_err_set(err, SWL_ERR_USAGE,
                               "%s: read `%s`; one to %zu engine speeds with commas between are "
                               "accepted",
                               option, given, most);
        }
        char place[32];
        (void)snprintf(place, sizeof place, "speed %zu", *count + 1);
        status = speed_read(option, given, place, part, engine, &rpm[*count], err);
        *count += status == SWL_OK;
    }
    return status;
}

swl_status swl_speed_span_read(const char *option, const char *given, const swl_engine *engine, double *from_rpm,
                               double *to_rpm, swl_err *err)
{
    swl_slice rest = swl_slice_of(given);
    swl_slice from = swl_slice_split(&rest, ':');
    if (rest.at == NULL || memchr(rest.at, ':', rest.len) != NULL) {
        return swl_err_set(err, SWL_ERR_USAGE, "%s: read `%s`; FROM:TO, as 2500rpm:5500rpm, is accepted", option,
                           given);
    }
    swl_status status = speed_read(option, given, "FROM", from, engine, from_rpm, err);
    if (status == SWL_OK) {
        status = speed_read(option, given, "TO", rest, engine, to_rpm, err);
    }
    if (status == SWL_OK && !(*to_rpm > *from_rpm)) {
        status =
            swl_err_set(err, SWL_ERR_USAGE, "%s: read `%s`; FROM:TO with TO above FROM is accepted", option, given);
    }
    return status;
}

swl_status swl_weights_read(const swl_source *source, const char *option, const char *given, swl_curve **weights,
                            swl_diags *diags, swl_err *err)
{
    static const swl_key key = {.name = "weight",
                                .type = KEY_CURVE,
                                .dim = SWL_DIM_NUMBER,
                                .low = 0.001,
                                .high = 1000,
                                .accept = "0.001 to 1000"};
    swl_text text = {0};
    swl_curve *half_width = NULL;
    size_t before = diags->errors;
    *weights = NULL;
    if (swl_slice_trim(swl_slice_of(given)).len == 0) {
        return swl_err_set(err, SWL_ERR_USAGE, "%s: read nothing; a curve as 2500: 1, 4000: 3 is accepted", option);
    }
    swl_status status = swl_text_init(&text, option, given, strlen(given), err);
    if (status != SWL_OK) {
        return status;
    }
    swl_keys_file file = {.source = source, .path = option, .text = &text, .diags = diags, .keys = &key};
    *weights = swl_curve_value_read(&file, &key, (swl_slice){text.work, text.len}, &half_width, err);
    if (diags->errors > before) {
        status = swl_err_set(err, SWL_ERR_USAGE, "%s: the curve has errors; nothing was computed or written", option);
    } else if (*weights == NULL) {
        status = SWL_ERR_MEMORY;
    } else if (half_width != NULL) {
        status = swl_err_set(err, SWL_ERR_USAGE, "%s: read `%s`; a weight carries no +-", option, given);
    }
    if (status != SWL_OK) {
        swl_curve_free(*weights);
        *weights = NULL;
    }
    swl_curve_free(half_width);
    swl_text_free(&text);
    return status;
}
