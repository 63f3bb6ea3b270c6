#include "cli/cli.h"

void cli_site_words(const swl_build *build, swl_units units, swl_buf *out)
{
    swl_buf_puts(out, "; site ");
    swl_report_value(out, build->site.t_k, SWL_SHOW_TEMPERATURE, units);
    swl_buf_puts(out, ", ");
    swl_report_value(out, build->site.p_pa, SWL_SHOW_PRESSURE, units);
    swl_buf_printf(out, ", %.0f %% humidity", build->site.rh_frac * 100);
    if (build->site.name[0] != '\0') {
        swl_buf_printf(out, " (%s, by --site)", build->site.name);
    }
    swl_buf_puts(out, "; wide-open throttle");
}

swl_status cli_put_on_site(const cli_options *options, const swl_source *source, swl_build *build, swl_diags *diags,
                           const char **at_fault, swl_err *err)
{
    swl_site_set sets[SWL_SITES_MAX];
    size_t count = 0;
    if (options->site == NULL) {
        return SWL_OK;
    }
    swl_err own = {0};
    swl_status status = swl_sites_read(source, "--site", options->site, sets, &count, diags, &own);
    if (status == SWL_OK && count != 1) {
        status = swl_err_set(&own, SWL_ERR_USAGE, "--site: read %zu sites; %s wants one", count, options->command);
    }
    swl_build at;
    if (status == SWL_OK) {
        status = swl_site_apply(build, &sets[0], &at, &own);
    }
    if (status != SWL_OK) {
        *at_fault = "--site";
        return swl_err_set(err, status, "%s", own.text);
    }
    *build = at;
    return SWL_OK;
}
