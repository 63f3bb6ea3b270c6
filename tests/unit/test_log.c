/* Measured runs: runs made by the model itself, with noise, are laid over the prediction and explained. */
#include "support/near.h"

#include "support/builds.h"
#include "support/memory.h"
#include "support/scene.h"
#include "sweptline/files.h"
#include "sweptline/log.h"
#include "sweptline/report.h"

#include <stdlib.h>
#include <string.h>

/* What a run is made with: a change of the build, noise in standard deviations of swl_log_sigma, and its columns. */
typedef struct recipe {
    double slip_frac;
    double ve_factor;
    double effectiveness_frac;
    double rise_per_rpm;
    double onset_rpm;
    double noise;
    size_t rows;
    size_t speeds; /* engine speeds that the rows stand at, evenly spaced: the model is solved once at each */
    uint64_t seed;
    bool temperature, flow, inlet, discharge;
} recipe;

/* By the method of Box and Muller (1958). */
static double normal(test_random *random)
{
    double radius = sqrt(-2 * log(test_uniform(random, 1e-300, 1)));
    return radius * cos(2 * TEST_PI * test_uniform(random, 0, 1));
}

static void keep(swl_run *run, swl_run_row *row, const recipe *r, test_random *random, swl_log_kind kind, double truth)
{
    run->has[kind] = true;
    row->value[kind] = truth + r->noise * swl_log_sigma(kind, truth) * normal(random);
}

static swl_run run_make(const swl_build *build, const recipe *r)
{
    swl_build changed = *build;
    swl_run run = {.rows = calloc(r->rows, sizeof *run.rows), .count = r->rows, .rows_read = r->rows};
    test_random random = {.state = r->seed};
    changed.engine.ve_factor = r->ve_factor;
    changed.cooler.effectiveness_frac = r->effectiveness_frac;
    swl_match *match = test_match_new(&changed);
    double ratio = swl_drive_ratio(&build->drive, build->blower.gear_ratio);
    for (size_t i = 0; i < r->rows; i++) {
        swl_run_row *row = &run.rows[i];
        *row = (swl_run_row){.time_s = NAN, .throttle_frac = NAN, .line = (int)i + 2};
        for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
            row->value[k] = NAN;
        }
        size_t speeds = r->speeds < r->rows ? r->speeds : r->rows;
        row->engine_rpm = 1600 + 4700 * (double)(i * speeds / r->rows) / (double)(speeds - 1);
        double over_rpm = row->engine_rpm * ratio - r->onset_rpm;
        changed.drive.slip_frac = r->slip_frac + (over_rpm > 0 ? r->rise_per_rpm * over_rpm : 0);
        swl_point point = swl_match_point(match, row->engine_rpm);
        assert_int_equal(point.end, SWL_MATCH_SOLVED);
        keep(&run, row, r, &random, SWL_LOG_MANIFOLD_PRESSURE, point.p3_pa);
        if (r->temperature) {
            keep(&run, row, r, &random, SWL_LOG_CHARGE_TEMPERATURE, point.t3_k);
        }
        if (r->flow) {
            keep(&run, row, r, &random, SWL_LOG_MASS_FLOW, point.mdot_kg_s);
        }
        if (r->inlet) {
            keep(&run, row, r, &random, SWL_LOG_INLET_PRESSURE, point.p1_pa);
        }
        if (r->discharge) {
            keep(&run, row, r, &random, SWL_LOG_DISCHARGE_TEMPERATURE, point.t2_k);
        }
    }
    swl_match_free(match);
    return run;
}

/* The demo's own values, all columns that the fits want, one standard deviation of noise. */
static recipe recipe_plain(void)
{
    return (recipe){.slip_frac = 0.008,
                    .ve_factor = 1,
                    .effectiveness_frac = 0.70,
                    .onset_rpm = 1e9,
                    .noise = 1,
                    .rows = 80,
                    .speeds = 20,
                    .seed = 1,
                    .temperature = true,
                    .flow = true};
}

static swl_build demo(void)
{
    return test_build_load("maps/estate-roots.ini");
}

