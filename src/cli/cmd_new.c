/* A commented file to start from. */
#include "cli/cli.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

/* Every number is invented: it makes a file that runs, to be replaced value by value. */
static const char build_text[] =
    "; A build for sweptline: an engine, a donor blower and what joins them.\n"
    "; EVERY VALUE HERE IS INVENTED. Put your own in its place; delete a line that does not apply. Each value carries "
    "its\n"
    "; unit, in the units you have: mm or in, L or in3, degC or degF, kPa or psi. After a number +- gives how far it "
    "may be\n"
    "; off (95 %), which `sweptline spread` uses. docs/keys.md lists every key.\n"
    "[build]\n"
    "name = My build\n"
    "units = si                      ; si or us: what tables and charts show\n"
    "\n"
    "[site]                          ; the air it breathes\n"
    "temperature = 25 degC\n"
    "altitude = 100 m                ; or pressure = 100.1 kPa, absolute\n"
    "relative_humidity = 50 %\n"
    "\n"
    "[engine]\n"
    "displacement = 3.0 L            ; four-stroke, all cylinders\n"
    "cylinders = 6\n"
    "compression_ratio = 9.5\n"
    "speed_from = 1500 rpm\n"
    "speed_step = 250 rpm\n"
    "speed_limit = 6500 rpm          ; the rev limit: the rotors are held to their limit here\n"
    "over_rev = 300 rpm              ; how far a missed gear takes it beyond\n"
    "; at wide-open throttle, referred to the manifold\n"
    "volumetric_efficiency = 1500: 78 %, 2500: 84 %, 3500: 88 %, 4500: 90 %,\n"
    "    5500: 87 %, 6500: 81 %\n"
    "ve_temperature = 30 degC        ; charge temperature at which it was measured\n"
    "back_pressure = 15 kPa at 0.25 kg/s\n"
    "fuel = petrol\n"
    "lambda = 0.85\n"
    "known_power = 150 kW at 6000 rpm ; without the blower; power is fitted to it\n"
    "\n"
    "[intake]\n"
    "throttle_bore = 70 mm\n"
    "throttle_coefficient = 0.88\n"
    "loss = 1.5 kPa at 0.25 kg/s     ; filter and ducts\n"
    "heat_pickup = 4 K\n"
    "\n"
    "[blower]\n"
    "unit = unit.ini                 ; `sweptline new unit unit.ini` writes one\n"
    "\n"
    "[drive]\n"
    "crank_pulley = 160 mm           ; outside diameters\n"
    "blower_pulley = 97 mm\n"
    "belt = PK 8\n"
    "slip = 1 %\n"
    "\n"
    "[cooler]                        ; delete the section when there is none\n"
    "effectiveness = 70 %\n"
    "coolant_temperature = 45 degC\n"
    "loss = 4 kPa at 0.25 kg/s\n"
    "\n"
    "[limits]                        ; of their makers; one left out is not checked\n"
    "boost = 60 kPa\n"
    "discharge_temperature = 130 degC\n"
    "charge_temperature = 80 degC\n"
    "drive_power = 30 kW\n";

static const char unit_text[] =
    "; A donor unit for sweptline. EVERY VALUE HERE IS INVENTED: put those of the unit's maker in their place.\n"
    "[unit]\n"
    "name = My donor unit\n"
    "kind = roots                    ; roots or screw\n"
    "displacement = 1.3 L/rev        ; a revolution of the shaft that the speeds below are stated for\n"
    "gear_ratio = 1                  ; revolutions of that shaft to one of the pulley\n"
    "continuous_speed = 14000 rpm    ; the maker's limits; without them rotor speed is NOT checked\n"
    "short_time_speed = 16000 rpm\n"
    "mechanical_efficiency = 96 %\n"
    "\n"
    "[map]\n"
    "table = map.csv                 ; `sweptline new map map.csv` writes one; docs/map.md tells how to type a chart "
    "in\n"
    "temperature = 25 degC           ; of the air the map was measured in\n"
    "efficiency_from = temperature rise ; or shaft power: what the stated efficiency was measured by\n"
    "source = invented, to be replaced\n";

static const char map_text[] = "# A map table for sweptline. EVERY VALUE HERE IS INVENTED: type those of your chart. "
                               "Order of rows is free; a speed\n"
                               "# line wants two pressure ratios or more, and flow must not rise along it. Other units "
                               "may stand in the brackets.\n"
                               "blower speed [rpm],pressure ratio,flow [m3/h],adiabatic efficiency [%]\n"
                               "2000,1.1,118,58\n2000,1.3,108,57\n2000,1.5,99,53\n2000,1.7,91,47\n"
                               "3500,1.1,233,64\n3500,1.4,214,63\n3500,1.7,199,58\n3500,2.0,186,51\n"
                               "6000,1.1,428,68\n6000,1.4,409,70\n6000,1.8,388,64\n6000,2.2,370,58\n"
                               "9000,1.1,658,66\n9000,1.4,640,71\n9000,1.8,619,67\n9000,2.2,601,62\n"
                               "12000,1.1,885,61\n12000,1.4,868,68\n12000,1.8,848,66\n12000,2.2,830,62\n"
                               "16000,1.1,1180,52\n16000,1.4,1164,60\n16000,1.8,1145,61\n16000,2.2,1128,58\n";

static const struct {
    const char *word;
    const char *text;
} kinds[] = {{"build", build_text}, {"unit", unit_text}, {"map", map_text}};

int cli_new(const cli_options *options)
{
    swl_err err = {0};
    const char *path = options->files[1];
    const char *text = NULL;
    struct stat info;
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        text = strcmp(options->files[0], kinds[i].word) == 0 ? kinds[i].text : text;
    }
    if (text == NULL) {
        cli_say("sweptline new: read `%s` as the kind of file; build, unit or map is accepted", options->files[0]);
        return 2;
    }
    /* lstat, so that a link that leads nowhere is not written through either. */
    if (strcmp(path, "-") != 0 && lstat(path, &info) == 0) {
        cli_say("sweptline new: %s is there already and is left as it is; give another name", path);
        return 2;
    }
    swl_buf out = {0};
    swl_buf_puts(&out, text);
    swl_status status = swl_buf_status(&out, &err);
    if (status == SWL_OK) {
        status = swl_file_create(path, swl_buf_text(&out), out.len, &err);
    }
    swl_buf_free(&out);
    if (status != SWL_OK) {
        return cli_fail(&(swl_diags){0}, &err, path);
    }
    if (strcmp(path, "-") != 0) {
        cli_say("wrote %s; every value in it is invented and wants replacing", path);
    }
    return 0;
}
