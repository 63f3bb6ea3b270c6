#include "reference/full_compare.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ROOTS_MAX = 8, SCAN_STEPS = 770 };
#define PI 3.14159265358979323846
#define SCAN_STEP 0.01
#define LIBRARY_STEP 0.02
/* docs/model.md, Match */
#define BALANCE_TOLERANCE 1e-12

#define FIELD(member, kind) .name = #member, .at = offsetof(swl_point, member), .scale = (kind), .where = "-"
static const full_field FIELDS[] = {
    {FIELD(engine_rpm, FULL_OWN)},
    {FIELD(blower_rpm, FULL_OWN)},
    {FIELD(corrected_rpm, FULL_OWN)},
    {FIELD(p_ratio, FULL_OWN)},
    {FIELD(p_t_pa, FULL_OWN)},
    {FIELD(p1_pa, FULL_OWN)},
    {FIELD(p2_pa, FULL_OWN)},
    {FIELD(p3_pa, FULL_OWN)},
    {FIELD(p_e_pa, FULL_OWN)},
    {FIELD(t1_k, FULL_OWN)},
    {FIELD(t2s_k, FULL_OWN)},
    {FIELD(t2_k, FULL_OWN)},
    {FIELD(t3_k, FULL_OWN)},
    {FIELD(boost_pa, FULL_SITE)},
    {FIELD(mdot_kg_s, FULL_OWN)},
    {FIELD(vdot1_m3_s, FULL_OWN)},
    {FIELD(map_vdot_m3_s, FULL_OWN)},
    {FIELD(ev_frac, FULL_OWN)},
    {FIELD(ea_frac, FULL_OWN)},
    {FIELD(engine_ve_frac, FULL_OWN)},
    {FIELD(p_shaft_w, FULL_POWER)},
    {FIELD(q_cooler_w, FULL_POWER)},
    {FIELD(torque_nm, FULL_TORQUE)},
    {FIELD(t_coolant_in_k, FULL_OWN)},
    {FIELD(t_coolant_out_k, FULL_OWN)},
    {FIELD(cooler_eff_frac, FULL_OWN)},
    {FIELD(front_w_k, FULL_OWN)},
};
_Static_assert(sizeof FIELDS / sizeof FIELDS[0] == FULL_FIELDS, "every double of a point");

void full_tally_init(full_tally *tally)
{
    *tally = (full_tally){0};
    memcpy(tally->fields, FIELDS, sizeof FIELDS);
}

/* ---- the balances at one engine speed ---- */

/* Signs of (m - m_e) over the whole range of the match. */
typedef struct scan {
    size_t count;
    double low[ROOTS_MAX]; /* a balance stands within a step above each */
    bool spare;            /* the blower has air to spare, which is all over the range when count is 0 */
    bool eaten;            /* at the highest ratio the cooler's loss takes all of p2 */
} scan;

static scan scan_ratios(const full_model *model)
{
    scan found = {0};
    full_unknowns u;
    bool before = full_reduced(model, SWL_MATCH_RATIO_MIN, &u) > 0;
    found.spare = before;
    for (int i = 1; i <= SCAN_STEPS; i++) {
        bool spare = full_reduced(model, SWL_MATCH_RATIO_MIN + SCAN_STEP * i, &u) > 0;
        if (spare != before && found.count < ROOTS_MAX) {
            found.low[found.count++] = SWL_MATCH_RATIO_MIN + SCAN_STEP * (i - 1);
        }
        before = spare;
    }
    found.eaten = u.p3_pa <= 0;
    return found;
}

static bool within_step(const full_unknowns *u, double low)
{
    double p_ratio = u->p2_pa / u->p1_pa;
    return p_ratio >= low - 1e-9 && p_ratio <= low + SCAN_STEP + 1e-9;
}

/* The balance within the step above low: from a guess that knows neither the step nor the state, then from one that
 * knows the step, then from the state there. Returns: the largest residual, above FULL_SOLVED or NaN when all fail. */
static double solve_within(full_solver *solver, const full_model *model, double low, full_unknowns *u, full_tally *t)
{
    size_t *const ways[] = {&t->plain, &t->scanned, &t->stepped};
    for (size_t way = 0; way < 3; way++) {
        *u = full_guess(model, way == 0 ? 1.4 : low + SCAN_STEP / 2);
        if (way == 2) {
            (void)full_reduced(model, low + SCAN_STEP / 2, u);
        }
        double left = full_solve(solver, model, u);
        if (left <= FULL_SOLVED && within_step(u, low)) {
            ++*ways[way];
            return left;
        }
    }
    return (double)NAN;
}

/* ---- one point against the library's ---- */

static void complain(full_trial *t, const char *what, double want, double got)
{
    t->ok = false;
    printf("%s: %s: want %.17g, got %.17g\n", t->where, what, want, got);
}

static double value_at(const swl_point *p, size_t at)
{
    double value;
    memcpy(&value, (const char *)p + at, sizeof value);
    return value;
}

