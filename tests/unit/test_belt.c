/* The belt's path against tangency itself, closed forms and moved copies; its tensions against their balances. */
#include "support/builds.h"

#include "sweptline/beltrun.h"

#include <string.h>

#define B_M 0.002

static swl_belt belt_of(swl_belt_kind kind)
{
    return (swl_belt){.kind = kind,
                      .friction = 0.15,
                      .back_friction = 0.25,
                      .groove_rad = SWL_BELT_GROOVE_RAD,
                      .back_offset_m = 0.0015,
                      .mass_kg_m = 0.16};
}

static void pulley_add(swl_belt_layout *layout, const char *name, double x_m, double y_m, double d_m, int side)
{
    swl_belt_pulley *pulley = &layout->pulleys[layout->pulley_count];
    *pulley = (swl_belt_pulley){.centre = {x_m, y_m}, .d_m = d_m, .side = side};
    (void)snprintf(pulley->name, sizeof pulley->name, "%s", name);
    layout->path[layout->path_count++] = layout->pulley_count++;
}

/* Pulleys on a ring, in order round it, and between some of them an idler that presses on the back from outside. */
static swl_belt_layout layout_random(test_random *random)
{
    swl_belt_layout layout = {.pulley_count = 0};
    int n = test_whole(random, 2, 6);
    double x_m[6];
    double y_m[6];
    double d_m[6];
    for (int i = 0; i < n; i++) {
        double angle = 2 * TEST_PI * (i + test_uniform(random, -0.25, 0.25)) / n;
        double ring_m = test_uniform(random, 0.22, 0.34);
        x_m[i] = ring_m * cos(angle);
        y_m[i] = ring_m * sin(angle);
        d_m[i] = test_uniform(random, 0.05, 0.14);
    }
    for (int i = 0; i < n; i++) {
        char name[8];
        (void)snprintf(name, sizeof name, "p%d", i);
        pulley_add(&layout, name, x_m[i], y_m[i], d_m[i], SWL_BELT_RIBS);
        if (n > 2 && test_chance(random, 0.4)) {
            int j = (i + 1) % n;
            double length_m = hypot(x_m[j] - x_m[i], y_m[j] - y_m[i]);
            double d_back_m = test_uniform(random, 0.05, 0.08);
            double off_m = (d_m[i] + d_m[j]) / 4 + d_back_m / 2 - test_uniform(random, 0.005, 0.02);
            (void)snprintf(name, sizeof name, "b%d", i);
            pulley_add(&layout, name, (x_m[i] + x_m[j]) / 2 + (y_m[j] - y_m[i]) / length_m * off_m,
                       (y_m[i] + y_m[j]) / 2 - (x_m[j] - x_m[i]) / length_m * off_m, d_back_m, SWL_BELT_BACK);
        }
    }
    return layout;
}

static bool path_of(const swl_belt *belt, const swl_belt_layout *layout, swl_belt_path *path)
{
    swl_belt_fault fault;
    return swl_belt_path_find(belt, layout, B_M, path, &fault);
}

/* Each span meets both radii at a right angle, an arc leads from on to off, and a polygon along all of it is as long.
 */
static void touches_where_it_should(const swl_belt_layout *layout, const swl_belt_path *path)
{
    double polygon_m = 0;
    double turned_rad = 0;
    for (size_t k = 0; k < path->count; k++) {
        const swl_belt_stop *stop = &path->stops[k];
        const swl_belt_stop *next = &path->stops[(k + 1) % path->count];
        swl_xy c = layout->pulleys[stop->pulley].centre;
        swl_xy d = layout->pulleys[next->pulley].centre;
        double ux = next->on.x_m - stop->off.x_m;
        double uy = next->on.y_m - stop->off.y_m;
        swl_near_abs(0, (stop->off.x_m - c.x_m) * ux + (stop->off.y_m - c.y_m) * uy, 1e-14);
        swl_near_abs(0, (next->on.x_m - d.x_m) * ux + (next->on.y_m - d.y_m) * uy, 1e-14);
        swl_near(stop->r_m, hypot(stop->on.x_m - c.x_m, stop->on.y_m - c.y_m), 1e-12);
        swl_near_abs(stop->span_m, hypot(ux, uy), 1e-13);
        /* It runs round the pulley the way that the belt runs: the centre lies on its left when it turns left. */
        assert_true(((c.x_m - stop->off.x_m) * -uy + (c.y_m - stop->off.y_m) * ux) * stop->turn > 0);
        enum { STEPS = 4000 };
        double step_rad = stop->turn * stop->wrap_rad / STEPS;
        double x = stop->on.x_m - c.x_m;
        double y = stop->on.y_m - c.y_m;
        for (int i = 0; i < STEPS; i++) {
            double to_x = x * cos(step_rad) - y * sin(step_rad);
            double to_y = x * sin(step_rad) + y * cos(step_rad);
            polygon_m += hypot(to_x - x, to_y - y);
            x = to_x;
            y = to_y;
        }
        swl_near_abs(stop->off.x_m - c.x_m, x, 1e-12);
        swl_near_abs(stop->off.y_m - c.y_m, y, 1e-12);
        polygon_m += hypot(ux, uy);
        turned_rad += stop->turn * stop->wrap_rad;
    }
    swl_near(2 * TEST_PI * path->direction, turned_rad, 1e-12);
    swl_near(polygon_m, path->length_m, 1e-7);
}

