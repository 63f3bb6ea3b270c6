/* Mass, energy and pressures of a solved point, each found again from the numbers of the point alone. */
#include "property/laws.h"

#include <string.h>

/* Of a sum of the terms a root was found for: brent's bracket ends at 1e-12 of the flow or the last digit of the
 * pressure ratio, which a throttle near choking makes a larger share of the flow. */
#define ROOT 1e-9
/* Of arithmetic on numbers that are stored in full. */
#define EXACT 1e-11

typedef struct site_air {
    const swl_build *build;
    swl_air air;
    double t1_k;
} site_air;

static double loss_pa(swl_loss loss, double mdot_kg_s, double density_kg_m3)
{
    return swl_flow_loss_factor(loss) * mdot_kg_s * mdot_kg_s / density_kg_m3;
}

static void mass(law_book *book, const site_air *s, const swl_point *p)
{
    const swl_engine *engine = &s->build->engine;
    double r = s->air.r_j_kg_k;
    double blower_kg_s = p->p1_pa * p->vdot1_m3_s / (r * p->t1_k);
    double engine_kg_s = p->engine_ve_frac * p->p3_pa * engine->disp_m3 * p->engine_rpm / (120 * r * p->t3_k);
    double swept_m3_s = p->ev_frac * s->build->blower.disp_m3_rev * p->blower_rpm / 60;
    law(book, "mass: blower's flow", law_near(blower_kg_s, p->mdot_kg_s, EXACT), "%.12g of %.12g", blower_kg_s,
        p->mdot_kg_s);
    law(book, "mass: engine's flow is the blower's", law_near(engine_kg_s, p->mdot_kg_s, ROOT), "%.12g of %.12g",
        engine_kg_s, p->mdot_kg_s);
    law(book, "mass: swept volume", law_near(swept_m3_s, p->vdot1_m3_s, EXACT), "%.12g", swept_m3_s);
    double ratio = swl_drive_ratio(&s->build->drive, s->build->blower.gear_ratio) * (1 - s->build->drive.slip_frac);
    law(book, "speed: drive", law_near(ratio * p->engine_rpm, p->blower_rpm, EXACT), "%.12g", ratio * p->engine_rpm);
    double ve_frac =
        swl_engine_ve_frac(engine, swl_engine_ve_curve_frac(engine, p->engine_rpm), p->t3_k, p->p_e_pa / p->p3_pa);
    law(book, "engine: volumetric efficiency", law_near(ve_frac, p->engine_ve_frac, ROOT), "%.12g of %.12g", ve_frac,
        p->engine_ve_frac);
}

static void pressures(law_book *book, const site_air *s, const swl_point *p)
{
    const swl_build *build = s->build;
    double p0_pa = build->site.p_pa;
    double r = s->air.r_j_kg_k;
    double duct_pa = loss_pa(build->intake.loss, p->mdot_kg_s, p0_pa / (r * build->site.t_k));
    law(book, "pressure: filter and ducts", law_near(p0_pa - duct_pa, p->p_t_pa, ROOT), "%.12g", p0_pa - duct_pa);
    law(book, "pressure: falls to the blower",
        p0_pa >= p->p_t_pa && p->p_t_pa >= p->p_throttle_pa * (1 - EXACT) && p->p_throttle_pa >= p->p1_pa * (1 - EXACT),
        "%.9g %.9g %.9g %.9g", p0_pa, p->p_t_pa, p->p_throttle_pa, p->p1_pa);
    law(book, "pressure: blower", law_near(p->p1_pa * p->p_ratio, p->p2_pa, EXACT), "%.12g", p->p1_pa * p->p_ratio);
    double cooler_pa =
        swl_cooler_there(&build->cooler) ? loss_pa(build->cooler.loss, p->mdot_kg_s, p->p2_pa / (r * p->t2_k)) : 0;
    law(book, "pressure: cooler", law_near(p->p2_pa - cooler_pa, p->p3_pa, ROOT), "%.12g of %.12g",
        p->p2_pa - cooler_pa, p->p3_pa);
    law(book, "pressure: boost", law_near(p->p3_pa, p0_pa + p->boost_pa, EXACT), "%.12g", p->boost_pa);
    swl_loss back = build->engine.back_pressure;
    double share = back.mdot_kg_s > 0 ? p->mdot_kg_s / back.mdot_kg_s : 0;
    law(book, "pressure: exhaust", law_near(p0_pa + back.dp_pa * share * share, p->p_e_pa, ROOT), "%.12g", p->p_e_pa);
    /* All losses and the blower's own rise, added up from the site to the manifold, are the boost. */
    double sum_pa = -(p0_pa - p->p_t_pa) - (p->p_t_pa - p->p_throttle_pa) - (p->p_throttle_pa - p->p1_pa) +
                    p->p1_pa * (p->p_ratio - 1) - cooler_pa;
    law(book, "pressure: the chain adds up", fabs(sum_pa - p->boost_pa) <= ROOT * p0_pa, "%.12g of %.12g", sum_pa,
        p->boost_pa);
    double bores_m2 = build->intake.throttle_count * TEST_PI / 4 * build->intake.bore_m * build->intake.bore_m;
    if (!isnan(bores_m2)) {
        double orifice = swl_flow_orifice(p->p_throttle_pa / p->p_t_pa, swl_air_gamma(&s->air, build->site.t_k));
        double kg_s = build->intake.discharge_coefficient * bores_m2 * p->p_t_pa * orifice / sqrt(r * build->site.t_k);
        /* Near no drop the orifice's flow has no slope to speak of: its pressure is then known better than its flow. */
        bool flat = p->p_throttle_pa > 0.9999 * p->p_t_pa;
        law(book, "mass: throttle's flow", flat || law_near(kg_s, p->mdot_kg_s, 1e-7), "%.12g of %.12g", kg_s,
            p->mdot_kg_s);
    }
}

