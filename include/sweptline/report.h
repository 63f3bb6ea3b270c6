/* Results as text, CSV and JSON. Everything is written into buffers; nothing is printed. */
#ifndef SWEPTLINE_REPORT_H
#define SWEPTLINE_REPORT_H

#include "sweptline/beltrun.h"
#include "sweptline/check.h"
#include "sweptline/compare.h"
#include "sweptline/files.h"
#include "sweptline/fueling.h"
#include "sweptline/knock.h"
#include "sweptline/log.h"
#include "sweptline/pulley.h"
#include "sweptline/scan.h"
#include "sweptline/sensitivity.h"
#include "sweptline/sites.h"
#include "sweptline/soak.h"
#include "sweptline/spread.h"
#include "sweptline/throttle.h"
#include "sweptline/trace.h"

/* What a reader of a result must know beside its numbers, a sentence each. Owned. */
typedef struct swl_notes {
    char **items;
    size_t count;
    bool failed; /* out of memory: some are missing */
} swl_notes;

void swl_notes_add(swl_notes *notes, const char *format, ...) SWL_PRINTF(2, 3);
void swl_notes_free(swl_notes *notes);

/* The notes of a check: what was assumed, held or left out, in the given units; and the warnings and notes
 * that reading the files made. */
void swl_notes_check(swl_notes *notes, const swl_build *build, const swl_check *check, const swl_diags *diags,
                     swl_units units);

/* What reading the files found: the warnings, which go before the other notes, and the rest, which goes behind them.
 * swl_notes_check has both. */
void swl_notes_warnings(swl_notes *notes, const swl_diags *diags);
void swl_notes_findings(swl_notes *notes, const swl_diags *diags);

/* The notes of a build on several sites; measured is NULL without a measured power. */
void swl_notes_sites(swl_notes *notes, const swl_build *build, const swl_sites *sites, const swl_measured *measured,
                     const swl_diags *diags, swl_units units);

/* The notes of a soak. */
void swl_notes_soak(swl_notes *notes, const swl_build *build, const swl_soak *soak, const swl_diags *diags,
                    swl_units units);

/* Columns that text and tables fill at most. */
enum { SWL_PAGE_WIDTH = 98 };

/* Appends what stands at the foot of every report: the notes under a head of their own, a sentence each, when there is
 * one, and the cautions. */
void swl_report_foot(swl_buf *out, const swl_notes *notes);

/* The usual cautions, one paragraph of plain text. */
const char *swl_report_caution(void);

/* Tables for a person. colour adds terminal colours to verdicts. */
void swl_report_check_text(swl_buf *out, const swl_build *build, const swl_check *check, const swl_notes *notes,
                           swl_units units, bool colour);
/* The operating line, a row each, heads with units, ten significant digits. */
void swl_report_check_csv(swl_buf *out, const swl_check *check, swl_units units);
/* A table of what each change does at one engine speed. */
void swl_report_sensitivity_text(swl_buf *out, const swl_sensitivity *sensitivity, swl_units units);
/* SI, see docs/json.md. Errors: SWL_ERR_MEMORY. command names the command that ran; sensitivity may be NULL. */
swl_status swl_report_check_json(swl_buf *out, const char *command, const swl_build *build, const swl_check *check,
                                 const swl_sensitivity *sensitivity, const swl_notes *notes,
                                 swl_err *err) SWL_MUST_CHECK;

/* The notes of a study of pulley sizes: what was assumed or left out, and what reading the files told. */
void swl_notes_pulley(swl_notes *notes, const swl_build *build, const swl_pulley_study *study, const swl_diags *diags,
                      swl_units units);

/* A study of pulley sizes. */
void swl_report_pulley_text(swl_buf *out, const swl_build *build, const swl_pulley_study *study, const swl_notes *notes,
                            swl_units units);
/* Appends what one search came to in a few words, for a caption. */
void swl_report_pulley_wish(swl_buf *out, const swl_pulley_study *study, const swl_pulley_wish *wish, swl_units units);
void swl_report_pulley_csv(swl_buf *out, const swl_pulley_study *study, swl_units units);
swl_status swl_report_pulley_json(swl_buf *out, const swl_build *build, const swl_pulley_study *study,
                                  const swl_notes *notes, swl_err *err) SWL_MUST_CHECK;

