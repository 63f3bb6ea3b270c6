/* Draws a page from the calls that record wrote down and saves it as PNG, with the same libraries and nothing else: the
 * least that a chart can cost. floor RECORD OUT.png */
#include "ops.h"

#include <cairo.h>
#include <png.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

static char *slurp(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    if (file == NULL || fseek(file, 0, SEEK_END) != 0) {
        return NULL;
    }
    *size = (size_t)ftell(file);
    rewind(file);
    char *bytes = malloc(*size);
    if (bytes == NULL || fread(bytes, 1, *size, file) != *size) {
        return NULL;
    }
    (void)fclose(file);
    return bytes;
}

#define PLAY_0(name)                                                                                                   \
    case OP_##name:                                                                                                    \
        cairo_##name(cr);                                                                                              \
        break;
#define PLAY_1(name)                                                                                                   \
    case OP_##name:                                                                                                    \
        cairo_##name(cr, v[0]);                                                                                        \
        break;
#define PLAY_2(name)                                                                                                   \
    case OP_##name:                                                                                                    \
        cairo_##name(cr, v[0], v[1]);                                                                                  \
        break;
#define PLAY_3(name)                                                                                                   \
    case OP_##name:                                                                                                    \
        cairo_##name(cr, v[0], v[1], v[2]);                                                                            \
        break;
#define PLAY_4(name)                                                                                                   \
    case OP_##name:                                                                                                    \
        cairo_##name(cr, v[0], v[1], v[2], v[3]);                                                                      \
        break;
#define PLAY_5(name)                                                                                                   \
    case OP_##name:                                                                                                    \
        cairo_##name(cr, v[0], v[1], v[2], v[3], v[4]);                                                                \
        break;
#define PLAY_ENUM(name)                                                                                                \
    case OP_##name:                                                                                                    \
        cairo_##name(cr, (int)v[0]);                                                                                   \
        break;
#define PLAY_TEXT(name)                                                                                                \
    case OP_##name:                                                                                                    \
        cairo_##name(cr, bytes);                                                                                       \
        break;

static int play(cairo_t *cr, const op *o, const char *bytes)
{
    const double *v = o->v;
    switch (o->kind) {
        OPS_0(PLAY_0)
        OPS_1(PLAY_1)
        OPS_2(PLAY_2)
        OPS_3(PLAY_3)
        OPS_4(PLAY_4)
        OPS_5(PLAY_5)
        OPS_ENUM(PLAY_ENUM)
        OPS_TEXT(PLAY_TEXT)
    case OP_curve_to:
        cairo_curve_to(cr, v[0], v[1], v[2], v[3], v[4], v[5]);
        break;
    case OP_set_dash:
        cairo_set_dash(cr, (const double *)(const void *)bytes, o->bytes / (int)sizeof(double), v[0]);
        break;
    case OP_select_font_face:
        cairo_select_font_face(cr, bytes, (cairo_font_slant_t)v[0], (cairo_font_weight_t)v[1]);
        break;
    case OP_set_matrix:
        cairo_set_matrix(cr, &(cairo_matrix_t){v[0], v[1], v[2], v[3], v[4], v[5]});
        break;
    case OP_transform:
        cairo_transform(cr, &(cairo_matrix_t){v[0], v[1], v[2], v[3], v[4], v[5]});
        break;
    default:
        return 0;
    }
    return 1;
}

static int save(cairo_surface_t *surface, const char *path)
{
    int width = cairo_image_surface_get_width(surface);
    int height = cairo_image_surface_get_height(surface);
    const unsigned char *data = cairo_image_surface_get_data(surface);
    unsigned char *row = malloc(3 * (size_t)width);
    FILE *file = fopen(path, "wb");
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(png);
    if (row == NULL || file == NULL || info == NULL) {
        return 0;
    }
    png_init_io(png, file);
    png_set_compression_level(png, 3);
    png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_NONE);
    png_set_IHDR(png, info, (png_uint_32)width, (png_uint_32)height, 8, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_write_info(png, info);
    for (int y = 0; y < height; y++) {
        const uint32_t *pixels = (const void *)(data + (size_t)y * (size_t)cairo_image_surface_get_stride(surface));
        for (int x = 0; x < width; x++) {
            row[3 * x] = (unsigned char)(pixels[x] >> 16 & 0xFF);
            row[3 * x + 1] = (unsigned char)(pixels[x] >> 8 & 0xFF);
            row[3 * x + 2] = (unsigned char)(pixels[x] & 0xFF);
        }
        png_write_row(png, row);
    }
    png_write_end(png, NULL);
    png_destroy_write_struct(&png, &info);
    free(row);
    return fclose(file) == 0;
}

int main(int argc, char **argv)
{
    size_t size = 0;
    char *bytes = argc == 3 ? slurp(argv[1], &size) : NULL;
    const op *first = (const void *)bytes;
    if (bytes == NULL || size < sizeof *first || first->kind != OP_page) {
        fprintf(stderr, "floor: no record of a page\n");
        return 2;
    }
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)first->v[0], (int)first->v[1]);
    cairo_surface_set_device_scale(surface, first->v[2], first->v[2]);
    cairo_t *cr = cairo_create(surface);
    for (size_t at = sizeof *first; at < size;) {
        const op *o = (const void *)(bytes + at);
        at += sizeof *o;
        if (!play(cr, o, bytes + at)) {
            fprintf(stderr, "floor: a call that it does not know stands at byte %zu\n", at);
            return 2;
        }
        at += (size_t)((o->bytes + 7) & ~7);
    }
    cairo_destroy(cr);
    cairo_surface_flush(surface);
    int saved = save(surface, argv[2]);
    cairo_surface_destroy(surface);
    free(bytes);
    return saved ? 0 : 3;
}
