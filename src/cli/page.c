/* A page of the manual, part by part. */
#include "cli/manual.h"

#include <string.h>

static const char not_accepted[] = "Bad usage or input; nothing was computed or written.";
static const char not_written[] =
    "An output could not be written or resources ran out; what stood there before still stands.";

/* Whether a command's argument has a word, as BUILD in "BUILD RUN" or "BUILD...". */
static bool follows(const cli_command *command, const char *word)
{
    const char *at = strstr(command->argument, word);
    size_t n = strlen(word);
    return at != NULL && (at == command->argument || at[-1] == ' ') && strchr(" .", at[n]) != NULL;
}

/* Whether a command takes no option of a study: it writes what it is asked for to FILE or standard output. */
static bool is_bare(const cli_command *command)
{
    return (command->takes & CLI_NOTHING) != 0 && (command->takes & CLI_SERVE) == 0;
}

static void options_part(const cli_command *command, const cli_pen *pen, swl_buf *out)
{
    pen->heading(out, "Options");
    for (size_t i = 0; i < cli_option_count(); i++) {
        if (!cli_takes(command, i)) {
            continue;
        }
        swl_buf head = {0};
        swl_buf text = {0};
        cli_option_told(command, i, &head, &text);
        pen->item(out, swl_buf_text(&head), swl_buf_text(&text));
        out->failed = out->failed || head.failed || text.failed;
        swl_buf_free(&head);
        swl_buf_free(&text);
    }
}

static void files_part(const cli_command *command, const cli_manual *manual, const cli_pen *pen, swl_buf *out)
{
    bool writes = is_bare(command);
    pen->heading(out, "Files");
    if (follows(command, "BUILD")) {
        pen->item(out, "BUILD",
                  "A build file. It names a unit file, which names a map table; names are relative to the file they "
                  "stand in.");
    }
    if (follows(command, "UNIT")) {
        pen->item(out, "UNIT", "A unit file. It names a map table, or the picture of a chart.");
    }
    for (size_t i = 0; manual != NULL && i < CLI_MANUAL_FILES && manual->files[i].term != NULL; i++) {
        pen->item(out, manual->files[i].term, manual->files[i].text);
    }
    if (manual != NULL && manual->picture != NULL) {
        pen->item(out, manual->picture,
                  "The picture, with .png, .svg or .pdf behind it, in the folder of --out, named after the input file "
                  "without its ending.");
    }
    if (!writes || follows(command, "FILE")) {
        pen->item(out, "-",
                  writes ? "In place of FILE it is standard output." : "In place of an input it is standard input.");
    }
}

static void status_part(const char *kept, const char *exceeded, const cli_pen *pen, swl_buf *out)
{
    pen->heading(out, "Exit status");
    pen->item(out, "0", kept);
    if (exceeded != NULL) {
        pen->item(out, "1", exceeded);
    }
    pen->item(out, "2", not_accepted);
    pen->item(out, "3", not_written);
}

static void examples_part(const cli_told *examples, const cli_pen *pen, swl_buf *out)
{
    pen->heading(out, "Examples");
    for (size_t i = 0; i < CLI_MANUAL_EXAMPLES && examples[i].term != NULL; i++) {
        pen->example(out, examples[i].term, examples[i].text);
    }
}

void cli_page(const cli_command *command, const cli_pen *pen, swl_buf *out)
{
    const cli_manual *manual = cli_manual_of(command->name);
    bool plain = is_bare(command);
    swl_buf rest = {0};
    swl_buf_printf(&rest, "%s%s", plain ? "" : "[options] ", command->argument);
    pen->usage(out, command->name, swl_buf_text(&rest));
    out->failed = out->failed || rest.failed;
    swl_buf_free(&rest);
    pen->heading(out, "Description");
    pen->paragraph(out, command->help);
    if (manual != NULL && manual->more != NULL) {
        pen->paragraph(out, manual->more);
    }
    options_part(command, pen, out);
    files_part(command, manual, pen, out);
    status_part(manual == NULL ? "Done." : manual->kept, manual == NULL ? NULL : manual->exceeded, pen, out);
    if (manual != NULL) {
        examples_part(manual->examples, pen, out);
    }
}

/* How what is asked for reaches its place. */
static void outputs_part(const cli_pen *pen, swl_buf *out)
{
    pen->heading(out, "Outputs");
    pen->paragraph(out,
                   "A file is written whole beside its place and then put there: under its name is the earlier file or "
                   "the new one, also when the disk is full, the run is killed, or two runs write one name. It keeps "
                   "the mode of an earlier file, and otherwise has what the umask leaves. No input of a run is written "
                   "over. A run that is killed may leave a whole file sweptline-*.tmp, which may be deleted.");
    pen->paragraph(out,
                   "Through a symbolic link the file it leads to is replaced and the link stays; a link that leads to "
                   "no file is refused. Another hard link keeps the earlier contents. A device or a named pipe is "
                   "written into. A name of standard output, as /dev/stdout, is what - is. When the reader of standard "
                   "output has gone, as with head behind a pipe, the run ends with 3 and says nothing.");
}

void cli_page_all(const cli_pen *pen, swl_buf *out)
{
    static const cli_told examples[CLI_MANUAL_EXAMPLES] = {
        {"sweptline new build my.ini", "A commented build to start from."},
        {"sweptline inspect unit.ini", "Whether the map as typed makes physical sense."},
        {"sweptline check build.ini", "The operating line and every limit."},
        {"sweptline chart build.ini --out plots", "The same drawn."},
        {"sweptline pulley build.ini --boost 9psi", "The pulley for a wanted boost."}};
    pen->usage(out, "COMMAND", "[options] FILE");
    pen->heading(out, "Description");
    pen->paragraph(out, "Which pulley, how much boost, how fast the rotors, how hot the charge: a donor "
                        "positive-displacement supercharger on an engine it was not made for, worked out before the "
                        "first bolt turns.");
    pen->heading(out, "Commands");
    for (size_t i = 0; i < cli_command_count; i++) {
        swl_buf term = {0};
        swl_buf_printf(&term, "%s %s", cli_commands[i].name, cli_commands[i].argument);
        pen->item(out, swl_buf_text(&term), cli_commands[i].summary);
        out->failed = out->failed || term.failed;
        swl_buf_free(&term);
    }
    pen->heading(out, "Options");
    pen->item(out, "COMMAND --help", "tell what a command does and its options; so does `sweptline help COMMAND`");
    pen->item(out, "--help", "this text");
    pen->item(out, "--version", "the version");
    outputs_part(pen, out);
    status_part("Done, and every limit kept.", "Done, and a limit exceeded.", pen, out);
    pen->heading(out, "Environment");
    pen->item(
        out, "NO_COLOR, TERM",
        "Verdicts are coloured on a terminal unless NO_COLOR is set or TERM is dumb. What takes more than a second "
        "tells on the terminal of standard error how far it is, unless TERM is dumb or it runs in the background.");
    examples_part(examples, pen, out);
    pen->heading(out, "Cautions");
    pen->paragraph(out, swl_report_caution());
}
