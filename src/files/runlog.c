#include "files/keys.h"

#include "sweptline/csv.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

enum {
    COLUMN_SPEED,
    COLUMN_PRESSURE,
    COLUMN_BOOST,
    COLUMN_TIME,
    COLUMN_THROTTLE,
    COLUMN_CHARGE,
    COLUMN_FLOW,
    COLUMN_INLET,
    COLUMN_DISCHARGE,
    COLUMN_CRANK,
    COLUMN_WHEEL,
    COLUMNS
};

/* A column that is read: both of its names, what it holds, and the numbers that can be. */
typedef struct column_spec {
    const char *name;
    const char *other_name; /* NULL for none */
    swl_dim dim;
    double low, high; /* SI */
    const char *accept;
    swl_log_kind kind; /* SWL_LOG_KINDS for what is no measured quantity of its own */
} column_spec;

#define PRESSURES 5e3, 1e6, "5 kPa to 1000 kPa, absolute, is accepted"
#define POWERS -1e6, 5e6, "-1000 kW to 5000 kW is accepted"

static const column_spec specs[COLUMNS] = {
    [COLUMN_SPEED] = {"engine speed", "rpm", SWL_DIM_SPEED, 0, 30000, "0 rpm to 30000 rpm is accepted", SWL_LOG_KINDS},
    [COLUMN_PRESSURE] = {"manifold pressure", NULL, SWL_DIM_PRESSURE, PRESSURES, SWL_LOG_MANIFOLD_PRESSURE},
    [COLUMN_BOOST] = {"boost", NULL, SWL_DIM_PRESSURE, -120e3, 900e3, "-120 kPa to 900 kPa over the site is accepted",
                      SWL_LOG_MANIFOLD_PRESSURE},
    [COLUMN_TIME] = {"time", NULL, SWL_DIM_TIME, -1e9, 1e9, "up to 1e9 s is accepted", SWL_LOG_KINDS},
    [COLUMN_THROTTLE] = {"throttle", NULL, SWL_DIM_FRACTION, -0.1, 1.2,
                         "-10 % to 120 % is accepted; a column in per cent is headed `throttle [%]`", SWL_LOG_KINDS},
    [COLUMN_CHARGE] = {"charge temperature", NULL, SWL_DIM_TEMPERATURE, 213.15, 673.15,
                       "-60 degC to 400 degC is accepted", SWL_LOG_CHARGE_TEMPERATURE},
    [COLUMN_FLOW] = {"mass flow", "air mass flow", SWL_DIM_MASS_FLOW, 0, 20, "0 kg/s to 20 kg/s is accepted",
                     SWL_LOG_MASS_FLOW},
    [COLUMN_INLET] = {"intake pressure", NULL, SWL_DIM_PRESSURE, PRESSURES, SWL_LOG_INLET_PRESSURE},
    [COLUMN_DISCHARGE] = {"discharge temperature", NULL, SWL_DIM_TEMPERATURE, 213.15, 673.15,
                          "-60 degC to 400 degC is accepted", SWL_LOG_DISCHARGE_TEMPERATURE},
    [COLUMN_CRANK] = {"crank power", NULL, SWL_DIM_POWER, POWERS, SWL_LOG_CRANK_POWER},
    [COLUMN_WHEEL] = {"wheel power", NULL, SWL_DIM_POWER, POWERS, SWL_LOG_WHEEL_POWER},
};

static const char wanted_words[] =
    "wanted are engine speed [rpm] and manifold pressure [kPa] (absolute) or boost [kPa]; read too are time [s], "
    "throttle [%], charge temperature [degC], mass flow [g/s], intake pressure [kPa], discharge temperature [degC], "
    "crank power [kW] and wheel power [kW]";

/* index: which column of the table holds it, SIZE_MAX for none. */
typedef struct column_place {
    size_t index;
    double factor;
    double offset;
} column_place;

typedef struct reader {
    swl_run *run;
    swl_text *text;
    swl_csv *csv;
    swl_diags *diags;
    double site_pa;
    column_place columns[COLUMNS];
    bool broken;
    /* where the line count stands */
    const char *counted;
    int line;
    /* the first cell of each column that is empty */
    const char *first_gap[COLUMNS];
    int time_line; /* of the row whose time was read last */
    double time_s;
} reader;

