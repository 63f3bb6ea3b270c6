#include "files/keys.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int swl_slice_shown(swl_slice slice)
{
    size_t n = slice.len;
    const char *line = slice.len > 0 ? memchr(slice.at, '\n', slice.len) : NULL;
    if (line != NULL) {
        n = (size_t)(line - slice.at);
    }
    if (n > 60) {
        for (n = 60; n > 0 && ((unsigned char)slice.at[n] & 0xC0) == 0x80;) {
            n--;
        }
    }
    while (n > 0 && slice.at[n - 1] == ' ') {
        n--;
    }
    return (int)n;
}

static void refuse(const swl_keys_file *file, const swl_key *key, const swl_fault *fault)
{
    swl_diag_add(file->diags, SWL_ERROR, file->text, fault->at, "%s: %s", key->name, fault->text);
}

static void refuse_value(const swl_keys_file *file, const swl_text *text, const swl_key *key, swl_slice value)
{
    swl_diag_add(file->diags, SWL_ERROR, text, value.at, "%s: read `%.*s`; %s is accepted", key->name,
                 swl_slice_shown(value), value.at, key->accept);
}

static void refuse_range(const swl_keys_file *file, const swl_key *key, swl_slice value)
{
    refuse_value(file, file->text, key, value);
}

/* Whether a share was written without its unit: every unit of a share has a letter or a sign of its own. */
static bool is_bare(const swl_key *key, swl_slice value)
{
    for (size_t i = 0; i < value.len; i++) {
        if (value.at[i] == '%' || value.at[i] == 'p' || value.at[i] == 'P') {
            return false;
        }
    }
    return key->dim == SWL_DIM_FRACTION;
}

void swl_keys_refuse_range(const swl_keys_file *file, const swl_text *text, const swl_key *key, swl_slice value,
                           double read)
{
    swl_fault ignored = {0};
    double number = 0;
    /* Asked only about what would be accepted. */
    bool too_large = read > key->high && read / 100 >= key->low && read / 100 <= key->high && is_bare(key, value);
    const char *plus = swl_plus_minus_find(value);
    if (too_large && text == file->text && plus != NULL) {
        swl_slice left = swl_slice_trim((swl_slice){value.at, (size_t)(plus - value.at)});
        swl_slice right = swl_slice_trim((swl_slice){plus + 2, value.len - (size_t)(plus - value.at) - 2});
        swl_diag_add(file->diags, SWL_ERROR, text, value.at,
                     "%s: read `%.*s`; %s is accepted, and a bare number is a fraction: is `%.*s %% +- %.*s %%` meant?",
                     key->name, swl_slice_shown(value), value.at, key->accept, swl_slice_shown(left), left.at,
                     swl_slice_shown(right), right.at);
    } else if (too_large && text == file->text) {
        swl_diag_add(file->diags, SWL_ERROR, text, value.at,
                     "%s: read `%.*s`; %s is accepted, and a bare number is a fraction: is `%.*s %%` meant?", key->name,
                     swl_slice_shown(value), value.at, key->accept, swl_slice_shown(value), value.at);
    } else if (too_large && swl_number_read(value, &number, &ignored) && number == read) {
        swl_diag_add(file->diags, SWL_ERROR, text, value.at,
                     "%s: read `%.*s`; %s is accepted, and a column without a unit holds fractions: is `[%%]` meant in "
                     "its head?",
                     key->name, swl_slice_shown(value), value.at, key->accept);
    } else {
        refuse_value(file, text, key, value);
    }
}

swl_slice swl_unquoted(swl_slice value)
{
    bool quoted = value.len >= 2 && value.at[0] == '"' && value.at[value.len - 1] == '"';
    return quoted ? (swl_slice){value.at + 1, value.len - 2} : value;
}

