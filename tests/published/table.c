#include "table.h"

#include <ctype.h>
#include <errno.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const field_names[PUB_FIELDS] = {
    [PUB_DOCUMENT] = "document",   [PUB_EDITION] = "edition",    [PUB_PLACE] = "place",
    [PUB_SHORT] = "short",         [PUB_OBTAINED] = "obtained",  [PUB_EQUATION] = "equation",
    [PUB_TOLERANCE] = "tolerance", [PUB_QUANTITY] = "quantity",  [PUB_BECAUSE] = "because",
    [PUB_LATER] = "later",         [PUB_ELSEWHERE] = "elsewhere"};

/* A tolerance wider than this could hardly fail. */
#define WIDEST_SHARE 0.1

typedef struct reader {
    pub_tables *tables;
    const char *file;
    int line;
    pub_block *block; /* NULL before the first */
    int last_field;   /* -1 when a blank at the start of a line goes on with nothing */
} reader;

void pub_fault(pub_tables *tables, const char *file, int line, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    fprintf(stderr, "%s:%d: ", file, line);
    vfprintf(stderr, format, args);
    fputc('\n', stderr);
    va_end(args);
    tables->faults++;
}

#define FAULT(r, ...)                                                                                                  \
    do {                                                                                                               \
        pub_fault((r)->tables, (r)->file, (r)->line, __VA_ARGS__);                                                     \
        if ((r)->block != NULL) {                                                                                      \
            (r)->block->broken = true;                                                                                 \
        }                                                                                                              \
    } while (0)

/* Blanks off both ends, in place. */
static char *trim(char *text)
{
    while (isspace((unsigned char)*text)) {
        text++;
    }
    size_t n = strlen(text);
    while (n > 0 && isspace((unsigned char)text[n - 1])) {
        text[--n] = '\0';
    }
    return text;
}

/* Makes room for one more. Running out of memory ends the program: this is a test. */
static void *grown(void *items, size_t count, size_t *cap, size_t size)
{
    if (count < *cap) {
        return items;
    }
    *cap = *cap == 0 ? 16 : *cap * 2;
    void *more = realloc(items, *cap * size);
    if (more == NULL) {
        fprintf(stderr, "out of memory\n");
        exit(3);
    }
    return more;
}

static bool number_of(const char *text, double *value)
{
    char *end = NULL;
    errno = 0;
    *value = strtod(text, &end);
    return end != text && *end == '\0' && errno == 0 && isfinite(*value);
}

/* One unit in the last digit of a number as written: 1e-3 for 12.345, 1e2 for 1.2e3. */
static double last_digit(const char *number)
{
    const char *e = strpbrk(number, "eE");
    const char *point = strchr(number, '.');
    long decimals = point == NULL ? 0 : (e == NULL ? (long)strlen(point) : e - point) - 1;
    long exponent = e == NULL ? 0 : strtol(e + 1, NULL, 10);
    return pow(10, (double)(exponent - decimals));
}

/* Returns: false when the rule is none of the four. */
static bool tolerance_of(const char *rule, const char *want_text, double want, double *tolerance)
{
    if (strcmp(rule, "digits") == 0) {
        /* A value on the half itself may have been rounded either way. */
        *tolerance = last_digit(want_text) / 2 * (1 + 1e-6);
        return true;
    }
    if (number_of(rule, tolerance)) {
        return *tolerance > 0;
    }
    char *word = NULL;
    double n = strtod(rule, &word);
    if (word == rule || !(n > 0) || !isfinite(n)) {
        return false;
    }
    bool units = strcmp(word, " unit") == 0 || strcmp(word, " units") == 0;
    *tolerance = units ? n * last_digit(want_text) : n / 100 * fabs(want);
    return units || strcmp(word, " %") == 0;
}

int pub_args_of(const char *signature)
{
    const char *open = strchr(signature, '(');
    size_t n = strlen(signature);
    if (open == NULL || open == signature || signature[n - 1] != ')' || strchr(open + 1, '(') != NULL) {
        return -1;
    }
    int count = open[1] == ')' ? 0 : 1;
    for (const char *p = open; *p != '\0'; p++) {
        count += *p == ',';
    }
    return count > PUB_ARGS_MAX ? -1 : count;
}

bool pub_not_run(const pub_block *block)
{
    return block->field[PUB_LATER][0] != '\0' || block->field[PUB_ELSEWHERE][0] != '\0';
}

