#include "sweptline/report.h"

#include "report/log_columns.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { GROUPS = 3 };

static void text_head(swl_buf *out, const swl_build *build, const char *run_name, const swl_run *run,
                      const swl_log *log)
{
    swl_buf_puts(out, "Build   ");
    swl_report_wrap(out, build->name, SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_printf(out, "Unit    %s\nRun     ", build->blower.name);
    swl_buf text = {0};
    swl_buf_printf(&text, "%s: %zu row%s read, %zu used", run_name, run->rows_read, run->rows_read == 1 ? "" : "s",
                   log->count);
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH - 8, "        ");
    swl_buf_free(&text);
}

static void alarm_exceeded(swl_buf *text, const swl_log_limit *limit, swl_units units)
{
    swl_buf_printf(text, "MEASURED OVER ITS LIMIT: %s, ", limit->row.words);
    swl_report_value(text, limit->row.value, limit->row.show, units);
    swl_buf_printf(text, " at %.0f rpm (line %d) where ", limit->row.engine_rpm, limit->line);
    swl_report_value(text, limit->row.limit, limit->row.show, units);
    swl_buf_printf(text, " is the limit; %zu row%s above it.", limit->over, limit->over == 1 ? " is" : "s are");
}

static void alarm_unjudged(swl_buf *text, const swl_log_limit *limit, int gauge, swl_units units)
{
    swl_buf_printf(text, "NOT JUDGED: %s, where ", limit->row.words);
    swl_report_value(text, limit->row.limit, limit->row.show, units);
    swl_buf_puts(text, " is the limit. It reaches ");
    swl_report_value(text, limit->row.value, limit->row.show, units);
    swl_buf_printf(text, " at %.0f rpm (line %d) as the column is headed, but ", limit->row.engine_rpm, limit->line);
    swl_report_value(text, limit->otherwise, limit->row.show, units);
    swl_buf_printf(text, " if its pressures are %s, as they look.", gauge < 0 ? "gauge" : "absolute");
}

/* A measured value over its limit, or one that cannot be held against it, is said before anything else. */
static void text_alarm(swl_buf *out, const swl_log *log, swl_units units, bool colour)
{
    for (size_t i = 0; i < log->limit_count; i++) {
        const swl_log_limit *limit = &log->limits[i];
        swl_buf text = {0};
        if (!limit->judged) {
            alarm_unjudged(&text, limit, log->gauge, units);
        } else if (limit->row.verdict == SWL_EXCEEDED) {
            alarm_exceeded(&text, limit, units);
        } else {
            continue;
        }
        swl_buf_puts(out, colour ? "\033[1;31m" : "");
        swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
        swl_buf_puts(out, colour ? "\033[0m" : "");
        swl_buf_free(&text);
    }
}

static void text_alarm_predicted(swl_buf *out, const swl_check *check, swl_units units)
{
    for (size_t i = 0; i < check->limit_count; i++) {
        const swl_limit_row *row = &check->limits[i];
        if (row->verdict != SWL_EXCEEDED) {
            continue;
        }
        swl_buf text = {0};
        swl_buf_printf(&text, "Predicted over its limit: %s, ", row->words);
        swl_report_value(&text, row->value, row->show, units);
        swl_buf_printf(&text, " at %.0f rpm where ", row->engine_rpm);
        swl_report_value(&text, row->limit, row->show, units);
        swl_buf_puts(&text, " is the limit.");
        swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
        swl_buf_free(&text);
    }
}

static void put_number(swl_buf *out, int width, double value, int decimals, bool sign)
{
    if (isnan(value)) {
        swl_buf_printf(out, "%*s", width, "-");
    } else {
        swl_buf_printf(out, sign ? "%+*.*f" : "%*.*f", width, decimals, value);
    }
}

/* Boost, not absolute pressure, is what is shown of the manifold. */
static double shown_shift_pa(const swl_build *build, size_t kind)
{
    return kind == SWL_LOG_MANIFOLD_PRESSURE ? build->site.p_pa : 0;
}

static swl_show shown_as(size_t kind)
{
    return kind == SWL_LOG_MANIFOLD_PRESSURE ? SWL_SHOW_BOOST : swl_log_columns[kind].show;
}

static void bins_head(swl_buf *out, const size_t *kinds, size_t count, swl_units units)
{
    swl_buf_printf(out, "%6s%6s", "engine", "rows");
    for (size_t g = 0; g < count; g++) {
        char head[64];
        (void)snprintf(head, sizeof head, "%s, %s", swl_log_columns[kinds[g]].top,
                       swl_shown_as(shown_as(kinds[g]), units).unit);
        swl_buf_printf(out, "%23s", head);
    }
    swl_buf_printf(out, "\n%6s%6s", "rpm", "");
    for (size_t g = 0; g < count; g++) {
        swl_buf_printf(out, "%9s%7s%7s", "meas.", "pred.", "diff.");
    }
    swl_buf_puts(out, "\n");
}

