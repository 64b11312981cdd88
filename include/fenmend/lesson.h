/* lesson.h -- a case that was judged wrongly becomes a rule, held to every case that is settled.
 *
 * An expert is shown to be wrong by a case, not by a theory: the rule that is added is
 * an exception in the context of the verdict that misled, made of what separates this case from
 * those that the old verdict fits, and it is kept only in sight of all cases settled before
 * (cornerstone cases: Compton and Jansen, "A philosophical basis for knowledge
 * acquisition", Knowledge Acquisition 2, 1990; ripple-down rules).
 *
 * A lesson reads the settled cases (settled.h) and the grower's own pack, and proposes
 * rules. Each proposal has gone through the loader and the checks of vet.h, makes this case
 * right, and says which settled verdicts it would change. No file is written before
 * fen_lesson_keep, which writes the case first and the pack second, each as a whole: after a kill
 * between the two, the same lesson again completes what is missing, and doubles nothing.
 *
 * Weights are the smallest that put the true cause ahead. No proposal excludes a cause:
 * one plant is no proof of what is impossible.
 */
#ifndef FENMEND_LESSON_H
#define FENMEND_LESSON_H

#include "fenmend/case.h"
#include "fenmend/settled.h"

typedef enum fen_lesson_form { /* in the order in which equals are proposed */
    FEN_LESSON_EXCEPTION, /* to the rule that misled, where that holds and the tests do */
    FEN_LESSON_FOR,       /* where the tests hold, evidence for the true cause */
    FEN_LESSON_AGAINST,   /* where the tests hold, evidence against what was ahead */
    FEN_LESSON_WEIGHT     /* other weights of the rule that misled, wherever it holds */
} fen_lesson_form;

typedef enum fen_lesson_op { FEN_LESSON_IS, FEN_LESSON_INCLUDES, FEN_LESSON_EXCLUDES, FEN_LESSON_LESS, FEN_LESSON_AT_MOST, FEN_LESSON_AT_LEAST, FEN_LESSON_MORE } fen_lesson_op;

typedef struct fen_lesson_test {
    fen_id finding;
    fen_lesson_op op;
    fen_id option;  /* IS, INCLUDES, EXCLUDES */
    double bound;   /* others: stored unit; a date: its age in days */
} fen_lesson_test;

#define FEN_LESSON_TESTS 6  /* of one rule: more, and nobody would know the plant again */
#define FEN_LESSON_MOVES 8

typedef struct fen_lesson_move { /* what the rule changes about a cause's weight, where it fires */
    fen_id cause;
    fen_weight before, after; /* before: of the rules that misled */
} fen_lesson_move;

/* A settled case whose leading cause would be another. */
typedef struct fen_lesson_flip {
    const char *id;
    fen_id was, now;
    fen_list settled;
    bool right_now; /* it was wrong, and would be right: a gain, which nobody has to decide about */
    size_t nth;     /* among the settled cases */
} fen_lesson_flip;

typedef struct fen_proposal {
    fen_lesson_form form;
    fen_list misled;              /* rules, of EXCEPTION and WEIGHT */
    bool adds;                    /* it stands beside them and says the difference; else it goes over them */
    const fen_lesson_test *tests;
    size_t n_tests;
    const fen_lesson_move *moves;
    size_t n_moves;
    size_t size;                  /* what must be read and trusted: its tests and its effects */
    fen_weight moved;             /* all of it together */
    const char *yaml;             /* the rule, as it will stand in the pack but for its indentation */
    double p;                     /* of the true cause then */
    const fen_lesson_flip *flips;
    size_t n_flips, n_changed;    /* n_changed: of them, those that are no gain */
    const char *warnings;         /* what the checks say of it that they did not say before, as lines; or "" */
    bool stuck;                   /* no further test tells this case from those that would change */
    bool light;                   /* the least weight that does, to a tenth of a dBan */
} fen_proposal;

typedef enum fen_lesson_state {
    FEN_LESSON_WRONG,
    FEN_LESSON_RIGHT,   /* the verdict was right: there is nothing to learn but the case itself */
    FEN_LESSON_UNFIT    /* the true cause cannot occur in this kind of plant: no rule helps, its `kinds` are at fault */
} fen_lesson_state;