/* What the throttle body costs. */
void swl_report_throttle_text(swl_buf *out, const swl_build *build, const swl_throttle_study *study,
                              const swl_notes *notes, swl_units units);
void swl_report_throttle_csv(swl_buf *out, const swl_throttle_study *study, swl_units units);
swl_status swl_report_throttle_json(swl_buf *out, const swl_build *build, const swl_throttle_study *study,
                                    const swl_notes *notes, swl_err *err) SWL_MUST_CHECK;

/* Fuel wanted, and what injectors and pump have for it. */
void swl_report_fueling_text(swl_buf *out, const swl_build *build, const swl_fueling *study, const swl_notes *notes,
                             swl_units units);
void swl_report_fueling_csv(swl_buf *out, const swl_fueling *study, swl_units units);
swl_status swl_report_fueling_json(swl_buf *out, const swl_build *build, const swl_fueling *study,
                                   const swl_notes *notes, swl_err *err) SWL_MUST_CHECK;

/* The relative figure of end-gas autoignition, with its own caution. */
void swl_report_knock_text(swl_buf *out, const swl_build *build, const swl_knock_study *study, const swl_notes *notes,
                           swl_units units);
void swl_report_knock_csv(swl_buf *out, const swl_knock_study *study, swl_units units);
swl_status swl_report_knock_json(swl_buf *out, const swl_build *build, const swl_knock_study *study,
                                 const swl_notes *notes, swl_err *err) SWL_MUST_CHECK;

/* A build on several sites, and a power measured on one of them (NULL: none). The CSV has the sites alone. */
void swl_report_sites_text(swl_buf *out, const swl_build *build, const swl_sites *sites, const swl_measured *measured,
                           const swl_notes *notes, swl_units units);
void swl_report_sites_csv(swl_buf *out, const swl_sites *sites, swl_units units);
swl_status swl_report_sites_json(swl_buf *out, const swl_build *build, const swl_sites *sites,
                                 const swl_measured *measured, const swl_notes *notes, swl_err *err) SWL_MUST_CHECK;
/* Appends which bounds of its range a correction breaks: "38.0 degC is above 35.0 degC; ..."; nothing inside. */
void swl_report_correction_reason(swl_buf *out, swl_correction_form form, const swl_measured *measured,
                                  swl_units units);

/* A spread: what a reader must know beside it, the notes of its middle check among them; tables; the line as CSV, a row
 * for each engine speed; JSON in SI. */
void swl_notes_spread(swl_notes *notes, const swl_build *build, const swl_check *check, const swl_spread *spread,
                      const swl_diags *diags, swl_units units);
void swl_report_spread_text(swl_buf *out, const swl_build *build, const swl_spread *spread, const swl_notes *notes,
                            swl_units units, bool colour);
void swl_report_spread_csv(swl_buf *out, const swl_spread *spread, swl_units units);
swl_status swl_report_spread_json(swl_buf *out, const swl_build *build, const swl_spread *spread,
                                  const swl_notes *notes, swl_err *err) SWL_MUST_CHECK;

/* A comparison, with what its text, CSV and JSON show beside its numbers. Builds go by the letters A to F. */
typedef struct swl_compare_report {
    const swl_compare *compare;
    const char *const *files; /* the builds' file names as given */
    const swl_differences *differences;
    const swl_notes *summary;
    const swl_notes *notes;
} swl_compare_report;

/* A few sentences that say what the numbers say. Only compare and differences of the report are read. */
void swl_notes_compare_summary(swl_notes *summary, const swl_compare_report *report, swl_units units);
/* The notes of every build as of a check, those alike once; and what makes figures hard to compare.
 * Given: the findings on each build's files. */
void swl_notes_compare(swl_notes *notes, const swl_compare *compare, const swl_diags *diags, swl_units units);
/* What the blower pulleys were solved for, in words: "as fitted", "60.0 kPa boost at its peak". */
void swl_report_compare_goal(swl_buf *out, const swl_compare *compare, swl_units units);
/* Appends why a build was not solved, what comes nearest and what stops it. */
void swl_report_compare_failure(swl_buf *out, const swl_compare *compare, size_t build, swl_units units);
void swl_report_compare_text(swl_buf *out, const swl_compare_report *report, swl_units units, bool colour);
void swl_report_compare_csv(swl_buf *out, const swl_compare_report *report, swl_units units);
swl_status swl_report_compare_json(swl_buf *out, const swl_compare_report *report, swl_err *err) SWL_MUST_CHECK;