static swl_log log_of(const swl_build *build, const swl_run *run)
{
    swl_log log;
    swl_err err = {0};
    if (swl_log_run(build, run, &log, &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
    return log;
}

static const swl_log_fit *fit_named(const swl_log *log, const char *name)
{
    for (size_t i = 0; i < log->fit_count; i++) {
        if (strcmp(log->fits[i].name, name) == 0) {
            return &log->fits[i];
        }
    }
    fail_msg("no fit %s", name);
    return NULL;
}

/* Without noise and change the run is the prediction: no residual, nothing fitted away from the build. */
static void run_of_the_build_itself_agrees(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    r.noise = 0;
    swl_run run = run_make(&build, &r);
    swl_log log = log_of(&build, &run);
    assert_int_equal(log.count, r.rows);
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        if (log.has[k]) {
            swl_near_abs(0, log.residuals[k].rms, 1e-6);
        }
    }
    assert_int_equal(log.best, 0);
    assert_true(log.agrees);
    const swl_log_fit *joint = fit_named(&log, "joint");
    swl_near_abs(0.008, joint->values[0].value, 1e-8);
    swl_near_abs(1, joint->values[1].value, 1e-8);
    swl_near_abs(0.70, joint->values[2].value, 1e-8);
    swl_log_free(&log);
    swl_run_free(&run);
    swl_build_free(&build);
}

/* Without noise every truth is found: exactly where the model is solved at each row, to a hundredth of what a sensor
 * shows where it is laid through nodes. */
static void truth_without_noise_is_found(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    r.noise = 0;
    r.slip_frac = 0.05;
    r.ve_factor = 0.93;
    r.effectiveness_frac = 0.55;
    static const size_t rows[] = {40, 450};
    static const double tolerances[] = {1e-7, 5e-5};
    for (size_t i = 0; i < 2; i++) {
        r.rows = r.speeds = rows[i];
        swl_run run = run_make(&build, &r);
        swl_log log = log_of(&build, &run);
        const swl_log_fit *joint = fit_named(&log, "joint");
        assert_int_equal(log.fits[log.best].cause, SWL_CAUSE_SLIP_AND_VE);
        assert_true(joint->converged);
        swl_near_abs(0.05, joint->values[0].value, tolerances[i]);
        swl_near_abs(0.93, joint->values[1].value, tolerances[i]);
        swl_near_abs(0.55, joint->values[2].value, tolerances[i]);
        assert_true(joint->chi2 < 1e-2 && joint->chi2_before > 100);
        swl_log_free(&log);
        swl_run_free(&run);
    }
    swl_build_free(&build);
}

/* Over many runs the 95 % interval of each value covers its truth about as often, and is about as wide as the values
 * scatter. With 60 runs 51 or fewer would be seen 1 time in 500. */
static void intervals_cover_the_truth(void **state)
{
    (void)state;
    enum { RUNS = 60 };
    swl_build build = demo();
    recipe r = recipe_plain();
    r.slip_frac = 0.06;
    r.ve_factor = 0.95;
    r.effectiveness_frac = 0.60;
    r.rows = 30;
    r.speeds = 5;
    const double truth[3] = {r.slip_frac, r.ve_factor, r.effectiveness_frac};
    int covered[3] = {0, 0, 0};
    double square[3] = {0, 0, 0};
    double width[3] = {0, 0, 0};
    for (int n = 0; n < RUNS; n++) {
        r.seed = 1000U + (uint64_t)n;
        swl_run run = run_make(&build, &r);
        swl_log log = log_of(&build, &run);
        const swl_log_fit *joint = fit_named(&log, "joint");
        assert_true(joint->converged);
        for (size_t k = 0; k < 3; k++) {
            const swl_log_value *value = &joint->values[k];
            assert_false(value->at_bound);
            covered[k] += value->low <= truth[k] && truth[k] <= value->high;
            square[k] += (value->value - truth[k]) * (value->value - truth[k]) / RUNS;
            width[k] += value->half_width / RUNS;
        }
        swl_log_free(&log);
        swl_run_free(&run);
    }
    for (size_t k = 0; k < 3; k++) {
        assert_true(covered[k] >= 52 && covered[k] <= RUNS);
        swl_near(1.97 * sqrt(square[k]), width[k], 0.3);
    }
    swl_build_free(&build);
}

/* The finding of a log in one text. */
static void finding_of(const swl_build *build, const swl_log *log, swl_buf *out)
{
    swl_notes notes = {0};
    swl_log_finding(&notes, build, log, SWL_UNITS_SI);
    assert_false(notes.failed);
    assert_true(notes.count >= 3 && notes.count <= 6);
    for (size_t i = 0; i < notes.count; i++) {
        swl_buf_printf(out, "%s\n", notes.items[i]);
    }
    swl_notes_free(&notes);
}

/* Lays a run over the demo build. Returns: the cause found; its finding goes to text. */
static swl_log_cause explain(const recipe *r, swl_buf *text, bool *cooler, double *margin)
{
    swl_build build = demo();
    swl_run run = run_make(&build, r);
    swl_log log = log_of(&build, &run);
    finding_of(&build, &log, text);
    swl_log_cause cause = log.fits[log.best].cause;
    *cooler = log.fits[log.best].cooler;
    *margin = log.best_margin;
    swl_log_free(&log);
    swl_run_free(&run);
    swl_build_free(&build);
    return cause;
}

static void each_scenario_is_named(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        bool cooler = false;
        double margin = 0;
        recipe r = recipe_plain();
        r.seed = seed;
        swl_buf text = {0};
        assert_int_equal(explain(&r, &text, &cooler, &margin), SWL_CAUSE_NONE);
        assert_false(cooler);
        text_has(&text, "agrees with the prediction within the noise");
        text_lacks(&text, "explains it best");
        swl_buf_free(&text);
        /* Boost falls short at high blower speed only. */
        r.rise_per_rpm = 4e-5;
        r.onset_rpm = 7500;
        assert_int_equal(explain(&r, &text, &cooler, &margin), SWL_CAUSE_SLIP_ONSET);
        assert_false(cooler);
        assert_true(margin > 10);
        text_has(&text, "Belt slip explains it best that starts at a blower speed of");
        text_has(&text, "clearly against");
        text_has(&text, "bypass valve");
        swl_buf_free(&text);
        /* Boost is short everywhere in proportion, the air flow is not. */
        r = recipe_plain();
        r.seed = seed;
        r.ve_factor = 1.12;
        assert_int_equal(explain(&r, &text, &cooler, &margin), SWL_CAUSE_VE);
        text_has(&text, "off in proportion everywhere");
        text_has(&text, "pressure sensor that reads low");
        swl_buf_free(&text);
        /* The same at all speeds with less air. */
        r = recipe_plain();
        r.seed = seed;
        r.slip_frac = 0.10;
        assert_int_equal(explain(&r, &text, &cooler, &margin), SWL_CAUSE_SLIP);
        text_has(&text, "at all speeds");
        swl_buf_free(&text);
        /* The cooler alone. */
        r = recipe_plain();
        r.seed = seed;
        r.effectiveness_frac = 0.45;
        r.discharge = true;
        assert_int_equal(explain(&r, &text, &cooler, &margin), SWL_CAUSE_NONE);
        assert_true(cooler);
        text_has(&text, "hotter than predicted");
        text_has(&text, "cooler effectiveness of");
        text_has(&text, "both measured temperatures alone give an effectiveness of 4");
        text_lacks(&text, "Not told apart");
        swl_buf_free(&text);
    }
}

