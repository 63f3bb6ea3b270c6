/* The chart of several sites: who is in it, and what it does where there is little to draw. */
#include "support/scene.h"

#include "sweptline/sites.h"

#include <string.h>

static const swl_site_set far_apart[] = {
    {"hot & dry", 320, NAN, NAN, 0.1, false},
    {"thin", NAN, 60e3, NAN, NAN, false},
};

static swl_status sites_drawer(const void *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_sites(chart, picture, out, err);
}

static swl_buf draw_sites_of(const swl_build *build, const swl_site_set *sets, size_t count, swl_picture picture)
{
    swl_sites sites;
    assert_int_equal(swl_sites_run(build, sets, count, &sites, NULL), SWL_OK);
    const swl_site_chart chart = {.title = "Estate car (invented)",
                                  .subtitle = "Invented & drawn for a test",
                                  .caption = "A caption <of> one paragraph.",
                                  .build = build,
                                  .sites = &sites};
    swl_buf out = drawn_by(sites_drawer, &chart, picture);
    swl_sites_free(&sites);
    return out;
}

static void every_site_is_named_in_every_panel(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_buf svg = draw_sites_of(&build, far_apart, 2, picture_of(SWL_FORMAT_SVG, 1600, 1000, 96));
    assert_int_equal(text_times(&svg, ">own site<"), 4);
    assert_int_equal(text_times(&svg, ">hot &amp; dry<"), 4);
    assert_int_equal(text_times(&svg, ">thin<"), 4);
    assert_int_equal(text_times(&svg, ">limit 70<"), 1);
    assert_int_equal(text_times(&svg, ">limit 85 is above this scale<"), 1);
    assert_int_equal(text_times(&svg, "no estimate"), 0);
    swl_buf again = draw_sites_of(&build, far_apart, 2, picture_of(SWL_FORMAT_SVG, 1600, 1000, 96));
    same_bytes(&svg, &again);
    swl_buf_free(&svg);
    swl_buf_free(&again);
    swl_build_free(&build);
}

/* Those past the sixth stay out, and one without an operating line does. */
static void what_is_not_drawn_is_not_named(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_site_set sets[SWL_SITES_DRAWN + 1];
    for (size_t i = 0; i <= SWL_SITES_DRAWN; i++) {
        sets[i] = (swl_site_set){"", 270 + 5 * (double)i, NAN, NAN, 0, false};
        (void)snprintf(sets[i].name, sizeof sets[i].name, "day %zu", i);
    }
    sets[1].t_k = 1200;
    swl_buf svg = draw_sites_of(&build, sets, SWL_SITES_DRAWN + 1, picture_of(SWL_FORMAT_SVG, 1600, 1000, 96));
    assert_int_equal(text_times(&svg, ">day 0<"), 4);
    assert_int_equal(text_times(&svg, ">day 1<"), 0);
    assert_int_equal(text_times(&svg, ">day 4<"), 4);
    assert_int_equal(text_times(&svg, ">day 5<"), 0);
    swl_buf_free(&svg);
    swl_build_free(&build);
}

static void little_to_draw_is_drawn(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    /* A known power that no engine has leaves no estimate. */
    build.engine.known_power_w = 1e3;
    build.engine.known_power_speed_rpm = 6000;
    build.engine.speed_from_rpm = build.engine.speed_limit_rpm;
    swl_buf svg = draw_sites_of(&build, NULL, 0, picture_of(SWL_FORMAT_SVG, 800, 500, 96));
    assert_int_equal(text_times(&svg, ">no estimate<"), 1);
    assert_int_equal(text_times(&svg, ">own site<"), 3);
    swl_buf_free(&svg);
    swl_build_free(&build);
}

static void a_page_too_small_is_refused(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_sites sites;
    assert_int_equal(swl_sites_run(&build, far_apart, 2, &sites, NULL), SWL_OK);
    const swl_site_chart chart = {
        .title = "", .subtitle = "", .caption = "", .build = &build, .sites = &sites, .units = SWL_UNITS_US};
    swl_buf out = {0};
    swl_err err = {0};
    swl_picture picture = picture_of(SWL_FORMAT_PNG, 320, 320, 300);
    assert_int_equal(swl_draw_sites(&chart, &picture, &out, &err), SWL_ERR_USAGE);
    assert_non_null(strstr(err.text, "leaves no room for its type"));
    picture.width = 10;
    assert_int_equal(swl_draw_sites(&chart, &picture, &out, NULL), SWL_ERR_USAGE);
    assert_int_equal(out.len, 0);
    swl_buf_free(&out);
    swl_sites_free(&sites);
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_site_is_named_in_every_panel),
        cmocka_unit_test(what_is_not_drawn_is_not_named),
        cmocka_unit_test(little_to_draw_is_drawn),
        cmocka_unit_test(a_page_too_small_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
