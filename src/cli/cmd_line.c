/* Commands that look at one operating line from another side: throttle, fuel, knock. */
#include "cli/cli.h"
#include "cli/progress.h"
#include "sweptline/power.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A study of a build's line behind one face. Each function is given the study. */
typedef struct line_kind {
    const char *word;    /* of the command and its pictures */
    const char *caption; /* of its picture */
    size_t size;         /* of the study */
    swl_status (*run)(const swl_build *build, void *study, swl_err *err);
    void (*drop)(void *study);
    swl_status (*json)(swl_buf *out, const swl_build *build, const void *study, const swl_notes *notes, swl_err *err);
    void (*csv)(swl_buf *out, const void *study, swl_units units);
    void (*text)(swl_buf *out, const swl_build *build, const void *study, const swl_notes *notes, swl_units units);
    void (*notes)(const swl_build *build, swl_notes *notes); /* its own; NULL for none */
    /* Fills in the panels; data has rows for SWL_LINES_DATA lines of count values each. */
    void (*panels)(const swl_build *build, const void *study, size_t count, double *data, swl_lines_chart *chart);
} line_kind;

enum { LINES_DATA = 12 };

/* What one command needs from start to end. */
typedef struct job {
    cli_in in;
    const line_kind *kind;
    swl_check check;
    void *study;
} job;

static swl_status job_open(job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    swl_status status = cli_in_read(&j->in, err);
    if (status == SWL_OK) {
        status = cli_in_may_write(&j->in, options->file, j->kind->word, err);
    }
    if (status == SWL_OK) {
        status = swl_check_run(&j->in.build, &j->check, err);
    }
    if (status == SWL_OK) {
        swl_err own = {0};
        status = j->kind->run(&j->in.build, j->study, &own);
        if (status != SWL_OK) {
            status = cli_study_failed(options, &own, err);
        }
    }
    return status;
}

/* The limits of the build that are exceeded, since the exit status rests on them and the tables do not show them. */
static void exceeded_words(const swl_check *check, swl_units units, swl_buf *out)
{
    const char *sep = "EXCEEDED by this build, as check tells: ";
    for (size_t i = 0; i < check->limit_count; i++) {
        const swl_limit_row *row = &check->limits[i];
        if (row->verdict != SWL_EXCEEDED) {
            continue;
        }
        swl_buf_printf(out, "%s%s ", sep, row->words);
        if (isinf(row->value)) {
            swl_buf_puts(out, "without flow");
        } else {
            swl_report_value(out, row->value, row->show, units);
        }
        swl_buf_puts(out, " of ");
        swl_report_value(out, row->limit, row->show, units);
        sep = ", ";
    }
    swl_buf_puts(out, check->exceeded ? "." : "");
}

