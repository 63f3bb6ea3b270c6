#include "report/outside.h"

#include <stdio.h>
#include <string.h>

#define GUIDE "The map's edge values are held there, so those rows are a guide only."
#define TOO_LOW                                                                                                        \
    "The map's edge values are held there; beyond this edge efficiency usually falls, so temperature and power come "  \
    "out too low."

const swl_outside_side swl_outside_sides[SWL_MAP_SIDES] = {
    {SWL_MAP_BELOW_SLOWEST, "slower than the map's slowest line", "slower than its lines", GUIDE, false},
    {SWL_MAP_ABOVE_FASTEST, "faster than the map's fastest line", "faster than its lines", TOO_LOW, true},
    {SWL_MAP_BELOW_RATIO, "below the pressure ratios of the lines around it", "below its pressure ratios", GUIDE,
     false},
    {SWL_MAP_ABOVE_RATIO, "above the pressure ratios of the lines around it", "above its pressure ratios", TOO_LOW,
     true},
};

void swl_outside_put(swl_buf *out, const swl_line_tally *tally)
{
    if (tally->without_boost > 0) {
        swl_buf_printf(out, "; NO BOOST at %zu of %zu engine speeds", tally->without_boost, tally->points);
    }
    if (tally->outside == 0) {
        return;
    }
    swl_buf_printf(out, "; %s outside the map",
                   tally->outside == tally->points ? "the whole line" : "part of the line");
    const char *separator = ", ";
    bool low = false;
    for (size_t k = 0; k < SWL_MAP_SIDES; k++) {
        if (tally->on_side[k] > 0) {
            swl_buf_printf(out, "%s%s", separator, swl_outside_sides[k].side);
            separator = " and ";
            low = low || swl_outside_sides[k].low;
        }
    }
    swl_buf_puts(out, low ? ", so temperature and power come out too low" : ", a guide only");
}

typedef size_t count_of(const swl_line_tally *tally, size_t side);

static size_t count_side(const swl_line_tally *tally, size_t side)
{
    return tally->on_side[side];
}

static size_t count_no_boost(const swl_line_tally *tally, size_t side)
{
    (void)side;
    return tally->without_boost;
}

static size_t count_driven(const swl_line_tally *tally, size_t side)
{
    (void)side;
    return tally->driven;
}

/* 2: true of the whole line, 1 of a part, 0 of none. */
static int share(const swl_told_line *line, count_of *counted, size_t side)
{
    size_t n = counted(line->tally, side);
    return n == 0 ? 0 : n < line->tally->points ? 1 : 2;
}

/* "the whole line with 70 mm to 76 mm; part of it with 78 mm". Returns: whether there is any. */
static bool put_lines(swl_buf *out, const char *with, const swl_told_line *lines, size_t count, bool runs,
                      count_of *counted, size_t side)
{
    const char *head[] = {NULL, "part of the line", "the whole line"};
    bool any = false;
    for (int wanted = 2; wanted > 0; wanted--) {
        const char *separator = any ? "; " : "";
        for (size_t i = 0; i < count; i++) {
            if (share(&lines[i], counted, side) != wanted) {
                continue;
            }
            bool first = separator[0] != ',';
            swl_buf_printf(out, "%s%s%s%s%s%s", separator, first ? head[wanted] : "", first ? " " : "",
                           first ? with : "", first ? " " : "", lines[i].name);
            separator = ", ";
            any = true;
            size_t from = i;
            while (runs && i + 1 < count && share(&lines[i + 1], counted, side) == wanted) {
                i++;
            }
            if (i > from) {
                swl_buf_printf(out, " to %s", lines[i].name);
            }
        }
    }
    return any;
}

static void note(swl_notes *notes, const char *before, const swl_buf *lines, const char *after)
{
    swl_notes_add(notes, "%s%s. %s", before, swl_buf_text(lines), after);
    notes->failed = notes->failed || lines->failed;
}

void swl_notes_told(swl_notes *notes, const char *with, const swl_told_line *lines, size_t count, bool runs)
{
    swl_buf text = {0};
    if (put_lines(&text, with, lines, count, runs, count_no_boost, 0)) {
        note(notes, "NO BOOST on ", &text,
             "The blower turns too slowly for this engine there and holds it back. Check the pulleys (crank and blower "
             "swapped?), the unit's displacement and the flow's unit.");
    }
    swl_buf_free(&text);
    if (put_lines(&text, with, lines, count, runs, count_driven, 0)) {
        note(notes, "Drive power is below zero on ", &text, "The air drives the blower there.");
    }
    swl_buf_free(&text);
    for (size_t k = 0; k < SWL_MAP_SIDES; k++) {
        if (put_lines(&text, with, lines, count, runs, count_side, k)) {
            char before[120];
            (void)snprintf(before, sizeof before, "Outside the map, %s: ", swl_outside_sides[k].words);
            note(notes, before, &text, swl_outside_sides[k].bias);
        }
        swl_buf_free(&text);
    }
}
