/* state.h -- what a session remembers, and who may change it.
 *
 * chain.c alone changes the fields above the line; weigh.c, cover.c and ask.c
 * work on the scratch below it. All memory is taken when the session is made.
 * Truth is -1, 0, +1; `not` is a minus sign.
 */
#ifndef FEN_STATE_H
#define FEN_STATE_H

#include "fenmend/session.h"
#include "model/net.h"

/* Everything of one rule, and of one derived value, that a propagation touches
 * stands side by side: chaining a large base waits for memory, not for the
 * processor. What never changes is copied here from the network for that. */
typedef struct rule_state {
    uint32_t blockers; /* fired rules that go over this one */
    fen_id next_fire, next_unfire; /* links of the stratum's queues */
    uint32_t derives;  /* the one atom it sets, or the first of them in net->derives */
    uint16_t n_derives; /* UINT16_MAX: see net->derives_at */
    bool fired : 1, in_fire : 1, in_unfire : 1;
    bool loops : 1;    /* helps to set what its condition reads */
    bool shaken : 1;   /* loops, and lost a part of its condition: is what is left its own doing? */
    bool only_derives : 1; /* no other effects, goes over nothing */
    bool goes_over : 1;
    bool logged : 1;   /* listed in the session's log */
} rule_state;

typedef struct atom_state { /* of derived findings only */
    uint32_t support;  /* fired rules that set it */
    uint32_t occ, occ_end; /* nodes in which it occurs as such */
    bool on;
    bool in_again;
    bool looped;
    bool plain;      /* passed on at once, and nobody waits for its finding */
} atom_state;

struct fen_session {
    const fen_base *base;
    const fen_view *view; /* by the kind's answer; who hears of answers */
    int32_t today;
    uint32_t n_given;     /* findings answered beside the kind */
    /* from here to `atom` one stretch of memory, of which a copy is kept */
    fen_answer *given;    /* [n_findings] */
    bool *skipped;        /* [n_findings] */
    fen_truth *truth;     /* [n_tests] as told to the rules; read through fen_truth_now */
    int32_t *left;        /* [n_nodes] parts still to hold, roots first; <= 0: the condition holds */
    fen_weight *score;    /* [n_causes] */
    uint32_t *excluded;   /* [n_causes] fired rules that exclude it */
    uint32_t *raised;     /* [n_hazards] fired rules that raise it */
    rule_state *rule;     /* [n_rules] */
    atom_state *atom;     /* [n_atoms] */
    const unsigned char *fresh; /* the stretch with no answer given; NULL: it is too long to be kept */
    size_t fresh_size, plain_size; /* of the stretch, and of its part before the rules, set back as a whole */
    fen_id *log;          /* [n_rules] all that fired, be it for a while, since the session was set back, each once */
    uint32_t n_log, n_log_fresh; /* the first of them without any answer */
    fen_answer *set_by;   /* [n_findings] while the kind changes: the other answers */
    /* queues of one propagation, all empty between two */
    uint32_t firing;      /* the stratum whose rules are being fired, or FEN_NONE */
    fen_id *ready;        /* [n_rules] rules of that stratum whose condition came to hold */
    uint32_t n_ready;
    fen_id *fire_head, *unfire_head; /* [n_strata] */
    fen_id *settle_head;  /* [n_strata] findings to settle */
    fen_id *settle_next;  /* [n_findings] */
    bool *in_settle;      /* [n_findings] */
    fen_id *again_next;   /* [n_atoms] looped atoms taken off, to be set again if still supported */
    fen_id *again_head;   /* [n_strata] */
    uint64_t *pending;    /* bits of strata with work */
    /* ---------------------------------------------------------------- */
    bool watching;        /* collect causes whose score changes */
    fen_id *touched;      /* [n_causes] */
    bool *is_touched;     /* [n_causes] */
    uint32_t n_touched;
    struct fen_scratch *scratch; /* of verdict and questions, see scratch.h */
    void *block;          /* the one allocation behind all arrays */
};

/* chain.c: fill a new session's state: what holds without any answer. */
void fen_chain_start(fen_session *s);
/* Set one answer, known to be fit, and bring everything up to date. */
void fen_chain_answer(fen_session *s, fen_id finding, fen_answer answer);
/* Several of them, brought up to date once. */
void fen_chain_answer_all(fen_session *s, const fen_given *given, size_t n);
/* Back to the fresh state that is kept. */
void fen_chain_set_back(fen_session *s);

/* Causes whose score or exclusion changes from now on are listed in s->touched. */
void fen_watch_begin(fen_session *s);
void fen_watch_end(fen_session *s);

/* truth.c: how many values of a derived finding are set. */
uint32_t fen_values_on(const fen_session *s, fen_id finding);
/* A test's truth between two changes. */
fen_truth fen_truth_now(const fen_session *s, fen_id test);
/* Which options of a base finding hold under the answers given, and which do not, as
 * bits; what is open is neither. */
typedef struct fen_options {
    uint64_t yes, no;
} fen_options;
/* "The kind is K" holds for K and all above it; of a group, what is below it is left open. */
static inline fen_options fen_options_now(const fen_session *s, fen_id finding)
{
    const fen_net *net = &s->base->net;
    const fen_answer *a = &s->given[finding];
    if (a->state != FEN_KNOWN)
        return (fen_options){ 0, 0 };
    if (finding != FEN_KIND_FINDING)
        return (fen_options){ a->picks, ~a->picks };
    return (fen_options){ net->kind_up[__builtin_ctzll(a->picks)], net->kind_not[__builtin_ctzll(a->picks)] };
}
static inline fen_truth fen_option_truth(fen_options of, uint32_t option)
{
    return (fen_truth)((int)(of.yes >> option & 1) - (int)(of.no >> option & 1));
}
/* A base test's truth under the answers given. */
fen_truth fen_truth_of(const fen_session *s, fen_id test);
/* Is the plant of one of these kinds (none named: of any)? */
fen_truth fen_truth_of_kinds(const fen_session *s, fen_list kinds);
/* What the plant may be, as bits: the kind answered, or any. */
static inline uint64_t fen_kinds_now(const fen_session *s)
{
    const fen_answer *a = &s->given[FEN_KIND_FINDING];
    return a->state == FEN_KNOWN ? a->picks : UINT64_MAX;
}
/* What an expression comes to, if all its findings are known. */
bool fen_expr_value(const fen_session *s, fen_id expr, double *ret_value);
static inline bool fen_in_range(const fen_test *t, double value)
{
    return (t->lo_open ? value > t->lo : value >= t->lo) && (t->hi_open ? value < t->hi : value <= t->hi);
}
/* Does the answer fit the finding? */
bool fen_answer_fits(const fen_session *s, fen_id finding, const fen_answer *a);

/* weigh.c: relative probabilities from scores, into scratch; see scratch.h. */

#endif
