#include "cli/cli.h"

#include <getopt.h>
#include <limits.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What an option's word is. */
typedef enum option_kind {
    OPTION_TEXT, /* kept as given */
    OPTION_FLAG, /* no word follows */
    OPTION_NAME, /* kept, and not empty */
    OPTION_UNITS,
    OPTION_FORMAT,
    OPTION_SIZE,
    OPTION_DPI,
    OPTION_ONLY,
} option_kind;

/* One option: the groups of commands that take it, where its word goes, and its line in the help. */
typedef struct option_row {
    const char *name;
    option_kind kind;
    unsigned group;
    size_t offset;
    const char *word; /* as the help names it, NULL for a flag */
    const char *help; /* NULL: not in the help */
} option_row;

#define TO(member) offsetof(cli_options, member)

static const option_row rows[] = {
    {"json", OPTION_NAME, CLI_ALL, TO(json), "FILE", "write the results as JSON in SI units; - is standard output"},
    {"csv", OPTION_NAME, CLI_ALL, TO(csv), "FILE", "write the table as CSV; - is standard output"},
    {"units", OPTION_UNITS, CLI_ALL, 0, "si|us", "units of what is shown; as the file says when left out"},
    {"sensitivity", OPTION_FLAG, CLI_SENSITIVITY, TO(sensitivity), NULL,
     "add a table of what a small change of each input does at the rev limit"},
    {"blower", OPTION_TEXT, CLI_PULLEY, TO(blower), "SIZES",
     "blower pulleys: FROM:TO:STEP as 70mm:100mm:2mm, a list as 70mm,2.9in, or a CSV file;\n"
     "80 to 120 % of the build's own when left out"},
    {"crank", OPTION_TEXT, CLI_PULLEY, TO(crank), "SIZES", "crank pulleys instead"},
    {"boost", OPTION_TEXT, CLI_PULLEY | CLI_COMPARE, TO(boost), "PRESSURE", "find the size for this boost at its peak"},
    {"at", OPTION_TEXT, CLI_PULLEY | CLI_COMPARE, TO(at), "SPEED", "or at this engine speed"},
    {"max-speed", OPTION_TEXT, CLI_PULLEY, TO(max_speed), "RPM",
     "find the size for this blower speed at the rev limit"},
    {"manifold-flow", OPTION_TEXT, CLI_PULLEY | CLI_COMPARE, TO(manifold_flow), "F",
     "find the size for this air mass flow at the rev limit"},
    {"site", OPTION_TEXT, CLI_SITE, TO(site), "SITE",
     "the site to compute for: values as '35 degC, 1500 m, 40 %', a ready site's name (hot day,\n"
     "cold day, mountain pass), 'NAME: values', or a CSV file; what is left out is the build's.\n"
     "The command site takes several with semicolons between, and the ready ones when left out"},
    {"power", OPTION_TEXT, CLI_MEASURED, TO(power), "POWER",
     "a power measured on the build's own site, or on the one of --site: correct it to a\n"
     "standard day"},
    {"speeds", OPTION_TEXT, CLI_PULLEY | CLI_COMPARE, TO(speeds), "LIST",
     "engine speeds whose values are shown, as 2000rpm,4000rpm: pulley one to three,\n"
     "compare up to eight; round ones and the rev limit when left out"},
    {"island", OPTION_TEXT, CLI_PULLEY, TO(island), "FROM:TO",
     "find the size with the best adiabatic efficiency over this span of engine speed"},
    {"weights", OPTION_TEXT, CLI_PULLEY, TO(weights), "CURVE",
     "and how much each speed of it counts, as 2500: 1, 4000: 3; even when left out"},
    {"samples", OPTION_TEXT, CLI_SPREAD, TO(samples), "N",
     "base samples, a power of two from 128 to 65536; 2048 when left out"},
    {"seed", OPTION_TEXT, CLI_SPREAD, TO(seed), "N",
     "another draw of the samples, 0 to 4294967295; 1 when left out. The same seed gives the same figures"},
    {"threads", OPTION_TEXT, CLI_SPREAD, TO(threads), "N",
     "how many to use, 1 to 256; one for each processor when left out. No figure depends on it"},
    {"format", OPTION_FORMAT, CLI_DRAWS, 0, "LIST", "png, svg, pdf or several with commas between"},
    {"out", OPTION_NAME, CLI_DRAWS, TO(out), "DIR", "folder the pictures go to; made when missing; . when left out"},
    {"out", OPTION_NAME, CLI_SHEET, TO(sheet), "FILE",
     "file the page goes to; - is standard output; BUILD-sheet.html here when left out"},
    {"date", OPTION_NAME, CLI_SHEET, TO(date), "DATE",
     "a date to print, as it is given; that of SOURCE_DATE_EPOCH when left out, else none"},
    {"size", OPTION_SIZE, CLI_DRAWS, 0, "WxH",
     "picture size in pixels, 320 to 12000 each; 1600x1000 when left out, A4 landscape for a PDF"},
    {"dpi", OPTION_DPI, CLI_DRAWS, 0, "N", "dots per inch of a PNG, 48 to 1200; 96 when left out; type grows with it"},
    {"over-scan", OPTION_FLAG, CLI_SCAN, TO(over_scan), NULL,
     "draw over the picture of the unit's chart, as [scan] in the unit file calibrates it"},
    {"dim", OPTION_TEXT, CLI_SCAN, TO(dim), "SHARE",
     "mix that picture with so much white, 0 % to 95 %; 50 % when left out"},
    {"only", OPTION_ONLY, CLI_ONLY, 0, "PART", "map or curves, when only one of them is wanted"},
    {"port", OPTION_TEXT, CLI_SERVE, TO(port), "N",
     "port of 127.0.0.1 to listen on, 1 to 65535; any that is free when left out"},
    {"help", OPTION_FLAG, CLI_ALL, TO(help), NULL, "this text"},
};
enum { ROWS = sizeof rows / sizeof rows[0], FIRST_CODE = 256, FILE_CODE = 1 };

