#include "sweptline/report.h"

#include "report/limits.h"
#include "report/margin.h"
#include "report/value.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* The spans' columns of the table of tensions: how many there may be, how wide they are and what room they have. */
enum { SPAN_COLUMNS = 7, SPAN_LEAST = 8, SPAN_MOST = 13, SPAN_ROOM = SWL_PAGE_WIDTH - 40 };

static const swl_belt_pulley *pulley_at(const swl_belt_alternative *a, size_t stop)
{
    return &a->layout.pulleys[a->path.stops[stop].pulley];
}

static const char *alternative_name(const swl_belt_alternative *a)
{
    return a->layout.name[0] == '\0' ? "as built" : a->layout.name;
}

static const char *side_word(const swl_belt_pulley *pulley)
{
    return pulley->side == SWL_BELT_RIBS ? "ribs" : "back";
}

/* A tension or load that is not known where the belt is slack. */
static void put_force(swl_buf *out, int width, double si, bool slack, swl_units units)
{
    if (slack) {
        swl_buf_printf(out, "%*s", width, "slack");
    } else {
        swl_put_number(out, width, si, SWL_SHOW_FORCE, units);
    }
}

static void put_unit(swl_buf *out, int width, swl_show show, swl_units units)
{
    swl_buf_printf(out, "%*s", width, swl_shown_as(show, units).unit);
}

static void put_range(swl_buf *out, swl_range range, swl_show show, swl_units units)
{
    swl_shown shown = swl_shown_as(show, units);
    swl_buf_printf(out, "%.*f to ", shown.decimals, swl_shown_value(range.least, show, units));
    swl_report_value(out, range.most, show, units);
}