static void random_paths_are_tangent(void **state)
{
    (void)state;
    test_random random = {7};
    swl_belt belt = belt_of(SWL_BELT_RIBBED);
    size_t sound = 0;
    size_t backs = 0;
    for (int i = 0; i < 400; i++) {
        swl_belt_layout layout = layout_random(&random);
        swl_belt_path path;
        if (!path_of(&belt, &layout, &path)) {
            continue;
        }
        touches_where_it_should(&layout, &path);
        sound++;
        for (size_t k = 0; k < path.count; k++) {
            backs += layout.pulleys[path.stops[k].pulley].side == SWL_BELT_BACK;
        }
    }
    assert_true(sound > 150);
    assert_true(backs > 80);
}

/* The effective line is a belt of its own: laid at the pulleys' diameters, further from the back. */
static void effective_length_is_laid_too(void **state)
{
    (void)state;
    test_random random = {8};
    swl_belt belt = belt_of(SWL_BELT_RIBBED);
    swl_belt inner = belt;
    inner.back_offset_m += B_M;
    for (int i = 0; i < 200; i++) {
        swl_belt_layout layout = layout_random(&random);
        swl_belt_path path;
        swl_belt_path at_effective;
        swl_belt_fault fault;
        if (path_of(&belt, &layout, &path) && swl_belt_path_find(&inner, &layout, 0, &at_effective, &fault)) {
            swl_near(at_effective.length_m, path.effective_length_m, 1e-12);
        }
    }
}

static swl_xy moved(swl_xy at, double angle_rad, bool mirror)
{
    double x = mirror ? -at.x_m : at.x_m;
    return (swl_xy){0.3 + x * cos(angle_rad) - at.y_m * sin(angle_rad),
                    -0.7 + x * sin(angle_rad) + at.y_m * cos(angle_rad)};
}

static void moving_turning_and_mirroring_change_nothing(void **state)
{
    (void)state;
    test_random random = {9};
    swl_belt belt = belt_of(SWL_BELT_RIBBED);
    for (int i = 0; i < 300; i++) {
        swl_belt_layout layout = layout_random(&random);
        swl_belt_path path;
        swl_belt_path other;
        bool sound = path_of(&belt, &layout, &path);
        swl_belt_layout copy = layout;
        bool mirror = test_chance(&random, 0.5);
        double angle_rad = test_uniform(&random, -3, 3);
        for (size_t k = 0; k < copy.pulley_count; k++) {
            copy.pulleys[k].centre = moved(copy.pulleys[k].centre, angle_rad, mirror);
        }
        assert_int_equal(path_of(&belt, &copy, &other), sound);
        if (!sound) {
            continue;
        }
        swl_near(path.length_m, other.length_m, 1e-12);
        for (size_t k = 0; k < path.count; k++) {
            swl_near_abs(path.stops[k].wrap_rad, other.stops[k].wrap_rad, 1e-11);
            swl_near_abs(path.stops[k].span_m, other.stops[k].span_m, 1e-13);
        }
        /* Mirrored, a belt of three pulleys or more runs the other way round; two run clockwise as said. */
        assert_int_equal(other.direction, path.count == 2 ? -1 : mirror ? -path.direction : path.direction);
    }
}

/* Open belt of two: pi -+ 2 asin((D - d)/2C), 2 sqrt(C^2 - (R - r)^2) + R wrap + r wrap. Crossed: pi + 2 asin((D +
 * d)/2C) on both. */
