#include "draw/pdf_whole.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ENTRY = 20 /* bytes of one line of the table */ };

/* Whether "NUMBER 0 obj" stands at an offset. */
static bool stands_at(const char *bytes, size_t len, unsigned long long offset, long number)
{
    char head[40];
    int n = snprintf(head, sizeof head, "%ld 0 obj", number);
    return offset < len && len - offset >= (size_t)n && memcmp(bytes + offset, head, (size_t)n) == 0;
}

/* Where the table begins that the end of the file leads to, or len. */
static size_t table_at(const char *bytes, size_t len)
{
    static const char lead[] = "startxref";
    const char *found = NULL;
    for (const char *at = bytes; (at = memmem(at, len - (size_t)(at - bytes), lead, sizeof lead - 1)) != NULL; at++) {
        found = at;
    }
    unsigned long long offset = found == NULL ? len : strtoull(found + sizeof lead - 1, NULL, 10);
    bool is_table = offset < len && len - offset > 5 && memcmp(bytes + offset, "xref\n", 5) == 0;
    return is_table ? (size_t)offset + 5 : len;
}

long swl_pdf_lost_object(const char *bytes, size_t len)
{
    size_t at = table_at(bytes, len);
    if (at == len) {
        return -1;
    }
    char *end = NULL;
    long first = strtol(bytes + at, &end, 10);
    long count = strtol(end, &end, 10);
    const char *line = *end == '\n' ? end + 1 : end;
    for (long i = first; i < first + count; i++, line += ENTRY) {
        if (len - (size_t)(line - bytes) < ENTRY) {
            return i;
        }
        bool used = line[17] == 'n';
        if (used && !stands_at(bytes, len, strtoull(line, NULL, 10), i)) {
            return i;
        }
    }
    return -1;
}
