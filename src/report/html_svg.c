#include "report/html.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { DEFINED_MAX = 256 };

/* A clip path of the file; one that says the same as an earlier one stands under that one's id. */
typedef struct defined {
    swl_slice id;
    swl_slice body;
    size_t same;
} defined;

typedef struct rewrite {
    swl_buf *out;
    const char *prefix;
    defined clips[DEFINED_MAX];
    size_t clip_count;
} rewrite;

static bool equal(swl_slice a, swl_slice b)
{
    return a.len == b.len && memcmp(a.at, b.at, a.len) == 0;
}

/* A number to a tenth, without what says nothing. */
static void put_number(swl_buf *out, double value)
{
    swl_buf text = {0};
    swl_buf_printf(&text, "%.1f", fabs(value) < 0.05 ? 0 : value);
    size_t n = text.len;
    n -= n > 2 && strcmp(swl_buf_text(&text) + n - 2, ".0") == 0 ? 2 : 0;
    swl_buf_put(out, swl_buf_text(&text), n);
    out->failed = out->failed || text.failed;
    swl_buf_free(&text);
}

/* The steps of a path with its numbers rounded, and without letters that only repeat. */
static void put_path(swl_buf *out, swl_slice path)
{
    char last = ' ';
    bool number_before = false;
    swl_slice rest = path;
    while (rest.at != NULL) {
        swl_slice word = swl_slice_split(&rest, ' ');
        swl_fault fault;
        double value = 0;
        if (word.len == 0) {
            continue;
        }
        if (strchr("-.0123456789", word.at[0]) != NULL && swl_number_read(word, &value, &fault)) {
            swl_buf_puts(out, number_before ? " " : "");
            put_number(out, value);
            number_before = true;
            continue;
        }
        /* After a move, pairs are lines by themselves. */
        bool repeats = word.len == 1 && word.at[0] == 'L' && (last == 'L' || last == 'M');
        last = word.len == 1 ? word.at[0] : ' ';
        if (!repeats) {
            swl_buf_put(out, word.at, word.len);
            number_before = false;
        }
    }
}

static swl_slice own_id(const rewrite *r, swl_slice id)
{
    for (size_t i = 0; i < r->clip_count; i++) {
        if (equal(r->clips[i].id, id)) {
            return r->clips[r->clips[i].same].id;
        }
    }
    return id;
}

/* A value, with every "#name" in it led to the name it has here. */
static void put_value(const rewrite *r, swl_slice value, bool refers)
{
    size_t from = 0;
    for (size_t i = 0; i < value.len && refers; i++) {
        if (value.at[i] != '#') {
            continue;
        }
        size_t to = i + 1;
        while (to < value.len && value.at[to] != ')') {
            to++;
        }
        swl_slice id = own_id(r, (swl_slice){value.at + i + 1, to - i - 1});
        swl_buf_put(r->out, value.at + from, i + 1 - from);
        swl_buf_puts(r->out, r->prefix);
        swl_buf_put(r->out, id.at, id.len);
        from = to;
        i = to;
    }
    swl_buf_put(r->out, value.at + from, value.len - from);
}

static void put_attribute(const rewrite *r, swl_slice name, swl_slice value)
{
    bool refers = memchr(value.at, '#', value.len) != NULL &&
                  (strstr(value.at, "url(#") == value.at || swl_slice_is(name, "xlink:href"));
    swl_buf_puts(r->out, " ");
    swl_buf_put(r->out, name.at, name.len);
    swl_buf_puts(r->out, "=\"");
    if (swl_slice_is(name, "id")) {
        swl_buf_puts(r->out, r->prefix);
        swl_buf_put(r->out, value.at, value.len);
    } else if (swl_slice_is(name, "d")) {
        put_path(r->out, value);
    } else {
        put_value(r, value, refers);
    }
    swl_buf_puts(r->out, "\"");
}

/* A policy without 'unsafe-inline' takes no style attribute; each of these properties is an attribute of its own. */
static void put_style(const rewrite *r, swl_slice style)
{
    swl_slice rest = style;
    while (rest.at != NULL) {
        swl_slice value = swl_slice_split(&rest, ';');
        swl_slice name = swl_slice_trim(swl_slice_split(&value, ':'));
        if (value.at != NULL && name.len > 0) {
            put_attribute(r, name, swl_slice_trim(value));
        }
    }
}

