#include "cli/serve.h"

#include "report/json.h"
#include "sweptline/version.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { OK = 200, BAD_REQUEST = 400, NOT_ACCEPTED = 422, SERVER = 500 };

void serve_put_json(serve_answer *answer, json_t *root)
{
    swl_err err = {0};
    swl_buf_free(&answer->body);
    if (swl_json_write_short(&answer->body, root, &err) != SWL_OK) {
        swl_buf_free(&answer->body);
        answer->status = SERVER;
        swl_buf_puts(&answer->body, SERVE_NO_MEMORY);
    }
}

void serve_refuse(serve_answer *answer, unsigned status, const char *format, ...)
{
    char text[SWL_ERR_TEXT_MAX];
    va_list args;
    va_start(args, format);
    swl_text_fit(text, sizeof text, format, args);
    va_end(args);
    swl_utf8_clean(text);
    answer->status = status;
    serve_put_json(answer, json_pack("{s:s, s:[]}", "error", text, "findings"));
}

/* A request's body: an object whose members are all known. Returns: NULL with an answer. */
static json_t *read_body(const char *body, size_t len, const char *const *known, serve_answer *answer)
{
    json_error_t where = {.text = ""};
    json_t *root = json_loadb(body, len, JSON_REJECT_DUPLICATES, &where);
    if (root == NULL) {
        /* Jansson tells want of memory as this or that fault of the text, or not at all; one of the text comes again.
         */
        json_error_t again = {.text = ""};
        root = json_loadb(body, len, JSON_REJECT_DUPLICATES, &again);
        if (root == NULL && (json_error_code(&where) == json_error_out_of_memory || where.text[0] == '\0' ||
                             strcmp(where.text, again.text) != 0)) {
            serve_refuse(answer, SERVER, "out of memory");
            return NULL;
        }
    }
    if (root == NULL || !json_is_object(root)) {
        serve_refuse(answer, BAD_REQUEST, "the request is no JSON object: %s",
                     root == NULL ? where.text : "another value");
        json_decref(root);
        return NULL;
    }
    const char *name = NULL;
    json_t *value = NULL;
    json_object_foreach(root, name, value)
    {
        bool found = false;
        for (size_t i = 0; known[i] != NULL; i++) {
            found = found || strcmp(known[i], name) == 0;
        }
        if (!found) {
            serve_refuse(answer, BAD_REQUEST, "the request has a member `%.60s`, which is not known", name);
            json_decref(root);
            return NULL;
        }
    }
    return root;
}

static bool read_units(const serve_job *job, const json_t *root, swl_units *units, serve_answer *answer)
{
    const json_t *given = json_object_get(root, "units");
    const char *word = json_string_value(given);
    *units = job->units;
    if (given == NULL) {
        return true;
    }
    if (word == NULL || (strcmp(word, "si") != 0 && strcmp(word, "us") != 0)) {
        serve_refuse(answer, BAD_REQUEST, "units: si or us is accepted");
        return false;
    }
    *units = strcmp(word, "us") == 0 ? SWL_UNITS_US : SWL_UNITS_SI;
    return true;
}

static bool read_build(const serve_job *job, const json_t *root, size_t *build, serve_answer *answer)
{
    const json_t *given = json_object_get(root, "build");
    json_int_t n = json_integer_value(given);
    if (!json_is_integer(given) || n < 0 || n >= (json_int_t)job->count) {
        serve_refuse(answer, BAD_REQUEST, "build: a whole number from 0 to %zu is accepted", job->count - 1);
        return false;
    }
    *build = (size_t)n;
    return true;
}

static unsigned status_of(const swl_err *err)
{
    return err->status == SWL_ERR_MEMORY ? SERVER : NOT_ACCEPTED;
}

/* Notes of a check as the page shows them. */
static json_t *notes_json(const swl_build *build, const swl_check *check, const swl_diags *diags, swl_units units)
{
    swl_notes notes = {0};
    swl_notes_check(&notes, build, check, diags, units);
    json_t *list = swl_json_notes(&notes);
    swl_notes_free(&notes);
    return list;
}

