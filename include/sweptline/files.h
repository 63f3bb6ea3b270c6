/* Build files, unit files and map tables; writing results. */
#ifndef SWEPTLINE_FILES_H
#define SWEPTLINE_FILES_H

#include "sweptline/build.h"
#include "sweptline/diag.h"
#include "sweptline/log.h"
#include "sweptline/scan.h"
#include "sweptline/sites.h"

enum { SWL_SOURCE_MAX_BYTES = 64 * 1024 * 1024 };

/* Where input files come from. read appends a file's bytes to out, at most SWL_SOURCE_MAX_BYTES and one more.
 * Errors it returns: SWL_ERR_READ, SWL_ERR_MEMORY. */
typedef struct swl_source {
    swl_status (*read)(void *context, const char *path, swl_buf *out, swl_err *err);
    void *context;
} swl_source;

/* The disk; "-" is standard input. */
swl_source swl_source_disk(void);

/* Reads a build file, the unit file it names (relative to it) and that one's map (relative to the unit file).
 * All findings of all files go to diags. strerror texts go into them too.
 * Returns: SWL_OK and a build to free; SWL_ERR_INPUT when diags holds an error; SWL_ERR_MEMORY. */
swl_status swl_build_load(const swl_source *source, const char *path, swl_build *build, swl_diags *diags,
                          swl_err *err) SWL_MUST_CHECK;

enum { SWL_DIFFERENCE_BUILDS_MAX = 6, SWL_DIFFERENCE_TEXT_MAX = 144 };

/* A key of the build file that has not the same value in all builds, and its value in each as a report shows it, or
 * "not given". expected: of the donor unit or its drive, which a comparison of donors is about. */
typedef struct swl_difference {
    const char *section;
    const char *key;
    bool expected;
    char value[SWL_DIFFERENCE_BUILDS_MAX][SWL_DIFFERENCE_TEXT_MAX];
} swl_difference;

/* items is owned. */
typedef struct swl_differences {
    swl_difference *items;
    size_t count;
} swl_differences;

/* Goes through every key of the build file but name, note and units, in the file's order. Values count, not how they
 * were written: a default is like the same value given. Of a curve the engine speed is told where the builds lie
 * furthest apart; of an altitude and the pressure that follows from it, only the altitude, where all give it; of the
 * unit, its name.
 * Given: two to six builds. Errors: SWL_ERR_USAGE for another number; SWL_ERR_MEMORY. */
swl_status swl_build_differences(const swl_build *const *builds, size_t count, swl_units units,
                                 swl_differences *differences, swl_err *err) SWL_MUST_CHECK;
void swl_differences_free(swl_differences *differences);

/* The same, and reads the picture of the unit's chart: scan->given tells whether there is one. The caller frees it. */
swl_status swl_build_scan_load(const swl_source *source, const char *path, swl_build *build, swl_scan *scan,
                               swl_diags *diags, swl_err *err) SWL_MUST_CHECK;

/* A key of a build file or its unit file: its value as typed, on one line and without comments, and as a report shows
 * it, empty where it is a word or a file's name. given is false for a default, which was not typed. Owned. */
typedef struct swl_input_row {
    bool of_unit;
    char *section;
    char *key;
    char *typed;
    char *shown;
    bool given;
} swl_input_row;

/* In the files' order, defaults behind what is given, the unit file's behind the build file's. left_out names the keys
 * that were not given and that nothing stands in for, by section. */
typedef struct swl_input_rows {
    swl_input_row *items;
    size_t count;
    char *left_out;
    char *left_out_unit;
} swl_input_rows;

/* Goes through every key of both files. Of a curve it shows how many points there are, from the lowest value to the
 * highest.
 * Given: a source that gives the bytes the build was read from, and the build. Errors: SWL_ERR_INPUT for files that
 * cannot be read again; SWL_ERR_MEMORY. rows are to be freed whatever is returned. */
swl_status swl_build_input_rows(const swl_source *source, const char *path, const swl_build *build, swl_units units,
                                swl_input_rows *rows, swl_err *err) SWL_MUST_CHECK;
void swl_input_rows_free(swl_input_rows *rows);

/* Reads a unit file with its map and the picture of its chart. A unit may then have either alone: the map is NULL, or
 * scan->given is false; t_map_k is NAN where a unit without a map does not state it. Both are to be freed. */
swl_status swl_unit_load(const swl_source *source, const char *path, swl_blower *blower, swl_scan *scan,
                         swl_diags *diags, swl_err *err) SWL_MUST_CHECK;

/* Reads a unit file and its map alone; of a [scan] section everything but the picture's pixels is checked. Returns as
 * swl_build_load; the blower is to be freed. */
swl_status swl_blower_load(const swl_source *source, const char *path, swl_blower *blower, swl_diags *diags,
                           swl_err *err) SWL_MUST_CHECK;