/* A charge that is colder than predicted asks for a better cooler, colder coolant or a colder discharge. */
static void direction_of_the_cooler_is_right(void **state)
{
    (void)state;
    static const struct {
        double effectiveness_frac;
        const char *charge, *others;
    } rows[] = {
        {0.85, "colder than predicted on average", "colder coolant or a colder discharge"},
        {0.55, "hotter than predicted on average", "warmer coolant or a hotter discharge"},
    };
    for (size_t i = 0; i < 2; i++) {
        recipe r = recipe_plain();
        r.rows = 20;
        r.effectiveness_frac = rows[i].effectiveness_frac;
        swl_buf text = {0};
        bool cooler = false;
        double margin = 0;
        (void)explain(&r, &text, &cooler, &margin);
        assert_true(cooler);
        text_has(&text, rows[i].charge);
        text_has(&text, rows[i].others);
        swl_buf_free(&text);
    }
}

static size_t adopted(const swl_log *log)
{
    swl_notes lines = {0};
    swl_log_adopt(&lines, log);
    for (size_t i = 0; i < lines.count; i++) {
        assert_non_null(strstr(lines.items[i], " +- "));
    }
    size_t count = lines.count;
    swl_notes_free(&lines);
    return count;
}

/* Boost far below the prediction and without pattern: every fit ends at a bound or without knowing its value. None is
 * taken, and nothing is offered for the build file. */
