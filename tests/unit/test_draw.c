/* Charts as PNG, what every format has in common, and what is refused. */
#include "support/scene.h"

#include <png.h>
#include <stdlib.h>
#include <string.h>

/* ---- PNG ---- */

typedef struct image {
    size_t width, height;
    unsigned per_metre;
    char title[128];
    char software[128];
    unsigned char *rgb;
} image;

typedef struct png_place {
    const swl_buf *bytes;
    size_t at;
} png_place;

static void place_read(png_structp png, png_bytep to, png_size_t len)
{
    png_place *place = png_get_io_ptr(png);
    if (len > place->bytes->len - place->at) {
        png_error(png, "ends too early");
    }
    memcpy(to, place->bytes->bytes + place->at, len);
    place->at += len;
}

static void image_texts(image *picture, png_structp png, png_infop info)
{
    png_textp texts = NULL;
    int count = 0;
    (void)png_get_text(png, info, &texts, &count);
    for (int i = 0; i < count; i++) {
        if (strcmp(texts[i].key, "Title") == 0) {
            (void)snprintf(picture->title, sizeof picture->title, "%s", texts[i].text);
        } else if (strcmp(texts[i].key, "Software") == 0) {
            (void)snprintf(picture->software, sizeof picture->software, "%s", texts[i].text);
        }
    }
}

/* libpng itself ends the process on a broken file. */
static image image_of(const swl_buf *bytes)
{
    image picture = {0};
    png_place place = {.bytes = bytes};
    png_structp png = png_create_read_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
    png_infop info = png_create_info_struct(png);
    assert_non_null(info);
    png_set_read_fn(png, &place, place_read);
    png_read_info(png, info);
    picture.width = png_get_image_width(png, info);
    picture.height = png_get_image_height(png, info);
    assert_int_equal(png_get_color_type(png, info), PNG_COLOR_TYPE_RGB);
    assert_int_equal(png_get_bit_depth(png, info), 8);
    picture.per_metre = png_get_pixels_per_meter(png, info);
    image_texts(&picture, png, info);
    picture.rgb = malloc(picture.width * picture.height * 3);
    assert_non_null(picture.rgb);
    for (size_t y = 0; y < picture.height; y++) {
        png_read_row(png, picture.rgb + y * picture.width * 3, NULL);
    }
    png_read_end(png, NULL);
    assert_int_equal(place.at, bytes->len);
    png_destroy_read_struct(&png, &info, NULL);
    return picture;
}

static double ink_share(const image *picture)
{
    size_t dark = 0;
    for (size_t i = 0; i < picture->width * picture->height; i++) {
        dark += picture->rgb[3 * i] < 255;
    }
    return (double)dark / (double)(picture->width * picture->height);
}

static bool row_is_white(const image *picture, size_t y)
{
    for (size_t i = 0; i < 3 * picture->width; i++) {
        if (picture->rgb[3 * y * picture->width + i] != 255) {
            return false;
        }
    }
    return true;
}

/* Limits are drawn in red, and nothing on a chart is as blue as that. */
static void check_reds(const image *picture)
{
    size_t reds = 0;
    size_t blues = 0;
    for (size_t i = 0; i < picture->width * picture->height; i++) {
        const unsigned char *rgb = picture->rgb + 3 * i;
        reds += rgb[0] > 140 && rgb[1] < 80 && rgb[2] < 80;
        blues += rgb[2] > 140 && rgb[1] < 80 && rgb[0] < 80;
    }
    assert_true(reds > 100 && blues == 0);
}

static void png_holds_what_it_says(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    const struct {
        int width, height;
        double dpi;
        unsigned per_metre; /* dpi/0.0254, rounded */
    } rows[] = {{1600, 1000, 96, 3780},
                {SWL_PICTURE_MIN, SWL_PICTURE_MIN, SWL_DPI_MIN, 1890},
                {801, 1203, 100.5, 3957},
                {2400, 1500, 300, 11811}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        swl_buf bytes = draw(&s, picture_of(SWL_FORMAT_PNG, rows[i].width, rows[i].height, rows[i].dpi));
        image picture = image_of(&bytes);
        assert_int_equal(picture.width, rows[i].width);
        assert_int_equal(picture.height, rows[i].height);
        assert_int_equal(picture.per_metre, rows[i].per_metre);
        assert_string_equal(picture.title, "Estate car (invented)");
        assert_string_equal(picture.software, "sweptline");
        double ink = ink_share(&picture);
        if (!(ink > 0.1 && ink < 0.7)) {
            fail_msg("%dx%d at %g dpi: %.3f of the picture is drawn on", rows[i].width, rows[i].height, rows[i].dpi,
                     ink);
        }
        check_reds(&picture);
        assert_true(row_is_white(&picture, 0) && row_is_white(&picture, picture.height - 1));
        free(picture.rgb);
        swl_buf_free(&bytes);
    }
    scene_close(&s);
}

