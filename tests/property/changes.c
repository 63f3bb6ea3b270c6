/* How one operating point answers to one change of the build. Each law names what it needs to hold. */
#include "property/laws.h"

#include <string.h>

/* What a change moves upward (1), downward (-1), not at all (2), or either way (0). */
typedef struct answer {
    int ratio, mdot, boost, t2, t3, shaft;
} answer;

typedef struct change {
    const char *name;
    bool (*make)(swl_build *build); /* false where the build has no such part */
    answer due;
    enum { ANY, FASTER, COOLING } kind;
} change;

static bool smaller_pulley(swl_build *b)
{
    b->drive.d_blower_m *= 0.99;
    return true;
}

static bool less_slip(swl_build *b)
{
    b->drive.slip_frac *= 0.5;
    return b->drive.slip_frac > 1e-4;
}

static bool larger_unit(swl_build *b)
{
    b->blower.disp_m3_rev *= 1.01;
    return true;
}

static bool better_filling(swl_build *b)
{
    b->blower.ev_factor *= 1.01;
    return true;
}

static bool better_efficiency(swl_build *b)
{
    b->blower.ea_factor *= 1.01;
    return true;
}

static bool more_mechanical_loss(swl_build *b)
{
    b->blower.mechanical_eff_frac *= 0.98;
    return b->blower.efficiency_from == SWL_FROM_TEMPERATURE_RISE;
}

static bool thirstier_engine(swl_build *b)
{
    b->engine.ve_factor *= 1.01;
    return true;
}

static bool larger_engine(swl_build *b)
{
    b->engine.disp_m3 *= 1.01;
    return true;
}

static bool warmer_site(swl_build *b)
{
    b->site.t_k += 2;
    /* The vapour is held, since warmer air of the same humidity holds more of it; front air stands by itself. */
    b->site.rh_frac = 0;
    return b->site.t_k < 320;
}

static bool higher_pressure(swl_build *b)
{
    b->site.p_pa *= 1.01;
    b->site.rh_frac = 0;
    return true;
}

static bool warmer_inlet(swl_build *b)
{
    b->intake.heat_pickup_k += 3;
    return true;
}

static bool larger_throttle(swl_build *b)
{
    b->intake.bore_m *= 1.02;
    return !isnan(b->intake.bore_m);
}

static bool better_throttle(swl_build *b)
{
    b->intake.discharge_coefficient *= 1.02;
    return !isnan(b->intake.bore_m);
}

static bool smaller_step(swl_build *b)
{
    b->intake.inlet_bore_m = 0.5 * (b->intake.inlet_bore_m + b->intake.adapter_bore_m);
    return !isnan(b->intake.adapter_bore_m);
}

static bool less_duct_loss(swl_build *b)
{
    b->intake.loss.dp_pa *= 0.9;
    return b->intake.loss.dp_pa > 0;
}

static bool more_cooler_loss(swl_build *b)
{
    b->cooler.loss.dp_pa *= 1.1;
    return b->cooler.loss.dp_pa > 0;
}

static bool better_cooler(swl_build *b)
{
    b->cooler.effectiveness_frac *= 1.01;
    return b->cooler.effectiveness_frac > 0 && b->cooler.effectiveness_frac <= 1;
}

static bool larger_core(swl_build *b)
{
    b->cooler.ua_w_k *= 1.05;
    return b->cooler.ua_w_k > 0;
}

static bool more_front_air(swl_build *b)
{
    b->cooler.front_air_kg_s *= 1.1;
    return swl_cooler_has_loop(&b->cooler);
}

static bool colder_front_air(swl_build *b)
{
    b->cooler.t_front_air_k -= 3;
    return swl_cooler_has_loop(&b->cooler) && b->cooler.t_front_air_k > 250;
}

static bool colder_coolant(swl_build *b)
{
    b->cooler.t_coolant_k -= 2;
    return swl_cooler_there(&b->cooler) && !swl_cooler_has_loop(&b->cooler) && b->cooler.t_coolant_k > 250;
}

static bool more_back_pressure(swl_build *b)
{
    b->engine.back_pressure.dp_pa *= 1.1;
    return b->engine.back_pressure.dp_pa > 0 && b->engine.ve_p_ideal;
}