static void two_pulleys_by_closed_form(void **state)
{
    (void)state;
    swl_belt belt = belt_of(SWL_BELT_FLAT);
    belt.back_offset_m = 0;
    swl_belt_fault fault;
    swl_belt_path path;
    swl_belt_layout open = {.pulley_count = 0};
    pulley_add(&open, "crank", 0, 0, 0.9, SWL_BELT_RIBS);
    pulley_add(&open, "blower", 5.8, 0, 0.3, SWL_BELT_RIBS);
    assert_true(swl_belt_path_find(&belt, &open, 0, &path, &fault));
    double wide_rad = 2 * asin(0.3 / 5.8);
    swl_near(TEST_PI + wide_rad, path.stops[0].wrap_rad, 1e-12);
    swl_near(TEST_PI - wide_rad, path.stops[1].wrap_rad, 1e-12);
    swl_near(2 * sqrt(5.8 * 5.8 - 0.3 * 0.3) + 0.45 * (TEST_PI + wide_rad) + 0.15 * (TEST_PI - wide_rad), path.length_m,
             1e-12);
    assert_int_equal(path.direction, -1);
    swl_belt_layout crossed = open;
    crossed.pulleys[1].side = SWL_BELT_BACK;
    assert_true(swl_belt_path_find(&belt, &crossed, 0, &path, &fault));
    assert_int_equal(fault.kind, SWL_BELT_CROSSED);
    swl_near(TEST_PI + 2 * asin(0.6 / 5.8), path.stops[0].wrap_rad, 1e-12);
    swl_near(path.stops[0].wrap_rad, path.stops[1].wrap_rad, 1e-12);
    swl_near_abs(0, path.turned_rad, 1e-12);
    belt.kind = SWL_BELT_RIBBED;
    assert_false(swl_belt_path_find(&belt, &crossed, 0, &path, &fault));
    assert_int_equal(fault.kind, SWL_BELT_CROSSED);
}

/* An idler moved away from a belt until it touches: its wrap falls to 0, and then there is no path by it. */
static void idler_leaves_the_belt(void **state)
{
    (void)state;
    swl_belt belt = belt_of(SWL_BELT_RIBBED);
    belt.runs = SWL_BELT_COUNTERCLOCKWISE;
    swl_belt_path path;
    swl_belt_fault fault;
    double last_rad = INFINITY;
    for (int i = 0; i <= 40; i++) {
        /* Both pulleys have a pitch radius of 52 mm, the idler one of 31.5 mm on the right. */
        double x_m = 0.0835 - 0.02 + 0.02 * i / 40;
        swl_belt_layout layout = {.pulley_count = 0};
        pulley_add(&layout, "crank", 0, 0, 0.1, SWL_BELT_RIBS);
        pulley_add(&layout, "idler", x_m, 0.2, 0.06, SWL_BELT_BACK);
        pulley_add(&layout, "blower", 0, 0.4, 0.1, SWL_BELT_RIBS);
        assert_true(swl_belt_path_find(&belt, &layout, B_M, &path, &fault));
        assert_true(path.stops[1].wrap_rad < last_rad);
        last_rad = path.stops[1].wrap_rad;
    }
    swl_near_abs(0, last_rad, 1e-6);
    swl_belt_layout missed = {.pulley_count = 0};
    pulley_add(&missed, "crank", 0, 0, 0.1, SWL_BELT_RIBS);
    pulley_add(&missed, "idler", 0.085, 0.2, 0.06, SWL_BELT_BACK);
    pulley_add(&missed, "blower", 0, 0.4, 0.1, SWL_BELT_RIBS);
    assert_false(swl_belt_path_find(&belt, &missed, B_M, &path, &fault));
    assert_int_equal(fault.kind, SWL_BELT_TURNS);
    assert_int_equal(fault.a, 1);
}

typedef struct fault_case {
    swl_xy third;
    double d_m;
    int side;
    swl_belt_fault_kind want;
    const char *words;
} fault_case;

