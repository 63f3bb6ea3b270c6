#include "scan/thin.h"

#include <math.h>

/* Linear light of a level of sRGB, IEC 61966-2-1; 0 to 255, with one level beyond for the last step between two. */
static double linear_of(double level)
{
    double v = level / 255;
    return v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4);
}

swl_oklab swl_oklab_of(double r, double g, double b)
{
    double lr = linear_of(r);
    double lg = linear_of(g);
    double lb = linear_of(b);
    double l = cbrt(0.4122214708 * lr + 0.5363325363 * lg + 0.0514459929 * lb);
    double m = cbrt(0.2119034982 * lr + 0.6806995451 * lg + 0.1073969566 * lb);
    double s = cbrt(0.0883024619 * lr + 0.2817188376 * lg + 0.6299787005 * lb);
    return (swl_oklab){
        .l = 0.2104542553 * l + 0.7936177850 * m - 0.0040720468 * s,
        .a = 1.9779984951 * l - 2.4285922050 * m + 0.4505937099 * s,
        .b = 0.0259040371 * l + 0.7827717662 * m - 0.8086757660 * s,
    };
}

double swl_oklab_distance(swl_oklab a, swl_oklab b)
{
    double dl = a.l - b.l;
    double da = a.a - b.a;
    double db = a.b - b.b;
    return sqrt(dl * dl + da * da + db * db);
}

static int within(int i, int count)
{
    return i < 0 ? 0 : i >= count ? count - 1 : i;
}

static const unsigned char *pixel_at(const swl_image *image, int x, int y)
{
    size_t row = (size_t)within(y, image->height) * (size_t)image->width;
    return image->rgb + 3 * (row + (size_t)within(x, image->width));
}

swl_oklab swl_oklab_at(const swl_image *image, double x, double y)
{
    const unsigned char *rgb = pixel_at(image, (int)floor(x + 0.5), (int)floor(y + 0.5));
    return swl_oklab_of(rgb[0], rgb[1], rgb[2]);
}

void swl_image_mix(const swl_image *image, double x, double y, double share, double rgb[3])
{
    double fx = floor(x);
    double fy = floor(y);
    double u = x - fx;
    double v = y - fy;
    const unsigned char *p00 = pixel_at(image, (int)fx, (int)fy);
    const unsigned char *p10 = pixel_at(image, (int)fx + 1, (int)fy);
    const unsigned char *p01 = pixel_at(image, (int)fx, (int)fy + 1);
    const unsigned char *p11 = pixel_at(image, (int)fx + 1, (int)fy + 1);
    for (int c = 0; c < 3; c++) {
        rgb[c] += share * ((1 - v) * ((1 - u) * p00[c] + u * p10[c]) + v * ((1 - u) * p01[c] + u * p11[c]));
    }
}
