#include "quantities.h"

#include <stddef.h>
#include <string.h>

static const pub_quantity *const lists[] = {pub_quantities_air, pub_quantities_parts, pub_quantities_cooling,
                                            pub_quantities_belt};

enum { LISTS = sizeof lists / sizeof lists[0] };

const pub_quantity *pub_quantity_find(const char *signature)
{
    for (size_t i = 0; i < LISTS; i++) {
        for (const pub_quantity *q = lists[i]; q->signature != NULL; q++) {
            if (strcmp(signature, q->signature) == 0) {
                return q;
            }
        }
    }
    return NULL;
}

bool pub_quantity_named(const char *signature)
{
    size_t n = strcspn(signature, "(");
    for (size_t i = 0; i < LISTS; i++) {
        for (const pub_quantity *q = lists[i]; q->signature != NULL; q++) {
            if (strncmp(signature, q->signature, n) == 0 && q->signature[n] == '(') {
                return true;
            }
        }
    }
    return false;
}
