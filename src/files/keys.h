/* Reading an INI file by a table of its keys. */
#ifndef SWL_FILES_KEYS_H
#define SWL_FILES_KEYS_H

#include "sweptline/files.h"
#include "sweptline/ini.h"

typedef enum swl_key_type {
    KEY_TEXT,           /* char[size] */
    KEY_QUANTITY,       /* double, SI */
    KEY_COUNT,          /* int */
    KEY_CHOICE,         /* int, index into choices */
    KEY_CURVE,          /* swl_curve *, over engine speed */
    KEY_LOSS,           /* swl_loss, "pressure at flow" */
    KEY_POWER_AT,       /* two doubles, power and speed */
    KEY_FLOW_CURVE,     /* swl_curve *, over air mass flow */
    KEY_PRESSURE_CURVE, /* swl_curve *, over gauge pressure */
    KEY_RATING,         /* swl_injector_rating, "flow at pressure" */
    KEY_AIR_FLOW,       /* double, kg/s; a volume flow is of air as cold as a loss's */
    KEY_COOLANT,        /* double, share of glycol: "water" or "water-glycol 50 %" */
    KEY_BELT,           /* swl_drive's profile, ribs and differential */
    KEY_FILE,           /* a file name, given to the reader's context by its place */
    KEY_PAIR,           /* two doubles, "12 mm, 30 mm" */
    KEY_OWN,            /* read by whoever asks for its place */
    KEY_LATER           /* known, for a command that is not there yet: an error that says so */
} swl_key_type;

enum {
    KEY_REQUIRED = 1, /* missing is an error when its section is there */
    KEY_CONSTANT = 2, /* a curve that may be one number without an engine speed */
    KEY_FEW_CENT = 4  /* a share of about a per cent: a bare number is warned of, which may be meant as per cent */
};

typedef struct swl_key {
    const char *section;
    const char *name;
    swl_key_type type;
    swl_dim dim;
    size_t offset;
    double low, high;   /* accepted range in SI, both ends included */
    const char *accept; /* the range, or what is accepted, in words */
    const char *const *choices;
    unsigned flags;
    size_t
        size; /* of a text; of a curve: offset of the curve of its half-widths with the shift behind it, 0 for none */
} swl_key;

/* place[k] is where key k's value stands in the text, NULL when it was not given. */
enum { KEYS_MAX = 96 };
typedef struct swl_keys_file {
    const swl_source *source;
    const char *path;
    swl_text *text;
    swl_diags *diags;
    const swl_key *keys;
    size_t key_count;
    const char *const
        *sections; /* every known section, NULL at the end; one that ends in a blank takes any word behind it */
    swl_slice place[KEYS_MAX];
    unsigned section_seen; /* bit by place in sections */
    /* A section that only the other kind of file has, and what to say then; foreign is set and nothing else is read. */
    const char *foreign_section;
    const char *foreign_words;
    bool foreign;
    /* Room for the inputs given with +-; NULL where none are kept. */
    swl_input *inputs;
    size_t inputs_max;
    size_t input_count;
    bool at_middle; /* values with +- are taken at their middle, and a note tells */
    /* Reads what is not in the table of keys, after all that is; NULL where nothing is left. */
    swl_status (*more)(struct swl_keys_file *file, const swl_ini *ini, void *target, swl_err *err);
} swl_keys_file;

/* Reads the text into the struct at target. Findings go to the diags; only SWL_ERR_MEMORY is returned. */
swl_status swl_keys_read(swl_keys_file *file, void *target, swl_err *err) SWL_MUST_CHECK;
/* The keys of a build file; offsets up to sizeof(swl_build) are places in the build. */
const swl_key *swl_build_keys(size_t *count);
/* A key of a unit file, its offset that of a build whose blower is the unit; section is NULL behind the last. */
swl_key swl_unit_key_at(size_t index);
/* Reads one section of many alike, as [pulley idler], by a table of its own; place has a slot for each of its keys.
 * Its numbers are not kept as inputs. */
swl_status swl_keys_section_read(swl_keys_file *file, const swl_ini *ini, swl_slice section, const swl_key *keys,
                                 size_t key_count, swl_slice *place, void *target, swl_err *err) SWL_MUST_CHECK;
