/* view.h -- the network as it is for plants of one kind.
 *
 * Most rules are about some kinds only, and what is told of a plant of another
 * kind need not be told to them. A view leaves them out: of every literal on what
 * is asked of a plant it lists the nodes of rules that may concern the kind. Literals
 * on the kind itself and on derived findings are listed whole, so that a rule
 * that is left out can never hold, and is up to date once all answers but the
 * kind's are taken back.
 *
 * Views are part of the base, made with it and never changed.
 */
#ifndef FEN_VIEW_H
#define FEN_VIEW_H

#include "fenmend/base.h"
#include "fenmend/status.h"

typedef struct fen_view {
    const uint32_t *occ_at; /* [2 n_tests + 1], see net.h */
    const uint32_t *occ;
    /* what may concern the kind, ascending */
    fen_list rules;
    fen_list lines;         /* those of them that can need several answers, see lines.c */
    fen_list causes;        /* that are ever met */
    fen_list findings;      /* that are asked, without the kind */
} fen_view;

struct fen_base;

/* Fill base->net.whole and, if rules are about kinds and there is room for it, the
 * views of all kinds. The rest of the net is done. */
FEN_MUST_USE fen_status fen_views_make(struct fen_base *base);

/* The view for this answer to the kind: the whole if it is open, or not known. */
struct fen_answer;
const fen_view *fen_view_of(const struct fen_base *base, const struct fen_answer *kind);

#endif
