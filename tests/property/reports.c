/* Text, CSV and JSON of a check: that they parse, have no word that is no number, and tell the same. */
#include "property/laws.h"

#include "sweptline/csv.h"
#include "sweptline/report.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

/* A column of the CSV whose JSON name does not follow from its words. */
static const struct {
    const char *head;
    const char *key;
} other_names[] = {
    {"gross indicated power", "indicated_power"},
    {"blower drive at the crankshaft", "crank_drive_power"},
    {"estimated crank power", "crank_power"},
    {"estimated crank torque", "crank_torque"},
    {"estimated wheel power", "wheel_power"},
    {"fuel flow", "fuel_mass_flow"},
    {"coolant inlet temperature", "coolant_in_temperature"},
    {"coolant outlet temperature", "coolant_out_temperature"},
    {"inlet volume flow in the map's air", "map_volume_flow"},
};

/* What the JSON's names end in, by the kind that the unit of the column is of. */
static const struct {
    swl_dim dim;
    const char *ending;
} endings[] = {
    {SWL_DIM_SPEED, "_rpm"}, {SWL_DIM_PRESSURE, "_pa"},   {SWL_DIM_VOLUME_FLOW, "_m3_s"}, {SWL_DIM_MASS_FLOW, "_kg_s"},
    {SWL_DIM_FRACTION, ""},  {SWL_DIM_TEMPERATURE, "_k"}, {SWL_DIM_POWER, "_w"},          {SWL_DIM_TORQUE, "_n_m"},
};

enum { COLUMNS_MAX = 48 };

typedef struct column {
    char key[80];
    double factor, offset;
} column;

static bool read_head(swl_slice cell, column *c)
{
    swl_slice unit;
    swl_fault fault;
    swl_slice name = swl_csv_head(cell, &unit);
    char words[64];
    const char *ending = "";
    *c = (column){.factor = 1};
    if (unit.at != NULL && swl_slice_is(unit, "psia")) {
        unit = swl_slice_of("psi"); /* told apart from a gauge pressure in heads alone */
    }
    for (size_t i = 0; unit.at != NULL && i < sizeof endings / sizeof endings[0]; i++) {
        if (swl_unit_read(unit, endings[i].dim, &c->factor, &c->offset, &fault)) {
            ending = endings[i].ending;
            break;
        }
    }
    (void)snprintf(words, sizeof words, "%.*s", (int)name.len, name.at);
    for (size_t i = 0; i < sizeof other_names / sizeof other_names[0]; i++) {
        if (strcmp(words, other_names[i].head) == 0) {
            (void)snprintf(words, sizeof words, "%s", other_names[i].key);
        }
    }
    (void)snprintf(c->key, sizeof c->key, "%s%s", words, ending);
    for (char *at = c->key; *at != '\0'; at++) {
        *at = *at == ' ' ? '_' : *at;
    }
    return unit.at == NULL || ending[0] != '\0' || c->factor == 0.01;
}

static void same_cell(law_book *book, const column *c, swl_slice cell, const json_t *value, size_t row)
{
    char text[64];
    (void)snprintf(text, sizeof text, "%.*s", (int)cell.len, cell.at);
    if (json_is_boolean(value)) {
        law(book, "reports: CSV is JSON", strcmp(text, json_is_true(value) ? "yes" : "no") == 0, "%s: %s", c->key,
            text);
        return;
    }
    if (json_is_null(value)) {
        law(book, "reports: CSV is JSON", cell.len == 0, "%s of row %zu: %s where JSON has null", c->key, row, text);
        return;
    }
    char *end = NULL;
    double shown = strtod(text, &end);
    double si = (shown + c->offset) * c->factor;
    double want = json_number_value(value);
    law(book, "reports: CSV is JSON",
        json_is_number(value) && *end == '\0' && end != text &&
            fabs(si - want) <= 1e-9 * (fabs(want) + fabs(c->offset * c->factor)) + 1e-12,
        "%s of row %zu: %s is %.12g, JSON has %.12g", c->key, row, text, si, want);
}

static void csv_is_json(law_book *book, const swl_buf *csv, const json_t *root)
{
    const json_t *line = json_object_get(root, "line");
    swl_text text;
    swl_csv table;
    swl_diags diags = {0};
    column columns[COLUMNS_MAX];
    if (swl_text_init(&text, "check", swl_buf_text(csv), csv->len, NULL) != SWL_OK) {
        law(book, "reports: CSV parses", false, "not a text");
        return;
    }
    bool read = swl_csv_read(&table, &text, &diags, NULL) == SWL_OK && diags.errors == 0;
    law(book, "reports: CSV parses", read && table.columns <= COLUMNS_MAX && table.rows == json_array_size(line) + 1,
        "%zu rows of %zu", table.rows, json_array_size(line));
    for (size_t c = 0; read && c < table.columns && c < COLUMNS_MAX; c++) {
        bool known = read_head(swl_csv_cell(&table, 0, c), &columns[c]);
        /* The side of the map is told in the CSV alone. */
        bool there =
            strcmp(columns[c].key, "map_side") == 0 || json_object_get(json_array_get(line, 0), columns[c].key) != NULL;
        law(book, "reports: every column is in the JSON", known && there, "%s", columns[c].key);
    }
    for (size_t r = 1; read && r < table.rows; r++) {
        for (size_t c = 0; c < table.columns && c < COLUMNS_MAX; c++) {
            const json_t *value = json_object_get(json_array_get(line, r - 1), columns[c].key);
            if (value != NULL) {
                same_cell(book, &columns[c], swl_csv_cell(&table, r, c), value, r);
            }
        }
    }
    if (read) {
        swl_csv_free(&table);
    }
    swl_diag_free(&diags);
    swl_text_free(&text);
}

