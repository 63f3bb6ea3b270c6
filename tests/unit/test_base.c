/* The ground floor: growing text, errors, input texts, words and findings.
 * Expected values are what the headers promise unless a source stands beside them. */
#include "support/near.h"

#include "sweptline/diag.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>

/* ---- growing text ---- */

static void buf_is_empty_text_at_first(void **state)
{
    (void)state;
    swl_buf buf = {0};
    assert_string_equal(swl_buf_text(&buf), "");
    swl_buf_put(&buf, NULL, 0);
    assert_string_equal(swl_buf_text(&buf), "");
    assert_int_equal(swl_buf_status(&buf, NULL), SWL_OK);
    swl_buf_free(&buf);
    assert_null(buf.bytes);
}

/* Appends of many lengths keep every byte, the length and the NUL behind it. */
static void buf_grows(void **state)
{
    (void)state;
    enum { TOTAL = 5000 };
    swl_buf buf = {0};
    char piece[64];
    size_t want = 0;
    for (size_t n = 0; want + n < TOTAL; n = (n + 1) % sizeof piece) {
        memset(piece, (int)('a' + n % 26), n);
        swl_buf_put(&buf, piece, n);
        want += n;
        assert_int_equal(buf.len, want);
        assert_true(buf.cap > buf.len);
        assert_int_equal(buf.bytes[buf.len], '\0');
    }
    size_t at = 0;
    for (size_t n = 0; at < want; n = (n + 1) % sizeof piece) {
        for (size_t i = 0; i < n; i++) {
            assert_int_equal(buf.bytes[at + i], 'a' + n % 26);
        }
        at += n;
    }
    swl_buf_free(&buf);
}

/* The inside buffer of a formatted append is 512 bytes; lengths around it and well over it. */
static void buf_formats_past_512_bytes(void **state)
{
    (void)state;
    static const int widths[] = {0, 1, 126, 127, 128, 510, 511, 512, 513, 1024, 4000};
    for (size_t i = 0; i < sizeof widths / sizeof widths[0]; i++) {
        swl_buf buf = {0};
        swl_buf_puts(&buf, "<");
        swl_buf_printf(&buf, "%*s%d", widths[i], "", 7);
        swl_buf_puts(&buf, ">");
        assert_int_equal(buf.len, (size_t)widths[i] + 3);
        assert_int_equal(strlen(swl_buf_text(&buf)), buf.len);
        assert_string_equal(buf.bytes + widths[i] + 1, "7>");
        assert_int_equal(strspn(buf.bytes + 1, " "), widths[i]);
        swl_buf_free(&buf);
    }
}

static void buf_keeps_a_failure(void **state)
{
    (void)state;
    swl_buf buf = {0};
    swl_err err = {0};
    swl_buf_puts(&buf, "before");
    swl_buf_put(&buf, "x", SIZE_MAX / 2); /* more than any memory, so the bytes are never looked at */
    assert_true(buf.failed);
    swl_buf_puts(&buf, "after");
    swl_buf_printf(&buf, "%600d", 1);
    assert_int_equal(buf.len, 0);
    assert_true(swl_buf_is_lost(swl_buf_text(&buf)));
    assert_int_equal(swl_buf_status(&buf, &err), SWL_ERR_MEMORY);
    assert_int_equal(err.status, SWL_ERR_MEMORY);
    swl_buf_free(&buf);
    assert_false(buf.failed);
    /* A wide character that the C locale cannot write makes the C library's formatter fail. */
    swl_buf_printf(&buf, "%ls", L"\x20AC");
    assert_true(buf.failed);
    swl_buf_free(&buf);
}

/* What is made from a failed buffer's text fails too, in whatever way the text came in. */
static void buf_failure_is_passed_on(void **state)
{
    (void)state;
    swl_buf lost = {.failed = true};
    char copy[64];
    (void)snprintf(copy, sizeof copy, "a %s text", swl_buf_text(&lost));
    for (int way = 0; way < 5; way++) {
        swl_buf buf = {0};
        swl_buf_puts(&buf, "before ");
        switch (way) {
        case 0:
            swl_buf_puts(&buf, swl_buf_text(&lost));
            break;
        case 1:
            swl_buf_put(&buf, swl_buf_text(&lost), lost.len);
            break;
        case 2:
            swl_buf_printf(&buf, "of %s parts", swl_buf_text(&lost));
            break;
        case 3:
            swl_buf_printf(&buf, "%600d %s", 1, swl_buf_text(&lost));
            break;
        default:
            swl_buf_puts(&buf, copy);
            break;
        }
        assert_true(buf.failed);
        swl_buf_free(&buf);
    }
    assert_false(swl_buf_is_lost("a whole text"));
}

