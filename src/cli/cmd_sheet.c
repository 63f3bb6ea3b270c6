#include "cli/compare_page.h"
#include "cli/sheet_pictures.h"

#include "base/digest.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* What a sheet of one build is made from; two are a comparison. */
typedef struct single {
    cli_in in;
    swl_check check;
    swl_notes notes;
} single;

static swl_status notes_make(const single *one, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_check(notes, &one->in.build, &one->check, &one->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status single_open(single *one, swl_err *err)
{
    swl_status status = cli_in_read(&one->in, err);
    if (status == SWL_OK) {
        status = cli_may_write_all(one->in.options, &one->in.inputs, "", err);
    }
    if (status == SWL_OK) {
        status = swl_check_run(&one->in.build, &one->check, err);
    }
    return status == SWL_OK ? notes_make(one, one->in.units, &one->notes, err) : status;
}

static void single_close(single *one)
{
    swl_notes_free(&one->notes);
    swl_check_free(&one->check);
    cli_in_free(&one->in);
}

static swl_status single_write(const single *one, swl_err *err)
{
    const cli_options *options = one->in.options;
    const swl_build *build = &one->in.build;
    cli_out out = {.notes = {0}};
    swl_status status = SWL_OK;
    if (options->json != NULL) {
        status = notes_make(one, SWL_UNITS_SI, &out.si_notes, err);
        if (status == SWL_OK) {
            status = swl_report_check_json(&out.json, options->command, build, &one->check, NULL, &out.si_notes, err);
        }
    }
    if (status == SWL_OK) {
        if (options->csv != NULL) {
            swl_report_check_csv(&out.csv, &one->check, one->in.units);
        }
        status = cli_write_tables(options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

/* Every file once, in the order it was read. */
static void list_files(swl_sheet *sheet, const cli_inputs *inputs)
{
    for (size_t i = 0; i < inputs->count && sheet->file_count < SWL_SHEET_FILES_MAX; i++) {
        bool before = false;
        for (size_t k = 0; k < sheet->file_count; k++) {
            before = before || strcmp(sheet->files[k].path, inputs->paths[i]) == 0;
        }
        if (before) {
            continue;
        }
        swl_sheet_file *file = &sheet->files[sheet->file_count++];
        swl_digest digest = swl_digest_of(swl_buf_text(&inputs->bytes[i]), inputs->bytes[i].len);
        file->path = inputs->paths[i];
        file->bytes = inputs->bytes[i].len;
        memcpy(file->sha256, digest.hex, sizeof file->sha256);
    }
}

/* The date of SOURCE_DATE_EPOCH, seconds since 1970 (reproducible-builds.org, the specification of that name), so that
 * a sheet made twice is the same; "" when it is not set. */
static swl_status date_of_epoch(char date[80], swl_err *err)
{
    const char *given = getenv("SOURCE_DATE_EPOCH");
    date[0] = '\0';
    if (given == NULL) {
        return SWL_OK;
    }
    char *end = NULL;
    errno = 0;
    long long seconds = strtoll(given, &end, 10);
    time_t when = (time_t)seconds;
    struct tm day;
    bool digits = given[0] != '\0' && given[strspn(given, "0123456789")] == '\0';
    if (!digits || *end != '\0' || errno != 0 || seconds > 253402300799 || gmtime_r(&when, &day) == NULL ||
        strftime(date, 80, "%Y-%m-%d (UTC, from SOURCE_DATE_EPOCH)", &day) == 0) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "SOURCE_DATE_EPOCH: read `%.40s`; whole seconds since 1970 up to the year 9999 are accepted",
                           given);
    }
    return SWL_OK;
}

/* Draws, writes the page into out. inputs give again what was read. */
static swl_status page_make(swl_sheet *sheet, const cli_options *options, cli_inputs *inputs, swl_buf *out,
                            swl_err *err)
{
    swl_source again = cli_source_again(inputs);
    swl_input_rows rows[SWL_SHEET_BUILDS_MAX] = {{.items = NULL}};
    cli_sheet_traces traces;
    swl_buf drawn_by = {0};
    char date[80] = "";
    swl_status status = options->date == NULL ? date_of_epoch(date, err) : SWL_OK;
    swl_draw_versions(&drawn_by);
    sheet->drawn_by = swl_buf_text(&drawn_by);
    sheet->date = options->date != NULL ? options->date : date[0] != '\0' ? date : NULL;
    list_files(sheet, inputs);
    for (size_t i = 0; i < sheet->count && status == SWL_OK; i++) {
        status = swl_build_input_rows(&again, options->files[i], sheet->builds[i].build, sheet->units, &rows[i], err);
        sheet->builds[i].rows = &rows[i];
    }
    if (status == SWL_OK) {
        status = cli_sheet_draw(sheet, &traces, err);
    }
    if (status == SWL_OK) {
        status = swl_report_sheet(out, sheet, err);
    }
    cli_sheet_drawings_free(sheet);
    for (size_t i = 0; i < sheet->count; i++) {
        swl_input_rows_free(&rows[i]);
    }
    swl_buf_free(&drawn_by);
    return status;
}

static swl_status save(const cli_options *options, const swl_buf *page, swl_err *err)
{
    swl_status status = cli_save(options->sheet, page, err);
    if (status == SWL_OK && strcmp(options->sheet, "-") != 0) {
        cli_say("wrote %s", options->sheet);
    }
    return status;
}

static int sheet_of_one(const cli_options *options)
{
    swl_err err = {0};
    swl_buf page = {0};
    single one = {.in = {.options = options, .at_fault = options->file}};
    swl_status status = single_open(&one, &err);
    if (status == SWL_OK) {
        swl_sheet sheet = {.builds = {{.file = options->file, .build = &one.in.build, .check = &one.check}},
                           .count = 1,
                           .notes = &one.notes,
                           .units = one.in.units};
        status = page_make(&sheet, options, &one.in.inputs, &page, &err);
    }
    if (status == SWL_OK) {
        status = single_write(&one, &err);
    }
    if (status == SWL_OK) {
        status = save(options, &page, &err);
    }
    int code = status == SWL_OK ? (one.check.exceeded ? 1 : 0) : cli_fail(&one.in.diags, &err, one.in.at_fault);
    swl_buf_free(&page);
    single_close(&one);
    return code;
}

static swl_status two_make(cli_compare_job *j, const cli_options *options, swl_buf *page, swl_err *err)
{
    cli_compare_lists lists;
    swl_compare_report report;
    swl_status status = cli_compare_lists_make(j, j->units, &lists, &report, err);
    if (status == SWL_OK) {
        swl_sheet sheet = {.count = 2, .report = &report, .notes = report.notes, .units = j->units};
        for (size_t i = 0; i < 2; i++) {
            const swl_compare_build *one = &j->compare.builds[i];
            sheet.builds[i] =
                (swl_sheet_build){.file = j->files[i], .build = &one->build, .check = one->solved ? &one->check : NULL};
        }
        status = page_make(&sheet, options, &j->inputs, page, err);
    }
    cli_compare_lists_free(&lists);
    return status;
}

static int sheet_of_two(const cli_options *options)
{
    swl_err err = {0};
    swl_buf page = {0};
    cli_compare_job *j = cli_compare_new();
    if (j == NULL) {
        return swl_err_exit_code(SWL_ERR_MEMORY);
    }
    swl_status status = cli_compare_open(j, options, &err);
    if (status == SWL_OK) {
        status = two_make(j, options, &page, &err);
    }
    if (status == SWL_OK) {
        status = cli_compare_write(j, false, &err);
    }
    if (status == SWL_OK) {
        status = save(options, &page, &err);
    }
    int code = status == SWL_OK ? cli_compare_code(j) : cli_compare_fail(j, &err);
    swl_buf_free(&page);
    cli_compare_close(j);
    return code;
}

/* Returns: an option given that only two builds heed; NULL for none. */
static const char *of_two(const cli_options *options)
{
    return options->boost != NULL           ? "boost"
           : options->at != NULL            ? "at"
           : options->manifold_flow != NULL ? "manifold-flow"
           : options->speeds != NULL        ? "speeds"
                                            : NULL;
}

static bool to_standard_output(const char *path)
{
    return path != NULL && strcmp(path, "-") == 0;
}

int cli_sheet(const cli_options *given)
{
    cli_options options = *given;
    swl_buf name = {0};
    if (options.sheet == NULL) {
        cli_stem(options.file, options.file_count > 1 ? "and-" : "sheet.html", &name);
        if (options.file_count > 1) {
            cli_stem(options.files[1], "sheet.html", &name);
        }
        options.sheet = swl_buf_text(&name);
    }
    swl_err err = {0};
    if (swl_buf_status(&name, &err) != SWL_OK) {
        return cli_fail(&(swl_diags){0}, &err, options.file);
    }
    int code = 0;
    if (to_standard_output(options.sheet) && (to_standard_output(options.json) || to_standard_output(options.csv))) {
        (void)fprintf(stderr, "sweptline sheet: --out and --%s cannot both go to standard output\n",
                      to_standard_output(options.json) ? "json" : "csv");
        code = 2;
    } else if (options.file_count == 1 && of_two(&options) != NULL) {
        (void)fprintf(stderr, "sweptline sheet: --%s goes with two builds; one was given\n", of_two(&options));
        code = 2;
    } else {
        code = options.file_count > 1 ? sheet_of_two(&options) : sheet_of_one(&options);
    }
    swl_buf_free(&name);
    return code;
}
