/* How figures are written: margins with the digits a verdict hangs on, and figures that stay with their units. */
#include "support/near.h"

#include "report/margin.h"

#include <string.h>

static void margin_is(double frac, const char *words)
{
    swl_buf out = {0};
    swl_margin_put(&out, 0, frac);
    assert_string_equal(swl_buf_text(&out), words);
    swl_buf_free(&out);
}

static void margins_tell_their_verdict(void **state)
{
    (void)state;
    margin_is(0.123456, "12.3");
    margin_is(0, "0.0");
    margin_is(-1e-14, "0.0");
    margin_is(1e-6, "0.0");
    margin_is(-0.25, "-25.0");
    margin_is(-0.0003, "-0.03");
    margin_is(-0.000004, "-0.0004");
    margin_is(0.05, "5.0");
    margin_is(0.0504, "5.0");
    margin_is(0.0497, "4.97");
    margin_is(0.049999, "4.9999");
    margin_is(NAN, "-");
}

static void an_exceeded_limit_has_something_lacking(void **state)
{
    (void)state;
    /* 9.50 psi in Pa, and a value a little over it: in a table of two decimals both would read 9.50. */
    swl_limit_row row = {.show = SWL_SHOW_BOOST,
                         .limit = 9.5 * 6894.757293168,
                         .value = 9.503 * 6894.757293168,
                         .verdict = SWL_EXCEEDED};
    row.margin_frac = (row.limit - row.value) / row.limit;
    assert_int_equal(swl_spare_decimals(&row, SWL_UNITS_US), 3);
    swl_buf out = {0};
    swl_report_limit(&out, &row, SWL_UNITS_US);
    assert_string_equal(swl_buf_text(&out), "9.503 psi of 9.50 psi");
    swl_buf_free(&out);
    row.value = 9.497 * 6894.757293168;
    row.margin_frac = (row.limit - row.value) / row.limit;
    row.verdict = SWL_CLOSE;
    assert_int_equal(swl_spare_decimals(&row, SWL_UNITS_US), 2);
}

static void wrapped(const char *text, int width, const char *words)
{
    swl_buf out = {0};
    swl_report_wrap(&out, text, width, "  ");
    assert_string_equal(swl_buf_text(&out), words);
    swl_buf_free(&out);
}

static void a_figure_stays_with_its_unit(void **state)
{
    (void)state;
    wrapped("least to spare boost with 0.4 % here", 30, "least to spare boost with\n  0.4 % here\n");
    wrapped("a boost of (57.5 kPa); more", 16, "a boost of\n  (57.5 kPa); more\n");
    wrapped("at 4000 rpm, then", 9, "at\n  4000 rpm,\n  then\n");
    wrapped("one 2 three", 5, "one 2\n  three\n");
    wrapped("in 3 ways", 4, "in 3\n  ways\n");
    wrapped("abcdefgh", 4, "abcd\n  efgh\n");
    wrapped("", 4, "\n");
    /* Nothing is lost, whatever the width. */
    const char *text = "at 4000 rpm and 57.5 kPa: 5.0 %, (12 mm to 15.25 mm), +-0.3 points.";
    for (int width = 1; width < 80; width++) {
        swl_buf out = {0};
        swl_report_wrap(&out, text, width, "");
        size_t at = 0;
        for (const char *c = swl_buf_text(&out); *c != '\0'; c++) {
            at += text[at] == ' ' && *c != ' ';
            at += *c != '\n' && text[at] == *c;
        }
        assert_int_equal(at, strlen(text));
        swl_buf_free(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(margins_tell_their_verdict),
        cmocka_unit_test(an_exceeded_limit_has_something_lacking),
        cmocka_unit_test(a_figure_stays_with_its_unit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