static void head_unit(reader *r, size_t c, swl_slice name, swl_slice unit)
{
    const column_spec *spec = &specs[c];
    column_place *place = &r->columns[c];
    swl_fault fault = {0};
    if (unit.at == NULL && spec->dim == SWL_DIM_FRACTION) {
        return;
    }
    /* A column headed `rpm` names its unit by that. */
    if (unit.at == NULL && spec->dim == SWL_DIM_SPEED && swl_head_is(name, "rpm")) {
        unit = (swl_slice){"rpm", 3};
    }
    if (unit.at == NULL) {
        swl_buf list = {0};
        swl_dim_units(spec->dim, &list);
        int shown = swl_slice_shown(name);
        swl_diag_add(r->diags, SWL_ERROR, r->text, name.at,
                     "column `%.*s` names no unit; write it as `%.*s [unit]` with one of %s", shown, name.at, shown,
                     name.at, swl_buf_text(&list));
        swl_buf_free(&list);
        r->broken = true;
    } else if (!swl_unit_read(unit, spec->dim, &place->factor, &place->offset, &fault)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, fault.at, "%s: %s", spec->name, fault.text);
        r->broken = true;
    }
}

static void head_column(reader *r, size_t index)
{
    swl_slice head = swl_csv_cell(r->csv, 0, index);
    swl_slice unit;
    swl_slice name = swl_csv_head(head, &unit);
    for (size_t c = 0; c < COLUMNS; c++) {
        if (!swl_head_is(name, specs[c].name) &&
            (specs[c].other_name == NULL || !swl_head_is(name, specs[c].other_name))) {
            continue;
        }
        if (r->columns[c].index != SIZE_MAX) {
            swl_diag_add(r->diags, SWL_ERROR, r->text, head.at,
                         "the table has two columns for `%s`; leave one out or rename it", specs[c].name);
            r->broken = true;
            return;
        }
        r->columns[c].index = index;
        head_unit(r, c, name, unit);
        return;
    }
    swl_diag_add(r->diags, SWL_NOTE, r->text, head.at, "column `%.*s` is not one that is read here; it is ignored",
                 swl_slice_shown(name), name.at);
}

static bool has(const reader *r, size_t column)
{
    return r->columns[column].index != SIZE_MAX;
}

static void head_read(reader *r)
{
    for (size_t i = 0; i < r->csv->columns; i++) {
        head_column(r, i);
    }
    const char *start = swl_csv_cell(r->csv, 0, 0).at;
    if (!has(r, COLUMN_SPEED)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, start, "the table has no column `engine speed`; %s", wanted_words);
        r->broken = true;
    }
    if (!has(r, COLUMN_PRESSURE) && !has(r, COLUMN_BOOST)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, start,
                     "the table has neither a column `manifold pressure` nor `boost`; %s", wanted_words);
        r->broken = true;
    }
    if (has(r, COLUMN_PRESSURE) && has(r, COLUMN_BOOST)) {
        swl_diag_add(r->diags, SWL_NOTE, r->text, NULL,
                     "the table has both manifold pressure and boost; the manifold pressure is read");
        r->columns[COLUMN_BOOST].index = SIZE_MAX;
    }
    for (size_t c = 0; c < COLUMNS; c++) {
        if (has(r, c) && specs[c].kind < SWL_LOG_KINDS) {
            r->run->has[specs[c].kind] = true;
        }
    }
    r->run->has_time = has(r, COLUMN_TIME);
    r->run->has_throttle = has(r, COLUMN_THROTTLE);
    r->run->from_boost = has(r, COLUMN_BOOST);
}

/* The line of a place, counted on from the last one asked for: a run has too many rows to count from the start. */
static int line_of(reader *r, const char *at)
{
    const char *bytes = r->text->bytes;
    for (const char *p = r->counted; p < at; p++) {
        r->line += bytes[p - r->text->work] == '\n';
    }
    r->counted = at;
    return r->line;
}

