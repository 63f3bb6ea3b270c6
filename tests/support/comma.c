/* Loaded before a program, sets its locale from the environment as a host program with windows would. */
#include <locale.h>
#include <stdio.h>
#include <stdlib.h>

__attribute__((constructor)) static void locale_from_environment(void)
{
    if (setlocale(LC_NUMERIC, "") == NULL || localeconv()->decimal_point[0] != ',') {
        fprintf(stderr, "comma: no locale with a decimal comma\n");
        _Exit(9);
    }
}