/* What a third pulley can do to a sound belt of two of 100 mm, 400 mm apart. */
static void faults_are_told_apart(void **state)
{
    (void)state;
    static const fault_case cases[] = {
        {{0.09, 0.0}, 0.08, SWL_BELT_RIBS, SWL_BELT_OVERLAP, "pulleys crank and third touch or overlap"},
        {{0.103, 0.0}, 0.1, SWL_BELT_BACK, SWL_BELT_NO_TANGENT, "no straight span fits from"},
        {{0.2, 0.2}, 0.1, SWL_BELT_BACK, SWL_BELT_TURNS, "would wrap third by"},
        {{0.0, 0.2}, 0.06, SWL_BELT_BACK, SWL_BELT_BOTH_WAYS, "say which with runs"},
        {{0.2, 0.2}, 0.1, SWL_BELT_RIBS, SWL_BELT_SOUND, ""},
        {{0.1025, 0.2}, 0.04, SWL_BELT_RIBS, SWL_BELT_SOUND, ""},
    };
    swl_belt belt = belt_of(SWL_BELT_RIBBED);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        swl_belt_layout layout = {.pulley_count = 0};
        swl_belt_path path;
        swl_belt_fault fault;
        swl_buf words = {0};
        pulley_add(&layout, "crank", 0, 0, 0.1, SWL_BELT_RIBS);
        pulley_add(&layout, "third", cases[i].third.x_m, cases[i].third.y_m, cases[i].d_m, cases[i].side);
        pulley_add(&layout, "blower", 0, 0.4, 0.1, SWL_BELT_RIBS);
        bool found = swl_belt_path_find(&belt, &layout, B_M, &path, &fault);
        swl_belt_fault_words(&layout, &fault, &words);
        if (fault.kind != cases[i].want || found != (cases[i].want == SWL_BELT_SOUND) ||
            strstr(swl_buf_text(&words), cases[i].words) == NULL) {
            fail_msg("case %zu: found %d, fault %d: %s", i, found, (int)fault.kind, swl_buf_text(&words));
        }
        swl_buf_free(&words);
    }
}

/* A pulley so large that the span on the other side of the loop runs through it; a little smaller, it only comes near.
 */
static void span_through_a_pulley(void **state)
{
    (void)state;
    static const struct {
        double d_m;
        swl_belt_fault_kind want;
        const char *words;
    } cases[] = {
        {0.160, SWL_BELT_THROUGH, "the span from blower to crank runs through pulley third"},
        {0.142, SWL_BELT_TIGHT_GAP, "the span from blower to crank passes pulley third closer than the belt is thick"},
        {0.120, SWL_BELT_SOUND, ""},
    };
    swl_belt belt = belt_of(SWL_BELT_RIBBED);
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        swl_belt_layout layout = {.pulley_count = 0};
        swl_belt_path path;
        swl_belt_fault fault;
        swl_buf words = {0};
        pulley_add(&layout, "crank", 0, 0, 0.1, SWL_BELT_RIBS);
        pulley_add(&layout, "third", 0.02, 0.2, cases[i].d_m, SWL_BELT_RIBS);
        pulley_add(&layout, "blower", 0, 0.4, 0.1, SWL_BELT_RIBS);
        bool found = swl_belt_path_find(&belt, &layout, B_M, &path, &fault);
        swl_belt_fault_words(&layout, &fault, &words);
        assert_int_equal(found, cases[i].want != SWL_BELT_THROUGH);
        assert_string_equal(swl_buf_text(&words), cases[i].words);
        swl_buf_free(&words);
    }
}

/* ---- tensions ---- */

static void walk_balances(void **state)
{
    (void)state;
    test_random random = {10};
    size_t walked = 0;
    for (int i = 0; i < 200; i++) {
        swl_belt belt = belt_of(SWL_BELT_RIBBED);
        swl_belt_layout layout = layout_random(&random);
        swl_belt_path path;
        if (!path_of(&belt, &layout, &path)) {
            continue;
        }
        belt.hold = test_chance(&random, 0.5) ? SWL_BELT_AUTOMATIC : SWL_BELT_FIXED_CENTRES;
        size_t driver = (size_t)test_whole(&random, 0, (int)path.count - 1);
        size_t mover = (size_t)test_whole(&random, 0, (int)path.count - 1);
        swl_belt_state s = {.speed_m_s = test_uniform(&random, 5, 60)};
        double given_n = test_uniform(&random, 100, 900);
        for (size_t k = 0; k < path.count; k++) {
            s.pull_n[k] = test_uniform(&random, -50, 300);
        }
        swl_belt_walk(&belt, &path, driver, mover, given_n, &s);
        double sum_n = 0;
        double mean_n = 0;
        double work_w = 0;
        for (size_t k = 0; k < path.count; k++) {
            size_t in = (k + path.count - 1) % path.count;
            sum_n += s.pull_n[k];
            swl_near_abs(s.pull_n[k], s.tension_n[k] - s.tension_n[in], 1e-9);
            work_w += swl_belt_power_w(s.tension_n[k], s.tension_n[in], s.speed_m_s);
            mean_n += (path.stops[k].span_m * s.tension_n[k] +
                       path.stops[k].r_m * path.stops[k].wrap_rad * (s.tension_n[k] + s.tension_n[in]) / 2) /
                      path.length_m;
        }
        swl_near_abs(0, sum_n, 1e-9);
        swl_near_abs(0, work_w, 1e-7);
        if (belt.hold == SWL_BELT_AUTOMATIC) {
            swl_near(given_n, s.tension_n[mover] - 0.16 * s.speed_m_s * s.speed_m_s, 1e-12);
        } else {
            swl_near(given_n, mean_n, 1e-12);
        }
        /* With exactly the static tension that a stop wants it stands on the edge of slipping. */
        size_t stop = (size_t)test_whole(&random, 0, (int)path.count - 1);
        double more_n = swl_belt_tension_wanted_n(&belt, &layout, &path, &s, stop);
        swl_belt_walk(&belt, &path, driver, mover, given_n + more_n, &s);
        swl_near_abs(fabs(s.pull_n[stop]), swl_belt_pull_max_n(&belt, &layout, &path, &s, stop), 1e-8);
        walked++;
    }
    assert_true(walked > 80);
}

