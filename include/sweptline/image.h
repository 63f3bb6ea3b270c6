/* A picture as read from a PNG file. */
#ifndef SWEPTLINE_IMAGE_H
#define SWEPTLINE_IMAGE_H

#include "sweptline/err.h"

#include <stdbool.h>
#include <stddef.h>

enum { SWL_IMAGE_SIDE_MAX = 20000, SWL_IMAGE_PIXELS_MAX = 40000000 };

/* rgb is owned, NULL where only the head was read: 3 bytes a pixel, rows top down, sRGB. */
typedef struct swl_image {
    int width, height;
    unsigned char *rgb;
    double dpi;       /* 0: not stated */
    bool has_profile; /* the file has a colour profile or primaries of its own, which were passed over */
} swl_image;

/* Reads a PNG in memory: every colour type, depth and interlace. Transparent parts come out as they look on white, and
 * a gamma that the file states is turned into that of sRGB. Left out: colour profiles (iCCP) and primaries (cHRM),
 * which are passed over: colour is that of sRGB, and has_profile says so. Errors: SWL_ERR_INPUT for what is no PNG, is
 * broken anywhere, has an index past its palette's end, is animated, or has more than SWL_IMAGE_SIDE_MAX pixels on a
 * side or SWL_IMAGE_PIXELS_MAX in all; SWL_ERR_MEMORY. */
swl_status swl_image_read(const void *bytes, size_t size, swl_image *image, swl_err *err) SWL_MUST_CHECK;

/* The same for width and height alone, from the file's head; what follows it is not looked at. */
swl_status swl_image_head(const void *bytes, size_t size, swl_image *image, swl_err *err) SWL_MUST_CHECK;

void swl_image_free(swl_image *image);

#endif