/* Reads one value as an option gives it, with its unit; of a speed rpm may be left out.
 * Given: the option's name for messages, what is accepted in words.
 * Returns: SWL_OK; SWL_ERR_USAGE with what was read and what is accepted. */
swl_status swl_option_value_read(const char *option, const char *given, swl_dim dim, double low, double high,
                                 const char *accepted, double *value, swl_err *err) SWL_MUST_CHECK;

/* Reads pulley sizes as a command line gives them: FROM:TO:STEP, a list with commas, or the name of a CSV file whose
 * first column is headed by a unit of length.
 * Given: the option's name, --blower or --crank; room for SWL_PULLEY_SIZES_MAX sizes in metres. A warning goes to diags
 * where a file's head names the other pulley. Returns: SWL_OK with them smallest first, each once; SWL_ERR_USAGE or
 * SWL_ERR_INPUT with what was read and what is accepted; SWL_ERR_READ; SWL_ERR_MEMORY. */
swl_status swl_sizes_read(const swl_source *source, const char *option, const char *given, double *d_m, size_t *count,
                          swl_diags *diags, swl_err *err) SWL_MUST_CHECK;

/* Reads sites as a command line gives them: one or more with semicolons between, each the name of a ready set
 * (`hot day`), values with commas between (`35 degC, 1500 m, 40 %`), the same behind a name and a colon, or the name of
 * a CSV file (name, temperature [degC], pressure [kPa] or altitude [m], relative humidity [%]; an empty cell stands for
 * the build's own). Values without a name are called `site 1` by their place.
 * Given: option, which findings name as their file; room for SWL_SITES_MAX sets.
 * Returns: SWL_OK with one set or more; SWL_ERR_INPUT when diags holds an error; SWL_ERR_MEMORY. */
swl_status swl_sites_read(const swl_source *source, const char *option, const char *given, swl_site_set *sets,
                          size_t *count, swl_diags *diags, swl_err *err) SWL_MUST_CHECK;

/* Reads engine speeds as an option gives them, a list with commas; rpm may be left out.
 * Given: the option's name for messages, the engine whose rev range they must lie in, room for most of them.
 * Returns: SWL_OK; SWL_ERR_USAGE with what was read and what is accepted. */
swl_status swl_speeds_read(const char *option, const char *given, const swl_engine *engine, size_t most, double *rpm,
                           size_t *count, swl_err *err) SWL_MUST_CHECK;
/* The same for FROM:TO, with TO above FROM. */
swl_status swl_speed_span_read(const char *option, const char *given, const swl_engine *engine, double *from_rpm,
                               double *to_rpm, swl_err *err) SWL_MUST_CHECK;
/* Reads weights over engine speed, above 0: inline as 2500: 1, 4000: 3, or the name of a CSV file.
 * Returns: SWL_OK and a curve, which the caller frees; SWL_ERR_USAGE, with each finding and its place in diags where
 * it has one; SWL_ERR_MEMORY. */
swl_status swl_weights_read(const swl_source *source, const char *option, const char *given, swl_curve **weights,
                            swl_diags *diags, swl_err *err) SWL_MUST_CHECK;

/* Reads a measured run: a CSV table with a column for engine speed, one for manifold pressure (absolute) or boost, and
 * any of the others; see docs/log.md. site_pa is what boost stands on.
 * All findings go to diags: what is ignored or left out as notes, a run that time does not order, a number that cannot
 * be and text as errors. Returns: SWL_OK and a run to free; SWL_ERR_INPUT when diags holds an error; SWL_ERR_MEMORY. */
swl_status swl_run_load(const swl_source *source, const char *path, double site_pa, swl_run *run, swl_diags *diags,
                        swl_err *err) SWL_MUST_CHECK;

/* Writes a whole file: to a temporary beside it, synced, then put in place, so that a reader sees the old bytes or the
 * new and never a part of either. The temporary has no name while it is written, where the system has such files, so
 * that nothing is left of a run that is killed; SIGHUP, SIGINT, SIGQUIT and SIGTERM wait for the calling thread while
 * it has one. An earlier file's mode stays, a new one's is by the umask. Through a link the file that it leads to is
 * replaced and the link stays; another hard link keeps the earlier bytes. A device or pipe is written into, and so is
 * the file that standard output or standard error is open on. "-" is standard output.
 * Errors: SWL_ERR_WRITE with the path and the system's reason; SWL_ERR_CLOSED when the reader of standard output has
 * gone; SWL_ERR_MEMORY. What stood there still stands. */
swl_status swl_file_save(const char *path, const char *bytes, size_t len, swl_err *err) SWL_MUST_CHECK;
/* The same for a file that must not be there yet: whatever has the name, a link that leads nowhere too, stays as it is,
 * also when it comes while this one is written (but for file systems that cannot rename so, as NFS). */
swl_status swl_file_create(const char *path, const char *bytes, size_t len, swl_err *err) SWL_MUST_CHECK;

#endif