typedef struct fen_lesson_setup {
    const fen_base *base;
    const char *const *packs; /* what BASE was loaded from */
    size_t n_packs;
    const char *pack;         /* the grower's own: the rule goes there; need not be there yet */
    const char *store;        /* the settled cases; need not be there yet */
    const fen_case *c;        /* settled */
    const char *author;       /* or NULL */
    int32_t today;
    uint32_t jobs;            /* for judging the settled cases */
    bool replace;             /* the case may take the place of another of its name */
} fen_lesson_setup;

typedef struct fen_lesson fen_lesson;

/* Borrows all of SETUP. FEN_EINPUT: problems were added (a settled case or the pack cannot be
 * read; a case of the same name would be lost). */
FEN_MUST_USE fen_status fen_lesson_new(const fen_lesson_setup *setup, fen_problems *problems, fen_lesson **ret_lesson);
void fen_lesson_free(fen_lesson *l);

fen_lesson_state fen_lesson_how(const fen_lesson *l);
fen_id fen_lesson_true(const fen_lesson *l);  /* the settled cause that stands best */
fen_id fen_lesson_wrong(const fen_lesson *l); /* the leading one */
fen_session *fen_lesson_session(fen_lesson *l); /* as the case was judged; changed by nobody */
fen_weight fen_lesson_behind(const fen_lesson *l); /* how far the true cause is behind the leading one */
#define FEN_LESSON_WEIGHT_MAX (40 * FEN_DBAN) /* one plant moves no more: ten thousand to one */
size_t fen_lesson_settled(const fen_lesson *l); /* cases it is held to */
const char *fen_lesson_rule(const fen_lesson *l); /* the name of the rule that would be added */

/* Work out what could be learnt, best first: fewest settled verdicts changed; what the rules or a
 * settled case bear out before what nothing bears out, and last what the rules take for the opposite;
 * what claims no more than its answers' usual shares allow; least to read and trust; most borne out; least
 * weight moved. A handful of them at most, each another idea. There may be nothing. FEN_EINPUT: as
 * above. */
FEN_MUST_USE fen_status fen_lesson_propose(fen_lesson *l, fen_problems *problems);
size_t fen_lesson_count(const fen_lesson *l);
const fen_proposal *fen_lesson_at(const fen_lesson *l, size_t i);

/* Add tests that tell this case from those that would change, until none does or nothing tells
 * (then it is `stuck`). */
FEN_MUST_USE fen_status fen_lesson_narrow(fen_lesson *l, size_t i, fen_problems *problems);
/* Move the least weight that still puts the true cause ahead. */
FEN_MUST_USE fen_status fen_lesson_lighten(fen_lesson *l, size_t i, fen_problems *problems);

/* Keep the case, and the rule of proposal I (FEN_LESSON_NONE: the case alone). FEN_EINPUT: a
 * file has changed since, or is being written; nothing was kept. FEN_EIO with errno: what was
 * kept is told by *ret_put being set, or not; the same again completes it. */
#define FEN_LESSON_NONE ((size_t)-1)
FEN_MUST_USE fen_status fen_lesson_keep(fen_lesson *l, size_t i, fen_problems *problems, fen_settled_put *ret_put);

/* Take the last lesson in PACK back: the rule, and the case if it was put among the
 * settled ones for it. */
typedef struct fen_lesson_undone {
    char rule[80], of_case[256]; /* `rule` empty: there was no lesson to take back */
    bool case_out;    /* the case is out of the settled ones */
    bool pack_gone, store_gone; /* nothing was left in it, so the file is away */
} fen_lesson_undone;
FEN_MUST_USE fen_status fen_lesson_undo(const fen_lesson_setup *setup, fen_problems *problems, fen_lesson_undone *ret_undone);

/* "tray is dry-often", as a pack has it. */
struct fen_str;
void fen_lesson_sentence(struct fen_str *out, const fen_base *base, const fen_lesson_test *t);

#endif
