#include "cli/serve_half.h"

#include "sweptline/units.h"

#include <math.h>
#include <string.h>

/* Where "+-" stands in a value; NULL where it has none. */
static const char *sign_in(const char *value)
{
    return strstr(value, "+-");
}

static bool read(const char *value, swl_dim dim, swl_quantity *quantity)
{
    swl_fault ignored = {0};
    return swl_quantity_read(swl_slice_of(value), dim, quantity, &ignored);
}

static void put_slice(swl_buf *out, swl_slice slice)
{
    swl_buf_put(out, slice.at, slice.len);
}

void serve_half_put(const char *value, swl_buf *out)
{
    const char *sign = sign_in(value);
    if (sign == NULL) {
        return;
    }
    swl_slice half = swl_slice_trim(swl_slice_of(sign + 2));
    size_t number = strspn(half.at, "+-.0123456789eE");
    swl_buf_puts(out, "+- ");
    put_slice(out, half);
    /* "68 degF +- 5": the unit of both stands ahead. */
    if (number >= half.len) {
        swl_slice first = swl_slice_trim((swl_slice){value, (size_t)(sign - value)});
        size_t at = strspn(first.at, "+-.0123456789");
        swl_slice unit =
            at < first.len ? swl_slice_trim((swl_slice){first.at + at, first.len - at}) : (swl_slice){first.at, 0};
        swl_buf_puts(out, unit.len > 0 ? " " : "");
        put_slice(out, unit);
    }
}

serve_half serve_half_keep(swl_dim dim, double low, const char *was, const char *now, swl_buf *out)
{
    swl_quantity before = {0};
    swl_quantity plain = {0};
    swl_quantity both = {0};
    swl_buf text = {0};
    serve_half kept = SERVE_HALF_NONE;
    if (sign_in(now) == NULL && read(was, dim, &before) && before.half_width > 0 && read(now, dim, &plain)) {
        swl_buf_printf(&text, "%s ", now);
        serve_half_put(was, &text);
        double slack = 1e-9 * (fabs(plain.value) + before.half_width);
        bool same = read(swl_buf_text(&text), dim, &both) && fabs(both.value - plain.value) <= slack &&
                    fabs(both.half_width - before.half_width) <= slack;
        kept = same && !(low > 0 && both.half_width > both.value) ? SERVE_HALF_KEPT : SERVE_HALF_LEFT_OUT;
    }
    swl_buf_puts(out, kept == SERVE_HALF_KEPT ? swl_buf_text(&text) : now);
    out->failed = out->failed || text.failed;
    swl_buf_free(&text);
    return kept;
}
