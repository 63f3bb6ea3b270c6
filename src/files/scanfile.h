/* The [scan] section of a unit file. */
#ifndef SWL_FILES_SCANFILE_H
#define SWL_FILES_SCANFILE_H

#include "files/keys.h"

#include "sweptline/scan.h"

/* Reads the section's values, which the keys' reader has placed, and the picture's head, or its pixels too.
 * Findings go to the diags; only SWL_ERR_MEMORY is returned. */
swl_status swl_scan_section_read(const swl_keys_file *file, bool pixels, swl_scan *scan, swl_err *err) SWL_MUST_CHECK;

#endif