static void energy(law_book *book, const site_air *s, const swl_point *p)
{
    const swl_blower *blower = &s->build->blower;
    const swl_cooler *cooler = &s->build->cooler;
    double h1 = swl_air_h_j_kg(&s->air, p->t1_k);
    double h2 = swl_air_h_j_kg(&s->air, p->t2_k);
    double h2s = swl_air_h_j_kg(&s->air, p->t2s_k);
    double h3 = swl_air_h_j_kg(&s->air, p->t3_k);
    double into_w = p->mdot_kg_s * (h2 - h1);
    double scale_w = p->mdot_kg_s * 1005 * p->t1_k * EXACT;
    double em = blower->mechanical_eff_frac;
    double gas_w = p->p_ratio >= 1 ? p->p_shaft_w * em : p->p_shaft_w / em;
    law(book, "energy: shaft into the air", fabs(gas_w - into_w) <= scale_w + 1e-10 * fabs(into_w), "%.12g of %.12g",
        gas_w, into_w);
    double ideal_w = p->mdot_kg_s * (h2s - h1);
    double stated_w = blower->efficiency_from == SWL_FROM_SHAFT_POWER ? p->p_shaft_w : into_w;
    double by_ea_w = p->p_ratio >= 1 ? ideal_w / p->ea_frac : ideal_w * p->ea_frac;
    law(book, "energy: adiabatic efficiency", fabs(by_ea_w - stated_w) <= scale_w + 1e-10 * fabs(stated_w),
        "%.12g of %.12g", by_ea_w, stated_w);
    law(book, "entropy: isentropic end",
        law_near(swl_air_s0_j_kg_k(&s->air, p->t2s_k),
                 swl_air_s0_j_kg_k(&s->air, p->t1_k) + s->air.r_j_kg_k * log(p->p_ratio), EXACT),
        "%.12g", p->t2s_k);
    law(book, "entropy: none is lost",
        p->p_ratio < 1 || p->t2_k >= p->t2s_k * (1 - EXACT) || blower->efficiency_from == SWL_FROM_SHAFT_POWER,
        "%.9g under %.9g", p->t2_k, p->t2s_k);
    double omega = p->blower_rpm / blower->gear_ratio * TEST_PI / 30;
    law(book, "energy: torque", law_near(p->torque_nm * omega, p->p_shaft_w, EXACT), "%.12g", p->torque_nm);
    double heat_w = p->mdot_kg_s * (h2 - h3);
    law(book, "energy: heat out of the charge", fabs(heat_w - p->q_cooler_w) <= scale_w + 1e-10 * fabs(heat_w),
        "%.12g of %.12g", p->q_cooler_w, heat_w);
    if (!swl_cooler_there(cooler)) {
        law(book, "energy: without a cooler", p->t3_k == p->t2_k && p->q_cooler_w == 0, "%.9g", p->t3_k);
        return;
    }
    law(book, "energy: cooler's effectiveness",
        fabs(p->t2_k - p->cooler_eff_frac * (p->t2_k - p->t_coolant_in_k) - p->t3_k) <= 1e-9 * p->t3_k, "%.12g",
        p->t3_k);
    if (!isnan(p->t_coolant_out_k)) {
        double flow_w_k = swl_cooler_flow_w_k(cooler, p->t_coolant_in_k, p->t_coolant_out_k);
        double taken_w = flow_w_k * (p->t_coolant_out_k - p->t_coolant_in_k);
        law(book, "energy: into the coolant", fabs(taken_w - p->q_cooler_w) <= 1e-7 * flow_w_k, "%.12g of %.12g",
            taken_w, p->q_cooler_w);
    }
    if (swl_cooler_has_loop(cooler)) {
        double front_k = swl_cooler_front_air_k(cooler, s->build->site.t_k);
        double out_w = p->front_w_k * (p->t_coolant_out_k - front_k);
        law(book, "energy: out of the front exchanger",
            fabs(out_w - p->q_cooler_w) <= 1e-7 * p->front_w_k + 1e-7 * fabs(out_w), "%.12g of %.12g", out_w,
            p->q_cooler_w);
    }
}

