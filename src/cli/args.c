#include "cli/cli.h"

#include <getopt.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
    OPT_JSON = 256,
    OPT_CSV,
    OPT_UNITS,
    OPT_OUT,
    OPT_FORMAT,
    OPT_SIZE,
    OPT_DPI,
    OPT_ONLY,
    OPT_SENSITIVITY,
    OPT_BLOWER,
    OPT_CRANK,
    OPT_BOOST,
    OPT_AT,
    OPT_MAX_SPEED,
    OPT_MANIFOLD_FLOW,
    OPT_HELP
};

static const struct option long_options[] = {
    {"json", required_argument, NULL, OPT_JSON},
    {"csv", required_argument, NULL, OPT_CSV},
    {"units", required_argument, NULL, OPT_UNITS},
    {"out", required_argument, NULL, OPT_OUT},
    {"format", required_argument, NULL, OPT_FORMAT},
    {"size", required_argument, NULL, OPT_SIZE},
    {"dpi", required_argument, NULL, OPT_DPI},
    {"only", required_argument, NULL, OPT_ONLY},
    {"sensitivity", no_argument, NULL, OPT_SENSITIVITY},
    {"blower", required_argument, NULL, OPT_BLOWER},
    {"crank", required_argument, NULL, OPT_CRANK},
    {"boost", required_argument, NULL, OPT_BOOST},
    {"at", required_argument, NULL, OPT_AT},
    {"max-speed", required_argument, NULL, OPT_MAX_SPEED},
    {"manifold-flow", required_argument, NULL, OPT_MANIFOLD_FLOW},
    {"help", no_argument, NULL, OPT_HELP},
    {NULL, 0, NULL, 0},
};

static int usage(const cli_command *command, const char *what, const char *given, const char *accepted)
{
    (void)fprintf(stderr, "sweptline %s: %s `%s`; %s\n", command->name, what, given, accepted);
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

static int read_option(const cli_command *command, int code, const char *value, cli_options *options)
{
    static const char *const units[] = {"si", "us", NULL};
    static const char *const parts[] = {"both", "map", "curves", NULL};
    int index = 0;
    int bad = 0;
    switch (code) {
    case OPT_JSON:
        options->json = value;
        return value[0] != '\0' ? 0 : usage(command, "--json read", value, "a file name or - is accepted");
    case OPT_CSV:
        options->csv = value;
        return value[0] != '\0' ? 0 : usage(command, "--csv read", value, "a file name or - is accepted");
    case OPT_OUT:
        options->out = value;
        return value[0] != '\0' ? 0 : usage(command, "--out read", value, "the name of a folder is accepted");
    case OPT_UNITS:
        return read_word(command, "--units read", value, units, "si or us is accepted", &options->units);
    case OPT_FORMAT:
        return read_format(command, value, options);
    case OPT_SIZE:
        return read_size(command, value, options);
    case OPT_DPI:
        return read_dpi(command, value, options);
    case OPT_ONLY:
        bad = read_word(command, "--only read", value, parts, "map, curves or both is accepted", &index);
        options->picture.parts = (swl_parts)index;
        return bad;
    case OPT_SENSITIVITY:
        options->sensitivity = true;
        return 0;
    case OPT_BLOWER:
        options->blower = value;
        return 0;
    case OPT_CRANK:
        options->crank = value;
        return 0;
    case OPT_BOOST:
        options->boost = value;
        return 0;
    case OPT_AT:
        options->at = value;
        return 0;
    case OPT_MAX_SPEED:
        options->max_speed = value;
        return 0;
    case OPT_MANIFOLD_FLOW:
        options->manifold_flow = value;
        return 0;
    default:
        options->help = true;
        return 0;
    }
}

static const char *option_name(int code)
{
    for (const struct option *o = long_options; o->name != NULL; o++) {
        if (o->val == code) {
            return o->name;
        }
    }
    return "";
}

static bool takes(const cli_command *command, int code)
{
    switch (code) {
    case OPT_OUT:
    case OPT_FORMAT:
    case OPT_SIZE:
    case OPT_DPI:
        return (command->takes & CLI_DRAWS) != 0;
    case OPT_ONLY:
        return (command->takes & CLI_ONLY) != 0;
    case OPT_SENSITIVITY:
        return (command->takes & CLI_SENSITIVITY) != 0;
    case OPT_BLOWER:
    case OPT_CRANK:
    case OPT_BOOST:
    case OPT_AT:
    case OPT_MAX_SPEED:
    case OPT_MANIFOLD_FLOW:
        return (command->takes & CLI_PULLEY) != 0;
    default:
        return true;
    }
}

static int not_an_option(const cli_command *command, const char *word)
{
    const char *near = NULL;
    int best = 4;
    swl_slice bare = swl_slice_of(word + strspn(word, "-"));
    for (const struct option *o = long_options; o->name != NULL; o++) {
        int distance = swl_edit_distance(bare, swl_slice_of(o->name));
        if (distance < best && takes(command, o->val)) {
            best = distance;
            near = o->name;
        }
    }
    (void)fprintf(stderr, "sweptline %s: %s is not an option of this command", command->name, word);
    if (near != NULL) {
        (void)fprintf(stderr, "; did you mean --%s?", near);
    }
    (void)fprintf(stderr, "\nsweptline %s --help lists the options\n", command->name);
    return 2;
}

int cli_args(const cli_command *command, int argc, char **argv, cli_options *options)
{
    *options = (cli_options){
        .command = command->name, .out = ".", .units = -1, .picture = {.width = 1600, .height = 1000, .dpi = 96}};
    opterr = 0;
    optind = 1;
    int code = 0;
    while ((code = getopt_long(argc, argv, ":", long_options, NULL)) != -1) {
        if (code == ':') {
            return usage(command, "nothing follows", argv[optind - 1], "a value is wanted after it");
        }
        if (code == '?') {
            return not_an_option(command, argv[optind - 1]);
        }
        if (!takes(command, code)) {
            char word[40];
            (void)snprintf(word, sizeof word, "--%s", option_name(code));
            return not_an_option(command, word);
        }
        int bad = read_option(command, code, optarg, options);
        if (bad != 0) {
            return bad;
        }
    }
    if (options->help) {
        return 0;
    }
    if (argc - optind != 1) {
        (void)fprintf(stderr, "sweptline %s: read %d file names; one %s file is wanted\n", command->name, argc - optind,
                      command->argument);
        return 2;
    }
    options->file = argv[optind];
    if (options->file[0] == '\0') {
        (void)fprintf(stderr, "sweptline %s: the file name is empty\n", command->name);
        return 2;
    }
    if (options->json != NULL && options->csv != NULL && strcmp(options->json, "-") == 0 &&
        strcmp(options->csv, "-") == 0) {
        (void)fprintf(stderr, "sweptline %s: --json and --csv cannot both go to standard output\n", command->name);
        return 2;
    }
    if (!options->formats[0] && !options->formats[1] && !options->formats[2]) {
        options->formats[0] = strcmp(command->name, "chart") == 0;
    }
    return 0;
}
