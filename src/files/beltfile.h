/* Reading the sections of a belt: what its two sources share. */
#ifndef SWL_FILES_BELTFILE_H
#define SWL_FILES_BELTFILE_H

#include "files/keys.h"

/* What the sections are read into before they become a belt. */
typedef struct belt_raw {
    swl_belt belt;
    double mass_per_rib_kg_m;
    swl_belt_layout layouts[SWL_BELT_LAYOUTS_MAX];
    size_t layout_count;
} belt_raw;

/* Places of keys in the tables of beltfile.c. */
enum {
    BELT_PATH,
    BELT_TENSION,
    BELT_STATIC_TENSION,
    BELT_TYPE,
    BELT_RUNS,
    BELT_FRICTION,
    BELT_BACK_FRICTION,
    BELT_GROOVE_ANGLE,
    BELT_BACK_OFFSET,
    BELT_MASS,
    BELT_MASS_PER_RIB,
    BELT_SPEED_LIMIT,
    BELT_TENSION_LIMIT,
    BELT_LENGTHS,
    BELT_LENGTHS_AT,
    BELT_KEYS
};
enum {
    PULLEY_CENTRE,
    PULLEY_DIAMETER,
    PULLEY_SIDE,
    PULLEY_POWER,
    PULLEY_TORQUE,
    PULLEY_TRAVEL_FROM,
    PULLEY_TRAVEL_TO,
    PULLEY_PIVOT,
    PULLEY_SWING,
    PULLEY_KEYS
};

/* Where the words of a belt stand, for its findings. */
typedef struct belt_places {
    swl_slice belt[BELT_KEYS];
    swl_slice pulley_section[SWL_BELT_PULLEYS_MAX];
    swl_slice pulley[SWL_BELT_PULLEYS_MAX][PULLEY_KEYS];
    swl_slice layout_section[SWL_BELT_LAYOUTS_MAX];
    swl_slice layout_path[SWL_BELT_LAYOUTS_MAX];
} belt_places;

/* One reading. */
typedef struct belt_reader {
    swl_keys_file *file;
    const swl_ini *ini;
    belt_raw raw;
    belt_places places;
} belt_reader;

/* Adds an error at a place in the text. */
void swl_belt_tell(const belt_reader *r, const char *at, const char *format, ...) SWL_PRINTF(3, 4);
/* Holds the keys of one pulley against each other and the drive, and fills in what follows from them.
 * Given: whether this is an alternative, in which the pulleys of blower and crank may be of other sizes. */
void swl_belt_pulley_finish(const belt_reader *r, const swl_drive *drive, swl_belt_pulley *pulley,
                            const swl_slice *place, swl_slice section, bool alternative);
/* The same for [belt]: what was assumed, the belts on the shelf, the mass. */
void swl_belt_finish(belt_reader *r, const swl_drive *drive);

#endif