/* The bytes of a file may be anything; those of a failed buffer are still none. */
static void buf_raw_takes_any_bytes(void **state)
{
    (void)state;
    swl_buf lost = {.failed = true};
    swl_buf buf = {0};
    swl_buf_put_raw(&buf, "a\xEF\xBF\xBF\xEF\xBF\xBE", 7);
    assert_false(buf.failed);
    assert_int_equal(buf.len, 7);
    swl_buf_put_raw(&buf, swl_buf_text(&lost), lost.len);
    assert_true(buf.failed);
    swl_buf_free(&buf);
}

/* ---- errors ---- */

static void err_keeps_the_first(void **state)
{
    (void)state;
    swl_err err = {0};
    assert_int_equal(swl_err_set(&err, SWL_ERR_READ, "first %d %.1f", 1, 1.5), SWL_ERR_READ);
    assert_int_equal(swl_err_set(&err, SWL_ERR_WRITE, "second"), SWL_ERR_WRITE);
    assert_int_equal(err.status, SWL_ERR_READ);
    assert_string_equal(err.text, "first 1 1.5");
    assert_int_equal(swl_err_set(NULL, SWL_ERR_SOLVE, "nowhere"), SWL_ERR_SOLVE);
}

static void err_text_is_cut_between_characters(void **state)
{
    (void)state;
    char text[SWL_ERR_TEXT_MAX + 40];
    for (size_t i = 0; i + 3 < sizeof text; i += 3) {
        memcpy(text + i, "\xE2\x82\xAC", 4); /* the euro sign, three bytes */
    }
    swl_err err = {0};
    assert_int_equal(swl_err_set(&err, SWL_ERR_INPUT, "%s", text), SWL_ERR_INPUT);
    const char *gap = strstr(err.text, " ... ");
    assert_non_null(gap);
    assert_int_equal((gap - err.text) % 3, 0);
    assert_int_equal(strlen(gap + 5) % 3, 0);
    assert_in_range(strlen(err.text), SWL_ERR_TEXT_MAX - 1 - 5, SWL_ERR_TEXT_MAX - 1);
}

/* A name as long as paths get leaves room for the reason behind it. */
static void err_text_keeps_its_end(void **state)
{
    (void)state;
    for (size_t n = SWL_ERR_TEXT_MAX - 40; n < SWL_ERR_TEXT_MAX + 40; n++) {
        char name[SWL_ERR_TEXT_MAX + 40] = {0};
        swl_err err = {0};
        memset(name, 'n', n);
        assert_int_equal(swl_err_set(&err, SWL_ERR_WRITE, "%s: could not be created: %s", name, "the reason"),
                         SWL_ERR_WRITE);
        assert_memory_equal(err.text, "nnn", 3);
        assert_non_null(strstr(err.text, ": could not be created: the reason"));
        assert_int_equal(strstr(err.text, " ... ") != NULL, n + 34 >= SWL_ERR_TEXT_MAX);
        assert_true(strlen(err.text) < SWL_ERR_TEXT_MAX);
    }
}

static void err_exit_codes(void **state)
{
    (void)state;
    static const struct {
        swl_status status;
        int code;
    } rows[] = {{SWL_OK, 0},         {SWL_ERR_USAGE, 2}, {SWL_ERR_INPUT, 2}, {SWL_ERR_SOLVE, 2}, {SWL_ERR_READ, 2},
                {SWL_ERR_MEMORY, 3}, {SWL_ERR_WRITE, 3}, {SWL_ERR_DRAW, 3},  {(swl_status)99, 3}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        assert_int_equal(swl_err_exit_code(rows[i].status), rows[i].code);
    }
}

/* ---- input texts ---- */

static swl_text text_of(const char *bytes)
{
    swl_text text;
    swl_err err = {0};
    swl_status status = swl_text_init(&text, "a.txt", bytes, strlen(bytes), &err);
    if (status != SWL_OK) {
        fail_msg("%s", err.text);
    }
    return text;
}

