/* The pen of the man pages: roff with the macros of man(7). */
#include "cli/manual.h"

#include "sweptline/version.h"

#include <ctype.h>
#include <string.h>

/* An option or what stands between backquotes is bold. Every word that would start a request is guarded. */
static void put_roff(swl_buf *out, const char *text)
{
    bool bold = false;
    bool literal = false;
    bool starts = true;
    for (const char *at = text; *at != '\0'; at++) {
        bool option = starts && at[0] == '-' && at[1] == '-' && isalpha((unsigned char)at[2]);
        if (option && !literal) {
            swl_buf_puts(out, "\\fB");
            bold = true;
        }
        if (bold && !literal && *at != '-' && !isalpha((unsigned char)*at)) {
            swl_buf_puts(out, "\\fR");
            bold = false;
        }
        if (starts && (*at == '.' || *at == '\'')) {
            swl_buf_puts(out, "\\&");
        }
        starts = isspace((unsigned char)*at) != 0;
        switch (*at) {
        case '`':
            literal = !literal;
            swl_buf_puts(out, literal ? "\\fB" : "\\fR");
            break;
        case '-':
            swl_buf_puts(out, "\\-");
            break;
        case '\\':
            swl_buf_puts(out, "\\e");
            break;
        case '\'':
            swl_buf_puts(out, "\\(aq");
            break;
        case '~':
            swl_buf_puts(out, "\\(ti");
            break;
        case '\n':
            swl_buf_puts(out, " ");
            break;
        default:
            swl_buf_put(out, at, 1);
        }
    }
    swl_buf_puts(out, bold ? "\\fR" : "");
}

/* The same, in lines that an editor shows. */
static void put_text(swl_buf *out, const char *text)
{
    swl_buf roff = {0};
    put_roff(&roff, text);
    swl_report_wrap(out, swl_buf_text(&roff), 78, "");
    out->failed = out->failed || roff.failed;
    swl_buf_free(&roff);
}

static void heading(swl_buf *out, const char *text)
{
    swl_buf_puts(out, ".SH ");
    for (; *text != '\0'; text++) {
        char letter = (char)toupper((unsigned char)*text);
        swl_buf_put(out, &letter, 1);
    }
    swl_buf_puts(out, "\n");
}

static void usage(swl_buf *out, const char *command, const char *follows)
{
    heading(out, "Synopsis");
    swl_buf_printf(out, ".B sweptline %s\n", command);
    bool optional = strncmp(follows, "[options] ", 10) == 0;
    swl_buf_printf(out, "%s.I %s\n", optional ? ".RI [ options ]\n" : "", follows + (optional ? 10 : 0));
}

/* Begins a paragraph; below a heading one has begun. */
static void begin(swl_buf *out)
{
    const char *text = swl_buf_text(out);
    const char *last = text;
    for (const char *at = text; *at != '\0'; at++) {
        last = at[0] == '\n' && at[1] != '\0' ? at + 1 : last;
    }
    swl_buf_puts(out, strncmp(last, ".SH", 3) == 0 ? "" : ".PP\n");
}

static void paragraph(swl_buf *out, const char *text)
{
    begin(out);
    put_text(out, text);
}

static void item(swl_buf *out, const char *term, const char *text)
{
    swl_buf_puts(out, ".TP\n\\fB");
    /* The words that stand for something of the user's are slanted. */
    size_t n = strncmp(term, "--", 2) == 0 ? strcspn(term, " ") : strlen(term);
    swl_buf name = {0};
    swl_buf_put(&name, term, n);
    for (const char *at = swl_buf_text(&name); *at != '\0'; at++) {
        swl_buf_puts(out, *at == '-' ? "\\-" : "");
        swl_buf_put(out, at, *at == '-' ? 0 : 1);
    }
    swl_buf_puts(out, "\\fR");
    if (term[n] != '\0') {
        swl_buf_printf(out, " \\fI%s\\fR", term + n + 1);
    }
    swl_buf_puts(out, "\n");
    put_text(out, text);
    out->failed = out->failed || name.failed;
    swl_buf_free(&name);
}

static void example(swl_buf *out, const char *line, const char *text)
{
    begin(out);
    swl_buf_puts(out, ".nf\n");
    put_roff(out, line);
    swl_buf_puts(out, "\n.fi\n.RS 4\n");
    put_text(out, text);
    swl_buf_puts(out, ".RE\n");
}

static const cli_pen pen = {heading, usage, paragraph, item, example};

static void put_head(swl_buf *out, const char *command, const char *summary)
{
    swl_buf_puts(out, ".\\\" Made by sweptline man from the texts of its help.\n.TH SWEPTLINE");
    swl_buf_puts(out, command == NULL ? "" : "\\-");
    for (const char *at = command == NULL ? "" : command; *at != '\0'; at++) {
        char letter = (char)toupper((unsigned char)*at);
        swl_buf_put(out, &letter, 1);
    }
    swl_buf_printf(out, " 1 %s \"sweptline %s\" \"User commands\"\n.SH NAME\n", SWL_VERSION_DATE, SWL_VERSION);
    swl_buf name = {0};
    swl_buf_printf(&name, "sweptline%s%s - %s", command == NULL ? "" : "-", command == NULL ? "" : command, summary);
    put_text(out, swl_buf_text(&name));
    out->failed = out->failed || name.failed;
    swl_buf_free(&name);
}

/* Where the rest is told. */
static void put_foot(swl_buf *out, bool whole)
{
    heading(out, "See also");
    for (size_t i = 0; whole && i < cli_command_count; i++) {
        swl_buf_printf(out, ".BR sweptline\\-%s (1)%s\n", cli_commands[i].name, i + 1 < cli_command_count ? "," : "");
    }
    if (!whole) {
        swl_buf_puts(out, ".BR sweptline (1)\n");
    }
}

static void page(const cli_command *command, swl_buf *out)
{
    put_head(out, command->name, command->summary);
    cli_page(command, &pen, out);
    heading(out, "Cautions");
    paragraph(out, swl_report_caution());
    put_foot(out, false);
}

static void page_all(swl_buf *out)
{
    put_head(out, NULL, "work out a donor supercharger on an engine it was not made for");
    cli_page_all(&pen, out);
    put_foot(out, true);
}

static void page_names(swl_buf *out)
{
    swl_buf_puts(out, "sweptline\n");
    for (size_t i = 0; i < cli_command_count; i++) {
        swl_buf_printf(out, "sweptline-%s\n", cli_commands[i].name);
    }
}

int cli_man(const cli_options *options)
{
    static const char before[] = "sweptline-";
    const char *name = options->file;
    swl_buf out = {0};
    swl_err err = {0};
    if (strcmp(name, "sweptline") == 0) {
        page_all(&out);
    } else if (strcmp(name, "pages") == 0) {
        page_names(&out);
    } else {
        name += strncmp(name, before, strlen(before)) == 0 ? strlen(before) : 0;
        for (size_t i = 0; i < cli_command_count; i++) {
            if (strcmp(name, cli_commands[i].name) == 0) {
                page(&cli_commands[i], &out);
            }
        }
    }
    if (out.len == 0 && !out.failed) {
        cli_say("sweptline man: read `%s`; sweptline, a command's name, or pages for a list of them is accepted",
                options->file);
        return 2;
    }
    swl_status status = cli_save("-", &out, &err);
    swl_buf_free(&out);
    return status == SWL_OK ? 0 : cli_fail(&(swl_diags){0}, &err, "-");
}
