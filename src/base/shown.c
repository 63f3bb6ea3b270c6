#include "sweptline/units.h"

#include <math.h>

/* The factors of src/base/units.c the other way round, in the order SI, US. */
static const swl_shown shown_rows[SWL_SHOW_COUNT][2] = {
    [SWL_SHOW_ENGINE_SPEED] = {{"rpm", 1, 0, 0}, {"rpm", 1, 0, 0}},
    [SWL_SHOW_BLOWER_SPEED] = {{"rpm", 1, 0, 0}, {"rpm", 1, 0, 0}},
    [SWL_SHOW_RATIO] = {{"", 1, 0, 3}, {"", 1, 0, 3}},
    [SWL_SHOW_FRACTION] = {{"%", 100, 0, 1}, {"%", 100, 0, 1}},
    [SWL_SHOW_BOOST] = {{"kPa", 1e-3, 0, 1}, {"psi", 0.000145037737730209, 0, 2}},
    [SWL_SHOW_PRESSURE] = {{"kPa", 1e-3, 0, 1}, {"psia", 0.000145037737730209, 0, 2}},
    [SWL_SHOW_TEMPERATURE] = {{"degC", 1, -273.15, 1}, {"degF", 1.8, -459.67, 1}},
    [SWL_SHOW_TEMP_CHANGE] = {{"K", 1, 0, 1}, {"degF", 1.8, 0, 1}},
    [SWL_SHOW_MASS_FLOW] = {{"kg/h", 3600, 0, 1}, {"lb/min", 132.277357310926, 0, 2}},
    [SWL_SHOW_VOLUME_FLOW] = {{"m3/h", 3600, 0, 0}, {"ft3/min", 2118.88000328931, 0, 0}},
    [SWL_SHOW_POWER] = {{"kW", 1e-3, 0, 1}, {"hp", 0.00134102208959503, 0, 1}},
    [SWL_SHOW_TORQUE] = {{"N.m", 1, 0, 1}, {"lbf.ft", 0.737562149277265, 0, 1}},
    [SWL_SHOW_LENGTH] = {{"mm", 1e3, 0, 1}, {"in", 39.3700787401575, 0, 3}},
    [SWL_SHOW_ENERGY] = {{"kJ", 1e-3, 0, 1}, {"Btu", 0.000947817120313317, 0, 1}},
    [SWL_SHOW_VOLUME] = {{"L", 1e3, 0, 2}, {"in3", 61023.7440947323, 0, 1}},
    [SWL_SHOW_FUEL_FLOW] = {{"kg/h", 3600, 0, 1}, {"lb/h", 7936.64143865556, 0, 1}},
    [SWL_SHOW_DENSITY] = {{"kg/m3", 1, 0, 3}, {"lb/ft3", 0.0624279605761446, 0, 4}},
    [SWL_SHOW_ANGLE] = {{"deg", 57.2957795130823, 0, 1}, {"deg", 57.2957795130823, 0, 1}},
    [SWL_SHOW_VELOCITY] = {{"m/s", 1, 0, 1}, {"ft/min", 196.850393700787, 0, 0}},
    [SWL_SHOW_FORCE] = {{"N", 1, 0, 0}, {"lbf", 0.224808943099711, 0, 1}},
    [SWL_SHOW_HEAT_FLOW] = {{"kW", 1e-3, 0, 1}, {"Btu/min", 0.056869027218799, 0, 0}},
    [SWL_SHOW_HEAT_CAPACITY] = {{"kJ/K", 1e-3, 0, 1}, {"Btu/degF", 0.000526565066840732, 0, 1}},
    /* Of a liquid: US gallons of 231 cubic inches. */
    [SWL_SHOW_LIQUID_VOLUME] = {{"L", 1e3, 0, 2}, {"US gal", 264.172052358148, 0, 2}},
    [SWL_SHOW_LIQUID_FLOW] = {{"L/min", 6e4, 0, 1}, {"US gal/min", 15850.3231414889, 0, 1}},
    [SWL_SHOW_LINE_MASS] = {{"kg/m", 1, 0, 3}, {"lb/ft", 0.671968975139507, 0, 3}},
    [SWL_SHOW_ALTITUDE] = {{"m", 1, 0, 0}, {"ft", 3.28083989501312, 0, 0}},
};

swl_shown swl_shown_as(swl_show show, swl_units units)
{
    return shown_rows[show][units == SWL_UNITS_US];
}

double swl_shown_value(double si, swl_show show, swl_units units)
{
    swl_shown shown = swl_shown_as(show, units);
    return si * shown.scale + shown.shift;
}

int swl_shown_decimals(double shown_value, swl_show show, swl_units units)
{
    int most = swl_shown_as(show, units).decimals;
    double whole = round(shown_value * pow(10, most));
    int least = most;
    for (; least > 0 && fmod(whole, 10) == 0; least--) {
        whole /= 10;
    }
    return least;
}
