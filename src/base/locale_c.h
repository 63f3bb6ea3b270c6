/* Numbers are printed and read in the C locale whatever the host program has set. */
#ifndef SWL_BASE_LOCALE_C_H
#define SWL_BASE_LOCALE_C_H

#include <locale.h>
#include <stddef.h>

typedef locale_t swl_locale;

/* Switches this thread to the C locale. Returns: the locale to give to swl_locale_leave. */
swl_locale swl_locale_enter(void);
void swl_locale_leave(swl_locale saved);

/* snprintf in the C locale: what any text with a decimal point is printed by. */
int swl_locale_print(char *to, size_t room, const char *format, ...) __attribute__((format(printf, 3, 4)));

#endif
