#ifndef SWEPTLINE_VERSION_H
#define SWEPTLINE_VERSION_H

#define SWL_VERSION "0.1.0"
/* Of that version, for the manual: year, month, day. */
#define SWL_VERSION_DATE "2026-11-25"

#endif
