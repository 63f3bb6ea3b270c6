#include "sweptline/report.h"

#include <math.h>
#include <string.h>

/* What a build file takes. */
#define SIZE_MIN_M 0.02
#define SIZE_MAX_M 1.0

static char letter(size_t build)
{
    return (char)('A' + (int)build);
}

void swl_report_compare_goal(swl_buf *out, const swl_compare *compare, swl_units units)
{
    const swl_compare_wish *wish = &compare->wish;
    if (wish->goal == SWL_COMPARE_AS_FITTED) {
        swl_buf_puts(out, "as fitted");
        return;
    }
    swl_report_value(out, wish->value, wish->goal == SWL_COMPARE_BOOST ? SWL_SHOW_BOOST : SWL_SHOW_MASS_FLOW, units);
    if (wish->goal == SWL_COMPARE_FLOW) {
        swl_buf_puts(out, " of air at the rev limit");
    } else if (isnan(wish->engine_rpm)) {
        swl_buf_puts(out, " boost at its peak");
    } else {
        swl_buf_printf(out, " boost at %.0f rpm", wish->engine_rpm);
    }
}

void swl_report_compare_failure(swl_buf *out, const swl_compare *compare, size_t build, swl_units units)
{
    const swl_pulley_found *found = &compare->builds[build].found;
    swl_show show = compare->wish.goal == SWL_COMPARE_FLOW ? SWL_SHOW_MASS_FLOW : SWL_SHOW_BOOST;
    if (found->stop == SWL_STOP_FOUND) {
        if (compare->wish.goal != SWL_COMPARE_AS_FITTED) {
            swl_buf_puts(out, "with the blower pulley that gives it, ");
            swl_report_value(out, found->exact_m, SWL_SHOW_LENGTH, units);
            swl_buf_puts(out, ", ");
        }
        swl_buf_puts(out, compare->builds[build].failure);
        return;
    }
    swl_buf_puts(out, "no blower pulley gives ");
    swl_report_compare_goal(out, compare, units);
    if (found->stop != SWL_STOP_NOWHERE) {
        bool less = found->stop == SWL_STOP_FAST_END || found->stop == SWL_STOP_FAST_POINT;
        swl_buf_puts(out, less ? "; the most is " : "; the least is ");
        swl_report_value(out, found->reached, show, units);
        swl_buf_puts(out, " with ");
        swl_report_value(out, found->exact_m, SWL_SHOW_LENGTH, units);
    }
    if (found->stop == SWL_STOP_FAST_END || found->stop == SWL_STOP_SLOW_END) {
        swl_buf_puts(out, ", the end of the sizes searched");
    } else {
        swl_buf_printf(out, "; %s operating point at %.0f rpm: %s",
                       found->stop == SWL_STOP_NOWHERE      ? "no size searched has an"
                       : found->stop == SWL_STOP_FAST_POINT ? "a smaller one has no"
                                                            : "a larger one has no",
                       found->end_rpm, swl_match_reason(found->end));
    }
}

/* A difference, which has no shift; of a share in points. */
static void put_change(swl_buf *out, double si, swl_show show, swl_units units)
{
    swl_shown shown = swl_shown_as(show, units);
    if (show == SWL_SHOW_TEMPERATURE) {
        swl_report_value(out, si, SWL_SHOW_TEMP_CHANGE, units);
    } else if (show == SWL_SHOW_FRACTION) {
        swl_buf_printf(out, "%.*f points", shown.decimals, si * shown.scale);
    } else {
        swl_buf_printf(out, "%.*f %s", shown.decimals, si * shown.scale, shown.unit);
    }
}

static void put_figure(swl_buf *out, const swl_compare_quantity *quantity, const swl_compare_value *value,
                       swl_units units)
{
    swl_report_value(out, value->value, quantity->show, units);
    swl_buf_puts(out, value->on_map ? "" : "*");
    if (!isnan(value->engine_rpm)) {
        swl_buf_printf(out, " at %.0f rpm", value->engine_rpm);
    }
}

