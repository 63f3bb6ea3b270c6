/* What a sheet is made of: every key as typed and as used, and where the points stand in the drawings. */
#include "support/memory.h"
#include "support/scene.h"

#include "sweptline/files.h"
#include "sweptline/sheet.h"

#include <stdlib.h>
#include <string.h>

static const char build_text[] =
    "[build]\nname = Invented\n[site]\naltitude = 1000 ft ; the yard\n[engine]\ndisplacement = 220 in3\n"
    "speed_from = 1500 rpm\nspeed_step = 500 rpm\nspeed_limit = 6000 rpm\nvolumetric_efficiency = 1500: 78 %,\n"
    "    4000 rpm: 0.9,   # on the dyno\n\t6000: 82 %\n[intake]\nheat_pickup = 4 K +- 1 K\n[blower]\n"
    "unit = \"a unit.ini\"\n[drive]\ncrank_pulley = 165 mm\nblower_pulley = 3.25 in\nbelt = PK 8\n"
    "[limits]\nboost = 12 psi\n";
static const char unit_text[] = "[unit]\nname = Invented unit\nkind = screw\ndisplacement = 1.8 L/rev\n"
                                "[map]\ntable = unit.csv\ntemperature = 77 degF\nefficiency_from = shaft power\n";
static const char table_text[] = "blower speed [rpm],pressure ratio,flow [m3/h],adiabatic efficiency [%]\n"
                                 "2000,1.2,172.8,62\n2000,1.6,151.2,58\n2000,1.8,145,56\n2000,2.0,140,54\n"
                                 "1000,1.2,75.6,60\n1000,1.6,54.0,50\n1000,1.8,50,47\n1000,2.0,47,44\n";

static const swl_input_row *row_of(const swl_input_rows *rows, const char *section, const char *key)
{
    const swl_input_row *found = NULL;
    for (size_t i = 0; i < rows->count; i++) {
        if (strcmp(rows->items[i].section, section) == 0 && strcmp(rows->items[i].key, key) == 0) {
            assert_null(found);
            found = &rows->items[i];
        }
    }
    return found;
}

static void row_is(const swl_input_rows *rows, const char *section, const char *key, const char *typed,
                   const char *shown)
{
    const swl_input_row *row = row_of(rows, section, key);
    if (row == NULL) {
        fail_msg("[%s] %s has no row", section, key);
        return;
    }
    assert_string_equal(row->typed, typed);
    assert_string_equal(row->shown, shown);
    assert_int_equal(row->given, typed[0] != '\0');
}

static void rows_as_typed_and_as_used(void **state)
{
    (void)state;
    memory_file files[MEMORY_FILES] = {
        {"shop/build.ini", build_text}, {"shop/a unit.ini", unit_text}, {"shop/unit.csv", table_text}};
    swl_source source = {.read = memory_read, .context = files};
    swl_build build;
    swl_diags diags = {0};
    swl_err err = {0};
    swl_input_rows rows;
    assert_int_equal(swl_build_load(&source, "shop/build.ini", &build, &diags, &err), SWL_OK);
    assert_int_equal(swl_build_input_rows(&source, "shop/build.ini", &build, SWL_UNITS_SI, &rows, &err), SWL_OK);
    row_is(&rows, "build", "name", "Invented", "Invented");
    row_is(&rows, "site", "altitude", "1000 ft", "305 m");
    row_is(&rows, "engine", "displacement", "220 in3", "3.61 L");
    row_is(&rows, "engine", "volumetric_efficiency", "1500: 78 %, 4000 rpm: 0.9, 6000: 82 %",
           "3 points, 78.0 % to 90.0 %");
    row_is(&rows, "intake", "heat_pickup", "4 K +- 1 K", "4.0 K");
    row_is(&rows, "blower", "unit", "\"a unit.ini\"", "Invented unit");
    row_is(&rows, "drive", "blower_pulley", "3.25 in", "82.5 mm");
    row_is(&rows, "limits", "boost", "12 psi", "82.7 kPa");
    row_is(&rows, "unit", "kind", "screw", "screw");
    row_is(&rows, "map", "temperature", "77 degF", "25.0 degC");
    row_is(&rows, "map", "efficiency_from", "shaft power", "shaft power");
    row_is(&rows, "map", "table", "unit.csv", "");
    /* Defaults; the pressure follows from the altitude by ISO 2533. */
    row_is(&rows, "site", "pressure", "", "97.7 kPa");
    row_is(&rows, "build", "units", "", "si");
    row_is(&rows, "drive", "jackshaft_ratio", "", "1");
    row_is(&rows, "drive", "line_differential", "", "2.0 mm");
    row_is(&rows, "unit", "gear_ratio", "", "1");
    row_is(&rows, "unit", "mechanical_efficiency", "", "100.0 %");
    /* No throttle body, so no coefficient of one; no section, so nothing of it. */
    assert_null(row_of(&rows, "intake", "throttle_coefficient"));
    assert_null(row_of(&rows, "soak", "recovered_within"));
    assert_non_null(strstr(rows.left_out, "[cooler] effectiveness, "));
    assert_non_null(strstr(rows.left_out_unit, "continuous_speed, short_time_speed"));
    swl_input_rows_free(&rows);
    /* In US units the same, otherwise shown. */
    assert_int_equal(swl_build_input_rows(&source, "shop/build.ini", &build, SWL_UNITS_US, &rows, &err), SWL_OK);
    row_is(&rows, "limits", "boost", "12 psi", "12.00 psi");
    row_is(&rows, "site", "altitude", "1000 ft", "1000 ft");
    swl_input_rows_free(&rows);
    assert_int_equal(swl_build_input_rows(&source, "shop/other.ini", &build, SWL_UNITS_US, &rows, &err), SWL_ERR_INPUT);
    swl_input_rows_free(&rows);
    swl_build_free(&build);
    swl_diag_free(&diags);
}

