#include "report/limits.h"

#include <math.h>
#include <string.h>

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

void swl_limits_counted(swl_buf *out, const size_t counts[3], const char *whose)
{
    swl_buf_printf(out, "%zu of %zu limits%s exceeded, %zu close (less than 5 %% to spare), %zu kept",
                   counts[SWL_EXCEEDED], counts[SWL_EXCEEDED] + counts[SWL_CLOSE] + counts[SWL_KEPT], whose,
                   counts[SWL_CLOSE], counts[SWL_KEPT]);
}

const char *swl_belt_left_words(const swl_build *build)
{
    return build->belt == NULL ? NULL
                               : "Slip, speed and tension of the belt in [belt] are NOT among these limits: `sweptline "
                                 "belt FILE` holds them.";
}

void swl_slip_words(swl_buf *out, const swl_build *build)
{
    if (build->drive.slip_frac > 0) {
        swl_buf_printf(
            out, "slip %.3g %%: speed and drive at the blower; speed limits without slip, estimated power at the crank",
            build->drive.slip_frac * 100);
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

static void advise_pulley(swl_notes *notes, double largest_m, const char *decides, swl_units units)
{
    if (!(largest_m > 0)) {
        swl_notes_add(notes, "By rotor speed alone any blower pulley is large enough.");
        return;
    }
    /* Rounded up at the last digit shown, so that the figure itself keeps the limit. */
    swl_shown shown = swl_shown_as(SWL_SHOW_LENGTH, units);
    double step = pow(10, -shown.decimals);
    double size = ceil(largest_m * shown.scale / step - 1e-6) * step;
    swl_notes_add(notes,
                  "Smallest blower pulley by rotor speed alone: %.*f %s, with nothing to spare (%s decides). The other "
                  "limits may ask for a larger one: change blower_pulley and run again.",
                  shown.decimals, size, shown.unit, decides);
}

void swl_notes_advice(swl_notes *notes, const swl_check *check, swl_units units)
{
    double largest_m = -INFINITY;
    const char *decides = NULL;
    for (size_t i = 0; i < check->limit_count; i++) {
        const swl_limit_row *row = &check->limits[i];
        if (!isnan(row->exceeded_from_rpm)) {
            swl_notes_add(notes, "%s: %s from %.0f engine rpm on", row->name,
                          strstr(row->name, "_sensor") != NULL ? "at its full scale" : "exceeded",
                          row->exceeded_from_rpm);
        }
        if (isnan(row->engine_rpm_at_limit)) {
            continue;
        }
        swl_notes_add(notes, "%s: the limit is reached at %.0f engine rpm without slip", row->name,
                      row->engine_rpm_at_limit);
        if (row->smallest_pulley_m > largest_m) {
            largest_m = row->smallest_pulley_m;
            decides = row->name;
        }
    }
    if (decides != NULL) {
        advise_pulley(notes, largest_m, decides, units);
    }
}

size_t swl_power_best(const swl_check *check)
{
    size_t best = 0;
    for (size_t i = 1; i < check->line_count; i++) {
        best = check->power[i].crank_w > check->power[best].crank_w ? i : best;
    }
    return best;
}

void swl_power_basis_words(swl_buf *out, const swl_check *check)
{
    const swl_power_basis *basis = &check->basis;
    swl_buf_printf(out, "%s at lambda %.3g, indicated efficiency %.1f %% (", basis->fuel->name, basis->lambda,
                   basis->indicated_eff_frac * 100);
    swl_buf_puts(out, !isnan(basis->fitted_eff_frac)                         ? "fitted to known_power"
                      : (basis->assumed & SWL_POWER_ASSUMED_EFFICIENCY) != 0 ? "assumed"
                                                                             : "given");
    swl_buf_puts(out, "); crank = indicated + pumping - friction - drive, before what knock takes.");
    size_t best = swl_power_best(check);
    if (check->power[best].drive_w != check->line[best].p_shaft_w) {
        swl_buf_puts(out, " Drive here has the belt's slip in it; that of the operating line is at the rotors' shaft.");
    }
}