/* Keeps an input that was given with +-. Beyond the room, which no table of keys fills, it is left out. */
static void keep_input(swl_keys_file *file, const swl_key *key, swl_slice value, const char *part,
                       const swl_input *input)
{
    if (input->half_width > input->high - input->low) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, value.at,
                     "%s: read `%.*s`; a half-width up to the width of the accepted range is accepted", key->name,
                     swl_slice_shown(value), value.at);
        return;
    }
    if (!(input->half_width > 0) || file->at_middle || file->input_count >= file->inputs_max) {
        return;
    }
    swl_input *kept = &file->inputs[file->input_count++];
    *kept = *input;
    kept->section = key->section;
    kept->name = key->name;
    kept->part = part;
}

static void read_text(const swl_keys_file *file, const swl_key *key, swl_slice value, char *to)
{
    value = swl_unquoted(value);
    if (swl_slice_trim(value).len == 0) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, value.at,
                     "%s: read nothing between the quotes; %s is accepted", key->name, key->accept);
        return;
    }
    if (value.len >= key->size) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, value.at, "%s: read %zu bytes; at most %zu are accepted",
                     key->name, value.len, key->size - 1);
        return;
    }
    /* A text over several lines becomes one. */
    size_t n = 0;
    for (size_t i = 0; i < value.len; i++) {
        bool blank = value.at[i] == '\n' || value.at[i] == '\t' || value.at[i] == ' ';
        if (blank && n > 0 && to[n - 1] == ' ') {
            continue;
        }
        to[n++] = blank ? ' ' : value.at[i];
    }
    to[n] = '\0';
}

static void read_quantity(swl_keys_file *file, const swl_key *key, swl_slice value, double *to)
{
    swl_quantity quantity = {0};
    swl_fault fault = {0};
    if (!swl_quantity_read(value, key->dim, &quantity, &fault)) {
        refuse(file, key, &fault);
        return;
    }
    /* A bound given in another unit may differ in the last digit. */
    double slack = 1e-12 * fabs(quantity.value);
    if (!(quantity.value >= key->low - slack && quantity.value <= key->high + slack)) {
        swl_keys_refuse_range(file, file->text, key, value, quantity.value);
        return;
    }
    if (key->low > 0 && quantity.half_width > quantity.value) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, value.at,
                     "%s: read `%.*s`; a half-width up to the value itself is accepted", key->name,
                     swl_slice_shown(value), value.at);
        return;
    }
    if ((key->flags & KEY_FEW_CENT) != 0 && quantity.value > 0 && is_bare(key, value)) {
        swl_diag_add(file->diags, SWL_WARNING, file->text, value.at,
                     "%s: a bare number is a fraction, so `%.*s` is read as %.4g %%; write it with %%", key->name,
                     swl_slice_shown(value), value.at, quantity.value * 100);
    }
    keep_input(file, key, value, NULL,
               &(swl_input){.dim = key->dim,
                            .offset = key->offset,
                            .middle = quantity.value,
                            .half_width = quantity.half_width,
                            .low = key->low,
                            .high = key->high});
    *to = quantity.value;
}

static void read_count(const swl_keys_file *file, const swl_key *key, swl_slice value, int *to)
{
    double number = 0;
    swl_fault fault = {0};
    if (!swl_number_read(value, &number, &fault)) {
        refuse(file, key, &fault);
    } else if (!(number >= key->low && number <= key->high) || number != floor(number)) {
        refuse_range(file, key, value);
    } else {
        *to = (int)number;
    }
}

static void read_choice(const swl_keys_file *file, const swl_key *key, swl_slice value, int *to)
{
    for (int i = 0; key->choices[i] != NULL; i++) {
        if (swl_slice_is(value, key->choices[i])) {
            *to = i;
            return;
        }
    }
    refuse_range(file, key, value);
}

