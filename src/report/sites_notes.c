#include "sweptline/report.h"

#include "report/limits.h"
#include "report/outside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Adds a note of a format with one list in it, and nothing for an empty list. Frees the list. */
static void note_list(swl_notes *notes, const char *before, swl_buf *list, const char *after)
{
    if (list->len > 0) {
        swl_notes_add(notes, "%s%s%s", before, swl_buf_text(list), after);
    }
    notes->failed = notes->failed || list->failed;
    swl_buf_free(list);
}

static void list_add(swl_buf *list, const char *item)
{
    swl_buf_printf(list, "%s%s", list->len == 0 ? "" : ", ", item);
}

static void note_ready(swl_notes *notes, const swl_sites *sites)
{
    swl_buf names = {0};
    for (size_t i = 1; i < sites->count; i++) {
        if (sites->rows[i].set.ready) {
            list_add(&names, sites->rows[i].set.name);
        }
    }
    note_list(notes, "Ready sites, round numbers invented for comparison and no record of any place: ", &names, ".");
}

/* What a set leaves out. */
static void note_left_out(swl_notes *notes, const swl_sites *sites)
{
    swl_buf list = {0};
    for (size_t i = 1; i < sites->count; i++) {
        const swl_site_set *set = &sites->rows[i].set;
        const struct {
            const char *word;
            bool left_out;
        } parts[] = {
            {"temperature", isnan(set->t_k)},
            {"pressure", isnan(set->p_pa) && isnan(set->altitude_m)},
            {"relative humidity", isnan(set->rh_frac)},
        };
        bool first = true;
        for (size_t k = 0; k < 3; k++) {
            if (parts[k].left_out) {
                swl_buf_printf(&list, "%s%s", !first ? " and " : list.len == 0 ? "" : ", ", parts[k].word);
                first = false;
            }
        }
        if (!first) {
            swl_buf_printf(&list, " of %s", set->name);
        }
    }
    note_list(notes, "Not given and so taken from the build: ", &list, ".");
}

static void note_altitude(swl_notes *notes, const swl_sites *sites, swl_units units)
{
    swl_buf list = {0};
    for (size_t i = 1; i < sites->count; i++) {
        const swl_site_set *set = &sites->rows[i].set;
        if (!isnan(set->altitude_m)) {
            swl_buf_printf(&list, "%s%s at ", list.len == 0 ? "" : ", ", set->name);
            swl_report_value(&list, set->altitude_m, SWL_SHOW_ALTITUDE, units);
        }
    }
    note_list(notes, "Pressure by ISO 2533 (geopotential altitude; a real day differs): ", &list, ".");
}

/* With a front exchanger the coolant follows the air that cools it. */
static void note_front(swl_notes *notes, const swl_build *build, swl_units units)
{
    if (!swl_cooler_has_loop(&build->cooler)) {
        return;
    }
    if (!(build->cooler.t_front_air_k > 0)) {
        swl_notes_add(notes, "No front_air_temperature is given: at each site the front exchanger's air is at that "
                             "site's own temperature, and the coolant follows it; air behind other coolers is "
                             "warmer.");
        return;
    }
    swl_buf value = {0};
    swl_report_value(&value, build->cooler.t_front_air_k, SWL_SHOW_TEMPERATURE, units);
    note_list(notes, "The front exchanger's air stays at the build's front_air_temperature of ", &value,
              " at every site; leave that out, and it follows each site's own.");
}

static void note_model(swl_notes *notes, const swl_build *build, const swl_sites *sites, swl_units units)
{
    note_front(notes, build, units);
    if (swl_cooler_there(&build->cooler) && !swl_cooler_has_loop(&build->cooler)) {
        swl_buf value = {0};
        swl_report_value(&value, build->cooler.t_coolant_k, SWL_SHOW_TEMPERATURE, units);
        swl_buf_puts(&value, " at every site, as in the build; a cooler that gives its heat to the site's air would "
                             "follow that air");
        note_list(notes, "The coolant of the charge cooler stays at ", &value, ".");
    }
    /* That there is no estimate, and what one rests on, is among the notes of the check. */
    if (isnan(sites->rows[0].values.crank_w)) {
        return;
    }
    swl_notes_add(notes, "Crank and wheel power are estimates at the build's fuel, lambda and efficiency, which are "
                         "taken alike at every site: no spark is taken back where the charge is hotter.");
    if (isnan(sites->rows[0].values.wheel_w)) {
        swl_notes_add(notes, "No driveline_loss is given: there is no wheel power.");
    }
}

static void note_failures(swl_notes *notes, const swl_sites *sites)
{
    for (size_t i = 1; i < sites->count; i++) {
        if (sites->rows[i].failure[0] != '\0') {
            swl_notes_add(notes, "%s: %s.", sites->rows[i].set.name, sites->rows[i].failure);
        }
    }
}

