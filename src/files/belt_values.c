#include "files/beltfile.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void swl_belt_tell(const belt_reader *r, const char *at, const char *format, ...)
{
    char text[SWL_DIAG_TEXT_MAX];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    swl_diag_add(r->file->diags, SWL_ERROR, r->file->text, at, "%s", text);
}

static bool is_named(const swl_belt_pulley *pulley, const char *name)
{
    return strcmp(pulley->name, name) == 0;
}

static void lengths_read(belt_reader *r, swl_slice value)
{
    swl_belt *belt = &r->raw.belt;
    for (swl_slice rest = value; rest.at != NULL;) {
        swl_slice part = swl_slice_trim(swl_slice_split(&rest, ','));
        swl_quantity length = {0};
        swl_fault fault = {0};
        if (belt->length_count == SWL_BELT_LENGTHS_MAX) {
            swl_belt_tell(r, part.at, "lengths: more than %d; fewer are accepted", SWL_BELT_LENGTHS_MAX);
            return;
        }
        if (!swl_quantity_read(part, SWL_DIM_LENGTH, &length, &fault)) {
            swl_belt_tell(r, fault.at, "lengths: %s", fault.text);
        } else if (!(length.value >= 0.1 && length.value <= 10)) {
            swl_belt_tell(r, part.at, "lengths: read `%.*s`; 100 mm to 10 m is accepted", swl_slice_shown(part),
                          part.at);
        } else {
            belt->lengths_m[belt->length_count++] = length.value;
        }
    }
}

/* How far off its travel a centre may stand, as places that were measured do; more is an error. */
#define OFF_TRAVEL_M 0.001
/* What rounding of typed numbers comes to. */
#define ON_TRAVEL_M 1e-6

/* The distance of a centre from the nearest position of its pulley's travel. */
static double off_travel_m(const swl_belt_pulley *pulley)
{
    if (pulley->travel == SWL_BELT_ON_LINE) {
        double dx = pulley->to.x_m - pulley->from.x_m;
        double dy = pulley->to.y_m - pulley->from.y_m;
        double x = pulley->centre.x_m - pulley->from.x_m;
        double y = pulley->centre.y_m - pulley->from.y_m;
        double t = (x * dx + y * dy) / (dx * dx + dy * dy);
        t = t < 0 ? 0 : t > 1 ? 1 : t;
        return hypot(x - t * dx, y - t * dy);
    }
    /* Angles are measured from the centre given, so that it stands at 0. */
    double least_rad = fmin(pulley->swing_from_rad, pulley->swing_to_rad);
    double most_rad = fmax(pulley->swing_from_rad, pulley->swing_to_rad);
    double off_rad = least_rad > 0 ? least_rad : most_rad < 0 ? -most_rad : 0;
    double arm_m = hypot(pulley->centre.x_m - pulley->pivot.x_m, pulley->centre.y_m - pulley->pivot.y_m);
    return 2 * arm_m * sin(off_rad / 2);
}

/* Tensions are those at the centre given: a pulley that can move has to be able to stand there. */
static void centre_on_travel(const belt_reader *r, const swl_slice *place, const swl_belt_pulley *pulley,
                             swl_slice section)
{
    static const double radian = 3.14159265358979323846 / 180;
    double off_m = off_travel_m(pulley);
    if (!(off_m > ON_TRAVEL_M)) {
        return;
    }
    swl_buf text = {0};
    const char *at = section.at;
    if (pulley->travel == SWL_BELT_ON_LINE) {
        at = place[PULLEY_TRAVEL_TO].at != NULL ? place[PULLEY_TRAVEL_TO].at : at;
        swl_buf_printf(&text,
                       "travel_to: pulley %s has its centre at %.6g mm, %.6g mm, %.3g mm off its travel from "
                       "%.6g mm, %.6g mm to %.6g mm, %.6g mm",
                       pulley->name, pulley->centre.x_m * 1000, pulley->centre.y_m * 1000, off_m * 1000,
                       pulley->from.x_m * 1000, pulley->from.y_m * 1000, pulley->to.x_m * 1000, pulley->to.y_m * 1000);
    } else {
        at = place[PULLEY_SWING].at != NULL ? place[PULLEY_SWING].at : at;
        swl_buf_printf(&text,
                       "swing: pulley %s has its centre at %.6g mm, %.6g mm, which is 0 deg of its swing; read "
                       "%.6g deg to %.6g deg, %.3g mm off it",
                       pulley->name, pulley->centre.x_m * 1000, pulley->centre.y_m * 1000,
                       pulley->swing_from_rad / radian, pulley->swing_to_rad / radian, off_m * 1000);
    }
    bool error = off_m > OFF_TRAVEL_M;
    swl_diag_add(r->file->diags, error ? SWL_ERROR : SWL_WARNING, r->file->text, at, "%s%s", swl_buf_text(&text),
                 error ? "; a centre on the travel is accepted, to 1 mm" : "; tensions are those at the centre");
    swl_buf_free(&text);
}

