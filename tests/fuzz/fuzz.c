#include "fuzz.h"

#include <jansson.h>
#include <math.h>
#include <png.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char unit_text[] = "[unit]\n"
                                "name = Invented unit\n"
                                "kind = roots\n"
                                "displacement = 1.0 L/rev\n"
                                "continuous_speed = 14000 rpm\n"
                                "[map]\n"
                                "table = unit.csv\n"
                                "temperature = 25 degC\n"
                                "efficiency_from = temperature rise\n";

static const char table_text[] = "blower speed [rpm],pressure ratio,flow [m3/h],adiabatic efficiency [%]\n"
                                 "4000,1.2,205,62\n"
                                 "4000,2.4,160,58\n"
                                 "12000,1.2,660,60\n"
                                 "12000,2.4,600,62\n";

static const char build_text[] = "[build]\n"
                                 "name = Invented build\n"
                                 "[site]\n"
                                 "temperature = 25 degC\n"
                                 "pressure = 100 kPa\n"
                                 "relative_humidity = 50 %\n"
                                 "[engine]\n"
                                 "displacement = 3.0 L\n"
                                 "compression_ratio = 9.5\n"
                                 "speed_from = 2000 rpm\n"
                                 "speed_step = 1000 rpm\n"
                                 "speed_limit = 6000 rpm\n"
                                 "volumetric_efficiency = 2000: 80 %, 4000: 88 %, 6000: 82 %\n"
                                 "known_power = 150 kW at 5500 rpm\n"
                                 "[intake]\n"
                                 "throttle_bore = 70 mm\n"
                                 "[blower]\n"
                                 "unit = unit.ini\n"
                                 "[drive]\n"
                                 "crank_pulley = 150 mm\n"
                                 "blower_pulley = 75 mm\n"
                                 "belt = PK 6\n"
                                 "[cooler]\n"
                                 "effectiveness = 70 %\n"
                                 "coolant_temperature = 45 degC\n"
                                 "[limits]\n"
                                 "boost = 90 kPa\n"
                                 "charge_temperature = 70 degC\n";

void fuzz_hold(int holds, const char *condition, const char *file, int line)
{
    if (!holds) {
        (void)fprintf(stderr, "%s:%d: does not hold: %s\n", file, line, condition);
        abort();
    }
}

void fuzz_add(fuzz_files *files, const char *name, const char *bytes, size_t len)
{
    if (files->count < FUZZ_FILES_MAX) {
        fuzz_file *file = &files->items[files->count++];
        (void)snprintf(file->name, sizeof file->name, "%s", name);
        file->bytes = bytes;
        file->len = len;
    }
}

void fuzz_add_unit(fuzz_files *files)
{
    fuzz_add(files, "unit.ini", unit_text, sizeof unit_text - 1);
    fuzz_add(files, "unit.csv", table_text, sizeof table_text - 1);
}

void fuzz_add_build(fuzz_files *files)
{
    fuzz_add(files, "build.ini", build_text, sizeof build_text - 1);
    fuzz_add_unit(files);
}

/* Returns: the next "=== " that starts a line at or after a place, or the end. */
static const char *next_mark(const char *at, const char *end)
{
    static const char mark[] = "=== ";
    for (const char *from = at; from < end;) {
        const char *found = memmem(from, (size_t)(end - from), mark, sizeof mark - 1);
        if (found == NULL || found == at || found[-1] == '\n') {
            return found == NULL ? end : found;
        }
        from = found + 1;
    }
    return end;
}

void fuzz_split(fuzz_files *files, const char *first, const uint8_t *data, size_t size)
{
    *files = (fuzz_files){0};
    const char *at = size > 0 ? (const char *)data : "";
    const char *end = at + size;
    const char *mark = next_mark(at, end);
    fuzz_add(files, first, at, (size_t)(mark - at));
    while (mark < end && files->count < FUZZ_FILES_MAX) {
        const char *line = memchr(mark, '\n', (size_t)(end - mark));
        const char *body = line == NULL ? end : line + 1;
        const char *stop = line == NULL ? end : line;
        char name[FUZZ_NAME_MAX];
        (void)snprintf(name, sizeof name, "%.*s", (int)(stop - mark - 4), mark + 4);
        mark = next_mark(body, end);
        fuzz_add(files, name, body, (size_t)(mark - body));
    }
}

