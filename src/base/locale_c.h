/* Numbers are printed and read in the C locale whatever the host program has set. */
#ifndef SWL_BASE_LOCALE_C_H
#define SWL_BASE_LOCALE_C_H

#include <locale.h>

typedef locale_t swl_locale;

/* Switches this thread to the C locale. Returns: the locale to give to swl_locale_leave. */
swl_locale swl_locale_enter(void);
void swl_locale_leave(swl_locale saved);

#endif
