/* Something to draw: a build with its operating line and its map laid out. */
#ifndef TESTS_SUPPORT_SCENE_H
#define TESTS_SUPPORT_SCENE_H

#include "support/builds.h"
#include "support/words.h"

#include "sweptline/draw.h"

/* A sanitizer build also sees what two libraries keep until the end; that is not a fault of the program. */
#if defined(__has_feature)
#if __has_feature(address_sanitizer)
#define TEST_SANITIZED
#endif
#endif
#if defined(__SANITIZE_ADDRESS__) || defined(TEST_SANITIZED)
const char *__lsan_default_suppressions(void);
const char *__lsan_default_options(void);

const char *__lsan_default_suppressions(void)
{
    return "leak:libfontconfig\nleak:libltdl\n";
}

const char *__lsan_default_options(void)
{
    return "print_suppressions=0";
}
#endif

typedef struct scene {
    swl_build build;
    swl_match *match;
    swl_check check;
    swl_field field;
    swl_trace traces[2];
    swl_point marks[SWL_MARKS_MAX];
    swl_chart chart;
} scene;

static inline void scene_traces(scene *s)
{
    s->chart.trace_count = swl_field_traces(s->match, &s->build.blower, &s->field, s->traces);
}

/* Takes the build over. Returns: false when it has no operating line. */
static inline bool scene_open(scene *s, swl_build build, const char *title)
{
    *s = (scene){.build = build};
    swl_err err = {0};
    if (swl_check_run(&s->build, &s->check, &err) != SWL_OK) {
        swl_build_free(&s->build);
        return false;
    }
    s->match = test_match_new(&s->build);
    assert_int_equal(swl_field_init(&s->field, s->match, s->build.blower.map, 4, 41, &err), SWL_OK);
    s->chart = (swl_chart){.title = title,
                           .subtitle = "Invented & drawn for a test",
                           .caption = "A caption <of> one paragraph.",
                           .blower = &s->build.blower,
                           .build = &s->build,
                           .check = &s->check,
                           .marks = s->marks,
                           .mark_count = swl_check_marks(s->match, &s->check, s->marks),
                           .field = &s->field,
                           .traces = s->traces,
                           .site_pa = s->build.site.p_pa,
                           .t_discharge_limit_k = s->build.limits.t_discharge_k,
                           .units = SWL_UNITS_SI};
    scene_traces(s);
    return true;
}

static inline void scene_demo(scene *s)
{
    assert_true(scene_open(s, test_build_load("maps/estate-roots.ini"), "Estate car (invented)"));
}

static inline void scene_close(scene *s)
{
    swl_field_free(&s->field);
    swl_match_free(s->match);
    swl_check_free(&s->check);
    swl_build_free(&s->build);
}

static inline swl_picture picture_of(swl_format format, int width, int height, double dpi)
{
    return (swl_picture){.format = format, .width = width, .height = height, .dpi = dpi};
}

/* What draws a chart of some kind. */
typedef swl_status test_drawer(const void *chart, const swl_picture *picture, swl_buf *out, swl_err *err);

static inline swl_buf drawn_by(test_drawer *drawer, const void *chart, swl_picture picture)
{
    swl_buf out = {0};
    swl_err err = {0};
    if (drawer(chart, &picture, &out, &err) != SWL_OK) {
        fail_msg("%dx%d at %g dpi: %s", picture.width, picture.height, picture.dpi, err.text);
    }
    return out;
}

/* A size and a dpi that are both in range are drawn or refused, never left to a plotting library to stumble over.
 * Returns: how many are refused. */
static inline size_t sizes_refused(test_drawer *drawer, const void *chart, const int (*sizes)[2], size_t size_count,
                                   const double *dpis, size_t dpi_count)
{
    size_t refused = 0;
    for (size_t i = 0; i < size_count * dpi_count; i++) {
        swl_buf out = {0};
        swl_err err = {0};
        const int *size = sizes[i / dpi_count];
        swl_picture picture = picture_of(SWL_FORMAT_PNG, size[0], size[1], dpis[i % dpi_count]);
        swl_status status = drawer(chart, &picture, &out, &err);
        if (status != SWL_OK && status != SWL_ERR_USAGE) {
            fail_msg("%dx%d at %g dpi: %s", picture.width, picture.height, picture.dpi, err.text);
        }
        refused += status == SWL_ERR_USAGE;
        swl_buf_free(&out);
    }
    return refused;
}

static inline swl_status scene_drawer(const void *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_chart(chart, picture, out, err);
}

static inline swl_buf draw(const scene *s, swl_picture picture)
{
    return drawn_by(scene_drawer, &s->chart, picture);
}

#endif