/* Writes runs of eight colours as a PNG. Returns: false when the head is none. */
static bool picture_write(const fuzz_file *file, swl_buf *out)
{
    static const unsigned char colours[8][3] = {{255, 255, 255}, {0, 0, 0},    {48, 96, 160},   {200, 60, 40},
                                                {151, 175, 207}, {90, 90, 90}, {227, 157, 147}, {40, 140, 70}};
    char head[40];
    unsigned width = 0;
    unsigned height = 0;
    const char *line = memchr(file->bytes, '\n', file->len);
    if (line == NULL) {
        return false;
    }
    (void)snprintf(head, sizeof head, "%.*s", (int)(line - file->bytes), file->bytes);
    /* %u takes a sign too. */
    bool sizes = sscanf(head, "picture %4u %4u", &width, &height) == 2 && width <= 9999 && height <= 9999;
    if (!sizes || width == 0 || height == 0 || width * height > 250000) {
        return false;
    }
    size_t count = (size_t)width * height;
    unsigned char *rgb = malloc(3 * count);
    size_t size = 3 * count + 65536;
    unsigned char *bytes = malloc(size);
    FUZZ_HOLD(rgb != NULL && bytes != NULL);
    const char *end = file->bytes + file->len;
    size_t done = 0;
    for (const char *at = line + 1; at < end && done < count; at++) {
        unsigned byte = (unsigned char)*at;
        for (unsigned n = 0; n <= byte >> 3 && done < count; n++) {
            memcpy(rgb + 3 * done++, colours[byte & 7], 3);
        }
    }
    memset(rgb + 3 * done, 255, 3 * (count - done));
    png_image image = {.version = PNG_IMAGE_VERSION,
                       .width = width,
                       .height = height,
                       .format = PNG_FORMAT_RGB,
                       .flags = PNG_IMAGE_FLAG_FAST};
    FUZZ_HOLD(png_image_write_to_memory(&image, bytes, &size, 0, rgb, 0, NULL) != 0);
    swl_buf_put_raw(out, (const char *)bytes, size);
    free(bytes);
    free(rgb);
    return true;
}

static swl_status files_read(void *context, const char *path, swl_buf *out, swl_err *err)
{
    const fuzz_files *files = context;
    for (size_t i = 0; i < files->count; i++) {
        const fuzz_file *file = &files->items[i];
        if (strcmp(file->name, path) == 0) {
            bool picture = file->len > 8 && memcmp(file->bytes, "picture ", 8) == 0;
            if (!picture || !picture_write(file, out)) {
                swl_buf_put_raw(out, file->bytes, file->len);
            }
            return swl_buf_status(out, err);
        }
    }
    return swl_err_set(err, SWL_ERR_READ, "could not be opened: there is no such file");
}

swl_source fuzz_source(fuzz_files *files)
{
    return (swl_source){.read = files_read, .context = files};
}

/* Returns: whether the text is UTF-8 and has no control sign but those allowed. */
static bool is_clean(const char *text, const char *allowed)
{
    json_t *string = json_string(text);
    bool clean = string != NULL;
    json_decref(string);
    for (const char *p = text; *p != '\0' && clean; p++) {
        unsigned char c = (unsigned char)*p;
        clean = (c >= 0x20 && c != 0x7F) || strchr(allowed, c) != NULL;
    }
    return clean;
}