static int usage(const cli_command *command, const char *what, const char *given, const char *accepted)
{
    cli_say("sweptline %s: %s `%s`; %s", command->name, what, given, accepted);
    return 2;
}

static int read_format(const cli_command *command, const char *value, cli_options *options)
{
    static const char *const words[] = {"png", "svg", "pdf"};
    swl_slice rest = swl_slice_of(value);
    while (rest.at != NULL) {
        swl_slice word = swl_slice_split(&rest, ',');
        int found = -1;
        for (int i = 0; i < 3; i++) {
            found = swl_slice_is(word, words[i]) ? i : found;
        }
        if (found < 0) {
            return usage(command, "--format read", value, "png, svg, pdf or several with commas between are accepted");
        }
        options->formats[found] = true;
    }
    return 0;
}

/* Reads a whole number and steps over it. Returns: false when there is none or it is too large. */
static bool whole(const char **at, int *value)
{
    char *end = NULL;
    if (**at < '0' || **at > '9') {
        return false;
    }
    long n = strtol(*at, &end, 10);
    *at = end;
    *value = (int)n;
    return n <= 1000000;
}

static int read_size(const cli_command *command, const char *value, cli_options *options)
{
    const char *at = value;
    int width = 0;
    int height = 0;
    bool ok = whole(&at, &width) && *at == 'x';
    at += ok;
    ok = ok && whole(&at, &height) && *at == '\0';
    ok = ok && width >= SWL_PICTURE_MIN && width <= SWL_PICTURE_MAX && height >= SWL_PICTURE_MIN &&
         height <= SWL_PICTURE_MAX;
    if (!ok) {
        return usage(command, "--size read", value,
                     "WIDTHxHEIGHT in pixels, 320 to 12000 each, as 1600x1000, is accepted");
    }
    options->picture.width = width;
    options->picture.height = height;
    options->size_given = true;
    return 0;
}

static int read_dpi(const cli_command *command, const char *value, cli_options *options)
{
    swl_fault fault;
    double dpi = 0;
    if (!swl_number_read(swl_slice_of(value), &dpi, &fault) || !(dpi >= SWL_DPI_MIN && dpi <= SWL_DPI_MAX)) {
        return usage(command, "--dpi read", value, "48 to 1200 is accepted");
    }
    options->picture.dpi = dpi;
    return 0;
}

static int read_word(const cli_command *command, const char *option, const char *value, const char *const *words,
                     const char *accepted, int *index)
{
    for (int i = 0; words[i] != NULL; i++) {
        if (strcmp(value, words[i]) == 0) {
            *index = i;
            return 0;
        }
    }
    return usage(command, option, value, accepted);
}

