/* Spread: quantiles and inputs against closed forms, whole runs against analytic propagation and against themselves. */
#include "support/near.h"

#include "support/builds.h"
#include "sweptline/report.h"
#include "sweptline/spread.h"

#include <gsl/gsl_cdf.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Quantile of the standard normal at 95 %, tables of the distribution, from memory, sure. */
#define Z95 1.6448536269514722
#define Z975 1.959963984540054

static void quantiles_of_a_normal(void **state)
{
    (void)state;
    enum { COUNT = 4096 };
    static double values[COUNT];
    swl_input input = {.middle = 10, .half_width = 2 * Z975, .low = -1e3, .high = 1e3};
    for (size_t i = 0; i < COUNT; i++) {
        /* In no order. */
        values[(i * 1597) % COUNT] = swl_spread_value(&input, ((double)i + 0.5) / COUNT);
    }
    swl_interval got = swl_spread_interval(values, COUNT);
    swl_near(10 - 2 * Z95, got.p05, 1e-3);
    swl_near(10, got.p50, 1e-9);
    swl_near(10 + 2 * Z95, got.p95, 1e-3);
}

/* The binomial tails at both ends of the interval are 2.5 %, the larger side is told, and none is missing. */
static void shares_have_the_interval_of_clopper_and_pearson(void **state)
{
    (void)state;
    const size_t of[] = {17, 4096, 131072};
    for (size_t n = 0; n < 3; n++) {
        for (size_t k = 0; k <= 300 && k <= of[n]; k++) {
            double error = swl_spread_share_error(k, of[n]);
            double share = (double)k / (double)of[n];
            assert_true(error > 0 && error < 1);
            double low = gsl_cdf_binomial_Q(k == 0 ? 0 : (unsigned)k - 1, fmax(0, share - error), (unsigned)of[n]);
            double high = gsl_cdf_binomial_P((unsigned)k, fmin(1, share + error), (unsigned)of[n]);
            bool low_told = k > 0 && fabs(low - 0.025) < 1e-9;
            bool high_told = k < of[n] && fabs(high - 0.025) < 1e-9;
            assert_true(low_told || high_told);
            assert_true(k == 0 || low < 0.025 + 1e-9);
            assert_true(k == of[n] || high < 0.025 + 1e-9);
        }
    }
}

/* A sample that no file may state is left out and counted, not solved. */
static void samples_that_cannot_be_are_counted(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    assert_true(swl_build_sound(&build));
    build.intake.adapter_bore_m = 0.080;
    build.intake.inlet_bore_m = 0.080;
    assert_true(swl_build_sound(&build));
    build.inputs[build.input_count++] = (swl_input){.section = "intake",
                                                    .name = "adapter_bore",
                                                    .offset = offsetof(swl_build, intake.adapter_bore_m),
                                                    .middle = 0.080,
                                                    .half_width = 0.004,
                                                    .low = 0.005,
                                                    .high = 0.5};
    swl_spread spread;
    swl_spread_options options = {.samples = 512, .seed = 1, .threads = 1};
    swl_check check = test_check_run(&build);
    assert_int_equal(swl_spread_run(&build, &check, &options, &spread, NULL), SWL_OK);
    swl_near_abs(0.5, spread.no_point_frac, 0.02);
    swl_spread_free(&spread);
    swl_check_free(&check);
    build.site = (swl_site){.t_k = 343.15, .p_pa = 40e3, .rh_frac = 0.9, .altitude_m = NAN};
    assert_false(swl_build_sound(&build));
    swl_build_free(&build);
}

static void intervals_count_what_is_there(void **state)
{
    (void)state;
    double values[] = {NAN, 3, INFINITY, 1, NAN, 2};
    swl_interval got = swl_spread_interval(values, 6);
    swl_near(1.1, got.p05, 1e-12);
    swl_near(2, got.p50, 1e-12);
    swl_near(2.9, got.p95, 1e-12);
    double none[] = {NAN, NAN};
    swl_is_nan(swl_spread_interval(none, 2).p50);
    double one[] = {NAN, 4};
    swl_near(4, swl_spread_interval(one, 2).p05, 0);
}