static void put_prose(swl_buf *out, swl_buf *text, const char *head)
{
    swl_buf_puts(out, head);
    swl_report_wrap(out, swl_buf_text(text), SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_free(text);
}

static void text_head(swl_buf *out, const swl_build *build, const swl_belt *belt, swl_units units)
{
    swl_buf name = {0};
    swl_buf text = {0};
    swl_buf_puts(&name, build->name);
    put_prose(out, &name, "Build   ");
    swl_buf_printf(&text, "%s", belt->kind == SWL_BELT_FLAT ? "flat" : "ribbed");
    if (build->drive.belt_ribs > 0) {
        swl_buf_printf(&text, ", %s %d", build->drive.belt_profile, build->drive.belt_ribs);
    }
    swl_buf_puts(&text, "; pitch line ");
    swl_report_value(&text, build->drive.line_differential_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(&text, " outside the pulleys' diameters on the ribs, ");
    swl_report_value(&text, belt->back_offset_m, SWL_SHOW_LENGTH, units);
    swl_buf_printf(&text, " from the back; friction that acts %.3f on the ribs, %.3f on the back",
                   swl_belt_friction_at(belt, SWL_BELT_RIBS), swl_belt_friction_at(belt, SWL_BELT_BACK));
    put_prose(out, &text, "Belt    ");
}

static void text_pulleys(swl_buf *out, const swl_belt_alternative *a, swl_units units)
{
    static const swl_show shows[] = {SWL_SHOW_LENGTH, SWL_SHOW_LENGTH, SWL_SHOW_LENGTH, SWL_SHOW_ANGLE,
                                     SWL_SHOW_LENGTH};
    swl_buf_printf(out, "\n%-20s%-5s%9s%9s%9s%8s%9s%11s%9s%10s\n%-20s%-5s", "Pulley", "face", "outside", "centre",
                   "centre", "wrap", "span to", "speed at", "bearing", "static", "", "");
    for (size_t i = 0; i < 5; i++) {
        put_unit(out, i == 3 ? 8 : 9, shows[i], units);
    }
    char load[16];
    char wanted[16];
    (void)snprintf(load, sizeof load, "load %s", swl_shown_as(SWL_SHOW_FORCE, units).unit);
    (void)snprintf(wanted, sizeof wanted, "wants %s", swl_shown_as(SWL_SHOW_FORCE, units).unit);
    swl_buf_printf(out, "%11s%9s%10s\n", "limit rpm", load, wanted);
    for (size_t k = 0; k < a->path.count; k++) {
        const swl_belt_pulley *pulley = pulley_at(a, k);
        const swl_belt_stop_run *stop = &a->stops[k];
        swl_buf_printf(out, "%-20.19s%-5s", pulley->name, side_word(pulley));
        swl_put_number(out, 9, pulley->d_m, SWL_SHOW_LENGTH, units);
        swl_put_number(out, 9, pulley->centre.x_m, SWL_SHOW_LENGTH, units);
        swl_put_number(out, 9, pulley->centre.y_m, SWL_SHOW_LENGTH, units);
        swl_put_number(out, 8, a->path.stops[k].wrap_rad, SWL_SHOW_ANGLE, units);
        swl_put_number(out, 9, a->path.stops[k].span_m, SWL_SHOW_LENGTH, units);
        swl_buf_printf(out, "%11.0f", stop->rpm_at_limit);
        put_force(out, 9, stop->hub_load_max_n, a->slack > 0, units);
        if (stop->static_needed_n <= 0) {
            swl_buf_printf(out, "%10s", "none");
        } else {
            swl_put_number(out, 10, stop->static_needed_n, SWL_SHOW_FORCE, units);
        }
        swl_buf_puts(out, "\n");
    }
    swl_buf_puts(out, "bearing load at its largest; the static tension with which the pulley just does not slip\n");
}

/* By how much a belt of the list is off the path at its shortest or longest; a path with a gap in its travel may have
 * neither. */
static void put_misfit(swl_buf *text, const swl_belt *belt, const swl_belt_alternative *a, double length_m,
                       swl_units units)
{
    double shift_m = belt->lengths_at == SWL_BELT_PITCH_LINE ? a->path.length_m - a->path.effective_length_m : 0;
    double least_m = a->effective_length_m.least + shift_m;
    double most_m = a->effective_length_m.most + shift_m;
    swl_buf_puts(text, " does not fit");
    if (length_m < least_m) {
        swl_buf_puts(text, ": too short by ");
        swl_report_value(text, least_m - length_m, SWL_SHOW_LENGTH, units);
        swl_buf_puts(text, " where the travel makes the path shortest");
    } else if (length_m > most_m) {
        swl_buf_puts(text, ": too long by ");
        swl_report_value(text, length_m - most_m, SWL_SHOW_LENGTH, units);
        swl_buf_puts(text, " where the travel makes the path longest");
    }
}

static void text_travel(swl_buf *out, const swl_belt *belt, const swl_belt_alternative *a, swl_units units)
{
    swl_buf text = {0};
    swl_report_value(&text, a->path.length_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(&text, " at the pitch line, ");
    swl_report_value(&text, a->path.effective_length_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(&text, " at the effective line, with the centres given");
    put_prose(out, &text, "Length  ");
    if (a->mover_stop < a->path.count) {
        swl_buf_printf(&text, "of %s: effective length ", pulley_at(a, a->mover_stop)->name);
        put_range(&text, a->effective_length_m, SWL_SHOW_LENGTH, units);
        swl_buf_puts(&text, "; wrap of the blower ");
        put_range(&text, a->stops[a->blower_stop].wrap_rad, SWL_SHOW_ANGLE, units);
        swl_buf_puts(&text, ", of the crank ");
        put_range(&text, a->stops[a->crank_stop].wrap_rad, SWL_SHOW_ANGLE, units);
        put_prose(out, &text, "Travel  ");
    }
    for (size_t i = 0; i < belt->length_count; i++) {
        const swl_belt_fit *fit = &a->fits[i];
        swl_report_value(&text, fit->length_m, SWL_SHOW_LENGTH, units);
        if (a->mover_stop == a->path.count) {
            double own_m = belt->lengths_at == SWL_BELT_PITCH_LINE ? a->path.length_m : a->path.effective_length_m;
            swl_buf_puts(&text, fit->length_m >= own_m ? ": longer than the path by " : ": shorter than the path by ");
            swl_report_value(&text, fabs(fit->length_m - own_m), SWL_SHOW_LENGTH, units);
            swl_buf_puts(&text, ", and no pulley moves to take that up");
        } else if (fit->places > 1) {
            swl_buf_printf(&text, " is taut at %s places, at %.0f %% of the travel with wrap of the blower ",
                           fit->places == 2 ? "two" : "several", fit->share * 100);
            swl_report_value(&text, fit->blower_wrap_rad, SWL_SHOW_ANGLE, units);
            swl_buf_printf(&text, " and at %.0f %% with ", fit->last_share * 100);
            swl_report_value(&text, fit->last_wrap_rad, SWL_SHOW_ANGLE, units);
        } else if (fit->fits) {
            swl_buf_printf(&text, " fits, at %.0f %% of the travel; wrap of the blower ", fit->share * 100);
            swl_report_value(&text, fit->blower_wrap_rad, SWL_SHOW_ANGLE, units);
        } else {
            put_misfit(&text, belt, a, fit->length_m, units);
        }
        put_prose(out, &text, i == 0 ? "Belts   " : "        ");
    }
}

/* How wide the column of each span is: its pulley's name where there is room, else the longest names are cut. */
static void span_widths(const swl_belt_alternative *a, size_t spans, int widths[SPAN_COLUMNS])
{
    int sum = 0;
    for (size_t k = 0; k < spans; k++) {
        int wanted = (int)strlen(pulley_at(a, k)->name) + 1;
        widths[k] = wanted < SPAN_LEAST ? SPAN_LEAST : wanted > SPAN_MOST ? SPAN_MOST : wanted;
        sum += widths[k];
    }
    for (; sum > SPAN_ROOM; sum--) {
        size_t widest = 0;
        for (size_t k = 1; k < spans; k++) {
            widest = widths[k] > widths[widest] ? k : widest;
        }
        widths[widest]--;
    }
}

/* Tensions of every span where they have room, one row an engine speed. */
static void text_rows(swl_buf *out, const swl_belt_alternative *a, swl_units units)
{
    size_t n = a->path.count;
    bool tension = !isnan(a->layout.static_tension_n);
    size_t spans = tension && n <= SPAN_COLUMNS ? n : 0;
    int widths[SPAN_COLUMNS] = {0};
    span_widths(a, spans, widths);
    swl_buf_printf(out, "\nOver the rev range%s\n%6s%8s%8s%9s%9s", spans > 0 ? ", tension of the span behind" : "",
                   "engine", "belt", "centri-", "blower", "can");
    for (size_t k = 0; k < spans; k++) {
        swl_buf_printf(out, "%*.*s", widths[k], widths[k] - 1, pulley_at(a, k)->name);
    }
    swl_buf_printf(out, "\n%6s%8s%8s%9s%9s", "rpm", "speed", "fugal", "takes", "carry");
    for (size_t k = 0; k < spans; k++) {
        put_unit(out, widths[k], SWL_SHOW_FORCE, units);
    }
    swl_buf_printf(out, "\n%6s", "");
    put_unit(out, 8, SWL_SHOW_VELOCITY, units);
    put_unit(out, 8, SWL_SHOW_FORCE, units);
    put_unit(out, 9, SWL_SHOW_FORCE, units);
    put_unit(out, 9, SWL_SHOW_FORCE, units);
    swl_buf_puts(out, "\n");
    for (size_t i = 0; i < a->row_count; i++) {
        const swl_belt_row *row = &a->rows[i];
        swl_buf_printf(out, "%6.0f", row->engine_rpm);
        swl_put_number(out, 8, row->state.speed_m_s, SWL_SHOW_VELOCITY, units);
        swl_put_number(out, 8, row->state.centrifugal_n, SWL_SHOW_FORCE, units);
        swl_put_number(out, 9, row->state.pull_n[a->blower_stop], SWL_SHOW_FORCE, units);
        put_force(out, 9, row->pull_max_n[a->blower_stop], row->slack, units);
        for (size_t k = 0; k < spans; k++) {
            put_force(out, widths[k], row->state.tension_n[k], row->slack, units);
        }
        swl_buf_puts(out, "\n");
    }
}

static const char *limit_word(const swl_belt_limit *limit)
{
    static const char *const words[] = {"kept", "close", "EXCEEDED"};
    return limit->pulley != NULL && limit->verdict == SWL_EXCEEDED ? "SLIPS" : words[limit->verdict];
}

static const char *limit_head(const swl_belt_limit *limit)
{
    if (limit->pulley != NULL) {
        return "pull passed on at ";
    }
    return strcmp(limit->name, "tension_limit") == 0      ? "largest tension"
           : strcmp(limit->name, "speed_limit") == 0      ? "belt speed in an over-rev"
           : strcmp(limit->name, "continuous_speed") == 0 ? "blower speed at the rev limit"
                                                          : "blower speed in an over-rev";
}

static void text_limits(swl_buf *out, const swl_belt_alternative *a, swl_units units)
{
    swl_buf_printf(out, "\n%-42s%9s%9s %-7s%8s%10s\n%-42s%9s%9s %-7s%8s%10s\n", "Limits", "", "", "", "margin",
                   "worst at", "", "value", "limit", "unit", "%", "rpm");
    for (size_t i = 0; i < a->limit_count; i++) {
        const swl_belt_limit *limit = &a->limits[i];
        char words[80];
        (void)snprintf(words, sizeof words, "%s%s", limit_head(limit), limit->pulley == NULL ? "" : limit->pulley);
        swl_buf_printf(out, "%-42.41s", words);
        if (isnan(limit->value)) {
            swl_buf_printf(out, "%9s", "-");
        } else {
            swl_put_number(out, 9, limit->value, limit->show, units);
        }
        swl_put_number(out, 9, limit->limit, limit->show, units);
        swl_buf_printf(out, " %-7s", swl_shown_as(limit->show, units).unit);
        if (isfinite(limit->margin_frac)) {
            swl_margin_put(out, 8, limit->margin_frac);
        } else {
            swl_buf_printf(out, "%8s", "slack");
        }
        swl_buf_printf(out, "%10.0f  %s\n", limit->engine_rpm, limit_word(limit));
    }
    if (isnan(a->layout.static_tension_n)) {
        swl_buf_puts(out, "without static_tension in [belt] the grip is not known\n");
    }
    for (size_t i = 0; i < a->other_count; i++) {
        swl_buf_printf(out, "%s%s", i == 0 ? "EXCEEDED too, as check has it: " : ", ", a->others[i].words);
    }
    swl_buf_puts(out, a->other_count > 0 ? "\n" : "");
}

static void text_needed(swl_buf *out, const swl_belt_alternative *a, swl_units units)
{
    swl_buf text = {0};
    swl_buf_puts(&text, "\nStatic tension with which the blower's pulley just does not slip: ");
    swl_report_value(&text, a->stops[a->blower_stop].static_needed_n, SWL_SHOW_FORCE, units);
    swl_buf_printf(&text, " (%.0f rpm decides); none of the pulleys slips from ", a->stops[a->blower_stop].needed_rpm);
    swl_report_value(&text, a->static_needed_n, SWL_SHOW_FORCE, units);
    swl_buf_printf(&text, " (%s decides), and with a fifth less friction from ",
                   pulley_at(a, a->static_needed_stop)->name);
    swl_report_value(&text, a->static_needed_slick_n, SWL_SHOW_FORCE, units);
    swl_buf_puts(&text, ". Nothing to spare in any of these.");
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
    swl_buf_free(&text);
}

static void text_alternative(swl_buf *out, const swl_belt_study *study, const swl_belt_alternative *a, swl_units units)
{
    swl_buf_printf(out, "\n== %s ==\n", alternative_name(a));
    text_pulleys(out, a, units);
    text_travel(out, study->belt, a, units);
    if (!a->solved) {
        swl_buf text = {0};
        swl_buf_printf(&text, "With this pulley there is no operating line: %s.", a->failure);
        swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
        swl_buf_free(&text);
        return;
    }
    if (a == study->alternatives) {
        text_rows(out, a, units);
    }
    text_limits(out, a, units);
    text_needed(out, a, units);
}

/* The margin of the blower's pulley; NAN where grip is not known. */
static double blower_margin(const swl_belt_alternative *a)
{
    double margin_frac = NAN;
    for (size_t i = 0; i < a->limit_count; i++) {
        const swl_belt_limit *limit = &a->limits[i];
        bool its = limit->pulley != NULL && limit->pulley == pulley_at(a, a->blower_stop)->name;
        margin_frac = its ? limit->margin_frac : margin_frac;
    }
    return margin_frac;
}

/* The least margin of all limits that are held, those of check that are exceeded among them. words is the limit's
 * name; "" and NAN where none is held. Where a slack belt leaves a tension unknown that is the least. */
static double least_margin(const swl_belt_alternative *a, swl_buf *words)
{
    double least_frac = NAN;
    for (size_t i = 0; i < a->limit_count; i++) {
        const swl_belt_limit *limit = &a->limits[i];
        double margin_frac = isnan(limit->margin_frac) ? (double)-INFINITY : limit->margin_frac;
        if (isnan(least_frac) || margin_frac < least_frac) {
            least_frac = margin_frac;
            words->len = 0;
            swl_buf_printf(words, "%s%s", limit_head(limit), limit->pulley == NULL ? "" : limit->pulley);
        }
    }
    for (size_t i = 0; i < a->other_count; i++) {
        if (isnan(least_frac) || a->others[i].margin_frac < least_frac) {
            least_frac = a->others[i].margin_frac;
            words->len = 0;
            swl_buf_puts(words, a->others[i].words);
        }
    }
    return least_frac;
}

/* What the row's verdict rests on: every limit that is exceeded, or the one with the least margin. */
static void put_culprits(swl_buf *out, const swl_belt_alternative *a, const char *least)
{
    swl_buf text = {0};
    const char *separator = "exceeded: ";
    for (size_t i = 0; i < a->limit_count; i++) {
        const swl_belt_limit *limit = &a->limits[i];
        if (limit->verdict == SWL_EXCEEDED) {
            swl_buf_printf(&text, "%s%s%s", separator, limit_head(limit), limit->pulley == NULL ? "" : limit->pulley);
            separator = ", ";
        }
    }
    for (size_t i = 0; i < a->other_count; i++) {
        swl_buf_printf(&text, "%s%s", separator, a->others[i].words);
        separator = ", ";
    }
    if (text.len == 0 && least[0] != '\0') {
        swl_buf_printf(&text, "least margin: %s", least);
    }
    if (a->solved && isnan(a->layout.static_tension_n)) {
        swl_buf_printf(&text, "%sgrip not known", text.len > 0 ? "; " : "");
    }
    if (text.len > 0) {
        swl_buf_puts(out, "    ");
        swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH - 4, "    ");
    }
    out->failed = out->failed || text.failed;
    swl_buf_free(&text);
}

static const char *alternative_word(const swl_belt_alternative *a)
{
    bool close = false;
    for (size_t i = 0; i < a->limit_count; i++) {
        close = close || a->limits[i].verdict == SWL_CLOSE;
    }
    return !a->solved            ? "no point"
           : a->exceeded         ? "EXCEEDED"
           : a->limit_count == 0 ? "no limit"
           : close               ? "close"
                                 : "kept";
}

static void text_side_by_side(swl_buf *out, const swl_belt_study *study, swl_units units)
{
    swl_buf_printf(out, "\n%-28s%8s%8s%8s%10s%8s%8s%9s\n%-28s%8s%8s%8s%10s%8s%8s%9s\n%-28s", "Side by side", "blower",
                   "wrap of", "wrap of", "effective", "margin", "least", "static", "", "pulley", "blower", "crank",
                   "length", "blower", "margin", "wanted", "");
    put_unit(out, 8, SWL_SHOW_LENGTH, units);
    put_unit(out, 8, SWL_SHOW_ANGLE, units);
    put_unit(out, 8, SWL_SHOW_ANGLE, units);
    put_unit(out, 10, SWL_SHOW_LENGTH, units);
    swl_buf_printf(out, "%8s%8s", "%", "%");
    put_unit(out, 9, SWL_SHOW_FORCE, units);
    swl_buf_puts(out, "\n");
    for (size_t i = 0; i < study->count; i++) {
        const swl_belt_alternative *a = &study->alternatives[i];
        swl_buf words = {0};
        double least = least_margin(a, &words);
        swl_buf_printf(out, "%-28.27s", alternative_name(a));
        swl_put_number(out, 8, a->d_blower_m, SWL_SHOW_LENGTH, units);
        swl_put_number(out, 8, a->path.stops[a->blower_stop].wrap_rad, SWL_SHOW_ANGLE, units);
        swl_put_number(out, 8, a->path.stops[a->crank_stop].wrap_rad, SWL_SHOW_ANGLE, units);
        swl_put_number(out, 10, a->path.effective_length_m, SWL_SHOW_LENGTH, units);
        swl_put_number(out, 8, blower_margin(a), SWL_SHOW_FRACTION, units);
        swl_put_number(out, 8, least, SWL_SHOW_FRACTION, units);
        swl_put_number(out, 9, a->static_needed_n, SWL_SHOW_FORCE, units);
        swl_buf_printf(out, "  %s\n", alternative_word(a));
        put_culprits(out, a, swl_buf_text(&words));
        out->failed = out->failed || words.failed;
        swl_buf_free(&words);
    }
}

/* The verdict on the build as it is in one sentence, what is not known beside it, and how the others stand. */
static void text_result(swl_buf *out, const swl_belt_study *study)
{
    const swl_belt_alternative *a = &study->alternatives[0];
    swl_buf text = {0};
    size_t tally[3] = {0, 0, 0};
    size_t over = 0;
    size_t unknown = 0;
    for (size_t i = 0; i < a->limit_count; i++) {
        tally[a->limits[i].verdict]++;
    }
    if (a->limit_count == 0) {
        swl_buf_puts(&text, "no limit of belt or rotors could be held.");
    } else {
        swl_limits_counted(&text, tally, " of belt and rotors");
        swl_buf_puts(&text, ".");
    }
    if (a->other_count > 0) {
        swl_buf_printf(&text, " Of `sweptline check` %zu more %s exceeded.", a->other_count,
                       a->other_count == 1 ? "is" : "are");
    }
    if (isnan(a->layout.static_tension_n)) {
        swl_buf_printf(&text, " Whether a pulley slips%s is NOT known without static_tension.",
                       isnan(study->belt->tension_limit_n) ? "" : ", or tension_limit is exceeded,");
    }
    for (size_t i = 1; i < study->count; i++) {
        over += study->alternatives[i].exceeded;
        unknown += !study->alternatives[i].solved;
    }
    if (study->count > 1) {
        swl_buf_printf(&text, " %zu of %zu alternative%s exceed%s a limit", over, study->count - 1,
                       study->count == 2 ? "" : "s", over == 1 ? "s" : "");
        swl_buf_printf(&text, unknown > 0 ? ", %zu %s no operating line." : ".", unknown,
                       unknown == 1 ? "has" : "have");
    }
    swl_buf_puts(out, "\nResult: ");
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH - 8, "        ");
    out->failed = out->failed || text.failed;
    swl_buf_free(&text);
}

void swl_report_belt_text(swl_buf *out, const swl_build *build, const swl_belt_study *study, const swl_notes *notes,
                          swl_units units)
{
    text_head(out, build, study->belt, units);
    for (size_t i = 0; i < study->count; i++) {
        text_alternative(out, study, &study->alternatives[i], units);
    }
    if (study->count > 1) {
        text_side_by_side(out, study, units);
    }
    text_result(out, study);
    swl_report_foot(out, notes);
}

void swl_report_belt_csv(swl_buf *out, const swl_belt_study *study, swl_units units)
{
    const char *force = swl_shown_as(SWL_SHOW_FORCE, units).unit;
    swl_buf_printf(out,
                   "alternative,engine speed [rpm],belt speed [%s],centrifugal tension [%s],pulley,wrap [deg],pull "
                   "[%s],pull it can carry [%s],tension of the span behind [%s]\n",
                   swl_shown_as(SWL_SHOW_VELOCITY, units).unit, force, force, force, force);
    for (size_t i = 0; i < study->count; i++) {
        const swl_belt_alternative *a = &study->alternatives[i];
        for (size_t r = 0; r < a->row_count * a->path.count; r++) {
            const swl_belt_row *row = &a->rows[r / a->path.count];
            size_t k = r % a->path.count;
            swl_buf_puts(out, alternative_name(a));
            swl_buf_printf(out, ",%.10g", row->engine_rpm);
            swl_put_csv(out, row->state.speed_m_s, SWL_SHOW_VELOCITY, units);
            swl_put_csv(out, row->state.centrifugal_n, SWL_SHOW_FORCE, units);
            swl_buf_puts(out, ",");
            swl_buf_puts(out, pulley_at(a, k)->name);
            swl_put_csv(out, a->path.stops[k].wrap_rad, SWL_SHOW_ANGLE, units);
            swl_put_csv(out, row->state.pull_n[k], SWL_SHOW_FORCE, units);
            swl_put_csv(out, row->pull_max_n[k], SWL_SHOW_FORCE, units);
            swl_put_csv(out, row->state.tension_n[k], SWL_SHOW_FORCE, units);
            swl_buf_puts(out, "\n");
        }
    }
}