/* Splits "left at right" at the word "at". Returns: false when there is no such word. */
static bool split_at_word(swl_slice value, swl_slice *left, swl_slice *right)
{
    for (size_t i = 1; i + 3 < value.len; i++) {
        bool blank_before = value.at[i - 1] == ' ' || value.at[i - 1] == '\t' || value.at[i - 1] == '\n';
        bool blank_after = value.at[i + 2] == ' ' || value.at[i + 2] == '\t' || value.at[i + 2] == '\n';
        if (blank_before && blank_after && value.at[i] == 'a' && value.at[i + 1] == 't') {
            *left = swl_slice_trim((swl_slice){value.at, i});
            *right = swl_slice_trim((swl_slice){value.at + i + 2, value.len - i - 2});
            return left->len > 0 && right->len > 0;
        }
    }
    return false;
}

/* What to say of a flow that is neither of its two kinds. fault: of the second; becomes of both. */
static void flow_fault(swl_slice value, bool by_volume, const swl_fault *as_mass, swl_fault *fault)
{
    if (strstr(as_mass->text, "did you mean") != NULL) {
        *fault = *as_mass;
        return;
    }
    if (strstr(fault->text, "did you mean") != NULL) {
        return;
    }
    swl_buf units = {0};
    swl_dim_units(SWL_DIM_MASS_FLOW, &units);
    if (by_volume) {
        swl_buf_puts(&units, ", ");
        swl_dim_units(SWL_DIM_VOLUME_FLOW, &units);
    }
    fault->at = as_mass->at;
    (void)snprintf(fault->text, sizeof fault->text,
                   "read `%.*s` as the flow; a number with one of these is accepted: %s", swl_slice_shown(value),
                   value.at, swl_buf_text(&units));
    swl_buf_free(&units);
}

/* Reads the flow of a loss: a mass flow, or for a loss of cold air a volume flow at the density of every loss, as a
 * flow bench states it. */
static bool read_loss_flow(const swl_key *key, swl_slice value, swl_quantity *flow, bool *by_volume, swl_fault *fault)
{
    swl_fault as_mass = {0};
    bool ok = swl_quantity_read(value, SWL_DIM_MASS_FLOW, flow, &as_mass);
    *by_volume = !ok;
    if (!ok && key->dim == SWL_DIM_VOLUME_FLOW) {
        ok = swl_quantity_read(value, SWL_DIM_VOLUME_FLOW, flow, fault);
        flow->value *= SWL_LOSS_DENSITY_KG_M3;
        flow->half_width *= SWL_LOSS_DENSITY_KG_M3;
    }
    if (!ok) {
        flow_fault(value, key->dim == SWL_DIM_VOLUME_FLOW, &as_mass, fault);
    }
    return ok;
}

#define FLOW_MIN_KG_S 1e-4
#define FLOW_MAX_KG_S 20

static void read_loss(swl_keys_file *file, const swl_key *key, swl_slice value, swl_loss *to)
{
    swl_slice left;
    swl_slice right;
    swl_quantity drop = {0};
    swl_quantity flow = {0};
    bool by_volume = false;
    swl_fault fault = {0};
    if (!split_at_word(value, &left, &right)) {
        refuse_range(file, key, value);
        return;
    }
    if (!swl_quantity_read(left, SWL_DIM_PRESSURE, &drop, &fault) ||
        !read_loss_flow(key, right, &flow, &by_volume, &fault)) {
        refuse(file, key, &fault);
        return;
    }
    if (!(drop.value >= 0 && drop.value <= key->high)) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, left.at,
                     "%s: read `%.*s`; a drop of 0 to %.4g kPa is accepted", key->name, swl_slice_shown(left), left.at,
                     key->high / 1000);
        return;
    }
    if (!(flow.value >= FLOW_MIN_KG_S && flow.value <= FLOW_MAX_KG_S)) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, right.at,
                     "%s: read `%.*s`; a flow of 0.1 g/s to 20 kg/s is accepted", key->name, swl_slice_shown(right),
                     right.at);
        return;
    }
    keep_input(file, key, left, "drop",
               &(swl_input){.dim = SWL_DIM_PRESSURE,
                            .offset = key->offset + offsetof(swl_loss, dp_pa),
                            .middle = drop.value,
                            .half_width = drop.half_width,
                            .high = key->high});
    keep_input(file, key, right, "flow",
               &(swl_input){.dim = SWL_DIM_MASS_FLOW,
                            .offset = key->offset + offsetof(swl_loss, mdot_kg_s),
                            .middle = flow.value,
                            .half_width = flow.half_width,
                            .low = FLOW_MIN_KG_S,
                            .high = FLOW_MAX_KG_S,
                            .by_volume = by_volume});
    *to = (swl_loss){.dp_pa = drop.value, .mdot_kg_s = flow.value};
}