static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_buf exceeded = {0};
    exceeded_words(&j->check, units, &exceeded);
    if (exceeded.len > 0) {
        swl_notes_add(notes, "%s", swl_buf_text(&exceeded));
    }
    notes->failed = notes->failed || exceeded.failed;
    swl_buf_free(&exceeded);
    if (j->kind->notes != NULL) {
        j->kind->notes(&j->in.build, notes);
    }
    swl_notes_check(notes, &j->in.build, &j->check, &j->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status job_write(const job *j, swl_err *err)
{
    cli_out out = {.notes = {0}};
    swl_status status = notes_make(j, j->in.units, &out.notes, err);
    if (status == SWL_OK && j->in.options->json != NULL) {
        status = notes_make(j, SWL_UNITS_SI, &out.si_notes, err);
        status = status == SWL_OK ? j->kind->json(&out.json, &j->in.build, j->study, &out.si_notes, err) : status;
    }
    if (j->in.options->csv != NULL) {
        j->kind->csv(&out.csv, j->study, j->in.units);
    }
    j->kind->text(&out.text, &j->in.build, j->study, &out.notes, j->in.units);
    if (status == SWL_OK) {
        status = cli_write(j->in.options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

static swl_status draw_lines(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_lines(context, picture, out, err);
}

static swl_status job_draw(const job *j, swl_err *err)
{
    /* A check has a row at the least. */
    if (!cli_draws(j->in.options) || j->check.line_count == 0) {
        return SWL_OK;
    }
    size_t count = j->check.line_count;
    double *data = calloc(count, (LINES_DATA + 1) * sizeof *data);
    if (data == NULL) {
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the picture");
    }
    double *rpm = data + LINES_DATA * count;
    bool *inside = calloc(count, sizeof *inside);
    if (inside == NULL) {
        free(data);
        return swl_err_set(err, SWL_ERR_MEMORY, "out of memory for the picture");
    }
    for (size_t i = 0; i < count; i++) {
        rpm[i] = j->check.line[i].engine_rpm;
        inside[i] = j->check.line[i].map_where == SWL_MAP_INSIDE;
    }
    double alone = count == 1 ? 100 : 0;
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    swl_buf_printf(&subtitle, "%s; ", j->in.build.blower.name);
    swl_report_site(&subtitle, &j->in.build.site, j->in.units);
    swl_buf_puts(&subtitle, "; wide-open throttle");
    exceeded_words(&j->check, j->in.units, &caption);
    swl_buf_printf(&caption, "%s%s Pale: outside the map's data, whose edge is held there. %s",
                   j->check.exceeded ? " " : "", j->kind->caption, cli_estimates);
    swl_lines_chart chart = {.title = j->in.build.name,
                             .subtitle = swl_buf_text(&subtitle),
                             .caption = swl_buf_text(&caption),
                             .xa = j->in.build.engine.speed_from_rpm - alone,
                             .xb = j->in.build.engine.speed_limit_rpm + alone,
                             .units = j->in.units};
    j->kind->panels(&j->in.build, j->study, count, data, &chart);
    for (size_t k = 0; k < chart.panel_count; k++) {
        for (size_t s = 0; s < chart.panels[k].count; s++) {
            chart.panels[k].lines[s].x = rpm;
            chart.panels[k].lines[s].inside = inside;
            chart.panels[k].lines[s].count = count;
        }
    }
    swl_status status = cli_draw_with(j->in.options, draw_lines, &chart, swl_buf_text(&j->in.stem), err);
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    free(data);
    free(inside);
    return status;
}

static int run(const cli_options *options, const line_kind *kind)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}, .kind = kind, .study = calloc(1, kind->size)};
    swl_status status =
        j.study == NULL ? swl_err_set(&err, SWL_ERR_MEMORY, "out of memory for the study") : job_open(&j, &err);
    /* A picture that cannot be drawn is refused before anything is written. */
    if (status == SWL_OK) {
        status = job_draw(&j, &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.check.exceeded ? 1 : 0) : cli_fail(&j.in.diags, &err, j.in.at_fault);
    if (j.study != NULL) {
        kind->drop(j.study);
    }
    free(j.study);
    swl_check_free(&j.check);
    cli_in_free(&j.in);
    return code;
}

/* The functions of one study but its run, with the study's type taken off. */
#define KIND(name, type)                                                                                               \
    static void name##_drop(void *study)                                                                               \
    {                                                                                                                  \
        swl_##name##_free(study);                                                                                      \
    }                                                                                                                  \
    static swl_status name##_json(swl_buf *out, const swl_build *build, const void *study, const swl_notes *notes,     \
                                  swl_err *err)                                                                        \
    {                                                                                                                  \
        return swl_report_##name##_json(out, build, study, notes, err);                                                \
    }                                                                                                                  \
    static void name##_csv(swl_buf *out, const void *study, swl_units units)                                           \
    {                                                                                                                  \
        swl_report_##name##_csv(out, study, units);                                                                    \
    }                                                                                                                  \
    static void name##_text(swl_buf *out, const swl_build *build, const void *study, const swl_notes *notes,           \
                            swl_units units)                                                                           \
    {                                                                                                                  \
        swl_report_##name##_text(out, build, study, notes, units);                                                     \
    }

KIND(throttle, swl_throttle_study)
KIND(fueling, swl_fueling)
KIND(knock, swl_knock_study)

static swl_status throttle_run(const swl_build *build, void *study, swl_err *err)
{
    return swl_throttle_run(build, study, err);
}

static swl_status fueling_run(const swl_build *build, void *study, swl_err *err)
{
    return swl_fueling_run(build, study, err);
}

static swl_status knock_run(const swl_build *build, void *study, swl_err *err)
{
    cli_progress progress;
    cli_progress_begin(&progress);
    swl_status status = swl_knock_run(build, &progress.of, study, err);
    cli_progress_end(&progress);
    return status;
}

