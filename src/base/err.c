#include "sweptline/err.h"

#include "base/locale_c.h"
#include "sweptline/text.h"

#include <stdarg.h>
#include <stdio.h>

swl_status swl_err_set(swl_err *err, swl_status status, const char *format, ...)
{
    if (err == NULL || err->status != SWL_OK) {
        return status;
    }
    err->status = status;
    va_list args;
    va_start(args, format);
    swl_locale saved = swl_locale_enter();
    swl_text_fit(err->text, sizeof err->text, format, args);
    swl_locale_leave(saved);
    va_end(args);
    swl_utf8_clean(err->text);
    swl_one_line(err->text);
    return status;
}

int swl_err_exit_code(swl_status status)
{
    switch (status) {
    case SWL_OK:
        return 0;
    case SWL_ERR_USAGE:
    case SWL_ERR_INPUT:
    case SWL_ERR_SOLVE:
    case SWL_ERR_READ:
        return 2;
    case SWL_ERR_MEMORY:
    case SWL_ERR_WRITE:
    case SWL_ERR_CLOSED:
    case SWL_ERR_DRAW:
        return 3;
    }
    return 3;
}