/* "A", "A and C", "A, B and D" of those in the set. */
static void put_letters(swl_buf *out, const bool *in, size_t count)
{
    size_t left = 0;
    for (size_t i = 0; i < count; i++) {
        left += in[i];
    }
    size_t all = left;
    for (size_t i = 0; i < count; i++) {
        if (in[i]) {
            swl_buf_printf(out, "%s%c", left == all ? "" : left == 1 ? " and " : ", ", letter(i));
            left--;
        }
    }
}

/* The builds that have a figure, from better to worse. */
typedef struct ranking {
    size_t order[SWL_COMPARE_MOST];
    size_t count;
    size_t alike; /* how many at the front are not to be told from the best */
} ranking;

static ranking rank(const swl_compare *compare, size_t figure)
{
    const swl_compare_quantity *quantity = &swl_compare_figures[figure];
    double sign = quantity->better == SWL_BETTER_LESS ? 1 : -1;
    ranking r = {.count = 0};
    for (size_t i = 0; i < compare->count; i++) {
        double value = compare->builds[i].figures[figure].value;
        if (!compare->builds[i].solved || isnan(value)) {
            continue;
        }
        size_t at = r.count++;
        for (; at > 0 && sign * value < sign * compare->builds[r.order[at - 1]].figures[figure].value; at--) {
            r.order[at] = r.order[at - 1];
        }
        r.order[at] = i;
    }
    double best = r.count == 0 ? (double)NAN : compare->builds[r.order[0]].figures[figure].value;
    while (r.alike < r.count &&
           !swl_compare_differ(quantity, best, compare->builds[r.order[r.alike]].figures[figure].value)) {
        r.alike++;
    }
    return r;
}

static void put_outside(swl_buf *out, const swl_compare *compare, size_t figure)
{
    bool in[SWL_COMPARE_MOST] = {false};
    size_t n = 0;
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_value *value = &compare->builds[i].figures[figure];
        in[i] = compare->builds[i].solved && !value->on_map && !isnan(value->engine_rpm);
        n += in[i];
    }
    if (n > 0) {
        swl_buf_puts(out, " The figure of ");
        put_letters(out, in, compare->count);
        swl_buf_puts(out, n == 1 ? " rests on a point outside its map." : " rests on points outside their maps.");
    }
}

static bool any_off_map(const swl_compare *compare, size_t figure, const ranking *r)
{
    for (size_t i = 0; i < r->count; i++) {
        if (!compare->builds[r->order[i]].figures[figure].on_map) {
            return true;
        }
    }
    return false;
}

/* "67.7 % in A, 74.3 %* in B": what is known, and no word on which is better. */
static void put_open(swl_buf *out, const swl_compare *compare, size_t figure, const ranking *r, const char *better,
                     swl_units units)
{
    const char *separator = "";
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_value *value = &compare->builds[i].figures[figure];
        if (compare->builds[i].solved && !isnan(value->value)) {
            swl_buf_puts(out, separator);
            put_figure(out, &swl_compare_figures[figure], value, units);
            swl_buf_printf(out, " in %c", letter(i));
            separator = ", ";
        }
    }
    swl_buf_printf(out, "; %s is called %s, for * rests on points outside the map.",
                   r->count == 2 ? "neither" : "none of them", better);
}

/* How far off the others are: one figure where the nearest and the furthest read alike. */
static void put_away(swl_buf *out, const swl_compare_quantity *quantity, double nearest, double furthest,
                     swl_units units)
{
    swl_buf near_text = {0};
    swl_buf far_text = {0};
    put_change(&near_text, nearest, quantity->show, units);
    put_change(&far_text, furthest, quantity->show, units);
    swl_buf_puts(out, swl_buf_text(&near_text));
    if (strcmp(swl_buf_text(&near_text), swl_buf_text(&far_text)) != 0) {
        swl_buf_printf(out, " to %s", swl_buf_text(&far_text));
    }
    out->failed = out->failed || near_text.failed || far_text.failed;
    swl_buf_free(&near_text);
    swl_buf_free(&far_text);
}

/* Who has no such figure, and so may be better or worse than all. */
static void put_without(swl_buf *out, const swl_compare *compare, size_t figure)
{
    bool in[SWL_COMPARE_MOST] = {false};
    size_t n = 0;
    for (size_t i = 0; i < compare->count; i++) {
        in[i] = compare->builds[i].solved && isnan(compare->builds[i].figures[figure].value);
        n += in[i];
    }
    if (n > 0) {
        swl_buf_puts(out, " ");
        put_letters(out, in, compare->count);
        swl_buf_puts(out, n == 1 ? " has no such figure." : " have no such figure.");
    }
}

