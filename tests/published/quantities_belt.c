/* The belt: its path round two pulleys, friction in a groove, tension and power. */
#include "quantities.h"

#include "sweptline/belt.h"

#include <math.h>
#include <stddef.h>

#define INCH_M 0.0254
#define LBF_N 4.4482216152605
#define FOOT_M 0.3048
#define HP_W (550 * FOOT_M * LBF_N)

/* A thin flat belt round two pulleys, the larger first. A crossed one runs round the second the other way. */
static swl_belt_path around_two(double large_m, double small_m, double centres_m, swl_belt_side second)
{
    swl_belt belt = {.kind = SWL_BELT_FLAT};
    swl_belt_layout layout = {.pulleys = {{.d_m = large_m}, {.centre = {centres_m, 0}, .d_m = small_m, .side = second}},
                              .pulley_count = 2,
                              .path = {0, 1},
                              .path_count = 2};
    swl_belt_path path;
    swl_belt_fault fault;
    if (!swl_belt_path_find(&belt, &layout, 0, &path, &fault)) {
        path = (swl_belt_path){.length_m = NAN, .stops = {{.wrap_rad = NAN}, {.wrap_rad = NAN}}};
    }
    return path;
}

static double belt_wrap_small_rad(const double *in)
{
    return around_two(in[0] * INCH_M, in[1] * INCH_M, in[2] * INCH_M, SWL_BELT_RIBS).stops[1].wrap_rad;
}

static double belt_wrap_large_rad(const double *in)
{
    return around_two(in[0] * INCH_M, in[1] * INCH_M, in[2] * INCH_M, SWL_BELT_RIBS).stops[0].wrap_rad;
}

static double belt_length_in(const double *in)
{
    return around_two(in[0] * INCH_M, in[1] * INCH_M, in[2] * INCH_M, SWL_BELT_RIBS).length_m / INCH_M;
}

static double belt_wrap_crossed_rad(const double *in)
{
    return around_two(in[0], in[1], in[2], SWL_BELT_BACK).stops[1].wrap_rad;
}

static double belt_wedge_friction(const double *in)
{
    return swl_belt_wedge_friction(in[0], in[1] * 3.14159265358979323846 / 180);
}

static double belt_power_hp(const double *in)
{
    return swl_belt_power_w(in[0] * LBF_N, in[1] * LBF_N, in[2] * FOOT_M / 60) / HP_W;
}

static double belt_slack_n(const double *in)
{
    return swl_belt_slack_at_slip_n(in[2] * 1000, in[3], in[4], swl_belt_grip(in[1], in[0]));
}

static double belt_tight_n(const double *in)
{
    return belt_slack_n(in) + in[2] * 1000 / in[3];
}

const pub_quantity pub_quantities_belt[] = {
    {"belt_wrap_small_rad(large_in, small_in, centres_in)", belt_wrap_small_rad, NULL},
    {"belt_wrap_large_rad(large_in, small_in, centres_in)", belt_wrap_large_rad, NULL},
    {"belt_length_in(large_in, small_in, centres_in)", belt_length_in, NULL},
    {"belt_wrap_crossed_rad(large_m, small_m, centres_m)", belt_wrap_crossed_rad, NULL},
    {"belt_wedge_friction(friction, groove_deg)", belt_wedge_friction, NULL},
    {"belt_power_hp(tight_lbf, slack_lbf, speed_ft_min)", belt_power_hp, NULL},
    {"belt_slack_n(wrap_rad, friction, power_kw, speed_m_s, mass_kg_m)", belt_slack_n, NULL},
    {"belt_tight_n(wrap_rad, friction, power_kw, speed_m_s, mass_kg_m)", belt_tight_n, NULL},
    {NULL, NULL, NULL},
};
