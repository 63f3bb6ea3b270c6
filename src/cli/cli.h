/* What the commands share. */
#ifndef SWL_CLI_CLI_H
#define SWL_CLI_CLI_H

#include "sweptline/draw.h"
#include "sweptline/files.h"
#include "sweptline/report.h"
#include "sweptline/sensitivity.h"
#include "sweptline/spread.h"

#include <stdio.h>

enum { INPUTS_MAX = 64, CLI_FILES_MAX = 6 };

/* Options as given; a NULL was not. */
typedef struct cli_options {
    const char *command;
    const char *file; /* the first of files */
    const char *files[CLI_FILES_MAX];
    size_t file_count;
    const char *json;
    const char *csv;
    const char *out;
    int units; /* -1: as the build file says */
    bool formats[3];
    swl_picture picture;
    bool size_given;
    const char *of_picture; /* the last option given that only a picture heeds */
    bool sensitivity;
    const char *blower; /* sizes of a pulley */
    const char *crank;
    const char *boost;
    const char *at;
    const char *max_speed;
    const char *manifold_flow;
    const char *site;  /* one or more */
    const char *power; /* measured */
    const char *speeds;
    const char *island;
    const char *weights;
    const char *samples; /* of a spread */
    const char *seed;
    const char *threads;
    bool over_scan;
    const char *sheet; /* file the page goes to */
    const char *date;
    const char *port; /* of a page */
    const char *dim;  /* share of white, of a picture that is drawn on */
    bool help;
} cli_options;

/* Every input file read so far, so that no output can be written over one, and the bytes that were read. */
typedef struct cli_inputs {
    char *paths[INPUTS_MAX];
    swl_buf bytes[INPUTS_MAX];
    size_t count;
} cli_inputs;

/* One build as a command was given it. Given: options, and their file as at_fault. */
typedef struct cli_in {
    const cli_options *options;
    const char *at_fault; /* the name that cli_fail is to be given */
    cli_inputs inputs;
    swl_diags diags;
    swl_build build;
    swl_units units;
    swl_buf stem; /* of the pictures' names */
} cli_in;

/* What a command writes, and the notes in it: JSON is in SI, and so are the values in its notes. */
typedef struct cli_out {
    swl_buf json;
    swl_buf csv;
    swl_buf text;
    swl_notes notes;
    swl_notes si_notes;
} cli_out;

/* Groups of options. CLI_ALWAYS_DRAWS stands for no option but for a picture when no format is given. */
enum {
    CLI_ALL = 0, /* of every command */
    CLI_DRAWS = 1,
    CLI_ONLY = 2,
    CLI_SENSITIVITY = 4,
    CLI_PULLEY = 8,
    CLI_ALWAYS_DRAWS = 16,
    CLI_SITE = 32,
    CLI_MEASURED = 64,
    CLI_COMPARE = 128,
    CLI_SPREAD = 256,
    CLI_NOTHING = 512, /* not even what every command takes, but --help */
    CLI_SCAN = 1024,
    CLI_SHEET = 2048,
    CLI_SERVE = 4096
};

/* One command. Which options it takes is in args.c. */
typedef struct cli_command {
    const char *name;
    const char *argument; /* BUILD or UNIT */
    const char *summary;
    const char *help;
    unsigned takes; /* CLI_... beside what every command takes */
    int files_least;
    int files_most;
    int (*run)(const cli_options *options);
} cli_command;

extern const cli_command cli_commands[];
extern const size_t cli_command_count;

int cli_check(const cli_options *options);
int cli_chart(const cli_options *options);
int cli_inspect(const cli_options *options);
int cli_belt(const cli_options *options);
int cli_pulley(const cli_options *options);
int cli_throttle(const cli_options *options);
int cli_fuel(const cli_options *options);
int cli_man(const cli_options *options);
int cli_new(const cli_options *options);
int cli_completion(const cli_options *options);
int cli_knock(const cli_options *options);
int cli_site(const cli_options *options);
int cli_spread(const cli_options *options);
int cli_trace(const cli_options *options);
int cli_compare(const cli_options *options);
int cli_log(const cli_options *options);
int cli_soak(const cli_options *options);
int cli_sheet(const cli_options *options);
int cli_serve(const cli_options *options);

/* Reads argv[1..] of a command. Returns: 0, or 2 after a message. */
int cli_args(const cli_command *command, int argc, char **argv, cli_options *options);
/* Prints a command's help, or that of the whole program. Returns: 0, or 3 when memory runs out. */
int cli_help(const cli_command *command);
int cli_help_all(FILE *to);
/* The table of options: how many, their names, and whether a command takes one. */
size_t cli_option_count(void);
const char *cli_option_name(size_t index);
bool cli_takes(const cli_command *command, size_t index);
/* Appends an option with its word, as --out DIR, and what is said of it to the users of a command. */
void cli_option_told(const cli_command *command, size_t index, swl_buf *head, swl_buf *text);

swl_source cli_source(cli_inputs *inputs);
/* Gives the same bytes again, and those of no other file. */
swl_source cli_source_again(cli_inputs *inputs);
void cli_inputs_free(cli_inputs *inputs);

