#include "sweptline/spread.h"

#include "study/pool.h"
#include "study/spread_line.h"
#include "study/spread_outline.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_A_JOB = 8 };
#define SIGMAS 1.959963984540054

/* Everything of a run. quantity[(row * SWL_SPREAD_QUANTITIES + q) * drawn + 2 * n + s] is that of base row n in sample
 * s of A and B; value[(output * samples + n) * (inputs + 2) + s] goes on to the mixed samples; outside[row * drawn + 2
 * n + s] tells whether the point is outside the map. A job writes only what is its own, so threads change no figure. */
typedef struct run {
    spread_plan plan;
    swl_spread *out;
    swl_sobol sobol;
    size_t drawn;
    double *quantity;
    double *value;
    unsigned char *outside;
    spread_section *sections; /* one a row */
    spread_worker **workers;  /* one a thread, made by it */
    size_t threads;
    atomic_bool short_of_memory;
    const swl_progress *progress;
    atomic_size_t solved;  /* builds */
    double v_span, r_span; /* what distances on the map are shares of */
} run;

static double *column(const run *r, size_t row, size_t q)
{
    return r->quantity + (row * SWL_SPREAD_QUANTITIES + q) * r->drawn;
}

static void keep_rows(const run *r, const spread_worker *worker, size_t at)
{
    double of[SWL_SPREAD_QUANTITIES];
    for (size_t row = 0; row < r->out->row_count; row++) {
        const swl_point *point = &worker->line[row];
        swl_spread_quantities(&r->plan, worker, row, of);
        for (size_t q = 0; q < SWL_SPREAD_QUANTITIES; q++) {
            column(r, row, q)[at] = of[q];
        }
        r->outside[row * r->drawn + at] = point->end == SWL_MATCH_SOLVED && point->map_where != SWL_MAP_INSIDE;
    }
}

/* The worker of a thread, made where it has none. Returns: NULL when out of memory; then the run has failed. */
static spread_worker *worker_of(run *r, size_t thread)
{
    if (r->workers[thread] == NULL) {
        r->workers[thread] = swl_spread_worker_new(&r->plan);
    }
    if (r->workers[thread] == NULL) {
        atomic_store(&r->short_of_memory, true);
    }
    return r->workers[thread];
}

static void job_solve(void *context, size_t job, size_t at)
{
    run *r = context;
    spread_worker *worker = worker_of(r, at);
    if (worker == NULL) {
        return;
    }
    size_t samples = r->plan.input_count + 2;
    double shares[SWL_INPUTS_MAX];
    double output[SWL_SPREAD_OUTPUTS_MAX];
    for (size_t n = job * ROWS_A_JOB; n < (job + 1) * ROWS_A_JOB; n++) {
        for (size_t s = 0; s < samples; s++) {
            swl_sobol_point(&r->sobol, n, s, shares);
            swl_spread_sample(&r->plan, worker, shares, output);
            if (s < 2) {
                keep_rows(r, worker, 2 * n + s);
            }
            for (size_t k = 0; k < r->plan.output_count; k++) {
                r->value[(k * r->sobol.rows + n) * samples + s] = output[k];
            }
        }
        swl_progress_tell(r->progress, "solving builds", atomic_fetch_add(&r->solved, samples) + samples,
                          r->sobol.rows * samples);
    }
}

static spread_place along_line(const run *r, size_t row)
{
    const swl_point *line = r->plan.check->line;
    size_t from = row > 0 ? row - 1 : 0;
    size_t to = row + 1 < r->out->row_count ? row + 1 : row;
    spread_place d = {.v = (line[to].map_vdot_m3_s - line[from].map_vdot_m3_s) / r->v_span,
                      .r = (line[to].p_ratio - line[from].p_ratio) / r->r_span};
    double length = hypot(d.v, d.r);
    return length > 0 ? (spread_place){d.v / length, d.r / length} : (spread_place){1, 0};
}

static void job_row(void *context, size_t row, size_t at)
{
    run *r = context;
    swl_spread_row *out = &r->out->rows[row];
    (void)at;
    size_t solved = 0;
    size_t outside = 0;
    const double *boost = column(r, row, SWL_SPREAD_BOOST);
    for (size_t i = 0; i < r->drawn; i++) {
        solved += isnan(boost[i]) ? 0 : 1;
        outside += r->outside[row * r->drawn + i];
    }
    out->engine_rpm = r->plan.check->line[row].engine_rpm;
    out->no_point_frac = (double)(r->drawn - solved) / (double)r->drawn;
    out->off_map_frac = solved > 0 ? (double)outside / (double)solved : (double)NAN;
    for (size_t q = 0; q < SWL_SPREAD_QUANTITIES; q++) {
        if (q != SWL_SPREAD_RATIO && q != SWL_SPREAD_MAP_VOLUME_FLOW) {
            out->of[q] = swl_spread_interval(column(r, row, q), r->drawn);
        }
    }
    /* The columns that are done with lend their room. */
    const spread_cloud cloud = {.vdot_m3_s = column(r, row, SWL_SPREAD_MAP_VOLUME_FLOW),
                                .p_ratio = column(r, row, SWL_SPREAD_RATIO),
                                .count = r->drawn,
                                .v_span = r->v_span,
                                .r_span = r->r_span,
                                .middle = &r->plan.check->line[row]};
    swl_spread_section(&cloud, along_line(r, row), column(r, row, SWL_SPREAD_BOOST), &r->sections[row]);
    out->of[SWL_SPREAD_RATIO] = swl_spread_interval(column(r, row, SWL_SPREAD_RATIO), r->drawn);
    out->of[SWL_SPREAD_MAP_VOLUME_FLOW] = swl_spread_interval(column(r, row, SWL_SPREAD_MAP_VOLUME_FLOW), r->drawn);
}