static double scale_of(const full_trial *t, const full_field *f, const swl_point *want)
{
    double own = fabs(value_at(want, f->at));
    double power_w = want->mdot_kg_s * t->model->cp1_j_kg_k * t->model->t1_k;
    double shaft_rad_s = want->blower_rpm / t->model->build->blower.gear_ratio * PI / 30;
    switch (f->scale) {
    case FULL_SITE:
        return fmax(own, FULL_SCALE_FLOOR * t->model->p0_pa);
    case FULL_POWER:
        return fmax(own, FULL_SCALE_FLOOR * power_w);
    case FULL_TORQUE:
        return fmax(own, FULL_SCALE_FLOOR * power_w / shaft_rad_s);
    default:
        return own;
    }
}

/* What does not exist must not exist in either, and 0 is 0. */
static double deviation(const full_trial *t, const full_field *f, const swl_point *want, const swl_point *got)
{
    double a = value_at(want, f->at);
    double b = value_at(got, f->at);
    bool same = (isnan(a) && isnan(b)) || (fabs(a) <= 0 && fabs(b) <= 0);
    return same ? 0 : fabs(b - a) / scale_of(t, f, want);
}

static void compare_fields(full_trial *t, const swl_point *want, const swl_point *got)
{
    for (size_t i = 0; i < FULL_FIELDS; i++) {
        full_field *f = &t->tally->fields[i];
        double off = deviation(t, f, want, got);
        if (!(off <= FULL_TOLERANCE)) {
            complain(t, f->name, value_at(want, f->at), value_at(got, f->at));
        }
        if (!(off <= f->worst)) {
            f->worst = off;
            memcpy(f->where, t->where, sizeof f->where);
        }
    }
    if (!(fabs(got->balance_frac) <= BALANCE_TOLERANCE)) {
        complain(t, "balance_frac", 0, got->balance_frac);
    }
    t->tally->balance = fmax(t->tally->balance, fabs(got->balance_frac));
}

static void compare_flags(full_trial *t, const swl_point *want, const swl_point *got)
{
    if (want->map_where != got->map_where) {
        complain(t, "map_where", want->map_where, got->map_where);
    }
    if (want->ve_held != got->ve_held) {
        complain(t, "ve_held", want->ve_held, got->ve_held);
    }
    if (want->choked != got->choked) {
        complain(t, "choked", want->choked, got->choked);
    }
    if (want->coolant_held != got->coolant_held) {
        complain(t, "coolant_held", want->coolant_held, got->coolant_held);
    }
    if (want->below_dew_point != got->below_dew_point) {
        complain(t, "below_dew_point", want->below_dew_point, got->below_dew_point);
    }
}

/* "Outside 200 to 1000 K ... a solution there is refused." */
static bool covered(const swl_point *p)
{
    return fmin(fmin(p->t1_k, p->t2_k), fmin(p->t2s_k, p->t3_k)) >= 200 &&
           fmax(fmax(p->t1_k, p->t2_k), fmax(p->t2s_k, p->t3_k)) <= 1000;
}

static void count_point(full_tally *t, const swl_build *build, const swl_point *p)
{
    bool open = isnan(build->intake.bore_m);
    const swl_cooler *cooler = &build->cooler;
    bool cooled = cooler->effectiveness_frac > 0 || cooler->effectiveness != NULL || cooler->ua_w_k > 0;
    t->looped += cooler->front_air_kg_s > 0;
    t->by_ua += cooler->ua_w_k > 0;
    t->by_curve += cooler->effectiveness != NULL;
    t->choked += p->choked;
    t->throttled += !open && !p->choked;
    t->open += open;
    t->below_one += p->p_ratio < 1;
    t->inside += p->map_where == SWL_MAP_INSIDE;
    t->outside += p->map_where != SWL_MAP_INSIDE;
    t->cooled += cooled;
    t->uncooled += !cooled;
    t->wet += p->below_dew_point;
    t->held += p->ve_held;
    t->from_power += build->blower.efficiency_from == SWL_FROM_SHAFT_POWER;
    t->from_rise += build->blower.efficiency_from == SWL_FROM_TEMPERATURE_RISE;
}

static void compare_solved(full_trial *t, const swl_point *want, const swl_point *got)
{
    swl_match_end end = covered(want) ? SWL_MATCH_SOLVED : SWL_MATCH_AIR_RANGE;
    if (got->end != end) {
        complain(t, "end", end, got->end);
        return;
    }
    compare_fields(t, want, got);
    compare_flags(t, want, got);
    t->tally->solved += end == SWL_MATCH_SOLVED;
    t->tally->refused += end != SWL_MATCH_SOLVED;
    if (end == SWL_MATCH_SOLVED) {
        count_point(t->tally, t->model->build, want);
    }
}

/* Two balances within one step of the library's leave no sign to see, and it says so (sweptline/match.h). Its steps go
 * up from ratio 1 and are twice as wide as those of the scan here. */
static bool within_one_step(double low_a, double low_b)
{
    return floor((low_a + SCAN_STEP / 2 - 1) / LIBRARY_STEP) >= floor((low_b + SCAN_STEP / 2 - 1) / LIBRARY_STEP);
}

