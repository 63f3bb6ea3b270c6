#include "cli/cli.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* A unit alone is shown in the air its map was measured in, so that speeds are not corrected. */
static swl_build bench_of(const swl_blower *blower)
{
    double p_pa = isnan(blower->p_map_pa) ? 101325 : blower->p_map_pa;
    swl_build bench = {
        .site = {.t_k = blower->t_map_k, .p_pa = p_pa},
        .intake = {.bore_m = NAN, .adapter_bore_m = NAN, .inlet_bore_m = NAN},
        .drive = {.d_crank_m = 0.1, .d_blower_m = 0.1, .jackshaft_ratio = 1},
        .blower = *blower,
    };
    if (isnan(bench.blower.mechanical_eff_frac)) {
        bench.blower.mechanical_eff_frac = 1;
    }
    return bench;
}

/* The words of a picture, which differ with what there is to be drawn. */
static void picture_words(const swl_blower *blower, const swl_scan *scan, swl_units units, swl_buf *subtitle,
                          swl_buf *caption)
{
    swl_buf_printf(subtitle, "%s, ", blower->kind == SWL_BLOWER_ROOTS ? "roots" : "screw");
    swl_report_value(subtitle, blower->disp_m3_rev, SWL_SHOW_VOLUME, units);
    swl_buf_printf(subtitle, " a revolution. Map source: %s",
                   blower->source[0] == '\0' ? "not stated" : blower->source);
    if (scan == NULL) {
        swl_buf_puts(caption,
                     "Bands and numbers: adiabatic efficiency. Dashes: lines of constant blower speed. The map "
                     "ends where its data ends.");
        return;
    }
    cli_scan_caption(scan, NULL, caption);
    swl_buf_puts(caption,
                 "Red crosses: the points of the calibration. Blue: round values by it, which must fall on those "
                 "of the chart itself. ");
    swl_buf_puts(caption,
                 blower->map == NULL
                     ? "There is no table yet."
                     : "Black: the table's lines of constant blower speed (dashed) and of adiabatic efficiency, "
                       "which must lie on those of the chart where it has them.");
}

/* scan is the picture to draw on, or NULL; without a map there is one. */
static swl_status unit_draw(const cli_options *options, const swl_blower *blower, const swl_scan *scan,
                            const char *stem, swl_units units, swl_err *err)
{
    swl_build bench = bench_of(blower);
    swl_field field = {0};
    swl_trace traces[SWL_TRACES_MAX];
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    swl_match *match = NULL;
    swl_chart chart = {
        .title = blower->name,
        .blower = blower,
        .traces = traces,
        .site_pa = bench.site.p_pa,
        .t_discharge_limit_k = NAN,
        .units = units,
        .scan = scan,
    };
    swl_status status = cli_dim(options, scan != NULL, &chart.scan_dim_frac, err);
    if (status == SWL_OK && blower->map != NULL) {
        match = swl_match_new(&bench, err);
        status = match == NULL ? SWL_ERR_MEMORY : swl_field_init(&field, match, blower->map, 8, 97, err);
        chart.field = &field;
    }
    if (status == SWL_OK) {
        chart.trace_count = match == NULL ? 0 : swl_field_traces(match, blower, &field, traces);
        picture_words(blower, scan, units, &subtitle, &caption);
        chart.subtitle = swl_buf_text(&subtitle);
        chart.caption = swl_buf_text(&caption);
        status = cli_draw(options, &chart, stem, err);
    }
    swl_match_free(match);
    swl_field_free(&field);
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    return status;
}

/* What the options ask for and this unit has not. */
static swl_status options_hold(const cli_options *options, const swl_blower *blower, const swl_scan *scan, swl_err *err)
{
    double ignored = 0;
    swl_status status = cli_wants_scan(options, scan, err);
    if (status == SWL_OK) {
        status = cli_dim(options, options->over_scan || blower->map == NULL, &ignored, err);
    }
    if (status == SWL_OK && options->csv != NULL && blower->map == NULL) {
        status = swl_err_set(err, SWL_ERR_USAGE,
                             "--csv: the unit has no table yet, only a picture; `sweptline trace` makes one of it");
    }
    return status;
}

int cli_inspect(const cli_options *options)
{
    swl_err err = {0};
    cli_inputs inputs = {0};
    swl_diags diags = {0};
    swl_blower blower = {0};
    swl_scan scan = {0};
    cli_out out = {.notes = {0}};
    swl_units units = options->units == 1 ? SWL_UNITS_US : SWL_UNITS_SI;
    swl_source source = cli_source(&inputs);
    swl_status status = swl_unit_load(&source, options->file, &blower, &scan, &diags, &err);
    swl_buf stem = {0};
    cli_stem(options->file, "map", &stem);
    if (status == SWL_OK) {
        status = options_hold(options, &blower, &scan, &err);
    }
    if (status == SWL_OK) {
        status = cli_may_write_all(options, &inputs, swl_buf_text(&stem), &err);
    }
    bool draws = cli_draws(options);
    if (status == SWL_OK && draws) {
        bool on_scan = options->over_scan || blower.map == NULL;
        status = unit_draw(options, &blower, on_scan ? &scan : NULL, swl_buf_text(&stem), units, &err);
    }
    if (status == SWL_OK && options->json != NULL) {
        status = swl_report_unit_json(&out.json, &blower, &scan, &diags, &err);
    }
    if (status == SWL_OK) {
        swl_report_unit_text(&out.text, &blower, &scan, &diags, units);
        if (blower.map != NULL && options->csv != NULL) {
            swl_report_unit_csv(&out.csv, &blower, units);
        }
        status = cli_write(options, &out, &err);
    }
    int code = status == SWL_OK ? 0 : cli_fail(&diags, &err, options->file);
    swl_buf_free(&stem);
    cli_out_free(&out);
    swl_scan_free(&scan);
    swl_blower_free(&blower);
    swl_diag_free(&diags);
    cli_inputs_free(&inputs);
    return code;
}
