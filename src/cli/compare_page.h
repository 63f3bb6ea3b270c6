/* A comparison: its inputs, its outputs, and its page with the maps laid out and its words. */
#ifndef SWL_CLI_COMPARE_PAGE_H
#define SWL_CLI_COMPARE_PAGE_H

#include "cli/cli.h"

/* A comparison with all that its outputs are made of. */
typedef struct cli_compare_job {
    const cli_options *options;
    size_t count;
    cli_inputs inputs;
    swl_build builds[SWL_COMPARE_MOST];
    const swl_build *built[SWL_COMPARE_MOST];
    swl_diags diags[SWL_COMPARE_MOST];
    char *files[SWL_COMPARE_MOST]; /* as given, in UTF-8 */
    swl_compare_wish wish;
    double speeds_rpm[SWL_COMPARE_SPEEDS_MAX];
    size_t speed_count;
    swl_compare compare;
    swl_units units;
    swl_buf stem;
    const char *at_fault; /* what an error is about, and findings with it */
    const swl_diags *findings;
    bool told; /* the reasons are on standard error already */
} cli_compare_job;

/* A report in the given units: its lists are made anew, since they hold values. */
typedef struct cli_compare_lists {
    swl_differences differences;
    swl_notes summary;
    swl_notes notes;
} cli_compare_lists;

/* Six builds and what is found of them, empty: 150 kB, more than a small stack has room for. Returns: it, to be closed;
 * NULL when out of memory, which is told then. */
cli_compare_job *cli_compare_new(void);
/* Reads every build, told of all faults in one go, asks for every output and solves. close whatever is returned. */
swl_status cli_compare_open(cli_compare_job *j, const cli_options *options, swl_err *err) SWL_MUST_CHECK;
void cli_compare_close(cli_compare_job *j);
swl_status cli_compare_lists_make(const cli_compare_job *j, swl_units units, cli_compare_lists *l,
                                  swl_compare_report *report, swl_err *err) SWL_MUST_CHECK;
void cli_compare_lists_free(cli_compare_lists *l);
/* Writes JSON and CSV where asked, and the text unless one of those has standard output or it is not wanted. */
swl_status cli_compare_write(const cli_compare_job *j, bool with_text, swl_err *err) SWL_MUST_CHECK;
/* Tells what went wrong unless that was done. Returns: the exit status for it. */
int cli_compare_fail(const cli_compare_job *j, const swl_err *err);
/* 1 when any build exceeds a limit or cannot give what is compared at. */
int cli_compare_code(const cli_compare_job *j);

/* Draws it in every format asked for. */
swl_status cli_compare_draw(const cli_options *options, const swl_compare *compare, swl_units units, const char *stem,
                            swl_err *err);

#endif
