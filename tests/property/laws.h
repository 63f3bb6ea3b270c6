/* What must hold for every valid build: laws of one point, of a change, and of what is written. */
#ifndef TESTS_PROPERTY_LAWS_H
#define TESTS_PROPERTY_LAWS_H

#include "property/wide.h"

#include "support/builds.h"

enum { LAWS_MAX = 96, LAW_SHOWN_MAX = 3 };

/* How often a law held, and how often not. Shared by the processes of a run. */
typedef struct law_count {
    const char *name;
    long held, failed;
} law_count;

typedef struct law_book {
    law_count counts[LAWS_MAX];
    size_t count;
    uint64_t seed; /* of the build at hand, for messages */
} law_book;

/* Counts one case of a law, which a name stands for (a constant: it is told by its address too), and prints the first
 * that fail with the seed. */
void law(law_book *book, const char *name, bool good, const char *format, ...) SWL_PRINTF(4, 5);
/* Whether two numbers are alike to a share of the larger one, or both NAN. */
bool law_near(double a, double b, double share);

/* Mass, energy and pressures of every row of a check, its power and its limits. */
void laws_of_line(law_book *book, const swl_build *build, const swl_check *check);
/* The answer of one operating point to changes of the build, several drawn by random. */
void laws_of_changes(law_book *book, swl_build *build, const swl_check *check, test_random *random);
/* Text, CSV and JSON of a check. */
void laws_of_reports(law_book *book, const swl_build *build, const swl_check *check, const swl_diags *diags);

#endif
