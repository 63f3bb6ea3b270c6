#include "files/keys.h"

#include <stdio.h>
#include <string.h>

static bool value_read(swl_slice word, swl_dim dim, double *value, swl_fault *fault)
{
    swl_quantity quantity = {0};
    if (dim == SWL_DIM_SPEED) {
        return swl_rpm_read(word, value, fault);
    }
    bool read = swl_quantity_read(word, dim, &quantity, fault);
    *value = quantity.value;
    return read;
}

swl_status swl_option_value_read(const char *option, const char *given, swl_dim dim, double low, double high,
                                 const char *accepted, double *value, swl_err *err)
{
    swl_slice word = swl_slice_trim(swl_slice_of(given));
    swl_fault fault = {0};
    double read = 0;
    if (!value_read(word, dim, &read, &fault)) {
        return swl_option_refuse(option, given, NULL, &fault, err);
    }
    if (!(read >= low && read <= high)) {
        return swl_err_set(err, SWL_ERR_USAGE, "%s: read `%s`; %s is accepted", option, given, accepted);
    }
    *value = read;
    return SWL_OK;
}

swl_status swl_option_refuse(const char *option, const char *given, const char *part, const swl_fault *fault,
                             swl_err *err)
{
    bool quotes =
        part == NULL && (strncmp(fault->text, "read `", 6) == 0 || strncmp(fault->text, "read nothing", 12) == 0);
    return quotes ? swl_err_set(err, SWL_ERR_USAGE, "%s: %s", option, fault->text)
                  : swl_err_set(err, SWL_ERR_USAGE, "%s: read `%s`; %s%s%s", option, given, part == NULL ? "" : part,
                                part == NULL ? "" : ": ", fault->text);
}
