#include "sweptline/sobol.h"

#include "base/gsl_quiet.h"

#include <gsl/gsl_qrng.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdlib.h>

/* The sequence's numbers are whole multiples of 2^-30. */
enum { BITS = 30 };
#define MASK ((1U << BITS) - 1)
/* Below this share of its mean a spread is rounding. */
#define SPREAD_MIN 1e-9
#define STUDENT_95 2.131

static uint32_t random_bits(gsl_rng *rng)
{
    return (uint32_t)gsl_rng_get(rng) & MASK;
}

/* A stretch of the sequence, its first point included, which is zero and which the library skips. */
static swl_status quasi_stretch(uint32_t *bits, size_t rows, size_t columns, swl_err *err)
{
    double u[2 * SWL_SOBOL_QUASI_INPUTS_MAX] = {0};
    gsl_qrng *sequence = gsl_qrng_alloc(gsl_qrng_sobol, (unsigned)columns);
    if (sequence == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the points of a spread");
    }
    for (size_t row = 0; row < rows; row++) {
        if (row > 0) {
            (void)gsl_qrng_get(sequence, u);
        }
        for (size_t c = 0; c < columns; c++) {
            bits[row * columns + c] = (uint32_t)ldexp(u[c], BITS);
        }
    }
    gsl_qrng_free(sequence);
    return SWL_OK;
}

/* The first group's stretch is copied to the others; each is then shifted digit by digit. */
static void quasi_shift(swl_sobol *sobol, gsl_rng *rng)
{
    size_t columns = 2 * sobol->inputs;
    size_t each = sobol->rows / SWL_SOBOL_GROUPS;
    for (size_t group = SWL_SOBOL_GROUPS; group-- > 0;) {
        for (size_t c = 0; c < columns; c++) {
            uint32_t shift = random_bits(rng);
            for (size_t row = 0; row < each; row++) {
                sobol->bits[(group * each + row) * columns + c] = sobol->bits[row * columns + c] ^ shift;
            }
        }
    }
}

swl_status swl_sobol_init(swl_sobol *sobol, size_t inputs, size_t rows, uint32_t seed, swl_err *err)
{
    *sobol = (swl_sobol){.inputs = inputs, .rows = rows, .quasi = inputs <= SWL_SOBOL_QUASI_INPUTS_MAX};
    bool power_of_two = rows >= SWL_SOBOL_ROWS_MIN && rows <= SWL_SOBOL_ROWS_MAX && (rows & (rows - 1)) == 0;
    if (!power_of_two || inputs < 1 || inputs > SWL_SOBOL_INPUTS_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "%zu inputs and %zu rows; 1 to %d inputs and a power of two from %d to %d are accepted",
                           inputs, rows, SWL_SOBOL_INPUTS_MAX, SWL_SOBOL_ROWS_MIN, SWL_SOBOL_ROWS_MAX);
    }
    swl_gsl_quiet();
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    sobol->bits = calloc(rows * 2 * inputs, sizeof *sobol->bits);
    swl_status status = SWL_OK;
    if (rng == NULL || sobol->bits == NULL) {
        (void)swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the points of a spread");
        status = SWL_ERR_MEMORY;
    } else {
        gsl_rng_set(rng, seed);
    }
    if (status == SWL_OK && sobol->quasi) {
        status = quasi_stretch(sobol->bits, rows / SWL_SOBOL_GROUPS, 2 * inputs, err);
    }
    if (status == SWL_OK && sobol->quasi) {
        quasi_shift(sobol, rng);
    }
    for (size_t i = 0; status == SWL_OK && !sobol->quasi && i < rows * 2 * inputs; i++) {
        sobol->bits[i] = random_bits(rng);
    }
    if (rng != NULL) {
        gsl_rng_free(rng);
    }
    if (status != SWL_OK) {
        swl_sobol_free(sobol);
    }
    return status;
}

void swl_sobol_free(swl_sobol *sobol)
{
    free(sobol->bits);
    sobol->bits = NULL;
}

void swl_sobol_point(const swl_sobol *sobol, size_t row, size_t sample, double *u)
{
    const uint32_t *a = sobol->bits + row * 2 * sobol->inputs;
    const uint32_t *b = a + sobol->inputs;
    for (size_t i = 0; i < sobol->inputs; i++) {
        bool from_b = sample == 1 || sample == 2 + i;
        /* The middle of a cell, so that no coordinate is 0. */
        u[i] = ldexp((double)(from_b ? b[i] : a[i]) + 0.5, -BITS);
    }
}