/* A tag from its "<" to its ">". */
static void put_tag(const rewrite *r, swl_slice tag)
{
    const char *at = tag.at;
    const char *end = tag.at + tag.len;
    size_t n = strcspn(at, " \t\n>");
    n = n > 1 && at[n - 1] == '/' ? n - 1 : n;
    swl_buf_put(r->out, at, n);
    at += n;
    while (at < end) {
        at += strspn(at, " \t\n");
        const char *equals = memchr(at, '=', (size_t)(end - at));
        if (equals == NULL || equals[1] != '"') {
            break;
        }
        const char *close = memchr(equals + 2, '"', (size_t)(end - equals - 2));
        if (close == NULL) {
            break;
        }
        swl_slice name = {at, (size_t)(equals - at)};
        swl_slice value = {equals + 2, (size_t)(close - equals - 2)};
        if (swl_slice_is(name, "style")) {
            put_style(r, value);
        } else {
            put_attribute(r, name, value);
        }
        at = close + 1;
    }
    swl_buf_put(r->out, at, (size_t)(end - at));
}

/* Notes a clip path. Returns: whether it is one that stands there already. */
static bool clip_known(rewrite *r, const char *tag, const char *tag_end, const char *end)
{
    static const char opens[] = "<clipPath id=\"";
    if (r->clip_count == DEFINED_MAX || strncmp(tag, opens, sizeof opens - 1) != 0) {
        return false;
    }
    const char *id = tag + sizeof opens - 1;
    defined *clip = &r->clips[r->clip_count];
    *clip = (defined){.id = {id, strcspn(id, "\"")}, .body = {tag_end, (size_t)(end - tag_end)}};
    clip->same = r->clip_count;
    for (size_t i = 0; i < r->clip_count && clip->same == r->clip_count; i++) {
        clip->same = equal(r->clips[i].body, clip->body) ? i : clip->same;
    }
    r->clip_count++;
    return clip->same + 1 < r->clip_count;
}

static swl_status put_body(rewrite *r, const char *at, const char *end, swl_err *err)
{
    while (at < end) {
        const char *open = memchr(at, '<', (size_t)(end - at));
        if (open == NULL) {
            open = end;
        }
        swl_buf_put(r->out, at, (size_t)(open - at));
        if (open == end) {
            break;
        }
        const char *close = memchr(open, '>', (size_t)(end - open));
        if (close == NULL) {
            return swl_err_set(err, SWL_ERR_DRAW, "the SVG came out incomplete");
        }
        const char *clip_end = strstr(close, "</clipPath>");
        const char *title_end = strstr(close, "</title>\n");
        if (strncmp(open, "<title>", 7) == 0 && title_end != NULL) {
            at = title_end + sizeof "</title>\n" - 1;
        } else if (clip_end != NULL && clip_end < end && clip_known(r, open, close + 1, clip_end)) {
            at = clip_end + sizeof "</clipPath>" - 1;
            at += *at == '\n';
        } else {
            put_tag(r, (swl_slice){open, (size_t)(close + 1 - open)});
            at = close + 1;
        }
    }
    return SWL_OK;
}

static void put_root(const rewrite *r, const swl_html_picture *picture, swl_slice view)
{
    swl_buf_puts(r->out, "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\"");
    if (picture->class != NULL) {
        swl_buf_printf(r->out, " class=\"%s\"", picture->class);
    }
    swl_buf_puts(r->out, " viewBox=\"");
    swl_buf_put(r->out, view.at, view.len);
    swl_buf_printf(r->out, "\" role=\"img\" aria-labelledby=\"%stitle\" aria-describedby=\"%sdesc\">\n", r->prefix,
                   r->prefix);
    swl_buf_printf(r->out, "<title id=\"%stitle\">", r->prefix);
    swl_html_text(r->out, picture->name);
    swl_buf_printf(r->out, "</title>\n<desc id=\"%sdesc\">", r->prefix);
    swl_html_text(r->out, picture->words);
    swl_buf_puts(r->out, "</desc>\n");
}

swl_status swl_html_svg(swl_buf *out, const swl_html_picture *picture, const char *svg, swl_err *err)
{
    static const char views[] = "viewBox=\"";
    const char *root = strstr(svg, "<svg ");
    const char *view = root == NULL ? NULL : strstr(root, views);
    const char *body = view == NULL ? NULL : strchr(view, '>');
    const char *end = NULL;
    for (const char *at = body; at != NULL; at = strstr(at + 1, "</svg>")) {
        end = at == body ? NULL : at;
    }
    if (end == NULL) {
        return swl_err_set(err, SWL_ERR_DRAW, "the SVG came out incomplete");
    }
    rewrite *r = calloc(1, sizeof *r);
    if (r == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a picture");
    }
    r->out = out;
    r->prefix = picture->prefix;
    view += sizeof views - 1;
    put_root(r, picture, (swl_slice){view, strcspn(view, "\"")});
    swl_status status = put_body(r, body + 1, end, err);
    swl_buf_puts(out, "</svg>\n");
    free(r);
    return status == SWL_OK ? swl_buf_status(out, err) : status;
}
