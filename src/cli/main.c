#include "cli/cli.h"

#include "sweptline/version.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

static const char help_check[] =
    "Solves the rev range at wide-open throttle and prints the operating line and every limit with its value,\n"
    "margin, the engine speed where it is worst and a verdict.\n";

static const char help_chart[] =
    "The same as check, and draws the operating line on the unit's map and the curves over engine speed;\n"
    "with --over-scan on the user's own picture of the chart.\n";

static const char help_inspect[] =
    "Prints a unit, checks its map physically and, with --format, draws the map alone. A unit with a picture of its\n"
    "chart but no table yet is drawn as the picture with its calibration; --over-scan lays a table over the picture.\n";

static const char help_trace[] =
    "Follows the speed lines and efficiency islands that the unit file names on the picture of its [scan], prints how\n"
    "well they were followed, and with --csv writes the map table they make, for [map] table. With --format it draws\n"
    "every traced curve over the picture, between rulers in its pixels: look at it before the table is used.\n"
    "An island of a chart whose bands are filled with colour may be given as the edge between two colours.\n";

static const char help_pulley[] =
    "Solves the build with each of a list of pulley sizes and prints drive ratio, blower speed with its margins,\n"
    "boost, temperatures, blower drive and engine power and verdict of each; finds the smallest blower pulley (or\n"
    "largest crank pulley) that keeps every limit and the one that binds, the size for a wanted boost, blower speed\n"
    "or air flow, and the size that is most efficient over a span of engine speed; draws all of it with --format.\n";

static const char help_throttle[] =
    "Solves the build with and without its throttle body and adapter and prints what they cost: inlet depression,\n"
    "pressure ratio, boost, air flow, temperature, drive and crank power; and the bore that halves the loss.\n";

static const char help_completion[] =
    "Prints what lets a shell complete commands, options and their words: `. <(sweptline completion bash)`.\n";
static const char help_man[] = "Prints a page of the manual as roff, made of the same texts as the help.\n";
static const char help_new[] = "Writes a commented file to start from: `new build my.ini`, `new unit unit.ini`, `new "
                               "map map.csv`. Every value in it\n"
                               "is invented. A file that is there already is left as it is.\n";
static const char help_fuel[] = "Prints the fuel that the engine wants over the rev range, injector duty, the smallest "
                                "injectors and what the pump\n"
                                "has to spare at the rail's pressure, and the same for the other fuels of the table.\n";
static const char help_knock[] =
    "Compares end-gas autoignition with that of the same engine without its blower, by a published correlation: a\n"
    "relative figure with its spread, for holding builds against each other. It replaces no detonation monitoring.\n";

static const char help_site[] =
    "Solves the build on other days and in other places and prints what each gives beside the build's own site; with\n"
    "--power, corrects a measured power to the standard day of SAE J1349 and ISO 1585.\n";

static const char help_compare[] =
    "Solves two to six builds, each as fitted or each with the blower pulley that gives the same boost or air flow,\n"
    "and prints them side by side: values at a few engine speeds, figures of the whole rev range, limits, what\n"
    "differs in the files key by key, and what the numbers say. With --format it draws their maps on the same axes\n"
    "and bands, and their curves over engine speed in the same panels.\n";

static const char help_sheet[] =
    "Writes one HTML file that needs no network, to send or to print on two to five pages: the job and every input, "
    "verdicts, the map and the curves, tables, notes, cautions and what it was made from; of two builds the "
    "comparison. Point at the "
    "line, or step along it with Tab and the arrow keys, for the numbers of a point.";

static const char help_spread[] =
    "Takes every value that is given with +- at all its values together and tells how far the results spread: 5, 50\n"
    "and 95 % of each over engine speed and at its peak, the share of samples over each limit, and which input the\n"
    "spread comes from. With --format it draws the chart with its bands. The exit status rests on the middle values.\n";

static const char help_log[] =
    "Lays a measured run over the prediction: residuals at each engine speed, what belt slip, volumetric\n"
    "efficiency and cooler effectiveness would explain them, how sure that is, and the keys that adopt it. RUN is a\n"
    "CSV table with engine speed [rpm] and manifold pressure [kPa] (absolute) or boost [kPa], and where measured\n"
    "throttle [%], time [s], charge temperature [degC], mass flow [g/s], intake pressure [kPa], discharge\n"
    "temperature [degC], crank power [kW] and wheel power [kW].\n";

static const char help_soak[] =
    "Follows the charge cooler's water circuit over the pulls and rests of the build's section [soak]: coolant and\n"
    "charge temperature over time, the peak and verdict of each pull, the heat balance and the time to recover.\n";

static const char help_belt[] =
    "Lays the belt of [belt] round the pulleys of every [pulley NAME] and prints wraps, spans and length, which belts\n"
    "fit over the travel of its tensioner, tensions and each pulley's margin against slip over the rev range, and\n"
    "every [alternative NAME] beside it; with --format draws the path to scale.\n";

static const char help_serve[] =
    "Shows one to six builds on a page of this machine's browser, whose address it prints: pulleys, rev limit, site,\n"
    "cooler, volumetric efficiency and throttle can be changed there, and line, curves and verdicts follow. The "
    "changed\n"
    "build can be saved from the page as a build file. Listens on 127.0.0.1 alone, changes no file, ends with "
    "Ctrl-C.\n";

