/* All of `check`: build file, unit file and map in, tables and JSON out; and the studies that a build's sections ask
 * for. */
#include "fuzz.h"

#include <math.h>

static void hold_line(const swl_check *check)
{
    FUZZ_HOLD(check->line_count >= 1 && check->line_count <= SWL_LINE_ROWS_MAX);
    FUZZ_HOLD(check->limit_count <= SWL_LIMIT_ROWS_MAX);
    for (size_t i = 0; i < check->line_count; i++) {
        const swl_point *p = &check->line[i];
        FUZZ_HOLD(p->end == SWL_MATCH_SOLVED);
        FUZZ_HOLD(p->engine_rpm > 0 && p->blower_rpm > 0 && p->corrected_rpm > 0 && isfinite(p->blower_rpm));
        FUZZ_HOLD(p->p_ratio >= SWL_MATCH_RATIO_MIN && p->p_ratio <= SWL_MATCH_RATIO_MAX);
        FUZZ_HOLD(p->p1_pa > 0 && p->p2_pa > 0 && p->p3_pa > 0 && p->p_e_pa > 0 && isfinite(p->p_e_pa));
        FUZZ_HOLD(p->t1_k > 0 && p->t2_k > 0 && p->t3_k > 0 && isfinite(p->t2_k + p->t3_k));
        FUZZ_HOLD(p->mdot_kg_s > 0 && isfinite(p->mdot_kg_s) && isfinite(p->p_shaft_w) && isfinite(p->torque_nm));
        FUZZ_HOLD(p->ev_frac > 0 && p->ea_frac > 0 && p->engine_ve_frac > 0);
    }
    for (size_t i = 0; i < check->limit_count; i++) {
        FUZZ_HOLD(isfinite(check->limits[i].value) && isfinite(check->limits[i].limit));
        FUZZ_HOLD((check->limits[i].verdict == SWL_EXCEEDED) == (check->limits[i].value > check->limits[i].limit));
    }
}

static void report(const swl_build *build, const swl_check *check, const swl_diags *diags)
{
    swl_buf out[3] = {0};
    swl_notes notes = {0};
    swl_err err = {0};
    swl_notes_check(&notes, build, check, diags, build->units);
    swl_report_check_text(&out[0], build, check, &notes, build->units, false);
    fuzz_hold_text(&out[0]);
    swl_report_check_csv(&out[1], check, build->units);
    fuzz_hold_csv(&out[1]);
    FUZZ_HOLD(swl_report_check_json(&out[2], "check", build, check, NULL, &notes, &err) == SWL_OK);
    fuzz_hold_json(&out[2]);
    for (size_t i = 0; i < 3; i++) {
        swl_buf_free(&out[i]);
    }
    swl_notes_free(&notes);
}

/* What a study wrote, to be held and freed. */
typedef struct outcome {
    swl_notes notes;
    swl_buf text, csv, json;
    swl_err err;
} outcome;

static void outcome_hold(outcome *o, swl_status json_status)
{
    FUZZ_HOLD(json_status == SWL_OK);
    fuzz_hold_text(&o->text);
    fuzz_hold_csv(&o->csv);
    fuzz_hold_json(&o->json);
    swl_notes_free(&o->notes);
    swl_buf_free(&o->text);
    swl_buf_free(&o->csv);
    swl_buf_free(&o->json);
}

/* A study that has no result says why. */
static bool has_result(swl_status status, const swl_err *err)
{
    swl_diags none = {0};
    fuzz_hold_findings(&none, status, err);
    return status == SWL_OK;
}

static void belt_of(const swl_build *build, const swl_diags *diags)
{
    outcome o = {0};
    swl_belt_study study = {0};
    if (has_result(swl_belt_study_run(build, &study, &o.err), &o.err)) {
        swl_notes_belt(&o.notes, build, &study, diags, build->units);
        swl_report_belt_text(&o.text, build, &study, &o.notes, build->units);
        swl_report_belt_csv(&o.csv, &study, build->units);
        outcome_hold(&o, swl_report_belt_json(&o.json, build, &study, &o.notes, &o.err));
    }
    swl_belt_study_free(&study);
}

