/* A comparison drawn: one scale for all maps, every size drawn or refused, and what the page says. */
#include "support/scene.h"

#include "sweptline/compare.h"

#include <stdlib.h>
#include <string.h>

/* Builds of the demo with ever smaller blower pulleys, Roots and screw in turn. */
typedef struct page {
    size_t count;
    swl_build roots;
    swl_build screw;
    swl_build builds[SWL_COMPARE_MOST];
    const swl_build *built[SWL_COMPARE_MOST];
    swl_compare compare;
    swl_field fields[SWL_COMPARE_MOST];
    swl_trace traces[SWL_COMPARE_MOST][SWL_TRACES_MAX];
    swl_point marks[SWL_COMPARE_MOST][SWL_MARKS_MAX];
    swl_chart charts[SWL_COMPARE_MOST];
    swl_map_scale scale;
    swl_compare_chart chart;
} page;

static void page_chart(page *p, size_t i)
{
    const swl_compare_build *one = &p->compare.builds[i];
    swl_match *match = test_match_new(&one->build);
    assert_int_equal(swl_field_init(&p->fields[i], match, one->build.blower.map, 3, 31, NULL), SWL_OK);
    p->charts[i] = (swl_chart){.title = "Invented & drawn for a test, a pulley",
                               .blower = &one->build.blower,
                               .build = one->solved ? &one->build : NULL,
                               .check = one->solved ? &one->check : NULL,
                               .marks = p->marks[i],
                               .mark_count = one->solved ? swl_check_marks(match, &one->check, p->marks[i]) : 0,
                               .field = &p->fields[i],
                               .traces = p->traces[i],
                               .trace_count = swl_field_traces(match, &one->build.blower, &p->fields[i], p->traces[i]),
                               .site_pa = one->build.site.p_pa,
                               .t_discharge_limit_k = one->build.limits.t_discharge_k,
                               .units = SWL_UNITS_SI,
                               .scale = &p->scale,
                               .lean = SWL_LEAN};
    swl_match_free(match);
}

static void page_open(page *p, size_t count, const swl_compare_wish *wish)
{
    *p = (page){.count = count};
    p->roots = test_build_load("maps/estate-roots.ini");
    p->screw = test_build_load("maps/estate-screw.ini");
    for (size_t i = 0; i < count; i++) {
        p->builds[i] = i % 2 == 0 ? p->roots : p->screw;
        p->builds[i].drive.d_blower_m *= 1.1 - 0.07 * (double)i;
        p->built[i] = &p->builds[i];
    }
    double speeds_rpm[SWL_COMPARE_SPEEDS_MAX];
    size_t speeds = swl_compare_speeds(p->built, count, speeds_rpm);
    assert_int_equal(swl_compare_run(p->built, count, wish, speeds_rpm, speeds, &p->compare, NULL), SWL_OK);
    for (size_t i = 0; i < count; i++) {
        page_chart(p, i);
    }
    assert_int_equal(swl_draw_scale(p->charts, count, &p->scale, NULL), SWL_OK);
    p->chart = (swl_compare_chart){.title = "Donors <compared>",
                                   .subtitle = "Invented & drawn for a test",
                                   .table_caption = "Of the table.",
                                   .caption = "A caption of one paragraph.",
                                   .compare = &p->compare,
                                   .charts = p->charts,
                                   .scale = &p->scale,
                                   .units = SWL_UNITS_SI};
}

static void page_close(page *p)
{
    for (size_t i = 0; i < p->count; i++) {
        swl_field_free(&p->fields[i]);
    }
    swl_compare_free(&p->compare);
    swl_build_free(&p->roots);
    swl_build_free(&p->screw);
}

static const swl_compare_wish as_fitted = {.value = NAN, .engine_rpm = NAN};

static swl_status page_drawer(const void *chart, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_compare(chart, picture, out, err);
}

static swl_buf drawn(const page *p, swl_format format, int width, int height)
{
    return drawn_by(page_drawer, &p->chart, picture_of(format, width, height, 96));
}

/* The scale holds every map and every line, and its levels rise within what the maps hold. */
static void one_scale_holds_all(void **state)
{
    (void)state;
    page p;
    page_open(&p, 2, &as_fitted);
    double best = 0;
    for (size_t i = 0; i < 2; i++) {
        const swl_field *field = &p.fields[i];
        assert_true(p.scale.ratio_low <= field->p_ratio[0]);
        assert_true(p.scale.ratio_high >= field->p_ratio[field->ratios - 1]);
        for (size_t n = 0; n < field->speeds * field->ratios; n++) {
            assert_true(p.scale.vdot_m3_s >= field->vdot_m3_s[n]);
            best = fmax(best, field->ea_frac[n]);
        }
        for (size_t k = 0; k < p.compare.builds[i].check.line_count; k++) {
            assert_true(p.scale.vdot_m3_s >= p.compare.builds[i].check.line[k].map_vdot_m3_s);
        }
    }
    assert_true(p.scale.level_count >= 4);
    for (size_t k = 1; k < p.scale.level_count; k++) {
        assert_true(p.scale.level[k] > p.scale.level[k - 1]);
    }
    assert_true(p.scale.level[p.scale.level_count - 1] < best);
    /* The order of the maps does not matter. */
    swl_chart turned[] = {p.charts[1], p.charts[0]};
    swl_map_scale other;
    assert_int_equal(swl_draw_scale(turned, 2, &other, NULL), SWL_OK);
    assert_memory_equal(&other, &p.scale, sizeof other);
    assert_int_equal(swl_draw_scale(turned, 0, &other, NULL), SWL_ERR_USAGE);
    page_close(&p);
}