/* 10 cc/min, and 10 L/min. */
#define RATING_MIN_M3_S (1e-5 / 60)
#define RATING_SPAN 1000

#define POWER_MIN_W 1e3
#define POWER_MAX_W 5e6
#define SPEED_MIN_RPM 100
#define SPEED_MAX_RPM 30000

static void read_power_at(swl_keys_file *file, const swl_key *key, swl_slice value, double *to)
{
    swl_slice left;
    swl_slice right;
    swl_quantity power = {0};
    swl_quantity speed = {0};
    swl_fault fault = {0};
    if (!split_at_word(value, &left, &right)) {
        refuse_range(file, key, value);
        return;
    }
    if (!swl_quantity_read(left, SWL_DIM_POWER, &power, &fault) ||
        !swl_quantity_read(right, SWL_DIM_SPEED, &speed, &fault)) {
        refuse(file, key, &fault);
    } else if (!(power.value >= POWER_MIN_W && power.value <= POWER_MAX_W && speed.value >= SPEED_MIN_RPM &&
                 speed.value <= SPEED_MAX_RPM)) {
        refuse_range(file, key, value);
    } else {
        keep_input(file, key, left, "power",
                   &(swl_input){.dim = SWL_DIM_POWER,
                                .offset = key->offset,
                                .middle = power.value,
                                .half_width = power.half_width,
                                .low = POWER_MIN_W,
                                .high = POWER_MAX_W});
        keep_input(file, key, right, "speed",
                   &(swl_input){.dim = SWL_DIM_SPEED,
                                .offset = key->offset + sizeof(double),
                                .middle = speed.value,
                                .half_width = speed.half_width,
                                .low = SPEED_MIN_RPM,
                                .high = SPEED_MAX_RPM});
        to[0] = power.value;
        to[1] = speed.value;
    }
}

/* An injector's flow, by mass or by volume, at a pressure across it. */
static void read_rating(swl_keys_file *file, const swl_key *key, swl_slice value, swl_injector_rating *to)
{
    swl_slice left;
    swl_slice right;
    swl_quantity flow = {0};
    swl_quantity pressure = {0};
    swl_fault fault = {0};
    if (!split_at_word(value, &left, &right)) {
        refuse_range(file, key, value);
        return;
    }
    swl_fault as_mass = {0};
    bool by_mass = swl_quantity_read(left, SWL_DIM_MASS_FLOW, &flow, &as_mass);
    if (!by_mass && !swl_quantity_read(left, SWL_DIM_VOLUME_FLOW, &flow, &fault)) {
        flow_fault(left, true, &as_mass, &fault);
        refuse(file, key, &fault);
        return;
    }
    if (!swl_quantity_read(right, SWL_DIM_PRESSURE, &pressure, &fault)) {
        refuse(file, key, &fault);
        return;
    }
    double least = by_mass ? RATING_MIN_M3_S * 1000 : RATING_MIN_M3_S;
    if (!(flow.value >= least && flow.value <= least * RATING_SPAN && pressure.value >= 1e4 && pressure.value <= 4e7)) {
        refuse_range(file, key, value);
        return;
    }
    size_t offset =
        key->offset + (by_mass ? offsetof(swl_injector_rating, mdot_kg_s) : offsetof(swl_injector_rating, vdot_m3_s));
    keep_input(file, key, left, "flow",
               &(swl_input){.dim = by_mass ? SWL_DIM_MASS_FLOW : SWL_DIM_VOLUME_FLOW,
                            .offset = offset,
                            .middle = flow.value,
                            .half_width = flow.half_width,
                            .low = least,
                            .high = least * RATING_SPAN});
    keep_input(file, key, right, "pressure",
               &(swl_input){.dim = SWL_DIM_PRESSURE,
                            .offset = key->offset + offsetof(swl_injector_rating, dp_pa),
                            .middle = pressure.value,
                            .half_width = pressure.half_width,
                            .low = 1e4,
                            .high = 4e7});
    *to = (swl_injector_rating){.mdot_kg_s = by_mass ? flow.value : (double)NAN,
                                .vdot_m3_s = by_mass ? (double)NAN : flow.value,
                                .dp_pa = pressure.value};
}