static const change changes[] = {
    {"change: a smaller blower pulley", smaller_pulley, {1, 1, 1, 1, 0, 1}, FASTER},
    {"change: less slip", less_slip, {1, 1, 1, 1, 0, 1}, FASTER},
    {"change: a larger unit", larger_unit, {1, 1, 1, 1, 0, 1}, FASTER},
    {"change: a unit that fills better", better_filling, {1, 1, 1, 1, 0, 1}, FASTER},
    {"change: a more efficient unit", better_efficiency, {0, 0, 0, 0, 0, 0}, ANY},
    {"change: more mechanical loss", more_mechanical_loss, {2, 2, 2, 2, 2, 1}, ANY},
    {"change: an engine that breathes better", thirstier_engine, {-1, 1, -1, -1, 0, 0}, ANY},
    {"change: a larger engine", larger_engine, {-1, 1, -1, -1, 0, 0}, ANY},
    {"change: a warmer site", warmer_site, {0, -1, 0, 1, 0, 0}, ANY},
    {"change: a site of higher pressure", higher_pressure, {0, 1, 0, 0, 0, 0}, ANY},
    {"change: a warmer blower inlet", warmer_inlet, {0, -1, 0, 1, 0, 0}, ANY},
    {"change: a larger throttle body", larger_throttle, {0, 1, 1, 0, 0, 0}, ANY},
    {"change: a throttle body that flows better", better_throttle, {0, 1, 1, 0, 0, 0}, ANY},
    {"change: a smaller step at the adapter", smaller_step, {0, 1, 1, 0, 0, 0}, ANY},
    {"change: less loss in filter and ducts", less_duct_loss, {0, 1, 1, 0, 0, 0}, ANY},
    {"change: more loss in the cooler", more_cooler_loss, {1, -1, 0, 1, 0, 0}, ANY},
    {"change: a better cooler", better_cooler, {-1, 1, -1, -1, -1, 0}, COOLING},
    {"change: a larger core", larger_core, {-1, 1, -1, -1, -1, 0}, COOLING},
    {"change: more air through the front exchanger", more_front_air, {-1, 1, -1, -1, -1, 0}, COOLING},
    {"change: colder air in front of the front exchanger", colder_front_air, {-1, 1, -1, -1, -1, 0}, COOLING},
    {"change: colder coolant", colder_coolant, {-1, 1, -1, -1, -1, 0}, COOLING},
    {"change: more back pressure", more_back_pressure, {1, -1, 1, 1, 0, 0}, ANY},
};
enum { CHANGES = sizeof changes / sizeof changes[0] };

static bool moved(int due, double before, double after)
{
    /* A flow is known to 1e-12 of itself or to the last digit of the pressure ratio. */
    double still = 1e-9 * fabs(before);
    return due == 0 || (due == 1 && after >= before - still) || (due == -1 && after <= before + still) ||
           (due == 2 && fabs(after - before) <= still);
}

/* What a law needs (docs/model.md, Match). More blower takes more power only where the blower drives the air; it warms
 * the air more only where it is not more efficient there, and boost and pressure ratio rise unless efficiency rises by
 * a larger share than speed. A cooler that warms the charge warms it more the better it is. And where the blower turns
 * as before, more air at a lower pressure ratio takes a map that says so: each line of it does, but the curve across
 * lines that end at different pressure ratios may fill worse by some parts in ten thousand. */
static answer due_of(const change *c, const swl_point *p, const swl_point *q)
{
    answer due = c->due;
    if (c->kind == FASTER) {
        due.shaft = p->p_ratio >= 1 ? due.shaft : 0;
        due.t2 = q->ea_frac <= p->ea_frac ? due.t2 : 0;
        if (q->ea_frac > p->ea_frac * 1.01) {
            due.ratio = 0;
            due.boost = 0;
            due.shaft = 0;
        }
    }
    if (c->kind == COOLING && !(p->q_cooler_w > 0 && q->q_cooler_w > 0)) {
        return (answer){0};
    }
    if (p->corrected_rpm == q->corrected_rpm && (due.mdot == 1 ? q->ev_frac < p->ev_frac : q->ev_frac > p->ev_frac)) {
        due.mdot = due.mdot == 2 ? 2 : 0;
    }
    return due;
}

