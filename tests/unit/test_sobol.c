/* Variance-based indices against functions whose indices are known in closed form, and the points they rest on. */
#include "support/near.h"

#include "sweptline/sobol.h"
#include "sweptline/spread.h"

#include <stdlib.h>

#define PI 3.14159265358979323846
enum { ROWS = 4096, INPUTS_MAX = 24 };

typedef double function_of(const double *u, size_t inputs);

/* Indices of a plain function of the unit cube. */
static size_t indices_of(function_of *f, size_t inputs, size_t rows, uint32_t seed, swl_sobol_index *index)
{
    swl_sobol sobol;
    assert_int_equal(swl_sobol_init(&sobol, inputs, rows, seed, NULL), SWL_OK);
    double *value = calloc(rows * (inputs + 2), sizeof *value);
    assert_non_null(value);
    double u[INPUTS_MAX];
    for (size_t row = 0; row < rows; row++) {
        for (size_t s = 0; s < inputs + 2; s++) {
            swl_sobol_point(&sobol, row, s, u);
            value[row * (inputs + 2) + s] = f(u, inputs);
        }
    }
    size_t left_out = swl_sobol_indices(&sobol, value, index);
    free(value);
    swl_sobol_free(&sobol);
    return left_out;
}

/* Within four standard errors and within a bound that does not trust them. */
static void index_near(const char *row, double want, double got, double error, double bound)
{
    swl_near_row(row, want, got, bound);
    swl_near_row(row, want, got, 4 * error + 1e-12);
}

/* f = sin x1 + a sin^2 x2 + b x3^4 sin x1, x uniform over -pi..pi, a = 7, b = 0.1. T. Ishigami and T. Homma, Proc.
 * ISUMA '90 (1990) 398-403, from memory; the indices follow by integration:
 * V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V13 = b^2 pi^8 (1/18 - 1/50), V the sum of the three. */
static double ishigami(const double *u, size_t inputs)
{
    (void)inputs;
    double x[3];
    for (int i = 0; i < 3; i++) {
        x[i] = PI * (2 * u[i] - 1);
    }
    return sin(x[0]) + 7 * sin(x[1]) * sin(x[1]) + 0.1 * pow(x[2], 4) * sin(x[0]);
}

static void ishigami_function(void **state)
{
    (void)state;
    double v1 = pow(1 + 0.1 * pow(PI, 4) / 5, 2) / 2;
    double v2 = 49.0 / 8;
    double v13 = 0.01 * pow(PI, 8) * (1.0 / 18 - 1.0 / 50);
    double v = v1 + v2 + v13;
    for (uint32_t seed = 1; seed <= 5; seed++) {
        swl_sobol_index index[3];
        assert_int_equal(indices_of(ishigami, 3, ROWS, seed, index), 0);
        index_near("first 1", v1 / v, index[0].first, index[0].first_error, 0.04);
        index_near("first 2", v2 / v, index[1].first, index[1].first_error, 0.04);
        index_near("first 3", 0, index[2].first, index[2].first_error, 0.04);
        index_near("total 1", (v1 + v13) / v, index[0].total, index[0].total_error, 0.04);
        index_near("total 2", v2 / v, index[1].total, index[1].total_error, 0.04);
        index_near("total 3", v13 / v, index[2].total, index[2].total_error, 0.04);
        assert_true(swl_sobol_tells(index[2].total, index[2].total_error));
    }
}

/* g = product of (|4 u - 2| + a)/(1 + a). I. M. Sobol, in A. Saltelli and I. M. Sobol, Reliability Engineering and
 * System Safety 50 (1995) 225-239, from memory; V_i = 1/(3 (1 + a_i)^2), V = product of (1 + V_i), less 1. */
static const double g_a[6] = {0, 1, 4.5, 9, 99, 99};

static double g_function(const double *u, size_t inputs)
{
    double g = 1;
    for (size_t i = 0; i < inputs; i++) {
        double a = i < 6 ? g_a[i] : 99;
        g *= (fabs(4 * u[i] - 2) + a) / (1 + a);
    }
    return g;
}

static void g_function_holds(size_t inputs, size_t rows, double bound)
{
    double part[INPUTS_MAX];
    double product = 1;
    for (size_t i = 0; i < inputs; i++) {
        double a = i < 6 ? g_a[i] : 99;
        part[i] = 1 / (3 * (1 + a) * (1 + a));
        product *= 1 + part[i];
    }
    swl_sobol_index index[INPUTS_MAX];
    assert_int_equal(indices_of(g_function, inputs, rows, 7, index), 0);
    for (size_t i = 0; i < inputs; i++) {
        index_near("first", part[i] / (product - 1), index[i].first, index[i].first_error, bound);
        index_near("total", part[i] * product / (1 + part[i]) / (product - 1), index[i].total, index[i].total_error,
                   bound);
    }
}

static void sobol_g_function(void **state)
{
    (void)state;
    g_function_holds(6, ROWS, 0.02);
    /* As many as the sequence has room for, and pseudo-random points beyond. */
    g_function_holds(20, ROWS, 0.03);
    g_function_holds(21, ROWS, 0.08);
}

/* A sum of normal inputs: each has the share of its own variance, alone and in all. */
static double linear(const double *u, size_t inputs)
{
    static const double weight[] = {3, -2, 1, 0};
    double sum = 100;
    for (size_t i = 0; i < inputs; i++) {
        swl_input input = {.middle = 5, .half_width = 1.96, .low = -100, .high = 100};
        sum += weight[i] * swl_spread_value(&input, u[i]);
    }
    return sum;
}