static void fits_at_bounds_or_unsure_are_not_taken(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    r.noise = 0;
    r.rows = 6;
    r.temperature = r.flow = false;
    static const double shares[2][6] = {{0.2, 0.5, 0.2, 0.5, 0.2, 0.5}, {1.5, 0.4, 1.6, 0.5, 1.4, 0.6}};
    for (size_t i = 0; i < 2; i++) {
        swl_run run = run_make(&build, &r);
        run.from_boost = true;
        for (size_t k = 0; k < run.count; k++) {
            double *p_pa = &run.rows[k].value[SWL_LOG_MANIFOLD_PRESSURE];
            *p_pa = build.site.p_pa + shares[i][k] * (*p_pa - build.site.p_pa);
        }
        swl_log log = log_of(&build, &run);
        for (size_t k = 1; k < log.fit_count; k++) {
            for (size_t v = 0; v < log.fits[k].count; v++) {
                const swl_log_value *value = &log.fits[k].values[v];
                bool other =
                    value->parameter == SWL_FIT_SLIP_ONSET || value->low > value->stated || value->high < value->stated;
                assert_false(log.fits[k].stands && (value->at_bound || !other));
            }
        }
        assert_true(log.fits_made > 0 && log.fits[log.best].stands);
        assert_false(log.agrees);
        if (log.best == 0) {
            swl_buf text = {0};
            finding_of(&build, &log, &text);
            text_has(&text, "but neither slip, volumetric efficiency nor the cooler explains it");
            text_lacks(&text, "clearly");
            swl_buf_free(&text);
            assert_int_equal(adopted(&log), 0);
        }
        assert_int_equal(i == 1 ? log.best : 0, 0);
        swl_log_free(&log);
        swl_run_free(&run);
    }
    swl_build_free(&build);
}

/* A value that is at a bound, unsettled or less sure than it is large is not offered, whoever chose its fit. */
static void adopted_values_are_sure(void **state)
{
    (void)state;
    swl_log log = {.fit_count = 2, .best = 1, .fits_made = 1};
    swl_log_fit *fit = &log.fits[1];
    *fit = (swl_log_fit){.cause = SWL_CAUSE_SLIP, .count = 1, .stands = true, .converged = true};
    fit->values[0] = (swl_log_value){.parameter = SWL_FIT_SLIP, .value = 0.05, .half_width = 0.01};
    assert_int_equal(adopted(&log), 1);
    fit->converged = false;
    assert_int_equal(adopted(&log), 0);
    fit->converged = true;
    fit->stands = false;
    assert_int_equal(adopted(&log), 0);
    fit->stands = true;
    fit->values[0].half_width = 0.06;
    assert_int_equal(adopted(&log), 0);
    fit->values[0].half_width = NAN;
    assert_int_equal(adopted(&log), 0);
    /* What is too sure for its decimals keeps its half-width. */
    fit->values[0].half_width = 1e-9;
    assert_int_equal(adopted(&log), 1);
}

/* AICc counts the chi2 that is printed, over the one spread that is told. */
static void scores_follow_from_chi2(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    r.noise = 4;
    r.rows = 20;
    swl_run run = run_make(&build, &r);
    swl_log log = log_of(&build, &run);
    assert_true(log.spread > 4);
    for (size_t i = 0; i < log.fit_count; i++) {
        const swl_log_fit *fit = &log.fits[i];
        double k = (double)fit->count;
        double n = (double)fit->readings;
        if (fit->failure == NULL) {
            swl_near(fit->chi2 / log.spread + 2 * k + 2 * k * (k + 1) / (n - k - 1), fit->aicc, 1e-12);
        } else {
            swl_is_nan(fit->aicc);
        }
    }
    swl_log_free(&log);
    swl_run_free(&run);
    swl_build_free(&build);
}

/* With nothing but boost, slip and volumetric efficiency look alike, and that is said. */
static void boost_alone_does_not_tell_slip_from_breathing(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    r.temperature = false;
    r.flow = false;
    r.slip_frac = 0.06;
    swl_run run = run_make(&build, &r);
    swl_log log = log_of(&build, &run);
    const swl_log_fit *joint = fit_named(&log, "joint");
    assert_int_equal(joint->count, 2);
    assert_true(fabs(joint->correlation) > SWL_LOG_COLLINEAR);
    assert_true(log.best_margin < SWL_LOG_AHEAD);
    swl_buf text = {0};
    finding_of(&build, &log, &text);
    text_has(&text, "cannot tell it from");
    text_has(&text, "No charge temperature was measured");
    swl_buf_free(&text);
    swl_notes notes = {0};
    swl_notes_log(&notes, &build, &run, &log, SWL_UNITS_SI);
    for (size_t i = 0; i < notes.count; i++) {
        swl_buf_puts(&text, notes.items[i]);
    }
    text_has(&text, "the same way");
    text_has(&text, "a mass flow column would");
    swl_buf_free(&text);
    swl_notes_free(&notes);
    swl_log_free(&log);
    swl_run_free(&run);
    swl_build_free(&build);
}