/* Returns: whether all the balances below the one the library took are such pairs. */
static bool hidden_below(const scan *found, size_t which)
{
    for (size_t i = 0; i < which; i += 2) {
        if (i + 1 >= found->count || !within_one_step(found->low[i], found->low[i + 1])) {
            return false;
        }
    }
    return true;
}

/* Solves every balance there is. Returns: false when one of them was not reached. */
static bool solve_all(full_trial *t, const scan *found, swl_point points[ROOTS_MAX])
{
    for (size_t i = 0; i < found->count; i++) {
        full_unknowns u;
        double left = solve_within(t->solver, t->model, found->low[i], &u, t->tally);
        if (!(left <= FULL_SOLVED)) {
            t->tally->unreached++;
            complain(t, "the reference did not converge in the step above ratio", found->low[i], (double)NAN);
            return false;
        }
        t->tally->left = fmax(t->tally->left, left);
        points[i] = full_point(t->model, &u);
    }
    return true;
}

static void note_hidden(full_trial *t, const scan *found, size_t which, const swl_point *got)
{
    t->tally->not_lowest += which < found->count;
    t->tally->none_seen += which >= found->count;
    printf("note: %s: %zu balances, the lowest above ratio %.2f, the next above %.2f; the library at %.4f: %s\n",
           t->where, found->count, found->low[0], found->count > 1 ? found->low[1] : (double)NAN, got->p_ratio,
           swl_match_reason(got->end));
    if (!hidden_below(found, which)) {
        complain(t, "a balance that its steps show was passed over", found->low[0], got->p_ratio);
    }
}

/* Further balances must be told of, but for a pair that the library's steps hide. */
static void check_several(full_trial *t, const scan *found, const swl_point *got)
{
    bool told = swl_match_several(t->match, got);
    bool there = found->count > 1;
    bool hidden = there && found->count <= 3 &&
                  (within_one_step(found->low[0], found->low[1]) ||
                   within_one_step(found->low[found->count - 2], found->low[found->count - 1]));
    t->tally->several += there;
    t->tally->several_told += there && told;
    if (told != there && !hidden) {
        complain(t, "several", there, told);
    }
}

static size_t nearest_to(const swl_point *points, size_t count, double p_ratio)
{
    size_t which = 0;
    for (size_t i = 1; i < count; i++) {
        which = fabs(points[i].p_ratio - p_ratio) < fabs(points[which].p_ratio - p_ratio) ? i : which;
    }
    return which;
}

static bool names_no_balance(swl_match_end end)
{
    return end == SWL_MATCH_BLOWER_TOO_SMALL || end == SWL_MATCH_ENGINE_TOO_SMALL || end == SWL_MATCH_COOLER_LOSS;
}

/* Against the nearest of the balances that there are. */
static void check_solved(full_trial *t, const scan *found, const swl_point *got)
{
    swl_point points[ROOTS_MAX];
    if (!solve_all(t, found, points)) {
        return;
    }
    if (names_no_balance(got->end)) {
        note_hidden(t, found, found->count, got);
        return;
    }
    size_t which = nearest_to(points, found->count, got->p_ratio);
    if (which > 0) {
        note_hidden(t, found, which, got);
    }
    compare_solved(t, &points[which], got);
    check_several(t, found, got);
}

/* No balance from 0.3 to 8: the name must say why, and the solver must find none either. */
static void check_failed(full_trial *t, const scan *found, const swl_point *got)
{
    swl_match_end end = !found->spare  ? SWL_MATCH_BLOWER_TOO_SMALL
                        : found->eaten ? SWL_MATCH_COOLER_LOSS
                                       : SWL_MATCH_ENGINE_TOO_SMALL;
    if (got->end != end) {
        complain(t, "end", end, got->end);
    }
    full_unknowns u = full_guess(t->model, 1.4);
    if (full_solve(t->solver, t->model, &u) <= FULL_SOLVED) {
        double p_ratio = u.p2_pa / u.p1_pa;
        if (p_ratio >= SWL_MATCH_RATIO_MIN && p_ratio <= SWL_MATCH_RATIO_MAX) {
            complain(t, "a balance that the scan does not show", (double)NAN, p_ratio);
        }
    }
    t->tally->too_small_blower += end == SWL_MATCH_BLOWER_TOO_SMALL;
    t->tally->too_small_engine += end == SWL_MATCH_ENGINE_TOO_SMALL;
    t->tally->cooler_loss += end == SWL_MATCH_COOLER_LOSS;
}

void full_try_point(full_trial *t, double engine_rpm)
{
    full_model_speed(t->model, engine_rpm);
    swl_point got = swl_match_point(t->match, engine_rpm);
    scan found = scan_ratios(t->model);
    t->ok = true;
    if (found.count > 0) {
        check_solved(t, &found, &got);
    } else {
        check_failed(t, &found, &got);
    }
    t->tally->points++;
    t->tally->passed += t->ok;
    t->tally->failed += !t->ok;
}
