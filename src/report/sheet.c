#include "report/sheet.h"

#include "report/limits.h"
#include "report/value.h"
#include "report/water.h"

#include "sweptline/version.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

char swl_sheet_letter(size_t build)
{
    return (char)('A' + (int)build);
}

static void job_row(swl_buf *out, const char *term, const char *words)
{
    swl_buf_printf(out, "<dt>%s</dt><dd>", term);
    swl_html_text(out, words);
    swl_buf_puts(out, "</dd>\n");
}

static void put_job(swl_buf *out, const swl_sheet *sheet, size_t i)
{
    const swl_sheet_build *one = &sheet->builds[i];
    const swl_build *build = one->build;
    swl_buf unit = {0};
    swl_buf site = {0};
    swl_buf drive = {0};
    swl_put_unit(&unit, &build->blower, sheet->units);
    swl_report_site(&site, &build->site, sheet->units);
    swl_put_drive(&drive, build, one->check != NULL ? one->check->drive_ratio : (double)NAN, sheet->units);
    swl_buf_puts(out, "<dl class=\"job\">\n");
    if (sheet->count > 1) {
        swl_buf_printf(out, "<dt>Build %c</dt><dd><strong>", swl_sheet_letter(i));
        swl_html_text(out, build->name);
        swl_buf_puts(out, "</strong></dd>\n");
    }
    if (build->note[0] != '\0') {
        job_row(out, "Note", build->note);
    }
    job_row(out, "Unit", swl_buf_text(&unit));
    job_row(out, "Site", swl_buf_text(&site));
    job_row(out, "Drive", swl_buf_text(&drive));
    job_row(out, "File", strcmp(one->file, "-") == 0 ? "standard input" : one->file);
    swl_buf_puts(out, "</dl>\n");
    out->failed = out->failed || unit.failed || site.failed || drive.failed;
    swl_buf_free(&unit);
    swl_buf_free(&site);
    swl_buf_free(&drive);
}

/* What was exceeded or is close, in words behind the count. */
static void put_named(swl_buf *out, const swl_check *check, swl_verdict verdict, const char *head, swl_units units)
{
    const char *separator = head;
    for (size_t i = 0; i < check->limit_count; i++) {
        if (check->limits[i].verdict == verdict) {
            swl_buf_printf(out, "%s%s ", separator, check->limits[i].words);
            swl_report_limit(out, &check->limits[i], units);
            separator = ", ";
        }
    }
    swl_buf_puts(out, separator == head ? "" : ".");
}

/* What the verdicts rest on and what they leave out. */
static void put_doubts(swl_buf *words, const swl_build *build, const swl_check *check, const swl_line_tally *tally)
{
    size_t starred = 0;
    for (size_t i = 0; i < check->limit_count; i++) {
        starred += !check->limits[i].on_map;
    }
    if (tally->without_boost > 0) {
        swl_buf_printf(words, " NO BOOST at %zu of %zu points: the blower turns too slowly for this engine there.",
                       tally->without_boost, tally->points);
    }
    if (starred > 0) {
        swl_buf_printf(words, " %zu of the limits rest%s on points outside the map.", starred, starred == 1 ? "s" : "");
    }
    if (isnan(build->blower.continuous_rpm) && isnan(build->blower.short_time_rpm)) {
        swl_buf_puts(words, " ROTOR SPEED HAS NOT BEEN CHECKED: the unit file states no limit.");
    }
    if (swl_belt_left_words(build) != NULL) {
        swl_buf_printf(words, " %s", swl_belt_left_words(build));
    }
}

static void put_result(swl_buf *out, const swl_sheet *sheet, size_t i)
{
    static const char *const classes[] = {"kept", "close", "over"};
    const swl_check *check = sheet->builds[i].check;
    size_t tally[3] = {0, 0, 0};
    if (check == NULL) {
        swl_buf why = {0};
        swl_report_compare_failure(&why, sheet->report->compare, i, sheet->units);
        swl_buf_printf(out, "<p class=\"result over\"><b>%c: NOT SOLVED</b><span class=\"say\">", swl_sheet_letter(i));
        swl_html_text(out, swl_buf_text(&why));
        swl_buf_puts(out, "</span></p>\n");
        swl_buf_free(&why);
        return;
    }
    for (size_t k = 0; k < check->limit_count; k++) {
        tally[check->limits[k].verdict]++;
    }
    swl_verdict worst = tally[SWL_EXCEEDED] > 0 ? SWL_EXCEEDED : tally[SWL_CLOSE] > 0 ? SWL_CLOSE : SWL_KEPT;
    swl_buf words = {0};
    if (check->limit_count == 0) {
        swl_buf_puts(&words, "No limit is given, so none was checked.");
    } else {
        swl_limits_counted(&words, tally, "");
        swl_buf_puts(&words, ".");
    }
    put_named(&words, check, SWL_EXCEEDED, " Exceeded: ", sheet->units);
    put_named(&words, check, SWL_CLOSE, " Close: ", sheet->units);
    swl_line_tally points = swl_check_tally(check);
    put_doubts(&words, sheet->builds[i].build, check, &points);
    /* A line without boost is not what was wanted, even where every limit is kept. */
    bool doubted = points.without_boost > 0 && worst == SWL_KEPT;
    swl_buf_printf(out, "<p class=\"result %s\"><b>", classes[doubted ? SWL_CLOSE : worst]);
    if (sheet->count > 1) {
        swl_buf_printf(out, "%c: ", swl_sheet_letter(i));
    }
    if (check->limit_count > 0) {
        swl_html_verdict(out, worst, true);
    }
    if (points.without_boost > 0) {
        swl_buf_puts(out, check->limit_count > 0 ? ", NO BOOST" : "NO BOOST");
    }
    swl_buf_puts(out, "</b><span class=\"say\">");
    swl_html_text(out, swl_buf_text(&words));
    swl_buf_puts(out, "</span></p>\n");
    out->failed = out->failed || words.failed;
    swl_buf_free(&words);
}