/* What was typed is never shown as not given, and every key of a table is told once, as given, default or left out. */
static void rows_of_the_demo(void **state)
{
    (void)state;
    static const char *const names[] = {"maps/estate-roots.ini",       "maps/estate-screw.ini",
                                        "maps/estate-roots-water.ini", "maps/estate-roots-belt.ini",
                                        "maps/estate-tolerances.ini",  "maps/estate-scan.ini"};
    swl_source source = swl_source_disk();
    for (size_t n = 0; n < sizeof names / sizeof names[0]; n++) {
        swl_build build = test_build_load(names[n]);
        swl_err err = {0};
        swl_input_rows rows;
        assert_int_equal(swl_build_input_rows(&source, names[n], &build, SWL_UNITS_SI, &rows, &err), SWL_OK);
        assert_true(rows.count > 50);
        for (size_t i = 0; i < rows.count; i++) {
            const swl_input_row *row = &rows.items[i];
            assert_ptr_equal(row, row_of(&rows, row->section, row->key));
            if (strcmp(row->shown, "not given") == 0 || (row->given && row->typed[0] == '\0')) {
                fail_msg("%s: [%s] %s is `%s`, shown as `%s`", names[n], row->section, row->key, row->typed,
                         row->shown);
            }
        }
        swl_input_rows_free(&rows);
        swl_build_free(&build);
    }
}

/* Room for the places of the line's rows, which drawing then fills in. The caller frees it. */
static swl_place *places_of(scene *s)
{
    s->chart.places = calloc(s->check.line_count, sizeof *s->chart.places);
    assert_non_null(s->chart.places);
    return s->chart.places;
}

/* Points stand in the order of their values, inside the page, and the curves' places rise evenly with engine speed. */
static void places(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    swl_place *at = places_of(&s);
    swl_buf svg = draw(&s, picture_of(SWL_FORMAT_SVG, 1000, 600, 96));
    const swl_point *line = s.check.line;
    for (size_t i = 0; i < s.check.line_count; i++) {
        assert_true(at[i].x > 0 && at[i].x < 630 && at[i].y > 0 && at[i].y < 600);
        assert_true(at[i].curves_x > 630 && at[i].curves_x < 1000);
        assert_true(at[i].curves_top > 0 && at[i].curves_bottom > at[i].curves_top + 200 && at[i].curves_bottom < 600);
        for (size_t k = 0; k < i; k++) {
            assert_true((at[i].x > at[k].x) == (line[i].map_vdot_m3_s > line[k].map_vdot_m3_s));
            assert_true((at[i].y < at[k].y) == (line[i].p_ratio > line[k].p_ratio));
        }
    }
    double span = line[2].engine_rpm - line[0].engine_rpm;
    double step = line[1].engine_rpm - line[0].engine_rpm;
    assert_true(fabs((at[2].curves_x - at[0].curves_x) / span - (at[1].curves_x - at[0].curves_x) / step) < 1e-9);
    /* A marker is a circle drawn from its right on; cairo keeps places to 1/256. */
    bool drawn = false;
    for (const char *p = strstr(swl_buf_text(&svg), "M "); p != NULL; p = strstr(p + 1, "M ")) {
        double x = 0;
        double y = 0;
        swl_fault fault;
        swl_slice rest = swl_slice_of(p + 2);
        bool circle = swl_number_read(swl_slice_split(&rest, ' '), &x, &fault) &&
                      swl_number_read(swl_slice_split(&rest, ' '), &y, &fault) && strncmp(rest.at, "C ", 2) == 0;
        drawn = drawn || (circle && fabs(y - at[0].y) < 0.01 && x > at[0].x + 2 && x < at[0].x + 8);
    }
    assert_true(drawn);
    swl_buf_free(&svg);
    /* The map alone has no curves. */
    svg = draw(&s,
               (swl_picture){.format = SWL_FORMAT_SVG, .parts = SWL_PARTS_MAP, .width = 800, .height = 500, .dpi = 96});
    assert_true(isnan(at[0].curves_x) && !isnan(at[0].x));
    swl_buf_free(&svg);
    /* A point off the axes has no place. */
    swl_map_scale scale = {.vdot_m3_s = line[0].map_vdot_m3_s * 0.9, .ratio_low = 1, .ratio_high = 2};
    for (size_t i = 0; i < 5; i++) {
        scale.level[scale.level_count++] = 0.5 + 0.05 * (double)i;
    }
    s.chart.scale = &scale;
    svg = draw(&s, picture_of(SWL_FORMAT_SVG, 1000, 600, 96));
    assert_true(isnan(at[s.check.line_count - 1].x) && isnan(at[s.check.line_count - 1].y));
    swl_buf_free(&svg);
    free(at);
    scene_close(&s);
}

