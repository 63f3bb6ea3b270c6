#include "cli/manual.h"

#include <string.h>

static const char all_kept[] = "Every limit is kept.";
static const char one_exceeded[] = "A limit of the build is exceeded.";

static const cli_manual manuals[] = {
    {.command = "check",
     .more =
         "`close` marks a limit with less than 5 % to spare, `EXCEEDED` one that is not kept, a star a verdict that "
         "rests on rows outside the map, where the map's edge is held. Behind the limits stand the blower's speed "
         "without slip, the smallest blower pulley by rotor speed alone, and notes on all that was assumed.",
     .kept = all_kept,
     .exceeded = one_exceeded,
     .examples = {{"sweptline check build.ini", "The operating line, the limits, and what was assumed."},
                  {"sweptline check build.ini --units us", "The same in psi, lb/min, degF and hp."},
                  {"sweptline check build.ini --sensitivity", "And what 1 % of this or 1 mm of that would do."},
                  {"sweptline check build.ini --json - --csv line.csv", "For other programs."}}},
    {.command = "chart",
     .more = "On the map, bands are the blower's adiabatic efficiency, thin dashes lines of constant blower speed, the "
             "thick line the engine at wide-open throttle. Red lines are limits, hatched on the side to stay out of.",
     .kept = all_kept,
     .exceeded = one_exceeded,
     .picture = "NAME-chart",
     .files = {{"NAME-map, NAME-curves", "The pictures of --only map and --only curves."}},
     .examples = {{"sweptline chart build.ini --out plots --format png,pdf", "plots/build-chart.png and .pdf."},
                  {"sweptline chart scan.ini --over-scan --dim '70 %'", "Drawn over the scan of a printed chart."}}},
    {.command = "pulley",
     .more =
         "Beside each exact size that is found stands the nearest listed one that turns the blower no faster. Where "
         "none is found it tells what stopped the search.",
     .kept = "One of the sizes at least keeps every limit.",
     .exceeded = "None of the sizes does.",
     .picture = "NAME-pulley",
     .files = {{"SIZES",
                "A CSV file of --blower or --crank has sizes in its first column, headed by a unit of length."}},
     .examples = {{"sweptline pulley build.ini --blower 80mm:96mm:4mm", "Every other pulley on the shelf."},
                  {"sweptline pulley build.ini --boost 9psi --at 5000rpm", "The pulley for a wanted boost."},
                  {"sweptline pulley build.ini --island 2500:5500 --weights '2500: 1, 4000: 3' --format pdf",
                   "The most efficient one for a span of engine speed, and the picture."}}},
    {.command = "spread",
     .more = "A value such as `85 +- 4 %` is sampled about its middle with +- as the half-width of its 95 % interval. "
             "Twice the base samples are solved for the intervals, and as many again for each input.",
     .kept = "With every input at its middle every limit is kept, whatever share of the samples exceeds one.",
     .exceeded = "With every input at its middle a limit is exceeded.",
     .picture = "NAME-spread",
     .examples = {{"sweptline spread tolerances.ini", "How far the results may be off."},
                  {"sweptline spread tolerances.ini --samples 4096 --format png",
                   "Tighter intervals, and the chart with the middle 90 % of the samples."}}},
    {.command = "compare",
     .more =
         "Without --boost or --manifold-flow the builds are compared as fitted. `best` marks a value that is better "
         "by more than a typed map can be trusted.",
     .kept = "Every build keeps its limits and gives what is compared at.",
     .exceeded = "One of them does not.",
     .picture = "NAME-and-OTHER-compare",
     .examples = {{"sweptline compare roots.ini screw.ini", "Two donors as fitted."},
                  {"sweptline compare roots.ini screw.ini --boost 60kPa --format png",
                   "Each with the blower pulley that gives the same boost."}}},
    {.command = "sheet",
     .more =
         "The exit status, --json and --csv are those of check, or of compare for two builds. Without --date the day "
         "of the environment's SOURCE_DATE_EPOCH, in seconds since 1970, is printed, and without that none: the "
         "same files then give the same bytes. Last on the page stands the SHA-256 of every file that was read.",
     .kept = "Every limit is kept, by both builds where there are two.",
     .exceeded = "One is exceeded, or one of two builds cannot give what is compared at.",
     .files = {{"NAME-sheet.html, NAME-and-OTHER-sheet.html", "The page, where --out gives no other name."}},
     .examples = {{"sweptline sheet build.ini", "The page of one build, build-sheet.html."},
                  {"sweptline sheet roots.ini screw.ini --boost 60kPa --out donors.html --date '12 March'",
                   "Two donors at the same boost, with a date."}}},
    {.command = "site",
     .more = "For each site it prints air density, boost, air flow, temperatures, powers, the limit with the least to "
             "spare and the verdict, and how they differ from the own site's. A power measured on a day outside the "
             "range of a standard is corrected, and that is said.",
     .kept = "Every limit is kept on every site.",
     .exceeded = "A limit is exceeded on one of them, or one has no operating line.",
     .picture = "NAME-sites",
     .files =
         {{"SITES",
           "A CSV file of --site has a row for each: name, temperature, pressure or altitude, relative humidity."}},
     .examples = {{"sweptline site build.ini", "A hot day, a cold one and a mountain pass."},
                  {"sweptline site build.ini --site 'track: 12 degC, 2300 m' --power '250 kW'",
                   "A place of your own, and a power measured there put to the standard day."}}},
    {.command = "throttle",
     .kept = "Every limit of the build as it is is kept.",
     .exceeded = one_exceeded,
     .picture = "NAME-throttle",
     .examples = {{"sweptline throttle build.ini", "What the reused throttle body costs."},
                  {"sweptline throttle build.ini --format svg", "And a picture of it."}}},
    {.command = "soak",
     .more =
         "The water circuit is described by [cooler] and the pulls and rests by [soak]; the front exchanger sees the "
         "air of the site.",
     .kept = "The charge's limit is held in every pull, and every other limit over the rev range.",
     .exceeded = "One of them is exceeded.",
     .picture = "NAME-soak",
     .examples = {{"sweptline soak water.ini", "Six pulls and what the water does."},
                  {"sweptline soak water.ini --format png --csv soak.csv", "Drawn, and as a table over time."}}},
    {.command = "fuel",
     .kept = all_kept,
     .exceeded = "A limit of the build is exceeded; what injectors and pump lack is told in words.",
     .picture = "NAME-fuel",
     .examples = {{"sweptline fuel water.ini", "Whether injectors and pump have the fuel."}}},
    {.command = "belt",
     .more = "The static tension told is the one that just keeps the belt from slipping by the estimate. A belt that "
             "turns can maim: guard it and keep clear.",
     .kept =
         "No pulley of the build as it is slips as far as the grip is known, and every limit that can be held is kept. "
         "Without static_tension the grip is not known: the Result line says so.",
     .exceeded = "A pulley slips by the estimate, or a limit of the belt or of the build is exceeded.",
     .picture = "NAME-belt",
     .examples = {{"sweptline belt belt.ini", "Wraps, lengths that fit, and the margin against slip."},
                  {"sweptline belt belt.ini --format svg --units us", "Its path to scale, in inches and pounds."}}},
    {.command = "knock",
     .kept = all_kept,
     .exceeded = one_exceeded,
     .picture = "NAME-knock",
     .examples = {{"sweptline knock build.ini", "How much nearer to detonation, relatively."}}},
    {.command = "log",
     .more = "A measured value over a limit is said first. Belt slip, volumetric efficiency, slip that starts at a "
             "blower speed, and cooler effectiveness are fitted to the difference.",
     .kept = "Neither the prediction nor the run exceeds a limit.",
     .exceeded = "One of them does, or the run does not let a limit be judged since its pressures look like gauge and "
                 "absolute mixed up.",
     .picture = "RUN-log",
     .files = {{"RUN", "The measured run, a CSV table whose head names each column and its unit."}},
     .examples = {{"sweptline log build.ini run.csv", "What explains the difference, and how surely."},
                  {"sweptline log build.ini run.csv --format png", "The run drawn over the chart."}}},
    {.command = "serve",
     .more = "Every file is read once, at the start. No file is changed by the page, and none can be read through it. "
             "The address holds 128 random bits; whoever knows it can use the page while it lasts.",
     .kept = "Ended by Ctrl-C, whatever the verdicts were.",
     .examples = {{"sweptline serve build.ini", "A page of one build, at any port that is free."},
                  {"sweptline serve roots.ini screw.ini --port 8123", "Two donors, to be switched and compared."}}},
    {.command = "inspect",
     .kept = "The unit is accepted; what is doubtful about its map is told in warnings.",
     .picture = "NAME-map",
     .examples = {{"sweptline inspect unit.ini", "Whether the map as typed makes physical sense."},
                  {"sweptline inspect unit.ini --format png", "The map alone."},
                  {"sweptline inspect scan-unit.ini --over-scan --format png",
                   "The table laid over the picture it was typed from."}}},
    {.command = "trace",
     .kept = "Every curve was followed; how well is told.",
     .picture = "NAME-trace",
     .examples = {{"sweptline trace traced.ini --format png", "Look at this first."},
                  {"sweptline trace traced.ini --csv table.csv", "Then write the table."}}},
    {.command = "new",
     .kept = "The file is written.",
     .files = {{"KIND", "One of `build`, `unit` and `map`."}},
     .examples = {{"sweptline new build my.ini", "A build that names unit.ini."},
                  {"sweptline new unit unit.ini", "A unit that names map.csv."},
                  {"sweptline new map map.csv", "A map table; then `sweptline check my.ini` runs."}}},
    {.command = "completion",
     .kept = "The words are written.",
     .files = {{"SHELL", "One of `bash` and `zsh`."}},
     .examples = {{"sweptline completion bash >sweptline.bash", "For a folder that your bash reads."}}},
    {.command = "man",
     .kept = "The page is written.",
     .files = {{"PAGE", "`sweptline`, the name of a command, or `pages` for the names of all, one a line."}},
     .examples = {{"sweptline man check >sweptline-check.1", "The page of check."},
                  {"sweptline man pages", "What pages there are."}}},
};

const cli_manual *cli_manual_of(const char *command)
{
    for (size_t i = 0; i < sizeof manuals / sizeof manuals[0]; i++) {
        if (strcmp(manuals[i].command, command) == 0) {
            return &manuals[i];
        }
    }
    return NULL;
}
