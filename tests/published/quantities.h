/* What the tables may ask the library for: each quantity by its name and its inputs, in the units of the sources. */
#ifndef SWL_PUBLISHED_QUANTITIES_H
#define SWL_PUBLISHED_QUANTITIES_H

#include <stdbool.h>

/* One of the two is NULL: of takes numbers, of_words the text of the row. NaN means that there is no value. */
typedef struct pub_quantity {
    const char *signature;
    double (*of)(const double *in);
    double (*of_words)(const char *text);
} pub_quantity;

/* Each list ends with a signature of NULL. */
extern const pub_quantity pub_quantities_air[];
extern const pub_quantity pub_quantities_parts[];
extern const pub_quantity pub_quantities_cooling[];
extern const pub_quantity pub_quantities_belt[];

/* Given: "name(input, input)". Returns: the quantity, which has to carry the same inputs; NULL when there is none. */
const pub_quantity *pub_quantity_find(const char *signature);
/* Returns: whether there is a quantity of that name, whatever its inputs. */
bool pub_quantity_named(const char *signature);

#endif