/* Every label of an SVG starts on the page. */
static void labels_are_on_the_page(const char *svg, double width, double height)
{
    size_t n = 0;
    for (const char *at = strstr(svg, "<text "); at != NULL; at = strstr(at + 1, "<text ")) {
        const char *turned = strstr(at, "translate(");
        const char *end = strchr(at, '>');
        double x = 0;
        double y = 0;
        if (turned != NULL && turned < end) {
            assert_int_equal(sscanf(turned, "translate(%lf %lf)", &x, &y), 2);
        } else {
            assert_int_equal(sscanf(strstr(at, " x="), " x=\"%lf\" y=\"%lf\"", &x, &y), 2);
        }
        assert_true(x >= 0 && x <= width && y >= 0 && y <= height);
        n++;
    }
    assert_true(n > 50);
}

static void page_says_what_it_shows(void **state)
{
    (void)state;
    for (size_t count = 2; count <= SWL_COMPARE_MOST; count++) {
        page p;
        page_open(&p, count, &as_fitted);
        swl_buf svg = drawn(&p, SWL_FORMAT_SVG, 1600, 1000);
        labels_are_on_the_page(swl_buf_text(&svg), 1600, 1000);
        text_has(&svg, "Donors &lt;compared&gt;");
        assert_int_equal(text_times(&svg, "Invented &amp; drawn for a test, a pulley"), count);
        static const char *const titles[] = {"Boost, kPa",        "Discharge, degC", "Drive power, kW",
                                             "Crank power, kW",   "Charge, degC",    "Air flow, kg/h",
                                             "Speed, % of limit", "pressure ratio",  "6400 rpm"};
        for (size_t k = 0; k < sizeof titles / sizeof titles[0]; k++) {
            text_has(&svg, titles[k]);
        }
        assert_int_equal(text_times(&svg, ">B - A<"), count == 2 ? p.compare.speed_count : 0);
        assert_int_equal(text_times(&svg, "Of the table."), 1);
        swl_buf again = drawn(&p, SWL_FORMAT_SVG, 1600, 1000);
        same_bytes(&svg, &again);
        swl_buf_free(&svg);
        swl_buf_free(&again);
        page_close(&p);
    }
}

/* A small page leaves out its table and says so. */
static void small_pages_say_what_is_left_out(void **state)
{
    (void)state;
    page p;
    page_open(&p, 6, &as_fitted);
    swl_buf svg = drawn(&p, SWL_FORMAT_SVG, 700, 480);
    text_has(&svg, "A larger picture has room for ");
    text_lacks(&svg, "Of the table.");
    swl_buf_free(&svg);
    page_close(&p);
}

static void every_size_is_drawn_or_refused(void **state)
{
    (void)state;
    static const int sizes[][2] = {{320, 320}, {320, 1000}, {1000, 320}, {800, 600}, {600, 1600}, {2400, 700}};
    static const double dpis[] = {48, 96, 200, 600};
    for (size_t count = 2; count <= SWL_COMPARE_MOST; count += 2) {
        page p;
        page_open(&p, count, &as_fitted);
        (void)sizes_refused(page_drawer, &p.chart, sizes, sizeof sizes / sizeof sizes[0], dpis, 4);
        page_close(&p);
    }
}

/* A build that cannot give what is compared at keeps its map and has no line. */
static void a_build_without_a_line_is_drawn(void **state)
{
    (void)state;
    page p;
    const swl_compare_wish wish = {.goal = SWL_COMPARE_FLOW, .value = 0.33, .engine_rpm = NAN};
    page_open(&p, 3, &wish);
    /* As if the first had not been solved. */
    p.compare.builds[0].solved = false;
    p.compare.first = 1;
    p.charts[0].check = NULL;
    p.charts[0].build = NULL;
    p.charts[0].mark_count = 0;
    for (size_t k = 0; k < SWL_COMPARE_SPEEDS_MAX; k++) {
        for (size_t q = 0; q < SWL_COMPARE_VALUES; q++) {
            p.compare.builds[0].at[k][q].value = NAN;
        }
    }
    swl_buf svg = drawn(&p, SWL_FORMAT_SVG, 1600, 1000);
    text_lacks(&svg, "nan");
    swl_buf_free(&svg);
    page_close(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_scale_holds_all),
        cmocka_unit_test(page_says_what_it_shows),
        cmocka_unit_test(small_pages_say_what_is_left_out),
        cmocka_unit_test(every_size_is_drawn_or_refused),
        cmocka_unit_test(a_build_without_a_line_is_drawn),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
