#include "base/locale_c.h"

#include <stdarg.h>
#include <stdio.h>

swl_locale swl_locale_enter(void)
{
    /* glibc hands out its built-in C locale here, so nothing is allocated or freed. */
    locale_t c_locale = newlocale(LC_ALL_MASK, "C", (locale_t)0);
    return c_locale == (locale_t)0 ? (locale_t)0 : uselocale(c_locale);
}

void swl_locale_leave(swl_locale saved)
{
    if (saved != (locale_t)0) {
        (void)uselocale(saved);
    }
}

int swl_locale_print(char *to, size_t room, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    swl_locale saved = swl_locale_enter();
    int length = vsnprintf(to, room, format, args);
    swl_locale_leave(saved);
    va_end(args);
    return length;
}
