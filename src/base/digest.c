#include "base/digest.h"

#include <nettle/base16.h>
#include <nettle/base64.h>
#include <nettle/sha2.h>

#include <stdint.h>

_Static_assert(BASE16_ENCODE_LENGTH(SHA256_DIGEST_SIZE) + 1 == sizeof((swl_digest *)0)->hex, "all digits and a NUL");
_Static_assert(BASE64_ENCODE_RAW_LENGTH(SHA256_DIGEST_SIZE) + 1 == sizeof((swl_digest *)0)->base64,
               "all digits and a NUL");

swl_digest swl_digest_of(const char *bytes, size_t len)
{
    struct sha256_ctx context;
    uint8_t sum[SHA256_DIGEST_SIZE];
    swl_digest digest = {.hex = ""};
    sha256_init(&context);
    sha256_update(&context, len, (const uint8_t *)bytes);
    sha256_digest(&context, sizeof sum, sum);
    base16_encode_update(digest.hex, sizeof sum, sum);
    base64_encode_raw(digest.base64, sizeof sum, sum);
    return digest;
}