static void job_output(void *context, size_t k, size_t at)
{
    run *r = context;
    (void)at;
    size_t samples = r->plan.input_count + 2;
    double *value = r->value + k * r->sobol.rows * samples;
    swl_spread_output *out = &r->out->outputs[k];
    out->rows_left_out = swl_sobol_indices(&r->sobol, value, out->index);
    /* The indices are done with the mixed samples, so the intervals' sort may use the room from the front. */
    size_t with = 0;
    for (size_t n = 0; n < r->sobol.rows; n++) {
        for (size_t s = 0; s < 2; s++) {
            value[2 * n + s] = value[n * samples + s];
            with += isfinite(value[2 * n + s]) != 0;
        }
    }
    out->without_frac = (double)(r->drawn - with) / (double)r->drawn;
    out->interval = swl_spread_interval(value, r->drawn);
}

/* After the outputs: the values of A and B stand sorted at the front, those without at the end. */
static void limits_count(const run *r)
{
    swl_spread *out = r->out;
    size_t samples = r->plan.input_count + 2;
    for (size_t k = 0; k < out->output_count; k++) {
        if (!out->outputs[k].is_margin) {
            continue;
        }
        swl_spread_limit *limit = &out->limits[out->limit_count];
        const double *margin = r->value + k * r->sobol.rows * samples;
        size_t with = 0;
        size_t over = 0;
        for (size_t i = 0; i < r->drawn; i++) {
            with += isfinite(margin[i]) != 0;
            /* At the limit but for rounding is not over it, as in a check. */
            over += margin[i] < -1e-12;
        }
        *limit = (swl_spread_limit){.row = r->plan.check->limits[out->limit_count],
                                    .output = k,
                                    .over_frac = with > 0 ? (double)over / (double)with : (double)NAN,
                                    .over_error_frac = with > 0 ? swl_spread_share_error(over, with) : (double)NAN,
                                    .undecided_frac = (double)(r->drawn - with) / (double)r->drawn};
        out->limit_count++;
    }
}

/* Speeds that only say where the table has its rows are not sampled. */
static void take_inputs(const swl_build *build, swl_spread *out)
{
    for (size_t i = 0; i < build->input_count; i++) {
        const swl_input *input = &build->inputs[i];
        if (input->offset == offsetof(swl_build, engine.speed_from_rpm) ||
            input->offset == offsetof(swl_build, engine.speed_step_rpm)) {
            out->left_out++;
            continue;
        }
        double sigma = input->half_width / SIGMAS;
        out->inputs[out->input_count++] =
            (swl_spread_input){.of = *input,
                               .cut_frac = gsl_cdf_ugaussian_P((input->low - input->middle) / sigma) +
                                           gsl_cdf_ugaussian_Q((input->high - input->middle) / sigma)};
    }
}

static swl_status options_check(const swl_spread *out, const swl_spread_options *options, size_t rows, size_t outputs,
                                swl_err *err)
{
    if (out->input_count == 0) {
        return swl_err_set(err, SWL_ERR_USAGE, "no value of the build is given with +-, so there is nothing to spread");
    }
    if (options->threads < 1 || options->threads > SWL_SPREAD_THREADS_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE, "%zu threads; 1 to %d are accepted", options->threads,
                           SWL_SPREAD_THREADS_MAX);
    }
    double n = (double)options->samples;
    double bytes = 2 * n * (double)rows * (SWL_SPREAD_QUANTITIES * sizeof(double) + 1) +
                   n * (double)(out->input_count + 2) * (double)outputs * sizeof(double);
    if (bytes > SWL_SPREAD_BYTES_MAX) {
        return swl_err_set(err, SWL_ERR_USAGE,
                           "%zu samples of a line of %zu rows would take %.0f MB; up to %.0f MB is accepted: fewer "
                           "samples or a larger speed_step",
                           options->samples, rows, bytes / 1e6, SWL_SPREAD_BYTES_MAX / 1e6);
    }
    return SWL_OK;
}

