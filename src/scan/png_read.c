#include "sweptline/image.h"

#include <png.h>
#include <setjmp.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { CHUNK_BYTES_MAX = 8 * 1024 * 1024, CHUNKS_KEPT_MAX = 64, HEAD_BYTES = 24 };

/* What a reading holds; kept by the caller of the function that jumps, so that its fields stay sound. */
typedef struct png_job {
    const unsigned char *at;
    size_t left;
    jmp_buf jump;
    char reason[160];
    png_structp png;
    png_infop info;
    unsigned char *volatile pixels;
    png_bytep *volatile rows;
    volatile bool out_of_memory;
    volatile bool alpha;
    volatile bool profile;
    volatile bool indexed; /* a pixel is an index into the palette */
} png_job;

/* What libpng cannot get is no fault of the file. */
static png_voidp job_take(png_structp png, png_alloc_size_t size)
{
    png_job *job = png_get_mem_ptr(png);
    void *block = malloc(size);
    job->out_of_memory = job->out_of_memory || block == NULL;
    return block;
}

static void job_give_back(png_structp png, png_voidp block)
{
    (void)png;
    free(block);
}

static void job_read(png_structp png, png_bytep to, png_size_t len)
{
    png_job *job = png_get_io_ptr(png);
    if (len > job->left) {
        png_error(png, "the file ends too early");
    }
    memcpy(to, job->at, len);
    job->at += len;
    job->left -= len;
}

static void job_error(png_structp png, png_const_charp reason)
{
    png_job *job = png_get_error_ptr(png);
    (void)snprintf(job->reason, sizeof job->reason, "%s", reason);
    longjmp(job->jump, 1);
}

static void job_warning(png_structp png, png_const_charp reason)
{
    (void)png;
    (void)reason;
}

static int job_chunk(png_structp png, png_unknown_chunkp chunk)
{
    if (memcmp(chunk->name, "acTL", 4) == 0) {
        png_error(png, "it is an animation; a still picture is accepted");
    }
    if (memcmp(chunk->name, "iCCP", 4) == 0 || memcmp(chunk->name, "cHRM", 4) == 0) {
        png_job *job = png_get_user_chunk_ptr(png);
        job->profile = true;
    }
    if ((chunk->name[0] & 0x20) == 0) {
        png_error(png, "it has a critical chunk that this program does not know");
    }
    return 1; /* handled: passed over */
}

static unsigned long word_at(const unsigned char *at)
{
    return (unsigned long)at[0] << 24 | (unsigned long)at[1] << 16 | (unsigned long)at[2] << 8 | at[3];
}

static swl_status refuse_other(const unsigned char *at, size_t size, swl_err *err)
{
    const char *what = "is not a PNG picture";
    if (size == 0) {
        what = "is empty";
    } else if (size >= 3 && memcmp(at, "\xFF\xD8\xFF", 3) == 0) {
        what = "is a JPEG picture, whatever its name";
    } else if (size >= 4 && (memcmp(at, "GIF8", 4) == 0 || memcmp(at, "RIFF", 4) == 0 || memcmp(at, "%PDF", 4) == 0 ||
                             memcmp(at, "II*", 4) == 0 || memcmp(at, "MM\0*", 4) == 0)) {
        what = "is of another kind than PNG, whatever its name";
    }
    return swl_err_set(err, SWL_ERR_INPUT, "%s; a PNG picture is accepted: open it in a viewer and save it as PNG",
                       what);
}

