/* What the keys of a file came to, in words. */
#ifndef SWL_FILES_KEY_WORDS_H
#define SWL_FILES_KEY_WORDS_H

#include "files/keys.h"

bool swl_key_is(const swl_key *key, const char *section, const char *name);
/* Whether its value is a curve, which swl_key_put leaves to its caller. */
bool swl_key_is_curve(const swl_key *key);
/* Where a key's value stands in a build. A key of the unit file is as swl_unit_key_at gives it. */
const void *swl_key_place(const swl_build *build, const swl_key *key);
/* What a key that is a choice came to. */
const char *swl_key_choice(const swl_build *build, const swl_key *key);
/* A text; of a fuel the name in the table. */
const char *swl_key_text(const swl_build *build, const swl_key *key);
/* Appends a number of a key's kind as a report shows it, "not given" where there is none; full: to the last digits. */
void swl_key_quantity_put(swl_buf *out, const swl_key *key, double si, swl_units units, bool full);
/* Appends a key's value in a build, or "not given". */
void swl_key_put(swl_buf *out, const swl_key *key, const swl_build *build, swl_units units, bool full);

#endif