/* Names the lines of a panel and gives each its stretch of the data. */
static void panel_lines(swl_lines_panel *panel, const char *const *names, size_t count, double **data, size_t rows)
{
    panel->count = count;
    for (size_t s = 0; s < count; s++) {
        panel->names[s] = names == NULL ? NULL : names[s];
        panel->lines[s].y = *data;
        *data += rows;
    }
}

static void throttle_panels(const swl_build *build, const void *study, size_t count, double *data,
                            swl_lines_chart *chart)
{
    static const char *const losses[] = {"throttle", "ducts", "step"};
    static const char *const sides[] = {"with throttle", "without"};
    const swl_throttle_row *rows = ((const swl_throttle_study *)study)->rows;
    double *at = data;
    chart->panel_count = 4;
    chart->panels[0] = (swl_lines_panel){.title = "Losses up to the blower", .show = SWL_SHOW_BOOST, .limit = NAN};
    chart->panels[1] =
        (swl_lines_panel){.title = "Boost", .show = SWL_SHOW_BOOST, .limit = build->limits.boost_pa, .free_foot = true};
    chart->panels[2] = (swl_lines_panel){.title = "Air flow", .show = SWL_SHOW_MASS_FLOW, .limit = NAN};
    chart->panels[3] =
        (swl_lines_panel){.title = "Drive power", .show = SWL_SHOW_POWER, .limit = build->limits.p_drive_w};
    panel_lines(&chart->panels[0], losses, isnan(build->intake.adapter_bore_m) ? 2 : 3, &at, count);
    double *sums = data + 3 * count;
    for (size_t k = 1; k < 4; k++) {
        double *pair = sums + (k - 1) * 2 * count;
        panel_lines(&chart->panels[k], sides, 2, &pair, count);
    }
    for (size_t i = 0; i < count; i++) {
        const swl_throttle_row *row = &rows[i];
        data[i] = row->with.p_t_pa - row->with.p_throttle_pa;
        data[count + i] = row->site_pa - row->with.p_t_pa;
        data[2 * count + i] = row->with.p_throttle_pa - row->with.p1_pa;
        sums[i] = row->with.boost_pa;
        sums[count + i] = row->without.boost_pa;
        sums[2 * count + i] = row->with.mdot_kg_s;
        sums[3 * count + i] = row->without.mdot_kg_s;
        sums[4 * count + i] = row->with.p_shaft_w;
        sums[5 * count + i] = row->without.p_shaft_w;
    }
}

static void fueling_panels(const swl_build *build, const void *study, size_t count, double *data,
                           swl_lines_chart *chart)
{
    static const char *const flows[] = {"wanted", "pump at rail"};
    static const char *const pressures[] = {"across injector", "rail, gauge"};
    const swl_fueling *fueling = study;
    double *at = data;
    chart->panel_count = 4;
    chart->panels[0] = (swl_lines_panel){.title = "Fuel flow", .show = SWL_SHOW_FUEL_FLOW, .limit = NAN};
    chart->panels[1] =
        (swl_lines_panel){.title = "Injector duty", .show = SWL_SHOW_FRACTION, .limit = fueling->duty_limit_frac};
    chart->panels[2] = (swl_lines_panel){.title = "Fuel pressure", .show = SWL_SHOW_BOOST, .limit = NAN};
    chart->panels[3] = (swl_lines_panel){.title = "Pump spare", .show = SWL_SHOW_FRACTION, .limit = NAN};
    panel_lines(&chart->panels[0], flows, build->injection.pump == NULL ? 1 : 2, &at, count);
    double *duty = data + 2 * count;
    at = duty;
    panel_lines(&chart->panels[1], NULL, 1, &at, count);
    panel_lines(&chart->panels[2], pressures, 2, &at, count);
    panel_lines(&chart->panels[3], NULL, 1, &at, count);
    for (size_t i = 0; i < count; i++) {
        const swl_supply *row = &fueling->rows[i];
        data[i] = row->fuel_kg_s;
        /* Beyond its curve nothing is known of the pump. */
        double pump_kg_s = row->pump_held ? (double)NAN : row->pump_kg_s;
        data[count + i] = pump_kg_s;
        duty[i] = row->duty_frac;
        duty[count + i] = row->dp_pa;
        duty[2 * count + i] = row->rail_pa;
        duty[3 * count + i] = (pump_kg_s - row->fuel_kg_s) / pump_kg_s;
    }
}