static void read_air_flow(swl_keys_file *file, const swl_key *key, swl_slice value, double *to)
{
    swl_quantity flow = {0};
    bool by_volume = false;
    swl_fault fault = {0};
    if (!read_loss_flow(key, value, &flow, &by_volume, &fault)) {
        refuse(file, key, &fault);
    } else if (!(flow.value >= key->low && flow.value <= key->high)) {
        refuse_range(file, key, value);
    } else {
        keep_input(file, key, value, NULL,
                   &(swl_input){.dim = SWL_DIM_MASS_FLOW,
                                .offset = key->offset,
                                .middle = flow.value,
                                .half_width = flow.half_width,
                                .low = key->low,
                                .high = key->high,
                                .by_volume = by_volume});
        *to = flow.value;
    }
}

static void read_coolant(swl_keys_file *file, const swl_key *key, swl_slice value, double *to)
{
    swl_slice rest = value;
    swl_slice word = swl_slice_split(&rest, ' ');
    swl_quantity share = {0};
    swl_fault fault = {0};
    bool mixed = swl_slice_is(word, "water-glycol") && rest.at != NULL;
    if (swl_slice_is(value, "water")) {
        *to = 0;
    } else if (mixed && !swl_quantity_read(swl_slice_trim(rest), SWL_DIM_FRACTION, &share, &fault)) {
        refuse(file, key, &fault);
    } else if (!mixed || !(share.value >= key->low && share.value <= key->high)) {
        refuse_range(file, key, value);
    } else {
        keep_input(file, key, value, NULL,
                   &(swl_input){.offset = key->offset,
                                .middle = share.value,
                                .half_width = share.half_width,
                                .low = key->low,
                                .high = key->high});
        *to = share.value;
    }
}

/* ISO 9981:2020: the nominal effective line differential of a PK belt is 2 mm. */
static void read_belt(const swl_keys_file *file, const swl_key *key, swl_slice value, swl_drive *drive)
{
    swl_slice rest = value;
    swl_slice profile = swl_slice_split(&rest, ' ');
    double ribs = 0;
    swl_fault fault = {0};
    bool counted =
        rest.at == NULL || (swl_number_read(rest, &ribs, &fault) && ribs >= 1 && ribs <= 30 && ribs == floor(ribs));
    if (!swl_slice_is(profile, "PK") || !counted) {
        refuse_range(file, key, value);
        return;
    }
    memcpy(drive->belt_profile, "PK", sizeof "PK");
    drive->belt_ribs = (int)ribs;
    drive->line_differential_m = 0.002;
}

/* The half-widths of a curve's points, where the key has room for them. */
static void keep_curve(swl_keys_file *file, const swl_key *key, swl_curve *half_width, char *target)
{
    if (half_width != NULL && key->size != 0) {
        *(swl_curve **)(void *)(target + key->size) = half_width;
        keep_input(file, key, (swl_slice){NULL, 0}, NULL,
                   &(swl_input){.offset = key->size + sizeof(swl_curve *), .half_width = 1, .low = -5, .high = 5});
    } else {
        swl_curve_free(half_width);
    }
}

