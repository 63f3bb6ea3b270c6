#include "draw/panel.h"

#include <math.h>

const swl_rgb swl_ink = {0.09, 0.10, 0.13};
const swl_rgb swl_grey = {0.42, 0.44, 0.48};
const swl_rgb swl_warn = {0.66, 0.09, 0.12};

static double srgb_of_linear(double v)
{
    double c = v < 0 ? 0 : v > 1 ? 1 : v;
    return c <= 0.0031308 ? 12.92 * c : 1.055 * pow(c, 1 / 2.4) - 0.055;
}

/* Oklab to sRGB. Source: B. Ottosson, A perceptual color space for image processing (2020). */
static swl_rgb rgb_of_lch(double lightness, double chroma, double hue_deg)
{
    double a = chroma * cos(hue_deg * 3.14159265358979 / 180);
    double b = chroma * sin(hue_deg * 3.14159265358979 / 180);
    double l = pow(lightness + 0.3963377774 * a + 0.2158037573 * b, 3);
    double m = pow(lightness - 0.1055613458 * a - 0.0638541728 * b, 3);
    double s = pow(lightness - 0.0894841775 * a - 1.2914855480 * b, 3);
    return (swl_rgb){
        srgb_of_linear(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
        srgb_of_linear(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
        srgb_of_linear(-0.0041960863 * l - 0.7034186147 * m + 1.7076147010 * s),
    };
}

/* Slate blue to straw: lightness rises evenly, so it reads in grey, and the hue moves along blue to yellow, the
 * axis that the common colour deficiencies leave alone. */
swl_rgb swl_ramp(double share)
{
    double t = share < 0 ? 0 : share > 1 ? 1 : share;
    double hue = 262 - 162 * t;
    double chroma = 0.062 + 0.012 * (1 - 4 * (t - 0.5) * (t - 0.5));
    return rgb_of_lch(0.46 + 0.50 * t, chroma, hue);
}