/* {"check": what the command check writes, "view": what the page draws}. The first goes in as text, as it is. */
static swl_status put_solved(const serve_changed *changed, const swl_check *check, swl_units units,
                             serve_answer *answer, swl_err *err)
{
    swl_notes notes = {0};
    json_t *view = serve_view(&changed->build, check, units, err);
    if (view == NULL ||
        json_object_set_new(view, "notes", notes_json(&changed->build, check, &changed->diags, units)) != 0 ||
        json_object_set(view, "half_widths", changed->halves) != 0) {
        json_decref(view);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory");
    }
    swl_notes_check(&notes, &changed->build, check, &changed->diags, SWL_UNITS_SI);
    swl_buf_puts(&answer->body, "{\"check\":");
    swl_status status = swl_report_check_json(&answer->body, "check", &changed->build, check, NULL, &notes, err);
    swl_buf_puts(&answer->body, ",\"view\":");
    if (status == SWL_OK) {
        status = swl_json_write_short(&answer->body, view, err);
    } else {
        json_decref(view);
    }
    swl_buf_puts(&answer->body, "}");
    swl_notes_free(&notes);
    answer->status = OK;
    return status == SWL_OK ? swl_buf_status(&answer->body, err) : status;
}

void serve_solve(const serve_job *job, const char *body, size_t len, serve_answer *answer)
{
    static const char *const known[] = {"build", "units", "changes", NULL};
    json_t *root = read_body(body, len, known, answer);
    size_t build = 0;
    swl_units units = job->units;
    if (root == NULL) {
        return;
    }
    serve_changed changed;
    if (read_units(job, root, &units, answer) && read_build(job, root, &build, answer)) {
        if (serve_change(job, build, json_object_get(root, "changes"), &changed, answer)) {
            swl_err err = {0};
            swl_check check = {0};
            swl_status status = swl_check_run(&changed.build, &check, &err);
            if (status == SWL_OK) {
                status = put_solved(&changed, &check, units, answer, &err);
            }
            if (status != SWL_OK) {
                serve_refuse(answer, status_of(&err), "%s", err.text);
            }
            swl_check_free(&check);
        }
        serve_changed_close(&changed);
    }
    json_decref(root);
}

void serve_build_file(const serve_job *job, const char *body, size_t len, serve_answer *answer)
{
    static const char *const known[] = {"build", "changes", NULL};
    json_t *root = read_body(body, len, known, answer);
    size_t build = 0;
    serve_changed changed;
    if (root == NULL) {
        return;
    }
    if (read_build(job, root, &build, answer)) {
        if (serve_change(job, build, json_object_get(root, "changes"), &changed, answer)) {
            swl_buf_put(&answer->body, changed.text.bytes, changed.text.len);
            answer->status = OK;
            answer->download = job->builds[build].download;
        }
        serve_changed_close(&changed);
    }
    json_decref(root);
}

void serve_about(const serve_job *job, const char *body, size_t len, serve_answer *answer)
{
    (void)body;
    (void)len;
    answer->status = OK;
    serve_put_json(answer, json_incref(job->about));
}

/* Every build of a comparison, changed. */
typedef struct several {
    serve_changed changed[SWL_COMPARE_MOST];
    const swl_build *built[SWL_COMPARE_MOST];
    swl_diags diags[SWL_COMPARE_MOST];
    const char *files[SWL_COMPARE_MOST];
    size_t opened;
} several;

static bool several_open(const serve_job *job, const json_t *list, several *s, serve_answer *answer)
{
    if (!json_is_array(list) || json_array_size(list) != job->count || job->count < SWL_COMPARE_LEAST) {
        serve_refuse(
            answer, BAD_REQUEST,
            "builds: two builds or more are compared, and an array of the changes of each, %zu in all, is accepted",
            job->count);
        return false;
    }
    for (size_t i = 0; i < job->count; i++) {
        bool ok = serve_change(job, i, json_array_get(list, i), &s->changed[i], answer);
        s->opened = i + 1;
        s->built[i] = &s->changed[i].build;
        s->diags[i] = s->changed[i].diags;
        s->files[i] = job->builds[i].path;
        if (!ok) {
            return false;
        }
    }
    return true;
}