/* One sentence on one figure. words: what the better build has, as "the lower highest discharge temperature".
 * Returns: whether it tells a difference to build on. */
static bool sentence(swl_notes *summary, const swl_compare *compare, size_t figure, const char *title,
                     const char *better, swl_units units)
{
    const swl_compare_quantity *quantity = &swl_compare_figures[figure];
    ranking r = rank(compare, figure);
    if (r.count < 2) {
        return false;
    }
    const swl_compare_value *best = &compare->builds[r.order[0]].figures[figure];
    const swl_compare_value *worst = &compare->builds[r.order[r.count - 1]].figures[figure];
    bool open = false;
    swl_buf text = {0};
    swl_buf_printf(&text, "%s: ", title);
    if (r.alike == r.count) {
        swl_buf_puts(&text, "no difference to build on (");
        put_change(&text, fabs(best->value - worst->value), quantity->show, units);
        swl_buf_puts(&text, r.count > 2 ? " between the furthest apart)." : ").");
    } else if (any_off_map(compare, figure, &r)) {
        put_open(&text, compare, figure, &r, better, units);
        open = true;
    } else if (r.count == 2) {
        swl_buf_printf(&text, "%c is %s by ", letter(r.order[0]), better);
        put_change(&text, fabs(best->value - worst->value), quantity->show, units);
        swl_buf_puts(&text, ", ");
        bool one_speed = fabs(best->engine_rpm - worst->engine_rpm) < 0.5;
        if (one_speed) {
            swl_report_value(&text, best->value, quantity->show, units);
        } else {
            put_figure(&text, quantity, best, units);
        }
        swl_buf_puts(&text, " against ");
        put_figure(&text, quantity, worst, units);
        swl_buf_puts(&text, ".");
    } else {
        bool in[SWL_COMPARE_MOST] = {false};
        for (size_t i = 0; i < r.alike; i++) {
            in[r.order[i]] = true;
        }
        put_letters(&text, in, compare->count);
        swl_buf_printf(&text, r.alike == 1 ? " is %s than the others, " : " are %s and not to be told apart, ", better);
        put_figure(&text, quantity, best, units);
        swl_buf_printf(&text, "; the other%s ", r.count - r.alike == 1 ? " is" : "s are");
        put_away(&text, quantity, fabs(compare->builds[r.order[r.alike]].figures[figure].value - best->value),
                 fabs(worst->value - best->value), units);
        swl_buf_puts(&text, " away.");
    }
    put_without(&text, compare, figure);
    if (!open) {
        put_outside(&text, compare, figure);
    }
    swl_notes_add(summary, "%s", swl_buf_text(&text));
    summary->failed = summary->failed || text.failed;
    swl_buf_free(&text);
    return r.alike < r.count && !open;
}

/* " (boost*)": the limits whose verdict rests on a point outside the map. */
static void put_off_map(swl_buf *out, const swl_check *check)
{
    const char *between = " (";
    for (size_t k = 0; k < check->limit_count; k++) {
        if (!check->limits[k].on_map) {
            swl_buf_printf(out, "%s%s*", between, check->limits[k].name);
            between = ", ";
        }
    }
    swl_buf_puts(out, strcmp(between, ", ") == 0 ? ")" : "");
}

/* Whether summary_limits names a limit that rests on a point outside the map. */
static bool names_off_map(const swl_compare *compare)
{
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_build *one = &compare->builds[i];
        for (size_t k = 0; k < one->check.limit_count; k++) {
            const swl_limit_row *row = &one->check.limits[k];
            if (one->solved && !row->on_map && (one->exceeded == 0 || row->verdict == SWL_EXCEEDED)) {
                return true;
            }
        }
    }
    return false;
}