/* Splits "a, b, c" into numbers. Returns: whether there are as many as the quantity takes. */
static bool inputs_read(reader *r, char *text, pub_row *row)
{
    int count = 0;
    for (char *rest = text; rest != NULL && *trim(rest) != '\0'; count++) {
        char *one = strsep(&rest, ",");
        if (count < PUB_ARGS_MAX && !r->block->words && !number_of(trim(one), &row->in[count])) {
            FAULT(r, "`%s` is not a number", trim(one));
            return false;
        }
    }
    if (count != r->block->arg_count) {
        FAULT(r, "%d inputs where %s takes %d", count, r->block->field[PUB_QUANTITY], r->block->arg_count);
        return false;
    }
    return true;
}

static void row_read(reader *r, char *text, char *arrow)
{
    pub_block *block = r->block;
    if (block->field[PUB_QUANTITY][0] == '\0' || block->field[PUB_TOLERANCE][0] == '\0') {
        FAULT(r, "a row before the block's quantity and tolerance");
        return;
    }
    *arrow = '\0';
    char *input = trim(text);
    char *want = trim(arrow + 2);
    pub_row row = {.line = r->line};
    if (strlen(input) >= sizeof row.input) {
        FAULT(r, "the inputs are longer than %zu characters", sizeof row.input - 1);
        return;
    }
    snprintf(row.input, sizeof row.input, "%s", input);
    if (!number_of(want, &row.want)) {
        FAULT(r, "`%s` after the arrow is not a number", want);
    } else if (!tolerance_of(block->field[PUB_TOLERANCE], want, row.want, &row.tolerance)) {
        FAULT(r, "tolerance `%s` is none of: digits, N units, N %%, N", block->field[PUB_TOLERANCE]);
    } else if (row.want != 0 && row.tolerance > WIDEST_SHARE * fabs(row.want) && !pub_not_run(block)) {
        FAULT(r, "a tolerance of more than a tenth of %s checks nothing", want);
    } else if (!(row.tolerance > 0)) {
        FAULT(r, "a tolerance of nothing; a share of 0 is none");
    } else if (inputs_read(r, input, &row)) {
        block->rows = grown(block->rows, block->row_count, &block->row_cap, sizeof *block->rows);
        block->rows[block->row_count++] = row;
    }
}

static bool obtained_is_sound(const char *text)
{
    static const char *const sure[] = {"high", "fair", "low"};
    if (strncmp(text, "memory, ", 8) == 0) {
        for (size_t i = 0; i < sizeof sure / sizeof sure[0]; i++) {
            if (strncmp(text + 8, sure[i], strlen(sure[i])) == 0) {
                return true;
            }
        }
        return false;
    }
    if (strncmp(text, "library ", 8) == 0) {
        return strpbrk(text, "0123456789") != NULL;
    }
    return strncmp(text, "retrieved", 9) == 0 || strncmp(text, "calculated ", 11) == 0;
}

/* What can be told once all of a block is read; its own line is named. */
static void block_close(reader *r)
{
    if (r->block == NULL) {
        return;
    }
    pub_block *block = r->block;
    int here = r->line;
    r->line = block->line;
    for (int f = 0; f < PUB_REQUIRED; f++) {
        if (block->field[f][0] == '\0') {
            FAULT(r, "the block has no %s", field_names[f]);
        }
    }
    if (block->field[PUB_OBTAINED][0] != '\0' && !obtained_is_sound(block->field[PUB_OBTAINED])) {
        FAULT(r,
              "obtained `%s` does not start with retrieved, library NAME VERSION, memory, high|fair|low or calculated",
              block->field[PUB_OBTAINED]);
    }
    if (block->field[PUB_BECAUSE][0] == '\0' && strcmp(block->field[PUB_TOLERANCE], "digits") != 0) {
        FAULT(r, "a tolerance other than digits without a reason (because)");
    }
    if (block->row_count == 0 && !block->broken) {
        FAULT(r, "the block has no rows");
    }
    if (strlen(block->title) > PUB_WIDTH_MAX || strlen(block->field[PUB_SHORT]) > PUB_WIDTH_MAX) {
        FAULT(r, "title and short have at most %d characters", PUB_WIDTH_MAX);
    }
    r->line = here;
    r->block = NULL;
}