static void text_skips_mark_and_blanks_returns(void **state)
{
    (void)state;
    swl_text text = text_of("\xEF\xBB\xBF"
                            "one\r\ntwo\tx\r\n");
    assert_int_equal(text.len, 12);
    assert_string_equal(text.bytes, "one\r\ntwo\tx\r\n");
    assert_string_equal(text.work, "one \ntwo\tx \n");
    assert_string_equal(text.name, "a.txt");
    swl_text_free(&text);
    assert_null(text.work);
}

/* UTF-8 per RFC 3629, section 4: the edges of each kind of sequence. */
static void text_accepts_utf8(void **state)
{
    (void)state;
    static const char *const rows[] = {"\xC2\xA0",     "\xDF\xBF",         "\xE0\xA0\x80",     "\xED\x9F\xBF",
                                       "\xEE\x80\x80", "\xEF\xBF\xBD",     "\xF0\x90\x80\x80", "\xF4\x8F\xBF\xBF",
                                       "a\xC2\xB0",    "\xE2\x82\xAC euro"};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        swl_text text = text_of(rows[i]);
        assert_int_equal(text.len, strlen(rows[i]));
        swl_text_free(&text);
    }
}

typedef struct refused {
    const char *bytes;
    size_t len; /* 0: up to the NUL */
    const char *place;
} refused;

