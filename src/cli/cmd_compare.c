#include "cli/cli.h"
#include "cli/compare_page.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Prints what was found in one file, but for what a file before has told, such as of a unit that both name. */
static void print_new(const cli_compare_job *j, size_t which, swl_severity least)
{
    const swl_diags *diags = &j->diags[which];
    swl_buf text = {0};
    for (size_t n = 0; n < diags->count; n++) {
        const swl_diag *one = &diags->items[n];
        bool before = false;
        for (size_t i = 0; i < which && !before; i++) {
            if (least < SWL_ERROR && j->compare.builds[i].solved) {
                continue; /* nothing of it was printed */
            }
            for (size_t k = 0; k < j->diags[i].count && !before; k++) {
                const swl_diag *other = &j->diags[i].items[k];
                before = other->line == one->line && other->column == one->column &&
                         strcmp(other->file, one->file) == 0 && strcmp(other->message, one->message) == 0;
            }
        }
        if (!before) {
            swl_diag copy = *one;
            const swl_diags alone = {.items = &copy, .count = 1, .dropped = n + 1 == diags->count ? diags->dropped : 0};
            swl_diag_print(&alone, least, &text);
        }
    }
    (void)fputs(swl_buf_text(&text), stderr);
    swl_buf_free(&text);
}

/* Reads every build, so that the faults of all files are told in one go. */
static swl_status load(cli_compare_job *j, swl_err *err)
{
    swl_source source = cli_source(&j->inputs);
    size_t bad = 0;
    for (size_t i = 0; i < j->count; i++) {
        const char *file = j->options->files[i];
        swl_err own = {0};
        swl_status status = swl_build_load(&source, file, &j->builds[i], &j->diags[i], &own);
        j->built[i] = &j->builds[i];
        j->files[i] = swl_slice_dup(swl_slice_of(file));
        if (j->files[i] == NULL) {
            return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
        }
        swl_utf8_clean(j->files[i]);
        swl_one_line(j->files[i]);
        if (status == SWL_ERR_INPUT && j->diags[i].errors > 0) {
            print_new(j, i, SWL_ERROR);
            cli_say("sweptline: %s: %s", file, own.text);
            bad++;
        } else if (status != SWL_OK) {
            return swl_err_set(err, status, "%s", own.text);
        } else if (bad == 0) {
            j->findings = &j->diags[i];
            status = cli_put_on_site(j->options, &source, &j->builds[i], &j->diags[i], &j->at_fault, err);
            if (status != SWL_OK) {
                return status;
            }
        }
    }
    if (bad > 0) {
        j->told = true;
        (void)fprintf(stderr, "sweptline: %zu of %zu builds are not accepted; nothing was computed or written\n", bad,
                      j->count);
        return swl_err_set(err, SWL_ERR_INPUT, "not accepted");
    }
    return SWL_OK;
}

/* Nothing is solved outside a rev range. */
static swl_status speed_held(const cli_compare_job *j, const char *option, const char *given, double rpm, swl_err *err)
{
    for (size_t i = 0; i < j->count; i++) {
        const swl_engine *engine = &j->built[i]->engine;
        if (!(rpm >= engine->speed_from_rpm && rpm <= engine->speed_limit_rpm)) {
            return swl_err_set(err, SWL_ERR_USAGE,
                               "%s: read `%s`; an engine speed of %.6g rpm lies outside the rev range of `%s`, for "
                               "which %.6g rpm to %.6g rpm is accepted",
                               option, given, rpm, j->built[i]->name, engine->speed_from_rpm, engine->speed_limit_rpm);
        }
    }
    return SWL_OK;
}

static swl_status read_wish(const cli_options *options, swl_compare_wish *wish, swl_err *err)
{
    *wish = (swl_compare_wish){.value = NAN, .engine_rpm = NAN};
    if (options->boost != NULL && options->manifold_flow != NULL) {
        return swl_err_set(err, SWL_ERR_USAGE, "--boost and --manifold-flow cannot both be given");
    }
    if (options->at != NULL && options->boost == NULL) {
        return swl_err_set(err, SWL_ERR_USAGE, "--at goes with --boost");
    }
    swl_status status = SWL_OK;
    if (options->boost != NULL) {
        wish->goal = SWL_COMPARE_BOOST;
        status = swl_option_value_read("--boost", options->boost, SWL_DIM_PRESSURE, 1e3, 7e5,
                                       "1 kPa to 700 kPa above site pressure", &wish->value, err);
    }
    if (status == SWL_OK && options->at != NULL) {
        status = swl_option_value_read("--at", options->at, SWL_DIM_SPEED, 100, 30000, "100 rpm to 30000 rpm",
                                       &wish->engine_rpm, err);
    }
    if (options->manifold_flow != NULL) {
        wish->goal = SWL_COMPARE_FLOW;
        status = swl_option_value_read("--manifold-flow", options->manifold_flow, SWL_DIM_MASS_FLOW, 1e-3, 10,
                                       "1 g/s to 10 kg/s", &wish->value, err);
    }
    return status;
}