/* Half a turn of grip; a flat belt has no wedge; nothing slips from nothing. */
static void grip_limits(void **state)
{
    (void)state;
    swl_belt belt = belt_of(SWL_BELT_RIBBED);
    swl_near(0.15 / sin(TEST_PI / 9), swl_belt_friction_at(&belt, SWL_BELT_RIBS), 1e-15);
    swl_near(0.25, swl_belt_friction_at(&belt, SWL_BELT_BACK), 1e-15);
    /* The ratio of 4 at half a turn on which the default of the friction rests (from memory). */
    swl_near(4, swl_belt_grip(swl_belt_friction_at(&belt, SWL_BELT_RIBS), TEST_PI), 0.01);
    swl_near(1, swl_belt_grip(0.3, 0), 1e-15);
    belt.kind = SWL_BELT_FLAT;
    swl_near(0.15, swl_belt_friction_at(&belt, SWL_BELT_RIBS), 1e-15);
    /* A half wrap with equal tensions loads its bearing with both. */
    swl_belt_path path = {.count = 2, .stops = {{.wrap_rad = TEST_PI}, {.wrap_rad = TEST_PI / 3}}};
    swl_belt_state s = {.tension_n = {500, 500}, .centrifugal_n = 100};
    swl_near(800, swl_belt_hub_load_n(&path, &s, 0), 1e-12);
    swl_near(400, swl_belt_hub_load_n(&path, &s, 1), 1e-12);
    s.tension_n[0] = 90;
    swl_is_nan(swl_belt_hub_load_n(&path, &s, 0));
    swl_is_nan(swl_belt_hub_load_n(&path, &s, 1));
    swl_belt_layout layout = {.pulley_count = 0};
    pulley_add(&layout, "crank", 0, 0, 0.1, SWL_BELT_RIBS);
    swl_near_abs(0, swl_belt_pull_max_n(&belt, &layout, &path, &s, 0), 0);
}

/* ---- a build ---- */

static swl_belt_study study_of(const swl_build *build)
{
    swl_belt_study study;
    swl_err err = {0};
    if (swl_belt_study_run(build, &study, &err) != SWL_OK) {
        fail_msg("%s", err.text);
    }
    return study;
}

static const swl_belt_limit *slip_of(const swl_belt_alternative *a, const char *pulley)
{
    for (size_t i = 0; i < a->limit_count; i++) {
        if (a->limits[i].pulley != NULL && strcmp(a->limits[i].pulley, pulley) == 0) {
            return &a->limits[i];
        }
    }
    fail_msg("no margin of %s", pulley);
    return NULL;
}

static void study_uses_the_match(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-belt.ini");
    swl_belt_study study = study_of(&build);
    assert_int_equal(study.count, 4);
    swl_build smaller = build;
    smaller.drive.d_blower_m = 0.084;
    for (size_t n = 0; n < 3; n += 2) {
        const swl_belt_alternative *a = &study.alternatives[n];
        swl_check check = test_check_run(n == 0 ? &build : &smaller);
        assert_int_equal(check.line_count, a->row_count);
        for (size_t i = 0; i < a->row_count; i++) {
            /* Crank: 160 mm and twice 2 mm. */
            double speed_m_s = TEST_PI * 0.164 * check.line[i].engine_rpm / 60;
            swl_near(speed_m_s, a->rows[i].state.speed_m_s, 1e-12);
            swl_near(check.line[i].p_shaft_w / 0.992 / speed_m_s, a->rows[i].state.pull_n[a->blower_stop], 1e-12);
        }
        swl_near(check.blower_rpm_at_limit, a->stops[a->blower_stop].rpm_at_limit, 1e-12);
        swl_check_free(&check);
    }
    assert_false(study.exceeded);
    assert_true(study.alternatives[2].exceeded);
    /* More wrap on the blower, more margin. */
    assert_true(slip_of(&study.alternatives[1], "blower")->margin_frac >
                slip_of(&study.alternatives[0], "blower")->margin_frac);
    swl_belt_study_free(&study);
    swl_build_free(&build);
}