/* Sums over one group, or over several. */
typedef struct sums {
    double n;
    double square; /* of A and B about the mean of all */
    double shift;  /* f(A) and f(B) less that mean */
    double first;
    double total;
} sums;

static void sums_add(sums *to, const sums *more, double sign)
{
    to->n += sign * more->n;
    to->square += sign * more->square;
    to->shift += sign * more->shift;
    to->first += sign * more->first;
    to->total += sign * more->total;
}

static double variance(const sums *s)
{
    double mean = s->shift / (2 * s->n);
    return s->square / (2 * s->n) - mean * mean;
}

static bool whole_row(const double *f, size_t samples)
{
    for (size_t k = 0; k < samples; k++) {
        if (!isfinite(f[k])) {
            return false;
        }
    }
    return true;
}

/* The mean of A and B over the whole rows. Returns: how many rows are left out. */
static size_t mean_of(const swl_sobol *sobol, const double *value, double *mean)
{
    size_t samples = sobol->inputs + 2;
    size_t left_out = 0;
    double sum = 0;
    for (size_t row = 0; row < sobol->rows; row++) {
        const double *f = value + row * samples;
        if (whole_row(f, samples)) {
            sum += f[0] + f[1];
        } else {
            left_out++;
        }
    }
    *mean = sum / (2.0 * (double)(sobol->rows - left_out));
    return left_out;
}

static sums group_sums(const swl_sobol *sobol, const double *value, size_t group, size_t input, double mean)
{
    sums s = {0};
    size_t samples = sobol->inputs + 2;
    size_t each = sobol->rows / SWL_SOBOL_GROUPS;
    for (size_t row = group * each; row < (group + 1) * each; row++) {
        const double *f = value + row * samples;
        if (!whole_row(f, samples)) {
            continue;
        }
        double a = f[0] - mean;
        double b = f[1] - mean;
        double ab = f[2 + input] - mean;
        s.n++;
        s.square += a * a + b * b;
        s.shift += a + b;
        s.first += b * (ab - a);
        s.total += (a - ab) * (a - ab) / 2;
    }
    return s;
}

/* Sqrt of (G - 1)/G times the sum of squares about their mean of what is found with each group left out. */
static double jackknife(const double *found, size_t count)
{
    double mean = 0;
    double square = 0;
    for (size_t g = 0; g < count; g++) {
        mean += found[g] / (double)count;
    }
    for (size_t g = 0; g < count; g++) {
        square += (found[g] - mean) * (found[g] - mean);
    }
    return sqrt((double)(count - 1) / (double)count * square);
}

static swl_sobol_index index_of(const sums groups[SWL_SOBOL_GROUPS], double mean)
{
    sums all = {0};
    for (size_t g = 0; g < SWL_SOBOL_GROUPS; g++) {
        sums_add(&all, &groups[g], 1);
    }
    if (!(variance(&all) > SPREAD_MIN * mean * SPREAD_MIN * mean)) {
        return (swl_sobol_index){NAN, NAN, NAN, NAN};
    }
    double first[SWL_SOBOL_GROUPS];
    double total[SWL_SOBOL_GROUPS];
    for (size_t g = 0; g < SWL_SOBOL_GROUPS; g++) {
        sums others = all;
        sums_add(&others, &groups[g], -1);
        first[g] = others.first / others.n / variance(&others);
        total[g] = others.total / others.n / variance(&others);
    }
    return (swl_sobol_index){.first = all.first / all.n / variance(&all),
                             .first_error = jackknife(first, SWL_SOBOL_GROUPS),
                             .total = all.total / all.n / variance(&all),
                             .total_error = jackknife(total, SWL_SOBOL_GROUPS)};
}

size_t swl_sobol_indices(const swl_sobol *sobol, const double *value, swl_sobol_index *index)
{
    double mean = 0;
    size_t left_out = mean_of(sobol, value, &mean);
    for (size_t i = 0; i < sobol->inputs; i++) {
        sums groups[SWL_SOBOL_GROUPS];
        for (size_t g = 0; g < SWL_SOBOL_GROUPS; g++) {
            groups[g] = group_sums(sobol, value, g, i, mean);
        }
        index[i] = index_of(groups, mean);
    }
    return left_out;
}

bool swl_sobol_tells(double index, double error)
{
    return index > STUDENT_95 * error && index > 1e-6;
}
