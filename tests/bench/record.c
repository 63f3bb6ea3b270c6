/* Loaded before a program that draws, writes every call that its page is drawn by to the file named in RECORD_TO; floor
 * plays it. Only the first page is recorded. A call it does not know and that would change the page ends the record
 * with an OP_unknown, which floor refuses. */
#include "ops.h"

#include <cairo.h>
#include <dlfcn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static FILE *record;
static cairo_t *page;

static void put(int kind, const double *v, int count, const void *bytes, int size)
{
    op o = {.kind = kind, .bytes = size};
    static const char zeros[8];
    if (record == NULL) {
        return;
    }
    for (int i = 0; i < count; i++) {
        o.v[i] = v[i];
    }
    (void)fwrite(&o, sizeof o, 1, record);
    if (size > 0) {
        (void)fwrite(bytes, 1, (size_t)size, record);
        (void)fwrite(zeros, 1, (size_t)(-size & 7), record);
    }
}

/* A pointer to data and one to a function are of one size wherever programs can be loaded like this. */
#define NEXT(name)                                                                                                     \
    static __typeof__(cairo_##name) *next;                                                                             \
    if (next == NULL) {                                                                                                \
        *(void **)&next = dlsym(RTLD_NEXT, "cairo_" #name);                                                            \
    }

cairo_t *cairo_create(cairo_surface_t *surface)
{
    NEXT(create)
    cairo_t *cr = next(surface);
    const char *to = getenv("RECORD_TO");
    if (page == NULL && to != NULL && cairo_surface_get_type(surface) == CAIRO_SURFACE_TYPE_IMAGE) {
        double scale_x = 1;
        double scale_y = 1;
        cairo_surface_get_device_scale(surface, &scale_x, &scale_y);
        page = cr;
        record = fopen(to, "wb");
        put(OP_page,
            (double[]){cairo_image_surface_get_width(surface), cairo_image_surface_get_height(surface), scale_x}, 3,
            NULL, 0);
    }
    return cr;
}

void cairo_surface_finish(cairo_surface_t *surface)
{
    NEXT(surface_finish)
    if (page != NULL && surface == cairo_get_target(page) && record != NULL) {
        (void)fclose(record);
        record = NULL;
    }
    next(surface);
}

#define OWN(kind, count, ...)                                                                                          \
    if (cr == page) {                                                                                                  \
        put(kind, (double[]){__VA_ARGS__}, count, NULL, 0);                                                            \
    }

#define WRAP_0(name)                                                                                                   \
    void cairo_##name(cairo_t *cr)                                                                                     \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_##name, 0, 0)                                                                                           \
        next(cr);                                                                                                      \
    }
#define WRAP_1(name)                                                                                                   \
    void cairo_##name(cairo_t *cr, double a)                                                                           \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_##name, 1, a)                                                                                           \
        next(cr, a);                                                                                                   \
    }
#define WRAP_2(name)                                                                                                   \
    void cairo_##name(cairo_t *cr, double a, double b)                                                                 \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_##name, 2, a, b)                                                                                        \
        next(cr, a, b);                                                                                                \
    }
#define WRAP_3(name)                                                                                                   \
    void cairo_##name(cairo_t *cr, double a, double b, double c)                                                       \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_##name, 3, a, b, c)                                                                                     \
        next(cr, a, b, c);                                                                                             \
    }
#define WRAP_4(name)                                                                                                   \
    void cairo_##name(cairo_t *cr, double a, double b, double c, double d)                                             \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_##name, 4, a, b, c, d)                                                                                  \
        next(cr, a, b, c, d);                                                                                          \
    }
#define WRAP_5(name)                                                                                                   \
    void cairo_##name(cairo_t *cr, double a, double b, double c, double d, double e)                                   \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_##name, 5, a, b, c, d, e)                                                                               \
        next(cr, a, b, c, d, e);                                                                                       \
    }
#define WRAP_TEXT(name)                                                                                                \
    void cairo_##name(cairo_t *cr, const char *text)                                                                   \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        if (cr == page) {                                                                                              \
            put(OP_##name, NULL, 0, text, (int)strlen(text) + 1);                                                      \
        }                                                                                                              \
        next(cr, text);                                                                                                \
    }
#define WRAP_ENUM(name, type)                                                                                          \
    void cairo_##name(cairo_t *cr, type a)                                                                             \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_##name, 1, (double)a)                                                                                   \
        next(cr, a);                                                                                                   \
    }
/* What floor cannot play. */
#define REFUSE(name, declared, handed)                                                                                 \
    void cairo_##name declared                                                                                         \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_unknown, 0, 0)                                                                                          \
        next handed;                                                                                                   \
    }

OPS_0(WRAP_0)
OPS_1(WRAP_1)
OPS_2(WRAP_2)
OPS_3(WRAP_3)
OPS_4(WRAP_4)
OPS_5(WRAP_5)
OPS_TEXT(WRAP_TEXT)
WRAP_ENUM(set_line_cap, cairo_line_cap_t)
WRAP_ENUM(set_line_join, cairo_line_join_t)
WRAP_ENUM(set_fill_rule, cairo_fill_rule_t)
WRAP_ENUM(set_operator, cairo_operator_t)
WRAP_ENUM(set_antialias, cairo_antialias_t)
REFUSE(set_source_surface, (cairo_t * cr, cairo_surface_t *s, double x, double y), (cr, s, x, y))
REFUSE(mask, (cairo_t * cr, cairo_pattern_t *p), (cr, p))
REFUSE(push_group, (cairo_t * cr), (cr))

#define WRAP_MATRIX(name)                                                                                              \
    void cairo_##name(cairo_t *cr, const cairo_matrix_t *m)                                                            \
    {                                                                                                                  \
        NEXT(name)                                                                                                     \
        OWN(OP_##name, 6, m->xx, m->yx, m->xy, m->yy, m->x0, m->y0)                                                    \
        next(cr, m);                                                                                                   \
    }
WRAP_MATRIX(set_matrix)
WRAP_MATRIX(transform)

void cairo_set_dash(cairo_t *cr, const double *lengths, int count, double offset)
{
    NEXT(set_dash)
    if (cr == page) {
        put(OP_set_dash, &offset, 1, lengths, count * (int)sizeof *lengths);
    }
    next(cr, lengths, count, offset);
}

void cairo_select_font_face(cairo_t *cr, const char *family, cairo_font_slant_t slant, cairo_font_weight_t weight)
{
    NEXT(select_font_face)
    if (cr == page) {
        put(OP_select_font_face, (double[]){slant, weight}, 2, family, (int)strlen(family) + 1);
    }
    next(cr, family, slant, weight);
}

void cairo_append_path(cairo_t *cr, const cairo_path_t *path)
{
    NEXT(append_path)
    static const int kinds[] = {OP_move_to, OP_line_to, OP_curve_to, OP_close_path};
    static const int points[] = {1, 1, 3, 0};
    for (int i = 0; cr == page && i < path->num_data; i += path->data[i].header.length) {
        const cairo_path_data_t *d = path->data + i;
        double v[6] = {0};
        for (int k = 0; k < points[d->header.type]; k++) {
            v[2 * k] = d[1 + k].point.x;
            v[2 * k + 1] = d[1 + k].point.y;
        }
        put(kinds[d->header.type], v, 2 * points[d->header.type], NULL, 0);
    }
    next(cr, path);
}
