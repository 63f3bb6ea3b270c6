/* Tables of published values: text blocks that say where their values come from, and rows "inputs -> want".
 *
 *   block 5: enthalpy of air          the group's number and what is checked
 *   document: ...                     key and value; a line that starts with a blank goes on with the value before
 *   quantity: dry_dh_kj_kg(t_k, ref_k)
 *   250, 300 -> -50.14
 *
 * A block says document, edition, place (page, table, example), short (the source in a few words), obtained, equation
 * (of docs/model.md, or none), tolerance and quantity. obtained is "retrieved", "library NAME VERSION", "memory, high"
 * (or fair, or low) or "calculated ...", and more words may follow. tolerance is "digits" (half a unit in the last
 * digit printed), "N units" in the last digit, "N %" of the value, or a bare number in the unit of the quantity; each
 * but the first wants a reason in because. "later" or "elsewhere" says why a block is not run. # starts a comment. */
#ifndef SWL_PUBLISHED_TABLE_H
#define SWL_PUBLISHED_TABLE_H

#include <stdbool.h>
#include <stddef.h>

enum { PUB_TEXT_MAX = 640, PUB_NAME_MAX = 64, PUB_ARGS_MAX = 8, PUB_INPUT_MAX = 120, PUB_WIDTH_MAX = 36 };

typedef enum pub_field {
    PUB_DOCUMENT,
    PUB_EDITION,
    PUB_PLACE,
    PUB_SHORT,
    PUB_OBTAINED,
    PUB_EQUATION,
    PUB_TOLERANCE,
    PUB_QUANTITY,
    PUB_REQUIRED, /* the ones above stand in every block */
    PUB_BECAUSE = PUB_REQUIRED,
    PUB_LATER,
    PUB_ELSEWHERE,
    PUB_FIELDS
} pub_field;

typedef struct pub_row {
    int line;
    char input[PUB_INPUT_MAX]; /* as written, for words; the numbers are in in */
    double in[PUB_ARGS_MAX];
    double want;
    double tolerance; /* absolute */
} pub_row;

/* rows is owned. worst_* are filled in by whoever runs the block. */
typedef struct pub_block {
    char file[PUB_NAME_MAX];
    int line;
    int group;
    char title[PUB_TEXT_MAX];
    char field[PUB_FIELDS][PUB_TEXT_MAX]; /* empty when not given */
    int arg_count;
    bool words; /* the inputs are not numbers */
    bool broken;
    pub_row *rows;
    size_t row_count;
    size_t row_cap;
    double worst_share;    /* of the value */
    double worst_of_bound; /* of the tolerance */
} pub_block;

/* blocks is owned. Every fault is printed on standard error as "file:line: words" and counted. */
typedef struct pub_tables {
    pub_block *blocks;
    size_t count;
    size_t cap;
    size_t faults;
} pub_tables;

/* Appends the blocks of a file. A file without a block is a fault, and so is a block that lacks a field or a row. */
void pub_read(pub_tables *tables, const char *path);
void pub_free(pub_tables *tables);
void pub_fault(pub_tables *tables, const char *file, int line, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* Orders the blocks by group; those of one group stay as read. */
void pub_sort(pub_tables *tables);
/* Returns: whether the block says that it is not run. */
bool pub_not_run(const pub_block *block);
/* Returns: how many arguments "name(a, b)" has, or -1 when it is not of that form. */
int pub_args_of(const char *signature);

#endif
