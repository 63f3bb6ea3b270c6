#include "cli/cli.h"

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