/* Of several builds a note begins with the letters of those that it is true of. */
static bool tells_outside(const char *note)
{
    static const char head[] = "Outside the map";
    const char *colon = strstr(note, ": ");
    bool named = colon != NULL && colon - note <= 12 && strncmp(colon + 2, head, sizeof head - 1) == 0;
    return named || strncmp(note, head, sizeof head - 1) == 0;
}

/* Those notes that tell of points outside the map, or the others. */
static size_t put_notes(swl_buf *out, const swl_notes *notes, bool outside)
{
    swl_notes some = {.items = calloc(notes->count + 1, sizeof *some.items)};
    if (some.items == NULL) {
        out->failed = true;
        return 0;
    }
    for (size_t i = 0; i < notes->count; i++) {
        if (tells_outside(notes->items[i]) == outside) {
            some.items[some.count++] = notes->items[i];
        }
    }
    swl_html_list(out, &some);
    free(some.items);
    return some.count;
}

static void put_advice(swl_buf *out, const swl_sheet *sheet)
{
    swl_buf_puts(out, sheet->count > 1 ? "<div class=\"pair\">\n" : "");
    for (size_t i = 0; i < sheet->count; i++) {
        swl_notes advice = {0};
        if (sheet->builds[i].check == NULL) {
            continue;
        }
        swl_notes_advice(&advice, sheet->builds[i].check, sheet->units);
        if (sheet->count > 1) {
            swl_buf_printf(out, "<div><p>%c</p>\n", swl_sheet_letter(i));
        }
        swl_html_list(out, &advice);
        swl_buf_puts(out, sheet->count > 1 ? "</div>\n" : "");
        out->failed = out->failed || advice.failed;
        swl_notes_free(&advice);
    }
    swl_buf_puts(out, sheet->count > 1 ? "</div>\n" : "");
}

/* The water circuit's ranges, a line each. */
static void put_water(swl_buf *out, const swl_sheet *sheet, size_t i)
{
    swl_buf text = {0};
    swl_water_text(&text, sheet->builds[i].build, sheet->builds[i].check, sheet->units);
    swl_slice rest = swl_slice_of(swl_buf_text(&text));
    while (rest.at != NULL) {
        char *line = swl_slice_dup(swl_slice_split(&rest, '\n'));
        if (line == NULL) {
            out->failed = true;
            break;
        }
        if (line[0] != '\0') {
            swl_html_paragraph(out, NULL, line);
        }
        free(line);
    }
    out->failed = out->failed || text.failed;
    swl_buf_free(&text);
}

static swl_status put_pictures(swl_buf *out, const swl_sheet *sheet, swl_err *err)
{
    swl_status status = SWL_OK;
    swl_html_heading(out, 2, "map", sheet->count > 1 ? "Maps, on one scale" : "Map");
    swl_html_paragraph(
        out, "soft",
        "Bands: adiabatic efficiency, light is good. Dashes: blower speed. Thick: the engine at wide-open "
        "throttle, dashed outside the map's data. Red: limits, hatched on the side where you must not "
        "be. The same numbers stand in the table of the operating line.");
    swl_buf_puts(out, sheet->count > 1 ? "<div class=\"pair\">\n" : "");
    for (size_t i = 0; i < sheet->count && status == SWL_OK; i++) {
        status = swl_sheet_map(out, sheet, i, err);
    }
    swl_buf_puts(out, sheet->count > 1 ? "</div>\n" : "");
    if (status == SWL_OK) {
        swl_html_heading(out, 2, "curves", "Over engine speed");
        status = swl_sheet_curves(out, sheet, err);
    }
    return status;
}

