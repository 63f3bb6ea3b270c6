#include "cli/cli.h"

/* A build on its sites, with what was measured there. */
typedef struct job {
    cli_in in;
    swl_site_set sets[SWL_SITES_MAX];
    size_t set_count;
    swl_sites sites;
    bool has_power;
    swl_measured measured;
} job;

static swl_status read_sites(job *j, swl_err *err)
{
    if (j->in.options->site != NULL) {
        j->in.at_fault = "--site";
        swl_source source = cli_source(&j->in.inputs);
        return swl_sites_read(&source, "--site", j->in.options->site, j->sets, &j->set_count, &j->in.diags, err);
    }
    for (size_t i = 0; swl_site_ready(i) != NULL; i++) {
        j->sets[j->set_count++] = *swl_site_ready(i);
    }
    return SWL_OK;
}

static swl_status read_power(const job *j, double *power_w, swl_err *err)
{
    swl_quantity quantity = {0};
    swl_fault fault = {0};
    const char *given = j->in.options->power;
    if (!swl_quantity_read(swl_slice_of(given), SWL_DIM_POWER, &quantity, &fault)) {
        return swl_err_set(err, SWL_ERR_USAGE, "--power: %s", fault.text);
    }
    if (quantity.half_width > 0 || !(quantity.value >= 1 && quantity.value <= 1e7)) {
        return swl_err_set(err, SWL_ERR_USAGE, "--power: read `%s`; 1 W to 10000 kW without +- is accepted", given);
    }
    if (j->in.options->site != NULL && j->set_count != 1) {
        return swl_err_set(
            err, SWL_ERR_USAGE,
            "--power: read %zu sites with --site; a power is measured on one, or on the build's own when "
            "--site is left out",
            j->set_count);
    }
    *power_w = quantity.value;
    return SWL_OK;
}

/* On the one site of --site, whose row is the second, or on the build's own. */
static swl_status measured_run(job *j, double power_w, swl_err *err)
{
    size_t at = j->in.options->site != NULL ? 1 : 0;
    swl_build there = j->in.build;
    swl_status status = at == 0 ? SWL_OK : swl_site_apply(&j->in.build, &j->sets[0], &there, err);
    j->has_power = true;
    return status == SWL_OK ? swl_measured_correct(&there, &j->sites.rows[at].check, power_w, &j->measured, err)
                            : status;
}

static swl_status job_open(job *j, swl_err *err)
{
    const cli_options *options = j->in.options;
    double power_w = 0;
    swl_status status = cli_in_load(&j->in, err);
    if (status == SWL_OK) {
        status = read_sites(j, err);
    }
    if (status == SWL_OK && options->power != NULL) {
        status = read_power(j, &power_w, err);
    }
    if (status != SWL_OK) {
        return status;
    }
    j->in.at_fault = options->file;
    /* Asked now that all inputs are known: a table of sites is one too. */
    status = cli_in_may_write(&j->in, options->file, "sites", err);
    if (status == SWL_OK) {
        status = swl_sites_run(&j->in.build, j->sets, j->set_count, &j->sites, err);
    }
    if (status == SWL_OK && options->power != NULL) {
        status = measured_run(j, power_w, err);
    }
    return status;
}

static swl_status notes_make(const job *j, swl_units units, swl_notes *notes, swl_err *err)
{
    swl_notes_sites(notes, &j->in.build, &j->sites, j->has_power ? &j->measured : NULL, &j->in.diags, units);
    return cli_notes_made(notes, err);
}

static swl_status job_write(const job *j, swl_err *err)
{
    const swl_measured *measured = j->has_power ? &j->measured : NULL;
    cli_out out = {.notes = {0}};
    swl_status status = notes_make(j, j->in.units, &out.notes, err);
    if (status == SWL_OK && j->in.options->json != NULL) {
        status = notes_make(j, SWL_UNITS_SI, &out.si_notes, err);
        if (status == SWL_OK) {
            status = swl_report_sites_json(&out.json, &j->in.build, &j->sites, measured, &out.si_notes, err);
        }
    }
    if (j->in.options->csv != NULL) {
        swl_report_sites_csv(&out.csv, &j->sites, j->in.units);
    }
    swl_report_sites_text(&out.text, &j->in.build, &j->sites, measured, &out.notes, j->in.units);
    if (status == SWL_OK) {
        status = cli_write(j->in.options, &out, err);
    }
    cli_out_free(&out);
    return status;
}