static void needed_tension_is_the_border(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-belt.ini");
    for (int hold = 0; hold < 2; hold++) {
        build.belt->hold = hold;
        build.belt->layouts[0].static_tension_n = NAN;
        swl_belt_study study = study_of(&build);
        double blower_n = study.alternatives[0].stops[study.alternatives[0].blower_stop].static_needed_n;
        double all_n = study.alternatives[0].static_needed_n;
        /* The belt's speed and two of the rotors. */
        assert_int_equal(study.alternatives[0].limit_count, 3);
        swl_is_nan(study.alternatives[0].tension_max_n);
        assert_true(all_n >= blower_n && blower_n > 0);
        double slick_n = study.alternatives[0].static_needed_slick_n;
        swl_belt_study_free(&study);
        /* With a fifth less friction the tension told for that is the border. */
        build.belt->friction *= 0.8;
        build.belt->back_friction *= 0.8;
        study = study_of(&build);
        swl_near(study.alternatives[0].static_needed_n, slick_n, 1e-12);
        assert_true(slick_n > all_n);
        swl_belt_study_free(&study);
        build.belt->friction /= 0.8;
        build.belt->back_friction /= 0.8;
        build.belt->layouts[0].static_tension_n = blower_n;
        study = study_of(&build);
        swl_near_abs(0, slip_of(&study.alternatives[0], "blower")->margin_frac, 1e-12);
        swl_belt_study_free(&study);
        build.belt->layouts[0].static_tension_n = all_n * (1 + 1e-9);
        study = study_of(&build);
        assert_false(study.exceeded);
        swl_belt_study_free(&study);
        build.belt->layouts[0].static_tension_n = all_n * (1 - 1e-9);
        study = study_of(&build);
        assert_true(study.exceeded);
        swl_belt_study_free(&study);
    }
    swl_build_free(&build);
}

/* A belt that fits is taut where it is said to be, and one between the ends of the travel always fits. */
static void belts_fit_where_they_are_said_to(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-belt.ini");
    swl_belt_study study = study_of(&build);
    const swl_belt_alternative *a = &study.alternatives[0];
    size_t fits = 0;
    for (size_t i = 0; i < build.belt->length_count; i++) {
        bool between = build.belt->lengths_m[i] >= a->effective_length_m.least &&
                       build.belt->lengths_m[i] <= a->effective_length_m.most;
        assert_int_equal(a->fits[i].fits, between);
        if (!between) {
            continue;
        }
        swl_belt_layout layout = a->layout;
        swl_belt_path path;
        swl_belt_move(&layout, a->fits[i].share);
        assert_true(path_of(build.belt, &layout, &path));
        swl_near(build.belt->lengths_m[i], path.effective_length_m, 1e-12);
        swl_near(path.stops[a->blower_stop].wrap_rad, a->fits[i].blower_wrap_rad, 1e-9);
        fits++;
    }
    assert_true(fits > 0 && fits < build.belt->length_count);
    swl_belt_study_free(&study);
    swl_build_free(&build);
}