/* Puts a build on the one site that --site gives, and does nothing without it. at_fault becomes the name that cli_fail
 * is to be given when this fails. */
swl_status cli_put_on_site(const cli_options *options, const swl_source *source, swl_build *build, swl_diags *diags,
                           const char **at_fault, swl_err *err);

/* Appends the site of a chart of the whole line: "; site 25.0 degC, ...; wide-open throttle". */
void cli_site_words(const swl_build *build, swl_units units, swl_buf *out);

/* Reads the build of a command's file. */
swl_status cli_in_load(cli_in *in, swl_err *err);
/* The same, and puts it on the site of --site. */
swl_status cli_in_read(cli_in *in, swl_err *err);
/* Names the pictures after a file and a word, and asks cli_may_write_all; for when every input is known. */
swl_status cli_in_may_write(cli_in *in, const char *file, const char *word, swl_err *err);
void cli_in_free(cli_in *in);

void cli_out_free(cli_out *out);
/* SWL_ERR_MEMORY when some notes are missing. */
swl_status cli_notes_made(const swl_notes *notes, swl_err *err);

/* The sentence at the end of a caption, for a picture that goes about without its report. */
extern const char cli_estimates[];

/* Prints findings and an error to standard error. Returns: the exit status for it. */
int cli_fail(const swl_diags *diags, const swl_err *err, const char *file);
/* Prints a message to standard error and ends its line. Control signs in what it quotes come out as blanks, and bytes
 * that are not UTF-8 as question marks. */
void cli_say(const char *format, ...) SWL_PRINTF(1, 2);
/* Whether a word is like enough to a name, by their edit distance, to ask whether that one was meant: any word of three
 * letters is three changes from any other. */
bool cli_is_near(int distance, const char *name);
/* Whether a picture is wanted. */
bool cli_draws(const cli_options *options);
/* Passes on the failure of a study: what a build lacks for a command (SWL_ERR_USAGE) is told with the file's name. */
swl_status cli_study_failed(const cli_options *options, const swl_err *own, swl_err *err);
/* The units to show: as the option says, else as the build does. */
swl_units cli_units(const cli_options *options, const swl_build *build);
/* Whether standard output should carry colour. */
bool cli_colour(void);
/* Whether an output may go to a path: not over an input, not onto a folder. NULL and "-" may. */
swl_status cli_may_write(const cli_inputs *inputs, const char *path, swl_err *err);
/* Whether standard output is another file than an input: one that the shell opened, as >>build.ini does, may not be. */
swl_status cli_stdout_differs(const char *path, swl_err *err);
/* Both for every output of a command, asked before anything is computed or written. */
swl_status cli_may_write_all(const cli_options *options, const cli_inputs *inputs, const char *stem, swl_err *err);
/* The pictures' name without ending: the input's own name, a dash and a word. Appends to out; when that has
 * failed, so have the paths made from it, which cli_may_write_all tells. */
void cli_stem(const char *file, const char *word, swl_buf *out);
/* Saves the JSON and the CSV where asked, and the text to standard output unless one of those has it. */
swl_status cli_write(const cli_options *options, const cli_out *out, swl_err *err);
/* The JSON and the CSV alone. */
swl_status cli_write_tables(const cli_options *options, const cli_out *out, swl_err *err);
/* Saves, unless path is NULL; refuses to write over an input. */
swl_status cli_save(const char *path, const swl_buf *bytes, swl_err *err);
/* That no two of the files are one, which holds a build against itself. */
swl_status cli_files_differ(const cli_options *options, swl_err *err);

/* What draws one picture of whatever context is. */
typedef swl_status cli_drawer(const void *context, const swl_picture *picture, swl_buf *out, swl_err *err);
/* Draws in every format asked for into the out folder, as stem plus ending, and names each on standard error. */
swl_status cli_draw_with(const cli_options *options, cli_drawer *drawer, const void *context, const char *stem,
                         swl_err *err);
/* The same for a chart. */
swl_status cli_draw(const cli_options *options, const swl_chart *chart, const char *stem, swl_err *err);
/* Draws a build's operating line on its map and its curves, with the bands of a spread, the
 * markers of a measured run and the picture of the unit's chart in place of the map unless these are NULL. */
swl_status cli_chart_draw(const cli_options *options, const swl_build *build, const swl_check *check,
                          const swl_spread *spread, const swl_log *log, const swl_scan *scan, swl_units units,
                          const char *stem, swl_err *err);

/* How much white --dim mixes a picture with. draws_scan: whether there is such a picture, without which it is refused.
 */
swl_status cli_dim(const cli_options *options, bool draws_scan, double *dim_frac, swl_err *err);
/* Whether --over-scan can be done on a unit. */
swl_status cli_wants_scan(const cli_options *options, const swl_scan *scan, swl_err *err);
/* Appends what is to be known of a chart over a picture; check may be NULL. */
void cli_scan_caption(const swl_scan *scan, const swl_check *check, swl_buf *out);

#endif