static void text_refuses(void **state)
{
    (void)state;
    static const refused rows[] = {
        {"", 0, "a.txt: the file is empty"},
        {"\xEF\xBB\xBF", 0, "a.txt: the file is empty"},
        {"ab\0c", 4, "a.txt:1:3: read a zero byte"},
        {"ab\ncd\x01", 0, "a.txt:2:3: read a control character"},
        {"ab\x7F", 0, "a.txt:1:3: read a control character"},
        {"ab\rcd", 0, "a.txt:1:3: read a carriage return alone"}, /* a return alone ends no line */
        {"ab\r", 0, "a.txt:1:3: read a carriage return alone"},
        {"a\xC2\x85", 0, "a.txt:1:2: read a control character"}, /* C1 controls */
        {"\xC3\xA9\xFF", 0, "a.txt:1:2: read a byte that is not UTF-8"},
        {"\x80", 0, "a.txt:1:1: read a byte"},
        {"\xC0\xAF", 0, "a.txt:1:1: read a byte"},         /* overlong, RFC 3629 section 10 */
        {"\xC1\xBF", 0, "a.txt:1:1: read a byte"},         /* overlong */
        {"\xE0\x9F\xBF", 0, "a.txt:1:1: read a byte"},     /* overlong */
        {"\xF0\x8F\xBF\xBF", 0, "a.txt:1:1: read a byte"}, /* overlong */
        {"\xED\xA0\x80", 0, "a.txt:1:1: read a byte"},     /* surrogate */
        {"\xF4\x90\x80\x80", 0, "a.txt:1:1: read a byte"}, /* above U+10FFFF */
        {"\xF5\x80\x80\x80", 0, "a.txt:1:1: read a byte"},
        {"\xE2\x82", 0, "a.txt:1:1: read a byte"}, /* broken off */
        {"\xC3x", 0, "a.txt:1:1: read a byte"},
        {"a\xEF\xBF\xBE", 0, "a.txt:1:2: read U+FFFE"},
        {"a\nb\xEF\xBF\xBF\xEF\xBF\xBE", 0, "a.txt:2:2: read U+FFFE"},
        {"\xE2\x82x", 0, "a.txt:1:1: read a byte"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        swl_text text;
        swl_err err = {0};
        size_t len = rows[i].len > 0 ? rows[i].len : strlen(rows[i].bytes);
        assert_int_equal(swl_text_init(&text, "a.txt", rows[i].bytes, len, &err), SWL_ERR_INPUT);
        if (strncmp(err.text, rows[i].place, strlen(rows[i].place)) != 0) {
            fail_msg("row %zu: want %s..., got %s", i, rows[i].place, err.text);
        }
        assert_null(text.work);
    }
}

static void text_has_longest_line_and_size(void **state)
{
    (void)state;
    char line[SWL_TEXT_MAX_LINE + 8];
    swl_text text;
    swl_err err = {0};
    memset(line, 'x', sizeof line);
    line[0] = '\n';
    line[SWL_TEXT_MAX_LINE + 1] = '\n';
    assert_int_equal(swl_text_init(&text, "a", line, SWL_TEXT_MAX_LINE + 2, &err), SWL_OK);
    swl_text_free(&text);
    line[SWL_TEXT_MAX_LINE + 1] = 'x';
    assert_int_equal(swl_text_init(&text, "a", line, SWL_TEXT_MAX_LINE + 2, &err), SWL_ERR_INPUT);
    assert_int_equal(strncmp(err.text, "a:2:1: line longer than 4000 bytes", 34), 0);

    size_t most = SWL_TEXT_MAX_BYTES;
    char *big = malloc(most + 1);
    assert_non_null(big);
    memset(big, '\n', most + 1);
    err = (swl_err){0};
    assert_int_equal(swl_text_init(&text, "a", big, most, &err), SWL_OK);
    swl_text_free(&text);
    assert_int_equal(swl_text_init(&text, "a", big, most + 1, &err), SWL_ERR_INPUT);
    assert_non_null(strstr(err.text, "more than the 8388608 bytes"));
    free(big);
}

static void text_counts_characters(void **state)
{
    (void)state;
    swl_text text = text_of("ab\n\xC3\xA9\xE2\x82\xACz\n");
    int line = 0;
    int column = 0;
    swl_text_where(&text, text.work, &line, &column);
    assert_int_equal(line * 100 + column, 101);
    swl_text_where(&text, strchr(text.work, 'z'), &line, &column);
    assert_int_equal(line * 100 + column, 203);
    swl_text_where(&text, text.work + text.len, &line, &column);
    assert_int_equal(line * 100 + column, 301);
    swl_text_free(&text);
}

/* ---- words ---- */

static void slices(void **state)
{
    (void)state;
    swl_slice rest = swl_slice_of(" a , b ");
    assert_true(swl_slice_is(swl_slice_trim(swl_slice_split(&rest, ',')), "a"));
    assert_true(swl_slice_is(swl_slice_trim(rest), "b"));
    assert_true(swl_slice_is(swl_slice_split(&rest, ','), " b "));
    assert_null(rest.at);
    assert_int_equal(swl_slice_split(&rest, ',').len, 0);
    assert_true(swl_slice_is(swl_slice_trim(swl_slice_of(" \t\r\n")), ""));
    assert_false(swl_slice_is(swl_slice_of("ab"), "abc"));
    assert_false(swl_slice_is(swl_slice_of("abd"), "abc"));
    char *copy = swl_slice_dup((swl_slice){"abcd", 2});
    assert_string_equal(copy, "ab");
    free(copy);
    copy = swl_slice_dup((swl_slice){NULL, 0});
    assert_string_equal(copy, "");
    free(copy);
}

static void utf8_clean(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"", ""},
        {"plain", "plain"},
        {"25 \xC2\xB0"
         "C",
         "25 \xC2\xB0"
         "C"},
        {"a\x80 long text", "a? long text"},
        {"a\xFF\xFE long text", "a?? long text"},
        {"\xC3 long text", "? long text"},
        {"\xC0\xAF long text", "?? long text"},
        {"\xED\xA0\x80 long text", "??? long text"},
        {"cut \xC3", "cut "},
        {"cut \xE2\x82", "cut "},
        {"cut \xF0\x9F\x98", "cut "},
        {"whole \xF0\x9F\x98\x80", "whole \xF0\x9F\x98\x80"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        char text[64];
        (void)snprintf(text, sizeof text, "%s", rows[i][0]);
        swl_utf8_clean(text);
        assert_string_equal(text, rows[i][1]);
    }
}

static void one_line(void **state)
{
    (void)state;
    char text[] = "a\nb\tc\x1b[31m\x7F \xC2\x9B \xC2\xB0 \xC3\xA9";
    swl_one_line(text);
    assert_string_equal(text, "a b c [31m     \xC2\xB0 \xC3\xA9");
    swl_err err = {0};
    (void)swl_err_set(&err, SWL_ERR_READ, "%s: is missing", "a\nname");
    assert_string_equal(err.text, "a name: is missing");
    swl_diags diags = {0};
    swl_diag_file(&diags, SWL_ERROR, "a\nname", "read `%s`", "1\n2");
    assert_string_equal(diags.items[0].file, "a name");
    assert_string_equal(diags.items[0].message, "read `1 2`");
    swl_diag_free(&diags);
}