/* A pulley on the ribs that passes two others makes the belt shortest in the middle of its way. */
static void belt_taut_at_two_places(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-belt.ini");
    swl_belt *belt = build.belt;
    size_t layouts = belt->layout_count;
    swl_belt_layout *layout = &belt->layouts[0];
    belt->layout_count = 1;
    size_t crank = swl_belt_find(layout, swl_slice_of("crank"));
    size_t blower = swl_belt_find(layout, swl_slice_of("blower"));
    size_t tensioner = swl_belt_find(layout, swl_slice_of("tensioner"));
    layout->path[0] = crank;
    layout->path[1] = tensioner;
    layout->path[2] = blower;
    layout->path_count = 3;
    layout->pulleys[crank].centre = (swl_xy){0, 0};
    layout->pulleys[blower].centre = (swl_xy){0, 0.4};
    swl_belt_pulley *pulley = &layout->pulleys[tensioner];
    pulley->side = SWL_BELT_RIBS;
    pulley->travel = SWL_BELT_ON_LINE;
    pulley->centre = (swl_xy){0.2, 0.2};
    pulley->from = (swl_xy){0.2, 0.02};
    pulley->to = (swl_xy){0.2, 0.38};
    swl_belt_study study = study_of(&build);
    swl_range range = study.alternatives[0].effective_length_m;
    swl_belt_study_free(&study);
    belt->length_count = 2;
    belt->lengths_m[0] = range.least + 0.3 * (range.most - range.least);
    belt->lengths_m[1] = range.most + 0.001;
    study = study_of(&build);
    const swl_belt_alternative *a = &study.alternatives[0];
    assert_false(a->fits[1].fits);
    assert_int_equal(a->fits[1].places, 0);
    swl_is_nan(a->fits[1].last_share);
    assert_int_equal(a->fits[0].places, 2);
    assert_true(a->fits[0].share < a->fits[0].last_share);
    double shares[] = {a->fits[0].share, a->fits[0].last_share};
    double wraps[] = {a->fits[0].blower_wrap_rad, a->fits[0].last_wrap_rad};
    for (int i = 0; i < 2; i++) {
        swl_belt_layout at = a->layout;
        swl_belt_path path;
        swl_belt_move(&at, shares[i]);
        assert_true(path_of(belt, &at, &path));
        swl_near(belt->lengths_m[0], path.effective_length_m, 1e-12);
        swl_near(path.stops[a->blower_stop].wrap_rad, wraps[i], 1e-9);
    }
    swl_belt_study_free(&study);
    belt->layout_count = layouts;
    swl_build_free(&build);
}

/* Where the pulls take more out of a span than there is in it, nothing is told of tensions that cannot be. */
static void slack_belt_has_no_tensions(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-belt.ini");
    build.belt->layouts[0].static_tension_n = 20;
    build.belt->hold = SWL_BELT_FIXED_CENTRES;
    build.belt->tension_limit_n = 5000;
    swl_belt_study study = study_of(&build);
    const swl_belt_alternative *a = &study.alternatives[0];
    assert_true(a->slack > 0);
    assert_true(study.exceeded);
    swl_is_nan(a->tension_max_n);
    size_t slack = 0;
    for (size_t i = 0; i < a->row_count; i++) {
        slack += a->rows[i].slack;
        for (size_t k = 0; k < a->path.count; k++) {
            double tension_n = a->rows[i].state.tension_n[k];
            assert_true(a->rows[i].slack ? isnan(tension_n) : tension_n > a->rows[i].state.centrifugal_n);
            assert_true(!a->rows[i].slack || !(a->rows[i].pull_max_n[k] > 0));
        }
    }
    assert_int_equal(slack, a->slack);
    for (size_t k = 0; k < a->path.count; k++) {
        swl_is_nan(a->stops[k].hub_load_max_n);
    }
    assert_int_equal(slip_of(a, "blower")->verdict, SWL_EXCEEDED);
    for (size_t i = 0; i < a->limit_count; i++) {
        if (strcmp(a->limits[i].name, "tension_limit") == 0) {
            swl_is_nan(a->limits[i].value);
            assert_int_equal(a->limits[i].verdict, SWL_EXCEEDED);
        }
    }
    swl_belt_study_free(&study);
    swl_build_free(&build);
}

/* A pulley that takes nothing cannot slip, even on a belt that holds nothing. */
static void idle_pulley_does_not_slip(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-belt.ini");
    size_t pump = swl_belt_find(&build.belt->layouts[0], swl_slice_of("pump"));
    swl_curve *power_w = build.belt->layouts[0].pulleys[pump].power_w;
    static const double rpm[] = {1000, 7000};
    static const double none[] = {0, 0};
    swl_err err = {0};
    swl_curve *idle = swl_curve_new(rpm, none, 2, &err);
    assert_non_null(idle);
    for (size_t n = 0; n < build.belt->layout_count; n++) {
        build.belt->layouts[n].pulleys[pump].power_w = idle;
    }
    swl_curve_free(power_w);
    build.belt->layouts[0].static_tension_n = 20;
    build.belt->hold = SWL_BELT_FIXED_CENTRES;
    swl_belt_study study = study_of(&build);
    assert_true(study.alternatives[0].slack > 0);
    swl_near(1, slip_of(&study.alternatives[0], "pump")->margin_frac, 1e-15);
    assert_int_equal(slip_of(&study.alternatives[0], "pump")->verdict, SWL_KEPT);
    swl_belt_study_free(&study);
    swl_build_free(&build);
}