static void bins_table(swl_buf *out, const swl_build *build, const swl_log *log, const size_t *kinds, size_t count,
                       swl_units units)
{
    bins_head(out, kinds, count, units);
    for (size_t i = 0; i < log->bin_count; i++) {
        const swl_log_bin *bin = &log->bins[i];
        swl_buf_printf(out, "%6.0f%6zu", bin->engine_rpm, bin->count);
        for (size_t g = 0; g < count; g++) {
            size_t k = kinds[g];
            swl_show show = shown_as(k);
            double shift = shown_shift_pa(build, k);
            swl_shown shown = swl_shown_as(show, units);
            put_number(out, 9, swl_shown_value(bin->measured[k] - shift, show, units), shown.decimals, false);
            put_number(out, 7, swl_shown_value(bin->predicted[k] - shift, show, units), shown.decimals, false);
            put_number(out, 7, (bin->measured[k] - bin->predicted[k]) * shown.scale, shown.decimals, true);
        }
        swl_buf_puts(out, "\n");
    }
}

static void text_bins(swl_buf *out, const swl_build *build, const swl_log *log, swl_units units)
{
    size_t kinds[SWL_LOG_KINDS];
    size_t count = 0;
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        if (log->has[k]) {
            kinds[count++] = k;
        }
    }
    swl_buf_puts(out, "\nMeasured beside predicted, means of the rows about each engine speed\n");
    for (size_t from = 0; from < count; from += GROUPS) {
        swl_buf_puts(out, from > 0 ? "\n" : "");
        bins_table(out, build, log, kinds + from, count - from < GROUPS ? count - from : GROUPS, units);
    }
}

static void text_residuals(swl_buf *out, const swl_log *log, swl_units units)
{
    swl_buf_printf(out, "\nMeasured less predicted\n%-22s%6s%9s%7s%9s%9s%9s%8s%13s\n%-22s%6s%9s%7s%9s%9s%9s%8s%13s\n",
                   "", "rows", "mean", "mean", "r.m.s.", "noise", "worst", "at", "the best fit", "", "", "", "%", "",
                   "assumed", "", "rpm", "leaves");
    for (size_t k = 0; k < SWL_LOG_KINDS; k++) {
        const swl_log_residual *left = &log->residuals[k];
        if (left->count == 0) {
            continue;
        }
        swl_shown shown = swl_shown_as(swl_log_columns[k].difference, units);
        swl_buf_printf(out, "%-22s%6zu", swl_log_columns[k].words, left->count);
        put_number(out, 9, left->mean * shown.scale, shown.decimals, true);
        put_number(out, 7, left->mean_frac * 100, 1, true);
        put_number(out, 9, left->rms * shown.scale, shown.decimals, false);
        put_number(out, 9, left->sigma_mean * shown.scale, shown.decimals, false);
        put_number(out, 9, left->worst * shown.scale, shown.decimals, true);
        swl_buf_printf(out, "%8.0f", left->worst_rpm);
        put_number(out, 13, left->mean_after * shown.scale, shown.decimals, true);
        swl_buf_printf(out, " %s\n", shown.unit);
    }
}

/* width 0: nothing follows on the line. */
static void fit_value(swl_buf *out, const swl_log_value *value, int width)
{
    const swl_fit_column *column = &swl_fit_columns[value->parameter];
    swl_buf text = {0};
    swl_buf_printf(&text, "%s %.*f", column->words, column->decimals, value->value * column->scale);
    if (!value->at_bound && isfinite(value->half_width)) {
        swl_buf_printf(&text, " +- %.*f", column->decimals, value->half_width * column->scale);
    }
    swl_buf_printf(&text, "%s%s%s", column->unit[0] == '\0' ? "" : " ", column->unit,
                   value->at_bound ? ", at its bound" : "");
    swl_buf_printf(out, "%-*s", width, swl_buf_text(&text));
    swl_buf_free(&text);
}

/* What stands behind the numbers of a fit. */
static const char *fit_mark(const swl_log_fit *fit, bool best)
{
    bool bound = false;
    for (size_t k = 0; k < fit->count; k++) {
        bound = bound || fit->values[k].at_bound;
    }
    return bound ? " held" : !fit->stands ? " unsure" : best ? " <- best" : !fit->converged ? " unsettled" : "";
}

static void text_fit(swl_buf *out, const swl_log_fit *fit, bool best)
{
    swl_buf_printf(out, "%-26s", fit->words);
    if (fit->failure != NULL) {
        swl_buf_printf(out, "not fitted: %s\n", fit->failure);
        return;
    }
    if (fit->count == 0) {
        swl_buf_printf(out, "%-46s", "");
    }
    for (size_t k = 0; k < fit->count || k == 0; k++) {
        if (k > 0) {
            swl_buf_printf(out, "%-26s", "");
        }
        if (k < fit->count) {
            fit_value(out, &fit->values[k], k == 0 ? 46 : 0);
        }
        if (k == 0) {
            put_number(out, 9, fit->chi2, 1, false);
            put_number(out, 9, fit->aicc, 1, false);
            swl_buf_printf(out, "%s\n", fit_mark(fit, best));
        } else {
            swl_buf_puts(out, "\n");
        }
    }
}