static int read_option(const cli_command *command, const option_row *row, const char *value, cli_options *options)
{
    static const char *const units[] = {"si", "us", NULL};
    static const char *const parts[] = {"both", "map", "curves", NULL};
    void *to = (char *)options + row->offset;
    int index = 0;
    int bad = 0;
    switch (row->kind) {
    case OPTION_FLAG:
        *(bool *)to = true;
        return 0;
    case OPTION_TEXT:
    case OPTION_NAME:
        *(const char **)to = value;
        if (row->kind == OPTION_NAME && value[0] == '\0') {
            char option[40];
            (void)snprintf(option, sizeof option, "--%s read", row->name);
            return usage(command, option, value,
                         row->offset == TO(out)    ? "the name of a folder is accepted"
                         : row->offset == TO(date) ? "a date in words is accepted"
                                                   : "a file name or - is accepted");
        }
        return 0;
    case OPTION_UNITS:
        return read_word(command, "--units read", value, units, "si or us is accepted", &options->units);
    case OPTION_FORMAT:
        return read_format(command, value, options);
    case OPTION_SIZE:
        return read_size(command, value, options);
    case OPTION_DPI:
        return read_dpi(command, value, options);
    case OPTION_ONLY:
        bad = read_word(command, "--only read", value, parts, "map, curves or both is accepted", &index);
        options->picture.parts = (swl_parts)index;
        return bad;
    }
    return 2;
}

static bool takes(const cli_command *command, const option_row *row)
{
    bool nothing = (command->takes & CLI_NOTHING) != 0;
    /* Of what every command takes, --help alone is no word or file. A page writes no file, but shows units. */
    bool shows = (command->takes & CLI_SERVE) != 0 && row->kind == OPTION_UNITS;
    return row->group == CLI_ALL ? !nothing || row->kind == OPTION_FLAG || shows : (command->takes & row->group) != 0;
}

size_t cli_option_count(void)
{
    return ROWS;
}

const char *cli_option_name(size_t index)
{
    return rows[index].name;
}

bool cli_takes(const cli_command *command, size_t index)
{
    return takes(command, &rows[index]);
}

void cli_option_told(const cli_command *command, size_t index, swl_buf *head, swl_buf *text)
{
    const option_row *row = &rows[index];
    swl_buf_printf(head, "--%s%s%s", row->name, row->word == NULL ? "" : " ", row->word == NULL ? "" : row->word);
    swl_buf_puts(text, row->help);
    if (row->kind == OPTION_FORMAT) {
        swl_buf_printf(text, "; %s when left out", (command->takes & CLI_ALWAYS_DRAWS) != 0 ? "png" : "no picture");
    }
}

/* Which commands compute for another site, for one that does not. */
static void put_site(swl_buf *hint, const cli_command *command)
{
    const char *sep = "; it is one of ";
    swl_buf_puts(hint, (command->takes & CLI_SERVE) != 0 ? "; its page has controls of the site" : "");
    for (size_t i = 0; i < cli_command_count; i++) {
        if ((cli_commands[i].takes & CLI_SITE) != 0) {
            swl_buf_printf(hint, "%s%s", sep, cli_commands[i].name);
            sep = ", ";
        }
    }
}

static int not_an_option(const cli_command *command, const char *word)
{
    const char *near = NULL;
    int best = 4;
    swl_slice bare = swl_slice_of(word + strspn(word, "-"));
    for (size_t i = 0; i < ROWS; i++) {
        int distance = swl_edit_distance(bare, swl_slice_of(rows[i].name));
        if (cli_is_near(distance, rows[i].name) && distance < best && takes(command, &rows[i])) {
            best = distance;
            near = rows[i].name;
        }
    }
    swl_buf hint = {0};
    if (swl_slice_is(bare, "site")) {
        put_site(&hint, command);
    } else if (near != NULL) {
        swl_buf_printf(&hint, "; did you mean --%s?", near);
    }
    cli_say("sweptline %s: %s is not an option of this command%s", command->name, word, swl_buf_text(&hint));
    cli_say("sweptline %s --help lists the options", command->name);
    swl_buf_free(&hint);
    return 2;
}

