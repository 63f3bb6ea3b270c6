/* The fits of a measured run. */
#ifndef SWL_STUDY_LOG_FIT_H
#define SWL_STUDY_LOG_FIT_H

#include "sweptline/log.h"

/* What the model gives for each kind at a solved point. */
void swl_log_predict(const swl_build *build, const swl_power_basis *basis, const swl_point *point,
                     double predicted[SWL_LOG_KINDS]);

/* Fills in which fits are to be made, and picks one of those that were: the fit in which every parameter earns its
 * place, and the nearest other cause. */
void swl_log_fits_list(const swl_build *build, swl_log *log);
void swl_log_fits_choose(swl_log *log);

/* The half-width that the build states for a value, 0 for none. */
double swl_log_own_half_width(const swl_build *build, swl_log_parameter parameter);

/* Makes every fit of a log whose rows are filled in, and picks the one that explains most for its parameters. */
swl_status swl_log_fit_all(const swl_build *build, swl_log *log, swl_err *err) SWL_MUST_CHECK;

#endif
