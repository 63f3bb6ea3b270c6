#include "report/pulley.h"

#include "report/margin.h"
#include "report/outside.h"

#include <math.h>
#include <string.h>

/* What a goal is counted in, and how it is shown. */
static swl_show goal_show(swl_pulley_goal goal)
{
    switch (goal) {
    case SWL_GOAL_SPEED:
        return SWL_SHOW_BLOWER_SPEED;
    case SWL_GOAL_FLOW:
        return SWL_SHOW_MASS_FLOW;
    case SWL_GOAL_LIMITS:
    case SWL_GOAL_ISLAND:
        return SWL_SHOW_FRACTION;
    case SWL_GOAL_BOOST_AT:
    case SWL_GOAL_BOOST_PEAK:
        break;
    }
    return SWL_SHOW_BOOST;
}

static void put_size(swl_buf *out, const swl_pulley_study *study, double d_m, swl_units units)
{
    swl_shown shown = swl_shown_as(SWL_SHOW_LENGTH, units);
    swl_buf_printf(out, "%.*f %s", shown.decimals, swl_pulley_rounded(study->pulley, d_m * shown.scale, shown.decimals),
                   shown.unit);
}

static void put_limits(swl_buf *out, const swl_pulley_row *row)
{
    if (row->worst == NULL) {
        swl_buf_puts(out, "no limit is given");
    } else if (row->verdict == SWL_EXCEEDED) {
        /* What is lacking has the digits of the margin, less its sign. */
        swl_buf margin = {0};
        swl_margin_put(&margin, 0, row->worst_margin_frac);
        const char *text = swl_buf_text(&margin);
        swl_buf_printf(out, "limits EXCEEDED, most of all %s by %s %%", row->worst, text + strspn(text, "-"));
        out->failed = out->failed || margin.failed;
        swl_buf_free(&margin);
    } else {
        swl_buf_printf(out, "limits %s, least to spare %s with ", swl_verdict_word(row->verdict), row->worst);
        swl_margin_put(out, 0, row->worst_margin_frac);
        swl_buf_puts(out, " %");
    }
}

/* What a size gives, in brackets. */
static void put_gives(swl_buf *out, const swl_pulley_row *row, swl_units units)
{
    if (row->end != SWL_MATCH_SOLVED) {
        swl_buf_printf(out, " (no operating point at %.0f rpm: %s)", row->end_rpm, swl_match_reason(row->end));
        return;
    }
    swl_buf_puts(out, " (peak boost ");
    swl_report_value(out, row->boost_peak_pa, SWL_SHOW_BOOST, units);
    swl_buf_puts(out, "; ");
    put_limits(out, row);
    swl_outside_put(out, &row->tally);
    swl_buf_puts(out, ")");
}

static void put_wanted(swl_buf *out, const swl_pulley_wish *wish, swl_units units)
{
    swl_report_value(out, wish->value, goal_show(wish->goal), units);
    if (wish->goal == SWL_GOAL_BOOST_AT) {
        swl_buf_printf(out, " at %.6g rpm", wish->engine_rpm);
    }
}

static void put_range(swl_buf *out, const swl_pulley_found *found, swl_units units)
{
    swl_report_value(out, fmin(found->slow_m, found->fast_m), SWL_SHOW_LENGTH, units);
    swl_buf_puts(out, " to ");
    swl_report_value(out, fmax(found->slow_m, found->fast_m), SWL_SHOW_LENGTH, units);
}

/* No size searched reaches a limit, or none keeps them all. */
static void failure_limits(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units)
{
    const swl_pulley_found *found = &wish->found;
    if (found->stop == SWL_STOP_FAST_END) {
        swl_buf_puts(out, "every size searched, ");
        put_range(out, found, units);
        swl_buf_puts(out, ", keeps every limit");
        return;
    }
    swl_buf_puts(out, "no size searched, ");
    put_range(out, found, units);
    swl_buf_printf(out, ", keeps every limit; %s is exceeded even with ", found->binds);
    put_size(out, study, found->exact_m, units);
    swl_buf_puts(out, found->stop == SWL_STOP_SLOW_END ? ", which turns the blower slowest: what binds does not depend "
                                                         "on the pulley"
                                                       : ", the slowest that has an operating point");
}

static void failure_nowhere(swl_buf *out, const swl_pulley_wish *wish, swl_units units)
{
    const swl_pulley_found *found = &wish->found;
    swl_buf_puts(out, "no size searched, ");
    put_range(out, found, units);
    if (wish->goal == SWL_GOAL_ISLAND) {
        swl_buf_puts(out, ", puts any of that span on the map");
    } else {
        swl_buf_printf(out, ", has an operating point; at %.0f rpm: %s", found->end_rpm, swl_match_reason(found->end));
    }
}

void swl_pulley_failure_text(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units)
{
    const swl_pulley_found *found = &wish->found;
    if (found->stop == SWL_STOP_FOUND) {
        return;
    }
    if (found->stop == SWL_STOP_NOWHERE) {
        failure_nowhere(out, wish, units);
        return;
    }
    if (wish->goal == SWL_GOAL_LIMITS) {
        failure_limits(out, study, wish, units);
        return;
    }
    bool less = found->stop == SWL_STOP_FAST_END || found->stop == SWL_STOP_FAST_POINT;
    bool at_end = found->stop == SWL_STOP_FAST_END || found->stop == SWL_STOP_SLOW_END;
    swl_buf_puts(out, less ? "no size gives as much; the most is " : "no size gives as little; the least is ");
    swl_report_value(out, found->reached, goal_show(wish->goal), units);
    swl_buf_puts(out, ", with ");
    put_size(out, study, found->exact_m, units);
    put_gives(out, &wish->exact, units);
    if (at_end) {
        swl_buf_puts(out, ". That is the end of the sizes searched, ");
        put_range(out, found, units);
    } else {
        bool smaller = (study->pulley == SWL_PULLEY_CRANK) != less;
        swl_buf_printf(out, ". A %s one has no operating point at %.0f rpm: %s", smaller ? "smaller" : "larger",
                       found->end_rpm, swl_match_reason(found->end));
    }
}