static void power(law_book *book, const swl_build *build, const swl_point *p, const swl_power *w)
{
    if (isnan(w->crank_w)) {
        law(book, "power: none without an estimate", isnan(w->indicated_w) && isnan(w->wheel_w), "%.9g",
            w->indicated_w);
        return;
    }
    double sum_w = w->indicated_w + w->pumping_w - w->friction_w - w->drive_w;
    double scale_w = fabs(w->indicated_w) + fabs(w->drive_w) + w->friction_w;
    law(book, "power: adds up", fabs(sum_w - w->crank_w) <= EXACT * scale_w, "%.12g of %.12g", sum_w, w->crank_w);
    double slip = 1 - build->drive.slip_frac;
    double belt_w = p->p_shaft_w >= 0 ? p->p_shaft_w / slip : p->p_shaft_w * slip;
    law(book, "power: belt", law_near(belt_w, w->drive_w, EXACT), "%.12g of %.12g", belt_w, w->drive_w);
    double pumping_w = (p->p3_pa - p->p_e_pa) * build->engine.disp_m3 * p->engine_rpm / 120;
    law(book, "power: pumping", fabs(pumping_w - w->pumping_w) <= EXACT * scale_w, "%.12g", pumping_w);
    law(book, "power: torque", fabs(w->crank_torque_nm * p->engine_rpm * TEST_PI / 30 - w->crank_w) <= EXACT * scale_w,
        "%.12g", w->crank_torque_nm);
    if (!isnan(build->engine.driveline_loss_frac) && w->crank_w > 0) {
        law(book, "power: at the wheels",
            law_near(w->crank_w * (1 - build->engine.driveline_loss_frac), w->wheel_w, EXACT), "%.12g", w->wheel_w);
    }
}

static void limits(law_book *book, const swl_check *check)
{
    bool exceeded = false;
    for (size_t i = 0; i < check->limit_count; i++) {
        const swl_limit_row *row = &check->limits[i];
        exceeded = exceeded || row->verdict == SWL_EXCEEDED;
        swl_verdict due = row->margin_frac < 0                       ? SWL_EXCEEDED
                          : row->margin_frac < SWL_CLOSE_MARGIN_FRAC ? SWL_CLOSE
                                                                     : SWL_KEPT;
        law(book, "limits: verdict by the margin", row->verdict == due, "%s: %.9g is %s", row->name, row->margin_frac,
            swl_verdict_word(row->verdict));
        law(book, "limits: margin",
            isinf(row->value) || fabs((row->limit - row->value) / row->limit - row->margin_frac) <= EXACT, "%s: %.9g",
            row->name, row->margin_frac);
    }
    law(book, "limits: exceeded in all", exceeded == check->exceeded, "%d", (int)check->exceeded);
}

static void is_number(law_book *book, const swl_point *p)
{
    const double numbers[] = {p->engine_rpm,     p->blower_rpm, p->corrected_rpm, p->p_ratio,  p->p_t_pa,
                              p->p1_pa,          p->p2_pa,      p->p3_pa,         p->p_e_pa,   p->p_throttle_pa,
                              p->t1_k,           p->t2s_k,      p->t2_k,          p->t3_k,     p->boost_pa,
                              p->mdot_kg_s,      p->vdot1_m3_s, p->map_vdot_m3_s, p->ev_frac,  p->ea_frac,
                              p->engine_ve_frac, p->p_shaft_w,  p->q_cooler_w,    p->torque_nm};
    bool finite = true;
    for (size_t i = 0; i < sizeof numbers / sizeof numbers[0]; i++) {
        finite = finite && isfinite(numbers[i]);
    }
    law(book, "numbers: all there", finite, "at %.9g rpm", p->engine_rpm);
    law(book, "numbers: root in its bracket",
        p->p_ratio >= SWL_MATCH_RATIO_MIN && p->p_ratio <= SWL_MATCH_RATIO_MAX && p->mdot_kg_s > 0 &&
            swl_air_covers(p->t2_k) && swl_air_covers(p->t3_k),
        "%.9g", p->p_ratio);
}

void laws_of_line(law_book *book, const swl_build *build, const swl_check *check)
{
    site_air s = {.build = build, .air = swl_air_humid(build->site.t_k, build->site.p_pa, build->site.rh_frac)};
    s.t1_k = build->site.t_k + build->intake.heat_pickup_k;
    law(book, "line: ends at the rev limit",
        check->line_count > 0 && check->line[check->line_count - 1].engine_rpm == build->engine.speed_limit_rpm &&
            check->line[0].engine_rpm == build->engine.speed_from_rpm,
        "%zu rows", check->line_count);
    for (size_t i = 0; i < check->line_count; i++) {
        is_number(book, &check->line[i]);
        mass(book, &s, &check->line[i]);
        pressures(book, &s, &check->line[i]);
        energy(book, &s, &check->line[i]);
        power(book, build, &check->line[i], &check->power[i]);
    }
    limits(book, check);
}
