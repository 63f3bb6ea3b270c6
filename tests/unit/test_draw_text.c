/* Charts as SVG and PDF, the formats that carry text. */
#include "draw/pdf_whole.h"
#include "support/scene.h"

#include <string.h>

/* ---- SVG ---- */

/* Elements open and close in order, attributes are quoted, and a bare & or < stands nowhere. Not a whole parser. */
static void check_xml(const char *at)
{
    char open[64][24];
    size_t depth = 0;
    bool root = false;
    while (*at != '\0') {
        if (*at == '&') {
            size_t n = strspn(at + 1, "abcdefghijklmnopqrstuvwxyz#0123456789x");
            assert_true(n > 1 && at[n + 1] == ';');
        }
        if (*at != '<') {
            at++;
            continue;
        }
        const char *name = at + 1 + (at[1] == '/' || at[1] == '?' || at[1] == '!');
        size_t n = strcspn(name, " \t\n/>?");
        const char *end = name;
        char quote = '\0';
        for (; *end != '\0' && (quote != '\0' || *end != '>'); end++) {
            assert_true(*end != '<');
            quote = quote == '\0' && (*end == '"' || *end == '\'') ? *end : *end == quote ? '\0' : quote;
        }
        assert_true(*end == '>' && n > 0 && n < sizeof open[0]);
        if (at[1] == '/') {
            assert_true(depth > 0);
            depth--;
            assert_memory_equal(open[depth], name, n);
            assert_true(open[depth][n] == '\0');
        } else if (at[1] != '?' && at[1] != '!' && end[-1] != '/') {
            assert_true(depth < 64 && (depth > 0 || !root));
            root = true;
            memcpy(open[depth], name, n);
            open[depth++][n] = '\0';
        }
        at = end + 1;
    }
    assert_true(root && depth == 0);
}

static bool holds_text(const swl_buf *svg, const char *words)
{
    for (const char *at = swl_buf_text(svg); (at = strstr(at, "<text ")) != NULL; at++) {
        const char *body = strchr(at, '>');
        const char *end = strstr(at, "</text>");
        if (body != NULL && end != NULL && (size_t)(end - body - 1) >= strlen(words) &&
            strncmp(body + 1, words, strlen(words)) == 0) {
            return true;
        }
    }
    return false;
}

static void check_svg(const swl_buf *svg)
{
    assert_true(svg->len < 1000000);
    assert_int_equal(strlen(swl_buf_text(svg)), svg->len);
    assert_true(strncmp(swl_buf_text(svg), "<?xml", 5) == 0);
    assert_null(strstr(swl_buf_text(svg), "nan"));
    assert_null(strstr(swl_buf_text(svg), "inf "));
    assert_null(strstr(swl_buf_text(svg), "inf\""));
    check_xml(swl_buf_text(svg));
}

static void wants_texts(const swl_buf *svg, const char *const *words)
{
    for (; *words != NULL; words++) {
        if (!holds_text(svg, *words)) {
            fail_msg("no text element starts with: %s", *words);
        }
    }
}

static void svg_names_its_axes(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    static const char *const si[] = {"Estate car (invented)",
                                     "Inlet volume flow, m3/h",
                                     "Pressure ratio",
                                     "Rise from an inlet at site pressure, before any loss, kPa",
                                     "Engine speed, rpm",
                                     "Boost, kPa",
                                     "Air flow, kg/h",
                                     "Temperature, degC",
                                     "Drive power, kW",
                                     "Blower speed, rpm",
                                     "6400 rpm",
                                     "continuous limit 12000",
                                     "Invented &amp; drawn",
                                     NULL};
    static const char *const us[] = {"Inlet volume flow, ft3/min",
                                     "m3/h",
                                     "Rise from an inlet at site pressure, before any loss, psi",
                                     "Boost, psi",
                                     "Air flow, lb/min",
                                     "Temperature, degF",
                                     "Drive power, hp",
                                     NULL};
    swl_buf svg = draw(&s, picture_of(SWL_FORMAT_SVG, 1600, 1000, 96));
    check_svg(&svg);
    wants_texts(&svg, si);
    assert_false(holds_text(&svg, "ft3/min"));
    assert_non_null(strstr(swl_buf_text(&svg), "<title>Estate car (invented)</title>"));
    swl_buf_free(&svg);
    s.chart.units = SWL_UNITS_US;
    svg = draw(&s, picture_of(SWL_FORMAT_SVG, 1600, 1000, 96));
    check_svg(&svg);
    wants_texts(&svg, us);
    swl_buf_free(&svg);
    scene_close(&s);
}

/* One part alone leaves the other one out; a unit's map stands without a build. */
static void svg_of_parts(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    swl_picture picture = picture_of(SWL_FORMAT_SVG, 900, 700, 96);
    picture.parts = SWL_PARTS_MAP;
    swl_buf svg = draw(&s, picture);
    check_svg(&svg);
    assert_true(holds_text(&svg, "Pressure ratio") && !holds_text(&svg, "Engine speed, rpm"));
    swl_buf_free(&svg);
    picture.parts = SWL_PARTS_CURVES;
    svg = draw(&s, picture);
    check_svg(&svg);
    assert_true(!holds_text(&svg, "Pressure ratio") && holds_text(&svg, "Engine speed, rpm"));
    swl_buf_free(&svg);
    s.chart.check = NULL;
    s.chart.build = NULL;
    picture.parts = SWL_PARTS_BOTH;
    svg = draw(&s, picture);
    check_svg(&svg);
    assert_true(holds_text(&svg, "Rise over the map's inlet pressure, kPa") && !holds_text(&svg, "Engine speed, rpm"));
    swl_buf_free(&svg);
    scene_close(&s);
}