/* Type grows as asked, and a page without words around it gives their room to the drawing. */
static void larger_type_and_no_words(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    swl_place *at = places_of(&s);
    swl_picture picture = picture_of(SWL_FORMAT_SVG, 900, 700, 96);
    swl_buf plain = draw(&s, picture);
    double tall = at[0].curves_bottom - at[0].curves_top;
    picture.type = 1;
    swl_buf same = draw(&s, picture);
    assert_string_equal(swl_buf_text(&plain), swl_buf_text(&same));
    picture.type = 1.3;
    swl_buf larger = draw(&s, picture);
    assert_true(at[0].curves_bottom - at[0].curves_top < tall);
    s.chart.title = s.chart.subtitle = s.chart.caption = "";
    picture.type = 0;
    swl_buf bare = draw(&s, picture);
    assert_true(at[0].curves_bottom - at[0].curves_top > tall + 30);
    swl_buf_free(&plain);
    swl_buf_free(&same);
    swl_buf_free(&larger);
    swl_buf_free(&bare);
    free(at);
    scene_close(&s);
}

/* The page by itself: without places, and with a drawing that is none. */
static void page_by_itself(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    swl_err err = {0};
    swl_source source = swl_source_disk();
    swl_input_rows rows;
    swl_notes notes = {0};
    assert_int_equal(swl_build_input_rows(&source, "maps/estate-roots.ini", &s.build, SWL_UNITS_SI, &rows, &err),
                     SWL_OK);
    swl_sheet sheet = {.count = 1, .notes = &notes, .drawn_by = "test", .date = "<&>"};
    sheet.builds[0] = (swl_sheet_build){.file = "a&b", .build = &s.build, .check = &s.check, .rows = &rows};
    for (int width = 0; width < SWL_SHEET_WIDTHS; width++) {
        sheet.builds[0].map[width].svg = draw(&s, picture_of(SWL_FORMAT_SVG, 800, 500, 96));
        sheet.curves[width].svg = draw(&s, picture_of(SWL_FORMAT_SVG, 800, 500, 96));
    }
    swl_buf out = {0};
    assert_int_equal(swl_report_sheet(&out, &sheet, &err), SWL_OK);
    text_has(&out, "Date: &lt;&amp;&gt;.");
    text_has(&out, "<dd>a&amp;b</dd>");
    /* Without places a picture has no points. */
    text_lacks(&out, "class=\"points\"");
    swl_buf_free(&out);
    /* A drawing that is none is refused. */
    swl_buf_free(&sheet.curves[1].svg);
    assert_int_equal(swl_report_sheet(&out, &sheet, &err), SWL_ERR_DRAW);
    swl_buf_free(&out);
    swl_buf_free(&sheet.curves[0].svg);
    for (int width = 0; width < SWL_SHEET_WIDTHS; width++) {
        swl_buf_free(&sheet.builds[0].map[width].svg);
    }
    swl_input_rows_free(&rows);
    scene_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rows_as_typed_and_as_used), cmocka_unit_test(rows_of_the_demo), cmocka_unit_test(places),
        cmocka_unit_test(larger_type_and_no_words),  cmocka_unit_test(page_by_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