/* Mean difference of a picture from one of twice its size, four pixels of which make one. */
static double off_half(const image *one, const image *two)
{
    double off = 0;
    assert_int_equal(two->width, 2 * one->width);
    assert_int_equal(two->height, 2 * one->height);
    for (size_t y = 0; y < one->height; y++) {
        for (size_t x = 0; x < 3 * one->width; x++) {
            size_t column = 6 * (x / 3) + x % 3;
            const unsigned char *top = two->rgb + 2 * y * 3 * two->width + column;
            const unsigned char *bottom = top + 3 * two->width;
            double mean = (top[0] + top[3] + bottom[0] + bottom[3]) / 4.0;
            off += fabs(mean - one->rgb[y * 3 * one->width + x]);
        }
    }
    return off / (double)(3 * one->width * one->height);
}

/* Twice the pixels at twice the dpi is the same page; at the same dpi it is another one, with smaller type. */
static void png_at_twice_the_dpi(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    const swl_picture pictures[] = {picture_of(SWL_FORMAT_PNG, 1000, 700, 96),
                                    picture_of(SWL_FORMAT_PNG, 2000, 1400, 192),
                                    picture_of(SWL_FORMAT_PNG, 2000, 1400, 96)};
    image images[3];
    for (size_t i = 0; i < 3; i++) {
        swl_buf bytes = draw(&s, pictures[i]);
        images[i] = image_of(&bytes);
        swl_buf_free(&bytes);
    }
    /* 192/0.0254 */
    assert_int_equal(images[1].per_metre, 7559);
    double same = off_half(&images[0], &images[1]);
    double other = off_half(&images[0], &images[2]);
    /* Edges of lines and letters fall between pixels differently, and a label may go or come. */
    if (!(same < 4 && same < other / 3)) {
        fail_msg("at 192 dpi the page is %.2f of 255 off the one at 96, another page %.2f", same, other);
    }
    for (size_t i = 0; i < 3; i++) {
        free(images[i].rgb);
    }
    scene_close(&s);
}

/* ---- all of them ---- */

static void same_input_same_bytes(void **state)
{
    (void)state;
    const swl_picture pictures[] = {picture_of(SWL_FORMAT_PNG, 1600, 1000, 96),
                                    picture_of(SWL_FORMAT_SVG, 1600, 1000, 96), picture_of(SWL_FORMAT_PDF, 0, 0, 96)};
    scene s;
    scene_demo(&s);
    scene again;
    scene_demo(&again);
    for (size_t i = 0; i < 3; i++) {
        swl_buf first = draw(&s, pictures[i]);
        /* Something else in between leaves nothing behind. */
        swl_buf other = draw(&s, pictures[(i + 1) % 3]);
        swl_buf second = draw(&again, pictures[i]);
        same_bytes(&first, &second);
        swl_buf_free(&first);
        swl_buf_free(&other);
        swl_buf_free(&second);
    }
    scene_close(&s);
    scene_close(&again);
}

static void refused(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    const swl_picture pictures[] = {
        picture_of(SWL_FORMAT_PNG, 319, 1000, 96),      picture_of(SWL_FORMAT_PNG, 1600, 319, 96),
        picture_of(SWL_FORMAT_SVG, 12001, 900, 96),     picture_of(SWL_FORMAT_PNG, 900, 12001, 96),
        picture_of(SWL_FORMAT_PNG, 0, 0, 96),           picture_of(SWL_FORMAT_SVG, 0, 0, 96),
        picture_of(SWL_FORMAT_PNG, -1600, 1000, 96),    picture_of(SWL_FORMAT_PDF, 0, 1000, 96),
        picture_of(SWL_FORMAT_PDF, 1600, 0, 96),        picture_of(SWL_FORMAT_PNG, 1600, 1000, 47.9),
        picture_of(SWL_FORMAT_PNG, 1600, 1000, 1200.1), picture_of(SWL_FORMAT_PNG, 1600, 1000, 0),
        picture_of(SWL_FORMAT_PNG, 1600, 1000, -96),    picture_of(SWL_FORMAT_PNG, 1600, 1000, (double)NAN),
    };
    for (size_t i = 0; i < sizeof pictures / sizeof pictures[0]; i++) {
        swl_buf out = {0};
        swl_err err = {0};
        if (swl_draw_chart(&s.chart, &pictures[i], &out, &err) != SWL_ERR_USAGE) {
            fail_msg("%dx%d at %g dpi is not refused", pictures[i].width, pictures[i].height, pictures[i].dpi);
        }
        assert_int_equal(err.status, SWL_ERR_USAGE);
        assert_non_null(strstr(err.text, "320"));
        assert_int_equal(out.len, 0);
        swl_buf_free(&out);
    }
    scene_close(&s);
}

static void every_size_is_drawn_or_refused(void **state)
{
    (void)state;
    static const int sizes[][2] = {
        {SWL_PICTURE_MIN, SWL_PICTURE_MIN}, {SWL_PICTURE_MIN, 1000}, {1000, SWL_PICTURE_MIN}};
    static const double dpis[] = {SWL_DPI_MIN, 96, 150, 300, 600, SWL_DPI_MAX};
    scene s;
    scene_demo(&s);
    (void)sizes_refused(scene_drawer, &s.chart, sizes, 3, dpis, sizeof dpis / sizeof dpis[0]);
    scene_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(png_holds_what_it_says),         cmocka_unit_test(png_at_twice_the_dpi),
        cmocka_unit_test(same_input_same_bytes),          cmocka_unit_test(refused),
        cmocka_unit_test(every_size_is_drawn_or_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