const cli_command cli_commands[] = {
    {"check", "BUILD", "solve a build over its rev range and hold its limits against it", help_check,
     CLI_SENSITIVITY | CLI_SITE, 1, 1, cli_check},
    {"chart", "BUILD", "check a build, and draw it on the map and over engine speed", help_chart,
     CLI_SENSITIVITY | CLI_SITE | CLI_DRAWS | CLI_ONLY | CLI_ALWAYS_DRAWS | CLI_SCAN, 1, 1, cli_chart},
    {"pulley", "BUILD", "what each of many pulley sizes gives, and the size that gives what is wanted", help_pulley,
     CLI_PULLEY | CLI_SITE | CLI_DRAWS, 1, 1, cli_pulley},
    {"spread", "BUILD", "how far the results spread with what is given with +-, and what that comes from", help_spread,
     CLI_SPREAD | CLI_SITE | CLI_DRAWS | CLI_ONLY, 1, 1, cli_spread},
    {"compare", "BUILD...", "two to six builds side by side: one engine, different donors", help_compare,
     CLI_COMPARE | CLI_SITE | CLI_DRAWS, 2, 6, cli_compare},
    {"site", "BUILD", "what the build gives on other days and in other places; correct a measured power", help_site,
     CLI_SITE | CLI_MEASURED | CLI_DRAWS, 1, 1, cli_site},
    {"throttle", "BUILD", "what the throttle body and its adapter cost", help_throttle, CLI_DRAWS | CLI_SITE, 1, 1,
     cli_throttle},
    {"soak", "BUILD", "how the charge cooler's water warms over pulls and rests", help_soak, CLI_DRAWS | CLI_SITE, 1, 1,
     cli_soak},
    {"fuel", "BUILD", "fuel wanted, injector duty and pump, for every fuel of the table", help_fuel,
     CLI_DRAWS | CLI_SITE, 1, 1, cli_fuel},
    {"belt", "BUILD", "the belt's path, its length, and what it carries before it slips", help_belt, CLI_DRAWS, 1, 1,
     cli_belt},
    {"knock", "BUILD", "how much nearer to detonation the charge comes, as a relative figure", help_knock,
     CLI_DRAWS | CLI_SITE, 1, 1, cli_knock},
    {"log", "BUILD RUN", "a measured run laid over the prediction, and what explains the difference", help_log,
     CLI_DRAWS | CLI_ONLY | CLI_SITE, 2, 2, cli_log},
    {"sheet", "BUILD...", "one HTML file of one or two builds, two to five printed pages", help_sheet,
     CLI_SITE | CLI_SHEET | CLI_COMPARE, 1, 2, cli_sheet},
    {"serve", "BUILD...", "a page in the browser of this machine on which values move and verdicts follow", help_serve,
     CLI_SERVE | CLI_NOTHING, 1, 6, cli_serve},
    {"inspect", "UNIT", "print, check and draw a unit's map on its own", help_inspect, CLI_DRAWS | CLI_SCAN, 1, 1,
     cli_inspect},
    {"trace", "UNIT", "a map table from the picture of a chart that the unit file calibrates", help_trace, CLI_DRAWS, 1,
     1, cli_trace},
    {"new", "KIND FILE", "a commented build, unit or map to start from", help_new, CLI_NOTHING, 2, 2, cli_new},
    {"man", "PAGE", "a man page of the program or of one command", help_man, CLI_NOTHING, 1, 1, cli_man},
    {"completion", "SHELL", "words for bash or zsh to complete", help_completion, CLI_NOTHING, 1, 1, cli_completion},
};
const size_t cli_command_count = sizeof cli_commands / sizeof cli_commands[0];

static int unknown_command(const char *word)
{
    const char *near = NULL;
    int best = 4;
    for (size_t i = 0; i < cli_command_count; i++) {
        int distance = swl_edit_distance(swl_slice_of(word), swl_slice_of(cli_commands[i].name));
        if (cli_is_near(distance, cli_commands[i].name) && distance < best) {
            best = distance;
            near = cli_commands[i].name;
        }
    }
    cli_say("sweptline: `%s` is not a command%s%s%s", word, near != NULL ? "; did you mean " : "",
            near != NULL ? near : "", near != NULL ? "?" : "");
    cli_say("sweptline --help lists the commands");
    return 2;
}

/* What was printed shows here whether it could be written. A reader that has gone, as of `| head`, wants no word. */
static int finish(int code)
{
    errno = 0;
    if (fflush(stdout) == 0 && !ferror(stdout)) {
        return code;
    }
    if (errno != EPIPE) {
        (void)fprintf(stderr, "sweptline: standard output: could not be written: %s\n",
                      errno == 0 ? "an earlier write failed" : strerror(errno));
    }
    return 3;
}

/* `sweptline help COMMAND`. */
static int help_of(const char *name)
{
    for (size_t i = 0; i < cli_command_count; i++) {
        if (strcmp(name, cli_commands[i].name) == 0) {
            return finish(cli_help(&cli_commands[i]));
        }
    }
    return unknown_command(name);
}

int main(int argc, char **argv)
{
    /* A closed pipe is a write error, so that other outputs of the run are still put in place or told of. */
    (void)signal(SIGPIPE, SIG_IGN);
    /* So is a file that may not grow further. */
    (void)signal(SIGXFSZ, SIG_IGN);
    if (argc < 2) {
        (void)cli_help_all(stderr);
        return 2;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "help") == 0) {
        return argc > 2 ? help_of(argv[2]) : finish(cli_help_all(stdout));
    }
    if (strcmp(argv[1], "--version") == 0) {
        (void)printf("sweptline %s\n", SWL_VERSION);
        return finish(0);
    }
    for (size_t i = 0; i < cli_command_count; i++) {
        const cli_command *command = &cli_commands[i];
        if (strcmp(argv[1], command->name) != 0) {
            continue;
        }
        cli_options options;
        int bad = cli_args(command, argc - 1, argv + 1, &options);
        if (bad != 0) {
            return bad;
        }
        if (options.help) {
            return finish(cli_help(command));
        }
        return finish(command->run(&options));
    }
    return unknown_command(argv[1]);
}