/* Cut at the middle a normal is folded: its median is the middle and the quartile of the normal further. */
static void inputs_are_cut(void **state)
{
    (void)state;
    swl_input half = {.middle = 0, .half_width = Z975, .low = 0, .high = 50};
    swl_near(0.6744897501960817, swl_spread_value(&half, 0.5), 1e-9);
    swl_input both = {.middle = 1, .half_width = 10, .low = 0.5, .high = 1.5};
    double before = 0.5;
    for (int i = 0; i <= 1000; i++) {
        double share = i == 0 ? 1e-10 : i == 1000 ? 1 - 1e-10 : i / 1000.0;
        double value = swl_spread_value(&both, share);
        assert_true(value >= before && value <= 1.5);
        before = value;
    }
    swl_near(1, swl_spread_value(&both, 0.5), 1e-12);
    /* Far beyond the ends nothing is cut. */
    swl_input wide = {.middle = 7, .half_width = 0.1, .low = -1e6, .high = 1e6};
    swl_near(7 + 0.1, swl_spread_value(&wide, 0.975), 1e-9);
}

static swl_input input_at(size_t offset, double middle, double half_width, double low, double high)
{
    return (swl_input){.section = "test",
                       .name = "input",
                       .offset = offset,
                       .middle = middle,
                       .half_width = half_width,
                       .low = low,
                       .high = high};
}

static void give(swl_build *build, size_t offset, double half_width, double low, double high)
{
    double middle = *(const double *)(const void *)((const char *)build + offset);
    build->inputs[build->input_count++] = input_at(offset, middle, half_width, low, high);
}

