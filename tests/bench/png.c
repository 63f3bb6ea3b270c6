/* Times reading a PNG against libpng alone, asked for the same pixels: png NAME FILE.png, in turns. */
#include "clock.h"

#include "sweptline/sweptline.h"

#include <png.h>
#include <stdlib.h>
#include <string.h>

typedef struct memory {
    const unsigned char *at;
} memory;

static void take(png_structp png, png_bytep to, png_size_t len)
{
    memory *m = png_get_io_ptr(png);
    memcpy(to, m->at, len);
    m->at += len;
}

/* 8-bit red, green and blue of a picture without transparency. */
static unsigned char *bare(const void *bytes)
{
    memory m = {bytes};
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(png);
    png_set_read_fn(png, &m, take);
    png_read_info(png, info);
    png_set_expand(png);
    png_set_scale_16(png);
    png_set_gray_to_rgb(png);
    (void)png_set_interlace_handling(png);
    png_read_update_info(png, info);
    size_t row = png_get_rowbytes(png, info);
    size_t height = png_get_image_height(png, info);
    unsigned char *pixels = malloc(row * height);
    png_bytep *rows = malloc(height * sizeof *rows);
    for (size_t y = 0; pixels != NULL && rows != NULL && y < height; y++) {
        rows[y] = pixels + y * row;
    }
    png_read_image(png, rows);
    png_read_end(png, NULL);
    png_destroy_read_struct(&png, &info, NULL);
    free(rows);
    return pixels;
}

int main(int argc, char **argv)
{
    enum { TURNS = 7 };
    swl_source disk = swl_source_disk();
    swl_buf bytes = {0};
    swl_err err = {0};
    if (argc != 3 || disk.read(disk.context, argv[2], &bytes, &err) != SWL_OK) {
        fprintf(stderr, "png: %s\n", err.text);
        return 2;
    }
    double ours = 1e9;
    double theirs = 1e9;
    for (int i = 0; i < TURNS; i++) {
        double start = busy_s();
        swl_image image = {0};
        if (swl_image_read(swl_buf_text(&bytes), bytes.len, &image, &err) != SWL_OK) {
            fprintf(stderr, "png: %s\n", err.text);
            return 2;
        }
        double took = busy_s() - start;
        ours = took < ours ? took : ours;
        start = busy_s();
        unsigned char *pixels = bare(swl_buf_text(&bytes));
        took = busy_s() - start;
        theirs = took < theirs ? took : theirs;
        if (memcmp(pixels, image.rgb, 3 * (size_t)image.width * (size_t)image.height) != 0) {
            fprintf(stderr, "png: the two readings differ\n");
            return 1;
        }
        free(pixels);
        swl_image_free(&image);
    }
    char name[80];
    (void)snprintf(name, sizeof name, "png_read_%s_ms", argv[1]);
    tell(name, 1e3 * ours, "ms");
    (void)snprintf(name, sizeof name, "png_bare_%s_ms", argv[1]);
    tell(name, 1e3 * theirs, "ms");
    swl_buf_free(&bytes);
    return 0;
}
