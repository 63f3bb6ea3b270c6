/* The texts of the manual. What --help prints and what the man pages hold is one page, written with two pens:
 * a command's row in main.c, its options in args.c and its entry in manual.c. */
#ifndef SWL_CLI_MANUAL_H
#define SWL_CLI_MANUAL_H

#include "cli/cli.h"

enum { CLI_MANUAL_FILES = 4, CLI_MANUAL_EXAMPLES = 5 };

/* A term and what is said of it; a NULL term ends a list. */
typedef struct cli_told {
    const char *term;
    const char *text;
} cli_told;

/* One command beside its row in main.c. A blank line in a text starts a paragraph; other ends of line are blanks. */
typedef struct cli_manual {
    const char *command;
    const char *more;                       /* further paragraphs of the description, or NULL */
    const char *kept;                       /* what exit status 0 says */
    const char *exceeded;                   /* and 1; NULL when it never ends so */
    const char *picture;                    /* as NAME-chart, without its ending; NULL when none is drawn */
    cli_told files[CLI_MANUAL_FILES];       /* beside what its row and its options tell */
    cli_told examples[CLI_MANUAL_EXAMPLES]; /* a line to type, and what it gives; tests run each */
} cli_manual;

/* Returns: the entry of a command, or NULL when it has none. */
const cli_manual *cli_manual_of(const char *command);

/* How the parts of a page are written. */
typedef struct cli_pen {
    void (*heading)(swl_buf *out, const char *text);
    void (*usage)(swl_buf *out, const char *command, const char *follows);
    void (*paragraph)(swl_buf *out, const char *text);
    void (*item)(swl_buf *out, const char *term, const char *text);
    void (*example)(swl_buf *out, const char *line, const char *text);
} cli_pen;

/* Appends the page of a command, or of the whole program. */
void cli_page(const cli_command *command, const cli_pen *pen, swl_buf *out);
void cli_page_all(const cli_pen *pen, swl_buf *out);

#endif