/* Reads one value by its key into the struct at target. */
swl_status swl_key_value_read(swl_keys_file *file, const swl_key *key, swl_slice value, void *target,
                              swl_err *err) SWL_MUST_CHECK;
/* Reads the belt of a build whose drive has been read: [belt], every [pulley NAME] and [alternative NAME]. */
swl_status swl_belt_sections_read(swl_keys_file *file, const swl_ini *ini, swl_build *build,
                                  swl_err *err) SWL_MUST_CHECK;
/* Returns: the value of a key as written; a NULL at when it was not given. */
swl_slice swl_keys_given(const swl_keys_file *file, const char *section, const char *name);
/* Returns: whether the section stands in the file. */
bool swl_keys_section(const swl_keys_file *file, const char *section);

/* Reads a curve over engine speed, inline or from a CSV beside the file; half_width is the curve of its points'
 * half-widths, NULL when none was given. NULL when a finding was made or memory ran out. The caller frees both. */
swl_curve *swl_curve_value_read(swl_keys_file *file, const swl_key *key, swl_slice value, swl_curve **half_width,
                                swl_err *err);
/* Reads an engine speed that may carry its unit or not. */
bool swl_rpm_read(swl_slice slice, double *rpm, swl_fault *fault) SWL_MUST_CHECK;
/* Returns: SWL_ERR_USAGE, with the option, what it was given, which part of that (NULL: all of it) and the fault. */
swl_status swl_option_refuse(const char *option, const char *given, const char *part, const swl_fault *fault,
                             swl_err *err) SWL_MUST_CHECK;
/* Reads an INI text through its source into text; findings go to diags. Returns SWL_ERR_INPUT when there is no text. */
swl_status swl_text_load(const swl_source *source, const char *path, swl_text *text, swl_diags *diags,
                         swl_err *err) SWL_MUST_CHECK;
/* A source that says of a file which cannot be opened where it is named. The pointers are borrowed. */
typedef struct swl_beside {
    const swl_source *of;
    const char *path;     /* as swl_path_beside made it */
    const char *named_in; /* the file that names it; NULL where an option does */
    int line;             /* in that file */
    bool absolute;        /* the name is not relative to that file's folder */
} swl_beside;
swl_beside swl_beside_of(const swl_keys_file *file, const char *path, swl_slice name);
swl_source swl_source_beside(swl_beside *beside);
/* Returns: name, taken relative to the file at path unless it is absolute, on the heap; NULL when out of memory. */
char *swl_path_beside(const char *path, swl_slice name);

/* Reads a unit file with its scan, pixels included, but not its table, which tracing is to make.
 * Given: text, which gets the file's and is to be freed whatever is returned. Returns as swl_unit_load. */
swl_status swl_unit_load_to_trace(const swl_source *source, const char *path, swl_blower *blower, swl_scan *scan,
                                  swl_text *text, swl_diags *diags, swl_err *err) SWL_MUST_CHECK;

/* Reads a map table of a blower whose displacement is known. */
swl_status swl_map_table_read(const swl_source *source, const char *path, swl_blower *blower, swl_diags *diags,
                              swl_err *err) SWL_MUST_CHECK;

/* Reads the unit file of a build, which wants a table; scan may be NULL, when the picture's pixels are not wanted. */
swl_status swl_blower_of_build(const swl_source *source, const char *path, swl_blower *blower, swl_scan *scan,
                               swl_diags *diags, swl_err *err) SWL_MUST_CHECK;

/* Refuses a value that is out of the key's range, read SI, and asks whether per cent were meant where a bare number is
 * too large for a fraction. text: the file's own, or a table's that the file names. */
void swl_keys_refuse_range(const swl_keys_file *file, const swl_text *text, const swl_key *key, swl_slice value,
                           double read);
int swl_slice_shown(swl_slice slice);
/* Returns: whether a column's head is a name, whatever its capitals and with underscores for blanks. */
bool swl_head_is(swl_slice head, const char *name);
/* Takes double quotes off a value that stands between them. */
swl_slice swl_unquoted(swl_slice value);

#endif