void fuzz_hold_findings(const swl_diags *diags, swl_status status, const swl_err *err)
{
    FUZZ_HOLD(diags->count <= SWL_DIAGS_MAX);
    for (size_t i = 0; i < diags->count; i++) {
        const swl_diag *diag = &diags->items[i];
        FUZZ_HOLD(diag->file[0] != '\0' && is_clean(diag->file, ""));
        FUZZ_HOLD(diag->message[0] != '\0' && is_clean(diag->message, ""));
        FUZZ_HOLD(is_clean(diag->excerpt, ""));
        FUZZ_HOLD(diag->line >= 0 && (diag->line == 0 || diag->column >= 1));
        FUZZ_HOLD(diag->excerpt[0] == '\0' ||
                  (diag->excerpt_column >= 1 && diag->excerpt_column <= SWL_DIAG_EXCERPT_MAX));
    }
    FUZZ_HOLD(is_clean(err->text, ""));
    FUZZ_HOLD(status == SWL_OK || err->text[0] != '\0' || diags->errors > 0);
    FUZZ_HOLD(status == SWL_OK || status == SWL_ERR_INPUT || status == SWL_ERR_SOLVE || status == SWL_ERR_USAGE);
    FUZZ_HOLD(status != SWL_OK || diags->errors == 0);
    swl_buf text = {0};
    swl_diag_print(diags, SWL_NOTE, &text);
    fuzz_hold_text(&text);
    FUZZ_HOLD(text.len < 400000);
    swl_buf_free(&text);
}

void fuzz_hold_text(const swl_buf *text)
{
    FUZZ_HOLD(!text->failed);
    FUZZ_HOLD(is_clean(swl_buf_text(text), "\n"));
    FUZZ_HOLD(strlen(swl_buf_text(text)) == text->len);
}

void fuzz_hold_csv(const swl_buf *csv)
{
    fuzz_hold_text(csv);
    swl_text text = {0};
    swl_csv table = {0};
    swl_diags diags = {0};
    swl_err err = {0};
    FUZZ_HOLD(swl_text_init(&text, "csv", swl_buf_text(csv), csv->len, &err) == SWL_OK);
    FUZZ_HOLD(swl_csv_read(&table, &text, &diags, &err) == SWL_OK);
    FUZZ_HOLD(diags.count == 0);
    for (size_t row = 1; row < table.rows; row++) {
        for (size_t column = 0; column < table.columns; column++) {
            swl_slice cell = swl_csv_cell(&table, row, column);
            FUZZ_HOLD(!swl_slice_is(cell, "nan") && !swl_slice_is(cell, "-nan"));
            FUZZ_HOLD(!swl_slice_is(cell, "inf") && !swl_slice_is(cell, "-inf"));
        }
    }
    swl_csv_free(&table);
    swl_text_free(&text);
    swl_diag_free(&diags);
}

void fuzz_hold_json(const swl_buf *json)
{
    FUZZ_HOLD(!json->failed);
    json_t *root = json_loadb(swl_buf_text(json), json->len, JSON_REJECT_DUPLICATES, NULL);
    FUZZ_HOLD(json_is_object(root));
    json_decref(root);
}

void fuzz_hold_map(const swl_blower *blower)
{
    static const double shares[] = {-1, 0, 0.001, 0.3, 0.5, 0.999, 1, 3};
    enum { SHARES = sizeof shares / sizeof shares[0] };
    if (blower->map == NULL) {
        return;
    }
    double low = 0;
    double high = 0;
    swl_err err = {0};
    swl_map_reader *reader = swl_map_reader_new(&err);
    FUZZ_HOLD(reader != NULL);
    swl_map_ratio_range(blower->map, &low, &high);
    size_t count = swl_map_line_count(blower->map);
    FUZZ_HOLD(count >= 2 && count <= SWL_MAP_LINES_MAX && low <= high);
    double slow = swl_map_line_at(blower->map, 0).speed_rpm;
    double fast = swl_map_line_at(blower->map, count - 1).speed_rpm;
    FUZZ_HOLD(slow > 0 && slow < fast);
    for (size_t i = 0; i < SHARES; i++) {
        for (size_t k = 0; k < SHARES; k++) {
            swl_map_reading at =
                swl_map_read(blower->map, reader, slow + shares[i] * (fast - slow), low + shares[k] * (high - low));
            FUZZ_HOLD(at.ev_frac > 0 && at.ev_frac <= 1.1);
            FUZZ_HOLD(at.ea_frac > 0 && at.ea_frac < 1);
        }
    }
    swl_map_reader_free(reader);
}
