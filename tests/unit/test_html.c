/* Pieces of a page: what is not ours never becomes markup, and pictures keep their ids apart. */
#include "support/words.h"

#include "base/digest.h"
#include "report/html.h"

#include <math.h>
#include <string.h>

static void digests(void **state)
{
    (void)state;
    /* FIPS 180-4's example of one block, "abc"; the values from memory, confirmed by coreutils' sha256sum. */
    swl_digest abc = swl_digest_of("abc", 3);
    assert_string_equal(abc.hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    assert_string_equal(abc.base64, "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0=");
    swl_digest none = swl_digest_of("", 0);
    assert_string_equal(none.hex, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

static void escapes(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        const char *want;
    } rows[] = {
        {"plain 92 mm", "plain 92 mm"},
        {"<script>alert(1)</script>", "&lt;script&gt;alert(1)&lt;/script&gt;"},
        {"a & b &amp; c", "a &amp; b &amp;amp; c"},
        {"\" onload='x", "&quot; onload=&#39;x"},
        {"]]> -->", "]]&gt; --&gt;"},
        {"a\x01"
         "b\x7f"
         "c\n\td",
         "a?b?c\n\td"},
        {"gr\xc3\xbc\xc3\x9f \xe2\x82\xac \xf0\x9f\x94\xa7", "gr\xc3\xbc\xc3\x9f \xe2\x82\xac \xf0\x9f\x94\xa7"},
        {"cut \xe2\x82", "cut ??"},
        {"lone \xff", "lone ?"},
        {"\xe2\x80\xaeturned", "?turned"},
        {"\xef\xbf\xbe", "?"},
        {"", ""},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        swl_buf out = {0};
        swl_html_text(&out, rows[i].text);
        assert_false(out.failed);
        if (i != 7) {
            assert_string_equal(swl_buf_text(&out), rows[i].want);
        } else {
            assert_null(strchr(swl_buf_text(&out), '\xe2'));
        }
        swl_buf_free(&out);
    }
    swl_buf out = {0};
    swl_html_printf(&out, "%s at %.1f", "<b>", 1.5);
    assert_string_equal(swl_buf_text(&out), "&lt;b&gt; at 1.5");
    swl_buf_free(&out);
}

/* Every byte in every place of a short text: never one of the five characters bare, never a broken sequence. */
static void any_bytes(void **state)
{
    (void)state;
    for (int a = 1; a < 256; a++) {
        for (int b = 1; b < 256; b++) {
            const char text[] = {(char)a, (char)b, 'x', '\0'};
            swl_buf out = {0};
            swl_html_text(&out, text);
            for (const char *p = swl_buf_text(&out); *p != '\0'; p++) {
                assert_true(*p != '<' && *p != '>' && *p != '"' && *p != '\'');
                assert_true(*p != '&' || strchr(p, ';') != NULL);
            }
            char copy[32];
            assert_true(out.len < sizeof copy);
            memcpy(copy, swl_buf_text(&out), out.len + 1);
            swl_utf8_clean(copy);
            assert_string_equal(copy, swl_buf_text(&out));
            swl_buf_free(&out);
        }
    }
}

static void fragments(void **state)
{
    (void)state;
    swl_buf out = {0};
    swl_html_page page = {.title = "A & B", .style = "p{}", .script = "1", .policy = "; connect-src 'self'"};
    swl_html_open(&out, &page);
    swl_html_heading(&out, 2, "x", "<h>");
    swl_html_table_open(&out, "t", "\"cap\"");
    swl_html_number(&out, NAN, 1);
    swl_html_number(&out, INFINITY, 1);
    swl_html_number(&out, -0.04, 1);
    swl_html_number(&out, -0.06, 1);
    swl_html_verdict(&out, SWL_EXCEEDED, false);
    swl_html_table_close(&out);
    swl_html_close(&out, &page);
    text_has(&out, "<title>A &amp; B</title>");
    /* Base 64 of SHA-256, by coreutils and Python's hashlib. */
    text_has(&out, "script-src 'sha256-a4ayc/80/OGda4BO/1o/V0etpOqiLx1JwB5S3beHW0s='");
    text_has(&out, "connect-src 'self'\"");
    text_has(&out, "<h2 id=\"x\">&lt;h&gt;</h2>");
    text_has(&out, "<caption><span>&quot;cap&quot;</span></caption>");
    text_has(&out, "<td class=\"n\">-</td><td class=\"n\">-</td><td class=\"n\">0.0</td><td class=\"n\">-0.1</td>");
    text_has(&out, "EXCEEDED</span> *");
    assert_false(out.failed);
    swl_buf_free(&out);
    /* Without a script none is let in. */
    page.script = NULL;
    swl_html_open(&out, &page);
    text_lacks(&out, "script-src");
    swl_buf_free(&out);
}

static const char drawing[] =
    "<?xml version=\"1.0\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9px\" "
    "viewBox=\"0 0 9 8\" version=\"1.1\">\n<title>old</title>\n"
    "<clipPath id=\"clip1\">\n <path d=\"M 0 0 L 9 0 L 9 8 Z \"/>\n</clipPath>\n"
    "<clipPath id=\"clip2\">\n <path d=\"M 0 0 L 9 0 L 9 8 Z \"/>\n</clipPath>\n"
    "<g clip-path=\"url(#clip2)\" clip-rule=\"nonzero\">\n"
    "<path style=\" stroke:none;fill:rgb(1%,2%,3%);\" d=\"M 1.26 -0.01 L 2 3.04 L 4 5 C 1 2 3 "
    "4 5 6.96 \"/>\n</g>\n<text fill=\"rgb(1,2,3)\">a &lt; #b</text></svg>\n";

static void pictures(void **state)
{
    (void)state;
    swl_err err = {0};
    swl_buf out = {0};
    swl_html_picture picture = {.class = "picture", .prefix = "m-", .name = "A<B", .words = "what \"it\" shows"};
    assert_int_equal(swl_html_svg(&out, &picture, drawing, &err), SWL_OK);
    text_has(&out, "viewBox=\"0 0 9 8\" role=\"img\" aria-labelledby=\"m-title\" aria-describedby=\"m-desc\"");
    text_has(&out, "<title id=\"m-title\">A&lt;B</title>");
    text_has(&out, "<desc id=\"m-desc\">what &quot;it&quot; shows</desc>");
    text_has(&out, "<clipPath id=\"m-clip1\">");
    text_has(&out, "clip-path=\"url(#m-clip1)\"");
    text_has(&out, "stroke=\"none\" fill=\"rgb(1%,2%,3%)\" d=\"M1.3 0 2 3 4 5C1 2 3 4 5 7\"/>");
    text_has(&out, "a &lt; #b</text>");
    text_lacks(&out, "clip2");
    text_lacks(&out, "style=");
    text_lacks(&out, "old");
    text_lacks(&out, "<?xml");
    swl_buf_free(&out);
    static const char *const broken[] = {"", "<svg ", "<svg viewBox=\"0 0 1 1\">", "no picture",
                                         "<svg viewBox=\"0 0 1 1\"><g"};
    for (size_t i = 0; i < sizeof broken / sizeof broken[0]; i++) {
        assert_int_equal(swl_html_svg(&out, &picture, broken[i], &err), SWL_ERR_DRAW);
        swl_buf_free(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(digests),   cmocka_unit_test(escapes),  cmocka_unit_test(any_bytes),
        cmocka_unit_test(fragments), cmocka_unit_test(pictures),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