/* More boost than the drive can make asks for slip below nothing: held at nothing, and told. */
static void value_out_of_bounds_is_held_and_told(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    r.ve_factor = 0.85;
    swl_run run = run_make(&build, &r);
    swl_log log = log_of(&build, &run);
    const swl_log_value *slip = &fit_named(&log, "slip")->values[0];
    assert_true(slip->at_bound);
    swl_near_abs(0, slip->value, 1e-15);
    assert_true(slip->wanted < -0.01);
    assert_false(fit_named(&log, "slip")->stands);
    swl_notes notes = {0};
    swl_buf text = {0};
    swl_notes_log(&notes, &build, &run, &log, SWL_UNITS_SI);
    for (size_t i = 0; i < notes.count; i++) {
        swl_buf_puts(&text, notes.items[i]);
    }
    text_has(&text, "Fit \"belt slip\": slip would have to be -");
    swl_buf_free(&text);
    swl_notes_free(&notes);
    swl_is_nan(slip->half_width);
    assert_int_equal(log.fits[log.best].cause, SWL_CAUSE_VE);
    swl_notes adopt = {0};
    swl_log_adopt(&adopt, &log);
    assert_int_equal(adopt.count, 1);
    assert_non_null(strstr(adopt.items[0], "[engine] volumetric_efficiency_factor = 0.8"));
    swl_notes_free(&adopt);
    swl_log_free(&log);
    swl_run_free(&run);
    swl_build_free(&build);
}

static void gauge_for_absolute_is_seen(void **state)
{
    (void)state;
    swl_build build = demo();
    for (int sign = -1; sign <= 1; sign += 2) {
        recipe r = recipe_plain();
        swl_run run = run_make(&build, &r);
        run.from_boost = sign > 0;
        for (size_t i = 0; i < run.count; i++) {
            run.rows[i].value[SWL_LOG_MANIFOLD_PRESSURE] += sign * build.site.p_pa;
        }
        swl_log log = log_of(&build, &run);
        assert_int_equal(log.gauge, sign);
        assert_true(log.unjudged);
        swl_is_nan(log.rows[0].p_ratio);
        assert_int_equal(log.best, 0);
        assert_non_null(fit_named(&log, "joint")->failure);
        swl_buf text = {0};
        finding_of(&build, &log, &text);
        text_has(&text, sign < 0 ? "a gauge pressure that was given as an absolute one"
                                 : "an absolute pressure that was given as boost");
        swl_buf_free(&text);
        swl_log_free(&log);
        swl_run_free(&run);
    }
    swl_build_free(&build);
}

/* A gauge reading in an absolute column is suspect whatever the boost really is, from a little below the prediction to
 * far above it; its limit is not judged then, and what it would be the other way round is told. */
static void gauge_reading_hides_no_overboost(void **state)
{
    (void)state;
    swl_build build = demo();
    for (double boost_pa = 20e3; boost_pa < 106e3; boost_pa += 5e3) {
        recipe r = recipe_plain();
        r.temperature = r.flow = false;
        r.rows = 6;
        swl_run run = run_make(&build, &r);
        for (size_t i = 0; i < run.count; i++) {
            run.rows[i].value[SWL_LOG_MANIFOLD_PRESSURE] = boost_pa;
        }
        swl_log log = log_of(&build, &run);
        assert_int_equal(log.gauge, -1);
        assert_true(log.unjudged && !log.exceeded);
        assert_string_equal(log.limits[0].row.name, "boost");
        assert_false(log.limits[0].judged);
        swl_near(boost_pa, log.limits[0].otherwise, 1e-12);
        swl_is_nan(log.limits[0].row.margin_frac);
        assert_string_equal(log.limits[1].row.name, "manifold_pressure_sensor");
        assert_false(log.limits[1].judged);
        assert_true(log.limits[2].judged);
        swl_log_free(&log);
        swl_run_free(&run);
    }
    /* Half the predicted boost, or twice, is no mix-up. */
    for (double share = 0.5; share <= 2; share += 1.5) {
        recipe r = recipe_plain();
        r.noise = 0;
        r.rows = 6;
        swl_run run = run_make(&build, &r);
        for (size_t i = 0; i < run.count; i++) {
            double *p_pa = &run.rows[i].value[SWL_LOG_MANIFOLD_PRESSURE];
            *p_pa = build.site.p_pa + share * (*p_pa - build.site.p_pa);
        }
        for (int from_boost = 0; from_boost < 2; from_boost++) {
            run.from_boost = from_boost != 0;
            swl_log log = log_of(&build, &run);
            assert_int_equal(log.gauge, 0);
            assert_false(log.unjudged);
            assert_int_equal(log.exceeded, share > 1);
            swl_log_free(&log);
        }
        swl_run_free(&run);
    }
    swl_build_free(&build);
}

