#include "cli/cli.h"
#include "cli/progress.h"

#include "sweptline/trace.h"

#include <math.h>

static swl_status preview_drawer(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_trace(context, picture, out, err);
}

static swl_status preview_draw(const cli_options *options, const swl_tracing *tracing, const char *stem, swl_err *err)
{
    const swl_trace_map *map = &tracing->map;
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    swl_buf_printf(&subtitle, "%s, %d by %d pixels; %zu rows traced, efficiency fitted within %.2f points",
                   tracing->scan.image_name, tracing->scan.image.width, tracing->scan.image.height, map->count,
                   map->rms_frac * 100);
    if (!isnan(map->unseen_rms_frac)) {
        swl_buf_printf(&subtitle, ", %.2f when islands are left out", map->unseen_rms_frac * 100);
    }
    swl_buf_puts(&caption,
                 "Full: as followed. Dotted: a gap that was bridged or a line of the same colour that was passed. "
                 "Rings: seeds. Rulers: pixels of the picture, counted from its top left corner. Each traced line "
                 "should lie on the printed one all along, and end where that ends.");
    swl_trace_preview preview = {.title = tracing->blower.name,
                                 .subtitle = swl_buf_text(&subtitle),
                                 .caption = swl_buf_text(&caption),
                                 .tracing = tracing};
    swl_status status = swl_buf_status(&subtitle, err);
    if (status == SWL_OK) {
        status = swl_buf_status(&caption, err);
    }
    if (status == SWL_OK) {
        status = cli_draw_with(options, preview_drawer, &preview, stem, err);
    }
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    return status;
}

static swl_status trace_write(const cli_options *options, const swl_tracing *tracing, const swl_diags *diags,
                              const char *stem, swl_err *err)
{
    cli_out out = {.notes = {0}};
    swl_units units = options->units == 1 ? SWL_UNITS_US : SWL_UNITS_SI;
    swl_notes_trace(&out.notes, tracing, diags);
    swl_status status = cli_notes_made(&out.notes, err);
    if (status == SWL_OK && options->json != NULL) {
        status = swl_report_trace_json(&out.json, tracing, &out.notes, err);
    }
    swl_report_trace_text(&out.text, tracing, &out.notes);
    if (options->csv != NULL) {
        swl_report_trace_csv(&out.csv, tracing, units);
    }
    if (status == SWL_OK && cli_draws(options)) {
        status = preview_draw(options, tracing, stem, err);
    }
    if (status == SWL_OK) {
        status = cli_write(options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

int cli_trace(const cli_options *options)
{
    swl_err err = {0};
    cli_inputs inputs = {0};
    swl_diags diags = {0};
    swl_tracing tracing = {0};
    swl_buf stem = {0};
    swl_source source = cli_source(&inputs);
    swl_status status = swl_tracing_load(&source, options->file, &tracing, &diags, &err);
    cli_stem(options->file, "trace", &stem);
    if (status == SWL_OK) {
        status = cli_may_write_all(options, &inputs, swl_buf_text(&stem), &err);
    }
    if (status == SWL_OK) {
        cli_progress progress;
        cli_progress_begin(&progress);
        tracing.progress = &progress.of;
        status = swl_tracing_run(&tracing, &diags, &err);
        tracing.progress = NULL;
        cli_progress_end(&progress);
    }
    if (status == SWL_OK) {
        status = trace_write(options, &tracing, &diags, swl_buf_text(&stem), &err);
    }
    int code = status == SWL_OK ? 0 : cli_fail(&diags, &err, options->file);
    swl_buf_free(&stem);
    swl_tracing_free(&tracing);
    swl_diag_free(&diags);
    cli_inputs_free(&inputs);
    return code;
}
