#include "files/keys.h"

#include "sweptline/csv.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum { COLUMN_SPEED, COLUMN_RATIO, COLUMN_FLOW, COLUMN_EV, COLUMN_EA, COLUMNS };

/* index: which column of the table holds it, SIZE_MAX for none. */
typedef struct table_column {
    const char *name;
    swl_dim dim;
    size_t index;
    double factor;
    double offset;
} table_column;

typedef struct table {
    swl_blower *blower;
    swl_text *text;
    swl_csv *csv;
    swl_diags *diags;
    table_column columns[COLUMNS];
    swl_map_row *rows;
    size_t count;
    bool broken;
} table;

bool swl_head_is(swl_slice head, const char *name)
{
    if (head.len != strlen(name)) {
        return false;
    }
    for (size_t i = 0; i < head.len; i++) {
        char c = head.at[i];
        c = c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c == '_' ? ' ' : c;
        if (c != name[i]) {
            return false;
        }
    }
    return true;
}

static void refuse(table *t, const char *at, const char *text)
{
    swl_diag_add(t->diags, SWL_ERROR, t->text, at, "%s", text);
    t->broken = true;
}

static void head_unit(table *t, table_column *column, swl_slice head, swl_slice unit)
{
    column->factor = 1;
    bool bare_ok = column->dim == SWL_DIM_NUMBER || column->dim == SWL_DIM_FRACTION;
    swl_fault fault = {0};
    if (unit.at == NULL && bare_ok) {
        return;
    }
    if (unit.at == NULL) {
        swl_buf list = {0};
        swl_dim_units(column->dim, &list);
        swl_diag_add(t->diags, SWL_ERROR, t->text, head.at,
                     "column `%s` names no unit; write it as `%s [unit]` with one of %s", column->name, column->name,
                     swl_buf_text(&list));
        swl_buf_free(&list);
        t->broken = true;
    } else if (column->dim == SWL_DIM_NUMBER) {
        refuse(t, unit.at, "a pressure ratio has no unit; leave the brackets out");
    } else if (!swl_unit_read(unit, column->dim, &column->factor, &column->offset, &fault)) {
        refuse(t, fault.at, fault.text);
    }
}

static void head_column(table *t, size_t index)
{
    swl_slice head = swl_csv_cell(t->csv, 0, index);
    swl_slice unit;
    swl_slice name = swl_csv_head(head, &unit);
    for (size_t c = 0; c < COLUMNS; c++) {
        table_column *column = &t->columns[c];
        if (!swl_head_is(name, column->name)) {
            continue;
        }
        if (column->index != SIZE_MAX) {
            swl_diag_add(t->diags, SWL_ERROR, t->text, head.at, "the table has two columns named `%s`", column->name);
            t->broken = true;
            return;
        }
        column->index = index;
        head_unit(t, column, head, unit);
        return;
    }
    swl_diag_add(t->diags, SWL_NOTE, t->text, head.at, "column `%.*s` is not one that is read here; it is ignored",
                 swl_slice_shown(name), name.at);
}

static void read_head(table *t)
{
    for (size_t i = 0; i < t->csv->columns; i++) {
        head_column(t, i);
    }
    static const size_t wanted[] = {COLUMN_SPEED, COLUMN_RATIO, COLUMN_EA};
    for (size_t i = 0; i < 3; i++) {
        const table_column *column = &t->columns[wanted[i]];
        if (column->index == SIZE_MAX) {
            swl_diag_add(t->diags, SWL_ERROR, t->text, swl_csv_cell(t->csv, 0, 0).at,
                         "the table has no column `%s`; wanted are blower speed [rpm], pressure ratio, flow [m3/h] or "
                         "volumetric efficiency [%%], adiabatic efficiency [%%]",
                         column->name);
            t->broken = true;
        }
    }
    bool flow = t->columns[COLUMN_FLOW].index != SIZE_MAX;
    bool ev = t->columns[COLUMN_EV].index != SIZE_MAX;
    if (!flow && !ev) {
        refuse(t, swl_csv_cell(t->csv, 0, 0).at,
               "the table has neither a column `flow` nor `volumetric efficiency`; one of them is wanted");
    } else if (flow && ev) {
        swl_diag_add(t->diags, SWL_NOTE, t->text, NULL,
                     "the table has both flow and volumetric efficiency; the flow is read");
    }
}

/* Whether a column whose head has no unit mostly holds what cannot be fractions: told once, at the head. A few such
 * cells are slips of the pen, which are told where they stand. */
static void per_cent_meant(table *t, const table_column *column)
{
    swl_slice unit = {0};
    swl_slice first = {0};
    size_t large = 0;
    if (column->dim != SWL_DIM_FRACTION || column->index == SIZE_MAX) {
        return;
    }
    swl_slice head = swl_csv_cell(t->csv, 0, column->index);
    (void)swl_csv_head(head, &unit);
    for (size_t row = 1; row < t->csv->rows && unit.at == NULL; row++) {
        swl_slice cell = swl_csv_cell(t->csv, row, column->index);
        swl_fault ignored = {0};
        double number = 0;
        if (swl_number_read(cell, &number, &ignored) && number > 2) {
            first = large == 0 ? cell : first;
            large++;
        }
    }
    if (2 * large > t->csv->rows - 1) {
        swl_diag_add(t->diags, SWL_ERROR, t->text, head.at,
                     "column `%s` names no unit, so it is read as fractions, and holds `%.*s`: is `%s [%%]` meant?",
                     column->name, swl_slice_shown(first), first.at, column->name);
        t->broken = true;
    }
}

