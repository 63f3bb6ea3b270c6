#include "sweptline/belt.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void swl_belt_free(swl_belt *belt)
{
    if (belt == NULL) {
        return;
    }
    for (size_t k = belt->layout_count; k-- > 0;) {
        for (size_t i = 0; i < belt->layouts[k].pulley_count; i++) {
            swl_belt_pulley *pulley = &belt->layouts[k].pulleys[i];
            const swl_belt_pulley *first = &belt->layouts[0].pulleys[i];
            if (k == 0 || pulley->power_w != first->power_w) {
                swl_curve_free(pulley->power_w);
            }
            if (k == 0 || pulley->torque_nm != first->torque_nm) {
                swl_curve_free(pulley->torque_nm);
            }
        }
    }
    free(belt->layouts);
    free(belt);
}

size_t swl_belt_find(const swl_belt_layout *layout, swl_slice name)
{
    size_t i = 0;
    while (i < layout->pulley_count && !swl_slice_is(name, layout->pulleys[i].name)) {
        i++;
    }
    return i;
}

size_t swl_belt_mover(const swl_belt_layout *layout)
{
    for (size_t k = 0; k < layout->path_count; k++) {
        if (layout->pulleys[layout->path[k]].travel != SWL_BELT_STILL) {
            return layout->path[k];
        }
    }
    return layout->pulley_count;
}

void swl_belt_diameters(swl_belt_layout *layout, const swl_drive *drive)
{
    for (size_t i = 0; i < layout->pulley_count; i++) {
        swl_belt_pulley *pulley = &layout->pulleys[i];
        if (isnan(pulley->d_m) && strcmp(pulley->name, "crank") == 0) {
            pulley->d_m = drive->d_crank_m;
        } else if (isnan(pulley->d_m) && strcmp(pulley->name, "blower") == 0) {
            pulley->d_m = drive->d_blower_m;
        }
    }
}

void swl_belt_move(swl_belt_layout *layout, double share)
{
    size_t mover = swl_belt_mover(layout);
    if (mover == layout->pulley_count) {
        return;
    }
    swl_belt_pulley *pulley = &layout->pulleys[mover];
    if (pulley->travel == SWL_BELT_ON_LINE) {
        pulley->centre.x_m = pulley->from.x_m + share * (pulley->to.x_m - pulley->from.x_m);
        pulley->centre.y_m = pulley->from.y_m + share * (pulley->to.y_m - pulley->from.y_m);
    } else {
        double angle_rad = pulley->swing_from_rad + share * (pulley->swing_to_rad - pulley->swing_from_rad);
        double x_m = pulley->centre.x_m - pulley->pivot.x_m;
        double y_m = pulley->centre.y_m - pulley->pivot.y_m;
        pulley->centre.x_m = pulley->pivot.x_m + x_m * cos(angle_rad) - y_m * sin(angle_rad);
        pulley->centre.y_m = pulley->pivot.y_m + x_m * sin(angle_rad) + y_m * cos(angle_rad);
    }
}