swl_status swl_image_head(const void *bytes, size_t size, swl_image *image, swl_err *err)
{
    static const unsigned char signature[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1A, '\n'};
    const unsigned char *at = bytes;
    *image = (swl_image){0};
    if (size < sizeof signature || memcmp(at, signature, sizeof signature) != 0) {
        return refuse_other(at, size, err);
    }
    if (size < HEAD_BYTES || memcmp(at + 12, "IHDR", 4) != 0) {
        return swl_err_set(err, SWL_ERR_INPUT, "is a PNG without its header; save it anew");
    }
    unsigned long width = word_at(at + 16);
    unsigned long height = word_at(at + 20);
    if (width == 0 || height == 0) {
        return swl_err_set(err, SWL_ERR_INPUT, "has %lu x %lu pixels, which is no picture", width, height);
    }
    if (width > SWL_IMAGE_SIDE_MAX || height > SWL_IMAGE_SIDE_MAX || width * height > SWL_IMAGE_PIXELS_MAX) {
        return swl_err_set(err, SWL_ERR_INPUT,
                           "has %lu x %lu pixels; at most %d on a side and %d million in all are accepted: scale it "
                           "down or cut the chart out of it",
                           width, height, SWL_IMAGE_SIDE_MAX, SWL_IMAGE_PIXELS_MAX / 1000000);
    }
    image->width = (int)width;
    image->height = (int)height;
    return SWL_OK;
}

/* Chunks that nothing here depends on are passed over, so that a fault in one of them refuses no picture. */
static void job_limits(png_job *job)
{
    static const png_byte passed[] =
        "iCCP\0zTXt\0iTXt\0tEXt\0bKGD\0hIST\0sBIT\0cHRM\0eXIf\0sPLT\0oFFs\0pCAL\0sCAL\0tIME";
    png_set_user_limits(job->png, SWL_IMAGE_SIDE_MAX, SWL_IMAGE_SIDE_MAX);
    png_set_chunk_malloc_max(job->png, CHUNK_BYTES_MAX);
    png_set_chunk_cache_max(job->png, CHUNKS_KEPT_MAX);
    png_set_keep_unknown_chunks(job->png, PNG_HANDLE_CHUNK_NEVER, passed, (int)(sizeof passed / 5));
    png_set_read_user_chunk_fn(job->png, job, job_chunk);
    png_set_crc_action(job->png, PNG_CRC_ERROR_QUIT, PNG_CRC_ERROR_QUIT);
    /* Many programs write heads with small contradictions; but see job_run. */
    png_set_benign_errors(job->png, 1);
}

/* Asks for 8-bit red, green and blue, with alpha where the file has transparency; of a palette for its indices, a byte
 * each, and for colours of the right gamma in the palette. */
static void job_transform(png_job *job)
{
    int intent = 0;
    double gamma = 0;
    png_byte type = png_get_color_type(job->png, job->info);
    job->indexed = type == PNG_COLOR_TYPE_PALETTE;
    if (job->indexed) {
        png_set_packing(job->png);
    } else {
        job->alpha = (type & PNG_COLOR_MASK_ALPHA) != 0 || png_get_valid(job->png, job->info, PNG_INFO_tRNS) != 0;
        png_set_expand(job->png);
        png_set_scale_16(job->png);
        png_set_gray_to_rgb(job->png);
    }
    bool is_srgb = png_get_sRGB(job->png, job->info, &intent) != 0;
    if (!is_srgb && png_get_gAMA(job->png, job->info, &gamma) != 0 && gamma > 0) {
        png_set_gamma(job->png, 2.2, gamma);
    }
    (void)png_set_interlace_handling(job->png);
    png_read_update_info(job->png, job->info);
}

/* A channel as it looks on white. */
static unsigned char on_white(unsigned value, unsigned alpha)
{
    return (unsigned char)((value * alpha + 255 * (255 - alpha) + 127) / 255);
}

/* Lays pixels with alpha on white, in place: each needs one byte less. */
static void pixels_on_white(unsigned char *pixels, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        unsigned alpha = pixels[4 * i + 3];
        for (size_t c = 0; c < 3; c++) {
            pixels[3 * i + c] = on_white(pixels[4 * i + c], alpha);
        }
    }
}

/* Turns indices, which fill the last third of the pixels' room, into colours, in place. libpng itself passes over an
 * index past the palette's end when it does this. */