/* What the caller keeps. Returns: false when memory runs out. */
static bool spread_memory(swl_spread *out)
{
    size_t outline = 2 * (out->row_count + (size_t)SPREAD_CORNERS_MAX);
    out->rows = calloc(out->row_count, sizeof *out->rows);
    out->indices = calloc(out->output_count * out->input_count, sizeof *out->indices);
    out->outline_vdot_m3_s = calloc(outline, sizeof *out->outline_vdot_m3_s);
    out->outline_p_ratio = calloc(outline, sizeof *out->outline_p_ratio);
    if (out->rows == NULL || out->indices == NULL || out->outline_vdot_m3_s == NULL || out->outline_p_ratio == NULL) {
        return false;
    }
    for (size_t k = 0; k < out->output_count; k++) {
        out->outputs[k].index = out->indices + k * out->input_count;
    }
    return true;
}

static bool run_memory(run *r)
{
    const swl_spread *out = r->out;
    r->drawn = 2 * r->sobol.rows;
    r->quantity = malloc(out->row_count * SWL_SPREAD_QUANTITIES * r->drawn * sizeof *r->quantity);
    r->outside = malloc(out->row_count * r->drawn);
    r->value = malloc(out->output_count * r->sobol.rows * (out->input_count + 2) * sizeof *r->value);
    r->workers = calloc(r->threads, sizeof(spread_worker *));
    r->sections = calloc(out->row_count, sizeof *r->sections);
    return r->sections != NULL && r->quantity != NULL && r->outside != NULL && r->value != NULL && r->workers != NULL;
}

static void run_free(run *r)
{
    for (size_t i = 0; r->workers != NULL && i < r->threads; i++) {
        swl_spread_worker_free(r->workers[i]);
    }
    free(r->workers);
    free(r->sections);
    free(r->quantity);
    free(r->outside);
    free(r->value);
    swl_sobol_free(&r->sobol);
}

static void map_spans(run *r)
{
    const swl_blower *blower = &r->plan.build->blower;
    double low = 0;
    double high = 0;
    swl_map_ratio_range(blower->map, &low, &high);
    double fastest_rpm = swl_map_line_at(blower->map, swl_map_line_count(blower->map) - 1).speed_rpm;
    r->v_span = blower->disp_m3_rev * fastest_rpm / 60;
    r->r_span = high > low ? high - low : 1;
}

/* Solves every build, the middle one first. Returns: false when out of memory. */
static bool run_builds(run *r)
{
    spread_worker *worker = worker_of(r, 0);
    if (worker == NULL) {
        return false;
    }
    double middle[SWL_SPREAD_OUTPUTS_MAX];
    swl_spread_sample(&r->plan, worker, NULL, middle);
    for (size_t k = 0; k < r->out->output_count; k++) {
        r->out->outputs[k].middle = middle[k];
    }
    swl_pool_run(r->threads, r->sobol.rows / ROWS_A_JOB, job_solve, r);
    return !atomic_load(&r->short_of_memory);
}

static void run_results(run *r)
{
    swl_spread *out = r->out;
    swl_pool_run(r->threads, out->row_count, job_row, r);
    out->outline_count = swl_spread_outline(r->sections, r->plan.check->line, out->row_count, r->v_span, r->r_span,
                                            out->outline_vdot_m3_s, out->outline_p_ratio);
    swl_pool_run(r->threads, out->output_count, job_output, r);
    limits_count(r);
    /* The first output is a peak over the line, which every row must have a part in. */
    out->no_point_frac = out->outputs[0].without_frac;
    out->builds = r->sobol.rows * (out->input_count + 2);
}

swl_status swl_spread_run(const swl_build *build, const swl_check *check, const swl_spread_options *options,
                          swl_spread *spread, swl_err *err)
{
    *spread = (swl_spread){.samples = options->samples, .seed = options->seed, .row_count = check->line_count};
    take_inputs(build, spread);
    run r = {.out = spread,
             .threads = options->threads,
             .progress = options->progress,
             .plan = {.build = build,
                      .check = check,
                      .inputs = spread->inputs,
                      .input_count = spread->input_count,
                      .has_wheel = !isnan(build->engine.driveline_loss_frac),
                      .outputs = spread->outputs}};
    for (size_t i = 0; i < spread->input_count; i++) {
        r.plan.own_limit =
            r.plan.own_limit || spread->inputs[i].of.offset == offsetof(swl_build, engine.speed_limit_rpm);
    }
    spread->output_count = swl_spread_outputs(&r.plan, spread->outputs);
    r.plan.output_count = spread->output_count;
    map_spans(&r);
    swl_status status = options_check(spread, options, check->line_count, spread->output_count, err);
    if (status == SWL_OK) {
        status = swl_sobol_init(&r.sobol, spread->input_count, options->samples, options->seed, err);
    }
    if (status == SWL_OK) {
        spread->quasi = r.sobol.quasi;
        bool enough = spread_memory(spread) && run_memory(&r) && run_builds(&r);
        status = enough ? SWL_OK : swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the samples");
    }
    if (status == SWL_OK) {
        run_results(&r);
    }
    run_free(&r);
    if (status != SWL_OK) {
        swl_spread_free(spread);
    }
    return status;
}

void swl_spread_free(swl_spread *spread)
{
    free(spread->rows);
    free(spread->indices);
    free(spread->outline_vdot_m3_s);
    free(spread->outline_p_ratio);
    *spread = (swl_spread){0};
}
