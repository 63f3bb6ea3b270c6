/* The pen of --help: plain text within 96 columns. */
#include "cli/manual.h"

#include "sweptline/version.h"

#include <stdio.h>
#include <string.h>

enum { WIDTH = 96, HEAD = 20 };

/* Appends a text with its ends of line as blanks, wrapped. column: where the first line stands. */
static void put_wrapped(swl_buf *out, const char *text, int column)
{
    swl_buf line = {0};
    char indent[HEAD + 1];
    (void)memset(indent, ' ', sizeof indent);
    indent[column] = '\0';
    for (const char *at = text; *at != '\0'; at++) {
        swl_buf_put(&line, *at == '\n' ? " " : at, 1);
    }
    swl_report_wrap(out, swl_buf_text(&line), WIDTH - column, indent);
    out->failed = out->failed || line.failed;
    swl_buf_free(&line);
}

static void heading(swl_buf *out, const char *text)
{
    /* What stands below the usage needs no title. */
    if (strcmp(text, "Description") != 0) {
        swl_buf_printf(out, "\n%s\n", text);
    }
}

static void usage(swl_buf *out, const char *command, const char *follows)
{
    swl_buf_printf(out, "usage: sweptline %s %s\n", command, follows);
}

static void paragraph(swl_buf *out, const char *text)
{
    swl_buf_puts(out, "\n");
    put_wrapped(out, text, 0);
}

static void item(swl_buf *out, const char *term, const char *text)
{
    if (strlen(term) <= HEAD - 3) {
        swl_buf_printf(out, "  %-*s", HEAD - 2, term);
    } else {
        swl_buf_printf(out, "  %s\n%*s", term, HEAD, "");
    }
    put_wrapped(out, text, HEAD);
}

static void example(swl_buf *out, const char *line, const char *text)
{
    swl_buf_printf(out, "  %s\n      ", line);
    put_wrapped(out, text, 6);
}

static const cli_pen pen = {heading, usage, paragraph, item, example};

static int put(swl_buf *text, FILE *to)
{
    swl_err err = {0};
    bool whole = swl_buf_status(text, &err) == SWL_OK;
    (void)fputs(whole ? swl_buf_text(text) : "sweptline: out of memory\n", whole ? to : stderr);
    swl_buf_free(text);
    return whole ? 0 : 3;
}

int cli_help(const cli_command *command)
{
    swl_buf text = {0};
    cli_page(command, &pen, &text);
    return put(&text, stdout);
}

int cli_help_all(FILE *to)
{
    swl_buf text = {0};
    swl_buf_printf(&text, "sweptline %s\n\n", SWL_VERSION);
    cli_page_all(&pen, &text);
    return put(&text, to);
}