/* Rotor speeds are those of check, for each layout with its own pulley; what else check finds exceeded is kept too. */
static void limits_of_check_are_held(void **state)
{
    (void)state;
    swl_build build = test_build_load("maps/estate-roots-belt.ini");
    build.belt->layouts[0].static_tension_n = 2000;
    build.drive.d_blower_m = 0.080;
    build.limits.boost_pa = 1000;
    swl_belt_study study = study_of(&build);
    assert_true(study.exceeded);
    for (size_t n = 0; n < 3; n += 2) {
        const swl_belt_alternative *a = &study.alternatives[n];
        swl_build alone = build;
        alone.drive.d_blower_m = a->d_blower_m;
        swl_check check = test_check_run(&alone);
        size_t seen = 0;
        for (size_t i = 0; i < check.limit_count; i++) {
            for (size_t k = 0; k < a->limit_count; k++) {
                if (strcmp(check.limits[i].name, a->limits[k].name) == 0) {
                    swl_near(check.limits[i].value, a->limits[k].value, 1e-12);
                    swl_near_abs(check.limits[i].margin_frac, a->limits[k].margin_frac, 1e-12);
                    assert_int_equal(check.limits[i].verdict, a->limits[k].verdict);
                    seen++;
                }
            }
        }
        assert_int_equal(seen, 2);
        assert_int_equal(a->other_count, 1);
        assert_string_equal(a->others[0].name, "boost");
        assert_true(a->exceeded);
        swl_check_free(&check);
    }
    swl_belt_study_free(&study);
    swl_build_free(&build);
}

/* On an arc the pivot's distance stays; on a line share 0 and 1 are its ends. */
static void travel_moves_as_said(void **state)
{
    (void)state;
    swl_belt_layout layout = {.pulley_count = 0};
    pulley_add(&layout, "tensioner", 0.1, 0.2, 0.07, SWL_BELT_BACK);
    swl_belt_pulley *pulley = &layout.pulleys[0];
    pulley->travel = SWL_BELT_ON_ARC;
    pulley->pivot = (swl_xy){0.1, 0.1};
    pulley->swing_from_rad = -TEST_PI / 2;
    pulley->swing_to_rad = TEST_PI / 2;
    swl_belt_layout at = layout;
    swl_belt_move(&at, 0);
    swl_near_abs(0.2, at.pulleys[0].centre.x_m, 1e-15);
    swl_near_abs(0.1, at.pulleys[0].centre.y_m, 1e-15);
    at = layout;
    swl_belt_move(&at, 0.5);
    swl_near_abs(0.2, at.pulleys[0].centre.y_m, 1e-15);
    pulley->travel = SWL_BELT_ON_LINE;
    pulley->from = (swl_xy){0, 0};
    pulley->to = (swl_xy){0.3, -0.1};
    at = layout;
    swl_belt_move(&at, 1);
    swl_near_abs(-0.1, at.pulleys[0].centre.y_m, 1e-15);
    pulley->travel = SWL_BELT_STILL;
    swl_belt_move(&layout, 1);
    swl_near_abs(0.1, layout.pulleys[0].centre.x_m, 0);
}

static void no_belt_is_refused(void **state)
{
    (void)state;
    swl_build build = test_build_plain(0.92, 0.65);
    swl_belt_study study;
    swl_err err = {0};
    assert_int_equal(swl_belt_study_run(&build, &study, &err), SWL_ERR_USAGE);
    assert_non_null(strstr(err.text, "[belt]"));
    swl_build_free(&build);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_paths_are_tangent),
        cmocka_unit_test(effective_length_is_laid_too),
        cmocka_unit_test(moving_turning_and_mirroring_change_nothing),
        cmocka_unit_test(two_pulleys_by_closed_form),
        cmocka_unit_test(idler_leaves_the_belt),
        cmocka_unit_test(faults_are_told_apart),
        cmocka_unit_test(span_through_a_pulley),
        cmocka_unit_test(walk_balances),
        cmocka_unit_test(grip_limits),
        cmocka_unit_test(study_uses_the_match),
        cmocka_unit_test(needed_tension_is_the_border),
        cmocka_unit_test(belts_fit_where_they_are_said_to),
        cmocka_unit_test(belt_taut_at_two_places),
        cmocka_unit_test(slack_belt_has_no_tensions),
        cmocka_unit_test(idle_pulley_does_not_slip),
        cmocka_unit_test(limits_of_check_are_held),
        cmocka_unit_test(travel_moves_as_said),
        cmocka_unit_test(no_belt_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