static void summary_limits(swl_notes *summary, const swl_compare *compare)
{
    swl_buf text = {0};
    swl_buf_puts(&text, "Limits:");
    const char *separator = " ";
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_build *one = &compare->builds[i];
        if (!one->solved) {
            continue;
        }
        size_t all = one->check.limit_count;
        swl_buf_puts(&text, separator);
        separator = "; ";
        if (all == 0) {
            swl_buf_printf(&text, "%c has none given, so none was checked", letter(i));
        } else if (one->exceeded == 0) {
            swl_buf_printf(&text, "%c keeps all %zu", letter(i), all);
            put_off_map(&text, &one->check);
        } else {
            swl_buf_printf(&text, "%c exceeds %zu of %zu (", letter(i), one->exceeded, all);
            const char *between = "";
            for (size_t k = 0; k < all; k++) {
                if (one->check.limits[k].verdict == SWL_EXCEEDED) {
                    swl_buf_printf(&text, "%s%s%s", between, one->check.limits[k].name,
                                   one->check.limits[k].on_map ? "" : "*");
                    between = ", ";
                }
            }
            swl_buf_puts(&text, ")");
        }
    }
    swl_notes_add(summary, "%s.%s", swl_buf_text(&text),
                  names_off_map(compare) ? " * rests on a point outside the map." : "");
    summary->failed = summary->failed || text.failed;
    swl_buf_free(&text);
}

/* Boost that is not the same makes heat and takes power in itself. */
static void summary_boost(swl_notes *summary, const swl_compare *compare, swl_units units)
{
    const swl_compare_quantity *quantity = &swl_compare_figures[SWL_FIGURE_BOOST];
    swl_compare_value low = {.value = INFINITY, .engine_rpm = NAN};
    swl_compare_value high = {.value = -INFINITY, .engine_rpm = NAN};
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_value *boost = &compare->builds[i].figures[SWL_FIGURE_BOOST];
        if (compare->builds[i].solved) {
            low = boost->value < low.value ? *boost : low;
            high = boost->value > high.value ? *boost : high;
        }
    }
    low.engine_rpm = high.engine_rpm = NAN;
    if (compare->solved < 2 || compare->wish.goal != SWL_COMPARE_AS_FITTED ||
        !swl_compare_differ(quantity, low.value, high.value)) {
        return;
    }
    swl_buf text = {0};
    swl_buf_puts(&text, "As fitted the builds make different boost, ");
    put_figure(&text, quantity, &low, units);
    swl_buf_puts(&text, " to ");
    put_figure(&text, quantity, &high, units);
    swl_notes_add(summary,
                  "%s at its peak, and more boost means more heat and drive power with any unit: --boost or "
                  "--manifold-flow compares them at the same.%s",
                  swl_buf_text(&text), low.on_map && high.on_map ? "" : " * rests on a point outside the map.");
    summary->failed = summary->failed || text.failed;
    swl_buf_free(&text);
}

/* A pulley that was solved where the map's edge is held. */
static void summary_solved(swl_notes *summary, const swl_compare *compare)
{
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_build *one = &compare->builds[i];
        if (one->solved && !one->solved_on_map) {
            swl_notes_add(summary,
                          "The pulley of %c is solved on a point outside its map, at %.0f rpm, where the map's edge is "
                          "held: the pulley, and with it every figure of %c, is a guide only.",
                          letter(i), one->solved_rpm, letter(i));
        }
    }
}

static void summary_outside(swl_notes *summary, const swl_compare *compare)
{
    for (size_t i = 0; i < compare->count; i++) {
        double share = compare->builds[i].figures[SWL_FIGURE_SHARE_OUTSIDE].value;
        if (compare->builds[i].solved && share > 0) {
            swl_notes_add(summary,
                          "%.1f %% of the rev range of %c lies outside its map, where the map's edge is held: its "
                          "figures there are a guide only.",
                          100 * share, letter(i));
        }
    }
}

