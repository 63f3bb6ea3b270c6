#include "draw/canvas.h"
#include "draw/pdf_whole.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#define FONT_FAMILY "DejaVu Sans"
#define A4_WIDTH_PT 841.89
#define A4_HEIGHT_PT 595.28

static cairo_status_t collect(void *closure, const unsigned char *bytes, unsigned int len)
{
    swl_buf *buf = closure;
    swl_buf_put_raw(buf, (const char *)bytes, len);
    return buf->failed ? CAIRO_STATUS_WRITE_ERROR : CAIRO_STATUS_SUCCESS;
}

static swl_status canvas_surface(swl_canvas *canvas, swl_err *err)
{
    const swl_picture *picture = &canvas->picture;
    double scale = 1;
    if (picture->format == SWL_FORMAT_PNG) {
        scale = picture->dpi / 96;
        canvas->surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, picture->width, picture->height);
        canvas->width = picture->width / scale;
        canvas->height = picture->height / scale;
    } else if (picture->format == SWL_FORMAT_SVG) {
        canvas->width = picture->width;
        canvas->height = picture->height;
        canvas->surface = cairo_svg_surface_create_for_stream(collect, &canvas->bytes, canvas->width, canvas->height);
        cairo_svg_surface_set_document_unit(canvas->surface, CAIRO_SVG_UNIT_PX);
    } else {
        /* An A4 page is drawn on 1600 units of width, so that the base type is 7.9 pt. */
        bool a4 = picture->width == 0;
        canvas->width = a4 ? 1600 : picture->width;
        canvas->height = a4 ? 1600 * A4_HEIGHT_PT / A4_WIDTH_PT : picture->height;
        scale = a4 ? A4_WIDTH_PT / 1600 : 0.75;
        canvas->surface =
            cairo_pdf_surface_create_for_stream(collect, &canvas->bytes, canvas->width * scale, canvas->height * scale);
        /* A fixed date: the same input gives the same bytes. */
        cairo_pdf_surface_set_metadata(canvas->surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
        cairo_pdf_surface_set_metadata(canvas->surface, CAIRO_PDF_METADATA_TITLE, canvas->title);
        cairo_pdf_surface_set_metadata(canvas->surface, CAIRO_PDF_METADATA_CREATOR, "sweptline");
    }
    cairo_status_t status = cairo_surface_status(canvas->surface);
    if (status != CAIRO_STATUS_SUCCESS) {
        return swl_err_set(err, status == CAIRO_STATUS_NO_MEMORY ? SWL_ERR_MEMORY : SWL_ERR_DRAW,
                           "the picture could not be set up: %s", cairo_status_to_string(status));
    }
    cairo_surface_set_device_scale(canvas->surface, scale, scale);
    return SWL_OK;
}

swl_status swl_canvas_open(swl_canvas *canvas, const swl_picture *picture, const char *title, swl_err *err)
{
    *canvas = (swl_canvas){.picture = *picture, .title = title};
    bool page_default = picture->format == SWL_FORMAT_PDF && picture->width == 0 && picture->height == 0;
    bool size_ok = picture->width >= SWL_PICTURE_MIN && picture->width <= SWL_PICTURE_MAX &&
                   picture->height >= SWL_PICTURE_MIN && picture->height <= SWL_PICTURE_MAX;
    bool dpi_ok = picture->dpi >= SWL_DPI_MIN && picture->dpi <= SWL_DPI_MAX;
    if (!(size_ok || page_default) || !dpi_ok) {
        return swl_err_set(
            err, SWL_ERR_USAGE, "a picture of %dx%d at %g dpi; %d to %d pixels each way and %g to %g dpi are accepted",
            picture->width, picture->height, picture->dpi, SWL_PICTURE_MIN, SWL_PICTURE_MAX, SWL_DPI_MIN, SWL_DPI_MAX);
    }
    swl_status status = canvas_surface(canvas, err);
    if (status != SWL_OK) {
        swl_canvas_free(canvas);
        return status;
    }
    canvas->cr = cairo_create(canvas->surface);
    /* Type shrinks less than the page, so that a small picture is read too. */
    double relative = sqrt(canvas->width * canvas->height / (1600.0 * 1000.0));
    canvas->stroke = pow(relative, 0.55) * (picture->type > 0 ? picture->type : 1);
    canvas->font = 15 * canvas->stroke;
    cairo_set_source_rgb(canvas->cr, 1, 1, 1);
    cairo_paint(canvas->cr);
    return SWL_OK;
}

