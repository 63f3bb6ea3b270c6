#include "report/html.h"

#include "base/digest.h"
#include "base/locale_c.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

/* How many bytes the character at p has, and it; 0 where there is none. p is UTF-8 and NUL-terminated. */
static size_t character(const unsigned char *p, unsigned *code)
{
    size_t more = p[0] < 0x80 ? 0 : p[0] < 0xE0 ? 1 : p[0] < 0xF0 ? 2 : 3;
    *code = more == 0 ? p[0] : p[0] & (0x3FU >> more);
    for (size_t i = 1; i <= more; i++) {
        if (p[i] == '\0') {
            return 0;
        }
        *code = *code << 6 | (p[i] & 0x3FU);
    }
    return more + 1;
}

/* What XML 1.0 (section 2.2) lets stand in a text, and none of the marks that turn the direction of what follows. */
static bool allowed(unsigned code)
{
    bool control = code < 0x20 && code != '\t' && code != '\n' && code != '\r';
    bool turns = (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
    return !control && !turns && (code < 0x7F || code > 0x9F) && code != 0xFFFE && code != 0xFFFF;
}

static const char *reference(unsigned code)
{
    switch (code) {
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '&':
        return "&amp;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    default:
        return NULL;
    }
}

void swl_html_text(swl_buf *out, const char *text)
{
    swl_buf clean = {0};
    swl_buf_puts(&clean, text);
    if (clean.bytes != NULL) {
        swl_utf8_clean(clean.bytes);
    }
    const unsigned char *p = (const unsigned char *)swl_buf_text(&clean);
    unsigned code = 0;
    for (size_t n = 0; *p != '\0' && (n = character(p, &code)) > 0; p += n) {
        const char *name = reference(code);
        if (name != NULL) {
            swl_buf_puts(out, name);
        } else if (allowed(code)) {
            swl_buf_put(out, (const char *)p, n);
        } else {
            swl_buf_puts(out, "?");
        }
    }
    out->failed = out->failed || clean.failed;
    swl_buf_free(&clean);
}

void swl_html_printf(swl_buf *out, const char *format, ...)
{
    char text[1000];
    swl_locale saved = swl_locale_enter();
    va_list args;
    va_start(args, format);
    int n = vsnprintf(text, sizeof text, format, args);
    va_end(args);
    swl_locale_leave(saved);
    out->failed = out->failed || n < 0 || (size_t)n >= sizeof text;
    swl_html_text(out, text);
}

static void put_class(swl_buf *out, const char *class)
{
    if (class != NULL) {
        swl_buf_printf(out, " class=\"%s\"", class);
    }
}

static void put_source(swl_buf *out, const char *kind, const char *text)
{
    swl_digest digest = swl_digest_of(text, strlen(text));
    swl_buf_printf(out, "; %s 'sha256-%s'", kind, digest.base64);
}

void swl_html_open(swl_buf *out, const swl_html_page *page)
{
    swl_buf_puts(out, "<!DOCTYPE html>\n"
                      "<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\">\n<head>\n"
                      "<meta charset=\"utf-8\" />\n"
                      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'");
    put_source(out, "style-src", page->style);
    if (page->script != NULL) {
        put_source(out, "script-src", page->script);
    }
    swl_buf_printf(out, "; base-uri 'none'; form-action 'none'%s\" />\n", page->policy);
    swl_buf_puts(out, "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\" />\n"
                      "<meta name=\"color-scheme\" content=\"light dark\" />\n<title>");
    swl_html_text(out, page->title);
    swl_buf_puts(out, "</title>\n<style>");
    swl_buf_puts(out, page->style);
    swl_buf_puts(out, "</style>\n</head>\n<body>\n<a class=\"skip\" href=\"#main\">Skip to the content</a>\n"
                      "<main id=\"main\" tabindex=\"-1\">\n");
}

void swl_html_close(swl_buf *out, const swl_html_page *page)
{
    swl_buf_puts(out, "</main>\n");
    if (page->script != NULL) {
        swl_buf_puts(out, "<script>");
        swl_buf_puts(out, page->script);
        swl_buf_puts(out, "</script>\n");
    }
    swl_buf_puts(out, "</body>\n</html>\n");
}

void swl_html_heading(swl_buf *out, int level, const char *id, const char *text)
{
    swl_buf_printf(out, "<h%d", level);
    if (id != NULL) {
        swl_buf_printf(out, " id=\"%s\"", id);
    }
    swl_buf_puts(out, ">");
    swl_html_text(out, text);
    swl_buf_printf(out, "</h%d>\n", level);
}

void swl_html_paragraph(swl_buf *out, const char *class, const char *text)
{
    swl_buf_puts(out, "<p");
    put_class(out, class);
    swl_buf_puts(out, ">");
    swl_html_text(out, text);
    swl_buf_puts(out, "</p>\n");
}

void swl_html_list(swl_buf *out, const swl_notes *notes)
{
    swl_buf_puts(out, notes->count > 0 ? "<ul>\n" : "");
    for (size_t i = 0; i < notes->count; i++) {
        swl_buf_puts(out, "<li>");
        swl_html_text(out, notes->items[i]);
        swl_buf_puts(out, "</li>\n");
    }
    swl_buf_puts(out, notes->count > 0 ? "</ul>\n" : "");
}

void swl_html_table_open(swl_buf *out, const char *class, const char *caption)
{
    /* A box that scrolls is reached by the keyboard too, and says what it holds. */
    swl_buf_puts(out, "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"");
    swl_html_text(out, caption);
    swl_buf_puts(out, "\">\n<table");
    put_class(out, class);
    swl_buf_puts(out, ">\n<caption><span>");
    swl_html_text(out, caption);
    swl_buf_puts(out, "</span></caption>\n");
}

void swl_html_table_close(swl_buf *out)
{
    swl_buf_puts(out, "</table>\n</div>\n");
}

void swl_html_head(swl_buf *out, const char *class, const char *scope, const char *text)
{
    swl_buf_printf(out, "<th scope=\"%s\"", scope);
    put_class(out, class);
    swl_buf_puts(out, ">");
    swl_html_text(out, text);
    swl_buf_puts(out, "</th>");
}

void swl_html_cell(swl_buf *out, const char *class, const char *text)
{
    swl_buf_puts(out, "<td");
    put_class(out, class);
    swl_buf_puts(out, ">");
    swl_html_text(out, text);
    swl_buf_puts(out, "</td>");
}

void swl_html_number(swl_buf *out, double value, int decimals)
{
    if (!isfinite(value)) {
        swl_buf_puts(out, "<td class=\"n\">-</td>");
        return;
    }
    /* No "-0.0". */
    double shown = fabs(value) < 0.5 * pow(10, -decimals) ? 0 : value;
    swl_buf_printf(out, "<td class=\"n\">%.*f</td>", decimals, shown);
}

void swl_html_verdict(swl_buf *out, swl_verdict verdict, bool on_map)
{
    static const char *const names[] = {"kept", "close", "over"};
    static const char *const words[] = {"KEPT", "CLOSE", "EXCEEDED"};
    /* A ring with a tick, a triangle, a filled square with a cross. */
    static const char *const signs[] = {
        "<circle cx=\"8\" cy=\"8\" r=\"6.5\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.6\" />"
        "<path d=\"M4.8 8.3L7 10.5L11.3 5.8\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.8\" />",
        "<path d=\"M8 1.5L15 14.5L1 14.5Z\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.6\" />"
        "<path d=\"M8 6L8 10M8 11.6L8 13\" stroke=\"currentColor\" stroke-width=\"1.8\" />",
        "<path fill-rule=\"evenodd\" fill=\"currentColor\" d=\"M1 1H15V15H1ZM4.2 5.4L6.8 8L4.2 10.6L5.4 11.8L8 "
        "9.2L10.6 "
        "11.8L11.8 10.6L9.2 8L11.8 5.4L10.6 4.2L8 6.8L5.4 4.2Z\" />",
    };
    swl_buf_printf(out,
                   "<span class=\"verdict %s\"><svg viewBox=\"0 0 16 16\" aria-hidden=\"true\">%s</svg>%s</span>%s",
                   names[verdict], signs[verdict], words[verdict], on_map ? "" : " *");
}
