/* Who may ask the server of the page, and how often. */
#include "support/near.h"

#include "cli/serve_guard.h"

#include <stdio.h>
#include <string.h>

static void tokens_are_long_and_differ(void **state)
{
    (void)state;
    char one[SERVE_TOKEN_LENGTH + 1];
    char other[SERVE_TOKEN_LENGTH + 1];
    swl_err err = {0};
    assert_int_equal(serve_token(one, &err), SWL_OK);
    assert_int_equal(serve_token(other, &err), SWL_OK);
    assert_int_equal(strlen(one), 32);
    assert_int_equal(strspn(one, "0123456789abcdef"), 32);
    assert_string_not_equal(one, other);
}

static void a_path_starts_with_the_token(void **state)
{
    (void)state;
    const char *token = "0123456789abcdef0123456789abcdef";
    assert_string_equal(serve_path("/0123456789abcdef0123456789abcdef/about", token), "about");
    assert_string_equal(serve_path("/0123456789abcdef0123456789abcdef/", token), "");
    static const char *const none[] = {"",
                                       "/",
                                       "/0123456789abcdef0123456789abcdef",
                                       "/0123456789abcdef0123456789abcdee/about",
                                       "/1123456789abcdef0123456789abcdef/about",
                                       "/0123456789ABCDEF0123456789ABCDEF/about",
                                       "//0123456789abcdef0123456789abcdef/about",
                                       "0123456789abcdef0123456789abcdef//about",
                                       "/0123456789abcdef0123456789abcdefaabout"};
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++) {
        assert_null(serve_path(none[i], token));
    }
}

/* Every character of the token counts. */
static void each_character_counts(void **state)
{
    (void)state;
    char token[SERVE_TOKEN_LENGTH + 1];
    char path[SERVE_TOKEN_LENGTH + 3];
    swl_err err = {0};
    assert_int_equal(serve_token(token, &err), SWL_OK);
    for (size_t i = 0; i < SERVE_TOKEN_LENGTH; i++) {
        (void)snprintf(path, sizeof path, "/%s/", token);
        assert_non_null(serve_path(path, token));
        path[1 + i] ^= 1;
        assert_null(serve_path(path, token));
    }
}

static void hosts_and_origins(void **state)
{
    (void)state;
    assert_true(serve_host("127.0.0.1:8080", 8080));
    assert_true(serve_host("LocalHost:8080", 8080));
    assert_true(serve_host("localhost", 80));
    static const char *const foreign[] = {"127.0.0.1",         "localhost",           "",
                                          "127.0.0.1:8081",    "127.0.0.1:80800",     "127.0.0.1:8080.evil.example",
                                          "evil.example:8080", "[::1]:8080",          "127.0.0.2:8080",
                                          " 127.0.0.1:8080",   "user@127.0.0.1:8080", "127.0.0.1:08080"};
    for (size_t i = 0; i < sizeof foreign / sizeof foreign[0]; i++) {
        assert_false(serve_host(foreign[i], 8080));
    }
    assert_false(serve_host(NULL, 8080));
    assert_true(serve_origin("http://127.0.0.1:8080", 8080));
    assert_true(serve_origin("HTTP://localhost:8080", 8080));
    static const char *const others[] = {
        "null", "", "https://127.0.0.1:8080", "http://evil.example", "127.0.0.1:8080", "http://127.0.0.1:8080/"};
    for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
        assert_false(serve_origin(others[i], 8080));
    }
}

static void types_lengths_and_ports(void **state)
{
    (void)state;
    assert_true(serve_type("application/json"));
    assert_true(serve_type("Application/JSON; charset=utf-8"));
    assert_false(serve_type("application/jsonx"));
    assert_false(serve_type("text/plain"));
    assert_false(serve_type(NULL));
    assert_true(serve_length(NULL));
    assert_true(serve_length("0"));
    assert_true(serve_length("65536"));
    static const char *const lengths[] = {"65537", "", "-1", "+1", " 1", "1 ", "0x10", "1e3", "99999999999999999999"};
    for (size_t i = 0; i < sizeof lengths / sizeof lengths[0]; i++) {
        assert_false(serve_length(lengths[i]));
    }
    unsigned port = 0;
    assert_true(serve_port("1", &port) && port == 1);
    assert_true(serve_port("65535", &port) && port == 65535);
    static const char *const ports[] = {"0", "65536", "", "-1", "80a", " 80", "4294967297"};
    for (size_t i = 0; i < sizeof ports / sizeof ports[0]; i++) {
        assert_false(serve_port(ports[i], &port));
    }
}

/* A burst, then so many a second, however long it was quiet; a clock that goes back gives nothing. */
static void a_rate_is_kept(void **state)
{
    (void)state;
    serve_bucket bucket = {.left = SERVE_BURST, .at_s = 1000};
    size_t taken = 0;
    for (size_t i = 0; i < 1000; i++) {
        taken += serve_bucket_take(&bucket, 1000);
    }
    assert_int_equal(taken, SERVE_BURST);
    assert_false(serve_bucket_take(&bucket, 999));
    for (size_t i = 0; i < 1000; i++) {
        taken += serve_bucket_take(&bucket, 1000 + (double)i / 1000);
    }
    assert_in_range(taken, SERVE_BURST + SERVE_RATE - 2, SERVE_BURST + SERVE_RATE + 2);
    bucket.at_s = 0;
    for (taken = 0; serve_bucket_take(&bucket, 1e6); taken++) {
    }
    assert_int_equal(taken, SERVE_BURST);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tokens_are_long_and_differ), cmocka_unit_test(a_path_starts_with_the_token),
        cmocka_unit_test(each_character_counts),      cmocka_unit_test(hosts_and_origins),
        cmocka_unit_test(types_lengths_and_ports),    cmocka_unit_test(a_rate_is_kept)};
    return cmocka_run_group_tests_name("serve guard", tests, NULL, NULL);
}
