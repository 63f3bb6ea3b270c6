#include "draw/canvas.h"

#include <png.h>
#include <setjmp.h>
#include <stdint.h>
#include <stdlib.h>

typedef struct png_sink {
    swl_buf *out;
    jmp_buf jump;
    char reason[120];
    bool lacks_memory;
} png_sink;

/* libpng tells some lack of memory by other words. */
static png_voidp sink_take(png_structp png, png_alloc_size_t size)
{
    png_sink *sink = png_get_mem_ptr(png);
    void *block = malloc(size);
    sink->lacks_memory = sink->lacks_memory || block == NULL;
    return block;
}

static void sink_give_back(png_structp png, png_voidp block)
{
    (void)png;
    free(block);
}

static void sink_write(png_structp png, png_bytep bytes, png_size_t len)
{
    png_sink *sink = png_get_io_ptr(png);
    swl_buf_put_raw(sink->out, (const char *)bytes, len);
    if (sink->out->failed) {
        png_error(png, "out of memory");
    }
}

static void sink_flush(png_structp png)
{
    (void)png;
}

static void sink_error(png_structp png, png_const_charp reason)
{
    png_sink *sink = png_get_error_ptr(png);
    (void)snprintf(sink->reason, sizeof sink->reason, "%s", reason);
    longjmp(sink->jump, 1);
}

static void sink_warning(png_structp png, png_const_charp reason)
{
    (void)png;
    (void)reason;
}

/* cairo keeps a pixel as one 32-bit word, red above green above blue. */
static void row_convert(const unsigned char *from, unsigned char *to, int width)
{
    const uint32_t *pixels = (const uint32_t *)(const void *)from;
    for (int i = 0; i < width; i++) {
        unsigned char *pixel = to + 3 * (ptrdiff_t)i;
        pixel[0] = (unsigned char)(pixels[i] >> 16 & 0xFF);
        pixel[1] = (unsigned char)(pixels[i] >> 8 & 0xFF);
        pixel[2] = (unsigned char)(pixels[i] & 0xFF);
    }
}

static void png_head(png_structp png, png_infop info, const swl_canvas *canvas, char *title)
{
    int width = cairo_image_surface_get_width(canvas->surface);
    int height = cairo_image_surface_get_height(canvas->surface);
    png_uint_32 per_metre = (png_uint_32)(canvas->picture.dpi / 0.0254 + 0.5);
    char title_key[] = "Title";
    char software_key[] = "Software";
    char software[] = "sweptline";
    png_text texts[2] = {
        {.compression = PNG_TEXT_COMPRESSION_NONE, .key = software_key, .text = software},
        {.compression = PNG_ITXT_COMPRESSION_NONE, .key = title_key, .text = title},
    };
    png_set_IHDR(png, info, (png_uint_32)width, (png_uint_32)height, 8, PNG_COLOR_TYPE_RGB, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_pHYs(png, info, per_metre, per_metre, PNG_RESOLUTION_METER);
    png_set_text(png, info, texts, 2);
    png_write_info(png, info);
}

/* What a write holds; kept by the caller of the function that jumps, so that its fields stay sound. */
typedef struct png_job {
    png_sink sink;
    png_structp png;
    png_infop info;
    unsigned char *row;
    char *title;
} png_job;

static swl_status png_run(png_job *job, const swl_canvas *canvas, swl_err *err)
{
    int width = cairo_image_surface_get_width(canvas->surface);
    int height = cairo_image_surface_get_height(canvas->surface);
    int stride = cairo_image_surface_get_stride(canvas->surface);
    const unsigned char *data = cairo_image_surface_get_data(canvas->surface);
    if (setjmp(job->sink.jump) != 0) {
        if (job->sink.out->failed) {
            return swl_buf_status(job->sink.out, err);
        }
        return job->sink.lacks_memory
                   ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the PNG")
                   : swl_err_set(err, SWL_ERR_DRAW, "the PNG could not be written: %s", job->sink.reason);
    }
    png_set_write_fn(job->png, &job->sink, sink_write, sink_flush);
    /* Flat colour packs best as it stands: without filters a chart is written three times as fast and comes out a tenth
     * smaller than when each row's filter is searched for. Level 3 is twice as fast as 6, for 7 % of size. */
    png_set_compression_level(job->png, 3);
    png_set_filter(job->png, PNG_FILTER_TYPE_BASE, PNG_FILTER_NONE);
    png_head(job->png, job->info, canvas, job->title);
    for (int y = 0; y < height; y++) {
        row_convert(data + (ptrdiff_t)y * stride, job->row, width);
        png_write_row(job->png, job->row);
    }
    png_write_end(job->png, NULL);
    return SWL_OK;
}

swl_status swl_png_write(const swl_canvas *canvas, swl_buf *out, swl_err *err)
{
    png_job job = {.sink = {.out = out}};
    job.row = malloc((size_t)cairo_image_surface_get_width(canvas->surface) * 3);
    job.title = swl_slice_dup(swl_slice_of(canvas->title));
    job.png = png_create_write_struct_2(PNG_LIBPNG_VER_STRING, &job.sink, sink_error, sink_warning, &job.sink,
                                        sink_take, sink_give_back);
    job.info = job.png == NULL ? NULL : png_create_info_struct(job.png);
    swl_status status = SWL_OK;
    if (job.row == NULL || job.title == NULL || job.info == NULL) {
        status = swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the PNG");
    } else {
        status = png_run(&job, canvas, err);
    }
    if (job.png != NULL) {
        png_destroy_write_struct(&job.png, &job.info);
    }
    free(job.row);
    free(job.title);
    return status;
}