static void soak(const swl_build *build, const swl_diags *diags)
{
    outcome o = {0};
    swl_soak study = {0};
    if (has_result(swl_soak_run(build, &study, &o.err), &o.err)) {
        swl_notes_soak(&o.notes, build, &study, diags, build->units);
        swl_report_soak_text(&o.text, build, &study, &o.notes, build->units);
        swl_report_soak_csv(&o.csv, &study, build->units);
        outcome_hold(&o, swl_report_soak_json(&o.json, build, &study, &o.notes, &o.err));
    }
    swl_soak_free(&study);
}

static void fueling(const swl_build *build, const swl_check *check, const swl_diags *diags)
{
    outcome o = {0};
    swl_fueling study = {0};
    if (has_result(swl_fueling_run(build, &study, &o.err), &o.err)) {
        swl_notes_check(&o.notes, build, check, diags, build->units);
        swl_report_fueling_text(&o.text, build, &study, &o.notes, build->units);
        swl_report_fueling_csv(&o.csv, &study, build->units);
        outcome_hold(&o, swl_report_fueling_json(&o.json, build, &study, &o.notes, &o.err));
    }
    swl_fueling_free(&study);
}

static void throttle(const swl_build *build, const swl_check *check, const swl_diags *diags)
{
    outcome o = {0};
    swl_throttle_study study = {0};
    if (has_result(swl_throttle_run(build, &study, &o.err), &o.err)) {
        swl_notes_check(&o.notes, build, check, diags, build->units);
        swl_report_throttle_text(&o.text, build, &study, &o.notes, build->units);
        swl_report_throttle_csv(&o.csv, &study, build->units);
        outcome_hold(&o, swl_report_throttle_json(&o.json, build, &study, &o.notes, &o.err));
    }
    swl_throttle_free(&study);
}

static void knock(const swl_build *build, const swl_check *check, const swl_diags *diags)
{
    outcome o = {0};
    swl_knock_study study = {0};
    if (has_result(swl_knock_run(build, NULL, &study, &o.err), &o.err)) {
        swl_notes_check(&o.notes, build, check, diags, build->units);
        swl_report_knock_text(&o.text, build, &study, &o.notes, build->units);
        swl_report_knock_csv(&o.csv, &study, build->units);
        outcome_hold(&o, swl_report_knock_json(&o.json, build, &study, &o.notes, &o.err));
    }
    swl_knock_free(&study);
}

/* Those that take long only where they are short. */
static void studies(const swl_build *build, const swl_check *check, const swl_diags *diags)
{
    const swl_cycle *cycle = &build->cycle;
    if (build->belt != NULL) {
        belt_of(build, diags);
    }
    if (cycle->pulls > 0 && cycle->pulls * (cycle->pull_s + cycle->rest_s) < 600 && build->cooler.metal_j_k > 1000) {
        soak(build, diags);
    }
    if (build->injection.injectors > 0) {
        fueling(build, check, diags);
    }
    if (check->line_count < 50) {
        throttle(build, check, diags);
    }
    if (check->line_count < 4) {
        knock(build, check, diags);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    fuzz_files files;
    swl_build build;
    swl_check check;
    swl_diags diags = {0};
    swl_err err = {0};
    fuzz_split(&files, "build.ini", data, size);
    fuzz_add_unit(&files);
    swl_source source = fuzz_source(&files);
    swl_status status = swl_build_load(&source, "build.ini", &build, &diags, &err);
    fuzz_hold_findings(&diags, status, &err);
    if (status == SWL_OK) {
        status = swl_check_run(&build, &check, &err);
        fuzz_hold_findings(&diags, status, &err);
        if (status == SWL_OK) {
            hold_line(&check);
            report(&build, &check, &diags);
            studies(&build, &check, &diags);
            swl_check_free(&check);
        }
        swl_build_free(&build);
    }
    swl_diag_free(&diags);
    return 0;
}
