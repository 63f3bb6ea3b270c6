/* Faults that were found and mended, each with the input that showed it. */
#include "support/near.h"

#include "sweptline/air.h"
#include "sweptline/csv.h"
#include "sweptline/ini.h"
#include "sweptline/units.h"

#include <math.h>
#include <string.h>

static void temperature_of_no_enthalpy_is_nan(void **state)
{
    (void)state;
    swl_air air = swl_air_humid(300, 101325, 0);
    swl_is_nan(swl_air_t_of_h_k(&air, NAN, 300));
}

/* The place of the first finding in a table. */
static void assert_csv_place(const char *bytes, int line, int column)
{
    swl_text text;
    swl_csv csv;
    swl_diags diags = {0};
    assert_int_equal(swl_text_init(&text, "t", bytes, strlen(bytes), NULL), SWL_OK);
    assert_int_equal(swl_csv_read(&csv, &text, &diags, NULL), SWL_OK);
    int got_line = diags.items[0].line;
    int got_column = diags.items[0].column;
    swl_csv_free(&csv);
    swl_diag_free(&diags);
    swl_text_free(&text);
    assert_int_equal(got_line, line);
    assert_int_equal(got_column, column);
}

static void place_behind_doubled_quotes(void **state)
{
    (void)state;
    assert_csv_place("\"a\"\"\n\",b [m]\n1,2,3\n", 3, 1);
    assert_csv_place("\"x\"\"\xC3\xA9\",b,\"c\"z\n", 1, 13);
}

static void clean_keeps_what_follows(void **state)
{
    (void)state;
    char broken[] = "\xC3"
                    "ab";
    char never[] = "\xFF"
                   "ab";
    swl_utf8_clean(broken);
    swl_utf8_clean(never);
    assert_string_equal(broken, "?ab");
    assert_string_equal(never, "?ab");
}

static void refused_key_takes_its_continuation(void **state)
{
    (void)state;
    static const char bytes[] = "[a]\nk = 1\nk = 2,\n  3\n";
    swl_text text;
    swl_ini ini;
    swl_diags diags = {0};
    assert_int_equal(swl_text_init(&text, "t", bytes, strlen(bytes), NULL), SWL_OK);
    assert_int_equal(swl_ini_read(&ini, &text, &diags, NULL), SWL_OK);
    size_t count = diags.count;
    swl_ini_free(&ini);
    swl_diag_free(&diags);
    swl_text_free(&text);
    assert_int_equal(count, 1);
}

static void longest_line_may_end_in_crlf(void **state)
{
    (void)state;
    char bytes[SWL_TEXT_MAX_LINE + 3];
    memset(bytes, 'x', SWL_TEXT_MAX_LINE);
    memcpy(bytes + SWL_TEXT_MAX_LINE, "\r\n", 3);
    swl_text text;
    swl_err err = {0};
    assert_int_equal(swl_text_init(&text, "t", bytes, SWL_TEXT_MAX_LINE + 2, &err), SWL_OK);
    swl_text_free(&text);
}

/* A unit written once stands for the value and its half-width. */
static void half_width_takes_the_unit(void **state)
{
    (void)state;
    swl_quantity quantity = {0};
    swl_fault fault = {0};
    assert_true(swl_quantity_read(swl_slice_of("2 % +- 1"), SWL_DIM_FRACTION, &quantity, &fault));
    swl_near(0.02, quantity.value, 1e-15);
    swl_near(0.01, quantity.half_width, 1e-15);
    assert_false(swl_quantity_read(swl_slice_of("0.20 +- 0.5 %"), SWL_DIM_FRACTION, &quantity, &fault));
    assert_true(swl_quantity_read(swl_slice_of("24 +- 2 degC"), SWL_DIM_TEMPERATURE, &quantity, &fault));
    swl_near(297.15, quantity.value, 1e-15);
    swl_near(2, quantity.half_width, 1e-15);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(temperature_of_no_enthalpy_is_nan), cmocka_unit_test(place_behind_doubled_quotes),
        cmocka_unit_test(clean_keeps_what_follows),          cmocka_unit_test(refused_key_takes_its_continuation),
        cmocka_unit_test(longest_line_may_end_in_crlf),      cmocka_unit_test(half_width_takes_the_unit),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