/* A limit is held against every row, used or not. */
static void limits_hold_in_rows_left_out(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    swl_run run = run_make(&build, &r);
    swl_log log = log_of(&build, &run);
    assert_false(log.exceeded);
    swl_log_free(&log);
    run.has_throttle = true;
    for (size_t i = 0; i < run.count; i++) {
        run.rows[i].throttle_frac = i < 3 ? 0.5 : 1;
    }
    run.rows[1].value[SWL_LOG_MANIFOLD_PRESSURE] = build.site.p_pa + 71e3;
    run.rows[5].engine_rpm = 8200; /* 14008 rpm of the blower, over its 13500 */
    run.rows[6].engine_rpm = 900;
    log = log_of(&build, &run);
    assert_int_equal(log.part_throttle, 3);
    assert_int_equal(log.outside, 2);
    assert_int_equal(log.count, r.rows - 5);
    assert_true(log.exceeded);
    assert_string_equal(log.limits[0].row.name, "boost");
    assert_int_equal(log.limits[0].row.verdict, SWL_EXCEEDED);
    assert_int_equal(log.limits[0].over, 1);
    assert_int_equal(log.limits[0].line, run.rows[1].line);
    swl_near(71e3, log.limits[0].row.value, 1e-12);
    const swl_log_limit *speed = &log.limits[log.limit_count - 1];
    assert_string_equal(speed->row.name, "short_time_speed");
    assert_int_equal(speed->row.verdict, SWL_EXCEEDED);
    swl_log_free(&log);
    for (size_t i = 0; i < run.count; i++) {
        run.rows[i].throttle_frac = 0.5;
    }
    swl_err err = {0};
    assert_int_equal(swl_log_run(&build, &run, &log, &err), SWL_ERR_INPUT);
    swl_run_free(&run);
    swl_build_free(&build);
}

/* A single row, two rows, rows at one speed: residuals, and no fit that the rows do not carry. */
static void few_rows_fit_little(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    r.rows = 8;
    swl_run run = run_make(&build, &r);
    for (size_t count = 1; count <= 3; count++) {
        run.count = count;
        swl_log log = log_of(&build, &run);
        assert_int_equal(log.count, count);
        assert_non_null(fit_named(&log, "slip_onset")->failure);
        /* One row has three readings here: enough for one value. */
        assert_true(log.fits_made > 0);
        for (size_t i = 1; i < log.fit_count; i++) {
            const swl_log_fit *fit = &log.fits[i];
            assert_true(fit->failure != NULL || fit->degrees_of_freedom >= 2);
        }
        swl_log_free(&log);
    }
    /* Two readings of boost alone say nothing of anything. */
    for (size_t i = 0; i < 2; i++) {
        run.rows[i].value[SWL_LOG_CHARGE_TEMPERATURE] = run.rows[i].value[SWL_LOG_MASS_FLOW] = NAN;
    }
    for (run.count = 1; run.count <= 2; run.count++) {
        swl_log few = log_of(&build, &run);
        assert_int_equal(few.fits_made, 0);
        assert_false(few.agrees);
        swl_is_nan(few.fits[0].aicc);
        swl_is_nan(few.residuals[SWL_LOG_MANIFOLD_PRESSURE].mean_after);
        swl_buf text = {0};
        finding_of(&build, &few, &text);
        text_has(&text, run.count == 1 ? "Nothing could be fitted to 1 reading, so" : "fitted to 2 readings, so");
        text_has(&text, run.count == 1 ? "Over 1 row the" : "Over 2 rows the");
        text_lacks(&text, "is called for");
        text_lacks(&text, "nan");
        swl_buf_free(&text);
        swl_log_free(&few);
    }
    run.count = 8;
    for (size_t i = 0; i < 8; i++) {
        run.rows[i].engine_rpm = 3000;
    }
    swl_log log = log_of(&build, &run);
    assert_int_equal(log.bin_count, 1);
    assert_int_equal(log.bins[0].count, 8);
    swl_is_nan(log.shape.slope_frac_rpm);
    swl_log_free(&log);
    swl_run_free(&run);
    swl_build_free(&build);
}

