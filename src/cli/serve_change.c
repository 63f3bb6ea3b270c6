#include "cli/serve.h"

#include "cli/serve_half.h"
#include "report/json.h"

#include "sweptline/edit.h"

#include <stdio.h>
#include <string.h>

enum { BAD_REQUEST = 400, NOT_ACCEPTED = 422, SERVER = 500 };

/* One member of a change. Returns: its text, NULL for anything else. */
static const char *member(const json_t *change, const char *name)
{
    return json_string_value(json_object_get(change, name));
}

static bool read_changes(const json_t *list, swl_ini_change *changes, size_t *count, serve_answer *answer)
{
    size_t n = list == NULL ? 0 : json_array_size(list);
    if ((list != NULL && !json_is_array(list)) || n > SERVE_CHANGES_MAX) {
        serve_refuse(answer, BAD_REQUEST, "changes: an array of at most %d changes is accepted", SERVE_CHANGES_MAX);
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        const json_t *one = json_array_get(list, i);
        swl_ini_change change = {member(one, "section"), member(one, "key"), member(one, "value")};
        if (change.section == NULL || change.key == NULL || change.value == NULL || json_object_size(one) != 3) {
            serve_refuse(answer, BAD_REQUEST,
                         "changes: each has a section, a key and a value, all texts, and nothing else");
            return false;
        }
        for (size_t k = 0; k < i; k++) {
            if (strcmp(changes[k].section, change.section) == 0 && strcmp(changes[k].key, change.key) == 0) {
                serve_refuse(answer, BAD_REQUEST, "changes: %s of [%s] is given twice", change.key, change.section);
                return false;
            }
        }
        if (!serve_may_change(change.section, change.key)) {
            serve_refuse(answer, NOT_ACCEPTED, "`%.60s` of [%.60s] is not among the values that the page changes",
                         change.key, change.section);
            return false;
        }
        changes[i] = change;
    }
    *count = n;
    return true;
}

/* The lines that stand at the head of a changed file. */
static swl_status put_head(const serve_build *build, const swl_buf *bytes, const swl_ini_change *changes,
                           const serve_half *halves, size_t count, swl_buf *lines, swl_err *err)
{
    const char *slash = strrchr(build->path, '/');
    char name[160];
    (void)snprintf(name, sizeof name, "%.150s", slash == NULL ? build->path : slash + 1);
    for (char *at = name; *at != '\0'; at++) {
        *at = (unsigned char)*at < ' ' || *at == 0x7f ? '?' : *at;
    }
    swl_utf8_clean(name);
    swl_buf_printf(lines, "Changed from %s by sweptline serve; keep it in the same folder, for the files it names:\n",
                   strcmp(build->path, "-") == 0 ? "standard input" : name);
    for (size_t i = 0; i < count; i++) {
        bool given = false;
        swl_buf was = {0};
        swl_status status =
            swl_ini_given(build->path, bytes->bytes, bytes->len, changes[i].section, changes[i].key, &given, &was, err);
        swl_buf_printf(lines, "[%s] %s = %s, ", changes[i].section, changes[i].key, changes[i].value);
        swl_buf_printf(lines, given ? "was %.200s" : "was not given%s", given ? swl_buf_text(&was) : "");
        swl_buf_puts(lines, halves[i] == SERVE_HALF_LEFT_OUT ? "; its +- does not go with this value and is left out\n"
                                                             : "\n");
        swl_buf_free(&was);
        if (status != SWL_OK) {
            return status;
        }
    }
    return swl_buf_status(lines, err);
}

/* A finding about a value is told with its section and key, so that it can stand beside that. */
static json_t *finding(size_t build, const char *message)
{
    size_t n = strcspn(message, ": ");
    const char *section = serve_section_of(message, n);
    return json_pack("{s:i, s:s?, s:o, s:s}", "build", (int)build, "section", section, "key",
                     section == NULL ? json_null() : json_stringn(message, n), "message", message);
}

static void refuse_findings(serve_answer *answer, size_t build, const swl_diags *diags)
{
    json_t *list = json_array();
    const char *first = NULL;
    int bad = 0;
    for (size_t i = 0; i < diags->count; i++) {
        const swl_diag *one = &diags->items[i];
        if (one->severity == SWL_ERROR) {
            first = first == NULL ? one->message : first;
            bad |= json_array_append_new(list, finding(build, one->message));
        }
    }
    answer->status = NOT_ACCEPTED;
    serve_put_json(answer,
                   json_pack("{s:s, s:o}", "error", first == NULL ? "" : first, "findings", swl_json_whole(list, bad)));
}

