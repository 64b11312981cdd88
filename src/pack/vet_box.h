/* vet_box.h -- conditions as sets of answers, so that they can be compared.
 *
 * A *limit* says what one variable must be: for a finding, whether it is open,
 * unsure or known, and if known which answers or which interval; for a sum, the
 * interval its value must lie in. A *box* is some limits that must all hold, by
 * variable. A *region* is some boxes of which one must hold. The region of a condition
 * (in disjunctive normal form) has every set of answers that makes it true, and no
 * other, as far as sums of findings are taken for variables of their own.
 *
 * A region of more than FEN_BOXES_MAX boxes is not worked out: its `whole` is false and
 * nothing may be concluded from it. All memory is of the arena given.
 */
#ifndef FEN_VET_BOX_H
#define FEN_VET_BOX_H

#include "model/net.h"
#include "util/arena.h"

#define FEN_BOXES_MAX 64u

enum { FEN_IS_OPEN = 1, FEN_IS_UNSURE = 2, FEN_IS_KNOWN = 4 };

typedef struct fen_limit {
    uint32_t var;    /* a finding, or fen_base_findings + a sum */
    uint8_t states;  /* of the three above; values count only for what is known alone */
    bool lo_open, hi_open;
    uint64_t in;     /* one answer at a time: those possible; several: those there */
    uint64_t out;    /* several: those not there */
    double lo, hi;
} fen_limit;

typedef struct fen_box {
    const fen_limit *at; /* by var, each once */
    uint32_t n;
    uint64_t vars;       /* a bit for each, by var modulo 64 */
} fen_box;

typedef struct fen_region {
    const fen_box *at;
    uint32_t n;
    bool whole;
} fen_region;

typedef struct fen_boxes {
    const fen_base *base;
    fen_arena *arena;
    const uint64_t *below;  /* by kind: itself and what is below it */
    const uint64_t *beside; /* by kind: what it is certainly not */
    const fen_limit *full;  /* by var: everything that it can be when known */
    bool nomem;
} fen_boxes;

FEN_MUST_USE fen_status fen_boxes_begin(fen_boxes *b, const fen_base *base, fen_arena *arena);

/* Where COND is true (NEGATED: false); everywhere for FEN_NONE. */
fen_region fen_region_of(fen_boxes *b, fen_id cond, bool negated);
/* Where a rule's condition is true, its kinds with it. */
fen_region fen_region_of_rule(fen_boxes *b, const fen_rule *r);
/* Where both hold. */
fen_region fen_region_both(fen_boxes *b, fen_region x, fen_region y);

/* Is all of X within Y (false: not known to be)? */
bool fen_box_within(const fen_boxes *b, const fen_box *x, const fen_box *y);
bool fen_region_within(const fen_boxes *b, fen_region x, fen_region y);
/* The box of both; false if nothing is in it. */
bool fen_box_both(fen_boxes *b, const fen_box *x, const fen_box *y, fen_box *ret);
/* Is there anything that X and Y share? Nothing is allocated. */
bool fen_box_meets(const fen_boxes *b, const fen_box *x, const fen_box *y);

#endif