/* Where a measured point stands on the map: with the model's own flow it is the model's own place. */
static void measured_point_stands_on_the_map(void **state)
{
    (void)state;
    swl_build build = demo();
    recipe r = recipe_plain();
    r.noise = 0;
    r.inlet = true;
    swl_run run = run_make(&build, &r);
    swl_log log = log_of(&build, &run);
    swl_match *match = test_match_new(&build);
    for (size_t i = 0; i < log.count; i++) {
        swl_point point = swl_match_point(match, log.rows[i].measured->engine_rpm);
        swl_near(point.map_vdot_m3_s, log.rows[i].map_vdot_m3_s, 1e-9);
        swl_near(point.p_ratio, log.rows[i].p_ratio, 1e-9);
    }
    swl_match_free(match);
    swl_log_free(&log);
    swl_run_free(&run);
    swl_build_free(&build);
}

static size_t count_of(const swl_buf *text, const char *words)
{
    size_t count = 0;
    for (const char *at = strstr(swl_buf_text(text), words); at != NULL; at = strstr(at + 1, words)) {
        count++;
    }
    return count;
}

/* A run adds its markers and its bars, and takes the panels away that hold no reading. */
static void run_is_drawn(void **state)
{
    (void)state;
    scene s;
    scene_demo(&s);
    recipe r = recipe_plain();
    r.discharge = true;
    swl_run run = run_make(&s.build, &r);
    swl_log log = log_of(&s.build, &run);
    const swl_picture picture = picture_of(SWL_FORMAT_SVG, 1600, 1000, 96);
    swl_buf without = draw(&s, picture);
    s.chart.log = &log;
    swl_buf with = draw(&s, picture);
    /* Four curves' markers and bars and the map's markers: nine paths a bin. */
    assert_true(count_of(&with, "<path") > 8 * log.bin_count);
    assert_true(with.len != without.len);
    assert_int_equal(count_of(&with, "nan"), 0);
    log.bin_count = 1;
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        log.bins[0].measured[k] = log.bins[0].low[k] = log.bins[0].high[k] = NAN;
    }
    log.bins[0].map_vdot_m3_s = log.bins[0].p_ratio = NAN;
    swl_buf empty = draw(&s, picture);
    assert_int_equal(count_of(&empty, "nan"), 0);
    swl_buf_free(&without);
    swl_buf_free(&with);
    swl_buf_free(&empty);
    swl_log_free(&log);
    swl_run_free(&run);
    scene_close(&s);
}

static swl_status load(const char *text, swl_run *run, swl_diags *diags)
{
    memory_text file = {text};
    const swl_source source = {.read = memory_text_read, .context = &file};
    swl_err err = {0};
    return swl_run_load(&source, "run.csv", 99000, run, diags, &err);
}

