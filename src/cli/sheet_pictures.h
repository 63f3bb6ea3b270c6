/* The drawings of a sheet. */
#ifndef SWL_CLI_SHEET_PICTURES_H
#define SWL_CLI_SHEET_PICTURES_H

#include "cli/cli.h"

#include "sweptline/sheet.h"

/* What stays with the drawings until the sheet is written: the speed limits told beside each map. */
typedef struct cli_sheet_traces {
    swl_trace of[SWL_SHEET_BUILDS_MAX][SWL_TRACES_MAX];
} cli_sheet_traces;

/* Draws a map for each build, on one scale, and the curves of all, each for a wide page and for a narrow one. What was
 * drawn is freed by cli_sheet_drawings_free whatever is returned. */
swl_status cli_sheet_draw(swl_sheet *sheet, cli_sheet_traces *traces, swl_err *err) SWL_MUST_CHECK;
void cli_sheet_drawings_free(swl_sheet *sheet);

#endif