static swl_spread spread_of(const swl_build *build, const swl_check *check, size_t samples, size_t threads)
{
    swl_spread_options options = {.samples = samples, .seed = 1, .threads = threads};
    swl_spread spread;
    swl_err err = {0};
    if (swl_spread_run(build, check, &options, &spread, &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
    return spread;
}

static const swl_spread_output *output_of(const swl_spread *spread, const char *name)
{
    for (size_t k = 0; k < spread->output_count; k++) {
        if (strcmp(spread->outputs[k].name, name) == 0) {
            return &spread->outputs[k];
        }
    }
    fail_msg("no output %s", name);
    return NULL;
}

/* What a progress has heard, from any thread. */
typedef struct heard {
    atomic_size_t calls;
    atomic_size_t most;
    atomic_size_t of;
} heard;

static void hear(void *context, const char *what, size_t done, size_t of)
{
    heard *h = context;
    assert_non_null(what);
    assert_true(done <= of);
    atomic_fetch_add(&h->calls, 1);
    atomic_store(&h->of, of);
    size_t most = atomic_load(&h->most);
    while (done > most && !atomic_compare_exchange_weak(&h->most, &most, done)) {
    }
}

/* It is told up to the last build, and changes no figure. */
static void progress_is_told(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-tolerances.ini");
    swl_check check = test_check_run(&build);
    swl_spread silent = spread_of(&build, &check, 128, 2);
    heard h = {0};
    swl_progress progress = {.tell = hear, .context = &h};
    swl_spread_options options = {.samples = 128, .seed = 1, .threads = 2, .progress = &progress};
    swl_spread told;
    assert_int_equal(swl_spread_run(&build, &check, &options, &told, NULL), SWL_OK);
    assert_int_equal(atomic_load(&h.calls), 128);
    assert_int_equal(atomic_load(&h.most), told.builds);
    assert_int_equal(atomic_load(&h.of), told.builds);
    for (size_t k = 0; k < told.output_count; k++) {
        assert_memory_equal(&told.outputs[k].interval, &silent.outputs[k].interval, sizeof(swl_interval));
    }
    /* One that listens to nothing does no harm. */
    progress.tell = NULL;
    swl_progress_tell(&progress, "nothing", 1, 1);
    swl_progress_tell(NULL, "nothing", 1, 1);
    swl_spread_free(&silent);
    swl_spread_free(&told);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* The speed falls as the pulley grows, so its quantiles are its values at the pulley's. */
static void blower_speed_is_propagated(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_check check = test_check_run(&build);
    give(&build, offsetof(swl_build, drive.d_blower_m), 0.002, 0.02, 1);
    swl_spread spread = spread_of(&build, &check, 2048, 2);
    const double at_m[] = {0.092 + 0.002 / Z975 * Z95, 0.092, 0.092 - 0.002 / Z975 * Z95};
    double want[3];
    for (size_t k = 0; k < 3; k++) {
        swl_drive drive = build.drive;
        drive.d_blower_m = at_m[k];
        want[k] = 6400 * swl_drive_ratio(&drive, 1);
    }
    /* The samples' own error is about a fiftieth of a standard deviation, which is 1.1 % of the speed. */
    const swl_spread_output *output = output_of(&spread, "blower_speed_at_limit_rpm");
    swl_near(want[0], output->interval.p05, 2.2e-4);
    swl_near(want[1], output->interval.p50, 2.2e-4);
    swl_near(want[2], output->interval.p95, 2.2e-4);
    swl_near(want[1], output->middle, 1e-14);
    const swl_spread_row *last = &spread.rows[spread.row_count - 1];
    swl_near(want[2], last->of[SWL_SPREAD_BLOWER_NO_SLIP].p95, 2.2e-4);
    swl_near(want[2] * 0.992, last->of[SWL_SPREAD_BLOWER_SPEED].p95, 2.2e-4);
    /* One input has all of the variance. */
    swl_near(1, output->index[0].first, 1e-2);
    swl_near(1, output->index[0].total, 1e-2);
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* The margin of a limit of which only the limit itself is not known sure: closed form, and what is over it. */
static void an_uncertain_limit(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_check middle = test_check_run(&build);
    double peak_pa = middle.line[middle.line_count - 1].boost_pa;
    swl_check_free(&middle);
    /* A normal that is above the peak in 80 % of its cases: 0.8416 sigma. */
    double sigma_pa = 2000;
    build.limits.boost_pa = peak_pa + 0.8416212335729143 * sigma_pa;
    swl_check check = test_check_run(&build);
    give(&build, offsetof(swl_build, limits.boost_pa), Z975 * sigma_pa, 1e3, 7e5);
    swl_spread spread = spread_of(&build, &check, 2048, 2);
    for (size_t k = 0; k < spread.limit_count; k++) {
        const swl_spread_limit *limit = &spread.limits[k];
        assert_string_equal(limit->row.name, check.limits[k].name);
        assert_string_equal(limit->row.name, spread.outputs[limit->output].name);
        swl_near(0, limit->undecided_frac, 0);
        if (strcmp(limit->row.name, "boost") == 0) {
            swl_near_abs(0.2, limit->over_frac, limit->over_error_frac);
            assert_true(limit->over_error_frac < 0.02);
            double low_pa = build.limits.boost_pa - Z95 * sigma_pa;
            swl_near(1 - peak_pa / low_pa, spread.outputs[limit->output].interval.p05, 0.02);
        } else {
            swl_near(0, limit->over_frac, 0);
            assert_true(limit->over_error_frac > 0 && limit->over_error_frac < 0.002);
        }
    }
    /* Nothing but the margin moves. */
    swl_is_nan(output_of(&spread, "boost_peak_pa")->index[0].total);
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void shares_of_none_and_all(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.limits.boost_pa = 20e3;
    build.blower.continuous_rpm = 5000;
    swl_check check = test_check_run(&build);
    give(&build, offsetof(swl_build, drive.d_blower_m), 0.001, 0.02, 1);
    swl_spread spread = spread_of(&build, &check, 128, 1);
    size_t all = 0;
    for (size_t k = 0; k < spread.limit_count; k++) {
        bool over = check.limits[k].verdict == SWL_EXCEEDED;
        swl_near(over ? 1 : 0, spread.limits[k].over_frac, 0);
        assert_true(spread.limits[k].over_error_frac > 0.005);
        all += over;
    }
    assert_int_equal(all, 2);
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void same_spread(const swl_spread *a, const swl_spread *b)
{
    assert_memory_equal(a->rows, b->rows, a->row_count * sizeof *a->rows);
    assert_memory_equal(a->indices, b->indices, a->output_count * a->input_count * sizeof *a->indices);
    assert_memory_equal(a->outline_p_ratio, b->outline_p_ratio, a->outline_count * sizeof *a->outline_p_ratio);
    for (size_t k = 0; k < a->output_count; k++) {
        assert_memory_equal(&a->outputs[k].interval, &b->outputs[k].interval, sizeof a->outputs[k].interval);
    }
}

static void threads_change_no_digit(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-tolerances.ini");
    swl_check check = test_check_run(&build);
    swl_spread one = spread_of(&build, &check, 128, 1);
    for (size_t threads = 2; threads < 40; threads += 5) {
        swl_spread many = spread_of(&build, &check, 128, threads);
        same_spread(&one, &many);
        swl_spread_free(&many);
    }
    swl_spread_free(&one);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void wider_inputs_widen_results(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-tolerances.ini");
    swl_check check = test_check_run(&build);
    swl_spread narrow = spread_of(&build, &check, 256, 2);
    for (size_t i = 0; i < build.input_count; i++) {
        build.inputs[i].half_width /= 2;
    }
    swl_spread half = spread_of(&build, &check, 256, 2);
    for (size_t i = 0; i < narrow.row_count; i++) {
        for (size_t q = 0; q < SWL_SPREAD_QUANTITIES; q++) {
            const swl_interval *wide_of = &narrow.rows[i].of[q];
            const swl_interval *half_of = &half.rows[i].of[q];
            if (q != SWL_SPREAD_WHEEL_POWER) {
                double ratio = (wide_of->p95 - wide_of->p05) / (half_of->p95 - half_of->p05);
                swl_near_row("half-widths twice as large", 2, ratio, 0.15);
                assert_true(wide_of->p05 <= wide_of->p50 && wide_of->p50 <= wide_of->p95);
            } else {
                swl_is_nan(wide_of->p50);
            }
        }
    }
    swl_spread_free(&narrow);
    swl_spread_free(&half);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* With a steep map outside its ends half of the samples at the rev limit are faster than the map's fastest line. */
static void off_map_is_counted(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    build.blower.disp_m3_rev = 0.4e-3;
    build.drive.d_crank_m = 0.2;
    build.drive.d_blower_m = 0.07;
    swl_check check = test_check_run(&build);
    give(&build, offsetof(swl_build, drive.d_blower_m), 0.001, 0.02, 1);
    swl_spread spread = spread_of(&build, &check, 512, 2);
    swl_near(0, spread.rows[0].off_map_frac, 0);
    swl_near_abs(0.5, spread.rows[spread.row_count - 1].off_map_frac, 0.01);
    swl_near(0, spread.no_point_frac, 0);
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* A blower that may be far too small: samples without a point are counted, and what is told of the rest is finite. */
static void without_a_point(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    build.limits.boost_pa = 200e3;
    build.drive.d_blower_m = 0.18;
    build.blower.continuous_rpm = 9000;
    swl_check check = test_check_run(&build);
    give(&build, offsetof(swl_build, blower.disp_m3_rev), 0.9e-3, 1e-5, 0.1);
    swl_spread spread = spread_of(&build, &check, 512, 2);
    assert_true(spread.no_point_frac > 0.01 && spread.no_point_frac < 0.5);
    for (size_t i = 0; i < spread.row_count; i++) {
        assert_true(spread.rows[i].no_point_frac <= spread.no_point_frac);
        assert_true(isfinite(spread.rows[i].of[SWL_SPREAD_BOOST].p05));
        assert_true(isfinite(spread.rows[i].of[SWL_SPREAD_BLOWER_NO_SLIP].p05));
    }
    for (size_t k = 0; k < spread.limit_count; k++) {
        bool speed = strcmp(spread.limits[k].row.name, "boost") != 0;
        swl_near(speed ? 0 : spread.no_point_frac, spread.limits[k].undecided_frac, 1e-12);
    }
    const swl_spread_output *peak = output_of(&spread, "boost_peak_pa");
    assert_true(peak->rows_left_out > 0 && peak->rows_left_out < spread.samples);
    assert_true(isfinite(peak->index[0].total));
    for (size_t i = 0; i < spread.outline_count; i++) {
        assert_true(isfinite(spread.outline_p_ratio[i]) && isfinite(spread.outline_vdot_m3_s[i]));
    }
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* A rev limit with +-: the blower's speed follows it in proportion, and the line ends at each sample's own. */
static void the_rev_limit_may_spread(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_check check = test_check_run(&build);
    give(&build, offsetof(swl_build, engine.speed_limit_rpm), 300, 100, 30000);
    swl_spread spread = spread_of(&build, &check, 1024, 2);
    double ratio = check.drive_ratio;
    const swl_spread_output *speed = output_of(&spread, "blower_speed_at_limit_rpm");
    swl_near((6400 + 300 / Z975 * Z95) * ratio, speed->interval.p95, 4e-4);
    /* The flow rises with speed, so its quantile is the flow at the speed's. */
    swl_match *match = test_match_new(&build);
    swl_point at = swl_match_point(match, 6400 + 300 / Z975 * Z95);
    swl_near(at.mdot_kg_s, output_of(&spread, "air_mass_flow_at_limit_kg_s")->interval.p95, 4e-4);
    /* The rows themselves stand at the middle's speeds and do not move. */
    swl_near(check.line[3].boost_pa, spread.rows[3].of[SWL_SPREAD_BOOST].p05, 1e-12);
    swl_match_free(match);
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* The middle of every output is that of the check, and all of its samples lie about it. */
static void the_middle_is_the_check(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-tolerances.ini");
    swl_check check = test_check_run(&build);
    swl_spread spread = spread_of(&build, &check, 1024, 2);
    const swl_point *last = &check.line[check.line_count - 1];
    swl_near(last->boost_pa, output_of(&spread, "boost_peak_pa")->middle, 1e-12);
    swl_near(last->mdot_kg_s, output_of(&spread, "air_mass_flow_at_limit_kg_s")->middle, 1e-12);
    for (size_t k = 0; k < spread.limit_count; k++) {
        const swl_spread_output *output = &spread.outputs[spread.limits[k].output];
        swl_near(check.limits[k].margin_frac, output->middle, 1e-12);
    }
    for (size_t k = 0; k < spread.output_count; k++) {
        const swl_spread_output *output = &spread.outputs[k];
        assert_true(output->interval.p05 < output->middle && output->middle < output->interval.p95);
        double first = 0;
        double total = 0;
        for (size_t i = 0; i < spread.input_count; i++) {
            first += output->index[i].first;
            total += output->index[i].total;
        }
        /* Nearly a sum of its inputs: first orders and totals both come near all of the variance. */
        swl_near_row(output->name, 1, first, 0.1);
        swl_near_row(output->name, 1, total, 0.1);
    }
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* The outline holds about nine of ten samples across the line: with one input that moves the point across it the band
 * has the width of that input's 90 %. */
static void the_outline_is_the_band(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_check check = test_check_run(&build);
    give(&build, offsetof(swl_build, engine.ve_factor), 0.05, 0.5, 1.5);
    swl_spread spread = spread_of(&build, &check, 1024, 2);
    size_t row = 8; /* where the line runs level, so that across it is up */
    double up = spread.outline_p_ratio[row];
    double down = NAN;
    for (size_t i = spread.row_count; i < spread.outline_count; i++) {
        /* The lower edge's point of that speed: the one nearest in flow that is below the line. */
        double off = fabs(spread.outline_vdot_m3_s[i] - check.line[row].map_vdot_m3_s);
        bool near = off < 0.01 * check.line[row].map_vdot_m3_s && spread.outline_p_ratio[i] < check.line[row].p_ratio;
        down = near ? spread.outline_p_ratio[i] : down;
    }
    assert_true(up > check.line[row].p_ratio && down < check.line[row].p_ratio);
    swl_near(spread.rows[row].of[SWL_SPREAD_RATIO].p95, up, 2e-3);
    swl_near(spread.rows[row].of[SWL_SPREAD_RATIO].p05, down, 2e-3);
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

/* With inputs that move a place along the line and across it together, the band claims no flow and no ratio that the
 * samples do not span: its edges are within the 5 to 95 % of their own speed, its ends within those of the ends. */
static void the_outline_claims_no_more_than_the_samples(void **state)
{
    (void)state;
    static const char *const builds[] = {"maps/estate-tolerances.ini", "maps/estate-roots.ini"};
    for (size_t b = 0; b < 2; b++) {
        swl_build build = test_build_load(builds[b]);
        swl_check check = test_check_run(&build);
        if (b == 1) {
            give(&build, offsetof(swl_build, drive.d_blower_m), 0.004, 0.02, 1);
            give(&build, offsetof(swl_build, engine.ve_factor), 0.03, 0.5, 1.5);
        }
        swl_spread spread = spread_of(&build, &check, 512, 2);
        size_t last = spread.row_count - 1;
        double flow_low = INFINITY;
        double flow_high = 0;
        for (size_t i = 0; i < spread.outline_count; i++) {
            const swl_spread_row *of = i < last ? &spread.rows[i] : NULL;
            double flow = spread.outline_vdot_m3_s[i];
            double ratio = spread.outline_p_ratio[i];
            bool inside = false;
            for (size_t row = 0; row <= last; row++) {
                const swl_interval *v = &spread.rows[row].of[SWL_SPREAD_MAP_VOLUME_FLOW];
                const swl_interval *r = &spread.rows[row].of[SWL_SPREAD_RATIO];
                bool here =
                    flow >= v->p05 - 1e-9 && flow <= v->p95 + 1e-9 && ratio >= r->p05 - 1e-9 && ratio <= r->p95 + 1e-9;
                inside = inside || (here && (of == NULL || of == &spread.rows[row]));
            }
            assert_true(inside);
            flow_low = fmin(flow_low, flow);
            flow_high = fmax(flow_high, flow);
        }
        /* And no less: the ends reach all but as far as the samples do. */
        const swl_interval *first_of = &spread.rows[0].of[SWL_SPREAD_MAP_VOLUME_FLOW];
        const swl_interval *last_of = &spread.rows[last].of[SWL_SPREAD_MAP_VOLUME_FLOW];
        assert_true(flow_low < first_of->p05 + 0.2 * (first_of->p95 - first_of->p05));
        assert_true(flow_high > last_of->p95 - 0.2 * (last_of->p95 - last_of->p05));
        assert_true(spread.outline_count > 2 * spread.row_count);
        swl_spread_free(&spread);
        swl_check_free(&check);
        swl_build_free(&build);
    }
}

/* A sample may ask known_power for what no engine does: that it is left out, and why, is said; and the tables take even
 * steps of engine speed. */
static void samples_without_power_are_told(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    build.engine.speed_from_rpm = 1200;
    build.engine.speed_step_rpm = 400;
    swl_check check = test_check_run(&build);
    give(&build, offsetof(swl_build, engine.known_power_w), 60e3, 1e3, 1e6);
    swl_spread spread = spread_of(&build, &check, 256, 2);
    const swl_spread_output *crank = output_of(&spread, "crank_power_peak_w");
    assert_true(crank->without_frac > 0 && crank->rows_left_out > 0);
    swl_notes notes = {0};
    swl_diags none = {0};
    swl_notes_spread(&notes, &build, &check, &spread, &none, SWL_UNITS_SI);
    size_t told = 0;
    for (size_t i = 0; i < notes.count; i++) {
        told += strstr(notes.items[i], "known_power would take an indicated efficiency outside 25 to 55 %. Crank and "
                                       "wheel power leave them out, and ") != NULL;
    }
    assert_int_equal(told, 1);
    swl_buf text = {0};
    swl_report_spread_text(&text, &build, &spread, &notes, SWL_UNITS_SI, false);
    static const int speeds_rpm[] = {1200, 2000, 2800, 3600, 4400, 5200, 6000, 6400};
    const char *at = strstr(swl_buf_text(&text), "(8 of 14 engine speeds");
    for (size_t k = 0; k < 8; k++) {
        char line[16];
        (void)snprintf(line, sizeof line, "\n  %d ", speeds_rpm[k]);
        assert_non_null(at);
        at = strstr(at, line);
    }
    assert_non_null(at);
    swl_buf_free(&text);
    swl_notes_free(&notes);
    swl_spread_free(&spread);
    swl_check_free(&check);
    swl_build_free(&build);
}

static void runs_are_refused(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots.ini");
    swl_check check = test_check_run(&build);
    swl_spread spread;
    swl_err err = {0};
    swl_spread_options options = {.samples = 128, .seed = 1, .threads = 1};
    assert_int_equal(swl_spread_run(&build, &check, &options, &spread, &err), SWL_ERR_USAGE);
    assert_non_null(strstr(err.text, "+-"));
    /* Speeds that only place the rows are no inputs. */
    give(&build, offsetof(swl_build, engine.speed_step_rpm), 10, 1, 10000);
    assert_int_equal(swl_spread_run(&build, &check, &options, &spread, NULL), SWL_ERR_USAGE);
    give(&build, offsetof(swl_build, drive.d_blower_m), 0.001, 0.02, 1);
    options.threads = 0;
    assert_int_equal(swl_spread_run(&build, &check, &options, &spread, NULL), SWL_ERR_USAGE);
    options.threads = SWL_SPREAD_THREADS_MAX + 1;
    assert_int_equal(swl_spread_run(&build, &check, &options, &spread, NULL), SWL_ERR_USAGE);
    options = (swl_spread_options){.samples = 100, .seed = 1, .threads = 1};
    assert_int_equal(swl_spread_run(&build, &check, &options, &spread, NULL), SWL_ERR_USAGE);
    options.samples = 128;
    assert_int_equal(swl_spread_run(&build, &check, &options, &spread, NULL), SWL_OK);
    assert_int_equal(spread.left_out, 1);
    assert_int_equal(spread.input_count, 1);
    swl_spread_free(&spread);
    swl_check_free(&check);
    build.engine.speed_step_rpm = 3;
    check = test_check_run(&build);
    err = (swl_err){0};
    options.samples = 65536;
    assert_int_equal(swl_spread_run(&build, &check, &options, &spread, &err), SWL_ERR_USAGE);
    assert_non_null(strstr(err.text, "MB"));
    swl_check_free(&check);
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shares_have_the_interval_of_clopper_and_pearson),
        cmocka_unit_test(samples_that_cannot_be_are_counted),
        cmocka_unit_test(quantiles_of_a_normal),
        cmocka_unit_test(intervals_count_what_is_there),
        cmocka_unit_test(inputs_are_cut),
        cmocka_unit_test(blower_speed_is_propagated),
        cmocka_unit_test(an_uncertain_limit),
        cmocka_unit_test(shares_of_none_and_all),
        cmocka_unit_test(threads_change_no_digit),
        cmocka_unit_test(progress_is_told),
        cmocka_unit_test(wider_inputs_widen_results),
        cmocka_unit_test(off_map_is_counted),
        cmocka_unit_test(without_a_point),
        cmocka_unit_test(the_rev_limit_may_spread),
        cmocka_unit_test(the_middle_is_the_check),
        cmocka_unit_test(the_outline_is_the_band),
        cmocka_unit_test(samples_without_power_are_told),
        cmocka_unit_test(the_outline_claims_no_more_than_the_samples),
        cmocka_unit_test(runs_are_refused),
    };
    return cmocka_run_group_tests_name("spread", tests, NULL, NULL);
}