static void travel_finish(const belt_reader *r, const swl_slice *place, swl_belt_pulley *pulley, swl_slice section)
{
    bool line = place[PULLEY_TRAVEL_TO].at != NULL;
    bool arc = place[PULLEY_PIVOT].at != NULL;
    if (line && arc) {
        swl_belt_tell(r, place[PULLEY_PIVOT].at,
                      "pivot: travel_to is given too; a pulley travels on a line or about a pivot");
    } else if (place[PULLEY_TRAVEL_FROM].at != NULL && !line) {
        swl_belt_tell(r, place[PULLEY_TRAVEL_FROM].at, "travel_from: there is no travel_to for it");
    } else if (arc != (place[PULLEY_SWING].at != NULL)) {
        swl_belt_tell(r, arc ? place[PULLEY_PIVOT].at : place[PULLEY_SWING].at,
                      "%s: pivot and swing go together; %s is missing", arc ? "pivot" : "swing",
                      arc ? "swing" : "pivot");
    } else if (line) {
        pulley->travel = SWL_BELT_ON_LINE;
        pulley->from = place[PULLEY_TRAVEL_FROM].at != NULL ? pulley->from : pulley->centre;
    } else if (arc) {
        pulley->travel = SWL_BELT_ON_ARC;
    }
    bool nowhere =
        (line && hypot(pulley->to.x_m - pulley->from.x_m, pulley->to.y_m - pulley->from.y_m) < 1e-6) ||
        (arc && place[PULLEY_SWING].at != NULL && pulley->swing_from_rad == pulley->swing_to_rad) ||
        (arc && hypot(pulley->centre.x_m - pulley->pivot.x_m, pulley->centre.y_m - pulley->pivot.y_m) < 1e-6);
    if (nowhere) {
        swl_belt_tell(r, section.at, "pulley %s: its travel starts where it ends; two positions are wanted",
                      pulley->name);
    } else if (pulley->travel != SWL_BELT_STILL) {
        centre_on_travel(r, place, pulley, section);
    }
}

/* The drive's pulleys have their diameters there. Told only when the drive's own was accepted. */
static void drive_diameter(const belt_reader *r, const swl_slice *place, const swl_belt_pulley *pulley, double drive_m,
                           const char *key)
{
    if (place[PULLEY_DIAMETER].at != NULL && drive_m > 0 && pulley->d_m > 0 && fabs(pulley->d_m - drive_m) > 1e-9) {
        swl_belt_tell(r, place[PULLEY_DIAMETER].at,
                      "diameter: read `%.*s`, but %s in [drive] is %.6g mm; leave it out here",
                      swl_slice_shown(place[PULLEY_DIAMETER]), place[PULLEY_DIAMETER].at, key, drive_m * 1000);
    }
}

