/* The page of a comparison: its maps laid out and its words. */
#ifndef SWL_CLI_COMPARE_PAGE_H
#define SWL_CLI_COMPARE_PAGE_H

#include "cli/cli.h"

/* Draws it in every format asked for. */
swl_status cli_compare_draw(const cli_options *options, const swl_compare *compare, swl_units units, const char *stem,
                            swl_err *err);

#endif
