/* lesson_own.h -- what the parts of a lesson share; see fenmend/lesson.h for what it is.
 *
 * lesson.c makes proposals; lesson_order.c puts them in order; lesson_tests.c finds what separates
 * cases; lesson_form.c makes rules that put the true cause ahead; lesson_text.c writes
 * them; lesson_judge.c judges this case and all settled ones under them;
 * lesson_keep.c writes files.
 */
#ifndef FEN_LESSON_OWN_H
#define FEN_LESSON_OWN_H

#include "fenmend/lesson.h"
#include "own_pack.h"
#include "store.h"
#include "util/arena.h"

#define FEN_LESSON_NAME 64       /* bytes of a name, with its NUL */
#define FEN_LESSON_OVER 4       /* rules that one exception goes over */
#define FEN_LESSON_PROPOSALS 24 /* made in one go */
#define FEN_LESSON_SHOWN 8      /* the best of them: a page of them is more than anybody reads */
#define FEN_LESSON_MARGIN FEN_DBAN          /* ahead by a quarter more, not by a hair */
#define FEN_LESSON_HAIR (FEN_DBAN / 10)

/* A rule in the making. */
typedef struct fen_sketch {
    fen_lesson_form form;
    fen_id misled[FEN_LESSON_OVER];
    uint32_t n_misled;
    bool adds; /* beside them; see lesson_form.c for when */
    fen_lesson_test tests[FEN_LESSON_TESTS];
    uint32_t n_tests;
    fen_lesson_move moves[FEN_LESSON_MOVES];
    uint32_t n_moves;
    bool light;
} fen_sketch;

/* What its tests have to do with the true cause. */
typedef enum fen_lesson_ground {
    FEN_LESSON_BORNE_OUT, /* rules say so, or a settled case with the wrong verdict is told apart */
    FEN_LESSON_GROUNDLESS,
    FEN_LESSON_CONTRARY   /* rules say the opposite */
} fen_lesson_ground;

typedef struct fen_drafted { /* a proposal and what it was made from; owns its arena */
    fen_proposal shown;
    fen_sketch sketch;
    fen_arena *arena;
    fen_lesson_ground ground; /* this and the next two for the order */
    double overclaim;         /* dBan more than its answers' usual shares allow */
    fen_weight leaning;       /* how much the rules make of its tests already, for the true cause */
} fen_drafted;

struct fen_lesson {
    fen_lesson_setup set;
    fen_lesson_state state;
    fen_id right, wrong;
    fen_session *session;
    const fen_visit *visit;  /* the one that is judged */
    fen_store store;
    fen_own_pack own;
    fen_own_lesson last;
    uint32_t self;           /* this case among the settled ones, or UINT32_MAX */
    bool *as_wrong;          /* of each settled case: on it the wrong verdict was the right one */
    char rule[FEN_LESSON_NAME];
    bool vetted;             /* `known` is filled */
    fen_problems *known;     /* what the checks say without the rule */
    FEN_VEC(fen_drafted) drafts;
};

/* ---- lesson_tests.c ---- */

/* Does T hold of C's last visit: 1, -1, or 0 where it is not known. */
int fen_lesson_holds(const fen_base *base, const fen_lesson_test *t, const fen_case *c);
/* The best tests of this case against the settled cases marked in AGAINST (by index), best
 * first, one a finding; none that S has already, nor that follows from where the rules that misled
 * hold. The one that the rules bear out most is among them. MUST: only those that are known not to hold
 * of one of them. Returns how many; UINT32_MAX: no memory. */
uint32_t fen_lesson_separate(const fen_lesson *l, const fen_sketch *s, const bool *against, bool must, fen_lesson_test *ret, uint32_t most);
/* Does T follow from where the rules that misled hold, or from the tests of S? Then it would guard nothing. */
bool fen_lesson_asked_for(const fen_base *base, const fen_sketch *s, const fen_lesson_test *t);
/* How much more the rules make of what T looks at, as it was answered, for the true cause than for the
 * one that was ahead; of a rule against that one, how much they make of it against that. The rules that
 * misled do not count: they are what is mended. */
fen_weight fen_lesson_leaning(const fen_lesson *l, const fen_sketch *s, const fen_lesson_test *t);
/* Does the condition look at FINDING (at its atom ATOM, if not NONE)? */
bool fen_lesson_looks_at(const fen_base *base, fen_id cond, fen_id finding, fen_id atom);
/* Put T to S's tests; one of the same kind on the same quantity gives way. false: S is full. */
bool fen_lesson_add_test(fen_sketch *s, const fen_lesson_test *t);

/* ---- lesson_form.c ---- */

/* Work out S's moves, so that the true cause is ahead by a margin, and whether it adds. false: it
 * cannot be done in this form. */
bool fen_lesson_weigh(const fen_lesson *l, fen_sketch *s);
/* Rules that misled, worst first. Returns how many. */
uint32_t fen_lesson_misled(const fen_lesson *l, fen_id *ret, uint32_t most);

/* ---- lesson_text.c ---- */

/* *ret_size: tests and effects it has then. */
FEN_MUST_USE fen_status fen_lesson_write(const fen_lesson *l, const fen_sketch *s, fen_str *out, size_t *ret_size);

/* ---- lesson_order.c ---- */

void fen_lesson_appraise(const fen_lesson *l, fen_drafted *d);
/* Best first, and no more than are shown. */
void fen_lesson_put_in_order(fen_lesson *l);

/* ---- lesson_judge.c ---- */

/* Judge SKETCH in full. *ret_good false: it does not load, or this case would not be right. */
FEN_MUST_USE fen_status fen_lesson_try(fen_lesson *l, const fen_sketch *sketch, fen_problems *problems, fen_drafted *ret_draft, bool *ret_good);
void fen_drafted_free(fen_drafted *d);

#endif