/* Whether a word that is no number stands anywhere by itself. */
static bool no_number(const char *text)
{
    static const char *const words[] = {"nan", "inf", "NaN", "Inf", "NAN", "INF", "Infinity", "infinity"};
    for (const char *at = text; *at != '\0'; at++) {
        bool starts = at == text || strchr(" ,;:([{+-\n\t\"=", at[-1]) != NULL;
        for (size_t i = 0; starts && i < sizeof words / sizeof words[0]; i++) {
            size_t n = strlen(words[i]);
            if (strncmp(at, words[i], n) == 0 && strchr(" ,;:)]}.\n\t\"%", at[n]) != NULL) {
                return true;
            }
        }
    }
    return false;
}

/* Limits that the text and the JSON name with the same verdict. */
static void text_is_json(law_book *book, const char *text, const json_t *root)
{
    const json_t *limits = json_object_get(root, "limits");
    size_t counted[3] = {0};
    for (size_t i = 0; i < json_array_size(limits); i++) {
        const char *verdict = json_string_value(json_object_get(json_array_get(limits, i), "verdict"));
        for (int v = SWL_KEPT; v <= SWL_EXCEEDED; v++) {
            counted[v] += verdict != NULL && strcmp(verdict, swl_verdict_word((swl_verdict)v)) == 0;
        }
    }
    char want[160];
    (void)snprintf(want, sizeof want,
                   "Result: %zu of %zu limits exceeded, %zu close (less than 5 %% to spare), %zu kept.",
                   counted[SWL_EXCEEDED], json_array_size(limits), counted[SWL_CLOSE], counted[SWL_KEPT]);
    law(book, "reports: text is JSON in its verdicts", json_array_size(limits) == 0 || strstr(text, want) != NULL, "%s",
        want);
}

typedef struct written {
    swl_buf text, csv, json;
} written;

static written write_all(law_book *book, const swl_build *build, const swl_check *check, const swl_diags *diags)
{
    written w = {{0}, {0}, {0}};
    swl_notes notes = {0};
    swl_err err = {0};
    swl_notes_check(&notes, build, check, diags, build->units);
    swl_report_check_text(&w.text, build, check, &notes, build->units, false);
    swl_report_check_csv(&w.csv, check, build->units);
    swl_status status = swl_report_check_json(&w.json, "check", build, check, NULL, &notes, &err);
    law(book, "reports: JSON is made", status == SWL_OK, "%s", err.text);
    swl_notes_free(&notes);
    return w;
}

static void written_free(written *w)
{
    swl_buf_free(&w->text);
    swl_buf_free(&w->csv);
    swl_buf_free(&w->json);
}

static bool same_bytes(const swl_buf *a, const swl_buf *b)
{
    return a->len == b->len && memcmp(swl_buf_text(a), swl_buf_text(b), a->len) == 0;
}

void laws_of_reports(law_book *book, const swl_build *build, const swl_check *check, const swl_diags *diags)
{
    written w = write_all(book, build, check, diags);
    json_error_t where;
    json_t *root = json_loads(swl_buf_text(&w.json), JSON_REJECT_DUPLICATES, &where);
    law(book, "reports: JSON parses", root != NULL, "%s", where.text);
    law(book, "reports: no word in place of a number",
        !no_number(swl_buf_text(&w.text)) && !no_number(swl_buf_text(&w.csv)) && !no_number(swl_buf_text(&w.json)),
        "in text, CSV or JSON");
    if (root != NULL) {
        csv_is_json(book, &w.csv, root);
        text_is_json(book, swl_buf_text(&w.text), root);
    }
    json_decref(root);
    if (book->seed % 8 == 0) {
        swl_check again;
        if (swl_check_run(build, &again, NULL) == SWL_OK) {
            written v = write_all(book, build, &again, diags);
            law(book, "reports: the same bytes again",
                same_bytes(&w.text, &v.text) && same_bytes(&w.csv, &v.csv) && same_bytes(&w.json, &v.json), "differ");
            written_free(&v);
            swl_check_free(&again);
        }
    }
    written_free(&w);
}
