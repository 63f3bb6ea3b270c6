/* What the keys of a cooler's water circuit and of a soak ask of each other. */
#ifndef SWL_FILES_WATER_H
#define SWL_FILES_WATER_H

#include "files/keys.h"

/* Findings go to the file's diags; flags of what was filled in to the build. */
void swl_water_finish(const swl_keys_file *file, swl_build *build);

#endif