/* Reads a cell. NAN when it is empty, which is remembered, or refused. */
static double cell_read(reader *r, size_t row, size_t c)
{
    const column_spec *spec = &specs[c];
    const column_place *place = &r->columns[c];
    if (!has(r, c)) {
        return NAN;
    }
    swl_slice cell = swl_csv_cell(r->csv, row, place->index);
    swl_fault fault = {0};
    double number = 0;
    if (cell.len == 0) {
        r->first_gap[c] = r->first_gap[c] == NULL ? cell.at : r->first_gap[c];
        return NAN;
    }
    if (!swl_number_read(cell, &number, &fault)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, fault.at, "%s: %s; a reading that is missing is an empty cell",
                     spec->name, fault.text);
        r->broken = true;
        return NAN;
    }
    double value = (number + place->offset) * place->factor;
    if (!(value >= spec->low && value <= spec->high)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, cell.at, "%s: read `%.*s` in the unit of the head; %s", spec->name,
                     swl_slice_shown(cell), cell.at, spec->accept);
        r->broken = true;
        return NAN;
    }
    return value;
}

static void time_check(reader *r, size_t row, const swl_run_row *out)
{
    if (isnan(out->time_s)) {
        return;
    }
    if (r->time_line > 0 && !(out->time_s > r->time_s)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, swl_csv_cell(r->csv, row, r->columns[COLUMN_TIME].index).at,
                     "time %s: line %d is at %.6g s and line %d at %.6g s; rows in rising time are accepted, one run a "
                     "file",
                     out->time_s < r->time_s ? "runs backwards" : "stands still", r->time_line, r->time_s, out->line,
                     out->time_s);
        r->broken = true;
    }
    r->time_line = out->line;
    r->time_s = out->time_s;
}

/* Whether boost over the site's pressure can be an absolute pressure at all. */
static double boost_pressure(reader *r, size_t row, double boost_pa)
{
    double p_pa = r->site_pa + boost_pa;
    if (p_pa < specs[COLUMN_PRESSURE].low || p_pa > specs[COLUMN_PRESSURE].high) {
        swl_slice cell = swl_csv_cell(r->csv, row, r->columns[COLUMN_BOOST].index);
        swl_diag_add(r->diags, SWL_ERROR, r->text, cell.at,
                     "boost: read `%.*s`, which over a site of %.1f kPa makes %.1f kPa absolute; 5 kPa to 1000 kPa is "
                     "accepted",
                     swl_slice_shown(cell), cell.at, r->site_pa / 1000, p_pa / 1000);
        r->broken = true;
    }
    return p_pa;
}

static void row_read(reader *r, size_t row)
{
    swl_run *run = r->run;
    size_t first = has(r, COLUMN_PRESSURE) ? COLUMN_PRESSURE : COLUMN_BOOST;
    swl_run_row out = {.line = line_of(r, swl_csv_cell(r->csv, row, 0).at)};
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        out.value[k] = NAN;
    }
    out.engine_rpm = cell_read(r, row, COLUMN_SPEED);
    out.time_s = cell_read(r, row, COLUMN_TIME);
    out.throttle_frac = cell_read(r, row, COLUMN_THROTTLE);
    time_check(r, row, &out);
    for (size_t c = 0; c < COLUMNS; c++) {
        if (!has(r, c) || specs[c].kind == SWL_LOG_KINDS) {
            continue;
        }
        double value = cell_read(r, row, c);
        out.value[specs[c].kind] = c == COLUMN_BOOST && !isnan(value) ? boost_pressure(r, row, value) : value;
        run->gaps[specs[c].kind] += c != first && isnan(value);
    }
    run->rows_read++;
    if (isnan(out.engine_rpm) || isnan(out.value[SWL_LOG_MANIFOLD_PRESSURE])) {
        run->without++;
        return;
    }
    run->rows[run->count++] = out;
}

