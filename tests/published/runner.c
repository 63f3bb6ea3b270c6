/* Holds the library against tables of published values.
 *
 * runner [--markdown] TABLE...
 *
 * Prints a line for every row that fails and for every fault of a table on standard error, a summary on standard
 * output and, last, "N passed, N failed". Exit status 1 when anything failed. --markdown prints the summary as a
 * Markdown table and the closing line on standard error. */
#include "quantities.h"
#include "table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The groups of checks that have to be there, run or not. */
enum { GROUPS_REQUIRED = 25 };
/* Below this a deviation is rounding, and its digits differ from machine to machine. */
#define ROUNDING 1e-12

typedef struct tally {
    size_t passed;
    size_t failed;
    size_t not_run;
    size_t tables; /* that were run */
} tally;

static void row_fails(const pub_block *block, const pub_row *row, double got)
{
    fprintf(stderr, "%s:%d: group %d, %s, %s, %s: %s of %s: want %.10g, got %.10g, off by %.3g, tolerance %.3g\n",
            block->file, row->line, block->group, block->title, block->field[PUB_SHORT], block->field[PUB_PLACE],
            block->field[PUB_QUANTITY], row->input, row->want, got, got - row->want, row->tolerance);
}

static bool row_run(pub_block *block, const pub_row *row, const pub_quantity *quantity)
{
    double got = quantity->of == NULL ? quantity->of_words(row->input) : quantity->of(row->in);
    double off = fabs(got - row->want);
    double share = row->want == 0 ? 0 : off / fabs(row->want);
    block->worst_share = fmax(block->worst_share, share);
    block->worst_of_bound = fmax(block->worst_of_bound, off / row->tolerance);
    if (off <= row->tolerance) {
        return true;
    }
    row_fails(block, row, got);
    return false;
}

/* A block that is not run names a quantity that is not there yet, so that it cannot stay so for longer. */
static void block_run(pub_tables *tables, pub_block *block, tally *sum)
{
    const char *wanted = block->field[PUB_QUANTITY];
    const pub_quantity *quantity = pub_quantity_find(wanted);
    if (block->broken) {
        return;
    }
    if (pub_not_run(block)) {
        sum->not_run += block->row_count;
        if (pub_quantity_named(wanted)) {
            pub_fault(tables, block->file, block->line, "%s is there now; the block should be run", wanted);
        }
        return;
    }
    if (quantity == NULL) {
        pub_fault(tables, block->file, block->line, "unknown quantity %s", wanted);
        return;
    }
    sum->tables++;
    for (size_t i = 0; i < block->row_count; i++) {
        bool kept = row_run(block, &block->rows[i], quantity);
        sum->passed += kept;
        sum->failed += !kept;
    }
}

static void groups_required(pub_tables *tables)
{
    bool there[GROUPS_REQUIRED + 1] = {false};
    for (size_t i = 0; i < tables->count; i++) {
        int group = tables->blocks[i].group;
        if (group <= GROUPS_REQUIRED) {
            there[group] = true;
        }
    }
    for (int group = 1; group <= GROUPS_REQUIRED; group++) {
        if (!there[group]) {
            pub_fault(tables, "tables", 0, "group %d is missing", group);
        }
    }
}

/* Two digits of a deviation, the same on every machine. */
static const char *deviation(const pub_block *block, char *out, size_t room)
{
    if (block->worst_share < ROUNDING) {
        return "< 1e-12";
    }
    snprintf(out, room, "%.1e", block->worst_share);
    return out;
}

static const char *of_bound(const pub_block *block, char *out, size_t room)
{
    if (block->worst_of_bound < 0.005) {
        return "< 0.01";
    }
    snprintf(out, room, "%.2f", block->worst_of_bound);
    return out;
}

static const char *why_word(const pub_block *block)
{
    return block->field[PUB_LATER][0] != '\0' ? "later" : "elsewhere";
}

static const char *why_not_run(const pub_block *block)
{
    return block->field[PUB_LATER][0] != '\0' ? block->field[PUB_LATER] : block->field[PUB_ELSEWHERE];
}

