/* Pieces of a page in HTML: everything that is not ours is escaped here and nowhere else. What comes out is well-formed
 * as XML too, so that a strict reader can check it. */
#ifndef SWL_REPORT_HTML_H
#define SWL_REPORT_HTML_H

#include "sweptline/report.h"

/* Appends text so that it stands for itself, between tags and in a value between double quotes alike: the five
 * characters of markup as references; a byte that is not UTF-8 and a character that XML forbids as a question mark. */
void swl_html_text(swl_buf *out, const char *text);
/* The same for what a format makes. */
void swl_html_printf(swl_buf *out, const char *format, ...) SWL_PRINTF(2, 3);

/* What stands in a page's head. style and script are ours and go in as they are, so they hold no "</" and no "]]>";
 * script may be NULL. policy: what is allowed beside them, as "; connect-src 'self'"; empty for nothing. */
typedef struct swl_html_page {
    const char *title;
    const char *style;
    const char *script;
    const char *policy;
} swl_html_page;

/* Opens a page up to <main>: character set, viewport, a content security policy that lets in this style and this script
 * by their SHA-256 and nothing else, the title, a skip link. swl_html_close ends it, with the script last. */
void swl_html_open(swl_buf *out, const swl_html_page *page);
void swl_html_close(swl_buf *out, const swl_html_page *page);

/* The common style of a page: colours for light and dark, type, tables, verdicts, print. */
extern const char swl_html_style[];

/* <h1> to <h6>. id may be NULL. */
void swl_html_heading(swl_buf *out, int level, const char *id, const char *text);
/* A paragraph; class may be NULL. */
void swl_html_paragraph(swl_buf *out, const char *class, const char *text);
/* A list of sentences. */
void swl_html_list(swl_buf *out, const swl_notes *notes);

/* A table inside a box that scrolls on its own where the page is narrow. The caption tells what it is; class may be
 * NULL. */
void swl_html_table_open(swl_buf *out, const char *class, const char *caption);
void swl_html_table_close(swl_buf *out);
/* Heads and cells; class may be NULL. Rows are "<tr>" and "</tr>". */
void swl_html_head(swl_buf *out, const char *class, const char *scope, const char *text);
void swl_html_cell(swl_buf *out, const char *class, const char *text);
/* A number right-aligned with its decimals; a dash for NAN. */
void swl_html_number(swl_buf *out, double value, int decimals);
/* A verdict as a word in capitals with a sign whose shape differs too; starred when it rests on a point outside the
 * map. */
void swl_html_verdict(swl_buf *out, swl_verdict verdict, bool on_map);

/* A picture in a page: prefix makes its ids its own among those of other pictures; name is what it is, words what it
 * shows, for whoever does not see it. class may be NULL. */
typedef struct swl_html_picture {
    const char *class;
    const char *prefix;
    const char *name;
    const char *words;
} swl_html_picture;

/* Appends an SVG file of swl_draw_... as an element of the page: without its prologue and title, ids with the prefix,
 * styles as attributes, coordinates to a tenth of a pixel, and what is defined twice once. Errors: SWL_ERR_DRAW for
 * a file that is none; SWL_ERR_MEMORY. */
swl_status swl_html_svg(swl_buf *out, const swl_html_picture *picture, const char *svg, swl_err *err) SWL_MUST_CHECK;

#endif
