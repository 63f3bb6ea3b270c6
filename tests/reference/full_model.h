/* The equations of docs/model.md as they stand there, none of them solved for another: what full.c holds the program
 * against. Only the properties of air are the library's (sweptline/air.h); the rest is written from the document. */
#ifndef TESTS_REFERENCE_FULL_MODEL_H
#define TESTS_REFERENCE_FULL_MODEL_H

#include "sweptline/match.h"

#include <gsl/gsl_interp.h>
#include <gsl/gsl_roots.h>

/* Steffen through all its points by GSL, held at the ends; arrays belong to the map or the engine. interp is NULL for
 * one point, which makes a constant; two make a straight line. */
typedef struct full_curve {
    const double *x;
    const double *y;
    size_t count;
    gsl_interp *interp;
} full_curve;

/* Every line of the map; across them Steffen through all of them. */
typedef struct full_map {
    size_t count;
    double speed_rpm[SWL_MAP_LINES_MAX];
    full_curve ev[SWL_MAP_LINES_MAX];
    full_curve ea[SWL_MAP_LINES_MAX];
    gsl_interp *across;
} full_map;

/* What the engine speed and the build fix. */
typedef struct full_model {
    const swl_build *build;
    full_map map;
    full_curve ve;
    gsl_root_fsolver *root;
    swl_air air;
    double p0_pa, t0_k, t1_k, h1_j_kg, gamma0, rho0_kg_m3;
    double cp1_j_kg_k;
    double area_m2; /* Cd A, 0 without a throttle body */
    double loss_intake, loss_cooler;
    double engine_rpm, blower_rpm, corrected_rpm;
    double ve_curve_frac;
} full_model;

/* Doubles and nothing else: the solver takes it for an array. */
typedef struct full_unknowns {
    double p_t_pa, p1_pa, p2_pa, p3_pa, p_e_pa;
    double t2s_k, t2_k, t3_k, t_coolant_in_k, t_coolant_out_k;
    double mdot_kg_s, vdot1_m3_s, mdot_engine_kg_s;
    double ev_frac, ea_frac, ve_frac;
    double p_shaft_w; /* the last, and the only one that may be negative */
} full_unknowns;

enum { FULL_UNKNOWNS = 17 };
_Static_assert(sizeof(full_unknowns) == FULL_UNKNOWNS * sizeof(double), "an array of doubles");

/* Memory is short only when the machine is; the program ends then. */
full_model *full_model_new(const swl_build *build);
void full_model_free(full_model *model);
void full_model_speed(full_model *model, double engine_rpm);

/* What is left of each equation, without unit, in the order of the document. */
void full_residuals(const full_model *model, const full_unknowns *u, double left[FULL_UNKNOWNS]);

/* The set without (24) at a pressure ratio, solved one equation after the other.
 * Returns: (m - m_e)/m. */
double full_reduced(const full_model *model, double p_ratio, full_unknowns *u);

/* A guess that knows the build's sizes and nothing of its solution. */
full_unknowns full_guess(const full_model *model, double p_ratio);

/* All that the library tells of a point, from a solution of the set. */
swl_point full_point(const full_model *model, const full_unknowns *u);

/* The pressure ratio over the throttle at which its throat is sonic, (11). */
double full_critical_ratio(double gamma);

#endif