static void print_text(const pub_tables *tables, tally sum)
{
    char a[32];
    char b[32];
    printf("%-5s %4s %9s %7s  %-36s %s\n", "group", "rows", "worst", "of tol.", "checked", "source");
    for (size_t i = 0; i < tables->count; i++) {
        const pub_block *block = &tables->blocks[i];
        bool idle = pub_not_run(block);
        printf("%5d %4zu %9s %7s  %-36s %s\n", block->group, block->row_count,
               idle ? "not run" : deviation(block, a, sizeof a), idle ? "" : of_bound(block, b, sizeof b), block->title,
               block->field[PUB_SHORT]);
    }
    printf("\nworst: largest deviation as a share of the published value; of tol.: as a share of the tolerance.\n");
    if (sum.not_run > 0) {
        printf("\n%zu rows were not run:\n", sum.not_run);
    }
    for (size_t i = 0; i < tables->count; i++) {
        const pub_block *block = &tables->blocks[i];
        if (pub_not_run(block)) {
            printf("%5d %4zu  %s: %s: %s\n", block->group, block->row_count, block->title, why_word(block),
                   why_not_run(block));
        }
    }
    printf("\n");
}

/* How the values were obtained, in the words before the first comma or stop, and for memory how sure. */
static void print_obtained(const char *obtained)
{
    size_t n = strcspn(obtained, strncmp(obtained, "memory", 6) == 0 ? ".;" : ",.;");
    if (strncmp(obtained, "library", 7) == 0) {
        n = strcspn(obtained, ",;"); /* a version has stops */
    }
    printf("%.*s", (int)n, obtained);
}

static void print_cell(const char *text)
{
    for (const char *p = text; *p != '\0'; p++) {
        printf(*p == '|' ? "\\|" : "%c", *p);
    }
}

static void print_markdown_row(const pub_block *block)
{
    char a[32];
    char b[32];
    printf("| %d | ", block->group);
    print_cell(block->title);
    printf(" | ");
    print_cell(block->field[PUB_SHORT]);
    printf(" | ");
    print_obtained(block->field[PUB_OBTAINED]);
    printf(" | %s | %zu | %s | ", block->field[PUB_EQUATION], block->row_count, block->field[PUB_TOLERANCE]);
    if (pub_not_run(block)) {
        printf("not run: %s | |\n", why_word(block));
    } else {
        printf("%s | %s |\n", deviation(block, a, sizeof a), of_bound(block, b, sizeof b));
    }
}

static void print_part(const char *text)
{
    if (strcmp(text, "none") != 0) {
        printf(", %s", text);
    }
}

/* Every source in full, and the reason of every tolerance that is not the digits printed. */
static void print_markdown_sources(const pub_tables *tables)
{
    printf("\nSources, and the reason where a tolerance is more than the digits printed:\n\n");
    for (size_t i = 0; i < tables->count; i++) {
        const pub_block *block = &tables->blocks[i];
        printf("- %d, %s (%s): %s", block->group, block->title, block->file, block->field[PUB_DOCUMENT]);
        print_part(block->field[PUB_EDITION]);
        print_part(block->field[PUB_PLACE]);
        printf("; %s.", block->field[PUB_OBTAINED]);
        if (block->field[PUB_BECAUSE][0] != '\0') {
            printf(" Tolerance %s: %s.", block->field[PUB_TOLERANCE], block->field[PUB_BECAUSE]);
        }
        if (pub_not_run(block)) {
            printf(" Not run, %s: %s.", why_word(block), why_not_run(block));
        }
        printf("\n");
    }
}

static void print_markdown(const pub_tables *tables, tally sum)
{
    printf(
        "%zu rows of %zu tables were compared and %zu failed; %zu rows were not run. Tolerance: digits is half a unit "
        "in the last digit printed, and a bare number is in the unit of the figure. Worst deviation: as a share of "
        "the published value, and of the tolerance. Equations are those of [model.md](model.md).\n\n",
        sum.passed + sum.failed, sum.tables, sum.failed, sum.not_run);
    printf("| group | checked | source | obtained | equation | rows | tolerance | worst deviation | of tolerance |\n");
    printf("| ---: | --- | --- | --- | --- | ---: | --- | ---: | ---: |\n");
    for (size_t i = 0; i < tables->count; i++) {
        print_markdown_row(&tables->blocks[i]);
    }
    print_markdown_sources(tables);
}

int main(int argc, char **argv)
{
    bool markdown = argc > 1 && strcmp(argv[1], "--markdown") == 0;
    pub_tables tables = {0};
    tally sum = {0};
    for (int i = markdown ? 2 : 1; i < argc; i++) {
        pub_read(&tables, argv[i]);
    }
    groups_required(&tables);
    pub_sort(&tables);
    for (size_t i = 0; i < tables.count; i++) {
        block_run(&tables, &tables.blocks[i], &sum);
    }
    sum.failed += tables.faults;
    if (markdown) {
        print_markdown(&tables, sum);
    } else {
        print_text(&tables, sum);
    }
    fflush(stdout);
    fprintf(markdown ? stderr : stdout, "%zu passed, %zu failed\n", sum.passed, sum.failed);
    pub_free(&tables);
    return sum.failed == 0 ? 0 : 1;
}