static void put_mean(swl_buf *out, const swl_island_mean *mean)
{
    swl_buf_printf(out, "mean adiabatic efficiency %.1f %%", 100 * mean->eff_frac);
    if (mean->inside_frac < 1 - 1e-9) {
        swl_buf_printf(out, " with %.0f %% of the span on the map", 100 * mean->inside_frac);
    }
}

static void island_found(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units)
{
    const swl_pulley_island *island = &wish->island;
    put_size(out, study, wish->found.exact_m, units);
    swl_buf_puts(out, ", ");
    put_mean(out, &island->peaks[0]);
    swl_buf_printf(out, ", where the map's best point has %.1f %%", 100 * island->map_best_frac);
    put_gives(out, &wish->exact, units);
    if (island->at_end) {
        swl_buf_puts(out, ". It is still improving at the end of the sizes searched, ");
        put_range(out, &wish->found, units);
    }
    for (size_t i = 1; i < island->peak_count; i++) {
        swl_buf_puts(out, i == 1 ? ". Further maxima: " : ", ");
        swl_report_value(out, island->peaks[i].d_m, SWL_SHOW_LENGTH, units);
        swl_buf_printf(out, " with %.1f %%", 100 * island->peaks[i].eff_frac);
    }
    swl_buf_puts(out, ". The build's own ");
    swl_report_value(out, island->own.d_m, SWL_SHOW_LENGTH, units);
    swl_buf_puts(out, ": ");
    put_mean(out, &island->own);
    if (wish->row < study->count) {
        swl_buf_puts(out, ". The best of those listed is ");
        swl_report_value(out, island->listed.d_m, SWL_SHOW_LENGTH, units);
        swl_buf_puts(out, ", ");
        put_mean(out, &island->listed);
        put_gives(out, &study->rows[wish->row], units);
    } else {
        swl_buf_puts(out, ". None of the sizes listed puts any of the span on the map");
    }
}

static void size_found(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units)
{
    put_size(out, study, wish->found.exact_m, units);
    put_gives(out, &wish->exact, units);
    if (wish->found.binds != NULL) {
        swl_buf_printf(out, "; %s decides", wish->found.binds);
    } else if (wish->goal == SWL_GOAL_LIMITS) {
        bool crank = study->pulley == SWL_PULLEY_CRANK;
        swl_buf_printf(out, "; no limit decides: a %s one has no operating point at %.0f rpm: %s",
                       crank ? "larger" : "smaller", wish->found.end_rpm, swl_match_reason(wish->found.end));
    }
    if (wish->row < study->count) {
        swl_buf_puts(out, ". The nearest listed that turns the blower no faster is ");
        swl_report_value(out, study->rows[wish->row].d_m, SWL_SHOW_LENGTH, units);
        put_gives(out, &study->rows[wish->row], units);
    } else {
        swl_buf_puts(out, ". None of the sizes listed turns the blower as slowly");
    }
}

static void put_goal(swl_buf *out, const swl_pulley_wish *wish, swl_units units)
{
    swl_buf_puts(out, wish->words);
    if (wish->goal == SWL_GOAL_ISLAND) {
        swl_buf_printf(out, ", %.6g to %.6g rpm%s", wish->span.from_rpm, wish->span.to_rpm,
                       wish->span.weight == NULL ? "" : ", weighted");
    } else if (wish->goal != SWL_GOAL_LIMITS) {
        swl_buf_puts(out, ", ");
        put_wanted(out, wish, units);
    }
    swl_buf_puts(out, ": ");
}

void swl_pulley_wish_text(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units)
{
    put_goal(out, wish, units);
    if (wish->found.stop != SWL_STOP_FOUND) {
        swl_pulley_failure_text(out, study, wish, units);
    } else if (wish->goal == SWL_GOAL_ISLAND) {
        island_found(out, study, wish, units);
    } else {
        size_found(out, study, wish, units);
    }
    swl_buf_puts(out, ".");
}

void swl_report_pulley_wish(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units)
{
    put_goal(out, wish, units);
    if (wish->found.stop != SWL_STOP_FOUND) {
        swl_buf_puts(out, wish->goal == SWL_GOAL_LIMITS ? "none" : "no size gives it");
        return;
    }
    put_size(out, study, wish->found.exact_m, units);
    if (wish->goal == SWL_GOAL_ISLAND) {
        swl_buf_printf(out, ", %.1f %%%s", 100 * wish->island.peaks[0].eff_frac,
                       wish->island.at_end ? ", still improving at the end of the search" : "");
    }
    if (wish->exact.end != SWL_MATCH_SOLVED) {
        swl_buf_puts(out, ", with no operating point at some speeds");
    } else if (wish->exact.verdict == SWL_EXCEEDED) {
        swl_buf_printf(out, ", EXCEEDS %s", wish->exact.worst);
    } else if (wish->found.binds != NULL) {
        swl_buf_printf(out, ", %s decides", wish->found.binds);
    }
    if (wish->exact.tally.outside > 0) {
        swl_buf_printf(out, ", %s outside the map",
                       wish->exact.tally.outside == wish->exact.tally.points ? "the whole line" : "part of the line");
    }
}