/* Two numbers with a comma between. */
static void read_pair(const swl_keys_file *file, const swl_key *key, swl_slice value, double *to)
{
    swl_slice second = value;
    swl_slice first = swl_slice_split(&second, ',');
    if (second.at == NULL || memchr(second.at, ',', second.len) != NULL) {
        refuse_range(file, key, value);
        return;
    }
    for (int i = 0; i < 2; i++) {
        swl_quantity quantity = {0};
        swl_fault fault = {0};
        swl_slice part = swl_slice_trim(i == 0 ? first : second);
        if (!swl_quantity_read(part, key->dim, &quantity, &fault)) {
            refuse(file, key, &fault);
            return;
        }
        if (!(quantity.value >= key->low && quantity.value <= key->high)) {
            refuse_range(file, key, part);
            return;
        }
        to[i] = quantity.value;
    }
}

/* Where inputs are not kept, that is told of each that has a half-width; curves tell it themselves. */
static void note_middle(const swl_keys_file *file, const swl_key *key, swl_slice value)
{
    bool number = key->type == KEY_QUANTITY || key->type == KEY_PAIR || key->type == KEY_OWN;
    if (file->at_middle && number && swl_plus_minus_find(value) != NULL) {
        swl_diag_add(file->diags, SWL_NOTE, file->text, value.at, "%s: its half-width is not used; the middle is taken",
                     key->name);
    }
}

swl_status swl_key_value_read(swl_keys_file *file, const swl_key *key, swl_slice value, void *target_struct,
                              swl_err *err)
{
    note_middle(file, key, value);
    char *target = target_struct;
    void *to = target + key->offset;
    switch (key->type) {
    case KEY_TEXT:
        read_text(file, key, value, to);
        break;
    case KEY_QUANTITY:
        read_quantity(file, key, value, to);
        break;
    case KEY_COUNT:
        read_count(file, key, value, to);
        break;
    case KEY_CHOICE:
        read_choice(file, key, value, to);
        break;
    case KEY_CURVE:
    case KEY_FLOW_CURVE:
    case KEY_PRESSURE_CURVE: {
        swl_err own = {0};
        swl_curve *half_width = NULL;
        *(swl_curve **)to = swl_curve_value_read(file, key, value, &half_width, &own);
        if (half_width != NULL && key->size == 0) {
            swl_diag_add(file->diags, SWL_NOTE, file->text, value.at,
                         "%s: the half-widths of this curve are not kept; it is taken as given", key->name);
        }
        keep_curve(file, key, half_width, target);
        return own.status == SWL_ERR_MEMORY ? swl_err_set(err, SWL_ERR_MEMORY, "%s", own.text) : SWL_OK;
    }
    case KEY_LOSS:
        read_loss(file, key, value, to);
        break;
    case KEY_POWER_AT:
        read_power_at(file, key, value, to);
        break;
    case KEY_RATING:
        read_rating(file, key, value, to);
        break;
    case KEY_AIR_FLOW:
        read_air_flow(file, key, value, to);
        break;
    case KEY_COOLANT:
        read_coolant(file, key, value, to);
        break;
    case KEY_BELT:
        read_belt(file, key, value, to);
        break;
    case KEY_PAIR:
        read_pair(file, key, value, to);
        break;
    case KEY_FILE:
    case KEY_OWN:
        break;
    case KEY_LATER:
        swl_diag_add(file->diags, SWL_ERROR, file->text, value.at, "%s: this version does not compute with it yet; %s",
                     key->name, key->accept);
        break;
    }
    return SWL_OK;
}

static const char *nearest(swl_slice word, const char *const *names, size_t count)
{
    const char *best = NULL;
    int best_distance = word.len < 6 ? 2 : 4;
    for (size_t i = 0; i < count; i++) {
        int distance = swl_edit_distance(word, swl_slice_of(names[i]));
        if (distance < best_distance) {
            best_distance = distance;
            best = names[i];
        }
    }
    return best;
}

