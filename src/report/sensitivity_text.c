#include "sweptline/report.h"

/* Differences are shown with a digit more than the values themselves. */
static void put_change(swl_buf *out, int width, double si, swl_show show, swl_units units)
{
    swl_shown shown = swl_shown_as(show, units);
    swl_buf_printf(out, "%+*.*f", width, shown.decimals + 1, si * shown.scale);
}

void swl_report_sensitivity_text(swl_buf *out, const swl_sensitivity *sensitivity, swl_units units)
{
    static const swl_show shows[] = {SWL_SHOW_BOOST, SWL_SHOW_MASS_FLOW, SWL_SHOW_TEMP_CHANGE, SWL_SHOW_TEMP_CHANGE,
                                     SWL_SHOW_POWER};
    swl_buf_printf(out, "\nWhat a small change does at %.0f rpm, all else alike\n%-40s%9s%10s%10s%10s%10s\n%-40s",
                   sensitivity->engine_rpm, "", "boost", "air", "disch.", "charge", "drive", "");
    for (size_t k = 0; k < 5; k++) {
        swl_buf_printf(out, "%*s", k == 0 ? 9 : 10, swl_shown_as(shows[k], units).unit);
    }
    swl_buf_puts(out, "\n");
    for (size_t i = 0; i < sensitivity->count; i++) {
        const swl_sensitivity_row *row = &sensitivity->rows[i];
        swl_buf_printf(out, "%-40s", row->words);
        put_change(out, 9, row->d_boost_pa, shows[0], units);
        put_change(out, 10, row->d_mdot_kg_s, shows[1], units);
        put_change(out, 10, row->d_t2_k, shows[2], units);
        put_change(out, 10, row->d_t3_k, shows[3], units);
        put_change(out, 10, row->d_p_shaft_w, shows[4], units);
        swl_buf_puts(out, "\n");
    }
}