static void chart_subtitle(const job *j, swl_buf *out)
{
    swl_buf_printf(out, "%s at wide-open throttle; air and its relative humidity:", j->in.build.blower.name);
    for (size_t i = 0; i < j->sites.count && i < SWL_SITES_DRAWN; i++) {
        const swl_site_row *row = &j->sites.rows[i];
        swl_buf_printf(out, "%s %s ", i == 0 ? "" : ";", row->set.name);
        swl_report_value(out, row->site.t_k, SWL_SHOW_TEMPERATURE, j->in.units);
        swl_buf_puts(out, ", ");
        swl_report_value(out, row->site.p_pa, SWL_SHOW_PRESSURE, j->in.units);
        swl_buf_printf(out, ", %.0f %%", row->site.rh_frac * 100);
    }
}

static void chart_caption(const job *j, swl_buf *out)
{
    bool outside = false;
    for (size_t i = 0; i < j->sites.count; i++) {
        const swl_site_row *row = &j->sites.rows[i];
        outside = outside || row->outside > 0;
        if (row->failure[0] != '\0') {
            swl_buf_printf(out, "%s: NO OPERATING POINT at some engine speeds, so it is not drawn. ", row->set.name);
        } else if (row->check.exceeded && row->worst != NULL) {
            size_t exceeded = 0;
            for (size_t k = 0; k < row->check.limit_count; k++) {
                exceeded += row->check.limits[k].verdict == SWL_EXCEEDED;
            }
            swl_buf_printf(out, "%s: %s EXCEEDED by %.1f %%", row->set.name, row->worst->words,
                           -100 * row->values.margin_frac);
            swl_buf_printf(out, exceeded > 1 ? ", and %zu more. " : ". ", exceeded - 1);
        }
    }
    for (size_t i = SWL_SITES_DRAWN; i < j->sites.count; i++) {
        swl_buf_printf(out, "%s%s%s", i == SWL_SITES_DRAWN ? "Not drawn, in the table alone: " : ", ",
                       j->sites.rows[i].set.name, i + 1 == j->sites.count ? ". " : "");
    }
    if (outside) {
        swl_buf_puts(out, "Grey: outside the map's data, whose edge is held there. ");
    }
    if (swl_cooler_there(&j->in.build.cooler) && !swl_cooler_has_loop(&j->in.build.cooler)) {
        swl_buf_puts(out, "The coolant stays at ");
        swl_report_value(out, j->in.build.cooler.t_coolant_k, SWL_SHOW_TEMPERATURE, j->in.units);
        swl_buf_puts(out, ". ");
    } else if (swl_cooler_has_loop(&j->in.build.cooler) && j->in.build.cooler.t_front_air_k > 0) {
        swl_buf_puts(out, "The front exchanger's air stays at ");
        swl_report_value(out, j->in.build.cooler.t_front_air_k, SWL_SHOW_TEMPERATURE, j->in.units);
        swl_buf_puts(out, ". ");
    }
    swl_buf_puts(out, cli_estimates);
}

static swl_status draw_sites(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err)
{
    return swl_draw_sites(context, picture, out, err);
}

static swl_status job_draw(const job *j, swl_err *err)
{
    if (!cli_draws(j->in.options)) {
        return SWL_OK;
    }
    swl_buf subtitle = {0};
    swl_buf caption = {0};
    chart_subtitle(j, &subtitle);
    chart_caption(j, &caption);
    const swl_site_chart chart = {.title = j->in.build.name,
                                  .subtitle = swl_buf_text(&subtitle),
                                  .caption = swl_buf_text(&caption),
                                  .build = &j->in.build,
                                  .sites = &j->sites,
                                  .units = j->in.units};
    swl_status status = cli_draw_with(j->in.options, draw_sites, &chart, swl_buf_text(&j->in.stem), err);
    swl_buf_free(&subtitle);
    swl_buf_free(&caption);
    return status;
}

int cli_site(const cli_options *options)
{
    swl_err err = {0};
    job j = {.in = {.options = options, .at_fault = options->file}};
    swl_status status = job_open(&j, &err);
    if (status == SWL_OK) {
        status = job_draw(&j, &err);
    }
    if (status == SWL_OK) {
        status = job_write(&j, &err);
    }
    int code = status == SWL_OK ? (j.sites.exceeded ? 1 : 0) : cli_fail(&j.in.diags, &err, j.in.at_fault);
    swl_sites_free(&j.sites);
    cli_in_free(&j.in);
    return code;
}