/* Given: the table whose keys are accepted in the entry's section; is_own tells that every row of it is. */
static void unknown_key(const swl_keys_file *file, const swl_ini_entry *entry, const swl_key *keys, size_t key_count,
                        bool is_own)
{
    const char *here[KEYS_MAX] = {NULL};
    size_t count = 0;
    swl_buf list = {0};
    const char *elsewhere = NULL;
    for (size_t k = 0; k < key_count; k++) {
        if (is_own || swl_slice_is(entry->section, keys[k].section)) {
            here[count++] = keys[k].name;
            swl_buf_printf(&list, "%s%s", count > 1 ? ", " : "", keys[k].name);
        } else if (swl_slice_is(entry->key, keys[k].name)) {
            elsewhere = keys[k].section;
        }
    }
    const char *near = nearest(entry->key, here, count);
    int shown = swl_slice_shown(entry->key);
    if (near != NULL) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, entry->key.at,
                     "`%.*s` is not a key of [%.*s]; did you mean %s?", shown, entry->key.at, (int)entry->section.len,
                     entry->section.at, near);
    } else if (elsewhere != NULL) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, entry->key.at,
                     "`%.*s` is not a key of [%.*s]; it belongs in [%s]", shown, entry->key.at, (int)entry->section.len,
                     entry->section.at, elsewhere);
    } else {
        swl_diag_add(file->diags, SWL_ERROR, file->text, entry->key.at,
                     "`%.*s` is not a key of [%.*s]; accepted are %s", shown, entry->key.at, (int)entry->section.len,
                     entry->section.at, swl_buf_text(&list));
    }
    swl_buf_free(&list);
}

/* A section whose name ends in a blank in the list ("pulley ") takes any word after it. */
static bool section_is(swl_slice name, const char *known)
{
    size_t n = strlen(known);
    bool open = n > 0 && known[n - 1] == ' ';
    return open ? name.len > n && memcmp(name.at, known, n) == 0 : swl_slice_is(name, known);
}

static bool section_has_keys(const swl_keys_file *file, swl_slice section)
{
    for (size_t k = 0; k < file->key_count; k++) {
        if (swl_slice_is(section, file->keys[k].section)) {
            return true;
        }
    }
    return false;
}

static void section_check(swl_keys_file *file, swl_slice name)
{
    size_t count = 0;
    swl_buf list = {0};
    for (; file->sections[count] != NULL; count++) {
        if (section_is(name, file->sections[count])) {
            file->section_seen |= 1U << count;
            swl_buf_free(&list);
            return;
        }
        const char *known = file->sections[count];
        bool open = known[strlen(known) - 1] == ' ';
        swl_buf_printf(&list, "%s[%s%s]", count > 0 ? ", " : "", known, open ? "NAME" : "");
    }
    const char *near = nearest(name, file->sections, count);
    if (near != NULL) {
        swl_diag_add(file->diags, SWL_ERROR, file->text, name.at,
                     "[%.*s] is not a section of this file; did you mean [%s%s]?", swl_slice_shown(name), name.at, near,
                     near[strlen(near) - 1] == ' ' ? "NAME" : "");
    } else {
        swl_diag_add(file->diags, SWL_ERROR, file->text, name.at,
                     "[%.*s] is not a section of this file; accepted are %s", swl_slice_shown(name), name.at,
                     swl_buf_text(&list));
    }
    swl_buf_free(&list);
}

static swl_status entry_read(swl_keys_file *file, const swl_ini_entry *entry, void *target, swl_err *err)
{
    for (size_t k = 0; k < file->key_count; k++) {
        const swl_key *key = &file->keys[k];
        if (!swl_slice_is(entry->section, key->section) || !swl_slice_is(entry->key, key->name)) {
            continue;
        }
        file->place[k] = entry->value;
        /* An empty value has been told already. */
        return entry->value.len > 0 ? swl_key_value_read(file, key, entry->value, target, err) : SWL_OK;
    }
    if (section_has_keys(file, entry->section)) {
        unknown_key(file, entry, file->keys, file->key_count, false);
    }
    return SWL_OK;
}