/* What a measured run shows, a sentence each, and what it rests on, in the given units. Sentences name only what the
 * numbers of the log say. */
void swl_log_finding(swl_notes *out, const swl_build *build, const swl_log *log, swl_units units);
void swl_notes_log(swl_notes *notes, const swl_build *build, const swl_run *run, const swl_log *log, swl_units units);
/* The keys that put the log's best fit into the build file, as "[drive] slip = 2.10 % +- 0.40 %". */
void swl_log_adopt(swl_notes *out, const swl_log *log);
/* A run beside its prediction. run_name is the file's. */
void swl_report_log_text(swl_buf *out, const swl_build *build, const char *run_name, const swl_run *run,
                         const swl_check *check, const swl_log *log, const swl_notes *notes, swl_units units,
                         bool colour);
void swl_report_log_csv(swl_buf *out, const swl_log *log, swl_units units);
swl_status swl_report_log_json(swl_buf *out, const swl_build *build, const char *run_name, const swl_run *run,
                               const swl_check *check, const swl_log *log, const swl_notes *notes,
                               swl_err *err) SWL_MUST_CHECK;

/* A heat soak; the CSV is its series. */
void swl_report_soak_text(swl_buf *out, const swl_build *build, const swl_soak *soak, const swl_notes *notes,
                          swl_units units);
void swl_report_soak_csv(swl_buf *out, const swl_soak *soak, swl_units units);
swl_status swl_report_soak_json(swl_buf *out, const swl_build *build, const swl_soak *soak, const swl_notes *notes,
                                swl_err *err) SWL_MUST_CHECK;

/* A study of the belt; its notes say what was assumed and left out. */
void swl_notes_belt(swl_notes *notes, const swl_build *build, const swl_belt_study *study, const swl_diags *diags,
                    swl_units units);
void swl_report_belt_text(swl_buf *out, const swl_build *build, const swl_belt_study *study, const swl_notes *notes,
                          swl_units units);
/* A row for each alternative, engine speed and pulley. */
void swl_report_belt_csv(swl_buf *out, const swl_belt_study *study, swl_units units);
swl_status swl_report_belt_json(swl_buf *out, const swl_build *build, const swl_belt_study *study,
                                const swl_notes *notes, swl_err *err) SWL_MUST_CHECK;

/* A unit on its own; its map stands in its own air. */
void swl_report_unit_text(swl_buf *out, const swl_blower *blower, const swl_scan *scan, const swl_diags *diags,
                          swl_units units);
void swl_report_unit_csv(swl_buf *out, const swl_blower *blower, swl_units units);
swl_status swl_report_unit_json(swl_buf *out, const swl_blower *blower, const swl_scan *scan, const swl_diags *diags,
                                swl_err *err) SWL_MUST_CHECK;

/* A map traced off a picture. The CSV is a map table as every command reads it. */
void swl_notes_trace(swl_notes *notes, const swl_tracing *tracing, const swl_diags *diags);
void swl_report_trace_text(swl_buf *out, const swl_tracing *tracing, const swl_notes *notes);
void swl_report_trace_csv(swl_buf *out, const swl_tracing *tracing, swl_units units);
swl_status swl_report_trace_json(swl_buf *out, const swl_tracing *tracing, const swl_notes *notes,
                                 swl_err *err) SWL_MUST_CHECK;

/* Appends a value in the units shown, with its unit: "82.0 mm". */
void swl_report_value(swl_buf *out, double si, swl_show show, swl_units units);
/* Appends a limit's value and the limit: "9.503 psi of 9.50 psi", with the digits that show one exceeded. */
void swl_report_limit(swl_buf *out, const swl_limit_row *row, swl_units units);
/* Appends a site on one line, with the name of the set that stands in for the build's own. */
void swl_report_site(swl_buf *out, const swl_site *site, swl_units units);
/* Appends prose broken at blanks into lines of at most width columns; later lines stand behind the indent, which is not
 * counted. A figure stays with its unit. A word longer than a line is broken. */
void swl_report_wrap(swl_buf *out, const char *text, int width, const char *indent);

#endif