static int distance(const char *a, const char *b)
{
    int there = swl_edit_distance(swl_slice_of(a), swl_slice_of(b));
    assert_int_equal(swl_edit_distance(swl_slice_of(b), swl_slice_of(a)), there);
    return there;
}

static void edit_distance(void **state)
{
    (void)state;
    /* Kitten and sitting are the textbooks' example (memory); the others are counted by hand. */
    assert_int_equal(distance("kitten", "sitting"), 3);
    assert_int_equal(distance("", ""), 0);
    assert_int_equal(distance("", "abc"), 3);
    assert_int_equal(distance("crank_pulley", "crank_puley"), 1);
    assert_int_equal(distance("Units", "uNITS"), 0);
    assert_int_equal(distance("ab", "ba"), 2);
    char word[66];
    memset(word, 'a', sizeof word);
    word[63] = '\0';
    assert_int_equal(distance(word, "a"), 62);
    word[63] = 'a';
    word[64] = '\0';
    assert_int_equal(distance(word, "a"), 99);
}

/* ---- findings ---- */

static void diag_points_at_the_place(void **state)
{
    (void)state;
    swl_text text = text_of("one\nx\xC3\xA9\ty = 5 \r\n");
    swl_diags diags = {0};
    swl_buf out = {0};
    swl_diag_add(&diags, SWL_ERROR, &text, strchr(text.work, 'y'), "read %.1f", 1.5);
    swl_diag_add(&diags, SWL_NOTE, &text, NULL, "about it all");
    swl_diag_file(&diags, SWL_WARNING, "b.txt", "doubtful");
    swl_diag_print(&diags, SWL_WARNING, &out);
    assert_string_equal(swl_buf_text(&out), "a.txt:2:4: error: read 1.5\n"
                                            "    x\xC3\xA9 y = 5\n"
                                            "       ^\n"
                                            "b.txt: warning: doubtful\n");
    swl_buf_free(&out);
    swl_diag_print(&diags, SWL_NOTE, &out);
    assert_non_null(strstr(swl_buf_text(&out), "a.txt: note: about it all\n"));
    swl_buf_free(&out);
    swl_diag_free(&diags);
    swl_text_free(&text);
}

/* A long line is shown as a window with the caret under the same character. */
static void diag_shows_a_window(void **state)
{
    (void)state;
    static const char *const fills[] = {"x", "\xC3\xA9", "\xE2\x82\xAC"};
    static const size_t before[] = {0, 10, 89, 90, 91, 92, 200, 350};
    for (size_t f = 0; f < 3; f++) {
        for (size_t b = 0; b < sizeof before / sizeof before[0]; b++) {
            swl_buf line = {0};
            for (size_t i = 0; i < 700; i++) {
                swl_buf_puts(&line, i == before[b] ? "!" : fills[f]);
            }
            swl_text text = text_of(swl_buf_text(&line));
            swl_diags diags = {0};
            swl_diag_add(&diags, SWL_ERROR, &text, strchr(text.work, '!'), "here");
            const swl_diag *diag = &diags.items[0];
            assert_int_equal(diag->column, before[b] + 1);
            assert_true(strlen(diag->excerpt) < SWL_DIAG_EXCERPT_MAX);
            const char *mark = diag->excerpt;
            for (int column = 1; column < diag->excerpt_column; column++) {
                mark += strlen(fills[f]);
            }
            assert_int_equal(*mark, '!');
            swl_text cut = text_of(diag->excerpt); /* refuses half a character */
            swl_text_free(&cut);
            swl_diag_free(&diags);
            swl_text_free(&text);
            swl_buf_free(&line);
        }
    }
}

