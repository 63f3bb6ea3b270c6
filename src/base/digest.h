/* SHA-256 (FIPS 180-4), by the nettle library, written out. */
#ifndef SWL_BASE_DIGEST_H
#define SWL_BASE_DIGEST_H

#include <stddef.h>

typedef struct swl_digest {
    char hex[65];
    char base64[45];
} swl_digest;

swl_digest swl_digest_of(const char *bytes, size_t len);

#endif