static void job_colours(png_job *job, size_t count)
{
    png_colorp palette = NULL;
    png_bytep alphas = NULL;
    int entries = 0;
    int clear = 0;
    unsigned char colours[256][3] = {{0}};
    (void)png_get_PLTE(job->png, job->info, &palette, &entries);
    (void)png_get_tRNS(job->png, job->info, &alphas, &clear, NULL);
    for (int i = 0; i < entries; i++) {
        unsigned alpha = alphas != NULL && i < clear ? alphas[i] : 255;
        colours[i][0] = on_white(palette[i].red, alpha);
        colours[i][1] = on_white(palette[i].green, alpha);
        colours[i][2] = on_white(palette[i].blue, alpha);
    }
    unsigned char *pixels = job->pixels;
    const unsigned char *indices = pixels + 2 * count;
    int most = 0;
    for (size_t i = 0; i < count; i++) {
        unsigned char index = indices[i];
        most = index > most ? index : most;
        memcpy(pixels + 3 * i, colours[index], 3);
    }
    if (most >= entries) {
        (void)snprintf(job->reason, sizeof job->reason,
                       "a pixel has the colour %d of its palette, which has 0 to %d; save it anew", most, entries - 1);
        longjmp(job->jump, 1);
    }
}

static swl_status job_run(png_job *job, swl_image *image, swl_err *err)
{
    if (setjmp(job->jump) != 0) {
        return job->out_of_memory ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a picture of %d x %d pixels",
                                                image->width, image->height)
                                  : swl_err_set(err, SWL_ERR_INPUT, "is a PNG that cannot be read: %s", job->reason);
    }
    png_set_read_fn(job->png, job, job_read);
    job_limits(job);
    png_read_info(job->png, job->info);
    job_transform(job);
    /* In the pixels themselves nothing is passed over, a surplus neither. */
    png_set_benign_errors(job->png, 0);
    size_t row_bytes = png_get_rowbytes(job->png, job->info);
    size_t channels = job->indexed ? 1 : job->alpha ? 4 : 3;
    size_t count = (size_t)image->width * (size_t)image->height;
    if (row_bytes != channels * (size_t)image->width) {
        png_error(job->png, "its rows came out in another form than asked for");
    }
    job->pixels = malloc((job->alpha ? 4 : 3) * count);
    job->rows = malloc(sizeof(png_bytep) * (size_t)image->height);
    if (job->pixels == NULL || job->rows == NULL) {
        job->out_of_memory = true;
        png_error(job->png, "out of memory");
    }
    for (int y = 0; y < image->height; y++) {
        job->rows[y] = job->pixels + (job->indexed ? 2 * count : 0) + row_bytes * (size_t)y;
    }
    png_read_image(job->png, job->rows);
    if (job->indexed) {
        job_colours(job, count);
    }
    png_read_end(job->png, NULL);
    /* libpng passes over a chunk that it had no memory for: it may be what makes the picture an animation. */
    if (job->out_of_memory) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the picture");
    }
    png_uint_32 per_metre = png_get_pixels_per_meter(job->png, job->info);
    image->dpi = per_metre * 0.0254;
    image->has_profile = job->profile && png_get_valid(job->png, job->info, PNG_INFO_sRGB) == 0;
    return SWL_OK;
}

swl_status swl_image_read(const void *bytes, size_t size, swl_image *image, swl_err *err)
{
    swl_status status = swl_image_head(bytes, size, image, err);
    if (status != SWL_OK) {
        return status;
    }
    png_job job = {.at = bytes, .left = size};
    job.png =
        png_create_read_struct_2(PNG_LIBPNG_VER_STRING, &job, job_error, job_warning, &job, job_take, job_give_back);
    job.info = job.png == NULL ? NULL : png_create_info_struct(job.png);
    status =
        job.info == NULL ? swl_err_set(err, SWL_ERR_MEMORY, "out of memory for a picture") : job_run(&job, image, err);
    if (job.png != NULL) {
        png_destroy_read_struct(&job.png, &job.info, NULL);
    }
    free(job.rows);
    image->rgb = job.pixels;
    if (status != SWL_OK) {
        swl_image_free(image);
        return status;
    }
    if (job.alpha) {
        size_t count = (size_t)image->width * (size_t)image->height;
        pixels_on_white(image->rgb, count);
        unsigned char *smaller = realloc(image->rgb, 3 * count);
        if (smaller != NULL) {
            image->rgb = smaller;
        }
    }
    return SWL_OK;
}

void swl_image_free(swl_image *image)
{
    free(image->rgb);
    *image = (swl_image){0};
}