void swl_notes_compare_summary(swl_notes *summary, const swl_compare_report *report, swl_units units)
{
    const swl_compare *compare = report->compare;
    static const struct {
        size_t figure;
        const char *title;
        const char *better;
    } rows[] = {
        {SWL_FIGURE_DISCHARGE, "Discharge temperature at its highest", "cooler"},
        {SWL_FIGURE_CHARGE, "Charge temperature at its highest", "cooler"},
        {SWL_FIGURE_DRIVE_POWER, "Drive power at its highest", "lower"},
        {SWL_FIGURE_CRANK_POWER, "Estimated crank power at its highest", "higher"},
        {SWL_FIGURE_SPEED_MARGIN, "Rotor speed margin at the rev limit, of the continuous limit", "higher"},
        {SWL_FIGURE_EFFICIENCY_MEAN, "Mean adiabatic efficiency over the rev range", "higher"},
    };
    for (size_t i = 0; i < compare->count; i++) {
        if (!compare->builds[i].solved) {
            swl_buf why = {0};
            swl_report_compare_failure(&why, compare, i, units);
            swl_notes_add(summary, "%c cannot be compared: %s.", letter(i), swl_buf_text(&why));
            summary->failed = summary->failed || why.failed;
            swl_buf_free(&why);
        }
    }
    summary_solved(summary, compare);
    bool any = false;
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        any = sentence(summary, compare, rows[k].figure, rows[k].title, rows[k].better, units) || any;
    }
    if (!any && compare->solved > 1) {
        swl_notes_add(summary, "On none of these is there a difference to build on.");
    }
    summary_limits(summary, compare);
    summary_boost(summary, compare, units);
    summary_outside(summary, compare);
    size_t others = 0;
    for (size_t k = 0; k < report->differences->count; k++) {
        others += !report->differences->items[k].expected;
    }
    if (others > 0) {
        swl_notes_add(summary,
                      "The builds differ in %zu key%s besides the donor unit and its drive, so these figures do not "
                      "compare the donors alone.",
                      others, others == 1 ? "" : "s");
    }
}

/* Adds a note once, with the letters of all builds that have it, or with none where all do. */
static void merge(swl_notes *notes, const swl_notes *own, size_t count, size_t build, size_t item, size_t solved)
{
    bool in[SWL_COMPARE_MOST] = {false};
    size_t n = 0;
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < own[i].count; k++) {
            if (strcmp(own[i].items[k], own[build].items[item]) == 0) {
                if (i < build || (i == build && k < item)) {
                    return;
                }
                n += !in[i];
                in[i] = true;
            }
        }
    }
    swl_buf text = {0};
    if (n < solved) {
        put_letters(&text, in, count);
        swl_buf_puts(&text, ": ");
    }
    swl_notes_add(notes, "%s%s", swl_buf_text(&text), own[build].items[item]);
    notes->failed = notes->failed || text.failed;
    swl_buf_free(&text);
}

static void note_basis(swl_notes *notes, const swl_compare *compare)
{
    const swl_blower *first = &compare->builds[0].build.blower;
    for (size_t i = 1; i < compare->count; i++) {
        if (compare->builds[i].build.blower.efficiency_from != first->efficiency_from) {
            swl_notes_add(notes,
                          "The maps' efficiencies are not of one kind (temperature rise and shaft power): compare "
                          "temperatures and power, not efficiencies.");
            break;
        }
    }
    for (size_t i = 0; i < compare->count; i++) {
        double d_m = compare->builds[i].build.drive.d_blower_m;
        if (compare->builds[i].solved && (d_m < SIZE_MIN_M || d_m > SIZE_MAX_M)) {
            swl_notes_add(notes, "%c: a blower pulley of %.4g mm is outside the 20 mm to 1000 mm of a build file.",
                          letter(i), 1000 * d_m);
        }
    }
}

void swl_notes_compare(swl_notes *notes, const swl_compare *compare, const swl_diags *diags, swl_units units)
{
    swl_notes own[SWL_COMPARE_MOST] = {{0}};
    for (size_t i = 0; i < compare->count; i++) {
        const swl_compare_build *one = &compare->builds[i];
        if (one->solved) {
            swl_notes_check(&own[i], &one->build, &one->check, &diags[i], units);
        }
        notes->failed = notes->failed || own[i].failed;
    }
    for (size_t i = 0; i < compare->count; i++) {
        for (size_t k = 0; k < own[i].count; k++) {
            merge(notes, own, compare->count, i, k, compare->solved);
        }
    }
    note_basis(notes, compare);
    for (size_t i = 0; i < compare->count; i++) {
        swl_notes_free(&own[i]);
    }
}