static void text_fits(swl_buf *out, const swl_log *log)
{
    swl_buf_printf(out, "\nWhat explains the difference: least squares over %zu reading%s, +- is 95 %%\n%-72s%9s%9s\n",
                   log->fits[0].readings, log->fits[0].readings == 1 ? "" : "s", "", "chi2", "AICc");
    /* The build unchanged is no best when it does not fit either. */
    bool any = log->best > 0 || log->agrees;
    for (size_t i = 0; i < log->fit_count; i++) {
        text_fit(out, &log->fits[i], any && i == log->best);
    }
    if (log->fits_made == 0) {
        return;
    }
    swl_buf text = {0};
    swl_buf_puts(&text, "AICc is chi2");
    if (log->spread > 1) {
        swl_buf_printf(&text, "/%.4g (the least that a fit leaves of it for each reading to spare)", log->spread);
    }
    swl_buf_puts(&text, " plus about 2 for each value fitted; the lowest counts.");
    swl_buf_puts(&text, " A fit held at a bound, or unsure (its +- reaches the build's own value), is not taken.");
    swl_report_wrap(out, swl_buf_text(&text), SWL_PAGE_WIDTH, "");
    swl_buf_free(&text);
}

static void text_sentences(swl_buf *out, const char *head, const swl_notes *sentences)
{
    out->failed = out->failed || sentences->failed;
    if (sentences->count == 0) {
        return;
    }
    swl_buf_printf(out, "\n%s\n", head);
    for (size_t i = 0; i < sentences->count; i++) {
        swl_buf_puts(out, "- ");
        swl_report_wrap(out, sentences->items[i], SWL_PAGE_WIDTH - 2, "  ");
    }
}

static void text_adopt(swl_buf *out, const swl_log *log)
{
    swl_notes lines = {0};
    swl_log_adopt(&lines, log);
    out->failed = out->failed || lines.failed;
    if (lines.count > 0) {
        swl_buf_printf(out, "\nTo adopt the best fit%s, put into the build file\n",
                       log->best_margin < SWL_LOG_AHEAD ? ", one of those that are not told apart" : "");
    } else if (log->best > 0 && log->fits[log->best].cause != SWL_CAUSE_SLIP_ONSET) {
        swl_buf_puts(out, "\nThe best fit is not sure enough to be put into the build file.\n");
    }
    for (size_t i = 0; i < lines.count; i++) {
        swl_buf_printf(out, "  %s\n", lines.items[i]);
    }
    if (log->fits[log->best].cause == SWL_CAUSE_SLIP_ONSET) {
        swl_buf_puts(out, "\nNo key states a slip that grows with speed: see to the belt drive, not to the file.\n");
    }
    swl_notes_free(&lines);
}

static void text_limits(swl_buf *out, const swl_check *check, const swl_log *log, swl_units units)
{
    if (log->limit_count > 0) {
        swl_buf_printf(out, "\nLimits against every row of the run\n%-42s%11s%11s%11s%9s\n", "", "measured", "limit",
                       "spare", "at rpm");
    }
    for (size_t i = 0; i < log->limit_count; i++) {
        const swl_limit_row *row = &log->limits[i].row;
        bool judged = log->limits[i].judged;
        swl_shown shown = swl_shown_as(row->show, units);
        swl_buf_printf(out, "%-42s%11.*f%11.*f", row->words, shown.decimals,
                       swl_shown_value(row->value, row->show, units), shown.decimals,
                       swl_shown_value(row->limit, row->show, units));
        put_number(out, 11, judged ? (row->limit - row->value) * shown.scale : (double)NAN, shown.decimals, false);
        swl_buf_printf(out, "%9.0f %s %s\n", row->engine_rpm, shown.unit,
                       !judged                        ? "NOT JUDGED"
                       : row->verdict == SWL_EXCEEDED ? "EXCEEDED"
                                                      : swl_verdict_word(row->verdict));
    }
    swl_buf_printf(out, "%sOf the prediction's limits %s; check tells them all.\n", log->limit_count > 0 ? "" : "\n",
                   check->limit_count == 0 ? "none is given"
                   : check->exceeded       ? "one or more is exceeded"
                                           : "none is exceeded");
}

void swl_report_log_text(swl_buf *out, const swl_build *build, const char *run_name, const swl_run *run,
                         const swl_check *check, const swl_log *log, const swl_notes *notes, swl_units units,
                         bool colour)
{
    swl_notes finding = {0};
    swl_log_finding(&finding, build, log, units);
    text_alarm(out, log, units, colour);
    text_alarm_predicted(out, check, units);
    swl_buf_puts(out, out->len > 0 ? "\n" : "");
    text_head(out, build, run_name, run, log);
    text_bins(out, build, log, units);
    text_residuals(out, log, units);
    text_fits(out, log);
    text_sentences(out, "Finding", &finding);
    text_adopt(out, log);
    text_limits(out, check, log, units);
    text_sentences(out, "Notes", notes);
    swl_buf_puts(out, "\n");
    swl_report_wrap(out, swl_report_caution(), SWL_PAGE_WIDTH, "");
    swl_notes_free(&finding);
}