static void units_and_names_are_read(void **state)
{
    (void)state;
    swl_run run;
    swl_diags diags = {0};
    static const char text[] =
        "Time [ms];ENGINE_SPEED [rpm];boost [psi];charge temperature [degF];air mass flow [lb/min];"
        "throttle;crank power [hp];oil [bar]\n"
        "0;2000;10;140;20;1;100;3\n# a comment\n"
        "500;2500;;150;;0.97;;3\n"
        "1000;3000;12;;30;0.99;;3\n";
    assert_int_equal(load(text, &run, &diags), SWL_OK);
    assert_int_equal(run.rows_read, 3);
    assert_int_equal(run.count, 2);
    assert_int_equal(run.without, 1);
    assert_int_equal(run.rows[1].line, 5);
    assert_true(run.from_boost && run.has_throttle && run.has_time);
    swl_near(99000 + 10 * 6894.757293168, run.rows[0].value[SWL_LOG_MANIFOLD_PRESSURE], 1e-12);
    swl_near(333.15, run.rows[0].value[SWL_LOG_CHARGE_TEMPERATURE], 1e-12);
    swl_near(20 * 0.45359237 / 60, run.rows[0].value[SWL_LOG_MASS_FLOW], 1e-12);
    swl_near(74569.98715822702, run.rows[0].value[SWL_LOG_CRANK_POWER], 1e-12);
    swl_near(1, run.rows[1].time_s, 1e-15);
    swl_is_nan(run.rows[1].value[SWL_LOG_CHARGE_TEMPERATURE]);
    assert_int_equal(run.gaps[SWL_LOG_CHARGE_TEMPERATURE], 1);
    assert_int_equal(run.gaps[SWL_LOG_MASS_FLOW], 1);
    assert_int_equal(diags.errors, 0);
    /* oil is ignored, three columns have gaps, and a row is left out. */
    assert_int_equal(diags.count, 5);
    swl_run_free(&run);
    swl_diag_free(&diags);
}

/* `rpm` is a name and a unit at once; another column that names none is told by the name that the file gives it. */
static void headers_are_told_as_written(void **state)
{
    (void)state;
    swl_run run;
    swl_diags diags = {0};
    static const char bare[] = "RPM,boost [kPa]\n2000,40\n";
    assert_int_equal(load(bare, &run, &diags), SWL_OK);
    assert_int_equal(diags.count, 0);
    swl_near(2000, run.rows[0].engine_rpm, 1e-15);
    swl_run_free(&run);
    static const char flow[] = "rpm,boost [kPa],Air_Mass_Flow\n2000,40,3\n";
    assert_int_equal(load(flow, &run, &diags), SWL_ERR_INPUT);
    assert_int_equal(diags.count, 1);
    assert_non_null(
        strstr(diags.items[0].message, "column `Air_Mass_Flow` names no unit; write it as `Air_Mass_Flow ["));
    swl_diag_free(&diags);
    static const char tabs[] = "engine speed [rpm]\tboost [psi]\n2000\t6.8\n";
    assert_int_equal(load(tabs, &run, &diags), SWL_ERR_INPUT);
    assert_non_null(strstr(diags.items[0].message, "commas or semicolons between them are accepted"));
    swl_diag_free(&diags);
}

/* As many rows as are accepted, and one more. */
static void rows_are_counted(void **state)
{
    (void)state;
    for (int more = 0; more < 2; more++) {
        swl_buf text = {0};
        swl_buf_puts(&text, "engine speed [rpm],manifold pressure [kPa]\n");
        for (int i = 0; i < SWL_RUN_ROWS_MAX + more; i++) {
            swl_buf_printf(&text, "%d,150\n", 2000 + i % 4000);
        }
        swl_run run;
        swl_diags diags = {0};
        swl_status status = load(text.bytes, &run, &diags);
        assert_int_equal(status, more ? SWL_ERR_INPUT : SWL_OK);
        if (!more) {
            assert_int_equal(run.rows[SWL_RUN_ROWS_MAX - 1].line, SWL_RUN_ROWS_MAX + 1);
            swl_run_free(&run);
        }
        swl_diag_free(&diags);
        swl_buf_free(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(run_of_the_build_itself_agrees),
        cmocka_unit_test(truth_without_noise_is_found),
        cmocka_unit_test(intervals_cover_the_truth),
        cmocka_unit_test(each_scenario_is_named),
        cmocka_unit_test(direction_of_the_cooler_is_right),
        cmocka_unit_test(fits_at_bounds_or_unsure_are_not_taken),
        cmocka_unit_test(adopted_values_are_sure),
        cmocka_unit_test(scores_follow_from_chi2),
        cmocka_unit_test(boost_alone_does_not_tell_slip_from_breathing),
        cmocka_unit_test(value_out_of_bounds_is_held_and_told),
        cmocka_unit_test(gauge_for_absolute_is_seen),
        cmocka_unit_test(gauge_reading_hides_no_overboost),
        cmocka_unit_test(limits_hold_in_rows_left_out),
        cmocka_unit_test(few_rows_fit_little),
        cmocka_unit_test(measured_point_stands_on_the_map),
        cmocka_unit_test(run_is_drawn),
        cmocka_unit_test(units_and_names_are_read),
        cmocka_unit_test(headers_are_told_as_written),
        cmocka_unit_test(rows_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