static void refuse_value(serve_answer *answer, size_t build, const char *text)
{
    answer->status = NOT_ACCEPTED;
    serve_put_json(answer, json_pack("{s:s, s:[o]}", "error", text, "findings", finding(build, text)));
}

/* The changes with the half-widths that the file gives, as the page is told of them. */
typedef struct widened {
    swl_buf values[SERVE_CHANGES_MAX];
    serve_half halves[SERVE_CHANGES_MAX];
} widened;

static swl_status widen(const serve_build *of, const swl_buf *bytes, swl_ini_change *changes, size_t count, widened *w,
                        json_t **told, swl_err *err)
{
    int bad = (*told = json_array()) == NULL;
    for (size_t i = 0; i < count; i++) {
        swl_buf was = {0};
        swl_buf half = {0};
        bool given = false;
        swl_status status =
            swl_ini_given(of->path, bytes->bytes, bytes->len, changes[i].section, changes[i].key, &given, &was, err);
        w->halves[i] =
            serve_keep_half(changes[i].section, changes[i].key, swl_buf_text(&was), changes[i].value, &w->values[i]);
        changes[i].value = swl_buf_text(&w->values[i]);
        if (w->halves[i] != SERVE_HALF_NONE) {
            serve_half_put(swl_buf_text(&was), &half);
            bad |= json_array_append_new(*told, json_pack("{s:s, s:s, s:s, s:b}", "section", changes[i].section, "key",
                                                          changes[i].key, "half_width", swl_buf_text(&half), "kept",
                                                          (int)(w->halves[i] == SERVE_HALF_KEPT))) != 0;
        }
        bad |= w->values[i].failed || half.failed;
        swl_buf_free(&was);
        swl_buf_free(&half);
        if (status != SWL_OK) {
            return status;
        }
    }
    return bad ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory") : SWL_OK;
}

bool serve_change(const serve_job *job, size_t build, const json_t *list, serve_changed *changed, serve_answer *answer)
{
    const serve_build *of = &job->builds[build];
    const swl_buf *bytes = serve_files_find(&job->files, of->path);
    swl_ini_change changes[SERVE_CHANGES_MAX];
    size_t count = 0;
    swl_buf edited = {0};
    swl_buf head = {0};
    swl_err err = {0};
    *changed = (serve_changed){.text = {0}};
    if (bytes == NULL) {
        serve_refuse(answer, SERVER, "the build is not kept");
        return false;
    }
    if (!read_changes(list, changes, &count, answer)) {
        return false;
    }
    widened w = {.halves = {SERVE_HALF_NONE}};
    swl_status status = widen(of, bytes, changes, count, &w, &changed->halves, &err);
    if (status == SWL_OK) {
        status = swl_ini_edit(of->path, bytes->bytes, bytes->len, changes, count, &edited, &err);
    }
    if (status == SWL_OK && count > 0) {
        status = put_head(of, bytes, changes, w.halves, count, &head, &err);
    }
    if (status == SWL_OK) {
        swl_ini_comment(edited.bytes, edited.len, swl_buf_text(&head), &changed->text);
        status = swl_buf_status(&changed->text, &err);
    }
    if (status == SWL_OK) {
        serve_kept kept = {.files = &job->files, .path = of->path, .bytes = &changed->text};
        swl_source source = serve_files_kept(&kept);
        status = swl_build_load(&source, of->path, &changed->build, &changed->diags, &err);
    }
    swl_buf_free(&edited);
    swl_buf_free(&head);
    for (size_t i = 0; i < count; i++) {
        swl_buf_free(&w.values[i]);
    }
    if (status == SWL_ERR_INPUT && changed->diags.errors > 0) {
        refuse_findings(answer, build, &changed->diags);
    } else if (status == SWL_ERR_USAGE || status == SWL_ERR_INPUT) {
        refuse_value(answer, build, err.text);
    } else if (status != SWL_OK) {
        serve_refuse(answer, SERVER, "%s", err.text);
    }
    return status == SWL_OK;
}

void serve_changed_close(serve_changed *changed)
{
    swl_buf_free(&changed->text);
    json_decref(changed->halves);
    swl_build_free(&changed->build);
    swl_diag_free(&changed->diags);
}