/* The files behind the options, and what holds for all options together. */
static int read_files(const cli_command *command, int count, char **names, cli_options *options)
{
    int least = command->files_least;
    int most = command->files_most;
    if (count < least || count > most) {
        (void)fprintf(stderr, "sweptline %s: read %d file name%s; ", command->name, count, count == 1 ? "" : "s");
        if (most == 1) {
            (void)fprintf(stderr, "one %s file is wanted\n", command->argument);
        } else if (most == least) {
            (void)fprintf(stderr, "%s are wanted\n", command->argument);
        } else {
            (void)fprintf(stderr, "%d to %d are wanted\n", least, most);
        }
        return 2;
    }
    for (int i = 0; i < count; i++) {
        options->files[i] = names[i];
        if (names[i][0] == '\0') {
            (void)fprintf(stderr, "sweptline %s: the file name is empty\n", command->name);
            return 2;
        }
    }
    options->file = options->files[0];
    options->file_count = (size_t)count;
    if (options->json != NULL && options->csv != NULL && strcmp(options->json, "-") == 0 &&
        strcmp(options->csv, "-") == 0) {
        (void)fprintf(stderr, "sweptline %s: --json and --csv cannot both go to standard output\n", command->name);
        return 2;
    }
    if (!cli_draws(options)) {
        options->formats[0] = (command->takes & CLI_ALWAYS_DRAWS) != 0;
        if (options->of_picture != NULL && !options->formats[0]) {
            (void)fprintf(stderr,
                          "sweptline %s: --%s goes with --format, as --format png; without it this command draws no "
                          "picture\n",
                          command->name, options->of_picture);
            return 2;
        }
    }
    return 0;
}

/* Some options are another thing to another command; the first of that name stands for all until now. */
static const option_row *row_of(const cli_command *command, const option_row *row)
{
    for (size_t i = 0; i < ROWS && !takes(command, row); i++) {
        row = strcmp(rows[i].name, row->name) == 0 && takes(command, &rows[i]) ? &rows[i] : row;
    }
    return row;
}

int cli_args(const cli_command *command, int argc, char **argv, cli_options *options)
{
    *options = (cli_options){
        .command = command->name, .out = ".", .units = -1, .picture = {.width = 1600, .height = 1000, .dpi = 96}};
    struct option long_options[ROWS + 1] = {{NULL, 0, NULL, 0}};
    int names = 0;
    for (int i = 0; i < ROWS; i++) {
        bool again = false;
        for (int k = 0; k < i; k++) {
            again = again || strcmp(rows[k].name, rows[i].name) == 0;
        }
        int follows = rows[i].kind == OPTION_FLAG ? no_argument : required_argument;
        if (!again) {
            long_options[names++] = (struct option){rows[i].name, follows, NULL, FIRST_CODE + i};
        }
    }
    for (int i = 1; i < argc; i++) {
        if (swl_utf8_noncharacter(argv[i])) {
            cli_say("sweptline %s: read U+FFFE or U+FFFF in word %d, which is no character; give it without",
                    command->name, i);
            return 2;
        }
    }
    opterr = 0;
    optind = 1;
    int code = 0;
    int files = 0;
    /* "-" has file names told in their place, so that options may follow them whatever POSIXLY_CORRECT says. They are
     * gathered at the front of argv, which is read already. */
    for (int at = 1; (code = getopt_long(argc, argv, "-:", long_options, NULL)) != -1; at = optind) {
        if (code == FILE_CODE) {
            argv[1 + files++] = optarg;
            continue;
        }
        if (code == ':') {
            return usage(command, "nothing follows", argv[at], "a value is wanted after it");
        }
        if (code < FIRST_CODE) {
            return not_an_option(command, argv[at]);
        }
        const option_row *row = row_of(command, &rows[code - FIRST_CODE]);
        if (!takes(command, row)) {
            char word[40];
            (void)snprintf(word, sizeof word, "--%s", row->name);
            return not_an_option(command, word);
        }
        bool drawn = row->group == CLI_DRAWS || row->group == CLI_ONLY;
        options->of_picture = drawn && row->kind != OPTION_FORMAT ? row->name : options->of_picture;
        int bad = read_option(command, row, optarg, options);
        if (bad != 0) {
            return bad;
        }
    }
    if (options->help) {
        return 0;
    }
    for (; optind < argc; optind++) {
        argv[1 + files++] = argv[optind];
    }
    return read_files(command, files, argv + 1, options);
}
