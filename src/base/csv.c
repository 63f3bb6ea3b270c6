#include "sweptline/csv.h"

#include <stdlib.h>
#include <string.h>

typedef struct csv_reader {
    swl_csv *csv;
    swl_text *text;
    swl_diags *diags;
    size_t at;
    size_t cell_cap;
} csv_reader;

static char csv_separator(const swl_text *text, size_t from)
{
    int commas = 0;
    int semicolons = 0;
    bool quoted = false;
    for (size_t i = from; i < text->len && (quoted || text->work[i] != '\n'); i++) {
        if (text->work[i] == '"') {
            quoted = !quoted;
        }
        commas += !quoted && text->work[i] == ',';
        semicolons += !quoted && text->work[i] == ';';
    }
    return semicolons > commas ? ';' : ',';
}

/* Moves past blank lines and comment lines. */
static void csv_skip(csv_reader *r)
{
    const swl_text *text = r->text;
    while (r->at < text->len) {
        size_t end = r->at;
        while (end < text->len && text->work[end] != '\n') {
            end++;
        }
        swl_slice line = swl_slice_trim((swl_slice){text->work + r->at, end - r->at});
        if (line.len > 0 && line.at[0] != '#') {
            return;
        }
        r->at = end + 1;
    }
}

/* Reads a quoted cell from its opening quote, unescaping in place. Returns: false when it never closes. */
static bool csv_quoted(csv_reader *r, swl_slice *cell)
{
    char *work = r->text->work;
    size_t out = r->at + 1;
    size_t start = out;
    for (size_t i = start; i < r->text->len; i++) {
        if (work[i] != '"') {
            work[out++] = work[i];
        } else if (i + 1 < r->text->len && work[i + 1] == '"') {
            work[out++] = '"';
            i++;
        } else {
            *cell = (swl_slice){work + start, out - start};
            r->at = i + 1;
            return true;
        }
    }
    return false;
}

/* Reads one cell and stops on the separator, the line feed or the end. */
static swl_status csv_cell_read(csv_reader *r, swl_slice *cell, swl_err *err)
{
    const char *work = r->text->work;
    size_t start = r->at;
    while (r->at < r->text->len && (work[r->at] == ' ' || work[r->at] == '\t')) {
        r->at++;
    }
    if (r->at < r->text->len && work[r->at] == '"') {
        const char *open = work + r->at;
        if (!csv_quoted(r, cell)) {
            swl_diag_add(r->diags, SWL_ERROR, r->text, open, "this quote never closes");
            return swl_err_set(err, SWL_ERR_INPUT, "%s: a quote never closes", r->text->name);
        }
        start = r->at;
    }
    while (r->at < r->text->len && work[r->at] != '\n' && work[r->at] != r->csv->separator) {
        r->at++;
    }
    swl_slice rest = swl_slice_trim((swl_slice){work + start, r->at - start});
    bool quoted = cell->at != NULL;
    if (quoted && rest.len > 0) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, rest.at,
                     "read `%.*s` after a closing quote; a separator or the line's end is accepted",
                     (int)(rest.len > 40 ? 40 : rest.len), rest.at);
    }
    if (!quoted) {
        *cell = rest.len > 0 ? rest : (swl_slice){work + start, 0};
    }
    return SWL_OK;
}

/* Reads one row. Returns through *count how many cells it has; at most the maximum are kept. */
static swl_status csv_row(csv_reader *r, swl_slice *cells, size_t *count, swl_err *err)
{
    *count = 0;
    for (;;) {
        swl_slice cell = {NULL, 0};
        swl_status status = csv_cell_read(r, &cell, err);
        if (status != SWL_OK) {
            return status;
        }
        if (*count < SWL_CSV_COLUMNS_MAX) {
            cells[*count] = cell;
        }
        *count += 1;
        if (r->at >= r->text->len || r->text->work[r->at] == '\n') {
            r->at++;
            return SWL_OK;
        }
        r->at++;
    }
}

static swl_status csv_keep(csv_reader *r, const swl_slice *cells, swl_err *err)
{
    swl_csv *csv = r->csv;
    size_t need = (csv->rows + 1) * csv->columns;
    if (need > r->cell_cap) {
        size_t cap = r->cell_cap == 0 ? 64 * csv->columns : r->cell_cap * 2;
        swl_slice *grown = realloc(csv->cells, cap * sizeof *grown);
        if (grown == NULL) {
            return swl_err_set(err, SWL_ERR_MEMORY, "%s: out of memory", r->text->name);
        }
        csv->cells = grown;
        r->cell_cap = cap;
    }
    memcpy(csv->cells + csv->rows * csv->columns, cells, csv->columns * sizeof *cells);
    csv->rows++;
    return SWL_OK;
}