void swl_canvas_free(swl_canvas *canvas)
{
    if (canvas->cr != NULL) {
        cairo_destroy(canvas->cr);
    }
    if (canvas->surface != NULL) {
        cairo_surface_destroy(canvas->surface);
    }
    swl_buf_free(&canvas->bytes);
    free(canvas->labels);
    free(canvas->taken);
    *canvas = (swl_canvas){0};
}

static void font_set(const swl_canvas *canvas, double size, bool bold)
{
    cairo_select_font_face(canvas->cr, FONT_FAMILY, CAIRO_FONT_SLANT_NORMAL,
                           bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(canvas->cr, size);
}

void swl_canvas_measure(const swl_canvas *canvas, const char *text, double size, bool bold, double *width,
                        double *height)
{
    cairo_text_extents_t extents;
    font_set(canvas, size, bold);
    cairo_text_extents(canvas->cr, text, &extents);
    *width = extents.x_advance;
    *height = size;
}

/* From the label's point down to its baseline. Capitals of this face are 0.73 of the size high. */
static double label_drop(const swl_label *label)
{
    double capital = 0.73 * label->size;
    return label->down < 0 ? capital : label->down > 0 ? 0 : capital / 2;
}

/* Where the baseline starts before turning, relative to the label's point. */
static void label_origin(const swl_canvas *canvas, const swl_label *label, double *dx, double *dy, double *width)
{
    double height = 0;
    swl_canvas_measure(canvas, label->text, label->size, label->bold, width, &height);
    *dx = -*width * (label->across + 1) / 2;
    *dy = label_drop(label);
}

swl_rect swl_canvas_label_box(const swl_canvas *canvas, const swl_label *label)
{
    double dx = 0;
    double dy = 0;
    double width = 0;
    label_origin(canvas, label, &dx, &dy, &width);
    double margin = 0.18 * label->size;
    double left = dx - margin;
    double right = dx + width + margin;
    double top = dy - 0.78 * label->size - margin;
    double bottom = dy + 0.2 * label->size + margin;
    if (label->angle_deg > 45) {
        return (swl_rect){label->x + top, label->y - right, label->x + bottom, label->y - left};
    }
    return (swl_rect){label->x + left, label->y + top, label->x + right, label->y + bottom};
}

/* Returns: the array with room for one more, or NULL when out of memory and the array is as it was. */
static void *grow(swl_canvas *canvas, void *array, size_t count, size_t size)
{
    void *grown = count % 64 == 0 ? realloc(array, (count + 64) * size) : array;
    canvas->out_of_memory = canvas->out_of_memory || grown == NULL;
    return grown;
}

void swl_canvas_take(swl_canvas *canvas, swl_rect box)
{
    swl_rect *taken = grow(canvas, canvas->taken, canvas->taken_count, sizeof *taken);
    if (taken != NULL) {
        taken[canvas->taken_count++] = box;
        canvas->taken = taken;
    }
}

void swl_canvas_label(swl_canvas *canvas, const swl_label *label)
{
    canvas->out_of_memory = canvas->out_of_memory || swl_buf_is_lost(label->text);
    swl_label *labels = grow(canvas, canvas->labels, canvas->label_count, sizeof *labels);
    if (labels != NULL) {
        labels[canvas->label_count++] = *label;
        canvas->labels = labels;
        swl_canvas_take(canvas, swl_canvas_label_box(canvas, label));
    }
}

bool swl_canvas_label_try(swl_canvas *canvas, const swl_label *label, swl_rect within)
{
    swl_rect box = swl_canvas_label_box(canvas, label);
    if (box.x0 < within.x0 || box.x1 > within.x1 || box.y0 < within.y0 || box.y1 > within.y1) {
        return false;
    }
    for (size_t i = 0; i < canvas->taken_count; i++) {
        swl_rect other = canvas->taken[i];
        if (box.x0 < other.x1 && other.x0 < box.x1 && box.y0 < other.y1 && other.y0 < box.y1) {
            return false;
        }
    }
    swl_canvas_label(canvas, label);
    return true;
}

void swl_canvas_colour(swl_canvas *canvas, swl_rgb colour, double alpha)
{
    cairo_set_source_rgba(canvas->cr, colour.r, colour.g, colour.b, alpha);
}

void swl_canvas_stroke(swl_canvas *canvas, double width, const double *dash)
{
    double lengths[8];
    int count = 0;
    while (dash != NULL && count < 8 && dash[count] > 0) {
        lengths[count] = dash[count] * canvas->stroke;
        count++;
    }
    cairo_set_dash(canvas->cr, lengths, count, 0);
    cairo_set_line_width(canvas->cr, width * canvas->stroke);
    cairo_set_line_join(canvas->cr, CAIRO_LINE_JOIN_ROUND);
    cairo_set_line_cap(canvas->cr, count > 0 ? CAIRO_LINE_CAP_BUTT : CAIRO_LINE_CAP_ROUND);
    cairo_stroke(canvas->cr);
}

static void label_draw(swl_canvas *canvas, const swl_label *label)
{
    double dx = 0;
    double dy = 0;
    double width = 0;
    label_origin(canvas, label, &dx, &dy, &width);
    cairo_save(canvas->cr);
    cairo_translate(canvas->cr, label->x, label->y);
    cairo_rotate(canvas->cr, -label->angle_deg * 3.14159265358979 / 180);
    font_set(canvas, label->size, label->bold);
    if (label->halo) {
        cairo_move_to(canvas->cr, dx, dy);
        cairo_text_path(canvas->cr, label->text);
        swl_canvas_colour(canvas, (swl_rgb){1, 1, 1}, 0.9);
        cairo_set_dash(canvas->cr, NULL, 0, 0);
        cairo_set_line_join(canvas->cr, CAIRO_LINE_JOIN_ROUND);
        cairo_set_line_width(canvas->cr, 0.28 * label->size);
        cairo_stroke(canvas->cr);
    }
    cairo_move_to(canvas->cr, dx, dy);
    swl_canvas_colour(canvas, label->colour, 1);
    cairo_show_text(canvas->cr, label->text);
    cairo_restore(canvas->cr);
}

static void xml_text(swl_buf *out, const char *text)
{
    for (const char *p = text; *p != '\0'; p++) {
        switch (*p) {
        case '<':
            swl_buf_puts(out, "&lt;");
            break;
        case '>':
            swl_buf_puts(out, "&gt;");
            break;
        case '&':
            swl_buf_puts(out, "&amp;");
            break;
        default:
            swl_buf_put(out, p, 1);
        }
    }
}

/* cairo's SVG turns type into outlines, so labels are written as text elements of our own. */
static void label_svg(const swl_label *label, swl_buf *out)
{
    static const char *const anchors[] = {"start", "middle", "end"};
    double dy = label_drop(label);
    swl_buf_printf(out, "<text font-size=\"%.1f\" text-anchor=\"%s\" ", label->size, anchors[label->across + 1]);
    if (label->angle_deg > 45) {
        swl_buf_printf(out, "transform=\"translate(%.1f %.1f) rotate(%.0f)\" y=\"%.1f\" ", label->x, label->y,
                       -label->angle_deg, dy);
    } else {
        swl_buf_printf(out, "x=\"%.1f\" y=\"%.1f\" ", label->x, label->y + dy);
    }
    swl_buf_printf(out, "fill=\"rgb(%.0f,%.0f,%.0f)\"", label->colour.r * 255, label->colour.g * 255,
                   label->colour.b * 255);
    if (label->bold) {
        swl_buf_puts(out, " font-weight=\"bold\"");
    }
    if (label->halo) {
        swl_buf_printf(out,
                       " stroke=\"white\" stroke-opacity=\"0.9\" stroke-width=\"%.1f\" stroke-linejoin=\"round\" "
                       "paint-order=\"stroke\"",
                       0.28 * label->size);
    }
    swl_buf_puts(out, ">");
    xml_text(out, label->text);
    swl_buf_puts(out, "</text>\n");
}

/* Copies the drawing without the group's name, which cairo counts up over the life of a process: the same chart
 * is to give the same bytes. */
static void svg_body(swl_buf *out, const char *from, const char *end)
{
    static const char named[] = "<g id=\"surface";
    const char *group = strstr(from, named);
    const char *close = group == NULL || group >= end ? NULL : strchr(group, '>');
    if (close == NULL) {
        swl_buf_put(out, from, (size_t)(end - from));
        return;
    }
    swl_buf_put(out, from, (size_t)(group - from));
    swl_buf_puts(out, "<g>");
    swl_buf_put(out, close + 1, (size_t)(end - close - 1));
}

/* Where memory runs out while cairo puts a font into a PDF, it goes on without it and tells of nothing. */
static swl_status close_pdf(swl_canvas *canvas, swl_buf *out, swl_err *err)
{
    const char *bytes = swl_buf_text(&canvas->bytes);
    long lost = swl_pdf_lost_object(bytes, canvas->bytes.len);
    if (lost >= 0) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory while drawing: the PDF has lost its object %ld", lost);
    }
    swl_buf_put_raw(out, bytes, canvas->bytes.len);
    return swl_buf_status(out, err);
}