static void block_open(reader *r, char *text)
{
    block_close(r);
    pub_tables *tables = r->tables;
    char *colon = strchr(text, ':');
    char *end = NULL;
    long group = strtol(text + strlen("block "), &end, 10);
    bool sound = colon != NULL && end == colon && group >= 1 && group <= 99 && *trim(colon + 1) != '\0';
    tables->blocks = grown(tables->blocks, tables->count, &tables->cap, sizeof *tables->blocks);
    r->block = &tables->blocks[tables->count++];
    *r->block = (pub_block){.line = r->line, .group = (int)group};
    snprintf(r->block->file, sizeof r->block->file, "%s", r->file);
    snprintf(r->block->title, sizeof r->block->title, "%s", colon == NULL ? "" : trim(colon + 1));
    r->last_field = -1;
    if (!sound) {
        FAULT(r, "a block starts with `block N: what is checked`");
    }
}

static void append(reader *r, char *field, const char *text)
{
    size_t n = strlen(field);
    if (n + strlen(text) + 2 > PUB_TEXT_MAX) {
        FAULT(r, "the value is longer than %d characters", PUB_TEXT_MAX - 2);
        return;
    }
    snprintf(field + n, PUB_TEXT_MAX - n, "%s%s", n == 0 ? "" : " ", text);
}

static void field_read(reader *r, char *text, char *colon)
{
    pub_block *block = r->block;
    *colon = '\0';
    r->last_field = -1;
    for (int f = 0; f < PUB_FIELDS; f++) {
        if (strcmp(text, field_names[f]) == 0) {
            r->last_field = f;
        }
    }
    char *value = trim(colon + 1);
    if (r->last_field < 0) {
        FAULT(r, "unknown key `%s`", text);
    } else if (block->field[r->last_field][0] != '\0') {
        FAULT(r, "%s is given twice", text);
    } else if (*value == '\0') {
        FAULT(r, "%s is empty", text);
    } else if (block->row_count > 0) {
        FAULT(r, "%s stands after a row", text);
    } else {
        append(r, block->field[r->last_field], value);
    }
    if (r->last_field == PUB_QUANTITY) {
        block->arg_count = pub_args_of(value);
        block->words = strstr(value, "words)") != NULL;
        if (block->arg_count < 0) {
            FAULT(r, "`%s` is not of the form name(input, input)", value);
        }
    }
}

static bool is_key(const char *text, const char *colon)
{
    if (colon == NULL || colon == text) {
        return false;
    }
    for (const char *p = text; p < colon; p++) {
        if (!islower((unsigned char)*p)) {
            return false;
        }
    }
    return true;
}

static void line_read(reader *r, char *text)
{
    bool goes_on = isspace((unsigned char)text[0]);
    char *line = trim(text);
    char *arrow = strstr(line, "->");
    if (*line == '\0' || *line == '#') {
        return;
    }
    if (!goes_on && strncmp(line, "block ", 6) == 0) {
        block_open(r, line);
    } else if (r->block == NULL) {
        FAULT(r, "`%s` stands before the first block", line);
    } else if (goes_on && r->last_field >= 0) {
        append(r, r->block->field[r->last_field], line);
    } else if (!goes_on && is_key(line, strchr(line, ':'))) {
        field_read(r, line, strchr(line, ':'));
    } else if (!goes_on && arrow != NULL) {
        r->last_field = -1;
        row_read(r, line, arrow);
    } else {
        FAULT(r, "`%s` is neither a key nor a row", line);
    }
}

void pub_read(pub_tables *tables, const char *path)
{
    const char *slash = strrchr(path, '/');
    reader r = {.tables = tables, .file = slash == NULL ? path : slash + 1, .last_field = -1};
    size_t before = tables->count;
    FILE *in = fopen(path, "r");
    if (in == NULL) {
        pub_fault(tables, r.file, 0, "%s", strerror(errno));
        return;
    }
    char *text = NULL;
    size_t room = 0;
    while (getline(&text, &room, in) >= 0) {
        r.line++;
        line_read(&r, text);
    }
    block_close(&r);
    if (ferror(in)) {
        FAULT(&r, "could not be read to its end");
    } else if (tables->count == before) {
        FAULT(&r, "the file has no block");
    }
    free(text);
    fclose(in);
}

void pub_free(pub_tables *tables)
{
    for (size_t i = 0; i < tables->count; i++) {
        free(tables->blocks[i].rows);
    }
    free(tables->blocks);
    *tables = (pub_tables){0};
}

void pub_sort(pub_tables *tables)
{
    for (size_t i = 1; i < tables->count; i++) {
        pub_block moved = tables->blocks[i];
        size_t at = i;
        for (; at > 0 && tables->blocks[at - 1].group > moved.group; at--) {
            tables->blocks[at] = tables->blocks[at - 1];
        }
        tables->blocks[at] = moved;
    }
}