/* Whether a header of one cell is one of several columns with tabs between them. */
static bool csv_has_tabs(const swl_slice *cells, size_t count)
{
    return count == 1 && memchr(cells[0].at, '\t', cells[0].len) != NULL;
}

static swl_status csv_rows(csv_reader *r, swl_err *err)
{
    swl_slice cells[SWL_CSV_COLUMNS_MAX];
    for (csv_skip(r); r->at < r->text->len; csv_skip(r)) {
        const char *line = r->text->work + r->at;
        size_t count = 0;
        swl_status status = csv_row(r, cells, &count, err);
        if (status != SWL_OK) {
            return status;
        }
        if (r->csv->rows == 0) {
            if (count > SWL_CSV_COLUMNS_MAX) {
                swl_diag_add(r->diags, SWL_ERROR, r->text, line, "the header has %zu columns; at most %d are accepted",
                             count, SWL_CSV_COLUMNS_MAX);
                return swl_err_set(err, SWL_ERR_INPUT, "%s: too many columns", r->text->name);
            }
            r->csv->columns = count;
            if (csv_has_tabs(cells, count)) {
                swl_diag_add(r->diags, SWL_ERROR, r->text, line,
                             "the header has tabs and neither comma nor semicolon; columns with commas or semicolons "
                             "between them are accepted");
                return swl_err_set(err, SWL_ERR_INPUT, "the columns of the table stand between tabs");
            }
        }
        if (r->csv->rows >= SWL_CSV_ROWS_MAX) {
            swl_diag_add(r->diags, SWL_ERROR, r->text, line, "more than %d rows", SWL_CSV_ROWS_MAX);
            return swl_err_set(err, SWL_ERR_INPUT, "%s: too many rows", r->text->name);
        }
        if (count != r->csv->columns) {
            swl_diag_add(r->diags, SWL_ERROR, r->text, line, "read %zu cell%s where the header names %zu columns",
                         count, count == 1 ? "" : "s", r->csv->columns);
            continue;
        }
        status = csv_keep(r, cells, err);
        if (status != SWL_OK) {
            return status;
        }
    }
    return SWL_OK;
}

swl_status swl_csv_read(swl_csv *csv, swl_text *text, swl_diags *diags, swl_err *err)
{
    *csv = (swl_csv){0};
    csv_reader reader = {.csv = csv, .text = text, .diags = diags};
    csv_skip(&reader);
    csv->separator = csv_separator(text, reader.at);
    swl_status status = csv_rows(&reader, err);
    if (status == SWL_OK && csv->rows == 0) {
        swl_diag_add(diags, SWL_ERROR, text, NULL,
                     "the table has no header; the first line names the columns and their units");
        status = swl_err_set(err, SWL_ERR_INPUT, "%s: no header", text->name);
    }
    if (status != SWL_OK) {
        swl_csv_free(csv);
    }
    return status;
}

void swl_csv_free(swl_csv *csv)
{
    free(csv->cells);
    *csv = (swl_csv){0};
}

swl_slice swl_csv_cell(const swl_csv *csv, size_t row, size_t column)
{
    return csv->cells[row * csv->columns + column];
}

swl_slice swl_csv_head(swl_slice head, swl_slice *unit)
{
    swl_slice rest = head;
    swl_slice name = swl_slice_trim(swl_slice_split(&rest, '['));
    *unit = (swl_slice){NULL, 0};
    if (rest.at == NULL) {
        return name;
    }
    swl_slice inside = swl_slice_trim(rest);
    bool closed = inside.len > 0 && inside.at[inside.len - 1] == ']';
    /* Without its bracket, or with more behind it, no unit has that name, and reading it says so. */
    *unit = closed ? swl_slice_trim((swl_slice){inside.at, inside.len - 1}) : (swl_slice){rest.at - 1, rest.len + 1};
    return name;
}

void swl_csv_put(swl_buf *out, const char *cell)
{
    if (strpbrk(cell, ",;\"\n\r") == NULL) {
        swl_buf_puts(out, cell);
        return;
    }
    swl_buf_puts(out, "\"");
    for (const char *p = cell; *p != '\0'; p++) {
        swl_buf_put(out, "\"\"", *p == '"' ? 2 : 0);
        swl_buf_put(out, p, *p != '"');
    }
    swl_buf_puts(out, "\"");
}