static swl_status refuse_speeds(const cli_options *options, swl_err *err)
{
    return swl_err_set(err, SWL_ERR_USAGE,
                       "--speeds: read `%s`; one to eight engine speeds with commas between, each higher than the one "
                       "before, as 2000,4000,6000, are accepted",
                       options->speeds);
}

/* Engine speeds may carry their unit or not, as those of a curve. */
static swl_status read_speeds(cli_compare_job *j, swl_err *err)
{
    if (j->options->speeds == NULL) {
        j->speed_count = swl_compare_speeds(j->built, j->count, j->speeds_rpm);
        return j->speed_count > 0
                   ? SWL_OK
                   : swl_err_set(err, SWL_ERR_USAGE,
                                 "the rev ranges of the builds have no engine speed in common, so there is none to "
                                 "compare at");
    }
    swl_slice rest = swl_slice_of(j->options->speeds);
    while (rest.at != NULL) {
        swl_slice word = swl_slice_trim(swl_slice_split(&rest, ','));
        swl_quantity speed = {0};
        swl_fault fault = {0};
        bool read =
            swl_number_read(word, &speed.value, &fault) || swl_quantity_read(word, SWL_DIM_SPEED, &speed, &fault);
        bool rises =
            read && speed.value > 0 && (j->speed_count == 0 || speed.value > j->speeds_rpm[j->speed_count - 1]);
        if (!rises || j->speed_count == SWL_COMPARE_SPEEDS_MAX) {
            return refuse_speeds(j->options, err);
        }
        j->speeds_rpm[j->speed_count++] = speed.value;
    }
    for (size_t k = 0; k < j->speed_count; k++) {
        swl_status status = speed_held(j, "--speeds", j->options->speeds, j->speeds_rpm[k], err);
        if (status != SWL_OK) {
            return status;
        }
    }
    return SWL_OK;
}

/* first-and-second-compare, or first-and-2-more-compare. */
static void name_pictures(cli_compare_job *j)
{
    swl_buf second = {0};
    swl_buf words = {0};
    cli_stem(j->options->files[1], "compare", &second);
    if (j->count == 2) {
        swl_buf_printf(&words, "and-%s", swl_buf_text(&second));
    } else {
        swl_buf_printf(&words, "and-%zu-more-compare", j->count - 1);
    }
    cli_stem(j->options->files[0], swl_buf_text(&words), &j->stem);
    swl_buf_free(&second);
    swl_buf_free(&words);
}

/* Without an operating line in any build there is nothing to tell; as fitted none may lack it. */
static swl_status solved(cli_compare_job *j, swl_err *err)
{
    bool fitted = j->wish.goal == SWL_COMPARE_AS_FITTED;
    if (j->compare.solved == j->count || (j->compare.solved > 0 && !fitted)) {
        return SWL_OK;
    }
    for (size_t i = 0; i < j->count; i++) {
        if (!j->compare.builds[i].solved) {
            swl_buf why = {0};
            print_new(j, i, SWL_WARNING);
            swl_report_compare_failure(&why, &j->compare, i, j->units);
            cli_say("sweptline: %s: %s", j->options->files[i], swl_buf_text(&why));
            swl_buf_free(&why);
        }
    }
    j->told = true;
    return swl_err_set(err, SWL_ERR_SOLVE, "not solved");
}

cli_compare_job *cli_compare_new(void)
{
    cli_compare_job *j = calloc(1, sizeof *j);
    if (j == NULL) {
        cli_say("sweptline: out of memory");
    }
    return j;
}

