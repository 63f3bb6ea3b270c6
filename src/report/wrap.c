#include "sweptline/report.h"

#include <string.h>

/* How many bytes of a word make at most the given number of characters. */
static size_t bytes_within(const char *word, size_t n, int characters)
{
    size_t i = 0;
    for (int seen = 0; i < n; i++) {
        seen += ((unsigned char)word[i] & 0xC0) != 0x80;
        if (seen > characters) {
            break;
        }
    }
    return i;
}

static int characters_in(const char *word, size_t n)
{
    int count = 0;
    for (size_t i = 0; i < n; i++) {
        count += ((unsigned char)word[i] & 0xC0) != 0x80;
    }
    return count;
}

/* Whether a word is a figure, as "5.0", "(-3" or "+0.04". */
static bool is_number(const char *word, size_t n)
{
    size_t lead = strspn(word, "(~<>=+-`");
    size_t digits = lead < n ? strspn(word + lead, "0123456789.,") : 0;
    return digits > 0 && lead + digits == n && word[n - 1] >= '0' && word[n - 1] <= '9';
}

/* Whether a word is a unit that reports show, whatever stops behind it. */
static bool is_unit(const char *word, size_t n)
{
    while (n > 1 && strchr(".,;:)`", word[n - 1]) != NULL) {
        n--;
    }
    for (int show = 0; show < SWL_SHOW_COUNT; show++) {
        for (int units = 0; units < 2; units++) {
            const char *unit = swl_shown_as((swl_show)show, units == 0 ? SWL_UNITS_SI : SWL_UNITS_US).unit;
            if (strlen(unit) == n && strncmp(word, unit, n) == 0) {
                return true;
            }
        }
    }
    return n == strlen("points") && strncmp(word, "points", n) == 0;
}

/* Bytes of the words that stay on one line: one word, or a figure with its unit. */
static size_t together(const char *word)
{
    size_t n = strcspn(word, " ");
    const char *next = word + n + strspn(word + n, " ");
    size_t unit = strcspn(next, " ");
    return unit > 0 && next == word + n + 1 && is_number(word, n) && is_unit(next, unit) ? n + 1 + unit : n;
}

void swl_report_wrap(swl_buf *out, const char *text, int width, const char *indent)
{
    int column = 0;
    for (const char *word = text; *word != '\0';) {
        /* A word longer than a line is broken where the line ends. */
        size_t pair = together(word);
        size_t one = characters_in(word, pair) <= width ? pair : strcspn(word, " ");
        size_t n = bytes_within(word, one, width);
        int len = characters_in(word, n);
        if (column > 0 && column + 1 + len > width) {
            swl_buf_printf(out, "\n%s", indent);
            column = 0;
        } else if (column > 0) {
            swl_buf_puts(out, " ");
            column++;
        }
        swl_buf_put(out, word, n);
        column += len;
        word += n;
        word += strspn(word, " ");
    }
    swl_buf_puts(out, "\n");
}