static void knock_notes(const swl_build *build, swl_notes *notes)
{
    const char *fuel = build->engine.fuel;
    if (fabs(build->engine.t_ve_k - SWL_POWER_REFERENCE_T_K) > 1e-6) {
        swl_notes_add(notes,
                      "Without the blower the engine's charge is taken as much %s than the site's air as "
                      "ve_temperature is %s 25 degC (77 degF).",
                      build->engine.t_ve_k > SWL_POWER_REFERENCE_T_K ? "warmer" : "colder",
                      build->engine.t_ve_k > SWL_POWER_REFERENCE_T_K ? "above" : "below");
    }
    if (strcmp(fuel, "ethanol") == 0 || strcmp(fuel, "methanol") == 0 || strcmp(fuel, "e85") == 0) {
        swl_notes_add(notes,
                      "The correlation was not made for %s, whose evaporation cools the charge and whose delay "
                      "differs: the figures compare charges, not this fuel.",
                      fuel);
    }
}

static void knock_panels(const swl_build *build, const void *study, size_t count, double *data, swl_lines_chart *chart)
{
    static const char *const spread[] = {"middle", "least", "most"};
    static const char *const sides[] = {"with blower", "without"};
    const swl_knock_row *rows = ((const swl_knock_study *)study)->rows;
    double *at = data;
    chart->panel_count = 4;
    chart->panels[0] = (swl_lines_panel){
        .title = "Autoignition integral, times that without blower", .show = SWL_SHOW_RATIO, .limit = NAN};
    chart->panels[1] =
        (swl_lines_panel){.title = "Octane number for the same, times", .show = SWL_SHOW_RATIO, .limit = NAN};
    chart->panels[1].free_foot = true;
    chart->panels[2] = (swl_lines_panel){
        .title = "Charge temperature", .show = SWL_SHOW_TEMPERATURE, .limit = build->limits.t_charge_k};
    chart->panels[3] = (swl_lines_panel){
        .title = "Manifold pressure, absolute", .show = SWL_SHOW_PRESSURE, .limit = build->limits.p_sensor_pa};
    panel_lines(&chart->panels[0], spread, 3, &at, count);
    panel_lines(&chart->panels[1], spread, 3, &at, count);
    panel_lines(&chart->panels[2], sides, 2, &at, count);
    panel_lines(&chart->panels[3], sides, 2, &at, count);
    for (size_t i = 0; i < count; i++) {
        const swl_knock_row *row = &rows[i];
        const double values[] = {row->ratio.middle,
                                 row->ratio.low,
                                 row->ratio.high,
                                 row->octane_factor.middle,
                                 row->octane_factor.low,
                                 row->octane_factor.high,
                                 row->t3_k,
                                 row->t_na_k,
                                 row->p3_pa,
                                 row->p_na_pa};
        for (size_t k = 0; k < 10; k++) {
            data[k * count + i] = values[k];
        }
    }
}

#define FACE(name, notes) name##_run, name##_drop, name##_json, name##_csv, name##_text, notes, name##_panels

int cli_throttle(const cli_options *options)
{
    static const line_kind kind = {"throttle", "What throttle body and adapter cost.", sizeof(swl_throttle_study),
                                   FACE(throttle, NULL)};
    return run(options, &kind);
}

int cli_fuel(const cli_options *options)
{
    static const line_kind kind = {
        "fuel",
        "The pump is drawn where its curve covers the rail's pressure, duty where injectors flow; their time to open "
        "and close is left out. Fuel under pressure burns: lines, pump and connections are "
        "work for licensed practice.",
        sizeof(swl_fueling), FACE(fueling, NULL)};
    return run(options, &kind);
}

int cli_knock(const cli_options *options)
{
    static const line_kind kind = {
        "knock",
        "A relative figure by one correlation, the least and most where its numbers are varied: it shows which "
        "build asks more of fuel and spark, and replaces no detonation monitoring.",
        sizeof(swl_knock_study), FACE(knock, knock_notes)};
    return run(options, &kind);
}
