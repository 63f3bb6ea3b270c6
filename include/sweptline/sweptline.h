/* The whole library. Making a curve, a map or a solver switches off the error handler of the GNU Scientific Library
 * for the process, once. A chart is drawn one at a time in a process; all else is safe in several threads. */
#ifndef SWEPTLINE_SWEPTLINE_H
#define SWEPTLINE_SWEPTLINE_H

#include "sweptline/air.h"
#include "sweptline/atmosphere.h"
#include "sweptline/blower.h"
#include "sweptline/buf.h"
#include "sweptline/build.h"
#include "sweptline/check.h"
#include "sweptline/correction.h"
#include "sweptline/csv.h"
#include "sweptline/curve.h"
#include "sweptline/diag.h"
#include "sweptline/draw.h"
#include "sweptline/drive.h"
#include "sweptline/engine.h"
#include "sweptline/err.h"
#include "sweptline/field.h"
#include "sweptline/files.h"
#include "sweptline/flow.h"
#include "sweptline/fuel.h"
#include "sweptline/ini.h"
#include "sweptline/input.h"
#include "sweptline/knock.h"
#include "sweptline/map.h"
#include "sweptline/match.h"
#include "sweptline/power.h"
#include "sweptline/pulley.h"
#include "sweptline/report.h"
#include "sweptline/sensitivity.h"
#include "sweptline/sites.h"
#include "sweptline/text.h"
#include "sweptline/throttle.h"
#include "sweptline/units.h"
#include "sweptline/version.h"

#endif
