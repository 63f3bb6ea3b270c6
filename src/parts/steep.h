/* Maps whose efficiency collapses along a speed line. */
#ifndef SWL_PARTS_STEEP_H
#define SWL_PARTS_STEEP_H

/* How much faster the charge heats up than the blower raises its pressure, from one point of a speed line to the next;
 * above 0 an engine without a cooler takes less air at more boost, and flows may balance more than once.
 * Given: pressure ratio, volumetric and adiabatic efficiency of both points, the second at the higher ratio.
 * Returns: a logarithm. Constant gamma 1.4, which is good enough to see a trend. */
double swl_steepness(double ratio_a, double ev_a, double ea_a, double ratio_b, double ev_b, double ea_b);

#endif
