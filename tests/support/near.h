/* Comparing doubles in tests: cmocka 1.1.5 has no assert for them. Includes cmocka and what it wants.
 *
 * swl_near(want, got, tol_rel)          within a share of want; a want of 0 asks for 0
 * swl_near_abs(want, got, tol_abs)      within a difference
 * swl_near_row(row, want, got, tol_abs) the same in a table, row being the words that tell which one and its source
 * swl_is_nan(got)
 *
 * A failure prints want, got and tolerance. Each compares so that NaN fails, and refuses a tolerance or a want
 * that is not finite, since such a check could not fail. */
#ifndef SWL_TESTS_NEAR_H
#define SWL_TESTS_NEAR_H

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static inline void swl_near_check(const char *row, double want, double got, double tolerance, const char *file,
                                  int line)
{
    bool sound = isfinite(want) && isfinite(tolerance) && tolerance >= 0;
    if (sound && fabs(got - want) <= tolerance) {
        return;
    }
    print_error("%s: want %.15g, got %.15g, off by %.3g, tolerance %.3g\n", row, want, got, got - want, tolerance);
    _fail(file, line);
}

static inline void swl_near_share(const char *row, double want, double got, double tol_rel, const char *file, int line)
{
    swl_near_check(row, want, got, tol_rel * fabs(want), file, line);
}

static inline void swl_nan_check(const char *row, double got, const char *file, int line)
{
    if (!isnan(got)) {
        print_error("%s: want NaN, got %.15g\n", row, got);
        _fail(file, line);
    }
}

#define swl_near(want, got, tol_rel) swl_near_share(#got, (want), (got), (tol_rel), __FILE__, __LINE__)
#define swl_near_abs(want, got, tol_abs) swl_near_check(#got, (want), (got), (tol_abs), __FILE__, __LINE__)
#define swl_near_row(row, want, got, tol_abs) swl_near_check((row), (want), (got), (tol_abs), __FILE__, __LINE__)
#define swl_is_nan(got) swl_nan_check(#got, (got), __FILE__, __LINE__)

#endif
