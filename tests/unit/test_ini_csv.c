/* Reading INI and CSV texts: what is taken, where each finding stands. */
#include "support/near.h"

#include "sweptline/csv.h"
#include "sweptline/ini.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* One text with what its reader made of it. */
typedef struct sheet {
    swl_text text;
    swl_diags diags;
    swl_ini ini;
    swl_csv csv;
    swl_status status;
} sheet;

static void sheet_free(sheet *s)
{
    swl_ini_free(&s->ini);
    swl_csv_free(&s->csv);
    swl_diag_free(&s->diags);
    swl_text_free(&s->text);
}

static sheet sheet_of(const char *bytes)
{
    sheet s = {0};
    swl_err err = {0};
    if (swl_text_init(&s.text, "t", bytes, strlen(bytes), &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
    return s;
}

static sheet ini_of(const char *bytes)
{
    sheet s = sheet_of(bytes);
    s.status = swl_ini_read(&s.ini, &s.text, &s.diags, NULL);
    assert_int_equal(s.status, SWL_OK);
    return s;
}

static sheet csv_of(const char *bytes)
{
    sheet s = sheet_of(bytes);
    swl_err err = {0};
    s.status = swl_csv_read(&s.csv, &s.text, &s.diags, &err);
    assert_int_equal(s.status, err.status);
    return s;
}

/* Finding number i, as "line:column words". */
static void assert_finding(const sheet *s, size_t i, const char *want)
{
    assert_true(i < s->diags.count);
    const swl_diag *diag = &s->diags.items[i];
    char got[SWL_DIAG_TEXT_MAX + 40];
    (void)snprintf(got, sizeof got, "%d:%d %s", diag->line, diag->column, diag->message);
    if (strncmp(got, want, strlen(want)) != 0) {
        fail_msg("want %s..., got %s", want, got);
    }
}

static void assert_entry(const sheet *s, size_t i, const char *section, const char *key, const char *value)
{
    assert_true(i < s->ini.count);
    const swl_ini_entry *entry = &s->ini.entries[i];
    if (!swl_slice_is(entry->section, section) || !swl_slice_is(entry->key, key) ||
        !swl_slice_is(entry->value, value)) {
        fail_msg("want [%s] %s = %s, got [%.*s] %.*s = %.*s", section, key, value, (int)entry->section.len,
                 entry->section.at, (int)entry->key.len, entry->key.at, (int)entry->value.len, entry->value.at);
    }
}

static void assert_cell(const sheet *s, size_t row, size_t column, const char *want)
{
    assert_true(row < s->csv.rows && column < s->csv.columns);
    swl_slice cell = swl_csv_cell(&s->csv, row, column);
    if (!swl_slice_is(cell, want)) {
        fail_msg("cell %zu,%zu: want `%s`, got `%.*s`", row, column, want, (int)cell.len, cell.at);
    }
}

/* ---- INI ---- */

static void ini_sections_and_keys(void **state)
{
    (void)state;
    sheet s = ini_of("[a]\nx = 1\ny=2\n  \n[ b c ]\nx =\t3 mm\nlong key=4=5\n");
    assert_int_equal(s.diags.count, 0);
    assert_int_equal(s.ini.section_count, 2);
    assert_true(swl_slice_is(s.ini.sections[1], "b c"));
    assert_int_equal(s.ini.count, 4);
    assert_entry(&s, 0, "a", "x", "1");
    assert_entry(&s, 1, "a", "y", "2");
    assert_entry(&s, 2, "b c", "x", "3 mm");
    assert_entry(&s, 3, "b c", "long key", "4=5");
    sheet_free(&s);
    assert_null(s.ini.entries);
}

static void ini_comments(void **state)
{
    (void)state;
    sheet s = ini_of("# top\n; top too\n[a] ; after\nx = 1 # after\ny = 2\t; after\nz = a#b;c\n"
                     "  # indented\nq = \"1 # 2\" # 3\nr = \"a ; b\"\n#k = 4\n;[c]\nlast = 5 #");
    assert_int_equal(s.diags.count, 0);
    assert_int_equal(s.ini.section_count, 1);
    assert_int_equal(s.ini.count, 6);
    assert_entry(&s, 0, "a", "x", "1");
    assert_entry(&s, 1, "a", "y", "2");
    assert_entry(&s, 2, "a", "z", "a#b;c");
    assert_entry(&s, 3, "a", "q", "\"1 # 2\"");
    assert_entry(&s, 4, "a", "r", "\"a ; b\"");
    assert_entry(&s, 5, "a", "last", "5");
    sheet_free(&s);
}

static void ini_continuation(void **state)
{
    (void)state;
    sheet s = ini_of("[a]\nx = 1: 2, ; note\n    3: 4,\n\n# between\n\t5: 6 # end\ny =\n  late\nz = 7\n");
    assert_int_equal(s.diags.count, 0);
    assert_int_equal(s.ini.count, 3);
    assert_entry(&s, 1, "a", "y", "late");
    assert_entry(&s, 2, "a", "z", "7");
    /* Line feeds stay in the value, comments are blank. */
    swl_slice rest = s.ini.entries[0].value;
    static const char *const want[] = {"1: 2", "3: 4", "5: 6"};
    for (size_t i = 0; i < 3; i++) {
        assert_true(swl_slice_is(swl_slice_trim(swl_slice_split(&rest, ',')), want[i]));
    }
    assert_null(rest.at);
    assert_non_null(memchr(s.ini.entries[0].value.at, '\n', s.ini.entries[0].value.len));
    sheet_free(&s);
}

/* RFC 3629 section 6 for the byte order mark; both ends of line; a last line without an end. */
static void ini_mark_and_line_ends(void **state)
{
    (void)state;
    static const char *const rows[] = {"[a]\nx = 1\n  2\ny = 3\n", "[a]\r\nx = 1\r\n  2\r\ny = 3\r\n",
                                       "\xEF\xBB\xBF[a]\r\nx = 1\r\n  2\r\ny = 3\r\n", "[a]\nx = 1\n  2\ny = 3",
                                       "[a]\r\nx = 1\n  2\r\ny = 3"};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        sheet s = ini_of(rows[i]);
        assert_int_equal(s.diags.count, 0);
        assert_int_equal(s.ini.count, 2);
        assert_entry(&s, 1, "a", "y", "3");
        swl_slice rest = s.ini.entries[0].value;
        assert_true(swl_slice_is(swl_slice_trim(swl_slice_split(&rest, '\n')), "1"));
        assert_true(swl_slice_is(swl_slice_trim(rest), "2"));
        sheet_free(&s);
    }
}

static void ini_given_twice(void **state)
{
    (void)state;
    sheet s = ini_of("[a]\nx = 1\n[b]\nx = 2\n[a]\nx = 3\n[c]\nk = 4\nk = 5\n");
    assert_int_equal(s.diags.errors, 2);
    assert_finding(&s, 0, "5:1 section [a] is given twice, first in line 1; put its keys together");
    assert_finding(&s, 1, "9:1 k is given twice in [c], first in line 8; keep one");
    assert_int_equal(s.ini.count, 3);
    assert_entry(&s, 0, "a", "x", "1");
    assert_entry(&s, 1, "b", "x", "2");
    assert_entry(&s, 2, "c", "k", "4");
    sheet_free(&s);
}

static void ini_faults_all_in_one_go(void **state)
{
    (void)state;
    sheet s = ini_of("x = 1\n   y\n[a\n[a] b\n[]\n[b]\nwords\n= 3\ne =\nf = \"\"\n[c]\n  lost\n");
    static const char *const want[] = {
        "1:1 x stands before any [section]",
        "3:1 read `[a`; a section is written [name] on a line of its own",
        "4:1 read `[a] b`; a section is written",
        "5:1 read `[]`; a section is written",
        "7:1 read `words`; a line is [section], key = value, an indented continuation",
        "8:1 read `= 3`; a line is",
        "12:3 an indented line goes on",
        "9:1 e has no value after the equals sign",
    };
    for (size_t i = 0; i < sizeof want / sizeof want[0]; i++) {
        assert_finding(&s, i, want[i]);
    }
    assert_int_equal(s.diags.count, sizeof want / sizeof want[0]);
    assert_entry(&s, 1, "b", "f", "\"\"");
    sheet_free(&s);
}

/* Only one finding for a section that is refused, not one for each of its lines. */
static void ini_refused_section_is_skipped(void **state)
{
    (void)state;
    sheet s = ini_of("[ok]\nx = 1\n[ok]\ny = 2,\n  3\n");
    assert_int_equal(s.diags.count, 1);
    assert_int_equal(s.ini.count, 1);
    sheet_free(&s);
}

static void ini_long_words(void **state)
{
    (void)state;
    char line[200];
    (void)snprintf(line, sizeof line, "[a]\n%060d = 1\n%061d = 2\n", 7, 8);
    sheet s = ini_of(line);
    assert_int_equal(s.ini.count, 1);
    assert_int_equal(s.diags.count, 1);
    assert_finding(&s, 0, "3:1 read `0000");
    sheet_free(&s);
}

static void ini_has_most_keys(void **state)
{
    (void)state;
    swl_buf file = {0};
    swl_buf_puts(&file, "[a]\n");
    for (int i = 0; i < SWL_INI_ENTRIES_MAX + 5; i++) {
        swl_buf_printf(&file, "k%d = %d\n", i, i);
    }
    sheet s = ini_of(swl_buf_text(&file));
    assert_int_equal(s.ini.count, SWL_INI_ENTRIES_MAX);
    assert_int_equal(s.diags.count, 1);
    assert_finding(&s, 0, "1002:1 more than 1000 keys in one file");
    assert_entry(&s, SWL_INI_ENTRIES_MAX - 1, "a", "k999", "999");
    sheet_free(&s);
    swl_buf_free(&file);
}

/* ---- CSV ---- */

/* RFC 4180, section 2: rules 1 and 2 (line ends), 4 (blanks are no rule there; here they are trimmed),
 * 5 to 7 (quotes). */
static void csv_rfc_4180(void **state)
{
    (void)state;
    static const char *const ends[] = {"\n", "\r\n"};
    for (size_t e = 0; e < 2; e++) {
        char file[200];
        (void)snprintf(file, sizeof file, "aaa,\"b,bb\",\"c\"\"cc\"%s\"\",\"\"\"\"\"\", 3 %s1,\"line%sbreak\",",
                       ends[e], ends[e], ends[e]);
        sheet s = csv_of(file);
        assert_int_equal(s.status, SWL_OK);
        assert_int_equal(s.diags.count, 0);
        assert_int_equal(s.csv.rows, 3);
        assert_int_equal(s.csv.columns, 3);
        assert_cell(&s, 0, 0, "aaa");
        assert_cell(&s, 0, 1, "b,bb");
        assert_cell(&s, 0, 2, "c\"cc");
        assert_cell(&s, 1, 0, "");
        assert_cell(&s, 1, 1, "\"\"");
        assert_cell(&s, 1, 2, "3");
        assert_cell(&s, 2, 0, "1");
        assert_cell(&s, 2, 1, e == 0 ? "line\nbreak" : "line \nbreak");
        assert_cell(&s, 2, 2, "");
        sheet_free(&s);
    }
}

static void csv_separators(void **state)
{
    (void)state;
    sheet s = csv_of("a;b,x;c\n1;2,5;3\n");
    assert_int_equal(s.csv.separator, ';');
    assert_cell(&s, 0, 1, "b,x");
    assert_cell(&s, 1, 1, "2,5");
    sheet_free(&s);
    s = csv_of("\"a;b;c;d\",e\n1,2\n"); /* quoted ones do not count */
    assert_int_equal(s.csv.separator, ',');
    assert_cell(&s, 0, 0, "a;b;c;d");
    sheet_free(&s);
    s = csv_of("a;b,c\n"); /* a tie is a comma */
    assert_int_equal(s.csv.separator, ',');
    sheet_free(&s);
    s = csv_of("alone\n1\n2");
    assert_int_equal(s.csv.columns, 1);
    assert_int_equal(s.csv.rows, 3);
    assert_cell(&s, 2, 0, "2");
    sheet_free(&s);
}

static void csv_skips_comments_and_blank_lines(void **state)
{
    (void)state;
    sheet s = csv_of("\xEF\xBB\xBF# one, two; three;;;\n\n   \na,b\n  # between\n1,2\r\n\r\n\"#3\",4 # not one\n#end");
    assert_int_equal(s.status, SWL_OK);
    assert_int_equal(s.diags.count, 0);
    assert_int_equal(s.csv.rows, 3);
    assert_cell(&s, 0, 0, "a");
    assert_cell(&s, 1, 1, "2");
    assert_cell(&s, 2, 0, "#3");
    assert_cell(&s, 2, 1, "4 # not one");
    sheet_free(&s);
}

static void csv_leaves_out_uneven_rows(void **state)
{
    (void)state;
    sheet s = csv_of("a,b\n1\n2,3\n4,5,6\n7,8\n");
    assert_int_equal(s.status, SWL_OK);
    assert_int_equal(s.csv.rows, 3);
    assert_cell(&s, 1, 0, "2");
    assert_cell(&s, 2, 1, "8");
    assert_int_equal(s.diags.errors, 2);
    assert_finding(&s, 0, "2:1 read 1 cell where the header names 2 columns");
    assert_finding(&s, 1, "4:1 read 3 cells where the header names 2 columns");
    sheet_free(&s);
}

static void csv_refuses(void **state)
{
    (void)state;
    static const struct {
        const char *bytes;
        swl_status status;
        const char *finding;
    } rows[] = {
        {"# from a sheet\na [rpm]\tb [psi]\n1\t2\n", SWL_ERR_INPUT, "2:1 the header has tabs and neither comma"},
        {"a,b\n1,\"2\n3,4\n", SWL_ERR_INPUT, "2:3 this quote never closes"},
        {"# nothing\n\n", SWL_ERR_INPUT, "0:0 the table has no header"},
        {"a,b\n \"1\"x,2\n", SWL_OK, "2:5 read `x` after a closing quote; a separator"},
        {"a,b\n1,\"\"2\n", SWL_OK, "2:5 read `2` after a closing quote"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        sheet s = csv_of(rows[i].bytes);
        assert_int_equal(s.status, rows[i].status);
        assert_int_equal(s.diags.errors, 1);
        assert_finding(&s, 0, rows[i].finding);
        assert_true(rows[i].status == SWL_OK || s.csv.cells == NULL);
        sheet_free(&s);
    }
}

static void csv_columns_and_rows_at_most(void **state)
{
    (void)state;
    for (int count = SWL_CSV_COLUMNS_MAX; count <= SWL_CSV_COLUMNS_MAX + 1; count++) {
        swl_buf file = {0};
        for (int i = 0; i < count; i++) {
            swl_buf_printf(&file, "%sc%d", i > 0 ? "," : "", i);
        }
        sheet s = csv_of(swl_buf_text(&file));
        bool most = count == SWL_CSV_COLUMNS_MAX;
        assert_int_equal(s.status, most ? SWL_OK : SWL_ERR_INPUT);
        if (most) {
            assert_cell(&s, 0, SWL_CSV_COLUMNS_MAX - 1, "c63");
        } else {
            assert_finding(&s, 0, "1:1 the header has 65 columns; at most 64 are accepted");
        }
        sheet_free(&s);
        swl_buf_free(&file);
    }
    swl_buf file = {0};
    for (int i = 0; i < SWL_CSV_ROWS_MAX; i++) {
        swl_buf_puts(&file, "1\n");
    }
    sheet s = csv_of(swl_buf_text(&file));
    assert_int_equal(s.csv.rows, SWL_CSV_ROWS_MAX);
    sheet_free(&s);
    swl_buf_puts(&file, "1\n");
    s = csv_of(swl_buf_text(&file));
    assert_int_equal(s.status, SWL_ERR_INPUT);
    assert_finding(&s, 0, "200001:1 more than 200000 rows");
    sheet_free(&s);
    swl_buf_free(&file);
}

static void csv_heads(void **state)
{
    (void)state;
    static const struct {
        const char *head, *name, *unit;
    } rows[] = {{"flow [m3/h]", "flow", "m3/h"},
                {" flow[ m3/h ] ", "flow", "m3/h"},
                {"pressure ratio", "pressure ratio", NULL},
                {"flow []", "flow", ""},
                {"[rpm]", "", "rpm"},
                {"", "", NULL}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        swl_slice unit;
        swl_slice name = swl_csv_head(swl_slice_of(rows[i].head), &unit);
        assert_true(swl_slice_is(name, rows[i].name));
        assert_true(rows[i].unit == NULL ? unit.at == NULL : swl_slice_is(unit, rows[i].unit));
    }
}

/* What is written reads back as it was. */
static void csv_there_and_back(void **state)
{
    (void)state;
    static const char *const cells[] = {"plain", "a,b", "a;b", "say \"x\"", "", "two\nlines", "\"", "\"\"", "1.5"};
    enum { COUNT = sizeof cells / sizeof cells[0] };
    swl_buf out = {0};
    for (size_t i = 0; i < COUNT; i++) {
        swl_csv_put(&out, cells[i]);
        swl_buf_puts(&out, i + 1 < COUNT ? "," : "\n");
    }
    assert_int_equal(strncmp(swl_buf_text(&out), "plain,\"a,b\",\"a;b\",\"say \"\"x\"\"\",,", 31), 0);
    sheet s = csv_of(swl_buf_text(&out));
    assert_int_equal(s.csv.columns, COUNT);
    for (size_t i = 0; i < COUNT; i++) {
        assert_cell(&s, 0, i, cells[i]);
    }
    sheet_free(&s);
    swl_buf_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ini_sections_and_keys),
        cmocka_unit_test(ini_comments),
        cmocka_unit_test(ini_continuation),
        cmocka_unit_test(ini_mark_and_line_ends),
        cmocka_unit_test(ini_given_twice),
        cmocka_unit_test(ini_faults_all_in_one_go),
        cmocka_unit_test(ini_refused_section_is_skipped),
        cmocka_unit_test(ini_long_words),
        cmocka_unit_test(ini_has_most_keys),
        cmocka_unit_test(csv_rfc_4180),
        cmocka_unit_test(csv_separators),
        cmocka_unit_test(csv_skips_comments_and_blank_lines),
        cmocka_unit_test(csv_leaves_out_uneven_rows),
        cmocka_unit_test(csv_refuses),
        cmocka_unit_test(csv_columns_and_rows_at_most),
        cmocka_unit_test(csv_heads),
        cmocka_unit_test(csv_there_and_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