/* Findings that differ in figures and quoted words only are shown a few times and then counted. */
static void diag_counts_findings_alike(void **state)
{
    (void)state;
    swl_text text = text_of("x = 1\n");
    swl_diags diags = {0};
    swl_buf out = {0};
    for (int i = 0; i < SWL_DIAGS_ALIKE + 3; i++) {
        swl_diag_add(&diags, SWL_WARNING, &text, text.work, "read `word%c` for %d.5", 'a' + i, 1000 * i - 7);
    }
    assert_int_equal(diags.count, SWL_DIAGS_ALIKE);
    swl_diag_add(&diags, SWL_ERROR, &text, text.work, "read `word` for 1"); /* another severity */
    swl_diag_add(&diags, SWL_WARNING, &text, text.work, "read `word` for 1 x");
    swl_diag_add(&diags, SWL_WARNING, &text, text.work, "read `word for 1");
    assert_int_equal(diags.count, SWL_DIAGS_ALIKE + 3);
    assert_int_equal(diags.items[SWL_DIAGS_ALIKE - 1].alike, 3);
    assert_int_equal(diags.errors, 1);
    assert_int_equal(diags.dropped, 0);
    swl_diag_print(&diags, SWL_WARNING, &out);
    assert_non_null(strstr(swl_buf_text(&out), "for 3993.5\n    x = 1\n    ^\n    (and 3 more like this in a.txt)\n"));
    swl_buf_free(&out);
    swl_diag_free(&diags);
    /* Errors that are not shown count as errors all the same. */
    for (int i = 0; i < SWL_DIAGS_ALIKE + 3; i++) {
        swl_diag_add(&diags, SWL_ERROR, &text, text.work, "read %d", i);
    }
    assert_int_equal(diags.errors, SWL_DIAGS_ALIKE + 3);
    swl_diag_free(&diags);
    swl_text_free(&text);
}

static void diag_counts_past_its_most(void **state)
{
    (void)state;
    swl_diags diags = {0};
    swl_buf out = {0};
    swl_err err = {0};
    for (int i = 0; i < SWL_DIAGS_MAX; i++) {
        swl_diag_file(&diags, SWL_WARNING, "a", "number %d", i);
    }
    assert_int_equal(swl_diag_status(&diags, &err), SWL_OK);
    assert_int_equal(diags.dropped, 0);
    swl_text text = text_of("x");
    swl_diag_add(&diags, SWL_ERROR, &text, text.work, "dropped, but it counts");
    assert_int_equal(swl_diag_status(&diags, &err), SWL_ERR_INPUT);
    assert_string_equal(err.text, "1 error in the input");
    swl_diag_file(&diags, SWL_ERROR, "a", "dropped too");
    err = (swl_err){0};
    assert_int_equal(swl_diag_status(&diags, &err), SWL_ERR_INPUT);
    assert_string_equal(err.text, "2 errors in the input");
    assert_int_equal(diags.count, SWL_DIAGS_MAX);
    assert_int_equal(diags.dropped, 2);
    assert_string_equal(diags.items[SWL_DIAGS_MAX - 1].message, "number 199");
    swl_diag_print(&diags, SWL_ERROR, &out);
    assert_string_equal(swl_buf_text(&out), "(2 more findings are not shown)\n");
    swl_buf_free(&out);
    swl_text_free(&text);
    swl_diag_free(&diags);
    diags.out_of_memory = true;
    err = (swl_err){0};
    assert_int_equal(swl_diag_status(&diags, &err), SWL_ERR_MEMORY);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(buf_is_empty_text_at_first),
        cmocka_unit_test(buf_grows),
        cmocka_unit_test(buf_formats_past_512_bytes),
        cmocka_unit_test(buf_keeps_a_failure),
        cmocka_unit_test(buf_failure_is_passed_on),
        cmocka_unit_test(buf_raw_takes_any_bytes),
        cmocka_unit_test(err_keeps_the_first),
        cmocka_unit_test(err_text_is_cut_between_characters),
        cmocka_unit_test(err_text_keeps_its_end),
        cmocka_unit_test(err_exit_codes),
        cmocka_unit_test(text_skips_mark_and_blanks_returns),
        cmocka_unit_test(text_accepts_utf8),
        cmocka_unit_test(text_refuses),
        cmocka_unit_test(text_has_longest_line_and_size),
        cmocka_unit_test(text_counts_characters),
        cmocka_unit_test(slices),
        cmocka_unit_test(utf8_clean),
        cmocka_unit_test(one_line),
        cmocka_unit_test(edit_distance),
        cmocka_unit_test(diag_points_at_the_place),
        cmocka_unit_test(diag_shows_a_window),
        cmocka_unit_test(diag_counts_findings_alike),
        cmocka_unit_test(diag_counts_past_its_most),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