static swl_status close_svg(swl_canvas *canvas, swl_buf *out, swl_err *err)
{
    const char *bytes = swl_buf_text(&canvas->bytes);
    const char *open = strstr(bytes, "<svg");
    const char *body = open == NULL ? NULL : strchr(open, '>');
    const char *end = body == NULL ? NULL : strstr(body, "</svg>");
    if (end == NULL) {
        return swl_err_set(err, SWL_ERR_DRAW, "the SVG came out incomplete");
    }
    swl_buf_put(out, bytes, (size_t)(body + 1 - bytes));
    swl_buf_puts(out, "\n<title>");
    xml_text(out, canvas->title);
    swl_buf_puts(out, "</title>");
    svg_body(out, body + 1, end);
    swl_buf_puts(out, "<g font-family=\"" FONT_FAMILY ", Verdana, sans-serif\">\n");
    for (size_t i = 0; i < canvas->label_count; i++) {
        label_svg(&canvas->labels[i], out);
    }
    swl_buf_puts(out, "</g>\n</svg>\n");
    return swl_buf_status(out, err);
}

/* A scan in an SVG is packed as a PNG by cairo itself: from pixels in memory into memory, where nothing but want of it
 * can fail, and cairo tells what libpng says of it by a word for any fault of a PNG. */