/* The lists of a comparison hold values, so that they are made anew in other units. */
static swl_status put_compare(const several *s, const swl_compare *compare, swl_units units, bool as_report,
                              serve_answer *answer, swl_err *err)
{
    swl_differences differences = {0};
    swl_notes summary = {0};
    swl_notes notes = {0};
    swl_compare_report report = {
        .compare = compare, .files = s->files, .differences = &differences, .summary = &summary, .notes = &notes};
    swl_status status = swl_build_differences(s->built, compare->count, units, &differences, err);
    if (status == SWL_OK) {
        swl_notes_compare_summary(&summary, &report, units);
        swl_notes_compare(&notes, compare, s->diags, units);
        status = summary.failed || notes.failed ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory") : SWL_OK;
    }
    if (status == SWL_OK && as_report) {
        status = swl_report_compare_json(&answer->body, &report, err);
    } else if (status == SWL_OK) {
        status = swl_json_write_short(&answer->body, serve_compare_view(&report, units), err);
    }
    swl_differences_free(&differences);
    swl_notes_free(&summary);
    swl_notes_free(&notes);
    return status;
}

static swl_status run_compare(const several *s, size_t count, const swl_compare_wish *wish, swl_units units,
                              serve_answer *answer, swl_err *err)
{
    double speeds_rpm[SWL_COMPARE_SPEEDS_MAX];
    size_t speeds = swl_compare_speeds(s->built, count, speeds_rpm);
    swl_compare compare = {.count = 0};
    if (speeds == 0) {
        return swl_err_set(err, SWL_ERR_USAGE, "the rev ranges of the builds have no engine speed in common");
    }
    swl_status status = swl_compare_run(s->built, count, wish, speeds_rpm, speeds, &compare, err);
    if (status == SWL_OK) {
        swl_buf_puts(&answer->body, "{\"compare\":");
        status = put_compare(s, &compare, SWL_UNITS_SI, true, answer, err);
    }
    if (status == SWL_OK) {
        swl_buf_puts(&answer->body, ",\"view\":");
        status = put_compare(s, &compare, units, false, answer, err);
    }
    swl_buf_puts(&answer->body, "}");
    answer->status = OK;
    if (status == SWL_OK) {
        status = swl_buf_status(&answer->body, err);
    }
    swl_compare_free(&compare);
    return status;
}

/* Reads the boost that all are to have; without one they are compared as fitted. */
static bool read_wish(const json_t *root, swl_compare_wish *wish, serve_answer *answer)
{
    const json_t *given = json_object_get(root, "boost");
    swl_err err = {0};
    *wish = (swl_compare_wish){.goal = SWL_COMPARE_AS_FITTED, .value = (double)NAN, .engine_rpm = (double)NAN};
    if (given == NULL || json_is_null(given)) {
        return true;
    }
    wish->goal = SWL_COMPARE_BOOST;
    const char *word = json_string_value(given);
    if (word == NULL || swl_option_value_read("boost", word, SWL_DIM_PRESSURE, 1e3, 7e5,
                                              "1 kPa to 700 kPa above site pressure", &wish->value, &err) != SWL_OK) {
        serve_refuse(answer, NOT_ACCEPTED, "%s", word == NULL ? "boost: a text is accepted" : err.text);
        return false;
    }
    return true;
}

void serve_compare(const serve_job *job, const char *body, size_t len, serve_answer *answer)
{
    static const char *const known[] = {"units", "builds", "boost", NULL};
    json_t *root = read_body(body, len, known, answer);
    swl_units units = job->units;
    if (root == NULL) {
        return;
    }
    several *s = calloc(1, sizeof *s); /* six builds are much for a stack */
    swl_compare_wish wish;
    if (s == NULL) {
        serve_refuse(answer, SERVER, "out of memory");
    } else if (read_units(job, root, &units, answer) && read_wish(root, &wish, answer) &&
               several_open(job, json_object_get(root, "builds"), s, answer)) {
        swl_err err = {0};
        if (run_compare(s, job->count, &wish, units, answer, &err) != SWL_OK) {
            serve_refuse(answer, status_of(&err), "%s", err.text);
        }
    }
    for (size_t i = 0; s != NULL && i < s->opened; i++) {
        serve_changed_close(&s->changed[i]);
    }
    free(s);
    json_decref(root);
}