static void hold(law_book *book, const change *c, const swl_point *p, const swl_point *q)
{
    const answer due = due_of(c, p, q);
    const struct {
        const char *word;
        int due;
        double before, after;
    } rows[] = {
        {"pressure ratio", due.ratio, p->p_ratio, q->p_ratio}, {"air flow", due.mdot, p->mdot_kg_s, q->mdot_kg_s},
        {"manifold pressure", due.boost, p->p3_pa, q->p3_pa},  {"discharge temperature", due.t2, p->t2_k, q->t2_k},
        {"charge temperature", due.t3, p->t3_k, q->t3_k},      {"drive power", due.shaft, p->p_shaft_w, q->p_shaft_w}};
    bool good = true;
    const char *word = "";
    double before = 0;
    double after = 0;
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        if (good && !moved(rows[i].due, rows[i].before, rows[i].after)) {
            good = false;
            word = rows[i].word;
            before = rows[i].before;
            after = rows[i].after;
        }
    }
    law(book, c->name, good,
        "%s goes from %.9g to %.9g at %.6g rpm, ratio %.5g, ea %.5g to %.5g, ev %.5g to %.5g, map %u to %u%s%s", word,
        before, after, p->engine_rpm, p->p_ratio, p->ea_frac, q->ea_frac, p->ev_frac, q->ev_frac, p->map_where,
        q->map_where, p->choked ? ", choked" : "", p->boost_pa < 0 ? ", no boost" : "");
}

/* Between the ends of the bracket blower and engine balance once. */
static void one_balance(law_book *book, swl_match *match, double engine_rpm)
{
    enum { STEPS = 48 };
    int crossings = 0;
    double before = NAN;
    for (int i = 0; i <= STEPS; i++) {
        double p_ratio = SWL_MATCH_RATIO_MIN * pow(SWL_MATCH_RATIO_MAX / SWL_MATCH_RATIO_MIN, (double)i / STEPS);
        swl_point p = swl_match_state(match, engine_rpm, p_ratio);
        crossings += before * p.balance_frac < 0;
        before = p.balance_frac;
    }
    law(book, "root: one balance", crossings <= 1, "%d at %.9g rpm", crossings, engine_rpm);
}

/* Whether a blower that turns faster moves more at the same pressure ratio. On a map it does, whose lines may not
 * cross; beside it, where the ends of uneven lines are held, it need not. match is set to the changed build. */
static bool moves_more(law_book *book, const change *c, swl_match *match, const swl_point *p)
{
    if (c->kind != FASTER) {
        return true;
    }
    swl_point q = swl_match_state(match, p->engine_rpm, p->p_ratio);
    bool more = q.vdot1_m3_s > p->vdot1_m3_s;
    if (p->map_where == SWL_MAP_INSIDE && q.map_where == SWL_MAP_INSIDE) {
        law(book, "map: faster moves more", more, "%.9g after %.9g m3/s at %.9g rpm", q.vdot1_m3_s, p->vdot1_m3_s,
            p->engine_rpm);
    }
    return more;
}

void laws_of_changes(law_book *book, swl_build *build, const swl_check *check, test_random *random)
{
    if (swl_map_is_steep(build->blower.map)) {
        return; /* such a map may balance more than once, and the lowest balance jumps */
    }
    swl_match *match = test_match_new(build);
    one_balance(book, match, check->line[test_whole(random, 0, (int)check->line_count - 1)].engine_rpm);
    for (int k = 0; k < 5; k++) {
        const change *c = &changes[test_whole(random, 0, CHANGES - 1)];
        double rpm = check->line[test_whole(random, 0, (int)check->line_count - 1)].engine_rpm;
        swl_build first = *build;
        /* What a change holds still is held in both. */
        if (c->make == warmer_site || c->make == higher_pressure) {
            first.site.rh_frac = 0;
        }
        if (swl_cooler_has_loop(&first.cooler)) {
            first.cooler.t_front_air_k = swl_cooler_front_air_k(&first.cooler, first.site.t_k);
        }
        swl_build second = first;
        if (!c->make(&second)) {
            continue;
        }
        swl_match_set(match, &first);
        swl_point p = swl_match_point(match, rpm);
        swl_match_set(match, &second);
        swl_point q = swl_match_point(match, rpm);
        if (p.end == SWL_MATCH_SOLVED && q.end == SWL_MATCH_SOLVED && moves_more(book, c, match, &p)) {
            hold(book, c, &p, &q);
        }
    }
    swl_match_free(match);
}