/* An empty cell is a gap that a logger leaves where a sensor was not asked. */
static void gaps_note(reader *r)
{
    for (size_t c = 0; c < COLUMNS; c++) {
        if (r->first_gap[c] == NULL || specs[c].kind == SWL_LOG_KINDS || r->run->gaps[specs[c].kind] == 0) {
            continue;
        }
        swl_diag_add(r->diags, SWL_NOTE, r->text, r->first_gap[c],
                     "%s: %zu of %zu cells are empty, the first one here; nothing is filled in for them", specs[c].name,
                     r->run->gaps[specs[c].kind], r->run->rows_read);
    }
    if (r->run->without == 0) {
        return;
    }
    const char *at = r->first_gap[COLUMN_SPEED];
    at = at == NULL ? r->first_gap[has(r, COLUMN_PRESSURE) ? COLUMN_PRESSURE : COLUMN_BOOST] : at;
    bool most = 2 * r->run->without > r->run->rows_read;
    swl_diag_add(r->diags, most ? SWL_ERROR : SWL_NOTE, r->text, at,
                 "%zu of %zu rows have no engine speed or no manifold pressure, one of them here; %s", r->run->without,
                 r->run->rows_read, most ? "a run in which half the rows have both is accepted" : "they are left out");
    r->broken = r->broken || most;
}

static void throttle_check(reader *r)
{
    double most_frac = -INFINITY;
    for (size_t i = 0; i < r->run->count; i++) {
        most_frac = fmax(most_frac, r->run->rows[i].throttle_frac);
    }
    if (!r->run->has_throttle || r->run->count == 0 || most_frac >= SWL_RUN_WIDE_OPEN_FRAC) {
        return;
    }
    const char *at = swl_csv_cell(r->csv, 0, r->columns[COLUMN_THROTTLE].index).at;
    if (isfinite(most_frac)) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, at,
                     "no row is at wide open: the throttle opens to %.1f %% at most; rows at 95 %% or more are wanted. "
                     "Leave the column out if it does not show the opening",
                     most_frac * 100);
    } else {
        swl_diag_add(r->diags, SWL_ERROR, r->text, at,
                     "no row is at wide open: every throttle cell is empty; leave the column out or fill it in");
    }
    r->broken = true;
}

static swl_status table_read(reader *r, swl_err *err)
{
    head_read(r);
    size_t rows = r->csv->rows - 1;
    if (rows == 0) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, NULL, "the table has no rows under its header");
        r->broken = true;
    }
    if (rows > SWL_RUN_ROWS_MAX) {
        swl_diag_add(r->diags, SWL_ERROR, r->text, NULL, "the run has %zu rows; at most %d are accepted", rows,
                     SWL_RUN_ROWS_MAX);
        r->broken = true;
    }
    if (r->broken) {
        return SWL_OK;
    }
    swl_run_row *room = calloc(rows, sizeof *room);
    if (room == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the run");
    }
    r->run->rows = room;
    r->counted = r->text->work;
    r->line = 1;
    for (size_t row = 1; row <= rows; row++) {
        row_read(r, row);
    }
    /* A cell that was refused is no gap. */
    if (!r->broken) {
        gaps_note(r);
    }
    if (!r->broken) {
        throttle_check(r);
    }
    return SWL_OK;
}

swl_status swl_run_load(const swl_source *source, const char *path, double site_pa, swl_run *run, swl_diags *diags,
                        swl_err *err)
{
    swl_text text = {0};
    swl_csv csv = {0};
    reader r = {.run = run, .text = &text, .csv = &csv, .diags = diags, .site_pa = site_pa};
    for (size_t c = 0; c < COLUMNS; c++) {
        r.columns[c] = (column_place){.index = SIZE_MAX, .factor = 1};
    }
    *run = (swl_run){0};
    swl_status status = swl_text_load(source, path, &text, diags, err);
    if (status == SWL_OK) {
        status = swl_csv_read(&csv, &text, diags, err);
    }
    if (status == SWL_OK) {
        status = table_read(&r, err);
    }
    swl_csv_free(&csv);
    swl_text_free(&text);
    if (status != SWL_ERR_MEMORY) {
        status = swl_diag_status(diags, err);
    }
    if (status != SWL_OK) {
        swl_run_free(run);
    }
    return status;
}