/* What a check at each further site would say of its line; the own site's is among its own notes. */
static void note_lines(swl_notes *notes, const swl_sites *sites)
{
    swl_told_line lines[SWL_SITES_MAX + 1];
    swl_line_tally tallies[SWL_SITES_MAX + 1];
    size_t count = 0;
    for (size_t i = 1; i < sites->count; i++) {
        tallies[count] = swl_check_tally(&sites->rows[i].check);
        lines[count].tally = &tallies[count];
        (void)snprintf(lines[count].name, sizeof lines[count].name, "%s", sites->rows[i].set.name);
        count++;
    }
    swl_notes_told(notes, "at", lines, count, false);
}

static bool holds(const swl_notes *notes, const char *text)
{
    bool found = false;
    for (size_t i = 0; i < notes->count; i++) {
        found = found || strcmp(notes->items[i], text) == 0;
    }
    return found;
}

/* A note with the sites that it is true of, from one on; nothing where an earlier site, or the own one, has it too. */
static void note_of_sites(swl_notes *notes, const swl_sites *sites, const swl_notes *each, size_t from,
                          const char *text)
{
    swl_buf names = {0};
    for (size_t i = 0; i < from; i++) {
        if (holds(&each[i], text)) {
            return;
        }
    }
    for (size_t i = from; i < sites->count; i++) {
        if (holds(&each[i], text)) {
            list_add(&names, sites->rows[i].set.name);
        }
    }
    swl_notes_add(notes, "At %s: %s", swl_buf_text(&names), text);
    notes->failed = notes->failed || names.failed;
    swl_buf_free(&names);
}

/* What changes the meaning of the figures at a further site: a check there says it, and so must the row. */
static void note_each(swl_notes *notes, const swl_build *build, const swl_sites *sites)
{
    swl_notes each[SWL_SITES_MAX + 1] = {{0}};
    for (size_t i = 0; i < sites->count; i++) {
        if (sites->rows[i].failure[0] == '\0') {
            swl_notes_line(&each[i], build, &sites->rows[i].check);
        }
        notes->failed = notes->failed || each[i].failed;
    }
    for (size_t i = 1; i < sites->count; i++) {
        for (size_t k = 0; k < each[i].count; k++) {
            note_of_sites(notes, sites, each, i, each[i].items[k]);
        }
    }
    for (size_t i = 0; i < sites->count; i++) {
        swl_notes_free(&each[i]);
    }
}

/* Where the standards' words come from, and what they are worth here. */
static void note_measured(swl_notes *notes, const swl_measured *measured)
{
    if (measured == NULL) {
        return;
    }
    swl_notes_add(notes,
                  "SAE J1349 (1990): 1.180 (990/Pd) sqrt((Tc + 273)/298) - 0.18, Pd the pressure of dry air in "
                  "mbar, Tc in degC; its range of 15 to 35 degC, 900 to 1050 mbar and a factor of 0.93 to 1.07 is "
                  "from memory and not held against the document. It is stated for naturally aspirated "
                  "spark-ignition engines; with a driven blower it is used by custom (from memory).");
    swl_notes_add(notes,
                  "ISO 1585, spark ignition: (99/ps)^1.2 (T/298)^0.6, ps the pressure of dry air in kPa, T in K; "
                  "the formula and its range of 288 to 308 K, 80 to 110 kPa and a factor of 0.93 to 1.07 are from "
                  "memory and not held against the document. It is stated for naturally aspirated and "
                  "pressure-charged engines (from memory).");
    swl_notes_add(notes,
                  "Both correct a power at the crankshaft; on a power at the wheels they are used by custom. A "
                  "factor outside its range is shown as computed, not held at the bound: such a test is to be run "
                  "again.");
    swl_notes_add(
        notes,
        "The model's factor is its own highest crank power on the standard day (25 degC, 99 kPa of dry "
        "air and 1 kPa of vapour) over that at the site, each with the coolant that the build has there: how far the "
        "standards are from this build, not a correction to quote.");
}

void swl_notes_sites(swl_notes *notes, const swl_build *build, const swl_sites *sites, const swl_measured *measured,
                     const swl_diags *diags, swl_units units)
{
    note_failures(notes, sites);
    note_lines(notes, sites);
    note_each(notes, build, sites);
    note_ready(notes, sites);
    note_left_out(notes, sites);
    note_altitude(notes, sites, units);
    note_model(notes, build, sites, units);
    note_measured(notes, measured);
    swl_notes own = {0};
    /* The front exchanger's air is told of all sites above. */
    swl_build at_own = *build;
    at_own.assumed &= ~(unsigned)SWL_ASSUMED_FRONT_AIR;
    swl_notes_check(&own, &at_own, &sites->rows[0].check, diags, units);
    for (size_t i = 0; i < own.count; i++) {
        swl_notes_add(notes, i == 0 ? "At the own site: %s" : "%s", own.items[i]);
    }
    notes->failed = notes->failed || own.failed;
    swl_notes_free(&own);
}
