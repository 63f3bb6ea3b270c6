/* The water circuit's equations of docs/model.md, none of them solved for another. */
#ifndef TESTS_REFERENCE_FULL_WATER_H
#define TESTS_REFERENCE_FULL_WATER_H

#include "reference/full_model.h"

/* Temperature drop of the charge over (T2 - coolant's inlet), by the means (W1) of the temperatures given. */
double full_core_share(const full_model *model, const full_unknowns *u);

/* What is left of the two equations for the coolant's inlet and outlet. Without a loop the inlet is the build's own
 * temperature, and without a pump the outlet stands for nothing and equals the inlet. */
void full_water_left(const full_model *model, const full_unknowns *u, double left[2]);

/* T3 and the coolant's temperatures from m, p2 and T2, one after the other and over again. */
void full_water_reduced(const full_model *model, full_unknowns *u);

/* The library's members for the circuit. */
void full_water_point(const full_model *model, const full_unknowns *u, swl_point *p);

#endif
