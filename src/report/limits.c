#include "report/limits.h"

#include <math.h>

void swl_notes_speed_limits(swl_notes *notes, const swl_build *build)
{
    bool continuous = !isnan(build->blower.continuous_rpm);
    bool short_time = !isnan(build->blower.short_time_rpm);
    if (!continuous && !short_time) {
        swl_notes_add(notes, "The unit file states no speed limit, so rotor speed has NOT been checked. Get "
                             "continuous_speed and short_time_speed from the maker.");
    } else if (!continuous) {
        swl_notes_add(notes,
                      "The unit file states no continuous_speed, so the speed at the rev limit has NOT been checked.");
    } else if (!short_time && build->engine.over_rev_rpm > 0) {
        swl_notes_add(notes,
                      "The unit file states no short_time_speed, so the over-rev is held to the continuous limit.");
    }
}

void swl_notes_exceeded(swl_notes *notes, const char *head, const swl_limit_row *rows, size_t count, swl_units units)
{
    swl_buf text = {0};
    for (size_t i = 0; i < count; i++) {
        const swl_limit_row *row = &rows[i];
        swl_buf_printf(&text, "%s%s of ", i > 0 ? "; " : "", row->words);
        swl_report_value(&text, row->value, row->show, units);
        swl_buf_puts(&text, " over ");
        swl_report_value(&text, row->limit, row->show, units);
        swl_buf_printf(&text, " at %.0f rpm", row->engine_rpm);
    }
    if (count > 0) {
        swl_notes_add(notes, "%s: EXCEEDED, see `sweptline check`: %s.", head, swl_buf_text(&text));
    }
    notes->failed = notes->failed || text.failed;
    swl_buf_free(&text);
}