/* What a person may write into a name. */
static void svg_escapes(void **state)
{
    (void)state;
    static const char *const titles[] = {"a < b & c > d", "\"quoted\" 'name'", "\xC3\x9C \xE2\x84\x96 5",
                                         "]]> <!-- &amp; </text>", ""};
    for (size_t i = 0; i < sizeof titles / sizeof titles[0]; i++) {
        scene s;
        scene_demo(&s);
        s.chart.title = titles[i];
        swl_buf svg = draw(&s, picture_of(SWL_FORMAT_SVG, 1600, 1000, 96));
        check_svg(&svg);
        assert_int_equal(strstr(swl_buf_text(&svg), "<title>a &lt; b &amp; c &gt; d</title>") != NULL, i == 0);
        swl_buf_free(&svg);
        scene_close(&s);
    }
}

/* Whatever the build, the chart is drawn and every coordinate in it is a number. */
static void svg_of_random_builds(void **state)
{
    (void)state;
    test_random random = {77};
    size_t drawn = 0;
    for (size_t b = 0; b < 60; b++) {
        swl_build build = test_build_random(&random);
        if (test_chance(&random, 0.3)) {
            build.engine.speed_from_rpm = build.engine.speed_limit_rpm;
        }
        build.limits.boost_pa = test_chance(&random, 0.5) ? 50e3 : (double)NAN;
        build.limits.t_discharge_k = test_chance(&random, 0.5) ? 400 : (double)NAN;
        build.limits.p_drive_w = test_chance(&random, 0.5) ? 25e3 : (double)NAN;
        scene s;
        if (scene_open(&s, build, "Random")) {
            swl_buf svg = draw(
                &s, picture_of(SWL_FORMAT_SVG, test_whole(&random, 700, 2000), test_whole(&random, 700, 2000), 96));
            check_svg(&svg);
            assert_true(holds_text(&svg, "Random"));
            swl_buf_free(&svg);
            scene_close(&s);
            drawn++;
        }
    }
    assert_true(drawn > 30);
}

/* ---- PDF ---- */

static bool bytes_hold(const swl_buf *bytes, const char *words)
{
    return memmem(swl_buf_text(bytes), bytes->len, words, strlen(words)) != NULL;
}

static void pdf_has_a_title(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    const int sizes[][2] = {{0, 0}, {1600, 1000}, {400, 320}};
    for (size_t i = 0; i < 3; i++) {
        swl_buf pdf = draw(&s, picture_of(SWL_FORMAT_PDF, sizes[i][0], sizes[i][1], 96));
        assert_true(pdf.len > 5000 && pdf.len < 1000000);
        assert_memory_equal(swl_buf_text(&pdf), "%PDF-", 5);
        assert_true(bytes_hold(&pdf, "%%EOF"));
        /* cairo writes texts of the document's head as UTF-16 in hexadecimals: "Estate". */
        assert_true(bytes_hold(&pdf, "/Title <FEFF004500730074006100740065"));
        /* A fixed date, so that the same input gives the same bytes on another day. */
        assert_true(bytes_hold(&pdf, "/CreationDate (20000101000000Z"));
        /* A4 landscape is 297 mm by 210 mm, 841.89 by 595.28 points. */
        assert_int_equal(bytes_hold(&pdf, "841.89") && bytes_hold(&pdf, "595.2"), i == 0);
        swl_buf_free(&pdf);
    }
    scene_close(&s);
}

/* Each object of a PDF is found by its offset in the table of ISO 32000-1, 7.5.4; a chart's all stand there. */
static void pdf_lost_object_is_found(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    swl_buf pdf = draw(&s, picture_of(SWL_FORMAT_PDF, 0, 0, 96));
    assert_int_equal(swl_pdf_lost_object(swl_buf_text(&pdf), pdf.len), -1);
    char *fourth = memmem(pdf.bytes, pdf.len, "\n4 0 obj", 8);
    assert_non_null(fourth);
    fourth[1] = '9';
    assert_int_equal(swl_pdf_lost_object(swl_buf_text(&pdf), pdf.len), 4);
    swl_buf_free(&pdf);
    scene_close(&s);
    static const struct {
        const char *text;
        long lost;
    } rows[] = {
        {"1 0 obj xref\n0 2\n0000000000 65535 f \n0000000000 00000 n \ntrailer startxref\n8\n%%EOF", -1},
        {"1 0 obj xref\n0 2\n0000000000 65535 f \n0000000001 00000 n \ntrailer startxref\n8\n%%EOF", 1},
        {"1 0 obj xref\n0 2\n0000000000 65535 f \n0000999999 00000 n \ntrailer startxref\n8\n%%EOF", 1},
        {"1 0 obj xref\n0 9\n0000000000 65535 f \n0000000000 00000 n \nstartxref\n8", 2},
        {"1 0 obj startxref\n8\n%%EOF", -1},
        {"1 0 obj xref\n0 2\n", -1},
        {"", -1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        long lost = swl_pdf_lost_object(rows[i].text, strlen(rows[i].text));
        if (lost != rows[i].lost) {
            fail_msg("row %zu: lost %ld", i, lost);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(svg_names_its_axes), cmocka_unit_test(svg_of_parts),
        cmocka_unit_test(svg_escapes),        cmocka_unit_test(svg_of_random_builds),
        cmocka_unit_test(pdf_has_a_title),    cmocka_unit_test(pdf_lost_object_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
