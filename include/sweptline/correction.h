/* Correcting a measured engine power to a standard day. */
#ifndef SWEPTLINE_CORRECTION_H
#define SWEPTLINE_CORRECTION_H

typedef enum swl_correction_form { SWL_CORRECTION_J1349, SWL_CORRECTION_ISO_1585, SWL_CORRECTIONS } swl_correction_form;

/* Which bound of its range a correction breaks. */
enum {
    SWL_CORRECTION_COLD = 1,
    SWL_CORRECTION_HOT = 2,
    SWL_CORRECTION_THIN = 4, /* dry pressure below its range */
    SWL_CORRECTION_DENSE = 8,
    SWL_CORRECTION_FACTOR_LOW = 16,
    SWL_CORRECTION_FACTOR_HIGH = 32
};

/* What a form is stated for; every bound belongs to its range. */
typedef struct swl_correction_range {
    const char *standard; /* for a person */
    const char *name;     /* for JSON */
    double t_min_k, t_max_k;
    double p_dry_min_pa, p_dry_max_pa;
    double factor_min, factor_max;
} swl_correction_range;

/* factor is what a measured power is multiplied by, never held at a bound; broken is 0 inside the range. */
typedef struct swl_correction {
    double factor;
    unsigned broken;
} swl_correction;

/* The range of a form. Source: as told at swl_correction_at; all bounds from memory, not held against the documents. */
const swl_correction_range *swl_correction_range_of(swl_correction_form form);

/* The factor that takes a power measured in given air to the standard's day.
 * Given: inlet temperature in K and pressure of the dry air in Pa, both above 0.
 * Returns: the factor, NAN for air that is not given so, and which bounds it breaks.
 * SAE J1349 (1990): 1.180 (990/Pd) sqrt((Tc + 273)/298) - 0.18, Pd in mbar, Tc in degC; reference 25 degC and 990 mbar
 * dry. Formula read in a copy of the standard; bounds (15 to 35 degC, 900 to 1050 mbar, factor 0.93 to 1.07) from
 * memory, fair. The 1.180 and 0.18 stand for a mechanical efficiency of 85 %. Stated for naturally aspirated
 * spark-ignition engines; for one with a driven blower it is used by custom (from memory).
 * ISO 1585, spark ignition: (99/ps)^1.2 (T/298)^0.6, ps in kPa dry, T in K; reference 298 K and 99 kPa dry. Formula and
 * bounds (288 to 308 K, 80 to 110 kPa, factor 0.93 to 1.07) from memory, fair. Stated for naturally aspirated and for
 * pressure-charged spark-ignition engines (from memory).
 * Left out: everything of the engine; a driven blower's own answer to the air is not in either. */
swl_correction swl_correction_at(swl_correction_form form, double t_k, double p_dry_pa);

#endif
