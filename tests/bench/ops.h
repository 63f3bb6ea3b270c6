/* The drawing calls that a chart is made of: one row each, with the count of its numbers. A text follows its record. */
#ifndef TESTS_BENCH_OPS_H
#define TESTS_BENCH_OPS_H

#define OPS_0(X)                                                                                                       \
    X(save)                                                                                                            \
    X(restore)                                                                                                         \
    X(new_path)                                                                                                        \
    X(new_sub_path) X(close_path) X(fill) X(fill_preserve) X(stroke) X(stroke_preserve) X(clip) X(clip_preserve)       \
        X(paint)
#define OPS_1(X) X(set_line_width) X(rotate) X(set_font_size)
#define OPS_2(X) X(move_to) X(line_to) X(rel_move_to) X(rel_line_to) X(translate) X(scale)
#define OPS_3(X) X(set_source_rgb)
#define OPS_4(X) X(rectangle) X(set_source_rgba)
#define OPS_5(X) X(arc) X(arc_negative)
#define OPS_ENUM(X) X(set_line_cap) X(set_line_join) X(set_fill_rule) X(set_operator) X(set_antialias)
#define OPS_TEXT(X) X(text_path) X(show_text)

#define OP_NAME(name) OP_##name,
typedef enum op_kind {
    OPS_0(OP_NAME) OPS_1(OP_NAME) OPS_2(OP_NAME) OPS_3(OP_NAME) OPS_4(OP_NAME) OPS_5(OP_NAME) OPS_ENUM(OP_NAME)
        OPS_TEXT(OP_NAME) OP_curve_to,
    OP_set_dash,         /* v[0] offset, bytes: the lengths */
    OP_select_font_face, /* v[0] slant, v[1] weight, bytes: family */
    OP_set_matrix,
    OP_transform,
    OP_page, /* v: width, height, scale; the first record */
    OP_unknown
} op_kind;

typedef struct op {
    double v[6];
    int kind;
    int bytes; /* that follow this record, padded to 8 */
} op;

#endif