swl_status cli_compare_open(cli_compare_job *j, const cli_options *options, swl_err *err)
{
    j->options = options;
    j->count = options->file_count;
    j->at_fault = options->file;
    swl_status status = cli_files_differ(options, err);
    if (status == SWL_OK) {
        status = read_wish(options, &j->wish, err);
    }
    if (status == SWL_OK) {
        status = load(j, err);
    }
    if (status == SWL_OK && options->at != NULL) {
        status = speed_held(j, "--at", options->at, j->wish.engine_rpm, err);
    }
    if (status == SWL_OK) {
        status = read_speeds(j, err);
    }
    if (status == SWL_OK) {
        name_pictures(j);
        status = cli_may_write_all(options, &j->inputs, swl_buf_text(&j->stem), err);
    }
    if (status != SWL_OK) {
        return status;
    }
    j->units = cli_units(options, &j->builds[0]);
    swl_err own = {0};
    status = swl_compare_run(j->built, j->count, &j->wish, j->speeds_rpm, j->speed_count, &j->compare, &own);
    if (status != SWL_OK && status != SWL_ERR_SOLVE) {
        return swl_err_set(err, status, "%s", own.text);
    }
    return solved(j, err);
}

void cli_compare_close(cli_compare_job *j)
{
    swl_compare_free(&j->compare);
    for (size_t i = 0; i < j->count; i++) {
        swl_build_free(&j->builds[i]);
        swl_diag_free(&j->diags[i]);
        free(j->files[i]);
    }
    swl_buf_free(&j->stem);
    cli_inputs_free(&j->inputs);
    free(j);
}

swl_status cli_compare_lists_make(const cli_compare_job *j, swl_units units, cli_compare_lists *l,
                                  swl_compare_report *report, swl_err *err)
{
    *l = (cli_compare_lists){.differences = {0}};
    swl_status status = swl_build_differences(j->built, j->count, units, &l->differences, err);
    if (status != SWL_OK) {
        return status;
    }
    *report = (swl_compare_report){.compare = &j->compare,
                                   .files = (const char *const *)j->files,
                                   .differences = &l->differences,
                                   .summary = &l->summary,
                                   .notes = &l->notes};
    swl_notes_compare_summary(&l->summary, report, units);
    swl_notes_compare(&l->notes, &j->compare, j->diags, units);
    bool failed = l->summary.failed || l->notes.failed;
    return failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the notes") : SWL_OK;
}

void cli_compare_lists_free(cli_compare_lists *l)
{
    swl_differences_free(&l->differences);
    swl_notes_free(&l->summary);
    swl_notes_free(&l->notes);
}

swl_status cli_compare_write(const cli_compare_job *j, bool with_text, swl_err *err)
{
    cli_out out = {.notes = {0}};
    cli_compare_lists shown = {.differences = {0}};
    cli_compare_lists si = {.differences = {0}};
    swl_compare_report report;
    swl_status status = cli_compare_lists_make(j, j->units, &shown, &report, err);
    if (status == SWL_OK) {
        if (j->options->csv != NULL) {
            swl_report_compare_csv(&out.csv, &report, j->units);
        }
        swl_report_compare_text(&out.text, &report, j->units, cli_colour());
    }
    if (status == SWL_OK && j->options->json != NULL) {
        /* JSON is in SI, and so are the values in its sentences. */
        status = cli_compare_lists_make(j, SWL_UNITS_SI, &si, &report, err);
        if (status == SWL_OK) {
            status = swl_report_compare_json(&out.json, &report, err);
        }
    }
    if (status == SWL_OK) {
        status = with_text ? cli_write(j->options, &out, err) : cli_write_tables(j->options, &out, err);
    }
    cli_compare_lists_free(&shown);
    cli_compare_lists_free(&si);
    cli_out_free(&out);
    return status;
}

int cli_compare_code(const cli_compare_job *j)
{
    for (size_t i = 0; i < j->count; i++) {
        if (!j->compare.builds[i].solved || j->compare.builds[i].check.exceeded) {
            return 1;
        }
    }
    return 0;
}

int cli_compare_fail(const cli_compare_job *j, const swl_err *err)
{
    const swl_diags none = {0};
    return j->told ? swl_err_exit_code(err->status)
                   : cli_fail(j->findings == NULL ? &none : j->findings, err, j->at_fault);
}

int cli_compare(const cli_options *options)
{
    swl_err err = {0};
    cli_compare_job *j = cli_compare_new();
    if (j == NULL) {
        return swl_err_exit_code(SWL_ERR_MEMORY);
    }
    bool draws = cli_draws(options);
    swl_status status = cli_compare_open(j, options, &err);
    if (status == SWL_OK && draws) {
        status = cli_compare_draw(options, &j->compare, j->units, swl_buf_text(&j->stem), &err);
    }
    if (status == SWL_OK) {
        status = cli_compare_write(j, true, &err);
    }
    int code = status == SWL_OK ? cli_compare_code(j) : cli_compare_fail(j, &err);
    cli_compare_close(j);
    return code;
}