static void linear_model(void **state)
{
    (void)state;
    static const double want[] = {9.0 / 14, 4.0 / 14, 1.0 / 14, 0};
    swl_sobol_index index[4];
    assert_int_equal(indices_of(linear, 4, ROWS, 3, index), 0);
    for (size_t i = 0; i < 4; i++) {
        index_near("first", want[i], index[i].first, index[i].first_error, 0.01);
        index_near("total", want[i], index[i].total, index[i].total_error, 0.01);
    }
    assert_false(swl_sobol_tells(index[3].total, index[3].total_error));
}

/* The errors told are of the size of the errors made, over many seeds: neither a tenth nor ten times. */
static void errors_are_honest(void **state)
{
    (void)state;
    double square = 0;
    double told = 0;
    enum { SEEDS = 60 };
    double v = pow(1 + 0.1 * pow(PI, 4) / 5, 2) / 2 + 49.0 / 8 + 0.01 * pow(PI, 8) * (1.0 / 18 - 1.0 / 50);
    for (uint32_t seed = 0; seed < SEEDS; seed++) {
        swl_sobol_index index[3];
        (void)indices_of(ishigami, 3, 512, seed, index);
        double off = index[1].first - 49.0 / 8 / v;
        square += off * off / SEEDS;
        told += index[1].first_error * index[1].first_error / SEEDS;
    }
    assert_true(sqrt(told) > 0.6 * sqrt(square));
    assert_true(sqrt(told) < 1.8 * sqrt(square));
}

static double broken(const double *u, size_t inputs)
{
    (void)inputs;
    return u[0] > 0.9 ? (double)NAN : u[0] + u[1];
}

static double flat(const double *u, size_t inputs)
{
    (void)u;
    (void)inputs;
    return 3;
}

static double nowhere(const double *u, size_t inputs)
{
    (void)u;
    (void)inputs;
    return NAN;
}

static void what_is_missing_is_counted(void **state)
{
    (void)state;
    swl_sobol_index index[2];
    /* Of A, B and A with column 0 from B, either has a value above 0.9 in a share of 1 - 0.9^2. */
    double left_out = (double)indices_of(broken, 2, ROWS, 1, index);
    swl_near(0.19 * ROWS, left_out, 0.03);
    assert_true(index[0].first > 0.3 && index[0].first < 0.6);
    assert_int_equal(indices_of(flat, 2, 256, 1, index), 0);
    swl_is_nan(index[0].first);
    swl_is_nan(index[1].total_error);
    assert_int_equal(indices_of(nowhere, 2, 256, 1, index), 256);
    swl_is_nan(index[0].total);
}

/* Each coordinate of a group fills every cell of its width once, as a digital net does, and lies inside the cube. */
static void points_are_even(void **state)
{
    (void)state;
    swl_sobol sobol;
    assert_int_equal(swl_sobol_init(&sobol, 20, 1024, 11, NULL), SWL_OK);
    assert_true(sobol.quasi);
    enum { EACH = 1024 / SWL_SOBOL_GROUPS };
    for (size_t group = 0; group < SWL_SOBOL_GROUPS; group++) {
        for (size_t i = 0; i < 20; i++) {
            for (size_t s = 0; s < 2; s++) {
                bool seen[EACH] = {false};
                for (size_t k = 0; k < EACH; k++) {
                    double u[20];
                    swl_sobol_point(&sobol, group * EACH + k, s, u);
                    assert_true(u[i] > 0 && u[i] < 1);
                    seen[(size_t)(u[i] * EACH)] = true;
                }
                for (size_t k = 0; k < EACH; k++) {
                    assert_true(seen[k]);
                }
            }
        }
    }
    /* A mixed sample is A but in its own column. */
    double a[20];
    double b[20];
    double mixed[20];
    swl_sobol_point(&sobol, 5, 0, a);
    swl_sobol_point(&sobol, 5, 1, b);
    swl_sobol_point(&sobol, 5, 2 + 3, mixed);
    for (size_t i = 0; i < 20; i++) {
        swl_near(i == 3 ? b[i] : a[i], mixed[i], 0);
    }
    swl_sobol_free(&sobol);
}

static void plans_are_refused(void **state)
{
    (void)state;
    swl_sobol sobol;
    assert_int_equal(swl_sobol_init(&sobol, 0, 128, 1, NULL), SWL_ERR_USAGE);
    assert_int_equal(swl_sobol_init(&sobol, SWL_SOBOL_INPUTS_MAX + 1, 128, 1, NULL), SWL_ERR_USAGE);
    assert_int_equal(swl_sobol_init(&sobol, 2, 64, 1, NULL), SWL_ERR_USAGE);
    assert_int_equal(swl_sobol_init(&sobol, 2, 1000, 1, NULL), SWL_ERR_USAGE);
    assert_int_equal(swl_sobol_init(&sobol, 2, 131072, 1, NULL), SWL_ERR_USAGE);
    assert_int_equal(swl_sobol_init(&sobol, SWL_SOBOL_INPUTS_MAX, 128, 1, NULL), SWL_OK);
    assert_false(sobol.quasi);
    swl_sobol_free(&sobol);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ishigami_function),
        cmocka_unit_test(sobol_g_function),
        cmocka_unit_test(linear_model),
        cmocka_unit_test(errors_are_honest),
        cmocka_unit_test(what_is_missing_is_counted),
        cmocka_unit_test(points_are_even),
        cmocka_unit_test(plans_are_refused),
    };
    return cmocka_run_group_tests_name("sobol", tests, NULL, NULL);
}