static bool cell_read(table *t, size_t row, const table_column *column, double *value)
{
    swl_slice cell = swl_csv_cell(t->csv, row, column->index);
    swl_fault fault = {0};
    double number = 0;
    if (cell.len == 0) {
        swl_diag_add(t->diags, SWL_ERROR, t->text, cell.at,
                     "the cell for `%s` is empty; fill it in or leave the row out", column->name);
        t->broken = true;
        return false;
    }
    if (!swl_number_read(cell, &number, &fault)) {
        swl_diag_add(t->diags, SWL_ERROR, t->text, fault.at, "%s: %s", column->name, fault.text);
        t->broken = true;
        return false;
    }
    *value = (number + column->offset) * column->factor;
    return true;
}

static void read_row(table *t, size_t row)
{
    const table_column *columns = t->columns;
    bool by_flow = columns[COLUMN_FLOW].index != SIZE_MAX;
    double speed_rpm = 0;
    double p_ratio = 0;
    double filling = 0;
    double ea = 0;
    bool ok = cell_read(t, row, &columns[COLUMN_SPEED], &speed_rpm);
    ok = cell_read(t, row, &columns[COLUMN_RATIO], &p_ratio) && ok;
    ok = cell_read(t, row, &columns[by_flow ? COLUMN_FLOW : COLUMN_EV], &filling) && ok;
    ok = cell_read(t, row, &columns[COLUMN_EA], &ea) && ok;
    if (!ok) {
        return;
    }
    double ev = by_flow && speed_rpm > 0 && t->blower->disp_m3_rev > 0
                    ? filling / (t->blower->disp_m3_rev * speed_rpm / 60)
                    : filling;
    t->rows[t->count++] =
        (swl_map_row){.speed_rpm = speed_rpm, .p_ratio = p_ratio, .ev_frac = ev, .ea_frac = ea, .id = row};
}

static void found(void *context, swl_severity severity, size_t row, const char *words)
{
    table *t = context;
    const char *at = row < t->count ? swl_csv_cell(t->csv, t->rows[row].id, t->columns[COLUMN_SPEED].index).at : NULL;
    swl_diag_add(t->diags, severity, t->text, at, "%s", words);
    t->broken = t->broken || severity == SWL_ERROR;
}

/* The unit file's own finding says that the displacement is missing; without it the flows cannot be judged. */
static bool by_flow_without_displacement(const table *t)
{
    return t->columns[COLUMN_FLOW].index != SIZE_MAX && !(t->blower->disp_m3_rev > 0);
}

static swl_status table_read(table *t, swl_err *err)
{
    read_head(t);
    if (t->broken) {
        return SWL_OK;
    }
    for (size_t c = 0; c < COLUMNS; c++) {
        if (c != COLUMN_EV || t->columns[COLUMN_FLOW].index == SIZE_MAX) {
            per_cent_meant(t, &t->columns[c]);
        }
    }
    t->rows = calloc(t->csv->rows, sizeof *t->rows);
    if (t->rows == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a map");
    }
    for (size_t row = 1; row < t->csv->rows; row++) {
        read_row(t, row);
    }
    if (t->broken) {
        return SWL_OK;
    }
    if (by_flow_without_displacement(t)) {
        return SWL_OK;
    }
    swl_map_check(t->rows, t->count, t->blower->kind == SWL_BLOWER_ROOTS, found, t);
    if (t->broken) {
        return SWL_OK;
    }
    swl_err own = {0};
    t->blower->map = swl_map_new(t->rows, t->count, &own);
    if (t->blower->map == NULL && own.status == SWL_ERR_MEMORY) {
        return swl_err_set(err, SWL_ERR_MEMORY, "%s", own.text);
    }
    if (t->blower->map == NULL) {
        refuse(t, NULL, own.text);
    }
    return SWL_OK;
}

swl_status swl_map_table_read(const swl_source *source, const char *path, swl_blower *blower, swl_diags *diags,
                              swl_err *err)
{
    swl_text text = {0};
    swl_csv csv = {0};
    table t = {
        .blower = blower,
        .text = &text,
        .csv = &csv,
        .diags = diags,
        .columns =
            {
                [COLUMN_SPEED] = {"blower speed", SWL_DIM_SPEED, SIZE_MAX, 1, 0},
                [COLUMN_RATIO] = {"pressure ratio", SWL_DIM_NUMBER, SIZE_MAX, 1, 0},
                [COLUMN_FLOW] = {"flow", SWL_DIM_VOLUME_FLOW, SIZE_MAX, 1, 0},
                [COLUMN_EV] = {"volumetric efficiency", SWL_DIM_FRACTION, SIZE_MAX, 1, 0},
                [COLUMN_EA] = {"adiabatic efficiency", SWL_DIM_FRACTION, SIZE_MAX, 1, 0},
            },
    };
    swl_status status = swl_text_load(source, path, &text, diags, err);
    if (status == SWL_OK) {
        status = swl_csv_read(&csv, &text, diags, err);
    }
    if (status == SWL_OK) {
        status = table_read(&t, err);
    }
    free(t.rows);
    swl_csv_free(&csv);
    swl_text_free(&text);
    return status;
}
