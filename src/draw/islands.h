/* Efficiency islands of a map. */
#ifndef SWL_DRAW_ISLANDS_H
#define SWL_DRAW_ISLANDS_H

#include "draw/contour.h"
#include "draw/panel.h"

enum { SWL_ISLANDS_MAX = SWL_BANDS_MAX };

/* Levels drawn, rising, as fractions. */
typedef struct swl_islands {
    double level[SWL_ISLANDS_MAX];
    swl_loops loops[SWL_ISLANDS_MAX];
    size_t count;
    swl_loops hot;   /* where the discharge is at its limit or above; empty without one */
    double *p_ratio; /* of every node */
} swl_islands;

/* Levels that suit the maps of all fields together. Given: room for SWL_ISLANDS_MAX levels. */
swl_status swl_islands_levels(const swl_field *const *fields, size_t count, double *level, size_t *levels,
                              swl_err *err) SWL_MUST_CHECK;
/* Given: the field, the discharge temperature's limit in K or NAN, the scale whose levels are wanted or NULL. */
swl_status swl_islands_init(swl_islands *islands, const swl_field *field, double t_limit_k, const swl_map_scale *scale,
                            swl_err *err) SWL_MUST_CHECK;
void swl_islands_free(swl_islands *islands);

/* Goes round each patch of the region that has data, in its order; first: a new patch starts here. */
typedef void swl_region_point(void *context, double vdot_m3_s, double p_ratio, bool first);
void swl_region_walk(const swl_field *field, swl_region_point *point, void *context);
/* Puts the region that has data into the current path. */
void swl_region_path(const swl_panel *panel, const swl_field *field);
/* Whether a level label that is centred on its point lies within the region. */
bool swl_region_holds(const swl_panel *panel, const swl_field *field, const swl_label *label);
/* Fills the bands and strokes their edges, confined to the region; over a scan the edges alone. */
void swl_islands_draw(const swl_panel *panel, const swl_field *field, const swl_islands *islands);
/* Labels each island where there is room. */
void swl_islands_label(const swl_panel *panel, const swl_field *field, const swl_islands *islands, double size);

#endif