static void put_tables(swl_buf *out, const swl_sheet *sheet)
{
    if (sheet->report != NULL) {
        swl_html_heading(out, 2, "compared", "A against B");
        swl_html_list(out, sheet->report->summary);
        swl_sheet_differences(out, sheet);
        swl_sheet_values(out, sheet);
    }
    swl_html_heading(out, 2, "numbers", "Numbers");
    for (size_t i = 0; i < sheet->count; i++) {
        if (sheet->builds[i].check != NULL) {
            swl_sheet_line(out, sheet, i);
        }
    }
    for (size_t i = 0; i < sheet->count; i++) {
        if (sheet->builds[i].check != NULL) {
            /* A sheet of one build tells where the power goes. */
            if (sheet->count == 1) {
                swl_sheet_power(out, sheet, i);
            }
            put_water(out, sheet, i);
        }
    }
    swl_buf_puts(out, sheet->count > 1 ? "<div class=\"columns\">\n" : "");
    swl_sheet_speeds(out, sheet);
    if (sheet->report != NULL) {
        swl_sheet_figures(out, sheet);
    }
    swl_buf_puts(out, sheet->count > 1 ? "</div>\n" : "");
}

static void put_words(swl_buf *out, const swl_sheet *sheet)
{
    swl_html_heading(out, 2, "outside", "Outside the map");
    size_t outside = put_notes(out, sheet->notes, true);
    size_t points = 0;
    for (size_t i = 0; i < sheet->count; i++) {
        points += sheet->builds[i].check == NULL ? 0 : swl_check_tally(sheet->builds[i].check).outside;
    }
    if (outside == 0) {
        swl_html_paragraph(out, NULL,
                           points == 0 ? "No point of an operating line lies outside the map's data."
                                       : "Points outside the map's data are marked in the tables.");
    }
    if (outside < sheet->notes->count) {
        swl_html_heading(out, 2, "notes", "Notes");
        (void)put_notes(out, sheet->notes, false);
    }
    swl_html_heading(out, 2, "caution", "Caution");
    swl_html_paragraph(out, NULL, swl_report_caution());
}

static void put_inputs(swl_buf *out, const swl_sheet *sheet)
{
    swl_html_heading(out, 2, "inputs", "Inputs");
    swl_buf_puts(out, "<div class=\"columns\">\n");
    swl_sheet_inputs(out, sheet);
    swl_buf_puts(out, "</div>\n");
}

static void put_colophon(swl_buf *out, const swl_sheet *sheet)
{
    swl_buf_puts(out, "<footer>\n");
    swl_html_heading(out, 2, "colophon", "Colophon");
    swl_sheet_files(out, sheet);
    swl_buf_puts(out, "<p class=\"soft\">");
    swl_html_printf(out, "Made by sweptline %s; drawn by %s. ", SWL_VERSION, sheet->drawn_by);
    if (sheet->date != NULL) {
        swl_buf_puts(out, "Date: ");
        swl_html_text(out, sheet->date);
        swl_buf_puts(out, ".");
    } else {
        swl_buf_puts(out, "No date was asked for, so the same files give the same sheet.");
    }
    swl_buf_puts(out, "</p>\n</footer>\n<div id=\"tip\" hidden=\"hidden\" aria-hidden=\"true\"></div>\n");
}

swl_status swl_report_sheet(swl_buf *out, const swl_sheet *sheet, swl_err *err)
{
    swl_buf style = {0};
    swl_buf title = {0};
    swl_buf_puts(&style, swl_html_style);
    swl_buf_puts(&style, swl_sheet_style);
    swl_buf_puts(&title, sheet->builds[0].build->name);
    if (sheet->count > 1) {
        bool fitted = sheet->report->compare->wish.goal == SWL_COMPARE_AS_FITTED;
        swl_buf_printf(&title, " and %s, compared %s", sheet->builds[1].build->name, fitted ? "" : "at ");
        swl_report_compare_goal(&title, sheet->report->compare, sheet->units);
    }
    swl_html_page page = {
        .title = swl_buf_text(&title), .style = swl_buf_text(&style), .script = swl_sheet_script, .policy = ""};
    swl_html_open(out, &page);
    swl_buf_puts(out, "<header>\n");
    swl_html_heading(out, 1, NULL, swl_buf_text(&title));
    swl_buf_puts(out, sheet->count > 1 ? "<div class=\"pair\">\n" : "");
    for (size_t i = 0; i < sheet->count; i++) {
        put_job(out, sheet, i);
    }
    swl_buf_puts(out, sheet->count > 1 ? "</div>\n" : "");
    swl_buf_puts(out, "</header>\n");
    swl_html_heading(out, 2, "verdicts", "Verdicts");
    for (size_t i = 0; i < sheet->count; i++) {
        put_result(out, sheet, i);
    }
    swl_sheet_verdicts(out, sheet);
    put_advice(out, sheet);
    swl_status status = put_pictures(out, sheet, err);
    put_tables(out, sheet);
    put_words(out, sheet);
    put_inputs(out, sheet);
    put_colophon(out, sheet);
    swl_html_close(out, &page);
    out->failed = out->failed || style.failed || title.failed;
    swl_buf_free(&style);
    swl_buf_free(&title);
    return status == SWL_OK ? swl_buf_status(out, err) : status;
}
