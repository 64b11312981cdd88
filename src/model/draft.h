/* draft.h -- a rule base while it is being put together, and the one way from
 * there to a finished fen_base.
 *
 * The draft's arrays hold the public structs of base.h with every reference
 * already resolved to an index; strings and inner arrays live in the draft's
 * arena (fen_draft_new makes it; the finished base takes it over). Who fills a
 * draft: the pack reader, and tests and benchmarks that make bases by program.
 *
 * Order of work: kinds first (finding 0 is made from them), then findings (each
 * call to fen_draft_finding gives its atoms their test ids), then the rest.
 */
#ifndef FEN_DRAFT_H
#define FEN_DRAFT_H

#include "fenmend/base.h"
#include "util/arena.h"
#include "util/vec.h"

typedef struct fen_draft {
    fen_arena *arena;
    FEN_VEC(fen_kind) kinds;
    FEN_VEC(fen_finding) findings; /* [0] is made by fen_draft_seal_kinds */
    FEN_VEC(fen_test) tests;
    FEN_VEC(fen_expr) exprs;
    FEN_VEC(fen_cond) conds;
    FEN_VEC(fen_cause) causes;   /* something-else is added by fen_draft_finish */
    FEN_VEC(fen_hazard) hazards;
    FEN_VEC(fen_rule) rules;     /* cond without the kinds; kinds set apart */
    FEN_VEC(fen_remedy) remedies;
    FEN_VEC(fen_task) tasks;
    fen_settings settings;       /* defaults set by fen_draft_new */
    double something_else;       /* usual rate; 0 leaves it out (probability 0) */
} fen_draft;

fen_draft *fen_draft_new(void); /* NULL: no memory */
void fen_draft_free(fen_draft *d);

/* After the last kind, before the first finding: makes finding 0. With no kinds
 * declared, one kind "plant" is made. At most FEN_OPTIONS_MAX kinds (checked by the caller). */
FEN_MUST_USE fen_status fen_draft_seal_kinds(fen_draft *d);

/* Append F (options filled; n_options <= 64; yes-no has options yes, no); sets
 * first_atom and makes its atom tests. Options' usual shares are scaled to sum to 1 for
 * choice and yes-no; if all are 0 they become equal. */
FEN_MUST_USE fen_status fen_draft_finding(fen_draft *d, fen_finding f, fen_id *ret_finding);

/* A test other than an atom; equal tests share one id. */
FEN_MUST_USE fen_status fen_draft_test(fen_draft *d, fen_test t, fen_id *ret_test);
FEN_MUST_USE fen_status fen_draft_expr(fen_draft *d, fen_expr e, fen_id *ret_expr);
/* PARTS is copied. For FEN_COND_TEST pass NULL, 0 and the test. */
FEN_MUST_USE fen_status fen_draft_cond(fen_draft *d, fen_cond_op op, const fen_id *parts, uint32_t n_parts,
                                       fen_id test, const char *text, fen_place place, fen_id *ret_cond);

/* What made fen_draft_finish refuse. */
typedef struct fen_cycle {
    fen_list rules;     /* r0 needs r1 ... needs r0; in the draft's arena */
    bool too_many_strata;
    fen_id overflow_cause; /* weights of this cause could overflow; else FEN_NONE */
} fen_cycle;

/* Compile and hand over. On success the draft is consumed (freed). FEN_EINPUT: *reterr_cycle
 * (valid while the draft lives) says why; the draft stays. */
FEN_MUST_USE fen_status fen_draft_finish(fen_draft *d, fen_base **ret_base, fen_cycle *reterr_cycle);

#endif