void swl_belt_pulley_finish(const belt_reader *r, const swl_drive *drive, swl_belt_pulley *pulley,
                            const swl_slice *place, swl_slice section, bool alternative)
{
    bool crank = is_named(pulley, "crank");
    bool blower = is_named(pulley, "blower");
    if (crank || blower) {
        if (!alternative) {
            drive_diameter(r, place, pulley, crank ? drive->d_crank_m : drive->d_blower_m,
                           crank ? "crank_pulley" : "blower_pulley");
        }
        for (int k = PULLEY_POWER; k <= PULLEY_TORQUE; k++) {
            if (place[k].at != NULL) {
                swl_belt_tell(r, place[k].at, "%s: what the %s pulley takes follows from the build",
                              k == PULLEY_POWER ? "power" : "torque", pulley->name);
            }
        }
    } else if (place[PULLEY_DIAMETER].at == NULL) {
        swl_belt_tell(r, section.at, "pulley %s: diameter is missing; only crank and blower have theirs in [drive]",
                      pulley->name);
    }
    if (place[PULLEY_SIDE].at == NULL) {
        if (!crank && !blower) {
            swl_belt_tell(r, section.at,
                          "pulley %s: side is missing; ribs or back is wanted, the face of the belt that runs on it",
                          pulley->name);
        }
        pulley->side = SWL_BELT_RIBS;
    }
    if (place[PULLEY_POWER].at != NULL && place[PULLEY_TORQUE].at != NULL) {
        swl_belt_tell(r, place[PULLEY_TORQUE].at, "torque: the power is given too; keep one of the two");
    }
    travel_finish(r, place, pulley, section);
}

static void mass_finish(belt_reader *r, const swl_drive *drive)
{
    swl_belt *belt = &r->raw.belt;
    swl_slice mass = r->places.belt[BELT_MASS];
    swl_slice per_rib = r->places.belt[BELT_MASS_PER_RIB];
    bool ribs = belt->kind == SWL_BELT_RIBBED && drive->belt_ribs > 0;
    if (mass.at != NULL) {
        if (per_rib.at != NULL) {
            swl_belt_tell(r, per_rib.at, "mass_per_rib: the mass of the whole width is given too; keep one of the two");
        }
        return;
    }
    belt->mass_kg_m = ribs ? r->raw.mass_per_rib_kg_m * drive->belt_ribs : 0;
    belt->assumed |= !ribs ? SWL_BELT_NO_MASS : per_rib.at == NULL ? SWL_BELT_ASSUMED_MASS : 0U;
    if (!ribs && per_rib.at != NULL) {
        swl_belt_tell(r, per_rib.at,
                      "mass_per_rib: the number of ribs is not known; give belt in [drive] as `PK 8`, or mass, of "
                      "the whole width");
    }
}

void swl_belt_finish(belt_reader *r, const swl_drive *drive)
{
    swl_belt *belt = &r->raw.belt;
    static const struct {
        int key;
        unsigned assumed;
    } defaults[] = {{BELT_FRICTION, SWL_BELT_ASSUMED_FRICTION},
                    {BELT_BACK_FRICTION, SWL_BELT_ASSUMED_BACK_FRICTION},
                    {BELT_GROOVE_ANGLE, SWL_BELT_ASSUMED_GROOVE},
                    {BELT_BACK_OFFSET, SWL_BELT_ASSUMED_BACK_OFFSET}};
    for (size_t i = 0; i < sizeof defaults / sizeof defaults[0]; i++) {
        belt->assumed |= r->places.belt[defaults[i].key].at == NULL ? defaults[i].assumed : 0U;
    }
    if (r->places.belt[BELT_LENGTHS].at != NULL) {
        lengths_read(r, r->places.belt[BELT_LENGTHS]);
    }
    if (belt->kind == SWL_BELT_FLAT) {
        if (drive->belt_ribs > 0) {
            swl_belt_tell(r, r->places.belt[BELT_TYPE].at,
                          "type: read `flat`, but belt in [drive] is a ribbed one; give "
                          "line_differential there instead");
        }
        belt->assumed &= ~(unsigned)SWL_BELT_ASSUMED_GROOVE;
        belt->back_offset_m =
            belt->assumed & SWL_BELT_ASSUMED_BACK_OFFSET ? drive->line_differential_m : belt->back_offset_m;
    }
    mass_finish(r, drive);
}
