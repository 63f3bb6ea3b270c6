/* Changing values in the text of a build file. */
#include "support/near.h"

#include "sweptline/edit.h"

#include <string.h>

static swl_status edited(const char *text, const char *section, const char *key, const char *value, swl_buf *out)
{
    swl_err err = {0};
    const swl_ini_change change = {section, key, value};
    return swl_ini_edit("t.ini", text, strlen(text), &change, 1, out, &err);
}

static void becomes(const char *text, const char *section, const char *key, const char *value, const char *wanted)
{
    swl_buf out = {0};
    assert_int_equal(edited(text, section, key, value, &out), SWL_OK);
    assert_string_equal(swl_buf_text(&out), wanted);
    swl_buf_free(&out);
}

static void test_the_value_alone_changes(void **state)
{
    (void)state;
    becomes("; head\n[drive]\nslip = 1 %\nblower_pulley =  92 mm   ; as bought\nbelt = PK 8\n", "drive",
            "blower_pulley", "84 mm",
            "; head\n[drive]\nslip = 1 %\nblower_pulley =  84 mm   ; as bought\nbelt = PK 8\n");
    /* Line ends, a byte order mark and a last line without its end stay. */
    becomes("\xEF\xBB\xBF[a]\r\nx = 1\r\ny = 2", "a", "y", "3", "\xEF\xBB\xBF[a]\r\nx = 1\r\ny = 3");
    /* A value over several lines becomes one. */
    becomes("[a]\nx = 1: 2,\n    2: 3\ny = 4\n", "a", "x", "5", "[a]\nx = 5\ny = 4\n");
    /* The same key of another section is left alone. */
    becomes("[a]\nloss = 1\n[b]\nloss = 2\n", "b", "loss", "9", "[a]\nloss = 1\n[b]\nloss = 9\n");
    becomes("[a]\nx = 1\n", "a", "x", "", "[a]\nx = \n");
}

static void test_a_key_that_is_missing_is_added(void **state)
{
    (void)state;
    becomes("[a]\nx = 1 ; one\n\n[b]\ny = 2\n", "a", "z", "3", "[a]\nx = 1 ; one\nz = 3\n\n[b]\ny = 2\n");
    becomes("[a]\r\nx = 1\r\n[b]\r\ny = 2", "b", "z", "3", "[a]\r\nx = 1\r\n[b]\r\ny = 2\r\nz = 3\r\n");
    becomes("[a]\n\n[b]\ny = 2\n", "a", "z", "3", "[a]\nz = 3\n\n[b]\ny = 2\n");
    becomes("[a]\nx = 1", "c", "z", "3", "[a]\nx = 1\n\n[c]\nz = 3\n");
    becomes("[a]\nx = 1: 2,\n 2: 3 # so\n[b]\ny = 2\n", "a", "z", "3",
            "[a]\nx = 1: 2,\n 2: 3 # so\nz = 3\n[b]\ny = 2\n");
}

/* No value may become a line of its own, or part of a comment. */
static void test_a_value_stays_a_value(void **state)
{
    (void)state;
    static const char *const bad[] = {"1\nunit = other.ini", "1\r", "1\t2", "1 ; 2", "1 # 2", "\"1\"", "\x7f"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        swl_buf out = {0};
        assert_int_equal(edited("[a]\nx = 1\n", "a", "x", bad[i], &out), SWL_ERR_USAGE);
        assert_int_equal(out.len, 0);
        swl_buf_free(&out);
    }
    char large[SWL_INI_CHANGE_MAX + 2];
    memset(large, '1', sizeof large);
    large[SWL_INI_CHANGE_MAX + 1] = '\0';
    swl_buf out = {0};
    assert_int_equal(edited("[a]\nx = 1\n", "a", "x", large, &out), SWL_ERR_USAGE);
    large[SWL_INI_CHANGE_MAX] = '\0';
    assert_int_equal(edited("[a]\nx = 1\n", "a", "x", large, &out), SWL_OK);
    swl_buf_free(&out);
    assert_int_equal(edited("x = 1\n", "a", "x", "2", &out), SWL_ERR_INPUT);
    assert_int_equal(edited("", "a", "x", "2", &out), SWL_ERR_INPUT);
    swl_buf_free(&out);
}

static void test_several_changes_and_what_was_given(void **state)
{
    (void)state;
    const char *text = "[a]\nx = 1 +- 0.1\n[b]\ny = 1: 2,\n   2: 3 ; c\n";
    const swl_ini_change changes[] = {{"a", "x", "12345"}, {"b", "z", "7"}, {"b", "y", "4"}, {"a", "x", "6"}};
    swl_buf out = {0};
    swl_err err = {0};
    bool given = false;
    assert_int_equal(swl_ini_edit("t.ini", text, strlen(text), changes, 4, &out, &err), SWL_OK);
    /* The line of z stands behind what was the last of its section then. */
    assert_string_equal(swl_buf_text(&out), "[a]\nx = 6\n[b]\ny = 4 ; c\nz = 7\n");
    swl_buf_free(&out);
    assert_int_equal(swl_ini_given("t.ini", text, strlen(text), "b", "y", &given, &out, &err), SWL_OK);
    assert_true(given);
    assert_string_equal(swl_buf_text(&out), "1: 2, 2: 3");
    swl_buf_free(&out);
    assert_int_equal(swl_ini_given("t.ini", text, strlen(text), "b", "x", &given, &out, &err), SWL_OK);
    assert_false(given);
    swl_buf_free(&out);
}

static void test_comments_go_ahead(void **state)
{
    (void)state;
    swl_buf out = {0};
    swl_ini_comment("\xEF\xBB\xBF[a]\r\nx = 1\r\n", 15, "one\ntwo\n", &out);
    assert_string_equal(swl_buf_text(&out), "\xEF\xBB\xBF; one\r\n; two\r\n[a]\r\nx = 1\r\n");
    swl_buf_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_value_alone_changes), cmocka_unit_test(test_a_key_that_is_missing_is_added),
        cmocka_unit_test(test_a_value_stays_a_value), cmocka_unit_test(test_several_changes_and_what_was_given),
        cmocka_unit_test(test_comments_go_ahead)};
    return cmocka_run_group_tests_name("edit", tests, NULL, NULL);
}