static bool lacks_memory(cairo_status_t status)
{
    return status == CAIRO_STATUS_NO_MEMORY || status == CAIRO_STATUS_PNG_ERROR;
}

swl_status swl_canvas_close(swl_canvas *canvas, swl_buf *out, swl_err *err)
{
    bool svg = canvas->picture.format == SWL_FORMAT_SVG;
    for (size_t i = 0; i < canvas->label_count && !svg; i++) {
        label_draw(canvas, &canvas->labels[i]);
    }
    cairo_status_t drawn = cairo_status(canvas->cr);
    cairo_surface_flush(canvas->surface);
    swl_status status = SWL_OK;
    if (canvas->picture.format == SWL_FORMAT_PNG && drawn == CAIRO_STATUS_SUCCESS) {
        status = swl_png_write(canvas, out, err);
    }
    cairo_surface_finish(canvas->surface);
    cairo_status_t finished = cairo_surface_status(canvas->surface);
    cairo_status_t worst = drawn != CAIRO_STATUS_SUCCESS ? drawn : finished;
    if (canvas->out_of_memory || canvas->bytes.failed || lacks_memory(worst)) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory while drawing");
    }
    if (worst != CAIRO_STATUS_SUCCESS) {
        return swl_err_set(err, SWL_ERR_DRAW, "drawing failed: %s", cairo_status_to_string(worst));
    }
    if (status == SWL_OK && svg) {
        status = close_svg(canvas, out, err);
    } else if (status == SWL_OK && canvas->picture.format == SWL_FORMAT_PDF) {
        status = close_pdf(canvas, out, err);
    }
    return status;
}
