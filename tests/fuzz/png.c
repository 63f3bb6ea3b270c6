/* A picture. Its checksums are set right first, so that a change of any byte gets past them. */
#include "fuzz.h"

#include "sweptline/image.h"

#include <stdlib.h>
#include <string.h>
#include <zlib.h>

enum { HEAD = 8, PIXELS_MAX = 1000000 };

static size_t word_at(const uint8_t *at)
{
    return (size_t)at[0] << 24 | (size_t)at[1] << 16 | (size_t)at[2] << 8 | at[3];
}

static void word_put(uint8_t *at, unsigned long word)
{
    for (int i = 0; i < 4; i++) {
        at[i] = (uint8_t)(word >> (24 - 8 * i));
    }
}

/* Sets the checksum of every whole chunk. */
static void checksums_set(uint8_t *bytes, size_t size)
{
    for (size_t at = HEAD; at + 12 <= size;) {
        size_t len = word_at(bytes + at);
        if (len > size - at - 12) {
            return;
        }
        word_put(bytes + at + 8 + len, crc32(0, bytes + at + 4, (uInt)len + 4));
        at += len + 12;
    }
}

#ifdef FUZZ_MUTATOR

/* libpng itself is not instrumented: what tells the fuzzer that a picture is of a new kind, or refused for another
 * reason. */
__attribute__((section("__libfuzzer_extra_counters"))) static uint8_t kinds[1024];

static void tell_kind(const uint8_t *bytes, size_t size, const char *refusal)
{
    unsigned hash = 5381;
    for (const char *p = refusal; *p != '\0'; p++) {
        hash = hash * 33 + (unsigned char)*p;
    }
    if (size >= 29) {
        hash = hash * 33 + (unsigned)bytes[24] * 64 + (unsigned)bytes[25] * 2 + bytes[28];
    }
    for (size_t at = HEAD; at + 12 <= size && refusal[0] == '\0'; at += word_at(bytes + at) + 12) {
        hash += (unsigned)word_at(bytes + at + 4) % 509;
    }
    kinds[hash % sizeof kinds] = 1;
}

#else

static void tell_kind(const uint8_t *bytes, size_t size, const char *refusal)
{
    (void)bytes;
    (void)size;
    (void)refusal;
}

#endif

static void hold_read(const uint8_t *bytes, size_t size)
{
    swl_image head = {0};
    swl_image image = {0};
    swl_err err = {0};
    swl_err head_err = {0};
    swl_status head_status = swl_image_head(bytes, size, &head, &head_err);
    FUZZ_HOLD(head_status == SWL_OK || head_err.text[0] != '\0');
    if (head_status == SWL_OK && (long)head.width * head.height > PIXELS_MAX) {
        return; /* slow, and told of in the head */
    }
    swl_status status = swl_image_read(bytes, size, &image, &err);
    swl_diags none = {0};
    fuzz_hold_findings(&none, status, &err);
    tell_kind(bytes, size, err.text);
    if (status == SWL_OK) {
        FUZZ_HOLD(image.width >= 1 && image.width <= SWL_IMAGE_SIDE_MAX);
        FUZZ_HOLD(image.height >= 1 && image.height <= SWL_IMAGE_SIDE_MAX);
        FUZZ_HOLD(image.width == head.width && image.height == head.height);
        FUZZ_HOLD(image.dpi >= 0 && image.dpi < 1e9);
        /* Every byte is there and has been written. */
        unsigned long sum = 0;
        for (size_t i = 0; i < 3 * (size_t)image.width * (size_t)image.height; i++) {
            sum += image.rgb[i];
        }
        FUZZ_HOLD(sum <= 255UL * 3 * PIXELS_MAX);
        swl_image_free(&image);
    } else {
        FUZZ_HOLD(image.rgb == NULL);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    uint8_t *copy = malloc(size + 1);
    FUZZ_HOLD(copy != NULL);
    if (size > 0) {
        memcpy(copy, data, size);
    }
    hold_read(copy, size);
    checksums_set(copy, size);
    hold_read(copy, size);
    free(copy);
    return 0;
}

#ifdef FUZZ_MUTATOR

size_t LLVMFuzzerMutate(uint8_t *data, size_t size, size_t max_size);
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t max_size, unsigned seed);

/* Changes what the first IDAT holds unpacked and packs it again. Returns: the new size, or 0 when there is none. */
static size_t mutate_pixels(uint8_t *data, size_t size, size_t max_size)
{
    enum { RAW_MAX = 65536 };
    static uint8_t raw[RAW_MAX];
    static uint8_t packed[RAW_MAX + 1024];
    for (size_t at = HEAD; at + 12 <= size;) {
        size_t len = word_at(data + at);
        if (len > size - at - 12) {
            return 0;
        }
        if (memcmp(data + at + 4, "IDAT", 4) == 0) {
            uLongf raw_len = RAW_MAX;
            uLongf packed_len = sizeof packed;
            if (uncompress(raw, &raw_len, data + at + 8, len) != Z_OK) {
                return 0;
            }
            raw_len = LLVMFuzzerMutate(raw, raw_len, RAW_MAX);
            size_t rest = size - at - 12 - len;
            if (compress2(packed, &packed_len, raw, raw_len, 1) != Z_OK || at + 12 + packed_len + rest > max_size) {
                return 0;
            }
            memmove(data + at + 12 + packed_len, data + at + 12 + len, rest);
            memcpy(data + at + 8, packed, packed_len);
            word_put(data + at, packed_len);
            return at + 12 + packed_len + rest;
        }
        at += len + 12;
    }
    return 0;
}

size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t max_size, unsigned seed)
{
    size_t changed = seed % 2 == 0 ? mutate_pixels(data, size, max_size) : 0;
    changed = changed > 0 ? changed : LLVMFuzzerMutate(data, size, max_size);
    checksums_set(data, changed);
    return changed;
}

#endif