static void missing_check(const swl_keys_file *file)
{
    for (size_t k = 0; k < file->key_count; k++) {
        const swl_key *key = &file->keys[k];
        bool wanted = (key->flags & KEY_REQUIRED) != 0 && file->place[k].at == NULL;
        if (wanted && swl_keys_section(file, key->section)) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, NULL, "%s is missing from [%s]; %s is wanted", key->name,
                         key->section, key->accept);
        }
    }
}

swl_status swl_keys_read(swl_keys_file *file, void *target, swl_err *err)
{
    swl_ini ini = {0};
    swl_status status = swl_ini_read(&ini, file->text, file->diags, err);
    for (size_t i = 0; i < ini.section_count && status == SWL_OK; i++) {
        if (swl_slice_is(ini.sections[i], file->foreign_section)) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, ini.sections[i].at, "%s", file->foreign_words);
            file->foreign = true;
            swl_ini_free(&ini);
            return SWL_OK;
        }
    }
    for (size_t i = 0; i < ini.section_count && status == SWL_OK; i++) {
        section_check(file, ini.sections[i]);
    }
    for (size_t i = 0; i < ini.count && status == SWL_OK; i++) {
        status = entry_read(file, &ini.entries[i], target, err);
    }
    if (status == SWL_OK) {
        missing_check(file);
    }
    if (status == SWL_OK && file->more != NULL) {
        status = file->more(file, &ini, target, err);
    }
    swl_ini_free(&ini);
    return status;
}

static bool same_words(swl_slice a, swl_slice b)
{
    return a.len == b.len && memcmp(a.at, b.at, a.len) == 0;
}

static swl_status section_entry_read(swl_keys_file *file, const swl_ini_entry *entry, const swl_key *keys,
                                     size_t key_count, swl_slice *place, void *target, swl_err *err)
{
    for (size_t k = 0; k < key_count; k++) {
        if (swl_slice_is(entry->key, keys[k].name)) {
            place[k] = entry->value;
            return entry->value.len > 0 ? swl_key_value_read(file, &keys[k], entry->value, target, err) : SWL_OK;
        }
    }
    unknown_key(file, entry, keys, key_count, true);
    return SWL_OK;
}

swl_status swl_keys_section_read(swl_keys_file *file, const swl_ini *ini, swl_slice section, const swl_key *keys,
                                 size_t key_count, swl_slice *place, void *target, swl_err *err)
{
    bool at_middle = file->at_middle;
    swl_status status = SWL_OK;
    file->at_middle = true;
    for (size_t i = 0; i < ini->count && status == SWL_OK; i++) {
        if (same_words(ini->entries[i].section, section)) {
            status = section_entry_read(file, &ini->entries[i], keys, key_count, place, target, err);
        }
    }
    file->at_middle = at_middle;
    for (size_t k = 0; k < key_count && status == SWL_OK; k++) {
        if ((keys[k].flags & KEY_REQUIRED) != 0 && place[k].at == NULL) {
            swl_diag_add(file->diags, SWL_ERROR, file->text, section.at, "%s is missing from [%.*s]; %s is wanted",
                         keys[k].name, (int)section.len, section.at, keys[k].accept);
        }
    }
    return status;
}

swl_slice swl_keys_given(const swl_keys_file *file, const char *section, const char *name)
{
    for (size_t k = 0; k < file->key_count; k++) {
        if (strcmp(file->keys[k].section, section) == 0 && strcmp(file->keys[k].name, name) == 0) {
            return file->place[k];
        }
    }
    return (swl_slice){NULL, 0};
}

bool swl_keys_section(const swl_keys_file *file, const char *section)
{
    for (size_t i = 0; file->sections[i] != NULL; i++) {
        if (strcmp(file->sections[i], section) == 0) {
            return (file->section_seen & (1U << i)) != 0;
        }
    }
    return false;
}
